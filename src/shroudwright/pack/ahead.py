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
from shroudwright.pack.balance import core_of
from shroudwright.radiator.core import air_side, surface
from shroudwright.radiator.exchanger import effectiveness


@batch
def _run(params: Any, air_mass_flow: Any, air: Any, share: Any, capacity: Any, found: Any) -> None:
    for row in range(params.shape[0]):
        p = params[row]
        for i in range(int(p.ahead_count)):
            core = core_of(p.ahead[i])
            outer, _, _, _ = air_side(core, surface(core), air_mass_flow[row], air[row], p.humidity_ratio)
            UA = share[row, i] * p.ahead_cover[i] * p.j_scale * outer
            C_air = p.ahead_cover[i] * air_mass_flow[row] * specific_heat(air[row], p.humidity_ratio)
            C_min = min(C_air, capacity[row, i])
            found[row, i] = C_min * effectiveness(UA / C_min, C_min / max(C_air, capacity[row, i]))


def heat_per_kelvin(
    params: NDArray[Any],
    air_mass_flow: NDArray[np.float64],
    air: NDArray[np.float64],
    share: NDArray[np.float64],
    capacity: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Heat each cooler ahead sheds per kelvin of its fluid over the air that reaches it.

    eps C_min, exact cross flow; 1/UA is the air side's own over ``share``

    Parameters
    ----------
    params : array
        Rows of `PARAMS`, shape (n,).
    air_mass_flow : array
        Through the whole face, shape (n,), [kg/s]
    air : array
        Film temperature of that air, shape (n,), [K]
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
    Limits: air spread evenly over the face, a cooler's share of it by its area.
    Accuracy: that of ``share``, a guess until the cooler is tested.

    References
    ----------
    `radiator.air_side` and `radiator.exchanger.effectiveness`.
    """
    found = np.full(share.shape, np.nan)
    _run(params, air_mass_flow, air, share, capacity, found)
    return found
