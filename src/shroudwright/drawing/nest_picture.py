"""The sheets to buy with every part on them.

nest_picture
"""

from collections.abc import Iterator, Sequence

from shroudwright.bench.arcs import moved, rectangle
from shroudwright.drawing.placing import stacked
from shroudwright.drawing.shapes import LETTER_WIDTH, Line, Path, Picture, Shape, Text
from shroudwright.drawing.words import length_words
from shroudwright.metal.nest import Nest

_LETTERS_ACROSS = 48.0
_ROOM = 3.0
_CLEAR = 1.6
"""Least height of a part with its name in it, in letters' heights."""
_LINE = 1.5


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
        led: list[tuple[float, float, str]] = []
        for spot in sheet:
            across, up = spot.size
            shapes.append(Path(moved(rectangle(up, across), spot.y, low + spot.x), "cut"))
            name = spot.part.name + (", against its grain" if spot.is_against else "")
            if across > _CLEAR * letter and up > LETTER_WIDTH * letter * len(name) + letter:
                shapes.append(Text(spot.y + 0.5 * letter, low + spot.x + 0.5 * (across - letter), name, letter))
            else:
                led.append((low + spot.x + 0.5 * across, spot.y + up, name))
        shapes += _led_out(sorted(led), laid.height + 2.0 * letter, letter)
    used = f"{len(laid.sheets)} sheets, {100.0 * laid.yields:.0f} % used"
    return Picture("Sheets to buy", f"Parts on {used}.", tuple(shapes))


def _led_out(names: Sequence[tuple[float, float, str]], edge: float, letter: float) -> Iterator[Shape]:
    """Write the names of thin parts beside the sheet, each led to its part's end."""
    for (y, x, name), level in zip(names, stacked([y for y, _, _ in names], _LINE * letter), strict=True):
        yield Line(x, y, edge - 0.4 * letter, level, "dim")
        yield Text(edge, level - 0.5 * letter, name, letter)
