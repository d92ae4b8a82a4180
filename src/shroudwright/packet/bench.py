"""Mounting and sealing, and the order everything goes on: what the shop does at the bench and under the car.

bench_blocks
"""

from shroudwright.assessment import Assessment
from shroudwright.bench.units import convert
from shroudwright.hand_over import HandOver, Leak
from shroudwright.packet.blocks import Block, heading, items, page, small_heading, table, words
from shroudwright.plan import Plan
from shroudwright.shroud.hood import HOOD_ROOM
from shroudwright.shroud.square import SQUARE
from shroudwright.speech import Dialect

_LAP = 0.0254
"""A blanking plate laps over a gap by so much in all: common practice, no source, [m]"""
_HAND = 0.0508
"""Room a hand needs: common practice, no source, [m]"""
_SEALS = ("strip", "seal", "trim", "isolat", "rubber", "foam")


def bench_blocks(answer: Assessment, parts: Plan, shop: Dialect) -> list[Block]:
    """Return the page of mounting and sealing; none where nothing is known of it.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    parts : Plan
        With clearances, hardware and what is handed over.
    shop : Dialect
        Units.

    Returns
    -------
    list of Block
    """
    over = parts.hand_over
    if over is None:
        return []
    return [
        page(),
        heading("Mounting and sealing"),
        *_leaks(answer, over, shop),
        *_strips(parts, shop),
        *_clearance(parts, shop),
        small_heading("Can it be reached?"),
        items(list(_reach(over, shop))),
        small_heading("Order of assembly"),
        items(_order(parts)),
    ]


def _leaks(answer: Assessment, over: HandOver, shop: Dialect) -> list[Block]:
    blocks: list[Block] = []
    if over.case is not None and over.together is not None:
        blocks.append(
            words(
                f"In {over.case} {100 * over.recirculation:.0f} % of the hot air comes round again and makes the air "
                f"into the core {_rise(over.together, shop)} hotter; with the thermostat full open the coolant follows "
                "degree for degree."
            )
        )
    if seal := next((fix for fix in answer.fixes if fix.code == "seal"), None):
        gained = seal.governing.degrees
        gain = "" if gained is None else f" That takes {_rise(gained.value, shop)} off {seal.governing.case}."
        blocks.append(words(f"{seal.do}{gain} {seal.conflicts}"))
    if not over.leaks:
        return [*blocks, words("No gap round the stack is taped yet: boxes 31 to 34 of the measuring sheet.")]
    rows = [
        (
            leak.side or "-",
            leak.where or "-",
            _area(leak, shop),
            "-" if leak.degrees is None else _rise(leak.degrees, shop),
            _plate(leak, shop),
        )
        for leak in over.leaks
    ]
    heads = "0.9 side | 2.2 between | 1.2r area | 1.2r costs | 3 blanking plate, bulb seal on its free edge"
    return [
        *blocks,
        table(heads, rows),
        words(
            "Each gap's degrees are its share of the area taped. Plates bolt on, so that the core can be cleaned; none "
            "rests on fins. Under the car an air dam ahead of the core, its lower edge below the core support, keeps "
            "air from under the car out and helps hot air leave (common practice, no source).",
            8.5,
        ),
    ]


def _rise(kelvin: float, shop: Dialect) -> str:
    return f"{shop.rise_of(kelvin):.1f} {shop.degree_sign}"


def _area(leak: Leak, shop: Dialect) -> str:
    if leak.area is None:
        return "not measured"
    unit = "in**2" if shop.length == "in" else "cm**2"
    return f"{convert(leak.area, 'm**2', unit):.1f} {unit.replace('**2', '²')}"


def _plate(leak: Leak, shop: Dialect) -> str:
    if not leak.width or not leak.area:
        return "-"
    long = leak.length if leak.length is not None else leak.area / leak.width
    return f"{shop.tape(long)} by {shop.tape(leak.width + _LAP)}"


def _strips(parts: Plan, shop: Dialect) -> list[Block]:
    found = [item for item in parts.hardware if any(word in item.part for word in _SEALS)]
    rows = [(item.part, item.size, item.where, shop.tape(item.length) if item.length else "") for item in found]
    bought = parts.shroud.bought if parts.shroud else ()
    rows += [
        (name, "", "cut to length", f"{count} of {shop.tape(size)}")
        for name, count, size in bought
        if any(word in name for word in _SEALS)
    ]
    rubber = [item for item in (parts.mounting.brackets if parts.mounting else ()) if item.carries_weight]
    if rubber:
        rows.append(("isolator", "rubber, one under each weight", "brackets to core", str(len(rubber))))
    if not rows:
        return []
    return [small_heading("Isolators and seals"), table("1.4 what | 1.6 size | 2.6 where | 1r how much", rows)]


def _clearance(parts: Plan, shop: Dialect) -> list[Block]:
    if parts.back is None:
        return []
    moving = sorted((c for c in parts.back.fit.clearances if c.kind == "motor to engine"), key=lambda c: c.spare)
    if not moving:
        return [
            small_heading("Clearance to what moves"),
            words("No depth behind the core is taped yet: boxes 35 to 38 of the measuring sheet."),
        ]
    nearest = {c.between[0]: c for c in reversed(moving)}
    rows = [
        (code, c.between[1].replace(", measured", ""), *(_taped(x, shop) for x in (c.gap, c.least, c.spare)))
        for code, c in nearest.items()
    ]
    return [
        small_heading("Clearance to what moves"),
        table("1.4 fan | 3 to | 1r gap | 1r wanted | 1r to spare", rows),
        words(
            f"The engine rocked {shop.tape(parts.back.rock)} toward the fans is counted. Check with clay, hood shut, "
            "engine rocked against the brake by a helper who stays in the seat.",
            8.5,
        ),
    ]


def _taped(length: float, shop: Dialect) -> str:
    return shop.tape(length) if length >= 0.0 else f"{shop.tape(-length)} short"


def _reach(over: HandOver, shop: Dialect) -> list[str]:
    lines = []
    for code, room in over.behind:
        if room < 0.0:
            lines.append(f"{code}: it meets what stands behind it. Nothing is bolted up before that is mended.")
            continue
        short = room < _HAND
        lines.append(
            f"{code}: {shop.tape(room)} behind its motor. "
            + (
                "No hand goes in there: belt and fan come out with the shroud, upward; leave the loom a plug there."
                if short
                else "A hand goes in: the fan and the belt behind it can be reached with the shroud on."
            )
        )
    if not over.hood:
        lines.append("Hood: it is not taped over the core yet, boxes 51 to 56 of the measuring sheet.")
    else:
        nearest = over.hood[0]
        short = nearest.gap < HOOD_ROOM
        lines.append(
            f"Hood: {nearest.name} stands nearest, {_taped(nearest.gap, shop)} under it. "
            + (f"Less than {shop.tape(HOOD_ROOM)}: the hood may press on it." if short else "It clears.")
            + (
                ""
                if any(item.name == "the cap" for item in over.hood)
                else " The cap is not taped yet, boxes 51 to 53."
            )
        )
    if over.top_shift is not None:
        side = "right" if over.top_shift > 0.0 else "left"
        lines.append(
            f"Core out of square: its top stands {shop.tape(abs(over.top_shift))} to the {side}; lay the shroud's "
            "flange on the core itself before drilling."
            if abs(over.top_shift) > SQUARE
            else "Core square within the tape."
        )
    lines.append(
        "Reach with the job done: cap, drain, every fan plug, fuses and relays, belt. "
        "What cannot be reached is written on the owner's card."
    )
    return lines


def _order(parts: Plan) -> list[str]:
    welded = parts.welds is not None and bool(parts.welds.lines)
    return [
        "Bench: deburr every edge and hole. "
        + ("Weld, let cool, check flat, then finish. " if welded else "")
        + "Dry-fit shroud on the core with its seal; no bolt longer than the room behind it.",
        "Fans into the shroud on the bench, leads to the side they leave; turn each blade by hand: it touches nothing.",
        "Coolers ahead onto their own brackets, gaps kept; seals between them.",
        "Core onto its rubber, weight on the lower mounts, upper ones only keep it upright and leave it free to grow. "
        "Nothing hangs on the fins.",
        "Shroud with its fans onto the core; bolts finger-tight all round, then by turns from the middle out.",
        "Hoses, then loom with its drip loop, plugs last; grounds to the body stud, never to the core.",
        "Blanking plates and hood seal; shut the hood on clay to check.",
        "Fill and bleed, then first run: see the install checklist.",
    ]
