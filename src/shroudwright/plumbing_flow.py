"""Flow and pressures round a job's circuit at engine speeds, thermostat open, with their bands.

Turn              at one engine speed
turns_of          job and solved cases -> idle, cruise and rated speed
pump_margins      boiling at the pump's inlet and what a cap on the inlet tank leaves, at the rated speed
relief_of         what a heater at full blower takes off the hottest case
restricted_share  of the flow a restrictor leaves
"""

import math
from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.roots import bracket, guess, is_found, narrow
from shroudwright.circuit.hoses import hose_loss
from shroudwright.circuit.pump import bypass_flow, thermostat_loss
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import glycol_of
from shroudwright.job.plumbing import suction_of
from shroudwright.judge import Solved
from shroudwright.materials.air import pressure_at_altitude
from shroudwright.materials.coolant import boil_point, coolant, glycol_mass_fraction
from shroudwright.pack.air_path import core_of
from shroudwright.pack.coolant_path import BRANCH_AT_RATED, radiator_flow_imbalance
from shroudwright.plumbing.checks import Facts
from shroudwright.plumbing.fittings import restrictor_loss
from shroudwright.plumbing.pressures import static_pressure_left, suction_pressure
from shroudwright.plumbing.split import HEATER_SHEDS, HEATER_SPREAD, heater_relief
from shroudwright.radiator.core import coolant_pressure_drop, surface
from shroudwright.uncertain.bands import Spread, band

DRAWN = 150
"""The first so many draws are followed: enough for a band of nine in ten"""
_RUNNING = 363.15
_LEAST_PRESSURE = 10e3
_TOLERANCE = 1e-9
_MOST_ROUNDS = 100
Numbers = NDArray[np.float64]


class Turn(NamedTuple):
    """Flow and pressures at an engine speed, thermostat open; one value per draw, the first the middles."""

    engine_rpm: float
    flow: Numbers
    """through the core, [m**3/s]"""
    past: Numbers
    """through heater and bypass, [m**3/s]"""
    core_drop: Numbers
    hose_drop: Numbers
    suction_drop: Numbers
    """from core to pump"""


class Margins(NamedTuple):
    """At the rated speed; one value per draw, the first the middles."""

    static_left: Numbers
    """under a cap on the inlet tank, over the air outside, [Pa]"""
    held: Numbers
    """boiling over the coolant at the pump's inlet, the cap holding, [K]"""
    open: Numbers
    """the same, nothing held by the cap, [K]"""


def spread(values: Numbers) -> Spread:
    """Return the middle and the band of draws whose first is the middles'.

    Parameters
    ----------
    values : array
        The middles' value, then the draws'.

    Returns
    -------
    Spread
        The middle within its band.
    """
    middle = float(values[0])
    found = band(values[1:]) if len(values) > 1 else None
    if found is None:
        return Spread(middle, middle, middle)
    return Spread(middle, min(found.low, middle), max(found.high, middle))


def fastest(filled: Filled, solved: Sequence[Solved]) -> Solved:
    """Return the case whose engine turns fastest."""
    return max(solved, key=lambda item: _median(filled, f"cases.{item.index}.engine_rpm"))


def turns_of(filled: Filled, solved: Sequence[Solved]) -> tuple[Turn, ...]:
    """Return flow and pressures at idle, cruise and rated speed.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : sequence of Solved
        Every driving case.

    Returns
    -------
    tuple of Turn
        Where a case's flow and engine speed are both typed, that one in proportion.
    """
    idle, rated = _median(filled, "engine.idle_rpm"), _median(filled, "engine.rated_rpm")
    item = fastest(filled, solved)
    rows = range(min(filled.count, 1 + DRAWN))
    cores = [_Core.of(filled, item, row) for row in rows]
    return tuple(_turn(filled, item, rpm, cores) for rpm in (idle, round(math.sqrt(idle * rated), -2), rated))


def pump_margins(filled: Filled, facts: Facts, solved: Sequence[Solved], top: Turn) -> Margins:
    """Return what is left at the pump's inlet at the rated speed.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    facts : Facts
        Where the cap sits, and heights.
    solved : sequence of Solved
        Every driving case: the hottest coolant out of the core, up to the limit.
    top : Turn
        At the rated speed.

    Returns
    -------
    Margins
    """
    count = len(top.flow)
    cap = _drawn(filled, "coolant.cap_pressure", count)
    outs = [np.asarray(item.results.coolant_out)[:count] for item in solved if not item.is_pull]
    limit = _drawn(filled, "coolant.limit", count)
    hottest = np.max([np.where(np.isfinite(out), out, limit) for out in outs], axis=0) if outs else limit
    at_pump = np.minimum(hottest, limit)
    boiling = [_boiling(filled, facts, top, held) for held in (cap, np.zeros(count))]
    return Margins(
        np.asarray(static_pressure_left(cap, top.core_drop, top.suction_drop)),  # type: ignore[arg-type]
        boiling[0] - at_pump,
        boiling[1] - at_pump,
    )


class Relief(NamedTuple):
    """What a heater at full blower takes off a case that has settled; the middle first."""

    case: str
    heat: Numbers
    """[W]"""
    degrees: Numbers
    """[K]"""


def relief_of(filled: Filled, solved: Sequence[Solved]) -> Relief | None:
    """Return what a heater at full blower takes off the hottest steady case, or None where there is no heater.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : sequence of Solved
        Every driving case.

    Returns
    -------
    Relief or None
        The middle, then both ends of what a heater may be: its own guess outweighs every other.
    """
    steady = [item for item in solved if not item.is_pull and np.isfinite(item.results.coolant_unregulated[0])]
    if filled.job.plumbing.heater == "none" or not steady:
        return None
    item = max(steady, key=lambda one: float(one.results.coolant_unregulated[0]))
    over = float(item.results.coolant_unregulated[0] - item.params["ambient"][0])
    sheds = HEATER_SHEDS * np.array([1.0, 1.0 / HEATER_SPREAD, HEATER_SPREAD])
    degrees = np.asarray(heater_relief(float(item.load.radiator[0]), over, sheds))
    return Relief(filled.job.cases[item.index].name, sheds * (over - degrees), degrees)


def restricted_share(filled: Filled, solved: Sequence[Solved], facts: Facts) -> float | None:
    """Return the share of the flow a restrictor leaves at the rated speed, or None without one."""
    if facts.restrictor is None:
        return None
    item, rated = fastest(filled, solved), _median(filled, "engine.rated_rpm")
    heads = restrictor_loss(facts.restrictor, float(item.params["hose_bore"][0]))
    core = _Core.of(filled, item, 0)
    with_it, without = (_loop(filled, item, rated, 0, less) for less in (0.0, heads))
    return core.open_flow(with_it) / core.open_flow(without)


def _median(filled: Filled, path: str) -> float:
    """A median that counts as no further guess behind the answer."""
    return float(filled.drawn[path][0])


def _drawn(filled: Filled, path: str, count: int) -> Numbers:
    return filled.drawn[path][:count]


_OF_LOOP = ("pump_flow", "pump_shutoff", "bypass_share", "hose_bore", "hose_length", "hose_fittings", "coolant_flow")


def _loop(filled: Filled, item: Solved, rpm: float, row: int, less_heads: float = 0.0) -> Any:
    """Pump and hoses of a case's record, taken to another engine speed, with some heads left out."""
    p = SimpleNamespace(**{name: float(item.params[name][row]) for name in _OF_LOOP})
    p.hose_fittings -= less_heads
    if filled.job.plumbing.pump != "electric":
        faster = rpm / float(filled.drawn[f"cases.{item.index}.engine_rpm"][row])
        p.pump_flow, p.coolant_flow = faster * p.pump_flow, faster * p.coolant_flow
        p.pump_shutoff = faster**2 * p.pump_shutoff
    return p


class _Core(NamedTuple):
    """The core's tubes and the coolant in them."""

    core: Any
    made: Any
    rho: float
    mu: float

    @classmethod
    def of(cls, filled: Filled, item: Solved, row: int) -> "_Core":
        core, mix = core_of(item.params["core"][row]), coolant(*glycol_of(filled), _RUNNING)
        return cls(core, surface(core), mix.density, mix.viscosity)

    def drop(self, flow: float) -> float:
        return float(coolant_pressure_drop(self.core, self.made, self.rho * flow, self.rho, self.mu))

    def open_flow(self, p: Any) -> float:
        """Flow where pump meets circuit, thermostat open, [m**3/s]."""
        core: Any = self  # of a whole setup, pump and hoses ask for the core alone

        def left(flow: float) -> float:
            return float(radiator_flow_imbalance(p, core, self.rho, self.mu, 1.0, flow))

        low, high = 1e-7, 3.0 * float(p.pump_flow)
        state = bracket(low, left(low), high, left(high))
        for _ in range(_MOST_ROUNDS):
            if is_found(state, _TOLERANCE):
                break
            point = guess(state)
            state = narrow(state, point, left(point), _TOLERANCE)
        return float(state.a)


def _turn(filled: Filled, item: Solved, rpm: float, cores: Sequence[_Core]) -> Turn:
    suction = suction_of(filled)
    to_pump = None if suction is None else [np.ravel(number) for number in suction]
    found = []
    for row, core in enumerate(cores):
        p = _loop(filled, item, rpm, row)
        is_known = math.isfinite(p.coolant_flow) and filled.job.cases[item.index].engine_rpm is not None
        flow = p.coolant_flow if is_known else core.open_flow(p)
        hoses = hose_loss(flow, p.hose_bore, p.hose_length, p.hose_fittings, core.rho, core.mu)
        from_core = 0.5 * hoses
        if to_pump is not None:
            bore, length, heads = (float(number[min(row, len(number) - 1)]) for number in to_pump)
            from_core = hose_loss(flow, bore, length, heads, core.rho, core.mu)
        in_core = core.drop(flow)
        found.append((flow, _past(p, in_core + hoses, flow), in_core, hoses, from_core))
    return Turn(rpm, *np.array(found).T)


def _past(p: Any, across: float, flow: float) -> float:
    """Flow through heater and bypass, beside what core, hoses and an open thermostat take."""
    branch = across + thermostat_loss(flow, 1.0, p.pump_shutoff, p.pump_flow)
    rated = p.pump_flow / (1.0 - p.bypass_share)
    return float(bypass_flow(branch, p.bypass_share, p.pump_shutoff, rated, BRANCH_AT_RATED))


def _boiling(filled: Filled, facts: Facts, top: Turn, cap: Numbers) -> Numbers:
    """Boiling points at the pump's inlet with what the cap holds over the air outside, [K]."""
    glycol, share = glycol_of(filled)
    lost = {"surge tank": np.zeros(len(cap)), "outlet tank": top.suction_drop}.get(
        facts.cap_place or "", top.core_drop + top.suction_drop
    )
    held, pump = facts.tank_level or facts.filler_height, filled.job.plumbing.pump_height
    head = held - pump.value if held is not None and pump is not None else 0.0
    density = coolant(glycol, share, _RUNNING).density
    outside = [pressure_at_altitude(float(z)) for z in _drawn(filled, "weather.altitude", len(cap))]
    pressure = suction_pressure(np.array(outside) + cap, head, density, lost)  # type: ignore[arg-type]
    mass = glycol_mass_fraction(glycol, share)
    return np.array([boil_point(glycol, mass, max(float(at), _LEAST_PRESSURE)) for at in np.asarray(pressure)])
