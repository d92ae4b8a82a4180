"""What fixes cost: parts, hours, and both together at the shop's rate.

Price, prices    the table of fixes
row_of           a fix's row, with or without a shelf
not_with         fixes one cannot stand beside
cost_of          of one fix or a set
"""

from collections.abc import Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from typing import NamedTuple

from shroudwright.assessment import Band, MoneyBand
from shroudwright.catalogue.read import table
from shroudwright.job.filled import Filled
from shroudwright.price.bill import DEFAULT_LABOUR_RATE, money
from shroudwright.remedies import brushed_fans
from shroudwright.shelf_fixes import Offer

_ENDS = ("", "_low", "_high")


class Price(NamedTuple):
    """One fix in the shop's terms."""

    code: str
    fix: str
    do: str
    conflicts: str
    not_with: str | None
    """codes between semicolons, [text]"""
    per: str
    """job or fan, [text]"""
    parts_low: str
    """without the fans, where they come off a shelf"""
    parts: str
    parts_high: str
    currency: str
    hours_low: float
    """[s]"""
    hours: float
    hours_high: float
    source: str


@cache
def prices() -> dict[str, Price]:
    """Return the table of fixes by code."""
    return {row.code: row for row in table("fixes.csv", Price)}


def row_of(code: str, offers: Mapping[str, Offer]) -> Price:
    """Return a fix's row: that of fans off a shelf where a shelf has some for it."""
    return prices()[f"{code} off the shelf" if code in offers else code]


def not_with(code: str) -> list[str]:
    """Return the codes of the fixes one cannot stand beside."""
    return [other.strip() for other in (prices()[code].not_with or "").split(";") if other.strip()]


def cost_of(
    filled: Filled, codes: Sequence[str], offers: Mapping[str, Offer]
) -> tuple[MoneyBand | None, Band, MoneyBand | None, str]:
    """Add up what fixes cost.

    Parameters
    ----------
    filled : Filled
        The job as it is.
    codes : sequence of str
        The fixes.
    offers : mapping of str to Offer
        Fans off a shelf, by the code of their fix.

    Returns
    -------
    parts, hours, cost, currency : MoneyBand or None, Band, MoneyBand or None, str
        No money where a price is not known or is in another currency than the shop's.
    """
    rate, currency = money(str(filled.job.shop.labour_rate or DEFAULT_LABOUR_RATE))
    rows = [row_of(code, offers) for code in codes]
    counts = [_count(filled, code, row, offers) for code, row in zip(codes, rows, strict=True)]
    hours = [
        sum(n * getattr(row, f"hours{end}") for n, row in zip(counts, rows, strict=True)) / 3600.0 for end in _ENDS
    ]
    spent = Band(value=hours[0], low=hours[1], high=hours[2])
    bought = [fan.price and money(fan.price) for code in codes if code in offers for fan in offers[code].fans]
    fans = [price[0] for price in bought if price and price[1] == currency]
    if len(fans) < len(bought) or any(row.currency != currency for row in rows):
        return None, spent, None, currency
    parts = [
        sum(
            (n * Decimal(getattr(row, f"parts{end}")) for n, row in zip(counts, rows, strict=True)),
            sum(fans, Decimal()),
        )
        for end in _ENDS
    ]
    whole = [part + rate * Decimal(str(hour)) for part, hour in zip(parts, hours, strict=True)]
    return _money_band(parts), spent, _money_band(whole), currency


def _money_band(amounts: Sequence[Decimal]) -> MoneyBand:
    value, low, high = (str(amount.quantize(Decimal("0.01"), ROUND_HALF_UP)) for amount in amounts)
    return MoneyBand(value=value, low=low, high=high)


def _count(filled: Filled, code: str, row: Price, offers: Mapping[str, Offer]) -> int:
    if row.per != "fan":
        return 1
    if code in offers:
        return len(offers[code].fans)
    return len(brushed_fans(filled)) if code == "stronger fan" else len(filled.job.fans)
