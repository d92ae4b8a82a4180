"""What a cutter would trip over in a flat, judged on its outlines before anything is written.

drawing_findings   rules D01, D02, D06, D07 and D12 on one flat
mirror_findings    rule D14 on a cap that serves both ends
"""

import math
from collections.abc import Iterator, Sequence
from itertools import combinations

from shroudwright.bench.arcs import Arc, Circle, Outline, box, circle_outline, contains, length, segments
from shroudwright.bench.findings import Level
from shroudwright.metal.cutting import Line, chords
from shroudwright.metal.flat import Finding, Flat
from shroudwright.metal.meeting import crosses, touch

_INCH = 0.0254
LEAST_PIECE, SAME = 0.0005 * _INCH, 0.001 * _INCH
_SHORT_LINES = 4
_TURN = math.radians(1.0), math.radians(30.0)
_NECK = _INCH / 32.0

Judged = tuple[Level, Finding]


def drawing_findings(flat: Flat) -> Iterator[Judged]:
    """Say what is wrong with a flat as a drawing, each with its level.

    Parameters
    ----------
    flat : Flat
        The part.

    Yields
    ------
    level, finding
        D01 stop, an outline with a piece of no length or one that meets itself; D02 stop, the same cut twice;
        D06 stop, an opening that does not lie in the part, or lies in another; D07 watch, an arc as short lines;
        D12 stop, a bend without angle, direction or radius, numbered twice or off the metal. Lengths in m.

    Notes
    -----
    Limits: short lines count as an arc where at least four turn alike by 1 to 30 deg on one circle.
    Accuracy: exact for straights and arcs.

    References
    ----------
    Common practice of cutting services, no source.
    """
    holes = [
        (f"hole {hole.number}", circle_outline(Circle(hole.x, hole.y, 0.5 * hole.diameter)), 0.5 * hole.diameter)
        for hole in flat.holes
    ]
    inner = [
        *((f"opening {n}, {item.name}", item.outline, _radius(item.shape)) for n, item in enumerate(flat.openings, 1)),
        *holes,
    ]
    sound = []
    for name, outline, radius in (("outline", flat.outline, None), *inner):
        place = f"{flat.name}, {name}"
        faults = list(_shape(outline, radius, place))
        yield from faults
        if not faults and name != "outline":
            sound.append((place, outline))
    yield from _twice(flat, sound)
    yield from _inside(flat, sound)
    for place, outline in ((f"{flat.name}, outline", flat.outline), *sound):
        count = _faceted(outline)
        if count >= _SHORT_LINES:
            yield "watch", Finding("D07", float(count), _SHORT_LINES - 1.0, place)
    yield from _bends(flat)


def _radius(shape: Circle | Outline) -> float | None:
    return shape.radius if isinstance(shape, Circle) else None


def _shape(outline: Outline, radius: float | None, place: str) -> Iterator[Judged]:
    if radius is not None:
        if not radius > LEAST_PIECE:
            yield "stop", Finding("D01", radius, LEAST_PIECE, place)
        return
    least = min(
        item.radius * abs(item.sweep) if isinstance(item, Arc) else math.hypot(item.x2 - item.x1, item.y2 - item.y1)
        for item in segments(outline)
    )
    if not least > LEAST_PIECE:
        yield "stop", Finding("D01", least, LEAST_PIECE, place)
    elif (at := crosses(outline)) is not None:
        yield "stop", Finding("D01", 0.0, LEAST_PIECE, f"{place}, crosses itself at {_at(*at)}")


def _at(x: float, y: float) -> str:
    return f"{x / _INCH:.2f}, {y / _INCH:.2f} in ({1e3 * x:.1f}, {1e3 * y:.1f} mm)"


def _twice(flat: Flat, sound: Sequence[tuple[str, Outline]]) -> Iterator[Judged]:
    for (place, one), (_, other) in combinations(sound, 2):
        if _alike(one, other):
            yield "stop", Finding("D02", 0.0, SAME, place)
    ends = [
        (b.number, {(round(b.x1 / SAME), round(b.y1 / SAME)), (round(b.x2 / SAME), round(b.y2 / SAME))})
        for b in flat.bends
    ]
    for (number, one_line), (_, other_line) in combinations(ends, 2):
        if one_line == other_line:
            yield "stop", Finding("D02", 0.0, SAME, f"{flat.name}, bend {number}")


def _alike(one: Outline, other: Outline) -> bool:
    apart = max(abs(a - b) for a, b in zip(box(one), box(other), strict=True))
    return apart <= SAME and abs(length(one) - length(other)) <= SAME


def _inside(flat: Flat, sound: Sequence[tuple[str, Outline]]) -> Iterator[Judged]:
    if crosses(flat.outline) is not None:
        return
    for place, outline in sound:
        if touch(outline, flat.outline) or not contains(flat.outline, outline[0].x, outline[0].y):
            yield "stop", Finding("D06", 0.0, SAME, place)
    for (place, one), (other_place, other) in combinations(sound, 2):
        # The same cut twice is said by D02.
        if _alike(one, other):
            continue
        if touch(one, other) or contains(one, *other[0][:2]) or contains(other, *one[0][:2]):
            yield "stop", Finding("D06", 0.0, SAME, f"{place} and {other_place.split(', ', 1)[1]}")


def _faceted(outline: Outline) -> int:
    """Most straights in a row that turn alike and lie on one circle."""
    pieces = segments(outline)
    best = run = 0
    last: tuple[float, float] | None = None
    for one, other in zip(pieces * 2, pieces[1:] * 2 + pieces[:1], strict=False):
        if isinstance(one, Arc) or isinstance(other, Arc):
            run, last = 0, None
            continue
        long, far = math.hypot(one.x2 - one.x1, one.y2 - one.y1), math.hypot(other.x2 - other.x1, other.y2 - other.y1)
        turn = math.remainder(
            math.atan2(other.y2 - other.y1, other.x2 - other.x1) - math.atan2(one.y2 - one.y1, one.x2 - one.x1),
            math.tau,
        )
        here = (turn, long)
        alike = last is None or (abs(turn - last[0]) <= 0.02 * abs(turn) and abs(long - far) <= 0.02 * long)
        if _TURN[0] <= abs(turn) <= _TURN[1] and alike:
            run, last = run + 1, here
            best = max(best, run + 1)
        else:
            run, last = 0, None
    return min(best, len(pieces))


def _bends(flat: Flat) -> Iterator[Judged]:
    seen: set[int] = set()
    for bend in flat.bends:
        place = f"{flat.name}, bend {bend.number}"
        whole = bend.angle > 0.0 and bend.radius >= 0.0 and bend.allowance > 0.0 and bend.direction in ("up", "down")
        reach = math.hypot(bend.x2 - bend.x1, bend.y2 - bend.y1)
        if not whole or bend.number in seen or not reach > LEAST_PIECE:
            yield "stop", Finding("D12", 0.0, 1.0, place)
        else:
            line = Line(bend.x1, bend.y1, (bend.x2 - bend.x1) / reach, (bend.y2 - bend.y1) / reach)
            if not any(min(c.end, reach) > max(c.start, 0.0) for c in chords(flat.outline, line.shifted(1e-7))):
                yield "stop", Finding("D12", 0.0, 1.0, f"{place}, off the metal")
        seen.add(bend.number)


def mirror_findings(
    cap: Flat, left: Sequence[tuple[float, float]], right: Sequence[tuple[float, float]]
) -> Iterator[Judged]:
    """Say whether a cap cut twice alike can serve both ends.

    Parameters
    ----------
    cap : Flat
        The one flat for both ends.
    left, right : sequence of (place, diameter)
        Necks at each end, along the cap, [m]

    Yields
    ------
    level, finding
        D14 watch, where necks differ by more than 1/32 in: by how much, or how many more at one end.

    References
    ----------
    Common practice, no source.
    """
    if cap.quantity < 2:
        return
    if len(left) != len(right):
        yield "watch", Finding("D14", float(abs(len(left) - len(right))), 0.0, f"{cap.name}, necks")
        return
    apart = max(
        (
            max(abs(a - b) for a, b in zip(one, other, strict=True))
            for one, other in zip(sorted(left), sorted(right), strict=True)
        ),
        default=0.0,
    )
    if apart > _NECK:
        yield "watch", Finding("D14", apart, _NECK, f"{cap.name}, necks")
