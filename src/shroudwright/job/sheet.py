"""The measuring sheet: every number taken at the car, as numbered boxes in the order of the pages.

Row          one row of `sheet.csv`
Box          one box of one job's sheet
sheet_rows   the table
boxes_of     job -> its boxes
holds        what a job says in a box
word         a choice as it is written in a box
listed       how long a list of a job is
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from string import ascii_lowercase
from typing import Any, NamedTuple

from pydantic.fields import FieldInfo

from shroudwright.job.fields import kinds_of, words_of
from shroudwright.job.hoses import Hose
from shroudwright.job.model import Job
from shroudwright.job.quantity import Reading, Standing
from shroudwright.job.table import part_of

_SIDES = ("left", "right", "top", "bottom")
_THIRDS = 3
_LEAST = {"space.necks": 2, "ahead": 2, "fans": 2}
"""Rows a list has on the sheet, in the job or not"""
_STANDING: dict[str, Standing] = {"papers": "catalogue", "its box": "box"}
"""How a number is known by what it is read off; else it is measured"""
_DEPTHS, _GAPS, _HOSES = "space.depth_map", "stack_gaps", "hoses"
_YES = {True: "yes", False: "no"}


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
    def _column(self) -> int:
        last = self.place.rpartition(".")[2]
        return int(last) if last.isdigit() else 0

    @property
    def _field(self) -> FieldInfo:
        part: Any = Job
        *above, last = [step for step in self.place.split(".") if step != "*" and not step.isdigit()]
        for step in above:
            part = part_of(part.model_fields[step].annotation)
        return part.model_fields[last]  # type: ignore[no-any-return]

    @property
    def kind(self) -> str:
        """What the number measures, one of `KINDS`; nothing for a word."""
        kinds = kinds_of(self._field)
        return kinds.kinds[self._column] if kinds else ""

    @property
    def choices(self) -> tuple[str | bool, ...]:
        """The words it is one of; none for a number."""
        return words_of(self._field)

    @property
    def standing(self) -> Standing:
        """How a number is known where nobody says."""
        return _STANDING.get(self.tool, "measured")

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


class _Item(NamedTuple):
    letter: str
    at: int
    proposed: dict[str, str]


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
        With a depth proposed in each ninth of the core, a gap on each side, and a hose each way coolant or fluid
        can go, where the job has none; two necks, coolers ahead and fans at least.
    """
    items = {name: tuple(_items(job, name)) for name in {row.list_name for row in sheet_rows()} if name}
    return tuple(box for row in sheet_rows() for box in _of_row(job, row, items))


def _of_row(job: Job, row: Row, items: dict[str, tuple[_Item, ...]]) -> Iterator[Box]:
    if not row.list_name:
        yield Box(row, "", row.place)
        return
    field = row.place.rpartition(".")[2]
    if ".holes." in row.place:
        for i, fan in enumerate(job.fans):
            for j in range(len(fan.holes)):
                yield Box(row, f"{_letter(i)}{j + 1}", f"fans.{i}.holes.{j}.{field}")
        return
    for item in items[row.list_name]:
        yield Box(row, item.letter, f"{row.list_name}.{item.at}.{field}", item.proposed.get(field, ""))


def _items(job: Job, name: str) -> Iterator[_Item]:
    """Items of a list with their letters, which stay the same once a proposed one is in the job."""
    count = listed(job, name)
    if name == _DEPTHS:
        cells = {cell: i for i in reversed(range(count)) if (cell := _cell(job, i)) is not None}
        yield from _lettered(count, cells, [_spot(job, cell) for cell in range(_THIRDS**2)])
    elif name == _GAPS:
        sides = {_SIDES.index(gap.side): i for i, gap in reversed(list(enumerate(job.stack_gaps))) if gap.side}
        yield from _lettered(count, sides, [{"side": side} for side in _SIDES])
    elif name == _HOSES:
        ways = words_of(Hose.model_fields["way"])
        found = {ways.index(hose.way): i for i, hose in reversed(list(enumerate(job.hoses))) if hose.way}
        rows = list(_lettered(count, found, [{"way": way} for way in ways]))
        yield from rows
        last = max(item.at for item in rows)
        yield _Item(_letter(len(rows)), last + 1, {})
    else:
        yield from (_Item(_letter(i), i, {}) for i in range(max(count, _LEAST.get(name, 0))))


def _lettered(count: int, taken: dict[int, int], proposed: list[dict[str, str]]) -> Iterator[_Item]:
    """The first letters belong to what is proposed, taken or not; other items follow."""
    new = count
    for at, proposal in enumerate(proposed):
        if at in taken:
            yield _Item(_letter(at), taken[at], {})
        else:
            yield _Item(_letter(at), new, proposal)
            new += 1
    others = [i for i in range(count) if i not in taken.values()]
    for number, i in enumerate(others, start=len(proposed)):
        yield _Item(_letter(number), i, {})


def _cell(job: Job, index: int) -> int | None:
    """Which ninth of the core a spot is in, from the upper left; none of them where it has no place or lies outside."""
    spot, (width, height) = job.space.depth_map[index], _face(job)
    if spot.x is None or spot.y is None or not (0.0 <= spot.x.value < width and 0.0 < spot.y.value <= height):
        return None
    return _THIRDS * int(_THIRDS * (1.0 - spot.y.value / height)) + int(_THIRDS * spot.x.value / width)


def _spot(job: Job, cell: int) -> dict[str, str]:
    """The middle of a ninth of the core, as a tape reads it."""
    down, across = divmod(cell, _THIRDS)
    width, height = _face(job)
    return {
        "x": _taped((across + 0.5) * width / _THIRDS, job),
        "y": _taped((_THIRDS - down - 0.5) * height / _THIRDS, job),
    }


def _face(job: Job) -> tuple[float, float]:
    assert job.core.width is not None
    assert job.core.height is not None
    return job.core.width.value, job.core.height.value


def _letter(index: int) -> str:
    first, last = divmod(index, 26)
    return (ascii_lowercase[first - 1] if first else "") + ascii_lowercase[last]


def _taped(length: float, job: Job) -> str:
    """Write a length to a quarter of an inch or 5 mm."""
    if job.units == "mm":
        return f"{5 * round(200.0 * length)} mm"
    whole, quarter = divmod(round(4.0 * length / 0.0254), 4)
    part = ("", "1/4", "1/2", "3/4")[quarter]
    return f"{' '.join(word for word in (str(whole) if whole else '', part) if word) or '0'} in"


def holds(job: Job, box: Box) -> Reading | str | bool | None:
    """Return what a job says in a box: a reading, a word, yes or no, or nothing."""
    try:
        return _at(job, box.place)  # type: ignore[no-any-return]
    except IndexError:
        return None


def word(held: Reading | str | bool | None) -> str:
    """Write what a job says in a box: as typed, yes or no, or nothing.

    Parameters
    ----------
    held : Reading, str, bool or None
        See `holds`.
    """
    if isinstance(held, Reading):
        return held.typed
    return _YES[held] if isinstance(held, bool) else held or ""


def _at(job: Job, place: str) -> Any:
    held: Any = job
    for step in place.split("."):
        held = held[int(step)] if step.isdigit() else getattr(held, step)
    return held


def listed(job: Job, name: str) -> int:
    """Return how many items a list of a job has."""
    return len(_at(job, name))
