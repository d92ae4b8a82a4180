"""What a finger needs while it drags a fan: the scene once, then numbers in every frame.

scene    a job's text -> what the stage is drawn from
quick    places -> numbers at the medians
settle   places -> the numbers to trust, and the places as a tape reads them

These run in a process of their own that keeps the last few jobs prepared.
"""

import gc
from collections.abc import Sequence
from functools import lru_cache
from hashlib import sha256
from typing import Any, NamedTuple

import numpy as np

from shroudwright.assessment import WORDS
from shroudwright.bench.units import convert
from shroudwright.choose.layouts import tape_text
from shroudwright.doors.web.recent import Recent
from shroudwright.drawing.air_map import RAMP, SPEED_UNITS, Face
from shroudwright.drawing.clearances import says_of, tightest_pairs
from shroudwright.job.files import parse_job
from shroudwright.job.front import Space
from shroudwright.job.model import Job, has_belt_fan
from shroudwright.live.desk import Live, prepare
from shroudwright.live.moves import Place
from shroudwright.live.quick import Quick
from shroudwright.live.settled import CaseSettled
from shroudwright.shroud.fit import Clearance
from shroudwright.speech import CLIMBS, SHOPS, Dialect

_KEPT = 3
NO_FAN = "No fan stands behind this core yet."
_FAR = 5.0
"""Half a size past which a thing stands everywhere and is not drawn, [m]"""


class Kept(NamedTuple):
    """A job prepared, and how far the middle of its draws lies over the answer at its medians, [K]."""

    live: Live
    shift: float


_prepared: Recent[tuple[str, str], Kept] = Recent(_KEPT)


@lru_cache(maxsize=64)
def _key(text: bytes) -> tuple[str, str]:
    """Name a job by everything but where its fans stand, and by what is left without the space behind its core."""
    job = parse_job(text, "job")
    fans = tuple(fan.model_copy(update={"x": None, "y": None}) for fan in job.fans)
    job = job.model_copy(update={"fans": fans})
    bare = job.model_copy(update={"space": Space()})
    whole, like = (sha256(one.model_dump_json().encode()).hexdigest() for one in (job, bare))
    return whole, like


def kept_of(text: bytes, name: str) -> Kept:
    """Return a job prepared: moved fans need no new preparing, a neck moved only a quick one."""
    key = _key(text)
    if key not in _prepared:
        job = parse_job(text, name)
        alike = next((kept for (_, like), kept in reversed(_prepared.items()) if like == key[1]), None)
        live = prepare(job) if alike is None else alike.live.changed(job)
        settled, now = live.settle(live.places).cases[0], live.quick(live.places)
        shift = settled.coolant.value - now.coolant if settled.coolant and now.coolant else 0.0
        _prepared[key] = Kept(live, shift)
        gc.collect()
        gc.freeze()  # what stays would be looked through again in the middle of a drag
    return _prepared[key]


def scene(text: bytes, name: str) -> dict[str, Any]:
    """Return what the stage is drawn from, and its numbers as the job stands.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.

    Returns
    -------
    dict
        Lengths in metres from the core's lower left corner, seen from behind.

    Raises
    ------
    InputError
        If the job cannot be worked out.
    """
    kept = kept_of(text, name)
    live = kept.live
    places = _places(parse_job(text, name), live)
    now = live.quick(places)
    core = live.job.core
    assert core.width is not None
    assert core.height is not None
    boxes = now.fit.boxes or (() if now.fit.plate is None else (now.fit.plate,))
    units = live.job.units or "in"
    return {
        "units": units,
        "snap": 0.0254 / 16.0 if units == "in" else 0.001,
        "core": [core.width.value, core.height.value],
        "plates": [list(plate.outline) for plate in boxes],
        "solids": [
            {
                "name": solid.name,
                "x": solid.x - solid.width,
                "y": solid.y - solid.height,
                "width": 2.0 * solid.width,
                "height": 2.0 * solid.height,
                "corner": solid.corner,
            }
            for solid in now.fit.solids
            if solid.kind == "tank" and max(solid.width, solid.height) < _FAR
        ],
        "fans": [
            {
                "code": fan.code,
                "opening": fan.opening,
                "frame": fan.frame,
                "corner": fan.corner,
                "motor": fan.motor,
                "place": [place.x, place.y],
            }
            for fan, place in zip(now.fit.fans, places, strict=True)
        ],
        "ramp": list(RAMP),
        "scale": _scale(live.fastest, SPEED_UNITS[units]),
        "now": told(kept, now),
    }


def _scale(fastest: float, unit: str) -> str:
    return f"face speed, 0 to {convert(fastest, 'm/s', unit):.4g} {unit}" if fastest > 0.0 else ""


def quick(text: bytes, name: str, places: Sequence[Sequence[float]]) -> dict[str, Any]:
    """Return the numbers at the medians with fans elsewhere.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    places : sequence of (x, y)
        One for each fan, [m]

    Returns
    -------
    dict

    Raises
    ------
    InputError
        If a place is nowhere near the core.
    """
    kept = kept_of(text, name)
    now = kept.live.quick([Place(x, y) for x, y in places])
    return told(kept, now)


def settle(text: bytes, name: str, places: Sequence[Sequence[float]]) -> dict[str, Any]:
    """Return the numbers to trust with fans elsewhere, and what to type for the places.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    places : sequence of (x, y)
        One for each fan, [m]

    Returns
    -------
    dict

    Raises
    ------
    InputError
        If a place is nowhere near the core, or no air can be worked out with the fans there.
    """
    live = kept_of(text, name).live
    shop = SHOPS[live.job.units or "in"]
    case = live.settle([Place(x, y) for x, y in places]).cases[0]
    typed = [[tape_text(x, shop), tape_text(y, shop)] for x, y in places]
    return settled_words(case, shop) | {"typed": typed}


def settled_words(case: CaseSettled, shop: Dialect) -> dict[str, Any]:
    """Say a settled case as a page's lead: number, band and sentence."""
    if case.coolant is not None:
        number = shop.temperature_text(case.coolant.value)
        band = f"{shop.degrees(case.coolant.low)} to {shop.degrees(case.coolant.high)} {shop.degree_sign}"
    elif case.seconds is not None:
        number = f"{case.seconds.value:.0f} s"
        band = f"{case.seconds.low:.0f} to {case.seconds.high:.0f} s"
    else:
        number, band = CLIMBS, ""
    chance = f"{100 * case.chance_of_holding:.0f} chances in 100 it holds in {case.name}"
    return {
        "number": number,
        "band": f"{band}, nine answers in ten" if band else "",
        "sentence": f"{WORDS[case.verdict]}: {chance}.",
    }


def _places(job: Job, live: Live) -> list[Place]:
    """Return where the fans of this text stand; one whose place nobody typed stands where the job puts it."""
    return [
        Place(fan.x.value if fan.x else own.x, fan.y.value if fan.y else own.y)
        for fan, own in zip(job.fans, live.places, strict=True)
    ]


def told(kept: Kept, now: Quick) -> dict[str, Any]:
    """Say the quick answer in words; a band's middle may lie off it, so it is shifted to meet the settled one."""
    live = kept.live
    shop = SHOPS[live.job.units or "in"]
    if now.coolant is not None:
        lead = shop.temperature_text(now.coolant + kept.shift)
    elif now.seconds is not None:
        lead = "no limit reached" if now.seconds == float("inf") else f"{now.seconds:.0f} s"
    else:
        lead = "…" if now.says else CLIMBS
    return {
        "lead": lead,
        "case": now.case,
        "says": now.says or ("" if live.job.fans or has_belt_fan(live.job) else NO_FAN),
        "fits": now.fits,
        "rows": _rows(now, shop),
        "gaps": gaps_told(now.clearances, shop),
        "map": None if now.face is None else _map(now.face, live.fastest),
    }


def gaps_told(clearances: Sequence[Clearance], shop: Dialect) -> list[dict[str, Any]]:
    """Say the tightest clearance of every pair."""
    return [
        {"words": ", ".join(says_of(item, shop)[::-1]), "short": item.spare < 0.0, "fans": list(item.between)}
        for item in tightest_pairs(clearances)
    ]


def _rows(now: Quick, shop: Dialect) -> list[tuple[str, str]]:
    rows = []
    if now.air_flow is not None:
        rows.append(("through the core", f"{shop.air_flow(now.air_flow)} {shop.air_sign}"))
    rows += [
        (
            fan.code,
            f"{shop.air_flow(fan.air_flow)} {shop.air_sign}, {fan.amps:.0f} A" + (", stalled" if fan.stalled else "")
            if fan.running
            else "stopped",
        )
        for fan in now.fans
    ]
    if now.amps is not None and now.fans:
        rows.append(("amps, all fans", f"{now.amps:.0f} A"))
    if now.noise is not None:
        rows.append(("noise at 1 m", f"{now.noise:.0f} dB(A)"))
    if now.starved_share is not None:
        rows.append(("core below half the mean air", f"{100 * now.starved_share:.0f} %"))
    return rows


def _map(face: Face, fastest: float) -> dict[str, Any]:
    """Speeds by the band of colours each falls in, -1 where there is none; row 0 at the bottom."""
    last = len(RAMP) - 1
    share = np.nan_to_num(np.clip(np.floor(len(RAMP) * face.speed / fastest), 0.0, last), nan=-1.0)
    return {
        "left": face.left,
        "bottom": face.bottom,
        "dx": face.dx,
        "dy": face.dy,
        "speed": share.astype(int).tolist(),
    }
