"""The application.

create_app    a shop -> what a server runs
"""

from collections.abc import AsyncIterator, Collection
from contextlib import asynccontextmanager
from importlib.resources import files

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

from shroudwright import __version__
from shroudwright.doors.web import acts_api, api, choose_api, keeping, pages, shelf_pages, sums
from shroudwright.doors.web.counter import Counter
from shroudwright.doors.web.guard import Guard
from shroudwright.doors.web.work import Desk
from shroudwright.doors.web.wrong import answer_faults
from shroudwright.shop.store import Shop

LOOPBACK = ("127.0.0.1", "localhost", "::1")


def create_app(shop: Shop, *, hosts: Collection[str] = LOOPBACK, code: str | None = None) -> FastAPI:
    """Return the pages of a shop, and their JSON twins.

    Parameters
    ----------
    shop : Shop
        Where its jobs are kept.
    hosts : collection of str
        Names it answers to.
    code : str or None
        What a tablet must type once; None where only this computer may ask.

    Returns
    -------
    FastAPI
    """
    desk = Desk()
    asked = Counter(shop, desk)

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        yield
        asked.searches.close()
        desk.close()

    app = FastAPI(title="shroudwright", version=__version__, lifespan=life, docs_url=None, redoc_url=None)
    app.state.counter, app.state.code = asked, code
    app.add_middleware(Guard, hosts=hosts, code=code)
    answer_faults(app)
    app.mount("/static", StaticFiles(directory=str(files("shroudwright.doors.web") / "static")), name="static")
    for part in (sums, keeping, shelf_pages, choose_api, acts_api, api, pages):
        app.include_router(part.router)
    return app
