"""The one table of guesses, `defaults.csv`: what stands in for a number nobody has typed.

A row holds for a field when every condition in its ``tie`` holds; the first such row is used. A
condition is ``field = word``, ``field given`` or ``field measured`` (or another standing); any other
entry of the tie names a function in `priors` that returns what the row multiplies. ``low`` and
``high`` are the 5 % and 95 % points. Rows of ``model`` are spreads that no field carries.

Guess      one row
guesses    the whole table
field_of   the field of the job behind a dotted name
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, cast, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from shroudwright.bench.units import KINDS, to_si
from shroudwright.job.fields import place_of
from shroudwright.job.model import Job

Shape = Literal["normal", "lognormal", "triangle", "fixed", "word"]


@dataclass(frozen=True)
class Guess:
    """One row, its numbers in SI (or multipliers of what its tie returns)."""

    field: str
    median: float
    low: float
    high: float
    shape: Shape
    kind: str
    word: str
    conditions: tuple[str, ...]
    tie: str
    source: str
    measurement: str


def part_of(annotation: Any) -> type[BaseModel] | None:
    """Return the section inside a field, be it one or a list of them."""
    for option in (annotation, *get_args(annotation)):
        if isinstance(option, type) and issubclass(option, BaseModel):
            return option
    return None


@cache
def field_of(name: str) -> FieldInfo:
    """Return the field behind a dotted name such as ``core.width`` or ``fans.rpm``."""
    section, field = name.split(".")
    part = part_of(Job.model_fields[section].annotation)
    if part is None:
        raise KeyError(name)
    return part.model_fields[field]


def _kind(name: str, unit: str) -> str:
    if not name.startswith("model."):
        place = place_of(field_of(name))
        return place.kind if place else "number"
    return next((kind for kind, what in KINDS.items() if unit and unit in (what.si, f"k{what.si}")), "number")


def _row(row: dict[str, str]) -> Guess:
    entries = [entry.strip() for entry in row["tie"].split(";") if entry.strip()]
    conditions = tuple(entry for entry in entries if " " in entry)
    tie = next((entry for entry in entries if " " not in entry), "")
    kind = _kind(row["field"], row["unit"])
    is_word = row["shape"] == "word"
    median, low, high = (
        0.0 if is_word else to_si(f"{row[point]} {row['unit']}", "number" if tie else kind)
        for point in ("median", "low", "high")
    )
    return Guess(
        field=row["field"],
        median=median,
        low=low,
        high=high,
        shape=cast(Shape, row["shape"]),
        kind=kind,
        word=row["median"] if is_word else "",
        conditions=conditions,
        tie=tie,
        source=row["source"],
        measurement=row["measurement"],
    )


@cache
def guesses() -> dict[str, tuple[Guess, ...]]:
    """Return the table: for each field its rows, in order."""
    text = files("shroudwright.job").joinpath("defaults.csv").read_text(encoding="utf-8")
    table: dict[str, list[Guess]] = {}
    for row in csv.DictReader(text.splitlines()):
        table.setdefault(row["field"], []).append(_row(row))
    return {field: tuple(rows) for field, rows in table.items()}
