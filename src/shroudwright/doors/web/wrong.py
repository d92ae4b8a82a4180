"""What is said when something cannot be done: a page to whoever looks at a page, JSON to everybody else.

answer_faults    into an application
"""

import re
from concurrent.futures.process import BrokenProcessPool

from fastapi import FastAPI, HTTPException, Request, Response
from fastapi.exception_handlers import http_exception_handler, request_validation_exception_handler
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse

from shroudwright.bench.errors import InputError, ShopError
from shroudwright.doors.web.setting import shown
from shroudwright.shop.errors import Stale

_JOB = re.compile(r"/jobs/(\d+)")
_MEND = "Go back, put right what is listed, and do it again. Nothing was changed."


def answer_faults(app: FastAPI) -> None:
    """Have an application answer what goes wrong in words.

    Parameters
    ----------
    app : FastAPI
        Changed.
    """
    app.add_exception_handler(Stale, _stale)
    app.add_exception_handler(ShopError, _wrong)
    app.add_exception_handler(BrokenProcessPool, _died)
    app.add_exception_handler(HTTPException, _missing)
    app.add_exception_handler(RequestValidationError, _misread)


def _is_page(request: Request) -> bool:
    return not request.url.path.startswith(("/api", "/static")) and "text/html" in request.headers.get("accept", "")


def _page(request: Request, status: int, title: str, faults: list[str], do: str = _MEND) -> Response:
    job = _JOB.match(request.url.path)
    back = f"/jobs/{job[1]}/vehicle" if job and status != 404 else "/"
    return shown(request, "wrong.html", status, title=title, faults=faults, do=do, back=back)


async def _stale(request: Request, error: Exception) -> Response:
    assert isinstance(error, Stale)
    if _is_page(request):
        do = "Go back to see what stands now, and do it again if it still should be done."
        return _page(request, 409, "Somebody else changed it meanwhile", [str(error)], do)
    return JSONResponse({"stale": str(error), "mark": error.theirs.mark, "n": error.theirs.n}, 409)


async def _wrong(request: Request, error: Exception) -> Response:
    faults = list(error.faults) if isinstance(error, InputError) else [str(error)]
    status = 422 if isinstance(error, InputError) else 503
    return _page(request, status, "It cannot be done yet", faults) if _is_page(request) else _json(faults, status)


async def _died(request: Request, error: Exception) -> Response:
    faults = ["what was being worked out was lost; ask again"]
    return (
        _page(request, 503, "It was lost", faults, "Go back and ask again.")
        if _is_page(request)
        else _json(faults, 503)
    )


async def _missing(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    if _is_page(request):
        return _page(request, error.status_code, "It is not here", [str(error.detail)], "Look for it in the list.")
    return await http_exception_handler(request, error)


async def _misread(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    if _is_page(request):
        faults = [f"{one['loc'][-1]}: {one['msg']}" for one in error.errors()]
        return _page(request, 422, "Something is missing", faults)
    return await request_validation_exception_handler(request, error)


def _json(faults: list[str], status: int) -> JSONResponse:
    return JSONResponse({"faults": faults}, status)
