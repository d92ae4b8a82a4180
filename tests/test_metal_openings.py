"""Openings and ears: exact arcs, against another library, check rows and closed forms."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import (
    Arc,
    Circle,
    Outline,
    Straight,
    Vertex,
    area,
    box,
    contains,
    distance,
    length,
    rectangle,
    segments,
)
from shroudwright.bench.errors import InputError
from shroudwright.metal.cutouts import (
    flap_windows,
    flared_hole,
    keyhole,
    lightening_holes,
    lip_stiffness,
    mount_pattern,
)
from shroudwright.metal.ears import Ear, with_ears
from shroudwright.metal.edges import edge_gaps, webs
from shroudwright.metal.openings import LEAST_FILLET, lobed, lobed_over, swept_share
from tests.checks import row
from tests.test_bench_arcs import finely_cut, outlines

INCH = 0.0254
SIZES = ("d_in", "lobe_r_in", "fillet_r_in")


def polygon(outline: Outline, pieces: int = 800) -> shapely.Polygon:
    return shapely.Polygon(finely_cut(outline, pieces))


def smooth_at(outline: Outline) -> list[float]:
    """Angle between the way in and the way out at each vertex."""

    def ways(item: Straight | Arc) -> tuple[float, float]:
        if isinstance(item, Straight):
            return (math.atan2(item.y2 - item.y1, item.x2 - item.x1),) * 2
        quarter = math.copysign(0.5 * math.pi, item.sweep)
        return item.start + quarter, item.end + quarter

    items = [ways(item) for item in segments(outline)]
    return [math.remainder(out[0] - into[1], math.tau) for into, out in zip(items, items[1:] + items[:1], strict=True)]


@pytest.mark.published("a solid modeller's face area and the sum of eight arc lengths, as the rows say")
@pytest.mark.row("ME11", "ME12")
def test_lobed_rows() -> None:
    for name, measure, power in (("ME11", area, 2), ("ME12", length, 1)):
        item = row(name)
        made = lobed(int(item.inputs["N"]), *(item.inputs[key] * INCH for key in SIZES))
        assert item.accepts(measure(made) / INCH**power)
        assert len(made) == 2 * item.inputs["N"]


@pytest.mark.independent("the row's corner list, and shapely's area of it cut into short lines")
@pytest.mark.row("ME13")
def test_two_ears() -> None:
    item = row("ME13")
    sheet = rectangle(28.0, 21.148416758, 0.25)
    made = with_ears(sheet, [Ear(24.0, -0.35, 0.5), Ear(4.0, -0.35, 0.5)], blend=0.25)
    assert item.accepts(area(made))
    listed = np.array(item.inputs["polyline_x_y_bulge"])
    np.testing.assert_allclose(np.array(made), listed, atol=1e-8)
    assert area(made) == pytest.approx(polygon(made).area, rel=5e-6)


@pytest.mark.independent("shapely: union of the lobes' and the middle's shape, opened and closed by the fillet")
@given(st.integers(2, 6), st.floats(0.3, 1.2), st.floats(0.2, 0.6))
@settings(deadline=None)
def test_lobed(lobes: int, share: float, fillet: float) -> None:
    reach, radius = share, 1.0
    try:
        made = lobed(lobes, reach, radius, fillet, 0.3)
    except InputError:
        assume(False)
    assert smooth_at(made) == pytest.approx([0.0] * 2 * lobes, abs=1e-9)
    centres = [
        (reach * math.cos(0.3 + math.tau * k / lobes), reach * math.sin(0.3 + math.tau * k / lobes))
        for k in range(lobes)
    ]
    discs = shapely.union_all([shapely.Point(*centre).buffer(radius, quad_segs=200) for centre in centres])
    discs = shapely.union_all([discs, shapely.convex_hull(shapely.MultiPoint(centres))])
    closed = discs.buffer(fillet, quad_segs=200).buffer(-fillet, quad_segs=200)
    assert area(made) == pytest.approx(closed.area, rel=2e-4)
    assert polygon(made).symmetric_difference(closed).area < 1e-3


@pytest.mark.behaviour("lobes that do not join, or whose necks close, are refused with what to type")
def test_no_such_lobes() -> None:
    with pytest.raises(InputError, match=r"type a fillet over 0\.598 in"):
        lobed(4, 2.25 * INCH, 0.993 * INCH, 0.5 * INCH)
    with pytest.raises(InputError, match="two lobes or more"):
        lobed(1, 1.0, 1.0, 1.0)
    with pytest.raises(InputError, match="necks close; type a fillet under"):
        lobed(2, 1.0, 0.3, 0.75)


@pytest.mark.independent("shapely's area of opening and ring cut into short lines")
@given(outlines(), st.floats(-0.6, 0.6), st.floats(-0.6, 0.6), st.floats(0.4, 2.6), st.floats(0.05, 0.9))
@settings(deadline=None)
def test_swept_share(outline: Outline, x: float, y: float, blade: float, hub_share: float) -> None:
    hub = hub_share * blade
    ring = (
        shapely.Point(x, y)
        .buffer(0.5 * blade, quad_segs=2000)
        .difference(shapely.Point(x, y).buffer(0.5 * hub, quad_segs=2000))
    )
    expected = polygon(outline).intersection(ring).area / ring.area
    assert swept_share(outline, blade, hub, x, y) == pytest.approx(expected, abs=2e-5)


@pytest.mark.by_hand(
    "a hole over the blades clears all of the ring; one of half its outer radius, (1/4 - h^2)/(1 - h^2)"
)
def test_swept_share_of_circles() -> None:
    assert swept_share(Circle(1.0, 2.0, 0.52), 1.0, 0.4, 1.0, 2.0) == pytest.approx(1.0, rel=1e-12)
    assert swept_share(Circle(0.0, 0.0, 0.25), 1.0, 0.2) == pytest.approx((0.25 - 0.04) / 0.96, rel=1e-12)
    assert swept_share(Circle(5.0, 0.0, 0.25), 1.0, 0.2) == pytest.approx(0.0, abs=1e-12)
    half = (Vertex(0.0, -2.0), Vertex(2.0, -2.0), Vertex(2.0, 2.0), Vertex(0.0, 2.0))
    assert swept_share(half, 1.0, 0.0) == pytest.approx(0.5, rel=1e-12)


@pytest.mark.practice("95 % of the swept ring stays clear, necks of at least 3/8 in")
@pytest.mark.parametrize("lobes", [2, 3, 4])
@pytest.mark.parametrize("blade", [9.0, 12.0, 16.0])
def test_lobed_over_a_fan(blade: float, lobes: int) -> None:
    clear = (0.5 * blade + 0.15) * INCH
    made = lobed_over(blade * INCH, 0.4 * blade * INCH, clear, lobes, 0.08 * INCH)
    assert 0.95 <= swept_share(made, blade * INCH, 0.4 * blade * INCH) < 0.96
    radii = [item.radius for item in segments(made) if isinstance(item, Arc) and item.sweep < 0.0]
    assert min(radii) >= LEAST_FILLET * (1.0 - 1e-12)
    tips = [math.hypot(x, y) for x, y in finely_cut(made, 50)]
    assert max(tips) == pytest.approx(clear, rel=1e-9)


@pytest.mark.by_hand("0.08 x 0.5^3 / 3 in4; middle line of a lip of 1/2 in over r 1/8 in 0.063 in laid flat")
def test_lips() -> None:
    assert lip_stiffness(0.08 * INCH, 0.5 * INCH) / INCH**4 == pytest.approx(0.08 * 0.125 / 3.0)
    cut = flared_hole(12.0 * INCH, 0.5 * INCH, 0.125 * INCH, 0.063 * INCH)
    laid = 0.5 * math.pi * (0.125 + 0.0315) + (0.5 - 0.188)
    assert cut.diameter / INCH == pytest.approx(2.0 * (6.0 + 0.063 + 0.125 - laid))
    assert cut.stretch == pytest.approx(12.063 / (cut.diameter / INCH) - 1.0)
    with pytest.raises(InputError, match=r"type 0\.188 in or more"):
        flared_hole(12.0 * INCH, 0.1 * INCH, 0.125 * INCH, 0.063 * INCH)
    with pytest.raises(InputError, match="leaves no hole"):
        flared_hole(1.0 * INCH, 1.0 * INCH, 0.125 * INCH, 0.063 * INCH)


@pytest.mark.published("hole flanging tables, d = Dm - 2 (h - 0.43 r - 0.72 t), from memory: within 0.02 t and r")
@given(st.floats(5.0, 16.0), st.floats(0.3, 1.0), st.floats(0.03, 0.25), st.floats(0.04, 0.125))
@settings(deadline=None)
def test_flared_hole(opening: float, height: float, radius: float, t: float) -> None:
    assume(height > radius + t)
    table = opening + t - 2.0 * (height - 0.43 * radius - 0.72 * t)
    assert flared_hole(opening, height, radius, t).diameter == pytest.approx(table, abs=0.012 * t + 0.002 * radius)


@pytest.mark.by_hand("two across, three with one on top, four at the corners of a square")
def test_mount_patterns() -> None:
    assert mount_pattern(2, 10.0, 0.25)[1] == pytest.approx((-5.0, 0.0, 0.25))
    assert mount_pattern(3, 10.0, 0.25)[0] == pytest.approx((0.0, 5.0, 0.25))
    assert mount_pattern(4, math.sqrt(2.0), 0.2)[0] == pytest.approx((0.5, 0.5, 0.2))
    with pytest.raises(InputError, match="2, 3 or 4"):
        mount_pattern(5, 1.0, 0.1)


@pytest.mark.independent("shapely: head's disc and a ring's sector with a round end, joined")
@given(st.floats(2.0, 12.0), st.floats(0.4, 0.8), st.floats(0.4, 0.85), st.floats(-3.0, 3.0), st.floats(0.7, 1.57))
@settings(deadline=None)
def test_keyhole(circle: float, head: float, share: float, start: float, turn: float) -> None:
    made = keyhole(circle, head, share * head, start, turn)
    angles = np.linspace(start, start + turn, 2000)
    slot = shapely.LineString(0.5 * circle * np.column_stack((np.cos(angles), np.sin(angles))))
    round_end = shapely.Point(0.5 * circle * math.cos(start), 0.5 * circle * math.sin(start))
    whole = slot.buffer(0.5 * share * head, quad_segs=200).union(round_end.buffer(0.5 * head, quad_segs=200))
    assert polygon(made).is_valid
    assert area(made) == pytest.approx(whole.area, rel=1e-4)
    with pytest.raises(InputError, match="turn further"):
        keyhole(circle, head, share * head, start, 0.0)
    with pytest.raises(InputError, match="narrower"):
        keyhole(circle, head, head, start, turn)


@pytest.mark.law("as many windows as bars and one, alike, the bars between them, as wide over all as asked")
@given(st.floats(4.0, 30.0), st.floats(0.5, 6.0), st.integers(0, 6))
@settings(deadline=None)
def test_flaps(width: float, height: float, bars: int) -> None:
    windows = flap_windows(0.1, 0.2, width * INCH, height * INCH, bars)
    assert len(windows) == bars + 1
    each = [box(window).x2 - box(window).x1 for window in windows]
    assert each == pytest.approx([(width - 0.5 * bars) * INCH / (bars + 1)] * (bars + 1))
    assert (box(windows[-1]).x2 - box(windows[0]).x1) / INCH == pytest.approx(width)
    gaps = [box(b).x1 - box(a).x2 for a, b in pairwise(windows)]
    assert gaps == pytest.approx([0.5 * INCH] * len(gaps))


@pytest.mark.law("every hole keeps its webs and the edge; fewer where something is in the way")
def test_lightening_holes() -> None:
    field, keep = rectangle(10.0, 6.0, 0.5), [Circle(5.0, 3.0, 1.5)]
    holes = lightening_holes(field, keep, 1.0, 0.3, 0.4)
    assert edge_gaps(holes, field).min() >= 0.4 - 1e-9
    gaps = webs(holes, [*holes, *keep])
    np.fill_diagonal(gaps, np.inf)
    assert gaps.min() == pytest.approx(0.3, abs=1e-9)
    assert len(holes) == 16
    assert len(lightening_holes(field, [], 1.0, 0.3, 0.4)) == 26


@pytest.mark.independent("shapely: sheet, half round and tab swelled by the blend, joined, and shrunk by it")
@given(st.floats(-0.3, 1.0), st.floats(0.3, 0.6), st.floats(0.25, 0.5))
@settings(deadline=None)
def test_an_ear(off: float, radius: float, blend: float) -> None:
    sheet = rectangle(8.0, 5.0)
    made = with_ears(sheet, [Ear(4.0, -off, radius)], blend)
    # A circle that just touches the edge meets it at an angle known to the root of rounding only.
    assert smooth_at(made)[:-4] == pytest.approx([0.0] * (len(made) - 4), abs=1e-7)
    assert distance(made, 4.0, -off) == pytest.approx(radius, abs=1e-12)
    swelled = [
        shapely.box(0.0, 0.0, 8.0, 5.0).buffer(blend, quad_segs=64),
        shapely.Point(4.0, -off).buffer(radius + blend, quad_segs=64),
    ]
    if off > 0.0:
        swelled.append(shapely.box(4.0 - radius - blend, -off, 4.0 + radius + blend, 0.1))
    closed = shapely.union_all(swelled).buffer(-blend, quad_segs=64)
    assert area(made) == pytest.approx(closed.area, rel=2e-5)


@pytest.mark.behaviour("an ear on any straight side stands outside it; what cannot be is named, all together")
def test_ears_on_every_side_and_none_on_a_corner() -> None:
    sheet = rectangle(8.0, 5.0, 0.25)
    spots = [(4.0, -0.3), (8.3, 2.5), (4.0, 5.3), (-0.3, 2.5)]
    made = with_ears(sheet, [Ear(x, y, 0.5) for x, y in spots])
    assert all(contains(made, x, y) and not contains(sheet, x, y) for x, y in spots)
    assert distance(made, 4.0, -0.3) == pytest.approx(0.5)
    one = area(with_ears(sheet, [Ear(4.0, -0.3, 0.5)])) - area(sheet)
    assert area(made) - area(sheet) == pytest.approx(4.0 * one)
    with pytest.raises(InputError) as caught:
        with_ears(sheet, [Ear(4.0, -0.3, 0.5), Ear(4.4, -0.3, 0.5), Ear(7.6, 5.3, 0.5), Ear(8.2, -0.2, 0.5)])
    assert len(caught.value.faults) == 3
