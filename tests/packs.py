"""Flat records for the pack's tests: one plain example core, seeded random packs around it, the shipped demo."""

import math
from functools import cache
from importlib.resources import files
from types import SimpleNamespace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.airflow.stacks import Stacks, stacks, without
from shroudwright.fans.curve import CURVE_POINTS
from shroudwright.job.circuits import circuits_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import flatten
from shroudwright.job.heat_load import heat_load
from shroudwright.job.priors import priors, words
from shroudwright.pack.params import MAX_AHEAD, MAX_FANS, blank
from shroudwright.pack.plenum import even
from shroudwright.radiator.core import Core
from shroudwright.uncertain.draws import draw

INCH = 0.0254
CFM = 4.719474432e-4
GPM = 6.30901964e-5
INH2O = 249.08891

EXAMPLE_CORE = Core(
    fin=0.0,
    tube_length=25 * INCH,
    stack_height=17 * INCH,
    depth=2 * INCH,
    rows=2.0,
    tube_width=0.875 * INCH,
    tube_thickness=0.002,
    tube_wall=0.00035,
    fins_per_metre=15 / INCH,
    fin_height=0.008,
    fin_thickness=0.0001,
    fin_conductivity=180.0,
    louver_pitch=0.0012,
    louver_angle=math.radians(27.0),
    louver_length_share=0.85,
    passes=1.0,
)
CONDENSER = EXAMPLE_CORE._replace(depth=0.016, rows=1.0, tube_width=0.016, tube_wall=0.0004, fins_per_metre=18 / INCH)


def curve(free_flow: float, shutoff: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """A plain falling curve at a full row of points."""
    flow = np.linspace(0.0, free_flow, CURVE_POINTS)
    return flow, shutoff * (1.0 - (flow / free_flow) ** 1.6)


def lay_out(p: Any, *spans: tuple[tuple[Any, Any], tuple[Any, Any]]) -> None:
    """Stand coolers ahead of the core: from and to along and across the tubes, as shares of the face."""
    one = np.ones(len(p))
    along, across = ([(span[side][0] * one, span[side][1] * one) for span in spans] for side in (0, 1))
    p.stack_share, p.lane_share, p.segment_share, p.segment_coolers = stacks(along, across, one, one, MAX_AHEAD)
    p.ahead_count = len(spans)


def take_away(p: Any, rows: NDArray[np.bool_], cooler: int) -> None:
    """Take a cooler away from some rows."""
    cut = Stacks(*(p[name][rows] for name in Stacks._fields))
    for name, left in without(cut, cooler)._asdict().items():
        p[name][rows] = left


def plain(rows: Any) -> list[Any]:
    """Each row with its fields as attributes: a record takes ten times as long to hand one over."""
    return [SimpleNamespace(**{name: row[name] for name in row.dtype.names}) for row in rows]


def example(fans: int = 2, count: int = 1) -> NDArray[Any]:
    """Standing, 40 C, two like fans on a full shroud 2 in deep, 15 kW, 15 gpm."""
    p = blank(count)
    p.ambient, p.pressure, p.humidity_ratio, p.pavement_rise, p.road_speed = 313.15, 101325.0, 0.0, 0.0, 0.0
    p.inlet_share, p.bay_share, p.front_loss, p.exit_loss, p.recirculation = 0.45, 0.05, 3.0, 2.0, 0.0
    p.core[:] = EXAMPLE_CORE
    p.j_scale = p.f_scale = p.open_share = p.covered_share = 1.0
    p.leak_area = 0.0
    p.plenum_loss, p.unevenness = even(2.06, 0.998)
    p.ahead_heat, p.ahead_temperature, p.ahead_inner_share, p.crossed_share = 0.0, math.nan, 0.8, 1.0
    p.pushed_share, p.flap_area = 0.0, 0.0
    p.leak_lift, p.flap_lift = 0.0, 0.0
    lay_out(p)
    p.ahead[:] = CONDENSER
    p.fan_count = fans
    flow, pressure = curve(1450 * CFM, 0.8 * INH2O)
    p.fan_flow[:], p.fan_pressure[:] = flow, pressure
    p.fan_points = CURVE_POINTS
    p.fan_on, p.fan_is_pusher, p.fan_is_brushless = 1.0, 0.0, 0.0
    p.fan_turn_share, p.fan_amps_share, p.fan_belt_speed = 1.0, 1.0, math.nan
    p.fan_density, p.fan_volts, p.fan_amps, p.fan_stall_ratio, p.fan_scale = 1.2, 13.5, 14.0, 3.3, 1.0
    p.fan_disc, p.fan_stopped_loss, p.path_resistance = 0.06, 7.0, 0.0
    p.source_volts = 13.5
    p.heat, p.coolant_flow = 15e3, 15 * GPM
    p.pump_shutoff, p.pump_flow, p.bypass_share = 13e3, 10 * GPM, 0.1
    p.hose_bore, p.hose_length, p.hose_fittings = 0.035, 1.0, 4.0
    p.thermostat, p.thermostat_opens, p.thermostat_span = 1.0, 355.0, 8.0
    p.limit, p.heat_store = 380.0, 110e3
    return p


def random_packs(count: int, seed: int) -> NDArray[Any]:
    """Packs of every sort: fins, flows, fans stopped and running, speed, altitude, coverage, pulls."""
    random = np.random.default_rng(seed)
    p = example(count=count)

    def between(low: float, high: float, *shape: int) -> NDArray[np.float64]:
        return random.uniform(low, high, (count, *shape))

    p.ambient, p.pressure, p.road_speed = (
        between(275, 325),
        between(70e3, 102e3),
        between(0, 32) * (between(0, 1) > 0.5),
    )
    p.pavement_rise, p.humidity_ratio = between(0, 6), between(0, 0.02)
    p.inlet_share, p.bay_share, p.front_loss, p.exit_loss = (
        between(0.2, 0.7),
        between(-0.1, 0.2),
        between(1, 8),
        between(1, 5),
    )
    p.recirculation = between(0, 0.3)
    p.core[:, 0] = random.integers(0, 3, count)
    p.core[:, 1], p.core[:, 2], p.core[:, 3] = between(0.4, 0.9), between(0.3, 0.6), between(0.05, 0.07)
    p.core[:, 8], p.core[:, 9], p.core[:, 15] = between(400, 900), between(0.0065, 0.01), random.integers(1, 3, count)
    p.j_scale, p.f_scale = between(0.85, 1.15), between(0.75, 1.3)
    p.open_share = between(0.8, 1.0)
    p.covered_share = np.where(between(0, 1) > 0.5, 1.0, between(0.4, 0.95))
    p.crossed_share = np.sqrt(p.covered_share)
    low_x, low_y = between(-0.2, 0.5, 2), between(-0.2, 0.5, 2)
    high_x, high_y = low_x + between(0.3, 1.2, 2), low_y + between(0.3, 1.2, 2)
    lay_out(p, *(((low_x[:, i], high_x[:, i]), (low_y[:, i], high_y[:, i])) for i in range(2)))
    p.leak_area = between(0, 0.02)
    p.plenum_loss = np.arcsinh(between(0.5, 15, 1) * np.array([0.7, 0.6, 1.0, 0.9, 1.3, 1.2]))
    falling, with_speed = np.array([1.8, 1.7, 1.0, 0.95, 0.45, 0.43]), np.array([0.7, 1.0, 1.25])
    p.unevenness = np.log(between(0.001, 0.05, 1) * np.outer(falling, with_speed).ravel())
    p.ahead_count = random.integers(0, 3, count)
    for cooler in range(2):
        gone = p.ahead_count <= cooler
        take_away(p, gone, cooler)
    p.ahead[:, :, 1], p.ahead[:, :, 2] = p.core[:, 1:2], p.core[:, 2:3]
    p.ahead_heat = between(1e3, 8e3, MAX_AHEAD)
    p.fan_count = random.integers(0, MAX_FANS + 1, count)
    p.fan_on = between(0, 1, MAX_FANS) > 0.2
    p.fan_is_brushless = between(0, 1, MAX_FANS) > 0.8
    p.path_resistance = between(0.0, 0.05, MAX_FANS)
    p.source_volts = between(11.8, 14.4)
    p.fan_scale = between(0.75, 1.0, MAX_FANS)
    p.heat = between(5e3, 60e3)
    p.coolant_flow = np.where(between(0, 1) > 0.5, math.nan, between(8, 60) * GPM)
    speed = between(0.6, 4.5)
    p.pump_shutoff, p.pump_flow = 13e3 * speed**2, between(6, 18) * GPM * speed
    p.bypass_share = between(0.0, 0.2)
    p.thermostat = random.integers(0, 3, count)
    p.pull_start = np.where(between(0, 1) > 0.7, 368.0, math.nan)
    return p


@cache
def demo() -> Filled:
    """The shipped demo with every blank at its median."""
    name = "demo.job.toml"
    job = parse_job(files("shroudwright.job").joinpath(name).read_bytes(), name)
    return Filled(job, draw(priors(job), 1, 1), {path: word.value for path, word in words(job).items()})


def demo_case(index: int) -> NDArray[Any]:
    """One row: a driving case of the demo at its medians."""
    return flatten(demo(), index, heat_load(demo(), index), circuits_of(demo()))[:1]
