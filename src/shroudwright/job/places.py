"""Where fans and shroud stand on a job's core, at the medians.

pushers_that_help    which fans push ahead of others that pull
whole_outline        the shroud's inner outline, divider or not; round all of several boxes
drawing_outlines     outlines of the boxes air is drawn through
flaps                holes in the plate, with flaps or bare
cracks               gaps along its edges whose place is known
box_of               which of several boxes a place is in
places               where fans stand; those without a place in a row across the middle
opening_of           diameter of a fan's opening in the plate, or of its blades without one
"""

import math
from collections.abc import Sequence

from shroudwright.bench.arcs import Box, Outline, box, contains, distance, moved, rectangle
from shroudwright.job.filled import Filled
from shroudwright.job.model import has_belt_fan
from shroudwright.job.outline import REACHES, outlines_of
from shroudwright.job.vents import Hole, holes_of, runs_of
from shroudwright.pack.cells import Crack


def pushers_that_help(filled: Filled) -> list[int]:
    """Which fans push ahead of others that pull; none where all push."""
    fans = range(len(filled.job.fans))
    pushers = [i for i in fans if filled.word(f"fans.{i}.direction") == "pusher"]
    return pushers if len(pushers) < len(fans) or has_belt_fan(filled.job) else []


def whole_outline(filled: Filled) -> Outline:
    """Return the shroud's inner outline at the medians, as if no divider parted it; of several, the box round all."""
    if filled.job.shroud_boxes:
        edges = [box(outline) for outline in drawing_outlines(filled)]
        left, bottom = min(one.x1 for one in edges), min(one.y1 for one in edges)
        right, top = max(one.x2 for one in edges), max(one.y2 for one in edges)
        return moved(rectangle(right - left, top - bottom), left, bottom)
    (whole,) = outlines_of(filled.job.shroud.model_copy(update={"divider": None}), filled.median)
    return whole


def drawing_outlines(filled: Filled) -> tuple[Outline, ...]:
    """Return the outlines of the boxes air is drawn through.

    A shroud known only by the share of the core it covers is taken as short of the fins by as much on every side.
    """
    shroud, boxes = filled.job.shroud, filled.job.shroud_boxes
    if boxes or shroud.outline or shroud.notches or any(getattr(shroud, reach) for reach in REACHES):
        return outlines_of(shroud, filled.median, boxes)
    width, height, share = (
        filled.median("core.width"),
        filled.median("core.height"),
        filled.median("shroud.covered_share"),
    )
    if filled.word("shroud.type") == "full" or share >= 1.0:
        return outlines_of(shroud, filled.median)
    both = width + height
    short = 0.25 * (both - math.sqrt(both**2 - 4.0 * (1.0 - share) * width * height))
    return (moved(rectangle(width - 2.0 * short, height - 2.0 * short), short, short),)


def flaps(filled: Filled) -> tuple[Hole, ...]:
    """Return the holes in the shroud's plate at the medians, with flaps or bare; none without a shroud."""
    return () if filled.word("shroud.type") == "none" else holes_of(filled.job)


def cracks(filled: Filled) -> tuple[Crack, ...]:
    """Return the gaps whose place is known at the medians; none without a shroud."""
    if filled.word("shroud.type") == "none":
        return ()
    runs = runs_of(filled.job, filled.median)
    return tuple(Crack(run.side, run.start, run.end, run.area, run.part) for run in runs)


def places(filled: Filled) -> tuple[tuple[float, float], ...]:
    """Return every fan's middle; one without a place stands in a row across the middle of the shroud, or the core.

    Of several boxes each has its share of the fans, in their order, across its own middle.
    """
    if filled.word("shroud.type") == "none":
        edges = [Box(0.0, 0.0, filled.median("core.width"), filled.median("core.height"))]
    elif filled.job.shroud_boxes:
        edges = [box(outline) for outline in drawing_outlines(filled)]
    else:
        edges = [box(whole_outline(filled))]
    fans = filled.job.fans
    homes = [i * len(edges) // len(fans) for i in range(len(fans))]
    found = []
    for i, (fan, home) in enumerate(zip(fans, homes, strict=True)):
        left, bottom, right, top = edges[home]
        share = (i - homes.index(home) + 0.5) / homes.count(home)
        found.append(
            (
                fan.x.value if fan.x else left + (right - left) * share,
                fan.y.value if fan.y else 0.5 * (bottom + top),
            )
        )
    return tuple(found)


def box_of(outlines: Sequence[Outline], x: float, y: float) -> int:
    """Return which of several outlines a place is in, or the nearest to it where it is in none."""
    inside = next((index for index, outline in enumerate(outlines) if contains(outline, x, y)), None)
    return min(range(len(outlines)), key=lambda i: distance(outlines[i], x, y)) if inside is None else inside


def opening_of(filled: Filled, i: int) -> float:
    """Return the diameter of the opening before fan i: its blades and the clearance round them, [m]."""
    clearance = 0.0 if filled.word("shroud.type") == "none" else filled.median("shroud.opening_clearance")
    return filled.median(f"fans.{i}.blade") + 2.0 * clearance
