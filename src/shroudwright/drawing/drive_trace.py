"""A simulated drive over time: coolant against its limit and the settings, how much the fans run, the road speed.

drive_trace
"""

from matplotlib.figure import Figure

from shroudwright.bench.units import convert
from shroudwright.drawing.plots import INCH, INK, PALE, QUIET, house_style, svg_of
from shroudwright.drives import Driven
from shroudwright.speech import Dialect


def drive_trace(driven: Driven, shop: Dialect, width: float, height: float) -> str:
    """Plot a drive.

    Parameters
    ----------
    driven : Driven
        What to show: the medians' trace.
    shop : Dialect
        Units.
    width, height : float
        [m]

    Returns
    -------
    str
        SVG; greys only.
    """

    def degrees(kelvin: float) -> float:
        return float(convert(kelvin, "K", shop.temperature))

    minutes = driven.time / 60.0
    road = "mph" if shop.length == "in" else "km/h"
    with house_style():
        figure = Figure((width / INCH, height / INCH))
        heat, fans, speed = figure.subplots(3, 1, sharex=True, height_ratios=(3.2, 1.0, 1.0))
        coolant, sensor = ([degrees(float(each)) for each in driven.trace[:, column]] for column in (0, 1))
        heat.plot(minutes, coolant, color=INK, linewidth=1.1)
        heat.plot(minutes, sensor, color=QUIET, linewidth=0.8, linestyle=(0, (4, 2)))
        lines = [
            (driven.answer.limit, "limit", "-"),
            (driven.plan.on_1, "fan 1 on", ":"),
            (driven.plan.off_1, "off", ":"),
        ]
        if driven.plan.on_2 != driven.plan.on_1:
            lines.append((driven.plan.on_2, "fan 2 on", ":"))
        for kelvin, words, dash in lines:
            heat.axhline(degrees(kelvin), color=QUIET, linewidth=0.7, linestyle=dash)
            heat.text(1.005, degrees(kelvin), words, transform=heat.get_yaxis_transform(), va="center", fontsize=7.5)
        low = min(*coolant[len(coolant) // 10 :], degrees(driven.plan.off_1)) - 8.0
        heat.set_ylim(low, max(*coolant, degrees(driven.answer.limit)) + 6.0)
        heat.set_ylabel(shop.degree_sign)
        heat.set_title(f"{driven.answer.route}: coolant (line) and fan sensor (dashes)")
        fans.fill_between(minutes, 100.0 * driven.trace[:, 2], step="post", color=PALE, edgecolor=QUIET, linewidth=0.5)
        fans.set_ylim(0.0, 105.0)
        fans.set_ylabel("fans %")
        speed.plot(minutes, convert(1.0, "m/s", road) * driven.speed[: len(minutes)], color=INK, linewidth=0.7)
        speed.set_ylabel(road)
        speed.set_xlabel("minutes")
        speed.set_xlim(0.0, float(minutes[-1]))
        return svg_of(figure)
