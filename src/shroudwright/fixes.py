"""What to do about a job that does not hold everywhere: every fix that applies, and the smallest set that is enough.

    find_fixes    ranked fixes, and the smallest set

Each fix is put into the filled job and solved again on the job's own first draws, so a gain is a difference
between two answers to the same draw. A chance is the job's own plus what changes on those draws.
"""

import os
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import combinations
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.assessment import Band, CaseAnswer, FixAnswer, FixEffect, FixSet, PlannedAnswer
from shroudwright.fix_prices import cost_of, not_with, row_of
from shroudwright.job.circuits import circuits_of
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import flatten, glycol_of
from shroudwright.job.heat_load import heat_load
from shroudwright.job.model import has_belt_fan
from shroudwright.job.near import Looked, looked_at
from shroudwright.job.priors import Prior
from shroudwright.job.shelf import ShelfFan
from shroudwright.judge import AN_HOUR, Solved, drawing, sounding
from shroudwright.materials.coolant import coolant_table, freeze_point
from shroudwright.pack.kernel import solve_batch
from shroudwright.remedies import (
    LEAN_SHARE,
    REMEDIES,
    ROW,
    Package,
    package_of,
    rating_wanted,
    shroud_wanted,
)
from shroudwright.shelf_fixes import Offer, offers_of, remedies_with
from shroudwright.speech import SHOPS
from shroudwright.uncertain.bands import HOLDS, band
from shroudwright.uncertain.causes import MOST_RISE
from shroudwright.wiring.circuits import FanCircuit

PAIRED_DRAWS, CHECKED_DRAWS = 96, 480
"""Draws every fix is solved on, and those a set must hold on before it is named."""
WORTH_DEGREES, WORTH_SECONDS = 0.5, 1.0
"""Gains under these are left out, [K rise] and [s]"""
BEST = 8
"""Fixes the smallest set is looked for among."""
TRIED = 6
"""Sets of one size that are solved, the likeliest first."""
GENERIC = ("stronger fan",)
"""Fixes that rest on a part nobody has named, its numbers a guess."""

Numbers = NDArray[np.float64]


class _Outcome(NamedTuple):
    """A case solved: rise over outside air, K, or seconds of a pull; room to the limit, K or s; whether it holds."""

    figure: Numbers
    room: Numbers
    holds: NDArray[np.bool_]
    results: Any
    """All of it"""


Codes = tuple[str, ...]


def find_fixes(
    filled: Filled,
    known: Mapping[str, Prior],
    solved: Sequence[Solved],
    cases: Sequence[CaseAnswer],
    governing: int,
    shelf: Sequence[ShelfFan] = (),
) -> tuple[list[FixAnswer], FixSet | None, PlannedAnswer | None]:
    """Say what would mend a job, the fewest fixes that make every case hold, and what those it plans do together.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    known : mapping of str to Prior
        Where its draws came from.
    solved : sequence of Solved
        Every driving case, solved.
    cases : sequence of CaseAnswer
        The same cases, judged.
    governing : int
        The case that decides.
    shelf : sequence of ShelfFan
        The shop's own, if it has one: fans that are fitted then come off it.

    Returns
    -------
    list of FixAnswer
        Most gained in the governing case for the money first. Empty where every case holds; a fix that does
        not apply, or gains nothing where it is wanted, is left out.
    FixSet or None
        Found among the `BEST` fixes, the likeliest sets of each size solved; none where nothing helps.
    PlannedAnswer or None
        None where the job plans nothing that can be done.
    """
    failing = [i for i, case in enumerate(cases) if case.verdict != "holds"]
    if not failing:
        return [], None, None
    asked = next((i for i in (governing, *failing) if filled.job.cases[i].fans_on != ()), governing)
    offers = offers_of(package_of(filled, known, 1), shelf, asked) if shelf else None
    search, check = (_Search(filled, known, solved, cases, draws, offers) for draws in (PAIRED_DRAWS, CHECKED_DRAWS))
    search.solve([(code,) for code in REMEDIES], range(len(cases)))
    useful = [code for code in REMEDIES if any(search.is_worth((code,), i) for i in failing)]
    figures = _figures(search.filled)
    answers = [_answer(search, code, governing, figures) for code in useful]
    answers.sort(key=_gain_for_money, reverse=True)
    planned = _planned(check, [item.code for item in filled.job.planned], governing, figures)
    return answers, _smallest_set(search, check, useful, failing), planned


class _Search:
    """A job's first draws as they are, and with any set of fixes."""

    def __init__(
        self,
        filled: Filled,
        known: Mapping[str, Prior],
        solved: Sequence[Solved],
        cases: Sequence[CaseAnswer],
        draws: int,
        offers: Mapping[str, Offer] | None,
    ) -> None:
        rows = min(1 + draws, filled.count)
        as_it_is = package_of(filled, known, rows)
        self.filled, self.solved, self.cases = as_it_is.filled, solved, cases
        self.offers = offers or {}
        self.remedies = REMEDIES if offers is None else remedies_with(REMEDIES, offers)
        self.packages: dict[Codes, Package | None] = {(): as_it_is}
        self.circuits: dict[Codes, tuple[FanCircuit, ...]] = {}
        self.seen: dict[int, Looked | None] = {}
        self.outcomes: dict[tuple[Codes, int], _Outcome] = {
            ((), item.index): _outcome(item.params[:rows], item.results[:rows], item.params["limit"][:rows], item.asked)
            for item in solved
        }

    def with_fixes(self, codes: Codes) -> Package | None:
        """Put a set of fixes together, in the order of `REMEDIES`; None where one of them finds nothing to do."""
        if codes not in self.packages:
            before = self.with_fixes(codes[:-1])
            self.packages[codes] = None if before is None else self.remedies[codes[-1]](before)
        return self.packages[codes]

    def solve(self, sets: Iterable[Codes], indices: Iterable[int]) -> None:
        """Solve some cases of some sets, the rows of the next set written while one is solved."""
        indices, at_work = list(indices), []
        with ThreadPoolExecutor(os.cpu_count()) as pool:
            for codes in sets:
                wanted = [index for index in indices if (codes, index) not in self.outcomes]
                if wanted and (package := self.with_fixes(codes)):
                    filled = package.filled
                    circuits = self._circuits(codes, filled)
                    cases = [
                        flatten(filled, index, heat_load(filled, index), circuits, like=self._seen(index))
                        for index in wanted
                    ]
                    params: Any = np.concatenate(cases).view(np.recarray)
                    limits = params.limit.copy()
                    params.limit[np.isnan(params.pull_start)] = np.nan  # no ambient is searched for
                    results = pool.submit(solve_batch, params, coolant_table(*glycol_of(filled)))
                    at_work.append((codes, wanted, params, limits, results))
        for codes, wanted, params, limits, results in at_work:
            rows = len(params) // len(wanted)
            for place, index in enumerate(wanted):
                part = slice(place * rows, (place + 1) * rows)
                self.outcomes[codes, index] = _outcome(
                    params[part], results.result()[part], limits[part], self.solved[index].asked
                )

    def _seen(self, index: int) -> Looked | None:
        """Look about the point of a case as it is, once: fixes that leave shroud and fans alone stand near it."""
        if index not in self.seen:
            rows = self.solved[index].params[: self.filled.count].view(np.recarray)
            self.seen[index] = looked_at(self.filled, rows, coolant_table(*glycol_of(self.filled)))
        return self.seen[index]

    def _circuits(self, codes: Codes, filled: Filled) -> tuple[FanCircuit, ...]:
        """Size the circuits again only for other fans."""
        key = codes if filled.job.fans is not self.filled.job.fans else ()
        if key not in self.circuits:
            self.circuits[key] = circuits_of(filled)
        return self.circuits[key]

    def gain(self, codes: Codes, index: int) -> Numbers:
        """Degrees taken off, or seconds added, draw by draw."""
        change = self.outcomes[codes, index].figure - self.outcomes[(), index].figure
        return change[1:] if self.solved[index].is_pull else -change[1:]

    def is_worth(self, codes: Codes, index: int) -> bool:
        """Whether a set applies and gains enough in a case to be named."""
        if (codes, index) not in self.outcomes:
            return False
        least = WORTH_SECONDS if self.solved[index].is_pull else WORTH_DEGREES
        return bool(np.median(self.gain(codes, index)) >= least)

    def chance(self, codes: Codes, index: int) -> float:
        """Chance that a case holds: the job's own, and what changes on the first draws."""
        before, after = self.outcomes[(), index].holds[1:], self.outcomes[codes, index].holds[1:]
        return float(np.clip(self.cases[index].chance_of_holding + np.mean(after) - np.mean(before), 0.0, 1.0))

    def worst(self, codes: Codes) -> int:
        """Return the case least likely to hold."""
        return min(range(len(self.cases)), key=lambda index: self.chance(codes, index))

    def that_hold(self, sets: Iterable[Codes]) -> list[Codes]:
        """Return the sets with which every case holds; a set that fails one case is not solved in the next."""
        left = [codes for codes in sets if self.with_fixes(codes)]
        for index in sorted(range(len(self.cases)), key=lambda i: self.cases[i].chance_of_holding):
            self.solve(left, [index])
            left = [codes for codes in left if self.chance(codes, index) >= HOLDS]
        return left

    def shares(self, codes: Codes, failing: Sequence[int]) -> Numbers:
        """Gain over what each failing case needs for nine draws in ten to hold."""
        return np.array([np.median(self.gain(codes, i)) / self._need(i) for i in failing])

    def _need(self, index: int) -> float:
        return max(-float(np.quantile(self.outcomes[(), index].room[1:], 1.0 - HOLDS)), 1.0)


def _outcome(params: Any, results: Any, limit: Numbers, asked: float) -> _Outcome:
    if np.isfinite(params["pull_start"][0]):
        seconds = np.minimum(results["seconds_to_limit"], AN_HOUR)
        return _Outcome(seconds, seconds - asked, seconds >= asked, results)
    rise = results["coolant_unregulated"] - params["ambient"]
    counted = np.minimum(np.where(np.isfinite(rise), rise, MOST_RISE), MOST_RISE)
    holds = results["coolant_unregulated"] <= limit
    return _Outcome(counted, limit - params["ambient"] - counted, holds, results)


def _effect(search: _Search, codes: Codes, index: int) -> FixEffect:
    spread = band(search.gain(codes, index))
    assert spread is not None
    low, value, high = (round(point, 6) + 0.0 for point in (spread.low, spread.value, spread.high))
    gained, is_pull = Band(value=value, low=low, high=high), search.solved[index].is_pull
    return FixEffect(
        case=search.cases[index].name,
        degrees=None if is_pull else gained,
        seconds=gained if is_pull else None,
        chance=search.chance(codes, index),
    )


def _gain_for_money(item: FixAnswer) -> tuple[bool, float]:
    """Gain for the money, or the gain alone ahead of none whose money is known."""
    gained = item.governing.degrees or item.governing.seconds
    assert gained is not None
    return item.per_100 is not None, gained.value if item.per_100 is None else item.per_100


def _figures(filled: Filled) -> dict[str, str]:
    """Return the figures the table's words leave open, in the shop's units."""
    shop, (glycol, _) = SHOPS[filled.job.units or "in"], glycol_of(filled)
    return {
        "shroud": shop.size(shroud_wanted()),
        "row": shop.size(ROW),
        "rating": f"{rating_wanted(filled):.0f} A",
        "freezes": "" if glycol == "water" else shop.temperature_text(freeze_point(glycol, LEAN_SHARE)),
    }


def _words_of(search: _Search, code: str) -> dict[str, str]:
    """Return the words for fans off a shelf, where a fix has some."""
    if code not in search.offers:
        return {}
    offer, filled = search.offers[code], search.filled
    return {
        "fans": offer.name,
        "old": ", ".join(fan.code for fan in filled.job.fans),
        "depth": SHOPS[filled.job.units or "in"].size(offer.depth),
        "amps": f"{offer.amps:.0f} A",
    }


def _answer(search: _Search, code: str, governing: int, figures: Mapping[str, str]) -> FixAnswer:
    row = row_of(code, search.offers)
    words = {**figures, **_words_of(search, code)}
    effects = [_effect(search, (code,), index) for index in range(len(search.cases))]
    effect = effects.pop(governing)
    gained = effect.degrees or effect.seconds
    assert gained is not None
    parts, hours, cost, currency = cost_of(search.filled, [code], search.offers)
    before = search.outcomes[(), governing].figure[1:]
    return FixAnswer(
        code=code,
        fix=row.fix.format(**words),
        do=row.do.format(**words),
        conflicts=row.conflicts.format(**words),
        not_with=not_with(code),
        is_generic=code in GENERIC and code not in search.offers,
        governing=effect,
        elsewhere=effects,
        from_no_way_out=bool(effect.degrees and np.median(before) >= MOST_RISE),
        parts=parts,
        hours=hours,
        cost=cost,
        currency=currency,
        per_100=None if cost is None else 100.0 * gained.value / float(cost.value),
    )


def _planned(
    search: _Search, planned: Sequence[str], governing: int, figures: Mapping[str, str]
) -> PlannedAnswer | None:
    """Do what is planned, in order; what stands in another's way or finds nothing to do is not counted."""
    kept: Codes = ()
    left_out = {code: "is the code of no fix" for code in planned if code not in REMEDIES}
    for code in _in_order(planned):
        against = [other for other in kept if not _stand_together([other, code])]
        if against:
            left_out[code] = f"cannot stand beside {', '.join(row_of(other, search.offers).fix for other in against)}"
        elif search.with_fixes((*kept, code)) is None:
            left_out[code] = "finds nothing to do on this job"
        else:
            kept = (*kept, code)
    if not kept:
        return None
    search.solve([kept], range(len(search.cases)))
    words = [row_of(code, search.offers).fix.format(**figures, **_words_of(search, code)) for code in kept]
    return PlannedAnswer(
        codes=list(kept),
        fixes=words,
        left_out=left_out,
        governing=_effect(search, kept, governing),
        together=_fix_set(search, kept),
    )


def _stand_together(codes: Sequence[str]) -> bool:
    return not any(other in not_with(code) for code in codes for other in codes)


def _smallest_set(search: _Search, check: _Search, useful: Sequence[str], failing: Sequence[int]) -> FixSet | None:
    """Look through the likeliest sets of each size; where all that go together are not enough, say the nearest."""
    alone = {code: search.shares((code,), failing) for code in useful}

    def reach(codes: Iterable[str]) -> float:
        """How far a set should go if its gains add up: 1 for each failing case with enough."""
        return float(np.minimum(sum(alone[code] for code in codes), 1.0).sum())

    def likeliest(codes: Codes) -> tuple[float, tuple[bool, float]]:
        return -round(reach(codes), 2), _dearness(search, codes)

    best = sorted(useful, key=lambda code: likeliest((code,)))[:BEST]
    whole: Codes = ()
    for code in best:
        more = _in_order([*whole, code])
        if _stand_together(more) and search.with_fixes(more):
            whole = more
    if not whole:
        return None
    search.solve([whole], range(len(search.cases)))
    for size in range(1, len(whole) + 1):
        sets = [_in_order(codes) for codes in combinations(best, size) if _stand_together(codes)]
        tried = sorted(sets, key=likeliest)[: BEST if size == 1 else TRIED]
        for codes in sorted(search.that_hold(tried), key=lambda codes: _dearness(search, codes)):
            if check.that_hold([codes]):
                return _fix_set(check, codes)
        if search.chance(whole, search.worst(whole)) < HOLDS:
            break

    def nearness(codes: Codes) -> tuple[float, float]:
        return search.chance(codes, search.worst(codes)), float(search.shares(codes, failing).min())

    return _fix_set(search, max([whole, *((code,) for code in useful)], key=nearness))


def _in_order(codes: Iterable[str]) -> Codes:
    return tuple(code for code in REMEDIES if code in set(codes))


def _dearness(search: _Search, codes: Codes) -> tuple[bool, float]:
    """Money, or hours behind every set whose money is known."""
    _, hours, cost, _ = cost_of(search.filled, codes, search.offers)
    return cost is None, hours.value if cost is None else float(cost.value)


def _fix_set(search: _Search, codes: Codes) -> FixSet:
    worst = search.worst(codes)
    _, hours, cost, currency = cost_of(search.filled, codes, search.offers)
    chance, package = search.chance(codes, worst), search.with_fixes(codes)
    assert package is not None
    job, results = package.filled.job, search.outcomes[codes, worst].results
    return FixSet(
        codes=list(codes),
        holds=chance >= HOLDS,
        case=search.cases[worst].name,
        chance=chance,
        cost=cost,
        hours=hours,
        currency=currency,
        amps=drawing(results, len(job.fans)),
        noise=sounding(results, range(len(job.fans) + has_belt_fan(job))),
    )
