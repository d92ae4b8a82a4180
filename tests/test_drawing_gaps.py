"""Gaps in space: by hand, against a library's boolean and sampling, and against the plan clearances."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import Circle, circle_outline, rectangle
from shroudwright.drawing.gaps import Body, apart, bodies, gaps, mesh_gap
from shroudwright.drawing.mesh import bar, folded_mesh
from shroudwright.drawing.scene import metal
from shroudwright.shroud.bodies import FanBody, Plate, Solid
from shroudwright.shroud.fit import clearances
from tests.packets import INCH, a_shroud
from tests.test_drawing_scene import AROUND, CORE, FANS, PLATE
from tests.test_metal_fold import angle_piece

BOX = Body("box", "engine", 0.0, 0.0, 0.05, 0.03, 0.0, 0.0, 0.1)
ROUND = Body("bar", "neck", 0.0, 0.0, 0.04, 0.04, 0.04, -0.1, 0.1)


@pytest.mark.by_hand("a plate 20 mm past a box's side; over its edge 3, 4 and 5; a plate 10 mm into a bar of 40 mm")
def test_plates() -> None:
    wall = bar(rectangle(0.01, 0.2), -0.1, 0.2).moved((0.07, -0.1, 0.0), np.eye(3))
    assert mesh_gap(wall, BOX)[0] == pytest.approx(0.02, abs=2e-6)
    edge = bar(rectangle(0.1, 0.1), 0.0, 0.02).moved((0.053, -0.05, 0.104), np.eye(3))
    gap, where = mesh_gap(edge, BOX)
    assert gap == pytest.approx(0.005, abs=2e-6)
    assert (where[0], where[2]) == pytest.approx((0.053, 0.104), abs=2e-6)
    into = bar(rectangle(0.2, 0.2), -0.01, 0.01).moved((0.03, -0.1, 0.0), np.eye(3))
    assert mesh_gap(into, ROUND)[0] == pytest.approx(-0.01, abs=2e-6)


@pytest.mark.independent("the same two bars, one of them as triangles against the other's formula")
@given(
    st.floats(-0.2, 0.2), st.floats(-0.2, 0.2), st.floats(-0.3, 0.3), st.floats(0.0, 1.0), st.booleans()
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_bars(x: float, y: float, z: float, share: float, is_round: bool) -> None:
    body = ROUND if is_round else BOX._replace(corner=0.03 * share)
    near, far = z - 0.02, z + 0.02
    other = Body("other", "engine", x, y, 0.03, 0.03, 0.03, near, far)
    mesh = bar(circle_outline(Circle(x, y, 0.03)), near, far, chord=2e-6)
    exact, found = apart(body, other), mesh_gap(mesh, body)[0]
    if exact > 0.0:
        assert found == pytest.approx(exact, abs=5e-6)
    else:
        # A surface reaches less deep than a solid; it must not say that there is room.
        assert found <= 5e-6


@pytest.mark.independent("ten thousand points of the metal, none nearer")
def test_folded_metal() -> None:
    mesh = folded_mesh(angle_piece())
    body = Body("pipe", "neck", 0.05, 0.12, 0.012, 0.012, 0.012, 0.02, 0.4)
    gap, _ = mesh_gap(mesh, body)
    draw = np.random.default_rng(3)
    a, b, c = mesh.corners[mesh.faces[draw.integers(0, len(mesh.faces), 40000)]].transpose(1, 0, 2)
    u, v = draw.uniform(size=(2, 40000, 1))
    u, v = np.where(u + v > 1, 1 - u, u), np.where(u + v > 1, 1 - v, v)
    spots = a + u * (b - a) + v * (c - a)
    plan = np.hypot(spots[:, 0] - body.x, spots[:, 1] - body.y) - 0.012
    along = np.maximum(body.near - spots[:, 2], 0.0)
    sampled = float(np.hypot(np.maximum(plan, 0.0), along).min())
    assert gap <= sampled + 1e-6
    assert gap == pytest.approx(sampled, abs=1e-3)


@pytest.mark.independent("the plan clearances of the same fans, plate and solids")
def test_agrees_with_the_fit() -> None:
    around = (*AROUND[:3], Solid("the wall behind", "engine", 0.0, 0.0, 100.0, 100.0, 0.0, 0.25))
    plan = {(item.kind, item.between): item.gap for item in clearances(FANS, PLATE, around)}
    space = {item.between: item.gap for item in gaps([], bodies(FANS, PLATE, around, CORE))}
    for name in ("the pump", "the wall behind"):
        assert space["A", name] == pytest.approx(plan["motor to engine", ("A", name)])
    ahead = FanBody("C", 0.3, 0.2, 0.2, 0.25, 0.02, 0.08, depth_ahead=0.01, motor=0.1)
    plan = {(item.kind, item.between): item.gap for item in clearances([ahead], PLATE, around)}
    space = {item.between: item.gap for item in gaps([], bodies([ahead], PLATE, around, CORE))}
    assert space["core", "C"] == pytest.approx(plan["fan to fins", ("C", "fins")])
    pair = [FANS[0], FANS[0]._replace(code="D", x=FANS[0].x + 0.31, frame=0.28)]
    plan = {(item.kind, item.between): item.gap for item in clearances(pair, PLATE, around)}
    beside = {item.between: item.gap for item in gaps([], bodies(pair, PLATE, around, CORE))}
    assert beside["A", "D"] == pytest.approx(plan["frame to frame", ("A", "D")])
    plan = {(item.kind, item.between): item.gap for item in clearances([ahead], PLATE, around)}
    assert space["C", "the neck"] == pytest.approx(plan["fan to neck", ("C", "the neck")])


@pytest.mark.by_hand("flange 10 mm off the core; a motor in the middle of its opening; a neck outside the wall")
def test_shroud() -> None:
    parts = [piece.mesh for piece in metal(a_shroud(), PLATE)]
    found = {item.between: item for item in gaps(parts, bodies(FANS, PLATE, AROUND, CORE))}
    assert found["shroud", "core"].gap == pytest.approx(PLATE.flange, abs=2e-6)
    opening = next(item for item in a_shroud().flats[0].openings if item.name == "A").shape
    assert found["shroud", "A"].gap == pytest.approx(opening[2] - 0.06, abs=1e-4)
    tank = found["shroud", "the upper tank"]
    flange = max(float(mesh.corners[:, 1].max()) for mesh in parts)
    assert flange > 17 * INCH
    assert tank.gap == pytest.approx(PLATE.flange - 0.01 if flange > 0.43 else math.nan, abs=2e-6)
    assert list(found.values()) == sorted(found.values(), key=lambda item: item.gap)


@pytest.mark.behaviour("what belongs together is not held against itself")
def test_pairs() -> None:
    plate = Plate(rectangle(0.6, 0.4), 0.0, 0.05, 0.05, 0.002)
    fans = FANS[0]._replace(depth_ahead=0.01), FANS[1]._replace(overall_depth=0.04)
    face = bar(rectangle(0.6, 0.4), 0.05, 0.052)
    pairs = {item.between for item in gaps([face], bodies(fans, plate, AROUND, CORE))}
    assert pairs == {
        *(("shroud", name) for name in ("core", "A", "the neck", "the upper tank", "the pump")),
        *((name, other) for name in ("A", "B") for other in ("the neck", "the pump")),
        ("A", "B"),
        ("core", "A"),
        ("core", "B"),
        ("A", "the upper tank"),
        ("B", "the upper tank"),
        ("core", "the pump"),
        ("the neck", "the pump"),
        ("the upper tank", "the pump"),
    }
