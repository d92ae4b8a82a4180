"""Shakes and heat: printed totals, hand figures, laws."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.catalogue.read import table
from shroudwright.metal.sheet import Sheet, find_sheet
from shroudwright.metal.vibration import (
    BODY,
    ELECTRONICS,
    buckling_rise,
    firing_frequency,
    miles_response,
    profile_level,
    profile_rms,
    thermal_growth,
)
from tests.checks import row

KSI = 6894757.293168361


@pytest.mark.published(
    "ISO 16750-3 Test IV states 27.8 m/s2 (from memory); MSR-MEDOC states 38.1 m/s2 (read), its points give 37.4"
)
@pytest.mark.row("ME31")
def test_totals() -> None:
    asked = row("ME31")
    points = [(float(f), float(level)) for f, level in asked.inputs["psd_m2s4_per_Hz"]]
    assert asked.accepts(profile_rms(points))
    assert tuple(points) == BODY
    assert profile_rms(ELECTRONICS) == pytest.approx(37.4, abs=0.05)


@pytest.mark.independent("numpy's trapezoids over 200 000 steps")
@pytest.mark.parametrize("profile", [BODY, ELECTRONICS, ((10.0, 8.0), (40.0, 2.0), (80.0, 2.0))])
def test_the_sum_is_the_area_under_the_levels(profile: tuple[tuple[float, float], ...]) -> None:
    f = np.linspace(profile[0][0], profile[-1][0], 200_001)
    levels = [profile_level(profile, float(each)) for each in f]
    assert profile_rms(profile) == pytest.approx(math.sqrt(np.trapezoid(levels, f)), rel=1e-4)


@pytest.mark.by_hand(
    "8.93 (m/s2)2/Hz is 0.093 g2/Hz at 34 Hz: 7 g; a V8 at 700 rpm fires 46.7 times a second, a four 23.3"
)
def test_by_hand() -> None:
    level = profile_level(BODY, 34.0)
    assert level / 9.80665**2 == pytest.approx(0.093, abs=5e-4)
    assert miles_response(34.0, 10.0, level) / 9.80665 == pytest.approx(7.0, abs=0.1)
    assert firing_frequency(700.0, 8.0) == pytest.approx(46.67, abs=0.01)
    assert firing_frequency(700.0, 4.0) == pytest.approx(23.33, abs=0.01)
    assert firing_frequency(700.0, 2.0, 2.0) == firing_frequency(700.0, 4.0)


@pytest.mark.law("a level is met at every point and lies between its neighbours'; past the ends it is the end's")
@given(st.floats(1.0, 2000.0))
def test_levels(f: float) -> None:
    level = profile_level(BODY, f)
    assert 0.14 * (1 - 1e-12) <= level <= 20.0 * (1 + 1e-12)
    for at, exact in BODY:
        assert profile_level(BODY, at) == pytest.approx(exact, rel=1e-12)


@pytest.mark.law("growth is even in length and rise; a face twice the size and twice as thick buckles at the same rise")
def test_heat() -> None:
    assert thermal_growth(2.0, 2e-5, 50.0) == pytest.approx(2.0 * thermal_growth(1.0, 2e-5, 50.0))
    one, two = buckling_rise(0.7, 0.4, 0.002, 2.4e-5, 0.33), buckling_rise(1.4, 0.8, 0.004, 2.4e-5, 0.33)
    assert one == pytest.approx(two, rel=1e-12)


@pytest.mark.published(
    "Kutz, Handbook of Materials Selection, Table 5, and Aluminum Association values in a mill's table; read there"
)
def test_strengths() -> None:
    for code, ultimate, fatigue, softened, growth in (
        ("3003-H14", 22.0, 9.0, 6.0, 12.9e-6),
        ("5052-H32", 33.0, 17.0, 9.5, 13.2e-6),
        ("6061-T6", 45.0, 14.0, 11.0, 13.1e-6),
    ):
        found = find_sheet(code)
        assert (found.ultimate / KSI, found.fatigue / KSI) == pytest.approx((ultimate, fatigue))
        assert found.annealed_yield / KSI == pytest.approx(softened)
        assert found.expansion == pytest.approx(1.8 * growth)


@pytest.mark.law("fatigue and softened yield lie under yield, and yield under ultimate")
def test_order_of_strengths() -> None:
    for sheet in table("sheet.csv", Sheet):
        assert max(sheet.fatigue, sheet.annealed_yield) <= sheet.yield_strength < sheet.ultimate
