"""Thresholds dragged: a drive run again at the medians."""

from functools import cache

import numpy as np
import pytest

from shroudwright.bench.errors import InputError
from shroudwright.control.settings import Settings
from shroudwright.job.files import parse_job
from shroudwright.job.schedules import Route
from shroudwright.live.redrive import LiveDrive, prepare_drive
from tests.jobs import SMALL

ON, OFF = 372.0, 366.0
SET = Settings(ON, OFF, ON + 5.0, OFF + 5.0, alarm=385.0, shift=0.0, findings=())
STANDING = Route("standing", np.zeros(2401), np.zeros(2401), np.ones(2401), "made up")


@cache
def live() -> LiveDrive:
    return prepare_drive(parse_job(SMALL.encode(), "small.job.toml"), SET, "idling")


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


@pytest.mark.behaviour("thresholds that cannot be are refused together; so is a job without settings")
def test_thresholds_that_cannot_be() -> None:
    with pytest.raises(InputError) as raised:
        live().run(STANDING, fan_off=ON, second_on=OFF)
    assert len(raised.value.faults) == 2
    with pytest.raises(InputError, match=r"(?s)none is there.*called 'dune'"):
        prepare_drive(live().job, None, "dune")
