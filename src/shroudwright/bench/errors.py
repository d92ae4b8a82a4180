"""The errors a person may meet. Every message says what, the value as typed, and what to do."""

from collections.abc import Sequence


class ShopError(Exception):
    """Anything the program refuses to do, with its reason in plain words."""


class InputError(ShopError, ValueError):
    """One or more impossible inputs, all of them listed.

    Parameters
    ----------
    faults : sequence of str
        One plain line per fault.
    """

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


class OutOfRange(ShopError, ValueError):
    """A value no answer exists for, with the range that does have one.

    Parameters
    ----------
    what : str
        The quantity, in words.
    value, low, high : float
        The value asked for and the range allowed, in the unit named.
    unit : str
        Unit of all three.
    """

    def __init__(self, what: str, value: float, low: float, high: float, unit: str) -> None:
        self.value, self.low, self.high, self.unit = value, low, high, unit
        super().__init__(f"{what} {value:g} {unit} is outside {low:g} to {high:g} {unit}")
