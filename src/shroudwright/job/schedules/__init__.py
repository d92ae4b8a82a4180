"""What a vehicle does second by second: published schedules, ones made from its own driving, a builder's own file.

Route       speed, grade, and whether the key is on, one value a second
ROUTES      what is known by name
route       by name, or from a file
"""

import csv
import hashlib
import math
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.errors import InputError
from shroudwright.bench.units import convert

Numbers = NDArray[np.float64]
_MOST_SECONDS = 12 * 3600
_MPH = 0.44704
_FAULTS_TOLD = 20
_DIGESTS = {
    "udds": "a10855641577936fbb972404ab326a83f1e10bf0dfabe513577bfd5ec2290308",
    "hwfet": "01a52b894c3b800607927db8b7b34fadeefd326f5e0f7cbe45741a68d0fac993",
    "us06": "3976587932c8995db890feb95e7734493ab9e8421dbfc1b45c21d8bb07b2ef3e",
}
"""SHA-256 of the published schedules' files"""


class Route(NamedTuple):
    """One value a second."""

    name: str
    speed: Numbers
    """[m/s]"""
    grade: Numbers
    """rise over run, [-]"""
    key_on: Numbers
    """1 with the engine turning, 0 stopped"""
    source: str

    @property
    def distance(self) -> float:
        """[m]"""
        return float(np.trapezoid(self.speed))


def _published(name: str, source: str) -> Route:
    data = (files("shroudwright.job.schedules") / f"{name}.csv").read_bytes()
    if hashlib.sha256(data).hexdigest() != _DIGESTS[name]:
        raise InputError([f"{name}.csv is not the schedule it was; install shroudwright again"])
    speed = np.array([float(row["speed_mph"]) for row in csv.DictReader(data.decode().splitlines())]) * _MPH
    return Route(name, speed, np.zeros_like(speed), np.ones_like(speed), source)


_FEDERAL = "US federal schedule, 40 CFR 86 App. I and 600 App. I, from a public package's data; the CFR not opened"
_OWN = "made up, common practice, no source"


def _steady(name: str, seconds: int, speed: float, grade: float = 0.0) -> Route:
    """Pull away in ten seconds, then hold."""
    held = np.full(seconds, speed) * np.minimum(np.arange(seconds) / 10.0, 1.0)
    return Route(name, held, np.full(seconds, grade), np.ones(seconds), _OWN)


def _parade() -> Route:
    """A walking pace with stops: 40 s at 5 mph, 20 s standing, for 40 minutes."""
    at = np.arange(2400) % 60
    speed = np.clip(np.minimum(at, 40 - at) / 3.0, 0.0, 1.0) * 5.0 * _MPH
    return Route("parade", np.maximum(speed, 0.0), np.zeros(2400), np.ones(2400), _OWN)


def _trail() -> Route:
    """Low range: 3 to 6 mph over steps of 4 to 16 %, short stops, for 30 minutes."""
    at = np.arange(1800)
    speed = np.where(at % 120 < 100, 4.5 + 1.5 * np.sin(math.tau * at / 45.0), 0.0) * _MPH
    grade = 0.10 + 0.06 * np.sin(math.tau * at / 300.0)
    return Route("trail crawl", np.convolve(speed, np.full(5, 0.2), "same"), grade, np.ones(1800), _OWN)


def _track() -> Route:
    """Twenty minutes of laps of 90 s between 45 and 120 mph, then two minutes in the pits with the engine turning."""
    at = np.arange(1320)
    lap = 82.5 + 37.5 * np.sin(math.tau * at / 30.0) * np.sin(math.tau * at / 90.0)
    speed = np.where(at < 1200, np.clip(lap, 45.0, 120.0), 0.0) * np.minimum(at / 15.0, 1.0) * _MPH
    speed = np.convolve(np.pad(speed, 4, "edge"), np.full(9, 1 / 9), "valid")
    return Route("track session", speed, np.zeros(1320), np.ones(1320), _OWN)


def _hot_restart() -> Route:
    """Half an hour at 60 mph, ten minutes with the key off, five minutes standing, five of driving off."""
    speed = np.concatenate([np.full(1800, 60.0), np.zeros(900), np.full(300, 25.0)]) * _MPH
    speed = np.convolve(np.pad(speed, 7, "edge"), np.full(15, 1 / 15), "valid")
    key = np.ones(3000)
    key[1810:2400] = 0.0
    return Route("hot restart", speed * key, np.zeros(3000), key, _OWN)


ROUTES: dict[str, Callable[[], Route]] = {
    "city": lambda: _published("udds", _FEDERAL)._replace(name="city"),
    "highway": lambda: _published("hwfet", _FEDERAL)._replace(name="highway"),
    "hard driving": lambda: _published("us06", _FEDERAL)._replace(name="hard driving"),
    "idle": lambda: Route("idle", np.zeros(2400), np.zeros(2400), np.ones(2400), _OWN),
    "parade": _parade,
    "tow grade": lambda: _steady("tow grade", 1200, 40.0 * _MPH, 0.06),
    "trail crawl": _trail,
    "track session": _track,
    "hot restart": _hot_restart,
}
"""UDDS, HWFET and US06 go by what they are"""


def route(name: str) -> Route:
    """Return a route by name, or read it from a file.

    Parameters
    ----------
    name : str
        A name of `ROUTES`, or a CSV file of a heading and rows: time with its unit, speed with its unit, grade if it
        is known, such as ``time_s,speed_mph,grade_percent``, [text]

    Returns
    -------
    Route

    Raises
    ------
    InputError
        If there is no such route or file, or its rows cannot be read; every fault.
    """
    if name in ROUTES:
        return ROUTES[name]()
    path = Path(name)
    if path.suffix.lower() != ".csv":
        raise InputError([f"route: {name!r} is not one of {', '.join(ROUTES)}, and not a .csv file"])
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError):
        raise InputError([f"route: {name} cannot be read as a text file"]) from None
    return read_route(text, path.stem)


_SPEEDS = {"speed_mph": "mph", "speed_kmh": "km/h", "speed_kph": "km/h", "speed_ms": "m/s", "speed_mps": "m/s"}
_GRADES = {"grade_percent": 0.01, "grade": 1.0}


def read_route(text: str, name: str) -> Route:
    """Read a route from the text of a CSV file; see `route`."""
    rows = csv.DictReader(text.splitlines())
    heads = [head.strip().lower() for head in rows.fieldnames or ()]
    rows.fieldnames = heads
    speed_at = next((head for head in heads if head in _SPEEDS), None)
    grade_at = next((head for head in heads if head in _GRADES), None)
    faults = []
    if "time_s" not in heads:
        faults.append("heading: no column time_s")
    if speed_at is None:
        faults.append(f"heading: no column of speed; name one of {', '.join(_SPEEDS)}")
    if faults:
        raise InputError([f"{name}: {fault}" for fault in faults])
    columns = np.array(_numbers(rows, ["time_s", str(speed_at), *([grade_at] if grade_at else [])], name)).T
    time = np.arange(columns[0][0], columns[0][-1] + 1e-9)
    speed = np.interp(time, columns[0], columns[1] * convert(1.0, _SPEEDS[str(speed_at)], "m/s"))
    grade = np.interp(time, columns[0], columns[2] * _GRADES[grade_at]) if grade_at else np.zeros_like(time)
    if speed.min() < 0.0 or speed.max() > 120.0 or np.abs(grade).max() > 0.6:
        raise InputError([f"{name}: speeds run from 0 to 268 mph and grades to 60 %; check the columns' units"])
    return Route(name, speed, grade, np.ones_like(time), "the builder's own file")


def _numbers(rows: "csv.DictReader[str]", wanted: list[str], name: str) -> list[list[float]]:
    """Rows of numbers, time rising."""
    faults: list[str] = []
    read: list[list[float]] = []
    for number, row in enumerate(rows, start=2):
        try:
            values = [float((row[head] or "").strip()) for head in wanted]
        except ValueError:
            values = [math.nan]
        if not all(map(math.isfinite, values)):
            faults.append(f"{name} row {number}: a number is missing or not one")
        elif read and values[0] <= read[-1][0]:
            faults.append(f"{name} row {number}: time {values[0]:g} s does not come after {read[-1][0]:g} s")
        else:
            read.append(values)
        if len(faults) > _FAULTS_TOLD:
            break
    if not faults and len(read) < 2:
        faults.append(f"{name}: fewer than two rows")
    if not faults and read[-1][0] - read[0][0] > _MOST_SECONDS:
        faults.append(f"{name}: longer than {_MOST_SECONDS // 3600} h")
    if faults:
        raise InputError(faults)
    return read
