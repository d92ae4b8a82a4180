"""Thresholds dragged: a drive run again at the medians."""

from functools import cache

import numpy as np
import pytest

from shroudwright.bench.errors import InputError
from shroudwright.control.plan import MAP, Plan
from shroudwright.drives import Ready
from shroudwright.job.circuits import circuits_of
from shroudwright.job.driving import circuit_at, networks, shed_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.priors import priors, words
from shroudwright.job.schedules import Route
from shroudwright.live.redrive import LiveDrive
from tests.jobs import SMALL

ON, OFF = 372.0, 366.0
STANDING = Route("standing", np.zeros(2401), np.zeros(2401), np.ones(2401), "made up")


@cache
def live() -> LiveDrive:
    job = parse_job(SMALL.encode(), "small.job.toml")
    middle = {path: np.full(1, prior.median) for path, prior in priors(job).items()}
    filled = Filled(job, middle, {path: word.value for path, word in words(job).items()})
    circuits, controls = circuits_of(filled), Plan(on_1=ON, off_1=OFF, on_2=ON + 5.0, off_2=OFF + 5.0)
    circuit = circuit_at(filled, circuits)
    shed = shed_of(filled, controls, circuits, circuit.flow, has_cooling=False)
    nets = networks(filled, np.ones(1), np.ones(1), 385.0, 365.0)
    return LiveDrive(Ready(None, None, controls, None, filled, nets, shed, circuit, 390.0, 385.0, False))  # type: ignore[arg-type]


@pytest.mark.law("fans start when the sensor passes the threshold: a higher one, a hotter coolant; set back, as before")
def test_a_threshold_moved() -> None:
    as_set, later = live().run(STANDING), live().run(STANDING, fan_on=ON + 4.0, second_on=ON + 9.0)
    back = live().run(STANDING, fan_on=ON, fan_off=OFF)
    assert as_set.starts_per_hour > 0.0
    assert back.peak == as_set.peak
    assert np.array_equal(back.trace, as_set.trace)
    assert later.peak > as_set.peak + 1.0
    for run, on in ((as_set, ON), (later, ON + 4.0)):
        starts = np.flatnonzero(np.diff((run.trace[:, 2] > 0.0).astype(int)) > 0)
        # What the sensor reads is kept at the end of a step, and the fan may have run some of it.
        assert run.trace[starts[0], 1] == pytest.approx(on, abs=0.4)


@pytest.mark.law("a wider gap between on and off makes fewer starts")
def test_a_wider_gap() -> None:
    hot = {"fan_on": ON + 9.0, "second_on": ON + 20.0}
    wide, narrow = (live().run(STANDING, fan_off=hot["fan_on"] - gap, **hot) for gap in (4.0, 1.5))
    assert narrow.starts_per_hour > wide.starts_per_hour
    assert narrow.least_cycle is not None
    assert wide.least_cycle is None or narrow.least_cycle < wide.least_cycle


@pytest.mark.behaviour("thresholds that cannot be are refused together, and those that do not work these fans")
def test_thresholds_that_cannot_be() -> None:
    with pytest.raises(InputError) as raised:
        live().run(STANDING, fan_off=ON, second_on=OFF, start=ON)
    assert len(raised.value.faults) == 3
    by_line = LiveDrive(live().ready._replace(controls=Plan(way=MAP)))
    with pytest.raises(InputError, match="give start and full"):
        by_line.run(STANDING, fan_on=ON)
    with pytest.raises(InputError, match="not over start"):
        by_line.run(STANDING, full=350.0)
