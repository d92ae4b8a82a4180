"""Findings: what is wrong with a design, in words, with the numbers and the remedy.

A finding's code is one letter for its subject (H heat, A air, K coolant, W wiring, C control, M metal,
P price) and a number that is never reused. `CODES` is the one list of them.
"""

from dataclasses import dataclass
from typing import Literal

Level = Literal["stop", "fix", "watch", "note"]
LEVELS: tuple[Level, ...] = ("stop", "fix", "watch", "note")


@dataclass(frozen=True)
class Finding:
    """One thing a builder should know before going on.

    Parameters
    ----------
    code : str
        A key of `CODES`.
    level : str
        ``stop`` (do not cut or run), ``fix`` (will fail in service), ``watch`` or ``note``.
    says : str
        What is wrong, in plain words.
    because : str
        The numbers behind it.
    remedy : str
        What to do.
    source : str
        Where the rule comes from.
    place : str
        The job field or driving case it belongs to.
    """

    code: str
    level: Level
    says: str
    because: str
    remedy: str
    source: str
    place: str = ""


CODES: dict[str, str] = {}
