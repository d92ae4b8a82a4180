"""Choosing fans from the pages: a search that tells how far it is, its cards, and a set put into the job."""

import json
from collections.abc import AsyncIterator
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse, StreamingResponse
from pydantic import BaseModel, Field

from shroudwright.bench.errors import InputError
from shroudwright.doors.web import searches, shelf
from shroudwright.doors.web.counter import Counter, Saved, counter
from shroudwright.doors.web.lettering import lettered
from shroudwright.doors.web.pictures import PICTURE_HEADERS
from shroudwright.doors.web.setting import shown

router = APIRouter()
Asked = Annotated[Counter, Depends(counter)]
_SIDE_BY_SIDE = 5
_REMEMBERED = 90 * 86400
"""How long a browser remembers that a job was searched for, [s]"""


class Found(BaseModel):
    """What the last search of a job found."""

    n: int = Field(description="revision of the job it was made for")
    is_of_now: bool = Field(description="whether the job still stands so")
    search: str = Field(description="goes back with a set that is put in")
    told: dict[str, Any] = Field(description="cards in words")
    answer: dict[str, Any] = Field(description="the whole of it, SI")


class Use(BaseModel):
    """Which set to put into the job."""

    began: str = Field(description="mark of the revision that was looked at", max_length=100)
    search: str = Field(max_length=100)
    rank: int = Field(ge=1, le=1000)
    who: str = Field(default="", max_length=60)


def view_of(asked: Counter, file: int) -> dict[str, Any] | None:
    """Return the cards of a job's last search, as the page sets them; None where none is kept."""
    kept = asked.searches.kept(file)
    if kept is None:
        return None
    now = asked.opened(file)
    return {
        **kept.told,
        "n": kept.asked.n,
        "is_of_now": kept.asked.n == now.n,
        "search": kept.mark,
        "file": file,
        "mark": now.mark,
    }


def with_cards(request: Request, asked: Counter, file: int, template: str, **words: Any) -> HTMLResponse:
    """Set a page that shows the cards of a job's last search, or says that they are gone.

    Searches are kept while the server runs; the browser remembers, by a cookie, that it has seen one.

    Parameters
    ----------
    request : Request
        That asked for it.
    asked : Counter
        What every route asks.
    file : int
        The job.
    template : str
        Its name.
    **words : object
        What else it says.

    Returns
    -------
    HTMLResponse
    """
    name, choice = f"searched-{file}", view_of(asked, file)
    seen = None if choice else request.cookies.get(name)
    answer = shown(request, template, choice=choice, gone=asked.shop.marked(file, seen) if seen else None, **words)
    if choice:
        mark = asked.shop.revision(file, choice["n"]).mark
        answer.set_cookie(name, mark, _REMEMBERED, path=f"/jobs/{file}", httponly=True, samesite="strict")
    return answer


def options_of(asked: Counter, file: int) -> list[dict[str, Any]]:
    """Return the leading sets of a job's last search as rows of options; none where none is kept."""
    kept = asked.searches.kept(file)
    if kept is None or not kept.told["cards"]:
        return []
    rows = []
    for card in kept.told["cards"][:_SIDE_BY_SIDE]:
        said = dict(card["rows"])
        rows.append(
            {
                "option": card["name"],
                "chance": card["chance"],
                "price": said["fans cost"],
                "amps": f"{said['amps, at 14.4 V'].split(', ')[0]}",
                "noise": said["noise at 1 m"],
                "says": "; ".join(card["gives_up"]),
            }
        )
    return [{"title": f"Fans from the search on revision {kept.asked.n}; the price is of the fans alone", "rows": rows}]


@router.get("/api/jobs/{file}/choose")
async def found(asked: Asked, file: int) -> Found:
    """Return what the last search found."""
    kept, now = asked.searches.kept(file), asked.opened(file)
    if kept is None:
        raise HTTPException(404, "no search of this job is kept; start one")
    told, answer = kept.told, json.loads(kept.answer)
    return Found(n=kept.asked.n, is_of_now=kept.asked.n == now.n, search=kept.mark, told=told, answer=answer)


@router.post("/api/jobs/{file}/choose")
async def choose(request: Request, asked: Asked, file: int) -> Found:
    """Search, and return what was found; going away calls it off."""
    async for what, told in asked.searches.run(_asked(asked, file), request.is_disconnected):
        if what == "refused":
            raise InputError(told["faults"])
    return await found(asked, file)


@router.post("/api/jobs/{file}/choose/events")
async def events(request: Request, asked: Asked, file: int) -> StreamingResponse:
    """Search, and tell how far it is by server-sent events; going away calls it off."""
    stream = asked.searches.run(_asked(asked, file), request.is_disconnected)
    first = await anext(stream)
    headers = {"cache-control": "no-store", "x-accel-buffering": "no"}
    return StreamingResponse(_sent(first, stream), media_type="text/event-stream", headers=headers)


@router.post("/api/jobs/{file}/choose/cancel")
async def cancel(asked: Asked, file: int) -> dict[str, bool]:
    """Call a job's search off."""
    return {"called_off": asked.searches.call_off(file)}


@router.post("/api/jobs/{file}/choose/use")
async def use(asked: Asked, file: int, body: Use) -> Saved:
    """Put one set into the job, as one act."""
    base, kept = asked.base(file, body.began), asked.searches.kept(file)
    if kept is None or kept.mark != body.search:
        raise InputError(["that search is no longer kept; press Choose fans to run it again, then pick its card"])
    name = next((card["name"] for card in kept.told["cards"] if card["rank"] == body.rank), None)
    if name is None:
        raise InputError([f"no set of rank {body.rank} was laid out"])
    shelf_text, shelf_name = kept.asked.shelf, kept.asked.shelf_name
    mine = await asked.desk.live("choosing", "use", base.text, kept.answer, body.rank, shelf_text, shelf_name)
    return asked.keep(file, base, mine, body.who, f"{name} put in")


@router.post("/jobs/{file}/choose", include_in_schema=False)
async def choose_plainly(request: Request, asked: Asked, file: int) -> RedirectResponse:
    """Search without a script: the page comes back with what was found."""
    await choose(request, asked, file)
    return RedirectResponse(f"/jobs/{file}/fans#choose", 303)


@router.get("/jobs/{file}/choose/cards", include_in_schema=False)
async def cards(request: Request, asked: Asked, file: int) -> HTMLResponse:
    """Return the cards as a part of the page."""
    return with_cards(request, asked, file, "cards.html")


@router.get("/jobs/{file}/choose/{search}/{k}.svg", include_in_schema=False)
async def picture(asked: Asked, file: int, search: str, k: int) -> Response:
    """Return the picture of a card."""
    kept = asked.searches.kept(file)
    if kept is None or kept.mark != search or not 0 <= k < len(kept.pictures):
        raise HTTPException(404, "this picture is no longer kept; choose again")
    return Response(lettered(kept.pictures[k]), media_type="image/svg+xml", headers=PICTURE_HEADERS)


def _asked(asked: Counter, file: int) -> searches.Asked:
    now = asked.opened(file)
    text, name = shelf.text_of(asked.shop)
    return searches.Asked(file, now.n, now.text, text, name)


async def _sent(first: searches.Event, stream: AsyncIterator[searches.Event]) -> AsyncIterator[str]:
    yield _line(first)
    async for event in stream:
        yield _line(event)


def _line(event: searches.Event) -> str:
    return f"event: {event[0]}\ndata: {json.dumps(event[1])}\n\n"
