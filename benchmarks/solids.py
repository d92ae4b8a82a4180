"""Folded parts against a geometry kernel's own solids, on designs made at random.

    python -m benchmarks.solids    all of them, into docs/studies/solids.json

The kernel bends each part for itself from the flat's edges, bend lines and radii. Compared are its volume, and the
flat length summed again from the edges of its solid's end: straights, and each arc's angle times the neutral radius.
A part counts as off where volumes differ by more than `WITHIN` or lengths by more than `LENGTH`.
"""

import json
import math
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from random import Random
from typing import Any

from shroudwright.bench.arcs import box, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.drawing.step import solid_of
from shroudwright.metal.assembly import finished
from shroudwright.metal.bend import bend_allowance, k_factor
from shroudwright.metal.flat import BendLine, Flat, Hole
from shroudwright.metal.fold import folded
from shroudwright.metal.shroud import Fan, rolled_shroud

INCH, SEED, EACH = 0.0254, 20001, 120
WITHIN, LENGTH = 1e-9, 1e-6 * INCH
METAL = "aluminium 5052-H32"
RESULT = Path("docs/studies/solids.json")


def rolled(draw: Random) -> Flat | None:
    """A rolled blank with fans, square rolls or such as stop short; None where the sizes do not go together."""
    t = draw.choice((0.063, 0.080, 0.090, 0.125)) * INCH
    width, height = draw.uniform(14.0, 36.0) * INCH, draw.uniform(10.0, 24.0) * INCH
    blade = draw.uniform(0.4, 0.6) * min(height, 0.5 * width)
    fans = [Fan(f"F{n}", share * width, 0.5 * height, blade, 1.1 * blade) for n, share in ((1, 0.26), (2, 0.74))]
    try:
        made = rolled_shroud(
            core_width=width,
            core_height=height,
            depth=draw.uniform(0.8, 3.0) * INCH,
            roll_radius=draw.uniform(0.3, 2.0) * INCH,
            flange_radius=draw.uniform(1.0, 2.5) * t,
            flange_leg=draw.uniform(0.75, 1.5) * INCH,
            thickness=t,
            metal=METAL,
            fans=fans,
            opening_clearance=0.1 * INCH,
            bolt_hole=0.2 * INCH,
            bolt_pitch=5.0 * INCH,
            grommet=0.5 * INCH,
            trim=draw.choice((0.0, 0.5)) * INCH,
            partial=True,
        )
    except InputError:
        return None
    bends = made.flats[0].bends
    is_clear = all(
        abs(hole.y - b.y1) > 0.5 * (hole.diameter + b.allowance) for hole in made.flats[0].holes for b in bends
    )
    return finished(made.flats[0], made.trim) if is_clear else None


def bracket(draw: Random) -> Flat | None:
    """A strip with one bend, either way, and a hole in each leg."""
    t, radius = draw.uniform(0.05, 0.25) * INCH, draw.uniform(0.06, 0.5) * INCH
    angle, width, high = (
        math.radians(draw.uniform(15.0, 165.0)),
        draw.uniform(0.8, 4.0) * INCH,
        draw.uniform(4.0, 9.0) * INCH,
    )
    allowance = bend_allowance(angle, radius, t, k_factor(radius, t, METAL))
    at = draw.uniform(0.35, 0.65) * high
    way = draw.choice(("up", "down"))
    if at - 0.5 * allowance < 0.9 * INCH or high - at - 0.5 * allowance < 0.9 * INCH:
        return None
    holes = (
        Hole(1, 0.5 * width, 0.4 * INCH, 0.3 * INCH, "bolt"),
        Hole(2, 0.5 * width, high - 0.4 * INCH, 0.3 * INCH, "bolt"),
    )
    bend = BendLine(1, 0.0, at, width, at, angle, radius, way, allowance, 0.0)  # type: ignore[arg-type]
    return Flat("bracket", rectangle(width, high), (), holes, (bend,), (), (), t, 1)


KINDS: dict[str, Callable[[Random], Flat | None]] = {"rolled": rolled, "bracket": bracket}
"""Each makes a flat whose bends run along x, from end to end."""


def flats() -> Iterator[tuple[str, int, Flat]]:
    """Every part, with its kind and seed."""
    for kind, make in KINDS.items():
        seed, found = SEED, 0
        while found < EACH:
            flat = make(Random(f"{kind} {seed}"))
            if flat is not None:
                found += 1
                yield kind, seed, flat
            seed += 1


def judged(kind: str, seed: int, flat: Flat) -> dict[str, Any]:
    """Fold one part both ways."""
    shape = folded(flat)
    solid = solid_of(shape)
    volume = abs(solid.volume * 1e-9 / shape.volume - 1.0)
    around = box(flat.outline)
    length = abs(_resummed(solid, flat) - (around.y2 - around.y1))
    is_sound = solid.is_valid and len(solid.solids()) == 1
    agrees = is_sound and volume <= WITHIN and length <= LENGTH
    return {"kind": kind, "seed": seed, "agrees": agrees, "volume": volume, "length": length, "sound": is_sound}


def _resummed(solid: Any, flat: Flat) -> float:
    """Flat length from the edges at the solid's left end."""
    left = 1e3 * box(flat.outline).x1
    straight, bends = 0.0, {}
    for edge in solid.edges():
        if any(abs(edge.position_at(share).X - left) > 1e-6 for share in (0.0, 0.5, 1.0)):
            continue
        if edge.geom_type.name == "LINE":
            straight += edge.length * 1e-3
            continue
        middle, radius = edge.arc_center, edge.radius * 1e-3
        key = round(middle.Y, 4), round(middle.Z, 4)
        if key not in bends or radius < bends[key][0]:
            bends[key] = radius, edge.length * 1e-3 / radius
    t = flat.thickness
    # Both faces' straights and the sheet's two edges stand in the sum.
    total = 0.5 * (straight - 2.0 * t)
    return total + sum(angle * (radius + k_factor(radius + 1e-12, t, METAL) * t) for radius, angle in bends.values())


def main() -> None:
    """Judge every part and write what came of it."""
    cases = [judged(*part) for part in flats()]
    kinds = {}
    for kind in KINDS:
        mine = [case for case in cases if case["kind"] == kind]
        worst = {key: float(f"{max(case[key] for case in mine):.2g}") for key in ("volume", "length")}
        kinds[kind] = {"parts": len(mine), "agrees": sum(case["agrees"] for case in mine), "worst": worst}
    result = {
        "date": date.today().isoformat(),
        "seed": SEED,
        "within": {"volume": WITHIN, "length": LENGTH},
        "parts": len(cases),
        "agrees": sum(case["agrees"] for case in cases),
        "not agreed": [f"{case['kind']} {case['seed']}" for case in cases if not case["agrees"]],
        "kinds": kinds,
    }
    RESULT.parent.mkdir(parents=True, exist_ok=True)
    RESULT.write_text(json.dumps(result, indent=2) + "\n", encoding="utf-8")
    print(f"{len(cases)} parts, {result['agrees']} agree; wrote {RESULT}")


if __name__ == "__main__":
    main()
