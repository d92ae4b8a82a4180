"""What is wrong with the plumbing, in words.

    plumbing_findings    the findings of a plan's plumbing
    banded               a middle and its band
    boiling              how far under boiling, or past it

`plumbing.checks` returns codes and numbers; `SAID` holds the one wording of each code.
"""

from collections.abc import Callable
from typing import cast

from shroudwright.assessment import FindingAnswer
from shroudwright.bench.findings import Level
from shroudwright.plan import Plan
from shroudwright.plumbing.checks import Found
from shroudwright.plumbing_flow import Numbers, spread
from shroudwright.plumbing_plan import Plumbed
from shroudwright.shop_words import Wording, said
from shroudwright.speech import Dialect

SAID: dict[str, Wording] = {
    "K05": Wording(
        "fix",
        "The filler is lower than the engine's high point: air stays in the engine when it is filled.",
        "length",
        "A filler neck or tank at {wanted} or higher, or nose up to fill, and bleed the high point.",
    ),
    "K06": Wording(
        "fix",
        "Air collects at the highest point and nothing lets it out.",
        "",
        "A vent line from there that rises all the way to the tank, or a filler there.",
    ),
    "K07": Wording(
        "fix",
        "A vent line sags: the dip fills with coolant and holds the air back.",
        "",
        "Lead it so that it rises all the way to tank or filler.",
    ),
    "K08": Wording(
        "fix",
        "The surge tank is lower than core or engine: it cannot keep them full.",
        "length",
        "Its cold level at {wanted} or higher.",
    ),
    "K09": Wording(
        "fix",
        "The hose to the pump has nothing inside: at speed the pump sucks it flat.",
        "",
        "A spring or wire inside, a hose with one moulded in, or a hard tube.",
    ),
    "K10": Wording(
        "watch",
        "The thermostat has no air hole: air stands under it, and it opens late.",
        "",
        "A 1/8 in (3 mm) hole or a jiggle pin in its flange, put in at the top.",
    ),
    "K11": Wording(
        "fix",
        "A hose and its neck, or the necks at a hose's two ends, differ in size.",
        "length",
        "A hose as wide inside as the neck is outside, or a stepped hose made for both.",
    ),
    "K12": Wording(
        "fix",
        "A restrictor in place of the thermostat: slower coolant does not cool better, it boils sooner.",
        "share",
        "A thermostat with an air hole.",
    ),
    "K13": Wording(
        "watch",
        "The cap sits on the pressure side: at high engine speed the pump's push opens it.",
        "pressure",
        "The cap on the outlet tank, or on a surge tank that feeds the pump.",
    ),
    "K14": Wording(
        "watch",
        "The transmission's fluid meets the air first and is warmed again in the radiator's tank.",
        "",
        "From the transmission to the tank, then to the cooler in the air, then back.",
    ),
    "K15": Wording(
        "watch",
        "The core is bolted hard: the frame's twist and the engine's shaking go into its joints.",
        "",
        "Rubber under and over it, and one end free to move.",
    ),
    "K16": Wording(
        "fix",
        "Something goes through the fins: it saws into the tubes as it shakes.",
        "",
        "Brackets or a shroud that the tanks or the frame carry.",
    ),
    "K17": Wording(
        "fix",
        "Bare metal touches core or tanks: it wears through, and eats aluminium where it is wet.",
        "",
        "Rubber between, or 1/4 in (6 mm) of air.",
    ),
    "K18": Wording(
        "watch",
        "The tank is small for what the coolant grows.",
        "volume",
        "A tank of {wanted} or more.",
    ),
    "K19": Wording(
        "watch",
        "Hot at high engine speed the coolant is near boiling at the pump's inlet: the pump then moves steam.",
        "rise",
        "The cap or a surge tank on the pump's side, a wider or shorter hose to it, or a cap of higher pressure the "
        "radiator is rated for.",
    ),
    "K20": Wording("note", "There is no drain at the low point.", "", "A drain cock, or a tee with a plug."),
    "K21": Wording(
        "fix",
        "A neck without a bead: under pressure its hose creeps off.",
        "",
        "A rolled or welded bead on each neck, the clamp behind it.",
    ),
    "K22": Wording(
        "watch",
        "The coolant has nowhere to grow: what it gains runs out with each heating, and air comes back.",
        "volume",
        "A recovery bottle with a cap that draws back, or a surge tank.",
    ),
}


def plumbing_findings(plan: Plan, shop: Dialect) -> list[FindingAnswer]:
    """Say what is wrong with a plan's plumbing.

    Parameters
    ----------
    plan : Plan
        With its plumbing.
    shop : Dialect
        Units to say it in.

    Returns
    -------
    list of FindingAnswer
    """
    laid = plan.plumbing
    return [] if laid is None else [_one(item, laid, shop) for item in laid.found]


def _one(item: Found, laid: Plumbed, shop: Dialect) -> FindingAnswer:
    level = cast(Level | None, item.level)
    detail = item.detail
    if item.code == "K06" and item.measured is not None and item.limit is not None:
        above = shop.size(item.measured - item.limit)
        other = "core" if detail == "engine" else "engine"
        detail = f"The {detail} stands {above} over the {other}, without filler or vent there."
    if item.code == "K22" and item.measured is not None:
        detail = f"It grows by {shop.volume(item.measured)} from cold to hot."
    if item.code == "K12" and item.measured is not None:
        detail = f"It leaves {item.measured:.0%} of the flow at the engine's rated speed."
    if item.code == "K13" and item.measured is not None and item.limit is not None:
        left = banded(shop.gauge_pressure, laid.margins.static_left)
        detail = (
            f"At the engine's rated speed core and hose take {shop.gauge_pressure(item.limit - item.measured)}; of "
            f"{shop.gauge_pressure(item.limit)} on the cap {left} are left."
        )
    if item.code == "K19" and item.limit is not None:
        detail = f"{boiling(laid.margins.held, shop)}; near is {shop.rise(item.limit)}."
    numbers = (item.measured, item.limit) if not detail else (None, None)
    return said(SAID, item.code, *numbers, item.place, shop, level, item.wanted, detail)


def banded(text: Callable[[float], str], draws: Numbers) -> str:
    """Write a middle with its unit, then both ends of its band.

    Parameters
    ----------
    text : callable
        Writes a number with its unit.
    draws : array
        The middle, then the draws.
    """
    middle, low, high = spread(draws)
    ends = [text(end).rpartition(" ")[0] for end in (low, high)]
    return f"{text(middle)} ({' to '.join(ends)})"


def boiling(draws: Numbers, shop: Dialect) -> str:
    """Write how far under boiling coolant is, or past it, from the worse end of the band to the better.

    Parameters
    ----------
    draws : array
        Boiling over the coolant: the middle, then the draws, [K]
    shop : Dialect
        Units.
    """
    middle, low, high = spread(draws)
    side = "under" if middle >= 0.0 else "past"
    ends = [f"{shop.rise(abs(end))} {'under' if end >= 0.0 else 'past'}" for end in (low, high)]
    return f"{shop.rise(abs(middle))} {side} boiling ({' to '.join(ends)})"
