"""Lips on any outline, slots, and what the rules say of slots."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import Arc, Circle, area, box, length, moved, rectangle, segments
from shroudwright.bench.errors import InputError
from shroudwright.metal.cutouts import flared_hole, lip_setback
from shroudwright.metal.drawing_rules import drawing_findings
from shroudwright.metal.flat import BendLine, Finding, Flat, Hole, Opening, bolts_of
from shroudwright.metal.lips import MOST_STRETCH, flared, least_neck, shifted
from shroudwright.metal.opening_rules import opening_findings
from shroudwright.metal.openings import lobed
from shroudwright.metal.slots import slot, slotted

INCH = 0.0254
T, R = 0.08 * INCH, 0.125 * INCH


@pytest.mark.law("moved in by w an outline of tangent lines loses its length times w and gains pi w^2 of area")
@given(st.floats(0.001, 0.02), st.floats(0.1, 0.4), st.floats(0.1, 0.4))
@settings(deadline=None)
def test_shifted(inward: float, width: float, height: float) -> None:
    for outline in (rectangle(width, height, 0.04), lobed(4, 0.1, 0.12, 0.03)):
        inner = shifted(outline, inward)
        turns = sum(item.sweep for item in segments(outline) if isinstance(item, Arc))
        assert turns == pytest.approx(math.tau)
        assert area(inner) == pytest.approx(area(outline) - inward * length(outline) + math.pi * inward**2)
        assert length(inner) == pytest.approx(length(outline) - math.tau * inward)
        assert shifted(inner, -inward) == tuple(pytest.approx(vertex) for vertex in outline)


@pytest.mark.by_hand("a circle's cut is `flared_hole`; straights do not stretch, corners as a circle of their radius")
def test_flared() -> None:
    hole = flared_hole(12.0 * INCH, 0.5 * INCH, R, T)
    made = flared(Circle(0.1, 0.2, 6.0 * INCH), 0.5 * INCH, R, T)
    assert made.shape == pytest.approx((0.1, 0.2, 0.5 * hole.diameter))
    assert made.stretch == pytest.approx(hole.stretch)
    window = flared(rectangle(14.0 * INCH, 13.0 * INCH, 6.0 * INCH), 0.5 * INCH, R, T)
    assert window.stretch == pytest.approx(hole.stretch)
    around = box(window.shape)  # type: ignore[arg-type]
    assert around.x2 - around.x1 == pytest.approx(14.0 * INCH - 2.0 * lip_setback(0.5 * INCH, R, T))
    assert window.gather == 0.0


@pytest.mark.behaviour("what splits, buckles or tears is refused with the radius that does; that radius is taken")
def test_refused_lips() -> None:
    setback = lip_setback(0.4 * INCH, R, T)
    least = setback + (setback + 0.5 * T) / MOST_STRETCH
    with pytest.raises(InputError, match=f"splits at curves of 1.000 in radius; they must be {least / INCH:.3f} in"):
        flared(rectangle(6.0 * INCH, 5.0 * INCH, INCH), 0.4 * INCH, R, T)
    assert flared(Circle(0.0, 0.0, least), 0.4 * INCH, R, T).stretch == pytest.approx(MOST_STRETCH)
    tight = lobed(3, 3.0 * INCH, 4.0 * INCH, 0.375 * INCH)
    neck = least_neck(0.4 * INCH, R, T)
    with pytest.raises(InputError, match=f"buckles at necks of 0.375 in radius; they must be {neck / INCH:.3f} in"):
        flared(tight, 0.4 * INCH, R, T)
    assert flared(lobed(3, 3.0 * INCH, 4.0 * INCH, neck), 0.4 * INCH, R, T).gather == pytest.approx(0.15)
    with pytest.raises(InputError, match="a corner is sharp"):
        flared(rectangle(6.0 * INCH, 5.0 * INCH), 0.4 * INCH, R, T)
    with pytest.raises(InputError, match="lower than its bend"):
        flared(Circle(0.0, 0.0, 0.2), 0.1 * INCH, R, T)


def plate(*openings: Opening, holes: tuple[Hole, ...] = ()) -> Flat:
    bend = BendLine(1, 0.0, 0.0, 20.0 * INCH, 0.0, 1.5, R, "up", 0.2 * INCH, 0.0)
    sheet = moved(rectangle(20.0 * INCH, 12.0 * INCH), 0.0, -2.0 * INCH)
    return Flat("plate", sheet, openings, holes, (bend,), (), (), T, 1)


def bolt_slot(x: float, y: float) -> Opening:
    """3/8 in long for a 1/4 in bolt, inches."""
    return Opening(
        slot(x * INCH, y * INCH, 0.375 * INCH, 0.25 * INCH), "bolt", Circle(x * INCH, y * INCH, 0.125 * INCH)
    )


@pytest.mark.by_hand("0.080 sheet: slots want 0.32 in to a bend's tangent, 0.5 in from bolt to edge, 0.3 at least")
@pytest.mark.parametrize(
    ("x", "y", "code", "measured", "limit", "is_stop"),
    [
        (10.0, 0.50, "O01", 0.275, 0.32, False),
        (10.0, 0.28, "O01", 0.055, 0.08, True),
        (10.0, 0.1, "O02", -0.1, 0.0, True),
        (10.0, 9.55, "O03", 0.45, 0.5, False),
        (10.0, 9.72, "O03", 0.28, 0.3, True),
        (10.0, 9.74, "O03", 0.26, 0.3, True),
        (10.0, 5.0, "", 0.0, 0.0, False),
        (10.0, 0.55, "", 0.0, 0.0, False),
    ],
)
def test_slots_are_judged(x: float, y: float, code: str, measured: float, limit: float, is_stop: bool) -> None:
    flat = plate(bolt_slot(x, y))
    look = opening_findings(flat)
    assert not list(drawing_findings(flat))
    if not code:
        assert look == ((), ())
        return
    found = Finding(code, pytest.approx(measured * INCH), pytest.approx(limit * INCH), "opening 1, bolt")
    assert found in (look.stops if is_stop else look.findings)
    assert bool(look.stops) == is_stop


@pytest.mark.behaviour("slots lie along their longer side; play leaves the bolt where it was, one of them fixed")
def test_slots() -> None:
    flatter, upright = slot(1.0, 2.0, 0.5, 0.2), slot(1.0, 2.0, 0.2, 0.5)
    assert box(flatter) == pytest.approx((0.75, 1.9, 1.25, 2.1))
    assert box(upright) == pytest.approx((0.9, 1.75, 1.1, 2.25))
    assert area(flatter) == pytest.approx(area(upright)) == pytest.approx(0.3 * 0.2 + math.pi * 0.01)
    holes = tuple(Hole(n, n * 3.0 * INCH, 5.0 * INCH, 0.2 * INCH, "flange bolt") for n in (1, 2, 3, 4))
    made = slotted(plate(holes=holes), ("flange bolt",), INCH / 16.0, keep=True)
    assert [hole.x for hole in made.holes] == [9.0 * INCH]
    assert sorted((hole.x, hole.y, hole.diameter) for hole in bolts_of(made)) == [
        pytest.approx((hole.x, hole.y, hole.diameter)) for hole in holes
    ]
    assert opening_findings(made) == ((), ())
