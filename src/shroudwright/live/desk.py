"""A job prepared so that its fans can be moved about: a quick answer in every frame, and one to trust at the end.

Live       the prepared job
prepare    job -> Live
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.errors import InputError
from shroudwright.drawing.air_map import Face, face_of, top_speed
from shroudwright.face_map import calibrated
from shroudwright.job.circuits import circuits_of
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import Fit, fit_of, refit
from shroudwright.job.flatten import (
    boil_and_limit,
    covered_by_bare_fans,
    crossed_by_bare_fans,
    flatten,
    glycol_of,
    solid_behind,
    stand_off,
)
from shroudwright.job.heat_load import HeatLoad, heat_load
from shroudwright.job.model import Job
from shroudwright.job.near import Own, Start, put, tables_for
from shroudwright.job.placed import place_leaks
from shroudwright.job.places import opening_of
from shroudwright.job.places import places as places_of
from shroudwright.job.plenum import Circles, drawing_fans, working_point
from shroudwright.job.priors import Prior, priors, words
from shroudwright.job.quantity import Reading
from shroudwright.judge import Solved
from shroudwright.live.look import Look, Scene, look, scene_of
from shroudwright.live.moves import Place, moved, stood
from shroudwright.live.quick import NOT_AGREED, OVERLAPS, UNSETTLED, Quick, nothing, told
from shroudwright.live.settled import CaseSettled, Settled, settled_case
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.kernel import run_points, solve_batch, unknown_flows
from shroudwright.pack.params import RESULT, blank
from shroudwright.pack.plenum import Tables
from shroudwright.uncertain.draws import DRAWS, SEED, draw

Numbers = NDArray[np.float64]
HEADROOM = 1.3
"""How much faster than the job's own fastest spot the scale of colours reaches, [-]"""
AGREED = 0.02
"""How far the field's air may be from the pack's, [-]"""
_MOST_TURNS = 4
_CLOSE = 0.005


@dataclass(frozen=True)
class _Case:
    """A driving case before its plenum: everything in its rows that fans standing elsewhere do not change."""

    index: int
    load: HeatLoad
    rows: Any
    """Nothing behind any fan, no plenum; shape (draws,)."""
    boil: Numbers
    asked: float


class Live:
    """A job prepared so that its fans can be moved about. It holds the last look, to start the next from.

    Parameters
    ----------
    job : Job
        Calibrated.
    known : dict
        Its numbers' priors.
    draws, seed : int
        Behind every band.
    governing : int or None
        Which driving case is told; found by solving all where it is None.
    fastest : float or None
        End of the scale of colours; found where it is None, [m/s]
    """

    def __init__(
        self, job: Job, known: dict[str, Prior], draws: int, seed: int, governing: int | None, fastest: float | None
    ) -> None:
        self.job, self._known, self._draws, self._seed = job, known, draws, seed
        self._words = {path: word.value for path, word in words(job).items()}
        self.middle = Filled(job, {path: np.full(1, prior.median) for path, prior in known.items()}, self._words)
        """The job at its medians"""
        self.table = coolant_table(*glycol_of(self.middle))
        self._cases: dict[int, _Case] = {}
        self._flows: dict[int, Numbers] = {}
        self._last: Look | None = None
        self._fit = fit_of(self.middle)
        self._chosen = drawing_fans(self.middle)
        self.places = tuple(Place(x, y) for x, y in places_of(self.middle))
        """Where the fans stand in the job"""
        self.governing = self._governing() if governing is None else governing
        own = self._case_of(self.middle, self.governing)
        row = self._rows(own, self.middle, full=True)
        self._own, self._row = own, row
        self._as_is = Own(Tables(row[0].plenum_loss, row[0].unevenness), row[0].plenum_near)
        self._scene = scene_of(self.middle, row[0], self.table)
        self.fastest = self._fastest() if fastest is None else fastest
        """End of the scale of colours, the same for every picture of this job, [m/s]"""

    @property
    def case(self) -> str:
        """Name of the governing case."""
        return self.job.cases[self.governing].name

    def quick(self, places: Sequence[Place]) -> Quick:
        """Answer for fans elsewhere, fast enough to follow a finger.

        Parameters
        ----------
        places : sequence of Place
            One for each fan of the job, in their order.

        Returns
        -------
        Quick
            At the medians of the governing case.

        Raises
        ------
        InputError
            If a place is missing or nowhere near the core.

        Notes
        -----
        Limits: the law of the core is that of the air the job moves as it stands, and another case may govern with
        the fans elsewhere. Accuracy: `docs/live.md`.
        """
        there = moved(self.middle, places)
        fit = refit(self._fit, stood(self._fit.fans, self._chosen, places))
        scene = self._scene
        row = self._rows(self._own, there, full=False)
        if scene is None:
            return self._told(fit, row, None, "")
        if any(item.gap < 0.0 for item in fit.clearances if item.kind == "opening to opening"):
            return nothing(self.case, float(row[0].limit), fit, OVERLAPS)
        found, agrees = self._looked(scene, there, row, self._circles(there, places))
        if found is None:
            return nothing(self.case, float(row[0].limit), fit, UNSETTLED)
        return self._told(fit, row, found, "" if agrees else NOT_AGREED)

    def settle(self, places: Sequence[Place], cases: Sequence[int] = ()) -> Settled:
        """Answer for fans elsewhere with every draw, as an assessment of the job with those places typed would.

        Parameters
        ----------
        places : sequence of Place
            One for each fan of the job, in their order.
        cases : sequence of int
            Driving cases wanted beside the governing one.

        Returns
        -------
        Settled

        Raises
        ------
        InputError
            If a place is missing or nowhere near the core, or the air behind the shroud cannot be worked out.

        Notes
        -----
        Limits: the coolant alone, without the outside air it holds; a map of face speeds stands as it was read, with
        the fans where they were. Accuracy: that of the assessment, whose own tables and draws are used.
        """
        there = moved(self._filled, places)
        wanted = dict.fromkeys((self.governing, *cases))
        found = tuple(self._settled(there, index) for index in wanted)
        return Settled(found, refit(self._fit, stood(self._fit.fans, self._chosen, places)))

    def changed(self, job: Job) -> "Live":
        """Prepare the same job with something else changed, told in the same case and colours.

        Parameters
        ----------
        job : Job
            With another depth, roll, fan or anything else; its driving cases as they are.

        Returns
        -------
        Live

        Raises
        ------
        InputError
            If it cannot be worked out.
        """
        if [case.name for case in job.cases] != [case.name for case in self.job.cases]:
            raise InputError(["cases: other driving cases than before; prepare the job anew"])
        live = _prepared(job, self._draws, self._seed, self.governing, self.fastest)
        live._flows = {index: flows.copy() for index, flows in self._flows.items()}
        return live

    def at_depth(self, depth: float) -> "Live":
        """Prepare the same job at another depth of shroud, measured, [m]."""
        typed = Reading(f"{depth:.6g} m", depth, "measured", None, "length")
        return self.changed(self.job.model_copy(update={"shroud": self.job.shroud.model_copy(update={"depth": typed})}))

    @cached_property
    def _filled(self) -> Filled:
        """Every draw."""
        return Filled(self.job, draw(self._known, self._draws, self._seed), self._words)

    def _governing(self) -> int:
        """Case with the lowest chance, then the least margin, as the job stands."""
        told = []
        for index in range(len(self.job.cases)):
            solved = self._solved(self._filled, index)
            told.append((float(np.mean(solved.holds[1:])), float(solved.margin[0])))
        return min(range(len(told)), key=told.__getitem__)

    def _case_of(self, filled: Filled, index: int) -> _Case:
        """Write a case's rows with nothing behind any fan."""
        space = self.job.space.model_copy(update={"depth_map": ()})
        alone = replace(filled, job=filled.job.model_copy(update={"space": space}))
        load = heat_load(filled, index)
        rows = flatten(alone, index, load, circuits_of(filled), plenum=False)
        asked = float(filled[f"cases.{index}.seconds"][0]) if self.job.cases[index].kind == "pull" else 0.0
        return _Case(index, load, rows.view(np.recarray), boil_and_limit(filled, index)[0], asked)

    def _rows(self, case: _Case, there: Filled, *, full: bool) -> Any:
        """Rows of a case with its fans where they are now; the plenum's tables too where they are wanted."""
        rows = case.rows.copy()
        for i in range(len(self.job.fans)):
            stand_off(rows, i, solid_behind(there, i))
        if there.word("shroud.type") == "none" and self.job.fans:
            rows.covered_share, rows.crossed_share = covered_by_bare_fans(there), crossed_by_bare_fans(there)
        if full:
            last = self._last
            start = None if last is None else Start(last.own, last.field)
            put(rows, tables_for(there, rows, self.table, start=start))
            place_leaks(there, rows, self.table)
        return rows

    def _solve(self, row: Any) -> Any:
        """Solve one row without a search for the outside air held."""
        row, result = row[:1].copy(), blank(1, RESULT)
        if np.isnan(row.pull_start[0]):
            row.limit = np.nan
        run_points(row, self.table, result)
        return result[0]

    def _solved(self, there: Filled, index: int) -> Solved:
        """Solve every draw of a case, without a search for the outside air held."""
        if index not in self._cases:
            self._cases[index] = self._case_of(self._filled, index)
        case = self._cases[index]
        rows = self._rows(case, there, full=True)
        limit = rows.limit.copy()
        if np.isnan(rows.pull_start[0]):
            rows.limit = np.nan
        # Where a search ended the next one starts.
        flows = self._flows.setdefault(index, unknown_flows(len(rows)))
        results = solve_batch(rows, self.table, flows)
        rows.limit = limit
        return Solved(index, case.load, rows, results, case.boil, None, case.asked)

    def _settled(self, there: Filled, index: int) -> CaseSettled:
        return settled_case(self.job.cases[index].name, self._solved(there, index))

    def _circles(self, there: Filled, places: Sequence[Place]) -> Circles:
        assert self._scene is not None
        fixed = self._scene.behind.circles[len(self._chosen) :]
        return (*((places[i].x, places[i].y, 0.5 * opening_of(there, i)) for i in self._chosen), *fixed)

    def _looked(self, scene: Scene, there: Filled, row: Any, circles: Circles) -> tuple[Look | None, bool]:
        """Balance and look in turns until field and pack move the same air; write what was seen into the row."""
        last = found = self._last
        put(row, self._as_is if last is None else last.own)
        for turn in range(_MOST_TURNS + 1):
            if found is not None:
                row.leak_lift, row.flap_lift = found.leak_lift, found.flap_lift
            point = working_point(there, row[0], float(row[0].heat), scene.face)
            if point is None:
                return None, False
            off = math.inf if turn == 0 or found is None else abs(found.met / point.face_velocity - 1.0)
            if off <= _CLOSE or turn == _MOST_TURNS:
                break
            found = look(scene, there, row[0], point, circles, last)
            if found is None:
                return None, False
            last = found
            put(row, found.own)
        self._last = last
        return last, off <= AGREED

    def _fastest(self) -> float:
        scene = self._scene
        if scene is None:
            return 0.0
        found, _ = self._looked(scene, self.middle, self._row.copy(), scene.behind.circles)
        if found is None:
            return 0.0
        face = self._face(found)
        return top_speed([replace(face, speed=HEADROOM * face.speed)], self.job.units or "in")

    def _face(self, found: Look) -> Face:
        across = self.middle.word("core.run") == "crossflow"
        return face_of("", found.behind, found.cells, found.speed, tanks_at_sides=across)

    def _told(self, fit: Fit, row: Any, found: Look | None, says: str) -> Quick:
        face = None if found is None or row[0].pushed_share > 0.0 else self._face(found)
        codes = [fan.code for fan in self.job.fans]
        return told(self.case, codes, row[0], self._solve(row), found, face, fit, says)


def prepare(job: Job, draws: int = DRAWS, seed: int = SEED, *, governing: str | None = None) -> Live:
    """Prepare a job so that its fans can be moved about.

    Parameters
    ----------
    job : Job
        As read.
    draws : int
        Draws behind every band.
    seed : int
        Of the draws.
    governing : str, optional
        Name of the driving case that governs, where an assessment has found it; else every case is solved to find it.

    Returns
    -------
    Live
        Holds compiled rows and fields; for this process alone.

    Raises
    ------
    InputError
        If the job cannot be worked out, with every reason.
    """
    names = [case.name for case in job.cases]
    if governing is not None and governing not in names:
        raise InputError([f"governing: no driving case is called {governing!r}; there are {', '.join(names)}"])
    return _prepared(job, draws, seed, None if governing is None else names.index(governing), None)


def _prepared(job: Job, draws: int, seed: int, governing: int | None, fastest: float | None) -> Live:
    job = calibrated(job)
    return Live(job, priors(job), draws, seed, governing, fastest)
