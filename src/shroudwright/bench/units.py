"""Units at the edges: read what people type, show what they read. Inside, everything is SI.

KINDS     what may be measured, its SI unit, and an example to copy
to_si     "23 1/2 in" -> 0.5969
convert   between two named units
show      0.5969 -> "23.5 in"
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any


@dataclass(frozen=True)
class Kind:
    """One sort of measurement: the SI unit it is kept in and what a person would type."""

    si: str
    example: str
    difference: bool = False


KINDS = {
    "length": Kind("m", "23 1/2 in"),
    "area": Kind("m**2", "38 in**2"),
    "volume": Kind("m**3", "5.7 L"),
    "mass": Kind("kg", "4300 lb"),
    "angle": Kind("rad", "27 deg"),
    "speed": Kind("m/s", "45 mph"),
    "spin": Kind("rpm", "750 rpm"),
    "time": Kind("s", "40 s"),
    "temperature": Kind("K", "110 degF"),
    "rise": Kind("K", "15 degF", difference=True),
    "pressure": Kind("Pa", "15 psi"),
    "air_flow": Kind("m**3/s", "1950 cfm"),
    "liquid_flow": Kind("m**3/s", "12 gpm"),
    "force": Kind("N", "350 lbf"),
    "torque": Kind("N*m", "300 lbf*ft"),
    "power": Kind("W", "250 kW"),
    "heat_store": Kind("J/K", "110 kJ/K"),
    "current": Kind("A", "17 A"),
    "charge": Kind("A*s", "70 A*hour"),
    "voltage": Kind("V", "13.5 V"),
    "resistance": Kind("ohm", "12 mohm"),
    "conductivity": Kind("W/m/K", "180 W/m/K"),
    "count_per_length": Kind("1/m", "15 per_inch"),
    "noise": Kind("dB", "68 dB"),
    "share": Kind("", "0.85"),
    "number": Kind("", "2"),
}


@cache
def registry() -> Any:
    """Return the unit registry with the trade's own units added."""
    import pint  # a quarter of a second that a run without units should not pay

    units: Any = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    units.define("cfm = foot ** 3 / minute")
    units.define("gpm = gallon / minute")
    units.define("per_inch = 1 / inch = fpi")
    units.define("gauge = 1 = AWG")
    return units


_NUMBER = re.compile(
    r"""^\s*(?P<sign>[-+]?)\s*
    (?:(?P<whole>\d+)[\s-]+(?P<num>\d+)/(?P<den>\d+)
      |(?P<fnum>\d+)/(?P<fden>\d+)
      |(?P<plain>(?:\d{1,3}(?:,\d{3})+|\d*)\.?\d*(?:[eE][-+]?\d+)?))
    \s*(?P<unit>.*?)\s*$""",
    re.VERBOSE,
)
_LONGEST_UNIT = 40
_POWER_OF_POWER = re.compile(r"(\*\*|\^)(?!-?\d(?![\d.^*e]))")
_SPELLINGS = {
    '"': "in",
    "inch": "in",
    "inches": "in",
    "'": "ft",
    "F": "degF",
    "C": "degC",
    "°F": "degF",
    "°C": "degC",
    "deg F": "degF",
    "deg C": "degC",
    "in H2O": "inH2O",
    "inwg": "inH2O",
    "in wg": "inH2O",
    "in-H2O": "inH2O",
    "sq in": "in**2",
    "cu in": "in**3",
    "ci": "in**3",
    "cid": "in**3",
    "hp": "horsepower",
    "amps": "A",
    "amp": "A",
    "volts": "V",
    "volt": "V",
    "in2": "in**2",
    "sq ft": "ft**2",
    "ft2": "ft**2",
    "m2": "m**2",
    "m3/s": "m**3/s",
    "lbs": "lb",
    "per inch": "per_inch",
    "fins per inch": "per_inch",
    "fins/in": "per_inch",
    "/in": "per_inch",
    "A h": "A*hour",
    "Ah": "A*hour",
    "dBA": "dB",
    "dB(A)": "dB",
    "lb ft": "lbf*ft",
    "lb-ft": "lbf*ft",
    "ft lb": "lbf*ft",
    "N m": "N*m",
    "Nm": "N*m",
    "g/s": "gram/s",
    "ft-lb": "lbf*ft",
    "dimensionless": "",
}
_ANY_CASE = {name.lower(): unit for name, unit in _SPELLINGS.items() if len(name) > 1} | {
    name: name for name in ("cfm", "gpm", "psi", "mph", "rpm")
}


def _spelled(unit: str) -> str:
    """Return a unit's name as the registry knows it, whatever its spelling."""
    if len(unit) > _LONGEST_UNIT or _POWER_OF_POWER.search(unit.replace(" ", "")):
        raise ValueError(f"{unit[:_LONGEST_UNIT]} is not a unit")
    return _SPELLINGS.get(unit) or _ANY_CASE.get(unit.lower(), unit)


def split(text: str) -> tuple[float, str]:
    """Split typed text such as ``23 1/2 in`` into a number and a unit.

    Parameters
    ----------
    text : str
        What was typed, [text]

    Returns
    -------
    number, unit : float, str
        The number, and the unit's words as typed (empty if none).

    Raises
    ------
    ValueError
        If no finite number stands first.
    """
    match = _NUMBER.match(text)
    if match is None or not any(match[name] for name in ("whole", "fnum", "plain")):
        raise ValueError(f"no number in {text!r}")
    try:
        if match["whole"]:
            number = float(int(match["whole"]) + Fraction(int(match["num"]), int(match["den"])))
        elif match["fnum"]:
            number = float(Fraction(int(match["fnum"]), int(match["fden"])))
        else:
            number = float(match["plain"].replace(",", ""))
    except (ValueError, ZeroDivisionError, OverflowError):
        raise ValueError(f"no number in {text!r}") from None
    if not math.isfinite(number):
        raise ValueError(f"{text!r} is too large to be a measurement")
    return (-number if match["sign"] == "-" else number), match["unit"]


def convert(value: float, unit: str, wanted: str, *, difference: bool = False) -> float:
    """Convert a number from one named unit to another.

    Parameters
    ----------
    value : float
        The number to convert.
    unit, wanted : str
        Unit names; an empty name is a bare ratio.
    difference : bool
        Whether a temperature is a rise or drop, not a reading.

    Returns
    -------
    float
        The number in the wanted unit.

    Raises
    ------
    ValueError
        If the units are unknown or measure different things.
    """
    if unit == wanted:
        return value
    try:
        scale = _scale(unit, wanted, difference)
        return value * scale if scale else _through_pint(value, unit, wanted, difference)
    except Exception as error:
        raise ValueError(f"{unit or 'a bare number'} cannot be read as {wanted or 'a ratio'}") from error


def _through_pint(value: float, unit: str, wanted: str, difference: bool) -> float:
    names = [_spelled(name) or "dimensionless" for name in (unit, wanted)]
    if difference:
        names = [name.replace("degF", "delta_degF").replace("degC", "delta_degC") for name in names]
    return float(registry().Quantity(value, names[0]).m_as(names[1]))


@lru_cache(1024)
def _scale(unit: str, wanted: str, difference: bool) -> float:
    """What a number is multiplied by; 0 where that is not the whole of it, as between degF and K."""
    at_0, at_1, at_2 = (_through_pint(value, unit, wanted, difference) for value in (0.0, 1.0, 2.0))
    return at_1 if at_0 == 0.0 and at_2 == 2.0 * at_1 else 0.0


def to_si(text: str | float, kind: str, bare_unit: str | None = None) -> float:
    """Read a measurement as a person types it.

    Parameters
    ----------
    text : str or float
        ``"23 1/2 in"``, ``"110 degF"``, or a bare number.
    kind : str
        What it measures, one of `KINDS`.
    bare_unit : str, optional
        The unit a bare number is in; without it a bare number is refused, except for shares,
        counts and engine speed.

    Returns
    -------
    float
        The value in SI (engine and pump speed stay in rpm).

    Raises
    ------
    ValueError
        Saying what was typed and what to type instead.
    """
    what = KINDS[kind]
    if isinstance(text, bool):
        raise ValueError(f"{str(text).lower()} is not a number; type for example {what.example!r}")
    number, unit = (float(text), "") if isinstance(text, int | float) else split(text)
    if not math.isfinite(number):
        raise ValueError(f"{text} is not a finite number; type for example {what.example!r}")
    if not unit:
        if kind in ("share", "number", "spin", "noise"):
            return number
        if bare_unit is None:
            raise ValueError(f"{text!r} has no unit; type for example {what.example!r}")
        unit = bare_unit
    try:
        return convert(number, unit, what.si, difference=what.difference)
    except ValueError:
        raise ValueError(f"{text!r} is not a {kind.replace('_', ' ')}; type for example {what.example!r}") from None


def show(value: float, unit: str, digits: int = 3, *, difference: bool = False, si: str = "") -> str:
    """Write a value for people: a rounded number and its unit.

    Parameters
    ----------
    value : float
        The value in SI (or in `si` where that is given).
    unit : str
        The unit to show.
    digits : int
        Significant digits.
    difference : bool
        Whether a temperature is a rise or drop.
    si : str
        The unit `value` is in; by default the SI unit of the same measure.

    Returns
    -------
    str
        For example ``"23.5 in"``.
    """
    base = si or next(kind.si for kind in KINDS.values() if registry().is_compatible_with(_spelled(unit), kind.si))
    shown = convert(value, base, unit, difference=difference)
    if shown and math.isfinite(shown):
        shown = round(shown, digits - 1 - math.floor(math.log10(abs(shown))))
    return f"{shown:.10g} {unit}".strip()
