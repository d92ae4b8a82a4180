"""A shroud's face with its fans: every rule fires and stays quiet, and cures cure."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import Circle, circle_outline
from shroudwright.bench.errors import InputError
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.stiffness import (
    SIZES,
    Face,
    Hung,
    Stiffness,
    Walls,
    cross_lines,
    cures,
    face_stiffness,
    stiffener_lines,
    with_sheet,
)

INCH, POUND, KSI = 0.0254, 0.45359237, 6894757.293168361
WALL = 1.54 * INCH


def fan(code: str, x: float, pounds: float = 5.5, rpm: float | None = None, reach: float = 4.5) -> Hung:
    mounts = tuple(((x + sx * reach) * INCH, (8.25 + sy * reach) * INCH) for sx in (-1, 1) for sy in (-1, 1))
    return Hung(code, pounds * POUND, mounts, rpm)


def opening(x: float, diameter: float = 11.0) -> tuple:  # type: ignore[type-arg]
    return circle_outline(Circle(x * INCH, 8.25 * INCH, 0.5 * diameter * INCH))


REFERENCE = Face(
    width=28.0 * INCH,
    height=16.5 * INCH,
    thickness=0.08 * INCH,
    metal="aluminium 5052-H32",
    openings=(opening(7.0), opening(21.0)),
    fans=(fan("F1", 7.0), fan("F2", 21.0)),
    walls=Walls(None, None, WALL, WALL),
    bolt_pitch=5.0 * INCH,
    welded=("left", "right"),
    core="aluminium",
)
SOUND = replace(REFERENCE, thickness=0.1 * INCH, stiffener="bead")
"""Nothing to find on it"""


def codes(face: Face) -> list[str]:
    return [finding.code for finding in face_stiffness(face).findings]


@pytest.mark.behaviour("a sound face draws no finding and asks for no cure")
def test_quiet() -> None:
    found = face_stiffness(SOUND)
    assert found.findings == found.stops == ()
    assert cures(found) == ()


@pytest.mark.behaviour(
    "each check fires on the face it is about, with what was measured and the limit; some stop the cutting"
)
@pytest.mark.parametrize(
    ("changes", "code", "measured", "limit", "place", "stops"),
    [
        ({"thickness": 0.05 * INCH}, "S01", 24.0, 30.0, "face", False),
        ({"thickness": 0.05 * INCH, "stiffener": "none"}, "S01", 15.3, 20.0, "face", True),
        ({"idle_firing": 52.0}, "S02", 53.6, 52.0, "the idling engine", False),
        ({"fans": (fan("F1", 7.0), fan("F2", 21.0, rpm=2900.0))}, "S02", 53.6, 48.33, "F2", False),
        ({"stiffener": "none"}, "S05", 165.0, 120.0, "face", False),
        ({"bolt_pitch": 6.5 * INCH}, "S07", 6.5 * INCH, 6.0 * INCH, "flanges", False),
        ({"metal": "mild steel", "thickness": 0.0747 * INCH}, "O15", 0.0241 * INCH, 0.01 * INCH, "flange bolts", False),
    ],
)
def test_fires(changes: dict[str, object], code: str, measured: float, limit: float, place: str, stops: bool) -> None:
    found = face_stiffness(replace(SOUND, **changes))  # type: ignore[arg-type]
    mine = [finding for finding in found.findings if finding.code == code]
    assert len(mine) == 1, found.findings
    assert (mine[0] in found.stops) == stops
    assert mine[0].measured == pytest.approx(measured, rel=0.03)
    assert mine[0].limit == pytest.approx(limit, rel=0.03)
    assert mine[0].place == place


@pytest.mark.behaviour(
    "a mount three quarters of an inch from a welded cap is in softened metal; from a bent edge it is not"
)
def test_softened_metal() -> None:
    near = replace(SOUND, fans=(fan("F1", 5.25), fan("F2", 21.0)), openings=(opening(5.25, 10.0), opening(21.0)))
    assert [finding for finding in face_stiffness(near).findings if finding.code == "S04"] == [
        ("S04", pytest.approx(0.75 * INCH), INCH, "F1")
    ]
    assert "S04" not in codes(replace(near, welded=()))


@pytest.mark.behaviour("cracking: over 70 % of what the metal stands is watched, over all of it stopped; where")
def test_cracking() -> None:
    watched = face_stiffness(replace(REFERENCE, thickness=0.075 * INCH))
    (one,) = [finding for finding in watched.findings if finding.code == "S03"]
    assert one not in watched.stops
    assert one.measured == pytest.approx(watched.fatigue_share * 17.0 * KSI)
    assert one.limit == pytest.approx(0.7 * 17.0 * KSI)
    stopped = face_stiffness(replace(REFERENCE, metal="aluminium 3003-H14"))
    (two,) = [finding for finding in stopped.findings if finding.code == "S03"]
    assert two in stopped.stops
    assert two.measured / KSI == pytest.approx(12.0, rel=0.05)
    assert two.limit / KSI == pytest.approx(9.0)
    assert two.place.endswith("edge of the face")
    thin = face_stiffness(replace(REFERENCE, metal="mild steel", thickness=0.0478 * INCH))
    assert [finding.place.endswith("hardest jolts") for finding in thin.findings if finding.code == "S03"] == [
        False,
        True,
    ]


@pytest.mark.by_hand("34.4 Hz clamped, 5.3 ksi and 13 ksi at a hole by the metal reference's own chain of sums")
def test_the_worked_example() -> None:
    found = face_stiffness(replace(REFERENCE, walls=Walls(None, None, 0.0, 0.0)))
    assert found.frequency == pytest.approx(34.2, rel=0.01)
    assert found.fatigue_share * 17.0 == pytest.approx(13.2, rel=0.03)
    assert found.yield_share * 28.0 / 3.0 == pytest.approx(5.3, rel=0.03)
    assert found.buckling_rise * 1.8 == pytest.approx(1.484, abs=0.01)
    assert found.slenderness == pytest.approx(206.25)
    assert found.growth / INCH == pytest.approx(0.048048, abs=1e-4)


@pytest.mark.law("bolts too far apart leave the walls as hinges: the same as no wall at all; slots let heat slip")
def test_bolts_and_slots() -> None:
    loose, hinged = replace(REFERENCE, bolt_pitch=8.0 * INCH), replace(REFERENCE, walls=Walls())
    assert face_stiffness(loose).frequency == pytest.approx(face_stiffness(hinged).frequency, rel=1e-12)
    steel = replace(SOUND, metal="mild steel", thickness=0.0747 * INCH)
    assert "O15" in codes(steel)
    assert "O15" not in codes(replace(steel, play=INCH / 16.0))
    assert "O15" not in codes(replace(steel, core=None))


@pytest.mark.behaviour(
    "cures: each is worked out again, the thinnest sheet sold that cures it, and what it leaves is named"
)
def test_cures() -> None:
    thin = face_stiffness(replace(REFERENCE, thickness=0.063 * INCH, bolt_pitch=8.0 * INCH))
    tried = {cure.what: cure for cure in cures(thin)}
    assert list(tried) == ["bolts", "thicker", "lip", "bead", "strap"]
    for cure in tried.values():
        assert cure.frequency > thin.frequency
    assert tried["bolts"].frequency == pytest.approx(
        face_stiffness(replace(thin.face, bolt_pitch=6.0 * INCH)).frequency, rel=1e-12
    )
    bolted = face_stiffness(replace(REFERENCE, thickness=0.063 * INCH))
    sheet = next(cure for cure in cures(bolted) if cure.what == "thicker")
    assert sheet.left == ()
    for size in SIZES["aluminium"]:
        if bolted.face.thickness < size < sheet.size:
            again = face_stiffness(replace(bolted.face, thickness=size))
            assert {"S01", "S02", "S03"} & {finding.code for finding in again.findings}
    left = next(cure for cure in cures(face_stiffness(replace(bolted.face, metal="3003-H14"))) if cure.what == "lip")
    assert {finding.code for finding in left.left} == {"S01", "S03"}


@pytest.mark.by_hand(
    "a lip about an endless sheet adds t h^3 / 3; with little sheet, what two strips about their own middle have"
)
def test_a_stiffener_with_its_sheet() -> None:
    t, h = 2.0, 30.0
    lip = (t * h, 0.5 * h, t * h**3 / 12.0)
    assert with_sheet((lip,), t, 1e12) == pytest.approx(t * h**3 / 3.0, rel=1e-6)
    middle = t * h * 0.5 * h / (t * h + 40.0 * t)
    by_hand = t * h**3 / 12.0 + t * h * (0.5 * h - middle) ** 2 + 40.0 * t * middle**2
    assert with_sheet((lip,), t, 40.0) == pytest.approx(by_hand)


@pytest.mark.law("stiffeners cross the face the short way, clear of every opening, alike from either end")
@given(st.floats(5.0, 13.0), st.floats(0.3, 2.0), st.booleans())
@settings(deadline=None)
def test_where_stiffeners_fit(diameter: float, width: float, upright: bool) -> None:
    face = replace(REFERENCE, openings=(opening(7.0, diameter), opening(21.0, diameter)))
    if not upright:
        turned = tuple(circle_outline(Circle(8.25 * INCH, x * INCH, 0.5 * diameter * INCH)) for x in (7.0, 21.0))
        face = replace(face, width=face.height, height=face.width, openings=turned)
    lines = cross_lines(face, width * INCH)
    spots = [(line.x1 if upright else line.y1) / INCH for line in lines]
    assert spots == pytest.approx([28.0 - spot for spot in reversed(spots)])
    for spot in spots:
        assert min(abs(spot - 7.0), abs(spot - 21.0)) >= 0.5 * diameter + 0.5 * width - 1e-9
    assert all(math.dist(line[:2], line[2:]) == pytest.approx(16.5 * INCH) for line in lines)


@pytest.mark.behaviour("a strap fits only where there is room, and the face knows where its own run")
def test_own_stiffeners() -> None:
    assert len(cross_lines(REFERENCE, INCH)) == 1
    assert stiffener_lines(REFERENCE) == ()
    crowded = replace(SOUND, openings=(opening(7.0, 13.9), opening(21.0, 13.9)), fans=())
    assert "S05" in codes(crowded)  # its beads fit nowhere
    assert len(stiffener_lines(SOUND)) == 3
    assert cross_lines(replace(REFERENCE, openings=(opening(7.0, 13.9), opening(21.0, 13.9))), INCH) == ()


@pytest.mark.law("heavier fans shake it slower and harder on the metal, whatever holds it")
@given(st.floats(1.0, 8.0), st.floats(1.05, 2.0))
@settings(deadline=None, max_examples=10)
def test_heavier_fans(pounds: float, times: float) -> None:
    light: Stiffness = face_stiffness(replace(REFERENCE, fans=(fan("F1", 7.0, pounds), fan("F2", 21.0, pounds))))
    heavy = face_stiffness(replace(REFERENCE, fans=(fan("F1", 7.0, times * pounds), fan("F2", 21.0, times * pounds))))
    assert heavy.frequency < light.frequency
    assert heavy.motion.stress > light.motion.stress


@pytest.mark.behaviour("a metal nobody keeps is named")
def test_unknown_metal() -> None:
    with pytest.raises(InputError, match="is not one of"):
        face_stiffness(replace(REFERENCE, metal="tin"))
    assert find_sheet(REFERENCE.metal).family == "aluminium"
