"""Whether a core's face is square.

top_shift
"""

from shroudwright.bench.registry import offer

SQUARE = 3.2e-3
"""1/8 in a core may be out of square before a flange is fitted to it: common practice, no source, [m]"""


@offer
def top_shift(width: float, rising: float, falling: float) -> float:
    """How far the top of a core's face stands to the right of where it would square to its bottom.

    (rising**2 - falling**2) / (4 width), from the two diagonals of a parallelogram.

    Parameters
    ----------
    width : float
        Of the face, [m]
    rising : float
        Diagonal from the lower left to the upper right corner, [m]
    falling : float
        Diagonal from the upper left to the lower right corner, [m]

    Returns
    -------
    shift : float
        Negative to the left, [m]

    Notes
    -----
    Limits: both long sides equal, and both short ones. Accuracy: the tape's, magnified by diagonal over width.

    References
    ----------
    Law of cosines.
    """
    return (rising**2 - falling**2) / (4.0 * width)
