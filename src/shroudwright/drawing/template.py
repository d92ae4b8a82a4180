"""Templates at full size: one large page for a plotter, and sheets of common paper that are joined at crosses.

one_page     a flat on one page
tiles        the same over sheets of letter or A4
Tiling       how a flat is parted over sheets
template_faults    what would make a template a wrong size (rule D11)
"""

import io
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from shroudwright.bench.arcs import Box, box
from shroudwright.bench.arcs import Circle as Round
from shroudwright.drawing.faults import ExportFault
from shroudwright.drawing.flat_picture import hole_label
from shroudwright.drawing.paper import Loop, Sheet, View, loops_of, pages_pdf
from shroudwright.drawing.shapes import Circle, Line, Path, Shape, Text
from shroudwright.drawing.words import degrees_words, length_words
from shroudwright.metal.flat import BendLine, Flat

_INCH = 0.0254
PAPERS = {"in": (8.5 * _INCH, 11.0 * _INCH), "mm": (0.210, 0.297)}
SQUARE = {"in": 2.0 * _INCH, "mm": 0.050}
BAR = {"in": 10.0 * _INCH, "mm": 0.250}
MARGIN, OVERLAP, LEAST_OVERLAP = 0.5 * _INCH, 0.5 * _INCH, 0.25 * _INCH
_WITHIN = 1e-3
_CLEAR = 0.006
"""Between the flat and the frame of the outermost sheets, so that its edge is not cut off, [m]"""
_LETTER, _SMALL, _CROSS, _TICK = 0.003, 0.0022, 0.004, 0.004
_LINE_STEP = 0.005
_HOW = (
    "Print at 100 %, no fitting to the page, one side only.",
    "Measure the square both ways, and once joined the long bar: if either is off, trust no size here.",
    "Lay neighbours so that crosses fall on crosses; cut or fold along the thin frame as needed, then tape.",
    "Lines are net sizes, outer face up: cut outside the line and dress to it.",
)


class Tiling(NamedTuple):
    """Sheets of one size over a box; the first lies at its lower left."""

    columns: int
    rows: int
    width: float
    """of the paper, [m]"""
    height: float
    covers: Box

    @property
    def pitch(self) -> tuple[float, float]:
        """From one sheet's picture to the next, across and up, [m]."""
        return self.width - 2.0 * MARGIN - OVERLAP, self.height - 2.0 * MARGIN - OVERLAP

    def corner(self, column: int, row: int) -> tuple[float, float]:
        """Lower left of what a sheet shows, [m]."""
        across, up = self.pitch
        return self.covers.x1 + column * across, self.covers.y1 + row * up

    def crosses(self) -> list[tuple[float, float]]:
        """Where neighbours are lined up: the middles of where four sheets overlap, and the same along the edges."""
        across, up = self.pitch
        x, y = self.covers.x1 + 0.5 * OVERLAP, self.covers.y1 + 0.5 * OVERLAP
        return [(x + c * across, y + r * up) for c in range(self.columns + 1) for r in range(self.rows + 1)]


def tiling(covers: Box, units: str) -> Tiling:
    """Part a box over sheets, upright or lying, whichever takes fewer.

    Parameters
    ----------
    covers : Box
        [m]
    units : str
        ``in`` for letter, ``mm`` for A4, [text]

    Returns
    -------
    Tiling
    """
    short, long = PAPERS[units]
    wide, high = covers.x2 - covers.x1, covers.y2 - covers.y1

    def count(size: float, paper: float) -> int:
        return max(math.ceil((size - OVERLAP) / (paper - 2.0 * MARGIN - OVERLAP) - 1e-9), 1)

    choices = [
        Tiling(count(wide, width), count(high, height), width, height, covers)
        for width, height in ((short, long), (long, short))
    ]
    return min(choices, key=lambda one: one.columns * one.rows)


def one_page(flat: Flat, units: str, notes: Sequence[str]) -> bytes:
    """Return a flat at full size on one page.

    Parameters
    ----------
    flat : Flat
        The part.
    units : str
        ``in`` or ``mm``, [text]
    notes : sequence of str
        Lines under it.

    Returns
    -------
    bytes
        A PDF.

    Raises
    ------
    ExportFault
        D11, where it came out the wrong size.
    """
    around, square = box(flat.outline), SQUARE[units]
    lines = (*notes, *_HOW[:1])
    foot = 2.0 * MARGIN + max(square, len(lines) * _LINE_STEP)
    low = around.y1 - MARGIN - square
    shapes = [*_drawn(flat), *_square(around.x1, low, units)]
    shapes += [
        Text(around.x1 + square + 0.01, low + square - (n + 1) * _LINE_STEP, line, _LETTER)
        for n, line in enumerate(lines)
    ]
    wide = max(around.x2 - around.x1 + 2.0 * MARGIN, 0.25)
    sheet = Sheet(
        wide,
        around.y2 - around.y1 + foot + MARGIN,
        [View(shapes, MARGIN - around.x1, foot - around.y1)],
    )
    return _checked(pages_pdf(f"{flat.name}, full size", [sheet]), units, joined=False)


def tiles(flat: Flat, units: str, notes: Sequence[str]) -> bytes:
    """Return a flat at full size over sheets of letter or A4 paper, a page on how to join them ahead.

    Parameters
    ----------
    flat : Flat
        The part.
    units : str
        ``in`` for letter, ``mm`` for A4, [text]
    notes : sequence of str
        Lines on every sheet's margin.

    Returns
    -------
    bytes
        A PDF.

    Raises
    ------
    ExportFault
        D11, where it came out the wrong size.
    """
    shapes = [*_drawn(flat)]
    x1, y1, x2, y2 = box(flat.outline)
    plan, checks = _laid_out(Box(x1 - _CLEAR, y1 - _CLEAR, x2 + _CLEAR, y2 + _CLEAR), units)
    shapes += checks
    sheets = [_first(flat, plan, units, notes)]
    for row in reversed(range(plan.rows)):
        for column in range(plan.columns):
            sheets.append(_tile(flat, plan, column, row, shapes, notes))
    return _checked(pages_pdf(f"{flat.name}, full size", sheets), units, joined=plan.columns * plan.rows > 1)


def _laid_out(around: Box, units: str) -> tuple[Tiling, list[Shape]]:
    """How a flat is parted, with the check bar across the first joint; it needs room below or beside the flat."""
    bar, room = BAR[units], 2.5 * _TICK
    plan = tiling(around, units)
    if plan.columns > 1:
        start = max(plan.pitch[0] + 0.5 * OVERLAP - 0.5 * bar, 0.0)
        covers = around._replace(y1=around.y1 - 2.0 * room, x2=max(around.x2, around.x1 + start + bar + room))
        return tiling(covers, units), _bar(around.x1 + start, around.y1 - room, bar, units, is_across=True)
    if plan.rows > 1:
        start = max(plan.pitch[1] + 0.5 * OVERLAP - 0.5 * bar, 0.0)
        covers = around._replace(x1=around.x1 - 2.0 * room, y2=max(around.y2, around.y1 + start + bar + room))
        return tiling(covers, units), _bar(around.x1 - room, around.y1 + start, bar, units, is_across=False)
    return plan, []


def _bar(x: float, y: float, bar: float, units: str, *, is_across: bool) -> list[Shape]:
    says = f"check bar {length_words(bar, units)}, across the joint"
    if is_across:
        ends = [Line(at, y - 0.5 * _TICK, at, y + 0.5 * _TICK) for at in (x, x + bar)]
        return [Line(x, y, x + bar, y), *ends, Text(x + 0.01, y + 0.001, says, _SMALL)]
    ends = [Line(x - 0.5 * _TICK, at, x + 0.5 * _TICK, at) for at in (y, y + bar)]
    return [Line(x, y, x, y + bar), *ends, Text(x - 0.001, y + 0.01, says, _SMALL, angle=0.5 * math.pi)]


def _square(x: float, y: float, units: str) -> list[Shape]:
    side = SQUARE[units]
    ends = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    lines: list[Shape] = [Line(*one, *other) for one, other in zip(ends, ends[1:] + ends[:1], strict=True)]
    return [*lines, Text(x + 0.5 * side, y + 0.5 * side, f"{length_words(side, units)} square", _SMALL, "middle")]


def _drawn(flat: Flat) -> Iterator[Shape]:
    """A flat with what a hand needs: centres, numbers, bend lines and marks."""
    yield Path(flat.outline, "cut")
    for opening in flat.openings:
        yield Circle(*opening.shape, "cut") if isinstance(opening.shape, Round) else Path(opening.shape, "cut")
        yield from _centre(*opening.middle, 0.01)
        x, y = opening.middle
        yield Text(x + 0.002, y + 0.002, opening.name, _LETTER)
    for hole in flat.holes:
        yield Circle(hole.x, hole.y, 0.5 * hole.diameter, "cut")
        yield from _centre(hole.x, hole.y, 0.75 * hole.diameter)
        yield hole_label(hole, flat, _SMALL)
    for bend in flat.bends:
        yield Line(bend.x1, bend.y1, bend.x2, bend.y2, "bend")
        yield from _bend_words(bend)
    for line in flat.etch_lines:
        yield Line(*line, "etch")
    for mark in flat.etch_texts:
        yield Text(mark.x, mark.y, mark.text, mark.height, angle=mark.angle, pen="etch")


def _centre(x: float, y: float, reach: float) -> tuple[Line, Line]:
    return Line(x - reach, y, x + reach, y, "dim"), Line(x, y - reach, x, y + reach, "dim")


def _bend_words(bend: BendLine) -> Iterator[Text]:
    """A bend's number and turn, every hand's breadth along it, so that every sheet carries it."""
    long = math.hypot(bend.x2 - bend.x1, bend.y2 - bend.y1)
    angle = math.remainder(math.atan2(bend.y2 - bend.y1, bend.x2 - bend.x1), math.pi)
    words = f"B{bend.number} {degrees_words(bend.angle)} {bend.direction}"
    count = max(int(long / 0.15), 1)
    for step in range(count):
        share = (step + 0.5) / count
        x, y = bend.x1 + share * (bend.x2 - bend.x1), bend.y1 + share * (bend.y2 - bend.y1)
        lift = 0.0008
        yield Text(x - lift * math.sin(angle), y + lift * math.cos(angle), words, _SMALL, "middle", angle)


def _name(plan: Tiling, column: int, row: int) -> str:
    return f"row {plan.rows - row}, column {column + 1}"


def _tile(flat: Flat, plan: Tiling, column: int, row: int, shapes: Sequence[Shape], notes: Sequence[str]) -> Sheet:
    left, low = plan.corner(column, row)
    window = Box(MARGIN, MARGIN, plan.width - MARGIN, plan.height - MARGIN)
    frame = [
        Line(window.x1, window.y1, window.x2, window.y1, "dim"),
        Line(window.x2, window.y1, window.x2, window.y2, "dim"),
        Line(window.x2, window.y2, window.x1, window.y2, "dim"),
        Line(window.x1, window.y2, window.x1, window.y1, "dim"),
    ]
    count = f"{plan.rows} rows, {plan.columns} columns"
    head = f"{flat.name}: {_name(plan, column, row)} ({count}, row 1 on top)"
    words = [
        Text(MARGIN, plan.height - 0.75 * MARGIN, head, _LETTER),
        Text(MARGIN, 0.55 * MARGIN, "; ".join(notes), _SMALL),
    ]
    crosses = [line for x, y in plan.crosses() for line in _cross(x, y)]
    return Sheet(
        plan.width,
        plan.height,
        [View([*shapes, *crosses], MARGIN - left, MARGIN - low, window), View([*frame, *words], 0.0, 0.0)],
    )


def _cross(x: float, y: float) -> tuple[Line, Line, Circle]:
    across = Line(x - _CROSS, y, x + _CROSS, y), Line(x, y - _CROSS, x, y + _CROSS)
    return *across, Circle(x, y, 0.5 * _CROSS, "dim")


def _first(flat: Flat, plan: Tiling, units: str, notes: Sequence[str]) -> Sheet:
    """The page ahead: how to print and join, the check square, and which sheet goes where."""
    wide, high = PAPERS[units]
    lines = (f"{flat.name}, full size on {plan.columns * plan.rows} sheets", *notes, *_HOW)
    words = [Text(MARGIN, high - MARGIN - (n + 1) * _LINE_STEP, line, _LETTER) for n, line in enumerate(lines)]
    top = high - MARGIN - (len(lines) + 2) * _LINE_STEP
    low = top - SQUARE[units]
    across, up = plan.pitch
    reach = plan.columns * across + OVERLAP, plan.rows * up + OVERLAP
    scale = min((wide - 2.0 * MARGIN) / reach[0], (low - 2.5 * MARGIN) / reach[1])
    left, bottom = MARGIN - scale * plan.covers.x1, MARGIN - scale * plan.covers.y1
    small = [Path(tuple(v._replace(x=left + scale * v.x, y=bottom + scale * v.y) for v in flat.outline), "inner")]
    small += [
        Path(tuple(v._replace(x=left + scale * v.x, y=bottom + scale * v.y) for v in item.outline), "inner")
        for item in flat.openings
    ]
    grid: list[Shape] = []
    for column in range(plan.columns):
        for row in range(plan.rows):
            x, y = MARGIN + scale * column * across, MARGIN + scale * row * up
            w, h = scale * (across + OVERLAP), scale * (up + OVERLAP)
            grid += [Line(x, y, x + w, y, "ref"), Line(x, y, x, y + h, "ref")]
            grid += [Line(x + w, y, x + w, y + h, "ref"), Line(x, y + h, x + w, y + h, "ref")]
            name = f"{plan.rows - row} / {column + 1}"
            grid.append(Text(x + 0.5 * w, y + 0.5 * h - 0.5 * _LETTER, name, _LETTER, "middle"))
    grid.append(Text(MARGIN, low - 0.6 * MARGIN, "row / column:", _LETTER))
    return Sheet(wide, high, [View([*words, *_square(MARGIN, low, units), *small, *grid], 0.0, 0.0)])


def _checked(pdf: bytes, units: str, *, joined: bool) -> bytes:
    if faults := template_faults(pdf, units, joined=joined):
        raise ExportFault("D11", faults)
    return pdf


def template_faults(pdf: bytes, units: str, *, joined: bool) -> list[str]:
    """Read a template back and say what would make it a wrong size.

    Parameters
    ----------
    pdf : bytes
        The file.
    units : str
        ``in`` or ``mm``, [text]
    joined : bool
        Whether it is more than one sheet, which overlap and share a check bar.

    Returns
    -------
    list of str
        One line per fault; empty if there is none.
    """
    from pypdf import PdfReader

    reader = PdfReader(io.BytesIO(pdf))
    faults = []
    wishes = reader.root_object.get("/ViewerPreferences", {})
    if wishes.get("/PrintScaling") != "/None":
        faults.append("the file does not ask printers to leave its scale alone")
    lines = [loops_of(page) for page in reader.pages]
    sides = [side for page in lines for side in _long(page, SQUARE[units])]
    if len(sides) < 4:
        faults.append("no check square is found")
    if joined:
        if len([bar for page in lines[1:] for bar in _long(page, BAR[units])]) < 2:
            faults.append("no check bar runs across a joint")
        for number, page in enumerate(lines[1:], start=2):
            faults += [
                f"page {number}: {fault}" for fault in _overlaps(page, float(reader.pages[number - 1].mediabox.width))
            ]
    return faults


def _long(page: Sequence[Loop], length: float) -> list[Loop]:
    """Straights of a length, to a part in a thousand."""
    return [loop for loop in page if len(loop) == 2 and abs(math.dist(*loop) / length - 1.0) <= _WITHIN]


def _overlaps(page: Sequence[Loop], paper: float) -> Iterator[str]:
    """Crosses lie half the overlap inside the window the picture shows through; their distance is the pitch."""
    most = paper * _INCH / 72.0 - MARGIN
    frame = _box_of(max((loop for loop in page if _wide(loop) < most), key=_spread))
    crosses = [loop for loop in page if len(loop) == 2 and abs(math.dist(*loop) - 2.0 * _CROSS) <= 1e-6]
    for axis, name, edges in ((0, "across", (frame.x1, frame.x2)), (1, "up", (frame.y1, frame.y2))):
        middles = sorted(0.5 * (a[axis] + b[axis]) for a, b in crosses)
        if not middles:
            yield "no crosses"
            continue
        overlap = (edges[1] - edges[0]) - (middles[-1] - middles[0])
        if overlap < LEAST_OVERLAP - 1e-6:
            yield f"sheets overlap {1e3 * overlap:.1f} mm {name}, less than {1e3 * LEAST_OVERLAP:.1f} mm"


def _wide(loop: Loop) -> float:
    around = _box_of(loop)
    return around.x2 - around.x1


def _spread(loop: Loop) -> float:
    around = _box_of(loop)
    return (around.x2 - around.x1) * (around.y2 - around.y1) if len(loop) == 5 else 0.0


def _box_of(loop: Loop) -> Box:
    xs, ys = [x for x, _ in loop], [y for _, y in loop]
    return Box(min(xs), min(ys), max(xs), max(ys))
