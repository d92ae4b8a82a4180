"""The form of a parts shelf: a CSV whose rows are fans, with text kept as text.

Line           one row: its number in the file and its cells by column
shelf_lines    the bytes of a shelf, checked for form
"""

import csv
import difflib
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from shroudwright.bench.errors import InputError

MOST_ROWS = 5_000
LONGEST_CELL = 2_000
_MOST_FAULTS = 50


class Line(NamedTuple):
    """One row of a shelf; blank cells are left out."""

    number: int
    cells: dict[str, str]


def shelf_lines(data: bytes, name: str, columns: Sequence[str]) -> tuple[dict[str, str], list[Line]]:
    """Read the form of a shelf.

    Parameters
    ----------
    data : bytes
        The whole file: row 1 names the columns, row 2 their units, then one part per row.
    name : str
        What to call it in faults, [text]
    columns : sequence of str
        Every column there may be, [text]

    Returns
    -------
    units, lines : dict, list of Line
        Unit by column, and the rows.

    Raises
    ------
    InputError
        With one plain line for every fault of form.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError([f"{name}: not plain text (UTF-8); save the shelf as CSV"]) from None
    try:
        rows = [(i, [cell.strip() for cell in row]) for i, row in _rows(text) if any(map(str.strip, row))]
    except csv.Error as error:
        raise InputError([f"{name}: {error}; save the shelf as CSV"]) from None
    if len(rows) < 2:
        raise InputError([f"{name}: row 1 names the columns and row 2 their units; one fan per row after that"])
    if len(rows) > MOST_ROWS + 2:
        raise InputError([f"{name}: more than {MOST_ROWS} parts; split the shelf"])
    (_, heads), (_, units), *parts = rows
    faults = [*_head_faults(heads, columns), *_form_faults(heads, [rows[1], *parts])]
    if faults:
        raise InputError([f"{name} {fault}" for fault in faults[:_MOST_FAULTS]])
    lines = [Line(i, {head: cell for head, cell in zip(heads, row, strict=True) if cell}) for i, row in parts]
    return dict(zip(heads, units, strict=True)), lines


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(text.splitlines(), strict=True)
    for row in reader:
        yield reader.line_num, row


def _head_faults(heads: Sequence[str], columns: Sequence[str]) -> Iterator[str]:
    for head in dict.fromkeys(heads):
        if head not in columns:
            near = difflib.get_close_matches(head, columns, n=1)
            hint = f"; did you mean {near[0]}?" if near else f"; there are {', '.join(columns)}"
            yield f"row 1: no column is called {head[:40]!r}{hint}"
        elif heads.count(head) > 1:
            yield f"row 1: column {head} stands there {heads.count(head)} times; keep one"
    if "code" not in heads:
        yield "row 1: no column code; give every part a short name"


def _form_faults(heads: Sequence[str], rows: Sequence[tuple[int, list[str]]]) -> Iterator[str]:
    for number, row in rows:
        if len(row) != len(heads):
            hint = "put a value that holds a comma in double quotes"
            yield f"row {number}: {len(row)} values under {len(heads)} columns; {hint}"
        for head, cell in zip(heads, row, strict=False):
            if len(cell) > LONGEST_CELL:
                yield f"row {number}, {head}: text of {len(cell)} characters; keep it under {LONGEST_CELL}"
            elif not cell.isprintable():
                yield f"row {number}, {head}: holds a control character; retype it"
