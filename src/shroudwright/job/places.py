"""Where fans and shroud stand on a job's core, at the medians.

pushers_that_help    which fans push ahead of others that pull
whole_outline        the shroud's inner outline, divider or not
places               where fans stand; those without a place in a row across the middle
opening_of           diameter of a fan's opening in the plate, or of its blades without one
"""

import math

from shroudwright.bench.arcs import Outline, box, moved, rectangle
from shroudwright.job.filled import Filled
from shroudwright.job.model import has_belt_fan
from shroudwright.job.outline import REACHES, outlines_of


def pushers_that_help(filled: Filled) -> list[int]:
    """Which fans push ahead of others that pull; none where all push."""
    fans = range(len(filled.job.fans))
    pushers = [i for i in fans if filled.word(f"fans.{i}.direction") == "pusher"]
    return pushers if len(pushers) < len(fans) or has_belt_fan(filled.job) else []


def whole_outline(filled: Filled) -> Outline:
    """Return the shroud's inner outline at the medians, as if no divider parted it."""
    (whole,) = outlines_of(filled.job.shroud.model_copy(update={"divider": None}), lambda path: _one(filled, path))
    return whole


def drawing_outlines(filled: Filled) -> tuple[Outline, ...]:
    """Return the outlines of the boxes air is drawn through.

    A shroud known only by the share of the core it covers is taken as short of the fins by as much on every side.
    """
    shroud = filled.job.shroud
    if shroud.outline or shroud.notches or any(getattr(shroud, reach) for reach in REACHES):
        return outlines_of(shroud, lambda path: _one(filled, path))
    width, height, share = _one(filled, "core.width"), _one(filled, "core.height"), _one(filled, "shroud.covered_share")
    if filled.word("shroud.type") == "full" or share >= 1.0:
        return outlines_of(shroud, lambda path: _one(filled, path))
    both = width + height
    short = 0.25 * (both - math.sqrt(both**2 - 4.0 * (1.0 - share) * width * height))
    return (moved(rectangle(width - 2.0 * short, height - 2.0 * short), short, short),)


def places(filled: Filled) -> tuple[tuple[float, float], ...]:
    """Return every fan's middle; one without a place stands in a row across the middle of the shroud, or the core."""
    if filled.word("shroud.type") == "none":
        left, bottom, right, top = 0.0, 0.0, _one(filled, "core.width"), _one(filled, "core.height")
    else:
        left, bottom, right, top = box(whole_outline(filled))
    fans = filled.job.fans
    return tuple(
        (
            fan.x.value if fan.x else left + (right - left) * (i + 0.5) / len(fans),
            fan.y.value if fan.y else 0.5 * (bottom + top),
        )
        for i, fan in enumerate(fans)
    )


def opening_of(filled: Filled, i: int) -> float:
    """Return the diameter of the opening before fan i: its blades and the clearance round them, [m]."""
    clearance = 0.0 if filled.word("shroud.type") == "none" else _one(filled, "shroud.opening_clearance")
    return _one(filled, f"fans.{i}.blade") + 2.0 * clearance


def _one(filled: Filled, path: str) -> float:
    return float(filled[path][0])
