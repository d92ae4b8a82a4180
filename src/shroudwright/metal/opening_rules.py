"""What is wrong with the holes and openings of a flat, whatever their outlines.

opening_findings    rules O01 to O14, O16 and O17
bolt_findings       bolts that point at a core: F12
Seat                a fan where it stands on a flat
Flap, Pocket        what else is judged beside the flat
"""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Literal, NamedTuple, TypeAlias

from shroudwright.bench.arcs import Arc, Circle, Outline, Straight, box, contains, distance, moved, rectangle, segments
from shroudwright.metal.cutouts import FREE_SPAN
from shroudwright.metal.edges import Shape, edge_gaps, strip_gaps, webs
from shroudwright.metal.flat import Finding, Flat, Hole, Opening, bolts_of
from shroudwright.metal.openings import CLEAR_SHARE, LEAST_FILLET, swept_share

Cutter: TypeAlias = Literal["laser", "plasma", "waterjet", "router", "hand"]
_INCH = 0.0254
_WEB = 0.75 * _INCH
_LEAST_END, _GOOD_END = 1.2, 2.0
_PATTERN = _INCH / 32.0
_MOTOR_ROOM = 0.25 * _INCH
_LOOM_ROOM = 1.2
_LEAST_BORE = 0.375 * _INCH
EDGE_TRIM = 0.25 * _INCH
"""What edge trim takes off an opening all round: 3/16 to 1/4 in, common practice, [m]"""
LEAST_OVERLAP = 0.25 * _INCH
"""Of a flap over its opening, all round: common practice, [m]"""
_LARGE_ROLL = 5.0
"""Inside radius over thickness from which a cut may be made in a roll once it is formed: common practice, [-]"""
SMALLEST_CUT: dict[str, float] = {"laser": 1.0, "waterjet": 1.0, "plasma": 2.0}
"""Least hole over the sheet's thickness: common practice, [-]"""
_SLOT_FROM_BEND = 4.0
"""Slot's edge to the bend's tangent over thickness: a design article, read, [-]"""
_NEARLY = 1.0 - 1e-9
"""A limit met is not a limit missed, [-]"""

Judged: TypeAlias = tuple[str, bool, Finding]
"""The kind of thing, of which only the worst is told; whether it stops the cutting; the finding."""


class Seat(NamedTuple):
    """A fan where it stands on a flat; 0 where a size is not known."""

    code: str
    """also the name of its opening"""
    x: float
    y: float
    blade: float
    hub: float = 0.0
    frame: float = 0.0
    holes: tuple[tuple[float, float, float], ...] = ()
    """its own pattern: x, y about its centre and diameter, [m]"""
    motor: float = 0.0
    """diameter of a motor that passes through the face, [m]"""
    clear: Shape | None = None
    """the opening once its lip is flared, [m]"""


class Flap(NamedTuple):
    """A rubber flap over its windows."""

    name: str
    windows: tuple[Outline, ...]
    overlap: float


class Pocket(NamedTuple):
    """A place water runs to, as a region of the flat."""

    name: str
    low: Outline


class Look(NamedTuple):
    """What is wrong, and which of it forbids cutting."""

    findings: tuple[Finding, ...]
    stops: tuple[Finding, ...]


def opening_findings(
    flat: Flat,
    *,
    seats: Sequence[Seat] = (),
    trim: float = 0.0,
    is_upright: bool = False,
    edge_trim: float = 0.0,
    has_wires: bool = False,
    loom: float = 0.0,
    bore: float = 0.0,
    flaps: Sequence[Flap] = (),
    pockets: Sequence[Pocket] = (),
    cutter: Cutter = "laser",
    router_bit: float = 0.25 * _INCH,
) -> Look:
    """Say what is wrong with a flat's holes and openings.

    Parameters
    ----------
    flat : Flat
        The part.
    seats : sequence of Seat
        Fans over it.
    trim : float
        Left long at its left and right ends, [m]
    is_upright : bool
        Whether it is left long at its bottom and top instead.
    edge_trim : float
        What trim pushed over the fans' openings takes off all round, 0 for none, [m]
    has_wires : bool
        Whether wires pass through the part.
    loom : float
        Diameter of those wires together, 0 unknown, [m]
    bore : float
        Of the grommet, 0 where it is that of its hole, [m]
    flaps : sequence of Flap
    pockets : sequence of Pocket
        Closed ones only.
    cutter : str
        laser, plasma, waterjet, router or hand, [text]
    router_bit : float
        Diameter, [m]

    Returns
    -------
    findings : tuple of Finding
        O01 to O14, O16, O17; of like things only the worst. Lengths in m; O08 and O13 count, O17 is a share.
    stops : tuple of Finding
        Those of them after which nothing should be cut.

    Notes
    -----
    Limits: an opening that crosses a large roll is a watch, to be cut once it is rolled.
    Accuracy: exact for straights and arcs. What overlaps is said with the fans' fit; anything else added that
    overlaps has no metal left, 0.

    References
    ----------
    Distances: common practice; end distance EN 1993-1-8, Table 3.3, read in a public copy.
    """
    worst: dict[tuple[str, str], tuple[bool, Finding]] = {}
    for kind, is_stop, finding in (
        *_of_holes(flat, seats, trim, is_upright),
        *_of_openings(flat, seats, trim, is_upright),
        *_of_fans(flat, seats, edge_trim),
        *_of_cutter(flat, cutter, router_bit),
        *_of_grommet(flat, has_wires, loom, bore),
        *_of_flaps(flaps, seats),
        *_of_pockets(flat, pockets),
    ):
        key = finding.code, kind
        if key not in worst or _gravity(is_stop, finding) > _gravity(*worst[key]):
            worst[key] = is_stop, finding
    return Look(
        tuple(finding for _, finding in worst.values()),
        tuple(finding for is_stop, finding in worst.values() if is_stop),
    )


def _gravity(is_stop: bool, finding: Finding) -> tuple[bool, float]:
    """Rank a finding; to the micrometre, so that of equals the first is named."""
    return is_stop, round(abs(finding.limit - finding.measured), 6)


def _short(measured: float, limit: float) -> bool:
    return measured < limit * _NEARLY


def _kind(hole: Hole) -> str:
    """What a hole is for, without the name of what goes through it."""
    return hole.purpose.partition(",")[0]


def _circles(flat: Flat) -> list[Shape]:
    return [Circle(hole.x, hole.y, 0.5 * hole.diameter) for hole in flat.holes]


def _cut(flat: Flat) -> list[Shape]:
    """Openings, lips with the bend round them."""
    return [opening.bends_from or opening.shape for opening in flat.openings]


def _to_ends(flat: Flat, shape: Shape, trim: float, is_upright: bool) -> float:
    """How far a thing is from the nearer trim line."""
    around, own = box(flat.outline), Opening(shape).box
    if is_upright:
        return min(own.y1 - around.y1, around.y2 - own.y2) - trim
    return min(own.x1 - around.x1, around.x2 - own.x2) - trim


def _of_holes(flat: Flat, seats: Sequence[Seat], trim: float, is_upright: bool) -> Iterator[Judged]:
    if not flat.holes:
        return
    t, holes, openings = flat.thickness, _circles(flat), _cut(flat)
    bends = strip_gaps(holes, flat.bends).min(axis=1, initial=math.inf)
    edges = edge_gaps(holes, flat.outline)
    near = webs(holes, [*openings, *holes])
    for index, hole in enumerate(flat.holes):
        d, place, to_bend = hole.diameter, f"hole {hole.number}, {hole.purpose}", float(bends[index])
        to_ends = _to_ends(flat, holes[index], trim, is_upright)
        in_trim = trim > 0.0 and to_ends < -1e-9 and edges[index] >= 0.0
        to_edge = float(edges[index]) if in_trim else min(float(edges[index]), to_ends)
        web = near[index, : len(openings) + index].min(initial=math.inf)
        is_fastened = _kind(hole) not in ("grommet", "drain", "pass-through")
        in_roll = to_bend < 0.0 and not is_fastened and _is_in_large_roll(flat, holes[index])
        # A small drain stretches little there and carries nothing.
        is_drain = in_roll and _kind(hole) == "drain"
        for code, measured, limit, is_stop in (
            ("O02", to_bend, 0.0, True) if is_fastened else ("O01", to_bend, 0.0, not in_roll),
            ("O01", to_bend, t, True),
            ("O01", to_bend, 2.0 * t, False),
            ("O03", to_edge + 0.5 * d, _LEAST_END * d, True),
            ("O03", to_edge, 2.0 * t, True),
            ("O03", to_edge + 0.5 * d, _GOOD_END * d, False),
            ("O04", float(web), 2.0 * t, True),
        ):
            told = code == "O01" and to_bend < 0.0 and (limit > 0.0 or is_drain)
            if _short(measured, limit) and not told:
                yield hole.purpose, is_stop, Finding(code, measured, limit, place)
        if in_trim:
            yield hole.purpose, False, Finding("O14", to_ends, 0.0, place)


def _is_in_large_roll(flat: Flat, shape: Shape) -> bool:
    gaps = strip_gaps([shape], flat.bends)[0]
    return all(
        bend.radius >= _LARGE_ROLL * flat.thickness for bend, gap in zip(flat.bends, gaps, strict=True) if gap < 0.0
    )


def _of_openings(flat: Flat, seats: Sequence[Seat], trim: float, is_upright: bool) -> Iterator[Judged]:
    if not flat.openings:
        return
    t, shapes = flat.thickness, _cut(flat)
    fans = {seat.code for seat in seats}
    edges = edge_gaps(shapes, flat.outline)
    bends = strip_gaps(shapes, flat.bends).min(axis=1, initial=math.inf)
    near = webs(shapes, shapes)
    for number, (opening, shape) in enumerate(zip(flat.openings, shapes, strict=True), start=1):
        to_edge = min(float(edges[number - 1]), _to_ends(flat, shape, trim, is_upright))
        place = f"opening {number}" if opening.name in fans else f"opening {number}, {opening.name}"
        if _short(to_edge, 2.0 * t):
            yield opening.name if opening.bolt else place, True, Finding("O03", to_edge, 2.0 * t, place)
        to_bend = float(bends[number - 1])
        if opening.bolt:
            yield from _of_slot(opening, place, to_edge, to_bend, t)
            continue
        if (opening.name not in fans or opening.bends_from) and _short(to_bend, 2.0 * t):
            is_stop = _short(to_bend, t) and not (to_bend < 0.0 and _is_in_large_roll(flat, shape))
            yield place, is_stop, Finding("O01", to_bend, t if is_stop else 2.0 * t, place)
    for (i, one), (k, other) in combinations(enumerate(flat.openings), 2):
        web, place, both_fans = float(near[i, k]), f"{one.name} and {other.name}", {one.name, other.name} <= fans
        if _short(web, 2.0 * t):
            yield place, True, Finding("O04", web if both_fans else max(web, 0.0), 2.0 * t, place)
        elif both_fans and _short(web, _WEB):
            yield place, False, Finding("O04", web, _WEB, place)


def _of_slot(opening: Opening, place: str, to_edge: float, to_bend: float, t: float) -> Iterator[Judged]:
    """A slot's bolt needs what a hole's does; its long side goes oval sooner beside a bend."""
    assert opening.bolt
    half, soon = opening.bolt.radius, 2.0 * t if isinstance(opening.shape, Circle) else _SLOT_FROM_BEND * t
    for code, measured, limit, is_stop in (
        ("O02", to_bend, 0.0, True),
        ("O01", to_bend, t, True),
        ("O01", to_bend, soon, False),
        ("O03", to_edge + half, 2.0 * _LEAST_END * half, True),
        ("O03", to_edge + half, 2.0 * _GOOD_END * half, False),
    ):
        if _short(measured, limit) and not (code == "O01" and to_bend < 0.0):
            yield opening.name, is_stop, Finding(code, measured, limit, place)


def _farthest(shape: Shape, x: float, y: float) -> float:
    """Greatest distance from a point to a line."""
    if isinstance(shape, Circle):
        return math.hypot(shape.x - x, shape.y - y) + shape.radius
    found = []
    for item in segments(shape):
        found.append(math.hypot(item.x1 - x, item.y1 - y))
        if isinstance(item, Arc):
            away = math.atan2(item.y - y, item.x - x)
            if (away - item.start) * math.copysign(1.0, item.sweep) % math.tau <= abs(item.sweep):
                found.append(math.hypot(item.x - x, item.y - y) + item.radius)
    return max(found)


def _of_fans(flat: Flat, seats: Sequence[Seat], edge_trim: float) -> Iterator[Judged]:
    cut = {opening.name: opening for opening in flat.openings}
    for seat in seats:
        place, x, y = seat.code, seat.x, seat.y
        if not seat.holes:
            yield place, False, Finding("O08", 0.0, 1.0, place)
        drilled = bolts_of(flat, f"{seat.code} mount")
        for across, up, _ in seat.holes if drilled else ():
            off = min(math.hypot(hole.x - x - across, hole.y - y - up) for hole in drilled)
            if off * _NEARLY > _PATTERN:
                yield place, True, Finding("O16", off, _PATTERN, place)
        if seat.code not in cut:
            continue
        shape = seat.clear or cut[seat.code].shape
        wide = 2.0 * _farthest(shape, x, y)
        if seat.frame and wide * _NEARLY > seat.frame:
            yield place, True, Finding("O05", wide, seat.frame, place)
        share = swept_share(shape, seat.blade, seat.hub, x, y)
        if _short(share, CLEAR_SHARE):
            yield place, False, Finding("O17", share, CLEAR_SHARE, place)
        clear = 2.0 * distance(Opening(shape).outline, x, y)
        if seat.motor and _short(clear, seat.motor + _MOTOR_ROOM):
            yield place, True, Finding("O09", clear, seat.motor + _MOTOR_ROOM, place)
        if edge_trim and _short(wide - 2.0 * edge_trim, seat.blade):
            yield place, False, Finding("O11", wide - 2.0 * edge_trim, seat.blade, place)
        if not isinstance(shape, Circle):
            least = max(2.0 * flat.thickness, LEAST_FILLET)
            necks = [item.radius for item in segments(shape) if isinstance(item, Arc) and item.sweep < 0.0]
            if necks and _short(min(necks), least):
                yield place, True, Finding("O06", min(necks), least, place)


def _inside_corner(outline: Outline, side: float) -> float:
    """Least radius of the corners that a tool inside a closed line, or outside it, must turn in."""
    items = segments(outline)
    found = [item.radius for item in items if isinstance(item, Arc) and item.sweep * side > 0.0]
    for into, out in zip(items, items[1:] + items[:1], strict=True):
        if math.sin(_way(out, False) - _way(into, True)) * side > 1e-6:
            found.append(0.0)
    return min(found, default=math.inf)


def _way(item: Straight | Arc, at_end: bool) -> float:
    if isinstance(item, Arc):
        return (item.end if at_end else item.start) + math.copysign(0.5 * math.pi, item.sweep)
    return math.atan2(item.y2 - item.y1, item.x2 - item.x1)


def _of_cutter(flat: Flat, cutter: Cutter, router_bit: float) -> Iterator[Judged]:
    if cutter == "router":
        for hole in flat.holes:
            if _short(hole.diameter, router_bit):
                place = f"hole {hole.number}, {hole.purpose}"
                yield hole.purpose, False, Finding("O07", hole.diameter, router_bit, place)
        lines = [(opening.outline, 1.0, opening.name) for opening in flat.openings] + [(flat.outline, -1.0, flat.name)]
        for outline, side, place in lines:
            if _short(corner := _inside_corner(outline, side), 0.5 * router_bit):
                yield place, False, Finding("O07", corner, 0.5 * router_bit, place)
        return
    least = SMALLEST_CUT.get(cutter, 0.0) * flat.thickness
    for hole in flat.holes:
        if _short(hole.diameter, least):
            yield hole.purpose, False, Finding("O07", hole.diameter, least, f"hole {hole.number}, {hole.purpose}")


def _of_grommet(flat: Flat, has_wires: bool, loom: float, bore: float) -> Iterator[Judged]:
    bores = [bore or hole.diameter for hole in flat.holes if _kind(hole) == "grommet"]
    need = max(_LOOM_ROOM * loom, 0.0 if loom else _LEAST_BORE)
    if has_wires and not bores:
        yield "grommet", True, Finding("O10", 0.0, need, "wires")
    elif has_wires and loom and _short(max(bores), need):
        yield "grommet", False, Finding("O10", max(bores), need, "wires")


def _of_flaps(flaps: Sequence[Flap], seats: Sequence[Seat]) -> Iterator[Judged]:
    for flap in flaps:
        boxes = [box(window) for window in flap.windows]
        if _short(flap.overlap, LEAST_OVERLAP):
            yield flap.name, True, Finding("O12", flap.overlap, LEAST_OVERLAP, f"{flap.name}, overlap")
        wide = max(own.x2 - own.x1 for own in boxes)
        if wide * _NEARLY > FREE_SPAN:
            yield flap.name, False, Finding("O12", wide, FREE_SPAN, f"{flap.name}, free span")
        x1, y1 = min(own.x1 for own in boxes) - flap.overlap, min(own.y1 for own in boxes) - flap.overlap
        x2, y2 = max(own.x2 for own in boxes) + flap.overlap, max(own.y2 for own in boxes) + flap.overlap
        rubber = moved(rectangle(x2 - x1, y2 - y1), x1, y1)
        for seat in seats:
            off = distance(rubber, seat.x, seat.y) * (-1.0 if contains(rubber, seat.x, seat.y) else 1.0)
            if (gap := off - 0.5 * max(seat.frame, seat.blade)) <= 0.0:
                yield f"{flap.name} {seat.code}", True, Finding("O12", gap, 0.0, f"{flap.name} and {seat.code}")


def _of_pockets(flat: Flat, pockets: Sequence[Pocket]) -> Iterator[Judged]:
    drains = [hole for hole in flat.holes if _kind(hole) == "drain"]
    for pocket in pockets:
        if not any(contains(pocket.low, hole.x, hole.y) for hole in drains):
            yield pocket.name, False, Finding("O13", 0.0, 1.0, pocket.name)


def bolt_findings(length: float, stack: float, gap: float, place: str = "flange bolts") -> tuple[Finding, ...]:
    """Say whether a bolt may reach the core.

    Parameters
    ----------
    length : float
        Under its head, [m]
    stack : float
        What it holds together: sheet, seal, side plate, nut where it is behind, [m]
    gap : float
        Behind the stack to the nearest tube or fin, [m]
    place : str
        Which bolts, [text]

    Returns
    -------
    tuple of Finding
        F12, a stop, where length is over stack and gap together, [m]

    Notes
    -----
    Limits: a bolt square to the core.
    Accuracy: that of the readings; leave a thread's worth.

    References
    ----------
    Geometry.
    """
    most = stack + gap
    return (Finding("F12", length, most, place),) if length * _NEARLY > most else ()
