"""The brackets in the packet: what each carries, what it makes of it, its flat.

bracket_blocks
"""

from shroudwright.drawing.flat_picture import flat_picture
from shroudwright.drawing.svg import svg
from shroudwright.drawing.words import length_words
from shroudwright.packet.blocks import Block, heading, page, picture, table, words
from shroudwright.packet.shop_lists import laid_blocks
from shroudwright.packet.tables import bend_rows, hole_rows
from shroudwright.plan import Plan
from shroudwright.speech import Dialect


def bracket_blocks(units: str, parts: Plan, shop: Dialect, wide: float) -> list[Block]:
    """Return the brackets' pages; none where the job has no bracket.

    Parameters
    ----------
    units : str
        ``in`` or ``mm``, [text]
    parts : Plan
        With the mounting.
    shop : Dialect
        Units.
    wide : float
        A picture may be, [m]
    """
    if parts.mounting is None:
        return []
    held = parts.mounting
    rows = [
        (
            item.bracket.flat.name,
            f"{100.0 * item.share:.0f} %" if item.carries_weight else "place only",
            f"{shop.stress(item.held.stress)} of {shop.stress(item.held.allowable)}",
            item.held.place,
            length_words(item.held.sag, units),
            "none" if item.cure is None else length_words(item.cure, units),
        )
        for item in held.brackets
    ]
    blocks: list[Block] = [
        page(),
        heading("Brackets"),
        words(
            f"{shop.weight(held.weight)} hangs on them, taken {held.load_factor:g} times on a bump, 1.5 times fore and "
            "aft and sideways. Bend them square, outer face out; the core sits in rubber, one end free to move.",
        ),
        table("1.6 bracket | 1 carries | 2.2 stress | 1.6 where | 1r sags | 1.2r sheet that holds", rows),
    ]
    for other in parts.nest_others:
        blocks.append(heading(f"Sheet for brackets: {other.metal}, {length_words(other.thickness, units)}"))
        blocks += laid_blocks(other.nest, units, wide)
    widest = max(max(vertex.x for vertex in item.bracket.flat.outline) for item in held.brackets)
    for item in held.brackets:
        flat = item.bracket.flat
        drawn = flat_picture(flat, units)
        across = max(vertex.x for vertex in flat.outline)
        blocks += [
            heading(f"{flat.name}: {item.bracket.metal}, {length_words(flat.thickness, units)}, cut {flat.quantity}"),
            picture(svg(drawn, 0.5 * wide * max(across / widest, 0.5), 0.09), drawn.description),
            table(f"0.7 no. | 3 purpose | 1r x {units} | 1r y {units} | 1.2r diameter {units}", hole_rows(flat, units)),
        ]
        if flat.bends:
            heads = (
                "0.7 bend | 0.9 turned | 0.9 direction | 1r inside R | 1r allowance BA | 1r deduction BD"
                " | 1.4r line from x, y | 1.4r to x, y"
            )
            blocks.append(table(heads, bend_rows(flat, units)))
    return blocks
