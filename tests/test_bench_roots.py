import math
from collections.abc import Callable

import numba
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from shroudwright.bench.roots import best, bracket, guess, hunt, is_found, narrow, step


def search(function: Callable[[float], float], low: float, high: float) -> tuple[float, int]:
    state = bracket(low, function(low), high, function(high))
    steps = 0
    while not is_found(state, 1e-10):
        point = guess(state)
        state = narrow(state, point, function(point), 1e-10)
        steps += 1
    return best(state), steps


@pytest.mark.independent("scipy.optimize.brentq")
@pytest.mark.parametrize(
    ("function", "low", "high"),
    [
        (lambda x: x**3 - 2.0 * x - 5.0, 2.0, 3.0),
        (lambda x: math.exp(x) - 1e3, -5.0, 50.0),
        (lambda x: math.atan(x) - 0.2, -10.0, 30.0),
        (lambda x: x - 0.3 if x < 0.3 else 5.0 * (x - 0.3), 0.0, 1.0),
    ],
)
def test_roots_agree_with_scipy(function: Callable[[float], float], low: float, high: float) -> None:
    root, steps = search(function, low, high)
    assert root == pytest.approx(brentq(function, low, high, xtol=1e-13), abs=2e-10)
    assert steps < 45


@pytest.mark.law("the root lies where the sign changes, whichever end is positive")
@given(st.floats(-50.0, 50.0), st.floats(0.1, 5.0), st.booleans())
def test_cubic_roots_are_found_from_either_side(root: float, steepness: float, falling: bool) -> None:
    sign = -1.0 if falling else 1.0
    found, _ = search(lambda x: sign * steepness * ((x - root) ** 3 + 0.2 * (x - root)), -61.0, 73.0)
    assert found == pytest.approx(root, abs=1e-9)


@numba.njit
def _compiled_cube_root(value: float) -> float:
    state = bracket(0.0, -value, 10.0, 1000.0 - value)
    while not is_found(state, 1e-12):
        point = guess(state)
        state = narrow(state, point, point**3 - value, 1e-12)
    return best(state)


@pytest.mark.by_hand("27 ** (1/3) = 3")
def test_the_search_compiles() -> None:
    assert _compiled_cube_root(27.0) == pytest.approx(3.0, abs=1e-11)


def hunted(function: Callable[[float], float], start: float, slope: float, high: float = math.inf) -> tuple[float, int]:
    """Root of a falling function, and the looks it took."""
    state = hunt(start, slope, 0.0, high)
    for looks in range(1, 200):
        value = function(state.point)
        if abs(value) <= 1e-12:
            return state.point, looks
        state = step(state, value)
    return math.nan, 200


@pytest.mark.independent("scipy brentq")
@given(root=st.floats(0.01, 50.0), power=st.floats(0.5, 3.0), start=st.floats(0.01, 50.0))
def test_a_hunt_finds_what_brentq_finds(root: float, power: float, start: float) -> None:
    def falls(x: float) -> float:
        return root**power - x**power

    found, looks = hunted(falls, start, -1.0)
    assert found == pytest.approx(brentq(falls, 0.0, 200.0, xtol=1e-13), rel=1e-7)
    assert looks < 100


@pytest.mark.law("a kink, a flat stretch and a jump of slope do not stop it")
@pytest.mark.parametrize("root", [0.3, 1.0, 2.5])
def test_a_hunt_crosses_kinks(root: float) -> None:
    def kinked(x: float) -> float:
        return (root - x) * (20.0 if x > root else 0.1)

    found, _ = hunted(kinked, 1.7, -0.5)
    assert found == pytest.approx(root, abs=1e-9)
