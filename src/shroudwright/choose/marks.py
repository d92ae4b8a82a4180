"""Which sets no other beats.

unbeaten    one mark per set
"""

import numpy as np
from numpy.typing import NDArray


def unbeaten(columns: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Mark the rows that no other row beats: as good in every column and better in one.

    A column in which one of two rows is not known is left out of the comparison of those two.

    Parameters
    ----------
    columns : array
        Less is better; nan is not known; shape (rows, columns).

    Returns
    -------
    marks : array
        True where no other row is at least as good in all and better in one, shape (rows,).
    """
    mine, other = columns[:, np.newaxis], columns[np.newaxis]
    is_as_good = ~np.any(other > mine, axis=2)
    is_better = np.any(other < mine, axis=2)
    return np.asarray(~np.any(is_as_good & is_better, axis=1))
