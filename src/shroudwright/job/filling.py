"""Numbers measured at the car, into a job file: as typed, measured in hand, with who and when.

Entry        one box as filled
empty_form   a job's boxes as a small table to fill in
read_form    that table, filled
tried        what is wrong with one entry, alone
fill         entries -> the job file, all or nothing
"""

import csv
import datetime
import difflib
import io
import os
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.bench.units import split
from shroudwright.job.edits import uncommented
from shroudwright.job.files import bytes_of, parse_job, write_whole
from shroudwright.job.model import Job
from shroudwright.job.plumbing import LOOP
from shroudwright.job.quantity import is_unknown, says_how
from shroudwright.job.sheet import Box, boxes_of, holds, listed, word
from shroudwright.job.template import unit_of

HEADS = ("box", "field", "what", "now", "value", "note")
_BLANK = ("", "-", "?")
_NEEDED = {"space.depth_map": ("depth",), "stack_gaps": ("width",), "hoses": (), "ahead": (), "fans": ()}
"""A row of these is written once one of these is filled, or where none is named anything that was not proposed."""
_YES = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}
_INSTEAD = ("hose_bore", "hose_length", "extra_loss")
"""Of `[circuit]`: what a list of both main hoses says better"""
_WHO, _DAY = "measured_by", "measured_on"


class Entry(NamedTuple):
    """A box by its number or its field, its value as typed, and a note."""

    box: str
    value: str
    note: str = ""


class Form(NamedTuple):
    """A filled form."""

    entries: tuple[Entry, ...]
    measured_by: str
    measured_on: str


def empty_form(job: Job) -> bytes:
    """Return a job's boxes as a table to fill in: a CSV whose ``value`` column is blank but for what is proposed.

    Parameters
    ----------
    job : Job
        As read.

    Returns
    -------
    bytes
        UTF-8. Two rows ahead of the boxes ask who measured and on what day.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    writer.writerow(("", _WHO, "who held the tape", "", "", ""))
    writer.writerow(("", _DAY, "day, such as 2026-01-31; today if left blank", "", "", ""))
    for box in boxes_of(job):
        held = holds(job, box)
        choices = " / ".join(word(choice) for choice in box.row.choices)
        what = ", ".join(part for part in (box.row.head, box.row.says, choices) if part)
        row = (box.name, box.place, what, word(held), box.proposed, "")
        writer.writerow([f"'{cell}" if cell.startswith(("=", "+", "@")) else cell for cell in row])
    return out.getvalue().encode()


def read_form(path: str | os.PathLike[str]) -> Form:
    """Read a filled form.

    Parameters
    ----------
    path : path
        Of a CSV with at least the columns ``box`` or ``field``, and ``value``; ``note`` if there is one.

    Returns
    -------
    Form
        Blank values left out.

    Raises
    ------
    InputError
        If it is no such table.
    """
    path = Path(path)
    try:
        rows = csv.DictReader(io.StringIO(bytes_of(path, "form").decode("utf-8-sig")))
        heads = {(head or "").strip().lower() for head in rows.fieldnames or ()}
        cells = [{(key or "").strip().lower(): str(cell or "").strip() for key, cell in row.items()} for row in rows]
    except (UnicodeDecodeError, csv.Error):
        raise InputError([f"{path}: not a table of text; save it as CSV, UTF-8"]) from None
    if "value" not in heads or not heads & {"box", "field"}:
        raise InputError([f"{path}: needs a first row of heads with box (or field) and value; note if you like"])
    who, day, entries = "", "", []
    for row in cells:
        name = row.get("box") or row.get("field", "")
        value = row["value"].removeprefix("'").strip()
        if name == _WHO:
            who = value
        elif name == _DAY:
            day = value
        elif value not in _BLANK and not is_unknown(value):
            entries.append(Entry(name, value, row.get("note", "")))
    return Form(tuple(entries), who, day)


def fill(path: str | os.PathLike[str], entries: Sequence[Entry], measured_by: str, measured_on: datetime.date) -> Job:
    """Write measured numbers into a job file; every comment and every other number stays as typed.

    Parameters
    ----------
    path : path
        Of the job file.
    entries : sequence of Entry
        Boxes by number (``31a``) or field (``core.width``). A value without a word of how it is known counts as
        measured, or as read off papers or a box where its box says so; one without a unit is in the sheet's.
    measured_by : str
        Who, [text]
    measured_on : date
        When.

    Returns
    -------
    Job
        As it now reads, with a row of `measured` that names every field measured.

    Raises
    ------
    InputError
        With one line for every fault; the file is then as it was.
    """
    path = Path(path)
    before = bytes_of(path)
    job = parse_job(before, path.name)
    if not measured_by.strip():
        raise InputError(["who measured? add --by NAME, or fill in measured_by in the form"])
    chosen = _chosen(job, entries)
    if not chosen:
        raise InputError(["nothing is filled in; put values in the form's value column"])
    after = _written(before, chosen, measured_by.strip(), measured_on)
    try:
        new = parse_job(after, path.name)
    except InputError as error:
        raise InputError([_named(fault, chosen) for fault in error.faults]) from None
    write_whole(path, after)
    return new


def tried(before: bytes, box: Box, value: str) -> str:
    """Say what is wrong with a value for a box of a job file, every other as it is; nothing where it can be."""
    place = _moved_up(parse_job(before, ""), box, [box])
    try:
        parse_job(_written(before, [Chosen(box, place, value, "")], "", None), "")
    except InputError as error:
        return next((fault.partition(": ")[2] for fault in error.faults if fault.startswith(place)), "")
    return ""


class Chosen(NamedTuple):
    """A box with the field it goes to: rows new to a list follow on what is there."""

    box: Box
    place: str
    value: str
    note: str


def _chosen(job: Job, entries: Sequence[Entry]) -> list[Chosen]:
    boxes = boxes_of(job)
    known = {name: box for box in boxes for name in (box.name, box.place)}
    faults, found = [], dict[str, tuple[Box, Entry]]()
    for entry in entries:
        name = entry.box.strip()
        box = known.get(name.lower())
        if box is None:
            near = difflib.get_close_matches(name, known, n=1)
            hint = f"; did you mean {near[0]}?" if near else ""
            faults.append(f"box {name!r}: there is none of that number or field on this job's sheet{hint}")
        elif box.place in found:
            faults.append(f"box {box.name} ({box.place}): filled twice, {found[box.place][1].value} and {entry.value}")
        else:
            found[box.place] = (box, entry)
    if faults:
        raise InputError(faults)
    items = {_item(box) for box in boxes if holds(job, box) is not None}
    begun = {_item(box) for box, entry in found.values() if _begins(box, entry.value)}
    for box in boxes:  # what is printed in a box of a new row stands, where something is measured beside it
        if box.proposed and box.place not in found and _item(box) in begun:
            found[box.place] = (box, Entry(box.name, box.proposed))
    kept = [
        (box, entry) for box, entry in found.values() if _item(box) in items | begun or box.row.list_name not in _NEEDED
    ]
    skipped = [box for box, _ in kept if box.row.list_name == "space.necks" and not _follows(job, box, kept)]
    if skipped:
        raise InputError([f"box {box.name}: fill in the neck of row a first" for box in skipped])
    return [Chosen(box, _moved_up(job, box, [b for b, _ in kept]), *entry[1:]) for box, entry in kept]


def _follows(job: Job, box: Box, kept: Sequence[tuple[Box, Entry]]) -> bool:
    """Whether every item before a box's own is in the job or filled too."""
    there = {int(_item(other).rpartition(".")[2]) for other, _ in kept if other.row.list_name == box.row.list_name}
    return there | set(range(listed(job, box.row.list_name))) >= set(range(int(_item(box).rpartition(".")[2])))


def _begins(box: Box, value: str) -> bool:
    """Whether a value makes its row one that is written."""
    needed = _NEEDED.get(box.row.list_name)
    if needed is None:
        return False
    return box.place.rpartition(".")[2] in needed if needed else value != box.proposed


def _item(box: Box) -> str:
    return box.place.rpartition(".")[0]


def _moved_up(job: Job, box: Box, kept: Sequence[Box]) -> str:
    """A field's place once items nobody filled are left out of its list."""
    name = box.row.list_name
    if not name or box.row.place.count("*") > 1:
        return box.place
    there = listed(job, name)
    index, field = box.place.removeprefix(f"{name}.").split(".")
    new = sorted({int(b.place.removeprefix(f"{name}.").split(".")[0]) for b in kept if b.row.list_name == name})
    new = [i for i in new if i >= there]
    return f"{name}.{there + new.index(int(index))}.{field}" if int(index) in new else box.place


def _written(before: bytes, chosen: Sequence[Chosen], measured_by: str, day: datetime.date | None) -> bytes:
    import tomlkit

    text = before.decode("utf-8-sig")
    for item in chosen:
        *above, field = item.place.split(".")
        text = uncommented(text, above, field)
    document = tomlkit.parse(text)
    units = document.get("units", "in")
    measured = []
    for item in sorted(chosen, key=_row):  # a list's rows are made in order, however the form was filled
        kind, value = item.box.row.kind, item.value
        if kind and not says_how(value):
            value = f"{_with_unit(value, unit_of(kind, units))}, {item.box.row.standing}"
        if says_how(value) == "measured" if kind else value != item.box.proposed:
            measured.append(item.place)
        is_choice = True in item.box.row.choices
        _put(document, item.place.split("."), _YES.get(value.strip().lower(), value) if is_choice else value)
    if {hose.get("way") for hose in document.get("hoses", ())} >= LOOP.keys():
        for name in _INSTEAD:
            document.get("circuit", {}).pop(name, None)
    notes = [f"{item.place}: {item.note}" for item in chosen if item.note]
    if day is not None:
        _sign(document, measured_by, day, measured, notes)
    return tomlkit.dumps(document).encode("utf-8")


def _row(item: Chosen) -> int:
    return next((int(step) for step in item.place.split(".") if step.isdigit()), -1)


def _with_unit(value: str, unit: str) -> str:
    try:
        _, typed = split(value)
    except ValueError:
        return value
    return value if typed or not unit else f"{value} {unit}"


def _put(document: Any, steps: Sequence[str], value: str | bool) -> None:
    """Write a value at a place; lists and their rows are made where there are none yet."""
    import tomlkit

    table = document
    for step, after in pairwise(steps):
        if step.isdigit():
            if int(step) == len(table):
                table.append(tomlkit.table() if isinstance(table, tomlkit.items.AoT) else tomlkit.inline_table())
            table = table[int(step)]
        else:
            if step not in table:
                is_list, is_top = after.isdigit(), table is document
                if is_top:
                    document.add(tomlkit.nl())
                table[step] = (
                    (tomlkit.aot() if is_top else tomlkit.array().multiline(multiline=True))
                    if is_list
                    else tomlkit.table()
                )
            table = table[step]
    table[int(steps[-1]) if steps[-1].isdigit() else steps[-1]] = value


def _sign(document: Any, measured_by: str, day: datetime.date, places: Sequence[str], notes: Sequence[str]) -> None:
    """Say who measured what, in the row of that person and day if there is one."""
    import tomlkit

    if "measured" not in document:
        document.add(tomlkit.nl())
        document["measured"] = tomlkit.aot()
    rows = document["measured"]
    row = next((row for row in rows if (row.get(_WHO), row.get(_DAY)) == (measured_by, day)), None)
    if row is None:
        row = tomlkit.table()
        row[_WHO], row[_DAY] = measured_by, day
        rows.append(row)
        row = rows[-1]
    for name, more in (("places", places), ("notes", notes)):
        all_of_it = list(dict.fromkeys([*row.get(name, ()), *more]))
        if all_of_it:
            row[name] = tomlkit.array().multiline(multiline=len(all_of_it) > 1)
            row[name].extend(all_of_it)


def _named(fault: str, chosen: Sequence[Chosen]) -> str:
    """Put a box's number before a fault of its field."""
    number = next((item.box.name for item in chosen if fault.startswith(item.place)), None)
    return fault if number is None else f"box {number}, {fault}"
