"""The air through a core to scale: face speed in colours, openings, shroud, and where it is slowest.

Face        one core with its air
face_of     plenum, cells and their air -> Face
air_map     faces side by side on one scale of colours
top_speed   a round end for that scale
RAMP        its colours, the slowest first
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import Box, Outline, moved, rectangle
from shroudwright.bench.units import convert
from shroudwright.drawing.hatching import hatch
from shroudwright.drawing.shapes import Circle, Line, Patch, Path, Picture, Shape, Text
from shroudwright.job.plenum import Behind
from shroudwright.pack.cells import Cells, run_of

Numbers = NDArray[np.float64]
RAMP = (
    "#002254",
    "#00386d",
    "#004e86",
    "#266596",
    "#487ca1",
    "#7193a5",
    "#9da8a2",
    "#c2bfa5",
    "#e1d7b6",
    "#ffefc6",
)
"""Blue to sand in even steps of lightness, so that it reads in grey and to colour-blind eyes."""
SPEED_UNITS = {"in": "ft/min", "mm": "m/s"}
LETTERS_ACROSS, LETTERS_UP = 100.0, 32.0
"""How many letters' heights all faces are wide and each is high at most, so that words stay readable on paper."""
_STEPS = {"in": (10.0, 20.0, 25.0, 40.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0), "mm": (0.1, 0.2, 0.25, 0.4, 0.5, 1.0)}
_TANK = 0.07
"""Width tanks are drawn at over the core's longer side; they are never measured, [-]"""
_MARGIN = 0.03
_LEAST_CORE = 0.05
"""Share of a cell under which what core it holds is not drawn, [-]"""


@dataclass(frozen=True)
class Face:
    """One core with its air, lengths from the core's lower left corner, seen from behind."""

    title: str
    width: float
    height: float
    tanks_at_sides: bool
    outlines: tuple[Outline, ...]
    """Of the shroud."""
    circles: tuple[tuple[float, float, float], ...]
    """x, y and radius of each opening, [m]"""
    left: float
    """x of the cells' lower left corner, [m]"""
    bottom: float
    dx: float
    dy: float
    speed: Numbers
    """Face speed in every cell, row 0 at the bottom; nan where none enters the plenum, [m/s]"""
    bare: NDArray[np.bool_]
    """Whether the cell is core that no shroud covers."""
    holes: tuple[tuple[float, float, float, float], ...] = ()
    """Left, bottom, width and height of each hole in the plate that is no fan's, [m]"""
    gaps: tuple[tuple[float, float, float, float], ...] = ()
    """Both ends of each gap whose place is known, x and y, [m]"""

    @property
    def mean(self) -> float:
        """Of the face speed, [m/s]."""
        return float(np.nanmean(self.speed))


def face_of(title: str, behind: Behind, cells: Cells, speed: Numbers, *, tanks_at_sides: bool) -> Face:
    """Make a face of a plenum's air.

    Parameters
    ----------
    title : str
        What stands over it, [text]
    behind : Behind
        The plenum and its openings.
    cells : Cells
        Cut from it.
    speed : array
        Face speed in every cell, [m/s]
    tanks_at_sides : bool
        Whether the coolant runs across.

    Returns
    -------
    Face
    """
    plenum = behind.plenum
    return Face(
        title=title,
        width=plenum.width,
        height=plenum.height,
        tanks_at_sides=tanks_at_sides,
        outlines=plenum.outlines,
        circles=behind.circles,
        holes=(*plenum.flaps, *plenum.holes),
        gaps=tuple(run_of(plenum, crack) for crack in plenum.cracks),
        left=cells.left,
        bottom=cells.bottom,
        dx=cells.dx,
        dy=cells.dy,
        speed=np.where(cells.core > _LEAST_CORE, speed, np.nan),
        bare=cells.bare > 0.5,
    )


def top_speed(faces: Iterable[Face], units: str) -> float:
    """Return the least round speed at or over all of some faces, [m/s]."""
    unit = SPEED_UNITS[units]
    fastest = convert(max(float(np.nanmax(face.speed)) for face in faces), "m/s", unit)
    step = next((step for step in _STEPS[units] if len(RAMP) * step >= fastest), fastest / len(RAMP))
    return float(convert(len(RAMP) * step, unit, "m/s"))


def air_map(faces: Sequence[Face], fastest: float, units: str) -> Picture:
    """Draw the air through cores side by side.

    Parameters
    ----------
    faces : sequence of Face
        Of one core, such as one as built and one deeper.
    fastest : float
        End of the scale of colours, the same for all maps that are to be compared, [m/s]
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    Picture
        In metres of core.
    """
    shapes: list[Shape] = []
    reach = [_reach(face) for face in faces]
    gap = 0.06 * max(box.x2 - box.x1 for box in reach)
    across = sum(box.x2 - box.x1 for box in reach) + gap * (len(faces) - 1)
    letter = max(across / LETTERS_ACROSS, max(face.height for face in faces) / LETTERS_UP)
    at = 0.0
    for face, around in zip(faces, reach, strict=True):
        shapes += _face(face, around, at - around.x1, letter, fastest)
        at += around.x2 - around.x1 + gap
    lowest = min(box.y1 for box in reach)
    marks = ["hatched: tanks, or core not covered"]
    marks += ["small boxes: flaps and holes"] if any(face.holes for face in faces) else []
    marks += ["double lines: gaps"] if any(face.gaps for face in faces) else []
    shapes += _key(across, lowest - 6.0 * letter, letter, fastest, units, "; ".join(marks))
    says = "; ".join(f"{face.title}: {_slowest_says(face)}" for face in faces)
    return Picture("Air through the core", f"Face speed over the core, seen from behind. {says}.", tuple(shapes))


def _slowest(face: Face) -> tuple[int, int, float]:
    """Row and column of the slowest cell, the lowest of like ones, and its share of the mean."""
    row, column = np.unravel_index(np.nanargmin(np.round(face.speed / face.mean, 2)), face.speed.shape)
    return int(row), int(column), float(face.speed[row, column]) / face.mean


def _slowest_says(face: Face) -> str:
    return f"{100.0 * _slowest(face)[2]:.0f} % of the mean here"


def _reach(face: Face) -> Box:
    tank = _TANK * max(face.width, face.height)
    side, end = (tank, 0.0) if face.tanks_at_sides else (0.0, tank)
    corners = [(vertex.x, vertex.y) for outline in face.outlines for vertex in outline]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    rim = _MARGIN * face.width
    return Box(
        min([-side - rim, *xs]), min([-end - rim, *ys]),
        max([face.width + side + rim, *xs]), max([face.height + end + rim, *ys]),
    )  # fmt: skip


def _face(face: Face, around: Box, shift: float, letter: float, fastest: float) -> Iterator[Shape]:
    core = moved(rectangle(face.width, face.height), shift, 0.0)
    for level, colour in enumerate(RAMP):
        least = -math.inf if level == 0 else fastest * level / len(RAMP)
        loops = tuple(_loop_in_metres(face, loop, shift) for loop in loops_of(face.speed >= least))
        if loops:
            yield Patch(loops, colour)
    yield from _hatched(face, shift, letter)
    yield Path(core, "thin")
    for outline in face.outlines:
        yield Path(moved(outline, shift, 0.0), "halo")
        yield Path(moved(outline, shift, 0.0), "thick")
    for x, y, radius in face.circles:
        yield Circle(x + shift, y, radius, "halo")
        yield Circle(x + shift, y, radius, "inner")
    for left, bottom, width, height in face.holes:
        yield Path(moved(rectangle(width, height), left + shift, bottom), "halo")
        yield Path(moved(rectangle(width, height), left + shift, bottom), "inner")
    for x1, y1, x2, y2 in face.gaps:
        across = math.hypot(x2 - x1, y2 - y1)
        off_x, off_y = 0.5 * letter * (y2 - y1) / across, 0.5 * letter * (x2 - x1) / across
        for sign in (1.0, -1.0):
            yield Line(
                x1 + shift + sign * off_x, y1 + sign * off_y, x2 + shift + sign * off_x, y2 + sign * off_y, "thick"
            )
    row, column, _ = _slowest(face)
    x, y = face.left + (column + 0.5) * face.dx + shift, face.bottom + (row + 0.5) * face.dy
    label = around.y1 - 2.2 * letter
    right = x > shift + 0.5 * face.width
    end = x + (-2.0 if right else 2.0) * letter
    for pen in ("halo", "thin"):
        yield Circle(x, y, 0.7 * letter, pen)
        yield Line(x, y - 0.7 * letter, end, label + 0.9 * letter, pen)
    yield Text(end, label - 0.2 * letter, _slowest_says(face), letter, "end" if right else "start", pen="thin")
    yield Text(shift, around.y2 + 0.8 * letter, face.title, letter, pen="thin")


def _hatched(face: Face, shift: float, letter: float) -> Iterator[Shape]:
    """Tanks, of a width that is not theirs, and core that no shroud covers."""
    tank = _TANK * max(face.width, face.height)
    if face.tanks_at_sides:
        tanks = [Box(-tank, 0.0, 0.0, face.height), Box(face.width, 0.0, face.width + tank, face.height)]
    else:
        tanks = [Box(0.0, -tank, face.width, 0.0), Box(0.0, face.height, face.width, face.height + tank)]
    for box in tanks:
        shifted = Box(box.x1 + shift, box.y1, box.x2 + shift, box.y2)
        yield Path(moved(rectangle(box.x2 - box.x1, box.y2 - box.y1), shifted.x1, box.y1), "ref")
        yield from hatch(shifted, letter, lambda x, y: np.ones(x.shape, dtype=np.bool_), "ref")
    rows, columns = face.bare.shape

    def is_bare(x: Numbers, y: Numbers) -> NDArray[np.bool_]:
        i = np.clip(((x - shift - face.left) / face.dx).astype(int), 0, columns - 1)
        j = np.clip(((y - face.bottom) / face.dy).astype(int), 0, rows - 1)
        return np.asarray(face.bare[j, i])

    if face.bare.any():
        yield from hatch(Box(shift, 0.0, shift + face.width, face.height), 0.6 * letter, is_bare, "thin")


def loops_of(mask: NDArray[np.bool_]) -> list[list[tuple[int, int]]]:
    """Edge every cell that is marked: closed loops of grid corners, column before row, straights in one piece."""
    padded = np.pad(mask, 1)
    ways: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for j, i in zip(*np.nonzero(mask), strict=True):
        x, y = int(i), int(j)
        # Counter-clockwise round the marked cells.
        if not padded[j, i + 1]:
            ways.setdefault((x, y), []).append((x + 1, y))
        if not padded[j + 1, i + 2]:
            ways.setdefault((x + 1, y), []).append((x + 1, y + 1))
        if not padded[j + 2, i + 1]:
            ways.setdefault((x + 1, y + 1), []).append((x, y + 1))
        if not padded[j + 1, i]:
            ways.setdefault((x, y + 1), []).append((x, y))
    found = []
    while ways:
        start = at = next(iter(ways))
        loop: list[tuple[int, int]] = []
        while not loop or at != start:
            loop.append(at)
            ends = ways[at]
            after = ends.pop()
            if not ends:
                del ways[at]
            at = after
        found.append(
            [
                here
                for before, here, after in zip(loop[-1:] + loop[:-1], loop, loop[1:] + loop[:1], strict=True)
                if (here[0] - before[0]) * (after[1] - here[1]) != (here[1] - before[1]) * (after[0] - here[0])
            ]
        )
    return found


def _loop_in_metres(face: Face, loop: list[tuple[int, int]], shift: float) -> tuple[tuple[float, float], ...]:
    return tuple(
        (
            shift + min(max(face.left + i * face.dx, 0.0), face.width),
            min(max(face.bottom + j * face.dy, 0.0), face.height),
        )
        for i, j in loop
    )


def _key(across: float, y: float, letter: float, fastest: float, units: str, marks: str) -> Iterator[Shape]:
    unit = SPEED_UNITS[units]
    wide, high = 4.0 * letter, 1.6 * letter
    for level, colour in enumerate(RAMP):
        left = level * wide
        yield Patch((((left, y), (left + wide, y), (left + wide, y + high), (left, y + high)),), colour)
    yield Path(moved(rectangle(wide * len(RAMP), high), 0.0, y), "thin")
    for level in range(0, len(RAMP) + 1, 2):
        value = convert(fastest * level / len(RAMP), "m/s", unit)
        yield Text(level * wide, y - 1.5 * letter, f"{value:.4g}", letter, "middle", pen="thin")
    yield Text(wide * (len(RAMP) + 0.7), y + 0.35 * letter, f"face speed, {unit}", letter, pen="thin")
    yield Text(wide * (len(RAMP) + 0.7), y - 1.5 * letter, marks, letter, pen="thin")
