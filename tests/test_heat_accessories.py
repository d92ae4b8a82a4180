import numpy as np
import pytest

from shroudwright.bench.errors import InputError
from shroudwright.heat.accessories import (
    alternator_power,
    charge_air_heat,
    charge_air_rise,
    condenser_heat,
    engine_air_flow,
    engine_mass_guess,
    gearbox_heat,
    heat_store,
    supercharger_power,
)
from shroudwright.heat.engine import FUELS


@pytest.mark.by_hand("50 A x 14 V / 0.60 = 1167 W")
def test_alternator() -> None:
    assert alternator_power(50.0 * 14.0, 0.60) == pytest.approx(1167.0, abs=1.0)


@pytest.mark.by_hand("50 kW through an unlocked converter of 0.80 to 0.92 leaves 10 to 4 kW")
def test_gearbox() -> None:
    assert gearbox_heat(50e3, np.array([0.80, 0.92])) == pytest.approx([10e3, 4e3])


@pytest.mark.by_hand("3 + 2 = 5 kW and 5 + 4 = 9 kW")
def test_condenser() -> None:
    assert condenser_heat(np.array([3e3, 5e3]), np.array([2e3, 4e3])) == pytest.approx([5e3, 9e3])


@pytest.mark.independent(
    "separate prototype: 0.30 kg/s, ratio 1.7, efficiency 0.65, 35 C: 78 K, 23 kW, 18.7 kW of 62 K"
)
def test_charge_air() -> None:
    rise = charge_air_rise(308.15, 1.7, 0.65)
    assert rise == pytest.approx(78.0, abs=0.5)
    assert supercharger_power(0.30, rise) == pytest.approx(23e3, abs=500.0)
    assert charge_air_heat(0.30, rise, 62.0 / rise) == pytest.approx(18.7e3, abs=50.0)


@pytest.mark.by_hand("100 kW of gasoline: 14.7 x 1e5 / 42.6e6 = 0.0345 kg/s")
def test_engine_air() -> None:
    assert engine_air_flow(100e3, "gasoline") == pytest.approx(0.0345, abs=5e-5)


@pytest.mark.practice("air per unit of heat is much the same for every fuel, within a tenth")
def test_engine_air_per_heat() -> None:
    flows = [engine_air_flow(100e3, fuel) for fuel in FUELS]
    assert max(flows) < 1.1 * min(flows)


@pytest.mark.by_hand("5.7 L iron: 55 + 36 x 5.7 = 260.2 kg; 0.7 x 500 x 260.2 + 3.7e6 x 0.015 = 146.6 kJ/K")
def test_heat_store_of_an_iron_engine() -> None:
    mass = engine_mass_guess(5.7e-3, "iron")
    assert mass == pytest.approx(260.2)
    assert heat_store(mass, "iron", 0.015) == pytest.approx(146.6e3, abs=50.0)


@pytest.mark.published("one 3.5 L engine fitted to dynamometer data: 194 kJ/K, rough; within two spreads of 35 %")
def test_heat_store_against_a_fitted_engine() -> None:
    store = heat_store(engine_mass_guess(3.5e-3, "aluminium"), "aluminium", 0.010)
    assert 194e3 / 1.35**2 < store < 194e3 * 1.35**2


@pytest.mark.behaviour("an unknown block is refused with the words there are")
def test_unknown_block() -> None:
    with pytest.raises(InputError, match="choose from iron, aluminium"):
        heat_store(200.0, "bronze", 0.01)
