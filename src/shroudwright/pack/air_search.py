"""The search for the air of a record, one call at a time, for the compiled batch.

    start_air     set the flows and laws a record starts from
    search_air    balance the air of every zone and stack
    scale_air     start from a share of the flows found last

Laws are traded for losses: each stack's loss is met in value and slope by a parabola, the network of
parabolas, heads and the fans' own curves is solved for one pressure, and the true losses are worked out again
at the flows found, until they stand still. The work space holds a number for every zone and stack in each of
its `SLOTS`; `FLOW`, `OUTSIDE` and `UNEVEN` are read by others.
"""

import math
from typing import Any

from shroudwright.bench.compiled import compilable, inlined
from shroudwright.bench.roots import hunt, step
from shroudwright.pack.air_path import (
    BESIDE,
    DRAWN,
    LEAST_AIR,
    PUSHED,
    ZONES,
    AirState,
    Setup,
    air_state,
    front_and_exit,
    is_still,
    leaked,
    moved,
    plenum_drop,
    plenum_loss,
    ram,
    stack_count,
    stack_drop,
    standing_share,
    zone_flow,
    zone_share,
)

_LIKELY_AIR = 1.0
_LIKELY_POWER = 1.4
_MOST_ROUNDS = 100
_LOOKS, _EARLY = 2, 12
FLOW, _LINEAR, _SQUARE, _POWER, _LAST_FLOW, _LAST_LOSS = 0, 1, 2, 3, 4, 5
OUTSIDE, _LEFT, _NEXT, _BEFORE, UNEVEN, SLOTS = 6, 7, 8, 9, 10, 11


@inlined
def _at_pressure(linear: float, square: float, pressure: float) -> float:
    """Flow at which a stack's parabola loses a pressure."""
    if pressure <= 0.0:
        return 0.0
    return 2.0 * pressure / (linear + math.sqrt(max(linear * linear + 4.0 * square * pressure, 0.0)))


@inlined
def _zone_at(p: Any, work: Any, zone: int, pressure: float) -> float:
    """Air through a zone whose stacks all lose a pressure."""
    share = zone_share(p, zone)
    if share <= 0.0:
        return 0.0
    through = 0.0
    for coolers in range(stack_count(p)):
        if p.stack_share[coolers] > 0.0:
            each = _at_pressure(work[_LINEAR, zone, coolers], work[_SQUARE, zone, coolers], pressure)
            through += p.stack_share[coolers] * each
    return share * through


@inlined
def _help(p: Any, setup: Setup, air: AirState, work: Any, pressure: float) -> float:
    """Pressure the pushers add to what is there ahead of a part of the face."""
    if p.pushed_share <= 0.0:
        return 0.0
    state = hunt(0.0, -1e-3, -pressure - 1.0, math.inf)
    for _ in range(_MOST_ROUNDS):
        rise = state.point
        value = moved(p, setup, air, rise, True, math.nan) - _zone_at(p, work, PUSHED, pressure + rise)
        if math.fabs(value) <= 1e-13:
            break
        state = step(state, value)
        if state.point == rise:
            break
    return state.point


@inlined
def _beside_at(
    p: Any, setup: Setup, air: AirState, work: Any, ram_pressure: float, drawn: float, start: float
) -> float:
    """Pressure left for the stacks beside the fans, near a start; none where ram is too weak."""
    if zone_share(p, BESIDE) <= 0.0:
        return 0.0
    most = ram_pressure - front_and_exit(p, setup, air, drawn)
    if most <= 0.0:
        return 0.0
    state = hunt(start if 0.0 < start < most else most, -1.3, 0.0, math.inf)
    for _ in range(_MOST_ROUNDS):
        pressure = state.point
        total = drawn + _zone_at(p, work, BESIDE, pressure)
        value = ram_pressure - front_and_exit(p, setup, air, total) - pressure
        if math.fabs(value) <= 1e-10 * most:
            break
        state = step(state, value)
        if state.point == pressure:
            break
    return state.point


@inlined
def _lay_laws(p: Any, setup: Setup, air: AirState, work: Any, first: bool) -> None:
    """Meet every stack's loss in value and slope by a parabola."""
    for zone in range(ZONES):
        if zone_share(p, zone) <= 0.0:
            continue
        for coolers in range(stack_count(p)):
            if p.stack_share[coolers] <= 0.0:
                continue
            # Next to nothing is no place to lay a law: the friction relations end there.
            flow = max(work[FLOW, zone, coolers], 1e-5 * work[FLOW, DRAWN, coolers] + LEAST_AIR)
            lost = stack_drop(p, setup, air, coolers, flow)
            last, at_last = work[_LAST_FLOW, zone, coolers], work[_LAST_LOSS, zone, coolers]
            power = work[_POWER, zone, coolers]
            if not first and math.fabs(flow - last) > 1e-12 * flow:
                power = (lost - at_last) / (flow - last) * (flow + last) / (lost + at_last)
                power = min(max(power, 0.5), 2.0)
            work[_POWER, zone, coolers] = power
            work[_LINEAR, zone, coolers] = (2.0 - power) * lost / flow
            work[_SQUARE, zone, coolers] = (power - 1.0) * lost / (flow * flow)
            work[_LAST_FLOW, zone, coolers], work[_LAST_LOSS, zone, coolers] = flow, lost


@compilable
def search_air(p: Any, setup: Setup, heat: float, ambient: float, work: Any, tolerance: float) -> AirState:
    """Balance the air of every zone and stack, from the flows in the work space and into it.

    Early on the laws are still moving, so the network is looked at no more than twice before they are laid again.
    """
    ram_pressure = ram(p, ambient)
    flow = work[FLOW]
    if is_still(p, setup, ram_pressure):
        _keep_still(p, flow)
        return air_state(p, setup, heat, ambient, flow)
    pressure, slope, precision, beside = -1.0, -1.5, 1e-3, 0.0
    for turn in range(_MOST_ROUNDS):
        air = air_state(p, setup, heat, ambient, flow)
        _lay_laws(p, setup, air, work, turn == 0)
        loss, standing = plenum_loss(p, setup, air, flow), standing_share(p, setup, air, flow)
        if pressure < 0.0:
            pressure = _likely_pressure(p, work)
            if p.fan_count > 0.0:
                slope *= zone_flow(p, flow, DRAWN) / pressure
        state = hunt(pressure, slope, 0.0, math.inf)
        drawn, helped, value, size = 0.0, 0.0, 0.0, 1.0
        for look in range(_MOST_ROUNDS):
            pressure = state.point
            helped = _help(p, setup, air, work, pressure)
            drawn = _zone_at(p, work, DRAWN, pressure) + _zone_at(p, work, PUSHED, pressure + helped)
            beside = _beside_at(p, setup, air, work, ram_pressure, drawn, beside)
            total = drawn + _zone_at(p, work, BESIDE, beside)
            lost = plenum_drop(p, setup, air, drawn, loss)
            rise = pressure + lost + front_and_exit(p, setup, air, total) - ram_pressure
            if p.fan_count < 1.0:
                value, size = -rise, math.fabs(ram_pressure)
            else:
                through = moved(p, setup, air, rise, False, standing) - leaked(p, air, rise, lost)
                value, size = through - drawn, drawn
            if math.fabs(value) <= precision * size:
                break
            state = step(state, value)
            if state.point == pressure or state.high <= 1e-9:
                break
            if look + 1 >= _LOOKS and turn < _EARLY:
                pressure = state.point
                break
        slope = state.slope
        change = _look_ahead(p, work, pressure, pressure + helped, beside)
        _go_ahead(p, work, turn)
        if change <= tolerance and math.fabs(value) <= tolerance * size:
            break
        precision = min(0.01 * change * change + 1e-13, 1e-3)
    return air_state(p, setup, heat, ambient, flow)


@inlined
def _look_ahead(p: Any, work: Any, drawn: float, pushed: float, beside: float) -> float:
    """Note the flows at the pressures found, and say how far the flows are from standing still."""
    change = 0.0
    for zone in range(ZONES):
        if zone_share(p, zone) <= 0.0:
            continue
        pressure = drawn if zone == DRAWN else pushed if zone == PUSHED else beside
        for coolers in range(stack_count(p)):
            if p.stack_share[coolers] > 0.0:
                new = _at_pressure(work[_LINEAR, zone, coolers], work[_SQUARE, zone, coolers], pressure)
                new = new if zone == BESIDE else max(new, LEAST_AIR)
                change = max(change, math.fabs(new - work[FLOW, zone, coolers]) / max(new, LEAST_AIR))
                work[_NEXT, zone, coolers] = new
    return change


@inlined
def _go_ahead(p: Any, work: Any, turn: int) -> None:
    """Set the next flows.

    What two turns left over shows how fast the rest would die away; it is taken in at once (Anderson's mixing of
    depth one, from memory).
    """
    along, turned = 0.0, 0.0
    for zone in range(ZONES):
        for coolers in range(stack_count(p) if zone_share(p, zone) > 0.0 else 0):
            if p.stack_share[coolers] > 0.0:
                size = max(work[_NEXT, zone, coolers], LEAST_AIR)
                left = (work[_NEXT, zone, coolers] - work[FLOW, zone, coolers]) / size
                bend = left - work[_LEFT, zone, coolers]
                along += left * bend
                turned += bend * bend
                work[_LEFT, zone, coolers] = left
    mix = min(max(along / turned, -2.0), 0.5) if turn > 1 and turned > 0.0 else 0.0
    for zone in range(ZONES):
        for coolers in range(stack_count(p) if zone_share(p, zone) > 0.0 else 0):
            if p.stack_share[coolers] > 0.0:
                new = work[_NEXT, zone, coolers]
                mixed = new - mix * (new - work[_BEFORE, zone, coolers])
                work[FLOW, zone, coolers] = mixed if mixed > 0.2 * new else new
                work[_BEFORE, zone, coolers] = new


@compilable
def _keep_still(p: Any, flow: Any) -> None:
    """Let next to nothing through: no fan runs and no road air pushes."""
    for zone in range(ZONES):
        for coolers in range(stack_count(p)):
            flow[zone, coolers] = 0.0 if zone == BESIDE else LEAST_AIR


@compilable
def _likely_pressure(p: Any, work: Any) -> float:
    """Loss of any stack in use, to start from."""
    for coolers in range(stack_count(p)):
        if p.stack_share[coolers] > 0.0 and zone_share(p, DRAWN) > 0.0:
            return float(work[_LAST_LOSS, DRAWN, coolers])
    return 50.0


@compilable
def start_air(p: Any, work: Any, flows: Any) -> None:
    """Set the flows a search starts from: those given, or likely ones in place of what is not a number."""
    for zone in range(ZONES):
        for coolers in range(stack_count(p)):
            given = flows[zone, coolers]
            work[FLOW, zone, coolers] = _LIKELY_AIR if math.isnan(given) else given
            work[_POWER, zone, coolers] = _LIKELY_POWER


@compilable
def scale_air(p: Any, work: Any, share: float) -> None:
    """Start from a share of the flows found last: at another temperature the same volume flows."""
    for zone in range(ZONES):
        for coolers in range(stack_count(p)):
            work[FLOW, zone, coolers] *= share
