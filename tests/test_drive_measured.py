"""Drives beside what others measured or simulated: fan cycles at idle, a warm-up, a thermostat in the loop."""

from functools import cache

import numpy as np
import pytest
from scipy.optimize import brentq

from shroudwright.control.plan import Plan
from shroudwright.job.circuits import circuits_of
from shroudwright.job.driving import circuit_at, course_of, networks, shed_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.priors import priors, words
from shroudwright.job.schedules import route
from shroudwright.pack.drive import Followed, simulate
from shroudwright.uncertain.draws import draw
from tests.test_pack_drive import CAPACITY, NEVER, held, kelvin, lumps, tables

ON = 598.0
"""Heat shed with the fan on and the valve full open, so that a 195 F thermostat settles at 202.9 F, [W/K]"""


def regulated(opens: float, on: float, off: float, still: float, blown: float = ON) -> Followed:
    """One lump of 90 kJ/K and 18 kW on a 100 F day, 15 F from start to full open, shedding in step with the lift."""
    shed, circuit = tables(still, blown)
    rises = shed.rise + shed.rise_step * np.arange(shed.drop.shape[4])
    full = CAPACITY * 2e-3
    drop = np.zeros_like(shed.drop)
    drop[0], drop[1] = still / full * rises, blown / full * rises
    net = lumps(thermostat=1.0, opens=kelvin(opens), span=15.0 / 1.8, start=kelvin(opens), metal_to_coolant=2e4)
    net["metal_store"], net["coolant_store"], net["radiator_store"] = 80e3, 9e3, 1e3
    for lag in ("wax_lag", "valve_lag", "way_lag", "sensor_lag"):
        net[lag] = 0.01
    plan = Plan(on_1=kelvin(on), off_1=kelvin(off), on_2=NEVER, off_2=NEVER - 1.0)
    return simulate(net, shed._replace(drop=drop), circuit, plan, held(18e3, 2.0, step=0.25), every=1)


def per_hour(ran: Followed) -> float:
    """Starts an hour, from the second on."""
    assert ran.traces is not None
    starts = np.nonzero(np.diff(ran.traces[0, :, 2]) > 0.0)[0] * 0.25
    return float(3600.0 / np.diff(starts[1:]).mean())


def fan_share(ran: Followed) -> float:
    """Share of the time the fan runs, over whole cycles."""
    assert ran.traces is not None
    share = ran.traces[0, :, 2]
    starts = np.nonzero(np.diff(share) > 0.0)[0]
    return float(np.mean(share[starts[1] + 1 : starts[-1] + 1] > 0.0))


def fahrenheit(temperature: float) -> float:
    return (temperature - 273.15) * 1.8 + 32.0


@pytest.mark.independent(
    "a survey's simulation of the same; it names no conductances: one from 202.9 F, one from 18 starts an hour"
)
def test_thermostat_in_the_loop() -> None:
    for off in (190.0, 195.0, 200.0):
        never = regulated(195.0, 205.0, off, 100.0).outcome[0]
        assert never["starts_1"] == 1.0
        assert fahrenheit(never["end"]) == pytest.approx(202.9, abs=0.2)
    cool = regulated(180.0, 195.0, 185.0, 100.0).outcome[0]
    assert cool["starts_1"] == 1.0
    assert fahrenheit(cool["end"]) == pytest.approx(189.1, abs=0.2)
    still = brentq(lambda each: per_hour(regulated(195.0, 215.0, 205.0, each)) - 18.0, 240.0, 260.0, xtol=0.5)
    assert per_hour(regulated(180.0, 200.0, 190.0, still)) == pytest.approx(24.0, abs=1.0)
    # Theirs says 0.21; one lump that starts 18 times an hour runs 0.19 of the time.
    assert fan_share(regulated(195.0, 215.0, 205.0, still)) == pytest.approx(0.21, abs=0.03)


CAR = """
name = "small saloon"
units = "mm"
[engine]
displacement = "1.5 L"
rated_power = "80 kW"
idle_rpm = "653"
[core]
width = "650 mm"
height = "400 mm"
depth = "26 mm"
[circuit]
thermostat_opens = "82 degC"
[[fans]]
code = "A"
blade = "360 mm"
[[cases]]
name = "idling"
kind = "idle"
[weather]
ambient = "{ambient} degC"
"""
"""Core and fan are not known of the car measured, nor is the day; these are made up"""


@cache
def idling(ambient: float, start: float) -> tuple[np.ndarray, np.ndarray]:
    """Coolant at the sensor, [C], and whether the fan runs, second by second at idle, on the job's own heat."""
    job = parse_job(CAR.format(ambient=ambient).encode(), "car.job.toml")
    filled = Filled(job, draw(priors(job), 2), {path: word.value for path, word in words(job).items()})
    circuits = circuits_of(filled)
    circuit = circuit_at(filled, circuits)
    plan = Plan(on_1=95.0 + 273.15, off_1=91.0 + 273.15, on_2=NEVER, off_2=NEVER - 1.0)
    shed = shed_of(filled, plan, circuits, circuit.flow, has_cooling=False)
    net = networks(filled, np.ones(1), np.ones(1), NEVER, start + 273.15)
    ran = simulate(net, shed, circuit, plan, course_of(filled, route("idle"), cooled=False).schedule, every=1)
    assert ran.traces is not None
    return ran.traces[0, :, 1] - 273.15, ran.traces[0, :, 2] > 0.0


@pytest.mark.published(
    "carOBD data set, IEEE document 8891367: fan bursts of one 1.5 L car at hot idle, 95 on and 91 off, derived figures"
)
@pytest.mark.parametrize("ambient", [22.0, 30.0])
def test_idle_fan_cycle(ambient: float) -> None:
    sensed, runs = idling(ambient, 88.0)
    logged = np.floor(sensed)  # as there, in whole degrees; cut off, which is not told
    starts = np.nonzero(np.diff(runs.astype(int)) > 0)[0]
    first, then = starts[-2], starts[-1]
    on_time = int(np.count_nonzero(runs[first + 1 : then + 1]))
    assert 98 <= then - first <= 134
    assert 14 <= on_time <= 36
    stop = first + on_time
    assert 1 <= 91 - logged[stop:then].min() <= 3
    assert logged[first + 1] == 95
    assert 10 <= 1 + np.argmax(logged[first + 1 :] < 95) <= 13


@pytest.mark.published("the same data set: 402 s at idle from 40 to 80 C, 18 runs; within 35 %, on the job's own heat")
def test_idle_warm_up() -> None:
    sensed, _ = idling(22.0, 30.0)
    took = np.argmax(sensed >= 80.0) - np.argmax(sensed >= 40.0)
    assert took == pytest.approx(402.0, rel=0.35)
