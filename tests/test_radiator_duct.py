"""Flow inside a duct, against libraries and printed figures."""

import math

import pytest
from ht.conv_internal import Nu_laminar_rectangular_Shan_London, turbulent_Gnielinski
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.radiator import duct
from tests.checks import row
from tests.oracle_radiator import _f_re


@pytest.mark.independent("ht Nu_laminar_rectangular_Shan_London; exact series for f Re")
@pytest.mark.parametrize("a", [0.03, 0.06, 0.125, 0.3, 0.7, 1.0])
def test_laminar_rectangular(a: float) -> None:
    assert duct.nu_laminar_rectangular(a) == pytest.approx(Nu_laminar_rectangular_Shan_London(a), rel=1e-9)
    assert duct.f_re_laminar_rectangular(a) == pytest.approx(_f_re(a), rel=1e-3)


@pytest.mark.independent("ht turbulent_Gnielinski")
@pytest.mark.parametrize(("Re", "Pr"), [(4000.0, 0.7), (1e4, 7.0), (5e4, 40.0)])
def test_nu_gnielinski(Re: float, Pr: float) -> None:
    f = duct.darcy_f_filonenko(Re)
    assert duct.nu_gnielinski(Re, Pr, f) == pytest.approx(turbulent_Gnielinski(Re, Pr, f), rel=1e-12)


@pytest.mark.by_hand("dp = f (L/D) rho v^2/2 with the row's own numbers, f of darcy_f_filonenko")
@pytest.mark.row("DUCT-P2")
def test_smooth_tube_pressure_drop() -> None:
    item = row("DUCT-P2")
    m, D, L, rho, mu = (item.inputs[key] for key in ("m", "D", "L", "rho", "mu"))
    v = m / (rho * math.pi * D**2 / 4)
    dp = duct.duct_darcy_f(rho * v * D / mu, 64.0) * L / D * rho * v**2 / 2
    assert item.accepts(dp)


@pytest.mark.law("no jump where the regimes meet; dp never falls as flow rises")
@settings(deadline=None)
@given(st.floats(1.0, 50.0), st.floats(1e-4, 0.05), st.floats(0.0, 1.0), st.floats(10.0, 6000.0))
def test_regimes_join(Pr: float, ratio: float, a: float, Re: float) -> None:
    Nu, f_re = duct.nu_laminar_rectangular(a), duct.f_re_laminar_rectangular(a)
    for edge in (2300.0, 4000.0):
        below, above = (duct.duct_nu(edge * (1 + e), Pr, ratio, Nu) for e in (-1e-9, 1e-9))
        assert below == pytest.approx(above, rel=1e-6)
        below, above = (duct.duct_darcy_f(edge * (1 + e), f_re) for e in (-1e-9, 1e-9))
        assert below == pytest.approx(above, rel=1e-6)
    low, high = (duct.duct_darcy_f(r, f_re) * r * r for r in (Re, 1.01 * Re))
    assert high > low


@pytest.mark.law("a short duct beats a long one; a very long laminar one is developed")
def test_entry() -> None:
    assert duct.duct_nu(1000.0, 7.0, 1e-9, 7.5) == pytest.approx(7.5, rel=1e-4)
    for Re in (1000.0, 3000.0, 9000.0):
        assert duct.duct_nu(Re, 7.0, 0.01, 7.5) > duct.duct_nu(Re, 7.0, 0.001, 7.5)


@pytest.mark.law("a stopped flow divides by nothing")
def test_stopped() -> None:
    assert duct.duct_nu(0.0, 7.0, 0.01, 7.5) == pytest.approx(7.5)
    assert math.isfinite(duct.duct_darcy_f(0.0, 90.0))
