"""How a shroud's face moves when it shakes: lines of even reach over the face, fans' mounts and what stiffens it.

face_picture
level_lines    where a grid of numbers passes a level
"""

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import contains, rectangle
from shroudwright.drawing.shapes import Circle, Line, Path, Picture, Shape, Text
from shroudwright.drawing.words import length_words
from shroudwright.metal.stiffness import Face, Stiffness, stiffener_lines

_LEVELS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
_LETTERS_ACROSS = 75.0
Numbers = NDArray[np.float64]
Piece = tuple[tuple[float, float], tuple[float, float]]


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
            pen = "ref" if sign < 0.0 else "thick" if level == 0.5 else "thin"
            pieces = level_lines(found.motion.x, found.motion.y, sign * shape, level)
            shapes += [Line(*one, *other, pen) for one, other in pieces if not _is_open(face, one, other)]
    for rim in face.openings:
        shapes += [Path(rim, "halo"), Path(rim, "inner")]
    shapes += [Line(*line, "bend") for line in stiffener_lines(face)]
    for fan in face.fans:
        shapes += [Circle(x, y, 0.4 * letter, pen) for x, y in fan.mounts for pen in ("halo", "inner")]
    shapes.append(Path(rectangle(face.width, face.height), "cut"))
    across, up = np.unravel_index(np.nanargmax(np.abs(shape)), shape.shape)
    x, y = float(found.motion.x[across]), float(found.motion.y[up])
    cross = 0.8 * letter
    for pen in ("halo", "thick"):
        shapes += [Line(x - cross, y, x + cross, y, pen), Line(x, y - cross, x, y + cross, pen)]
    says = (
        f"{found.frequency:.0f} times a second. Each line joins places that move alike, a tenth of the most apart; "
        "thick: half; cross: the most."
    )
    shapes.append(Text(0.0, -2.2 * letter, says, letter, pen="thin"))
    sizes = f"{length_words(face.width, units)} by {length_words(face.height, units)}"
    return Picture("How the face shakes", f"First shape of the face, {sizes}: {says}", tuple(shapes))


def _is_open(face: Face, one: tuple[float, float], other: tuple[float, float]) -> bool:
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
    pieces = []
    above = values > level
    known = ~np.isnan(values)
    for i in range(len(x) - 1):
        for j in range(len(y) - 1):
            inner = above[i : i + 2, j : j + 2]
            if inner.all() or not inner.any() or not known[i : i + 2, j : j + 2].all():
                continue
            for corners in (((i, j), (i + 1, j), (i + 1, j + 1)), ((i, j), (i + 1, j + 1), (i, j + 1))):
                ends = []
                for one, other in zip(corners, (*corners[1:], corners[0]), strict=True):
                    if above[one] != above[other]:
                        part = float((level - values[one]) / (values[other] - values[one]))
                        ends.append(
                            (
                                float(x[one[0]] + part * (x[other[0]] - x[one[0]])),
                                float(y[one[1]] + part * (y[other[1]] - y[one[1]])),
                            )
                        )
                if len(ends) == 2:
                    pieces.append((ends[0], ends[1]))
    return pieces
