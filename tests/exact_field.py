"""Exact solutions of the depth-averaged momentum of air in a plenum, worked out by hand from its equation."""

import numpy as np
from scipy.optimize import brentq

from shroudwright.pack.cells import Law, Numbers


def strip_square(x: Numbers, length: float, depth: float, law: Law) -> Numbers:
    """Face speed over that at the open end, a frictionless strip behind a core of square loss, x from the dead end."""
    mu = np.sqrt(law.density * law.profile / law.square) / depth
    return np.asarray(np.cosh(mu * x) / np.cosh(mu * length))


def strip_linear(length: float, depth: float, law: Law, exit_speed: float) -> tuple[float, float]:
    """Face speed at the dead end, and air per width, of a frictionless strip behind a core of linear loss.

    v = v0 / cos^2(x sqrt(v0 kappa)), kappa = rho beta / (a h^2).
    """
    kappa = law.density * law.profile / (law.linear * depth**2)

    def over(v0: float) -> float:
        return float(v0 / np.cos(length * np.sqrt(v0 * kappa)) ** 2 - exit_speed)

    v0 = float(brentq(over, 0.0, min(exit_speed, (np.pi / 2.0 / length) ** 2 / kappa * (1.0 - 1e-12)), xtol=1e-14))
    return v0, float(np.sqrt(v0 / kappa) * np.tan(length * np.sqrt(v0 * kappa)))


def strip_fed_evenly(x: float, depth: float, law: Law, speed: float) -> float:
    """Fall of pressure from the dead end of a strip every part of which gives the same air."""
    return law.profile * law.density * (speed * x / depth) ** 2


def disc_fed_evenly(r: Numbers, outer: float, depth: float, law: Law, speed: float) -> Numbers:
    """Fall of pressure from the rim of a round plenum every part of which gives the same air, drawn at the middle."""
    turned = (outer**2 - r**2) ** 2 / (8.0 * r**2)
    gathered = (outer**2 * np.log(outer / r) - (outer**2 - r**2) / 2.0) / 2.0
    return np.asarray(law.profile * law.density * speed**2 / depth**2 * (turned + gathered))
