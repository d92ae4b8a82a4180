"""The core as a tape meets it, with room at every measure for a number to be typed on it.

Taped           the picture, and where each number goes
tape_picture    job -> Taped
"""

import math
from typing import NamedTuple

from shroudwright.bench.arcs import moved, rectangle
from shroudwright.drawing.shapes import LETTER_WIDTH, Circle, Line, Path, Picture, Shape, Text, arrow
from shroudwright.job.model import Job
from shroudwright.job.sheet import boxes_of

_UNITS_ACROSS = 20.0
_TANK = 1.3
"""How wide a tank is drawn where nobody typed the size over all, in units"""
_LETTER = 0.6


class Taped(NamedTuple):
    """The picture, and where each number goes."""

    picture: Picture
    spots: dict[str, tuple[float, float]]
    """By field of the job, the middle of its number, [m]"""


def tape_picture(job: Job) -> Taped | None:
    """Draw a core from behind and from the side, with its measures.

    Parameters
    ----------
    job : Job
        As read; the side view is not to scale.

    Returns
    -------
    Taped or None
        In metres of core; None without a width and a height.
    """
    if job.core.width is None or job.core.height is None:
        return None
    return _Drawn(job, job.core.width.value, job.core.height.value).taped()


class _Drawn:
    def __init__(self, job: Job, width: float, height: float) -> None:
        self.job, self.width, self.height = job, width, height
        self.u = max(width, height) / _UNITS_ACROSS
        is_down = job.core.run == "downflow"
        tank = _TANK * self.u
        over_x = job.core.outside_width.value - width if job.core.outside_width else 0.0 if is_down else 2.0 * tank
        over_y = job.core.outside_height.value - height if job.core.outside_height else 2.0 * tank if is_down else 0.0
        self.over_x, self.over_y = 0.5 * max(over_x, 0.0), 0.5 * max(over_y, 0.0)
        self.shapes: list[Shape] = []
        self.spots: dict[str, tuple[float, float]] = {}
        self.numbers = {box.place: box.name for box in boxes_of(job)}

    def taped(self) -> Taped:
        self._front()
        self._side(self.width + self.over_x + 4.0 * self.u)
        says = "The core from behind, the air coming out at you, and from the side, with what to tape."
        return Taped(Picture("What to tape", says, tuple(self.shapes)), self.spots)

    def _span(self, x1: float, y1: float, x2: float, y2: float, place: str, at: float = 0.5) -> None:
        """A measure between two points, its number on it."""
        turn, size = math.atan2(y2 - y1, x2 - x1), 0.4 * self.u
        self.shapes.append(Line(x1, y1, x2, y2, "dim"))
        self.shapes += [arrow(x2, y2, turn, size), arrow(x1, y1, turn + math.pi, size)]
        self._number(x1 + at * (x2 - x1), y1 + at * (y2 - y1), place)

    def _number(self, x: float, y: float, place: str) -> None:
        """A box's number, where its own is typed; seen where there is no room to type on the picture."""
        self.spots[place] = (x, y)
        says, high = self.numbers.get(place, ""), 1.2 * self.u
        wide = LETTER_WIDTH * high * (len(says) + 0.6)
        self.shapes.append(
            Path(moved(rectangle(wide, 1.6 * high), x - 0.5 * wide, y - 0.8 * high), "halo", is_filled=True)
        )
        self.shapes.append(Text(x, y - 0.5 * high, says, high, "middle", pen="thin"))

    def _front(self) -> None:
        u, w, h, ox, oy = self.u, self.width, self.height, self.over_x, self.over_y
        self.shapes += [
            Path(moved(rectangle(w + 2.0 * ox, h + 2.0 * oy), -ox, -oy), "inner"),
            Path(rectangle(w, h), "cut"),
        ]
        self._span(0.0, -oy - 2.6 * u, w, -oy - 2.6 * u, "core.width")
        self._span(-ox, -oy - 7.4 * u, w + ox, -oy - 7.4 * u, "core.outside_width")
        self._span(-ox - 3.9 * u, 0.0, -ox - 3.9 * u, h, "core.height")
        self._span(-ox - 10.8 * u, -oy, -ox - 10.8 * u, h + oy, "core.outside_height")
        self._span(0.0, 0.0, w, h, "core.diagonal_rising", 0.22)
        self._span(0.0, h, w, 0.0, "core.diagonal_falling", 0.78)
        # Side by side where there is room, else above each other.
        step = 0.0 if w > 0.9 * _UNITS_ACROSS * u else 0.21 * h
        for n, name in enumerate(("left", "middle", "right")):
            x, y = (1.0 / 6.0 + n / 3.0) * w, 0.86 * h - step * n
            self.shapes += [Line(x - 0.02 * w, h, x + 0.02 * w, h, "thick"), Line(x, h, x, y, "ref")]
            self._number(x, y, f"core.fins_{name}")
        for y in (0.92 * h, 0.08 * h):
            if ox > 0.0:
                self.shapes.append(Circle(w + 0.5 * ox, y, 0.35 * ox, "inner"))
        self._label(0.5 * w, h + oy + 1.0 * u, "from behind: the air comes out at you")

    def _side(self, left: float) -> None:
        u, h, deep = self.u, self.height, 2.6 * self.u
        over = 0.5 * u
        self.shapes += [
            Path(moved(rectangle(deep + 2.0 * over, 2.0 * u), left - over, -u), "inner"),
            Path(moved(rectangle(deep + 2.0 * over, 2.0 * u), left - over, h - u), "inner"),
            Path(moved(rectangle(deep, h), left, 0.0), "cut"),
        ]
        self._span(left, -2.6 * u - self.over_y, left + deep, -2.6 * u - self.over_y, "core.depth")
        low = -7.4 * u - self.over_y
        self._span(left - over, low, left + deep + over, low, "core.outside_depth")
        self._label(left + 0.5 * deep, h + self.over_y + 1.0 * u + (u if self.over_y == 0.0 else 0.0), "from the side")
        # Room for the numbers at both ends.
        end = left + deep + 2.2 * u
        self.shapes.append(Line(end, 0.0, end, 0.0, "ref"))
        self.shapes.append(Line(-self.over_x - 14.0 * u, low - 2.3 * u, -self.over_x - 14.0 * u, low - 2.3 * u, "ref"))

    def _label(self, x: float, y: float, says: str) -> None:
        self.shapes.append(Text(x, y, says, _LETTER * self.u, "middle", pen="dim"))
