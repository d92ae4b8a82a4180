"""Whether frames lie on a face side by side or stacked, each turned or not, and whether one clears what is behind.

least_boxes    every least box that holds the frames
room_wanted    the box that comes nearest to a face
clears         whether some place on the face keeps a frame's motors off the spots that are too shallow
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations

import numpy as np

Box = tuple[float, float]
Spot = tuple[float, float, float]
"""x, y and radius from the core's lower left corner, [m]"""
ROUNDING = 1e-9
_PLACES = 17


def least_boxes(frames: Sequence[Box]) -> tuple[Box, ...]:
    """Return every least box that holds the frames, none overlapping, their sides along the box's.

    Four rectangles or fewer can always be parted by a straight cut, so cutting in two again and again finds
    every way of laying them; five are the fewest that can lie like a pinwheel.

    Parameters
    ----------
    frames : sequence of (float, float)
        Width and height of each, up to four, [m]

    Returns
    -------
    tuple of (float, float)
        Width and height, none inside another, [m]
    """
    return _least(tuple(sorted((max(frame), min(frame)) for frame in frames)))


@lru_cache(4096)
def _least(frames: tuple[Box, ...]) -> tuple[Box, ...]:
    if len(frames) == 1:
        long, short = frames[0]
        found = {(long, short), (short, long)}
    else:
        found = set()
        rest = range(1, len(frames))
        for part in (part for size in range(len(rest)) for part in combinations(rest, size)):
            ours = _least(tuple(frames[i] for i in (0, *part)))
            theirs = _least(tuple(frames[i] for i in rest if i not in part))
            for a, b in ((a, b) for a in ours for b in theirs):
                found |= {(a[0] + b[0], max(a[1], b[1])), (max(a[0], b[0]), a[1] + b[1])}
    return tuple(box for box in found if not any(_is_inside(other, box) for other in found if other != box))


def _is_inside(box: Box, other: Box) -> bool:
    return box[0] <= other[0] and box[1] <= other[1]


def room_wanted(frames: Sequence[Box], width: float, height: float) -> Box:
    """Return the least box of the frames that comes nearest to lying within a face.

    Parameters
    ----------
    frames : sequence of (float, float)
        Width and height of each, [m]
    width, height : float
        Of the face, [m]

    Returns
    -------
    (float, float)
        Width and height; within the face where any box is, [m]
    """
    return min(least_boxes(frames), key=lambda box: (max(box[0] - width, box[1] - height), box))


def clears(frame: Box, motors: int, motor: float, face: Box, shallow: Sequence[Spot]) -> bool:
    """Whether a frame can be put somewhere on a face with its motors off every spot that is too shallow.

    Parameters
    ----------
    frame : (float, float)
        Longer side first, [m]
    motors : int
        Evenly spaced along the longer side.
    motor : float
        Diameter of what stands out behind, [m]
    face : (float, float)
        Width and height, [m]
    shallow : sequence of (float, float, float)
        Spots too shallow for it, [m]

    Returns
    -------
    bool
        Tried at 17 x 17 places each way round; a frame wider than the face clears nothing.
    """
    if not shallow:
        return True
    spots = np.array(shallow)
    along = (np.arange(motors) - 0.5 * (motors - 1)) * frame[0] / motors
    for width, height, lying in ((*frame, 1.0), (*frame[::-1], 0.0)):
        if width > face[0] + ROUNDING or height > face[1] + ROUNDING:
            continue
        x = np.linspace(0.5 * width, face[0] - 0.5 * width, _PLACES)[:, None, None, None] + lying * along[:, None]
        y = np.linspace(0.5 * height, face[1] - 0.5 * height, _PLACES)[:, None, None] + (1.0 - lying) * along[:, None]
        apart = np.hypot(x - spots[:, 0], y - spots[:, 1]) - spots[:, 2] - 0.5 * motor
        if np.any(np.all(apart >= -ROUNDING, axis=(2, 3))):
            return True
    return False
