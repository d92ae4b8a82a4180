"""Jobs and parts shelves, each a row of revisions that is only ever added to.

Shop   list, create, open, save, undo, copy, name, delete
"""

from dataclasses import replace
from pathlib import Path
from typing import Literal, Self, get_args

from sqlalchemy import Engine, and_, delete, insert, update

from shroudwright.bench.errors import InputError
from shroudwright.shop.limits import check
from shroudwright.shop.queries import (
    added,
    digest,
    file_row,
    following,
    fresh,
    history_of,
    last_of,
    listed,
    marked,
    new_file,
    now,
    revision_at,
    stamp,
)
from shroudwright.shop.rows import Entry, Kept, Revision, What
from shroudwright.shop.tables import default_at, file_table, label_table, opened, working


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
        f = file_table.c
        with working(self.engine) as connection:
            return listed(connection, and_(f.what == what, f.deleted.is_not(None) if deleted else f.deleted.is_(None)))

    def kept(self, file: int) -> Kept:
        """Return one line of the list, deleted or not.

        Parameters
        ----------
        file : int
            Of the job or shelf.

        Returns
        -------
        Kept
        """
        with working(self.engine) as connection:
            file_row(connection, file)
            return listed(connection, file_table.c.id == file)[0]

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
        check(name, who, why, text)
        if what not in get_args(What):
            raise InputError([f"{what!r:.60}: the shop keeps a job or a shelf"])
        with working(self.engine, writes=True) as connection:
            file = new_file(connection, what, name)
            return added(connection, Revision(file, 1, now(), who, why, kind, digest(text), None, None, None, text))

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
            return last_of(connection, file)

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
            return revision_at(connection, file, n)

    def marked(self, file: int, mark: str) -> Revision | None:
        """Return the revision with a mark, as a screen gives it back.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        mark : str
            Whatever was given back.

        Returns
        -------
        Revision or None
            None where it is no longer kept, or never was.
        """
        with working(self.engine) as connection:
            return marked(connection, last_of(connection, file), mark)

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
        with working(self.engine) as connection:
            return history_of(connection, file)

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
        check("-", who, why, text)
        with working(self.engine, writes=True) as connection:
            last = last_of(connection, file, lock=True)
            if digest(text) == last.sha256:
                return last
            fresh(connection, last, began, text)
            return added(connection, following(last, text, kind, who, why))

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
        check("-", who)
        with working(self.engine, writes=True) as connection:
            last = last_of(connection, file, lock=True)
            fresh(connection, last, began)
            n = last.undo_to if kind == "undone" else last.redo_to
            if n is None:
                raise InputError([f"nothing to {'undo' if kind == 'undone' else 'redo'}"])
            to = revision_at(connection, file, n)
            redo_to = last.n if kind == "undone" else to.redo_to
            again = replace(to, n=last.n + 1, at=now(), who=who, why="", kind=kind, label=None, redo_to=redo_to)
            return added(connection, again)

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
        check("-", who)
        with working(self.engine, writes=True) as connection:
            last = last_of(connection, file, lock=True)
            fresh(connection, last, began)
            old = revision_at(connection, file, n)
            if old.sha256 == last.sha256:
                return last
            return added(connection, following(last, old.text, "restored", who, f"revision {n}"))

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
        check(name, who)
        with working(self.engine, writes=True) as connection:
            old = last_of(connection, file) if n is None else revision_at(connection, file, n)
            row = file_row(connection, file)
            new = new_file(connection, row.what, name)
            why = f"copy of {row.name}, revision {old.n}"
            return added(
                connection, Revision(new, 1, now(), who, why, "copied", old.sha256, None, None, None, old.text)
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
        check(label or "-")
        c = label_table.c
        with working(self.engine, writes=True) as connection:
            file_row(connection, file, lock=True)
            revision_at(connection, file, n)
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
        check(name)
        self._mark(file, name=name)

    def delete(self, file: int) -> None:
        """Take a job or a shelf off the list; nothing is erased.

        Parameters
        ----------
        file : int
            Of the job or shelf.
        """
        self._mark(file, deleted=stamp(now()))

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
            file_row(connection, file, lock=True)
            connection.execute(update(file_table).where(file_table.c.id == file).values(values))
