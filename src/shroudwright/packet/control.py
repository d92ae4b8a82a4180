"""What stands on the pages of control: the settings sheet, the ways to work the fans, the tuner's page.

control_pages    their blocks
"""

import math

from shroudwright.assessment import Assessment
from shroudwright.control.plan import MAP
from shroudwright.control.plan import Plan as Controls
from shroudwright.control.settings import Line
from shroudwright.packet.blocks import Block, heading, items, page, table, words
from shroudwright.packet.tables import Rows, setting_rows
from shroudwright.plan import Plan
from shroudwright.speech import SHOPS, Dialect
from shroudwright.tiers import LOW

_NONE = "none"
_PERCENT_ROWS = 5


def control_pages(answer: Assessment, units: str, parts: Plan) -> list[Block]:
    """Return the blocks of the pages of control; none without settings.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    units : str
        ``in`` or ``mm``, [text]
    parts : Plan
        Settings, what else the controller is told, and the ways to work the fans.

    Returns
    -------
    list of Block
        The tuner's page where an engine computer works the fans.
    """
    shop, made, controls = SHOPS[units], parts.settings, parts.controls
    if made is None or controls is None:
        return []
    side = "over" if made.shift > 0 else "under"
    where = f"At the fan's own sensor, which reads {shop.rise(abs(made.shift))} {side} the engine's outlet."
    blocks = [
        heading("Settings"),
        _temperatures(parts, shop),
        words(where if abs(made.shift) > 0.05 else "At the fan's own sensor, which reads as the engine's outlet.", 8.5),
        table("1.4 also set | 2.6 to | 3 because", _also(controls, parts, shop)),
        *_ways(answer),
    ]
    if parts.harness is not None and any(part.kind == "engine computer" for part in parts.harness.parts):
        blocks += _tuner(answer, parts, controls, shop)
    return blocks


def _temperatures(parts: Plan, shop: Dialect) -> Block:
    made = parts.settings
    assert made is not None
    if made.line is None:
        return table("1 what | 1r starts at | 1r stops at", setting_rows(made, shop), 10)
    assert parts.controls is not None
    rows = _percent_rows(made.line, parts.controls, shop)
    return table("1 sensor reads | 1r percent on", [*rows, ("alarm", shop.temperature_text(made.alarm))], 10)


def _percent_rows(line: Line, controls: Controls, shop: Dialect) -> Rows:
    """Percent on at even steps of the line."""
    shares = [step / (_PERCENT_ROWS - 1) for step in range(_PERCENT_ROWS)]
    rows = [
        (
            shop.temperature_text(line.start + share * (line.full - line.start)),
            f"{100 * (controls.least + share * (1.0 - controls.least)):.0f} %",
        )
        for share in shares
    ]
    return [(f"under {rows[0][0]}", "0 %"), *rows]


def _also(controls: Controls, parts: Plan, shop: Dialect) -> Rows:
    switching = parts.switching
    fans = len(parts.circuits)
    rows: Rows = [("A/C request", _request(controls), "Head pressure climbs at idle without air.")]
    if math.isfinite(controls.cut_above):
        cut = f"off above {shop.speed(controls.cut_above)}, on again under {shop.speed(controls.cut_below)}"
        rows.append(("road speed", cut, "Road air does the work there."))
        hot = shop.temperature_text(controls.hot) if math.isfinite(controls.hot) else "never: see Findings"
        rows.append(("hot wins over speed", hot, "A slow tow uphill with the wind behind needs the fans."))
    else:
        rows.append(("road speed", "no cut-off", "None is typed; fans at speed cost amps, little else."))
    if controls.way != MAP:
        stays = _stays(controls.least_on, "20 to 30 s"), _stays(controls.least_off, "10 s")
        rows.append(("shortest run, rest", f"{stays[0]}, {stays[1]}", "Where it has them: contacts and motors last."))
        if fans > 1:
            stagger = _stays(switching.stagger if switching and switching.stagger else 0.0, "3 s")
            rows.append(("between two starts", stagger, "Starts at once dim the lamps."))
    else:
        rows.append(("most change", f"{100 * controls.ramp:.0f} % a second", "Coolant takes 20 to 60 s to come round."))
    run = f"{controls.after_run:.0f} s, stopped on low volts, 12.0 V" if controls.after_run > 0.0 else _NONE
    rows += [
        ("key off", run, "With a belt-driven pump it cools the bay, not the heads."),
        ("sensor fault", "all fans on, lamp on", "A broken wire must not cook the engine."),
        ("cranking", "fans off, and 3 to 5 s more", "The starter needs the volts."),
    ]
    return rows


def _stays(typed: float, otherwise: str) -> str:
    return f"{typed:.0f} s" if typed > 0.0 else otherwise


def _request(controls: Controls) -> str:
    if controls.air_conditioning <= 0.0:
        return _NONE
    if controls.way == MAP:
        return f"{100 * controls.air_conditioning:.0f} % on"
    return "all fans" if controls.air_conditioning > 1.0 else "first stage"


def _ways(answer: Assessment) -> list[Block]:
    if not answer.tiers:
        return []
    rows = [
        (
            f"{tier.scheme} (this job)" if tier.chosen else tier.scheme,
            tier.parts,
            "one speed" if tier.amps_low is None else f"{tier.amps_low:.0f}",
            f"{tier.amps_full:.0f}",
            "-" if tier.noise_low is None else f"{tier.noise_low:.0f}",
            "-" if tier.noise_full is None else f"{tier.noise_full:.0f}",
            tier.gives_up,
        )
        for tier in answer.tiers
    ]
    heads = (
        f"1.8 worked by | 0.9r parts, {answer.tiers[0].currency} | 0.8r amps low | 0.7r full | 0.8r dB(A) low"
        " | 0.7r full | 3 gives up"
    )
    says = (
        f"Parts: wire, fuses, relays and what works them. Standing; low is the first stage alone, or {100 * LOW:.0f} % "
        "on. Sound at 1 m to 5 dB. Without a figure under low the fans have one speed, or nobody knows the low one."
    )
    return [heading("Ways to work the fans"), table(heads, rows, 8), words(says, 8.5)]


def _tuner(answer: Assessment, parts: Plan, controls: Controls, shop: Dialect) -> list[Block]:
    made = parts.settings
    assert made is not None
    heads = "1 output | 2.2 works | 3 how"
    blocks = [page(), heading("For the tuner of the engine computer"), table(heads, _outputs(parts))]
    if made.line:
        blocks.append(table("1 sensor reads | 1r percent on", _percent_rows(made.line, controls, shop), 9.5))
    else:
        blocks.append(table("1 what | 1r starts at | 1r stops at", setting_rows(made, shop), 9.5))
    rows = _also(controls, parts, shop)
    return [
        *blocks,
        table("1.4 requests and cuts | 2.6 set to | 3 because", rows),
        heading("Idle when a fan starts"),
        words(_idle_up(answer, parts)),
        heading("Check the sensor before you trust a number"),
        items(_sensor_checks()),
        heading("When it gets hot all the same (common practice, no source)"),
        table("1 sensor reads | 3 do", _hot_steps(answer, parts, shop)),
        heading("Log, once a second"),
        words(
            "Coolant as the computer reads it, percent or stage commanded, battery volts, engine speed, road speed, "
            "A/C request, air temperature outside, spark taken out for heat. Twenty minutes standing with the A/C on, "
            "then the longest grade it will see. A saw-tooth of more than one start a minute is hunting; coolant that "
            "climbs and flattens with all fans on is the pack at its end, and no setting mends that."
        ),
    ]


def _outputs(parts: Plan) -> Rows:
    made, switching = parts.harness, parts.switching
    assert made is not None
    assert switching is not None
    rows: Rows = []
    for wire in made.at("U1"):
        pin, other = (wire.begins, wire.ends) if wire.begins.part == "U1" else (wire.ends, wire.begins)
        if pin.terminal.startswith("fan ") and pin.terminal != "fan command":
            works = f"{wire.coils} relay coil{'s' * (wire.coils > 1)}, from {other}"
            rows.append((pin.terminal, works, "On and off, never pulsed: grounded is fan on, open is off."))
        elif pin.terminal == "fan command":
            sense = switching.polarity or "sense not known: find it out before anything runs"
            sent = "frequency not typed" if switching.frequency is None else f"{switching.frequency:g} Hz"
            takes = switching.frequency_range
            range_ = "" if takes is None else f"; takes {takes[0]:g} to {takes[1]:g} Hz"
            rows.append((pin.terminal, f"module, from {other}", f"Pulsed, {sent}{range_}; {sense}."))
        elif pin.terminal == "A/C":
            rows.append((pin.terminal, f"input, from {other}", "Clutch feed at battery volts is a request."))
    return rows


def _idle_up(answer: Assessment, parts: Plan) -> str:
    largest = max(parts.circuits, key=lambda circuit: circuit.working_amps)
    spare = ""
    if answer.budgets:
        left, case = min((budget.left.value, budget.case) for budget in answer.budgets)
        spare = f" In {case} the alternator {f'has {left:.0f} A left' if left >= 0.0 else f'is {-left:.0f} A short'}."
    return (
        f"The largest fan asks {largest.start_amps:.0f} A for a moment and {largest.working_amps:.0f} A after. Raise "
        "idle 50 to 100 rpm as a fan is commanded, half a second ahead of it if the computer can, and keep it while "
        f"fans run (common practice, no source).{spare}"
    )


def _sensor_checks() -> list[str]:
    return [
        "Ice and water stirred together: the computer must read 32 °F (0 °C).",
        "Boiling water: 212 °F (100 °C) at sea level, 1.8 °F (1.0 °C) less for every 1,000 ft (305 m) of height.",
        "More than 4 °F (2 °C) off at either: load the table of this very sensor from its maker. Two sensors that look "
        "alike may differ by 20 °F; no table is printed here for that reason.",
        "Pull its plug with the engine running: fans on, lamp on. Short its two wires: the same.",
    ]


def _hot_steps(answer: Assessment, parts: Plan, shop: Dialect) -> Rows:
    made = parts.settings
    assert made is not None
    full = made.line.full if made.line else made.second_on if made.second_on is not None else made.fan_on
    limit = min(case.limit for case in answer.cases) + made.shift
    steps = [
        (full, "All fans full, whatever the road speed."),
        (0.5 * (full + made.alarm), "A/C clutch off."),
        (made.alarm, "Lamp and buzzer; raise idle to 1,200 rpm standing."),
        (max(limit, made.alarm + 2.0), "Cut boost, pull power to half; stop as soon as it is safe."),
    ]
    return [(shop.temperature_text(at), does) for at, does in steps]
