"""What holds cut files back.

metal_stops
"""

from shroudwright.acceptance import METAL_AND_FIT
from shroudwright.assessment import Assessment, FindingAnswer


def metal_stops(answer: Assessment) -> list[FindingAnswer]:
    """Return the stops on metal or fit; while one stands nothing may be cut."""
    return [finding for finding in answer.findings if finding.level == "stop" and finding.code[0] in METAL_AND_FIT]
