"""The radiator core as taped, and the areas and constants that follow from it.

Core     what is measured
Surface  what follows, once per core
surface  one from the other
"""

import math
from typing import NamedTuple

from shroudwright.bench.compiled import compilable
from shroudwright.radiator.duct import (
    f_re_laminar_rectangular,
    hydraulic_diameter_obround,
    nu_laminar_rectangular,
)
from shroudwright.radiator.fins import (
    LouverFriction,
    louver_friction,
    louver_j_chang_wang_1997,
    wavy_f_junqi_2007,
    wavy_j_junqi_2007,
)

FINS = ("louvered", "plain", "wavy")
LOUVERED, PLAIN, WAVY = 0.0, 1.0, 2.0
_DOUBLE_AMPLITUDE, _WAVE_LENGTH = 0.0015, 0.0108  # m, of wavy fins: from memory, hardly ever known


class Core(NamedTuple):
    """One core, tubes along `tube_length`, stacked over `stack_height`; SI, angles in rad."""

    fin: float
    """Place of the fin's word in `FINS`."""
    tube_length: float
    stack_height: float
    depth: float
    rows: float
    tube_width: float
    tube_thickness: float
    tube_wall: float
    fins_per_metre: float
    fin_height: float
    fin_thickness: float
    fin_conductivity: float
    """Of the tube wall too."""
    louver_pitch: float
    louver_angle: float
    louver_length_share: float
    passes: float


class Surface(NamedTuple):
    """Areas, diameters and fin constants of one core."""

    tubes: float
    """In all rows together."""
    face_area: float
    free_area: float
    """Least free area for the air."""
    free_share: float
    """Free area over face area."""
    fin_area: float
    air_area: float
    """Fins and bare tube together."""
    air_diameter: float
    """Hydraulic diameter of the air passage."""
    air_length: float
    """Length the air's Reynolds number is taken on."""
    j_scale: float
    """Colburn factor at Re = 1 of a louvered or wavy fin."""
    f_scale: float
    """Friction factor at Re = 1 of a wavy fin."""
    fin_nu: float
    """Developed laminar Nusselt number of the passage between plain fins."""
    fin_f_re: float
    bore_area: float
    """Of one tube."""
    bore_diameter: float
    coolant_area: float
    """Wetted, all tubes."""
    wall_area: float
    """Mean of the outside and the inside of all tubes."""
    bore_nu: float
    bore_f_re: float
    friction: LouverFriction
    """Constants of the louver relation; last, so that the plain numbers stand together."""


THINNEST_FIN = 0.015
"""Least fin thickness over fin pitch the friction relation is trusted to; it has a pole at 0.008."""


@compilable
def surface(core: Core) -> Surface:
    """Areas, hydraulic diameters and flow-independent constants of a core.

    tubes per row n = floor[(S - Fl) / (Fl + Dm)]; n + 1 layers of fin

    Parameters
    ----------
    core : Core
        The core, [-]

    Returns
    -------
    surface : Surface
        What follows from it, [-]

    Notes
    -----
    Limits: fins over the whole depth, between tubes and outside the first and last; louvers take nothing off
    the free area; at least one tube must fit.
    Accuracy: exact for that shape.

    References
    ----------
    Geometry, in the form the louver relations are defined on.
    """
    L, D, Fl, Dm, df = core.tube_length, core.depth, core.fin_height, core.tube_thickness, core.fin_thickness
    Tp, Fp, Lp = Fl + Dm, 1.0 / core.fins_per_metre, core.louver_pitch
    n = float(math.floor((core.stack_height - Fl) / Tp))
    gaps, legs, tubes = n + 1.0, L / Fp, n * core.rows
    fin_area = gaps * legs * 2.0 * Fl * D
    flat = core.tube_width - Dm
    bare = tubes * ((2.0 * flat + math.pi * Dm) * L - 2.0 * legs * df * flat)
    free_area = gaps * Fl * (L - legs * df)
    face_area = L * core.stack_height
    air_area = fin_area + bare
    Dh = 4.0 * free_area * D / air_area

    air_length, j_scale, f_scale, friction = Dh, 0.0, 0.0, LouverFriction(0.0, 0.0, 0.0, 0.0)
    if core.fin == LOUVERED:
        Ll, theta = core.louver_length_share * Fl, core.louver_angle
        air_length = Lp
        j_scale = louver_j_chang_wang_1997(Fp, Lp, Fl, D, Ll, Tp, df, theta, 1.0)
        friction = louver_friction(Fp, Lp, Fl, D, Ll, Tp, max(df, THINNEST_FIN * Fp), theta, Dm, Dh)
    elif core.fin == WAVY:
        air_length = 2.0 * Fl * Fp / (Fl + Fp)
        j_scale = wavy_j_junqi_2007(Fp, Fl, _DOUBLE_AMPLITUDE, D, _WAVE_LENGTH, 1.0)
        f_scale = wavy_f_junqi_2007(Fp, Fl, _DOUBLE_AMPLITUDE, D, _WAVE_LENGTH, 1.0)
    gap = Fp - df
    fin_ratio = min(gap, Fl) / max(gap, Fl)

    w, b = core.tube_width - 2.0 * core.tube_wall, Dm - 2.0 * core.tube_wall
    bore_area = (w - b) * b + math.pi * b * b / 4.0
    bore_diameter = hydraulic_diameter_obround(core.tube_width, Dm, core.tube_wall)
    coolant_area = tubes * L * 4.0 * bore_area / bore_diameter
    outside = tubes * L * (2.0 * flat + math.pi * Dm)
    return Surface(
        tubes,
        face_area,
        free_area,
        free_area / face_area,
        fin_area,
        air_area,
        Dh,
        air_length,
        j_scale,
        f_scale,
        nu_laminar_rectangular(fin_ratio),
        f_re_laminar_rectangular(fin_ratio),
        bore_area,
        bore_diameter,
        coolant_area,
        (outside + coolant_area) / 2.0,
        nu_laminar_rectangular(b / w),
        f_re_laminar_rectangular(b / w),
        friction,
    )
