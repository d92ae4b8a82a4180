"""A wiring diagram laid out from its harness: power from left to right, a row to a fan; what switches it below.

Drawn            a diagram and the boxes that must not touch, for whoever checks it
wiring_diagram   the picture of a harness

Thick lines carry fans, thin ones work coils and signals. Every wire of the harness is drawn once, with its tag.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from shroudwright.bench.arcs import Box, Vertex, rectangle
from shroudwright.bench.arcs import moved as shifted
from shroudwright.drawing.routing import Grid, Node
from shroudwright.drawing.shapes import Circle, Line, Path, Pen, Picture, Shape, Text, extents
from shroudwright.drawing.symbols import Port, Symbol, symbol
from shroudwright.wiring.harness import Harness, Part, Pin, Wire

_LETTERS, _TAGS = 0.55, 0.5
_CLEAR, _THICK = 0.12, 0.15
_HOP = 0.3
_ASIDE, _ASIDE_THICK = 0.35, 0.43
"""Of a tag from its wire"""
_MARGIN = 6
_COLUMNS = {"battery": 0, "main": 9, "post": 16, "fuse": 21, "first": 29, "second": 41, "resistor": 53, "fan": 62}
_GROUND_ASIDE, _GROUND_DROP = 7, 4
_ROW, _HIGH_ROW = 11, 13
_LONGEST: dict[str, int] = {"fuse": 9, "relay": 12, "resistor": 10, "pwm module": 14}
"""Letters of a label on what stands close together; 24 elsewhere"""


@dataclass(frozen=True)
class Drawn:
    """A diagram, and what on it must keep apart."""

    picture: Picture
    symbols: dict[str, Box]
    """by part, in squares of the grid"""
    words: tuple[Box, ...]
    """labels and tags"""
    lines: dict[int, tuple[Node, ...]]
    """corners of every wire by its tag"""
    untagged: tuple[int, ...]
    """wires beside which no tag found room"""


def wiring_diagram(made: Harness, tags: Mapping[int, str] | None = None) -> Drawn:
    """Lay a harness out and draw it.

    Parameters
    ----------
    made : Harness
        Parts and wires.
    tags : mapping of int to str, optional
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
        shapes += [_moved(shape, *places[part.id]) for shape in drawn[part.id].shapes]
    shapes += labels
    shapes += _wires(made, lines)
    shapes += _dots(made, lines)
    texts = [extents([label]) for label in labels]
    tagged, untagged = _tags(made, lines, boxes, texts, tags or {})
    shapes += tagged
    words = (*texts, *(extents([tag]) for tag in tagged))
    fans = ", ".join(fan.label for fan in made.of_kind("fan"))
    says = f"{made.scheme}: {len(made.parts)} parts and {len(made.wires)} wires for {fans}."
    return Drawn(Picture("Wiring diagram", says, tuple(shapes)), boxes, words, lines, untagged)


def _rows(made: Harness) -> list[int]:
    """Bottom of each fan's row, the first fan on top."""
    count = len(made.of_kind("fan"))
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
_SECOND_ROW = {"D1": 6, "D2": 6, "S2": 16, "L1": 26, "L2": 26, "G7": 36, "G6": 44, "K8": 52, "G8": 64}


def _below(made: Harness, places: dict[str, tuple[int, int]]) -> None:
    """What switches the fans, in two rows under them."""
    first, second = -12, -22
    for part in made.parts:
        if part.id in places:
            continue
        if part.id in _FIRST_ROW:
            places[part.id] = _FIRST_ROW[part.id], first
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
        grid.block(around.x1 - _CLEAR, math.floor(around.y1), around.x2 + _CLEAR, math.ceil(around.y2))
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
    return tuple(_straightened(corners))


def _straightened(corners: list[Node]) -> list[Node]:
    kept = [corners[0]]
    for before, at, after in zip(corners[:-2], corners[1:-1], corners[2:], strict=True):
        straight = (at[0] - before[0]) * (after[1] - at[1]) == (at[1] - before[1]) * (after[0] - at[0])
        if not straight and at != kept[-1]:
            kept.append(at)
    kept.append(corners[-1])
    return kept


def _pen(wire: Wire) -> Pen:
    return "thick" if wire.fans else "thin"


def _wires(made: Harness, lines: dict[int, tuple[Node, ...]]) -> list[Shape]:
    """Every wire; an upright one hops over those across."""
    across = [
        (min(x1, x2), max(x1, x2), y1)
        for corners in lines.values()
        for (x1, y1), (x2, y2) in pairwise(corners)
        if y1 == y2
    ]
    shapes: list[Shape] = []
    for wire in made.wires:
        pen = _pen(wire)
        points: list[Vertex] = []
        for (x1, y1), (x2, y2) in pairwise(lines[wire.tag]):
            points.append(Vertex(x1, y1))
            if x1 == x2:
                way = 1 if y2 > y1 else -1
                met = [y for low, high, y in across if low < x1 < high and min(y1, y2) < y < max(y1, y2)]
                for y in sorted(met, reverse=way < 0):
                    points += [Vertex(x1, y - way * _HOP, float(-way)), Vertex(x1, y + way * _HOP)]
        points.append(Vertex(*lines[wire.tag][-1]))
        shapes.append(Path(tuple(points), pen, is_closed=False))
    return shapes


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


def _tags(
    made: Harness,
    lines: dict[int, tuple[Node, ...]],
    boxes: dict[str, Box],
    texts: list[Box],
    tags: Mapping[int, str],
) -> tuple[list[Text], tuple[int, ...]]:
    """A tag beside every wire, where it covers nothing: along its longest stretches first."""
    taken = [*boxes.values(), *texts]
    strokes = [
        Box(min(x1, x2) - thick, min(y1, y2) - thick, max(x1, x2) + thick, max(y1, y2) + thick)
        for wire in made.wires
        for (x1, y1), (x2, y2) in pairwise(lines[wire.tag])
        for thick in (_THICK if wire.fans else 0.0,)
    ]
    placed: list[Text] = []
    untagged: list[int] = []
    # Those with the least room choose first.
    for wire in sorted(made.wires, key=lambda wire: _run(lines[wire.tag])):
        aside = _ASIDE_THICK if wire.fans else _ASIDE
        # All that is to be said where there is room, else the number alone.
        full = _spots(lines[wire.tag], tags.get(wire.tag, str(wire.tag)), aside)
        for text in (*full, *_spots(lines[wire.tag], str(wire.tag), aside)):
            around = extents([text])
            if not any(_touch(around, other, _CLEAR) for other in taken + strokes):
                placed.append(text)
                taken.append(around)
                break
        else:
            untagged.append(wire.tag)
    return placed, tuple(untagged)


def _run(corners: tuple[Node, ...]) -> int:
    return sum(abs(x1 - x2) + abs(y1 - y2) for (x1, y1), (x2, y2) in pairwise(corners))


def _spots(corners: tuple[Node, ...], words: str, aside: float) -> list[Text]:
    """Where a tag may stand: over or under a level stretch, left or right of an upright one."""
    stretches = sorted(pairwise(corners), key=lambda pair: -abs(pair[0][0] - pair[1][0]) - abs(pair[0][1] - pair[1][1]))
    spots = []
    for (x1, y1), (x2, y2) in stretches:
        length = max(abs(x2 - x1), abs(y2 - y1))
        steps = [0.5 + (index + 1) // 2 * (0.5 / max(length, 1)) * (-1) ** index for index in range(2 * length)]
        for share in steps:
            x, y = x1 + share * (x2 - x1), y1 + share * (y2 - y1)
            if y1 == y2:
                spots += [
                    Text(x, y + aside, words, _TAGS, "middle"),
                    Text(x, y - aside - _TAGS, words, _TAGS, "middle"),
                ]
            else:
                turned = 0.5 * math.pi
                spots += [
                    Text(x - aside, y, words, _TAGS, "middle", turned),
                    Text(x + aside + _TAGS, y, words, _TAGS, "middle", turned),
                ]
    return spots


def _touch(one: Box, two: Box, gap: float) -> bool:
    return one.x1 < two.x2 + gap and two.x1 < one.x2 + gap and one.y1 < two.y2 + gap and two.y1 < one.y2 + gap


def _moved(shape: Shape, x: float, y: float) -> Shape:
    match shape:
        case Line(x1, y1, x2, y2, pen):
            return Line(x1 + x, y1 + y, x2 + x, y2 + y, pen)
        case Circle(at_x, at_y, radius, pen):
            return Circle(at_x + x, at_y + y, radius, pen)
        case Path(corners, pen, is_closed, is_filled):
            return Path(shifted(corners, x, y), pen, is_closed, is_filled)
        case Text(at_x, at_y, words, height, anchor, angle, pen):
            return Text(at_x + x, at_y + y, words, height, anchor, angle, pen)
    raise TypeError(shape)
