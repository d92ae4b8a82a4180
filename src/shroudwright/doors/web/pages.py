"""The pages of a job, and its files."""

import asyncio
import secrets
from typing import Annotated

from fastapi import APIRouter, Depends, File, Form, HTTPException, Request, Response, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse

from shroudwright.bench.errors import InputError
from shroudwright.doors.web import choose_api, keeping
from shroudwright.doors.web.counter import Counter, counter, page
from shroudwright.doors.web.guard import COOKIE
from shroudwright.doors.web.keeping import LONGEST_NAME
from shroudwright.doors.web.lettering import lettered
from shroudwright.doors.web.pictures import PICTURE_HEADERS
from shroudwright.doors.web.setting import shown
from shroudwright.doors.web.shelf_pages import drawer
from shroudwright.doors.web.start import demo_text, from_answers, questions
from shroudwright.doors.web.taping import picture_of, places_css
from shroudwright.doors.web.views import view_of
from shroudwright.job.files import parse_job

router = APIRouter(include_in_schema=False)
Asked = Annotated[Counter, Depends(counter)]


def _download(name: str) -> dict[str, str]:
    return {"content-disposition": f'attachment; filename="{name}"'}


@router.post("/jobs")
async def start(request: Request, asked: Asked, how: Annotated[str, Form()]) -> Response:
    """Begin a job from the demo or from six answers."""
    typed = {key: str(value) for key, value in (await request.form()).items()}
    try:
        name, text = demo_text() if how == "demo" else from_answers(typed)
    except InputError as error:
        view = await keeping.jobs(asked)
        return shown(request, "jobs.html", 422, view=view, questions=questions(), faults=error.faults, typed=typed)
    return RedirectResponse(f"/jobs/{asked.shop.create(name, text).file}/vehicle", 303)


@router.post("/jobs/import")
async def import_job(asked: Asked, file: Annotated[UploadFile, File()]) -> Response:
    """Bring a job file in, byte for byte."""
    name = (file.filename or "job").removesuffix(".toml").removesuffix(".job")[:LONGEST_NAME] or "job"
    kept = asked.shop.create(name, await file.read(), kind="imported")
    return RedirectResponse(f"/jobs/{kept.file}/vehicle", 303)


@router.get("/jobs/{file}")
async def open_job(asked: Asked, file: int) -> RedirectResponse:
    """Go to a job's first page."""
    return RedirectResponse(f"/jobs/{asked.opened(file).file}/vehicle")


@router.get("/jobs/{file}/job.toml")
async def export(asked: Asked, file: int) -> Response:
    """Hand a job out, byte for byte."""
    return Response(asked.opened(file).text, media_type="application/toml", headers=_download(f"job-{file}.job.toml"))


@router.get("/jobs/{file}/packet.zip")
async def packet(asked: Asked, file: int) -> Response:
    """Hand the packet out in one file."""
    made = await asked.desk.packet(asked.opened(file).text, f"job-{file}.job.toml")
    return Response(made.whole, media_type="application/zip", headers=_download(f"packet-{file}.zip"))


@router.get("/jobs/{file}/packet.pdf")
async def packet_pdf(asked: Asked, file: int) -> Response:
    """Show the packet's papers."""
    made = await asked.desk.packet(asked.opened(file).text, f"job-{file}.job.toml")
    return Response(made.pdf, media_type="application/pdf", headers={"content-disposition": "inline"})


@router.get("/jobs/{file}/packet/looks")
async def looks(request: Request, asked: Asked, file: int) -> HTMLResponse:
    """Return the pages of the packet as small pictures, a part of the page; they are made when they are first asked."""
    kept = asked.opened(file)
    made = await asked.desk.packet(kept.text, f"job-{file}.job.toml")
    return shown(request, "looks.html", file=file, n=kept.n, made=made)


@router.get("/jobs/{file}/{n}/page-{k}.png")
async def look(asked: Asked, file: int, n: int, k: int) -> Response:
    """Return one page of a revision's packet as a small picture."""
    made = asked.desk.packed(asked.shop.revision(file, n).text, f"job-{file}.job.toml")
    if made is None or not 0 <= k < len(made.looks):
        raise HTTPException(404, "this page is no longer kept; open the packet again")
    return Response(made.looks[k], media_type="image/png", headers=PICTURE_HEADERS)


@router.get("/jobs/{file}/{n}/tape.svg")
async def taped(asked: Asked, file: int, n: int) -> Response:
    """Return the picture of the core that numbers are typed on."""
    drawn = picture_of(parse_job(asked.shop.revision(file, n).text, f"job {file}"))
    if not drawn:
        raise HTTPException(404, "this core has no width and height yet")
    return Response(lettered(drawn), media_type="image/svg+xml", headers=PICTURE_HEADERS)


@router.get("/jobs/{file}/{n}/tape.css")
async def tape_places(asked: Asked, file: int, n: int) -> Response:
    """Return where its numbers stand."""
    rules = places_css(parse_job(asked.shop.revision(file, n).text, f"job {file}"))
    return Response(rules, media_type="text/css", headers={"cache-control": "private, max-age=3600"})


@router.get("/demo.svg")
async def demo_plan(asked: Asked) -> Response:
    """Return the demo in one small picture."""
    return await _plan(asked, demo_text()[1])


@router.get("/jobs/{file}/{n}/plan.svg")
async def plan(asked: Asked, file: int, n: int) -> Response:
    """Return a revision in one small picture."""
    return await _plan(asked, asked.shop.revision(file, n).text)


async def _plan(asked: Counter, text: bytes) -> Response:
    drawn = await asked.desk.live("small", "plan", text, "job")
    if not drawn:
        raise HTTPException(404, "this job has no core to draw yet")
    return Response(lettered(drawn), media_type="image/svg+xml", headers=PICTURE_HEADERS)


@router.get("/jobs/{file}/{n}/shroud.html")
async def solid(asked: Asked, file: int, n: int) -> Response:
    """Return the folded shroud as a page of its own that turns it, for a frame it cannot reach out of."""
    whole = await asked.desk.folded("solid", asked.shop.revision(file, n).text, f"job {file}")
    if not whole:
        raise HTTPException(404, "this job has no shroud")
    headers = {"content-security-policy": "sandbox allow-scripts; frame-ancestors 'self'"}
    return Response(whole, media_type="text/html", headers=headers | {"cache-control": "private, max-age=3600"})


@router.get("/jobs/{file}/{n}/shroud.svg")
async def still(asked: Asked, file: int, n: int) -> Response:
    """Return a still picture of the folded shroud."""
    whole = await asked.desk.folded("still", asked.shop.revision(file, n).text, f"job {file}")
    if not whole:
        raise HTTPException(404, "this job has no shroud")
    return Response(whole, media_type="image/svg+xml", headers=PICTURE_HEADERS)


@router.get("/jobs/{file}/{n}/{k}.svg")
async def picture(asked: Asked, file: int, n: int, k: int) -> Response:
    """Return one picture of a revision's answer."""
    found = asked.desk.found(asked.shop.revision(file, n).text)
    if found is None or not 0 <= k < len(found.pictures):
        raise HTTPException(404, "this picture is no longer kept; open its page again")
    return Response(lettered(found.pictures[k]), media_type="image/svg+xml", headers=PICTURE_HEADERS)


@router.get("/jobs/{file}/{slug}")
async def one_page(request: Request, asked: Asked, file: int, slug: str) -> HTMLResponse:
    """Show a page of a job; its answer follows where it is not in yet."""
    asked.take_shelf()
    kept, sheet = asked.opened(file), page(slug)
    view = view_of(
        kept, asked.name_of(file), sheet, asked.desk.found(kept.text), sets=choose_api.options_of(asked, file)
    )
    if not view.faults:
        asked.desk.ask(kept.text, f"job {file}")
    if slug == "fans" and not view.faults:
        fans = await drawer(asked, file)
        return choose_api.with_cards(request, asked, file, "page.html", view=view, drawer=fans)
    return shown(request, "page.html", view=view)


@router.get("/jobs/{file}/{slug}/answer")
async def answer(request: Request, asked: Asked, file: int, slug: str) -> HTMLResponse:
    """Return the part of a page that hangs on the answer, once it is in."""
    kept, sheet = asked.opened(file), page(slug)
    view = view_of(
        kept,
        asked.name_of(file),
        sheet,
        await asked.answer(kept),
        asks=False,
        sets=choose_api.options_of(asked, file),
    )
    return shown(request, "answer.html", view=view)


@router.get("/pair")
async def pair(request: Request) -> HTMLResponse:
    """Ask a tablet for the code."""
    return shown(request, "pair.html")


@router.post("/pair")
async def paired(request: Request, typed: Annotated[str, Form()]) -> Response:
    """Let a tablet in that typed the code."""
    code: str | None = request.app.state.code
    if code is None or not secrets.compare_digest(typed.strip().encode(), code.encode()):
        await asyncio.sleep(1.0)
        return shown(request, "pair.html", 403, fault="That is not the code on the shop's computer.")
    let_in = RedirectResponse("/", 303)
    let_in.set_cookie(COOKIE, code, httponly=True, samesite="strict")
    return let_in
