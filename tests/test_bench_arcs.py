"""Outlines of straights and arcs, against integrals, closed forms and a finely cut copy."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import quad

from shroudwright.bench.arcs import (
    Arc,
    Circle,
    Outline,
    Straight,
    Vertex,
    area,
    box,
    bulge_of,
    circle_outline,
    contains,
    distance,
    length,
    moved,
    rectangle,
    segments,
)
from tests.checks import row

SIDES = st.floats(0.1, 3.0)
ANGLES = st.floats(-math.pi, math.pi)


@st.composite
def outlines(draw: st.DrawFn) -> Outline:
    """Star-shaped outlines whose arcs bow both ways and never cross."""
    count = draw(st.integers(4, 9))
    radii = draw(st.lists(st.floats(0.8, 1.2), min_size=count, max_size=count))
    bulges = draw(st.lists(st.sampled_from([-0.15, 0.0, 0.1, 0.3, 0.45]), min_size=count, max_size=count))
    turns = [math.tau * index / count for index in range(count)]
    return tuple(Vertex(r * math.cos(a), r * math.sin(a), b) for r, a, b in zip(radii, turns, bulges, strict=True))


def turned(outline: Outline, angle: float) -> Outline:
    cosine, sine = math.cos(angle), math.sin(angle)
    return tuple(Vertex(v.x * cosine - v.y * sine, v.x * sine + v.y * cosine, v.bulge) for v in outline)


def finely_cut(outline: Outline, pieces: int = 2000) -> NDArray[np.float64]:
    share = np.linspace(0.0, 1.0, pieces, endpoint=False)
    runs = []
    for item in segments(outline):
        if isinstance(item, Arc):
            angle = item.start + share * item.sweep
            runs.append(np.column_stack((item.x + item.radius * np.cos(angle), item.y + item.radius * np.sin(angle))))
        else:
            runs.append(np.column_stack((item.x1 + share * (item.x2 - item.x1), item.y1 + share * (item.y2 - item.y1))))
    return np.vstack(runs)


@pytest.mark.by_hand("tan 22.5 deg = sqrt 2 - 1; half a circle has bulge 1")
@pytest.mark.row("ME34")
def test_bulge() -> None:
    # The row asks 1e-9 of a figure printed to seven places; the exact value is 3.8e-8 from it.
    item = row("ME34")
    value = bulge_of(math.radians(item.inputs["angle_deg"]))
    assert value == pytest.approx(math.sqrt(2.0) - 1.0, abs=1e-15)
    assert value == pytest.approx(item.expected, abs=0.5e-7)
    assert bulge_of(math.pi) == pytest.approx(1.0)


@pytest.mark.by_hand("a b - (4 - pi) r^2 and 2 (a + b) - (8 - 2 pi) r; pi r^2 and 2 pi r")
def test_known_shapes() -> None:
    plate = rectangle(3.0, 2.0, 0.5)
    assert area(plate) == pytest.approx(6.0 - (4.0 - math.pi) * 0.25, rel=1e-14)
    assert length(plate) == pytest.approx(10.0 - (8.0 - math.tau) * 0.5, rel=1e-14)
    assert box(plate) == pytest.approx((0.0, 0.0, 3.0, 2.0), abs=1e-15)
    assert area(rectangle(3.0, 2.0)) == 6.0
    disc = circle_outline(Circle(5.0, -2.0, 0.3))
    assert area(disc) == pytest.approx(math.pi * 0.09, rel=1e-13)
    assert length(disc) == pytest.approx(math.tau * 0.3, rel=1e-14)
    assert box(disc) == pytest.approx((4.7, -2.3, 5.3, -1.7))


@pytest.mark.independent("scipy.integrate.quad of (x dy - y dx) / 2 along each arc's own parametric form")
def test_area_is_the_integral_round_the_line() -> None:
    # Written with centres and angles, not bulges: a quarter bite out of a square, and a half disc added.
    outline = (
        Vertex(0.0, 0.0),
        Vertex(2.0, 0.0, 1.0),
        Vertex(2.0, 2.0),
        Vertex(0.5, 2.0, -bulge_of(0.5 * math.pi)),
        Vertex(0.0, 1.5),
    )

    def swept(x: float, y: float, r: float, start: float, end: float) -> float:
        value, _ = quad(lambda a: 0.5 * r * (r + x * math.cos(a) + y * math.sin(a)), start, end, epsabs=1e-13)
        return float(value)

    straights = 0.5 * (0.0 + (2.0 * 2.0 - 0.5 * 2.0) + 0.0)
    half = swept(2.0, 1.0, 1.0, -0.5 * math.pi, 0.5 * math.pi)
    bite = swept(0.0, 2.0, 0.5, 0.0, -0.5 * math.pi)
    assert area(outline) == pytest.approx(straights + half + bite, rel=1e-12)
    assert area(outline) == pytest.approx(4.0 + 0.5 * math.pi - 0.0625 * math.pi, rel=1e-12)


@pytest.mark.law("shifting and turning change neither area nor length; walking back turns the sign of the area")
@given(outlines(), st.floats(-50.0, 50.0), st.floats(-50.0, 50.0), ANGLES)
def test_area_and_length_stay(outline: Outline, dx: float, dy: float, angle: float) -> None:
    for same in (moved(outline, dx, dy), turned(outline, angle)):
        assert area(same) == pytest.approx(area(outline), rel=1e-11)
        assert length(same) == pytest.approx(length(outline), rel=1e-11)
    bulges = [v.bulge for v in outline]
    back = tuple(Vertex(v.x, v.y, -b) for v, b in zip(outline[::-1], [*bulges[-2::-1], bulges[-1]], strict=True))
    assert area(back) == pytest.approx(-area(outline), rel=1e-12)


@pytest.mark.law("each arc starts and ends on its circle; the pieces follow one another and close")
@given(outlines())
def test_segments(outline: Outline) -> None:
    items = segments(outline)
    for item, after in zip(items, items[1:] + items[:1], strict=True):
        assert (item.x2, item.y2) == (after.x1, after.y1)
        if isinstance(item, Straight):
            continue
        for x, y, angle in ((item.x1, item.y1, item.start), (item.x2, item.y2, item.end)):
            assert item.x + item.radius * math.cos(angle) == pytest.approx(x, abs=1e-12)
            assert item.y + item.radius * math.sin(angle) == pytest.approx(y, abs=1e-12)


@pytest.mark.independent("the same outline cut into short lines: area, length, box, nearest point, even-odd count")
@given(outlines(), st.floats(-1.5, 1.5), st.floats(-1.5, 1.5))
def test_against_a_finely_cut_copy(outline: Outline, x: float, y: float) -> None:
    points = finely_cut(outline)
    xs, ys = points.T
    next_x, next_y = np.roll(xs, -1), np.roll(ys, -1)
    assert area(outline) == pytest.approx(0.5 * float(np.sum(xs * next_y - next_x * ys)), rel=1e-5)
    assert length(outline) == pytest.approx(float(np.sum(np.hypot(next_x - xs, next_y - ys))), rel=1e-5)
    assert box(outline) == pytest.approx((xs.min(), ys.min(), xs.max(), ys.max()), abs=1e-5)
    near = float(np.hypot(xs - x, ys - y).min())
    assert distance(outline, x, y) == pytest.approx(near, abs=2e-3)
    if near > 2e-3:
        spans = (ys > y) != (next_y > y)
        crossings = xs[spans] + (y - ys[spans]) / (next_y[spans] - ys[spans]) * (next_x[spans] - xs[spans])
        assert contains(outline, x, y) == bool(np.count_nonzero(crossings > x) % 2)


@pytest.mark.by_hand("distance to a rounded rectangle: corner circle or side, in closed form")
@given(SIDES, SIDES, st.floats(0.05, 0.95), st.floats(-2.0, 4.0), st.floats(-2.0, 4.0))
def test_rounded_rectangle(width: float, height: float, share: float, x: float, y: float) -> None:
    corner = 0.5 * share * min(width, height)
    outline = rectangle(width, height, corner)
    dx = abs(x - 0.5 * width) - 0.5 * width + corner
    dy = abs(y - 0.5 * height) - 0.5 * height + corner
    signed = math.hypot(max(dx, 0.0), max(dy, 0.0)) + min(max(dx, dy), 0.0) - corner
    assert distance(outline, x, y) == pytest.approx(abs(signed), abs=1e-12)
    if abs(signed) > 1e-9:
        assert contains(outline, x, y) == (signed < 0.0)


@pytest.mark.by_hand("a crescent: inside the large circle and outside the small one; corners level with the point")
def test_crescent_and_corners() -> None:
    crescent = (Vertex(0.0, -1.0, 1.0), Vertex(0.0, 1.0, -bulge_of(0.5 * math.pi)))
    # The hollow side is a quarter turn of radius sqrt 2 about (-1, 0).
    assert area(crescent) == pytest.approx(1.0, rel=1e-12)
    assert contains(crescent, 0.7, 0.0)
    assert not contains(crescent, 0.3, 0.0)
    assert not contains(crescent, -0.5, 0.0)
    diamond = (Vertex(1.0, 0.0), Vertex(0.0, 1.0), Vertex(-1.0, 0.0), Vertex(0.0, -1.0))
    assert contains(diamond, 0.0, 0.0)
    assert not contains(diamond, -2.0, 0.0)
    assert not contains(circle_outline(Circle(0.0, 0.0, 1.0)), -2.0, 0.0)
    assert contains(circle_outline(Circle(0.0, 0.0, 1.0)), 0.0, 0.0)
    assert distance(circle_outline(Circle(0.0, 0.0, 1.0)), 0.0, 0.25) == pytest.approx(0.75)
