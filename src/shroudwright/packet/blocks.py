"""The few kinds of block a packet is set from. Plain data: the template gives them their looks."""

from collections.abc import Sequence
from typing import Any

Block = dict[str, Any]
_LONGEST_WORD = 24
_BREAK_HERE = "\u200b"


def plain(words: str) -> str:
    """Return words a page can set: control letters out, and a place to break in every overlong word."""
    clean = "".join(letter for letter in words if letter.isprintable())
    return " ".join(_breakable(word) for word in clean.split(" "))


def _breakable(word: str) -> str:
    pieces = [word[i : i + _LONGEST_WORD] for i in range(0, len(word), _LONGEST_WORD)]
    return _BREAK_HERE.join(pieces)


def heading(words: str) -> Block:
    """Open a section."""
    return {"kind": "heading", "words": plain(words)}


def page() -> Block:
    """Start a new page."""
    return {"kind": "page"}


def words(text: str, size: float = 9.5, weight: str = "regular") -> Block:
    """Set a paragraph."""
    return {"kind": "words", "words": plain(text), "size": size, "weight": weight}


def picture(text: str, says: str) -> Block:
    """Set an SVG, with words for who cannot see it."""
    return {"kind": "picture", "svg": text, "alt": plain(says)}


def across(text: str, title: str, says: str, alt: str) -> Block:
    """Set an SVG on a page of its own that lies on its side, under a title and a paragraph."""
    return {"kind": "across", "svg": text, "title": plain(title), "words": plain(says), "alt": plain(alt)}


def items(lines: list[str]) -> Block:
    """Set a list."""
    return {"kind": "list", "items": [plain(line) for line in lines]}


def table(columns: str, rows: Sequence[tuple[str, ...]], size: float = 8.5) -> Block:
    """Set a table.

    Parameters
    ----------
    columns : str
        Heads parted by ``|``; before each a width and, for numbers set to the right, an ``r``: ``2 name | 1r volts``.
    rows : sequence of tuple of str
        Cells.
    size : float
        Of the letters, in points.
    """
    heads = [column.strip().partition(" ") for column in columns.split("|")]
    return {
        "kind": "table",
        "columns": [head for _, _, head in heads],
        "widths": [float(shape.rstrip("r")) for shape, _, _ in heads],
        "aligns": ["r" if shape.endswith("r") else "l" for shape, _, _ in heads],
        "rows": [[plain(cell) for cell in row] for row in rows],
        "size": size,
    }


def small_heading(words: str) -> Block:
    """Open a part of a section."""
    return {"kind": "small heading", "words": plain(words)}


def cards(filled: Sequence[dict[str, str]], across: int = 5) -> Block:
    """Set boxes to write in, side by side.

    Parameters
    ----------
    filled : sequence of dict
        Of each its ``no``, ``head``, ``says``, ``now`` and ``unit``.
    across : int
        How many side by side.
    """
    return {"kind": "cards", "across": across, "cards": [{k: plain(v) for k, v in card.items()} for card in filled]}


def form(heads: Sequence[tuple[str, str]], rows: Sequence[tuple[str, ...]]) -> Block:
    """Set a grid to write in.

    Parameters
    ----------
    heads : sequence of (str, str)
        Of each column, and a line under it.
    rows : sequence of tuple of str
        Of each its name, then what stands small in its boxes.
    """
    return {
        "kind": "form",
        "heads": [[plain(word) for word in head] for head in heads],
        "rows": [[plain(cell) for cell in row] for row in rows],
    }
