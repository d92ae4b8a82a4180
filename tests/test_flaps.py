"""Flaps, gaps and several shroud boxes at their places: in the cells, in the field, in a job, and clear of fans."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from shroudwright.air_behind import curves, report, told
from shroudwright.assess import _solve
from shroudwright.bench.arcs import moved, rectangle
from shroudwright.bench.errors import InputError
from shroudwright.choose.sizes import shrouded
from shroudwright.drawing.air_map import air_map
from shroudwright.drawing.clearances import clearance_picture
from shroudwright.drawing.shapes import Text
from shroudwright.fit_reasons import findings_of_fit
from shroudwright.job.circuits import circuits_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import fit_of
from shroudwright.job.flatten import glycol_of
from shroudwright.job.leaks import opened
from shroudwright.job.near import hangs_on_the_point
from shroudwright.job.places import flaps, places
from shroudwright.job.plenum import Behind, behind_of, like_blowers
from shroudwright.job.priors import priors, words
from shroudwright.judge import Solved, judge_case
from shroudwright.layout import Layout, Site, lay_out
from shroudwright.pack.cells import Cells, Crack, Law, Plenum, cut, run_of, with_openings
from shroudwright.pack.field import solve_field
from shroudwright.pack.plenum import March
from shroudwright.packet.behind import faces
from shroudwright.shroud.bodies import FanBody, Plate
from shroudwright.shroud.fit import clearances, missing
from shroudwright.speech import SHOPS
from shroudwright.uncertain.draws import draw
from tests.layouts import apart
from tests.oracle_field import newton
from tests.oracle_momentum import momentum
from tests.plenums import BASE, INCH, blowers

ROOT = Path(__file__).resolve().parent.parent
MARCH = March(True, 1, 3000.0, 0.4, 0.25, 1500.0)
PRESSED = BASE._replace(ahead=150.0)
"""The base core with road air enough on it to open a flap."""
WIDTH, HEIGHT = 25.0 * INCH, 17.0 * INCH
QUARTERS = [(0.25 * WIDTH, 0.5 * HEIGHT, 5.875 * INCH), (0.75 * WIDTH, 0.5 * HEIGHT, 5.875 * INCH)]


def plenum(depth_in: float = 1.0, **more: object) -> Plenum:
    base = Plenum(WIDTH, HEIGHT, (rectangle(WIDTH, HEIGHT),), depth_in * INCH, depth_in * INCH)
    return base._replace(**more)


def cells(count: int = 1536, **more: object) -> Cells:
    return with_openings(cut(plenum(**more), count), QUARTERS)


def at(x: float, y: float, width: float, height: float) -> tuple[float, float, float, float]:
    """A hole about its middle, inches."""
    return ((x - width / 2) * INCH, (y - height / 2) * INCH, width * INCH, height * INCH)


@pytest.mark.by_hand("4 x 2 in on cells of 0.52 x 0.53 in; a crack of 8 in along 17 in of wall; the rest all round")
def test_every_hole_keeps_its_area_and_its_place() -> None:
    crack = Crack("left", 4.0 * INCH, 12.0 * INCH, 0.0005)
    hole = at(12.5, 15.0, 4.0, 2.0)
    cut_up = cells(flaps=(at(2.3, 1.4, 4.0, 2.0),), holes=(hole,), cracks=(crack,), gaps=0.002)
    assert cut_up.flap.sum() == pytest.approx(8.0 * INCH**2)
    assert cut_up.gap.sum() == pytest.approx(8.0 * INCH**2 + 0.0025)
    x, y = (np.arange(cut_up.flap.shape[1]) + 0.5) * cut_up.dx, (np.arange(cut_up.flap.shape[0]) + 0.5) * cut_up.dy
    assert [(cut_up.flap.sum(axis=0) @ x), (cut_up.flap.sum(axis=1) @ y)] == pytest.approx(
        [2.3 * INCH * 8.0 * INCH**2, 1.4 * INCH * 8.0 * INCH**2], rel=0.01
    )
    alone = cells(cracks=(crack,)).gap
    assert alone[:, 1:].sum() == 0.0
    assert alone[:, 0] @ y == pytest.approx(0.0005 * 8.0 * INCH, rel=1e-3)
    assert run_of(plenum(), crack) == (0.0, 4.0 * INCH, 0.0, 12.0 * INCH)
    even = cells(gaps=0.002).gap
    assert even[10, 0] == pytest.approx(0.002 * cut_up.dy / (2.0 * (WIDTH + HEIGHT)))


@pytest.mark.law("a hole over an opening is a hole at that opening's own pressure")
@pytest.mark.parametrize("kind", ["flaps", "holes"])
def test_at_an_openings_place_it_is_as_it_was_without_a_place(kind: str) -> None:
    over = tuple(at(x / INCH, y / INCH, 6.0, 6.0) for x, y, _ in QUARTERS)
    placed, bare = cells(**{kind: over}), cells()
    at_openings = np.where(bare.opening >= 0, 1.0, 0.0)
    spread = 72.0 * INCH**2 * at_openings / at_openings.sum()
    unplaced = bare._replace(**{"flap" if kind == "flaps" else "gap": spread})
    law = BASE._replace(ahead=400.0)
    one, other = (solve_field(each, law, blowers(), tolerance=1e-8) for each in (placed, unplaced))
    assert one.has_settled
    assert other.has_settled
    assert abs(one.flap_flow + one.gap_flow) > 0.01
    assert one.flow.sum() == pytest.approx(other.flow.sum(), rel=0.01)
    assert one.flap_flow == pytest.approx(other.flap_flow, rel=0.01)
    assert one.gap_flow == pytest.approx(other.gap_flow, rel=0.01)


@pytest.mark.law("mirror images")
def test_mirrored_places_let_the_same_air_out() -> None:
    flows = [
        solve_field(cells(flaps=(at(x, y, 4.0, 2.0),)), PRESSED, blowers(), tolerance=1e-8).flap_flow
        for x in (2.5, 22.5)
        for y in (1.5, 15.5)
    ]
    assert min(flows) > 0.001
    assert flows == pytest.approx([flows[0]] * 4, rel=1e-5)


@pytest.mark.law("a flap stays shut against the bay; a bare hole does not, and costs the core its air")
def test_standing_a_flap_is_shut() -> None:
    corner = (at(2.5, 1.5, 4.0, 2.0),)
    none, flap, hole = (
        solve_field(each, BASE, blowers(), tolerance=1e-8)
        for each in (cells(), cells(flaps=corner), cells(holes=corner))
    )
    assert flap.flap_flow == 0.0
    assert flap.flow == pytest.approx(none.flow)
    assert hole.gap_flow > 0.01
    assert np.nansum(hole.speed) < 0.99 * np.nansum(none.speed)


def shapes() -> dict[str, tuple[Cells, Law]]:
    corners = tuple(at(x, y, 4.0, 2.0) for x in (2.0, 23.0) for y in (1.0, 16.0))
    left, right = rectangle(11.0 * INCH, HEIGHT), moved(rectangle(11.0 * INCH, HEIGHT), 14.0 * INCH, 0.0)
    return {
        "flaps in corners": (cells(flaps=corners), PRESSED),
        "bare hole": (cells(holes=corners[:1]), BASE),
        "cracks": (
            cells(cracks=(Crack("left", 0.0, HEIGHT, 0.002), Crack("top", 0.1, 0.3, 0.001)), gaps=0.001),
            BASE._replace(ahead=60.0),
        ),
        "two boxes, one deeper": (
            with_openings(
                cut(plenum(outlines=(left, right), deeper=(0.0, 0.02)), 1536),
                [(5.5 * INCH, 8.5 * INCH, 5.0 * INCH), (19.5 * INCH, 8.5 * INCH, 5.0 * INCH)],
            ),
            BASE,
        ),
    }


@pytest.mark.independent("the same equations by a plain sparse Newton method, written apart")
@pytest.mark.parametrize("name", list(shapes()))
def test_newton_finds_the_same(name: str) -> None:
    each, law = shapes()[name]
    found, answer = solve_field(each, law, blowers(), tolerance=1e-10), newton(each, law, blowers())
    assert found.has_settled
    assert answer.balance < 1e-10
    assert found.flow == pytest.approx(answer.flow, rel=1e-6)
    assert apart(each, found.speed, answer.v) < 1e-6


@pytest.mark.independent("the full depth-averaged momentum, rotation kept, marched to a standstill")
@pytest.mark.parametrize("name", list(shapes()))
def test_the_full_momentum_comes_near(name: str) -> None:
    each, law = shapes()[name]
    found, full = solve_field(each, law, blowers(), tolerance=1e-7), momentum(each, law, blowers())
    assert found.flow.sum() == pytest.approx(full.flow.sum(), rel=0.006)
    assert apart(each, found.speed, full.v) < 0.03


@pytest.mark.independent("a prototype of this method: four 4 x 2 in flaps, 60 mph; place is worth 0.3 points of heat")
def test_where_flaps_lie_hardly_matters_at_an_inch() -> None:
    ram = BASE._replace(ahead=0.5 * 0.5 * 1.15 * (60.0 * 0.44704) ** 2)
    corners = tuple(at(x, y, 4.0, 2.0) for x in (2.0, 23.0) for y in (1.0, 16.0))
    middles = tuple(at(x, y, 4.0, 2.0) for x in (6.25, 18.75) for y in (1.0, 16.0))
    none, one, other = (
        float(np.nansum(solve_field(cells(flaps=each), ram, blowers(), tolerance=1e-7).speed))
        for each in ((), corners, middles)
    )
    assert one / other == pytest.approx(1.0, abs=0.01)
    assert one > 1.03 * none


@pytest.mark.law("two boxes side by side are one shroud with a divider")
def test_two_boxes_that_touch_are_a_divider() -> None:
    half = rectangle(0.5 * WIDTH, HEIGHT)
    apart_, whole = (
        with_openings(cut(plenum(**more), 1536), QUARTERS)
        for more in ({"outlines": (half, moved(half, 0.5 * WIDTH, 0.0))}, {"dividers": (0.5 * WIDTH,)})
    )
    fans = blowers(2)
    fans = fans._replace(flow=fans.flow * np.array([[1.0], [0.6]]))
    one, other = (solve_field(each, BASE, fans, tolerance=1e-9) for each in (apart_, whole))
    assert one.flow == pytest.approx(other.flow, rel=1e-7)
    assert np.nanmax(np.abs(one.speed - other.speed)) < 1e-7


@pytest.mark.by_hand("one box 1 in deep, the other 1.8, taper of 0.2 in up each")
def test_each_box_has_its_depth() -> None:
    left, right = rectangle(11.0 * INCH, HEIGHT), moved(rectangle(11.0 * INCH, 8.5 * INCH), 14.0 * INCH, 0.0)
    both = cut(plenum(outlines=(left, right), deeper=(0.0, 0.8 * INCH), depth_top=1.2 * INCH), 1536)
    across = (np.arange(both.depth.shape[1]) + 0.5) * both.dx / INCH
    up = (np.arange(both.depth.shape[0]) + 0.5) * both.dy / INCH
    i, k = int(np.argmin(np.abs(across - 5.0))), int(np.argmin(np.abs(across - 20.0)))
    for j in (3, 9):
        assert both.depth[j, i] / INCH == pytest.approx(1.0 + 0.2 * up[j] / 17.0)
        assert both.depth[j, k] / INCH == pytest.approx(1.8 + 0.2 * up[j] / 8.5)
    between = (across > 11.5) & (across < 13.5)
    assert not both.wet[:, between].any()
    assert both.bare[:, between] == pytest.approx(1.0)


JOB = """
name = "pair"
units = "in"
[engine]
displacement = "5.7 L"
rated_power = "250 kW"
[core]
width = "25 in, measured"
height = "17 in, measured"
depth = "2 in, measured"
[shroud]
depth = "1 in, measured"
#shroud
[[fans]]
code = "L"
blade = "11 in"
frame = "square"
frame_size = "12 in, measured"
#left
[[fans]]
code = "R"
blade = "11 in"
frame = "square"
frame_size = "12 in, measured"
#right
[[cases]]
name = "idle in gear"
kind = "idle"
"""


def row(section: str, **fields: str) -> str:
    lines = "".join(f'{name} = "{value}"\n' for name, value in fields.items())
    return f"\n[[{section}]]\n{lines}"


def filled(*more: str, **swaps: str) -> Filled:
    text = JOB
    for mark, line in swaps.items():
        text = text.replace(f"#{mark}", line)
    job = parse_job((text + "".join(more)).encode(), "pair.job.toml")
    return Filled(job, draw(priors(job), 4), {path: word.value for path, word in words(job).items()})


def behind(of: Filled) -> Behind:
    found = behind_of(of)
    assert found is not None
    return opened(of, found)


def flap(**fields: str) -> str:
    return row("flaps", **{"x": "12.5 in", "y": "1.5 in", "width": "4 in", "height": "2 in", **fields})


@pytest.mark.by_hand("4 x 2 in about (12.5, 1.5); 8 in of 1/8 in; 4 in2 in all, 1 of them placed")
def test_what_a_job_says() -> None:
    whole = filled(
        flap(),
        flap(y="15.5 in", opens="always", code="upper hole"),
        row("gaps", side="left", width="0.125 in", length="8 in"),
        shroud='gaps = "4 in**2"',
    )
    first, second = flaps(whole)
    assert (first.code, first.has_flap, second.code, second.has_flap) == ("flap 1", True, "upper hole", False)
    assert first.sides == pytest.approx((10.5 * INCH, 0.5 * INCH, 4.0 * INCH, 2.0 * INCH))
    inside = behind(whole).plenum
    assert (inside.flaps, inside.holes) == ((first.sides,), (second.sides,))
    (crack,) = inside.cracks
    assert (crack.side, crack.part) == ("left", -1)
    assert (crack.start, crack.end, crack.area) == pytest.approx((4.5 * INCH, 12.5 * INCH, INCH**2))
    assert inside.gaps == pytest.approx(3.0 * INCH**2)
    assert whole["shroud.flaps"][0] == pytest.approx(8.0 * INCH**2)
    assert whole["shroud.flap_count"][0] == 1.0
    # Rows alone are all there is, their width a reading by feeler.
    alone = filled(row("gaps", side="top", width="0.1 in"))
    assert alone["shroud.gaps"][0] == pytest.approx(2.5 * INCH**2)
    assert behind(alone).plenum.gaps == 0.0
    # Nothing typed: the guess, all round; and no plenum of the pack's tables leaks.
    guessed = filled()
    assert behind(guessed).plenum.gaps == pytest.approx(4.0 * INCH**2)
    sealed = behind_of(whole)
    assert sealed is not None
    assert (sealed.plenum.flaps, sealed.plenum.cracks, sealed.plenum.gaps) == ((), (), 0.0)


BOXES = row("shroud_boxes", x="0 in", y="0 in", width="12 in", height="17 in") + row(
    "shroud_boxes", code="deep", x="13 in", y="0 in", width="12 in", height="17 in", depth="2 in"
)


@pytest.mark.by_hand("boxes of 12 in with 1 in between: 24/25 of the core; quarter points at 6 and 19 in")
def test_boxes_of_a_job() -> None:
    both = filled(BOXES)
    assert both["shroud.covered_share"][0] == pytest.approx(0.96)
    assert [x / INCH for x, _ in places(both)] == pytest.approx([6.0, 19.0])
    inside = behind(both)
    assert inside.plenum.deeper == pytest.approx((0.0, INCH))
    laid = inside.cells(1536)
    assert float(laid.bare.sum()) * laid.dx * laid.dy == pytest.approx(17.0 * INCH**2, rel=0.01)
    fit = fit_of(both)
    assert [
        (plate.bottom / INCH, fit.plate_of(fan) == plate) for plate, fan in zip(fit.boxes, fit.fans, strict=True)
    ] == [
        (pytest.approx(1.0), True),
        (pytest.approx(2.0), True),
    ]
    assert [finding.code for finding in findings_of_fit(both)] == ["F10"]
    # A frame past the end of its own box, not of the core; its neighbour stands in the other box.
    out = filled(BOXES, left='x = "7 in"\ny = "8.5 in"')
    assert [(item.code, item.because) for item in findings_of_fit(out) if item.code != "F10"] == [
        ("F02", "1 in is missing; nothing may be missing.")
    ]


@pytest.mark.law("two boxes that touch, and a divider: the same plenum")
def test_a_divider_is_the_short_form() -> None:
    touching = row("shroud_boxes", x="0 in", y="0 in", width="12.5 in", height="17 in") + row(
        "shroud_boxes", x="12.5 in", y="0 in", width="12.5 in", height="17 in"
    )
    one, other = behind(filled(touching)).cells(1536), behind(filled(shroud='divider = "12.5 in"')).cells(1536)
    for a, b in zip(one, other, strict=True):
        assert np.asarray(a) == pytest.approx(np.asarray(b), abs=1e-12)


@pytest.mark.by_hand("frame of 12 in at (6, 8.5): its edge at 14.5; a flap from 14.25 up is 1/4 in under it")
def test_a_frame_over_a_flap() -> None:
    (one,) = (
        item
        for item in findings_of_fit(filled(flap(x="6 in", y="15 in", height="1.5 in"), left='x = "6 in"'))
        if item.code == "F13"
    )
    assert (one.level, one.place) == ("stop", "fans: L")
    assert one.says == "The frame of L lies over flap 1."
    assert one.because == "1/4 in is missing; nothing may be missing."
    assert one.remedy.startswith("Move the fan or the flap by 1/4 in")
    clear = findings_of_fit(filled(flap(x="6 in", y="15.5 in", height="1.5 in"), left='x = "6 in"'))
    assert "F13" not in {item.code for item in clear}


FAULTY = {
    "off the shroud": (flap(x="40 in"), ["flaps.0: flap 1 lies off the shroud"]),
    "past its edge": (flap(x="1 in"), ["flaps.0: flap 1 hangs 1 in past the shroud's edge"]),
    "no size": (row("flaps", x="4 in", y="2 in"), ["flaps.0: does not say its width, height"]),
    "on each other": (flap() + flap(x="14 in"), ["flaps.1: flap 2 and flap 1 lie over each other"]),
    "under a fan": (flap(x="6 in", y="8.5 in"), ["flaps.0: flap 1 lies 5.5 in under the blades of fan L"]),
    "gap without a side": (row("gaps", width="0.1 in"), ["gaps.0: does not say its side"]),
    "gap past its edge": (
        row("gaps", side="left", width="0.1 in", length="10 in", middle="14 in"),
        ["gaps.0.length: it runs 2 in past the end of the left edge"],
    ),
    "gap on no box": (
        row("gaps", side="left", width="0.1 in", box="deep"),
        ["gaps.0.box: there is no box 'deep'; the boxes are none"],
    ),
    "gap of boxes": (BOXES + row("gaps", side="left", width="0.1 in"), ["gaps.0.box: missing; say which box"]),
    "boxes overlap": (
        BOXES + row("shroud_boxes", x="11 in", y="0 in", width="1.5 in", height="17 in"),
        ["shroud_boxes.2: box 3 lies 1 in over box 1"],
    ),
    "box off the core": (
        row("shroud_boxes", x="30 in", y="0 in", width="5 in", height="5 in"),
        ["shroud_boxes.0: box 1 misses the core"],
    ),
}


@pytest.mark.behaviour("what cannot be, in plain words")
@pytest.mark.parametrize("name", list(FAULTY))
def test_faults(name: str) -> None:
    more, wanted = FAULTY[name]
    with pytest.raises(InputError) as caught:
        filled(more, left='x = "6 in"\ny = "8.5 in"')
    assert len(caught.value.faults) == len(wanted)
    for fault, start in zip(caught.value.faults, wanted, strict=True):
        assert fault.startswith(start), fault


@pytest.mark.behaviour("all faults at once")
def test_all_faults_at_once() -> None:
    with pytest.raises(InputError) as caught:
        filled(
            flap(x="40 in"),
            flap(x="1 in"),
            row("gaps", side="top", width="1 in"),
            left='x = "6 in"',
            shroud='gaps = "4 in**2"',
        )
    assert [fault.partition(":")[0] for fault in caught.value.faults] == [
        "flaps.0",
        "flaps.1",
        "shroud.gaps",
    ]
    with pytest.raises(InputError) as caught:
        filled(
            flap(),
            BOXES,
            shroud='flaps = "8 in**2"\nnotches = [{x = "24 in", y = "16 in", width = "2 in", height = "2 in"}]',
        )
    assert [fault.partition(":")[0] for fault in caught.value.faults] == ["shroud.flaps", "shroud.notches"]
    with pytest.raises(InputError, match=r"whose shroud\.type is 'none'"):
        filled(flap(), shroud='type = "none"')
    with pytest.raises(InputError, match="is not known from its covered share alone"):
        filled(flap(), shroud='type = "partial"')


TIGHT = (ROOT / "examples/hot-rod-tight-bay.job.toml").read_text(encoding="utf-8")
CORNERS = tuple((x, y) for x in ("1.5 in", "16 in") for y in ("1.875 in", "16.625 in"))


def tight(index: int, *more: str, shroud: str = "") -> tuple[Filled, Solved]:
    job = parse_job((TIGHT.replace("[shroud]", f"[shroud]\n{shroud}") + "".join(more)).encode(), "tight.job.toml")
    whole = Filled(job, draw(priors(job), 20, 1), {path: word.value for path, word in words(job).items()})
    return whole, _solve(whole, index, circuits_of(whole))


def in_corners(**fields: str) -> list[str]:
    return [row("flaps", x=x, y=y, width="2.5 in", height="2.25 in", **fields) for x, y in CORNERS]


LEAKS = {
    "flaps": in_corners(),
    "bare holes": in_corners(opens="always"),
    "a gap along the top": [row("gaps", side="top", width="0.25 in")],
}


@pytest.mark.independent("the pack, told of its leaks on quick cells, against one finer field with the job's own fan")
@pytest.mark.parametrize("index", [0, 2])
@pytest.mark.parametrize("name", list(LEAKS))
def test_the_pack_has_leaks_where_they_are(name: str, index: int) -> None:
    whole, solved = tight(index, *LEAKS[name])
    found = report(whole, solved)
    assert found is not None
    assert found.share_by_spread is None
    assert found.share_of_pack == pytest.approx(1.0, abs=0.005)
    assert found.heat_against_even == pytest.approx(solved.results.heat_ratio[0], abs=0.005)


PAIRS = {"standing": ("", 'fans_on = ["L"]'), "unlike": ('free_flow = "600 cfm, catalogue"', "")}
ENDS = [{"x": x, "y": y, "width": "4 in", "height": "1.5 in"} for x in ("2.5 in", "22.5 in") for y in ("1 in", "16 in")]
PAIR_LEAKS = {
    "flaps": [row("flaps", **end) for end in ENDS],
    "bare holes": [row("flaps", **end, opens="always") for end in ENDS],
    "a gap along the top": [row("gaps", side="top", width="0.25 in")],
}


def pair(kind: str, speed: str, *more: str) -> tuple[Filled, Solved]:
    right, on = PAIRS[kind]
    case = f'\n[[cases]]\nname = "hill"\nkind = "grade"\nspeed = "{speed}"\n{on}\n'
    whole = filled(case, *more, right=right)
    return whole, _solve(whole, 1, circuits_of(whole))


@pytest.mark.independent(
    "the pack about its own point on quick cells, fans unlike or one standing, against a finer field"
)
@pytest.mark.parametrize("speed", ["25 mph", "65 mph"])
@pytest.mark.parametrize("name", list(PAIR_LEAKS))
@pytest.mark.parametrize("kind", list(PAIRS))
def test_a_case_of_its_own_has_leaks_where_they_are(kind: str, name: str, speed: str) -> None:
    whole, solved = pair(kind, speed, *PAIR_LEAKS[name])
    assert hangs_on_the_point(whole, solved.params[:1].view(np.recarray)[0])
    found = report(whole, solved)
    assert found is not None
    assert found.share_of_pack == pytest.approx(1.0, abs=0.005)
    assert found.heat_against_even == pytest.approx(solved.results.heat_ratio[0], abs=0.002)


@pytest.mark.law(
    "flaps away from the fan open before flaps at it; a bare hole costs a standing car; a leak sealed is none"
)
def test_what_places_are_worth() -> None:
    hot = {
        (name, index): float(tight(index, *rows, shroud=area)[1].results.coolant_unregulated[0])
        for name, rows, area in (
            ("none", [], ""),
            ("an area", [], 'flaps = "22.5 in**2"'),
            ("flaps", in_corners(), ""),
            ("bare", in_corners(opens="always"), ""),
        )
        for index in (0, 2)
    }
    assert hot["flaps", 2] < hot["an area", 2] - 2.0
    assert hot["an area", 2] == pytest.approx(hot["none", 2], abs=0.01)
    assert hot["bare", 0] > hot["none", 0] + 2.0
    assert hot["flaps", 0] == pytest.approx(hot["none", 0], abs=1.0)


@pytest.mark.law("the curves pass through the job as it stands")
def test_curves_of_a_job_with_flaps() -> None:
    found = curves(*tight(2, *in_corners()))
    assert found is not None
    assert np.interp(found.depth, found.depths, found.depth_coolant) == pytest.approx(found.coolant, abs=0.3)
    at_speed = [np.interp(found.flaps, found.flap_shares, row_) for row_ in found.flap_coolant]
    assert at_speed[2] < found.flap_coolant[2, 0] - 2.0
    assert at_speed[0] == pytest.approx(found.flap_coolant[0, 0], abs=0.01)


@pytest.mark.behaviour("a map says what it takes for granted of its gaps, and draws what has a place")
def test_told_and_drawn() -> None:
    whole, solved = tight(2)
    as_guessed = report(whole, solved)
    case = judge_case(whole, solved, *glycol_of(whole))
    assert "spread all round the shroud's edge, a guess" in told(case, as_guessed).field.confidence
    whole, solved = tight(2, *in_corners(), row("gaps", side="top", length="6 in", width="0.1 in"))
    placed = report(whole, solved)
    assert placed is not None
    assert "a guess" not in told(case, placed).field.confidence
    face = faces(placed, "in")[0]
    assert len(face.holes) == 4
    assert face.gaps == ((pytest.approx(5.75 * INCH), 18.5 * INCH, pytest.approx(11.75 * INCH), 18.5 * INCH),)
    drawn = air_map([face], 4.0, "in")
    assert len(drawn.shapes) >= len(air_map([replace(face, holes=(), gaps=())], 4.0, "in").shapes) + 10
    fit = fit_of(whole)
    plan = clearance_picture(fit.fans, fit.plate, fit.solids, fit.clearances, (0.44, 0.47), SHOPS["in"], fit.boxes)
    assert {"flap 1", "flap 4"} <= {shape.words for shape in plan.shapes if isinstance(shape, Text)}


@pytest.mark.law("fans are laid out clear of flaps, and no hotter than they must be")
def test_fans_are_laid_out_clear_of_flaps() -> None:
    outline = rectangle(WIDTH, HEIGHT)
    plate = Plate(outline, 0.0, INCH, INCH, 0.0016)
    bodies = [FanBody(code, 0.0, 0.0, 10.0 * INCH, 10.5 * INCH) for code in "AB"]

    def laid(*holes: tuple[str, float, float, float, float]) -> Layout:
        site = Site(Behind(plenum(), ()), plate._replace(flaps=holes), (), BASE, MARCH, INCH / 16)
        found = lay_out(site, bodies, like_blowers(2))
        assert isinstance(found, Layout)
        assert missing(clearances(found.fans, site.plate, ())) == []
        return found

    free = laid()
    x, y = free.fans[0].x, free.fans[0].y
    hole = ("flap 1", x, y + 4.5 * INCH, 2.0 * INCH, INCH)
    clear = laid(hole)
    assert missing(clearances(free.fans, plate._replace(flaps=(hole,)), ()))[0].kind == "frame to flap"
    assert clear.found.heat == pytest.approx(free.found.heat, rel=0.05)
    assert (clear.fans[0].x, clear.fans[0].y) != (x, y)


@pytest.mark.behaviour("fans are chosen for one shroud where the job has boxes, and that is said")
def test_choosing_with_boxes() -> None:
    job, assumed = shrouded(filled(BOXES, row("gaps", side="left", width="0.1 in", box="deep")).job)
    assert (job.shroud_boxes, job.gaps) == ((), ())
    assert "One shroud over the whole core, where the job has several boxes." in assumed
