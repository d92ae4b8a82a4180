"""What the shop hands out.

Kept      a job or a shelf, as it stands in the list
Entry     one line of its history
Revision  one revision with its text
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

What = Literal["job", "shelf"]
Kind = Literal["created", "imported", "copied", "saved", "merged", "restored", "undone", "redone"]


@dataclass(frozen=True)
class Kept:
    """A job or a shelf, as it stands in the list."""

    file: int
    what: What
    name: str
    n: int
    """its latest revision"""
    at: datetime
    """when that was saved, UTC"""
    who: str
    deleted: datetime | None
    """when it was marked deleted, UTC; None while it is not"""


@dataclass(frozen=True)
class Entry:
    """One line of a history."""

    file: int
    n: int
    """from 1, without gaps"""
    at: datetime
    who: str
    why: str
    kind: Kind
    sha256: str
    """digest of the text's bytes"""
    label: str | None
    """the name somebody gave this revision"""
    undo_to: int | None
    """the revision an undo would bring back; None at the first"""
    redo_to: int | None
    """the revision a redo would bring back; None unless something was undone"""

    @property
    def mark(self) -> str:
        """What a save says it began from: number and text, so that it still holds after a backup was put back."""
        return f"{self.n}-{self.sha256}"


@dataclass(frozen=True)
class Revision(Entry):
    """One revision with its text."""

    text: bytes
    """exactly as it was given"""
