"""The papers at the bench: measuring sheet, mounting and sealing, checklist, owner's card, what moved."""

import datetime
import io
import math
import re
import sys
from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from pypdf import PdfReader

from shroudwright.airflow.recycled import inlet_rise
from shroudwright.assess import assess_and_plan
from shroudwright.assessment import Assessment
from shroudwright.catalogue.read import table
from shroudwright.doors.cli import main
from shroudwright.drawing.heights_picture import heights_picture
from shroudwright.drawing.shapes import Text, extents
from shroudwright.drawing.sheet_picture import sheet_picture
from shroudwright.hand_over import HandOver
from shroudwright.job.files import parse_job, read_job
from shroudwright.job.filling import Entry, fill
from shroudwright.job.in_hand import filled_at_medians, unmeasured
from shroudwright.job.model import Job
from shroudwright.job.sheet import boxes_of
from shroudwright.job.template import starter
from shroudwright.materials.air import specific_heat
from shroudwright.metal.hardware import Torque, torque_of
from shroudwright.packet.bench import bench_blocks
from shroudwright.packet.blocks import Block
from shroudwright.packet.checklist import checklist_blocks
from shroudwright.packet.measure import sheet_pdf
from shroudwright.packet.owner import owner_blocks
from shroudwright.packet.plumbing import fill_order
from shroudwright.packet.since import moved_lines, since_pdf
from shroudwright.plan import Plan
from shroudwright.shroud.square import top_shift
from shroudwright.speech import SHOPS

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "src/shroudwright/job/demo.job.toml"
JOBS = [DEMO, *sorted((ROOT / "examples").glob("*.job.toml"))]
DAY = datetime.date(2026, 1, 31)
NARROW = ROOT / "examples/hot-rod-tight-bay.job.toml"
TAPED = [
    Entry("78a", "17"), Entry("79a", "2.6"), Entry("80a", "4"), Entry("81a", "16 1/4"), Entry("82a", "1/4"),
    Entry("34a", "1/2"), Entry("33a", "17"), Entry("34c", "1"), Entry("33c", "15"), Entry("37a", "5 3/4"),
    Entry("51", "9"), Entry("52", "19"), Entry("54", "21"), Entry("22", "25 3/4"), Entry("23", "25 1/4"),
]  # fmt: skip


@pytest.fixture(scope="module")
def taped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("car") / "rod.job.toml"
    path.write_bytes(NARROW.read_bytes())
    fill(path, TAPED, "Ana", DAY)
    return path


@cache
def answered(data: bytes) -> tuple[Job, Assessment, Plan]:
    job = parse_job(data, "rod.job.toml")
    return job, *assess_and_plan(job, draws=64)


def over_of(path: Path) -> tuple[Assessment, Plan, HandOver]:
    _, answer, plan = answered(path.read_bytes())
    assert plan.hand_over is not None
    return answer, plan, plan.hand_over


def words_of(blocks: list[Block]) -> str:
    return " ".join(re.findall(r"'([^']*)'|\"([^\"]*)\"", repr(blocks)).__repr__().split()).replace("\u200b", "")


@pytest.mark.independent("pypdf reads the sheet back: every box is on it, on three pages")
@pytest.mark.parametrize("path", [DEMO, ROOT / "examples/supercharged-pickup.job.toml"], ids=lambda path: path.name)
def test_sheet(path: Path) -> None:
    job = read_job(path)
    wanted = [place for places in unmeasured(filled_at_medians(job)).values() for place in places]
    reader = PdfReader(io.BytesIO(sheet_pdf(job, wanted)))
    assert len(reader.pages) == 3
    words = "\n".join(page.extract_text() for page in reader.pages)
    assert all(re.search(rf"\b{box.row.number}\b", words) for box in boxes_of(job))


@pytest.mark.law("no two words of the sheet's pictures lie on each other")
@pytest.mark.parametrize("path", [*JOBS, None], ids=lambda path: path.name if path else "starter")
def test_sheet_pictures(path: Path | None) -> None:
    job = read_job(path) if path else parse_job(starter().encode(), "x")
    wanted = [place for places in unmeasured(filled_at_medians(job)).values() for place in places]
    for drawn in (sheet_picture(job, wanted), heights_picture({box.place: box.name for box in boxes_of(job)})):
        around = [extents([shape]) for shape in drawn.shapes if isinstance(shape, Text)]
        for one, two in combinations(around, 2):
            assert not (one.x1 < two.x2 and two.x1 < one.x2 and one.y1 < two.y2 and two.y1 < one.y2)


@pytest.mark.behaviour("the sheet lacks nothing that keeps cut files a trial")
@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.name)
def test_sheet_lacks_nothing(path: Path) -> None:
    job = read_job(path)
    wanted = {place for places in unmeasured(filled_at_medians(job)).values() for place in places}
    assert wanted <= {box.place for box in boxes_of(job)}


@pytest.mark.behaviour("from a filled sheet to a job whose cut files are no trial")
def test_trial_lifts(taped: Path) -> None:
    assert unmeasured(filled_at_medians(read_job(NARROW)))
    _, plan, _ = over_of(taped)
    assert not plan.is_trial


@pytest.mark.law("the air into the core is the shade's (no pavement here) and inlet_rise with what comes round")
def test_together(taped: Path) -> None:
    answer, _, over = over_of(taped)
    case = next(case for case in answer.cases if case.name == over.case)
    assert case.air_in is not None
    assert case.air_mass_flow is not None
    assert over.together is not None
    capacity = case.air_mass_flow.value * specific_heat(case.air_in.value, 0.01)
    without = case.ambient + inlet_rise(0.0, case.heat.value, case.heat_ahead, capacity)
    assert case.air_in.value - without == pytest.approx(over.together, rel=0.05)


@pytest.mark.by_hand("17 in x 1/2 in and 15 in x 1 in: 8.5 and 15 of 23.5 in2")
def test_shared_by_area(taped: Path) -> None:
    _, _, over = over_of(taped)
    left, top = over.leaks
    assert over.together is not None
    assert left.degrees == pytest.approx(over.together * 8.5 / 23.5)
    assert top.degrees == pytest.approx(over.together * 15.0 / 23.5)
    assert next(item.gap for item in over.hood if item.name == "the cap") == pytest.approx(2 * 0.0254)
    assert [item.gap for item in over.hood] == sorted(item.gap for item in over.hood)


@pytest.mark.by_hand("a parallelogram 0.6 wide, 0.4 high, its top 0.01 to the right")
def test_top_shift() -> None:
    assert top_shift(0.6, math.hypot(0.61, 0.4), math.hypot(0.59, 0.4)) == pytest.approx(0.01)
    assert top_shift(0.6, 0.72, 0.72) == 0.0


@pytest.mark.practice("torque over 0.2 diameter over the thread's area: 30 to 75 % of a 580 MPa proof for bolts")
def test_torques() -> None:
    threads = {
        "8-32": (4.17, 9.03), "10-32": (4.83, 12.9), "1/4-20": (6.35, 20.5), "5/16-18": (7.94, 33.8),
        "M4": (4.0, 8.78), "M5": (5.0, 14.2), "M6": (6.0, 20.1), "M8": (8.0, 36.6),
    }  # fmt: skip
    rows = table("torques.csv", Torque)
    for row in rows:
        across, area = threads[row.size]
        share = row.torque / (0.2 * 1e-3 * across) / (1e-6 * area) / 580e6
        assert 0.3 < share < 0.75 if row.kind == "bolt" else share < 0.45
    assert {row.size for row in rows} == threads.keys()


LOCK_NUTS = {"M4": 2.0, "M5": 4.0, "M6": 6.8, "M8": 17.0}
A2_70 = {"M4": (1.7, 2.6), "M5": (3.4, 5.1), "M6": (5.9, 8.8), "M8": (14.5, 21.4)}
STAINLESS_IN_LB = {"8-32": 18.0, "10-24": 21.0, "1/4-20": 68.0, "5/16-18": 120.0}
GRADE_5 = {"8-32": 3.4, "10-32": 5.5, "1/4-20": 10.9, "5/16-18": 23.1}


@pytest.mark.published(
    "tractor operator's manual 48144025 (2017), page 19, metric non-flanged hardware, lock nut class 8 with class 8.8 "
    "bolt, N*m as printed; anzor.co.nz/metric-tightening-torques, class 70, friction 0.1 and 0.2; both read"
)
@pytest.mark.parametrize("size", LOCK_NUTS)
def test_metric_torques(size: str) -> None:
    torque = torque_of("bolt", size)
    assert torque == LOCK_NUTS[size]
    assert A2_70[size][0] <= torque <= A2_70[size][1]


@pytest.mark.published(
    "garden-machine manual 1692024, page 1-11: grade 5, N*m as printed, 65 % of it for lock nuts, 20 % tolerance; "
    "crane manual 699-00 (2020), table 1-11: 18-8, lubricated, 80 % of yield, lb*in as printed (10-24); both read"
)
@pytest.mark.parametrize("size", GRADE_5)
def test_inch_torques(size: str) -> None:
    torque = torque_of("bolt", size)
    assert torque is not None
    soft = 0.112985 * STAINLESS_IN_LB[size.replace("10-32", "10-24")]
    ends = sorted((soft, 0.65 * GRADE_5[size]))
    assert 0.95 * ends[0] <= torque <= 1.05 * ends[1]


@pytest.mark.behaviour("the shop's pages say what is measured, what it costs, and what is not known")
def test_bench_pages(taped: Path) -> None:
    answer, plan, over = over_of(taped)
    words = words_of(bench_blocks(answer, plan, SHOPS["in"]))
    for wanted in ("17 in by 1 1/2 in", "15 in by 2 in", "under it. It clears.", "3/8 in to the right"):
        assert wanted in words
    assert "boxes 31 to 34" not in words
    list_ = words_of(checklist_blocks(answer, plan, SHOPS["mm"]))
    for wanted in ("tissue", "swap its two leads", "N m", "50 % ethylene glycol", "coolant out of the engine"):
        assert wanted in list_
    assert plan.plumbing is not None
    for step in fill_order(plan.plumbing, SHOPS["mm"]):
        assert step in list_
    assert "Switch off at 225 °F. It may well get there" in words_of(checklist_blocks(answer, plan, SHOPS["in"]))
    tight = replace(over, behind=(("A16S", -0.01), ("B", 0.02), ("C", 0.1)))
    reach = words_of(bench_blocks(answer, replace(plan, hand_over=tight), SHOPS["in"]))
    for wanted in ("A16S: it meets", "B: 13/16 in behind its motor. No hand", "C: 3 15/16 in behind its motor. A hand"):
        assert wanted in reach
    nothing = replace(over, leaks=(), hood=(), top_shift=None)
    assert plan.back is not None
    back = replace(plan.back, fit=plan.back.fit._replace(clearances=[]))
    bare = words_of(bench_blocks(answer, replace(plan, hand_over=nothing, back=back), SHOPS["in"]))
    for wanted in ("boxes 31 to 34", "boxes 35 to 38", "boxes 51 to 56"):
        assert wanted in bare
    assert bench_blocks(answer, Plan(), SHOPS["in"]) == []


@pytest.mark.behaviour("the owner's card: no case called normal that does not hold, stop at the lowest limit")
def test_owner(taped: Path) -> None:
    answer, plan, _ = over_of(taped)
    words = words_of(owner_blocks(answer, plan, SHOPS["in"]))
    stop = float(re.search(r"Past (\d+) °F stop", words)[1])  # type: ignore[index]
    assert stop <= min(case.limit for case in answer.cases) * 1.8 - 459.67 + 0.5
    for verdict in ("holds", "marginal"):
        cases = [case.model_copy(update={"verdict": verdict}) for case in answer.cases]
        hottest = max(cases, key=lambda case: case.coolant_in.value if case.coolant_in else 0.0)
        card = words_of(owner_blocks(answer.model_copy(update={"cases": cases}), plan, SHOPS["in"]))
        assert (f"Of what it holds, {hottest.name} is the hottest" in card) == (verdict == "holds")
    assert all(case.name in words for case in answer.cases)
    assert "Never open the cap hot" in words


@pytest.mark.behaviour("what moved between two revisions, and nothing where nothing did")
def test_since(taped: Path, tmp_path: Path) -> None:
    new = answered(taped.read_bytes())
    moved = tmp_path / "moved.job.toml"
    moved.write_bytes(taped.read_bytes())
    fill(moved, [Entry("58", "3/4"), Entry("fans.0.x", "9")], "Bo", DAY)
    shroud = new[2].shroud
    assert shroud is not None
    flat = shroud.flats[0]
    holes = (flat.holes[0]._replace(x=flat.holes[0].x + 0.001), *flat.holes[1:])
    plan = replace(new[2], shroud=replace(shroud, flats=(replace(flat, holes=holes), *shroud.flats[1:])))
    later = read_job(moved), new[1], plan
    lines = moved_lines(new[0], new[1:], later[0], later[1:])
    assert "  shroud.depth: 0.5 in, measured -> 3/4 in, measured" in lines
    assert any(line.startswith("  flat plate: holes: ") for line in lines)
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
    assert "TRIAL until measured in hand: Q10 left: mount holes (box 81b, 82b)" in " ".join(
        capsys.readouterr().out.split()
    )
    text = form.read_text(encoding="utf-8")
    form.write_text(re.sub(r"(?m)^(9,core\.width,.*?),,$", r"\1,36 7/8,", text.replace("\r", "")), encoding="utf-8")
    filled = form.read_bytes()
    assert run("-o", str(tmp_path / "out")) == 0
    assert form.read_bytes() == filled
    assert run("--fill", str(form)) == 2
    assert "who measured" in capsys.readouterr().err
    assert run("--fill", str(form), "--by", "Ana", "--on", "2026-01-31") == 0
    assert (tmp_path / "truck.before-1.job.toml").read_bytes() == DEMO.read_bytes()
    assert read_job(job).core.width.typed == "36 7/8 in, measured"  # type: ignore[union-attr]
    answers = {"Who": iter(["Bo"]), "6": iter(["200 psi", "15"]), "12": iter(["s"]), "27a": iter(["q"])}
    asked: list[str] = []

    def answer(prompt: str) -> str:
        asked.append(prompt.split(maxsplit=1)[0])
        return next(answers.get(asked[-1], iter([""])))

    monkeypatch.setattr("builtins.input", answer)
    assert run("--ask") == 0
    assert asked[-1] == "27a"
    assert {"7", "8"} & set(asked)
    assert not {"13", "19", "25", "27b"} & set(asked), "s leaves the rest of the group"
    assert read_job(job).coolant.cap_pressure.typed == "15 psi, measured"  # type: ignore[union-attr]
    assert "outside 0 psi to 40 psi" in capsys.readouterr().err
    assert run("--ask", "--since", str(job)) == 2
    assert run("--fill", str(form), "--by", "Ana", "--on", "31/1") == 2
