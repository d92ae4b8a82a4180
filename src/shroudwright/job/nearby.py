"""How a plenum's loss, its standing fans' share and its uneven heat move about one working point.

Seen            what one field says at its own working point
Near            how that moves about a point
seen_of         cells, core law, fans -> Seen
near_of         cells, core law, fans -> Near
written         Near and the moves of every draw -> tables and records for the pack

Nothing of this is smooth over much, so it is taken about the case's own point, a parabola each way.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.pack.cells import Blowers, Cells, Law
from shroudwright.pack.field import Field, rise_beside_leaks, solve_field
from shroudwright.pack.near import LOSS_MOVES, NEAR, POINT
from shroudwright.pack.plenum import CORE_LOSSES, LOSSES, SHARES, SPEEDS, March, Tables, heat_ratio, spread_of

Numbers = NDArray[np.float64]
_DENSER = 1.7
_MORE_LINEAR, _LESS_LINEAR, _MIDDLE_SHARE = 1.5, 0.6, 0.5
_REACH = 1.2
"""How far past the densest and the thinnest core solved the tables are read."""
_LEAST_LOST = 1e-6
_TRIES = 4
"""Times a field that does not settle is looked for halfway nearer."""


class Seen(NamedTuple):
    """What one field says at its own working point."""

    core_loss: float
    """Of the core on the face's head, [-]"""
    linear_share: float
    """Of that loss, linear in the speed, [-]"""
    ahead: float
    """Pressure ahead of the core, over the bay's, over the core's loss, [-]"""
    face_velocity: float
    """[m/s]"""
    values: Numbers
    """asinh K of the fans that run, share of the air that leaves by those that stand, ln(heat lost) at `SPEEDS`."""
    field: Field

    @property
    def K(self) -> float:
        """Loss to the fans that run, [-]."""
        return math.sinh(self.values[0])


class Near(NamedTuple):
    """How a plenum's values move about a point, each way by itself."""

    point: Seen
    slopes: Numbers
    """Over ln k, its square, linear share, pressure ahead and its square; shape (5, 5)."""
    least: float
    most: float
    """Pressure ahead looked at, [-]"""

    def at(self, seen: Seen) -> Numbers:
        """Values expected where another field was met."""
        return self.point.values + self._moves(seen.core_loss, seen.linear_share, seen.ahead) @ self.slopes

    def _moves(self, core_loss: float, linear_share: float, ahead: float) -> Numbers:
        denser, far = math.log(core_loss / self.point.core_loss), ahead - self.point.ahead
        return np.array([denser, denser * denser, linear_share - self.point.linear_share, far, far * far])

    def over_nodes(self) -> Numbers:
        """Values at the nodes of `Tables`, at the point's pressure ahead; shape (6, 5)."""
        moves = [self._moves(k, share, self.point.ahead) for k in CORE_LOSSES for share in SHARES]
        return np.asarray(self.point.values + np.array(moves) @ self.slopes)


def _running(blowers: Blowers) -> Blowers:
    turns = blowers.stopped == 0.0
    return Blowers(*(part[turns] for part in blowers))


def seen_of(cells: Cells, law: Law, blowers: Blowers, march: March, start: Field | None = None) -> Seen:
    """Solve a field and read it.

    Parameters
    ----------
    cells, law, blowers
        What is solved; one fan at least runs.
    march : March
        The core.
    start : Field, optional
        A neighbour.

    Returns
    -------
    Seen
    """
    field = solve_field(cells, law, blowers, start)
    spread = spread_of(cells, law, blowers, field)
    V = spread.face_velocity
    lost = law.linear * V + law.square * V * abs(V)
    turns = blowers.stopped == 0.0
    share = float(field.flow[~turns].sum() / field.flow.sum())
    # Gaps and flaps all at that rise, as the pack has them: at a loss read from here it moves the field's air.
    gap, flap = float(cells.gap.sum()), float(cells.flap.sum())
    rise = rise_beside_leaks(_running(blowers), 1.0 - share, spread.air_flow, gap, flap, law.density)
    K = (law.ahead - law.bay + rise - lost) / (0.5 * law.density * V * V)
    shape = field.speed / V
    ln_lost = [math.log(max(1.0 - heat_ratio(cells, v * shape, march), _LEAST_LOST)) for v in SPEEDS]
    return Seen(
        core_loss=spread.core_loss,
        linear_share=law.linear * V / lost,
        ahead=(law.ahead - law.bay) / lost,
        face_velocity=V,
        values=np.array([math.asinh(K), share, *ln_lost]),
        field=field,
    )


def near_of(cells: Cells, law: Law, blowers: Blowers, march: March, point: Seen, spread: tuple[float, float]) -> Near:
    """Look about a working point: a denser and a thinner core, another share, less and more pressure ahead.

    Parameters
    ----------
    cells, law, blowers, march
        As `seen_of`.
    point : Seen
        What was seen there.
    spread : (float, float)
        Least and most pressure ahead to look at; nearer where a field so far off does not settle, [Pa]

    Returns
    -------
    Near
        Some value is not a number where a field did not settle.
    """
    V, start = point.face_velocity, point.field

    def other(**changed: float) -> Seen:
        return seen_of(cells, law._replace(**changed), blowers, march, start)

    def towards(ahead: float) -> Seen:
        for _ in range(_TRIES):
            seen = other(ahead=ahead)
            if seen.field.has_settled:
                break
            ahead = 0.5 * (ahead + law.ahead)
        return seen

    linear = law.linear * (_LESS_LINEAR if point.linear_share > _MIDDLE_SHARE else _MORE_LINEAR)
    others = [
        other(linear=law.linear * _DENSER, square=law.square * _DENSER),
        other(linear=law.linear / _DENSER, square=law.square / _DENSER),
        other(linear=linear, square=law.square + (law.linear - linear) / V),
        *(towards(ahead) for ahead in spread),
    ]
    flat = Near(point, np.zeros((5, 5)), 0.0, 0.0)
    moves = np.array([flat._moves(one.core_loss, one.linear_share, one.ahead) for one in others])
    gone = np.array([one.values - point.values for one in others])
    settled = all(one.field.has_settled for one in (point, *others))
    slopes = np.linalg.solve(moves, gone) if settled else np.full((5, 5), np.nan)
    reached = [point.ahead, *(one.ahead for one in others[-2:])]
    return Near(point, slopes, min(reached), max(reached))


def written(near: Near, ahead: float, moved: Numbers) -> tuple[Tables, Numbers]:
    """Write tables and records for the pack.

    Parameters
    ----------
    near : Near
        About the case's point.
    ahead : float
        The pack's own pressure ahead over its core's loss there, [-]
    moved : array
        What else moves the five values in every draw, shape (draws, 5).

    Returns
    -------
    Tables
        One row for each draw.
    record : array
        Shape (draws, `NEAR`).
    """
    nodes = near.over_nodes() + moved[:, np.newaxis]
    record = np.empty((len(moved), NEAR))
    record[:, :LOSSES] = nodes[:, :, 1]
    record[:, POINT:LOSS_MOVES] = [
        ahead,
        ahead + near.least - near.point.ahead,
        ahead + near.most - near.point.ahead,
        near.point.core_loss / (_REACH * _DENSER),
        near.point.core_loss * _REACH * _DENSER,
    ]
    record[:, LOSS_MOVES:] = near.slopes[3:].T.ravel()
    lost = nodes[:, :, 2:].reshape(len(moved), -1)
    return Tables(nodes[:, :, 0].copy(), lost), record
