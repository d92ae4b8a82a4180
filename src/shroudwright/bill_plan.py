"""What a job makes and buys, priced.

Nested    parts of one sheet metal and thickness on their sheets
bill_of   job and what was laid out -> Bill
"""

from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from shroudwright.job.circuits import PUMP
from shroudwright.job.filled import Filled
from shroudwright.job.fitting_out import FittedOut
from shroudwright.job.mounting import Mounting
from shroudwright.metal.flat import bolts_of, cut_length
from shroudwright.metal.nest import Nest, bought, offcut
from shroudwright.metal.sheet import find_sheet
from shroudwright.plumbing_plan import Plumbed
from shroudwright.price.bill import DEFAULT_LABOUR_RATE, Bill, bill, labour_time
from shroudwright.tiers import switches_of
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring.sizing import AS_FITTED
from shroudwright.wiring_plan import Laid

_PRICED = {"bolt": "fastener", "blind rivet": "fastener", "foam strip": "sealing strip", "rivet nut": ""}
"""Codes in the price list of what is listed under another name; a rivet nut stands in for its bolt's lock nut."""


class Nested(NamedTuple):
    """Parts of one sheet metal and thickness, laid out."""

    metal: str
    thickness: float
    nest: Nest


def bill_of(
    filled: Filled,
    fitted: FittedOut | None,
    mounting: Mounting | None,
    laid: Nest | None,
    others: Sequence[Nested],
    circuits: tuple[FanCircuit, ...],
    wiring: Laid,
    plumbing: Plumbed,
) -> Bill:
    """Price what a job makes and buys.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    fitted : FittedOut or None
        Its shroud.
    mounting : Mounting or None
        Its brackets, cut and bent as the shroud is.
    laid : Nest or None
        The shroud's parts on their sheets, which are bought whole.
    others : sequence of Nested
        Brackets of other sheet, bought by the piece.
    circuits : tuple of FanCircuit
        Of every fan.
    wiring : Laid
        Wires, fuses, relays.
    plumbing : Plumbed
        Hoses.

    Returns
    -------
    Bill

    Raises
    ------
    InputError
        If money is in two currencies.
    """
    shroud = fitted.shroud if fitted else None
    brackets = [item.bracket.flat for item in mounting.brackets] if mounting else []
    flats = [flat for flat in (*(shroud.flats if shroud else ()), *brackets) for _ in range(flat.quantity)]
    holes = sum(len(bolts_of(flat)) for flat in flats)
    welded = fitted.welds.length if fitted else 0.0
    cut = sum(cut_length(flat) for flat in flats)
    fans = filled.job.fans
    hoses = [(row.bore, row.length) for row in plumbing.bought if row.bore and row.length]
    tank, pump = _tank_bought(filled), _pump_bought(filled)
    vessels = (tank is not None) + (pump is not None)
    return bill(
        sheets=[
            *([_sheet_bought(shroud.metal, shroud.thickness, bought(laid))] if shroud and laid else ()),
            *(_sheet_bought(one.metal, one.thickness, _piece(one.nest)) for one in others),
        ],
        wires=[(wire.gauge, wire.cut) for wire in wiring.wires if wire.size != AS_FITTED],
        fuses=wiring.fuses,
        relays=wiring.relays,
        switches=switches_of(wiring.harness) if wiring.harness else (),
        connectors=len(circuits) + (filled.job.plumbing.pump == "electric"),
        loom_length=sum(segment.length for circuit in circuits for segment in circuit.segments),
        hardware=hardware_bought(fitted) if fitted else (),
        fans=[(fan.code, fan.price) for fan in fans],
        hoses=hoses,
        tank=tank,
        pump=pump,
        labour_time=labour_time(
            cut, sum(len(flat.bends) for flat in flats), welded, holes, len(fans), len(hoses), vessels
        ),
        labour_rate=str(filled.job.shop.labour_rate or DEFAULT_LABOUR_RATE),
    )


def _sheet_bought(metal: str, thickness: float, area: float) -> tuple[str, float]:
    return ("steel" if metal == "mild steel" else "aluminium"), find_sheet(metal).density * thickness * area


def _piece(one: Nest) -> float:
    """Area of the piece brackets are cut from, where one holds them: nobody buys a sheet for four of them, [m**2]."""
    least = offcut(one)
    return bought(one) if least is None else least[0] * least[1]


def hardware_bought(fitted: FittedOut) -> list[tuple[str, float]]:
    """What holds and seals a shroud, by its code in the price list, in pieces or metres."""
    found: defaultdict[str, float] = defaultdict(float)
    for item in fitted.hardware:
        found[_PRICED.get(item.part, item.part)] += item.length or item.number
    for name, count, long in fitted.shroud.bought:
        found[_PRICED.get(name, name)] += count if name == "spacer bolt" else count * long
    return [(code, quantity) for code, quantity in found.items() if code]


def _pump_bought(filled: Filled) -> tuple[str, str | None] | None:
    """An electric pump and its price as typed."""
    typed = filled.job.plumbing
    return (PUMP, typed.pump_price) if typed.pump == "electric" else None


def _tank_bought(filled: Filled) -> str | None:
    typed = filled.job.plumbing
    return typed.tank if typed.tank not in (None, "none") and not typed.own_tank else None
