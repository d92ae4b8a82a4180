"""A shroud's face with its fans on it: how fast it shakes, whether that cracks it, and what would cure it.

Face, Hung       what is judged
face_stiffness   Face -> Stiffness
Stiffness        frequency, stress, heat and findings
Cure, cures      the same face thicker, lipped, beaded, strapped or better bolted
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from shroudwright.bench.arcs import Outline, Straight, box, segments
from shroudwright.metal.flat import Finding
from shroudwright.metal.mesh import Beam, Edges, Plate, Weight
from shroudwright.metal.plate import GRAVITY, Motion, motion
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.vibration import (
    BODY,
    ELECTRONICS,
    buckling_rise,
    miles_response,
    profile_level,
    thermal_growth,
)

_INCH = 0.0254
_QUALITY = 10.0
_HOLE = 2.5
"""How much a hole, a bolt head or an edge raises the stress of bending, common practice, [-]"""
_WALL_SPRING = 3.0
"""A wall whose flange is bolted but may tip turns its edge with 3 D over its length; one bedded fast, with 4 D, [-]"""
_SLOWEST, _SLOW = 20.0, 30.0
_NEAR = 0.15
_TIRED = 0.7
_FROM_WELD = _INCH
_WIDEST_THIN = 120.0
_FARTHEST_BOLTS = 6.0 * _INCH
_SLIP = 0.010 * _INCH
_HEATED = 130.0 / 1.8
"""A shroud's and core's metal from the bench to the road, common practice, [K]"""
_CORE_EXPANSION = {"aluminium": 23.6e-6, "copper": 18.7e-6}
"""Of a core with such fins: its tubes and side plates, brass under copper; from memory, [1/K]"""
_LIP, _BEAD_HEIGHT, _BEAD_WIDTH, _STRAP, _STRAP_SHEET = 0.375 * _INCH, 0.25 * _INCH, 0.75 * _INCH, _INCH, 0.125 * _INCH
_EFFECTIVE = 15.0
"""Sheet that works with a stiffener, to each side of it, in thicknesses; common practice, [-]"""
SIZES = {
    "aluminium": tuple(size * _INCH for size in (0.05, 0.063, 0.08, 0.09, 0.1, 0.125)),
    "mild steel": tuple(size * _INCH for size in (0.0359, 0.0478, 0.0598, 0.0747)),
}
"""Sheet as sold, [m]"""

Stiffener = Literal["none", "bead", "strap", "lip"]


class Hung(NamedTuple):
    """A fan on the face: where its mounts are, and its speed if it is known, [rpm]."""

    code: str
    mass: float
    mounts: tuple[tuple[float, float], ...]
    rpm: float | None = None


class Walls(NamedTuple):
    """Sheet from each edge of the face to where it is bolted, [m]; 0 is clamped, None hinged, as on a welded cap."""

    left: float | None = None
    right: float | None = None
    bottom: float | None = None
    top: float | None = None


@dataclass(frozen=True)
class Face:
    """The flat part of a shroud between its bends, lower left at the origin, SI."""

    width: float
    height: float
    thickness: float
    metal: str
    openings: tuple[Outline, ...]
    fans: tuple[Hung, ...]
    walls: Walls
    bolt_pitch: float
    """Farthest from one flange bolt to the next"""
    welded: tuple[str, ...] = ()
    """Edges with a weld: left, right, bottom, top"""
    stiffener: Stiffener = "none"
    core: str | None = None
    """Metal of the core it is bolted to: aluminium or copper; None if it is bolted to none"""
    play: float = 0.0
    """Either way, that all bolts but one give"""
    idle_firing: float | None = None
    """[Hz]; None if not known"""


@dataclass(frozen=True)
class Cure:
    """The same face with one thing done to it."""

    what: Literal["thicker", "bolts", "lip", "bead", "strap"]
    size: float
    """Sheet, bolt pitch, or height of the lip, bead or strap, [m]"""
    frequency: float
    fatigue_share: float
    left: tuple[Finding, ...]
    """Findings of shaking (S01 to S03) it leaves; none where it cures the face"""


@dataclass(frozen=True)
class Stiffness:
    """How a face does."""

    face: Face
    motion: Motion
    fatigue_share: float
    """Stress of a rough body's shake, two thirds of the time, at a hole, over what the metal stands for good, [-]"""
    electronics_share: float
    """The same in the harder profile vehicle electronics are tried with, for comparison, [-]"""
    yield_share: float
    """Hardest jolts of it, away from holes, over yield, [-]"""
    slenderness: float
    """Shorter side over thickness, [-]"""
    buckling_rise: float
    """Of the face over what holds it, [K]"""
    growth: float
    """Along the core from cold to hot, free, [m]"""
    mismatch: float
    """How far the core's own growth differs, [m]"""
    findings: tuple[Finding, ...]
    stops: tuple[Finding, ...]
    """those of the findings after which nothing should be cut"""

    @property
    def frequency(self) -> float:
        """First frequency, [Hz]."""
        return float(self.motion.frequencies[0])


def face_stiffness(face: Face) -> Stiffness:
    """Judge a face.

    Parameters
    ----------
    face : Face
        As laid out.

    Returns
    -------
    Stiffness
        Findings S01 to S05, S07 and O15; in Hz, Pa, m or bare ratios.

    Raises
    ------
    InputError
        If the face cannot be.

    Notes
    -----
    Limits: the walls are turning springs, the caps hinges; a fan's frame adds no stiffness. An edge whose flange is
    bolted farther apart than 6 in is taken as a hinge. Q is 10, and the highest stress is raised 2.5 times as if a hole
    or a bolt head were there: a screening, not a life.
    Accuracy: the frequency some 10 % for the walls' give, the shaken stress no better than half to twice.

    References
    ----------
    Frequency limits, Q and the factor at holes: common practice. Wheel hop: `vibration.WHEEL_HOP`.
    """
    sheet = find_sheet(face.metal)
    moves = motion(_plate(face))
    per_g = moves.stress / GRAVITY
    first = float(moves.frequencies[0])
    shaken, jolted = (
        per_g * miles_response(first, _QUALITY, profile_level(profile, first)) for profile in (BODY, ELECTRONICS)
    )
    growth = thermal_growth(face.width, sheet.expansion, _HEATED)
    beside = None if face.core is None else thermal_growth(face.width, _CORE_EXPANSION[face.core], _HEATED)
    found = Stiffness(
        face=face,
        motion=moves,
        fatigue_share=_HOLE * shaken / sheet.fatigue,
        electronics_share=_HOLE * jolted / sheet.fatigue,
        yield_share=3.0 * shaken / sheet.yield_strength,
        slenderness=min(face.width, face.height) / face.thickness,
        buckling_rise=buckling_rise(face.width, face.height, face.thickness, sheet.expansion, sheet.poisson),
        growth=growth,
        mismatch=0.0 if beside is None else abs(growth - beside),
        findings=(),
        stops=(),
    )
    judged = list(_judged(found, sheet.fatigue, sheet.yield_strength))
    return replace(
        found,
        findings=tuple(finding for _, finding in judged),
        stops=tuple(finding for is_stop, finding in judged if is_stop),
    )


def _judged(found: Stiffness, fatigue: float, yields: float) -> Iterator[tuple[bool, Finding]]:
    face, first = found.face, found.frequency
    if first < _SLOW:
        yield first < _SLOWEST, Finding("S01", first, _SLOWEST if first < _SLOWEST else _SLOW, "face")
    beats = [("the idling engine", face.idle_firing)]
    beats += [(fan.code, None if fan.rpm is None else fan.rpm / 60.0) for fan in face.fans]
    for name, beat in beats:
        if beat is not None and abs(first - beat) < _NEAR * beat:
            yield False, Finding("S02", first, beat, name)
    where = _named(face, found.motion.at)
    for share, stands, place in (
        (found.fatigue_share, fatigue, where),
        (found.yield_share, yields, f"{where}, hardest jolts"),
    ):
        if share > 1.0 or (share > _TIRED and stands == fatigue):
            limit = stands if share > 1.0 else _TIRED * stands
            yield share > 1.0, Finding("S03", share * stands, limit, place)
    softened = [(gap, fan.code) for fan in face.fans for mount in fan.mounts for gap in _to_welds(face, mount)]
    if softened and min(softened)[0] < _FROM_WELD:
        yield False, Finding("S04", *(min(softened)[0], _FROM_WELD), min(softened)[1])
    crossed = face.stiffener == "lip" or stiffener_lines(face)
    if found.slenderness > _WIDEST_THIN and not crossed:
        yield False, Finding("S05", found.slenderness, _WIDEST_THIN, "face")
    if face.bolt_pitch > _FARTHEST_BOLTS * (1.0 + 1e-9):
        yield False, Finding("S07", face.bolt_pitch, _FARTHEST_BOLTS, "flanges")
    if found.mismatch > max(_SLIP, face.play):
        yield False, Finding("O15", found.mismatch, max(_SLIP, face.play), "flange bolts")


def _to_welds(face: Face, mount: tuple[float, float]) -> Iterator[float]:
    x, y = mount
    away = {"left": x, "right": face.width - x, "bottom": y, "top": face.height - y}
    return (away[edge] for edge in face.welded)


def _named(face: Face, at: tuple[float, float]) -> str:
    """Say where a place on the face is, by the nearest mount or edge."""
    x, y = at
    edges = {
        "left end": x,
        "right end": face.width - x,
        "bottom edge": y,
        "top edge": face.height - y,
    }
    near = min(edges, key=lambda name: edges[name])
    mounts = [(math.dist(at, mount), fan.code) for fan in face.fans for mount in fan.mounts]
    if mounts and min(mounts)[0] < min(edges[near], 2.0 * _INCH):
        return f"mounts of {min(mounts)[1]}"
    if edges[near] < 2.0 * _INCH:
        return f"{near} of the face"
    return "between the openings" if len(face.openings) > 1 else "beside the opening"


def _plate(face: Face) -> Plate:
    sheet = find_sheet(face.metal)
    bare = Plate(
        width=face.width,
        height=face.height,
        thickness=face.thickness,
        elasticity=sheet.elasticity,
        poisson=sheet.poisson,
        density=sheet.density,
        openings=face.openings,
        weights=tuple(
            Weight(min(max(x, 0.0), face.width), min(max(y, 0.0), face.height), fan.mass / len(fan.mounts))
            for fan in face.fans
            for x, y in fan.mounts
        ),
    )
    held = face.bolt_pitch <= _FARTHEST_BOLTS * (1.0 + 1e-9)

    def spring(wall: float | None) -> float:
        if wall is None or not held:
            return 0.0
        return _WALL_SPRING * bare.rigidity / wall if wall else math.inf

    beams = _stiffened(face, sheet.elasticity, sheet.density)
    return replace(bare, edges=Edges(*(spring(wall) for wall in face.walls)), beams=beams)


def stiffener_lines(face: Face) -> tuple[Straight, ...]:
    """Return where a face's beads or straps run, [m]."""
    width = {"bead": _BEAD_WIDTH, "strap": _STRAP}.get(face.stiffener)
    return () if width is None else cross_lines(face, width)


def _stiffened(face: Face, elasticity: float, density: float) -> tuple[Beam, ...]:
    t = face.thickness
    if face.stiffener == "lip":
        second = with_sheet(((t * _LIP, 0.5 * (t + _LIP), t * _LIP**3 / 12.0),), t, _EFFECTIVE * t)
        return tuple(Beam(segments(rim), elasticity * second, density * t * _LIP) for rim in face.openings)
    if face.stiffener == "bead":
        # Half a sine wave of height h: middle at 2 h / pi, spread (1/2 - 4/pi^2) h^2 about it.
        own = t * _BEAD_WIDTH * _BEAD_HEIGHT**2 * (0.5 - 4.0 / math.pi**2)
        part = (t * _BEAD_WIDTH, 2.0 * _BEAD_HEIGHT / math.pi, own)
        second = with_sheet((part,), t, 2.0 * _EFFECTIVE * t - _BEAD_WIDTH)
        return tuple(Beam((line,), elasticity * second, 0.0) for line in stiffener_lines(face))
    if face.stiffener == "strap":
        leg, s = _STRAP - _STRAP_SHEET, _STRAP_SHEET
        flat = (_STRAP * s, 0.5 * (t + s), _STRAP * s**3 / 12.0)
        upright = (leg * s, 0.5 * t + s + 0.5 * leg, s * leg**3 / 12.0)
        second = with_sheet((flat, upright), t, 2.0 * _EFFECTIVE * t)
        mass = density * (flat[0] + upright[0])
        return tuple(Beam((line,), elasticity * second, mass) for line in stiffener_lines(face))
    return ()


def with_sheet(parts: Sequence[tuple[float, float, float]], thickness: float, width: float) -> float:
    """Return what a stiffener adds to a sheet's second moment of area.

    Parameters
    ----------
    parts : sequence of (float, float, float)
        Area, [m**2], height of its middle over the sheet's middle, [m], and own second moment, [m**4].
    thickness : float
        Of the sheet, [m]
    width : float
        Of sheet that works with it, [m]

    Returns
    -------
    float
        About the middle both have together, less the sheet's own, [m**4]

    Notes
    -----
    With endless sheet a lip of height h adds t h^3 / 3, about the sheet itself.
    """
    areas = sum(part[0] for part in parts)
    first = sum(a * z for a, z, _ in parts)
    return sum(own + a * z**2 for a, z, own in parts) - first**2 / (areas + max(width, 0.0) * thickness)


def cross_lines(face: Face, width: float) -> tuple[Straight, ...]:
    """Return where a stiffener of this width fits across the face: between and beside the openings.

    Parameters
    ----------
    face : Face
        Its face.
    width : float
        Of bead or strap, [m]

    Returns
    -------
    tuple of Straight
        Over the face's shorter way, [m]
    """
    upright = face.width >= face.height
    taken = sorted((around.x1, around.x2) if upright else (around.y1, around.y2) for around in map(box, face.openings))
    end, across = (face.width, face.height) if upright else (face.height, face.width)
    spots, before = [], 0.0
    for index, (near, far) in enumerate([*taken, (end, end)]):
        beside = [before + width] * (index > 0) + [near - width] * (index < len(taken))
        if near - before >= 2.0 * width * (1.0 - 1e-9):
            spots += [0.5 * (before + near)] if len(beside) > 1 and near - before < 6.0 * width else beside
        before = max(before, far)
    return tuple(Straight(at, 0.0, at, across) if upright else Straight(0.0, at, across, at) for at in spots)


def cures(found: Stiffness) -> tuple[Cure, ...]:
    """Try what would cure a face that shakes too slowly, too near something or too hard.

    Parameters
    ----------
    found : Stiffness
        As judged.

    Returns
    -------
    tuple of Cure
        Empty where no finding of shaking stands. Thicker sheet is the next size that cures it, or the thickest sold.
    """
    face = found.face
    if not _shaking(found):
        return ()
    tried = []
    if face.bolt_pitch > _FARTHEST_BOLTS:
        tried.append(_cure("bolts", _FARTHEST_BOLTS, replace(face, bolt_pitch=_FARTHEST_BOLTS)))
    thicker = [size for size in SIZES[find_sheet(face.metal).family] if size > 1.02 * face.thickness]
    for size in thicker:
        one = _cure("thicker", size, replace(face, thickness=size))
        if not one.left or size == thicker[-1]:
            tried.append(one)
            break
    if face.stiffener == "none":
        if face.openings:
            tried.append(_cure("lip", _LIP, replace(face, stiffener="lip")))
        if cross_lines(face, _BEAD_WIDTH):
            tried.append(_cure("bead", _BEAD_HEIGHT, replace(face, stiffener="bead")))
        if cross_lines(face, _STRAP):
            tried.append(_cure("strap", _STRAP, replace(face, stiffener="strap")))
    return tuple(tried)


def _shaking(found: Stiffness) -> tuple[Finding, ...]:
    return tuple(finding for finding in found.findings if finding.code in ("S01", "S02", "S03"))


def _cure(what: Literal["thicker", "bolts", "lip", "bead", "strap"], size: float, face: Face) -> Cure:
    found = face_stiffness(face)
    return Cure(what, size, found.frequency, found.fatigue_share, _shaking(found))
