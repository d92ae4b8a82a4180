"""Random plenums of every kind a job can ask for, the awkward ones on purpose; all lengths invented."""

from typing import Any

import numpy as np

from shroudwright.bench.arcs import moved, rectangle
from shroudwright.pack.cells import Blowers, Cells, Law, Numbers, Plenum, cut, with_openings
from tests.plenums import INCH, blowers

KINDS = ("plain", "starved", "overhang", "short", "notched", "parted", "flapped", "stopped", "thin")


def random_case(kind: str, seed: int, count: int = 768) -> tuple[Cells, Law, Blowers]:
    """Lay out a plenum of a kind, its core and its fans."""
    random = np.random.default_rng(seed)

    def between(low: float, high: float) -> float:
        return float(random.uniform(low, high))

    width, height = between(0.45, 0.8), between(0.3, 0.5)
    fans = int(random.integers(1, 4))
    depth = float(np.exp(random.uniform(np.log(0.5), np.log(3.0)))) * INCH
    shroud = rectangle(width, height)
    outlines: tuple[Any, ...] = (shroud,)
    more: dict[str, Any] = {}
    left, right = 0.0, width
    if kind == "starved":
        fans, height, depth = 1, between(0.1, 0.16), between(0.2, 0.5) * INCH
        outlines = (rectangle(width, height),)
    elif kind == "overhang":
        left, right = -between(0.02, 0.06), width + between(0.02, 0.06)
        outlines = (moved(rectangle(right - left, height), left, 0.0),)
    elif kind == "short":
        off, up = between(0.0, 0.1) * width, between(0.0, 0.1) * height
        left, right = off, width - off
        outlines = (moved(rectangle(width - 2.0 * off, height - 2.0 * up), off, up),)
    elif kind == "notched":
        x, y = between(0.1, 0.2) * width, between(0.1, 0.2) * height
        corner = rectangle(width, height)
        inner = [corner[2]._replace(y=height - y), corner[2]._replace(x=width - x, y=height - y)]
        outlines = ((*corner[:2], *inner, corner[2]._replace(x=width - x), corner[3]),)
    elif kind == "parted":
        fans = 2
        more["dividers"] = (0.5 * width,)
        if random.random() < 0.5:
            outlines = (rectangle(0.5 * width, height), moved(rectangle(0.5 * width, height), 0.5 * width, 0.0))
            more = {}
    elif kind == "flapped":
        wide, high = between(0.05, 0.15), between(0.02, 0.08)
        more["flaps"] = tuple((x, y, wide, high) for x in (0.0, width - wide) for y in (0.0, height - high))
        more["gaps"] = between(0.0, 0.006)
    elif kind == "stopped":
        fans = max(fans, 2)
    elif kind == "thin":
        depth = between(0.125, 0.35) * INCH
    top = depth * between(0.6, 1.6) if random.random() < 0.3 else depth
    plenum = Plenum(
        width, height, outlines, depth, top, between(0.5, 2.0) * INCH if random.random() < 0.3 else 0.0, **more
    )
    pitch = (right - left) / fans
    radius = between(0.35, 0.47) * min(pitch, height)
    # An opening stands anywhere in its own part, a notch's corner apart.
    room_x, room_y = 0.5 * pitch - radius - 0.002, 0.5 * height - radius - 0.002
    if kind in ("short", "notched"):
        room_x, room_y, radius = 0.3 * room_x, 0.3 * room_y, 0.8 * radius
    circles = [
        (left + (k + 0.5) * pitch + between(-room_x, room_x), 0.5 * height + between(-room_y, room_y), radius)
        for k in range(fans)
    ]
    cells = with_openings(cut(plenum, count), circles)
    scale = between(0.3, 3.0)
    law = Law(
        linear=12.0 * scale * between(0.3, 1.7),
        square=6.0 * scale * between(0.3, 1.7),
        density=between(0.8, 1.25),
        ahead=between(0.0, 250.0) if random.random() < 0.5 else 0.0,
        bay=between(-20.0, 20.0),
    )
    return cells, law, _fans(random, fans, radius, law.density, kind == "stopped")


def _fans(random: np.random.Generator, count: int, radius: float, density: float, one_stands: bool) -> Blowers:
    curves = [
        blowers(1, shutoff=random.uniform(100.0, 350.0), free=random.uniform(2.0, 6.0) * np.pi * radius**2)
        for _ in range(count)
    ]
    if random.random() < 0.5:
        curves = [curves[0]] * count
    still = np.zeros(count)
    if one_stands:
        area = np.pi * radius**2
        still[int(random.integers(count))] = random.uniform(2.0, 10.0) * density / (2.0 * area**2)
    return Blowers(*(np.concatenate([one[part] for one in curves]) for part in range(3)), still)


def apart(cells: Cells, speed: Numbers, other: Numbers) -> float:
    """Root mean square difference of two face speeds, over the mean."""
    core = np.where(cells.core > 0.0, cells.core, 0.0)
    mean = float(np.nansum(core * other) / core.sum())
    return float(np.sqrt(np.nansum(core * (speed - other) ** 2) / core.sum())) / mean
