"""What is wrong with what works the fans, with what feeds them, and where wire meets machine.

switch_checks    switches, outputs, modules
supply_checks    source, charge cable
machine_checks   plugs and looms

W23  a switch carries a fan, [A]                    W24  an engine computer's output carries a fan
W25  coils on one output, [A]                       W29  a relay is pulsed
W33  a broken wire leaves the fans off              W34  amps of a module, [A]
W35  case of a module, [K]                          W36  sense of the signal not known
W37  its frequency, [Hz]                            W38  least duty, [-]
W39  slope, [K rise]                                W42  charge cable, [A]
W43  fed through the ignition                       W44  runs while cranking
W45  no signal for a fan that governs itself        W47  a brushless fan on fewer volts
W61  plug of a fan, [A]                             W62  plug open to water
W63  loom through its grommet, [m]
"""

import math
from collections.abc import Iterator, Sequence

from shroudwright.materials.conductor import awg_area
from shroudwright.wiring.checks import Found
from shroudwright.wiring.circuits import FUSE_PLACE, WORKING_VOLTS, FanCircuit
from shroudwright.wiring.fitted import Fitted, Switching
from shroudwright.wiring.fuse import WIRE_RULE
from shroudwright.wiring.harness import Harness
from shroudwright.wiring.relay import coil_current, relays
from shroudwright.wiring.schemes import GIVES_SIGNAL
from shroudwright.wiring.sizing import PLUG_SHARE, main_ampacity

OUTPUT_RATING = 0.5
"""Of a controller's or engine computer's output: from memory, [A]"""
MODULE_SHARE = 0.8
MODULE_LIMIT = 358.15
MODULE_VOLTS = 0.2
MODULE_RISE = 2.5
"""Of a case bolted to metal, for a watt: common practice, no source, [K/W]"""
START_DUTY = 0.30
LEAST_SLOPE = 8.0 / 1.8
_JACKET = 1.6e-3
_SWITCHES = ("dash switch", "thermal switch", "two-stage thermal switch")
_MODULES = ("pwm module", "computer and pwm module")


def switch_checks(switching: Switching, circuits: Sequence[FanCircuit], made: Harness) -> Iterator[Found]:
    """Find what is wrong with what works the fans.

    Parameters
    ----------
    switching : Switching
        As typed.
    circuits : sequence of FanCircuit
        Of every fan.
    made : Harness
        Laid out.

    Yields
    ------
    Found
    """
    scheme = switching.scheme
    if switching.carries == "fans":
        amps = sum(circuit.highest_amps for circuit in circuits)
        if scheme not in _SWITCHES:
            yield Found("W24", "control.carries", detail=f"{amps:.0f} A of fans would hang on outputs made for coils.")
        elif switching.switch_rating is None or amps > switching.switch_rating:
            yield Found("W23", "control.carries", amps, switching.switch_rating or 0.0)
    if any(part.kind in ("controller", "engine computer") for part in made.parts):
        yield from _outputs(switching, made)
    has_relays = any(part.kind == "relay" for part in made.parts)
    if switching.output == "pulsed" and scheme not in _MODULES and has_relays:
        yield Found("W29", "control.output", detail=f"A pulsed output is typed with {scheme}.")
    if scheme in _SWITCHES[1:] and not switching.has_override:
        yield Found("W33", "control.override", detail="Nothing but the thermal switch starts the fans.")
    if scheme in _MODULES:
        yield from _modules(switching, circuits)
    for circuit in circuits:
        if circuit.is_brushless and scheme in ("resistor", "series and parallel", *_MODULES):
            yield Found("W47", circuit.name, detail=f"It governs its own speed; {scheme} cuts its volts.")
        elif circuit.is_brushless and scheme not in GIVES_SIGNAL:
            yield Found("W45", circuit.name, detail=f"Typed as brushless, with {scheme}.")


def _outputs(switching: Switching, made: Harness) -> Iterator[Found]:
    limit = switching.output_rating or OUTPUT_RATING
    coil = coil_current(WORKING_VOLTS, relays()[0].coil_resistance)
    for wire in made.at("U1"):
        pin = wire.begins if wire.begins.part == "U1" else wire.ends
        if pin.terminal in ("out 1", "out 2", "fan 1", "fan 2") and wire.coils * coil > limit:
            yield Found("W25", str(pin), wire.coils * coil, limit)


def _modules(switching: Switching, circuits: Sequence[FanCircuit]) -> Iterator[Found]:
    for circuit in circuits:
        if switching.module_rating and circuit.highest_amps > MODULE_SHARE * switching.module_rating:
            most = MODULE_SHARE * switching.module_rating
            yield Found("W34", circuit.name, circuit.highest_amps, most, circuit.highest_amps / MODULE_SHARE)
        case, limit = FUSE_PLACE + MODULE_VOLTS * MODULE_RISE * circuit.highest_amps, switching.module_limit
        if case > (limit or MODULE_LIMIT):
            yield Found("W35", circuit.name, case, limit or MODULE_LIMIT)
    if switching.scheme == "computer and pwm module" and switching.polarity is None:
        yield Found("W36", "control.polarity", detail="Nothing says whether more signal means faster or slower.")
    if switching.frequency is not None and switching.frequency_range is not None:
        low, high = switching.frequency_range
        if not low <= switching.frequency <= high:
            yield Found(
                "W37",
                "control.frequency",
                detail=f"{switching.frequency:g} Hz is sent; the module takes {low:g} to {high:g} Hz.",
            )
    start = switching.start_duty or START_DUTY
    if switching.least_duty is not None and switching.least_duty < start:
        yield Found("W38", "control.least_duty", switching.least_duty, start, start)
    if switching.slope is not None and switching.slope < LEAST_SLOPE - 1e-9:
        yield Found("W39", "control.slope", switching.slope, LEAST_SLOPE)
    if switching.dead_band == 0.0:
        yield Found("W39", "control.dead_band", detail="No dead band is typed.")


def supply_checks(
    fitted: Fitted, switching: Switching, insulation: float, alternator_rating: float | None
) -> Iterator[Found]:
    """Find what is wrong with what feeds the fans.

    Parameters
    ----------
    fitted : Fitted
        As typed.
    switching : Switching
        As typed.
    insulation : float
        Temperature rating of the charge cable, [K]
    alternator_rating : float or None
        On its case, [A]

    Yields
    ------
    Found
    """
    if fitted.charge_gauge is not None:
        carried = main_ampacity(fitted.charge_gauge, insulation, "AWG")
        if alternator_rating is not None and alternator_rating > carried:
            yield Found("W42", "electrical.charge_gauge", alternator_rating, carried)
        if fitted.charge_fuse is not None and fitted.charge_fuse > WIRE_RULE * carried:
            yield Found("W42", "electrical.charge_fuse", fitted.charge_fuse, WIRE_RULE * carried)
    if fitted.supply_point in ("ignition switch", "accessory fuse"):
        yield Found("W43", "electrical.supply_point", detail=f"Fan power is typed from the {fitted.supply_point}.")
    if switching.is_off_in_crank is False:
        yield Found("W44", "control.crank_inhibit", detail="Typed as not held off.")


def machine_checks(fitted: Fitted, circuits: Sequence[FanCircuit], grommet: float | None = None) -> Iterator[Found]:
    """Find what is wrong where wire meets machine.

    Parameters
    ----------
    fitted : Fitted
        As typed.
    circuits : sequence of FanCircuit
        Of every fan.
    grommet : float, optional
        Hole for all leads in the shroud, [m]

    Yields
    ------
    Found
    """
    for circuit in circuits:
        if fitted.connector_rating and circuit.highest_amps > PLUG_SHARE * fitted.connector_rating:
            most = PLUG_SHARE * fitted.connector_rating
            yield Found("W61", circuit.name, circuit.highest_amps, most, circuit.highest_amps / PLUG_SHARE)
        if fitted.connector_gauge is not None and circuit.supply_gauge > fitted.connector_gauge:
            yield Found(
                "W61",
                circuit.name,
                wanted=circuit.highest_amps / PLUG_SHARE,
                detail=f"{circuit.supply_gauge:g} gauge on a plug rated with {fitted.connector_gauge:g} gauge.",
            )
    if fitted.is_connector_sealed is False:
        yield Found("W62", "electrical.connector_sealed", detail="Typed as not sealed.")
    if grommet is not None and circuits and (loom := loom_diameter(circuits)) > grommet:
        yield Found("W63", "shroud.grommet", loom, grommet, loom)


def loom_diameter(circuits: Sequence[FanCircuit]) -> float:
    """Return the diameter of all fans' leads in one loom, a quarter over the circle of the same area, [m]."""
    across = [2.0 * math.sqrt(awg_area(c.supply_gauge) / math.pi) + _JACKET for c in circuits]
    return 1.25 * math.sqrt(sum(2.0 * each**2 for each in across))
