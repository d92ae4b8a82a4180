"""Drives in time beside a general integrator over the same tables.

drive_rows
"""

import time
from collections.abc import Callable
from typing import Any

import numpy as np

from shroudwright.pack.drive import Schedule, simulate
from tests.oracle_drive import follow
from tests.test_pack_drive import random_drive

_RUNS = 15
_HOUR = 3600.0
_MANY = 1000


def _least(work: Callable[[], Any], runs: int) -> float:
    times = []
    for _ in range(runs):
        started = time.perf_counter()
        work()
        times.append(time.perf_counter() - started)
    return min(times)


def drive_rows() -> list[dict[str, Any]]:
    """Time one simulated hour, and a thousand of them, beside LSODA with its switches as events."""
    net, shed, circuit, plan, twenty_minutes = random_drive(4)
    hour = Schedule(twenty_minutes.step, *(np.tile(each, 3) for each in twenty_minutes[1:]))
    assert len(hour.heat) * hour.step == _HOUR
    one = _least(lambda: simulate(net, shed, circuit, plan, hour), _RUNS)
    many = np.repeat(net, _MANY)
    many["heat_scale"] = np.linspace(0.8, 1.2, _MANY)
    busy = time.process_time()
    thousand = _least(lambda: simulate(many, shed, circuit, plan, hour), 3)
    busy = (time.process_time() - busy) / 3.0
    # Processor time, so that other work on the machine does not flatter the ratio.
    started = time.process_time()
    theirs = follow(net[0], shed, circuit, plan, twenty_minutes)
    plain = 3.0 * (time.process_time() - started)
    mine = simulate(net, shed, circuit, plan, twenty_minutes, every=1)
    assert mine.traces is not None
    at = twenty_minutes.step * np.arange(mine.traces.shape[1])
    off = np.abs(mine.traces[0, :, 0] - np.interp(at, theirs.time, theirs.coolant)).max()
    return [
        {
            "name": "drive_hour",
            "value": one,
            "unit": "s",
            "ratio": plain / one,
            "against": f"one simulated hour at {hour.step:g} s; ratio: LSODA at 1e-8, switches as events",
            "agreement": f"{off:.3f} K over twenty minutes",
        },
        {
            "name": "drive_1000",
            "value": thousand,
            "unit": "s",
            "ratio": None,
            "against": f"a thousand hours, heat x 0.8 to 1.2, all cores; {busy:.2f} s of processors' time",
            "agreement": None,
        },
    ]
