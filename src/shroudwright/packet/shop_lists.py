"""What is welded, and what holds, seals and guards the shroud, as blocks of the packet.

laid_blocks      which sheets to buy, and parts on them
lip_blocks       how lips are flared
weld_blocks      the weld list and how to go about it
hardware_blocks  the hardware list
weight_words     a weight with its unit
"""

from shroudwright.bench.units import convert
from shroudwright.drawing.nest_picture import nest_picture
from shroudwright.drawing.svg import svg
from shroudwright.drawing.words import length_words
from shroudwright.metal.fitted import Lip
from shroudwright.metal.nest import Nest, offcut
from shroudwright.metal.welds import TACK_PITCH
from shroudwright.packet.blocks import Block, heading, picture, table, words
from shroudwright.packet.tables import HARDWARE_HEADS, WELD_HEADS, hardware_rows, weld_rows
from shroudwright.plan import Plan


def weight_words(weight: float, units: str) -> str:
    """Write a weight [kg] in pounds or kilograms."""
    unit = "lb" if units == "in" else "kg"
    return f"{convert(weight, 'kg', unit):.1f} {unit}"


def laid_blocks(laid: Nest, units: str, wide: float) -> list[Block]:
    """Return what to buy of one sheet metal, with a picture of the parts on it."""
    drawn, count = nest_picture(laid, units), len(laid.sheets)
    size = f"{length_words(laid.height, units)} by {length_words(laid.width, units)}"
    says = f"Buy {count} sheet{'s' * (count > 1)} of {size}; {100.0 * laid.yields:.0f} % of it is used."
    if least := offcut(laid):
        short, long = (length_words(side, units) for side in sorted(least))
        says += f" A piece of {short} by {long} holds it all."
    return [words(says), picture(svg(drawn, wide, 0.07 * min(count, 2)), drawn.description)]


def lip_blocks(units: str, parts: Plan) -> list[Block]:
    """Return how each lip is flared; nothing without one."""
    return [
        words(
            f"{lip.code}: the hole of {length_words(lip.hole, units)} is flared to {length_words(lip.clear, units)} "
            f"clear, a lip {length_words(lip.height, units)} high from the face's far side; its edge stretches "
            f"{100.0 * lip.stretch:.0f} %{_gathered(lip)}. Try it on scrap first and smooth its edge before that."
        )
        for lip in parts.lips
    ]


def _gathered(lip: Lip) -> str:
    return f" and gathers {100.0 * lip.gather:.0f} % at its necks: shrink it there in small bites" if lip.gather else ""


def weld_blocks(units: str, parts: Plan) -> list[Block]:
    """Return the weld list; nothing where nothing is welded."""
    if parts.welds is None or not parts.welds.lines:
        return []
    widths = ("0.4", "1.8", "1.4r", "1.5", "1.3", "0.9r", "0.6r", "0.9r", "1.4")
    heads = " | ".join(f"{width} {head}" for width, head in zip(widths, WELD_HEADS, strict=True))
    return [
        heading("Welds"),
        table(heads, weld_rows(parts.welds.lines, units)),
        words(
            f"Tack every {length_words(TACK_PITCH, units)} or so from the middle out, ends by turns, the part clamped "
            "to a backing bar. Where the face must stay flat, cut its openings after welding or brace them. Amps are a "
            "start: run a bead on scrap of the same sheet first. Argon 5 to 6 L/min (11 to 13 cubic feet an hour). "
            "Clean with a stainless brush kept for it and a solvent without chlorine. Grind zinc and other plating off "
            "steel first: its fume is poison. Mask, gloves, moving air, nothing near that burns; let it cool before it "
            "is handled.",
            8.5,
        ),
    ]


def hardware_blocks(units: str, parts: Plan) -> list[Block]:
    """Return the hardware list; nothing without a shroud."""
    if not parts.hardware:
        return []
    widths = ("1.2", "1.3", "2.2", "1.4r", "1r", "0.9r")
    heads = " | ".join(f"{width} {head}" for width, head in zip(widths, HARDWARE_HEADS, strict=True))
    whole = weight_words(sum(item.weight for item in parts.hardware), units)
    return [
        heading("Hardware"),
        table(heads, hardware_rows(parts.hardware, units)),
        words(
            f"{whole} together. Bolts with washer and lock nut, plated or stainless in aluminium. Let the loom hang "
            "below its grommet before it climbs, so that water drips off outside. Deburr every hole before anything "
            "goes in.",
            8.5,
        ),
    ]
