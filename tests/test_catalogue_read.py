from pathlib import Path
from typing import NamedTuple

import pytest

from shroudwright.bench.errors import InputError
from shroudwright.catalogue import read
from shroudwright.catalogue.read import Wire, table


class Thing(NamedTuple):
    code: str
    length: float | None
    share: float | None


def write(folder: Path, text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "things.csv").write_text(text)
    monkeypatch.setattr(read, "files", lambda _: folder)
    table.cache_clear()


@pytest.mark.behaviour("units from row 2, spaces ignored, blank is unknown, never zero")
def test_a_table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(tmp_path, "code, length, share\n, in, -\nA1, 10, 0.5\nA2, , \n", monkeypatch)
    first, second = table("things.csv", Thing)
    assert first == ("A1", pytest.approx(0.254), 0.5)
    assert second == ("A2", None, None)


@pytest.mark.behaviour("every fault of a table is named with its line")
def test_faults(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(tmp_path, "code, length, share\n, in, -\nA1, ten, 0.5\nA2, 1\n", monkeypatch)
    with pytest.raises(InputError) as caught:
        table("things.csv", Thing)
    assert len(caught.value.faults) == 2
    assert "line 3" in caught.value.faults[0]
    assert "line 4" in caught.value.faults[1]


@pytest.mark.behaviour("a table whose fields are not the record's is refused")
def test_wrong_fields(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(tmp_path, "code, width\n, in\nA1, 10\n", monkeypatch)
    with pytest.raises(InputError, match="fields code, width are not code, length, share"):
        table("things.csv", Thing)


@pytest.mark.law("codes are unique, each wire has copper or resistance and its standing, thicker wire has more copper")
def test_the_wire_table() -> None:
    wires = table("wire.csv", Wire)
    assert len({wire.code for wire in wires}) == len(wires)
    assert all(wire.area or wire.resistance for wire in wires)
    assert all(wire.source and wire.seen and wire.grade for wire in wires)
    for system, key in (("SAE", "area"), ("metric", "resistance")):
        values = [getattr(wire, key) for wire in wires if wire.system == system]
        assert sorted(values, reverse=system == "metric") == values


@pytest.mark.by_hand("5833 circular mil x 5.0671e-4 mm2 = 2.956 mm2; 3.30 milliohm/m is 0.0033 ohm/m")
def test_units_of_the_wire_table() -> None:
    wires = {wire.code: wire for wire in table("wire.csv", Wire)}
    assert wires["S12"].area == pytest.approx(2.956e-6, rel=2e-4)
    assert wires["M6"].resistance == pytest.approx(0.0033)
    assert wires["M6"].area is None
