"""Where a place on the face lands on the flat, and where folded parts stand, in every family."""

from functools import cache
from typing import Any

import numpy as np
import pytest

from shroudwright.bench.arcs import Vertex
from shroudwright.drawing.mesh import folded_mesh, volume
from shroudwright.metal.assembly import placed
from shroudwright.metal.closing import Ends
from shroudwright.metal.flat import quarter_turned
from shroudwright.metal.fold import folded
from shroudwright.metal.look import Fan
from shroudwright.metal.pan import pan_shroud
from shroudwright.metal.panel import panel_shroud
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.shroud import Shroud, rolled_shroud

INCH = 0.0254
T = 0.063 * INCH
WIDE, HIGH, DEPTH = 26.0 * INCH, 18.0 * INCH, 2.5 * INCH
FAN = Fan("F1", 8.0 * INCH, 7.0 * INCH, 10.0 * INCH)
COMMON: dict[str, Any] = {
    "thickness": T, "metal": "aluminium 3003-H14", "fans": [FAN], "opening_clearance": 0.25 * INCH,
    "bolt_hole": 0.2 * INCH, "bolt_pitch": 6.0 * INCH, "grommet": 0.75 * INCH,
}  # fmt: skip
BENT: dict[str, Any] = {"depth": DEPTH, "flange_radius": 0.125 * INCH, "flange_leg": INCH}
ROLLED: dict[str, Any] = {
    **COMMON, **BENT, "core_width": WIDE, "core_height": HIGH, "roll_radius": 0.75 * INCH, "trim": 0.5 * INCH,
    "ends": Ends(foot=INCH),
}  # fmt: skip
RISE = 1.0 * INCH
NOTCHED = (
    Vertex(0.0, 0.0), Vertex(WIDE, 0.0), Vertex(WIDE, HIGH - 3.0 * INCH), Vertex(WIDE - 3.0 * INCH, HIGH - 3.0 * INCH),
    Vertex(WIDE - 3.0 * INCH, HIGH), Vertex(0.0, HIGH),
)  # fmt: skip
SIDES = ("left", "right", "bottom", "top")


def pan(depth_top: float | None = None, **flanges: Any) -> Shroud:
    ends = dict.fromkeys(SIDES, "out") | flanges
    return pan_shroud(
        **COMMON, **BENT, width=WIDE, height=HIGH, bend_radius=0.125 * INCH, depth_top=depth_top, flanges=ends, lip=INCH
    )


def upright(**more: Any) -> Shroud:
    """The rolls up the core: laid out turned a quarter to the right, and turned back."""
    fan = FAN._replace(x=FAN.y, y=WIDE - FAN.x)
    sizes = {"core_width": HIGH, "core_height": WIDE, "fans": [fan]}
    ends = Ends(foot=INCH, names=("bottom end", "top end"))
    made = rolled_shroud(**{**ROLLED, **sizes, "ends": ends, "flanges": ("in", "out")}, **more)
    blank = made.flats[0]
    return Shroud(
        **{
            **vars(made), "flats": (quarter_turned(blank), *made.flats[1:]), "is_upright": True,
            "landing": made.landing.quarter_turned(blank.outline),
        }
    )  # fmt: skip


def divided(along: bool = False, **more: Any) -> Shroud:
    at = 9.0 * INCH if along else 13.0 * INCH
    return rolled_shroud(**{**ROLLED, "ends": Ends(foot=INCH, divider=at, divider_along=along)}, **more)


def panel() -> Shroud:
    outline = (Vertex(0.0, 0.0), Vertex(WIDE, 0.0), Vertex(WIDE, HIGH), Vertex(0.0, HIGH))
    return panel_shroud(**COMMON, outline=outline, depth=DEPTH, depth_top=None, margin=INCH)


@cache
def families() -> dict[str, Shroud]:
    return {
        "rolled": rolled_shroud(**ROLLED),
        "between": rolled_shroud(**{**ROLLED, "ends": Ends("between", INCH)}),
        "no foot": rolled_shroud(**{**ROLLED, "ends": Ends()}),
        "lip": rolled_shroud(**ROLLED, flanges=("in", "lip"), lip=INCH),
        "tapered": rolled_shroud(**ROLLED, depth_high=2.0 * INCH),
        "partial": rolled_shroud(**{**ROLLED, "depth": 1.0 * INCH, "roll_radius": 2.0 * INCH}, partial=True),
        "upright": upright(),
        "leaning": rolled_shroud(**ROLLED, rise=RISE),
        "leaning upright": upright(rise=RISE),
        "divided": divided(depth_high=2.0 * INCH),
        "divided along": divided(along=True, rise=RISE),
        "notched": rolled_shroud(**ROLLED, outline=NOTCHED),
        "pan": pan(),
        "pan of mixed edges": pan(left="in", top="lip"),
        "tapered pan": pan(2.0 * INCH),
        "panel": panel(),
    }


NAMES = (
    "rolled", "between", "no foot", "lip", "tapered", "partial", "upright", "pan", "pan of mixed edges", "tapered pan",
    "panel",
)  # fmt: skip
MORE = ("leaning", "leaning upright", "divided", "divided along", "notched")


@pytest.mark.law("a fan's opening on the flat is where its place lands, and folded stands where the fan does")
@pytest.mark.parametrize("name", [*NAMES, *MORE])
def test_a_fan_stands_where_it_was_placed(name: str) -> None:
    made = families()[name]
    spot = made.landing.at(FAN.x, FAN.y)
    assert spot is not None
    assert spot == pytest.approx(made.flats[0].openings[0].middle, abs=1e-12)
    blank = placed(made)[0]
    # The base of the fold is a plane region of the flat; put another under the same axes it would not land here.
    at = folded(blank.flat).at([spot[0]], [spot[1]], [0.0])[0] @ np.array(blank.axes) + np.array(blank.origin)
    low, high = (made.depths[0],) * 2 if made.is_upright else made.depths
    gained = made.rise * (FAN.y / HIGH if made.is_upright else FAN.x / WIDE)
    assert at == pytest.approx((FAN.x, FAN.y, low + gained + (high - low) * FAN.y / HIGH), abs=1e-9)


@pytest.mark.law("every part stands on the core's plane or over it; parts close the ends and weigh what is said")
@pytest.mark.parametrize("name", NAMES)
def test_parts_stand_on_the_core(name: str) -> None:
    made = families()[name]
    parts = placed(made)
    assert len(parts) == sum(flat.quantity for flat in made.flats)
    meshes = [folded_mesh(part.flat, 1e-5).moved(part.origin, part.axes) for part in parts]
    lip = made.shape.lip if made.shape else 0.0
    depth = max(made.depths)
    for part, mesh in zip(parts, meshes, strict=True):
        assert np.linalg.det(np.array(part.axes)) == pytest.approx(1.0)
        low, high = mesh.corners.min(axis=0), mesh.corners.max(axis=0)
        stands = DEPTH if name == "panel" else -lip if part is parts[0] or name == "no foot" else 0.0
        assert low[2] == pytest.approx(stands, abs=2e-5)
        assert high[2] <= depth + T + 2e-5
        along = int(made.is_upright)
        if part is not parts[0]:
            size = HIGH if made.is_upright else WIDE
            is_low = low[along] < 0.5 * size
            inner = high[along] if is_low else low[along]
            assert inner == pytest.approx(0.0 if is_low else size, abs=1e-9)
            # Across, it closes the room and goes no further than the walls and their bends; it is no mirror image.
            across = WIDE if made.is_upright else HIGH
            past = 0.16 * INCH if name == "partial" else 0.125 * INCH + T
            assert -past - 1e-9 <= low[1 - along] <= 1e-9
            assert across - 1e-9 <= high[1 - along] <= across + past + 1e-9
        if name == "tapered":
            assert mesh.corners[mesh.corners[:, 2].argmax(), 1] < 0.5 * HIGH
    weight = sum(volume(mesh) for mesh in meshes) * find_sheet(made.metal).density
    assert weight == pytest.approx(made.weight, rel=2e-3)


@pytest.mark.by_hand("leg 1 in from the wall's inner face: 0.6 in past it is 0.4 in from the flange's edge")
def test_places_past_the_walls() -> None:
    made = families()["rolled"]
    around = made.flats[0].outline
    top = max(vertex.y for vertex in around)
    assert made.landing.at(3.0 * INCH, -0.6 * INCH) == pytest.approx((3.5 * INCH, 0.4 * INCH))
    assert made.landing.at(0.0, HIGH + 0.6 * INCH) == pytest.approx((0.5 * INCH, top - 0.4 * INCH))
    assert made.landing.at(0.0, -1.25 * INCH) == pytest.approx((0.5 * INCH, -0.25 * INCH))
    made = families()["pan"]
    assert made.landing.at(-0.6 * INCH, 3.0 * INCH)[0] == pytest.approx(0.4 * INCH)  # type: ignore[index]
    assert made.landing.at(WIDE + INCH, 3.0 * INCH)[0] == pytest.approx(  # type: ignore[index]
        max(vertex.x for vertex in made.flats[0].outline)
    )
    assert families()["pan of mixed edges"].landing.at(-0.1 * INCH, 3.0 * INCH) is None
    assert families()["lip"].landing.at(3.0 * INCH, -0.1 * INCH) is None
    assert families()["panel"].landing.at(-0.5 * INCH, 0.0) == pytest.approx((0.5 * INCH, INCH))
    turned = families()["upright"].landing
    assert turned.at(-0.6 * INCH, 0.0) == pytest.approx((0.4 * INCH, 0.5 * INCH))
    assert turned.at(WIDE + 0.1 * INCH, 0.0) is None


def meshes_of(made: Shroud) -> dict[str, np.ndarray]:
    return {part.name: folded_mesh(part.flat, 1e-5).moved(part.origin, part.axes).corners for part in placed(made)}


@pytest.mark.law("where the depth grows along the rolls the flanges lie on the core and each end plate in the cut end")
@pytest.mark.parametrize("name", ["leaning", "leaning upright", "divided along"])
def test_a_leaning_shroud_stands_on_the_core(name: str) -> None:
    made = families()[name]
    blank, *ends = placed(made)
    metal = meshes_of(made)
    assert metal["main blank"][:, 2].min() == pytest.approx(0.0, abs=1e-9)
    lean = np.arctan2(RISE, HIGH if made.is_upright else WIDE)
    sheet = metal["main blank"]
    high = sheet @ np.array(blank.axes[2])
    for part in ends:
        if part.name == "divider":
            continue
        out = np.array(part.axes[2])
        assert ((sheet[high > high.max() - 2.0 * T] - part.origin) @ out).max() == pytest.approx(0.0, abs=1e-9)
        assert ((metal[part.name] - part.origin) @ out).min() == pytest.approx(0.0, abs=1e-9)
        # Square to the face, its lower edge on the core but for the sheet's own thickness.
        assert out @ np.array(blank.axes[2]) == pytest.approx(0.0, abs=1e-12)
        assert -T * np.sin(lean) - 1e-9 <= metal[part.name][:, 2].min() <= 1e-9
        assert (metal[part.name] @ np.array(blank.axes[2])).max() == pytest.approx(high.max(), abs=1e-9)
    weight = sum(volume(folded_mesh(part.flat, 1e-5)) for part in placed(made)) * find_sheet(made.metal).density
    assert weight == pytest.approx(made.weight, rel=2e-3)


@pytest.mark.by_hand("13 in along, or 9 in up: half a sheet either side; from the core's plane to the face's inside")
@pytest.mark.parametrize(("name", "axis", "at"), [("divided", 0, 13.0), ("divided along", 1, 9.0)])
def test_a_divider_stands_where_it_was_asked(name: str, axis: int, at: float) -> None:
    made = families()[name]
    blank = placed(made)[0]
    metal = meshes_of(made)["divider"]
    assert metal[:, axis].min() == pytest.approx(at * INCH - 0.5 * T, abs=1e-9)
    assert metal[:, axis].max() == pytest.approx(at * INCH - 0.5 * T + INCH, abs=1e-9)
    assert metal[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    x, y = blank.flat.openings[0].middle
    inside = np.array(blank.origin) + np.array([x, y, 0.0]) @ np.array(blank.axes)
    over = (metal - inside) @ np.array(blank.axes[2])
    assert over.max() == pytest.approx(0.0, abs=1e-9)
    # Its foot lies on the face: half the metal of an inch of foot and more touches it.
    assert np.ptp(metal[np.abs(over) < 1e-9][:, axis]) > 0.8 * INCH


@pytest.mark.by_hand("3 in out of the corner of 26 x 18: plates at 23 in and at 15 in, feet of 1 in into the notch")
def test_notch_sides_stand_in_the_notch() -> None:
    metal = meshes_of(families()["notched"])
    low, up = metal["notch side"], metal["notch side 2"]
    assert (low[:, 1].min(), low[:, 1].max()) == pytest.approx((15.0 * INCH, 16.0 * INCH), abs=1e-9)
    assert (low[:, 0].min(), low[:, 0].max()) == pytest.approx((23.0 * INCH + T, 26.0 * INCH), abs=1e-9)
    assert (up[:, 0].min(), up[:, 0].max()) == pytest.approx((23.0 * INCH, 24.0 * INCH), abs=1e-9)
    assert up[:, 1].min() == pytest.approx(15.0 * INCH, abs=1e-9)
    for plate in (low, up):
        assert plate[:, 2].min() == pytest.approx(0.0, abs=1e-9)
        assert plate[:, 2].max() == pytest.approx(DEPTH + T, abs=1e-9)
