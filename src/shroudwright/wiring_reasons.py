"""What is wrong with the wiring, in words.

    wiring_findings    the findings of a plan's wiring

`wiring` returns codes and numbers; `SAID` holds the one wording of each code.
"""

from collections.abc import Callable, Iterator

from shroudwright.assessment import CaseAnswer, FindingAnswer
from shroudwright.bench.findings import Level
from shroudwright.fans.noise import level_change_with_speed
from shroudwright.job.filled import Filled
from shroudwright.plan import Plan
from shroudwright.shop_words import Wording, said, ways_said
from shroudwright.speech import Dialect
from shroudwright.wiring.checks import Found
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring.relay import MOMENTARY, RELAY_SHARE
from shroudwright.wiring.thicker import LEAST_DROP, gauge_carrying, gauge_losing, ground_losing

SAID: dict[str, Wording] = {
    "W01": Wording(
        "stop",
        "A fan draws more than its wire carries where it runs.",
        "amps",
        "{wanted} wire, or a cooler way for it.",
        "gauge",
    ),
    "W02": Wording(
        "fix",
        "The wire's insulation is too close to the heat round it.",
        "temperature",
        "Cross-linked wire rated {wanted} or more (it is made for 125 °C, 257 °F), or a cooler way.",
    ),
    "W03": Wording(
        "watch",
        "The fan's circuit loses many volts.",
        "volts",
        "{wanted} wire out and back, or shorter; fewer joints.",
        "gauge",
    ),
    "W04": Wording(
        "fix",
        "The ground wire loses many volts.",
        "volts",
        "{wanted} for the ground, or shorter; to a clean stud.",
        "gauge",
    ),
    "W10": Wording(
        "note",
        "The fuse is larger than the wire's own ampacity; up to 150 % is accepted.",
        "ratio",
        "{wanted} wire where there is room.",
        "gauge",
    ),
    "W11": Wording(
        "watch",
        "The fan runs too near its fuse's hot rating.",
        "amps",
        "A fuse of {wanted} or more with wire to match, or a cooler box.",
    ),
    "W12": Wording("watch", "The start may open the fuse.", "amps", "A soft start, or a slow large-blade fuse."),
    "W14": Wording(
        "watch",
        "A jammed fan may not open the fuse: the motor must look after itself.",
        "amps",
        "A motor with a thermal cut-out, or a current-limiting controller.",
    ),
    "W15": Wording("note", "The fuse box is hot.", "temperature", "Put it in cooler air."),
    "W16": Wording(
        "stop", "The fuse is larger than its holder is good for.", "amps", "A bolt-down holder good for {wanted}."
    ),
    "W20": Wording(
        "fix",
        "The fan draws more than 70 % of the relay.",
        "amps",
        "A relay of {wanted} or more, or one fan to a relay.",
    ),
    "W22": Wording(
        "watch",
        "The start is more than the relay's contacts should close on.",
        "amps",
        "A soft start, or a relay of {wanted} or more.",
    ),
    "W05": Wording(
        "fix", "Current through the radiator or shroud eats aluminium.", "", "Ground to a clean stud on body or block."
    ),
    "W06": Wording(
        "note",
        "SAE wire is thinner than AWG of the same number; it is counted as such.",
        "ratio",
        "Nothing to do; buy to the standard the list names.",
    ),
    "W07": Wording(
        "watch", "A hot or sharp spot on the wires' way.", "", "A shield or sleeve, a grommet, or another way."
    ),
    "W08": Wording(
        "stop",
        "A wire from the battery without a fuse: a chafe is a fire.",
        "",
        "A fuse within 7 in (178 mm) of the battery, for each fan.",
    ),
    "W09": Wording(
        "fix", "The wire before the fuse is not protected.", "length", "Move the fuse to within {wanted} of its source."
    ),
    "W13": Wording("note", "Many starts will tire this fuse.", "ratio", "A large blade, or a soft start."),
    "W17": Wording("watch", "One fuse for several fans: one fault loses them all.", "", "A fuse to each fan."),
    "W18": Wording("fix", "The main fuse is too small for all fans.", "amps", "{wanted} or more, with cable to match."),
    "W19": Wording("note", "No such fuse is made.", "amps", "Use {wanted}."),
    "W21": Wording(
        "fix", "The 87a side is rated lower than 87 and carries too much.", "amps", "Use 87 or a larger relay."
    ),
    "W23": Wording("stop", "This switch cannot carry a fan.", "amps", "Use it to work a relay."),
    "W24": Wording(
        "stop", "An output made for relay coils cannot carry a fan.", "", "A relay or a module between them."
    ),
    "W25": Wording(
        "fix", "The coils pull more than the output gives.", "amps", "An output to each stage, or fewer coils on one."
    ),
    "W26": Wording(
        "fix",
        "A coil's kick, hundreds of volts, can kill the output that works it.",
        "",
        "Relays with a resistor or a clamp inside.",
    ),
    "W27": Wording(
        "note",
        "A plain diode slows the relay's release: contacts wear on a hard start.",
        "amps",
        "Relays with a resistor, or a diode and a zener.",
    ),
    "W28": Wording(
        "stop", "The coil's diode is the wrong way round: it shorts the feed.", "", "86 to plus, 85 to the control."
    ),
    "W29": Wording(
        "stop", "A relay cannot be pulsed: it chatters and burns.", "", "A solid-state module, or an on-and-off output."
    ),
    "W30": Wording("fix", "The wire that feeds the coils has no fuse.", "", "A 5 A fuse in it."),
    "W31": Wording(
        "watch",
        "All fans start at once: lights dim and volts dip.",
        "amps",
        "3 s between starts, or a second threshold.",
    ),
    "W32": Wording(
        "watch",
        "The relay's contacts wear out in a few years at the worst.",
        "years",
        "A wider gap between ON and OFF, or a module.",
    ),
    "W33": Wording(
        "note",
        "If the switch's wire breaks, the fans stay off and nobody knows.",
        "",
        "An override switch with a lamp, or a controller that fails on.",
    ),
    "W34": Wording(
        "fix", "The module is too small for the fan in this heat.", "amps", "One of {wanted} or more, or two."
    ),
    "W35": Wording(
        "watch", "The module's case gets too hot.", "temperature", "On metal, in moving air, away from the exhaust."
    ),
    "W36": Wording(
        "stop",
        "Some modules read full signal as OFF; nothing says how this one does.",
        "",
        "Ask its maker and type it.",
    ),
    "W37": Wording("fix", "The module does not take this frequency.", "", "Set the computer to one it takes."),
    "W38": Wording(
        "watch", "At its least duty the fan may hum and not turn.", "share", "Raise the least duty to {wanted}."
    ),
    "W39": Wording(
        "watch", "The fans will hunt.", "rise", "15 to 20 °F (8 to 11 K) from least to full, a 2 °F (1 K) dead band."
    ),
    "W40": Wording(
        "fix",
        "Standing with everything on, the alternator falls short and the fans slow.",
        "amps",
        "Measure it hot at idle; then a faster idle, a smaller pulley, a stronger alternator, or fewer loads.",
    ),
    "W41": Wording(
        "watch",
        "Only the alternator's number at high speed is known.",
        "amps",
        "Type its curve, or measure it hot at idle.",
    ),
    "W42": Wording(
        "fix",
        "The charge cable is too small for what it carries, or for its fuse.",
        "amps",
        "A thicker cable, then a fuse to suit it.",
    ),
    "W43": Wording(
        "stop",
        "An ignition switch or accessory fuse cannot feed fans.",
        "",
        "Take fan power from the battery or the alternator's post.",
    ),
    "W44": Wording(
        "note",
        "Fans take volts from the starter while cranking.",
        "",
        "Feed the coils from a circuit that is dead while cranking.",
    ),
    "W45": Wording(
        "fix",
        "A fan that governs its own speed gets no signal from this.",
        "",
        "A controller or computer with a fan command.",
    ),
    "W46": Wording(
        "fix",
        "The ground wire is thinner than the feed.",
        "gauge",
        "{wanted} for the ground too, short, to a clean stud.",
    ),
    "W47": Wording(
        "fix",
        "A brushless fan is not slowed by fewer volts: it draws more amps, or stops.",
        "",
        "Command it by its own signal.",
    ),
    "W60": Wording(
        "stop",
        "Air may go the wrong way.",
        "",
        "Hold paper there: air must go to the engine. Swap wires only if the maker says the blade is for it.",
    ),
    "W61": Wording("fix", "The plug at the fan will run hot.", "amps", "A plug of {wanted} or more with thicker wire."),
    "W62": Wording("watch", "Water gets into the plug.", "", "A sealed plug with a drip loop."),
    "W63": Wording("note", "The loom does not pass its grommet.", "length", "A hole of {wanted}."),
    "W64": Wording(
        "note",
        "The fans will be heard.",
        "noise",
        "Fans turning {wanted} of their speed, or larger ones; unlike speeds for two, so that they do not beat.",
        "share",
    ),
    "A20": Wording(
        "watch",
        "The fan's test volts are not known: a 13.5 V rating is about 9 % more air than a 12 V one.",
        "",
        "Find it on the box or ask.",
    ),
    "A21": Wording(
        "watch",
        "The fan has no pressure curve: its flow through the core is a guess.",
        "",
        "Ask for a curve of flow and pressure.",
    ),
    "A22": Wording("note", "The fan draws more than its box says.", "amps", "Size everything for {wanted}."),
    "A23": Wording("note", "Start amps are a guess.", "", "Clamp meter on INRUSH at a cold start; type what it reads."),
}

GRAVER: dict[str, tuple[float, Level]] = {"W03": (0.8, "fix"), "W10": (1.5, "stop")}
"""Codes with two limits: the further one and its level."""
WANTED: dict[str, Callable[[FanCircuit, float, float], float | None]] = {
    "W01": lambda circuit, measured, limit: gauge_carrying(circuit, measured),
    "W02": lambda circuit, measured, limit: limit,
    "W03": lambda circuit, measured, limit: gauge_losing(circuit, LEAST_DROP),
    "W04": lambda circuit, measured, limit: ground_losing(circuit, limit),
    "W10": lambda circuit, measured, limit: gauge_carrying(circuit, circuit.fuse_rating),
    "W11": lambda circuit, measured, limit: circuit.fuse_rating * measured / limit,
    "W16": lambda circuit, measured, limit: measured,
    "W20": lambda circuit, measured, limit: measured / RELAY_SHARE,
    "W22": lambda circuit, measured, limit: measured / MOMENTARY,
}
"""What mends it: gauges, a temperature, or amps; None where no wire kept does"""
NO_WIRE: dict[str, str] = {
    "W01": "No one wire kept carries it there: a cooler way, hotter insulation, or smaller fans.",
    "W03": "No wire mends it: shorter, with fewer and better joints.",
    "W04": "No wire mends it: a shorter ground, to a clean stud nearer the fan.",
    "W10": "Nothing thicker is kept: a smaller fuse where the start allows, or a cooler way.",
}
"""Remedies where no gauge does"""
NAMEPLATE = 1.15
"""Over the box's amps worth saying; what 13.5 to 14.4 V add is not, [-]"""


def wiring_findings(filled: Filled, plan: Plan, cases: list[CaseAnswer], shop: Dialect) -> list[FindingAnswer]:
    """Say what is wrong with a plan's wiring, and what is not known of its fans.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    plan : Plan
        Circuits and what was found wrong with them together.
    cases : list of CaseAnswer
        Every driving case, judged.
    shop : Dialect
        Units to say it in.

    Returns
    -------
    list of FindingAnswer
        Circuit by circuit, then all together, then the fans.
    """
    found = [*plan.found, *_of_fans(filled, plan), *_of_noise(filled, cases), *_of_rating(filled)]
    return [*_of_circuits(plan, shop), *(_one(item, shop) for item in found), *_of_alternator(plan, cases)]


def _of_alternator(plan: Plan, cases: list[CaseAnswer]) -> Iterator[FindingAnswer]:
    ways = {budget.case: ways_said(budget.ways) for budget in plan.budgets if budget.ways}
    for case in cases:
        margin = case.alternator_margin
        if margin is not None and margin.value < 0.0:
            wording = SAID["W40"]
            yield FindingAnswer(
                code="W40",
                level=wording.level,
                says=wording.says,
                because=f"It is {-margin.value:.0f} A short ({margin.low:.0f} to {margin.high:.0f} A left over).",
                remedy=f"{wording.remedy} One of: {'; '.join(ways[case.name])}."
                if case.name in ways
                else wording.remedy,
                source="practice",
                place=case.name,
            )


def _one(item: Found, shop: Dialect) -> FindingAnswer:
    level: Level | None = "stop" if item.is_stop else None
    return said(
        _worded(item.code, item.wanted),
        item.code,
        item.measured,
        item.limit,
        item.place,
        shop,
        level,
        item.wanted,
        item.detail,
    )


def _worded(code: str, wanted: float | None) -> dict[str, Wording]:
    return {code: SAID[code]._replace(remedy=NO_WIRE[code])} if wanted is None and code in NO_WIRE else SAID


def _of_circuits(plan: Plan, shop: Dialect) -> Iterator[FindingAnswer]:
    for circuit in plan.fed:
        for code, measured, limit in circuit.findings:
            further, level = GRAVER.get(code, (0.0, None))
            if code == "W20":
                further, level = circuit.relay_rating, "stop"
            wanted = WANTED[code](circuit, measured, limit) if code in WANTED else None
            yield said(
                _worded(code, wanted),
                code,
                measured,
                limit,
                circuit.name,
                shop,
                level if limit == further else None,
                wanted,
            )


def _of_fans(filled: Filled, plan: Plan) -> Iterator[Found]:
    for index, (fan, circuit) in enumerate(zip(filled.job.fans, plan.circuits, strict=True)):
        place = f"fans.{index}"
        rated = fan.run_amps or fan.free_flow or fan.curve
        if rated and fan.test_volts is None:
            yield Found("A20", f"{place}.test_volts", detail=f"{fan.code}: no test volts are typed.")
        if not fan.curve:
            yield Found("A21", f"{place}.curve", detail=f"{fan.code}: no curve is typed.")
        if fan.run_amps and circuit.highest_amps > NAMEPLATE * fan.run_amps.value:
            highest = circuit.highest_amps
            yield Found("A22", f"{place}.run_amps", highest, fan.run_amps.value, highest)
        if fan.start_amps is None and not circuit.is_brushless:
            ratio = circuit.locked_amps / circuit.highest_amps
            yield Found("A23", f"{place}.start_amps", detail=f"{fan.code}: taken at {ratio:.1f} times running.")
        if fan.rotation_checked is False:
            yield Found("W60", f"{place}.rotation_checked", detail=f"{fan.code}: typed as not checked.")


def _of_noise(filled: Filled, cases: list[CaseAnswer]) -> Iterator[Found]:
    limit = filled.job.control.noise_limit
    heard = [(case.noise.value, case.name) for case in cases if case.noise is not None]
    if limit is not None and heard and max(heard)[0] > limit.value:
        loudest, place = max(heard)
        yield Found("W64", place, loudest, limit.value, _slowed(limit.value - loudest))


def _slowed(change: float) -> float:
    """Speed over full that changes a fan's level by so much, [dB]."""
    return float(10.0 ** (change / float(level_change_with_speed(10.0))))


def _of_rating(filled: Filled) -> Iterator[Found]:
    typed = filled.job.electrical
    if typed.alternator_rating and not (typed.alternator_hot_idle or typed.alternator_curve):
        guess = float(filled["electrical.alternator_hot_idle"][0])
        yield Found("W41", "electrical.alternator_hot_idle", typed.alternator_rating.value, guess)
