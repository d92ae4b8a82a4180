"""A job's shroud fitted out: fields reach the flat, the lists and the findings."""

import math
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from shroudwright.bench.arcs import Circle, box, contains, length
from shroudwright.bench.errors import InputError
from shroudwright.bill_plan import hardware_bought
from shroudwright.catalogue.read import table
from shroudwright.drawing.dxf import cut_dxf, lint
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.fitting_out import FittedOut, holes_of
from shroudwright.job.priors import priors, words
from shroudwright.packet.shop_lists import lip_blocks
from shroudwright.packet.tables import hardware_rows, hole_rows, weld_rows
from shroudwright.plan import Plan, fitted_shroud
from shroudwright.price.bill import Price

INCH = 0.0254
DEMO = files("shroudwright.job").joinpath("demo.job.toml").read_text(encoding="utf-8")


FLAP = '[[flaps]]\nx = "3 in"\ny = "15.2 in"\nwidth = "2 in"\nheight = "1 in"'


@cache
def out(*swaps: tuple[str, str]) -> FittedOut:
    text = DEMO
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new, 1)
    job = parse_job(text.encode(), "x.job.toml")
    drawn = {path: np.full(1, prior.median) for path, prior in priors(job).items()}
    made = fitted_shroud(Filled(job, drawn, {path: word.value for path, word in words(job).items()}))
    assert made is not None
    return made


def with_fan(line: str) -> tuple[str, str]:
    return 'code = "Q14"\n', f'code = "Q14"\n{line}\n'


def with_shop(line: str) -> tuple[str, str]:
    return "[weather]\n", f"[shop]\n{line}\n\n[weather]\n"


def with_shroud(line: str) -> tuple[str, str]:
    return "[shroud]\n", f"[shroud]\n{line}\n"


def with_hole(line: str) -> tuple[str, str]:
    return "[weather]\n", f"[[holes]]\n{line}\n\n[weather]\n"


def told(made: FittedOut) -> set[tuple[str, str]]:
    return {(one.finding.code, one.level) for one in made.told}


def codes(made: FittedOut) -> set[str]:
    return {finding.code for finding in made.shroud.findings}


@pytest.mark.behaviour(
    "as it comes: bolts for every hole, a grommet, a seal once round, both caps welded, nothing wrong"
)
def test_the_demo() -> None:
    made = out()
    parts = {(item.part, item.where): item for item in made.hardware}
    flange = [hole for hole in made.shroud.flats[0].holes if hole.purpose == "flange bolt"]
    assert parts["bolt", "flange to core"].number == len(flange)
    assert parts["bolt", "flange to core"].size == "10-32"
    assert parts["grommet", "wires"].size == "bore 0.5625 in"
    assert ("foam strip", "under the flange, once round") in parts
    assert [line.joint.times for line in made.welds.lines] == [2]
    bare = out(with_shroud('side_foot = "0 in"'))
    cap = bare.shroud.flats[1]
    around, weld = box(cap.outline), bare.welds.lines[0].joint.length
    assert length(cap.outline) - weld == pytest.approx(around.x2 - around.x1)
    assert made.welds.lines[0].joint.length == pytest.approx(weld)
    assert made.told == ()
    assert hardware_rows(made.hardware, "mm")[0][5].endswith(" g")
    assert weld_rows(made.welds.lines, "in")[0][2].startswith("2 x ")


@pytest.mark.behaviour("a lobed opening, a lip and a mount pattern in a fan's row land on the flat")
def test_fan_fields() -> None:
    plain = out().shroud
    lobes = out(with_fan('opening = "lobed"')).shroud
    assert not isinstance(lobes.flats[0].openings[0].shape, Circle)
    assert lobes.weight > plain.weight
    flared = out(with_fan('lip = "0.4 in"'))
    lip = flared.shroud
    one, other = plain.flats[0].openings[0].shape, lip.flats[0].openings[0].shape
    assert isinstance(one, Circle)
    assert isinstance(other, Circle)
    assert other.radius < one.radius
    assert [(item.code, item.hole, item.clear) for item in flared.lips] == [
        ("Q14", 2.0 * other.radius, 2.0 * one.radius)
    ]
    assert lip_blocks("in", Plan(lips=flared.lips))[0]["words"].startswith("Q14: the hole of ")
    assert out().lips == ()
    gained = math.pi * (one.radius**2 - other.radius**2) * plain.shape.thickness * 0.097 * 0.45359237 / INCH**3
    assert lip.weight - plain.weight == pytest.approx(gained)
    both = out(with_fan('opening = "lobed"\nlip = "0.3 in"'))
    assert both.lips[0].gather == pytest.approx(0.15)
    assert "gathers 15 %" in lip_blocks("in", Plan(lips=both.lips))[0]["words"]
    with pytest.raises(InputError, match=r"Q14: lip: 1\.500 in high it splits at curves of"):
        out(with_fan('opening = "lobed"\nlip = "1.5 in"'))
    with pytest.raises(InputError, match="mount_circle and mount_hole"):
        out(('code = "Q10 left"\n', 'code = "Q10 left"\nmounts = 3\n'))
    pattern = 'code = "Q10 left"\nmounts = 3\nmount_circle = "11 in"\nmount_hole = "0.2 in"\n'
    job = parse_job(DEMO.replace('code = "Q10 left"\n', pattern).encode(), "x")
    fan = next(fan for fan in job.fans if fan.code == "Q10 left")
    assert holes_of(fan)[0] == pytest.approx((0.0, 5.5 * INCH, 0.2 * INCH), abs=1e-12)
    assert holes_of(next(fan for fan in job.fans if fan.code == "Q10 right")) == ()


@pytest.mark.behaviour("every added hole is on the flat and in the packet's list; a mount past the flange gets an ear")
def test_added_holes() -> None:
    plain = out().shroud.flats[0]
    made = out(with_hole('purpose = "mount"\nx = "6 in"\ny = "-1.2 in"\ndiameter = "0.25 in"'))
    blank = made.shroud.flats[0]
    hole = blank.holes[-1]
    assert hole.y < 0.0
    assert contains(blank.outline, hole.x, hole.y)
    assert box(blank.outline).y1 < box(plain.outline).y1
    assert ("bolt", "mount") in {(item.part, item.where) for item in made.hardware}
    assert hole_rows(blank, "in")[-1][1] == "mount"
    drain = out(with_hole('purpose = "drain"\nx = "2 in"\ny = "2 in"')).shroud.flats[0].holes[-1]
    assert drain.diameter == pytest.approx(0.3125 * INCH)
    for row, needs in (
        ('purpose = "slot"\nx = "2 in"\ny = "2 in"', "width, height"),
        ('purpose = "keyhole"\nfan = "Q14"', "diameter, width, turn"),
        ('purpose = "access"\nx = "2 in"\ny = "2 in"\nwidth = "1 in"', "height"),
        ('x = "2 in"\ny = "2 in"', "purpose"),
    ):
        with pytest.raises(InputError, match=f"does not say its .*{needs}"):
            out(with_hole(row))


@pytest.mark.behaviour("what is cut out of a blank reaches the cut file as closed lines that no service trips over")
def test_cut_file(tmp_path: Path) -> None:
    row = 'purpose = "{}"\nx = "{} in"\ny = "{} in"\n{}'
    ear = row.format("mount", 6, -1.2, 'diameter = "0.25 in"')
    slot = row.format("slot", 12, 14, 'width = "0.5 in"\nheight = "0.25 in"')
    keys = 'purpose = "keyhole"\nfan = "Q14"\ndiameter = "0.45 in"\nwidth = "0.21 in"\nturn = "10 deg"'
    made = out(
        with_fan('opening = "lobed"\nlip = "0.3 in"'),
        with_hole(f"{ear}\n\n[[holes]]\n{slot}\n\n[[holes]]\n{keys}\n\n{FLAP}"),
        with_shroud('bolt_slot = "1/16 in"'),
    )
    names = {opening.name for opening in made.shroud.flats[0].openings if opening.bolt}
    assert names == {"slot", "Q14 mount", "flange bolt"}
    path = tmp_path / "blank_cut.dxf"
    path.write_bytes(cut_dxf(made.shroud.flats[0], "in"))
    assert lint(path) == []


@pytest.mark.behaviour(
    "a flap typed once is a hole with a hinge in the flat, bare ones without; a hole's flap is sent there"
)
def test_flaps_are_typed_once() -> None:
    one = FLAP.replace('"2 in"', '"4 in"', 1)
    wide = out(("[weather]\n", f"{one}\n\n[weather]\n"))
    assert [item.name for item in wide.shroud.flats[0].openings].count("flap 1") == 1
    assert ("flap rubber", "flap 1") in {(item.part, item.where) for item in wide.hardware}
    assert "O12" in codes(wide)
    barred = out(("[weather]\n", f"{one}\nbars = 1\n\n[weather]\n"))
    assert [item.name for item in barred.shroud.flats[0].openings].count("flap 1") == 2
    assert "O12" not in codes(barred)
    bare = out(("[weather]\n", f'{one}\nopens = "always"\n\n[weather]\n'))
    assert "flap rubber" not in {item.part for item in bare.hardware}
    assert "O12" not in codes(bare)
    assert bare.shroud.weight == pytest.approx(wide.shroud.weight)
    with pytest.raises(InputError, match=r"holes\.0\.purpose: a flap is typed once, for air and metal: \[\[flaps\]\]"):
        out(with_hole('purpose = "flap"\nx = "12 in"\ny = "14 in"\nwidth = "2 in"\nheight = "1 in"'))
    with pytest.raises(InputError, match=r"flaps\.0\.bars: 8 bars of 0\.5 in leave nothing"):
        out(("[weather]\n", f"{one}\nbars = 8\n\n[weather]\n"))


@pytest.mark.practice("common practice, no source: one bolt fixed, all others with play; bolts are counted as before")
def test_bolts_with_play() -> None:
    plain, loose = out(), out(with_shroud('bolt_slot = "1/16 in"'))
    blank, bolts = (
        loose.shroud.flats[0],
        [hole for hole in plain.shroud.flats[0].holes if hole.purpose == "flange bolt"],
    )
    slots = [opening for opening in blank.openings if opening.name == "flange bolt"]
    assert len(slots) == len(bolts) - 1
    assert all(opening.box.x2 - opening.box.x1 == pytest.approx((0.201 + 0.125) * INCH) for opening in slots)
    (fixed,) = (hole for hole in blank.holes if hole.purpose == "flange bolt")
    middle = 0.5 * (box(blank.outline).x1 + box(blank.outline).x2)
    assert abs(fixed.x - middle) == pytest.approx(min(abs(hole.x - middle) for hole in bolts))
    feet = [opening for opening in loose.shroud.flats[1].openings if opening.name == "foot bolt"]
    assert [opening.shape.radius for opening in feet] == pytest.approx([(0.1005 + 0.0625) * INCH] * len(feet))  # type: ignore[union-attr]
    assert feet
    assert [item[:6] for item in loose.hardware] == [item[:6] for item in plain.hardware]
    assert [hole.number for hole in blank.holes] == list(range(1, len(blank.holes) + 1))
    assert ("O01", 4.0 * 0.08) in {(one.code, round(one.limit / INCH, 6)) for one in loose.shroud.findings}
    roomy = out(with_shroud('bolt_slot = "1/16 in"\nflange_leg = "1.3 in"'))
    assert "O01" not in codes(roomy)


@pytest.mark.behaviour("keyholes take a fan's place of its mounting holes, and are refused without them")
def test_keyholes() -> None:
    keys = 'purpose = "keyhole"\nfan = "Q14"\ndiameter = "0.45 in"\nwidth = "0.21 in"\nturn = "10 deg"'
    made = out(with_hole(keys))
    blank = made.shroud.flats[0]
    seats = [opening.bolt for opening in blank.openings if opening.name == "Q14 mount"]
    drilled = [hole for hole in out().shroud.flats[0].holes if hole.purpose == "Q14 mount"]
    assert [(seat.x, seat.y) for seat in seats if seat] == [pytest.approx((hole.x, hole.y)) for hole in drilled]
    assert len(seats) == 4
    assert not {"O08", "O16"} & {one.code for one in made.shroud.findings if one.place == "Q14"}
    assert next(item.number for item in made.hardware if item.where == "Q14 mount") == 4
    with pytest.raises(InputError, match="Q10 left: keyholes need its mounting holes"):
        out(with_hole(keys.replace("Q14", "Q10 left")))
    with pytest.raises(InputError, match=r"turned 2\.0 deg the stud is still in|turn.*3 deg"):
        out(with_hole(keys.replace("10 deg", "2 deg")))
    with pytest.raises(InputError, match=r"holes\.0\.fan: there is no fan 'Z'; the fans are"):
        out(with_hole(keys.replace("Q14", "Z")))
    with pytest.raises(InputError, match=r"a slot as high as it is wide is a hole"):
        out(with_hole('purpose = "slot"\nx = "2 in"\ny = "2 in"\nwidth = "0.3 in"\nheight = "0.3 in"'))


@pytest.mark.behaviour("an access opening takes a lip where its corners are round enough, and says how round")
def test_a_lip_on_an_access_opening() -> None:
    hatch = 'purpose = "access"\nx = "3 in"\ny = "12 in"\nwidth = "3.6 in"\nheight = "3.6 in"\nlip = "0.3 in"'
    with pytest.raises(
        InputError, match=r"access: lip: 0\.300 in high it splits at curves of 0\.250 in radius; they must"
    ):
        out(with_hole(hatch))
    made = out(with_hole(hatch + '\ncorner = "1.6 in"'))
    opening = next(opening for opening in made.shroud.flats[0].openings if opening.name == "access")
    assert opening.bends_from is not None
    assert [lip.code for lip in made.lips] == ["access"]
    with pytest.raises(InputError, match=r"holes\.0\.lip: only an access opening takes one"):
        out(with_hole('purpose = "drain"\nx = "3 in"\ny = "2 in"\nlip = "0.3 in"'))


@pytest.mark.behaviour("what the shop has changes the lists and raises its own findings")
def test_shop_fields() -> None:
    rivets = out(with_shop('fasteners = "rivet"'))
    assert rivets.hardware[0].part == "blind rivet"
    nuts = out(with_shop('fasteners = "rivet nut"'))
    assert [item.part for item in nuts.hardware[:2]] == ["bolt", "rivet nut"]
    assert told(out(with_shop('filler = "5356"'))) == {("M01", "watch")}
    assert told(out(with_shop('filler = "4043"\nfinish = "anodise"'))) == {("M02", "note"), ("M06", "note")}
    flush = out(with_shop("blend_welds = true")).welds.lines[0]
    assert (flush.finish, flush.joint.is_full) == ("ground flush and blended", True)
    assert told(out(with_shop('sheet_thickness = "0.16 in"'))) == {("M08", "watch")}


@pytest.mark.behaviour("trim, loom, bolts and a copper core each fire on their own fault, and not without it")
def test_shroud_fields() -> None:
    assert "O11" not in codes(out())
    trimmed = out(with_shroud("edge_trim = true"))
    assert "O11" in codes(trimmed)
    assert "edge trim" in {item.part for item in trimmed.hardware}
    assert "O10" in codes(out(with_shroud('loom = "0.55 in"')))
    assert "O10" not in codes(out(with_shroud('loom = "0.4 in"')))
    bolts = 'bolt_length = "1 in"\nbolt_room = "{} in"'
    assert told(out(with_shroud(bolts.format("0.75")))) == {("F12", "stop")}
    assert told(out(with_shroud(bolts.format("1.25")))) == set()


@pytest.mark.by_hand(
    "a bolt a hole, slotted or not; a plate's tubes, long bolts and foam; a rivet nut is no further nut"
)
def test_what_is_priced() -> None:
    bought = dict(hardware_bought(out()))
    holes = [hole for flat in out().shroud.flats for hole in flat.holes * flat.quantity if hole.purpose != "grommet"]
    assert bought["fastener"] == len(holes)
    assert bought["grommet"] == 1
    assert bought["sealing strip"] == pytest.approx(2.0 * (37.0 + 17.0) * INCH)
    assert dict(hardware_bought(out(with_shroud('bolt_slot = "1/16 in"')))) == bought
    assert dict(hardware_bought(out(with_shop('fasteners = "rivet nut"')))) == bought
    plate = out(with_shroud('family = "flat plate"'))
    spacers = dict(hardware_bought(plate))
    count = sum(hole.purpose == "spacer bolt" for hole in plate.shroud.flats[0].holes)
    depth = plate.shroud.depths[0]
    assert (spacers["spacer bolt"], spacers["spacer tube"]) == (count, pytest.approx(count * depth, rel=0.01))
    assert spacers["sealing strip"] == pytest.approx(2.0 * (37.0 + 17.0) * INCH)
    assert spacers["fastener"] == 4
    assert "edge trim" in dict(hardware_bought(out(with_shroud("edge_trim = true"))))
    listed = {price.code for price in table("prices.csv", Price)}
    assert {*spacers, *bought, "edge trim", "flap rubber"} <= listed
    assert out().welds.length == sum(line.joint.length * line.joint.times for line in out().welds.lines) > 0.0


@pytest.mark.behaviour("a shroud that reaches below the fins wants a drain; one there quiets it")
def test_drain() -> None:
    low = with_shroud('reach_bottom = "0.5 in"')
    assert "O13" in codes(out(low))
    placed = out(low, with_hole('purpose = "drain"\nx = "8 in"\ny = "0.02 in"')).shroud
    assert "O13" not in {finding.code for finding in placed.findings}


@pytest.mark.behaviour("every family takes lobes, added holes and lists; what lies off its face is refused")
@pytest.mark.parametrize(
    ("lines", "welds", "is_foamed"),
    [
        ('family = "bent pan"', ["pan's corners"], True),
        ('family = "flat plate"', [], False),
        ('rolled_edges = "left and right"', ["end cap to blank"], True),
        ('side_pieces = "between"', ["end cap to blank"], True),
        ('divider = "13 in"', ["end cap to blank", "divider to blank"], True),
    ],
)
def test_every_family(lines: str, welds: list[str], is_foamed: bool) -> None:
    made = out(
        with_shroud(lines), with_fan('opening = "lobed"'), with_hole('purpose = "drain"\nx = "1.5 in"\ny = "2 in"')
    )
    blank, landing = made.shroud.flats[0], made.shroud.landing
    lobed = next(opening for opening in blank.openings if opening.name == "Q14")
    assert not isinstance(lobed.shape, Circle)
    around = box(lobed.shape)
    middle = 0.5 * (around.x1 + around.x2), 0.5 * (around.y1 + around.y2)
    assert middle == pytest.approx(landing.at(18.5 * INCH, 8.5 * INCH), abs=1e-6)
    drain = blank.holes[-1]
    assert (drain.x, drain.y) == pytest.approx(landing.at(1.5 * INCH, 2.0 * INCH))
    assert contains(blank.outline, drain.x, drain.y)
    assert [line.joint.name for line in made.welds.lines] == welds
    assert ("foam strip" in {item.part for item in made.hardware}) is is_foamed
    if made.shroud.family != "flat plate":
        with pytest.raises(InputError, match="off the face where no flange turns out"):
            out(with_shroud(f'{lines}\nflange = "none"'), with_hole('purpose = "drain"\nx = "-0.2 in"\ny = "-0.2 in"'))
