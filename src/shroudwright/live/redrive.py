"""A drive run again while its thresholds are dragged, at the medians.

Redriven       what came of one run
LiveDrive      a job prepared for its routes
prepare_drive  job and its settings -> LiveDrive
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.errors import InputError
from shroudwright.control.plan import Plan
from shroudwright.control.settings import Settings
from shroudwright.drives import plan_of
from shroudwright.face_map import calibrated
from shroudwright.job.circuits import circuits_of
from shroudwright.job.driving import Course, circuit_at, course_of, networks, shed_of
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import boil_and_limit
from shroudwright.job.model import Job
from shroudwright.job.priors import priors, words
from shroudwright.job.schedules import Route
from shroudwright.pack.drive import simulate

Numbers = NDArray[np.float64]
_HOUR = 3600.0


@dataclass(frozen=True)
class Redriven:
    """What came of one run at the medians."""

    route: str
    peak: float
    """Hottest coolant out of the engine, [K]"""
    limit: float
    """[K]"""
    over_limit: float
    """Time past it, [s]"""
    fan_share: float
    """Time any fan ran over all time, [-]"""
    full_share: float
    """Time all ran full over all time, [-]"""
    starts_per_hour: float
    """Of the first stage, [1/h]"""
    least_cycle: float | None
    """Shortest time from start to start; None under two, [s]"""
    energy: float
    """Electrical, of the fans, [J]"""
    time: Numbers
    """[s]"""
    speed: Numbers
    """[m/s]"""
    trace: Numbers
    """(time, 4): coolant and sensor, [K], fans' share of full and lift, [-]"""


class LiveDrive:
    """A job prepared for its routes: tables of radiator, fans and coolant's flow, and each route's heat once driven.

    Parameters
    ----------
    job : Job
        Calibrated.
    settings : Settings
        As proposed or typed; those that are not dragged stay.
    index : int
        Driving case whose limit the drive is held against.
    """

    def __init__(self, job: Job, settings: Settings, index: int) -> None:
        middle = {path: np.full(1, prior.median) for path, prior in priors(job).items()}
        filled = Filled(job, middle, {path: word.value for path, word in words(job).items()})
        circuits = circuits_of(filled)
        self.job, self._filled = job, filled
        self._cooled = any(filled.word(f"ahead.{i}.kind") == "condenser" for i in range(len(job.ahead)))
        self.plan = plan_of(settings, job, settings.alarm)
        """What the controller follows as the settings are"""
        self._circuit = circuit_at(filled, circuits)
        self._shed = shed_of(filled, self.plan, circuits, self._circuit.flow, has_cooling=self._cooled)
        self.limit = float(boil_and_limit(filled, index)[1][0])
        """[K]"""
        start = float(filled["circuit.thermostat_opens"][0])
        self._nets = networks(filled, np.ones(1), np.ones(1), self.limit, start)
        self._courses: dict[str, Course] = {}

    def run(
        self,
        route: Route,
        *,
        fan_on: float | None = None,
        fan_off: float | None = None,
        second_on: float | None = None,
        second_off: float | None = None,
    ) -> Redriven:
        """Drive a route with some thresholds moved.

        Parameters
        ----------
        route : Route
            Worked out the first time it is driven.
        fan_on, fan_off, second_on, second_off : float, optional
            At the sensor; those not given stay as they are set, [K]

        Returns
        -------
        Redriven

        Raises
        ------
        InputError
            If a fan would stop no cooler than it starts, or a second is set where there is none.

        Notes
        -----
        Limits: as `drives.drive`, at the medians alone.
        """
        plan = self._planned(fan_on, fan_off, second_on, second_off)
        schedule = self._course(route).schedule
        followed = simulate(self._nets, self._shed, self._circuit, plan, schedule, every=1)
        assert followed.traces is not None
        o: Any = followed.outcome.view(np.recarray)[0]
        least = float(o.least_cycle)
        return Redriven(
            route=route.name,
            peak=float(o.peak),
            limit=self.limit,
            over_limit=float(o.over_limit),
            fan_share=float(o.fan_share),
            full_share=float(o.full_share),
            starts_per_hour=float(o.starts_1) * _HOUR / (len(route.speed) - 1),
            least_cycle=least if math.isfinite(least) else None,
            energy=float(o.energy),
            time=schedule.step * np.arange(followed.traces.shape[1], dtype=np.float64),
            speed=schedule.speed,
            trace=followed.traces[0],
        )

    def _planned(
        self, fan_on: float | None, fan_off: float | None, second_on: float | None, second_off: float | None
    ) -> Plan:
        faults = []
        has_second = len(self.job.fans) > 1
        if not has_second and (second_on is not None or second_off is not None):
            faults.append("second_on, second_off: there is one fan; leave them out")
        moved = {"on_1": fan_on, "off_1": fan_off, "on_2": second_on, "off_2": second_off}
        if not has_second:
            moved |= {"on_2": fan_on, "off_2": fan_off}
        plan = self.plan._replace(**{name: value for name, value in moved.items() if value is not None})
        if not plan.off_1 < plan.on_1:
            faults.append("fan_off: not under fan_on; give a lower one")
        if has_second and not plan.off_2 < plan.on_2:
            faults.append("second_off: not under second_on; give a lower one")
        if faults:
            raise InputError(faults)
        return plan

    def _course(self, route: Route) -> Course:
        if route.name not in self._courses:
            towing = route.name == "tow grade" and self.job.vehicle.trailer_mass is not None
            self._courses[route.name] = course_of(self._filled, route, cooled=self._cooled, towing=towing)
        return self._courses[route.name]


def prepare_drive(job: Job, settings: Settings | None, governing: str) -> LiveDrive:
    """Prepare a job for its routes, so that its thresholds can be dragged.

    Parameters
    ----------
    job : Job
        As read.
    settings : Settings or None
        From the job's plan.
    governing : str
        Name of the driving case whose limit the drive is held against.

    Returns
    -------
    LiveDrive

    Raises
    ------
    InputError
        If the job cannot be worked out, has no settings, or no such driving case.
    """
    names = [case.name for case in job.cases]
    faults = []
    if settings is None:
        faults.append("drive: settings need an electric fan, a thermostat and a case that settles; none is there")
    if governing not in names:
        faults.append(f"governing: no driving case is called {governing!r}; there are {', '.join(names)}")
    if faults or settings is None:
        raise InputError(faults)
    return LiveDrive(calibrated(job), settings, names.index(governing))
