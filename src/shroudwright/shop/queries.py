"""What is asked of the tables within one transaction.

listed       jobs or shelves, the latest saved first
history_of   revisions without their text
last_of      the latest revision
revision_at  any
fresh        refuses what was not made from the latest
marked       the revision with a mark
following    the revision after one
added        writes a revision
new_file     writes a job's or a shelf's line in the list
"""

import hashlib
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, and_, func, insert, select

from shroudwright.bench.errors import InputError
from shroudwright.shop.errors import Stale
from shroudwright.shop.rows import Entry, Kept, Kind, Revision
from shroudwright.shop.tables import file_table, label_table, revision_table

_ENTRY = [*(column for column in revision_table.c if column.name != "text"), label_table.c.label]
_LABELLED = revision_table.outerjoin(
    label_table, and_(label_table.c.file == revision_table.c.file, label_table.c.n == revision_table.c.n)
)


def listed(connection: Connection, which: ColumnElement[bool]) -> tuple[Kept, ...]:
    """List those jobs or shelves, the latest saved first."""
    r, f = revision_table.c, file_table.c
    last = select(r.file, func.max(r.n).label("n")).group_by(r.file).subquery()
    query = (
        select(f.id, f.what, f.name, f.deleted, r.n, r.at, r.who)
        .join(last, last.c.file == f.id)
        .join(revision_table, and_(r.file == f.id, r.n == last.c.n))
        .where(which)
        .order_by(r.at.desc(), f.id.desc())
    )
    return tuple(
        Kept(row.id, row.what, row.name, row.n, _time(row.at), row.who, row.deleted and _time(row.deleted))
        for row in connection.execute(query)
    )


def history_of(connection: Connection, file: int) -> tuple[Entry, ...]:
    """List all revisions without their text, the latest first."""
    file_row(connection, file)
    r = revision_table.c
    query = select(*_ENTRY).select_from(_LABELLED).where(r.file == file).order_by(r.n.desc())
    return tuple(Entry(**_fields(row)) for row in connection.execute(query))


def file_row(connection: Connection, file: int, *, lock: bool = False) -> Row[Any]:
    """Return a job's or a shelf's line in the list; locked, nobody else writes to it meanwhile."""
    query = select(file_table).where(file_table.c.id == _whole(file))
    row = connection.execute(query.with_for_update() if lock else query).one_or_none()
    if row is None:
        raise InputError([f"the shop keeps no job or shelf with number {file}"])
    return row


def last_of(connection: Connection, file: int, *, lock: bool = False) -> Revision:
    """Return the latest revision; locked, it stays the latest, and a deleted file is refused."""
    row = file_row(connection, file, lock=lock)
    if lock and row.deleted:
        raise InputError([f"{row.name}: was deleted on {row.deleted[:10]}; bring it back, then save"])
    return revision_at(connection, file, select(func.max(revision_table.c.n)).where(revision_table.c.file == file))


def revision_at(connection: Connection, file: int, n: int | Select[Any]) -> Revision:
    """Return one revision, by its number or by what finds it."""
    r = revision_table.c
    number = _whole(n) if isinstance(n, int) else n.scalar_subquery()
    query = select(*_ENTRY, r.text).select_from(_LABELLED).where(r.file == _whole(file), r.n == number)
    row = connection.execute(query).one_or_none()
    if row is None:
        raise InputError([f"there is no revision {n} of number {file}"])
    return Revision(**_fields(row))


def fresh(connection: Connection, last: Revision, began: str, mine: bytes | None = None) -> None:
    """Refuse what was not made from the latest revision."""
    if began != last.mark:
        raise Stale(marked(connection, last, began), mine, last)


def marked(connection: Connection, last: Revision, mark: str) -> Revision | None:
    """Return the revision with a mark; None where it is no longer, or never was."""
    number = mark.partition("-")[0]
    if not (number.isdecimal() and len(number) < 10 and 0 < int(number) <= last.n):
        return None
    found = revision_at(connection, last.file, int(number))
    return found if found.mark == mark else None


def following(last: Revision, text: bytes, kind: Kind, who: str, why: str) -> Revision:
    """Return the revision after one; an undo from it leads back there, and there is nothing to redo."""
    return Revision(last.file, last.n + 1, now(), who, why, kind, digest(text), None, last.n, None, text)


def new_file(connection: Connection, what: str, name: str) -> int:
    """Write a job's or a shelf's line in the list; return its number."""
    row = connection.execute(insert(file_table).values(what=what, name=name).returning(file_table.c.id))
    return int(row.scalar_one())


def added(connection: Connection, new: Revision) -> Revision:
    """Write a revision."""
    values = {column.name: getattr(new, column.name) for column in revision_table.c}
    connection.execute(insert(revision_table).values(values | {"at": stamp(new.at)}))
    return new


def digest(text: bytes) -> str:
    """Return a text's SHA-256."""
    return hashlib.sha256(text).hexdigest()


def now() -> datetime:
    """Return the time, UTC."""
    return datetime.now(UTC)


def stamp(at: datetime) -> str:
    """Write a time so that times sort as words."""
    return at.isoformat(timespec="microseconds")


def _time(kept: str) -> datetime:
    return datetime.fromisoformat(kept)


def _fields(row: Any) -> dict[str, Any]:
    return {**row._asdict(), "at": _time(row.at)}


def _whole(number: int) -> int:
    """Let 0, which nothing has, stand for all numbers that no column of a server could hold."""
    return number if 0 < number < 2**31 else 0
