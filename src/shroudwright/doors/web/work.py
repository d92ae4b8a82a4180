"""Answers worked out beside the server, kept until they are pushed out by newer ones.

Answered     what the pages show of a job's answer: plain data and pictures
Desk         the processes that work, and what they have found
"""

import asyncio
import importlib
import multiprocessing
from collections import OrderedDict
from concurrent.futures import ProcessPoolExecutor
from hashlib import sha256
from typing import Any, NamedTuple

KEPT = 24


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


class Desk:
    """A process that works out answers, another that follows fingers; each job text is worked out once."""

    def __init__(self) -> None:
        context = multiprocessing.get_context("spawn")
        self._pool, self._live = (ProcessPoolExecutor(1, mp_context=context) for _ in range(2))
        self._found: OrderedDict[str, asyncio.Future[Answered]] = OrderedDict()

    def found(self, text: bytes) -> Answered | None:
        """Return a job's answer if it has been worked out."""
        future = self._found.get(_key(text))
        return future.result() if future is not None and future.done() and not future.cancelled() else None

    def ask(self, text: bytes, name: str) -> "asyncio.Future[Answered]":
        """Have a job worked out, once however often it is asked for."""
        key = _key(text)
        future = self._found.get(key)
        if future is None or future.cancelled():
            future = asyncio.get_running_loop().run_in_executor(self._pool, _done, "answering", "work_out", text, name)
            self._found[key] = future
            while len(self._found) > KEPT:
                self._found.popitem(last=False)
        self._found.move_to_end(key)
        return future

    async def packet(self, text: bytes, name: str) -> bytes:
        """Have a job's packet written."""
        loop = asyncio.get_running_loop()
        whole: bytes = await loop.run_in_executor(self._pool, _done, "answering", "folder_zip", text, name)
        return whole

    async def live(self, what: str, *asked: Any) -> dict[str, Any]:
        """Have the stage's process do something of `stage`."""
        loop = asyncio.get_running_loop()
        told: dict[str, Any] = await loop.run_in_executor(self._live, _done, "stage", what, *asked)
        return told

    def close(self) -> None:
        """Stop; what is being worked out is dropped."""
        for pool in (self._pool, self._live):
            pool.shutdown(wait=False, cancel_futures=True)


def _done(module: str, what: str, *asked: Any) -> Any:
    """Do something of a module that only the working process has to load."""
    return getattr(importlib.import_module(f"shroudwright.doors.web.{module}"), what)(*asked)


def _key(text: bytes) -> str:
    return sha256(text).hexdigest()
