"""Cut files read back by the library that did not lay them out, and faults planted in them."""

import hashlib
import math
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.math import bulge_to_arc

from shroudwright.bench.arcs import area, length, moved
from shroudwright.drawing import dxf
from shroudwright.drawing.dxf import CUT_LAYERS, cut_dxf, drawing_dxf, file_stem, lint
from shroudwright.drawing.faults import ExportFault
from shroudwright.metal.flat import Flat
from tests.packets import EVIL, a_shroud

FLATS = pytest.mark.parametrize("flat", a_shroud().flats, ids=lambda flat: flat.name)
UNITS = pytest.mark.parametrize(("units", "unit"), [("in", 0.0254), ("mm", 1e-3)])
MAIN = a_shroud().flats[0]


def read(data: bytes, path: Path) -> Any:
    path.write_bytes(data)
    return ezdxf.readfile(path)


def measured(line: Any) -> tuple[float, float]:
    """Area and length of a closed light polyline by the library's own reading of its bulges."""
    points = list(line.get_points("xyb"))
    total, around = 0.0, 0.0
    for (x1, y1, bulge), (x2, y2, _) in zip(points, points[1:] + points[:1], strict=True):
        total += (x1 * y2 - x2 * y1) / 2
        if bulge:
            _, start, end, radius = bulge_to_arc((x1, y1), (x2, y2), bulge)
            turned = (end - start) % math.tau
            total += math.copysign(radius**2 * (turned - math.sin(turned)) / 2, bulge)
            around += radius * turned
        else:
            around += math.dist((x1, y1), (x2, y2))
    return total, around


@pytest.mark.independent("ezdxf reads the file back")
@FLATS
@UNITS
def test_cut_file(flat: Flat, units: str, unit: float, tmp_path: Path) -> None:
    path = tmp_path / "x_cut.dxf"
    document = read(cut_dxf(flat, units), path)
    assert document.audit().errors == []
    assert lint(path) == []
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == {"in": 1, "mm": 4}[units]
    assert document.header["$MEASUREMENT"] == {"in": 0, "mm": 1}[units]
    things = list(document.modelspace())
    assert {layer.dxf.name for layer in document.layers} == {"0", "Defpoints", *CUT_LAYERS}
    assert {thing.dxf.layer for thing in things} <= set(CUT_LAYERS)
    outline = document.modelspace().query("LWPOLYLINE")
    assert len(outline) == 1
    assert outline[0].closed
    got_area, got_length = measured(outline[0])
    assert got_area * unit**2 == pytest.approx(area(flat.outline), rel=1e-9)
    assert got_length * unit == pytest.approx(length(flat.outline), rel=1e-9)
    circles = sorted(
        (c.dxf.center.x * unit, c.dxf.center.y * unit, c.dxf.radius * unit)
        for c in document.modelspace().query("CIRCLE")
    )
    wanted = sorted([*(item.shape for item in flat.openings), *((h.x, h.y, h.diameter / 2) for h in flat.holes)])
    assert len(circles) == len(wanted)
    for circle, want in zip(circles, wanted, strict=True):
        assert circle == pytest.approx(tuple(want), rel=1e-9)
    bends = document.modelspace().query("LINE[layer=='BEND']")
    assert len(bends) == len(flat.bends)
    assert document.layers.get("BEND").dxf.linetype == "DASHED"
    assert len(document.blocks) == 2, "model and paper space only"


@pytest.mark.independent("ezdxf reads the file back")
@FLATS
@UNITS
def test_drawing_file(flat: Flat, units: str, unit: float, tmp_path: Path) -> None:
    path = tmp_path / "x_drawing.dxf"
    document = read(drawing_dxf(flat, units, (EVIL, "50%%d ^J\nend")), path)
    assert document.audit().errors == []
    assert lint(path) == []
    words = [text.dxf.text for text in document.modelspace().query("TEXT")]
    assert EVIL in words
    assert not any("%%" in word for word in words)
    for bend in flat.bends:
        assert sum(word.startswith(f"B{bend.number}:") for word in words) == 1
    square = document.modelspace().query("LWPOLYLINE[layer=='REF']")
    assert measured(square[0])[1] == pytest.approx({"in": 8.0, "mm": 200.0}[units])


@pytest.mark.behaviour("same bytes, also in another process")
def test_dxf_bytes() -> None:
    code = (
        "import hashlib, sys; from tests.packets import a_shroud; from shroudwright.drawing.dxf import *;"
        "f = a_shroud().flats[0]; print(hashlib.sha256(cut_dxf(f, 'in') + drawing_dxf(f, 'mm', ('n',))).hexdigest())"
    )
    data = cut_dxf(MAIN, "in") + drawing_dxf(MAIN, "mm", ("n",))
    other = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONHASHSEED": "7"},
    )
    assert other.stdout.strip() == hashlib.sha256(data).hexdigest()
    assert not ezdxf.options.write_fixed_meta_data_for_testing


@pytest.mark.behaviour("a file's name carries part, material, thickness, quantity and TRIAL, and nothing unsafe")
def test_file_stem() -> None:
    flat = replace(MAIN, name="../main: blank", thickness=0.002032)
    stem = file_stem(flat, "aluminium 5052-H32", "in", is_trial=True)
    assert stem == f"TRIAL_main-blank_aluminium-5052-H32_0.080in_qty{flat.quantity}"
    assert file_stem(flat, "///", "mm", is_trial=False) == f"main-blank_part_2.03mm_qty{flat.quantity}"


PLANTED: dict[str, tuple[Callable[[Any], Any], str]] = {
    "open outline": (
        lambda m: m.add_lwpolyline([(0, 0), (1, 0), (1, 1)], dxfattribs={"layer": "CUT_INNER"}),
        "not closed",
    ),
    "loose line": (lambda m: m.add_line((0, 0), (1, 0), dxfattribs={"layer": "CUT"}), "not closed"),
    "doubled hole": (
        lambda m: [m.add_circle((1, 1), 0.1, dxfattribs={"layer": "CUT_INNER"}) for _ in "ab"],
        "drawn 2 times",
    ),
    "line drawn back": (
        lambda m: [m.add_line(a, b, dxfattribs={"layer": "BEND"}) for a, b in (((0, 0), (1, 0)), ((1, 0), (0, 0)))],
        "drawn 2 times",
    ),
    "zero radius": (lambda m: m.add_circle((1, 1), 0.0, dxfattribs={"layer": "CUT_INNER"}), "no radius"),
    "wrong layer": (lambda m: m.add_circle((1, 1), 0.1, dxfattribs={"layer": "0"}), "wrong layer"),
    "circle on bends": (lambda m: m.add_circle((1, 1), 0.1, dxfattribs={"layer": "BEND"}), "wrong layer"),
    "words": (lambda m: m.add_text("cut me", dxfattribs={"layer": "CUT"}), "words in a cut file"),
    "dimension": (
        lambda m: m.add_linear_dim((0, 1), (0, 0), (1, 0), dxfattribs={"layer": "CUT"}).render(),
        "words in a cut file",
    ),
    "spline": (lambda m: m.add_spline([(0, 0), (1, 1), (2, 0)], dxfattribs={"layer": "CUT"}), "not a kind of line"),
    "second outline": (
        lambda m: m.add_lwpolyline([(0, 0), (1, 0), (1, 1)], close=True, dxfattribs={"layer": "CUT"}),
        "2 outlines",
    ),
    "no length": (
        lambda m: m.add_lwpolyline([(0, 0), (0, 0), (1, 1)], close=True, dxfattribs={"layer": "CUT_INNER"}),
        "without length",
    ),
    "off the plane": (lambda m: m.add_circle((1, 1, 3), 0.1, dxfattribs={"layer": "CUT_INNER"}), "not at z 0"),
}


@pytest.mark.behaviour("planted faults are caught")
@pytest.mark.parametrize("fault", PLANTED)
def test_lint(fault: str, tmp_path: Path) -> None:
    path = tmp_path / "x_cut.dxf"
    document = read(cut_dxf(MAIN, "in"), path)
    plant, says = PLANTED[fault]
    plant(document.modelspace())
    document.saveas(path)
    assert any(says in line for line in lint(path)), lint(path)


@pytest.mark.behaviour("a file without units is caught")
def test_lint_units(tmp_path: Path) -> None:
    path = tmp_path / "x_cut.dxf"
    document = read(cut_dxf(MAIN, "in"), path)
    document.header["$INSUNITS"] = 0
    document.saveas(path)
    assert lint(path) == ["the file names neither inches nor millimetres"]


def shrunk(space: Any, flat: Flat, k: float) -> None:
    DRAW(space, flat, 0.99 * k)


def shifted(space: Any, flat: Flat, k: float) -> None:
    DRAW(space, replace(flat, outline=moved(flat.outline, 1e-4, 0.0)), k)


def without_a_hole(space: Any, flat: Flat, k: float) -> None:
    DRAW(space, replace(flat, holes=flat.holes[1:]), k)


def with_a_spline(space: Any, flat: Flat, k: float) -> None:
    DRAW(space, flat, k)
    space.add_spline([(0, 0), (1, 1), (2, 0)], dxfattribs={"layer": "CUT_INNER"})


def with_words(space: Any, flat: Flat, k: float) -> None:
    DRAW(space, flat, k)
    space.add_text("cut me", dxfattribs={"layer": "BEND"})


DRAW = dxf._cut


@pytest.mark.behaviour("a file that is not the part is not written")
@pytest.mark.parametrize(
    ("draw", "code"),
    [(shrunk, "D04"), (shifted, "D04"), (without_a_hole, "D13"), (with_a_spline, "D03"), (with_words, "D05")],
)
def test_export_faults(draw: Any, code: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dxf, "_cut", draw)
    with pytest.raises(ExportFault) as caught:
        cut_dxf(MAIN, "in")
    assert caught.value.code == code


@pytest.mark.behaviour("the drawing says that sizes are net, and is held back where it would not")
def test_net_size(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    document = read(drawing_dxf(MAIN, "in", ()), tmp_path / "x_drawing.dxf")
    assert any("not kerf compensated" in text.dxf.text for text in document.modelspace().query("TEXT"))
    write = dxf._text

    def forgets(space: Any, words: str, *rest: Any, **more: Any) -> None:
        write(space, words.replace("kerf", ""), *rest, **more)

    monkeypatch.setattr(dxf, "_text", forgets)
    with pytest.raises(ExportFault) as caught:
        drawing_dxf(MAIN, "in", ())
    assert caught.value.code == "D08"
