"""The fans' circuits of a job, sized on the medians, and what they and the alternator do to the volts.

circuits_of         one circuit per fan
pump_circuit_of     an electric water pump's
budget_of           the alternator's amps in a driving case
path_resistance     of fan i, draws
running_amps        of the fans that run in a driving case
source_volts        at the post in a driving case, draws
alternator_margin   amps left over in a driving case, draws; None where nothing is known of it
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.job.filled import Filled
from shroudwright.job.wiring import MODULES, curve_of, fitted_of, other_loads, switching_of
from shroudwright.wiring.alternator import AT_SPEED, output_at, volts_at_source
from shroudwright.wiring.alternator import alternator_margin as wiring_margin
from shroudwright.wiring.budget import Ways, ways_out
from shroudwright.wiring.circuits import GROUND, SUPPLY, WORKING_VOLTS, FanCircuit, Segment, fan_circuit
from shroudwright.wiring.fitted import Fitted

STANDING = ("idle", "stop-go", "crawl")
PUMP = "water pump"
PUMP_START = 3.0
"""Start over running amps of a brushed pump: common practice, no source, [-]"""
_RUNS = ("hot_run", "fender_run", "cabin_run")

Numbers = NDArray[np.float64]


def circuits_of(filled: Filled) -> tuple[FanCircuit, ...]:
    """Size the circuit of every fan of a job.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    tuple of FanCircuit
        In the order of the fans.
    """
    supply, ground = _stretches(filled)
    fitted, switching = fitted_of(filled.job), switching_of(filled)
    return tuple(
        fan_circuit(
            name=fan.code,
            run_amps=filled.median(f"fans.{i}.run_amps"),
            test_volts=filled.median(f"fans.{i}.test_volts"),
            start_ratio=max(float(filled[f"fans.{i}.start_amps"][0] / filled[f"fans.{i}.run_amps"][0]), 1.05),
            is_brushless=filled.word(f"fans.{i}.kind") == "brushless",
            insulation=filled.median("electrical.insulation"),
            segments=supply,
            ground=ground,
            fitted=fitted,
            has_relay=switching.scheme not in MODULES,
            soft_start=switching.soft_start or 0.0,
        )
        for i, fan in enumerate(filled.job.fans)
    )


def _stretches(filled: Filled) -> tuple[tuple[Segment, ...], tuple[Segment, ...]]:
    """Supply and ground of whatever stands behind the core."""
    supply = tuple(
        segment._replace(length=filled.median(f"electrical.{run}")) for segment, run in zip(SUPPLY, _RUNS, strict=True)
    )
    return supply, (GROUND[0]._replace(length=filled.median("electrical.ground_run")),)


def pump_circuit_of(filled: Filled) -> FanCircuit | None:
    """Size the circuit of an electric water pump: over the fans' ways, brushed, on a relay of its own.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    FanCircuit or None
        None where the pump is no electric one.
    """
    if filled.job.plumbing.pump != "electric":
        return None
    supply, ground = _stretches(filled)
    return fan_circuit(
        name=PUMP,
        run_amps=filled.median("plumbing.electric_amps"),
        test_volts=WORKING_VOLTS,
        start_ratio=PUMP_START,
        is_brushless=False,
        insulation=filled.median("electrical.insulation"),
        segments=supply,
        ground=ground,
        fitted=Fitted(standard=filled.job.electrical.wire_standard),
    )


def path_resistance(filled: Filled, circuit: FanCircuit) -> Numbers:
    """Resistance out and back to a fan: as typed, or that of the proposed wiring with the guess's spread, [ohm]."""
    guess = filled["electrical.path_resistance"]
    return guess if filled.job.electrical.path_resistance else circuit.path_resistance * guess / guess[0]


def running_amps(filled: Filled, index: int, circuits: tuple[FanCircuit, ...]) -> float:
    """Amps of the fans that run in a driving case at 13.5 V, [A]."""
    on = filled.job.cases[index].fans_on
    return sum(item.working_amps for item in circuits if on is None or item.name in on)


def alternator_margin(filled: Filled, index: int, running: Numbers | float) -> Numbers | None:
    """Current left over standing with everything on, [A]; None where the alternator is not known, or at speed."""
    electrical = filled.job.electrical
    known = electrical.alternator_rating or electrical.alternator_hot_idle or electrical.alternator_curve
    if filled.job.cases[index].kind not in STANDING or not known:
        return None
    return np.asarray(wiring_margin(filled["electrical.alternator_hot_idle"], other_loads(filled), running))


class Budget(NamedTuple):
    """The alternator's amps in a driving case, draws where more than one may be right."""

    case: str
    engine_rpm: float
    makes: Numbers
    """hot, [A]"""
    takes: Numbers
    """all but the fans, [A]"""
    fans: dict[str, float]
    """of every running fan at 13.5 V, [A]"""
    ways: Ways | None
    """out of a shortfall; None where there is none"""

    @property
    def left(self) -> Numbers:
        """Amps over, [A]."""
        return np.asarray(wiring_margin(self.makes, self.takes, sum(self.fans.values())))


def budget_of(filled: Filled, index: int, circuits: tuple[FanCircuit, ...]) -> Budget | None:
    """Set the alternator's amps against what takes them in a driving case.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    index : int
        Of the case.
    circuits : tuple of FanCircuit
        Of every fan.

    Returns
    -------
    Budget or None
        None where nothing is known of the alternator at such a speed.
    """
    electrical, case = filled.job.electrical, filled.job.cases[index]
    curve = curve_of(filled.job)
    if not (electrical.alternator_rating or electrical.alternator_hot_idle or curve):
        return None
    if case.kind not in STANDING and not (curve or electrical.alternator_rating):
        return None
    rpm = filled.median(f"cases.{index}.engine_rpm")
    if case.kind in STANDING:
        makes = filled["electrical.alternator_hot_idle"]
    elif curve:
        spin = rpm * filled.median("electrical.pulley_ratio")
        makes = np.full(filled.count, output_at(curve, spin))
    else:
        makes = AT_SPEED * filled["electrical.alternator_rating"]
    on = case.fans_on
    fans = {item.name: item.working_amps for item in circuits if on is None or item.name in on}
    budget = Budget(case.name, rpm, makes, other_loads(filled), fans, None)
    short = -float(budget.left[0])
    if short <= 0.0:
        return budget
    rating = electrical.alternator_rating
    ways = ways_out(
        short=short,
        output=float(makes[0]),
        fans=fans,
        engine_rpm=rpm,
        curve=curve,
        rating=None if rating is None else rating.value,
    )
    return budget._replace(ways=ways)


def source_volts(filled: Filled, index: int, running: Numbers | float) -> Numbers:
    """Volts at the post: as measured, or what the alternator's margin leaves of the guess, [V]."""
    own = filled.known(f"cases.{index}.volts")
    if own is not None:
        return own
    guess = filled["electrical.source_volts"]
    margin = alternator_margin(filled, index, running)
    typed = filled.job.electrical.source_volts
    if margin is None or (typed and typed.standing == "measured"):
        return guess
    return np.asarray(volts_at_source(margin, guess))
