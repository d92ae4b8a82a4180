"""Clearances of fans behind a core, against shapely, close sampling and by hand."""

import math
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import Outline, inside, moved, rectangle
from shroudwright.shroud.bodies import WANTED, FanBody, Plate, Solid, plate_at
from shroudwright.shroud.edges import edge_gap, rim_gap
from shroudwright.shroud.fit import Clearance, clearances, margins, missing, room_wanted, tightest
from shroudwright.shroud.outline import inner_outlines
from tests.test_bench_arcs import finely_cut, outlines

INCH = 0.0254
SHARES = st.floats(0.0, 1.0).map(lambda share: round(share, 3))  # shapely has no word for smaller corners
CORE = (22 * INCH, 17 * INCH)
SHROUD = Plate(moved(rectangle(27 * INCH, 17 * INCH), -2.5 * INCH, 0.0), 0.0, INCH, INCH)


def rounded(x: float, y: float, half: float, corner: float) -> shapely.Polygon:
    flat = half - corner
    if corner == 0.0:
        return shapely.box(x - half, y - half, x + half, y + half)
    return shapely.box(x - flat, y - flat, x + flat, y + flat).buffer(corner, quad_segs=256)


def fan(code: str, x: float, y: float, **more: Any) -> FanBody:
    """A fan in a square frame of 12 1/4 in, places in inches."""
    return FanBody(code, x * INCH, y * INCH, opening=11.3 * INCH, frame=12.25 * INCH)._replace(**more)


def of_kind(found: list[Clearance], kind: str) -> Clearance:
    (one,) = [item for item in found if item.kind == kind]
    return one


@pytest.mark.independent("shapely's distance to a rounded box cut into 256 lines a quarter: within 1e-5 of its corner")
@given(st.floats(-2, 2), st.floats(-2, 2), st.floats(0.1, 1.0), SHARES)
def test_rim_gap(x: float, y: float, half: float, share: float) -> None:
    shape, place = rounded(0.0, 0.0, half, share * half), shapely.Point(x, y)
    away = shape.exterior.distance(place)
    signed = -away if shape.contains(place) else away
    assert float(rim_gap(np.array(x), np.array(y), half, half, share * half)) == pytest.approx(signed, abs=2e-5)


@pytest.mark.independent("shapely, between the thing and the outline cut into 2000 lines an arc")
@given(outlines(), st.floats(-1.5, 1.5), st.floats(-1.5, 1.5), st.floats(0.05, 0.6), SHARES)
@settings(deadline=None)
def test_edge_gap(outline: Outline, x: float, y: float, half: float, share: float) -> None:
    corner, cut = share * half, finely_cut(outline)
    area, line = shapely.Polygon(cut), shapely.LinearRing(cut)
    thing, middle = rounded(x, y, half, corner), shapely.Point(x, y)
    found = edge_gap(outline, half, corner, x, y)
    gap = float(found.gap[0])
    assert line.distance(shapely.Point(found.x[0], found.y[0])) < 1e-5
    if line.distance(middle) < 1e-4:
        return  # neither in nor out, to the cut
    assert bool(inside(outline, x, y)) == area.contains(middle)
    if not area.contains(middle):
        assert gap == pytest.approx(-half - line.distance(middle), abs=1e-5)
    elif area.contains(thing):
        assert gap == pytest.approx(line.distance(thing), abs=1e-5)
    else:
        assert gap == pytest.approx(float(rim_gap(cut[:, 0] - x, cut[:, 1] - y, half, half, corner).min()), abs=2e-3)
        assert gap <= float(rim_gap(cut[:, 0] - x, cut[:, 1] - y, half, half, corner).min()) + 1e-6


@pytest.mark.independent("shapely: apart, the distance; overlapping, the shortest of 360 ways that parts them")
@given(st.floats(-1, 1), st.floats(-1, 1), st.floats(0.2, 0.6), SHARES, st.floats(0.2, 0.6), SHARES)
@settings(deadline=None, max_examples=25)
def test_two_frames(x: float, y: float, one: float, share: float, other: float, their: float) -> None:
    a = FanBody("A", 0.0, 0.0, 0.1, 2 * one, share * one)
    b = FanBody("B", x, y, 0.1, 2 * other, their * other)
    gap = of_kind(clearances([a, b], None, []), "frame to frame").gap
    first, second = rounded(0.0, 0.0, one, share * one), rounded(x, y, other, their * other)
    if gap > 1e-4:
        assert gap == pytest.approx(first.distance(second), abs=5e-5)
        return
    ways = [(math.cos(angle), math.sin(angle)) for angle in np.linspace(0.0, math.tau, 360, endpoint=False)]

    def parts(step: float) -> bool:
        shifted = (shapely.affinity.translate(second, step * right, step * up) for right, up in ways)
        return any(not first.intersects(shape) or first.intersection(shape).area < 1e-9 for shape in shifted)

    assert parts(-gap * 1.001 + 1e-4)
    assert gap > -1e-3 or not parts(-gap * 0.999 - 1e-4)


FANS = st.lists(st.tuples(st.floats(-0.1, 0.8), st.floats(-0.1, 0.6)), min_size=1, max_size=4)


def bodies(places: list[tuple[float, float]]) -> list[FanBody]:
    exits = ("down", "behind", "left", None)
    return [
        FanBody(
            code=f"F{i}",
            x=x,
            y=y,
            opening=(0.29, 0.21, 0.25, 0.2)[i],
            frame=(0.31, 0.23, None, 0.25)[i],
            corner=(0.01, 0.115, 0.0, 0.0)[i],
            overall_depth=(0.07, 0.05, 0.06, None)[i],
            depth_ahead=(0.005, None, 0.0, 0.01)[i],
            motor=0.1,
            motor_inside=i == 2,
            holes=((0.15, 0.15, 0.006),) if i == 0 else (),
            lead_exit=exits[i],  # type: ignore[arg-type]
        )
        for i, (x, y) in enumerate(places)
    ]


PLATE = Plate(
    inner_outlines(*CORE, reach_left=0.05, reach_right=0.04, notches=[(0.5, 0.4, 0.1, 0.1)])[0],
    flange=0.01,
    bottom=0.04,
    top=0.04,
    thickness=0.002,
    roll_bottom=0.02,
    roll_top=0.015,
    divider=0.3,
    flaps=(("flap 1", 0.5, 0.35, 0.05, 0.03),),
)
SOLIDS = (
    Solid("water pump", "engine", 0.2, 0.2, 0.05, 0.05, 0.05, 0.11),
    Solid("steering box", "keep-out", 0.4, 0.1, 0.05, 0.08, 0.0, 0.08),
    Solid("neck", "neck", 0.55, 0.45, 0.02, 0.02, 0.02, 0.0, 0.05),
    Solid("hose", "hose", 0.55, 0.45, 0.06, 0.06, 0.06, 0.0, 0.1),
    Solid("left tank", "tank", -0.25, 0.2, 0.25, 0.3, 0.0, -1.0, 0.01),
)


@pytest.mark.law("many placements at once give what one at a time does")
def test_margins_agree_with_the_list() -> None:
    random = np.random.default_rng(3)
    x, y = random.uniform(-0.1, 0.8, (300, 4)), random.uniform(-0.1, 0.6, (300, 4))
    found = margins(bodies([(0.0, 0.0)] * 4), PLATE, SOLIDS, x, y)
    kinds = set()
    for row in range(len(x)):
        listed = clearances(bodies(list(zip(x[row], y[row], strict=True))), PLATE, SOLIDS)
        tight = tightest(listed)
        assert tight is not None
        kinds |= {item.kind for item in listed}
        assert found[row] == pytest.approx(tight.spare, abs=1e-9)
        assert tight.spare == missing(listed)[0].spare
    assert kinds == WANTED.keys()
    assert tightest([]) is None


@pytest.mark.law("moving a fan by some distance changes no gap by more")
@given(FANS, st.floats(0.0, 0.2), st.floats(0.0, math.tau))
@settings(deadline=None)
def test_gaps_follow_the_fan(places: list[tuple[float, float]], step: float, way: float) -> None:
    x, y = places[0]
    shifted = [(x + step * math.cos(way), y + step * math.sin(way)), *places[1:]]
    for before, after in zip(
        clearances(bodies(places), PLATE, SOLIDS), clearances(bodies(shifted), PLATE, SOLIDS), strict=True
    ):
        assert (before.kind, before.between) == (after.kind, after.between)
        assert abs(before.gap - after.gap) <= step * (1.0 + 1e-9) + 1e-12


@pytest.mark.law("seen in a mirror nothing changes")
@given(FANS)
@settings(deadline=None)
def test_mirror(places: list[tuple[float, float]]) -> None:
    swapped = {"left": "right", "right": "left"}
    mirrored = [
        body._replace(
            x=-body.x,
            holes=tuple((-x, y, d) for x, y, d in body.holes),
            lead_exit=swapped.get(str(body.lead_exit), body.lead_exit),
        )
        for body in bodies(places)
    ]
    outline = tuple(v._replace(x=-v.x) for v in PLATE.outline[::-1])
    assert all(v.bulge == 0.0 for v in outline)
    flaps = tuple((name, -x, *rest) for name, x, *rest in PLATE.flaps)
    plate = PLATE._replace(outline=outline, divider=-0.3, flaps=flaps)
    other = clearances(mirrored, plate, [solid._replace(x=-solid.x) for solid in SOLIDS])
    for one, same in zip(clearances(bodies(places), PLATE, SOLIDS), other, strict=True):
        assert one.gap == pytest.approx(same.gap, abs=1e-12)


@pytest.mark.practice(
    "27 in over all, 22 x 17 in core, two fans in 12 1/4 in frames side by side: over the tanks they fit"
)
def test_over_the_tanks() -> None:
    pair = [fan("L", 4.5, 8.5, depth_ahead=0.2 * INCH), fan("R", 17.5, 8.5, depth_ahead=0.2 * INCH)]
    assert missing(clearances(pair, SHROUD, [])) == []
    across, up = room_wanted(pair, SHROUD)
    assert (across.codes, across.need, across.room) == (
        ("L", "R"),
        pytest.approx(24.5 * INCH),
        pytest.approx(27 * INCH),
    )
    assert (up.need, up.room) == pytest.approx((12.25 * INCH, 17 * INCH))
    narrow = SHROUD._replace(outline=rectangle(*CORE))
    assert missing(clearances(pair, narrow, []))[0].kind == "frame to edge"
    across, _ = room_wanted(pair, narrow)
    assert across.need - across.room == pytest.approx(2.5 * INCH)


@pytest.mark.by_hand(
    "a 13 in opening in a 29 in shroud hangs 1 1/4 in past a 25 in core and 1 in is left of the shroud"
)
def test_overhang_is_allowed() -> None:
    plate = Plate(moved(rectangle(29 * INCH, 17 * INCH), -2 * INCH, 0.0), 0.0, INCH, INCH)
    one = FanBody("A", 5.25 * INCH, 8.5 * INCH, 13 * INCH)
    assert of_kind(clearances([one], plate, []), "opening to edge").gap == pytest.approx(0.75 * INCH)
    assert missing(clearances([one], plate, [])) == []
    out = of_kind(clearances([one._replace(x=4.0 * INCH)], plate, []), "opening to edge")
    assert out.gap == pytest.approx(-0.5 * INCH)
    assert out.where == pytest.approx((-2 * INCH, 8.5 * INCH))


@pytest.mark.by_hand("sums of inches along z, and a 3-4-5 triangle beside")
def test_depths() -> None:
    one = fan("A", 6, 8, depth_ahead=0.25 * INCH, overall_depth=3 * INCH, motor=4 * INCH)
    plate = SHROUD._replace(flange=0.5 * INCH, bottom=1.5 * INCH, top=1.5 * INCH, thickness=0.125 * INCH)

    def engine(x: float, near: float) -> Solid:
        return Solid("pump", "engine", x * INCH, 8 * INCH, INCH, INCH, INCH, near * INCH)

    found = clearances([one], plate, [engine(6, 5)])
    assert of_kind(found, "fan to fins").gap == pytest.approx(1.375 * INCH)
    assert of_kind(found, "motor to engine").gap == pytest.approx(0.375 * INCH)
    assert of_kind(clearances([one], plate, [engine(10, 4)]), "motor to engine").gap == pytest.approx(1.0 * INCH)
    # 3 in beside and 4 in behind: 5 in off. Overlapping both ways: the shorter way out counts.
    assert of_kind(clearances([one], plate, [engine(12, 8.625)]), "motor to engine").gap == pytest.approx(5.0 * INCH)
    assert of_kind(clearances([one], plate, [engine(8, 4)]), "motor to engine").gap == pytest.approx(-0.625 * INCH)
    hidden = clearances([one._replace(motor_inside=True)], plate, [engine(6, 5)])
    assert of_kind(hidden, "fan to fins").gap == pytest.approx((1.625 - 3.0) * INCH)
    assert [item for item in hidden if item.kind == "motor to engine"] == []
    # Leads that leave behind want 3/4 in more than the motor itself.
    behind = clearances([one._replace(lead_exit="behind")], plate, [engine(6, 5)])
    assert of_kind(behind, "leads to solid").gap == pytest.approx(-0.375 * INCH)
    tank = Solid("tank", "tank", -5 * INCH, 8 * INCH, 5 * INCH, 9 * INCH, 0.0, -9.0, 0.5 * INCH)
    over = clearances([one._replace(x=3 * INCH)], plate, [tank])
    assert of_kind(over, "fan to tank").gap == pytest.approx(0.875 * INCH)


@pytest.mark.by_hand(
    "2 in deep at the bottom, 1 in at the top of 16 in: 1/16 in an inch; a 12 in opening at mid-height"
)
def test_taper() -> None:
    plate = Plate(rectangle(20 * INCH, 16 * INCH), 0.0, 2 * INCH, INCH)
    one = FanBody("A", 10 * INCH, 8 * INCH, 12 * INCH, depth_ahead=0.0)
    assert of_kind(clearances([one], plate, []), "fan to fins").gap == pytest.approx((1.5 - 6 / 16) * INCH)
    least, greatest = plate_at(plate, np.array([0.0]), np.array([16 * INCH]))
    assert (least[0], greatest[0]) == pytest.approx((INCH, 2 * INCH))


@pytest.mark.by_hand("a neck 1 1/2 in thick, its hose's room 2 1/4 in round it; walls from flange to plate")
def test_necks() -> None:
    neck = Solid("neck", "neck", 25.5 * INCH, 8 * INCH, 0.75 * INCH, 0.75 * INCH, 0.75 * INCH, 0.0, 3 * INCH)
    hose = neck._replace(name="hose", kind="hose", width=2.25 * INCH, height=2.25 * INCH, corner=2.25 * INCH)
    found = clearances([fan("A", 16, 8)], SHROUD, [neck, hose])
    assert of_kind(found, "shroud to neck").gap == pytest.approx(0.25 * INCH)
    assert of_kind(found, "fan to neck").gap == pytest.approx((9.5 - 6.125 - 0.75) * INCH)
    assert of_kind(found, "fan to hose").gap == pytest.approx((9.5 - 6.125 - 2.25) * INCH)
    within = clearances([fan("A", 6, 8)], SHROUD, [neck._replace(x=23.5 * INCH)])
    assert of_kind(within, "shroud to neck").gap == pytest.approx(-1.75 * INCH)
    short = clearances([fan("A", 6, 8)], SHROUD._replace(flange=4 * INCH), [neck._replace(x=23.5 * INCH)])
    assert of_kind(short, "shroud to neck").gap == pytest.approx(1.0 * INCH)


@pytest.mark.by_hand("rows: what overlaps in height adds up across, what passes does not")
def test_rows() -> None:
    def need(*fans: FanBody) -> tuple[float, tuple[str, ...]]:
        across, _ = room_wanted(fans, SHROUD)
        return across.need / INCH, across.codes

    a, b = fan("A", 3, 8), fan("B", 10, 8)
    assert need(a, b) == (pytest.approx(24.5), ("A", "B"))
    assert need(b, a) == (pytest.approx(24.5), ("A", "B"))
    above = b._replace(x=a.x, y=12 * INCH)
    assert need(a, above) == (pytest.approx(12.25), ("A",))
    _, up = room_wanted([a, above], SHROUD)
    assert (up.need, up.codes) == (pytest.approx(24.5 * INCH), ("A", "B"))
    assert need(a, b._replace(y=20.25 * INCH)) == (pytest.approx(12.25), ("A",))
    round_one, small = (
        FanBody("R", 0.0, 0.0, 9 * INCH, 10 * INCH, 5 * INCH),
        FanBody("S", 7 * INCH, 6 * INCH, 9 * INCH, 10 * INCH, 5 * INCH),
    )
    assert need(round_one, small) == (pytest.approx(18.0), ("R", "S"))
    assert need(FanBody("O", 0.0, 0.0, 9 * INCH)) == (pytest.approx(9.0), ("O",))
    assert room_wanted([], SHROUD) == ()
    _, up = room_wanted([a], SHROUD._replace(roll_bottom=2 * INCH, roll_top=INCH))
    assert (up.need, up.room) == pytest.approx((12.25 * INCH, 14 * INCH))
