"""What a packet leaves in its folder."""

import csv
import io
from pathlib import Path

import ezdxf
import pytest

from shroudwright.bench.errors import InputError
from shroudwright.drawing.dxf import lint
from shroudwright.packet import Plan, write
from shroudwright.packet.tables import csv_bytes
from tests.packets import all_parts, an_answer, stopped, trial_parts


@pytest.mark.behaviour("every file, clean, and the same the second time")
def test_write(tmp_path: Path) -> None:
    out = tmp_path / "made" / "packet"
    files = write(out, an_answer(), "in", trial_parts())
    assert sorted(files) == sorted(out.iterdir())
    cut = [path for path in files if path.name.endswith("_cut.dxf")]
    flats = all_parts().shroud.flats  # type: ignore[union-attr]
    assert len(cut) == len(flats)
    assert all(path.name.startswith("TRIAL_") for path in cut)
    for path in files:
        if path.suffix == ".dxf":
            assert lint(path) == []
            assert ezdxf.readfile(path).audit().errors == []
    before = {path: path.read_bytes() for path in files}
    assert write(out, an_answer(), "in", trial_parts()) == files
    assert {path: path.read_bytes() for path in files} == before


@pytest.mark.behaviour("no cut files while a stop on metal or fit stands; other stops do not hold them back")
def test_stop_holds_cut_files(tmp_path: Path) -> None:
    held = write(tmp_path / "held", stopped(an_answer(), "F01"), "mm", all_parts())
    listed = ["assessment.json", "packet.pdf", "parts.csv", "wires.csv", "wiring.svg"]
    assert sorted(path.name for path in held) == listed
    free = write(tmp_path / "free", stopped(an_answer(), "W10"), "mm", all_parts())
    assert any(path.suffix == ".dxf" for path in free)


@pytest.mark.behaviour("cut files that no longer hold do not stay behind; other files do")
def test_stale_cut_files(tmp_path: Path) -> None:
    mine = tmp_path / "notes_cut.dxf"
    mine.write_text("mine")
    write(tmp_path, an_answer(), "in", all_parts())
    files = write(tmp_path, an_answer(), "in", trial_parts())
    assert sorted(tmp_path.iterdir()) == sorted([*files, mine])
    files = write(tmp_path, stopped(an_answer(), "F01"), "in", all_parts())
    assert sorted(tmp_path.iterdir()) == sorted([*files, mine])


@pytest.mark.behaviour("nothing but an answer")
def test_bare(tmp_path: Path) -> None:
    assert [path.name for path in write(tmp_path, an_answer(), "in", Plan())] == ["packet.pdf", "assessment.json"]


@pytest.mark.behaviour("a folder that cannot be written ends plainly, nothing left behind")
def test_unwritable(tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("a file")
    with pytest.raises(InputError, match="cannot be written"):
        write(taken, an_answer(), "in", Plan())
    (tmp_path / "out" / "packet.pdf").mkdir(parents=True)
    with pytest.raises(InputError, match="cannot be written"):
        write(tmp_path / "out", an_answer(), "in", Plan())
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["packet.pdf"]


@pytest.mark.behaviour("no spreadsheet runs a cell")
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n"])
def test_safe_cells(start: str) -> None:
    text = csv_bytes(("a", "b"), [(f"{start}cmd|' /C calc'!A0", 'plain, "quoted"')]).decode()
    _, row = csv.reader(io.StringIO(text, newline=""))
    assert row == [f"'{start}cmd|' /C calc'!A0", 'plain, "quoted"']


@pytest.mark.behaviour("the lists carry every wire and every line")
def test_lists(tmp_path: Path) -> None:
    parts = all_parts()
    write(tmp_path, an_answer(), "in", parts)
    wires = list(csv.DictReader(io.StringIO((tmp_path / "wires.csv").read_text("utf-8"))))
    assert [row["no."] for row in wires] == [str(wire.number) for wire in parts.wires]
    assert any(row["to"] == "'=B+1 (M2) +" for row in wires)
    lines = list(csv.DictReader(io.StringIO((tmp_path / "parts.csv").read_text("utf-8"))))
    assert len(lines) == len(parts.bill.lines)  # type: ignore[union-attr]
    assert {row["currency"] for row in lines} == {"USD"}
