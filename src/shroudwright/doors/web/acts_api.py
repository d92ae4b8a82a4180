"""Acts on what an answer says: a finding accepted with its reason, a fix put into the plan, numbers measured in hand.

A form without a script does the same by the addresses without ``/api``.
"""

import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse
from pydantic import BaseModel, Field

from shroudwright.bench.errors import InputError
from shroudwright.doors.web import choose_api, shelf_pages
from shroudwright.doors.web.counter import Counter, Saved, counter, page
from shroudwright.job.edits import measured, with_item, without_item
from shroudwright.job.files import parse_job

router = APIRouter()
Asked = Annotated[Counter, Depends(counter)]


class Accept(BaseModel):
    """A finding to accept, or to take back."""

    began: str = Field(description="mark of the revision that was looked at", max_length=100)
    code: str = Field(max_length=10)
    place: str = Field(default="", max_length=200)
    reason: str = Field(default="", max_length=500, description="nothing takes the acceptance back")
    who: str = Field(default="", max_length=60)


class PlanIt(BaseModel):
    """A fix to plan, or to take out of the plan."""

    began: str = Field(description="mark of the revision that was looked at", max_length=100)
    code: str = Field(max_length=60)
    take: bool = Field(default=False, description="out of the plan instead of into it")
    who: str = Field(default="", max_length=60)


class Measured(BaseModel):
    """Numbers to be taken as measured in hand."""

    began: str = Field(description="mark of the revision that was looked at", max_length=100)
    places: str = Field(description="of the numbers, such as core.width, with a space between them", max_length=4000)
    who: str = Field(default="", max_length=60)


@router.post("/api/jobs/{file}/measured")
async def in_hand(asked: Asked, file: int, body: Measured) -> Saved:
    """Say of numbers that they are measured in hand."""
    places = body.places.split()
    why = f"measured in hand: {', '.join(places[:3])}"
    return asked.act(file, body.began, body.who, why, lambda text: measured(text, places, f"job {file}"))


@router.post("/api/jobs/{file}/accept")
async def accept(asked: Asked, file: int, body: Accept) -> Saved:
    """Accept a finding with a reason, or take that back; a stop cannot be accepted."""
    name, place = f"job {file}", body.place or None

    def taken(text: bytes) -> bytes:
        kept = parse_job(text, name).accepted
        for at in reversed(
            [at for at, item in enumerate(kept) if item.code == body.code and item.place in (None, place)]
        ):
            text = without_item(text, "accepted", at, name)
        return text

    if not body.reason.strip():
        return asked.act(file, body.began, body.who, f"{body.code} no longer accepted", taken)
    found = asked.desk.found(asked.base(file, body.began).text)
    alike = [one for one in (found.findings if found else ()) if one["code"] == body.code]
    if any(one["level"] == "stop" and one["place"] == body.place for one in alike):
        raise InputError([f"{body.code} is a stop; a stop cannot be accepted away, only mended"])
    values = {"code": body.code, "reason": body.reason.strip(), "date": datetime.date.today().isoformat()}
    values |= {key: text for key, text in (("place", body.place), ("who", body.who.strip())) if text}
    return asked.act(
        file,
        body.began,
        body.who,
        f"{body.code} accepted",
        lambda text: with_item(taken(text), "accepted", values, name),
    )


@router.post("/api/jobs/{file}/plan")
async def plan(asked: Asked, file: int, body: PlanIt) -> Saved:
    """Put a fix into the plan, or take it out."""
    name = f"job {file}"

    def edit(text: bytes) -> bytes:
        planned = [item.code for item in parse_job(text, name).planned]
        if body.take:
            for at in reversed([at for at, code in enumerate(planned) if code == body.code]):
                text = without_item(text, "planned", at, name)
            return text
        if body.code in planned:
            return text
        who = {"who": body.who.strip()} if body.who.strip() else {}
        return with_item(text, "planned", {"code": body.code, **who}, name)

    return asked.act(file, body.began, body.who, f"{body.code} {'out of' if body.take else 'into'} the plan", edit)


@router.post("/jobs/{file}/{slug}/{what}", include_in_schema=False)
async def plainly(request: Request, asked: Asked, file: int, slug: str, what: str) -> RedirectResponse:
    """Do one of these, or put a set or a fan in, from a form without a script, and show the page again."""
    sent = {key: str(value) for key, value in (await request.form()).items() if value}
    if what == "accept":
        await accept(asked, file, Accept.model_validate(sent))
    elif what == "use":
        await choose_api.use(asked, file, choose_api.Use.model_validate(sent))
    elif what == "measured":
        await in_hand(asked, file, Measured.model_validate(sent))
    elif what == "put":
        await shelf_pages.put(asked, file, shelf_pages.Put.model_validate(sent))
    elif what == "plan":
        await plan(asked, file, PlanIt.model_validate(sent))
    else:
        raise InputError([f"{what[:40]}: there is no such act"])
    return RedirectResponse(f"/jobs/{file}/{page(slug).slug}", 303)
