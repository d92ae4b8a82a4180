"""Shorten a correction made again and again by what the last ones did: Anderson's method.

Past       what the last corrections were and where they led
past_of    room for states of some length
shorten    a corrected state moved on to where the corrections seem to end

A correction that shrinks by the same share every time, such as a flow pulled after its own resistance, is over after a
few. The directions kept are at right angles to one another, so that each one's share is a plain quotient.

References
----------
Anderson 1965, from memory; the orthogonal form as in GCR, from memory.
"""

from typing import Any, NamedTuple

import numpy as np

from shroudwright.bench.compiled import compilable, inlined

KEPT = 2


class Past(NamedTuple):
    """Corrections kept."""

    correction: Any
    """The last"""
    answer: Any
    """State it led to, before any shortcut"""
    turned: Any
    """How corrections differed, each at right angles to the others, shape (KEPT, states)"""
    led: Any
    """How the answers differed that belong to them"""
    size: Any
    """Square of the length of each that turned"""


@compilable
def past_of(length: int) -> Past:
    """Make room for states of some length."""
    return Past(np.empty(length), np.empty(length), np.empty((KEPT, length)), np.empty((KEPT, length)), np.zeros(KEPT))


@inlined
def _dot(a: Any, b: Any) -> float:
    # Four sums side by side: one would wait for itself.
    first, second, third, fourth = 0.0, 0.0, 0.0, 0.0
    whole = len(a) // 4 * 4
    for c in range(0, whole, 4):
        first += a[c] * b[c]
        second += a[c + 1] * b[c + 1]
        third += a[c + 2] * b[c + 2]
        fourth += a[c + 3] * b[c + 3]
    for c in range(whole, len(a)):
        first += a[c] * b[c]
    return (first + second) + (third + fourth)


@inlined
def _take(share: float, of: Any, away_from: Any) -> None:
    for c in range(len(of)):
        away_from[c] -= share * of[c]


@compilable
def shorten(past: Past, before: Any, state: Any, count: int) -> None:
    """Move a state on, in place, and keep what it was corrected by.

    Parameters
    ----------
    past : Past
        Of the corrections so far.
    before : array
        State that was corrected.
    state : array
        What the correction made of it.
    count : int
        Corrections kept so far; 0 forgets them all.
    """
    newest, held = (count - 1) % KEPT, min(count, KEPT)
    if count > 0:
        turned, led = past.turned[newest], past.led[newest]
        for c in range(len(state)):
            turned[c] = state[c] - before[c] - past.correction[c]
            led[c] = state[c] - past.answer[c]
        for s in range(held):
            if s != newest and past.size[s] > 0.0:
                share = _dot(past.turned[s], turned) / past.size[s]
                _take(share, past.turned[s], turned)
                _take(share, past.led[s], led)
        past.size[newest] = _dot(turned, turned)
    for c in range(len(state)):
        past.correction[c] = state[c] - before[c]
        past.answer[c] = state[c]
    for s in range(held):
        if past.size[s] > 0.0:
            _take(_dot(past.turned[s], past.correction) / past.size[s], past.led[s], state)
