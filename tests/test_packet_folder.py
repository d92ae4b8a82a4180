"""What a packet leaves in its folder."""

import csv
import hashlib
import io
import json
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest

from shroudwright.bench.errors import InputError
from shroudwright.drawing.dxf import lint
from shroudwright.drawing.faults import ExportFault
from shroudwright.metal.hardware import Item
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.welds import Joint, weld_list
from shroudwright.packet import Plan, folder, write
from shroudwright.packet.shop_lists import hardware_blocks, weld_blocks
from shroudwright.packet.tables import csv_bytes
from tests.packets import a_shroud, all_parts, an_answer, stopped, trial_parts


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
    assert sorted(path.name for path in held) == [
        "assessment.json",
        "manifest.json",
        "packet.pdf",
        "parts.csv",
        "wires.csv",
        "wiring.svg",
    ]
    free = write(tmp_path / "free", stopped(an_answer(), "W10"), "mm", all_parts())
    assert any(path.suffix == ".dxf" for path in free)


@pytest.mark.behaviour("the manifest lists every file by its digest, and what was held back and why")
def test_manifest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = write(tmp_path / "whole", an_answer(), "in", all_parts())
    told = json.loads((tmp_path / "whole" / "manifest.json").read_text("utf-8"))
    assert told["left_out"] == []
    assert [item["name"] for item in told["files"]] == [path.name for path in files[:-1]]
    for item, path in zip(told["files"], files, strict=False):
        assert item["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    write(tmp_path / "held", stopped(an_answer(), "F01"), "in", all_parts())
    told = json.loads((tmp_path / "held" / "manifest.json").read_text("utf-8"))
    assert told["left_out"] == [{"what": "cut files, templates and cut list", "why": "F01 stands"}]

    def fails(*_: object) -> bytes:
        raise ExportFault("D13", ["CUT: area reads 1, designed 2"])

    monkeypatch.setattr(folder, "cut_dxf", fails)
    files = write(tmp_path / "whole", an_answer(), "in", all_parts())
    assert not any(path.name.endswith("_cut.dxf") for path in (tmp_path / "whole").iterdir())
    told = json.loads((tmp_path / "whole" / "manifest.json").read_text("utf-8"))
    assert [item["why"] for item in told["left_out"]] == ["D13: CUT: area reads 1, designed 2"] * 2


@pytest.mark.by_hand("the blank's box and thickness; pierces: outline, two openings and its holes")
def test_cut_list(tmp_path: Path) -> None:
    write(tmp_path, an_answer(), "in", all_parts())
    blank, cap = csv.DictReader(io.StringIO((tmp_path / "cut_list.csv").read_text("utf-8")))
    made = a_shroud()
    assert (blank["part"], blank["cut"], blank["wide"], blank["thick"]) == ("main blank", "1", "25.500 in", "0.063 in")
    assert blank["high"] == f"{made.shape.length / 0.0254:.3f} in"
    assert int(blank["pierces"]) == 1 + 2 + len(made.flats[0].holes)
    assert (cap["cut"], cap["bends"], cap["pierces"]) == ("2", "0", "1")
    # One blank, its ends cut off, and two caps weigh what the shroud does.
    trimmed = 2 * made.trim * made.shape.length * made.shape.thickness * find_sheet(made.metal).density / 0.45359237
    both = float(blank["weighs each"].split()[0]) - trimmed + 2 * float(cap["weighs each"].split()[0])
    assert both == pytest.approx(made.weight / 0.45359237, abs=0.02)


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
    assert [path.name for path in write(tmp_path, an_answer(), "in", Plan())] == [
        "packet.pdf",
        "assessment.json",
        "manifest.json",
    ]


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


@pytest.mark.behaviour("hardware and welds have their lists, in either unit; a name cannot run in a spreadsheet")
def test_hardware_and_welds(tmp_path: Path) -> None:
    items = (
        Item("bolt", "10-32", "=A mount", 4, 0.0, 0.0051, 0.026, "memory"),
        Item("foam strip", "1/2 in", "once round", 1, 2.0, 0.0, 0.04, "practice"),
    )
    welds = weld_list([Joint("end cap", "corner", 0.5, 0.002, times=2)], "aluminium 5052-H32")
    parts = replace(all_parts(), hardware=items, welds=welds)
    write(tmp_path, an_answer(), "mm", parts)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "hardware.csv").read_text("utf-8"))))
    assert [row["number or length"] for row in rows] == ["4", "2000.0 mm"]
    assert rows[0]["where"] == "'=A mount"
    assert weld_blocks("in", parts)[1]["rows"][0][4] == "5554, 0.062 in"
    assert hardware_blocks("mm", parts)[1]["rows"][1][5] == "40 g"
    assert weld_blocks("in", all_parts()) == hardware_blocks("in", all_parts()) == []
