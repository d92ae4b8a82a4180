"""Where a finding is mended: the box it is about, and the page that holds it.

mend_of    a finding of a job -> Mend
anchor_of  a field's place -> what its box is called in an address
"""

import csv
import re
from functools import cache
from importlib.resources import files
from typing import NamedTuple

from pydantic import BaseModel

from shroudwright.doors.web.sheets import SHEETS
from shroudwright.job.model import Job
from shroudwright.job.table import part_of


class Mend(NamedTuple):
    """Where something is mended."""

    page: str
    anchor: str
    says: str
    """The box, in words."""


def mend_of(code: str, place: str, job: Job) -> Mend | None:
    """Return where a finding is mended.

    Parameters
    ----------
    code : str
        The finding's.
    place : str
        Where it says it is: a field, or words that name a fan, hose, case or bracket.
    job : Job
        As read.

    Returns
    -------
    Mend or None
        None where no box is kept for the code.
    """
    field = place if _is_field(place) else table().get(code)
    if field is None:
        return None
    if field.startswith("@"):
        page, _, anchor = field.removeprefix("@").partition("#")
        return Mend(page, anchor, {"fixes": "What would fix it", "choose": "Choose fans"}[anchor])
    return field_mend(field, place, job)


def field_mend(field: str, place: str, job: Job) -> Mend | None:
    """Return where a field stands; ``*`` in it is the item of its list that ``place`` names, or the first."""
    section, *rest = field.split(".")
    page = next((sheet.slug for sheet in SHEETS if section in sheet.asks), None)
    if page is None:
        return None
    name = rest[-1].replace("_", " ")
    if rest[0] != "*":
        return Mend(page, anchor_of(field), name)
    items = getattr(job, section)
    if not items:
        return Mend(page, f"add-{section}", f"one more of {section}")
    at = _named(items, place)
    return Mend(page, anchor_of(f"{section}.{at}.{rest[-1]}"), f"{name} of {_name(items[at]) or at + 1}")


def anchor_of(field: str) -> str:
    """Return what a field's box is called in an address."""
    return "f-" + field.replace(".", "-")


@cache
def table() -> dict[str, str]:
    """Return the field each code is mended at."""
    text = files("shroudwright.doors.web").joinpath("mends.csv").read_text(encoding="utf-8")
    return {row["code"]: row["field"] for row in csv.DictReader(text.splitlines())}


def _is_field(place: str) -> bool:
    section, *rest = place.split(".")
    if section not in Job.model_fields or not rest or not re.fullmatch(r"[a-z0-9_.]+", place):
        return False
    part: type[BaseModel] | None = part_of(Job.model_fields[section].annotation)
    return part is not None and rest[-1] in part.model_fields


def _named(items: tuple[BaseModel, ...], place: str) -> int:
    words = re.split(r"[:,;]\s*|\s+and\s+", place)
    found = [at for at, item in enumerate(items) if _name(item) and _name(item) in (place, *words)]
    within = [at for at, item in enumerate(items) if _name(item) and _name(item) in place]
    return next(iter([*found, *within]), 0)


def _name(item: BaseModel) -> str:
    return str(getattr(item, "code", None) or getattr(item, "name", None) or "")
