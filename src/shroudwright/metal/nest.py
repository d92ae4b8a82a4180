"""Flats laid out on the shop's sheets: which sheet to buy, how much of it is used, what does not fit.

Part         one flat's box to lay out
Spot         where a part lies on a sheet
Nest         sheets of one size with every part on them
nest         parts on sheets of the size that wastes least
parts_of     the boxes of flats
bought       the sheet to buy
offcut       the least sheet that holds what was laid on one
radius_free_of_grain    from where the grain does not matter
nest_findings    what is wrong with a layout (rules D09 and D10)

A sheet stands with its long side up and its grain along that side.
"""

import math
from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

from shroudwright.bench.arcs import box
from shroudwright.bench.errors import InputError
from shroudwright.bench.findings import Level
from shroudwright.metal.bend import THICKEST, smallest_radius
from shroudwright.metal.flat import Finding, Flat, metal_area

_INCH = 0.0254
BORDER, GAP = 0.25 * _INCH, 0.25 * _INCH
"""Left free along a sheet's edges, and between two parts for the cut: common practice, no source, [m]"""
SHEETS = ((24.0 * _INCH, 48.0 * _INCH), (48.0 * _INCH, 96.0 * _INCH))
"""Sheet sizes where the shop names none, [m]"""
_GRAIN_TIMES = {"aluminium 6061-T6": 6.0}
"""Thicknesses under which an inside radius is bent across the grain; of other metals the least radius itself, [-]"""
_ROUNDING = 1e-9


class Part(NamedTuple):
    """A part's box; ``grain`` is the side that should lie along the sheet's grain, if it matters."""

    name: str
    width: float
    height: float
    area: float
    """of its metal, [m**2]"""
    grain: Literal["x", "y"] | None = None


class Spot(NamedTuple):
    """Where a part lies: its lower left on the sheet, whether it is turned, and whether against its grain."""

    part: Part
    x: float
    y: float
    is_turned: bool
    is_against: bool

    @property
    def size(self) -> tuple[float, float]:
        """Across and up the sheet, [m]."""
        return (self.part.height, self.part.width) if self.is_turned else (self.part.width, self.part.height)


class Nest(NamedTuple):
    """Every part on sheets of one size; parts too large for any sheet are left over."""

    width: float
    height: float
    sheets: tuple[tuple[Spot, ...], ...]
    left_over: tuple[Part, ...]

    @property
    def area(self) -> float:
        """Of the sheets bought, [m**2]."""
        return len(self.sheets) * self.width * self.height

    @property
    def yields(self) -> float:
        """Metal of the parts over that of the sheets, [-]; 0 without a sheet."""
        used = sum(spot.part.area for sheet in self.sheets for spot in sheet)
        return used / self.area if self.sheets else 0.0


def parts_of(flats: Sequence[Flat], metal: str) -> list[Part]:
    """Boxes of flats, as often as each is cut.

    Parameters
    ----------
    flats : sequence of Flat
        [m]
    metal : str
        aluminium 3003-H14, aluminium 5052-H32, aluminium 6061-T6 or mild steel, [text]

    Returns
    -------
    list of Part
        Grain matters to those with a bend under `radius_free_of_grain`: it is to run across such bends.

    Notes
    -----
    Limits: where tight bends lie both ways, the first one counts. Accuracy: boxes, not true shapes.

    References
    ----------
    Bending across the grain: common practice, no source.
    """
    found = []
    for flat in flats:
        around = box(flat.outline)
        # Past the table of radii nobody says what the grain does, and it is kept across.
        least = radius_free_of_grain(metal, flat.thickness) if flat.thickness <= THICKEST else math.inf
        tight = next((bend for bend in flat.bends if bend.radius < least - _ROUNDING), None)
        grain: Literal["x", "y"] | None = None
        if tight is not None:
            grain = "y" if abs(tight.x2 - tight.x1) >= abs(tight.y2 - tight.y1) else "x"
        part = Part(flat.name, around.x2 - around.x1, around.y2 - around.y1, metal_area(flat), grain)
        found += [part] * flat.quantity
    return found


def radius_free_of_grain(metal: str, thickness: float) -> float:
    """Return the inside radius from which a bend may lie either way to the grain, [m].

    Parameters
    ----------
    metal : str
        As `parts_of`, [text]
    thickness : float
        [m]

    Returns
    -------
    radius : float
        The least; for 6061-T6 six thicknesses, [m]

    Notes
    -----
    Limits: bends that show may crack fine along the grain; where looks matter, keep it across.
    Accuracy: a guide.

    References
    ----------
    Many shops will not brake 6061-T6 under 4 to 6 thicknesses but across the grain: common practice, no source.
    """
    return max(smallest_radius(metal, thickness), _GRAIN_TIMES.get(metal, 0.0) * thickness)


def nest(parts: Sequence[Part], sheets: Sequence[tuple[float, float]] = SHEETS) -> Nest:
    """Lay parts out on sheets of the size that wastes least.

    Each part in turn goes as low and then as far left as it fits; the orders by area, height and width are tried.

    Parameters
    ----------
    parts : sequence of Part
        [m]
    sheets : sequence of (side, side)
        Sizes that can be had, [m]

    Returns
    -------
    Nest
        Of all sizes the one with fewest parts left over, then fewest against the grain, then least sheet.

    Raises
    ------
    InputError
        Where a sheet has no room within its border.

    Notes
    -----
    Limits: boxes, not true shapes; one size of sheet. Accuracy: not the best there is; of the big blank and
    its caps nothing better is known.

    References
    ----------
    Bottom-left placement, common practice, no source.
    """
    faults = [
        f"sheet of {1e3 * min(size):.0f} x {1e3 * max(size):.0f} mm: no room inside its border; type a larger one"
        for size in sheets
        if min(size) <= 2.0 * BORDER
    ]
    if faults:
        raise InputError(faults)
    tried = [
        _laid(sorted(parts, key=order), min(size), max(size))
        for size in sheets
        for order in (_by_area, _by_height, _by_width)
    ]
    return min(tried, key=_badness)


def _by_area(part: Part) -> float:
    return -part.width * part.height


def _by_height(part: Part) -> float:
    return -max(part.width, part.height)


def _by_width(part: Part) -> float:
    return -min(part.width, part.height)


def _badness(one: Nest) -> tuple[int, int, float, float]:
    spots = [spot for sheet in one.sheets for spot in sheet]
    reach = max((spot.y + spot.size[1] for spot in one.sheets[-1]), default=0.0) if one.sheets else 0.0
    return len(one.left_over), sum(spot.is_against for spot in spots), round(one.area, 6), reach


def _laid(parts: Sequence[Part], width: float, height: float) -> Nest:
    sheets: list[list[Spot]] = []
    left_over = []
    for part in parts:
        ways = _ways(part, width, height)
        spot = None
        for number in range(len(sheets) + 1):
            placed = sheets[number] if number < len(sheets) else []
            spots = [found for way in ways if (found := _lowest(part, way, placed, width, height)) is not None]
            if spots:
                spot = min(spots, key=lambda found: (found.y + found.size[1], found.x))
                if number == len(sheets):
                    sheets.append([])
                sheets[number].append(spot)
                break
        if spot is None:
            left_over.append(part)
    return Nest(width, height, tuple(tuple(sheet) for sheet in sheets), tuple(left_over))


def _ways(part: Part, width: float, height: float) -> list[tuple[bool, bool]]:
    """Turned or not, and against the grain or not; against it only where the part fits no other way."""
    with_grain = [turned for turned in (False, True) if part.grain is None or (part.grain == "x") == turned]
    room = width - 2.0 * BORDER, height - 2.0 * BORDER

    def fits(turned: bool) -> bool:
        across, up = (part.height, part.width) if turned else (part.width, part.height)
        return across <= room[0] + _ROUNDING and up <= room[1] + _ROUNDING

    good = [(turned, False) for turned in with_grain if fits(turned)]
    return good or [(turned, True) for turned in (False, True) if turned not in with_grain and fits(turned)]


def _lowest(part: Part, way: tuple[bool, bool], placed: Sequence[Spot], width: float, height: float) -> Spot | None:
    turned, against = way
    across, up = (part.height, part.width) if turned else (part.width, part.height)
    xs = [BORDER, *(spot.x + spot.size[0] + GAP for spot in placed)]
    ys = [BORDER, *(spot.y + spot.size[1] + GAP for spot in placed)]
    for y in sorted(ys):
        for x in sorted(xs):
            inside = x + across <= width - BORDER + _ROUNDING and y + up <= height - BORDER + _ROUNDING
            if inside and not any(_clash(x, y, across, up, spot) for spot in placed):
                return Spot(part, x, y, turned, against)
    return None


def _clash(x: float, y: float, across: float, up: float, spot: Spot) -> bool:
    wide, high = spot.size
    gap = GAP - _ROUNDING
    return x < spot.x + wide + gap and spot.x < x + across + gap and y < spot.y + high + gap and spot.y < y + up + gap


def bought(one: Nest) -> float:
    """Return the sheet to buy: whole sheets, and the boxes of parts that fit on none, [m**2]."""
    return one.area + sum(part.width * part.height for part in one.left_over)


def offcut(one: Nest) -> tuple[float, float] | None:
    """Return the least rectangle, border and all, that holds what lies on a single sheet, [m]; None of more or none."""
    if len(one.sheets) != 1:
        return None
    sheet = one.sheets[0]
    across, up = max(spot.x + spot.size[0] for spot in sheet), max(spot.y + spot.size[1] for spot in sheet)
    return across + BORDER, up + BORDER


def nest_findings(one: Nest) -> Iterator[tuple[Level, Finding]]:
    """Say what is wrong with a layout, each with its level.

    Parameters
    ----------
    one : Nest
        As made by `nest`.

    Yields
    ------
    level, finding
        D09 stop, a part too large: its longer side against the sheet's room; D09 note, a further sheet: how many;
        D10 watch, a part against its grain: its longer side and the sheet's.

    References
    ----------
    Common practice, no source.
    """
    room = one.height - 2.0 * BORDER
    for part in dict.fromkeys(one.left_over):
        short = one.width - 2.0 * BORDER
        over = min(part.width, part.height) > short and max(part.width, part.height) <= room
        measured = min(part.width, part.height) if over else max(part.width, part.height)
        yield "stop", Finding("D09", measured, short if over else room, part.name)
    if len(one.sheets) > 1:
        yield "note", Finding("D09", float(len(one.sheets)), 1.0, "sheets")
    for part in dict.fromkeys(spot.part for sheet in one.sheets for spot in sheet if spot.is_against):
        yield "watch", Finding("D10", max(part.width, part.height), one.height, part.name)
