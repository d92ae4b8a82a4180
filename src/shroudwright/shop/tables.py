"""The shop's tables, and how a database is opened.

opened      an engine on a file or a server, tables made where there are none
working     one transaction, faults said in plain words
default_at  where the shop's file lies unless said otherwise
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import platformdirs
from sqlalchemy import (
    URL,
    Column,
    Connection,
    Engine,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    create_engine,
    event,
    insert,
    make_url,
    select,
    text,
)
from sqlalchemy.exc import ArgumentError, SQLAlchemyError

from shroudwright.bench.errors import InputError
from shroudwright.shop.errors import NotKept

LAYOUT = 1
"""Number of this set of tables; a change of theirs adds one."""
_BUSY = 5.0
"""How long to wait for another program to finish writing, [s]"""
_LOCK = 7_318_001

metadata = MetaData()
shop_table = Table("shop", metadata, Column("layout", Integer, primary_key=True, autoincrement=False))
file_table = Table(
    "file",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("what", String(8), nullable=False),
    Column("name", Text, nullable=False),
    Column("deleted", String(32)),
    sqlite_autoincrement=True,
)
revision_table = Table(
    "revision",
    metadata,
    Column("file", ForeignKey("file.id"), primary_key=True),
    Column("n", Integer, primary_key=True, autoincrement=False),
    Column("at", String(32), nullable=False),
    Column("who", Text, nullable=False),
    Column("why", Text, nullable=False),
    Column("kind", String(8), nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("text", LargeBinary, nullable=False),
    Column("undo_to", Integer),
    Column("redo_to", Integer),
)
label_table = Table(
    "label",
    metadata,
    Column("file", Integer, primary_key=True),
    Column("n", Integer, primary_key=True),
    Column("label", Text, nullable=False),
    ForeignKeyConstraint(["file", "n"], ["revision.file", "revision.n"]),
)


def default_at() -> Path:
    """Return where the shop's file lies unless said otherwise: the user's own data folder."""
    return Path(platformdirs.user_data_dir("shroudwright")) / "shop.db"


def opened(where: str | Path) -> Engine:
    """Open a database; make its tables where there are none.

    Parameters
    ----------
    where : str or Path
        A file, or the address of a PostgreSQL database.

    Returns
    -------
    Engine

    Raises
    ------
    InputError
        If the address cannot be read or a newer program wrote there.
    NotKept
        If the database cannot be opened.
    """
    if isinstance(where, str) and where.startswith(("postgresql:", "postgres:")):
        engine = _server(where)
    else:
        engine = _embedded(Path(where))
    try:
        with working(engine, writes=True) as connection:
            if engine.dialect.name == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
            metadata.create_all(connection)
            layout = connection.scalar(select(shop_table.c.layout))
            if layout is None:
                connection.execute(insert(shop_table).values(layout=LAYOUT))
    except BaseException:
        engine.dispose()
        raise
    if layout is not None and layout != LAYOUT:
        engine.dispose()
        raise InputError([f"kept by another version of the program (storage {layout}; this one reads {LAYOUT})"])
    return engine


def _server(where: str) -> Engine:
    try:
        url = make_url(where).set(drivername="postgresql+psycopg")
        return create_engine(url, hide_parameters=True, pool_pre_ping=True)
    except (ArgumentError, ValueError):
        raise InputError(["the database's address cannot be read; type it like postgresql://user@host/shop"]) from None
    except ModuleNotFoundError as error:
        raise NotKept(error) from None


def _embedded(path: Path) -> Engine:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError):
        raise InputError([f"{path.parent}: this folder cannot be made"]) from None
    engine = create_engine(
        URL.create("sqlite", database=str(path)), hide_parameters=True, connect_args={"timeout": _BUSY}
    )

    @event.listens_for(engine, "connect")
    def _settle(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # transactions are begun below, not by the driver
        for line in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
            connection.execute(f"PRAGMA {line}").close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # A writer takes its place in the queue before it reads what it builds on.
        connection.exec_driver_sql("BEGIN IMMEDIATE" if connection.get_execution_options().get("writes") else "BEGIN")

    return engine


@contextmanager
def working(engine: Engine, *, writes: bool = False) -> Iterator[Connection]:
    """Do all of one piece of work or none of it.

    Parameters
    ----------
    engine : Engine
        The database.
    writes : bool
        Whether it will write.

    Raises
    ------
    NotKept
        With what the database says, in plain words.
    """
    try:
        with engine.connect().execution_options(writes=writes) as connection, connection.begin():
            yield connection
    except SQLAlchemyError as error:
        raise NotKept(error) from error
