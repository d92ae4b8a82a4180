"""The list of jobs, and what is done with a whole job: named, copied, put away and brought back, its history."""

import datetime
import tempfile
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from pydantic import BaseModel, Field

from shroudwright.doors.web.counter import Counter, counter
from shroudwright.doors.web.setting import shown
from shroudwright.doors.web.start import questions
from shroudwright.shop.backup import back_up
from shroudwright.shop.rows import Kept

router = APIRouter()
Asked = Annotated[Counter, Depends(counter)]
LONGEST_NAME = 80


class JobLine(BaseModel):
    """One job of the shop."""

    file: int
    name: str
    n: int = Field(description="its latest revision")
    at: datetime.datetime = Field(description="when that was saved, UTC")
    who: str


class JobsView(BaseModel):
    """The shop's jobs, the latest saved first."""

    jobs: list[JobLine]
    away: list[JobLine] = Field(description="put away; nothing is ever erased")


class EntryView(BaseModel):
    """One revision."""

    n: int
    at: datetime.datetime = Field(description="UTC")
    who: str
    kind: str
    why: str
    label: str = Field(description="the name somebody gave it")


class HistoryView(BaseModel):
    """Every revision of a job, the latest first."""

    file: int
    name: str
    n: int = Field(description="the revision that stands")
    mark: str = Field(description="of that revision")
    is_away: bool
    entries: list[EntryView]


class Named(BaseModel):
    """A name for a job, or for one revision of it."""

    name: str = Field(max_length=LONGEST_NAME)


class Away(BaseModel):
    """Whether a job is put away."""

    is_away: bool


@router.get("/api/jobs")
async def jobs(asked: Asked) -> JobsView:
    """List the jobs."""
    return JobsView(
        jobs=[_line(kept) for kept in asked.shop.files()],
        away=[_line(kept) for kept in asked.shop.files(deleted=True)],
    )


@router.get("/api/jobs/{file}/history")
async def history(asked: Asked, file: int) -> HistoryView:
    """List a job's revisions."""
    now = asked.opened(file)
    kept = asked.shop.kept(file)
    entries = [
        EntryView(n=one.n, at=one.at, who=one.who, kind=one.kind, why=one.why, label=one.label or "")
        for one in asked.shop.history(file)
    ]
    return HistoryView(
        file=file, name=kept.name, n=now.n, mark=now.mark, is_away=kept.deleted is not None, entries=entries
    )


@router.post("/api/jobs/{file}/rename")
async def rename(asked: Asked, file: int, body: Named) -> HistoryView:
    """Call a job something else in the list."""
    asked.opened(file)
    asked.shop.rename(file, body.name.strip())
    return await history(asked, file)


@router.post("/api/jobs/{file}/{n}/label")
async def label(asked: Asked, file: int, n: int, body: Named) -> HistoryView:
    """Name a revision, such as "as cut"; nothing takes its name away."""
    asked.opened(file)
    asked.shop.label(file, n, body.name.strip())
    return await history(asked, file)


@router.post("/api/jobs/{file}/away")
async def away(asked: Asked, file: int, body: Away) -> HistoryView:
    """Put a job away, or bring it back."""
    asked.opened(file)
    (asked.shop.delete if body.is_away else asked.shop.bring_back)(file)
    return await history(asked, file)


@router.get("/", include_in_schema=False)
async def first_page(request: Request, asked: Asked) -> HTMLResponse:
    """List the jobs, and begin one."""
    return shown(request, "jobs.html", view=await jobs(asked), questions=questions())


@router.get("/jobs/{file}/history", include_in_schema=False)
async def history_page(request: Request, asked: Asked, file: int) -> HTMLResponse:
    """Show every revision."""
    return shown(request, "history.html", view=await history(asked, file))


@router.post("/jobs/{file}/history/rename", include_in_schema=False)
async def rename_plainly(asked: Asked, file: int, name: Annotated[str, Form()] = "") -> RedirectResponse:
    """Take a job's new name from a form."""
    await rename(asked, file, Named(name=name[:LONGEST_NAME]))
    return _back(file)


@router.post("/jobs/{file}/history/{n}", include_in_schema=False)
async def label_plainly(asked: Asked, file: int, n: int, name: Annotated[str, Form()] = "") -> RedirectResponse:
    """Take a revision's name from a form."""
    await label(asked, file, n, Named(name=name[:LONGEST_NAME]))
    return _back(file)


@router.post("/jobs/{file}/away", include_in_schema=False)
async def away_plainly(asked: Asked, file: int, back: Annotated[str, Form()] = "") -> RedirectResponse:
    """Put a job away or bring it back, and show the list."""
    await away(asked, file, Away(is_away=not back))
    return RedirectResponse("/", 303)


@router.post("/jobs/{file}/copy", include_in_schema=False)
async def copy(asked: Asked, file: int) -> RedirectResponse:
    """Begin a job from another."""
    kept = asked.shop.copy(file, f"{asked.name_of(file)[: LONGEST_NAME - 8]}, a copy")
    return RedirectResponse(f"/jobs/{kept.file}/vehicle", 303)


@router.get("/backup", include_in_schema=False)
async def backup(asked: Asked) -> Response:
    """Hand out a copy of the whole shop, of one moment."""
    with tempfile.TemporaryDirectory() as folder:
        path = back_up(asked.shop, folder)
        headers = {"content-disposition": f'attachment; filename="{path.name}"'}
        return Response(path.read_bytes(), media_type="application/octet-stream", headers=headers)


def _line(kept: Kept) -> JobLine:
    return JobLine(file=kept.file, name=kept.name, n=kept.n, at=kept.at, who=kept.who)


def _back(file: int) -> RedirectResponse:
    return RedirectResponse(f"/jobs/{file}/history", 303)
