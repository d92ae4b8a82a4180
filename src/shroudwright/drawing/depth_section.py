"""Section along the air through one fan: fins, plenum, plate, fan, motor, and the engine with its rock.

depth_section    what stands behind the core, cut at the fan
deepest          the fan that needs most depth
"""

from collections.abc import Iterator, Sequence

import numpy as np

from shroudwright.bench.arcs import Box, box, moved, rectangle
from shroudwright.drawing.hatching import hatch
from shroudwright.drawing.shapes import Line, Path, Picture, Shape, Text, dimension
from shroudwright.shroud.bodies import FanBody, Plate, Solid, plate_at
from shroudwright.speech import Dialect

LETTERS_UP = 34.0
"""How many letters' heights the core is high, so that words stay readable once it is fitted to paper."""


def deepest(fans: Sequence[FanBody]) -> FanBody | None:
    """Return the fan that reaches furthest back, one of known depth first; None without fans."""
    return max(fans, key=lambda fan: fan.overall_depth or 0.0, default=None)


def depth_section(
    fan: FanBody,
    plate: Plate | None,
    solids: Sequence[Solid],
    core: tuple[float, float],
    rock: float,
    shop: Dialect,
) -> Picture:
    """Draw a section through a fan's middle, air from left to right.

    Parameters
    ----------
    fan : FanBody
        To cut, [m]
    plate : Plate or None
        The shroud, [m]
    solids : sequence of Solid
        The engine's are nearer by its rock already, [m]
    core : tuple of float
        Height and depth of the fins, [m]
    rock : float
        How far the engine rocks, [m]
    shop : Dialect
        Units to write lengths in.

    Returns
    -------
    Picture
        In metres.
    """
    height, thick = core
    letter = height / LETTERS_UP
    low, high = (0.0, height) if plate is None else (box(plate.outline).y1, box(plate.outline).y2)
    face = _face(fan, plate)
    motor = None if fan.overall_depth is None else face + (0.0 if fan.motor_inside else fan.overall_depth)
    near = _engine(fan, solids)
    shapes: list[Shape] = [
        Path(moved(rectangle(thick, height), -thick, 0.0), "cut"),
        *hatch(Box(-thick, 0.0, 0.0, height), 0.8 * letter, lambda x, y: np.ones(x.shape, dtype=np.bool_), "etch"),
    ]
    if plate is not None:
        shapes += _shroud(fan, plate, low, high)
    shapes += _fan(fan, face)
    if near is not None:
        shapes += _block(near, rock, low, high, letter)
    sizes = [("core", -thick, 0.0)]
    sizes += [] if plate is None else [("fins to plate", 0.0, face - plate.thickness)]
    if fan.depth_ahead is not None:
        sizes.append(("blades to fins", 0.0, face - fan.depth_ahead))
    if motor is not None and motor > face:
        sizes.append(("fan", face, motor))
    if motor is not None and near is not None:
        sizes.append((f"left, {shop.tape(rock)} of rock taken off", motor, near))
    bottom = min(low, 0.0)
    says = []
    for row, (name, start, end) in enumerate(sizes):
        words = f"{name} {shop.tape(end - start)}" if end >= start else f"{name}: {shop.tape(start - end)} MISSING"
        says.append(words)
        first, last = min(start, end), max(start, end)
        away = bottom - (3.0 + 2.6 * row) * letter
        shapes += dimension(first, away + 1.2 * letter, last, away + 1.2 * letter, -1.2 * letter, words, letter)
    shapes.append(Text(-thick, max(high, height) + 1.2 * letter, f"through {fan.code}, air from the left", letter))
    return Picture("Section along the air", f"Through {fan.code}: {'; '.join(says)}.", tuple(shapes))


def _face(fan: FanBody, plate: Plate | None) -> float:
    """Where the fan's face seats, z at its middle."""
    if plate is None:
        return 0.0
    at = np.array([fan.y])
    return float(plate_at(plate, at, at)[0][0]) + plate.thickness


def _engine(fan: FanBody, solids: Sequence[Solid]) -> float | None:
    """Return the nearest of the engine's solids behind the fan's motor; None where nothing is known there."""
    half = 0.5 * fan.motor
    behind = [
        solid.near
        for solid in solids
        if solid.kind == "engine"
        and abs(solid.x - fan.x) <= solid.width + half
        and abs(solid.y - fan.y) <= solid.height + half
    ]
    return min(behind, default=None)


def _shroud(fan: FanBody, plate: Plate, low: float, high: float) -> Iterator[Shape]:
    half = 0.5 * fan.opening
    for y, inside, roll, end in (
        (low, plate.bottom, plate.roll_bottom, fan.y - half),
        (high, plate.top, plate.roll_top, fan.y + half),
    ):
        inward = 1.0 if y == low else -1.0
        yield Line(plate.flange, y, max(inside - roll, plate.flange), y, "thick")
        yield Line(max(inside - roll, plate.flange), y, inside, y + inward * roll, "thick")
        at = np.array([end])
        yield Line(inside, y + inward * roll, float(plate_at(plate, at, at)[0][0]), end, "thick")


def _fan(fan: FanBody, face: float) -> Iterator[Shape]:
    half = 0.5 * (fan.frame or fan.opening)
    yield Line(face, fan.y - half, face, fan.y + half, "cut")
    if fan.overall_depth is not None:
        depth = -fan.overall_depth if fan.motor_inside else fan.overall_depth
        left = min(face, face + depth)
        yield Path(moved(rectangle(abs(depth), fan.motor), left, fan.y - 0.5 * fan.motor), "cut")
    if fan.depth_ahead is not None:
        blades = Path(
            moved(rectangle(fan.depth_ahead, fan.opening), face - fan.depth_ahead, fan.y - 0.5 * fan.opening), "ref"
        )
        yield blades


def _block(near: float, rock: float, low: float, high: float, letter: float) -> Iterator[Shape]:
    yield Line(near + rock, low, near + rock, high, "cut")
    yield Line(near, low, near, high, "bend")
    stands = Box(near + rock, low, near + rock + 2.0 * letter, high)
    yield from hatch(stands, 0.8 * letter, lambda x, y: np.ones(x.shape, dtype=np.bool_), "etch")
    yield Text(near + rock + 3.0 * letter, 0.5 * (low + high), "engine; dashed: rocked", letter)
