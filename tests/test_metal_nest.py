"""Flats on sheets: nothing overlaps, grain is kept, and the sheet to buy is the smallest that does."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.arcs import box
from shroudwright.bench.errors import InputError
from shroudwright.drawing.clearances import label_boxes
from shroudwright.drawing.nest_picture import nest_picture
from shroudwright.drawing.shapes import Path
from shroudwright.metal.flat import metal_area
from shroudwright.metal.nest import BORDER, GAP, SHEETS, Nest, Part, nest, nest_findings, offcut, parts_of
from tests.packets import INCH, a_shroud

SIDES = st.floats(0.02, 1.1)


def lies_well(one: Nest) -> None:
    for sheet in one.sheets:
        for spot in sheet:
            wide, high = spot.size
            assert min(spot.x, spot.y) >= BORDER - 1e-9
            assert spot.x + wide <= one.width - BORDER + 1e-8
            assert spot.y + high <= one.height - BORDER + 1e-8
        for a, b in combinations(sheet, 2):
            across = max(a.x, b.x) - min(a.x + a.size[0], b.x + b.size[0])
            up = max(a.y, b.y) - min(a.y + a.size[1], b.y + b.size[1])
            assert max(across, up) >= GAP - 1e-8


@pytest.mark.law("parts keep their distance from each other and from the edge, and none is lost")
@given(
    st.lists(st.builds(Part, st.just("p"), SIDES, SIDES, st.just(0.001), st.sampled_from([None, "x", "y"])), max_size=9)
)
@settings(max_examples=60, deadline=None)
def test_nothing_overlaps(parts: list[Part]) -> None:
    one = nest(parts)
    lies_well(one)
    assert sum(map(len, one.sheets)) + len(one.left_over) == len(parts)
    assert 0.0 <= one.yields < 1.0
    for part in one.left_over:
        assert (
            max(part.width, part.height) > one.height - 2 * BORDER
            or min(part.width, part.height) > one.width - 2 * BORDER
        )


@pytest.mark.by_hand(
    "29 x 21 in with the grain across its bends: 21 along the 96 of 48 x 96; free of grain it lies on 24 x 48"
)
def test_grain() -> None:
    big = Part("blank", 29 * INCH, 21 * INCH, 0.39, "y")
    locked = nest([big])
    assert (locked.width, locked.height) == SHEETS[1]
    assert not locked.sheets[0][0].is_turned
    free = nest([big._replace(grain=None)])
    assert (free.width, free.height) == SHEETS[0]
    assert free.yields == pytest.approx(0.39 / (24 * 48 * INCH**2))
    only_small = nest([big], SHEETS[:1])
    assert only_small.sheets[0][0].is_against
    assert [(level, found.code) for level, found in nest_findings(only_small)] == [("watch", "D10")]
    assert list(nest_findings(free)) == []


@pytest.mark.by_hand(
    "four of 22 x 22 in: two to a 24 x 48 sheet (22.5 + 22.25 = 44.75 up), so two sheets; or one of 48 x 96"
)
def test_second_sheet() -> None:
    four = [Part("plate", 22 * INCH, 22 * INCH, 0.31)] * 4
    one = nest(four)
    assert one.area == pytest.approx(2 * 24 * 48 * INCH**2)
    assert [(level, found.code, found.measured) for level, found in nest_findings(one)] == [("note", "D09", 2.0)]
    assert one.sheets[0][1].y == pytest.approx((0.25 + 22 + 0.25) * INCH)


@pytest.mark.behaviour("a part too large is left over and said; a sheet without room is a fault")
def test_too_large() -> None:
    one = nest([Part("roof", 3.0, 0.5, 1.5), Part("wide", 1.3, 1.3, 1.69), Part("cap", 0.4, 0.05, 0.02)])
    found = {finding.place: (level, finding) for level, finding in nest_findings(one)}
    assert {place: level for place, (level, _) in found.items()} == {"roof": "stop", "wide": "stop"}
    assert found["roof"][1].measured == 3.0
    assert found["wide"][1].limit == pytest.approx(47.5 * INCH)
    with pytest.raises(InputError, match="no room inside its border"):
        nest([], [(0.01, 1.0)])


@pytest.mark.by_hand(
    "each flat's box, as often as it is cut; bends under their least radius lock the grain, 6061-T6 under 6 t"
)
def test_parts() -> None:
    made = a_shroud()
    parts = parts_of(made.flats, made.metal)
    assert [part.name for part in parts] == ["main blank", "end cap", "end cap"]
    assert parts[0].width == pytest.approx(25.5 * INCH)
    assert parts[0].area == pytest.approx(metal_area(made.flats[0]))
    assert parts[0].grain is None
    tight = replace(made.flats[0], bends=tuple(bend._replace(radius=0.05 * INCH) for bend in made.flats[0].bends))
    assert parts_of([tight], made.metal)[0].grain == "y"
    assert parts_of(made.flats, "aluminium 6061-T6")[0].grain == "y"


@pytest.mark.by_hand(
    "two plates of 10 x 5 in end to end: 5 in and two borders of 1/4 in wide, 10 + 1/4 + 10 and two borders high"
)
def test_offcut() -> None:
    one = nest([Part("plate", 10 * INCH, 5 * INCH, 0.03)] * 2)
    assert sorted(offcut(one) or ()) == pytest.approx([5.5 * INCH, 20.75 * INCH])
    assert offcut(nest([Part("plate", 22 * INCH, 22 * INCH, 0.31)] * 4)) is None


@pytest.mark.behaviour(
    "names of thin parts stand beside the sheet, apart from each other; no name touches a part's edge"
)
def test_names_on_the_picture() -> None:
    parts = [
        Part("main blank", 25 * INCH, 20 * INCH, 0.3),
        *(Part(f"strip {n}", 18 * INCH, INCH, 0.01) for n in range(4)),
    ]
    laid = nest([*parts, Part("clip", 3 * INCH, 3 * INCH, 0.005)])
    picture = nest_picture(laid, "in")
    words = label_boxes(picture)
    rims = [box(path.corners) for path in picture.shapes if isinstance(path, Path) and path.pen == "cut"]
    for name in words:
        for rim in rims:
            within = rim.x1 < name.x1 and name.x2 < rim.x2 and rim.y1 < name.y1 and name.y2 < rim.y2
            apart = name.x2 < rim.x1 or rim.x2 < name.x1 or name.y2 < rim.y1 or rim.y2 < name.y1
            assert within or apart
    for one, other in combinations(words, 2):
        assert one.x2 < other.x1 or other.x2 < one.x1 or one.y2 <= other.y1 or other.y2 <= one.y1
