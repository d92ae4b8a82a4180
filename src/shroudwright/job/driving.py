"""A job as a drive: its heat second by second, what radiator and fans make of it, and what it is made of.

Course      a route as heat, engine speed and A/C, at the medians
course_of   job and route -> Course
shed_of     tables of the radiator and the fans at each level
circuit_at  table of the coolant's flow
networks    one row of lumps for the medians and one for each draw
levels_of   what runs at each Level of a plan
controls_of job and settings -> what a simulated controller follows

A schedule's steps, or the points of a table, take the place of the draws, so that heat and records come from the same
code as a driving case's.
"""

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.control.plan import MAP, STAGES, Plan
from shroudwright.control.settings import Settings
from shroudwright.heat.accessories import heat_store
from shroudwright.job.drive import Case
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import THERMOSTATS, flatten, glycol_of
from shroudwright.job.heat_load import heat_load
from shroudwright.job.plumbing import past_core
from shroudwright.job.quantity import Reading
from shroudwright.job.schedules import Route
from shroudwright.job.wiring import stages_of
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.drive import NETWORK, Schedule
from shroudwright.pack.drive_tables import Circuit, Shed, circuit_of
from shroudwright.pack.kernel import solve_batch
from shroudwright.wiring.circuits import FanCircuit

Numbers = NDArray[np.float64]
STEP, _LOOKED_AT = 1.0, 4
"""Of a drive, [s]; how often in it the road is looked at"""
SPEEDS = np.array([0.0, 1.5, 3.0, 4.0, 5.0, 6.5, 8.0, 10.0, 12.0, 16.0, 21.0, 27.0, 36.0, 54.0])
_AIR_AT = (0.0, 12.0, 27.0)
"""Speeds at which the air behind the core is worked out, [m/s]"""
_FLOWS, _RISES = 20, 9
_FLOW_SPAN = 80.0
"""Largest flow of the tables over the smallest, under which the coolant leaves as cold as it can"""
_LOW_RISE, _TOP_RISE, _LOOKS = 10.0, 130.0, 4
_LITTLE = 500.0
"""Heat of a first look, [W]"""
_LEVELS = 5
"""Of fans whose speed is controlled: stopped, a quarter, half, three quarters, full"""
_RATIOS = (1.0, 1.5, 2.3, 4.0)
_LEAST_RATIO_SPEED = 1.7
_GRAVITY = 9.80665
_STANDS = 0.5
_MOST_CHANGE = 4.0
_COOLANT_HEAT = 3.7e6
_IN_RADIATOR = 0.35
"""Of the coolant's volume, common practice, no source, [-]"""
_METAL_TO_COOLANT = 2000.0
_METAL_TO_STILL = 150.0
_METAL_TO_AIR = 10.0
"""With the engine stopped; the first a guess, the others good to a half, no source, [W/K]"""
_WAX_LAG, _VALVE_LAG, _PLAY = 10.0, 2.0, 4.0
_WAY_LAG, _SENSOR_LAG = 4.0, 7.0
"""Some 11 s in all from a fan's start to the first fall, measured on one car, [s]"""
COLD_FACTOR = 1.3
"""Idle fuel of a cold engine over that of a warm one, measured on one car, [-]"""
_PLACES = {"engine out": 0.0, "radiator in": 0.0, "head metal": 0.0, "in the fins": 0.5, "radiator out": 1.0}


class Course(NamedTuple):
    """A route driven by a job, one value a step."""

    schedule: Schedule
    route: Route


def _instead(filled: Filled, case: Case, values: Mapping[str, Numbers | float], *, cooled: bool, count: int) -> Filled:
    """The medians of a job with one driving case of so many points instead of its own."""
    drawn = {
        path: np.full(count, float(draws[0])) for path, draws in filled.drawn.items() if not path.startswith("cases.")
    }
    drawn |= {f"cases.0.{name}": np.broadcast_to(np.asarray(value, float), (count,)) for name, value in values.items()}
    words = {path: word for path, word in filled.words.items() if not path.startswith("cases.")}
    words |= {"cases.0.air_conditioning": cooled, "cases.0.trailer": case.trailer is True}
    return Filled(filled.job.model_copy(update={"cases": (case,)}), drawn, words)


def engine_speed(filled: Filled, speed: Numbers) -> Numbers:
    """Engine speed on the road: the highest of four gears that keeps it over 1.7 times idle.

    Parameters
    ----------
    filled : Filled
        The job.
    speed : array
        [m/s]

    Returns
    -------
    array
        [rpm]; idle where it stands. Common practice, no source.
    """
    idle, rated = float(filled["engine.idle_rpm"][0]), float(filled["engine.rated_rpm"][0])
    top = 2100.0 * rated / 5500.0 * speed / 29.06
    rpm = _RATIOS[-1] * top
    for ratio in _RATIOS[-2::-1]:
        rpm = np.where(ratio * top >= _LEAST_RATIO_SPEED * idle, ratio * top, rpm)
    return np.clip(rpm, idle, rated)


def course_of(filled: Filled, route: Route, *, cooled: bool, towing: bool = False) -> Course:
    """Work out what a route asks of the engine.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    route : Route
        Speed, grade and key.
    cooled : bool
        Whether the A/C is on wherever the engine turns.
    towing : bool
        Whether the trailer is on.

    Returns
    -------
    Course
        At the medians. Acceleration counts as grade; where it would take more than rated power it is cut short there.
    """
    look = STEP / _LOOKED_AT
    time = np.arange(0.0, len(route.speed) - 1, look)
    at = np.arange(len(route.speed))
    speed = np.interp(time, at, route.speed)
    change = np.gradient(speed, look)
    grade = np.interp(time, at, route.grade) + np.clip(change, -_MOST_CHANGE, _MOST_CHANGE) * 1.04 / _GRAVITY
    key = route.key_on[time.astype(int)] > 0.0
    rpm = engine_speed(filled, speed)

    def heat(kind: str) -> Numbers:
        case = Case(name="drive", kind=kind, trailer=towing)  # type: ignore[arg-type]
        values: dict[str, Numbers | float] = {"speed": speed, "grade": np.clip(grade, -0.4, 0.6), "engine_rpm": rpm}
        return heat_load(_instead(filled, case, values, cooled=cooled, count=len(time)), 0).radiator

    most = _most_heat(filled, rpm, cooled=cooled)
    given = np.where(speed < _STANDS, heat("idle"), np.minimum(heat("cruise"), most))
    asked = (np.where(key, given, 0.0), np.where(key, rpm, 0.0), speed, np.where(key & cooled, 1.0, 0.0))
    schedule = Schedule(STEP, *(each.reshape(-1, _LOOKED_AT).mean(axis=1) for each in asked))
    return Course(schedule, route)


def _most_heat(filled: Filled, rpm: Numbers, *, cooled: bool) -> Numbers:
    """Heat at full throttle."""
    case = Case(name="drive", kind="pull")
    rated = float(filled["engine.rated_rpm"][0])
    values: dict[str, Numbers | float] = {
        "speed": 20.0,
        "grade": 0.0,
        "engine_rpm": rpm,
        "share_of_rated_power": np.clip(rpm / rated, 0.15, 1.0),
    }
    return heat_load(_instead(filled, case, values, cooled=cooled, count=len(rpm)), 0).radiator


class Level(NamedTuple):
    """Which fans run, and how."""

    codes: tuple[str, ...] = ()
    percent: float | None = None
    """On, where it is controlled, [-]"""
    is_low: bool = False
    """Whether they run on their low speed"""


def levels_of(filled: Filled, plan: Plan) -> list[Level]:
    """Return what runs at each level.

    In stages: none, the first stage, all. With fans in series and side by side the first stage is all at half volts,
    with resistors all on their low speed.
    """
    codes = tuple(fan.code for fan in filled.job.fans)
    if plan.way != STAGES:
        return [Level(), *(Level(codes, float(share)) for share in np.linspace(0.0, 1.0, _LEVELS)[1:])]
    scheme = str(filled.word("control.scheme"))
    if scheme == "series and parallel":
        return [Level(), Level(codes, 0.5), Level(codes)]
    if scheme == "resistor":
        return [Level(), Level(codes, is_low=True), Level(codes)]
    first = tuple(code for code, stage in zip(codes, stages_of(filled.job, scheme), strict=True) if stage == 1)
    return [Level(), Level(codes)] if first == codes else [Level(), Level(first), Level(codes)]


def controls_of(filled: Filled, made: Settings) -> Plan:
    """Turn a job's control into what a simulated controller follows.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    made : Settings
        Typed or proposed.

    Returns
    -------
    Plan
        Past the alarm, or the temperature typed, road speed does not matter, unless the job says it does. The A/C asks
        for a stage or a percent on unless its request is typed as none.
    """
    typed = filled.job.control

    def one(name: str) -> float:
        return float(filled[f"control.{name}"][0])

    def given(reading: Reading | None, default: float) -> float:
        return default if reading is None else reading.value

    second = made.second_on is not None and made.second_off is not None
    asks = 2.0 if filled.word("control.air_conditioning_stage") == "all" else 1.0
    cut = given(typed.speed_cut, math.inf)
    plan = Plan(
        on_1=made.fan_on,
        off_1=made.fan_off,
        on_2=float(made.second_on) if second else made.fan_on,  # type: ignore[arg-type]
        off_2=float(made.second_off) if second else made.fan_off,  # type: ignore[arg-type]
        least=one("least_duty"),
        ramp=one("ramp"),
        air_conditioning=0.0 if typed.air_conditioning_request is False else asks,
        cut_above=cut,
        cut_below=cut - one("cut_band"),
        hot=math.inf if typed.hot_override is False else given(typed.hot, made.alarm),
        least_on=given(typed.least_on, 0.0),
        least_off=given(typed.least_off, 0.0),
        after_run=given(typed.after_run, 0.0),
    )
    if made.line is None:
        return plan
    request = min(plan.air_conditioning, one("air_conditioning_percent"))
    return plan._replace(way=MAP, start=made.line.start, full=made.line.full, air_conditioning=request)


def shed_of(filled: Filled, plan: Plan, circuits: tuple[FanCircuit, ...], flows: Numbers, *, has_cooling: bool) -> Shed:
    """Make the tables of radiator and fans from balanced packs.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    plan : Plan
        Which levels are wanted.
    circuits : tuple of FanCircuit
        Of the fans.
    flows : array
        All coolant flows of the circuit's table, [m**3/s]
    has_cooling : bool
        Whether the A/C is on wherever the engine turns.

    Returns
    -------
    Shed
    """
    most = float(flows.max())
    log_flow = np.linspace(math.log(most / _FLOW_SPAN), math.log(most), _FLOWS)
    rises = np.linspace(_LOW_RISE, _TOP_RISE, _RISES)
    levels = levels_of(filled, plan)
    drop = np.zeros((len(levels), 2, len(SPEEDS), _FLOWS, _RISES))
    amps, volts = np.zeros((2, len(levels), len(SPEEDS)))
    table = coolant_table(*glycol_of(filled))
    for at, level in enumerate(levels):
        # The A/C runs wherever the engine turns; with it stopped no coolant moves, and either table does.
        made = _level(filled, level, circuits, np.exp(log_flow), rises, table, cooled=has_cooling)
        drop[at, :], amps[at], volts[at] = made
    return Shed(
        SPEEDS,
        float(log_flow[0]),
        float(log_flow[1] - log_flow[0]),
        _LOW_RISE,
        float(rises[1] - rises[0]),
        drop,
        amps,
        volts,
    )


def _level(
    filled: Filled,
    level: Level,
    circuits: tuple[FanCircuit, ...],
    flows: Numbers,
    rises: Numbers,
    table: Numbers,
    *,
    cooled: bool,
) -> tuple[Numbers, Numbers, Numbers]:
    """Coolant's drop over speed, flow and rise of the radiator's inlet; amps and volts over speed."""
    ambient = float(filled["weather.ambient"][0])
    case = Case(name="drive", kind="cruise", fans_on=level.codes, fans_low=level.codes if level.is_low else None)
    flow, wanted = (axis.ravel() for axis in np.meshgrid(flows, rises, indexing="ij"))

    # The air behind the core is that of a case's first row, so speeds go with the nearest of a few.
    nearest = np.argmin(np.abs(SPEEDS[:, np.newaxis] - _AIR_AT), axis=1)
    made: dict[float, NDArray[Any]] = {}
    for at, first in enumerate(_AIR_AT):
        mine = sorted(SPEEDS[nearest == at], key=lambda speed: abs(speed - first))
        rows = _params(filled, np.repeat(mine, len(flow)), case, level.percent, circuits, cooled=cooled)
        made |= dict(zip(mine, np.split(rows, len(mine)), strict=True))
    params: Any = np.concatenate([made[speed] for speed in SPEEDS]).view(np.recarray)
    standing = _params(
        filled,
        SPEEDS[:1],
        case.model_copy(update={"kind": "idle"}),
        level.percent,
        circuits,
        cooled=cooled,
        plenum=False,
    )
    params.source_volts[: len(flow)] = standing["source_volts"]
    flow, wanted = np.tile(flow, len(SPEEDS)), np.tile(wanted, len(SPEEDS))
    params.thermostat, params.coolant_flow, params.limit = 0.0, flow, math.nan
    # A little heat first says what each point sheds per kelvin; a few looks more bring each to the rise wanted.
    params.heat = _LITTLE
    for _ in range(_LOOKS):
        solved: Any = solve_batch(params, table)
        reached = solved.coolant_unregulated - ambient
        params.heat = np.where(reached > 0.0, np.maximum(params.heat * wanted / reached, 1.0), params.heat)
    solved = solve_batch(params, table)
    shape = len(SPEEDS), len(flows), len(rises)
    inlet = np.asarray(solved.coolant_unregulated - ambient).reshape(shape)
    drops = np.asarray(solved.coolant_unregulated - solved.coolant_out).reshape(shape)
    drop = np.zeros(shape)
    for spot in np.ndindex(*shape[:2]):
        # Where no air moves nothing is shed.
        if np.all(np.isfinite(inlet[spot])) and np.all(np.diff(inlet[spot]) > 0.0):
            drop[spot] = _straight_on(rises, inlet[spot], drops[spot])
    at_top = slice(len(rises) // 2, None, len(rises) * len(flows))
    return drop, np.nansum(solved["fan_amps"][at_top], axis=1), np.asarray(params.source_volts[at_top])


def _params(
    filled: Filled,
    speed: Numbers,
    case: Case,
    percent: float | None,
    circuits: tuple[FanCircuit, ...],
    *,
    cooled: bool,
    plenum: bool = True,
) -> NDArray[Any]:
    """Records at some speeds; of their heat only that of the coolers ahead is kept, the radiator's is set later."""
    values: dict[str, Numbers | float] = {"speed": speed, "grade": 0.0, "engine_rpm": engine_speed(filled, speed)}
    if percent is not None:
        values["percent_on"] = percent
    points = _instead(filled, case, values, cooled=cooled, count=len(speed))
    return flatten(points, 0, heat_load(points, 0), circuits, plenum=plenum)


def _straight_on(at: Numbers, x: Numbers, y: Numbers) -> Numbers:
    """Values between points, and straight on past the first two and the last two."""
    low = y[0] + (at - x[0]) * (y[1] - y[0]) / (x[1] - x[0])
    high = y[-1] + (at - x[-1]) * (y[-1] - y[-2]) / (x[-1] - x[-2])
    return np.where(at < x[0], low, np.where(at > x[-1], high, np.interp(at, x, y)))


def circuit_at(filled: Filled, circuits: tuple[FanCircuit, ...]) -> Circuit:
    """Make the table of the coolant's flow over engine speed and lift."""
    idle, rated = float(filled["engine.idle_rpm"][0]), float(filled["engine.rated_rpm"][0])
    rpm = np.linspace(0.5 * idle, 1.1 * rated, 12)
    case = Case(name="drive", kind="cruise")
    points = _instead(filled, case, {"speed": 10.0, "grade": 0.0, "engine_rpm": rpm}, cooled=False, count=len(rpm))
    params = flatten(points, 0, heat_load(points, 0), circuits, plenum=False).view(np.recarray)
    return circuit_of(params, rpm, coolant_table(*glycol_of(filled)))


def networks(filled: Filled, heat: Numbers, shed: Numbers, limit: float, start: float) -> NDArray[np.void]:
    """Write the lumps: one row for each heat and shed, both over the medians'.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    heat, shed : array
        Heat given over the course's, and shed over the tables', (n,), [-]
    limit, start : float
        Of the coolant, [K]

    Returns
    -------
    array
        Rows of `NETWORK`.
    """

    def one(path: str) -> float:
        return float(filled[path][0])

    volume = one("coolant.volume")
    store = one("model.thermal_mass") * float(heat_store(one("engine.mass"), str(filled.word("engine.block")), volume))
    coolant = min(_COOLANT_HEAT * volume, 0.8 * store)
    rows = np.zeros(len(heat), NETWORK).view(np.recarray)
    rows.ambient = one("weather.ambient")
    rows.radiator_store, rows.coolant_store = _IN_RADIATOR * coolant, (1.0 - _IN_RADIATOR) * coolant
    rows.metal_store = store - coolant
    rows.metal_to_coolant, rows.metal_to_still, rows.metal_to_air = _METAL_TO_COOLANT, _METAL_TO_STILL, _METAL_TO_AIR
    rows.heat_scale, rows.shed_scale, rows.flow_scale = heat, shed, 1.0
    rows.bypass_share = float(past_core(filled)[0])
    rows.thermostat = THERMOSTATS[str(filled.word("circuit.thermostat_place"))]
    rows.opens, rows.span, rows.play = one("circuit.thermostat_opens"), one("circuit.thermostat_span"), _PLAY
    rows.wax_lag, rows.valve_lag, rows.way_lag, rows.sensor_lag = _WAX_LAG, _VALVE_LAG, _WAY_LAG, _SENSOR_LAG
    rows.sensor_place = _PLACES[str(filled.word("control.sensor_place"))]
    rows.cold_factor, rows.limit, rows.start = COLD_FACTOR, limit, start
    return np.asarray(rows)
