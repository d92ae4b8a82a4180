"""Where a plenum leaks: its flaps and gaps at their places, or where they are taken to be without.

is_placed    whether a job says where a flap or a gap is
opened       a plenum with its flaps and gaps at their places
as_packed    the same where the pack has them there, else sealed
with_leaks   a row's flaps and gaps in cells
"""

import math
from typing import Any

import numpy as np

from shroudwright.job.filled import Filled
from shroudwright.job.model import has_belt_fan
from shroudwright.job.places import cracks, flaps
from shroudwright.job.plenum import Behind
from shroudwright.pack.cells import Cells


def is_placed(filled: Filled) -> bool:
    """Whether a job says where a flap or a gap is, so that the pack has it there."""
    return bool(filled.job.flaps or filled.job.gaps) and not has_belt_fan(filled.job)


def opened(filled: Filled, behind: Behind) -> Behind:
    """Open a job's flaps and gaps at their places.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    behind : Behind
        Its plenum, from `plenum.behind_of`.

    Returns
    -------
    Behind
        Gaps without a place are spread evenly round the shroud's edge. Flaps without one are not in it.
    """
    holes, known = flaps(filled), cracks(filled)
    return behind._replace(
        plenum=behind.plenum._replace(
            flaps=tuple(hole.sides for hole in holes if hole.has_flap),
            holes=tuple(hole.sides for hole in holes if not hole.has_flap),
            cracks=known,
            gaps=max(filled.median("shroud.gaps") - math.fsum(crack.area for crack in known), 0.0),
        )
    )


def as_packed(filled: Filled, behind: Behind) -> Behind:
    """Open a job's flaps and gaps where the pack has them at their places; else its plenum stays sealed."""
    return opened(filled, behind) if is_placed(filled) else behind


def with_leaks(cells: Cells, row: Any) -> Cells:
    """Lay a row's gaps and flaps on cells.

    Parameters
    ----------
    cells : Cells
        With its openings.
    row : record
        Of a driving case.

    Returns
    -------
    Cells
        The row's areas, spread as the cells' own are; at the openings where they have none.
    """
    at = np.where(cells.opening >= 0, 1.0, 0.0)
    gap, flap = (own if own.any() else at for own in (cells.gap, cells.flap))
    return cells._replace(gap=row.leak_area * gap / gap.sum(), flap=row.flap_area * flap / flap.sum())
