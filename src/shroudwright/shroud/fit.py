"""Whether fans fit behind a core: every clearance, exact, and negative where something is missing.

clearances    every gap of a placement, what is wanted of it, and where
margins       the least of gap less what is wanted, for many placements at once
tightest      the clearance with least to spare
    missing       those with less than is wanted, the worst first
room_wanted   what the fans of one row take, side by side or above each other
"""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shroudwright.bench.arcs import box, inside
from shroudwright.shroud.bodies import LEAD_ROOM, WANTED, FanBody, Kind, Plate, Solid, plate_at
from shroudwright.shroud.edges import edge_gap, rim_gap

Numbers = NDArray[np.float64]
_DIRECTIONS = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "up": (0.0, 1.0), "down": (0.0, -1.0)}
_KINDS: dict[str, Kind] = {"keep-out": "fan to keep-out", "neck": "fan to neck", "hose": "fan to hose"}


class Clearance(NamedTuple):
    """One gap: negative is the amount missing. ``least`` is what is wanted."""

    kind: Kind
    between: tuple[str, str]
    gap: float
    least: float
    where: tuple[float, float]

    @property
    def spare(self) -> float:
        """Gap less what is wanted, [m]."""
        return self.gap - self.least


class Row(NamedTuple):
    """Fans that stand in each other's way across or up the flat face, what they take, and what there is."""

    codes: tuple[str, ...]
    is_across: bool
    need: float
    room: float


class _Gap(NamedTuple):
    """A gap at every placement tried."""

    kind: Kind
    between: tuple[str, str]
    gap: Numbers
    x: Numbers
    y: Numbers


class _Bar(NamedTuple):
    """A box with rounded corners along z, at every placement tried."""

    x: Numbers
    y: Numbers
    width: float
    height: float
    corner: float
    near: Numbers
    far: Numbers


def clearances(fans: Sequence[FanBody], plate: Plate | None, solids: Sequence[Solid]) -> list[Clearance]:
    """Every clearance of fans where they stand.

    Parameters
    ----------
    fans : sequence of FanBody
        [m]
    plate : Plate or None
        The shroud; without one fans are held against each other and what is behind them, their faces at
        the fins, [m]
    solids : sequence of Solid
        What moves with the engine already nearer by its rock, [m]

    Returns
    -------
    list of Clearance
        Negative gaps are overlaps, [m]

    Notes
    -----
    Limits: how far a frame stands out behind its face is not known, so necks and keep-outs are held
    against the motor and the frame's face. A tapered plate's tilt counts at the ends of each thing's
    height and not otherwise. What was not measured is left out.
    Accuracy: exact for round and square things and outlines of straights and arcs.

    References
    ----------
    Geometry; gaps wanted: `bodies.WANTED`.
    """
    x, y = ([np.array([getattr(fan, axis)]) for fan in fans] for axis in "xy")
    return [
        Clearance(item.kind, item.between, float(item.gap[0]), WANTED[item.kind], (float(item.x[0]), float(item.y[0])))
        for item in _gaps(fans, plate, solids, x, y)
    ]


def margins(
    fans: Sequence[FanBody], plate: Plate | None, solids: Sequence[Solid], x: ArrayLike, y: ArrayLike
) -> Numbers:
    """Least of gap less what is wanted, for many placements.

    Parameters
    ----------
    fans : sequence of FanBody
        Their own places are not used, [m]
    plate : Plate or None
        [m]
    solids : sequence of Solid
        [m]
    x, y : array_like
        Middles, shape (placements, fans), [m]

    Returns
    -------
    margin : ndarray
        Negative where something is missing, shape (placements,), [m]

    Notes
    -----
    Limits and accuracy: as `clearances`.

    References
    ----------
    Geometry.
    """
    across, up = np.asarray(x, dtype=float).T, np.asarray(y, dtype=float).T
    least = np.full(across.shape[1], np.inf)
    for item in _gaps(fans, plate, solids, across, up):
        least = np.minimum(least, item.gap - WANTED[item.kind])
    return least


def tightest(found: Sequence[Clearance]) -> Clearance | None:
    """Return the clearance with least to spare, or None where there is none."""
    return min(found, key=lambda item: item.spare, default=None)


def missing(found: Sequence[Clearance]) -> list[Clearance]:
    """Return the clearances with less than is wanted, the worst first; a gap met to the micrometre is met."""
    return sorted((item for item in found if item.spare < -1e-6), key=lambda item: item.spare)


def _gaps(
    fans: Sequence[FanBody],
    plate: Plate | None,
    solids: Sequence[Solid],
    x: Sequence[Numbers] | Numbers,
    y: Sequence[Numbers] | Numbers,
) -> Iterator[_Gap]:
    for i, fan in enumerate(fans):
        if plate is not None:
            yield from _on_plate(fan, plate, x[i], y[i])
        yield from _at_solids(fan, plate, solids, x[i], y[i])
    for i, j in combinations(range(len(fans)), 2):
        yield from _between(fans[i], fans[j], plate, (x[i], y[i]), (x[j], y[j]))
    if plate is not None and fans:
        yield from _round_necks(plate, solids, len(x[0]))


def _on_plate(fan: FanBody, plate: Plate, x: Numbers, y: Numbers) -> Iterator[_Gap]:
    shroud, edges = (fan.code, "shroud"), box(plate.outline)
    if fan.frame is not None:
        half = 0.5 * fan.frame
        yield _Gap("frame to edge", shroud, *edge_gap(plate.outline, half, fan.corner, x, y))
        if plate.roll_bottom or plate.roll_top:
            below, above = y - half - edges.y1 - plate.roll_bottom, edges.y2 - plate.roll_top - y - half
            nearest = np.where(below < above, y - half, y + half)
            yield _Gap("frame to roll", shroud, np.minimum(below, above), x, nearest)
    radius = 0.5 * fan.opening
    yield _Gap("opening to edge", shroud, *edge_gap(plate.outline, radius, radius, x, y))
    if plate.divider is not None:
        across = np.full_like(x, plate.divider)
        yield _Gap("opening to divider", (fan.code, "divider"), np.abs(x - across) - radius, across, y)
    for name, flap_x, flap_y, wide, high in plate.flaps:
        where = np.clip(x, flap_x - wide, flap_x + wide), np.clip(y, flap_y - high, flap_y + high)
        aside, above = flap_x - x, flap_y - y
        if fan.frame is not None:
            half = 0.5 * fan.frame
            yield _Gap(
                "frame to flap", (fan.code, name), rim_gap(aside, above, wide + half, high + half, fan.corner), *where
            )
        gap = rim_gap(aside, above, wide + radius, high + radius, radius)
        yield _Gap("opening to flap", (fan.code, name), gap, *where)
    for right, up, diameter in fan.holes:
        small, hole_x, hole_y = 0.5 * diameter, x + right, y + up
        gap = edge_gap(plate.outline, small, small, hole_x, hole_y).gap
        strip = np.minimum(hole_y - edges.y1 - plate.roll_bottom, edges.y2 - plate.roll_top - hole_y) - small
        yield _Gap("hole to edge", shroud, np.minimum(gap, strip), hole_x, hole_y)
        web = np.full_like(x, math.hypot(right, up) - small - radius)
        yield _Gap("hole to opening", (fan.code, fan.code), web, hole_x, hole_y)
    if (ahead := _ahead(fan, plate, x, y)) is not None:
        yield _Gap("fan to fins", (fan.code, "fins"), ahead.near, x, y)


def _face(plate: Plate | None, y: Numbers, half: float) -> tuple[Numbers, Numbers]:
    """Least and greatest z of a frame's face over a thing's height."""
    if plate is None:
        return np.zeros_like(y), np.zeros_like(y)
    least, greatest = plate_at(plate, y - half, y + half)
    return least + plate.thickness, greatest + plate.thickness


def _ahead(fan: FanBody, plate: Plate, x: Numbers, y: Numbers) -> _Bar | None:
    """What of a fan stands nearest to the fins: its blades, or a motor inside."""
    depth, across = (fan.overall_depth, fan.motor) if fan.motor_inside else (fan.depth_ahead, fan.opening)
    if depth is None:
        return None
    least, greatest = _face(plate, y, 0.5 * across)
    return _Bar(x, y, 0.5 * across, 0.5 * across, 0.5 * across, least - depth, greatest)


def _motor(fan: FanBody, plate: Plate | None, x: Numbers, y: Numbers) -> _Bar | None:
    if fan.motor_inside or fan.overall_depth is None:
        return None
    half = 0.5 * fan.motor
    least, greatest = _face(plate, y, half)
    return _Bar(x, y, half, half, half, least, greatest + fan.overall_depth)


def _frame(fan: FanBody, plate: Plate | None, x: Numbers, y: Numbers) -> _Bar | None:
    if fan.frame is None:
        return None
    half = 0.5 * fan.frame
    return _Bar(x, y, half, half, fan.corner, *_face(plate, y, half))


def _leads(fan: FanBody, motor: _Bar | None) -> _Bar | None:
    """The room the leads take beside or behind the motor."""
    if motor is None or fan.lead_exit is None:
        return None
    if fan.lead_exit == "behind":
        return motor._replace(far=motor.far + LEAD_ROOM)
    right, up = _DIRECTIONS[fan.lead_exit]
    half, out = 0.5 * LEAD_ROOM, motor.width + 0.5 * LEAD_ROOM
    return _Bar(motor.x + out * right, motor.y + out * up, half, half, 0.0, motor.near, motor.far)


def _apart(one: _Bar, other: _Bar | Solid) -> Numbers:
    """Distance of two bars; where they overlap, minus the shortest way out."""
    corner = one.corner + other.corner
    plan = rim_gap(one.x - other.x, one.y - other.y, one.width + other.width, one.height + other.height, corner)
    along = np.maximum(other.near - one.far, one.near - other.far)
    return np.hypot(np.maximum(plan, 0.0), np.maximum(along, 0.0)) + np.minimum(np.maximum(plan, along), 0.0)


def _at_solids(fan: FanBody, plate: Plate | None, solids: Sequence[Solid], x: Numbers, y: Numbers) -> Iterator[_Gap]:
    motor, frame = _motor(fan, plate, x, y), _frame(fan, plate, x, y)
    leads, ahead = _leads(fan, motor), None if plate is None else _ahead(fan, plate, x, y)
    for solid in solids:
        between, where = (fan.code, solid.name), (np.full_like(x, solid.x), np.full_like(y, solid.y))
        if solid.kind == "tank":
            if ahead is not None:
                yield _Gap("fan to tank", between, _apart(ahead, solid), x, y)
            continue
        # How deep the frame is behind its face is not known; the engine is held against the motor alone.
        bars = [bar for bar in (motor, frame if solid.kind != "engine" else None) if bar is not None]
        if bars:
            gap = np.minimum.reduce([_apart(bar, solid) for bar in bars])
            yield _Gap("motor to engine" if solid.kind == "engine" else _KINDS[solid.kind], between, gap, *where)
        if leads is not None:
            yield _Gap("leads to solid", between, _apart(leads, solid), *where)


def _between(
    one: FanBody, other: FanBody, plate: Plate | None, here: tuple[Numbers, Numbers], there: tuple[Numbers, Numbers]
) -> Iterator[_Gap]:
    between = (one.code, other.code)
    dx, dy = there[0] - here[0], there[1] - here[1]
    where = (here[0] + 0.5 * dx, here[1] + 0.5 * dy)
    if one.frame is not None and other.frame is not None:
        half = 0.5 * (one.frame + other.frame)
        yield _Gap("frame to frame", between, rim_gap(dx, dy, half, half, one.corner + other.corner), *where)
    if plate is not None:
        yield _Gap("opening to opening", between, np.hypot(dx, dy) - 0.5 * (one.opening + other.opening), *where)
    motors = _motor(one, plate, *here), _motor(other, plate, *there)
    for fan, motor, neighbour, name in ((one, *motors, other), (other, *motors[::-1], one)):
        leads = _leads(fan, motor)
        if leads is not None and neighbour is not None:
            yield _Gap("leads to fan", (fan.code, name.code), _apart(leads, neighbour), *where)


def _round_necks(plate: Plate, solids: Sequence[Solid], count: int) -> Iterator[_Gap]:
    """Necks must lie outside the shroud's walls, or stop short of its flange."""
    for neck in (solid for solid in solids if solid.kind == "neck"):
        gap, _, _ = edge_gap(plate.outline, 0.0, 0.0, neck.x, neck.y)
        outside = -np.abs(gap) if bool(inside(plate.outline, neck.x, neck.y)) else np.abs(gap)
        plan, along = outside - neck.width, np.full(1, plate.flange - neck.far)
        apart = np.hypot(np.maximum(plan, 0.0), np.maximum(along, 0.0)) + np.minimum(np.maximum(plan, along), 0.0)
        where = np.full(count, neck.x), np.full(count, neck.y)
        yield _Gap("shroud to neck", ("shroud", neck.name), np.repeat(apart, count), *where)


def room_wanted(fans: Sequence[FanBody], plate: Plate) -> tuple[Row, ...]:
    """What fans take across and up the flat face at least, shifted as close as they go in the order they stand.

    Parameters
    ----------
    fans : sequence of FanBody
        Where frames are not known, their openings are taken, [m]
    plate : Plate
        [m]

    Returns
    -------
    tuple of Row
        The row across that takes most, and the row up; two fans are in the row they stand further apart in,
        in neither where they pass each other, [m]

    Notes
    -----
    Limits: the room is that of the least upright box round the outline, less the rolls.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    edges = box(plate.outline)
    rooms = edges.x2 - edges.x1, edges.y2 - edges.y1 - plate.roll_bottom - plate.roll_top
    return tuple(_row(fans, axis, rooms[axis]) for axis in (0, 1)) if fans else ()


def _row(fans: Sequence[FanBody], axis: int, room: float) -> Row:
    ends: list[tuple[float, FanBody, tuple[str, ...]]] = []
    codes: tuple[str, ...]
    for fan in sorted(fans, key=lambda item: (item.x, item.y)[axis]):
        start, codes = _rim(fan)[0], (fan.code,)
        for middle, other, before in ends:
            step = _step(fan, other, axis)
            if step > 0.0 and middle + step > start:
                start, codes = middle + step, (*before, fan.code)
        ends.append((start, fan, codes))
    middle, last, codes = max(ends, key=lambda end: end[0] + _rim(end[1])[0])
    return Row(codes, axis == 0, middle + _rim(last)[0], room)


def _rim(fan: FanBody) -> tuple[float, float]:
    """Half the side of what must not overlap, and its corner."""
    return (0.5 * fan.frame, fan.corner) if fan.frame is not None else (0.5 * fan.opening, 0.5 * fan.opening)


def _step(one: FanBody, other: FanBody, axis: int) -> float:
    """Least distance of two middles along an axis, at their distance square to it.

    0 where they pass each other, or stand further apart the other way: there they are in the other row.
    """
    (half, corner), (their_half, their_corner) = _rim(one), _rim(other)
    half, corner = half + their_half, corner + their_corner
    across, up = abs(one.x - other.x), abs(one.y - other.y)
    past = min(across, up) - (half - corner)
    if past >= corner or (across >= up) != (axis == 0):
        return 0.0
    return half if past <= 0.0 else half - corner + math.sqrt(corner**2 - past**2)
