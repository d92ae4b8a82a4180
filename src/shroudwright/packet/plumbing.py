"""What stands on the plumbing's pages: hoses and fittings, room for the coolant, pressures, fill and bleed.

plumbing_pages    their blocks
hose_rows         every hose and line
circuit_picture   the drawing, for a page across and for a file
"""

from shroudwright.drawing.hose_diagram import Look, hose_diagram
from shroudwright.drawing.shapes import Picture
from shroudwright.drawing.svg import svg
from shroudwright.drawing.words import degrees_words
from shroudwright.packet.blocks import Block, across, heading, items, page, table, words
from shroudwright.packet.tables import Rows
from shroudwright.packet.wiring import ACROSS
from shroudwright.plan import Plan
from shroudwright.plumbing.expansion import COLD
from shroudwright.plumbing_plan import WALL, Laid, Plumbed
from shroudwright.plumbing_reasons import banded, boiling
from shroudwright.speech import SHOPS, Dialect

HOSE_HEADS = ("no.", "hose or line", "from", "to", "bore", "length", "turns", "way, spring", "clamps")
_BLANK = "____"
_FITTINGS = {
    "C1.in": "core inlet",
    "C1.out": "core outlet",
    "C1.vent": "core top",
    "C1.filler": "core filler",
    "C1.transmission in": "tank cooler",
    "C1.transmission out": "tank cooler",
    "E1.out": "engine outlet",
    "E1.pump": "pump inlet",
    "E1.feed": "pump inlet, tee",
    "E1.vent": "engine high point",
    "E1.filler": "engine filler",
    "E1.heater feed": "engine",
    "E1.heater return": "pump side",
    "E1.bypass out": "under thermostat",
    "E1.bypass in": "pump side",
    "H1.in": "heater",
    "H1.out": "heater",
    "G1.out": "transmission out",
    "G1.in": "transmission in",
    "A1.in": "cooler in the air",
    "A1.out": "cooler in the air",
    "O1.tube": "open end, low",
}
_STEAM = (
    "Never open a hot cap: steam and coolant burn, and a fan may start by itself. Wait until the upper hose can be "
    "held in the hand. Coolant is poison to people and animals: catch it all."
)


def plumbing_pages(units: str, parts: Plan) -> list[Block]:
    """Return the blocks of the plumbing's pages.

    Parameters
    ----------
    units : str
        ``in`` or ``mm``, [text]
    parts : Plan
        With its plumbing.

    Returns
    -------
    list of Block
        None without plumbing.
    """
    laid = parts.plumbing
    if laid is None:
        return []
    shop = SHOPS[units]
    drawn = circuit_picture(laid, shop)
    says = (
        "Thick: the two main hoses. Thin: other coolant lines. Dashed: transmission. Beside each its number in the "
        "list and its bore where it is typed. A hop is no joint. Sides not typed are guessed, and heights on the page "
        "are not those in the vehicle."
    )
    return [
        page(),
        heading("Hoses and fittings"),
        table(
            "0.5 no. | 1.6 hose or line | 1.5 from | 1.5 to | 0.9r bore | 0.9r length | 0.6r turns | 1.1 way, spring "
            "| 1.6 clamps",
            hose_rows(laid, shop),
            8.0,
        ),
        words(
            "A blank is to be measured. A hose is as wide inside as its neck is outside; clamps behind the bead. Clamp "
            f"sizes take {shop.tape(WALL)} of wall (common practice, no source).",
            8.5,
        ),
        table("2 neck | 1r outside | 1 side, from behind | 1.5r turns from straight", _neck_rows(laid, shop), 8.0),
        *_room(laid, shop),
        *_pressures(laid, shop),
        heading("Fill and bleed"),
        items(fill_order(laid, shop)),
        words(_STEAM, 9.5, "bold"),
        across(svg(drawn, *ACROSS[units]), "Hoses and fittings", says, drawn.description),
    ]


def circuit_picture(laid: Plumbed, shop: Dialect) -> Picture:
    """Return the drawing of a circuit.

    Parameters
    ----------
    laid : Plumbed
        Lines and what is typed of them.
    shop : Dialect
        Units of the sizes beside the lines.

    Returns
    -------
    Picture
    """
    sizes = {row.line.number: f"{row.line.number}: {shop.tape(row.bore)}" for row in reversed(laid.laid) if row.bore}
    return hose_diagram(laid.network, _look(laid, shop), sizes).picture


def _look(laid: Plumbed, shop: Dialect) -> Look:
    necks = {neck.fitting: shop.tape(neck.size) for neck in laid.necks if neck.size is not None}
    return Look(
        inlet_side=laid.inlet_side,
        outlet_side=laid.outlet_side,
        has_upright_tubes=laid.has_upright_tubes,
        thermostat=laid.thermostat_place,
        cap_place=laid.cap_drawn,
        has_drain=laid.facts.has_drain is not False,
        necks=necks,
    )


def hose_rows(laid: Plumbed, shop: Dialect) -> Rows:
    """Return a row for every hose and line.

    Parameters
    ----------
    laid : Plumbed
        Lines and what is typed of them.
    shop : Dialect
        Units.

    Returns
    -------
    list of tuple of str
        As `HOSE_HEADS`.
    """
    return [_row(row, shop) for row in laid.laid]


def _row(row: Laid, shop: Dialect) -> tuple[str, ...]:
    hose = row.hose
    ends = (f"{fitting.part}.{fitting.name}" for fitting in (row.line.begins, row.line.ends))
    begins, ends_at = (_FITTINGS.get(end, "tank" if end.startswith("T1") else end) for end in ends)
    return (
        str(row.line.number),
        row.code,
        begins,
        ends_at,
        _BLANK if row.bore is None else shop.tape(row.bore),
        _BLANK if row.length is None else shop.tape(row.length),
        _BLANK if row.bends is None else f"{row.bends:.0f}",
        _held_open(row),
        _BLANK
        if row.bore is None
        else f"2, {shop.tape(row.bore + 2.0 * WALL)}"
        + (f", {hose.clamps}" if hose is not None and hose.clamps else ""),
    )


def _neck_rows(laid: Plumbed, shop: Dialect) -> Rows:
    return [
        (
            _FITTINGS[neck.fitting],
            _BLANK if neck.size is None else shop.tape(neck.size),
            neck.side or _BLANK,
            _BLANK if neck.angle is None else degrees_words(neck.angle),
        )
        for neck in laid.necks
    ]


def _held_open(row: Laid) -> str:
    if row.hose is not None and row.hose.made_of == "hard tube":
        return "hard tube"
    if row.line.way.endswith("vent"):
        return "RAISE IT" if row.hose is not None and row.hose.rises is False else "rises all the way"
    if row.line.way != "core to engine":
        return ""
    if row.hose is None or row.hose.spring is None:
        return "spring: check"
    return "spring" if row.hose.spring else "NO SPRING"


def _room(laid: Plumbed, shop: Dialect) -> list[Block]:
    sums = laid.sums
    return [
        heading("Room to grow"),
        words(
            f"The system holds {shop.volume(laid.system_volume)}; from {shop.temperature_text(COLD)} to "
            f"{shop.temperature_text(laid.hot)} its coolant grows by {shop.volume(sums.expansion)}. A surge tank "
            f"under the "
            f"cap: {shop.volume(laid.surge_tank)} or more, higher than core and engine. A recovery bottle: "
            f"{shop.volume(laid.recovery_bottle)} or more, its tube down to the bottom, under a cap that draws back."
        ),
    ]


def _pressures(laid: Plumbed, shop: Dialect) -> list[Block]:
    rows = [
        (
            f"{turn.engine_rpm:.0f}",
            banded(shop.coolant_flow, turn.flow),
            banded(shop.coolant_flow, turn.past),
            banded(shop.small_pressure, turn.core_drop),
            banded(shop.small_pressure, turn.hose_drop),
            banded(shop.small_pressure, turn.core_drop + turn.suction_drop),
        )
        for turn in laid.turns
    ]
    place = laid.facts.cap_place
    cap = f"the {place}" if place else "the inlet tank (its place is not typed)"
    return [
        heading("Pump, cap and pressures"),
        table(
            "0.7r engine rpm | 1.4r through the core | 1.4r past it | 1.4r core takes | 1.4r both hoses take "
            "| 1.5r core inlet over pump inlet",
            rows,
            8.0,
        ),
        words(
            "Thermostat open. The middle, and the band nine answers in ten lie in: narrower once the pump's flow is "
            f"measured. A cap of {shop.gauge_pressure(laid.sums.cap_pressure)} on the inlet tank would leave "
            f"{banded(shop.gauge_pressure, laid.margins.static_left)} to hold the system at the fastest. Pump inlet "
            f"then, cap on {cap}: {boiling(laid.margins.held, shop)} with the cap holding, "
            f"{boiling(laid.margins.open, shop)} with nothing held: never rev it hot with the cap off.",
            9.0,
        ),
        *_beside(laid, shop),
    ]


def _beside(laid: Plumbed, shop: Dialect) -> list[Block]:
    """Say what heater and bypass do."""
    lines = []
    if laid.has_shut_way:
        lines.append(
            "No bypass and no open heater: nothing flows past the shut thermostat's wax, so it opens late and the "
            "head gets hot spots. A bypass hose, a heater that flows, or holes in the thermostat's flange."
        )
    if laid.relief is not None:
        lines.append(
            f"Heater and its fan full on, as a last resort in {laid.relief.case}: it sheds about "
            f"{banded(_kilowatts, laid.relief.heat)} and takes {banded(shop.rise, laid.relief.degrees)} off the "
            "coolant (a heater's size is from memory)."
        )
    return [words(" ".join(lines), 9.0)] if lines else []


def _kilowatts(watts: float) -> str:
    return f"{1e-3 * watts:.1f} kW"


def fill_order(laid: Plumbed, shop: Dialect) -> list[str]:
    """Return the steps that fill the system and bleed it.

    Parameters
    ----------
    laid : Plumbed
        What the circuit has.
    shop : Dialect
        Units.

    Returns
    -------
    list of str
    """
    ways = {line.way for line in laid.network.lines}
    facts = laid.facts
    steps = ["Cold, cap off, drain shut. Nose up if the filler is not the highest point by a hand's breadth."]
    if "heater feed" in ways:
        steps.append("Heater to hot, its valve open.")
    if facts.has_thermostat and facts.has_air_hole is not True:
        steps.append(
            "No air hole is typed for the thermostat: loosen the hose or plug at its housing until coolant comes."
        )
    if "engine vent" not in ways:
        steps.append(
            "No engine vent is drawn: open the bleed screw or the heater hose at the engine's high point until "
            "no bubbles come."
        )
    if "tank to pump" in ways:
        steps.append(
            "Fill through the surge tank, slowly: the line to the pump fills the engine from below, the vents "
            "let the air up."
        )
        steps.append("Stop at the cold level: the air over it is the room to grow.")
    else:
        steps.append("Fill at the filler, slowly, to its brim; squeeze the upper hose until no bubbles come.")
    steps.append(
        f"It takes about {shop.volume(laid.system_volume)}. Clearly less means air is still in it: go round again."
    )
    until = "until the thermostat opens (the upper hose turns hot)" if facts.has_thermostat else "until it is warm"
    steps.append(
        f"Idle with the cap off {until}, no faster, clear of the open neck; top up as it sinks; then the cap on."
    )
    steps.append("Hold 2000 rpm for a minute, watch the gauge: a needle that jumps is air passing its sensor.")
    if facts.tank == "recovery bottle":
        steps.append("Bottle to its cold mark. It should rise when hot and be drawn back when cold.")
    steps.append("Let it cool, top up cold, and again after the first two drives. Look at every clamp.")
    return steps
