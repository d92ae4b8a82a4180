"""Ways to work a job's fans, from a switch on the dash to the engine computer, side by side.

Tier        one way: money, amps, sound, what it gives up
tiers_of    every way these fans can be worked
switches_of what a harness buys beside wire, fuses and relays
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from shroudwright.assessment import CaseAnswer
from shroudwright.bench.errors import InputError
from shroudwright.fans.laws import percent_on_speed
from shroudwright.fans.noise import add_levels, level_change_with_speed
from shroudwright.job.circuits import STANDING
from shroudwright.job.filled import Filled
from shroudwright.job.wiring import MODULES, needs_for, runs_of, stages_of
from shroudwright.price.bill import DEFAULT_LABOUR_RATE, bill
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring.harness import Harness, Kind
from shroudwright.wiring.schemes import SCHEMES, Scheme, harness
from shroudwright.wiring.sizing import size
from shroudwright.wiring_plan import fuses_of, relays_of, shared_fuse

LOW = 0.5
"""Percent on, or share of the volts, at which ways with any speed are compared, [-]"""
_BOUGHT: tuple[Kind, ...] = (
    "dash switch",
    "thermal switch",
    "controller",
    "sensor",
    "pwm module",
    "resistor",
    "diode",
    "lamp",
)


class Tier(NamedTuple):
    """One way of working the fans."""

    scheme: Scheme
    is_chosen: bool
    parts: Decimal
    """of wire, fuses, relays and what works them"""
    currency: str
    amps_low: float | None
    """standing, on the first stage or at `LOW`; None where there is one speed, or nobody knows the low one, [A]"""
    amps_full: float
    """standing, all full, [A]"""
    noise_low: float | None
    """at 1 m, [dB]"""
    noise_full: float | None
    """at 1 m; None where nobody knows, [dB]"""


def switches_of(made: Harness) -> tuple[str, ...]:
    """Name what a harness buys beside wire, fuses and relays, as the price list does; an engine computer is there."""
    two = "two-stage thermal switch"
    return tuple(
        two if part.kind == "thermal switch" and made.scheme == two else part.kind for part in made.of_kind(*_BOUGHT)
    )


def tiers_of(filled: Filled, circuits: tuple[FanCircuit, ...], cases: Sequence[CaseAnswer]) -> tuple[Tier, ...]:
    """Set the ways to work a job's fans side by side.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    circuits : tuple of FanCircuit
        Of every fan.
    cases : sequence of CaseAnswer
        Every driving case, judged.

    Returns
    -------
    tuple of Tier
        Plainest first; without what these fans cannot be worked by, and empty where no case has all of them running.

    Notes
    -----
    Limits: sound and amps of a stage alone are those of the same fans with all running. Accuracy: sound 5 dB.
    """
    running = [case for case in cases if case.fans and all(fan.running for fan in case.fans)]
    case = next((case for case in running if case.kind in STANDING), next(iter(running), None))
    if not circuits or case is None:
        return ()
    tiers = []
    for name, scheme in SCHEMES.items():
        try:
            made = harness(name, needs_for(filled, name))
        except InputError:
            continue
        parts, currency = _parts(filled, circuits, made)
        amps, noise = _low(filled, case, scheme)
        full = [fan.noise.value for fan in case.fans if fan.noise]
        tiers.append(
            Tier(
                scheme,
                name == filled.word("control.scheme"),
                parts,
                currency,
                amps,
                sum(fan.amps.value for fan in case.fans),
                noise,
                float(add_levels(full)) if full else None,
            )
        )
    return tuple(tiers)


def _parts(filled: Filled, circuits: tuple[FanCircuit, ...], made: Harness) -> tuple[Decimal, str]:
    wires = size(made, circuits, runs_of(filled), insulation=float(filled["electrical.insulation"][0]))
    priced = bill(
        sheets=(),
        wires=[(wire.gauge, wire.cut) for wire in wires if wire.gauge > 0.0],
        fuses=fuses_of(circuits, made, shared_fuse(filled, circuits)),
        relays=relays_of(circuits, made),
        switches=switches_of(made),
        connectors=0,
        loom_length=0.0,
        hardware=(),
        fans=(),
        labour_time=0.0,
        labour_rate=str(filled.job.shop.labour_rate or DEFAULT_LABOUR_RATE),
    )
    return priced.parts, priced.currency


def _low(filled: Filled, case: CaseAnswer, scheme: Scheme) -> tuple[float | None, float | None]:
    """Amps and sound on low, standing: the first stage, or all slowed."""
    stages = stages_of(filled.job, scheme.name)
    slowed = [_slowed(filled, index, scheme) for index in range(len(stages))]
    if scheme.speeds == 1:
        kept = [(1.0, 1.0) if stage == 1 else None for stage in stages]
        if None not in kept:
            return None, None
    elif None in slowed:
        return None, None
    else:
        kept = slowed
    amps, levels = 0.0, []
    for fan, at in zip(case.fans, kept, strict=False):
        if at is not None:
            amps += at[1] * fan.amps.value
            if fan.noise:
                levels.append(fan.noise.value + float(level_change_with_speed(at[0])))
    return amps, float(add_levels(levels)) if levels else None


def _slowed(filled: Filled, index: int, scheme: Scheme) -> tuple[float, float] | None:
    """Speed and supply amps of a fan on low, both over full."""
    at = f"fans.{index}."
    stall = max(float(filled[at + "start_amps"][0] / filled[at + "run_amps"][0]), 1.0)
    governed = filled.word(at + "kind") == "brushless"
    if scheme.name == "resistor":
        typed = filled.job.fans[index].low_speed
        # All the current of the motor passes the resistor, and that goes as the square of the speed.
        return None if typed is None else (typed.value, typed.value**2)
    speed = float(percent_on_speed(LOW, stall, float(governed)))
    if scheme.name in MODULES:
        return speed, speed**3 if governed else LOW * speed**2
    # In series one current passes both fans of a pair.
    return speed, 0.5 * speed**2
