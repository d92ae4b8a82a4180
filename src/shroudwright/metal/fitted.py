"""A blank fitted out: fans' openings as asked, and the holes a builder adds.

fitted        a flat with its openings shaped and its holes added
seats_of      the fans as the rules see them
flaps_of      the flaps among what was added
lips_of       the lips to flare
FanCut        one fan's opening
Extra         one hole or opening added
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal, NamedTuple, TypeAlias

from shroudwright.bench.arcs import Circle, Outline, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.metal.cutouts import flap_windows, lightening_holes
from shroudwright.metal.ears import GOOD_EAR, Ear, with_ears
from shroudwright.metal.edges import Shape, edge_gaps
from shroudwright.metal.flat import EtchLine, EtchText, Flat, Hole, Opening, numbered
from shroudwright.metal.lips import flared, least_neck, shifted
from shroudwright.metal.opening_rules import Flap, Seat
from shroudwright.metal.openings import lobed_over
from shroudwright.metal.slots import keyholes, slot

Purpose: TypeAlias = Literal[
    "access", "drain", "pass-through", "mount", "grommet", "flap", "lightening", "slot", "keyhole"
]
_INCH = 0.0254
DRAIN = 0.3125 * _INCH
"""Diameter of a drain nobody typed: 1/4 to 3/8 in, common practice, [m]"""
FLAP_OVERLAP = 0.3125 * _INCH
"""Of a flap over its opening: 1/4 to 3/8 in, common practice, [m]"""
_CORNER = 0.25 * _INCH
_EAR_FROM = 2.0
_CUT_OUT = ("access", "flap", "lightening", "slot", "keyhole")
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
    """width as cut"""
    clear: float
    """width inside the lip"""
    height: float
    """from the face's far side"""
    stretch: float
    """of its edge where it bows out, [-]"""
    gather: float = 0.0
    """of its edge at necks, [-]"""


class Extra(NamedTuple):
    """One hole or opening added, by its middle on the flat; 0 where a size is not typed."""

    purpose: Purpose
    x: float
    y: float
    diameter: float = 0.0
    width: float = 0.0
    height: float = 0.0
    name: str = ""
    bars: int = 0
    """across a flap's opening, [-]"""
    corner: float = _CORNER
    """radius of an opening's corners, [m]"""
    lip: float = 0.0
    """height of an opening's lip, from the face's far side; 0 none, [m]"""
    turn: float = 0.0
    """of a keyhole, whose name is its fan's code, [rad]"""


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
    Limits: as `flared` for lips; slots and keyholes are named for what their bolt is.
    Accuracy: exact, save the flared hole: see `flared_hole`.

    References
    ----------
    Geometry; sizes nobody typed are common practice.
    """
    faults: list[str] = []
    openings = [_shaped(opening, flat.thickness, cuts, lip_radius, faults) for opening in flat.openings]
    middles = {item.name: item.middle for item in flat.openings}
    holes, ears, lines, texts = list(flat.holes), [], list(flat.etch_lines), list(flat.etch_texts)
    for extra in extras:
        if extra.purpose in _CUT_OUT:
            try:
                openings += _added(extra, openings, holes, middles, flat, lip_radius)
            except InputError as error:
                faults += [f"{_name(extra)}: {fault}" for fault in error.faults]
            if extra.purpose == "keyhole":
                holes = [hole for hole in holes if hole.purpose != f"{extra.name} mount"]
            elif extra.purpose == "flap":
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
            holes[old] = hole._replace(purpose="grommet")
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
        holes=numbered(holes),
        etch_lines=tuple(lines),
        etch_texts=tuple(texts),
    )


def _added(
    extra: Extra,
    openings: Sequence[Opening],
    holes: Sequence[Hole],
    middles: Mapping[str, tuple[float, float]],
    flat: Flat,
    lip_radius: float,
) -> list[Opening]:
    """What an extra cuts out."""
    if extra.purpose == "keyhole":
        own = [hole for hole in holes if hole.purpose == f"{extra.name} mount"]
        if not own:
            raise InputError(["keyholes need its mounting holes; type its holes, or mounts and mount_circle"])
        return keyholes(own, middles[extra.name], extra.diameter, extra.width, extra.turn)
    made = _cut_out(extra, [*openings, *_drilled(holes)], flat)
    bolt = Circle(extra.x, extra.y, 0.5 * min(extra.width, extra.height)) if extra.purpose == "slot" else None
    return [_opened(shape, _name(extra), extra.lip, lip_radius, flat.thickness)._replace(bolt=bolt) for shape in made]


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
    clear = _clear(cut, opening.shape, thickness, lip_radius)
    try:
        return _opened(clear, cut.code, cut.lip, lip_radius, thickness)
    except InputError as error:
        faults += [f"{cut.code}: {fault}" for fault in error.faults]
        return opening


def _opened(clear: Shape, name: str, lip: float, radius: float, thickness: float) -> Opening:
    """What is cut for a clear opening, under its lip where it has one."""
    if not lip:
        return Opening(clear, name)
    made, by = flared(clear, lip, radius, thickness), thickness + radius
    bent = clear._replace(radius=clear.radius + by) if isinstance(clear, Circle) else shifted(clear, -by)
    return Opening(made.shape, name, bends_from=bent)


def _clear(cut: FanCut, round_: Circle, thickness: float, lip_radius: float) -> Shape:
    """What a fan sees through its opening; lobes under a lip have necks wide enough to be turned."""
    if cut.kind != "lobed":
        return round_
    x, y, radius = round_
    count = len(cut.holes) if 2 <= len(cut.holes) <= 4 else 4
    first = math.atan2(cut.holes[0][1], cut.holes[0][0]) if cut.holes else 0.25 * math.pi
    neck = least_neck(cut.lip, lip_radius, thickness) if cut.lip else 0.0
    return moved(lobed_over(cut.blade, cut.hub, radius, count, thickness, first + math.pi / count, neck), x, y)


def _cut_out(extra: Extra, taken: Sequence[Opening], flat: Flat) -> list[Shape]:
    wide, high = extra.width, extra.height
    if extra.purpose == "slot" and min(wide, high) > 0.0:
        if wide == high:
            raise InputError(["a slot as high as it is wide is a hole: type purpose mount and its diameter"])
        return [slot(extra.x, extra.y, wide, high)]
    if extra.purpose == "access" and extra.diameter:
        return [Circle(extra.x, extra.y, 0.5 * extra.diameter)]
    if min(wide, high) <= 0.0 or (extra.purpose == "lightening" and extra.diameter <= 0.0):
        needs = "width, height and diameter" if extra.purpose == "lightening" else "width and height"
        raise InputError([f"type its {needs}"])
    if extra.purpose == "flap":
        return list(flap_windows(extra.x, extra.y, wide, high, extra.bars))
    corner = 0.0 if extra.purpose == "lightening" else min(extra.corner, 0.5 * wide, 0.5 * high)
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
        In the order of the cuts; with what a lip leaves clear, [m]
    """
    found = []
    for cut in cuts:
        shape = next(item.shape for item in blank.openings if item.name == cut.code)
        assert isinstance(shape, Circle)
        clear = _clear(cut, shape, blank.thickness, lip_radius)
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
                clear=clear if cut.lip else None,
            )
        )
    return tuple(found)


def lips_of(blank: Flat, cuts: Sequence[FanCut], extras: Sequence[Extra], lip_radius: float) -> tuple[Lip, ...]:
    """Return the lips to flare, from a blank whose openings are still round and of their clear size."""
    t = blank.thickness
    round_ = {item.name: item.shape for item in blank.openings if isinstance(item.shape, Circle)}
    wanted = [(cut.code, _clear(cut, round_[cut.code], t, lip_radius), cut.lip) for cut in cuts if cut.lip]
    wanted += [(_name(one), shape, one.lip) for one in extras if one.lip for shape in _cut_out(one, (), blank)]
    found = []
    for name, clear, height in wanted:
        made = flared(clear, height, lip_radius, t)
        around = Opening(clear).box
        wide = around.x2 - around.x1
        found.append(Lip(name, wide - 2.0 * made.setback, wide, height, made.stretch, made.gather))
    return tuple(found)


def flaps_of(extras: Sequence[Extra]) -> tuple[Flap, ...]:
    """Return the flaps among what was added, over their windows."""
    return tuple(
        Flap(_name(extra), flap_windows(extra.x, extra.y, extra.width, extra.height, extra.bars), FLAP_OVERLAP)
        for extra in extras
        if extra.purpose == "flap"
    )
