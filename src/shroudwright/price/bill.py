"""The bill: parts by quantity, hours by rate, in decimal money.

labour_time    by what there is to cut, bend, weld, drill, mount and wire
money          "168.00 USD" into an amount and its currency
bill           every line, and the total
"""

import math
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import offer
from shroudwright.catalogue.read import table

_FOOT = 0.3048
DEFAULT_LABOUR_RATE = "95.00 USD"
"""An hour's labour where the shop names none: common practice, no source."""
CUT_MINUTES, BEND_MINUTES, WELD_MINUTES = 2.0, 4.0, 8.0
HOLE_MINUTES, MOUNT_MINUTES, WIRE_MINUTES = 1.5, 20.0, 45.0
HOURS_WITHIN = Decimal("1.5")
"""Factor either way to which the hours are good, [-]"""
"""Per foot of cut and weld, per bend and hole, per fan mounted and wired: common practice, no source, [min]"""
HOSE_MINUTES, VESSEL_MINUTES, FILL_MINUTES = 15.0, 45.0, 40.0
"""Per hose cut and clamped, per tank or pump mounted, and to drain, fill and bleed once: common practice, no source"""

_SIZES = {"small": 0.012, "heater": 0.022, "radiator": math.inf}
"""Widest bore of each kind of hose on the list: common practice, no source, [m]"""


class Price(NamedTuple):
    """What one part costs by the list."""

    code: str
    part: str
    unit: str
    price: str
    """decimal, [text]"""
    currency: str
    source: str
    seen: str
    grade: str


@dataclass(frozen=True)
class Line:
    """One line of the bill."""

    part: str
    quantity: Decimal
    unit: str
    each: Decimal
    total: Decimal
    source: str


@dataclass(frozen=True)
class Bill:
    """What it costs, all in one currency."""

    lines: tuple[Line, ...]
    parts: Decimal
    labour: Decimal
    total: Decimal
    currency: str
    hours: float
    """of labour, a guess good to a factor of 1.5"""
    rate: Decimal
    """of an hour"""


@offer
def labour_time(
    cut_length: float, bends: float, weld_length: float, holes: float, fans: float, hoses: float, vessels: float
) -> float:
    """Time to cut, bend, weld, drill, mount, wire and plumb.

    2 min a foot cut, 4 a bend, 8 a foot welded, 1.5 a hole, 20 a fan mounted and 45 a fan wired; 15 a hose, 45 a tank
    or pump, and 40 to drain, fill and bleed where there is any of them.

    Parameters
    ----------
    cut_length : float
        All outlines, [m]
    bends : float
        [-]
    weld_length : float
        [m]
    holes : float
        [-]
    fans : float
        [-]
    hoses : float
        To be bought and fitted, [-]
    vessels : float
        Tanks and electric pumps to be mounted, [-]

    Returns
    -------
    time : float
        [s]

    Notes
    -----
    Limits: thin sheet by hand tools and a brake; no design, no fetching. Accuracy: a factor of 1.5.

    References
    ----------
    Common practice, no source.
    """
    minutes = (
        CUT_MINUTES * cut_length / _FOOT
        + BEND_MINUTES * bends
        + WELD_MINUTES * weld_length / _FOOT
        + HOLE_MINUTES * holes
        + (MOUNT_MINUTES + WIRE_MINUTES) * fans
        + HOSE_MINUTES * hoses
        + VESSEL_MINUTES * vessels
        + (FILL_MINUTES if hoses + vessels > 0.0 else 0.0)
    )
    return 60.0 * minutes


def money(text: str) -> tuple[Decimal, str]:
    """Read typed money.

    Parameters
    ----------
    text : str
        Such as ``168.00 USD``.

    Returns
    -------
    amount, currency : Decimal, str
    """
    amount, currency = text.split()
    return Decimal(amount), currency


def _size(bore: float) -> str:
    return next(size for size, widest in _SIZES.items() if bore <= widest)


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(Decimal("0.01"), ROUND_HALF_UP)


def _line(part: str, quantity: Decimal, unit: str, each: Decimal, source: str) -> Line:
    return Line(part, quantity, unit, _cents(each), _cents(quantity * each), source)


def bill(
    *,
    sheets: Sequence[tuple[str, float]],
    wires: Sequence[tuple[float, float]],
    fuses: Sequence[str],
    relays: Sequence[float],
    switches: Sequence[str],
    connectors: int,
    loom_length: float,
    hardware: Sequence[tuple[str, float]],
    fans: Sequence[tuple[str, str | None]],
    labour_time: float,
    labour_rate: str,
    hoses: Sequence[tuple[float, float]] = (),
    tank: str | None = None,
    pump: tuple[str, str | None] | None = None,
) -> Bill:
    """Price a job.

    Parameters
    ----------
    sheets : sequence of (metal, mass)
        aluminium or steel, bought, offcuts and all; one for each metal and thickness, the shroud's first, [kg]
    wires : sequence of (gauge, length)
        Every wire, [-] and [m]
    fuses : sequence of str
        The kind of each, C or E, with its holder.
    relays : sequence of float
        The rating of each, with its socket, [A]
    switches : sequence of str
        What works the fans, each as the list calls it: controller, sensor, pwm module and so on.
    connectors : int
        How many.
    loom_length : float
        [m]
    hardware : sequence of (code, quantity)
        What holds and seals the shroud, by its code in the price list, in pieces or metres.
    fans : sequence of (code, price)
        A price as typed, such as ``168.00 USD``, stands over the list.
    labour_time : float
        From `labour_time`, [s]
    labour_rate : str
        An hour's labour, such as ``95.00 USD``.
    hoses : sequence of (bore, length)
        Every hose to be bought, two clamps to each, [m]
    tank : str, optional
        surge tank or recovery bottle, where one is to be bought.
    pump : (code, price), optional
        An electric water pump; a price as typed stands over the list, none of money is there already.

    Returns
    -------
    Bill
        Lines of no quantity are left out.

    Raises
    ------
    InputError
        If a part has no price, or prices are in several currencies.
    """
    listed = {price.code: price for price in table("prices.csv", Price)}
    lengths: defaultdict[str, float] = defaultdict(float)
    for gauge, length in wires:
        lengths[f"wire {gauge:g}"] += length
    wanted: list[tuple[str, float]] = [
        *((f"sheet {metal}", mass) for metal, mass in sheets),
        *lengths.items(),
        *Counter(f"fuse {kind}" for kind in fuses).items(),
        *Counter(f"relay {rating:g}" for rating in relays).items(),
        *Counter(switches).items(),
        ("connector", connectors),
        ("loom", loom_length),
        *hardware,
        *((f"hose {size}", sum(run for bore, run in hoses if _size(bore) == size)) for size in _SIZES),
        ("hose clamp", 2 * len(hoses)),
        (tank or "", 1 if tank else 0),
    ]
    wanted = [(code, quantity) for code, quantity in wanted if quantity]
    if unlisted := [code for code, _ in wanted if code not in listed]:
        raise InputError([f"no price is listed for {code!r}" for code in unlisted])
    rate, currency = money(labour_rate)
    used = {currency} | {listed[code].currency for code, _ in wanted}
    used |= {money(price)[1] if price else listed["fan"].currency for _, price in (*fans, *([pump] if pump else ()))}
    if len(used) > 1:
        raise InputError([f"prices are in {' and '.join(sorted(used))}; type them all in one currency"])
    lines = (
        *_of_fans(fans, listed["fan"]),
        *_of_pump(pump, listed),
        *(_of_list(listed[code], quantity) for code, quantity in wanted),
    )
    parts = sum((line.total for line in lines), Decimal("0.00"))
    labour = _cents(rate * Decimal(str(labour_time)) / 3600)
    return Bill(lines, parts, labour, parts + labour, currency, labour_time / 3600.0, rate)


def _of_list(price: Price, quantity: float) -> Line:
    exact = _cents(Decimal(str(quantity)))
    return _line(price.part, exact, price.unit, Decimal(price.price), f"{price.source}, {price.seen}")


def _of_pump(pump: tuple[str, str | None] | None, listed: Mapping[str, Price]) -> Iterator[Line]:
    if pump is None:
        return
    code, typed = pump
    if typed is None:
        yield _of_list(listed[code], 1)
    elif money(typed)[0]:
        yield _line(listed[code].part, Decimal(1), "each", money(typed)[0], "typed in the job")


def _of_fans(fans: Sequence[tuple[str, str | None]], generic: Price) -> Iterator[Line]:
    for code, typed in fans:
        if typed:
            yield _line(f"fan {code}", Decimal(1), "each", money(typed)[0], "typed in the job")
        else:
            each = Decimal(generic.price)
            yield _line(f"fan {code}", Decimal(1), "each", each, f"{generic.source}, {generic.seen}")
