"""A slow scalar rating of one core, written apart from the package, for tests to lean on.

Effectiveness, laminar Nusselt number and Gnielinski come from ht, standard pressure from fluids, properties
from CoolProp without a table, the balance from scipy; fins, areas and pressure drops are coded here again
from the published relations. Nothing of the package is imported.
"""

import math
from dataclasses import dataclass
from functools import cache

import CoolProp
import numpy as np
from CoolProp.CoolProp import AbstractState, HAPropsSI
from fluids.atmosphere import ATMOSPHERE_1976
from ht.conv_internal import Nu_laminar_rectangular_Shan_London, turbulent_Gnielinski
from ht.hx import effectiveness_from_NTU
from scipy.optimize import brentq

GLYCOL_20C = {"MEG": 1113.5, "MPG": 1036.0}


@dataclass(frozen=True)
class Case:
    """One core, in the names of the papers, and the two flows through it."""

    fin: str
    L: float
    S: float
    D: float
    Nr: int
    w: float
    Dm: float
    tw: float
    Fp: float
    Fl: float
    df: float
    k: float
    Lp: float
    theta: float  # degrees
    Ll: float
    passes: int
    m_air: float
    T_air: float
    P: float
    glycol: str
    x: float
    m_coolant: float
    T_coolant: float


def pressure(altitude: float) -> float:
    """Standard pressure at a geometric height."""
    return float(ATMOSPHERE_1976(altitude).P)


@cache
def _liquid(glycol: str) -> AbstractState:
    return AbstractState("HEOS", "Water") if glycol == "water" else AbstractState("INCOMP", glycol)


def _read(state: AbstractState) -> np.ndarray:
    return np.array([state.rhomass(), state.cpmass(), state.conductivity(), math.log(state.viscosity())])


def _within(glycol: str, w: float, T: float) -> np.ndarray:
    """Return properties at a mass share the library knows, run on past 98 C."""
    state = _liquid(glycol)
    state.set_mass_fractions([w])

    def at(celsius: float) -> np.ndarray:
        state.update(CoolProp.PT_INPUTS, 4e5, celsius + 273.15)
        return _read(state)

    if T <= 371.15:
        return at(T - 273.15)
    p58, p78, p98 = at(58.0), at(78.0), at(98.0)
    out = p78 + (p98 - p78) * (T - 351.15) / 20.0
    u, u58, u78, u98 = 1 / T, 1 / 331.15, 1 / 351.15, 1 / 371.15
    out[3] = (  # Lagrange
        p58[3] * (u - u78) * (u - u98) / ((u58 - u78) * (u58 - u98))
        + p78[3] * (u - u58) * (u - u98) / ((u78 - u58) * (u78 - u98))
        + p98[3] * (u - u58) * (u - u78) / ((u98 - u58) * (u98 - u78))
    )
    return out


def coolant(glycol: str, x: float, T: float) -> tuple[float, float, float, float]:
    """Density, specific heat, conductivity and viscosity straight from the library."""
    if glycol == "water":
        water = _liquid(glycol)
        water.update(CoolProp.QT_INPUTS, 0.0, T)
        values = _read(water)
    else:
        rho = GLYCOL_20C[glycol]
        w = x * rho / (x * rho + (1 - x) * 998.2)
        if w <= 0.6:
            values = _within(glycol, w, T)
        else:
            p50, p60 = _within(glycol, 0.5, T), _within(glycol, 0.6, T)
            values = p50 + (p60 - p50) * (w - 0.5) / 0.1
    return values[0], values[1], values[2], math.exp(values[3])


def louver_j(c: Case, Re: float) -> float:
    r = [v / c.Lp for v in (c.Fp, c.Fl, c.D, c.Ll, c.Fl + c.Dm, c.df)]
    powers = (-0.14, -0.29, -0.23, 0.68, -0.28, -0.05)
    logs = sum(p * math.log(v) for p, v in zip(powers, r, strict=True))
    return math.exp(logs - 0.49 * math.log(Re) + 0.27 * math.log(c.theta / 90))


def louver_f(c: Case, Re: float, Dh: float) -> float:
    Tp, th = c.Fl + c.Dm, c.theta
    if Re <= 130:
        f1 = 14.39 * Re ** (-0.805 * c.Fp / c.Fl) * np.log(1 + c.Fp / c.Lp) ** 3.04
        f2 = np.log((c.df / c.Fp) ** 0.48 + 0.9) ** -1.435 * (Dh / c.Lp) ** -3.01 * np.log(0.5 * Re) ** -3.01
        f3 = (c.Fp / c.Ll) ** -0.308 * (c.D / c.Ll) ** -0.308 * np.exp(-0.1167 * Tp / c.Dm) * th**0.35
        return float(f1 * f2 * f3)
    if Re >= 230:
        f1 = 4.97 * Re ** (0.6049 - 1.064 / th**0.2) * np.log((c.df / c.Fp) ** 0.5 + 0.9) ** -0.527
        f2 = (Dh / c.Lp * np.log(0.3 * Re)) ** -2.966 * (c.Fp / c.Ll) ** (-0.7931 * Tp / (Tp - c.Dm))
        f3 = (Tp / c.Dm) ** -0.0446 * np.log(1.2 + (c.Lp / c.Fp) ** 1.4) ** -3.553 * th**-0.477
        return float(f1 * f2 * f3)
    w = 3.6 - 0.02 * Re
    return math.sqrt(0.5 * ((1 + w) * louver_f(c, 130, Dh) ** 2 + (1 - w) * louver_f(c, 230, Dh) ** 2))


def _f_re(a: float) -> float:
    """Darcy f Re of a rectangle from the exact series, where the package has the polynomial."""
    n = np.arange(1, 60, 2)
    series = float(np.sum(np.tanh(n * np.pi / (2 * a)) / n**5.0))
    return 96.0 / ((1 + a) ** 2 * (1 - 192 * a / math.pi**5 * series))


def _duct(Re: float, Pr: float, Dh: float, L: float, a: float) -> tuple[float, float]:
    """Nu and Darcy f of a smooth flat duct."""

    def laminar(re: float) -> tuple[float, float]:
        X = L / Dh / (re * Pr)
        entry = 0.024 * X**-1.14 / (1 + 0.0358 * Pr**0.17 * X**-0.64)
        return Nu_laminar_rectangular_Shan_London(a) + entry, _f_re(a) / re

    def turbulent(re: float) -> tuple[float, float]:
        fd = (0.79 * math.log(re) - 1.64) ** -2
        return turbulent_Gnielinski(re, Pr, fd) * (1 + (Dh / L) ** (2 / 3)), fd

    if Re < 2300:
        return laminar(Re)
    if Re > 4000:
        return turbulent(Re)
    g = (Re - 2300) / 1700
    (nu0, f0), (nu1, f1) = laminar(2300), turbulent(4000)
    return (1 - g) * nu0 + g * nu1, (1 - g) * f0 + g * f1


def _fin(c: Case, G: float, mu: float, Pr: float, Dh: float) -> tuple[float, float]:
    """Colburn and Fanning factors of the case's fin."""
    if c.fin == "louvered":
        Re = G * c.Lp / mu
        return louver_j(c, Re), louver_f(c, Re, Dh)
    if c.fin == "wavy":
        Re = G * 2 * c.Fl * c.Fp / (c.Fl + c.Fp) / mu
        j = 0.0836 * Re**-0.2309 * (c.Fp / c.Fl) ** 0.1284 * (c.Fp / 1.5e-3) ** -0.153
        f = 1.16 * Re**-0.309 * (c.Fp / c.Fl) ** 0.3703 * (c.Fp / 1.5e-3) ** -0.25
        return j * (c.D / 10.8e-3) ** -0.326, f * (c.D / 10.8e-3) ** -0.1152
    Re = G * Dh / mu
    Nu, fd = _duct(Re, Pr, Dh, c.D, (c.Fp - c.df) / c.Fl)
    return Nu / (Re * Pr ** (1 / 3)), fd / 4


@dataclass(frozen=True)
class Rating:
    heat: float
    air_pressure_drop: float
    coolant_pressure_drop: float
    coolant_Re: float


def rate(c: Case) -> Rating:
    """Rate one core: the heat at which the balance closes, found by a bracketed root."""
    n_t = math.floor((c.S - c.Fl) / (c.Fl + c.Dm))
    n_leg = c.L / c.Fp
    A_fin = (n_t + 1) * n_leg * 2 * c.Fl * c.D
    A_c = (n_t + 1) * c.Fl * (c.L - n_leg * c.df)
    straight = c.w - c.Dm
    outside = n_t * c.Nr * c.L * (2 * straight + math.pi * c.Dm)
    A_o = A_fin + outside - n_t * c.Nr * 2 * n_leg * c.df * straight
    Dh = 4 * A_c * c.D / A_o
    s = A_c / (c.L * c.S)
    wb, b = c.w - 2 * c.tw, c.Dm - 2 * c.tw
    bore, wet = (wb - b) * b + math.pi * b**2 / 4, 2 * (wb - b) + math.pi * b
    D_i, A_i = 4 * bore / wet, n_t * c.Nr * wet * c.L
    G = c.m_air / A_c
    G_i = c.m_coolant / (n_t * c.Nr / c.passes) / bore

    def sides(heat: float) -> tuple[float, float, float, float, float]:
        """Heat by effectiveness, f of air, and the coolant's f, density, Re, if this heat were passed."""
        cp = 1006.0
        for _ in range(2):
            film = c.T_air + heat / (c.m_air * cp) / 2
            cp = HAPropsSI("cp_ha", "T", film, "P", c.P, "W", 0)
        mu = HAPropsSI("mu", "T", film, "P", c.P, "W", 0)
        Pr = cp * mu / HAPropsSI("k", "T", film, "P", c.P, "W", 0)
        cp_i = coolant(c.glycol, c.x, c.T_coolant)[1]
        for _ in range(2):
            rho, cp_i, k, mu_i = coolant(c.glycol, c.x, c.T_coolant - heat / (c.m_coolant * cp_i) / 2)
        j, f = _fin(c, G, mu, Pr, Dh)
        h = j * G * cp / Pr ** (2 / 3)
        ml = math.sqrt(2 * h / (c.k * c.df) * (1 + c.df / c.D)) * c.Fl / 2
        eta_o = 1 - A_fin / A_o * (1 - math.tanh(ml) / ml)
        Re_i = G_i * D_i / mu_i
        Nu_i, f_i = _duct(Re_i, cp_i * mu_i / k, D_i, c.L, b / wb)
        wall = c.tw / (c.k * (outside + A_i) / 2)
        UA = 1 / (1 / (eta_o * h * A_o) + wall + D_i / (Nu_i * k * A_i))
        C = sorted((c.m_air * cp, c.m_coolant * cp_i))
        eps = effectiveness_from_NTU(UA / C[0], C[0] / C[1], subtype="crossflow")
        return eps * C[0] * (c.T_coolant - c.T_air), f, f_i, rho, Re_i

    most = min(c.m_air * 1030, c.m_coolant * 4300) * (c.T_coolant - c.T_air)
    heat = brentq(lambda Q: sides(Q)[0] - Q, 0.01 * most, most, xtol=1e-4, rtol=1e-7)
    _, f, f_i, rho_i, Re_i = sides(heat)
    T_out = c.T_air + heat / (c.m_air * HAPropsSI("cp_ha", "T", c.T_air + 10, "P", c.P, "W", 0))
    v1, v2 = (HAPropsSI("Vha", "T", T, "P", c.P, "W", 0) for T in (c.T_air, T_out))
    losses = (
        0.42 * (1 - s**2)
        + (1 - s**2)
        + 2 * (v2 / v1 - 1)
        + f * A_o / A_c * 0.5 * (v1 + v2) / v1
        - (1 - s**2 - (1 - s) ** 2) * v2 / v1
    )
    return Rating(
        heat,
        G**2 * v1 / 2 * losses,
        c.passes * (f_i * c.L / D_i + 1.5) * G_i**2 / (2 * rho_i),
        Re_i,
    )
