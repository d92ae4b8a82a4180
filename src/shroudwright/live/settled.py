"""What is told once something has been let go.

CaseSettled    one driving case, every draw solved
Settled        the cases asked for, and whether it fits
settled_case   solved draws -> CaseSettled
"""

from dataclasses import dataclass

import numpy as np

from shroudwright.assessment import Band
from shroudwright.bench.numbers import Draws
from shroudwright.job.fitting import Fit
from shroudwright.judge import AN_HOUR, Solved
from shroudwright.shroud.fit import Clearance, missing, tightest
from shroudwright.uncertain.bands import Verdict, band, chance, verdict


@dataclass(frozen=True)
class CaseSettled:
    """One driving case, every draw solved. Of the coolant alone: no other fluid is judged here."""

    name: str
    chance_of_holding: float
    verdict: Verdict
    coolant: Band | None
    """Into the radiator with the thermostat at work; None for a pull or without a steady state, [K]"""
    coolant_unregulated: Band | None
    """With it full open, likewise, [K]"""
    seconds: Band | None
    """A pull lasts, an hour at most; None for a steady case, [s]"""
    limit: float
    """[K]"""
    air_flow: Band | None
    """Through the core, [m**3/s]"""
    coolant_at_medians: float | None
    """What the quick answer stands on, thermostat full open: the middle of the draws may be some kelvins off it, [K]"""
    seconds_at_medians: float | None
    """The same of a pull, [s]"""
    amps: Band | None
    """Of all electric fans, [A]"""


@dataclass(frozen=True)
class Settled:
    """The cases asked for, and whether it fits."""

    cases: tuple[CaseSettled, ...]
    """The governing one first."""
    fit: Fit

    @property
    def nearest(self) -> Clearance | None:
        """Clearance with least to spare."""
        return tightest(self.fit.clearances)

    @property
    def fits(self) -> bool:
        """Whether every clearance is kept."""
        return not missing(self.fit.clearances)


def settled_case(name: str, solved: Solved) -> CaseSettled:
    """Tell one case as its assessment does, without the outside air it holds.

    Parameters
    ----------
    name : str
        Of the case, [text]
    solved : Solved
        Every draw.

    Returns
    -------
    CaseSettled
    """
    r, share = solved.results, chance(solved.holds[1:])
    pull = solved.is_pull
    return CaseSettled(
        name=name,
        chance_of_holding=share,
        verdict=verdict(share),
        coolant=None if pull else _band(r.coolant_in),
        coolant_unregulated=None if pull else _band(r.coolant_unregulated),
        seconds=_band(np.minimum(r.seconds_to_limit, AN_HOUR)) if pull else None,
        limit=float(solved.params["limit"][0]),
        air_flow=_band(r.air_flow),
        coolant_at_medians=None if pull else _known(r.coolant_unregulated[0]),
        seconds_at_medians=_known(min(r.seconds_to_limit[0], AN_HOUR)) if pull else None,
        amps=_band(np.nansum(r.fan_amps, axis=1)),
    )


def _band(values: Draws) -> Band | None:
    spread = band(np.asarray(values)[1:])
    return None if spread is None else Band(**spread._asdict())


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
