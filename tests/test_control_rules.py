"""Requests, cuts, running on and faults: what a controller is told beside its temperatures."""

from dataclasses import replace
from typing import Any

import pytest

from shroudwright.bench.errors import InputError
from shroudwright.control.cycling import least_cycle
from shroudwright.control.rules import Rules, rule_findings

MPH = 0.44704
SOUND = Rules(
    has_air_conditioning=True,
    requests_air=True,
    speed_cut=45 * MPH,
    cut_band=6 * MPH,
    hot_override=True,
    opening="ordinary",
    after_run=120.0,
    has_low_volts=True,
    pump_runs_on=True,
    fans_current=25.0,
    battery=60 * 3600.0,
    sensor_fault="fans on",
    second_driver="joined by relays or diodes",
    ramp=0.1,
    cycle=80.0,
)

CASES: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    ("C07", {"cycle": 59.0}, {"cycle": 61.0}),
    ("C12", {"requests_air": False}, {"requests_air": False, "has_air_conditioning": False}),
    ("C12", {"requests_air": False}, {"requests_air": None}),
    ("C13", {"hot_override": False}, {"hot_override": False, "speed_cut": None}),
    ("C14", {"cut_band": 3.9 * MPH}, {"cut_band": 4.0 * MPH}),
    ("C15", {"opening": "rear"}, {"opening": "rear", "speed_cut": None}),
    ("C15", {"opening": "rear"}, {"opening": "side"}),
    ("C16", {"pump_runs_on": False}, {"pump_runs_on": False, "after_run": 0.0}),
    ("C17", {"after_run": 290.0, "fans_current": 75.0}, {"after_run": 290.0, "fans_current": 74.0}),
    ("C17", {"has_low_volts": False}, {"has_low_volts": False, "after_run": 0.0}),
    ("C17", {"after_run": 301.0}, {"after_run": 299.0}),
    ("C18", {}, {"after_run": 0.0}),
    ("C19", {"sensor_fault": "fans off"}, {"sensor_fault": None}),
    ("C21", {"second_driver": "joined directly"}, {"second_driver": "none"}),
    ("C22", {"ramp": 0.11}, {"ramp": None}),
]


@pytest.mark.practice("each rule fires past its limit and stays quiet short of it")
@pytest.mark.parametrize(("code", "loud", "quiet"), CASES)
def test_rules(code: str, loud: dict[str, Any], quiet: dict[str, Any]) -> None:
    assert code in {found.code for found in rule_findings(replace(SOUND, **loud))}
    assert code not in {found.code for found in rule_findings(replace(SOUND, **quiet))}


@pytest.mark.behaviour("a sound controller has nothing against it but its label")
def test_sound() -> None:
    assert [found.code for found in rule_findings(SOUND)] == ["C18"]


@pytest.mark.by_hand("25 A for 5 min take 2.1 A h")
def test_charge() -> None:
    (found,) = (one for one in rule_findings(replace(SOUND, after_run=300.0, battery=18 * 3600.0)) if one.code == "C17")
    assert found.measured == pytest.approx(2.083 * 3600, rel=1e-3)
    assert found.limit == pytest.approx(1.8 * 3600)


@pytest.mark.by_hand("T = 4 C h / dQ: 90 kJ/K, 5 F and 25 kW make 40 s; none while the thermostat still opens")
def test_closed_form() -> None:
    full_open = 363.7
    assert least_cycle(90e3, 5 / 1.8, 25e3, full_open, full_open) == pytest.approx(40.0)
    with pytest.raises(InputError, match="thermostat is not full open"):
        least_cycle(90e3, 5 / 1.8, 25e3, full_open - 0.1, full_open)
