"""The measuring sheet: every number taken at the car, as numbered boxes in the order of the job.

Row          one row of `sheet.csv`
Box          one box of one job's sheet
sheet_rows   the table
boxes_of     job -> its boxes
holds        what a job says in a box
listed       how long a list of a job is
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from string import ascii_lowercase
from typing import Any, NamedTuple

from shroudwright.job.fields import kinds_of
from shroudwright.job.model import Job
from shroudwright.job.quantity import Reading
from shroudwright.job.table import part_of

_SPOTS = 9
_SIDES = ("left", "right", "top", "bottom")
_NECKS = 2
_NEAR = 1.0 / 8.0
"""Spots closer than this share of the core's width and height are one, [-]"""
_EMPTY = {"space.necks": _NECKS, "stack_gaps": len(_SIDES)}


class Row(NamedTuple):
    """One number to take: where it goes in the job, what it is, what it is taken with and how closely."""

    number: int
    place: str
    head: str
    says: str
    tool: str
    within_in: str
    within_mm: str
    group: str

    @property
    def kind(self) -> str:
        """What the number measures, one of `KINDS`; nothing for a word."""
        part: Any = Job
        *above, last = [step for step in self.place.split(".") if step != "*"]
        column = 0
        if last.isdigit():
            column, last = int(last), above.pop()
        for step in above:
            part = part_of(part.model_fields[step].annotation)
        kinds = kinds_of(part.model_fields[last])
        return kinds.kinds[column] if kinds else ""

    @property
    def list_name(self) -> str:
        """The list it belongs to, or nothing."""
        return self.place.partition(".*.")[0] if ".*." in self.place else ""


@dataclass(frozen=True)
class Box:
    """One box: its number, a letter for each item of a list, its field, and what is proposed for it."""

    row: Row
    letter: str
    place: str
    proposed: str = ""

    @property
    def name(self) -> str:
        """Number and letter."""
        return f"{self.row.number}{self.letter}"


@cache
def sheet_rows() -> tuple[Row, ...]:
    """Return the table, in the order of the job's sections."""
    text = files("shroudwright.job").joinpath("sheet.csv").read_text(encoding="utf-8")
    return tuple(Row(int(row.pop("number")), **row) for row in csv.DictReader(text.splitlines()))


def boxes_of(job: Job) -> tuple[Box, ...]:
    """Return the boxes of a job's sheet, by number and item.

    Parameters
    ----------
    job : Job
        As read: it has a box for each fan, cooler, bracket, neck, corner and hole in it.

    Returns
    -------
    tuple of Box
        With spots proposed for nine depths behind the core, a gap on each side and two necks where the job has none.
    """
    spots = _proposed_spots(job)
    return tuple(box for row in sheet_rows() for box in _of_row(job, row, spots))


def _of_row(job: Job, row: Row, spots: list[tuple[str, str]]) -> Iterator[Box]:
    if not row.list_name:
        yield Box(row, "", row.place)
        return
    held = _at(job, row.list_name)
    field = row.place.rpartition(".")[2]
    if ".holes." in row.place:
        for i, fan in enumerate(job.fans):
            for j in range(len(fan.holes)):
                yield Box(row, f"{_letter(i)}{j + 1}", f"fans.{i}.holes.{j}.{field}")
        return
    more = len(spots) if row.list_name == "space.depth_map" else 0 if held else _EMPTY.get(row.list_name, 0)
    for i in range(len(held) + more):
        new = i - len(held)
        proposed = ""
        if new >= 0 and row.list_name == "space.depth_map" and field in "xy":
            proposed = spots[new]["xy".index(field)]
        if new >= 0 and field == "side":
            proposed = _SIDES[new]
        yield Box(row, _letter(i), f"{row.list_name}.{i}.{field}", proposed)


def _letter(index: int) -> str:
    first, last = divmod(index, 26)
    return (ascii_lowercase[first - 1] if first else "") + ascii_lowercase[last]


def _proposed_spots(job: Job) -> list[tuple[str, str]]:
    """Nine spots in rows of three, less those taken already, as a tape reads them."""
    assert job.core.width is not None
    assert job.core.height is not None
    width, height = job.core.width.value, job.core.height.value
    taken = [(spot.x.value, spot.y.value) for spot in job.space.depth_map if spot.x and spot.y]
    free = []
    for up in (5, 3, 1):
        for across in (1, 3, 5):
            x, y = across * width / 6.0, up * height / 6.0
            if not any(abs(x - a) < _NEAR * width and abs(y - b) < _NEAR * height for a, b in taken):
                free.append((_taped(x, job), _taped(y, job)))
    return free[: max(_SPOTS - len(job.space.depth_map), 0)]


def _taped(length: float, job: Job) -> str:
    """Write a length to a quarter of an inch or 5 mm."""
    if job.units == "mm":
        return f"{5 * round(200.0 * length)} mm"
    whole, quarter = divmod(round(4.0 * length / 0.0254), 4)
    part = ("", "1/4", "1/2", "3/4")[quarter]
    return f"{' '.join(word for word in (str(whole) if whole else '', part) if word) or '0'} in"


def holds(job: Job, box: Box) -> Reading | str | None:
    """Return what a job says in a box: a reading, a word, or nothing."""
    try:
        return _at(job, box.place)  # type: ignore[no-any-return]
    except IndexError:
        return None


def _at(job: Job, place: str) -> Any:
    held: Any = job
    for step in place.split("."):
        held = held[int(step)] if step.isdigit() else getattr(held, step)
    return held


def listed(job: Job, name: str) -> int:
    """Return how many items a list of a job has."""
    return len(_at(job, name))
