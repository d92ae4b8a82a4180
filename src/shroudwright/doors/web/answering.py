"""Answers for the pages, worked out in a process of their own.

work_out     a job's text -> Answered
folder_zip   a job's text -> its packet in one file
"""

import io
import tempfile
import zipfile
from pathlib import Path

from shroudwright.assess import assess_and_plan
from shroudwright.bench.errors import ShopError
from shroudwright.doors.papers import write_packet
from shroudwright.doors.web.leads import leads_of
from shroudwright.doors.web.planning import options_told, planned_told
from shroudwright.doors.web.work import Answered
from shroudwright.job.files import parse_job
from shroudwright.packet.pages import chapters


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
    try:
        job = parse_job(text, name)
        answer, plan = assess_and_plan(job)
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
    whole = io.BytesIO()
    with tempfile.TemporaryDirectory() as folder, zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as packed:
        _, written = write_packet(parse_job(text, name), Path(folder))
        packed.writestr(name, text)
        for path in written:
            packed.write(path, path.name)
    return whole.getvalue()
