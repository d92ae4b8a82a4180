import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.units import KINDS, convert, show, split, to_si


@pytest.mark.by_hand("1 in = 25.4 mm exactly; 0 degF = 255.372 K; 1 gal = 231 in**3")
@pytest.mark.parametrize(
    ("typed", "kind", "value"),
    [
        ("23 1/2 in", "length", 0.5969),
        ("23-1/2 in", "length", 0.5969),
        ('3/4"', "length", 0.01905),
        ("470 mm", "length", 0.470),
        ("110 degF", "temperature", 316.4833333),
        ("110 F", "temperature", 316.4833333),
        ("-40 degC", "temperature", 233.15),
        ("15 degF", "rise", 8.3333333),
        ("2,200 cfm", "air_flow", 1.0382844),
        ("12 gpm", "liquid_flow", 7.570824e-4),
        ("15 psi", "pressure", 103421.36),
        ("0.8 inH2O", "pressure", 199.27113),
        ("5 %", "share", 0.05),
        ("15 per_inch", "count_per_length", 590.55118),
        ("38 sq in", "area", 0.02451608),
        ("300 lbf*ft", "torque", 406.7454),
        ("1e3 W", "power", 1000.0),
        ("1950 CFM", "air_flow", 0.9202975),
        ("350 ci", "volume", 5.7354725e-3),
        ("200 HP", "power", 149139.97),
    ],
)
def test_what_people_type(typed: str, kind: str, value: float) -> None:
    assert to_si(typed, kind) == pytest.approx(value, rel=1e-6)


@pytest.mark.behaviour("bare numbers")
def test_a_bare_number_needs_a_unit_except_for_shares_counts_and_engine_speed() -> None:
    assert to_si(0.3, "share") == 0.3
    assert to_si(750, "spin") == 750
    assert to_si("18.5", "length", bare_unit="in") == pytest.approx(0.4699)
    with pytest.raises(ValueError, match="type for example '23 1/2 in'"):
        to_si("18.5", "length")


@pytest.mark.behaviour("unreadable measurements")
@pytest.mark.parametrize(
    "typed",
    [
        "",
        "wide",
        "in 12",
        "1/0 in",
        "nan in",
        "inf mm",
        "1e400 mm",
        "12 psi",
        "12 bananas",
        "2 in**9**9**9",
        "1" * 400 + " 1/2 in",
        True,
        math.inf,
    ],
)
def test_what_is_not_a_length_is_refused_with_an_example(typed: object) -> None:
    with pytest.raises(ValueError):
        to_si(typed, "length")  # type: ignore[arg-type]


@pytest.mark.law("what is shown reads back")
@given(st.floats(1e-3, 1e3))
def test_shown_lengths_read_back(value: float) -> None:
    assert to_si(show(value, "in", 12), "length") == pytest.approx(value, rel=1e-9)


@pytest.mark.behaviour("every kind has an example that reads")
@pytest.mark.parametrize("kind", KINDS)
def test_every_example_reads(kind: str) -> None:
    assert math.isfinite(to_si(KINDS[kind].example, kind))


@pytest.mark.behaviour("conversion")
def test_unlike_units_do_not_convert() -> None:
    assert convert(9.0, "degF", "K", difference=True) == pytest.approx(5.0)
    with pytest.raises(ValueError, match="cannot be read as"):
        convert(1.0, "psi", "m")
    assert split("12 gpm +") == (12.0, "gpm +")
