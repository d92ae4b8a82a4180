"""From a job to flats of each family: typed in plain words, laid out as typed, alike however the job is turned."""

import math
from pathlib import Path

import pytest

from shroudwright.bench.arcs import area, box
from shroudwright.bench.errors import InputError
from shroudwright.fit_reasons import findings_of_fit
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.in_hand import unmeasured
from shroudwright.job.metalwork import face_bends, necks_cleared, not_followed, shroud_of
from shroudwright.job.priors import priors, words
from shroudwright.metal.shroud import Shroud
from shroudwright.uncertain.draws import draw
from tools.metal_pictures import picture, shrouds

INCH = 0.0254
ROOT = Path(__file__).parent.parent
JOB = """
units = "in"
[engine]
displacement = "5 L"
rated_power = "300 hp"
[core]
width = "{w} in, measured"
height = "{h} in, measured"
depth = "2 in, measured"
[shroud]
type = "full"
depth = "1.5 in, measured"
{shroud}
[space]
{space}
[[fans]]
code = "L"
x = "{x} in"
y = "{y} in"
blade = "11 in"
frame_size = "11.5 in, measured"
holes = [["5 in", "4 in", "1/4 in"], ["-5 in", "-3 in", "1/4 in"]]
run_amps = "15 A, box"
free_flow = "1600 cfm, box"
{fan}
[[cases]]
name = "idle"
kind = "idle"
"""


def filled(shroud: str = "", space: str = "", fan: str = "", **places: float) -> Filled:
    at = {"w": 26, "h": 16, "x": 9, "y": 8, **places}
    job = parse_job(JOB.format(shroud=shroud, space=space, fan=fan, **at).encode(), "x")
    return Filled(job, draw(priors(job), 4), {path: word.value for path, word in words(job).items()})


def made(*args: str, **places: float) -> Shroud:
    shroud = shroud_of(filled(*args, **places))
    assert shroud is not None
    return shroud


def names(shroud: Shroud) -> list[str]:
    return [flat.name for flat in shroud.flats]


@pytest.mark.behaviour("each family by its trade words; the blank's marks say when a fan sits inside")
def test_families() -> None:
    assert names(made()) == ["main blank", "end cap"]
    assert names(made('family = "bent pan"')) == ["main blank"]
    assert names(made('family = "bent pan"\ndivider = "17 in"')) == ["main blank", "divider"]
    plate = made('family = "flat plate"')
    assert names(plate) == ["flat plate"]
    assert plate.bought[0][2] == pytest.approx(1.5 * INCH)
    assert names(made('divider = "17 in"')) == ["main blank", "end cap", "divider"]
    assert names(made('depth_top = "2 in"')) == ["main blank", "right end", "left end"]
    assert names(made('rolled_edges = "left and right"\ndepth_top = "2 in"')) == ["main blank", "bottom end", "top end"]
    for family in ("rolled", "bent pan", "flat plate"):
        shroud = made(f'family = "{family}"', "", 'motor_inside = true\noverall_depth = "1 in"')
        assert "L: FAN INSIDE" in [text.text for text in shroud.flats[0].etch_texts]
    with pytest.raises(InputError, match="did you mean bent pan"):
        filled('family = "bend pan"')


@pytest.mark.by_hand(
    "2 in in 1 in of depth with square walls: refused, largest 1 - 0.125 - 0.08 = 0.795; else stops at 56.9 deg"
)
def test_square_walls() -> None:
    typed = 'roll_radius = "2 in"\ndepth = "1 in, measured"'
    text = JOB.replace('depth = "1.5 in, measured"\n', "")
    for more, refused in (("\nsquare_walls = true", True), ("", False)):
        job = parse_job(text.format(shroud=typed + more, space="", fan="", w=26, h=16, x=9, y=8).encode(), "x")
        known = Filled(job, draw(priors(job), 4), {path: word.value for path, word in words(job).items()})
        if refused:
            with pytest.raises(InputError, match=r"largest 0\.795 in .* stops at 56\.9 deg"):
                shroud_of(known)
        else:
            shroud = shroud_of(known)
            assert shroud is not None
            assert shroud.shape is not None
            assert math.degrees(shroud.shape.angle) == pytest.approx(56.9, abs=0.05)


@pytest.mark.law("a job turned a quarter gives the same metal: rolled left and right as top and bottom")
def test_turned_a_quarter() -> None:
    one = made('flange_top = "in"\nflange_bottom = "lip"')
    # A quarter left: what was at the right is at the top.
    holes = 'holes = [["-4 in", "5 in", "1/4 in"], ["3 in", "-5 in", "1/4 in"]]'
    typed = JOB.replace('holes = [["5 in", "4 in", "1/4 in"], ["-5 in", "-3 in", "1/4 in"]]', holes)
    text = typed.format(
        shroud='rolled_edges = "left and right"\nflange_left = "in"\nflange_right = "lip"',
        space="", fan="", w=16, h=26, x=8, y=9,
    )  # fmt: skip
    job = parse_job(text.encode(), "x")
    other = shroud_of(Filled(job, draw(priors(job), 4), {path: word.value for path, word in words(job).items()}))
    assert other is not None
    assert other.weight == pytest.approx(one.weight, rel=1e-12)
    first, second = one.flats[0], other.flats[0]
    assert area(first.outline) == pytest.approx(area(second.outline), rel=1e-12)
    high = box(second.outline).x2
    for hole, turned in zip(first.holes, second.holes, strict=True):
        assert (turned.x, turned.y) == pytest.approx((high - hole.y, hole.x), abs=1e-12)
    for bend, turned_bend in zip(first.bends, second.bends, strict=True):
        assert (turned_bend.x1, turned_bend.direction) == (pytest.approx(high - bend.y1), bend.direction)


@pytest.mark.by_hand(
    "widths the bends take: 3/4 roll top and bottom, or left and right; 1/8 all round a pan; none on a plate"
)
def test_face_bends() -> None:
    assert face_bends(filled()) == pytest.approx((0.0, 0.0, 0.75 * INCH, 0.75 * INCH))
    assert face_bends(filled('rolled_edges = "left and right"')) == pytest.approx((0.75 * INCH, 0.75 * INCH, 0.0, 0.0))
    assert face_bends(filled('family = "bent pan"')) == pytest.approx((0.125 * INCH,) * 4)
    assert face_bends(filled('family = "flat plate"')) == (0.0, 0.0, 0.0, 0.0)
    low = face_bends(filled('roll_radius = "2 in"\nrolled_edges = "left and right"'))[0]
    assert low == pytest.approx(2.0 * INCH * math.sin(math.acos(1.0 - 1.5 / 2.205)))


@pytest.mark.by_hand(
    "a frame 11 1/2 in wide, its middle 6 in from the left: 1/4 in off the edge, 1/2 in into a 3/4 roll there"
)
def test_rolls_at_the_sides_bear_on_fans() -> None:
    at = {"x": 6.0}
    assert not [f for f in shroud_of(filled(**at)).findings if f.code == "B05"]  # type: ignore[union-attr]
    (one,) = [f for f in made('rolled_edges = "left and right"', **at).findings if f.code == "B05"]
    assert (one.measured / INCH, one.limit / INCH) == pytest.approx((2.0 * 5.25, 11.62))


@pytest.mark.behaviour("what the flats cannot follow is said, and they are then those of the box")
def test_not_followed() -> None:
    notch = 'notches = [{x = "23 in", y = "13 in", width = "3 in", height = "3 in"}]'
    assert not_followed(filled(notch)) == []
    assert len(made(notch).flats) == 5
    assert not_followed(filled(f'family = "flat plate"\n{notch}')) == []
    (left,) = not_followed(filled(f'family = "bent pan"\n{notch}'))
    assert left.is_stop
    assert "four walls" in left.words
    (left,) = not_followed(filled(notch.replace('"13 in"', '"15.5 in"')))
    assert left.words == "an outline of its own, and a corner of it lies in a roll"
    assert names(made(notch.replace('"13 in"', '"15.5 in"'))) == ["main blank", "end cap"]
    (left,) = not_followed(filled(f'{notch}\nrolled_edges = "left and right"\ndepth_top = "2 in"'))
    assert "tapers along its rolls" in left.words


@pytest.mark.by_hand(
    "a 1 in neck at the right edge, 1 in long, in a shroud 1 1/2 in deep: let in, so no F09; 2 in long it is not"
)
def test_necks_in_side_pieces() -> None:
    neck = 'necks = [{{x = "26.2 in", y = "12 in", diameter = "1 in", reach = "{} in"}}]'
    short, long = filled("", neck.format(1)), filled("", neck.format(2))
    assert necks_cleared(short) == [pytest.approx((26.2 * INCH, 12.0 * INCH))]
    assert necks_cleared(long) == []
    assert "necks let into a side piece" in unmeasured(short)
    assert "necks let into a side piece" not in unmeasured(long)
    assert [f.code for f in findings_of_fit(short) if f.code == "F09"] == []
    assert [f.code for f in findings_of_fit(long) if f.code == "F09"] == ["F09"]
    assert names(made("", neck.format(1))) == ["main blank", "right end", "left end"]
    assert necks_cleared(filled('family = "bent pan"', neck.format(1))) == []


@pytest.mark.behaviour("every family's picture is in docs/metal.md; the two quickest are drawn again and are the same")
def test_pictures() -> None:
    told = (ROOT / "docs/metal.md").read_text(encoding="utf-8")
    made = shrouds()
    for name in made:
        assert f"(metal-{name}.svg)" in told
        assert (ROOT / f"docs/metal-{name}.svg").exists()
    for name in ("flat-plate", "large-roll"):
        assert (ROOT / f"docs/metal-{name}.svg").read_text(encoding="utf-8") == picture(name, made[name])
