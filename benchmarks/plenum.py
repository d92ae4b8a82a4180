"""A fan dragged over a core: the field found again and its heat ratio, frame by frame, beside a plain Newton method."""

import math
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from shroudwright.pack.cells import Cells, with_openings
from shroudwright.pack.field import Field, solve_field
from shroudwright.pack.plenum import March, heat_ratio
from tests.layouts import apart
from tests.oracle_field import newton
from tests.plenums import BASE, blowers, two_fans

DEPTHS, FRAMES, GRIDS = (0.5, 1.0, 2.0), 60, ((48, 32), (96, 64), (192, 128))
FANS = blowers(points=16)
MARCH = March(True, 1, 4000.0, 0.55, 0.15, 4000.0)
STEP = np.array([[0.001, 0.0005, 0.0], [0.0, 0.0, 0.0]])


def busy(work: Callable[[], Any]) -> tuple[float, Any]:
    """Return what this thread alone spent, s, and what came of it."""
    started = time.thread_time()
    made = work()
    return time.thread_time() - started, made


def frame(cells: Cells, before: Field) -> Field:
    """Put the openings in, find the field from the last one, and what it costs in heat."""
    moved = with_openings(cells, cells.circles)
    found = solve_field(moved, BASE, FANS, before)
    heat_ratio(moved, found.speed, MARCH)
    if not found.has_settled:
        raise RuntimeError("a frame did not settle")
    return found


def frames(depth: float, grid: tuple[int, int]) -> list[float]:
    """Time every frame of a fan dragged towards a corner by 1 mm across and half as much up at a time, s."""
    cells = two_fans(depth, grid)
    found, times = solve_field(cells, BASE, FANS), []
    frame(cells, found)
    for _ in range(FRAMES):
        cells = cells._replace(circles=cells.circles - STEP)
        seconds, found = busy(lambda cells=cells, found=found: frame(cells, found))
        times.append(seconds)
    return times


def exponent(times: list[float]) -> float:
    """Power of the cells with which a time grows from the first grid to the last."""
    cells = [across * up for across, up in (GRIDS[0], GRIDS[-1])]
    return math.log(times[-1] / times[0]) / math.log(cells[1] / cells[0])


def plenum_drag() -> list[dict[str, Any]]:
    """Time frames on three grids, beside the plain version at 1 in."""
    pooled = [np.array([frames(depth, grid) for depth in DEPTHS]) for grid in GRIDS]
    plain, off = [], 0.0
    for grid in GRIDS:
        cells = two_fans(1.0, grid)
        seconds, answer = busy(lambda cells=cells: newton(cells, BASE, FANS))
        plain.append(seconds)
        off = max(off, apart(cells, solve_field(cells, BASE, FANS).speed, answer.v))
    spread = [f"{1e3 * np.quantile(pooled[1], share):.1f}" for share in (0.5, 0.95, 1.0)]
    medians = [float(np.median(part[DEPTHS.index(1.0)])) for part in pooled]
    by_depth = ", ".join(f"{exponent([float(np.median(part[i])) for part in pooled]):.2f}" for i in range(len(DEPTHS)))
    return [
        {
            "name": "plenum_drag",
            "value": float(np.quantile(pooled[1], 0.95)),
            "unit": "s",
            "ratio": plain[1] / medians[1],
            "against": f"a frame's p95, 96 x 64 cells, 1/2, 1 and 2 in; p50, p95, worst {', '.join(spread)} ms; "
            "ratio: plain sparse Newton in scipy, 1 in, over the median",
            "agreement": f"{off:.1e} of the mean face speed",
        },
        {
            "name": "plenum_drag_growth",
            "value": exponent(medians),
            "unit": "power of the cells",
            "ratio": None,
            "against": f"48 x 32 to 192 x 128, median, 1 in; 1/2, 1, 2 in: {by_depth}; "
            f"plain Newton, 1 in: {exponent(plain):.2f}",
            "agreement": None,
        },
    ]
