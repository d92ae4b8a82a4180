"""Fuses, relays and the alternator."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.catalogue.read import table
from shroudwright.wiring.alternator import alternator_margin, volts_at_source
from shroudwright.wiring.fuse import (
    Fuse,
    fuse_by_start,
    fuse_for,
    fuse_of,
    hot_rating,
    largest_fuse,
    opening_window,
    opens_at_start,
    ratings,
)
from shroudwright.wiring.relay import relay_for, relays

ZERO = 273.15
STANDARD = (5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80)


@pytest.mark.published("maker's data sheet of ISO 8820-3 types C and E, 40 A, second hand")
@pytest.mark.parametrize(
    ("kind", "multiple", "window"),
    [
        ("C", 1.35, (0.75, 600)),
        ("C", 1.6, (0.25, 50)),
        ("C", 2.0, (0.15, 5)),
        ("C", 3.5, (0.08, 0.5)),
        ("C", 6.0, (0, 0.15)),
        ("E", 1.35, (60, 1800)),
        ("E", 2.0, (2, 50)),
        ("E", 3.5, (0.2, 7)),
        ("E", 6.0, (0.04, 1)),
    ],
)
def test_opening_window(kind: str, multiple: float, window: tuple[float, float]) -> None:
    assert opening_window(kind, multiple) == window


@pytest.mark.published("same data sheet: large 40 A is 40 A at 20 C, 34 at 65, 30 at 85, 25 at 110, 22 at 125")
@pytest.mark.parametrize(("celsius", "amps"), [(20, 40), (65, 34), (85, 30), (110, 25), (125, 22)])
def test_hot_rating(celsius: int, amps: float) -> None:
    assert hot_rating(40, celsius + ZERO) == pytest.approx(amps)


@pytest.mark.law("hotter never holds more; in proportion to rating; held beyond the ends")
@settings(deadline=None)
@given(st.floats(1, 80), st.floats(-40, 180), st.floats(0, 60))
def test_heat_only_takes(rating: float, celsius: float, hotter: float) -> None:
    here = hot_rating(rating, celsius + ZERO)
    assert hot_rating(rating, celsius + hotter + ZERO) <= here + 1e-9
    assert here == pytest.approx(rating / 40 * hot_rating(40, celsius + ZERO))
    assert 0.549 * rating <= here <= rating * (1 + 1e-12)


@pytest.mark.by_hand("20 / 0.75 = 26.7: 30 A; at 85 C, three quarters left, 20 / 0.5625 = 35.6: 40 A")
def test_fuse_for() -> None:
    assert fuse_of(STANDARD, 20, 0.75) == 30
    assert fuse_for(20, 20 + ZERO) == 30
    assert fuse_for(20, 85 + ZERO) == 40
    with pytest.raises(InputError, match="up to 80 A"):
        fuse_for(100, 20 + ZERO)


@pytest.mark.by_hand("66 A falling to 20: 0.38 s above 48 A opens a 30 A standard blade (0.25 s), a 40 A stands")
def test_fuse_by_start() -> None:
    assert fuse_by_start(20, 3.3, 48, 0.38) == 40
    assert fuse_by_start(20, 3.3, 48, 0.20) == 30
    with pytest.raises(InputError, match="not between"):
        fuse_by_start(20, 3.3, 70, 0.1)
    with pytest.raises(InputError, match="large blade"):
        fuse_by_start(28, 3.3, 60, 2.0)


@pytest.mark.independent("simulated 16 in fan: 63 A start, 20 A run, above 48 A for 0.38 s and above 60 A for 0.07 s")
def test_the_start_dies_away_exponentially() -> None:
    def above(level: float) -> float:
        return 0.9 * math.log((63 - 20) / (level - 20))

    assert above(48) == pytest.approx(0.38, abs=0.01)
    assert above(60) == pytest.approx(0.07, abs=0.01)
    assert opens_at_start("C", 30, 20, 63, 0.9)
    assert not opens_at_start("C", 40, 20, 63, 0.9)
    assert not opens_at_start("E", 30, 20, 63, 0.9)


@pytest.mark.published("33 CFR 183.455(c)(1): 150 % of 45 A is 67.5 A")
def test_largest_fuse() -> None:
    assert largest_fuse(12, 105 + ZERO, 30 + ZERO) == pytest.approx(67.5)


@pytest.mark.behaviour("a multiple nobody printed is refused")
def test_unknown_multiple() -> None:
    with pytest.raises(InputError, match="there are"):
        opening_window("C", 1.5)


@pytest.mark.law("codes unique, ratings rise in each kind, each with its standing")
def test_the_tables() -> None:
    fuses = table("fuses.csv", Fuse)
    assert len({fuse.code for fuse in fuses}) == len(fuses)
    assert all(fuse.source and fuse.seen and fuse.grade for fuse in fuses)
    for kind in ("C", "E"):
        assert ratings(kind) == sorted(set(ratings(kind)))
    assert [relay.rating for relay in relays()] == [40, 70]
    assert all(relay.momentary > relay.rating for relay in relays())


@pytest.mark.practice("70 % of a 40 A relay in a hot bay is 28 A, of a 70 A relay 49 A")
@pytest.mark.parametrize(("amps", "rating"), [(28.0, 40), (28.1, 70), (49.0, 70)])
def test_relay_for(amps: float, rating: float) -> None:
    assert relay_for(amps) == rating


@pytest.mark.behaviour("no relay for a current none kept may switch")
def test_no_relay() -> None:
    with pytest.raises(InputError, match="solid-state"):
        relay_for(49.1)


@pytest.mark.by_hand("52 A hot at idle less 45 A less 2 x 10 A: 13 A short")
def test_margin() -> None:
    assert alternator_margin(52, 45, 20) == -13


@pytest.mark.practice("13.5 V with current to spare, 12.2 V when the battery carries it")
def test_volts_ends() -> None:
    assert volts_at_source(0.0) == volts_at_source(40.0) == 13.5
    assert volts_at_source(-25.0) == volts_at_source(-80.0) == pytest.approx(12.2)
    assert volts_at_source(-12.5) == pytest.approx(12.85)
    assert volts_at_source(-50.0, charging_volts=12.0) == 12.0


@pytest.mark.law("more shortfall never gives more volts, and they never jump")
@settings(deadline=None)
@given(st.floats(-100, 100), st.floats(0, 5))
def test_volts_fall(margin: float, less: float) -> None:
    here, there = volts_at_source(margin), volts_at_source(margin - less)
    assert there <= here
    assert here - there <= 0.053 * less + 1e-12
