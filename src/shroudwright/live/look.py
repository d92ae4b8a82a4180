"""One look at the air behind the core, for one row at the medians.

Scene      a job's plenum and where its air stands
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
    blowers_at,
    blowers_of,
    march_of,
    working_point,
)
from shroudwright.pack.air_path import ram
from shroudwright.pack.cells import QUICK_CELLS, Cells, cut, with_openings
from shroudwright.pack.field import Field
from shroudwright.pack.near import NEAR
from shroudwright.pack.plenum import March, Spread, Tables, even, field_at, heat_ratio, spread_of

Numbers = NDArray[np.float64]
_LIKELY_LOSS = 4.0
_LEAST_UNDER = 0.5
"""Cells of plenum under a fan below which it draws on nothing, [-]"""


class Scene(NamedTuple):
    """A job's plenum and where its air stands in one driving case."""

    behind: Behind
    bare: Cells
    """Without openings."""
    march: March
    factor: Numbers
    """On loss and heat lost, shape (1,), [-]"""
    point: Point
    """As the job stands."""
    pressed: float
    """By the road's air, [Pa]"""
    hangs_on_the_point: bool
    """Whether fans are unlike, or one stands."""
    is_placed: bool
    """Whether a flap's or a gap's place is known."""

    def at(self, grown: float) -> Point:
        """Return the point with so many times the air; core law and fans stay, what is left ahead does not."""
        point, law = self.point, self.point.law
        V, read_at = point.face_velocity * grown, point.key[2] * grown
        ahead = self.pressed - (self.pressed - law.ahead) * grown**2
        lost = law.linear * V + law.square * V**2
        return point._replace(
            law=law._replace(ahead=ahead),
            drawn=point.drawn * grown,
            face_velocity=V,
            key=(lost / (0.5 * law.density * read_at**2), law.linear * V / lost, read_at),
        )


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
    met: float | None
    """Face speed the field's own air has; None where only its shape is read, [m/s]"""


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
    point = working_point(filled, row, float(row.heat), float(bare.core.sum()) * bare.dx * bare.dy)
    if point is None:
        return None
    return Scene(
        behind=behind,
        bare=bare,
        march=march_of(filled, row, table),
        factor=filled["model.plenum"][:1],
        point=point,
        pressed=float(ram(row, row.ambient)),
        hangs_on_the_point=hangs_on_the_point(filled, row),
        is_placed=is_placed(filled) and row.pushed_share <= 0.0,
    )


def look(
    scene: Scene, filled: Filled, row: Any, circles: Circles, grown: float = 1.0, last: Look | None = None
) -> Look | None:
    """Solve the field once with fans elsewhere, at so many times the air.

    Parameters
    ----------
    scene : Scene
        From `scene_of`.
    filled : Filled
        The job with its fans where they are now.
    row : record
        Of the case at the medians, what stands behind each fan taken off its curve.
    circles : tuple
        Openings, x, y and radius, [m]
    grown : float
        Air over that of the scene's point, [-]
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
    start = None if last is None else last.field
    behind, point = scene.behind._replace(circles=circles), scene.at(grown)
    law = point.law
    if not (scene.hangs_on_the_point or scene.is_placed):
        likely = _LIKELY_LOSS if last is None else max(last.spread.K, 0.0)
        blowers = blowers_of(filled, row)
        field, spread = field_at(cells, blowers, STANDARD_LAW, *point.key[:2], likely, start)
        if not field.has_settled:
            return None
        shape = field.speed / spread.face_velocity
        ratio = heat_ratio(cells, point.key[2] * shape, scene.march)
        own = _own(even(spread.K, ratio).scaled(scene.factor[0]))
        return Look(behind, cells, own, 0.0, 0.0, point.face_velocity * shape, spread, field, None)
    cells = with_leaks(cells, row)
    blowers = blowers_at(filled, row, law.density, point.density_ahead)
    point = point._replace(blowers=blowers)
    if scene.hangs_on_the_point:
        seen = seen_of(cells, law, blowers, scene.march, start)
        if not seen.field.has_settled:
            return None
        spread = spread_of(cells, law, blowers, seen.field)
        own = one_look(seen, point, scene.factor)
        return Look(behind, cells, own, 0.0, 0.0, seen.field.speed, spread, seen.field, seen.face_velocity)
    found = look_at_leaks(cells, point, scene.march, start)
    if found is None:
        return None
    spread = spread_of(cells, law, blowers, found.field)
    own, met = _own(even(found.K, found.ratio)), spread.face_velocity
    return Look(behind, cells, own, found.leak_lift, found.flap_lift, found.field.speed, spread, found.field, met)


def _own(tables: Tables) -> Own:
    return Own(tables, np.full(NEAR, np.nan))
