"""What depth, cover and flaps do to the coolant, as curves with the job's own place on them.

plenum_curves    three panels on one scale of degrees, or of a pull's seconds
"""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from shroudwright.air_behind import MPH, Curves, Numbers
from shroudwright.bench.units import convert
from shroudwright.drawing.plots import INCH, INK, QUIET, house_style, svg_of
from shroudwright.speech import Dialect

_LOOKS = ("-", "--", "-.", ":")


def plenum_curves(curves: Curves, shop: Dialect, width: float, height: float) -> str:
    """Plot coolant and amps against depth, and coolant against covered share and flap area at road speeds.

    Parameters
    ----------
    curves : Curves
        What to show.
    shop : Dialect
        Units of the shop.
    width, height : float
        Of the paper, [m]

    Returns
    -------
    str
        SVG text.
    """

    def shown(value: float) -> float:
        return value if curves.is_pull else float(convert(value, "K", shop.temperature))

    def all_shown(values: Numbers) -> Numbers:
        return np.array([shown(float(value)) for value in values])

    with house_style():
        figure = Figure(figsize=(width / INCH, height / INCH))
        depth, cover, flaps = figure.subplots(1, 3)
        what = "seconds to the limit" if curves.is_pull else f"coolant, open thermostat, {shop.degree_sign}"
        scale = 1.0 / INCH if shop.length == "in" else 1e3
        _line(depth, scale * curves.depths, all_shown(curves.depth_coolant), "-", "")
        _here(depth, scale * curves.depth, shown(curves.coolant), f"here, {shop.tape(curves.depth)}")
        depth.set_ylabel(what)
        depth.set_xlabel(f"fins to plate, {shop.length}")
        depth.set_title("Depth")
        amps = depth.twinx()
        amps.plot(scale * curves.depths, curves.depth_amps, color=QUIET, linewidth=0.8, linestyle=":")
        most = float(np.nanmax(curves.depth_amps))
        amps.set_ylim(0.0, 1.1 * most if most > 0.0 else 1.0)
        amps.set_ylabel("fans, A (dotted)", color=QUIET)
        for axes, x, speeds, lines, at, title, says in (
            (cover, curves.covers, curves.cover_speeds, curves.cover_coolant, curves.covered, "Cover", "core covered"),
            (flaps, curves.flap_shares, curves.flap_speeds, curves.flap_coolant, curves.flaps, "Flaps", "flap area"),
        ):
            for speed, line, look in zip(speeds, lines, _LOOKS, strict=False):
                _line(axes, 100.0 * x, all_shown(line), look, _speed_words(float(speed), shop))
            _here(axes, 100.0 * at, shown(curves.coolant), "")
            axes.set_xlabel(f"{says}, % of the core")
            axes.set_title(title)
        low, high = zip(*(axes.get_ylim() for axes in (depth, cover, flaps)), strict=True)
        for axes in (depth, cover, flaps):
            axes.grid(axis="y")
            axes.set_ylim(min(low), max(high))
        return svg_of(figure)


def _line(axes: Axes, x: Numbers, y: Numbers, look: str, name: str) -> None:
    axes.plot(x, y, color=INK, linewidth=1.2, linestyle=look)
    known = np.flatnonzero(np.isfinite(y))
    if name and len(known):
        axes.annotate(name, (x[known[0]], y[known[0]]), (12, 3), textcoords="offset points", size=7.5, color=INK)


def _here(axes: Axes, x: float, y: float, says: str) -> None:
    """Mark where the job stands; nothing where it has no steady state."""
    if np.isfinite(y):
        axes.plot([x], [y], marker="o", markersize=5.5, color=INK, markerfacecolor="#ffffff", zorder=5)
        axes.annotate(says, (x, y), (6, 5), textcoords="offset points", size=8)


def _speed_words(speed: float, shop: Dialect) -> str:
    if speed == 0.0:
        return "standing"
    return f"{speed / MPH:.0f} mph" if shop.length == "in" else f"{3.6 * speed:.0f} km/h"
