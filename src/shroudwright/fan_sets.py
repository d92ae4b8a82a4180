"""Solver rows of many sets of fans at once, each as `flatten` would write it for the job with that set in it.

Known        a job and a shelf, with everything that does not change from set to set
Columns      what the fans of a shelf put in a solver row
turned       a fan of a shelf, the way round a job wants it
full_on      a driving case with every fan full on
known_of     job, shelf, draws -> Known
columns_of   the columns of some fans, at the middle of every guess or for every draw
flows_of     real flow over the curves' for every set
Batch        the rows of some sets in any driving case

Draws of everything but the fans are the same for every set, and those of a fan's own numbers come from the same
shares of chance for every fan in the same place, so that sets are compared and not their luck.
"""

import math
import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import box
from shroudwright.job.circuits import alternator_margin, circuits_of, source_volts
from shroudwright.job.drive import Case, Fan
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import flatten, glycol_of, write_fans, write_heat
from shroudwright.job.heat_load import heat_load
from shroudwright.job.model import MOST_FANS, Job
from shroudwright.job.places import whole_outline
from shroudwright.job.plenum import behind_of, depth_of, like_blowers, march_of, tables_at
from shroudwright.job.priors import Prior, priors, words
from shroudwright.job.shelf import ShelfFan
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.params import PARAMS, blank
from shroudwright.pack.plenum import March, Tables, even
from shroudwright.uncertain.draws import SEED, draw, equal_shares
from shroudwright.wiring.circuits import FanCircuit

Members = tuple[int, ...]
ROW_CELLS = 400
_ROUNDED = 0.0254
"""What blades are rounded to where a set's plenum is tabulated before it is laid out, [m]"""
_ORDINARY = 0.7
"""Blade of the two fans a depth's draws are tried on, over the shroud's shorter side, [-]"""
_SQUARE = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)]
_TRIANGLE = [(0.25, 0.25), (0.75, 0.25), (0.5, 0.75)]
Numbers = NDArray[np.float64]
FLOW = "model.fan_flow"
FAN_COLUMNS = tuple(
    name for name in PARAMS.names or () if name != "fan_count" and name.startswith(("fan_", "path_resistance"))
)
_COLUMNS = np.dtype([(name, PARAMS[name]) for name in FAN_COLUMNS])


@dataclass(frozen=True)
class Known:
    """A job without its fans, and a shelf."""

    job: Job
    drawn: Mapping[str, Numbers]
    words: Mapping[str, str | bool]
    shelf: tuple[Fan, ...]
    numbers: tuple[Mapping[str, Prior], ...]
    """of each fan, by field"""
    choices: tuple[Mapping[str, str | bool], ...]
    """words of each fan, by field"""
    circuits: tuple[FanCircuit, ...]
    shares: Mapping[str, Numbers]
    """of chance, by path"""
    march: March
    """of the core in the first driving case, near enough for all while sets are sifted"""

    def median(self, fan: int, field: str) -> float:
        """Return the middle of a fan's number, SI."""
        return self.numbers[fan][field].median

    def filled(self, members: Members, rows: int, fans: tuple[Fan, ...] = (), **drawn: Numbers) -> Filled:
        """Fill the job with a set in it, its curves taken at their word.

        Parameters
        ----------
        members : tuple of int
            Fans of the shelf.
        rows : int
            Draws wanted, the first the medians.
        fans : tuple of Fan, optional
            The same fans with more known of them, such as their places.
        **drawn
            Numbers in place of the job's own.

        Returns
        -------
        Filled
        """
        job = self.job.model_copy(update={"fans": fans or tuple(self.shelf[fan] for fan in members)})
        found = {path: values[:rows] for path, values in self.drawn.items()} | {FLOW: np.ones(rows)} | drawn
        said: dict[str, str | bool] = {}
        for place, fan in enumerate(members):
            for field, prior in self.numbers[fan].items():
                path = f"fans.{place}.{field}"
                found[path] = np.full(rows, prior.median)
                if rows > 1 and prior.high > prior.low:
                    found[path][1:] = prior.quantile(self.shares[path][: rows - 1])
            for axis in ("x", "y"):
                if typed := getattr(job.fans[place], axis):
                    found[f"fans.{place}.{axis}"] = np.full(rows, typed.value)
            said |= {f"fans.{place}.{field}": word for field, word in self.choices[fan].items()}
        return Filled(job, found, {**self.words, **said})

    def drawn_flow(self, members: Members) -> Numbers:
        """Return the draws of real flow over the curves', which hangs on how every curve of the set is known."""
        job = self.job.model_copy(update={"fans": tuple(self.shelf[fan] for fan in members)})
        prior = priors(job, FLOW)[FLOW]
        return np.concatenate([[prior.median], prior.quantile(self.shares[FLOW])])


@dataclass(frozen=True)
class Columns:
    """What fans put in a solver row, shape (fans, rows), each fan in every place of a set."""

    at: Mapping[int, int]
    """fan to its row"""
    fans: NDArray[Any]
    amps: Numbers
    """run amps as drawn, shape (fans, rows, places), [A]"""


def turned(item: ShelfFan, wanted: str) -> ShelfFan:
    """Return a fan with straight blades the way round a job wants it, any other as it is."""
    return replace(item, fan=item.fan.model_copy(update={"direction": wanted})) if item.fits_either_way else item


def full_on(case: Case) -> Case:
    """Return a driving case with every fan full on, or none where none is to run."""
    update = {"fans_on": None if case.fans_on else case.fans_on, "fans_low": None, "percent_on": None}
    return case.model_copy(update=update)


def known_of(job: Job, shelf: Sequence[ShelfFan], count: int) -> Known:
    """Fill in a job without its fans and every fan of a shelf.

    Parameters
    ----------
    job : Job
        With the shroud the fans will stand behind; its own fans are left out.
    shelf : sequence of ShelfFan
        All of one hand.
    count : int
        Draws.

    Returns
    -------
    Known
    """
    bare = job.model_copy(update={"fans": ()})
    drawn = draw({path: prior for path, prior in priors(bare).items() if path != FLOW}, count)
    own = {path: word.value for path, word in words(bare).items()}
    fans = tuple(item.fan for item in shelf)
    numbers: list[Mapping[str, Prior]] = []
    choices: list[Mapping[str, str | bool]] = []
    circuits: list[FanCircuit] = []
    middle = {path: values[:1] for path, values in drawn.items()}
    for first in range(0, len(fans), MOST_FANS):
        four = bare.model_copy(update={"fans": fans[first : first + MOST_FANS]})
        told, said = priors(four, "fans"), {path: word.value for path, word in words(four, "fans").items()}
        medians = middle | {path: np.full(1, prior.median) for path, prior in told.items()}
        circuits += circuits_of(Filled(four, medians, own | said))
        for place in range(len(four.fans)):
            start = f"fans.{place}."
            numbers.append({path.removeprefix(start): told[path] for path in told if path.startswith(start)})
            choices.append({path.removeprefix(start): said[path] for path in said if path.startswith(start)})
    random = np.random.default_rng(SEED + 1)
    fields = sorted({field for each in numbers for field in each})
    paths = [FLOW, *(f"fans.{place}.{field}" for place in range(MOST_FANS) for field in fields)]
    shares = {path: equal_shares(random, count) for path in paths}
    none = Filled(bare, middle, own)
    p: Any = flatten(none, 0, heat_load(none, 0), (), plenum=False)
    march = march_of(none, p[0], coolant_table(*glycol_of(none)))
    return Known(bare, drawn, own, fans, tuple(numbers), tuple(choices), tuple(circuits), shares, march)


def columns_of(known: Known, fans: Sequence[int], *, drawn: bool) -> Columns:
    """Return what some fans put in a solver row.

    Parameters
    ----------
    known : Known
    fans : sequence of int
        Which fans of the shelf.
    drawn : bool
        Whether every draw is wanted, or only the middle of every guess.

    Returns
    -------
    Columns
    """
    rows = len(known.shares[FLOW]) + 1 if drawn else 1
    found = np.zeros((len(fans), rows), _COLUMNS)
    amps = np.zeros((len(fans), rows, MOST_FANS))
    if drawn:
        for at, fan in enumerate(fans):
            p, filled = _flat(known, (fan,) * MOST_FANS, rows)
            for name in FAN_COLUMNS:
                found[name][at] = p[name]
            amps[at] = np.stack([filled[f"fans.{place}.run_amps"] for place in range(MOST_FANS)], axis=-1)
    else:
        for first in range(0, len(fans), MOST_FANS):
            four = tuple(fans[first : first + MOST_FANS])
            p, filled = _flat(known, four, rows)
            for place in range(len(four)):
                for name in FAN_COLUMNS:
                    found[name][first + place] = p[name][:, place : place + 1]
                amps[first + place] = filled[f"fans.{place}.run_amps"][:, np.newaxis]
    return Columns({fan: at for at, fan in enumerate(fans)}, found, amps)


def _flat(known: Known, members: Members, rows: int) -> tuple[NDArray[Any], Filled]:
    """Write the fans of a set, its curves taken at their word, as they run in the first driving case."""
    filled, p = known.filled(members, rows), blank(rows)
    write_fans(filled, p, 0, tuple(known.circuits[fan] for fan in members))
    return p, filled


def flows_of(known: Known, sets: Sequence[Members], kept: dict[Any, Numbers]) -> Numbers:
    """Draws of real flow over the curves' for some sets, worked out once for each way a set's curves are known.

    Parameters
    ----------
    known : Known
    sets : sequence of tuple of int
        Fans of the shelf.
    kept : dict
        What has been worked out before; written to.

    Returns
    -------
    array
        Shape (sets, draws + 1), row 0 of the draws the middle, [-]
    """
    rows = []
    for members in sets:
        fans = [known.shelf[fan] for fan in members]
        key = frozenset((fan.curve_standing, fan.free_flow and fan.free_flow.standing) for fan in fans)
        if key not in kept:
            kept[key] = known.drawn_flow(members)
        rows.append(kept[key])
    return np.array(rows)


def _rounded(length: float) -> float:
    return _ROUNDED * max(round(length / _ROUNDED), 1)


def _even_shares(count: int, blade: float, sides: tuple[float, float]) -> list[tuple[float, float]]:
    """Places over the shroud's width and height: a row along the longer side, or two rows where blades want it."""
    if count > 2 and count * blade > max(sides):
        return _SQUARE if count > 3 else _TRIANGLE
    line = [((i + 0.5) / count, 0.5) for i in range(count)]
    return line if sides[0] >= sides[1] else [(y, x) for x, y in line]


class Batch:
    """Some sets, a row for every draw picked, in any driving case.

    Parameters
    ----------
    known : Known
    sets : sequence of tuple of int
        Fans of the shelf.
    columns : Columns
        Of all those fans.
    flows : array
        Of `Known.drawn_flow`, shape (sets, draws + 1), [-]
    picked : sequence of int
        Rows of the draws wanted; the first is 0, the medians.
    """

    def __init__(
        self, known: Known, sets: Sequence[Members], columns: Columns, flows: Numbers, picked: Sequence[int]
    ) -> None:
        self.known, self.sets, self.columns, self.picked = known, sets, columns, np.asarray(picked)
        self.shape = (len(sets), len(picked))
        self.flow = flows[:, self.picked]
        self.at = np.array([[*(columns.at[fan] for fan in set_), *[-1] * (MOST_FANS - len(set_))] for set_ in sets])
        amps = [
            np.where(
                self.at[:, place, np.newaxis] >= 0, columns.amps[self.at[:, place, np.newaxis], self.picked, place], 0.0
            )
            for place in range(MOST_FANS)
        ]
        self.running = np.array([sum(known.circuits[fan].working_amps for fan in set_) for set_ in sets])
        self.filled = self._on_one_fan(np.ravel(sum(amps)))

    def _on_one_fan(self, amps: Numbers) -> Filled:
        """The job on one fan that draws what whole sets draw, set by set, which is all that heat asks of fans."""
        known, fan, sets = self.known, self.sets[0][0], len(amps) // len(self.picked)
        drawn = {path: np.tile(values[self.picked], sets) for path, values in known.drawn.items()}
        drawn |= {f"fans.0.{field}": np.full(len(amps), prior.median) for field, prior in known.numbers[fan].items()}
        drawn |= {"fans.0.run_amps": amps, FLOW: np.ones(len(amps))}
        said = {f"fans.0.{field}": word for field, word in known.choices[fan].items()}
        job = known.job.model_copy(update={"fans": (known.shelf[fan],)})
        return Filled(job, drawn, {**known.words, **said})

    def case(self, index: int) -> NDArray[Any]:
        """Return the rows of one driving case.

        Parameters
        ----------
        index : int
            Which.

        Returns
        -------
        array
            Rows of `PARAMS`, shape (sets, picked).
        """
        filled, one = self.filled, self._on_one_fan(np.ones(len(self.picked)))
        circuits = (self.known.circuits[self.sets[0][0]],)
        same = flatten(one, index, heat_load(one, index), circuits, plenum=False)
        p: Any = np.tile(same, len(self.sets)).view(np.recarray)
        write_heat(filled, p, heat_load(filled, index))
        p = p.reshape(self.shape)
        on = p["fan_on"][:, :, 0].copy()
        for name in FAN_COLUMNS:
            p[name] = np.nan if name == "fan_belt_speed" else 0.0
            for place in range(MOST_FANS):
                has = self.at[:, place] >= 0
                p[name][has, :, place] = self.columns.fans[name][self.at[has, place, np.newaxis], self.picked, place]
        p["fan_count"] = (self.at >= 0).sum(axis=1, keepdims=True)
        p["fan_on"] = on[:, :, np.newaxis] * (self.at >= 0)[:, np.newaxis]
        p["fan_scale"] *= self.flow[:, :, np.newaxis]
        running = np.repeat(self.running, self.shape[1]) * on.ravel()
        p["source_volts"] = source_volts(filled, index, running).reshape(self.shape)
        p["plenum_loss"], p["unevenness"] = self._plenums
        return np.asarray(p)

    @cached_property
    def _plenums(self) -> Tables:
        """Tables of every set's plenum, its fans evenly in a row or a square, blades to the inch; shape (sets, picked).

        How the depth's draws move them is taken from two ordinary fans for all.
        """
        filled = self.filled
        behind = behind_of(filled)
        if behind is None:
            return even(np.zeros(self.shape), np.ones(self.shape))
        edges = box(whole_outline(filled))
        sides = edges.x2 - edges.x1, edges.y2 - edges.y1
        clearance = 2.0 * float(filled["shroud.opening_clearance"][0])

        def tables(kind: tuple[int, float], depth: Numbers) -> Tables:
            count, blade = kind
            shares = _even_shares(count, blade, sides)
            circles = [(edges.x1 + x * sides[0], edges.y1 + y * sides[1], 0.5 * (blade + clearance)) for x, y in shares]
            return tables_at(
                behind._replace(circles=tuple(circles)), depth, like_blowers(count), self.known.march, ROW_CELLS
            )

        depth = depth_of(Filled(filled.job, self.known.drawn, filled.words))
        moved = tables((2, _rounded(_ORDINARY * min(sides))), depth)
        kinds = [
            (len(members), _rounded(math.sqrt(np.mean([self.known.median(fan, "blade") ** 2 for fan in members]))))
            for members in self.sets
        ]
        wanted = list(dict.fromkeys(kinds))
        with ThreadPoolExecutor(os.cpu_count()) as pool:
            solved = dict(zip(wanted, pool.map(lambda kind: tables(kind, depth[:1]), wanted), strict=True))
        loss, lost = moved.loss[self.picked], moved.lost[self.picked]
        factor = self.known.drawn["model.plenum"][self.picked]
        drawn = [
            Tables(solved[kind].loss + loss - loss[:1], solved[kind].lost + lost - lost[:1]).scaled(factor)
            for kind in kinds
        ]
        return Tables(np.array([each.loss for each in drawn]), np.array([each.lost for each in drawn]))

    def amps_left(self) -> Numbers | None:
        """Return the least amps the alternator has left standing, shape (sets, picked); None where it is not known."""
        running = np.repeat(self.running, self.shape[1])
        known = [
            alternator_margin(self.filled, index, 0.0 if case.fans_on == () else running)
            for index, case in enumerate(self.known.job.cases)
        ]
        left = [margin for margin in known if margin is not None]
        return np.min(left, axis=0).reshape(self.shape) if left else None
