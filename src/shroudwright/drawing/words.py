"""Lengths and bends in a shop's words, for drawings and tables.

length_words, degrees_words, bend_words
"""

import math

from shroudwright.metal.flat import BendLine


def length_words(length: float, units: str, *, is_bare: bool = False) -> str:
    """Write a length [m] to a thousandth of an inch; in millimetres to a tenth, a hundredth under 50 mm."""
    number = f"{length / 0.0254:.3f}" if units == "in" else f"{1e3 * length:.{1 if length >= 0.05 else 2}f}"
    return number if is_bare else f"{number} {units}"


def degrees_words(angle: float) -> str:
    """Write an angle [rad] in degrees."""
    return f"{math.degrees(angle):.4g}°"


def bend_words(bend: BendLine, units: str) -> str:
    """Write a bend in one line: angle turned, direction, inside radius, allowance and deduction."""
    allowance = f"BA {length_words(bend.allowance, units)}  BD {length_words(bend.deduction, units)}"
    turned = f"{degrees_words(bend.angle)} {bend.direction}"
    return f"B{bend.number}: {turned}  R {length_words(bend.radius, units)}  {allowance}"
