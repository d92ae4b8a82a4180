"""Every family of shroud: its flat folds to the shroud asked for, and weighs what that weighs."""

import math
from typing import Any

import numpy as np
import pytest

from shroudwright.bench.arcs import Vertex, area, box, contains, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.metal.clip import middle_area
from shroudwright.metal.closing import NECK_CLEARANCE, Ends, Neck
from shroudwright.metal.drawing_rules import drawing_findings
from shroudwright.metal.ends import FOOT_SHORT, same_cut
from shroudwright.metal.look import Fan
from shroudwright.metal.pan import pan_shroud, relief_radius
from shroudwright.metal.panel import panel_shroud
from shroudwright.metal.shroud import Shroud, rolled_shroud
from shroudwright.shroud.outline import crossing_lines
from tests.folding import folded

INCH = 0.0254
FAN = Fan("F1", 9.0 * INCH, 8.0 * INCH, 10.0 * INCH)
COMMON: dict[str, Any] = {
    "thickness": 0.08 * INCH,
    "metal": "aluminium 5052-H32",
    "fans": (FAN,),
    "opening_clearance": 0.15 * INCH,
    "bolt_hole": 0.201 * INCH,
    "bolt_pitch": 5.0 * INCH,
    "grommet": 0.75 * INCH,
}
ROLLED: dict[str, Any] = {
    **COMMON,
    "core_width": 26.0 * INCH,
    "core_height": 16.0 * INCH,
    "depth": 1.5 * INCH,
    "roll_radius": 0.75 * INCH,
    "flange_radius": 0.125 * INCH,
    "flange_leg": 1.0 * INCH,
    "trim": 0.5 * INCH,
}
PAN: dict[str, Any] = {
    **COMMON,
    "width": 26.0 * INCH,
    "height": 16.0 * INCH,
    "depth": 1.5 * INCH,
    "depth_top": None,
    "bend_radius": 0.125 * INCH,
    "flange_radius": 0.125 * INCH,
    "flange_leg": 1.0 * INCH,
    "flanges": dict.fromkeys(("left", "right", "bottom", "top"), "out"),
    "lip": 0.75 * INCH,
}
KINDS = ("out", "in", "none", "lip")


def rolled(**changes: object) -> Shroud:
    return rolled_shroud(**{**ROLLED, **changes})


def pan(**changes: object) -> Shroud:
    return pan_shroud(**{**PAN, **changes})


def codes(made: Shroud) -> list[str]:
    return [finding.code for finding in made.findings]


def fan_at(made: Shroud) -> tuple[float, float]:
    return made.flats[0].openings[0].middle


def ground(made: Shroud, purpose: str = "flange bolt", level: float = 0.0) -> np.ndarray:
    """Where the flange holes end up, the face left flat."""
    blank = made.flats[0]
    spots = [folded(blank, fan_at(made), h.x, h.y, level) for h in blank.holes if h.purpose == purpose]
    return np.array(spots)


def plane(points: np.ndarray) -> tuple[np.ndarray, float]:
    """Normal of the plane through points, toward the face, and how far the worst lies off it."""
    middle = points.mean(axis=0)
    normal = np.linalg.svd(points - middle)[2][2]
    normal *= math.copysign(1.0, normal[2])
    return normal, float(np.abs((points - middle) @ normal).max())


@pytest.mark.law(
    "24 designs of each family: folded by rotations, every flange hole lies on one plane, the asked depth under the fan"
)
@pytest.mark.parametrize("number", range(24))
@pytest.mark.parametrize("family", ["rolled", "leaning", "tilted", "pan"])
def test_flanges_land_on_the_core(family: str, number: int) -> None:
    draw = np.random.default_rng([number, len(family)])
    t, r = draw.uniform(0.04, 0.1) * INCH, draw.uniform(0.06, 0.2) * INCH
    depth, rise = draw.uniform(1.2, 2.5) * INCH, draw.uniform(-0.3, 1.5) * INCH
    shape = {"thickness": t, "flange_radius": r, "depth": depth, "flange_leg": draw.uniform(0.9, 1.3) * INCH}
    kinds = ("out", "out") if number % 3 else ("in", "in")
    if family == "pan":
        flanges = dict(zip(("left", "right", "bottom", "top"), (*kinds, *kinds), strict=True))
        made = pan(**shape, bend_radius=draw.uniform(0.06, 0.2) * INCH, depth_top=depth + rise, flanges=flanges)
        gained, over = rise, 16.0 * INCH
    else:
        roll = draw.uniform(0.1, 0.5) * INCH
        more = {"leaning": {"rise": rise}, "tilted": {"depth_high": depth + rise}}.get(family, {})
        made = rolled(**shape, roll_radius=roll, flanges=kinds, **more)
        gained, over = (rise, 26.0 * INCH if family == "leaning" else 16.0 * INCH) if more else (0.0, INCH)
    # The core's side of a flange turned in is its outer face.
    points = ground(made, level=0.0 if kinds[0] == "out" else t)
    normal, off = plane(points)
    assert off < 1e-9
    tilt = math.atan(gained / over)
    assert math.acos(min(normal[2], 1.0)) == pytest.approx(abs(tilt), abs=1e-7)
    place = FAN.x if family == "leaning" else FAN.y
    here = np.array([*fan_at(made), 0.0])
    # Along the core's normal: the depth under the fan's middle.
    assert (here - points[0]) @ normal == pytest.approx(depth + gained * place / over, rel=1e-9)


@pytest.mark.law(
    "24 designs of each family: no outline crosses itself, is wound the wrong way or has a piece without length"
)
@pytest.mark.parametrize("number", range(24))
def test_outlines_are_sound(number: int) -> None:
    draw = np.random.default_rng(number)
    t, depth = draw.uniform(0.04, 0.1) * INCH, draw.uniform(1.2, 2.5) * INCH
    kinds = draw.choice(KINDS, 4)
    deeper = depth + draw.uniform(-0.3, 1.5) * INCH
    necks = tuple(Neck(u, draw.uniform(3.0, 12.0) * INCH, 0.5 * INCH, 0.5 * INCH) for u in (0.0, 26.0 * INCH))
    ends = Ends(foot=draw.uniform(0.6, 1.2) * INCH, necks=necks, divider=14.0 * INCH)
    shape = {"thickness": t, "depth": depth, "flange_leg": draw.uniform(0.9, 1.3) * INCH, "lip": 0.7 * INCH}
    roll = draw.uniform(0.1, 0.5) * INCH
    made = [
        pan(**shape, flanges=dict(zip(("left", "right", "bottom", "top"), kinds, strict=True)), depth_top=deeper),
        rolled(**shape, flanges=tuple(kinds[:2]), depth_high=deeper, roll_radius=roll, ends=ends),
        rolled(**shape, flanges=(kinds[2],) * 2, rise=deeper - depth, roll_radius=roll, ends=ends),
    ]
    for flat in (flat for shroud in made for flat in shroud.flats):
        outline = flat.outline
        assert crossing_lines(outline) == [], flat.name
        assert area(outline) > 0.0
        steps = zip(outline, outline[1:] + outline[:1], strict=True)
        assert min(math.dist(one[:2], other[:2]) for one, other in steps) > 1e-6
        assert all(contains(outline, hole.x, hole.y) for hole in flat.holes)


@pytest.mark.law("the holes stand as far apart as on the flange, square to the walls: rolled in the depths asked")
def test_walls_stand_apart() -> None:
    for more in ({}, {"depth_high": 2.5 * INCH}, {"rise": 1.0 * INCH}):
        made = rolled(**more)
        points, blank = ground(made), made.flats[0]
        low = points[points[:, 1] < points[:, 1].mean()]
        high = points[points[:, 1] > points[:, 1].mean()]
        shape = made.shape
        assert shape is not None
        bolt = min(h.y for h in blank.holes if h.purpose == "flange bolt")
        away = ROLLED["flange_leg"] - (bolt if not more.get("rise") else 0.0)
        normal, _ = plane(points)
        along = np.array([1.0, 0.0, 0.0]) - normal[0] * normal
        across = np.cross(normal, along / np.linalg.norm(along))
        apart = (high @ across).mean() - (low @ across).mean()
        if not more.get("rise"):
            assert apart == pytest.approx(16.0 * INCH + 2.0 * away, rel=1e-9)
        assert np.ptp(low @ across) < 1e-9
        assert np.ptp(high @ across) < 1e-9


@pytest.mark.law("folded metal of the blank is its section's middle line times its length, to 1e-9")
@pytest.mark.parametrize("kinds", [(a, b) for a in KINDS for b in KINDS])
def test_metal_of_the_blank(kinds: tuple[str, str]) -> None:
    made = rolled(flanges=kinds, lip=0.5 * INCH, depth_high=2.0 * INCH, trim=0.0, fans=())
    blank, shape = made.flats[0], made.shape
    assert shape is not None
    holes = sum(0.25 * math.pi * hole.diameter**2 for hole in blank.holes)
    assert middle_area(blank) == pytest.approx(shape.middle_length * 26.0 * INCH - holes, rel=1e-9)
    straights = shape.face + sum(side.flange + side.wall for side in (shape.low, shape.high))
    resummed = math.fsum([straights, *(bend.allowance for bend in blank.bends)])
    assert resummed == pytest.approx(box(blank.outline).y2, rel=1e-12)


@pytest.mark.by_hand(
    "leaning 1 in over 26: blank 26 cos T long; the walls' metal a trapezoid of mean height D cos T + half the rise"
)
def test_leaning_metal() -> None:
    made = rolled(rise=1.0 * INCH, trim=0.0, fans=(), flanges=("none", "none"))
    tilt = math.atan(1.0 / 26.0)
    run, blank = 26.0 * INCH * math.cos(tilt), made.flats[0]
    assert box(blank.outline).x2 == pytest.approx(run)
    mean = 1.5 * INCH * math.cos(tilt) + 0.5 * run * math.tan(tilt) - 0.75 * INCH
    metal = run * (14.5 * INCH + 2.0 * mean + math.pi * 0.79 * INCH)
    hole = blank.holes[-1]
    assert middle_area(blank) == pytest.approx(metal - 0.25 * math.pi * hole.diameter**2, rel=1e-9)


@pytest.mark.by_hand(
    "face 26 - 2 x 1/8 wide; walls 1.5 - 1/8 - 0.125 - 0.08 = 1.17 straight; flanges 1 - 0.205 = 0.795"
)
def test_pan_size() -> None:
    made = pan()
    tight = 0.5 * math.pi * (0.125 + 0.4 * 0.08)
    x1, y1, x2, y2 = box(made.flats[0].outline)
    arms = 2.0 * (2.0 * tight + 1.17 + 0.795)
    assert (x2 - x1) / INCH == pytest.approx(25.75 + arms)
    assert (y2 - y1) / INCH == pytest.approx(15.75 + arms)
    assert codes(made) == ["O08"]
    assert len(made.flats[0].bends) == 8


@pytest.mark.published(
    "FAA-H-8083-31: relief hole 1/8 in to 0.064 sheet, 3/16 to 0.128, reaching 1/32 past the bends' tangents"
)
def test_relief() -> None:
    assert 2.0 * relief_radius(0.064 * INCH, 0.03 * INCH) == pytest.approx(0.125 * INCH)
    assert 2.0 * relief_radius(0.08 * INCH, 0.03 * INCH) == pytest.approx(0.1875 * INCH)
    assert 2.0 * relief_radius(0.08 * INCH, 0.2 * INCH) == pytest.approx(0.4 * INCH)
    flat = pan(metal="mild steel", bend_radius=0.09375 * INCH).flats[0]
    left = min(b.x1 + 0.5 * b.allowance for b in flat.bends if b.x1 == b.x2 and b.direction == "down")
    low = min(b.y1 + 0.5 * b.allowance for b in flat.bends if b.y1 == b.y2 and b.direction == "down")
    past = 0.027 * INCH
    assert not contains(flat.outline, left, low)
    assert not contains(flat.outline, left - 0.06 * INCH, low + past)
    assert not contains(flat.outline, left + past, low - 0.06 * INCH)
    assert contains(flat.outline, left + 0.04 * INCH, low + 0.04 * INCH)
    assert [f.code for f in pan(relief=0.1 * INCH).stops] == ["B12"]


@pytest.mark.law("pans whose walls end alike are alike to left and right; a corner of the blank is left open")
@pytest.mark.parametrize("kind", KINDS)
def test_pan_is_even(kind: str) -> None:
    made = pan(flanges=dict.fromkeys(("left", "right", "bottom", "top"), kind), fans=())
    outline = made.flats[0].outline
    x1, y1, x2, y2 = box(outline)
    for share in np.linspace(0.01, 0.99, 37):
        for other in np.linspace(0.013, 0.987, 29):
            x, y = x1 + share * (x2 - x1), y1 + other * (y2 - y1)
            assert contains(outline, x, y) == contains(outline, x1 + x2 - x, y) == contains(outline, x, y1 + y2 - y)
    assert not contains(outline, x1 + 0.1 * INCH, y1 + 0.1 * INCH)


@pytest.mark.by_hand(
    "inside 26 x 16, 1 in past it: 28 x 18; a spacer at each corner and every 5 in or less; each as long as the depth"
)
def test_flat_plate() -> None:
    made = panel_shroud(**COMMON, outline=rectangle(26.0 * INCH, 16.0 * INCH), depth=INCH, depth_top=None, margin=INCH)
    flat = made.flats[0]
    assert box(flat.outline) == pytest.approx((0.0, 0.0, 28.0 * INCH, 18.0 * INCH))
    assert flat.bends == ()
    bolts = [hole for hole in flat.holes if hole.purpose == "spacer bolt"]
    assert len(bolts) == 2 * (6 + 4)
    assert made.bought[0] == ("spacer tube", 20, pytest.approx(INCH))
    assert made.bought[-1] == ("foam strip", 1, pytest.approx(84.0 * INCH))
    assert fan_at(made) == pytest.approx((10.0 * INCH, 9.0 * INCH))
    tapered = panel_shroud(
        **COMMON, outline=rectangle(26.0 * INCH, 16.0 * INCH), depth=INCH, depth_top=2.0 * INCH, margin=INCH
    )
    assert sum(count for name, count, _ in tapered.bought if name == "spacer tube") == 20
    with pytest.raises(InputError, match=r"make it 0\.804 in"):
        panel_shroud(**COMMON, outline=rectangle(1.0, 1.0), depth=INCH, depth_top=None, margin=0.7 * INCH)


@pytest.mark.by_hand(
    "a foot of leg 3/4 in on a plate over the end: its flat 3/4 - 0.205, its bend 0.205 over the core's plane"
)
def test_foot() -> None:
    made = rolled(ends=Ends(foot=0.75 * INCH))
    _, cap = made.flats
    assert (cap.name, cap.quantity) == ("end cap", 2)
    (bend,) = cap.bends
    allowance = 0.5 * math.pi * (0.125 + 0.4 * 0.08) * INCH
    assert bend.allowance == pytest.approx(allowance)
    x1, y1, x2, y2 = box(cap.outline)
    assert y2 - y1 == pytest.approx(1.58 * INCH - 0.205 * INCH + allowance + 0.545 * INCH)
    assert x2 - x1 == pytest.approx((16.0 + 2.0 * (0.08 + 0.125)) * INCH)
    assert bend.x2 - bend.x1 == pytest.approx(16.0 * INCH - 2.0 * (0.08 * INCH + FOOT_SHORT))
    up = folded(cap, (0.5 * x2, y2), cap.holes[0].x, cap.holes[0].y)
    assert up[1] == pytest.approx(y2 - 1.58 * INCH, abs=1e-12)
    assert all(0.9 * cap.holes[0].diameter < hole.y < bend.y1 for hole in cap.holes)


@pytest.mark.by_hand(
    "foot of 1/2 in: 0.295 flat, four thicknesses are 0.32; of 0.2 in nothing is left; of 1 in all is well"
)
def test_foot_too_short() -> None:
    (short,) = [finding for finding in rolled(ends=Ends(foot=0.5 * INCH)).stops if finding.code == "B06"]
    assert (short.measured / INCH, short.limit / INCH) == pytest.approx((0.295, 0.32))
    assert short.place == "end cap: foot"
    with pytest.raises(InputError, match=r"side_foot: 0\.200 in leaves no flat foot; make it 0\.525 in"):
        rolled(ends=Ends(foot=0.2 * INCH))
    assert codes(rolled(ends=Ends(foot=INCH))) == ["O08"]
    assert {"O01", "O03"} <= {f.code for f in rolled(ends=Ends(foot=0.75 * INCH)).findings}


@pytest.mark.by_hand(
    "plates between the walls: 16 wide inside, the blank longer by two thicknesses so the room stays 26 long"
)
def test_between_the_walls() -> None:
    made = rolled(ends=Ends("between", foot=0.75 * INCH))
    blank, cap = made.flats
    assert box(blank.outline).x2 == pytest.approx((26.0 + 1.0 + 0.16) * INCH)
    assert [line.x1 / INCH for line in blank.etch_lines] == pytest.approx([0.5, 26.66])
    assert fan_at(made)[0] == pytest.approx((9.0 + 0.5 + 0.08) * INCH)
    assert box(cap.outline).x2 == pytest.approx((16.0 + 2.0 * 0.205) * INCH)
    with pytest.raises(InputError, match="put it over the ends"):
        rolled(ends=Ends("between"), flanges=("in", "out"))


@pytest.mark.by_hand(
    "a 1 1/2 in neck 0.2 in off the right plate, 0.9 in over the core: 3/16 round it; left and right differ"
)
def test_neck() -> None:
    neck = Neck(26.28 * INCH, 5.0 * INCH, 0.75 * INCH, 0.9 * INCH)
    made = rolled(ends=Ends(foot=0.75 * INCH, necks=(neck,)))
    assert [(flat.name, flat.quantity) for flat in made.flats[1:]] == [("right end", 1), ("left end", 1)]
    right, left = made.flats[1:]
    assert not same_cut(right, left)
    assert len(right.bends) == 2
    half = math.sqrt((0.75 * INCH + NECK_CLEARANCE) ** 2 - (0.2 * INCH) ** 2)
    low = 0.75 * INCH - 0.205 * INCH + right.bends[0].allowance - 0.205 * INCH
    middle = (5.0 + 0.205) * INCH
    for out, is_in in ((-1e-4, False), (1e-4, True)):
        assert contains(right.outline, middle + half + out, low + 0.3 * INCH) == is_in
        assert contains(right.outline, middle, low + 0.9 * INCH + NECK_CLEARANCE + out) == is_in
    tall = neck._replace(height=2.0 * INCH)
    assert len(rolled(ends=Ends(foot=0.75 * INCH, necks=(tall,))).flats) == 2


@pytest.mark.by_hand(
    "3 x 3 in out of the upper right corner: walls 13 and 3 along, 3 across; the blank stops 3 in short up there"
)
def test_notched() -> None:
    a, b, cut = 26.0 * INCH, 16.0 * INCH, 3.0 * INCH
    outline = (
        Vertex(0.0, 0.0), Vertex(a, 0.0), Vertex(a, b - cut),
        Vertex(a - cut, b - cut), Vertex(a - cut, b), Vertex(0.0, b),
    )  # fmt: skip
    made = rolled(outline=outline, ends=Ends(divider=18.0 * INCH, foot=0.75 * INCH), trim=0.0)
    names = [flat.name for flat in made.flats]
    assert names == ["main blank", "right end", "notch side", "notch side 2", "left end", "divider"]
    blank, shape = made.flats[0], made.shape
    assert shape is not None
    assert area(blank.outline) == pytest.approx(
        shape.length * a - cut * (shape.length - shape.place(b - cut)), rel=1e-9
    )
    assert [bend.x2 / INCH for bend in blank.bends] == pytest.approx([26.0, 26.0, 23.0, 23.0])
    right, along, across, left, _ = made.flats[1:]
    assert box(right.outline).x2 == pytest.approx((13.0 + 0.205) * INCH)
    assert box(along.outline).x2 == pytest.approx(3.0 * INCH - 0.08 * INCH)
    assert box(across.outline).x2 == pytest.approx(3.205 * INCH)
    assert box(left.outline).x2 == pytest.approx(16.41 * INCH)


@pytest.mark.behaviour("a plate over a shallow end of a leaning shroud is refused with the largest roll there")
def test_leaning_roll_too_large() -> None:
    with pytest.raises(InputError, match="where the shroud is shallowest"):
        rolled(rise=-0.7 * INCH)


@pytest.mark.behaviour("impossible: 2 in roll, square walls, 1 in plenum, refused with the largest roll and the angle")
def test_impossible() -> None:
    with pytest.raises(InputError, match=r"largest 0\.795 in .* stops at 56\.9 deg"):
        rolled(roll_radius=2.0 * INCH, depth=1.0 * INCH)
    made = rolled(roll_radius=2.0 * INCH, depth=1.0 * INCH, partial=True)
    assert "B03" in codes(made)
    with pytest.raises(InputError, match="flange_leg"):
        pan(flange_leg=0.1 * INCH)


@pytest.mark.law("the slits beside a foot stay in a plate whose sides lean in with a partial roll")
def test_slits_of_a_foot_under_leaning_walls() -> None:
    made = rolled(depth=1.0 * INCH, roll_radius=2.0 * INCH, partial=True, ends=Ends(foot=1.0 * INCH))
    (cap,) = [flat for flat in made.flats if not flat.openings]
    assert cap.bends
    assert [level for level, _ in drawing_findings(cap)] == []


@pytest.mark.by_hand("a notch 2 in wide with 1.1 in of plate past the inside either side of it closes; 0.9 in does not")
def test_a_plate_leaves_notches_open() -> None:
    points = ((0, 0), (8, 0), (8, 3), (10, 3), (10, 0), (26, 0), (26, 16), (0, 16))
    outline = tuple(Vertex(x * INCH, y * INCH) for x, y in points)
    asked = {"outline": outline, "depth": INCH, "depth_top": None, "fans": ()}
    with pytest.raises(InputError, match=r"closes a notch 2\.000 in wide; make it less than 1\.000 in"):
        panel_shroud(**{**COMMON, **asked}, margin=1.1 * INCH)
    assert crossing_lines(panel_shroud(**{**COMMON, **asked}, margin=0.9 * INCH).flats[0].outline) == []
