"""The packet: one PDF, the cut files, pictures and lists. It computes nothing.

write          everything into a folder
PacketParts    what it is made from beside the assessment
"""

from shroudwright.packet.folder import write
from shroudwright.packet.parts import PacketParts

__all__ = ["PacketParts", "write"]
