"""A fan's circuit from post to ground.

Segment       a stretch of wire: how long, how hot, in what company
fan_circuit   gauge, fuse, relay and volts of one fan

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

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

from shroudwright.bench.errors import InputError
from shroudwright.materials.conductor import gauge_resistance
from shroudwright.wiring.fitted import Fitted
from shroudwright.wiring.fuse import RUNNING_SHARE, START_TIME, WIRE_RULE, hot_rating, opens_at_start, ratings
from shroudwright.wiring.relay import MOMENTARY, RELAY_SHARE, Relay, relays
from shroudwright.wiring.wire import HOT_COPPER, derated_ampacity, gauges

WORKING_VOLTS = 13.5
HIGHEST_VOLTS = 14.4
FUSE_PLACE = 333.15
"""Air at the fuse box: common practice, no source, [K]"""
SOFT_START = 1.8
"""Peak of a soft start of 2 s over the running amps, from a computed start: order of magnitude, [-]"""

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


NOTHING_FITTED = Fitted()

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
    """at 14.4 V, no wires in the way; less with a soft start, [A]"""
    locked_amps: float
    """of a jammed fan at 14.4 V, [A]"""
    insulation: float
    """temperature rating of its wire, [K]"""
    supply_gauge: float
    """SAE, or AWG where wire is bought to it, [-]"""
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
    """one to a fan; none where no relay kept is enough or a module takes its place, [-]"""
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
HOLDERS = {"C": 30.0, "E": 60.0}
_STUCK = {"C": 1.6, "E": 2.0}
_FUSE_VOLTS = {"C": 0.096, "E": 0.075}
_CONTACT = 5e-3
_JOINTS = 3e-3
_HOT_FUSE = 338.15
_MARGIN = 20.0
_FULL_SPEED_VOLTS = 11.0
_SOFT = 2.0


def _current_ratio(volts: float, test_volts: float, start_ratio: float, is_brushless: bool) -> float:
    """Brushed I ~ V^(2 s / (s + 1)); brushless I ~ N^3 / V, at full speed from 11 V up."""
    if is_brushless:
        return max(_FULL_SPEED_VOLTS / test_volts, 1.0) ** 3 * test_volts / volts
    return float((volts / test_volts) ** (2.0 * start_ratio / (start_ratio + 1.0)))


def carries(gauge: float, run: Sequence[Segment], insulation: float, sizing: str = "SAE") -> float:
    """Return the ampacity of the worst stretch; a hot crossing under a foot counts the next stretch's loom, [A]."""
    carried = []
    for here, following in zip(run, (*run[1:], run[-1]), strict=True):
        is_crossing = here.length < _FOOT and here.ambient > following.ambient
        count = following.bundle_count if is_crossing else here.bundle_count
        carried.append(derated_ampacity(gauge, insulation, here.ambient, count, sizing))
    return min(carried)


def _length(run: Sequence[Segment]) -> float:
    return sum(segment.length for segment in run)


def wire_resistance(gauge: float, run: Sequence[Segment], sizing: str) -> float:
    """Resistance of a run of hot copper, [ohm]."""
    return _length(run) * gauge_resistance(gauge, sizing, HOT_COPPER)


def _fuse(working: float, highest: float, start: float, place: float) -> tuple[str, float]:
    """Smallest that runs cool, stands the start and has a holder; large blades from 15 A up."""
    kinds = ("E",) if working >= _LARGE_BLADE_FROM else ("C", "E")
    for kind in kinds:
        for rating in ratings(kind):
            runs = highest <= RUNNING_SHARE * hot_rating(rating, place)
            held = kind == "E" or rating <= HOLDERS[kind]
            if runs and held and not opens_at_start(kind, rating, highest, start, START_TIME):
                return kind, rating
    return "E", ratings("E")[-1]


def gauge_of(
    run: Sequence[Segment],
    insulation: float,
    highest: float,
    fuse: float,
    resistance: float = math.inf,
    sizing: str = "SAE",
) -> float:
    """Return the thinnest gauge that carries the current, suits the fuse and keeps to a resistance, or the thickest."""
    for gauge in gauges(sizing):
        carried = carries(gauge, run, insulation, sizing)
        if carried >= highest and fuse <= WIRE_RULE * carried and wire_resistance(gauge, run, sizing) <= resistance:
            return gauge
    return gauges(sizing)[-1]


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
    fitted: Fitted = NOTHING_FITTED,
    has_relay: bool = True,
    soft_start: float = 0.0,
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
    fitted : Fitted
        What is there already stands, right or wrong.
    has_relay : bool
        False where a solid-state module feeds it.
    soft_start : float
        Time a module takes to bring it up; 2 s or more halve the start, [s]

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
    locked = start_ratio * (highest if is_brushless else run_amps * HIGHEST_VOLTS / test_volts)
    start = min(locked, SOFT_START * highest) if soft_start >= _SOFT else locked
    kind, rating = _fuse(working, highest, start, fuse_place)
    if fitted.fuse_rating or fitted.fuse_kind:
        kind, rating = fitted.fuse_kind or kind, fitted.fuse_rating or rating
    sizing = "AWG" if fitted.standard == "AWG" else "SAE"
    share = _WIRE_SHARE * WORKING_VOLTS / working / (_length(segments) + _length(ground))
    supply = fitted.gauge
    if supply is None:
        supply = gauge_of(segments, insulation, highest, rating, share * _length(segments), sizing)
    back = fitted.ground_gauge
    if back is None:
        back = min(supply, gauge_of(ground, insulation, highest, 0.0, share * _length(ground), sizing))
    relay = _relay(highest, start)
    if fitted.relay_rating:
        relay = relay._replace(rating=fitted.relay_rating, momentary=MOMENTARY * fitted.relay_rating)
    earth = wire_resistance(back, ground, sizing)
    path = wire_resistance(supply, segments, sizing) + earth + _FUSE_VOLTS[kind] / rating + _CONTACT + _JOINTS
    carried = carries(supply, segments, insulation, sizing)
    hottest = max(segment.ambient for segment in (*segments, *ground))
    clears = is_brushless or fitted.has_cut_out or locked >= _STUCK[kind] * rating
    findings = [
        *_over("W01", highest, min(carried, carries(back, ground, insulation, sizing))),
        *([("W02", insulation, hottest + _MARGIN)] if insulation < hottest + _MARGIN else []),
        *_over("W03", path * working, 0.5, 0.8),
        *_over("W04", earth * working, 0.1),
        *_over("W10", rating / max(carried, 1e-9), 1.0, WIRE_RULE),
        *_over("W11", highest, RUNNING_SHARE * hot_rating(rating, fuse_place)),
        *([("W12", start, rating)] if opens_at_start(kind, rating, highest, start, START_TIME) else []),
        *([] if clears else [("W14", locked, _STUCK[kind] * rating)]),
        *_over("W15", fuse_place, _HOT_FUSE),
        *_over("W16", rating, fitted.holder_rating or HOLDERS[kind]),
    ]
    if has_relay:
        findings += [*_over("W20", highest, RELAY_SHARE * relay.rating, relay.rating)]
        findings += [*_over("W22", start, relay.momentary)]
    return FanCircuit(
        name=name,
        is_brushless=is_brushless,
        segments=segments,
        ground=ground,
        working_amps=working,
        highest_amps=highest,
        start_amps=start,
        locked_amps=locked,
        insulation=insulation,
        supply_gauge=supply,
        ground_gauge=back,
        supply_ampacity=carried,
        fuse_kind=kind,
        fuse_rating=rating,
        needs_150_rule=carried < rating <= WIRE_RULE * carried,
        relay_rating=relay.rating,
        relay_count=int(has_relay and highest <= RELAY_SHARE * relay.rating),
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
