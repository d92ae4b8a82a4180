"""What the shop makes and buys: shroud, wires, settings and price, worked out on the medians of a job.

Plan       everything a packet draws and lists
Back       what stands and happens behind the core
Nested     parts of one sheet metal and thickness on their sheets
fitted_shroud   its shroud alone
back_of    job, governing case and its field -> Back
plan_of    job, circuits and answers -> Plan
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from shroudwright.air_behind import Curves, Report, curves
from shroudwright.assessment import CaseAnswer
from shroudwright.bench.arcs import box
from shroudwright.bill_plan import Nested, bill_of
from shroudwright.control.found import Found as Ruled
from shroudwright.control.plan import Plan as Controls
from shroudwright.control.settings import Settings
from shroudwright.control_plan import cycle_of, rules_of, settings_of
from shroudwright.hand_over import HandOver
from shroudwright.job.bending import neutral_of, tools_of
from shroudwright.job.circuits import Budget, pump_circuit_of
from shroudwright.job.driving import controls_of
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import Fit, fit_of
from shroudwright.job.fitting_out import FittedOut, fit_out
from shroudwright.job.in_hand import unmeasured
from shroudwright.job.metalwork import shroud_of
from shroudwright.job.mounting import Mounting, mounting_of
from shroudwright.job.places import whole_outline
from shroudwright.job.wiring import switching_of
from shroudwright.judge import Solved
from shroudwright.metal.brackets import Bracket
from shroudwright.metal.drawing_rules import Judged, drawing_findings
from shroudwright.metal.fitted import Lip
from shroudwright.metal.hardware import Item
from shroudwright.metal.making import Bending, bending_of, grain_findings
from shroudwright.metal.nest import SHEETS, Nest, bought, nest, nest_findings, parts_of
from shroudwright.metal.shroud import Shroud
from shroudwright.metal.stiffness import Cure, Stiffness, cures, face_stiffness
from shroudwright.metal.welds import Told, Welds
from shroudwright.plumbing_plan import Plumbed, lay_plumbing
from shroudwright.price.bill import Bill
from shroudwright.shaking import face_of
from shroudwright.tiers import Tier, tiers_of
from shroudwright.wiring.checks import Found
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring.dropping import Dropper
from shroudwright.wiring.fitted import Switching
from shroudwright.wiring.harness import Harness
from shroudwright.wiring.sizing import Sized
from shroudwright.wiring_plan import lay_wiring

_SAME = 1e-6


@dataclass(frozen=True)
class Back:
    """What stands behind the core, and the air there in the governing case."""

    fit: Fit
    core: tuple[float, float, float]
    """Width, height and depth, [m]"""
    rock: float
    """Of the engine, [m]"""
    air: Report | None
    curves: Curves | None


@dataclass(frozen=True)
class Plan:
    """What a packet draws and lists; None or empty where the job asks for none."""

    shroud: Shroud | None = None
    hardware: tuple[Item, ...] = ()
    welds: Welds | None = None
    lips: tuple[Lip, ...] = ()
    told: tuple[Told, ...] = ()
    """what is wrong with fasteners, welds and how bends are made"""
    bending: Bending | None = None
    mounting: Mounting | None = None
    face: Stiffness | None = None
    cures: tuple[Cure, ...] = ()
    circuits: tuple[FanCircuit, ...] = ()
    """of every fan"""
    pump_circuit: FanCircuit | None = None
    """of an electric water pump"""
    harness: Harness | None = None
    wires: tuple[Sized, ...] = ()
    main_fuse: float | None = None
    """Before several fans, [A]"""
    droppers: tuple[Dropper | None, ...] = ()
    """Resistor of each fan, where resistors slow them"""
    found: tuple[Found, ...] = ()
    """Wrong with the wiring as a whole"""
    budgets: tuple[Budget, ...] = ()
    settings: Settings | None = None
    controls: Controls | None = None
    """what else the controller is told"""
    switching: Switching | None = None
    rules: tuple[Ruled, ...] = ()
    """what is wrong with control beside its temperatures"""
    tiers: tuple[Tier, ...] = ()
    """ways to work the fans, side by side"""
    bill: Bill | None = None
    is_trial: bool = True
    back: Back | None = None
    nest: Nest | None = None
    nest_free: Nest | None = None
    """the same without regard to grain, where that takes less sheet"""
    grain_price: Decimal | None = None
    """what the sheet costs more for the grain, in the bill's currency; None where it costs nothing"""
    nest_others: tuple[Nested, ...] = ()
    """brackets of other sheet than the shroud's"""
    hand_over: HandOver | None = None
    drawn: tuple[Judged, ...] = ()
    """what is wrong with the flats as drawings and on their sheets, each with its level"""
    plumbing: Plumbed | None = None

    @property
    def fed(self) -> tuple[FanCircuit, ...]:
        """Every circuit in the order the harness counts them: fans, then the pump."""
        return (*self.circuits, self.pump_circuit) if self.pump_circuit else self.circuits


def back_of(filled: Filled, worst: Solved, air: Report | None) -> Back | None:
    """Gather what is drawn of the space behind the core; None without a fan.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    worst : Solved
        The governing case.
    air : Report or None
        Its field.

    Returns
    -------
    Back or None
    """
    if not filled.job.fans:
        return None
    width, height, depth, rock = (
        filled.median(path) for path in ("core.width", "core.height", "core.depth", "space.engine_rock")
    )
    return Back(fit_of(filled), (width, height, depth), rock, air, None if air is None else curves(filled, worst))


def plan_of(
    filled: Filled, circuits: tuple[FanCircuit, ...], solved: Sequence[Solved], cases: Sequence[CaseAnswer]
) -> Plan:
    """Work out what the shop makes and buys.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    circuits : tuple of FanCircuit
        From `job.circuits.circuits_of`.
    solved : sequence of Solved
        Every driving case.
    cases : sequence of CaseAnswer
        The same, judged.

    Returns
    -------
    Plan

    Raises
    ------
    InputError
        If the shroud asked for cannot exist, or money is in two currencies.
    """
    fitted = fitted_shroud(filled)
    shroud = fitted.shroud if fitted else None
    face = face_of(filled, shroud) if shroud else None
    stiffness = face_stiffness(face) if face else None
    proposed = settings_of(filled, cases)
    cycle = cycle_of(filled, proposed, cases)
    pump = pump_circuit_of(filled)
    wiring, plumbing = lay_wiring(filled, circuits, pump, cycle), lay_plumbing(filled, solved)
    mounting, sheets = mounting_of(filled), _sheets(filled)
    laid, free = (None, None) if shroud is None else _laid(shroud, mounting, sheets)
    others = _others(shroud, mounting, sheets)
    priced = bill_of(filled, fitted, mounting, laid, others, circuits, wiring, plumbing)
    bending, told = None, fitted.told if fitted else ()
    if shroud and shroud.shape:
        bending = bending_of(shroud.flats, shroud.shape, shroud.metal, neutral_of(filled), tools_of(filled))
        told = (*told, *bending.told, *(grain_findings(laid, shroud.flats, shroud.metal) if laid else ()))
    return Plan(
        shroud=shroud,
        hardware=fitted.hardware if fitted else (),
        welds=fitted.welds if fitted else None,
        lips=fitted.lips if fitted else (),
        told=told,
        bending=bending,
        mounting=mounting,
        face=stiffness,
        cures=cures(stiffness) if stiffness else (),
        circuits=circuits,
        pump_circuit=pump,
        harness=wiring.harness,
        wires=wiring.wires,
        main_fuse=wiring.main_fuse,
        droppers=wiring.droppers,
        found=wiring.found,
        budgets=wiring.budgets,
        settings=proposed,
        tiers=tiers_of(filled, circuits, cases),
        controls=controls_of(filled, proposed) if proposed else None,
        switching=switching_of(filled),
        rules=rules_of(filled, circuits, proposed, cycle),
        bill=priced if priced.lines else None,
        is_trial=bool(unmeasured(filled)),
        nest=laid,
        nest_free=free,
        nest_others=others,
        grain_price=_grain_price(priced, laid, free),
        drawn=(
            *(_drawn(shroud) if shroud else ()),
            *(found for one in (laid, *(other.nest for other in others)) if one for found in nest_findings(one)),
        ),
        plumbing=plumbing,
    )


def _sheets(filled: Filled) -> Sequence[tuple[float, float]]:
    return [(one.value, other.value) for one, other in filled.job.shop.sheets] or SHEETS


def _laid(shroud: Shroud, mounting: Mounting | None, sheets: Sequence[tuple[float, float]]) -> tuple[Nest, Nest | None]:
    own = [item.bracket.flat for item in (mounting.brackets if mounting else ()) if _is_of(item.bracket, shroud)]
    parts = parts_of((*shroud.flats, *own), shroud.metal)
    kept, free = nest(parts, sheets), nest([part._replace(grain=None) for part in parts], sheets)
    return kept, free if bought(free) < bought(kept) else None


def _is_of(made: Bracket, shroud: Shroud | None) -> bool:
    """Whether a bracket is cut from the shroud's own sheet."""
    return shroud is not None and made.metal == shroud.metal and abs(made.thickness - shroud.thickness) < _SAME


def _others(
    shroud: Shroud | None, mounting: Mounting | None, sheets: Sequence[tuple[float, float]]
) -> tuple[Nested, ...]:
    """Lay out the brackets that are of other sheet, each metal and thickness apart."""
    made = [item.bracket for item in (mounting.brackets if mounting else ()) if not _is_of(item.bracket, shroud)]

    def sheet(one: Bracket) -> tuple[str, float]:
        return one.metal, round(one.thickness, 6)

    return tuple(
        Nested(metal, thickness, nest(parts_of([one.flat for one in alike], metal), sheets))
        for (metal, thickness), alike in groupby(sorted(made, key=sheet), key=sheet)
    )


def _grain_price(priced: Bill, kept: Nest | None, free: Nest | None) -> Decimal | None:
    """What of the sheet's price the grain costs."""
    line = next((line for line in priced.lines if line.part.startswith("sheet")), None)
    if kept is None or free is None or line is None:
        return None
    return (line.total * Decimal(str(1.0 - bought(free) / bought(kept)))).quantize(Decimal("0.01"))


def _drawn(shroud: Shroud) -> Iterator[Judged]:
    for flat in shroud.flats:
        yield from drawing_findings(flat)


def fitted_shroud(filled: Filled) -> FittedOut | None:
    """Lay out a job's shroud and fit it out; None without a shroud or a fan.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    FittedOut or None

    Raises
    ------
    InputError
        If the shroud asked for cannot exist.
    """
    plain = shroud_of(filled)
    return None if plain is None else fit_out(filled, plain, box(whole_outline(filled)))
