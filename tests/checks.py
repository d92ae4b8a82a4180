"""Run a check table through the map: ok, off, unmatched, waiting or in a test of its own, row by row.

    python -m tests.checks TABLE.csv [TABLE.csv ...]

A table has columns id, quantity, inputs (JSON), expected, unit, tolerance. A tolerance is ``abs x``,
``rel x``, ``exact`` or ``range`` (expected is then a [low, high] pair).
"""

import ast
import csv
import importlib
import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from shroudwright.bench.registry import argument, describe, in_unit, results_of

HERE = Path(__file__).parent
TABLES = sorted((HERE / "checks").glob("*.csv"))


@dataclass(frozen=True)
class Row:
    """One row of a check table."""

    id: str
    quantity: str
    inputs: dict[str, Any]
    expected: Any
    unit: str
    tolerance: str

    def accepts(self, value: Any) -> bool:
        """Whether a computed value agrees within the row's own tolerance."""
        if isinstance(self.expected, list) and self.tolerance != "range":
            return len(value) == len(self.expected) and all(
                _agrees(got, want, self.tolerance) for got, want in zip(value, self.expected, strict=True)
            )
        return _agrees(value, self.expected, self.tolerance)


def _agrees(value: Any, expected: Any, tolerance: str) -> bool:
    how, _, size = tolerance.partition(" ")
    if how == "range":
        if isinstance(value, list | tuple):
            return bool(value[0] == expected[0] and value[1] == expected[1])
        return bool(expected[0] <= value <= expected[1])
    if isinstance(expected, str):
        return bool(str(value) == expected)
    if how == "exact":
        return bool(abs(value - expected) <= 1e-9 * max(1.0, abs(expected)))
    if how == "abs":
        return bool(abs(value - expected) <= float(size))
    if how == "rel":
        return bool(abs(value - expected) <= float(size) * abs(expected))
    raise ValueError(f"a tolerance is abs x, rel x, exact or range, not {tolerance!r}")


def _expected(text: str) -> Any:
    try:
        return json.loads(text)
    except json.JSONDecodeError:
        return text


@cache
def read_table(path: Path) -> tuple[Row, ...]:
    """Read every row of a check table."""
    with path.open(newline="", encoding="utf-8") as file:
        return tuple(
            Row(
                id=line["id"],
                quantity=line["quantity"],
                inputs=json.loads(line["inputs"] or "{}"),
                expected=_expected(line["expected"]),
                unit=line["unit"],
                tolerance=line["tolerance"],
            )
            for line in csv.DictReader(file)
        )


def read_own() -> tuple[Row, ...]:
    """Read every row of the project's own tables."""
    return tuple(item for path in TABLES for item in read_table(path))


def row(wanted: str) -> Row:
    """Return the row of the project's own tables that has this id."""
    return next(item for item in read_own() if item.id == wanted)


@dataclass(frozen=True)
class Link:
    """One line of the map: which function answers a quantity, and how its arguments are named."""

    quantity: str
    function: str
    arguments: tuple[tuple[str, str, str], ...]
    result: str
    unit: str
    waits: str

    @property
    def keys(self) -> set[str]:
        """The input keys a row must carry for this line to fit."""
        return {key for _, key, _ in self.arguments if not key.startswith("@")}


@cache
def links() -> tuple[Link, ...]:
    """Read the map."""
    with (HERE / "checks_map.csv").open(newline="", encoding="utf-8") as file:
        return tuple(
            Link(
                line["quantity"],
                line["function"],
                tuple(_argument(text) for text in line["arguments"].split(";") if text.strip()),
                line["result"],
                line["unit"],
                line["waits"] or "",
            )
            for line in csv.DictReader(file)
        )


def _argument(text: str) -> tuple[str, str, str]:
    parameter, _, rest = text.strip().partition("=")
    key, _, unit = rest.rpartition(":")
    return parameter, key, "" if unit == "-" else unit


def link_for(item: Row) -> Link | None:
    """Return the first line of the map that fits a row, if any does."""
    return next((link for link in links() if link.quantity == item.quantity and link.keys <= item.inputs.keys()), None)


def _function(dotted: str) -> Callable[..., Any]:
    module, _, name = dotted.rpartition(".")
    function: Callable[..., Any] = getattr(importlib.import_module(f"shroudwright.{module}"), name)
    return function


def value_of(link: Link, item: Row) -> Any:
    """Compute a row's quantity through its line of the map, in the map's unit."""
    function = _function(link.function)
    entries = {entry.name: entry for entry in describe(function).parameters}
    arguments = {
        parameter: argument(
            entries[parameter],
            key[1:] if key.startswith("@") else item.inputs[key],
            None if unit == "text" else unit,
        )
        for parameter, key, unit in link.arguments
    }
    entry, value = results_of(function, arguments)[link.result]
    return in_unit(entry, value, link.unit if link.unit != "-" else "")


@cache
def named_tests() -> dict[str, str]:
    """Find the test that closes each row carrying ``@pytest.mark.row``: id -> test name."""
    found = {}
    for path in HERE.glob("test_*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for mark in getattr(node, "decorator_list", ()):
                if isinstance(mark, ast.Call) and ast.unparse(mark.func) == "pytest.mark.row":
                    found |= {ast.literal_eval(argument): f"{path.name}::{node.name}" for argument in mark.args}  # type: ignore[attr-defined]
    return found


def judge(item: Row) -> tuple[str, Any]:
    """Return ``ok``, ``off``, ``unmatched``, ``waiting`` or ``test``, and the value, the step or the test."""
    link = link_for(item)
    if link is None and item in read_own():
        return ("test", named_tests()[item.id]) if item.id in named_tests() else ("unmatched", None)
    if link is None:
        return "unmatched", None
    if link.waits:
        return "waiting", link.waits
    value = value_of(link, item)
    return ("ok" if item.accepts(value) else "off"), value


def main(paths: list[str]) -> int:
    """Print one line per row of each table; 1 if any row is off or unmatched."""
    failed = 0
    for path in paths or [str(table) for table in TABLES]:
        for item in read_table(Path(path)):
            state, value = judge(item)
            failed += state in ("off", "unmatched")
            print(f"{state:10} {item.id:10} {item.quantity}: expected {item.expected} {item.unit}, here {value}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
