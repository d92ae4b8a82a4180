"""What of a job stands nearest under the shut hood.

under_hood    core, shroud, fans and cap, each with its gap
"""

from collections.abc import Iterator
from typing import NamedTuple

from shroudwright.bench.arcs import box
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import Fit
from shroudwright.shroud.hood import hood_clearance


class UnderHood(NamedTuple):
    """One thing and the hood over it."""

    name: str
    gap: float
    """straight up, [m]"""


def under_hood(filled: Filled, fit: Fit) -> list[UnderHood]:
    """Return the gap of everything under the shut hood, the nearest first.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    fit : Fit
        Its fans and plate.

    Returns
    -------
    list of UnderHood
        None where the hood was not taped over the core. A second height behind it and the core's lean count where
        they were; else the hood is level and the core upright.
    """
    space = filled.job.space
    if space.hood_height is None:
        return []
    hood, height = space.hood_height.value, filled.median("core.height")
    is_twice = space.hood_back is not None and space.hood_back_height is not None
    back, there = (space.hood_back.value, space.hood_back_height.value) if is_twice else (0.0, hood)  # type: ignore[union-attr]
    lean = space.core_lean.value if space.core_lean else 0.0
    least: dict[str, float] = {}
    for name, up, behind in _points(filled, fit):
        gap = hood_clearance(up, behind, height, hood, back, there, lean)
        least[name] = min(gap, least.get(name, gap))
    return sorted((UnderHood(*item) for item in least.items()), key=lambda item: item.gap)


def _points(filled: Filled, fit: Fit) -> Iterator[tuple[str, float, float]]:
    """What stands highest: its name, how far up the core, and how far behind the fins."""
    core, space = filled.job.core, filled.job.space
    height, deep = filled.median("core.height"), filled.median("core.depth")
    over = 0.5 * (core.outside_height.value - height) if core.outside_height else 0.0
    for behind in (-deep, space.tank_height.value if space.tank_height else 0.0):
        yield "the core", height + over, behind
    plate = fit.plate
    if plate is not None:
        top = box(plate.outline).y2 + plate.thickness
        for behind in (plate.flange, plate.top + plate.thickness):
            yield "the shroud", top, behind
    face = 0.0 if plate is None else plate.top + plate.thickness
    for fan in fit.fans:
        yield f"the frame of {fan.code}", fan.y + 0.5 * (fan.frame or fan.opening), face
        if fan.overall_depth is not None and not fan.motor_inside:
            yield f"the motor of {fan.code}", fan.y + 0.5 * fan.motor, face + fan.overall_depth
    if space.filler_y is not None:
        yield "the cap", space.filler_y.value, space.filler_reach.value if space.filler_reach else 0.0
