"""What a plenum costs: its loss and its uneven air, for the pack to read from two small tables.

March           the core as seen along its tubes
Spread          what a field says in a few numbers
Tables          K and heat ratio over the core's loss
spread_of       Field -> Spread
heat_ratio      heat with a field's air over heat with the same air spread evenly
tables_of       cells, fans, core -> Tables
    nodes_of        its fields
    tables_from     its tables, once they are known
loss_at         K at a core loss coefficient and linear share
heat_ratio_at   heat ratio at the same and a face speed
even            tables of one loss and one ratio throughout

A bare factor on air or heat is wrong off its own working point. With the whole core behind the shroud and no flap
open, the field hangs on two numbers only: the loss coefficient of what the air has come through on the face's head
at the density behind the core, and the share of that loss that is linear in the speed.
"""

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from shroudwright.bench.compiled import batch, compilable, inlined
from shroudwright.pack.cells import Blowers, Cells, Law
from shroudwright.pack.field import Field, common_rise, fans_together, solve_field

Numbers = NDArray[np.float64]
CORE_LOSSES = (7.0, 22.0, 70.0)
SHARES = (0.3, 0.7)
SPEEDS = (0.9, 2.1, 5.0)
LOSSES, RATIOS = len(CORE_LOSSES) * len(SHARES), len(CORE_LOSSES) * len(SHARES) * len(SPEEDS)
NOTHING_LOST = -50.0
"""ln(1 - heat ratio) that stands for no heat lost, [-]"""
_LEAST_SHARE, _MOST_SHARE = 0.03, 0.97
_LEAST_LOSS, _MOST_LOSS = 2.0, 250.0
_SLOWEST, _FASTEST = 0.3, 12.0
_LEAST_LOST = 1e-6
"""Least heat lost that a node holds: a parabola through logarithms of next to nothing leads anywhere, [-]"""
_AIR_DENSITY = 1.1
_LIKELY_LOSS = 4.0
_HALF = 0.5


class March(NamedTuple):
    """The core as the air and the coolant cross it: 1 / U = (1 / U_3) [fixed + (1 - fixed) (3 / v)^exponent]."""

    along_x: bool
    """Whether the tubes run left to right."""
    passes: int
    transfer: float
    """U of the core's face at 3 m/s, [W/m**2/K]"""
    exponent: float
    """Of the air side in its speed, [-]"""
    fixed_share: float
    """Share of the resistance at 3 m/s that does not hang on the air, [-]"""
    coolant_capacity: float
    """Heat capacity rate of the coolant through the core, [W/K]"""
    air_capacity: float = 1150.0
    """Heat a cubic metre of air holds, [J/m**3/K]"""


class Spread(NamedTuple):
    """What a field says in a few numbers."""

    air_flow: float
    """Through the core behind the shroud, [m**3/s]"""
    face_velocity: float
    """Mean there, [m/s]"""
    evenness: float
    """Coefficient of variation of the face speed, [-]"""
    slowest: float
    """Slowest cell over the mean, [-]"""
    starved_share: float
    """Share of the core below half the mean, [-]"""
    K: float
    """Loss of the plenum on the face's head, for fans that share one pressure rise, [-]"""
    core_loss: float
    """Of the core on the face's head, [-]"""


class Tables(NamedTuple):
    """Over `CORE_LOSSES` x `SHARES` (x `SPEEDS`), flat, the last named running fastest.

    K is kept as asinh K: near a logarithm where it is large, and it may be under nothing. That is so of unlike fans,
    whose common rise is no one fan's own. Where one stands, K is that of the fans that run (`near`).
    """

    loss: Numbers
    """asinh K, shape (6,), [-]"""
    lost: Numbers
    """ln(1 - heat ratio), shape (18,), [-]"""

    def scaled(self, factor: Numbers) -> "Tables":
        """Return rows with K and the heat lost times a factor for each."""
        by = np.asarray(factor)[..., np.newaxis]
        return Tables(np.arcsinh(by * np.sinh(self.loss)), np.minimum(self.lost + np.log(by), 0.0))


def spread_of(cells: Cells, law: Law, blowers: Blowers, field: Field) -> Spread:
    """Say in a few numbers what a field is like, over the core behind the shroud.

    Parameters
    ----------
    cells, law, blowers
        What was solved.
    field : Field
        The answer.

    Returns
    -------
    Spread
    """
    area = cells.dx * cells.dy * np.where(np.isnan(field.speed), 0.0, cells.core)
    speed = np.where(area > 0.0, np.nan_to_num(field.speed), 0.0)
    face = float(area.sum())
    through = float((area * speed).sum())
    mean = through / face
    inside = area > 1e-3 * cells.dx * cells.dy
    out = float(field.flow.sum())
    rise = common_rise(blowers, 0.0, out)
    lost = law.ahead - law.bay + rise - law.linear * mean - law.square * mean * abs(mean)
    return Spread(
        air_flow=through,
        face_velocity=mean,
        evenness=math.sqrt(float((area * (speed - mean) ** 2).sum()) / face) / mean,
        slowest=float(speed[inside].min()) / mean,
        starved_share=float(area[speed < _HALF * mean].sum()) / face,
        K=lost / (_HALF * law.density * mean * mean),
        core_loss=(law.linear + law.square * abs(mean)) / (_HALF * law.density * abs(mean)),
    )


@compilable
def _heat(along_x: bool, passes: int, core: Any, speed: Any, area: float, march: Any) -> float:
    """Heat per kelvin of coolant over air, marched along the tubes; each row takes its share of the coolant."""
    rows, columns = core.shape
    lanes, steps = (rows, columns) if along_x else (columns, rows)
    taken, entering = 0.0, 1.0
    known, met = math.nan, 0.0
    for part in range(passes):
        first, last = lanes * part // passes, lanes * (part + 1) // passes
        of_pass = 0.0
        for lane in range(first, last):
            for along in range(steps):
                of_pass += core[lane, along] if along_x else core[along, lane]
        if of_pass <= 0.0:
            continue
        given = 0.0
        for lane in range(first, last):
            own = 0.0
            for along in range(steps):
                own += core[lane, along] if along_x else core[along, lane]
            if own <= 0.0:
                continue
            coolant = march.coolant_capacity * own / of_pass
            hot = entering
            for at in range(steps):
                along = at if part % 2 == 0 else steps - 1 - at
                share = core[lane, along] if along_x else core[along, lane]
                v = speed[lane, along] if along_x else speed[along, lane]
                if share <= 0.0 or not v > 1e-6:
                    continue
                if v != known:
                    known, resist = v, march.fixed_share + (1.0 - march.fixed_share) * (3.0 / v) ** march.exponent
                    air = march.air_capacity * v
                    met = area * air * (1.0 - math.exp(-march.transfer / (resist * air)))
                # Air unmixed, coolant mixed over the core's thickness: falls exponentially along the tube.
                left = hot * math.exp(-share * met / coolant)
                given += coolant * (hot - left)
                hot = left
        taken += given
        entering -= given / march.coolant_capacity
    return taken


@batch
def _ratio(along_x: bool, passes: int, core: Any, speed: Any, area: float, march: Any) -> float:
    air, face = 0.0, 0.0
    rows, columns = core.shape
    for j in range(rows):
        for i in range(columns):
            if core[j, i] > 0.0:
                air += core[j, i] * max(speed[j, i], 0.0)
                face += core[j, i]
    level = np.full((rows, columns), air / face)
    return _heat(along_x, passes, core, speed, area, march) / _heat(along_x, passes, core, level, area, march)


def heat_ratio(cells: Cells, speed: Numbers, march: March) -> float:
    """Heat with a field's air over heat with the same air spread evenly, by a march along the tubes.

    The march gives the ratio only, never the heat itself: the core's own model may mix its streams otherwise.

    Parameters
    ----------
    cells : Cells
        The plenum.
    speed : array
        Face speed in every cell, [m/s]
    march : March
        The core.

    Returns
    -------
    ratio : float
        [-]
    """
    return float(_ratio(march.along_x, march.passes, cells.core, speed, cells.dx * cells.dy, march))


def tables_of(cells: Cells, blowers: Blowers, march: March, friction: Law) -> tuple[Tables, bool]:
    """Tabulate a plenum's loss and heat ratio over the core's loss coefficient and its linear share.

    Every node is a full solve with the fans there are, at a speed near enough; what it was solved at is read off
    afterwards and the nodes are set straight along ln k.

    Parameters
    ----------
    cells : Cells
        With openings.
    blowers : Blowers
        Their fans; only how they compare and the shape of their curves matter.
    march : March
        The core.
    friction : Law
        Its profile, friction and turning are used.

    Returns
    -------
    Tables
    has_settled : bool
        Whether every node converged.
    """
    nodes = nodes_of(cells, blowers, friction)
    return tables_from(cells, nodes, march), nodes.has_settled


class Nodes(NamedTuple):
    """Fields at every core loss and share, the share running fastest."""

    core_loss: Numbers
    """Met, [-]"""
    K: Numbers
    """Of the plenum, [-]"""
    shapes: list[Numbers]
    """Face speed over its mean, cell by cell, [-]"""
    has_settled: bool


def nodes_of(cells: Cells, blowers: Blowers, friction: Law) -> Nodes:
    """Solve a plenum at every node of its tables, as `tables_of` says."""
    met, found = np.empty((3, 2)), np.empty((3, 2))
    shapes: list[Numbers] = []
    settled = True
    starts: list[Field | None] = [None, None]
    likely = [_LIKELY_LOSS, _LIKELY_LOSS]
    for row, k in enumerate(CORE_LOSSES):
        for column, share in enumerate(SHARES):
            field, spread = field_at(cells, blowers, friction, k, share, likely[column], starts[column])
            settled = settled and field.has_settled
            starts[column], likely[column] = field, max(spread.K, 0.0)
            met[row, column], found[row, column] = spread.core_loss, spread.K
            shapes.append(field.speed / spread.face_velocity)
    return Nodes(met, found, shapes, settled)


def tables_from(cells: Cells, nodes: Nodes, march: March) -> Tables:
    """Tabulate solved nodes for a core, set straight along ln k from where each was met."""
    lost = np.array(
        [[max(1.0 - heat_ratio(cells, v * shape, march), _LEAST_LOST) for v in SPEEDS] for shape in nodes.shapes]
    ).reshape(3, 2, 3)
    loss, ln_lost = np.empty((3, 2)), np.empty((3, 2, 3))
    for column in range(2):
        weights = np.array([_parabola(math.log(k), np.log(nodes.core_loss[:, column])) for k in CORE_LOSSES])
        loss[:, column] = weights @ np.arcsinh(nodes.K[:, column])
        ln_lost[:, column] = weights @ np.log(lost[:, column])
    return Tables(loss.ravel(), np.minimum(ln_lost.ravel(), 0.0))


def field_at(
    cells: Cells,
    blowers: Blowers,
    friction: Law,
    core_loss: float,
    linear_share: float,
    likely_loss: float = _LIKELY_LOSS,
    start: Field | None = None,
) -> tuple[Field, Spread]:
    """Solve a plenum where core loss and linear share are near enough to some values.

    Parameters
    ----------
    cells, blowers, friction
        As `tables_of`.
    core_loss, linear_share : float
        Wanted, [-]
    likely_loss : float
        K to expect, [-]
    start : Field, optional
        A neighbour.

    Returns
    -------
    Field
    Spread
        ``core_loss`` says what was met.
    """
    face = float(cells.core.sum()) * cells.dx * cells.dy
    rise = common_rise(blowers, (core_loss + likely_loss) * _HALF * _AIR_DENSITY / face**2, 0.0)
    V = max(fans_together(blowers, rise) / face, _SLOWEST)
    head = _HALF * _AIR_DENSITY * core_loss
    law = friction._replace(
        linear=linear_share * head * V, square=(1.0 - linear_share) * head, density=_AIR_DENSITY, ahead=0.0, bay=0.0
    )
    field = solve_field(cells, law, blowers, start)
    return field, spread_of(cells, law, blowers, field)


def _parabola(x: float, nodes: Numbers) -> Numbers:
    """Weights of three nodes at x, by Lagrange."""
    a, b, c = nodes
    return np.array(
        [
            (x - b) * (x - c) / ((a - b) * (a - c)),
            (x - a) * (x - c) / ((b - a) * (b - c)),
            (x - a) * (x - b) / ((c - a) * (c - b)),
        ]
    )


@inlined
def _three(x: float, a: float, b: float, c: float) -> tuple[float, float, float]:
    return (
        (x - b) * (x - c) / ((a - b) * (a - c)),
        (x - a) * (x - c) / ((b - a) * (b - c)),
        (x - a) * (x - b) / ((c - a) * (c - b)),
    )


LN_7, LN_22, LN_70 = (math.log(k) for k in CORE_LOSSES)
LN_SLOW, LN_MID, LN_FAST = (math.log(v) for v in SPEEDS)


@inlined
def over_core(table: Any, core_loss: float, linear_share: float) -> float:
    """What a table holds where the core's loss coefficient and its linear share are these."""
    s = (min(max(linear_share, _LEAST_SHARE), _MOST_SHARE) - SHARES[0]) / (SHARES[1] - SHARES[0])
    w = _three(math.log(min(max(core_loss, _LEAST_LOSS), _MOST_LOSS)), LN_7, LN_22, LN_70)
    low = w[0] * table[0] + w[1] * table[2] + w[2] * table[4]
    high = w[0] * table[1] + w[1] * table[3] + w[2] * table[5]
    return low + s * (high - low)


@inlined
def loss_at(table: Any, core_loss: float, linear_share: float) -> float:
    """K of the plenum where the core's loss coefficient and its linear share are these."""
    return math.sinh(over_core(table, core_loss, linear_share))


@inlined
def over_speeds(face_velocity: float) -> tuple[float, float, float]:
    """Weights of `SPEEDS` at a face speed."""
    return _three(math.log(min(max(face_velocity, _SLOWEST), _FASTEST)), LN_SLOW, LN_MID, LN_FAST)


@inlined
def heat_ratio_at(table: Any, core_loss: float, linear_share: float, face_velocity: float) -> float:
    """Heat with uneven air over heat with even air where core loss, its linear share and face speed are these."""
    if table[0] <= NOTHING_LOST:
        return 1.0
    s = (min(max(linear_share, _LEAST_SHARE), _MOST_SHARE) - SHARES[0]) / (SHARES[1] - SHARES[0])
    w = _three(math.log(min(max(core_loss, _LEAST_LOSS), _MOST_LOSS)), LN_7, LN_22, LN_70)
    u = over_speeds(face_velocity)
    found = 0.0
    for k in range(3):
        for v in range(3):
            low, high = table[6 * k + v], table[6 * k + 3 + v]
            found += w[k] * u[v] * (low + s * (high - low))
    return 1.0 - math.exp(min(found, 0.0))


def even(loss: ArrayLike, ratio: ArrayLike) -> Tables:
    """Tables of one loss and one ratio, whatever the core.

    Parameters
    ----------
    loss : float or array
        K, [-]
    ratio : float or array
        Heat ratio, at most 1, [-]

    Returns
    -------
    Tables
        One row for each value where there are many.
    """
    K, lost = np.asarray(loss, dtype=float), 1.0 - np.asarray(ratio, dtype=float)
    floor = math.exp(NOTHING_LOST)
    return Tables(
        np.repeat(np.arcsinh(K)[..., np.newaxis], LOSSES, axis=-1),
        np.repeat(np.log(np.maximum(lost, floor))[..., np.newaxis], RATIOS, axis=-1),
    )
