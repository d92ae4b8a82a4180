"""How a job's fans are controlled: temperatures against its hottest standing case, and the rules beside them.

settings_of    job and cases -> when fans start and stop
cycle_of       shortest time from start to start
rules_of       what is wrong with requests, cuts, running on and faults
"""

from collections.abc import Sequence

from shroudwright.assessment import CaseAnswer
from shroudwright.bench.errors import InputError
from shroudwright.control.cycling import least_cycle
from shroudwright.control.found import Found
from shroudwright.control.rules import Rules, rule_findings
from shroudwright.control.settings import Settings, settings
from shroudwright.heat.accessories import heat_store
from shroudwright.job.circuits import STANDING
from shroudwright.job.filled import Filled
from shroudwright.job.quantity import Reading
from shroudwright.job.wiring import MODULES, has_second
from shroudwright.wiring.circuits import FanCircuit


def _v(reading: Reading | None) -> float | None:
    return None if reading is None else reading.value


def settings_of(filled: Filled, cases: Sequence[CaseAnswer]) -> Settings | None:
    """Settings against the hottest standing case that has a steady state; none without fans or thermostat.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    cases : sequence of CaseAnswer
        Every driving case, judged.

    Returns
    -------
    Settings or None
    """
    place = str(filled.word("circuit.thermostat_place"))
    steady = [case for case in cases if case.coolant_in is not None and case.coolant_out is not None]
    standing = [case for case in steady if case.kind in STANDING] or steady
    if not filled.job.fans or place == "none" or not standing:
        return None
    case = max(standing, key=lambda item: item.coolant_in.value if item.coolant_in else 0.0)
    assert case.coolant_in is not None
    assert case.coolant_out is not None
    typed = filled.job.control
    return settings(
        thermostat_opens=float(filled["circuit.thermostat_opens"][0]),
        thermostat_span=float(filled["circuit.thermostat_span"][0]),
        thermostat_place=place,
        sensor_place=str(filled.word("control.sensor_place")),
        settled=case.coolant_in.value,
        coolant_drop=case.coolant_in.value - case.coolant_out.value,
        limit=case.limit,
        boil=case.boil,
        has_second=has_second(filled),
        fan_on=_v(typed.fan_on),
        fan_off=_v(typed.fan_off),
        second_on=_v(typed.second_on),
        second_off=_v(typed.second_off),
        is_percent=filled.word("control.scheme") in MODULES,
        percent_start=_v(typed.percent_start),
        percent_full=_v(typed.percent_full),
        slope=float(filled["control.slope"][0]),
    )


def cycle_of(filled: Filled, made: Settings | None, cases: Sequence[CaseAnswer]) -> float | None:
    """Shortest time from start to start, with the heat of the hottest standing case shed by the first fan alone.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    made : Settings or None
        When fans start and stop.
    cases : sequence of CaseAnswer
        Every driving case, judged.

    Returns
    -------
    float or None
        [s]; None with speed control, and where the fan stops while the thermostat still opens
    """
    heats = [case.heat.value for case in cases if case.kind in STANDING]
    if made is None or made.line is not None or made.fan_on <= made.fan_off or not heats:
        return None
    mass, volume = (float(filled[path][0]) for path in ("engine.mass", "coolant.volume"))
    store = float(heat_store(mass, str(filled.word("engine.block")), volume))
    try:
        return least_cycle(store, made.fan_on - made.fan_off, max(heats), made.fan_off, made.full_open)
    except InputError:
        return None


def rules_of(
    filled: Filled, circuits: Sequence[FanCircuit], made: Settings | None, cycle: float | None
) -> tuple[Found, ...]:
    """Find what is wrong with requests, cuts, running on and faults.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    circuits : sequence of FanCircuit
        Of every fan.
    made : Settings or None
        When fans start and stop.
    cycle : float or None
        From `cycle_of`, [s]

    Returns
    -------
    tuple of Found
    """
    if not filled.job.fans:
        return ()
    job, typed = filled.job, filled.job.control
    cooled = any(filled.word(f"cases.{index}.air_conditioning") is True for index in range(len(job.cases)))
    condenser = any(filled.word(f"ahead.{index}.kind") == "condenser" for index in range(len(job.ahead)))
    rules = Rules(
        has_air_conditioning=cooled or condenser,
        requests_air=typed.air_conditioning_request,
        speed_cut=_v(typed.speed_cut),
        cut_band=float(filled["control.cut_band"][0]),
        hot_override=typed.hot_override,
        opening=str(filled.word("opening.type")),
        after_run=_v(typed.after_run) or 0.0,
        has_low_volts=typed.low_volts is not None,
        pump_runs_on=bool(typed.pump_runs_on),
        fans_current=sum(circuit.working_amps for circuit in circuits),
        battery=float(filled["electrical.battery"][0]),
        sensor_fault=typed.sensor_fault,
        second_driver=typed.second_driver,
        ramp=float(filled["control.ramp"][0]) if made is not None and made.line else None,
        cycle=cycle,
    )
    return tuple(rule_findings(rules))
