"""Plots of an assessment: words as words, the same bytes every time, greys only."""

import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable

import matplotlib as mpl
import pytest
from matplotlib.figure import Figure

from shroudwright.assessment import WORDS, Assessment
from shroudwright.drawing.plots import air_plot, coolant_plot, heat_plot, house_style, svg_of
from shroudwright.speech import SHOPS
from tests.packets import an_answer, evil_answer

SVG = "{http://www.w3.org/2000/svg}"
PLOTS: dict[str, Callable[[Assessment], str]] = {
    "coolant": lambda answer: coolant_plot(answer, SHOPS["in"], 0.17, 0.06),
    "air": lambda answer: air_plot(answer, SHOPS["mm"], 0.17, 0.06),
    "heat": lambda answer: heat_plot(answer, 0.17, 0.06),
}
each = pytest.mark.parametrize("name", PLOTS)


@pytest.mark.behaviour("same bytes, greys, nothing from outside, the library left as it was")
@each
def test_plot(name: str) -> None:
    before = dict(mpl.rcParams)
    text = PLOTS[name](an_answer())
    assert PLOTS[name](an_answer()) == text
    assert dict(mpl.rcParams) == before
    for red, green, blue in re.findall(r"#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})\b", text):
        assert red == green == blue
    assert "<script" not in text
    assert "date" not in text.lower().replace("metadata", "")
    words = [element.text for element in ET.fromstring(text).iter(f"{SVG}text")]
    assert {case.name for case in an_answer().cases} <= set(words)


@pytest.mark.behaviour("hostile words come out as words")
@each
def test_plot_words(name: str) -> None:
    text = PLOTS[name](evil_answer())
    words = [element.text or "" for element in ET.fromstring(text).iter(f"{SVG}text")]
    assert "<script" not in text
    assert any(word.startswith("#evil[*x*] $x$ <script>") for word in words)


@pytest.mark.behaviour("the coolant plot carries every verdict")
def test_coolant_verdicts() -> None:
    text = PLOTS["coolant"](an_answer())
    for case in an_answer().cases:
        assert WORDS[case.verdict].replace("'", "'") in text.replace("&apos;", "'")


@pytest.mark.independent("the library's own saving, which lays out and draws unseen first")
def test_laid_out_as_the_library_does() -> None:
    def drawn() -> Figure:
        figure = Figure(figsize=(5.0, 2.0))
        left, right = figure.subplots(1, 2)
        left.barh([0, 1], [3.0, 4000.0])
        left.set_yticks([0, 1], ["a name that wants room", "b"])
        right.plot([0.0, 1e-3], [0.0, 1e5])
        right.set(title="two lines\nof title", xlabel="x", ylabel="y")
        return figure

    plain = io.StringIO()
    with house_style():
        drawn().savefig(plain, format="svg", metadata={"Date": None, "Creator": None}, transparent=True)
        assert svg_of(drawn()) == plain.getvalue()
