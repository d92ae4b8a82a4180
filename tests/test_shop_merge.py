"""Two people's changes to one job, joined field by field."""

import copy
import tomllib
from typing import Any

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.job.files import parse_job
from shroudwright.shop import Clash, merge
from tests.jobs import SMALL

BASE = SMALL.encode()


def swapped(*swaps: tuple[str, str]) -> bytes:
    """The small job with pieces of its text replaced."""
    text = SMALL
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new, 1)
    return text.encode()


@pytest.mark.behaviour("changes to different fields are all taken; comments and numbers stay as typed")
def test_different_fields() -> None:
    mine = swapped(
        ("width = 24.50            # taped twice", "width = 24.75  # taped again"), ('"11 A, box"', '"12 A, measured"')
    )
    theirs = swapped(('"17 in, measured"', '"17.5 in, measured"  # by Bo'), ('name = "hill"', 'name = "long hill"'))
    merged = merge(BASE, mine, theirs)
    assert merged.clashes == ()
    assert merged.comments == ()
    assert merged.text == swapped(
        ("width = 24.50            # taped twice", "width = 24.75  # taped again"),
        ('"11 A, box"', '"12 A, measured"'),
        ('"17 in, measured"', '"17.5 in, measured"  # by Bo'),
        ('name = "hill"', 'name = "long hill"'),
    )
    parse_job(merged.text, "merged")


@pytest.mark.behaviour("a field both changed keeps theirs and is listed; one changed alike is not")
def test_clash() -> None:
    mine = swapped(("24.50", "24.75"), ('blade = "14 in"', 'blade = "15 in"'), ("5 %", "6 %"))
    theirs = swapped(("24.50", "25.00"), ('blade = "14 in"', 'blade = "16 in"'), ("5 %", "6 %"))
    merged = merge(BASE, mine, theirs)
    assert merged.text == theirs
    assert merged.clashes == (
        Clash("core.width", 24.5, 24.75, 25.0),
        Clash("fans.0.blade", "14 in", "15 in", "16 in"),
    )


@pytest.mark.behaviour("a field taken out by one and changed by the other is listed")
def test_taken_out() -> None:
    without = swapped(("width = 24.50            # taped twice\n", ""))
    changed = swapped(("24.50", "25"))
    assert merge(BASE, without, changed).clashes == (Clash("core.width", 24.5, None, 25),)
    assert merge(BASE, changed, without).clashes == (Clash("core.width", 24.5, 25, None),)
    assert merge(BASE, without, BASE).text == without
    assert merge(BASE, BASE, without).text == without


@pytest.mark.behaviour("sections and items one side adds come with their comments")
def test_added() -> None:
    mine = BASE + b'\n[[fans]]\ncode = "C" # spare\nblade = "10 in"\n\n[shop]\nlabor_rate = 90 # new\n'
    theirs = swapped(('blade = "14 in"', 'blade = "16 in"'))
    merged = merge(BASE, mine, theirs)
    read = tomllib.loads(merged.text.decode())
    assert merged.clashes == ()
    assert [fan["blade"] for fan in read["fans"]] == ["16 in", "14 in", "10 in"]
    assert read["shop"] == {"labor_rate": 90}
    assert b"# spare" in merged.text
    assert b"# new" in merged.text
    again = merge(BASE, theirs, mine)
    assert (tomllib.loads(again.text.decode()), again.clashes) == (read, ())


@pytest.mark.behaviour("lists both made longer or shorter, and items that may be another thing, are one field")
def test_lists() -> None:
    second = '\n[[fans]]\ncode = "B"\nblade = "14 in"\n'
    fewer = swapped((second, ""))
    more = BASE + b'[[fans]]\ncode = "C"\nblade = "10 in"\n'
    changed = swapped(("1450", "1500"))
    assert [clash.place for clash in merge(BASE, fewer, more).clashes] == ["fans"]
    assert [clash.place for clash in merge(BASE, fewer, changed).clashes] == ["fans"]
    assert merge(BASE, fewer, BASE).text == fewer
    other = swapped(('code = "A"', 'code = "Z"'))
    assert [clash.place for clash in merge(BASE, other, changed).clashes] == ["fans.0"]
    assert merge(BASE, changed, other).text == other


@pytest.mark.behaviour("whole lines of comment that cannot be placed are handed back")
def test_comments_left() -> None:
    mine = swapped(("[core]", "# ask Bo about the neck\n[core]"), ("24.50", "24.75"))
    merged = merge(BASE, mine, swapped(("# a small job", "# a small job, theirs")))
    assert merged.comments == ("# ask Bo about the neck",)
    assert b"# a small job, theirs" in merged.text


@pytest.mark.behaviour("what is no TOML cannot be joined, and each is named")
@pytest.mark.parametrize("broken", [b"width = ", b"\xff", b"a = [" * 5000, b"a = 1\na = 2\n"])
def test_unreadable(broken: bytes) -> None:
    with pytest.raises(InputError, match=r"mine: not TOML.*\ntheirs: not TOML"):
        merge(BASE, broken, broken)


LEAF = st.one_of(
    st.integers(-3, 3),
    st.booleans(),
    st.sampled_from([0.0, 1.0, 2.5]),
    st.text("ab# =[\"'\n", max_size=4),
    st.lists(st.integers(0, 3), max_size=3),
)
TABLE = st.dictionaries(st.sampled_from("pqr"), LEAF, max_size=3)
JOB = st.fixed_dictionaries(
    {},
    optional={
        "name": LEAF,
        "note": LEAF,
        "core": TABLE,
        "engine": st.dictionaries(st.sampled_from("pq"), st.one_of(LEAF, TABLE), max_size=2),
        "fans": st.lists(TABLE.flatmap(lambda t: st.just({"code": "A"} | t)), min_size=1, max_size=3),
    },
)


@st.composite
def three(draw: st.DrawFn) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    """A job and two made from it, each with a few sections taken from others."""
    base = draw(JOB)
    made = []
    for _ in range(2):
        one, other = copy.deepcopy(base), draw(JOB)
        for key in draw(st.sets(st.sampled_from(["name", "note", "core", "engine", "fans"]), max_size=3)):
            one.pop(key, None)
            if key in other:
                one[key] = other[key]
        made.append(one)
    return base, made[0], made[1]


@pytest.mark.law("nothing changed is lost: each leaf is mine, theirs or a clash; alone, either side's text comes back")
@settings(max_examples=40, deadline=None)
@given(three())
def test_merge_laws(jobs: tuple[dict[str, Any], dict[str, Any], dict[str, Any]]) -> None:
    base, mine, theirs = (tomlkit.dumps(each).encode() for each in jobs)
    assert merge(base, base, theirs).text == theirs
    assert merge(base, mine, mine).text == mine
    assert tomllib.loads(merge(base, mine, base).text.decode()) == tomllib.loads(mine.decode())
    one, other = merge(base, mine, theirs), merge(base, theirs, mine)
    places = {clash.place for clash in one.clashes}
    assert places == {clash.place for clash in other.clashes}
    was, yours, ours = (leaves(tomllib.loads(each.decode())) for each in (base, mine, theirs))
    got, back = (leaves(tomllib.loads(each.text.decode())) for each in (one, other))
    for place in was.keys() | yours.keys() | ours.keys() | got.keys():
        if any(place == clash or place.startswith(f"{clash}.") or clash.startswith(f"{place}.") for clash in places):
            assert got.get(place) == ours.get(place)
            continue
        assert got.get(place) == back.get(place)
        changed = yours if yours.get(place) != was.get(place) else ours
        assert got.get(place) == changed.get(place)


def leaves(tree: Any, at: str = "") -> dict[str, str]:
    """Every value by its place, its kind told; a table or a list of tables also by being there."""
    if isinstance(tree, dict):
        inner = tree.items()
    elif isinstance(tree, list) and tree and all(isinstance(item, dict) for item in tree):
        inner = ((str(index), item) for index, item in enumerate(tree))  # type: ignore[assignment]
    else:
        return {at: repr(tree)}
    found = {at: "table"} if at else {}
    for key, value in inner:
        found |= leaves(value, f"{at}.{key}" if at else str(key))
    return found
