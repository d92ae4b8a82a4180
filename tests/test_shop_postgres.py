"""The shop's store on a PostgreSQL server of its own, started for these tests.

It needs Debian's package `postgresql` (or `initdb` and `pg_ctl` on the path) and says so where they are missing; with
CI_FULL set that is a failure.
"""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import URL, text

from shroudwright.bench.errors import InputError
from shroudwright.shop import NotKept, Shop, Stale, back_up, put_back
from shroudwright.shop.tables import LAYOUT
from tests.shops import race
from tests.test_shop_store import check_hostile

INSTALL = "no PostgreSQL server on this machine: apt-get install postgresql"


def tools() -> Path | None:
    """Return the folder of the server's programs."""
    found = shutil.which("initdb")
    folders = [*([Path(found).resolve().parent] if found else []), *Path("/usr/lib/postgresql").glob("*/bin")]
    return next((folder for folder in folders if (folder / "pg_ctl").exists()), None)


@pytest.fixture(scope="module")
def server() -> Iterator[str]:
    """Start a server that hears on a socket in its own folder only, as somebody who is not root."""
    programs = tools()
    if programs is None:
        (pytest.fail if os.environ.get("CI_FULL") else pytest.skip)(INSTALL)
    folder = Path(tempfile.mkdtemp(prefix="pg"))
    other: list[str] = []
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
        other = ["runuser", "-u", "postgres", "--"]
    data = str(folder / "data")

    def run(program: str, *words: str) -> None:
        command = [*other, str(programs / program), "-D", data, *words]
        done = subprocess.run(
            command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, check=False
        )
        assert done.returncode == 0, done.stderr

    try:
        run("initdb", "--username=shop", "--auth=trust", "--no-sync", "--encoding=UTF8", "--locale=C")
        options = f"-c listen_addresses= -c unix_socket_directories={folder} -c fsync=off"
        run("pg_ctl", "start", "-w", "-l", str(folder / "log"), "-o", options)
        try:
            url = URL.create("postgresql", "shop", database="postgres", query={"host": str(folder)})
            yield url.render_as_string()
        finally:
            run("pg_ctl", "stop", "-m", "immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def shop(server: str) -> Iterator[Shop]:
    with Shop.open(server) as opened:
        yield opened


@pytest.mark.behaviour("save, undo, redo, restore, copy and list as in the embedded database")
def test_life(shop: Shop) -> None:
    first = shop.create("pickup", b"a = 1", who="Ana")
    second = shop.save(first.file, b"a = 2", began=first.mark)
    assert shop.save(first.file, b"a = 2", began=first.mark) == second
    with pytest.raises(Stale) as caught:
        shop.save(first.file, b"a = 3", began=first.mark)
    assert (caught.value.base, caught.value.mine, caught.value.theirs) == (first, b"a = 3", second)
    undone = shop.undo(first.file, began=second.mark)
    redone = shop.redo(first.file, began=undone.mark)
    restored = shop.restore(first.file, 1, began=redone.mark)
    assert [each.text for each in (undone, redone, restored)] == [b"a = 1", b"a = 2", b"a = 1"]
    shop.label(first.file, 2, "as cut")
    assert [(entry.n, entry.label) for entry in shop.history(first.file)][3] == (2, "as cut")
    copied = shop.copy(first.file, "pickup two", n=2)
    shop.delete(first.file)
    assert [(kept.name, kept.n) for kept in shop.files()] == [("pickup two", 1)]
    assert shop.latest(copied.file).text == b"a = 2"
    assert shop.latest(first.file) == restored


@pytest.mark.behaviour("hostile words stay words")
def test_hostile(shop: Shop) -> None:
    check_hostile(shop)


@pytest.mark.law("two and more writers: every save is kept, one after another, and each refusal is told")
def test_writers(shop: Shop, server: str) -> None:
    file = shop.create("x", b"a = 1\n").file
    assert race(server, file, 3, 8)["saved"] == 24
    assert shop.latest(file).n == 25
    assert len(set(shop.latest(file).text.splitlines())) == 25


@pytest.mark.behaviour("a backup of a server is told in words; what cannot be reached and another version are said")
def test_said(shop: Shop, server: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="pg_dump"):
        back_up(shop, tmp_path)
    with pytest.raises(InputError, match="pg_restore"):
        put_back(shop, tmp_path / "x.db", tmp_path)
    with pytest.raises(NotKept, match="server cannot be reached"):
        Shop.open(server + "-elsewhere")
    with pytest.raises(NotKept, match="no such database"):
        Shop.open(server.replace("/postgres?", "/nobodys?"))
    with shop.engine.begin() as connection:
        connection.execute(text("UPDATE shop SET layout = 99"))
    with pytest.raises(InputError, match="another version"):
        Shop.open(server)
    with shop.engine.begin() as connection:
        connection.execute(text("UPDATE shop SET layout = :mine"), {"mine": LAYOUT})
