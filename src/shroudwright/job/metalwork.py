"""From a filled job to its shroud's flats.

shroud_of      the shroud in metal, by its family
face_bends     what bends and rolls take off the flat face on each side
not_followed   what of the job's shroud the flats leave out, and whether they cannot be used for it
necks_cleared  which hose necks a side piece is let out for
"""

import math
from dataclasses import replace
from typing import Literal, NamedTuple, cast

from shroudwright.bench.arcs import Box, Outline, Vertex, box, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.job.bending import neutral_of
from shroudwright.job.filled import Filled
from shroudwright.job.mount_holes import holes_of
from shroudwright.job.places import places, whole_outline
from shroudwright.metal.clip import middle_area
from shroudwright.metal.closing import Ends, Neck, divider_flat, necks_let_in
from shroudwright.metal.flat import quarter_turned
from shroudwright.metal.look import Fan, look_over_plate
from shroudwright.metal.pan import pan_shroud
from shroudwright.metal.panel import panel_shroud
from shroudwright.metal.section import roll_angle
from shroudwright.metal.sheet import find_sheet, sheet_weight
from shroudwright.metal.shroud import Shroud, rolled_shroud
from shroudwright.metal.trough import Trough, is_plain, shape_faults
from shroudwright.metal.walls import Flange, Section, section_of

_NEAR = 1e-6


class Left(NamedTuple):
    """What the flats leave out, in words; ``is_stop`` where they are then another shroud's."""

    words: str
    is_stop: bool


def shroud_of(filled: Filled) -> Shroud | None:
    """Lay out the shroud a job asks for.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Shroud or None
        At the medians; None without a shroud or a fan. Where the outline cannot be followed, that of its box.

    Raises
    ------
    InputError
        If the shroud asked for cannot exist.
    """
    if not filled.job.fans or filled.word("shroud.type") == "none":
        return None
    family = filled.word("shroud.family")
    if family == "bent pan":
        return _pan(filled)
    if family == "flat plate":
        return _panel(filled)
    return _rolled(filled)


def _is_upright(filled: Filled) -> bool:
    """Whether the rolls run up and down the core."""
    return filled.word("shroud.rolled_edges") == "left and right"


def _depth_top(filled: Filled) -> float:
    top = filled.job.shroud.depth_top
    return filled.median("shroud.depth") if top is None else top.value


def _ending(filled: Filled, side: str) -> Flange:
    return cast(Flange, getattr(filled.job.shroud, f"flange_{side}") or filled.word("shroud.flange"))


def _fans(filled: Filled, inside: Box) -> list[Fan]:
    """Fans where they stand, from the lower left corner of the inside."""
    return [
        Fan(
            code=fan.code,
            x=x - inside.x1,
            y=y - inside.y1,
            blade=filled.median(f"fans.{i}.blade"),
            frame=fan.frame_size.value if fan.frame_size else 0.0,
            holes=holes_of(fan),
            is_inside=bool(filled.word(f"fans.{i}.motor_inside")),
        )
        for i, (fan, (x, y)) in enumerate(zip(filled.job.fans, places(filled), strict=True))
    ]


def _upright(fan: Fan, wide: float) -> Fan:
    """Turn a fan's place with the core, a quarter to the right."""
    return fan._replace(x=fan.y, y=wide - fan.x, holes=tuple((up, -across, size) for across, up, size in fan.holes))


def _common(filled: Filled) -> dict[str, object]:
    return {
        "thickness": filled.median("shop.sheet_thickness"),
        "metal": str(filled.word("shop.sheet")),
        "opening_clearance": filled.median("shroud.opening_clearance"),
        "bolt_hole": filled.median("shroud.bolt_hole"),
        "bolt_pitch": filled.median("shroud.bolt_pitch"),
        "grommet": filled.median("shroud.grommet"),
    }


class _Along(NamedTuple):
    """A rolled shroud's shape along and across its rolls."""

    outline: Outline
    length: float
    width: float
    depth_high: float
    rise: float
    flanges: tuple[Flange, Flange]
    ends: Ends


def _along(filled: Filled) -> _Along:
    whole = whole_outline(filled)
    inside = box(whole)
    wide, high = inside.x2 - inside.x1, inside.y2 - inside.y1
    outline = moved(whole, -inside.x1, -inside.y1)
    depth, gained = filled.median("shroud.depth"), _depth_top(filled) - filled.median("shroud.depth")
    flange = filled.median("space.lip_height") + filled.median("shroud.seal")
    necks = [
        Neck(
            neck.x.value - inside.x1,
            neck.y.value - inside.y1,
            0.5 * neck.diameter.value,
            (neck.reach.value if neck.reach else math.inf) - flange,
        )
        for neck in filled.job.space.necks
        if neck.x and neck.y and neck.diameter
    ]
    divider = filled.job.shroud.divider
    at = None if divider is None else divider.value - inside.x1
    kind = cast(Literal["over", "between"], filled.word("shroud.side_pieces"))
    foot = filled.median("shroud.side_foot")
    if not _is_upright(filled):
        ends = Ends(kind, foot, tuple(necks), at)
        return _Along(
            outline, wide, high, depth + gained, 0.0, (_ending(filled, "bottom"), _ending(filled, "top")), ends
        )
    turned = tuple(Vertex(v.y, wide - v.x, v.bulge) for v in outline)
    ends = Ends(
        kind,
        foot,
        tuple(neck._replace(u=neck.v, v=wide - neck.u) for neck in necks),
        None if at is None else wide - at,
        divider_along=True,
        names=("bottom end", "top end"),
    )
    return _Along(turned, high, wide, depth, gained, (_ending(filled, "right"), _ending(filled, "left")), ends)


def _rolled(filled: Filled) -> Shroud:
    along = _along(filled)
    inside = box(whole_outline(filled))
    fans = _fans(filled, inside)
    if _is_upright(filled):
        fans = [_upright(fan, along.width) for fan in fans]
    made = rolled_shroud(
        core_width=along.length,
        core_height=along.width,
        depth=filled.median("shroud.depth"),
        depth_high=along.depth_high,
        rise=along.rise,
        roll_radius=filled.median("shroud.roll_radius"),
        flange_radius=filled.median("shroud.flange_radius"),
        flange_leg=filled.median("shroud.flange_leg"),
        flanges=along.flanges,
        lip=filled.median("shroud.lip"),
        fans=fans,
        trim=filled.median("shroud.trim"),
        partial=not filled.word("shroud.square_walls"),
        neutral=neutral_of(filled),
        outline=() if any(left.is_stop for left in not_followed(filled)) else along.outline,
        ends=along.ends,
        **_common(filled),  # type: ignore[arg-type]
    )
    if not _is_upright(filled):
        return made
    return replace(
        made,
        flats=(quarter_turned(made.flats[0]), *made.flats[1:]),
        landing=made.landing.quarter_turned(made.flats[0].outline),
        is_upright=True,
    )


def _pan(filled: Filled) -> Shroud:
    inside = box(whole_outline(filled))
    made = pan_shroud(
        width=inside.x2 - inside.x1,
        height=inside.y2 - inside.y1,
        depth=filled.median("shroud.depth"),
        depth_top=_depth_top(filled),
        bend_radius=filled.median("shroud.roll_radius"),
        flange_radius=filled.median("shroud.flange_radius"),
        flange_leg=filled.median("shroud.flange_leg"),
        flanges={side: _ending(filled, side) for side in ("left", "right", "bottom", "top")},
        lip=filled.median("shroud.lip"),
        fans=_fans(filled, inside),
        relief=filled.job.shroud.relief.value if filled.job.shroud.relief else None,
        neutral=neutral_of(filled),
        **_common(filled),  # type: ignore[arg-type]
    )
    if filled.job.shroud.divider is None or made.shape is None:
        return made
    at = filled.job.shroud.divider.value - inside.x1
    divider, stand = divider_flat(
        made.shape,
        at,
        filled.median("shroud.side_foot"),
        filled.median("shroud.flange_radius"),
        made.metal,
        neutral_of(filled),
    )
    look, density = look_over_plate(divider), find_sheet(made.metal).density
    return replace(
        made,
        flats=(*made.flats, divider),
        stands=(stand._replace(flat=len(made.flats)),),
        weight=made.weight + sheet_weight(middle_area(divider) * made.thickness, density),
        findings=(*made.findings, *look.findings),
        stops=(*made.stops, *look.stops),
    )


def _panel(filled: Filled) -> Shroud:
    whole = whole_outline(filled)
    inside = box(whole)
    outline = moved(whole, -inside.x1, -inside.y1)
    if any(left.is_stop for left in not_followed(filled)):
        outline = rectangle(inside.x2 - inside.x1, inside.y2 - inside.y1)
    return panel_shroud(
        outline=outline,
        depth=filled.median("shroud.depth"),
        depth_top=_depth_top(filled),
        margin=filled.median("shroud.flange_leg"),
        fans=_fans(filled, inside),
        **_common(filled),  # type: ignore[arg-type]
    )


def face_bends(
    filled: Filled, depth: float | None = None, depth_top: float | None = None
) -> tuple[float, float, float, float]:
    """Width that bends or rolls take off the flat face at the left, right, bottom and top, [m].

    Depths at the bottom and the top are the shroud's own where a box has none.

    A roll too large for its depth stops short and takes less.
    """
    family, radius = filled.word("shroud.family"), filled.median("shroud.roll_radius")
    if family == "flat plate":
        return 0.0, 0.0, 0.0, 0.0
    if family == "bent pan":
        return radius, radius, radius, radius
    flange, t = filled.median("shroud.flange_radius"), filled.median("shop.sheet_thickness")
    low, high = (
        radius * math.sin(roll_angle(depth, radius, flange, t))
        for depth in (
            filled.median("shroud.depth") if depth is None else depth,
            _depth_top(filled) if depth_top is None else depth_top,
        )
    )
    return (low, low, 0.0, 0.0) if _is_upright(filled) else (0.0, 0.0, low, high)


def not_followed(filled: Filled) -> list[Left]:
    """What of the job's shroud its flats leave out.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    list of Left
        Empty where they follow it in everything.
    """
    family, whole = filled.word("shroud.family"), whole_outline(filled)
    found = []
    if len(filled.job.shroud_boxes) > 1:
        found.append(Left(f"{len(filled.job.shroud_boxes)} boxes", True))
    if family == "bent pan" and not is_plain(whole):
        found.append(
            Left("an outline that is not a plain box, which four walls bent from one blank cannot follow", True)
        )
    if family == "flat plate" and any(vertex.bulge for vertex in whole):
        found.append(Left("an outline with arcs", True))
    if family == "flat plate" and filled.job.shroud.divider:
        found.append(Left("a divider", False))
    if family == "rolled":
        along = _along(filled)
        if not is_plain(along.outline):
            faults = ["it tapers along its rolls besides"] if along.rise else _shape_faults(filled, along)
            found += [Left(f"an outline of its own, and {fault}", True) for fault in faults]
    return found


def _shape_faults(filled: Filled, along: _Along) -> list[str]:
    try:
        return shape_faults(along.outline, _section(filled, along))
    except InputError:
        return []  # the metal itself says why there is no such section


def _section(filled: Filled, along: _Along) -> Section:
    t, metal = filled.median("shop.sheet_thickness"), str(filled.word("shop.sheet"))
    roll, flange, neutral = (
        filled.median("shroud.roll_radius"),
        filled.median("shroud.flange_radius"),
        neutral_of(filled),
    )
    return section_of(
        width=along.width,
        depth=filled.median("shroud.depth"),
        depth_high=along.depth_high,
        roll_radius=roll,
        thickness=t,
        flange_radius=flange,
        flange_leg=filled.median("shroud.flange_leg"),
        k_roll=neutral.at(roll, t, metal),
        k_flange=neutral.at(flange, t, metal),
        flanges=along.flanges,
        lip=filled.median("shroud.lip"),
        partial=not along.rise and not filled.word("shroud.square_walls"),
    )


def necks_cleared(filled: Filled) -> list[tuple[float, float]]:
    """Middles of the hose necks that a rolled shroud's side pieces are let out for, on the core, [m]."""
    if filled.word("shroud.family") != "rolled" or filled.word("shroud.type") == "none" or not filled.job.space.necks:
        return []
    along = _along(filled)
    try:
        trough = Trough(_section(filled, along), along.length, 0.0, along.outline, along.rise)
    except InputError:
        return []
    let_in = necks_let_in(trough, along.ends)
    spots = [(neck.x.value, neck.y.value) for neck in filled.job.space.necks if neck.x and neck.y and neck.diameter]
    return [spot for spot, is_in in zip(spots, let_in, strict=True) if is_in]
