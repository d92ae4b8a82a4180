"""A job file with other fans in it, every other line as typed.

refitted          a job's text, fans at their places -> its text with them
write_refitted    a job file -> a new job file
"""

import datetime
import os
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from shroudwright.bench.errors import InputError
from shroudwright.job.drive import Fan
from shroudwright.job.files import bytes_of, parse_job, write_whole
from shroudwright.job.model import Job

_FANS = ("fans", "belt_fan")
_OF_SOME_FANS = ("fans_on", "fans_low", "percent_on")


def write_refitted(
    path: str | os.PathLike[str], out: str | os.PathLike[str], refit: Callable[[bytes, str], bytes]
) -> Job:
    """Write a job file again with something in it changed.

    Parameters
    ----------
    path : path
        Of the job file.
    out : path
        Of the new one; it must not exist yet.
    refit : callable
        What a job file holds, and its name -> what the new one holds.

    Returns
    -------
    Job
        As the new file reads.

    Raises
    ------
    InputError
        If the new file is there already, or would not read.
    """
    path, out = Path(path), Path(out)
    if out.exists():
        raise InputError([f"{out}: exists already; choose another name"])
    after = refit(bytes_of(path), path.name)
    job = parse_job(after, out.name)
    write_whole(out, after)
    return job


def refitted(text: bytes, fans: Sequence[Fan], depth: str | None, day: datetime.date, name: str = "job") -> bytes:
    """Return a job's text with other fans, behind a full shroud where it had none, and without a belt fan.

    Parameters
    ----------
    text : bytes
        The job's.
    fans : sequence of Fan
        With their places, each with a code of its own.
    depth : str or None
        Of the shroud, as typed, where it is to be another.
    day : date
        On which the fans' numbers were copied.
    name : str
        What to call the job in faults.

    Returns
    -------
    bytes
        Every other line as typed; every case that named some of the old fans runs all of the new.

    Raises
    ------
    InputError
        If the job does not read, or would no longer.
    """
    import tomlkit

    parse_job(text, name)
    document: Any = tomlkit.parse(_without(text.decode("utf-8-sig"), _FANS))
    for section in _FANS:
        document.pop(section, None)
    for case in document.get("cases", ()):
        for field in _OF_SOME_FANS:
            if case.get(field):
                del case[field]
    shroud = document.setdefault("shroud", tomlkit.table())
    if shroud.get("type", "none") == "none":
        shroud["type"] = "full"
        for field in ("covered_share", "gaps"):
            shroud.pop(field, None)
    if depth is not None:
        shroud["depth"] = depth
    new = tomlkit.aot()
    for fan in fans:
        dated = fan.model_copy(update={"copied": day})
        new.append(tomlkit.item(dated.model_dump(mode="python", exclude_none=True, exclude_defaults=True)))
    document["fans"] = new
    after = tomlkit.dumps(document).encode("utf-8")
    parse_job(after, name)
    return after


def _without(text: str, names: Sequence[str]) -> str:
    """Leave out sections, each with the comment right above it: what stands above the next is the next one's."""
    kept: list[str] = []
    held: list[str] = []
    is_out = False
    for line in text.splitlines(keepends=True):
        if header := re.match(r"\s*\[{1,2}([\w.]+)\]{1,2}\s*(#.*)?$", line):
            is_out = header[1].split(".")[0] in names
            kept += [] if is_out else [*held, line]
            held = []
        elif line.startswith("#"):
            held.append(line)
        else:
            kept += [] if is_out else [*held, line]
            held = []
    return "".join([*kept, *held])
