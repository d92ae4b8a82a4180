"""A job's shroud fitted out: openings as asked, holes added, fasteners and welds listed, and what is wrong with them.

fit_out     job, shroud -> FittedOut
"""

from dataclasses import dataclass, replace

from shroudwright.bench.arcs import Box, Outline, Straight, box, length, moved, rectangle, segments
from shroudwright.job.drive import Fan
from shroudwright.job.filled import Filled
from shroudwright.metal.cutouts import mount_pattern
from shroudwright.metal.fitted import FLAP_OVERLAP, Extra, FanCut, Lip, fitted, flaps_of, lips_of, place_on, seats_of
from shroudwright.metal.flat import Flat, Hole, metal_area
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
from shroudwright.metal.opening_rules import EDGE_TRIM, Pocket, bolt_findings, opening_findings
from shroudwright.metal.section import Section
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.shroud import Shroud
from shroudwright.metal.welds import Joint, Told, Welds, weld_list

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


def holes_of(fan: Fan) -> tuple[tuple[float, float, float], ...]:
    """Return a fan's mounting holes, typed one by one or as a pattern: x, y from its centre and diameter, [m]."""
    if fan.holes:
        return tuple((across.value, up.value, size.value) for across, up, size in fan.holes)
    if fan.mounts and fan.mount_circle and fan.mount_hole:
        return mount_pattern(round(fan.mounts.value), fan.mount_circle.value, fan.mount_hole.value)
    return ()


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
    shape, (plain, *others) = made.shape, made.flats
    cuts, extras = _cuts(filled), _extras(filled, shape, inside, made.trim)
    radius = _one(filled, "shroud.flange_radius")
    blank = fitted(plain, cuts, extras, radius)
    grommet = choose_grommet(_one(filled, "shroud.grommet"), shape.thickness)
    look = opening_findings(
        blank,
        seats=seats_of(plain, cuts, radius),
        trim=made.trim,
        edge_trim=EDGE_TRIM if filled.word("shroud.edge_trim") else 0.0,
        has_wires=bool(filled.job.fans),
        loom=filled.job.shroud.loom.value if filled.job.shroud.loom else 0.0,
        bore=grommet.bore if grommet else 0.0,
        flaps=flaps_of(extras),
        pockets=_pockets(shape, blank, inside),
        cutter=filled.word("shop.cutter"),  # type: ignore[arg-type]
        router_bit=_one(filled, "shop.router_bit"),
    )
    welds = _welds(filled, made)
    saved = (metal_area(plain) - metal_area(blank)) * shape.thickness * find_sheet(made.metal).density
    shroud = replace(
        made,
        flats=(blank, *others),
        weight=made.weight - saved,
        findings=(*(one for one in made.findings if one.code[0] != "O"), *look.findings),
        stops=(*(one for one in made.stops if one.code[0] != "O"), *look.stops),
    )
    hardware, told = _hardware(filled, shroud, extras, inside)
    told = (*told, *_of_bolts(filled), *_of_couple(filled, made), *welds.told)
    return FittedOut(shroud, hardware, welds, lips_of(plain, cuts, radius), told)


def _one(filled: Filled, path: str) -> float:
    return float(filled[path][0])


def _cuts(filled: Filled) -> tuple[FanCut, ...]:
    return tuple(
        FanCut(
            code=fan.code,
            blade=_one(filled, f"fans.{i}.blade"),
            kind="lobed" if filled.word(f"fans.{i}.opening") == "lobed" else "round",
            lip=fan.lip.value if fan.lip else 0.0,
            hub=_one(filled, f"fans.{i}.hub"),
            frame=fan.frame_size.value if fan.frame_size else 0.0,
            holes=holes_of(fan),
            motor=fan.motor.value if fan.motor and filled.word(f"fans.{i}.motor_inside") is True else 0.0,
        )
        for i, fan in enumerate(filled.job.fans)
    )


def _extras(filled: Filled, shape: Section, inside: Box, trim: float) -> tuple[Extra, ...]:
    found = []
    for row in filled.job.holes:
        assert row.purpose
        assert row.x
        assert row.y
        x, y = place_on(shape, trim, row.x.value - inside.x1, row.y.value - inside.y1)
        round_, wide, high = (size.value if size else 0.0 for size in (row.diameter, row.width, row.height))
        found.append(Extra(row.purpose, x, y, round_, wide, high, row.name or ""))
    return tuple(found)


def _pockets(shape: Section, blank: Flat, inside: Box) -> tuple[Pocket, ...]:
    """The lower wall, where it lies below the fins and water cannot run out through them."""
    if inside.y1 > -_POCKET:
        return ()
    around, start = box(blank.outline), shape.flange + shape.flange_allowance
    high = 0.5 * (shape.length - shape.face) - start
    low: Outline = moved(rectangle(around.x2 - around.x1, high), around.x1, start)
    return (Pocket("lower wall, below the fins", low),)


def _welds(filled: Filled, made: Shroud) -> Welds:
    cap = next((flat for flat in made.flats if flat.name == "end cap"), None)
    if cap is None:
        return Welds((), 0.0, ())
    lowest = box(cap.outline).y1
    core_side = sum(
        abs(item.x2 - item.x1)
        for item in segments(cap.outline)
        if isinstance(item, Straight) and max(item.y1, item.y2) - lowest < 1e-9
    )
    blended = filled.word("shop.blend_welds") is True
    joint = Joint(
        "end cap to blank",
        "corner",
        length(cap.outline) - core_side,
        made.shape.thickness,
        is_blended=blended,
        is_full=blended,
        times=cap.quantity,
    )
    return weld_list(
        [joint],
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


def _flange(kind: str, holes: list[Hole], t: float) -> tuple[list[Item], list[Told]]:
    """What holds the flange to the core, and whether rivets suit it."""
    number, hole = len(holes), holes[0].diameter
    if kind == "rivet":
        sheets = [t, SIDE_PLATE]
        rivet = choose_rivet(sheets)
        size, weight, bore = (rivet.size, rivet.weight, rivet.hole_most) if rivet else (_NO_SIZE, 0.0, hole)
        items = [Item("blind rivet", size, "flange to core", number, 0.0, bore, number * weight, _source(rivet))]
        if rivet is None:
            return items, []
        found, stops = rivet_findings(rivet, sheets, 0.0, holes[0].y, "flange rivets")
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
    blank, t = shroud.flats[0], shroud.shape.thickness
    items: list[Item] = []
    told: list[Told] = []
    flange = [hole for hole in blank.holes if hole.purpose == "flange bolt"]
    if flange:
        items, told = _flange(str(filled.word("shop.fasteners")), flange, t)
    mounts = [hole.purpose for hole in blank.holes if hole.purpose.partition(",")[0].endswith("mount")]
    for purpose in dict.fromkeys(mounts):
        own = [hole for hole in blank.holes if hole.purpose == purpose]
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
    is_isolated = _one(filled, "shroud.seal") > 0.0
    return tuple(Told(one, "stop") for one in couple_findings(own, "copper", is_isolated))
