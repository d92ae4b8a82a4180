"""An outline parted by a straight line, arcs kept as arcs.

Line        a straight line without end, and which side of it counts as beyond
Chord       where it runs through the metal, and the outlines on either side
chords      every stretch of a line inside an outline
area_beyond area of an outline beyond a line
"""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from shroudwright.bench.arcs import Arc, Outline, Straight, Vertex, segments


class Line(NamedTuple):
    """A line through (x, y) along (dx, dy), a unit vector; beyond it is to its left."""

    x: float
    y: float
    dx: float
    dy: float

    def along(self, x: float, y: float) -> float:
        """How far along the line a point lies, [m]."""
        return (x - self.x) * self.dx + (y - self.y) * self.dy

    def past(self, x: float, y: float) -> float:
        """How far beyond the line a point lies, [m]."""
        return (y - self.y) * self.dx - (x - self.x) * self.dy

    def shifted(self, by: float) -> "Line":
        """Return the line moved to its left, [m]."""
        return self._replace(x=self.x - by * self.dy, y=self.y + by * self.dx)

    def turned(self) -> "Line":
        """Return the same line run the other way, so that beyond is its other side."""
        return self._replace(dx=-self.dx, dy=-self.dy)


class Chord(NamedTuple):
    """A stretch of a line inside an outline, from start to end along it, with the outlines it parts."""

    start: float
    end: float
    beyond: Outline
    before: Outline


class _Cut(NamedTuple):
    piece: int
    share: float
    along: float


def _steps(piece: Straight | Arc, line: Line) -> Iterator[tuple[float, float, float]]:
    """Shares of a piece at which it meets a line, with the place."""
    if isinstance(piece, Straight):
        one, other = line.past(piece.x1, piece.y1), line.past(piece.x2, piece.y2)
        if (one >= 0.0) != (other >= 0.0):
            share = one / (one - other)
            yield share, piece.x1 + share * (piece.x2 - piece.x1), piece.y1 + share * (piece.y2 - piece.y1)
        return
    middle = line.past(piece.x, piece.y)
    if abs(middle) >= piece.radius:
        return
    normal, half = math.atan2(line.dx, -line.dy), math.acos(-middle / piece.radius)
    shares = []
    for angle in (normal - half, normal + half):
        turned = ((angle - piece.start) * math.copysign(1.0, piece.sweep)) % math.tau
        if turned < abs(piece.sweep):
            shares.append((turned / abs(piece.sweep), angle))
    for share, angle in sorted(shares):
        yield share, piece.x + piece.radius * math.cos(angle), piece.y + piece.radius * math.sin(angle)


def _cuts(outline: Outline, line: Line) -> list[_Cut]:
    return [
        _Cut(number, share, line.along(x, y))
        for number, piece in enumerate(segments(outline))
        for share, x, y in _steps(piece, line)
    ]


def chords(outline: Outline, line: Line) -> list[Chord]:
    """Every stretch of a line inside an outline, in order along it.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, not crossing itself, counter-clockwise, [m]
    line : Line
        Through no corner of it, [m]

    Returns
    -------
    list of Chord
        Empty where the line misses it, [m]

    Notes
    -----
    Limits: a line that runs along an edge or through a corner may be read either way; shift it a little.
    Accuracy: exact for straights and arcs.

    References
    ----------
    Geometry.
    """
    found = sorted(_cuts(outline, line), key=lambda cut: cut.along)
    whole = []
    for one, other in zip(found[::2], found[1::2], strict=False):
        # Counter-clockwise metal lies left of its edge: at the end of the stretch the edge runs to beyond.
        whole.append(Chord(one.along, other.along, _loop(outline, other, one), _loop(outline, one, other)))
    return whole


def _loop(outline: Outline, begin: _Cut, end: _Cut) -> Outline:
    """Outline from one cut forward to another, closed by the straight between them."""
    pieces, count = segments(outline), len(outline)
    path: list[Vertex] = []
    number, share = begin.piece, begin.share
    steps = (end.piece - begin.piece) % count
    if steps == 0 and end.share < begin.share:
        steps = count
    for step in range(steps + 1):
        until = end.share if step == steps else 1.0
        path.append(_part(pieces[number % count], share, until))
        number, share = number + 1, 0.0
    x, y = _place(pieces[end.piece], end.share)
    return (*path, Vertex(x, y))


def _part(piece: Straight | Arc, share: float, until: float) -> Vertex:
    """Where a part of a piece starts, and the bulge over it."""
    bulge = math.tan(0.25 * piece.sweep * (until - share)) if isinstance(piece, Arc) else 0.0
    return Vertex(*_place(piece, share), bulge)


def _place(piece: Straight | Arc, share: float) -> tuple[float, float]:
    if isinstance(piece, Straight):
        return piece.x1 + share * (piece.x2 - piece.x1), piece.y1 + share * (piece.y2 - piece.y1)
    if share == 0.0:
        return piece.x1, piece.y1
    angle = piece.start + share * piece.sweep
    return piece.x + piece.radius * math.cos(angle), piece.y + piece.radius * math.sin(angle)


def area_beyond(outline: Outline, line: Line) -> float:
    """Area of what of an outline lies beyond a line.

    Half the integral of x dy - y dx over the edge that lies beyond; measured from a point of the line, the cut
    itself adds nothing.

    Parameters
    ----------
    outline : tuple of Vertex
        Closed, not crossing itself, counter-clockwise, [m]
    line : Line
        [m]

    Returns
    -------
    area : float
        [m**2]

    Notes
    -----
    Limits: none. Accuracy: exact.

    References
    ----------
    Green's theorem.
    """
    parts = []
    for piece in segments(outline):
        shares = [0.0, *(share for share, _, _ in _steps(piece, line)), 1.0]
        for share, until in pairwise(shares):
            if line.past(*_place(piece, 0.5 * (share + until))) > 0.0:
                parts.append(_swept(piece, share, until, line.x, line.y))
    return math.fsum(parts)


def _swept(piece: Straight | Arc, share: float, until: float, x: float, y: float) -> float:
    (x1, y1), (x2, y2) = _place(piece, share), _place(piece, until)
    if isinstance(piece, Straight):
        return 0.5 * ((x1 - x) * (y2 - y) - (x2 - x) * (y1 - y))
    turned = piece.radius**2 * piece.sweep * (until - share)
    return 0.5 * (turned + (piece.x - x) * (y2 - y1) - (piece.y - y) * (x2 - x1))
