"""What may be kept: sizes and characters.

check   every fault of a name, a who, a why and a text at once
"""

import unicodedata

from shroudwright.bench.errors import InputError
from shroudwright.job.files import LARGEST

LONGEST = 200
"""Most characters of a name, of who and of why."""


def check(name: str, who: str = "", why: str = "", text: bytes = b"-") -> None:
    """Refuse what cannot be kept.

    Parameters
    ----------
    name, who, why : str
        Each on one line.
    text : bytes
        UTF-8.

    Raises
    ------
    InputError
        With one plain line for every fault.
    """
    faults = []
    for what, words in (("name", name), ("who", who), ("why", why)):
        if len(words) > LONGEST:
            faults.append(f"{what}: {len(words)} characters; keep it under {LONGEST + 1}")
        if any(unicodedata.category(letter) in ("Cc", "Cs") for letter in words):
            faults.append(f"{what}: has a line break or a character that cannot be seen; type it on one line")
    if not name.strip():
        faults.append("name: empty; type one")
    if len(text) > LARGEST:
        faults.append(f"text: larger than {LARGEST // 1_000_000} MB, so neither a job nor a shelf")
    try:
        if not text.decode("utf-8").strip():
            faults.append("text: empty")
    except UnicodeDecodeError:
        faults.append("text: not plain text (UTF-8), so neither a job nor a shelf")
    if faults:
        raise InputError(faults)
