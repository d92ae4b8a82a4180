"""The section that says whose hands measured which numbers."""

import datetime

from shroudwright.job.fields import Section, given


class Hand(Section):
    """Numbers one person measured on one day; where a number stands twice, the later row counts."""

    measured_by: str | None = given("Who held the tape.", example="Ana")
    measured_on: datetime.date | None = given("Day it was done.", example="2026-01-31")
    places: tuple[str, ...] | None = given("Fields measured, by their dotted names.", example='["core.width"]')
    notes: tuple[str, ...] | None = given("What was noted beside them.", example='["core.width: left tank bent"]')
