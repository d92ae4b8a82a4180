"""What closes a blank with bent long edges: side pieces, the sides of notches, a divider.

Ends           how they are made
closing_flats  their flats, like ones as one part cut several times, and where each part stands
divider_flat   a plate across the room
necks_let_in   which hose necks are let out of them
weld_length    how long one is
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal, NamedTuple

from shroudwright.bench.arcs import Arc, Outline, Vertex, box, contains, segments
from shroudwright.metal.bend import TABLE, Neutral
from shroudwright.metal.clip import clipped
from shroudwright.metal.ends import FOOT_SHORT, Cut, Foot, plate, same_cut, turned
from shroudwright.metal.flat import Flat
from shroudwright.metal.standing import Frame, Stand, stand_of
from shroudwright.metal.trough import Trough, sides_of
from shroudwright.metal.walls import Section, over_room, section_of

NECK_CLEARANCE = 0.1875 * 0.0254
"""Room left all round a neck, [m]; common practice, no source."""
_CAP = "end cap"
_ACROSS, _OUT = (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
_NEAR = 1e-9


class Neck(NamedTuple):
    """A hose neck: place along and across, outside radius, and how far it stands over the core's plane, [m]."""

    u: float
    v: float
    radius: float
    height: float


class Ends(NamedTuple):
    """How a shroud is closed: plates over its cut ends or between its walls, foot, necks and divider, [m]."""

    kind: Literal["over", "between"] = "over"
    foot: float = 0.0
    """inner face to the foot's edge; 0 none"""
    necks: tuple[Neck, ...] = ()
    divider: float | None = None
    """where it stands, across the core"""
    divider_along: bool = False
    """whether it runs along the rolls"""
    names: tuple[str, str] = ("left end", "right end")
    bolt: float = 0.0
    pitch: float = 1.0


class _Wanted(NamedTuple):
    """A plate before it is laid out: outline of its inner face in a plane, what is let out of it, foot or none."""

    name: str
    frame: Frame
    outline: Outline
    is_mirrored: bool
    cuts: tuple[Cut, ...] = ()
    foot: tuple[float, float, float] | None = None
    """from, to, turn"""
    turn: float = 0.0


def closing_flats(
    trough: Trough, ends: Ends, flange_radius: float, metal: str, neutral: Neutral = TABLE
) -> tuple[tuple[Flat, ...], tuple[Stand, ...]]:
    """Lay out every plate that closes a blank, and say where each stands.

    Parameters
    ----------
    trough : Trough
        The blank.
    ends : Ends
        How it is closed, [m]
    flange_radius : float
        Inside, of the foot's bend, [m]
    metal : str
        As `rolled_shroud`, [text]
    neutral : Neutral
        The shop's own neutral lines.

    Returns
    -------
    flats : tuple of Flat
        Like plates once, with their quantity; two end plates that are alike are called end cap.
    stands : tuple of Stand
        Every plate, its flat's number counted among the flats.

    Notes
    -----
    Limits: a neck is let out of a plate where the plate goes on on both sides of it and over its end.
    Accuracy: exact for straights and arcs; on a face that leans along the rolls the flange bends' rounding beside
    an end plate is left to the weld.
    """
    flats: list[Flat] = []
    found: list[tuple[str, Stand]] = []
    for wanted in _wanted(trough, ends):
        flat, stand = _laid(
            wanted,
            ends,
            trough.section.thickness,
            flange_radius,
            neutral.at(flange_radius, trough.section.thickness, metal),
        )
        for number, other in enumerate(flats):
            if same_cut(flat, other):
                name = _CAP if {flat.name, other.name} == set(ends.names) else other.name
                texts = tuple(text._replace(text=name.upper()) for text in other.etch_texts)
                flats[number] = replace(other, name=name, etch_texts=texts, quantity=other.quantity + 1)
                break
        else:
            number = len(flats)
            flats.append(_named_apart(flat, flats))
        found.append((wanted.name, stand._replace(flat=number)))
    stands = []
    for asked, stand in found:
        name = flats[stand.flat].name
        stands.append(stand._replace(name=f"{asked.split()[0]} {_CAP}" if name == _CAP else name))
    return tuple(flats), tuple(stands)


def _laid(wanted: _Wanted, ends: Ends, t: float, flange_radius: float, k: float) -> tuple[Flat, Stand]:
    """Turn a plate onto its edge, seen from its outer side, and lay it out."""
    outline, around = turned(wanted.outline, wanted.turn, mirrored=wanted.is_mirrored), box(wanted.outline)

    def at(start: float, end: float) -> tuple[float, float]:
        return (around.x2 - end, around.x2 - start) if wanted.is_mirrored else (start - around.x1, end - around.x1)

    foot = None
    if wanted.foot is not None:
        start, end, turn = wanted.foot
        places = (start, end) if wanted.turn else at(start, end)
        bolt = 0.0 if wanted.name == "divider" else ends.bolt
        foot = Foot(ends.foot, flange_radius, k, turn, *places, bolt, ends.pitch)
    cuts = [Cut(*at(cut.start, cut.end), cut.height) for cut in wanted.cuts]
    flat = plate(wanted.name, outline, t, foot=foot, cuts=cuts)
    # Its foot reaches below the edge it stands on, where the flat's outline begins.
    laid = outline[0]._replace(y=outline[0].y + flat.outline[0].y)
    is_mirrored = wanted.is_mirrored
    return flat, stand_of(wanted.frame, wanted.outline[0], laid, wanted.turn, 0, flat.name, mirrored=is_mirrored)


def _named_apart(flat: Flat, others: Sequence[Flat]) -> Flat:
    """Number a name that is taken."""
    count = sum(other.name.startswith(flat.name) for other in others)
    return replace(flat, name=f"{flat.name} {count + 1}") if count else flat


def weld_length(flat: Flat) -> float:
    """Length of weld round one plate, [m]: from one end of its edge on the core, or on the face, to the other."""
    low, top = flat.outline[0].y, box(flat.outline).y2
    last = max(i for i, vertex in enumerate(flat.outline) if abs(vertex.y - low) < _NEAR)
    rest = segments(flat.outline)[last:]
    if flat.name.startswith("divider"):
        rest = tuple(item for item in rest if min(item.y1, item.y2) < top - _NEAR)
    return sum(
        item.radius * abs(item.sweep) if isinstance(item, Arc) else math.hypot(item.x2 - item.x1, item.y2 - item.y1)
        for item in rest
    )


def _wanted(trough: Trough, ends: Ends) -> Iterator[_Wanted]:
    section = trough.section
    extremes = (0.0, trough.length)
    for one, other, inward, other_inward in sides_of(trough.outline):
        if abs(one.x - other.x) < _NEAR * 100.0:
            is_end = any(abs(one.x - u) < 1e-7 for u in extremes)
            yield _across(trough, ends, one, other, (inward, other_inward), is_end=is_end)
        else:
            yield _along(trough, ends, one, other, (inward, other_inward))
    if ends.divider is None:
        return
    if ends.divider_along:
        room = section.thickness + FOOT_SHORT
        run, low, high = trough.run, trough.depth(0.0), trough.depth(trough.run)
        lies = (Vertex(0.0, 0.0), Vertex(run, 0.0), Vertex(run, high), Vertex(0.0, low))
        foot = (room, run - room, 0.5 * math.pi) if ends.foot else None
        c, s = math.cos(trough.lean), math.sin(trough.lean)
        start = (-section.depth * s * c, ends.divider - 0.5 * section.thickness, section.depth * c * c)
        yield _Wanted("divider", Frame(start, (c, 0.0, s), (s, 0.0, -c)), lies, is_mirrored=False, foot=foot)
        return
    yield _divider(section, ends.divider, ends.foot)


def _divider(section: Section, at: float, foot_leg: float) -> _Wanted:
    """A plate across the room, its foot on the face: it is laid upside down."""
    outline = _closed(over_room(section, 0.0), section.thickness if section.low.kind == "in" else 0.0)
    room, tilt = section.thickness + FOOT_SHORT, math.pi - section.tilt
    edge = sorted(vertex.x for vertex in turned(outline, tilt) if vertex.y < 1e-9)
    foot = (edge[0] + room, edge[-1] - room, 0.5 * math.pi) if foot_leg else None
    frame = Frame((at - 0.5 * section.thickness, 0.0, 0.0), _ACROSS, _OUT)
    return _Wanted("divider", frame, outline, is_mirrored=False, foot=foot, turn=tilt)


def divider_flat(
    section: Section, at: float, foot_leg: float, flange_radius: float, metal: str, neutral: Neutral = TABLE
) -> tuple[Flat, Stand]:
    """Return a plate across the room behind a section, its foot on the face.

    Parameters
    ----------
    section : Section
        Across the room.
    at : float
        Where its middle stands along the room, [m]
    foot_leg, flange_radius : float
        Plate to the foot's edge, inside of its bend, [m]
    metal : str
        As `rolled_shroud`, [text]
    neutral : Neutral
        The shop's own neutral lines.

    Returns
    -------
    flat, stand : Flat, Stand
        Lower left at the origin; the stand's flat is numbered 0.
    """
    t = section.thickness
    return _laid(
        _divider(section, at, foot_leg), Ends(foot=foot_leg), t, flange_radius, neutral.at(flange_radius, t, metal)
    )


def necks_let_in(trough: Trough, ends: Ends) -> tuple[bool, ...]:
    """Return whether each neck of the ends is let out of a plate.

    Parameters
    ----------
    trough : Trough
        The blank.
    ends : Ends
        With its necks, [m]

    Returns
    -------
    tuple of bool
        In the order of the necks.
    """
    return tuple(any(wanted.cuts for wanted in _wanted(trough, ends._replace(necks=(neck,)))) for neck in ends.necks)


def _closed(over: Outline, bottom: float) -> Outline:
    """Close the line over the room at a height over the core's plane, counter-clockwise."""
    low = min(bottom, *(vertex.y for vertex in over)) - 1.0
    ends = (Vertex(over[0].x, low), Vertex(over[-1].x, low))
    back = tuple(Vertex(over[i].x, over[i].y, -over[i - 1].bulge if i else 0.0) for i in range(len(over) - 1, -1, -1))
    return clipped((*ends, *back), 0.0, bottom, 0.0)


def _across(
    trough: Trough, ends: Ends, one: Vertex, other: Vertex, inward: tuple[bool, bool], *, is_end: bool
) -> _Wanted:
    """A plate across the rolls, its outer side away from the room."""
    section, t = trough.section, trough.section.thickness
    is_high = other.y > one.y
    low, high = sorted((one.y, other.y))
    turn, up = 0.5 * math.pi, _OUT
    level = 0.0 if is_end and ends.kind == "between" else t
    if trough.rise:
        along = trough.run if is_high else 0.0
        leaning = section_of(
            width=section.width, depth=trough.depth(along), roll_radius=section.roll_radius, thickness=t,
            flange_radius=section.flange_radius, flange_leg=1.0, k_roll=0.5, k_flange=0.5, flanges=("none", "none"),
        )  # fmt: skip
        over = over_room(leaning, level)
        turn += -trough.lean if is_high else trough.lean
        up = (-math.sin(trough.lean), 0.0, math.cos(trough.lean))
    else:
        over = over_room(section, level)
    bottom = -section.lip if not ends.foot else 0.0
    outline = _closed(over, bottom)
    is_first, is_last = low < 1e-7, high > section.width - 1e-7
    if not is_first:
        outline = clipped(outline, low, 0.0, -0.5 * math.pi)
    if not is_last:
        outline = clipped(outline, high, 0.0, 0.5 * math.pi)
    cuts = tuple(_cuts(outline, ends.necks, one.x, is_high, t, bottom))
    start, end = (
        low + _short(ends, t, is_first, _at(inward, is_high, first=True)),
        high - _short(ends, t, is_last, _at(inward, is_high, first=False)),
    )
    name = ends.names[int(is_high)] if is_end else "notch side"
    foot = (start, end, turn) if ends.foot and end > start else None
    return _Wanted(name, Frame((one.x, 0.0, 0.0), _ACROSS, up), outline, not is_high, cuts, foot)


def _at(inward: tuple[bool, bool], is_high: bool, *, first: bool) -> bool:
    """Whether the low (first) or the high end of an edge is a re-entrant corner."""
    return inward[0] if first == is_high else inward[1]


def _short(ends: Ends, t: float, is_wall: bool, is_inward: bool) -> float:
    """How far a foot stops short of its plate's end: at a wall's flange, a corner, or another foot."""
    if is_wall:
        return t + FOOT_SHORT
    return t + FOOT_SHORT + (ends.foot if is_inward else 2.0 * t)


def _cuts(outline: Outline, necks: Sequence[Neck], u: float, is_high: bool, t: float, bottom: float) -> Iterator[Cut]:
    """Round each neck that stands in a plate and ends under its top."""
    for neck in necks:
        near, far = (u, u + t) if is_high else (u - t, u)
        apart, reach = max(near - neck.u, neck.u - far, 0.0), neck.radius + NECK_CLEARANCE
        if apart >= reach:
            continue
        half, top = math.sqrt(reach**2 - apart**2), neck.height + NECK_CLEARANCE - bottom
        corners = ((neck.v - half - 3.0 * t, 1e-6), (neck.v + half + 3.0 * t, 1e-6))
        over = ((neck.v - half, top + 2.0 * t), (neck.v + half, top + 2.0 * t))
        if all(contains(outline, x, bottom + y) for x, y in (*corners, *over)):
            yield Cut(neck.v - half, neck.v + half, top)


def _along(trough: Trough, ends: Ends, one: Vertex, other: Vertex, inward: tuple[bool, bool]) -> _Wanted:
    """A plate along the rolls, within the flat face."""
    section, t = trough.section, trough.section.thickness
    is_low = other.x > one.x
    height = section.depth + one.y * math.tan(section.tilt) + t / math.cos(section.tilt)
    start, end = sorted((one.x, other.x))
    # Where two plates meet from outside a corner, this one gives way.
    start += t if _at(inward, is_low, first=True) else 0.0
    end -= t if _at(inward, is_low, first=False) else 0.0
    outline = (Vertex(start, 0.0), Vertex(end, 0.0), Vertex(end, height), Vertex(start, height))
    short = [_short(ends, t, False, _at(inward, is_low, first=first)) for first in (True, False)]
    foot = (start + short[0], end - short[1], 0.5 * math.pi) if ends.foot and end - start > sum(short) else None
    frame = Frame((0.0, one.y, 0.0), (1.0, 0.0, 0.0), _OUT)
    return _Wanted("notch side", frame, outline, not is_low, (), foot)
