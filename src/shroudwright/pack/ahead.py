"""What each cooler ahead of the core sheds per kelvin of its own fluid over the air that reaches it.

    heat_per_kelvin    for every record and every cooler, compiled

The cooler's own fins and depth set its air side; what its fluid side leaves of that is a share given from
outside.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.compiled import batch
from shroudwright.materials.air import specific_heat
from shroudwright.pack.air_path import cooler_share, core_of
from shroudwright.radiator.core import air_side, surface
from shroudwright.radiator.exchanger import effectiveness


@batch
def _run(params: Any, results: Any, film: Any, share: Any, capacity: Any, found: Any) -> None:
    for row in range(params.shape[0]):
        p = params[row]
        for i in range(int(p.ahead_count)):
            core, part = core_of(p.ahead[i]), p.open_share * cooler_share(p, i)
            through = results[row].ahead_air_flow[i]
            outer, _, _, _ = air_side(core, surface(core), through / part, film[row], p.humidity_ratio)
            UA = share[row, i] * part * p.j_scale * outer
            C_air = through * specific_heat(film[row], p.humidity_ratio)
            C_min = min(C_air, capacity[row, i])
            found[row, i] = C_min * effectiveness(UA / C_min, C_min / max(C_air, capacity[row, i]))


def heat_per_kelvin(
    params: NDArray[Any],
    results: NDArray[Any],
    film: NDArray[np.float64],
    share: NDArray[np.float64],
    capacity: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Heat each cooler ahead sheds per kelvin of its fluid over the air that reaches it.

    eps C_min, exact cross flow; 1/UA is the air side's own over ``share``

    Parameters
    ----------
    params : array
        Rows of `PARAMS`, shape (n,).
    results : array
        The same rows solved, of `RESULT`.
    film : array
        Film temperature of the air through them, shape (n,), [K]
    share : array
        Conductance of each cooler over that of its air side alone, shape (n, coolers), [-]
    capacity : array
        Flow times specific heat of its fluid, infinite where it condenses, shape (n, coolers), [W/K]

    Returns
    -------
    array
        Shape (n, coolers), [W/K]

    Notes
    -----
    Limits: a cooler's air spread evenly over it.
    Accuracy: that of ``share``, a guess until the cooler is tested.

    References
    ----------
    `radiator.air_side` and `radiator.exchanger.effectiveness`.
    """
    found = np.full(share.shape, np.nan)
    _run(params, results, film, share, capacity, found)
    return found
