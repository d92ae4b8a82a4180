"""The starter: a job file with every field in it, made from the model and the table of guesses.

starter    its text, in inches or millimetres
unit_of    the unit a shop takes a kind of number in
"""

import json
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from shroudwright.bench.errors import InputError
from shroudwright.job.fields import extra, kinds_of, place_of, words_of
from shroudwright.job.model import Job
from shroudwright.job.priors import Prior, Word, priors, words
from shroudwright.job.quantity import read, shown
from shroudwright.job.table import part_of

SAMPLE: dict[str, dict[str, str | int]] = {
    "weather": {"ambient": "100 degF"},
    "engine": {"displacement": "5.7 L", "rated_power": "350 hp"},
    "core": {"width": "24 in", "height": "17 in", "depth": "2 in"},
    "fans": {"code": "F1", "blade": "16 in", "free_flow": "1950 cfm, box", "run_amps": "17 A, box"},
}
"""The lines a starter leaves uncommented: the least a builder should fill in."""

_GRADE = 4
_LISTS = (
    *("ahead", "stack_gaps", "shroud_boxes", "flaps", "gaps", "holes", "brackets", "hoses"),
    *("fans", "cases", "accepted", "planned", "measured"),
)
_NAMED = {"code": "code of the finding", "name": "grade with the trailer", "kind": "grade"}
_UNITS = {
    "in": {
        "mass": "lb",
        "volume": "L",
        "temperature": "degF",
        "rise": "degF",
        "speed": "mph",
        "pressure": "psi",
        "air_flow": "cfm",
        "liquid_flow": "gpm",
        "torque": "lbf*ft",
    },
    "mm": {
        "mass": "kg",
        "volume": "L",
        "temperature": "degC",
        "rise": "degC",
        "speed": "km/hour",
        "pressure": "kPa",
        "air_flow": "m**3/hour",
        "liquid_flow": "L/min",
        "torque": "N*m",
    },
    "": {
        "angle": "deg",
        "spin": "rpm",
        "time": "s",
        "power": "kW",
        "current": "A",
        "charge": "A*hour",
        "voltage": "V",
        "resistance": "mohm",
        "conductivity": "W/m/K",
        "count_per_length": "per_inch",
        "noise": "dB",
    },
}

_HEAD = """\
# A job: what you know of one vehicle's cooling.
#
# Change the lines that start without a #: the numbers there are only samples. Every other line shows
# the guess used until you know better (or an example, where nothing is guessed): take its # away and
# type over it. Save, and that is all.
#
# Type a number with its unit, then a comma and how you know it:
#     "23 1/2 in, measured"    with a tape or a gauge, on this vehicle
#     "17 A, catalogue"        the maker's sheet
#     "1950 cfm, box"          what the seller prints
#     "8 psi, guess"           or nothing after the number: a guess
#     "12 gpm +- 2 gpm"        when you know how far off it may be
#     "don't know"             the same as leaving it out
"""


def _unit(value: float, kind: str, field: FieldInfo, units: str) -> str:
    if kind == "length":
        if not extra(field, "bare"):
            return "ft" if units == "in" else "m"
        return "in" if units == "in" and (value == 0.0 or abs(value) >= 0.005) else "mm"
    if kind == "area":
        return "m**2" if value >= 0.1 else "in**2" if units == "in" else "cm**2"
    if kind == "pressure" and 0.0 < value < 5000.0:
        return "inH2O" if units == "in" else "Pa"
    return _UNITS[units].get(kind) or _UNITS[""][kind]


def _number(value: float, kind: str, field: FieldInfo, units: str, standing: str = "") -> str:
    if kind in ("share", "number"):
        return f"{value:.3g}"
    text = shown(value, _unit(value, kind, field, units), kind)
    return f'"{text}, {standing}"' if standing else f'"{text}"'


def _typed(text: str | int, field: FieldInfo, units: str) -> str:
    """Write an example in the file's units."""
    place = place_of(field)
    if place is None or (kinds := kinds_of(field)) is None or kinds.rows:
        return str(text) if isinstance(text, int) or text.startswith("[") else f'"{text}"'
    if units == "in" and place.kind not in ("share", "number"):
        return f'"{text}"'
    reading = read(text, place.kind)
    standing = "" if reading.standing == "guess" else reading.standing
    return _number(reading.value, place.kind, field, units, standing)


def _word(value: str | bool) -> str:
    return str(value).lower() if isinstance(value, bool) else f'"{value}"'


def unit_of(kind: str, units: str) -> str:
    """Return the unit a shop takes a kind of number in, lengths in its own; nothing for a bare number."""
    return units if kind == "length" else _UNITS[units].get(kind) or _UNITS[""].get(kind, "")


class _Starter:
    def __init__(self, units: str) -> None:
        self.units = units
        typed: dict[str, Any] = {**SAMPLE, "fans": [SAMPLE["fans"]], "ahead": [{}], "brackets": [{}], "hoses": [{}]}
        job = Job.model_validate(typed)
        self.numbers: dict[str, Prior] = priors(job)
        self.words: dict[str, Word] = words(job)

    def _guess(self, section: str, name: str) -> Prior | Word | None:
        paths = [f"{section}.{name}", f"{section}.{_GRADE}.{name}"]
        paths += [f"{section}.{index}.{name}" for index in range(6)]
        for path in paths:
            if found := self.numbers.get(path) or self.words.get(path):
                return found
        return None

    def line(self, section: str, name: str, field: FieldInfo) -> str:
        """Return one field's line."""
        mark = "#"
        if name in SAMPLE.get(section, {}):
            mark, text = "", _typed(SAMPLE[section][name], field, self.units)
        elif guess := self._guess(section, name):
            text = (
                _word(guess.value) if isinstance(guess, Word) else _number(guess.median, guess.kind, field, self.units)
            )
        elif example := extra(field, "example"):
            text = _typed(example, field, self.units)
        elif options := words_of(field):
            text = _word(options[0])
        else:
            text = f'"{_NAMED.get(name, "...")}"'
        sentence = field.description or ""
        if options := words_of(field):
            sentence += f" One of: {', '.join(_word(option).strip(chr(34)) for option in options)}."
        return f"{mark + name + ' = ' + text:<44} # {sentence}"

    def section(self, name: str, part: type[BaseModel]) -> list[str]:
        """Return a section with its lead comment."""
        header = f"[[{name}]]" if name in _LISTS else f"[{name}]"
        mark = "#" if name in _LISTS and name not in SAMPLE else ""
        lead = (part.__doc__ or "").partition("\n")[0]
        more = " Repeat the whole block for each one." if name in _LISTS else ""
        lines = [self.line(name, field, info) for field, info in part.model_fields.items()]
        return ["", f"# {lead}{more}", f"{mark}{header}", *lines]


def starter(units: str = "in", name: str = "my car") -> str:
    """Return the text of a starter file.

    Parameters
    ----------
    units : str
        ``in`` or ``mm``, [text]
    name : str
        What the job is called, [text]

    Returns
    -------
    text : str
        TOML that reads without a fault, before and after its lines are filled in.

    Raises
    ------
    InputError
        If the units are neither.
    """
    if units not in ("in", "mm"):
        raise InputError([f"units: {units!r} is not one of in, mm"])
    maker = _Starter(units)
    lines = [
        _HEAD,
        "schema_version = 1",
        f"name = {json.dumps(name, ensure_ascii=False)}",
        f'units = "{units}"' + " " * 32 + "# Unit of a length typed without one.",
        '#note = "who, what and when"',
    ]
    for section, info in Job.model_fields.items():
        if part := part_of(info.annotation):
            lines += maker.section(section, part)
    return "\n".join(lines) + "\n"
