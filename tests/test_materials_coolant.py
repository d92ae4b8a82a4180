"""Coolant: strength, freezing, boiling and the property table."""

import math

import CoolProp
import numpy as np
import pytest
from CoolProp.CoolProp import AbstractState, PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError, OutOfRange
from shroudwright.materials import coolant as c
from shroudwright.materials.water import vapour_pressure
from tests import oracle_radiator as oracle

ANTOINE = {0.5: (7.901886, 1691.452, 229.778), 0.7: (7.833380, 1712.369, 231.166)}
PSI = 6894.757


def antoine(share: float, pressure: float) -> float:
    A, B, C = ANTOINE[share]
    return B / (A - math.log10(pressure / 133.322368)) - C + 273.15


@pytest.mark.published("MEGlobal ethylene glycol product guide, 2008, Antoine fits at 50 and 70 % by mass")
@pytest.mark.parametrize("share", [0.5, 0.7])
@pytest.mark.parametrize("pressure", [75e3, 101325.0, 150e3, 204.7e3])
def test_boil_point_against_antoine(share: float, pressure: float) -> None:
    assert c.boil_point("MEG", share, pressure) == pytest.approx(antoine(share, pressure), abs=0.4)


@pytest.mark.by_hand("Raoult on IAPWS water: 50 vol% PG 106.2 and 128.1 C, less 0.3 K; water 100.0 and 121.0 C")
@pytest.mark.parametrize(
    ("glycol", "x", "cap", "celsius"),
    [
        ("MPG", 0.5, 0.0, 105.9),
        ("MPG", 0.5, 15 * PSI, 127.8),
        ("water", 0.0, 0, 100.0),
        ("water", 0.0, 15 * PSI, 121.0),
    ],
)
def test_mix_boil_point(glycol: c.Glycol, x: float, cap: float, celsius: float) -> None:
    assert c.mix_boil_point(glycol, x, cap, 0.0) - 273.15 == pytest.approx(celsius, abs=0.1)


@pytest.mark.law("a cap is gauge: height takes boiling down about 2 K per 1000 m")
@settings(deadline=None)
@given(st.floats(0.0, 0.7), st.floats(0.0, 140e3), st.floats(0.0, 3000.0))
def test_cap_is_gauge(share: float, cap: float, altitude: float) -> None:
    low, high = (c.boil_point_under_cap("MEG", share, cap, h) for h in (altitude, altitude + 1000.0))
    assert 1.0 < low - high < 4.2
    absolute = oracle.pressure(altitude) + cap
    assert low == pytest.approx(c.boil_point("MEG", share, absolute), abs=1e-3)


@pytest.mark.law("more glycol boils higher and freezes lower")
@settings(deadline=None)
@given(st.sampled_from(["MEG", "MPG"]), st.floats(0.0, 0.54))
def test_more_glycol(glycol: c.Glycol, x: float) -> None:
    assert c.freeze_point(glycol, x + 0.02) < c.freeze_point(glycol, x) <= 273.15
    assert c.mix_boil_point(glycol, x + 0.02, 0.0, 0.0) > c.mix_boil_point(glycol, x, 0.0, 0.0)


@pytest.mark.independent("CoolProp AEG and APG, by volume")
@pytest.mark.parametrize(("glycol", "name"), [("MEG", "AEG"), ("MPG", "APG")])
@pytest.mark.parametrize("x", [0.1, 0.33, 0.5, 0.57])
def test_freeze_point(glycol: c.Glycol, name: str, x: float) -> None:
    expected = PropsSI("T_freeze", "T", 300, "P", 1e5, f"INCOMP::{name}[{x}]")
    assert c.freeze_point(glycol, x) == pytest.approx(expected, abs=1e-9)


@pytest.mark.published("trade figure for 50 vol% PG: -33.5 C in both property sets")
def test_freeze_point_of_half_propylene() -> None:
    assert c.freeze_point("MPG", 0.5) - 273.15 == pytest.approx(-33.5, abs=0.3)


@pytest.mark.by_hand("60 vol% EG 62.6, 70 vol% 72.2 % by mass; PG 60.9 and 70.8: 0.7*1036/(0.7*1036+0.3*998.2)")
@pytest.mark.parametrize(
    ("glycol", "x", "percent"),
    [("MEG", 0.6, 62.6), ("MEG", 0.7, 72.2), ("MPG", 0.6, 60.9), ("MPG", 0.7, 70.8)],
)
def test_glycol_mass_fraction(glycol: c.Glycol, x: float, percent: float) -> None:
    assert 100 * c.glycol_mass_fraction(glycol, x) == pytest.approx(percent, abs=0.05)


@pytest.mark.independent("CoolProp called straight, the same rules coded apart")
@pytest.mark.parametrize(("glycol", "x"), [("MEG", 0.5), ("MEG", 0.7), ("MPG", 0.4), ("MPG", 0.65), ("water", 0.0)])
def test_table_reads_as_the_library(glycol: c.Glycol, x: float) -> None:
    table = c.coolant_table(glycol, x)
    for T in np.random.default_rng(3).uniform(275.0, 425.0, 40):
        assert c.coolant_properties(table, T) == pytest.approx(oracle.coolant(glycol, x, T), rel=3e-4)


@pytest.mark.independent("IAPWS-95 water, treated as if it were known to 98 C only")
def test_rule_past_98_on_water() -> None:
    """The reference table: viscosity -3.7, -6.2, -8.9 % at 110, 120, 130 C, the rest within 2 %."""
    water = AbstractState("HEOS", "Water")
    temperatures = np.array([383.15, 393.15, 403.15])
    held = c._glycol_rows("MEG", 0.0, temperatures)
    for row, T, percent in zip(held, temperatures, (-3.7, -6.2, -8.9), strict=True):
        water.update(CoolProp.QT_INPUTS, 0.0, T)
        assert 100 * (math.exp(row[3]) / water.viscosity() - 1) == pytest.approx(percent, abs=2.5)
        assert row[0] == pytest.approx(water.rhomass(), rel=0.006)
        assert row[1] == pytest.approx(water.cpmass(), rel=0.015)
        assert row[2] == pytest.approx(water.conductivity(), rel=0.02)


@pytest.mark.independent("CoolProp ZM, an inhibited ethylene glycol by volume that runs to 100 %")
@pytest.mark.parametrize("x", [0.5, 0.6, 0.7])
def test_rule_past_60_percent(x: float) -> None:
    """Density of a third set agrees within 0.2 %, viscosity within 15 %."""
    density, _, _, viscosity = c.coolant("MEG", x, 363.15)
    other = AbstractState("INCOMP", "ZM")
    other.set_volu_fractions([x])
    other.update(CoolProp.PT_INPUTS, 5e5, 363.15)
    assert density == pytest.approx(other.rhomass(), rel=0.002)
    assert viscosity == pytest.approx(other.viscosity(), rel=0.15)


@pytest.mark.law("held at both ends of the table, and below freezing")
def test_held_at_the_ends() -> None:
    table = c.coolant_table("MEG", 0.5)
    assert c.coolant_properties(table, 100.0) == c.coolant_properties(table, 253.15)
    assert c.coolant_properties(table, 900.0) == c.coolant_properties(table, 443.15)
    assert c.coolant("water", 0.0, 255.0) == c.coolant("water", 0.0, 270.0)
    assert np.all(np.diff(c.coolant_table("MEG", 0.7)[:, 4]) < 0.0)


@pytest.mark.behaviour("what was extrapolated is told; what cannot be answered is refused")
def test_words() -> None:
    assert c.beyond_range("MEG", 0.5, 360.0) == ()
    assert c.beyond_range("water", 0.0, 390.0) == ()
    assert [
        "98 C" in c.beyond_range("MEG", 0.5, 372.0)[0],
        "60 %" in c.beyond_range("MPG", 0.6, 350.0)[0],
    ] == [True] * 2
    assert "freezing" in c.beyond_range("MEG", 0.2, 260.0)[0]
    with pytest.raises(OutOfRange, match=r"62\.5\d* % is outside 0 to 60 %"):
        c.freeze_point("MEG", 0.6)
    with pytest.raises(OutOfRange, match=r"glycol by volume 0\.9"):
        c.coolant("MEG", 0.9, 350.0)
    with pytest.raises(OutOfRange, match=r"glycol by mass 0\.9"):
        c.boil_point("MEG", 0.9, 1e5)
    with pytest.raises(InputError, match="'brine' is not one of MEG, MPG, water"):
        c.coolant("brine", 0.5, 350.0)  # type: ignore[arg-type]
    with pytest.raises(InputError, match=r"plain water holds no glycol, not 0\.5"):
        c.coolant_table("water", 0.5)


@pytest.mark.behaviour("a table shared by everyone cannot be written to")
def test_table_is_shared_and_read_only() -> None:
    table = c.coolant_table("MEG", 0.5)
    assert table is c.coolant_table("MEG", 0.5)
    with pytest.raises(ValueError, match="read-only"):
        table[0, 0] = 0.0


@pytest.mark.published("IAPWS R7-97(2012), Table 36, all nine digits")
@pytest.mark.parametrize(("pressure", "printed"), [(0.1e6, 372.755919), (1e6, 453.035632), (10e6, 584.149488)])
def test_saturation_temperature(pressure: float, printed: float) -> None:
    assert c.saturation_temperature(pressure) == pytest.approx(printed, abs=5.001e-7)


@pytest.mark.independent("CoolProp, IAPWS-95 water")
def test_saturation_temperature_of_the_full_formulation() -> None:
    for pressure in np.geomspace(1e3, 1e6, 31):
        expected = PropsSI("T", "P", pressure, "Q", 0, "Water")
        assert c.saturation_temperature(pressure) == pytest.approx(expected, abs=0.01)


@pytest.mark.law("boiling point and vapour pressure are one curve")
@given(st.floats(273.16, 640.0))
def test_saturation_both_ways(temperature: float) -> None:
    assert c.saturation_temperature(vapour_pressure(temperature)) == pytest.approx(temperature, abs=1e-6)


@pytest.mark.behaviour("a pressure water has no boiling point at is refused")
def test_no_boiling_point() -> None:
    with pytest.raises(OutOfRange, match=r"water pressure 100 Pa is outside 611\.213 to 2\.2064e\+07 Pa"):
        c.saturation_temperature(100.0)
