"""A job in one small picture: its fans on its core, to scale.

fans_on_core   a job -> the picture
plan           a job's text -> the same, for another process
"""

from shroudwright.bench.errors import ShopError
from shroudwright.drawing.clearances import clearance_picture
from shroudwright.drawing.svg import svg
from shroudwright.job.files import parse_job
from shroudwright.job.fitting import fit_of
from shroudwright.job.in_hand import filled_at_medians
from shroudwright.job.model import Job
from shroudwright.speech import SHOPS

_WIDE, _HIGH = 0.12, 0.075


def fans_on_core(job: Job) -> str:
    """Draw a job's fans on its core, without the words a small picture cannot carry.

    Parameters
    ----------
    job : Job
        As read.

    Returns
    -------
    str
        SVG.

    Raises
    ------
    InputError
        If the job has no core to draw.
    """
    filled = filled_at_medians(job)
    fit = fit_of(filled)
    core = filled.median("core.width"), filled.median("core.height")
    shop = SHOPS[job.units or "in"]
    return svg(clearance_picture(fit.fans, fit.plate, fit.solids, (), core, shop, fit.boxes), _WIDE, _HIGH)


def plan(text: bytes, name: str) -> str:
    """Draw a job's fans on its core; nothing where there is no core yet."""
    try:
        return fans_on_core(parse_job(text, name))
    except ShopError:
        return ""
