"""Folded parts against a geometry kernel's own solids, on designs made at random.

    python -m benchmarks.solids    all of them, into docs/studies/solids.json

The kernel bends each part for itself from the flat's edges, bend lines and radii. Compared are its volume, the middle
of the folded sheet times the thickness; the flat's area, summed again from the solid's own faces, plane ones as they
are and round ones at the neutral radius; and, where bends run alike, the flat's length summed again from a cut across
them: straights, and each arc's angle times its neutral radius.
A part counts as off where volumes or areas differ by more than `WITHIN` or lengths by more than `LENGTH`.
"""

import json
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks.folded_parts import KINDS, METAL, SEED, parts_of
from shroudwright.bench.arcs import box
from shroudwright.drawing.step import solid_of
from shroudwright.metal.bend import k_factor
from shroudwright.metal.cutting import Line, chords
from shroudwright.metal.flat import Flat, metal_area, quarter_turned
from shroudwright.metal.fold import Folded, folded

Numbers = NDArray[np.float64]
EACH = 200
WITHIN, LENGTH = 1e-9, 1e-6 * 0.0254
RESULT = Path("docs/studies/solids.json")
_NEAR = 1e-8
_BESIDE = 2e-6
_STEPS = 41


def judged(kind: str, seed: int, flat: Flat) -> dict[str, Any]:
    """Fold one part both ways."""
    if flat.bends and all(abs(bend.x2 - bend.x1) < abs(bend.y2 - bend.y1) for bend in flat.bends):
        flat = quarter_turned(flat)
    shape = folded(flat)
    solid = solid_of(shape)
    volume = abs(solid.volume * 1e-9 / shape.volume - 1.0)
    surface = abs(_resummed_area(solid, shape) / metal_area(flat) - 1.0)
    length = _length_off(solid, flat)
    is_sound = solid.is_valid and len(solid.solids()) == 1
    agrees = is_sound and max(volume, surface) <= WITHIN and (length is None or length <= LENGTH)
    return {
        "kind": kind,
        "seed": seed,
        "agrees": agrees,
        "volume": volume,
        "area": surface,
        "length": length,
        "sound": is_sound,
    }


def _neutral(radius: float, t: float) -> float:
    return radius + k_factor(radius + 1e-12, t, METAL) * t


def _resummed_area(solid: Any, shape: Folded) -> float:
    """The flat's area from the solid's faces on both sides of the sheet: half of what they sum to."""
    import build123d as b

    bends, t, total = shape.flat.bends, shape.flat.thickness, 0.0
    normals, levels = _sides(shape)
    for face in solid.faces():
        area = face.area * 1e-6
        if face.geom_type == b.GeomType.PLANE:
            normal, spot = np.array(tuple(face.normal_at())), np.array(tuple(face.edges()[0].position_at(0.5))) * 1e-3
            fits = (np.abs(normals @ normal) > 1.0 - 1e-9) & (np.abs(levels - normals @ spot) < _NEAR)
            total += area if np.any(fits) and not _is_edge(solid, face, 1e3 * t) else 0.0
        elif face.geom_type == b.GeomType.CYLINDER:
            radius, axis = face.radius * 1e-3, np.array(tuple(face.axis_of_rotation.direction))
            if np.any(np.abs(normals @ axis) > 1.0 - 1e-9) and _is_narrow(face, 1e3 * t):
                continue
            bent = [one.radius for one in bends if min(abs(radius - one.radius), abs(radius - one.radius - t)) < 1e-9]
            total += area * _neutral(bent[0], t) / radius if bent else 0.0
    return 0.5 * total


def _is_narrow(face: Any, t: float) -> bool:
    """Whether a face is no wider than the sheet is thick, [mm]."""
    return bool(2.0 * face.area < t * sum(edge.length for edge in face.edges()))


def _is_edge(solid: Any, face: Any, t: float) -> bool:
    """Whether a plane face is the sheet's edge: no wider than the sheet, and not just a thickness deep behind."""
    if not _is_narrow(face, t):
        return False
    middle, inward = face.center(), face.normal_at() * -t
    return not (solid.is_inside(middle + inward * 0.98) and not solid.is_inside(middle + inward * 1.02))


def _sides(shape: Folded) -> tuple[Numbers, Numbers]:
    """The planes the plane stretches of the sheet lie in, as normals and distances: beside each bend, both sides."""
    around, t = box(shape.flat.outline), shape.flat.thickness
    spots = [(0.5 * (around.x1 + around.x2), 0.5 * (around.y1 + around.y2))] if not shape.joints else []
    for joint in shape.joints:
        line, middle = joint.line, 0.5 * (joint.start + joint.end)
        for past in (-0.5 * joint.bend.allowance - _BESIDE, 0.5 * joint.bend.allowance + _BESIDE):
            spots.append((line.x + middle * line.dx - past * line.dy, line.y + middle * line.dy + past * line.dx))
    normals, levels = [], []
    for x, y in spots:
        of = np.array([x]), np.array([y])
        origin, right, up, over = (
            shape.at([x + dx], [y + dy], [dz], of=of)[0] for dx, dy, dz in ((0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, t))
        )
        normal = np.cross(right - origin, up - origin)
        normals += [normal, normal]
        levels += [normal @ origin, normal @ over]
    return np.array(normals), np.array(levels)


def _length_off(solid: Any, flat: Flat) -> float | None:
    """How far the flat's length across its level bends is from that summed up again; None without a clear cut."""
    import build123d as b

    around, t = box(flat.outline), flat.thickness
    level = [bend for bend in flat.bends if abs(bend.y2 - bend.y1) <= 1e-9]
    best: tuple[int, float] | None = None
    # From the middle outward: near an end, walls folded up stand in the cut.
    for step in sorted(range(1, _STEPS), key=lambda step: abs(2 * step - _STEPS)):
        x = around.x1 + step / _STEPS * (around.x2 - around.x1) + 1e-7
        crossed = sum(min(bend.x1, bend.x2) < x < max(bend.x1, bend.x2) for bend in level)
        slanted = any(
            min(bend.x1, bend.x2) - bend.allowance < x < max(bend.x1, bend.x2) + bend.allowance
            for bend in flat.bends
            if bend not in level
        )
        clear = all(abs(x - hole.x) > 0.5 * hole.diameter for hole in flat.holes)
        clear &= all(not item.box.x1 < x < item.box.x2 for item in flat.openings)
        if clear and not slanted and (best is None or crossed > best[0]):
            best = crossed, x
    if best is None:
        return None
    x = best[1]
    metal = sum(chord.end - chord.start for chord in chords(flat.outline, Line(x, 0.0, 0.0, 1.0)))
    cut = b.Plane(origin=(x * 1e3, 0.0, 0.0), x_dir=(0.0, 1.0, 0.0), z_dir=(1.0, 0.0, 0.0))
    faces = b.section(obj=solid, section_by=cut).faces()
    straight, arcs = 0.0, {}
    for edge in (edge for face in faces for edge in face.edges()):
        if edge.geom_type == b.GeomType.LINE:
            straight += edge.length * 1e-3
            continue
        middle, radius = edge.arc_center, edge.radius * 1e-3
        key = round(middle.Y, 4), round(middle.Z, 4)
        if key not in arcs or radius < arcs[key][0]:
            arcs[key] = radius, edge.length * 1e-3 / radius
    # Both faces' straights and the sheet's two edges stand in the sum.
    total = 0.5 * (straight - 2.0 * t * len(faces))
    return abs(total + sum(angle * _neutral(radius, t) for radius, angle in arcs.values()) - metal)


def summed_up(kind: str) -> dict[str, Any]:
    """Judge every part of a kind."""
    cases = [judged(kind, seed, flat) for seed, flat in parts_of(kind, EACH)]
    off = [f"{kind} {case['seed']}" for case in cases if not case["agrees"]]
    worst = {
        key: float(f"{max((case[key] for case in cases if case[key] is not None), default=0.0):.2g}")
        for key in ("volume", "area", "length")
    }
    lengths = sum(case["length"] is not None for case in cases)
    return {"parts": len(cases), "lengths": lengths, "not agreed": off, "worst": worst}


def main() -> None:
    """Judge every part and write what came of it."""
    with ProcessPoolExecutor(2) as pool:
        kinds = dict(zip(KINDS, pool.map(summed_up, KINDS), strict=True))
    off = [name for kind in kinds.values() for name in kind["not agreed"]]
    count = sum(kind["parts"] for kind in kinds.values())
    result = {
        "date": date.today().isoformat(),
        "seed": SEED,
        "within": {"volume": WITHIN, "area": WITHIN, "length": LENGTH},
        "parts": count,
        "agrees": count - len(off),
        "kinds": kinds,
    }
    RESULT.parent.mkdir(parents=True, exist_ok=True)
    RESULT.write_text(json.dumps(result, indent=2) + "\n", encoding="utf-8")
    print(f"{count} parts, {result['agrees']} agree; wrote {RESULT}")


if __name__ == "__main__":
    main()
