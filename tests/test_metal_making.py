"""How bends are made: steps, formers, hits, and the rules on them."""

import math
from dataclasses import replace

import pytest

from shroudwright.bench.arcs import Vertex
from shroudwright.bench.errors import InputError
from shroudwright.job.bending import neutral_of, tools_of
from shroudwright.metal.bend import Neutral, bend_allowance, k_factor
from shroudwright.metal.closing import Ends
from shroudwright.metal.flat import BendLine, Flat
from shroudwright.metal.flat_order import order_of
from shroudwright.metal.fold import folded
from shroudwright.metal.forming import bump_facet
from shroudwright.metal.making import Bending, Tools, bending_of, grain_findings, volume_finding
from shroudwright.metal.nest import nest, parts_of
from shroudwright.metal.pan import pan_shroud
from shroudwright.metal.shroud import Shroud, rolled_shroud
from shroudwright.packet.bending import bending_blocks
from shroudwright.plan import Plan
from shroudwright.shop_reasons import SAID
from shroudwright.shop_words import said
from shroudwright.speech import SHOPS
from tests.jobs import filled_demo, with_shop

INCH = 0.0254
RIGHT = 0.5 * math.pi
METAL = "aluminium 5052-H32"
COMMON = {
    "flange_radius": 0.125 * INCH,
    "flange_leg": 1.0 * INCH,
    "fans": (),
    "opening_clearance": 0.0,
    "bolt_hole": 0.2 * INCH,
    "bolt_pitch": 5.0 * INCH,
    "grommet": 0.75 * INCH,
}


def rolled(
    width: float = 26.0,
    height: float = 16.0,
    depth: float = 1.5,
    roll: float = 0.75,
    t: float = 0.08,
    metal: str = METAL,
    **more: object,
) -> Shroud:
    sizes = {"core_width": width, "core_height": height, "depth": depth, "roll_radius": roll, "thickness": t}
    inches = {name: size * INCH for name, size in sizes.items()}
    return rolled_shroud(**{**COMMON, **inches, "metal": metal, "trim": 0.5 * INCH, "ends": Ends(foot=INCH), **more})  # type: ignore[arg-type]


def pan(radius: float = 0.125, t: float = 0.08, metal: str = METAL) -> Shroud:
    sizes = {"width": 26.0, "height": 16.0, "depth": 1.5, "bend_radius": radius, "thickness": t}
    inches = {name: size * INCH for name, size in sizes.items()}
    ends = dict.fromkeys(("left", "right", "bottom", "top"), "out")
    more = {**COMMON, **inches, "depth_top": None, "lip": 0.0, "flanges": ends, "metal": metal}
    return pan_shroud(**more)  # type: ignore[arg-type]


def bending(made: Shroud, used: Neutral | None = None, **tools: object) -> Bending:
    return bending_of(made.flats, made.shape, made.metal, used or Neutral(), Tools(**tools))  # type: ignore[arg-type]


def found(made: Bending, code: str) -> list[tuple[float, float, str, str]]:
    return [
        (one.finding.measured, one.finding.limit, one.finding.place, one.level)
        for one in made.told
        if one.finding.code == code
    ]


@pytest.mark.practice("common practice, no source: flanges on the brake first, rolls over the former last")
def test_a_rolled_blank() -> None:
    made = bending(rolled())
    blank = [step for step in made.steps if step.flat == "main blank"]
    assert [step.bend.number for step in blank] == [1, 4, 2, 3]
    assert [step.number for step in blank] == [1, 2, 3, 4]
    assert [step.side_in for step in blank] == ["top", "bottom", "none", "none"]
    assert [step.is_turned_over for step in blank] == [False, False, True, True]
    assert made.told == ()
    assert made.trapped == ()
    roll = blank[2]
    assert roll.former / INCH == pytest.approx(0.696, abs=0.0006)
    assert math.degrees(roll.former_angle) == pytest.approx(97.0, abs=0.6)
    assert roll.pitch * roll.hits == pytest.approx(roll.bend.allowance)
    assert roll.facet == bump_facet(roll.bend.radius, RIGHT, roll.hits) <= 0.003 * INCH


@pytest.mark.behaviour("a pan's flanges come before any of its walls, all four ways round; each bend once")
def test_a_pan() -> None:
    made = pan()
    order = order_of(made.flats[0])
    assert order is not None
    ups = [one.bend.direction for one in order]
    assert ups == ["up"] * 4 + ["down"] * 4
    assert sorted(one.bend.number for one in order) == list(range(1, 9))


@pytest.mark.behaviour("bends parted by a notch are made with those in line with them")
def test_parted_bends() -> None:
    core = [(0, 0), (26, 0), (26, 16), (15, 16), (15, 13), (11, 13), (11, 16), (0, 16)]
    made = rolled(outline=tuple(Vertex(x * INCH, y * INCH) for x, y in core))
    order = order_of(made.flats[0])
    assert order is not None
    assert len(order) == 6
    assert sorted(one.bend.number for one in order) == list(range(1, 7))
    assert [one.bend.radius < 0.5 * INCH for one in order] == [True] * 3 + [False] * 3


@pytest.mark.by_hand("K typed outside 0.30 to 0.50 is none a sheet can have; a roll at 0.40 is short by 0.1 t A")
def test_neutral_lines() -> None:
    made = rolled()
    assert found(bending(made, found=Neutral(0.55, None)), "B07") == [(0.55, 0.5, "tight bends", "stop")]
    assert found(bending(made, found=Neutral(None, 0.2)), "B07") == [(0.2, 0.3, "rolls", "stop")]
    assert not found(bending(made, found=Neutral(0.42, 0.5)), "B07")
    ((short, right, _, level),) = found(bending(made, found=Neutral(None, 0.4)), "B08")
    assert right - short == pytest.approx(0.1 * 0.08 * INCH * RIGHT)
    assert level == "watch"
    assert not found(bending(made, found=Neutral(None, 0.45)), "B08")
    assert not found(bending(rolled(roll=0.25), found=Neutral(None, 0.4)), "B08")


@pytest.mark.by_hand("6061-T6 0.063 over R 2: 124 deg against 110; 5052 0.080 over R 0.75: 97 deg, quiet")
def test_springback() -> None:
    far = found(
        bending(rolled(roll=2.0, depth=3.0, t=0.063, metal="aluminium 6061-T6", flange_radius=0.2 * INCH)), "B09"
    )
    assert far
    assert all(math.degrees(measured) == pytest.approx(124.0, abs=0.6) for measured, *_ in far)
    assert all(math.degrees(limit) == pytest.approx(110.0) for _, limit, *_ in far)
    assert not found(bending(rolled()), "B09")


@pytest.mark.by_hand("0.5 E t / Y: 0.032 of 6061-T6 only flexes over 4 in")
def test_only_flexes() -> None:
    tall = rolled(height=20.0, roll=4.2, depth=5.0, t=0.032, metal="aluminium 6061-T6", flange_radius=0.125 * INCH)
    stops = found(bending(tall), "B10")
    assert [level for *_, level in stops] == ["stop"] * 2
    assert stops[0][1] / INCH == pytest.approx(4.0)
    assert not found(bending(tall), "B09")
    assert not found(bending(rolled()), "B10")


@pytest.mark.by_hand("a 27 in flange bend with its trim, 0.080 in sheet")
def test_the_brake() -> None:
    made = rolled()
    ((run, most, place, level),) = found(bending(made, brake_length=24.0 * INCH), "B11")
    assert (run / INCH, most / INCH, level) == (pytest.approx(27.0), pytest.approx(24.0), "stop")
    assert place.startswith("main blank, B")
    assert not found(bending(made, brake_length=27.0 * INCH), "B11")
    thick = found(bending(made, brake_thickness=0.063 * INCH), "B11")
    assert [(round(one / INCH, 3), round(other / INCH, 3)) for one, other, *_ in thick] == [(0.08, 0.063)] * 2
    assert not found(bending(made, brake_thickness=0.08 * INCH), "B11")


@pytest.mark.by_hand("R 0.75 (1 - cos 45 / N) stays under 0.010 in from N = 5")
def test_hits() -> None:
    assert found(bending(rolled(), hits=4.0), "B14")[0][:2] == (4.0, 5.0)
    assert not found(bending(rolled(), hits=5.0), "B14")
    assert {step.is_by_hits for step in bending(rolled(), hits=5.0).steps if step.hits} == {True}


@pytest.mark.behaviour("flat and solid of every family hold the same metal; a solid with more is told")
@pytest.mark.parametrize("made", [rolled(), pan()])
def test_flat_and_solid(made: Shroud) -> None:
    assert not found(bending(made), "B15")
    flat = made.flats[0]
    told = volume_finding(flat, folded(flat).volume * (1.0 + 2e-6))
    assert told is not None
    assert told.code == "B15"


@pytest.mark.practice("common practice, no source: inside width under 2 (D + leg) traps the last flange")
def test_trapped() -> None:
    r, t = 0.125 * INCH, 0.08 * INCH
    narrow = rolled(height=4.0, depth=3.0, roll=0.125, flange_leg=1.0 * INCH)
    ((width, least, place, level),) = found(bending(narrow), "B16")
    assert (width / INCH, place, level) == (pytest.approx(4.0), "main blank", "watch")
    assert least == pytest.approx(2.0 * (3.0 * INCH + 1.0 * INCH - r - t))
    assert bending(narrow).trapped == ("main blank",)
    assert not found(bending(rolled(roll=0.125)), "B16")


@pytest.mark.practice("common practice, no source: within a quarter of the least radius a bend runs across the grain")
def test_grain() -> None:
    # 6061-T6 0.125: 3 t at least, six thicknesses free of grain; both pairs of walls at 0.5 in.
    metal = "aluminium 6061-T6"
    both = pan(radius=0.5, t=0.125)
    sheets = nest(parts_of(both.flats, metal), [(48.0 * INCH, 96.0 * INCH)])
    (told,) = grain_findings(sheets, both.flats, metal)
    assert told.finding.code not in {one.finding.code for one in bending(both).told}
    assert told.level == "watch"
    assert (told.finding.measured / INCH, told.finding.limit / INCH) == pytest.approx((0.5, 0.75))
    one_way = rolled(t=0.125, flange_radius=0.5 * INCH)
    sheets = nest(parts_of(one_way.flats, metal), [(48.0 * INCH, 96.0 * INCH)])
    assert grain_findings(sheets, one_way.flats, metal) == ()


@pytest.mark.by_hand("4 in strip, legs 3.75 in, 90 deg at R 1/8: K = ((0.25 / 1.5708) - 0.125) / 0.080 = 0.427")
def test_a_test_bend_in_a_job() -> None:
    strip = 'test_strip = "4 in"\ntest_legs = "3.75 in"\ntest_angle = "90 deg"\ntest_radius = "0.125 in"'
    filled = filled_demo(with_shop(strip))
    assert neutral_of(filled).tight == pytest.approx(0.427, abs=0.001)
    assert tools_of(filled).is_tested
    wild = filled_demo(with_shop(strip.replace("3.75", "3.7")))
    assert neutral_of(wild).tight is None
    assert tools_of(wild).found.tight == pytest.approx(0.825, abs=0.001)
    with pytest.raises(InputError, match=r"shop\.test_radius: missing; a test bend needs test_strip"):
        filled_demo(with_shop(strip.partition("\ntest_radius")[0]))
    with pytest.raises(InputError, match="typed beside a test bend"):
        filled_demo(with_shop(strip + "\nk_factor = 0.42"))
    with pytest.raises(InputError, match="leaves nothing of the strip"):
        filled_demo(with_shop(strip.replace("3.75", "4.5")))
    with pytest.raises(InputError, match=r"16 gauge' is 0\.051 in of aluminium or 0\.060 in of steel; type the thick"):
        filled_demo(with_shop('sheet_thickness = "16 gauge"'))


@pytest.mark.by_hand("a bend's own K sets its length on the flat: 0.03 more is 0.03 t A")
def test_a_found_neutral_line_reaches_the_flat() -> None:
    plain, own = rolled().flats, rolled(neutral=Neutral(0.43, None)).flats
    for one, other in zip(plain, own, strict=True):
        bends = zip(one.bends, other.bends, strict=True)
        longer = {round((b.allowance - a.allowance) / INCH, 6) for a, b in bends if a.radius < 0.5 * INCH}
        assert longer == {round(0.03 * 0.08 * RIGHT, 6)}
    assert k_factor(0.125 * INCH, 0.08 * INCH, METAL) == 0.40


@pytest.mark.behaviour(
    "the packet lists the order, formers and hits, says where no order works, and each code in words"
)
def test_on_paper() -> None:
    made = bending(rolled())
    blocks = bending_blocks("in", Plan(bending=made))
    heads = [block["words"] for block in blocks if block["kind"] == "heading"]
    assert heads == ["Order of bends", "A roll made by hits"]
    rows = next(block for block in blocks if block["kind"] == "table")["rows"]
    assert rows[0][:6] == ["1", "main blank", "B1", "top", "up", "90°"]
    assert rows[2][3:] == ["none", "down", "90°", "0.696", "96.9°", "over a former"]
    assert "0.400 of the thickness in tight bends (table), 0.500 in rolls" in blocks[-1]["words"]
    trapped = bending_blocks("mm", Plan(bending=bending(rolled(height=4.0, depth=3.0, roll=0.125))))
    assert "No order clears a usual leaf brake for main blank" in trapped[1]["words"]
    assert bending_blocks("in", Plan()) == []
    shop = SHOPS["in"]
    assert said(SAID, "B09", 2.164, 1.92, "x", shop).because == "124° against 110°."
    assert said(SAID, "B15", 1.0000021, 1.0, "x", shop).because == "1.0000021 against 1.0000000."


@pytest.mark.by_hand("a bend without a radius needs no former and springs back by nothing that is worked out")
def test_a_sharp_bend() -> None:
    run = bend_allowance(RIGHT, 0.0, 1e-3, 0.4)
    bend = BendLine(1, 0.0, 0.05, 0.1, 0.05, RIGHT, 0.0, "up", run, 0.0)
    corners = ((0.0, 0.0), (0.1, 0.0), (0.1, 0.1), (0.0, 0.1))
    flat = Flat("x", tuple(Vertex(*at) for at in corners), (), (), (bend,), (), (), 1e-3, 1)
    made = bending_of([flat, replace(flat, name="y")], None, METAL, Neutral())
    assert [(step.former, step.former_angle) for step in made.steps] == [(0.0, RIGHT)] * 2
    assert made.told == ()
