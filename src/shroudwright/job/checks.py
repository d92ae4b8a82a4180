"""What no single field can show: numbers that cannot all be true at once, and names used twice.

cross_faults    every such fault in a job, each with its place
fan_faults      those of one fan
"""

import math
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

from shroudwright.bench.errors import InputError
from shroudwright.job.drive import TEST_BEND, BeltFan, Case, Fan
from shroudwright.job.model import MOST_FANS, Job, has_belt_fan
from shroudwright.job.outline import outline_faults
from shroudwright.job.quantity import Reading
from shroudwright.job.vents import hole_faults
from shroudwright.wiring.schemes import Needs, harness
from shroudwright.wiring.wire import gauges

Fault = tuple[str, str]

_ROUNDING = 1.0 + 1e-9
_SIZES = {
    "pass-through": ("diameter",),
    "mount": ("diameter",),
    "grommet": ("diameter",),
    "lightening": ("diameter", "width", "height"),
    "slot": ("width", "height"),
}

MINIMUM = {
    "engine.displacement": "the engine's size",
    "engine.rated_power": "its most power, from a dyno sheet or the maker",
    "core.width": "tape the fins left to right, tanks left off",
    "core.height": "tape the fins up and down, tanks left off",
    "core.depth": "tape the fins front to back",
}


def cross_faults(job: Job) -> list[Fault]:
    """Return the faults between fields.

    Parameters
    ----------
    job : Job
        Whose fields are each possible.

    Returns
    -------
    list of (str, str)
        Place and what is wrong there.
    """
    checks = (
        _minimum,
        _engine,
        _core,
        _circuit,
        _names,
        _fans,
        _coolers,
        _space,
        _shroud,
        hole_faults,
        _holes,
        _test_bend,
        _belt_fan,
        _electrical,
        _control,
        _cases,
    )
    return [fault for check in checks for fault in check(job)]


def _v(reading: Reading | None) -> float:
    """Value of a reading; what nobody typed is not a number, so no comparison with it holds."""
    return math.nan if reading is None else reading.value


def _t(reading: Reading | None) -> str:
    """A reading as typed."""
    return "" if reading is None else reading.typed


def _minimum(job: Job) -> Iterator[Fault]:
    for place, how in MINIMUM.items():
        section, field = place.split(".")
        if getattr(getattr(job, section), field) is None:
            yield place, f"missing, and nothing can be worked out without it: {how}"


def _engine(job: Job) -> Iterator[Fault]:
    engine = job.engine
    if _v(engine.idle_rpm) >= _v(engine.rated_rpm):
        yield "engine.idle_rpm", f"{_t(engine.idle_rpm)} is not below rated_rpm {_t(engine.rated_rpm)}"
    if engine.charger == "none" and _v(engine.boost_pressure) > 0.0:
        yield "engine.charger", f"'none' with a boost of {_t(engine.boost_pressure)}; name the charger"


def _core(job: Job) -> Iterator[Fault]:
    core = job.core
    for part, whole in (("tube_thickness", "tube_width"), ("tube_width", "depth")):
        small, large = getattr(core, part), getattr(core, whole)
        if _v(small) > _v(large) * _ROUNDING:
            yield f"core.{part}", f"{_t(small)} is more than {whole} {_t(large)}"
    if 2.0 * _v(core.tube_wall) >= _v(core.tube_thickness):
        bore = f"two walls of {_t(core.tube_wall)} leave no bore in {_t(core.tube_thickness)}"
        yield "core.tube_wall", bore
    if _v(core.rows) > 1.0 and _v(core.rows) * _v(core.tube_width) > _v(core.depth) * _ROUNDING:
        fit = f"{_t(core.rows)} rows of {_t(core.tube_width)} tubes do not fit in depth {_t(core.depth)}"
        yield "core.rows", fit
    if _v(core.tube_pitch) <= _v(core.tube_thickness):
        yield "core.tube_pitch", f"{_t(core.tube_pitch)} leaves no fin beside a tube of {_t(core.tube_thickness)}"
    sides = _v(core.width), _v(core.height)
    for name in ("diagonal_rising", "diagonal_falling"):
        cross = getattr(core, name)
        if _v(cross) <= max(sides) or _v(cross) >= sum(sides):
            yield (
                f"core.{name}",
                f"{_t(cross)} is no diagonal of fins {_t(core.width)} by {_t(core.height)}; "
                f"square they have {math.hypot(*sides) / 0.0254:.2f} in ({1e3 * math.hypot(*sides):.0f} mm)",
            )
    for way in ("width", "height", "depth"):
        outside, inside = getattr(core, f"outside_{way}"), getattr(core, way)
        if _v(outside) * _ROUNDING < _v(inside):
            yield f"core.outside_{way}", f"{_t(outside)} over all is less than the fins' {way} {_t(inside)}"


def _circuit(job: Job) -> Iterator[Fault]:
    coolant = job.coolant
    if coolant.kind == "water" and _v(coolant.glycol_share) > 0.0:
        yield "coolant.glycol_share", f"{_t(coolant.glycol_share)} in a system of plain water"
    ways = {hose.way for hose in job.hoses}
    if {"engine to core", "core to engine"} <= ways:
        for name in ("hose_bore", "hose_length", "extra_loss"):
            if getattr(job.circuit, name) is not None:
                yield f"circuit.{name}", "the list of hoses says it already; leave this one out"
    plumbing = job.plumbing
    if plumbing.tank not in (None, "surge tank") and (asks := {"tank to pump", "core vent"} & ways):
        yield "plumbing.tank", f"{plumbing.tank!r}, but a hose is listed as {' and '.join(sorted(asks))}: surge tank?"
    if plumbing.pump == "electric":
        for name in ("electric_flow", "electric_pressure"):
            if getattr(plumbing, name) is None:
                yield (
                    f"plumbing.{name}",
                    "missing: an electric pump is known by its flow and its pressure, off its sheet",
                )
    elif plumbing.electric_flow or plumbing.electric_pressure:
        yield "plumbing.pump", "type pump = 'electric' with an electric pump's numbers"


def _names(job: Job) -> Iterator[Fault]:
    for part, field in (
        ("fans", "code"),
        ("ahead", "code"),
        ("shroud_boxes", "code"),
        ("flaps", "code"),
        ("hoses", "code"),
        ("cases", "name"),
    ):
        names = [getattr(item, field) for item in getattr(job, part)]
        for name, times in Counter(names).items():
            if times > 1:
                place = f"{part}.{len(names) - 1 - names[::-1].index(name)}.{field}"
                yield place, f"{name!r} is used {times} times; give each its own"


def _fans(job: Job) -> Iterator[Fault]:
    for index, fan in enumerate(job.fans):
        for field, fault in fan_faults(fan):
            yield f"fans.{index}.{field}", fault


def fan_faults(fan: Fan) -> Iterator[Fault]:
    """Yield what cannot all be true of one fan: the field, and what is wrong."""
    if _v(fan.hub) >= _v(fan.blade):
        yield "hub", f"{_t(fan.hub)} is not smaller than blade {_t(fan.blade)}"
    if _v(fan.frame_size) < _v(fan.blade):
        yield "frame_size", f"{_t(fan.frame_size)} is smaller than blade {_t(fan.blade)}"
    if _v(fan.start_amps) < _v(fan.run_amps):
        yield "start_amps", f"{_t(fan.start_amps)} is less than run_amps {_t(fan.run_amps)}"
    if _v(fan.depth_ahead) > _v(fan.overall_depth):
        yield "depth_ahead", f"{_t(fan.depth_ahead)} is more than overall_depth {_t(fan.overall_depth)}"
    if _v(fan.frame_corner) > 0.5 * _v(fan.frame_size):
        yield "frame_corner", f"{_t(fan.frame_corner)} is more than half of frame_size {_t(fan.frame_size)}"
    if fan.mounts is not None and not fan.holes and None in (fan.mount_circle, fan.mount_hole):
        yield "mounts", "type mount_circle and mount_hole with it"
    if fan.curve:
        yield from _curve(fan)


def _coolers(job: Job) -> Iterator[Fault]:
    for index, cooler in enumerate(job.ahead):
        if cooler.condensing_temperature is not None and cooler.kind not in (None, "condenser"):
            yield (
                f"ahead.{index}.condensing_temperature",
                f"{_t(cooler.condensing_temperature)} on a {cooler.kind}; only a condenser is held at one temperature",
            )


def _space(job: Job) -> Iterator[Fault]:
    needs = (("keep_outs", ("x", "y", "width", "height")), ("necks", ("x", "y", "diameter")))
    for field, names in needs:
        for number, row in enumerate(getattr(job.space, field), start=1):
            if missing := [name for name in names if getattr(row, name) is None]:
                yield f"space.{field}", f"row {number} does not say its {', '.join(missing)}"


def _shroud(job: Job) -> Iterator[Fault]:
    if job.core.width is not None and job.core.height is not None:
        for field, fault in outline_faults(job.shroud, job.core.width.value, job.core.height.value):
            yield f"shroud.{field}", fault


def _holes(job: Job) -> Iterator[Fault]:
    for index, hole in enumerate(job.holes):
        needs = ["purpose", "x", "y", *_SIZES.get(hole.purpose or "", ())]
        if hole.purpose == "keyhole":
            needs = ["fan", "diameter", "width", "turn"]
            codes = [fan.code for fan in job.fans]
            if hole.fan is not None and hole.fan not in codes:
                yield f"holes.{index}.fan", f"there is no fan {hole.fan!r}; the fans are {', '.join(codes) or 'none'}"
        for name in ("corner", "lip"):
            if getattr(hole, name) is not None and hole.purpose != "access":
                yield f"holes.{index}.{name}", "only an access opening takes one; leave it out"
        if hole.purpose == "access" and hole.diameter is None:
            needs += ["width", "height"]
        if missing := [name for name in needs if getattr(hole, name) is None]:
            yield f"holes.{index}", f"does not say its {', '.join(missing)}"


def _test_bend(job: Job) -> Iterator[Fault]:
    shop = job.shop
    missing = [name for name in TEST_BEND if getattr(shop, name) is None]
    if missing and len(missing) < len(TEST_BEND):
        yield f"shop.{missing[0]}", f"missing; a test bend needs {', '.join(TEST_BEND)}"
    elif not missing and shop.k_factor is not None:
        yield "shop.k_factor", f"{_t(shop.k_factor)} typed beside a test bend, which says it too; leave one of them out"
    elif _v(shop.test_legs) >= _v(shop.test_strip):
        yield "shop.test_legs", f"{_t(shop.test_legs)} leaves nothing of the strip's {_t(shop.test_strip)} for the bend"


def _belt_fan(job: Job) -> Iterator[Fault]:
    fan = job.belt_fan
    if not has_belt_fan(job):
        if any(value is not None and value != () for _, value in fan):
            yield "belt_fan.blade", "missing; tape across the blades tip to tip, or leave [belt_fan] out"
    else:
        if _v(fan.hub) >= _v(fan.blade):
            yield "belt_fan.hub", f"{_t(fan.hub)} is not smaller than blade {_t(fan.blade)}"
        if len(job.fans) == MOST_FANS:
            yield "belt_fan", f"with {MOST_FANS} electric fans as well; {MOST_FANS} fans at most, the belt's included"
        if fan.curve:
            yield from ((f"belt_fan.{field}", fault) for field, fault in _curve(fan))


def _curve(fan: Fan | BeltFan) -> Iterator[Fault]:
    points = sorted((flow.value, pressure.value) for flow, pressure in fan.curve)
    if len(points) < 2:
        yield "curve", "one point is no curve; give at least two"
    elif len({flow for flow, _ in points}) < len(points):
        yield "curve", "two points have the same flow"
    elif points[0][0] < 0.0 or min(pressure for _, pressure in points) < 0.0:
        yield "curve", "flow and pressure cannot be negative"
    elif not points[-1][1] < points[0][1]:
        yield "curve", "pressure does not fall from the least flow to the most; were the columns swapped?"


def _electrical(job: Job) -> Iterator[Fault]:
    rating, idle = job.electrical.alternator_rating, job.electrical.alternator_hot_idle
    if _v(idle) > _v(rating):
        yield "electrical.alternator_hot_idle", f"{_t(idle)} is more than alternator_rating {_t(rating)}"

    for field in ("gauge", "ground_gauge", "connector_gauge", "charge_gauge"):
        typed = getattr(job.electrical, field)
        made = gauges("AWG" if field == "charge_gauge" or job.electrical.wire_standard == "AWG" else "SAE")
        if typed is not None and typed.value not in made:
            kept = ", ".join(f"{each:g}" for each in made)
            yield f"electrical.{field}", f"{typed.typed} is not a gauge kept; there are {kept}"
    if job.electrical.alternator_curve:
        yield from _alternator_curve(job)


def _alternator_curve(job: Job) -> Iterator[Fault]:
    points = sorted((spin.value, amps.value) for spin, amps in job.electrical.alternator_curve)
    spins = [spin for spin, _ in points]
    if len(points) < 2 or len(set(spins)) < len(spins):
        yield "electrical.alternator_curve", "needs two speeds or more, each once"
    elif not all(0.0 <= amps <= 600.0 and 300.0 <= spin <= 25000.0 for spin, amps in points):
        yield "electrical.alternator_curve", "speeds are the alternator's own, 300 to 25000 rpm, and amps 0 to 600"
    elif any(later < before for (_, before), (_, later) in pairwise(points)):
        yield "electrical.alternator_curve", "amps fall as it turns faster; were the columns swapped?"


def _control(job: Job) -> Iterator[Fault]:
    control = job.control
    scheme = control.scheme
    if scheme is not None and job.fans:
        try:
            runs_on = _v(control.after_run) > 0.0
            harness(scheme, Needs(tuple(fan.code for fan in job.fans), (1,) * len(job.fans), is_after_run=runs_on))
        except InputError as error:
            for fault in error.faults:
                yield "control.scheme", fault.partition(": ")[2]
    low, high = control.lowest_frequency, control.highest_frequency
    if _v(low) > _v(high):
        yield "control.lowest_frequency", f"{_t(low)} is more than highest_frequency {_t(high)}"
    for place, on, off in (
        ("fan_off", control.fan_on, control.fan_off),
        ("second_off", control.second_on, control.second_off),
    ):
        if _v(off) >= _v(on):
            yield f"control.{place}", f"{_t(off)} is not below {_t(on)}, where that fan starts"
    start, full, slope = control.percent_start, control.percent_full, control.slope
    if _v(start) >= _v(full):
        yield "control.percent_full", f"{_t(full)} is not above percent_start {_t(start)}"
    elif start and full and slope and not math.isclose(full.value - start.value, slope.value, abs_tol=0.3):
        yield "control.slope", f"{_t(slope)} is not what lies from percent_start to percent_full; leave one out"
    codes = [fan.code for fan in job.fans]
    for code in control.first_stage or ():
        if code not in codes:
            yield "control.first_stage", f"there is no fan {code!r}; the fans are {', '.join(codes) or 'none'}"
    if control.first_stage == ():
        yield "control.first_stage", "names no fan; leave it out for the first fan alone"


def _cases(job: Job) -> Iterator[Fault]:
    for index, case in enumerate(job.cases):
        for field, fault in _case(case, job.fans):
            yield f"cases.{index}.{field}", fault


def _case(case: Case, fans: tuple[Fan, ...]) -> Iterator[Fault]:
    codes = [fan.code for fan in fans]
    for code in case.fans_on or ():
        if code not in codes:
            listed = ", ".join(codes) or "none"
            yield "fans_on", f"there is no fan {code!r}; the fans are {listed}"
    for code in case.fans_low or ():
        fan = next((fan for fan in fans if fan.code == code), None)
        if fan is None:
            yield "fans_low", f"there is no fan {code!r}; the fans are {', '.join(codes) or 'none'}"
        elif fan.low_speed is None:
            yield "fans_low", f"fan {code} has no low_speed; give its low speed over its full speed"
    if case.kind == "idle" and case.speed is not None and not math.isclose(case.speed.value, 0.0, abs_tol=1e-9):
        yield "speed", f"{case.speed.typed} while idling; call it a crawl, or leave speed out"
