"""What is wrong with the wires, fuses and relays of several fans together, and with what is fitted.

Found          a code, where, and its numbers
wire_checks    ground, exhaust, gauge
fuse_checks    source to fuse, holder, starts, main fuse
relay_checks   shared relays, coils, starts

What one fan's circuit shows by itself is in `circuits`.

W05  ground through radiator or shroud          W06  SAE wire, thinner than AWG, [-]
W07  within 6 in of the exhaust, or no grommet  W46  ground thinner than the feed, [-]
W08  no fuse                                    W09  far from source to fuse, [m]
W13  surge over fuse I2t, [-]                   W17  one fuse for all fans
W18  main fuse under what runs, [A]             W19  a rating nobody makes, [A]
W20  fans on a shared relay, [A]                W21  current on 87a, [A]
W26  nothing tames a coil worked by electronics W27  plain diode and a hard start, [A]
W28  the coil's diode reversed                  W30  no fuse on the coils
W31  starts together, [A]                       W32  years its contacts last, [-]
"""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from shroudwright.materials.conductor import sae_over_awg
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring.fitted import Fitted, Switching
from shroudwright.wiring.fuse import RUNNING_SHARE, START_TIME, ratings
from shroudwright.wiring.relay import MOMENTARY, RELAY_SHARE, contact_life, relays
from shroudwright.wiring.sizing import FROM_SOURCE, main_ampacity, main_fuse
from shroudwright.wiring.wire import gauges

SHEATHED = 1.016
"""40 in, 33 CFR 183.455, [m]"""
FATIGUE_SHARE = 0.29
"""Of a fuse's I2t for 10 000 starts: a maker's pulse chart for short pulses, pessimistic here, [-]"""
FUSE_I2T = {"C": 3300.0, "E": 8500.0, "B": 20000.0}
"""Of a 40 A fuse, in proportion to the square of the rating; B from memory, [A**2 s]"""
STAGGER = 3.0
"""Between starts: common practice, no source, [s]"""
MOST_AT_ONCE = 100.0
HOURS_A_YEAR = 500.0
LEAST_YEARS = 5.0
CLOSED_SHARE = 0.75
"""Rating of the 87a contact over that of 87: 30 A of a 40 A relay, two data sheets, [-]"""
ELECTRONIC = ("controller", "computer and relays", "series and parallel", "resistor")
AT_ONCE = ("dash switch", "thermal switch")
RELAYS_IN = (*ELECTRONIC, *AT_ONCE, "two-stage thermal switch")


class Found(NamedTuple):
    """Something wrong."""

    code: str
    place: str
    measured: float | None = None
    limit: float | None = None
    wanted: float | None = None
    """what mends it, in the same unit"""
    detail: str = ""
    """as typed, where no number says it, [text]"""
    is_stop: bool = False
    """graver than the code's own level"""


def wire_checks(fitted: Fitted, circuits: Sequence[FanCircuit], insulation: float) -> Iterator[Found]:
    """Find what is wrong with the wires' ways.

    Parameters
    ----------
    fitted : Fitted
        As typed.
    circuits : sequence of FanCircuit
        Of every fan.
    insulation : float
        Temperature rating of the wire, [K]

    Yields
    ------
    Found
    """
    if fitted.ground_point in ("radiator", "shroud"):
        yield Found("W05", "electrical.ground_point", detail=f"The ground is typed as the {fitted.ground_point}.")
    if fitted.standard == "SAE" and circuits:
        yield Found("W06", "electrical.wire_standard", sae_over_awg(circuits[0].supply_gauge), 1.0)
    if fitted.is_near_exhaust:
        yield Found("W07", "electrical.near_exhaust", detail="A wire passes within 6 in (150 mm) of the exhaust.")
    if fitted.has_grommet is False:
        yield Found("W07", "electrical.grommets", detail="A wire passes a bare hole.")
    total, most = sum(circuit.highest_amps for circuit in circuits), main_ampacity(gauges("SAE")[-1], insulation)
    if len(circuits) > 1 and total > most:
        yield Found("W01", "main feed", total, most)
    for circuit in circuits:
        if circuit.ground_gauge > circuit.supply_gauge:
            yield Found("W46", circuit.name, circuit.ground_gauge, circuit.supply_gauge, circuit.supply_gauge)


def fuse_checks(fitted: Fitted, circuits: Sequence[FanCircuit]) -> Iterator[Found]:
    """Find what is wrong with the fuses.

    Parameters
    ----------
    fitted : Fitted
        As typed.
    circuits : sequence of FanCircuit
        Of every fan.

    Yields
    ------
    Found
    """
    if fitted.fused == "none":
        yield Found("W08", "electrical.fused", detail="No fuse is typed.")
    furthest = SHEATHED if fitted.is_sheathed else FROM_SOURCE
    if fitted.fuse_distance is not None and fitted.fuse_distance > furthest:
        yield Found("W09", "electrical.fuse_distance", fitted.fuse_distance, furthest, furthest)
    if fitted.fused == "all fans" and len(circuits) > 1:
        yield Found("W17", "electrical.fused", detail=f"One fuse feeds {len(circuits)} fans.")
    for circuit in circuits:
        share = surge(circuit) / (FUSE_I2T[circuit.fuse_kind] * (circuit.fuse_rating / 40.0) ** 2)
        if share > FATIGUE_SHARE and not circuit.is_brushless:
            yield Found("W13", circuit.name, share, FATIGUE_SHARE)
    if len(circuits) > 1:
        least = sum(circuit.highest_amps for circuit in circuits) / RUNNING_SHARE
        fuse = fitted.main_fuse or main_fuse(circuits)
        if fuse < least:
            yield Found("W18", "electrical.main_fuse", fuse, least, max(least, main_fuse(circuits)))
    if fitted.fuse_rating and circuits:
        made = ratings(circuits[0].fuse_kind)
        if fitted.fuse_rating not in made:
            nearest = min(made, key=lambda rating: abs(rating - fitted.fuse_rating))  # type: ignore[operator]
            yield Found("W19", "electrical.fuse_rating", fitted.fuse_rating, nearest, nearest)


def surge(circuit: FanCircuit) -> float:
    """Return the I2t of a start, up to twice the surge's time constant, [A**2 s]."""
    run, over, tau = circuit.highest_amps, circuit.start_amps - circuit.highest_amps, START_TIME
    gone = 1.0 - math.exp(-2.0)
    return 2.0 * tau * run**2 + 2.0 * run * over * tau * gone + 0.5 * over**2 * tau * (1.0 - math.exp(-4.0))


def relay_checks(
    fitted: Fitted,
    switching: Switching,
    circuits: Sequence[FanCircuit],
    stages: Sequence[int],
    cycles_per_hour: float | None = None,
) -> Iterator[Found]:
    """Find what is wrong with the relays; none where modules take their place.

    Parameters
    ----------
    fitted : Fitted
        As typed.
    switching : Switching
        What works the fans.
    circuits : sequence of FanCircuit
        Of every fan.
    stages : sequence of int
        Which starts first, for every fan.
    cycles_per_hour : float, optional
        Starts at the worst.

    Yields
    ------
    Found
    """
    if switching.scheme not in RELAYS_IN:
        return
    yield from _contacts(fitted, switching, circuits)
    yield from _coils(fitted, switching, circuits)
    groups = [range(len(circuits))] if switching.scheme in AT_ONCE else _by_stage(stages)
    at_once = max((sum(circuits[fan].start_amps for fan in group) for group in groups if len(group) > 1), default=0.0)
    if at_once > MOST_AT_ONCE and (switching.stagger or 0.0) < STAGGER:
        yield Found("W31", "control.stagger", at_once, MOST_AT_ONCE)
    if cycles_per_hour and (years := contact_life(cycles_per_hour, HOURS_A_YEAR)) < LEAST_YEARS:
        yield Found("W32", "control", years, LEAST_YEARS)


def _by_stage(stages: Sequence[int]) -> list[Sequence[int]]:
    return [[fan for fan, its in enumerate(stages) if its == stage] for stage in sorted(set(stages))]


def _contacts(fitted: Fitted, switching: Switching, circuits: Sequence[FanCircuit]) -> Iterator[Found]:
    if fitted.fans_per_relay > 1:
        step = fitted.fans_per_relay
        for group in (circuits[first : first + step] for first in range(0, len(circuits), step)):
            rating = fitted.relay_rating or max(circuit.relay_rating for circuit in group)
            amps = sum(circuit.highest_amps for circuit in group)
            names = " and ".join(circuit.name for circuit in group)
            if len(group) > 1 and amps > RELAY_SHARE * rating:
                is_stop = amps > rating
                limit = rating if is_stop else RELAY_SHARE * rating
                yield Found("W20", names, amps, limit, amps / RELAY_SHARE, is_stop=is_stop)
            start = sum(circuit.start_amps for circuit in group)
            if len(group) > 1 and start > MOMENTARY * rating:
                yield Found("W22", names, start, MOMENTARY * rating, start / MOMENTARY)
    if switching.scheme == "series and parallel":
        for circuit in circuits[::2]:
            low = circuit.highest_amps * 0.5 ** (2.0 * _slope(circuit))
            most = RELAY_SHARE * CLOSED_SHARE * circuit.relay_rating
            if low > most:
                yield Found("W21", circuit.name, low, most)


def _slope(circuit: FanCircuit) -> float:
    ratio = max(circuit.locked_amps / circuit.highest_amps, 1.0)
    return ratio / (ratio + 1.0)


def _coils(fitted: Fitted, switching: Switching, circuits: Sequence[FanCircuit]) -> Iterator[Found]:
    if fitted.coil == "none" and switching.scheme in ELECTRONIC:
        yield Found("W26", "electrical.coil", detail="The relays are typed without resistor, diode or clamp.")
    if fitted.coil == "diode":
        for circuit in circuits:
            momentary = _momentary(circuit.relay_rating)
            if circuit.start_amps > momentary:
                yield Found("W27", circuit.name, circuit.start_amps, momentary)
        if fitted.coil_plus == "85":
            yield Found("W28", "electrical.coil_plus", detail="Plus is typed on 85.")
    if fitted.coil_fuse == 0.0:
        yield Found("W30", "electrical.coil_fuse", detail="The coils' fuse is typed as 0 A.")


def _momentary(rating: float) -> float:
    return next((relay.momentary for relay in relays() if relay.rating == rating), MOMENTARY * rating)
