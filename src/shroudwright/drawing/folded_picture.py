"""Folded parts as lines, seen from the upper left, what lies behind left out.

folded_picture    flats, each folded, in a row
line_picture      any meshes where they stand
"""

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import Vertex, inside
from shroudwright.drawing.mesh import Mesh, folded_mesh
from shroudwright.drawing.shapes import Path, Pen, Picture, Shape, Text, extents
from shroudwright.metal.flat import Flat
from shroudwright.metal.fold import Folded, folded

Numbers = NDArray[np.float64]
_CHORD = 2e-4
_VIEW = (-0.56, 0.46, 0.69)
_SHARP = 0.86
"""Cosine of the least angle between two triangles whose common edge is drawn."""
_SAMPLES = 320.0
_AT_ONCE = 400
_CLEAR = 3e-4
"""How far in front something must lie to cover, so that a facet does not cover its own edge, over the whole size."""
_LETTERS_ACROSS = 60.0
_DASHES = 64
_SLIVER = 2e-7
"""Height under which a triangle is one, [m]"""
_PASSES = 3
_EDGE: Pen = "thin"
_SOFT: Pen = "dim"


def folded_picture(flats: Sequence[Flat]) -> Picture:
    """Draw flats as they are once folded.

    Parameters
    ----------
    flats : sequence of Flat
        One or more, set in a row, each with its name below.

    Returns
    -------
    Picture
        In metres, at one scale.

    Raises
    ------
    InputError
        As `metal.fold.folded`.
    """
    shaped = [folded(flat) for flat in flats]
    drawn = [_lines([folded_mesh(shape, _CHORD)], _tangents(shape)) for shape in shaped]
    boxes = [extents(shapes) for shapes in drawn]
    letter = sum(box.x2 - box.x1 for box in boxes) / _LETTERS_ACROSS
    low, right = min(box.y1 for box in boxes), 0.0
    shapes: list[Shape] = []
    for flat, paths, box in zip(flats, drawn, boxes, strict=True):
        shapes += [_shifted(path, right - box.x1) for path in paths]
        shapes.append(Text(right + 0.5 * (box.x2 - box.x1), low - 2.5 * letter, flat.name, letter, "middle"))
        right += box.x2 - box.x1 + 4.0 * letter
    names = ", ".join(flat.name for flat in flats)
    bends = sum(len(flat.bends) for flat in flats)
    return Picture(f"Folded: {names}", f"{names}, folded along {bends} bends, from the upper left.", tuple(shapes))


def line_picture(title: str, meshes: Sequence[Mesh]) -> Picture:
    """Draw meshes where they stand.

    Parameters
    ----------
    title : str
        What it shows.
    meshes : sequence of Mesh
        Closed, [m]

    Returns
    -------
    Picture
        In metres.
    """
    return Picture(title, f"{title}, from the upper left.", tuple(_lines(meshes)))


def _shifted(path: Path, right: float) -> Path:
    return Path(tuple(v._replace(x=v.x + right) for v in path.corners), path.pen, path.is_closed)


def _tangents(shape: Folded) -> Numbers:
    """Short lines along both edges of every bend, on both faces, where there is metal."""
    flat, found = shape.flat, []
    for joint in shape.joints:
        for loop in (joint.near, joint.far):
            ends = np.array([loop[-1][:2], loop[0][:2]])
            x, y = (ends[0] + np.linspace(0.0, 1.0, _DASHES + 1)[:, None] * (ends[1] - ends[0])).T
            middles = 0.5 * (x[1:] + x[:-1]), 0.5 * (y[1:] + y[:-1])
            is_metal = ~np.any([inside(item.outline, *middles) for item in flat.openings], axis=0)
            of = np.full_like(x, middles[0][0]), np.full_like(y, middles[1][0])
            for through in (0.0, flat.thickness):
                spots = shape.at(x, y, through, of=of)
                found.append(np.stack((spots[:-1], spots[1:]), axis=1)[is_metal & np.ones(_DASHES, dtype=bool)])
    return np.concatenate(found) if found else np.empty((0, 2, 3))


def _lines(meshes: Sequence[Mesh], tangents: Numbers | None = None) -> list[Path]:
    """Edges that show: sharp ones, those where the shape turns away, and thinner the tangents of bends."""
    toward = np.array(_VIEW) / np.linalg.norm(_VIEW)
    right = np.cross((0.0, 1.0, 0.0), toward)
    right /= np.linalg.norm(right)
    axes = np.stack((right, np.cross(toward, right), toward), axis=1)
    seen = [Mesh(mesh.corners @ axes, mesh.faces) for mesh in meshes]
    size = float(max(np.ptp(mesh.corners, axis=0).max() for mesh in seen))
    triangles = np.concatenate([mesh.corners[mesh.faces] for mesh in seen])
    in_front = triangles[_doubled(triangles) > 1e-9 * size * size]
    found: list[tuple[tuple[float, float], tuple[float, float]]] = []
    for mesh in seen:
        found += _visible(_edges(mesh), in_front, size)
    soft = _visible(tangents @ axes, in_front, size) if tangents is not None and len(tangents) else []
    return [
        Path(tuple(Vertex(x, y) for x, y in chain), pen, is_closed=False)
        for stretches, pen in ((soft, _SOFT), (found, _EDGE))
        for chain in _chains(stretches)
    ]


def _edges(mesh: Mesh) -> Numbers:
    """Edges to draw, ends along the second axis."""
    corners = mesh.corners[mesh.faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    doubled = np.linalg.norm(normals, axis=1)
    normals /= np.maximum(doubled, 1e-30)[:, None]
    longest = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
    is_sliver = doubled < _SLIVER * longest.max(axis=1)
    sides: defaultdict[tuple[int, int], list[int]] = defaultdict(list)
    for number, (a, b, c) in enumerate(mesh.faces.tolist()):
        for i, j in ((a, b), (b, c), (c, a)):
            sides[min(i, j), max(i, j)].append(number)
    # A sliver faces any way at all: it takes after its neighbour on its longest side.
    for _ in range(_PASSES):
        for number in np.flatnonzero(is_sliver).tolist():
            at = int(longest[number].argmax())
            i, j = mesh.faces[number][at], mesh.faces[number][(at + 1) % 3]
            (neighbour,) = (face for face in sides[min(i, j), max(i, j)] if face != number)
            normals[number] = normals[neighbour]
    drawn = []
    for ends, (one, other) in sides.items():
        turns_away = (normals[one, 2] > 1e-6) != (normals[other, 2] > 1e-6)
        if turns_away or normals[one] @ normals[other] < _SHARP:
            drawn.append(ends)
    return np.asarray(mesh.corners[np.array(drawn)])


def _visible(edges: Numbers, in_front: Numbers, size: float) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Stretches of edges that no triangle covers."""
    counts = np.maximum(np.ceil(np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1) / size * _SAMPLES), 1).astype(int)
    owner = np.repeat(np.arange(len(edges)), counts)
    step = np.concatenate([(np.arange(count) + 0.5) / count for count in counts])
    spots = edges[owner, 0] + step[:, None] * (edges[owner, 1] - edges[owner, 0])
    shows = ~np.concatenate(
        [_covered(spots[start : start + _AT_ONCE], in_front, _CLEAR * size) for start in range(0, len(spots), _AT_ONCE)]
    )
    kept = []
    first = np.concatenate(([0], np.cumsum(counts)[:-1]))
    for edge, start, count in zip(edges, first, counts, strict=True):
        run = None
        for at in range(count + 1):
            is_on = at < count and shows[start + at]
            if is_on and run is None:
                run = at
            if not is_on and run is not None:
                a, b = (edge[0, :2] + share / count * (edge[1, :2] - edge[0, :2]) for share in (run, at))
                kept.append(((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))))
                run = None
    return kept


def _doubled(triangles: Numbers) -> Numbers:
    """Twice the area of triangles as seen; positive where they face the eye."""
    one, other = triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])


def _covered(spots: Numbers, triangles: Numbers, clear: float) -> NDArray[np.bool_]:
    """Whether a triangle lies between each spot and the eye."""
    low, high = spots[:, :2].min(axis=0), spots[:, :2].max(axis=0)
    near = (triangles[:, :, :2].max(axis=1) >= low).all(axis=1) & (triangles[:, :, :2].min(axis=1) <= high).all(axis=1)
    a, b, c = (triangles[near][:, k] for k in range(3))
    whole = _doubled(triangles[near])
    x, y, z = (spots[:, k, None] for k in range(3))
    u = ((b[:, 0] - x) * (c[:, 1] - y) - (b[:, 1] - y) * (c[:, 0] - x)) / whole
    v = ((c[:, 0] - x) * (a[:, 1] - y) - (c[:, 1] - y) * (a[:, 0] - x)) / whole
    w = 1.0 - u - v
    depth = u * a[:, 2] + v * b[:, 2] + w * c[:, 2]
    return np.asarray(((u > 0.0) & (v > 0.0) & (w > 0.0) & (depth > z + clear)).any(axis=1))


def _chains(
    stretches: Sequence[tuple[tuple[float, float], tuple[float, float]]],
) -> list[list[tuple[float, float]]]:
    """Stretches joined end to end, so that a curve is one path."""

    def key(point: tuple[float, float]) -> tuple[int, int]:
        return round(point[0] * 1e7), round(point[1] * 1e7)

    at: defaultdict[tuple[int, int], list[int]] = defaultdict(list)
    for number, ends in enumerate(stretches):
        for point in ends:
            at[key(point)].append(number)
    used: set[int] = set()
    chains = []
    for number, (start, end) in enumerate(stretches):
        if number in used:
            continue
        used.add(number)
        chain = [start, end]
        for _ in range(2):
            while True:
                follow = [other for other in at[key(chain[-1])] if other not in used]
                if len(at[key(chain[-1])]) != 2 or not follow:
                    break
                used.add(follow[0])
                one, other = stretches[follow[0]]
                chain.append(other if key(one) == key(chain[-1]) else one)
            chain.reverse()
        chains.append(chain)
    return chains
