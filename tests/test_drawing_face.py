"""The picture of a shaking face, and its lines of even reach."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import contains
from shroudwright.drawing.face_picture import face_picture, joined, level_lines
from shroudwright.drawing.shapes import Line, Path, Text
from shroudwright.metal.stiffness import face_stiffness
from tests.test_metal_stiffness import INCH, REFERENCE, SOUND

X, Y = np.linspace(-2.0, 2.0, 41), np.linspace(-1.5, 1.5, 31)


@pytest.mark.by_hand("a cone's lines are circles: every end at its radius, one closed way, as long as round")
@given(st.floats(0.3, 1.3))
@settings(deadline=None)
def test_level_lines(radius: float) -> None:
    cone = np.hypot(X[:, None], Y[None, :])
    pieces = level_lines(X, Y, cone, radius)
    for piece in pieces:
        for end in piece:
            assert math.hypot(*end) == pytest.approx(radius, abs=0.01)
    (way,) = joined(pieces)
    assert way[0] == way[-1]
    assert sum(math.dist(one, two) for one, two in pairwise(way)) == pytest.approx(math.tau * radius, rel=0.01)


@pytest.mark.law("every piece is in one way and once only; nothing is drawn beside what is not known")
@given(st.integers(0, 50), st.floats(-0.5, 0.5))
@settings(deadline=None)
def test_joined(seed: int, level: float) -> None:
    values = np.random.default_rng(seed).standard_normal((9, 7))
    values[3:5, 2:4] = np.nan
    x, y = np.arange(9.0), np.arange(7.0)
    pieces = level_lines(x, y, values, level)
    ways = joined(pieces)
    assert sum(len(way) - 1 for way in ways) == len(pieces)
    told = {frozenset(pair) for way in ways for pair in pairwise(way)}
    assert told == {frozenset(piece) for piece in pieces}
    for one, other in pieces:
        middle = 0.5 * (one[0] + other[0]), 0.5 * (one[1] + other[1])
        assert not (2.0 < middle[0] < 5.0 and 1.0 < middle[1] < 4.0)


@pytest.mark.behaviour("the picture: lines, stiffeners, the number in words, and the most on the metal")
def test_face_picture() -> None:
    drawn = face_picture(face_stiffness(REFERENCE), "in")
    lines = [shape for shape in drawn.shapes if isinstance(shape, Path) and not shape.is_closed]
    assert len(lines) > 8
    # The frequency is the one the finding and the page say.
    (words,) = [shape.words for shape in drawn.shapes if isinstance(shape, Text)]
    assert words.startswith(f"{face_stiffness(REFERENCE).frequency:.0f} times a second")
    assert "28.000 in by 16.500 in" in drawn.description
    cross = [shape for shape in drawn.shapes if isinstance(shape, Line) and shape.pen == "thick"]
    middle = 0.5 * (cross[0].x1 + cross[0].x2), cross[0].y1
    assert not any(contains(rim, *middle) for rim in REFERENCE.openings)
    assert not [shape for shape in drawn.shapes if isinstance(shape, Line) and shape.pen == "bend"]
    beads = [shape for shape in face_picture(face_stiffness(SOUND), "in").shapes if isinstance(shape, Line)]
    assert sorted(round(shape.x1 / INCH, 2) for shape in beads if shape.pen == "bend") == [0.75, 14.0, 27.25]


@pytest.mark.behaviour("a face without openings or fans can be drawn")
def test_a_bare_face() -> None:
    bare = face_stiffness(replace(REFERENCE, openings=(), fans=()))
    lines = [shape for shape in face_picture(bare, "mm").shapes if isinstance(shape, Path) and not shape.is_closed]
    # One line each tenth, all round.
    assert len(lines) == 9
    assert all(line.corners[0][:2] == line.corners[-1][:2] for line in lines)
