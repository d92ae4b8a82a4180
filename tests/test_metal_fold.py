"""The folded shape: by hand, against the section's own outline, and what folding must keep."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import Circle, Vertex, area, contains, inside, length, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.metal.bend import bend_allowance
from shroudwright.metal.cutting import Line, area_beyond, chords
from shroudwright.metal.flat import BendLine, Flat, Hole, Opening, metal_area
from shroudwright.metal.fold import folded
from shroudwright.metal.section import folded_volume, volume_excess
from tests.packets import a_shroud

T, R, K = 0.002, 0.003, 0.42
RIGHT = 0.5 * math.pi


def bend(number: int, x1: float, y1: float, x2: float, y2: float, angle: float = RIGHT, way: str = "up") -> BendLine:
    return BendLine(number, x1, y1, x2, y2, angle, R, way, bend_allowance(angle, R, T, K), 0.0)  # type: ignore[arg-type]


def plain(outline: tuple[Vertex, ...], *bends: BendLine, openings: tuple[Opening, ...] = ()) -> Flat:
    return Flat("part", outline, openings, (), bends, (), (), T, 1)


def angle_piece(way: str = "up", angle: float = RIGHT) -> Flat:
    """0.1 wide, 0.2 long, bent at 0.15: the leg of 0.15 less half the allowance stays."""
    return plain(rectangle(0.1, 0.2), bend(1, 0.0, 0.15, 0.1, 0.15, angle, way))


def tray(corner: float = 0.01) -> Flat:
    """A plate with four feet, corners notched out."""
    a, b, f = 0.2, 0.15, 0.02
    c = corner
    points = [
        (c, -f), (a - c, -f), (a - c, 0), (a, 0), (a, c), (a + f, c), (a + f, b - c), (a, b - c), (a, b), (a - c, b),
        (a - c, b + f), (c, b + f), (c, b), (0, b), (0, b - c), (-f, b - c), (-f, c), (0, c), (0, 0), (c, 0),
    ]  # fmt: skip
    half, third = (0.5 * bend_allowance(angle, R, T, K) for angle in (RIGHT, math.radians(60.0)))
    lines = [
        bend(1, c, -half, a - c, -half), bend(2, a + half, c, a + half, b - c, way="down"),
        bend(3, c, b + half, a - c, b + half), bend(4, -third, b - c, -third, c, math.radians(60.0)),
    ]  # fmt: skip
    return plain(tuple(Vertex(x, y) for x, y in points), *lines)


@pytest.mark.by_hand("a 90 deg bend: beyond the strip the leg stands at R + t, or R, past the tangent")
@pytest.mark.parametrize("way", ["up", "down"])
def test_one_bend(way: str) -> None:
    shape = folded(angle_piece(way))
    allowance = shape.flat.bends[0].allowance
    leg = 0.05 - 0.5 * allowance
    tangent = 0.15 - 0.5 * allowance
    inner, outer = shape.at(0.03, 0.2, [0.0, T])
    if way == "up":
        assert inner == pytest.approx((0.03, tangent + R + T, T + R + leg))
        assert outer == pytest.approx((0.03, tangent + R, T + R + leg))
    else:
        assert inner == pytest.approx((0.03, tangent + R, -R - leg))
        assert outer == pytest.approx((0.03, tangent + R + T, -R - leg))
    assert shape.at(0.03, 0.1, 0.5 * T) == pytest.approx((0.03, 0.1, 0.5 * T))
    legs = (tangent + leg) * 0.1
    assert shape.volume == pytest.approx((legs + 0.1 * RIGHT * (R + 0.5 * T)) * T, rel=1e-12)


@pytest.mark.independent("the section's outline, drawn from its own formulas")
def test_rolled_section() -> None:
    made = a_shroud()
    shape = folded(made.flats[0])
    developed = made.shape
    half, wall, flange = 0.5 * developed.face, developed.wall, developed.flange
    ys = np.cumsum([0.0, flange, developed.flange_allowance, wall, developed.roll_allowance, 2.0 * half])
    top = 0.5 * developed.length
    for through, foot in ((0.0, 0.0), (developed.thickness, developed.thickness)):
        place = shape.at(0.1, ys, through)
        across, up = place[:, 1] - top, place[:, 2] + developed.depth
        wanted = {(round(v.x - 0.5 * _wide(made.section), 9), round(v.y, 9)) for v in made.section}
        for point in zip(across, up, strict=True):
            assert min(math.dist(point, other) for other in wanted) < 2e-9, (foot, point)


def _wide(outline: tuple[Vertex, ...]) -> float:
    return max(v.x for v in outline) - min(v.x for v in outline)


@pytest.mark.independent("closed form of the section, and its excess over the flat")
def test_rolled_volume() -> None:
    made = a_shroud()
    s, blank = made.shape, replace(made.flats[0], openings=(), holes=())
    long = max(v.x for v in blank.outline)
    leg = s.flange + s.flange_radius + s.thickness
    sizes = (s.width, s.depth, s.roll_radius, s.thickness, s.flange_radius, leg)
    assert folded(blank).volume == pytest.approx(folded_volume(long, *sizes), rel=1e-12)
    excess = folded(blank).volume / (area(blank.outline) * s.thickness) - 1.0
    assert excess == pytest.approx(volume_excess(*sizes, 0.5, 0.40), rel=1e-9)


@pytest.mark.by_hand("an opening in a roll takes its flat area, stretched to the middle of the sheet")
def test_opening_in_a_bend() -> None:
    piece = angle_piece()
    allowance = piece.bends[0].allowance
    cut = Opening(tuple(Vertex(x, y) for x, y in ((0.02, 0.14), (0.05, 0.14), (0.05, 0.16), (0.02, 0.16))))
    hole = Hole(1, 0.08, 0.15, 0.5 * allowance, "drain")
    whole, opened = folded(piece), folded(replace(piece, openings=(cut,), holes=(hole,)))
    middle = RIGHT * (R + 0.5 * T)
    bare = 0.03 * (0.02 - allowance + middle) + 0.25 * math.pi * hole.diameter**2 * middle / allowance
    assert whole.middle_area - opened.middle_area == pytest.approx(bare, rel=1e-12)


@pytest.mark.law("folding keeps lengths on the neutral line, joins without a step, and never mirrors")
@pytest.mark.parametrize("flat", [angle_piece(), tray(), a_shroud().flats[0]], ids=lambda flat: flat.name)
def test_it_is_a_fold(flat: Flat) -> None:
    shape = folded(flat)
    draw = np.random.default_rng(5)
    xs, ys = ([getattr(v, axis) for v in flat.outline] for axis in "xy")
    x, y = draw.uniform(min(xs), max(xs), 4000), draw.uniform(min(ys), max(ys), 4000)
    kept = np.array([bool(_on(flat, *p)) for p in zip(x, y, strict=True)])
    x, y = x[kept], y[kept]
    step = 1e-6
    mid = 0.5 * flat.thickness
    here, right, up, out = (
        shape.at(x + dx, y + dy, mid + dz, of=(x, y))
        for dx, dy, dz in ((0, 0, 0), (step, 0, 0), (0, step, 0), (0, 0, step))
    )
    frame = np.stack([(other - here) / step for other in (right, up, out)], axis=-1)
    stretch = np.linalg.det(frame)
    allowed = [1.0] + [b.angle * (b.radius + mid) / b.allowance for b in flat.bends]
    assert np.abs(stretch[:, None] - np.array(allowed)).min(axis=1).max() < 1e-3
    beside = shape.at(x + step, y, mid)
    moved = np.linalg.norm(beside - here, axis=1)
    still = np.array([_on(flat, *p) for p in zip(x + step, y, strict=True)])
    assert moved[still].max() < 1.2 * step


def _on(flat: Flat, x: float, y: float) -> bool:
    return contains(flat.outline, x, y) and not any(contains(item.outline, x, y) for item in flat.openings)


@pytest.mark.by_hand("four feet round a plate: three at 90 deg, one of them down, one at 60 deg")
def test_tray() -> None:
    shape = folded(tray())
    assert [joint.depth for joint in shape.joints] == [0, 0, 0, 0]
    spots = {"low": (0.1, -0.02), "right": (0.22, 0.07), "top": (0.1, 0.17), "left": (-0.02, 0.07)}
    ends = {name: shape.at(*spot, 0.0) for name, spot in spots.items()}
    leg = 0.02 - shape.flat.bends[0].allowance
    assert ends["low"] == pytest.approx((0.1, -(R + T), T + R + leg))
    assert ends["right"] == pytest.approx((0.2 + R, 0.07, -R - leg))
    assert ends["top"] == pytest.approx((0.1, 0.15 + R + T, T + R + leg))
    short, turned = 0.02 - shape.flat.bends[3].allowance, math.radians(60.0)
    out = (R + T) * math.sin(turned) + short * math.cos(turned)
    up = T + R - (R + T) * math.cos(turned) + short * math.sin(turned)
    assert ends["left"] == pytest.approx((-out, 0.07, up))


@pytest.mark.behaviour("a bend line that runs over a notch joins two tabs")
def test_notched_foot() -> None:
    points = ((0, 0), (0.3, 0), (0.3, 0.1), (0.2, 0.1), (0.2, 0.07), (0.1, 0.07), (0.1, 0.1), (0, 0.1))
    flat = plain(tuple(Vertex(x, y) for x, y in points), bend(1, 0.0, 0.085, 0.3, 0.085))
    shape = folded(flat)
    assert len(shape.joints) == 2
    assert shape.at(0.05, 0.1, 0.0)[2] == pytest.approx(shape.at(0.25, 0.1, 0.0)[2])
    strip = 0.2 * flat.bends[0].allowance
    assert sum(joint.area for joint in shape.joints) == pytest.approx(strip, rel=1e-9)


@pytest.mark.behaviour("bends that cannot be folded are named")
def test_faults() -> None:
    square = rectangle(0.2, 0.2)
    crossing = plain(square, bend(1, 0.0, 0.1, 0.2, 0.1), bend(2, 0.1, 0.0, 0.1, 0.2))
    with pytest.raises(InputError, match="bends 1 and 2 of part: they cross"):
        folded(crossing)
    with pytest.raises(InputError, match="bends 1 and 2 of part: they cross or run into each other"):
        folded(plain(square, bend(1, 0.0, 0.1, 0.2, 0.1), bend(2, 0.0, 0.102, 0.2, 0.102)))
    with pytest.raises(InputError, match="bend 3 of part: it does not lie across the metal"):
        folded(plain(square, bend(3, 0.0, 0.3, 0.2, 0.3)))
    with pytest.raises(InputError, match="bend 4 of part: angle"):
        folded(plain(square, bend(4, 0.0, 0.1, 0.2, 0.1, angle=0.0)))


@pytest.mark.law("the two sides of a cut make the whole, in area and in length")
@given(st.floats(-0.9, 0.9), st.floats(0.0, 6.2))
@settings(max_examples=60, deadline=None)
def test_cutting(away: float, turned: float) -> None:
    outline = (*rectangle(1.0, 0.6, 0.15)[:5], Vertex(0.5, 0.3, -0.4), *rectangle(1.0, 0.6, 0.15)[5:])
    line = Line(0.5 + 0.3 * away, 0.1137 - 0.07 * away, math.cos(turned), math.sin(turned))
    beyond, before = area_beyond(outline, line), area_beyond(outline, line.turned())
    assert beyond + before == pytest.approx(area(outline), abs=1e-12)
    for chord in chords(outline, line):
        assert area(chord.beyond) + area(chord.before) == pytest.approx(area(outline), abs=1e-12)
        both = length(chord.beyond) + length(chord.before) - 2.0 * (chord.end - chord.start)
        assert both == pytest.approx(length(outline), abs=1e-12)
    if len(chords(outline, line)) == 1:
        assert area(chords(outline, line)[0].beyond) == pytest.approx(beyond, abs=1e-12)


@pytest.mark.independent("middle surface summed over a fine grid of the flat")
def test_volume_by_grid() -> None:
    flat = replace(tray(), openings=(Opening(Circle(0.1, 0.0, 0.012)),))
    shape = folded(flat)
    n = 900
    xs = np.linspace(-0.021, 0.221, n + 1)[:-1] + 0.121 / n
    ys = np.linspace(-0.021, 0.171, n + 1)[:-1] + 0.096 / n
    x, y = np.meshgrid(xs, ys)
    on = inside(flat.outline, x, y) & ~inside(flat.openings[0].outline, x, y)
    x, y, step = x[on], y[on], 1e-7
    here, right, up = (shape.at(x + dx, y + dy, 0.5 * T, of=(x, y)) for dx, dy in ((0, 0), (step, 0), (0, step)))
    cell = np.linalg.norm(np.cross(right - here, up - here), axis=1) / step**2
    total = float(cell.sum()) * (0.242 / n) * (0.192 / n)
    assert shape.middle_area == pytest.approx(total, rel=2e-3)
    assert shape.middle_area > metal_area(flat)
