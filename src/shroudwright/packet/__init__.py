"""The packet: one PDF, the cut files, pictures and lists. It computes nothing.

write          everything into a folder
Plan    what it is made from beside the assessment
"""

from shroudwright.packet.folder import write
from shroudwright.plan import Plan

__all__ = ["Plan", "write"]
