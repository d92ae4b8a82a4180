"""Each function the compiled batch calls gives the same number compiled as plain."""

import math
from typing import Any

import numba
import pytest

from shroudwright.materials import air
from shroudwright.materials.coolant import coolant_properties, coolant_table
from shroudwright.radiator import duct, fins
from shroudwright.radiator.core import (
    Core,
    air_pressure_drop,
    air_side,
    coolant_pressure_drop,
    coolant_side,
    surface,
    ua,
)
from shroudwright.radiator.exchanger import effectiveness

CORE = Core(0, 0.6, 0.4, 0.05, 2, 0.022, 0.002, 3.5e-4, 590, 8e-3, 1e-4, 180, 1.2e-3, 0.47, 0.85, 1)

# A plain name for each, so that the compiled wrapper sees functions and not modules.
density, specific_heat, viscosity, conductivity = (
    air.density, air.specific_heat, air.viscosity, air.conductivity,
)  # fmt: skip
louver_j, louver_f = fins.louver_j_chang_wang_1997, fins.louver_f_chang_2000
wavy_j, wavy_f, fin_efficiency = fins.wavy_j_junqi_2007, fins.wavy_f_junqi_2007, fins.fin_efficiency
filonenko, gnielinski = duct.darcy_f_filonenko, duct.nu_gnielinski
nu_rectangle, f_re_rectangle = duct.nu_laminar_rectangular, duct.f_re_laminar_rectangular
obround = duct.hydraulic_diameter_obround


@numba.njit(cache=True)
def relations(Re: float) -> Any:
    return (
        density(9e4, 300.0 + 0.01 * Re, 0.01),
        specific_heat(300.0 + 0.01 * Re, 0.01),
        viscosity(300.0 + 0.01 * Re),
        conductivity(300.0 + 0.01 * Re),
        louver_j(0.0017, 0.0012, 0.008, 0.05, 0.0068, 0.01, 1e-4, 0.47, Re),
        louver_f(0.0017, 0.0012, 0.008, 0.05, 0.0068, 0.01, 1e-4, 0.47, 0.002, 0.0027, Re),
        wavy_j(0.0017, 0.008, 0.0015, 0.05, 0.0108, Re),
        wavy_f(0.0017, 0.008, 0.0015, 0.05, 0.0108, Re),
        fin_efficiency(0.3 * Re, 180.0, 1e-4, 0.05, 0.008),
        filonenko(10.0 * Re),
        gnielinski(10.0 * Re, 6.0, 0.03),
        nu_rectangle(1.0 / Re),
        f_re_rectangle(1.0 / Re),
        obround(0.022, 0.002, 3e-4),
        effectiveness(0.01 * Re, 0.6),
    )


@numba.njit(cache=True)
def whole(core: Core, table: Any, flow: float) -> Any:
    made = surface(core)
    outside = air_side(core, made, flow, 330.0, 0.01)
    rho, cp, k, mu = coolant_properties(table, 340.0 + flow)
    inside = coolant_side(core, made, 2.0 * flow, rho, cp, k, mu)
    return (
        outside.j,
        ua(core, made, outside.eta_h_A, inside.h_A),
        air_pressure_drop(core, made, outside.f, flow, 1.1, 1.0),
        coolant_pressure_drop(core, made, 2.0 * flow, rho, mu),
    )


@pytest.mark.independent("the same relations run by the plain interpreter")
@pytest.mark.parametrize("Re", [20.0, 110.0, 180.0, 500.0])
def test_relations(Re: float) -> None:
    assert relations(Re) == pytest.approx(relations.py_func(Re), rel=1e-12)


@pytest.mark.independent("the same relations run by the plain interpreter")
@pytest.mark.parametrize("fin", [0.0, 1.0, 2.0])
@pytest.mark.parametrize("flow", [0.1, 0.9, 3.0])
def test_whole_core(fin: float, flow: float) -> None:
    core = Core(*(float(value) for value in CORE._replace(fin=fin)))
    table = coolant_table("MEG", 0.5)
    assert all(math.isfinite(value) for value in whole(core, table, flow))
    assert whole(core, table, flow) == pytest.approx(whole.py_func(core, table, flow), rel=1e-12)
