"""A pan bent from one blank: face, four walls, a flange out, in, none or a lip on each; corners welded.

pan_shroud     flats, section, weight and findings
relief_radius  hole where two bends meet

x across the core, y up, from the lower left corner of the inside, seen from behind; a flat lies as it is seen.
"""

import math
from collections.abc import Mapping, Sequence

from shroudwright.bench.arcs import Box, Circle, box, moved
from shroudwright.bench.errors import InputError
from shroudwright.metal.bend import TABLE, Neutral
from shroudwright.metal.clip import middle_area
from shroudwright.metal.flat import EtchText, Finding, Flat, Hole, Opening
from shroudwright.metal.landing import Axis, Landing, flanges_of
from shroudwright.metal.look import Fan, Spot, grommet_spot, inside_marks, look_over
from shroudwright.metal.pan_flat import PanFlat
from shroudwright.metal.rows import bolt_away, spread
from shroudwright.metal.section import section_outline
from shroudwright.metal.sheet import find_sheet, sheet_weight
from shroudwright.metal.shroud import Shroud, must_be_possible
from shroudwright.metal.walls import Flange, section_of

_INCH = 0.0254
_LARGE_ENOUGH = 0.064 * _INCH
_TEXT_HEIGHT = 0.006


def relief_radius(thickness: float, bend_radius: float) -> float:
    """Least radius of the hole where two bends meet.

    1/8 in across to 0.064 in sheet, 3/16 in above, or the bend's 2 R where that is larger

    Parameters
    ----------
    thickness, bend_radius : float
        Of the sheet, inside of the bend, [m]

    Returns
    -------
    radius : float
        [m]

    References
    ----------
    FAA-H-8083-31, sheet-metal chapter; read in a public copy.
    """
    across = 0.125 if thickness <= _LARGE_ENOUGH * (1.0 + 1e-9) else 0.1875
    return max(0.5 * across * _INCH, bend_radius)


def pan_shroud(
    *,
    width: float,
    height: float,
    depth: float,
    depth_top: float | None,
    bend_radius: float,
    flange_radius: float,
    flange_leg: float,
    flanges: Mapping[str, Flange],
    lip: float,
    thickness: float,
    metal: str,
    fans: Sequence[Fan],
    opening_clearance: float,
    bolt_hole: float,
    bolt_pitch: float,
    grommet: float,
    relief: float | None = None,
    neutral: Neutral = TABLE,
) -> Shroud:
    """Lay out a shroud bent from one blank, four walls square to the core, its corners welded.

    Parameters
    ----------
    width, height : float
        Inside, across and up, [m]
    depth, depth_top : float
        Inside of the face to the core's plane, at the bottom and, where it tapers, at the top, [m]
    bend_radius, flange_radius : float
        Inside, of the bends at the face and at the flanges, [m]
    flange_leg : float
        Inner wall face to the flange's edge, [m]
    flanges : mapping of str to str
        How the left, right, bottom and top walls end: out, in, none, lip, [text]
    lip : float
        How far a wall that ends in a lip goes on past the core's plane, [m]
    thickness : float
        [m]
    metal : str
        As `rolled_shroud`, [text]
    fans : sequence of Fan
        One round opening each, [m]
    opening_clearance : float
        Blade tip to the opening's edge, [m]
    bolt_hole, bolt_pitch, grommet : float
        Hole, most from one to the next, hole for the wires, [m]
    relief : float or None
        Diameter of the holes where bends meet; by the table where None, [m]
    neutral : Neutral
        The shop's own neutral lines.

    Returns
    -------
    Shroud
        One flat, the section up the middle, weight in kg, findings.

    Raises
    ------
    InputError
        Where no such pan exists.

    Notes
    -----
    Limits: one taper, upward; square walls only.
    Accuracy: flat lengths as the neutral lines of `k_factor`.

    References
    ----------
    Geometry; corner reliefs FAA-H-8083-31, sheet-metal chapter, read in a public copy.
    """
    must_be_possible(
        {"width": width, "height": height, "depth": depth, "thickness": thickness, "bolt_pitch": bolt_pitch},
        {"bend_radius": bend_radius, "flange_radius": flange_radius, "opening_clearance": opening_clearance},
    )
    shape = {
        "roll_radius": bend_radius,
        "thickness": thickness,
        "flange_radius": flange_radius,
        "flange_leg": flange_leg,
        "k_roll": neutral.at(bend_radius, thickness, metal),
        "k_flange": neutral.at(flange_radius, thickness, metal),
        "lip": lip,
    }
    top = depth if depth_top is None else depth_top
    faults: list[str] = []
    sections = []
    for size, ends, depths in (
        (height, (flanges["bottom"], flanges["top"]), (depth, top)),
        (width, (flanges["left"], flanges["right"]), (min(depth, top),) * 2),
    ):
        try:
            sections.append(section_of(width=size, depth=depths[0], depth_high=depths[1], flanges=ends, **shape))  # type: ignore[arg-type]
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(list(dict.fromkeys(faults)))
    least = relief_radius(thickness, bend_radius)
    pan = PanFlat(sections[0], sections[1], least if relief is None else 0.5 * relief)
    around = box(pan.outline)
    dx, dy = -around.x1, -around.y1
    outline = moved(pan.outline, dx, dy)
    openings = tuple(
        Opening(Circle(fan.x + dx, pan.up.place(fan.y) + dy, 0.5 * fan.blade + opening_clearance), fan.code)
        for fan in fans
    )
    spots: list[Spot] = [
        (opening.middle[0] + x, opening.middle[1] + y, diameter, f"{fan.code} mount")
        for fan, opening in zip(fans, openings, strict=True)
        for x, y, diameter in fan.holes
    ]
    spots += [(x + dx, y + dy, bolt_hole, purpose) for x, y, purpose in _bolts(pan, bolt_hole, bolt_pitch)]
    (left, low), (right, high) = pan.corner(-1.0, -1.0), pan.corner(1.0, 1.0)
    face = Box(left + dx, low + dy, right + dx, high + dy)
    spots.append(grommet_spot(outline, face, thickness, grommet, openings, spots))
    blank = Flat(
        name="main blank",
        outline=outline,
        openings=openings,
        holes=tuple(Hole(number, *spot) for number, spot in enumerate(spots, start=1)),
        bends=tuple(
            bend._replace(x1=bend.x1 + dx, x2=bend.x2 + dx, y1=bend.y1 + dy, y2=bend.y2 + dy) for bend in pan.bends
        ),
        etch_lines=(),
        etch_texts=(
            EtchText("OUTER FACE UP", face.x1 + _TEXT_HEIGHT, face.y2 - 2.0 * _TEXT_HEIGHT, _TEXT_HEIGHT, 0.0),
            *inside_marks(fans, openings, _TEXT_HEIGHT),
        ),
        thickness=thickness,
        quantity=1,
    )
    look = look_over(blank, face, fans, sections, metal)
    torn = (Finding("B12", 2.0 * pan.relief, 2.0 * least, "corners"),) if pan.relief < least * (1.0 - 1e-9) else ()
    return Shroud(
        flats=(blank,),
        section=section_outline(pan.up),
        shape=pan.up,
        metal=metal,
        weight=sheet_weight(middle_area(blank) * thickness, find_sheet(metal).density),
        trim=0.0,
        findings=(*torn, *look.findings),
        stops=(*torn, *look.stops),
        landing=_landing(pan, dx, dy, box(outline)),
        thickness=thickness,
        family="bent pan",
        depths=(depth, top),
    )


def _landing(pan: PanFlat, dx: float, dy: float, around: Box) -> Landing:
    """Flanges of the sides are placed on only where the face does not tilt."""
    up, wide = pan.up, pan.wide
    sides = (None, None) if up.tilt else flanges_of(wide, around.x1, around.x2)
    ends = flanges_of(up, dy, dy + up.length)
    across = Axis(dx, 1.0, wide.width, *sides)
    return Landing(across, Axis(dy + up.place(0.0), 1.0 / math.cos(up.tilt), up.width, *ends))


def _bolts(pan: PanFlat, diameter: float, pitch: float) -> list[tuple[float, float, str]]:
    """Holes along every flange and lip."""
    spots = []
    t = pan.thickness
    for is_top, side in ((False, pan.up.low), (True, pan.up.high)):
        if side.kind == "none":
            continue
        away = 0.5 * pan.up.lip if side.kind == "lip" else bolt_away(side.flange, t, diameter)
        y = pan.up.length - away if is_top else away
        ends = [pan.ends(side.kind, other.kind, pan.leg(side)) for other in (pan.wide.low, pan.wide.high)]
        for along in spread(pan.wide.width - sum(ends), 3.0 * diameter, pitch):
            spots.append((ends[0] + along, y, "lip bolt" if side.kind == "lip" else "flange bolt"))
    for is_right, side in ((False, pan.wide.low), (True, pan.wide.high)):
        if side.kind == "none":
            continue
        edge = pan.across(side)[1]
        w = edge + (0.5 * pan.wide.lip if side.kind == "lip" else bolt_away(side.flange, t, diameter))
        ends = [pan.ends(side.kind, other.kind, pan.leg(side)) for other in (pan.up.low, pan.up.high)]
        for along in spread(pan.up.width - sum(ends), 3.0 * diameter, pitch):
            x, y = pan.sheet(side, is_right=is_right, y=ends[0] + along, w=w)
            spots.append((x, y, "lip bolt" if side.kind == "lip" else "flange bolt"))
    return spots
