"""The first look: ten lines asked before any part is named. All its words stand in `first_look.csv`.

Line         one row of the table
lines        the whole table, in order
FirstLook    the section of a job that answers it
"""

import csv
from functools import cache
from importlib.resources import files
from typing import Literal, NamedTuple

from shroudwright.job.fields import Section, given

Answered = Literal["yes", "no", "don't know"]
Complaint = Literal["none", "hot standing", "hot at speed", "hot everywhere", "loses coolant"]


class Line(NamedTuple):
    """One question, the complaints a "no" explains without any other fault, and what to do about it."""

    field: str
    question: str
    explains: tuple[str, ...]
    do: str
    source: str


@cache
def lines() -> tuple[Line, ...]:
    """Return the table."""
    text = files("shroudwright.job").joinpath("first_look.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return tuple(
        Line(row["field"], row["question"], tuple(row["explains"].split("; ")), row["do"], row["source"])
        for row in rows
    )


_ASK = {line.field: given(line.question) for line in lines()}


class FirstLook(Section):
    """Before any part is named: the complaint, and ten things to answer yes or no; a "no" can be all of it."""

    complaint: Complaint | None = given("What it does wrong today.")
    gauge_checked: Answered | None = _ASK["gauge_checked"]
    combustion_gas: Answered | None = _ASK["combustion_gas"]
    cap_tested: Answered | None = _ASK["cap_tested"]
    thermostat_tested: Answered | None = _ASK["thermostat_tested"]
    pump_right: Answered | None = _ASK["pump_right"]
    hose_spring: Answered | None = _ASK["hose_spring"]
    timing_mixture: Answered | None = _ASK["timing_mixture"]
    fan_direction: Answered | None = _ASK["fan_direction"]
    shroud_seals: Answered | None = _ASK["shroud_seals"]
    air_bled: Answered | None = _ASK["air_bled"]
