"""Pages of control: the settings sheet, the ways to work the fans, the tuner's page."""

from types import SimpleNamespace
from typing import Any

import pytest

from shroudwright.control.plan import MAP
from shroudwright.control.plan import Plan as Controls
from shroudwright.control.settings import Line, Settings
from shroudwright.packet.control import control_pages
from shroudwright.plan import Plan
from shroudwright.wiring.fitted import Switching
from shroudwright.wiring.schemes import Needs, harness

STAGES = Settings(363.706, 358.15, 369.261, 363.706, 377.594, 0.0, 363.0, ())
LINE = Settings(363.706, 358.15, None, None, 377.594, -5.0, 363.0, (), Line(358.15, 368.15))
ANSWER: Any = SimpleNamespace(
    tiers=[
        SimpleNamespace(
            **{"scheme": "controller", "chosen": True, "gives_up": "On or off only.", "parts": "180.00"},
            **{"currency": "USD", "amps_low": 11.2, "amps_full": 30.6, "noise_low": 61.0, "noise_full": None},
        )
    ],
    budgets=[SimpleNamespace(case="idling", left=SimpleNamespace(value=-4.0))],
    cases=[SimpleNamespace(limit=383.15)],
)


def pages(scheme: str, made: Settings, controls: Controls, units: str = "in", **switching: Any) -> list[dict[str, Any]]:
    circuit: Any = SimpleNamespace(start_amps=62.0, working_amps=19.0)
    plan = Plan(
        settings=made,
        controls=controls,
        switching=Switching(scheme=scheme, **switching),
        harness=harness(scheme, Needs(("F1", "F2"), (1, 2), has_air_conditioning=True)),
        circuits=(circuit, circuit),
    )
    return control_pages(ANSWER, units, plan)


def text(blocks: list[dict[str, Any]]) -> str:
    return repr(blocks)


@pytest.mark.behaviour("any controller can be set from the sheet: stages, requests, cuts, times, faults")
def test_sheet() -> None:
    controls = Controls(cut_above=20.117, cut_below=17.435, hot=377.594, after_run=120.0, least_on=25.0)
    said = text(pages("controller", STAGES, controls))
    for words in ("195 °F", "185 °F", "205 °F", "first stage", "off above 45 mph, on again under 39 mph", "220 °F"):
        assert words in said
    for words in (
        "120 s, stopped on low volts",
        "25 s, 10 s",
        "all fans on, lamp on",
        "controller (this job)",
        "180.00",
    ):
        assert words in said
    assert "tuner" not in said
    assert "'91 °C'" in text(pages("controller", STAGES, controls, "mm"))
    assert "no cut-off" in text(pages("controller", STAGES, Controls(cut_above=float("inf"))))


@pytest.mark.by_hand("least 30 % from 185 to 203 °F: 65 % half way")
def test_percent_on() -> None:
    controls = Controls(way=MAP, start=358.15, full=368.15, air_conditioning=0.5, cut_above=float("inf"))
    said = text(pages("pwm module", LINE, controls))
    for words in (
        "'under 185 °F', '0 %'",
        "'185 °F', '30 %'",
        "'194 °F', '65 %'",
        "'203 °F', '100 %'",
    ):
        assert words in said
    for words in ("50 % on", "10 % a second", "reads 9 °F under"):
        assert words in said


@pytest.mark.behaviour(
    "the tuner's page: outputs and sense, requests, idle, sensor checks, steps when hot, what to log"
)
def test_tuner() -> None:
    said = text(pages("computer and relays", STAGES, Controls()))
    for words in ("tuner of the engine computer", "'fan 1'", "grounded is fan on", "Clutch feed", "is 4 A short"):
        assert words in said
    for words in ("32 °F (0 °C)", "no table is printed", "A/C clutch off", "230 °F", "Log, once a second"):
        assert words in said
    controls = Controls(way=MAP, start=358.15, full=368.15)
    unknown = text(pages("computer and pwm module", LINE, controls))
    assert "sense not known" in unknown
    known = text(pages("computer and pwm module", LINE, controls, polarity="more is slower", frequency=100.0))
    assert "Pulsed, 100 Hz; more is slower." in known


@pytest.mark.behaviour("no settings, no page")
def test_none() -> None:
    assert control_pages(ANSWER, "in", Plan()) == []
