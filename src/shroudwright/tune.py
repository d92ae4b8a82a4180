"""Search for settings: the quietest, or those with the fewest starts, that cost no drive its limit.

TuneAnswer   what was found beside what stands, as plain figures
tune         search along some routes
retyped      settings with some temperatures typed
"""

import json
import math
from collections.abc import Iterator, Sequence
from itertools import product
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from shroudwright.assessment import Record
from shroudwright.bench.units import convert
from shroudwright.control.plan import Plan as Controls
from shroudwright.control.rules import SHORT_CYCLE
from shroudwright.control.settings import Settings
from shroudwright.control_plan import settings_of
from shroudwright.drives import Ready, prepare, sound_power
from shroudwright.job.driving import controls_of
from shroudwright.job.filled import Filled
from shroudwright.job.model import Job
from shroudwright.job.quantity import read
from shroudwright.job.schedules import Route
from shroudwright.pack.drive import Schedule, simulate
from shroudwright.speech import SHOPS, Dialect

Aim = Literal["quiet", "starts"]
DRAWS = 16
_HOUR = 3600.0
_NEVER = 150.0
"""Above a coolant's hottest and under its coldest, for fans that run all the time, [K]"""
_LATER, _GAPS, _STEPS, _SLOPES = (0, 5, 10, 15), (8, 10, 15, 20), (5, 10, 15), (10, 14, 18, 24)
"""OFF or start over the proposal, ON over OFF, fan 2 over fan 1, least to full, [degF rise]"""
_TYPED = ("fan_on", "fan_off", "second_on", "second_off", "percent_start", "percent_full")


class TunedFigures(Record):
    """How some settings do along all routes."""

    settings: dict[str, str] = Field(description="as typed under [control]")
    lost: int = Field(description="drives past the limit that fans always on would hold")
    sound: float = Field(description="mean sound under that of all fans full, dB; 0 full all the time")
    starts_per_hour: float = Field(description="of both stages, at the medians")
    least_cycle: float | None = Field(description="shortest from start to start at the medians, s; null under two")
    fan_share: float = Field(description="time any fan ran over all time, at the medians")
    closest: float = Field(description="least of limit less peak at the medians, over all routes, K")


class TuneAnswer(Record):
    """What a search found."""

    schema_version: int = 1
    job_name: str
    job_sha256: str
    aim: Aim
    routes: list[str]
    tried: int
    drives: int = Field(description="behind each: medians and draws, on every route")
    as_is: TunedFigures
    found: TunedFigures
    says: list[str]

    def to_json(self) -> str:
        """Return the answer as JSON text."""
        return json.dumps(self.model_dump(), indent=2, allow_nan=False)


class _Tried(NamedTuple):
    figures: TunedFigures
    is_short: bool


def tune(job: Job, routes: Sequence[Route], aim: Aim, *, draws: int = DRAWS) -> TuneAnswer:
    """Search settings over simulated drives.

    Parameters
    ----------
    job : Job
        As read; its typed temperatures are what stands, and are searched anew.
    routes : sequence of Route
        Which.
    aim : str
        quiet: least sound, then fewest starts; starts: fewest starts, then least sound, [text]
    draws : int
        Drives beside the medians'.

    Returns
    -------
    TuneAnswer

    Raises
    ------
    InputError
        As `drives.drive`.

    Notes
    -----
    Limits: of what was tried, on a grid of whole degrees; A/C request, cut-off and times stay as the job has them. A
    drive that passes its limit with every fan always on counts against no settings. Starts within a minute of each
    other on any route at the medians rule settings out while others do without.
    Accuracy: that of the drive.
    """
    ready = prepare(job, draws)
    schedules = [ready.course(route).schedule for route in routes]
    held, least_peak = _always_on(ready, schedules)
    as_is = _try(ready, schedules, held, ready.made, ready.controls)
    shop = SHOPS[job.units or "in"]
    faults = {found.code for found in ready.made.findings}
    tried = [as_is]
    for typed in _grid(ready, shop):
        made, controls = retyped(ready, typed)
        if {found.code for found in made.findings} <= faults:
            tried.append(_try(ready, schedules, held, made, controls, typed))
    best = min(tried, key=lambda one: (one.is_short, one.figures.lost, *_by(aim, one.figures)))
    return TuneAnswer(
        job_name=ready.answer.job_name,
        job_sha256=job.job_sha256,
        aim=aim,
        routes=[route.name for route in routes],
        tried=len(tried),
        drives=len(ready.nets) * len(routes),
        as_is=as_is.figures,
        found=best.figures,
        says=_says(aim, tried, as_is.figures, best, ready.limit - least_peak, shop),
    )


def _by(aim: Aim, figures: TunedFigures) -> tuple[float, ...]:
    # Rounded, so that the second aim decides between what nobody would tell apart.
    sound, starts = round(figures.sound, 1), round(figures.starts_per_hour, 1)
    return (sound, starts) if aim == "quiet" else (starts, sound)


def _grid(ready: Ready, shop: Dialect) -> Iterator[dict[str, str]]:
    """Settings in whole degrees of the shop, from the proposal up."""
    plain, _ = retyped(ready, {})

    def text(kelvin: float) -> str:
        # Up, so that OFF never falls under what the proposal asks.
        return f"{math.ceil(convert(kelvin, 'K', shop.temperature) - 1e-6)} {shop.temperature}"

    if plain.line is not None:
        for later, slope in product(_LATER, _SLOPES):
            start = plain.line.start + later / 1.8
            yield {"percent_start": text(start), "percent_full": text(start + slope / 1.8)}
        return
    for later, gap in product(_LATER, _GAPS):
        off = plain.fan_off + later / 1.8
        on = off + gap / 1.8
        first = {"fan_on": text(on), "fan_off": text(off)}
        if plain.second_on is None:
            yield first
            continue
        for step in _STEPS:
            yield first | {"second_on": text(on + step / 1.8), "second_off": text(off + step / 1.8)}


def retyped(ready: Ready, typed: dict[str, str]) -> tuple[Settings, Controls]:
    """Set temperatures of a job that has been made ready.

    Parameters
    ----------
    ready : Ready
        The job.
    typed : dict of str to str
        Fields of ``[control]`` as typed; no others are.

    Returns
    -------
    Settings, Plan
        With what is wrong with them, and what a simulated drive follows.
    """
    values = dict.fromkeys(_TYPED) | {name: read(text, "temperature", None) for name, text in typed.items()}
    job = ready.filled.job
    job = job.model_copy(update={"control": job.control.model_copy(update=values)})
    filled = Filled(job, ready.filled.drawn, ready.filled.words)
    made = settings_of(filled, ready.answer.cases)
    assert made is not None
    return made, controls_of(filled, made)


def _always_on(ready: Ready, schedules: Sequence[Schedule]) -> tuple[list[NDArray[np.bool_]], float]:
    """Which drives hold with every fan full all the time, and the medians' hottest, [K]."""
    on = dict.fromkeys(("on_1", "off_1", "on_2", "off_2", "start"), _NEVER)
    full = ready.controls._replace(**on, full=_NEVER + 1.0, ramp=1.0, cut_above=math.inf)
    runs = [simulate(ready.nets, ready.shed, ready.circuit, full, schedule) for schedule in schedules]
    return [run.outcome["over_limit"] == 0.0 for run in runs], max(float(run.outcome["peak"][0]) for run in runs)


def _try(
    ready: Ready,
    schedules: Sequence[Schedule],
    held: Sequence[NDArray[np.bool_]],
    made: Settings,
    controls: Controls,
    typed: dict[str, str] | None = None,
) -> _Tried:
    lost, starts, seconds, ran, power = 0, 0.0, 0.0, 0.0, 0.0
    least, closest = math.inf, math.inf
    for schedule, was_held in zip(schedules, held, strict=True):
        run = simulate(ready.nets, ready.shed, ready.circuit, controls, schedule, every=1)
        assert run.traces is not None
        time, middle = len(schedule.heat) * schedule.step, run.outcome[0]
        lost += int(np.sum(was_held & (run.outcome["over_limit"] > 0.0)))
        starts += float(middle["starts_1"] + middle["starts_2"])
        ran += time * float(middle["fan_share"])
        power += time * float(np.mean(sound_power(ready.tier, controls, run.traces[0, :, 2])))
        least = min(least, float(middle["least_cycle"]))
        closest = min(closest, ready.limit - float(middle["peak"]))
        seconds += time
    figures = TunedFigures(
        settings=typed or {},
        lost=lost,
        sound=10.0 * math.log10(max(power / seconds, 1e-6)),
        starts_per_hour=starts / (seconds / _HOUR),
        least_cycle=least if math.isfinite(least) else None,
        fan_share=ran / seconds,
        closest=closest,
    )
    return _Tried(figures, least < SHORT_CYCLE)


def _says(
    aim: Aim, tried: Sequence[_Tried], as_is: TunedFigures, best: _Tried, always: float, shop: Dialect
) -> list[str]:
    found = best.figures
    what = "quietest" if aim == "quiet" else "fewest starts"
    kept = sum(not one.is_short and one.figures.lost == 0 for one in tried)
    says = [
        f"{len(tried)} settings tried; {kept} of them keep every drive under its limit that fans always on would keep, "
        "without starting twice in a minute."
    ]
    if kept == 0:
        says.append(
            f"None does: this is the nearest, {found.lost} such drives lost. More air or less heat, not settings."
        )
    if not found.settings:
        says.append(f"What stands is the {what} of them already: change nothing.")
    says.append(
        f"The {what}: {found.starts_per_hour:.1f} starts an hour where what stands makes "
        f"{as_is.starts_per_hour:.1f}; on average {-found.sound:.1f} dB under all fans full, where what stands is "
        f"{-as_is.sound:.1f}; a fan runs {100 * found.fan_share:.0f} % of the time, where it is "
        f"{100 * as_is.fan_share:.0f}."
    )
    peaks = [
        f"{shop.rise(abs(room))} {'under' if room >= 0.0 else 'past'} the limit" for room in (found.closest, always)
    ]
    says.append(f"At the medians its hottest drive peaks {peaks[0]}; with every fan always on, {peaks[1]}.")
    if found.fan_share > 0.98 and as_is.fan_share > 0.98:
        says.append("A fan runs all the time, for the A/C asks for it: only the rest is left to tune.")
    return says
