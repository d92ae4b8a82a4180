"""The causes of a driving case's heat: what a clean package would be, and what each fault adds.

    blame       the worst steady case's causes, largest first
    cleaners    what puts each cause right in a case's records

Clean means: the whole core covered behind a deep plenum, no air coming round again, 13.5 V at the fans, no
condenser, the heat of an idle in place of stop-go, nothing blocked, a median pump with the thermostat open.
Outside air, height and mix are conditions, not causes.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np

from shroudwright.airflow.stacks import Stacks, without
from shroudwright.assessment import Band, CaseAnswer, CauseAnswer
from shroudwright.circuit.pump import REFERENCE_RPM, flow_at_engine_speed
from shroudwright.job.filled import Filled
from shroudwright.job.heat_load import heat_load
from shroudwright.job.table import guesses
from shroudwright.judge import Solved
from shroudwright.pack.kernel import solve_batch
from shroudwright.pack.plenum import even
from shroudwright.uncertain.bands import band
from shroudwright.uncertain.causes import MOST_RISE, PLAYERS, causes

PAIRED_DRAWS = 48
FULL_VOLTS = 13.5


def blame(filled: Filled, solved: Sequence[Solved], cases: Sequence[CaseAnswer], table: Any) -> list[CauseAnswer]:
    """Say what each fault adds to the coolant in the worst steady case.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : sequence of Solved
        Every driving case, solved.
    cases : sequence of CaseAnswer
        The same cases, judged.
    table : array
        Of the coolant, from `materials.coolant.coolant_table`.

    Returns
    -------
    list of CauseAnswer
        Largest first; each starts where the last ended, the first at the clean rise; a fault that is not
        there is left out. Empty without a steady case, and where even a clean package is past `MOST_RISE`.
    """
    steady = [item for item in solved if not item.is_pull]
    if not steady:
        return []
    worst = min(steady, key=lambda item: cases[item.index].chance_of_holding)
    rows = worst.params[: 1 + PAIRED_DRAWS].copy().view(np.recarray)
    rows.limit = np.nan  # no ambient is searched for
    rows.thermostat = 0.0
    found = causes(rows, cleaners(filled, worst), partial(solve_batch, table=table))
    if found.clean[0] >= MOST_RISE:
        return []
    answers = []
    reached = float(found.clean[0])
    for name, share in sorted(found.shares.items(), key=lambda item: -item[1][0]):
        spread = band(share[1:])
        assert spread is not None
        degrees = Band(value=float(share[0]), low=min(spread.low, share[0]), high=max(spread.high, share[0]))
        answers.append(
            CauseAnswer(
                case=cases[worst.index].name, cause=name, degrees=degrees, start=reached, end=reached + share[0]
            )
        )
        reached += float(share[0])
    return answers


def cleaners(filled: Filled, worst: Solved) -> dict[str, Any]:
    """Return for each cause what puts it right in records of a case, in place."""
    index = worst.index
    rpm = filled[f"cases.{index}.engine_rpm"]
    kinds = [filled.word(f"ahead.{i}.kind") for i in range(len(filled.job.ahead))]
    heat = _idle_heat(filled, worst)[: 1 + PAIRED_DRAWS]
    guess = {field: guesses()[field][-1].median for field in ("circuit.pump_flow", "circuit.pump_shutoff_pressure")}
    pump = np.asarray(flow_at_engine_speed(guess["circuit.pump_flow"], rpm))[: 1 + PAIRED_DRAWS]
    shutoff = (guess["circuit.pump_shutoff_pressure"] * (rpm / REFERENCE_RPM) ** 2)[: 1 + PAIRED_DRAWS]

    def covered(p: Any) -> None:
        p.covered_share = p.crossed_share = 1.0
        p.leak_area = 0.0
        p.plenum_loss, p.unevenness = even(0.0, 1.0)

    def still(p: Any) -> None:
        p.recirculation = 0.0

    def full_volts(p: Any) -> None:
        p.source_volts, p.path_resistance = FULL_VOLTS, 0.0

    def no_condenser(p: Any) -> None:
        for i, kind in enumerate(kinds):
            if kind == "condenser":
                p.ahead_heat[:, i], p.ahead_temperature[:, i] = 0.0, np.nan
                for name, left in without(Stacks(*(p[name] for name in Stacks._fields)), i)._asdict().items():
                    p[name] = left

    def idling(p: Any) -> None:
        p.heat = heat

    def clear(p: Any) -> None:
        p.open_share = 1.0

    def pumped(p: Any) -> None:
        p.coolant_flow, p.pump_flow, p.pump_shutoff = np.nan, pump, shutoff

    return dict(zip(PLAYERS, (covered, still, full_volts, no_condenser, idling, clear, pumped), strict=True))


def _idle_heat(filled: Filled, worst: Solved) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Heat of the case idling in gear, for stop-go; any other case keeps its own."""
    job, index = filled.job, worst.index
    if job.cases[index].kind != "stop-go":
        return worst.load.radiator
    cases = list(job.cases)
    cases[index] = cases[index].model_copy(update={"kind": "idle"})
    idling = {
        **filled.drawn,
        f"cases.{index}.engine_rpm": filled["engine.idle_rpm"],
        f"cases.{index}.speed": np.zeros(filled.count),
    }
    idle_job = job.model_copy(update={"cases": tuple(cases)})
    return heat_load(replace(filled, job=idle_job, drawn=idling), index).radiator
