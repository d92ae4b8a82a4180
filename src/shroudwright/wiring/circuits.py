"""A fan's circuit from post to ground, and the list of its wires.

Segment       a stretch of wire: how long, how hot, in what company
fan_circuit   gauge, fuse, relay and volts of one fan
wire_list     every wire of every circuit, numbered

A finding is (code, measured, limit):

W01  a wire too small for the current, [A]
W02  insulation with less than 20 K in hand, [K]
W03  volts lost in the circuit: over 0.5 poor, over 0.8 too many, [V]
W04  volts lost in the ground wire, [V]
W10  fuse over ampacity of its wire: over 1 by the 150 % rule, over 1.5 not at all, [-]
W11  no fuse kept runs at the current, [A]
W12  the start may open the fuse, amps against its rating, [A]
W14  a jammed fan may not open the fuse, [A]
W15  the fuse sits in a hot place, [K]
W16  a fuse too large for its holder, [A]
W20  no relay kept runs at the current: over 70 % of its rating, [A]
W22  a start over what the relay passes for a moment, [A]
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from shroudwright.bench.errors import InputError
from shroudwright.materials.conductor import gauge_resistance
from shroudwright.wiring.fuse import RUNNING_SHARE, START_TIME, WIRE_RULE, hot_rating, opens_at_start, ratings
from shroudwright.wiring.relay import RELAY_SHARE, Relay, relays
from shroudwright.wiring.wire import HOT_COPPER, derated_ampacity, gauges

WORKING_VOLTS = 13.5
HIGHEST_VOLTS = 14.4
FUSE_PLACE = 333.15
"""Air at the fuse box: common practice, no source, [K]"""
COIL_FUSE = 5.0
COIL_CURRENT = 0.15

Finding: TypeAlias = tuple[str, float, float]


class Segment(NamedTuple):
    """A stretch of wire."""

    name: str
    length: float
    """[m]"""
    ambient: float
    """air round it, [K]"""
    bundle_count: float
    """wires loaded at once in its loom, [-]"""


SUPPLY = (
    Segment("behind the core", 0.4572, 358.15, 2.0),
    Segment("inner fender", 1.2192, 333.15, 2.0),
    Segment("cabin or battery", 0.6096, 313.15, 2.0),
)
GROUND = (Segment("behind the core", 0.762, 358.15, 2.0),)


@dataclass(frozen=True)
class FanCircuit:
    """What feeds one fan."""

    name: str
    is_brushless: bool
    segments: tuple[Segment, ...]
    """supply, from the fan to the battery"""
    ground: tuple[Segment, ...]
    """from the fan to its stud"""
    working_amps: float
    """at 13.5 V, [A]"""
    highest_amps: float
    """at 14.4 V, [A]"""
    start_amps: float
    """at 14.4 V, no wires in the way, [A]"""
    supply_gauge: float
    """SAE, [-]"""
    ground_gauge: float
    """SAE, [-]"""
    supply_ampacity: float
    """of its worst stretch, [A]"""
    fuse_kind: str
    """C standard blade, E large blade, [text]"""
    fuse_rating: float
    """[A]"""
    needs_150_rule: bool
    """whether the fuse is over the wire's ampacity, as 33 CFR 183.455(c)(1) allows up to 150 %"""
    relay_rating: float
    """[A]"""
    relay_count: int
    """one to a fan; none where no relay kept is enough, [-]"""
    path_resistance: float
    """wires out and back, fuse, relay and joints, [ohm]"""
    drop: float
    """of the whole circuit at the working amps, [V]"""
    ground_drop: float
    """of the ground wire alone, [V]"""
    volts_at_fan: float
    """with 13.5 V at the post, [V]"""
    findings: tuple[Finding, ...]


_FOOT = 0.3048
_WIRE_SHARE = 0.03
_LARGE_BLADE_FROM = 15.0
_HOLDERS = {"C": 30.0, "E": 60.0}
_STUCK = {"C": 1.6, "E": 2.0}
_FUSE_VOLTS = {"C": 0.096, "E": 0.075}
_CONTACT = 5e-3
_JOINTS = 3e-3
_HOT_FUSE = 338.15
_MARGIN = 20.0
_FULL_SPEED_VOLTS = 11.0


def _current_ratio(volts: float, test_volts: float, start_ratio: float, is_brushless: bool) -> float:
    """Brushed I ~ V^(2 s / (s + 1)); brushless I ~ N^3 / V, at full speed from 11 V up."""
    if is_brushless:
        return max(_FULL_SPEED_VOLTS / test_volts, 1.0) ** 3 * test_volts / volts
    return float((volts / test_volts) ** (2.0 * start_ratio / (start_ratio + 1.0)))


def _carries(gauge: float, run: Sequence[Segment], insulation: float) -> float:
    """Ampacity of the worst stretch; a hot crossing under a foot counts the next stretch's loom."""
    carried = []
    for here, following in zip(run, (*run[1:], run[-1]), strict=True):
        is_crossing = here.length < _FOOT and here.ambient > following.ambient
        count = following.bundle_count if is_crossing else here.bundle_count
        carried.append(derated_ampacity(gauge, insulation, here.ambient, count, "SAE"))
    return min(carried)


def _length(run: Sequence[Segment]) -> float:
    return sum(segment.length for segment in run)


def _wire_resistance(gauge: float, run: Sequence[Segment]) -> float:
    return _length(run) * gauge_resistance(gauge, "SAE", HOT_COPPER)


def _fuse(working: float, highest: float, start: float, place: float) -> tuple[str, float]:
    """Smallest that runs cool, stands the start and has a holder; large blades from 15 A up."""
    kinds = ("E",) if working >= _LARGE_BLADE_FROM else ("C", "E")
    for kind in kinds:
        for rating in ratings(kind):
            runs = highest <= RUNNING_SHARE * hot_rating(rating, place)
            held = kind == "E" or rating <= _HOLDERS[kind]
            if runs and held and not opens_at_start(kind, rating, highest, start, START_TIME):
                return kind, rating
    return "E", ratings("E")[-1]


def _gauge(run: Sequence[Segment], insulation: float, highest: float, resistance: float, fuse: float) -> float:
    """Thinnest that carries the current, suits the fuse and keeps to a resistance; else the thickest."""
    for gauge in gauges("SAE"):
        carried = _carries(gauge, run, insulation)
        if carried >= highest and fuse <= WIRE_RULE * carried and _wire_resistance(gauge, run) <= resistance:
            return gauge
    return gauges("SAE")[-1]


def _relay(highest: float, start: float) -> Relay:
    """Smallest for running and start; else for running; else the largest."""
    run = [relay for relay in relays() if highest <= RELAY_SHARE * relay.rating]
    both = [relay for relay in run if start <= relay.momentary]
    return (both or run or [relays()[-1]])[0]


def fan_circuit(
    *,
    name: str,
    run_amps: float,
    test_volts: float,
    start_ratio: float,
    is_brushless: bool,
    insulation: float = 398.15,
    segments: tuple[Segment, ...] = SUPPLY,
    ground: tuple[Segment, ...] = GROUND,
    fuse_place: float = FUSE_PLACE,
) -> FanCircuit:
    """Size one fan's circuit from its highest amps, those at 14.4 V.

    Wire: the thinnest SAE gauge whose every stretch carries those amps, that loses 3 % of 13.5 V or less, and
    whose ampacity is two thirds of the fuse or more; the ground no thinner than the supply. Fuse: runs at 75 %
    of its rating where it sits and stands the start. Relay: runs at 70 %.

    Parameters
    ----------
    name : str
        Of the fan.
    run_amps : float
        At the test's volts and the hottest point of its amps curve, [A]
    test_volts : float
        [V]
    start_ratio : float
        Start over run amps, [-]
    is_brushless : bool
        Whether it governs its own speed.
    insulation : float
        Temperature rating of the wire, [K]
    segments : tuple of Segment
        Supply, from the fan to the battery; those of no length are left out.
    ground : tuple of Segment
        From the fan to its stud; a body return is measured.
    fuse_place : float
        Air at the fuse, [K]

    Returns
    -------
    FanCircuit
        With its findings.

    Raises
    ------
    InputError
        If the insulation's rating is below 60 degC, or supply or ground has no length.

    Notes
    -----
    Limits: 12 V systems; copper at 80 degC; one relay and one fuse to a fan. Start amps leave the wires out,
    which overstates them by a tenth or so. Accuracy: volts lost 20 %, from the joints.

    References
    ----------
    33 CFR 183.425 and 183.455, read in public copies; joints, contact, holder and running shares common practice.
    """
    segments, ground = (tuple(each for each in run if each.length > 0.0) for run in (segments, ground))
    if not (segments and ground):
        raise InputError([f"{name}: its supply and its ground both need a length"])
    working, highest = (
        run_amps * _current_ratio(volts, test_volts, start_ratio, is_brushless)
        for volts in (WORKING_VOLTS, HIGHEST_VOLTS)
    )
    start = start_ratio * (highest if is_brushless else run_amps * HIGHEST_VOLTS / test_volts)
    kind, rating = _fuse(working, highest, start, fuse_place)
    share = _WIRE_SHARE * WORKING_VOLTS / working / (_length(segments) + _length(ground))
    supply = _gauge(segments, insulation, highest, share * _length(segments), rating)
    back = min(supply, _gauge(ground, insulation, highest, share * _length(ground), 0.0))
    relay = _relay(highest, start)
    earth = _wire_resistance(back, ground)
    path = _wire_resistance(supply, segments) + earth + _FUSE_VOLTS[kind] / rating + _CONTACT + _JOINTS
    carried = _carries(supply, segments, insulation)
    hottest = max(segment.ambient for segment in (*segments, *ground))
    findings = [
        *_over("W01", highest, min(carried, _carries(back, ground, insulation))),
        *([("W02", insulation, hottest + _MARGIN)] if insulation < hottest + _MARGIN else []),
        *_over("W03", path * working, 0.5, 0.8),
        *_over("W04", earth * working, 0.1),
        *_over("W10", rating / max(carried, 1e-9), 1.0, WIRE_RULE),
        *_over("W11", highest, RUNNING_SHARE * hot_rating(rating, fuse_place)),
        *([("W12", start, rating)] if opens_at_start(kind, rating, highest, start, START_TIME) else []),
        *([("W14", start, _STUCK[kind] * rating)] if not is_brushless and start < _STUCK[kind] * rating else []),
        *_over("W15", fuse_place, _HOT_FUSE),
        *_over("W16", rating, _HOLDERS[kind]),
        *_over("W20", highest, RELAY_SHARE * relay.rating, relay.rating),
        *_over("W22", start, relay.momentary),
    ]
    return FanCircuit(
        name=name,
        is_brushless=is_brushless,
        segments=segments,
        ground=ground,
        working_amps=working,
        highest_amps=highest,
        start_amps=start,
        supply_gauge=supply,
        ground_gauge=back,
        supply_ampacity=carried,
        fuse_kind=kind,
        fuse_rating=rating,
        needs_150_rule=carried < rating <= WIRE_RULE * carried,
        relay_rating=relay.rating,
        relay_count=int(highest <= RELAY_SHARE * relay.rating),
        path_resistance=path,
        drop=path * working,
        ground_drop=earth * working,
        volts_at_fan=WORKING_VOLTS - path * working,
        findings=tuple(findings),
    )


def _over(code: str, measured: float, *limits: float) -> list[Finding]:
    """Return the finding with the highest limit passed, if any is."""
    passed = [limit for limit in limits if measured > limit]
    return [(code, measured, passed[-1])] if passed else []


@dataclass(frozen=True)
class Wire:
    """One wire to cut."""

    number: int
    """hundreds count the fans; below 100 what they share"""
    begins: str
    ends: str
    gauge: float
    """SAE, [-]"""
    colour: str
    length: float
    """[m]"""
    amps: float
    """highest, [A]"""
    segment: str
    """stretches it runs through, hottest first"""


_CONTROL_GAUGE = 18.0
_SWITCHED = ("orange", "blue", "white", "violet")
_FROM_POST = 0.1778
_TO_RELAY = 0.1524


def wire_list(circuits: Sequence[FanCircuit], source: str = "battery post") -> tuple[Wire, ...]:
    """List every wire of the fans' circuits, numbered, with the two ends it joins.

    Fan n has fuse Fn, relay Kn (30 from the fuse, 87 to the fan, 86 fed, 85 to the controller) and stud Gn;
    F0 is the 5 A fuse of all coils. Fuses sit within 7 in of the post.

    Parameters
    ----------
    circuits : sequence of FanCircuit
        In order.
    source : str
        Where power is taken: the battery or alternator post.

    Returns
    -------
    tuple of Wire
        Red fused feed, other colours switched, black ground.
    """
    home = circuits[0].segments[-1] if circuits else Segment("", 0.0, 0.0, 0.0)
    feed = min(_FROM_POST, home.length / 3.0)
    coils = COIL_CURRENT * len(circuits)
    shared = [Wire(1, source, "F0", _CONTROL_GAUGE, "red", feed, coils, home.name)] if circuits else []
    return (*shared, *(wire for place, circuit in enumerate(circuits, 1) for wire in _wires_of(place, circuit, source)))


def _wires_of(place: int, circuit: FanCircuit, source: str) -> Iterator[Wire]:
    home = circuit.segments[-1]
    feed, bridge = min(_FROM_POST, home.length / 3.0), min(_TO_RELAY, home.length / 3.0)
    out = _length(circuit.segments) - feed - bridge
    way = ", ".join(segment.name for segment in circuit.segments)
    amps, supply = circuit.highest_amps, circuit.supply_gauge
    fuse, relay = f"F{place}", f"K{place}"
    switched = _SWITCHED[(place - 1) % len(_SWITCHED)]
    number = 100 * place
    yield Wire(number + 1, source, fuse, supply, "red", feed, amps, home.name)
    yield Wire(number + 2, fuse, f"{relay}.30", supply, "red", bridge, amps, home.name)
    yield Wire(number + 3, f"{relay}.87", f"{circuit.name} +", supply, switched, out, amps, way)
    ground = ", ".join(segment.name for segment in circuit.ground)
    earth = _length(circuit.ground)
    yield Wire(number + 4, f"{circuit.name} -", f"G{place}", circuit.ground_gauge, "black", earth, amps, ground)
    yield Wire(number + 5, "F0", f"{relay}.86", _CONTROL_GAUGE, "red", bridge, COIL_CURRENT, home.name)
    coil = f"{switched} and black"
    yield Wire(
        number + 6, f"{relay}.85", f"controller {place}", _CONTROL_GAUGE, coil, home.length, COIL_CURRENT, home.name
    )
    if circuit.is_brushless:
        length = _length(circuit.segments)
        yield Wire(
            number + 7, f"controller {place}", f"{circuit.name} signal", _CONTROL_GAUGE, "green", length, 0.0, way
        )
