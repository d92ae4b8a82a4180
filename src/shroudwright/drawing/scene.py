"""The shroud as built and what stands round it, as solids in the job's axes.

solids    every part once, named and coloured by what it is for
metal     the shroud's folded parts alone
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np

from shroudwright.bench.arcs import Circle, Outline, box, circle_outline, moved, rectangle
from shroudwright.drawing.mesh import Piece, bar, folded_mesh, outline_of
from shroudwright.metal.assembly import placed
from shroudwright.metal.shroud import Shroud
from shroudwright.shroud.bodies import FanBody, Plate, Solid, plate_at

_TANK = 0.06
_BEHIND = 0.05
_FRAME_SHARE = 0.35
_RING = 0.006
"""How wide a tank, how deep what stands behind, what share of a fan's depth its frame and how thick the frame's wall
are drawn: none of them is measured, [m] and [-]"""


def metal(shroud: Shroud, plate: Plate, *, chord: float | None = None) -> list[Piece]:
    """Return the shroud's folded parts where they stand behind the core.

    Parameters
    ----------
    shroud : Shroud
        [m]
    plate : Plate
        Where it stands, [m]
    chord : float, optional
        Most a straight may lie off its arc, [m]

    Returns
    -------
    list of Piece
        x across the core, y up, z from the fins' back face along the air, [m]
    """
    inside = box(plate.outline)
    found = []
    for part in placed(shroud):
        mesh = folded_mesh(part.flat) if chord is None else folded_mesh(part.flat, chord)
        origin = (part.origin[0] + inside.x1, part.origin[1] + inside.y1, part.origin[2] + plate.flange)
        found.append(Piece(part.name, "shroud", mesh.moved(origin, part.axes)))
    return found


def solids(
    shroud: Shroud, fans: Sequence[FanBody], plate: Plate, around: Sequence[Solid], core: tuple[float, float, float]
) -> list[Piece]:
    """Return all that is known to stand behind a core, the core with it.

    Parameters
    ----------
    shroud : Shroud
        [m]
    fans : sequence of FanBody
        [m]
    plate : Plate
        [m]
    around : sequence of Solid
        Tanks, necks and what stands behind, [m]
    core : tuple of float
        Width, height and depth of the fins, [m]

    Returns
    -------
    list of Piece
        As `metal`; hoses' ways and keep-outs are no bodies and left out.
    """
    width, height, depth = core
    pieces = metal(shroud, plate)
    pieces.append(Piece("core", "core", bar(rectangle(width, height), -depth, 0.0)))
    for fan in fans:
        pieces += _fan(fan, plate)
    for solid in around:
        pieces += _around(solid, core)
    names: dict[str, int] = {}
    for at, piece in enumerate(pieces):
        names[piece.name] = names.get(piece.name, 0) + 1
        if names[piece.name] > 1:
            pieces[at] = piece._replace(name=f"{piece.name}, {names[piece.name]}")
    return pieces


def _fan(fan: FanBody, plate: Plate) -> Iterator[Piece]:
    """Frame, ring, hub and motor; of a fan nobody measured what there is."""
    at = np.array([fan.y])
    face = float(plate_at(plate, at, at)[0][0]) + plate.thickness
    deep = fan.overall_depth if fan.overall_depth is not None else 0.5 * fan.motor
    back = face + _FRAME_SHARE * deep
    mouth = circle_outline(Circle(fan.x, fan.y, 0.5 * fan.opening))
    wide = fan.frame if fan.frame is not None else fan.opening + 2.0 * _RING
    outside = moved(outline_of(wide, wide, fan.corner if fan.frame is not None else 0.5 * wide), fan.x, fan.y)
    if wide > fan.opening:
        yield Piece(f"{fan.code} frame", "fan", bar(outside, face, back, [mouth]))
    motor = circle_outline(Circle(fan.x, fan.y, 0.5 * fan.motor))
    near, far = (face - deep, face) if fan.motor_inside else (face, face + deep)
    yield Piece(f"{fan.code} motor", "fan", bar(motor, near, far))


def _around(solid: Solid, core: tuple[float, float, float]) -> Iterator[Piece]:
    role = {"tank": "tank", "neck": "neck", "engine": "behind"}.get(solid.kind)
    if role is None or not (math.isfinite(solid.width) and solid.width > 0.0):
        return
    far = solid.far if math.isfinite(solid.far) else solid.near + _BEHIND
    near = solid.near if math.isfinite(solid.near) else -core[2]
    outline = moved(outline_of(2.0 * solid.width, 2.0 * solid.height, solid.corner), solid.x, solid.y)
    if solid.kind == "tank" or solid.width > core[0]:
        outline = _clipped(outline, core[0], core[1])
    if far > near:
        yield Piece(solid.name, role, bar(outline, near, far))


def _clipped(outline: Outline, width: float, height: float) -> Outline:
    """What of an upright box lies within a tank's width of the core."""
    around = box(outline)
    x1, x2 = max(around.x1, -_TANK), min(around.x2, width + _TANK)
    y1, y2 = max(around.y1, -_TANK), min(around.y2, height + _TANK)
    return moved(rectangle(x2 - x1, y2 - y1), x1, y1)
