"""Templates: full size when read back and when drawn as dots, and sheets that go together."""

import io
import math
import subprocess
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject

from shroudwright.bench.arcs import Box, box
from shroudwright.drawing import template as made
from shroudwright.drawing.faults import ExportFault
from shroudwright.drawing.paper import Sheet, View, loops_of, pages_pdf
from shroudwright.drawing.shapes import Line
from shroudwright.drawing.template import BAR, MARGIN, OVERLAP, SQUARE, one_page, template_faults, tiles, tiling
from tests.needed import needed
from tests.packets import EVIL, a_shroud

BLANK, CAP = a_shroud().flats
UNITS = pytest.mark.parametrize("units", ["in", "mm"])
DOTS = ("-r", "600", "-gray", "-f", "1", "-l", "1")
NOTES = ("cut 1", EVIL)


@cache
def pdf(units: str) -> bytes:
    return tiles(BLANK, units, NOTES)


def read(data: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(data))


@pytest.mark.independent("poppler draws the page at 600 dots an inch: the square's sides to 0.05 mm")
@UNITS
def test_square_as_dots(units: str, tmp_path: Path) -> None:
    for name, data in (("tiles", pdf(units)), ("page", one_page(CAP, units, NOTES))):
        (tmp_path / name).write_bytes(data)
        subprocess.run(
            [needed("pdftoppm"), *DOTS, tmp_path / name, tmp_path / f"{name}-dots"],
            check=True,
        )
        (drawn,) = tmp_path.glob(f"{name}-dots*.pgm")
        dark = _greys(drawn) < 153
        side = SQUARE[units] / 0.0254 * 600
        for lines in (dark, dark.T):
            # Long straights: rows of dots that hold a dark run as long as the square is wide.
            full = np.flatnonzero(lines.sum(axis=1) > side - 12)
            runs = [row for row in full if abs(_longest(lines[row]) - side) < 12]
            middles = [np.mean(group) for group in np.split(runs, np.where(np.diff(runs) > 3)[0] + 1)]
            assert len(middles) == 2, middles
            assert (middles[1] - middles[0]) / 600 * 25.4 == pytest.approx(SQUARE[units] * 1e3, abs=0.05)


def _greys(path: Path) -> np.ndarray:
    """A plain grey picture's dots, 0 black to 255 white."""
    kind, wide, high, most, dots = path.read_bytes().split(maxsplit=4)
    assert (kind, most) == (b"P5", b"255")
    return np.frombuffer(dots, np.uint8)[: int(wide) * int(high)].reshape(int(high), int(wide))


def _longest(row: np.ndarray) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], row, [False])).astype(int)))
    return int((edges[1::2] - edges[::2]).max(initial=0))


@pytest.mark.independent("pypdf reads the pages and their lines")
@UNITS
def test_sheets(units: str) -> None:
    reader = read(pdf(units))
    assert reader.root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert template_faults(pdf(units), units, joined=True) == []
    x1, y1, x2, y2 = box(BLANK.outline)
    paper = sorted(made.PAPERS[units])
    for page in reader.pages:
        size = sorted(float(side) * 0.0254 / 72 for side in page.mediabox[2:])
        assert size == pytest.approx(paper, abs=1e-5)
    first = reader.pages[0].extract_text()
    assert "Print at 100 %" in first
    # Each sheet's lines, taken back to where they lie on the flat by the sheet's own row and column.
    count = len(reader.pages) - 1
    names = [page.extract_text() for page in reader.pages[1:]]
    columns = 1 + max(int(name.split("column ")[1].split()[0]) for name in names) - 1
    rows = count // columns
    width, height = (float(side) * 0.0254 / 72 for side in reader.pages[1].mediabox[2:])
    across, up = width - 2 * MARGIN - OVERLAP, height - 2 * MARGIN - OVERLAP
    assert columns * across + OVERLAP >= x2 - x1
    assert rows * up + OVERLAP >= y2 - y1
    bends, crosses = set(), []
    for number, page in enumerate(reader.pages[1:]):
        row, column = divmod(number, columns)
        assert f"row {row + 1}, column {column + 1}" in names[number]
        here = (MARGIN - column * across, MARGIN - (rows - 1 - row) * up)
        lines = [np.array(loop) - here for loop in loops_of(page) if len(loop) == 2]
        bends |= {round(float(line[0][1]), 6) for line in lines if _length(line) > 0.6}
        small = [line.mean(axis=0) for line in lines if abs(_length(line) - 0.008) < 1e-6]
        crosses.append({(round(float(x), 5), round(float(y), 5)) for x, y in small})
    assert len(bends) == len(BLANK.bends)
    for number in range(count):
        row, column = divmod(number, columns)
        if column + 1 < columns:
            assert len(crosses[number] & crosses[number + 1]) == 2
        if row + 1 < rows:
            assert len(crosses[number] & crosses[number + columns]) == 2


def _length(line: np.ndarray) -> float:
    return math.dist(*line)


@pytest.mark.independent("pypdf reads the one page: the flat's own width and the check square")
@UNITS
def test_one_page(units: str) -> None:
    reader = read(one_page(BLANK, units, NOTES))
    (page,) = reader.pages
    loops = loops_of(page)
    wide = [loop for loop in loops if len(loop) > 4]
    spans = [max(x for x, _ in loop) - min(x for x, _ in loop) for loop in wide]
    around = box(BLANK.outline)
    assert min(abs(span - (around.x2 - around.x1)) for span in spans) < 1e-6
    words = page.extract_text()
    assert EVIL in words
    for bend in BLANK.bends:
        assert f"B{bend.number} " in words


@pytest.mark.law("sheets cover what they are asked to, and turning them never takes more")
def test_tiling() -> None:
    for wide, high in ((0.1, 0.1), (0.7, 0.5), (0.9, 0.02), (0.02, 0.9), (2.0, 1.0)):
        plan = tiling(Box(-0.1, 0.2, -0.1 + wide, 0.2 + high), "in")
        across, up = plan.pitch
        assert (plan.columns * across + OVERLAP >= wide) & (plan.rows * up + OVERLAP >= high)
        assert plan.columns == 1 or (plan.columns - 1) * across + OVERLAP < wide
        assert len(plan.crosses()) == (plan.columns + 1) * (plan.rows + 1)
        assert plan.corner(0, 0) == pytest.approx((-0.1, 0.2))


def scaled(share: float) -> bytes:
    side, bar = SQUARE["in"] * share, BAR["in"] * share
    ends = [(0.02, 0.02), (0.02 + side, 0.02), (0.02 + side, 0.02 + side), (0.02, 0.02 + side)]
    lines = [Line(*one, *other) for one, other in zip(ends, ends[1:] + ends[:1], strict=True)]
    page = Sheet(0.3, 0.3, [View([*lines, Line(0.0, 0.1, bar, 0.1)], 0.0, 0.0)])
    return pages_pdf("x", [page])


@pytest.mark.behaviour("a wrong scale, a missing wish not to be scaled, too little overlap: each holds the file back")
def test_faults(monkeypatch: pytest.MonkeyPatch) -> None:
    assert template_faults(scaled(1.0), "in", joined=False) == []
    assert template_faults(scaled(1.0005), "in", joined=False) == []
    assert template_faults(scaled(1.002), "in", joined=False) == ["no check square is found"]
    writer = PdfWriter(io.BytesIO(scaled(1.0)))
    writer.root_object[NameObject("/ViewerPreferences")].get_object().pop("/PrintScaling")  # type: ignore[union-attr]
    out = io.BytesIO()
    writer.write(out)
    assert "leave its scale alone" in template_faults(out.getvalue(), "in", joined=False)[0]
    monkeypatch.setattr(made, "OVERLAP", 0.2 * 0.0254)
    with pytest.raises(ExportFault, match=r"overlap 5\.1 mm across") as caught:
        tiles(BLANK, "in", NOTES)
    assert caught.value.code == "D11"


@pytest.mark.behaviour("the same bytes for the same flat")
def test_bytes() -> None:
    assert tiles(CAP, "mm", NOTES) == tiles(CAP, "mm", NOTES)
