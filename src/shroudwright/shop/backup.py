"""Backups of a whole shop in one file.

back_up   a dated copy beside the work, while others go on saving
put_back  a backup over what is there, after a copy of that
"""

import os
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine

from shroudwright.bench.errors import InputError
from shroudwright.shop.errors import NotKept
from shroudwright.shop.store import Shop
from shroudwright.shop.tables import LAYOUT

_SERVER = (
    "this shop is kept on a PostgreSQL server; {} there: "
    "pg_dump --format=custom --file=shop.dump NAME copies it, pg_restore --clean --dbname=NAME shop.dump puts it back"
)


def back_up(shop: Shop, folder: str | Path) -> Path:
    """Copy a whole shop to a dated file, while others go on saving.

    The copy is of one moment, read back and checked before it gets its name.

    Parameters
    ----------
    shop : Shop
        To copy.
    folder : str or Path
        Where to; best on another disk. Made if it is not there.

    Returns
    -------
    Path
        Of the copy, a shop's file like any other.

    Raises
    ------
    InputError
        If the shop is on a server, or the folder cannot be written to.
    NotKept
        If the copy cannot be made or does not read back.
    """
    _embedded(shop.engine, "back it up")
    folder = Path(folder)
    path = folder / f"shop-{datetime.now():%Y-%m-%d-%H%M%S-%f}.db"
    part = path.with_suffix(".part")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        part.touch(exist_ok=False)
    except (OSError, ValueError) as error:
        raise InputError([f"{folder}: a backup cannot be written there ({error.__class__.__name__})"]) from None
    try:
        with closing(sqlite3.connect(part)) as copy:
            _copy(shop.engine, copy, put=False)
            copy.execute("PRAGMA journal_mode=DELETE").close()
        _check(part)
        os.replace(part, path)
    except sqlite3.Error as error:
        raise NotKept(error) from error
    finally:
        part.unlink(missing_ok=True)
    return path


def put_back(shop: Shop, backup: str | Path, folder: str | Path) -> Path:
    """Put a backup in the place of all that a shop keeps.

    Whatever was saved since the backup is gone from the shop; a copy of it is made first. A screen that was open
    meanwhile is told so when it saves.

    Parameters
    ----------
    shop : Shop
        To be overwritten.
    backup : str or Path
        As `back_up` made it.
    folder : str or Path
        Where the copy of what is there now goes.

    Returns
    -------
    Path
        Of that copy.

    Raises
    ------
    InputError
        If there is no such backup, it is not a shop's or of another version, or the shop is on a server.
    NotKept
        If the database cannot do it; the shop is then as it was.
    """
    _embedded(shop.engine, "put it back")
    backup = Path(backup)
    if not backup.is_file():
        raise InputError([f"{backup}: no such file"])
    try:
        _check(backup)
    except sqlite3.Error:
        raise InputError([f"{backup}: not a backup of a shop, or damaged; nothing was changed"]) from None
    before = back_up(shop, folder)
    try:
        with closing(_read_only(backup)) as copy:
            _copy(shop.engine, copy, put=True)
    except sqlite3.Error as error:
        raise NotKept(error) from error
    return before


def _embedded(engine: Engine, wanted: str) -> None:
    if engine.dialect.name != "sqlite":
        raise InputError([_SERVER.format(wanted)])


def _copy(engine: Engine, other: sqlite3.Connection, *, put: bool) -> None:
    pooled = engine.raw_connection()
    try:
        mine = pooled.driver_connection
        assert isinstance(mine, sqlite3.Connection)
        if put:
            other.backup(mine)
        else:
            mine.backup(other)
    finally:
        pooled.close()


def _read_only(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)


def _check(path: Path) -> None:
    """Read a copy through from end to end."""
    with closing(_read_only(path)) as copy:
        said = copy.execute("PRAGMA integrity_check").fetchone()[0]
        if said != "ok":
            raise sqlite3.DatabaseError(f"malformed: {said}")
        layout = copy.execute("SELECT layout FROM shop").fetchone()
    if layout != (LAYOUT,):
        raise InputError([f"{path}: kept by another version of the program"])
