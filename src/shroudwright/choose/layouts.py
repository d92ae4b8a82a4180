"""The leading sets laid out on the job's core, each at a few depths of shroud, and what that gives.

lay_out_leading    ranked sets -> Laid, or why no place was found
"""

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import box
from shroudwright.bench.units import convert
from shroudwright.choose.balance import Balanced, Work, solve_rows
from shroudwright.choose.record import DepthAnswer, LayoutAnswer, Placement, Tightest
from shroudwright.fan_sets import Batch, Columns, Members, flows_of
from shroudwright.job.drive import Fan
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import fit_of
from shroudwright.job.flatten import solid_behind, stand_off
from shroudwright.job.plenum import behind_of, law_at, like_blowers, march_of, running_blowers, tables_at
from shroudwright.job.quantity import Reading
from shroudwright.layout import Layout, Miss, Site, heat_of, in_a_row, lay_out
from shroudwright.pack.cells import QUICK_CELLS, Blowers, Law
from shroudwright.pack.plenum import Tables, even
from shroudwright.shroud.bodies import FanBody, Plate
from shroudwright.shroud.fit import Clearance, clearances, missing, tightest
from shroudwright.speech import Dialect

Numbers = NDArray[np.float64]
LAID = 20
"""Sets laid out"""
_TRIED = 40
_LEAST_DEPTH = 0.5 * 0.0254
_STEPS = {"in": (0.5 * 0.0254, 0.0254 / 16.0), "mm": (0.01, 0.001)}
"""From depth to depth, and what a tape is read to, [m]"""
_ALONG_Z = ("motor to engine", "fan to fins", "fan to tank", "fan to keep-out", "leads to solid")
_SAME = 1e-4


class Laid(NamedTuple):
    """A set where it stands best, and its draws there."""

    layout: LayoutAnswer
    notes: list[str]
    margins: Numbers
    """Row 0 the median, [K rise]"""
    results: Any


class _Option(NamedTuple):
    """The placed fans behind a shroud of some depth."""

    depth: float
    site: Site
    fits: bool | None
    tightest: Clearance | None
    tables: Tables
    behind: tuple[float, ...]
    """Loss of what stands close behind each fan, [-]"""


class _Placed(NamedTuple):
    """A set with its places, before its draws."""

    fans: tuple[FanBody, ...]
    blowers: Blowers
    depth: float
    """The job's, or the nearest to it where there is a place, [m]"""
    options: tuple[_Option, ...]
    row: Tables | None
    """Of the same fans evenly in a row; None where that is where they stand"""
    row_fits: bool
    roll: float | None
    """Width of the guessed roll where the frames leave less; None where they seat, [m]"""


def lay_out_leading(
    work: Work, ranked: Sequence[Balanced], columns: Columns, kept: dict[Any, Numbers]
) -> tuple[dict[int, Laid], dict[int, str]]:
    """Lay out the leading sets, in their order, until `LAID` have a place.

    Parameters
    ----------
    work : Work
    ranked : sequence of Balanced
        Best first, their governing cases known.
    columns : Columns
        Of all their fans, every draw.
    kept : dict
        As `flows_of` takes it.

    Returns
    -------
    laid : dict of int to Laid
        By place in ``ranked``.
    fell : dict of int to str
        Why no place was found for others of the leading ones.
    """
    lone = [i for i, each in enumerate(ranked[:_TRIED]) if _is_lone(work, each.candidate.members)]
    points = _working_points(work, [ranked[i] for i in lone], columns, kept)
    placed: dict[int, _Placed] = {}
    fell: dict[int, str] = {}
    tried = 0
    pool = ThreadPoolExecutor(os.cpu_count() or 1)
    try:
        while len(placed) < LAID and tried < len(lone):
            part = range(tried, min(tried + LAID - len(placed), len(lone)))
            found = pool.map(lambda k: _place(work, ranked[lone[k]], *points[k]), part)
            for tried in part:
                work.step(f"laying out the leading sets: {len(placed)} of {LAID} stand", len(placed) / LAID)
                one = next(found)
                if isinstance(one, str):
                    fell[lone[tried]] = one
                else:
                    placed[lone[tried]] = one
            tried += 1
    finally:
        pool.shutdown(cancel_futures=True)
    laid: dict[int, Laid] = {}
    for index in sorted({ranked[i].governing for i in placed}):
        work.step(f"drawing layouts: {work.known.job.cases[index].name}", len(laid) / LAID)
        own = {i: one for i, one in placed.items() if ranked[i].governing == index}
        laid |= _drawn(work, [ranked[i] for i in own], own, columns, kept, index)
    return laid, fell


def _is_lone(work: Work, members: Members) -> bool:
    return all(work.shelf[fan].fans_in_frame == 1 for fan in members)


def _batch(
    work: Work, part: Sequence[Balanced], columns: Columns, kept: dict[Any, Numbers], picked: Sequence[int]
) -> Batch:
    sets = [each.candidate.members for each in part]
    return Batch(work.known, sets, columns, flows_of(work.known, sets, kept), picked)


def _working_points(
    work: Work, part: Sequence[Balanced], columns: Columns, kept: dict[Any, Numbers]
) -> list[tuple[Any, Law]]:
    """Each set's row in its governing case, and the core's law there: the first set's stands in for all of a case."""
    if not part:
        return []
    batch = _batch(work, part, columns, kept, [0])
    rows = {index: batch.case(index).view(np.recarray) for index in {each.governing for each in part}}
    laws: dict[int, Law] = {}
    for i, each in enumerate(part):
        if each.governing not in laws:
            laws[each.governing] = law_at(rows[each.governing][i, 0])
    return [(rows[each.governing][i], laws[each.governing]) for i, each in enumerate(part)]


def _place(work: Work, each: Balanced, p: Any, law: Law) -> _Placed | str:
    """Lay a set out at the job's depth, or at the nearest to it where there is a place."""
    members, known, shop = each.candidate.members, work.known, work.shop
    own, why = float(known.drawn["shroud.depth"][0]), ""
    depths = _depths(work, own)
    for depth in sorted(depths, key=lambda other: (abs(other - own), other)):
        bodies, site = _site(work, members, p, law, depth)
        blowers = running_blowers(known.filled(members, 1), p[0], law.density)
        found = lay_out(site, bodies, blowers)
        if isinstance(found, Layout):
            break
        why = why or _nearest_miss(found, shop)
        if found.missing[0].kind not in _ALONG_Z:
            return why
    else:
        return why
    options = tuple(
        _option(work, members, p, law, blowers, found.fans, other, is_own=other == depth) for other in depths
    )
    row = in_a_row(site, bodies)
    off = max(max(abs(a.x - b.x), abs(a.y - b.y)) for a, b in zip(row, found.fans, strict=True))
    row_tables = None if off < _SAME else _tables(work, members, site, row, blowers)
    row_fits = not missing(clearances(row, site.plate, site.solids))
    plate = fit_of(_filled(work, members, depth)).plate
    assert plate is not None
    roll = max(plate.roll_bottom, plate.roll_top) if _wants_a_tighter_roll(work, found.fans, plate) else None
    return _Placed(found.fans, blowers, depth, options, row_tables, row_fits, roll)


def _depths(work: Work, depth: float) -> list[float]:
    """The job's depth, two steps down and two up; the job's alone where the plate is tapered."""
    if work.known.job.shroud.depth_top is not None:
        return [depth]
    step, _ = _STEPS[work.shop.length]
    return [depth + n * step for n in (-2, -1, 0, 1, 2) if n == 0 or depth + n * step >= _LEAST_DEPTH - 1e-9]


def _filled(work: Work, members: Members, depth: float, fans: tuple[Fan, ...] = ()) -> Filled:
    return work.known.filled(members, 1, fans, **{"shroud.depth": np.full(1, depth)})


def _site(work: Work, members: Members, p: Any, law: Law, depth: float) -> tuple[tuple[FanBody, ...], Site]:
    """A set and what it stands on; a size nobody gave is taken as guessed, as it was while sets were sifted."""
    known, filled = work.known, _filled(work, members, depth)
    fit, behind = fit_of(filled), behind_of(filled)
    assert fit.plate is not None
    assert behind is not None
    bodies = []
    for n, (fan, body) in enumerate(zip(members, fit.fans, strict=True), start=1):
        frame = known.median(fan, "frame_size")
        bodies.append(
            body._replace(
                code=f"{body.code} {n}" if members.count(fan) > 1 else body.code,
                frame=frame,
                corner=0.5 * frame if known.choices[fan]["frame"] == "round" else body.corner,
                overall_depth=known.median(fan, "overall_depth"),
            )
        )
    plate = fit.plate
    if _wants_a_tighter_roll(work, bodies, plate):
        plate = plate._replace(roll_bottom=0.0, roll_top=0.0)
    _, snap = _STEPS[work.shop.length]
    return tuple(bodies), Site(behind, plate, fit.solids, law, march_of(filled, p[0], work.table), snap)


def _wants_a_tighter_roll(work: Work, bodies: Sequence[FanBody], plate: Plate) -> bool:
    """Whether frames are too high for the flat that guessed rolls leave; how tight to roll is the shop's to choose."""
    edges = box(plate.outline)
    flat = edges.y2 - edges.y1 - plate.roll_bottom - plate.roll_top
    return work.known.job.shroud.roll_radius is None and max(body.frame or 0.0 for body in bodies) > flat + 1e-6


def _option(
    work: Work,
    members: Members,
    p: Any,
    law: Law,
    blowers: Blowers,
    stood: Sequence[FanBody],
    depth: float,
    *,
    is_own: bool,
) -> _Option:
    bodies, site = _site(work, members, p, law, depth)
    bodies = tuple(body._replace(x=at.x, y=at.y) for body, at in zip(bodies, stood, strict=True))
    gaps = clearances(bodies, site.plate, site.solids)
    fits: bool | None = not missing(gaps)
    deeper = depth > float(work.known.drawn["shroud.depth"][0]) + _SAME
    if fits and deeper and not is_own and not any(spot.depth for spot in work.known.job.space.depth_map):
        fits = None
    fans = tuple(
        work.known.shelf[fan].model_copy(update={"x": _reading(at.x, work.shop), "y": _reading(at.y, work.shop)})
        for fan, at in zip(members, stood, strict=True)
    )
    filled = _filled(work, members, depth, fans)
    behind = tuple(solid_behind(filled, i) for i in range(len(fans)))
    return _Option(depth, site, fits, tightest(gaps), _tables(work, members, site, bodies, blowers), behind)


def _tables(work: Work, members: Members, site: Site, bodies: Sequence[FanBody], blowers: Blowers) -> Tables:
    """Tables at the medians, shape (1, ...).

    Of unlike fans, one of which may hardly blow where the core is dense, what the field is at the case's own air
    stands for all: their loss is not smooth enough over the core's to be read from tables.
    """
    factor = work.known.drawn["model.plenum"][:1]
    if len(set(members)) > 1:
        found = heat_of(site, bodies, blowers, QUICK_CELLS)
        return even(np.array([max(found.spread.K, 0.0)]), np.array([found.ratio])).scaled(factor)
    circles = tuple((body.x, body.y, 0.5 * body.opening) for body in bodies)
    behind, like = site.behind._replace(circles=circles), like_blowers(len(bodies))
    depth = np.full(1, behind.plenum.depth)
    return tables_at(behind, depth, like, site.march, QUICK_CELLS).scaled(factor)


def _notes(one: _Placed, shop: Dialect) -> list[str]:
    if one.roll is None:
        return []
    plate = one.options[0].site.plate
    edges, halves = box(plate.outline), [0.5 * (fan.frame or 0.0) for fan in one.fans]
    below = min(fan.y - half for fan, half in zip(one.fans, halves, strict=True)) - edges.y1
    above = edges.y2 - max(fan.y + half for fan, half in zip(one.fans, halves, strict=True))
    left = shop.tape(max(min(below, above), 0.0))
    return [
        f"{' + '.join(fan.code for fan in one.fans)}: frames leave {left} for the rolls, "
        f"guessed to take {shop.tape(one.roll)}: roll tighter, or let the shroud reach past the fins"
    ]


def _nearest_miss(miss: Miss, shop: Dialect) -> str:
    worst = miss.missing[0]
    return (
        f"no place found that keeps every clearance; at the nearest, {worst.kind} ({' and '.join(worst.between)}) "
        f"lacks {shop.tape(-worst.spare)}"
    )


def _reading(length: float, shop: Dialect) -> Reading:
    return Reading(tape_text(length, shop), length, "measured", None, "length")


def tape_text(length: float, shop: Dialect) -> str:
    """Write a place as a tape reads it: sixteenths of an inch, or millimetres."""
    if shop.length == "in":
        return f"-{shop.tape(-length)}" if length < 0.0 else shop.tape(length)
    return f"{convert(length, 'm', 'mm'):.0f} mm"


def _drawn(
    work: Work,
    part: Sequence[Balanced],
    placed: Mapping[int, _Placed],
    columns: Columns,
    kept: dict[Any, Numbers],
    index: int,
) -> dict[int, Laid]:
    """Every draw of every depth of some sets in one driving case, and each set in a row at the median."""
    rows = _batch(work, part, columns, kept, range(len(next(iter(work.known.shares.values()))) + 1)).case(index)
    parts = []
    for p, one in zip(rows, placed.values(), strict=True):
        parts += [_with_tables(p, option.tables, option.behind) for option in one.options]
        parts += [] if one.row is None else [_with_tables(p[:1], one.row, ())]
    margins, results = solve_rows(work, np.concatenate(parts), index)
    edges = np.cumsum([0, *map(len, parts)])
    each = iter([(margins[a:b], results[a:b]) for a, b in pairwise(edges)])
    found = {}
    for i, one in placed.items():
        solved = [next(each) for _ in one.options]
        row = None if one.row is None else float(next(each)[0][0])
        found[i] = _laid(work, one, solved, row)
    return found


def _with_tables(p: NDArray[Any], tables: Tables, behind: Sequence[float]) -> NDArray[Any]:
    """Rows with a layout's tables at the median; their draws move about it as they did about the row's."""
    rows: Any = p.copy().view(np.recarray)
    rows.plenum_loss += tables.loss - rows.plenum_loss[:1]
    rows.unevenness = np.minimum(rows.unevenness + tables.lost - rows.unevenness[:1], 0.0)
    for i, loss in enumerate(behind):
        stand_off(rows, i, loss)
    return np.asarray(rows)


def _laid(work: Work, one: _Placed, solved: Sequence[tuple[Numbers, Any]], row: float | None) -> Laid:
    own, shop = float(work.known.drawn["shroud.depth"][0]), work.shop
    answers = [
        DepthAnswer(
            depth=option.depth,
            is_own=option.depth == own,
            fits=option.fits,
            chance_of_holding=float(np.mean(margins[1:] >= 0.0)),
            margin=float(margins[0]) if np.isfinite(margins[0]) else None,
            K=float(results["plenum_loss"][0]),
            amps=float(np.median(np.nansum(results["fan_amps"][1:], axis=1))),
        )
        for option, (margins, results) in zip(one.options, solved, strict=True)
    ]
    best = max(
        (k for k, answer in enumerate(answers) if answer.fits),
        key=lambda k: (round(answers[k].chance_of_holding, 2), -abs(answers[k].depth - own)),
    )
    at = next(k for k, option in enumerate(one.options) if option.depth == one.depth)
    margins, results = solved[best]
    gained = 0.0 if row is None else float(solved[at][0][0]) - row
    spread = heat_of(one.options[best].site, one.fans, one.blowers, QUICK_CELLS).spread
    tight = one.options[best].tightest
    return Laid(
        LayoutAnswer(
            placements=[
                Placement(
                    code=body.code,
                    x=body.x,
                    y=body.y,
                    x_typed=tape_text(body.x, shop),
                    y_typed=tape_text(body.y, shop),
                    turned=False,
                )
                for body in sorted(one.fans, key=lambda fan: (fan.x, fan.y))
            ],
            depth=answers[best].depth,
            evenness=spread.evenness,
            starved_share=spread.starved_share,
            K=answers[best].K,
            tightest=tight and Tightest(kind=tight.kind, between=list(tight.between), gap=tight.gap, least=tight.least),
            over_a_row=gained if np.isfinite(gained) else None,
            row_fits=one.row_fits,
            depths=answers,
        ),
        _notes(one, shop),
        margins,
        results,
    )
