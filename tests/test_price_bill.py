"""The bill."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.catalogue.read import table
from shroudwright.price.bill import Bill, Price, bill, labour_time

NOTHING: dict[str, Any] = {
    "sheets": (),
    "wires": (),
    "fuses": (),
    "relays": (),
    "switches": (),
    "connectors": 0,
    "loom_length": 0.0,
    "hardware": (),
    "fans": (),
    "labour_time": 0.0,
    "labour_rate": "95.00 USD",
}


def made(**other: Any) -> Bill:
    return bill(**{**NOTHING, **other})


@pytest.mark.by_hand("168.00 + 135.00 list; 1.5 m of 10 gauge at 2.60 = 3.90; 2 x 16.00; 3 h at 95.00 = 285.00")
def test_bill() -> None:
    found = made(
        fans=[("A", "168.00 USD"), ("B", None)],
        wires=[(10, 1.0), (10, 0.5)],
        fuses=["E", "E"],
        labour_time=3 * 3600.0,
    )
    assert [line.total for line in found.lines] == [Decimal(each) for each in ("168.00", "135.00", "3.90", "32.00")]
    assert found.lines[0].source == "typed in the job"
    assert found.lines[1].source.startswith("invented")
    assert (found.parts, found.labour, found.total) == (Decimal("338.90"), Decimal("285.00"), Decimal("623.90"))
    assert found.currency == "USD"


@pytest.mark.by_hand(
    "10 ft cut 20 min, 4 bends 16, 2 ft weld 16, 8 holes 12, 2 fans 130: 194 min; 2 hoses and a tank: 30 + 45 + 40"
)
def test_labour() -> None:
    assert labour_time(3.048, 4, 0.6096, 8, 2, 0, 0) == pytest.approx(194 * 60)
    assert labour_time(3.048, 4, 0.6096, 8, 2, 2, 1) == pytest.approx((194 + 115) * 60)


@pytest.mark.law("the total is the sum of its lines to the cent, and no quantity costs nothing")
@settings(deadline=None)
@given(
    st.floats(0, 5), st.lists(st.tuples(st.sampled_from([18, 10, 8]), st.floats(0, 9)), max_size=6), st.floats(0, 1e5)
)
def test_sum(area: float, wires: list[tuple[float, float]], seconds: float) -> None:
    found = made(sheets=[("aluminium", area)], wires=wires, labour_time=seconds)
    assert found.total == sum((line.total for line in found.lines), found.labour)
    assert found.total == found.total.quantize(Decimal("0.01"))
    assert made().total == 0


@pytest.mark.behaviour("currencies are never added up, and what has no price is named")
def test_refusals() -> None:
    with pytest.raises(InputError, match="EUR and USD"):
        made(fans=[("A", "168.00 EUR")])
    with pytest.raises(InputError, match="EUR and USD"):
        made(hardware=[("grommet", 1)], labour_rate="80.00 EUR")
    assert made(fans=[("A", "168.00 EUR")], labour_rate="80.00 EUR").currency == "EUR"
    with pytest.raises(InputError, match="sheet titanium"):
        made(sheets=[("titanium", 1.0)])


@pytest.mark.law("the price list: codes once, prices in cents, dated, invented and said so")
def test_the_list() -> None:
    rows = table("prices.csv", Price)
    assert len({row.code for row in rows}) == len(rows)
    assert all(Decimal(row.price).as_tuple().exponent == -2 for row in rows)
    assert all(row.seen and row.source == "invented" and row.currency == "USD" for row in rows)
