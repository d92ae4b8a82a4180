"""What a wire carries, and which gauge."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.catalogue.read import table
from shroudwright.materials.conductor import voltage_drop
from shroudwright.wiring.wire import (
    HOT_COPPER,
    Ampacity,
    ambient_factor,
    ampacity,
    area_for_drop,
    bundle_factor,
    derated_ampacity,
    engine_space_ampacity,
    gauge_for_area,
    gauges,
    wire_for,
)

FOOT = 0.3048
CMIL = 5.067074790974977e-10
ZERO = 273.15
RATINGS = (60, 75, 80, 90, 105, 125, 200)
GAUGES = (18, 16, 14, 12, 10, 8, 6, 4, 2, 0)

TABLE_5 = {
    18: (10, 10, 15, 20, 20, 25, 25),
    16: (15, 15, 20, 25, 25, 30, 35),
    14: (20, 20, 25, 30, 35, 40, 45),
    12: (25, 25, 35, 40, 45, 50, 55),
    10: (40, 40, 50, 55, 60, 70, 70),
    8: (55, 65, 70, 70, 80, 90, 100),
    6: (80, 95, 100, 100, 120, 125, 135),
    4: (105, 125, 130, 135, 160, 170, 180),
    2: (140, 170, 175, 180, 210, 225, 240),
    0: (195, 230, 245, 245, 285, 305, 325),
}


@pytest.mark.published("33 CFR 183.425 Table 5, every figure, read in a public copy")
@pytest.mark.parametrize("gauge", GAUGES)
def test_table_5(gauge: int) -> None:
    found = [ampacity(gauge, celsius + ZERO, 30 + ZERO) for celsius in RATINGS]
    assert found == pytest.approx(TABLE_5[gauge])


@pytest.mark.published("33 CFR 183.425 Table 5 note 1: 0.85 of 105 degC wire in an engine space")
def test_engine_space() -> None:
    assert engine_space_ampacity(10, 105 + ZERO) == pytest.approx(51.0)
    assert engine_space_ampacity(12, 105 + ZERO) == pytest.approx(38.0, abs=0.5)


@pytest.mark.published(
    "engine-space factors of 33 CFR, 0.85 read and the rest from memory; Canadian 0.77, 0.83 at 60 C"
)
@pytest.mark.parametrize(
    ("rating", "ambient", "factor"),
    [
        (60, 50, 0.58),
        (75, 50, 0.75),
        (80, 50, 0.78),
        (90, 50, 0.82),
        (105, 50, 0.85),
        (125, 50, 0.89),
        (105, 60, 0.77),
        (125, 60, 0.83),
    ],
)
def test_ambient_factor(rating: int, ambient: int, factor: float) -> None:
    assert ambient_factor(rating + ZERO, ambient + ZERO) == pytest.approx(factor, rel=0.01)


@pytest.mark.by_hand("sqrt(20/75) = 0.516, sqrt(40/95) = 0.649, nothing left for 80 C wire at 85 C")
def test_hot_bay() -> None:
    assert ambient_factor(105 + ZERO, 85 + ZERO) == pytest.approx(0.5164, abs=1e-4)
    assert ambient_factor(125 + ZERO, 85 + ZERO) == pytest.approx(0.6489, abs=1e-4)
    assert ampacity(10, 80 + ZERO, 85 + ZERO) == 0.0


@pytest.mark.law("hotter air, more company, thinner wire: never more current")
@settings(deadline=None)
@given(
    st.sampled_from(GAUGES[:8]),
    st.sampled_from(RATINGS),
    st.floats(0, 150),
    st.floats(0, 50),
    st.integers(1, 30),
    st.integers(0, 20),
)
def test_derating_only_takes(gauge: int, rating: int, ambient: float, hotter: float, count: int, more: int) -> None:
    here = derated_ampacity(gauge, rating + ZERO, ambient + ZERO, count, "AWG")
    assert derated_ampacity(gauge, rating + ZERO, ambient + hotter + ZERO, count + more, "SAE") <= here
    if gauge > 4:
        assert derated_ampacity(gauge - 2, rating + ZERO, ambient + ZERO, count, "AWG") >= here


@pytest.mark.practice("boat-wiring bundle shares, from memory")
@pytest.mark.parametrize(("count", "factor"), [(1, 1.0), (2, 0.7), (3, 0.7), (4, 0.6), (6, 0.6), (7, 0.5), (25, 0.4)])
def test_bundle(count: int, factor: float) -> None:
    assert bundle_factor(count) == factor


@pytest.mark.by_hand("70 A x 0.649 x 0.95 = 43.2 A alone in SAE 10 gauge at 85 C, 30.2 A in a pair")
def test_derated() -> None:
    assert derated_ampacity(10, 125 + ZERO, 85 + ZERO, 1, "SAE") == pytest.approx(43.15, abs=0.05)
    assert derated_ampacity(10, 125 + ZERO, 85 + ZERO, 2, "SAE") == pytest.approx(30.2, abs=0.05)


@pytest.mark.published("marine sizing example: 10.75 x 10 A x 21 ft / 0.36 V = 6271 cmil; SAE 10 gauge")
def test_circular_mils() -> None:
    area = area_for_drop(10.0, 21 * FOOT, 12.0, 0.03, 10.75 * CMIL / FOOT)
    assert area / CMIL == pytest.approx(6271, abs=0.5)
    assert gauge_for_area(area, "SAE") == 10
    assert area_for_drop(10.0, 21 * FOOT, 12.0, 0.03) / area == pytest.approx(1.19, abs=0.01)


@pytest.mark.published("marine sizing example: 45 A, 40 ft, 10 % of 12 V needs AWG 8")
def test_wire_for_the_published_example() -> None:
    assert wire_for(45, 40 * FOOT, 12, 0.1, "AWG", 105 + ZERO, 30 + ZERO, resistivity=10.75 * CMIL / FOOT) == 8


@pytest.mark.law("the wire picked loses no more and carries no less than asked, and the next thinner fails one")
@settings(deadline=None)
@given(st.floats(1, 40), st.floats(0.5, 6.0), st.floats(30, 85))
def test_wire_for(current: float, length: float, ambient: float) -> None:
    def does(gauge: float) -> bool:
        drop = voltage_drop(current, length, gauge, "SAE", HOT_COPPER)
        return drop <= 0.03 * 13.5 and derated_ampacity(gauge, 125 + ZERO, ambient + ZERO, 2, "SAE") >= current

    gauge = wire_for(current, length, 13.5, 0.03, "SAE", 125 + ZERO, ambient + ZERO, 2)
    assert does(gauge)
    thinner = [each for each in gauges("SAE") if each > gauge]
    assert not thinner or not does(min(thinner))


@pytest.mark.behaviour("between ratings the next lower stands; what is not kept is refused")
def test_refusals() -> None:
    assert ampacity(10, 100 + ZERO, 30 + ZERO) == pytest.approx(55)
    for call in (
        lambda: ampacity(11, 105 + ZERO, 30 + ZERO),
        lambda: ampacity(10, 40 + ZERO, 30 + ZERO),
        lambda: derated_ampacity(10, 105 + ZERO, 30 + ZERO, 1, "metric"),
        lambda: gauge_for_area(1e-3, "SAE"),
        lambda: gauge_for_area(1e-7, "metric"),
        lambda: wire_for(500, 1, 13.5, 0.03, "SAE", 125 + ZERO, 30 + ZERO),
    ):
        with pytest.raises(InputError):
            call()


@pytest.mark.law("one row per gauge and rating, codes unique, each with its standing")
def test_the_table_itself() -> None:
    rows = table("ampacity.csv", Ampacity)
    assert len({row.code for row in rows}) == len(rows) == 70
    assert all(row.source and row.seen and row.grade for row in rows)
