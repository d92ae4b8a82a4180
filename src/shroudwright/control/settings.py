"""Temperatures at which fans start and stop.

settings    proposed, or those typed, with what is wrong with them
Line        percent on over the sensor, of fans whose speed is controlled

Every temperature is stated at the fan's own sensor. Codes, all numbers in kelvin:

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
C20  ON under 120 degF: a cold engine is cooled
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.control.found import Found

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
_COLD = 322.04
"""120 degF, [K]"""
SLOPE = 18.0 * DEG_F
"""From least to full percent on: common practice, no source, [K rise]"""
_LEAST_SLOPE = 8.0 * DEG_F

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


class Line(NamedTuple):
    """Percent on over the sensor: least at start, all at full, straight between, [K]."""

    start: float
    full: float


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
    full_open: float
    """of the thermostat"""
    findings: tuple[Found, ...]
    line: Line | None = None
    """instead of stages, where speed is controlled"""


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
    is_percent: bool = False,
    percent_start: float | None = None,
    percent_full: float | None = None,
    slope: float = SLOPE,
) -> Settings:
    """Propose when fans start and stop; a temperature that is typed stands, and is judged.

    OFF: 2 degF over what it settles at with the fan on, no less than 10 degF and no more than 20 degF (or the
    span) over opening. ON: 10 degF over OFF. Fan 2: 10 degF over fan 1, down to 5 to start 5 under
    the limit. Alarm: 15 degF
    over the last ON, no nearer boiling than 10 K. An inlet thermostat holds the engine's outlet at its rating
    plus the coolant's drop. Percent on starts 10 degF over opening and is full a slope later, sooner where the
    limit is near.

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
        Whether there is a second stage.
    fan_on, fan_off, second_on, second_off : float, optional
        As typed, at the sensor, [K]
    is_percent : bool
        Whether the fans' speed is controlled.
    percent_start, percent_full : float, optional
        As typed, at the sensor, [K]
    slope : float
        From start to full where one of them is not typed, [K rise]

    Returns
    -------
    Settings
        With its findings; with a line, those of the line.

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
    best = min(max(frame.settled + _ABOVE_SETTLED, least), most)
    off = fan_off if fan_off is not None else best if fan_on is None else fan_on - _GAP
    on = fan_on if fan_on is not None else off + _GAP
    second = second_stop = None
    if has_second:
        step = min(max(frame.cap - _LEAST_GAP - on, _LEAST_GAP), _GAP)
        second = second_on if second_on is not None else on + step
        second_stop = second_off if second_off is not None else second - _GAP
    line = _line(frame, percent_start, percent_full, slope) if is_percent else None
    last = line.full if line else on if second is None else second
    alarm = min(last + _ALARM, boil + shift - _ALARM_MARGIN)
    found = _of_line(frame, line) if line else _of_stages(frame, on, off, second, second_stop, best, most)
    return Settings(on, off, second, second_stop, alarm, shift, frame.opens + thermostat_span, tuple(found), line)


def _line(frame: _Frame, start: float | None, full: float | None, slope: float) -> Line:
    least = frame.opens + _ABOVE_OPENING
    if start is None:
        start = least if full is None else full - slope
    if full is None:
        full = min(start + slope, max(frame.cap, start + _LEAST_SLOPE))
    return Line(start, full)


def _of_line(frame: _Frame, line: Line) -> Iterator[Found]:
    best = frame.opens + _ABOVE_OPENING
    if line.start <= frame.opens:
        yield Found("C01", "control.percent_start", line.start, frame.opens, best)
    elif line.start < best - 1e-9:
        yield Found("C04", "control.percent_start", line.start, best, best)
    if line.start < _COLD:
        yield Found("C20", "control.percent_start", line.start, _COLD, best)
    if line.full > frame.cap + 1e-9:
        yield Found("C09", "control.percent_full", line.full, frame.cap, frame.cap)
    if frame.settled > frame.cap + 1e-9:
        yield Found("C10", "control.percent_full", frame.settled, frame.cap)


def _of_stages(
    frame: _Frame, on: float, off: float, second: float | None, second_stop: float | None, best: float, most: float
) -> Iterator[Found]:
    stuck = off <= frame.opens
    if stuck:
        yield Found("C01", "control.fan_off", off, frame.opens, best)
    if second_stop is not None and second_stop <= frame.opens:
        yield Found("C01", "control.second_off", second_stop, frame.opens, best)
    if on <= frame.opens:
        yield Found("C02", "control.fan_on", on, frame.opens, best + _GAP)
    if second is not None and second <= frame.opens:
        yield Found("C02", "control.second_on", second, frame.opens, best + _GAP + _LEAST_GAP)
    above = frame.settled + _ABOVE_SETTLED
    if above > most + 1e-9:
        yield Found("C10", "control.fan_off", frame.settled, most)
    elif not stuck and off < above - 1e-9:
        yield Found("C03", "control.fan_off", off, above, best)
    if not stuck and off < frame.opens + _ABOVE_OPENING - 1e-9:
        yield Found("C04", "control.fan_off", off, frame.opens + _ABOVE_OPENING, best)
    for start, stop, place in ((on, off, "control.fan_off"), (second, second_stop, "control.second_off")):
        if start is None or stop is None:
            continue
        if start <= stop:
            yield Found("C06", place, start, stop, start - _GAP)
        elif start - stop < _LEAST_GAP - 1e-9:
            yield Found("C05", place, start - stop, _LEAST_GAP, _GAP)
    if second is not None and second < on + _LEAST_GAP - 1e-9:
        yield Found("C08", "control.second_on", second, on + _LEAST_GAP, on + _GAP)
    yield from _late(frame, on, second, best)


def _late(frame: _Frame, on: float, second: float | None, best: float) -> Iterator[Found]:
    late = frame.opens + _LATE
    if on < _COLD:
        yield Found("C20", "control.fan_on", on, _COLD, best + _GAP)
    if late < on - 1e-9 and on <= late - frame.shift:
        yield Found("C11", "control.fan_on", on, late, on + frame.shift)
    elif late < on - 1e-9:
        yield Found("C09", "control.fan_on", on, late, best + _GAP)
    last = max(on, second or on)
    if last > frame.cap + 1e-9:
        yield Found("C09", "control.second_on" if second is not None else "control.fan_on", last, frame.cap, frame.cap)
