"""`choose` at the command line: its table, its reasons, its faults, its JSON, and how it stops."""

import re
import shlex
from pathlib import Path

import pytest

from shroudwright.choose.record import Choice
from shroudwright.choose.stages import DRAWS
from shroudwright.doors import choices
from shroudwright.job.shelf import parse_shelf
from tests.jobs import SMALL
from tests.test_doors_cli import run

ROOT = Path(__file__).parents[1]
DOC = (ROOT / "docs/choose.md").read_text(encoding="utf-8")
JOB = ROOT / "examples/parade-cruiser.job.toml"


@pytest.mark.behaviour("one lead sentence, the sets, the marks, the counts, what is taken for granted")
def test_the_readable_answer(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(monkeypatch, "choose", str(JOB), "--top", "5") == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert re.match(r"\d+ of \d+ sets hold; first ", out)
    for words in (
        "How the sets fell",
        "tried",
        "drawn 256 times",
        "Where they stand",
        "Depth of shroud",
        "--why CODE",
        "2 x A12M",
    ):
        assert words in out
    assert max(map(len, out.splitlines())) <= 118
    assert len(re.findall(r"^│ +\d+ │", out, re.M)) == 5


@pytest.mark.behaviour("why a fan fell, at sizes and after the draws")
def test_why(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(monkeypatch, "choose", str(JOB), "--why", "b18") == 0
    out = capsys.readouterr().out
    assert "1 x B18: frames want 19.5 x 19.5 in; the core's face is 27 x 17 in." in out
    assert run(monkeypatch, "choose", str(JOB), "--why", "A12M") == 0
    assert re.search(r"2 x A12M: rank \d+, holds \d+ in 100 in ", capsys.readouterr().out)
    assert run(monkeypatch, "choose", str(JOB), "--why", "Z99") == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("no fan 'Z99' on the shelf; there are A10, ")


@pytest.mark.behaviour("JSON reads back as the record it is")
def test_json(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(monkeypatch, "choose", str(JOB), "--json") == 0
    answer = Choice.model_validate_json(capsys.readouterr().out)
    assert answer.draws == DRAWS
    assert len(answer.fans) == 14
    first = answer.sets[0].layout
    assert first is not None
    assert [one.is_own for one in first.depths].count(True) == 1
    assert all(at.x_typed.endswith(" in") and at.y_typed.endswith(" in") for at in first.placements)


@pytest.mark.behaviour("a shelf of one's own; codes are text and nothing else")
def test_own_shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    job, shelf = tmp_path / "small.job.toml", tmp_path / "own.csv"
    job.write_text(SMALL)
    shelf.write_text("code,blade,note\n,in,\n[bold]x[/bold],12,=cmd()\n")
    assert run(monkeypatch, "choose", str(job), "--shelf", str(shelf)) == 0
    assert "[bold]x[/bold]" in capsys.readouterr().out
    shelf.write_text("code,blade\n,in\nA,1600\nB,\n")
    assert run(monkeypatch, "choose", str(job), "--shelf", str(shelf)) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert [line.split(":")[0] for line in err.splitlines()] == ["own.csv row 3, blade", "own.csv row 4, blade"]
    assert run(monkeypatch, "choose", str(tmp_path / "missing.toml")) == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["own.csv", "small.job.toml"]


@pytest.mark.behaviour("Ctrl-C: one plain line, exit 130")
def test_interrupted(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(choices, "choose", interrupted)
    assert run(monkeypatch, "choose", str(JOB)) == 130
    assert capsys.readouterr().err == "called off; nothing was written\n"


@pytest.mark.behaviour("what the page on choosing shows can be typed as it stands")
def test_the_commands_and_the_shelf_in_the_docs_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (shelf,) = re.findall(r"```csv\n(.*?)```", DOC, re.S)
    assert [item.code for item in parse_shelf(shelf.encode(), "own.csv")] == ["A16S", "K14", "yard"]
    (tmp_path / "own.csv").write_text(shelf)
    commands = re.findall(r"^shroudwright (choose .*)$", DOC, re.M)
    assert len(commands) == 4
    for words in commands:
        typed = [word.replace("own.csv", str(tmp_path / "own.csv")) for word in shlex.split(words, comments=True)]
        typed = [str(tmp_path / word) if word == "placed.job.toml" else word for word in typed]
        typed = [str(ROOT / word) if word.startswith("examples/") else word for word in typed]
        assert run(monkeypatch, *typed) == 0, words
        assert capsys.readouterr().out
