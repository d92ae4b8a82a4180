"""From a filled job to the flat records the pack solves: one row per draw of one driving case.

flatten         the rows of a case
stand_off       what stands behind a fan, taken off its curve
glycol_of       which glycol, and how much
boil_and_limit  boiling point under the cap, and the temperature the case is judged by
"""

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.airflow.behind import (
    area_under_opening,
    discs_overlap,
    share_crossed,
    solid_behind_loss,
)
from shroudwright.airflow.recycled import fading
from shroudwright.airflow.stacks import stacks
from shroudwright.fans.curve import Branch, generic_curve, right_branch
from shroudwright.fans.laws import THROTTLED, percent_on_speed
from shroudwright.heat.accessories import heat_store
from shroudwright.job.circuits import path_resistance, running_amps, source_volts
from shroudwright.job.drive import BeltFan, Fan
from shroudwright.job.filled import Filled
from shroudwright.job.heat_load import HeatLoad, belt_fan_turns
from shroudwright.job.model import has_belt_fan
from shroudwright.job.near import Looked, put, tables_for
from shroudwright.job.placed import place_leaks
from shroudwright.job.places import pushers_that_help
from shroudwright.job.plenum import depth_of
from shroudwright.job.plumbing import loop_of, past_core, pump_of
from shroudwright.job.vents import bare_area
from shroudwright.materials.air import humidity_ratio, pressure_at_altitude
from shroudwright.materials.coolant import Glycol, boil_point_under_cap, coolant_table, glycol_mass_fraction
from shroudwright.pack.params import MAX_AHEAD, PARAMS, blank
from shroudwright.pack.plenum import even
from shroudwright.radiator.core import FINS, Core
from shroudwright.wiring.circuits import FanCircuit

Numbers = NDArray[np.float64]
METAL_SURFACE_MARGIN = 10.0
GLYCOLS: dict[str, Glycol] = {"ethylene glycol": "MEG", "propylene glycol": "MPG", "water": "water"}
THERMOSTATS = {"none": 0.0, "outlet": 1.0, "inlet": 2.0}
_LEAST_STALL_RATIO = 1.05
_LEAST_CLEARANCE = 0.006
"""What is nearer than this does not fit, which is for the layout to say, [m]"""
_MOST_PUSHED = 0.98
STANDARD_AIR = 1.2
# A cooler ahead is known by its depth and fins; the rest is an ordinary extruded-tube cooler.
_COOLER = Core(
    fin=0.0,
    tube_length=1.0,
    stack_height=1.0,
    depth=0.02,
    rows=1.0,
    tube_width=0.02,
    tube_thickness=0.002,
    tube_wall=0.0004,
    fins_per_metre=550.0,
    fin_height=0.008,
    fin_thickness=0.0001,
    fin_conductivity=180.0,
    louver_pitch=0.0012,
    louver_angle=math.radians(27.0),
    louver_length_share=0.85,
    passes=1.0,
)


def glycol_of(filled: Filled) -> tuple[Glycol, float]:
    """Return the glycol's code and its median share by volume."""
    glycol = GLYCOLS[str(filled.word("coolant.kind"))]
    return glycol, 0.0 if glycol == "water" else float(filled["coolant.glycol_share"][0])


def boil_and_limit(filled: Filled, index: int) -> tuple[Numbers, Numbers]:
    """Boiling point under the cap at the case's altitude, and the temperature it is judged by.

    The limit is the lower of the builder's own and 10 K under boiling, for boiling on hot metal. Boiling
    follows cap pressure and mix in a straight line through the medians.
    """
    glycol, share = glycol_of(filled)
    altitude = float(filled.case(index, "altitude", "weather.altitude")[0])
    cap = filled["coolant.cap_pressure"]

    def boil(pressure: float, mix: float) -> float:
        mass = glycol_mass_fraction(glycol, mix)
        return boil_point_under_cap(glycol, mass, pressure, altitude)

    at_median = boil(float(cap[0]), share)
    step = 5000.0
    points = at_median + (cap - cap[0]) * (boil(float(cap[0]) + step, share) - at_median) / step
    if glycol != "water":
        richer = boil(float(cap[0]), share + 0.02)
        points = points + (filled["coolant.glycol_share"] - share) * (richer - at_median) / 0.02
    return points, np.minimum(filled["coolant.limit"], points - METAL_SURFACE_MARGIN)


def _core(filled: Filled, p: Any) -> None:
    across = filled.word("core.run") == "crossflow"
    columns: dict[str, Numbers | float] = {
        "fin": float(FINS.index(str(filled.word("core.fin")))),
        "tube_length": filled["core.width" if across else "core.height"],
        "stack_height": filled["core.height" if across else "core.width"],
        "fins_per_metre": filled["core.fins"],
    }
    for column, name in enumerate(Core._fields):
        p.core[:, column] = columns[name] if name in columns else filled[f"core.{name}"]
    p.j_scale, p.f_scale = filled["model.j"], filled["model.f"]
    p.open_share = 1.0 - filled["core.blocked_share"]


def _ahead(filled: Filled, p: Any, load: HeatLoad) -> None:
    p.ahead_count = float(len(load.ahead))
    p.ahead[:] = p.core[:, np.newaxis, :]
    p.ahead_inner_share = 1.0
    width, height = filled["core.width"], filled["core.height"]
    spans: list[tuple[tuple[Numbers, Numbers], tuple[Numbers, Numbers]]] = []
    for i in range(len(load.ahead)):
        at = f"ahead.{i}."
        depth = filled[at + "depth"]
        own: dict[str, Numbers] = {
            "tube_length": p.core[:, Core._fields.index("tube_length")],
            "stack_height": p.core[:, Core._fields.index("stack_height")],
            "depth": depth,
            "tube_width": depth,
            "fins_per_metre": filled[at + "fins"],
        }
        for column, (name, value) in enumerate(_COOLER._asdict().items()):
            p.ahead[:, i, column] = own.get(name, value)
        if filled.known(at + "condensing_temperature") is not None:
            p.ahead_inner_share[:, i] = filled["model.condenser_conductance"]
        spans.append(
            (
                _span(filled[at + "x"], filled[at + "width"], width),
                _span(filled[at + "y"], filled[at + "height"], height),
            )
        )
    # Seen along the coolant: a crossflow core runs from the left, a downflow core from the top.
    if filled.word("core.run") == "crossflow":
        cut = stacks([x for x, _ in spans], [y for _, y in spans], width, height, MAX_AHEAD)
    else:
        down = [(height - top, height - bottom) for _, (bottom, top) in spans]
        cut = stacks(down, [x for x, _ in spans], height, width, MAX_AHEAD)
    p.stack_share, p.lane_share, p.segment_share, p.segment_coolers = cut


def write_heat(filled: Filled, p: Any, load: HeatLoad) -> None:
    """Write what the radiator and every cooler ahead of it give the air, all that hangs on a case's heat."""
    p.heat, p.ahead_heat, p.ahead_temperature = load.radiator, 0.0, np.nan
    for i, heat in enumerate(load.ahead):
        p.ahead_heat[:, i] = heat
        held = filled.known(f"ahead.{i}.condensing_temperature")
        if held is not None:
            p.ahead_temperature[:, i] = np.where(heat > 0.0, held, np.nan)


def _span(centre: Numbers, size: Numbers, face: Numbers) -> tuple[Numbers, Numbers]:
    """From and to of a cooler; one that would miss the core altogether still stands before a hundredth of it."""
    least = 0.01 * face
    low = np.clip(centre - 0.5 * size, 0.0, face - least)
    return low, np.clip(centre + 0.5 * size, low + least, face)


def _discs(filled: Filled) -> list[tuple[float, float, float]] | None:
    """Centre and blade of every fan that draws, or None where a place is not given."""
    fans, helping = filled.job.fans, pushers_that_help(filled)
    if has_belt_fan(filled.job) or not all(fan.x is not None and fan.y is not None for fan in fans):
        return None
    return [
        (float(filled[f"fans.{i}.x"][0]), float(filled[f"fans.{i}.y"][0]), float(filled[f"fans.{i}.blade"][0]))
        for i in range(len(fans))
        if i not in helping
    ]


def covered_by_bare_fans(filled: Filled) -> Numbers:
    """Share of the core under the blades of fans without a shroud; by area where places are not given."""
    places = _discs(filled)
    if places is None:
        return filled["shroud.covered_share"]
    width, height = float(filled["core.width"][0]), float(filled["core.height"][0])
    under = sum(area_under_opening(x, y, blade, width, height) for x, y, blade in places)
    return np.full(filled.count, min(under / (width * height), 1.0))


def crossed_by_bare_fans(filled: Filled) -> Numbers:
    """Share of the tubes that pass under some blade; the root of the covered share where places are not given."""
    places = _discs(filled)
    if places is None:
        return np.sqrt(filled["shroud.covered_share"])
    across = filled.word("core.run") == "crossflow"
    spans = [((y if across else x) - 0.5 * blade, (y if across else x) + 0.5 * blade) for x, y, blade in places]
    return np.full(filled.count, share_crossed(spans, float(filled["core.height" if across else "core.width"][0])))


def _behind(filled: Filled, p: Any) -> None:
    p.pushed_share, p.flap_area = 0.0, 0.0
    p.leak_lift, p.flap_lift = 0.0, 0.0
    helping = pushers_that_help(filled)
    fans = [i for i in range(len(filled.job.fans)) if i not in helping]
    if not fans and not has_belt_fan(filled.job):
        p.covered_share, p.crossed_share, p.leak_area = 1.0, 1.0, 0.0
        return
    if filled.word("shroud.type") == "none":
        p.covered_share, p.crossed_share = covered_by_bare_fans(filled), crossed_by_bare_fans(filled)
        p.leak_area = sum(
            (math.pi * filled[f"fans.{i}.blade"] * filled[f"fans.{i}.ring_gap"] for i in fans),
            np.zeros(filled.count),
        )
    else:
        p.covered_share, p.leak_area = filled["shroud.covered_share"], filled["shroud.gaps"] + bare_area(filled.job)
        p.crossed_share = np.sqrt(p.covered_share)
        p.flap_area = filled["shroud.flaps"]
    if helping:
        face = filled["core.width"] * filled["core.height"]
        discs = sum((0.25 * math.pi * filled[f"fans.{i}.blade"] ** 2 for i in helping), np.zeros(filled.count))
        p.pushed_share = np.minimum(discs / face, _MOST_PUSHED * p.covered_share)


def _curve(filled: Filled, at: str, fan: Fan | BeltFan) -> Branch:
    if fan.curve:
        points = sorted((flow.value, pressure.value) for flow, pressure in fan.curve)
        return right_branch([flow for flow, _ in points], [pressure for _, pressure in points])
    return generic_curve(float(filled[at + "free_flow"][0]), float(filled[at + "shutoff_pressure"][0]))


def write_fans(filled: Filled, p: Any, index: int, circuits: tuple[FanCircuit, ...]) -> None:
    """Write the fans as they run in a driving case, and the volts at the post."""
    fans, case = filled.job.fans, filled.job.cases[index]
    p.fan_count = float(len(fans))
    for name in PARAMS.names or ():
        if name.startswith("fan_") and name != "fan_count":
            p[name] = 0.0
    p.fan_belt_speed = np.nan
    p.path_resistance = 0.0
    percent = filled.known(f"cases.{index}.percent_on")
    p.source_volts = source_volts(filled, index, running_amps(filled, index, circuits))
    for i, fan in enumerate(fans):
        at = f"fans.{i}."
        branch = _curve(filled, at, fan)
        p.fan_flow[:, i], p.fan_pressure[:, i], p.fan_points[:, i] = branch
        p.fan_scale[:, i] = filled["model.fan_flow"]
        p.fan_amps[:, i] = filled[at + "run_amps"]
        if not fan.curve:
            _spread_curve(filled, p, i, at)
            p.fan_amps[:, i] *= THROTTLED
        is_brushless = filled.word(at + "kind") == "brushless"
        p.fan_on[:, i] = float(case.fans_on is None or fan.code in case.fans_on)
        p.fan_is_pusher[:, i] = float(filled.word(at + "direction") == "pusher")
        p.fan_is_brushless[:, i] = float(is_brushless)
        p.fan_density[:, i] = filled[at + "air_density"]
        p.fan_volts[:, i] = filled[at + "test_volts"]
        stall_ratio = np.maximum(filled[at + "start_amps"] / filled[at + "run_amps"], _LEAST_STALL_RATIO)
        p.fan_stall_ratio[:, i] = stall_ratio
        p.fan_disc[:, i] = 0.25 * math.pi * (filled[at + "blade"] ** 2 - filled[at + "hub"] ** 2)
        p.fan_stopped_loss[:, i] = filled["model.stopped_fan_loss"]
        p.path_resistance[:, i] = path_resistance(filled, circuits[i])
        turns, amps = np.ones(filled.count), np.ones(filled.count)
        if case.fans_low is not None and fan.code in case.fans_low:
            turns = filled[at + "low_speed"]
            amps = turns**2
        elif percent is not None:
            turns = np.asarray(percent_on_speed(percent, stall_ratio, is_brushless))
            amps = turns**3 if is_brushless else percent * turns**2
        p.fan_turn_share[:, i], p.fan_amps_share[:, i] = turns, amps
        stand_off(p, i, solid_behind(filled, i))
    if has_belt_fan(filled.job):
        _belt_fan(filled, p, index, len(fans))


def _spread_curve(filled: Filled, p: Any, i: int, at: str) -> None:
    """Stretch a guessed curve to each draw's free air and shut-off."""
    p.fan_scale[:, i] *= filled[at + "free_flow"] / filled[at + "free_flow"][0]
    shutoff = filled[at + "shutoff_pressure"]
    p.fan_pressure[:, i] *= (shutoff / shutoff[0])[:, np.newaxis]


def _belt_fan(filled: Filled, p: Any, index: int, i: int) -> None:
    """Write the fan the engine drives behind the electric ones; it draws no amps."""
    fan, at = filled.job.belt_fan, "belt_fan."
    p.fan_count = float(i + 1)
    p.fan_flow[:, i], p.fan_pressure[:, i], p.fan_points[:, i] = _curve(filled, at, fan)
    p.fan_scale[:, i] = filled["model.fan_flow"]
    if not fan.curve:
        _spread_curve(filled, p, i, at)
    p.fan_on[:, i], p.fan_density[:, i], p.fan_stall_ratio[:, i] = 1.0, STANDARD_AIR, _LEAST_STALL_RATIO
    p.fan_disc[:, i] = 0.25 * math.pi * (filled[at + "blade"] ** 2 - filled[at + "hub"] ** 2)
    p.fan_stopped_loss[:, i] = filled["model.stopped_fan_loss"]
    p.fan_turn_share[:, i], p.fan_volts[:, i] = 1.0, 1.0
    p.fan_belt_speed[:, i] = belt_fan_turns(filled, index)


def solid_behind(filled: Filled, i: int) -> float:
    """Loss coefficient of what stands close behind fan i, on the head in its annulus; 0 where no place is given."""
    fan, at = filled.job.fans[i], f"fans.{i}."
    if fan.x is None or fan.y is None:
        return 0.0
    x, y, blade, hub = (float(filled[at + name][0]) for name in ("x", "y", "blade", "hub"))
    annulus = 0.25 * math.pi * (blade**2 - hub**2)
    front = float(depth_of(filled)[0]) if filled.word("shroud.type") != "none" else 0.0
    back = front + float(filled[at + "overall_depth"][0])
    loss, shut = 0.0, 0.0
    for spot in sorted(filled.job.space.depth_map, key=lambda spot: spot.depth.value if spot.depth else math.inf):
        if spot.x is None or spot.y is None or spot.depth is None or spot.size is None or spot.size.value <= 0.0:
            continue
        apart, radius = math.hypot(spot.x.value - x, spot.y.value - y), 0.5 * spot.size.value
        behind_blades = discs_overlap(apart, 0.5 * blade, radius) - discs_overlap(apart, 0.5 * hub, radius)
        share = min(behind_blades / annulus, 1.0 - shut)
        shut += share
        edge = math.pi * min(spot.size.value, blade)
        loss += solid_behind_loss(share, annulus, edge, max(spot.depth.value - back, _LEAST_CLEARANCE))
    return loss


def stand_off(p: Any, i: int, loss: float) -> None:
    """Take what stands behind a fan off its curve; at other speeds and densities it goes as the curve does."""
    if loss > 0.0:
        through = p.fan_scale[:, i, np.newaxis] * p.fan_flow[:, i] / p.fan_disc[:, i, np.newaxis]
        p.fan_pressure[:, i] -= 0.5 * loss * p.fan_density[:, i, np.newaxis] * through**2


def _coolant(filled: Filled, p: Any, index: int) -> None:
    rpm = filled[f"cases.{index}.engine_rpm"]
    known = filled.known(f"cases.{index}.coolant_flow")
    p.coolant_flow = math.nan if known is None else known
    p.pump_flow, p.pump_shutoff = pump_of(filled, rpm)
    p.bypass_share = past_core(filled)
    p.hose_bore, p.hose_length, p.hose_fittings = loop_of(filled)
    p.thermostat = THERMOSTATS[str(filled.word("circuit.thermostat_place"))]
    p.thermostat_opens = filled["circuit.thermostat_opens"]
    p.thermostat_span = filled["circuit.thermostat_span"]


def flatten(
    filled: Filled,
    index: int,
    load: HeatLoad,
    circuits: tuple[FanCircuit, ...],
    *,
    plenum: bool = True,
    like: Looked | None = None,
) -> NDArray[Any]:
    """Write the records of one driving case, one row per draw.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    index : int
        Which driving case.
    load : HeatLoad
        From `heat_load`.
    circuits : tuple of FanCircuit
        From `circuits_of`.
    plenum : bool
        Whether the plenum's tables are wanted, or written by the caller.
    like : Looked, optional
        As `tables_for` takes it.

    Returns
    -------
    array
        Rows of `PARAMS`, shape (draws,).
    """
    at = f"cases.{index}."
    p: Any = blank(filled.count)
    p.ambient = filled.case(index, "ambient", "weather.ambient")
    p.pressure = pressure_at_altitude(float(filled.case(index, "altitude", "weather.altitude")[0]))
    p.humidity_ratio = humidity_ratio(p.ambient[0], p.pressure[0], float(filled["weather.humidity"][0]))
    p.road_speed = filled[at + "speed"]
    p.pavement_rise = fading(filled["weather.pavement_rise"], p.road_speed)
    p.inlet_share = filled.case(index, "inlet_pressure_share", "opening.pressure_share")
    p.bay_share = filled["opening.bay_pressure_share"]
    p.front_loss = filled.case(index, "front_loss", "opening.front_loss")
    p.exit_loss = filled.case(index, "exit_loss", "opening.exit_loss")
    own = filled.known(at + "recirculation")
    p.recirculation = fading(filled["opening.recirculation"], p.road_speed) if own is None else own
    _core(filled, p)
    _ahead(filled, p, load)
    _behind(filled, p)
    write_fans(filled, p, index, circuits)
    _coolant(filled, p, index)
    write_heat(filled, p, load)
    p.plenum_loss, p.unevenness = even(0.0, 1.0)
    if plenum:
        table = coolant_table(*glycol_of(filled))
        put(p, tables_for(filled, p, table, like=like))
        place_leaks(filled, p, table)
    _, p.limit = boil_and_limit(filled, index)
    starts = filled.known(at + "start") if filled.job.cases[index].kind == "pull" else None
    p.pull_start = math.nan if starts is None else starts
    p.heat_store = filled["model.thermal_mass"] * heat_store(
        filled["engine.mass"], str(filled.word("engine.block")), filled["coolant.volume"]
    )
    return np.asarray(p)
