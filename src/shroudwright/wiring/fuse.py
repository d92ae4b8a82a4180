"""Fuses: how they open, what heat takes from them, and which one to fit.

Kind C is the standard blade, kind E the large one.

ratings            made in a kind
opening_window     time in which one opens at a multiple of its rating
hot_rating         what is left of a rating in a hot place
fuse_of            of a series, by running current
fuse_for           of all blades, by running current and heat
fuse_by_start      by running and start current
opens_at_start     whether a start may open one
largest_fuse       for a wire: the 150 % rule
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.catalogue.read import table
from shroudwright.wiring.wire import ampacity

RUNNING_SHARE = 0.75
"""Of a fuse's rating to run at: common practice, no source, 0.75 to 0.80, [-]"""
WIRE_RULE = 1.5
"""Largest fuse over the wire's ampacity: US 33 CFR 183.455(c)(1), [-]"""
START_TIME = 0.9
"""Time constant of a start's surge, from a computed 16 in fan of assumed inertia: order of magnitude, [s]"""


class Fuse(NamedTuple):
    """One rating of one kind."""

    code: str
    kind: str
    """C standard blade, E large blade, [text]"""
    rating: float
    """[A]"""
    colour: str | None
    source: str
    seen: str
    grade: str


class Window(NamedTuple):
    """When a kind opens at one multiple of its rating."""

    code: str
    kind: str
    multiple: float
    """current over rating, [-]"""
    shortest: float
    """[s]"""
    longest: float
    """[s]"""
    source: str
    seen: str
    grade: str


class Heat(NamedTuple):
    """What one fuse is good for at one ambient."""

    code: str
    kind: str
    rating: float
    """[A]"""
    ambient: float
    """[K]"""
    current: float
    """[A]"""
    source: str
    seen: str
    grade: str


def ratings(kind: str) -> list[float]:
    """Return the ratings of a kind, smallest first, [A]."""
    return [fuse.rating for fuse in table("fuses.csv", Fuse) if fuse.kind == kind]


def opening_window(kind: str, multiple: float) -> tuple[float, float]:
    """Shortest and longest time a blade fuse may take to open.

    Parameters
    ----------
    kind : str
        C standard blade or E large blade, [text]
    multiple : float
        Current over rating: 1.35, 1.6 (C only), 2, 3.5 or 6, [-]

    Returns
    -------
    window : tuple of float
        Shortest, longest, [s]

    Raises
    ------
    InputError
        If the multiple is not in the table.

    Notes
    -----
    Limits: 20 to 25 degC; figures of 35 and 40 A fuses. Accuracy: limits a maker promises.

    References
    ----------
    ISO 8820-3 types C and E as printed in a maker's data sheet, second hand; the standard not seen.
    """
    windows = {row.multiple: row for row in table("fuse_times.csv", Window) if row.kind == kind}
    if multiple not in windows:
        kept = ", ".join(f"{each:g}" for each in windows)
        raise InputError(
            [f"no opening time is kept for kind {kind} at {multiple:g} times its rating; there are {kept}"]
        )
    return windows[multiple].shortest, windows[multiple].longest


@offer
def hot_rating(rating: float, ambient: float) -> float:
    """What is left of a blade fuse's rating in a hot place.

    Straight lines between 40 A at 20 degC, 34 at 65, 30 at 85, 25 at 110 and 22 at 125, in proportion to rating.

    Parameters
    ----------
    rating : float
        Printed on it, [A]
    ambient : float
        Air at the fuse, [K]

    Returns
    -------
    current : float
        [A]

    Notes
    -----
    Limits: 20 to 125 degC, held beyond. Accuracy: read for the large 40 A, taken for all.

    References
    ----------
    A maker's data sheet, second hand.
    """
    rows: tuple[Heat, ...] = table("fuse_heat.csv", Heat)
    inside = min(max(ambient, rows[0].ambient), rows[-1].ambient)
    low, high = next((low, high) for low, high in pairwise(rows) if inside <= high.ambient)
    part = (inside - low.ambient) / (high.ambient - low.ambient)
    return rating * (low.current + part * (high.current - low.current)) / low.rating


def fuse_of(series: Sequence[float], current: float, share: float) -> float:
    """Smallest rating of a series for a current that runs on and on.

    I <= share x rating

    Parameters
    ----------
    series : list of float
        Ratings to choose from, [A]
    current : float
        Highest running current, I, [A]
    share : float
        Of the rating to run at, [-]

    Returns
    -------
    rating : float
        [A]

    Raises
    ------
    InputError
        If none is large enough.

    Notes
    -----
    Limits: says nothing of starts or of the wire. Accuracy: practice.

    References
    ----------
    Common practice, no source.
    """
    for rating in sorted(series):
        if current <= share * rating:
            return rating
    raise InputError([f"no fuse up to {max(series):g} A runs at {current:g} A"])


@offer
def fuse_for(current: float, ambient: float, share: float = RUNNING_SHARE) -> float:
    """Smallest blade fuse for a current that runs on and on.

    I <= share x rating x what heat leaves of it

    Parameters
    ----------
    current : float
        Highest running current, I, [A]
    ambient : float
        Air at the fuse; 60 degC in a fuse box under the hood, [K]
    share : float
        Of the rating to run at, [-]

    Returns
    -------
    rating : float
        [A]

    Raises
    ------
    InputError
        If none is large enough.

    Notes
    -----
    Limits: says nothing of starts or of the wire. Accuracy: practice, a share of 0.75 to 0.80.

    References
    ----------
    Common practice, no source; heat as `hot_rating`.
    """
    return fuse_of(sorted({*ratings("C"), *ratings("E")}), current, share * hot_rating(1.0, ambient))


def opens_at_start(kind: str, rating: float, run_current: float, start_current: float, time_constant: float) -> bool:
    """Tell whether a start holds a fuse above a multiple of its rating longer than it is sure to stand.

    The surge is taken to die away as I = I_run + (I_start - I_run) exp(-t / tau).

    Parameters
    ----------
    kind : str
        C or E, [text]
    rating : float
        [A]
    run_current : float
        I_run, [A]
    start_current : float
        I_start, [A]
    time_constant : float
        tau, [s]

    Returns
    -------
    opens : bool
        [-]
    """
    for row in table("fuse_times.csv", Window):
        level = row.multiple * rating
        if row.kind == kind and run_current < level < start_current:
            above = time_constant * math.log((start_current - run_current) / (level - run_current))
            if above > row.shortest:
                return True
    return False


@offer
def fuse_by_start(current: float, start_ratio: float, level: float, time_above: float) -> float:
    """Smallest standard blade fuse that stands both the running current and the start.

    The start's surge dies away exponentially through the reading; the time above 1.35, 1.6, 2, 3.5 and 6 times
    the rating must stay under the fuse's shortest opening time.

    Parameters
    ----------
    current : float
        Running, [A]
    start_ratio : float
        Highest current of a start over running current, [-]
    level : float
        Some current between the two, [A]
    time_above : float
        How long a start stays above it: one reading of a logging clamp meter, [s]

    Returns
    -------
    rating : float
        [A]

    Raises
    ------
    InputError
        If the level is not between running and start current, or no standard blade stands it.

    Notes
    -----
    Limits: standard blades, 20 to 25 degC; a start stays high 1 to 3 s. Accuracy: to one size.

    References
    ----------
    As `opening_window`; running share common practice.
    """
    start = start_ratio * current
    if not current < level < start:
        raise InputError([f"{level:g} A is not between {current:g} A running and {start:g} A at the start"])
    tau = time_above / math.log((start - current) / (level - current))
    for rating in ratings("C"):
        if current <= RUNNING_SHARE * rating and not opens_at_start("C", rating, current, start, tau):
            return rating
    raise InputError(["no standard blade fuse stands this start; fit a large blade or a soft start"])


@offer
def largest_fuse(gauge: float, insulation_temperature: float, ambient: float) -> float:
    """Largest fuse that may protect a wire, where no smaller one carries the load.

    150 % of `ampacity`

    Parameters
    ----------
    gauge : float
        As `ampacity`, [-]
    insulation_temperature : float
        As `ampacity`, [K]
    ambient : float
        Air round the wire, [K]

    Returns
    -------
    rating : float
        [A]

    Notes
    -----
    Limits: under 50 V. The aim is a fuse no larger than the ampacity. Accuracy: a rule.

    References
    ----------
    US 33 CFR 183.455(c)(1), read in a public copy.
    """
    return WIRE_RULE * ampacity(gauge, insulation_temperature, ambient)
