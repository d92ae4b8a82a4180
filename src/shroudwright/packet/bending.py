"""How the bends are made, as blocks of the packet: order, formers, hits, neutral lines.

bending_blocks
"""

import math

from shroudwright.drawing.words import degrees_words, length_words
from shroudwright.metal.making import Step
from shroudwright.packet.blocks import Block, heading, table, words
from shroudwright.plan import Plan


def bending_blocks(units: str, parts: Plan) -> list[Block]:
    """Return the order of bends and how each is made; nothing where nothing is bent."""
    bending = parts.bending
    if bending is None or not bending.steps:
        return []
    tight, roll = bending.neutral
    blocks = [
        heading("Order of bends"),
        *(
            [
                words(
                    f"No order clears a usual leaf brake for {', '.join(bending.trapped)} (B16): the order is the "
                    "bends' own.",
                    9.5,
                    "bold",
                )
            ]
            if bending.trapped
            else []
        ),
        table(
            "0.5r no. | 1.6 part | 0.6 bend | 1.2 under the beam | 1.1 outer face | 0.9r turned"
            f" | 1.1r former R {units} | 1r former turned | 1.2 how",
            [_row(step, units) for step in bending.steps],
        ),
    ]
    if rolled := [step for step in bending.steps if step.hits]:
        blocks += [
            heading("A roll made by hits"),
            table(
                f"1.6 part | 0.6 bend | 0.7r hits | 1r each turns | 1.2r on the flat apart {units}"
                f" | 1.2r flats stand off {units}",
                [_hit_row(step, units) for step in rolled],
            ),
        ]
    blocks.append(
        words(
            "Edges are named as drawn, outer face up. Under the beam: the edge the held part runs to; the other part "
            "swings up, so a bend named down is made with the outer face down. The former, a pipe or bar twice its R "
            "across, is what springs back to the radius drawn: sure to 30 % of the correction, a real sheet springs "
            "back less. Bend a scrap first. Mark the tangents from the finished part. Neutral line "
            f"{tight:.3f} of the thickness in tight bends ({bending.source}), {roll:.3f} in rolls. Gloves; keep "
            "fingers from under the beam and the leaf.",
            8.5,
        )
    )
    return blocks


def _row(step: Step, units: str) -> tuple[str, ...]:
    return (
        str(step.number),
        step.flat,
        f"B{step.bend.number}",
        step.side_in,
        "down" if step.is_turned_over else "up",
        degrees_words(step.bend.angle),
        length_words(step.former, units, is_bare=True),
        f"{math.degrees(step.former_angle):.1f}°",
        "over a former" if step.hits and not step.is_by_hits else "by hits" if step.hits else "brake",
    )


def _hit_row(step: Step, units: str) -> tuple[str, ...]:
    return (
        step.flat,
        f"B{step.bend.number}",
        str(step.hits),
        degrees_words(step.bend.angle / step.hits),
        *(length_words(size, units, is_bare=True) for size in (step.pitch, step.facet)),
    )
