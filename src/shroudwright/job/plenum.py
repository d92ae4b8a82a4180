"""The plenum of a job: what the field is solved on, and the tables the pack reads.

Behind          core, shroud and openings of a job at a depth
behind_of       job -> Behind, sealed; None without a shroud or a fan behind it
blowers_of      the fans of a driving case, as they compare
working_point   core law, pressures and fans of a driving case
law_at          core law and pressures alone
running_blowers its fans alone, or
blowers_at      in air of two densities
march_of        the core as the field's march along its tubes sees it
tables_at       tables of a plenum for every draw of its depth
"""

import math
from functools import lru_cache
from types import SimpleNamespace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.errors import InputError
from shroudwright.fans.curve import generic_curve
from shroudwright.job.filled import Filled
from shroudwright.job.model import has_belt_fan
from shroudwright.job.places import drawing_outlines, opening_of, places, pushers_that_help
from shroudwright.materials.air import specific_heat
from shroudwright.materials.coolant import coolant_properties
from shroudwright.pack.air_path import (
    DRAWN,
    PUSHED,
    AirState,
    Setup,
    ahead_share,
    core_key,
    fans_of,
    front_and_exit,
    is_still,
    ram,
    setup_of,
    zone_flow,
)
from shroudwright.pack.cells import LEAST_DEPTH, Blowers, Cells, Law, Plenum, cut, with_openings
from shroudwright.pack.kernel import balance_air
from shroudwright.pack.plenum import March, Nodes, Tables, nodes_of, tables_from
from shroudwright.radiator.core import Core, air_side, coolant_side, surface, ua

Numbers = NDArray[np.float64]
Circles = tuple[tuple[float, float, float], ...]
STANDARD_LAW = Law(0.0, 1.0, 1.2)
_DEPTHS = (0.02, 0.5, 0.98)
_ONE_DEPTH = 0.01
"""Spread of the depth's draws within which one table is enough, relative, [-]"""
_ALIKE = 0.1
"""Least by which free air or shut-off of unlike fans differ, relative, [-]"""
_FLOW, _PRESSURE = 0.5, 200.0
_FILM, _HUMIDITY = 330.0, 0.01
_SLOW, _MIDDLE, _FAST = 2.0, 3.0, 4.5
_LIKELY_COOLANT, _LIKELY_FLOW = 370.0, 1e-3
_STEP = 1.6
_LEAST_SHARE = 0.03


class Behind(NamedTuple):
    """Core and shroud of a job, and its openings: x, y and radius, [m]."""

    plenum: Plenum
    circles: Circles

    def at(self, depth: float) -> "Behind":
        """Return the same at another depth, fins to plate at the bottom, [m]."""
        taper = self.plenum.depth_top - self.plenum.depth
        return self._replace(plenum=self.plenum._replace(depth=depth, depth_top=max(depth + taper, LEAST_DEPTH)))

    def cells(self, count: int) -> Cells:
        """Cut it into about so many cells."""
        return with_openings(_cut(self.plenum, count), self.circles)


_cut = lru_cache(64)(cut)
"""Fans moved about or a case after another stand on the same cells."""


def depth_of(filled: Filled) -> Numbers:
    """Draws of the distance from fins to plate at the shroud's bottom, [m]."""
    flange = filled["space.lip_height"] + filled["shroud.seal"]
    return np.maximum(filled["shroud.depth"] + flange, LEAST_DEPTH)


def drawing_fans(filled: Filled) -> list[int]:
    """Which fans stand in the shroud."""
    helping = pushers_that_help(filled)
    return [i for i in range(len(filled.job.fans)) if i not in helping]


def behind_of(filled: Filled) -> Behind | None:
    """Lay out a job's plenum at the medians.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Behind or None
        None without a shroud, without a fan in it, or with a belt fan beside others.
    """
    fans = drawing_fans(filled)
    # A belt fan's place is not typed; beside other pullers it would lie over them.
    if filled.word("shroud.type") == "none" or bool(fans) == has_belt_fan(filled.job):
        return None
    width, height = float(filled["core.width"][0]), float(filled["core.height"][0])
    stand = places(filled)
    circles = [(*stand[i], 0.5 * opening_of(filled, i)) for i in fans]
    if has_belt_fan(filled.job):
        circles.append((0.5 * width, 0.5 * height, 0.5 * float(filled["belt_fan.blade"][0])))
    depth, top = float(depth_of(filled)[0]), filled.known("shroud.depth_top")
    taper = 0.0 if top is None else float(top[0] - filled["shroud.depth"][0])
    divider = filled.job.shroud.divider
    return Behind(
        Plenum(
            width=width,
            height=height,
            outlines=drawing_outlines(filled),
            depth=depth,
            depth_top=max(depth + taper, LEAST_DEPTH),
            roll_radius=_roll_radius(filled),
            dividers=() if divider is None else (divider.value,),
            deeper=tuple(
                one.depth.value - float(filled["shroud.depth"][0]) if one.depth else 0.0
                for one in filled.job.shroud_boxes
            ),
        ),
        tuple(circles),
    )


def _roll_radius(filled: Filled) -> float:
    """Radius of the upper and lower edges; 0 where they are not bent."""
    family, radius = filled.word("shroud.family"), float(filled["shroud.roll_radius"][0])
    is_side = family == "rolled" and filled.word("shroud.rolled_edges") == "left and right"
    return 0.0 if family == "flat plate" or is_side else radius


def blowers_of(filled: Filled, p: Any) -> Blowers:
    """Return the fans in the shroud as they run in a driving case; those that are alike get one ordinary curve.

    How strong they are together does not change a plenum's tables, only how they compare and their curves' shape.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    p : record
        The case's first row, fans written.

    Returns
    -------
    Blowers
    """
    chosen = in_shroud(filled)
    return like_blowers(len(chosen)) if are_alike(chosen, p) else running_blowers(filled, p, STANDARD_LAW.density)


def in_shroud(filled: Filled) -> list[int]:
    """Places in the records of the fans behind the shroud, one that the engine drives last."""
    return drawing_fans(filled) + ([len(filled.job.fans)] if has_belt_fan(filled.job) else [])


def are_alike(chosen: list[int], p: Any) -> bool:
    """Whether fans run alike, or none runs."""
    _, speed = fans_of(p)
    share = np.array([speed[i] for i in chosen])
    flow = np.array([p.fan_scale[i] * p.fan_flow[i].max() for i in chosen]) * share
    pressure = np.array([p.fan_pressure[i].max() / p.fan_density[i] for i in chosen]) * share**2
    ends = np.array([flow, pressure])
    return bool(share.max() == 0.0 or (share.min() > 0.0 and np.all(np.ptp(ends, axis=1) <= _ALIKE * ends.max(axis=1))))


def like_blowers(count: int) -> Blowers:
    """Return so many fans of one ordinary curve."""
    curve = generic_curve(_FLOW, _PRESSURE)
    return Blowers(
        np.tile(curve.flow, (count, 1)),
        np.tile(curve.pressure, (count, 1)),
        np.full(count, curve.n_points),
        np.zeros(count),
    )


class Point(NamedTuple):
    """The pack's balance as the field sees it."""

    law: Law
    blowers: Blowers
    drawn: float
    """Air through the core behind the shroud, [m**3/s]"""
    face_velocity: float
    """[m/s]"""
    over_open: float
    """That speed over the pack's, which is between the debris and over the covered share alone, [-]"""
    ahead: float
    """Pressure ahead of the core over its loss, as the pack reads it, [-]"""
    key: tuple[float, float, float]
    """Where the pack reads its tables, from `air_path.core_key`."""
    density_ahead: float
    """Of the air before the core, [kg/m**3]"""


def _plain(p: Any) -> Any:
    """Copy a record into plain numbers: it gives its fields so slowly that what is read off a balance would wait."""
    return SimpleNamespace(**{name: value if np.ndim(value := p[name]) else float(value) for name in p.dtype.names})


def working_point(filled: Filled, p: Any, heat: float, face: float) -> Point | None:
    """Balance the air of a driving case and read core law, pressures and fans off it.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    p : record
        A row of the case, complete.
    heat : float
        Given to the air, [W]
    face : float
        Core behind the shroud as the field has it, debris and all, [m**2]

    Returns
    -------
    Point or None
        None where nothing moves the air.
    """
    record, p = p, _plain(p)
    setup = setup_of(p)
    if is_still(p, setup, ram(p, p.ambient)):
        return None
    air, flow = balance_air(record, heat)
    key = core_key(p, setup, air, flow)
    drawn = float((zone_flow(p, flow, DRAWN) + zone_flow(p, flow, PUSHED)) / air.density_out)
    return Point(
        law=_law(p, setup, air, key, drawn / face),
        blowers=blowers_at(filled, p, air.density_out, air.density_mixed),
        drawn=drawn,
        face_velocity=drawn / face,
        over_open=drawn / (face * float(key[2])),
        ahead=float(ahead_share(p, setup, air, key)),
        key=key,
        density_ahead=float(air.density_mixed),
    )


def law_at(p: Any) -> Law:
    """Read the core's loss and the pressure left across it off the balance of a driving case.

    Parameters
    ----------
    p : record
        The case's first row, complete.

    Returns
    -------
    Law
        Meets the loss of core and coolers in value and slope at the air the case moves, over the whole face, blocked or
        not; the pressure ahead is what the road's air has left after the opening and the way out, so that the fans
        stand where they do in the case.
    """
    setup, (air, flow) = setup_of(p), balance_air(p, float(p.heat))
    key = core_key(p, setup, air, flow)
    return _law(p, setup, air, key, key[2] * p.open_share)


def _law(p: Any, setup: Setup, air: AirState, key: tuple[float, float, float], face_velocity: float) -> Law:
    share, lost = min(max(key[1], _LEAST_SHARE), 1.0 - _LEAST_SHARE), 0.5 * air.density_out * key[0] * key[2] ** 2
    return Law(
        linear=float(share * lost / face_velocity),
        square=float((1.0 - share) * lost / face_velocity**2),
        density=float(air.density_out),
        ahead=float(ram(p, p.ambient) - front_and_exit(p, setup, air, air.total)),
    )


def running_blowers(filled: Filled, p: Any, density: float) -> Blowers:
    """Return the fans in the shroud as strong as they run in a driving case.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    p : record
        The case's first row, fans written.
    density : float
        Of the air at the fans, [kg/m**3]

    Returns
    -------
    Blowers
        Ordinary ones where none runs.
    """
    chosen = in_shroud(filled)
    _, speed = fans_of(p)
    if not any(speed[i] for i in chosen):
        return like_blowers(len(chosen))
    return blowers_at(filled, p, density, density)


def blowers_at(filled: Filled, p: Any, density: float, density_ahead: float) -> Blowers:
    """Return fans in air behind the core, and pushers in that ahead of it: they move less of the air behind, denser."""
    chosen = in_shroud(filled)
    _, speed = fans_of(p)
    at_fan = np.where(p.fan_is_pusher[chosen] > 0.0, density_ahead, density)
    swells, turns = at_fan / density, np.array([speed[i] for i in chosen])
    stands = turns == 0.0
    # One that stands passes air by its loss; its curve only bounds the search.
    turns = np.where(stands, 1.0, turns)
    return Blowers(
        flow=p.fan_flow[chosen] * (p.fan_scale[chosen] * turns * swells)[:, np.newaxis],
        pressure=p.fan_pressure[chosen] * (turns**2 * at_fan / p.fan_density[chosen])[:, np.newaxis],
        points=p.fan_points[chosen].astype(np.int64),
        stopped=np.where(stands, 0.5 * p.fan_stopped_loss[chosen] * at_fan / (swells * p.fan_disc[chosen]) ** 2, 0.0),
    )


def march_of(filled: Filled, p: Any, table: Numbers) -> March:
    """Read the core's air and coolant sides at ordinary speeds, roughly: only a ratio hangs on them.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    p : record
        The case's first row, core and coolant flow written.
    table : array
        Of the coolant, from `materials.coolant.coolant_table`.

    Returns
    -------
    March
        Rounded, so that cases much alike share one table.
    """
    core = Core(*p.core)
    made = surface(core)
    face = core.tube_length * core.stack_height
    density = p.pressure / (287.05 * _FILM)
    slow, middle, fast = (
        p.j_scale * air_side(core, made, density * v * face, _FILM, _HUMIDITY)[0] for v in (_SLOW, _MIDDLE, _FAST)
    )
    rho, cp, k, mu = coolant_properties(table, _LIKELY_COOLANT)
    q = p.coolant_flow if p.coolant_flow > 0.0 else p.pump_flow
    mass = rho * max(float(q), 0.1 * _LIKELY_FLOW)
    inner, *_ = coolant_side(core, made, mass, rho, cp, k, mu)
    whole = ua(core, made, middle, inner)
    air = density * specific_heat(_FILM, _HUMIDITY)
    return March(
        along_x=filled.word("core.run") == "crossflow",
        passes=int(core.passes),
        transfer=float(f"{whole / face:.2g}"),
        exponent=round(math.log(fast / slow) / math.log(_FAST / _SLOW), 2),
        fixed_share=round(1.0 - whole / middle, 2),
        coolant_capacity=_STEP ** round(math.log(mass * cp) / math.log(_STEP)),
        air_capacity=float(f"{air:.3g}"),
    )


def tables_at(behind: Behind, depth: Numbers, blowers: Blowers, march: March, count: int) -> Tables:
    """Tabulate a plenum at every draw of its depth: solved at three, a parabola in the depth's logarithm between.

    Parameters
    ----------
    behind : Behind
        The plenum.
    depth : array
        Draws, the median first, [m]
    blowers : Blowers
        Its fans.
    march : March
        The core.
    count : int
        Cells.

    Returns
    -------
    Tables
        Shape (draws, ...).
    """
    key = tuple(tuple(map(tuple, part.tolist())) if part.ndim > 1 else tuple(part.tolist()) for part in blowers)
    if len(depth) < 2 or np.ptp(depth) <= _ONE_DEPTH * depth[0]:
        one = _tables(behind.at(float(depth[0])), key, march, count)
        return Tables(*(np.tile(part, (len(depth), 1)) for part in one))
    nodes = nodes_over(depth)
    solved = [_tables(behind.at(float(f"{node:.4g}")), key, march, count) for node in nodes]
    weights = weights_over(depth, nodes)
    return Tables(weights @ np.array([one.loss for one in solved]), weights @ np.array([one.lost for one in solved]))


def nodes_over(draws: Numbers) -> Numbers:
    """Return three values, of something above nothing, that its draws lie between: the median the middle one."""
    low, high = np.quantile(draws[1:], (_DEPTHS[0], _DEPTHS[2]))
    return np.array([min(low, 0.99 * draws[0]), draws[0], max(high, 1.01 * draws[0])])


def weights_over(draws: Numbers, nodes: Numbers) -> Numbers:
    """Weights of three nodes at every draw, a parabola in the logarithm; shape (draws, 3)."""
    x, (a, b, c) = np.log(np.clip(draws, nodes[0], nodes[2])), np.log(nodes)
    return np.array(
        [
            (x - b) * (x - c) / ((a - b) * (a - c)),
            (x - a) * (x - c) / ((b - a) * (b - c)),
            (x - a) * (x - b) / ((c - a) * (c - b)),
        ]
    ).T


def unsettled() -> InputError:
    """Return what to raise where a field does not settle."""
    return InputError(
        ["shroud: the air behind it cannot be worked out; give it more depth or larger openings, or leave it out"]
    )


@lru_cache(512)
def _tables(behind: Behind, key: Any, march: March, count: int) -> Tables:
    cells, nodes = _nodes(behind, key, count)
    if not nodes.has_settled:
        raise unsettled()
    return tables_from(cells, nodes, march)


@lru_cache(128)
def _nodes(behind: Behind, key: Any, count: int) -> tuple[Cells, Nodes]:
    flow, pressure, points, stopped = key
    blowers = Blowers(np.array(flow), np.array(pressure), np.array(points), np.array(stopped))
    cells = behind.cells(count)
    return cells, nodes_of(cells, blowers, STANDARD_LAW)
