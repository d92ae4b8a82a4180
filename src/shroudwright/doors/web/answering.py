"""Answers for the pages, worked out in a process of their own.

work_out     a job's text -> Answered
solid, still the folded shroud as a page that turns it, and as a picture
made_ready   a job's text -> the job made ready to be driven, packed for another process
packed       a job's text -> its packet in one file, and what its pages look like
"""

import io
import pickle
import tempfile
import zipfile
from pathlib import Path

from shroudwright.assess import assess_and_plan
from shroudwright.assessment import Assessment
from shroudwright.bench.errors import ShopError
from shroudwright.doors.papers import on_paper
from shroudwright.doors.web.leads import leads_of
from shroudwright.doors.web.lettering import lettered
from shroudwright.doors.web.planning import options_told, planned_told
from shroudwright.doors.web.recent import Recent
from shroudwright.doors.web.work import Answered, Packed
from shroudwright.drawing.folded_picture import folded_picture
from shroudwright.drawing.svg import svg
from shroudwright.drives import ready_for
from shroudwright.job.files import parse_job
from shroudwright.job.shelf import parse_shelf
from shroudwright.packet.folder import write
from shroudwright.packet.models import NAMES, is_whole, models
from shroudwright.packet.pages import chapters
from shroudwright.packet.pdf import packet_looks
from shroudwright.plan import Plan

PAGE = NAMES[0]
_STILL = (0.26, 0.17)
_KEPT = 3
_last: Recent[tuple[bytes, bytes], tuple[Assessment, Plan]] = Recent(_KEPT)
"""By text and shelf, the newest last"""


def work_out(text: bytes, name: str, shelf: bytes = b"") -> Answered:
    """Assess a job and set what its pages show.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    shelf : bytes
        The shop's own fans, as kept; nothing where it has none.

    Returns
    -------
    Answered
    """
    try:
        job = parse_job(text, name)
        answer, plan = _planned(text, name, shelf)
    except ShopError as error:
        return Answered(tuple(str(error).splitlines()), "", {}, (), {}, ())
    units = job.units or "in"
    pictures: list[str] = []
    set_out = chapters(answer, units, plan)
    for block in (block for chapter in set_out.values() for block in chapter):
        if "svg" in block:
            pictures.append(block.pop("svg"))
            block["picture"] = len(pictures) - 1
    findings = tuple(finding.model_dump() for finding in answer.findings)
    return Answered(
        (),
        answer.to_json(),
        set_out,
        tuple(pictures),
        leads_of(answer, units, plan),
        findings,
        planned_told(answer, units),
        tuple(options_told(answer)),
    )


def made_ready(text: bytes, name: str) -> bytes:
    """Make a job ready to be driven, from its assessment where that is one of the last.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.

    Returns
    -------
    bytes
        A pickled `drives.Ready`.

    Raises
    ------
    InputError
        If the job cannot be worked out, or has no electric fan or no thermostat to set fans by.
    """
    return pickle.dumps(ready_for(parse_job(text, name), *_planned(text, name)))


def solid(text: bytes, name: str) -> bytes:
    """Return a page that turns the folded shroud and what stands round it.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.

    Returns
    -------
    bytes
        HTML; nothing without a shroud.
    """
    return models(name, _planned(text, name)[1]).get(PAGE, b"")


def still(text: bytes, name: str) -> bytes:
    """Return a still picture of the folded shroud; otherwise as `solid`."""
    shroud = _planned(text, name)[1].shroud
    return lettered(svg(folded_picture(shroud.flats), *_STILL)).encode() if shroud and is_whole(shroud) else b""


def _planned(text: bytes, name: str, shelf: bytes | None = None) -> tuple[Assessment, Plan]:
    """Assess a job, or say again what came of it; with whatever shelf where none is given, for that moves no plan."""
    key = next((one for one in reversed(_last) if one[0] == text and shelf in (None, one[1])), None)
    if key is None:
        key = (text, shelf or b"")
        fans = parse_shelf(key[1], "the shelf") if key[1] else ()
        _last[key] = assess_and_plan(parse_job(text, name), shelf=fans)
    return _last[key]


def packed(text: bytes, name: str, shelf: bytes = b"") -> Packed:
    """Write a job's packet, put it into one file, and picture its pages.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults and in the file.
    shelf : bytes
        As `work_out` takes it.

    Returns
    -------
    Packed

    Raises
    ------
    InputError
        If the job cannot be worked out.
    """
    job, whole = parse_job(text, name), io.BytesIO()
    units = job.units or "in"
    answer, plan = _planned(text, name, shelf)
    driven = on_paper(job, answer, plan)
    with tempfile.TemporaryDirectory() as folder, zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as filled:
        written = write(Path(folder), answer, units, plan, driven)
        filled.writestr(name, text)
        for path in written:
            filled.write(path, path.name)
        pdf = (Path(folder) / "packet.pdf").read_bytes()
    names = (name, *(path.name for path in written))
    return Packed(whole.getvalue(), pdf, names, tuple(packet_looks(answer, units, plan, driven)))
