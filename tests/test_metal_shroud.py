"""A rolled shroud: flats that add up, holes where they belong, findings that fire and stay quiet."""

import math
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.arcs import area, box, contains, distance, length
from shroudwright.bench.errors import InputError
from shroudwright.metal.look import Fan
from shroudwright.metal.shroud import Shroud, rolled_shroud

INCH = 0.0254
HOLES = tuple((x * INCH, y * INCH, 0.25 * INCH) for x in (-5.7, 5.7) for y in (-5.7, 5.7))
TWO = tuple(Fan(f"F{n}", x * INCH, 9.0 * INCH, 12.0 * INCH, 13.0 * INCH, HOLES) for n, x in ((1, 7.0), (2, 21.0)))
GOOD: dict[str, Any] = {
    "core_width": 28.0 * INCH,
    "core_height": 18.0 * INCH,
    "depth": 1.5 * INCH,
    "roll_radius": 0.75 * INCH,
    "flange_radius": 0.125 * INCH,
    "flange_leg": 1.0 * INCH,
    "thickness": 0.08 * INCH,
    "metal": "aluminium 5052-H32",
    "fans": TWO,
    "opening_clearance": 0.15 * INCH,
    "bolt_hole": 0.201 * INCH,
    "bolt_pitch": 5.0 * INCH,
    "grommet": 0.75 * INCH,
    "trim": 0.5 * INCH,
}


def shroud(**changes: object) -> Shroud:
    return rolled_shroud(**{**GOOD, **changes})


def codes(made: Shroud) -> set[str]:
    return {finding.code for finding in made.findings}


@pytest.mark.behaviour("a sound design draws no finding")
def test_quiet() -> None:
    assert shroud().findings == ()


@pytest.mark.by_hand("blank 28 + 2 x 0.5 in by L; openings 12.3 in at the fans, as far from the middle as on the core")
def test_main_blank() -> None:
    made = shroud()
    blank, cap = made.flats
    assert box(blank.outline)[2:] == pytest.approx((29.0 * INCH, made.shape.length))
    first, second = (opening.shape for opening in blank.openings)
    assert (first.x, second.x) == pytest.approx((7.5 * INCH, 21.5 * INCH))
    assert first.y == second.y == pytest.approx(0.5 * made.shape.length)
    assert first.radius == pytest.approx(6.15 * INCH)
    assert [line.x1 / INCH for line in blank.etch_lines] == pytest.approx([0.5, 28.5])
    assert (blank.quantity, cap.quantity) == (1, 2)
    assert [hole.number for hole in blank.holes] == list(range(1, len(blank.holes) + 1))
    assert [bend.direction for bend in blank.bends] == ["up", "down", "down", "up"]


@pytest.mark.law("flanges, bends and face follow one another round the flat, the same from either edge")
@given(st.floats(0.4, 3.0), st.floats(1.0, 3.0), st.booleans())
def test_bends(roll: float, depth: float, thin: bool) -> None:
    made = shroud(roll_radius=roll * INCH, depth=depth * INCH, partial=True, thickness=(0.063 if thin else 0.08) * INCH)
    one, two, three, four = made.flats[0].bends
    shape = made.shape
    assert one.y1 - 0.5 * one.allowance == pytest.approx(shape.flange)
    assert two.y1 - one.y1 == pytest.approx(0.5 * (one.allowance + two.allowance) + shape.wall)
    assert three.y1 - two.y1 == pytest.approx(shape.face + two.allowance)
    assert one.y1 + four.y1 == pytest.approx(shape.length)
    assert two.y1 + three.y1 == pytest.approx(shape.length)
    straights = 2.0 * (shape.flange + shape.wall) + shape.face
    resummed = straights + sum(bend.allowance for bend in made.flats[0].bends)
    assert resummed == pytest.approx(shape.length, rel=1e-12)
    assert length(made.flats[0].outline) == pytest.approx(2.0 * (29.0 * INCH + shape.length), rel=1e-12)


@pytest.mark.by_hand("middle line times length, less holes, plus two caps, times thickness and density")
def test_weight() -> None:
    made = shroud()
    blank, cap = made.flats
    cut = sum(math.pi * item.radius**2 for item in (opening.shape for opening in blank.openings))
    cut += sum(0.25 * math.pi * hole.diameter**2 for hole in blank.holes)
    net = area(made.section) * 28.0 * INCH + (2.0 * area(cap.outline) - cut) * 0.08 * INCH
    assert made.weight == pytest.approx(net * 0.097 * 0.45359237 / INCH**3, rel=1e-9)
    assert made.weight == pytest.approx(shroud(trim=0.0).weight)


@pytest.mark.law("every hole and opening is inside the trimmed blank; the grommet sits where there is room")
@given(st.floats(20.0, 40.0), st.floats(0.0, 1.0), st.floats(2.0, 8.0))
def test_holes_inside(width: float, trim: float, pitch: float) -> None:
    fans = (Fan("F1", 0.5 * width * INCH, 9.0 * INCH, 14.0 * INCH, 15.0 * INCH, HOLES[:0]),)
    made = shroud(core_width=width * INCH, fans=fans, trim=trim * INCH, bolt_pitch=pitch * INCH)
    blank = made.flats[0]
    for hole in blank.holes:
        assert contains(blank.outline, hole.x, hole.y)
        assert distance(blank.outline, hole.x, hole.y) > hole.diameter
        assert trim * INCH + hole.diameter < hole.x < (trim + width) * INCH - hole.diameter
    bolts = [hole for hole in blank.holes if hole.purpose == "flange bolt"]
    row = sorted(hole.x for hole in bolts if hole.y < 0.5 * made.shape.length)
    assert 2 * len(row) == len(bolts)
    assert max(far - near for near, far in pairwise(row)) <= pitch * INCH * (1.0 + 1e-9)
    grommet = blank.holes[-1]
    opening = blank.openings[0].shape
    assert grommet.purpose == "grommet"
    assert math.hypot(grommet.x - opening.x, grommet.y - opening.y) > opening.radius + 0.5 * grommet.diameter


@pytest.mark.behaviour("each check fires on the design it is about, with what was measured and the limit")
@pytest.mark.parametrize(
    ("changes", "code", "measured", "limit", "place", "stops"),
    [
        ({"flange_radius": 0.1 * INCH}, "B01", 0.1, 0.12, "flange bends", True),
        ({"depth": 0.9 * INCH, "partial": True}, "B03", 0.75, 0.695, "rolls", False),
        ({"depth": 1.055 * INCH}, "B04", 0.1, 0.16, "walls", False),
        ({"roll_radius": 1.25 * INCH, "depth": 1.8 * INCH, "core_height": 15.0 * INCH}, "B05", 9.5, 13.0, "F1", True),
        ({"flange_leg": 0.5 * INCH}, "B06", 0.295, 0.32, "flanges", True),
        ({"flange_leg": 0.75 * INCH, "bolt_hole": 0.266 * INCH}, "O01", 0.0866, 0.16, "hole 9, flange bolt", False),
        ({"flange_leg": 0.75 * INCH}, "O03", 0.3125, 0.402, "hole 9, flange bolt", False),
        ({"opening_clearance": 0.55 * INCH}, "O05", 13.1, 13.0, "F1", True),
        ({"fans": (TWO[0]._replace(x=6.1 * INCH), TWO[1])}, "O03", -0.05, 0.16, "opening 1", True),
        ({"fans": (TWO[0], TWO[1]._replace(x=19.6 * INCH))}, "O04", 0.3, 0.75, "F1 and F2", False),
        ({"fans": (TWO[0], TWO[1]._replace(x=19.4 * INCH))}, "O04", 0.1, 0.16, "F1 and F2", True),
    ],
)
def test_fires(changes: dict[str, object], code: str, measured: float, limit: float, place: str, stops: bool) -> None:
    made = shroud(**changes)
    found = [finding for finding in made.findings if (finding.code, finding.place) == (code, place)]
    assert len(found) == 1, made.findings
    assert (found[0] in made.stops) == stops
    assert found[0].measured / INCH == pytest.approx(measured, abs=5e-3)
    assert found[0].limit / INCH == pytest.approx(limit, abs=5e-3)


@pytest.mark.behaviour("no mounting holes known: none drawn, and a finding says so")
def test_no_mounting_holes() -> None:
    made = shroud(fans=(TWO[0], TWO[1]._replace(holes=())))
    assert made.findings == (("O08", 0.0, 1.0, "F2"),)
    assert not any(hole.purpose == "F2 mount" for hole in made.flats[0].holes)


@pytest.mark.behaviour("a bolt in a roll")
def test_bolt_in_a_roll() -> None:
    fan = TWO[0]._replace(y=8.0 * INCH, holes=((0.0, -7.5 * INCH, 0.25 * INCH),))
    made = shroud(fans=(fan, TWO[1]))
    assert codes(made) == {"O02"}
    assert made.stops == made.findings


@pytest.mark.behaviour("a roll that does not fit is refused unless it may stop short; impossible sizes are refused")
def test_refusals() -> None:
    shallow = {"depth": 1.0 * INCH, "roll_radius": 2.0 * INCH}
    with pytest.raises(InputError, match=r"largest 0\.795 in .* stops at 56\.9 deg"):
        shroud(**shallow)
    made = shroud(**shallow, partial=True)
    assert math.degrees(made.shape.angle) == pytest.approx(56.87378, abs=1e-4)
    assert made.shape.wall == 0.0
    with pytest.raises(InputError) as caught:
        shroud(thickness=0.0, trim=-1.0)
    assert len(caught.value.faults) == 2
    with pytest.raises(InputError, match="mild steel"):
        shroud(metal="brass")


@pytest.mark.behaviour("no trim, no trim lines")
def test_no_trim() -> None:
    blank = shroud(trim=0.0).flats[0]
    assert blank.etch_lines == ()
    assert [text.text for text in blank.etch_texts] == ["OUTER FACE UP"]
