"""The one pipeline from a job to its assessment. Only the order of work stands here.

assess    job -> Assessment
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from shroudwright import __version__
from shroudwright.acceptance import with_accepted
from shroudwright.air_behind import Report, report, told
from shroudwright.assessment import Assessment, CaseAnswer, NextReading
from shroudwright.bench.sources import cite
from shroudwright.blame import blame
from shroudwright.face_map import calibrated
from shroudwright.first_look import fix_first
from shroudwright.fit_reasons import findings_of_fit
from shroudwright.fixes import find_fixes
from shroudwright.hand_over import hand_over
from shroudwright.job.circuits import alternator_margin, circuits_of, running_amps
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import fit_of
from shroudwright.job.flatten import boil_and_limit, flatten, glycol_of
from shroudwright.job.heat_load import heat_load
from shroudwright.job.in_hand import unmeasured
from shroudwright.job.model import Job
from shroudwright.job.priors import Prior, priors, words
from shroudwright.job.shelf import ShelfFan
from shroudwright.judge import Solved, judge_case
from shroudwright.materials.coolant import coolant_table
from shroudwright.others import WORST_FIRST, Judged, findings_of_others, others_of
from shroudwright.pack.kernel import solve_batch
from shroudwright.plan import Plan, back_of, plan_of
from shroudwright.plumbing_reasons import plumbing_findings
from shroudwright.reach import findings_of_reach, what_it_takes
from shroudwright.reasons import by_gravity, findings_of, guesses_of, name_of
from shroudwright.shop_answers import answers_of
from shroudwright.shop_reasons import shop_findings
from shroudwright.speech import SHOPS
from shroudwright.uncertain.bands import chance_near_median, leverage
from shroudwright.uncertain.draws import DRAWS, SEED, draw
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring_reasons import wiring_findings

READINGS_NAMED = 3


def assess(job: Job, draws: int = DRAWS, seed: int = SEED, *, shelf: Sequence[ShelfFan] = ()) -> Assessment:
    """Say whether a job's cooling holds in every driving case, how sure that is, and what to measure next.

    Parameters
    ----------
    job : Job
        As read.
    draws : int
        Draws behind every band.
    seed : int
        Of the draws.
    shelf : sequence of ShelfFan
        The shop's own, if it has one: fans that a fix fits then come off it.

    Returns
    -------
    Assessment
        The whole answer, SI.

    Raises
    ------
    InputError
        If the job cannot be worked out, with every reason.
    """
    return _assess(job, draws, seed, shelf)[0]


def assess_and_plan(
    job: Job, draws: int = DRAWS, seed: int = SEED, *, shelf: Sequence[ShelfFan] = ()
) -> tuple[Assessment, Plan]:
    """Assess a job as `assess` does, and return the plan its packet is drawn from beside the answer."""
    answer, plan, filled, worst, behind = _assess(job, draws, seed, shelf)
    back = back_of(filled, worst, behind)
    over = hand_over(filled, answer.cases, back.fit if back else fit_of(filled))
    return answer, replace(plan, back=back, hand_over=over)


def _assess(
    job: Job, draws: int, seed: int, shelf: Sequence[ShelfFan]
) -> tuple[Assessment, Plan, Filled, Solved, Report | None]:
    """Answer and plan, and what the pictures of the governing case are drawn from."""
    job = calibrated(job)
    known = priors(job)
    filled = Filled(job, draw(known, draws, seed), {path: word.value for path, word in words(job).items()})
    glycol, share = glycol_of(filled)
    circuits = circuits_of(filled)
    solved = [_solve(filled, index, circuits) for index in range(len(job.cases))]
    others = [others_of(filled, item) for item in solved]
    cases = [
        judge_case(filled, item, glycol, share).model_copy(update={"others": [other.answer for other in found]})
        for item, found in zip(solved, others, strict=True)
    ]
    plan = plan_of(filled, circuits, solved, cases)
    governing = min(range(len(cases)), key=lambda i: (cases[i].chance_of_holding, float(solved[i].margin[0])))
    behind = report(filled, solved[governing])
    cases[governing] = told(cases[governing], behind)
    units = job.units or "in"
    table = coolant_table(glycol, share)
    judged = [case.verdict for case in cases] + [other.verdict for case in cases for other in case.others]
    findings = by_gravity(
        [
            *findings_of(filled, solved, cases),
            *findings_of_reach(what_it_takes(filled, solved, cases, table), units),
            *findings_of_others(cases, units),
            *findings_of_fit(filled),
            *shop_findings(plan, SHOPS[units]),
            *wiring_findings(filled, plan, cases, SHOPS[units]),
            *plumbing_findings(plan, SHOPS[units]),
        ]
    )
    findings = with_accepted(findings, job)
    guesses = guesses_of(filled, known, solved)
    used = sorted({finding.source for finding in findings} | {guess.source for guess in guesses})
    fixes, smallest_set, planned = find_fixes(filled, known, solved, cases, governing, shelf)
    answer = Assessment(
        program=f"shroudwright {__version__}",
        job_name=job.name or job.file_name,
        job_sha256=job.job_sha256,
        seed=seed,
        draws=draws,
        first_look=fix_first(job),
        governing_case=cases[governing].name,
        verdict=min(judged, key=WORST_FIRST.index),
        cases=cases,
        causes=blame(filled, solved, cases, table),
        fixes=fixes,
        smallest_set=smallest_set,
        planned=planned,
        measure_next=[
            *_readings(filled, known, solved, cases, governing),
            *_readings_of_others(filled, known, others, cases),
        ],
        **answers_of(plan, list(unmeasured(filled))),
        findings=findings,
        guesses=guesses,
        sources=[f"{key}: {cite(key)}" for key in used],
    )
    return answer, plan, filled, solved[governing], behind


def _solve(filled: Filled, index: int, circuits: tuple[FanCircuit, ...]) -> Solved:
    load = heat_load(filled, index)
    params = flatten(filled, index, load, circuits)
    boil, _ = boil_and_limit(filled, index)
    results = solve_batch(params, coolant_table(*glycol_of(filled)))
    asked = float(filled[f"cases.{index}.seconds"][0]) if filled.job.cases[index].kind == "pull" else 0.0
    margin = alternator_margin(filled, index, running_amps(filled, index, circuits))
    return Solved(index, load, params, results, boil, margin, asked)


def _readings(
    filled: Filled, known: dict[str, Prior], solved: list[Solved], cases: list[CaseAnswer], governing: int
) -> list[NextReading]:
    """Name the readings that would settle the governing case, and the first for every other toss-up."""
    named = {governing: READINGS_NAMED} if cases[governing].verdict != "holds" else {}
    named |= {i: 1 for i, case in enumerate(cases) if case.verdict == "marginal" and i != governing}
    return [
        NextReading(
            case=cases[i].name,
            fluid="coolant",
            field=path,
            name=name_of(filled.job, path),
            share=share,
            reading=known[path].measurement,
            chance_if_as_guessed=chance_near_median(filled.drawn[path][1:], solved[i].holds[1:]),
        )
        for (i, count), ranked in zip(
            named.items(), _settling(filled, known, [solved[i].margin for i in named]), strict=True
        )
        for path, share in ranked[:count]
    ]


def _readings_of_others(
    filled: Filled, known: dict[str, Prior], others: list[list[Judged]], cases: list[CaseAnswer]
) -> list[NextReading]:
    """Name the first reading for each other fluid that is a toss-up, where its chance is least."""
    toss_ups = [
        (case, other)
        for case, found in zip(cases, others, strict=True)
        for other in found
        if other.answer.verdict == "marginal"
    ]
    toss_ups.sort(key=lambda pair: -pair[1].answer.chance_of_holding)
    worst = {other.answer.name: (case, other) for case, other in toss_ups}
    return [
        NextReading(
            case=case.name,
            fluid=other.answer.name,
            field=path,
            name=name_of(filled.job, path),
            share=share,
            reading=known[path].measurement,
            chance_if_as_guessed=chance_near_median(filled.drawn[path][1:], other.margin[1:] >= 0.0),
        )
        for (case, other), ranked in zip(
            worst.values(), _settling(filled, known, [other.margin for _, other in worst.values()]), strict=True
        )
        for path, share in ranked[:1]
    ]


def _settling(
    filled: Filled, known: dict[str, Prior], margins: Sequence[NDArray[np.float64]]
) -> list[list[tuple[str, float]]]:
    """For each margin, the inputs somebody can measure, the one that settles most first."""
    drawn = {path: filled.drawn[path][1:] for path in filled.used if known[path].measurement}
    return leverage(drawn, [margin[1:] for margin in margins])
