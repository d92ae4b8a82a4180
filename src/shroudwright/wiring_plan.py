"""A job's wiring laid out: harness, wires, fuses, relays, amps to spare, and what is wrong with the whole of it.

Laid          all of that
lay_wiring    job and circuits -> Laid
shared_fuse, fuses_of, relays_of    what a harness buys
"""

from typing import NamedTuple

from shroudwright.job.circuits import Budget, budget_of
from shroudwright.job.filled import Filled
from shroudwright.job.wiring import fitted_of, needs_of, runs_of, stages_of, switching_of
from shroudwright.wiring.checks import Found, fuse_checks, relay_checks, wire_checks
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring.dropping import Dropper, dropper_of
from shroudwright.wiring.harness import Harness
from shroudwright.wiring.relay import relays
from shroudwright.wiring.schemes import harness
from shroudwright.wiring.sizing import Sized, main_fuse, size
from shroudwright.wiring.switching import machine_checks, supply_checks, switch_checks

_LARGEST_BLADE = 80.0
_HOUR = 3600.0


class Laid(NamedTuple):
    """A job's wiring; empty without a fan."""

    harness: Harness | None = None
    wires: tuple[Sized, ...] = ()
    main_fuse: float | None = None
    """before several fans, [A]"""
    fuses: tuple[str, ...] = ()
    """kind of every fuse"""
    relays: tuple[float, ...] = ()
    """class of every relay, [A]"""
    found: tuple[Found, ...] = ()
    """wrong with the whole of it"""
    budgets: tuple[Budget, ...] = ()
    droppers: tuple[Dropper | None, ...] = ()
    """Resistor of each fan, where resistors slow them; None for a brushless one"""


def lay_wiring(filled: Filled, circuits: tuple[FanCircuit, ...], pump: FanCircuit | None, cycle: float | None) -> Laid:
    """Lay a job's wiring out.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    circuits : tuple of FanCircuit
        Of every fan.
    pump : FanCircuit or None
        Of an electric water pump.
    cycle : float or None
        Shortest from start to start of a fan, where it is known, [s]

    Returns
    -------
    Laid
    """
    if not circuits:
        return Laid()
    fitted = fitted_of(filled.job)
    fed = (*circuits, pump) if pump else circuits
    made = harness(str(filled.word("control.scheme")), needs_of(filled)._replace(pump=pump.name if pump else ""))
    insulation = float(filled["electrical.insulation"][0])
    budgets = (budget_of(filled, index, circuits) for index in range(len(filled.job.cases)))
    shared = shared_fuse(filled, fed)
    return Laid(
        harness=made,
        wires=size(made, fed, runs_of(filled), insulation=insulation, fitted=fitted),
        main_fuse=shared,
        fuses=fuses_of(fed, made, shared),
        relays=relays_of(fed, made),
        found=_found(filled, circuits, made, None if cycle is None else _HOUR / cycle),
        budgets=tuple(budget for budget in budgets if budget is not None),
        droppers=_droppers(filled, circuits, made),
    )


def _droppers(filled: Filled, circuits: tuple[FanCircuit, ...], made: Harness) -> tuple[Dropper | None, ...]:
    if not made.of_kind("resistor"):
        return ()
    return tuple(
        None if circuit.is_brushless else dropper_of(circuit, filled.median(f"fans.{i}.low_speed"))
        for i, circuit in enumerate(circuits)
    )


def _found(
    filled: Filled, circuits: tuple[FanCircuit, ...], made: Harness, cycles_per_hour: float | None
) -> tuple[Found, ...]:
    """Find what is wrong with the wiring as a whole."""
    fitted, switching = fitted_of(filled.job), switching_of(filled)
    insulation = float(filled["electrical.insulation"][0])
    rating = filled.job.electrical.alternator_rating
    has_shroud = filled.word("shroud.type") != "none"
    grommet = float(filled["shroud.grommet"][0]) if has_shroud else None
    return (
        *wire_checks(fitted, circuits, insulation),
        *fuse_checks(fitted, circuits),
        *relay_checks(fitted, switching, circuits, stages_of(filled.job, switching.scheme), cycles_per_hour),
        *switch_checks(switching, circuits, made),
        *supply_checks(fitted, switching, insulation, None if rating is None else rating.value),
        *machine_checks(fitted, circuits, grommet),
    )


def shared_fuse(filled: Filled, circuits: tuple[FanCircuit, ...]) -> float | None:
    """Return the main fuse before several fans, typed or worked out, [A]."""
    return (fitted_of(filled.job).main_fuse or main_fuse(circuits)) if len(circuits) > 1 else None


def fuses_of(circuits: tuple[FanCircuit, ...], made: Harness, shared: float | None) -> tuple[str, ...]:
    """Return the kind of every fuse: fans' own, the main one, and the small one of coils or modules."""
    kinds: dict[str, str] = {f"F{number}": circuit.fuse_kind for number, circuit in enumerate(circuits, start=1)}
    kinds["F9"] = "E" if shared is not None and shared <= _LARGEST_BLADE else "B"
    return tuple(kinds.get(part.id, "C") for part in made.of_kind("fuse"))


def relays_of(circuits: tuple[FanCircuit, ...], made: Harness) -> tuple[float, ...]:
    """Return the class of every relay: the fan's where it carries one, the smallest where it carries none."""
    ratings = []
    for part in made.of_kind("relay"):
        fans = [fan for wire in made.at(part.id) for fan in wire.fans]
        wanted = circuits[fans[0]].relay_rating if fans else 0.0
        ratings.append(next((relay.rating for relay in relays() if relay.rating >= wanted), relays()[-1].rating))
    return tuple(ratings)
