"""What stands on the wiring's pages: circuits, amps to spare, wires, diagram, first run.

wiring_pages    their blocks
diagram         the diagram, for a page across and for a file
"""

from shroudwright.assessment import Assessment
from shroudwright.catalogue.read import table as rows_of
from shroudwright.drawing.shapes import Picture
from shroudwright.drawing.svg import svg
from shroudwright.drawing.wiring_diagram import wiring_diagram
from shroudwright.packet.blocks import Block, across, heading, items, page, table, words
from shroudwright.packet.tables import WIRE_HEADS, Rows, circuit_rows, wire_rows
from shroudwright.plan import Plan
from shroudwright.speech import SHOPS
from shroudwright.wiring.budget import LOADS, PUMP_LOAD
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring.fuse import Fuse
from shroudwright.wiring.harness import Part
from shroudwright.wiring.schemes import SCHEMES
from shroudwright.wiring.sizing import PLUG_SHARE, PLUGS, label

ACROSS = {"in": (0.2594, 0.158), "mm": (0.277, 0.152)}
"""Of a page on its side, under its words, [m]"""
WARM = "30 K (55 °F)"
_BLANK = "______"


def wiring_pages(answer: Assessment, units: str, parts: Plan) -> list[Block]:
    """Return the blocks of the wiring's pages; none without a fan.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    units : str
        ``in`` or ``mm``, [text]
    parts : Plan
        Circuits, harness, wires and budgets.

    Returns
    -------
    list of Block
    """
    if not parts.circuits:
        return []
    circuits = (
        "1.5 fan or pump | 0.9r amps at 13.5 V | 0.9r at 14.4 V | 0.8r start | 2.9 fuse | 0.9 relay "
        "| 1.2 gauge out / back | 1r wire carries | 0.8r volts lost | 0.8r volts at fan"
    )
    widths = ("0.5", "1.5", "1.5", "0.8", "1.3", "0.9r", "0.9r", "0.7r", "1.7", "2.2")
    rating = SHOPS[units].temperature_text(parts.circuits[0].insulation)
    wires = " | ".join(f"{width} {head}" for width, head in zip(widths, WIRE_HEADS, strict=True))
    return [
        heading("Circuits"),
        table(circuits, circuit_rows(parts.fed, has_relays=_has_relays(parts))),
        *_budgets(answer, parts),
        page(),
        heading("Wires"),
        table(wires, wire_rows(parts.wires, units), 7.5),
        words(
            "F fuse, K relay (30 in, 87 out, 85 and 86 coil), M fan or pump, G and H ground stud, U controller or "
            f"module, S switch or ignition. Wire rated {rating} or more, cross-linked: no common PVC in the bay. "
            "Fuses within 7 in (178 mm) of what feeds them. Cut lengths leave 4 in (10 cm).",
            8.5,
        ),
        *_diagram(units, parts),
        *_fuses(parts),
        *_first_run(parts),
    ]


def diagram(parts: Plan) -> Picture | None:
    """Return the wiring diagram, or nothing without a harness.

    Parameters
    ----------
    parts : Plan
        With harness and wires.

    Returns
    -------
    Picture or None
    """
    if parts.harness is None:
        return None
    return wiring_diagram(parts.harness, {wire.number: label(wire) for wire in parts.wires}).picture


def _diagram(units: str, parts: Plan) -> list[Block]:
    drawn = diagram(parts)
    if drawn is None or parts.harness is None:
        return []
    scheme = SCHEMES[parts.harness.scheme]
    says = (
        f"{scheme.says} What it gives up: {scheme.gives_up} Thick lines carry fans, thin ones work coils and signals; "
        "beside each its number in the list of wires, size and colour where there is room. "
        "A hop is no joint, a dot is one."
    )
    return [across(svg(drawn, *ACROSS[units]), "Wiring diagram", says, drawn.description)]


def _has_relays(parts: Plan) -> bool:
    return parts.harness is None or any(part.id == "K1" for part in parts.harness.parts)


def _budgets(answer: Assessment, parts: Plan) -> list[Block]:
    if not answer.budgets:
        return []
    rows = [
        (
            budget.case,
            f"{budget.engine_rpm:.0f}",
            *(f"{part.value:.0f} ({part.low:.0f} to {part.high:.0f})" for part in (budget.makes, budget.takes)),
            f"{budget.fans:.0f}",
            f"{budget.left.value:.0f} ({budget.left.low:.0f} to {budget.left.high:.0f})",
        )
        for budget in answer.budgets
    ]
    heads = (
        "2.4 driving case | 1r engine rpm | 1.6r alternator makes, A | 1.6r all else takes, A | 1r fans, A"
        " | 1.6r left, A"
    )
    ways = [f"{budget.case}: {'; '.join(budget.ways)}." for budget in answer.budgets if budget.ways]
    guessed = any(guess.field == "electrical.other_loads" for guess in answer.guesses)
    listed = "; ".join(
        f"{name} {low:.0f} to {high:.0f}" if low < high else f"{name} {low:.0f}"
        for name, low, high in LOADS
        if not (parts.pump_circuit and name == PUMP_LOAD)
    )
    return [
        heading("Amps to spare"),
        table(heads, rows),
        *([words("To close the gap, any one of:"), items(ways)] if ways else []),
        *_pump_counted(parts),
        *([words(f"All else is a guess. Add up what is on, in A at 13.5 V: {listed}.", 8.5)] if guessed else []),
    ]


def _pump_counted(parts: Plan) -> list[Block]:
    pump = parts.pump_circuit
    if pump is None:
        return []
    return [
        words(
            f"All else has the water pump in it: {pump.working_amps:.0f} A, at idle as at speed, or as it was read "
            "where all else was measured.",
            8.5,
        )
    ]


def _fuses(parts: Plan) -> list[Block]:
    if parts.harness is None:
        return []
    colours = {(fuse.kind, fuse.rating): fuse.colour for fuse in rows_of("fuses.csv", Fuse)}
    rows: Rows = []
    for part in parts.harness.of_kind("fuse", "relay", "resistor"):
        circuit = _circuit_of(part, parts)
        if part.kind == "fuse":
            kind, rating = _fuse_of(part, circuit, parts)
            made = {"C": "standard blade", "E": "large blade", "B": "bolt-down"}[kind]
            rows.append((part.id, part.label, f"{rating:g} A {made}", colours.get((kind, rating)) or "", part.place))
        elif part.kind == "resistor":
            rows.append((part.id, part.label, _dropper(part, parts), "", part.place))
        else:
            rated = f"{circuit.relay_rating:g} A" if circuit else "40 A"
            rows.append((part.id, part.label, f"{rated}, 30 85 86 87, resistor or clamp", "", part.place))
    return [
        heading("Fuses, relays and resistors" if parts.droppers else "Fuses and relays"),
        table("0.6 id | 2 what | 2.6 kind | 1 colour | 1.4 where", rows),
    ]


def _dropper(part: Part, parts: Plan) -> str:
    """A resistor's ohms and watts; it glows where it hangs on anything but bare metal."""
    assert parts.harness is not None
    made = parts.droppers[min(fan for wire in parts.harness.at(part.id) for fan in wire.fans)]
    if made is None:
        return "none works: the fan governs its own speed"
    return (
        f"{made.resistance:.2f} ohm, {made.rating:.0f} W or more ({made.amps:.0f} A make {made.heat:.0f} W on low, "
        f"{100.0 * made.speed:.0f} % speed): on bare metal in the fan's air, off wires and plastic"
    )


def _circuit_of(part: Part, parts: Plan) -> FanCircuit | None:
    assert parts.harness is not None
    fans = {fan for wire in parts.harness.at(part.id) for fan in wire.fans}
    return parts.fed[min(fans)] if fans and part.id != "F9" else None


def _fuse_of(part: Part, circuit: FanCircuit | None, parts: Plan) -> tuple[str, float]:
    if part.id == "F9" and parts.main_fuse is not None:
        return ("E" if parts.main_fuse <= 80.0 else "B"), parts.main_fuse
    return (circuit.fuse_kind, circuit.fuse_rating) if circuit else ("C", 5.0)


def _first_run(parts: Plan) -> list[Block]:
    rows = [
        (
            circuit.name,
            f"{circuit.working_amps:.0f}",
            _BLANK,
            f"{circuit.start_amps:.0f}",
            _BLANK,
            f"{circuit.volts_at_fan:.1f}",
            _BLANK,
            _plug(circuit),
            *((_BLANK,) * 3),
        )
        for circuit in parts.fed
    ]
    heads = (
        "1.3 fan | 0.8r amps, expect | 0.8 read | 0.8r at start, expect | 0.8 read | 0.8r volts at motor, expect"
        " | 0.8 read | 1.5 plug | 0.8 plug | 0.8 fuse | 0.8 relay"
    )
    return [
        heading("First run"),
        words(
            "Hands, hair and tools clear: blades can start by themselves. Paper held at the core is drawn to it and "
            "the air comes out toward the engine. Engine idling hot, lamps on: amps by clamp meter at the fan's feed, "
            "at start on INRUSH; volts between the two pins at the motor. After 15 min running, heat of plug, fuse and "
            f"relay: more than {WARM} over the air round it is a joint to renew (common practice, no source)."
        ),
        table(heads, rows, 7.5),
    ]


def _plug(circuit: FanCircuit) -> str:
    """Narrowest plug, and the share of its rating the fan takes."""
    for width, rating in PLUGS:
        if circuit.highest_amps <= PLUG_SHARE * rating:
            return f"{width:g} mm, {100 * circuit.highest_amps / rating:.0f} % of {rating:.0f} A"
    return "ring on a stud"
