"""Plots of an assessment as SVG: greys only, text as text, the same bytes every time.

coolant_plot    coolant of each driving case against its limit
air_plot        air each fan moves beside the number on its box
heat_plot       heat into the radiator by source
cause_plot      what each fault adds to the coolant, from clean to as it is
fix_plot        what each fix gains in the governing case
"""

import io
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import matplotlib as mpl
from matplotlib import font_manager
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from shroudwright.assessment import WORDS, Assessment, CaseAnswer
from shroudwright.bench.units import convert
from shroudwright.drawing.svg import FONT, font_folder
from shroudwright.speech import CLIMBS, Dialect, as_it_is

INK, QUIET, PALE = "#111111", "#666666", "#cccccc"
SHADES = ("#3d3d3d", "#8c8c8c", "#d0d0d0", "#f2f2f2", "#666666", "#b0b0b0")
HATCHES = ("", "", "", "....", "////", "xxxx")
PANELS_PER_ROW = 4
INCH = 0.0254
_styled = threading.Lock()
_STYLE: Any = {
    "svg.hashsalt": "shroudwright",
    "svg.fonttype": "none",
    "text.parse_math": False,
    "font.family": FONT,
    "font.size": 9.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.spines.left": False,
    "axes.edgecolor": QUIET,
    "axes.linewidth": 0.6,
    "axes.titlesize": 9.0,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.grid": True,
    "axes.grid.axis": "x",
    "axes.axisbelow": True,
    "grid.color": "#e2e2e2",
    "grid.linewidth": 0.5,
    "hatch.linewidth": 0.5,
    "xtick.color": QUIET,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "ytick.left": False,
    "legend.frameon": False,
    "figure.constrained_layout.use": True,
}


@contextmanager
def house_style() -> Iterator[None]:
    """Set the style of every plot for as long as one is made."""
    face = Path(font_folder()) / "SourceSansPro-Regular.ttf"
    bold = Path(font_folder()) / "SourceSansPro-Bold.ttf"
    known = {entry.fname for entry in font_manager.fontManager.ttflist}
    for file in (face, bold):
        if str(file) not in known:
            font_manager.fontManager.addfont(str(file))
    # The style is the library's, not the thread's.
    with _styled, mpl.rc_context(_STYLE):
        yield


def svg_of(figure: Figure) -> str:
    """Return a figure as SVG text, the same bytes every time."""
    # Laid out here, once: saving would draw the whole figure unseen first.
    FigureCanvasSVG(figure)
    layout = figure.get_layout_engine()
    assert layout is not None
    layout.execute(figure)
    with mpl.rc_context({"figure.constrained_layout.use": False}):
        figure.set_layout_engine(None)
    out = io.StringIO()
    figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None}, transparent=True)
    return out.getvalue()


def _shorter(name: str, most: int = 28) -> str:
    name = "".join(letter for letter in name if letter.isprintable())
    return name if len(name) <= most else name[: most - 1] + "…"


def _rows(axes: Axes, names: list[str]) -> None:
    """Put one named row per line, the first on top."""
    axes.set_yticks(range(len(names)), [_shorter(name) for name in names])
    axes.set_ylim(len(names) - 0.45, -0.55)


def _pull_words(case: CaseAnswer) -> str:
    seconds = case.seconds_to_limit
    lasts = (
        "limit never reached"
        if seconds is None
        else f"lasts {seconds.value:.0f} s ({seconds.low:.0f} to {seconds.high:.0f})"
    )
    return f"{lasts}; {case.seconds_asked:.0f} s asked"


def coolant_plot(answer: Assessment, shop: Dialect, width: float, height: float) -> str:
    """Plot the coolant into the radiator, median and band, against each case's limit.

    Parameters
    ----------
    answer : Assessment
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

    def degrees(kelvin: float) -> float:
        return convert(kelvin, "K", shop.temperature)

    with house_style():
        figure = Figure(figsize=(width / INCH, height / INCH))
        axes = figure.subplots()
        _rows(axes, [case.name for case in answer.cases])
        for row, case in enumerate(answer.cases):
            axes.plot([degrees(case.limit)] * 2, [row - 0.42, row + 0.42], color=INK, linewidth=1.8)
            axes.plot([degrees(case.boil)] * 2, [row - 0.3, row + 0.3], color=QUIET, linewidth=1.0, linestyle=":")
            if band := case.coolant_in:
                low, middle, high = degrees(band.low), degrees(band.value), degrees(band.high)
                axes.barh(row, high - low, left=low, height=0.42, color=PALE, edgecolor=QUIET, linewidth=0.5)
                axes.plot([middle], [row], marker="D", markersize=5.5, color=INK)
            else:
                words = CLIMBS if case.seconds_asked is None else _pull_words(case)
                axes.text(degrees(case.ambient), row, words, va="center", color=INK)
            verdict = WORDS[case.verdict]
            axes.text(1.02, row, verdict, va="center", weight="bold", transform=axes.get_yaxis_transform())
        hottest = max(degrees(case.boil) for case in answer.cases)
        coolest = min(degrees(case.ambient) for case in answer.cases)
        axes.set_xlim(coolest - 0.03 * (hottest - coolest), None)
        axes.set_xlabel(
            f"coolant into the radiator, {shop.degree_sign}.  Diamond: median; pale bar: nine answers in ten; "
            "heavy tick: limit; dotted: boils"
        )
        return svg_of(figure)


def air_plot(answer: Assessment, shop: Dialect, width: float, height: float) -> str:
    """Plot the air each fan moves in each case beside its free-air number.

    Parameters
    ----------
    answer : Assessment
        What to show; at least one fan.
    shop : Dialect
        Units of the shop.
    width, height : float
        Of the paper, [m]

    Returns
    -------
    str
        SVG text.
    """

    def air(flow: float) -> float:
        return convert(flow, "m**3/s", shop.air)

    count = len(answer.cases[0].fans)
    across = min(count, PANELS_PER_ROW)
    down = -(-count // across)
    with house_style():
        figure = Figure(figsize=(width / INCH, height / INCH))
        panels = figure.subplots(down, across, squeeze=False, sharex=True, sharey=True)
        most = 0.0
        for at, axes in enumerate(panels.flat):
            if at >= count:
                axes.set_visible(False)
                continue
            _rows(axes, [case.name for case in answer.cases])
            axes.set_title(_shorter(answer.cases[0].fans[at].code, 20))
            for row, case in enumerate(answer.cases):
                fan = case.fans[at]
                flow, share = fan.air_flow, fan.share_of_box_number
                axes.barh(row, air(flow.value), height=0.5, color=SHADES[1])
                axes.plot([air(flow.low), air(flow.high)], [row, row], color=INK, linewidth=1.2)
                if share is not None and share.value > 0.0:
                    box = air(flow.value / share.value)
                    axes.plot([box, box], [row - 0.5, row + 0.5], color=INK, linewidth=1.8)
                    most = max(most, box)
                    axes.annotate(
                        f"{100 * share.value:.0f} %",
                        (box, row),
                        (3, 0),
                        textcoords="offset points",
                        va="center",
                        size=8,
                    )
                most = max(most, air(flow.high))
        panels[0, 0].set_xlim(0.0, 1.3 * most)
        figure.supxlabel(
            f"air moved, {shop.air_sign}.  Bar: median; line: nine answers in ten; heavy tick and %: number on the box",
            size=9,
        )
        return svg_of(figure)


def heat_plot(answer: Assessment, width: float, height: float) -> str:
    """Plot the heat into the radiator by source, with the band of the sum.

    Parameters
    ----------
    answer : Assessment
        What to show.
    width, height : float
        Of the paper, [m]

    Returns
    -------
    str
        SVG text.
    """
    sources = list(dict.fromkeys(name for case in answer.cases for name in case.heat_by_source))
    with house_style():
        figure = Figure(figsize=(width / INCH, height / INCH))
        axes = figure.subplots()
        _rows(axes, [case.name for case in answer.cases])
        above, below = [0.0] * len(answer.cases), [0.0] * len(answer.cases)
        for number, source in enumerate(sources):
            heats = [case.heat_by_source.get(source, 0.0) / 1e3 for case in answer.cases]
            starts = [above[row] if heat >= 0.0 else below[row] for row, heat in enumerate(heats)]
            look = number % len(SHADES)
            axes.barh(
                range(len(heats)),
                heats,
                left=starts,
                height=0.5,
                label=_shorter(source),
                color=SHADES[look],
                hatch=HATCHES[look],
                edgecolor=QUIET,
                linewidth=0.5,
            )
            for row, heat in enumerate(heats):
                above[row] += max(heat, 0.0)
                below[row] += min(heat, 0.0)
        for row, case in enumerate(answer.cases):
            axes.plot([case.heat.low / 1e3, case.heat.high / 1e3], [row + 0.36] * 2, color=INK, linewidth=1.2)
            axes.plot([case.heat.value / 1e3], [row + 0.36], marker="D", markersize=3.5, color=INK)
        axes.legend(loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=6, borderaxespad=0.2, handlelength=1.2)
        axes.set_xlabel(
            "heat into the radiator, kW.  Bars: medians by source; line under: nine answers in ten of the sum"
        )
        return svg_of(figure)


def cause_plot(answer: Assessment, shop: Dialect, width: float, height: float) -> str:
    """Plot what each fault adds to the coolant over outside air, each bar starting where the last ended.

    Parameters
    ----------
    answer : Assessment
        What to show; it must hold causes.
    shop : Dialect
        Units to show degrees in.
    width, height : float
        Of the paper, [m]

    Returns
    -------
    str
        SVG text.
    """

    def degrees(kelvin: float) -> float:
        return convert(kelvin, "K", shop.temperature, difference=True)

    causes = answer.causes
    clean, whole = degrees(causes[0].start), degrees(causes[-1].end)
    with house_style():
        figure = Figure(figsize=(width / INCH, height / INCH))
        axes = figure.subplots()
        _rows(axes, ["clean", *(item.cause for item in causes), as_it_is(causes[-1].end)])
        axes.barh([0, len(causes) + 1], [clean, whole], height=0.5, color=SHADES[1], edgecolor=QUIET, linewidth=0.5)
        for row, item in enumerate(causes, start=1):
            start, size = degrees(item.start), degrees(item.degrees.value)
            axes.barh([row], [size], left=start, height=0.5, color=SHADES[0], edgecolor=QUIET, linewidth=0.5)
            axes.plot(
                [start + degrees(item.degrees.low), start + degrees(item.degrees.high)],
                [row + 0.36] * 2,
                color=INK,
                linewidth=1.2,
            )
            axes.annotate(
                f"{size:+.0f}",
                (max(start, start + degrees(item.degrees.high)), row),
                (4, 0),
                textcoords="offset points",
                va="center",
            )
        axes.set_xlabel(
            f"{causes[0].case}: coolant over outside air, {shop.degree_sign}.  "
            "Dark: added by each fault; line under: nine answers in ten"
        )
        return svg_of(figure)


def fix_plot(answer: Assessment, shop: Dialect, width: float, height: float) -> str:
    """Plot what each fix gains alone in the governing case: degrees, or seconds of a pull.

    Parameters
    ----------
    answer : Assessment
        What to show; it must hold fixes.
    shop : Dialect
        Units to show degrees in.
    width, height : float
        Of the paper, [m]

    Returns
    -------
    str
        SVG text.
    """
    is_pull = answer.fixes[0].governing.seconds is not None

    def shown(figure: float) -> float:
        return figure if is_pull else shop.rise_of(figure)

    with house_style():
        figure = Figure(figsize=(width / INCH, height / INCH))
        axes = figure.subplots()
        _rows(axes, [fix.fix for fix in answer.fixes])
        for row, fix in enumerate(answer.fixes):
            gained = fix.governing.seconds or fix.governing.degrees
            assert gained is not None
            axes.barh([row], [shown(gained.value)], height=0.5, color=SHADES[0], edgecolor=QUIET, linewidth=0.5)
            axes.plot([shown(gained.low), shown(gained.high)], [row + 0.36] * 2, color=INK, linewidth=1.2)
            axes.annotate(
                f"{100 * fix.governing.chance:.0f} in 100",
                (max(shown(gained.high), 0.0), row),
                (4, 0),
                textcoords="offset points",
                va="center",
            )
        axes.margins(x=0.12)
        unit = "seconds gained" if is_pull else f"taken off the coolant, {shop.degree_sign}"
        axes.set_xlabel(f"{answer.governing_case}: {unit}.  Line under: nine in ten; words: then holds")
        return svg_of(figure)
