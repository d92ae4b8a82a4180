"""What a packet is made from beside the assessment.

PacketParts    metal, wires, settings and prices
metal_stops    the findings that hold cut files back
"""

from dataclasses import dataclass

from shroudwright.assessment import Assessment, FindingAnswer
from shroudwright.control.settings import Settings
from shroudwright.metal.shroud import Shroud
from shroudwright.price.bill import Bill
from shroudwright.wiring.circuits import FanCircuit, Wire

METAL_AND_FIT = "BOFSMD"
"""First letters of the codes of findings on bends, outlines, fit, shroud, metal and drawings."""


@dataclass(frozen=True)
class PacketParts:
    """Plain records of the other rooms; None or empty where the job asks for none."""

    shroud: Shroud | None = None
    circuits: tuple[FanCircuit, ...] = ()
    wires: tuple[Wire, ...] = ()
    settings: Settings | None = None
    bill: Bill | None = None
    is_trial: bool = True


def metal_stops(answer: Assessment) -> list[FindingAnswer]:
    """Return the stops on metal or fit; while one stands nothing may be cut."""
    return [finding for finding in answer.findings if finding.level == "stop" and finding.code[0] in METAL_AND_FIT]
