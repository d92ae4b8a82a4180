"""Simulated drives on paper.

drive_blocks
"""

from collections.abc import Sequence

from shroudwright.bench.units import convert
from shroudwright.drawing.drive_trace import drive_trace
from shroudwright.drives import DriveAnswer, Driven
from shroudwright.packet.blocks import Block, heading, items, page, picture, table, words
from shroudwright.speech import Dialect

ON_PAPER = ("parade", "city", "tow grade", "hot restart")
"""Routes of a packet"""
FEW = 16
"""Draws of each"""
_TALL = 0.1


def drive_blocks(driven: Sequence[Driven], shop: Dialect, width: float) -> list[Block]:
    """Return the page on simulated drives.

    Parameters
    ----------
    driven : sequence of Driven
        Each route.
    shop : Dialect
        Units.
    width : float
        Widest a picture may be, [m]

    Returns
    -------
    list of Block
        Empty where nothing was driven. The picture is of the route nearest its limit.
    """
    if not driven:
        return []
    answers = [each.answer for each in driven]
    nearest = min(driven, key=lambda each: each.answer.limit - each.answer.peak.value)
    heads = (
        f"1.3 route | 1.6 peak {shop.degree_sign} | 0.9r to limit | 1r holds in 100 | 0.9r fan on | 1.3r starts an hour"
        " | 1r relay, years | 0.9r dB(A) at 1 m | 0.9r Wh an hour | 0.8r least V"
    )
    told = [f"{each.route}: {says}" for each in answers for says in each.says]
    return [
        page(),
        heading("Simulated drives"),
        words("The settings of this packet followed second by second along made-up and published routes.", 9.5),
        table(heads, [_row(each, shop) for each in answers]),
        *([items(told)] if told else []),
        picture(
            drive_trace(nearest, shop, width, _TALL), f"Coolant, fans and road speed along {nearest.answer.route}."
        ),
        words(
            f"In brackets: 5 to 95 % of {FEW} draws. Heats, lags and stores of heat are guesses: times are good to "
            "some 40 %. Relay life is 100 000 starts at 500 h a year. Sound is the mean over the drive, +-5 dB.",
            8.5,
        ),
    ]


def _row(each: DriveAnswer, shop: Dialect) -> tuple[str, ...]:
    starts = each.starts_per_hour
    return (
        each.route,
        shop.band(each.peak),
        f"{shop.rise_of(each.limit - each.peak.value):.0f}",
        f"{100.0 * each.chance_of_holding:.0f}",
        f"{100.0 * each.fan_share.value:.0f} %",
        f"{starts.value:.0f} ({starts.low:.0f} to {starts.high:.0f})",
        "-" if each.relay_years is None else f"{each.relay_years.value:.0f}",
        "-" if each.noise is None else f"{each.noise.value:.0f}",
        f"{convert(each.energy.value, 'J', 'W*hour') / (each.seconds / 3600.0):.0f}",
        f"{each.least_volts.value:.1f}",
    )
