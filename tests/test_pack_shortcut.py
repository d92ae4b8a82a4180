"""Corrections made again and again, shortened."""

import numpy as np
import pytest

from shroudwright.pack.shortcut import KEPT, past_of, shorten


def after(count: int, shares: list[float], *, is_shortened: bool) -> float:
    """How far from its end a state is after some corrections that leave these shares of it, one for each direction."""
    across, _ = np.linalg.qr(np.random.default_rng(3).normal(size=(9, len(shares))))
    shrink, end = across @ np.diag(shares) @ across.T, np.linspace(1.0, 2.0, 9)
    state, past = end - across.sum(axis=1), past_of(9)
    for turn in range(count):
        before = state.copy()
        state = end + shrink @ (state - end)
        if is_shortened:
            shorten(past, before, state, turn)
    return float(np.abs(state - end).max())


@pytest.mark.law("as many directions as are kept are over after one correction more")
def test_slow_directions_are_left_out() -> None:
    slow = [0.97, -0.8]
    assert len(slow) == KEPT
    assert after(KEPT + 1, slow, is_shortened=False) > 0.1
    assert after(KEPT + 1, slow, is_shortened=True) < 1e-12


@pytest.mark.law("more directions than are kept: still sooner there")
def test_more_directions_than_are_kept() -> None:
    slow = [0.97, 0.9, 0.5, -0.3, -0.8]
    plain, shortened = (after(20, slow, is_shortened=is_shortened) for is_shortened in (False, True))
    assert shortened < 0.5 * plain


@pytest.mark.law("a state that stays where it is stays there")
def test_nothing_to_correct() -> None:
    state, past = np.arange(6.0), past_of(6)
    for turn in range(4):
        shorten(past, state.copy(), state, turn)
    assert np.array_equal(state, np.arange(6.0))
