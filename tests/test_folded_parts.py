"""Every family folded: volume and metal of random parts against two libraries, and the study kept of many more."""

import json
import math
from pathlib import Path

import pytest
import shapely
import trimesh

from benchmarks.folded_parts import KINDS, SEED, parts_of
from shroudwright.bench.arcs import Circle, circle_outline
from shroudwright.drawing.mesh import folded_mesh, polygon
from shroudwright.metal.clip import middle_area
from shroudwright.metal.flat import BendLine, Flat
from shroudwright.metal.fold import folded

KEPT = Path(__file__).parent.parent / "docs/studies/solids.json"
FINE = 1e-7
PAST = 1e-3


def sheet(flat: Flat) -> shapely.Polygon:
    holes = [circle_outline(Circle(hole.x, hole.y, 0.5 * hole.diameter)) for hole in flat.holes]
    cuts = [polygon(cut, FINE) for cut in (*(item.outline for item in flat.openings), *holes)]
    return shapely.Polygon(polygon(flat.outline, FINE), cuts)


def strip(bend: BendLine) -> shapely.Polygon:
    """The flat a bend takes, a little past its ends: the sheet may end there at a slant."""
    reach = math.hypot(bend.x2 - bend.x1, bend.y2 - bend.y1)
    dx, dy = (bend.x2 - bend.x1) / reach, (bend.y2 - bend.y1) / reach
    half = 0.5 * bend.allowance
    corners = ((-PAST, -half), (reach + PAST, -half), (reach + PAST, half), (-PAST, half))
    return shapely.Polygon([(bend.x1 + a * dx - p * dy, bend.y1 + a * dy + p * dx) for a, p in corners])


@pytest.mark.independent(
    "shapely cuts each bend out of the flat; the middle of the sheet times the thickness is its metal"
)
@pytest.mark.parametrize("kind", KINDS)
def test_middle_of_the_sheet(kind: str) -> None:
    for _, flat in parts_of(kind, 3):
        whole, t = sheet(flat), flat.thickness
        stretched = [
            whole.intersection(strip(bend)).area * (bend.angle * (bend.radius + 0.5 * t) / bend.allowance - 1.0)
            for bend in flat.bends
        ]
        middle = whole.area + sum(stretched)
        assert folded(flat).volume == pytest.approx(middle * t, rel=2e-6)
        assert middle_area(flat) == pytest.approx(folded(flat).middle_area, rel=1e-9)


@pytest.mark.independent(
    "the mesh library: one closed body, and its volume is the folded part's within the chord's share"
)
@pytest.mark.parametrize("kind", KINDS)
def test_closed(kind: str) -> None:
    for _, flat in parts_of(kind, 1):
        read = trimesh.Trimesh(*folded_mesh(flat), process=False)
        assert read.is_volume
        assert read.body_count == 1
        assert read.volume == pytest.approx(folded(flat).volume, rel=2e-3)


@pytest.mark.independent("a geometry kernel's solids of every family, run apart and kept in docs/studies/solids.json")
def test_study() -> None:
    kept = json.loads(KEPT.read_text(encoding="utf-8"))
    assert kept["seed"] == SEED
    assert set(kept["kinds"]) == set(KINDS)
    assert kept["agrees"] == kept["parts"] == sum(kind["parts"] for kind in kept["kinds"].values())
    for kind in kept["kinds"].values():
        assert kind["parts"] >= 200
        assert kind["not agreed"] == []
        assert kind["worst"]["volume"] <= 1e-9
        assert kind["worst"]["area"] <= 1e-9
        assert kind["worst"]["length"] <= 1e-6 * 0.0254
