"""A shroud with bent long edges as flats to cut: main blank and what closes it, holes, bends and marks.

rolled_shroud  flats, section, weight and findings
Shroud         what any family gives

A flat lies with its outer face up: x along the roll lines, y around the section, origin at the lower left.
Fans are placed from the lower left corner of the inside, x along the rolls, seen from behind.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shroudwright.bench.arcs import Box, Circle, Outline, box, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.metal.bend import TABLE, Neutral
from shroudwright.metal.clip import middle_area
from shroudwright.metal.closing import Ends, closing_flats
from shroudwright.metal.flat import EtchLine, EtchText, Finding, Flat, Hole, Opening
from shroudwright.metal.landing import Axis, Landing, flanges_of
from shroudwright.metal.look import Fan, Spot, grommet_spot, inside_marks, look_over, look_over_plate
from shroudwright.metal.rows import bolt_away, spread
from shroudwright.metal.section import largest_roll, section_outline
from shroudwright.metal.sheet import find_sheet, sheet_weight
from shroudwright.metal.standing import Stand
from shroudwright.metal.trough import Trough
from shroudwright.metal.walls import Flange, Section, section_of

_TEXT_HEIGHT = 0.006
PLAIN_ENDS = Ends()
_NEAR = 1e-7


@dataclass(frozen=True)
class Shroud:
    """A shroud ready to draw. Weight is without the trim; ``shape`` holds the section's parts, None without bends."""

    flats: tuple[Flat, ...]
    section: Outline
    shape: Section | None
    metal: str
    weight: float
    trim: float
    findings: tuple[Finding, ...]
    stops: tuple[Finding, ...]
    """those of the findings after which nothing should be cut"""
    landing: Landing
    thickness: float = 0.0
    family: str = "rolled"
    depths: tuple[float, float] = (0.0, 0.0)
    """inside of the face to the core's plane at the low and the high edge of the section, [m]"""
    bought: tuple[tuple[str, int, float], ...] = ()
    """what is cut from bar or tube: name, how many, length [m]"""
    is_upright: bool = False
    """whether the rolls run up the core; the blank is then left long at its bottom and top"""
    rise: float = 0.0
    """depth gained along the rolls, [m]"""
    stands: tuple[Stand, ...] = ()
    """every part but the blank, before an upright one is turned"""


def rolled_shroud(
    *,
    core_width: float,
    core_height: float,
    depth: float,
    roll_radius: float,
    flange_radius: float,
    flange_leg: float,
    thickness: float,
    metal: str,
    fans: Sequence[Fan],
    opening_clearance: float,
    bolt_hole: float,
    bolt_pitch: float,
    grommet: float,
    trim: float,
    partial: bool = False,
    depth_high: float | None = None,
    rise: float = 0.0,
    flanges: tuple[Flange, Flange] = ("out", "out"),
    lip: float = 0.0,
    outline: Outline = (),
    ends: Ends = PLAIN_ENDS,
    neutral: Neutral = TABLE,
) -> Shroud:
    """Lay out a shroud whose two long edges are rolled or bent, and what closes its ends.

    Parameters
    ----------
    core_width : float
        Inside, along the rolls, finished, [m]
    core_height : float
        Inside, across the walls, [m]
    depth : float
        Inside of the face to the core's plane, at the low edge and the low end, [m]
    roll_radius, flange_radius : float
        Inside, [m]
    flange_leg : float
        Inner wall face to the flange's edge, [m]
    thickness : float
        [m]
    metal : str
        aluminium 3003-H14, aluminium 5052-H32, aluminium 6061-T6 or mild steel, [text]
    fans : sequence of Fan
        One round opening each, [m]
    opening_clearance : float
        Blade tip to the opening's edge, [m]
    bolt_hole, bolt_pitch : float
        Flange holes: diameter, and most from one to the next, [m]
    grommet : float
        Hole for the wires, [m]
    trim : float
        Left long at each end, [m]
    partial : bool
        Whether a roll too large for the depth may stop short of 90 deg.
    depth_high : float or None
        Depth at the high edge, where the face tilts across the rolls, [m]
    rise : float
        Depth gained along the rolls, where it leans along them, [m]
    flanges : tuple of str
        How the low and the high wall end, as `section_of`, [text]
    lip : float
        As `section_of`, [m]
    outline : tuple of Vertex
        The inside on the core, where it is not the plain rectangle: straights along and across, [m]
    ends : Ends
        What closes it.
    neutral : Neutral
        The shop's own neutral lines.

    Returns
    -------
    Shroud
        Main blank and closing plates, section, weight in kg, findings.

    Raises
    ------
    InputError
        Where no such shroud exists, naming the largest roll and the angle a larger one stops at.

    Notes
    -----
    Limits: the depth grows along the rolls or across them; along them only over a plain rectangle, square rolls.
    Accuracy: flat lengths as the neutral lines of `k_factor`; leave the blank long and trim at mock-up.

    References
    ----------
    Geometry; hole and edge distances are common practice.
    """
    must_be_possible(
        {
            "core_width": core_width,
            "depth": depth,
            "roll_radius": roll_radius,
            "thickness": thickness,
            "bolt_hole": bolt_hole,
            "bolt_pitch": bolt_pitch,
            "grommet": grommet,
            **{f"blade of {fan.code}": fan.blade for fan in fans},
        },
        {"opening_clearance": opening_clearance, "trim": trim, "flange_radius": flange_radius},
    )
    sheet = find_sheet(metal)
    shape = section_of(
        width=core_height,
        depth=depth,
        depth_high=depth_high,
        roll_radius=roll_radius,
        thickness=thickness,
        flange_radius=flange_radius,
        flange_leg=flange_leg,
        k_roll=neutral.at(roll_radius, thickness, metal),
        k_flange=neutral.at(flange_radius, thickness, metal),
        flanges=flanges,
        lip=lip,
        partial=partial and not rise,
    )
    lap = thickness if ends.kind == "between" else 0.0
    trough = Trough(shape, core_width, trim + lap, outline or rectangle(core_width, core_height), rise, lap)
    _must_close(trough, ends)
    openings = tuple(
        Opening(Circle(trough.x(fan.x), trough.y(fan.y), 0.5 * fan.blade + opening_clearance), fan.code) for fan in fans
    )
    spots = [
        (opening.shape.x + x, opening.shape.y + y, diameter, f"{fan.code} mount")
        for fan, opening in zip(fans, openings, strict=True)
        if isinstance(opening.shape, Circle)
        for x, y, diameter in fan.holes
    ]
    spots += _bolts(trough, bolt_hole, bolt_pitch)
    finished = trough.blank(is_long=False)
    face = Box(-math.inf, trough.face[0], math.inf, trough.face[1])
    spots.append(grommet_spot(finished, face, thickness, grommet, openings, spots))
    blank = Flat(
        name="main blank",
        outline=trough.blank(is_long=True),
        openings=openings,
        holes=tuple(Hole(number, *spot) for number, spot in enumerate(spots, start=1)),
        bends=trough.bends,
        etch_lines=_trim_lines(trough) if trim else (),
        etch_texts=(*_texts(trough)[: None if trim else 1], *inside_marks(fans, openings, _TEXT_HEIGHT)),
        thickness=thickness,
        quantity=1,
    )
    held = ends._replace(bolt=bolt_hole, pitch=bolt_pitch)
    plates, stands = closing_flats(trough, held, flange_radius, metal, neutral)
    trimmed = replace(blank, outline=finished)
    metal_in = middle_area(trimmed) + sum(flat.quantity * middle_area(flat) for flat in plates)
    looks = [look_over(blank, face, fans, [shape], metal, trim), *(look_over_plate(flat) for flat in plates)]
    return Shroud(
        flats=(blank, *plates),
        section=section_outline(shape),
        shape=shape,
        metal=metal,
        weight=sheet_weight(metal_in * thickness, sheet.density),
        trim=trim,
        findings=tuple(finding for look in looks for finding in look.findings),
        stops=tuple(stop for look in looks for stop in look.stops),
        landing=_landing(trough),
        thickness=thickness,
        rise=rise,
        depths=(shape.depth, shape.depth_high),
        stands=tuple(stand._replace(flat=stand.flat + 1) for stand in stands),
    )


def _landing(trough: Trough) -> Landing:
    """Flanges are placed on only where the section is even along the rolls."""
    section = trough.section
    edges = (None, None) if trough.rise else flanges_of(section, 0.0, trough.height)
    along = Axis(trough.x(0.0), 1.0 / math.cos(trough.lean), trough.length, is_cut=True)
    return Landing(along, Axis(trough.y(0.0), 1.0 / math.cos(section.tilt), section.width, *edges))


def _must_close(trough: Trough, ends: Ends) -> None:
    faults = []
    t, radius = trough.section.thickness, trough.section.flange_radius
    taken = (radius + t) * math.tan(0.25 * math.pi + 0.5 * abs(trough.lean))
    if 0.0 < ends.foot <= taken:
        least = taken + 4.0 * t
        faults.append(
            f"side_foot: {ends.foot / 0.0254:.3f} in leaves no flat foot; make it {least / 0.0254:.3f} in "
            f"({1e3 * least:.1f} mm) or more, or 0 for none"
        )
    if ends.kind == "between" and "in" in (trough.section.low.kind, trough.section.high.kind):
        faults.append("ends: a side piece between the walls has no room where a flange turns in; put it over the ends")
    shallow = min((0.0 - trough.trim, trough.run + trough.trim), key=trough.wall)
    if trough.rise and trough.wall(shallow) < 0.0:
        section, at = trough.section, trough.depth(shallow)
        most = largest_roll(at, radius, t) if section.low.flange_turn else at
        faults.append(
            f"roll_radius: {section.roll_radius / 0.0254:.3f} in does not turn 90 deg where the shroud is shallowest, "
            f"{at / 0.0254:.3f} in with its trim: largest {most / 0.0254:.3f} in ({1e3 * most:.1f} mm)"
        )
    if faults:
        raise InputError(faults)


def must_be_possible(positive: Mapping[str, float], not_negative: Mapping[str, float]) -> None:
    """Raise where a size is not one, naming every such."""
    faults = [f"{name}: {value:g} m is not more than nothing" for name, value in positive.items() if not value > 0.0]
    faults += [f"{name}: {value:g} m is less than nothing" for name, value in not_negative.items() if not value >= 0.0]
    if faults:
        raise InputError(faults)


def _bolts(trough: Trough, diameter: float, pitch: float) -> list[Spot]:
    """Holes along flanges and lips."""
    spots = []
    for run in trough.runs:
        side = trough.section.low if run.is_low else trough.section.high
        if side.kind == "none":
            continue
        start, stop = (trough.x(u) for u in (run.start, run.end))
        is_lip = side.kind == "lip"
        away = 0.5 * trough.section.lip if is_lip else bolt_away(side.flange, trough.section.thickness, diameter)
        for x in spread(stop - start, 3.0 * diameter, pitch):
            at = start + x
            spots.append((at, trough.from_edge(run, at, away), diameter, "lip bolt" if is_lip else "flange bolt"))
    return spots


def _trim_lines(trough: Trough) -> tuple[EtchLine, ...]:
    """Lines where each end is trimmed, as far as the sheet reaches there."""
    finished = trough.blank(is_long=False)
    around = box(finished)
    return tuple(
        EtchLine(x, min(one.y, other.y), x, max(one.y, other.y))
        for x in (around.x1, around.x2)
        for one, other in zip(finished, finished[1:] + finished[:1], strict=True)
        if max(abs(one.x - x), abs(other.x - x)) < _NEAR
    )


def _texts(trough: Trough) -> tuple[EtchText, ...]:
    around, (face_low, face_high) = box(trough.blank(is_long=False)), trough.face
    low, high = face_low + _TEXT_HEIGHT, face_high - 2.0 * _TEXT_HEIGHT
    marks = [EtchText("TRIM", x, low, _TEXT_HEIGHT, 0.5 * math.pi) for x in (around.x1, around.x2 + _TEXT_HEIGHT)]
    return (EtchText("OUTER FACE UP", around.x1 + _TEXT_HEIGHT, high, _TEXT_HEIGHT, 0.0), *marks)
