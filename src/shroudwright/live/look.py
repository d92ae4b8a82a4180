"""One look at the air behind the core, for one row at the medians.

Scene      a job's plenum in one driving case
Look       what one look says
scene_of   filled job, row -> Scene; None where no field is behind
look       scene, row, openings -> Look
"""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.job.filled import Filled
from shroudwright.job.leaks import as_packed, is_placed, with_leaks
from shroudwright.job.near import Own, hangs_on_the_point, one_look
from shroudwright.job.nearby import seen_of
from shroudwright.job.placed import look_at_leaks
from shroudwright.job.plenum import (
    STANDARD_LAW,
    Behind,
    Circles,
    Point,
    behind_of,
    blowers_of,
    march_of,
    working_point,
)
from shroudwright.pack.cells import QUICK_CELLS, Blowers, Cells, cut, with_openings
from shroudwright.pack.field import Field
from shroudwright.pack.near import NEAR
from shroudwright.pack.plenum import March, Spread, Tables, even, field_at, heat_ratio, spread_of

Numbers = NDArray[np.float64]
_LIKELY_LOSS = 4.0
_LEAST_UNDER = 0.5
"""Cells of plenum under a fan below which it draws on nothing, [-]"""


class Scene(NamedTuple):
    """A job's plenum in one driving case."""

    behind: Behind
    bare: Cells
    """Without openings."""
    face: float
    """Core behind the shroud, [m**2]"""
    march: March
    factor: Numbers
    """On loss and heat lost, shape (1,), [-]"""
    hangs_on_the_point: bool
    """Whether fans are unlike, or one stands."""
    is_placed: bool
    """Whether a flap's or a gap's place is known."""


class Look(NamedTuple):
    """What one look says."""

    behind: Behind
    cells: Cells
    own: Own
    leak_lift: float
    flap_lift: float
    speed: Numbers
    """Face speed in every cell, [m/s]"""
    spread: Spread
    field: Field
    met: float
    """Face speed at which it was looked at, [m/s]"""


def scene_of(filled: Filled, row: Any, table: Numbers) -> Scene | None:
    """Set the scene of a driving case.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    row : record
        Of the case at the medians, complete.
    table : array
        Of the coolant.

    Returns
    -------
    Scene or None
        None without a shroud that draws, or where nothing moves the air.
    """
    behind = behind_of(filled)
    if behind is None:
        return None
    behind = as_packed(filled, behind)
    bare = cut(behind.plenum, QUICK_CELLS)
    face = float(bare.core.sum()) * bare.dx * bare.dy
    if working_point(filled, row, float(row.heat), face) is None:
        return None
    return Scene(
        behind=behind,
        bare=bare,
        face=face,
        march=march_of(filled, row, table),
        factor=filled["model.plenum"][:1],
        hangs_on_the_point=hangs_on_the_point(filled, row),
        is_placed=is_placed(filled) and row.pushed_share <= 0.0,
    )


def look(
    scene: Scene, filled: Filled, row: Any, point: Point, circles: Circles, last: Look | None = None
) -> Look | None:
    """Solve the field once with fans elsewhere, at the pack's own point.

    Parameters
    ----------
    scene : Scene
        From `scene_of`.
    filled : Filled
        The job with its fans where they are now.
    row : record
        Of the case at the medians, what stands behind each fan taken off its curve.
    point : Point
        From `working_point` of that row.
    circles : tuple
        Openings, x, y and radius, [m]
    last : Look, optional
        Nearby, to start from.

    Returns
    -------
    Look or None
        None where the field does not settle, or a fan stands off the plenum.

    Notes
    -----
    Limits: like fans are solved sealed, on one ordinary curve, at the core's loss, as their tables are. Fans unlike or
    one standing, and leaks at their places, are solved at the case's own air.
    """
    cells = with_openings(scene.bare, circles)
    if np.any((cells.disc * cells.wet).sum(axis=(1, 2)) < _LEAST_UNDER):
        return None
    if scene.hangs_on_the_point:
        found = _at_the_point(scene, with_leaks(cells, row), point, last)
    elif scene.is_placed:
        found = _leaky(scene, with_leaks(cells, row), point, last)
    else:
        found = _sealed(scene, cells, blowers_of(filled, row), point, last)
    return None if found is None else found._replace(behind=scene.behind._replace(circles=circles))


def _start(last: Look | None) -> Field | None:
    return None if last is None else last.field


def _sealed(scene: Scene, cells: Cells, blowers: Blowers, point: Point, last: Look | None) -> Look | None:
    V, likely = point.face_velocity, _LIKELY_LOSS if last is None else max(last.spread.K, 0.0)
    field, spread = field_at(cells, blowers, STANDARD_LAW, *point.key[:2], likely, _start(last))
    if not field.has_settled:
        return None
    shape = field.speed / spread.face_velocity
    tables = even(spread.K, heat_ratio(cells, point.key[2] * shape, scene.march)).scaled(scene.factor[0])
    return Look(scene.behind, cells, _own(tables), 0.0, 0.0, V * shape, spread, field, V)


def _at_the_point(scene: Scene, cells: Cells, point: Point, last: Look | None) -> Look | None:
    seen = seen_of(cells, point.law, point.blowers, scene.march, _start(last))
    if not seen.field.has_settled:
        return None
    spread, own = spread_of(cells, point.law, point.blowers, seen.field), one_look(seen, point, scene.factor)
    return Look(scene.behind, cells, own, 0.0, 0.0, seen.field.speed, spread, seen.field, seen.face_velocity)


def _leaky(scene: Scene, cells: Cells, point: Point, last: Look | None) -> Look | None:
    found = look_at_leaks(cells, point, scene.march, _start(last))
    if found is None:
        return None
    spread, own = spread_of(cells, point.law, point.blowers, found.field), _own(even(found.K, found.ratio))
    lifts = found.leak_lift, found.flap_lift
    return Look(scene.behind, cells, own, *lifts, found.field.speed, spread, found.field, spread.face_velocity)


def _own(tables: Tables) -> Own:
    return Own(tables, np.full(NEAR, np.nan))
