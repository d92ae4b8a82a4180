"""A bracket from a hole in the frame to a mount of the core: bent strap, flat, and whether it holds.

Spot           a hole and the way its surface faces
Bracket        the flat, the folded corners, and what was asked
bracket        shape and flat of a strap between two spots
section_moduli of a strap, gussets or not
root_stress    stress where a strap leaves its support
Strength       stress, allowable, sag and how much is in hand
strength       the same for a bracket under a load
least_sheet    thinnest sheet kept that holds

A strap lies on the frame with its outer face away from it. Where the two surfaces face the same way it is flat or
steps over in two bends; where they stand square to each other it is an angle. Axes: x across the core, y up, z along
the air.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import rectangle
from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.metal.bend import bend_allowance, bend_deduction, k_factor, setback
from shroudwright.metal.flat import BendLine, Flat, Hole

Way: TypeAlias = Literal["left", "right", "down", "up", "front", "back"]
Vector: TypeAlias = NDArray[np.float64]

_INCH = 0.0254
_RIGHT = 0.5 * math.pi
_WAYS: dict[str, tuple[float, float, float]] = {
    "left": (-1.0, 0.0, 0.0),
    "right": (1.0, 0.0, 0.0),
    "down": (0.0, -1.0, 0.0),
    "up": (0.0, 1.0, 0.0),
    "front": (0.0, 0.0, -1.0),
    "back": (0.0, 0.0, 1.0),
}
EDGE = 2.0
"""Hole's middle to the strap's end over the hole's diameter: EN 1993-1-8, Table 3.3, preferred, read; [-]"""
_BEND_GAP = 2.0
"""Hole's edge to a bend's tangent over thickness, common practice, no source, [-]"""
_SAME = 1e-9
_POISSON = 0.33
ALLOWED = 1.5
"""Yield over the stress allowed, common practice, no source, [-]"""


class Spot(NamedTuple):
    """A hole's middle on the surface the strap lies against, and the way that surface faces."""

    x: float
    y: float
    z: float
    faces: Way
    hole: float
    """diameter of the strap's hole there, [m]"""


@dataclass(frozen=True)
class Bracket:
    """A strap from a frame hole to a core mount."""

    flat: Flat
    corners: tuple[Vector, ...]
    """middle of the strap folded: frame hole, corners without their rounding, core hole, [m]"""
    across: Vector
    """the way its bend lines run, a unit vector"""
    width: float
    """[m]"""
    thickness: float
    """[m]"""
    radius: float
    """inside, of its bends, [m]"""
    metal: str
    gusset: float
    """height of a side gusset each side of every bend, 0 without, [m]"""


def bracket(
    name: str,
    frame: Spot,
    core: Spot,
    *,
    width: float,
    thickness: float,
    radius: float,
    metal: str,
    gusset: float = 0.0,
) -> Bracket:
    """Shape a strap between a frame hole and a core mount.

    Parameters
    ----------
    name : str
        Of the part, [text]
    frame, core : Spot
        The two ends.
    width : float
        Of the strap, [m]
    thickness : float
        [m]
    radius : float
        Inside, of the bends, [m]
    metal : str
        As `metal.sheet.find_sheet`, [text]
    gusset : float
        Height of a side gusset welded in each bend, [m]

    Returns
    -------
    Bracket
        Its flat lies with the outer face up, the frame's hole at the bottom.

    Raises
    ------
    InputError
        Where no strap with square bends joins the two, saying what to move or turn.

    Notes
    -----
    Limits: square bends; an offset along the bend lines widens the strap by as much. A spare hole stands a hole and a
    half from each end's own.
    Accuracy: hole to hole exact for the neutral line of `k_factor`.

    References
    ----------
    Geometry; edge distance EN 1993-1-8, Table 3.3, read; hole to bend common practice.
    """
    t = thickness
    fold = _fold(frame, core, t)
    k = k_factor(radius, t, metal)
    deduction, allowance = bend_deduction(_RIGHT, radius, t, k), bend_allowance(_RIGHT, radius, t, k)
    _must_fit(frame, core, fold, t, setback(_RIGHT, radius, t))
    bottom = EDGE * frame.hole
    ends = len(fold.legs) - 1
    lengths = [leg - 0.5 * deduction * ((at > 0) + (at < ends)) for at, leg in enumerate(fold.legs)]
    marks = [bottom + length for length in np.cumsum(lengths)]
    wide, left = width + abs(fold.along), 0.5 * width - min(fold.along, 0.0)
    top = float(marks[-1]) + EDGE * core.hole
    spots = [(left, bottom, frame.hole, "frame"), (left + fold.along, float(marks[-1]), core.hole, "core mount")]
    aside = 0.5 * width - EDGE * max(frame.hole, core.hole)
    if aside >= 2.0 * max(frame.hole, core.hole):
        spots += [(x + aside, y, hole, f"spare, {purpose}") for x, y, hole, purpose in spots]
    flat = Flat(
        name=name,
        outline=rectangle(wide, top, min(0.25 * width, bottom)),
        openings=(),
        holes=tuple(Hole(number, *spot) for number, spot in enumerate(spots, start=1)),
        bends=tuple(
            BendLine(number, 0.0, float(mark), wide, float(mark), _RIGHT, radius, turn, allowance, deduction)
            for number, (mark, turn) in enumerate(zip(marks[:-1], fold.turns, strict=True), start=1)
        ),
        etch_lines=(),
        etch_texts=(),
        thickness=t,
        quantity=1,
    )
    return Bracket(flat, fold.corners, fold.across, width, t, radius, metal, gusset)


class _Fold(NamedTuple):
    """A strap as folded: the legs' outside lengths, hole to corner to hole, and how each bend turns."""

    legs: tuple[float, ...]
    turns: tuple[Literal["up", "down"], ...]
    corners: tuple[Vector, ...]
    across: Vector
    along: float
    """how far the core's hole lies along the bend lines, [m]"""


def _fold(frame: Spot, core: Spot, t: float) -> _Fold:
    n1, n2 = np.array(_WAYS[frame.faces]), np.array(_WAYS[core.faces])
    start = np.array([frame.x, frame.y, frame.z])
    offset = np.array([core.x, core.y, core.z]) - start
    rise, facing = float(offset @ n1), float(n1 @ n2)
    if facing == 0.0:
        out = float(offset @ n2)
        way = n2 if out >= 0.0 else -n2
        # The outer corner lies past a plate that stands beyond the core's face, and over one that turns down.
        first = abs(out) + (t if out >= 0.0 else 0.0)
        second = abs(rise) + (t if rise < 0.0 else 0.0)
        across = np.cross(way, n1)
        along = float(offset @ across)
        corner = start + first * way + 0.5 * along * across
        turn: Literal["up", "down"] = "up" if rise > 0.0 else "down"
        return _Fold((first, second), (turn,), (start, corner, start + offset), across, along)
    flat = offset - rise * n1
    way = np.zeros(3)
    main = int(np.argmax(np.where(n1 == 0.0, np.abs(flat), -1.0)))
    way[main] = 1.0 if flat[main] >= 0.0 else -1.0
    across = np.cross(way, n1)
    along, out = float(offset @ across), float(offset @ way)
    step = rise if facing > 0.0 else rise - t
    if abs(step) < _SAME:
        return _Fold((out,), (), (start, start + offset), across, along)
    up = 0.5 * (out + t)
    legs = (up, abs(step) + t, out - up + t)
    foot = start + up * way + 0.5 * along * across
    turns: tuple[Literal["up", "down"], ...] = ("up", "down") if step > 0.0 else ("down", "up")
    return _Fold(legs, turns, (start, foot, foot + step * n1, start + offset), across, along)


def _must_fit(frame: Spot, core: Spot, fold: _Fold, t: float, back: float) -> None:
    """Hold the legs against what holes and bends need; a strap without bends needs room for two holes."""
    faults = []
    needs = [0.5 * spot.hole + _BEND_GAP * t + back for spot in (frame, core)]
    if len(fold.legs) == 1:
        least = EDGE * (frame.hole + core.hole)
        if fold.legs[0] < least:
            faults.append(f"the holes are {_both(fold.legs[0])} apart, a strap needs {_both(least)}: use another hole")
    else:
        for spot, leg, need, whose in (
            (frame, fold.legs[0], needs[0], "frame"),
            (core, fold.legs[-1], needs[1], "core mount"),
        ):
            if leg < need - _SAME:
                faults.append(
                    f"the {whose}'s hole ({spot.faces}) is {_both(leg)} from the corner and needs {_both(need)}: move "
                    f"it {_both(need - leg)} away, or use another hole"
                )
    if len(fold.legs) == 3 and fold.legs[1] < 2.0 * back - _SAME:
        step = fold.legs[1] - t
        faults.append(
            f"the surfaces are {_both(step)} out of line and a step needs {_both(2.0 * back - t)}: use a flat strap "
            f"and a spacer of {_both(step)}"
        )
    if faults:
        raise InputError(faults)


def _both(length: float) -> str:
    return f"{length / _INCH:.2f} in ({1000.0 * length:.0f} mm)"


@offer
def root_stress(load: float, load_factor: float, arm: float, width: float, thickness: float) -> float:
    """Bending stress where a flat strap leaves its support.

    sigma = 6 n W L / (b t^2)

    Parameters
    ----------
    load : float
        Weight it carries standing still, W, [N]
    load_factor : float
        n: 3 on the road, 5 rough, trailered or off-road, [-]
    arm : float
        Load to support, square to the load, L, [m]
    width : float
        b, [m]
    thickness : float
        t, [m]

    Returns
    -------
    stress : float
        [Pa]

    Notes
    -----
    Limits: no hole at the support; a load square to the strap.
    Accuracy: exact for a slender strap; the load factor is the guess in it.

    References
    ----------
    Beam bending. Factors 2 to 3: Barton and Fieldhouse, Automotive Chassis Engineering (2018), 4.3.2.1, read; 5:
    common practice.
    """
    return 6.0 * load_factor * load * arm / (width * thickness**2)


class Strength(NamedTuple):
    """What a bracket makes of its loads."""

    stress: float
    """highest, at `place`, [Pa]"""
    allowable: float
    """there, [Pa]"""
    place: str
    sag: float
    """of the core's hole under its worst load, [m]"""

    @property
    def use(self) -> float:
        """Stress over what is allowed, [-]."""
        return self.stress / self.allowable


class _Section(NamedTuple):
    place: str
    at: Vector
    normal: Vector
    outward: Vector
    width: float
    gusset: float
    is_annealed: bool


def strength(
    item: Bracket,
    loads: Sequence[tuple[float, float, float]],
    *,
    yield_strength: float,
    annealed_yield: float,
    elasticity: float,
    is_welded: bool = False,
) -> Strength:
    """Stress and sag of a bracket under each of its loads in turn.

    sigma = M / Z about both axes of the strap, tau = 3 T / (b t^2); sqrt(sigma^2 + 3 tau^2)

    Parameters
    ----------
    item : Bracket
        The bracket, fast at the frame's hole.
    loads : sequence of (x, y, z)
        Forces at the core's hole, one at a time, load factor included, [N]
    yield_strength, annealed_yield : float
        Of the sheet, and within 1 in of a weld, [Pa]
    elasticity : float
        E, [Pa]
    is_welded : bool
        Whether it is welded at the frame instead of bolted.

    Returns
    -------
    Strength
        Of the worst load.

    Notes
    -----
    Limits: small deflections; a strap, not a plate; allowable is yield over 1.5.
    Accuracy: beam theory, some 10 %; the loads are the guess.

    References
    ----------
    Beam bending; torsion of a thin strip; weld zone 1 in: US Aluminum Association practice, read.
    """
    worst: tuple[float, Strength] | None = None
    for load in loads:
        force = np.array(load)
        sag = _sag(item, force, elasticity)
        for section in _sections(item, is_welded):
            allowed = (annealed_yield if section.is_annealed else yield_strength) / ALLOWED
            found = Strength(_stress(item, section, force), allowed, section.place, sag)
            if worst is None or found.use > worst[0]:
                worst = found.use, found
    assert worst is not None, "a bracket without a load"
    most = max(_sag(item, np.array(load), elasticity) for load in loads)
    return worst[1]._replace(sag=most)


def _legs(item: Bracket) -> list[tuple[Vector, Vector]]:
    return list(pairwise(item.corners))


def _frame_of(item: Bracket, leg: tuple[Vector, Vector]) -> tuple[Vector, Vector]:
    """The way a leg runs, square to the bend lines, and its plate's normal."""
    along = leg[1] - leg[0]
    along = along - (along @ item.across) * item.across
    along = along / np.linalg.norm(along)
    return along, np.cross(item.across, along)


def _sections(item: Bracket, is_welded: bool) -> list[_Section]:
    legs = _legs(item)
    out, normal = _frame_of(item, legs[0])
    root = item.width - item.flat.holes[0].diameter
    sections = [_Section("frame hole", legs[0][0], normal, out, root, 0.0, is_welded)]
    for number, (before, after) in enumerate(pairwise(legs), start=1):
        for leg, end, far in ((before, before[1], before[0]), (after, after[0], after[1])):
            out, normal = _frame_of(item, leg)
            sections.append(_Section(f"bend {number}", end, normal, out, item.width, item.gusset, item.gusset > 0.0))
            reach = float(np.linalg.norm(far - end))
            if 0.0 < item.gusset < reach:
                at = end + item.gusset / reach * (far - end)
                sections.append(_Section(f"gusset's end at bend {number}", at, normal, out, item.width, 0.0, True))
    return sections


def section_moduli(width: float, t: float, gusset: float) -> tuple[float, float]:
    """Return section moduli of a strip, or of one with a gusset on each edge: through the sheet, in its plane.

    Parameters
    ----------
    width, t, gusset : float
        Of the strip, of the sheet, and how high the gussets stand, [m]
    """
    if not gusset:
        return width * t**2 / 6.0, t * width**2 / 6.0
    strip, wall = width * t, t * gusset
    middle = (strip * 0.5 * t + 2.0 * wall * (t + 0.5 * gusset)) / (strip + 2.0 * wall)
    inertia = width * t**3 / 12.0 + strip * (middle - 0.5 * t) ** 2
    inertia += 2.0 * (t * gusset**3 / 12.0 + wall * (t + 0.5 * gusset - middle) ** 2)
    sideways = t * width**3 / 12.0 + 2.0 * wall * (0.5 * (width - t)) ** 2
    return inertia / max(t + gusset - middle, middle), sideways / (0.5 * width)


def _stress(item: Bracket, section: _Section, force: Vector) -> float:
    moment = np.cross(item.corners[-1] - section.at, force)
    through, sideways = section_moduli(section.width, item.thickness, section.gusset)
    bending = abs(moment @ item.across) / through + abs(moment @ section.normal) / sideways
    shear = 3.0 * abs(moment @ section.outward) / (section.width * item.thickness**2)
    direct = abs(force @ section.outward) / (section.width * item.thickness)
    return float(math.hypot(bending + direct, math.sqrt(3.0) * shear))


def _sag(item: Bracket, force: Vector, elasticity: float) -> float:
    """How far the load's point gives under it: twice the strain energy over the force, gussets left aside."""
    pull = float(np.linalg.norm(force))
    if not pull:
        return 0.0
    tip, b, t = item.corners[-1], item.width, item.thickness
    shear_modulus = elasticity / (2.0 * (1.0 + _POISSON))
    energy = 0.0
    for leg in _legs(item):
        out, normal = _frame_of(item, leg)
        reach = float(np.linalg.norm(leg[1] - leg[0]))
        for weight, share in ((1.0, 0.0), (4.0, 0.5), (1.0, 1.0)):
            moment = np.cross(tip - (leg[0] + share * (leg[1] - leg[0])), force)
            bent = float(moment @ item.across) ** 2 / (elasticity * b * t**3 / 12.0)
            bent += float(moment @ normal) ** 2 / (elasticity * t * b**3 / 12.0)
            energy += weight / 6.0 * reach * (bent + float(moment @ out) ** 2 / (shear_modulus * b * t**3 / 3.0))
    return energy / pull


def least_sheet(sizes: Sequence[float], use_of: Callable[[float], float]) -> float | None:
    """Return the thinnest of the sheets that holds, [m]; none where even the thickest does not.

    Parameters
    ----------
    sizes : sequence of float
        Thicknesses to be had, [m]
    use_of : callable
        Stress over what is allowed at a thickness, [-]
    """
    return next((size for size in sorted(sizes) if use_of(size) <= 1.0), None)
