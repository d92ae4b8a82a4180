"""Between the pages and the shop: a job opened, answered, and an act on it saved.

Counter   what every route asks
Saved     what stands once an act is saved
"""

import asyncio
from collections.abc import Callable
from concurrent.futures.process import BrokenProcessPool

from fastapi import HTTPException, Request
from pydantic import BaseModel, Field

from shroudwright.bench.errors import InputError
from shroudwright.doors.web.searches import Searches
from shroudwright.doors.web.sheets import SHEETS, Sheet, sheet_of
from shroudwright.doors.web.shelf import kept_shelf
from shroudwright.doors.web.work import Answered, Desk
from shroudwright.shop.errors import Stale
from shroudwright.shop.merge import merge
from shroudwright.shop.rows import Revision
from shroudwright.shop.store import Shop

_LONGEST_WAIT = 60.0


class Saved(BaseModel):
    """What stands now."""

    n: int
    mark: str
    can_undo: bool
    can_redo: bool
    joined: bool = Field(default=False, description="whether somebody else's changes were joined with these")


class Counter:
    """A shop and the desk that works its answers out."""

    def __init__(self, shop: Shop, desk: Desk) -> None:
        self.shop, self.desk, self.searches = shop, desk, Searches()
        self.take_shelf()

    def take_shelf(self) -> None:
        """Have what fixes fit taken off the shelf as it stands now."""
        own = kept_shelf(self.shop)
        self.desk.shelf = b"" if own is None else own.text

    def name_of(self, file: int) -> str:
        """Return what the list calls a job."""
        return self.shop.kept(file).name

    def opened(self, file: int) -> Revision:
        """Return a job as it stands; 404 where there is none."""
        try:
            if self.shop.kept(file).what != "job":
                raise InputError([f"no job {file}"])
            return self.shop.latest(file)
        except InputError as error:
            raise HTTPException(404, error.faults[0]) from None

    async def answer(self, kept: Revision) -> Answered | None:
        """Wait for a job's answer, but not for ever; None too where its process died, and asking again begins anew."""
        asked = self.desk.ask(kept.text, f"job {kept.file}")
        try:
            return await asyncio.wait_for(asyncio.shield(asked), _LONGEST_WAIT)
        except (TimeoutError, BrokenProcessPool):
            return None

    def act(self, file: int, began: str, who: str, why: str, edit: Callable[[bytes], bytes]) -> Saved:
        """Save an act on the text it was made on, joined with whatever was saved since.

        Raises
        ------
        Stale
            If both changed the same thing; nothing is saved.
        InputError
            If the job would no longer read.
        """
        base = self.base(file, began)
        return self.keep(file, base, edit(base.text), who, why)

    def base(self, file: int, began: str) -> Revision:
        """Return the revision an act was made on; Stale where it is no longer kept."""
        now = self.opened(file)
        base = now if began == now.mark else self.shop.marked(file, began)
        if base is None:
            raise Stale(None, None, now)
        return base

    def keep(self, file: int, base: Revision, mine: bytes, who: str, why: str) -> Saved:
        """Save what an act made of a revision, as `act` does."""
        now = self.opened(file)
        if base.n == now.n:
            return self.saved(self.shop.save(file, mine, began=base.mark, who=who, why=why))
        both = merge(base.text, mine, now.text)
        if both.clashes:
            raise Stale(base, mine, now)
        kept = self.shop.save(file, both.text, began=now.mark, who=who, why=why, kind="merged")
        return self.saved(kept, joined=True)

    @staticmethod
    def saved(now: Revision, *, joined: bool = False) -> Saved:
        """Say what stands."""
        can_undo, can_redo = now.undo_to is not None, now.redo_to is not None
        return Saved(n=now.n, mark=now.mark, can_undo=can_undo, can_redo=can_redo, joined=joined)


def counter(request: Request) -> Counter:
    """Return the counter of the application that was asked."""
    found: Counter = request.app.state.counter
    return found


def page(slug: str) -> Sheet:
    """Return a page by its name in the address; 404 where there is none."""
    sheet = sheet_of(slug)
    if sheet is None:
        raise HTTPException(404, f"no page {slug[:40]!r}; they are {', '.join(one.slug for one in SHEETS)}")
    return sheet
