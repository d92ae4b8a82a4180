"""A fan's mounting holes.

holes_of     typed one by one, or as a pattern
"""

from shroudwright.job.drive import Fan
from shroudwright.metal.cutouts import mount_pattern


def holes_of(fan: Fan) -> tuple[tuple[float, float, float], ...]:
    """Return a fan's mounting holes, typed one by one or as a pattern: x, y from its centre and diameter, [m]."""
    if fan.holes:
        return tuple((across.value, up.value, size.value) for across, up, size in fan.holes)
    if fan.mounts and fan.mount_circle and fan.mount_hole:
        return mount_pattern(round(fan.mounts.value), fan.mount_circle.value, fan.mount_hole.value)
    return ()
