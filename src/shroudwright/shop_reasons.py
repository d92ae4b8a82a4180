"""What is wrong with the metal and the settings, in words.

    shop_findings    the findings of a plan

The rooms return codes and numbers; `SAID` holds the one wording of each code.
"""

from collections.abc import Iterator

from shroudwright.assessment import FindingAnswer
from shroudwright.bench.findings import Level
from shroudwright.plan import Plan
from shroudwright.shop_words import Wording, said
from shroudwright.speech import Dialect

SAID: dict[str, Wording] = {
    "B01": Wording(
        "stop",
        "A bend is tighter than the metal takes: it will crack.",
        "length",
        "A larger inside radius, or a softer alloy or temper.",
    ),
    "B03": Wording(
        "watch",
        "The roll is too large for the depth to turn square: it stops short and lands on the core at an angle.",
        "length",
        "The largest roll that turns square, or a deeper shroud.",
    ),
    "B04": Wording(
        "watch",
        "The straight wall between two bends is too short to grip.",
        "length",
        "Merge the bends or make the shroud deeper.",
    ),
    "B05": Wording(
        "stop", "The rolls eat the flat face a fan needs.", "length", "A smaller roll radius or a smaller fan."
    ),
    "B06": Wording("stop", "The flange is too short to form.", "length", "A longer flange leg."),
    "O01": Wording(
        "watch", "A hole lies close to a bend and will go oval.", "length", "Move it, or drill it after bending."
    ),
    "O02": Wording("stop", "A bolt would seat on a curve.", "length", "Move the hole to the flat face or the flange."),
    "O03": Wording("watch", "A hole lies close to an edge.", "length", "Move it inwards or leave an ear round it."),
    "O04": Wording(
        "watch", "Little metal is left between two openings.", "length", "Spread the fans or make one opening plate."
    ),
    "O05": Wording(
        "stop", "An opening is larger than the fan's frame covers.", "length", "A smaller opening or a larger frame."
    ),
    "O08": Wording(
        "watch", "A fan's mounting holes are not known.", "count", "Measure them and type them into the fan's row."
    ),
    "C01": Wording(
        "stop",
        "The fan is set to stop where the thermostat starts to open: it never stops.",
        "temperature",
        "Raise OFF.",
    ),
    "C02": Wording("stop", "The fan starts at or under the thermostat's opening.", "temperature", "Raise ON."),
    "C03": Wording(
        "fix",
        "OFF is under what the coolant settles at with the fan on.",
        "temperature",
        "Raise OFF 2 °F past where it settles.",
    ),
    "C04": Wording("note", "OFF is less than 10 °F over the thermostat's opening.", "temperature", "Raise OFF."),
    "C05": Wording(
        "stop", "ON and OFF are too close: the fan will chatter.", "rise", "Leave at least 5 °F between them."
    ),
    "C06": Wording("stop", "OFF is at or above ON.", "temperature", "Put OFF 10 °F under ON."),
    "C08": Wording("fix", "The second fan starts too close to the first.", "temperature", "Start it 5 to 10 °F later."),
    "C09": Wording("watch", "A fan starts late.", "temperature", "Lower ON."),
    "C10": Wording(
        "note",
        "With the fan on it settles hotter than a sensible OFF: the fan runs all day standing.",
        "temperature",
        "More air or less heat; the settings cannot mend it.",
    ),
    "C11": Wording(
        "fix",
        "The sensor sits where coolant is cooler than at the engine.",
        "temperature",
        "Set it for its own place.",
    ),
}


def shop_findings(plan: Plan, shop: Dialect) -> list[FindingAnswer]:
    """Say what is wrong with a plan.

    Parameters
    ----------
    plan : Plan
        Shroud and settings.
    shop : Dialect
        Units to say it in.

    Returns
    -------
    list of FindingAnswer
        In the order of metal, control.
    """
    return [*_of_metal(plan, shop), *_of_settings(plan, shop)]


def _of_metal(plan: Plan, shop: Dialect) -> Iterator[FindingAnswer]:
    if plan.shroud:
        for finding in plan.shroud.findings:
            # Openings that overlap, or run off the sheet, do not fit: that is said with the fans.
            if finding.measured < 0.0 and finding.code in ("O03", "O04") and not finding.place.startswith("hole"):
                continue
            level: Level = "stop" if finding in plan.shroud.stops else "watch"
            yield said(SAID, finding.code, finding.measured, finding.limit, finding.place, shop, level)


def _of_settings(plan: Plan, shop: Dialect) -> Iterator[FindingAnswer]:
    if plan.settings:
        for code, measured, limit in plan.settings.findings:
            yield said(SAID, code, measured, limit, "settings", shop)
