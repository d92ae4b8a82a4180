import pytest
from fluids.piping import t_from_gauge
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.materials.conductor import (
    awg_area,
    awg_area_ratio,
    awg_diameter,
    copper_temperature,
    gauge_resistance,
    metric_resistance,
    resistance_per_length,
    resistivity,
    sae_area,
    sae_over_awg,
    voltage_drop,
)

FOOT = 0.3048
BAY = 353.15
WARM = 293.15


@pytest.mark.independent("fluids.piping, American Wire Gauge table")
@pytest.mark.parametrize("gauge", [4, 6, 8, 10, 12, 14, 16, 18])
def test_diameter(gauge: int) -> None:
    assert awg_diameter(gauge) == pytest.approx(t_from_gauge(gauge, schedule="AWG"), rel=1e-3)


AWG_RESISTANCE = [(14, 8.285), (12, 5.211), (10, 3.277), (8, 2.061), (6, 1.296), (4, 0.815)]


@pytest.mark.published("public wire tables at 20 C, milliohm per metre, second hand")
@pytest.mark.parametrize(("gauge", "milliohm"), AWG_RESISTANCE)
def test_awg_resistance(gauge: float, milliohm: float) -> None:
    assert gauge_resistance(gauge, "AWG", WARM) * 1e3 == pytest.approx(milliohm, abs=6e-4)


SAE = [
    (18, 0.779, 0.946, 8.34),
    (16, 1.184, 0.904, 5.49),
    (14, 1.876, 0.901, 3.46),
    (12, 2.956, 0.893, 2.20),
    (10, 4.734, 0.900, 1.37),
    (8, 7.504, 0.897, 0.865),
    (6, 12.43, 0.935, 0.522),
    (4, 18.93, 0.895, 0.343),
]


@pytest.mark.published("SAE J1128 areas in public copies, second hand; area, share of AWG, milliohm/ft at 80 C")
@pytest.mark.parametrize(("gauge", "square_mm", "share", "milliohm_per_foot"), SAE)
def test_sae_wire(gauge: float, square_mm: float, share: float, milliohm_per_foot: float) -> None:
    assert sae_area(gauge) * 1e6 == pytest.approx(square_mm, rel=5e-4)
    assert sae_over_awg(gauge) == pytest.approx(share, abs=6e-4)
    assert gauge_resistance(gauge, "SAE", BAY) * FOOT * 1e3 == pytest.approx(milliohm_per_foot, rel=3e-3)


@pytest.mark.independent(
    "separate prototype: longest round trip for 0.4 V in SAE wire at 80 C, feet at 14 / 20 / 28 / 35 A"
)
@pytest.mark.parametrize(
    ("gauge", "feet"),
    [(12, (13.0, 9.1, 6.5, 5.2)), (10, (20.8, 14.6, 10.4, 8.3)), (8, (33.0, 23.1, 16.5, 13.2))],
)
def test_longest_wire(gauge: float, feet: tuple[float, ...]) -> None:
    for amps, length in zip((14.0, 20.0, 28.0, 35.0), feet, strict=True):
        assert voltage_drop(amps, length * FOOT, gauge, "SAE", BAY) == pytest.approx(0.4, rel=0.007)


@pytest.mark.published("IEC 60228 temperature factors in a public copy: 0.893 at 50, 0.806 at 80, 0.758 at 100 C")
@pytest.mark.parametrize(("celsius", "factor"), [(20, 1.0), (50, 0.893), (80, 0.806), (100, 0.758)])
def test_temperature_factor(celsius: float, factor: float) -> None:
    assert resistivity(WARM) / resistivity(celsius + 273.15) == pytest.approx(factor, rel=5e-3)


@pytest.mark.published("IEC 60228 class 5, plain copper, milliohm per metre at 20 C, in two public copies")
@pytest.mark.parametrize(("square_mm", "milliohm"), [(1.5, 13.3), (2.5, 7.98), (10.0, 1.91), (25.0, 0.780)])
def test_metric_wire(square_mm: float, milliohm: float) -> None:
    assert metric_resistance(square_mm * 1e-6) * 1e3 == pytest.approx(milliohm)


@pytest.mark.law("a limit lies above what its nominal copper would have, by under 15 %")
@pytest.mark.parametrize("square_mm", [0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0])
def test_metric_limits_are_limits(square_mm: float) -> None:
    nominal = resistance_per_length(square_mm * 1e-6, WARM)
    assert nominal < metric_resistance(square_mm * 1e-6) < 1.16 * nominal


@pytest.mark.by_hand("10.75 ohm cmil/ft is copper at 29.3 C; a bay at 80 C has 12.8, 19 % more")
def test_the_marine_constant() -> None:
    ohm_cmil_per_foot = 5.067074790974977e-10 / FOOT
    assert copper_temperature(10.75 * ohm_cmil_per_foot) == pytest.approx(273.15 + 29.3, abs=0.05)
    assert resistivity(BAY) / ohm_cmil_per_foot == pytest.approx(12.8, abs=0.05)


@pytest.mark.law("temperature and resistivity undo each other")
@given(st.floats(233.0, 423.0))
def test_copper_thermometer(temperature: float) -> None:
    assert copper_temperature(resistivity(temperature)) == pytest.approx(temperature)


@pytest.mark.law("39 gauges span a ratio of 92 in diameter; ratios chain")
def test_gauge_steps() -> None:
    assert awg_diameter(-3.0) / awg_diameter(36.0) == pytest.approx(92.0)
    assert awg_area_ratio(10.0, 16.0) == pytest.approx(awg_area_ratio(10.0, 13.0) * awg_area_ratio(13.0, 16.0))
    assert awg_area(10.0) > awg_area(12.0)


@pytest.mark.law("volts lost are in proportion to amps and to length")
@given(st.floats(1.0, 60.0), st.floats(0.5, 10.0), st.sampled_from(["AWG", "SAE"]))
def test_drop_is_linear(current: float, length: float, sizing: str) -> None:
    one = voltage_drop(1.0, 1.0, 10.0, sizing, BAY)
    assert voltage_drop(current, length, 10.0, sizing, BAY) == pytest.approx(one * current * length)


@pytest.mark.behaviour("a size or a word not kept is refused with those there are")
def test_refusals() -> None:
    with pytest.raises(InputError, match="no SAE wire of 11 gauge is kept; there are 18, 16"):
        sae_area(11.0)
    with pytest.raises(InputError, match="no metric wire of 3 mm2"):
        metric_resistance(3e-6)
    with pytest.raises(InputError, match="sized AWG or SAE"):
        voltage_drop(10.0, 1.0, 10.0, "SWG", BAY)
