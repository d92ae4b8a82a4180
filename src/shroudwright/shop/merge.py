"""Two people's changes to one job, joined field by field.

merge   what both began from, mine, theirs -> one text and the fields both changed
Merged  that
Clash   a field both changed
"""

import copy
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from shroudwright.bench.errors import InputError

_Path = tuple[str | int, ...]
_GONE: Any = object()
_NAMED_BY = ("code", "name")


@dataclass(frozen=True)
class Clash:
    """A field both changed, differently."""

    place: str
    """such as ``core.width``; of a list that both made longer or shorter, ``fans``"""
    base: Any
    """what stood there; None where it was not there"""
    mine: Any
    theirs: Any
    """what stands in the joined text"""


@dataclass(frozen=True)
class Merged:
    """Two people's changes in one text."""

    text: bytes
    """theirs with every change of mine that does not clash"""
    clashes: tuple[Clash, ...]
    comments: tuple[str, ...]
    """whole lines of comment that only mine has and that are not carried over"""


def merge(base: bytes, mine: bytes, theirs: bytes) -> Merged:
    """Join two people's changes to one job, field by field.

    A field only one of them changed takes that change. A field both changed keeps theirs, which is saved already, and
    is listed. Lists of fans, coolers or cases are joined item by item while they are as long as they were, or one side
    only added at the end; otherwise the whole list is one field. An item whose name or code changed is one field, for
    it may be another thing. Theirs keeps its comments and its numbers as typed; what is taken from mine brings its own.

    Parameters
    ----------
    base : bytes
        The text both began from.
    mine, theirs : bytes
        What each made of it.

    Returns
    -------
    Merged

    Raises
    ------
    InputError
        If one of them cannot be read, or no text was found that reads as it should; then one must be chosen.
    """
    faults, plain, styled = [], [], []
    for whose, text in (("what both began from", base), ("mine", mine), ("theirs", theirs)):
        try:
            words = text.decode("utf-8-sig")
            plain.append(tomllib.loads(words))
            styled.append(tomlkit.parse(words))
        except (ValueError, TOMLKitError, RecursionError):
            faults.append(f"{whose}: not TOML, so it cannot be joined field by field; choose one of the two")
    if faults:
        raise InputError(faults)
    clashes: list[Clash] = []
    changes = list(_changes((), plain[0], plain[1], plain[2], clashes))
    expected: Any = plain[2]
    for path, value in changes:
        _put(expected, path, value)
    words = _written(styled[2], styled[1], changes, expected)
    held = {*_comments(base), *_comments(words.encode())}
    lost = tuple(line for line in _comments(mine) if line not in held)
    return Merged(words.encode("utf-8"), tuple(clashes), lost)


def _changes(at: _Path, base: Any, mine: Any, theirs: Any, clashes: list[Clash]) -> Iterator[tuple[_Path, Any]]:
    """Yield what has to be changed in theirs; note what both changed."""
    if _same(mine, base) or _same(mine, theirs):
        return
    if _same(theirs, base):
        yield from _whole(at, base, mine)
    elif all(isinstance(each, dict) for each in (base, mine, theirs)) and not _renamed(at, base, mine, theirs):
        for key in {**theirs, **mine, **base}:
            yield from _changes((*at, key), base.get(key, _GONE), mine.get(key, _GONE), theirs.get(key, _GONE), clashes)
    elif _joinable(base, mine, theirs):
        for index, was in enumerate(base):
            yield from _changes((*at, index), was, mine[index], theirs[index], clashes)
        for index in range(len(base), len(mine)):
            yield (*at, index), mine[index]
    else:
        shown = (None if each is _GONE else each for each in (base, mine, theirs))
        clashes.append(Clash(".".join(map(str, at)), *shown))


def _whole(at: _Path, base: Any, mine: Any) -> Iterator[tuple[_Path, Any]]:
    """Yield mine where theirs is as it was: field by field, so that comments beside the others stay."""
    if isinstance(base, dict) and isinstance(mine, dict):
        for key in {**mine, **base}:
            if not _same(base.get(key, _GONE), mine.get(key, _GONE)):
                yield from _whole((*at, key), base.get(key, _GONE), mine.get(key, _GONE))
    elif _joinable(base, mine, base) and len(base) == len(mine):
        for index, was in enumerate(base):
            if not _same(was, mine[index]):
                yield from _whole((*at, index), was, mine[index])
    else:
        yield at, mine


def _same(one: Any, other: Any) -> bool:
    """Whether two values are alike in kind as well: 1, 1.0 and true are three."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return one is other or (type(one) is type(other) and repr(one) == repr(other))


def _renamed(at: _Path, *items: dict[str, Any]) -> bool:
    """Whether an item of a list may have become another thing."""
    in_list = bool(at) and isinstance(at[-1], int)
    return in_list and any(
        not _same(items[0].get(key, _GONE), item.get(key, _GONE)) for key in _NAMED_BY for item in items
    )


def _joinable(base: Any, mine: Any, theirs: Any) -> bool:
    """Whether lists of tables can be laid side by side."""
    lists = (base, mine, theirs)
    if not all(isinstance(each, list) and each and all(isinstance(item, dict) for item in each) for each in lists):
        return False
    longer = [each for each in (mine, theirs) if len(each) != len(base)]
    return not longer or (len(longer) == 1 and len(longer[0]) > len(base) and _same(longer[0][: len(base)], base))


def _put(tree: Any, path: _Path, value: Any) -> None:
    """Set, add or take out what stands at a path."""
    *above, last = path
    for step in above:
        tree = tree[step]
    if value is _GONE:
        tree.pop(last, None)
    elif isinstance(last, int) and last == len(tree):
        tree.append(value)
    else:
        tree[last] = value


def _written(theirs: Any, mine: Any, changes: list[tuple[_Path, Any]], expected: dict[str, Any]) -> str:
    """Write my changes into their text and read it back; sections that come out otherwise are written anew."""
    for anew in (False, True):
        document = copy.deepcopy(theirs)
        try:
            for path, value in changes:
                if anew:
                    _put(document, path[:1], expected.get(str(path[0]), _GONE))
                else:
                    _put(document, path, value if value is _GONE else _styled(mine, path))
            words = tomlkit.dumps(document)
            if _same(tomllib.loads(words), expected):
                return words
        except (ValueError, TypeError, LookupError, AttributeError, TOMLKitError):
            continue
    raise InputError(["the two cannot be joined by machine; choose one and type the other's changes"])


def _styled(mine: Any, path: _Path) -> Any:
    for step in path:
        mine = mine[step]
    return copy.deepcopy(mine)


def _comments(text: bytes) -> list[str]:
    lines = (line.strip() for line in text.decode("utf-8-sig").splitlines())
    return [line for line in lines if line.startswith("#")]
