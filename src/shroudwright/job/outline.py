"""The shroud's outline as a job gives it.

outlines_of     its inner outlines on the core
box_outline     that of one box of several
covered_share   share of the core inside them
outline_faults  what is wrong with the rows that give them
"""

import math
from collections.abc import Callable, Iterator
from functools import lru_cache

from shroudwright.bench.arcs import Outline, Vertex, moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.job.front import Shroud, ShroudBox
from shroudwright.job.quantity import Reading
from shroudwright.shroud.outline import Notch, area_over_core, inner_outlines

REACHES = ("reach_left", "reach_right", "reach_top", "reach_bottom")
_FARTHEST = 5.0
_MOST_BULGE = 10.0


def outlines_of(
    shroud: Shroud, value: Callable[[str], float], boxes: tuple[ShroudBox, ...] = ()
) -> tuple[Outline, ...]:
    """Lay a job's shroud on its core.

    Parameters
    ----------
    shroud : Shroud
        The job's section.
    value : callable
        A number of the job by its path, such as ``core.width``, in SI.
    boxes : tuple of ShroudBox
        Several boxes instead.

    Returns
    -------
    tuple of Outline
        One, or two where a divider parts them, left first; one for each box, in their order.
    """
    if boxes:
        return tuple(box_outline(one) for one in boxes)
    return _laid(
        value("core.width"),
        value("core.height"),
        tuple(value(f"shroud.{reach}") for reach in REACHES),
        tuple(Vertex(*(cell.value for cell in row)) for row in shroud.outline),
        tuple(_notches(shroud)),
        shroud.divider.value if shroud.divider else None,
    )


def box_outline(one: ShroudBox) -> Outline:
    """Return the inner outline of one of several boxes; nan where its row does not say a side, which is a fault."""
    left, bottom, width, height = (
        math.nan if side is None else side.value for side in (one.x, one.y, one.width, one.height)
    )
    return moved(rectangle(width, height), left, bottom)


@lru_cache(256)
def _laid(
    width: float,
    height: float,
    reaches: tuple[float, ...],
    outline: Outline,
    notches: tuple[Notch, ...],
    divider: float | None,
) -> tuple[Outline, ...]:
    return inner_outlines(
        width,
        height,
        **dict(zip(REACHES, reaches, strict=True)),
        outline=outline,
        notches=notches,
        divider=divider,
    )


def _notches(shroud: Shroud) -> Iterator[Notch]:
    for notch in shroud.notches:
        if notch.x and notch.y and notch.width and notch.height:
            yield notch.x.value, notch.y.value, notch.width.value, notch.height.value


def covered_share(shroud: Shroud, value: Callable[[str], float], boxes: tuple[ShroudBox, ...] = ()) -> float:
    """Share of the core's face inside the shroud, exact, [-]."""
    width, height = value("core.width"), value("core.height")
    parts = outlines_of(shroud, value, boxes)
    return math.fsum(area_over_core(part, width, height) for part in parts) / (width * height)


def outline_faults(shroud: Shroud, width: float, height: float) -> Iterator[tuple[str, str]]:
    """Yield the field and what is wrong with it, for a core of known size, m."""
    rows = list(_row_faults(shroud))
    yield from rows
    if rows:
        return
    typed: dict[str, Reading | None] = {f"shroud.{reach}": getattr(shroud, reach) for reach in REACHES}
    known = {path: reading.value if reading else 0.0 for path, reading in typed.items()}
    try:
        outlines_of(shroud, {**known, "core.width": width, "core.height": height}.__getitem__)
    except InputError as error:
        for fault in error.faults:
            field, _, text = fault.partition(": ")
            yield field, text


def _row_faults(shroud: Shroud) -> Iterator[tuple[str, str]]:
    reaches = [reach for reach in REACHES if (typed := getattr(shroud, reach)) and typed.value != 0.0]
    if shroud.outline and reaches:
        yield reaches[0], "typed beside an outline, which already says where the edge is; leave one of them out"
    for number, row in enumerate(shroud.outline, start=1):
        for cell in row[:2]:
            if abs(cell.value) > _FARTHEST:
                yield "outline", f"row {number}: {cell.typed} is more than 200 in from the core"
        if len(row) > 2 and abs(row[2].value) > _MOST_BULGE:
            yield "outline", f"row {number}: a bulge of {row[2].typed} is nearly a whole circle; half a circle is 1"
    for number, notch in enumerate(shroud.notches, start=1):
        missing = [name for name, reading in notch if reading is None]
        if missing:
            yield "notches", f"row {number} does not say its {', '.join(missing)}"
