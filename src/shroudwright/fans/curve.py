"""Fan curves as tested: straight lines between points, dips kept, used right of the last maximum.

CURVE_POINTS    length of every curve array; points past the last one used repeat it
right_branch    the falling part of a tested curve
generic_curve   a curve from a free-air number
fan_flow        flow at a pressure, at the test's speed and density

A curve meets other speeds and densities by the fan laws: q = r fan_flow(p / (r^2 rho / rho_test)).
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.compiled import inlined
from shroudwright.bench.errors import InputError

CURVE_POINTS = 16
STALL_SPAN = 0.05
"""Share over the knee pressure in which the flow falls to nothing, [-]"""

Curve = NDArray[np.float64]


class Branch(NamedTuple):
    """The falling part of a curve, from the knee on; `flow[0]` and `pressure[0]` are the knee."""

    flow: Curve
    pressure: Curve
    n_points: int


def right_branch(flow: Sequence[float] | Curve, pressure: Sequence[float] | Curve) -> Branch:
    """Points of a tested curve from its last maximum on, padded to `CURVE_POINTS`.

    Parameters
    ----------
    flow : array
        Tested flows, rising, [m**3/s]
    pressure : array
        Tested pressure rises at those flows, [Pa]

    Returns
    -------
    flow : array
        From the knee on, [m**3/s]
    pressure : array
        Strictly falling, [Pa]
    n_points : int
        Points used, [-]

    Raises
    ------
    InputError
        If the flows do not rise, the curve does not fall at its end, or more points than fit are right of the
        knee.

    Notes
    -----
    Limits: a level stretch at the top counts as stalled. Accuracy: the curve's own.

    References
    ----------
    Common practice: an axial fan works steadily only on the falling part of its curve.
    """
    q, p = np.asarray(flow, float), np.asarray(pressure, float)
    if q.shape != p.shape or np.any(np.diff(q) <= 0.0):
        raise InputError(["a fan curve needs one pressure for each flow, and the flows must rise"])
    holds = np.flatnonzero(np.diff(p) >= 0.0)
    knee = int(holds[-1]) + 1 if holds.size else 0
    n = len(q) - knee
    if n < 2 or p[knee] <= 0.0:
        raise InputError(["a fan curve must fall to its free-air end; this one rises there"])
    if n > CURVE_POINTS:
        raise InputError([f"{n} points right of the curve's knee; keep {CURVE_POINTS} at most"])
    pad = (0, CURVE_POINTS - n)
    return Branch(np.pad(q[knee:], pad, "edge"), np.pad(p[knee:], pad, "edge"), n)


def generic_curve(free_flow: float, shutoff_pressure: float) -> Branch:
    """A fan curve guessed from a free-air number.

    p = p0 [1 - (q / q0)^1.6]

    Parameters
    ----------
    free_flow : float
        Flow against no pressure, q0, [m**3/s]
    shutoff_pressure : float
        Pressure at no flow, p0, [Pa]

    Returns
    -------
    flow : array
        Evenly spaced from 0 to q0, [m**3/s]
    pressure : array
        [Pa]
    n_points : int
        `CURVE_POINTS`, [-]

    Notes
    -----
    Limits: no stall dip. Accuracy: +-25 % of flow.

    References
    ----------
    Shape from trade sheets, no source.
    """
    q = np.linspace(0.0, free_flow, CURVE_POINTS)
    return Branch(q, shutoff_pressure * (1.0 - (q / free_flow) ** 1.6), CURVE_POINTS)


@inlined
def fan_flow(flow: Curve, pressure: Curve, n_points: int, pressure_rise: float) -> float:
    """Flow at a pressure, at the test's speed and density.

    Straight lines between points; beyond free air along the last one; over the knee pressure the flow falls
    to nothing within 5 %, so that a search always ends and a flow at or under ``flow[0]`` means stalled.

    Parameters
    ----------
    flow : array
        Of a `Branch`, [m**3/s]
    pressure : array
        Of a `Branch`, [Pa]
    n_points : int
        Points used, 2 or more, [-]
    pressure_rise : float
        Across the fan, negative where road air pushes through it, [Pa]

    Returns
    -------
    flow : float
        Never negative, [m**3/s]

    Notes
    -----
    Limits: steady flow; back-flow through a stalled fan is not modelled. Accuracy: the curve's own; beyond
    free air a guess.

    References
    ----------
    The tested curve.
    """
    if pressure_rise >= pressure[0]:
        over = (pressure_rise - pressure[0]) / (STALL_SPAN * pressure[0])
        return float(max(flow[0] * (1.0 - over), 0.0))
    i = 1
    while i < n_points - 1 and pressure_rise < pressure[i]:
        i += 1
    along = (pressure_rise - pressure[i]) / (pressure[i - 1] - pressure[i])
    return float(flow[i] + along * (flow[i - 1] - flow[i]))
