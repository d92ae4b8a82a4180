"""A flat and a section as a builder reads them: outlines, numbers, labels and sizes.

flat_picture       outline, openings, hole numbers, bend labels, over-all sizes
section_picture    the section with depth, width and radii
hole_label         where a hole's number goes
hole_gauge         every drilled size once, to lay fasteners and grommets on
"""

import math

from shroudwright.bench.arcs import Box, box, distance, moved, rectangle
from shroudwright.bench.arcs import Circle as Round
from shroudwright.drawing.shapes import Circle, Line, Path, Picture, Shape, Text, dimension
from shroudwright.drawing.words import degrees_words, length_words
from shroudwright.metal.flat import BendLine, Flat, Hole, Opening
from shroudwright.metal.shroud import Shroud
from shroudwright.metal.walls import Section

LETTERS_ACROSS = 75.0
"""How many letters' heights the flat is wide, so that words stay readable once it is fitted to a sheet."""
_GAUGE_LETTER, _GAUGE_WIDTH = 0.0022, 0.16
_SAME = 1e-6


def flat_picture(flat: Flat, units: str) -> Picture:
    """Draw a flat with its dimensions, hole numbers and bend labels.

    Parameters
    ----------
    flat : Flat
        The part.
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    Picture
        In the flat's own metres.
    """
    around = box(flat.outline)
    wide, high = around.x2 - around.x1, around.y2 - around.y1
    height = max(wide, high) / LETTERS_ACROSS
    shapes: list[Shape] = [Path(flat.outline, "cut")]
    shapes += [Line(*mark, "etch") for mark in flat.etch_lines]
    shapes += [Text(mark.x, mark.y, mark.text, mark.height, angle=mark.angle, pen="etch") for mark in flat.etch_texts]
    shapes += [_edge(opening) for opening in flat.openings if opening.bolt]
    # Where slots stand is in the list of holes; a row of sizes for each would bury the flat.
    wide_ones = sorted((item for item in flat.openings if not item.bolt), key=lambda item: item.middle)
    for at, opening in enumerate(wide_ones):
        x, y = opening.middle
        width = length_words(opening.box.x2 - opening.box.x1, units)
        shapes += [_edge(opening), *_cross(x, y, 1.5 * height)]
        says = f"Ø {width}" if isinstance(opening.shape, Round) else f"{width} wide"
        # A small one's size would run into its neighbour's; the list of holes has it.
        if opening.box.x2 - opening.box.x1 > 0.6 * len(says) * height:
            shapes.append(Text(x, y + 2.0 * height, says, height, "middle"))
        row = around.y1 - (3.5 + 2.5 * at) * height
        shapes += dimension(
            around.x1,
            around.y1,
            x,
            around.y1,
            row - around.y1,
            length_words(x - around.x1, units, is_bare=True),
            height,
        )
    for hole in flat.holes:
        shapes.append(Circle(hole.x, hole.y, hole.diameter / 2, "inner"))
        shapes.append(hole_label(hole, flat, 0.7 * height))
    for bend in flat.bends:
        shapes.append(Line(bend.x1, bend.y1, bend.x2, bend.y2, "bend"))
        shapes.append(_bend_label(bend, around, height))
    overall = around.y1 - (4.0 + 2.5 * len(wide_ones)) * height
    shapes += dimension(
        around.x1, around.y1, around.x2, around.y1, overall - around.y1, length_words(wide, units), height
    )
    shapes += dimension(around.x1, around.y1, around.x1, around.y2, 4.0 * height, length_words(high, units), height)
    words = f"{flat.name}, {length_words(wide, units)} by {length_words(high, units)}"
    counts = f"{len(flat.openings)} openings, {len(flat.holes)} holes, {len(flat.bends)} bends"
    return Picture(f"Flat of {flat.name}", f"{words}: {counts}.", tuple(shapes))


def _edge(opening: Opening) -> Shape:
    return Circle(*opening.shape, "inner") if isinstance(opening.shape, Round) else Path(opening.shape, "inner")


def section_picture(shroud: Shroud, units: str) -> Picture:
    """Draw the section across the bent edges, or a flat plate on its spacers, core side down, with its sizes.

    Parameters
    ----------
    shroud : Shroud
        Whose section to draw.
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    Picture
        In metres.
    """
    shape, around = shroud.shape, box(shroud.section)
    height = (around.x2 - around.x1) / LETTERS_ACROSS
    middle, plane = (around.x1 + around.x2) / 2, shape.lip if shape else 0.0
    shapes: list[Shape] = [Path(shroud.section, "ref", is_filled=True), Path(shroud.section, "inner")]
    left, right = around.x1, around.x2
    if shape is None:
        tube = 3.0 * shroud.thickness
        for x, depth in zip((left + 2.0 * tube, right - 2.0 * tube), shroud.depths, strict=True):
            shapes.append(Path(moved(rectangle(tube, min(depth, around.y1)), x - 0.5 * tube, 0.0), "inner"))
        words = f"flat plate on spacers; sheet {length_words(shroud.thickness, units)}"
    else:
        left = around.x1 - box(shape.profile.outline).x1
        right = left + shape.width
        words = _section_words(shape, units)
        shapes += dimension(left, 0.0, right, 0.0, -4.5 * height, length_words(shape.width, units), height)
    for x, depth, away in zip((around.x1, around.x2), shroud.depths, (3.0, -3.0), strict=True):
        if away > 0.0 or abs(shroud.depths[0] - shroud.depths[1]) > _SAME:
            says = length_words(depth, units)
            shapes += dimension(x, plane, x, plane + depth, away * height, says, height)
    shapes += [
        Line(around.x1, plane, around.x2, plane, "ref"),
        Text(middle, min(0.0, around.y1) - 1.6 * height, "core side", height, "middle"),
        Text(middle, around.y2 + height, words, height, "middle"),
    ]
    return Picture("Section of the shroud", f"Section: {words}.", tuple(shapes))


def _section_words(shape: Section, units: str) -> str:
    """Name radii, angles and how each wall ends."""
    turns = list(dict.fromkeys(degrees_words(side.turn) for side in (shape.low, shape.high)))
    bends = f"bends at the face R {length_words(shape.roll_radius, units)}, turned {' and '.join(turns)}"
    said = {
        "out": f"flange out, bend R {length_words(shape.flange_radius, units)}",
        "in": f"flange in, bend R {length_words(shape.flange_radius, units)}",
        "none": "plain edge",
        "lip": f"lip {length_words(shape.lip, units)} over the core's side",
    }
    ends = list(dict.fromkeys(said[side.kind] for side in (shape.low, shape.high)))
    return f"{bends}; {' and '.join(ends)}; sheet {length_words(shape.thickness, units)}"


def hole_gauge(flats: tuple[Flat, ...], units: str) -> Picture | None:
    """Draw every drilled size once, in a row, for printing at full size.

    Parameters
    ----------
    flats : tuple of Flat
        Whose holes to show.
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    Picture or None
        In metres; None without a hole that fits the row.
    """
    sizes = sorted({hole.diameter for flat in flats for hole in flat.holes})
    shapes: list[Shape] = []
    x = 0.0
    for size in sizes:
        step = max(size, _GAUGE_LETTER * 9) + _GAUGE_LETTER
        if x + step > _GAUGE_WIDTH:
            break
        middle = x + step / 2
        shapes += [Circle(middle, 0.0, size / 2, "inner"), *_cross(middle, 0.0, 0.7 * size)]
        says = length_words(size, units)
        shapes.append(Text(middle, -sizes[-1] / 2 - 3 * _GAUGE_LETTER, says, _GAUGE_LETTER, "middle"))
        x += step
    return (
        Picture("Holes at full size", "One circle for each drilled size, full size.", tuple(shapes)) if shapes else None
    )


def hole_label(hole: Hole, flat: Flat, height: float) -> Text:
    """Put a hole's number beside it: inward near an end, else away from the nearest opening.

    Parameters
    ----------
    hole : Hole
        To label.
    flat : Flat
        It is in.
    height : float
        Of the digits, [m]

    Returns
    -------
    Text
        Level with the hole.
    """
    around, near = box(flat.outline), 5 * height
    edges = [(distance(item.outline, hole.x, hole.y), item.middle[0]) for item in flat.openings if not item.bolt]
    is_left = bool(edges) and min(edges)[1] > hole.x
    is_left = (is_left or around.x2 - hole.x < near) and hole.x - around.x1 > near
    aside = hole.diameter / 2 + 0.6 * height
    x = hole.x - aside if is_left else hole.x + aside
    return Text(x, hole.y - height / 2, str(hole.number), height, "end" if is_left else "start")


def _bend_label(bend: BendLine, around: Box, height: float) -> Text:
    """Put a bend's label beyond the end of its line, on the right or on top."""
    turned = f"B{bend.number} {degrees_words(bend.angle)} {bend.direction}"
    if abs(bend.x2 - bend.x1) >= abs(bend.y2 - bend.y1):
        return Text(around.x2 + height, bend.y1 - 0.35 * height, turned, height)
    return Text(bend.x1 + 0.35 * height, around.y2 + height, turned, height, angle=math.pi / 2)


def _cross(x: float, y: float, reach: float) -> tuple[Line, Line]:
    return Line(x - reach, y, x + reach, y, "ref"), Line(x, y - reach, x, y + reach, "ref")
