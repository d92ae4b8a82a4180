"""A wiring diagram laid out from its harness: power from left to right, a row to a fan; what switches it below.

wiring_diagram   the picture of a harness

Thick lines carry fans, thin ones work coils and signals. Every wire of the harness is drawn once, with its tag.
"""

import math
from collections.abc import Callable, Mapping

from shroudwright.bench.arcs import Box, rectangle
from shroudwright.bench.arcs import moved as shifted
from shroudwright.drawing.laid_lines import CLEAR, Drawn, hopped, moved, straightened, tags
from shroudwright.drawing.routing import Grid, Node
from shroudwright.drawing.shapes import Path, Pen, Picture, Shape, Text, extents
from shroudwright.drawing.symbols import Port, Symbol, symbol
from shroudwright.wiring.harness import MOTORS, Harness, Part, Pin, Wire

_LETTERS = 0.55
_MARGIN = 6
_COLUMNS = {"battery": 0, "main": 9, "post": 16, "fuse": 21, "first": 29, "second": 41, "resistor": 53, "fan": 62}
_GROUND_ASIDE, _GROUND_DROP = 7, 4
_ROW, _HIGH_ROW = 11, 13
_LONGEST: dict[str, int] = {"fuse": 9, "relay": 12, "resistor": 10, "pwm module": 14}
"""Letters of a label on what stands close together; 24 elsewhere"""


def wiring_diagram(made: Harness, words_of: Mapping[int, str] | None = None) -> Drawn:
    """Lay a harness out and draw it.

    Parameters
    ----------
    made : Harness
        Parts and wires.
    words_of : mapping of int to str, optional
        What stands beside each wire; its number where left out or where there is no room for more.

    Returns
    -------
    Drawn
        The picture's unit is one square of the grid, about 3 mm on letter or A4 paper.

    Raises
    ------
    InputError
        If the sheet is too small for it.
    """
    places = _places(made)
    drawn = {part.id: symbol(part.kind, post_height=_post_height(made)) for part in made.parts}
    boxes = {part: Box(x, y, x + drawn[part].width, y + drawn[part].height) for part, (x, y) in places.items()}
    labels = [label for part in made.parts for label in _labels(part, boxes[part.id])]
    grid = _grid(made, places, drawn, boxes, labels)
    lines = {wire.tag: _lay(grid, wire, places, drawn) for wire in sorted(made.wires, key=_turn(places))}
    shapes: list[Shape] = []
    for part in made.parts:
        shapes += [moved(shape, *places[part.id]) for shape in drawn[part.id].shapes]
    shapes += labels
    lines = {wire.tag: lines[wire.tag] for wire in made.wires}
    pens = {wire.tag: _pen(wire) for wire in made.wires}
    shapes += hopped(lines, pens)
    shapes += _dots(made, lines)
    texts = [extents([label]) for label in labels]
    tagged, untagged = tags(lines, pens, [*boxes.values(), *texts], words_of or {})
    shapes += tagged
    words = (*texts, *(extents([tag]) for tag in tagged))
    fans = ", ".join(motor.label for motor in made.of_kind(*MOTORS))
    says = f"{made.scheme}: {len(made.parts)} parts and {len(made.wires)} wires for {fans}."
    return Drawn(Picture("Wiring diagram", says, tuple(shapes)), boxes, words, lines, untagged)


def _rows(made: Harness) -> list[int]:
    """Bottom of each fan's row, the first fan on top."""
    count = len(made.of_kind(*MOTORS))
    high = _HIGH_ROW if made.scheme in ("series and parallel", "resistor") else _ROW
    return [high * (count - 1 - index) for index in range(count)]


def _places(made: Harness) -> dict[str, tuple[int, int]]:
    """Lower left corner of every part."""
    rows = _rows(made)
    middle = _post_height(made) // 2
    places: dict[str, tuple[int, int]] = {"B1": (_COLUMNS["battery"], middle - 2), "G0": (1, middle - 8)}
    if any(part.id == "F9" for part in made.parts):
        places |= {"F9": (_COLUMNS["main"], middle - 1), "P1": (_COLUMNS["post"], 0)}
    for index, bottom in enumerate(rows):
        number = index + 1
        places |= {
            f"F{number}": (_COLUMNS["fuse"], bottom + 4),
            f"K{number}": (_COLUMNS["first"], bottom),
            f"U{number + 1}": (_COLUMNS["first"], bottom + 1),
            f"K{number}h": (_COLUMNS["second"], bottom),
            f"K{number}c": (_COLUMNS["second"], bottom - 3),
            f"R{number}": (_COLUMNS["resistor"], bottom + 1),
            f"M{number}": (_COLUMNS["fan"], bottom + 3),
            f"G{number}": (_COLUMNS["fan"] + _GROUND_ASIDE, bottom + 5 - _GROUND_DROP),
            f"H{number}": (_COLUMNS["first"] + 10, bottom - 1),
        }
    kept = {part.id for part in made.parts}
    places = {part: at for part, at in places.items() if part in kept}
    _below(made, places)
    return places


_FIRST_ROW = {"S1": 0, "F0": 12, "T1": 31, "S3": 31, "U1": 25, "N1": 47, "A1": 60}
_PUMP_ROW = {"S5": 0, "F8": 12, "G9": 24}
_SECOND_ROW = {"D1": 6, "D2": 6, "S2": 16, "L1": 26, "L2": 26, "G7": 36, "G6": 44, "K8": 52, "G8": 64}


def _below(made: Harness, places: dict[str, tuple[int, int]]) -> None:
    """What switches the fans, in two rows under them; what switches a pump, under that."""
    first, second, last = -12, -22, -31
    for part in made.parts:
        if part.id in places:
            continue
        if part.id in _FIRST_ROW:
            places[part.id] = _FIRST_ROW[part.id], first
        elif part.id in _PUMP_ROW:
            places[part.id] = _PUMP_ROW[part.id], last
        else:
            lift = 4 if part.id == "D2" else 0
            places[part.id] = _SECOND_ROW[part.id], second + lift


def _post_height(made: Harness) -> int:
    return _rows(made)[0] + 6


def _short(words: str, kind: str) -> str:
    most = _LONGEST.get(kind, 24)
    return words if len(words) <= most else words[: most - 1] + "…"


def _labels(part: Part, around: Box) -> list[Text]:
    """Id and label over a part."""
    if part.kind == "ground":
        return [Text(around.x2 + 0.2, around.y1 + 0.2, part.id, _LETTERS, "start")]
    if part.kind in ("controller", "engine computer"):
        return [Text(0.5 * (around.x1 + around.x2), around.y1 + 3.2, f"{part.id}  {part.label}", _LETTERS, "middle")]
    if part.kind == "thermal switch":
        return [Text(around.x2 + 0.4, around.y1 + 1.7, f"{part.id}  {part.label}", _LETTERS, "start")]
    words = part.label.rpartition(", ")[2] if part.kind in ("fuse", "relay", "resistor", "pwm module") else part.label
    return [
        Text(
            0.5 * (around.x1 + around.x2),
            around.y2 + 0.25,
            f"{part.id}  {_short(words, part.kind)}",
            _LETTERS,
            "middle",
        )
    ]


def _grid(
    made: Harness,
    places: dict[str, tuple[int, int]],
    drawn: dict[str, Symbol],
    boxes: dict[str, Box],
    labels: list[Text],
) -> Grid:
    left, bottom = min(box.x1 for box in boxes.values()), min(box.y1 for box in boxes.values())
    right, top = max(box.x2 for box in boxes.values()), max(box.y2 for box in boxes.values())
    grid = Grid(int(left) - _MARGIN, int(bottom) - _MARGIN, int(right) + _MARGIN, int(top) + _MARGIN)
    for box in boxes.values():
        grid.block(*box)
    for label in labels:
        around = extents([label])
        # Up to the next level line: an upright wire would pass between two of them.
        grid.block(around.x1 - CLEAR, math.floor(around.y1), around.x2 + CLEAR, math.ceil(around.y2))
    for part in made.parts:
        for terminal, ports in drawn[part.id].ports.items():
            for port in ports:
                node = _outside(port, places[part.id])
                grid.blocked.discard(node)
                if part.kind != "post":
                    grid.keep(node, str(Pin(part.id, terminal)))
    return grid


def _outside(port: Port, at: tuple[int, int]) -> Node:
    return at[0] + port.x + port.dx, at[1] + port.y + port.dy


def _turn(places: dict[str, tuple[int, int]]) -> Callable[[Wire], tuple[bool, int]]:
    """Power first, and short lines before long ones."""

    def key(wire: Wire) -> tuple[bool, int]:
        (x1, y1), (x2, y2) = places[wire.begins.part], places[wire.ends.part]
        return not wire.fans, abs(x1 - x2) + abs(y1 - y2)

    return key


def _lay(grid: Grid, wire: Wire, places: dict[str, tuple[int, int]], drawn: dict[str, Symbol]) -> tuple[Node, ...]:
    """Corners of a wire, from edge to edge of its two symbols."""
    outside: list[dict[Node, Node]] = []
    for pin in (wire.begins, wire.ends):
        at = places[pin.part]
        outside.append(
            {_outside(port, at): (at[0] + port.x, at[1] + port.y) for port in drawn[pin.part].ports[pin.terminal]}
        )
    way = grid.lay(outside[0], outside[1], (str(wire.begins), str(wire.ends)))
    corners = [outside[0][way[0]], *way, outside[1][way[-1]]]
    return straightened(corners)


def _pen(wire: Wire) -> Pen:
    return "thick" if wire.fans else "thin"


def _dots(made: Harness, lines: dict[int, tuple[Node, ...]]) -> list[Shape]:
    """A dot where several wires meet on one terminal."""
    ends: dict[tuple[Pin, Node], int] = {}
    for wire in made.wires:
        for pin, node in ((wire.begins, lines[wire.tag][0]), (wire.ends, lines[wire.tag][-1])):
            ends[pin, node] = ends.get((pin, node), 0) + 1
    return [
        Path(shifted(rectangle(0.36, 0.36, 0.18), node[0] - 0.18, node[1] - 0.18), "thick", is_filled=True)
        for (_, node), count in ends.items()
        if count > 1
    ]
