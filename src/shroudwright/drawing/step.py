"""Folded parts as STEP files: exact planes and cylinders, made by an optional geometry kernel.

solid_of    one part as the kernel's own solid
step        parts as one STEP file
"""

import math
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from shroudwright.bench.arcs import Arc, Circle, Outline, Vertex, segments
from shroudwright.bench.errors import InputError
from shroudwright.metal.assembly import Placed
from shroudwright.metal.fold import Folded, Joint, folded

MISSING = "STEP needs more packages, about 1 GB: pip install 'shroudwright[step]'; GLB and STL come without"
_MM = 1e3
_SQUARE = 1e-6


def kernel() -> Any:
    """Return the geometry kernel.

    Raises
    ------
    InputError
        Where it is not installed, saying what to install.
    """
    try:
        import build123d
    except ImportError:
        raise InputError([MISSING]) from None
    return build123d


def solid_of(shape: Folded) -> Any:
    """One folded part as the kernel's solid, in millimetres, its flat's axes.

    Parameters
    ----------
    shape : Folded
        The part.

    Returns
    -------
    solid
        Planes where the flat is plane, cylinders where it is bent.

    Raises
    ------
    InputError
        Where the kernel is not installed, or a bend is cut slantwise or has an opening in it.

    Notes
    -----
    Limits: bends end square, and openings and holes lie on plane metal. Accuracy: the kernel's own, 1e-7 mm.

    References
    ----------
    Geometry.
    """
    b = kernel()
    flat = shape.flat
    sheet = _face(b, flat.outline)
    for item in flat.openings:
        sheet -= _face(b, item.outline if not isinstance(item.shape, Circle) else item.shape)
    for hole in flat.holes:
        sheet -= _face(b, Circle(hole.x, hole.y, 0.5 * hole.diameter))
    faults, bodies = [], []
    for joint in shape.joints:
        strip = sheet & _face(b, _strip(joint))
        half, long = 0.5 * joint.bend.allowance, joint.end - joint.start
        if abs(joint.area - 2.0 * half * long) > _SQUARE * joint.area:
            faults.append(f"bend {joint.bend.number} of {flat.name}: cut slantwise or opened; STEP cannot follow it")
            continue
        sheet -= strip
        bodies.append(_bent(b, shape, joint))
    if faults:
        raise InputError(faults)
    thick = flat.thickness * _MM
    for region in sheet.faces():
        # Any edge of a region belongs to it; its strips' edges do too.
        spot = region.outer_wire().edges()[0].center()
        block = b.extrude(region, amount=thick, dir=(0, 0, 1))
        bodies.append(_frame(b, shape, spot.X / _MM, spot.Y / _MM) * block)
    return bodies[0].fuse(*bodies[1:]) if len(bodies) > 1 else bodies[0]


def _strip(joint: Joint) -> Outline:
    """The flat strip of a joint as a rectangle."""
    line, half = joint.line, 0.5 * joint.bend.allowance
    corners = ((joint.start, -half), (joint.end, -half), (joint.end, half), (joint.start, half))
    return tuple(Vertex(line.x + a * line.dx - p * line.dy, line.y + a * line.dy + p * line.dx) for a, p in corners)


def _face(b: Any, outline: Outline | Circle) -> Any:
    """A plane face at z = 0 inside an outline; a whole circle stays one."""
    if isinstance(outline, Circle):
        return b.Face(b.Wire(b.Edge.make_circle(outline.radius * _MM, b.Plane((outline.x * _MM, outline.y * _MM, 0)))))
    edges = []
    for piece in segments(outline):
        start, end = (piece.x1 * _MM, piece.y1 * _MM), (piece.x2 * _MM, piece.y2 * _MM)
        if isinstance(piece, Arc):
            angle = piece.start + 0.5 * piece.sweep
            middle = (piece.x + piece.radius * math.cos(angle)) * _MM, (piece.y + piece.radius * math.sin(angle)) * _MM
            edges.append(b.Edge.make_three_point_arc(start, middle, end))
        else:
            edges.append(b.Edge.make_line(start, end))
    return b.Face(b.Wire(edges))


def _frame(b: Any, shape: Folded, x: float, y: float) -> Any:
    """Where the plane region round a point ends up."""
    of = np.array([x]), np.array([y])
    origin, right, up = (shape.at([dx], [dy], [0.0], of=of)[0] for dx, dy in ((0, 0), (1, 0), (0, 1)))
    normal = np.cross(right - origin, up - origin)
    return b.Location(b.Plane(origin=tuple(origin * _MM), x_dir=tuple(right - origin), z_dir=tuple(normal)))


def _bent(b: Any, shape: Folded, joint: Joint) -> Any:
    """A bend: the end of its near side turned about the bend's axis, then carried where its own root has gone."""
    line, bend, t = joint.line, joint.bend, shape.flat.thickness
    half = 0.5 * bend.allowance
    corners = [
        (line.x + a * line.dx + half * line.dy, line.y + a * line.dy - half * line.dx, z)
        for a, z in ((joint.start, 0.0), (joint.end, 0.0), (joint.end, t), (joint.start, t))
    ]
    end = b.Face(b.Wire.make_polygon([tuple(_MM * v for v in corner) for corner in corners], close=True))
    height = t + bend.radius if bend.direction == "up" else -bend.radius
    foot = tuple(_MM * v for v in (*corners[0][:2], height))
    way = 1.0 if bend.direction == "up" else -1.0
    axis = b.Axis(foot, (way * line.dx, way * line.dy, 0.0))
    turned = b.revolve(end, axis=axis, revolution_arc=math.degrees(bend.angle))
    # The strip's own edge still belongs to the metal before it, even where one bend follows another at once.
    inside = 0.5 * (joint.end - joint.start)
    return _frame(b, shape, corners[0][0] + inside * line.dx, corners[0][1] + inside * line.dy) * turned


def step(parts: Sequence[Placed]) -> bytes:
    """Parts as one STEP file, each by its name, where they stand.

    Parameters
    ----------
    parts : sequence of Placed
        From `metal.assembly.placed`.

    Returns
    -------
    bytes
        The file, in millimetres.

    Raises
    ------
    InputError
        As `solid_of`.
    """
    b = kernel()
    solids = []
    for part in parts:
        plane = b.Plane(origin=tuple(_MM * v for v in part.origin), x_dir=part.axes[0], z_dir=part.axes[2])
        solid = b.Location(plane) * solid_of(folded(part.flat))
        solid.label = part.name
        solids.append(solid)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "parts.step"
        b.export_step(b.Compound(label="shroud", children=solids), str(path))
        return path.read_bytes()
