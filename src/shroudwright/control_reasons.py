"""What is wrong with the settings and what goes with them, in words.

    control_findings    the findings of a plan's control
    setting_findings    those of its temperatures alone

`SAID` holds the one wording of each code.
"""

from collections.abc import Iterator

from shroudwright.assessment import FindingAnswer
from shroudwright.bench.findings import Level
from shroudwright.control.found import Found
from shroudwright.control.settings import Settings
from shroudwright.plan import Plan
from shroudwright.shop_words import Wording, said
from shroudwright.speech import Dialect

SAID: dict[str, Wording] = {
    "C01": Wording(
        "stop",
        "The fan is set to stop where the thermostat starts to open: a warm engine never gets that cool, so it never "
        "stops.",
        "temperature",
        "Set it to {wanted}, or fit a cooler thermostat.",
    ),
    "C02": Wording(
        "stop",
        "The fan starts at or under the thermostat's opening: it cools nothing yet, and then never stops.",
        "temperature",
        "Raise ON to {wanted}, or fit a cooler thermostat.",
    ),
    "C03": Wording(
        "fix",
        "OFF is under what the coolant settles at with the fan on: it is likely to run all the time.",
        "temperature",
        "Raise OFF to {wanted}, or fit a cooler thermostat.",
    ),
    "C04": Wording(
        "note", "OFF is less than 10 °F over the thermostat's opening.", "temperature", "Raise OFF to {wanted}."
    ),
    "C05": Wording(
        "stop",
        "ON and OFF are too close: the relay will chatter.",
        "rise",
        "Leave {wanted} between them, 5 °F at least.",
    ),
    "C06": Wording("stop", "OFF is at or above ON.", "temperature", "Put OFF at {wanted}."),
    "C07": Wording(
        "watch",
        "The fan starts again and again within a minute, at the worst.",
        "time",
        "A wider gap between ON and OFF, or speed control.",
    ),
    "C08": Wording("fix", "The second fan starts too close to the first.", "temperature", "Start it at {wanted}."),
    "C09": Wording("watch", "A fan starts late.", "temperature", "Lower it to {wanted}."),
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
        "Set it for its own place: {wanted}.",
    ),
    "C12": Wording(
        "fix",
        "The A/C starts no fan: head pressure climbs at idle.",
        "",
        "Wire the clutch's feed to the controller's A/C input; first stage, under 45 mph (72 km/h).",
    ),
    "C13": Wording(
        "fix",
        "Road speed stops the fans of a hot engine: a slow tow uphill with the wind behind needs them.",
        "",
        "Let temperature win over road speed.",
    ),
    "C14": Wording(
        "watch",
        "The fans stop and start at nearly the same road speed: they flutter in traffic.",
        "speed",
        "{wanted} between them or more.",
    ),
    "C15": Wording(
        "stop",
        "Road speed stops the fans of a core that road air does not reach.",
        "",
        "Take the cut-off out: a core at the rear lives on its fans at every speed.",
    ),
    "C16": Wording(
        "note",
        "With a belt-driven pump the coolant stands once the engine stops: running on cools core and bay, "
        "not the heads.",
        "",
        "2 to 3 min, or none; an electric pump if the heads are the worry.",
    ),
    "C17": Wording(
        "watch",
        "Running on empties the battery.",
        "charge",
        "2 to 5 min at most, stopped at 12.0 V.",
    ),
    "C18": Wording(
        "note",
        "Blades can start with the key off.",
        "",
        "A label on the shroud, and the battery's negative off before hands go near.",
    ),
    "C19": Wording(
        "stop",
        "If the sensor breaks, the fans stay off.",
        "",
        "Set a sensor fault to fans on, with a lamp.",
    ),
    "C20": Wording("note", "A fan runs on a cold engine: slow warm-up.", "temperature", "Raise it to {wanted}."),
    "C21": Wording(
        "fix",
        "Two controllers on one fan feed each other.",
        "",
        "Let each work its own relay, or part them with diodes.",
    ),
    "C22": Wording(
        "watch",
        "The percent on changes faster than the coolant answers: it overshoots and hunts.",
        "share a second",
        "{wanted} or less: the coolant takes 20 to 60 s to come round.",
    ),
}
_COOLER = ("C01", "C02", "C03")
_FIXED = ("thermal switch", "two-stage thermal switch")
_NEARLY = 2.0 / 1.8 + 1e-9
_ABOVE_OPENING = 10.0 / 1.8


def control_findings(plan: Plan, shop: Dialect) -> Iterator[FindingAnswer]:
    """Say what is wrong with a plan's control.

    Parameters
    ----------
    plan : Plan
        Settings and rules.
    shop : Dialect
        Units to say it in.

    Yields
    ------
    FindingAnswer
        The temperatures, then the rules.
    """
    fixed = plan.harness is not None and plan.harness.scheme in _FIXED
    if plan.settings is not None:
        yield from setting_findings(plan.settings, shop, fixed=fixed)
    for found in plan.rules:
        yield _one(found, shop, fixed=fixed)


def setting_findings(made: Settings, shop: Dialect, *, fixed: bool = False) -> Iterator[FindingAnswer]:
    """Say what is wrong with the temperatures fans start and stop at.

    Parameters
    ----------
    made : Settings
        As proposed or typed.
    shop : Dialect
        Units to say it in.
    fixed : bool
        Whether a switch of fixed temperatures works the fans.

    Yields
    ------
    FindingAnswer
    """
    for found in made.findings:
        yield _one(found, shop, fixed=fixed)


def _one(found: Found, shop: Dialect, *, fixed: bool) -> FindingAnswer:
    # Within the 2 degF over where it settles it may still stop.
    is_near = found.code == "C03" and (found.limit or 0.0) - (found.measured or 0.0) <= _NEARLY
    level: Level | None = "note" if is_near else None
    answer = said(SAID, found.code, found.measured, found.limit, found.place, shop, level, found.wanted, found.detail)
    if fixed and found.code in _COOLER and found.wanted is not None:
        word = "starts" if found.code == "C02" else "stops"
        does = f"A switch that {word} at {shop.temperature_text(found.wanted)} or hotter"
        answer = answer.model_copy(update={"remedy": f"{does}, an adjustable controller, or a cooler thermostat."})
    return answer
