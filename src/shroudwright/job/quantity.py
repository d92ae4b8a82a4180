"""One measurement as a builder types it: a number, its unit, and how it is known.

    "23 1/2 in, measured"    "1950 cfm, box"    "12 gpm +- 2 gpm, measured"    "don't know"

Reading         what was typed, its value in SI, its standing and its spread
read            text or number -> Reading
is_unknown      whether the text says "don't know"
says_how        the standing a text ends in
nearest         the nearest value that would be possible
"""

import difflib
import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, get_args

from pydantic_core import CoreSchema, core_schema

from shroudwright.bench.errors import ShopError
from shroudwright.bench.units import KINDS, show, split, to_si
from shroudwright.metal.sheet import sheet_gauge

Standing = Literal["guess", "box", "catalogue", "measured"]
STANDINGS: tuple[Standing, ...] = get_args(Standing)
PRINTED = {standing: standing for standing in STANDINGS} | {"measured": "measured in hand"}
_ALSO: dict[str, Standing] = {"measured in hand": "measured", "catalog": "catalogue", "guessed": "guess"}
_UNKNOWN = {"don't know", "dont know", "don’t know", "do not know"}

_LONGEST = 120
_SPREAD = re.compile(r"\+\s*/?\s*-|±")


@dataclass(frozen=True)
class Reading:
    """One measurement.

    Parameters
    ----------
    typed : str
        As written in the file.
    value : float
        In the SI unit of its kind.
    standing : str
        ``guess``, ``box``, ``catalogue`` or ``measured``.
    spread : float or None
        Half the width of its 5-95 % band, where one was typed, in SI.
    kind : str
        What it measures, one of `KINDS`.
    """

    typed: str
    value: float
    standing: Standing
    spread: float | None
    kind: str

    @classmethod
    def __get_pydantic_core_schema__(cls, _source: Any, _handler: Any) -> CoreSchema:
        """Fields hold readings already made by `read`; out again they go as typed."""
        return core_schema.is_instance_schema(
            cls, serialization=core_schema.plain_serializer_function_ser_schema(lambda reading: reading.typed)
        )

    @classmethod
    def __get_pydantic_json_schema__(cls, _schema: Any, _handler: Any) -> dict[str, Any]:
        """In a file a reading is text or a bare number."""
        return {"type": ["string", "number"]}


class TypedFloat(float):
    """A number from a file that remembers how it was written."""

    typed: str

    def __new__(cls, text: str) -> "TypedFloat":
        """Keep the text beside the number."""
        number = super().__new__(cls, text)
        number.typed = text
        return number


def is_unknown(raw: object) -> bool:
    """Tell whether a value says "don't know", which counts as absent."""
    return isinstance(raw, str) and raw.strip().lower() in _UNKNOWN


def as_typed(raw: object) -> str:
    """Write a value from a file the way its author did."""
    return raw.typed if isinstance(raw, TypedFloat) else str(raw)


def _standing(text: str) -> tuple[str, Standing]:
    """Split the standing word off the end; a comma inside a number is no separator."""
    measure, comma, last = text.rpartition(",")
    word = " ".join(last.lower().split())
    if not comma or not re.fullmatch(r"[a-z' ]+", word):
        return text, "guess"
    word = _ALSO.get(word, word)
    for standing in STANDINGS:
        if word == standing:
            return measure, standing
    near = difflib.get_close_matches(word, STANDINGS, n=1)
    hint = f"; did you mean {near[0]}?" if near else ""
    raise ValueError(f"{text!r} ends in {word!r}, which is not a way of knowing; write {', '.join(STANDINGS)}{hint}")


def says_how(text: str) -> Standing | None:
    """Return the standing a text ends in, or nothing where it says none; a word nobody knows counts as a guess."""
    try:
        measure, standing = _standing(text)
    except ValueError:
        return "guess"
    return standing if measure != text else None


def _number(text: str, kind: str, bare_unit: str | None) -> float:
    if len(text) > _LONGEST:
        raise ValueError(f"{text[:40]!r} is not a measurement; type for example {KINDS[kind].example!r}")
    number, unit = split(text) if kind == "length" else (0.0, "")
    if unit.lower().rstrip(".") in ("ga", "gauge", "gage"):
        raise ValueError(_gauge_words(text.strip(), number))
    return to_si(text.strip(), kind, bare_unit)


def _gauge_words(text: str, number: float) -> str:
    """Say what a sheet gauge may be: its number means another thickness in every metal."""
    found = []
    for system, metal in (("B&S", "aluminium"), ("Manufacturers' Standard", "steel")):
        try:
            found.append(f"{sheet_gauge(number, system) / 0.0254:.3f} in of {metal}")
        except ShopError:
            continue
    means = f" is {' or '.join(found)}" if found else " says no thickness"
    return f"{text!r}{means}; type the thickness itself, by a micrometer"


def _spread(text: str, value: float, kind: str, bare_unit: str | None) -> float:
    if kind == "temperature":
        kind = "rise"
    number, unit = split(text)
    if unit in ("%", "percent") and kind != "share":
        if kind == "rise":
            raise ValueError(f"a spread of {text.strip()!r} on a temperature; type for example '+- 5 degF'")
        spread = abs(value) * number / 100.0
    else:
        spread = _number(text, kind, bare_unit)
    if spread < 0.0:
        raise ValueError(f"a spread cannot be negative: {text.strip()!r}")
    return spread


def read(raw: object, kind: str, bare_unit: str | None = None) -> Reading:
    """Read one measurement.

    Parameters
    ----------
    raw : str, int or float
        As typed: number, unit, perhaps ``+- spread``, perhaps a comma and a standing word.
    kind : str
        What it measures, one of `KINDS`.
    bare_unit : str, optional
        The unit of a bare number; without it only shares, counts and engine speed may be bare.

    Returns
    -------
    Reading
        Its value in SI, with what was typed.

    Raises
    ------
    ValueError
        Saying what was typed and what to type instead.
    """
    example = KINDS[kind].example
    if isinstance(raw, bool):
        raise ValueError(f"{str(raw).lower()} is not a number; type for example {example!r}")
    if isinstance(raw, int | float):
        try:
            finite = math.isfinite(raw)
        except OverflowError:
            finite = False
        if not finite:
            raise ValueError(f"{as_typed(raw)[:40]} is not a finite number; type for example {example!r}")
        value = to_si(raw, kind, bare_unit)
        return Reading(as_typed(raw), value, "guess", None, kind)
    if not isinstance(raw, str):
        what = {"list": "a list", "dict": "a table"}.get(type(raw).__name__, as_typed(raw))
        raise ValueError(f"{what} is not a measurement; type for example {example!r}")
    text, standing = _standing(raw)
    measure, *spreads = _SPREAD.split(text, maxsplit=1)
    value = _number(measure, kind, bare_unit)
    spread = _spread(spreads[0], value, kind, bare_unit) if spreads else None
    return Reading(raw, value, standing, spread, kind)


@cache
def limit(text: str, kind: str) -> float:
    """Return a limit or table entry, typed with its unit, in SI."""
    return to_si(text, kind)


_MIXED_UP = {
    "in": ("mm", "cm"),
    "mm": ("in", "cm"),
    "cm": ("mm", "in"),
    "ft": ("in", "m"),
    "m": ("mm", "ft"),
    "degF": ("degC",),
    "degC": ("degF",),
    "F": ("degC",),
    "C": ("degF",),
    "psi": ("kPa",),
    "kPa": ("psi",),
    "bar": ("psi",),
    "L": ("in**3",),
    "mph": ("km/hour",),
    "kW": ("W",),
    "W": ("kW",),
    "A": ("mA",),
    "ohm": ("mohm",),
}


def nearest(reading: Reading, low: float, high: float, bare_unit: str | None = None) -> tuple[str, ...]:
    """Return what the builder may have meant by an impossible reading.

    A slipped decimal point, a mixed-up unit, a percent sign or a minus sign is tried in turn.

    Parameters
    ----------
    reading : Reading
        The impossible one.
    low, high : float
        What is possible, in SI.
    bare_unit : str, optional
        The unit its bare number was taken in.

    Returns
    -------
    tuple of str
        Up to two values that would be possible, as one would type them.
    """
    number, unit = split(_SPREAD.split(_standing(reading.typed)[0])[0])
    unit = unit or bare_unit or ""
    tries = [(number / 10.0, unit), (number * 10.0, unit), (-number, unit)]
    tries[2:2] = [(number, other) for other in _MIXED_UP.get(unit, ())]
    if reading.kind == "share" and not unit:
        tries.insert(0, (number, "%"))
    found = []
    for value, other in tries:
        text = f"{value:.10g} {other}".strip()
        if math.isfinite(value) and low <= to_si(text, reading.kind) <= high:
            found.append(text)
    return tuple(found[:2])


def shown(value: float, unit: str, kind: str) -> str:
    """Write a value of a kind in a unit, for people."""
    return show(value, unit, difference=KINDS[kind].difference, si=KINDS[kind].si or "dimensionless")
