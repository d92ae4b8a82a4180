"""Water and its vapour in balance: pressure at a temperature, and back.

vapour_pressure         over water, over ice below the triple point
saturation_temperature  where plain water boils
"""

import math

from shroudwright.bench.errors import OutOfRange
from shroudwright.bench.registry import offer

_COLDEST, _TRIPLE, _CRITICAL = 190.0, 273.16, 647.096  # K
_LOWEST, _HIGHEST = 611.213, 22.064e6  # Pa
_N1, _N2, _N3, _N4, _N5 = 1167.0521452767, -724213.16703206, -17.073846940092, 12020.824702470, -3232555.0322333
_N6, _N7, _N8, _N9, _N10 = 14.915108613530, -4823.2657361591, 405113.40542057, -0.23855557567849, 650.17534844798


def vapour_pressure(temperature: float) -> float:
    """Pressure of water vapour in balance with water, or with ice below the triple point.

    P = 1 MPa {2 C / [-B + sqrt(B^2 - 4 A C)]}^4, A = th^2 + n1 th + n2, B = n3 th^2 + n4 th + n5,
    C = n6 th^2 + n7 th + n8, th = T + n9 / (T - n10); over ice
    ln(P / 611.657 Pa) = (a1 th^b1 + a2 th^b2 + a3 th^b3) / th, th = T / 273.16 K

    Parameters
    ----------
    temperature : float
        Temperature of both, [K]

    Returns
    -------
    vapour_pressure : float
        Absolute pressure of the vapour alone, [Pa]

    Notes
    -----
    Limits: 190 to 647.096 K; refused outside. No air present; see `air.humidity_ratio` for what air does to it.
    Accuracy: within 0.02 % of IAPWS-95 from 0 to 150 C.

    References
    ----------
    IAPWS R7-97(2012), industrial formulation, region 4, Eq. 30 and Table 34; IAPWS R14-08(2011), Eq. 6,
    sublimation. Both read in public codings; the releases' own check values are met.
    """
    if not _COLDEST <= temperature <= _CRITICAL:
        raise OutOfRange("water temperature", temperature, _COLDEST, _CRITICAL, "K")
    if temperature < _TRIPLE:
        th = temperature / _TRIPLE
        powers = -21.2144006 * th**0.00333333333 + 27.3203819 * th**1.20666667 - 6.10598130 * th**1.70333333
        return 611.657 * math.exp(powers / th)
    th = temperature + _N9 / (temperature - _N10)
    A = (th + _N1) * th + _N2
    B = (_N3 * th + _N4) * th + _N5
    C = (_N6 * th + _N7) * th + _N8
    return float(1e6 * (2.0 * C / (-B + math.sqrt(B * B - 4.0 * A * C))) ** 4)


@offer
def saturation_temperature(pressure: float) -> float:
    """Boiling point of plain water.

    T = [n10 + D - sqrt((n10 + D)^2 - 4 (n9 + n10 D))] / 2, D = 2 G / [-F - sqrt(F^2 - 4 E G)],
    E = b^2 + n3 b + n6, F = n1 b^2 + n4 b + n7, G = n2 b^2 + n5 b + n8, b = (P / 1 MPa)^(1/4)

    Parameters
    ----------
    pressure : float
        Absolute pressure, [Pa]

    Returns
    -------
    saturation_temperature : float
        Boiling point, [K]

    Notes
    -----
    Limits: 611.213 Pa to 22.064 MPa; refused outside.
    Accuracy: within 0.01 K of IAPWS-95 up to 1 MPa.

    References
    ----------
    IAPWS R7-97(2012), industrial formulation, region 4, Eq. 31 and Table 34; read in public codings, the
    release's own check values are met.
    """
    if not _LOWEST <= pressure <= _HIGHEST:
        raise OutOfRange("water pressure", pressure, _LOWEST, _HIGHEST, "Pa")
    b = (pressure / 1e6) ** 0.25
    E = (b + _N3) * b + _N6
    F = (_N1 * b + _N4) * b + _N7
    G = (_N2 * b + _N5) * b + _N8
    D = 2.0 * G / (-F - math.sqrt(F * F - 4.0 * E * G))
    return float(0.5 * (_N10 + D - math.sqrt((_N10 + D) ** 2 - 4.0 * (_N9 + _N10 * D))))
