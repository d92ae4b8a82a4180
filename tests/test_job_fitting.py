"""Whether a job's fans fit, in words, and flats that follow the shroud."""

import re
from importlib.resources import files
from pathlib import Path

import pytest

from shroudwright.assess import assess_and_plan
from shroudwright.assessment import FindingAnswer
from shroudwright.bench.errors import InputError
from shroudwright.fit_reasons import SAID, findings_of_fit
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import fit_of, places
from shroudwright.job.hood import under_hood
from shroudwright.job.in_hand import unmeasured
from shroudwright.job.priors import priors, words
from shroudwright.packet.stops import metal_stops
from shroudwright.shroud.bodies import WANTED
from shroudwright.speech import SHOPS
from shroudwright.uncertain.draws import draw

ROOT = Path(__file__).parent.parent
INCH = 0.0254

PAIR = """
name = "pair"
units = "in"
[engine]
displacement = "5.7 L"
rated_power = "250 kW"
[core]
width = "22 in, measured"
height = "17 in, measured"
depth = "2 in, measured"
[shroud]
depth = "1 in, measured"
#shroud
[space]
#space
[[fans]]
code = "L"
frame = "square"
blade = "11 in"
frame_size = "12 1/4 in, measured"
overall_depth = "3 in, measured"
#left
[[fans]]
code = "R"
frame = "square"
blade = "11 in"
frame_size = "12 1/4 in, measured"
overall_depth = "3 in, measured"
#right
[[cases]]
name = "idle in gear"
kind = "idle"
"""
WIDE = ("#shroud", 'reach_left = "2.5 in, measured"\nreach_right = "2.5 in, measured"')


def text(*swaps: tuple[str, str]) -> bytes:
    found = PAIR
    for old, new in swaps:
        assert old in found
        found = found.replace(old, f"{new}\n{old}" if old.startswith("#") else new)
    return found.encode()


def filled(raw: bytes) -> Filled:
    job = parse_job(raw, "pair.job.toml")
    return Filled(job, draw(priors(job), 4), {path: word.value for path, word in words(job).items()})


def found(*swaps: tuple[str, str]) -> list[FindingAnswer]:
    return findings_of_fit(filled(text(*swaps)))


def only(*swaps: tuple[str, str]) -> FindingAnswer:
    (one,) = found(*swaps)
    return one


@pytest.mark.practice(
    "27 in over all, 22 x 17 in core, two 12 1/4 in frames: in over the tanks, 2 1/2 in short without"
)
def test_over_the_tanks() -> None:
    assert found(WIDE) == []
    one = only()
    assert (one.code, one.level, one.place) == ("F01", "stop", "fans: L, R")
    assert one.because == "L and R take 24 1/2 in across and the flat face is 22 in: 2 1/2 in is missing."
    assert "2 1/2 in further over the tanks" in one.remedy
    # Wherever they are put, the same is missing.
    placed = [("#left", 'x = "4 in"\ny = "8.5 in"'), ("#right", 'x = "17 in"\ny = "8 in"')]
    assert only(*placed).because == one.because


@pytest.mark.by_hand("27 in from -2.5 in: quarter points at 4.25 and 17.75 in; 1 in off the fins and 0.08 in sheet")
def test_what_a_job_says() -> None:
    whole = filled(text(WIDE, ("#space", 'lip_height = "0.4 in"'), ("#shroud", 'seal = "0.1 in"')))
    assert [x / INCH for x, _ in places(whole)] == pytest.approx([4.25, 17.75])
    fit = fit_of(whole)
    assert fit.plate is not None
    assert (fit.plate.flange, fit.plate.bottom) == pytest.approx((0.5 * INCH, 1.5 * INCH))
    assert fit.plate.roll_bottom == pytest.approx(0.75 * INCH)
    assert fit.fans[0].opening == pytest.approx(11.3 * INCH)
    assert (fit.fans[0].depth_ahead, fit.fans[0].corner) == (None, 0.0)
    # The blades' tips stand over the tanks, whose lip is 0.4 in behind the fins: 1 in, 0.1 in and the sheet remain.
    near = filled(
        text(WIDE, ("#space", 'lip_height = "0.4 in"'), ("#shroud", 'seal = "0.1 in"'), ("#left", "depth_ahead = 0"))
    )
    gaps = {item.kind: item.gap / INCH for item in fit_of(near).clearances if item.between == ("L", "fins")}
    assert gaps == {"fan to fins": pytest.approx(1.58)}
    tank = [item.gap for item in fit_of(near).clearances if item.between == ("L", "the left tank or side plate")]
    assert tank == pytest.approx([1.18 * INCH])


MOVED = {
    "F02": (
        [("#left", 'x = "2.625 in"')],
        "1 in is missing; nothing may be missing.",
        "Move it inwards by 1 in",
        "stop",
    ),
    "F03": (
        [("#shroud", 'divider = "9.4 in"')],
        "1/2 in is missing; nothing may be missing.",
        "Move the fan or the divider by 1/2 in.",
        "stop",
    ),
    "F04": (
        [("#left", 'x = "6.5 in"')],
        "1 in is missing; nothing may be missing.",
        "Move them 1 in apart, or smaller frames.",
        "stop",
    ),
    "F05": (
        [("#left", 'depth_ahead = "0.83 in"')],
        "1/4 in is left; 3/8 in is wanted.",
        "A shroud 1/8 in deeper",
        "fix",
    ),
    "F06": (
        [
            (
                "#space",
                'depth_map = [{x = "4.25 in", y = "8.5 in", depth = "4 in", size = "2 in"}]\nengine_rock = "0.42 in"',
            )
        ],
        "1/2 in is missing, the engine's rock taken off; 1/4 in is wanted.",
        "Gain 3/4 in",
        "stop",
    ),
    "F07": (
        [
            (
                "#space",
                'keep_outs = [{x = "0 in", y = "13 in", width = "2 in", height = "4 in", reason = "wiper box"}]',
            )
        ],
        "is missing; nothing may be missing.",
        "Move the fan",
        "stop",
    ),
    "F08": (
        [
            ("#left", 'lead_exit = "down"\nmotor = "4 in"'),
            ("#space", 'keep_outs = [{x = 0, y = "2.25 in", width = "9 in", height = "4 in", depth = "2 in"}]'),
        ],
        "1/2 in is missing; nothing may be missing.",
        "Move the fan 1/2 in away",
        "fix",
    ),
    "F09": (
        [("#space", 'necks = [{x = "25.5 in", y = "15 in", diameter = "1.75 in", reach = "3 in"}]')],
        "1/8 in is left; 1/4 in is wanted.",
        "a shroud that stops 1/8 in sooner",
        "fix",
    ),
    "F10": (
        [
            (
                "#shroud",
                'outline = [["-2.5 in", "0 in"], ["24.5 in", "0 in"], ["24.5 in", "8 in", 0.1], ["24.5 in", "17 in"],'
                ' ["-2.5 in", "17 in"]]',
            ),
            ('reach_left = "2.5 in, measured"\nreach_right = "2.5 in, measured"', ""),
        ],
        "this one has an outline of its own, and it has arcs.",
        "lay it out by hand",
        "stop",
    ),
    "F11": (
        [("#shroud", 'family = "flat plate"\ndivider = "11 in"')],
        "Not on them: a divider.",
        "Cut it from the mock-up",
        "watch",
    ),
}


@pytest.mark.by_hand("inches of the pair over the tanks, one thing moved at a time")
@pytest.mark.parametrize("code", MOVED)
def test_each_finding(code: str) -> None:
    swaps, because, remedy, level = MOVED[code]
    one = next(item for item in found(WIDE, *swaps) if item.code == code)
    assert because in one.because
    assert remedy in one.remedy
    assert one.level == level
    assert {item.code for item in found(WIDE, *swaps)} - {code} <= ({"F11"} if code == "F03" else {"F07"})


@pytest.mark.behaviour("every kind of gap is worded here or by the metal, and every code here is one of fit")
def test_every_kind_is_worded() -> None:
    metal = {"frame to roll", "hole to edge", "hole to opening"}
    assert SAID.keys() | metal == WANTED.keys()
    assert all(re.fullmatch(r"F\d\d", wording.code) for wording in SAID.values())


@pytest.mark.behaviour("nothing to judge: no shroud and far apart, pushers ahead of pullers, sizes nobody gave")
def test_not_judged() -> None:
    bare = ("[shroud]", '[shroud]\ntype = "none"')
    assert found(bare, ("#left", 'x = "0 in"'), ("#right", 'x = "22 in"')) == []
    assert only(bare, ("#left", 'x = "5 in"'), ("#right", 'x = "15 in"')).code == "F04"
    assert found(("#left", 'x = "11 in"'), ("#right", 'direction = "pusher"')) == []
    wall = ("#space", 'depth_map = [{depth = "1 in"}]')
    assert [item.code for item in found(WIDE, wall)] == ["F06", "F06"]
    assert found(WIDE, wall, ("#left", 'direction = "pusher"'), ("#right", 'direction = "pusher"')) == []
    unknown = ('overall_depth = "3 in, measured"', "")
    assert found(WIDE, wall, unknown) == []
    assert found(WIDE, ('frame_size = "12 1/4 in, measured"', "")) == []


@pytest.mark.behaviour("openings that overlap are told once, where no frame is known; a narrow web is the metal's")
def test_overlapping_openings() -> None:
    unknown = ('frame_size = "12 1/4 in, measured"', "")
    one = only(WIDE, unknown, ("#left", 'x = "7 in"'))
    assert (one.code, one.level, one.says) == ("F04", "stop", "The openings of L and R overlap.")
    assert found(WIDE, unknown, ("#left", 'x = "6 in"')) == []
    answer, _ = assess_and_plan(parse_job(text(WIDE, unknown, ("#left", 'x = "6 in"')), "x"), draws=50)
    assert [item.place for item in answer.findings if item.code == "O04"] == ["L and R"]
    answer, _ = assess_and_plan(parse_job(text(WIDE, unknown, ("#left", 'x = "7 in"')), "x"), draws=50)
    assert [item.code for item in answer.findings if item.code in ("O03", "O04", "F04")] == ["F04"]


@pytest.mark.practice(
    "the tight bay's trap: a 2.6 in fan on a 1/2 in shroud, a pump nose 3 in behind that rocks 1/2 in"
)
def test_the_tight_bay() -> None:
    (one,) = findings_of_fit(filled((ROOT / "examples/hot-rod-tight-bay.job.toml").read_bytes()))
    assert (one.code, one.level) == ("F06", "stop")
    assert one.because == "11/16 in is missing, the engine's rock taken off; 1/4 in is wanted."


@pytest.mark.behaviour("what is in a fan's way is told once: the worst spot behind it, a neck rather than its hose")
def test_told_once() -> None:
    spots = ", ".join(f'{{x = "4 in", y = "{y} in", depth = "{y / 4} in"}}' for y in (8, 9, 10))
    one = only(WIDE, ("#space", f"depth_map = [{spots}]\nengine_rock = 0"))
    assert one.says == "L is too near what stands behind at 4 in, 8 in."
    empty = filled(text(WIDE))
    findings_of_fit(empty)
    assert "space.engine_rock" not in empty.used  # else it would be listed among the guesses the answer leans on
    neck = 'necks = [{x = "4 in", y = "2 in", diameter = "1.5 in", reach = "2 in"}]'
    told = [item for item in found(WIDE, ("#space", neck)) if item.code == "F07"]
    assert [(item.says, item.level) for item in told] == [("L is too near the neck at 4 in, 2 in.", "stop")]
    beside = 'necks = [{x = "4 in", y = "0.5 in", diameter = "1.5 in", reach = "2 in"}]'
    told = [item for item in found(WIDE, ("#space", beside)) if item.code == "F07"]
    assert [(item.says, item.level) for item in told] == [
        ("L stands where the hose on the neck at 4 in, 0.5 in must turn.", "fix")
    ]


@pytest.mark.behaviour("rows that say too little are refused, not passed over")
def test_rows_that_say_too_little() -> None:
    raw = text(("#space", 'keep_outs = [{x = "1 in", width = "2 in"}]\nnecks = [{x = "1 in", y = "2 in"}]'))
    with pytest.raises(InputError) as error:
        parse_job(raw, "x")
    assert error.value.faults == (
        "space.keep_outs: row 1 does not say its y, height",
        "space.necks: row 1 does not say its diameter",
    )


@pytest.mark.behaviour("a length as a tape reads it")
def test_tape() -> None:
    sizes = {2.5: "2 1/2 in", 0.25: "1/4 in", 3.0: "3 in", 1.9999: "2 in", 0.03: "0.03 in", 12.3125: "12 5/16 in"}
    assert {size: SHOPS["in"].tape(size * INCH) for size in sizes} == sizes
    assert SHOPS["mm"].tape(0.0635) == "63.5 mm"


@pytest.mark.by_hand("27 in and two 1/2 in trims along the rolls; openings 2 1/2 in further right than on the core")
def test_flats_follow_the_shroud() -> None:
    answer, plan = assess_and_plan(parse_job(text(WIDE), "x"), draws=50)
    assert plan.shroud is not None
    blank = plan.shroud.flats[0]
    assert max(vertex.x for vertex in blank.outline) == pytest.approx(28 * INCH)
    assert [opening.middle[0] for opening in blank.openings] == pytest.approx([(4.25 + 3) * INCH, (17.75 + 3) * INCH])
    assert not [item for item in answer.findings if item.code[0] == "F"]
    refused, _ = assess_and_plan(parse_job(text(), "x"), draws=50)
    stops = metal_stops(refused)
    assert [item.code for item in stops if item.code[0] == "F"] == ["F01"]
    assert not [item for item in refused.findings if item.code == "O03"]


@pytest.mark.behaviour("a typed reach counts as one of the sizes to measure before metal is cut")
def test_reaches_are_measured() -> None:
    job = filled(text(("#shroud", 'reach_left = "2 in"\nreach_right = "3 in, measured"')))
    assert "shroud: reach left" in unmeasured(job)
    assert "shroud: reach right" not in unmeasured(job)


@pytest.mark.practice("the demo's three fans sit on its shroud")
def test_the_demo_fits() -> None:
    demo = files("shroudwright.job").joinpath("demo.job.toml").read_bytes()
    assert findings_of_fit(filled(demo)) == []


@pytest.mark.by_hand("cap 18 in up under 18 1/4 in; 10 degrees back (cos 0.9848) 18 in stands 17.73 in up")
def test_under_the_hood() -> None:
    cap = 'filler_y = "18 in"\nhood_height = "{}"'
    assert found(WIDE, ("#space", cap.format("18.5 in"))) == []
    assert found(WIDE, ("#space", 'filler_y = "18 in"')) == []
    one = only(WIDE, ("#space", cap.format("18.25 in")))
    assert (one.code, one.level, one.says) == ("F07", "fix", "The cap is near the shut hood.")
    assert one.because == "1/4 in is left, the cap to the hood; 1/2 in is wanted."
    assert only(WIDE, ("#space", cap.format("17.75 in"))).level == "stop"
    leaned = fit_of(whole := filled(text(WIDE, ("#space", cap.format("18.25 in") + '\ncore_lean = "10 deg"'))))
    gaps = {item.name: item.gap / INCH for item in under_hood(whole, leaned)}
    assert gaps["the cap"] == pytest.approx(18.25 - 18.0 * 0.9848, abs=1e-3)
    # The hood falls 2 in over the 4 in behind the core: what stands 1 in behind has half an inch less.
    falls = cap.format("18.25 in") + '\nfiller_reach = "1 in"\nhood_back = "4 in"\nhood_back_height = "16.25 in"'
    behind = filled(text(WIDE, ("#space", falls)))
    gaps = {item.name: item.gap / INCH for item in under_hood(behind, fit_of(behind))}
    assert gaps["the cap"] == pytest.approx(-0.25)
    assert gaps["the core"] == pytest.approx(1.25)
    assert min(gaps, key=gaps.__getitem__) == next(item.name for item in under_hood(behind, fit_of(behind)))


@pytest.mark.by_hand("22 in wide: (28.2^2 - 27.4^2) / 88 = 0.51 in to the right; (28.0^2 - 27.9^2) / 88 = 0.06 in")
def test_out_of_square() -> None:
    core = ('depth = "2 in, measured"', 'depth = "2 in, measured"\ndiagonal_rising = "{}"\ndiagonal_falling = "{}"')
    one = only(WIDE, (core[0], core[1].format("28.2 in", "27.4 in")))
    assert (one.code, one.level) == ("F11", "watch")
    assert "1/2 in to the right" in one.because
    assert "to the left" in only(WIDE, (core[0], core[1].format("27.4 in", "28.2 in"))).because
    assert found(WIDE, (core[0], core[1].format("28 in", "27.9 in"))) == []
