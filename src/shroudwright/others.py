"""The other fluids of a driving case: transmission fluid, charge air, engine oil and the air conditioner.

others_of             the fluids of a case that can be worked out
findings_of_others    what is said of those that do not hold
worse_than_coolant    where the trouble is not the coolant

Only what somebody described is judged: an automatic that is typed as one, a charger, a cooler that is listed.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.assessment import Band, CaseAnswer, FindingAnswer, Fluid, OtherAnswer
from shroudwright.bench.numbers import Draws
from shroudwright.heat.accessories import charge_air_heat
from shroudwright.heat.coolers import charge_after_cooler, charge_loop_rise, hot_fluid_in, in_line, tank_cooler
from shroudwright.job.filled import Filled
from shroudwright.job.heat_load import SideHeat, side_heat
from shroudwright.judge import Solved
from shroudwright.materials.refrigerant import CRITICAL_TEMPERATURE, r134a_saturation_pressure
from shroudwright.pack.ahead import heat_per_kelvin
from shroudwright.speech import SHOPS, Dialect
from shroudwright.uncertain.bands import band, chance, verdict

Numbers = NDArray[np.float64]
WORST_FIRST = ("does not hold", "marginal", "holds")
FAR_TOO_HOT = 600.0
LITTLE_BOOST = 5.0
"""Charge heating under which there is no charge air to judge, [K rise]"""
NORMAL_FLUID = 380.4
"""Transmission fluid is at home up to 225 degF, by trade pages, [K]"""


class _Reached(NamedTuple):
    """What reaches each cooler ahead, and what it sheds per kelvin over that."""

    air: Numbers
    per_kelvin: Numbers
    kinds: tuple[str, ...]
    heat: Numbers


class Judged(NamedTuple):
    """Another fluid's answer, and the draws of limit less temperature behind it, K."""

    answer: OtherAnswer
    margin: Numbers


def others_of(filled: Filled, solved: Solved) -> list[Judged]:
    """Judge the other fluids of a case.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : Solved
        The case, solved.

    Returns
    -------
    list of Judged
        In the order transmission fluid, charge air, engine oil, A/C; a fluid that nothing in the job describes,
        or whose cooler is not listed, is left out. Of a pull, which has no steady state, only the charge air is
        given.
    """
    reached = _reached(filled, solved)
    found: list[Judged] = []
    if not solved.is_pull:
        found += _transmission(filled, solved, reached)
    found += _charge(filled, solved, reached)
    if not solved.is_pull:
        found += _oil(filled, solved, reached)
        found += _air_conditioner(filled, solved, reached)
    return found


def worse_than_coolant(cases: Sequence[CaseAnswer]) -> list[tuple[CaseAnswer, OtherAnswer]]:
    """Return the fluids whose verdict is worse than any coolant's, least chance first; they decide the job's."""
    coolant = min(WORST_FIRST.index(case.verdict) for case in cases)
    worse = [(case, other) for case in cases for other in case.others if WORST_FIRST.index(other.verdict) < coolant]
    return sorted(worse, key=lambda pair: pair[1].chance_of_holding)


def _reached(filled: Filled, solved: Solved) -> _Reached:
    p, r = solved.params, solved.results
    kinds = tuple(str(filled.word(f"ahead.{i}.kind")) for i in range(len(filled.job.ahead)))
    heat, air = (np.asarray(r[name][:, : len(kinds)]) for name in ("ahead_heat", "ahead_air_in"))
    share, capacity = np.ones_like(heat), np.full_like(heat, np.inf)
    for i, kind in enumerate(kinds):
        if kind == "condenser":
            share[:, i] = filled["model.condenser_conductance"]
        elif kind in _FLUID_CAPACITY:
            share[:, i] = filled["model.oil_cooler_conductance"]
            capacity[:, i] = filled[_FLUID_CAPACITY[kind]]
    film = np.clip(np.nan_to_num(r.air_in, nan=FAR_TOO_HOT), None, FAR_TOO_HOT)
    return _Reached(air, heat_per_kelvin(p, r, film, share, capacity), kinds, heat)


_FLUID_CAPACITY = {"transmission cooler": "model.trans_fluid_capacity", "oil cooler": "model.engine_oil_capacity"}


def _first(reached: _Reached, kind: str) -> int | None:
    """Place of the foremost cooler of a kind that is given heat."""
    return next((i for i, one in enumerate(reached.kinds) if one == kind and reached.heat[0, i] > 0.0), None)


def _band(values: Numbers) -> Band | None:
    spread = band(np.where(values[1:] < FAR_TOO_HOT, values[1:], np.nan))
    return None if spread is None else Band(**spread._asdict())


def _judged(name: Fluid, temperature: Draws, limit: Numbers, stands_on: str, pressure: Band | None = None) -> Judged:
    temperature = np.asarray(temperature)
    how_likely = chance(temperature[1:] <= limit[1:])
    answer = OtherAnswer(
        name=name,
        temperature=_band(temperature),
        pressure=pressure,
        limit=float(limit[0]),
        chance_of_holding=how_likely,
        verdict=verdict(how_likely),
        stands_on=stands_on,
    )
    return Judged(answer, limit - temperature)


def _transmission(filled: Filled, solved: Solved, reached: _Reached) -> Iterator[Judged]:
    vehicle = filled.job.vehicle
    in_air = _first(reached, "transmission cooler")
    if filled.word("vehicle.gearbox") != "automatic":
        return
    if not (vehicle.gearbox or vehicle.trans_cooler or in_air is not None):
        return
    place = filled.word("vehicle.trans_cooler")
    limit = filled["model.trans_limit"]
    if place == "in tank":
        heat, coolant = side_heat(filled, solved.index).gearbox, solved.results.coolant_out
        capacity = filled["model.trans_fluid_capacity"]
        shed = np.asarray(tank_cooler(filled["model.tank_cooler_conductance"], capacity))
        stands_on = (
            f"{heat[0] / 1e3:.1f} kW left by the gearbox and a cooler in the tank, guessed to shed {shed[0]:.0f} W per "
            "K over the coolant that leaves the radiator"
        )
        temperature = hot_fluid_in(heat, shed, coolant)
        if in_air is not None:
            second = reached.per_kelvin[:, in_air]
            temperature = in_line(heat, shed, second, capacity, coolant, reached.air[:, in_air])
            stands_on += f", and one in the air after it that sheds {second[0]:.0f} W per K over the air"
        yield _judged("transmission fluid", temperature, limit, stands_on)
    elif place == "in air" and "transmission cooler" in reached.kinds:
        at = reached.kinds.index("transmission cooler")
        heat = side_heat(filled, solved.index).gearbox if in_air is None else reached.heat[:, at]
        shed = reached.per_kelvin[:, at]
        yield _judged("transmission fluid", hot_fluid_in(heat, shed, reached.air[:, at]), limit, _in_air(heat, shed))


def _in_air(heat: Numbers, shed: Numbers) -> str:
    return f"{heat[0] / 1e3:.1f} kW into a cooler that sheds {shed[0]:.0f} W per K over the air that reaches it"


def _charge(filled: Filled, solved: Solved, reached: _Reached) -> Iterator[Judged]:
    kind = filled.word("engine.charge_cooler")
    if kind == "none" or filled.word("engine.charger") == "none":
        return
    side = side_heat(filled, solved.index)
    if side.charge_rise[0] < LITTLE_BOOST:
        return
    intake = solved.params["ambient"]
    at = reached.kinds.index("charge exchanger") if "charge exchanger" in reached.kinds else None
    cold = intake + solved.params["pavement_rise"] if at is None else reached.air[:, at]
    effectiveness = filled["engine.charge_cooler_effectiveness"]
    how = "air" if kind == "air" else "water, whose front exchanger takes it all"
    if kind == "water" and solved.is_pull:
        cold = cold + _loop_rise(filled, solved, side)
        how = "water that warms through the pull"
    temperature = charge_after_cooler(intake, side.charge_rise, effectiveness, cold)
    stands_on = (
        f"boost that heats it {side.charge_rise[0]:.0f} K, of which the cooler takes "
        f"{100 * effectiveness[0]:.0f} % into {how}"
    )
    yield _judged("charge air", temperature, filled["model.charge_limit"], stands_on)


def _loop_rise(filled: Filled, solved: Solved, side: SideHeat) -> Numbers:
    """Warming of the charge cooler's water by the end of a pull, [K rise]."""
    heat = charge_air_heat(side.charge_flow, side.charge_rise, filled["engine.charge_cooler_effectiveness"])
    return np.asarray(charge_loop_rise(heat, solved.asked, filled["model.charge_loop_store"]))


def _oil(filled: Filled, solved: Solved, reached: _Reached) -> Iterator[Judged]:
    at = _first(reached, "oil cooler")
    if at is not None:
        heat, shed = reached.heat[:, at], reached.per_kelvin[:, at]
        temperature = hot_fluid_in(heat, shed, reached.air[:, at])
        yield _judged("engine oil", temperature, filled["model.oil_limit"], _in_air(heat, shed))


def _air_conditioner(filled: Filled, solved: Solved, reached: _Reached) -> Iterator[Judged]:
    at = _first(reached, "condenser")
    if at is None:
        return
    heat, shed = reached.heat[:, at], reached.per_kelvin[:, at]
    temperature = np.asarray(hot_fluid_in(heat, shed, reached.air[:, at]))
    gauge = r134a_saturation_pressure(np.nan_to_num(temperature, nan=FAR_TOO_HOT)) - solved.params["pressure"]
    cut_out = filled["model.pressure_cut_out"]
    limit = _condensing_at(cut_out + solved.params["pressure"])
    held = band(np.where(temperature < CRITICAL_TEMPERATURE, gauge, np.nan)[1:])
    yield _judged("A/C", temperature, limit, _in_air(heat, shed), None if held is None else Band(**held._asdict()))


def _condensing_at(pressure: Numbers) -> Numbers:
    """Temperature at which R134a condenses at an absolute pressure, [K]."""
    temperatures = np.linspace(300.0, CRITICAL_TEMPERATURE, 200)
    return np.interp(pressure, r134a_saturation_pressure(temperatures), temperatures)


_CODES: dict[Fluid, tuple[str, str, str]] = {
    "transmission fluid": (
        "H10",
        "Transmission fluid",
        "Read it at the line to the cooler. More or a larger cooler in the air, ahead of the condenser for choice; a "
        "tighter converter, or less load.",
    ),
    "charge air": (
        "H11",
        "Charge air",
        "Read it after the cooler at full boost. A larger or ducted charge cooler, more water in its loop, or less "
        "boost on the day.",
    ),
    "engine oil": (
        "H12",
        "Engine oil",
        "Read it into the cooler. A larger oil cooler, or air of its own for it.",
    ),
    "A/C": (
        "H13",
        "The A/C's head pressure",
        "Read the high side with a gauge set at idle. Seal the sides so that hot air cannot come back, more air "
        "through the condenser, or a larger one.",
    ),
}


def findings_of_others(cases: Sequence[CaseAnswer], units: str) -> list[FindingAnswer]:
    """Say which other fluids do not hold, each once, at its worst.

    Parameters
    ----------
    cases : sequence of CaseAnswer
        With their other fluids.
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    list of FindingAnswer
        In the order of the codes.
    """
    shop = SHOPS[units]
    found = []
    for name in _CODES:
        failing = [
            (case, other) for case in cases for other in case.others if other.name == name and other.verdict != "holds"
        ]
        if failing:
            case, other = min(failing, key=lambda pair: pair[1].chance_of_holding)
            found.append(_finding(case, other, len(failing) - 1, shop))
    return found


def _finding(case: CaseAnswer, other: OtherAnswer, elsewhere: int, shop: Dialect) -> FindingAnswer:
    code, called, remedy = _CODES[other.name]
    fails = other.verdict == "does not hold"
    if fails and case.verdict == "does not hold":
        remedy = f"The coolant does not hold here either: mend that first, then look again. {remedy}"
    return FindingAnswer(
        code=code,
        level="fix" if fails else "watch",
        says=f"{called} {'gets' if fails else 'may get'} too {'high' if other.name == 'A/C' else 'hot'}.",
        because=f"{_told(other, shop)}: {100 * other.chance_of_holding:.0f} chances in 100. It stands on "
        f"{other.stands_on}." + (f" Nor is it sure in {elsewhere} more of the cases." if elsewhere else ""),
        remedy=remedy,
        source="trade-survey" if other.name == "transmission fluid" else "practice",
        place=case.name,
    )


def _told(other: OtherAnswer, shop: Dialect) -> str:
    limit = shop.temperature_text(other.limit)
    if other.temperature is None:
        return f"No steady temperature; the limit is {limit}"
    told = f"{shop.band(other.temperature)} {shop.degree_sign} against {limit}"
    if other.pressure is not None:
        return f"Condensing at {told}, {shop.gauge_pressure(other.pressure.value)} if it is R134a"
    if other.name == "A/C":
        return f"It would have to condense at {told}, some of it hotter than R134a can"
    if other.name == "transmission fluid":
        return f"{told}, and up to {shop.temperature_text(NORMAL_FLUID)} is normal"
    return told
