"""What a field of the job is: its kind, its limits, its sentence, and how its text is read.

Length, Power, ...   a reading of one kind, or nothing
Curve, Holes, Corners, Sizes, Spots   rows of readings
given                a field with its sentence, limits and an example
Section              a part of the job; reads every value typed in it
place_of             the kind and limits behind a field
"""

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator, model_validator
from pydantic.fields import FieldInfo

from shroudwright.bench.units import KINDS
from shroudwright.job.quantity import Reading, is_unknown, limit, nearest, read

_LONGEST_TEXT = 2000
_MONEY = re.compile(r"\d{1,9}(\.\d{1,2})? [A-Z]{3}")


@dataclass(frozen=True)
class Kinds:
    """The kind of a reading, or of each column of rows of readings, the last of which may be left out."""

    kinds: tuple[str, ...]
    rows: bool = False
    optional: int = 0


Length = Annotated[Reading | None, Kinds(("length",))]
Area = Annotated[Reading | None, Kinds(("area",))]
Volume = Annotated[Reading | None, Kinds(("volume",))]
Mass = Annotated[Reading | None, Kinds(("mass",))]
Angle = Annotated[Reading | None, Kinds(("angle",))]
Speed = Annotated[Reading | None, Kinds(("speed",))]
Spin = Annotated[Reading | None, Kinds(("spin",))]
Time = Annotated[Reading | None, Kinds(("time",))]
Temperature = Annotated[Reading | None, Kinds(("temperature",))]
Rise = Annotated[Reading | None, Kinds(("rise",))]
Pressure = Annotated[Reading | None, Kinds(("pressure",))]
AirFlow = Annotated[Reading | None, Kinds(("air_flow",))]
LiquidFlow = Annotated[Reading | None, Kinds(("liquid_flow",))]
Torque = Annotated[Reading | None, Kinds(("torque",))]
Power = Annotated[Reading | None, Kinds(("power",))]
Current = Annotated[Reading | None, Kinds(("current",))]
Charge = Annotated[Reading | None, Kinds(("charge",))]
Voltage = Annotated[Reading | None, Kinds(("voltage",))]
Resistance = Annotated[Reading | None, Kinds(("resistance",))]
Conductivity = Annotated[Reading | None, Kinds(("conductivity",))]
CountPerLength = Annotated[Reading | None, Kinds(("count_per_length",))]
Noise = Annotated[Reading | None, Kinds(("noise",))]
Share = Annotated[Reading | None, Kinds(("share",))]
Number = Annotated[Reading | None, Kinds(("number",))]
Count = Annotated[Reading | None, Kinds(("number",)), "whole"]
Money = Annotated[str | None, "money"]
Rows = tuple[tuple[Reading, ...], ...]
AmpCurve = Annotated[Rows, Kinds(("spin", "current"), rows=True)]
Curve = Annotated[Rows, Kinds(("air_flow", "pressure"), rows=True)]
Holes = Annotated[Rows, Kinds(("length", "length", "length"), rows=True)]
Corners = Annotated[Rows, Kinds(("length", "length", "number"), rows=True, optional=1)]
Sizes = Annotated[Rows, Kinds(("length", "length"), rows=True)]
Spots = Annotated[Rows, Kinds(("length", "length", "speed"), rows=True)]


@dataclass(frozen=True)
class Place:
    """The kind and allowed range of a field of one reading."""

    kind: str
    low_text: str
    high_text: str

    @property
    def low(self) -> float:
        """Least value allowed, in SI."""
        return limit(self.low_text, self.kind)

    @property
    def high(self) -> float:
        """Greatest value allowed, in SI."""
        return limit(self.high_text, self.kind)


def given(
    sentence: str, low: str = "", high: str = "", *, default: Any = None, example: str = "", bare: bool = True
) -> Any:
    """Return a field that may be left out.

    Parameters
    ----------
    sentence : str
        What it is, for the schema, the docs and the starter.
    low, high : str
        The range that is possible, with units.
    default : str, optional
        What stands where it is left out.
    example : str
        As one would type it, where neither the table of guesses nor the kind gives one.
    bare : bool
        Whether a number without a unit takes the file's own unit of length.
    """
    noted: dict[str, Any] = {"low": low, "high": high, "example": example, "bare": bare}
    return Field(default=default, description=sentence, json_schema_extra={"x-field": noted})


def rows_of(sentence: str, most: int, *, example: str = "") -> Any:
    """Return a field that holds a list and may be left out."""
    noted: dict[str, Any] = {"x-field": {"example": example}}
    return Field(default=(), description=sentence, max_length=most, json_schema_extra=noted)


def extra(field: FieldInfo, key: str) -> Any:
    """Look up what `given` or `rows_of` noted on a field."""
    noted: Any = field.json_schema_extra or {}
    return noted.get("x-field", {}).get(key)


def kinds_of(field: FieldInfo) -> Kinds | None:
    """Return the kinds of the readings a field holds, if it holds any."""
    return next((item for item in field.metadata if isinstance(item, Kinds)), None)


def place_of(field: FieldInfo) -> Place | None:
    """Return the kind and limits of a field of one reading, or nothing for any other field."""
    kinds = kinds_of(field)
    if kinds is None or kinds.rows:
        return None
    return Place(kinds.kinds[0], extra(field, "low"), extra(field, "high"))


def words_of(field: FieldInfo) -> tuple[Any, ...]:
    """Return the words, or true and false, a field chooses from."""
    options = [field.annotation, *get_args(field.annotation)]
    if bool in options:
        return (True, False)
    return next((get_args(option) for option in options if get_origin(option) is Literal), ())


def _reading(raw: object, field: FieldInfo, place: Place, bare_unit: str | None) -> Reading:
    bare = bare_unit if place.kind == "length" and extra(field, "bare") else None
    try:
        reading = read(raw, place.kind, bare)
    except ValueError as error:
        example = extra(field, "example") or KINDS[place.kind].example
        raise ValueError(str(error).replace(repr(KINDS[place.kind].example), repr(example))) from None
    if "whole" in field.metadata and reading.value != round(reading.value):
        raise ValueError(f"{reading.typed} is not a whole number")
    if not place.low <= reading.value <= place.high:
        near = nearest(reading, place.low, place.high, bare)
        hint = f"; did you mean {' or '.join(near)}?" if near else ""
        unit = f" {bare}" if bare and isinstance(raw, int | float) else ""
        raise ValueError(f"{reading.typed}{unit} is outside {place.low_text} to {place.high_text}{hint}")
    return reading


def _rows(raw: object, kinds: tuple[str, ...], optional: int, bare_unit: str | None) -> Rows:
    columns = " and ".join(kind.replace("_", " ") for kind in dict.fromkeys(kinds))
    counts = range(len(kinds) - optional, len(kinds) + 1)
    entries = " or ".join(str(count) for count in counts)
    if not isinstance(raw, list | tuple):
        raise ValueError(f"type a list of rows, each of {entries} ({columns})")
    found, faults = [], []
    for number, row in enumerate(raw, start=1):
        if not isinstance(row, list | tuple) or len(row) not in counts:
            faults.append(f"row {number} needs {entries} entries ({columns})")
            continue
        cells = []
        for cell, kind in zip(row, kinds, strict=False):
            try:
                cells.append(read(cell, kind, bare_unit if kind == "length" else None))
            except ValueError as error:
                faults.append(f"row {number}: {error}")
        found.append(tuple(cells))
    if faults:
        raise ValueError("\n".join(faults))
    return tuple(found)


def _word(raw: object, options: tuple[Any, ...]) -> object:
    if options == (True, False):
        if not isinstance(raw, bool):
            raise ValueError(f"{raw!r} is neither yes nor no; in the file type true or false, without quotes")
        return raw
    listed = ", ".join(str(option) for option in options)
    if isinstance(raw, bool) or not isinstance(raw, str | int):
        raise ValueError(f"choose one of {listed}")
    spelled = str(raw).strip().lower().replace("aluminum", "aluminium")
    for option in options:
        if spelled == str(option).lower():
            return option
    near = difflib.get_close_matches(spelled, [str(option).lower() for option in options], n=1, cutoff=0.5)
    hint = f"; did you mean {near[0]}?" if near else ""
    raise ValueError(f"{str(raw)[:60]!r} is not one of {listed}{hint}")


def _text(raw: object, *, is_money: bool) -> object:
    if isinstance(raw, str):
        if len(raw) > _LONGEST_TEXT:
            raise ValueError(f"text of {len(raw)} characters; keep it under {_LONGEST_TEXT}")
        if not all(letter.isprintable() or letter in "\n\t" for letter in raw):
            raise ValueError("text holds a control character; retype it")
        if is_money and not _MONEY.fullmatch(raw.strip()):
            raise ValueError(f"{raw!r} is not money; type for example '149.00 USD'")
    return raw


class Section(BaseModel):
    """A part of the job. Every field may be left out or say "don't know"."""

    model_config = ConfigDict(extra="forbid", frozen=True, validate_default=False)

    @model_validator(mode="before")
    @classmethod
    def _unknown_is_absent(cls, data: Any) -> Any:
        if not isinstance(data, Mapping):
            return data
        return {key: value for key, value in data.items() if not is_unknown(value)}

    @field_validator("*", mode="before")
    @classmethod
    def _as_typed(cls, raw: Any, info: ValidationInfo) -> Any:
        if raw is None or isinstance(raw, Reading):
            return raw
        field, place, kinds, options = _what(cls, str(info.field_name))
        bare_unit = (info.context or {}).get("bare_unit")
        if place:
            return _reading(raw, field, place, bare_unit)
        if kinds:
            return _rows(raw, kinds.kinds, kinds.optional, bare_unit)
        if options:
            return _word(raw, options)
        return _text(raw, is_money="money" in field.metadata)


@cache
def _what(section: type[Section], name: str) -> tuple[FieldInfo, Place | None, Kinds | None, tuple[Any, ...]]:
    field = section.model_fields[name]
    return field, place_of(field), kinds_of(field), words_of(field)
