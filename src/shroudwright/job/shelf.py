"""Fans one could buy: the shelf that is shipped, or a builder's own CSV of the same form.

A cell is a number in its column's unit, or typed with its own unit as in a job file (``16 in, measured``).
A blank is not known. Only the code and the blade must be there.

ShelfFan       one fan, with what the job has no field for
shipped_shelf  the invented fans
read_shelf     a file -> fans, or every fault at once
parse_shelf    its bytes -> fans
"""

import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from shroudwright.bench.errors import InputError
from shroudwright.catalogue.shelf import Line, shelf_lines
from shroudwright.fans.curve import right_branch
from shroudwright.job.checks import fan_faults
from shroudwright.job.drive import Fan
from shroudwright.job.fields import place_of
from shroudwright.job.files import bytes_of
from shroudwright.job.quantity import STANDINGS, is_unknown, read

_READ = (
    "blade",
    "hub",
    "frame_size",
    "frame_corner",
    "overall_depth",
    "depth_ahead",
    "motor",
    "weight",
    "blades",
    "rpm",
)
_TESTED = ("test_volts", "air_density", "run_amps", "start_amps", "free_flow", "shutoff_pressure", "noise")
_WORDS = ("code", "kind", "direction", "frame", "curve_standing", "price_date")
_OWN = ("frame_short", "fans_in_frame", "curve", "box_power", "price", "standing", "note")
COLUMNS = (*_WORDS, *_READ, *_TESTED, *_OWN)
MOST_IN_A_FRAME = 4
MOST_FAULTS = 200
_PLAIN = re.compile(r"[-+]?[\d.]+(e[-+]?\d+)?|\d+[ -]\d+/\d+|\d+/\d+")
_CURVE_UNITS = "cfm inH2O"


@dataclass(frozen=True)
class ShelfFan:
    """One fan of a shelf."""

    fan: Fan
    fits_either_way: bool
    """straight blades: may pull or push"""
    frame_short: float | None
    """shorter side of a frame that is not square, [m]"""
    fans_in_frame: int
    """fans sold together in one frame"""
    box_power: float | None
    """what the box says it draws, [W]"""
    note: str

    @property
    def code(self) -> str:
        """Its short name."""
        return self.fan.code


def shipped_shelf() -> tuple[ShelfFan, ...]:
    """Return the fans that are shipped, all invented."""
    return parse_shelf(files("shroudwright.catalogue").joinpath("fans.csv").read_bytes(), "fans.csv")


def read_shelf(path: str | os.PathLike[str]) -> tuple[ShelfFan, ...]:
    """Read a builder's own shelf.

    Parameters
    ----------
    path : path
        Of the CSV.

    Returns
    -------
    tuple of ShelfFan

    Raises
    ------
    InputError
        With one plain line for every fault: row, column, what was typed and what to type.
    """
    path = Path(path)
    return parse_shelf(bytes_of(path, "parts shelf"), path.name)


def parse_shelf(data: bytes, name: str) -> tuple[ShelfFan, ...]:
    """Read a shelf from the bytes of its file.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        What to call it in faults.

    Returns
    -------
    tuple of ShelfFan

    Raises
    ------
    InputError
        With one plain line for every fault.
    """
    units, lines = shelf_lines(data, name, COLUMNS)
    if unknown := list(_unit_faults(units)):
        raise InputError([f"{name} row 2, {fault}" for fault in unknown])
    fans: dict[str, ShelfFan] = {}
    faults: list[str] = []
    for line in lines:
        found, wrong = _fan(line, units)
        if found and found.code in fans:
            wrong.append(("code", f"{found.code!r} is on the shelf twice; give each its own"))
        faults += [f"{name} row {line.number}, {column}: {fault}" for column, fault in wrong]
        if found:
            fans.setdefault(found.code, found)
    if not lines:
        faults.append(f"{name}: no fans in it; one fan per row from row 3 on")
    if faults:
        more = [f"{name}: and {len(faults) - MOST_FAULTS} more"] if len(faults) > MOST_FAULTS else []
        raise InputError(faults[:MOST_FAULTS] + more)
    return tuple(fans.values())


def _kind(column: str) -> str:
    place = place_of(Fan.model_fields[column])
    assert place is not None
    return place.kind


def _unit_faults(units: Mapping[str, str]) -> Iterator[str]:
    for column, unit in units.items():
        if column in (*_READ, *_TESTED) and unit not in ("", "-"):
            try:
                read(f"1 {unit}", _kind(column))
            except ValueError as error:
                yield f"{column}: {error}"


def _fan(line: Line, units: Mapping[str, str]) -> tuple[ShelfFan | None, list[tuple[str, str]]]:
    cells = {column: cell for column, cell in line.cells.items() if not is_unknown(cell)}
    standing = cells.get("standing", "guess")
    faults = []
    if standing not in STANDINGS:
        faults.append(("standing", f"{standing!r} is not a way of knowing; write {', '.join(STANDINGS)}"))
        standing = "guess"
    faults += [(column, hint) for column, hint in _NEEDED.items() if column not in cells]
    raw: dict[str, Any] = {column: cells[column] for column in _WORDS if column in cells}
    either = raw.get("direction", "").lower() == "either"
    if either:
        raw["direction"] = "puller"
    for column in (*_READ, *_TESTED):
        if column in cells:
            raw[column] = _typed(cells[column], units[column], standing)
    if "price" in cells:
        raw["price"] = _typed(cells["price"], units["price"], "")
    if "curve" in cells:
        raw["curve"] = _points(cells["curve"], units["curve"] or _CURVE_UNITS)
    own: dict[str, float | None] = {}
    for column, kind in _OWN_KINDS.items():
        try:
            own[column] = _own(cells, column, units, kind)
        except ValueError as error:
            faults.append((column, str(error)))
    fan: Fan | None = None
    try:
        fan = Fan.model_validate(raw)
    except ValidationError as error:
        faults += [line for item in error.errors(include_url=False) for line in _plain(item)]
    if fan is None:
        return None, faults
    faults += [*(list(fan_faults(fan)) or _curve_faults(fan)), *_frame_faults(fan, own.get("frame_short"))]
    return (
        ShelfFan(
            fan=fan,
            fits_either_way=either,
            frame_short=own.get("frame_short"),
            fans_in_frame=int(own.get("fans_in_frame") or 1),
            box_power=own.get("box_power"),
            note=cells.get("note", ""),
        ),
        faults,
    )


_OWN_KINDS = {"frame_short": "length", "box_power": "power", "fans_in_frame": "number"}
_NEEDED = {"code": "blank; give the fan a short name", "blade": "blank; tape the blades tip to tip"}


def _typed(cell: str, unit: str, standing: str) -> str:
    """A bare number takes its column's unit and its row's standing; anything else stands as typed."""
    if not _PLAIN.fullmatch(cell):
        return cell
    return f"{cell} {'' if unit == '-' else unit}".strip() + (f", {standing}" if standing else "")


def _points(cell: str, units: str) -> list[Any]:
    """Points such as ``1950 0; 1783 0.1``: flow and pressure."""
    flow, _, pressure = units.partition(" ")
    pairs = (point.split() for point in cell.split(";") if point.strip())
    return [[f"{pair[0]} {flow}", f"{pair[1]} {pressure}"] if len(pair) == 2 else " ".join(pair) for pair in pairs]


def _own(cells: Mapping[str, str], column: str, units: Mapping[str, str], kind: str) -> float | None:
    if column not in cells:
        return None
    reading = read(_typed(cells[column], units[column], ""), kind)
    if column == "fans_in_frame" and reading.value not in range(1, MOST_IN_A_FRAME + 1):
        raise ValueError(f"{reading.typed} fans in one frame; type a whole number from 1 to {MOST_IN_A_FRAME}")
    if reading.value <= 0.0:
        raise ValueError(f"{reading.typed} is not possible; type more than nothing, or leave it blank")
    return reading.value


def _curve_faults(fan: Fan) -> Iterator[tuple[str, str]]:
    points = sorted((flow.value, pressure.value) for flow, pressure in fan.curve)
    try:
        if points:
            right_branch([flow for flow, _ in points], [pressure for _, pressure in points])
    except InputError as error:
        yield from (("curve", fault) for fault in error.faults)


def _frame_faults(fan: Fan, short: float | None) -> Iterator[tuple[str, str]]:
    if short is not None and (fan.frame_size is None or fan.frame == "round"):
        yield "frame_short", "only a square frame has a shorter side; give frame square and its frame_size"
    elif short is not None and fan.frame_size is not None and short > fan.frame_size.value:
        yield "frame_short", f"is more than frame_size {fan.frame_size.typed}; swap the two"


def _plain(item: Any) -> list[tuple[str, str]]:
    """One line per fault of a column; a point of the curve is no row of the file."""
    column = str(item["loc"][0])
    if column == "price_date":
        return [(column, f"{str(item['input'])[:40]!r} is not a day; type for example 2026-01-31")]
    lines = (
        item["msg"].removeprefix("Value error, ").replace("of puller, pusher", "of puller, pusher, either").splitlines()
    )
    return [(column, line.replace("row ", "point ", 1) if column == "curve" else line) for line in lines]
