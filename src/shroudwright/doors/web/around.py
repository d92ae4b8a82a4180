"""Hose necks, keep-outs and depth zones on the fans' stage.

scene     a job's text -> what the stage is drawn from, these among it
around    one of them elsewhere -> clearances
typed     one of them elsewhere -> what to type

A thing's place is its middle, of a keep-out its lower left corner, as in the job.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.choose.layouts import tape_text
from shroudwright.doors.web.stage import gaps_told, kept_of
from shroudwright.doors.web.stage import scene as fans_alone
from shroudwright.job.files import parse_job
from shroudwright.job.fitting import fit_of, refit
from shroudwright.job.model import Job
from shroudwright.job.plenum import drawing_fans
from shroudwright.job.quantity import Reading
from shroudwright.live.moves import Place, stood
from shroudwright.shroud.bodies import HOSE_SWEEP
from shroudwright.shroud.fit import missing
from shroudwright.speech import SHOPS


class _Kind(NamedTuple):
    """One list of ``[space]``."""

    says: str
    moved: tuple[str, ...]
    """What a finger changes."""
    asked: tuple[str, ...]
    """What may be typed."""


KINDS = {
    "necks": _Kind("hose neck", ("x", "y", "diameter"), ("x", "y", "diameter", "reach")),
    "keep_outs": _Kind("keep-out", ("x", "y", "width", "height"), ("x", "y", "width", "height", "depth", "reason")),
    "depth_map": _Kind("depth zone", ("x", "y", "size"), ("x", "y", "size", "depth")),
}
_SAYS = {
    "x": "from the left",
    "y": "from the bottom",
    "width": "wide",
    "height": "high",
    "reach": "stands out behind",
    "size": "across",
    "depth": "behind the fins",
}
_HAIR = 1e-6
_FIRST: dict[str, dict[str, float]] = {
    "necks": {"diameter": 0.0381, "reach": 0.0508},
    "keep_outs": {"width": 0.0762, "height": 0.0762, "depth": 0.0},
    "depth_map": {"size": 0.1016, "depth": 0.1016},
}
"""What one more begins with, to be typed over: common sizes, no source, [m]"""


def scene(text: bytes, name: str) -> dict[str, Any]:
    """Return what the stage is drawn from: fans, and what stands round them.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.

    Returns
    -------
    dict
        As `stage.scene`, and each thing's part, index, sizes in metres and fields as typed.

    Raises
    ------
    InputError
        If the job cannot be worked out.
    """
    kinds = [{"part": part, "says": kind.says, "first": _FIRST[part]} for part, kind in KINDS.items()]
    return fans_alone(text, name) | {"things": _things(parse_job(text, name)), "kinds": kinds, "sweep": HOSE_SWEEP}


def _things(job: Job) -> list[dict[str, Any]]:
    found = []
    for part, kind in KINDS.items():
        for index, row in enumerate(getattr(job.space, part)):
            held = {field: getattr(row, field) for field in kind.asked}
            found.append(
                {
                    "part": part,
                    "index": index,
                    "says": f"{kind.says} {index + 1}",
                    "at": {field: held[field].value if held[field] else None for field in kind.moved},
                    "fields": [
                        {
                            "field": field,
                            "says": _SAYS.get(field, field),
                            "typed": value.typed if isinstance(value, Reading) else value or "",
                        }
                        for field, value in held.items()
                    ],
                }
            )
    return found


def around(
    text: bytes, name: str, places: Sequence[Sequence[float]], part: str, index: int, at: Mapping[str, float]
) -> dict[str, Any]:
    """Return the clearances with one thing elsewhere.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    places : sequence of (x, y)
        Of the fans, [m]
    part : str
        List of ``[space]`` the thing is in.
    index : int
        Its place there.
    at : mapping of str to float
        What a finger changed, [m]

    Returns
    -------
    dict

    Raises
    ------
    InputError
        If there is no such thing.
    """
    live = kept_of(text, name).live
    job = parse_job(text, name)
    _known(job, part, index, at)
    rows = list(getattr(job.space, part))
    rows[index] = rows[index].model_copy(update={field: _reading(value) for field, value in at.items()})
    job = job.model_copy(update={"space": job.space.model_copy(update={part: tuple(rows)})})
    filled = replace(live.middle, job=job)
    fit = fit_of(filled)
    fit = refit(fit, stood(fit.fans, drawing_fans(filled), [Place(x, y) for x, y in places]))
    return {
        "gaps": gaps_told(fit.clearances, SHOPS[job.units or "in"]),
        "fits": not missing(fit.clearances),
        "typed": _tape(job, at),
    }


def typed(text: bytes, name: str, part: str, index: int | None, at: Mapping[str, float]) -> dict[str, str]:
    """Return what to type for a thing elsewhere, or for one more.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    part : str
        List of ``[space]``.
    index : int or None
        Its place there; None for one more.
    at : mapping of str to float
        What a finger changed, [m]

    Returns
    -------
    dict of str to str
        By field, as a tape reads.

    Raises
    ------
    InputError
        If there is no such thing.
    """
    job = parse_job(text, name)
    _known(job, part, index, at)
    return _tape(job, (_FIRST[part] if index is None else {}) | dict(at))


def _tape(job: Job, at: Mapping[str, float]) -> dict[str, str]:
    shop = SHOPS[job.units or "in"]
    return {field: tape_text(value, shop) if abs(value) > _HAIR else f"0 {shop.length}" for field, value in at.items()}


def _known(job: Job, part: str, index: int | None, at: Mapping[str, float]) -> None:
    if part not in KINDS:
        raise InputError([f"space.{part[:40]}: there is no such list"])
    if index is not None and not 0 <= index < len(getattr(job.space, part)):
        raise InputError([f"space.{part}.{index}: there is no such place"])
    if unknown := [field for field in at if field not in KINDS[part].moved]:
        raise InputError([f"space.{part}: nothing is called {unknown[0][:40]!r}"])


def _reading(value: float) -> Reading:
    return Reading(f"{value:.6g} m", value, "guess", None, "length")
