"""The air behind the core in one driving case, at the medians: its field, what depth is worth, and the ways it goes.

Report     the field as built and an inch deeper, beside the pack's own air
report     job, solved case -> Report; None where nothing is drawn through a shroud
told       a case's answer with what the report says of its field
Curves     coolant against depth, covered share and flaps
curves     job, solved case -> Curves
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.airflow.behind import hand_rule
from shroudwright.airflow.recycled import fading
from shroudwright.assessment import CaseAnswer
from shroudwright.bench.arcs import rectangle
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import glycol_of
from shroudwright.job.leaks import as_packed, is_placed, opened, with_leaks
from shroudwright.job.near import Own, hangs_on_the_point, own_tables, put, tables_for
from shroudwright.job.placed import moved_tables, place_leaks
from shroudwright.job.plenum import Behind, Point, behind_of, march_of, working_point
from shroudwright.judge import AN_HOUR, Solved
from shroudwright.materials.air import specific_heat
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.cells import FINE_CELLS, QUICK_CELLS, Cells
from shroudwright.pack.field import solve_field
from shroudwright.pack.kernel import solve_batch
from shroudwright.pack.plenum import March, Spread, even, heat_ratio, spread_of

Numbers = NDArray[np.float64]
ANOTHER = 0.0254
"""The step in depth whose worth is told, [m]"""
AGREED = 0.02
"""How far the field's air may be from the pack's, [-]"""
STANDING_IS_KIND = (
    "; with a fan standing the computed air may be up to 6 % and the heat 2.4 % too kind: "
    "the swirl of the jet it lets in is left out"
)
"""Of the field against the full momentum equations: `docs/design.md`."""
DEPTHS = tuple(0.0254 * inches for inches in (0.125, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0))
LEAST_COVER, COVERS = 0.55, 6
MPH = 0.44704
COVER_SPEEDS = tuple(mph * MPH for mph in (0.0, 20.0, 40.0, 60.0))
FLAP_SHARES = (0.0, 0.05, 0.10, 0.15, 0.20)
FLAP_SPEEDS = tuple(mph * MPH for mph in (0.0, 40.0, 60.0))


@dataclass(frozen=True)
class Report:
    """The air behind the core in one driving case."""

    case: str
    behind: Behind
    depth: float
    """Fins to plate at the bottom, [m]"""
    tanks_at_sides: bool
    cells: Cells
    speed: Numbers
    """Face speed in every cell; nan where there is no core, [m/s]"""
    deeper_speed: Numbers
    """The same an inch deeper, [m/s]"""
    spread: Spread
    deeper: Spread
    a_fan_stands: bool
    """Whether a fan behind the core stands while another runs."""
    share_of_pack: float
    """The field's air over the pack's, leaks at the openings in both unless the job says where they are, [-]"""
    share_by_spread: float | None
    """The field's air with gaps all round over that with all leaks at the openings; None with places typed, [-]"""
    flap_flow: float
    """Out by the flaps, [m**3/s]"""
    gap_flow: float
    """In from the bay, [m**3/s]"""
    heat_against_even: float
    """Heat with this air over heat with the same air spread evenly, [-]"""
    air_against_deep: float
    """Air through the core over that with a deep plenum, [-]"""
    degrees_against_deep: float | None
    """Coolant over that with a deep plenum; None for a pull or without a steady state, [K rise]"""
    degrees_of_another: float | None
    """Taken off the coolant by an inch more, likewise, [K rise]"""
    hand_number: float
    hand_evenness: float

    @property
    def agrees(self) -> bool:
        """Whether the field moves the pack's air."""
        return abs(self.share_of_pack - 1.0) <= AGREED


@dataclass(frozen=True)
class Curves:
    """What the coolant does as one thing changes: K with the thermostat full open, or seconds a pull lasts.

    nan where there is no steady state, or no air found.
    """

    is_pull: bool
    coolant: float
    """As the job stands."""
    amps: float
    """Of all electric fans, as the job stands, [A]"""
    depth: float
    depths: Numbers
    """[m]"""
    depth_coolant: Numbers
    depth_amps: Numbers
    """[A]"""
    road_speed: float
    """Of the case, [m/s]"""
    covered: float
    covers: Numbers
    """Share of the core behind the shroud, the openings widened evenly, [-]"""
    cover_speeds: Numbers
    """[m/s]"""
    cover_coolant: Numbers
    """The case's heat at every speed, shape (speeds, covers)."""
    flaps: float
    flap_shares: Numbers
    """Flap area over the core's, [-]"""
    flap_speeds: Numbers
    """[m/s]"""
    flap_coolant: Numbers
    """The case's heat at every speed, shape (speeds, shares)."""


def report(filled: Filled, solved: Solved) -> Report | None:
    """Solve the field of a case at the medians' working point, with its real fans.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : Solved
        The driving case.

    Returns
    -------
    Report or None
        None without a shroud that draws, where pushers help pullers (the field knows nothing of them), and where
        nothing moves the air or the field does not settle.

    Notes
    -----
    Limits: the pressure ahead of the core and its mean loss are the pack's; gaps and flaps are where the job puts
    them, else gaps evenly round the shroud's edge and flaps at the openings. Accuracy: `Report.share_of_pack` says how
    far the field's air is from the pack's.
    """
    p, table = _median(solved), coolant_table(*glycol_of(filled))
    behind = behind_of(filled)
    if behind is None or p.pushed_share > 0.0:
        return None
    depth = behind.plenum.depth
    leaky = opened(filled, behind)
    cells = with_leaks(leaky.cells(FINE_CELLS), p)
    point = working_point(filled, p, _heat(solved, p), float(cells.core.sum()) * cells.dx * cells.dy)
    if point is None:
        return None
    field = solve_field(cells, point.law, point.blowers)
    as_packed_cells = cells if is_placed(filled) else with_leaks(behind.cells(FINE_CELLS), p)
    packed_field = solve_field(as_packed_cells, point.law, point.blowers, field)
    deeper_cells = with_leaks(leaky.at(depth + ANOTHER).cells(FINE_CELLS), p)
    deeper = solve_field(deeper_cells, point.law, point.blowers)
    if not (field.has_settled and deeper.has_settled and packed_field.has_settled):
        return None
    spread = spread_of(cells, point.law, point.blowers, field)
    packed = spread_of(as_packed_cells, point.law, point.blowers, packed_field).air_flow
    march = march_of(filled, p, table)
    rows = np.repeat(solved.params[:1], 3).view(np.recarray)
    rows.limit = rows.limit if solved.is_pull else np.nan  # no ambient is searched for
    rows[1].plenum_loss, rows[1].unevenness = even(0.0, 1.0)
    another_inch = as_packed(filled, behind).at(depth + ANOTHER).cells(QUICK_CELLS)
    put(rows[2], _tables(filled, solved, rows[2], another_inch, march))
    found: Any = solve_batch(rows, table)
    as_is, deep, another = (None if solved.is_pull else _known(one) for one in found.coolant_unregulated)
    grows = float(found.air_mass_flow[1] / found.air_mass_flow[0])
    number, evenness = _by_hand(cells, depth, point, grows)
    return Report(
        case=filled.job.cases[solved.index].name,
        behind=leaky,
        depth=depth,
        tanks_at_sides=filled.word("core.run") == "crossflow",
        cells=cells,
        speed=field.speed,
        deeper_speed=deeper.speed,
        spread=spread,
        deeper=spread_of(deeper_cells, point.law, point.blowers, deeper),
        a_fan_stands=0 < int(np.count_nonzero(point.blowers.stopped)) < len(point.blowers.stopped),
        share_of_pack=packed / point.drawn,
        share_by_spread=None if is_placed(filled) else spread.air_flow / packed,
        flap_flow=field.flap_flow,
        gap_flow=field.gap_flow,
        heat_against_even=heat_ratio(cells, field.speed, march),
        air_against_deep=1.0 / grows,
        degrees_against_deep=_less(as_is, deep),
        degrees_of_another=_less(as_is, another),
        hand_number=number,
        hand_evenness=evenness,
    )


def told(case: CaseAnswer, found: Report | None) -> CaseAnswer:
    """Return a case's answer with what a report says of its field; as it was without one."""
    if found is None:
        return case
    off = 100.0 * (found.share_of_pack - 1.0)
    how = "fair: computed for this layout, never measured" if found.agrees else "low: field and pack do not agree"
    kind = STANDING_IS_KIND if found.a_fan_stands else ""
    field = case.field.model_copy(
        update={
            "depth": found.depth,
            "evenness": found.spread.evenness,
            "slowest": found.spread.slowest,
            "starved_share": found.spread.starved_share,
            "air_against_deep": found.air_against_deep,
            "heat_against_even": found.heat_against_even,
            "degrees_against_deep": found.degrees_against_deep,
            "degrees_of_another_inch": found.degrees_of_another,
            "hand_rule_evenness": found.hand_evenness,
            "confidence": f"{how}; the field's air is {off:+.1f} % off the pack's{_of_spread(found)}{kind}",
        }
    )
    return case.model_copy(update={"field": field})


def _of_spread(found: Report) -> str:
    if found.share_by_spread is None:
        return ""
    off = 100.0 * (found.share_by_spread - 1.0)
    return f", gaps at the fans in both; spread all round the shroud's edge, a guess, they move it by {off:+.1f} %"


def curves(filled: Filled, solved: Solved) -> Curves | None:
    """Sweep depth, covered share and flaps of a case at the medians, the pack solved at every point.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : Solved
        The driving case.

    Returns
    -------
    Curves or None
        None without a shroud that draws.

    Notes
    -----
    Limits: heat and volts are the case's at every road speed; air coming round again and the pavement's heat fade
    with speed as in the job. Flaps without a place let air out at the fans' pressure; with places, at every depth
    and cover as they do at the case's own air. Behind unlike fans, or one that stands, they are solved at every depth,
    and taken to the fans' openings as the cover changes. What stands close behind a fan is left as near as it is.
    """
    p, table = _median(solved), coolant_table(*glycol_of(filled))
    behind = behind_of(filled)
    if behind is None:
        return None
    march = march_of(filled, p, table)
    face = behind.plenum.width * behind.plenum.height

    def run(rows: Any) -> Any:
        return solve_batch(rows, table)

    def held(found: Any) -> Numbers:
        if solved.is_pull:
            return np.asarray(np.minimum(found.seconds_to_limit, AN_HOUR))
        return np.asarray(found.coolant_unregulated)

    laid = as_packed(filled, behind)
    by_depth = _rows(solved, (len(DEPTHS),))
    for row, depth in zip(by_depth, DEPTHS, strict=True):
        put(row, _tables(filled, solved, row, laid.at(depth).cells(QUICK_CELLS), march))

    cover = _covers(behind)
    by_cover = _rows(solved, (len(COVER_SPEEDS), len(cover)))
    covers = np.array([min(float(cells.core.sum()) * cells.dx * cells.dy / face, 1.0) for cells in cover])
    by_cover.covered_share, by_cover.crossed_share = covers, np.sqrt(covers)
    _at_speeds(filled, solved, by_cover, COVER_SPEEDS)
    own = hangs_on_the_point(filled, p)
    for at, cells in enumerate(cover):
        found = None if own else _tables(filled, solved, by_cover[0, at], cells, march)
        for row in by_cover[:, at]:
            put(row, _tables(filled, solved, row, cells, march) if own else found)

    by_flap = _rows(solved, (len(FLAP_SPEEDS), len(FLAP_SHARES)))
    by_flap.flap_area = face * np.array(FLAP_SHARES)
    _at_speeds(filled, solved, by_flap, FLAP_SPEEDS)
    for line in by_flap if own else ():
        found = own_tables(filled, line[0], laid.cells(QUICK_CELLS), march)
        for row in line:
            put(row, own_tables(filled, row, laid.cells(QUICK_CELLS), march) if is_placed(filled) else found)
    if is_placed(filled) and not own:
        _with_flaps_placed(filled, solved, by_flap.ravel(), table)

    at_depth, as_is = run(by_depth), run(_rows(solved, (1,)))
    return Curves(
        is_pull=solved.is_pull,
        coolant=float(held(as_is)[0]),
        amps=float(np.nansum(as_is.fan_amps[0])),
        depth=behind.plenum.depth,
        depths=np.array(DEPTHS),
        depth_coolant=held(at_depth),
        depth_amps=np.nansum(at_depth.fan_amps, axis=1),
        road_speed=float(p.road_speed),
        covered=float(p.covered_share),
        covers=covers,
        cover_speeds=np.array(COVER_SPEEDS),
        cover_coolant=held(run(by_cover.ravel())).reshape(by_cover.shape),
        flaps=float(p.flap_area) / face,
        flap_shares=np.array(FLAP_SHARES),
        flap_speeds=np.array(FLAP_SPEEDS),
        flap_coolant=held(run(by_flap.ravel())).reshape(by_flap.shape),
    )


def _with_flaps_placed(filled: Filled, solved: Solved, rows: Any, table: Numbers) -> None:
    """Place the leaks of every row anew, as large as its own areas say."""
    own = tables_for(filled, solved.params.view(np.recarray), table).tables
    for i in range(len(rows)):
        one = rows[i : i + 1]
        one.plenum_loss, one.unevenness = own.loss[0], own.lost[0]
        one.leak_lift, one.flap_lift = 0.0, 0.0
        place_leaks(filled, one, table)


def _median(solved: Solved) -> Any:
    return solved.params[:1].view(np.recarray)[0]


def _rows(solved: Solved, shape: tuple[int, ...]) -> Any:
    """Copies of the medians' row, without a search for the ambient held."""
    rows = np.tile(solved.params[:1], shape).view(np.recarray)
    if not solved.is_pull:
        rows.limit = np.nan
    return rows


def _known(value: float) -> float | None:
    return None if math.isnan(value) else float(value)


def _less(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else one - other


def _heat(solved: Solved, p: Any) -> float:
    """Heat the case gives the air; what is shed at the end of a pull."""
    if not solved.is_pull:
        return float(p.heat)
    end = solved.results[0]
    middle = 0.5 * (end.air_in + end.air_out)
    return float(end.air_mass_flow * specific_heat(middle, p.humidity_ratio) * (end.air_out - end.air_in))


def _by_hand(cells: Cells, depth: float, point: Point, grows: float) -> tuple[float, float]:
    """Hand rule at the air a deep plenum would pass, so much more than now."""
    outside = cells.core * np.maximum(1.0 - cells.disc.sum(axis=0), 0.0)
    V = grows * point.face_velocity
    drop = point.law.linear * V + point.law.square * V**2
    edge = 2.0 * math.pi * float(cells.circles[:, 2].sum())
    return hand_rule(float(outside.sum()) * cells.dx * cells.dy, edge, depth, point.law.density, V, drop)


def _tables(filled: Filled, solved: Solved, row: Any, cells: Cells, march: March) -> Own | None:
    """Tables of other cells for one row of a case; like fans' leaks act in them as they do at the case's own air."""
    own = own_tables(filled, row, cells, march)
    return moved_tables(filled, solved.params.view(np.recarray), coolant_table(*glycol_of(filled)), own)


def _covers(behind: Behind) -> list[Cells]:
    """Shrouds over more and more of the core: the openings widened evenly, up to the core's edge."""
    plenum = behind.plenum
    whole = plenum._replace(outlines=(rectangle(plenum.width, plenum.height),), dividers=())
    cells = behind._replace(plenum=whole).cells(QUICK_CELLS)
    rows, columns = cells.wet.shape
    x, y = np.meshgrid((np.arange(columns) + 0.5) * cells.dx, (np.arange(rows) + 0.5) * cells.dy)
    away = np.min([np.hypot(x - cx, y - cy) - radius for cx, cy, radius in cells.circles], axis=0)
    least = max(LEAST_COVER, float(np.mean(away <= 0.0)) + 0.02)
    inside = [away <= np.quantile(away, share) for share in np.linspace(min(least, 0.98), 1.0, COVERS)]
    return [
        cells._replace(wet=part, core=np.where(part, cells.core, 0.0), bare=np.where(part, 0.0, cells.core))
        for part in inside
    ]


def _at_speeds(filled: Filled, solved: Solved, rows: Any, speeds: tuple[float, ...]) -> None:
    """Give every line of rows a road speed, and what goes with it."""
    rows.road_speed = np.array(speeds)[:, np.newaxis]
    rows.pavement_rise = fading(filled.drawn["weather.pavement_rise"][0], rows.road_speed)
    if f"cases.{solved.index}.recirculation" not in filled.drawn:
        rows.recirculation = fading(filled.drawn["opening.recirculation"][0], rows.road_speed)
