"""A flat plate that stands off the core on spacer tubes, foam round its edge.

panel_shroud    flat, weight, findings and what is cut from tube and strip

x across the core, y up, from the lower left corner of the inside's box, seen from behind.
"""

import math
from collections import Counter
from collections.abc import Sequence

from shroudwright.bench.arcs import Circle, Outline, Vertex, box, length, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.metal.clip import middle_area
from shroudwright.metal.flat import EtchText, Flat, Hole, Opening
from shroudwright.metal.landing import Axis, Landing
from shroudwright.metal.look import Fan, Spot, grommet_spot, inside_marks, look_over
from shroudwright.metal.sheet import find_sheet, sheet_weight
from shroudwright.metal.shroud import Shroud, must_be_possible

_BOLT_PAST = 0.75 * 0.0254
"""How much longer than its spacer and the plate a bolt is, [m]; common practice, no source."""
_TEXT_HEIGHT = 0.006


def panel_shroud(
    *,
    outline: Outline,
    depth: float,
    depth_top: float | None,
    margin: float,
    thickness: float,
    metal: str,
    fans: Sequence[Fan],
    opening_clearance: float,
    bolt_hole: float,
    bolt_pitch: float,
    grommet: float,
) -> Shroud:
    """Lay out a flat plate on spacers as long as the shroud is deep.

    Parameters
    ----------
    outline : tuple of Vertex
        The inside on the core, of straights, counter-clockwise, its box's lower left at the origin, [m]
    depth, depth_top : float
        Plate to core at the bottom and, where it tapers, at the top, [m]
    margin : float
        Plate past the inside: foam within, spacers in its middle, [m]
    thickness : float
        [m]
    metal : str
        As `rolled_shroud`, [text]
    fans : sequence of Fan
        One round opening each, [m]
    opening_clearance, bolt_hole, bolt_pitch, grommet : float
        As `rolled_shroud`, [m]

    Returns
    -------
    Shroud
        One flat, no bends, no section of bends; spacers, bolts and foam by length.

    Raises
    ------
    InputError
        Where no such plate exists.

    Notes
    -----
    Limits: the core must carry the spacers; a plate that tilts is taken as long as its place on the core.
    Accuracy: exact for straights.

    References
    ----------
    Geometry; foam inside the spacers is common practice.
    """
    must_be_possible(
        {"depth": depth, "margin": margin, "thickness": thickness, "bolt_hole": bolt_hole, "bolt_pitch": bolt_pitch},
        {"opening_clearance": opening_clearance},
    )
    least = 4.0 * bolt_hole
    if margin < least:
        fits = f"make it {least / 0.0254:.3f} in ({1e3 * least:.1f} mm) or more"
        raise InputError([f"flange_leg: {margin / 0.0254:.3f} in past the inside has no room for spacers; {fits}"])
    _must_stay_open(outline, margin)
    edge = moved(_grown(outline, margin), margin, margin)
    row = moved(_grown(outline, 0.5 * margin), margin, margin)
    openings = tuple(
        Opening(Circle(fan.x + margin, fan.y + margin, 0.5 * fan.blade + opening_clearance), fan.code) for fan in fans
    )
    spots: list[Spot] = [
        (fan.x + margin + x, fan.y + margin + y, size, f"{fan.code} mount") for fan in fans for x, y, size in fan.holes
    ]
    bolts = _along(row, bolt_pitch)
    spots += [(x, y, bolt_hole, "spacer bolt") for x, y in bolts]
    inside = moved(outline, margin, margin)
    around = box(inside)
    spots.append(grommet_spot(inside, around, thickness, grommet, openings, spots))
    flat = Flat(
        name="flat plate",
        outline=edge,
        openings=openings,
        holes=tuple(Hole(number, *spot) for number, spot in enumerate(spots, start=1)),
        bends=(),
        etch_lines=(),
        etch_texts=(
            *inside_marks(fans, openings, _TEXT_HEIGHT),
            EtchText("OUTER FACE", around.x1 + _TEXT_HEIGHT, around.y2 - 2.0 * _TEXT_HEIGHT, _TEXT_HEIGHT, 0.0),
        ),
        thickness=thickness,
        quantity=1,
    )
    rise = 0.0 if depth_top is None else (depth_top - depth) / (around.y2 - around.y1)
    lengths = Counter(round(depth + rise * (y - margin), 4) for _, y in bolts)
    bought = [("spacer tube", count, long) for long, count in sorted(lengths.items())]
    bought += [("spacer bolt", count, long + thickness + _BOLT_PAST) for long, count in sorted(lengths.items())]
    look = look_over(flat, box(edge), fans, (), metal)
    height = max(depth, depth if depth_top is None else depth_top)
    section = moved(rectangle(around.y2 - around.y1 + 2.0 * margin, thickness), 0.0, height)
    return Shroud(
        flats=(flat,),
        section=section,
        shape=None,
        metal=metal,
        weight=sheet_weight(middle_area(flat) * thickness, find_sheet(metal).density),
        trim=0.0,
        findings=look.findings,
        stops=look.stops,
        landing=Landing(
            Axis(margin, 1.0, around.x2 - around.x1, is_cut=True), Axis(margin, 1.0, around.y2 - around.y1, is_cut=True)
        ),
        thickness=thickness,
        family="flat plate",
        depths=(depth, depth if depth_top is None else depth_top),
        bought=(*bought, ("foam strip", 1, length(inside))),
    )


def _must_stay_open(outline: Outline, margin: float) -> None:
    """Raise where the plate past the inside would close a notch, naming the largest margin that leaves it open."""
    closed = []
    grown = _grown(outline, margin)
    for i, here in enumerate(outline):
        j = (i + 1) % len(outline)
        dx, dy = outline[j].x - here.x, outline[j].y - here.y
        if (grown[j].x - grown[i].x) * dx + (grown[j].y - grown[i].y) * dy <= 0.0:
            closed.append(math.hypot(dx, dy))
    if closed:
        most = 0.5 * min(closed)
        raise InputError(
            [
                f"flange_leg: {margin / 0.0254:.3f} in past the inside closes a notch {min(closed) / 0.0254:.3f} in "
                f"wide; make it less than {most / 0.0254:.3f} in ({1e3 * most:.1f} mm), or leave the notch out"
            ]
        )


def _grown(outline: Outline, by: float) -> Outline:
    """Shift every side of a polygon outward."""
    count = len(outline)
    found = []
    for i in range(count):
        before, here, after = outline[i - 1], outline[i], outline[(i + 1) % count]
        (ax, ay), (bx, by_) = _along_unit(before, here), _along_unit(here, after)
        cross, dot = ax * by_ - ay * bx, ax * bx + ay * by_
        # The corner of both shifted sides: along the first by tan of half the turn.
        slip = by * cross / (1.0 + dot)
        found.append(Vertex(here.x + by * ay + slip * ax, here.y - by * ax + slip * ay))
    return tuple(found)


def _along_unit(one: Vertex, other: Vertex) -> tuple[float, float]:
    long = math.hypot(other.x - one.x, other.y - one.y)
    return (other.x - one.x) / long, (other.y - one.y) / long


def _along(outline: Outline, pitch: float) -> list[tuple[float, float]]:
    """Places along a polygon: its corners and evenly between them."""
    found = []
    for one, other in zip(outline, outline[1:] + outline[:1], strict=True):
        spaces = max(math.ceil(math.hypot(other.x - one.x, other.y - one.y) / pitch - 1e-9), 1)
        found += [
            (one.x + (other.x - one.x) * i / spaces, one.y + (other.y - one.y) * i / spaces) for i in range(spaces)
        ]
    return found
