"""One reader for every table kept here.

table    a CSV as frozen records

Row 1 names the fields, row 2 their units (blank for words, ``-`` for bare numbers), then one record per
row. Blanks are unknown, spaces around commas are ignored.
"""

import csv
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple, TypeVar

from shroudwright.bench.errors import InputError
from shroudwright.bench.units import registry


class Wire(NamedTuple):
    """One wire size."""

    code: str
    system: str
    """SAE or metric, [text]"""
    gauge: float | None
    """SAE number; 0 is 1/0, [-]"""
    size: float | None
    """metric nominal area, [m**2]"""
    area: float | None
    """least copper area, [m**2]"""
    resistance: float | None
    """most per length at 20 degC, [ohm/m]"""
    source: str
    seen: str
    grade: str


Record = TypeVar("Record", bound=NamedTuple)


def _cell(text: str, unit: str) -> Any:
    if not text:
        return None
    if not unit:
        return text
    return float(text) if unit == "-" else registry().Quantity(float(text), unit).to_base_units().magnitude


@cache
def table(name: str, record: type[Record]) -> tuple[Record, ...]:
    """Read a table.

    Parameters
    ----------
    name : str
        File name in this folder.
    record : type
        A NamedTuple whose fields are the file's first row.

    Returns
    -------
    tuple
        One record per row, numbers in SI, None where blank.

    Raises
    ------
    InputError
        If the fields differ from the record's, or a row has another length or no number where one belongs.
    """
    text = (files("shroudwright.catalogue") / name).read_text(encoding="utf-8")
    fields, units, *rows = [[cell.strip() for cell in line] for line in csv.reader(text.splitlines())]
    if tuple(fields) != record._fields:
        raise InputError([f"{name}: fields {', '.join(fields)} are not {', '.join(record._fields)}"])
    records, faults = [], []
    for number, row in enumerate(rows, start=3):
        try:
            records.append(record(*(_cell(text, unit) for text, unit in zip(row, units, strict=True))))
        except ValueError as error:
            faults.append(f"{name} line {number}: {error}")
    if faults:
        raise InputError(faults)
    return tuple(records)
