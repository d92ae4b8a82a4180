"""Wiring diagrams: every scheme for one to four fans, nothing on top of anything else."""

import xml.etree.ElementTree as ET
from functools import cache
from itertools import combinations, pairwise, product

import pytest

from shroudwright.bench.arcs import Box
from shroudwright.bench.errors import InputError
from shroudwright.drawing.laid_lines import Drawn
from shroudwright.drawing.routing import Grid
from shroudwright.drawing.shapes import Path, Text, extents
from shroudwright.drawing.svg import svg
from shroudwright.drawing.symbols import symbol
from shroudwright.drawing.wiring_diagram import wiring_diagram
from shroudwright.wiring.harness import TERMINALS, Harness
from shroudwright.wiring.schemes import MOST_FANS, SCHEMES, Needs, harness

CASES = [
    (scheme, count, bare)
    for scheme, count, bare in product(SCHEMES, range(1, MOST_FANS + 1), (False, True))
    if count >= SCHEMES[scheme].fewest_fans and not (scheme == "series and parallel" and count % 2)
] + [("controller", 4, None), ("series and parallel", 2, None), ("pwm module", 1, None)]
"""Scheme, fans, and whether nothing else is asked; None asks for all and a water pump"""


@cache
def drawn(scheme: str, count: int, is_bare: bool | None) -> tuple[Harness, Drawn]:
    stages = tuple(1 + index % 2 if count > 1 else 1 for index in range(count))
    codes = tuple(f"Q{index + 10} fan" for index in range(count))
    pump = "water pump" if is_bare is None else ""
    made = harness(scheme, Needs(codes, stages, not is_bare, not is_bare, pump=pump))
    return made, wiring_diagram(made, {wire.tag: f"{wire.tag} 10" for wire in made.wires})


def touch(one: Box, two: Box) -> bool:
    return one.x1 < two.x2 and two.x1 < one.x2 and one.y1 < two.y2 and two.y1 < one.y2


def strokes(corners: tuple[tuple[int, int], ...]) -> list[Box]:
    return [Box(min(a, c), min(b, d), max(a, c), max(b, d)) for (a, b), (c, d) in pairwise(corners)]


@pytest.mark.law("every wire is drawn once, square, from its one symbol's edge to the other's, and carries its tag")
@pytest.mark.parametrize(("scheme", "count", "is_bare"), CASES)
def test_every_wire(scheme: str, count: int, is_bare: bool | None) -> None:
    made, diagram = drawn(scheme, count, is_bare)
    assert set(diagram.lines) == {wire.tag for wire in made.wires}
    assert diagram.untagged == ()
    words = [shape.words for shape in diagram.picture.shapes if isinstance(shape, Text)]
    for wire in made.wires:
        assert words.count(f"{wire.tag} 10") == 1
        corners = diagram.lines[wire.tag]
        for pin, (x, y) in ((wire.begins, corners[0]), (wire.ends, corners[-1])):
            around = diagram.symbols[pin.part]
            on_edge = x in (around.x1, around.x2) or y in (around.y1, around.y2)
            assert on_edge
            assert around.x1 <= x <= around.x2
            assert around.y1 <= y <= around.y2
            ports = symbol(made.part(pin.part).kind, post_height=int(around.y2 - around.y1)).ports[pin.terminal]
            assert (x - around.x1, y - around.y1) in [(port.x, port.y) for port in ports]
        assert all(a == c or b == d for (a, b), (c, d) in pairwise(corners))
    for part in made.parts:
        assert any(part.id in text.split() for text in words)


@pytest.mark.law("symbols, labels, tags and wires keep apart; wires cross straight over and never lie on each other")
@pytest.mark.parametrize(("scheme", "count", "is_bare"), CASES)
def test_nothing_collides(scheme: str, count: int, is_bare: bool | None) -> None:
    made, diagram = drawn(scheme, count, is_bare)
    symbols, words = list(diagram.symbols.values()), list(diagram.words)
    assert not any(touch(one, two) for one, two in combinations(symbols, 2))
    assert not any(touch(one, two) for one, two in combinations(words, 2))
    # A box's own name stands inside it; every other label and tag outside every symbol.
    boxed = [diagram.symbols[part.id] for part in made.of_kind("controller", "engine computer")]
    assert not any(touch(word, box) for word in words for box in symbols if box not in boxed)
    lines = {tag: strokes(corners) for tag, corners in diagram.lines.items()}
    for tag, run in lines.items():
        for stroke in run:
            around = Box(stroke.x1 - 1e-3, stroke.y1 - 1e-3, stroke.x2 + 1e-3, stroke.y2 + 1e-3)
            assert not any(touch(around, word) for word in words), tag
            inner = [Box(b.x1 + 1e-2, b.y1 + 1e-2, b.x2 - 1e-2, b.y2 - 1e-2) for b in symbols]
            assert not any(touch(around, box) for box in inner), tag
    for one, two in combinations(lines, 2):
        for a, b in product(lines[one], lines[two]):
            if a.x1 == a.x2 == b.x1 == b.x2:
                shared = min(a.y2, b.y2) - max(a.y1, b.y1)
            elif a.y1 == a.y2 == b.y1 == b.y2:
                shared = min(a.x2, b.x2) - max(a.x1, b.x1)
            else:
                continue
            # Wires of one terminal share the square next to it.
            assert shared <= 1.0, (one, two)


@pytest.mark.law("a hop wherever an upright wire crosses one across, none elsewhere")
@pytest.mark.parametrize("scheme", ["controller", "resistor", "pwm module"])
def test_hops(scheme: str) -> None:
    made, diagram = drawn(scheme, 3, False)
    crossings = 0
    for one, two in product(diagram.lines.values(), repeat=2):
        for a, b in product(strokes(one), strokes(two)):
            crossings += a.x1 == a.x2 and b.y1 == b.y2 and b.x1 < a.x1 < b.x2 and a.y1 < b.y1 < a.y2
    wires = [shape for shape in diagram.picture.shapes if isinstance(shape, Path)][-10 * len(made.wires) :]
    hops = sum(abs(vertex.bulge) == 1.0 for wire in wires for vertex in wire.corners if not wire.is_closed)
    assert hops == crossings
    assert crossings > 0


@pytest.mark.behaviour(
    "thick for what carries a fan, thin for coils and signals; letter and A4 across hold it, letters 1.2 mm"
)
@pytest.mark.parametrize(("scheme", "count"), [("controller", 1), ("series and parallel", 4), ("resistor", 4)])
def test_on_paper(scheme: str, count: int) -> None:
    made, diagram = drawn(scheme, count, False)
    reach = extents(diagram.picture.shapes)
    for wide, high in ((259.4, 185.0), (277.0, 180.0)):
        mm = min(wide / (reach.x2 - reach.x1), high / (reach.y2 - reach.y1))
        assert 0.5 * mm > 1.2
    root = ET.fromstring(svg(diagram.picture, 0.2594, 0.185))
    ways = root.findall(".//{http://www.w3.org/2000/svg}path")
    thick = [way for way in ways if way.attrib.get("stroke-width") == "0.7" and "Z" not in way.attrib["d"]]
    assert len(thick) == sum(bool(wire.fans) for wire in made.wires)


@pytest.mark.law("a symbol has a port for every terminal of its kind, on its edge, facing out")
def test_symbols() -> None:
    for kind, terminals in TERMINALS.items():
        if kind == "splice":
            continue
        drawing = symbol(kind)
        assert set(drawing.ports) == set(terminals)
        for ports in drawing.ports.values():
            for port in ports:
                x, y = port.x + port.dx, port.y + port.dy
                assert not (0 <= x <= drawing.width and 0 <= y <= drawing.height)
                assert abs(port.dx) + abs(port.dy) == 1


@pytest.mark.by_hand("round a wall with two turns; straight over a line; none left: said")
def test_grid() -> None:
    grid = Grid(0, 0, 10, 10)
    grid.block(3, 0, 3, 8)
    round_it = grid.lay([(0, 2)], [(6, 2)], ("a", "b"))
    assert len(round_it) == 4
    assert {y for _, y in round_it} == {2, 9}
    assert sum(abs(a - c) + abs(b - d) for (a, b), (c, d) in pairwise(round_it)) == 20
    way = Grid(0, 0, 10, 10)
    assert way.lay([(0, 5)], [(10, 5)], ("a", "b")) == [(0, 5), (10, 5)]
    assert way.lay([(4, 0)], [(4, 10)], ("c", "d")) == [(4, 0), (4, 10)]
    # Its own line is taken now: a third goes beside it.
    beside = way.lay([(2, 0)], [(4, 9)], ("e", "f"))
    assert all(not (a[0] == c[0] == 4 and abs(a[1] - c[1]) > 1) for a, c in pairwise(beside))
    shut = Grid(0, 0, 10, 10)
    shut.block(5, 0, 5, 10)
    with pytest.raises(InputError, match="no room on the sheet for the line from a to b"):
        shut.lay([(0, 5)], [(10, 5)], ("a", "b"))
