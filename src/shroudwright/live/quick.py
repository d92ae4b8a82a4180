"""What is told in every frame while something is moved.

FanNow     one fan
Quick      the governing case at the medians, and every clearance
told       a solved row and one look -> Quick
nothing    Quick without numbers, and why
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from shroudwright.drawing.air_map import Face
from shroudwright.fans.noise import add_levels, fan_sound
from shroudwright.job.fitting import Fit
from shroudwright.live.look import Look
from shroudwright.shroud.fit import Clearance, missing, tightest

UNSETTLED = "The air behind the shroud cannot be worked out with the fans there; move them."
OVERLAPS = "Fan openings overlap or are off the shroud: no air is worked out until they are moved."
NOT_AGREED = "The air is still settling: hold still for a moment."


@dataclass(frozen=True)
class FanNow:
    """One fan at the medians."""

    code: str
    air_flow: float
    """[m**3/s]"""
    pressure: float
    """[Pa]"""
    amps: float
    """[A]"""
    running: bool
    stalled: bool


@dataclass(frozen=True)
class Quick:
    """The governing case at the medians, and every clearance. Numbers nobody can stand by are None, and it says why."""

    case: str
    coolant: float | None
    """Into the radiator with the thermostat at work; None for a pull or without a steady state, [K]"""
    coolant_unregulated: float | None
    """With it full open, likewise, [K]"""
    seconds: float | None
    """A pull lasts, inf for ever; None for a steady case, [s]"""
    limit: float
    """[K]"""
    air_flow: float | None
    """Through the core, [m**3/s]"""
    fans: tuple[FanNow, ...]
    """Empty where no air is worked out."""
    amps: float | None
    """Of all electric fans, [A]"""
    noise: float | None
    """Of the fans that drive air, at 1 m; None where none does, [dB]"""
    evenness: float | None
    """Of the face speed, variation about its mean, [-]"""
    starved_share: float | None
    """Core below half the mean speed, [-]"""
    K: float | None
    """Of the plenum, [-]"""
    face: Face | None
    """The air for the picture; None without a field."""
    fit: Fit
    has_settled: bool
    says: str
    """Why there are no numbers, or why they are not sure; empty where they are."""

    @property
    def clearances(self) -> list[Clearance]:
        """Every clearance, [m]."""
        return self.fit.clearances

    @property
    def nearest(self) -> Clearance | None:
        """Clearance with least to spare."""
        return tightest(self.fit.clearances)

    @property
    def fits(self) -> bool:
        """Whether every clearance is kept."""
        return not missing(self.fit.clearances)


def told(
    case: str, codes: Sequence[str], row: Any, r: Any, found: Look | None, face: Face | None, fit: Fit, says: str
) -> Quick:
    """Tell a solved row.

    Parameters
    ----------
    case : str
        Its name, [text]
    codes : sequence of str
        Of the fans, in the record's order.
    row, r : record
        What was solved, and its result.
    found : Look or None
        What was seen of the air; None without a field.
    face : Face or None
        The same for the picture; None where the field knows nothing of some fan.
    fit : Fit
        Every clearance.
    says : str
        What is not sure; empty where nothing is, [text]

    Returns
    -------
    Quick
    """
    pull, spread = bool(np.isfinite(row.pull_start)), None if found is None or face is None else found.spread
    fans = tuple(
        FanNow(
            code=code,
            air_flow=float(r.fan_flow[i]),
            pressure=float(r.fan_pressure[i]),
            amps=float(r.fan_amps[i]),
            running=bool(r.fan_speed[i] > 0.0),
            stalled=bool(r.fan_is_stalled[i] > 0.0),
        )
        for i, code in enumerate(codes)
    )
    driving = [fan for fan in fans if fan.running and fan.pressure > 0.0]
    loud = [np.asarray(fan_sound(fan.air_flow, fan.pressure, fan.stalled)) for fan in driving]
    return Quick(
        case=case,
        coolant=None if pull else _known(r.coolant_in),
        coolant_unregulated=None if pull else _known(r.coolant_unregulated),
        seconds=float(r.seconds_to_limit) if pull else None,
        limit=float(row.limit),
        air_flow=_known(r.air_flow),
        fans=fans,
        amps=float(np.nansum(r.fan_amps)),
        noise=float(add_levels(loud)) if loud else None,
        evenness=None if spread is None else spread.evenness,
        starved_share=None if spread is None else spread.starved_share,
        K=None if found is None else float(r.plenum_loss),
        face=face,
        fit=fit,
        has_settled=not says,
        says=says,
    )


def nothing(case: str, limit: float, fit: Fit, says: str) -> Quick:
    """Tell the clearances alone, and why there is no more."""
    none = (None, None, None)
    return Quick(case, *none, limit, None, (), None, None, *none, None, fit, has_settled=False, says=says)


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
