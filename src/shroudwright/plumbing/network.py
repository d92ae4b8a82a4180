"""A cooling circuit as data: what stands where, which fitting is joined to which, and every line between.

Part      one thing with fittings
Line      a hose or line between two of them
Needs     what the circuit must have
Network   all of it
network   needs -> parts and lines
"""

from collections.abc import Iterator
from typing import Literal, NamedTuple, TypeAlias

Kind: TypeAlias = Literal[
    "core", "engine", "surge tank", "recovery bottle", "overflow tube", "heater", "gearbox", "air cooler"
]
FITTINGS: dict[Kind, tuple[str, ...]] = {
    "core": ("in", "out", "vent", "filler", "transmission in", "transmission out"),
    "engine": ("out", "pump", "feed", "vent", "filler", "heater feed", "heater return", "bypass out", "bypass in"),
    "surge tank": ("core vent", "engine vent", "feed", "overflow"),
    "recovery bottle": ("tube",),
    "overflow tube": ("tube",),
    "heater": ("in", "out"),
    "gearbox": ("out", "in"),
    "air cooler": ("in", "out"),
}
TRANSMISSION = "transmission"


class Part(NamedTuple):
    """One thing; ``id`` is used once."""

    id: str
    kind: Kind
    label: str


class Fitting(NamedTuple):
    """A neck or port of a part."""

    part: str
    name: str


class Line(NamedTuple):
    """A hose or line, the way its fluid goes."""

    number: int
    way: str
    begins: Fitting
    ends: Fitting


class Needs(NamedTuple):
    """What the circuit must have."""

    tank: str | None
    """surge tank, recovery bottle, none; None where nobody said"""
    has_engine_vent: bool
    has_core_vent: bool
    has_heater: bool
    has_bypass_hose: bool
    has_tank_overflow: bool
    """from a surge tank's cap"""
    trans_order: str | None
    is_cap_on_engine: bool = False
    """or in the upper hose, at the engine's outlet"""


class Network(NamedTuple):
    """Parts and lines."""

    parts: tuple[Part, ...]
    lines: tuple[Line, ...]


def network(needs: Needs) -> Network:
    """Put a circuit together.

    Parameters
    ----------
    needs : Needs
        What it must have.

    Returns
    -------
    Network
        Main hoses first; lines are numbered in that order.
    """
    parts = [Part("C1", "core", "core"), Part("E1", "engine", "engine")]
    if needs.tank == "surge tank":
        parts.append(Part("T1", "surge tank", "surge tank"))
        if needs.has_tank_overflow:
            parts.append(Part("O1", "overflow tube", "end of the tube"))
    elif needs.tank == "recovery bottle":
        parts.append(Part("T1", "recovery bottle", "recovery bottle"))
    else:
        label = "end of the tube" if needs.tank else "bottle, or end of the tube"
        parts.append(Part("T1", "overflow tube", label))
    if needs.has_heater:
        parts.append(Part("H1", "heater", "heater"))
    if needs.trans_order is not None:
        parts.append(Part("G1", "gearbox", "transmission"))
        if needs.trans_order != "tank only":
            parts.append(Part("A1", "air cooler", "cooler in the air"))
    joined = [*_coolant(needs), *_transmission(needs.trans_order)]
    lines = [
        Line(number, way, Fitting(*begins), Fitting(*ends))
        for number, (way, begins, ends) in enumerate(joined, start=1)
    ]
    return Network(tuple(parts), tuple(lines))


_Joint: TypeAlias = tuple[str, tuple[str, str], tuple[str, str]]


def _coolant(needs: Needs) -> Iterator[_Joint]:
    yield "engine to core", ("E1", "out"), ("C1", "in")
    yield "core to engine", ("C1", "out"), ("E1", "pump")
    if needs.tank == "surge tank":
        yield "tank to pump", ("T1", "feed"), ("E1", "feed")
        if needs.has_core_vent:
            yield "core vent", ("C1", "vent"), ("T1", "core vent")
        if needs.has_engine_vent:
            yield "engine vent", ("E1", "vent"), ("T1", "engine vent")
        if needs.has_tank_overflow:
            yield "overflow", ("T1", "overflow"), ("O1", "tube")
    else:
        yield "overflow", ("E1" if needs.is_cap_on_engine else "C1", "filler"), ("T1", "tube")
        if needs.has_engine_vent:
            yield "engine vent", ("E1", "vent"), ("C1", "vent")
    if needs.has_heater:
        yield "heater feed", ("E1", "heater feed"), ("H1", "in")
        yield "heater return", ("H1", "out"), ("E1", "heater return")
    if needs.has_bypass_hose:
        yield "bypass", ("E1", "bypass out"), ("E1", "bypass in")


def _transmission(order: str | None) -> Iterator[_Joint]:
    stops = {
        None: (),
        "tank first": ("C1", "A1"),
        "air first": ("A1", "C1"),
        "tank only": ("C1",),
        "air only": ("A1",),
    }[order]
    if not stops:
        return
    names = {"C1": ("transmission in", "transmission out"), "A1": ("in", "out")}
    at = ("G1", "out")
    for stop in stops:
        yield "transmission out", at, (stop, names[stop][0])
        at = (stop, names[stop][1])
    yield "transmission return", at, ("G1", "in")
