"""What bends, necks and washers cost, in velocity heads.

bend_loss          a smooth quarter turn
step_loss          neck and hose of unlike bore
restrictor_loss    a washer with a hole
hose_fittings      one hose from tank to tank
run_as_one         hoses one after the other as one of the first one's bore
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from shroudwright.bench.numbers import Draws
from shroudwright.bench.registry import offer

INTO_HOSE, OUT_OF_HOSE = 0.5, 1.0
"""Out of a tank into a neck, and out of a neck into a tank: any fluid-mechanics text, from memory, [-]"""
USUAL_BEND = 1.5
"""Radius of a moulded hose's turn over its bore: common practice, no source, [-]"""
NECK_WALL = 1.6e-3
"""Of a neck, common practice, no source, [m]"""
_HOSE_FRICTION = 0.022
_CONTRACTION = 0.61


class Run(NamedTuple):
    """One hose, or several taken as one."""

    bore: Draws
    """inside, [m]"""
    length: Draws
    """[m]"""
    fittings: Draws
    """velocity heads at that bore, [-]"""


@offer
def bend_loss(radius_over_bore: float) -> float:
    r"""Velocity heads lost in a smooth quarter turn, beyond those of a straight hose as long.

    .. math:: K = (0.10 + 2.4 f) s + 6.6 f (\sqrt{s} + s) / (r/d)^2, \quad s = \sin 45°

    Parameters
    ----------
    radius_over_bore : float
        Radius to the hose's middle over its bore, [-]

    Returns
    -------
    heads : float
        [-]

    Notes
    -----
    Limits: r/d from 1 up, friction factor 0.022 as in a smooth hose near Re 4e4; the published relation's term for the
    length of the turn is left to the hose's own length. Accuracy: 15 % against two other sets where r/d is 1 to 3.

    References
    ----------
    Rennels and Hudson, Pipe Flow (2012), as printed in the docs of the `fluids` package, read there.
    """
    f, s = _HOSE_FRICTION, math.sin(0.25 * math.pi)
    return (0.10 + 2.4 * f) * s + 6.6 * f * (math.sqrt(s) + s) / radius_over_bore**2


@offer
def step_loss(bore_before: float, bore_after: float) -> float:
    """Velocity heads lost at a sudden step of bore, counted at the smaller.

    Wider: (1 - b^2)^2. Narrower: 0.5 (1 - b^2). b is the smaller bore over the larger.

    Parameters
    ----------
    bore_before : float
        Upstream, [m]
    bore_after : float
        Downstream, [m]

    Returns
    -------
    heads : float
        [-]

    Notes
    -----
    Limits: sharp edges. Accuracy: wider exact by momentum; narrower within 30 % of a newer relation.

    References
    ----------
    Borda and Carnot; Crane TP-410, both from memory.
    """
    b = min(bore_before, bore_after) / max(bore_before, bore_after)
    return (1.0 - b * b) ** 2 if bore_after >= bore_before else 0.5 * (1.0 - b * b)


@offer
def restrictor_loss(hole: float, bore: float) -> float:
    r"""Velocity heads a washer with a hole costs, counted at the hose's bore.

    .. math:: K = \left(\frac{\sqrt{1 - b^4 (1 - C^2)}}{C b^2} - 1\right)^2, \quad C = 0.61

    Parameters
    ----------
    hole : float
        Bore of the washer, [m]
    bore : float
        Bore of the hose, [m]

    Returns
    -------
    heads : float
        [-]; none where the hole is as wide as the hose.

    Notes
    -----
    Limits: a thin plate, turbulent. Accuracy: 5 % with a sharp edge; a rounded one costs less.

    References
    ----------
    ISO 5167's lasting loss of an orifice plate, as carried by the `fluids` package, read there.
    """
    b = hole / bore
    if b >= 1.0:
        return 0.0
    C = _CONTRACTION
    return float((math.sqrt(1.0 - b**4 * (1.0 - C * C)) / (C * b * b) - 1.0) ** 2)


def hose_fittings(
    bore: float, bends: float, bend_radius: float | None, neck_before: float | None, neck_after: float | None
) -> float:
    """Velocity heads of one hose from tank to tank, at its own bore.

    Parameters
    ----------
    bore : float
        Of the hose, [m]
    bends : float
        Quarter turns, [-]
    bend_radius : float or None
        To the middle of the hose; 1.5 bores where nobody measured it, [m]
    neck_before, neck_after : float or None
        Outside of the necks it sits on; as wide as the hose where nobody measured them, [m]

    Returns
    -------
    heads : float
        [-]
    """
    turn = USUAL_BEND if bend_radius is None else max(bend_radius / bore, 1.0)
    heads = bends * bend_loss(turn)
    first, last = (bore if neck is None else max(neck - 2.0 * NECK_WALL, 1e-3) for neck in (neck_before, neck_after))
    heads += INTO_HOSE * (bore / first) ** 4 + OUT_OF_HOSE * (bore / last) ** 4
    for before, after in ((first, bore), (bore, last)):
        heads += step_loss(before, after) * (bore / min(before, after)) ** 4
    return heads


def run_as_one(runs: Sequence[Run]) -> Run:
    """Take hoses that follow one another as one hose of the first one's bore.

    Heads go with bore to the fourth, friction of a smooth hose with bore to the 4.75th.

    Parameters
    ----------
    runs : sequence of Run
        In any order, all with the same flow.

    Returns
    -------
    Run
    """
    bore = runs[0].bore
    length, fittings = runs[0].length, runs[0].fittings
    for run in runs[1:]:
        length = length + run.length * (bore / run.bore) ** 4.75
        fittings = fittings + run.fittings * (bore / run.bore) ** 4
    return Run(bore, length, fittings)
