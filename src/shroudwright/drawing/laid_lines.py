"""Lines laid on a grid as they are drawn: corners, hops, and tags beside them that cover nothing.

Drawn           a diagram and the boxes that must not touch, for whoever checks it
straightened    corners without those on a straight
hopped          every line; an upright one hops over those across
tags            a tag beside every line
touch           whether two boxes come nearer than a gap
moved           a shape elsewhere
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shroudwright.bench.arcs import Box, Vertex
from shroudwright.bench.arcs import moved as shifted
from shroudwright.drawing.routing import Node
from shroudwright.drawing.shapes import Circle, Line, Path, Pen, Picture, Shape, Text, extents

TAG = 0.5
"""Height of a tag's letters, in squares of the grid"""
CLEAR = 0.12
_THICK = 0.15
_HOP = 0.3
_ASIDE, _ASIDE_THICK = 0.35, 0.43
"""Of a tag from its line"""

Corners = tuple[Node, ...]


@dataclass(frozen=True)
class Drawn:
    """A diagram, and what on it must keep apart."""

    picture: Picture
    symbols: dict[str, Box]
    """by part, in squares of the grid"""
    words: tuple[Box, ...]
    """labels and tags"""
    lines: dict[int, Corners]
    """corners of every wire by its tag"""
    untagged: tuple[int, ...]
    """wires beside which no tag found room"""


def straightened(corners: Sequence[Node]) -> Corners:
    """Leave out corners that lie on a straight."""
    kept = [corners[0]]
    for before, at, after in zip(corners[:-2], corners[1:-1], corners[2:], strict=True):
        straight = (at[0] - before[0]) * (after[1] - at[1]) == (at[1] - before[1]) * (after[0] - at[0])
        if not straight and at != kept[-1]:
            kept.append(at)
    kept.append(corners[-1])
    return tuple(kept)


def hopped(lines: Mapping[int, Corners], pens: Mapping[int, Pen]) -> list[Shape]:
    """Draw every line with its pen; an upright one hops over those across.

    Parameters
    ----------
    lines : mapping of int to corners
        By tag, in the order they are drawn.
    pens : mapping of int to pen
        By tag.

    Returns
    -------
    list of Shape
    """
    across = [
        (min(x1, x2), max(x1, x2), y1)
        for corners in lines.values()
        for (x1, y1), (x2, y2) in pairwise(corners)
        if y1 == y2
    ]
    shapes: list[Shape] = []
    for tag, corners in lines.items():
        points: list[Vertex] = []
        for (x1, y1), (x2, y2) in pairwise(corners):
            points.append(Vertex(x1, y1))
            if x1 == x2:
                way = 1 if y2 > y1 else -1
                met = [y for low, high, y in across if low < x1 < high and min(y1, y2) < y < max(y1, y2)]
                for y in sorted(met, reverse=way < 0):
                    points += [Vertex(x1, y - way * _HOP, float(-way)), Vertex(x1, y + way * _HOP)]
        points.append(Vertex(*corners[-1]))
        shapes.append(Path(tuple(points), pens[tag], is_closed=False))
    return shapes


def tags(
    lines: Mapping[int, Corners], pens: Mapping[int, Pen], taken: Sequence[Box], words: Mapping[int, str]
) -> tuple[list[Text], tuple[int, ...]]:
    """Place a tag beside every line, where it covers nothing: along its longest stretches first.

    Parameters
    ----------
    lines : mapping of int to corners
        By tag.
    pens : mapping of int to pen
        By tag.
    taken : sequence of Box
        What no tag may cover.
    words : mapping of int to str
        What stands beside each; its number where left out, or where there is no room for more.

    Returns
    -------
    placed, untagged
        Tags, and lines beside which none found room.
    """
    taken = list(taken)
    strokes = [
        Box(min(x1, x2) - thick, min(y1, y2) - thick, max(x1, x2) + thick, max(y1, y2) + thick)
        for tag, corners in lines.items()
        for (x1, y1), (x2, y2) in pairwise(corners)
        for thick in (_THICK if pens[tag] == "thick" else 0.0,)
    ]
    placed: list[Text] = []
    untagged: list[int] = []
    # Those with the least room choose first.
    for tag, corners in sorted(lines.items(), key=lambda item: _run(item[1])):
        aside = _ASIDE_THICK if pens[tag] == "thick" else _ASIDE
        # All that is to be said where there is room, else the number alone.
        for text in (*_spots(corners, words.get(tag, str(tag)), aside), *_spots(corners, str(tag), aside)):
            around = extents([text])
            if not any(touch(around, other, CLEAR) for other in taken + strokes):
                placed.append(text)
                taken.append(around)
                break
        else:
            untagged.append(tag)
    return placed, tuple(untagged)


def _run(corners: Corners) -> int:
    return sum(abs(x1 - x2) + abs(y1 - y2) for (x1, y1), (x2, y2) in pairwise(corners))


def _spots(corners: Corners, words: str, aside: float) -> list[Text]:
    """Where a tag may stand: over or under a level stretch, left or right of an upright one."""
    stretches = sorted(pairwise(corners), key=lambda pair: -abs(pair[0][0] - pair[1][0]) - abs(pair[0][1] - pair[1][1]))
    spots = []
    for (x1, y1), (x2, y2) in stretches:
        length = max(abs(x2 - x1), abs(y2 - y1))
        steps = [0.5 + (index + 1) // 2 * (0.5 / max(length, 1)) * (-1) ** index for index in range(2 * length)]
        for share in steps:
            x, y = x1 + share * (x2 - x1), y1 + share * (y2 - y1)
            if y1 == y2:
                spots += [
                    Text(x, y + aside, words, TAG, "middle"),
                    Text(x, y - aside - TAG, words, TAG, "middle"),
                ]
            else:
                turned = 0.5 * math.pi
                spots += [
                    Text(x - aside, y, words, TAG, "middle", turned),
                    Text(x + aside + TAG, y, words, TAG, "middle", turned),
                ]
    return spots


def touch(one: Box, two: Box, gap: float) -> bool:
    """Return whether two boxes come nearer than a gap."""
    return one.x1 < two.x2 + gap and two.x1 < one.x2 + gap and one.y1 < two.y2 + gap and two.y1 < one.y2 + gap


def moved(shape: Shape, x: float, y: float) -> Shape:
    """Return a shape elsewhere."""
    match shape:
        case Line(x1, y1, x2, y2, pen):
            return Line(x1 + x, y1 + y, x2 + x, y2 + y, pen)
        case Circle(at_x, at_y, radius, pen):
            return Circle(at_x + x, at_y + y, radius, pen)
        case Path(corners, pen, is_closed, is_filled):
            return Path(shifted(corners, x, y), pen, is_closed, is_filled)
        case Text(at_x, at_y, words, height, anchor, angle, pen):
            return Text(at_x + x, at_y + y, words, height, anchor, angle, pen)
    raise TypeError(shape)
