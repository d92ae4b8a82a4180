"""Solids as triangles, closed and facing outward, for pictures, STL, GLB and the viewer.

Mesh          corners and triangles
folded_mesh   a flat, folded
bar           an upright bar of any outline between two heights
stl           meshes as one STL file, in millimetres
glb           named, coloured meshes as one GLB file, in metres
scene_of      the same as the mesh library's own scene
"""

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

import mapbox_earcut
import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import Arc, Circle, Outline, area, circle_outline, moved, rectangle, segments
from shroudwright.drawing.cells import Cell, parted
from shroudwright.metal.flat import Flat
from shroudwright.metal.fold import Folded, folded

Numbers = NDArray[np.float64]
Faces = NDArray[np.int64]
CHORD = 0.002 * 0.0254
"""How far a straight may lie off the arc it stands for, [m]"""
_INSIDE = 1e-7
"""How far inside a bend's strip its edges are cut, clear of edges of the flat that run along them, [m]"""


class Mesh(NamedTuple):
    """Corners, [m], and triangles counter-clockwise from outside."""

    corners: Numbers
    faces: Faces

    def moved(self, origin: Sequence[float], axes: Sequence[Sequence[float]]) -> "Mesh":
        """Return it with its origin and its x, y and z put elsewhere, [m]; the axes right-handed."""
        return Mesh(self.corners @ np.asarray(axes, dtype=float) + np.asarray(origin, dtype=float), self.faces)


class Piece(NamedTuple):
    """A mesh, what it is, and what it is for, which colours it."""

    name: str
    role: str
    mesh: Mesh


COLOURS: dict[str, tuple[int, int, int, int]] = {
    "shroud": (166, 176, 184, 255),
    "fan": (34, 72, 120, 255),
    "core": (214, 158, 62, 255),
    "tank": (120, 92, 58, 255),
    "neck": (92, 150, 150, 255),
    "behind": (206, 110, 128, 110),
}
"""Red, green, blue and how solid, by role; they differ in lightness too, so that no eye needs the hue."""


def polygon(outline: Outline, chord: float = CHORD) -> Numbers:
    """Corners of straights that follow an outline.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, [m]
    chord : float
        Most a straight may lie off its arc, [m]

    Returns
    -------
    corners : ndarray
        Shape (corners, 2), on the outline, [m]
    """
    points: list[tuple[float, float]] = []
    for piece in segments(outline):
        count = _parts(abs(piece.sweep), piece.radius, chord) if isinstance(piece, Arc) else 1
        points.append((piece.x1, piece.y1))
        if isinstance(piece, Arc):
            angles = [piece.start + piece.sweep * step / count for step in range(1, count)]
            points += [(piece.x + piece.radius * math.cos(a), piece.y + piece.radius * math.sin(a)) for a in angles]
    return np.array(points)


def _parts(sweep: float, radius: float, chord: float) -> int:
    """Into how many straights an arc is parted."""
    step = 2.0 * math.acos(max(1.0 - chord / radius, 0.0)) if radius > chord else math.tau / 3.0
    return max(math.ceil(sweep / step - 1e-9), 1)


def folded_mesh(shape: Flat | Folded, chord: float = CHORD) -> Mesh:
    """Triangles of a flat once folded.

    Parameters
    ----------
    shape : Flat or Folded
        The part.
    chord : float
        Most a straight may lie off its arc, [m]

    Returns
    -------
    Mesh
        Closed; the region that stays keeps its x and y, its inner face at z = 0.

    Raises
    ------
    InputError
        As `metal.fold.folded`.
    """
    shape = shape if isinstance(shape, Folded) else folded(shape)
    flat = shape.flat
    holes = [circle_outline(Circle(hole.x, hole.y, 0.5 * hole.diameter)) for hole in flat.holes]
    cells = [_cell([flat.outline, *(item.outline for item in flat.openings), *holes], chord)]
    for joint in shape.joints:
        bend = joint.bend
        count = _parts(bend.angle, bend.radius + flat.thickness, chord)
        half, share = 0.5 * bend.allowance, bend.allowance / count
        for step in range(count):
            cells = parted(cells, joint.line, step * share - half + _INSIDE, (step + 0.5) * share - half)
        cells = parted(cells, joint.line, half - _INSIDE, half - 0.5 * _INSIDE)
    points, faces = _filled(cells)
    owner = np.zeros(len(points), dtype=np.int64)
    owner[faces] = np.arange(len(faces))[:, None]
    of_x, of_y = points[faces].mean(axis=1)[owner].T
    inner, outer = (shape.at(points[:, 0], points[:, 1], through, of=(of_x, of_y)) for through in (0.0, flat.thickness))
    return Mesh(np.concatenate((inner, outer)), _closed(faces, len(points)))


def _closed(faces: Faces, count: int) -> Faces:
    """Both sides of a sheet and the walls round its edges; the upper side's corners follow the lower's."""
    edges = np.concatenate((faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]))
    both = {(a, b) for a, b in edges.tolist()}
    rim = np.array([(a, b) for a, b in edges.tolist() if (b, a) not in both], dtype=np.int64)
    a, b = rim[:, 0], rim[:, 1]
    walls = np.concatenate((np.stack((a, b, b + count), axis=1), np.stack((a, b + count, a + count), axis=1)))
    return np.concatenate((faces[:, ::-1], faces + count, walls))


def _cell(outlines: Sequence[Outline], chord: float) -> Cell:
    """Return the polygon within the first outline and without the others."""
    loops = [polygon(outline, chord) for outline in outlines]
    turned = [loop if (area(outline) > 0.0) == (n == 0) else loop[::-1] for n, (outline, loop) in
              enumerate(zip(outlines, loops, strict=True))]  # fmt: skip
    return [[(x, y) for x, y in loop.tolist()] for loop in turned]


def _filled(cells: Sequence[Cell]) -> tuple[Numbers, Faces]:
    """Counter-clockwise triangles that fill cells; what lies at one place is one corner."""
    corners = []
    for cell in cells:
        points = np.array([point for loop in cell for point in loop])
        ends = np.cumsum([len(loop) for loop in cell])
        corners.append(points[mapbox_earcut.triangulate_float64(points, ends.astype(np.uint32))])
    points, faces = np.unique(np.concatenate(corners), axis=0, return_inverse=True)
    faces = faces.reshape(-1, 3)
    a, b, c = (points[faces[:, k]] for k in range(3))
    turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    faces[turn < 0.0] = faces[turn < 0.0][:, ::-1]
    return points, faces


def bar(outline: Outline, near: float, far: float, openings: Sequence[Outline] = (), chord: float = CHORD) -> Mesh:
    """Triangles of an upright bar.

    Parameters
    ----------
    outline : tuple of Vertex
        Counter-clockwise, [m]
    near, far : float
        Its ends along z, [m]
    openings : sequence of outline
        Right through it, [m]
    chord : float
        Most a straight may lie off its arc, [m]

    Returns
    -------
    Mesh
        Closed, [m]
    """
    points, faces = _filled([_cell([outline, *openings], chord)])
    ends = (np.column_stack((points, np.full(len(points), z))) for z in (near, far))
    return Mesh(np.concatenate(tuple(ends)), _closed(faces, len(points)))


def volume(mesh: Mesh) -> float:
    """Return what a closed mesh encloses, [m**3]."""
    a, b, c = (mesh.corners[mesh.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def stl(meshes: Sequence[Mesh]) -> bytes:
    """Return meshes as one binary STL file, in millimetres, as most programs read it.

    Parameters
    ----------
    meshes : sequence of Mesh
        Closed, [m]

    Returns
    -------
    bytes
        The file.
    """
    corners = np.concatenate([mesh.corners[mesh.faces] for mesh in meshes]) * 1e3
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    long = np.linalg.norm(normals, axis=1, keepdims=True)
    rows = np.zeros(len(corners), dtype=[("numbers", "<f4", (12,)), ("spare", "<u2")])
    rows["numbers"][:, :3] = normals / np.where(long > 0.0, long, 1.0)
    rows["numbers"][:, 3:] = corners.reshape(-1, 9)
    return b"folded metal, millimetres".ljust(80) + np.uint32(len(rows)).tobytes() + rows.tobytes()


def scene_of(pieces: Sequence[Piece]) -> Any:
    """Return pieces as the mesh library's scene: y up on the screen, the air coming out at you, in metres."""
    import trimesh

    scene = trimesh.Scene()
    for piece in pieces:
        rgba = COLOURS[piece.role]
        look = trimesh.visual.material.PBRMaterial(
            name=piece.role,
            baseColorFactor=rgba,
            metallicFactor=0.1,
            roughnessFactor=0.7,
            alphaMode="OPAQUE" if rgba[3] == 255 else "BLEND",
            doubleSided=True,
        )
        corners, faces = piece.mesh
        # Flat facets: shared corners would be shaded as if every edge were round.
        mesh = trimesh.Trimesh(corners[faces].reshape(-1, 3), np.arange(3 * len(faces)).reshape(-1, 3), process=False)
        mesh.visual = trimesh.visual.TextureVisuals(material=look)
        scene.add_geometry(mesh, node_name=piece.name, geom_name=piece.name)
    return scene


def glb(pieces: Sequence[Piece]) -> bytes:
    """Return named, coloured pieces as one GLB file.

    Parameters
    ----------
    pieces : sequence of Piece
        Each name once, [m]

    Returns
    -------
    bytes
        The file, the same for the same pieces.
    """
    data = scene_of(pieces).export(file_type="glb")
    assert isinstance(data, bytes)
    return data


def outline_of(width: float, height: float, corner: float) -> Outline:
    """Return a rectangle about the origin; a circle where its corners leave no straights, [m]."""
    if corner >= 0.5 * max(width, height) * (1.0 - 1e-9):
        return circle_outline(Circle(0.0, 0.0, 0.5 * max(width, height)))
    return moved(rectangle(width, height, corner), -0.5 * width, -0.5 * height)
