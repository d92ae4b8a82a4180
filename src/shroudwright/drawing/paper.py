"""Pages drawn as SVG to one PDF, full size, the same bytes every time.

Sheet      a page's size and what is drawn on it
View       shapes, where their origin lies on the page, and the window they show through
pages_pdf  pages -> PDF
unscaled   a PDF that asks printers not to scale it
loops_of   the lines a PDF page draws, where they land on paper
"""

import re
import tempfile
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

import typst

from shroudwright.bench.arcs import Box
from shroudwright.drawing.shapes import Shape
from shroudwright.drawing.svg import font_folder, svg_sheet

A_FIXED_DAY = datetime(2000, 1, 1, tzinfo=UTC)
_POINT = 0.0254 / 72.0
_WORDS = re.compile(rb"([-+]?[0-9]*\.?[0-9]+)|(/[^\s/<>\[\]()]+)|([A-Za-z*'\"]+[0-9]?)")
_QUOTED = re.compile(rb"\((?:\\.|[^\\()])*\)|<[0-9A-Fa-f\s]*>", re.DOTALL)
"""Words of a page's drawing orders, and the texts between them."""
_Matrix = tuple[float, float, float, float, float, float]
Loop = tuple[tuple[float, float], ...]


class View(NamedTuple):
    """Shapes, their origin from the page's lower left, and the window on the page they show through, [m]."""

    shapes: Sequence[Shape]
    x: float
    y: float
    window: Box | None = None


class Sheet(NamedTuple):
    """One page, [m]."""

    width: float
    height: float
    views: Sequence[View]


def pages_pdf(title: str, sheets: Sequence[Sheet]) -> bytes:
    """Set pages at full size.

    Parameters
    ----------
    title : str
        Of every page's picture.
    sheets : sequence of Sheet
        In order.

    Returns
    -------
    bytes
        A PDF that asks the printer not to scale it.
    """
    with tempfile.TemporaryDirectory() as root:
        lines = []
        for number, sheet in enumerate(sheets):
            (Path(root) / f"{number}.svg").write_text(svg_sheet(title, *sheet), encoding="utf-8")
            size = f"width: {1e3 * sheet.width:.4f}mm, height: {1e3 * sheet.height:.4f}mm"
            lines.append(f'#page({size}, margin: 0mm)[#image("{number}.svg", {size})]')
        source = Path(root) / "pages.typ"
        source.write_text("\n".join(lines), encoding="utf-8")
        pdf = typst.compile(
            str(source),
            root=root,
            format="pdf",
            font_paths=[font_folder()],
            ignore_system_fonts=True,
            timestamp=A_FIXED_DAY,
        )
    assert isinstance(pdf, bytes)
    return unscaled(pdf)


def unscaled(pdf: bytes) -> bytes:
    """Ask printers for full size, which typst cannot say: its catalogue again behind the file, with the wish in it.

    Behind it stand the place of the new catalogue and of the old table, as PDF 1.7 (ISO 32000-1:2008, 7.5.6, from
    memory) has updates.
    """
    trailer = re.search(
        rb"trailer\n<<(?P<held>.*/Root (?P<root>\d+) 0 R.*)>>\nstartxref\n(?P<table>\d+)\n%%EOF\s*$", pdf
    )
    assert trailer is not None
    number = trailer["root"]
    catalogue = re.search(rb"\n%s 0 obj\n(.*?)\nendobj\n" % number, pdf, re.DOTALL)
    assert catalogue is not None
    wish = catalogue[1].replace(b"/ViewerPreferences<<", b"/ViewerPreferences<</PrintScaling/None")
    assert wish != catalogue[1]
    start = len(pdf) + 1
    added = b"\n%s 0 obj\n%s\nendobj\n" % (number, wish)
    table = b"xref\n0 1\n0000000000 65535 f\r\n%s 1\n%010d 00000 n\r\n" % (number, start)
    ends = b"trailer\n<<%s/Prev %s>>\nstartxref\n%d\n%%%%EOF\n" % (trailer["held"], trailer["table"], len(pdf + added))
    return pdf + added + table + ends


def loops_of(page: Any) -> list[Loop]:
    """Lines of a page: corners of every path of straights, from the lower left of the paper.

    Parameters
    ----------
    page : pypdf.PageObject
        Of a file made here.

    Returns
    -------
    list of tuple of (x, y)
        A closed path ends where it starts; curves are left out, [m]
    """
    found: list[Loop] = []
    _walk(page.get_contents(), page["/Resources"], (_POINT, 0.0, 0.0, _POINT, 0.0, 0.0), found)
    return found


def _times(one: _Matrix, other: _Matrix) -> _Matrix:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def _walk(stream: Any, resources: Any, at: _Matrix, found: list[Loop]) -> None:
    kept: list[_Matrix] = []
    path: list[tuple[float, float]] = []
    numbers: list[float] = []
    name = ""
    for number, named, operator in _WORDS.findall(_QUOTED.sub(b"", stream.get_data())):
        if number:
            numbers.append(float(number))
        elif named:
            name = named.decode()
        else:
            if operator == b"q":
                kept.append(at)
            elif operator == b"Q":
                at = kept.pop()
            elif operator == b"cm":
                at = _times(tuple(numbers), at)  # type: ignore[arg-type]
            elif operator == b"Do":
                form = resources["/XObject"][name].get_object()
                if form.get("/Subtype") == "/Form":
                    matrix = tuple(map(float, form.get("/Matrix", (1, 0, 0, 1, 0, 0))))
                    _walk(form, form.get("/Resources", resources), _times(matrix, at), found)  # type: ignore[arg-type]
            else:
                found += _paths(operator, numbers, at, path)
            numbers = []


def _paths(operator: bytes, numbers: list[float], at: _Matrix, path: list[tuple[float, float]]) -> Iterator[Loop]:
    a, b, c, d, e, f = at

    def place(x: float, y: float) -> tuple[float, float]:
        return a * x + c * y + e, b * x + d * y + f

    if operator in (b"m", b"re", b"S", b"s", b"f", b"f*", b"B", b"n") and len(path) > 1:
        if operator == b"s":
            path.append(path[0])
        yield tuple(path)
    match operator:
        case b"m":
            path[:] = [place(*numbers)]
        case b"l":
            path.append(place(*numbers))
        case b"h" if path:
            path.append(path[0])
        case b"re":
            x, y, w, h = numbers
            path.clear()
            yield tuple(place(*p) for p in ((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)))
        case b"c" | b"v" | b"y" | b"S" | b"s" | b"f" | b"f*" | b"B" | b"n":
            path.clear()
