"""A drive run again while its thresholds are dragged, at the medians.

Redriven    what came of one run
LiveDrive   a job made ready, and the routes it has been driven along
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.errors import InputError
from shroudwright.control.plan import STAGES, Plan
from shroudwright.drives import DriveAnswer, Ready, figures_of
from shroudwright.job.driving import Course
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
    """A job made ready for its routes; each route's heat is worked out the first time it is driven.

    Parameters
    ----------
    ready : Ready
        From `drives.prepare`, or `drives.ready_for` where the job has been assessed.
    """

    def __init__(self, ready: Ready) -> None:
        self.ready = ready
        self._courses: dict[str, Course] = {}

    def run(
        self,
        route: Route,
        *,
        fan_on: float | None = None,
        fan_off: float | None = None,
        second_on: float | None = None,
        second_off: float | None = None,
        start: float | None = None,
        full: float | None = None,
    ) -> Redriven:
        """Drive a route with some thresholds moved.

        Parameters
        ----------
        route : Route
            One of a name is taken as the same.
        fan_on, fan_off, second_on, second_off : float, optional
            Of fans that run in stages, at the sensor; those not given stay as they are set, [K]
        start, full : float, optional
            Of fans whose percent on follows a line, likewise, [K]

        Returns
        -------
        Redriven

        Raises
        ------
        InputError
            If a fan would stop no cooler than it starts, or what is moved does not work these fans; every fault.

        Notes
        -----
        Limits: as `drives.drive`, at the medians alone.
        """
        stages = {"on_1": fan_on, "off_1": fan_off, "on_2": second_on, "off_2": second_off}
        plan = self._planned(_given(stages), _given({"start": start, "full": full}))
        schedule = self._course(route).schedule
        followed = simulate(self.ready.nets[:1], self.ready.shed, self.ready.circuit, plan, schedule, every=1)
        assert followed.traces is not None
        o: Any = followed.outcome.view(np.recarray)[0]
        least = float(o.least_cycle)
        return Redriven(
            route=route.name,
            peak=float(o.peak),
            limit=self.ready.limit,
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

    def settle(self, route: Route, plan: Plan) -> tuple[DriveAnswer, Numbers]:
        """Drive a route with every draw, the controller set as it was let go.

        Parameters
        ----------
        route : Route
            One of a name is taken as the same.
        plan : Plan
            With every fan stopping cooler than it starts.

        Returns
        -------
        answer : DriveAnswer
            As `drives.drive` tells it.
        band : ndarray
            Coolant that 5 and 95 % of the draws stay under, (2, time), [K]
        """
        course, ready = self._course(route), self.ready
        followed = simulate(ready.nets, ready.shed, ready.circuit, plan, course.schedule, every=1)
        assert followed.traces is not None
        told = figures_of(ready, plan, route, course, followed)
        return told, np.quantile(followed.traces[1:, :, 0], (0.05, 0.95), axis=0)

    def _course(self, route: Route) -> Course:
        if route.name not in self._courses:
            self._courses[route.name] = self.ready.course(route)
        return self._courses[route.name]

    def _planned(self, stages: dict[str, float], line: dict[str, float]) -> Plan:
        faults, controls = [], self.ready.controls
        staged, has_second = controls.way == STAGES, len(self.ready.filled.job.fans) > 1
        if not staged and stages:
            faults.append("fan_on, fan_off: these fans follow a line; give start and full")
        if staged and line:
            faults.append("start, full: these fans run in stages; give fan_on and fan_off")
        if not has_second and ("on_2" in stages or "off_2" in stages):
            faults.append("second_on, second_off: there is one fan; leave them out")
        if not has_second:
            stages |= {f"{name}_2": stages[f"{name}_1"] for name in ("on", "off") if f"{name}_1" in stages}
        plan = controls._replace(**stages, **line)
        if staged and not plan.off_1 < plan.on_1:
            faults.append("fan_off: not under fan_on; give a lower one")
        if staged and has_second and not plan.off_2 < plan.on_2:
            faults.append("second_off: not under second_on; give a lower one")
        if not staged and not plan.start < plan.full:
            faults.append("full: not over start; give a higher one")
        if faults:
            raise InputError(faults)
        return plan


def _given(moved: dict[str, float | None]) -> dict[str, float]:
    return {name: value for name, value in moved.items() if value is not None}
