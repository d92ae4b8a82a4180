"""What must be measured in hand before metal is cut.

filled_at_medians    a job with every blank filled, at the medians alone
unmeasured           what is still missing, by name, and its fields
"""

import numpy as np

from shroudwright.job.filled import Filled
from shroudwright.job.metalwork import necks_cleared
from shroudwright.job.model import Job
from shroudwright.job.mounts import ENDS
from shroudwright.job.outline import REACHES
from shroudwright.job.priors import priors, words
from shroudwright.job.quantity import Reading


def filled_at_medians(job: Job) -> Filled:
    """Fill a job's blanks without a draw.

    Parameters
    ----------
    job : Job
        As read.

    Returns
    -------
    Filled
        One row in every number: its median.
    """
    return Filled(
        job,
        {path: np.array([prior.median]) for path, prior in priors(job).items()},
        {path: word.value for path, word in words(job).items()},
    )


def unmeasured(filled: Filled) -> dict[str, list[str]]:
    """Name what must be measured in hand before metal is cut: core outline, depth, frames, holes.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    dict of str to list of str
        Names in words, each with its fields not yet measured; empty once all are.
    """
    missing: dict[str, list[str]] = {}
    for name, place, reading in _wanted(filled):
        if reading is None or reading.standing != "measured":
            missing.setdefault(name, []).append(place)
    return missing


def _wanted(filled: Filled) -> list[tuple[str, str, Reading | None]]:
    job = filled.job
    shroud = job.shroud
    wanted: list[tuple[str, str, Reading | None]] = [
        ("core: width", "core.width", job.core.width),
        ("core: height", "core.height", job.core.height),
        ("shroud: depth", "shroud.depth", shroud.depth),
    ]
    for name in (*REACHES, "depth_top"):
        if typed := getattr(shroud, name):
            wanted.append((f"shroud: {name.replace('_', ' ')}", f"shroud.{name}", typed))
    cleared = necks_cleared(filled)
    wanted += [
        ("necks let into a side piece", f"space.necks.{i}.{name}", getattr(neck, name))
        for i, neck in enumerate(job.space.necks)
        if neck.x and neck.y and (neck.x.value, neck.y.value) in cleared
        for name in ("x", "y", "diameter", "reach")
    ]
    for i, row in enumerate(job.brackets):
        wanted += [
            (f"{row.name or f'bracket {i + 1}'}: both ends", f"brackets.{i}.{end}", getattr(row, end)) for end in ENDS
        ]
    wanted += [
        ("shroud: outline", f"shroud.outline.{i}.{axis}", cell)
        for i, row in enumerate(shroud.outline)
        for axis, cell in enumerate(row[:2])
    ]
    for i, fan in enumerate(job.fans):
        wanted += [(f"{fan.code}: {n.replace('_', ' ')}", f"fans.{i}.{n}", getattr(fan, n)) for n in _OF_A_FAN]
        holes = [(f"fans.{i}.holes.{j}.{k}", cell) for j, row in enumerate(fan.holes) for k, cell in enumerate(row)]
        circle = [(f"fans.{i}.{name}", getattr(fan, name)) for name in ("mount_circle", "mount_hole")]
        wanted += [(f"{fan.code}: mount holes", place, cell) for place, cell in holes or circle]
    return wanted


_OF_A_FAN = ("frame_size", "overall_depth")
