"""What an electric package would have to do, and whether 12 V gives it.

what_it_takes        air, pressure and amps that would hold the worst steady case
findings_of_reach    the same in words

Asked of a clean package: the whole core covered behind a deep plenum and sealed, so that only air is missing.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.assessment import CaseAnswer, FindingAnswer
from shroudwright.blame import PAIRED_DRAWS, cleaners
from shroudwright.fans.curve import CURVE_POINTS
from shroudwright.job.filled import Filled
from shroudwright.job.wiring import other_loads
from shroudwright.judge import Solved
from shroudwright.pack.kernel import solve_batch
from shroudwright.speech import SHOPS, Dialect
from shroudwright.uncertain.bands import HOLDS
from shroudwright.wiring.alternator import AT_SPEED

Numbers = NDArray[np.float64]
RUNNING_VOLTS = 13.5
BEST_EFFICIENCY, GOOD_EFFICIENCY = 0.55, 0.35
"""Air power over electrical power: the best brushless fans, good brushed ones; common practice, no source, [-]"""
MOST_AMPS = 130.0
"""The most a 12 V fan package carries: common practice, no source, [A]"""
MOST_PRESSURE = 500.0
"""The most a 12 V fan works against: 2 inH2O, common practice, no source, [Pa]"""
FEW = 5.0
"""Amps not worth telling apart, [A]"""
KEEP_THE_BELT_FAN = "A belt fan is the thing to keep here: it takes its power from the crank, not from the alternator."
_LEAST_SWEPT, _MOST_SWEPT, _STEPS = 2.0, 1e4, 60
_ENDLESS_FLOW = 50.0


class Duty(NamedTuple):
    """What fans would have to do together; no flow where road air alone is enough."""

    air_flow: float
    """Through the fans, [m**3/s]"""
    pressure: float
    """Added by them, [Pa]"""

    def amps(self, efficiency: float) -> float:
        """Return the amps of fans of an overall efficiency, at 13.5 V."""
        return self.air_flow * self.pressure / efficiency / RUNNING_VOLTS


class Need(NamedTuple):
    """What would hold a case."""

    case: CaseAnswer
    over: float
    """Coolant over its limit with endless air, at the middle of every guess, [K rise]"""
    even: Duty
    """For even odds: the limit just reached at the middle of every guess."""
    sure: Duty | None
    """To hold in nine draws of ten; None where no air does."""
    to_spare: float | None
    """Amps the alternator has for fans; None where it is not known."""


def what_it_takes(filled: Filled, solved: Sequence[Solved], cases: Sequence[CaseAnswer], table: Any) -> Need | None:
    """Find the air that would hold the worst steady case that does not hold.

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
    Need or None
        None where every steady case holds or is a toss-up.
    """
    failing = [item for item in solved if not item.is_pull and cases[item.index].verdict == "does not hold"]
    if not failing:
        return None
    worst = min(failing, key=lambda item: (cases[item.index].chance_of_holding, float(item.margin[0])))
    rows = worst.params[: 1 + PAIRED_DRAWS]
    results: Any = solve_batch(_swept(filled, worst, rows), table)
    by_step = (_STEPS, len(rows))
    coolant = results.coolant_unregulated.reshape(by_step)
    over = np.where(np.isfinite(coolant), coolant, np.inf) - rows["limit"]
    flow, pressure = results.fan_flow[:, 0].reshape(by_step), results.fan_pressure[:, 0].reshape(by_step)

    def duty(short: Numbers, flow: Numbers, pressure: Numbers) -> Duty | None:
        """Where a shortfall that shrinks with pressure is gone; nothing asked if it never was."""
        if short[-1] > 0.0:
            return None
        step = int(np.argmax(short <= 0.0))
        if step == 0:
            return Duty(0.0, 0.0)
        before, after = short[step - 1 : step + 1]
        share = before / (before - after) if np.isfinite(before) else 1.0
        return Duty(*(float(row[step - 1] + share * (row[step] - row[step - 1])) for row in (flow, pressure)))

    chance_short = HOLDS - np.mean(over[:, 1:] <= 0.0, axis=1)
    return Need(
        case=cases[worst.index],
        over=float(over[-1, 0]),
        even=duty(over[:, 0], flow[:, 0], pressure[:, 0]) or Duty(0.0, 0.0),
        sure=duty(chance_short, np.median(flow, axis=1), np.median(pressure, axis=1)),
        to_spare=_to_spare(filled, cases[worst.index]),
    )


def _swept(filled: Filled, worst: Solved, of: NDArray[Any]) -> Any:
    """The case behind a clean package, on one endless fan of more and more pressure; draws within each pressure."""
    rows = np.tile(of, _STEPS).view(np.recarray)
    clean = cleaners(filled, worst)
    for name in ("coverage and plenum", "recirculation"):
        clean[name](rows)
    pressure = np.repeat(np.geomspace(_LEAST_SWEPT, _MOST_SWEPT, _STEPS), len(of))
    share = np.minimum(np.arange(CURVE_POINTS), 1.0)
    rows.fan_count = 1.0
    rows.fan_flow[:, 0] = _ENDLESS_FLOW * share
    rows.fan_pressure[:, 0] = pressure[:, np.newaxis] * (1.0 - 0.1 * share)
    rows.fan_points[:, 0] = 2.0
    rows.fan_on[:, 0] = rows.fan_is_brushless[:, 0] = rows.fan_scale[:, 0] = 1.0
    rows.fan_turn_share[:, 0] = rows.fan_amps_share[:, 0] = 1.0
    rows.fan_belt_speed[:, 0], rows.pushed_share = np.nan, 0.0
    rows.fan_is_pusher[:, 0] = rows.fan_amps[:, 0] = rows.path_resistance[:, 0] = 0.0
    rows.fan_stall_ratio[:, 0], rows.fan_density[:, 0] = 3.3, 1.2
    rows.fan_volts[:, 0] = rows.source_volts = RUNNING_VOLTS
    rows.fan_disc[:, 0] = rows.fan_stopped_loss[:, 0] = 1.0
    rows.limit = np.nan  # no ambient is searched for
    rows.thermostat = 0.0
    return rows


def _to_spare(filled: Filled, case: CaseAnswer) -> float | None:
    """Amps the alternator has for fans: what it makes hot at idle or at speed, less all other loads."""
    if case.alternator_margin is not None:
        return case.alternator_margin.value + sum(fan.amps.value for fan in case.fans)
    if filled.job.electrical.alternator_rating is None or case.kind in ("idle", "stop-go", "crawl"):
        return None
    return AT_SPEED * float(filled["electrical.alternator_rating"][0]) - float(other_loads(filled)[0])


def findings_of_reach(need: Need | None, units: str) -> list[FindingAnswer]:
    """Say what an electric package would take, and that none will do where 12 V does not give it.

    Parameters
    ----------
    need : Need or None
        From `what_it_takes`.
    units : str
        ``in`` or ``mm``, [text]

    Returns
    -------
    list of FindingAnswer
        One, or none.
    """
    if need is None:
        return []
    shop = SHOPS[units]
    if need.over > 0.0:
        return [
            _no_package(
                need,
                "Even endless air through a whole, sealed core leaves the coolant "
                f"{shop.rise(need.over)} over its limit: the core is too small for this heat, or too little coolant "
                "flows through it.",
                "A larger core, more coolant through it, or less asked of it. No fan helps.",
            )
        ]
    takes = f"Through a whole, sealed core even odds take {_told(need.even, shop)}"
    if past := _past_reach(need.even, shop):
        return [
            _no_package(
                need,
                f"{takes}; {past}.",
                f"{KEEP_THE_BELT_FAN} Or a larger core, less heat ahead of it, or less asked of it.",
            )
        ]
    return [_package(need, takes, shop)]


def _told(duty: Duty, shop: Dialect) -> str:
    if duty.air_flow == 0.0:
        return "road air alone, with no fan in its way"
    best, good = duty.amps(BEST_EFFICIENCY), duty.amps(GOOD_EFFICIENCY)
    amps = (
        f"{best:.0f} A of the best brushless fans or {good:.0f} A of good brushed ones" if good > FEW else "a few amps"
    )
    return f"{shop.air_flow(duty.air_flow)} {shop.air_sign} at {shop.air_pressure(duty.pressure)}, {amps}"


def _past_reach(duty: Duty, shop: Dialect) -> str:
    """Why 12 V does not give a duty; nothing where it does."""
    past = []
    if duty.amps(BEST_EFFICIENCY) > MOST_AMPS:
        past.append(f"a 12 V package carries some {MOST_AMPS:.0f} A at most")
    if duty.pressure > MOST_PRESSURE:
        past.append(f"no 12 V fan works against more than {shop.air_pressure(MOST_PRESSURE)}")
    return " and ".join(past)


def _package(need: Need, takes: str, shop: Dialect) -> FindingAnswer:
    says, joint = "An electric package can do this", "but"
    remedy = "Look for fans whose curves reach that point together; every gap and bare corner asks for more."
    surely = "no air makes it hold nine times in ten"
    past = ""
    if need.sure is not None:
        past = _past_reach(need.sure, shop)
        surely = f"to hold nine times in ten, {_told(need.sure, shop)}" + (f", and {past}" if past else "")
    only_even = need.sure is None or bool(past)
    if only_even:
        says, joint = "An electric package gets even odds here, not more", "and"
        remedy = f"Measure what would settle this case before buying fans. {KEEP_THE_BELT_FAN}"
    elif need.even.air_flow == 0.0:
        remedy = "Open the way: flaps, fans that come off, seals at the opening, a deeper shroud."
    short = need.to_spare is not None and need.to_spare < need.even.amps(BEST_EFFICIENCY)
    if short:
        remedy = f"A stronger alternator, a smaller pulley or fewer loads first. {remedy}"
    spare = "" if need.to_spare is None else f" This alternator has {max(need.to_spare, 0.0):.0f} A for fans."
    return FindingAnswer(
        code="H06",
        level="watch" if short or only_even else "note",
        says=f"{says}, {joint} not on this alternator." if short else f"{says}.",
        because=f"{takes}; {surely}.{spare}",
        remedy=remedy,
        source="practice",
        place=need.case.name,
    )


def _no_package(need: Need, because: str, remedy: str) -> FindingAnswer:
    return FindingAnswer(
        code="H05",
        level="fix",
        says="No electric package will do this.",
        because=because,
        remedy=remedy,
        source="practice",
        place=need.case.name,
    )
