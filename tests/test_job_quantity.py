"""Measurements as people type them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.job.quantity import STANDINGS, TypedFloat, is_unknown, nearest, read, shown

INCH = 0.0254


@pytest.mark.by_hand("1 in = 25.4 mm, 1 ft = 12 in, exactly")
@pytest.mark.parametrize(
    ("text", "value", "standing"),
    [
        ("23 1/2 in, measured", 23.5 * INCH, "measured"),
        ("23.5in", 23.5 * INCH, "guess"),
        ('1/2", box', 0.5 * INCH, "box"),
        ("470 mm , CATALOGUE", 0.47, "catalogue"),
        ("470 mm, measured in hand", 0.47, "measured"),
        ("1,234 mm, catalog", 1.234, "catalogue"),
        ("1,234 mm", 1.234, "guess"),
        ("2 ft, guess", 24 * INCH, "guess"),
    ],
)
def test_lengths(text: str, value: float, standing: str) -> None:
    reading = read(text, "length")
    assert reading.value == pytest.approx(value, rel=1e-12)
    assert (reading.standing, reading.typed, reading.spread) == (standing, text, None)


@pytest.mark.by_hand("1 gal = 231 in**3; 9 degF = 5 K; a percentage is of the value")
@pytest.mark.parametrize(
    ("text", "kind", "spread"),
    [
        ("12 gpm +- 2 gpm, measured", "liquid_flow", 2 * 231 * INCH**3 / 60),
        ("12 gpm +/- 10 %", "liquid_flow", 1.2 * 231 * INCH**3 / 60),
        ("100 degF ± 9 degF", "temperature", 5.0),
        ("0.30 +- 0.05", "share", 0.05),
        ("30 % +- 5 %", "share", 0.05),
    ],
)
def test_spread(text: str, kind: str, spread: float) -> None:
    assert read(text, kind).spread == pytest.approx(spread, rel=1e-12)


@pytest.mark.behaviour("a bare number is for shares, counts and engine speed, or in the file's unit")
def test_bare_numbers() -> None:
    assert read(0.85, "share").value == 0.85
    assert read(2, "number").value == 2.0
    assert read(750, "spin").value == 750.0
    assert read(10, "length", "mm").value == pytest.approx(0.01)
    assert read("10, measured", "length", "mm").standing == "measured"
    assert read(TypedFloat("24.50"), "length", "in").typed == "24.50"
    with pytest.raises(ValueError, match="10 has no unit; type for example"):
        read(10, "length")


@pytest.mark.behaviour("don't know counts as absent, however the mark is typed")
def test_unknown() -> None:
    assert all(is_unknown(text) for text in ("don't know", " Don’t Know ", "dont know"))
    assert not any(is_unknown(value) for value in ("2 in", 2, None, ""))


@pytest.mark.behaviour("the nearest meaning is a slipped point, a mixed-up unit or a sign")
@pytest.mark.parametrize(
    ("text", "kind", "low", "high", "meant"),
    [
        ("22 in", "length", 0.00635, 0.2032, ("2.2 in", "22 mm")),
        ("2 mm", "length", 0.00635, 0.2032, ("20 mm", "2 in")),
        ("-2 in", "length", 0.00635, 0.2032, ("2 in",)),
        ("60", "share", 0.0, 0.9, ("60 %",)),
        ("105 degC", "temperature", 290.0, 330.0, ("105 degF",)),
        ("1e308 in", "length", 0.00635, 0.2032, ()),
    ],
)
def test_nearest(text: str, kind: str, low: float, high: float, meant: tuple[str, ...]) -> None:
    found = nearest(read(text, kind), low, high)
    assert found == meant or (found[:1] == meant[:1] and set(meant) <= set(found))


@pytest.mark.law("what is shown reads back as it was, to the digits shown")
@given(st.floats(0.01, 5.0), st.sampled_from(["in", "mm", "ft", "m"]), st.sampled_from(STANDINGS))
def test_shown_reads_back(value: float, unit: str, standing: str) -> None:
    reading = read(f"{shown(value, unit, 'length')}, {standing}", "length")
    assert reading.value == pytest.approx(value, rel=6e-3)
    assert reading.standing == standing
