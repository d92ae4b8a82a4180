"""The rolled section: parts that add up, the impossible refused, the outline true to the numbers."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shroudwright.bench.arcs import area, box, contains, length
from shroudwright.bench.errors import InputError
from shroudwright.metal.section import (
    cap_outline,
    developed_length,
    folded_volume,
    largest_roll,
    roll_angle,
    rolled_section,
    section_outline,
    volume_excess,
)
from shroudwright.metal.walls import Section

INCH = 0.0254


@st.composite
def sections(draw: st.DrawFn) -> Section:
    t = draw(st.floats(0.8e-3, 4e-3))
    r = draw(st.floats(0.0, 8e-3))
    depth = draw(st.floats(0.01, 0.1))
    roll = draw(st.floats(0.005, 0.15))
    most = roll_angle(depth, roll, r, t)
    angle = most * draw(st.floats(0.3, 1.0))
    leg = (r + t) * math.tan(0.5 * angle) + draw(st.floats(1e-3, 0.04))
    width = 2.0 * roll * math.sin(angle) + draw(st.floats(0.05, 1.0))
    return rolled_section(
        width=width,
        depth=depth,
        roll_radius=roll,
        thickness=t,
        flange_radius=r,
        flange_leg=leg,
        k_roll=draw(st.floats(0.3, 0.5)),
        k_flange=draw(st.floats(0.3, 0.5)),
        angle=angle,
    )


@pytest.mark.by_hand("reference part: s 0.295, f 0.545, face 16.5, L 21.1484 in")
def test_reference_part() -> None:
    part = rolled_section(
        width=18 * INCH,
        depth=1.25 * INCH,
        roll_radius=0.75 * INCH,
        thickness=0.08 * INCH,
        flange_radius=0.125 * INCH,
        flange_leg=0.75 * INCH,
        k_roll=0.5,
        k_flange=0.373455,
    )
    assert part.wall / INCH == pytest.approx(0.295)
    assert part.flange / INCH == pytest.approx(0.545)
    assert part.face / INCH == pytest.approx(16.5)
    assert part.length / INCH == pytest.approx(21.1484, abs=5e-5)
    assert box(section_outline(part)) == pytest.approx((0.0, 0.0, 19.5 * INCH, 1.33 * INCH), abs=1e-12)
    assert box(cap_outline(part)) == pytest.approx((0.0, 0.0, 18.41 * INCH, 1.33 * INCH), abs=1e-12)


@pytest.mark.law("the flat is as long as its parts summed again, in another order, to 1e-12")
@given(sections())
def test_flat_length(part: Section) -> None:
    parts = [part.flange, part.flange_allowance, part.wall, part.roll_allowance]
    assert part.length == pytest.approx(math.fsum([*parts, part.face, *parts[::-1]]), rel=1e-12)


@pytest.mark.law("metal in the section is its middle line times thickness; each edge is one pass of the sheet")
@given(sections())
def test_outline_area(part: Section) -> None:
    outline = section_outline(part)
    assert area(outline) == pytest.approx(part.middle_length * part.thickness, rel=1e-9)
    assert length(outline) == pytest.approx(2.0 * (part.middle_length + part.thickness), rel=1e-9)
    _, _, right, top = box(outline)
    assert top == pytest.approx(part.depth + part.thickness)
    assert contains(outline, 0.5 * right, part.depth + 0.5 * part.thickness)
    assert not contains(outline, 0.5 * right, 0.5 * part.depth)


@pytest.mark.law("walls and bends together come down exactly the depth, whatever the angle")
@given(sections())
def test_depth(part: Section) -> None:
    bends = (part.roll_radius + part.flange_radius + part.thickness) * (1.0 - math.cos(part.angle))
    assert part.wall * math.sin(part.angle) + bends == pytest.approx(part.depth, rel=1e-9)


@pytest.mark.law("a cap is what the section and the room inside it cover, less the flanges and under the bends")
@given(sections())
def test_cap(part: Section) -> None:
    x1, y1, x2, y2 = box(cap_outline(part))
    full = box(section_outline(part))
    assert x2 - x1 == pytest.approx(full.x2 - full.x1 - 2.0 * part.flange, rel=1e-9)
    assert (y1, y2) == pytest.approx((0.0, full.y2), abs=1e-12)
    assert area(cap_outline(part)) > 0.0


@pytest.mark.law("folded volume over flat volume, less one, is the sum of angle (0.5 - K) t over L")
@given(st.floats(0.3, 0.5), st.floats(0.3, 0.5), st.floats(0.5e-3, 3e-3))
def test_volume_ratio(k_roll: float, k_flange: float, t: float) -> None:
    shape = (0.45, 0.04, 0.02, t, 0.004, 0.03)
    flat = developed_length(*shape, k_roll, k_flange)
    expected = math.pi * t * ((0.5 - k_roll) + (0.5 - k_flange)) / flat
    assert volume_excess(*shape, k_roll, k_flange) == pytest.approx(expected, abs=1e-12)
    assert folded_volume(0.7, *shape) == pytest.approx(flat * 0.7 * t * (1.0 + expected), rel=1e-12)


@pytest.mark.law("at the largest roll the wall is nothing and the angle 90 deg; a larger roll lands on the core")
@given(st.floats(0.012, 0.1), st.floats(0.0, 0.006), st.floats(0.5e-3, 3e-3), st.floats(1.001, 5.0))
def test_largest_roll(depth: float, r: float, t: float, times: float) -> None:
    largest = largest_roll(depth, r, t)
    assume(largest > 1e-3)
    assert roll_angle(depth, largest, r, t) == pytest.approx(0.5 * math.pi)
    assert roll_angle(depth, 0.9 * largest, r, t) == 0.5 * math.pi
    stops = roll_angle(depth, times * largest, r, t)
    assert stops < 0.5 * math.pi
    assert (times * largest + r + t) * (1.0 - math.cos(stops)) == pytest.approx(depth, rel=1e-9)


@pytest.mark.behaviour("the impossible is refused, all faults at once, naming what would fit")
def test_refused() -> None:
    with pytest.raises(InputError) as caught:
        developed_length(2 * INCH, INCH, 2 * INCH, 0.08 * INCH, 0.125 * INCH, 0.1 * INCH, 0.5, 0.4)
    text = str(caught.value)
    assert len(caught.value.faults) == 3
    assert "largest 0.795 in" in text
    assert "stops at 56.9 deg" in text
    assert "make it 0.525 in" in text
    assert "leaves no flat face; stay under 1.000 in" in text
    with pytest.raises(InputError, match="no roll does"):
        developed_length(18 * INCH, 0.15 * INCH, 2 * INCH, 0.08 * INCH, 0.125 * INCH, INCH, 0.5, 0.4)
