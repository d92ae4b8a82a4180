"""The bench calculator: list the sums, show one, compute one.

run        at the terminal
sums       every sum offered and its title, after importing the rooms that offer them
computed   one sum's results as lines
"""

from collections.abc import Mapping
from typing import Any

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import OFFERED, Entry, compute, describe, in_unit


def _load_rooms() -> None:
    """Import every room that offers sums; importing is what puts them on the list."""
    import shroudwright.airflow.behind
    import shroudwright.airflow.frame
    import shroudwright.airflow.recycled
    import shroudwright.bench.arcs
    import shroudwright.circuit.hoses
    import shroudwright.circuit.pump
    import shroudwright.control.settings
    import shroudwright.fans.claim
    import shroudwright.fans.curve
    import shroudwright.fans.laws
    import shroudwright.fans.noise
    import shroudwright.heat.accessories
    import shroudwright.heat.engine
    import shroudwright.heat.road
    import shroudwright.materials.air
    import shroudwright.materials.conductor
    import shroudwright.materials.coolant
    import shroudwright.metal.brackets
    import shroudwright.metal.forming
    import shroudwright.metal.shroud
    import shroudwright.pack.coolant_path
    import shroudwright.pack.outcome
    import shroudwright.plumbing.expansion
    import shroudwright.plumbing.fittings
    import shroudwright.plumbing.pressures
    import shroudwright.plumbing.split
    import shroudwright.price.bill
    import shroudwright.radiator.core
    import shroudwright.shroud.hood
    import shroudwright.shroud.square
    import shroudwright.wiring.alternator
    import shroudwright.wiring.dropping
    import shroudwright.wiring.fuse
    import shroudwright.wiring.relay
    import shroudwright.wiring.wire  # noqa: F401


def run(name: str | None, arguments: list[str], unit: str | None) -> None:
    """List all sums, describe one, or compute one.

    Parameters
    ----------
    name : str or None
        The sum; None lists them.
    arguments : list of str
        ``name=value`` pairs; none at all describes the sum.
    unit : str or None
        Unit for a single result.

    Raises
    ------
    InputError
        Listing every fault.
    """
    titles = sums()
    if name is None:
        width = max(map(len, titles))
        for key, title in titles.items():
            print(f"{key:{width}}  {title}")
        return
    if not arguments and name in OFFERED:
        _describe(name)
        return
    for line in computed(name, dict(_pair(text) for text in arguments), unit):
        print(line)


def sums() -> dict[str, str]:
    """Return every sum offered, with its title."""
    _load_rooms()
    return {key: describe(OFFERED[key]).title for key in sorted(OFFERED)}


def computed(name: str, typed: Mapping[str, str], unit: str | None = None) -> list[str]:
    """Compute one sum.

    Parameters
    ----------
    name : str
        Which.
    typed : mapping of str to str
        By argument, with units.
    unit : str or None
        For a single result.

    Returns
    -------
    list of str
        Results, limits and source.

    Raises
    ------
    InputError
        Listing every fault.
    """
    lines = [f"{key} = {_shown(entry, value, unit)}" for key, (entry, value) in compute(name, dict(typed)).items()]
    said = describe(OFFERED[name])
    return [*lines, said.notes, f"Source: {said.references}"]


def _describe(name: str) -> None:
    said = describe(OFFERED[name])
    print(said.title)
    for entry in said.parameters:
        print(f"  {entry.name:22} {entry.meaning or entry.name.replace('_', ' ')} [{entry.unit or '-'}]")
    for entry in said.results:
        print(f"  gives {entry.name:16} {entry.meaning} [{entry.unit or '-'}]")
    print(said.notes)
    print(f"Source: {said.references}")


def _pair(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals:
        raise InputError([f"{text!r} is not name=value; type for example flow='12 gpm'"])
    return name, value


def _shown(entry: Entry, value: Any, unit: str | None) -> str:
    if value is None:
        return "none"
    if entry.is_text or isinstance(value, str):
        return ", ".join(value) if isinstance(value, tuple) else str(value)
    if unit is None:
        return f"{float(value):.6g} {entry.unit.removesuffix(' rise')}".strip()
    try:
        return f"{in_unit(entry, float(value), unit):.6g} {unit}"
    except ValueError as error:
        raise InputError([str(error)]) from error
