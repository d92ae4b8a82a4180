"""Symbols of a wiring diagram on a grid: what each looks like, where its terminals come out.

Symbol    size, ports and shapes of one kind of part
symbol    the symbol of a part
"""

import math
from collections.abc import Mapping
from typing import NamedTuple

from shroudwright.bench.arcs import Circle as Round
from shroudwright.bench.arcs import Vertex, circle_outline, moved, rectangle
from shroudwright.drawing.shapes import Circle, Line, Path, Shape, Text
from shroudwright.wiring.harness import TERMINALS, Kind

SMALL = 0.42
"""Height of terminal names, in squares of the grid."""


class Port(NamedTuple):
    """Where a terminal comes out of a symbol, and which way a line leaves it."""

    x: int
    y: int
    dx: int
    dy: int


class Symbol(NamedTuple):
    """A part as drawn, lower left at the origin, one square of the grid as the unit."""

    width: int
    height: int
    ports: Mapping[str, tuple[Port, ...]]
    shapes: tuple[Shape, ...]


def _box(width: float, height: float) -> Path:
    return Path(rectangle(width, height), "inner")


def _name(port: Port, words: str) -> Text:
    """A terminal's name, inside its edge."""
    if port.dx:
        return Text(port.x - 0.2 * port.dx, port.y - 0.5 * SMALL, words, SMALL, "end" if port.dx > 0 else "start")
    lift = -SMALL - 0.18 if port.dy > 0 else 0.18
    return Text(port.x, port.y + lift, words, SMALL, "middle")


def _battery() -> Symbol:
    plates: list[Shape] = [_box(5, 4)]
    for at in (1.6, 2.6):
        plates += [Line(at, 1.3, at, 2.7, "thin"), Line(at + 0.4, 1.6, at + 0.4, 2.4, "thick")]
    ports = {"+": (Port(5, 3, 1, 0), Port(5, 2, 1, 0), Port(5, 1, 1, 0)), "-": (Port(2, 0, 0, -1),)}
    return Symbol(5, 4, ports, (*plates, Text(4.4, 1.8, "+", 0.6, "middle"), Text(2, 0.25, "−", 0.6, "middle")))


def _post(height: int) -> Symbol:
    sides = [Port(0, y, -1, 0) for y in range(height + 1)] + [Port(1, y, 1, 0) for y in range(height + 1)]
    ports = (*sides, Port(0, 0, 0, -1), Port(1, 0, 0, -1))
    return Symbol(1, height, {"+": ports}, (Path(rectangle(1, height), "thick"),))


def _fuse() -> Symbol:
    wave = Path((Vertex(0.4, 1, -0.5), Vertex(1.5, 1, 0.5), Vertex(2.6, 1)), "thin", is_closed=False)
    ends = (Line(0, 1, 0.4, 1, "thin"), Line(2.6, 1, 3, 1, "thin"))
    ports = {"in": (Port(0, 1, -1, 0),), "out": (Port(3, 1, 1, 0),)}
    return Symbol(3, 2, ports, (Path(moved(rectangle(2.2, 1.2), 0.4, 0.4), "inner"), wave, *ends))


def _relay() -> Symbol:
    ports = {
        "30": (Port(0, 5, -1, 0),),
        "87": (Port(6, 5, 1, 0),),
        "87a": (Port(6, 4, 1, 0),),
        "86": (Port(1, 0, 0, -1),),
        "85": (Port(5, 0, 0, -1),),
    }
    shapes: list[Shape] = [_box(6, 6)]
    shapes += [_name(port, terminal) for terminal, (port,) in ports.items() if port.dy]
    shapes += [Text(0.35, 5.2, "30", SMALL), Text(5.85, 5.2, "87", SMALL, "end"), Text(5.85, 3.45, "87a", SMALL, "end")]
    # The blade rests on 87a and is pulled up to 87 by the coil below.
    shapes += [Line(1.3, 4.6, 4.2, 4.1, "thin"), Circle(1.3, 4.6, 0.12, "thin")]
    shapes += [Circle(4.3, 4.95, 0.12, "thin"), Circle(4.3, 4.1, 0.12, "thin")]
    shapes += [Line(0, 5, 1.3, 5, "thin"), Line(1.3, 5, 1.3, 4.6, "thin")]
    shapes += [Line(4.42, 4.95, 6, 5, "thin"), Line(4.42, 4.1, 6, 4, "thin")]
    shapes += [Path(moved(rectangle(2.4, 1.0), 1.8, 1.4), "inner"), Line(1.8, 1.4, 4.2, 2.4, "thin")]
    shapes += [Line(1, 0.75, 1, 1.9, "thin"), Line(1, 1.9, 1.8, 1.9, "thin")]
    shapes += [Line(5, 0.75, 5, 1.9, "thin"), Line(4.2, 1.9, 5, 1.9, "thin")]
    shapes += [Path((Vertex(3, 2.5), Vertex(3, 4.25)), "ref", is_closed=False)]
    return Symbol(6, 6, ports, tuple(shapes))


def _fan() -> Symbol:
    ports = {"+": (Port(0, 2, -1, 0),), "-": (Port(4, 2, 1, 0),), "signal": (Port(2, 0, 0, -1),)}
    blades = [
        Path((Vertex(2, 2, 0.6), Vertex(2 + 1.5 * math.cos(a), 2 + 1.5 * math.sin(a), 0.3)), "thin")
        for a in (math.radians(30), math.radians(150), math.radians(270))
    ]
    names = (Text(0.35, 2.3, "+", SMALL, "middle"), Text(3.65, 2.3, "−", SMALL, "middle"))
    return Symbol(4, 4, ports, (Circle(2, 2, 2, "inner"), *blades, Circle(2, 2, 0.3, "inner"), *names))


def _pump() -> Symbol:
    ports = {"+": (Port(0, 2, -1, 0),), "-": (Port(4, 2, 1, 0),)}
    wheel = (Line(1.0, 0.3, 3.9, 2.0, "thin"), Line(1.0, 3.7, 3.9, 2.0, "thin"))
    names = (Text(0.35, 2.3, "+", SMALL, "middle"), Text(3.65, 2.3, "−", SMALL, "middle"))
    return Symbol(4, 4, ports, (Circle(2, 2, 2, "inner"), *wheel, *names))


def _ground() -> Symbol:
    bars = [Line(1 - r, y, 1 + r, y, "inner") for r, y in ((0.9, 0.8), (0.55, 0.45), (0.2, 0.1))]
    return Symbol(2, 2, {"stud": (Port(1, 2, 0, 1),)}, (Line(1, 2, 1, 0.8, "thin"), *bars))


def _boxed(kind: Kind, width: int, height: int, ports: dict[str, Port]) -> Symbol:
    """A box with a name at every terminal."""
    assert set(ports) == set(TERMINALS[kind])
    names = [_name(port, terminal) for terminal, port in ports.items()]
    return Symbol(width, height, {name: (port,) for name, port in ports.items()}, (_box(width, height), *names))


def _controller() -> Symbol:
    ports = {
        "out 1": Port(3, 6, 0, 1),
        "out 2": Port(7, 6, 0, 1),
        "fan command": Port(11, 6, 0, 1),
        "feed": Port(0, 3, -1, 0),
        "ground": Port(3, 0, 0, -1),
        "sensor": Port(14, 5, 1, 0),
        "sensor return": Port(14, 3, 1, 0),
        "A/C": Port(14, 1, 1, 0),
    }
    return _boxed("controller", 14, 6, ports)


def _module() -> Symbol:
    ports = {
        "feed": Port(0, 4, -1, 0),
        "fan +": Port(8, 4, 1, 0),
        "enable": Port(1, 0, 0, -1),
        "command": Port(4, 0, 0, -1),
        "ground": Port(7, 0, 0, -1),
    }
    return _boxed("pwm module", 8, 5, ports)


def _computer() -> Symbol:
    ports = {
        "fan 1": Port(2, 6, 0, 1),
        "fan 2": Port(6, 6, 0, 1),
        "fan command": Port(11, 6, 0, 1),
        "sensor": Port(14, 4, 1, 0),
        "A/C": Port(14, 2, 1, 0),
    }
    return _boxed("engine computer", 14, 6, ports)


def _thermal_switch() -> Symbol:
    ports = {"1": (Port(1, 4, 0, 1),), "2": (Port(4, 4, 0, 1),), "ground": (Port(2, 0, 0, -1),)}
    shapes: list[Shape] = [_box(5, 4), *(_name(port[0], name) for name, port in ports.items() if name != "ground")]
    # Two bimetal blades that close onto the ground bar.
    shapes += [Line(0.8, 1.4, 4.2, 1.4, "thin"), Line(2, 0, 2, 1.4, "thin")]
    shapes += [Path((Vertex(x, 3.2, 0.2), Vertex(x + 0.45, 1.9)), "inner", is_closed=False) for x in (1.0, 4.0 - 0.45)]
    return Symbol(5, 4, ports, tuple(shapes))


def _sensor() -> Symbol:
    ports = {"a": (Port(0, 3, -1, 0),), "b": (Port(0, 1, -1, 0),)}
    shapes = (
        Circle(1.6, 2, 1.5, "inner"),
        Line(0, 3, 0.6, 3, "thin"),
        Line(0, 1, 0.6, 1, "thin"),
        Path(moved(rectangle(0.6, 1.6), 1.3, 1.2), "thin"),
        Line(0.8, 1.2, 2.4, 2.8, "thin"),
    )
    return Symbol(3, 4, ports, shapes)


def _dash_switch() -> Symbol:
    ports = {"1": (Port(0, 1, -1, 0),), "2": (Port(4, 1, 1, 0),)}
    shapes = (
        Line(0, 1, 1, 1, "thin"),
        Circle(1.12, 1, 0.12, "thin"),
        Line(1.2, 1.1, 2.9, 1.9, "inner"),
        Circle(2.88, 1, 0.12, "thin"),
        Line(3, 1, 4, 1, "thin"),
    )
    return Symbol(4, 2, ports, shapes)


def _lamp() -> Symbol:
    ports = {"1": (Port(0, 1, -1, 0),), "2": (Port(3, 1, 1, 0),)}
    slant = 0.9 * math.sqrt(0.5)
    shapes = (
        Line(0, 1, 0.6, 1, "thin"),
        Line(2.4, 1, 3, 1, "thin"),
        Path(circle_outline(Round(1.5, 1, 0.9)), "inner"),
        Line(1.5 - slant, 1 - slant, 1.5 + slant, 1 + slant, "thin"),
        Line(1.5 - slant, 1 + slant, 1.5 + slant, 1 - slant, "thin"),
    )
    return Symbol(3, 2, ports, shapes)


def _resistor() -> Symbol:
    ports = {"1": (Port(0, 1, -1, 0),), "2": (Port(4, 1, 1, 0),)}
    body = Path(moved(rectangle(2.6, 1.0), 0.7, 0.5), "inner")
    return Symbol(4, 2, ports, (body, Line(0, 1, 0.7, 1, "thin"), Line(3.3, 1, 4, 1, "thin")))


def _diode() -> Symbol:
    ports = {"anode": (Port(0, 1, -1, 0),), "cathode": (Port(3, 1, 1, 0),)}
    arrow = Path((Vertex(1, 1.6), Vertex(1, 0.4), Vertex(2, 1)), "inner", is_filled=True)
    return Symbol(
        3, 2, ports, (Line(0, 1, 1, 1, "thin"), arrow, Line(2, 1.6, 2, 0.4, "inner"), Line(2, 1, 3, 1, "thin"))
    )


def _source() -> Symbol:
    """Ignition, A/C clutch: a fed line from elsewhere in the vehicle."""
    flag = Path((Vertex(0, 0.3), Vertex(2, 0.3), Vertex(3, 1), Vertex(2, 1.7), Vertex(0, 1.7)), "inner")
    return Symbol(3, 2, {"on": (Port(3, 1, 1, 0),)}, (flag,))


def symbol(kind: Kind, *, post_height: int = 4) -> Symbol:
    """Return the symbol of a kind of part.

    Parameters
    ----------
    kind : str
        As `wiring.harness.Kind`, [text]
    post_height : int
        Of a power post, which is as long as what it feeds is apart, in squares, [-]

    Returns
    -------
    Symbol
    """
    if kind == "post":
        return _post(post_height)
    return _DRAWN[kind]


_DRAWN: dict[Kind, Symbol] = {
    "battery": _battery(),
    "ignition": _source(),
    "fuse": _fuse(),
    "relay": _relay(),
    "fan": _fan(),
    "water pump": _pump(),
    "controller": _controller(),
    "pwm module": _module(),
    "engine computer": _computer(),
    "thermal switch": _thermal_switch(),
    "sensor": _sensor(),
    "dash switch": _dash_switch(),
    "lamp": _lamp(),
    "resistor": _resistor(),
    "diode": _diode(),
    "ground": _ground(),
    "A/C request": _source(),
}
