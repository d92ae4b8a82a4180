"""Changes to a job's text: every comment and every other number stays as typed.

changed      one value, or several, set or taken out
measured     some numbers, as measured in hand
with_item    one more of a list: a fan, a cooler, a driving case
without_item one fewer
uncommented  a text with one line of its own brought in
"""

import re
from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from typing import Any

import tomlkit
from pydantic import BaseModel
from tomlkit.exceptions import ParseError
from tomlkit.items import Array

from shroudwright.bench.errors import InputError
from shroudwright.job.files import parse_job
from shroudwright.job.model import Job
from shroudwright.job.table import part_of

Value = str | float | bool


def _lists(part: type[BaseModel], above: str = "") -> Iterator[str]:
    """Lists of sections, by place, those within a section too."""
    for name, field in part.model_fields.items():
        inner = part_of(field.annotation)
        if inner is None:
            continue
        if str(field.annotation).startswith("tuple["):
            yield f"{above}{name}"
        elif not above:
            yield from _lists(inner, f"{name}.")


_GUESSED = re.compile(r",\s*guess(ed)?\s*$")
_LISTS = frozenset(_lists(Job))


def changed(text: bytes, values: Mapping[str, Value | None], name: str = "job") -> bytes:
    """Set values, or take them out.

    A value that stands commented out in its section is brought in where it stands.

    Parameters
    ----------
    text : bytes
        The job's, which must read.
    values : mapping of str to str, float, bool or None
        By place, such as ``core.width``, ``fans.0.rpm`` or ``name``; None takes it out.
    name : str
        What to call the job in faults.

    Returns
    -------
    bytes
        A text that reads.

    Raises
    ------
    InputError
        If there is no such place or the job would no longer read.
    """
    words, faults = text.decode("utf-8"), []
    for place, value in values.items():
        *above, field = place.split(".")
        if value is not None:
            words = uncommented(words, above, field)
    document = _read(words, name)
    for place, value in values.items():
        *above, field = place.split(".")
        table = _table_at(document, above)
        if table is None:
            faults.append(f"{place}: there is no such place in {name}")
        elif value is None:
            table.pop(field, None)
        else:
            table[field] = value
    if faults:
        raise InputError(faults)
    return _sound(tomlkit.dumps(document), name)


def measured(text: bytes, places: Sequence[str], name: str = "job") -> bytes:
    """Say of numbers that are typed that they are measured in hand.

    Parameters
    ----------
    text : bytes
        The job's.
    places : sequence of str
        Such as ``core.width``.
    name : str
        What to call the job in faults.

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        If nothing is typed at a place, or the job would no longer read.
    """
    document, values, faults = _read(text.decode("utf-8"), name), {}, []
    for place in places:
        *above, field = place.split(".")
        table = _table_at(document, above)
        typed = None if table is None else table.get(field)
        if not isinstance(typed, str | int | float):
            faults.append(f"{place}: nothing is typed there in {name}; type the number first")
        else:
            values[place] = f"{_GUESSED.sub('', str(typed))}, measured"
    if faults:
        raise InputError(faults)
    return changed(text, values, name)


def with_item(text: bytes, part: str, values: Mapping[str, Value], name: str = "job") -> bytes:
    """Add an item to a list of a job.

    Parameters
    ----------
    text : bytes
        The job's.
    part : str
        Such as ``fans``, ``cases`` or ``space.necks``.
    values : mapping of str to str, float or bool
        Its fields.
    name : str
        What to call the job in faults.

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        If there is no such list or the job would no longer read.
    """
    document, above, items = _list_of(text, part, name)
    if items is None:
        items = above[part.rpartition(".")[2]] = tomlkit.array().multiline(True) if "." in part else tomlkit.aot()
    item = tomlkit.inline_table() if isinstance(items, Array) else tomlkit.table()
    item.update(dict(values))
    items.append(item)
    return _sound(tomlkit.dumps(document), name)


def without_item(text: bytes, part: str, index: int, name: str = "job") -> bytes:
    """Take an item out of a list of a job.

    Parameters
    ----------
    text : bytes
        The job's.
    part : str
        Such as ``fans``.
    index : int
        Its place, from 0.
    name : str
        What to call the job in faults.

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        If there is no such item or the job would no longer read.
    """
    document, above, items = _list_of(text, part, name)
    if items is None or not 0 <= index < len(items):
        raise InputError([f"{part}.{index}: there is no such place in {name}"])
    del items[index]
    if not items:
        del above[part.rpartition(".")[2]]
    return _sound(tomlkit.dumps(document), name)


def _read(words: str, name: str) -> Any:
    try:
        return tomlkit.parse(words)
    except ParseError as error:
        raise InputError([f"{name}: {error}; put that right in the file first"]) from None


def _list_of(text: bytes, part: str, name: str) -> tuple[Any, Any, Any]:
    """Return the document, the table a list stands in, and the list; None where it is not typed."""
    if part not in _LISTS:
        raise InputError([f"{part}: {name} has no such list"])
    document = _read(text.decode("utf-8"), name)
    *steps, field = part.split(".")
    above = _table_at(document, steps)
    return document, above, above.get(field)


def _table_at(document: Any, above: list[str]) -> Any:
    table = document
    for step in above:
        if step.isdigit() and isinstance(table, list) and int(step) < len(table):
            table = table[int(step)]
        elif isinstance(table, MutableMapping) and not step.isdigit():
            table = table.setdefault(step, tomlkit.table())
        else:
            return None
    return table if isinstance(table, MutableMapping) else None


def _sound(words: str, name: str) -> bytes:
    after = words.encode("utf-8")
    parse_job(after, name)
    return after


def uncommented(text: str, above: list[str], field: str) -> str:
    """Bring in the first commented-out line of a field within its section."""
    section = above[0] if above else ""
    wanted = int(above[1]) if len(above) > 1 and above[1].isdigit() else 0
    lines, here, seen = text.splitlines(keepends=True), "", {"": 0}
    found = None
    for number, line in enumerate(lines):
        if header := re.match(r"\s*\[{1,2}([\w.]+)\]{1,2}", line):
            here = header[1]
            seen[here] = seen.get(here, -1) + 1
        elif here == section and seen[here] == wanted:
            if re.match(rf"\s*{re.escape(field)}\s*=", line):
                return text
            if found is None and re.match(rf"#{re.escape(field)} = ", line):
                found = number
    if found is not None:
        lines[found] = lines[found][1:]
    return "".join(lines)
