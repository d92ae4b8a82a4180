"""Answers worked out beside the server, kept until they are pushed out by newer ones.

Answered     what the pages show of a job's answer: plain data and pictures
NotReady     a job is asked about where it is not known
Packed       its packet
Desk         the processes that work, and what they have found
"""

import asyncio
import importlib
import multiprocessing
import os
import threading
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from hashlib import sha256
from typing import Any, NamedTuple

from shroudwright.doors.web.recent import Recent

KEPT, PACKETS = 24, 4


class Answered(NamedTuple):
    """What the pages show of a job's answer."""

    faults: tuple[str, ...]
    """Why there is none; the rest is then empty."""
    answer: str
    """The whole assessment, JSON."""
    chapters: dict[str, list[dict[str, Any]]]
    """Blocks; a picture's is a number."""
    pictures: tuple[str, ...]
    """SVG"""
    leads: dict[str, tuple[str, str, str]]
    """By page: number, band, sentence."""
    findings: tuple[dict[str, Any], ...]
    planning: dict[str, Any] = {}  # noqa: RUF012 - never written to
    """Fixes, the plan and what to measure next, in words."""
    options: tuple[dict[str, Any], ...] = ()
    """Ways side by side, in groups."""


class NotReady(Exception):
    """A process is asked about a job it has not been handed."""


class Packed(NamedTuple):
    """A job's packet."""

    whole: bytes
    """All of it in one file, ZIP."""
    pdf: bytes
    names: tuple[str, ...]
    """Of the files in it."""
    looks: tuple[bytes, ...]
    """Its pages, PNG."""


class Desk:
    """A process that works out answers, another that follows fingers; each job text is worked out once."""

    def __init__(self) -> None:
        self.shelf = b""
        """The shop's own fans, which fixes that fit some take off it; nothing where it has none."""
        self._answers, self._live = _Worker(), _Worker()
        self._found: Recent[str, asyncio.Future[Answered]] = Recent(KEPT)
        self._packets: Recent[str, asyncio.Future[Packed]] = Recent(PACKETS)

    def found(self, text: bytes) -> Answered | None:
        """Return a job's answer if it has been worked out."""
        future = self._found.get(_key(text, self.shelf))
        return future.result() if future is not None and future.done() and not _is_lost(future) else None

    def ask(self, text: bytes, name: str) -> "asyncio.Future[Answered]":
        """Have a job worked out, once however often it is asked for; again where that was lost."""
        key = _key(text, self.shelf)
        future = self._found.get(key)
        if future is None or _is_lost(future):
            future = self._answers.do("answering", "work_out", text, name, self.shelf)
        self._found[key] = future
        return future

    async def folded(self, what: str, text: bytes, name: str) -> bytes:
        """Have the folded shroud drawn, ``solid`` or ``still``; nothing where there is none."""
        drawn: bytes = await self._answers.do("answering", what, text, name)
        return drawn

    def packed(self, text: bytes, name: str) -> Packed | None:
        """Return a job's packet if it has been written and is still kept."""
        future = self._packets.get(_key(text, self.shelf, name.encode()))
        return future.result() if future is not None and future.done() and not _is_lost(future) else None

    async def packet(self, text: bytes, name: str) -> Packed:
        """Have a job's packet written, once however often it is asked for."""
        key = _key(text, self.shelf, name.encode())
        future = self._packets.get(key)
        if future is None or _is_lost(future):
            future = self._answers.do("answering", "packed", text, name, self.shelf)
        self._packets[key] = future
        return await asyncio.shield(future)

    async def live(self, module: str, what: str, *asked: Any) -> Any:
        """Have the fingers' process do something of a module: short work that no answer holds up."""
        return await self._live.do(module, what, *asked)

    async def driven(self, what: str, text: bytes, name: str, *asked: Any) -> dict[str, Any]:
        """Have the fingers' process do something of `tracing`, handing it the job where it has not got it."""
        while True:
            try:
                told: dict[str, Any] = await self._live.do("tracing", what, text, name, *asked)
            except NotReady:
                packed = await self._answers.do("answering", "made_ready", text, name)
                await self._live.do("tracing", "take", text, packed)
            else:
                return told

    def close(self) -> None:
        """Stop; what is being worked out is dropped."""
        self._answers.close()
        self._live.close()


class _Worker:
    """A process of its own; another takes the place of one that died."""

    def __init__(self) -> None:
        self._pool = self._new()

    @staticmethod
    def _new() -> ProcessPoolExecutor:
        return ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), end_with_parent)

    def do(self, module: str, what: str, *asked: Any) -> "asyncio.Future[Any]":
        """Have something done; what was being done when a process dies raises BrokenProcessPool."""
        loop = asyncio.get_running_loop()
        try:
            return loop.run_in_executor(self._pool, _done, module, what, *asked)
        except BrokenProcessPool:
            self._pool = self._new()
            return loop.run_in_executor(self._pool, _done, module, what, *asked)

    def close(self) -> None:
        """Stop it."""
        self._pool.shutdown(wait=False, cancel_futures=True)


def end_with_parent() -> None:
    """End this process when the one that started it is gone, however that ended."""

    def wait() -> None:
        parent = multiprocessing.parent_process()
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=wait, daemon=True).start()


def _is_lost(future: "asyncio.Future[Any]") -> bool:
    """Whether nothing will come of it."""
    return future.cancelled() or (future.done() and future.exception() is not None)


def _done(module: str, what: str, *asked: Any) -> Any:
    """Do something of a module that only the working process has to load."""
    return getattr(importlib.import_module(f"shroudwright.doors.web.{module}"), what)(*asked)


def _key(*parts: bytes) -> str:
    return sha256(b"\0".join(sha256(part).digest() for part in parts)).hexdigest()
