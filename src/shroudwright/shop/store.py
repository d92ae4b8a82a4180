"""Jobs and parts shelves, each a row of revisions that is only ever added to.

Shop   list, create, open, save, undo, copy, name, delete
"""

import hashlib
import unicodedata
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Literal, Self, get_args

from sqlalchemy import Connection, Engine, Row, and_, delete, func, insert, select, update

from shroudwright.bench.errors import InputError
from shroudwright.job.files import LARGEST
from shroudwright.shop.errors import Stale
from shroudwright.shop.rows import Entry, Kept, Kind, Revision, What
from shroudwright.shop.tables import default_at, file_table, label_table, opened, revision_table, working

LONGEST = 200
"""Most characters of a name, of who and of why."""

_ENTRY = [*(column for column in revision_table.c if column.name != "text"), label_table.c.label]
_LABELLED = revision_table.outerjoin(
    label_table, and_(label_table.c.file == revision_table.c.file, label_table.c.n == revision_table.c.n)
)


class Shop:
    """A shop's jobs and shelves in one database.

    It may be used from several threads. Every method raises NotKept if the database cannot do it; InputError if there
    is no such job, shelf or revision, or a name is too long or has characters that cannot be seen. Nothing is ever
    half done.

    Parameters
    ----------
    engine : Engine
        As `tables.opened` gives it.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine

    @classmethod
    def open(cls, where: str | Path | None = None) -> Self:
        """Open a shop, or start one.

        Parameters
        ----------
        where : str, Path or None
            A file on this computer's own disk, or ``postgresql://user@host/shop``; None takes the user's data folder.

        Returns
        -------
        Shop

        Raises
        ------
        InputError
            If the address cannot be read or another version of the program wrote there.
        NotKept
            If the database cannot be opened.
        """
        return cls(opened(default_at() if where is None else where))

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    def __enter__(self) -> Self:
        """Serve a `with` line."""
        return self

    def __exit__(self, *_: object) -> None:
        """Let go of the database."""
        self.close()

    def files(self, what: What = "job", *, deleted: bool = False) -> tuple[Kept, ...]:
        """List jobs or shelves, the latest saved first.

        Parameters
        ----------
        what : str
            ``job`` or ``shelf``.
        deleted : bool
            Whether to list those marked deleted instead.

        Returns
        -------
        tuple of Kept
        """
        r, f = revision_table.c, file_table.c
        last = select(r.file, func.max(r.n).label("n")).group_by(r.file).subquery()
        query = (
            select(f.id, f.what, f.name, f.deleted, r.n, r.at, r.who)
            .join(last, last.c.file == f.id)
            .join(revision_table, and_(r.file == f.id, r.n == last.c.n))
            .where(f.what == what, f.deleted.is_not(None) if deleted else f.deleted.is_(None))
            .order_by(r.at.desc(), f.id.desc())
        )
        with working(self.engine) as connection:
            rows = connection.execute(query).all()
        return tuple(
            Kept(row.id, row.what, row.name, row.n, _time(row.at), row.who, row.deleted and _time(row.deleted))
            for row in rows
        )

    def create(
        self,
        name: str,
        text: bytes,
        *,
        what: What = "job",
        who: str = "",
        why: str = "",
        kind: Literal["created", "imported"] = "created",
    ) -> Revision:
        """Start a job or a shelf from its text, which is kept byte for byte.

        Parameters
        ----------
        name : str
            What the list calls it.
        text : bytes
            A job file's or a shelf's, UTF-8; it need not be free of faults.
        what : str
            ``job`` or ``shelf``.
        who, why : str
            Kept beside it.
        kind : str
            ``created``, or ``imported`` from a file.

        Returns
        -------
        Revision
            The first.

        Raises
        ------
        InputError
            If the text is no text or too large.
        """
        _sound(name, who, why, text)
        if what not in get_args(What):
            raise InputError([f"{what!r:.60}: the shop keeps a job or a shelf"])
        with working(self.engine, writes=True) as connection:
            file = _new_file(connection, what, name)
            return _add(connection, Revision(file, 1, _now(), who, why, kind, _digest(text), None, None, None, text))

    def latest(self, file: int) -> Revision:
        """Return the latest revision.

        Parameters
        ----------
        file : int
            Of the job or shelf.

        Returns
        -------
        Revision
        """
        with working(self.engine) as connection:
            return _last(connection, file)

    def revision(self, file: int, n: int) -> Revision:
        """Return one revision.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        n : int
            Its number.

        Returns
        -------
        Revision
        """
        with working(self.engine) as connection:
            return _at(connection, file, n)

    def history(self, file: int) -> tuple[Entry, ...]:
        """List all revisions without their text, the latest first.

        Parameters
        ----------
        file : int
            Of the job or shelf.

        Returns
        -------
        tuple of Entry
        """
        r = revision_table.c
        query = select(*_ENTRY).select_from(_LABELLED).where(r.file == file).order_by(r.n.desc())
        with working(self.engine) as connection:
            _file(connection, file)
            return tuple(Entry(**_fields(row)) for row in connection.execute(query))

    def save(
        self,
        file: int,
        text: bytes,
        *,
        began: str,
        who: str = "",
        why: str = "",
        kind: Literal["saved", "merged"] = "saved",
    ) -> Revision:
        """Keep a new revision; the same text as the latest writes nothing.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        text : bytes
            The whole of it.
        began : str
            The `mark` of the revision it was made from.
        who, why : str
            Kept beside it.
        kind : str
            ``saved``, or ``merged`` with somebody else's.

        Returns
        -------
        Revision
            The latest, on disk by now.

        Raises
        ------
        Stale
            If something else was saved since; nothing is written.
        InputError
            If the text is no text or too large, or the job is deleted.
        """
        _sound("-", who, why, text)
        with working(self.engine, writes=True) as connection:
            last = _last(connection, file, lock=True)
            digest = _digest(text)
            if digest == last.sha256:
                return last
            _fresh(connection, last, began, text)
            return _add(connection, _next(last, text=text, sha256=digest, who=who, why=why, kind=kind))

    def undo(self, file: int, *, began: str, who: str = "") -> Revision:
        """Bring back what stood before the latest change, as a new revision.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        began : str
            The `mark` of the revision that is looked at.
        who : str
            Kept beside it.

        Returns
        -------
        Revision
            With the older text.

        Raises
        ------
        Stale
            If something else was saved since.
        InputError
            If there is nothing to undo.
        """
        return self._step(file, began, who, "undone")

    def redo(self, file: int, *, began: str, who: str = "") -> Revision:
        """Bring back what was undone last, as a new revision.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        began : str
            The `mark` of the revision that is looked at.
        who : str
            Kept beside it.

        Returns
        -------
        Revision
            With the newer text.

        Raises
        ------
        Stale
            If something else was saved since.
        InputError
            If there is nothing to redo.
        """
        return self._step(file, began, who, "redone")

    def _step(self, file: int, began: str, who: str, kind: Literal["undone", "redone"]) -> Revision:
        _sound("-", who, "")
        with working(self.engine, writes=True) as connection:
            last = _last(connection, file, lock=True)
            _fresh(connection, last, began, None)
            n = last.undo_to if kind == "undone" else last.redo_to
            if n is None:
                raise InputError([f"nothing to {'undo' if kind == 'undone' else 'redo'}"])
            to = _at(connection, file, n)
            redo_to = last.n if kind == "undone" else to.redo_to
            again = replace(to, n=last.n + 1, at=_now(), who=who, why="", kind=kind, label=None, redo_to=redo_to)
            return _add(connection, again)

    def restore(self, file: int, n: int, *, began: str, who: str = "") -> Revision:
        """Bring back any older revision, as a new one; an undo takes that back.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        n : int
            Of the revision to bring back.
        began : str
            The `mark` of the revision that is looked at.
        who : str
            Kept beside it.

        Returns
        -------
        Revision
            The latest, with the older text; nothing is written if it is the same.

        Raises
        ------
        Stale
            If something else was saved since.
        """
        _sound("-", who, "")
        with working(self.engine, writes=True) as connection:
            last = _last(connection, file, lock=True)
            _fresh(connection, last, began, None)
            old = _at(connection, file, n)
            if old.sha256 == last.sha256:
                return last
            back = _next(last, text=old.text, sha256=old.sha256, who=who, why=f"revision {n}", kind="restored")
            return _add(connection, back)

    def copy(self, file: int, name: str, *, n: int | None = None, who: str = "") -> Revision:
        """Start a job or a shelf from a revision of another.

        Parameters
        ----------
        file : int
            To copy.
        name : str
            Of the copy.
        n : int or None
            Which revision; None takes the latest.
        who : str
            Kept beside it.

        Returns
        -------
        Revision
            The copy's first.
        """
        _sound(name, who, "")
        with working(self.engine, writes=True) as connection:
            old = _last(connection, file) if n is None else _at(connection, file, n)
            row = _file(connection, file)
            new = _new_file(connection, row.what, name)
            why = f"copy of {row.name}, revision {old.n}"
            return _add(
                connection, Revision(new, 1, _now(), who, why, "copied", old.sha256, None, None, None, old.text)
            )

    def label(self, file: int, n: int, label: str) -> None:
        """Give a revision a name of its own, such as "as cut"; an empty one takes it away.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        n : int
            The revision.
        label : str
            Its name.
        """
        _sound(label or "-", "", "")
        c = label_table.c
        with working(self.engine, writes=True) as connection:
            _file(connection, file, lock=True)
            _at(connection, file, n)
            connection.execute(delete(label_table).where(c.file == file, c.n == n))
            if label:
                connection.execute(insert(label_table).values(file=file, n=n, label=label))

    def rename(self, file: int, name: str) -> None:
        """Change what the list calls a job or a shelf.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        name : str
            The new name.
        """
        _sound(name, "", "")
        self._mark(file, name=name)

    def delete(self, file: int) -> None:
        """Take a job or a shelf off the list; nothing is erased.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        """
        self._mark(file, deleted=_kept(_now()))

    def bring_back(self, file: int) -> None:
        """Put a deleted job or shelf on the list again.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        """
        self._mark(file, deleted=None)

    def _mark(self, file: int, **values: str | None) -> None:
        with working(self.engine, writes=True) as connection:
            _file(connection, file, lock=True)
            connection.execute(update(file_table).where(file_table.c.id == file).values(values))


def _file(connection: Connection, file: int, *, lock: bool = False) -> Row[Any]:
    query = select(file_table).where(file_table.c.id == _whole(file))
    row = connection.execute(query.with_for_update() if lock else query).one_or_none()
    if row is None:
        raise InputError([f"the shop keeps no job or shelf with number {file}"])
    return row


def _last(connection: Connection, file: int, *, lock: bool = False) -> Revision:
    """Return the latest revision; locked, it stays the latest, and a deleted file is refused."""
    row = _file(connection, file, lock=lock)
    if lock and row.deleted:
        raise InputError([f"{row.name}: was deleted on {row.deleted[:10]}; bring it back, then save"])
    return _at(connection, file, select(func.max(revision_table.c.n)).where(revision_table.c.file == file))


def _at(connection: Connection, file: int, n: Any) -> Revision:
    r = revision_table.c
    number = _whole(n) if isinstance(n, int) else n.scalar_subquery()
    query = select(*_ENTRY, r.text).select_from(_LABELLED).where(r.file == _whole(file), r.n == number)
    row = connection.execute(query).one_or_none()
    if row is None:
        raise InputError([f"there is no revision {n} of number {file}"])
    return Revision(**_fields(row))


def _fresh(connection: Connection, last: Revision, began: str, mine: bytes | None) -> None:
    """Refuse what was not made from the latest revision."""
    if began == last.mark:
        return
    number = began.partition("-")[0]
    base = None
    if number.isdecimal() and len(number) < 10 and 0 < int(number) <= last.n:
        base = _at(connection, last.file, int(number))
    raise Stale(base if base and base.mark == began else None, mine, last)


def _next(last: Revision, *, text: bytes, sha256: str, who: str, why: str, kind: Kind) -> Revision:
    return Revision(last.file, last.n + 1, _now(), who, why, kind, sha256, None, last.n, None, text)


def _new_file(connection: Connection, what: str, name: str) -> int:
    row = connection.execute(insert(file_table).values(what=what, name=name).returning(file_table.c.id))
    return int(row.scalar_one())


def _add(connection: Connection, new: Revision) -> Revision:
    values = {column.name: getattr(new, column.name) for column in revision_table.c}
    connection.execute(insert(revision_table).values(values | {"at": _kept(new.at)}))
    return new


def _fields(row: Any) -> dict[str, Any]:
    return row._asdict() | {"at": _time(row.at)}


def _whole(number: int) -> int:
    """Let 0, which nothing has, stand for all numbers that no column of a server could hold."""
    return number if 0 < number < 2**31 else 0


def _digest(text: bytes) -> str:
    return hashlib.sha256(text).hexdigest()


def _now() -> datetime:
    return datetime.now(UTC)


def _kept(at: datetime) -> str:
    return at.isoformat(timespec="microseconds")


def _time(kept: str) -> datetime:
    return datetime.fromisoformat(kept)


def _sound(name: str, who: str, why: str, text: bytes = b"-") -> None:
    faults = []
    for what, words in (("name", name), ("who", who), ("why", why)):
        if len(words) > LONGEST:
            faults.append(f"{what}: {len(words)} characters; keep it under {LONGEST + 1}")
        if any(unicodedata.category(letter) in ("Cc", "Cs") for letter in words):
            faults.append(f"{what}: has a line break or a character that cannot be seen; type it on one line")
    if not name.strip():
        faults.append("name: empty; type one")
    if len(text) > LARGEST:
        faults.append(f"text: larger than {LARGEST // 1_000_000} MB, so neither a job nor a shelf")
    try:
        if not text.decode("utf-8").strip():
            faults.append("text: empty")
    except UnicodeDecodeError:
        faults.append("text: not plain text (UTF-8), so neither a job nor a shelf")
    if faults:
        raise InputError(faults)
