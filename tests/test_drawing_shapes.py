"""Shapes, pictures and their SVG."""

import math
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from fontTools.pens.areaPen import AreaPen
from fontTools.svgLib.path import parse_path
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.arcs import Circle as Round
from shroudwright.bench.arcs import Vertex, area, box, circle_outline, moved, rectangle
from shroudwright.drawing.flat_picture import flat_picture, hole_gauge, section_picture
from shroudwright.drawing.shapes import Circle, Line, Path, Picture, Text, dimension, extents
from shroudwright.drawing.svg import MARGIN, svg
from tests.packets import EVIL, INCH, a_shroud

SVG = "{http://www.w3.org/2000/svg}"


def drawn(*shapes: Line | Circle | Path | Text, scale: float = 1.0) -> ET.Element:
    return ET.fromstring(svg(Picture("t", "d", shapes), 1.0, 1.0, scale=scale))


@pytest.mark.law("a dimension's arrows point at what it measures, along it")
@given(
    st.floats(-1, 1), st.floats(-1, 1), st.floats(0.05, 1), st.floats(-math.pi, math.pi), st.sampled_from([-0.1, 0.1])
)
def test_dimension(x: float, y: float, length: float, angle: float, away: float) -> None:
    x2, y2 = x + length * math.cos(angle), y + length * math.sin(angle)
    shapes = dimension(x, y, x2, y2, away, "says", 0.01)
    tips = [shape.corners[0] for shape in shapes if isinstance(shape, Path)]
    assert math.dist(tips[0][:2], tips[1][:2]) == pytest.approx(length)
    nx, ny = -math.sin(angle) * away, math.cos(angle) * away
    assert tips[0][:2] == pytest.approx((x + nx, y + ny))
    words = next(shape for shape in shapes if isinstance(shape, Text))
    assert words.words == "says"
    assert -math.pi / 2 - 1e-6 <= words.angle <= math.pi / 2 + 1e-6


@pytest.mark.law("extents hold every shape")
def test_extents() -> None:
    around = extents([Line(0, 0, 1, 2), Circle(3, 0, 1), Path(rectangle(1, 1)), Text(0, -1, "abc", 0.1)])
    assert (around.x1, around.x2, around.y2) == (0, 4, 2)
    assert around.y1 == pytest.approx(-1.03)


@pytest.mark.independent("fontTools' reading of the path, its area by Bezier arcs")
@pytest.mark.parametrize(
    "outline",
    [
        rectangle(0.4, 0.2, 0.03),
        circle_outline(Round(0.1, 0.2, 0.05)),
        (Vertex(0, 0), Vertex(0.3, 0, 1.7), Vertex(0.3, 0.1), Vertex(0, 0.1, -0.3)),
        moved(a_shroud().section, 0.2, -0.3),
    ],
    ids=["rounded", "circle", "far arc and dent", "section"],
)
def test_path_area(outline: tuple[Vertex, ...]) -> None:
    root = drawn(Path(outline))
    pen = AreaPen()
    way = root.find(f".//{SVG}path")
    assert way is not None
    parse_path(way.attrib["d"], pen)
    assert -pen.value / 1e6 == pytest.approx(area(outline), rel=1e-3)
    around = box(outline)
    assert float(root.attrib["width"].removesuffix("mm")) == pytest.approx(
        1e3 * (around.x2 - around.x1 + 2 * MARGIN), abs=1e-3
    )


@pytest.mark.behaviour("words stay words, nothing comes from outside")
def test_svg_escapes() -> None:
    text = svg(Picture(EVIL, EVIL + "\x00\x1b", (Text(0, 0, EVIL, 0.01), Line(0, 0, 1, 1))), 0.1, 0.1)
    root = ET.fromstring(text)
    assert "<script" not in text
    assert "href" not in text
    assert text.count("http") == 1, "the namespace only"
    assert [e.text for e in root.iter(f"{SVG}text")] == [EVIL]
    assert root.find(f"{SVG}title").text == root.find(f"{SVG}desc").text == EVIL  # type: ignore[union-attr]
    assert root.attrib["role"] == "img"
    assert root.attrib["width"].endswith("mm")


@pytest.mark.behaviour("a picture fits the paper it is given")
@pytest.mark.parametrize(("width", "height"), [(0.174, 0.16), (0.174, 0.03), (0.05, 0.2)])
def test_svg_fits(width: float, height: float) -> None:
    root = ET.fromstring(svg(flat_picture(a_shroud().flats[0], "in"), width, height))
    assert float(root.attrib["width"][:-2]) <= 1e3 * width + 1e-3
    assert float(root.attrib["height"][:-2]) <= 1e3 * height + 1e-3


@pytest.mark.behaviour("a flat's picture says its sizes, holes and bends")
@pytest.mark.parametrize("units", ["in", "mm"])
def test_flat_picture(units: str) -> None:
    flat = a_shroud().flats[0]
    picture = flat_picture(flat, units)
    words = [shape.words for shape in picture.shapes if isinstance(shape, Text)]
    around = box(flat.outline)
    wide = (around.x2 - around.x1) / (INCH if units == "in" else 1e-3)
    assert any(word.startswith(f"{wide:.3f} in" if units == "in" else f"{wide:.1f} mm") for word in words)
    assert {str(hole.number) for hole in flat.holes} <= set(words)
    for bend in flat.bends:
        assert any(word.startswith(f"B{bend.number} ") and word.endswith(bend.direction) for word in words)
    circles = [shape for shape in picture.shapes if isinstance(shape, Circle)]
    assert len(circles) == len(flat.holes) + len(flat.openings)


@pytest.mark.behaviour("the section and the hole gauge draw what the shroud holds")
def test_other_pictures() -> None:
    shroud = a_shroud()
    outlines = [shape.corners for shape in section_picture(shroud, "mm").shapes if isinstance(shape, Path)]
    assert shroud.section in outlines
    gauge = hole_gauge(shroud.flats, "mm")
    assert gauge is not None
    radii = {shape.radius for shape in gauge.shapes if isinstance(shape, Circle)}
    assert radii == {hole.diameter / 2 for flat in shroud.flats for hole in flat.holes}
    assert hole_gauge(tuple(replace(flat, holes=()) for flat in shroud.flats), "mm") is None
