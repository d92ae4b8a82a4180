"""STEP files: what is said where their kernel is not installed, and when a packet has one."""

import json
import sys
from pathlib import Path

import pytest

from shroudwright.bench.errors import InputError
from shroudwright.doors import papers
from shroudwright.drawing.step import step
from shroudwright.job.files import parse_job
from shroudwright.metal.assembly import placed
from shroudwright.packet import models, write
from tests.jobs import SMALL
from tests.packets import a_shroud, all_parts, an_answer, stopped, trial_parts


@pytest.mark.behaviour("without the kernel a plain line says what to install, before anything is worked out or written")
def test_missing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setitem(sys.modules, "build123d", None)
    with pytest.raises(InputError, match=r"pip install 'shroudwright\[step\]'"):
        step(placed(a_shroud()))
    job = parse_job(SMALL.encode(), "small.job.toml")
    monkeypatch.setattr(papers, "assess_and_plan", lambda *_, **__: pytest.fail("worked out"))
    with pytest.raises(InputError, match="about 1 GB"):
        papers.write_packet(job, tmp_path / "out", with_step=True)
    assert not (tmp_path / "out").exists()


@pytest.mark.behaviour("STEP is written where asked for, held back with the cut files, and marked as they are")
def test_in_a_packet(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(models, "step", lambda parts: f"{len(parts)} parts".encode())
    names = {path.name for path in write(tmp_path, an_answer(), "in", all_parts(), with_step=True)}
    assert "shroud_folded.step" in names
    assert (tmp_path / "shroud_folded.step").read_bytes() == b"3 parts"
    assert "shroud_folded.step" in {
        item["name"] for item in json.loads((tmp_path / "manifest.json").read_text())["files"]
    }
    names = {path.name for path in write(tmp_path, an_answer(), "in", trial_parts(), with_step=True)}
    assert {name for name in names if name.endswith(".step")} == {"TRIAL_shroud_folded.step"}
    assert not (tmp_path / "shroud_folded.step").exists()
    names = {path.name for path in write(tmp_path, stopped(an_answer(), "F01"), "in", all_parts(), with_step=True)}
    assert not any(path.suffix == ".step" for path in tmp_path.iterdir())
    told = json.loads((tmp_path / "manifest.json").read_text())["left_out"]
    assert told == [{"what": "cut files, templates, cut list and STEP", "why": "F01 stands"}]
