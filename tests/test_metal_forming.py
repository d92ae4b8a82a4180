"""Springback, test bends, hits, reliefs, and the order of bends."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.metal.bend import bend_allowance
from shroudwright.metal.bend_order import Brake, Made, Turn, bend_order
from shroudwright.metal.forming import (
    bump_facet,
    bump_hits,
    corner_relief,
    former_angle,
    former_radius,
    k_from_test_bend,
    radius_after_springback,
)
from shroudwright.metal.sheet import find_sheet
from tests.checks import row

INCH = 0.0254
RIGHT = 0.5 * math.pi


@pytest.mark.by_hand("the arc keeps its length: 90 deg x Rf / Ri")
@pytest.mark.row("ME18")
def test_former_angle() -> None:
    item = row("ME18")
    finished, t = item.inputs["Rf_in"], item.inputs["t_in"]
    former = former_radius(finished, t, item.inputs["Y_psi"], item.inputs["E_psi"])
    assert item.accepts(math.degrees(former_angle(RIGHT, finished, former)))


@pytest.mark.by_hand("4 x^3 - 3 x + 1 solved by hand for typical yields: former radius and angle, three alloys")
@pytest.mark.parametrize(
    ("metal", "t", "finished", "radius", "angle"),
    [
        ("3003-H14", 0.063, 0.75, 0.698, 97),
        ("3003-H14", 0.125, 2.00, 1.817, 99),
        ("5052-H32", 0.080, 1.00, 0.907, 99),
        ("5052-H32", 0.063, 2.00, 1.588, 113),
        ("6061-T6", 0.080, 1.50, 1.226, 110),
        ("6061-T6", 0.063, 2.00, 1.453, 124),
    ],
)
def test_formers(metal: str, t: float, finished: float, radius: float, angle: float) -> None:
    sheet = find_sheet(metal)
    former = former_radius(finished * INCH, t * INCH, sheet.yield_strength, sheet.elasticity)
    assert former / INCH == pytest.approx(radius, abs=0.0006)
    assert math.degrees(former_angle(RIGHT, finished * INCH, former)) == pytest.approx(angle, abs=0.6)


@pytest.mark.law("a former's radius springs back to the radius it was made for; stronger or thinner sheet needs less")
@given(st.floats(0.2, 6.0), st.floats(0.03, 0.2), st.floats(10e6, 400e6))
def test_springback_there_and_back(finished: float, t: float, strength: float) -> None:
    former = former_radius(finished * INCH, t * INCH, strength, 70e9)
    assert former < finished * INCH
    assert radius_after_springback(former, t * INCH, strength, 70e9) == pytest.approx(finished * INCH, rel=1e-6)
    assert former_radius(finished * INCH, 0.9 * t * INCH, strength, 70e9) < former


@pytest.mark.behaviour("a former that only flexes the sheet is refused, with the largest that bends it")
def test_only_flexed() -> None:
    with pytest.raises(InputError, match=r"9\.00 in only flexes .* stay under 8\.93 in"):
        radius_after_springback(9.0 * INCH, 0.05 * INCH, 28.0, 10000.0)


@pytest.mark.law("a strip bent with a K gives that K back")
@given(st.floats(0.31, 0.49), st.floats(0.3, 2.6), st.floats(0.5e-3, 8e-3), st.floats(0.8e-3, 4e-3))
def test_coupon(k: float, angle: float, radius: float, t: float) -> None:
    flat = 0.1 + bend_allowance(angle, radius, t, k)
    assert k_from_test_bend(flat, 0.1, angle, radius, t) == pytest.approx(k, rel=1e-6)


@pytest.mark.behaviour("a coupon whose K is none a sheet can have is refused, with what to measure again")
def test_wrong_coupon() -> None:
    with pytest.raises(InputError, match=r"flat_length: .* K comes out at 0\.6.* measure the strip"):
        k_from_test_bend(0.1 + bend_allowance(RIGHT, 3e-3, 2e-3, 0.65), 0.1, RIGHT, 3e-3, 2e-3)


@pytest.mark.by_hand(
    "R 0.75 in 9 hits: 0.75 (1 - cos 5 deg) = 0.0029 in; R 2 in 15 hits: 2 (1 - cos 3 deg) = 0.0027 in"
)
@pytest.mark.parametrize(("radius", "hits", "facet"), [(0.75, 9, 0.002854), (2.0, 15, 0.002741)])
def test_bumps(radius: float, hits: float, facet: float) -> None:
    assert bump_facet(radius, RIGHT, hits) == pytest.approx(facet, abs=1e-6)
    assert bump_hits(radius, RIGHT, facet + 1e-6) == hits
    assert bump_hits(radius, RIGHT, 0.99 * facet) == hits + 1


@pytest.mark.published("FAA-H-8083-31, sheet-metal chapter, read in a reproduction: 1/8 in to 0.064, 3/16 in to 0.128")
@pytest.mark.parametrize(("t", "radius", "size"), [(0.063, 0.03, 0.125), (0.064, 0.0, 0.125), (0.072, 0.09, 0.1875)])
def test_reliefs(t: float, radius: float, size: float) -> None:
    assert corner_relief(t * INCH, radius * INCH) / INCH == pytest.approx(size)
    assert corner_relief(t * INCH, 0.25 * INCH) / INCH == pytest.approx(0.5)


def hat(width: float, depth: float, leg: float, *, is_rolled: bool = False) -> tuple[list[float], list[Turn], float]:
    """A hat of 0.080 sheet, in inches: flanges out, walls, face."""
    r, t = 0.125 * INCH, 0.08 * INCH
    run = bend_allowance(RIGHT, r, t, 0.4)
    flange, wall, face = leg * INCH - r - t, depth * INCH - 2.0 * r - t, width * INCH - 2.0 * r
    turns = [Turn(RIGHT, r, is_up, run, is_rolled and not is_up) for is_up in (True, False, False, True)]
    return [flange, wall, face, wall, flange], turns, t


def channel(width: float, depth: float, lip: float) -> tuple[list[float], list[Turn], float]:
    """The same with its flanges turned in."""
    straights, turns, t = hat(width, depth, lip)
    return straights, [turn._replace(is_up=False) for turn in turns], t


@pytest.mark.practice("common practice, no source: flanges first, then the walls, the wide face under the beam")
def test_hat_order() -> None:
    made = bend_order(*hat(18.0, 1.25, 1.0))
    assert made is not None
    assert [step.bend for step in made] == [0, 3, 1, 2]
    assert [step.is_turned_over for step in made] == [False, False, True, True]


@pytest.mark.practice(
    "common practice, no source: a hat narrower than 2 (D + leg) may trap its last flange; a channel too"
)
def test_narrow_is_trapped() -> None:
    assert bend_order(*hat(4.0, 3.0, 1.0)) is None
    assert bend_order(*channel(18.0, 1.25, 1.0)) is not None
    assert bend_order(*channel(2.2, 1.5, 1.0)) is None


@pytest.mark.behaviour("lips first in a channel: once a wall stands, its lip's line is out of reach")
def test_channel_order() -> None:
    made = bend_order(*channel(18.0, 1.25, 1.0))
    assert made is not None
    at = {step.bend: place for place, step in enumerate(made)}
    assert at[0] < at[1]
    assert at[3] < at[2]
    assert all(step.is_turned_over for step in made)


@pytest.mark.behaviour("rolls are made by hand after every tight bend, and need no brake")
def test_rolls_last() -> None:
    made = bend_order(*hat(18.0, 1.25, 1.0, is_rolled=True))
    assert made is not None
    assert made[-2:] == (Made(1, "none", True), Made(2, "none", True))
    assert {step.bend for step in made[:2]} == {0, 3}


@pytest.mark.law("a section and its mirror image take the same number of turns over; every bend is made once")
@settings(deadline=None, max_examples=15)
@given(st.lists(st.floats(0.7, 12.0), min_size=3, max_size=5), st.lists(st.booleans(), min_size=4, max_size=4))
def test_mirror(inches: list[float], ups: list[bool]) -> None:
    t, r = 0.063 * INCH, 0.063 * INCH
    straights = [length * INCH for length in inches]
    turns = [Turn(RIGHT, r, is_up, bend_allowance(RIGHT, r, t, 0.4)) for is_up in ups[: len(inches) - 1]]
    made, mirrored = bend_order(straights, turns, t), bend_order(straights[::-1], turns[::-1], t)
    assert (made is None) == (mirrored is None)
    if made is not None and mirrored is not None:
        assert sorted(step.bend for step in made) == list(range(len(turns)))
        assert _turns_over(made) == _turns_over(mirrored)


def _turns_over(made: tuple[Made, ...]) -> int:
    faces = [False, *(step.is_turned_over for step in made)]
    return sum(one != two for one, two in pairwise(faces))


@pytest.mark.behaviour("a thicker leaf traps a short wall between two opposite bends")
def test_thick_leaf() -> None:
    short = hat(18.0, 0.7, 0.7)
    assert bend_order(*short) is not None
    assert bend_order(*hat(18.0, 0.7, 4.0), brake=Brake(leaf_depth=3.0 * INCH, beam_depth=20.0 * INCH)) is None
