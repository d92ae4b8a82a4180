"""The full depth-averaged momentum of the air in a plenum, marched to a standstill: the slow check on the head closure.

Speeds on the cells' faces, pressures in their middles, first-order upwind, forward in a made-up time whose
waves run at a few times the fastest air. Rotation of the air along the plate is kept, and cells over a tank give
no air and no resistance but the walls'.
"""

import numba
import numpy as np

from shroudwright.pack.cells import Blowers, Cells, Law
from tests.oracle_field import (
    GAP_DISCHARGE,
    SOFT,
    Answer,
    Openings,
    Unsolved,
    core_speed,
    face_speed,
    fan_flows,
    leak,
    read_curve,
    rim,
)

CLOSED, INNER, RIM_AHEAD, RIM_BEHIND = 0, 1, 2, 3
"""A face: shut; between two plenum cells; an opening on its far side; an opening on its near side."""
WAVE, COURANT, EASE, STEPS, TINY = 2.0, 0.5, 0.5, 40000, 1e-300


def faces(cells: Cells, axis: int) -> tuple[np.ndarray, ...]:
    """Kind, opening, distance from the plenum cell's centre, and depth of every face across x, walls too.

    Across y everything comes transposed, so that one routine serves both.
    """
    turn = (lambda part: part) if axis == 0 else np.transpose
    wet, opening, depth = turn(cells.wet), turn(cells.opening), turn(cells.depth)
    passes = turn((cells.open_x, cells.open_y)[axis]) & wet[:, :-1] & wet[:, 1:]
    before, after = opening[:, :-1] >= 0, opening[:, 1:] >= 0
    kind = np.where(
        passes, np.select([~before & ~after, ~before, ~after], [INNER, RIM_AHEAD, RIM_BEHIND], CLOSED), CLOSED
    )
    whose = np.maximum(np.where(kind == RIM_AHEAD, opening[:, 1:], opening[:, :-1]), 0)
    rows, columns = np.indices(kind.shape)
    cell = columns + (kind == RIM_BEHIND)
    distance = np.array([turn(one) for one in rim(cells)[0][axis]])[whose, rows, cell]
    mean = (depth[:, :-1] + depth[:, 1:]) / 2.0
    thick = np.where(kind == INNER, mean, depth[rows, cell])
    return tuple(np.ascontiguousarray(np.pad(part, ((0, 0), (1, 1)))) for part in (kind, whose, distance, thick))


@numba.njit(cache=True, error_model="numpy")
def speed_up(u, w, p, pf, feed, step, side, kind, whose, distance, depth, air, dt):
    """Move the speeds along x on by one step, `w` being those along y; its largest rate and the fastest come back."""
    beta, lam, rho = air
    ny, nx = kind.shape
    new = np.zeros(u.shape)
    most, fastest = 0.0, 0.0
    for j in range(ny):
        for i in range(nx):
            k = kind[j, i]
            if k == 0:
                continue
            here = u[j, i]
            if k == 1:
                left, right = i - 1, i
                fall = (p[j, left] - p[j, right]) / step
                cross = (w[j, left] + w[j, right] + w[j + 1, left] + w[j + 1, right]) / 4.0
                given = (feed[j, left] + feed[j, right]) / 2.0
                d, far, own = step, step, dt
            else:
                cell = i - 1 if k == 2 else i
                d = distance[j, i]
                fall = (p[j, cell] - pf[whose[j, i]]) / d
                fall = fall if k == 2 else -fall
                cross = (w[j, cell] + w[j + 1, cell]) / 2.0
                given = feed[j, cell]
                far, own = step / 2.0 + d, dt * min(1.0, d / step)
            if here > 0.0:
                along = here * (here - u[j, i - 1]) / far if k != 3 else here * here / d
            else:
                along = here * (u[j, i + 1] - here) / far if k != 2 else -here * here / d
            aside = 0.0
            if cross > 0.0 and j > 0 and kind[j - 1, i] != 0:
                aside = cross * (here - u[j - 1, i]) / side
            elif cross < 0.0 and j < ny - 1 and kind[j + 1, i] != 0:
                aside = cross * (u[j + 1, i] - here) / side
            speed = np.sqrt(here * here + cross * cross)
            slowing = (beta * max(given, 0.0) + lam * speed / 4.0) / depth[j, i]
            push = fall / rho - beta * (along + aside)
            new[j, i] = (here + own * push) / (1.0 + own * slowing)
            most = max(most, abs(new[j, i] - here) / own)
            fastest = max(fastest, abs(new[j, i]))
    u[:] = new
    return most, fastest


@numba.njit(cache=True, error_model="numpy")
def through_core(p, law):
    """Face speed at a pressure behind the core, and how fast it falls as that grows."""
    a, b, _, ahead, _, _, _ = law
    drop = ahead - p
    root = np.sqrt(a * a + 4.0 * b * abs(drop))
    return 2.0 * drop / (a + root + TINY), 1.0 / (root + TINY)


@numba.njit(cache=True, error_model="numpy")
def through_holes(p, gap, flap, law):
    """Air in through gaps less air out through flaps, and how fast it falls as the pressure grows."""
    inward = law[4] - p
    area = gap if inward > 0.0 else gap + flap
    pull = GAP_DISCHARGE * area * np.sqrt(2.0 / law[2]) / np.sqrt(abs(inward) + SOFT)
    return pull * inward, pull


@numba.njit(cache=True, error_model="numpy")
def through_fan(pf, k, fans, law):
    """Air a fan draws, and how fast that grows with the pressure in its opening."""
    flow, pressure, points, stopped = fans
    rise = law[4] - pf
    if stopped[k] > 0.0:
        taken = -np.sign(rise) * np.sqrt(abs(rise) / stopped[k])
        return taken, 0.5 / np.sqrt(stopped[k] * max(abs(rise), 1e-3))
    taken = read_curve(flow[k], pressure[k], points[k], rise)
    return taken, read_curve(flow[k], pressure[k], points[k], rise - 1.0) - taken


@numba.njit(cache=True, error_model="numpy")
def march(p, pf, plan_x, plan_y, cell, opening, law, fans, dx, dy, tol):
    """March to a standstill, `p` and `pf` in place; the speeds and what was left come back."""
    kind_x, whose_x, distance_x, depth_x = plan_x
    kind_y, whose_y, distance_y, depth_y = plan_y
    inside, h, share, core, gap, flap = cell
    face, gap_k, flap_k = opening
    rho, air = law[2], (law[5], law[6], law[2])
    ny, nx = p.shape
    u, w, feed = np.zeros((ny, nx + 1)), np.zeros((nx, ny + 1)), np.zeros((ny, nx))
    left, fastest = np.inf, 1.0
    for _ in range(STEPS):
        wave = WAVE * fastest
        dt = COURANT / ((wave + fastest) * np.sqrt(1.0 / dx**2 + 1.0 / dy**2))
        for j in range(ny):
            for i in range(nx):
                if inside[j, i]:
                    holes = through_holes(p[j, i], gap[j, i], flap[j, i], law)[0]
                    feed[j, i] = share[j, i] * through_core(p[j, i], law)[0] + holes / (dx * dy)
        u_before = u.T.copy()
        x_most, x_fastest = speed_up(u, w.T.copy(), p, pf, feed, dx, dy, kind_x, whose_x, distance_x, depth_x, air, dt)
        p_turned, feed_turned = p.T.copy(), feed.T.copy()
        y_most, y_fastest = speed_up(
            w, u_before, p_turned, pf, feed_turned, dy, dx, kind_y, whose_y, distance_y, depth_y, air, dt
        )

        total, worst = 0.0, 0.0
        gathered, give = np.zeros(len(pf)), np.zeros(len(pf))
        for j in range(ny):
            for i in range(nx):
                if not inside[j, i]:
                    continue
                out = 0.0
                for kind, k, speed, mouth in (
                    (kind_x[j, i + 1], whose_x[j, i + 1], u[j, i + 1], dy * depth_x[j, i + 1]),
                    (kind_x[j, i], whose_x[j, i], -u[j, i], dy * depth_x[j, i]),
                    (kind_y[i, j + 1], whose_y[i, j + 1], w[i, j + 1], dx * depth_y[i, j + 1]),
                    (kind_y[i, j], whose_y[i, j], -w[i, j], dx * depth_y[i, j]),
                ):
                    out += speed * mouth
                    if kind > INNER:
                        gathered[k] += speed * mouth
                        give[k] += mouth * dt / (rho * max(dx, dy))
                v, slope = through_core(p[j, i], law)
                holes, pull = through_holes(p[j, i], gap[j, i], flap[j, i], law)
                surplus = core[j, i] * v + holes - out
                stiff = dt * rho * wave * wave / h[j, i] / (dx * dy)
                p[j, i] += stiff * surplus / (1.0 + stiff * (core[j, i] * slope + pull))
                worst = max(worst, abs(surplus))
        for k in range(len(pf)):
            v, slope = through_core(pf[k], law)
            holes, pull = through_holes(pf[k], gap_k[k], flap_k[k], law)
            taken, more = through_fan(pf[k], k, fans, law)
            surplus = face[k] * v + holes + gathered[k] - taken
            pf[k] += EASE * surplus / (face[k] * slope + pull + more + give[k] + TINY)
            total += abs(taken)
            worst = max(worst, abs(surplus))
        fastest = max(x_fastest, y_fastest, 1.0)
        left = max(worst * np.sqrt(nx * ny) / total, max(x_most, y_most) * nx * dx / fastest**2)
        if not left >= tol:
            break
    return u, w, left


def momentum(cells: Cells, law: Law, blowers: Blowers, tol: float = 1e-4) -> Answer:
    """Solve the full momentum equations; H is p and the head along the plate. For depths up to the openings' size."""
    openings = Openings(cells, law)
    inside = cells.wet & (cells.opening < 0)
    core = cells.dx * cells.dy * cells.core * (1.0 - cells.disc.sum(axis=0))
    p = np.full(inside.shape, law.bay - blowers.pressure.max() / 4.0)
    pf = np.full(len(cells.circles), law.bay - blowers.pressure.max() / 2.0)
    plan_x, plan_y = faces(cells, 0), faces(cells, 1)
    u, w, left = march(
        p,
        pf,
        plan_x,
        plan_y,
        (inside, cells.depth, cells.core, core, cells.gap, cells.flap),
        (openings.face, openings.gap, openings.flap),
        (law.linear, law.square, law.density, law.ahead, law.bay, law.profile, law.friction),
        tuple(blowers),
        cells.dx,
        cells.dy,
        tol,
    )
    if not left < tol:
        raise Unsolved(f"{STEPS} steps were not enough, {left:.1e} left")
    mean = np.stack([(u[:, 1:] + u[:, :-1]) / 2.0, (w[:, 1:] + w[:, :-1]).T / 2.0])
    whole = np.where(inside, p, np.nan)
    flow = fan_flows(pf, law, blowers)
    out = cells.dy * np.diff(u * plan_x[3]) + cells.dx * np.diff(w * plan_y[3]).T
    lost = np.where(inside, out - core * core_speed(law.ahead - p, law) - leak(p, cells.gap, cells.flap, law), 0.0)
    head = law.profile * law.density * (mean**2).sum(axis=0) / 2.0
    balance = float(np.abs(lost).max() / np.abs(flow).sum())
    return Answer(flow, pf, face_speed(cells, law, whole, pf), whole + head, balance)
