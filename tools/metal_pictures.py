"""Draws each family of shroud for docs/metal.md: its section over its flats, and beside them the shroud folded.

`python -m tools.metal_pictures` writes docs/metal-*.svg again.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from shroudwright.bench.arcs import Vertex, moved
from shroudwright.drawing.flat_picture import flat_picture, section_picture
from shroudwright.drawing.folded_picture import line_picture
from shroudwright.drawing.mesh import folded_mesh
from shroudwright.drawing.shapes import Circle, Line, Picture, Shape, Text, extents
from shroudwright.drawing.shapes import Path as Drawn
from shroudwright.drawing.svg import svg
from shroudwright.metal.assembly import placed
from shroudwright.metal.closing import Ends, Neck
from shroudwright.metal.flat import quarter_turned
from shroudwright.metal.look import Fan
from shroudwright.metal.pan import pan_shroud
from shroudwright.metal.panel import panel_shroud
from shroudwright.metal.shroud import Shroud, rolled_shroud

FOLDER = Path(__file__).parents[1] / "docs"
_INCH = 0.0254
_WIDE, _HIGH = 0.32, 0.20
_APART = 0.06
_CHORD = 2e-4
_MOUNTS = tuple((x * _INCH, y * _INCH, 0.25 * _INCH) for x in (-5.2, 5.2) for y in (-5.2, 5.2))
_FANS = tuple(
    Fan(f"F{n}", x * _INCH, 8.0 * _INCH, 11.0 * _INCH, 11.6 * _INCH, _MOUNTS) for n, x in ((1, 7.0), (2, 20.0))
)
_COMMON: dict[str, Any] = {
    "thickness": 0.08 * _INCH,
    "metal": "aluminium 5052-H32",
    "fans": _FANS,
    "opening_clearance": 0.15 * _INCH,
    "bolt_hole": 0.201 * _INCH,
    "bolt_pitch": 5.0 * _INCH,
    "grommet": 0.75 * _INCH,
}
_ROLLED: dict[str, Any] = {
    **_COMMON,
    "core_width": 27.0 * _INCH,
    "core_height": 16.0 * _INCH,
    "depth": 1.5 * _INCH,
    "roll_radius": 0.75 * _INCH,
    "flange_radius": 0.125 * _INCH,
    "flange_leg": 1.0 * _INCH,
    "trim": 0.5 * _INCH,
    "ends": Ends(foot=1.0 * _INCH),
}
_PAN: dict[str, Any] = {
    **_COMMON,
    "width": 27.0 * _INCH,
    "height": 16.0 * _INCH,
    "depth": 1.5 * _INCH,
    "depth_top": None,
    "bend_radius": 0.125 * _INCH,
    "flange_radius": 0.125 * _INCH,
    "flange_leg": 1.0 * _INCH,
    "lip": 1.0 * _INCH,
}


def _upright() -> Shroud:
    """Rolls up and down, deeper at the top."""
    fans = [fan._replace(x=fan.y, y=27.0 * _INCH - fan.x) for fan in _FANS]
    ends = Ends(foot=1.0 * _INCH, names=("bottom end", "top end"))
    size = {"core_width": 16.0 * _INCH, "core_height": 27.0 * _INCH, "fans": fans, "ends": ends}
    made = rolled_shroud(**{**_ROLLED, **size}, rise=1.0 * _INCH)
    blank = made.flats[0]
    flats, landing = (quarter_turned(blank), *made.flats[1:]), made.landing.quarter_turned(blank.outline)
    return replace(made, flats=flats, landing=landing, is_upright=True)


def shrouds() -> dict[str, Shroud]:
    """One shroud for each picture."""
    w, h, cut = 27.0 * _INCH, 16.0 * _INCH, 3.0 * _INCH
    notched = (
        Vertex(0.0, 0.0), Vertex(w, 0.0), Vertex(w, h - cut),
        Vertex(w - cut, h - cut), Vertex(w - cut, h), Vertex(0.0, h),
    )  # fmt: skip
    neck = Neck(0.2 * _INCH, 11.0 * _INCH, 0.75 * _INCH, 0.9 * _INCH)
    sides = ("left", "right", "bottom", "top")
    one = {"fans": _FANS[:1]}
    return {
        "rolled": rolled_shroud(**_ROLLED),
        "large-roll": rolled_shroud(**{**_ROLLED, "roll_radius": 2.0 * _INCH, "depth": 1.0 * _INCH}, partial=True),
        "flange-in-and-lip": rolled_shroud(**_ROLLED, flanges=("in", "lip"), lip=1.0 * _INCH),
        "tapered": rolled_shroud(**_ROLLED, depth_high=2.5 * _INCH),
        "rolled-sides": _upright(),
        "notched": rolled_shroud(
            **{**_ROLLED, **one, "ends": Ends(foot=1.0 * _INCH, necks=(neck,), divider=14.0 * _INCH)}, outline=notched
        ),
        "bent-pan": pan_shroud(**_PAN, flanges=dict.fromkeys(sides, "out")),
        "flat-plate": panel_shroud(
            **{**_COMMON, **one}, outline=notched, depth=1.0 * _INCH, depth_top=None, margin=1.0 * _INCH
        ),
    }


def _shifted(shape: Shape, dx: float, dy: float) -> Shape:
    match shape:
        case Line():
            return replace(shape, x1=shape.x1 + dx, y1=shape.y1 + dy, x2=shape.x2 + dx, y2=shape.y2 + dy)
        case Circle() | Text():
            return replace(shape, x=shape.x + dx, y=shape.y + dy)
        case Drawn():
            return replace(shape, corners=moved(shape.corners, dx, dy))
        case _:
            raise TypeError(shape)


def _stacked(pictures: list[Picture]) -> Iterator[Shape]:
    """Set pictures one under the other, to one scale."""
    y = 0.0
    for picture in pictures:
        around = extents(picture.shapes)
        yield from (_shifted(shape, -around.x1, y - around.y2) for shape in picture.shapes)
        y -= around.y2 - around.y1 + 0.03


def picture(name: str, made: Shroud) -> str:
    """Section over flats, the shroud folded beside them, to one scale, as SVG."""
    drawn = [section_picture(made, "in"), *(flat_picture(flat, "in") for flat in made.flats)]
    flats = tuple(_stacked(drawn))
    words = f"Section, flats and the folded shroud, {name.replace('-', ' ')}: "
    words += " ".join(item.description for item in drawn)
    return svg(Picture(name, words, (*flats, *_beside(flats, _folded(made)))), _WIDE, _HIGH)


def _folded(made: Shroud) -> Picture:
    """The shroud as it stands, its parts together."""
    meshes = [folded_mesh(part.flat, _CHORD).moved(part.origin, part.axes) for part in placed(made)]
    return line_picture("folded", meshes)


def _beside(flats: Sequence[Shape], folded: Picture) -> Iterator[Shape]:
    """Set a picture to the right of others, its middle level with theirs."""
    left, right = extents(flats), extents(folded.shapes)
    dx, dy = left.x2 + _APART - right.x1, 0.5 * (left.y1 + left.y2 - right.y1 - right.y2)
    return (_shifted(shape, dx, dy) for shape in folded.shapes)


def main() -> None:
    """Write every picture."""
    for name, made in shrouds().items():
        (FOLDER / f"metal-{name}.svg").write_text(picture(name, made), encoding="utf-8")


if __name__ == "__main__":
    main()
