"""The measuring sheet: a picture and a box for every number taken at the car.

sheet_pdf       job -> PDF
sheet_blocks    its blocks
"""

from collections.abc import Iterator, Sequence

from shroudwright import __version__
from shroudwright.drawing.heights_picture import heights_picture
from shroudwright.drawing.sheet_picture import sheet_picture
from shroudwright.drawing.svg import svg
from shroudwright.job.model import Job
from shroudwright.job.quantity import PRINTED, Reading, says_how
from shroudwright.job.sheet import Box, boxes_of, holds, word
from shroudwright.job.template import unit_of
from shroudwright.packet.blocks import Block, cards, form, heading, picture, small_heading, words
from shroudwright.packet.pdf import papers_pdf

_PICTURE = 0.182, 0.098
_HEIGHTS = 0.182, 0.031
_COOLANT = "Hoses, tank and vents"
"""A group of single boxes with a picture of its own"""
_MOST_ACROSS = 9
_FEW = 3
_SHORT = {"catalogue": "cat.", "measured": "in hand"}
_LENGTHS = {"in": "inches", "mm": "millimetres"}
Named = Sequence[str]


def sheet_pdf(job: Job, wanted: Named) -> bytes:
    """Return a job's measuring sheet.

    Parameters
    ----------
    job : Job
        As read.
    wanted : sequence of str
        Fields to be measured before metal is cut; their boxes carry a star.

    Returns
    -------
    bytes
        A PDF on letter or A4, by the job's units.
    """
    mark = f"shroudwright {__version__}, job {job.job_sha256[:12]}"
    name = job.name or job.file_name
    return papers_pdf(sheet_blocks(job, wanted), name, title="measuring sheet", mark=mark, units=job.units or "in")


def sheet_blocks(job: Job, wanted: Named) -> list[Block]:
    """Return the sheet's blocks, group by group in the order of the job; see `sheet_pdf`."""
    drawn = sheet_picture(job, wanted)
    blocks = [
        heading("Measuring sheet"),
        words(
            "Measured by ______________________   on ______________   Engine cold, key out, battery negative off: a "
            "fan can start by itself. Never open a hot cap. On stands before going under. A star: needed in hand "
            "before metal is cut. Small print: what the job says now and how it is known. Leave blank what you did not "
            f"measure. A number without a unit is in that of its box, a length in {_LENGTHS[job.units or 'in']}.",
            8,
        ),
        picture(svg(drawn, *_PICTURE), drawn.description),
    ]
    boxes = boxes_of(job)
    single: list[dict[str, str]] = []
    for group in dict.fromkeys(box.row.group for box in boxes):
        inside = [box for box in boxes if box.row.group == group]
        if group == _COOLANT:
            blocks += [*_single(single), *_coolant(job, inside, wanted)]
            single = []
            continue
        if not inside[0].row.list_name:
            single += [_card(job, box, wanted) for box in inside]
            continue
        blocks += _single(single)
        single = []
        blocks += [small_heading(group), _grid(job, inside, wanted)]
    return [*blocks, *_single(single)]


def _single(found: list[dict[str, str]]) -> Iterator[Block]:
    if found:
        yield cards(found)


def _coolant(job: Job, boxes: Sequence[Box], wanted: Named) -> list[Block]:
    drawn = heights_picture({box.place: _no(box, wanted) for box in boxes})
    return [
        small_heading(f"{_COOLANT}: engine cold, system open; heights all from one level, such as the floor"),
        picture(svg(drawn, *_HEIGHTS), drawn.description),
        cards([_card(job, box, wanted) for box in boxes], across=6),
    ]


def _card(job: Job, box: Box, wanted: Named) -> dict[str, str]:
    row, units = box.row, job.units or "in"
    return {
        "no": _no(box, wanted),
        "head": row.head,
        "says": "; ".join(part for part in (row.says, _choices(box), _tool(box, units)) if part),
        "now": _now(job, box),
        "unit": unit_of(row.kind, units).replace("per_inch", "per in").replace("deg", "°"),
    }


def _choices(box: Box) -> str:
    """The words to choose from; how is said by them, so no tool."""
    return " / ".join(word(choice) for choice in box.row.choices)


def _no(box: Box, wanted: Named) -> str:
    return box.name + ("*" if box.place in wanted else "")


def _tool(box: Box, units: str) -> str:
    if box.row.choices:
        return ""
    within = box.row.within_in if units == "in" else box.row.within_mm
    return f"{box.row.tool}, {within}" if within else box.row.tool


def _now(job: Job, box: Box) -> str:
    held = holds(job, box)
    if isinstance(held, Reading):
        typed = held.typed.rpartition(",")[0] if says_how(held.typed) else held.typed
        return f"{typed}, {_SHORT.get(held.standing, PRINTED[held.standing])}"
    return word(held) or box.proposed


def _grid(job: Job, boxes: Sequence[Box], wanted: Named) -> Block:
    """A group of one list: an item a row, or a column where there are more items than fields."""
    units = job.units or "in"
    numbers = list(dict.fromkeys(box.row.number for box in boxes))
    letters = list(dict.fromkeys(box.letter for box in boxes))
    at = {(box.row.number, box.letter): box for box in boxes}
    fields = [next(box for box in boxes if box.row.number == number) for number in numbers]

    def cell(number: int, letter: str) -> str:
        box = at[number, letter]
        star = "* " if box.place in wanted else ""
        return star + _now(job, box)

    if len(numbers) < len(letters) <= _MOST_ACROSS:
        heads = [(f"{letter} {_item(job, boxes, letter)}", "") for letter in letters]
        rows = [
            (_said(f"{box.row.number} {box.row.head}", _tool(box, units)), *(cell(box.row.number, x) for x in letters))
            for box in fields
        ]
        return form(heads, rows)
    heads = [(f"{box.row.number} {box.row.head}", _under(box, units)) for box in fields]
    rows = [
        (f"{letter} {_item(job, boxes, letter)}", *(cell(number, letter) for number in numbers)) for letter in letters
    ]
    return form(heads, rows)


def _under(box: Box, units: str) -> str:
    """The line under a column's head: its few choices, or what it is taken with."""
    return (len(box.row.choices) <= _FEW and _choices(box)) or _tool(box, units)


def _said(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _item(job: Job, boxes: Sequence[Box], letter: str) -> str:
    """An item's own name, where it has one."""
    box = next(box for box in boxes if box.letter == letter)
    section, index, *_ = box.place.split(".")
    held = getattr(job, section)
    if not isinstance(held, tuple) or int(index) >= len(held):
        return ""
    return str(getattr(held[int(index)], "code", "") or getattr(held[int(index)], "name", "") or "")
