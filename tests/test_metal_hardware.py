"""Fasteners, seals and couples; the weld list and its rules."""

import math
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.bench.sources import SOURCES
from shroudwright.catalogue.read import table
from shroudwright.metal.hardware import (
    Couple,
    Fastener,
    Grommet,
    Seal,
    by_hole,
    choose_grommet,
    choose_rivet,
    choose_seal,
    couple,
    couple_findings,
    fasteners,
    rivet_findings,
    row_of,
    strip_weight,
)
from shroudwright.metal.welds import HOT, Filler, Joint, filler_for, heat_input, weld_current, weld_list

INCH = 0.0254
T = 0.08 * INCH


@pytest.mark.law(
    "every row names a source that is kept; a fastener goes into its own holes; grips of a size do not overlap"
)
def test_the_tables() -> None:
    for name, record in (
        ("fasteners.csv", Fastener), ("seals.csv", Seal), ("grommets.csv", Grommet),
        ("couples.csv", Couple), ("fillers.csv", Filler),
    ):  # fmt: skip
        assert all(row.source in SOURCES for row in table(name, record))  # type: ignore[type-var]
    for kind in ("blind rivet", "rivet nut", "bolt"):
        assert all(row.diameter < row.hole_least <= row.hole_most for row in fasteners(kind))
    rivets = fasteners("blind rivet")
    for size in {row.size for row in rivets}:
        ends = [end for row in rivets if row.size == size for end in (row.grip_least, row.grip_most)]
        assert ends == sorted(ends)
    assert all(row.bore < row.hole for row in table("grommets.csv", Grommet))


@pytest.mark.published(
    "TM 10-5410-221-14: 1/8 in, hole .128 to .132, grips from .063; 5/32 in, .160 to .164, from .020"
)
def test_the_rivets_of_the_manual() -> None:
    listed = [
        (row.size, *(round((size or 0.0) / INCH, 4) for size in row[4:8]))
        for row in fasteners("blind rivet")
        if row.source == "tm-10-5410-221-14"
    ]
    eighth, five = ("1/8", 0.128, 0.132), ("5/32", 0.160, 0.164)
    ranges = [(*eighth, 0.063, 0.125), (*eighth, 0.126, 0.187), (*eighth, 0.188, 0.25)]
    assert listed == [*ranges, (*five, 0.020, 0.125), (*five, 0.126, 0.187)]


@pytest.mark.practice("the grip holds the stack; about three times the thickest sheet")
@pytest.mark.parametrize(
    ("sheets", "code"),
    [
        ((0.04, 0.04), "R1/8-2"),
        ((0.05, 0.05), "R5/32-2"),
        ((0.063, 0.08), "R3/16-4"),
        ((0.04, 0.04, 0.04, 0.04), "R1/8-3"),
        ((0.05, 0.0755), "R3/16-4"),
        ((0.3,), None),
    ],
)
def test_rivets_by_grip(sheets: tuple[float, ...], code: str | None) -> None:
    found = choose_rivet([sheet * INCH for sheet in sheets])
    assert (found and found.code) == code


@pytest.mark.practice("a number 10 bolt in 0.201 in, a 1/4 in in 0.266; rivet nuts only in their own holes")
def test_by_hole() -> None:
    def size(kind: str, hole: float) -> str | None:
        found = by_hole(kind, hole * INCH)
        return found and found.size

    assert [size("bolt", hole) for hole in (0.15, 0.201, 0.257, 0.266)] == [None, "10-32", "1/4-20", "1/4-20"]
    assert [size("rivet nut", hole) for hole in (0.201, 0.297, 0.391)] == [None, "10-32", "1/4-20"]
    assert choose_grommet(0.75 * INCH, T).bore == pytest.approx(0.5625 * INCH)  # type: ignore[union-attr]
    assert choose_grommet(0.70 * INCH, T) is None
    assert choose_seal("edge trim", T).code == "trim 1/8"  # type: ignore[union-attr]
    assert choose_seal("edge trim", 0.063 * INCH).code == "trim 1/16"  # type: ignore[union-attr]
    assert choose_seal("edge trim", 0.2 * INCH) is None


@pytest.mark.law(
    "pitch between 3 D and the lesser of 6 D and 24 t (3 D at least); the row fills its lap; no finding of its own"
)
@given(st.floats(1.0, 60.0), st.sampled_from(fasteners("blind rivet")), st.floats(0.04, 0.125))
@settings(deadline=None)
def test_rows(length: float, rivet: Fastener, thickness: float) -> None:
    d, t = rivet.diameter, thickness * INCH
    row = row_of(length * INCH, d, t)
    if row.rivets == 1:
        assert length * INCH < 7.0 * d + 1e-9
        return
    assert row.pitch * (row.rivets - 1) + 4.0 * d == pytest.approx(length * INCH)
    assert row.pitch >= 3.0 * d * (1.0 - 1e-9)
    assert row.pitch <= max(min(6.0 * d, 24.0 * t), 6.0 * d) * (1.0 + 1e-9)
    grip = [rivet.grip_most or 0.0]
    assert rivet_findings(rivet, grip, row.pitch, 2.0 * d, "seam") == ((), ())


@pytest.mark.by_hand("D 1/8: pitch 3/8 to 1 in, edge 1/4 in; grip of the chosen rivet")
@pytest.mark.parametrize(
    ("sheets", "pitch", "edge", "measured", "limit", "place", "stops"),
    [
        ((0.04, 0.04), 0.3, 0.25, 0.3, 0.375, "seam, pitch", True),
        ((0.04, 0.04), 1.1, 0.25, 1.1, 1.0, "seam, pitch", False),
        ((0.04, 0.04), 0.5, 0.2, 0.2, 0.25, "seam, edge", True),
        ((0.02, 0.02), 0.5, 0.25, 0.04, 0.063, "seam, grip", True),
        ((0.08, 0.08), 0.5, 0.25, 0.16, 0.125, "seam, grip", True),
    ],
)
def test_s08(
    sheets: tuple[float, ...], pitch: float, edge: float, measured: float, limit: float, place: str, stops: bool
) -> None:
    rivet = fasteners("blind rivet")[0]
    found, held = rivet_findings(rivet, [sheet * INCH for sheet in sheets], pitch * INCH, edge * INCH, "seam")
    assert [(f.code, f.place) for f in found] == [("S08", place)]
    assert (found[0].measured / INCH, found[0].limit / INCH) == pytest.approx((measured, limit))
    assert (held == found) == stops


@pytest.mark.published(
    "MIL-STD-889B series: aluminium by zinc, far from copper and brass; stainless screws: MIL-STD-1250A"
)
def test_couples() -> None:
    assert couple("brass", "aluminium") == couple("aluminium", "brass")
    for other in ("copper", "brass", "bare steel", "zinc-plated steel", "stainless fastener"):
        fires = other in ("copper", "brass", "bare steel")
        assert bool(couple_findings("aluminium", other, is_isolated=False)) == fires
        assert couple_findings("aluminium", other, is_isolated=True) == ()
    assert couple_findings("aluminium", "copper", False)[0].code == "M05"
    assert couple("aluminium", "gold") is None


@pytest.mark.by_hand("1/2 x 1/2 in x 1 m x 130 kg/m3 = 21 g; a flap 3 in wide is three times its inch")
def test_strip_weight() -> None:
    foam, rubber = choose_seal("foam strip"), choose_seal("flap rubber")
    assert foam is not None
    assert rubber is not None
    assert strip_weight(foam, 1.0) == pytest.approx(0.0127**2 * 130.0)
    assert strip_weight(rubber, 1.0, 3.0 * INCH) == pytest.approx(3.0 * strip_weight(rubber, 1.0))


@pytest.mark.published("Mathers, Table 3.3: 5052 strength 5356, 6061 least cracking 4043; above 150 degF 5554")
@pytest.mark.parametrize(
    ("metal", "other", "hot", "filler"),
    [
        ("5052-H32", "", True, "5554"),
        ("5052-H32", "", False, "5356"),
        ("6061-T6", "", True, "4043"),
        ("3003-H14", "", False, "4043"),
        ("3003-H14", "5052-H32", True, "5554"),
        ("5052-H32", "3003-H14", False, "5356"),
        ("mild steel", "", True, "ER70S-2"),
        ("5052-H32", "mild steel", True, None),
    ],
)
def test_fillers(metal: str, other: str, hot: bool, filler: str | None) -> None:
    assert filler_for(metal, other, is_hot=hot) == filler


@pytest.mark.published("a welder's handbook page: fillets of 1.6 mm 60 to 80 A, 3.2 mm 125 to 145 A; within 4 A")
@pytest.mark.parametrize(("millimetres", "least", "most"), [(1.6, 60.0, 80.0), (3.2, 125.0, 145.0)])
def test_current(millimetres: float, least: float, most: float) -> None:
    assert weld_current(1e-3 * millimetres) == pytest.approx((least, most), abs=4.0)


@pytest.mark.by_hand("75 A at 12 V and 8 in/min: 12 x 75 x 60 / 8 J/in = 6.75 kJ/in")
def test_heat() -> None:
    assert heat_input(12.0, 75.0, 8.0 * INCH / 60.0) * INCH == pytest.approx(6750.0)


@dataclass
class Case:
    joint: Joint
    code: str
    level: str
    metal: str = "aluminium 5052-H32"
    filler: str = ""
    finish: str = "bare"


CORNER = Joint("end", "corner", 20.0 * INCH, T)
MOUNT = CORNER._replace(name="mount", carries_load=True)


@pytest.mark.behaviour("a sound list draws no finding: loads first, tacked, a filler on each")
def test_quiet_list() -> None:
    made = weld_list([CORNER, MOUNT, CORNER._replace(is_blended=True, is_full=True)], "aluminium 5052-H32")
    assert made.told == ()
    assert [line.joint.name for line in made.lines] == ["mount", "end", "end"]
    assert [line.number for line in made.lines] == [1, 2, 3]
    assert {line.filler for line in made.lines} == {"5554"}
    assert made.lines[0].tacks == 17
    assert made.lines[0].amps == pytest.approx((80.0, 100.0))
    assert made.lines[2].finish == "ground flush and blended"
    assert made.weight == pytest.approx(3 * 1.33 * T**2 * 20.0 * INCH * 2700.0)
    assert weld_list([CORNER], "mild steel", finish="paint").lines[0].finish == "left as welded, then paint"


@pytest.mark.behaviour("each rule fires on its own fault, at its level, and on nothing else")
@pytest.mark.parametrize(
    "case",
    [
        Case(CORNER, "M01", "watch", filler="5356"),
        Case(MOUNT, "M01", "stop", filler="5356"),
        Case(CORNER, "M02", "note", filler="4043"),
        Case(MOUNT, "M02", "watch", filler="4043"),
        Case(CORNER._replace(other_metal="mild steel"), "M03", "stop"),
        Case(CORNER._replace(is_blended=True), "M04", "watch"),
        Case(CORNER._replace(is_blended=True, is_full=True, thickness=0.05 * INCH), "M04", "watch"),
        Case(CORNER, "M06", "note", "aluminium 3003-H14", finish="anodise"),
        Case(CORNER, "M07", "stop", "aluminium"),
        Case(CORNER._replace(thickness=0.16 * INCH), "M08", "watch"),
        Case(CORNER._replace(thickness=0.075 * INCH), "M08", "watch", "mild steel"),
    ],
    ids=lambda case: f"{case.code} {case.level}",
)
def test_weld_rules(case: Case) -> None:
    made = weld_list([case.joint], case.metal, filler=case.filler, finish=case.finish)  # type: ignore[arg-type]
    assert [(told.finding.code, told.level) for told in made.told] == [(case.code, case.level)]


@pytest.mark.by_hand("150 degF is (150 - 32) / 1.8 + 273.15 K; a joint without length is refused")
def test_hot_and_refused() -> None:
    assert pytest.approx((150.0 - 32.0) / 1.8 + 273.15, abs=0.05) == HOT
    cool = weld_list([CORNER], "aluminium 5052-H32", service_temperature=HOT - 1.0)
    assert (cool.lines[0].filler, cool.told) == ("5356", ())
    with pytest.raises(InputError, match="no length or thickness"):
        weld_list([CORNER._replace(length=0.0)], "mild steel")
    assert math.isclose(cool.lines[0].rod, 0.0625 * INCH)
