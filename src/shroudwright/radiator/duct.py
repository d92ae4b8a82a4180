"""Flow inside one smooth duct: laminar, transitional and turbulent.

hydraulic_diameter_obround  bore of a flat tube
nu_laminar_rectangular, f_re_laminar_rectangular  developed laminar flow
darcy_f_filonenko, nu_gnielinski                  turbulent flow
duct_nu, duct_darcy_f       any regime, entry length included
"""

import math

from shroudwright.bench.compiled import compilable, inlined
from shroudwright.bench.registry import offer

_LAMINAR, _TURBULENT = 2300.0, 4000.0
STILL = 1e-6  # least Reynolds number, so that a stopped flow divides by something


@offer
@compilable
def hydraulic_diameter_obround(tube_width: float, tube_thickness: float, tube_wall: float) -> float:
    """Hydraulic diameter of a flat tube's bore, straight sides and round ends.

    D_h = 4 [(w - b) b + pi b^2 / 4] / [2 (w - b) + pi b]

    Parameters
    ----------
    tube_width : float
        Outside width of the tube along the air, [m]
    tube_thickness : float
        Outside thickness of the tube across the air, [m]
    tube_wall : float
        Wall thickness, [m]

    Returns
    -------
    hydraulic_diameter : float
        Four times bore area over wetted length, [m]

    Notes
    -----
    Limits: tube wider than it is thick; no dimples, webs or turbulators.
    Accuracy: exact.

    References
    ----------
    Geometry.
    """
    w, b = tube_width - 2.0 * tube_wall, tube_thickness - 2.0 * tube_wall
    return 4.0 * ((w - b) * b + math.pi * b * b / 4.0) / (2.0 * (w - b) + math.pi * b)


@compilable
def nu_laminar_rectangular(aspect_ratio: float) -> float:
    """Nusselt number of developed laminar flow in a rectangular duct, even heat flux.

    Nu = 8.235 (1 - 2.0421 a + 3.0853 a^2 - 2.4765 a^3 + 1.0578 a^4 - 0.1861 a^5)

    Parameters
    ----------
    aspect_ratio : float
        Short side over long side, a, [-]

    Returns
    -------
    Nu : float
        On the hydraulic diameter, [-]

    Notes
    -----
    Limits: 0 to 1; heat flux even along the duct, wall temperature even around it; round ends left out.
    Accuracy: 0.03 % of the exact solution.

    References
    ----------
    Shah and London, Laminar Flow Forced Convection in Ducts, 1978, read through a library's coding.
    """
    a = aspect_ratio
    return 8.235 * (1.0 + a * (-2.0421 + a * (3.0853 + a * (-2.4765 + a * (1.0578 - 0.1861 * a)))))


@compilable
def f_re_laminar_rectangular(aspect_ratio: float) -> float:
    """Darcy friction factor times Reynolds number, developed laminar flow in a rectangular duct.

    f Re = 96 (1 - 1.3553 a + 1.9467 a^2 - 1.7012 a^3 + 0.9564 a^4 - 0.2537 a^5)

    Parameters
    ----------
    aspect_ratio : float
        Short side over long side, a, [-]

    Returns
    -------
    f_re : float
        On the hydraulic diameter, [-]

    Notes
    -----
    Limits: 0 to 1; round ends left out.
    Accuracy: 0.05 % of the exact solution.

    References
    ----------
    Shah and London, Laminar Flow Forced Convection in Ducts, 1978, from memory; agrees with the table in
    Incropera and DeWitt.
    """
    a = aspect_ratio
    return 96.0 * (1.0 + a * (-1.3553 + a * (1.9467 + a * (-1.7012 + a * (0.9564 - 0.2537 * a)))))


@compilable
def darcy_f_filonenko(Re: float) -> float:
    """Darcy friction factor of turbulent flow in a smooth duct.

    f = (0.79 ln Re - 1.64)^-2

    Parameters
    ----------
    Re : float
        Reynolds number on the hydraulic diameter, [-]

    Returns
    -------
    f : float
        Four times the Fanning factor, [-]

    Notes
    -----
    Limits: 3000 to 5 million, smooth wall; the formula runs on outside.
    Accuracy: about 2 %.

    References
    ----------
    Filonenko (1954), as in Petukhov, Advances in Heat Transfer 6 (1970), from memory.
    """
    root = 0.79 * math.log(Re) - 1.64
    return 1.0 / (root * root)


@compilable
def nu_gnielinski(Re: float, Pr: float, f: float) -> float:
    """Nusselt number of developed turbulent flow in a smooth duct.

    Nu = (f / 8) (Re - 1000) Pr / [1 + 12.7 sqrt(f / 8) (Pr^(2/3) - 1)]

    Parameters
    ----------
    Re : float
        Reynolds number on the hydraulic diameter, [-]
    Pr : float
        Prandtl number, [-]
    f : float
        Darcy friction factor, [-]

    Returns
    -------
    Nu : float
        On the hydraulic diameter, [-]

    Notes
    -----
    Limits: Re 3000 to 5 million, Pr 0.5 to 2000; used here from 4000 up.
    Accuracy: about 10 %.

    References
    ----------
    Gnielinski, International Chemical Engineering 16 (1976) 359, read through a library's coding.
    """
    resistance = 1.0 + 12.7 * math.sqrt(f / 8.0) * (Pr ** (2.0 / 3.0) - 1.0)
    return float((f / 8.0) * (Re - 1000.0) * Pr / resistance)


@inlined
def _nu_laminar(Re: float, Pr: float, diameter_over_length: float, nu_developed: float) -> float:
    """Developed laminar Nusselt number plus Stephan's entry term."""
    per_X = diameter_over_length * Re * Pr
    entry = per_X**0.64
    return float(nu_developed + 0.024 * entry * math.sqrt(per_X) / (1.0 + 0.0358 * Pr**0.17 * entry))


@inlined
def _nu_turbulent(Re: float, Pr: float, diameter_over_length: float) -> float:
    """Gnielinski with the smooth-tube friction factor and the entry factor."""
    return float(nu_gnielinski(Re, Pr, darcy_f_filonenko(Re)) * (1.0 + diameter_over_length ** (2.0 / 3.0)))


@inlined
def duct_nu(Re: float, Pr: float, diameter_over_length: float, nu_developed: float) -> float:
    """Mean Nusselt number of a duct in any regime.

    Re < 2300: Nu_dev + 0.024 X^-1.14 / (1 + 0.0358 Pr^0.17 X^-0.64), X = (L / D_h) / (Re Pr);
    Re > 4000: Gnielinski times 1 + (D_h / L)^(2/3); between, straight in Re from one end to the other

    Parameters
    ----------
    Re : float
        Reynolds number on the hydraulic diameter, [-]
    Pr : float
        Prandtl number, [-]
    diameter_over_length : float
        Hydraulic diameter over the length of one run, [-]
    nu_developed : float
        Developed laminar value, from `nu_laminar_rectangular`, [-]

    Returns
    -------
    Nu : float
        On the hydraulic diameter, [-]

    Notes
    -----
    Limits: smooth wall; no natural convection; a flow that stands still is taken at Re = 1e-6.
    Accuracy: about 10 % laminar and turbulent; between them the flow itself is not settled.

    References
    ----------
    Entry term after Stephan (1959), from memory; intermittency after Gnielinski (1995), from memory.
    """
    if Re < _LAMINAR:
        return _nu_laminar(max(Re, STILL), Pr, diameter_over_length, nu_developed)
    if Re > _TURBULENT:
        return _nu_turbulent(Re, Pr, diameter_over_length)
    share = (Re - _LAMINAR) / (_TURBULENT - _LAMINAR)
    low = _nu_laminar(_LAMINAR, Pr, diameter_over_length, nu_developed)
    return low + share * (_nu_turbulent(_TURBULENT, Pr, diameter_over_length) - low)


@inlined
def duct_darcy_f(Re: float, f_re: float) -> float:
    """Darcy friction factor of a duct in any regime.

    f Re over Re up to 2300, Filonenko from 4000, straight in Re between

    Parameters
    ----------
    Re : float
        Reynolds number on the hydraulic diameter, [-]
    f_re : float
        Developed laminar value, from `f_re_laminar_rectangular`, [-]

    Returns
    -------
    f : float
        Four times the Fanning factor, [-]

    Notes
    -----
    Limits: smooth wall; a flow that stands still is taken at Re = 1e-6.
    Accuracy: 2 % outside 2300 to 4000; inside, the flow itself is not settled.

    References
    ----------
    `f_re_laminar_rectangular`, `darcy_f_filonenko`; straight between so that it never jumps (practice).
    """
    if Re < _LAMINAR:
        return f_re / max(Re, STILL)
    if Re > _TURBULENT:
        return darcy_f_filonenko(Re)
    low = f_re / _LAMINAR
    share = (Re - _LAMINAR) / (_TURBULENT - _LAMINAR)
    return low + share * (darcy_f_filonenko(_TURBULENT) - low)
