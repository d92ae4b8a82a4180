"""Fans moved about on a job whose blanks are filled.

Place      where a fan's middle stands
moved      filled job with its fans elsewhere
stood      fan bodies with their fans elsewhere
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal, NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.job.fields import place_of
from shroudwright.job.filled import Filled
from shroudwright.job.quantity import Reading
from shroudwright.job.table import field_of
from shroudwright.shroud.bodies import FanBody

_LEFT: dict[str, Literal["left", "right", "up", "down", "behind"]] = {
    "right": "up",
    "up": "left",
    "left": "down",
    "down": "right",
    "behind": "behind",
}


class Place(NamedTuple):
    """Where a fan's middle stands, from the core's lower left corner, seen from behind."""

    x: float
    """[m]"""
    y: float
    """[m]"""
    turned: bool = False
    """Whether the frame is turned a quarter to the left of how the job has it."""


def moved(filled: Filled, places: Sequence[Place]) -> Filled:
    """Put a job's fans elsewhere.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    places : sequence of Place
        One for each fan, in their order.

    Returns
    -------
    Filled
        As if the job had been typed so; draws of anything else stay as they are.

    Raises
    ------
    InputError
        If there are not as many places as fans, or one is nowhere near the core.
    """
    fans = filled.job.fans
    if len(places) != len(fans):
        raise InputError([f"places: {len(fans)} fans stand behind this core, not {len(places)}; give one for each"])
    faults = []
    for fan, place in zip(fans, places, strict=True):
        for axis, value in (("x", place.x), ("y", place.y)):
            bounds = place_of(field_of(f"fans.{axis}"))
            assert bounds is not None
            if not (math.isfinite(value) and bounds.low <= value <= bounds.high):
                faults.append(
                    f"fan {fan.code}: {axis} of {value:g} m is nowhere near the core; "
                    f"give {bounds.low:g} to {bounds.high:g} m"
                )
    if faults:
        raise InputError(faults)
    there = tuple(
        fan.model_copy(update={"x": _reading(place.x), "y": _reading(place.y)})
        for fan, place in zip(fans, places, strict=True)
    )
    drawn = dict(filled.drawn)
    spare = next(iter(drawn.values()))
    for i, place in enumerate(places):
        for path, value in ((f"fans.{i}.x", place.x), (f"fans.{i}.y", place.y)):
            old = drawn.get(path, 0.0 * spare)
            drawn[path] = old + (value - old[0])
    return replace(filled, job=filled.job.model_copy(update={"fans": there}), drawn=drawn)


def stood(bodies: Sequence[FanBody], chosen: Sequence[int], places: Sequence[Place]) -> tuple[FanBody, ...]:
    """Put fan bodies elsewhere.

    Parameters
    ----------
    bodies : sequence of FanBody
        [m]
    chosen : sequence of int
        Which of the job's fans each is.
    places : sequence of Place
        Of all the job's fans.

    Returns
    -------
    tuple of FanBody
        Holes and leads turned with their frames; a frame is round or square and looks the same. [m]
    """
    return tuple(_stood(body, places[i]) for body, i in zip(bodies, chosen, strict=True))


def _stood(body: FanBody, place: Place) -> FanBody:
    there = body._replace(x=place.x, y=place.y)
    if not place.turned:
        return there
    return there._replace(
        holes=tuple((-up, across, size) for across, up, size in body.holes),
        lead_exit=None if body.lead_exit is None else _LEFT[body.lead_exit],
    )


def _reading(value: float) -> Reading:
    return Reading(f"{value:.6g} m", value, "measured", None, "length")
