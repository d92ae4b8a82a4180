"""The papers at the bench: measuring sheet, mounting and sealing, checklist, owner's card, what moved."""

import datetime
import io
import math
import re
import sys
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from shroudwright.airflow.recycled import inlet_rise
from shroudwright.assess import assess_and_plan
from shroudwright.assessment import Assessment
from shroudwright.catalogue.read import table
from shroudwright.doors.cli import main
from shroudwright.hand_over import HandOver
from shroudwright.job.files import parse_job, read_job
from shroudwright.job.filling import Entry, fill
from shroudwright.job.in_hand import filled_at_medians, unmeasured
from shroudwright.job.model import Job
from shroudwright.job.sheet import boxes_of
from shroudwright.materials.air import specific_heat
from shroudwright.metal.hardware import Torque
from shroudwright.packet.bench import bench_blocks
from shroudwright.packet.blocks import Block
from shroudwright.packet.checklist import checklist_blocks
from shroudwright.packet.measure import sheet_pdf
from shroudwright.packet.owner import owner_blocks
from shroudwright.packet.since import moved_lines, since_pdf
from shroudwright.plan import Plan
from shroudwright.shroud.square import top_shift
from shroudwright.speech import SHOPS

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "src/shroudwright/job/demo.job.toml"
JOBS = [DEMO, *sorted((ROOT / "examples").glob("*.job.toml"))]
DAY = datetime.date(2026, 1, 31)
TAPED = [
    *(Entry(f"{number}{fan}", value) for fan in "bc" for number, value in ((74, "11.4 in"), (75, "1/4"), (73, "4"))),
    Entry("28a", "1/2"), Entry("28c", "1"), Entry("27c", "30"), Entry("31e", "5"), Entry("32e", "8"),
    Entry("45", "30"), Entry("46", "18"), Entry("48", "20"), Entry("19", "41"), Entry("20", "40 1/2"),
]  # fmt: skip


@pytest.fixture(scope="module")
def taped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("car") / "truck.job.toml"
    path.write_bytes(DEMO.read_bytes())
    fill(path, TAPED, "Ana", DAY)
    return path


@cache
def answered(data: bytes) -> tuple[Job, Assessment, Plan]:
    job = parse_job(data, "truck.job.toml")
    return job, *assess_and_plan(job, draws=64)


def over_of(path: Path) -> tuple[Assessment, Plan, HandOver]:
    _, answer, plan = answered(path.read_bytes())
    assert plan.hand_over is not None
    return answer, plan, plan.hand_over


def words_of(blocks: list[Block]) -> str:
    return " ".join(re.findall(r"'([^']*)'|\"([^\"]*)\"", repr(blocks)).__repr__().split()).replace("\u200b", "")


@pytest.mark.independent("pypdf reads the sheet back: every box is on it, on two pages where nothing is bolted on")
@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.name)
def test_sheet(path: Path) -> None:
    job = read_job(path)
    missing = unmeasured(filled_at_medians(job))
    wanted = [place for places in missing.values() for place in places]
    assert set(wanted) <= {box.place for box in boxes_of(job)}
    reader = PdfReader(io.BytesIO(sheet_pdf(job, wanted)))
    assert len(reader.pages) <= (3 if job.brackets or job.shroud.outline else 2)
    words = "\n".join(page.extract_text() for page in reader.pages)
    assert all(re.search(rf"\b{box.row.number}\b", words) for box in boxes_of(job))


@pytest.mark.behaviour("from a filled sheet to a job whose cut files are no trial")
def test_trial_lifts(taped: Path) -> None:
    assert unmeasured(filled_at_medians(read_job(DEMO)))
    _, plan, _ = over_of(taped)
    assert not plan.is_trial


@pytest.mark.law("the air into the core is the shade's, the pavement's, and inlet_rise with what comes round")
def test_together(taped: Path) -> None:
    answer, _, over = over_of(taped)
    case = next(case for case in answer.cases if case.name == over.case)
    assert case.air_in is not None
    assert case.air_mass_flow is not None
    assert over.together is not None
    capacity = case.air_mass_flow.value * specific_heat(case.air_in.value, 0.01)
    pavement = 10.0 / 1.8
    without = case.ambient + pavement + inlet_rise(0.0, case.heat.value, case.heat_ahead, capacity)
    assert case.air_in.value - without == pytest.approx(over.together, rel=0.05)


@pytest.mark.by_hand("17 in x 1/2 in and 30 in x 1 in: 8.5 and 30 of 38.5 in2")
def test_shared_by_area(taped: Path) -> None:
    _, _, over = over_of(taped)
    left, top = over.leaks
    assert over.together is not None
    assert left.degrees == pytest.approx(over.together * 8.5 / 38.5)
    assert top.degrees == pytest.approx(over.together * 30.0 / 38.5)
    assert over.hood_room == pytest.approx(2 * 0.0254)


@pytest.mark.by_hand("a parallelogram 0.6 wide, 0.4 high, its top 0.01 to the right")
def test_top_shift() -> None:
    assert top_shift(0.6, math.hypot(0.61, 0.4), math.hypot(0.59, 0.4)) == pytest.approx(0.01)
    assert top_shift(0.6, 0.72, 0.72) == 0.0


@pytest.mark.practice("torque over 0.2 diameter over the thread's area: 30 to 75 % of a 580 MPa proof for bolts")
def test_torques() -> None:
    threads = {"10-32": (4.83, 12.9), "1/4-20": (6.35, 20.5), "M5": (5.0, 14.2), "M6": (6.0, 20.1)}
    rows = table("torques.csv", Torque)
    for row in rows:
        across, area = threads[row.size]
        share = row.torque / (0.2 * 1e-3 * across) / (1e-6 * area) / 580e6
        assert 0.3 < share < 0.75 if row.kind == "bolt" else share < 0.45
    assert {row.size for row in rows} == threads.keys()


@pytest.mark.behaviour("the shop's pages say what is measured, what it costs, and what is not known")
def test_bench_pages(taped: Path) -> None:
    answer, plan, over = over_of(taped)
    words = words_of(bench_blocks(answer, plan, SHOPS["in"]))
    for wanted in ("17 in by 1 1/2 in", "30 in by 2 in", "2 in under the shut hood", "1/4 in to the right"):
        assert wanted in words
    assert "boxes 25 to 28" not in words
    list_ = words_of(checklist_blocks(answer, plan, SHOPS["mm"]))
    for wanted in ("tissue", "swap its two leads", "N m", "50 % ethylene glycol", "coolant out of the engine"):
        assert wanted in list_
    _, bare_answer, bare_plan = answered(DEMO.read_bytes())
    bare = words_of(bench_blocks(bare_answer, bare_plan, SHOPS["in"]))
    for wanted in ("boxes 25 to 28", "boxes 29 to 32", "boxes 45 to 50"):
        assert wanted in bare
    assert bench_blocks(answer, Plan(), SHOPS["in"]) == []


@pytest.mark.behaviour("the owner's card: no case called normal that does not hold, stop at the lowest limit")
def test_owner(taped: Path) -> None:
    answer, plan, _ = over_of(taped)
    words = words_of(owner_blocks(answer, plan, SHOPS["in"]))
    stop = float(re.search(r"Past (\d+) °F stop", words)[1])  # type: ignore[index]
    assert stop <= min(case.limit for case in answer.cases) * 1.8 - 459.67 + 0.5
    normal = re.search(r"Of what it holds, ([^:]*) is the hottest", words)
    assert normal is not None
    assert next(case for case in answer.cases if case.name == normal[1]).verdict == "holds"
    assert all(case.name in words for case in answer.cases)
    assert "Never open the cap hot" in words


@pytest.mark.behaviour("what moved between two revisions, and nothing where nothing did")
def test_since(taped: Path, tmp_path: Path) -> None:
    new = answered(taped.read_bytes())
    moved = tmp_path / "moved.job.toml"
    moved.write_bytes(taped.read_bytes())
    fill(moved, [Entry("52", "1 3/4"), Entry("fans.0.x", "18")], "Bo", DAY)
    later = answered(moved.read_bytes())
    lines = moved_lines(new[0], new[1:], later[0], later[1:])
    assert "  shroud.depth: 1 1/4 in, measured -> 1 3/4 in, measured" in lines
    assert any(line.startswith("  main blank: holes: ") for line in lines)
    for case in later[1].cases:
        assert any(line.startswith(f"  {case.name}: ") for line in lines)
    reader = PdfReader(io.BytesIO(since_pdf(new[0], new[1:], later[0], later[1:])))
    assert len(reader.pages) == 1
    still = moved_lines(new[0], new[1:], new[0], new[1:])
    assert len(still) == 1 + len(new[1].cases)
    assert "as before" in still[0]


@pytest.mark.behaviour("the command: papers out, form kept, numbers in, the file as it was beside it, faults plain")
def test_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    job, form = tmp_path / "truck.job.toml", tmp_path / "out" / "measuring_form.csv"
    job.write_bytes(DEMO.read_bytes())

    def run(*words: str) -> int:
        monkeypatch.setattr(sys, "argv", ["shroudwright", "measure", str(job), *words])
        try:
            main()
        except SystemExit as stop:
            return int(stop.code or 0)
        return 0

    assert run("-o", str(tmp_path / "out")) == 0
    assert "TRIAL until measured in hand: Q10 left: mount holes (box 74b, 75b)" in " ".join(
        capsys.readouterr().out.split()
    )
    text = form.read_text(encoding="utf-8")
    form.write_text(re.sub(r"(?m)^(6,core\.width,.*?),,$", r"\1,36 7/8,", text.replace("\r", "")), encoding="utf-8")
    filled = form.read_bytes()
    assert run("-o", str(tmp_path / "out")) == 0
    assert form.read_bytes() == filled
    assert run("--fill", str(form)) == 2
    assert "who measured" in capsys.readouterr().err
    assert run("--fill", str(form), "--by", "Ana", "--on", "2026-01-31") == 0
    assert (tmp_path / "truck.before-1.job.toml").read_bytes() == DEMO.read_bytes()
    assert read_job(job).core.width.typed == "36 7/8 in, measured"  # type: ignore[union-attr]
    answers = iter(["Bo", "6000 lb", "200 in", "1.4 in", "q"])
    monkeypatch.setattr("builtins.input", lambda _: next(answers))
    assert run("--ask") == 0
    bore = read_job(job).circuit.thermostat_opens
    assert bore is not None
    assert run("--ask", "--since", str(job)) == 2
    assert run("--fill", str(form), "--by", "Ana", "--on", "31/1") == 2
