"""Plenum tables for every draw of a driving case: of the core alone for like fans, else about the case's own point.

Own                  tables and what moves them beside the core
Start                where a search for a case's own point may begin
Looked               what was seen about a case's own point
looked_at            filled job, rows -> Looked
tables_for           filled job, rows -> Own
own_tables           the same for one row and cells of its own
hangs_on_the_point   whether they hold near a case's own point only
one_look             tables of one look at a field, for one row where it was looked at
put                  write them into rows
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.errors import InputError
from shroudwright.job.drive import Fan
from shroudwright.job.filled import Filled
from shroudwright.job.leaks import as_packed, with_leaks
from shroudwright.job.nearby import Near, Seen, near_of, seen_of, written
from shroudwright.job.plenum import (
    STANDARD_LAW,
    Behind,
    Point,
    are_alike,
    behind_of,
    blowers_of,
    depth_of,
    in_shroud,
    march_of,
    nodes_over,
    tables_at,
    unsettled,
    weights_over,
    working_point,
)
from shroudwright.pack.air_path import ram
from shroudwright.pack.cells import QUICK_CELLS, Blowers, Cells
from shroudwright.pack.field import Field
from shroudwright.pack.near import NEAR
from shroudwright.pack.plenum import March, Tables, even, tables_of

Numbers = NDArray[np.float64]
_SETTLED, _MOST_TURNS = 2e-3, 20
"""How far the field's air may still be from the pack's, [-]"""
_AHEAD, _LEAST_AHEAD = 0.2, 0.05
"""Least reach either way in the pressure ahead, over it and over the core's loss, [-]"""
_DRAWN = (0.03, 0.97)
_WIDE = 0.01
"""Spread of draws below which they are taken as their median, relative, [-]"""


class Own(NamedTuple):
    """Tables of a plenum and what moves them beside the core; one row for each draw."""

    tables: Tables
    near: Numbers
    """As `near.written`; nan where nothing does, shape (draws, `NEAR`)."""


class Start(NamedTuple):
    """Where a search for a case's own point may begin."""

    own: Own
    """Of one row"""
    field: Field
    """Of the same cells, its openings a little elsewhere perhaps."""


class Looked(NamedTuple):
    """What was seen about a case's own point, for the same fans behind the same shroud."""

    behind: Behind
    fans: tuple[Fan, ...]
    stands: tuple[bool, ...]
    own: Own
    """Of the medians there"""
    near: Near
    gone: tuple[tuple[Numbers, Numbers] | None, ...]
    """Of each of `_moves`: its three nodes, and how the values differ at the outer two"""

    def serves(self, filled: Filled, behind: Behind) -> bool:
        """Whether another job's plenum and fans are these, whatever goes through them."""
        return self.fans == filled.job.fans and self.behind == behind


def put(rows: Any, own: Own | None) -> None:
    """Write tables into rows or a row; one without them comes out as not a number."""
    if own is None:
        rows.plenum_loss, rows.unevenness, rows.plenum_near = np.nan, np.nan, np.nan
    else:
        (rows.plenum_loss, rows.unevenness), rows.plenum_near = own


def tables_for(
    filled: Filled,
    p: Any,
    table: Numbers,
    count: int = QUICK_CELLS,
    like: Looked | None = None,
    start: Start | None = None,
) -> Own:
    """Tabulate the plenum of a driving case for every draw.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    p : array
        The case's rows, complete but for the plenum.
    table : array
        Of the coolant.
    count : int
        Cells.
    like : Looked, optional
        At a job little different. Where its plenum and fans are this one's, only the point is solved again, and what
        moves the tables about it is taken from there.
    start : Start, optional
        Near the case's own point; where it is far off, it takes longer and comes to the same.

    Returns
    -------
    Own
        One row for each draw.

    Raises
    ------
    InputError
        If the air behind this shroud cannot be worked out.

    Notes
    -----
    Limits: pushers that help pullers are left out. Accuracy, fans unlike or one standing: 0.2 % of a full solve's air
    at the medians; nine draws in ten within 5 %, the odd one far from the point 14 % off.
    """
    behind, flat = behind_of(filled), np.full((len(p), NEAR), np.nan)
    if behind is None:
        return Own(even(np.zeros(len(p)), np.ones(len(p))), flat)
    march, factor = march_of(filled, p[0], table), filled["model.plenum"]
    if not hangs_on_the_point(filled, p[0]):
        tables = tables_at(behind, depth_of(filled), blowers_of(filled, p[0]), march, count)
        return Own(tables.scaled(factor), flat)
    behind = as_packed(filled, behind)
    if like is not None:
        like = like if like.serves(filled, behind) else None
        start = None if like is None else Start(like.own, like.near.point.field)
    point, seen = _settled(filled, p[0], with_leaks(behind.cells(count), p[0]), march, start)
    moves = _moves(filled, p, behind, count, point)
    if like is None or like.stands != _stands(point.blowers):
        like = _looked(filled, p, behind, count, march, point, seen, moves)
    off = seen.values - like.near.at(seen)
    near = like.near._replace(point=like.near.point._replace(values=like.near.point.values + off))
    moved = _by_factor(near, factor)
    for (draws, _), gone in zip(moves, like.gone, strict=True):
        if gone is not None:
            moved = moved + weights_over(draws, gone[0])[:, [0, 2]] @ gone[1]
    return _written(near, point, moved)


def looked_at(filled: Filled, p: Any, table: Numbers, count: int = QUICK_CELLS) -> Looked | None:
    """Look about a case's own point, for `tables_for`; None where its tables do not hang on it."""
    behind = behind_of(filled)
    if behind is None or not hangs_on_the_point(filled, p[0]):
        return None
    march, behind = march_of(filled, p[0], table), as_packed(filled, behind)
    point, seen = _settled(filled, p[0], with_leaks(behind.cells(count), p[0]), march)
    return _looked(filled, p, behind, count, march, point, seen, _moves(filled, p, behind, count, point))


def _stands(blowers: Blowers) -> tuple[bool, ...]:
    return tuple((blowers.stopped > 0.0).tolist())


def _looked(
    filled: Filled,
    p: Any,
    behind: Behind,
    count: int,
    march: March,
    point: Point,
    seen: Seen,
    moves: list["Move"],
) -> Looked:
    cells = with_leaks(behind.cells(count), p[0])
    near = near_of(cells, point.law, point.blowers, march, seen, _ahead(p, point, seen))
    if np.any(np.isnan(near.slopes)):
        raise unsettled()
    gone = tuple(_along(near, march, point, *move) for move in moves)
    return Looked(
        behind, filled.job.fans, _stands(point.blowers), one_look(seen, point, filled["model.plenum"][:1]), near, gone
    )


def own_tables(filled: Filled, row: Any, cells: Cells, march: March) -> Own | None:
    """Tabulate other cells, or the same at another speed, for one row; None where they do not settle.

    Like fans' are those of the cells sealed; others' have the row's leaks in them.
    """
    factor = filled["model.plenum"][:1]
    if not hangs_on_the_point(filled, row):
        sealed = cells._replace(gap=np.zeros_like(cells.gap), flap=np.zeros_like(cells.flap))
        tables, has_settled = tables_of(sealed, blowers_of(filled, row), march, STANDARD_LAW)
        scaled = tables.scaled(factor)
        return Own(Tables(scaled.loss[0], scaled.lost[0]), np.full(NEAR, np.nan)) if has_settled else None
    cells = with_leaks(cells, row)
    try:
        point, seen = _settled(filled, row, cells, march)
    except InputError:
        return None
    near = near_of(cells, point.law, point.blowers, march, seen, _reach(point, seen))
    if np.any(np.isnan(near.slopes)):
        return None
    tables, record = _written(near, point, _by_factor(near, factor))
    return Own(Tables(tables.loss[0], tables.lost[0]), record[0])


def hangs_on_the_point(filled: Filled, row: Any) -> bool:
    """Whether a plenum's tables hold near a case's own point only: fans unlike, or one standing while another runs."""
    return bool(row.pushed_share <= 0.0 and not are_alike(in_shroud(filled), row))


def _settled(filled: Filled, row: Any, cells: Cells, march: March, start: Start | None = None) -> tuple[Point, Seen]:
    """Solve pack and field in turns at a row's own working point until neither moves the other."""
    row, face = row.copy(), float(cells.core.sum()) * cells.dx * cells.dy
    row.plenum_loss, row.unevenness = even(0.0, 1.0)
    row.plenum_near = np.nan
    factor, field = filled["model.plenum"][:1], None
    if start is not None:
        put(row, start.own)
        field = start.field
    held = left = before = np.zeros(0)
    for turn in range(_MOST_TURNS):
        point = working_point(filled, row, float(row.heat), face)
        assert point is not None
        seen = seen_of(cells, point.law, point.blowers, march, field)
        if not seen.field.has_settled:
            break
        if abs(seen.face_velocity / point.face_velocity - 1.0) <= _SETTLED:
            return point, seen
        field = seen.field
        if turn == 0:
            held = seen.values
        else:
            # One overshoots the other; what two turns left over shows where they meet (Anderson's mixing, from memory).
            last, left = left, seen.values - held
            step = left.copy()
            if turn > 1:
                bend = left - last
                step -= float(left @ bend) / float(bend @ bend) * (held - before + bend)
            before, held = held, held + step
        put(row, one_look(seen._replace(values=held), point, factor))
    raise unsettled()


def one_look(seen: Seen, point: Point, factor: Numbers) -> Own:
    """Write what one look at a field says for one row, as if nothing moved it."""
    still = Near(seen, np.zeros((5, 5)), seen.ahead, seen.ahead)
    tables, record = _written(still, point, _by_factor(still, factor))
    return Own(Tables(tables.loss[0], tables.lost[0]), record[0])


def _written(near: Near, point: Point, moved: Numbers) -> Own:
    """Write for the pack, whose head is that of its own speed."""
    head = point.over_open**2
    values = near.point.values.copy()
    values[0] = np.arcsinh(head * near.point.K)
    seen = near.point._replace(core_loss=head * near.point.core_loss, values=values)
    lost = (point.law.linear + point.law.square * point.face_velocity) * point.face_velocity
    ahead = near.point.ahead + point.ahead - point.law.ahead / lost
    return Own(*written(near._replace(point=seen), ahead, moved))


def _by_factor(near: Near, factor: Numbers) -> Numbers:
    """What a factor on loss and heat lost moves."""
    moved = np.zeros((len(factor), len(near.point.values)))
    moved[:, 0] = np.arcsinh(factor * near.point.K) - near.point.values[0]
    moved[:, 2:] = np.log(factor)[:, np.newaxis]
    return moved


def _reach(point: Point, seen: Seen) -> tuple[float, float]:
    lost = point.law.ahead / seen.ahead if seen.ahead else point.law.linear * seen.face_velocity
    least = _AHEAD * abs(point.law.ahead) + _LEAST_AHEAD * lost
    return point.law.ahead - least, point.law.ahead + least


def _ahead(p: Any, point: Point, seen: Seen) -> tuple[float, float]:
    """Least and most pressure ahead of the draws, each as it would be before the case's own fans."""
    pressed: Any = ram(p, p.ambient)
    ways = p.front_loss + p.exit_loss
    lost = (pressed[0] - point.law.ahead) * ways / max(ways[0], 1e-9)
    strength = _strongest(p)[0]
    # Opening and way out lose as the air's speed squared, and that goes with the fans.
    drawn = pressed * strength[0] / strength - lost
    low, high = _reach(point, seen)
    return min(low, float(np.quantile(drawn, _DRAWN[0]))), max(high, float(np.quantile(drawn, _DRAWN[1])))


def _strongest(p: Any) -> tuple[Numbers, Numbers]:
    """Shut-off and free air of the strongest fan that runs, as tested, in every draw."""
    on = [i for i in range(int(p.fan_count[0])) if p.fan_on[0, i] > 0.0]
    i = max(on, key=lambda k: float(p.fan_pressure[0, k].max()))
    return p.fan_pressure[:, i].max(axis=1) / p.fan_density[:, i], p.fan_scale[:, i] * p.fan_flow[:, i].max(axis=1)


Move = tuple[Numbers, Callable[[float], tuple[Cells, Blowers]]]


def _moves(filled: Filled, p: Any, behind: Behind, count: int, point: Point) -> list[Move]:
    """What moves a plenum's values beside core and pressure ahead: draws, and cells and fans at one of them."""
    cells, blowers = with_leaks(behind.cells(count), p[0]), point.blowers
    stands = blowers.stopped > 0.0

    def loss(value: float) -> tuple[Cells, Blowers]:
        return cells, blowers._replace(stopped=blowers.stopped * value / losses[0])

    def shape(value: float) -> tuple[Cells, Blowers]:
        scale = np.where(stands, 1.0, (value / shapes[0]) ** -0.5)[:, np.newaxis]
        return cells, blowers._replace(flow=blowers.flow * scale)

    moves: list[Move] = [(depth_of(filled), lambda depth: (with_leaks(behind.at(depth).cells(count), p[0]), blowers))]
    if stands.any():
        losses = p.fan_stopped_loss[:, next(i for i, still in zip(in_shroud(filled), stands, strict=True) if still)]
        moves.append((losses, loss))
    if np.count_nonzero(~stands) > 1:
        shut, free = _strongest(p)
        shapes = shut / free**2
        moves.append((shapes, shape))
    return moves


def _along(
    near: Near, march: March, point: Point, draws: Numbers, at: Callable[[float], tuple[Cells, Blowers]]
) -> tuple[Numbers, Numbers] | None:
    """Nodes of one thing beside the core, and what the outer two move; None where its draws are as good as one."""
    if len(draws) < 2 or np.ptp(draws) <= _WIDE * draws[0]:
        return None
    nodes, gone = nodes_over(draws), []
    for node in nodes[[0, 2]]:
        cells, blowers = at(float(node))
        seen = seen_of(cells, point.law, blowers, march, near.point.field)
        if not seen.field.has_settled:
            raise unsettled()
        gone.append(seen.values - near.at(seen))
    return nodes, np.array(gone)
