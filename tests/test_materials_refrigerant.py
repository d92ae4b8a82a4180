"""Head pressure of the air conditioner."""

import numpy as np
import pytest

from shroudwright.materials.refrigerant import CRITICAL_TEMPERATURE, r134a_saturation_pressure


@pytest.mark.independent("CoolProp R134a")
def test_r134a_pressure_agrees_with_a_library() -> None:
    from CoolProp.CoolProp import PropsSI

    for temperature in np.arange(250.0, 373.0, 7.0):
        expected = PropsSI("P", "T", float(temperature), "Q", 0.5, "R134a")
        assert r134a_saturation_pressure(temperature) == pytest.approx(expected, rel=1e-3)


@pytest.mark.practice("28 bar by the gauge is a condenser at some 85 C")
def test_a_common_cut_out_is_at_some_85_degrees() -> None:
    assert r134a_saturation_pressure(273.15 + 85.0) - 101325.0 == pytest.approx(28e5, rel=0.02)


@pytest.mark.law("held at the critical point")
def test_over_the_critical_point_it_is_held() -> None:
    assert r134a_saturation_pressure(400.0) == r134a_saturation_pressure(CRITICAL_TEMPERATURE)
