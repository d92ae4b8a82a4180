"""Simulated drives of a job: what the settings make of routes, with bands.

DriveAnswer   one route, as plain figures
Driven        the answer and the median's trace, for pictures
Ready         a job made ready for it
prepare       job -> Ready, ready_for the same for a job assessed before
drive         drive a job along some routes, drive_along one made ready
figures_of    what came of a route that has been followed
sound_power   of the fans second by second, and their mean_noise
"""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from shroudwright.assess import assess_and_plan
from shroudwright.assessment import Assessment, Band, Record
from shroudwright.bench.errors import InputError
from shroudwright.control.plan import MAP, Plan
from shroudwright.control.rules import SHORT_CYCLE
from shroudwright.control.settings import Settings
from shroudwright.face_map import calibrated
from shroudwright.fans.noise import BAND
from shroudwright.job.circuits import circuits_of
from shroudwright.job.driving import Course, circuit_at, course_of, networks, shed_of
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import boil_and_limit, flatten, glycol_of
from shroudwright.job.heat_load import heat_load
from shroudwright.job.model import Job
from shroudwright.job.priors import priors, words
from shroudwright.job.schedules import Route
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.drive import Followed, simulate
from shroudwright.pack.drive_tables import Circuit, Shed
from shroudwright.pack.kernel import solve_batch
from shroudwright.plan import Plan as Parts
from shroudwright.tiers import Tier
from shroudwright.uncertain.bands import band
from shroudwright.uncertain.draws import SEED, draw

Numbers = NDArray[np.float64]
DRAWS = 64
RELAY_LIFE = 100_000.0
"""Starts a relay's contacts make at their rating: data sheets, makers not named, [-]"""
HOURS_A_YEAR = 500.0
"""Common practice, no source, [h]"""
_HOUR = 3600.0
_LEAST_CHANCE = 0.9
_STAGE_QUIETER = 3.0
"""First stage under all fans where nobody knows the sound, [dB]"""
_SHORT_LIFE = 5.0
"""Of a relay, common practice, no source, [years]"""


class DriveAnswer(Record):
    """One route under the settings; SI."""

    route: str
    source: str = Field(description="where the route comes from")
    seconds: float
    distance: float = Field(description="m")
    heat: float = Field(description="mean given to the coolant, W")
    peak: Band = Field(description="hottest coolant out of the engine, K")
    limit: float = Field(description="K")
    boil: float = Field(description="under the cap, K")
    to_boiling: Band = Field(description="from the peak to boiling under the cap, K rise")
    over_limit: Band = Field(description="time past the limit, s")
    seconds_to_limit: Band | None = Field(description="to first passing the limit, s; null where the medians never do")
    chance_of_holding: float = Field(description="share of draws that never pass the limit")
    fan_share: Band = Field(description="time any fan ran over all time")
    full_share: Band = Field(description="time all fans ran full over all time")
    noise: Band | None = Field(
        description="mean over the drive at the medians, 1 m off in the open, dB(A), and what that is good to; null "
        "where no fan runs or its sound is not known"
    )
    starts_per_hour: Band = Field(description="of the first stage")
    least_cycle: Band | None = Field(description="shortest time from start to start, s; null under two at the medians")
    relay_years: Band | None = Field(
        description="to 100 000 starts at 500 h a year; null without starts at the medians"
    )
    energy: Band = Field(description="electrical, of the fans, J")
    least_volts: Band = Field(description="at the post, V; at the medians' volts for each level of the fans")
    says: list[str] = Field(description="what a builder should know of it")


class DrivesAnswer(Record):
    """All routes."""

    schema_version: int = 1
    job_name: str
    job_sha256: str
    fan_on: float = Field(description="K")
    fan_off: float = Field(description="K")
    second_on: float | None = Field(description="K")
    second_off: float | None = Field(description="K")
    air_conditioning: bool = Field(description="whether it runs wherever the engine turns")
    drives: list[DriveAnswer]

    def to_json(self) -> str:
        """Return the answer as JSON text."""
        return json.dumps(self.model_dump(), indent=2, allow_nan=False)


@dataclass(frozen=True)
class Driven:
    """A drive with the medians' trace."""

    answer: DriveAnswer
    time: Numbers
    """[s]"""
    speed: Numbers
    """[m/s]"""
    trace: Numbers
    """(time, 4): coolant and sensor, [K], fans' share of full and lift, [-]"""
    plan: Plan


class Ready(NamedTuple):
    """A job made ready to be driven."""

    answer: Assessment
    made: Settings
    controls: Plan
    tier: Tier | None
    """the way its fans are worked"""
    filled: Filled
    nets: NDArray[np.void]
    shed: Shed
    circuit: Circuit
    boil: float
    limit: float
    """[K]"""
    cooled: bool

    def course(self, route: Route) -> Course:
        """Work out what a route asks; the trailer is on in the tow grade alone."""
        towing = route.name == "tow grade" and self.filled.job.vehicle.trailer_mass is not None
        return course_of(self.filled, route, cooled=self.cooled, towing=towing)


def prepare(job: Job, draws: int = DRAWS, seed: int = SEED) -> Ready:
    """Make a job ready to be driven; raises as `drive` does.

    Parameters
    ----------
    job : Job
        As read.
    draws : int
        Drives beside the medians'.
    seed : int
        Of the draws.

    Returns
    -------
    Ready
    """
    answer, plan = assess_and_plan(job)
    return ready_for(job, answer, plan, draws, seed)


def ready_for(job: Job, answer: Assessment, plan: Parts, draws: int = DRAWS, seed: int = SEED) -> Ready:
    """Make a job ready that has been assessed and planned; as `prepare`."""
    controls = plan.controls
    if plan.settings is None or controls is None:
        raise InputError(["drive: settings need an electric fan, a thermostat and a case that settles; none is there"])
    job = calibrated(job)
    filled = Filled(job, draw(priors(job), draws, seed), {path: word.value for path, word in words(job).items()})
    circuits = circuits_of(filled)
    index = next(i for i, case in enumerate(answer.cases) if case.name == answer.governing_case)
    boil, limit = (float(each[0]) for each in boil_and_limit(filled, index))
    heat, shed_scale = _scales(filled, index)
    cooled = any(filled.word(f"ahead.{i}.kind") == "condenser" for i in range(len(job.ahead)))
    circuit = circuit_at(filled, circuits)
    shed = shed_of(filled, controls, circuits, circuit.flow, has_cooling=cooled)
    start = float(filled["circuit.thermostat_opens"][0])
    tier = next((tier for tier in plan.tiers if tier.is_chosen), None)
    nets = networks(filled, heat, shed_scale, limit, start)
    return Ready(answer, plan.settings, controls, tier, filled, nets, shed, circuit, boil, limit, cooled)


def drive(
    job: Job, routes: Sequence[Route], *, draws: int = DRAWS, seed: int = SEED
) -> tuple[DrivesAnswer, list[Driven]]:
    """Drive a job along some routes.

    Parameters
    ----------
    job : Job
        As read.
    routes : sequence of Route
        Which.
    draws : int
        Drives beside the medians'.
    seed : int
        Of the draws.

    Returns
    -------
    answer : DrivesAnswer
        Every route, SI.
    drives : list of Driven
        With the traces.

    Raises
    ------
    InputError
        If the job cannot be worked out, or has no electric fan or no thermostat to set fans by.

    Notes
    -----
    Limits: outside air, altitude and A/C of the job; three lumps of heat. Every draw's heat and shed heat go with what
    they are in the governing case, over the medians'.
    Accuracy: bands say what the draws do; lags and lumps add some 10 % to times, a guess.
    """
    return drive_along(prepare(job, draws, seed), routes)


def drive_along(ready: Ready, routes: Sequence[Route]) -> tuple[DrivesAnswer, list[Driven]]:
    """Drive a job that has been made ready; see `drive`."""
    controls = ready.controls
    driven = []
    for route in routes:
        course = ready.course(route)
        followed = simulate(ready.nets, ready.shed, ready.circuit, controls, course.schedule, every=1)
        assert followed.traces is not None
        told = figures_of(ready, controls, route, course, followed)
        time = course.schedule.step * np.arange(followed.traces.shape[1], dtype=np.float64)
        driven.append(Driven(told, time, course.schedule.speed, followed.traces[0], controls))
    return (
        DrivesAnswer(
            job_name=ready.answer.job_name,
            job_sha256=ready.answer.job_sha256,
            fan_on=ready.made.fan_on,
            fan_off=ready.made.fan_off,
            second_on=ready.made.second_on,
            second_off=ready.made.second_off,
            air_conditioning=ready.cooled,
            drives=[each.answer for each in driven],
        ),
        driven,
    )


def _scales(filled: Filled, index: int) -> tuple[Numbers, Numbers]:
    """Heat, and heat shed per kelvin of coolant leaving over the air, of every draw over the medians', in one case."""
    load = heat_load(filled, index)
    params = flatten(filled, index, load, circuits_of(filled)).view(np.recarray)
    params.pull_start, params.limit = np.nan, np.nan
    params.thermostat = 0.0
    solved: Any = solve_batch(params, coolant_table(*glycol_of(filled)))
    per_kelvin = params.heat / (solved.coolant_out - params.ambient)
    scale = per_kelvin / per_kelvin[0]
    return load.radiator / load.radiator[0], np.clip(np.nan_to_num(scale, nan=0.2), 0.2, 3.0)


def figures_of(ready: Ready, controls: Plan, route: Route, course: Course, followed: Followed) -> DriveAnswer:
    """Tell what came of a route that has been followed.

    Parameters
    ----------
    ready : Ready
        The job.
    controls : Plan
        What its controller was set to.
    route : Route
        Which.
    course : Course
        What the route asked.
    followed : Followed
        The medians and every draw, with the medians' trace.

    Returns
    -------
    DriveAnswer
    """
    assert followed.traces is not None
    limit, boil, cooled = ready.limit, ready.boil, ready.cooled
    heat, outcome = course.schedule.heat, followed.outcome
    noise = mean_noise(ready.tier, controls, followed.traces[0, :, 2])
    o: Any = outcome.view(np.recarray)
    seconds = float(len(route.speed) - 1)
    hours = seconds / _HOUR
    starts = o.starts_1 / hours
    middle = o[0]
    least = float(middle.least_cycle)
    drawn = o[1:] if len(o) > 1 else o
    held = float(np.mean(drawn.over_limit == 0.0))
    years = _band_of_some(RELAY_LIFE / (HOURS_A_YEAR * np.where(starts > 0.0, starts, np.nan)))
    says = []
    if held < _LEAST_CHANCE:
        says.append(f"passes its limit in {100.0 * (1.0 - held):.0f} of 100 draws")
    if math.isfinite(least) and least < SHORT_CYCLE:
        says.append(f"the fans start every {least:.0f} s: open the gap between on and off")
    if middle.fan_share > 0.98 and seconds > 600.0:
        says.append("a fan runs all the time" + (", for the A/C asks for it" if cooled else ""))
    if years is not None and years.value < _SHORT_LIFE:
        says.append(f"the relay's contacts last about {years.value:.1f} years")
    return DriveAnswer(
        route=route.name,
        source=route.source,
        seconds=seconds,
        distance=route.distance,
        heat=float(heat.mean()),
        peak=_band(o.peak),
        limit=limit,
        boil=boil,
        to_boiling=_band(boil - o.peak),
        over_limit=_band(o.over_limit),
        seconds_to_limit=_band_of_some(np.where(np.isfinite(o.first_over), o.first_over, np.nan)),
        chance_of_holding=held,
        fan_share=_band(o.fan_share),
        full_share=_band(o.full_share),
        noise=noise,
        starts_per_hour=_band(starts),
        least_cycle=_band_of_some(np.where(np.isfinite(o.least_cycle), o.least_cycle, np.nan)),
        relay_years=years,
        energy=_band(o.energy),
        least_volts=_band(o.least_volts),
        says=says,
    )


def sound_power(tier: Tier | None, controls: Plan, share: Numbers) -> Numbers:
    """Sound power over that of all fans full.

    Parameters
    ----------
    tier : Tier or None
        The way the fans are worked; without its levels a first stage is taken as 3 dB quieter.
    controls : Plan
        What the controller is set to.
    share : array
        Of full, second by second, [-]

    Returns
    -------
    array
        A power of the percent on, or one level for the first stage, [-]
    """
    known = tier is not None and tier.noise_low is not None and tier.noise_full is not None
    under = tier.noise_full - tier.noise_low if known else _STAGE_QUIETER  # type: ignore[union-attr, operator]
    if controls.way == MAP:
        return np.asarray(share ** (under / 10.0 / math.log10(2.0)))
    return np.where(share >= 1.0, 1.0, np.where(share > 0.0, 10.0 ** (-under / 10.0), 0.0))


def mean_noise(tier: Tier | None, controls: Plan, share: Numbers) -> Band | None:
    """Return how loud a drive is on average, at 1 m, dB(A); None where no fan runs or its sound is not known.

    Parameters
    ----------
    tier, controls, share
        As `sound_power`.

    Returns
    -------
    Band or None
        Good to +-5 dB.
    """
    power = float(np.mean(sound_power(tier, controls, share)))
    if tier is None or tier.noise_full is None or power <= 0.0:
        return None
    level = tier.noise_full + 10.0 * math.log10(power)
    return Band(value=level, low=level - BAND, high=level + BAND)


def _band(values: Numbers) -> Band:
    """Band of a figure: the medians' drive, and 5 and 95 % of the draws."""
    spread = band(np.asarray(values[1:] if len(values) > 1 else values))
    assert spread is not None
    return Band(value=float(values[0]), low=min(spread.low, float(values[0])), high=max(spread.high, float(values[0])))


def _band_of_some(values: Numbers) -> Band | None:
    """Band over the draws that have the figure; none where the medians have not."""
    return None if math.isnan(values[0]) else _band(values[~np.isnan(values)])
