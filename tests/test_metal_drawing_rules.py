"""Faults planted in flats, and sound flats left in peace."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import Circle, Outline, Vertex, circle_outline, moved, rectangle, segments
from shroudwright.metal.drawing_rules import drawing_findings, mirror_findings
from shroudwright.metal.flat import Flat, Hole, Opening
from shroudwright.metal.meeting import crosses, meetings, touch
from tests.packets import a_shroud
from tests.test_metal_fold import angle_piece, bend, plain, tray

PLATE = plain(rectangle(0.2, 0.1, 0.02), openings=(Opening(Circle(0.05, 0.05, 0.02), "A"),))
FACETS = tuple(Vertex(0.03 * math.cos(a * 0.2), 0.03 * math.sin(a * 0.2)) for a in range(31))


def codes(flat: Flat) -> list[tuple[str, str]]:
    return [(level, finding.code) for level, finding in drawing_findings(flat)]


@pytest.mark.behaviour("sound flats draw nothing")
@pytest.mark.parametrize("flat", [PLATE, angle_piece(), tray(), *a_shroud().flats], ids=lambda flat: flat.name)
def test_quiet(flat: Flat) -> None:
    assert codes(flat) == []


def opened(*shapes: Circle | Outline) -> Flat:
    return replace(PLATE, openings=tuple(Opening(shape) for shape in shapes))


EIGHT = tuple(Vertex(x, y) for x, y in ((0, 0), (0.1, 0.1), (0.1, 0), (0, 0.1)))
SQUARE = rectangle(0.1, 0.1)
TWICE = bend(1, 0, 0.05, 0.1, 0.05), bend(2, 0.1, 0.05, 0, 0.05)
ALIKE = bend(1, 0, 0.03, 0.1, 0.03), bend(1, 0, 0.07, 0.1, 0.07)
HOLE = Hole(1, 0.15, 0.05, 0.01, "bolt")
PLANTED = {
    "crosses itself": (plain(EIGHT), ("stop", "D01")),
    "piece of no length": (plain((*rectangle(0.2, 0.1), Vertex(0.0, 1e-6))), ("stop", "D01")),
    "no radius": (opened(Circle(0.1, 0.05, 0.0)), ("stop", "D01")),
    "the same hole twice": (replace(PLATE, holes=(HOLE, HOLE._replace(number=2))), ("stop", "D02")),
    "the same bend twice": (plain(SQUARE, *TWICE), ("stop", "D02")),
    "opening off the part": (opened(Circle(0.5, 0.05, 0.01)), ("stop", "D06")),
    "opening over the edge": (opened(Circle(0.1, 0.005, 0.01)), ("stop", "D06")),
    "opening in an opening": (opened(Circle(0.1, 0.05, 0.03), Circle(0.1, 0.05, 0.01)), ("stop", "D06")),
    "openings run together": (opened(Circle(0.1, 0.05, 0.03), Circle(0.15, 0.05, 0.03)), ("stop", "D06")),
    "short lines": (opened(moved(FACETS, 0.1, 0.05)), ("watch", "D07")),
    "bend without an angle": (plain(rectangle(0.1, 0.1), bend(1, 0, 0.05, 0.1, 0.05, angle=0.0)), ("stop", "D12")),
    "bend off the metal": (plain(rectangle(0.1, 0.1), bend(1, 0, 0.5, 0.1, 0.5)), ("stop", "D12")),
    "bend number twice": (plain(SQUARE, *ALIKE), ("stop", "D12")),
}  # fmt: skip


@pytest.mark.behaviour("every planted fault is named, by its own rule and no other")
@pytest.mark.parametrize("name", PLANTED)
def test_planted(name: str) -> None:
    flat, wanted = PLANTED[name]
    assert set(codes(flat)) == {wanted}


@pytest.mark.behaviour("caps alike for necks that are not")
def test_mirror() -> None:
    cap = a_shroud().flats[1]
    assert list(mirror_findings(cap, [(0.1, 0.04)], [(0.1, 0.04)])) == []
    ((level, finding),) = mirror_findings(cap, [(0.1, 0.04)], [(0.12, 0.04)])
    assert (level, finding.code, finding.measured) == ("watch", "D14", pytest.approx(0.02))
    assert [finding.code for _, finding in mirror_findings(cap, [(0.1, 0.04)], [])] == ["D14"]
    assert list(mirror_findings(replace(cap, quantity=1), [(0.1, 0.04)], [])) == []


COORD = st.integers(0, 20).map(lambda n: n / 10.0)


@pytest.mark.independent("shapely finds the same polygons simple")
@given(st.lists(st.tuples(COORD, COORD), min_size=3, max_size=7, unique=True))
@settings(max_examples=150, deadline=None)
def test_crossing(points: list[tuple[float, float]]) -> None:
    outline = tuple(Vertex(*point) for point in points)
    ring = shapely.LinearRing(points)
    # A corner on another side is a touch, which rounding makes a crossing or none.
    sides = [shapely.LineString(pair) for pair in pairwise([*points, points[0]])]
    assume(all(side.distance(shapely.Point(at)) > 1e-9 for at in points for side in sides if at not in side.coords))
    if ring.is_simple and shapely.Polygon(points).area > 1e-6:
        assert crosses(outline) is None
    elif not ring.is_simple and shapely.Polygon(points).area > 1e-6:
        assert crosses(outline) is not None


@pytest.mark.independent("shapely measures whether two circles, or a circle and a box, meet")
@given(st.floats(0.0, 3.0), st.floats(0.2, 1.5), st.floats(0.2, 1.5))
@settings(max_examples=80, deadline=None)
def test_meeting(apart: float, one: float, other: float) -> None:
    first, second = circle_outline(Circle(0.0, 0.0, one)), circle_outline(Circle(apart, 0.1, other))
    square = moved(rectangle(2 * other, 2 * other), apart - other, 0.1 - other)
    rim = shapely.Point(0.0, 0.0).buffer(one, quad_segs=512).exterior
    for outline, shape in (
        (second, shapely.Point(apart, 0.1).buffer(other, quad_segs=512).exterior),
        (square, shapely.box(apart - other, 0.1 - other, apart + other, 0.1 + other).exterior),
    ):
        gap = rim.distance(shape)
        if gap > 1e-4:
            assert touch(first, outline) is None
        elif rim.crosses(shape) and not rim.touches(shape) and len(shapely.get_parts(rim.intersection(shape))) == 2:
            found = [p for a in segments(first) for b in segments(outline) for p in meetings(a, b)]
            near = shapely.get_parts(rim.intersection(shape))
            assert found
            assert all(min(math.dist(p, (q.x, q.y)) for q in near) < 5e-3 for p in found)
