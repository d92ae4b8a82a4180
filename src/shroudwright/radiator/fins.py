"""Published relations for the fins of flat-tube cores.

louver_j_chang_wang_1997     Colburn factor of louvered fins
louver_f_chang_2000          friction factor of louvered fins, with the 2006 amendment
louver_friction, louver_f    the same in two steps: once per core, then once per flow
wavy_j_junqi_2007, wavy_f_junqi_2007  wavy fins
fin_efficiency               share of the fin that works
"""

import math
from typing import NamedTuple

from shroudwright.bench.compiled import compilable, inlined

_LOW, _HIGH = 130.0, 230.0  # the two branches of the louver friction factor meet between these
_CREEP = 30.0  # below this the low branch leaves all data, and nears a pole at 2


@compilable
def louver_j_chang_wang_1997(
    fin_pitch: float,
    louver_pitch: float,
    fin_height: float,
    flow_depth: float,
    louver_length: float,
    tube_pitch: float,
    fin_thickness: float,
    louver_angle: float,
    Re: float,
) -> float:
    """Colburn j of louvered fins on flat tubes.

    j = Re^-0.49 (theta/90)^0.27 (Fp/Lp)^-0.14 (Fl/Lp)^-0.29 (Td/Lp)^-0.23 (Ll/Lp)^0.68 (Tp/Lp)^-0.28
    (df/Lp)^-0.05

    Parameters
    ----------
    fin_pitch : float
        Distance from fin leg to fin leg, Fp, [m]
    louver_pitch : float
        Louver pitch, Lp, [m]
    fin_height : float
        Gap between tubes that the fin fills, Fl, [m]
    flow_depth : float
        Depth of the core along the air, Td, [m]
    louver_length : float
        Length of the louver cut, Ll, [m]
    tube_pitch : float
        Fin height plus tube thickness, Tp, [m]
    fin_thickness : float
        Fin sheet thickness, df, [m]
    louver_angle : float
        Louver angle, theta, [rad]
    Re : float
        Reynolds number on louver pitch and least free area, [-]

    Returns
    -------
    j : float
        Nu / (Re Pr^(1/3)), [-]

    Notes
    -----
    Limits: Re 100 to 3000, flow depth 15.6 to 57.4 mm; the power law runs on outside, see
    `shroudwright.radiator.core.range_flags`.
    Accuracy: 89 % of 91 samples within 15 %, mean deviation 7.6 %.

    References
    ----------
    Chang and Wang, Int. J. Heat Mass Transfer 40 (1997) 533, read in public copies of the equations.
    """
    Lp = louver_pitch
    return math.exp(
        -0.49 * math.log(Re)
        + 0.27 * math.log(math.degrees(louver_angle) / 90.0)
        - 0.14 * math.log(fin_pitch / Lp)
        - 0.29 * math.log(fin_height / Lp)
        - 0.23 * math.log(flow_depth / Lp)
        + 0.68 * math.log(louver_length / Lp)
        - 0.28 * math.log(tube_pitch / Lp)
        - 0.05 * math.log(fin_thickness / Lp)
    )


class LouverFriction(NamedTuple):
    """The parts of the louver friction factor that a core fixes: its two branches."""

    low: float
    low_power: float
    high: float
    high_power: float


# ln(0.5 Re) as ln Re + ln 0.5, so that one logarithm serves the power of Re as well.
@compilable
def _low_branch(friction: LouverFriction, Re: float) -> float:
    ln_Re = math.log(Re)
    return friction.low * math.exp(friction.low_power * ln_Re - 3.01 * math.log(ln_Re + math.log(0.5)))


@compilable
def _high_branch(friction: LouverFriction, Re: float) -> float:
    ln_Re = math.log(Re)
    return friction.high * math.exp(friction.high_power * ln_Re - 2.966 * math.log(ln_Re + math.log(0.3)))


@compilable
def louver_friction(
    fin_pitch: float,
    louver_pitch: float,
    fin_height: float,
    flow_depth: float,
    louver_length: float,
    tube_pitch: float,
    fin_thickness: float,
    louver_angle: float,
    tube_thickness: float,
    hydraulic_diameter: float,
) -> LouverFriction:
    """Everything in the friction factor of louvered fins that does not change with the flow.

    Parameters
    ----------
    fin_pitch : float
        Distance from fin leg to fin leg, Fp, [m]
    louver_pitch : float
        Louver pitch, Lp, [m]
    fin_height : float
        Gap between tubes that the fin fills, Fl, [m]
    flow_depth : float
        Depth of the core along the air, Fd, [m]
    louver_length : float
        Length of the louver cut, Ll, [m]
    tube_pitch : float
        Fin height plus tube thickness, Tp, [m]
    fin_thickness : float
        Fin sheet thickness, df, [m]
    louver_angle : float
        Louver angle, theta, [rad]
    tube_thickness : float
        Tube thickness across the air, Dm, [m]
    hydraulic_diameter : float
        Of the air passage, Dh, [m]

    Returns
    -------
    low : float
        Factor of the branch for slow air, [-]
    low_power : float
        Its power of Re, [-]
    high : float
        Factor of the branch for fast air, [-]
    high_power : float
        Its power of Re, [-]

    Notes
    -----
    Limits: as `louver_f_chang_2000`.
    Accuracy: as `louver_f_chang_2000`.

    References
    ----------
    `louver_f_chang_2000`.
    """
    Fp, Lp, Fl, Fd, Ll, df = fin_pitch, louver_pitch, fin_height, flow_depth, louver_length, fin_thickness
    Tp, Dm, Dh = tube_pitch, tube_thickness, hydraulic_diameter
    ln_theta = math.log(math.degrees(louver_angle))
    low = 14.39 * math.exp(
        3.04 * math.log(math.log(1.0 + Fp / Lp))
        - 1.435 * math.log(math.log((df / Fp) ** 0.48 + 0.9))
        - 3.01 * math.log(Dh / Lp)
        - 0.308 * math.log(Fp / Ll * Fd / Ll)
        - 0.1167 * Tp / Dm
        + 0.35 * ln_theta
    )
    high = 4.97 * math.exp(
        -0.527 * math.log(math.log(math.sqrt(df / Fp) + 0.9))
        - 2.966 * math.log(Dh / Lp)
        - 0.7931 * Tp / (Tp - Dm) * math.log(Fp / Ll)
        - 0.0446 * math.log(Tp / Dm)
        - 3.553 * math.log(math.log(1.2 + (Lp / Fp) ** 1.4))
        - 0.477 * ln_theta
    )
    return LouverFriction(low, -0.805 * Fp / Fl, high, 0.6049 - 1.064 * math.exp(-0.2 * ln_theta))


@inlined
def louver_f(friction: LouverFriction, Re: float) -> float:
    """Fanning f of louvered fins at one Reynolds number.

    Parameters
    ----------
    friction : LouverFriction
        What the core fixes, from `louver_friction`, [-]
    Re : float
        Reynolds number on louver pitch and least free area, [-]

    Returns
    -------
    f : float
        A quarter of the Darcy factor, [-]

    Notes
    -----
    Limits: as `louver_f_chang_2000`.
    Accuracy: as `louver_f_chang_2000`.

    References
    ----------
    `louver_f_chang_2000`.
    """
    if Re >= _HIGH:
        return _high_branch(friction, Re)
    if Re > _LOW:
        w = 3.6 - 0.02 * Re
        low_end, high_end = _low_branch(friction, _LOW), _high_branch(friction, _HIGH)
        return math.sqrt(((1.0 + w) * low_end * low_end + (1.0 - w) * high_end * high_end) / 2.0)
    if Re >= _CREEP:
        return _low_branch(friction, Re)
    return _low_branch(friction, _CREEP) * _CREEP / Re


@compilable
def louver_f_chang_2000(
    fin_pitch: float,
    louver_pitch: float,
    fin_height: float,
    flow_depth: float,
    louver_length: float,
    tube_pitch: float,
    fin_thickness: float,
    louver_angle: float,
    tube_thickness: float,
    hydraulic_diameter: float,
    Re: float,
) -> float:
    """Fanning f of louvered fins on flat tubes, f = f1 f2 f3.

    Re <= 130: f1 = 14.39 Re^(-0.805 Fp/Fl) [ln(1 + Fp/Lp)]^3.04,
    f2 = [ln((df/Fp)^0.48 + 0.9)]^-1.435 (Dh/Lp)^-3.01 [ln(0.5 Re)]^-3.01,
    f3 = (Fp/Ll)^-0.308 (Fd/Ll)^-0.308 exp(-0.1167 Tp/Dm) theta^0.35.
    Re >= 230: f1 = 4.97 Re^(0.6049 - 1.064/theta^0.2) [ln((df/Fp)^0.5 + 0.9)]^-0.527,
    f2 = [(Dh/Lp) ln(0.3 Re)]^-2.966 (Fp/Ll)^(-0.7931 Tp/(Tp - Dm)),
    f3 = (Tp/Dm)^-0.0446 [ln(1.2 + (Lp/Fp)^1.4)]^-3.553 theta^-0.477.
    Between: f^2 = [(1 + w) f(130)^2 + (1 - w) f(230)^2] / 2, w = 3.6 - 0.02 Re. theta in degrees.

    Parameters
    ----------
    fin_pitch : float
        Distance from fin leg to fin leg, Fp, [m]
    louver_pitch : float
        Louver pitch, Lp, [m]
    fin_height : float
        Gap between tubes that the fin fills, Fl, [m]
    flow_depth : float
        Depth of the core along the air, Fd, [m]
    louver_length : float
        Length of the louver cut, Ll, [m]
    tube_pitch : float
        Fin height plus tube thickness, Tp, [m]
    fin_thickness : float
        Fin sheet thickness, df, [m]
    louver_angle : float
        Louver angle, theta, [rad]
    tube_thickness : float
        Tube thickness across the air, Dm, [m]
    hydraulic_diameter : float
        Of the air passage, Dh, [m]
    Re : float
        Reynolds number on louver pitch and least free area, [-]

    Returns
    -------
    f : float
        A quarter of the Darcy factor, [-]

    Notes
    -----
    Limits: Re 100 to 3000, flow depth 15.6 to 57.4 mm; runs on outside, see
    `shroudwright.radiator.core.range_flags`; under Re 30, f Re is held. Between Re 130 and 230 the amendment
    is a blend of two unlike fits: on thin cores with coarse louvers, pressure may even fall as flow rises.
    Accuracy: 83 % of the data within 15 %; take 30 % on the pressure drop of a core.

    References
    ----------
    Chang, Hsu, Lin and Wang, Int. J. Heat Mass Transfer 43 (2000) 2237, amended in 49 (2006) 4250, read in
    public copies.
    """
    return louver_f(
        louver_friction(
            fin_pitch,
            louver_pitch,
            fin_height,
            flow_depth,
            louver_length,
            tube_pitch,
            fin_thickness,
            louver_angle,
            tube_thickness,
            hydraulic_diameter,
        ),
        Re,
    )


@compilable
def wavy_j_junqi_2007(
    fin_pitch: float,
    fin_height: float,
    double_amplitude: float,
    flow_depth: float,
    wave_length: float,
    Re: float,
) -> float:
    """Colburn j of wavy fins on flat tubes.

    j = 0.0836 Re^-0.2309 (Fp/Fh)^0.1284 (Fp/2A)^-0.153 (Ld/L)^-0.326

    Parameters
    ----------
    fin_pitch : float
        Distance from fin leg to fin leg, Fp, [m]
    fin_height : float
        Gap between tubes that the fin fills, Fh, [m]
    double_amplitude : float
        Crest to trough of the wave, 2A, [m]
    flow_depth : float
        Depth of the core along the air, Ld, [m]
    wave_length : float
        Length of one wave, L, [m]
    Re : float
        Reynolds number on 2 Fh Fp / (Fh + Fp) and least free area, [-]

    Returns
    -------
    j : float
        Nu / (Re Pr^(1/3)), [-]

    Notes
    -----
    Limits: Re 800 to 6500; the power law runs on outside.
    Accuracy: low confidence: one public copy, and the wave of a core is hardly ever known.

    References
    ----------
    Junqi et al., Applied Thermal Engineering 27 (2007) 2066, read in one public copy.
    """
    return float(
        0.0836
        * Re**-0.2309
        * (fin_pitch / fin_height) ** 0.1284
        * (fin_pitch / double_amplitude) ** -0.153
        * (flow_depth / wave_length) ** -0.326
    )


@compilable
def wavy_f_junqi_2007(
    fin_pitch: float,
    fin_height: float,
    double_amplitude: float,
    flow_depth: float,
    wave_length: float,
    Re: float,
) -> float:
    """Fanning f of wavy fins on flat tubes.

    f = 1.16 Re^-0.309 (Fp/Fh)^0.3703 (Fp/2A)^-0.25 (Ld/L)^-0.1152

    Parameters
    ----------
    fin_pitch : float
        Distance from fin leg to fin leg, Fp, [m]
    fin_height : float
        Gap between tubes that the fin fills, Fh, [m]
    double_amplitude : float
        Crest to trough of the wave, 2A, [m]
    flow_depth : float
        Depth of the core along the air, Ld, [m]
    wave_length : float
        Length of one wave, L, [m]
    Re : float
        Reynolds number on 2 Fh Fp / (Fh + Fp) and least free area, [-]

    Returns
    -------
    f : float
        A quarter of the Darcy factor, [-]

    Notes
    -----
    Limits: Re 800 to 6500; the power law runs on outside.
    Accuracy: low confidence: one public copy, and the wave of a core is hardly ever known.

    References
    ----------
    Junqi et al., Applied Thermal Engineering 27 (2007) 2066, read in one public copy.
    """
    return float(
        1.16
        * Re**-0.309
        * (fin_pitch / fin_height) ** 0.3703
        * (fin_pitch / double_amplitude) ** -0.25
        * (flow_depth / wave_length) ** -0.1152
    )


@inlined
def fin_efficiency(
    heat_transfer_coefficient: float,
    fin_conductivity: float,
    fin_thickness: float,
    flow_depth: float,
    fin_height: float,
) -> float:
    """Share of a straight fin's area that works at the tube's temperature.

    eta = tanh(m l) / (m l), m = sqrt[2 h / (k df) (1 + df / D)], l = half the fin height

    Parameters
    ----------
    heat_transfer_coefficient : float
        On the fin, h, [W/m**2/K]
    fin_conductivity : float
        Of the fin sheet, k, [W/m/K]
    fin_thickness : float
        Fin sheet thickness, df, [m]
    flow_depth : float
        Fin length along the air, D, [m]
    fin_height : float
        Gap between two tubes that both feed the fin, [m]

    Returns
    -------
    efficiency : float
        0 to 1, [-]

    Notes
    -----
    Limits: even coefficient, straight fin joined at both ends; louvers cut only across the heat's path.
    Accuracy: exact for that fin.

    References
    ----------
    Shah and Sekulic, Fundamentals of Heat Exchanger Design, 2003, section 4.3, from memory.
    """
    h, k, df = heat_transfer_coefficient, fin_conductivity, fin_thickness
    ml = math.sqrt(h * (2.0 / (k * df) * (1.0 + df / flow_depth))) * fin_height / 2.0
    if ml < 0.01:  # where the quotient below loses digits
        return 1.0 - ml * ml * (1.0 - 0.4 * ml * ml) / 3.0
    rest = math.exp(-2.0 * ml)
    return (1.0 - rest) / ((1.0 + rest) * ml)
