"""What every number of a job may be: typed, or guessed from the one table, always with its band.

priors    every number: median and 5-95 % band in SI, standing, source, and what would replace it
words     every word likewise
Prior     one number; its `quantile` draws from the band
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

from shroudwright.bench.errors import InputError
from shroudwright.job.fields import Place, place_of, words_of
from shroudwright.job.model import Job, has_belt_fan
from shroudwright.job.outline import covered_share
from shroudwright.job.quantity import STANDINGS, Reading, Standing
from shroudwright.job.stack import stack_gap_area
from shroudwright.job.table import Guess, Shape, field_of, guesses, part_of
from shroudwright.job.vents import flap_area, gap_area, holes_of

NARROWING: dict[Standing, float] = {"guess": 1.0, "box": 0.7, "catalogue": 0.35, "measured": 0.1}
"""Half-width of a typed number's band over that of the guess it replaces; common practice, no source."""

_BY_DIFFERENCE = ("temperature", "rise", "share")
_Z95 = 1.6448536269514722
_TRIANGLE95 = 1.0 - math.sqrt(0.1)


@dataclass(frozen=True)
class Prior:
    """One number: its median, its 5 % and 95 % points in SI, and how it is known."""

    path: str
    kind: str
    median: float
    low: float
    high: float
    shape: Shape
    standing: Standing
    typed: str
    source: str
    measurement: str
    least: float = -math.inf
    most: float = math.inf

    @property
    def is_guess(self) -> bool:
        """Whether nobody has measured it or read it anywhere."""
        return self.standing == "guess"

    def quantile(self, u: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Return the values at shares of the band's probability.

        Each side of the median has its own width, so that u = 0.05, 0.5 and 0.95 return exactly the
        three points of the table. Values are held within what is possible.

        Parameters
        ----------
        u : array_like
            Between 0 and 1, neither included, any shape, [-]

        Returns
        -------
        values : ndarray
            Same shape, in SI.
        """
        u = np.asarray(u, dtype=np.float64)
        if self.shape == "fixed" or self.low == self.high:
            return np.full(u.shape, self.median)
        if self.shape == "triangle":
            side = np.minimum(u, 1.0 - u)
            distance = np.copysign((1.0 - np.sqrt(2.0 * side)) / _TRIANGLE95, u - 0.5)
        else:
            from scipy.special import ndtri

            distance = ndtri(u) / _Z95
        below, above = np.minimum(distance, 0.0), np.maximum(distance, 0.0)
        if self.shape == "lognormal":
            step = below * math.log(self.median / self.low) + above * math.log(self.high / self.median)
            values = self.median * np.exp(step)
        else:
            values = self.median + below * (self.median - self.low) + above * (self.high - self.median)
        held: npt.NDArray[np.float64] = np.minimum(np.maximum(values, self.least), self.most)
        return held


@dataclass(frozen=True)
class Word:
    """One choice of word (or true and false): typed, or guessed."""

    path: str
    value: str | bool
    is_guess: bool
    source: str
    measurement: str


class _Job:
    """A job with its blanks filled on demand, so that one guess may lean on another."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.priors: dict[str, Prior | None] = {}
        self.words: dict[str, Word | None] = {}

    def spots(self, only: str = "") -> Iterator[tuple[str, int | None]]:
        """Yield every field of one reading or word, with the number of its item in a list."""
        for section, info in Job.model_fields.items():
            part = part_of(info.annotation)
            if part is None or only not in ("", section):
                continue
            held = getattr(self.job, section)
            for index in range(len(held)) if isinstance(held, tuple) else (None,):
                for name in part.model_fields:
                    yield f"{section}.{name}", index

    def typed(self, field: str, index: int | None) -> Any:
        """Return what the file says of a field."""
        section, name = field.split(".")
        held = getattr(self.job, section)
        return getattr(held if index is None else held[index], name)

    def _alike(self, field: str, near: str, index: int | None) -> list[int | None]:
        """Return the items a condition looks at: this one in its own list, all of another list."""
        section = field.partition(".")[0]
        held = getattr(self.job, section)
        if not isinstance(held, tuple):
            return [None]
        return [index] if near.partition(".")[0] == section else list(range(len(held)))

    def _holds(self, condition: str, near: str, index: int | None) -> bool:
        field, _, wanted = condition.partition(" ")
        items = self._alike(field, near, index)
        if wanted.startswith("= "):
            found = [self.word(field, item) for item in items]
            return bool(found) and all(word is not None and word.value == wanted[2:] for word in found)
        readings = [None if (typed := self.typed(field, item)) == () else typed for item in items]
        if wanted in STANDINGS:
            return bool(readings) and all(
                isinstance(reading, Reading) and reading.standing == wanted for reading in readings
            )
        return bool(readings) and all(reading is not None for reading in readings)

    def row(self, field: str, index: int | None) -> Guess | None:
        for row in guesses().get(field, ()):
            if all(self._holds(condition, field, index) for condition in row.conditions):
                return row
        return None

    def word(self, field: str, index: int | None) -> Word | None:
        path = _path(field, index)
        if path not in self.words:
            value = self.typed(field, index)
            row = self.row(field, index) if value is None else None
            if row is not None:
                guess = {"true": True, "false": False}.get(row.word, row.word)
                self.words[path] = Word(path, guess, True, row.source, row.measurement)
            else:
                self.words[path] = None if value is None else Word(path, value, False, "", "")
        return self.words[path]

    def value(self, field: str, index: int | None = None) -> float:
        """Return the median of a field another guess leans on."""
        prior = self.prior(field, index)
        if prior is None:
            raise InputError([f"{_path(field, index)}: missing, and other guesses lean on it"])
        return prior.median

    def prior(self, field: str, index: int | None) -> Prior | None:
        path = _path(field, index)
        if path not in self.priors:
            row = self.row(field, index)
            reading = None if field.startswith("model.") else self.typed(field, index)
            self.priors[path] = self._filled(path, row, reading, field, index)
        return self.priors[path]

    def _filled(
        self, path: str, row: Guess | None, reading: Reading | None, field: str, index: int | None
    ) -> Prior | None:
        if row is None and reading is None:
            return None
        place = None if field.startswith("model.") else _place(field)
        least, most = (place.low, place.high) if place else (-math.inf, math.inf)
        kind = place.kind if place else row.kind if row else "number"
        shape: Shape = row.shape if row else "fixed"
        source, measurement = (row.source, row.measurement) if row else ("", "")
        standing, typed = (reading.standing, reading.typed) if reading else ("guess", "")
        if reading is None and row is not None:
            scale = TIES[row.tie](self, index) if row.tie else 1.0
            points = (row.median * scale, row.low * scale, row.high * scale)
        elif reading is not None and reading.spread is not None:
            shape = "normal" if shape in ("fixed", "word") else shape
            points = (reading.value, reading.value - reading.spread, reading.value + reading.spread)
            if shape == "lognormal" and points[1] <= 0.0:
                shape = "normal"
        else:
            assert reading is not None
            points = _narrowed(reading, row)
        median, low, high = (min(max(point, least), most) for point in points)
        return Prior(path, kind, median, low, high, shape, standing, typed, source, measurement, least, most)


def _narrowed(reading: Reading, row: Guess | None) -> tuple[float, float, float]:
    """Return the band of a typed number: the guess's own, narrowed by how the number is known."""
    value, part = reading.value, NARROWING[reading.standing]
    if row is None or row.shape == "fixed":
        return value, value, value
    if row.shape == "lognormal":
        return value, value * (row.low / row.median) ** part, value * (row.high / row.median) ** part
    scale = 1.0 if reading.kind in _BY_DIFFERENCE and not row.tie else value / row.median
    return (
        value,
        value + (row.low - row.median) * scale * part,
        value + (row.high - row.median) * scale * part,
    )


@cache
def _place(field: str) -> Place | None:
    return place_of(field_of(field))


@cache
def _has_words(field: str) -> bool:
    return bool(words_of(field_of(field)))


def _path(field: str, index: int | None) -> str:
    section, name = field.split(".")
    return field if index is None else f"{section}.{index}.{name}"


def priors(job: Job, section: str = "") -> dict[str, Prior]:
    """Return every number of a job, typed or guessed, by its path.

    Parameters
    ----------
    job : Job
        As read.
    section : str
        Such as ``fans``: only its numbers; all, if left out.

    Returns
    -------
    dict of str to Prior
        Paths such as ``core.width``, ``fans.0.run_amps`` or ``model.j``. A field neither typed nor in
        the table is left out.

    Raises
    ------
    InputError
        If a number every guess leans on (engine size or power, core size) is missing.
    """
    filled = _Job(job)
    spots = [(field, index) for field, index in filled.spots(section) if _place(field)]
    spots += [(field, None) for field in guesses() if field.startswith("model.") and field.startswith(section)]
    found = {_path(*spot): filled.prior(*spot) for spot in spots}
    return {path: prior for path, prior in found.items() if prior is not None}


def words(job: Job, section: str = "") -> dict[str, Word]:
    """Return every word of a job, typed or guessed, by its path.

    Parameters
    ----------
    job : Job
        As read.
    section : str
        Such as ``fans``: only its words; all, if left out.

    Returns
    -------
    dict of str to Word
        Paths such as ``engine.fuel`` or ``cases.2.trailer``.
    """
    filled = _Job(job)
    found = {_path(*spot): filled.word(*spot) for spot in filled.spots(section) if _has_words(spot[0])}
    return {path: word for path, word in found.items() if word is not None}


def _rows_in_depth(job: _Job, _: int | None) -> float:
    """A row for every 1.1 in of depth."""
    return max(1.0, float(round(job.value("core.depth") / 0.0279)))


def _tube_room(job: _Job, _: int | None) -> float:
    """A lone tube fills the depth; tubes in rows leave an eighth between them."""
    rows = job.value("core.rows")
    return job.value("core.depth") / rows * (1.0 if rows == 1.0 else 0.875)


def _fins_counted(job: _Job, _: int | None) -> float:
    """Mean of the three counts."""
    return sum(job.value(f"core.fins_{place}") for place in ("left", "middle", "right")) / 3.0


def _pitch_less_tube(job: _Job, _: int | None) -> float:
    """What is left between two tubes."""
    return job.value("core.tube_pitch") - job.value("core.tube_thickness")


def _round_the_stack(job: _Job, _: int | None) -> float:
    """5 % with every gap shut, 30 % from a tenth of the core's face open on, straight between."""
    open_share = stack_gap_area(job.job, job.value) / (job.value("core.width") * job.value("core.height"))
    return 0.05 + 0.25 * min(open_share / 0.10, 1.0)


def _engine_mass(job: _Job, _: int | None) -> float:
    from shroudwright.heat.accessories import engine_mass_guess

    block = job.word("engine.block", None)
    return float(engine_mass_guess(job.value("engine.displacement"), str(block.value) if block else "iron"))


def _coolant_volume(job: _Job, _: int | None) -> float:
    """4 litres and 1.8 times the engine's size."""
    return 4e-3 + 1.8 * job.value("engine.displacement")


def _rated_torque(job: _Job, _: int | None) -> float:
    """Rated power over rated speed."""
    return job.value("engine.rated_power") / (job.value("engine.rated_rpm") * math.tau / 60.0)


def _cylinders_by_size(job: _Job, _: int | None) -> float:
    """Four under 2.6 litres, six under 4, else eight."""
    litres = 1e3 * job.value("engine.displacement")
    return 4.0 if litres < 2.6 else 6.0 if litres < 4.0 else 8.0


def _fan_weight(job: _Job, index: int | None) -> float:
    """2.5 kg at 16 in, with the blade to the power 1.6."""
    return 2.5 * math.pow(job.value("fans.blade", index) / 0.4064, 1.6)


def _cruise_rpm(job: _Job, index: int | None) -> float:
    """2100 rpm at 65 mph in top gear with a gasoline engine, less in proportion to rated speed."""
    top_gear = 2100.0 * job.value("engine.rated_rpm") / 5500.0 * job.value("cases.speed", index) / 29.06
    return max(top_gear, 1.3 * job.value("engine.idle_rpm"))


def _thermostat_middle(job: _Job, _: int | None) -> float:
    """Half-way open."""
    return job.value("circuit.thermostat_opens") + 0.5 * job.value("circuit.thermostat_span")


def _fan_room(job: _Job, _: int | None) -> float:
    """The largest blade whose frames fit side by side on the core."""
    long, short = sorted((job.value("core.width"), job.value("core.height")), reverse=True)
    return min(short, long / len(job.job.fans)) / 1.07


def _fan_disc_share(job: _Job, _: int | None) -> float:
    """Share of the core's face behind the discs that draw: pullers, or pushers where all push."""
    fans = range(len(job.job.fans))
    pulls = [index for index in fans if (word := job.word("fans.direction", index)) and word.value == "puller"]
    draw = pulls if pulls or has_belt_fan(job.job) else fans
    blades = [job.value("fans.blade", index) for index in draw]
    if has_belt_fan(job.job):
        blades.append(job.value("belt_fan.blade"))
    return sum(0.25 * math.pi * blade**2 for blade in blades) / (job.value("core.width") * job.value("core.height"))


def _outline_share(job: _Job, _: int | None) -> float:
    """Share of the core's face inside the shroud as its reaches or rows say; behind the discs where there is none."""
    word = job.word("shroud.type", None)
    if word is not None and word.value == "none":
        return _fan_disc_share(job, None)
    return covered_share(job.job.shroud, job.value, job.job.shroud_boxes)


def _box_depth(job: _Job, _: int | None) -> float:
    """Depth of the first of several boxes, from which the others' are told."""
    return job.value("shroud_boxes.depth", 0)


_CORE_DENSITY = {"aluminium": 440.0, "copper": 970.0}
"""Core with its tanks over the core's own volume: some 0.016 and 0.035 lb/in3, from memory, [kg/m**3]"""
_COOLANT_SHARE, _COOLANT_DENSITY = 0.30, 1030.0
_SHROUD_AREA_DENSITY = 7.0
"""A shroud over the core's face: 0.080 in aluminium with walls and ends, [kg/m**2]"""


def _pack_weight(job: _Job, _: int | None) -> float:
    """Core, coolant in it, fans, shroud and coolers ahead, from their sizes."""
    face = job.value("core.width") * job.value("core.height")
    fin = job.word("core.fin_metal", None)
    density = _CORE_DENSITY["copper" if fin and fin.value == "copper" else "aluminium"]
    weight = (
        face * job.value("core.depth") * (density + _COOLANT_SHARE * _COOLANT_DENSITY) + face * _SHROUD_AREA_DENSITY
    )
    weight += sum(job.value("fans.weight", index) for index in range(len(job.job.fans)))
    for index in range(len(job.job.ahead)):
        width, height, depth = (job.value(f"ahead.{size}", index) for size in ("width", "height", "depth"))
        weight += _CORE_DENSITY["aluminium"] * width * height * depth
    return weight


def _found(factor: str) -> Callable[[_Job, int | None], float]:
    def value(job: _Job, _: int | None) -> float:
        reading: Reading = getattr(job.job.calibration, factor)
        return reading.value

    return value


def _flow_by_blade(flow_at_16_in: float, power: float) -> Callable[[_Job, int | None], float]:
    def flow(job: _Job, index: int | None) -> float:
        return flow_at_16_in * math.pow(job.value("fans.blade", index) / 0.4064, power)

    return flow


def _belt_fan_power(job: _Job, _: int | None) -> float:
    """Air power at the best point of the generic curve, about 0.45 q0 p0, at a blade efficiency of a half."""
    return 0.9 * job.value("belt_fan.free_flow") * job.value("belt_fan.shutoff_pressure")


def _alternator_at_idle(job: _Job, _: int | None) -> float:
    """Its curve at idle speed times the ratio of the pulleys."""
    from shroudwright.job.wiring import curve_of
    from shroudwright.wiring.alternator import output_at

    spin = job.value("engine.idle_rpm") * job.value("electrical.pulley_ratio")
    return output_at(curve_of(job.job), spin)


def _of(field: str) -> Callable[[_Job, int | None], float]:
    section = field.partition(".")[0]

    def value(job: _Job, index: int | None) -> float:
        return job.value(field, index if section == "fans" else None)

    return value


TIES: dict[str, Callable[[_Job, int | None], float]] = {
    "rows_in_depth": _rows_in_depth,
    "tube_room": _tube_room,
    "fins_counted": _fins_counted,
    "pitch_less_tube": _pitch_less_tube,
    "round_the_stack": _round_the_stack,
    "engine_mass": _engine_mass,
    "coolant_volume": _coolant_volume,
    "rated_torque": _rated_torque,
    "rated_rpm": _of("engine.rated_rpm"),
    "idle_rpm": _of("engine.idle_rpm"),
    "cruise_rpm": _cruise_rpm,
    "thermostat_middle": _thermostat_middle,
    "core_width": _of("core.width"),
    "core_height": _of("core.height"),
    "fan_room": _fan_room,
    "fan_disc_share": _fan_disc_share,
    "outline_share": _outline_share,
    "box_depth": _box_depth,
    "flap_rows": lambda job, _: flap_area(job.job),
    "flap_row_count": lambda job, _: sum(hole.has_flap for hole in holes_of(job.job)),
    "gap_rows": lambda job, _: gap_area(job.job, job.value),
    "fan_blade": _of("fans.blade"),
    "calibrated_plenum": _found("plenum"),
    "calibrated_fan_flow": _found("fan_flow"),
    "brushed_flow": _flow_by_blade(0.9203, 2.3),
    "brushless_flow": _flow_by_blade(1.557, 2.7),
    "amps_for_flow": lambda job, index: job.value("fans.free_flow", index) / 0.04719,
    "cylinders_by_size": _cylinders_by_size,
    "fan_weight": _fan_weight,
    "fan_run_amps": _of("fans.run_amps"),
    "belt_blade": _of("belt_fan.blade"),
    "belt_blade_flow": lambda job, _: 2.36 * math.pow(job.value("belt_fan.blade") / 0.4572, 2.5),
    "belt_fan_power": _belt_fan_power,
    "alternator_at_idle": _alternator_at_idle,
    "pack_weight": _pack_weight,
    "alternator_rating": _of("electrical.alternator_rating"),
}
"""What a row of the table may multiply."""
