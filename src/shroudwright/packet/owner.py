"""The owner's card for the glove box: what is normal, what to do when it climbs, the limits of the build.

owner_blocks
"""

from shroudwright.assessment import WORDS, Assessment
from shroudwright.hand_over import HandOver
from shroudwright.packet.blocks import Block, heading, items, page, small_heading, table, words
from shroudwright.packet.checklist import lowest_limit
from shroudwright.plan import Plan
from shroudwright.speech import Dialect

_BLANK = "______________"


def owner_blocks(answer: Assessment, parts: Plan, shop: Dialect) -> list[Block]:
    """Return the owner's card, on a page of its own; none where the plan does not say what is handed over.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    parts : Plan
        With settings and what is handed over.
    shop : Dialect
        Units.

    Returns
    -------
    list of Block
    """
    over = parts.hand_over
    if over is None:
        return []
    return [
        page(),
        heading("For the glove box"),
        small_heading("What is normal"),
        items(_normal(answer, parts, over, shop)),
        small_heading("When it climbs"),
        items(_climbs(answer, parts, shop)),
        small_heading("What it was built for"),
        table(
            "2.6 driving | 1.8r good to, outside | 1.4r coolant then allowed | 1.6 as built",
            [
                (case.name, "not worked out" if case.good_to is None else shop.temperature_text(case.good_to),
                 shop.temperature_text(case.limit), WORDS[case.verdict])
                for case in answer.cases
            ],
        ),
        words(
            "Good to: nine answers in ten hold at that outside air. Hotter air, more weight, a longer grade or a "
            "blocked core is past it: slow down, A/C off. Worked out, not a promise; the first-run sheet has what was "
            "measured.",
            8.5,
        ),
        small_heading("Service"),
        table("3.4 what | 2.2 how often | 1.4 done on | 1.4 next", _service(over)),
        words(f"Built by {_BLANK}   handed over on {_BLANK}   papers: job {answer.job_sha256[:12]}", 8.5),
    ]  # fmt: skip


def _normal(answer: Assessment, parts: Plan, over: HandOver, shop: Dialect) -> list[str]:
    lines = []
    if over.thermostat is not None:
        opens, full = (shop.temperature_text(kelvin) for kelvin in over.thermostat)
        lines.append(f"Rolling in cool air the gauge sits near the thermostat: {opens} to {full}.")
    steady = [case for case in answer.cases if case.coolant_in is not None and case.seconds_asked is None]
    if holding := [case for case in steady if case.verdict == "holds"]:
        case = max(holding, key=lambda case: case.coolant_in.value if case.coolant_in else 0.0)
        lines.append(
            f"Of what it holds, {case.name} is the hottest: about {shop.band(case.coolant_in)} {shop.degree_sign} at "
            f"{shop.temperature_text(case.ambient)} outside."
        )
    if parts.settings is not None:
        lines.append(
            f"The fans start at {shop.temperature_text(parts.settings.fan_on)} at their sensor and stop at "
            f"{shop.temperature_text(parts.settings.fan_off)}; A/C can start them sooner."
        )
    if over.after_run:
        lines.append(
            f"With the key off they may run on for up to {over.after_run:.0f} s, and start again as it soaks: normal."
        )
    elif over.motors:
        lines.append(
            "With the key off they should be still within a few seconds. Treat them as able to start all the same."
        )
    lines.append(
        "After a hot stop the gauge rises for some minutes, then falls: normal while nothing comes out at the cap."
    )
    return lines


def _climbs(answer: Assessment, parts: Plan, shop: Dialect) -> list[str]:
    stop = lowest_limit(answer, parts)
    return [
        "A/C off, heater and its fan full on. In traffic: neutral, a little over idle. On a grade: a gear down.",
        f"Still climbing: pull off the road where it is safe, and let it idle if the fans run. "
        f"Past {shop.temperature_text(stop)} stop at once.",
        "Steam, a hiss, or coolant on the ground: key off, hood shut until the hiss ends, stay clear.",
        "Never open the cap hot. Wait until a hand can stay on the top hose; then a cloth, a quarter turn, stand back.",
        "No fan when it is hot: look at its fuse once. A new one that blows is a fault to mend: never a larger fuse.",
        "Coolant is poison and sweet: keep children and animals away, wipe it up.",
    ]


def _service(over: HandOver) -> list[tuple[str, ...]]:
    mix = "coolant" if over.coolant == "water" else f"coolant, {100 * over.glycol_share:.0f} % {over.coolant}"
    return [
        (name, often, _BLANK, _BLANK)
        for name, often in (
            ("fasteners, seals, loom clips", "after 100 miles (150 km), then yearly"),
            ("core and coolers clean, fins straight", "each season; after mud or dust"),
            (f"{mix}: level, strength, volts to ground under 0.10", "yearly"),
            ("coolant and cap renewed", "every 2 years, or as its maker says"),
            ("hoses and belt", "yearly look, renewed every 4 to 5 years"),
            ("every fan by hand and by tissue, plug warm to the touch only", "yearly"),
        )
    ]
