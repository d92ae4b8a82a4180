"""What a page says, as plain data: the page is set from it, and its JSON twin is it.

PageView   one page of a job
view_of    a job's revision, a page and its answer -> PageView
"""

from collections.abc import Sequence
from typing import Any

from pydantic import BaseModel, Field

from shroudwright.bench.errors import InputError
from shroudwright.doors.web.forms import Box, Group, groups_of
from shroudwright.doors.web.mending import Mend, field_mend, mend_of
from shroudwright.doors.web.sheets import SHEETS, Sheet
from shroudwright.doors.web.taping import Spot, spots_of
from shroudwright.doors.web.work import Answered
from shroudwright.job.files import parse_job
from shroudwright.job.model import Job, has_belt_fan
from shroudwright.shop.rows import Revision

_DRAWN = ("fans", "control")
"""Pages whose first picture the browser draws; theirs of the packet all stand further down."""


class Lead(BaseModel):
    """The one number a page leads with."""

    number: str
    band: str
    sentence: str


class Picture(BaseModel):
    """One picture of a page."""

    address: str
    says: str


class FindingView(BaseModel):
    """What is wrong, and where it is mended."""

    code: str
    level: str
    says: str
    because: str
    remedy: str
    place: str
    page: str
    accepted: dict[str, str] | None = Field(description="reason, who and date")
    mend: Mend | None = Field(description="the box it is about: page, anchor, words")


class PageView(BaseModel):
    """One page of a job."""

    file: int
    name: str
    n: int
    mark: str
    can_undo: bool
    can_redo: bool
    page: str
    title: str
    first: str
    units: str
    faults: list[str]
    ready: bool
    """Whether the answer is in; the rest is then there."""
    has_fan: bool
    """Whether any fan draws through the core, an engine's too."""
    lead: Lead | None
    picture: Picture | None
    blocks: list[dict[str, Any]]
    findings: list[FindingView]
    planning: dict[str, Any] = Field(description="fixes, the plan, what to measure next; on the Heat page alone")
    options: list[dict[str, Any]] = Field(description="ways side by side; on the Cost page alone")
    has_sets: bool = Field(description="whether sets of the last search stand among them")
    groups: list[dict[str, Any]]
    tape: list[Spot]
    """Numbers typed on the core's picture."""


def view_of(
    kept: Revision,
    name: str,
    sheet: Sheet,
    answered: Answered | None,
    *,
    asks: bool = True,
    sets: Sequence[dict[str, Any]] = (),
) -> PageView:
    """Return what a page says.

    Parameters
    ----------
    kept : Revision
        The job as it stands.
    name : str
        What the shop calls it.
    sheet : Sheet
        Which page.
    answered : Answered or None
        Its answer; None while that is being worked out.
    asks : bool
        Whether the boxes to type in are wanted.
    sets : sequence of dict
        Sets of the last search, as rows of options.

    Returns
    -------
    PageView
    """
    faults: list[str] = []
    groups: list[Group] = []
    units, job = "in", None
    try:
        job = parse_job(kept.text, name)
        units = job.units or "in"
        groups = groups_of(job, sheet.asks) if asks else []
    except InputError as error:
        faults = list(error.faults)
    if answered is not None and not faults:
        faults = list(answered.faults)
    ready = answered is not None and not faults
    blocks = _blocks(answered, sheet, kept) if ready and answered else []
    pictures = (block for block in blocks if "address" in block)
    first = None if sheet.slug in _DRAWN else next(pictures, None)
    lead = answered.leads.get(sheet.slug) if ready and answered else None
    return PageView(
        file=kept.file,
        name=name,
        n=kept.n,
        mark=kept.mark,
        can_undo=kept.undo_to is not None,
        can_redo=kept.redo_to is not None,
        page=sheet.slug,
        title=sheet.title,
        first=sheet.first,
        units=units,
        faults=faults,
        ready=ready,
        has_fan=job is None or bool(job.fans) or has_belt_fan(job),
        lead=None if lead is None else Lead(number=lead[0], band=lead[1], sentence=lead[2]),
        picture=None if first is None else Picture(address=first["address"], says=first["alt"]),
        blocks=[block for block in blocks if block is not first],
        findings=_findings(answered, sheet, job) if ready and answered and job else [],
        planning=_planning(answered, job) if sheet.slug == "heat" and ready and answered and job else {},
        options=[*answered.options, *sets] if sheet.slug == "cost" and ready and answered else [],
        has_sets=bool(sets),
        groups=[_plain(group) for group in groups],
        tape=spots_of(job, groups) if sheet.slug == "core" and asks and job else [],
    )


def _planning(answered: Answered, job: Job) -> dict[str, Any]:
    following = [
        {**reading, "mend": field_mend(reading["field"], reading["field"], job)}
        for reading in answered.planning["next"]
    ]
    return {**answered.planning, "next": following, "codes": [item.code for item in job.planned]}


def _plain(group: Group) -> dict[str, Any]:
    return group._asdict() | {"boxes": [_box(box) for box in group.boxes]}


def _box(box: Box) -> dict[str, Any]:
    return box._asdict()


def _blocks(answered: Answered, sheet: Sheet, kept: Revision) -> list[dict[str, Any]]:
    found = []
    for chapter in sheet.shows:
        for block in answered.chapters.get(chapter, ()):
            if chapter == "fixes" and "picture" not in block:
                continue  # said with what can be done about it, in `planning`
            if "picture" in block:
                address = f"/jobs/{kept.file}/{kept.n}/{block['picture']}.svg"
                found.append({**block, "address": address})
            elif block["kind"] != "page":
                found.append(block)
    return found


def _findings(answered: Answered, sheet: Sheet, job: Job) -> list[FindingView]:
    return [
        FindingView(
            **{key: finding[key] for key in ("code", "level", "says", "because", "remedy", "place", "accepted")},
            page=_page_of(finding["code"]),
            mend=mend_of(finding["code"], finding["place"], job),
        )
        for finding in answered.findings
        if finding["code"][:1] in sheet.codes or (not sheet.codes and finding["level"] in ("stop", "fix"))
    ]


def _page_of(code: str) -> str:
    return next((sheet.slug for sheet in SHEETS if code[:1] in sheet.codes), "vehicle")
