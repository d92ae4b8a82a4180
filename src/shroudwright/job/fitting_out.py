"""A job's shroud fitted out: openings as asked, holes added, fasteners and welds listed, and what is wrong with them.

fit_out     job, shroud -> FittedOut
"""

from dataclasses import dataclass, replace

from shroudwright.bench.arcs import Box, Circle, Outline, box, length, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.job.filled import Filled
from shroudwright.job.mount_holes import holes_of
from shroudwright.job.places import flaps
from shroudwright.metal.closing import weld_length
from shroudwright.metal.edges import edge_gaps
from shroudwright.metal.fitted import (
    FLAP_OVERLAP,
    Extra,
    FanCut,
    Lip,
    Purpose,
    fitted,
    flaps_of,
    lips_of,
    seats_of,
)
from shroudwright.metal.flat import ON_THE_CORE, Flat, Hole, bolts_of, metal_area
from shroudwright.metal.hardware import (
    Item,
    by_hole,
    choose_grommet,
    choose_rivet,
    choose_seal,
    couple_findings,
    fasteners,
    rivet_findings,
    strip_weight,
)
from shroudwright.metal.landing import Landing
from shroudwright.metal.look import look_over_plate
from shroudwright.metal.opening_rules import EDGE_TRIM, Look, Pocket, bolt_findings, opening_findings
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.shroud import Shroud
from shroudwright.metal.slots import slotted
from shroudwright.metal.welds import Joint, Kind, Told, Welds, weld_list

_INCH = 0.0254
SIDE_PLATE = 0.0625 * _INCH
"""Of the core, where a flange is riveted to it: common practice, [m]"""
_POCKET = 0.125 * _INCH
"""How far below the fins a shroud's inside may reach and still drain through them: common practice, [m]"""
_NO_SIZE = "no size on the shelf"


@dataclass(frozen=True)
class FittedOut:
    """A shroud with everything on it."""

    shroud: Shroud
    hardware: tuple[Item, ...]
    welds: Welds
    lips: tuple[Lip, ...]
    told: tuple[Told, ...]
    """what is wrong with fasteners and welds"""


def fit_out(filled: Filled, made: Shroud, inside: Box) -> FittedOut:
    """Fit out a job's shroud.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    made : Shroud
        As laid out, each fan's opening round.
    inside : Box
        The shroud's inside, from the core's lower left, [m]

    Returns
    -------
    FittedOut

    Raises
    ------
    InputError
        For every lip, lobe, ear or size that cannot be.
    """
    plain, *others = made.flats
    cuts, extras = _cuts(filled), _extras(filled, made.landing, inside)
    radius = filled.median("shroud.flange_radius")
    play = filled.median("shroud.bolt_slot")
    blank = fitted(plain, cuts, extras, radius)
    if play:
        blank = slotted(blank, ON_THE_CORE, play, keep=True)
        others = [slotted(flat, ("foot bolt",), play, is_round=True) for flat in others]
    grommet = choose_grommet(filled.median("shroud.grommet"), made.thickness)
    judged = opening_findings(
        blank,
        seats=seats_of(plain, cuts, radius),
        trim=made.trim,
        is_upright=made.is_upright,
        edge_trim=EDGE_TRIM if filled.word("shroud.edge_trim") else 0.0,
        has_wires=bool(filled.job.fans),
        loom=filled.job.shroud.loom.value if filled.job.shroud.loom else 0.0,
        bore=grommet.bore if grommet else 0.0,
        flaps=flaps_of(extras),
        pockets=_pockets(made, blank, inside),
        cutter=filled.word("shop.cutter"),  # type: ignore[arg-type]
        router_bit=filled.median("shop.router_bit"),
    )
    looks = [look_over_plate(flat) for flat in others]
    plates = Look(tuple(f for look in looks for f in look.findings), tuple(s for look in looks for s in look.stops))
    names = tuple(f"{flat.name}: " for flat in others)
    kept = [one for one in made.findings if one.code[0] != "O" and not (names and one.place.startswith(names))]
    welds = _welds(filled, made)
    saved = (metal_area(plain) - metal_area(blank)) * made.thickness * find_sheet(made.metal).density
    shroud = replace(
        made,
        flats=(blank, *others),
        weight=made.weight - saved,
        findings=(*kept, *plates.findings, *judged.findings),
        stops=(*(one for one in kept if one in made.stops), *plates.stops, *judged.stops),
    )
    hardware, told = _hardware(filled, shroud, extras, inside)
    told = (*told, *_of_bolts(filled), *_of_couple(filled, made), *welds.told)
    return FittedOut(shroud, hardware, welds, lips_of(plain, cuts, extras, radius), told)


def _cuts(filled: Filled) -> tuple[FanCut, ...]:
    return tuple(
        FanCut(
            code=fan.code,
            blade=filled.median(f"fans.{i}.blade"),
            kind="lobed" if filled.word(f"fans.{i}.opening") == "lobed" else "round",
            lip=fan.lip.value if fan.lip else 0.0,
            hub=filled.median(f"fans.{i}.hub"),
            frame=fan.frame_size.value if fan.frame_size else 0.0,
            holes=holes_of(fan),
            motor=fan.motor.value if fan.motor and filled.word(f"fans.{i}.motor_inside") is True else 0.0,
        )
        for i, fan in enumerate(filled.job.fans)
    )


def _extras(filled: Filled, landing: Landing, inside: Box) -> tuple[Extra, ...]:
    found, faults = [], []
    for row in filled.job.holes:
        sizes = (row.diameter, row.width, row.height)
        round_, wide, high = (size.value if size else 0.0 for size in sizes)
        if row.purpose == "keyhole":
            assert row.turn
            found.append(Extra("keyhole", 0.0, 0.0, round_, wide, name=row.fan or "", turn=row.turn.value))
            continue
        assert row.purpose
        assert row.x
        assert row.y
        spot = landing.at(row.x.value - inside.x1, row.y.value - inside.y1)
        if spot is None:
            faults.append(
                f"{row.name or row.purpose}: {row.x.typed}, {row.y.typed} is off the face where no flange turns out "
                "onto the core; place it on the face"
            )
            continue
        extra = Extra(row.purpose, *spot, round_, wide, high, row.name or "", lip=row.lip.value if row.lip else 0.0)
        found.append(extra if row.corner is None else extra._replace(corner=row.corner.value))
    for hole in flaps(filled):
        x, y = hole.middle
        if spot := landing.at(x - inside.x1, y - inside.y1):
            purpose: Purpose = "flap" if hole.has_flap else "access"
            found.append(Extra(purpose, *spot, 0.0, hole.width, hole.height, hole.code, hole.bars))
    if faults:
        raise InputError(faults)
    return tuple(found)


def _pockets(made: Shroud, blank: Flat, inside: Box) -> tuple[Pocket, ...]:
    """The lower wall, where it lies below the fins and water cannot run out through them."""
    shape = made.shape
    if inside.y1 > -_POCKET or shape is None or made.is_upright:
        return ()
    around, start = box(blank.outline), shape.flange_allowance + shape.low.flange
    high = shape.start - start
    low: Outline = moved(rectangle(around.x2 - around.x1, high), around.x1, start)
    return (Pocket("lower wall, below the fins", low),)


def _welds(filled: Filled, made: Shroud) -> Welds:
    blended = filled.word("shop.blend_welds") is True
    is_between = made.family == "rolled" and filled.word("shroud.side_pieces") == "between"
    seams: list[tuple[str, Kind, float, int]] = [
        (
            f"{flat.name} to blank",
            "fillet" if is_between or flat.name.startswith("divider") else "corner",
            weld_length(flat),
            flat.quantity,
        )
        for flat in made.flats[1:]
    ]
    if made.family == "bent pan":
        seams.insert(0, ("pan's corners", "corner", 0.5 * sum(made.depths), 4))
    joints = [
        Joint(name, kind, run, made.thickness, is_blended=blended, is_full=blended, times=times)
        for name, kind, run, times in seams
    ]
    return weld_list(
        joints,
        made.metal,
        filler=filled.job.shop.filler or "",
        finish=filled.word("shop.finish"),  # type: ignore[arg-type]
    )


def _bolted(kind: str, hole: float, number: int, where: str) -> Item:
    found = by_hole(kind, hole)
    size = found.size if found else _NO_SIZE
    return Item(kind, size, where, number, 0.0, hole, number * (found.weight if found else 0.0), _source(found))


def _source(found: object) -> str:
    return str(getattr(found, "source", ""))


def _strip(kind: str, run: float, where: str, sheet: float = 0.0, width: float = 0.0) -> Item:
    found = choose_seal(kind, sheet)
    weight = strip_weight(found, run, width) if found else 0.0
    size = found.code.partition(" ")[2] + " in" if found else _NO_SIZE
    return Item(kind, size, where, 1, run, 0.0, weight, _source(found))


def _flange(kind: str, holes: list[Hole], t: float, edge: float) -> tuple[list[Item], list[Told]]:
    """What holds the flange to the core, and whether rivets suit it."""
    number, hole = len(holes), holes[0].diameter
    if kind == "rivet":
        sheets = [t, SIDE_PLATE]
        rivet = choose_rivet(sheets)
        size, weight, bore = (rivet.size, rivet.weight, rivet.hole_most) if rivet else (_NO_SIZE, 0.0, hole)
        items = [Item("blind rivet", size, "flange to core", number, 0.0, bore, number * weight, _source(rivet))]
        if rivet is None:
            return items, []
        found, stops = rivet_findings(rivet, sheets, 0.0, edge, "flange rivets")
        return items, [Told(one, "stop" if one in stops else "watch") for one in found]
    items = [_bolted("bolt", hole, number, "flange to core")]
    if kind == "rivet nut":
        nut = next((row for row in fasteners(kind) if row.size == items[0].size), None)
        size, weight, bore = (nut.size, nut.weight, nut.hole_least) if nut else (_NO_SIZE, 0.0, 0.0)
        items.append(Item(kind, size, "core's side plate", number, 0.0, bore, number * weight, _source(nut)))
    return items, []


def _hardware(
    filled: Filled, shroud: Shroud, extras: tuple[Extra, ...], inside: Box
) -> tuple[tuple[Item, ...], tuple[Told, ...]]:
    blank, t = shroud.flats[0], shroud.thickness
    items: list[Item] = []
    told: list[Told] = []
    flange = bolts_of(blank, "flange bolt")
    if flange:
        edge = float(edge_gaps([Circle(hole.x, hole.y, 0.0) for hole in flange], blank.outline).min())
        items, told = _flange(str(filled.word("shop.fasteners")), flange, t, edge)
    for purpose, where in (("lip bolt", "lip to core's side"), ("foot bolt", "side pieces' feet to core")):
        own = [hole for flat in shroud.flats for hole in bolts_of(flat, purpose) * flat.quantity]
        if own:
            items.append(_bolted("bolt", own[0].diameter, len(own), where))
    others = [hole.purpose for hole in bolts_of(blank) if hole.purpose.partition(",")[0].endswith(("mount", "slot"))]
    for purpose in dict.fromkeys(others):
        own = bolts_of(blank, purpose)
        items.append(_bolted("bolt", own[0].diameter, len(own), purpose))
    for hole in blank.holes:
        if hole.purpose.partition(",")[0] == "grommet":
            grommet = choose_grommet(hole.diameter, t)
            size = f"bore {grommet.bore / _INCH:g} in" if grommet else _NO_SIZE
            items.append(
                Item(
                    "grommet",
                    size,
                    "wires",
                    1,
                    0.0,
                    hole.diameter,
                    grommet.weight if grommet else 0.0,
                    _source(grommet),
                )
            )
    if shroud.family != "flat plate":
        around = 2.0 * (inside.x2 - inside.x1 + inside.y2 - inside.y1)
        items.append(_strip("foam strip", around, "under the flange, once round"))
    if filled.word("shroud.edge_trim") is True:
        fans = {fan.code for fan in filled.job.fans}
        run = sum(length(opening.outline) for opening in blank.openings if opening.name in fans)
        items.append(_strip("edge trim", run, "fans' openings", t))
    for extra in extras:
        if extra.purpose == "flap":
            run, high = extra.width + 2.0 * FLAP_OVERLAP, extra.height + 2.0 * FLAP_OVERLAP
            items.append(_strip("flap rubber", run, extra.name or "flap", width=high))
    return tuple(items), tuple(told)


def _of_bolts(filled: Filled) -> tuple[Told, ...]:
    shroud = filled.job.shroud
    if shroud.bolt_length is None or shroud.bolt_room is None:
        return ()
    return tuple(Told(one, "stop") for one in bolt_findings(shroud.bolt_length.value, 0.0, shroud.bolt_room.value))


def _of_couple(filled: Filled, made: Shroud) -> tuple[Told, ...]:
    """A copper core under an aluminium or bare steel flange, without a seal between them."""
    if filled.word("core.fin_metal") != "copper":
        return ()
    own = "aluminium" if find_sheet(made.metal).family == "aluminium" else "bare steel"
    is_isolated = filled.median("shroud.seal") > 0.0
    return tuple(Told(one, "stop") for one in couple_findings(own, "copper", is_isolated))
