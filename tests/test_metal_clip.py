"""Outlines cut by a line: nothing lost, nothing gained."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.arcs import Circle, Vertex, area, circle_outline, contains, moved, rectangle
from shroudwright.metal.clip import clipped, middle_area
from shroudwright.metal.flat import BendLine, Flat, Hole

SHAPES = (
    rectangle(3.0, 2.0),
    rectangle(3.0, 2.0, 0.5),
    circle_outline(Circle(1.5, 1.0, 1.0)),
    (Vertex(0.0, 0.0), Vertex(3.0, 0.0, -0.4), Vertex(3.0, 2.0), Vertex(0.0, 2.0, 0.3)),
)


@pytest.mark.law("both sides of a line together are the whole, and what is kept is on its side")
@given(st.sampled_from(SHAPES), st.floats(-0.5, 3.5), st.floats(-0.5, 2.5), st.floats(-3.2, 3.2))
def test_two_sides(outline: tuple[Vertex, ...], x: float, y: float, angle: float) -> None:
    one, other = clipped(outline, x, y, angle), clipped(outline, x, y, angle + math.pi)
    assert sum(area(part) for part in (one, other) if part) == pytest.approx(area(outline), rel=1e-9)
    for vertex in one:
        assert math.cos(angle) * (vertex.y - y) - math.sin(angle) * (vertex.x - x) > -1e-9


@pytest.mark.by_hand("half a disc of radius 1: pi / 2; less a cap past 0.5: pi - (pi/3 - sqrt(3)/4)")
def test_disc() -> None:
    disc = circle_outline(Circle(0.0, 0.0, 1.0))
    assert area(clipped(disc, 0.0, 0.0, 0.3)) == pytest.approx(0.5 * math.pi)
    less = clipped(disc, 0.5, 0.0, 0.5 * math.pi)
    assert area(less) == pytest.approx(math.pi - (math.pi / 3.0 - math.sqrt(3.0) / 4.0))
    assert contains(less, -0.9, 0.0)
    assert not contains(less, 0.6, 0.0)
    assert clipped(disc, 2.0, 0.0, -0.5 * math.pi) == ()


@pytest.mark.by_hand("a strip 40 by 100 with one 90 deg bend R 3 in 2 mm at K 0.4: + pi/2 x 0.1 x 2 x 40, a hole aside")
def test_middle_area() -> None:
    allowance = 0.5 * math.pi * (3.0 + 0.4 * 2.0)
    bend = BendLine(1, 0.0, 50.0, 40.0, 50.0, 0.5 * math.pi, 3.0, "up", allowance, 0.0)
    flat = Flat("strip", moved(rectangle(40.0, 100.0), 0.0, 0.0), (), (), (bend,), (), (), 2.0, 1)
    whole = 4000.0 + 0.5 * math.pi * 0.1 * 2.0 * 40.0
    assert middle_area(flat) == pytest.approx(whole)
    holed = Flat("strip", flat.outline, (), (Hole(1, 20.0, 20.0, 4.0, "x"),), (bend,), (), (), 2.0, 1)
    assert middle_area(holed) == pytest.approx(whole - 4.0 * math.pi)
