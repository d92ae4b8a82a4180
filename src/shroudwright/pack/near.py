"""A plenum's tables about one working point, for fans that are unlike or of which one stands: what the pack reads.

key_ahead       pressure ahead over the core's loss, from the point and within what was looked at
loss_near       K there
standing_near   share of the air that leaves by standing fans there
ratio_near      heat ratio there

Like fans draw through one pressure, and their plenum hangs on the core alone. A fan that stands lets air in or out at
a pressure of its own: its share of the air and the loss of the rest hang on the pressure ahead of the core as well,
taken over the core's loss. K is then that of the fans that run, and the standing ones are no fans to the pack but a
share of the air.
"""

import math
from typing import Any

from shroudwright.bench.compiled import inlined
from shroudwright.pack.plenum import heat_ratio_at, over_core, over_speeds

POINT, LEAST, MOST, THIN, DENSE, LOSS_MOVES, SHARE_MOVES, LOST_MOVES, NEAR = 6, 7, 8, 9, 10, 11, 13, 15, 21
"""A record: the standing fans' share over the nodes of the core's loss, then the point's pressure ahead over that loss
and the least and most looked at, the least and most core loss, and slope and half bend of asinh K, of the share and of
ln(heat lost) at every speed over the pressure ahead."""


@inlined
def key_ahead(near: Any, ahead: float) -> float:
    """How far a pressure ahead over the core's loss is from the point's, within what was looked at."""
    return min(max(ahead, near[LEAST]), near[MOST]) - near[POINT]


@inlined
def _held(near: Any, core_loss: float) -> float:
    return min(max(core_loss, near[THIN]), near[DENSE])


@inlined
def loss_near(table: Any, near: Any, core_loss: float, linear_share: float, far: float) -> float:
    """K of the plenum to the fans that run."""
    level = over_core(table, _held(near, core_loss), linear_share)
    return math.sinh(level + far * (near[LOSS_MOVES] + far * near[LOSS_MOVES + 1]))


@inlined
def standing_near(near: Any, core_loss: float, linear_share: float, far: float) -> float:
    """Share of the air behind the core that leaves by standing fans; under nothing where it comes back in."""
    level = over_core(near, _held(near, core_loss), linear_share)
    return level + far * (near[SHARE_MOVES] + far * near[SHARE_MOVES + 1])


@inlined
def ratio_near(table: Any, near: Any, core_loss: float, linear_share: float, far: float, face_velocity: float) -> float:
    """Heat with uneven air over heat with even air."""
    level = heat_ratio_at(table, _held(near, core_loss), linear_share, face_velocity)
    u = over_speeds(face_velocity)
    more = 0.0
    for v in range(3):
        at = LOST_MOVES + 2 * v
        more += u[v] * far * (near[at] + far * near[at + 1])
    return 1.0 - min((1.0 - level) * math.exp(more), 1.0)
