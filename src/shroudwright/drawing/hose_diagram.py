"""A cooling circuit drawn from its list: core on the left, engine on the right, tank above, transmission below.

Look            what of the parts is drawn that the list of lines does not say
hose_diagram    the picture of a circuit

Thick lines are the two main hoses, thin ones other coolant lines, dashed ones the transmission's. Heights on the page
are not heights in the vehicle.
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

from shroudwright.bench.arcs import Box, rectangle
from shroudwright.bench.arcs import moved as shifted
from shroudwright.drawing.laid_lines import CLEAR, Corners, Drawn, hopped, moved, straightened, tags
from shroudwright.drawing.routing import Grid, Node
from shroudwright.drawing.shapes import Circle, Line, Path, Pen, Picture, Shape, Text, arrow, extents
from shroudwright.drawing.symbols import SMALL, Port, Symbol
from shroudwright.plumbing.network import Kind, Network, Part
from shroudwright.plumbing.network import Line as Hose

_LETTERS = 0.6
_ARROW = 0.7
_MARGIN = 6
_MAIN = ("engine to core", "core to engine")
_PLACES: dict[str, tuple[int, int]] = {
    "C1": (18, 0),
    "E1": (50, 0),
    "H1": (78, 5),
    "G1": (50, -17),
    "A1": (2, -17),
}
_TANK: dict[Kind, tuple[int, int]] = {"surge tank": (36, 26), "recovery bottle": (4, 8), "overflow tube": (4, 12)}
_OVERFLOW_END = (54, 27)


class Look(NamedTuple):
    """What of the parts is drawn that the list of lines does not say."""

    inlet_side: str
    outlet_side: str
    has_upright_tubes: bool
    """tanks at top and bottom"""
    thermostat: str
    """outlet, inlet or none of the engine"""
    cap_place: str
    has_drain: bool
    necks: Mapping[str, str]
    """size of a neck, in words, by part and fitting"""


def hose_diagram(made: Network, look: Look, words_of: Mapping[int, str] | None = None) -> Drawn:
    """Lay a circuit out and draw it.

    Parameters
    ----------
    made : Network
        Parts and lines.
    look : Look
        Sides, tanks, thermostat and cap.
    words_of : mapping of int to str, optional
        What stands beside each line; its number where left out or where there is no room for more.

    Returns
    -------
    Drawn
        The picture's unit is one square of the grid, about 3 mm on letter or A4 paper.

    Raises
    ------
    InputError
        If the sheet is too small for it.
    """
    places = {part.id: _place(part) for part in made.parts}
    drawn = {part.id: _symbol(part, look) for part in made.parts}
    boxes = {part: Box(x, y, x + drawn[part].width, y + drawn[part].height) for part, (x, y) in places.items()}
    labels = [_label(part, boxes[part.id]) for part in made.parts]
    grid = _grid(boxes, places, drawn)
    for label in labels:
        around = extents([label])
        grid.block(around.x1 - CLEAR, math.floor(around.y1), around.x2 + CLEAR, math.ceil(around.y2))
    lines = {line.number: _lay(grid, line, places, drawn) for line in sorted(made.lines, key=_turn)}
    lines = {line.number: lines[line.number] for line in made.lines}
    pens = {line.number: _pen(line) for line in made.lines}
    shapes: list[Shape] = []
    for part in made.parts:
        shapes += [moved(shape, *places[part.id]) for shape in drawn[part.id].shapes]
    shapes += [*labels, *hopped(lines, pens)]
    heads = [_head(corners) for corners in lines.values()]
    shapes += heads
    texts = [extents([label]) for label in labels]
    tagged, untagged = tags(
        lines, pens, [*boxes.values(), *texts, *(extents([head]) for head in heads)], words_of or {}
    )
    shapes += tagged
    words = (*texts, *(extents([tag]) for tag in tagged))
    names = ", ".join(part.label for part in made.parts)
    says = f"{len(made.lines)} hoses and lines between {names}."
    return Drawn(Picture("Hoses and fittings", says, tuple(shapes)), boxes, words, lines, untagged)


def _place(part: Part) -> tuple[int, int]:
    """Lower left corner of a part."""
    if part.id == "O1":
        return _OVERFLOW_END
    return _PLACES.get(part.id) or _TANK[part.kind]


def _label(part: Part, around: Box) -> Text:
    """Name of a part: under small ones, in the middle of large ones."""
    middle = 0.5 * (around.x1 + around.x2)
    words = f"{part.id}  {part.label}"
    if part.kind in ("core", "engine"):
        return Text(middle, 0.5 * (around.y1 + around.y2), words, _LETTERS, "middle")
    return Text(middle, around.y1 - 1.0 if part.kind != "surge tank" else around.y2 + 1.2, words, _LETTERS, "middle")


def _grid(boxes: Mapping[str, Box], places: Mapping[str, tuple[int, int]], drawn: Mapping[str, Symbol]) -> Grid:
    left, bottom = min(box.x1 for box in boxes.values()), min(box.y1 for box in boxes.values())
    right, top = max(box.x2 for box in boxes.values()), max(box.y2 for box in boxes.values())
    grid = Grid(int(left) - _MARGIN, int(bottom) - _MARGIN, int(right) + _MARGIN, int(top) + _MARGIN)
    for box in boxes.values():
        grid.block(*box)
    for part, symbol in drawn.items():
        for name, ports in symbol.ports.items():
            for port in ports:
                node = _outside(port, places[part])
                grid.blocked.discard(node)
                grid.keep(node, f"{part}.{name}")
    return grid


def _outside(port: Port, at: tuple[int, int]) -> Node:
    return at[0] + port.x + port.dx, at[1] + port.y + port.dy


def _turn(line: Hose) -> tuple[bool, int]:
    """Main hoses first."""
    return line.way not in _MAIN, line.number


def _pen(line: Hose) -> Pen:
    if line.way in _MAIN:
        return "thick"
    return "bend" if line.way.startswith("transmission") else "thin"


def _lay(grid: Grid, line: Hose, places: Mapping[str, tuple[int, int]], drawn: Mapping[str, Symbol]) -> Corners:
    """Corners of a line, from edge to edge of its two symbols."""
    outside: list[dict[Node, Node]] = []
    for fitting in (line.begins, line.ends):
        at = places[fitting.part]
        ports = drawn[fitting.part].ports[fitting.name]
        outside.append({_outside(port, at): (at[0] + port.x, at[1] + port.y) for port in ports})
    nets = tuple(f"{fitting.part}.{fitting.name}" for fitting in (line.begins, line.ends))
    way = grid.lay(outside[0], outside[1], (nets[0], nets[1]))
    return straightened([outside[0][way[0]], *way, outside[1][way[-1]]])


def _head(corners: Corners) -> Path:
    """Arrow head where a line ends: the way its fluid goes."""
    (x1, y1), (x2, y2) = corners[-2:]
    return arrow(x2, y2, math.atan2(y2 - y1, x2 - x1), _ARROW, "inner")


def _symbol(part: Part, look: Look) -> Symbol:
    if part.kind == "core":
        return _core(look)
    if part.kind == "engine":
        return _engine(look)
    return _SMALL[part.kind](look)


def _inside(port: Port, words: str) -> Text:
    """A fitting's name, inside its edge."""
    if port.dx:
        return Text(port.x - 0.5 * port.dx, port.y - 0.5 * SMALL, words, SMALL, "end" if port.dx > 0 else "start")
    return Text(port.x, port.y - SMALL - 0.4 if port.dy > 0 else port.y + 0.4, words, SMALL, "middle")


def _edge(side: str, y: int, width: int) -> Port:
    return Port(width, y, 1, 0) if side == "right" else Port(0, y, -1, 0)


def _cap(x: float, y: float) -> tuple[Shape, ...]:
    """A pressure cap standing on an edge at y."""
    return Path(shifted(rectangle(1.6, 0.5), x - 0.8, y), "inner", is_filled=True), Text(
        x, y - 2.0 * SMALL - 0.5, "cap", SMALL, "middle"
    )


def _core(look: Look) -> Symbol:
    width, height, tank = 14, 18, 4
    below = look.has_upright_tubes
    cap_side = look.outlet_side if look.cap_place == "outlet tank" else look.inlet_side
    filler, vent = (Port(x, height, 0, 1) for x in ((12, 2) if cap_side == "right" else (2, 12)))
    ports = {
        "in": _edge(look.inlet_side, 15 if below else 14, width),
        "out": _edge(look.outlet_side, 2 if below else 4, width),
        "vent": vent,
        "filler": filler,
        "transmission in": Port(4, 0, 0, -1) if below else _edge(look.outlet_side, 9, width),
        "transmission out": Port(10, 0, 0, -1) if below else _edge(look.outlet_side, 7, width),
    }
    shapes: list[Shape] = [Path(rectangle(width, height), "inner")]
    if below:
        shapes += [Line(0, y, width, y, "thin") for y in (tank, height - tank)]
        shapes += [Line(x, tank + 0.3, x, height - tank - 0.3, "ref") for x in (1, width - 1)]
    else:
        shapes += [Line(x, 0, x, height, "thin") for x in (tank, width - tank)]
        shapes += [Line(tank + 0.3, y, width - tank - 0.3, y, "ref") for y in (1.5, height - 1)]
    names = {"in": "in", "out": "out"}
    shapes += [_inside(ports[name], look.necks.get(f"C1.{name}", words)) for name, words in names.items()]
    if look.cap_place in ("inlet tank", "outlet tank"):
        shapes += _cap(filler.x, height)
    if look.has_drain:
        shapes += [Text(0.5 * width, 0.4, "drain, low point", SMALL, "middle")]
    return Symbol(width, height, {name: (port,) for name, port in ports.items()}, tuple(shapes))


def _engine(look: Look) -> Symbol:
    width, height = 18, 17
    ports = {
        "out": (Port(0, 14, -1, 0),),
        "pump": (Port(0, 4, -1, 0),),
        "feed": (Port(0, 2, -1, 0),),
        "vent": (Port(6, height, 0, 1),),
        "filler": (Port(12, height, 0, 1),),
        "heater feed": (Port(width, 11, 1, 0),),
        "heater return": (Port(width, 6, 1, 0),),
        "bypass out": (Port(0, 11, -1, 0),),
        "bypass in": (Port(0, 7, -1, 0),),
    }
    shapes: list[Shape] = [Path(rectangle(width, height), "inner"), Circle(3, 3, 1.6, "inner")]
    shapes += [Text(3, 3 - 0.5 * SMALL, "pump", SMALL, "middle")]
    shapes += [_inside(ports["out"][0], look.necks.get("E1.out", "out"))]
    shapes += [Text(5.2, 3 - 0.5 * SMALL, look.necks.get("E1.pump", ""), SMALL)] if "E1.pump" in look.necks else []
    if look.thermostat in ("outlet", "inlet"):
        y = 12.4 if look.thermostat == "outlet" else 5.4
        shapes += [
            Path(shifted(rectangle(5.4, 1.0), 0.5, y), "thin"),
            Text(3.2, y + 0.3, "thermostat", SMALL, "middle"),
        ]
    if look.cap_place in ("engine", "upper hose"):
        shapes += _cap(12, height)
    return Symbol(width, height, ports, tuple(shapes))


def _surge_tank(look: Look) -> Symbol:
    ports = {
        "core vent": (Port(0, 3, -1, 0),),
        "engine vent": (Port(10, 1, 1, 0),),
        "overflow": (Port(10, 4, 1, 0),),
        "feed": (Port(4, 0, 0, -1),),
    }
    level = Line(0.3, 2.2, 9.7, 2.2, "ref")
    cap = _cap(5, 5) if look.cap_place == "surge tank" else ()
    shapes = (Path(rectangle(10, 5), "inner"), level, Text(5, 1.4, "cold level", SMALL, "middle"), *cap)
    return Symbol(10, 5, ports, shapes)


def _bottle(look: Look) -> Symbol:
    tube = Path(shifted(rectangle(0.3, 5.4), 2.85, 0.6), "thin")
    shapes = (Path(rectangle(6, 7), "inner"), Line(0.3, 2, 2.6, 2, "ref"), Line(0.3, 4.5, 2.6, 4.5, "ref"), tube)
    return Symbol(6, 7, {"tube": (Port(3, 7, 0, 1),)}, shapes)


def _tube_end(look: Look) -> Symbol:
    shapes = (Path(rectangle(4, 2), "ref"),)
    return Symbol(4, 2, {"tube": (Port(2, 2, 0, 1), Port(0, 1, -1, 0))}, shapes)


def _two(width: int, height: int, side: str, names: tuple[str, str]) -> Symbol:
    upper, lower = _edge(side, height - 2, width), _edge(side, 2, width)
    shapes = (Path(rectangle(width, height), "inner"), _inside(upper, names[0]), _inside(lower, names[1]))
    return Symbol(width, height, {names[0]: (upper,), names[1]: (lower,)}, shapes)


def _heater(look: Look) -> Symbol:
    return _two(8, 7, "left", ("in", "out"))


def _gearbox(look: Look) -> Symbol:
    return _two(14, 7, "left", ("out", "in"))


def _air_cooler(look: Look) -> Symbol:
    return _two(9, 9, "right", ("in", "out"))


_SMALL = {
    "surge tank": _surge_tank,
    "recovery bottle": _bottle,
    "overflow tube": _tube_end,
    "heater": _heater,
    "gearbox": _gearbox,
    "air cooler": _air_cooler,
}
