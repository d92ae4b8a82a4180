"""Whether a fan's box number can be true.

implied_efficiency    efficiency a free-air claim implies
flow_ceiling          the most a fan can move in free air for its amps
flow_per_amp          flow per amp at a pressure
pressure_of_amp_rule  the pressure at which "1 A per 100 cfm" holds
claim_verdict         the implied efficiency in words

Air must at least be given the speed at which it leaves the blades; that jet's power is the floor under
every claim.
"""

import math

from shroudwright.bench.registry import offer

_HUNDRED_CFM = 100.0 * 0.3048**3 / 60.0
_FINE, _BELIEVABLE, _POSSIBLE = 0.45, 0.65, 1.0


def _annulus(blade_diameter: float, hub_ratio: float) -> float:
    return 0.25 * math.pi * blade_diameter**2 * (1.0 - hub_ratio**2)


@offer
def implied_efficiency(
    claimed_flow: float,
    blade_diameter: float,
    hub_ratio: float,
    current: float,
    volts: float,
    air_density: float,
) -> float:
    """Wire-to-air efficiency that a free-air claim implies.

    eta = rho Q^3 / (2 A^2 V I), A = (pi / 4) D^2 (1 - h^2)

    Parameters
    ----------
    claimed_flow : float
        Free-air flow on the box, Q, [m**3/s]
    blade_diameter : float
        Of the blades, not the shroud, D, [m]
    hub_ratio : float
        Hub over blade diameter, h: about 0.4, [-]
    current : float
        I, [A]
    volts : float
        Of the rating, V, [V]
    air_density : float
        1.2 for a box number, rho, [kg/m**3]

    Returns
    -------
    efficiency : float
        [-]

    Notes
    -----
    Limits: fan in a duct or ring, no pressure recovered; an open propeller needs up to 4 times the power. It
    cannot catch a claim that is exaggerated but under the ceiling.
    Accuracy: 10 % with the hub guessed.

    References
    ----------
    Energy of the jet; derived.
    """
    return air_density * claimed_flow**3 / (2.0 * _annulus(blade_diameter, hub_ratio) ** 2 * volts * current)


@offer
def flow_ceiling(
    blade_diameter: float,
    hub_ratio: float,
    current: float,
    volts: float,
    efficiency: float,
    air_density: float,
) -> float:
    """The most air a fan can move in free air at an efficiency.

    Q = (2 eta A^2 V I / rho)^(1/3)

    Parameters
    ----------
    blade_diameter : float
        Of the blades, not the shroud, [m]
    hub_ratio : float
        Hub over blade diameter, about 0.4, [-]
    current : float
        I, [A]
    volts : float
        V, [V]
    efficiency : float
        Wire to air: 0.45 a good brushed fan, 0.65 the best, eta, [-]
    air_density : float
        rho, [kg/m**3]

    Returns
    -------
    flow : float
        [m**3/s]

    Notes
    -----
    Limits: as `implied_efficiency`. Accuracy: 3 % with the hub guessed.

    References
    ----------
    Energy of the jet; derived.
    """
    area = _annulus(blade_diameter, hub_ratio)
    return float((2.0 * efficiency * area**2 * volts * current / air_density) ** (1.0 / 3.0))


@offer
def flow_per_amp(pressure: float, efficiency: float, volts: float) -> float:
    """Flow a fan can move per amp against a pressure.

    Q / I = eta V / p

    Parameters
    ----------
    pressure : float
        Static, at the working point, p, [Pa]
    efficiency : float
        Static, wire to air: 0.15 to 0.25 cheap, 0.25 to 0.40 good brushed, 0.40 to 0.55 brushless, [-]
    volts : float
        V, [V]

    Returns
    -------
    flow_per_amp : float
        [m**3/s/A]

    Notes
    -----
    Limits: near the best point; toward free air the static efficiency goes to nothing. Accuracy: that of eta.

    References
    ----------
    Energy of the air; efficiencies common practice, no source.
    """
    return efficiency * volts / pressure


@offer
def pressure_of_amp_rule(volts: float, efficiency: float) -> float:
    """Static pressure at which "1 amp per 100 cfm" holds.

    p = eta V (1 A) / (100 cfm)

    Parameters
    ----------
    volts : float
        V, [V]
    efficiency : float
        Static, wire to air, eta, [-]

    Returns
    -------
    pressure : float
        [Pa]

    Notes
    -----
    Limits: it is a rule for installed flow; free-air numbers should beat it. Accuracy: that of eta.

    References
    ----------
    Energy of the air; derived.
    """
    return efficiency * volts / _HUNDRED_CFM


def claim_verdict(efficiency: float) -> str:
    """What an implied efficiency says of a claim.

    Parameters
    ----------
    efficiency : float
        From `implied_efficiency`, [-]

    Returns
    -------
    verdict : str
        fine (under 0.45), believable only for a brushless or very good fan (to 0.65), exaggerated (to 1.0)
        or impossible, [text]

    Notes
    -----
    Limits: as `implied_efficiency`. Accuracy: motor 0.85 times fan total 0.75 is 0.64.

    References
    ----------
    Thresholds common practice, no source; 1.0 is energy conservation.
    """
    if efficiency < _FINE:
        return "fine"
    if efficiency <= _BELIEVABLE:
        return "believable only for a brushless or very good fan"
    return "exaggerated" if efficiency <= _POSSIBLE else "impossible"
