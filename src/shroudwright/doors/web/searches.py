"""Searches for fans, each in a process of its own that ends with whoever asked for it.

Chosen      what a search found, as the pages and their twins show it
Searches    one search a job at a time, one at work at a time
"""

import asyncio
import importlib
import multiprocessing
from collections.abc import AsyncIterator, Awaitable, Callable
from hashlib import sha256
from multiprocessing.connection import Connection
from typing import Any, NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.doors.web.recent import Recent
from shroudwright.doors.web.work import end_with_parent

KEPT = 24
_LOOK = 0.4
"""How often it is asked whether anybody still listens, [s]"""

Event = tuple[str, dict[str, Any]]
"""``progress``, ``refused`` or ``done``, and what is told with it."""


class Asked(NamedTuple):
    """What is searched for, and where."""

    file: int
    n: int
    """Revision of the job."""
    text: bytes
    shelf: bytes
    shelf_name: str


class Chosen(NamedTuple):
    """What a search found."""

    asked: Asked
    answer: str
    """The whole of it, JSON."""
    told: dict[str, Any]
    """Cards and counts, in words."""
    pictures: tuple[str, ...]
    """SVG"""

    @property
    def mark(self) -> str:
        """What a card says it came from."""
        return sha256(self.answer.encode() + self.asked.shelf).hexdigest()[:16]


class Searches:
    """One search a job at a time; of several jobs, one is at work and the others wait their turn."""

    def __init__(self) -> None:
        self._turn = asyncio.Semaphore(1)
        self._off: dict[int, asyncio.Event] = {}
        self._asks: dict[int, Callable[[], Awaitable[bool]]] = {}
        self._kept: Recent[int, Chosen] = Recent(KEPT)

    def kept(self, file: int) -> Chosen | None:
        """Return what the last search of a job found, if it is still kept."""
        return self._kept.get(file)

    def is_running(self, file: int) -> bool:
        """Whether a job is being searched for."""
        return file in self._off

    def call_off(self, file: int) -> bool:
        """Call a job's search off; whether there was one."""
        off = self._off.get(file)
        if off is not None:
            off.set()
        return off is not None

    def close(self) -> None:
        """Call every search off."""
        for off in self._off.values():
            off.set()

    async def run(self, asked: Asked, is_gone: Callable[[], Awaitable[bool]]) -> AsyncIterator[Event]:
        """Search, and tell how far it has come.

        Parameters
        ----------
        asked : Asked
            Which job, which shelf.
        is_gone : callable
            Whether whoever asked has gone; the search is then called off.

        Yields
        ------
        Event
            The last is ``done`` or ``refused``; nothing more where it was called off by going away.

        Raises
        ------
        InputError
            If this job is being searched for already, for somebody who still waits for it.
        """
        while asked.file in self._off:
            if not self._off[asked.file].is_set() and not await self._asks[asked.file]():
                raise InputError(["a search for this job is running; wait for it, or call it off"])
            await asyncio.sleep(_LOOK)
        off = self._off[asked.file] = asyncio.Event()
        self._asks[asked.file] = is_gone
        try:
            while self._turn.locked():
                yield _waits("another job's search goes first")
                if off.is_set() or await is_gone():
                    yield "refused", {"faults": ["called off; nothing was changed"]}
                    return
                await asyncio.sleep(_LOOK)
            async with self._turn:
                async for event in self._at_work(asked, off, is_gone):
                    yield event
        finally:
            del self._off[asked.file], self._asks[asked.file]

    async def _at_work(
        self, asked: Asked, off: asyncio.Event, is_gone: Callable[[], Awaitable[bool]]
    ) -> AsyncIterator[Event]:
        yield _waits("starting")
        here, there = multiprocessing.Pipe(duplex=False)
        context = multiprocessing.get_context("spawn")
        process = context.Process(target=_search, args=(there, asked.text, asked.shelf, asked.shelf_name), daemon=True)
        process.start()
        there.close()
        coming: asyncio.Future[Event] | None = None
        try:
            while True:
                coming = coming or asyncio.ensure_future(asyncio.to_thread(_next, here))
                await asyncio.wait([coming], timeout=_LOOK)
                if off.is_set() or await is_gone():
                    yield "refused", {"faults": ["called off; nothing was changed"]}
                    return
                if not coming.done():
                    continue
                what, told = coming.result()
                coming = None
                if what == "done":
                    self._keep(asked, told)
                    yield "done", {"sets": len(told["told"]["cards"])}
                    return
                yield what, told
                if what == "refused":
                    return
        finally:
            process.terminate()
            if coming is not None:
                coming.add_done_callback(lambda _: here.close())
            else:
                here.close()

    def _keep(self, asked: Asked, told: dict[str, Any]) -> None:
        self._kept[asked.file] = Chosen(asked, told["answer"], told["told"], tuple(told["pictures"]))


def _waits(words: str) -> Event:
    return "progress", {"words": words, "done": 0.0, "fans": 0, "sets": 0, "lead": []}


def _next(here: Connection) -> Event:
    try:
        event: Event = here.recv()
    except (EOFError, OSError):
        return "refused", {"faults": ["the search was lost; start it again"]}
    return event


def _search(there: Connection, text: bytes, shelf: bytes, shelf_name: str) -> None:
    """Run in the search's own process, which alone has to load the sums."""
    end_with_parent()
    importlib.import_module("shroudwright.doors.web.choosing").search(there.send, text, shelf, shelf_name)
