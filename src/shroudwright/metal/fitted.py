"""A blank fitted out: fans' openings as asked, and the holes a builder adds.

place_on      where a place on the core lands on a rolled blank
fitted        a flat with its openings shaped and its holes added
seats_of      the fans as the rules see them
flaps_of      the flaps among what was added
lips_of       the lips to flare
FanCut        one fan's opening
Extra         one hole or opening added
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal, NamedTuple, TypeAlias

from shroudwright.bench.arcs import Circle, Outline, box, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.metal.cutouts import flap_windows, flared_hole, lightening_holes
from shroudwright.metal.ears import GOOD_EAR, Ear, with_ears
from shroudwright.metal.edges import Shape, edge_gaps
from shroudwright.metal.flat import EtchLine, EtchText, Flat, Hole, Opening
from shroudwright.metal.opening_rules import Flap, Seat
from shroudwright.metal.openings import lobed_over
from shroudwright.metal.section import Section, section_outline

Purpose: TypeAlias = Literal["access", "drain", "pass-through", "mount", "grommet", "flap", "lightening"]
_INCH = 0.0254
DRAIN = 0.3125 * _INCH
"""Diameter of a drain nobody typed: 1/4 to 3/8 in, common practice, [m]"""
FLAP_OVERLAP = 0.3125 * _INCH
"""Of a flap over its opening: 1/4 to 3/8 in, common practice, [m]"""
_CORNER = 0.25 * _INCH
_EAR_FROM = 2.0
_TEXT = 0.006


class FanCut(NamedTuple):
    """One fan's opening. The flat already has the round one, under the fan's code."""

    code: str
    blade: float
    kind: Literal["round", "lobed"] = "round"
    lip: float = 0.0
    """height of a flared lip, from the face's far side; 0 none, [m]"""
    hub: float = 0.0
    frame: float = 0.0
    holes: tuple[tuple[float, float, float], ...] = ()
    motor: float = 0.0
    """diameter of a motor that passes through, 0 none, [m]"""


class Lip(NamedTuple):
    """A lip to flare, [m]"""

    code: str
    hole: float
    """diameter as cut"""
    clear: float
    """diameter inside the lip"""
    height: float
    """from the face's far side"""
    stretch: float
    """of the hole's edge, [-]"""


class Extra(NamedTuple):
    """One hole or opening added, by its middle on the flat; 0 where a size is not typed."""

    purpose: Purpose
    x: float
    y: float
    diameter: float = 0.0
    width: float = 0.0
    height: float = 0.0
    name: str = ""


def place_on(shape: Section, trim: float, x: float, y: float) -> tuple[float, float]:
    """Where a place measured from the core's lower left corner, inside the walls, lands on a rolled blank.

    Parameters
    ----------
    shape : Section
        Of the blank.
    trim : float
        Left long at each end, [m]
    x, y : float
        On the face; below or above the walls, on a flange or past it, [m]

    Returns
    -------
    x, y : float
        From the blank's lower left corner, [m]

    Notes
    -----
    Limits: flat face and flanges; in the rolls and bends between them nothing should be placed.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    around = box(section_outline(shape))
    edge = 0.5 * (around.x2 - around.x1)
    from_middle = y - 0.5 * shape.width
    if abs(from_middle) <= 0.5 * shape.width:
        return x + trim, from_middle + 0.5 * shape.length
    in_from_edge = edge - abs(from_middle)
    return x + trim, in_from_edge if from_middle < 0.0 else shape.length - in_from_edge


def fitted(flat: Flat, cuts: Sequence[FanCut] = (), extras: Sequence[Extra] = (), lip_radius: float = 0.0) -> Flat:
    """Shape a flat's openings and add the holes asked for.

    A lobed opening has a lobe between each two mounts, so that the necks stand where the fan is held. A lip is
    flared from a smaller hole. A mount near the edge or past it gets an ear. A grommet typed moves the one
    there is. A flap's windows keep bars between them; its hinge is marked above. Lightening holes fill a
    rectangle as far as two thicknesses of web, and 3/8 in at least, allow.

    Parameters
    ----------
    flat : Flat
        With a round opening for each fan.
    cuts : sequence of FanCut
        By the fan's code; a fan not named keeps its opening.
    extras : sequence of Extra
        On the flat, [m]
    lip_radius : float
        Inside radius of a lip's bend, [m]

    Returns
    -------
    Flat
        Holes numbered on from those there were.

    Raises
    ------
    InputError
        For every lip, lobe, ear or size that cannot be.

    Notes
    -----
    Limits: only a round opening takes a lip.
    Accuracy: exact, save the flared hole: see `flared_hole`.

    References
    ----------
    Geometry; sizes nobody typed are common practice.
    """
    faults: list[str] = []
    openings = [_shaped(opening, flat.thickness, cuts, lip_radius, faults) for opening in flat.openings]
    holes, ears, lines, texts = list(flat.holes), [], list(flat.etch_lines), list(flat.etch_texts)
    for extra in extras:
        if extra.purpose in ("access", "flap", "lightening"):
            try:
                made = _cut_out(extra, [*openings, *_drilled(holes)], flat)
            except InputError as error:
                faults += error.faults
                continue
            openings += [Opening(shape, _name(extra)) for shape in made]
            if extra.purpose == "flap":
                top, half = extra.y + 0.5 * extra.height + FLAP_OVERLAP, 0.5 * extra.width + FLAP_OVERLAP
                lines.append(EtchLine(extra.x - half, top, extra.x + half, top))
                texts.append(EtchText("FLAP HINGE", extra.x - half, top + 0.5 * _TEXT, _TEXT, 0.0))
            continue
        if not (size := extra.diameter or (DRAIN if extra.purpose == "drain" else 0.0)):
            faults.append(f"{_name(extra)}: type its diameter")
            continue
        old = next((k for k, hole in enumerate(holes) if extra.purpose == hole.purpose == "grommet"), None)
        purpose = f"{extra.purpose}, {extra.name}" if extra.name else extra.purpose
        hole = Hole(len(holes) + 1, extra.x, extra.y, size, purpose)
        if old is None:
            holes.append(hole)
        else:
            holes[old] = hole._replace(number=holes[old].number, purpose="grommet")
        if extra.purpose == "mount" and edge_gaps([Circle(extra.x, extra.y, 0.0)], flat.outline)[0] < _EAR_FROM * size:
            ears.append(Ear(extra.x, extra.y, GOOD_EAR * size))
    outline = flat.outline
    if ears:
        try:
            outline = with_ears(flat.outline, ears)
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(faults)
    return replace(
        flat,
        outline=outline,
        openings=tuple(openings),
        holes=tuple(holes),
        etch_lines=tuple(lines),
        etch_texts=tuple(texts),
    )


def _name(extra: Extra) -> str:
    return extra.name or extra.purpose


def _drilled(holes: Sequence[Hole]) -> list[Opening]:
    return [Opening(Circle(hole.x, hole.y, 0.5 * hole.diameter)) for hole in holes]


def _shaped(
    opening: Opening, thickness: float, cuts: Sequence[FanCut], lip_radius: float, faults: list[str]
) -> Opening:
    cut = next((cut for cut in cuts if cut.code == opening.name), None)
    if cut is None or not isinstance(opening.shape, Circle):
        return opening
    x, y, radius = opening.shape
    if cut.kind == "lobed":
        if cut.lip:
            faults.append(f"{cut.code}: a lip is flared round a circle; type opening round, or leave the lip out")
        count = len(cut.holes) if 2 <= len(cut.holes) <= 4 else 4
        first = math.atan2(cut.holes[0][1], cut.holes[0][0]) if cut.holes else 0.25 * math.pi
        made = lobed_over(cut.blade, cut.hub, radius, count, thickness, first + math.pi / count)
        return opening._replace(shape=moved(made, x, y))
    if cut.lip:
        try:
            hole = flared_hole(2.0 * radius, cut.lip, lip_radius, thickness)
        except InputError as error:
            faults += [f"{cut.code}: {fault}" for fault in error.faults]
            return opening
        return opening._replace(shape=Circle(x, y, 0.5 * hole.diameter))
    return opening


def _cut_out(extra: Extra, taken: Sequence[Opening], flat: Flat) -> list[Shape]:
    wide, high = extra.width, extra.height
    if extra.purpose == "access" and extra.diameter:
        return [Circle(extra.x, extra.y, 0.5 * extra.diameter)]
    if min(wide, high) <= 0.0 or (extra.purpose == "lightening" and extra.diameter <= 0.0):
        needs = "width, height and diameter" if extra.purpose == "lightening" else "width and height"
        raise InputError([f"{_name(extra)}: type its {needs}"])
    if extra.purpose == "flap":
        return list(flap_windows(extra.x, extra.y, wide, high))
    corner = 0.0 if extra.purpose == "lightening" else min(_CORNER, 0.5 * wide, 0.5 * high)
    field: Outline = moved(rectangle(wide, high, corner), extra.x - 0.5 * wide, extra.y - 0.5 * high)
    if extra.purpose == "access":
        return [field]
    web = max(2.0 * flat.thickness, 0.375 * _INCH)
    return list(lightening_holes(field, [item.shape for item in taken], extra.diameter, web, 0.0))


def seats_of(blank: Flat, cuts: Sequence[FanCut], lip_radius: float = 0.0) -> tuple[Seat, ...]:
    """Return fans as the rules see them.

    Parameters
    ----------
    blank : Flat
        Before it was fitted out, each fan's opening round.
    cuts : sequence of FanCut
    lip_radius : float
        Inside radius of a lip's bend, [m]

    Returns
    -------
    tuple of Seat
        In the order of the cuts; with what a lip leaves clear and where its bend begins, [m]
    """
    found = []
    for cut in cuts:
        shape = next(item.shape for item in blank.openings if item.name == cut.code)
        assert isinstance(shape, Circle)
        bend = shape.radius + blank.thickness + lip_radius
        found.append(
            Seat(
                code=cut.code,
                x=shape.x,
                y=shape.y,
                blade=cut.blade,
                hub=cut.hub,
                frame=cut.frame,
                holes=cut.holes,
                motor=cut.motor,
                clear=shape if cut.lip else None,
                bends_from=shape._replace(radius=bend) if cut.lip else None,
            )
        )
    return tuple(found)


def lips_of(blank: Flat, cuts: Sequence[FanCut], lip_radius: float) -> tuple[Lip, ...]:
    """Return the lips to flare, from a blank whose openings are still round and of their clear size."""
    clear = {item.name: 2.0 * item.shape.radius for item in blank.openings if isinstance(item.shape, Circle)}
    return tuple(
        Lip(cut.code, hole.diameter, clear[cut.code], cut.lip, hole.stretch)
        for cut in cuts
        if cut.lip
        for hole in [flared_hole(clear[cut.code], cut.lip, lip_radius, blank.thickness)]
    )


def flaps_of(extras: Sequence[Extra]) -> tuple[Flap, ...]:
    """Return the flaps among what was added, over their windows."""
    return tuple(
        Flap(_name(extra), flap_windows(extra.x, extra.y, extra.width, extra.height), FLAP_OVERLAP)
        for extra in extras
        if extra.purpose == "flap"
    )
