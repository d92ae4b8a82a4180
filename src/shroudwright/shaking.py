"""The shroud's face as it hangs in the vehicle: what is on it, what holds it, what shakes it.

face_of    job and shroud -> the face to judge
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from shroudwright.bench.arcs import Box, box, contains, moved
from shroudwright.job.filled import Filled
from shroudwright.metal.flat import ON_THE_CORE, BendLine, Flat, bolts_of
from shroudwright.metal.shroud import Shroud
from shroudwright.metal.stiffness import Face, Hung, Walls
from shroudwright.metal.vibration import firing_frequency

_MOUNT_ROOM = 0.5 * 0.0254
"""Where mounts are not known: four, this far outside the opening, common practice"""


def face_of(filled: Filled, shroud: Shroud) -> Face | None:
    """Find the flat part of a shroud that carries the fans.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled; the medians are read.
    shroud : Shroud
        As laid out; its first flat carries the face.

    Returns
    -------
    Face or None
        None where bends and trim leave no face, or an opening runs off it: findings of their own say so.

    Notes
    -----
    The face lies between the bends nearest the fans; beyond each stands a wall up to the next bend. An edge without a
    bend ends in a welded cap.
    """
    flat = shroud.flats[0]
    around, walls = _between_bends(flat, shroud.trim)
    width, height = around.x2 - around.x1, around.y2 - around.y1
    openings = tuple(moved(opening.outline, -around.x1, -around.y1) for opening in flat.openings if not opening.bolt)
    reach = [box(rim) for rim in openings]
    if not all(one.x1 > 0.0 and one.x2 < width and one.y1 > 0.0 and one.y2 < height for one in reach):
        return None
    fans = tuple(
        Hung(
            fan.code,
            filled.median(f"fans.{i}.weight"),
            tuple((x - around.x1, y - around.y1) for x, y in mounts),
            None if fan.rpm is None else fan.rpm.value,
        )
        for i, fan in enumerate(filled.job.fans)
        if any(opening.name == fan.code for opening in flat.openings) and (mounts := _mounts(flat, fan.code))
    )
    return Face(
        width=width,
        height=height,
        thickness=flat.thickness,
        metal=shroud.metal,
        openings=openings,
        fans=fans,
        walls=walls,
        bolt_pitch=_bolt_pitch(flat),
        welded=tuple(side for side, wall in walls._asdict().items() if wall is None and len(shroud.flats) > 1),
        stiffener=filled.word("shroud.stiffener"),  # type: ignore[arg-type]
        play=filled.median("shroud.bolt_slot"),
        core=str(filled.word("core.fin_metal")),
        idle_firing=firing_frequency(filled.median("engine.idle_rpm"), filled.median("engine.cylinders")),
    )


def _between_bends(flat: Flat, trim: float) -> tuple[Box, Walls]:
    """Return the face on the flat, and the wall beyond each edge."""
    outer = box(flat.outline)
    middles = [opening.middle for opening in flat.openings if not opening.bolt]
    x, y = (sum(at) / len(middles) for at in zip(*middles, strict=True))
    level = [bend for bend in flat.bends if abs(bend.x2 - bend.x1) >= abs(bend.y2 - bend.y1)]
    upright = [bend for bend in flat.bends if bend not in level]
    # Where a side has no bends the blank is trimmed.
    bottom, below = _side([(y - _height(bend), bend) for bend in level], y - outer.y1 - trim * (not level))
    top, above = _side([(_height(bend) - y, bend) for bend in level], outer.y2 - y - trim * (not level))
    left, before = _side([(x - _across(bend), bend) for bend in upright], x - outer.x1 - trim * (not upright))
    right, after = _side([(_across(bend) - x, bend) for bend in upright], outer.x2 - x - trim * (not upright))
    return Box(x - left, y - bottom, x + right, y + top), Walls(before, after, below, above)


def _height(bend: BendLine) -> float:
    return 0.5 * (bend.y1 + bend.y2)


def _across(bend: BendLine) -> float:
    return 0.5 * (bend.x1 + bend.x2)


def _side(bends: Sequence[tuple[float, BendLine]], edge: float) -> tuple[float, float | None]:
    """How far the face reaches to one side, and the wall beyond: on to the middle of the next bend, or the edge."""
    ahead = sorted(((reach, bend.allowance) for reach, bend in bends if reach > 0.0))
    if not ahead:
        return edge, None
    reach = ahead[0][0] - 0.5 * ahead[0][1]
    tangents = [far - 0.5 * allowance for far, allowance in ahead[1:]]
    return reach, (tangents or [edge])[0] - reach


def _mounts(flat: Flat, code: str) -> list[tuple[float, float]]:
    """Where a fan is bolted to the flat's metal; four places round its opening where nobody has measured them."""
    opening = next(opening for opening in flat.openings if opening.name == code)
    x, y = opening.middle
    around = opening.box
    reach = 0.25 * (around.x2 - around.x1 + around.y2 - around.y1) + _MOUNT_ROOM
    corner = math.sqrt(0.5) * reach
    tried = (
        [(hole.x, hole.y) for hole in bolts_of(flat, f"{code} mount")],
        [(x + sx * corner, y + sy * corner) for sx in (-1, 1) for sy in (-1, 1)],
        [(x, y - reach), (x, y + reach), (x - reach, y), (x + reach, y)],
    )
    on_metal = ([spot for spot in spots if not _is_open(flat, spot)] for spots in tried)
    return next((spots for spots in on_metal if spots), [])


def _is_open(flat: Flat, spot: tuple[float, float]) -> bool:
    return any(contains(opening.outline, *spot) for opening in flat.openings)


def _bolt_pitch(flat: Flat) -> float:
    """Farthest from one bolt on the core to the next along any row of three or more."""
    bolts = [(hole.x, hole.y) for hole in bolts_of(flat) if hole.purpose in ON_THE_CORE]
    rows = [trio for trio in zip(bolts, bolts[1:], bolts[2:], strict=False) if _is_straight(*trio)]
    return max((math.dist(one, other) for row in rows for one, other in pairwise(row)), default=math.inf)


def _is_straight(one: tuple[float, float], middle: tuple[float, float], last: tuple[float, float]) -> bool:
    """Whether three bolts stand in a row, to a thousandth of its length."""
    (ax, ay), (bx, by) = ((b[0] - a[0], b[1] - a[1]) for a, b in ((one, middle), (middle, last)))
    return ax * bx + ay * by > 0.0 and abs(ax * by - ay * bx) < 1e-3 * (ax * ax + ay * ay)
