"""The parts shelf as a page, and its JSON twin."""

import datetime
from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, File, Form, HTTPException, Request, Response, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse
from pydantic import BaseModel, Field

from shroudwright.bench.errors import InputError
from shroudwright.choose.put import put_one
from shroudwright.doors.web.counter import Counter, Saved, counter
from shroudwright.doors.web.setting import shown
from shroudwright.doors.web.shelf import (
    Badge,
    about,
    badge_of,
    kept_shelf,
    rows_of,
    shipped_text,
    text_of,
    units_of,
    with_row,
    without_row,
)
from shroudwright.job.files import parse_job
from shroudwright.job.model import Job
from shroudwright.job.shelf import COLUMNS, parse_shelf

router = APIRouter()
Asked = Annotated[Counter, Depends(counter)]
_FILE = "parts-shelf.csv"
_NAME = "Parts shelf"
_GOES = ("fits", "turned", "unknown", "thick", "big", "")


class FanView(BaseModel):
    """One fan of the shelf."""

    row: int
    typed: dict[str, str]
    badge: str = Field(description="fits, turned, big, thick or unknown; nothing where no job is named")
    says: str
    about: str = Field(description="its size, air, amps, noise and price in a line")


class ShelfView(BaseModel):
    """The parts shelf."""

    mark: str = Field(description="of the revision; nothing while it is the one that is shipped")
    is_own: bool
    units: dict[str, str]
    fans: list[FanView]
    faults: list[str]
    job: int | None
    job_name: str
    can_undo: bool
    can_redo: bool


class Typed(BaseModel):
    """A fan as typed, or one to take off."""

    began: str = Field(default="", max_length=100, description="mark of the revision that was looked at")
    row: int | None = Field(default=None, description="which fan; nothing adds one")
    values: dict[str, str] | None = Field(default=None, max_length=60, description="by column; nothing takes it off")
    who: str = Field(default="", max_length=60)


class Put(BaseModel):
    """A fan to put on."""

    began: str = Field(description="mark of the revision that was looked at", max_length=100)
    code: str = Field(max_length=60)
    who: str = Field(default="", max_length=60)


@router.get("/api/shelf")
async def shelf(asked: Asked, job: int | None = None) -> ShelfView:
    """Return the parts shelf, and how each fan would go on a job."""
    asked.take_shelf()
    own = kept_shelf(asked.shop)
    text, _ = text_of(asked.shop)
    told = None if job is None else _job(asked, job)
    fans: list[FanView] = []
    faults: list[str] = []
    try:
        items = parse_shelf(text, _FILE)
        for typed, item in zip(rows_of(text), items, strict=True):
            badge = Badge("unknown", "") if told is None else badge_of(item, told)
            row = int(typed.pop("row"))
            state = "" if told is None else badge.state
            fans.append(FanView(row=row, typed=typed, badge=state, says=badge.says, about=about(item)))
    except InputError as error:
        faults = list(error.faults)
    return ShelfView(
        mark="" if own is None else own.mark,
        is_own=own is not None,
        units=units_of(text) if not faults else {},
        fans=fans,
        faults=faults,
        job=job,
        job_name="" if job is None else asked.name_of(job),
        can_undo=own is not None and own.undo_to is not None,
        can_redo=own is not None and own.redo_to is not None,
    )


async def drawer(asked: Counter, job: int) -> list[FanView]:
    """Return the shelf's fans, those that go on a job's core first."""
    return sorted((await shelf(asked, job)).fans, key=lambda fan: _GOES.index(fan.badge))


@router.post("/api/jobs/{file}/shelf/put")
async def put(asked: Asked, file: int, body: Put) -> Saved:
    """Put one more fan off the shelf into a job, where it has most room."""
    text, name = text_of(asked.shop)
    item = next((item for item in parse_shelf(text, name) if item.code == body.code), None)
    if item is None:
        raise InputError([f"{body.code[:40]}: there is no such fan on the shelf now"])
    today = datetime.date.today()
    why = f"{item.code} put on"
    return asked.act(file, body.began, body.who, why, lambda job: put_one(job, item, today, f"job {file}"))


@router.post("/api/shelf/fan")
async def fan(asked: Asked, body: Typed) -> ShelfView:
    """Type a fan anew, add one, or take one off."""
    _act(asked, body.began, body.who, _edit(body.values, body.row), _why(body.values, body.row))
    return await shelf(asked)


@router.get("/shelf", include_in_schema=False)
async def page(request: Request, asked: Asked, job: int | None = None) -> HTMLResponse:
    """Show the parts shelf."""
    return shown(request, "shelf.html", view=await shelf(asked, job), columns=COLUMNS)


@router.get("/shelf.csv", include_in_schema=False)
async def export(asked: Asked) -> Response:
    """Hand the shelf out as it stands."""
    headers = {"content-disposition": f'attachment; filename="{_FILE}"'}
    return Response(text_of(asked.shop)[0], media_type="text/csv", headers=headers)


@router.get("/shelf/fan", include_in_schema=False)
async def ask_fan(request: Request, asked: Asked, row: int | None = None, job: int | None = None) -> HTMLResponse:
    """Ask for one fan's numbers."""
    view = await shelf(asked, job)
    if row is not None and not 0 <= row < len(view.fans):
        raise HTTPException(404, f"there is no fan {row + 1} on the shelf")
    typed = {} if row is None else view.fans[row].typed
    return _form(request, view, row, typed)


@router.post("/shelf/fan", include_in_schema=False)
async def type_fan(request: Request, asked: Asked) -> Response:
    """Take what was typed for one fan."""
    sent = {key: str(value) for key, value in (await request.form()).items()}
    row = int(sent["row"]) if sent.get("row", "").isdigit() else None
    job = int(sent["job"]) if sent.get("job", "").isdigit() else None
    values = None if sent.get("how") == "remove" else sent
    try:
        _act(asked, sent.get("began", ""), "", _edit(values, row), _why(values, row))
    except InputError as error:
        view = await shelf(asked, job)
        return _form(request, view, row, sent, [fault.removeprefix("shelf ") for fault in error.faults])
    return _back(job)


@router.post("/shelf/import", include_in_schema=False)
async def import_shelf(
    request: Request, asked: Asked, file: Annotated[UploadFile, File()], job: Annotated[str, Form()] = ""
) -> Response:
    """Bring a shelf in from a CSV, whole and without a fault, or not at all."""
    text, name = await file.read(), (file.filename or _FILE)[:80]
    number = int(job) if job.isdigit() else None
    try:
        parse_shelf(text, name)
    except InputError as error:
        view = (await shelf(asked, number)).model_copy(update={"faults": list(error.faults)})
        return shown(request, "shelf.html", 422, view=view, columns=COLUMNS)
    own = kept_shelf(asked.shop)
    if own is None:
        asked.shop.create(_NAME, text, what="shelf", why=name, kind="imported")
    else:
        asked.shop.save(own.file, text, began=own.mark, why=f"{name} brought in")
    return _back(number)


@router.post("/shelf/{what}", include_in_schema=False)
async def step(asked: Asked, what: str, job: Annotated[str, Form()] = "") -> Response:
    """Undo or redo on the shelf."""
    own = kept_shelf(asked.shop)
    if own is None or what not in ("undo", "redo"):
        raise HTTPException(404, "there is nothing to undo")
    (asked.shop.undo if what == "undo" else asked.shop.redo)(own.file, began=own.mark)
    return _back(int(job) if job.isdigit() else None)


def _job(asked: Counter, file: int) -> Job | None:
    try:
        return parse_job(asked.opened(file).text, f"job {file}")
    except InputError:
        return None


def _edit(values: dict[str, str] | None, row: int | None) -> Callable[[bytes], bytes]:
    def edit(text: bytes) -> bytes:
        if values is not None:
            return with_row(text, values, row)
        if row is None:
            raise InputError(["say which fan to take off"])
        return without_row(text, row)

    return edit


def _why(values: dict[str, str] | None, row: int | None) -> str:
    if values is None:
        return f"fan {(row or 0) + 1} taken off"
    return f"{values.get('code', 'a fan')[:40]} {'added' if row is None else 'typed anew'}"


def _act(asked: Counter, began: str, who: str, edit: Callable[[bytes], bytes], why: str) -> None:
    own = kept_shelf(asked.shop)
    if own is None:
        asked.shop.create(_NAME, edit(shipped_text()), what="shelf", who=who, why=why)
        return
    asked.shop.save(own.file, edit(own.text), began=began or own.mark, who=who, why=why)


def _form(
    request: Request, view: ShelfView, row: int | None, typed: dict[str, Any], faults: list[str] | None = None
) -> HTMLResponse:
    words: dict[str, Any] = {"view": view, "row": row, "typed": typed, "faults": faults or (), "columns": COLUMNS}
    return shown(request, "shelf_fan.html", 422 if faults else 200, **words)


def _back(job: int | None) -> RedirectResponse:
    return RedirectResponse("/shelf" if job is None else f"/shelf?job={job}", 303)
