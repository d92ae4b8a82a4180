"""Answers worked out beside the server, kept until they are pushed out by newer ones.

Answered     what the pages show of a job's answer: plain data and pictures
work_out     a job's text -> Answered
folder_zip   a job's text -> its packet in one file
Desk         the process that works, and what it has found
"""

import asyncio
import io
import multiprocessing
import tempfile
import zipfile
from collections import OrderedDict
from concurrent.futures import ProcessPoolExecutor
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

from shroudwright.bench.errors import InputError

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


def work_out(text: bytes, name: str) -> Answered:
    """Assess a job and set what its pages show.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.

    Returns
    -------
    Answered
    """
    from shroudwright.assess import assess_and_plan
    from shroudwright.doors.web.leads import leads_of
    from shroudwright.job.files import parse_job
    from shroudwright.packet.pages import chapters

    try:
        job = parse_job(text, name)
        answer, plan = assess_and_plan(job)
    except InputError as error:
        return Answered(tuple(error.faults), "", {}, (), {}, ())
    units = job.units or "in"
    pictures: list[str] = []
    set_out = chapters(answer, units, plan)
    for block in (block for chapter in set_out.values() for block in chapter):
        if "svg" in block:
            pictures.append(block.pop("svg"))
            block["picture"] = len(pictures) - 1
    findings = tuple(finding.model_dump() for finding in answer.findings)
    return Answered((), answer.to_json(), set_out, tuple(pictures), leads_of(answer, units, plan), findings)


def folder_zip(text: bytes, name: str) -> bytes:
    """Write a job's packet and return it as one file.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        If the job cannot be worked out.
    """
    from shroudwright.doors.papers import write_packet
    from shroudwright.job.files import parse_job

    whole = io.BytesIO()
    with tempfile.TemporaryDirectory() as folder, zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as packed:
        _, written = write_packet(parse_job(text, name), Path(folder))
        packed.writestr(name, text)
        for path in written:
            packed.write(path, path.name)
    return whole.getvalue()


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
            future = asyncio.get_running_loop().run_in_executor(self._pool, work_out, text, name)
            self._found[key] = future
            while len(self._found) > KEPT:
                self._found.popitem(last=False)
        self._found.move_to_end(key)
        return future

    async def packet(self, text: bytes, name: str) -> bytes:
        """Have a job's packet written."""
        return await asyncio.get_running_loop().run_in_executor(self._pool, folder_zip, text, name)

    async def live(self, what: str, *asked: Any) -> dict[str, Any]:
        """Have the stage's process do something of `stage`."""
        return await asyncio.get_running_loop().run_in_executor(self._live, _staged, what, *asked)

    def close(self) -> None:
        """Stop; what is being worked out is dropped."""
        for pool in (self._pool, self._live):
            pool.shutdown(wait=False, cancel_futures=True)


def _staged(what: str, *asked: Any) -> dict[str, Any]:
    from shroudwright.doors.web import stage

    found: dict[str, Any] = getattr(stage, what)(*asked)
    return found


def _key(text: bytes) -> str:
    return sha256(text).hexdigest()
