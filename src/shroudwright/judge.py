"""From solved draws to one driving case's answer: bands, chances and a verdict.

judge_case    the answer for one case
drawing       what its fans draw together
sounding      how loud fans are together
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.assessment import Band, CaseAnswer, FanAnswer, FieldAnswer
from shroudwright.bench.numbers import Draws
from shroudwright.fans.noise import BAND, add_levels, fan_sound
from shroudwright.job.filled import Filled
from shroudwright.job.heat_load import HeatLoad
from shroudwright.job.model import has_belt_fan
from shroudwright.materials.coolant import Glycol, beyond_range
from shroudwright.pack.outcome import air_to_boil
from shroudwright.radiator.core import Core, range_flags
from shroudwright.uncertain.bands import band, chance, verdict, with_nine_in_ten

BOIL_AT_1_ATM = 373.15
AN_HOUR = 3600.0
BELT_FAN = "belt fan"


@dataclass(frozen=True)
class Solved:
    """One driving case solved for every draw; row 0 of every array is the medians."""

    index: int
    load: HeatLoad
    params: Any
    results: Any
    boil: NDArray[np.float64]
    margin_amps: NDArray[np.float64] | None
    """Amps the alternator has left, where it is known."""
    asked: float
    """Seconds a pull must last; 0 for a steady case."""

    @property
    def margin(self) -> NDArray[np.float64]:
        """Limit less coolant temperature, K; for a pull, seconds left over; nan without a steady state."""
        if self.is_pull:
            return np.asarray(np.minimum(self.results.seconds_to_limit, AN_HOUR))
        return np.asarray(self.params["limit"] - self.results.coolant_unregulated)

    @property
    def holds(self) -> NDArray[np.bool_]:
        """Whether each draw holds."""
        return self.margin >= self.asked

    @property
    def is_pull(self) -> bool:
        """Whether the case is a full-throttle pull."""
        return bool(np.isfinite(self.params["pull_start"][0]))


def _band(values: Draws) -> Band | None:
    spread = band(np.asarray(values)[1:])
    return None if spread is None else Band(**spread._asdict())


def _some(values: Draws) -> Band:
    found = _band(values)
    assert found is not None
    return found


def _fans(filled: Filled, solved: Solved) -> list[FanAnswer]:
    results = solved.results
    fans = [(fan.code, fan.free_flow, fan.noise) for fan in filled.job.fans]
    if has_belt_fan(filled.job):
        fans.append((BELT_FAN, filled.job.belt_fan.free_flow, None))
    return [
        FanAnswer(
            code=code,
            air_flow=_some(results.fan_flow[:, i]),
            pressure=_some(results.fan_pressure[:, i]),
            running=bool(results.fan_speed[0, i] > 0.0),
            volts=_some(results.fan_volts[:, i]),
            amps=_some(results.fan_amps[:, i]),
            share_of_box_number=None if free is None else _band(results.fan_flow[:, i] / free.value),
            noise=sounding(results, [i]),
            noise_as_typed=None if noise is None else noise.value,
            stalled=float(np.mean(results.fan_is_stalled[1:, i])),
        )
        for i, (code, free, noise) in enumerate(fans)
    ]


def drawing(results: Any, fans: int) -> Band | None:
    """Return what fans draw together.

    Parameters
    ----------
    results : record array
        Of one case, row 0 the medians.
    fans : int
        How many there are.

    Returns
    -------
    Band or None
        Median, 5 and 95 %, [A]; None without an electric fan.
    """
    return _some(results.fan_amps[:, :fans].sum(axis=1)) if fans else None


def sounding(results: Any, fans: Iterable[int]) -> Band | None:
    """Return the sound of fans together at 1 m.

    Parameters
    ----------
    results : record array
        Of one case, row 0 the medians.
    fans : iterable of int
        Their places; those that stand still or are driven by the wind in the middle answer are left out.

    Returns
    -------
    Band or None
        Median, 5 and 95 %, [dB(A)]; None where none runs.
    """
    driving = [i for i in fans if results.fan_speed[0, i] > 0.0 and results.fan_pressure[0, i] > 0.0]
    if not driving:
        return None
    flow, pressure, stalled = results.fan_flow, results.fan_pressure, results.fan_is_stalled > 0.0
    level = _some(add_levels([fan_sound(flow[:, i], pressure[:, i], stalled[:, i]) for i in driving]))
    return Band(
        value=level.value,
        low=level.value - np.hypot(level.value - level.low, BAND),
        high=level.value + np.hypot(level.high - level.value, BAND),
    )


def judge_case(filled: Filled, solved: Solved, glycol: Glycol, share: float) -> CaseAnswer:
    """Judge one driving case.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    solved : Solved
        The case's loads, records and results.
    glycol : str
        Code of the glycol, for its range flags, [text]
    share : float
        Of the glycol by volume, [-]

    Returns
    -------
    CaseAnswer
        SI; null where the case has no steady state.
    """
    case, p, r = filled.job.cases[solved.index], solved.params, solved.results
    how_likely = chance(solved.holds[1:])
    face = p["core"][:, 1] * p["core"][:, 2]
    fans = _fans(filled, solved)
    bare = not fans or filled.word("shroud.type") == "none"
    steady = not solved.is_pull
    coolant_in = r.coolant_in if steady else np.full_like(r.coolant_in, np.nan)
    hottest = float(r.coolant_in[0]) if steady else float(p["limit"][0])
    flags = [*solved.load.flags, *range_flags(Core(*p["core"][0]), float(r.Re[0]))]
    flags += beyond_range(glycol, share, hottest)
    return CaseAnswer(
        name=case.name,
        kind=case.kind,
        heat=_some(solved.load.radiator),
        heat_by_source={name: float(heat[0]) for name, heat in solved.load.by_source.items()},
        heat_ahead=float(np.nansum(r.ahead_heat[0])),
        air_mass_flow=_band(r.air_mass_flow),
        air_flow=_band(r.air_flow),
        face_velocity=_band(r.air_flow / face),
        air_in=_band(r.air_in),
        air_out=_band(r.air_out) if steady else None,
        coolant_flow=_band(r.coolant_flow),
        coolant_in=_band(coolant_in),
        coolant_out=_band(r.coolant_out) if steady else None,
        coolant_unregulated=_band(r.coolant_unregulated) if steady else None,
        regulated_share=float(np.mean(r.lift[1:] < 1.0)) if steady else 0.0,
        limit=float(p["limit"][0]),
        boil=float(solved.boil[0]),
        boil_margin=_band(solved.boil - coolant_in),
        ambient=float(p["ambient"][0]),
        ambient_held=_band(r.ambient_held) if steady else None,
        good_to=with_nine_in_ten(np.asarray(r.ambient_held)[1:]) if steady else None,
        air_to_boil_100C=_band(air_to_boil(BOIL_AT_1_ATM, r.coolant_unregulated, p["ambient"])) if steady else None,
        air_to_boil_cap=_band(air_to_boil(solved.boil, r.coolant_unregulated, p["ambient"])) if steady else None,
        chance_of_holding=how_likely,
        verdict=verdict(how_likely),
        seconds_to_limit=_pull_band(r.seconds_to_limit) if solved.is_pull else None,
        seconds_asked=solved.asked if solved.is_pull else None,
        volts=float(p["source_volts"][0]),
        alternator_margin=None if solved.margin_amps is None else _some(solved.margin_amps),
        fans=fans,
        noise=sounding(r, range(len(fans))),
        field=FieldAnswer(
            K_plenum=None if bare else float(r.plenum_loss[0]),
            heat_ratio=None if bare else float(r.heat_ratio[0]),
        ),
        beyond_range=list(dict.fromkeys(flags)),
    )


def _pull_band(seconds: NDArray[np.float64]) -> Band | None:
    """Seconds, an hour standing for never; null if the limit is never reached in most draws."""
    found = _some(np.minimum(seconds, AN_HOUR))
    return None if found.value >= AN_HOUR else found
