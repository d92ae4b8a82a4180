"""Fans off a shelf, put into a job.

put_in    a job's text, a set and its shelf -> the job's text with the set at its places
put_one   a job's text, a fan -> the job's text with one more of it where there is most room
"""

import datetime
from collections.abc import Sequence
from typing import Any

import numpy as np

from shroudwright.bench.errors import InputError
from shroudwright.choose.layouts import tape_text
from shroudwright.choose.record import SetAnswer
from shroudwright.choose.sizes import hand_wanted
from shroudwright.fan_sets import turned
from shroudwright.job.drive import Fan
from shroudwright.job.edits import with_item
from shroudwright.job.files import parse_job
from shroudwright.job.model import Job
from shroudwright.job.quantity import Reading
from shroudwright.job.refit import refitted
from shroudwright.job.shelf import ShelfFan
from shroudwright.speech import SHOPS

_TRIED = 49
"""Places tried across the core, and up it."""


def put_in(text: bytes, chosen: SetAnswer, shelf: Sequence[ShelfFan], day: datetime.date, name: str = "job") -> bytes:
    """Put a set into a job: its fans at their places, and the shroud's depth it was ranked with.

    Parameters
    ----------
    text : bytes
        The job's.
    chosen : SetAnswer
        The set.
    shelf : sequence of ShelfFan
        It came off.
    day : date
        On which the fans' numbers are copied.
    name : str
        What to call the job in faults.

    Returns
    -------
    bytes
        Every other line as typed.

    Raises
    ------
    InputError
        If the set was not laid out, a fan of it is no longer on the shelf, or the job would no longer read.
    """
    if chosen.layout is None:
        raise InputError([f"{chosen.name} was not laid out: only the leading sets are, and no fans sold in one frame"])
    job = parse_job(text, name)
    known = {item.code: turned(item, hand_wanted(job)).fan for item in shelf}
    fans = []
    for at in chosen.layout.placements:
        fan = known.get(at.code) or known.get(at.code.rsplit(maxsplit=1)[0])
        if fan is None:
            raise InputError([f"{at.code}: no longer on the shelf; choose again"])
        stood = {
            "code": at.code,
            "x": Reading(at.x_typed, at.x, "guess", None, "length"),
            "y": Reading(at.y_typed, at.y, "guess", None, "length"),
        }
        fans.append(fan.model_copy(update=stood))
    stays = job.shroud.depth is not None and job.shroud.depth.value == chosen.layout.depth
    depth = None if stays else tape_text(chosen.layout.depth, SHOPS[job.units or "in"])
    return refitted(text, fans, depth, day, name)


def put_one(text: bytes, item: ShelfFan, day: datetime.date, name: str = "job") -> bytes:
    """Put one more fan into a job, where it has most room on the core.

    Parameters
    ----------
    text : bytes
        The job's.
    item : ShelfFan
        The fan; one with straight blades is turned the way the job wants.
    day : date
        On which its numbers are copied.
    name : str
        What to call the job in faults.

    Returns
    -------
    bytes
        Every other line as typed. Its place is left to the job where others stand at none of their own.

    Raises
    ------
    InputError
        If the job would no longer read, or such fans are sold several to a frame.
    """
    if item.fans_in_frame > 1:
        raise InputError(
            [f"{item.code}: {item.fans_in_frame} stand in one frame; type each into the job with its place"]
        )
    job = parse_job(text, name)
    codes = {fan.code for fan in job.fans}
    code = next(
        code for k in range(1, len(codes) + 2) if (code := f"{item.code} {k}" if k > 1 else item.code) not in codes
    )
    update: dict[str, Any] = {"code": code, "copied": day}
    spot = _roomiest(job, item.fan)
    if spot is not None:
        shop = SHOPS[job.units or "in"]
        for axis, value in zip("xy", spot, strict=True):
            update[axis] = Reading(tape_text(value, shop), value, "guess", None, "length")
    fan = turned(item, hand_wanted(job)).fan.model_copy(update=update)
    return with_item(text, "fans", fan.model_dump(mode="python", exclude_none=True, exclude_defaults=True), name)


def _roomiest(job: Job, fan: Fan) -> tuple[float, float] | None:
    """Place on the core farthest from other fans and the edges, by the sizes typed, [m]."""
    if job.core.width is None or job.core.height is None or any(one.x is None or one.y is None for one in job.fans):
        return None
    half = _half(fan)
    x, y = (np.linspace(0.0, reading.value, _TRIED) for reading in (job.core.width, job.core.height))
    across, up = np.meshgrid(x, y)
    room = np.minimum(np.minimum(across, x[-1] - across), np.minimum(up, y[-1] - up)) - half
    for other in job.fans:
        assert other.x is not None
        assert other.y is not None
        room = np.minimum(room, np.hypot(across - other.x.value, up - other.y.value) - half - _half(other))
    middle = np.hypot(across - 0.5 * x[-1], up - 0.5 * y[-1])
    best = np.lexsort((middle.ravel(), -np.round(room.ravel(), 6)))[0]
    return float(across.flat[best]), float(up.flat[best])


def _half(fan: Fan) -> float:
    size = fan.frame_size or fan.blade
    return 0.0 if size is None else 0.5 * size.value
