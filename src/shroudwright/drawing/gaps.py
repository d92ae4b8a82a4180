"""Smallest gaps in space between the folded shroud, fans, core, tanks, necks and what stands behind.

Body       a bar along the air with rounded corners
Gap        two things, how far apart, and where
gaps       every pair that could meet
apart      two bodies
mesh_gap   folded metal and a body
"""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.drawing.mesh import Mesh
from shroudwright.shroud.bodies import FanBody, Plate, Solid, plate_at
from shroudwright.shroud.edges import rim_gap

Numbers = NDArray[np.float64]
_ROLES: dict[str, Literal["tank", "neck", "engine"]] = {"tank": "tank", "neck": "neck", "engine": "engine"}
_ONE_PIECE = {"core", "tank", "neck"}
_NOT_HELD: tuple[set[str], ...] = (
    {"core", "motor"},
    {"core", "frame"},
    {"tank", "motor"},
    {"tank", "frame"},
    {"engine", "frame"},
)
"""Roles whose gap another part of the fan decides: ahead its blades, behind its motor."""
_CLOSE = 1e-6
_ROUNDS = 60


class Body(NamedTuple):
    """An upright box with rounded corners, halves of its sides, from near to far along z, [m]."""

    thing: str
    """it is, or is part of"""
    role: Literal["core", "tank", "neck", "engine", "motor", "blades", "frame"]
    """blades also stand for a motor ahead of them"""
    x: float
    y: float
    width: float
    height: float
    corner: float
    near: float
    far: float


class Gap(NamedTuple):
    """Two things and how far apart they are, [m]; negative is how deep one is in the other."""

    between: tuple[str, str]
    gap: float
    where: tuple[float, float, float] | None
    """on the metal; not told for two bodies"""


def bodies(
    fans: Sequence[FanBody], plate: Plate, around: Sequence[Solid], core: tuple[float, float, float]
) -> list[Body]:
    """Everything but the shroud as bars.

    Parameters
    ----------
    fans : sequence of FanBody
        A depth nobody measured leaves its body out, [m]
    plate : Plate
        [m]
    around : sequence of Solid
        Hoses' ways and keep-outs are room, not bodies, and left out, [m]
    core : tuple of float
        Width, height and depth of the fins, [m]

    Returns
    -------
    list of Body
        [m]
    """
    width, height, depth = core
    found = [Body("core", "core", 0.5 * width, 0.5 * height, 0.5 * width, 0.5 * height, 0.0, -depth, 0.0)]
    for fan in fans:
        found += _fan(fan, plate)
    found += [
        Body(item.name, _ROLES[item.kind], item.x, item.y, item.width, item.height, item.corner, item.near, item.far)
        for item in around
        if item.kind in _ROLES
    ]
    return found


def _fan(fan: FanBody, plate: Plate) -> Iterator[Body]:
    def face(half: float, which: int) -> float:
        return float(plate_at(plate, np.array([fan.y - half]), np.array([fan.y + half]))[which][0]) + plate.thickness

    if fan.overall_depth is not None:
        half = 0.5 * fan.motor
        least, greatest = face(half, 0), face(half, 1)
        near, far = (least - fan.overall_depth, greatest) if fan.motor_inside else (least, greatest + fan.overall_depth)
        yield Body(fan.code, "blades" if fan.motor_inside else "motor", fan.x, fan.y, half, half, half, near, far)
    if fan.depth_ahead is not None:
        half = 0.5 * fan.opening
        near = face(half, 0) - fan.depth_ahead
        yield Body(fan.code, "blades", fan.x, fan.y, half, half, half, near, face(half, 1))
    if fan.frame is not None:
        half = 0.5 * fan.frame
        yield Body(fan.code, "frame", fan.x, fan.y, half, half, fan.corner, face(half, 0), face(half, 1))


def gaps(shroud: Sequence[Mesh], others: Sequence[Body]) -> list[Gap]:
    """Smallest gap of every pair that could meet, the tightest first.

    Parameters
    ----------
    shroud : sequence of Mesh
        Its folded parts where they stand, [m]
    others : sequence of Body
        [m]

    Returns
    -------
    list of Gap
        A fan's frame sits on the shroud and its blades turn in its opening: neither is held against it. Core,
        tanks and necks are one piece. What nobody measured is left out: a fan of no known depth ahead is not
        held against the core.

    Notes
    -----
    Limits: a frame counts at its face alone, for nobody measures how deep it is.
    Accuracy: bodies exact; metal to 1 µm of its triangles, which lie within their chord of the arcs.

    References
    ----------
    Geometry.
    """
    least: dict[tuple[str, str], Gap] = {}

    def keep(one: str, other: str, gap: float, where: tuple[float, float, float] | None = None) -> None:
        pair = one, other
        if pair not in least or gap < least[pair].gap:
            least[pair] = Gap(pair, gap, where)

    for body in others:
        if body.role not in ("blades", "frame"):
            for mesh in shroud:
                keep("shroud", body.thing, *mesh_gap(mesh, body))
    for one, other in combinations(others, 2):
        roles = {one.role, other.role}
        if one.thing != other.thing and not roles <= _ONE_PIECE and roles not in _NOT_HELD:
            keep(one.thing, other.thing, apart(one, other))
    return sorted(least.values(), key=lambda item: item.gap)


def apart(one: Body, other: Body) -> float:
    """Distance of two bodies; where they overlap, minus the shortest way out across or along the air.

    Parameters
    ----------
    one, other : Body
        [m]

    Returns
    -------
    gap : float
        [m]
    """
    dx, dy = np.array([one.x - other.x]), np.array([one.y - other.y])
    plan = float(rim_gap(dx, dy, one.width + other.width, one.height + other.height, one.corner + other.corner)[0])
    along = max(other.near - one.far, one.near - other.far)
    return math.hypot(max(plan, 0.0), max(along, 0.0)) + min(max(plan, along), 0.0)


def mesh_gap(mesh: Mesh, body: Body) -> tuple[float, tuple[float, float, float]]:
    """Distance of triangles and a body, and where on the triangles.

    The distance from a convex body is convex, so its slope at a triangle's middle bounds it from below all over the
    triangle: triangles that cannot hold the least are dropped, the rest are parted.

    Parameters
    ----------
    mesh : Mesh
        [m]
    body : Body
        [m]

    Returns
    -------
    gap, where : float, tuple of float
        Negative where the metal reaches into the body, to 1 µm, [m]
    """
    triangles = mesh.corners[mesh.faces]
    corners = mesh.corners[np.unique(mesh.faces)]
    away, _ = _signed(corners, body)
    best, where = float(away.min()), corners[int(away.argmin())]
    for _ in range(_ROUNDS):
        middles = triangles.mean(axis=1)
        away, slope = _signed(middles, body)
        if float(away.min()) < best:
            best, where = float(away.min()), middles[int(away.argmin())]
        reach = np.einsum("nk,njk->nj", slope, triangles - middles[:, None]).min(axis=1)
        triangles = triangles[away + reach < best - _CLOSE]
        if not len(triangles):
            break
        triangles = _halved(triangles)
    x, y, z = (float(value) for value in where)
    return best, (x, y, z)


def _halved(triangles: Numbers) -> Numbers:
    """Part triangles at the middle of their longest side."""
    sides = np.linalg.norm(triangles - np.roll(triangles, -1, axis=1), axis=2)
    order = (np.argmax(sides, axis=1)[:, None] + np.arange(3)) % 3
    a, b, c = np.take_along_axis(triangles, order[:, :, None], axis=1).transpose(1, 0, 2)
    middle = 0.5 * (a + b)
    return np.concatenate((np.stack((a, middle, c), axis=1), np.stack((middle, b, c), axis=1)))


def _signed(points: Numbers, body: Body) -> tuple[Numbers, Numbers]:
    """Distance of points from a body, negative inside, and its slope."""
    rel = points[:, :2] - (body.x, body.y)
    sign = np.where(rel < 0.0, -1.0, 1.0)
    over = np.abs(rel) - (body.width - body.corner, body.height - body.corner)
    out = np.maximum(over, 0.0)
    far = np.hypot(out[:, 0], out[:, 1])
    flat = np.zeros_like(rel)
    flat[np.arange(len(rel)), np.argmax(over, axis=1)] = 1.0
    with np.errstate(invalid="ignore", divide="ignore"):
        lean = np.where(far[:, None] > 0.0, out / far[:, None], flat) * sign
    plan = far + np.minimum(over.max(axis=1), 0.0) - body.corner
    before, behind = body.near - points[:, 2], points[:, 2] - body.far
    along, tilt = np.maximum(before, behind), np.where(before > behind, -1.0, 1.0)
    both = (plan > 0.0) & (along > 0.0)
    away = np.where(both, np.hypot(np.maximum(plan, 0.0), np.maximum(along, 0.0)), np.maximum(plan, along))
    is_plan = plan > along
    across = np.where(both, plan / np.where(both, away, 1.0), is_plan)
    onward = np.where(both, np.maximum(along, 0.0) / np.where(both, away, 1.0), ~is_plan) * tilt
    return away, np.column_stack((lean * across[:, None], onward))
