"""A job's fields as boxes to type in.

Box         one field
Group       a section, or one item of a list
groups_of   the groups of some sections of a job
value_of    what was typed in a box, as a job's file holds it
"""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any, Literal, NamedTuple

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from shroudwright.bench.errors import InputError
from shroudwright.job.fields import extra, kinds_of, words_of
from shroudwright.job.model import Job
from shroudwright.job.priors import Prior, Word, priors, words
from shroudwright.job.quantity import PRINTED, Reading
from shroudwright.job.table import part_of
from shroudwright.reasons import in_shop_units

How = Literal["reading", "choice", "text", "rows"]
NAMES = {
    "": "This job",
    "ahead": "Coolers ahead",
    "belt_fan": "Fan the engine drives",
    "shroud_boxes": "Several boxes",
    "first_look": "First look",
    "cases": "Driving cases",
    "space": "Space behind the core",
    "mount": "How the core is held",
    "accepted": "Findings accepted",
    "calibration": "From readings",
}
_HEAD = ("name", "units", "note")


class Box(NamedTuple):
    """One field."""

    place: str
    """In the job, such as ``core.width``."""
    label: str
    says: str
    how: How
    typed: str
    """As it stands in the file; nothing where it is left out."""
    standing: str
    """How it is known, in words; of a guess nobody typed, ``guess``."""
    guess: str
    """What stands in for it, with its band; nothing where nothing does."""
    source: str
    reading: str
    """The measurement that replaces the guess."""
    example: str
    choices: tuple[str, ...]


class Group(NamedTuple):
    """A section, or one item of a list of them."""

    place: str
    title: str
    says: str
    boxes: tuple[Box, ...]
    is_list: bool
    """Whether more of its kind may be added."""
    at: int | None
    """Of the item; None of a section, and of a list without an item."""


def groups_of(job: Job, sections: Sequence[str]) -> list[Group]:
    """Return some sections of a job as groups of boxes.

    Parameters
    ----------
    job : Job
        As read.
    sections : sequence of str
        Their names in the job; an empty one is the job's own head.

    Returns
    -------
    list of Group
        In that order, a list's items one by one and a last group without an index to add another with.
    """
    numbers: dict[str, Prior] = {}
    chosen: dict[str, Word] = {}
    for section in filter(None, sections):
        # Without the few numbers every guess leans on there are no guesses to show, and the boxes say the rest.
        with suppress(InputError):
            numbers |= priors(job, section)
            chosen |= words(job, section)
    filler = _Filler(job, numbers, chosen)
    return [group for section in sections for group in filler.groups(section)]


class _Filler:
    def __init__(self, job: Job, numbers: Mapping[str, Prior], chosen: Mapping[str, Word]) -> None:
        self.job, self.numbers, self.chosen = job, numbers, chosen
        self.units = job.units or "in"

    def groups(self, section: str) -> list[Group]:
        """Return one section, or every item of a list and a place for one more."""
        if not section:
            boxes = [self.box(name, self.job, name, Job.model_fields[name]) for name in _HEAD]
            return [Group("", NAMES[""], "", tuple(boxes), False, None)]
        part = part_of(Job.model_fields[section].annotation)
        assert part is not None
        says = (part.__doc__ or "").partition("\n")[0]
        title = NAMES.get(section, section.replace("_", " ").capitalize())
        held = getattr(self.job, section)
        if not isinstance(held, tuple):
            return [Group(section, title, says, self.boxes(section, held, part), False, None)]
        groups = [
            Group(
                f"{section}.{i}", self._item(section, item, i), says, self.boxes(f"{section}.{i}", item, part), True, i
            )
            for i, item in enumerate(held)
        ]
        return [*groups, Group(section, title, says, (), True, None)]

    @staticmethod
    def _item(section: str, item: Any, index: int) -> str:
        name = getattr(item, "name", "") or getattr(item, "code", "") or ""
        single = NAMES.get(section, section.replace("_", " ").capitalize()).removesuffix("s")
        return f"{single} {index + 1}" + (f": {name}" if name and name != f"{single.lower()} {index + 1}" else "")

    def boxes(self, above: str, held: Any, part: type[BaseModel]) -> tuple[Box, ...]:
        """Return a box for every field of a section."""
        return tuple(self.box(f"{above}.{name}", held, name, info) for name, info in part.model_fields.items())

    def box(self, place: str, held: Any, name: str, info: FieldInfo) -> Box:
        """Return one field's box."""
        value, kinds, options = getattr(held, name), kinds_of(info), words_of(info)
        how: How = "choice" if options else "text"
        if kinds is not None:
            how = "rows" if kinds.rows else "reading"
        elif isinstance(value, tuple):
            how = "rows"
        number, word = self.numbers.get(place), self.chosen.get(place)
        typed, standing, guess = _typed(value), "", ""
        if isinstance(value, Reading):
            standing = PRINTED[value.standing]
        if number is not None and not number.typed:
            standing = "guess"
            guess = self._band(number)
        elif word is not None and word.is_guess:
            standing, guess = "guess", _word(word.value)
        about = number or word
        return Box(
            place=place,
            label=name.replace("_", " "),
            says=info.description or "",
            how=how,
            typed=typed if not (word and word.is_guess) else "",
            standing=standing,
            guess=guess,
            source=about.source if about else "",
            reading=about.measurement if about else "",
            example=str(extra(info, "example") or ""),
            choices=tuple(_word(option) for option in options),
        )

    def _band(self, number: Prior) -> str:
        middle, low, high = (
            in_shop_units(x, number.kind, self.units) for x in (number.median, number.low, number.high)
        )
        return middle if low == high else f"{middle} ({low} to {high})"


def value_of(place: str, text: str) -> Any:
    """Return what was typed in a box as a job's file holds it.

    Parameters
    ----------
    place : str
        Of the field, such as ``core.width`` or ``fans.0.code``.
    text : str
        As typed; rows are parted by semicolons, cells by commas.

    Returns
    -------
    str, bool, list or None
        None where nothing was typed.
    """
    text = text.strip()
    if not text:
        return None
    info = _field_at(place)
    if True in words_of(info) and text in ("yes", "no"):
        return text == "yes"
    kinds = kinds_of(info)
    inner = part_of(info.annotation)
    if inner is not None:
        return [_pairs(row, place) for row in text.split(";") if row.strip()]
    if kinds is not None and kinds.rows:
        return [[cell.strip() for cell in row.split(",")] for row in text.split(";") if row.strip()]
    if str(info.annotation).startswith("tuple[str"):
        return [code.strip() for code in text.split(";") if code.strip()]
    return text


def _pairs(row: str, place: str) -> dict[str, str]:
    pairs = [cell.partition("=") for cell in row.split(",") if cell.strip()]
    if any(not equals for _, equals, _ in pairs):
        raise InputError(
            [f"{place}: {row.strip()[:60]!r}; type for example x = 8 in, y = 10 in, depth = 3 in; and so on"]
        )
    return {name.strip(): value.strip() for name, _, value in pairs}


def _field_at(place: str) -> FieldInfo:
    part: type[BaseModel] | None = Job
    *above, name = [step for step in place.split(".") if not step.isdigit()]
    for step in above:
        part = part_of(part.model_fields[step].annotation) if part and step in part.model_fields else None
    if part is None or name not in part.model_fields:
        raise InputError([f"{place}: there is no such field"])
    return part.model_fields[name]


def _typed(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, Reading):
        return value.typed
    if isinstance(value, bool):
        return _word(value)
    if isinstance(value, BaseModel):
        held = {name: _typed(getattr(value, name)) for name in type(value).model_fields}
        return ", ".join(f"{name} = {text}" for name, text in held.items() if text)
    if isinstance(value, tuple):
        rows = [", ".join(_typed(cell) for cell in row) if isinstance(row, tuple) else _typed(row) for row in value]
        return "; ".join(rows)
    return str(value)


def _word(value: object) -> str:
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)
