"""A fan's opening of several lobes, and how much of the fan's swept ring an opening leaves clear.

lobed             lobes joined by fillets, all arcs
lobed_over        the most lobed opening that still leaves a fan's swept ring clear
swept_share       clear share of the ring
"""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from shroudwright.bench.arcs import (
    Arc,
    Circle,
    Outline,
    Straight,
    Vertex,
    area,
    bulge_of,
    circle_outline,
    moved,
    segments,
)
from shroudwright.bench.errors import InputError
from shroudwright.metal.edges import Shape

_INCH = 0.0254
LEAST_FILLET = 0.375 * _INCH
"""Fillet of a lobe's neck, or twice the thickness if that is more: common practice."""
CLEAR_SHARE = 0.95
"""Least share of the swept ring an opening should leave clear: common practice, [-]"""
_ROOM = 0.955


def lobed(lobes: int, reach: float, lobe_radius: float, fillet: float, turn: float = 0.0) -> Outline:
    """Opening of equal lobes about the origin, joined by concave fillets.

    Fillets lie on the bisectors, e = d cos(pi/N) + sqrt((a + q)^2 - (d sin(pi/N))^2) from the centre, and touch
    the lobes on the lines of centres.

    Parameters
    ----------
    lobes : int
        N, two or more, [-]
    reach : float
        From the centre to a lobe's centre, d, [m]
    lobe_radius, fillet : float
        a and q, [m]
    turn : float
        Direction of the first lobe, [rad]

    Returns
    -------
    tuple of Vertex
        2 N arcs, counter-clockwise, [m]

    Raises
    ------
    InputError
        Where the lobes do not join, or their necks close.

    Notes
    -----
    Limits: a + q > d sin(pi/N), and e sin(pi/N) > q so that the necks stay open.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    if lobes < 2 or min(reach, lobe_radius, fillet) <= 0.0:
        raise InputError(["lobed opening: two lobes or more, and its three lengths more than nothing"])
    half = math.pi / lobes
    away = reach * math.sin(half)
    if lobe_radius + fillet <= away:
        need = (away - lobe_radius) / _INCH
        raise InputError([f"lobed opening: its lobes do not join; type a fillet over {need:.3f} in, or larger lobes"])
    e = reach * math.cos(half) + math.sqrt((lobe_radius + fillet) ** 2 - away**2)
    if e * math.sin(half) <= fillet:
        most = e * math.sin(half) / _INCH
        raise InputError([f"lobed opening: its necks close; type a fillet under {most:.3f} in"])
    joins = math.atan2(e * math.sin(half), e * math.cos(half) - reach)
    found = []
    for number in range(lobes):
        along = turn + number * 2.0 * half
        cx, cy = reach * math.cos(along), reach * math.sin(along)
        for side, bulge in ((-joins, bulge_of(2.0 * joins)), (joins, -bulge_of(2.0 * (joins - half)))):
            found.append(
                Vertex(cx + lobe_radius * math.cos(along + side), cy + lobe_radius * math.sin(along + side), bulge)
            )
    return tuple(found)


def lobed_over(
    blade: float, hub: float, clear_radius: float, lobes: int, thickness: float, turn: float = 0.0, neck: float = 0.0
) -> Outline:
    """Most lobed opening about the origin that still leaves a fan's swept ring clear.

    Parameters
    ----------
    blade, hub : float
        Diameters, [m]
    clear_radius : float
        From the centre to the lobes' tips, [m]
    lobes : int
        One between each two mounts, [-]
    thickness : float
        Of the sheet, which sets the least fillet, [m]
    turn : float
        Direction of the first lobe, [rad]
    neck : float
        Least radius of the fillets, where it is more than the sheet asks, [m]

    Returns
    -------
    tuple of Vertex
        Swept share just over `CLEAR_SHARE`, [m]
    """
    fillet = max(2.0 * thickness, LEAST_FILLET, neck)

    def at(share: float) -> Outline:
        reach = share * clear_radius
        return lobed(lobes, reach, clear_radius - reach, fillet, turn)

    low, high = 1e-3, 0.9
    for _ in range(40):
        middle = 0.5 * (low + high)
        try:
            is_clear = swept_share(at(middle), blade, hub) >= _ROOM
        except InputError:
            is_clear = False
        low, high = (middle, high) if is_clear else (low, middle)
    return at(low)


def swept_share(shape: Shape, blade: float, hub: float, x: float = 0.0, y: float = 0.0) -> float:
    """Share of a fan's swept ring that an opening leaves clear.

    The area an outline shares with a disc of radius R is the integral of min(r, R)^2 / 2 over the angle about the
    disc's centre, once round the outline.

    Parameters
    ----------
    shape : Circle or tuple of Vertex
        The opening, counter-clockwise, [m]
    blade, hub : float
        Diameters of the ring, [m]
    x, y : float
        The fan's centre, [m]

    Returns
    -------
    share : float
        0 to 1, [-]

    Notes
    -----
    Limits: one opening to a fan.
    Accuracy: exact for straights and arcs.

    References
    ----------
    Geometry.
    """
    outline = moved(circle_outline(shape) if isinstance(shape, Circle) else shape, -x, -y)
    ring = _within(outline, 0.5 * blade) - (_within(outline, 0.5 * hub) if hub > 0.0 else 0.0)
    return ring / (0.25 * math.pi * (blade**2 - hub**2))


def _within(outline: Outline, radius: float) -> float:
    """Area inside both an outline and a disc about the origin, [m**2]."""
    sign = math.copysign(1.0, area(outline))
    return sign * math.fsum(_swept(run, radius) for item in segments(outline) for run in _cut(item, radius))


class _Run(NamedTuple):
    """Part of a straight or arc, wholly inside or outside a circle about the origin."""

    x1: float
    y1: float
    x2: float
    y2: float
    middle: float
    radius: float
    sweep: float


def _cut(item: Straight | Arc, radius: float) -> Iterator[_Run]:
    """Cut a piece where it meets a circle about the origin; arcs shorter still, so that none looks round it."""
    if isinstance(item, Arc):
        far = math.hypot(item.x, item.y)
        shares = {0.0, 1.0}
        if abs(item.radius - radius) <= far <= item.radius + radius and far > 0.0:
            off = math.acos(min(max((radius**2 - far**2 - item.radius**2) / (2.0 * far * item.radius), -1.0), 1.0))
            for angle in (math.atan2(item.y, item.x) + off, math.atan2(item.y, item.x) - off):
                turned = (angle - item.start) * math.copysign(1.0, item.sweep) % math.tau
                shares.add(min(turned / abs(item.sweep), 1.0))
        count = math.ceil(abs(item.sweep) / (2.0 * math.acos(max(1.0 - 0.5 * radius / item.radius, 0.0)))) + 1
        shares |= {number / count for number in range(count)}
        marks = sorted(shares)
        for low, high in pairwise(marks):
            angles = [item.start + share * item.sweep for share in (low, 0.5 * (low + high), high)]
            (x1, y1), (xm, ym), (x2, y2) = (
                (item.x + item.radius * math.cos(a), item.y + item.radius * math.sin(a)) for a in angles
            )
            yield _Run(x1, y1, x2, y2, math.hypot(xm, ym), item.radius, (high - low) * item.sweep)
        return
    x1, y1, x2, y2 = item
    dx, dy = x2 - x1, y2 - y1
    run = dx * dx + dy * dy
    foot = -(x1 * dx + y1 * dy) / run
    rest = radius**2 / run - ((x1 + foot * dx) ** 2 + (y1 + foot * dy) ** 2) / run
    half = math.sqrt(max(rest, 0.0))
    marks = sorted({0.0, 1.0, *(min(max(foot + side * half, 0.0), 1.0) for side in (-1.0, 1.0))})
    for low, high in pairwise(marks):
        middle = 0.5 * (low + high)
        ends = (x1 + low * dx, y1 + low * dy, x1 + high * dx, y1 + high * dy)
        yield _Run(*ends, math.hypot(x1 + middle * dx, y1 + middle * dy), 0.0, 0.0)


def _swept(run: _Run, radius: float) -> float:
    cross = run.x1 * run.y2 - run.x2 * run.y1
    if run.middle <= radius:
        return 0.5 * (cross + run.radius**2 * (run.sweep - math.sin(run.sweep)))
    return 0.5 * radius**2 * math.atan2(cross, run.x1 * run.x2 + run.y1 * run.y2)
