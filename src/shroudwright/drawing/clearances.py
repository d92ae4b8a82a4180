"""Plan of the fans on core and shroud, with the tightest clearances led out.

clearance_picture    seen from behind
tightest_pairs       the clearances it names: one for each pair of things
"""

import math
from collections.abc import Iterator, Sequence

from shroudwright.bench.arcs import Box, box, moved, rectangle
from shroudwright.drawing.placing import stacked
from shroudwright.drawing.shapes import LETTER_WIDTH, Circle, Line, Path, Pen, Picture, Shape, Text, extents
from shroudwright.shroud.bodies import FanBody, Plate, Solid
from shroudwright.shroud.fit import Clearance
from shroudwright.speech import Dialect

MOST_NAMED = 10
LETTERS_ACROSS, LETTERS_UP = 62.0, 32.0
"""How many letters' heights the core is wide and high at most, so that words stay readable on paper."""
ROOMY = 0.1
"""A gap with more to spare than this crowds nobody and is not named, [m]"""
_LINE = 1.5
_FARTHEST = 5.0
"""What is larger than this stands everywhere, and is not drawn, [m]"""
_NEAR = 1e-6


def tightest_pairs(found: Sequence[Clearance], most: int = MOST_NAMED) -> list[Clearance]:
    """Return the clearance with least to spare of each pair of things, the tightest pairs first."""
    least: dict[frozenset[str], Clearance] = {}
    for item in sorted(found, key=lambda item: item.spare):
        least.setdefault(frozenset(item.between), item)
    return [item for item in least.values() if item.spare <= ROOMY][:most]


def clearance_picture(
    fans: Sequence[FanBody],
    plate: Plate | None,
    solids: Sequence[Solid],
    found: Sequence[Clearance],
    core: tuple[float, float],
    shop: Dialect,
    boxes: Sequence[Plate] = (),
) -> Picture:
    """Draw fans, plate and what is in their way, and name the tightest clearances.

    Parameters
    ----------
    fans, plate, solids : FanBody, Plate, Solid
        What stands behind the core, [m]
    found : sequence of Clearance
        Of them all, [m]
    core : tuple of float
        Width and height of the fins, [m]
    shop : Dialect
        Units to write lengths in.
    boxes : sequence of Plate
        Each box instead of the plate, where there are several, [m]

    Returns
    -------
    Picture
        In metres of core.
    """
    letter = max(core[0] / LETTERS_ACROSS, core[1] / LETTERS_UP)
    shapes: list[Shape] = [Path(rectangle(*core), "thin")]
    for one in boxes or (() if plate is None else (plate,)):
        shapes += _plate(one)
    if plate is not None:
        shapes += _flaps(plate, letter)
    for solid in solids:
        shapes += _solid(solid)
    for fan in fans:
        shapes += _fan(fan, letter)
    named = tightest_pairs(found)
    shapes += _labels(named, extents(shapes), letter, shop)
    says = "; ".join(", ".join(says_of(item, shop)[::-1]) for item in named)
    return Picture("Clearances", f"Fans on the core, seen from behind. {says}.", tuple(shapes))


def says_of(item: Clearance, shop: Dialect) -> tuple[str, str]:
    """Write a clearance in two lines: what is left or missing, and between what."""
    names = " / ".join(dict.fromkeys(name for name in item.between if name != "shroud"))
    if item.gap < -_NEAR:
        return f"{item.kind}: {shop.tape(-item.gap)} MISSING", names
    left = shop.tape(item.gap) if item.gap > _NEAR else "0"
    short = f", {shop.tape(item.least)} WANTED" if item.spare < -_NEAR else ""
    return f"{item.kind}: {left}{short}", names


def _plate(plate: Plate) -> Iterator[Shape]:
    yield Path(plate.outline, "thick")
    edges = box(plate.outline)
    for y, roll in ((edges.y1 + plate.roll_bottom, plate.roll_bottom), (edges.y2 - plate.roll_top, plate.roll_top)):
        if roll > 0.0:
            yield Line(edges.x1, y, edges.x2, y, "bend")
    if plate.divider is not None:
        yield Line(plate.divider, edges.y1, plate.divider, edges.y2, "thick")


def _flaps(plate: Plate, letter: float) -> Iterator[Shape]:
    for name, x, y, wide, high in plate.flaps:
        yield Path(moved(rectangle(2.0 * wide, 2.0 * high), x - wide, y - high), "inner")
        yield Text(x, y - 0.5 * letter, name, letter, "middle", pen="thin")


def _solid(solid: Solid) -> Iterator[Shape]:
    if solid.kind == "tank" or max(solid.width, solid.height) > _FARTHEST:
        return
    corner = min(solid.corner, solid.width, solid.height)
    pen: Pen = "ref" if solid.kind in ("hose", "engine") else "inner"
    if corner >= solid.width and corner >= solid.height:
        yield Circle(solid.x, solid.y, solid.width, pen)
    elif solid.width > 0.0:
        around = rectangle(2.0 * solid.width, 2.0 * solid.height, corner)
        yield Path(moved(around, solid.x - solid.width, solid.y - solid.height), pen)


def _fan(fan: FanBody, letter: float) -> Iterator[Shape]:
    if fan.frame is not None:
        half = 0.5 * fan.frame
        if fan.corner >= half:
            yield Circle(fan.x, fan.y, half, "cut")
        else:
            yield Path(moved(rectangle(fan.frame, fan.frame, fan.corner), fan.x - half, fan.y - half), "cut")
    yield Circle(fan.x, fan.y, 0.5 * fan.opening, "inner")
    yield Circle(fan.x, fan.y, 0.5 * fan.motor, "ref")
    for right, up, diameter in fan.holes:
        yield Circle(fan.x + right, fan.y + up, 0.5 * diameter, "thin")
    yield Text(fan.x, fan.y - 0.5 * letter, fan.code, letter, "middle", pen="thin")


def _labels(named: Sequence[Clearance], around: Box, letter: float, shop: Dialect) -> Iterator[Shape]:
    """Stack labels left and right of the picture, each led to its place."""
    by_place = sorted(named, key=lambda item: item.where[0])
    half = math.ceil(len(by_place) / 2)
    sides = ((by_place[:half], around.x1 - 4.0 * letter, -1.0), (by_place[half:], around.x2 + 4.0 * letter, 1.0))
    for beside, edge, way in sides:
        items = sorted(beside, key=lambda item: item.where[1])
        heights = stacked([item.where[1] for item in items], (2.0 * _LINE + 0.6) * letter)
        middle = 0.5 * (around.y1 + around.y2)
        drop = 0.5 * (heights[0] + heights[-1]) - middle if heights else 0.0
        for item, height in zip(items, heights, strict=True):
            y = height - 0.5 * drop
            yield Circle(*item.where, 0.35 * letter, "halo")
            yield Circle(*item.where, 0.35 * letter, "thick" if item.spare < -_NEAR else "dim")
            yield Line(item.where[0], item.where[1], edge - 0.6 * letter * way, y, "dim")
            for line, words in enumerate(says_of(item, shop)):
                low = y - (0.35 + _LINE * line) * letter
                yield Text(
                    edge, low, words, letter, "start" if way > 0.0 else "end", pen="thin" if line == 0 else "dim"
                )


def label_boxes(picture: Picture) -> list[Box]:
    """Return the upright boxes of a picture's words, by their likely width."""
    boxes = []
    for shape in picture.shapes:
        if isinstance(shape, Text):
            width = LETTER_WIDTH * shape.height * len(shape.words)
            left = shape.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.anchor] * width
            boxes.append(Box(left, shape.y, left + width, shape.y + shape.height))
    return boxes
