import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.heat.measured import (
    brake_thermal_efficiency,
    efficiency_from_specific_fuel,
    fuel_power_from_rate,
    measured_coolant_share,
)


@pytest.mark.published("Rajput, Thermal Engineering, Example 17.38: 37.0 kW brake, 38.9 kW coolant, read in a copy")
def test_heat_balance_of_a_tested_engine() -> None:
    fuel = 10.2 / 3600.0
    power = brake_thermal_efficiency(1900.0, 186.0, fuel, 43.89e6) * fuel * 43.89e6
    heat = measured_coolant_share(15.5 / 60.0, 4180.0, 36.0, fuel, 43.89e6) * fuel * 43.89e6
    assert power == pytest.approx(37.0e3, abs=50.0)
    assert heat == pytest.approx(38.9e3, abs=50.0)


@pytest.mark.law("specific fuel and brake efficiency are two names of one thing")
@given(st.floats(600.0, 6000.0), st.floats(20.0, 800.0), st.floats(2e-4, 2e-2))
def test_two_routes_to_efficiency(rpm: float, torque: float, fuel: float) -> None:
    power = brake_thermal_efficiency(rpm, torque, fuel, 42.6e6) * fuel * 42.6e6
    assert efficiency_from_specific_fuel(fuel / power, 42.6e6) == pytest.approx(
        brake_thermal_efficiency(rpm, torque, fuel, 42.6e6)
    )


@pytest.mark.by_hand("1 US gallon an hour is 1.0515e-6 m3/s; at 32 MJ/L 33.65 kW")
def test_a_gallon_an_hour() -> None:
    assert fuel_power_from_rate(1.0515e-6, 32e9) == pytest.approx(33.65e3, rel=1e-3)
