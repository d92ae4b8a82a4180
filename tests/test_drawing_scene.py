"""The shroud and what stands round it: closed solids where the job says they stand, and a page that fetches nothing."""

import base64
import hashlib
import math
import re
from itertools import pairwise

import numpy as np
import pytest
import trimesh

from shroudwright.bench.arcs import box, rectangle
from shroudwright.drawing.mesh import COLOURS, Piece, volume
from shroudwright.drawing.scene import metal, solids
from shroudwright.drawing.viewer import viewer_page
from shroudwright.metal.assembly import finished, placed
from shroudwright.metal.flat import metal_area
from shroudwright.metal.sheet import find_sheet
from shroudwright.shroud.bodies import FanBody, Plate, Solid
from tests.packets import INCH, a_shroud

PLATE = Plate(rectangle(24.5 * INCH, 17 * INCH), 0.01, 0.01 + 2 * INCH, 0.01 + 2 * INCH, 0.063 * INCH)
FANS = (
    FanBody("A", 6.3 * INCH, 8.5 * INCH, 11.25 * INCH, 11.4 * INCH, 0.02, 0.09, motor=0.12),
    FanBody("B", 18.2 * INCH, 8.5 * INCH, 10.25 * INCH, motor=0.1, motor_inside=True),
)
AROUND = (
    Solid("the neck", "neck", 0.1, 0.45, 0.02, 0.02, 0.02, 0.0, 0.06),
    Solid("the upper tank", "tank", 0.3, 0.93, 1.0, 0.5, 0.0, -math.inf, 0.01),
    Solid("the pump", "engine", 0.3, 0.2, 0.05, 0.05, 0.05, 0.2),
    Solid("a zone", "keep-out", 0.3, 0.2, 0.05, 0.05, 0.0, 0.2),
)
CORE = (24.5 * INCH, 17 * INCH, 0.05)


def everything() -> list[Piece]:
    return solids(a_shroud(), FANS, PLATE, AROUND, CORE)


@pytest.mark.independent("the mesh library finds every solid closed")
def test_closed() -> None:
    pieces = everything()
    names = [piece.name for piece in pieces]
    assert len(set(names)) == len(names)
    for name in ("main blank", "left end cap", "core", "A frame", "B motor", "the neck", "the pump"):
        assert name in names
    assert "a zone" not in names
    for piece in pieces:
        assert trimesh.Trimesh(*piece.mesh, process=False).is_volume, piece.name
        assert volume(piece.mesh) > 0.0


@pytest.mark.by_hand("the flange plane lies at the plate's flange, the face's outside a thickness past its inside")
def test_places() -> None:
    reach = {piece.name: (piece.mesh.corners.min(axis=0), piece.mesh.corners.max(axis=0)) for piece in everything()}
    low, high = reach["main blank"]
    assert (low[0], high[0]) == pytest.approx((0.0, 24.5 * INCH), abs=1e-9)
    assert (low[2], high[2]) == pytest.approx((PLATE.flange, PLATE.bottom + PLATE.thickness), abs=1e-9)
    assert 0.5 * (low[1] + high[1]) == pytest.approx(8.5 * INCH)
    left, right = reach["left end cap"], reach["right end cap"]
    assert (left[0][0], left[1][0]) == pytest.approx((-0.063 * INCH, 0.0), abs=1e-9)
    assert (right[0][0], right[1][0]) == pytest.approx((24.5 * INCH, 24.563 * INCH), abs=1e-9)
    assert left[0][1:] == pytest.approx(right[0][1:])
    assert left[1][2] == pytest.approx(high[2])
    assert reach["A motor"][0][2] == pytest.approx(PLATE.bottom + PLATE.thickness)
    assert reach["A motor"][1][2] == pytest.approx(PLATE.bottom + PLATE.thickness + 0.09)
    assert reach["B motor"][1][2] == pytest.approx(PLATE.bottom + PLATE.thickness)


@pytest.mark.independent("weight from the section's closed form")
def test_weight() -> None:
    made = a_shroud()
    folded_metal = sum(volume(piece.mesh) for piece in metal(made, PLATE, chord=1e-6))
    assert folded_metal * find_sheet(made.metal).density == pytest.approx(made.weight, rel=2e-5)


@pytest.mark.by_hand("the cut-off blank is as wide as the core")
def test_finished() -> None:
    made = a_shroud()
    blank = finished(made.flats[0], made.trim)
    around = box(blank.outline)
    assert (around.x1, around.x2) == pytest.approx((made.trim, made.trim + 24.5 * INCH))
    assert metal_area(made.flats[0]) - metal_area(blank) == pytest.approx(2 * made.trim * made.shape.length)
    assert finished(blank, 0.0) is blank
    for part in placed(made):
        assert np.linalg.det(np.array(part.axes)) == pytest.approx(1.0)


@pytest.mark.behaviour("one page, its policy forbids every request, and it is the same every time")
def test_viewer() -> None:
    page = viewer_page("A <b>job</b>", everything()).decode()
    assert page == viewer_page("A <b>job</b>", everything()).decode()
    assert "<title>A &lt;b&gt;job&lt;/b&gt;</title>" in page
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', page)
    assert policy is not None
    rules = dict(rule.strip().split(" ", 1) for rule in policy[1].split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["connect-src"] == "data:"
    assert not any("http" in rule or "*" in rule for rule in rules.values())
    scripts = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    for script in scripts:
        digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
        assert f"'sha256-{digest}'" in rules["script-src"]
    assert page.index("Content-Security-Policy") < page.index("<style")
    outside = re.sub(r"<script>.*?</script>", "", page, flags=re.DOTALL)
    assert not re.search(r"<script|<link|<img|<iframe|\bsrc=|\bhref=|url\(", outside.split("</head>")[1])


@pytest.mark.law("roles tell apart in grey as well")
def test_colours() -> None:
    def light(colour: tuple[int, int, int, int]) -> float:
        return 0.2126 * colour[0] + 0.7152 * colour[1] + 0.0722 * colour[2]

    levels = sorted(light(colour) for colour in COLOURS.values())
    assert min(b - a for a, b in pairwise(levels)) > 5.0
