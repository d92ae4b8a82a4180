"""The shroud's outline on the core, against shapely on finely cut copies and by hand."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import Circle, Outline, Vertex, area, box, circle_outline, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.job.files import parse_job
from shroudwright.job.outline import outlines_of
from shroudwright.job.priors import priors
from shroudwright.shroud.outline import area_over_core, inner_outlines
from shroudwright.shroud.pieces import common, opposite, without
from tests.jobs import SMALL
from tests.test_bench_arcs import finely_cut, outlines

WIDTH, HEIGHT = 0.6, 0.4
SPOTS = st.floats(-1.0, 1.0).map(lambda spot: round(spot, 6))  # 1e-308 is more than the other library can bear
SIZES = st.floats(0.05, 2.0)


def polygon(outline: Outline) -> shapely.Polygon:
    return shapely.Polygon(finely_cut(outline, 400))


def total(parts: tuple[Outline, ...]) -> float:
    return math.fsum(area(part) for part in parts)


@pytest.mark.independent("shapely on copies cut into 400 lines an arc: the cut itself is worth 2e-5 of the area")
@given(outlines(), SPOTS, SPOTS, SIZES, SIZES)
@settings(deadline=None)
def test_against_shapely(outline: Outline, x: float, y: float, width: float, height: float) -> None:
    other = moved(rectangle(width, height), x, y)
    ours, theirs = polygon(outline), shapely.box(x, y, x + width, y + height)
    assert total(common(outline, other)) == pytest.approx(ours.intersection(theirs).area, abs=5e-5)
    assert total(without(outline, other)) == pytest.approx(ours.difference(theirs).area, abs=5e-5)
    assert total(common(outline, outline)) == pytest.approx(area(outline), rel=1e-12)


@pytest.mark.law("what is shared and what is left make the whole; sharing does not ask which comes first")
@given(outlines(), outlines(), SPOTS, SPOTS)
@settings(deadline=None)
def test_parts_make_the_whole(one: Outline, other: Outline, x: float, y: float) -> None:
    other = moved(other, x, y)
    assert total(common(one, other)) + total(without(one, other)) == pytest.approx(area(one), rel=1e-9)
    assert total(common(one, other)) == pytest.approx(total(common(other, one)), abs=1e-9)


@pytest.mark.by_hand("a quarter, a half and the whole of pi r^2; a rectangle's overlap; a circular segment")
def test_area_over_core() -> None:
    disc = math.pi * 0.01
    for x, y, share in ((0.0, 0.0, 0.25), (WIDTH, 0.2, 0.5), (0.3, 0.2, 1.0)):
        found = area_over_core(circle_outline(Circle(x, y, 0.1)), WIDTH, HEIGHT)
        assert found == pytest.approx(share * disc, rel=1e-12)
    assert area_over_core(moved(rectangle(WIDTH, HEIGHT), 0.1, -0.1), WIDTH, HEIGHT) == pytest.approx(0.5 * 0.3)
    half_chord = math.acos(0.5)
    segment = 0.01 * (half_chord - math.sin(half_chord) * math.cos(half_chord))
    assert area_over_core(circle_outline(Circle(-0.05, 0.2, 0.1)), WIDTH, HEIGHT) == pytest.approx(segment, rel=1e-12)


@pytest.mark.by_hand("2 1/2 in over each tank of a 22 x 17 in core: 27 in wide; 2 in short of the top leaves 15/17")
def test_reaches() -> None:
    inch = 0.0254
    (over,) = inner_outlines(22 * inch, 17 * inch, reach_left=2.5 * inch, reach_right=2.5 * inch)
    assert box(over) == pytest.approx((-2.5 * inch, 0.0, 24.5 * inch, 17 * inch))
    assert area_over_core(over, 22 * inch, 17 * inch) == pytest.approx(22 * 17 * inch**2)
    (short,) = inner_outlines(22 * inch, 17 * inch, reach_top=-2 * inch)
    assert area_over_core(short, 22 * inch, 17 * inch) == pytest.approx(22 * 15 * inch**2)


@pytest.mark.by_hand("0.6 x 0.4 m less a 0.1 x 0.1 corner and a 0.2 x 0.05 bite out of the top, parted at 0.25")
def test_notches_and_divider() -> None:
    notches = [(-0.1, -0.1, 0.2, 0.2), (0.3, 0.35, 0.2, 0.3)]
    (whole,) = inner_outlines(WIDTH, HEIGHT, notches=notches)
    assert area(whole) == pytest.approx(0.24 - 0.01 - 0.01)
    left, right = inner_outlines(WIDTH, HEIGHT, notches=notches, divider=0.25)
    assert area(left) == pytest.approx(0.25 * 0.4 - 0.01)
    assert area(right) == pytest.approx(0.35 * 0.4 - 0.01)
    assert (box(left).x2, box(right).x1) == pytest.approx((0.25, 0.25))


@pytest.mark.law("a notch whose edge lies along the shroud's takes its own area; either way round is one outline")
@given(st.floats(0.01, 0.3), st.floats(0.01, 0.2))
def test_notch_along_the_edge(width: float, height: float) -> None:
    for x, y in ((0.0, 0.0), (WIDTH - width, 0.0), (WIDTH - width, HEIGHT - height), (0.1, 0.0), (0.0, 0.1)):
        (whole,) = inner_outlines(WIDTH, HEIGHT, notches=[(x, y, width, height)])
        assert area(whole) == pytest.approx(WIDTH * HEIGHT - width * height)
    rows = (Vertex(0.0, 0.0), Vertex(width, 0.0, 0.5), Vertex(width, height), Vertex(0.0, height))
    (one,), (other,) = (
        inner_outlines(WIDTH, HEIGHT, outline=rows),
        inner_outlines(WIDTH, HEIGHT, outline=opposite(rows)),
    )
    assert area(one) == pytest.approx(area(other), rel=1e-13)
    assert area(one) > width * height


CROSSED = (Vertex(0.0, 0.0), Vertex(0.5, 0.4), Vertex(0.5, 0.0), Vertex(0.0, 0.4))
BOWED = (Vertex(0.0, 0.0), Vertex(0.5, 0.0), Vertex(0.5, 0.1, 1.2), Vertex(0.0, 0.1, 1.2))
FAULTY = {
    "crossed": ({"outline": CROSSED}, ["outline: the lines from rows 1 and 3 meet"]),
    "an arc across": ({"outline": (*BOWED[:3], Vertex(0.0, 0.1, -4.0))}, ["outline: the lines from rows"]),
    "one corner": ({"outline": CROSSED[:1]}, ["outline: one corner is no outline"]),
    "there and back": ({"outline": CROSSED[:2]}, ["outline: it encloses nothing"]),
    "twice": ({"outline": (CROSSED[0], *CROSSED)}, ["outline: row 2 is the corner before it again"]),
    "far off": ({"outline": moved(rectangle(0.1, 0.1), 2.0, 0.0)}, ["outline: the shroud misses the core"]),
    "reaches": ({"reach_left": -0.4, "reach_right": -0.3}, ["reach_left: with the reach opposite"]),
    "hole": ({"notches": [(0.1, 0.1, 0.1, 0.1)]}, ["notches: row 1 does not reach the shroud's edge"]),
    "in two": ({"notches": [(0.1, -0.1, 0.1, 1.0)]}, ["notches: row 1 cuts the shroud in two"]),
    "all of it": ({"notches": [(-0.1, -0.1, 2.0, 2.0)]}, ["notches: row 1 takes the whole shroud away"]),
    "nothing": ({"notches": [(0.1, 0.1, 0.0, 0.1)]}, ["notches: row 1 has no size"]),
    "divider": ({"divider": 0.7}, ["divider: it does not part the shroud in two"]),
    "both": (
        {"notches": [(2.0, 0.0, 0.1, 0.1)], "divider": -0.1},
        ["notches: row 1 lies outside the shroud", "divider: it does not part"],
    ),
}


@pytest.mark.behaviour("every fault of an outline, named")
@pytest.mark.parametrize("case", FAULTY)
def test_faults(case: str) -> None:
    typed, wanted = FAULTY[case]
    with pytest.raises(InputError) as error:
        inner_outlines(WIDTH, HEIGHT, **typed)  # type: ignore[arg-type]
    assert len(error.value.faults) == len(wanted)
    for fault, start in zip(error.value.faults, wanted, strict=True):
        assert fault.startswith(start)


def with_shroud(lines: str) -> bytes:
    return SMALL.replace("[engine]", f"[shroud]\n{lines}\n\n[engine]", 1).encode()


def share_of(lines: str) -> float:
    return priors(parse_job(with_shroud(lines), "x"))["shroud.covered_share"].median


@pytest.mark.by_hand("15 of 17 in of height; a half disc bulging past the core; a typed share stands over both")
def test_covered_share_follows_the_outline() -> None:
    assert share_of("") == pytest.approx(0.97)
    assert share_of("reach_top = '-2 in'") == pytest.approx(15 / 17)
    assert share_of("reach_left = '2 in'\nreach_right = '2 in'") == pytest.approx(1.0)
    assert share_of(
        "type = 'partial'\nnotches = [{x = 0, y = 0, width = '4.9 in', height = '1.7 in'}]"
    ) == pytest.approx(1 - 0.2 * 0.1)
    rows = "outline = [[0, 0], ['12 in', 0, 1.0], ['12 in', '12 in'], [0, '12 in']]"
    assert share_of(rows) == pytest.approx((144 + math.pi * 18) / (24.5 * 17))
    assert share_of(f"{rows}\ncovered_share = '0.5, measured'") == 0.5
    assert share_of("type = 'none'\nreach_top = '-2 in'") == pytest.approx(2 * 49 * math.pi / (24.5 * 17))


@pytest.mark.behaviour("a job's outline in its own units, its corners with and without a bulge, and its faults")
def test_job_fields() -> None:
    job = parse_job(with_shroud("outline = [[0, 0], ['50 mm', 0, 0.5], ['2 in', '2 in'], [0, '2 in']]"), "x")
    (found,) = outlines_of(job.shroud, lambda path: 0.0 if path.startswith("shroud.") else 0.5)
    assert found == (Vertex(0.0, 0.0), Vertex(0.05, 0.0, 0.5), Vertex(0.0508, 0.0508), Vertex(0.0, 0.0508))
    for lines, faults in (
        ("outline = [[0, 0], [0, 1, 2, 3]]", ["shroud.outline: row 2 needs 2 or 3 entries (length and number)"]),
        ("outline = [[0, 0], [9, 0], [9, 9]]\nreach_top = 1", ["shroud.reach_top: typed beside an outline"]),
        ("outline = [[0, 0], [900, 0], [9, 9, 99]]", ["shroud.outline: row 2: 900", "shroud.outline: row 3: a bulge"]),
        ("notches = [{x = 1, y = 1, width = 2}]", ["shroud.notches: row 1 does not say its height"]),
        ("divider = '-1 in'", ["shroud.divider: it does not part the shroud in two"]),
        ("reach_top = '13 in'", ["shroud.reach_top: 13 in is outside -60 in to 12 in"]),
    ):
        with pytest.raises(InputError) as error:
            parse_job(with_shroud(lines), "x")
        assert len(error.value.faults) == len(faults)
        assert all(found.startswith(wanted) for found, wanted in zip(error.value.faults, faults, strict=True))
