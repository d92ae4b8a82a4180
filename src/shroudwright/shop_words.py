"""How a code is said, with its numbers.

Wording    of one code
said       the finding
"""

import math
from collections.abc import Callable, Mapping
from typing import NamedTuple

from shroudwright.assessment import FindingAnswer
from shroudwright.bench.findings import Level
from shroudwright.speech import Dialect
from shroudwright.wiring.budget import Ways

_HOUR = 3600.0


class Wording(NamedTuple):
    """How one code is said; ``how`` names what its numbers are, and ``{wanted}`` in the remedy is one of them."""

    level: Level
    says: str
    how: str
    remedy: str
    wanted: str = ""
    """what ``{wanted}`` is, where it is not as ``how``"""


def _shown(value: float, how: str, shop: Dialect) -> str:
    shown: dict[str, Callable[[float], str]] = {
        "length": shop.size,
        "temperature": shop.temperature_text,
        "rise": shop.rise,
        "stress": shop.stress,
        "frequency": "{:.0f} times a second".format,
        "number": "{:.0f}".format,
        "ratio": "{:.3g}".format,
        "exact": "{:.7f}".format,
        "angle": lambda angle: f"{math.degrees(angle):.0f}°",
        "amps": "{:.1f} A".format,
        "volts": "{:.1f} V".format,
        "gauge": "{:g} gauge".format,
        "years": "{:.1f} years".format,
        "noise": "{:.0f} dB(A)".format,
        "share": "{:.0%}".format,
        "share a second": "{:.0%} a second".format,
        "time": "{:.0f} s".format,
        "speed": shop.speed,
        "charge": lambda charge: f"{charge / _HOUR:.1f} A h",
        "weight": shop.weight,
        "volume": shop.volume,
        "pressure": shop.gauge_pressure,
    }
    return shown[how](value)


def said(
    wordings: Mapping[str, Wording],
    code: str,
    measured: float | None,
    limit: float | None,
    place: str,
    shop: Dialect,
    level: Level | None = None,
    wanted: float | None = None,
    detail: str = "",
    how: str | None = None,
) -> FindingAnswer:
    """Say a finding.

    Parameters
    ----------
    wordings : mapping
        Of every code.
    code : str
        Of this one.
    measured, limit : float or None
        As its ``how`` says, SI; None where ``detail`` says it.
    place : str
        Where.
    shop : Dialect
        Units to say it in.
    level : str, optional
        Graver than the code's own.
    wanted : float, optional
        What mends it.
    detail : str
        In words.
    how : str, optional
        What the numbers are, where it is not the code's own.

    Returns
    -------
    FindingAnswer
    """
    wording = wordings[code]
    how = how or wording.how
    because = detail
    if how == "count":
        because = "None is typed."
    elif how == "place":
        because = f"{place[:1].upper()}{place[1:]}."
    elif measured is not None and limit is not None:
        because = f"{_shown(measured, how, shop)} against {_shown(limit, how, shop)}."
    remedy = wording.remedy
    if wanted is not None:
        remedy = remedy.replace("{wanted}", _shown(wanted, wording.wanted or how, shop))
    return FindingAnswer(
        code=code,
        level=level or wording.level,
        says=wording.says,
        because=because,
        remedy=remedy,
        source="practice",
        place=place,
    )


def ways_said(ways: Ways) -> list[str]:
    """Return the ways out of a shortfall in words."""
    said = []
    if ways.pulley_ratio is not None:
        said.append(f"pulleys of {ways.pulley_ratio:.2f} to 1")
    if ways.alternator_rating is not None:
        said.append(f"an alternator of {ways.alternator_rating:.0f} A on its case with the same share at idle")
    if ways.duty is not None and ways.flow is not None:
        said.append(f"modules at {100 * ways.duty:.0f} % duty, for {100 * ways.flow:.0f} % of the air")
    if ways.left_off is not None:
        said.append(f"{ways.left_off} left off standing")
    return said or ["fewer loads, or a stronger alternator; its curve would say more"]
