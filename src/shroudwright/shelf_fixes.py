"""Fixes that fit fans off the shop's own shelf: which of its fans help most, and the edit that fits them.

Offer           fans of a shelf for one fix
offers_of       package, shelf, driving case -> offers by the code of their fix
remedies_with   remedies with those that fit fans taken off a shelf

A quick look at the middle of every guess, every fan full on and a belt fan left out, finds them; what they are
worth is then found as for every other fix.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any, NamedTuple

import numpy as np

from shroudwright.airflow.behind import share_crossed
from shroudwright.fan_sets import Batch, Known, Members, columns_of, flows_of, full_on, known_of, turned
from shroudwright.job.circuits import alternator_margin, circuits_of, running_amps
from shroudwright.job.drive import BeltFan, Fan
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import glycol_of
from shroudwright.job.model import MOST_FANS, has_belt_fan
from shroudwright.job.shelf import ShelfFan
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.kernel import solve_batch
from shroudwright.remedies import Edit, Package, has_own_volts, in_a_row, refitted, shroud_depth
from shroudwright.wiring.alternator import volts_at_source

INSTEAD, BESIDE = "stronger fan", "second fan"
_ROUNDING = 1e-9

Places = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Offer:
    """Fans of a shelf for one fix."""

    fans: tuple[Fan, ...]
    """to be bought"""
    name: str
    depth: float
    """of one, [m]"""
    amps: float
    """of all at 14.4 V, [A]"""
    edit: Edit


class _Body(NamedTuple):
    """What of a fan stands behind the core's back face, beyond the shroud, [m]."""

    x: float
    y: float
    motor: float
    depth: float


class _Set(NamedTuple):
    """Fans by their place on the shelf, the job's own first on it, and where they stand."""

    members: Members
    places: Places


def offers_of(package: Package, shelf: Sequence[ShelfFan], index: int) -> dict[str, Offer]:
    """Find the fans of a shelf that fit a job and help it most.

    Parameters
    ----------
    package : Package
        The job as it is.
    shelf : sequence of ShelfFan
        The shop's own.
    index : int
        The driving case they are to help.

    Returns
    -------
    dict of str to Offer
        Under ``stronger fan`` one to four alike in place of every electric fan, under ``second fan`` one more
        beside those there are; nothing where none fits.
    """
    filled = package.filled
    job, own = filled.job, len(filled.job.fans)
    if not own:
        return {}
    hands = {filled.word(f"fans.{i}.direction") for i in range(own)}
    wanted = "puller" if "puller" in hands else "pusher"
    items = [*(ShelfFan(fan, False, None, 1, None, "") for fan in job.fans), *(turned(item, wanted) for item in shelf)]
    running = job.model_copy(update={"cases": tuple(map(full_on, job.cases)), "belt_fan": BeltFan()})
    known = known_of(running, items, 1)
    right = [i for i in range(own, len(items)) if known.choices[i]["direction"] == wanted]
    most = MOST_FANS - has_belt_fan(job)
    instead = [(i,) * n for i in right for n in range(items[i].fans_in_frame, most + 1, items[i].fans_in_frame)]
    beside = [(*range(own), i) for i in right if own < most and items[i].fans_in_frame == 1]
    offers = {}
    for code, tried in ((INSTEAD, instead), (BESIDE, beside)):
        placed = [(members, _places(filled, known, items, members)) for members in tried]
        sets = [
            _Set(members, places)
            for members, places in placed
            if places and _stand_clear(filled, _bodies(known, members, places))
        ]
        if sets:
            offers[code] = _offer(known, sets[_best(filled, known, sets, index)], own)
    return offers


def _frame(known: Known, items: Sequence[ShelfFan], fan: int, short: float) -> tuple[float, float]:
    """Size of a fan's frame, or its part of one, along a row and across it; turned where that makes a shorter row."""
    long, across = known.median(fan, "frame_size"), items[fan].frame_short
    if items[fan].fans_in_frame == 1 and across and long <= short:
        return across, long
    return long / items[fan].fans_in_frame, across or long


def _places(filled: Filled, known: Known, items: Sequence[ShelfFan], members: Members) -> Places | None:
    """Where the old fans stand, if as many frames clear each other there; else in a row, if that fits."""
    width, height = float(filled["core.width"][0]), float(filled["core.height"][0])
    frames = [_frame(known, items, fan, min(width, height)) for fan in members]
    old = [(fan.x.value, fan.y.value) for fan in filled.job.fans if fan.x and fan.y]
    if len(old) == len(frames):
        sizes = frames if width >= height else [frame[::-1] for frame in frames]
        boxes = [(*place, *size) for place, size in zip(old, sizes, strict=True)]
        on_the_face = all(
            abs(x - 0.5 * width) <= 0.5 * (width - w) + _ROUNDING
            and abs(y - 0.5 * height) <= 0.5 * (height - h) + _ROUNDING
            for x, y, w, h in boxes
        )
        apart = all(
            abs(a[0] - b[0]) >= 0.5 * (a[2] + b[2]) - _ROUNDING or abs(a[1] - b[1]) >= 0.5 * (a[3] + b[3]) - _ROUNDING
            for a, b in combinations(boxes, 2)
        )
        if on_the_face and apart:
            return old
    return in_a_row(filled, frames)


def _bodies(known: Known, members: Members, places: Places) -> list[_Body]:
    """Pullers; a pusher stands ahead of the core."""
    return [
        _Body(x, y, known.median(fan, "hub"), known.median(fan, "overall_depth"))
        for fan, (x, y) in zip(members, places, strict=True)
        if known.choices[fan]["direction"] == "puller"
    ]


def _stand_clear(filled: Filled, bodies: Sequence[_Body]) -> bool:
    """Whether motors keep off every spot too shallow for shroud, fan and engine rock."""
    ahead = shroud_depth(filled) + float(filled["space.engine_rock"][0])
    for spot in filled.job.space.depth_map:
        for body in bodies:
            if spot.depth is None or spot.depth.value >= ahead + body.depth - _ROUNDING:
                continue
            if spot.x is None or spot.y is None:
                return False
            apart = math.hypot(spot.x.value - body.x, spot.y.value - body.y)
            if apart < 0.5 * (body.motor + (spot.size.value if spot.size else 0.0)) - _ROUNDING:
                return False
    return True


def _best(filled: Filled, known: Known, sets: Sequence[_Set], index: int) -> int:
    """Return which set leaves the coolant coolest, or a pull longest; where there is no steady state, the most air."""
    members = [each.members for each in sets]
    fans = list(dict.fromkeys(fan for set_ in members for fan in set_))
    batch = Batch(known, members, columns_of(known, fans, drawn=False), flows_of(known, members, {}), [0])
    p: Any = batch.case(index).ravel().view(np.recarray)
    if filled.word("shroud.type") == "none":
        _draw_bare(filled, known, sets, p)
    _share_volts(filled, batch, p, index)
    is_pull = filled.job.cases[index].kind == "pull"
    if not is_pull:
        p.limit = np.nan  # no ambient is searched for
    r: Any = solve_batch(p, coolant_table(*glycol_of(filled)))
    hotness = (
        -r.seconds_to_limit if is_pull else np.where(np.isnan(r.coolant_unregulated), np.inf, r.coolant_unregulated)
    )
    return int(np.lexsort((-r.air_mass_flow, hotness))[0])


def _draw_bare(filled: Filled, known: Known, sets: Sequence[_Set], p: Any) -> None:
    """Each set draws through the core under its own blades, and leaks at its own rings."""
    width, height = float(filled["core.width"][0]), float(filled["core.height"][0])
    across = filled.word("core.run") == "crossflow"
    for row, (members, places) in enumerate(sets):
        blades = [known.median(fan, "blade") for fan in members]
        covered = min(sum(0.25 * math.pi * blade**2 for blade in blades) / (width * height), 1.0)
        spans = [
            ((y if across else x) - 0.5 * blade, (y if across else x) + 0.5 * blade)
            for (x, y), blade in zip(places, blades, strict=True)
        ]
        p.covered_share[row] = covered
        p.crossed_share[row] = (
            math.sqrt(covered) if filled.job.fans[0].x is None else share_crossed(spans, height if across else width)
        )
        p.leak_area[row] = sum(
            math.pi * blade * known.median(fan, "ring_gap") for fan, blade in zip(members, blades, strict=True)
        )


def _share_volts(filled: Filled, batch: Batch, p: Any, index: int) -> None:
    """Volts typed or measured with the old fans move as the alternator's share of them does."""
    was = alternator_margin(filled, index, running_amps(filled, index, circuits_of(filled)))
    now = alternator_margin(batch.filled, index, batch.running * p.fan_on[:, 0])
    if was is not None and now is not None and has_own_volts(filled, index):
        full = float(filled["electrical.source_volts"][0])
        p.source_volts += volts_at_source(now, full) - volts_at_source(float(was[0]), full)


def _offer(known: Known, best: _Set, own: int) -> Offer:
    bought = [fan for fan in best.members if fan >= own]
    one, count = known.shelf[bought[0]], len(bought)
    new = tuple(one.model_copy(update={"code": f"{one.code} off the shelf {n + 1}"}) for n in range(count))
    fans = (*(known.shelf[fan] for fan in best.members if fan < own), *new)

    def edit(package: Package) -> Package | None:
        if not _stand_clear(package.filled, _bodies(known, best.members, best.places)):
            return None
        return refitted(package, fans, best.places)

    name = one.code if count == 1 else f"{count} x {one.code}"
    amps = count * known.circuits[bought[0]].highest_amps
    return Offer(new, name, known.median(bought[0], "overall_depth"), amps, edit)


def remedies_with(remedies: Mapping[str, Edit], offers: Mapping[str, Offer]) -> dict[str, Edit]:
    """Return remedies with those that fit fans taken from the shelf alone: nothing where it has none that fits."""
    return {
        code: offers[code].edit if code in offers else (lambda _: None) if code in (INSTEAD, BESIDE) else edit
        for code, edit in remedies.items()
    }
