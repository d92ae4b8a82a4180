"""A fan's whole circuit."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.fans.laws import fan_current_ratio
from shroudwright.wiring.circuits import GROUND, SUPPLY, FanCircuit, Segment, fan_circuit

ZERO = 273.15
FOOT = 0.3048
BUSY = Segment("behind the core", 0.4572, 85 + ZERO, 7)


def circuit(amps: float = 20.0, **other: Any) -> FanCircuit:
    given_ = {"name": "A", "run_amps": amps, "test_volts": 13.5, "start_ratio": 3.3, "is_brushless": False}
    return fan_circuit(**{**given_, **other})


def codes(made: FanCircuit) -> set[str]:
    return {code for code, _, _ in made.findings}


@pytest.mark.practice("what a wiring person fits to fans of 20 to 28 A: 10 or 8 gauge, never 6")
@settings(deadline=None)
@given(st.floats(20, 28), st.floats(2.5, 4.0))
def test_gauge_of_ordinary_strong_fans(amps: float, start_ratio: float) -> None:
    made = circuit(amps, start_ratio=start_ratio)
    assert made.supply_gauge in (8, 10)
    assert made.ground_gauge in (8, 10)
    assert made.fuse_rating in (40, 50)
    assert made.needs_150_rule == ("W10" in codes(made))
    assert not codes(made) & {"W01", "W02", "W04", "W11", "W12", "W16", "W20"}


@pytest.mark.law("amps at other volts are those of the fans' own room")
@settings(deadline=None)
@given(st.floats(1, 50), st.floats(9, 16), st.floats(1.5, 5), st.booleans())
def test_amps(amps: float, test_volts: float, ratio: float, is_brushless: bool) -> None:
    made = circuit(amps, test_volts=test_volts, start_ratio=ratio, is_brushless=is_brushless)
    for volts, found in ((13.5, made.working_amps), (14.4, made.highest_amps)):
        assert found == pytest.approx(amps * fan_current_ratio(volts, test_volts, ratio, is_brushless))


@pytest.mark.by_hand("20 A, s 3.3: (14.4/13.5)^1.535 x 20 = 22.08 A; start 66 A x 14.4/13.5 = 70.4 A")
def test_highest() -> None:
    made = circuit()
    assert made.highest_amps == pytest.approx(22.08, abs=0.01)
    assert made.start_amps == pytest.approx(70.4)
    assert (made.fuse_kind, made.fuse_rating) == ("E", 40)
    assert (made.relay_rating, made.relay_count) == (70, 1)


@pytest.mark.by_hand("10 gauge SAE at 80 C 1.37 milliohm/ft x 10 ft; 75 mV/40 A; contact 5, joints 3 milliohm")
def test_path() -> None:
    made = circuit()
    assert made.path_resistance == pytest.approx(1.37e-3 * 10 + 0.075 / 40 + 8e-3, rel=3e-3)
    assert made.drop == pytest.approx(20 * made.path_resistance)
    assert made.volts_at_fan == pytest.approx(13.5 - made.drop)


@pytest.mark.by_hand("in a seven-wire loom 10 gauge at 85 C: 70 x 0.649 x 0.95 x 0.5 = 21.6 A; crossing, 0.7: 30.2 A")
def test_a_short_hot_crossing_takes_the_next_loom() -> None:
    long = circuit(18, segments=(BUSY, *SUPPLY[1:]))
    short = circuit(18, segments=(BUSY._replace(length=0.9 * FOOT), *SUPPLY[1:]))
    assert (long.supply_gauge, short.supply_gauge) == (8, 10)
    assert short.supply_ampacity == pytest.approx(30.2, abs=0.05)


@pytest.mark.law(
    "the wire carries the amps in every stretch, the fuse is within 150 % of it, ground as thick as supply"
)
@settings(deadline=None)
@given(st.floats(1, 29), st.floats(2, 3.6), st.floats(0.1, 3), st.floats(0.1, 1))
def test_a_circuit_that_says_nothing_is_sound(amps: float, ratio: float, fender: float, ground: float) -> None:
    made = circuit(
        amps,
        start_ratio=ratio,
        segments=(SUPPLY[0], SUPPLY[1]._replace(length=fender), SUPPLY[2]),
        ground=(GROUND[0]._replace(length=ground),),
    )
    assert made.highest_amps <= made.supply_ampacity
    assert made.fuse_rating <= 1.5 * made.supply_ampacity
    assert made.ground_gauge <= made.supply_gauge
    assert made.highest_amps <= 0.7 * made.relay_rating
    assert made.needs_150_rule == (made.fuse_rating > made.supply_ampacity)


FINDINGS: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    ("W01", {"run_amps": 90.0}, {}),
    ("W02", {"insulation": 90 + ZERO}, {}),
    ("W03", {"run_amps": 28.0, "segments": (SUPPLY[0], SUPPLY[1]._replace(length=4.0))}, {}),
    ("W04", {"ground": (GROUND[0]._replace(length=1.5),)}, {}),
    ("W10", {}, {"run_amps": 3.0}),
    ("W11", {"run_amps": 60.0}, {}),
    ("W12", {"run_amps": 60.0, "start_ratio": 8.0}, {}),
    ("W14", {}, {"start_ratio": 4.5}),
    ("W14", {}, {"is_brushless": True, "start_ratio": 1.1}),
    ("W15", {"fuse_place": 80 + ZERO}, {}),
    ("W16", {"run_amps": 40.0}, {}),
    ("W20", {"run_amps": 60.0}, {}),
    ("W22", {"run_amps": 40.0}, {}),
]


@pytest.mark.practice("each finding fires past its limit and stays quiet short of it")
@pytest.mark.parametrize(("code", "loud", "quiet"), FINDINGS, ids=lambda each: each if isinstance(each, str) else "")
def test_findings(code: str, loud: dict[str, Any], quiet: dict[str, Any]) -> None:
    assert code in codes(circuit(**{"amps": 20.0, **loud} if "run_amps" not in loud else loud))
    assert code not in codes(circuit(**quiet))


@pytest.mark.behaviour("a wire of no length is no circuit; a stretch of none is left out")
def test_lengths() -> None:
    with pytest.raises(InputError, match="need a length"):
        circuit(segments=())
    cool = circuit(segments=(SUPPLY[0]._replace(length=0.0), *SUPPLY[1:]))
    assert cool.segments == SUPPLY[1:]
