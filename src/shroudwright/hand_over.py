"""What a packet's bench papers say beside the plan: leaks round the stack and their degrees, room, what the owner sees.

Leak         one gap round the stack
HandOver     all of it
hand_over    job, driving cases and clearances -> HandOver
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shroudwright.airflow.recycled import fading
from shroudwright.assessment import CaseAnswer
from shroudwright.job.circuits import STANDING
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import Fit
from shroudwright.job.hood import UnderHood, under_hood
from shroudwright.job.stack import stack_gap_areas
from shroudwright.shroud.fit import Clearance
from shroudwright.shroud.square import top_shift


class Leak(NamedTuple):
    """One gap round the stack, ahead of the shroud."""

    side: str
    where: str
    length: float | None
    """[m]"""
    width: float | None
    """[m]"""
    area: float | None
    """[m**2]"""
    degrees: float | None
    """what it adds to the air into the core, K"""


@dataclass(frozen=True)
class HandOver:
    """Medians, SI; None is not measured."""

    leaks: tuple[Leak, ...]
    case: str | None
    """the hottest standing case, in which the degrees are counted"""
    recirculation: float
    """share of hot air that comes round there, [-]"""
    together: float | None
    """what all of it adds to the air into the core, K"""
    top_shift: float | None
    """of a core out of square, to the right, [m]"""
    hood: tuple[UnderHood, ...]
    """what is under the shut hood, the nearest first"""
    behind: tuple[tuple[str, float], ...]
    """room behind each fan's motor, the engine rocked, [m]"""
    thermostat: tuple[float, float] | None
    """where it starts to open and stands full open, K"""
    cap_pressure: float
    """[Pa]"""
    coolant: str
    glycol_share: float
    after_run: float | None
    """fans run on with the key off, [s]"""
    scheme: str
    motors: tuple[tuple[str, str, str], ...]
    """each fan's code, kind and direction, [text]"""


def hand_over(filled: Filled, cases: Sequence[CaseAnswer], fit: Fit) -> HandOver:
    """Gather what the bench papers say.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    cases : sequence of CaseAnswer
        Judged.
    fit : Fit
        Its fans and shroud.

    Returns
    -------
    HandOver

    Notes
    -----
    Air that comes round again makes the air into the core hotter by its share times what leaves the core over
    outside air; with the thermostat full open the coolant follows degree for degree. Each gap's part is its share of
    the area taped. Limits: the air itself is held; gaps nobody taped share nothing.
    """
    job = filled.job
    index = _hottest_standing(cases)
    share = 0.0 if index is None else _recirculation(filled, index)
    together = None if index is None else _rise(filled, index, cases[index], share)
    areas = stack_gap_areas(job, lambda path: float(filled[path][0]))
    whole = sum(area for area in areas if area)
    core = job.core
    glycol = str(filled.word("coolant.kind"))
    opens, span = (float(filled[f"circuit.thermostat_{name}"][0]) for name in ("opens", "span"))
    has_thermostat = filled.word("circuit.thermostat_place") != "none"
    return HandOver(
        leaks=tuple(
            Leak(
                gap.side or "",
                gap.where or "",
                gap.length.value if gap.length else None,
                gap.width.value if gap.width else None,
                area,
                None if area is None or together is None else together * area / whole if whole else 0.0,
            )
            for gap, area in zip(job.stack_gaps, areas, strict=True)
        ),
        case=None if index is None else cases[index].name,
        recirculation=share,
        together=together,
        top_shift=None
        if not (core.width and core.diagonal_rising and core.diagonal_falling)
        else top_shift(core.width.value, core.diagonal_rising.value, core.diagonal_falling.value),
        hood=tuple(under_hood(filled, fit)),
        behind=_behind(fit.clearances),
        thermostat=(opens, opens + span) if has_thermostat else None,
        cap_pressure=float(filled["coolant.cap_pressure"][0]),
        coolant=glycol,
        glycol_share=0.0 if glycol == "water" else float(filled["coolant.glycol_share"][0]),
        after_run=job.control.after_run.value if job.control.after_run else None,
        scheme=str(filled.word("control.scheme")),
        motors=tuple(
            (fan.code, str(filled.word(f"fans.{i}.kind")), str(filled.word(f"fans.{i}.direction")))
            for i, fan in enumerate(job.fans)
        ),
    )


def _hottest_standing(cases: Sequence[CaseAnswer]) -> int | None:
    there = [
        i for i, case in enumerate(cases) if case.kind in STANDING and case.coolant_unregulated and case.air_mass_flow
    ]
    return max(there, key=lambda i: cases[i].coolant_unregulated.value, default=None)  # type: ignore[union-attr]


def _recirculation(filled: Filled, index: int) -> float:
    own = filled.known(f"cases.{index}.recirculation")
    if own is not None:
        return float(own[0])
    speed = float(filled[f"cases.{index}.speed"][0])
    return float(fading(float(filled["opening.recirculation"][0]), speed))


def _rise(filled: Filled, index: int, case: CaseAnswer, share: float) -> float | None:
    """Of well-mixed air, T_mix = T_out + r (T_leaving - T_out)."""
    if case.air_out is None:
        return None
    speed = float(filled[f"cases.{index}.speed"][0])
    outside = case.ambient + float(fading(float(filled["weather.pavement_rise"][0]), speed))
    return share * (case.air_out.value - outside)


def _behind(clearances: Sequence[Clearance]) -> tuple[tuple[str, float], ...]:
    least: dict[str, float] = {}
    for item in clearances:
        if item.kind == "motor to engine":
            code = item.between[0]
            least[code] = min(item.gap, least.get(code, item.gap))
    return tuple(least.items())
