"""Requests, cuts, running on and faults: what a controller does beside its temperatures, and what is wrong with it.

Rules          what it is told to do
rule_findings  what is wrong with them

C07  starts come too fast, [s]                    C12  an A/C and nothing that starts a fan for it
C13  road speed stops the fans of a hot engine    C14  stop and start speeds too close, [m/s]
C15  road speed stops the fans of a core that road air does not reach
C16  fans run on while the coolant stands         C17  running on empties the battery, [A s]
C18  blades can start with the key off            C19  a broken sensor leaves the fans off
C21  two controllers feed each other              C22  percent on changes too fast, [1/s]
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from shroudwright.control.cycling import after_run_charge
from shroudwright.control.found import Found

SHORT_CYCLE = 60.0
"""From start to start: common practice, no source, [s]"""
LEAST_CUT_BAND = 4.0 * 0.44704
_CUT_BAND = 6.0 * 0.44704
BATTERY_SHARE = 0.10
"""Of a battery's charge that running on may take: common practice, no source, [-]"""
MOST_RAMP = 0.10
_LONG_RUN = 300.0
_UNRAMMED = ("rear",)


@dataclass(frozen=True)
class Rules:
    """What a controller is told to do beside its temperatures; None where nobody says."""

    has_air_conditioning: bool
    requests_air: bool | None
    """whether the A/C starts a fan"""
    speed_cut: float | None
    """[m/s]"""
    cut_band: float
    """[m/s]"""
    hot_override: bool | None
    opening: str
    """of `job.front.Opening`, [text]"""
    after_run: float
    """[s]"""
    has_low_volts: bool
    pump_runs_on: bool
    fans_current: float
    """of all fans, [A]"""
    battery: float
    """[A*s]"""
    sensor_fault: Literal["fans on", "fans off"] | None
    second_driver: str | None
    ramp: float | None
    """of speed control, [1/s]; None with stages"""
    cycle: float | None = None
    """shortest from start to start, [s]; None where no closed form holds"""


def rule_findings(rules: Rules) -> Iterator[Found]:
    """Find what is wrong with what a controller is told.

    Parameters
    ----------
    rules : Rules
        As typed.

    Yields
    ------
    Found
    """
    if rules.has_air_conditioning and rules.requests_air is False:
        yield Found("C12", "control.air_conditioning_request", detail="An A/C is fitted; its request is typed as none.")
    if rules.speed_cut is not None:
        yield from _cut(rules, rules.speed_cut)
    if rules.after_run > 0.0:
        yield from _running_on(rules)
    if rules.sensor_fault == "fans off":
        yield Found("C19", "control.sensor_fault", detail="A sensor fault is typed as fans off.")
    if rules.second_driver == "joined directly":
        yield Found("C21", "control.second_driver", detail="A second controller is typed as joined directly.")
    if rules.ramp is not None and rules.ramp > MOST_RAMP + 1e-9:
        yield Found("C22", "control.ramp", rules.ramp, MOST_RAMP, MOST_RAMP)
    if rules.cycle is not None and rules.cycle < SHORT_CYCLE:
        yield Found("C07", "control.fan_off", rules.cycle, SHORT_CYCLE)


def _cut(rules: Rules, cut: float) -> Iterator[Found]:
    if rules.opening in _UNRAMMED:
        yield Found("C15", "control.speed_cut", detail="The core sits at the rear: moving makes no air for it.")
    if rules.hot_override is False:
        yield Found("C13", "control.hot_override", detail="A hot engine is typed as no reason to run.")
    if rules.cut_band < LEAST_CUT_BAND - 1e-9:
        yield Found("C14", "control.cut_band", rules.cut_band, LEAST_CUT_BAND, _CUT_BAND)


def _running_on(rules: Rules) -> Iterator[Found]:
    if not rules.pump_runs_on:
        yield Found("C16", "control.after_run", detail=f"{rules.after_run:.0f} s, and no pump that runs on is typed.")
    taken, limit = after_run_charge(rules.fans_current, rules.after_run), BATTERY_SHARE * rules.battery
    if taken > limit:
        yield Found("C17", "control.after_run", taken, limit)
    elif not rules.has_low_volts:
        yield Found("C17", "control.low_volts", detail="Nothing stops it when the battery sinks.")
    elif rules.after_run > _LONG_RUN:
        yield Found("C17", "control.after_run", detail=f"{rules.after_run / 60.0:.0f} min of running on; 2 to 5 do.")
    yield Found("C18", "control.after_run", detail=f"Typed as {rules.after_run:.0f} s.")
