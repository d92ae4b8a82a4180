"""Where fans stand best behind a core: most heat under every clearance, then what a builder's eye asks for.

Site        core, shroud and what is in the way
Layout      fans at their places, and what the air does there
Miss        the nearest to a layout where nothing fits
lay_out     site, fans -> Layout or Miss
in_a_row    the same fans evenly in a row, whether they fit or not
heat_of     fans at places -> heat, air, evenness
"""

import math
from collections.abc import Iterator, Sequence
from itertools import permutations, product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.arcs import Box, box
from shroudwright.job.plenum import Behind
from shroudwright.pack.cells import Blowers, Cells, Law, cut, with_openings
from shroudwright.pack.field import Field, solve_field
from shroudwright.pack.plenum import March, Spread, heat_ratio, spread_of
from shroudwright.shroud.bodies import WANTED, FanBody, Plate, Solid
from shroudwright.shroud.fit import Clearance, clearances, margins, missing, tightest

Numbers = NDArray[np.float64]
CELLS = 600
_MOST_SOLVES = 48
"""Fields solved in one search, which bounds its time and not its answer's repeatability"""
GIVEN_UP = 0.005
"""Share of the heat a tidier layout may cost, [-]"""
_MET = -1e-6
"""Least of gap less what is wanted that counts as met, [m]"""
_FIRST_STEP, _LAST_STEP = 0.04, 0.006
_REPAIRS = (0.08, 0.04, 0.02, 0.01, 0.005, 0.0025, 0.00125)
_REPAIRED = 6
_IN_LINE = 0.04
"""Fans nearer to one line than this are tried on it, [m]"""
_EVENLY_GOOD = 3
"""Decimals of the share of the best heat within which layouts are equally good"""


class Site(NamedTuple):
    """Core and shroud, what is in the way, and the air's working point."""

    behind: Behind
    plate: Plate
    solids: tuple[Solid, ...]
    law: Law
    march: March
    snap: float
    """What a tape is read to, [m]"""

    @property
    def edges(self) -> Box:
        """Least upright box round the shroud, [m]."""
        return box(self.plate.outline)


class Found(NamedTuple):
    """What the air does with fans at some places."""

    heat: float
    """Per kelvin of coolant over air, by the march: to compare layouts, not the core's own answer, [W/K]"""
    ratio: float
    """Heat over heat with the same air spread evenly, [-]"""
    spread: Spread


class Layout(NamedTuple):
    """Fans where they stand best."""

    fans: tuple[FanBody, ...]
    found: Found
    tightest: Clearance | None


class Miss(NamedTuple):
    """Fans at the nearest to a layout, and what is missing there, the worst first."""

    fans: tuple[FanBody, ...]
    missing: tuple[Clearance, ...]


def lay_out(site: Site, fans: Sequence[FanBody], blowers: Blowers, count: int = CELLS) -> Layout | Miss:
    """Find where one to four fans give most heat under every clearance.

    Rows, columns, squares and diagonals are tried first, then the best is moved in shrinking steps; then it is
    aligned, centred and put on the tape's marks as far as that costs no more than `GIVEN_UP` of the heat.

    Parameters
    ----------
    site : Site
        [SI]
    fans : sequence of FanBody
        Their own places are not used, [m]
    blowers : Blowers
        One for each fan, at its working speed and density.
    count : int
        Cells the field is solved on.

    Returns
    -------
    Layout or Miss

    Notes
    -----
    Limits: a search, not a proof: some fifty fields. Frames are round or square. Accuracy: within 1 % of the heat
    of an exhaustive search in the tests.

    References
    ----------
    Pattern search: Hooke and Jeeves 1961, from memory.
    """
    search = _Search(site, fans, blowers, count)
    starts = search.fitting(_starts(site, fans, search.alike))
    if not len(starts):
        nearest, spare = search.repaired(_starts(site, fans, search.alike))
        starts = nearest[spare >= _MET]
        if not len(starts):
            stood = _stood(fans, nearest[int(spare.argmax())])
            return Miss(stood, tuple(missing(clearances(stood, site.plate, site.solids))))
    best = max(starts, key=search.heat)
    chosen = search.from_the_left(search.tidied(search.climbed(best)))
    stood = _stood(fans, chosen)
    return Layout(stood, search.found(chosen), tightest(clearances(stood, site.plate, site.solids)))


def in_a_row(site: Site, fans: Sequence[FanBody]) -> tuple[FanBody, ...]:
    """Stand fans evenly in a row along the shroud's longer side, each in the middle of its share of the length.

    Parameters
    ----------
    site : Site
    fans : sequence of FanBody
        [m]

    Returns
    -------
    tuple of FanBody
        Whether they fit or not, [m]
    """
    shares = (np.arange(len(fans)) + 0.5) / len(fans)
    middle = np.full(len(fans), 0.5)
    edges = site.edges
    lies = edges.x2 - edges.x1 >= edges.y2 - edges.y1
    return _stood(fans, _on(edges, np.stack([shares, middle] if lies else [middle, shares], axis=-1)))


def heat_of(site: Site, fans: Sequence[FanBody], blowers: Blowers, count: int = CELLS) -> Found:
    """Solve the air behind a core with fans where they stand.

    Parameters
    ----------
    site : Site
    fans : sequence of FanBody
        [m]
    blowers : Blowers
        One for each fan.
    count : int
        Cells.

    Returns
    -------
    Found
        Heat of minus infinity where the field does not settle.
    """
    return _Search(site, fans, blowers, count).found(np.array([(fan.x, fan.y) for fan in fans]))


def even_heat(march: March, face: float, speed: float) -> float:
    """Heat per kelvin of coolant over air with the same air everywhere, however many passes.

    Parameters
    ----------
    march : March
    face : float
        Area of the core, [m**2]
    speed : float
        Of the air, [m/s]

    Returns
    -------
    heat : float
        C (1 - exp(-A a v (1 - exp(-U / (a v))) / C)), [W/K]
    """
    air = march.air_capacity * speed
    resist = march.fixed_share + (1.0 - march.fixed_share) * (3.0 / speed) ** march.exponent
    met = face * air * (1.0 - math.exp(-march.transfer / (resist * air)))
    return march.coolant_capacity * (1.0 - math.exp(-met / march.coolant_capacity))


def _stood(fans: Sequence[FanBody], places: Numbers) -> tuple[FanBody, ...]:
    return tuple(fan._replace(x=float(x), y=float(y)) for fan, (x, y) in zip(fans, places, strict=True))


def _on(edges: Box, shares: Numbers) -> Numbers:
    size = np.array([edges.x2 - edges.x1, edges.y2 - edges.y1])
    return np.asarray(np.array([edges.x1, edges.y1]) + shares * size)


def _patterns(count: int) -> Iterator[list[tuple[float, float]]]:
    """Places on a face one by one: rows, columns, squares, triangles, diagonals."""
    line = [(i + 0.5) / count for i in range(count)]
    for off in (0.5, 0.35, 0.65):
        yield [(at, off) for at in line]
        yield [(off, at) for at in line]
    if count > 1:
        for low, high in ((0.3, 0.7), (0.7, 0.3)):
            zigzag = [(at, (low, high)[i % 2]) for i, at in enumerate(line)]
            yield zigzag
            yield [(y, x) for x, y in zigzag]
        yield [(at, at) for at in line]
        yield [(at, 1.0 - at) for at in line]
    if count == 3:
        for base, tip in ((0.25, 0.75), (0.75, 0.25)):
            yield [(0.25, base), (0.5, tip), (0.75, base)]
            yield [(base, 0.25), (tip, 0.5), (base, 0.75)]
    if count == 4:
        yield [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)]


def _starts(site: Site, fans: Sequence[FanBody], alike: Sequence[int]) -> Numbers:
    """Every pattern with the fans in every order, each fan moved into the shroud; shape (starts, fans, 2)."""
    edges, count = site.edges, len(fans)
    halves, rims = np.array([_half(fan) for fan in fans]), [_rim(fan) for fan in fans]
    low = np.stack([edges.x1 + halves, edges.y1 + site.plate.roll_bottom + halves], axis=-1)
    high = np.stack([edges.x2 - halves, edges.y2 - site.plate.roll_top - halves], axis=-1)
    middle = 0.5 * (low + high)
    orders = list({tuple(alike[i] for i in order): order for order in permutations(range(count))}.values())
    found = []
    for order in orders:
        placed = [_on(edges, np.array(pattern)) for pattern in _patterns(count)]
        for flat in (0, 1):
            placed += [_shoulder_to_shoulder(edges, [rims[i] for i in order], flat, gap) for gap in (0.0, 1.0)]
        for places in placed:
            own = np.empty((count, 2))
            own[list(order)] = places
            found.append(np.clip(own, np.minimum(low, middle), np.maximum(high, middle)))
    return np.unique(np.round(np.array(found), 6), axis=0)


def _half(fan: FanBody) -> float:
    return 0.5 * (fan.opening if fan.frame is None else fan.frame)


def _rim(fan: FanBody) -> float:
    """Half of what a fan takes beside others."""
    return max(_half(fan), 0.5 * (fan.opening + WANTED["opening to opening"]))


def _shoulder_to_shoulder(edges: Box, halves: Sequence[float], axis: int, gap: float) -> Numbers:
    """A row of rims along an axis: touching in the middle, or with all the room shared out between and beside them."""
    room = (edges.x2 - edges.x1, edges.y2 - edges.y1)[axis]
    spare = gap * max(room - 2.0 * sum(halves), 0.0) / (len(halves) + 1)
    at = 0.5 * room - sum(halves) - 0.5 * spare * (len(halves) - 1)
    places = np.full((len(halves), 2), (0.5 * (edges.x1 + edges.x2), 0.5 * (edges.y1 + edges.y2)))
    for i, half in enumerate(halves):
        places[i, axis] = (edges.x1, edges.y1)[axis] + at + half
        at += 2.0 * half + spare
    return places


class _Search:
    """Fans moved about on a site; every field solved once."""

    def __init__(self, site: Site, fans: Sequence[FanBody], blowers: Blowers, count: int) -> None:
        self.site, self.fans, self.blowers = site, fans, blowers
        self.bare: Cells = cut(site.behind.plenum, count)
        self.face = float(self.bare.core.sum()) * self.bare.dx * self.bare.dy
        self.start: Field | None = None
        self.solved: dict[bytes, Found] = {}
        kinds = [
            (*fan._replace(code="", x=0.0, y=0.0), *blowers.flow[i], *blowers.pressure[i], blowers.stopped[i])
            for i, fan in enumerate(fans)
        ]
        self.alike = [kinds.index(kind) for kind in kinds]

    def spare(self, places: Numbers) -> Numbers:
        """Least of gap less what is wanted, of each placement."""
        return margins(self.fans, self.site.plate, self.site.solids, places[..., 0], places[..., 1])

    def fitting(self, places: Numbers) -> Numbers:
        """Those placements that keep every clearance."""
        return places[self.spare(places) >= _MET] if len(places) else places

    def found(self, places: Numbers) -> Found:
        """Solve the field with the fans at some places."""
        key = np.round(places, 6).tobytes()
        if key not in self.solved:
            radii = np.array([[0.5 * fan.opening] for fan in self.fans])
            cells = with_openings(self.bare, np.hstack([places, radii]))
            field = solve_field(cells, self.site.law, self.blowers, self.start)
            spread = spread_of(cells, self.site.law, self.blowers, field)
            heat = ratio = -math.inf
            if field.has_settled and spread.face_velocity > 0.0:
                self.start = field
                ratio = heat_ratio(cells, field.speed, self.site.march)
                heat = ratio * even_heat(self.site.march, self.face, spread.face_velocity)
            self.solved[key] = Found(heat, ratio, spread)
        return self.solved[key]

    def heat(self, places: Numbers) -> float:
        """Heat with the fans at some places."""
        return self.found(places).heat

    def repaired(self, places: Numbers) -> tuple[Numbers, Numbers]:
        """Move placements until the worst clearance gets no better; the placements and what they have to spare."""
        spare = self.spare(places)
        order = np.argsort(-spare, kind="stable")[:_REPAIRED]
        places, spare = places[order], spare[order]
        moves = np.array([*_moves(places.shape[1]), *_diagonals(places.shape[1])])
        for step in _REPAIRS:
            for _ in range(4):
                tried = places[:, np.newaxis] + step * moves
                gained = self.spare(tried.reshape(-1, *places.shape[1:])).reshape(tried.shape[:2])
                best = gained.argmax(axis=1)
                rows = np.arange(len(places))
                better = gained[rows, best] > spare + 1e-9
                places = np.where(better[:, np.newaxis, np.newaxis], tried[rows, best], places)
                spare = np.where(better, gained[rows, best], spare)
                if not better.any() or spare.max() >= _MET:
                    break
        return places, spare

    def climbed(self, places: Numbers) -> Numbers:
        """Move fans in shrinking steps while that gains heat."""
        best, step = self.heat(places), _FIRST_STEP
        moves = _moves(len(places))
        while step >= _LAST_STEP:
            gained = False
            fits = self.spare(places + step * moves) >= _MET
            for k, move in enumerate(moves):
                if not fits[k]:
                    continue
                if len(self.solved) >= _MOST_SOLVES:
                    return places
                ahead = places + step * move
                if self.heat(ahead) > best:
                    places, best, gained = ahead, self.heat(ahead), True
                    fits = self.spare(places + step * moves) >= _MET
            if not gained:
                step *= 0.5
        return places

    def tidied(self, places: Numbers) -> Numbers:
        """Align, centre and put on the tape's marks, as far as the heat allows."""
        best = self.heat(places)
        tried = self._on_the_marks(np.array([places, *self._tidier(places)]))
        good = [each for each in tried if self.heat(each) >= (1.0 - GIVEN_UP) * best]

        def order(each: Numbers) -> tuple[float, float, float]:
            found = self.found(each)
            return (self._neatness(each), round(found.heat / best, _EVENLY_GOOD), -found.spread.evenness)

        return max(good, key=order, default=places)

    def from_the_left(self, places: Numbers) -> Numbers:
        """Name fans that are alike from left to right, then upwards."""
        found = places.copy()
        for kind in set(self.alike):
            own = [i for i, other in enumerate(self.alike) if other == kind]
            found[own] = places[sorted(own, key=lambda i: tuple(places[i]))]
        return found

    def _tidier(self, places: Numbers) -> Iterator[Numbers]:
        edges = self.site.edges
        centre = np.array([0.5 * (edges.x1 + edges.x2), 0.5 * (edges.y1 + edges.y2)])
        for line in (places, _in_line(places)):
            halves = [(line, self._mirrored(line, centre, axis)) for axis in (0, 1)]
            for x, y in product(*halves):
                yield np.stack([x[:, 0], y[:, 1]], axis=-1)
        for axis in (0, 1):
            order = np.argsort(places[:, axis], kind="stable")
            row = np.empty_like(places)
            row[order] = _shoulder_to_shoulder(edges, [_rim(self.fans[i]) for i in order], axis, 1.0)
            yield row

    def _mirrored(self, places: Numbers, centre: Numbers, axis: int) -> Numbers:
        """Halfway to its own mirror image, each fan going to the nearest one alike; as it is where that cannot be."""
        image = places.copy()
        image[:, axis] = 2.0 * centre[axis] - image[:, axis]
        count = len(places)
        pairs = [
            order
            for order in permutations(range(count))
            if all(order[order[i]] == i and self.alike[order[i]] == self.alike[i] for i in range(count))
        ]
        nearest = min(pairs, key=lambda order: float(np.abs(image[list(order)] - places).sum()))
        return 0.5 * (places + image[list(nearest)])

    def _on_the_marks(self, each: Numbers) -> list[Numbers]:
        """The nearest placement to each that is on the tape's marks and fits, where there is one."""
        one = each.shape[1:]
        ways = np.array(list(product((0.0, 1.0), repeat=each[0].size))).reshape(-1, *one)
        marks = self.site.snap * (np.floor(each / self.site.snap + 1e-9)[:, np.newaxis] + ways)
        off = np.round(np.abs(marks - each[:, np.newaxis]).sum(axis=(2, 3)), 9)
        off[self.spare(marks.reshape(-1, *one)).reshape(off.shape) < _MET] = np.inf
        return [
            row[k] for row, k, near in zip(marks, off.argmin(axis=1), off.min(axis=1), strict=True) if near < np.inf
        ]

    def _neatness(self, places: Numbers) -> int:
        """How many fans share a line; whether the whole is the same in a mirror, or as far off either end."""
        edges = self.site.edges
        centre = np.array([0.5 * (edges.x1 + edges.x2), 0.5 * (edges.y1 + edges.y2)])
        near = 0.51 * self.site.snap
        lines = sum(len(places) - len(np.unique(np.round(places[:, axis] / self.site.snap))) for axis in (0, 1))
        halves = np.array([_half(fan) for fan in self.fans])
        neat = 0
        for axis, (low, high) in enumerate(((edges.x1, edges.x2), (edges.y1, edges.y2))):
            if np.abs(self._mirrored(places, centre, axis) - places).max() <= 0.5 * near + 1e-9:
                neat += 2
            elif abs((places[:, axis] - halves).min() - low + (places[:, axis] + halves).max() - high) <= near:
                neat += 1
        return lines + neat


def _moves(count: int) -> Numbers:
    """All together, apart and together, and one by one; shape (moves, fans, 2)."""
    found = []
    spread = np.linspace(-1.0, 1.0, count) if count > 1 else np.zeros(1)
    for axis in (0, 1):
        for sign in (1.0, -1.0):
            whole = np.zeros((count, 2))
            whole[:, axis] = sign
            found.append(whole)
            if count > 1:
                apart = np.zeros((count, 2))
                apart[:, axis] = sign * spread
                found.append(apart)
                for i in range(count):
                    one = np.zeros((count, 2))
                    one[i, axis] = sign
                    found.append(one)
    return np.array(found)


def _diagonals(count: int) -> Iterator[Numbers]:
    for i, right, up in product(range(count), (1.0, -1.0), (1.0, -1.0)):
        one = np.zeros((count, 2))
        one[i] = right, up
        yield one


def _in_line(places: Numbers) -> Numbers:
    """Fans that are nearly in one line, put on it."""
    found = places.copy()
    for axis in (0, 1):
        order = np.argsort(places[:, axis], kind="stable")
        groups = np.split(order, np.flatnonzero(np.diff(places[order, axis]) > _IN_LINE) + 1)
        for group in groups:
            found[group, axis] = places[group, axis].mean()
    return found
