"""The check tables: every row that is due agrees, and nothing waits past its step."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests import checks

CHANGELOG = (Path(__file__).parent.parent / "CHANGELOG.md").read_text(encoding="utf-8")
STEPS_DONE = {int(number) for number in re.findall(r"^## Step (\d+)", CHANGELOG, re.MULTILINE)}
ROWS = checks.read_own()
MAPPED = [row for row in ROWS if (link := checks.link_for(row)) and not link.waits]


@pytest.mark.published("each row names its source; tolerance as in the table")
@pytest.mark.parametrize("row", MAPPED, ids=lambda row: row.id)
def test_a_due_row_agrees(row: checks.Row) -> None:
    state, value = checks.judge(row)
    assert state == "ok", f"{row.quantity}: expected {row.expected} {row.unit} within {row.tolerance}, got {value}"


@pytest.mark.behaviour("no row is left out")
def test_every_row_is_answered_tested_or_waiting_for_a_step_to_come(capsys: pytest.CaptureFixture[str]) -> None:
    waiting: dict[int, list[str]] = {}
    for row in ROWS:
        state, detail = checks.judge(row)
        assert state != "unmatched", row.id
        if state == "waiting":
            waiting.setdefault(int(detail), []).append(row.id)
    with capsys.disabled():
        for step, ids in sorted(waiting.items()):
            print(f"\nwaiting for step {step}: {len(ids)} check rows ({ids[0]} to {ids[-1]})", end="")
        print()
    assert not STEPS_DONE & waiting.keys()
    assert len({row.id for row in ROWS}) == len(ROWS) == 189


@pytest.mark.behaviour("a wrong row is called off")
@pytest.mark.parametrize(
    ("tolerance", "expected", "value", "agrees"),
    [
        ("abs 0.1", 5.0, 5.09, True),
        ("abs 0.1", 5.0, 5.2, False),
        ("rel 0.01", 200.0, 201.9, True),
        ("rel 0.01", 200.0, 202.1, False),
        ("exact", 4.95, 4.95, True),
        ("exact", 4.95, 4.951, False),
        ("range", [0.17, 0.26], 0.24, True),
        ("range", [0.17, 0.26], 0.27, False),
        ("exact", "fits", "fits", True),
        ("exact", "fits", "clashes", False),
    ],
)
def test_tolerances(tolerance: str, expected: object, value: object, agrees: bool) -> None:
    row = checks.Row("x", "x", {}, expected, "", tolerance)
    assert row.accepts(value) is agrees


@pytest.mark.behaviour("make checks TABLE=...")
def test_a_table_of_the_same_form_is_run_and_a_wrong_row_fails_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    head = "id,quantity,inputs,expected,unit,tolerance,source,how_verified\n"
    good = 'A1,fan law power ratio,"{""N2_over_N1"": 0.5}",0.125,dimensionless,rel 0.001,by hand,hand\n'
    wrong = 'A2,fan law power ratio,"{""N2_over_N1"": 0.5}",0.25,dimensionless,rel 0.001,by hand,hand\n'
    strange = 'A3,number of angels,"{}",1,dimensionless,exact,by hand,hand\n'

    def run(name: str, text: str) -> tuple[int, str]:
        (tmp_path / name).write_text(head + text)
        return checks.main([str(tmp_path / name)]), capsys.readouterr().out

    code, said = run("good.csv", good)
    assert code == 0
    assert said.startswith("ok")
    code, said = run("strange.csv", strange)
    assert code == 1
    assert said.startswith("unmatched")
    code, said = run("both.csv", good + wrong)
    assert code == 1
    assert "off        A2" in said
    command = [sys.executable, "-m", "tests.checks", str(tmp_path / "both.csv")]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=Path(__file__).parent.parent)
    assert (done.returncode, done.stdout) == (code, said)
