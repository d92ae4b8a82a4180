"""Every wire of a harness with its gauge, colour, length and ends, and the main fuse before several fans.

Runs       lengths of the stretches wires run through
Sized      one wire to cut
size       the wires of a harness
main_fuse  before several fans
plug_of    the terminal that carries a current
label      what a diagram prints beside a wire
"""

from collections.abc import Sequence
from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.catalogue.read import table
from shroudwright.materials.conductor import sae_area
from shroudwright.wiring.circuits import (
    FUSE_PLACE,
    NOTHING_FITTED,
    WORKING_VOLTS,
    FanCircuit,
    Segment,
    carries,
    gauge_of,
)
from shroudwright.wiring.fitted import Fitted
from shroudwright.wiring.fuse import RUNNING_SHARE, WIRE_RULE, Fuse, hot_rating
from shroudwright.wiring.harness import MOTORS, Harness, Part, Pin, Wire
from shroudwright.wiring.relay import coil_current, relays

CONTROL_GAUGE = 18.0
FROM_SOURCE = 0.1778
"""Most wire from a source to its fuse: 7 in, 33 CFR 183.455 for boats, a target, [m]"""
SPARE = 0.1
"""Cut over length, for two ends to strip and one mistake: common practice, no source, [m]"""
PLUG_SHARE = 0.8
"""Of a terminal's rating to use: common practice, no source, [-]"""
PLUGS = ((2.8, 15.0), (6.3, 22.0), (9.5, 37.0))
"""Width of a tab, mm, and what it carries in hot air, A: from memory"""
METRIC = (0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0)
"""Sizes of ISO 19642, from memory, mm2"""

STRAP = Pin("B1", "-")
AS_FITTED = "strap as fitted"
"""The battery's own ground carries the starter as well: it is drawn, not sized"""

_SHORT = 0.1524
_ENDS = {"fuse": "holder", "controller": "its plug", "engine computer": "its plug", "pwm module": "its plug"}
_SWITCHED = ("orange", "blue", "white", "violet")
_BY_BATTERY = 313.15


class Runs(NamedTuple):
    """How long the stretches of a job are."""

    hot: float
    """behind the core, [m]"""
    fender: float
    """[m]"""
    home: float
    """in the cabin or by the battery, [m]"""
    earth: float
    """from a fan to its stud, [m]"""
    control: float
    """from the relays to the dash, [m]"""


class Sized(NamedTuple):
    """One wire to cut."""

    number: int
    begins: str
    ends: str
    gauge: float
    """SAE or AWG; 0 for the battery's strap, [-]"""
    size: str
    """as bought"""
    colour: str
    length: float
    """[m]"""
    cut: float
    """length with something to spare, [m]"""
    amps: float
    """highest, [A]"""
    segment: str
    """stretches it runs through"""
    terminals: str
    """on its two ends"""


_WORDS = {
    "hot": "behind the core",
    "fender": "inner fender",
    "cabin": "to the dash",
    "home": "cabin or battery",
    "earth": "behind the core",
}


def metric_size(gauge: float) -> float:
    """Return the smallest metric size with no less copper than SAE wire of a gauge, [mm**2]."""
    area = 1e6 * sae_area(gauge)
    for size in METRIC:
        if size >= area:
            return size
    raise InputError([f"no metric wire kept is as thick as {gauge:g} gauge"])


def main_fuse(circuits: Sequence[FanCircuit]) -> float:
    """Return the rating of the fuse before several fans: large blade or bolt-down, [A].

    The smallest at which all of them run at 75 % where it sits, and no smaller than any branch fuse.

    Parameters
    ----------
    circuits : sequence of FanCircuit
        Two or more.

    Returns
    -------
    rating : float
        [A]

    Notes
    -----
    Limits: the largest kept where none is enough; `checks.fuse_checks` says so. Accuracy: to one size.

    References
    ----------
    Common practice, no source; heat as `fuse.hot_rating`.
    """
    total = sum(circuit.highest_amps for circuit in circuits)
    kept: list[float] = sorted({fuse.rating for fuse in table("fuses.csv", Fuse) if fuse.kind in ("E", "B")})
    for rating in kept:
        largest = max(circuit.fuse_rating for circuit in circuits)
        if rating >= largest and total <= RUNNING_SHARE * hot_rating(rating, FUSE_PLACE):
            return rating
    return kept[-1]


def plug_of(amps: float) -> str:
    """Return the narrowest tab that carries a current at 80 % of its rating, or a stud."""
    for width, rating in PLUGS:
        if amps <= PLUG_SHARE * rating:
            return f"{width:g} mm tab"
    return "ring on a stud"


def label(wire: Sized) -> str:
    """Return what a diagram prints beside a wire: number, size and colour."""
    return f"{wire.number} · {wire.size} {wire.colour}"


def size(
    made: Harness,
    circuits: Sequence[FanCircuit],
    runs: Runs,
    *,
    insulation: float,
    fitted: Fitted = NOTHING_FITTED,
) -> tuple[Sized, ...]:
    """Give every wire of a harness its gauge, colour, length, amps and ends.

    A wire of one fan has the gauge of that fan's circuit. One of several carries them all at once and suits the
    main fuse. Coils and signals have 18 gauge.

    Parameters
    ----------
    made : Harness
        Parts and wires.
    circuits : sequence of FanCircuit
        Of its fans, in order.
    runs : Runs
        Lengths.
    insulation : float
        Temperature rating of the wire, [K]
    fitted : Fitted
        For the standard wire is bought to, and a main fuse.

    Returns
    -------
    tuple of Sized
        In the order of the harness.

    Notes
    -----
    Limits: a fan's supply by `home` is shared out over the stretches by the battery; two wires of one loom. Metric
    wire is the next size with no less copper than the SAE gauge. Accuracy: lengths are the shop's own.

    References
    ----------
    As `circuits.fan_circuit`; colours and spare length common practice.
    """
    rating = (fitted.main_fuse or main_fuse(circuits)) if len(circuits) > 1 else 0.0
    short = _short(made, runs)
    return tuple(_sized(made, wire, circuits, runs, short, rating, insulation, fitted) for wire in made.wires)


def _supply(wire: Wire) -> bool:
    return wire.role == "power" and bool(wire.fans)


def _short(made: Harness, runs: Runs) -> float:
    """Length of a stretch by the battery; the long wires to the fans take what is left of it."""
    stretches = max(
        sum(_supply(wire) and wire.way == ("home",) and fan in wire.fans for wire in made.wires)
        for fan in range(len(made.of_kind(*MOTORS)))
    )
    return min(_SHORT, runs.home / (stretches + 1.0))


def _length(wire: Wire, made: Harness, runs: Runs, short: float) -> float:
    if _supply(wire) and "hot" in wire.way:
        first = wire.fans[0]
        before = sum(_supply(each) and each.way == ("home",) and first in each.fans for each in made.wires)
        home = runs.home - short * before if "home" in wire.way else 0.0
        return home + runs.hot + (runs.fender if "fender" in wire.way else 0.0)
    lengths = {"hot": runs.hot, "fender": runs.fender, "cabin": runs.control, "home": short, "earth": runs.earth}
    return sum(lengths[stretch] for stretch in wire.way)


def _amps(wire: Wire, circuits: Sequence[FanCircuit]) -> float:
    if wire.fans:
        return sum(circuits[fan].highest_amps for fan in wire.fans)
    return wire.coils * coil_current(WORKING_VOLTS, relays()[0].coil_resistance)


def _gauge(
    wire: Wire, circuits: Sequence[FanCircuit], length: float, rating: float, insulation: float, fitted: Fitted
) -> float:
    if not wire.fans:
        return CONTROL_GAUGE
    if len(wire.fans) == 1:
        circuit = circuits[wire.fans[0]]
        return circuit.ground_gauge if wire.role == "ground" else circuit.supply_gauge
    stretch = (Segment(_WORDS["home"], length, _BY_BATTERY, 1.0),)
    sizing = "AWG" if fitted.standard == "AWG" else "SAE"
    # As short as it is, copper for the whole fuse costs nothing: the 150 % rule is not used.
    return gauge_of(stretch, insulation, _amps(wire, circuits), WIRE_RULE * rating, sizing=sizing)


def main_ampacity(gauge: float, insulation: float, standard: str = "SAE") -> float:
    """Return what a wire by the battery, alone in its loom, carries, [A]."""
    stretch = (Segment(_WORDS["home"], 1.0, _BY_BATTERY, 1.0),)
    return carries(gauge, stretch, insulation, "AWG" if standard == "AWG" else "SAE")


def _colour(wire: Wire, made: Harness) -> str:
    begins = made.part(wire.begins.part)
    if wire.role == "ground" or made.part(wire.ends.part).kind == "ground":
        return "black"
    if wire.role == "signal":
        return "green"
    if wire.fans:
        switched = begins.kind in ("relay", "pwm module", "resistor", *MOTORS) and wire.begins.terminal != "30"
        return _SWITCHED[wire.fans[0] % len(_SWITCHED)] if switched else "red"
    fed = wire.ends.terminal in ("86", "in", "feed", "enable") or begins.kind in ("ignition", "fuse")
    return "red" if fed else f"{_SWITCHED[max(begins.stage, 1) - 1]} and black"


def _sized(
    made: Harness,
    wire: Wire,
    circuits: Sequence[FanCircuit],
    runs: Runs,
    short: float,
    rating: float,
    insulation: float,
    fitted: Fitted,
) -> Sized:
    length = _length(wire, made, runs, short)
    gauge = _gauge(wire, circuits, length, rating, insulation, fitted)
    amps = _amps(wire, circuits)
    if wire.begins == STRAP:
        bought, gauge = AS_FITTED, 0.0
    else:
        bought = _bought(gauge, fitted)
    ends = (wire.begins, wire.ends)
    return Sized(
        number=wire.tag,
        begins=_end(made, wire.begins),
        ends=_end(made, wire.ends),
        gauge=gauge,
        size=bought,
        colour=_colour(wire, made),
        length=length,
        cut=length + SPARE,
        amps=amps,
        segment=", ".join(dict.fromkeys(_WORDS[stretch] for stretch in wire.way)),
        terminals=", ".join(dict.fromkeys(_terminal(made.part(pin.part), wire, circuits, amps) for pin in ends)),
    )


def _bought(gauge: float, fitted: Fitted) -> str:
    return f"{metric_size(gauge):g} mm²" if fitted.standard == "metric" else f"{gauge:g} ga"


def _end(made: Harness, pin: Pin) -> str:
    part = made.part(pin.part)
    sign = pin.terminal.replace("-", "−") if part.kind == "battery" else pin.terminal
    return f"{part.label} ({part.id}) {pin.terminal}" if part.kind in MOTORS else f"{part.id} {sign}"


def _terminal(part: Part, wire: Wire, circuits: Sequence[FanCircuit], amps: float) -> str:
    if part.kind in ("battery", "post", "ground"):
        return "ring"
    if part.kind == "relay":
        is_large = bool(wire.fans) and circuits[wire.fans[0]].relay_rating > relays()[0].rating
        return "9.5 mm tab" if is_large else "6.3 mm tab"
    if part.kind in MOTORS:
        return f"sealed plug, {plug_of(amps)}"
    return _ENDS.get(part.kind) or plug_of(amps)
