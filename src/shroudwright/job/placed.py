"""What the places of flaps and gaps do to a driving case of like fans: told from a full solve of the field at its air.

look_at_leaks  what the field says of a plenum with its leaks in it
place_leaks    write into a case's rows how high the plenum stands at its leaks, and what they change of its loss
moved_tables   the same change to tables of another depth or cover
"""

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.airflow.frame import ORIFICE_COEFFICIENT
from shroudwright.job.filled import Filled
from shroudwright.job.leaks import as_packed, is_placed, with_leaks
from shroudwright.job.near import Own, hangs_on_the_point, tables_for
from shroudwright.job.plenum import Point, behind_of, march_of, working_point
from shroudwright.pack.cells import QUICK_CELLS, Cells
from shroudwright.pack.field import Field, common_rise, solve_field
from shroudwright.pack.plenum import March, Tables, heat_ratio, heat_ratio_at, loss_at, spread_of

Numbers = NDArray[np.float64]
_TURNS = 8
_HALF = 0.5
_STILL = 0.01
_LEAST_DROP = 0.5
"""Loss of the plenum under which a leak's place is nothing to the air, [Pa]"""
_LEAST_LIFT, _MOST_LIFT = -1.0, 4.0
_MOST_CHANGE = 50.0
_LEAST_LOST = 1e-6


class LeakyLook(NamedTuple):
    """What the field says of a plenum with its leaks in it."""

    leak_lift: float
    flap_lift: float
    K: float
    """Of the plenum, on the pack's head, [-]"""
    ratio: float
    """Heat over heat with the same air spread evenly, [-]"""
    field: Field


class _Placed(NamedTuple):
    leak_lift: float
    flap_lift: float
    loss: float
    """K of the plenum over its tables', [-]"""
    lost: float
    """Heat lost to uneven air over its tables', [-]"""


def place_leaks(filled: Filled, p: Any, table: Numbers) -> None:
    """Write into a driving case's rows what its flaps and gaps do where they are.

    The field is solved at the medians' air with every leak at its place. What it moves through them gives the
    pressure there over that at the fans, in losses of the plenum; its loss and the heat its uneven air costs stand
    over those of the tables, which know no leak, by factors that every draw then takes.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    p : array
        The case's rows, complete but for limit and pull; changed.
    table : array
        Of the coolant.

    Notes
    -----
    Limits: only where a flap's or a gap's place is typed, behind electric fans; without places all leaks lie at the
    fans. One working point for all draws. Where the field does not settle the leaks stay at the fans. Unlike fans and
    one that stands need none of it: the fields of their tables have the leaks in them.
    """
    if not is_placed(filled) or hangs_on_the_point(filled, p[0]):
        return
    behind = behind_of(filled)
    row: Any = p[:1].copy().view(np.recarray)[0]
    if behind is None or row.pushed_share > 0.0:
        return
    cells = with_leaks(as_packed(filled, behind).cells(QUICK_CELLS), row)
    loss, unevenness = row.plenum_loss.copy(), row.unevenness.copy()
    placed, last, start = None, None, None
    for _ in range(_TURNS):
        placed, start = _placed(filled, cells, row, table, (loss, unevenness), start)
        if placed is None:
            return
        if last is not None:
            placed = _Placed(*(_HALF * (new + old) for new, old in zip(placed, last, strict=True)))
        row.leak_lift, row.flap_lift = placed.leak_lift, placed.flap_lift
        row.plenum_loss = np.arcsinh(placed.loss * np.sinh(loss))
        row.unevenness = np.minimum(unevenness + math.log(placed.lost), 0.0)
        if last is not None and np.allclose(placed, last, rtol=_STILL, atol=_STILL):
            break
        last = placed
    assert placed is not None
    p.leak_lift, p.flap_lift = placed.leak_lift, placed.flap_lift
    p.plenum_loss = np.arcsinh(placed.loss * np.sinh(p.plenum_loss))
    p.unevenness = np.minimum(p.unevenness + math.log(placed.lost), 0.0)


def moved_tables(filled: Filled, rows: Any, table: Numbers, own: Own | None) -> Own | None:
    """Put what `place_leaks` did to a case's tables into those of another depth or cover.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    rows : array
        The case's, from `place_leaks`.
    table : array
        Of the coolant.
    own : Own or None
        One row's, of a plenum without leaks.

    Returns
    -------
    Own or None
        By the same factors; as they were where `place_leaks` does nothing.
    """
    if own is None or not is_placed(filled) or hangs_on_the_point(filled, rows[0]):
        return own
    (loss, lost), _ = tables_for(filled, rows, table)
    row, by = rows[0], np.sinh(rows[0]["plenum_loss"][0]) / np.sinh(loss[0, 0])
    moved = Tables(
        np.arcsinh(by * np.sinh(own.tables.loss)),
        np.minimum(own.tables.lost + row["unevenness"][0] - lost[0, 0], 0.0),
    )
    return own._replace(tables=moved)


def look_at_leaks(cells: Cells, point: Point, march: March, start: Field | None = None) -> LeakyLook | None:
    """Solve a plenum with its leaks in it at a working point.

    Parameters
    ----------
    cells : Cells
        From `leaks.with_leaks`.
    point : Point
        From `plenum.working_point`.
    march : March
        The core.
    start : Field, optional
        A neighbour.

    Returns
    -------
    LeakyLook or None
        None where the field does not settle.
    """
    law, blowers = point.law, point.blowers
    field = solve_field(cells, law, blowers, start)
    if not field.has_settled:
        return None
    spread = spread_of(cells, law, blowers, field)
    dropped = spread.K * 0.5 * law.density * spread.face_velocity**2
    at_fans = law.bay - common_rise(blowers, 0.0, float(field.flow.sum()))
    static = field.head - field.dynamic

    def lift(area: Numbers, out: float, least: float) -> float:
        whole = float(area.sum())
        if whole <= 0.0 or dropped < _LEAST_DROP:
            return 0.0
        there = float((area * static).sum()) / whole
        if abs(out) > least:
            there = law.bay + math.copysign(0.5 * law.density * (out / (ORIFICE_COEFFICIENT * whole)) ** 2, out)
        return min(max((there - at_fans) / dropped, _LEAST_LIFT), _MOST_LIFT)

    least = 1e-3 * spread.air_flow
    return LeakyLook(
        leak_lift=lift(cells.gap, -field.gap_flow, least),
        flap_lift=lift(cells.flap, field.flap_flow, least),
        K=spread.K * point.over_open**2,
        ratio=heat_ratio(cells, field.speed, march),
        field=field,
    )


def _placed(
    filled: Filled, cells: Cells, row: Any, table: Numbers, tables: tuple[Numbers, Numbers], start: Field | None
) -> tuple[_Placed | None, Field | None]:
    point = working_point(filled, row, float(row.heat), float(cells.core.sum()) * cells.dx * cells.dy)
    found = None if point is None else look_at_leaks(cells, point, march_of(filled, row, table), start)
    if point is None or found is None:
        return None, None
    core_loss, share, speed = point.key
    return (
        _Placed(
            leak_lift=found.leak_lift,
            flap_lift=found.flap_lift,
            loss=_over(found.K, loss_at(tables[0], core_loss, share)),
            lost=_over(1.0 - found.ratio, 1.0 - heat_ratio_at(tables[1], core_loss, share, speed)),
        ),
        found.field,
    )


def _over(new: float, old: float) -> float:
    new, old = max(new, _LEAST_LOST), max(old, _LEAST_LOST)
    return min(max(new / old, 1.0 / _MOST_CHANGE), _MOST_CHANGE)
