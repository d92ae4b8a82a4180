"""Air: standard pressure and the property fits."""

import numpy as np
import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI
from fluids.atmosphere import ATMOSPHERE_1976

from shroudwright.bench.errors import OutOfRange
from shroudwright.materials import air
from shroudwright.materials.water import vapour_pressure


@pytest.mark.independent("fluids, U.S. Standard Atmosphere 1976 by geometric height")
@pytest.mark.parametrize("altitude", [-500.0, 0.0, 1609.0, 3000.0, 4300.0])
def test_pressure_at_altitude(altitude: float) -> None:
    assert air.pressure_at_altitude(altitude) == pytest.approx(ATMOSPHERE_1976(altitude).P, rel=2e-5)


@pytest.mark.law("a height on the map is a little more than its geopotential height")
def test_geometric_height_reads_more_pressure() -> None:
    assert air.pressure_at_altitude(2000.0) - air.standard_pressure(2000.0) == pytest.approx(6.0, abs=1.0)


@pytest.mark.behaviour("a height no road reaches is refused, with the range")
def test_height_out_of_range() -> None:
    with pytest.raises(OutOfRange, match=r"height 11999.* m is outside -1000 to 11000 m"):
        air.pressure_at_altitude(12022.0)


@pytest.mark.independent("CoolProp dry air, 101325 Pa")
@pytest.mark.parametrize(
    ("fit", "key"),
    [(air.viscosity, "V"), (air.conductivity, "L"), (lambda T: air.specific_heat(T, 0.0), "C")],
    ids=["viscosity", "conductivity", "specific heat"],
)
def test_fits_to_dry_air(fit, key: str) -> None:
    for T in np.linspace(230.0, 450.0, 45):
        assert fit(T) == pytest.approx(PropsSI(key, "T", T, "P", 101325.0, "Air"), rel=1e-4)


@pytest.mark.independent("CoolProp humid air, ASHRAE RP-1485")
@pytest.mark.parametrize("pressure", [55e3, 80e3, 101325.0, 110e3])
@pytest.mark.parametrize("temperature", [255.0, 290.0, 320.0, 380.0, 440.0])
@pytest.mark.parametrize("w", [0.0, 0.01, 0.04])
def test_moist_air(pressure: float, temperature: float, w: float) -> None:
    if w and temperature < 312.0:
        w = 0.0005
    humid = HAPropsSI("Vha", "T", temperature, "P", pressure, "W", w)
    assert air.density(pressure, temperature, w) == pytest.approx(1.0 / humid, rel=1e-3)
    cp = HAPropsSI("cp_ha", "T", temperature, "P", pressure, "W", w)
    assert air.specific_heat(temperature, w) == pytest.approx(cp, rel=2e-3)


@pytest.mark.behaviour("a relative humidity typed in percent is refused")
def test_relative_humidity_is_a_share() -> None:
    with pytest.raises(OutOfRange, match="relative humidity 40"):
        air.humidity_ratio(300.0, 101325.0, 40.0)


@pytest.mark.behaviour("air too cold, hot, thin or dense for the humidity relation is refused, with the range")
def test_humidity_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="air temperature 380 K is outside 220 to 340 K"):
        air.humidity_ratio(380.0, 101325.0, 0.4)
    with pytest.raises(OutOfRange, match="air pressure 20000 Pa is outside 50000 to 115000 Pa"):
        air.humidity_ratio(300.0, 20e3, 0.4)
    with pytest.raises(OutOfRange, match="water temperature 100 K is outside"):
        vapour_pressure(100.0)


@pytest.mark.published("IAPWS R7-97(2012), Table 35, all nine digits; IAPWS R14-08(2011), check value at 230 K")
@pytest.mark.parametrize(
    ("temperature", "printed", "digit"),
    [(300.0, 3536.58941, 1e-5), (500.0, 2.63889776e6, 1e-2), (600.0, 12.3443146e6, 1e-1), (230.0, 8.94735, 1e-5)],
)
def test_vapour_pressure(temperature: float, printed: float, digit: float) -> None:
    assert vapour_pressure(temperature) == pytest.approx(printed, abs=digit / 2 * 1.001)


@pytest.mark.independent("CoolProp, IAPWS-95 water")
def test_vapour_pressure_of_the_full_formulation() -> None:
    for T in np.linspace(273.16, 423.15, 31):
        assert vapour_pressure(T) == pytest.approx(PropsSI("P", "T", T, "Q", 0, "Water"), rel=2e-4)


@pytest.mark.law("ice and water meet at the triple point, 611.657 Pa")
def test_triple_point() -> None:
    assert vapour_pressure(273.16 - 1e-9) == pytest.approx(611.657, abs=1e-3)
    assert vapour_pressure(273.16) == pytest.approx(611.657, abs=1e-3)


@pytest.mark.independent("CoolProp humid air, ASHRAE RP-1485")
@pytest.mark.parametrize(
    ("coldest", "hottest", "thinnest", "share"), [(0, 50, 60e3, 5e-4), (-50, 60, 50e3, 2e-3), (60, 66.8, 50e3, 4e-3)]
)
def test_humidity_ratio(coldest: float, hottest: float, thinnest: float, share: float) -> None:
    for T in 273.15 + np.linspace(coldest, hottest, 12):
        for P in np.linspace(thinnest, 105e3, 4):
            for phi in (0.0, 0.1, 0.5, 1.0):
                expected = HAPropsSI("W", "T", T, "P", P, "R", phi)
                assert air.humidity_ratio(T, P, phi) == pytest.approx(expected, rel=share, abs=1e-12)
