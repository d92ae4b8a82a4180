"""Where labels go so that none covers another.

stacked    places in a column, as near as may be to where each is wanted
"""

from collections.abc import Sequence


def stacked(wanted: Sequence[float], step: float) -> list[float]:
    """Place labels in a column.

    Parameters
    ----------
    wanted : sequence of float
        Where each would stand best, rising, [m]
    step : float
        Least distance of two, [m]

    Returns
    -------
    list of float
        Rising, at least a step apart, their distances to where they are wanted least in squares, [m]

    Notes
    -----
    Limits: none. Accuracy: exact; pooling of adjacent violators on the places less their rank's steps.

    References
    ----------
    Isotonic regression, any textbook of statistics, from memory.
    """
    pools: list[tuple[float, int]] = []
    for rank, place in enumerate(wanted):
        total, count = place - rank * step, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            before, many = pools.pop()
            total, count = total + before, count + many
        pools.append((total, count))
    level = [total / count for total, count in pools for _ in range(count)]
    return [place + rank * step for rank, place in enumerate(level)]
