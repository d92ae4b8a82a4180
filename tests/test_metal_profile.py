"""A bent section of any family: drawn as it is developed, whatever its edges and its tilt."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.arcs import area, length
from shroudwright.bench.errors import InputError
from shroudwright.metal.profile import Bend, Profile, Straight, backwards
from shroudwright.metal.section import largest_roll, roll_angle
from shroudwright.metal.walls import Section, section_of

INCH = 0.0254
KINDS = ("out", "in", "none", "lip")


@st.composite
def sections(draw: st.DrawFn) -> Section:
    t, r = draw(st.floats(0.8e-3, 4e-3)), draw(st.floats(0.5e-3, 8e-3))
    depth = draw(st.floats(0.03, 0.1))
    flanges = draw(st.tuples(st.sampled_from(KINDS), st.sampled_from(KINDS)))
    roll = draw(st.floats(0.001, 0.5 * (depth - r - t) if "in" in flanges else 0.1))
    return section_of(
        width=draw(st.floats(0.35, 1.0)),
        depth=depth,
        depth_high=depth + draw(st.floats(0.0, 0.06)),
        roll_radius=roll,
        thickness=t,
        flange_radius=r,
        flange_leg=r + t + draw(st.floats(1e-3, 0.04)),
        k_roll=draw(st.floats(0.3, 0.5)),
        k_flange=draw(st.floats(0.3, 0.5)),
        flanges=flanges,
        lip=0.01,
        partial=True,
    )


@pytest.mark.by_hand("a 90 deg bend R 2 in 1 mm sheet between legs of 10: 20 + pi/2 (2 + K), drawn 13 by 13 outside")
def test_an_angle() -> None:
    angle = Profile((Straight(10.0), Bend(0.5 * math.pi, 2.0, 0.4), Straight(10.0)), 1.0)
    assert angle.length == pytest.approx(20.0 + 0.5 * math.pi * 2.4)
    assert angle.middle_length == pytest.approx(20.0 + 0.5 * math.pi * 2.5)
    (mark,) = angle.marks
    assert (mark.middle, mark.allowance) == pytest.approx((10.0 + 0.25 * math.pi * 2.4, 0.5 * math.pi * 2.4))
    inner, outer = angle.line(0.0), angle.line(1.0)
    # Bent toward the outer face, the inner face is the outside of the corner.
    assert (inner[-1].x, inner[-1].y) == pytest.approx((13.0, 13.0))
    assert (outer[-1].x, outer[-1].y) == pytest.approx((12.0, 13.0))
    assert backwards(backwards(inner)) == tuple(inner)


@pytest.mark.law("metal in any section is its middle line times thickness, and each edge one pass of the sheet")
@given(sections())
def test_metal(part: Section) -> None:
    outline = part.profile.outline
    assert area(outline) == pytest.approx(part.profile.area, rel=1e-9)
    assert length(outline) == pytest.approx(2.0 * (part.middle_length + part.thickness), rel=1e-9)


@pytest.mark.law("both walls end on the core's plane, the asked width apart, under a face of the asked depths")
@given(sections())
def test_shape(part: Section) -> None:
    inner = part.profile.line(0.0)
    ends = {"out": 0.0, "in": part.thickness, "none": 0.0, "lip": -part.lip}
    assert inner[0].y == pytest.approx(ends[part.low.kind], abs=1e-9)
    assert inner[-1].y == pytest.approx(ends[part.high.kind], abs=1e-9)
    face = Profile(part.low.parts, part.thickness, part.profile.x, part.profile.y, part.profile.heading).line(0.0)[-1]
    rise = (part.depth_high - part.depth) / part.width
    assert face.x == pytest.approx(part.low.start, abs=1e-9)
    assert face.y == pytest.approx(part.depth + rise * face.x, rel=1e-9)
    high = part.width - part.high.start
    assert part.place(high) - part.start == pytest.approx(part.face, rel=1e-9)
    if part.high.angle == 0.5 * math.pi:
        across = {"out": part.high.flange + part.flange_radius + part.thickness, "none": 0.0, "lip": 0.0}
        if part.high.kind in across:
            assert inner[-1].x == pytest.approx(part.width + across[part.high.kind], rel=1e-9)


@pytest.mark.law("on an even depth a roll too large lands where `roll_angle` says")
@given(st.floats(0.02, 0.05), st.floats(1.0, 4.0))
def test_lands(depth: float, times: float) -> None:
    t, r = 2e-3, 3e-3
    roll = times * largest_roll(depth, r, t)
    shape = {"width": 0.9, "depth": depth, "roll_radius": roll, "thickness": t, "flange_radius": r}
    part = section_of(**shape, flange_leg=0.03, k_roll=0.5, k_flange=0.4, partial=True)
    assert part.angle == pytest.approx(roll_angle(depth, roll, r, t), rel=1e-6)
    assert part.wall == pytest.approx(0.0, abs=1e-9)


@pytest.mark.by_hand("28 mm deep at one edge and 40 at the other over 300: tan T = 0.04; a plain edge takes no height")
def test_tapered() -> None:
    part = section_of(
        width=0.3, depth=0.028, depth_high=0.04, roll_radius=0.01, thickness=0.002, flange_radius=0.003,
        flange_leg=0.02, k_roll=0.5, k_flange=0.4, flanges=("none", "out"),
    )  # fmt: skip
    tilt = math.atan(0.04)
    assert part.low.turn == pytest.approx(0.5 * math.pi - tilt)
    assert part.high.turn == pytest.approx(0.5 * math.pi + tilt)
    assert part.low.wall == pytest.approx(0.028 - 0.01 * (math.cos(tilt) - (1.0 - math.sin(tilt)) * 0.04))
    assert part.high.wall == pytest.approx(0.04 - 0.01 * (math.cos(tilt) + (1.0 + math.sin(tilt)) * 0.04) - 0.005)
    assert part.face * math.cos(tilt) == pytest.approx(0.3 - 0.02)


@pytest.mark.behaviour("a roll too deep for a flange turned in is refused; it cannot stop short")
def test_no_partial_roll_over_a_flange_turned_in() -> None:
    with pytest.raises(InputError, match=r"roll_radius: 2\.000 in .* largest 0\.795 in \(20\.2 mm\)$"):
        section_of(
            width=18 * INCH, depth=INCH, roll_radius=2 * INCH, thickness=0.08 * INCH, flange_radius=0.125 * INCH,
            flange_leg=INCH, k_roll=0.5, k_flange=0.4, flanges=("in", "in"), partial=True,
        )  # fmt: skip
