"""The page "Air behind the core": what the plenum does, drawn.

behind_page    its blocks
faces          the core's air as built and an inch deeper, for the map
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from shroudwright.air_behind import ANOTHER, Curves, Report
from shroudwright.assessment import Assessment
from shroudwright.drawing.air_map import Face, air_map, face_of, top_speed
from shroudwright.drawing.clearances import clearance_picture
from shroudwright.drawing.depth_section import deepest, depth_section
from shroudwright.drawing.plenum_curves import plenum_curves
from shroudwright.drawing.svg import svg
from shroudwright.packet.blocks import Block, heading, page, picture, words
from shroudwright.plan import Back
from shroudwright.speech import SHOPS, behind_lines

Numbers = NDArray[np.float64]
_MAP_HIGH, _CURVES_HIGH, _PLAN_HIGH, _SECTION_HIGH = 0.085, 0.055, 0.08, 0.07
_NOTHING = 0.05
"""What a flap must take off the coolant to count, [K], or add to a pull, [s]"""


def behind_page(answer: Assessment, units: str, back: Back | None, wide: float) -> list[Block]:
    """Return the page on the air and the room behind the core.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    units : str
        ``in`` or ``mm``, [text]
    back : Back or None
        What to draw; without it there is no page.
    wide : float
        Metres a picture may be wide.

    Returns
    -------
    list of Block
    """
    if back is None:
        return []
    return [page(), heading("Air behind the core"), *_air(answer, units, back, wide), *_room(units, back, wide)]


def _air(answer: Assessment, units: str, back: Back, wide: float) -> Iterator[Block]:
    if back.air is None:
        yield words("Nothing draws through a shroud here in the worst case, so there is no map of its air.")
        return
    case = next(case for case in answer.cases if case.name == answer.governing_case)
    yield words(f"{case.name}: {' '.join(behind_lines(case.field, SHOPS[units]))}", 11)
    both = faces(back.air, units)
    drawn = air_map(both, top_speed(both, units), units)
    yield picture(svg(drawn, wide, _MAP_HIGH), drawn.description)
    if back.curves is not None:
        drawn_curves = plenum_curves(back.curves, SHOPS[units], wide, _CURVES_HIGH)
        yield picture(drawn_curves, "Coolant against depth, covered share and flap area")
        yield words(_of_curves(back.curves), 8.5)
    by_hand, by_field = 100.0 * back.air.hand_evenness, 100.0 * back.air.spread.evenness
    yield words(
        f"Confidence {case.field.confidence}. The face speed varies by {by_field:.0f} % about its mean; "
        f"the hand rule says {by_hand:.0f} %.",
        8.5,
    )


def _of_curves(curves: Curves) -> str:
    flaps = (
        " At these speeds the fans hold the plenum under the bay's pressure, so flaps stay shut and do nothing."
        if np.nanmax(np.ptp(curves.flap_coolant, axis=1)) < _NOTHING
        else ""
    )
    return f"Circle: as it stands. Heat and volts are the worst case's at every road speed.{flaps}"


def _room(units: str, back: Back, wide: float) -> Iterator[Block]:
    fit, shop = back.fit, SHOPS[units]
    if not fit.fans:
        return
    plan = clearance_picture(fit.fans, fit.plate, fit.solids, fit.clearances, back.core[:2], shop, fit.boxes)
    yield heading("Room behind the core")
    yield picture(svg(plan, wide, _PLAN_HIGH), plan.description)
    fan = deepest(fit.fans)
    if fan is not None:
        cut = depth_section(fan, fit.plate_of(fan), fit.solids, back.core[1:], back.rock, shop)
        yield picture(svg(cut, wide, _SECTION_HIGH), cut.description)


def faces(found: Report, units: str) -> tuple[Face, Face]:
    """Return the air as built and with another inch of depth."""
    shop = SHOPS[units]

    def face(title: str, speed: Numbers) -> Face:
        return face_of(title, found.behind, found.cells, speed, tanks_at_sides=found.tanks_at_sides)

    return (
        face(f"as built, {shop.tape(found.depth)} from fins to plate", found.speed),
        face(f"with another inch, {shop.tape(found.depth + ANOTHER)}", found.deeper_speed),
    )
