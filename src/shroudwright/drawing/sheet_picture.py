"""The core to be measured: from behind and from the side, with the number of a box at each thing to tape.

sheet_picture
"""

import math
from collections.abc import Sequence

from shroudwright.bench.arcs import Outline, Vertex, rectangle
from shroudwright.bench.arcs import moved as moved_by
from shroudwright.drawing.shapes import LETTER_WIDTH, Circle, Line, Path, Pen, Picture, Shape, Text, arrow
from shroudwright.job.model import Job
from shroudwright.job.quantity import Reading, read
from shroudwright.job.sheet import Box, boxes_of, holds

_UNITS_ACROSS = 20.0
_TANK = 0.07
"""Of the core's longer side, where nobody typed the size over all"""


def sheet_picture(job: Job, wanted: Sequence[str]) -> Picture:
    """Draw a core with the numbers of its boxes.

    Parameters
    ----------
    job : Job
        As read; the core and what is known of necks and filler are drawn to scale, the side view is not.
    wanted : sequence of str
        Fields to be measured before metal is cut: their numbers carry a star.

    Returns
    -------
    Picture
        In metres of core.
    """
    return _Drawn(job, set(wanted)).picture()


class _Drawn:
    def __init__(self, job: Job, wanted: set[str]) -> None:
        assert job.core.width is not None
        assert job.core.height is not None
        self.job, self.wanted = job, wanted
        self.boxes = {box.place: box for box in boxes_of(job)}
        self.width, self.height = job.core.width.value, job.core.height.value
        self.u = max(self.width, self.height) / _UNITS_ACROSS
        self.letter = 0.62 * self.u
        tank = _TANK * max(self.width, self.height)
        is_down = job.core.run == "downflow"
        wide = job.core.outside_width.value if job.core.outside_width else self.width + (0.0 if is_down else 2 * tank)
        high = job.core.outside_height.value if job.core.outside_height else self.height + (2 * tank if is_down else 0)
        self.over_x, self.over_y = 0.5 * (wide - self.width), 0.5 * (high - self.height)
        self.shapes: list[Shape] = []

    def picture(self) -> Picture:
        self._front()
        self._side(self.width + self.over_x + 5.2 * self.u)
        says = "The core from behind, the air coming out at you, and from the side, with the number of each box."
        return Picture("What to measure", says, tuple(self.shapes))

    def _number(self, x: float, y: float, place: str) -> None:
        """A box's number in a box of its own, its middle at x, y; nothing where the sheet has no such box."""
        box = self.boxes.get(place)
        if box is None:
            return
        says = box.name + ("*" if place in self.wanted else "")
        wide = LETTER_WIDTH * self.letter * (len(says) + 0.9)
        high = 1.7 * self.letter
        frame = moved_by(rectangle(wide, high), x - 0.5 * wide, y - 0.5 * high)
        self.shapes += [Path(frame, "halo", is_filled=True), Path(frame, "thin")]
        self.shapes.append(Text(x, y - 0.5 * self.letter, says, self.letter, "middle", pen="thin"))

    def _label(self, x: float, y: float, says: str) -> None:
        self.shapes.append(Text(x, y, says, 0.85 * self.letter, "middle", pen="dim"))

    def _span(self, x1: float, y1: float, x2: float, y2: float, place: str, pen: Pen = "dim") -> None:
        """A measure between two points, its number in the middle."""
        self.shapes.append(Line(x1, y1, x2, y2, pen))
        size = 0.7 * self.letter
        turn = math.atan2(y2 - y1, x2 - x1)
        self.shapes += [arrow(x2, y2, turn, size), arrow(x1, y1, turn + math.pi, size)]
        self._number(0.5 * (x1 + x2), 0.5 * (y1 + y2), place)

    def _front(self) -> None:
        u, w, h, ox, oy = self.u, self.width, self.height, self.over_x, self.over_y
        self.shapes += [
            Path(moved_by(rectangle(w + 2 * ox, h + 2 * oy), -ox, -oy), "inner"),
            Path(rectangle(w, h), "cut"),
            Line(0.0, 0.0, w, h, "ref"),
            Line(0.0, h, w, 0.0, "ref"),
        ]
        self._span(0.0, -oy - 1.9 * u, w, -oy - 1.9 * u, "core.width")
        self._span(-ox, -oy - 3.6 * u, w + ox, -oy - 3.6 * u, "core.outside_width")
        self._span(-ox - 2.2 * u, 0.0, -ox - 2.2 * u, h, "core.height")
        self._span(-ox - 4.2 * u, -oy, -ox - 4.2 * u, h + oy, "core.outside_height")
        for x, y, place in (
            (0.30 * w, 0.30 * h, "core.diagonal_rising"),
            (0.70 * w, 0.30 * h, "core.diagonal_falling"),
            (0.31 * w, 0.5 * h, "core.fins_left"),
            (0.61 * w, 0.5 * h, "core.fins_middle"),
            (0.72 * w, 0.5 * h, "core.fins_right"),
        ):
            self._number(x, y, place)
        for box in self.boxes.values():
            if box.row.place == "space.depth_map.*.depth":
                self._spot(box)
        self._necks()
        at_sides = {
            "left": (-ox - 0.4 * u, 0.72 * h),
            "right": (w + ox + 0.5 * u, 0.72 * h),
            "top": (0.3 * w, h + oy + 0.5 * u),
            "bottom": (0.3 * w, -oy - 0.4 * u),
        }
        for box in self.boxes.values():
            if box.row.place == "stack_gaps.*.side" and box.letter in "abcd":
                x, y = at_sides[str(holds(self.job, box) or box.proposed)]
                self._number(x, y, box.place.replace(".side", ".width"))
        for line, says in enumerate(
            ("up from their bottom edge.", "Across from the fins' left edge,", "From behind: the air comes out at you.")
        ):
            self._label(0.5 * w, h + oy + (2.5 + 0.9 * line) * u, says)

    def _spot(self, box: Box) -> None:
        item = box.place.rpartition(".")[0]
        x, y = self._known(f"{item}.x"), self._known(f"{item}.y")
        if x is None or y is None:
            return
        tick = 0.35 * self.u
        self.shapes += [Line(x - tick, y, x + tick, y, "thick"), Line(x, y - tick, x, y + tick, "thick")]
        self._number(x, y - 1.1 * self.u, box.place)

    def _known(self, place: str) -> float | None:
        box = self.boxes[place]
        held = holds(self.job, box)
        if isinstance(held, Reading):
            return held.value
        return read(box.proposed, "length").value if box.proposed else None

    def _necks(self) -> None:
        u, w, h, ox, oy = self.u, self.width, self.height, self.over_x, self.over_y
        usual = ((w + 0.5 * ox, 0.9 * h), (w + 0.5 * ox, 0.1 * h)) if ox > 0.0 else ((0.9 * w, h), (0.1 * w, 0.0))
        for index in range(sum(box.row.place == "space.necks.*.x" for box in self.boxes.values())):
            place = f"space.necks.{index}"
            x, y = self._known(f"{place}.x"), self._known(f"{place}.y")
            if x is None or y is None:
                x, y = usual[index % 2]
            held = holds(self.job, self.boxes[f"{place}.diameter"])
            self.shapes.append(Circle(x, y, 0.5 * held.value if isinstance(held, Reading) else 0.6 * u, "inner"))
            self._number(x + (1.9 * u if x > 0.5 * w else -1.9 * u), y, f"{place}.x")
        x, y = self._known("space.filler_x"), self._known("space.filler_y")
        x = 0.72 * w if x is None else x
        y = h + oy + 0.7 * u if y is None else y
        self.shapes.append(Path(moved_by(rectangle(1.4 * u, 0.7 * u), x - 0.7 * u, y - 0.7 * u), "inner"))
        self._number(x - 1.9 * u, y, "space.filler_x")
        self._number(x + 1.9 * u, y, "space.filler_y")

    def _side(self, left: float) -> None:
        """Core, tank, shroud, engine and hood from the side: a sketch, not to scale."""
        u, h = self.u, self.height
        deep, back = 2.6 * u, left + 2.6 * u
        engine = back + 8.4 * u
        hood: Outline = (
            Vertex(left - 1.0 * u, h + 2.0 * u),
            Vertex(back, h + 2.0 * u),
            Vertex(engine + 3.0 * u, h + 3.0 * u),
        )
        self.shapes += [
            Path(moved_by(rectangle(deep, h), left, 0.0), "cut"),
            Path(moved_by(rectangle(deep + 1.2 * u, 2.4 * u), left - 0.4 * u, -1.2 * u), "inner"),
            Path(moved_by(rectangle(0.8 * u, 2.4 * u), back, h - 2.4 * u), "inner"),
            Path(moved_by(rectangle(3.2 * u, 0.62 * h), back + 0.8 * u, 0.26 * h), "ref"),
            Path(moved_by(rectangle(3.0 * u, 0.8 * h), engine, 0.0), "inner"),
            Path(hood, "thick", is_closed=False),
        ]
        self._span(left, -3.3 * u, back, -3.3 * u, "core.depth")
        self._span(left - 0.4 * u, -4.9 * u, back + 0.8 * u, -4.9 * u, "core.outside_depth")
        self._number(back + 2.4 * u, h - 1.2 * u, "space.lip_height")
        self._number(back + 2.2 * u, -0.6 * u, "space.tank_height")
        middle = next(box.place for box in self.boxes.values() if box.name == "37e")
        self._span(back + 0.8 * u, 0.45 * h, back + 4.0 * u, 0.45 * h, "shroud.depth")
        self._span(back, 0.16 * h, engine, 0.16 * h, middle)
        self._span(engine, 0.62 * h, engine - 2.6 * u, 0.62 * h, "space.engine_rock")
        self._number(left + 0.5 * deep, h + 1.0 * u, "space.hood_height")
        self._span(back, h + 0.75 * u, engine, h + 0.75 * u, "space.hood_back")
        self._number(engine + 0.9 * u, h + 1.2 * u, "space.hood_back_height")
        self._number(left + 0.5 * deep, 0.5 * h, "space.core_lean")
        self._label(engine + 1.5 * u, 0.35 * h, "engine")
        self._label(left + 5.5 * u, h + 4.2 * u, "From the side, air to the right; not to scale")
