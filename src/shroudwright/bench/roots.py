"""A bracketed root, one evaluation at a time, for use inside compiled loops.

    bracket    open a search between two points of opposite sign
    guess      the next point to evaluate
    narrow     take in the value found there
    is_found   whether the bracket is narrow enough
    hunt       open a search of a falling function from a likely point and slope
    step       the next point, from the value found at this one

The caller evaluates the function itself, so compiled code needs no function arguments.
Chandrupatla, Adv. Eng. Software 28 (1997) 145 (from memory): inverse quadratic steps where they are
safe, bisection where they are not. A hunt takes secant steps kept between the points known to lie on
either side, and halves what is between them where a step leaves it or the search drags on.
"""

import math
from typing import NamedTuple

from shroudwright.bench.compiled import compilable


class Bracket(NamedTuple):
    """The newest point a, the far point b of opposite sign, the point c before, and the step share."""

    a: float
    at_a: float
    b: float
    at_b: float
    share: float


@compilable
def bracket(low: float, at_low: float, high: float, at_high: float) -> Bracket:
    """Open a search between two points whose values differ in sign."""
    share = at_low / (at_low - at_high) if at_low != at_high else 0.5
    return Bracket(low, at_low, high, at_high, min(max(share, 0.02), 0.98))


@compilable
def guess(state: Bracket) -> float:
    """Return the next point to evaluate."""
    return state.a + state.share * (state.b - state.a)


@compilable
def narrow(state: Bracket, point: float, value: float, tolerance: float) -> Bracket:
    """Take in the value at the guessed point; never step closer to an end than half the tolerance."""
    if (value > 0.0) == (state.at_a > 0.0):
        c, at_c = state.a, state.at_a
        b, at_b = state.b, state.at_b
    else:
        c, at_c = state.b, state.at_b
        b, at_b = state.a, state.at_a
    share = 0.5
    if at_b != at_c and at_b != value:  # noqa: PLR1714
        xi = (point - b) / (c - b)
        phi = (value - at_b) / (at_c - at_b)
        if phi * phi < xi and (1.0 - phi) * (1.0 - phi) < 1.0 - xi:
            share = value / (at_b - value) * at_c / (at_b - at_c) + (c - point) / (b - point) * value / (
                at_c - value
            ) * at_b / (at_c - at_b)
    least = min(0.5, 0.5 * tolerance / math.fabs(b - point)) if b != point else 0.5
    return Bracket(point, value, b, at_b, min(max(share, least), 1.0 - least))


@compilable
def is_found(state: Bracket, tolerance: float, small: float = 0.0) -> bool:
    """Whether the bracket is within a tolerance, or the newest value no larger than ``small``."""
    return math.fabs(state.at_a) <= small or math.fabs(state.b - state.a) <= tolerance


@compilable
def best(state: Bracket) -> float:
    """Return the end of the bracket with the smaller value."""
    return state.a if math.fabs(state.at_a) <= math.fabs(state.at_b) else state.b


_PATIENCE = 12


class Hunt(NamedTuple):
    """The point to evaluate, the last slope, the nearest points known under and over the root, the point before."""

    point: float
    slope: float
    low: float
    high: float
    last: float
    at_last: float
    steps: int


@compilable
def hunt(point: float, slope: float, low: float, high: float) -> Hunt:
    """Open a search of a falling function; ``high`` may be inf."""
    return Hunt(point, slope, low, high, math.nan, math.nan, 0)


@compilable
def step(state: Hunt, value: float) -> Hunt:
    """Take in the value at the point and choose the next one."""
    point, slope = state.point, state.slope
    low = point if value > 0.0 else state.low
    high = point if value < 0.0 else state.high
    if point != state.last and not math.isnan(state.last):
        found = (value - state.at_last) / (point - state.last)
        if found < 0.0:
            slope = found
    ahead = point - value / slope
    if math.isinf(high):
        ahead = min(ahead, 4.0 * point + 1.0) if ahead > low else 2.0 * point + 1.0
    elif not low < ahead < high or state.steps > _PATIENCE:
        ahead = 0.5 * (low + high)
    return Hunt(ahead, slope, low, high, point, value, state.steps + 1)
