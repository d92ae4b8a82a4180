"""Folded parts as STEP files: exact planes and cylinders, made by an optional geometry kernel.

solid_of    one part as the kernel's own solid
step        parts as one STEP file
"""

import math
import re
import tempfile
from collections.abc import Sequence
from itertools import count
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from shroudwright.bench.arcs import Arc, Circle, Outline, Vertex, box, segments
from shroudwright.bench.errors import InputError
from shroudwright.drawing.faults import ExportFault
from shroudwright.metal.assembly import Placed
from shroudwright.metal.cutting import chords
from shroudwright.metal.flat import BendLine
from shroudwright.metal.fold import Folded, Joint, folded

MISSING = "STEP needs more packages, about 1 GB: pip install 'shroudwright[step]'; GLB and STL come without"
_MM = 1e3
_SAME = 1e-6
_CLEAR = 1e-6
"""How much a strip is looked for beyond its box, and how far inside its far tangent that is taken, [m]"""
_FINE = 1e-9
_USE = re.compile(rb"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\(')\d+")
_ALWAYS = "1970-01-01T00:00:00"
"""Written in place of the hour, so that a file changes only with its parts."""


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
        Planes where the flat is plane, cylinders where it is bent; an edge across a bend winds about its axis.

    Raises
    ------
    InputError
        Where the kernel is not installed, or a bend's cut edges defeat it.

    Notes
    -----
    Limits: none. Accuracy: the kernel's own, 1e-7 mm.

    References
    ----------
    Geometry.
    """
    b = kernel()
    flat = shape.flat
    cuts = [item.shape for item in flat.openings]
    cuts += [Circle(hole.x, hole.y, 0.5 * hole.diameter) for hole in flat.holes]
    sheet = b.Face(_wire(b, flat.outline), [_wire(b, cut) for cut in cuts])
    faults, bodies = [], []
    for joint in shape.joints:
        cut = (sheet & b.Face(_wire(b, _strip(joint)))).faces()
        if abs(sum(piece.area for piece in cut) - joint.area * _MM**2) > _SAME * joint.area * _MM**2:
            faults.append(f"bend {joint.bend.number} of {flat.name}: STEP cannot follow how it is cut")
            continue
        sheet -= cut
        bodies += [_bent(b, shape, joint, piece) for piece in cut]
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
    """The least rectangle along its line that holds a joint's strip."""
    line, half = joint.line, 0.5 * joint.bend.allowance
    (chord,) = (
        found
        for found in chords(joint.near, line.shifted(half - _CLEAR).turned())
        if found.start < -0.5 * (joint.start + joint.end) < found.end
    )
    around = box(tuple(Vertex(line.along(v.x, v.y), line.past(v.x, v.y), v.bulge) for v in chord.beyond))
    # The edges of the strip may run on to its tangents at a slant.
    start, end = around.x1 - _CLEAR, around.x2 + _CLEAR
    corners = ((start, -half), (end, -half), (end, half), (start, half))
    return tuple(Vertex(line.x + a * line.dx - p * line.dy, line.y + a * line.dy + p * line.dx) for a, p in corners)


def _wire(b: Any, outline: Outline | Circle) -> Any:
    """An outline at z = 0; a whole circle stays one edge."""
    if isinstance(outline, Circle):
        return b.Wire(b.Edge.make_circle(outline.radius * _MM, b.Plane((outline.x * _MM, outline.y * _MM, 0))))
    edges = []
    for piece in segments(outline):
        start, end = (piece.x1 * _MM, piece.y1 * _MM), (piece.x2 * _MM, piece.y2 * _MM)
        if isinstance(piece, Arc):
            angle = piece.start + 0.5 * piece.sweep
            middle = (piece.x + piece.radius * math.cos(angle)) * _MM, (piece.y + piece.radius * math.sin(angle)) * _MM
            edges.append(b.Edge.make_three_point_arc(start, middle, end))
        else:
            edges.append(b.Edge.make_line(start, end))
    return b.Wire(edges)


def _frame(b: Any, shape: Folded, x: float, y: float) -> Any:
    """Where the plane region round a point ends up."""
    of = np.array([x]), np.array([y])
    origin, right, up = (shape.at([dx], [dy], [0.0], of=of)[0] for dx, dy in ((0, 0), (1, 0), (0, 1)))
    normal = np.cross(right - origin, up - origin)
    return b.Location(b.Plane(origin=tuple(origin * _MM), x_dir=tuple(right - origin), z_dir=tuple(normal)))


def _bent(b: Any, shape: Folded, joint: Joint, strip: Any) -> Any:
    """A bend, made where its flat strip lies, then carried where its own root has gone."""
    line, bend, t = joint.line, joint.bend, shape.flat.thickness
    half, way = 0.5 * bend.allowance, 1.0 if bend.direction == "up" else -1.0
    x, y = line.x + half * line.dy, line.y - half * line.dx
    foot = tuple(_MM * v for v in (x, y, t + bend.radius if way > 0.0 else -bend.radius))
    axis = b.Axis(foot, (way * line.dx, way * line.dy, 0.0))
    wires = [
        [_unrolled(edge, joint, way) for edge in wire.order_edges()]
        for wire in (strip.outer_wire(), *strip.inner_wires())
    ]
    turned = _turned(b, axis, bend, t, wires[0]) if _is_square(wires) else _rolled_up(b, axis, bend, t, wires)
    # The strip's own edge still belongs to the metal before it, even where one bend follows another at once.
    root = 0.5 * (joint.start + joint.end)
    return _frame(b, shape, x + root * line.dx, y + root * line.dy) * turned


class _Edge(NamedTuple):
    """An edge of a strip as turn and place along the bend's axis, [rad] and [mm]; an arc with its own middle."""

    start: tuple[float, float]
    end: tuple[float, float]
    middle: tuple[float, float]
    centre: tuple[float, float] | None
    radius: float
    """along the axis, [mm]"""
    turn: float
    """across it, [rad]"""


def _unrolled(edge: Any, joint: Joint, way: float) -> _Edge:
    line, bend = joint.line, joint.bend
    rate = bend.angle / bend.allowance

    def at(spot: Any) -> tuple[float, float]:
        x, y = spot.X / _MM, spot.Y / _MM
        return (line.past(x, y) + 0.5 * bend.allowance) * rate, way * line.along(x, y) * _MM

    start, middle, end = (at(edge.position_at(share)) for share in (0.0, 0.5, 1.0))
    if edge.geom_type.name == "LINE":
        return _Edge(start, end, middle, None, 0.0, 0.0)
    return _Edge(start, end, middle, at(edge.arc_center), edge.radius, edge.radius / _MM * rate)


def _is_square(wires: Sequence[Sequence[_Edge]]) -> bool:
    """Whether a strip is a rectangle without openings."""
    edges = wires[0]
    level = [min(abs(edge.end[0] - edge.start[0]), abs(edge.end[1] - edge.start[1])) for edge in edges]
    return len(wires) == 1 and len(edges) == 4 and max(level) < _SAME and all(edge.centre is None for edge in edges)


def _turned(b: Any, axis: Any, bend: BendLine, thickness: float, edges: Sequence[_Edge]) -> Any:
    """A solid turned about an axis: its end is the sheet's thickness by the strip's length."""
    down = -1.0 if bend.direction == "up" else 1.0
    low, high = (pick(edge.start[1] for edge in edges) for pick in (min, max))
    radii = bend.radius * _MM, (bend.radius + thickness) * _MM
    spots = ((low, radii[0]), (high, radii[0]), (high, radii[1]), (low, radii[1]))
    corners = [axis.position + axis.direction * along + b.Vector(0.0, 0.0, down * away) for along, away in spots]
    return b.revolve(b.Face(b.Wire.make_polygon(corners)), axis=axis, revolution_arc=math.degrees(bend.angle))


def _rolled_up(b: Any, axis: Any, bend: BendLine, thickness: float, wires: Sequence[Sequence[_Edge]]) -> Any:
    """A solid about an axis from the edges of its flat strip: they lie on both cylinders and are joined radially."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.BRepFill import BRepFill
    from OCP.BRepLib import BRepLib
    from OCP.Geom import Geom_CylindricalSurface
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt

    frame = gp_Ax3(
        gp_Pnt(*axis.position), gp_Dir(*axis.direction), gp_Dir(0.0, 0.0, -1.0 if bend.direction == "up" else 1.0)
    )
    faces, rims = [], []
    for radius in (bend.radius * _MM, (bend.radius + thickness) * _MM):
        surface = Geom_CylindricalSurface(frame, radius)
        loops, rim = [], []
        for edges in wires:
            wire = BRepBuilderAPI_MakeWire()
            for edge in edges:
                made = BRepBuilderAPI_MakeEdge(_curve(edge), surface, *_range(edge)).Edge()
                BRepLib.BuildCurve3d_s(made, _FINE)
                rim.append(made)
                wire.Add(made)
            loops.append(wire.Wire())
        whole = BRepBuilderAPI_MakeFace(surface, loops[0])
        for loop in loops[1:]:
            whole.Add(loop)
        faces.append(b.Face(whole.Face()))
        rims.append(rim)
    faces += [b.Face(BRepFill.Face_s(one, two)) for one, two in zip(*rims, strict=True)]
    return b.Solid(b.Shell(faces))


def _curve(edge: _Edge) -> Any:
    """The curve an edge lies on in turn and place: a straight, or the ellipse an arc becomes."""
    from OCP.Geom2d import Geom2d_Ellipse, Geom2d_Line
    from OCP.gp import gp_Ax22d, gp_Dir2d, gp_Elips2d, gp_Pnt2d

    (x1, y1), (x2, y2) = edge.start, edge.end
    if edge.centre is None:
        return Geom2d_Line(gp_Pnt2d(x1, y1), gp_Dir2d(x2 - x1, y2 - y1))
    across, along = gp_Dir2d(1.0, 0.0), gp_Dir2d(0.0, 1.0)
    first, second = (along, across) if edge.radius >= edge.turn else (across, along)
    axes = gp_Ax22d(gp_Pnt2d(*edge.centre), first, second)
    return Geom2d_Ellipse(gp_Elips2d(axes, max(edge.radius, edge.turn), min(edge.radius, edge.turn)))


def _range(edge: _Edge) -> tuple[float, float]:
    """From where to where along its curve an edge goes."""
    if edge.centre is None:
        return 0.0, math.dist(edge.start, edge.end)

    def angle(spot: tuple[float, float]) -> float:
        assert edge.centre is not None
        across, along = (spot[0] - edge.centre[0]) / edge.turn, (spot[1] - edge.centre[1]) / edge.radius
        return math.atan2(across, along) if edge.radius >= edge.turn else math.atan2(along, across)

    start, middle, end = (angle(spot) for spot in (edge.start, edge.middle, edge.end))
    if math.dist(edge.start, edge.end) < _SAME:
        return 0.0, math.tau
    if (middle - start) % math.tau > (end - start) % math.tau:
        start, end = end, start
    return start, start + (end - start) % math.tau


def step(parts: Sequence[Placed]) -> bytes:
    """Parts as one STEP file, each by its name, where they stand.

    Parameters
    ----------
    parts : sequence of Placed
        From `metal.assembly.placed`.

    Returns
    -------
    bytes
        The file, in millimetres, the same for the same parts.

    Raises
    ------
    InputError
        As `solid_of`.
    ExportFault
        D13, where it reads back as other parts or other volumes.
    """
    b = kernel()
    solids, volumes = [], []
    for part in parts:
        plane = b.Plane(origin=tuple(_MM * v for v in part.origin), x_dir=part.axes[0], z_dir=part.axes[2])
        shape = folded(part.flat)
        solid = b.Location(plane) * solid_of(shape)
        solid.label = part.name
        solids.append(solid)
        volumes.append((part.name, shape.volume * _MM**3))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "parts.step"
        b.export_step(b.Compound(label="shroud", children=solids), str(path), timestamp=_ALWAYS)
        read = sorted(solid.volume for solid in b.import_step(str(path)).solids())
        if len(read) != len(volumes):
            raise ExportFault("D13", [f"reads back as {len(read)} parts, designed {len(volumes)}"])
        ordered = sorted(volumes, key=lambda item: item[1])
        faults = [
            f"{name} reads back as {now:.1f} mm3, designed {was:.1f}"
            for (name, was), now in zip(ordered, read, strict=True)
            if abs(now - was) > _SAME * was
        ]
        if faults:
            raise ExportFault("D13", faults)
        # The kernel counts assemblies on from file to file.
        numbers = count(1)
        return _USE.sub(lambda found: found[1] + b"%d" % next(numbers), path.read_bytes())
