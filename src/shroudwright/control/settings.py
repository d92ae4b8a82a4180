"""Temperatures at which fans start and stop.

settings    proposed, or those typed, with what is wrong with them

Every temperature is stated at the fan's own sensor. A finding is (code, measured, limit), all in kelvin:

C01  OFF at or below the thermostat's opening: never stops
C02  ON at or below the thermostat's opening
C03  OFF under what it settles at with the fan on, or less than 2 degF over it
C04  OFF under the thermostat's opening + 10 degF
C05  ON less than 5 degF over OFF
C06  OFF at or above ON
C08  fan 2 ON less than 5 degF over fan 1 ON
C09  late: fan 1 past opening + 30 degF, or either within 20 degF of boiling or past the limit
C10  with the fan on it settles hotter than the highest sensible OFF: runs all day
C11  the sensor sits where the coolant is cooler, and ON is set as for the engine's outlet
"""

from dataclasses import dataclass
from typing import TypeAlias

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer

Finding: TypeAlias = tuple[str, float, float]

DEG_F = 5.0 / 9.0
_ABOVE_SETTLED = 2.0 * DEG_F
_ABOVE_OPENING = 10.0 * DEG_F
_HIGHEST_OFF = 20.0 * DEG_F
_LATE = 30.0 * DEG_F
_GAP = 10.0 * DEG_F
_LEAST_GAP = 5.0 * DEG_F
_BOIL_MARGIN = 20.0 * DEG_F
_ALARM = 15.0 * DEG_F
_ALARM_MARGIN = 10.0

_DROP_SHARE = {"engine out": 0.0, "radiator in": 0.0, "head metal": 0.0, "in the fins": 0.5, "radiator out": 1.0}


@offer
def sensor_shift(sensor_place: str, coolant_drop: float) -> float:
    """How much hotter a fan sensor reads than the engine's outlet.

    0 at engine out and radiator in, minus the coolant's drop at radiator out, half of it in the fins.

    Parameters
    ----------
    sensor_place : str
        engine out, radiator in, radiator out, in the fins or head metal, [text]
    coolant_drop : float
        Across the radiator, [K rise]

    Returns
    -------
    shift : float
        [K rise]

    Raises
    ------
    InputError
        If there is no such place.

    Notes
    -----
    Limits: steady. Head metal is hotter than coolant by an amount nobody knows until measured; 0 is taken.
    Accuracy: in the fins +-half of the shift.

    References
    ----------
    Heat balance; the half common practice, no source.
    """
    if sensor_place not in _DROP_SHARE:
        raise InputError([f"a sensor sits at {', '.join(_DROP_SHARE)}; not {sensor_place!r}"])
    return -_DROP_SHARE[sensor_place] * coolant_drop


@dataclass(frozen=True)
class Settings:
    """When fans start and stop, at their own sensor, [K]."""

    fan_on: float
    fan_off: float
    second_on: float | None
    second_off: float | None
    alarm: float
    shift: float
    """sensor over engine out, [K rise]"""
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class _Frame:
    """What the settings are held against, all at the sensor, [K]."""

    opens: float
    settled: float
    cap: float
    shift: float


def settings(
    *,
    thermostat_opens: float,
    thermostat_span: float,
    thermostat_place: str,
    sensor_place: str,
    settled: float,
    coolant_drop: float,
    limit: float,
    boil: float,
    has_second: bool,
    fan_on: float | None = None,
    fan_off: float | None = None,
    second_on: float | None = None,
    second_off: float | None = None,
) -> Settings:
    """Propose when fans start and stop; a temperature that is typed stands, and is judged.

    OFF: 2 degF over what it settles at with the fan on, no less than 10 degF and no more than 20 degF (or the
    span) over opening. ON: 10 degF over OFF. Fan 2: 10 degF over fan 1, 5 where room is short. Alarm: 15 degF
    over the last ON, no nearer boiling than 10 K. An inlet thermostat holds the engine's outlet at its rating
    plus the coolant's drop.

    Parameters
    ----------
    thermostat_opens : float
        [K]
    thermostat_span : float
        From opening to full open, [K rise]
    thermostat_place : str
        outlet or inlet, [text]
    sensor_place : str
        As `sensor_shift`, [text]
    settled : float
        Engine outlet with the fan on, [K]
    coolant_drop : float
        Across the radiator, [K rise]
    limit : float
        Hottest allowed at the engine's outlet, [K]
    boil : float
        Where it boils, [K]
    has_second : bool
        Whether there is a second fan.
    fan_on, fan_off, second_on, second_off : float, optional
        As typed, at the sensor, [K]

    Returns
    -------
    Settings
        With its findings.

    Raises
    ------
    InputError
        If there is no such place for the thermostat or the sensor.

    Notes
    -----
    Limits: steady; which gap cycles too fast is for the drive in time. Accuracy: thermostats are +-3 K.

    References
    ----------
    Common practice, no source; a computed drive of one truck behind the 2 degF.
    """
    if thermostat_place not in ("outlet", "inlet"):
        raise InputError([f"a thermostat sits at the outlet or the inlet, not {thermostat_place!r}"])
    shift = sensor_shift(sensor_place, coolant_drop)
    held = coolant_drop if thermostat_place == "inlet" else 0.0
    frame = _Frame(
        opens=thermostat_opens + held + shift,
        settled=settled + shift,
        cap=min(limit, boil - _BOIL_MARGIN) + shift,
        shift=shift,
    )
    least = frame.opens + _ABOVE_OPENING
    stages = _GAP + (_LEAST_GAP if has_second else 0.0)
    most = max(least, min(frame.opens + max(_HIGHEST_OFF, thermostat_span), frame.cap - stages))
    proposed = min(max(frame.settled + _ABOVE_SETTLED, least), most) if fan_on is None else fan_on - _GAP
    off = fan_off if fan_off is not None else proposed
    on = fan_on if fan_on is not None else off + _GAP
    second = second_stop = None
    if has_second:
        step = min(max(frame.cap - on, _LEAST_GAP), _GAP)
        second = second_on if second_on is not None else on + step
        second_stop = second_off if second_off is not None else second - _GAP
    alarm = min((on if second is None else second) + _ALARM, boil + shift - _ALARM_MARGIN)
    findings = _findings(frame, on, off, second, second_stop, most)
    return Settings(on, off, second, second_stop, alarm, shift, tuple(findings))


def _findings(
    frame: _Frame, on: float, off: float, second: float | None, second_stop: float | None, most: float
) -> list[Finding]:
    found: list[Finding] = []

    def below(code: str, measured: float, limit: float, or_at: bool = False) -> bool:
        fires = measured <= limit if or_at else measured < limit - 1e-9
        if fires:
            found.append((code, measured, limit))
        return fires

    stuck = below("C01", off, frame.opens, or_at=True)
    below("C02", on, frame.opens, or_at=True)
    if frame.settled + _ABOVE_SETTLED > most + 1e-9:
        found.append(("C10", frame.settled, most))
    elif not stuck:
        below("C03", off, frame.settled + _ABOVE_SETTLED)
    if not stuck:
        below("C04", off, frame.opens + _ABOVE_OPENING)
    for start, stop in ((on, off), (second, second_stop)):
        if start is not None and stop is not None and not below("C06", start, stop, or_at=True):
            below("C05", start - stop, _LEAST_GAP)
    if second is not None:
        below("C08", second, on + _LEAST_GAP)
    late = frame.opens + _LATE
    if late < on - 1e-9 and on <= late - frame.shift:
        found.append(("C11", on, late))
    elif late < on - 1e-9:
        found.append(("C09", on, late))
    last = max(on, second or on)
    if last > frame.cap + 1e-9:
        found.append(("C09", last, frame.cap))
    return found
