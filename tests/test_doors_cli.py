"""The command line as a user meets it: what it prints, its exit codes, and what it leaves behind."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from shroudwright.assessment import Assessment, schema_text
from shroudwright.doors.cli import main
from tests.jobs import SMALL
from tests.test_job_faults import BROKEN

HERE = Path(__file__).parent
SCHEMA = HERE.parent / "src/shroudwright/assessment.schema.json"


def run(monkeypatch: pytest.MonkeyPatch, *words: str) -> int:
    """Run the command line in this process and return its exit code."""
    monkeypatch.setattr(sys, "argv", ["shroudwright", *words])
    try:
        main()
    except SystemExit as stop:
        return int(stop.code or 0)
    return 0


@pytest.mark.behaviour("one plain line per fault, exit 2, nothing written")
@pytest.mark.parametrize("name", BROKEN)
@pytest.mark.parametrize("json_flag", [(), ("--json",)], ids=["read", "json"])
def test_broken_jobs_end_plainly(
    name: str,
    json_flag: tuple[str, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    content, wanted = BROKEN[name]
    path = tmp_path / "x.job.toml"
    path.write_bytes(content)
    assert run(monkeypatch, "assess", str(path), *json_flag) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    assert all(line.strip() for line in err.splitlines())
    for piece in wanted:
        assert piece in err
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.behaviour("paths that cannot be read")
def test_unreadable_paths_end_plainly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    big = tmp_path / "big.job.toml"
    with big.open("wb") as file:
        file.truncate(50 * 1024 * 1024)
    for words in (
        ("assess", str(tmp_path / "missing.job.toml")),
        ("assess", str(tmp_path)),
        ("assess", str(big)),
        ("new", str(tmp_path)),
        ("new", str(tmp_path / "no" / "folder" / "my.job.toml")),
        ("new", str(tmp_path / "my.job.toml"), "--units", "furlong"),
        ("math", "bend_allowanse"),
        ("math", "ram_pressure", "road_speed"),
    ):
        assert run(monkeypatch, *words) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert err.strip()
        assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == [big]


@pytest.mark.behaviour("read-only target")
def test_a_folder_that_cannot_be_written_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "file"
    target.write_text("in the way")
    assert run(monkeypatch, "demo", "--out", str(target / "out")) == 2
    assert "cannot be written" in capsys.readouterr().err
    if os.geteuid() != 0:
        tmp_path.chmod(0o500)
        assert run(monkeypatch, "new", str(tmp_path / "my.job.toml")) == 2
        tmp_path.chmod(0o700)


@pytest.mark.behaviour("new, then assess")
@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_starter_is_written_and_assessed(
    units: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "my.job.toml"
    assert run(monkeypatch, "new", str(path), "--units", units) == 0
    assert "assess" in capsys.readouterr().out
    assert run(monkeypatch, "new", str(path)) == 2
    capsys.readouterr()
    assert run(monkeypatch, "assess", str(path)) == 0
    said = capsys.readouterr().out
    assert ("°F" if units == "in" else "°C") in said
    assert re.search(r"Will hold|Toss-up|Won't hold", said)
    assert "Good to" in said or "Won't hold" in said


@pytest.mark.behaviour("the readable answer says what a builder asks")
def test_the_demo_says_everything_and_writes_what_it_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(monkeypatch, "demo", "--out", str(tmp_path)) == 0
    said = capsys.readouterr().out
    for words in (
        "Good to",
        "The worst case is",
        "The air really moved",
        "of box number",
        "Where the heat comes from",
        "What would fix canyon grade",
        "2 x B14 off the shelf",
        "The smallest set found that makes every case hold",
        "Guesses used",
        "Findings",
        "Never open a hot cooling system",
    ):
        assert words in said
    listed = re.search(r"wrote into .*:\n((?:  .*\n)+)", said)
    assert listed
    assert {name.strip() for name in listed[1].splitlines()} == {path.name for path in tmp_path.iterdir()}
    answer = json.loads((tmp_path / "assessment.json").read_text())
    assert all(case["name"] in said for case in answer["cases"])


@pytest.mark.behaviour("--shelf: assess and packet name its fan; a shelf that cannot be read is said, nothing written")
def test_a_shelf_of_ones_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    parade = str(HERE.parent / "examples/parade-cruiser.job.toml")
    shelf, out = tmp_path / "own.csv", tmp_path / "packet"
    shelf.write_text("code,kind,blade,frame_size,price\n,,in,in,USD\nK15,brushless,15,15.8,321\n")
    assert run(monkeypatch, "assess", parade) == 0
    assert "generic brushless fan" in capsys.readouterr().out
    assert run(monkeypatch, "assess", parade, "--shelf", str(shelf)) == 0
    said = capsys.readouterr().out
    assert re.search(r"K15 off the shelf .* 376 ", said)
    assert "generic" not in said
    for words in (("assess", parade), ("packet", parade, "-o", str(out))):
        assert run(monkeypatch, *words, "--shelf", str(tmp_path / "none.csv")) == 2
        assert "none.csv" in capsys.readouterr().err
    assert not out.exists()
    assert run(monkeypatch, "packet", parade, "-o", str(out), "--shelf", str(shelf)) == 0
    fixes = json.loads((out / "assessment.json").read_text())["fixes"]
    assert "K15 off the shelf" in {fix["fix"] for fix in fixes}


@pytest.mark.behaviour("--json")
def test_the_json_is_strict_matches_its_schema_and_is_the_same_every_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "small.job.toml"
    path.write_text(SMALL)
    words = ("assess", str(path), "--json")

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} in the JSON")

    command = [sys.executable, "-m", "shroudwright.doors.cli", *words]
    first = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    parsed = json.loads(first, parse_constant=refuse)
    jsonschema.validate(parsed, json.loads(SCHEMA.read_text()))
    assert parsed["schema"] == 1
    assert run(monkeypatch, *words) == 0
    assert capsys.readouterr().out == first


@pytest.mark.behaviour("the shipped schema is the record's own")
def test_the_shipped_schema_is_current() -> None:
    assert SCHEMA.read_text() == schema_text()
    assert set(json.loads(SCHEMA.read_text())["required"]) <= set(Assessment.model_json_schema()["properties"])


@pytest.mark.behaviour("--strict, --version, --help")
def test_the_other_words(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "small.job.toml"
    path.write_text(SMALL)
    assert run(monkeypatch, "assess", str(path), "--strict", "--guesses") == 3  # two fans too wide for the core
    said = capsys.readouterr().out
    assert "stop  F01" in said
    assert "... and more" not in said
    demo = HERE.parent / "src/shroudwright/job/demo.job.toml"
    assert run(monkeypatch, "assess", str(demo), "--strict") == 0
    capsys.readouterr()
    assert run(monkeypatch, "--version") == 0
    assert re.fullmatch(r"shroudwright \d+\.\d+\.\d+\n", capsys.readouterr().out)
    assert run(monkeypatch, "--help") == 0
    said = capsys.readouterr().out
    assert all(command in said for command in ("new", "assess", "packet", "math", "demo"))
    assert run(monkeypatch, "assess") == 2


@pytest.mark.behaviour("--help loads nothing heavy")
def test_help_is_light() -> None:
    code = (
        "import sys; sys.argv = ['shroudwright', '--help']\n"
        "from shroudwright.doors.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'numba', 'scipy', 'pint', 'pydantic', 'CoolProp'} & sys.modules.keys()\n"
        "assert not heavy, heavy"
    )
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True)


@pytest.mark.by_hand("0.5 * 1.2 * 20**2 * 0.4 = 96 Pa = 0.3854 inH2O")
def test_math_lists_describes_and_computes(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(monkeypatch, "math") == 0
    assert "ram_pressure" in capsys.readouterr().out
    assert run(monkeypatch, "math", "ram_pressure") == 0
    assert "road_speed" in capsys.readouterr().out
    words = ("road_speed=20 m/s", "air_density=1.2 kg/m**3", "inlet_share=0.45", "bay_share=0.05")
    assert run(monkeypatch, "math", "ram_pressure", *words, "--in", "inH2O") == 0
    said = capsys.readouterr().out
    assert said.startswith("pressure = 0.385")
    assert "Limits:" in said
    assert "Source:" in said
    assert run(monkeypatch, "math", "ram_pressure", *words, "--in", "furlong") == 2
