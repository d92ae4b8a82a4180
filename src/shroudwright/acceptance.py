"""Findings somebody has decided to live with: still listed, last, with the reason.

METAL_AND_FIT    first letters of the findings whose stops hold cut files back
with_accepted    findings and a job -> the same, those accepted marked
"""

from collections.abc import Sequence

from shroudwright.assessment import AcceptedAnswer, FindingAnswer
from shroudwright.job.drive import Accepted
from shroudwright.job.model import Job

METAL_AND_FIT = "BOFSMD"
"""First letters of the codes of findings on bends, outlines, fit, shroud, metal and drawings."""
_IN_VAIN = "Accepted in the job by {who}; a stop cannot be accepted away."


def with_accepted(findings: Sequence[FindingAnswer], job: Job) -> list[FindingAnswer]:
    """Mark what a job accepts; what is accepted comes last, in the order it had.

    Parameters
    ----------
    findings : sequence of FindingAnswer
        Stops first.
    job : Job
        With what it accepts: by code, and by place where one is typed.

    Returns
    -------
    list of FindingAnswer
        A stop is never marked; it says that somebody tried.
    """
    marked = [_marked(finding, job) for finding in findings]
    return sorted(marked, key=lambda finding: finding.accepted is not None)


def _marked(finding: FindingAnswer, job: Job) -> FindingAnswer:
    own = next((item for item in job.accepted if _is_of(item, finding)), None)
    if own is None:
        return finding
    if finding.level == "stop":
        tried = _IN_VAIN.format(who=own.who or "somebody")
        return finding.model_copy(update={"because": f"{finding.because} {tried}"})
    date = own.date.isoformat() if own.date else ""
    accepted = AcceptedAnswer(reason=own.reason or "", who=own.who or "", date=date)
    return finding.model_copy(update={"accepted": accepted})


def _is_of(item: Accepted, finding: FindingAnswer) -> bool:
    return item.code == finding.code and item.place in (None, finding.place)


def accepted_text(finding: FindingAnswer) -> str:
    """Say who accepted a finding, when and why; nothing where nobody did."""
    if finding.accepted is None:
        return ""
    found = finding.accepted
    said = " ".join(["Accepted", *([f"by {found.who}"] if found.who else []), *([found.date] if found.date else [])])
    return f"{said}: {found.reason or 'no reason given'}."
