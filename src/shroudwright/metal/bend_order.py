"""The order in which a section's bends are made so that the part never traps itself in the brake.

Turn        one bend of a section, in the order they lie on the flat
Brake       what a leaf brake looks like at the bend line
Made        one bend made: how the sheet lies in the brake for it
bend_order  an order that works, with the fewest times turned over

A leaf brake holds the sheet under its beam and swings the leaf up, so every bend is made upward: for a bend that goes
down the sheet is turned over. What is already bent must clear the bed and the beam on the clamped side, and the leaf
and the beam on the side that swings. Rolls over a former by hand need no brake and are made last.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

_INCH = 0.0254
_STEP = 0.1 * _INCH
_SWINGS = 10
_SLACK = 1e-6


class Turn(NamedTuple):
    """A bend on the flat."""

    angle: float
    """turned through, [rad]"""
    radius: float
    """inside, [m]"""
    is_up: bool
    """towards the outer face's viewer"""
    allowance: float
    """flat length in it, [m]"""
    is_rolled: bool = False
    """over a former by hand"""


class Brake(NamedTuple):
    """A leaf brake at the bend line; the defaults are common practice, no source."""

    lean: float = math.radians(45.0)
    """of the beam's front, back from upright, [rad]"""
    beam_height: float = 4.0 * _INCH
    """of the fingers, [m]"""
    beam_depth: float = 5.0 * _INCH
    """from the bend line back, [m]"""
    bed_depth: float = 12.0 * _INCH
    """from the bend line back, [m]"""
    bed_height: float = 8.0 * _INCH
    """[m]"""
    leaf_depth: float = 0.5 * _INCH
    """of the swinging leaf's edge, its bar taken off, [m]"""
    leaf_height: float = 5.0 * _INCH
    """from its edge down, [m]"""


class Made(NamedTuple):
    """One bend of the order."""

    bend: int
    """its place on the flat, from 0"""
    side_in: str
    """which part of the flat lies under the beam: low (towards y = 0) or high; none for a roll"""
    is_turned_over: bool
    """whether the outer face lies down"""


_Points = NDArray[np.float64]


def _path(straights: Sequence[float], turns: Sequence[tuple[float, float]]) -> _Points:
    """Points along a chain from the origin, first along +x; a turn is its angle, up positive, and its flat length."""
    at, heading = np.zeros(2), 0.0
    points = [at]
    for index, straight in enumerate(straights):
        for angle, run in ((0.0, straight), *(turns[index : index + 1])):
            count = max(math.ceil(run / _STEP), 1)
            headings = heading + angle * (np.arange(count) + 0.5) / count
            steps = run / count * np.column_stack([np.cos(headings), np.sin(headings)])
            walked = at + np.cumsum(steps, axis=0)
            points.extend(walked)
            at, heading = walked[-1], heading + angle
    return np.array(points)


def _turned(points: _Points, angle: float) -> _Points:
    cos, sin = math.cos(angle), math.sin(angle)
    return np.asarray(points @ np.array([[cos, sin], [-sin, cos]]))


def _in_beam(back: _Points, up: _Points, brake: Brake, thickness: float) -> NDArray[np.bool_]:
    behind_front = (back > up * math.tan(brake.lean) + _SLACK) & (back < brake.beam_depth)
    return (up > thickness) & (up < brake.beam_height) & behind_front


def _hits(held: _Points, swung: _Points, angle: float, brake: Brake, thickness: float) -> bool:
    """Whether a bend upward by an angle runs the part into the brake or itself; held is mirrored to x >= 0."""
    x, y = held.T
    back = -_SLACK - thickness
    in_bed = (y < back) & (y > -brake.bed_height) & (x > _SLACK) & (x < brake.bed_depth)
    above = y - thickness
    in_beam = _in_beam(x, above, brake, thickness)
    if bool(np.any(in_bed | in_beam)):
        return True
    x, y = swung.T
    if bool(np.any((y < back) & (y > -brake.leaf_height) & (x > _SLACK) & (x < brake.leaf_depth))):
        return True
    beyond = held[held[:, 0] > 3.0 * thickness]
    for swing in np.linspace(0.0, angle, _SWINGS + 1)[1:]:
        now = _turned(swung, swing)
        x, y = now.T
        in_beam = _in_beam(-x, y, brake, thickness)
        in_bed = (y < back) & (y > -brake.bed_height) & (x < -_SLACK) & (-x < brake.bed_depth)
        if bool(np.any(in_beam | in_bed)):
            return True
        if len(beyond):
            gaps = np.hypot(-beyond[:, 0, None] - x[None, :], beyond[:, 1, None] - y[None, :])
            if float(gaps.min()) < thickness:
                return True
    return False


def _can(
    straights: Sequence[float],
    turns: Sequence[Turn],
    done: int,
    bend: int,
    is_low_in: bool,
    brake: Brake,
    thickness: float,
) -> bool:
    flip = 1.0 if turns[bend].is_up else -1.0

    def bent(index: int) -> tuple[float, float]:
        turn = turns[index]
        sign = flip if turn.is_up else -flip
        return (sign * turn.angle if done >> index & 1 else 0.0), turn.allowance

    low = _path(straights[bend::-1], [bent(index) for index in range(bend - 1, -1, -1)])
    high = _path(straights[bend + 1 :], [bent(index) for index in range(bend + 1, len(turns))])
    held, swung = (low, high) if is_low_in else (high, low)
    return not _hits(held, swung, turns[bend].angle, brake, thickness)


def bend_order(
    straights: Sequence[float], turns: Sequence[Turn], thickness: float, brake: Brake | None = None
) -> tuple[Made, ...] | None:
    """Find an order of bends that clears the brake, with the fewest turns over.

    Parameters
    ----------
    straights : sequence of float
        Straight lengths of the section in the order of the flat, one more than the bends, [m]
    turns : sequence of Turn
        The bends between them.
    thickness : float
        [m]
    brake : Brake, optional
        The brake; the usual hand brake where left out.

    Returns
    -------
    tuple of Made, or None
        One per bend, or none where no order clears this brake.

    Notes
    -----
    Limits: parallel bends, each made in one swing about its line; walls across the bend are not looked at. A roll's
    own radius is not held against the brake.
    Accuracy: the part is followed as a line every 0.1 in, at ten angles of the swing.

    References
    ----------
    Geometry; the brake's sizes are common practice, no source.
    """
    brake = brake or Brake()
    braked = [index for index, turn in enumerate(turns) if not turn.is_rolled]
    # The cheapest way to every set of bends made so far; sets grow, so one pass in order of size is enough.
    best: dict[int, tuple[int, tuple[Made, ...]]] = {0: (0, ())}
    for size in range(len(braked)):
        for done, (turned, made) in sorted(best.items()):
            if len(made) != size:
                continue
            lies_over = bool(made) and made[-1].is_turned_over
            for bend in braked:
                over = not turns[bend].is_up
                cost = turned + (over != lies_over)
                after = done | 1 << bend
                if done >> bend & 1 or (after in best and best[after][0] <= cost):
                    continue
                # The larger part is held where it can be; the smaller swings.
                is_low_larger = sum(straights[: bend + 1]) > sum(straights[bend + 1 :])
                for side in ("low", "high") if is_low_larger else ("high", "low"):
                    if _can(straights, turns, done, bend, side == "low", brake, thickness):
                        best[after] = cost, (*made, Made(bend, side, over))
                        break
    whole = sum(1 << bend for bend in braked)
    if whole not in best:
        return None
    rolls = tuple(Made(index, "none", not turn.is_up) for index, turn in enumerate(turns) if turn.is_rolled)
    return (*best[whole][1], *rolls)
