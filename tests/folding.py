"""A flat folded by rotation matrices, point by point: the tests' own, apart from the package's sums."""

import math

import numpy as np

from shroudwright.metal.flat import BendLine, Flat


def _beyond(
    bend: BendLine, face: tuple[float, float], t: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Middle of the bend's line, way out of the face, axis of the turn and the turn itself."""
    start = np.array([bend.x1, bend.y1, 0.0])
    along = np.array([bend.x2 - bend.x1, bend.y2 - bend.y1, 0.0])
    along /= np.linalg.norm(along)
    out = np.array([along[1], -along[0], 0.0])
    if out @ (np.array([*face, 0.0]) - start) > 0.0:
        out = -out
    up = 1.0 if bend.direction == "up" else -1.0
    axis = np.cross(out, np.array([0.0, 0.0, up]))
    c, s = math.cos(bend.angle), math.sin(bend.angle)
    cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    turn = np.eye(3) + s * cross + (1.0 - c) * cross @ cross
    middle = np.array([0.0, 0.0, t + bend.radius if up > 0.0 else -bend.radius])
    return start, out, middle, turn


def folded(flat: Flat, face: tuple[float, float], x: float, y: float, level: float = 0.0) -> np.ndarray:
    """Where a place on a flat ends up with the face left where it is, inner face at z 0, outer face up."""
    crossed = []
    for bend in flat.bends:
        start, out, middle, turn = _beyond(bend, face, flat.thickness)
        past = out @ (np.array([x, y, 0.0]) - start)
        along = np.array([bend.x2 - bend.x1, bend.y2 - bend.y1])
        share = along @ (np.array([x, y]) - start[:2]) / (along @ along)
        if past > 0.0 and -0.2 < share < 1.2:
            assert past > 0.5 * bend.allowance - 1e-12, "a place within a bend"
            crossed.append((past, bend, start, out, middle, turn))
    point = np.array([x, y, level])
    for _, bend, start, out, middle, turn in sorted(crossed, key=lambda item: item[0]):
        tangent = start - 0.5 * bend.allowance * out
        pivot = tangent + middle
        point = pivot + turn @ (point - bend.allowance * out - pivot)
    return point
