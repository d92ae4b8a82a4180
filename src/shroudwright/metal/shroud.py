"""A rolled shroud as flats to cut: main blank and end caps, their holes, bends and marks.

rolled_shroud  flats, section, weight and findings
look_over      what is wrong with a blank

A flat lies with its outer face up: x along the roll lines (across the core), y around the section, origin
at the lower left. Fans are placed from the core's lower left corner, seen from behind.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shroudwright.bench.arcs import Circle, Outline, area, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.metal.bend import bend_deduction, k_factor, smallest_radius
from shroudwright.metal.flat import BendLine, EtchLine, EtchText, Finding, Flat, Hole, Opening
from shroudwright.metal.opening_rules import Look, Seat, opening_findings
from shroudwright.metal.section import (
    Section,
    cap_outline,
    largest_roll,
    roll_angle,
    rolled_section,
    section_outline,
)
from shroudwright.metal.sheet import find_sheet, sheet_weight

_TEXT_HEIGHT = 0.006
_LEAST_END, _GOOD_END = 1.2, 2.0
_GROMMET_SPOTS = 64
_NEARLY = 1.0 - 1e-9
"""A limit met is not a limit missed, [-]"""


class Fan(NamedTuple):
    """A fan's seat on the face: centre, blade and frame (0 unknown), mounting holes (x, y, d) about its centre."""

    code: str
    x: float
    y: float
    blade: float
    frame: float = 0.0
    holes: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True)
class Shroud:
    """A shroud ready to draw. Weight is without the trim; ``shape`` holds the section's parts."""

    flats: tuple[Flat, ...]
    section: Outline
    shape: Section
    metal: str
    weight: float
    trim: float
    findings: tuple[Finding, ...]
    stops: tuple[Finding, ...]
    """those of the findings after which nothing should be cut"""


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
) -> Shroud:
    """Lay out a shroud with rolled long edges, flanges turned out, and plain end caps.

    Parameters
    ----------
    core_width : float
        Along the rolls, finished, [m]
    core_height : float
        Inside, across the walls, [m]
    depth : float
        Inside of the face to the flange plane, [m]
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

    Returns
    -------
    Shroud
        Main blank and end cap (cut two), section, weight in kg, findings.

    Raises
    ------
    InputError
        Where no such shroud exists, naming the largest roll and the angle a larger one stops at.

    Notes
    -----
    Limits: caps are plain plates that butt on the cut ends; no notches for hose necks.
    Accuracy: flat lengths as the neutral lines of `k_factor`; leave the blank long and trim at mock-up.

    References
    ----------
    Geometry; hole and edge distances are common practice.
    """
    _must_be_possible(
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
    k_roll, k_flange = (k_factor(radius, thickness, metal) for radius in (roll_radius, flange_radius))
    stops_short = partial and roll_radius > largest_roll(depth, flange_radius, thickness)
    shape = rolled_section(
        width=core_height,
        depth=depth,
        roll_radius=roll_radius,
        thickness=thickness,
        flange_radius=flange_radius,
        flange_leg=flange_leg,
        k_roll=k_roll,
        k_flange=k_flange,
        angle=roll_angle(depth, roll_radius, flange_radius, thickness) if stops_short else 0.5 * math.pi,
    )
    outline = rectangle(core_width + 2.0 * trim, shape.length)
    bends = _bends(shape, core_width + 2.0 * trim, k_roll, k_flange)
    # A place on the core's face lands here on the flat.
    right = trim
    up = 0.5 * (shape.length - core_height)
    openings = tuple(
        Opening(Circle(fan.x + right, fan.y + up, 0.5 * fan.blade + opening_clearance), fan.code) for fan in fans
    )
    spots = [
        (fan.x + right + x, fan.y + up + y, diameter, f"{fan.code} mount")
        for fan in fans
        for x, y, diameter in fan.holes
    ]
    spots += _bolts(shape, core_width, trim, bolt_hole, bolt_pitch)
    spots.append(_grommet(shape, core_width, trim, grommet, _circles(openings), spots))
    blank = Flat(
        name="main blank",
        outline=outline,
        openings=openings,
        holes=tuple(Hole(number, *spot) for number, spot in enumerate(spots, start=1)),
        bends=bends,
        etch_lines=tuple(EtchLine(x, 0.0, x, shape.length) for x in (trim, trim + core_width)) if trim else (),
        etch_texts=_texts(shape, core_width, trim),
        thickness=thickness,
        quantity=1,
    )
    caps = cap_outline(shape)
    cap = Flat("end cap", caps, (), (), (), (), (), thickness, 2)
    cut_out = math.pi * (
        sum(circle.radius**2 for circle in _circles(openings)) + sum(0.25 * hole.diameter**2 for hole in blank.holes)
    )
    volume = (shape.middle_length * core_width - cut_out + cap.quantity * area(caps)) * thickness
    look = look_over(blank, shape, metal, fans, trim)
    return Shroud(
        flats=(blank, cap),
        section=section_outline(shape),
        shape=shape,
        metal=metal,
        weight=sheet_weight(volume, sheet.density),
        trim=trim,
        findings=look.findings,
        stops=look.stops,
    )


def _circles(openings: Sequence[Opening]) -> list[Circle]:
    """Openings that are round."""
    return [opening.shape for opening in openings if isinstance(opening.shape, Circle)]


def _must_be_possible(positive: Mapping[str, float], not_negative: Mapping[str, float]) -> None:
    faults = [f"{name}: {value:g} m is not more than nothing" for name, value in positive.items() if not value > 0.0]
    faults += [f"{name}: {value:g} m is less than nothing" for name, value in not_negative.items() if not value >= 0.0]
    if faults:
        raise InputError(faults)


def _bends(shape: Section, width: float, k_roll: float, k_flange: float) -> tuple[BendLine, ...]:
    t, angle = shape.thickness, shape.angle
    flange = 0.5 * shape.flange_allowance + shape.flange
    roll = shape.flange + shape.flange_allowance + shape.wall + 0.5 * shape.roll_allowance
    turned_out = (angle, shape.flange_radius, "up", shape.flange_allowance)
    rolled = (angle, shape.roll_radius, "down", shape.roll_allowance)
    deductions = (
        bend_deduction(angle, shape.flange_radius, t, k_flange),
        bend_deduction(angle, shape.roll_radius, t, k_roll),
    )
    lines = (
        (flange, turned_out, deductions[0]),
        (roll, rolled, deductions[1]),
        (shape.length - roll, rolled, deductions[1]),
        (shape.length - flange, turned_out, deductions[0]),
    )
    return tuple(
        BendLine(number, 0.0, y, width, y, *bend, deduction)  # type: ignore[arg-type]
        for number, (y, bend, deduction) in enumerate(lines, start=1)
    )


_Spot = tuple[float, float, float, str]


def _bolts(shape: Section, width: float, trim: float, diameter: float, pitch: float) -> list[_Spot]:
    """Flange holes, evenly spaced, midway between the good distances to edge and bend, or else the least ones."""
    end = 3.0 * diameter
    spaces = max(math.ceil((width - 2.0 * end) / pitch - 1e-9), 1)
    xs = [trim + end + (width - 2.0 * end) * index / spaces for index in range(spaces + 1)]
    t, half = shape.thickness, 0.5 * diameter
    outer, inner = max(_GOOD_END * diameter, 2.0 * t + half), shape.flange - 2.0 * t - half
    if outer > inner:
        outer, inner = max(_LEAST_END * diameter, 2.0 * t + half), shape.flange - t - half
    y = 0.5 * (outer + inner)
    return [(x, at, diameter, "flange bolt") for at in (y, shape.length - y) for x in xs]


def _grommet(
    shape: Section, width: float, trim: float, diameter: float, openings: Sequence[Circle], holes: Sequence[_Spot]
) -> _Spot:
    """Low on the face, at the spot with most room."""
    y = 0.5 * (shape.length - shape.face) + 3.0 * shape.thickness + 0.5 * diameter
    taken = [*openings, *(Circle(hole_x, hole_y, 0.5 * size) for hole_x, hole_y, size, _ in holes)]

    def room(x: float) -> float:
        return min(math.hypot(x - item.x, y - item.y) - item.radius for item in taken)

    end = _GOOD_END * diameter
    spots = [trim + end + (width - 2.0 * end) * index / _GROMMET_SPOTS for index in range(_GROMMET_SPOTS + 1)]
    return max(spots, key=room), y, diameter, "grommet"


def _texts(shape: Section, width: float, trim: float) -> tuple[EtchText, ...]:
    low = 0.5 * (shape.length - shape.face) + _TEXT_HEIGHT
    high = 0.5 * (shape.length + shape.face) - 2.0 * _TEXT_HEIGHT
    side = EtchText("OUTER FACE UP", trim + _TEXT_HEIGHT, high, _TEXT_HEIGHT, 0.0)
    marks = [EtchText("TRIM", x, low, _TEXT_HEIGHT, 0.5 * math.pi) for x in (trim, trim + width + _TEXT_HEIGHT)]
    return (side, *marks) if trim else (side,)


def look_over(blank: Flat, shape: Section, metal: str, fans: Sequence[Fan], trim: float) -> Look:
    """Say what is wrong with a main blank.

    Parameters
    ----------
    blank : Flat
        The main blank.
    shape : Section
        Its section.
    metal : str
        As `rolled_shroud`, [text]
    fans : sequence of Fan
        In the order of the openings.
    trim : float
        Left long at each end, [m]

    Returns
    -------
    findings : tuple of Finding
        Bends B01, B03 to B06, and those of `opening_findings`. Lengths in m, O08 in holes.
    stops : tuple of Finding
        Those of them after which nothing should be cut.

    Notes
    -----
    Limits: round openings, one to a fan.
    Accuracy: exact.

    References
    ----------
    Common practice; see `opening_findings`.
    """
    bent = (*_bend_findings(shape, metal), *_fan_findings(blank, shape, fans))
    cut = opening_findings(blank, seats=_seats(blank, fans), trim=trim)
    return Look(
        findings=(*(finding for _, finding in bent), *cut.findings),
        stops=(*(finding for is_stop, finding in bent if is_stop), *cut.stops),
    )


def _seats(blank: Flat, fans: Sequence[Fan]) -> list[Seat]:
    """Fans over their openings."""
    return [
        Seat(fan.code, *opening.middle, fan.blade, frame=fan.frame, holes=fan.holes)
        for fan, opening in zip(fans, blank.openings, strict=True)
    ]


def _bend_findings(shape: Section, metal: str) -> Iterator[tuple[bool, Finding]]:
    t = shape.thickness
    least = smallest_radius(metal, t)
    for radius, place in ((shape.flange_radius, "flange bends"), (shape.roll_radius, "rolls")):
        if radius < least * _NEARLY:
            yield True, Finding("B01", radius, least, place)
    if shape.angle < 0.5 * math.pi * _NEARLY:
        most = largest_roll(shape.depth, shape.flange_radius, t)
        yield False, Finding("B03", shape.roll_radius, most, "rolls")
    if 0.0 < shape.wall < 2.0 * t * _NEARLY:
        yield False, Finding("B04", shape.wall, 2.0 * t, "walls")
    if shape.flange < 4.0 * t * _NEARLY:
        yield True, Finding("B06", shape.flange, 4.0 * t, "flanges")


def _fan_findings(blank: Flat, shape: Section, fans: Sequence[Fan]) -> Iterator[tuple[bool, Finding]]:
    t = shape.thickness
    low, high = 0.5 * (shape.length - shape.face), 0.5 * (shape.length + shape.face)
    for fan, opening in zip(fans, _circles(blank.openings), strict=True):
        room, need = 2.0 * min(opening.y - low, high - opening.y), max(fan.frame, 2.0 * opening.radius + 4.0 * t)
        if room < need * _NEARLY:
            yield True, Finding("B05", room, need, fan.code)
