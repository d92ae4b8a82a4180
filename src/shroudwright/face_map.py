"""What air speeds read over a core's face say of the model.

calibrated    a job with its map's factors found

Two things are found. How uneven the readings are says how much is lost behind the core: the share of the head lost on
turning into an opening is moved until the field is as uneven at the same spots. How fast they are says how much air the
fans really move.
"""

from typing import Any

import numpy as np

from shroudwright.bench.errors import InputError
from shroudwright.job.circuits import STANDING, circuits_of
from shroudwright.job.fields import place_of
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import flatten
from shroudwright.job.heat_load import heat_load
from shroudwright.job.in_hand import filled_at_medians
from shroudwright.job.model import Job
from shroudwright.job.plenum import STANDARD_LAW, Behind, behind_of, blowers_of
from shroudwright.job.quantity import Reading
from shroudwright.job.table import field_of
from shroudwright.pack.air_path import core_key, setup_of
from shroudwright.pack.cells import FINE_CELLS, Blowers
from shroudwright.pack.kernel import balance_air
from shroudwright.pack.plenum import field_at

LEAST_SPOTS = 5
_LEAST_TURNING, _MOST_TURNING = 0.1, 4.0
_ROUNDS = 12
_CLOSE = 2e-3


def calibrated(job: Job) -> Job:
    """Find what a job's map of face speeds says of its plenum and its fans.

    Parameters
    ----------
    job : Job
        As read.

    Returns
    -------
    Job
        With both factors in its calibration; as it was where it has no map.

    Raises
    ------
    InputError
        If the map cannot be used, with every reason.
    """
    spots = job.shroud.face_map
    if not spots:
        return job
    index = _case_of(job)
    x, y, read = (np.array([row[column].value for row in spots]) for column in range(3))
    filled = filled_at_medians(job)
    behind = behind_of(filled)
    faults = []
    if behind is None:
        faults.append("shroud.face_map: there is no shroud with fans to spread the air; leave the map out")
    if len(spots) < LEAST_SPOTS:
        faults.append(f"shroud.face_map: {len(spots)} spots are too few; read nine, {LEAST_SPOTS} at least")
    width, height = float(filled["core.width"][0]), float(filled["core.height"][0])
    outside = (x < 0.0) | (x > width) | (y < 0.0) | (y > height)
    faults += [
        f"shroud.face_map: row {row + 1} is off the core's face; give x and y from its lower left corner"
        for row in np.flatnonzero(outside)
    ]
    if np.any(read <= 0.0):
        faults.append("shroud.face_map: a speed of nothing is no reading; leave the spot out")
    if faults or behind is None:
        raise InputError(faults)
    plenum, share = _fit(job, index, behind, (x, y), read)
    place = place_of(field_of("calibration.fan_flow"))
    if place is None or not place.low <= share <= place.high:
        raise InputError(
            [
                f"shroud.face_map: so much air would take fans of {share:.2f} times their curves; "
                "look at the readings' unit"
            ]
        )
    found = {"plenum": _factor(plenum), "fan_flow": _factor(share)}
    return job.model_copy(update={"calibration": job.calibration.model_copy(update=found)})


def _case_of(job: Job) -> int:
    names = [case.name for case in job.cases]
    wanted = job.shroud.face_map_case
    if wanted is not None:
        if wanted not in names:
            raise InputError(
                [f"shroud.face_map_case: no driving case is called {wanted!r}; there are {', '.join(names)}"]
            )
        return names.index(wanted)
    standing = [i for i, case in enumerate(job.cases) if case.kind in STANDING]
    if not standing:
        raise InputError(["shroud.face_map: say in face_map_case in which driving case it was read; none stands"])
    return standing[0]


def _factor(value: float) -> Reading:
    return Reading(f"{value:.3g}", value, "measured", None, "number")


def _fit(
    job: Job,
    index: int,
    behind: Behind,
    spots: tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]],
    read: np.ndarray[Any, Any],
) -> tuple[float, float]:
    """Loss of the plenum over the field's, and fan flow over the curves'."""
    cells = behind.cells(FINE_CELLS)
    j = np.minimum(((spots[1] - cells.bottom) / cells.dy).astype(int), cells.depth.shape[0] - 1)
    i = np.minimum(((spots[0] - cells.left) / cells.dx).astype(int), cells.depth.shape[1] - 1)
    bare = np.flatnonzero(cells.core[j, i] <= 0.0)
    if bare.size:
        raise InputError(
            [f"shroud.face_map: row {row + 1} is read where no shroud covers the core; leave it out" for row in bare]
        )
    unevenness = float(np.std(read) / np.mean(read))
    filled = filled_at_medians(job)
    p: Any = flatten(filled, index, heat_load(filled, index), circuits_of(filled))[0]
    blowers: Blowers = blowers_of(filled, p)
    start = float(p.fan_scale[0])
    plenum, flow = 1.0, 1.0
    for _ in range(_ROUNDS):
        k, share, speed = _working(filled, p, plenum, flow * start)
        low, high = _LEAST_TURNING, _MOST_TURNING
        for _ in range(_ROUNDS):
            turning = 0.5 * (low + high)
            field, spread = field_at(cells, blowers, STANDARD_LAW._replace(turning=turning), k, share)
            at_spots = field.speed[j, i] / spread.face_velocity
            low, high = (turning, high) if np.std(at_spots) / np.mean(at_spots) < unevenness else (low, turning)
        _, ordinary = field_at(cells, blowers, STANDARD_LAW, k, share)
        more = float(np.mean(read)) / (float(np.mean(at_spots)) * speed)
        moved = abs(spread.K / ordinary.K - plenum) + abs(more - 1.0)
        plenum, flow = spread.K / ordinary.K, flow * more
        if moved < _CLOSE:
            break
    return plenum, flow * start


def _working(filled: Filled, p: Any, plenum: float, flow: float) -> tuple[float, float, float]:
    """Core loss, its linear share and the face speed at the working point, on entering air as a meter reads it."""
    p = p.copy()
    p.plenum_loss = np.arcsinh(plenum * np.sinh(p.plenum_loss))
    p.fan_scale = flow
    air, flows = balance_air(p, float(p.heat))
    k, share, speed = core_key(p, setup_of(p), air, flows)
    return k, share, speed * air.density_out / air.density_mixed
