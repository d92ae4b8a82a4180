"""What a finger needs while it drags the temperatures fans start and stop at.

take     keep a job that has been made ready to be driven
scene    a job's text, a route -> what the picture is drawn from
run      temperatures -> the drive at the medians
settle   temperatures -> its band, and what to type for them

These run in the process that follows fingers; a job is assessed in the other and handed over.
"""

import pickle
from collections.abc import Mapping
from functools import lru_cache
from hashlib import sha256
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.errors import InputError
from shroudwright.bench.units import convert
from shroudwright.control.plan import Plan
from shroudwright.control.settings import Settings
from shroudwright.control_reasons import setting_findings
from shroudwright.doors.web.recent import Recent
from shroudwright.doors.web.work import NotReady
from shroudwright.drives import DriveAnswer, mean_noise
from shroudwright.job.fields import place_of
from shroudwright.job.files import parse_job
from shroudwright.job.schedules import ROUTES, Route, route
from shroudwright.job.table import field_of
from shroudwright.live.redrive import LiveDrive, Redriven
from shroudwright.speech import SHOPS, Dialect
from shroudwright.tune import retyped

_KEPT, _POINTS = 3, 400
_STAGES = {
    "fan_on": "fan 1 ON",
    "fan_off": "fan 1 OFF",
    "second_on": "fan 2 ON",
    "second_off": "fan 2 OFF",
}
_LINE = {"percent_start": "starts", "percent_full": "full"}
_MOVED = {"percent_start": "start", "percent_full": "full"}

_ready: Recent[str, tuple[LiveDrive, LiveDrive]] = Recent(_KEPT)
"""With its A/C off, and as it is"""


@lru_cache(maxsize=64)
def _key(text: bytes) -> str:
    """Name a job by everything but these temperatures: moved ones need no new assessment."""
    job = parse_job(text, "job")
    blank = dict.fromkeys((*_STAGES, *_LINE))
    control = job.control.model_copy(update=blank)
    return sha256(job.model_copy(update={"control": control}).model_dump_json().encode()).hexdigest()


def take(text: bytes, packed: bytes) -> None:
    """Keep a job that has been made ready to be driven.

    Parameters
    ----------
    text : bytes
        The job's.
    packed : bytes
        From `answering.made_ready`.
    """
    ready = pickle.loads(packed)
    _ready[_key(text)] = LiveDrive(ready._replace(cooled=False)), LiveDrive(ready)


def scene(text: bytes, name: str, along: str, cooled: bool) -> dict[str, Any]:
    """Return what the picture of a drive is drawn from, its numbers as the job stands.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    along : str
        Name of the route.
    cooled : bool
        Whether the A/C runs, where there is one.

    Returns
    -------
    dict
        Temperatures in the job's own degrees, times in minutes.

    Raises
    ------
    NotReady
        If the job is not kept here.
    InputError
        If there is no such route.
    """
    live, way = _live(text, cooled), _route(along)
    shop = _shop(live)
    typed = parse_job(text, name).control
    held = {key: getattr(typed, key) for key in (*_STAGES, *_LINE)}
    made, _ = retyped(live.ready, {key: f"{value.value!r} K" for key, value in held.items() if value is not None})
    values = _values(made)
    temps = {key: _near(_shown(kelvin, shop), shop) for key, kelvin in values.items()}
    opens, limit = made.full_open, live.ready.limit
    now = run(text, name, along, cooled, temps)
    hottest = max([limit, *values.values(), live.run(way).peak])
    low, high = (_shown(kelvin, shop) for kelvin in (min(opens, *values.values()) - 9.0, hottest + 5.0))
    filled = live.ready.filled
    return {
        "routes": list(ROUTES),
        "route": along,
        "has_cooling": _live(text, True).ready.cooled,
        "is_cooled": live.ready.cooled,
        "sign": shop.degree_sign,
        "snap": 1.0 if shop.length == "in" else 0.5,
        "low": low,
        "high": high,
        "lines": [
            {"says": "limit", "at": _shown(limit, shop)},
            {"says": "thermostat opens", "at": _shown(float(filled["circuit.thermostat_opens"][0]), shop)},
        ],
        "handles": [
            {"key": key, "says": (_STAGES | _LINE)[key], "at": temps[key], "is_typed": bool(held[key])}
            for key in values
        ],
        "now": now,
        "settled": None if now["refused"] else settle(text, name, along, cooled, temps),
    }


def run(text: bytes, name: str, along: str, cooled: bool, temps: Mapping[str, float]) -> dict[str, Any]:
    """Drive the route at the medians with some temperatures moved.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    along : str
        Name of the route.
    cooled : bool
        Whether the A/C runs, where there is one.
    temps : mapping of str to float
        Fields of ``[control]``, in the job's own degrees.

    Returns
    -------
    dict
        With nothing but what is wrong where a fan would stop no cooler than it starts.

    Raises
    ------
    NotReady
        If the job is not kept here.
    InputError
        If there is no such route or temperature.
    """
    live, way = _live(text, cooled), _route(along)
    shop = _shop(live)
    typed = _typed(temps, shop)
    made, plan = retyped(live.ready, typed)
    wrong = [
        {
            "level": finding.level,
            "key": finding.place.removeprefix("control."),
            "words": f"{finding.says} {finding.because}",
            "do": finding.remedy,
        }
        for finding in setting_findings(made, shop)
    ]
    try:
        driven = live.run(way, **{_MOVED.get(key, key): kelvin for key, kelvin in _values(made).items()})
    except InputError:
        return {"refused": True, "wrong": wrong, "rows": [], "trace": None}
    return {"refused": False, "wrong": wrong, "rows": _rows(live, driven, plan, shop), "trace": _trace(driven, shop)}


def settle(text: bytes, name: str, along: str, cooled: bool, temps: Mapping[str, float]) -> dict[str, Any]:
    """Drive the route with every draw, and say what to type for the temperatures.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    along : str
        Name of the route.
    cooled : bool
        Whether the A/C runs, where there is one.
    temps : mapping of str to float
        Fields of ``[control]``, in the job's own degrees.

    Returns
    -------
    dict

    Raises
    ------
    NotReady
        If the job is not kept here.
    InputError
        If there is no such route or temperature, or a fan would stop no cooler than it starts.
    """
    live, way = _live(text, cooled), _route(along)
    shop = _shop(live)
    typed = _typed(temps, shop)
    made, plan = retyped(live.ready, typed)
    live.run(way, **{_MOVED.get(key, key): kelvin for key, kelvin in _values(made).items()})
    told, band = live.settle(way, plan)
    every = _every(band.shape[1])
    low, high = ([_shown(float(kelvin), shop) for kelvin in row[::every]] for row in band)
    return {"rows": _banded(told, shop), "says": told.says, "band": {"low": low, "high": high}, "typed": typed}


def _live(text: bytes, cooled: bool) -> LiveDrive:
    key = _key(text)
    if key not in _ready:
        raise NotReady
    return _ready[key][cooled]


def _route(along: str) -> Route:
    if along not in ROUTES:
        raise InputError([f"route: {along[:40]!r} is not one of {', '.join(ROUTES)}"])
    return route(along)


def _shop(live: LiveDrive) -> Dialect:
    return SHOPS[live.ready.filled.job.units or "in"]


def _values(made: Settings) -> dict[str, float]:
    """Temperatures the picture has handles for, the hotter of a pair first, [K]."""
    if made.line is not None:
        return {"percent_full": made.line.full, "percent_start": made.line.start}
    values = {"fan_on": made.fan_on, "fan_off": made.fan_off}
    if made.second_on is not None and made.second_off is not None:
        values |= {"second_on": made.second_on, "second_off": made.second_off}
    return values


def _typed(temps: Mapping[str, float], shop: Dialect) -> dict[str, str]:
    known = _STAGES | _LINE
    faults = [f"{key[:40]}: there is no such temperature" for key in temps if key not in known]
    for key, value in temps.items():
        low, high = _ends(key, shop) if key in known else (value, value)
        if not low <= value <= high:
            sign = shop.degree_sign
            faults.append(f"{key}: {value:g} {sign} is outside {low:.0f} to {high:.0f} {sign}")
    if faults:
        raise InputError(faults)
    return {key: f"{value:.10g} {shop.temperature}" for key, value in temps.items()}


def _ends(key: str, shop: Dialect) -> tuple[float, float]:
    """Temperatures the job allows a field, which a handle may be dragged between."""
    place = place_of(field_of(f"control.{key}"))
    assert place is not None
    return _shown(place.low, shop), _shown(place.high, shop)


def _near(value: float, shop: Dialect) -> float:
    """To the picture's own step, so that a handle stands on what an arrow key would reach."""
    return round(value) if shop.length == "in" else round(2.0 * value) / 2.0


def _shown(kelvin: float, shop: Dialect) -> float:
    return round(float(convert(kelvin, "K", shop.temperature)), 2)


def _every(count: int) -> int:
    return max(1, count // _POINTS)


def _trace(driven: Redriven, shop: Dialect) -> dict[str, Any]:
    """Coolant and sensor thinned out; the fans by their changes, so that no start is lost."""
    every = _every(len(driven.time))
    zero, slope = (convert(x, "K", shop.temperature) for x in (0.0, 1.0))
    shown = zero + (slope - zero) * driven.trace[::every, :2]
    share = driven.trace[:, 2]
    changed = np.flatnonzero(np.diff(share, prepend=np.nan) != 0.0)
    speed = driven.speed[: len(driven.time) : every] * convert(1.0, "m/s", "mph" if shop.length == "in" else "km/h")
    return {
        "step": every * float(driven.time[1] - driven.time[0]) / 60.0,
        "minutes": float(driven.time[-1]) / 60.0,
        "coolant": _rounded(shown[:, 0], 1),
        "sensor": _rounded(shown[:, 1], 1),
        "fans": [[round(float(driven.time[k]) / 60.0, 3), round(float(share[k]), 3)] for k in changed],
        "speed": _rounded(speed, 0),
        "speed_sign": "mph" if shop.length == "in" else "km/h",
    }


def _rounded(values: NDArray[np.float64], places: int) -> list[float]:
    found: list[float] = np.round(values, places).tolist()
    return found


def _rows(live: LiveDrive, driven: Redriven, plan: Plan, shop: Dialect) -> list[tuple[str, str]]:
    room = driven.limit - driven.peak
    side = "under" if room >= 0.0 else "PAST"
    least = "" if driven.least_cycle is None else f", {driven.least_cycle:.0f} s apart at the least"
    rows = [
        ("hottest coolant", f"{shop.temperature_text(driven.peak)}, {shop.rise(abs(room))} {side} the limit"),
        ("starts an hour", f"{driven.starts_per_hour:.1f}{least}"),
        ("a fan runs", f"{100 * driven.fan_share:.0f} % of the time, full {100 * driven.full_share:.0f} %"),
        ("energy of the fans", f"{driven.energy / 3600.0:.0f} Wh"),
    ]
    noise = mean_noise(live.ready.tier, plan, driven.trace[:, 2])
    unheard = "no fan runs" if driven.fan_share <= 0.0 else "nobody knows"
    return [*rows, ("noise at 1 m, mean", unheard if noise is None else f"{noise.value:.0f} dB(A)")]


def _banded(told: DriveAnswer, shop: Dialect) -> list[tuple[str, str]]:
    starts, ran, energy, noise = told.starts_per_hour, told.fan_share, told.energy, told.noise
    loud = (
        []
        if noise is None
        else [("noise at 1 m, mean", f"{noise.value:.0f} ({noise.low:.0f} to {noise.high:.0f}) dB(A)")]
    )
    return [
        *loud,
        ("hottest coolant", f"{shop.band(told.peak)} {shop.degree_sign}"),
        ("stays under its limit", f"{100 * told.chance_of_holding:.0f} chances in 100"),
        ("starts an hour", f"{starts.value:.1f} ({starts.low:.1f} to {starts.high:.1f})"),
        ("a fan runs", f"{100 * ran.value:.0f} ({100 * ran.low:.0f} to {100 * ran.high:.0f}) % of the time"),
        (
            "energy of the fans",
            f"{energy.value / 3600.0:.0f} ({energy.low / 3600.0:.0f} to {energy.high / 3600.0:.0f}) Wh",
        ),
    ]
