"""Core, engine, tank and hoses from the side, with the number of a box at each neck and height.

heights_picture
"""

from collections.abc import Mapping

from shroudwright.bench.arcs import Vertex, rectangle
from shroudwright.bench.arcs import moved as moved_by
from shroudwright.drawing.shapes import LETTER_WIDTH, Line, Path, Picture, Shape, Text, arrow

_LETTER = 2.1
_LEVELS = (
    ("plumbing.core_top", 23.0, "core"),
    ("plumbing.filler_height", 27.0, "filler"),
    ("plumbing.tank_level", 30.0, "tank, cold"),
    ("plumbing.engine_top", 25.0, "engine"),
    ("plumbing.pump_height", 11.0, "pump"),
)
"""Field, how high, and of what"""


def heights_picture(numbers: Mapping[str, str]) -> Picture:
    """Draw the coolant's way from the side, not to scale.

    Parameters
    ----------
    numbers : mapping of str to str
        What stands in the box of each field.

    Returns
    -------
    Picture
        In units of its own.
    """
    shapes: list[Shape] = [
        Line(0.0, 0.0, 172.0, 0.0, "thick"),
        Path(moved_by(rectangle(8.0, 18.0), 8.0, 5.0), "cut"),
        Path(moved_by(rectangle(3.0, 3.0), 9.0, 24.0), "inner"),
        Path(moved_by(rectangle(34.0, 20.0), 62.0, 5.0), "inner"),
        Path(moved_by(rectangle(12.0, 8.0), 38.0, 25.0), "inner"),
        _way((16.0, 20.0), (40.0, 20.0), (40.0, 22.0), (62.0, 22.0)),
        _way((16.0, 8.0), (40.0, 8.0), (40.0, 11.0), (62.0, 11.0)),
        _way((44.0, 25.0), (44.0, 11.0)),
        _way((12.0, 23.0), (30.0, 31.0), (38.0, 31.0)),
        _way((72.0, 25.0), (60.0, 31.0), (50.0, 31.0)),
    ]
    for place, x, y in (
        ("plumbing.inlet_neck", 23.0, 20.0),
        ("plumbing.engine_outlet", 54.0, 22.0),
        ("plumbing.outlet_neck", 23.0, 8.0),
        ("plumbing.engine_inlet", 54.0, 11.0),
        ("plumbing.core_vent", 27.0, 29.6),
        ("plumbing.engine_vent", 64.0, 29.0),
        ("plumbing.air_hole", 67.5, 20.0),
    ):
        shapes += _box(numbers, place, x, y)
    for says, x, y in (("engine", 84.0, 14.0), ("core", 12.0, 13.0), ("tank", 44.0, 28.0), ("stat", 75.5, 19.2)):
        shapes.append(Text(x, y, says, _LETTER, "middle", pen="dim"))
    for column, (place, y, says) in enumerate(_LEVELS):
        x = 106.0 + 13.5 * column
        shapes += [Line(x - 5.0, y, x + 5.0, y, "thin"), Line(x, 0.0, x, y, "dim"), arrow(x, y, 1.5708, 1.5)]
        shapes += _box(numbers, place, x, 0.45 * y)
        shapes.append(Text(x, y + 1.0, says, _LETTER, "middle", pen="dim"))
    return Picture(
        "Necks and heights",
        "Core, engine, tank and hoses from the side, not to scale, with the number of each box at necks and heights.",
        tuple(shapes),
    )


def _way(*corners: tuple[float, float]) -> Path:
    return Path(tuple(Vertex(x, y) for x, y in corners), "thick", is_closed=False)


def _box(numbers: Mapping[str, str], place: str, x: float, y: float) -> list[Shape]:
    says = numbers[place]
    wide, high = LETTER_WIDTH * _LETTER * (len(says) + 0.9), 1.6 * _LETTER
    frame = moved_by(rectangle(wide, high), x - 0.5 * wide, y - 0.5 * high)
    return [
        Path(frame, "halo", is_filled=True),
        Path(frame, "thin"),
        Text(x, y - 0.5 * _LETTER, says, _LETTER, "middle", pen="thin"),
    ]
