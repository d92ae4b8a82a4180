"""What a shop can do about a package that runs hot: each remedy edits the filled job, draw for draw.

Package        a filled job and the priors its draws came from
package_of     a job's first draws as a package
REMEDIES       code -> edit; an edit returns None where it does not apply
retyped        a changed job filled, its untouched numbers on their draws
refitted       a package on other fans
in_a_row       places of fans side by side
shroud_depth   from core to plate, none without a shroud
has_own_volts  whether a case's volts are typed or measured
rating_wanted  of an alternator that carries everything hot at idle
shroud_wanted  depth of an ordinary shroud
brushed_fans   places of the fans with brushes

A number that stays keeps its draws; one that moves to another row of the table of guesses takes the new
row at the rank it had, so that before and after are paired.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from shroudwright.circuit.pump import flow_at_engine_speed
from shroudwright.job.circuits import (
    STANDING,
    alternator_margin,
    circuits_of,
    path_resistance,
    running_amps,
    source_volts,
)
from shroudwright.job.drive import Fan
from shroudwright.job.filled import Filled
from shroudwright.job.heat_load import heat_load
from shroudwright.job.model import Job
from shroudwright.job.outline import REACHES
from shroudwright.job.priors import Prior, priors, words
from shroudwright.job.quantity import Reading, Standing
from shroudwright.job.table import guesses
from shroudwright.job.wiring import other_loads
from shroudwright.pack.params import MAX_FANS
from shroudwright.wiring.alternator import volts_at_source

Numbers = NDArray[np.float64]

SEALED = (0.08, 0.04, 0.12)
"""Share of hot air still coming round a sealed front, standing: common practice, no source, [-]"""
FLAP_SHARE, FLAP_COUNT = 0.14, 6.0
"""Flap openings over the core's face, and how many: common practice, no source, [-]"""
PUMP_SPEED = 1.2
"""Pump speed with a pulley a sixth smaller over before, [-]"""
IDLE_UP = 150.0
"""Idle speed gained: common practice, no source, [rpm]"""
ALTERNATOR_STEEPNESS = 1.4
"""Relative gain of hot output over that of speed near idle, from 16 and 41 A at 1300 and 2500 rpm, [-]"""
LEAN_SHARE, RICH_FROM = 0.30, 0.35
"""Glycol by volume it is drained to, and from where that is worth doing, [-]"""
ROW = 0.0279
"""Depth of one more row of tubes, [m]"""
DEEPEST_CORE = 0.10
SHALLOWEST = 0.0127
"""Least depth a new shroud is made, [m]"""
FULL_VOLTS_WITHIN = 0.1


@dataclass(frozen=True)
class Package:
    """A filled job and the priors its draws came from."""

    filled: Filled
    known: Mapping[str, Prior]


Edit = Callable[[Package], Package | None]


def package_of(filled: Filled, known: Mapping[str, Prior], rows: int) -> Package:
    """Return a job's medians and first draws as a package to edit.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    known : mapping of str to Prior
        Where its draws came from.
    rows : int
        Rows kept, row 0 the medians.

    Returns
    -------
    Package
    """
    return Package(
        replace(filled, drawn={path: values[:rows] for path, values in filled.drawn.items()}, used=set()), known
    )


def _at_rank(prior: Prior, base: Numbers | None, count: int) -> Numbers:
    """Draws of a prior at the ranks of the draws it stands in for; in an order of its own where there are none."""
    if base is None or np.ptp(base[1:]) == 0.0:
        rank = np.random.default_rng(crc32(prior.path.encode())).permutation(count - 1)
    else:
        rank = np.argsort(np.argsort(base[1:], kind="stable"), kind="stable")
    return np.concatenate([[prior.median], prior.quantile((rank + 0.5) / max(count - 1, 1))])


def retyped(package: Package, job: Job) -> Package:
    """Fill a changed job: numbers whose prior is the same keep their draws."""
    known, filled = priors(job), package.filled
    drawn = dict(filled.drawn)
    for path, prior in known.items():
        if package.known.get(path) != prior:
            drawn[path] = _at_rank(prior, filled.drawn.get(path), filled.count)
    chosen = {path: word.value for path, word in words(job).items()}
    return Package(replace(filled, job=job, drawn=drawn, words=chosen), known)


def _drawn(package: Package, changed: Mapping[str, Numbers]) -> Package | None:
    if not changed:
        return None
    filled = package.filled
    return replace(package, filled=replace(filled, drawn={**filled.drawn, **changed}))


def _section(job: Job, name: str, **fields: Any) -> Job:
    return job.model_copy(update={name: getattr(job, name).model_copy(update=fields)})


def _reading(value: float, kind: str, standing: Standing) -> Reading:
    return Reading(f"{value:.4g}", value, standing, None, kind)


def _of_cases(filled: Filled, field: str) -> Iterator[str]:
    """Paths of a field where a case has its own."""
    paths = (f"cases.{index}.{field}" for index in range(len(filled.job.cases)))
    return (path for path in paths if path in filled.drawn)


def _standing_cases(filled: Filled) -> list[int]:
    return [index for index, case in enumerate(filled.job.cases) if case.kind in STANDING]


def _has_shroud(filled: Filled) -> bool:
    return bool(filled.job.fans) and filled.word("shroud.type") != "none"


def _room(filled: Filled, fan_depth: float | None = None) -> float | None:
    """Depth left between core and pullers, those fitted or others; None where nobody measured it, [m]."""
    spots = [spot.depth.value for spot in filled.job.space.depth_map if spot.depth]
    if not spots:
        return None
    pullers = [i for i in range(len(filled.job.fans)) if filled.word(f"fans.{i}.direction") == "puller"]
    deep = max((fan_depth or float(filled[f"fans.{i}.overall_depth"][0]) for i in pullers), default=0.0)
    return min(spots) - deep - float(filled["space.engine_rock"][0])


def shroud_depth(filled: Filled) -> float:
    """Return the depth from core to plate, nothing without a shroud, [m]."""
    return float(filled["shroud.depth"][0]) if _has_shroud(filled) else 0.0


def shroud_wanted() -> float:
    """Return the depth of an ordinary shroud, from the table of guesses, [m]."""
    return guesses()["shroud.depth"][-1].median


def _seal(package: Package) -> Package | None:
    filled = package.filled
    changed: dict[str, Numbers] = {}
    median, low, high = SEALED
    for path in ("opening.recirculation", *_of_cases(filled, "recirculation")):
        base = filled[path]
        if base[0] > median:
            sealed = Prior(path, "share", median, low, high, "normal", "guess", "", "practice", "")
            changed[path] = np.minimum(base, _at_rank(sealed, base, filled.count))
    if _has_shroud(filled):
        gaps = {"shroud.gaps": "shroud.gaps"}
    else:
        gaps = {f"fans.{i}.ring_gap": "fans.ring_gap" for i in range(len(filled.job.fans))}
    for path, field in gaps.items():
        tight = guesses()[field][-1].low
        if filled[path][0] > tight:
            changed[path] = np.minimum(filled[path], tight)
    return _drawn(package, changed)


def _full_shroud(package: Package) -> Package | None:
    filled = package.filled
    if not filled.job.fans or filled.word("shroud.type") == "full":
        return None
    room, depth = _room(filled), max(shroud_wanted(), shroud_depth(filled))
    if room is not None:
        depth = min(depth, max(room, SHALLOWEST))
    return retyped(
        package,
        _section(
            filled.job.model_copy(update={"shroud_boxes": (), "gaps": ()}),
            "shroud",
            type="full",
            covered_share=None,
            depth=_reading(depth, "length", "measured"),
            gaps=None,
            **dict.fromkeys(REACHES),
            outline=(),
            notches=(),
            divider=None,
            depth_top=None,
        ),
    )


def _deeper(package: Package) -> Package | None:
    filled, wanted, room = package.filled, shroud_wanted(), _room(package.filled)
    if not _is_shallow(filled) or (room is not None and room < wanted):
        return None
    return _drawn(package, {"shroud.depth": np.maximum(filled["shroud.depth"], wanted)})


def _make_room(package: Package) -> Package | None:
    filled, wanted, room = package.filled, shroud_wanted(), _room(package.filled)
    if not _is_shallow(filled) or room is None or room >= wanted:
        return None
    spots = tuple(
        spot.model_copy(update={"depth": _reading(spot.depth.value + wanted - room, "length", "measured")})
        if spot.depth
        else spot
        for spot in filled.job.space.depth_map
    )
    moved = replace(package, filled=replace(filled, job=_section(filled.job, "space", depth_map=spots)))
    return _drawn(moved, {"shroud.depth": np.maximum(filled["shroud.depth"], wanted)})


def _is_shallow(filled: Filled) -> bool:
    return _has_shroud(filled) and bool(filled["shroud.depth"][0] <= 0.9 * shroud_wanted())


def _flaps(package: Package) -> Package | None:
    filled = package.filled
    if not _has_shroud(filled) or filled["shroud.flaps"][0] > 0.0:
        return None
    area = FLAP_SHARE * filled["core.width"] * filled["core.height"]
    return _drawn(package, {"shroud.flaps": area, "shroud.flap_count": np.full(filled.count, FLAP_COUNT)})


def _stronger_fan(package: Package) -> Package | None:
    filled = package.filled
    weak, room = brushed_fans(filled), _room(filled, guesses()["fans.overall_depth"][-1].median)
    if not weak or (room is not None and room < shroud_depth(filled)):
        return None
    unknown = dict.fromkeys(
        ("run_amps", "start_amps", "free_flow", "shutoff_pressure", "curve_standing", "air_density", "test_volts")
    )
    changed = {**unknown, "kind": "brushless", "curve": (), "overall_depth": None, "price": None}
    fans = tuple(fan.model_copy(update=changed) if i in weak else fan for i, fan in enumerate(filled.job.fans))
    return _with_volts(filled, retyped(package, filled.job.model_copy(update={"fans": fans})))


def brushed_fans(filled: Filled) -> list[int]:
    """Places of the fans with brushes."""
    return [i for i in range(len(filled.job.fans)) if filled.word(f"fans.{i}.kind") == "brushed"]


def _second_fan(package: Package) -> Package | None:
    filled = package.filled
    fans = filled.job.fans
    if not 0 < len(fans) < MAX_FANS:
        return None
    sizes = [float(filled[f"fans.{i}.frame_size"][0]) for i in range(len(fans))]
    places = in_a_row(filled, [(size, size) for size in (*sizes, sizes[-1])])
    if places is None:
        return None
    return refitted(package, (*fans, fans[-1].model_copy(update={"code": f"{fans[-1].code} again"})), places)


def in_a_row(filled: Filled, frames: Sequence[tuple[float, float]]) -> list[tuple[float, float]] | None:
    """Return the centres of frames in a row along the core's longer side.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    frames : sequence of (float, float)
        Size of each along the row and across it, [m]

    Returns
    -------
    list of (float, float) or None
        x and y from the core's lower left corner, [m]; None where they do not fit.
    """
    width, height = float(filled["core.width"][0]), float(filled["core.height"][0])
    long, short = max(width, height), min(width, height)
    slack = (long - sum(along for along, _ in frames)) / len(frames)
    if slack < 0.0 or max(across for _, across in frames) > short:
        return None
    centres, reached = [], 0.0
    for along, _ in frames:
        centres.append(reached + 0.5 * (along + slack))
        reached += along + slack
    return [(at, 0.5 * height) if width >= height else (0.5 * width, at) for at in centres]


def refitted(package: Package, fans: Sequence[Fan], places: Sequence[tuple[float, float]]) -> Package:
    """Put other fans into a package.

    Parameters
    ----------
    package : Package
    fans : sequence of Fan
        All there will be; those of new codes run wherever some fan did.
    places : sequence of (float, float)
        Their centres, used where the fans there now have places, [m]

    Returns
    -------
    Package
        With volts, typed or not, moved as the alternator's share of them is.
    """
    filled, before = package.filled, package.filled.job.fans
    if before[0].x is not None:
        fans = [_at(fan, *place) for fan, place in zip(fans, places, strict=True)]
    codes, old = [fan.code for fan in fans], {fan.code for fan in before}
    cases = tuple(
        case.model_copy(update={"fans_on": tuple(code for code in codes if code in case.fans_on or code not in old)})
        if case.fans_on
        else case
        for case in filled.job.cases
    )
    job = filled.job.model_copy(update={"fans": tuple(fans), "cases": cases})
    return _with_volts(filled, retyped(package, job))


def _at(fan: Fan, x: float, y: float) -> Fan:
    return fan.model_copy(update={"x": _reading(x, "length", "measured"), "y": _reading(y, "length", "measured")})


def _duct(package: Package) -> Package | None:
    filled = package.filled
    if filled.word("opening.type") in ("ducted", "side", "rear"):
        return None
    ducted = retyped(package, _section(filled.job, "opening", type="ducted", pressure_share=None, recirculation=None))
    changed: dict[str, Numbers] = {}
    for field, own, better in (
        ("pressure_share", "inlet_pressure_share", np.maximum),
        ("recirculation", "recirculation", np.minimum),
    ):
        reached = ducted.filled[f"opening.{field}"]
        for path in (f"opening.{field}", *_of_cases(filled, own)):
            changed[path] = better(filled[path], reached)
    return _drawn(ducted, changed)


def _move_condenser(package: Package) -> Package | None:
    filled = package.filled
    coolers = range(len(filled.job.ahead))
    condensers = [i for i in coolers if filled.word(f"ahead.{i}.kind") == "condenser"]
    if not condensers:
        return None
    none = np.zeros(filled.count)
    changed = {f"ahead.{i}.{field}": none for i in condensers for field in ("heat", "width", "height")}
    for path in _of_cases(filled, "ahead_heat"):
        heats = heat_load(filled, int(path.split(".")[1])).ahead
        changed[path] = sum((heats[i] for i in coolers if i not in condensers), none)
    return _drawn(package, changed)


def _thicker_core(package: Package) -> Package | None:
    filled = package.filled
    core, depth, room = filled.job.core, float(filled["core.depth"][0]), _room(filled)
    if depth + ROW > DEEPEST_CORE or (room is not None and room < shroud_depth(filled) + ROW):
        return None
    rows = None if core.rows is None else _reading(core.rows.value + 1.0, core.rows.kind, core.rows.standing)
    return retyped(package, _section(filled.job, "core", depth=_reading(depth + ROW, "length", "measured"), rows=rows))


def _clean(package: Package) -> Package | None:
    if package.filled["core.blocked_share"][0] < 0.005:
        return None
    return _drawn(package, {"core.blocked_share": np.zeros(package.filled.count)})


def _water(package: Package) -> Package | None:
    filled = package.filled
    share = filled["coolant.glycol_share"]
    if filled.word("coolant.kind") == "water" or share[0] < RICH_FROM:
        return None
    return _drawn(package, {"coolant.glycol_share": np.maximum(share - share[0] + LEAN_SHARE, 0.0)})


def _pump(package: Package) -> Package | None:
    filled = package.filled
    if filled.job.plumbing.pump == "electric":
        return None
    changed = {
        "circuit.pump_flow": PUMP_SPEED * filled["circuit.pump_flow"],
        "circuit.pump_shutoff_pressure": PUMP_SPEED**2 * filled["circuit.pump_shutoff_pressure"],
    }
    changed |= {path: PUMP_SPEED * filled[path] for path in _of_cases(filled, "coolant_flow")}
    return _drawn(package, changed)


def _wire(package: Package) -> Package | None:
    filled = package.filled
    if not filled.job.fans:
        return None
    best = guesses()["electrical.path_resistance"][-1].low
    now = np.min([path_resistance(filled, circuit) for circuit in circuits_of(filled)], axis=0)
    if now[0] <= best:
        return None
    typed = _section(filled.job, "electrical", path_resistance=_reading(best, "resistance", "catalogue"))
    mended = retyped(package, typed)
    return _drawn(mended, {"electrical.path_resistance": np.minimum(now, mended.filled["electrical.path_resistance"])})


def _idle_up(package: Package) -> Package | None:
    filled = package.filled
    standing = _standing_cases(filled)
    if not standing:
        return None
    changed: dict[str, Numbers] = {}
    for index in standing:
        at = f"cases.{index}."
        rpm = filled[at + "engine_rpm"]
        changed[at + "engine_rpm"] = rpm + IDLE_UP
        if at + "coolant_flow" in filled.drawn and filled.job.plumbing.pump != "electric":
            changed[at + "coolant_flow"] = (
                filled[at + "coolant_flow"] * flow_at_engine_speed(1.0, rpm + IDLE_UP) / flow_at_engine_speed(1.0, rpm)
            )
    idle = filled["engine.idle_rpm"]
    changed["engine.idle_rpm"] = idle + IDLE_UP
    output = filled["electrical.alternator_hot_idle"]
    changed["electrical.alternator_hot_idle"] = output * (1.0 + ALTERNATOR_STEEPNESS * IDLE_UP / idle)
    raised = _drawn(package, changed)
    assert raised is not None
    return _with_volts(filled, _drawn(raised, _heat_of_idle_up(filled, raised.filled)) or raised)


def _heat_of_idle_up(before: Filled, after: Filled) -> dict[str, Numbers]:
    """Typed heat goes up as the worked-out heat does."""
    changed = {}
    for index in _standing_cases(before):
        path = f"cases.{index}.coolant_heat"
        if path in before.drawn:
            was, now = (
                heat_load(replace(filled, drawn={p: v for p, v in filled.drawn.items() if p != path}), index).radiator
                for filled in (before, after)
            )
            changed[path] = before[path] * now / was
    return changed


def _with_volts(before: Filled, after: Package) -> Package:
    """Volts that were typed or measured move as the alternator's share of them does."""
    filled, full = after.filled, before["electrical.source_volts"]
    was, now = circuits_of(before), circuits_of(filled)
    changed = {}
    for index in _standing_cases(before):
        path = f"cases.{index}.volts"
        margins = [
            alternator_margin(job, index, running_amps(job, index, wires))
            for job, wires in ((before, was), (filled, now))
        ]
        if has_own_volts(before, index) and margins[0] is not None and margins[1] is not None:
            gained = volts_at_source(margins[1], full) - volts_at_source(margins[0], full)
            changed[path] = source_volts(before, index, running_amps(before, index, was)) + gained
    return _drawn(after, changed) or after


def has_own_volts(filled: Filled, index: int) -> bool:
    """Return whether a case's volts are typed or measured, so that they already hold the alternator's share."""
    typed = filled.job.electrical.source_volts
    return f"cases.{index}.volts" in filled.drawn or (typed is not None and typed.standing == "measured")


def _alternator(package: Package) -> Package | None:
    filled = package.filled
    circuits = circuits_of(filled)
    row = guesses()["electrical.source_volts"][-1]
    full = Prior("", row.kind, row.median, row.low, row.high, row.shape, "guess", "", "", "")
    changed = {}
    for index in _standing_cases(filled) if circuits else ():
        volts = source_volts(filled, index, running_amps(filled, index, circuits))
        if volts[0] < full.median - FULL_VOLTS_WITHIN:
            changed[f"cases.{index}.volts"] = np.maximum(volts, _at_rank(full, volts, filled.count))
    return _drawn(package, changed)


def rating_wanted(filled: Filled) -> float:
    """Rating of an alternator that carries everything hot at idle, to the next ten amps.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    rating : float
        By the share of it the table gives for hot idle, [A]
    """
    asked = float(other_loads(filled)[0]) + sum(item.working_amps for item in circuits_of(filled))
    return 10.0 * float(np.ceil(asked / guesses()["electrical.alternator_hot_idle"][-1].median / 10.0))


REMEDIES: dict[str, Edit] = {
    "second fan": _second_fan,
    "full shroud": _full_shroud,
    "thicker core": _thicker_core,
    "duct": _duct,
    "deeper plenum": _deeper,
    "make room": _make_room,
    "stronger fan": _stronger_fan,
    "wire": _wire,
    "seal": _seal,
    "flaps": _flaps,
    "condenser": _move_condenser,
    "clean": _clean,
    "water": _water,
    "pump": _pump,
    "idle-up": _idle_up,
    "alternator": _alternator,
}
"""Every remedy by its code in `catalogue/fixes.csv`, in the order they are put together: metal first, what counts
the amps last."""
