"""Shapes to one SVG, used as it is on the page, on paper and for download. No scripts, nothing from outside.

svg            a picture's SVG text
svg_sheet      a sheet of paper at full size, its pictures seen through windows
FONT           what its words are set in, and font_folder, where that font lies
"""

import math
from collections.abc import Sequence
from importlib.resources import files
from typing import TypeAlias
from xml.sax.saxutils import escape, quoteattr

from shroudwright.bench.arcs import Arc, Box, segments
from shroudwright.drawing.shapes import Circle, Line, Patch, Path, Pen, Picture, Shape, Text, extents

SheetView: TypeAlias = tuple[Sequence[Shape], float, float, Box | None]
FONT = "Source Sans Pro"
MARGIN = 0.003
_STROKES: dict[Pen, tuple[str, float, str]] = {
    "cut": ("#111111", 0.45, ""),
    "inner": ("#111111", 0.30, ""),
    "bend": ("#333333", 0.25, "3 1.2 0.6 1.2"),
    "etch": ("#777777", 0.25, ""),
    "ref": ("#777777", 0.20, "1.6 1.2"),
    "dim": ("#444444", 0.15, ""),
    "thin": ("#111111", 0.20, ""),
    "thick": ("#111111", 0.70, ""),
    "halo": ("#ffffff", 0.90, ""),
}
"""Pen: grey, width in mm of paper, dashes in mm of paper."""


def font_folder() -> str:
    """Return the folder of the shipped font's files."""
    return str(files("font_source_sans_pro") / "files")


def svg(picture: Picture, width: float, height: float, *, scale: float | None = None) -> str:
    """Return a picture as SVG.

    Parameters
    ----------
    picture : Picture
        What to draw.
    width, height : float
        Of the paper it may fill; the picture keeps its shape and is as large as fits, [m]
    scale : float, optional
        Metres of paper per metre of picture; given, the paper is as large as it needs, [-]

    Returns
    -------
    str
        SVG text, sized in millimetres.
    """
    reach = extents(picture.shapes)
    wide, high = reach.x2 - reach.x1, reach.y2 - reach.y1
    if scale is None:
        scale = min((width - 2 * MARGIN) / max(wide, 1e-9), (height - 2 * MARGIN) / max(high, 1e-9))
    mm = 1e3 * scale
    page_wide, page_high = mm * wide + 2e3 * MARGIN, mm * high + 2e3 * MARGIN
    pencil = _Pencil(mm, 1e3 * MARGIN - mm * reach.x1, 1e3 * MARGIN + mm * reach.y2)
    body = "\n".join(pencil.draw(shape) for shape in picture.shapes)
    return _page(picture.title, picture.description, page_wide, page_high, body)


def svg_sheet(title: str, width: float, height: float, views: Sequence[SheetView]) -> str:
    """Return a sheet of paper at full size as SVG.

    Parameters
    ----------
    title : str
        What it is.
    width, height : float
        Of the paper, [m]
    views : sequence of (shapes, x, y, window)
        Shapes, where on the paper their origin lies from its lower left, and the box on the paper they show
        through, or None, [m]

    Returns
    -------
    str
        SVG text, sized in millimetres. What lies wholly outside its window is left out.
    """
    parts = []
    for number, (shapes, x, y, window) in enumerate(views):
        pencil = _Pencil(1e3, 1e3 * x, 1e3 * (height - y))
        body = "\n".join(pencil.draw(shape) for shape in shapes if window is None or _shows(shape, x, y, window))
        if window is None:
            parts.append(body)
            continue
        left, top = 1e3 * window.x1, 1e3 * (height - window.y2)
        wide, high = 1e3 * (window.x2 - window.x1), 1e3 * (window.y2 - window.y1)
        box = f'<rect x="{_n(left)}" y="{_n(top)}" width="{_n(wide)}" height="{_n(high)}"/>'
        parts.append(f'<clipPath id="w{number}">{box}</clipPath>\n<g clip-path="url(#w{number})">\n{body}\n</g>')
    return _page(title, title, 1e3 * width, 1e3 * height, "\n".join(parts))


def _shows(shape: Shape, x: float, y: float, window: Box) -> bool:
    reach = extents([shape])
    across = reach.x1 + x <= window.x2 and reach.x2 + x >= window.x1
    return across and reach.y1 + y <= window.y2 and reach.y2 + y >= window.y1


def _page(title: str, description: str, page_wide: float, page_high: float, body: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(page_wide)}mm" height="{_n(page_high)}mm" '
        f'viewBox="0 0 {_n(page_wide)} {_n(page_high)}" role="img" '
        f"aria-label={quoteattr(_printable(title))}>\n"
        f"<title>{_text(title)}</title>\n<desc>{_text(description)}</desc>\n"
        f'<g fill="none" stroke-linejoin="round" stroke-linecap="butt" font-family="{FONT}, sans-serif">\n'
        f"{body}\n</g>\n</svg>\n"
    )


def _printable(words: str) -> str:
    """Leave out what XML cannot carry."""
    return "".join(letter for letter in words if letter.isprintable())


def _text(words: str) -> str:
    return escape(_printable(words), {'"': "&quot;", "'": "&#39;"})


def _n(value: float) -> str:
    """Write a number of millimetres to a ten-thousandth."""
    return f"{round(value, 4) + 0.0:.4f}".rstrip("0").rstrip(".")


class _Pencil:
    """Puts shapes on paper: millimetres, y downward."""

    def __init__(self, mm: float, left: float, top: float) -> None:
        self.mm, self.left, self.top = mm, left, top

    def at(self, x: float, y: float) -> tuple[str, str]:
        return _n(self.left + self.mm * x), _n(self.top - self.mm * y)

    def draw(self, shape: Shape) -> str:
        match shape:
            case Line(x1, y1, x2, y2, pen):
                (a, b), (c, d) = self.at(x1, y1), self.at(x2, y2)
                return f'<line x1="{a}" y1="{b}" x2="{c}" y2="{d}" {_stroke(pen)}/>'
            case Circle(x, y, radius, pen):
                a, b = self.at(x, y)
                return f'<circle cx="{a}" cy="{b}" r="{_n(self.mm * radius)}" {_stroke(pen)}/>'
            case Path():
                look = f'fill="{_STROKES[shape.pen][0]}"' if shape.is_filled else _stroke(shape.pen)
                return f'<path d="{self.way(shape)}" {look}/>'
            case Patch(loops, colour):
                ways = ("M " + " L ".join(" ".join(self.at(*point)) for point in loop) + " Z" for loop in loops)
                return f'<path d="{" ".join(ways)}" fill="{colour}" fill-rule="evenodd"/>'
            case Text(x, y, words, height, anchor, angle, pen):
                a, b = self.at(x, y)
                turn = f' transform="rotate({_n(-math.degrees(angle))} {a} {b})"' if angle else ""
                return (
                    f'<text x="{a}" y="{b}" font-size="{_n(self.mm * height / 0.66)}" text-anchor="{anchor}" '
                    f'fill="{_STROKES[pen][0]}"{turn}>{_text(words)}</text>'
                )

    def way(self, path: Path) -> str:
        pieces = segments(path.corners)
        steps = ["M {} {}".format(*self.at(pieces[0].x1, pieces[0].y1))]
        for piece in pieces if path.is_closed else pieces[:-1]:
            end = "{} {}".format(*self.at(piece.x2, piece.y2))
            if isinstance(piece, Arc):
                r = _n(self.mm * piece.radius)
                steps.append(f"A {r} {r} 0 {int(abs(piece.sweep) > math.pi)} {int(piece.sweep < 0)} {end}")
            else:
                steps.append(f"L {end}")
        return " ".join(steps) + (" Z" if path.is_closed else "")


def _stroke(pen: Pen) -> str:
    grey, width, dashes = _STROKES[pen]
    return f'stroke="{grey}" stroke-width="{width}"' + (f' stroke-dasharray="{dashes}"' if dashes else "")
