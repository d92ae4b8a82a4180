"""The Core page's picture with its numbers typed on it.

Spot         one box, and where on the picture it stands
spots_of     a job and its boxes -> the spots
picture_of   the picture
places_css   where the spots stand, as a stylesheet
"""

from collections.abc import Sequence

from pydantic import BaseModel

from shroudwright.doors.web.forms import Group
from shroudwright.drawing.shapes import extents
from shroudwright.drawing.svg import MARGIN, svg
from shroudwright.drawing.tape_picture import Taped, tape_picture
from shroudwright.job.model import Job
from shroudwright.job.sheet import boxes_of

_WIDE, _HIGH = 0.26, 0.20


class Spot(BaseModel):
    """One box, and where on the picture it stands."""

    place: str
    number: str
    """Of its box on the measuring sheet."""
    label: str
    typed: str
    guess: str
    standing: str
    example: str
    left: float
    """Of its middle, over the picture's width, %"""
    top: float


def spots_of(job: Job, groups: Sequence[Group]) -> list[Spot]:
    """Return the numbers that are typed on the core's picture, by their number.

    Parameters
    ----------
    job : Job
        As read.
    groups : sequence of Group
        Its boxes.

    Returns
    -------
    list of Spot
        None without a width and a height.
    """
    taped = tape_picture(job)
    if taped is None:
        return []
    boxes = {box.place: box for group in groups for box in group.boxes}
    numbers = {box.place: box.name for box in boxes_of(job)}
    shares = _shares(taped)
    found = [
        Spot(
            place=place,
            number=numbers.get(place, ""),
            label=boxes[place].label,
            typed=boxes[place].typed,
            guess=boxes[place].guess,
            standing=boxes[place].standing,
            example=boxes[place].example,
            left=left,
            top=top,
        )
        for place, (left, top) in shares.items()
        if place in boxes
    ]
    return sorted(found, key=lambda spot: int(spot.number or 0))


def picture_of(job: Job) -> str:
    """Return the core's picture as SVG; nothing without a width and a height."""
    taped = tape_picture(job)
    return "" if taped is None else svg(taped.picture, _WIDE, _HIGH)


def places_css(job: Job) -> str:
    """Return where the spots stand: a page may carry no style of its own."""
    taped = tape_picture(job)
    rules = {} if taped is None else _shares(taped)
    return "".join(
        f"#t-{place.replace('.', '-')} {{ left: {left}%; top: {top}% }}\n" for place, (left, top) in rules.items()
    )


def _shares(taped: Taped) -> dict[str, tuple[float, float]]:
    """Where each number stands on the sheet `svg` makes, from its top left, %."""
    reach = extents(taped.picture.shapes)
    wide, high = reach.x2 - reach.x1, reach.y2 - reach.y1
    edge = MARGIN / min((_WIDE - 2.0 * MARGIN) / wide, (_HIGH - 2.0 * MARGIN) / high)
    return {
        place: (
            round(100.0 * (x - reach.x1 + edge) / (wide + 2.0 * edge), 2),
            round(100.0 * (reach.y2 - y + edge) / (high + 2.0 * edge), 2),
        )
        for place, (x, y) in taped.spots.items()
    }
