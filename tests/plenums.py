"""Plenums cut into cells for tests: the two-fan base case and what departs from it, strips, a disc, no plenum.

Lengths in inches where a name says so; the base values are invented, of a plausible order.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

from shroudwright.pack.cells import Blowers, Cells, Law, Numbers

INCH = 0.0254
CFM = 0.3048**3 / 60.0
BASE = Law(linear=12.0, square=6.0, density=1.15)
Box = tuple[float, float, float, float]
"""Left, right, bottom, top."""


def disc_share(nx: int, ny: int, dx: float, dy: float, circle: Sequence[float]) -> Numbers:
    """Share of each cell of a grid inside a circle, exactly: its area left of x and below y, differenced."""
    cx, cy, radius = circle
    x, y = np.meshgrid(np.arange(nx + 1) * dx - cx, np.arange(ny + 1) * dy - cy)
    across, up = (np.minimum(np.abs(along), radius) for along in (x, y))

    def under_arc(t: Numbers) -> Numbers:
        return (t * np.sqrt(radius**2 - t**2) + radius**2 * np.arcsin(t / radius)) / 2.0

    level = np.minimum(np.sqrt(radius**2 - up**2), across)
    quarter = np.sign(x) * np.sign(y) * (level * up + under_arc(across) - under_arc(level))
    return np.asarray(np.diff(np.diff(quarter, axis=0), axis=1) / (dx * dy))


def box_share(nx: int, ny: int, dx: float, dy: float, box: Box) -> Numbers:
    """Share of each cell of a grid inside an upright rectangle."""

    def along(n: int, step: float, low: float, high: float) -> Numbers:
        lower = np.arange(n) * step
        return np.clip(np.minimum(lower + step, high) - np.maximum(lower, low), 0.0, None) / step

    return np.outer(along(ny, dy, *box[2:]), along(nx, dx, *box[:2]))


def cut(
    width: float,
    height: float,
    grid: tuple[int, int],
    circles: Sequence[Sequence[float]],
    depth: float | Numbers,
    *,
    core: Box | None = None,
    wet: Numbers | None = None,
    flaps: Sequence[Box] = (),
    gap: Numbers | float = 0.0,
) -> Cells:
    """Cells of a plenum `width` by `height`, openings as (x, y, radius); without `core`, all of it is core."""
    nx, ny = grid
    dx, dy = width / nx, height / ny
    x, y = np.meshgrid((np.arange(nx) + 0.5) * dx, (np.arange(ny) + 0.5) * dy)
    opening = np.full((ny, nx), -1)
    for k, (cx, cy, radius) in enumerate(circles):
        opening[np.hypot(x - cx, y - cy) < radius] = k
    full = np.ones((ny, nx))
    return Cells(
        dx=dx,
        dy=dy,
        left=0.0,
        bottom=0.0,
        depth=depth * full,
        core=full if core is None else box_share(nx, ny, dx, dy, core),
        bare=0.0 * full,
        wet=full.astype(bool) if wet is None else wet.astype(bool),
        open_x=np.ones((ny, nx - 1), bool),
        open_y=np.ones((ny - 1, nx), bool),
        opening=opening,
        disc=np.array([disc_share(nx, ny, dx, dy, circle) for circle in circles]),
        circles=np.array(circles, float),
        flap=dx * dy * sum((box_share(nx, ny, dx, dy, box) for box in flaps), 0.0 * full),
        gap=gap * full,
    )


def two_fans(
    depth_in: float,
    grid: tuple[int, int] = (48, 32),
    *,
    opening_in: float = 11.75,
    core_in: tuple[float, float] = (25.0, 17.0),
    shroud_in: float | None = None,
    flaps_in: Sequence[Box] = (),
) -> Cells:
    """Two openings at the quarter points of the shroud, which may be wider than the core."""
    width, height = shroud_in or core_in[0], core_in[1]
    over = (width - core_in[0]) / 2.0
    return cut(
        width * INCH,
        height * INCH,
        grid,
        [(share * width * INCH, height / 2.0 * INCH, opening_in / 2.0 * INCH) for share in (0.25, 0.75)],
        depth_in * INCH,
        core=(over * INCH, (width - over) * INCH, 0.0, height * INCH),
        flaps=[(a * INCH, b * INCH, c * INCH, d * INCH) for a, b, c, d in flaps_in],
    )


def dry(cells: Cells, ring_gap_in: float = 0.0) -> Cells:
    """No shroud: the fans' rings alone on the core, sealed or standing off it by a gap open to the bay."""
    gap = np.zeros_like(cells.gap)
    for share, (_, _, radius) in zip(cells.disc, cells.circles, strict=True):
        rim = np.where((share > 0.0) & (share < 1.0 - 1e-12), 1.0, 0.0)
        gap += rim / rim.sum() * 2.0 * np.pi * radius * ring_gap_in * INCH
    return cells._replace(wet=np.zeros_like(cells.wet), gap=gap)


def covered(cells: Cells, share: float) -> Cells:
    """A shroud over part of the core: the openings widened evenly until that share of the cells is covered."""
    ny, nx = cells.wet.shape
    x, y = np.meshgrid((np.arange(nx) + 0.5) * cells.dx, (np.arange(ny) + 0.5) * cells.dy)
    away = np.min([np.hypot(x - cx, y - cy) - radius for cx, cy, radius in cells.circles], axis=0)
    return cells._replace(wet=away <= np.quantile(away, share))


def strip(length: float, depth: float, n: int, *, width: float = 0.1, core_at_mouth: float = 0.0) -> Cells:
    """One row of n cells from a dead end to a straight-edged opening, itself one cell more."""
    step, far = length / n, 1e5
    mouth = [(length + far, width / 2.0, far)]
    cells = cut(length + step, width, (n + 1, 1), mouth, depth)
    open_end = np.eye(1, n + 1, n)
    return cells._replace(disc=open_end[None], core=np.where(open_end > 0.0, core_at_mouth, 1.0))


def round_plenum(outer: float, inner: float, depth: float, n: int) -> Cells:
    """A round plenum on n x n cells with one round opening in its middle."""
    cells = cut(2.0 * outer, 2.0 * outer, (n, n), [(outer, outer, inner)], depth)
    step = 2.0 * outer / n
    x, y = np.meshgrid((np.arange(n) + 0.5) * step - outer, (np.arange(n) + 0.5) * step - outer)
    inside = np.hypot(x, y) < outer
    return cells._replace(wet=inside, core=cells.core * inside)


def blowers(
    count: int = 2,
    *,
    shutoff: float = 220.0,
    free: float = 0.59,
    straight: float = 0.4,
    points: int = 1601,
    stopped: Sequence[float] | None = None,
) -> Blowers:
    """Like fans on P = P0 [1 - c x - (1 - c) x^2], carried on past free air; `stopped` as in `Blowers`."""
    x = np.linspace(0.0, 4.0, points)
    pressure = shutoff * (1.0 - straight * x - (1.0 - straight) * x**2)
    return Blowers(
        np.tile(free * x, (count, 1)),
        np.tile(pressure, (count, 1)),
        np.full(count, points),
        np.zeros(count) if stopped is None else np.array(stopped, float),
    )


def standing(cells: Cells, k: int, heads: float, density: float) -> float:
    """Resistance of a fan that stands in opening k and costs so many dynamic heads, [Pa s**2/m**6]."""
    return float(heads * density / (2.0 * (np.pi * cells.circles[k, 2] ** 2) ** 2))


def of_row(given: dict[str, Any], grid: tuple[int, int] | None = None) -> tuple[Cells, Law, Blowers]:
    """A row of the check table for the field, on its own grid unless another is asked; a strip has 200 cells."""
    law = Law(
        float(given.get("a", BASE.linear)),
        float(given.get("b", BASE.square)),
        float(given["rho"]),
        profile=float(given["beta"]),
        friction=float(given["lam"]),
        turning=float(given.get("Kt", 1.0)),
    )
    if "L_m" in given:
        length, n = given["L_m"], grid[0] if grid else 200
        if "v" in given:  # a core so stiff that it gives the same air everywhere
            law = law._replace(linear=0.0, square=1e8, ahead=1e8 * given["v"] ** 2)
        curve = {"shutoff": given.get("P0", 300.0), "free": given.get("Qmax", 0.1), "straight": given.get("c1", 0.4)}
        return strip(length, given["h_m"], n, core_at_mouth=float("P0" in given)), law, blowers(1, **curve)
    width, height = given.get("shroud_in", given["core_in"])
    left = given.get("core_from_shroud_left_in", 0.0)
    core = (left, left + given["core_in"][0], 0.0, given["core_in"][1])
    cells = cut(
        width * INCH,
        height * INCH,
        grid or tuple(given.get("grid", (48, 32))),
        [(x * INCH, y * INCH, diameter / 2.0 * INCH) for x, y, diameter in given["fans_in"]],
        given.get("depth_in", 1.0) * INCH,
        core=tuple(side * INCH for side in core),
    )
    fans = blowers(len(given["fans_in"]), shutoff=given["P0"], free=given["Qmax"], straight=given["c1"])
    return (cells if given.get("shroud", True) else dry(cells)), law, fans
