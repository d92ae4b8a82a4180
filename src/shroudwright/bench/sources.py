"""Where facts come from: one line each, named by key, with how each was seen.

`SOURCES` is the one list; findings, tables and docs quote its keys.
"""

PRACTICE = "common practice, no source"
MEMORY = "from memory"

SOURCES: dict[str, str] = {
    "practice": "Common practice, no source.",
    "memory": "From memory, not checked.",
}


def cite(key: str) -> str:
    """Return the one-line reference behind a key.

    Parameters
    ----------
    key : str
        A key of `SOURCES`, [text]

    Returns
    -------
    str
        The reference.

    Raises
    ------
    KeyError
        If no such source is kept.
    """
    return SOURCES[key]
