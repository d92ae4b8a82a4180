"""A set that was chosen, put into the job it was chosen for.

put_in    a job's text, a set and its shelf -> the job's text with the set at its places
"""

import datetime
from collections.abc import Sequence

from shroudwright.bench.errors import InputError
from shroudwright.choose.layouts import tape_text
from shroudwright.choose.record import SetAnswer
from shroudwright.choose.sizes import hand_wanted
from shroudwright.fan_sets import turned
from shroudwright.job.files import parse_job
from shroudwright.job.quantity import Reading
from shroudwright.job.refit import refitted
from shroudwright.job.shelf import ShelfFan
from shroudwright.speech import SHOPS


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
