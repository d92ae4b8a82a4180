"""Frames on a face, and which sets no other beats."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.choose.fit import clears, least_boxes, room_wanted
from shroudwright.choose.marks import unbeaten

INCH = 0.0254
SIDES = st.floats(0.1, 1.0)


@pytest.mark.by_hand("sums of sides, in")
@pytest.mark.parametrize(
    ("frames", "boxes"),
    [
        ([(13.3, 13.3)] * 2, {(26.6, 13.3), (13.3, 26.6)}),
        ([(17.4, 17.4)] * 2, {(34.8, 17.4), (17.4, 34.8)}),
        ([(10.0, 10.0)] * 3, {(30.0, 10.0), (10.0, 30.0), (20.0, 20.0)}),
        ([(10.0, 10.0)] * 4, {(40.0, 10.0), (10.0, 40.0), (20.0, 20.0)}),
        ([(23.2, 12.1)], {(23.2, 12.1), (12.1, 23.2)}),
        # A module beside a lone fan, or over it, turned or not.
        ([(20.0, 10.0), (10.0, 10.0)], {(30.0, 10.0), (20.0, 20.0), (10.0, 30.0)}),
    ],
)
def test_least_boxes_by_hand(frames: list[tuple[float, float]], boxes: set[tuple[float, float]]) -> None:
    found = {(round(width, 6), round(height, 6)) for width, height in least_boxes(frames)}
    assert found == boxes


@pytest.mark.by_hand("the room wanted is the box nearest to lying within the face")
def test_room_wanted_takes_the_way_round_that_fits() -> None:
    twins = [(13.3, 13.3)] * 2
    assert room_wanted(twins, 27.0, 17.0) == pytest.approx((26.6, 13.3))
    assert room_wanted(twins, 17.0, 27.0) == pytest.approx((13.3, 26.6))
    assert room_wanted(twins, 24.0, 17.0) == pytest.approx((26.6, 13.3))


@pytest.mark.law("a box holds the area of its frames, the turned box is a box too, and one more frame takes no less")
@given(st.lists(st.tuples(SIDES, SIDES), min_size=1, max_size=4))
def test_boxes_hold_their_frames(frames: list[tuple[float, float]]) -> None:
    boxes = least_boxes(frames)
    area = sum(a * b for a, b in frames)
    assert all(width * height >= area * (1 - 1e-12) for width, height in boxes)
    assert all(any(np.allclose(other, box[::-1]) for other in boxes) for box in boxes)
    if len(frames) > 1:
        fewer = least_boxes(frames[1:])
        assert all(any(w <= width + 1e-12 and h <= height + 1e-12 for w, h in fewer) for width, height in boxes)


@pytest.mark.independent("every placing of small whole-inch frames on a grid, tried one by one")
@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 3), st.integers(1, 3)), min_size=2, max_size=4),
    st.integers(2, 5),
    st.integers(2, 4),
)
def test_fits_where_a_search_of_a_grid_finds_a_place(frames: list[tuple[int, int]], width: int, height: int) -> None:
    def placed(left: list[tuple[int, int]], taken: set[tuple[int, int]]) -> bool:
        if not left:
            return True
        for across, up in {left[0], left[0][::-1]}:
            for x, y in itertools.product(range(width - across + 1), range(height - up + 1)):
                cells = set(itertools.product(range(x, x + across), range(y, y + up)))
                if not cells & taken and placed(left[1:], taken | cells):
                    return True
        return False

    fits = any(w <= width and h <= height for w, h in least_boxes([(float(a), float(b)) for a, b in frames]))
    enough = sum(a * b for a, b in frames) <= width * height
    assert fits == (enough and placed(frames, set()))


@pytest.mark.by_hand("17.3 in frame, 6.4 in motor, 36 x 18.5 in face: 9.35 in off the middle at most, 9.37 with 0.6 up")
@pytest.mark.parametrize(
    ("frame", "motors", "spots", "clear"),
    [
        ((17.3, 17.3), 1, [], True),
        ((17.3, 17.3), 1, [(18.0, 9.25, 0.0)], True),
        ((17.3, 17.3), 1, [(18.0, 9.25, 6.1)], True),
        ((17.3, 17.3), 1, [(18.0, 9.25, 6.2)], False),
        ((17.3, 17.3), 1, [(0.0, 0.0, math.inf)], False),
        # Both ends shallow: the middle is left.
        ((17.3, 17.3), 1, [(4.0, 9.25, 4.0), (32.0, 9.25, 4.0)], True),
        ((17.3, 17.3), 1, [(4.0, 9.25, 4.0), (32.0, 9.25, 4.0), (18.0, 9.25, 4.0)], False),
        # Two motors 16 in apart in one 32 in frame: a spot between them is clear, one under either is not.
        ((32.0, 17.0), 2, [(18.0, 9.25, 2.0)], True),
        ((32.0, 17.0), 2, [(10.0, 9.25, 2.0)], False),
        ((40.0, 17.0), 2, [(10.0, 9.25, 2.0)], False),
    ],
)
def test_motors_off_the_shallow_spots(
    frame: tuple[float, float], motors: int, spots: list[tuple[float, float, float]], clear: bool
) -> None:
    assert clears(frame, motors, 6.4, (36.0, 18.5), spots) == clear


CELLS = st.one_of(st.integers(0, 3).map(float), st.just(float("nan")))


@pytest.mark.independent("the definition of a beaten row, spelled out in plain loops")
@given(st.lists(st.tuples(st.integers(0, 3).map(float), *[CELLS] * 2), min_size=1, max_size=8))
def test_marks_are_those_of_the_definition(rows: list[tuple[float, ...]]) -> None:
    def beats(other: tuple[float, ...], mine: tuple[float, ...]) -> bool:
        pairs = [(a, b) for a, b in zip(other, mine, strict=True) if not (math.isnan(a) or math.isnan(b))]
        return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)

    wanted = [not any(beats(other, mine) for other in rows) for mine in rows]
    assert unbeaten(np.array(rows)).tolist() == wanted
