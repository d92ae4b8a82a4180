"""Neutral shapes in metres, y upward. No styling beyond a named pen.

Line, Circle, Path, Text    what a picture is made of
Patch                       an area of one colour
Picture                     shapes with a title and a description for who cannot see them
arrow, dimension, extents   composed shapes, and how far shapes reach
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from shroudwright.bench.arcs import Box, Outline, Vertex, box

Pen = Literal["cut", "inner", "bend", "etch", "ref", "dim", "thin", "thick", "halo"]
Anchor = Literal["start", "middle", "end"]
LETTER_WIDTH = 0.66
"""Mean width of a letter over the height of a capital."""


@dataclass(frozen=True)
class Line:
    """A straight."""

    x1: float
    y1: float
    x2: float
    y2: float
    pen: Pen = "thin"


@dataclass(frozen=True)
class Circle:
    """A full circle."""

    x: float
    y: float
    radius: float
    pen: Pen = "thin"


@dataclass(frozen=True)
class Path:
    """Straights and arcs joined; an open one stops at its last corner."""

    corners: Outline
    pen: Pen = "thin"
    is_closed: bool = True
    is_filled: bool = False


@dataclass(frozen=True)
class Text:
    """One line of text; x, y is on its base line, `angle` turns it left."""

    x: float
    y: float
    words: str
    height: float
    anchor: Anchor = "start"
    angle: float = 0.0
    pen: Pen = "dim"


@dataclass(frozen=True)
class Patch:
    """An area of one colour within loops of straights; a loop within a loop is a hole."""

    loops: tuple[tuple[tuple[float, float], ...], ...]
    colour: str


Shape = Line | Circle | Path | Text | Patch


@dataclass(frozen=True)
class Picture:
    """Shapes, with words for who cannot see them."""

    title: str
    description: str
    shapes: tuple[Shape, ...]


def arrow(x: float, y: float, angle: float, size: float, pen: Pen = "dim") -> Path:
    """Return a filled arrow head whose tip is at x, y, pointing along `angle` [rad]."""
    wings = [Vertex(x - size * math.cos(angle + turn), y - size * math.sin(angle + turn)) for turn in (0.28, -0.28)]
    return Path((Vertex(x, y), *wings), pen, is_filled=True)


def dimension(x1: float, y1: float, x2: float, y2: float, away: float, words: str, height: float) -> tuple[Shape, ...]:
    """Return a dimension between two points.

    Parameters
    ----------
    x1, y1, x2, y2 : float
        The points measured, [m]
    away : float
        How far to the left of the way from first to second the dimension line runs, [m]
    words : str
        What it says, [text]
    height : float
        Of its letters, [m]

    Returns
    -------
    tuple of Shape
        Extension lines, dimension line, two arrow heads (outside where there is no room) and the words.
    """
    length, angle = math.hypot(x2 - x1, y2 - y1), math.atan2(y2 - y1, x2 - x1)
    ux, uy = math.cos(angle), math.sin(angle)
    nx, ny = -uy, ux
    side = math.copysign(1.0, away)
    near, far = 0.4 * height * side, away + 0.5 * height * side
    ends = [(x + away * nx, y + away * ny) for x, y in ((x1, y1), (x2, y2))]
    extensions = [
        Line(x + near * nx, y + near * ny, x + far * nx, y + far * ny, "dim") for x, y in ((x1, y1), (x2, y2))
    ]
    (ax, ay), (bx, by) = ends
    outside = length < 2.5 * height
    turn = math.pi if outside else 0.0
    reach = 1.6 * height if outside else 0.0
    flat_angle = math.remainder(angle, math.pi)
    up_x, up_y = -math.sin(flat_angle), math.cos(flat_angle)
    lift = 0.35 * height
    mx, my = (ax + bx) / 2, (ay + by) / 2
    is_cramped = length < LETTER_WIDTH * height * len(words)
    if is_cramped:
        mx, my = bx + 1.8 * height * ux, by + 1.8 * height * uy
    return (
        *extensions,
        Line(ax - reach * ux, ay - reach * uy, bx + reach * ux, by + reach * uy, "dim"),
        arrow(ax, ay, angle + math.pi + turn, 0.8 * height),
        arrow(bx, by, angle + turn, 0.8 * height),
        Text(
            mx + lift * up_x,
            my + lift * up_y,
            words,
            height,
            "middle" if not is_cramped else ("start" if flat_angle == angle else "end"),
            flat_angle,
        ),
    )


def extents(shapes: Iterable[Shape]) -> Box:
    """Return the upright box around shapes; text by its likely width."""
    boxes = [box for shape in shapes for box in _points(shape)]
    xs, ys = [x for x, _ in boxes], [y for _, y in boxes]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _points(shape: Shape) -> list[tuple[float, float]]:
    match shape:
        case Line(x1, y1, x2, y2):
            return [(x1, y1), (x2, y2)]
        case Circle(x, y, radius):
            return [(x - radius, y - radius), (x + radius, y + radius)]
        case Path(corners):
            around = box(corners)
            return [(around.x1, around.y1), (around.x2, around.y2)]
        case Patch(loops):
            return [point for loop in loops for point in loop]
        case Text(x, y, words, height, anchor, angle):
            width = LETTER_WIDTH * height * len(words)
            start = {"start": 0.0, "middle": -width / 2, "end": -width}[anchor]
            c, s = math.cos(angle), math.sin(angle)
            corners_of = [
                (start, -0.3 * height),
                (start + width, -0.3 * height),
                (start, height),
                (start + width, height),
            ]
            return [(x + c * u - s * v, y + s * u + c * v) for u, v in corners_of]
