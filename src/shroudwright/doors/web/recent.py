"""The last few of something, kept.

Recent
"""

from collections import OrderedDict
from typing import TypeVar

Key = TypeVar("Key")
Value = TypeVar("Value")


class Recent(OrderedDict[Key, Value]):
    """A mapping whose new things push out those that were longest not asked for, by ``[]`` or by putting them in.

    Parameters
    ----------
    most : int
        Things kept.
    """

    def __init__(self, most: int) -> None:
        super().__init__()
        self._most = most

    def __getitem__(self, key: Key) -> Value:
        """Return what is kept, now the newest."""
        found = super().__getitem__(key)
        self.move_to_end(key)
        return found

    def __setitem__(self, key: Key, value: Value) -> None:
        """Keep it as the newest."""
        super().__setitem__(key, value)
        self.move_to_end(key)
        if len(self) > self._most:
            del self[next(iter(self))]
