"""A job's packet, from any door.

on_paper        drives along the routes shown on paper
write_packet    assess a job and write all its papers into a folder
"""

from collections.abc import Sequence
from pathlib import Path

from shroudwright.assess import assess_and_plan
from shroudwright.assessment import Assessment
from shroudwright.drawing.step import kernel
from shroudwright.drives import Driven, drive_along, ready_for
from shroudwright.job.model import Job
from shroudwright.job.schedules import route
from shroudwright.job.shelf import ShelfFan
from shroudwright.packet.drives import FEW, ON_PAPER
from shroudwright.packet.folder import refuse_folder, write
from shroudwright.plan import Plan


def on_paper(job: Job, answer: Assessment, plan: Plan) -> Sequence[Driven]:
    """Drive an assessed job along the routes that are shown on paper.

    Parameters
    ----------
    job : Job
        As read.
    answer, plan : Assessment, Plan
        Of it.

    Returns
    -------
    sequence of Driven
        None where it has no settings to drive by.
    """
    if plan.settings is None:
        return ()
    return drive_along(ready_for(job, answer, plan, draws=FEW), [route(name) for name in ON_PAPER])[1]


def write_packet(
    job: Job, out: Path, shelf: Sequence[ShelfFan] = (), *, with_step: bool = False
) -> tuple[Assessment, list[Path]]:
    """Assess a job and write its packet.

    Parameters
    ----------
    job : Job
        As read.
    out : Path
        Folder to write into; made if it is not there.
    shelf : sequence of ShelfFan
        The shop's own, if it has one.
    with_step : bool
        Whether the folded metal is written as STEP too.

    Returns
    -------
    answer, written : Assessment, list of Path

    Raises
    ------
    InputError
        If the job cannot be worked out, the folder cannot be written, or STEP's packages are not installed.
    """
    refuse_folder(out)
    if with_step:
        kernel()
    answer, plan = assess_and_plan(job, shelf=shelf)
    driven = on_paper(job, answer, plan)
    return answer, write(out, answer, job.units or "in", plan, driven, with_step=with_step)
