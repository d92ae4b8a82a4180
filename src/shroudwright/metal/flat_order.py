"""The order in which a flat's bends are made.

Ordered     a bend in that order
order_of    the order of a whole flat
way_of      whether a bend lies level or upright
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

from shroudwright.bench.arcs import box
from shroudwright.metal.bend import is_large
from shroudwright.metal.bend_order import Made, Turn, bend_order
from shroudwright.metal.flat import BendLine, Flat

Way = Literal["level", "upright"]


class Ordered(NamedTuple):
    """A bend, how it is made, and which way it lies."""

    bend: BendLine
    made: Made
    way: Way


def order_of(flat: Flat) -> list[Ordered] | None:
    """Order a flat's bends.

    Parameters
    ----------
    flat : Flat
        With its bends.

    Returns
    -------
    list of (BendLine, Made, Way), or None
        None where no order clears the usual leaf brake. Where bends lie both ways the outer ones come first.
    """
    outer: list[Ordered] = []
    inner: list[Ordered] = []
    ways: tuple[Way, ...] = ("level", "upright")
    for way in ways:
        own = [bend for bend in flat.bends if way_of(bend) == way]
        if not own:
            continue
        chain = _chain(own, way)
        straights, turns = _strip(flat, chain, way)
        made = bend_order(straights, turns, flat.thickness)
        if made is None:
            return None
        face = straights.index(max(straights))
        is_outer = [one.bend not in (face - 1, face) for one in made]
        count = 0 if any(is_outer[sum(is_outer) :]) else sum(is_outer)
        for at, one in enumerate(made):
            bend = chain[one.bend]
            alike = [other for other in own if other not in chain and _made_with(other, chain, way) is bend]
            (outer if at < count else inner).extend(Ordered(each, one, way) for each in (bend, *alike))
    return outer + inner


def way_of(bend: BendLine) -> Way:
    """Return which way a bend lies: along x, or along y."""
    return "level" if abs(bend.x2 - bend.x1) >= abs(bend.y2 - bend.y1) else "upright"


def _across(bend: BendLine, way: Way) -> float:
    return 0.5 * (bend.y1 + bend.y2 if way == "level" else bend.x1 + bend.x2)


def _span(bend: BendLine, way: Way) -> tuple[float, float]:
    ends = (bend.x1, bend.x2) if way == "level" else (bend.y1, bend.y2)
    return min(ends), max(ends)


def _chain(own: Sequence[BendLine], way: Way) -> list[BendLine]:
    """Bends met on the line across the flat that meets most of them."""
    spans = sorted((_span(bend, way) for bend in own), key=lambda span: span[0] - span[1])
    middles = [0.5 * (start + end) for start, end in spans]
    met = [[bend for bend in own if _span(bend, way)[0] <= at <= _span(bend, way)[1]] for at in middles]
    most = max(len(found) for found in met)
    return sorted(next(found for found in met if len(found) == most), key=lambda bend: _across(bend, way))


def _strip(flat: Flat, chain: Sequence[BendLine], way: Way) -> tuple[list[float], list[Turn]]:
    """The flat along that line, as straights and turns."""
    around = box(flat.outline)
    at, end = (around.y1, around.y2) if way == "level" else (around.x1, around.x2)
    straights = []
    for bend in chain:
        middle = _across(bend, way)
        straights.append(max(middle - 0.5 * bend.allowance - at, 0.0))
        at = middle + 0.5 * bend.allowance
    turns = [
        Turn(bend.angle, bend.radius, bend.direction == "up", bend.allowance, is_large(bend.radius, flat.thickness))
        for bend in chain
    ]
    return [*straights, max(end - at, 0.0)], turns


def _made_with(one: BendLine, chain: Sequence[BendLine], way: Way) -> BendLine:
    """The bend of a chain that one off it is made with: the nearest of its direction and radius, else the nearest."""

    def off(other: BendLine) -> tuple[bool, float]:
        is_other = one.direction != other.direction or abs(one.radius - other.radius) > 1e-9
        return is_other, abs(_across(one, way) - _across(other, way))

    return min(chain, key=off)
