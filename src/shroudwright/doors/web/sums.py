"""Shop math: the bench calculator as pages, and their JSON twins."""

from typing import Any

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, Field

from shroudwright.bench.errors import ShopError
from shroudwright.bench.registry import OFFERED, describe
from shroudwright.doors.maths import computed, sums
from shroudwright.doors.web.setting import shown

router = APIRouter()
_TITLES = {"bench": "Shapes", "circuit": "Pump and hoses", "pack": "Coolant", "airflow": "Air behind the fans"}


class SumView(BaseModel):
    """One sum, worked."""

    name: str
    title: str
    lines: list[str] = Field(description="results, limits and source")


@router.get("/api/math")
async def every_sum() -> dict[str, str]:
    """List the sums and what each is of."""
    return sums()


@router.get("/api/math/{name}")
async def worked(request: Request, name: str) -> SumView:
    """Work one sum; its arguments are asked as they are typed, with units."""
    _known(name)
    return SumView(name=name, title=describe(OFFERED[name]).title, lines=computed(name, _typed(request)))


@router.get("/math", include_in_schema=False)
async def sums_page(request: Request) -> HTMLResponse:
    """List the sums of the bench calculator."""
    rooms: dict[str, dict[str, str]] = {}
    for name, title in (await every_sum()).items():
        room = OFFERED[name].__module__.split(".")[1]
        rooms.setdefault(_TITLES.get(room, room.capitalize()), {})[name] = title
    return shown(request, "math.html", rooms=sorted(rooms.items()), name=None)


@router.get("/math/{name}", include_in_schema=False)
async def sum_page(request: Request, name: str) -> HTMLResponse:
    """Show one sum, worked where anything is typed."""
    _known(name)
    typed = _typed(request)
    words: dict[str, Any] = {"name": name, "about": describe(OFFERED[name]), "typed": typed}
    try:
        lines = (await worked(request, name)).lines if typed else ()
    except ShopError as error:
        return shown(request, "math.html", 422, faults=str(error).splitlines(), **words)
    return shown(request, "math.html", lines=lines, **words)


def _known(name: str) -> None:
    if name not in sums():
        raise HTTPException(404, f"no sum {name[:60]!r}")


def _typed(request: Request) -> dict[str, str]:
    return {key: value.strip() for key, value in request.query_params.items() if value.strip()}
