"""Parts to fold, made at random: blanks of every family, what closes them, brackets.

KINDS     name -> maker
parts_of  parts of one kind with their seeds
"""

import math
from collections.abc import Callable, Iterator
from random import Random
from typing import Any, Literal

from shroudwright.bench.arcs import Outline, Vertex, contains, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.metal.assembly import finished
from shroudwright.metal.bend import bend_allowance, k_factor
from shroudwright.metal.brackets import Spot, bracket
from shroudwright.metal.closing import Ends, Neck
from shroudwright.metal.flat import BendLine, Flat, Hole, quarter_turned
from shroudwright.metal.look import Fan
from shroudwright.metal.pan import pan_shroud
from shroudwright.metal.panel import panel_shroud
from shroudwright.metal.shroud import Shroud, rolled_shroud

INCH, SEED = 0.0254, 20001
METAL = "aluminium 5052-H32"
_ENDINGS = ("out", "in", "none", "lip")
_WAYS = ("left", "right", "down", "up", "front", "back")


def _sizes(draw: Random) -> dict[str, Any]:
    """What any blank with bends is asked for."""
    t = draw.choice((0.063, 0.080, 0.090, 0.125)) * INCH
    width, height = draw.uniform(14.0, 36.0) * INCH, draw.uniform(10.0, 24.0) * INCH
    return {
        "core_width": width,
        "core_height": height,
        "depth": draw.uniform(1.2, 3.0) * INCH,
        "roll_radius": draw.uniform(0.1, 0.9) * INCH,
        "flange_radius": draw.uniform(1.0, 2.5) * t,
        "flange_leg": draw.uniform(0.75, 1.5) * INCH,
        "thickness": t,
        "metal": METAL,
        "fans": _fans(draw, width, height),
        "opening_clearance": 0.1 * INCH,
        "bolt_hole": 0.2 * INCH,
        "bolt_pitch": 24.0 * INCH,
        "grommet": 0.5 * INCH,
        "trim": draw.choice((0.0, 0.5)) * INCH,
        "flanges": (draw.choice(_ENDINGS), draw.choice(_ENDINGS)),
        "lip": draw.uniform(0.5, 1.0) * INCH,
    }


def _fans(draw: Random, width: float, height: float, shares: tuple[float, ...] = (0.26, 0.74)) -> list[Fan]:
    blade = draw.uniform(0.4, 0.6) * min(height, 0.5 * width)
    return [Fan(f"F{n}", share * width, 0.5 * height, blade) for n, share in enumerate(shares, start=1)]


def _blank(draw: Random, made: Shroud) -> Flat:
    """The blank cut off, its rolls level or upright."""
    flat = finished(made.flats[0], made.trim)
    return quarter_turned(flat) if draw.random() < 0.5 else flat


def _rolled(draw: Random) -> Flat | None:
    return _blank(draw, rolled_shroud(**_sizes(draw)))


def _partial(draw: Random) -> Flat | None:
    sizes = _sizes(draw) | {"depth": draw.uniform(0.8, 1.4) * INCH, "roll_radius": draw.uniform(1.0, 2.5) * INCH}
    made = rolled_shroud(**sizes, partial=True)
    assert made.shape is not None
    return _blank(draw, made) if made.shape.angle < 1.55 else None


def _tapered(draw: Random) -> Flat | None:
    return _blank(draw, rolled_shroud(**_sizes(draw), depth_high=draw.uniform(1.2, 4.0) * INCH))


def _leaning(draw: Random) -> Flat | None:
    return _blank(draw, rolled_shroud(**_sizes(draw), rise=draw.uniform(-0.8, 2.0) * INCH))


def _cornered(draw: Random, sizes: dict[str, Any]) -> Outline:
    """The inside with a corner left out, or a piece of its low edge."""
    w, h, least = sizes["core_width"], sizes["core_height"], sizes["roll_radius"]
    across, up = draw.uniform(2.0, 4.0) * INCH, least + draw.uniform(0.5, 2.0) * INCH
    if draw.random() < 0.5:
        loop = ((0.0, 0.0), (w, 0.0), (w, h - up), (w - across, h - up), (w - across, h), (0.0, h))
    else:
        at = 0.5 * (w - across)
        loop = ((0.0, 0.0), (at, 0.0), (at, up), (at + across, up), (at + across, 0.0), (w, 0.0), (w, h), (0.0, h))
    return tuple(Vertex(*corner) for corner in loop)


def _notched_shroud(draw: Random) -> Shroud:
    sizes = _sizes(draw)
    sizes["fans"] = _fans(draw, sizes["core_width"], 0.8 * sizes["core_height"], (0.25,))
    ends = Ends(foot=draw.uniform(0.9, 1.3) * INCH)
    return rolled_shroud(**sizes, outline=_cornered(draw, sizes), ends=ends)


def _notched(draw: Random) -> Flat | None:
    return _blank(draw, _notched_shroud(draw))


def _notch_side(draw: Random) -> Flat | None:
    sides = [flat for flat in _notched_shroud(draw).flats[1:] if flat.name.startswith("notch")]
    return draw.choice(sides) if sides else None


def _pan(draw: Random) -> Flat | None:
    sizes = _sizes(draw)
    width, height, _ = (sizes.pop(name) for name in ("core_width", "core_height", "trim"))
    radius = draw.uniform(1.0, 2.5) * sizes["thickness"]
    sizes |= {"flanges": {side: draw.choice(_ENDINGS) for side in ("left", "right", "bottom", "top")}}
    del sizes["roll_radius"]
    top = draw.choice((None, draw.uniform(1.2, 3.5) * INCH))
    return pan_shroud(**sizes, width=width, height=height, bend_radius=radius, depth_top=top).flats[0]


def _plate(draw: Random) -> Flat | None:
    sizes = _sizes(draw)
    outline = draw.choice((rectangle(sizes["core_width"], sizes["core_height"]), _cornered(draw, sizes)))
    fans = _fans(draw, sizes["core_width"], 0.8 * sizes["core_height"], (0.25,))
    kept = ("thickness", "metal", "opening_clearance", "bolt_hole", "bolt_pitch", "grommet", "depth")
    top, margin = draw.choice((None, 2.5 * INCH)), draw.uniform(0.9, 1.5) * INCH
    asked = {name: sizes[name] for name in kept}
    return panel_shroud(**asked, fans=fans, outline=outline, depth_top=top, margin=margin).flats[0]


def _side(draw: Random, kind: Literal["over", "between"]) -> Flat | None:
    """A side piece of any rolled shroud, with or without foot and a neck let in."""
    sizes = _sizes(draw)
    shape = draw.choice(("even", "partial", "tapered", "leaning"))
    if shape == "partial":
        sizes |= {"depth": draw.uniform(0.8, 1.4) * INCH, "roll_radius": draw.uniform(1.0, 2.5) * INCH}
    if kind == "between":
        sizes["flanges"] = tuple(draw.choice(("out", "none", "lip")) for _ in range(2))
    neck = Neck(0.2 * INCH, draw.uniform(0.3, 0.7) * sizes["core_height"], 0.75 * INCH, draw.uniform(0.2, 0.7) * INCH)
    foot = draw.choice((0.0, draw.uniform(0.8, 1.3) * INCH))
    ends = Ends(kind, foot, draw.choice(((), (neck,))))
    more: dict[str, Any] = {
        "tapered": {"depth_high": draw.uniform(1.2, 4.0) * INCH},
        "leaning": {"rise": draw.uniform(-0.8, 2.0) * INCH},
    }.get(shape, {"partial": True})
    return draw.choice(rolled_shroud(**sizes, ends=ends, **more).flats[1:])


def _divider(draw: Random) -> Flat | None:
    sizes = _sizes(draw)
    along = draw.random() < 0.5
    ends = Ends(foot=draw.uniform(0.8, 1.3) * INCH, divider=0.5 * sizes["core_width"], divider_along=along)
    more = {"rise": draw.uniform(-0.8, 2.0) * INCH} if along else {"depth_high": draw.uniform(1.2, 4.0) * INCH}
    return rolled_shroud(**sizes, ends=ends, **more).flats[-1]


def _bracket(draw: Random) -> Flat | None:
    """A strap between two spots that face any ways."""
    t = draw.uniform(0.08, 0.25) * INCH
    ends = [
        Spot(*(draw.uniform(-6.0, 6.0) * INCH for _ in range(3)), draw.choice(_WAYS), draw.uniform(0.25, 0.4) * INCH)  # type: ignore[arg-type]
        for _ in range(2)
    ]
    ends[1] = ends[1]._replace(faces=draw.choice((ends[0].faces, ends[1].faces)))
    width, radius = draw.uniform(1.25, 3.0) * INCH, draw.uniform(0.5, 2.0) * t
    return bracket("bracket", *ends, width=width, thickness=t, radius=radius, metal=METAL).flat


def _strip(draw: Random) -> Flat | None:
    """A strip with one bend at any angle, either way, and a hole in each leg."""
    t, radius = draw.uniform(0.05, 0.25) * INCH, draw.uniform(0.06, 0.5) * INCH
    angle, width, high = (
        math.radians(draw.uniform(15.0, 165.0)),
        draw.uniform(0.8, 4.0) * INCH,
        draw.uniform(4.0, 9.0) * INCH,
    )
    allowance = bend_allowance(angle, radius, t, k_factor(radius, t, METAL))
    at = draw.uniform(0.35, 0.65) * high
    way = draw.choice(("up", "down"))
    if at - 0.5 * allowance < 0.9 * INCH or high - at - 0.5 * allowance < 0.9 * INCH:
        return None
    holes = (
        Hole(1, 0.5 * width, 0.4 * INCH, 0.3 * INCH, "bolt"),
        Hole(2, 0.5 * width, high - 0.4 * INCH, 0.3 * INCH, "bolt"),
    )
    bend = BendLine(1, 0.0, at, width, at, angle, radius, way, allowance, 0.0)  # type: ignore[arg-type]
    return Flat("strip", rectangle(width, high), (), holes, (bend,), (), (), t, 1)


KINDS: dict[str, Callable[[Random], Flat | None]] = {
    "rolled": _rolled,
    "rolled short of square": _partial,
    "tapered": _tapered,
    "deeper along its rolls": _leaning,
    "notched": _notched,
    "bent pan": _pan,
    "flat plate": _plate,
    "side piece over": lambda draw: _side(draw, "over"),
    "side piece between": lambda draw: _side(draw, "between"),
    "notch side": _notch_side,
    "divider": _divider,
    "bracket": _bracket,
    "strip": _strip,
}
"""Half of the blanks lie with their rolls upright; each long edge ends out, in, in a lip or plain by chance."""


def parts_of(kind: str, count: int) -> Iterator[tuple[int, Flat]]:
    """Parts of a kind and their seeds, the first so many whose sizes go together and whose holes miss their bends."""
    seed, found = SEED, 0
    while found < count:
        try:
            flat = KINDS[kind](Random(f"{kind} {seed}"))
        except InputError:
            flat = None
        if flat is not None and _is_clear(flat):
            found += 1
            yield seed, flat
        seed += 1


def _is_clear(flat: Flat) -> bool:
    """Whether every hole and opening lies on the metal, apart from the others and off the bends."""
    rounds = [(hole.x, hole.y, 0.5 * hole.diameter) for hole in flat.holes]
    for item in flat.openings:
        around = item.box
        rounds.append((*item.middle, 0.5 * max(around.x2 - around.x1, around.y2 - around.y1)))
    for number, (x, y, radius) in enumerate(rounds):
        rim = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in (0.25 * math.pi * n for n in range(8))]
        if not all(contains(flat.outline, *spot) for spot in rim):
            return False
        if any(math.dist((x, y), other[:2]) <= radius + other[2] for other in rounds[:number]):
            return False
        for bend in flat.bends:
            dx, dy = bend.x2 - bend.x1, bend.y2 - bend.y1
            share = min(max(((x - bend.x1) * dx + (y - bend.y1) * dy) / (dx * dx + dy * dy), 0.0), 1.0)
            if math.dist((x, y), (bend.x1 + share * dx, bend.y1 + share * dy)) <= radius + 0.5 * bend.allowance:
                return False
    return True
