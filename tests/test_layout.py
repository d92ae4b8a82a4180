"""Where fans stand best: against an exhaustive search, in a mirror, round what is in the way, and when nothing fits."""

from collections.abc import Sequence
from itertools import product
from typing import Any

import numpy as np
import pytest

from shroudwright.bench.arcs import moved, rectangle
from shroudwright.job.plenum import Behind, like_blowers
from shroudwright.layout import GIVEN_UP, Layout, Miss, Site, even_heat, heat_of, in_a_row, lay_out
from shroudwright.pack.cells import Blowers, Law, Plenum
from shroudwright.pack.plenum import March
from shroudwright.shroud.bodies import FanBody, Plate, Solid
from shroudwright.shroud.fit import clearances, margins, missing
from tests.plenums import INCH

CROSSFLOW = March(True, 1, 3000.0, 0.4, 0.25, 1500.0)
SIXTEENTH = INCH / 16


def site(width: float, height: float, *, depth: float = 1.0, reach: float = 0.0, solids: Sequence[Solid] = ()) -> Site:
    """A core in inches behind a shroud that reaches past it as far on the left as on the right."""
    outline = moved(rectangle((width + 2 * reach) * INCH, height * INCH), -reach * INCH, 0.0)
    plenum = Plenum(width * INCH, height * INCH, (outline,), depth * INCH, depth * INCH)
    plate = Plate(outline, 0.0, depth * INCH, depth * INCH, 0.0016)
    return Site(Behind(plenum, ()), plate, tuple(solids), Law(12.0, 6.0, 1.15), CROSSFLOW, SIXTEENTH)


def fan(code: str, opening: float, frame: float, **more: Any) -> FanBody:
    return FanBody(code, 0.0, 0.0, opening * INCH, frame * INCH, **more)


def post(x: float, y: float, radius: float, near: float) -> Solid:
    radius *= INCH
    return Solid("pump", "engine", x * INCH, y * INCH, radius, radius, radius, near * INCH)


def inches(layout: Layout | Miss) -> list[tuple[float, float]]:
    return [(round(body.x / INCH, 6), round(body.y / INCH, 6)) for body in layout.fans]


def laid(where: Site, fans: Sequence[FanBody], blowers: Blowers | None = None) -> Layout:
    found = lay_out(where, fans, like_blowers(len(fans)) if blowers is None else blowers)
    assert isinstance(found, Layout)
    assert missing(clearances(found.fans, where.plate, where.solids)) == []
    return found


PAIR = [fan("A", 11.75, 12.25), fan("B", 11.75, 12.25)]
UNLIKE = [fan("A", 12.5, 13.0), fan("B", 9.0, 9.6)]
DEEP = {"motor": 5 * INCH, "overall_depth": 2.5 * INCH}
SMALL = [fan("A", 8.0, 9.0, **DEEP), fan("B", 8.0, 9.0, **DEEP)]


def strengths(share: float) -> Blowers:
    """The second of two fans so much weaker, in flow and pressure."""
    two = like_blowers(2)
    scale = np.array([[1.0], [share]])
    return two._replace(flow=two.flow * scale, pressure=two.pressure * scale)


def places_of(where: Site, body: FanBody) -> list[tuple[float, float]]:
    """A lattice of places where one fan's frame lies in the shroud."""
    assert body.frame is not None
    edges, half = where.edges, 0.5 * body.frame
    x, y = np.linspace(edges.x1 + half, edges.x2 - half, 9), np.linspace(edges.y1 + half, edges.y2 - half, 4)
    return list(product(x, y))


@pytest.mark.independent("every place of a lattice of 9 x 4 for both fans, on four times the cells")
@pytest.mark.parametrize(
    ("where", "fans", "blowers"),
    [
        (site(25, 17, depth=0.75), PAIR, like_blowers(2)),
        (site(27, 17), UNLIKE, strengths(0.7)),
        (site(24, 16, solids=[post(6, 8, 1.5, 2.5)]), SMALL, like_blowers(2)),
    ],
    ids=["alike", "unlike", "a pump in the way"],
)
def test_as_good_as_an_exhaustive_search(where: Site, fans: list[FanBody], blowers: Blowers) -> None:
    fine = 2400
    found = laid(where, fans, blowers)
    lattice = np.array(list(product(*(places_of(where, body) for body in fans))))
    fits = lattice[margins(fans, where.plate, where.solids, lattice[..., 0], lattice[..., 1]) >= -1e-6]
    assert len(fits) > 20
    stood = [[body._replace(x=at[0], y=at[1]) for body, at in zip(fans, places, strict=True)] for places in fits]
    heats = [heat_of(where, bodies, blowers, 600).heat for bodies in stood]
    best = max(heat_of(where, stood[i], blowers, fine).heat for i in np.argsort(heats)[-12:])
    assert heat_of(where, found.fans, blowers, fine).heat >= 0.99 * best


@pytest.mark.practice("two alike side by side stand best at the quarter points, from 1/2 to 2 in deep")
@pytest.mark.parametrize("depth", [0.5, 1.0, 2.0])
def test_quarter_points(depth: float) -> None:
    (ax, ay), (bx, by) = inches(laid(site(25, 17, depth=depth), PAIR))
    assert (ax + bx, ay, by) == (25.0, 8.5, 8.5)
    assert ax == pytest.approx(6.25, abs=0.2)


@pytest.mark.law("a symmetric problem has a symmetric answer: in rows, centred, on the tape's marks")
@pytest.mark.parametrize(
    ("where", "fans"),
    [
        (site(22, 17, reach=2.5), PAIR),
        (site(17, 25), PAIR),
        (site(27, 25), [fan(code, 10.75, 11.25) for code in "ABCD"]),
        (site(38, 17), [fan(code, 11.75, 12.25) for code in "ABC"]),
        (site(20, 17), [fan("A", 14.5, 15.0)]),
    ],
)
def test_a_symmetric_problem_has_a_symmetric_answer(where: Site, fans: list[FanBody]) -> None:
    places = inches(laid(where, fans))
    edges = where.edges
    across, up = (edges.x1 + edges.x2) / INCH, (edges.y1 + edges.y2) / INCH
    assert {(round(across - x, 6), y) for x, y in places} == set(places)
    assert {(x, round(up - y, 6)) for x, y in places} == set(places)
    assert all(float(16 * x).is_integer() and float(16 * y).is_integer() for x, y in places)


@pytest.mark.practice("27 in over all, 22 x 17 in core, two fans in 12 1/4 in frames: laid out over the tanks, or not")
def test_over_the_tanks() -> None:
    where = site(22, 17, reach=2.5)
    (ax, _), (bx, _) = inches(laid(where, PAIR))
    assert ax - 12.25 / 2 < 0.0
    assert bx + 12.25 / 2 > 22.0
    short = lay_out(site(22, 17), PAIR, like_blowers(2))
    assert isinstance(short, Miss)
    # 24 1/2 in of frames do not go into 22 in, whatever is done; up and down 17 in is less still.
    assert 0.5 * INCH < -short.missing[0].spare < 2.5 * INCH
    assert short.missing == tuple(missing(clearances(short.fans, site(22, 17).plate, ())))


@pytest.mark.by_hand("a 5 in motor 1/4 in off a 3 in post: middles 4 1/4 in apart at least")
def test_what_is_in_the_way_is_kept_off() -> None:
    free = laid(site(24, 16), SMALL)
    blocked = laid(site(24, 16, solids=[post(6, 8, 1.5, 2.5)]), SMALL)
    assert inches(free)[0] == (6.0, 8.0)
    x, y = inches(blocked)[0]
    assert np.hypot(x - 6.0, y - 8.0) >= 4.25 - 1e-6
    assert blocked.found.heat < free.found.heat
    assert blocked.tightest is not None
    wall = Solid("steering box", "keep-out", 12 * INCH, 8 * INCH, 11.9 * INCH, 7.9 * INCH, 0.0, 0.0)
    shut = lay_out(site(24, 16, solids=[wall]), SMALL, like_blowers(2))
    assert isinstance(shut, Miss)
    assert shut.missing[0].kind == "fan to keep-out"
    assert shut.missing[0].spare < 0.0


@pytest.mark.law("a tidier layout gives up half a per cent of heat at most, and the row it replaces is no better")
def test_it_beats_the_row() -> None:
    for where, fans in ((site(25, 17), PAIR), (site(27, 25), [fan(code, 10.75, 11.25) for code in "ABCD"])):
        row = heat_of(where, in_a_row(where, fans), like_blowers(len(fans)))
        assert laid(where, fans).found.heat >= (1.0 - GIVEN_UP) * row.heat


@pytest.mark.law("the same answer every time")
def test_it_repeats() -> None:
    assert lay_out(site(27, 17), UNLIKE, strengths(0.7)) == lay_out(site(27, 17), UNLIKE, strengths(0.7))


@pytest.mark.independent("tubes cut into 2000 lengths, each cooled by its air in turn, pass after pass")
@pytest.mark.parametrize("passes", [1, 2])
def test_even_heat(passes: int) -> None:
    face, v = 0.27, 2.4
    air, steps = face * CROSSFLOW.air_capacity * v, 2000
    U = CROSSFLOW.transfer / (0.25 + 0.75 * (3.0 / v) ** 0.4)
    effect = 1.0 - np.exp(-U * face / air)
    hot = 1.0
    for _ in range(passes * steps):
        hot -= air / (passes * steps) * effect * hot / CROSSFLOW.coolant_capacity
    wanted = CROSSFLOW.coolant_capacity * (1.0 - hot)
    assert even_heat(CROSSFLOW._replace(passes=passes), face, v) == pytest.approx(wanted, rel=1e-3)
