"""Numbers and arrays of numbers.

Draws    a float, or one number per draw
"""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Draws: TypeAlias = float | NDArray[np.float64]
