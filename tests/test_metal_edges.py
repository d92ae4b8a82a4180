"""Distances of outlines, against another library, closed forms and balances."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import Circle, Outline, Vertex, circle_outline, moved, rectangle
from shroudwright.metal.edges import Shape, edge_gaps, line_gaps, strip_gaps, webs
from shroudwright.metal.flat import BendLine
from tests.test_bench_arcs import finely_cut, outlines, turned

PLACES = st.floats(-3.0, 3.0)


def ring(shape: Shape) -> shapely.LinearRing:
    return shapely.LinearRing(finely_cut(circle_outline(shape) if isinstance(shape, Circle) else shape, 400))


@pytest.mark.independent("shapely's distance of the two outlines cut into 400 lines a piece")
@given(outlines(), outlines(), PLACES, PLACES, st.floats(0.0, 6.0))
@settings(deadline=None)
def test_any_two_outlines(one: Outline, other: Outline, dx: float, dy: float, angle: float) -> None:
    other = moved(turned(other, angle), dx, dy)
    gap = line_gaps([one], [other])[0, 0]
    assert gap == pytest.approx(shapely.distance(ring(one), ring(other)), abs=2e-5)
    overlap = shapely.Polygon(ring(one)).intersects(shapely.Polygon(ring(other)))
    if gap > 1e-4:
        assert webs([one], [other])[0, 0] == (0.0 if overlap else gap)


@pytest.mark.law("turning and shifting both changes no gap; the order does not matter; many at once are as one by one")
@given(outlines(), outlines(), PLACES, PLACES, st.floats(0.0, 6.0))
@settings(deadline=None)
def test_gaps_stay(one: Outline, other: Outline, dx: float, dy: float, angle: float) -> None:
    shapes: list[Shape] = [one, moved(other, dx, dy), Circle(dx, -dy, 0.4)]
    gaps = line_gaps(shapes, shapes)
    np.testing.assert_allclose(gaps, gaps.T, atol=1e-9)
    assert gaps[0, 1] == line_gaps([one], [moved(other, dx, dy)])[0, 0]
    swung = [moved(turned(shape, angle), 1.0, 2.0) for shape in shapes[:2] if not isinstance(shape, Circle)]
    assert line_gaps(swung[:1], swung[1:])[0, 0] == pytest.approx(gaps[0, 1], abs=1e-9)


@pytest.mark.by_hand("circles: distance of the centres less both radii; a rounded plate: side or corner circle")
def test_circles_and_plates() -> None:
    circles = [Circle(0.0, 0.0, 1.0), Circle(5.0, 0.0, 1.5), Circle(0.5, 0.0, 0.25), Circle(1.5, 0.0, 1.0)]
    assert webs(circles[:1], circles)[0] == pytest.approx([-2.0, 2.5, -0.75, -0.5])
    assert line_gaps(circles[:1], circles[2:3])[0, 0] == pytest.approx(0.25)
    plate = rectangle(4.0, 2.0, 0.5)
    assert edge_gaps([Circle(2.0, 1.0, 0.6), Circle(3.9, 1.0, 0.2), Circle(4.3, 1.0, 0.1)], plate) == pytest.approx(
        [0.4, -0.1, -0.4]
    )
    corner = math.hypot(0.4, 0.4)
    assert edge_gaps([Circle(3.9, 1.9, 0.05)], plate)[0] == pytest.approx(0.5 - corner - 0.05)
    square = moved(rectangle(1.0, 1.0), 1.0, 0.25)
    assert edge_gaps([square, moved(square, 2.5, 0.0)], plate) == pytest.approx([0.25, -0.5])
    assert webs([square], [plate])[0, 0] == 0.0


@pytest.mark.by_hand("a strip of allowance 0.2 about y = 1: half of it comes off the distance to its middle line")
def test_strips() -> None:
    bend = BendLine(1, 0.0, 1.0, 4.0, 1.0, 1.5, 0.1, "up", 0.2, 0.1)
    upright = bend._replace(x1=2.0, y1=-1.0, x2=2.0, y2=3.0)
    slot = (Vertex(1.0, 1.3), Vertex(1.5, 1.3, 1.0), Vertex(1.5, 1.5), Vertex(1.0, 1.5, 1.0))
    shapes: list[Shape] = [Circle(1.0, 2.0, 0.25), Circle(1.0, 1.0, 0.25), slot, Circle(4.5, 1.0, 0.1)]
    expected = [[0.65, 0.65], [-0.35, 0.65], [0.2, 0.3], [0.3, 2.3]]
    assert strip_gaps(shapes, [bend, upright]) == pytest.approx(np.array(expected))
    assert strip_gaps(shapes, []).shape == (4, 0)


@pytest.mark.law("a circle's gap is the same, taken as a circle or as an outline of two half circles")
@given(outlines(), PLACES, PLACES, st.floats(0.05, 1.5))
@settings(deadline=None)
def test_circles_are_outlines(outline: Outline, x: float, y: float, radius: float) -> None:
    circle, halves = Circle(x, y, radius), circle_outline(Circle(x, y, radius))
    bend = BendLine(1, -2.0, 0.3, 2.0, 0.9, 1.5, 0.1, "up", 0.2, 0.1)
    assert webs([circle], [outline])[0, 0] == pytest.approx(webs([halves], [outline])[0, 0], abs=1e-9)
    assert webs([outline], [circle])[0, 0] == webs([circle], [outline])[0, 0]
    one, two = edge_gaps([circle, halves], outline)
    assert one == pytest.approx(two, abs=1e-9) or max(one, two) <= 1e-9
    one, two = strip_gaps([circle, halves], [bend])[:, 0]
    assert one == pytest.approx(two, abs=1e-9) or max(one, two) <= 1e-9 - 0.1
