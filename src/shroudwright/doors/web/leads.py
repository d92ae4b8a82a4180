"""The one number each page leads with, its band, and the sentence under it.

leads_of    by page
"""

from shroudwright.assessment import WORDS, Assessment
from shroudwright.doors.web.sheets import SHEETS
from shroudwright.packet.pages import lead
from shroudwright.packet.tables import setting_rows
from shroudwright.plan import Plan
from shroudwright.price.bill import HOURS_WITHIN
from shroudwright.speech import SHOPS

Lead = tuple[str, str, str]


def leads_of(answer: Assessment, units: str, plan: Plan) -> dict[str, Lead]:
    """Return what each page leads with.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    units : str
        ``in`` or ``mm``, [text]
    plan : Plan
        Metal, wires, settings and prices.

    Returns
    -------
    dict of str to (str, str, str)
        By the page's name in the address: number, band, sentence.
    """
    shop = SHOPS[units]
    case = next(case for case in answer.cases if case.name == answer.governing_case)
    number, band, sentence = lead(case, shop)
    chance = f"{100 * case.chance_of_holding:.0f} chances in 100 it holds in {case.name}, the worst case."
    stopped = _stopped(answer)
    verdict = f"{stopped}{WORDS[answer.verdict]}: {chance} {sentence}"
    found: dict[str, Lead] = {sheet.slug: (number, band, verdict) for sheet in SHEETS}
    heat = case.heat
    found["heat"] = (
        f"{heat.value / 1e3:.0f} kW",
        f"{heat.low / 1e3:.0f} to {heat.high / 1e3:.0f} kW into the radiator, nine answers in ten",
        f"In {case.name}, the worst case.",
    )
    if case.air_flow is not None:
        air = f"{shop.air_flow(case.air_flow.value)} {shop.air_sign} through the core in {case.name}."
        found["fans"] = (number, band, f"{stopped}{WORDS[answer.verdict]}: {chance} {air}")
    if answer.shroud is not None:
        trial = "TRIAL until it is measured: " + "; ".join(answer.shroud.unmeasured[:3]) if answer.shroud.trial else ""
        is_other = any(finding.code == "F10" for finding in answer.findings)
        other = "These flats are not of the shroud typed: a plain one stands in for it. Do not cut." if is_other else ""
        found["shroud"] = (
            shop.weight(answer.shroud.weight),
            f"{answer.shroud.family}, {answer.shroud.metal}, {len(answer.flats)} flats",
            other or trial or "Every size it needs is measured in hand.",
        )
    if answer.wiring:
        most = sum(circuit.highest_amps for circuit in answer.wiring)
        found["wiring"] = (
            f"{most:.0f} A",
            "with every fan at its highest, 14.4 V",
            "; ".join(
                f"{circuit.fan}: {circuit.supply_gauge:g} gauge, {circuit.fuse_rating:g} A fuse, "
                f"{circuit.relay_rating:g} A relay"
                for circuit in answer.wiring
            ),
        )
    if plan.settings is not None:
        what, starts, stops, *_ = setting_rows(plan.settings, shop)[0]
        found["control"] = (str(starts), f"{what} starts, stops at {stops}", "At the fan's own sensor.")
    if plan.bill is not None:
        bill = plan.bill
        low, high = bill.parts + bill.labour / HOURS_WITHIN, bill.parts + bill.labour * HOURS_WITHIN
        found["cost"] = (
            f"{bill.total:,.2f} {bill.currency}",
            f"{low:,.0f} to {high:,.0f} {bill.currency}: the hours are a guess, good to a factor of {HOURS_WITHIN}",
            f"Parts {bill.parts:,.2f}, labour {bill.labour:,.2f}: the shop's own rates and list prices; "
            "a price nobody gave is a guess.",
        )
    return found


def _stopped(answer: Assessment) -> str:
    """Say first what keeps the job from being built at all."""
    stops = [finding for finding in answer.findings if finding.level == "stop"]
    if not stops:
        return ""
    others = len(stops) - 1
    more = f" There {'is 1 more stop' if others == 1 else f'are {others} more stops'}." if others else ""
    return f"It cannot be built as it stands: {stops[0].says[0].lower()}{stops[0].says[1:]}{more} "
