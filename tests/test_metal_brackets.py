"""Brackets: a strap between two spots, folded again by rotation, and its strength."""

import math
from typing import get_args

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from shroudwright.bench.errors import InputError
from shroudwright.metal.bend import k_factor
from shroudwright.metal.brackets import (
    EDGE,
    Bracket,
    Spot,
    Way,
    bracket,
    least_sheet,
    root_stress,
    section_moduli,
    strength,
)
from shroudwright.metal.sheet import find_sheet

INCH = 0.0254
POUND = 4.4482216
KSI = 6.894757e6
WAYS = get_args(Way)
NORMALS = {
    "left": (-1, 0, 0),
    "right": (1, 0, 0),
    "down": (0, -1, 0),
    "up": (0, 1, 0),
    "front": (0, 0, -1),
    "back": (0, 0, 1),
}
METAL = "aluminium 5052-H32"


def strap(frame: Spot, core: Spot, *, t: float = 0.1875, width: float = 1.5, gusset: float = 0.0) -> Bracket:
    return bracket(
        "bracket", frame, core, width=width * INCH, thickness=t * INCH, radius=t * 1.5 * INCH, metal=METAL,
        gusset=gusset * INCH,
    )  # fmt: skip


def spot(x: float, y: float, z: float, faces: str, hole: float = 0.328) -> Spot:
    return Spot(x * INCH, y * INCH, z * INCH, faces, hole * INCH)  # type: ignore[arg-type]


def turned(vector: NDArray[np.float64], about: NDArray[np.float64], angle: float) -> NDArray[np.float64]:
    """Rodrigues' rotation."""
    cos, sin = math.cos(angle), math.sin(angle)
    return np.asarray(vector * cos + np.cross(about, vector) * sin + about * (about @ vector) * (1.0 - cos))


def folded(item: Bracket, frame: Spot, way: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where the core's hole comes on the strap's middle, and the normal of its outer face, walking bend by bend."""
    flat, t = item.flat, item.thickness
    normal = np.array(NORMALS[frame.faces], dtype=float)
    across = np.cross(way, normal)
    at = np.array(frame[:3]) + 0.5 * t * normal
    first, last = flat.holes[0], flat.holes[1]
    y = first.y
    for bend in flat.bends:
        at = at + (bend.y1 - 0.5 * bend.allowance - y) * way
        sign = 1.0 if bend.direction == "up" else -1.0
        middle = at + sign * (bend.radius + 0.5 * t) * normal
        angle = sign * bend.angle
        at = middle + turned(at - middle, across, angle)
        way, normal = turned(way, across, angle), turned(normal, across, angle)
        y = bend.y1 + 0.5 * bend.allowance
    return at + (last.y - y) * way + (last.x - first.x) * across, normal


@pytest.mark.by_hand(
    "random spots: the flat folded by rotation brings the hole to the core's mount, outer face as it faces"
)
@settings(deadline=None, max_examples=150)
@given(
    st.tuples(*(st.floats(-9.0, 9.0) for _ in range(3))),
    st.sampled_from(WAYS),
    st.sampled_from(WAYS),
    st.floats(0.05, 0.25),
)
def test_folds_to_the_mount(offset: tuple[float, float, float], one: str, two: str, t: float) -> None:
    frame, core = spot(1.0, 2.0, 3.0, one), spot(1.0 + offset[0], 2.0 + offset[1], 3.0 + offset[2], two)
    try:
        item = strap(frame, core, t=t)
    except InputError:
        assume(False)
    n1, n2 = np.array(NORMALS[one], dtype=float), np.array(NORMALS[two], dtype=float)
    way = np.cross(n1, item.across)
    at, normal = folded(item, frame, way)
    wanted = np.array(core[:3]) + 0.5 * item.thickness * n2
    assert np.abs(at - wanted).max() < 1e-9
    assert abs(normal @ n2) == pytest.approx(1.0)
    assert len(item.flat.bends) in (0, 1, 2)


@pytest.mark.by_hand("angle 3 by 4 in of 3/16 sheet, hole to hole: (3 + 3/16) + 4 - BD, K 0.40 at R = 1.5 t")
def test_angle() -> None:
    item = strap(spot(0, 0, 0, "up"), spot(3.0, 4.0, 0.5, "right"))
    t, r = 0.1875, 0.28125
    deduction = 2.0 * (r + t) - 0.5 * math.pi * (r + k_factor(r, t, METAL) * t)
    frame, core = item.flat.holes[:2]
    assert (core.y - frame.y) / INCH == pytest.approx(3.0 + t + 4.0 - deduction)
    assert abs(core.x - frame.x) / INCH == pytest.approx(0.5)
    assert item.flat.bends[0].direction == "up"
    assert frame.y == pytest.approx(EDGE * frame.diameter)


@pytest.mark.by_hand("a drop of 2 in between level surfaces: two bends, the web 2 in and a sheet high")
def test_step() -> None:
    item = strap(spot(0, 0, 0, "up"), spot(0.0, -2.0, 5.0, "up"))
    assert [bend.direction for bend in item.flat.bends] == ["down", "up"]
    rise = np.linalg.norm(item.corners[2] - item.corners[1])
    assert rise / INCH == pytest.approx(2.0)
    flat = strap(spot(0, 0, 0, "up"), spot(0.0, 0.0, 5.0, "up"))
    assert not flat.flat.bends
    assert (flat.flat.holes[1].y - flat.flat.holes[0].y) / INCH == pytest.approx(5.0)


@pytest.mark.behaviour("what cannot be a strap is refused with every fault and what to move")
def test_refusals() -> None:
    with pytest.raises(InputError, match=r"the frame's hole \(up\) is 0\.39 in .* needs 1\.01 in .* move it 0\.62 in"):
        strap(spot(0, 0, 0, "up"), spot(0.2, 4.0, 0.0, "right"))
    with pytest.raises(InputError, match=r"out of line 0\.10|are 0\.10 in .* out of line .* spacer of 0\.10 in"):
        strap(spot(0, 0, 0, "up"), spot(0.0, 0.1, 5.0, "up"))
    with pytest.raises(InputError, match=r"holes are 1\.00 in .* apart, a strap needs 1\.31 in"):
        strap(spot(0, 0, 0, "up"), spot(0.0, 0.0, 1.0, "up"))
    with pytest.raises(InputError) as both:
        strap(spot(0, 0, 0, "up"), spot(0.2, 0.2, 0.0, "right"))
    assert len(both.value.faults) == 2


def held(item: Bracket, *loads: tuple[float, float, float], is_welded: bool = False) -> tuple[float, float, str, float]:
    sheet = find_sheet(METAL)
    found = strength(
        item,
        [(POUND * x, POUND * y, POUND * z) for x, y, z in loads],
        yield_strength=23.0 * KSI,
        annealed_yield=9.5 * KSI,
        elasticity=sheet.elasticity,
        is_welded=is_welded,
    )
    return found.stress / KSI, found.allowable / KSI, found.place, found.sag / INCH


@pytest.mark.by_hand(
    "60 lb on two straps at 3 g, arm 2 in, 1.5 x 3/16: 20.5 ksi against 15.3; 1/4 in 11.5 ksi; sag 4 n W L^3 / E b t^3"
)
def test_strap_bends_as_a_beam() -> None:
    for t, ksi in ((0.1875, 20.48), (0.25, 11.52)):
        assert root_stress(30 * POUND, 3.0, 2.0 * INCH, 1.5 * INCH, t * INCH) / KSI == pytest.approx(ksi, rel=1e-4)
        item = strap(spot(0, 0, 0, "up"), spot(0, 0, 2.0, "up"), t=t)
        stress, allowed, place, sag = held(item, (0.0, -90.0, 0.0))
        # The hole at the support leaves less than the whole width.
        assert stress == pytest.approx(ksi * 1.5 / (1.5 - 0.328), rel=1e-6)
        assert allowed == pytest.approx(23.0 / 1.5)
        assert place == "frame hole"
        assert sag == pytest.approx(4.0 * 90.0 * 8.0 / (10.2e6 * 1.5 * t**3), rel=1e-6)


@pytest.mark.law(
    "stress goes with the load and against width and thickness squared; a load through the hole's line bends nothing"
)
def test_scaling() -> None:
    item = strap(spot(0, 0, 0, "up"), spot(0, -5.0, 3.0, "back"))
    once, twice = held(item, (0.0, -50.0, 0.0)), held(item, (0.0, -100.0, 0.0))
    assert twice[0] == pytest.approx(2.0 * once[0])
    assert twice[3] == pytest.approx(2.0 * once[3])
    thick = strap(spot(0, 0, 0, "up"), spot(0, -5.0, 3.0, "back"), t=0.25)
    assert held(thick, (0.0, -50.0, 0.0))[0] < once[0]
    straight = strap(spot(0, 0, 0, "up"), spot(0, 0, 4.0, "up"))
    pulled = held(straight, (0.0, 0.0, 100.0))
    assert pulled[0] == pytest.approx(100.0 / ((1.5 - 0.328) * 0.1875) / 1000.0, rel=1e-6)
    worst = held(item, (0.0, -50.0, 0.0), (0.0, -100.0, 0.0), (0.0, 10.0, 0.0))
    assert worst[:2] == pytest.approx(twice[:2])


@pytest.mark.by_hand("60 lb along a leg 5 in tall: the frame's hole sees 300 lb in, the bare strap past a gusset less")
def test_gusset() -> None:
    frame, core, load = spot(0, 0, 0, "up"), spot(0, -5.0, 3.0, "back"), (0.0, 0.0, 60.0)
    stress, allowed, place, _ = held(strap(frame, core), load)
    assert place == "frame hole"
    assert stress == pytest.approx((6 * 300 / 0.1875**2 + 60 / 0.1875) / (1.5 - 0.328) / 1000, rel=1e-6)
    # The gusset's weld softens the sheet at its end, which then governs: longer ones move that end to less moment.
    stress, allowed, place, _ = held(strap(frame, core, gusset=0.75), load)
    assert place == "gusset's end at bend 1"
    assert allowed == pytest.approx(9.5 / 1.5)
    assert stress == pytest.approx((6 * 300 / 0.1875**2 + 60 / 0.1875) / 1.5 / 1000, rel=1e-6)


@pytest.mark.by_hand("channel 1.5 x 3/16, walls 3/4 high: middle 0.328 in, I 0.0449 in4")
def test_gusseted_bend() -> None:
    b, t, g = 1.5, 0.1875, 0.75
    strip, wall = b * t, t * g
    middle = (strip * t / 2 + 2 * wall * (t + g / 2)) / (strip + 2 * wall)
    inertia = b * t**3 / 12 + strip * (middle - t / 2) ** 2
    inertia += 2 * (t * g**3 / 12 + wall * (t + g / 2 - middle) ** 2)
    assert (middle, inertia) == pytest.approx((0.328125, 0.0449066), rel=1e-5)
    through, _ = section_moduli(b, t, g)
    assert through == pytest.approx(inertia / (t + g - middle))
    assert section_moduli(b, t, 0.0) == pytest.approx((b * t**2 / 6, t * b**2 / 6))


@pytest.mark.behaviour(
    "welded at the frame, the weld zone's yield counts; the thinnest sheet that holds is named, or none"
)
def test_welded_and_least() -> None:
    frame, core = spot(0, 0, 0, "up"), spot(0, 0, 2.0, "up")
    assert held(strap(frame, core), (0.0, -30.0, 0.0), is_welded=True)[1] == pytest.approx(9.5 / 1.5)

    def use(t: float) -> float:
        stress, allowed, _, _ = held(strap(frame, core, t=t / INCH), (0.0, -90.0, 0.0))
        return stress / allowed

    sizes = [size * INCH for size in (0.125, 0.1875, 0.25, 0.375)]
    assert least_sheet(sizes, use) == pytest.approx(0.25 * INCH)
    assert least_sheet(sizes[:2], use) is None
