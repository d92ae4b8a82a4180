"""The sheets to buy with every part on them.

nest_picture
"""

from shroudwright.bench.arcs import moved, rectangle
from shroudwright.drawing.shapes import Path, Picture, Shape, Text
from shroudwright.drawing.words import length_words
from shroudwright.metal.nest import Nest

_LETTERS_ACROSS = 48.0
_ROOM = 3.0


def nest_picture(laid: Nest, units: str) -> Picture:
    """Draw sheets side by side, long side across the page, the grain along it.

    Parameters
    ----------
    laid : Nest
        With one sheet or more.
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    Picture
        In metres; parts as their boxes.
    """
    letter = laid.height / _LETTERS_ACROSS
    shapes: list[Shape] = []
    for number, sheet in enumerate(laid.sheets):
        low = -number * (laid.width + 2.0 * _ROOM * letter)
        shapes.append(Path(moved(rectangle(laid.height, laid.width), 0.0, low), "ref"))
        size = f"{length_words(laid.height, units)} by {length_words(laid.width, units)}"
        words = f"sheet {number + 1}: {size}, grain along the long side"
        shapes.append(Text(0.0, low - 1.8 * letter, words, letter))
        for spot in sheet:
            across, up = spot.size
            shapes.append(Path(moved(rectangle(up, across), spot.y, low + spot.x), "cut"))
            name = spot.part.name + (", against its grain" if spot.is_against else "")
            # A name that is higher than its part goes beside it.
            left = spot.y + 0.5 * letter if across > 1.1 * letter else spot.y + up + 0.5 * letter
            shapes.append(Text(left, low + spot.x + 0.5 * (across - letter), name, letter))
    used = f"{len(laid.sheets)} sheets, {100.0 * laid.yields:.0f} % used"
    return Picture("Sheets to buy", f"Parts on {used}.", tuple(shapes))
