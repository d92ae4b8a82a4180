"""What a page says of fixes, of the plan, of what to measure next, and of the options side by side; SI to words.

planned_told    an assessment -> fixes, the plan and the next reading
options_told    an assessment -> rows of the job's ways side by side
"""

from typing import Any

from shroudwright.assessment import Assessment, Band, CaseAnswer, FixSet, TierAnswer
from shroudwright.speech import SHOPS, gained_text, planned_text, set_text

NAMED = 3
"""Readings named"""
_UNKNOWN = "nobody knows"
_SAME = "as it is"


def planned_told(answer: Assessment, units: str) -> dict[str, Any]:
    """Return what the Heat page says of fixes.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    dict
        fixes, smallest, planned, next.
    """
    shop = SHOPS[units]
    plan = answer.planned
    counted = [] if plan is None else plan.codes
    return {
        "fixes": [
            {
                "code": fix.code,
                "fix": fix.fix,
                "do": fix.do,
                "conflicts": fix.conflicts,
                "rows": [
                    ("gains", gained_text(fix.governing, shop)),
                    ("then holds", f"{100 * fix.governing.chance:.0f} in 100"),
                    ("costs", _UNKNOWN if fix.cost is None else f"{fix.cost.low} to {fix.cost.high} {fix.currency}"),
                    ("hours", f"{fix.hours.low:g} to {fix.hours.high:g}"),
                ],
                "against": [code for code in fix.not_with if code in counted],
            }
            for fix in answer.fixes
        ],
        "case": answer.governing_case,
        "smallest": set_text(answer) if answer.fixes else "",
        "planned": planned_text(answer),
        "draws": "" if plan is None else _draws(plan.together),
        "gain": "" if plan is None else gained_text(plan.governing, shop),
        "next": _next(answer),
    }


def _draws(found: FixSet) -> str:
    """Say what the fans of a set of fixes draw and how loud they are, in its worst case."""
    amps = "no electric fan" if found.amps is None else f"fans {_amps(found.amps)}"
    return f"Then in {found.case}: {amps}; noise at 1 m {_noise(found.noise)}."


def _next(answer: Assessment) -> list[dict[str, str]]:
    """Name the readings that would narrow the answer most, the first one first."""
    readings = [
        {
            "field": one.field,
            "says": f"{one.name}: {100 * one.share:.0f} % of the spread in {one.case}. Read: {one.reading}. "
            f"If it comes out as guessed, {100 * one.chance_if_as_guessed:.0f} chances in 100.",
        }
        for one in answer.measure_next
        if one.fluid == "coolant"
    ]
    guesses = [
        {"field": guess.field, "says": f"{guess.name}: {guess.value} ({guess.band}). Read: {guess.measurement}."}
        for guess in answer.guesses
        if guess.measurement
    ]
    return (readings or guesses)[:NAMED]


def options_told(answer: Assessment) -> list[dict[str, Any]]:
    """Return the options of a job side by side, each with its chance, price, amps and noise.

    Parameters
    ----------
    answer : Assessment
        The whole answer.

    Returns
    -------
    list of dict
        Groups, each with a title and its rows.
    """
    case = next(case for case in answer.cases if case.name == answer.governing_case)
    groups = [{"title": f"The job in {case.name}, its worst case", "rows": _as_it_is(answer, case)}]
    if answer.tiers:
        rows = [_tier(tier) for tier in answer.tiers]
        groups.append(
            {"title": "Ways to work the fans, standing; the price is of wire and what works them", "rows": rows}
        )
    return groups


def _as_it_is(answer: Assessment, case: CaseAnswer) -> list[dict[str, str]]:
    price = answer.price
    rows = [
        {
            "option": "as it is",
            "chance": f"{100 * case.chance_of_holding:.0f}",
            "price": _UNKNOWN if price is None else f"{price.total} {price.currency}, the whole job",
            "amps": _together(case),
            "noise": _noise(case.noise),
            "says": "",
        }
    ]
    sets: list[tuple[str, FixSet | None, list[str]]] = []
    if answer.planned is not None:
        sets.append(("as planned", answer.planned.together, answer.planned.fixes))
    if answer.smallest_set is not None:
        named = {fix.code: fix.fix for fix in answer.fixes}
        sets.append(("smallest set found", answer.smallest_set, [named[code] for code in answer.smallest_set.codes]))
    for option, found, fixes in sets:
        assert found is not None
        money = _UNKNOWN if found.cost is None else f"{found.cost.low} to {found.cost.high} {found.currency} more"
        rows.append(
            {
                "option": option,
                "chance": f"{100 * found.chance:.0f}",
                "price": money,
                "amps": "no electric fan" if found.amps is None else _amps(found.amps),
                "noise": _noise(found.noise),
                "says": f"{', '.join(fixes)}; worst in {found.case}",
            }
        )
    return rows


def _tier(tier: TierAnswer) -> dict[str, str]:
    return {
        "option": tier.scheme + (", chosen" if tier.chosen else ""),
        "chance": _SAME,
        "price": f"{tier.parts} {tier.currency}",
        "amps": f"{tier.amps_full:.0f} A" + ("" if tier.amps_low is None else f", low {tier.amps_low:.0f} A"),
        "noise": _UNKNOWN
        if tier.noise_full is None
        else f"{tier.noise_full:.0f} dB(A)" + ("" if tier.noise_low is None else f", low {tier.noise_low:.0f} dB(A)"),
        "says": tier.gives_up,
    }


def _together(case: CaseAnswer) -> str:
    if not case.fans:
        return "no electric fan"
    amps = [fan.amps for fan in case.fans]
    return _amps(Band(value=sum(a.value for a in amps), low=sum(a.low for a in amps), high=sum(a.high for a in amps)))


def _amps(amps: Band) -> str:
    return f"{amps.value:.0f} A ({amps.low:.0f} to {amps.high:.0f})"


def _noise(noise: Band | None) -> str:
    return _UNKNOWN if noise is None else f"{noise.value:.0f} dB(A) ({noise.low:.0f} to {noise.high:.0f})"
