"""The shop's store: histories, two screens, a killed writer, backups, hostile text."""

import json
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, precondition, rule, run_state_machine_as_test
from sqlalchemy import event, text

from shroudwright.bench.errors import InputError
from shroudwright.shop import NotKept, Revision, Shop, Stale, back_up, put_back
from shroudwright.shop.limits import LONGEST
from shroudwright.shop.tables import default_at
from tests.shops import killed, missing, race, some_text

ROOT = Path(__file__).parent.parent
DEMO = (ROOT / "src/shroudwright/job/demo.job.toml").read_bytes()
HOSTILE = "Robert'); DROP TABLE revision;-- \" % _ \\ $$ ${x} {{x}} <script> é 車"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    with Shop.open(tmp_path / "shop.db") as opened:
        yield opened


class Histories(RuleBasedStateMachine):
    """One job beside plain lists: what was done, what may be undone, what may be redone."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.shop = Shop.open(self.folder / "shop.db")
        self.last = self.shop.create("build", b"a = 0")
        self.all, self.past, self.future = [b"a = 0"], [b"a = 0"], list[bytes]()

    def teardown(self) -> None:
        assert [self.shop.revision(self.last.file, n + 1).text for n in range(len(self.all))] == self.all
        assert [entry.n for entry in self.shop.history(self.last.file)] == [*range(len(self.all), 0, -1)]
        self.shop.close()
        shutil.rmtree(self.folder)

    def took(self, new: Revision) -> None:
        self.last = new
        assert new == self.shop.latest(new.file)
        assert (new.n, new.text) == (len(self.all), self.past[-1])
        assert (new.undo_to is not None) == (len(self.past) > 1)
        assert (new.redo_to is not None) == bool(self.future)

    def add(self, words: bytes) -> None:
        if words != self.past[-1]:
            self.all.append(words)
            self.past.append(words)
            self.future.clear()

    @rule(value=st.integers(0, 3))
    def save(self, value: int) -> None:
        words = b"a = %d" % value
        self.add(words)
        self.took(self.shop.save(self.last.file, words, began=self.last.mark))

    @precondition(lambda self: len(self.past) > 1)
    @rule()
    def undo(self) -> None:
        self.future.append(self.past.pop())
        self.all.append(self.past[-1])
        self.took(self.shop.undo(self.last.file, began=self.last.mark))

    @precondition(lambda self: self.future)
    @rule()
    def redo(self) -> None:
        self.past.append(self.future.pop())
        self.all.append(self.past[-1])
        self.took(self.shop.redo(self.last.file, began=self.last.mark))

    @rule(share=st.floats(0, 1))
    def restore(self, share: float) -> None:
        n = round(share * (len(self.all) - 1)) + 1
        self.add(self.all[n - 1])
        self.took(self.shop.restore(self.last.file, n, began=self.last.mark))

    @rule()
    def reload(self) -> None:
        self.shop.close()
        self.shop = Shop.open(self.folder / "shop.db")

    @rule()
    def nothing_left(self) -> None:
        for step, left in ((self.shop.undo, len(self.past) > 1), (self.shop.redo, bool(self.future))):
            if not left:
                with pytest.raises(InputError, match="nothing to"):
                    step(self.last.file, began=self.last.mark)

    @precondition(lambda self: len(self.all) > 1)
    @rule(back=st.integers(1, 5))
    def another_screen(self, back: int) -> None:
        old = self.shop.revision(self.last.file, max(1, len(self.all) - back))
        with pytest.raises(Stale) as caught:
            self.shop.save(old.file, b"a = 99", began=old.mark)
        assert (caught.value.base, caught.value.mine, caught.value.theirs) == (old, b"a = 99", self.last)


@pytest.mark.law("saves, undo, redo, restore and stale saves against plain lists, the file reopened between")
def test_histories() -> None:
    run_state_machine_as_test(
        Histories,
        settings=settings(
            max_examples=8, stateful_step_count=15, deadline=None, suppress_health_check=[HealthCheck.too_slow]
        ),
    )


@pytest.mark.behaviour("undo goes back all the way, redo forth again; a save in between ends what may be redone")
def test_undo_and_redo(shop: Shop) -> None:
    last = shop.create("x", b"a = 1")
    for words in (b"a = 2", b"a = 3"):
        last = shop.save(last.file, words, began=last.mark)
    seen = []
    for step in (shop.undo, shop.undo, shop.redo, shop.redo, shop.undo):
        last = step(last.file, began=last.mark)
        seen.append(last.text)
    assert seen == [b"a = 2", b"a = 1", b"a = 2", b"a = 3", b"a = 2"]
    last = shop.save(last.file, b"a = 4", began=last.mark)
    with pytest.raises(InputError, match="nothing to redo"):
        shop.redo(last.file, began=last.mark)
    assert shop.undo(last.file, began=last.mark).text == b"a = 2"


@pytest.mark.behaviour("a job comes back byte for byte, with who and why")
def test_bytes_as_given(shop: Shop) -> None:
    given = b"\xef\xbb\xbf" + DEMO.replace(b"\n", b"\r\n") + b"# \x00 no end of line"
    first = shop.create("canyon", given, who="Ana", why="from the stick", kind="imported")
    assert shop.latest(first.file) == first == shop.revision(first.file, 1)
    assert (first.text, first.who, first.why, first.kind) == (given, "Ana", "from the stick", "imported")


@pytest.mark.behaviour("list, copy, name a revision, rename, delete and bring back")
def test_list(shop: Shop) -> None:
    first = shop.create("pickup", b"a = 1")
    shelf = shop.create("our fans", b"code,blade\n", what="shelf")
    second = shop.save(first.file, b"a = 2", began=first.mark, who="Bo")
    copied = shop.copy(first.file, "pickup two", n=1, who="Bo")
    assert (copied.text, copied.why) == (b"a = 1", "copy of pickup, revision 1")
    assert [(kept.name, kept.n) for kept in shop.files()] == [("pickup two", 1), ("pickup", 2)]
    assert [kept.file for kept in shop.files("shelf")] == [shelf.file]
    shop.label(first.file, 1, "as quoted")
    shop.label(first.file, 1, "as cut")
    assert [entry.label for entry in shop.history(first.file)] == [None, "as cut"]
    shop.label(first.file, 1, "")
    assert shop.revision(first.file, 1).label is None
    shop.rename(first.file, "old pickup")
    shop.delete(first.file)
    assert [kept.name for kept in shop.files()] == ["pickup two"]
    assert [kept.name for kept in shop.files(deleted=True)] == ["old pickup"] == [shop.kept(first.file).name]
    with pytest.raises(InputError, match=r"old pickup: was deleted on .* bring it back"):
        shop.save(first.file, b"a = 3", began=second.mark)
    shop.bring_back(first.file)
    assert shop.save(first.file, b"a = 3", began=second.mark).n == 3


@pytest.mark.behaviour("the same text writes nothing, even from an old screen")
def test_same_text(shop: Shop) -> None:
    first = shop.create("x", b"a = 1")
    second = shop.save(first.file, b"a = 2", began=first.mark)
    assert shop.save(first.file, b"a = 2", began=first.mark) == second
    assert shop.restore(first.file, 2, began=second.mark) == second
    assert len(shop.history(first.file)) == 2


@pytest.mark.behaviour("an undo from an old screen is refused: it would undo somebody else's work")
def test_stale_undo(shop: Shop) -> None:
    first = shop.create("x", b"a = 1")
    second = shop.save(first.file, b"a = 2", began=first.mark, who="Cy")
    for step in (shop.undo, shop.redo):
        with pytest.raises(Stale, match=r"revision 2 was saved by Cy at .* nothing was overwritten") as caught:
            step(first.file, began=first.mark)
        assert (caught.value.base, caught.value.mine, caught.value.theirs) == (first, None, second)
    with pytest.raises(Stale):
        shop.restore(first.file, 1, began=first.mark)


@pytest.mark.parametrize("began", ["", "1", "2-", "99-x", "-1-x", "²-x", "1" * 5000, HOSTILE])
@pytest.mark.behaviour("a beginning that is none is a stale one")
def test_odd_beginning(shop: Shop, began: str) -> None:
    first = shop.create("x", b"a = 1")
    with pytest.raises(Stale) as caught:
        shop.save(first.file, b"a = 2", began=began)
    assert caught.value.base is None
    assert shop.marked(first.file, began) is None
    assert shop.marked(first.file, first.mark) == first


@pytest.mark.law("two and more writers: every save is kept, one after another, and each refusal is told")
def test_writers(tmp_path: Path) -> None:
    where = tmp_path / "shop.db"
    with Shop.open(where) as shop:
        file = shop.create("x", b"a = 1\n").file
        done = race(where, file, 3, 8)
        assert done["saved"] == 24
        assert shop.latest(file).n == 25
        assert len(set(shop.latest(file).text.splitlines())) == 25


@pytest.mark.law("a writer killed at work loses no save it had said was kept")
def test_killed(tmp_path: Path) -> None:
    where = tmp_path / "shop.db"
    with Shop.open(where) as shop:
        file = shop.create("x", b"a = 1").file
        for seed in (1, 2):
            said = killed(where, file, 3 * seed, 1000 * seed)
            assert len(said) >= 3 * seed
            assert missing(shop, file, said) == []
        assert shop.save(file, b"a = 2", began=shop.latest(file).mark).text == b"a = 2"


@pytest.mark.law("the long count of killed writers and of writers at once, as committed")
def test_long_count() -> None:
    found = json.loads((ROOT / "docs/studies/storage.json").read_text(encoding="utf-8"))
    assert found["kills"] >= 20
    assert found["said to be saved"] >= 200
    assert found["lost"] == found["files damaged"] == 0
    for at_once in found["writers at once"].values():
        assert at_once["saved"] == at_once["asked"] >= 160


@pytest.mark.behaviour("a backup opens elsewhere while others go on saving; putting it back keeps what was there")
def test_backup(shop: Shop, tmp_path: Path) -> None:
    first = shop.create("x", b"a = 1")
    path = back_up(shop, tmp_path / "disk" / "backups")
    assert [each.name for each in path.parent.iterdir()] == [path.name]
    moved = path.rename(tmp_path / "elsewhere.db")
    second = shop.save(first.file, b"a = 2", began=first.mark)
    with Shop.open(moved) as other:
        assert other.latest(first.file) == first
    before = put_back(shop, moved, tmp_path / "disk" / "backups")
    assert shop.latest(first.file) == first
    with Shop.open(before) as other:
        assert other.latest(first.file) == second
    # A screen open meanwhile holds a revision 2 that is another's now.
    theirs = shop.save(first.file, b"a = 3", began=first.mark)
    with pytest.raises(Stale) as caught:
        shop.save(first.file, b"a = 4", began=second.mark)
    assert (caught.value.base, caught.value.theirs) == (None, theirs)


@pytest.mark.behaviour("what is no backup is refused and changes nothing")
def test_no_backup(shop: Shop, tmp_path: Path) -> None:
    first = shop.create("x", b"a = 1")
    (tmp_path / "words.db").write_bytes(b"not a database at all, just words\n" * 99)
    with closing(sqlite3.connect(tmp_path / "other.db")) as other:
        other.execute("CREATE TABLE shop (colour)").close()
    whole = back_up(shop, tmp_path / "b")
    (tmp_path / "half.db").write_bytes(whole.read_bytes()[:5000])
    for name, says in (
        ("none.db", "no such file"),
        *((each, "damaged") for each in ("words.db", "other.db", "half.db")),
    ):
        with pytest.raises(InputError, match=says):
            put_back(shop, tmp_path / name, tmp_path / "b")
    (tmp_path / "file").touch()
    with pytest.raises(InputError, match="cannot be written there"):
        back_up(shop, tmp_path / "file")
    assert shop.latest(first.file) == first
    assert len([*(tmp_path / "b").iterdir()]) == 1


@pytest.mark.behaviour("hostile words stay words")
def test_hostile(shop: Shop) -> None:
    check_hostile(shop)


def check_hostile(shop: Shop) -> None:
    """Hold hostile words against a shop on any database."""
    first = shop.create(HOSTILE, HOSTILE.encode() + b"\0", who=HOSTILE, why=HOSTILE)
    shop.label(first.file, 1, HOSTILE)
    kept = shop.revision(first.file, 1)
    assert (kept.text, kept.who, kept.why, kept.label) == (HOSTILE.encode() + b"\0", HOSTILE, HOSTILE, HOSTILE)
    assert HOSTILE in [each.name for each in shop.files()]
    large = some_text(3, 1_000_000)
    assert shop.save(first.file, large, began=first.mark) == shop.latest(first.file)
    assert shop.latest(first.file).text == large
    for name in ("a\0b", "a\nb", "a\x1bb", "\ud800", "", "  ", "x" * (LONGEST + 1)):
        with pytest.raises(InputError, match=r"name: (has a line break|empty|201 characters)"):
            shop.create(name, b"a = 1")
        with pytest.raises(InputError):
            shop.rename(first.file, name)
    with pytest.raises(InputError, match=r"who: .*\nwhy: .*\ntext: empty"):
        shop.save(first.file, b" ", began=first.mark, who="x" * 500, why="\r")
    with pytest.raises(InputError, match="not plain text"):
        shop.create("x", b"\xff\xfe")
    with pytest.raises(InputError, match="larger than 5 MB"):
        shop.create("x", b"#" * 5_000_001)
    with pytest.raises(InputError, match="a job or a shelf"):
        shop.create("x", b"a = 1", what=HOSTILE)  # type: ignore[arg-type]
    for number in (0, -1, 999, 2**31, 2**70):
        with pytest.raises(InputError, match="no job or shelf"):
            shop.latest(number)
        with pytest.raises(InputError, match="no revision"):
            shop.revision(first.file, number)


@pytest.mark.behaviour("a file that is no shop's, is another version's, or is held is said, not thrown")
def test_unusable(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    words = tmp_path / "words.db"
    words.write_bytes(b"not a database at all, just words\n" * 99)
    with pytest.raises(NotKept, match="not a shop's"):
        Shop.open(words)
    assert words.read_bytes().startswith(b"not a database")
    with pytest.raises(NotKept, match="cannot be opened"):
        Shop.open(tmp_path)
    with pytest.raises(InputError, match="folder cannot be made"):
        Shop.open(words / "shop.db")
    with pytest.raises(InputError, match="address cannot be read"):
        Shop.open("postgresql:shop?;")
    monkeypatch.setattr("shroudwright.shop.tables._BUSY", 0.05)
    where = tmp_path / "shop.db"
    with Shop.open(where) as shop, closing(sqlite3.connect(where, isolation_level=None)) as other:
        first = shop.create("x", b"a = 1")
        other.execute("BEGIN IMMEDIATE").close()
        with pytest.raises(NotKept, match="another program holds"):
            shop.save(first.file, b"a = 2", began=first.mark)
        assert shop.latest(first.file) == first
        other.execute("ROLLBACK").close()
        with shop.engine.begin() as connection:
            connection.execute(text("UPDATE shop SET layout = 2"))
    with pytest.raises(InputError, match="another version"):
        Shop.open(where)


@pytest.mark.behaviour("a full disk is said, and what was kept stays")
def test_full_disk(shop: Shop) -> None:
    last = shop.create("x", b"a = 1")
    event.listen(shop.engine, "begin", lambda connection: connection.exec_driver_sql("PRAGMA max_page_count = 20"))
    last = shop.save(last.file, b"a = 2", began=last.mark)
    with pytest.raises(NotKept, match="the disk is full"):
        shop.save(last.file, some_text(1, 90_000), began=last.mark)
    assert shop.latest(last.file) == last
    assert shop.save(last.file, b"a = 3", began=last.mark).n == 3


@pytest.mark.law("a backup put back while a writer is at work leaves a whole shop, and the writer is told")
def test_put_back_under_a_writer(shop: Shop, tmp_path: Path) -> None:
    file = shop.create("x", b"a = 1\n").file
    path = back_up(shop, tmp_path / "b")
    with ThreadPoolExecutor(1) as pool:
        work = pool.submit(race, tmp_path / "shop.db", file, 1, 40)
        for _ in range(3):
            put_back(shop, path, tmp_path / "b")
        assert work.result()["saved"] == 40
    with shop.engine.connect() as connection:
        assert connection.scalar(text("PRAGMA integrity_check")) == "ok"
    assert [entry.n for entry in shop.history(file)] == [*range(len(shop.history(file)), 0, -1)]


@pytest.mark.behaviour("unless said otherwise the shop lies in the user's own data folder")
def test_default_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("platformdirs.user_data_dir", lambda name: str(tmp_path / name))
    with Shop.open() as shop:
        shop.create("x", b"a = 1")
    assert default_at() == tmp_path / "shroudwright" / "shop.db"
    assert default_at().exists()


@pytest.mark.behaviour("what is written is on the disk before it is said to be")
def test_durable(shop: Shop) -> None:
    with shop.engine.connect() as connection:
        settings = [
            connection.scalar(text(f"PRAGMA {name}")) for name in ("journal_mode", "synchronous", "busy_timeout")
        ]
    assert settings == ["wal", 2, 5000]
