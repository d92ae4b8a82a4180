"""Shop math: functions a builder would ask for, offered with units read from their docstrings.

offer      decorator that puts a public function on the list
describe   the parameters, results, units, limits and source a docstring states
compute    call a function with typed units and get a value in the unit asked for
"""

import difflib
import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from shroudwright.bench.errors import InputError
from shroudwright.bench.units import convert, split

Function = TypeVar("Function", bound=Callable[..., Any])

OFFERED: dict[str, Callable[..., Any]] = {}


def offer(function: Function) -> Function:
    """Put a public function on the shop-math list under its own name."""
    OFFERED[function.__name__] = function
    return function


@dataclass(frozen=True)
class Entry:
    """One parameter or result: its name, what it means, and its unit tag."""

    name: str
    meaning: str
    unit: str

    @property
    def is_text(self) -> bool:
        """Whether the value is a word to choose, not a number."""
        return self.unit == "text"


@dataclass(frozen=True)
class Description:
    """What a docstring says of a function."""

    title: str
    parameters: tuple[Entry, ...]
    results: tuple[Entry, ...]
    notes: str
    references: str


_TAG = re.compile(r"\[([^\[\]]+)\]\s*$")
_HEADING = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)


def _entries(section: str) -> tuple[Entry, ...]:
    found = []
    for block in re.split(r"\n(?=\S)", section.strip("\n")):
        head, _, body = block.partition("\n")
        meaning = " ".join(line.strip() for line in body.splitlines())
        tag = _TAG.search(meaning)
        for name in head.partition(" : ")[0].split(","):
            unit = "" if tag is None else tag[1].strip()
            found.append(Entry(name.strip(), _TAG.sub("", meaning).rstrip(" ,."), "" if unit == "-" else unit))
    return tuple(found)


def describe(function: Callable[..., Any]) -> Description:
    """Read a function's numpydoc docstring.

    Parameters
    ----------
    function : callable
        A documented public function.

    Returns
    -------
    Description
        Title, parameters and results with unit tags, notes and references.
    """
    text = inspect.cleandoc(function.__doc__ or "")
    pieces = _HEADING.split(text)
    sections = dict(zip(pieces[1::2], pieces[2::2], strict=True))
    return Description(
        title=pieces[0].strip().partition("\n")[0],
        parameters=_entries(sections["Parameters"]) if "Parameters" in sections else (),
        results=_entries(sections["Returns"]) if "Returns" in sections else (),
        notes=sections.get("Notes", "").strip(),
        references=sections.get("References", "").strip(),
    )


def _unit(tag: str) -> tuple[str, bool]:
    """Split a tag such as ``K rise`` into a unit and whether it is a difference."""
    return (tag.removesuffix(" rise"), True) if tag.endswith(" rise") else (tag, False)


def argument(entry: Entry, value: object, unit: str | None = None) -> Any:
    """Turn a typed or tabulated value into what the function takes.

    Parameters
    ----------
    entry : Entry
        The parameter.
    value : object
        Text such as ``"0.125 in"``, a number, a list of numbers, or a word.
    unit : str, optional
        The unit of a number; by default text carries its own and a bare number is SI.

    Returns
    -------
    float, list or str
        The value in SI, or the word.

    Raises
    ------
    ValueError
        If the value cannot be read in the parameter's unit.
    """
    if entry.is_text:
        return str(value)
    if isinstance(value, list | tuple):
        return [argument(entry, item, unit) for item in value]
    si, difference = _unit(entry.unit)
    if isinstance(value, str):
        number, typed = split(value)
        return convert(number, typed or unit or si, si, difference=difference)
    return convert(float(value), unit if unit is not None else si, si, difference=difference)  # type: ignore[arg-type]


def in_unit(entry: Entry, value: Any, unit: str) -> Any:
    """Express a result in another unit, element by element where it is a list."""
    if entry.is_text or isinstance(value, str):
        return value
    if isinstance(value, list | tuple):
        return [in_unit(entry, item, unit) for item in value]
    si, difference = _unit(entry.unit)
    return convert(float(value), si, unit, difference=difference)


def results_of(function: Callable[..., Any], arguments: Mapping[str, Any]) -> dict[str, tuple[Entry, Any]]:
    """Call a function and pair each documented result with its value, in SI."""
    entries = describe(function).results
    value = function(**arguments)
    values = tuple(value) if len(entries) > 1 else (value,)
    return {entry.name: (entry, item) for entry, item in zip(entries, values, strict=True)}


def compute(name: str, typed: Mapping[str, str]) -> dict[str, tuple[Entry, Any]]:
    """Compute one offered function from typed arguments.

    Parameters
    ----------
    name : str
        A name on the shop-math list, [text]
    typed : mapping of str to str
        Argument name to typed value, such as ``{"angle": "90 deg"}``.

    Returns
    -------
    dict
        Result name to its description and its value in SI.

    Raises
    ------
    InputError
        Listing every fault: unknown name, missing, unknown or unreadable arguments.
    """
    if name not in OFFERED:
        near = difflib.get_close_matches(name, OFFERED, n=3)
        hint = f"; did you mean {', '.join(near)}?" if near else ""
        raise InputError([f"no shop math is called {name!r}{hint}"])
    function = OFFERED[name]
    entries = {entry.name: entry for entry in describe(function).parameters}
    needed = {
        key for key, item in inspect.signature(function).parameters.items() if item.default is inspect.Parameter.empty
    }
    faults = [f"{name} takes no {key!r}; it takes {', '.join(entries)}" for key in typed if key not in entries]
    faults += [f"{name} also needs {key} ({entries[key].meaning})" for key in entries if key in needed - typed.keys()]
    arguments: dict[str, Any] = {}
    for key, text in typed.items():
        if key in entries:
            try:
                arguments[key] = argument(entries[key], text)
            except ValueError as error:
                faults.append(f"{key}: {error}; its unit is {entries[key].unit or 'a bare number'}")
    if faults:
        raise InputError(faults)
    try:
        return results_of(function, arguments)
    except (ValueError, ZeroDivisionError, OverflowError) as error:
        raise InputError([f"{name}: {error}"]) from error
