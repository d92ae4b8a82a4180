"""Where a place on the face lands on the flat, and where folded parts stand, in every family."""

from functools import cache
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from shroudwright.bench.arcs import Vertex
from shroudwright.drawing.mesh import folded_mesh, volume
from shroudwright.metal.assembly import placed, unplaced
from shroudwright.metal.closing import Ends
from shroudwright.metal.flat import quarter_turned
from shroudwright.metal.fold import folded
from shroudwright.metal.look import Fan
from shroudwright.metal.pan import pan_shroud
from shroudwright.metal.panel import panel_shroud
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.shroud import Shroud, rolled_shroud
from shroudwright.packet.models import gaps_of, models, why_none
from shroudwright.plan import Plan

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
SIDES = ("left", "right", "bottom", "top")


def pan(depth_top: float | None = None, **flanges: Any) -> Shroud:
    ends = dict.fromkeys(SIDES, "out") | flanges
    return pan_shroud(
        **COMMON, **BENT, width=WIDE, height=HIGH, bend_radius=0.125 * INCH, depth_top=depth_top, flanges=ends, lip=INCH
    )


def upright() -> Shroud:
    """The rolls up the core: laid out turned a quarter to the right, and turned back."""
    fan = FAN._replace(x=FAN.y, y=WIDE - FAN.x)
    sizes = {"core_width": HIGH, "core_height": WIDE, "fans": [fan]}
    ends = Ends(foot=INCH, names=("bottom end", "top end"))
    made = rolled_shroud(**{**ROLLED, **sizes, "ends": ends, "flanges": ("in", "out")})
    blank = made.flats[0]
    return Shroud(
        **{
            **vars(made), "flats": (quarter_turned(blank), *made.flats[1:]), "is_upright": True,
            "landing": made.landing.quarter_turned(blank.outline),
        }
    )  # fmt: skip


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
        "pan": pan(),
        "pan of mixed edges": pan(left="in", top="lip"),
        "tapered pan": pan(2.0 * INCH),
        "panel": panel(),
    }


NAMES = (
    "rolled", "between", "no foot", "lip", "tapered", "partial", "upright", "pan", "pan of mixed edges", "tapered pan",
    "panel",
)  # fmt: skip


@pytest.mark.law("a fan's opening on the flat is where its place lands, and folded stands where the fan does")
@pytest.mark.parametrize("name", NAMES)
def test_a_fan_stands_where_it_was_placed(name: str) -> None:
    made = families()[name]
    spot = made.landing.at(FAN.x, FAN.y)
    assert spot is not None
    assert spot == pytest.approx(made.flats[0].openings[0].middle, abs=1e-12)
    blank = placed(made)[0]
    # The base of the fold is a plane region of the flat; put another under the same axes it would not land here.
    at = folded(blank.flat).at([spot[0]], [spot[1]], [0.0])[0] @ np.array(blank.axes) + np.array(blank.origin)
    low, high = (made.depths[0],) * 2 if made.is_upright else made.depths
    assert at == pytest.approx((FAN.x, FAN.y, low + (high - low) * FAN.y / HIGH), abs=1e-9)


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


@pytest.mark.behaviour("what has no known place in space is said, so that nothing is drawn of it")
def test_unplaced() -> None:
    assert all(unplaced(made) == "" for made in families().values())
    assert "along the rolls" in unplaced(rolled_shroud(**ROLLED, rise=INCH))
    divided = rolled_shroud(**{**ROLLED, "ends": Ends(foot=INCH, divider=13.0 * INCH)})
    assert unplaced(divided) == "no place is known for divider"


@pytest.mark.behaviour("no solids and no gaps of what has no place, and the reason is there for the manifest")
def test_no_solids_without_a_place() -> None:
    back: Any = SimpleNamespace(fit=SimpleNamespace(plate=object()))
    leaned = Plan(shroud=rolled_shroud(**ROLLED, rise=INCH), back=back)
    assert models("x", leaned) == {}
    assert gaps_of(leaned) == []
    assert why_none(leaned) == "the depth grows along the rolls"
    assert why_none(Plan(shroud=families()["rolled"], back=back)) == ""
    assert why_none(Plan()) == ""
