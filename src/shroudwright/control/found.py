"""One thing that is wrong with how fans are controlled.

Found    a code, the field it points at, and its numbers
"""

from typing import NamedTuple


class Found(NamedTuple):
    """Something wrong."""

    code: str
    place: str
    """field of the job, [text]"""
    measured: float | None = None
    limit: float | None = None
    wanted: float | None = None
    """what mends it, in the same unit"""
    detail: str = ""
    """in words, where two numbers do not say it"""
