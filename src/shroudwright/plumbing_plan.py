"""A job's plumbing laid out: lines and their sizes, room for the coolant to grow, pressures at speed, what is wrong.

Laid            one line of the list
Neck            a neck of core or engine
Turn            flow and pressures at an engine speed
Plumbed         all of it
lay_plumbing    job and solved cases -> Plumbed
"""

import math
from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any, NamedTuple

import numpy as np

from shroudwright.assessment import CaseAnswer
from shroudwright.circuit.hoses import hose_loss
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import glycol_of
from shroudwright.job.hoses import Hose
from shroudwright.job.plumbing import facts_of, needs_of, suction_of
from shroudwright.judge import Solved
from shroudwright.materials.air import pressure_at_altitude
from shroudwright.materials.coolant import boil_point, coolant, glycol_mass_fraction
from shroudwright.pack.air_path import core_of
from shroudwright.pack.coolant_path import radiator_flow_imbalance
from shroudwright.plumbing.checks import Facts, Found, Sums, checks
from shroudwright.plumbing.expansion import COLD, coolant_expansion, recovery_bottle_volume, surge_tank_volume
from shroudwright.plumbing.fittings import restrictor_loss
from shroudwright.plumbing.network import Line, Network, network
from shroudwright.plumbing.pressures import static_pressure_left, suction_pressure
from shroudwright.radiator.core import coolant_pressure_drop, surface

WALL = 4.5e-3
"""Of a coolant hose, common practice, no source, [m]"""
_RUNNING = 363.15
_HALVINGS = 60
_LEAST_PRESSURE = 10e3


class Laid(NamedTuple):
    """One line of the list: a hose as typed, or one that is needed and not yet typed."""

    line: Line
    code: str
    bore: float | None
    """inside; None where nobody typed it, [m]"""
    length: float | None
    bends: float | None
    hose: Hose | None
    lost: float | None
    """on its whole way at the rated engine speed; None off the loop, [Pa]"""


class Neck(NamedTuple):
    """A neck of core or engine as typed; None where nobody did."""

    fitting: str
    size: float | None
    """outside, [m]"""
    side: str | None
    angle: float | None
    """from straight back or ahead, [rad]"""


class Turn(NamedTuple):
    """Flow and pressures at an engine speed, thermostat open."""

    engine_rpm: float
    flow: float
    core_drop: float
    hose_drop: float
    suction_drop: float
    """from core to pump"""


class Plumbed(NamedTuple):
    """A job's plumbing, SI, on the medians."""

    network: Network
    laid: tuple[Laid, ...]
    facts: Facts
    turns: tuple[Turn, ...]
    """idle, cruise and rated speed"""
    hot: float
    """coolant at its hottest allowed, [K]"""
    system_volume: float
    sums: Sums
    surge_tank: float
    recovery_bottle: float
    open_margin: float
    """boiling over the coolant at the pump's inlet, nothing held by the cap, [K]"""
    found: tuple[Found, ...]
    necks: tuple[Neck, ...]
    inlet_side: str
    outlet_side: str
    has_upright_tubes: bool
    thermostat_place: str

    @property
    def cap_drawn(self) -> str:
        """Where the cap is drawn: as typed, else on a surge tank, else on the core's inlet tank."""
        has_tank = any(part.kind == "surge tank" for part in self.network.parts)
        return self.facts.cap_place or ("surge tank" if has_tank else "inlet tank")

    @property
    def bought(self) -> list[Laid]:
        """Hoses that are typed and not there already."""
        return [row for row in self.laid if row.hose is not None and not row.hose.own]


def lay_plumbing(filled: Filled, solved: Sequence[Solved], cases: Sequence[CaseAnswer]) -> Plumbed:
    """Lay a job's plumbing out.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : sequence of Solved
        Every driving case.
    cases : sequence of CaseAnswer
        The same, judged.

    Returns
    -------
    Plumbed
        On the medians.
    """
    facts = facts_of(filled)
    turns = _turns(filled, solved)
    hot = _median(filled, "coolant.limit")
    volume = _median(filled, "coolant.volume")
    glycol, share = glycol_of(filled)
    grown = coolant_expansion(volume, coolant(glycol, share, COLD).density, coolant(glycol, share, hot).density)
    tank, bottle = surge_tank_volume(grown, volume), recovery_bottle_volume(grown)
    top = turns[-1]
    cap = _median(filled, "coolant.cap_pressure")
    outs = [case.coolant_out.value for case in cases if case.coolant_out is not None]
    at_pump = min(max(outs, default=hot), hot)
    sums = Sums(
        expansion=grown,
        tank_wanted={"surge tank": tank, "recovery bottle": bottle}.get(facts.tank or ""),
        cap_pressure=cap,
        static_left=static_pressure_left(cap, top.core_drop, top.suction_drop),
        suction_margin=_boiling_at_pump(filled, facts, top, cap) - at_pump,
        restricted_share=_restricted(filled, solved, facts),
    )
    laid = network(needs_of(filled))
    return Plumbed(
        network=laid,
        laid=tuple(_laid(filled, laid, top)),
        facts=facts,
        turns=turns,
        hot=hot,
        system_volume=volume,
        sums=sums,
        surge_tank=tank,
        recovery_bottle=bottle,
        open_margin=_boiling_at_pump(filled, facts, top, 0.0) - at_pump,
        found=tuple(checks(facts, sums)),
        **_looks(filled),
    )


_NECKS = {
    "E1.out": ("engine_outlet", "engine_outlet"),
    "C1.in": ("inlet_neck", "inlet"),
    "C1.out": ("outlet_neck", "outlet"),
    "E1.pump": ("engine_inlet", "engine_inlet"),
}
"""Field of a neck's size, and what its side and angle begin with"""


def _looks(filled: Filled) -> dict[str, Any]:
    """Necks as typed, and sides; those not typed lie across a crossflow core, else both on the right."""
    typed = filled.job.plumbing
    upright = filled.word("core.run") == "downflow"
    returns = upright or round(_median(filled, "core.passes")) % 2 == 0
    other = {"left": "right", "right": "left"}
    inlet = typed.inlet_side or (typed.outlet_side if returns else other.get(typed.outlet_side or "")) or "right"
    outlet = typed.outlet_side or (inlet if returns else other[inlet])
    necks = []
    for fitting, (size, name) in _NECKS.items():
        outside, angle = getattr(typed, size), getattr(typed, f"{name}_angle")
        side = getattr(typed, f"{name}_side")
        necks.append(Neck(fitting, outside and outside.value, side, angle and angle.value))
    return {
        "necks": tuple(necks),
        "inlet_side": inlet,
        "outlet_side": outlet,
        "has_upright_tubes": upright,
        "thermostat_place": "none" if typed.restrictor else str(filled.word("circuit.thermostat_place")),
    }


def _median(filled: Filled, path: str) -> float:
    """A median that counts as no further guess behind the answer."""
    return float(filled.drawn[path][0])


def _fastest(filled: Filled, solved: Sequence[Solved]) -> Solved:
    return max(solved, key=lambda item: _median(filled, f"cases.{item.index}.engine_rpm"))


def _turns(filled: Filled, solved: Sequence[Solved]) -> tuple[Turn, ...]:
    idle, rated = _median(filled, "engine.idle_rpm"), _median(filled, "engine.rated_rpm")
    speeds = (idle, round(math.sqrt(idle * rated), -2), rated)
    return tuple(_turn(filled, _fastest(filled, solved), rpm) for rpm in speeds)


_OF_LOOP = ("pump_flow", "pump_shutoff", "bypass_share", "hose_bore", "hose_length", "hose_fittings", "coolant_flow")


def _loop(filled: Filled, item: Solved, rpm: float, less_heads: float = 0.0) -> Any:
    """Pump and hoses of a case's record, taken to another engine speed, with some heads left out."""
    p = SimpleNamespace(**{name: float(item.params[name][0]) for name in _OF_LOOP})
    p.hose_fittings -= less_heads
    if filled.job.plumbing.pump != "electric":
        faster = rpm / _median(filled, f"cases.{item.index}.engine_rpm")
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
    def of(cls, filled: Filled, item: Solved) -> "_Core":
        core, mix = core_of(item.params["core"][0]), coolant(*glycol_of(filled), _RUNNING)
        return cls(core, surface(core), mix.density, mix.viscosity)

    def open_flow(self, p: Any) -> float:
        """Flow where pump meets circuit, thermostat open, [m**3/s]."""
        core: Any = self  # of a whole setup, pump and hoses ask for the core alone
        low, high = 1e-7, 3.0 * float(p.pump_flow)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            if radiator_flow_imbalance(p, core, self.rho, self.mu, 1.0, middle) > 0.0:
                low = middle
            else:
                high = middle
        return 0.5 * (low + high)


def _turn(filled: Filled, item: Solved, rpm: float) -> Turn:
    """Flow at an engine speed; where a case's flow and engine speed are both typed, that one in proportion."""
    p, core = _loop(filled, item, rpm), _Core.of(filled, item)
    rho, mu = core.rho, core.mu
    is_known = math.isfinite(p.coolant_flow) and filled.job.cases[item.index].engine_rpm is not None
    flow = p.coolant_flow if is_known else core.open_flow(p)
    hoses = hose_loss(flow, p.hose_bore, p.hose_length, p.hose_fittings, rho, mu)
    suction = suction_of(filled)
    to_pump = 0.5 * hoses
    if suction is not None:
        bore, length, heads = (float(np.ravel(number)[0]) for number in suction)
        to_pump = hose_loss(flow, bore, length, heads, rho, mu)
    in_core = coolant_pressure_drop(core.core, core.made, rho * flow, rho, mu)
    return Turn(rpm, flow, in_core, hoses, to_pump)


def _boiling_at_pump(filled: Filled, facts: Facts, top: Turn, cap: float) -> float:
    """Boiling point at the pump's inlet at the rated speed, with what the cap holds over the air outside, [K]."""
    glycol, share = glycol_of(filled)
    outside = pressure_at_altitude(_median(filled, "weather.altitude"))
    lost = {"surge tank": 0.0, "outlet tank": top.suction_drop}.get(
        facts.cap_place or "", top.core_drop + top.suction_drop
    )
    held, pump = facts.tank_level or facts.filler_height, filled.job.plumbing.pump_height
    head = held - pump.value if held is not None and pump is not None else 0.0
    density = coolant(glycol, share, _RUNNING).density
    pressure = suction_pressure(outside + cap, head, density, lost)
    return boil_point(glycol, glycol_mass_fraction(glycol, share), max(pressure, _LEAST_PRESSURE))


def _restricted(filled: Filled, solved: Sequence[Solved], facts: Facts) -> float | None:
    """Share of the flow a restrictor leaves at the rated speed, [-]."""
    if facts.restrictor is None:
        return None
    fastest, rated = _fastest(filled, solved), _median(filled, "engine.rated_rpm")
    heads = restrictor_loss(facts.restrictor, float(fastest.params["hose_bore"][0]))
    core = _Core.of(filled, fastest)
    with_it, without = (_loop(filled, fastest, rated, less) for less in (0.0, heads))
    return core.open_flow(with_it) / core.open_flow(without)


def _laid(filled: Filled, made: Network, top: Turn) -> list[Laid]:
    """Every line with the hoses typed for it, one after the other."""
    left = list(enumerate(filled.job.hoses))
    rows = []
    for place, line in enumerate(made.lines):
        shared = any(other.way == line.way for other in made.lines[place + 1 :])
        found = [pair for pair in left if pair[1].way == line.way][: 1 if shared else None]
        left = [pair for pair in left if pair not in found]
        rows += [_typed(filled, line, *pair, top) for pair in found]
        if not found:
            rows.append(Laid(line, line.way, None, None, None, None, None))
    return rows


def _typed(filled: Filled, line: Line, index: int, hose: Hose, top: Turn) -> Laid:
    bore, length, bends = (_median(filled, f"hoses.{index}.{name}") for name in ("bore", "length", "bends"))
    lost = {"core to engine": top.suction_drop, "engine to core": top.hose_drop - top.suction_drop}.get(line.way)
    return Laid(line, hose.code, bore, length, bends, hose, lost)
