"""What to put right before the numbers mean anything.

fix_first    the lines of the first look that may be the whole trouble
"""

from typing import Literal

from shroudwright.assessment import FirstLookAnswer
from shroudwright.job.first_look import lines
from shroudwright.job.model import Job


def fix_first(job: Job) -> list[FirstLookAnswer]:
    """List what explains the complaint alone, a plain "no" first.

    With a complaint: every line that can explain it and is answered "no" or not at all. Without one: every
    line answered "no".

    Parameters
    ----------
    job : Job
        As read.

    Returns
    -------
    list of FirstLookAnswer
        "no" before "don't know", each in the order of the table.
    """
    look = job.first_look
    complaint = look.complaint or "none"
    told: tuple[Literal["no", "don't know"], ...] = ("no",) if complaint == "none" else ("no", "don't know")
    answers = [(line, getattr(look, line.field) or "don't know") for line in lines()]
    return [
        FirstLookAnswer(question=line.question, answered=wanted, do=line.do)
        for wanted in told
        for line, answered in answers
        if answered == wanted and (complaint == "none" or complaint in line.explains)
    ]
