"""Words the room takes.

pick    the row of a table behind a word
"""

from collections.abc import Mapping
from typing import TypeVar

from shroudwright.bench.errors import InputError

Row = TypeVar("Row")


def pick(table: Mapping[str, Row], word: str, what: str) -> Row:
    """Return the row behind a word, or refuse with the words there are."""
    if word not in table:
        raise InputError([f"no {what} is called {word!r}; choose from {', '.join(table)}"])
    return table[word]
