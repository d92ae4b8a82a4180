"""What a controller makes of its sensor: fans in stages, by a straight line, or by a loop.

in_stages   set the fans by stages, each held for its least time
by_share    set them by a straight line over the sensor, or by a loop
is_held_off whether the road's speed holds the fans off
crossing    when the sensor reaches its next threshold
"""

from typing import Any

from shroudwright.bench.compiled import compilable
from shroudwright.control.plan import MAP

DEAD_BAND = 1.0
"""Of a straight line, under its start, [K rise]"""
_HALVINGS = 40


@compilable
def _asked(plan: Any, sensed: float, stage: float) -> float:
    """Stage that the sensor asks for, each stage with its own hysteresis."""
    if sensed >= plan.on_2 or (stage >= 2.0 and sensed > plan.off_2):
        return 2.0
    if sensed >= plan.on_1 or (stage >= 1.0 and sensed > plan.off_1):
        return 1.0
    return 0.0


@compilable
def _reaches(level: float, before: float, after: float, slope: float, slope_after: float) -> float:
    """Share of a step at which a cubic with these ends and slopes (over the step) passes a level between the ends."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        x = 0.5 * (low + high)
        y = 1.0 - x
        there = y * y * ((1.0 + 2.0 * x) * before + x * slope) + x * x * ((1.0 + 2.0 * y) * after - y * slope_after)
        if (there < level) == (before < level):
            low = x
        else:
            high = x
    return high


@compilable
def crossing(plan: Any, stage: float, before: float, after: float, slope: float, slope_after: float) -> float:
    """Share of a step at which the sensor reaches the next threshold; 1 where it does not."""
    if stage < 2.0:
        level = plan.on_1 if stage < 1.0 else plan.on_2
        if before < level <= after:
            return _reaches(level, before, after, slope, slope_after)
    if stage > 0.0:
        level = plan.off_1 if stage < 2.0 else plan.off_2
        if after <= level < before:
            return _reaches(level, before, after, slope, slope_after)
    return 1.0


@compilable
def is_held_off(s: Any, plan: Any, is_cut: bool) -> bool:
    """Whether the road's speed holds the fans off: not while it is hot, until as far under that as ON is over OFF."""
    if s.sensor >= plan.hot:
        s.is_hot = 1.0
    elif s.sensor < plan.hot - (plan.on_1 - plan.off_1):
        s.is_hot = 0.0
    return is_cut and s.is_hot == 0.0


@compilable
def _started(s: Any, o: Any, time: float) -> None:
    o.starts_1 += 1.0
    if s.started >= 0.0:
        o.least_cycle = min(o.least_cycle, time - s.started)
    s.started, s.ran = time, 0.0


@compilable
def in_stages(s: Any, plan: Any, cooled: bool, may_run: bool, levels: int, time: float, o: Any) -> None:
    """Set the fans' share of full by stages, each held for its least time."""
    asked = _asked(plan, s.sensor, s.stage)
    if cooled:
        asked = max(asked, min(plan.air_conditioning, 2.0))
    if not may_run:
        asked = 0.0
    if asked != s.stage and s.since >= (plan.least_on if s.stage > 0.0 else plan.least_off):
        if s.stage == 0.0:
            _started(s, o, time)
        if asked == 2.0 and s.stage < 2.0:
            o.starts_2 += 1.0
        s.stage, s.since = asked, 0.0
        s.share = min(asked / (levels - 1.0), 1.0)


@compilable
def by_share(s: Any, plan: Any, cooled: bool, may_run: bool, h: float, time: float, o: Any) -> None:
    """Set the fans' share of full by a straight line over the sensor, or by a loop that seeks a temperature.

    A loop's integral is fed back what the limits cut off, so that it does not wind up.
    """
    if plan.way == MAP:
        if plan.start < s.sensor:
            wanted = plan.least + (1.0 - plan.least) * min((s.sensor - plan.start) / (plan.full - plan.start), 1.0)
        else:
            wanted = plan.least if s.share > 0.0 and s.sensor > plan.start - DEAD_BAND else 0.0
    else:
        aim = plan.gain * (s.sensor - plan.start) + s.wound
        wanted = min(max(aim, 0.0), 1.0)
        s.wound += h * plan.integral * ((s.sensor - plan.start) + (wanted - aim) / plan.gain)
        wanted = wanted if wanted >= plan.least else 0.0
    if cooled:
        wanted = max(wanted, min(plan.air_conditioning, 1.0))
    if not may_run:
        wanted = 0.0
    before, most = s.share, plan.ramp * h
    s.share = min(max(wanted, before - most), before + most)
    if s.share < plan.least:
        s.share = plan.least if wanted >= plan.least else 0.0
    if before == 0.0 and s.share > 0.0:
        _started(s, o, time)
