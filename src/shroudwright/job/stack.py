"""Gaps round the stack ahead of the shroud, as areas.

stack_gap_areas    of each gap whose width was typed
stack_gap_area     of all of them
"""

from collections.abc import Callable

from shroudwright.job.model import Job


def stack_gap_areas(job: Job, value: Callable[[str], float]) -> list[float | None]:
    """Return the area of every gap round the stack.

    Parameters
    ----------
    job : Job
        As read.
    value : callable
        Gives ``core.width`` and ``core.height``, which stand in for a length nobody typed, [m]

    Returns
    -------
    list of float or None
        In the job's order; None where no width was typed, or neither a length nor a side, [m**2]
    """
    along = {"left": "core.height", "right": "core.height", "top": "core.width", "bottom": "core.width"}
    areas: list[float | None] = []
    for gap in job.stack_gaps:
        length = gap.length.value if gap.length else value(along[gap.side]) if gap.side else None
        areas.append(None if gap.width is None or length is None else gap.width.value * length)
    return areas


def stack_gap_area(job: Job, value: Callable[[str], float]) -> float:
    """Return the area of all gaps round the stack that were taped; see `stack_gap_areas`, [m**2]."""
    return sum(area for area in stack_gap_areas(job, value) if area is not None)
