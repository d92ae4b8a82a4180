"""From a filled job to what stands behind the core, and whether it fits.

fit_of         fans, plate and what is in the way, every clearance and both rows
refit          the same with the fans elsewhere
"""

import math
from collections.abc import Iterator
from typing import NamedTuple

from shroudwright.bench.arcs import Outline
from shroudwright.job.filled import Filled
from shroudwright.job.metalwork import face_bends
from shroudwright.job.places import (
    box_of,
    drawing_outlines,
    flaps,
    opening_of,
    places,
    pushers_that_help,
    whole_outline,
)
from shroudwright.job.quantity import Reading
from shroudwright.shroud.bodies import HOSE_SWEEP, FanBody, Plate, Solid
from shroudwright.shroud.fit import Clearance, Row, clearances, room_wanted

_ANYWHERE = 100.0
_TANK = 1.0
"""How far tanks and side plates reach out from the core, which is never measured, [m]"""


class Fit(NamedTuple):
    """What stands behind the core, and how it fits."""

    fans: tuple[FanBody, ...]
    plate: Plate | None
    """Of several boxes the one round them all; none of its own is judged against it."""
    solids: tuple[Solid, ...]
    clearances: list[Clearance]
    rows: tuple[Row, ...]
    boxes: tuple[Plate, ...] = ()
    """Each box, where there are several."""

    def plate_of(self, fan: FanBody) -> Plate | None:
        """Return the plate a fan is on."""
        return self.boxes[_home(self.boxes, fan)] if self.boxes else self.plate


def fit_of(filled: Filled) -> Fit:
    """Work out every clearance of a job's fans.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Fit
        At the medians. Pushers ahead of pullers are left out; where all push, so is what is behind. Sizes
        nobody gave are not judged; a hub stands in for a motor.
    """
    helping = pushers_that_help(filled)
    chosen = [i for i in range(len(filled.job.fans)) if i not in helping]
    plate, boxes = _plate(filled), _boxes(filled)
    where = places(filled)
    fans = tuple(_body(filled, i, *where[i], has_plate=plate is not None) for i in chosen)
    pulls = any(filled.word(f"fans.{i}.direction") == "puller" for i in chosen)
    solids = tuple(_solids(filled)) if pulls else ()
    return refit(Fit(fans, plate, solids, [], (), boxes), fans)


def refit(fit: Fit, fans: tuple[FanBody, ...]) -> Fit:
    """Work out every clearance of fans elsewhere, behind the same core and shroud.

    Parameters
    ----------
    fit : Fit
        From `fit_of`.
    fans : tuple of FanBody
        [m]

    Returns
    -------
    Fit
    """
    plate, solids, boxes = fit.plate, fit.solids, fit.boxes
    if not boxes:
        rows = () if plate is None else room_wanted(fans, plate)
        return Fit(fans, plate, solids, clearances(fans, plate, solids), rows)
    homes = [_home(boxes, fan) for fan in fans]
    own = [[fan for fan, home in zip(fans, homes, strict=True) if home == index] for index in range(len(boxes))]
    found = [item for one, there in zip(boxes, own, strict=True) for item in clearances(there, one, solids)]
    box_of_fan = {fan.code: home for fan, home in zip(fans, homes, strict=True)}
    found += [
        item
        for item in clearances(fans, None, ())
        if len({box_of_fan[code] for code in item.between if code in box_of_fan}) > 1
    ]
    rows = tuple(row for one, there in zip(boxes, own, strict=True) for row in room_wanted(there, one))
    return Fit(fans, plate, solids, found, rows, boxes)


def _home(boxes: tuple[Plate, ...], fan: FanBody) -> int:
    return box_of([one.outline for one in boxes], fan.x, fan.y)


def _value(reading: Reading | None) -> float | None:
    return None if reading is None else reading.value


def _body(filled: Filled, i: int, x: float, y: float, *, has_plate: bool) -> FanBody:
    fan, at = filled.job.fans[i], f"fans.{i}."
    frame = _value(fan.frame_size)
    corner = _value(fan.frame_corner) or 0.0
    if frame is not None and filled.word(f"{at}frame") == "round":
        corner = 0.5 * frame
    return FanBody(
        code=fan.code,
        x=x,
        y=y,
        opening=opening_of(filled, i),
        frame=frame,
        corner=corner,
        overall_depth=_value(fan.overall_depth),
        depth_ahead=_value(fan.depth_ahead),
        motor=fan.motor.value if fan.motor else filled.median(f"{at}hub"),
        motor_inside=bool(filled.word(f"{at}motor_inside")),
        holes=tuple((across.value, up.value, size.value) for across, up, size in fan.holes),
        lead_exit=fan.lead_exit,
    )


def _plate(filled: Filled) -> Plate | None:
    if filled.word("shroud.type") == "none":
        return None
    divider = filled.job.shroud.divider
    return _laid(filled, whole_outline(filled), filled.median("shroud.depth"), divider.value if divider else None)


def _boxes(filled: Filled) -> tuple[Plate, ...]:
    if filled.word("shroud.type") == "none" or not filled.job.shroud_boxes:
        return ()
    common = filled.median("shroud.depth")
    return tuple(
        _laid(filled, outline, one.depth.value if one.depth else common, None)
        for outline, one in zip(drawing_outlines(filled), filled.job.shroud_boxes, strict=True)
    )


def _laid(filled: Filled, outline: Outline, depth: float, divider: float | None) -> Plate:
    flange = filled.median("space.lip_height") + filled.median("shroud.seal")
    tapered = filled.job.shroud.depth_top
    top = depth if tapered is None else depth + tapered.value - filled.median("shroud.depth")
    left, right, low, high = face_bends(filled, depth, top)
    return Plate(
        outline=outline,
        flange=flange,
        bottom=flange + depth,
        top=flange + top,
        thickness=filled.median("shop.sheet_thickness"),
        roll_bottom=low,
        roll_top=high,
        roll_left=left,
        roll_right=right,
        divider=divider,
        flaps=tuple(
            (
                hole.code,
                *hole.middle,
                0.5 * hole.width,
                0.5 * hole.height,
            )
            for hole in flaps(filled)
        ),
    )


def _solids(filled: Filled) -> Iterator[Solid]:
    space = filled.job.space
    for spot in space.depth_map:
        if spot.depth is None:
            continue
        near = spot.depth.value - filled.median("space.engine_rock")
        if spot.x is None or spot.y is None:
            yield Solid("what is behind the core", "engine", 0.0, 0.0, _ANYWHERE, _ANYWHERE, 0.0, near)
        else:
            half = 0.5 * spot.size.value if spot.size else 0.0
            name = f"what stands behind at {spot.x.typed}, {spot.y.typed}"
            yield Solid(name, "engine", spot.x.value, spot.y.value, half, half, half, near)
    # Rows that do not say where they are or how large were faults before it came to this.
    for keep_out in space.keep_outs:
        if keep_out.x and keep_out.y and keep_out.width and keep_out.height:
            wide, high = 0.5 * keep_out.width.value, 0.5 * keep_out.height.value
            name = keep_out.reason or f"the keep-out at {keep_out.x.typed}, {keep_out.y.typed}"
            near = keep_out.depth.value if keep_out.depth else 0.0
            yield Solid(name, "keep-out", keep_out.x.value + wide, keep_out.y.value + high, wide, high, 0.0, near)
    for neck in space.necks:
        if neck.x and neck.y and neck.diameter:
            x, y, half, sweep = neck.x.value, neck.y.value, 0.5 * neck.diameter.value, HOSE_SWEEP * neck.diameter.value
            far = neck.reach.value if neck.reach else math.inf
            name = f"the neck at {neck.x.typed}, {neck.y.typed}"
            yield Solid(name, "neck", x, y, half, half, half, 0.0, far)
            yield Solid(f"the hose on {name}", "hose", x, y, sweep, sweep, sweep, 0.0, far + sweep)
    yield from _tanks(filled)


def _tanks(filled: Filled) -> Iterator[Solid]:
    """Tanks and side plates round the fins, as high as their lip."""
    lip, width, height = (filled.median(path) for path in ("space.lip_height", "core.width", "core.height"))
    if lip <= 0.0:
        return
    half = 0.5 * _TANK
    for name, x, y, wide, high in (
        ("left tank or side plate", -half, 0.5 * height, half, 0.5 * height + _TANK),
        ("right tank or side plate", width + half, 0.5 * height, half, 0.5 * height + _TANK),
        ("lower tank or side plate", 0.5 * width, -half, 0.5 * width, half),
        ("upper tank or side plate", 0.5 * width, height + half, 0.5 * width, half),
    ):
        yield Solid(f"the {name}", "tank", x, y, wide, high, 0.0, -math.inf, lip)
