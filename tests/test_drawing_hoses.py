"""The drawing of hoses and fittings: every circuit there may be, nothing on top of anything else."""

import xml.etree.ElementTree as ET
from functools import cache
from itertools import combinations, pairwise, product

import pytest

from shroudwright.bench.arcs import Box
from shroudwright.drawing.hose_diagram import Look, hose_diagram
from shroudwright.drawing.laid_lines import Drawn
from shroudwright.drawing.shapes import Text, extents
from shroudwright.drawing.svg import svg
from shroudwright.plumbing.network import FITTINGS, Needs, Network, network

TANKS = ("surge tank", "recovery bottle", None)
ORDERS = (None, "tank first", "air first", "tank only", "air only")
LOOKS = (
    Look("left", "right", False, "outlet", "inlet tank", True, {"C1.in": "1 1/2 in", "E1.pump": "1 3/4 in"}),
    Look("right", "left", False, "inlet", "outlet tank", True, {}),
    Look("right", "right", True, "outlet", "engine", False, {}),
    Look("left", "left", True, "none", "surge tank", True, {}),
)
CASES = [
    (tank, order, full, look)
    for tank, order, full, look in product(TANKS, ORDERS, (False, True), range(len(LOOKS)))
    if full or look in (0, 2)
]


@cache
def drawn(tank: str | None, order: str | None, is_full: bool, number: int) -> tuple[Network, Drawn]:
    look = LOOKS[number]
    made = network(Needs(tank, is_full, is_full, is_full, is_full, is_full, order, look.cap_place == "engine"))
    return made, hose_diagram(made, look, {line.number: f"{line.number}  1 1/2 in" for line in made.lines})


def touch(one: Box, two: Box) -> bool:
    return one.x1 < two.x2 and two.x1 < one.x2 and one.y1 < two.y2 and two.y1 < one.y2


def strokes(corners: tuple[tuple[int, int], ...]) -> list[Box]:
    return [Box(min(a, c), min(b, d), max(a, c), max(b, d)) for (a, b), (c, d) in pairwise(corners)]


@pytest.mark.law("every line is drawn once, square, from its one part's edge to the other's, and carries its size")
@pytest.mark.parametrize("case", CASES)
def test_every_line(case: tuple[str | None, str | None, bool, int]) -> None:
    made, diagram = drawn(*case)
    assert set(diagram.lines) == {line.number for line in made.lines}
    assert diagram.untagged == ()
    words = [shape.words for shape in diagram.picture.shapes if isinstance(shape, Text)]
    for line in made.lines:
        assert words.count(f"{line.number}  1 1/2 in") == 1
        corners = diagram.lines[line.number]
        for fitting, (x, y) in ((line.begins, corners[0]), (line.ends, corners[-1])):
            around = diagram.symbols[fitting.part]
            assert x in (around.x1, around.x2) or y in (around.y1, around.y2)
            assert around.x1 <= x <= around.x2
            assert around.y1 <= y <= around.y2
        assert all(a == c or b == d for (a, b), (c, d) in pairwise(corners))


@pytest.mark.law("parts, labels, sizes and lines keep apart; lines cross straight over and never lie on each other")
@pytest.mark.parametrize("case", CASES)
def test_nothing_collides(case: tuple[str | None, str | None, bool, int]) -> None:
    made, diagram = drawn(*case)
    symbols, words = list(diagram.symbols.values()), list(diagram.words)
    assert not any(touch(one, two) for one, two in combinations(symbols, 2))
    assert not any(touch(one, two) for one, two in combinations(words, 2))
    # Core and engine have their names inside.
    small = [diagram.symbols[part.id] for part in made.parts if part.kind not in ("core", "engine")]
    assert not any(touch(word, box) for word in words for box in small)
    lines = {number: strokes(corners) for number, corners in diagram.lines.items()}
    for number, run in lines.items():
        for stroke in run:
            around = Box(stroke.x1 - 1e-3, stroke.y1 - 1e-3, stroke.x2 + 1e-3, stroke.y2 + 1e-3)
            assert not any(touch(around, word) for word in words), number
            inner = [Box(b.x1 + 1e-2, b.y1 + 1e-2, b.x2 - 1e-2, b.y2 - 1e-2) for b in symbols]
            assert not any(touch(around, box) for box in inner), number
    for one, two in combinations(lines, 2):
        for a, b in product(lines[one], lines[two]):
            if a.x1 == a.x2 == b.x1 == b.x2:
                shared = min(a.y2, b.y2) - max(a.y1, b.y1)
            elif a.y1 == a.y2 == b.y1 == b.y2:
                shared = min(a.x2, b.x2) - max(a.x1, b.x1)
            else:
                continue
            assert shared <= 0.0, (one, two)


@pytest.mark.law("words inside a part stay inside it and clear of each other")
@pytest.mark.parametrize("case", CASES)
def test_words_inside(case: tuple[str | None, str | None, bool, int]) -> None:
    _, diagram = drawn(*case)
    texts = [extents([shape]) for shape in diagram.picture.shapes if isinstance(shape, Text)]
    assert not [(one, two) for one, two in combinations(texts, 2) if touch(one, two)]
    for text, box in product(texts, diagram.symbols.values()):
        if touch(text, box):
            assert box.x1 <= text.x1
            assert text.x2 <= box.x2
            assert box.y1 <= text.y1 + 1e-9
            assert text.y2 <= box.y2


@pytest.mark.behaviour("every fitting a line may ask for is drawn; letter and A4 across hold it, letters 1.2 mm")
def test_on_paper() -> None:
    made, diagram = drawn("surge tank", "tank first", True, 0)
    for part in made.parts:
        assert set(FITTINGS[part.kind]) >= {
            f.name for line in made.lines for f in (line.begins, line.ends) if f.part == part.id
        }
    reach = extents(diagram.picture.shapes)
    for wide, high in ((259.4, 158.0), (277.0, 152.0)):
        mm = min(wide / (reach.x2 - reach.x1), high / (reach.y2 - reach.y1))
        assert 0.5 * mm > 1.2
    root = ET.fromstring(svg(diagram.picture, 0.2594, 0.158))
    thick = [way for way in root.iter("{http://www.w3.org/2000/svg}path") if way.attrib.get("stroke-width") == "0.7"]
    assert len(thick) == 2
