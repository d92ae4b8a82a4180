"""The packet of the demo and of every example, read back as a shop would get it."""

import csv
import json
from pathlib import Path

import ezdxf
import pytest
from pypdf import PdfReader

from shroudwright.assessment import WORDS, Assessment
from shroudwright.doors.papers import write_packet
from shroudwright.drawing.dxf import lint
from shroudwright.job.files import read_job

ROOT = Path(__file__).parent.parent
JOBS = [ROOT / "src/shroudwright/job/demo.job.toml", *sorted((ROOT / "examples").glob("*.job.toml"))]


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> tuple[Assessment, list[Path], Path]:
    """The demo's packet, and where it is."""
    folder = tmp_path_factory.mktemp("first")
    return *write_packet(read_job(JOBS[0]), folder), folder


@pytest.mark.behaviour("every job makes a packet a shop can use")
@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.name.removesuffix(".job.toml"))
def test_the_packet_reads_back(path: Path, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    if path == JOBS[0]:
        answer, written, tmp_path = request.getfixturevalue("first")
    else:
        answer, written = write_packet(read_job(path), tmp_path)
    assert set(written) == set(tmp_path.iterdir())
    reader = PdfReader(tmp_path / "packet.pdf")
    assert 6 <= len(reader.pages) <= 32
    texts = [page.extract_text() for page in reader.pages]
    assert WORDS[answer.verdict] in texts[0]
    for number, (page, text) in enumerate(zip(reader.pages, texts, strict=True), start=1):
        assert len(text.split()) > 25, f"page {number} is nearly empty"
        assert f"page {number} of {len(texts)}" in text
        _stays_on_the_paper(page)
    whole = "\n".join(texts)
    for case in answer.cases:
        assert case.name in whole
    assert ("Air behind the core" in whole) == bool(answer.cases[0].fans)
    worst = next(case for case in answer.cases if case.name == answer.governing_case)
    assert ("as built," in whole) == ("face speed," in whole) == (worst.field.evenness is not None)
    assert "Never open a hot system" in whole
    stops = [finding for finding in answer.findings if finding.level == "stop" and finding.code[0] in "BOFS"]
    cut = sorted(tmp_path.glob("*_cut.dxf"))
    assert bool(cut) == (answer.shroud is not None and not stops)
    for file in cut:
        drawing = ezdxf.readfile(file)
        assert not drawing.audit().errors
        assert lint(file) == []
        assert {item.dxf.layer for item in drawing.modelspace()} <= {"CUT", "CUT_INNER", "BEND"}
        assert file.name.startswith("TRIAL_") == bool(answer.shroud and answer.shroud.trial)
    if cut:
        with (tmp_path / "cut_list.csv").open(newline="") as listed:
            assert len(list(csv.DictReader(listed))) == len(cut)
    if answer.shroud and answer.shroud.trial:
        assert all("TRIAL" in text for text in texts)
    assert json.loads((tmp_path / "assessment.json").read_text())["job_sha256"] == answer.job_sha256
    with (tmp_path / "wires.csv").open(newline="") as file_:
        assert len(list(csv.reader(file_))) > len(answer.wiring)


def _stays_on_the_paper(page: object) -> None:
    """Every piece of text starts on the paper, a quarter inch from its edges at least."""
    wide, high = float(page.mediabox.width), float(page.mediabox.height)  # type: ignore[attr-defined]
    off: list[str] = []

    def visit(text: str, user: list[float], matrix: list[float], _font: object, _size: float) -> None:
        x = matrix[4] * user[0] + matrix[5] * user[2] + user[4]
        y = matrix[4] * user[1] + matrix[5] * user[3] + user[5]
        if text.strip() and not (18.0 <= x <= wide - 18.0 and 18.0 <= y <= high - 18.0):
            off.append(f"{text.strip()[:40]} at {x:.0f}, {y:.0f}")

    page.extract_text(visitor_text=visit)  # type: ignore[attr-defined]
    assert not off, off[:5]


@pytest.mark.behaviour("same bytes for the same job")
def test_the_same_job_makes_the_same_packet(first: tuple[Assessment, list[Path], Path], tmp_path: Path) -> None:
    write_packet(read_job(JOBS[0]), tmp_path)
    assert {path.name: path.read_bytes() for path in first[2].iterdir()} == {
        path.name: path.read_bytes() for path in tmp_path.iterdir()
    }
