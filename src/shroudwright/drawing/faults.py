"""A file that would be wrong is not written.

ExportFault    what is wrong with it, by rule
"""

from collections.abc import Sequence


class ExportFault(Exception):
    """A written file does not say what was designed: the program's fault, never the builder's.

    Parameters
    ----------
    code : str
        Of the rule, D03 to D13.
    faults : sequence of str
        One line each.
    """

    def __init__(self, code: str, faults: Sequence[str]) -> None:
        super().__init__("; ".join(faults))
        self.code = code
        self.faults = tuple(faults)
