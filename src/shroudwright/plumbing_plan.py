"""A job's plumbing laid out: lines and their sizes, room for the coolant to grow, pressures at speed, what is wrong.

Laid            one line of the list
Neck            a neck of core or engine
Plumbed         all of it
lay_plumbing    job and solved cases -> Plumbed
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from shroudwright.job.filled import Filled
from shroudwright.job.flatten import glycol_of
from shroudwright.job.hoses import Hose
from shroudwright.job.plumbing import facts_of, needs_of
from shroudwright.judge import Solved
from shroudwright.materials.coolant import coolant
from shroudwright.plumbing.checks import Facts, Found, Sums, checks
from shroudwright.plumbing.expansion import COLD, coolant_expansion, recovery_bottle_volume, surge_tank_volume
from shroudwright.plumbing.network import Line, Network, network
from shroudwright.plumbing_flow import Margins, Relief, Turn, pump_margins, relief_of, restricted_share, turns_of

WALL = 4.5e-3
"""Of a coolant hose, common practice, no source, [m]"""


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


class Plumbed(NamedTuple):
    """A job's plumbing, SI, on the medians; flow and pressures with their bands."""

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
    margins: Margins
    relief: Relief | None
    """by a heater at full blower"""
    has_shut_way: bool
    """whether coolant stands still behind a shut thermostat"""
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


def lay_plumbing(filled: Filled, solved: Sequence[Solved]) -> Plumbed:
    """Lay a job's plumbing out.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : sequence of Solved
        Every driving case.

    Returns
    -------
    Plumbed
    """
    facts = facts_of(filled)
    turns = turns_of(filled, solved)
    hot = _median(filled, "coolant.limit")
    volume = _median(filled, "coolant.volume")
    glycol, share = glycol_of(filled)
    grown = coolant_expansion(volume, coolant(glycol, share, COLD).density, coolant(glycol, share, hot).density)
    tank, bottle = surge_tank_volume(grown, volume), recovery_bottle_volume(grown)
    margins = pump_margins(filled, facts, solved, turns[-1])
    sums = Sums(
        expansion=grown,
        tank_wanted={"surge tank": tank, "recovery bottle": bottle}.get(facts.tank or ""),
        cap_pressure=_median(filled, "coolant.cap_pressure"),
        static_left=float(margins.static_left[0]),
        suction_margin=float(margins.held[0]),
        restricted_share=restricted_share(filled, solved, facts),
    )
    laid = network(needs_of(filled))
    return Plumbed(
        network=laid,
        laid=tuple(_laid(filled, laid, turns[-1])),
        facts=facts,
        turns=turns,
        hot=hot,
        system_volume=volume,
        sums=sums,
        surge_tank=tank,
        recovery_bottle=bottle,
        margins=margins,
        relief=relief_of(filled, solved),
        has_shut_way=facts.has_thermostat
        and filled.job.plumbing.bypass == "none"
        and filled.job.plumbing.heater in ("none", "valve"),
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
    to_pump, both = float(top.suction_drop[0]), float(top.hose_drop[0])
    lost = {"core to engine": to_pump, "engine to core": both - to_pump}.get(line.way)
    return Laid(line, hose.code, bore, length, bends, hose, lost)
