"""The heat one driving case sends to the cooling pack, by source.

    heat_load    fuel from road load, coolant heat from fuel, and what the coolers ahead give the air
    side_heat    what the gearbox loses and what the charger adds

The gearbox loss is taken once: it is the gearbox cooler's heat. A cooler in the air that is not listed
ahead of the core is taken to stand elsewhere.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.errors import InputError
from shroudwright.fans.laws import belt_fan_speed
from shroudwright.heat.accessories import (
    alternator_power,
    charge_air_heat,
    charge_air_rise,
    engine_air_flow,
    gearbox_heat,
    supercharger_power,
)
from shroudwright.heat.engine import coolant_heat, engine_flags, fuel_power
from shroudwright.heat.road import brake_power, converter_power, stop_go_power, tractive_force
from shroudwright.job.filled import Filled
from shroudwright.job.model import has_belt_fan
from shroudwright.job.wiring import other_loads
from shroudwright.materials.air import density_at_altitude, pressure_at_altitude

Numbers = NDArray[np.float64]
GONE_IN_A_PULL = "water"
_LIGHT_LOAD = ("idle", "stop-go", "crawl")
_TOP_GEAR, _LOW_GEAR = 1.04, 1.25
_DIESEL_EXCESS_AIR = 1.6


class HeatLoad(NamedTuple):
    """Heat of one case, W, as arrays of draws."""

    radiator: Numbers
    by_source: dict[str, Numbers]
    ahead: list[Numbers]
    flags: list[str]


class SideHeat(NamedTuple):
    """Heat of the other fluids in one case, as arrays of draws."""

    gearbox: Numbers
    """Left in the gearbox, W."""
    charge_rise: Numbers
    """Of the charge air in the charger, K."""
    charge_flow: Numbers
    """Of the charge air, kg/s."""


def side_heat(filled: Filled, index: int) -> SideHeat:
    """Heat the gearbox loses and the charger adds, from road load whether or not the coolant's heat is typed.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    index : int
        Which driving case.

    Returns
    -------
    SideHeat
        Arrays over the draws, row 0 the medians.
    """
    crank, gearbox = _drive(filled, index, _accessories(filled, index))
    return SideHeat(gearbox, *_charge(filled, index, crank, _fuel(filled)))


def heat_load(filled: Filled, index: int) -> HeatLoad:
    """Heat into the radiator and into the air ahead of it, in one driving case.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    index : int
        Which driving case.

    Returns
    -------
    HeatLoad
        Arrays over the draws, row 0 the medians.

    Raises
    ------
    InputError
        If heat ahead is given and no cooler is listed to give it.
    """
    known = filled.known(f"cases.{index}.coolant_heat")
    if known is not None:
        by_source = {"as given": known}
        flags: list[str] = []
        in_the_air: dict[str, Numbers] = {}
    else:
        by_source, in_the_air, flags = _engine(filled, index)
    return HeatLoad(
        radiator=np.maximum(sum(by_source.values(), np.zeros(filled.count)), 100.0),
        by_source=by_source,
        ahead=_ahead(filled, index, in_the_air),
        flags=flags,
    )


def runs_air_conditioning(filled: Filled, index: int) -> bool:
    """Whether the compressor runs: the case asks for it and a condenser is listed."""
    has_condenser = any(filled.word(f"ahead.{i}.kind") == "condenser" for i in range(len(filled.job.ahead)))
    return has_condenser and filled.word(f"cases.{index}.air_conditioning") is True


def _accessories(filled: Filled, index: int) -> Numbers:
    fans = filled.job.fans
    on = filled.job.cases[index].fans_on
    amps = other_loads(filled) + sum(
        (filled[f"fans.{i}.run_amps"] for i, fan in enumerate(fans) if on is None or fan.code in on),
        np.zeros(filled.count),
    )
    volts = filled["electrical.source_volts"]
    power = filled["engine.accessory_power"] + alternator_power(amps * volts, filled["model.alternator_efficiency"])
    if runs_air_conditioning(filled, index):
        power = power + filled["model.compressor_power"]
    if has_belt_fan(filled.job):
        power = power + filled["belt_fan.drive_power"] * belt_fan_turns(filled, index) ** 3
    return np.asarray(power)


def belt_fan_turns(filled: Filled, index: int) -> Numbers:
    """Speed of the fan the engine drives over the speed of its test."""
    rpm = belt_fan_speed(
        filled[f"cases.{index}.engine_rpm"],
        filled["belt_fan.pulley_ratio"],
        filled["belt_fan.slip"],
        filled["belt_fan.most_rpm"],
    )
    return np.asarray(rpm / filled["belt_fan.rpm"])


def _drive(filled: Filled, index: int, accessories: Numbers) -> tuple[Numbers, Numbers]:
    """Power at the crank, accessories included, and heat left in the gearbox."""
    case = filled.job.cases[index]
    at = f"cases.{index}."
    towing = filled.word(at + "trailer") is True
    mass = filled["vehicle.mass"] + (filled["vehicle.trailer_mass"] if towing else 0.0)
    drag_area = filled["vehicle.drag_area"] + (filled["vehicle.trailer_drag_area"] if towing else 0.0)
    ambient = filled.case(index, "ambient", "weather.ambient")
    altitude = float(filled.case(index, "altitude", "weather.altitude")[0])
    air = np.asarray(density_at_altitude(altitude, float(ambient[0])))
    speed, rolling = filled[at + "speed"], filled["vehicle.rolling_coefficient"]
    axle, gearbox = filled["vehicle.axle_efficiency"], filled["vehicle.gearbox_efficiency"]
    if case.kind == "pull":
        crank = filled[at + "share_of_rated_power"] * filled["engine.rated_power"]
        return crank, np.asarray(gearbox_heat(np.maximum(crank - accessories, 0.0), gearbox))
    if case.kind == "stop-go":
        moving = filled["model.moving_share"]
        into_gearbox = stop_go_power(
            mass,
            drag_area,
            rolling,
            air,
            2.0 * speed / moving,
            filled["model.launch_time"],
            moving,
            _LOW_GEAR,
            axle * gearbox,
            0.0,
        )
        slipping = 1.0 - moving
    else:
        force = tractive_force(mass, drag_area, rolling, air, speed, filled[at + "grade"], 0.0, _TOP_GEAR)
        into_gearbox = brake_power(force, speed, axle * gearbox, 0.0)
        at_rest = np.full(filled.count, float(case.kind == "idle"))
        slipping = filled["model.crawl_slip"] if case.kind == "crawl" else at_rest
    spread = filled["model.crank_power_idle" if case.kind == "idle" else "model.crank_power"]
    into_gearbox = into_gearbox * spread
    left = gearbox_heat(into_gearbox, gearbox)
    if filled.word("vehicle.gearbox") == "automatic":
        churned = slipping * _converter(filled, index)
        into_gearbox, left = into_gearbox + churned, left + churned
    return np.asarray(into_gearbox + accessories), np.asarray(left)


def _converter(filled: Filled, index: int) -> Numbers:
    """Power churned while the converter slips; in stop-go that is standing still, at idle."""
    stands = filled.job.cases[index].kind == "stop-go"
    return np.asarray(
        converter_power(
            filled["engine.idle_rpm" if stands else f"cases.{index}.engine_rpm"],
            filled["vehicle.converter_stall_rpm"],
            filled["vehicle.converter_stall_torque"],
        ).power
    )


def _fuel(filled: Filled) -> str:
    fuel = str(filled.word("engine.fuel"))
    return "boosted gasoline" if fuel == "gasoline" and filled.word("engine.charger") != "none" else fuel


def _engine(filled: Filled, index: int) -> tuple[dict[str, Numbers], dict[str, Numbers], list[str]]:
    """Heat into the radiator by source, heat for coolers in the air by kind, and what was extrapolated."""
    case, at = filled.job.cases[index], f"cases.{index}."
    rpm, displacement = filled[at + "engine_rpm"], filled["engine.displacement"]
    rated_power, rated_rpm = filled["engine.rated_power"], filled["engine.rated_rpm"]
    charger = filled.word("engine.charger")
    fuel = _fuel(filled)
    crank, gearbox = _drive(filled, index, _accessories(filled, index))
    rise, air = _charge(filled, index, crank, fuel)
    if charger == "supercharger":
        crank = crank + supercharger_power(air, rise)
    burnt = fuel_power(crank, rpm, displacement, rated_power, fuel)
    if case.kind in _LIGHT_LOAD:
        burnt = burnt * filled["model.idle_fuel"]
    rated_fuel = fuel_power(rated_power, rated_rpm, displacement, rated_power, fuel)
    engine = filled["model.heat"] * coolant_heat(
        burnt, rated_fuel, filled["engine.coolant_share"], filled["engine.coolant_share_exponent"]
    )
    by_source = {"engine": engine}
    in_the_air: dict[str, Numbers] = {}
    trans_cooler = filled.word("vehicle.trans_cooler")
    if trans_cooler == "in tank":
        by_source["gearbox"] = gearbox
    elif trans_cooler == "in air":
        in_the_air["transmission cooler"] = gearbox
    if filled.word("engine.oil_cooler") == "in air":
        in_the_air["oil cooler"] = filled["engine.oil_cooler_share"] * engine
        by_source["oil cooler in the air"] = -in_the_air["oil cooler"]
    cooled = filled.word("engine.charge_cooler")
    flags = list(engine_flags(float(crank[0]), float(rpm[0]), float(displacement[0]), float(rated_power[0]), fuel))
    if cooled == GONE_IN_A_PULL and case.kind == "pull":
        flags.append("the charge cooler's water soaks up a short pull; its heat reaches the air afterwards")
    elif cooled != "none":
        in_the_air["charge exchanger"] = np.asarray(
            charge_air_heat(air, rise, filled["engine.charge_cooler_effectiveness"])
        )
    return by_source, in_the_air, flags


def _charge(filled: Filled, index: int, crank: Numbers, fuel: str) -> tuple[Numbers, Numbers]:
    """Temperature rise of the charge air and its flow; boost falls with load until there is none."""
    ambient = filled.case(index, "ambient", "weather.ambient")
    outside = pressure_at_altitude(filled.case(index, "altitude", "weather.altitude")[0])
    full = 1.0 + filled["engine.boost_pressure"] / outside
    load = crank / filled["engine.rated_power"] * filled["engine.rated_rpm"] / filled[f"cases.{index}.engine_rpm"]
    ratio = np.clip(full * load, 1.0, full)
    burnt = fuel_power(
        crank,
        filled[f"cases.{index}.engine_rpm"],
        filled["engine.displacement"],
        filled["engine.rated_power"],
        fuel,
    )
    air = engine_air_flow(burnt, fuel) * (_DIESEL_EXCESS_AIR if fuel == "diesel" else 1.0)
    return np.asarray(charge_air_rise(ambient, ratio, filled["engine.compressor_efficiency"])), np.asarray(air)


def _ahead(filled: Filled, index: int, in_the_air: dict[str, Numbers]) -> list[Numbers]:
    """Heat each listed cooler gives the air; a cooler's own figure stands over a computed one."""
    none = np.zeros(filled.count)
    heats = []
    for i in range(len(filled.job.ahead)):
        kind = str(filled.word(f"ahead.{i}.kind"))
        given = filled.known(f"ahead.{i}.heat")
        if kind == "condenser":
            running = runs_air_conditioning(filled, index)
            heats.append(filled[f"ahead.{i}.heat"] * filled["model.condenser"] if running else none)
        else:
            heats.append(in_the_air.get(kind, none) if given is None else given)
    total = filled.known(f"cases.{index}.ahead_heat")
    if total is None:
        return heats
    if not heats:
        raise InputError([f"cases.{index}.ahead_heat is given, but no [[ahead]] cooler is listed to give it"])
    now = sum(heats, none)
    if not np.all(now > 0.0):
        return [total / len(heats) for _ in heats]
    return [heat * total / now for heat in heats]
