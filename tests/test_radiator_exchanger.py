"""Effectiveness and cross-flow heat, against a library's quadrature and worked examples."""

import math

import pytest
from ht.hx import effectiveness_from_NTU
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from shroudwright.bench.errors import InputError
from shroudwright.radiator.exchanger import crossflow, effectiveness
from tests.checks import row


@pytest.mark.independent("ht, exact cross flow by quadrature")
@pytest.mark.parametrize("NTU", [0.05, 0.3, 1.0, 2.5, 6.0, 10.0, 25.0])
@pytest.mark.parametrize("Cr", [0.02, 0.17, 0.5, 0.9, 1.0])
def test_effectiveness(NTU: float, Cr: float) -> None:
    assert effectiveness(NTU, Cr) == pytest.approx(effectiveness_from_NTU(NTU, Cr, subtype="crossflow"), abs=1e-9)


@pytest.mark.by_hand("Mason's series summed term by term in exact rationals but for two exponentials")
def test_effectiveness_by_long_series() -> None:
    NTU, Cr = 10.0, 0.8

    def tail(x: float, n: int) -> float:
        return math.fsum(math.exp(-x + m * math.log(x) - math.lgamma(m + 1)) for m in range(n + 1, n + 200))

    exact = math.fsum(tail(NTU, n) * tail(Cr * NTU, n) for n in range(120)) / (Cr * NTU)
    assert effectiveness(NTU, Cr) == pytest.approx(exact, abs=1e-12)


@pytest.mark.law("Cr to 0 gives 1 - exp(-NTU); NTU to 0 gives NTU; no NTU gives nothing")
@settings(deadline=None)
@given(st.floats(0.0, 60.0))
def test_limits(NTU: float) -> None:
    assert effectiveness(NTU, 0.0) == pytest.approx(1.0 - math.exp(-NTU), abs=1e-12)
    assert effectiveness(NTU, 1e-10) == pytest.approx(1.0 - math.exp(-NTU), abs=1e-8)
    assert effectiveness(NTU * 1e-9, 0.7) == pytest.approx(NTU * 1e-9, rel=1e-6, abs=1e-300)


@pytest.mark.law("rises with NTU, falls with Cr, never reaches counterflow's bound")
@settings(deadline=None)
@given(st.floats(0.01, 40.0), st.floats(0.02, 0.97))
def test_order(NTU: float, Cr: float) -> None:
    here = effectiveness(NTU, Cr)
    bound = -math.expm1(-NTU * (1 - Cr)) / (1 - Cr * math.exp(-NTU * (1 - Cr)))
    assert 0.0 < here <= bound + 1e-12
    assert effectiveness(1.1 * NTU, Cr) >= here - 1e-12
    assert effectiveness(NTU, 1.02 * Cr) <= here + 1e-12
    one_mixed = -math.expm1(-Cr * -math.expm1(-NTU)) / Cr
    assert here >= one_mixed - 1e-12


@pytest.mark.by_hand("series in NTU to the fourth order, both streams unmixed")
@pytest.mark.parametrize("NTU", [1e-8, 1e-5, 1e-3])
@pytest.mark.parametrize("Cr", [1e-9, 0.01, 0.7, 1.0])
def test_small_ntu(NTU: float, Cr: float) -> None:
    """Term by term of Mason's series: a0 b0 + a1 b1 with a0 = N - N^2/2 + N^3/6 and a1 = N^2/2 - N^3/3."""
    N, C = NTU, Cr * NTU
    a0 = N - N**2 / 2.0 + N**3 / 6.0 - N**4 / 24.0
    b0_over_C = 1.0 - C / 2.0 + C**2 / 6.0 - C**3 / 24.0
    a1, b1_over_C = N**2 / 2.0 - N**3 / 3.0, C / 2.0 - C**2 / 3.0
    assert effectiveness(NTU, Cr) == pytest.approx(a0 * b0_over_C + a1 * b1_over_C, rel=1e-11)


@pytest.mark.law("no step where subtraction takes over from expm1")
@pytest.mark.parametrize(("NTU", "Cr"), [(0.01, 0.5), (0.02, 0.5), (1.0, 0.01), (0.01, 1.0)])
def test_no_step_at_the_switch(NTU: float, Cr: float) -> None:
    below, above = (effectiveness(NTU * (1.0 + e), Cr) for e in (-1e-13, 1e-13))
    assert above == pytest.approx(below, rel=1e-12)


@pytest.mark.law("an NTU past any core stays finite and below one")
@pytest.mark.parametrize("NTU", [199.0, 201.0, 1e4, 1e9])
def test_large_ntu(NTU: float) -> None:
    assert 0.93 < effectiveness(NTU, 1.0) < 1.0
    assert effectiveness(NTU, 0.2) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.law("heat balances on both streams")
@settings(deadline=None)
@given(
    st.floats(5.0, 500.0),
    st.floats(0.1, 5.0),
    st.floats(0.1, 5.0),
    st.floats(280.0, 400.0),
    st.floats(260.0, 390.0),
)
def test_crossflow_balances(U: float, hot: float, cold: float, hot_in: float, cold_in: float) -> None:
    heat, hot_out, cold_out, _, _ = crossflow(U, 20.0, hot, 3500.0, cold, 1006.0, hot_in, cold_in)
    assert hot * 3500.0 * (hot_in - hot_out) == pytest.approx(heat, rel=1e-9, abs=1e-6)
    assert cold * 1006.0 * (cold_out - cold_in) == pytest.approx(heat, rel=1e-9, abs=1e-6)


def approximation(NTU: float, Cr: float) -> float:
    """Return the handbook's short form for both streams unmixed, which the package does not use."""
    return 1.0 - math.exp((math.exp(-Cr * NTU**0.78) - 1.0) * NTU**0.22 / Cr)


@pytest.mark.published("equation-solver exchanger library, example 1: 0.7632 printed, exact 0.7557")
@pytest.mark.row("EFF-P5")
def test_common_approximation_reads_one_percent_high() -> None:
    item = row("EFF-P5")
    C_min, C_max = sorted((item.inputs["C1"], item.inputs["C2"]))
    NTU, Cr = item.inputs["UA"] / C_min, C_min / C_max
    assert item.accepts(approximation(NTU, Cr))
    assert effectiveness(NTU, Cr) == pytest.approx(0.7557, abs=5e-5)


@pytest.mark.published("the same documentation, example 2")
@pytest.mark.row("EFF-P6")
def test_ntu_from_effectiveness() -> None:
    item = row("EFF-P6")
    C_min, C_max = sorted((item.inputs["C1"], item.inputs["C2"]))
    eps, Cr = item.inputs["eps"], C_min / C_max
    short = brentq(lambda NTU: approximation(NTU, Cr) - eps, 0.1, 10.0)
    assert item.accepts(short)
    assert brentq(lambda NTU: effectiveness(NTU, Cr) - eps, 0.1, 10.0) == pytest.approx(short, rel=0.01)


@pytest.mark.published("Holman, Heat Transfer, 10th ed., example 10-9, steam mixed")
@pytest.mark.row("EFF-P7", "HX-P1")
def test_one_stream_mixed() -> None:
    """The printed case has the greater stream mixed; ours, neither mixed, reads 2 % above it."""
    item = row("HX-P1")
    U, A, hot_in, cold_in = (item.inputs[key] for key in ("U", "A", "Thi", "Tci"))
    oil, steam = (item.inputs[f"m_{name}"] * item.inputs[f"cp_{name}"] for name in ("oil", "steam"))
    NTU, Cr = U * A / oil, oil / steam
    mixed = -math.expm1(-Cr * -math.expm1(-NTU)) / Cr
    assert row("EFF-P7").accepts(mixed)
    assert item.accepts(mixed * oil * (hot_in - cold_in))
    ours = crossflow(U, A, 1.0, steam, 1.0, oil, hot_in, cold_in)
    assert mixed < ours.effectiveness < 1.02 * mixed


@pytest.mark.published("Incropera and DeWitt, example 11.3")
@pytest.mark.row("HX-P2")
def test_area_for_a_duty() -> None:
    item = row("HX-P2")
    hot_in, hot_out, cold_in, cold_out, water, cp, U = (
        item.inputs[key] for key in ("Thi", "Tho", "Tci", "Tco", "m_water", "cp_water", "U")
    )
    heat = water * cp * (cold_out - cold_in)
    gas = heat / (hot_in - hot_out)
    area = brentq(lambda A: crossflow(U, A, 1.0, gas, water, cp, hot_in, cold_in).heat - heat, 1.0, 200.0)
    assert item.accepts(area)


@pytest.mark.published("Holman, Heat Transfer, example 10.10")
@pytest.mark.row("HX-P5")
def test_counterflow_is_the_bound() -> None:
    item = row("HX-P5")
    C_min, C_max = sorted((item.inputs["C_cold"], item.inputs["C_hot"]))
    NTU, Cr = item.inputs["UA"] / C_min, C_min / C_max
    bound = -math.expm1(-NTU * (1 - Cr)) / (1 - Cr * math.exp(-NTU * (1 - Cr)))
    assert item.accepts(bound)
    assert 0.93 * bound < effectiveness(NTU, Cr) < bound


@pytest.mark.behaviour("a stream that stands still has no answer")
def test_still_stream_is_refused() -> None:
    with pytest.raises(InputError, match="must be above zero"):
        crossflow(50.0, 1.0, 0.0, 3500.0, 1.0, 1006.0, 360.0, 300.0)
