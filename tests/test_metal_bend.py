"""Bends, gauges and the table of metals."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError, OutOfRange
from shroudwright.catalogue.read import table
from shroudwright.metal.bend import (
    bend_allowance,
    bend_allowance_shop,
    bend_deduction,
    handbook_bend_length,
    k_din_6935,
    k_factor,
    setback,
    smallest_radius,
)
from shroudwright.metal.sheet import Sheet, find_sheet, sheet_gauge, sheet_weight

INCH = 0.0254
METALS = [sheet.metal for sheet in table("sheet.csv", Sheet)]


@pytest.mark.published("FAA AC 43.13-1B (1998), par. 4-56: R 0.25, t 0.064: 45 deg 0.130 in, 135 deg 0.758 in")
@pytest.mark.parametrize(("bend", "inches"), [(45.0, 0.130), (135.0, 0.758)])
def test_setback(bend: float, inches: float) -> None:
    assert setback(math.radians(bend), 0.25 * INCH, 0.064 * INCH) / INCH == pytest.approx(inches, abs=0.0005)


@pytest.mark.law("two outside legs less the deduction are the straights plus the allowance")
@given(st.floats(0.05, 2.5), st.floats(0.0, 0.05), st.floats(0.0005, 0.006), st.floats(0.3, 0.5))
def test_legs(angle: float, radius: float, t: float, k: float) -> None:
    back = setback(angle, radius, t)
    one, two = 0.1, 0.2
    outside = (one + back) + (two + back)
    flat = one + bend_allowance(angle, radius, t, k) + two
    assert outside - bend_deduction(angle, radius, t, k) == pytest.approx(flat, rel=1e-12)


@pytest.mark.by_hand("0.0173 and 0.0078 per degree are K = 0.447 with pi/180 rounded down 0.9 %")
@given(st.floats(0.1, 2.5), st.floats(0.001, 0.02), st.floats(0.0005, 0.006))
def test_shop_formula(angle: float, radius: float, t: float) -> None:
    exact = bend_allowance(angle, radius, t, 0.0078 * 180.0 / math.pi)
    assert 0.991 * exact < bend_allowance_shop(angle, radius, t) <= exact


@pytest.mark.published("Machinery's Handbook, sheet-metal bending: the three classes stand for K 0.350, 0.407, 0.452")
@pytest.mark.parametrize(("temper", "k"), [("soft", 0.350), ("half-hard", 0.407), ("hard", 0.452)])
def test_handbook(temper: str, k: float) -> None:
    length = handbook_bend_length(3e-3, 2e-3, temper)
    assert length == pytest.approx(bend_allowance(0.5 * math.pi, 3e-3, 2e-3, k), abs=5e-6)
    with pytest.raises(InputError, match="soft, half-hard, hard"):
        handbook_bend_length(3e-3, 2e-3, "springy")


@pytest.mark.by_hand("0.65 + 0.5 log10 5 = 0.9995; half of it, and 0.5 above")
def test_din() -> None:
    assert k_din_6935(5.0, 1.0) == pytest.approx(0.49974, abs=1e-5)
    assert k_din_6935(6.0, 1.0) == 0.5
    assert k_din_6935(1.0, 1.0) == pytest.approx(0.325)


@pytest.mark.practice("half for large rolls; tight bends 0.40 in aluminium, 0.44 in steel")
def test_recommended_k() -> None:
    assert k_factor(0.75 * INCH, 0.08 * INCH, "aluminium 5052-H32") == 0.5
    assert k_factor(5.0, 1.0, "mild steel") == 0.5
    assert k_factor(0.125 * INCH, 0.08 * INCH, "aluminium 5052-H32") == 0.40
    assert k_factor(0.125 * INCH, 0.06 * INCH, "mild steel") == 0.44
    with pytest.raises(InputError, match="aluminium 3003-H14"):
        k_factor(1.0, 1.0, "tin")


@pytest.mark.published("Aluminum Design Manual 2005, part VII Table 3-1, in thicknesses")
@pytest.mark.parametrize(
    ("metal", "times"),
    [
        ("3003-H14", (0, 0, 1, 1, 1.5)),
        ("5052-H32", (0, 1, 1.5, 1.5, 1.5)),
        ("6061-T6", (1, 1.5, 2.5, 3, 3.5)),
    ],
)
def test_smallest_radius(metal: str, times: tuple[float, ...]) -> None:
    for thickness, multiple in zip((1 / 32, 1 / 16, 1 / 8, 3 / 16, 1 / 4), times, strict=True):
        assert smallest_radius(metal, thickness * INCH) == pytest.approx(multiple * thickness * INCH)


@pytest.mark.by_hand("5052 at 0.080: 1 + 0.28 x 0.5 = 1.14, so 1.5 t; steel: half t, at least 1/32 in")
def test_smallest_radius_between() -> None:
    assert smallest_radius("aluminium 5052-H32", 0.08 * INCH) == pytest.approx(0.12 * INCH)
    assert smallest_radius("mild steel", 0.048 * INCH) == pytest.approx(INCH / 32)
    assert smallest_radius("mild steel", 0.125 * INCH) == pytest.approx(0.0625 * INCH)
    assert smallest_radius("6061-T6", 0.02 * INCH) == pytest.approx(0.02 * INCH)
    with pytest.raises(OutOfRange, match=r"0\.3 in is outside"):
        smallest_radius("5052-H32", 0.3 * INCH)


@pytest.mark.law("thicker sheet never bends sharper")
@given(st.sampled_from(METALS), st.floats(0.5e-3, 6.2e-3), st.floats(0.0, 0.1e-3))
def test_smallest_radius_grows(metal: str, t: float, more: float) -> None:
    assert smallest_radius(metal, t + more) >= smallest_radius(metal, t)


@pytest.mark.published("ASTM B258 and Manufacturers' Standard tables, as printed, inches")
@pytest.mark.parametrize(
    ("system", "printed"),
    [
        ("B&S", {18: 0.0403, 16: 0.0508, 14: 0.0641, 12: 0.0808, 11: 0.0907, 10: 0.1019, 8: 0.1285}),
        (
            "Manufacturers' Standard",
            {20: 0.0359, 18: 0.0478, 16: 0.0598, 14: 0.0747, 12: 0.1046, 11: 0.1196, 10: 0.1345},
        ),
    ],
)
def test_gauges(system: str, printed: dict[int, float]) -> None:
    for gauge, inches in printed.items():
        assert sheet_gauge(gauge, system) / INCH == pytest.approx(inches, abs=5.1e-5)


@pytest.mark.behaviour("a gauge that does not exist is refused")
def test_no_such_gauge() -> None:
    with pytest.raises(OutOfRange, match="3 to 28"):
        sheet_gauge(16.5, "Manufacturers' Standard")
    with pytest.raises(OutOfRange):
        sheet_gauge(50, "B&S")
    with pytest.raises(InputError, match="B&S, Manufacturers' Standard"):
        sheet_gauge(16, "gauge")


@pytest.mark.published("mill table: aluminium .063 0.88, .080 1.12, .125 1.75 lb/ft2 at 0.097 lb/in3; 16 ga steel 2.50")
@pytest.mark.parametrize(
    ("metal", "inches", "pounds"),
    [("5052-H32", 0.063, 0.88), ("5052-H32", 0.080, 1.12), ("5052-H32", 0.125, 1.75), ("mild steel", 0.0598, 2.45)],
)
def test_weight_of_a_square_foot(metal: str, inches: float, pounds: float) -> None:
    volume = (12 * INCH) ** 2 * inches * INCH
    assert sheet_weight(volume, find_sheet(metal).density) / 0.45359237 == pytest.approx(pounds, abs=0.006)


@pytest.mark.law("each metal names where its numbers come from; stiff enough, yielding well under it")
def test_the_sheet_table() -> None:
    sheets = table("sheet.csv", Sheet)
    assert len({sheet.metal for sheet in sheets}) == len({sheet.code for sheet in sheets}) == len(sheets)
    for sheet in sheets:
        assert sheet.source
        assert sheet.seen
        assert sheet.grade
        assert 2600.0 < sheet.density < 8000.0
        assert 0.001 < sheet.yield_strength / sheet.elasticity < 0.005
