"""How a job begins: the demo, or six questions.

questions      what is asked
from_answers   what was typed -> a name and a job's text
demo_text      the shipped demo's
"""

import re
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import NamedTuple

import tomlkit

from shroudwright.bench.errors import InputError
from shroudwright.doors.web.forms import groups_of
from shroudwright.job.files import parse_job
from shroudwright.job.model import Job


class Question(NamedTuple):
    """One of the six."""

    key: str
    asks: str
    example: str
    places: tuple[str, ...]
    """Fields of the job it fills, in the order typed."""
    needed: bool
    """Whether nothing stands in for it."""
    choices: tuple[str, ...] = ()
    unknown: str = ""
    """What is taken, and how far off it may be, where it is not known."""


_BETWEEN = re.compile(r"\s*×\s*|\s+x\s+|\s+and\s+")
_USES = {
    "street": ("idle", "stop-go", "cruise"),
    "show and parade": ("idle", "stop-go", "crawl", "cruise"),
    "towing": ("idle", "stop-go", "cruise", "grade"),
    "track": ("idle", "cruise", "pull"),
    "everything": (),
}
_NAMES = {
    "idle": "idle in gear",
    "stop-go": "stop-go",
    "crawl": "parade crawl",
    "cruise": "cruise",
    "grade": "grade or tow",
    "pull": "full-throttle pull",
}


@cache
def questions() -> tuple[Question, ...]:
    """Return the six questions a new job is begun with."""
    hottest, alternator = _taken("weather", "ambient"), _taken("electrical", "alternator_rating")
    return (
        Question(
            "engine",
            "How large is the engine, and how strong?",
            "5.7 L and 350 hp",
            ("engine.displacement", "engine.rated_power"),
            True,
        ),
        Question("use", "What is it for?", "street", (), False, tuple(_USES)),
        Question(
            "hottest",
            "The hottest day it must stand, in the shade?",
            "105 degF",
            ("weather.ambient",),
            False,
            unknown=f"{hottest} is taken",
        ),
        Question(
            "core",
            "How large is the finned core: width x height x depth?",
            "24 in x 17 in x 2 in",
            ("core.width", "core.height", "core.depth"),
            True,
        ),
        Question(
            "depth",
            "From the fins to the nearest thing behind?",
            "5 in",
            ("space.depth_map",),
            False,
            unknown="nothing is taken to stand in the way, and no drawing is for cutting until it is measured",
        ),
        Question(
            "alternator",
            "What does the alternator's case say?",
            "105 A",
            ("electrical.alternator_rating",),
            False,
            unknown=f"{alternator} is taken",
        ),
    )


def _taken(section: str, field: str) -> str:
    """Say what stands in for a number nobody gave, in the units of either kind of shop."""
    said = [
        box.guess
        for units in ("in", "mm")
        for group in groups_of(Job(schema_version=1, units=units), (section,))
        for box in group.boxes
        if box.place == f"{section}.{field}"
    ]
    return " or ".join(dict.fromkeys(said))


def from_answers(typed: Mapping[str, str]) -> tuple[str, bytes]:
    """Begin a job from what was typed.

    Parameters
    ----------
    typed : mapping of str to str
        By question; what is empty or says "don't know" is guessed.

    Returns
    -------
    name, text : str, bytes

    Raises
    ------
    InputError
        With every fault, in the words of the questions.
    """
    document = tomlkit.document()
    document["schema_version"] = 1
    name = typed.get("name", "").strip()[:80] or "new job"
    document["name"] = name
    document["units"] = "mm" if typed.get("units") == "mm" else "in"
    faults = []
    for question in questions():
        text = typed.get(question.key, "").strip()
        is_unknown = not text or text.lower() in ("don't know", "don’t know")
        if is_unknown and question.needed:
            faults.append(f"{question.asks} Type for example {question.example}; nothing can stand in for it.")
        if is_unknown or not question.places:
            continue
        parts = _BETWEEN.split(text)
        if len(parts) != len(question.places):
            faults.append(f"{question.asks} {text[:60]!r} has {len(parts)} parts; type for example {question.example}")
            continue
        for place, part in zip(question.places, parts, strict=True):
            section, field = place.split(".")
            if field == "depth_map":
                document[section] = {"depth_map": [{"depth": part}]}
                continue
            if section not in document:
                document[section] = tomlkit.table()
            document[section][field] = part
    for kind in _USES.get(typed.get("use", ""), ()):
        if "cases" not in document:
            document["cases"] = tomlkit.aot()
        case = tomlkit.table()
        case.update({"name": _NAMES[kind], "kind": kind})
        document["cases"].append(case)
    written = tomlkit.dumps(document).encode("utf-8")
    if faults:
        raise InputError(faults)
    parse_job(written, name)
    return name, written


def demo_text() -> tuple[str, bytes]:
    """Return the shipped demo's name and text."""
    text = files("shroudwright.job").joinpath("demo.job.toml").read_bytes()
    return parse_job(text, "demo").name, text
