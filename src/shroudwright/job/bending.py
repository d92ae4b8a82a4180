"""What a job says of bending: its neutral lines and what it bends with.

tools_of     as typed
neutral_of   neutral lines to lay out with
"""

from shroudwright.job.filled import Filled
from shroudwright.job.quantity import Reading
from shroudwright.metal.bend import Neutral
from shroudwright.metal.forming import LEAST_K, MOST_K, k_measured
from shroudwright.metal.making import Tools


def tools_of(filled: Filled) -> Tools:
    """Return what a job bends with; its K as typed or as its test bend tells, possible or not."""
    shop = filled.job.shop
    tight, is_tested = shop.k_factor.value if shop.k_factor else None, shop.test_strip is not None
    if shop.test_strip and shop.test_legs and shop.test_angle and shop.test_radius:
        strip, legs, angle, radius = (
            one.value for one in (shop.test_strip, shop.test_legs, shop.test_angle, shop.test_radius)
        )
        tight = k_measured(strip, legs, angle, radius, filled.median("shop.sheet_thickness"))
    return Tools(
        brake_length=_value(shop.brake_length),
        brake_thickness=_value(shop.brake_thickness),
        hits=_value(shop.roll_hits),
        found=Neutral(tight, shop.roll_k.value if shop.roll_k else None),
        is_tested=is_tested,
    )


def _value(reading: Reading | None) -> float:
    return reading.value if reading else 0.0


def neutral_of(filled: Filled) -> Neutral:
    """Return the neutral lines to lay out with; the table's for one that no sheet can have, which is a finding."""
    return Neutral(*(k if k is not None and LEAST_K <= k <= MOST_K else None for k in tools_of(filled).found))
