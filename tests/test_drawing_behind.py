"""Pictures of the air and the fit behind a core."""

import itertools
import math
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.air_behind import COVER_SPEEDS, DEPTHS, FLAP_SHARES, FLAP_SPEEDS, Curves
from shroudwright.bench.arcs import Box, rectangle
from shroudwright.drawing.air_map import RAMP, Face, air_map, loops_of, top_speed
from shroudwright.drawing.clearances import MOST_NAMED, clearance_picture, label_boxes, tightest_pairs
from shroudwright.drawing.depth_section import deepest, depth_section
from shroudwright.drawing.hatching import hatch
from shroudwright.drawing.placing import stacked
from shroudwright.drawing.plenum_curves import plenum_curves
from shroudwright.drawing.shapes import Line, Patch, Text
from shroudwright.drawing.svg import svg
from shroudwright.shroud.bodies import FanBody, Plate, Solid
from shroudwright.shroud.fit import clearances
from shroudwright.speech import SHOPS

INCH = 0.0254
CORE = (25.0 * INCH, 17.0 * INCH)


def face(speed: np.ndarray, bare: np.ndarray | None = None, title: str = "as built") -> Face:  # type: ignore[type-arg]
    rows, columns = speed.shape
    return Face(
        title, *CORE, True, (rectangle(*CORE),), ((0.3, 0.2, 0.1),), 0.0, 0.0, CORE[0] / columns, CORE[1] / rows,
        speed, np.zeros(speed.shape, dtype=bool) if bare is None else bare,
    )  # fmt: skip


def lightness(colour: str) -> float:
    red, green, blue = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (red, green, blue)]
    Y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116.0 * Y ** (1.0 / 3.0) - 16.0


@pytest.mark.by_hand("L* of sRGB, IEC 61966-2-1 and CIE 1976, from memory: every step of the ramp 6 to 13 lighter")
def test_ramp_reads_in_grey() -> None:
    steps = np.diff([lightness(colour) for colour in RAMP])
    assert steps.min() > 6.0
    assert steps.max() < 13.0


@pytest.mark.independent("cells counted: the loops' area by the shoelace rule, holes taken off")
@given(st.lists(st.lists(st.booleans(), min_size=6, max_size=6), min_size=5, max_size=5))
def test_loops_hold_the_marked_cells(rows: list[list[bool]]) -> None:
    mask = np.array(rows)
    total = 0.0
    for loop in loops_of(mask):
        x, y = np.array(loop, dtype=float).T
        total += 0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    assert total == pytest.approx(mask.sum())


@pytest.mark.behaviour("the map says its slowest spot, keeps one scale, and stays small")
def test_air_map() -> None:
    x, y = np.meshgrid(np.linspace(-1, 1, 96), np.linspace(-1, 1, 64))
    slow, even = 3.0 - 2.0 * np.hypot(x, y) ** 2 / 2.0, np.full((64, 96), 2.5)
    slow[50, 90] = 0.5
    faces = (face(slow), face(even, title="another inch"))
    picture = air_map(faces, 3.0, "mm")
    words = [shape.words for shape in picture.shapes if isinstance(shape, Text)]
    assert f"{50.0 / slow.mean():.0f} % of the mean here" in words
    assert "100 % of the mean here" in words
    assert {"0", "3", "face speed, m/s", "as built", "another inch"} <= set(words)
    # The even face is one colour, the same as in any map with this end of its scale.
    alone = air_map(faces[1:], 3.0, "mm")
    colours = [shape.colour for shape in alone.shapes if isinstance(shape, Patch)][: -len(RAMP)]
    assert colours == list(RAMP[: math.floor(2.5 / 3.0 * len(RAMP)) + 1])
    text = svg(picture, 0.174, 0.12)
    ET.fromstring(text)
    assert len(text) < 150_000


@pytest.mark.behaviour("a noisy field makes no large file; bare core and tanks are hatched; the scale's end is round")
def test_air_map_of_noise() -> None:
    speed = np.random.default_rng(1).uniform(0.1, 3.0, (64, 96))
    bare = np.zeros(speed.shape, dtype=bool)
    bare[:, 70:] = True
    speed[bare] = np.nan
    there = face(speed, bare)
    top = top_speed([there], "in")
    assert top >= np.nanmax(speed)
    assert top / 0.00508 == pytest.approx(round(top / 0.00508))
    shapes = air_map([there], top, "in").shapes
    lines = [shape for shape in shapes if isinstance(shape, Line)]
    left = 0.10 * CORE[0]  # a tank and the margin
    assert any(line.x1 > left + 0.73 * CORE[0] and line.x2 < left + CORE[0] for line in lines), "core not covered"
    assert any(line.x2 < left for line in lines), "a tank"
    ordinary = np.random.default_rng(2).uniform(0.9, 1.1, (16, 24)).repeat(4, axis=0).repeat(4, axis=1)
    assert len(svg(air_map([face(ordinary), face(ordinary)], 1.2, "mm"), 0.174, 0.12)) < 150_000


@pytest.mark.law("hatching stays in its region and covers it")
def test_hatch() -> None:
    lines = hatch(Box(0.0, 0.0, 1.0, 1.0), 0.05, lambda x, y: np.hypot(x - 0.5, y - 0.5) < 0.4)
    for line in lines:
        assert math.hypot(line.x1 - 0.5, line.y1 - 0.5) <= 0.4
        assert math.hypot(line.x2 - 0.5, line.y2 - 0.5) <= 0.4
    drawn = sum(math.hypot(line.x2 - line.x1, line.y2 - line.y1) for line in lines)
    assert drawn == pytest.approx(math.pi * 0.4**2 / 0.05, rel=0.05)


@pytest.mark.law("in order, a step apart, left alone where there is room, and no nearer place is better")
@given(st.lists(st.floats(0.0, 1.0), max_size=9).map(sorted), st.floats(0.01, 0.3))
def test_stacked(wanted: list[float], step: float) -> None:
    found = stacked(wanted, step)
    assert all(second - first >= step - 1e-12 for first, second in itertools.pairwise(found))
    assert sum(found) == pytest.approx(sum(wanted), abs=1e-9)
    if all(second - first >= step for first, second in itertools.pairwise(wanted)):
        assert found == pytest.approx(wanted)
    evenly = [sum(wanted) / max(len(wanted), 1) + (i - (len(wanted) - 1) / 2) * step for i in range(len(wanted))]

    def off(places: list[float]) -> float:
        return sum((a - b) ** 2 for a, b in zip(places, wanted, strict=True))

    assert off(found) <= off(evenly) + 1e-9


PLATE = Plate(rectangle(*CORE), 0.0, 1.0 * INCH, 1.0 * INCH, 0.0016, 0.5 * INCH, 0.5 * INCH)
places = st.tuples(st.floats(0.0, CORE[0]), st.floats(0.0, CORE[1]), st.floats(4.0, 15.0), st.sampled_from([0.0, 0.5]))


def fan_at(number: int, x: float, y: float, size: float, corner: float) -> FanBody:
    frame = size * INCH
    return FanBody(
        f"fan {number}", x, y, 0.9 * frame, frame, corner * frame, 2.5 * INCH, 0.4 * INCH, 0.3 * frame,
        holes=((0.45 * frame, 0.45 * frame, 0.006),), lead_exit="up",
    )  # fmt: skip


@pytest.mark.law("no label covers another, whatever the layout")
@given(st.lists(places, min_size=1, max_size=4), st.lists(st.tuples(*[st.floats(-0.1, 0.7)] * 2), max_size=4))
def test_labels_never_collide(fans: list[tuple[float, ...]], necks: list[tuple[float, float]]) -> None:
    bodies = [fan_at(i, *one) for i, one in enumerate(fans)]
    solids = [
        Solid(f"the neck at {x / INCH:.1f} in, {y / INCH:.1f} in", "neck", x, y, 0.02, 0.02, 0.02, 0.0)
        for x, y in necks
    ]
    solids.append(Solid("what is behind the core", "engine", 0.0, 0.0, 100.0, 100.0, 0.0, 0.08))
    found = clearances(bodies, PLATE, solids)
    picture = clearance_picture(bodies, PLATE, solids, found, CORE, SHOPS["in"])
    assert 1 <= len(tightest_pairs(found)) <= MOST_NAMED
    boxes = label_boxes(picture)[len(bodies) :]
    assert len(boxes) == 2 * len(tightest_pairs(found))
    for one, other in itertools.combinations(boxes, 2):
        apart = max(one.x1 - other.x2, other.x1 - one.x2, one.y1 - other.y2, other.y1 - one.y2)
        assert apart >= 0.0


@pytest.mark.behaviour("the tightest of each pair, the worst first, a roomy one not at all")
def test_tightest_pairs() -> None:
    bodies = [fan_at(0, 0.15, 0.2, 11.0, 0.0), fan_at(1, 0.45, 0.2, 11.0, 0.0)]
    found = clearances(bodies, PLATE, [])
    named = tightest_pairs(found)
    assert [item.spare for item in named] == sorted(item.spare for item in named)
    pairs = [frozenset(item.between) for item in named]
    assert len(set(pairs)) == len(pairs)
    assert named[0].spare == min(item.spare for item in found)
    words = [
        s.words for s in clearance_picture(bodies, PLATE, [], found, CORE, SHOPS["in"]).shapes if isinstance(s, Text)
    ]
    assert any("MISSING" in word or "WANTED" in word for word in words) == (named[0].spare < 0.0)


@pytest.mark.by_hand("1 in plenum, 1.6 mm plate, 2.5 in fan: its back at 90.5 mm; an engine, rocked, at 88.9 mm")
def test_depth_section() -> None:
    fan = fan_at(0, 0.3, 0.2, 11.0, 0.0)._replace(lead_exit=None)
    solids = [Solid("the crank nose", "engine", 0.3, 0.2, 0.05, 0.05, 0.05, 3.5 * INCH)]
    picture = depth_section(fan, PLATE, solids, (CORE[1], 2.0 * INCH), 0.5 * INCH, SHOPS["mm"])
    words = [shape.words for shape in picture.shapes if isinstance(shape, Text)]
    assert {"core 50.8 mm", "fins to plate 25.4 mm", "fan 63.5 mm", "blades to fins 16.8 mm"} <= set(words)
    assert any(word.startswith("left, 12.7 mm of rock taken off: 1.6 mm MISSING") for word in words)
    ET.fromstring(svg(picture, 0.174, 0.1))
    unmeasured = fan._replace(overall_depth=None, depth_ahead=None)
    words = [s.words for s in depth_section(unmeasured, None, [], CORE, 0.0, SHOPS["in"]).shapes if isinstance(s, Text)]
    assert not any("fan" in word for word in words[:-1])
    assert deepest([unmeasured, fan]) is fan
    assert deepest([]) is None


def some_curves(*, is_pull: bool = False) -> Curves:
    depths, covers, shares = np.array(DEPTHS), np.linspace(0.55, 1.0, 6), np.array(FLAP_SHARES)
    speeds, flap_speeds = np.array(COVER_SPEEDS), np.array(FLAP_SPEEDS)
    by_cover = 380.0 - speeds[:, np.newaxis] - 20.0 * covers
    by_cover[0, 0] = np.nan
    return Curves(
        is_pull, 370.0, 20.0, 0.0254, depths, 372.0 - 50.0 * depths, 20.0 + depths, 0.0, 0.97, covers, speeds, by_cover,
        0.0, shares, flap_speeds, 380.0 - flap_speeds[:, np.newaxis] - 5.0 * shares,
    )  # fmt: skip


@pytest.mark.behaviour("the curves say their speeds and where the job stands; same bytes, greys, no gaps filled")
@pytest.mark.parametrize(("units", "speeds"), [("in", {"standing", "20 mph"}), ("mm", {"standing", "32 km/h"})])
def test_plenum_curves(units: str, speeds: set[str]) -> None:
    text = plenum_curves(some_curves(), SHOPS[units], 0.174, 0.055)
    assert plenum_curves(some_curves(), SHOPS[units], 0.174, 0.055) == text
    words = {element.text for element in ET.fromstring(text).iter("{http://www.w3.org/2000/svg}text")}
    assert speeds | {f"here, {SHOPS[units].tape(0.0254)}", "Depth", "Cover", "Flaps"} <= words
    for red, green, blue in re.findall(r"#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})\b", text):
        assert red == green == blue
    assert "seconds to the limit" in plenum_curves(some_curves(is_pull=True), SHOPS[units], 0.174, 0.055)
