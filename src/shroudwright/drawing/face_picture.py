"""How a shroud's face moves when it shakes: lines of even reach over the face, fans' mounts and what stiffens it.

face_picture
level_lines    where a grid of numbers passes a level
joined         its pieces end to end
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import Vertex, contains, rectangle
from shroudwright.drawing.shapes import Circle, Line, Path, Pen, Picture, Shape, Text
from shroudwright.drawing.words import length_words
from shroudwright.metal.stiffness import Face, Stiffness, stiffener_lines

_LEVELS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
_LETTERS_ACROSS = 75.0
Numbers = NDArray[np.float64]
Point = tuple[float, float]
Piece = tuple[Point, Point]


def face_picture(found: Stiffness, units: str) -> Picture:
    """Draw the face's first shape.

    Parameters
    ----------
    found : Stiffness
        The face as judged.
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    Picture
        In metres of face, seen from behind. Each line joins places that move alike, a tenth of the most apart; dashed
        where the face moves the other way.
    """
    face, shape = found.face, found.motion.shapes[0]
    letter = max(face.width, face.height) / _LETTERS_ACROSS
    shapes: list[Shape] = []
    for level in _LEVELS:
        for sign in (1.0, -1.0):
            pen: Pen = "ref" if sign < 0.0 else "thick" if level == 0.5 else "thin"
            pieces = level_lines(found.motion.x, found.motion.y, sign * shape, level)
            kept = [piece for piece in pieces if not _is_open(face, *piece)]
            shapes += [Path(tuple(Vertex(x, y) for x, y in way), pen, is_closed=False) for way in joined(kept)]
    for rim in face.openings:
        shapes += [Path(rim, "halo"), Path(rim, "inner")]
    shapes += [Line(*line, "bend") for line in stiffener_lines(face)]
    for fan in face.fans:
        shapes += [Circle(x, y, 0.4 * letter, "inner") for x, y in fan.mounts]
    shapes.append(Path(rectangle(face.width, face.height), "cut"))
    across, up = np.unravel_index(np.where(found.motion.metal, np.abs(shape), 0.0).argmax(), shape.shape)
    x, y = float(found.motion.x[across]), float(found.motion.y[up])
    cross = 0.8 * letter
    shapes += [Line(x - cross, y, x + cross, y, "halo"), Line(x, y - cross, x, y + cross, "halo")]
    shapes += [Line(x - cross, y, x + cross, y, "thick"), Line(x, y - cross, x, y + cross, "thick")]
    says = (
        f"{found.frequency:.0f} times a second. Each line joins places that move alike, a tenth of the most apart; "
        "thick: half; cross: the most."
    )
    shapes.append(Text(0.0, -2.2 * letter, says, letter, pen="thin"))
    sizes = f"{length_words(face.width, units)} by {length_words(face.height, units)}"
    return Picture("How the face shakes", f"First shape of the face, {sizes}: {says}", tuple(shapes))


def _is_open(face: Face, one: Point, other: Point) -> bool:
    x, y = 0.5 * (one[0] + other[0]), 0.5 * (one[1] + other[1])
    return any(contains(rim, x, y) for rim in face.openings)


def level_lines(x: Numbers, y: Numbers, values: Numbers, level: float) -> list[Piece]:
    """Cut every triangle of a grid where the values pass a level.

    Parameters
    ----------
    x, y : ndarray
        Places of the grid's lines, [m]
    values : ndarray
        At its points, (x, y); nothing is drawn beside nan.
    level : float
        To be passed.

    Returns
    -------
    list of ((x, y), (x, y))
        Straight pieces, [m]
    """
    above = values > level
    corners = [values[:-1, :-1], values[1:, :-1], values[1:, 1:], values[:-1, 1:]]
    count = sum((corner > level).astype(int) for corner in corners)
    passed = (count > 0) & (count < 4) & ~np.isnan(sum(corners))

    def passing(one: tuple[int, int], other: tuple[int, int]) -> Point:
        # From the lower corner and rounded, so that all triangles about a place find the very same one.
        (i, j), (k, m) = sorted((one, other))
        part = float((level - values[i, j]) / (values[k, m] - values[i, j]))
        return round(float(x[i] + part * (x[k] - x[i])), 12), round(float(y[j] + part * (y[m] - y[j])), 12)

    pieces = []
    for i, j in np.argwhere(passed).tolist():
        for triangle in (((i, j), (i + 1, j), (i + 1, j + 1)), ((i, j), (i + 1, j + 1), (i, j + 1))):
            sides = zip(triangle, (*triangle[1:], triangle[0]), strict=True)
            ends = [passing(one, other) for one, other in sides if above[one] != above[other]]
            if ends and ends[0] != ends[1]:
                pieces.append((ends[0], ends[1]))
    return pieces


def joined(pieces: Sequence[Piece]) -> list[list[Point]]:
    """Join straight pieces that share ends into as few ways as they make, a closed one ending where it began."""
    at: dict[Point, list[int]] = {}
    for number, piece in enumerate(pieces):
        for end in piece:
            at.setdefault(end, []).append(number)
    ways, used = [], set[int]()
    # Ends nobody shares first, so that no way is begun in its middle.
    starts = sorted((end for end in at), key=lambda end: len(at[end]))
    for start in starts:
        for first in at[start]:
            way, here, step = [start], start, first
            while step not in used:
                used.add(step)
                one, other = pieces[step]
                here = other if here == one else one
                way.append(here)
                step = next((number for number in at[here] if number not in used), step)
            if len(way) > 1:
                ways.append(way)
    return ways
