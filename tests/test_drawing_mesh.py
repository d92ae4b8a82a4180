"""Folded solids as triangles: closed, of the right volume, read back by the mesh library; and their line pictures."""

import io
import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import Circle, Vertex, area, circle_outline, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.drawing.folded_picture import folded_picture, line_picture
from shroudwright.drawing.mesh import CHORD, Mesh, Piece, bar, folded_mesh, glb, outline_of, polygon, stl, volume
from shroudwright.drawing.shapes import Path, extents
from shroudwright.drawing.svg import svg
from shroudwright.metal.bend import bend_allowance
from shroudwright.metal.flat import BendLine, Finding, Flat, Hole, Opening
from shroudwright.metal.fold import folded
from shroudwright.packet.models import is_whole
from tests.packets import a_shroud
from tests.test_metal_fold import T, angle_piece, plain, tray

FLATS = pytest.mark.parametrize("flat", [angle_piece(), tray(), *a_shroud().flats], ids=lambda flat: flat.name)


def library(mesh: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(mesh.corners, mesh.faces, process=False)


@pytest.mark.independent("the mesh library's own tests of a closed solid, and its volume")
@FLATS
def test_closed(flat: Flat) -> None:
    mesh = folded_mesh(flat)
    read = library(mesh)
    assert read.is_watertight
    assert read.is_winding_consistent
    assert read.is_volume
    assert read.body_count == 1
    assert read.volume == pytest.approx(volume(mesh), rel=1e-12)
    assert volume(mesh) == pytest.approx(folded(flat).volume, rel=2e-3)
    fine = folded_mesh(flat, CHORD / 16.0)
    assert volume(fine) == pytest.approx(folded(flat).volume, rel=2e-4)
    assert abs(volume(fine) / folded(flat).volume - 1.0) < 0.2 * abs(volume(mesh) / folded(flat).volume - 1.0) + 1e-12


@pytest.mark.law("no straight lies further off its arc than asked")
@given(st.floats(0.001, 0.5), st.floats(1e-6, 1e-3))
def test_chord(radius: float, chord: float) -> None:
    corners = polygon(circle_outline(Circle(0.0, 0.0, radius)), chord)
    middles = 0.5 * (corners + np.roll(corners, -1, axis=0))
    assert radius - np.linalg.norm(middles, axis=1).min() <= chord * (1.0 + 1e-9) or len(corners) == 4


@pytest.mark.independent("the mesh library finds trays closed, whatever their notches, feet, openings and angles")
@given(
    st.floats(0.0, 0.02),
    st.floats(0.3, 2.0),
    st.lists(st.tuples(st.floats(0.02, 0.18), st.floats(-0.001, 0.13), st.floats(0.001, 0.008)), max_size=3),
)
@settings(max_examples=40, deadline=None)
def test_random_trays(corner: float, angle: float, spots: list[tuple[float, float, float]]) -> None:
    openings = []
    for x, y, radius in spots:
        if all(math.hypot(x - c.x, y - c.y) > radius + c.radius + 1e-3 for c in openings) and y + radius < 0.15:
            openings.append(Circle(x, y + 2 * radius - 0.015 if y < 0.004 else y, radius))
    keep = tuple(Opening(c) for c in openings if 0.03 < c.x < 0.17 and -0.02 + c.radius + 1e-4 < c.y < 0.16 - c.radius)
    keep = tuple(
        one
        for n, one in enumerate(keep)
        if all(math.dist(one.middle, two.middle) > one.shape.radius + two.shape.radius for two in keep[:n])  # type: ignore[union-attr]
    )
    flat = replace(tray(0.002 + corner), openings=keep)
    flat = replace(flat, bends=tuple(b._replace(angle=angle) if b.number == 1 else b for b in flat.bends))
    mesh = folded_mesh(flat)
    assert library(mesh).is_volume
    assert volume(mesh) == pytest.approx(folded(flat).volume, rel=5e-3)


@pytest.mark.by_hand("a box of three bends in a row is a square tube of four sides")
def test_tube() -> None:
    angle = 0.5 * math.pi
    allowance = bend_allowance(angle, 0.003, T, 0.5)
    bends = tuple(BendLine(n, 0.0, 0.05 * n, 0.1, 0.05 * n, angle, 0.003, "down", allowance, 0.0) for n in (1, 2, 3))
    mesh = folded_mesh(plain(rectangle(0.1, 0.2), *bends))
    side = 0.05 - allowance + 2.0 * (0.003 + T)
    assert np.ptp(mesh.corners, axis=0) == pytest.approx((0.1, side, side), abs=1e-9)


@pytest.mark.behaviour(
    "an opening that runs off its flat is refused in words, and a packet leaves such a shroud's solids out"
)
def test_runs_off() -> None:
    off = Opening(Circle(0.2, 0.05, 0.03))
    with pytest.raises(InputError, match="runs off its flat"):
        folded_mesh(replace(angle_piece(), openings=(off,)))
    made = a_shroud()
    assert is_whole(made)
    assert not is_whole(replace(made, findings=(Finding("O03", -0.004, 0.006, "Q10"),)))


@pytest.mark.by_hand("a bar with a hole: base less hole, times height")
def test_bar() -> None:
    outer, hole = rectangle(0.1, 0.05, 0.01), circle_outline(Circle(0.03, 0.02, 0.01))
    mesh = bar(outer, 0.1, 0.14, [hole], 1e-7)
    assert library(mesh).is_volume
    assert volume(mesh) == pytest.approx((area(outer) - area(hole)) * 0.04, rel=1e-4)
    assert len(outline_of(0.1, 0.1, 0.05)) == 2
    assert outline_of(0.1, 0.06, 0.0)[0] == Vertex(-0.05, -0.03)


@pytest.mark.independent("both files read back by the mesh library")
def test_files() -> None:
    flat = replace(angle_piece(), holes=(Hole(1, 0.05, 0.05, 0.01, "hole"),))
    mesh = folded_mesh(flat)
    read = trimesh.load(io.BytesIO(stl([mesh])), file_type="stl")
    assert read.volume / 1e9 == pytest.approx(volume(mesh), rel=1e-5)
    assert read.is_volume
    pieces = [Piece("flat", "shroud", mesh), Piece("box", "core", bar(rectangle(0.1, 0.1), -0.1, 0.0))]
    scene = trimesh.load_scene(io.BytesIO(glb(pieces)), file_type="glb")
    assert set(scene.geometry) == {"flat", "box"}
    assert scene.bounds == pytest.approx(np.array([[0.0, 0.0, -0.1], [0.1, 0.15 + 0.5e-3, 0.051]]), abs=2e-3)
    colours = {tuple(item.visual.material.baseColorFactor) for item in scene.geometry.values()}
    assert len(colours) == 2
    assert glb(pieces) == glb(pieces)


@pytest.mark.behaviour("what lies behind is left out, and the same picture every time")
def test_picture() -> None:
    picture = folded_picture([angle_piece(), angle_piece("down")])
    assert svg(picture, 0.2, 0.2) == svg(folded_picture([angle_piece(), angle_piece("down")]), 0.2, 0.2)
    assert "folded along 2 bends" in picture.description
    box = bar(rectangle(0.1, 0.1), 0.0, 0.1)
    alone = line_picture("a box", [box])
    edges = [path for path in alone.shapes if isinstance(path, Path)]
    drawn = sum(math.dist(a[:2], b[:2]) for path in edges for a, b in zip(path.corners, path.corners[1:], strict=False))
    assert 9 <= sum(len(path.corners) - 1 for path in edges) <= 12
    behind = bar(rectangle(0.02, 0.02), -0.06, -0.04)
    behind = behind.moved((0.06, 0.0, 0.0), np.eye(3))
    both = line_picture("a box before another", [box, behind])
    total = sum(
        math.dist(a[:2], b[:2])
        for path in both.shapes
        if isinstance(path, Path)
        for a, b in zip(path.corners, path.corners[1:], strict=False)
    )
    assert total == pytest.approx(drawn, rel=0.02)
    assert extents(alone.shapes).x2 - extents(alone.shapes).x1 < 0.2
