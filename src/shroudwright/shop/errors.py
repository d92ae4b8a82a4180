"""What may go wrong when something is kept.

Stale    somebody else saved first
NotKept  the database could not do it
"""

from sqlalchemy.exc import SQLAlchemyError

from shroudwright.bench.errors import ShopError
from shroudwright.shop.rows import Revision

_PLAIN = {
    "locked": "another program holds the shop's file; try again in a moment",
    "disk is full": "the disk is full; make room and save again",
    "readonly": "the shop's file may be read but not written; ask whoever looks after this computer",
    "not a database": "this file is not a shop's, or it is damaged; put a backup back",
    "malformed": "the shop's file is damaged; put a backup back",
    "no such table": "this file is not a shop's",
    "unable to open": "the shop's file cannot be opened; check the folder and who may write to it",
    "authentication failed": "the database server refuses this user or password",
    "does not exist": "there is no such database or user on that server; ask whoever looks after it",
    "connection": "the database server cannot be reached; check its address, and that it runs",
    "failed to resolve": "the database server cannot be reached; check its address",
    "No module named": "to keep the shop on a PostgreSQL server, pip install 'shroudwright[postgres]'",
}


class Stale(ShopError):
    """Somebody else saved first; nothing was overwritten and nothing lost.

    Parameters
    ----------
    base : Revision or None
        What both began from; None where it is no longer kept.
    mine : bytes or None
        The text that was not saved; None for an undo, a redo or a restore.
    theirs : Revision
        What is kept now.
    """

    def __init__(self, base: Revision | None, mine: bytes | None, theirs: Revision) -> None:
        self.base, self.mine, self.theirs = base, mine, theirs
        by = f" by {theirs.who}" if theirs.who else ""
        super().__init__(
            f"revision {theirs.n} was saved{by} at {theirs.at:%Y-%m-%d %H:%M} UTC while this was open; "
            "nothing was overwritten: look at both and join them"
        )


class NotKept(ShopError):
    """The database could not do what was asked, and did none of it.

    Parameters
    ----------
    error : Exception
        What it said.
    """

    def __init__(self, error: Exception) -> None:
        said = str(error.orig if isinstance(error, SQLAlchemyError) and hasattr(error, "orig") else error)
        plain = [words for sign, words in _PLAIN.items() if sign in said]
        super().__init__(plain[0] if plain else (said.strip().splitlines() or ["the database cannot be reached"])[0])
