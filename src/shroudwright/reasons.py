"""What a builder should know besides the verdict: findings, and the numbers nobody gave.

findings_of    heat, air and coolant findings, gravest first
guesses_of     every guess used, the one that moves an answer most first
    name_of        a number's name in words
"""

from collections.abc import Iterator, Sequence

import numpy as np

from shroudwright.assessment import CaseAnswer, FindingAnswer, Guess
from shroudwright.bench.findings import LEVELS, Level
from shroudwright.bench.units import KINDS, convert
from shroudwright.fans.claim import claim_verdict, implied_efficiency
from shroudwright.fans.laws import flow_ratio
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import covered_by_bare_fans, solid_behind
from shroudwright.job.model import Job, has_belt_fan
from shroudwright.job.priors import Prior
from shroudwright.job.quantity import shown
from shroudwright.judge import Solved
from shroudwright.speech import SHOPS, Dialect
from shroudwright.uncertain.bands import leverage

STANDARD_AIR = 1.204
INCH = 0.0254
LOW_VOLTS = 12.8
SHALLOW = 0.019
MUCH_RECIRCULATION = 0.15
MUCH_BEHIND = 0.5
BARE = 0.85
LEAST_GAP, MOST_GAP = 0.0095, 0.0255
"""From a cooler's back to the next face, 3/8 and 1 in with rounding: common practice, no source, [m]"""
WIDE_DROP = 11.1
MOSTLY = 0.5
SOME = 0.1
RICH = 0.60
AIR_PRESSURES = 3000.0


def _finding(
    code: str, level: Level, says: str, because: str, remedy: str, source: str, place: str = ""
) -> FindingAnswer:
    return FindingAnswer(code=code, level=level, says=says, because=because, remedy=remedy, source=source, place=place)


def findings_of(filled: Filled, solved: Sequence[Solved], cases: Sequence[CaseAnswer]) -> list[FindingAnswer]:
    """Find what is wrong with the heat, the air and the coolant.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : sequence of Solved
        Every driving case, solved.
    cases : sequence of CaseAnswer
        The same cases, judged.

    Returns
    -------
    list of FindingAnswer
        In the order of heat, air, coolant.
    """
    shop = SHOPS[filled.job.units or "in"]
    return [
        *_of_heat(cases, shop, has_fan=bool(filled.job.fans) or has_belt_fan(filled.job)),
        *_of_claims(filled, shop),
        *_of_cover(filled, shop),
        *_of_gaps(filled, shop),
        *_of_air(cases, filled, shop),
        *_of_coolant(filled, solved, cases, shop),
    ]


def by_gravity(found: Sequence[FindingAnswer]) -> list[FindingAnswer]:
    """Return findings with stops first, then fixes, watches and notes."""
    return sorted(found, key=lambda finding: LEVELS.index(finding.level))


def _of_heat(cases: Sequence[CaseAnswer], shop: Dialect, *, has_fan: bool) -> Iterator[FindingAnswer]:
    for case in cases:
        odds = f"{100 * case.chance_of_holding:.0f} chances in 100."
        if case.seconds_asked is not None:
            if case.verdict != "holds" and case.seconds_to_limit is not None:
                yield _finding(
                    "H02",
                    "fix" if case.verdict == "does not hold" else "watch",
                    f"A full-throttle pull {'reaches' if case.verdict == 'does not hold' else 'may reach'} "
                    "the limit too soon.",
                    f"It lasts {case.seconds_to_limit.value:.0f} s and {case.seconds_asked:.0f} s are asked: {odds}",
                    "Ask for less time, start cooler, or carry more coolant and more core.",
                    "practice",
                    case.name,
                )
        elif case.coolant_in is None:
            yield _finding(
                "H03",
                "fix",
                "The heat finds no way out.",
                f"No coolant temperature sheds {case.heat.value / 1e3:.0f} kW with this air.",
                "Look first at fan, shroud and opening: next to no air passes the core."
                if has_fan
                else "No fan is in this job yet: choose fans first.",
                "practice",
                case.name,
            )
        elif case.verdict == "does not hold":
            over = case.coolant_in.value - case.limit
            yield _finding(
                "H01",
                "fix",
                "This package does not hold here.",
                f"Coolant settles {shop.rise(over)} over the {shop.temperature_text(case.limit)} limit: {odds}",
                "More air through more of the core, less heat ahead of it, or less asked of it.",
                "practice",
                case.name,
            )


def _of_claims(filled: Filled, shop: Dialect) -> Iterator[FindingAnswer]:
    for i, fan in enumerate(filled.job.fans):
        if fan.free_flow is None or fan.run_amps is None:
            continue
        at = f"fans.{i}."
        blade = float(filled[at + "blade"][0])
        efficiency = float(
            implied_efficiency(
                fan.free_flow.value,
                blade,
                float(filled[at + "hub"][0]) / blade,
                fan.run_amps.value,
                float(filled[at + "test_volts"][0]),
                STANDARD_AIR,
            )
        )
        words = claim_verdict(efficiency)
        if words in ("exaggerated", "impossible"):
            power = fan.run_amps.value * float(filled[at + "test_volts"][0])
            yield _finding(
                "A01",
                "fix" if words == "impossible" else "watch",
                f"The box number of {fan.code} is {words}.",
                f"Throwing {shop.air_flow(fan.free_flow.value)} {shop.air_sign} through its blades takes "
                f"{efficiency * power:.0f} W of moving air; the fan draws {power:.0f} W.",
                "Get a tested curve, or measure the air; do not size on this number.",
                "practice",
                f"fans: {fan.code}",
            )


def _of_cover(filled: Filled, shop: Dialect) -> Iterator[FindingAnswer]:
    if not filled.job.fans and not has_belt_fan(filled.job):
        return
    if filled.word("shroud.type") == "none":
        covered = float(covered_by_bare_fans(filled)[0])
        yield _finding(
            "A02",
            "fix" if covered < BARE else "watch",
            "Bare fans draw through the core under their blades only.",
            f"{100 * covered:.0f} % of the face is under a fan, and the gap at the ring lets bay air in.",
            "A full shroud at 1 to 2 in depth, sealed to core and rings.",
            "practice",
            "shroud.type",
        )
        yield from _of_what_stands_behind(filled)
        return
    yield from _of_what_stands_behind(filled)
    yield from _of_face_map(filled)
    depth = float(filled["shroud.depth"][0])
    if depth < SHALLOW:
        yield _finding(
            "A03",
            "watch",
            "The shroud is shallow: the corners of the core starve.",
            f"{shop.size(depth)} deep; half an inch costs about a sixth of the heat, one inch a fourteenth.",
            "Gain depth: core forward, thinner motor, or the motor beside what stands behind it.",
            "plenum-layout",
            "shroud.depth",
        )


def _of_face_map(filled: Filled) -> Iterator[FindingAnswer]:
    found = filled.job.calibration
    if not filled.job.shroud.face_map or found.plenum is None or found.fan_flow is None:
        return
    yield _finding(
        "A13",
        "note",
        "The air speeds read over the core have been taken in.",
        f"{len(filled.job.shroud.face_map)} spots: the fans move {found.fan_flow.value:.2f} of what their curves say, "
        f"and {found.plenum.value:.2f} times the field's loss stands behind the core.",
        "A second map on another day says how far to trust the first.",
        "plenum-layout",
        "shroud.face_map",
    )


def _of_what_stands_behind(filled: Filled) -> Iterator[FindingAnswer]:
    for i, fan in enumerate(filled.job.fans):
        loss = solid_behind(filled, i)
        if loss >= MUCH_BEHIND:
            yield _finding(
                "A10",
                "watch",
                f"What stands close behind {fan.code} holds its air back.",
                f"The way out past it takes {loss:.1f} times the push of the air's own speed through the blades.",
                "More room behind the fan: core forward, a thinner fan, or the fan to one side of what is there.",
                "practice",
                f"fans: {fan.code}",
            )


def _of_gaps(filled: Filled, shop: Dialect) -> Iterator[FindingAnswer]:
    for cooler in filled.job.ahead:
        if cooler.gap is None:
            continue
        gap, place = cooler.gap.value, f"ahead: {cooler.code}"
        if gap < LEAST_GAP:
            yield _finding(
                "A11",
                "watch",
                f"{cooler.code} is so near the next face that dirt packs between them and they may rub.",
                f"{shop.size(gap)} from its back to the next face; the trade leaves {shop.size(0.375 * INCH)} to "
                f"{shop.size(0.5 * INCH)}.",
                "Space it off on brackets with rubber, and leave a way to wash between them.",
                "practice",
                place,
            )
        elif gap > MOST_GAP:
            yield _finding(
                "A12",
                "note",
                f"{cooler.code} stands far off the next face: air goes round between them unless the sides are shut.",
                f"{shop.size(gap)} from its back to the next face; over {shop.size(INCH)} wants shut sides.",
                "Shut the sides between the two with plates and seal, or bring them together; where they are shut, "
                "leave it.",
                "practice",
                place,
            )


def _of_air(cases: Sequence[CaseAnswer], filled: Filled, shop: Dialect) -> Iterator[FindingAnswer]:
    for case in cases:
        stalled = [fan.code for fan in case.fans if fan.stalled >= SOME]
        backwards = [fan.code for fan in case.fans if fan.air_flow.value < 0.0]
        running = [fan for fan in case.fans if fan.running]
        if stalled:
            yield _finding(
                "A04",
                "fix",
                f"Stalled: {', '.join(stalled)} cannot push through this pack.",
                f"The pack asks {max(fan.pressure.value for fan in case.fans):.0f} Pa, at or past the curve's knee.",
                "A fan with more pressure, a deeper shroud, or less in the way of the air.",
                "practice",
                case.name,
            )
        if backwards:
            yield _finding(
                "A05",
                "watch",
                f"Air is drawn back through the stopped {', '.join(backwards)}.",
                "Running fans short-circuit through it.",
                "Run all fans together, or close the idle opening with a flap.",
                "practice",
                case.name,
            )
        if running and all(fan.pressure.high < 0.0 for fan in running):
            yield _finding(
                "A06",
                "watch",
                "At this speed the fans are in the way: road air pushes more through than they move.",
                f"Road air has to push {-running[0].pressure.value:.0f} Pa through the fans.",
                "Flaps in the shroud, or fans that come off for the track.",
                "practice",
                case.name,
            )
        low = [fan for fan in running if 0.0 < fan.volts.value < LOW_VOLTS]
        if low:
            worst = min(low, key=lambda fan: fan.volts.value)
            lost = 1.0 - float(flow_ratio(worst.volts.value, 13.5, 3.3))
            yield _finding(
                "A07",
                "watch",
                f"Low volts at {worst.code}.",
                f"{worst.volts.value:.1f} V instead of 13.5 V costs about {100 * lost:.0f} % of its flow.",
                "Measure at the fan's own terminals hot; heavier wire, better joints, or a stronger alternator.",
                "practice",
                case.name,
            )
        steady = case.seconds_asked is None
        if steady and case.air_in is not None and case.air_in.value - case.ambient > 2 * WIDE_DROP:
            yield _finding(
                "A08",
                "watch",
                "The radiator breathes hot air.",
                f"Air into it is {shop.rise(case.air_in.value - case.ambient)} over outside.",
                "Seal the gaps round the core so that hot air cannot come back; move coolers out of its way.",
                "practice",
                case.name,
            )
    standing = float(filled["opening.recirculation"][0])
    if standing >= MUCH_RECIRCULATION:
        yield _finding(
            "A09",
            "watch",
            "Much of the air goes round again at a standstill.",
            f"{100 * standing:.0f} % of the core's air has been through it before.",
            "Close the gaps between core, support and hood with seals and baffles.",
            "practice",
            "opening.recirculation",
        )


def _of_coolant(
    filled: Filled, solved: Sequence[Solved], cases: Sequence[CaseAnswer], shop: Dialect
) -> Iterator[FindingAnswer]:
    builder = float(filled["coolant.limit"][0])
    lowest = min(cases, key=lambda case: case.limit)
    if lowest.limit < builder - 0.1:
        yield _finding(
            "K01",
            "watch",
            "Boiling, not the limit you set, decides.",
            f"The mix boils at {shop.temperature_text(lowest.boil)} under its cap here; 10 K below that is "
            f"{shop.temperature_text(lowest.limit)}.",
            "A cap with more pressure if the radiator is rated for it, or a lower limit.",
            "practice",
            lowest.name,
        )
    full_open = float(filled["circuit.thermostat_opens"][0] + filled["circuit.thermostat_span"][0])
    if filled.word("circuit.thermostat_place") != "none" and full_open > lowest.limit:
        yield _finding(
            "K02",
            "fix",
            "The thermostat is not full open until past the limit.",
            f"Full open at {shop.temperature_text(full_open)}, limit {shop.temperature_text(lowest.limit)}.",
            "A cooler thermostat.",
            "practice",
            "circuit.thermostat_opens",
        )
    if filled.word("coolant.kind") != "water" and float(filled["coolant.glycol_share"][0]) > RICH:
        yield _finding(
            "K03",
            "watch",
            "A rich mix carries less heat.",
            f"{100 * float(filled['coolant.glycol_share'][0]):.0f} % glycol by volume; its properties are carried "
            "past the published sets.",
            "50 to 60 % unless the winter asks for more.",
            "melinder",
            "coolant.glycol_share",
        )
    for case, item in zip(cases, solved, strict=True):
        drop = item.results.coolant_unregulated - item.results.coolant_out
        flow = case.coolant_flow
        if item.is_pull or flow is None or case.regulated_share >= MOSTLY:
            continue
        if np.nanmedian(drop[1:]) > WIDE_DROP:
            yield _finding(
                "K04",
                "watch",
                "Little coolant flows.",
                f"It loses {shop.rise(float(np.nanmedian(drop[1:])))} in the radiator at "
                f"{shop.coolant_flow(flow.value)}.",
                "Check pump drive, hoses and thermostat; read both hoses with the thermostat open.",
                "practice",
                case.name,
            )


def guesses_of(filled: Filled, known: dict[str, Prior], solved: Sequence[Solved]) -> list[Guess]:
    """List every number used that nobody gave, the one that moves an answer most first.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    known : dict
        Path to prior, from `job.priors.priors`.
    solved : sequence of Solved
        Every driving case, solved.

    Returns
    -------
    list of Guess
        In the units of the shop.
    """
    units = filled.job.units or "in"
    guessed = [
        prior for path, prior in known.items() if path in filled.used and not prior.typed and prior.high > prior.low
    ]
    drawn = {prior.path: filled.drawn[prior.path][1:] for prior in guessed}
    weights = dict.fromkeys(drawn, 0.0)
    for ranked in leverage(drawn, [case.margin[1:] for case in solved]):
        for path, share in ranked:
            weights[path] = max(weights[path], share)
    return [
        Guess(
            field=prior.path,
            name=name_of(filled.job, prior.path),
            value=in_shop_units(prior.median, prior.kind, units),
            band=f"{in_shop_units(prior.low, prior.kind, units)} to {in_shop_units(prior.high, prior.kind, units)}",
            source=prior.source,
            measurement=prior.measurement,
        )
        for prior in sorted(guessed, key=lambda prior: -weights[prior.path])
    ]


MODEL_NAMES = {
    "alternator_efficiency": "alternator efficiency",
    "compressor_power": "A/C compressor power",
    "condenser": "condenser heat over the guess",
    "charge_limit": "hottest charge air allowed",
    "charge_loop_store": "heat the charge cooler's water soaks up",
    "condenser_conductance": "condenser over its air side alone",
    "crank_power": "power needed over the road-load sum",
    "crank_power_idle": "idle power needed over the sum",
    "crawl_slip": "converter slip at crawl, over standing still",
    "engine_oil_capacity": "oil flow times specific heat, W per K",
    "f": "air drag of the core over the relation",
    "fan_flow": "real fan flow over its curve or box number",
    "heat": "heat to the coolant over the guess",
    "plenum": "loss and unevenness behind the core over the field's",
    "idle_fuel": "fuel at light load over the guess",
    "j": "heat transfer of the fins over the relation",
    "launch_time": "seconds between launches in traffic",
    "moving_share": "share of traffic time rolling",
    "oil_cooler_conductance": "oil or transmission cooler over its air side alone",
    "oil_limit": "hottest engine oil allowed",
    "pressure_cut_out": "A/C high-pressure cut-out by the gauge",
    "stopped_fan_loss": "drag of a stopped fan",
    "tank_cooler_conductance": "transmission cooler in the tank, W per K",
    "thermal_mass": "heat the engine soaks up over the guess",
    "trans_fluid_capacity": "transmission fluid flow times specific heat, W per K",
    "trans_limit": "hottest transmission fluid allowed",
}


def name_of(job: Job, path: str) -> str:
    """Name a number in words: ``fans.0.run_amps`` becomes ``fan Q13: run amps``."""
    section, *rest = path.split(".")
    if section == "model":
        return MODEL_NAMES[rest[0]]
    words = rest[-1].replace("_", " ")
    if len(rest) == 1:
        return f"{section}: {words}"
    item = getattr(job, section)[int(rest[0])]
    return f"{item.name if section == 'cases' else item.code}: {words}"


_SHOWN = {
    "in": {
        "length": "in",
        "area": "in**2",
        "mass": "lb",
        "speed": "mph",
        "temperature": "degF",
        "rise": "degF",
        "pressure": "psi",
        "air_flow": "cfm",
        "liquid_flow": "gpm",
        "torque": "lbf*ft",
        "count_per_length": "per_inch",
    },
    "mm": {
        "length": "mm",
        "area": "cm**2",
        "mass": "kg",
        "speed": "km/hour",
        "temperature": "degC",
        "rise": "degC",
        "pressure": "kPa",
        "air_flow": "m**3/hour",
        "liquid_flow": "L/min",
        "torque": "N*m",
        "count_per_length": "1/cm",
    },
}
_EITHER = {"angle": "deg", "resistance": "mohm", "power": "kW", "volume": "L", "charge": "A*hour"}


def in_shop_units(value: float, kind: str, units: str) -> str:
    """Write a figure of a kind in the units a shop reads."""
    unit = _SHOWN[units].get(kind) or _EITHER.get(kind) or KINDS[kind].si
    if kind == "pressure" and value < AIR_PRESSURES:
        unit = "inH2O" if units == "in" else "Pa"
    if kind in ("temperature", "rise"):
        return f"{convert(value, 'K', unit, difference=kind == 'rise'):.0f} {unit}"
    return shown(value, unit, kind)
