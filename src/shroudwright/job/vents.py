"""Holes in a job's shroud and leaks along its edges: where the rows put them, and what is wrong with the rows.

Hole          a hole in the plate, with a flap or bare
Run           a gap along an edge
holes_of      a job's holes
runs_of       its gaps
flap_area     of the holes with flaps
bare_area     of those without
gap_area      of the gaps
hole_faults   what is wrong with the rows of boxes, flaps and gaps
"""

import math
from collections.abc import Callable, Iterator
from itertools import combinations
from typing import Literal, NamedTuple

from shroudwright.bench.arcs import Outline, area, box, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.job.front import Flap, Gap, ShroudBox
from shroudwright.job.model import Job
from shroudwright.job.outline import REACHES, box_outline, outlines_of
from shroudwright.job.quantity import Reading, shown
from shroudwright.metal.cutouts import BAR
from shroudwright.shroud.pieces import common

Side = Literal["left", "right", "bottom", "top"]
_NEAR = 1e-6
_LEAST_AREA = 1e-9
_ROUNDING = 1.0 + 1e-6


class Hole(NamedTuple):
    """A hole in the shroud's plate, from the core's lower left corner seen from behind."""

    code: str
    left: float
    bottom: float
    width: float
    height: float
    has_flap: bool
    """Whether a flap shuts it against air from the bay."""
    bars: int = 0
    """Upright ones across it."""

    @property
    def area(self) -> float:
        """Of the hole between its bars, [m**2]."""
        return (self.width - self.bars * BAR) * self.height

    @property
    def middle(self) -> tuple[float, float]:
        """[m]."""
        return self.left + 0.5 * self.width, self.bottom + 0.5 * self.height

    @property
    def sides(self) -> tuple[float, float, float, float]:
        """Left, bottom, width and height, [m]."""
        return self.left, self.bottom, self.width, self.height


class Run(NamedTuple):
    """A gap along an edge of the shroud, from the core's lower left corner along that edge."""

    side: Side
    start: float
    end: float
    width: float
    part: int
    """Which of several boxes; -1 for the one shroud, [-]"""

    @property
    def area(self) -> float:
        """Of the gap, [m**2]."""
        return (self.end - self.start) * self.width


def holes_of(job: Job) -> tuple[Hole, ...]:
    """Return a job's holes, at the medians.

    Parameters
    ----------
    job : Job
        Without faults.

    Returns
    -------
    tuple of Hole
        In their rows' order, [m]
    """
    return tuple(hole for row in job.flaps if (hole := _hole(row)) is not None)


def _hole(row: Flap) -> Hole | None:
    if not (row.x and row.y and row.width and row.height):
        return None
    width, height = row.width.value, row.height.value
    left, bottom, bars = row.x.value - 0.5 * width, row.y.value - 0.5 * height, round(row.bars.value) if row.bars else 0
    return Hole(row.code, left, bottom, width, height, row.opens != "always", bars)


def runs_of(job: Job, value: Callable[[str], float]) -> tuple[Run, ...]:
    """Return a job's gaps along their edges, at the medians.

    Parameters
    ----------
    job : Job
        Without faults.
    value : callable
        A number of the job by its path, in SI.

    Returns
    -------
    tuple of Run
        In their rows' order, [m]
    """
    outlines = outlines_of(job.shroud, value, job.shroud_boxes)
    return tuple(run for row in job.gaps if (run := _run(row, job.shroud_boxes, outlines)) is not None)


def _run(row: Gap, boxes: tuple[ShroudBox, ...], outlines: tuple[Outline, ...]) -> Run | None:
    if row.side is None or row.width is None:
        return None
    part = next((index for index, one in enumerate(boxes) if one.code == row.box), -1)
    low, high = _ends(row.side, outlines if part < 0 else (outlines[part],))
    length = row.length.value if row.length else high - low
    middle = row.middle.value if row.middle else 0.5 * (low + high)
    return Run(row.side, middle - 0.5 * length, middle + 0.5 * length, row.width.value, part)


def flap_area(job: Job) -> float:
    """Area of the holes with flaps, [m**2]."""
    return math.fsum(hole.area for hole in holes_of(job) if hole.has_flap)


def bare_area(job: Job) -> float:
    """Area of the holes without, [m**2]."""
    return math.fsum(hole.area for hole in holes_of(job) if not hole.has_flap)


def gap_area(job: Job, value: Callable[[str], float]) -> float:
    """Area of the gaps whose place is given, [m**2]."""
    return math.fsum(run.area for run in runs_of(job, value))


def hole_faults(job: Job) -> Iterator[tuple[str, str]]:
    """Yield place and fault of a job's boxes, flaps and gaps.

    Parameters
    ----------
    job : Job
        Whose fields are each possible.

    Yields
    ------
    (str, str)
        Each place, and what is wrong there.
    """
    rows = [*_row_faults(job), *_beside_faults(job)]
    yield from rows
    if rows or job.core.width is None or job.core.height is None:
        return
    known = {"core.width": job.core.width.value, "core.height": job.core.height.value}
    for reach in REACHES:
        typed: Reading | None = getattr(job.shroud, reach)
        known[f"shroud.{reach}"] = typed.value if typed else 0.0
    yield from _box_faults(job, rectangle(known["core.width"], known["core.height"]))
    try:
        outlines = outlines_of(job.shroud, known.__getitem__, job.shroud_boxes)
        runs = runs_of(job, known.__getitem__)
    except InputError:  # told of the outline itself
        return
    yield from _flap_faults(job, outlines)
    placed, whole = math.fsum(run.area for run in runs), job.shroud.gaps
    if runs and whole is not None and placed > whole.value * _ROUNDING:
        unit = "in**2" if (job.units or "in") == "in" else "cm**2"
        yield "shroud.gaps", f"{whole.typed} in all, and [[gaps]] alone come to {shown(placed, unit, 'area')}"
    for index, (run, row) in enumerate(zip(runs, job.gaps, strict=True)):
        low, high = _ends(run.side, outlines if run.part < 0 else (outlines[run.part],))
        over = max(low - run.start, run.end - high)
        if over > _NEAR:
            yield (
                f"gaps.{index}.{'length' if row.length else 'middle'}",
                f"it runs {_size(job, over)} past the end of the {run.side} edge; shorten it, or move its middle",
            )


def _ends(side: Side, outlines: tuple[Outline, ...]) -> tuple[float, float]:
    """From where to where an edge runs, [m]."""
    edges = [box(outline) for outline in outlines]
    if side in ("left", "right"):
        return min(one.y1 for one in edges), max(one.y2 for one in edges)
    return min(one.x1 for one in edges), max(one.x2 for one in edges)


def _row_faults(job: Job) -> Iterator[tuple[str, str]]:
    needs = (
        ("shroud_boxes", job.shroud_boxes, ("x", "y", "width", "height")),
        ("flaps", job.flaps, ("x", "y", "width", "height")),
        ("gaps", job.gaps, ("side", "width")),
    )
    for section, rows, names in needs:
        for index, row in enumerate(rows):
            if missing := [name for name in names if getattr(row, name) is None]:
                yield f"{section}.{index}", f"does not say its {', '.join(missing)}"
    codes = [one.code for one in job.shroud_boxes]
    for index, gap in enumerate(job.gaps):
        if gap.box is None and len(codes) > 1:
            yield f"gaps.{index}.box", f"missing; say which box it runs along: {', '.join(codes)}"
        elif gap.box is not None and gap.box not in codes:
            yield f"gaps.{index}.box", f"there is no box {gap.box!r}; the boxes are {', '.join(codes) or 'none'}"


def _beside_faults(job: Job) -> Iterator[tuple[str, str]]:
    """Yield rows typed beside what says the same, or without a shroud to be in."""
    shroud = job.shroud
    for name, rows in (("shroud_boxes", job.shroud_boxes), ("flaps", job.flaps), ("gaps", job.gaps)):
        if rows and shroud.type == "none":
            yield name, "typed for a job whose shroud.type is 'none'; leave them out, or say what shroud it is"
    if job.flaps and shroud.flaps is not None:
        yield "shroud.flaps", "typed beside [[flaps]], whose rows already say it; leave one of them out"
    shaped = [name for name in (*REACHES, "outline", "notches", "divider") if getattr(shroud, name)]
    shaped = [name for name in shaped if name not in REACHES or getattr(shroud, name).value != 0.0]
    if job.shroud_boxes and shaped:
        yield f"shroud.{shaped[0]}", "typed beside [[shroud_boxes]], which already say where the edges are"
    is_loose = shroud.type == "partial" or (shroud.covered_share is not None and shroud.covered_share.value < 1.0)
    if (job.flaps or job.gaps) and is_loose and not (shaped or job.shroud_boxes):
        yield (
            "flaps" if job.flaps else "gaps",
            "where the shroud ends is not known from its covered share alone; type its reaches or outline as well",
        )


def _box_faults(job: Job, face: Outline) -> Iterator[tuple[str, str]]:
    boxes = job.shroud_boxes
    for index, one in enumerate(boxes):
        if _shared(face, box_outline(one)) < _LEAST_AREA:
            yield f"shroud_boxes.{index}", f"{one.code} misses the core"
    for (_, one), (j, other) in combinations(enumerate(boxes), 2):
        a, b = box(box_outline(one)), box(box_outline(other))
        over = min(a.x2, b.x2) - max(a.x1, b.x1), min(a.y2, b.y2) - max(a.y1, b.y1)
        if min(over) > _NEAR:
            yield (
                f"shroud_boxes.{j}",
                f"{other.code} lies {_size(job, min(over))} over {one.code}; move one, or make it smaller",
            )


def _shared(one: Outline, other: Outline) -> float:
    """Area two outlines have in common, [m**2]."""
    return math.fsum(area(part) for part in common(one, other))


def _size(job: Job, length: float) -> str:
    return shown(length, job.units or "in", "length")


def _past(hole: Hole, outline: Outline) -> float:
    """How far a hole reaches past the least upright box round an outline, [m]."""
    edges = box(outline)
    return max(
        edges.x1 - hole.left,
        edges.y1 - hole.bottom,
        hole.left + hole.width - edges.x2,
        hole.bottom + hole.height - edges.y2,
    )


def _flap_faults(job: Job, outlines: tuple[Outline, ...]) -> Iterator[tuple[str, str]]:
    holes = holes_of(job)
    for index, hole in enumerate(holes):
        place = f"flaps.{index}"
        rim = moved(rectangle(hole.width, hole.height), hole.left, hole.bottom)
        inside = math.fsum(_shared(outline, rim) for outline in outlines)
        if inside < _LEAST_AREA:
            yield place, f"{hole.code} lies off the shroud; move its middle"
        elif inside < hole.width * hole.height - _LEAST_AREA:
            past = _past(hole, max(outlines, key=lambda outline: _shared(outline, rim)))
            far = _size(job, past) if past > _NEAR else f"{100.0 * (1.0 - inside / area(rim)):.2g} % of its hole"
            yield place, f"{hole.code} hangs {far} past the shroud's edge; move its middle, or make it smaller"
        if hole.area <= 0.0:
            yield f"{place}.bars", f"{hole.bars} bars of {_size(job, BAR)} leave nothing of the hole"
        for fan in job.fans:
            if not (fan.x and fan.y and fan.blade):
                continue
            across = max(hole.left - fan.x.value, fan.x.value - hole.left - hole.width, 0.0)
            up = max(hole.bottom - fan.y.value, fan.y.value - hole.bottom - hole.height, 0.0)
            over = 0.5 * fan.blade.value - math.hypot(across, up)
            if over > _NEAR:
                yield place, f"{hole.code} lies {_size(job, over)} under the blades of fan {fan.code}; move one of them"
    for (_, one), (j, other) in combinations(enumerate(holes), 2):
        if (
            min(one.left + one.width, other.left + other.width) - max(one.left, other.left) > _NEAR
            and min(one.bottom + one.height, other.bottom + other.height) - max(one.bottom, other.bottom) > _NEAR
        ):
            yield f"flaps.{j}", f"{other.code} and {one.code} lie over each other; move one of them"
