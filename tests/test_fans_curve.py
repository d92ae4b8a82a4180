import numba
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.fans import curve
from shroudwright.fans.curve import (
    CURVE_POINTS,
    STALL_SPAN,
    fan_flow,
    generic_curve,
    right_branch,
)

DIPPED = ([0.0, 0.2, 0.35, 0.45, 0.7, 1.0], [300.0, 210.0, 190.0, 200.0, 130.0, 0.0])


@pytest.mark.by_hand("the last maximum of the dipped curve is 200 Pa at 0.45 m3/s")
def test_right_branch_starts_at_the_last_maximum() -> None:
    branch = right_branch(*DIPPED)
    assert branch.n_points == 3
    assert (branch.flow[0], branch.pressure[0]) == (0.45, 200.0)
    assert len(branch.flow) == len(branch.pressure) == CURVE_POINTS
    assert np.all(branch.flow[3:] == 1.0)


@pytest.mark.law("a curve that only falls is kept whole; a level top is stalled up to its right end")
def test_right_branch_of_plain_curves() -> None:
    assert right_branch([0.0, 0.5, 1.0], [200.0, 150.0, 0.0]).n_points == 3
    assert right_branch([0.0, 0.3, 0.5, 1.0], [200.0, 200.0, 150.0, 0.0]).flow[0] == 0.3


BAD = [
    ([0.0, 0.5, 0.5], [200.0, 100.0, 0.0], "flows must rise"),
    ([0.0, 0.5], [200.0, 100.0, 0.0], "one pressure for each flow"),
    ([0.0, 0.5, 1.0], [200.0, 50.0, 60.0], "must fall"),
    (list(np.linspace(0.0, 1.0, 20)), list(np.linspace(200.0, 0.0, 20)), "keep 16"),
]


@pytest.mark.behaviour("a curve that cannot be used is refused in words")
@pytest.mark.parametrize(("flow", "pressure", "words"), BAD)
def test_bad_curves(flow: list[float], pressure: list[float], words: str) -> None:
    with pytest.raises(InputError, match=words):
        right_branch(flow, pressure)


@pytest.mark.by_hand("half way between tested points; 0.7 + 0.3 x 130 / 130 at 0 Pa; +0.3 per 130 Pa beyond")
def test_flow_between_and_beyond_points() -> None:
    branch = right_branch(*DIPPED)
    assert fan_flow(*branch, 165.0) == pytest.approx(0.575)
    assert fan_flow(*branch, 0.0) == pytest.approx(1.0)
    assert fan_flow(*branch, -65.0) == pytest.approx(1.15)


@pytest.mark.law("at the knee the flow is the knee's; above it falls to nothing, without a jump")
def test_flow_at_and_over_the_knee() -> None:
    branch = right_branch(*DIPPED)
    assert fan_flow(*branch, 200.0) == pytest.approx(0.45)
    assert fan_flow(*branch, 200.0 * (1.0 - 1e-9)) == pytest.approx(0.45, abs=1e-6)
    assert fan_flow(*branch, 200.0 * (1.0 + 0.5 * STALL_SPAN)) == pytest.approx(0.225)
    assert fan_flow(*branch, 250.0) == 0.0


@pytest.mark.law("more pressure never means more flow")
@given(st.floats(-300.0, 400.0), st.floats(0.01, 50.0))
def test_flow_falls_with_pressure(pressure: float, more: float) -> None:
    branch = right_branch(*DIPPED)
    assert fan_flow(*branch, pressure + more) <= fan_flow(*branch, pressure)


@pytest.mark.by_hand("q = q0 (1 - p / p0)^(1 / 1.6)")
def test_generic_curve() -> None:
    branch = generic_curve(0.9, 240.0)
    for share in (0.1, 0.3, 0.5, 0.7):
        exact = 0.9 * (1.0 - share) ** (1.0 / 1.6)
        assert fan_flow(*branch, share * 240.0) == pytest.approx(exact, rel=2e-3)
    assert fan_flow(*branch, 0.0) == pytest.approx(0.9)


@pytest.mark.independent("numba, against the same function in plain Python")
def test_the_compiled_curve_agrees() -> None:
    @numba.njit
    def compiled(flow: np.ndarray, rise: np.ndarray, points: int, pressure: float) -> float:
        return curve.fan_flow(flow, rise, points, pressure)

    branch = right_branch(*DIPPED)
    for pressure in (-40.0, 60.0, 195.0, 203.0, 400.0):
        assert compiled(*branch, pressure) == pytest.approx(fan_flow(*branch, pressure), rel=1e-12)
