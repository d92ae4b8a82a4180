"""Fans moved about: quick answers, and settled ones held against what an assessment of the moved job says."""

import math
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from shroudwright.assess import _solve
from shroudwright.bench.errors import InputError
from shroudwright.job.circuits import circuits_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import fit_of
from shroudwright.job.flatten import glycol_of
from shroudwright.job.model import Job
from shroudwright.job.priors import priors, words
from shroudwright.judge import judge_case
from shroudwright.live.desk import Live, prepare
from shroudwright.live.moves import Place, stood
from shroudwright.live.quick import OVERLAPS, UNSETTLED
from shroudwright.shroud.bodies import FanBody
from shroudwright.uncertain.draws import draw
from tests.jobs import SMALL

ROOT = Path(__file__).resolve().parent.parent
INCH = 0.0254
DRAWS = 200
SEED = 5


def text_of(name: str) -> str:
    if name == "demo":
        return files("shroudwright.job").joinpath("demo.job.toml").read_text()
    if name in ("tight bay", "pickup"):
        file = {"tight bay": "hot-rod-tight-bay", "pickup": "supercharged-pickup"}[name]
        return (ROOT / f"examples/{file}.job.toml").read_text()
    placed = SMALL.replace('blade = "14 in"', 'x = "6 in"\ny = "8.5 in"\nblade = "11 in"', 1)
    return placed.replace('blade = "14 in"', 'x = "18.5 in"\ny = "8.5 in"\nblade = "11 in"', 1)


FLAP = '\n[[flaps]]\nx = "12.3 in"\ny = "15.2 in"\nwidth = "4 in"\nheight = "2 in"\n'
GAP = '\n[[gaps]]\nside = "left"\nwidth = "0.2 in"\n'
JOBS: dict[str, tuple[str, tuple[tuple[str, str], ...], str, str, tuple[tuple[str, str], ...]]] = {
    "unlike": ("demo", (), "canyon grade", "Q10 left", (('x = "5 1/2 in"', 'x = "6 in"'),)),
    "one standing": (
        "demo",
        (('speed = "30 mph"', 'speed = "30 mph"\nfans_on = ["Q14", "Q10 left"]'),),
        "canyon grade",
        "Q14",
        (('x = "18 1/2 in"\ny = "8 1/2 in"', 'x = "19 in"\ny = "8 3/4 in"'),),
    ),
    "one, a pump behind it": ("tight bay", (), "stop-go, as built", "", (('x = "8.75 in"\ny', 'x = "9.25 in"\ny'),)),
    "alike": ("small", (), "hill", "A", (('x = "6 in"\ny = "8.5 in"', 'x = "6.5 in"\ny = "8 in"'),)),
    "alike, a divider": (
        "small",
        (("[[fans]]", '[shroud]\ndivider = "12.25 in"\n\n[[fans]]'),),
        "hill",
        "A",
        (('x = "6 in"\ny = "8.5 in"', 'x = "5.8 in"\ny = "8 in"'),),
    ),
    "alike, a flap and a gap": (
        "small",
        (("[[cases]]", FLAP + GAP + "\n[[cases]]"),),
        "hill",
        "A",
        (('x = "6 in"\ny = "8.5 in"', 'x = "6.2 in"\ny = "8 in"'),),
    ),
    "no shroud": (
        "small",
        (("[[fans]]", '[shroud]\ntype = "none"\n\n[[fans]]'),),
        "hill",
        "A",
        (('x = "6 in"\ny = "8.5 in"', 'x = "8 in"\ny = "8 in"'),),
    ),
}


def swapped(text: str, swaps: tuple[tuple[str, str], ...]) -> str:
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


@cache
def jobs(name: str) -> tuple[Job, Job, str]:
    """The job, the same with other places typed, and its governing case."""
    base, swaps, governing, _, moves = JOBS[name]
    text = swapped(text_of(base), swaps)
    return (
        parse_job(text.encode(), "a.job.toml"),
        parse_job(swapped(text, moves).encode(), "b.job.toml"),
        governing,
    )


@cache
def live_of(name: str) -> Live:
    job, _, governing = jobs(name)
    return prepare(job, DRAWS, SEED, governing=governing)


def typed(job: Job) -> tuple[Place, ...]:
    return tuple(Place(fan.x.value, fan.y.value) for fan in job.fans if fan.x and fan.y)


def filled_of(job: Job) -> Filled:
    return Filled(job, draw(priors(job), DRAWS, SEED), {path: word.value for path, word in words(job).items()})


@pytest.mark.law("one job, two ways: moved and settled, or typed and assessed; the same draws")
@pytest.mark.parametrize("name", JOBS)
def test_settled_is_what_an_assessment_says(name: str) -> None:
    _, there, governing = jobs(name)
    live, filled = live_of(name), filled_of(there)
    solved = _solve(filled, live.governing, circuits_of(filled))
    told = judge_case(filled, solved, *glycol_of(filled))
    found = live.settle(typed(there)).cases[0]
    assert found.name == governing
    assert found.chance_of_holding == pytest.approx(told.chance_of_holding, abs=0.01)
    assert found.coolant is not None
    assert told.coolant_in is not None
    assert found.coolant.value == pytest.approx(told.coolant_in.value, abs=0.2)
    assert found.coolant.high == pytest.approx(told.coolant_in.high, abs=0.2)
    assert [fan.code for fan in there.fans] == [body.code for body in live.settle(typed(there)).fit.fans]
    assert live.settle(typed(there)).fit == fit_of(filled)


@pytest.mark.law("quick and settled stand on one row of medians")
@pytest.mark.parametrize("name", JOBS)
def test_quick_is_near_the_medians_of_the_settled(name: str) -> None:
    _, there, _ = jobs(name)
    filled = filled_of(there)
    r = _solve(filled, live_of(name).governing, circuits_of(filled)).results[0]
    quick = live_of(name).quick(typed(there))
    settled = live_of(name).settle(typed(there)).cases[0]
    assert settled.coolant_at_medians == pytest.approx(r.coolant_unregulated, abs=1e-3)
    assert quick.says == ""
    assert quick.has_settled
    assert quick.coolant_unregulated == pytest.approx(r.coolant_unregulated, abs=0.3)
    assert quick.air_flow == pytest.approx(r.air_flow, rel=0.006)
    flows = list(r.fan_flow[: len(quick.fans)])
    assert [fan.air_flow for fan in quick.fans] == pytest.approx(flows, rel=0.02, abs=2e-3)
    assert quick.amps == pytest.approx(float(np.nansum(r.fan_amps)), rel=0.01)


@pytest.mark.law("where a finger has been before does not matter")
@pytest.mark.parametrize("name", ["unlike", "one standing", "alike", "alike, a flap and a gap"])
def test_there_and_back(name: str) -> None:
    live = live_of(name)
    first = live.quick(live.places)
    for step in range(1, 9):
        live.quick((Place(live.places[0].x, live.places[0].y + 0.004 * step), *live.places[1:]))
    back = live.quick(live.places)
    assert back.coolant_unregulated == pytest.approx(first.coolant_unregulated, abs=0.05)
    assert back.fans[0].air_flow == pytest.approx(first.fans[0].air_flow, rel=0.003)


@pytest.mark.law("continuity: the picture's air is the core's, less what goes by the 3 % no shroud covers")
def test_the_picture_is_of_the_same_air() -> None:
    for name in ("unlike", "alike"):
        quick = live_of(name).quick(live_of(name).places)
        assert quick.face is not None
        assert quick.air_flow is not None
        filled = filled_of(jobs(name)[0])
        solved = _solve(filled, live_of(name).governing, circuits_of(filled))
        leaving = quick.air_flow * solved.results.air_out[0] / solved.results.air_in[0]
        pictured = quick.face.mean * quick.face.width * quick.face.height
        assert float(solved.params["covered_share"][0]) == pytest.approx(0.97)
        assert 0.97 * leaving <= 1.003 * pictured <= 1.003 * leaving
        assert live_of(name).fastest > np.nanmax(quick.face.speed)


@pytest.mark.behaviour("where nothing can be said of the air it says so, and gives no numbers; clearances stay")
def test_no_quiet_wrong_number() -> None:
    live = live_of("alike")
    on_top = live.quick([live.places[0], live.places[0]])
    assert (on_top.says, on_top.coolant, on_top.amps, on_top.face) == (OVERLAPS, None, None, None)
    assert not on_top.has_settled
    assert not on_top.fits
    off = live.quick([Place(-0.5, 0.2), live.places[1]])
    assert (off.says, off.coolant_unregulated) == (UNSETTLED, None)
    assert off.nearest is not None
    assert off.nearest.gap < 0.0
    assert live.quick(live.places).has_settled


@pytest.mark.behaviour("places that cannot be are refused together; so are other driving cases, and one nobody named")
def test_places_that_cannot_be() -> None:
    live = live_of("alike")
    with pytest.raises(InputError, match="2 fans stand behind this core, not 1"):
        live.quick(live.places[:1])
    with pytest.raises(InputError) as raised:
        live.settle([Place(math.nan, 0.2), Place(0.1, 40.0)])
    assert len(raised.value.faults) == 2
    with pytest.raises(InputError, match="other driving cases"):
        live.changed(jobs("unlike")[0])
    with pytest.raises(InputError, match="no driving case is called 'dune'"):
        prepare(jobs("alike")[0], DRAWS, SEED, governing="dune")


@pytest.mark.by_hand("a quarter to the left takes what is right of the middle over it, and what is over it to its left")
def test_a_frame_turned() -> None:
    body = FanBody("A", 0.0, 0.0, 0.3, holes=((0.1, 0.02, 0.006),), lead_exit="right")
    (there,) = stood([body], [1], [Place(9.0, 9.0), Place(0.2, 0.1, turned=True)])
    assert (there.x, there.y, there.lead_exit) == (0.2, 0.1, "up")
    assert there.holes == ((-0.02, 0.1, 0.006),)


@pytest.mark.law("another depth is the job with that depth typed, told in the same case and colours")
def test_another_depth() -> None:
    live = live_of("alike")
    deeper = live.at_depth(3.0 * INCH)
    text = swapped(text_of("small"), (("[[fans]]", '[shroud]\ndepth = "3 in, measured"\n\n[[fans]]'),))
    job = parse_job(text.encode(), "c.job.toml")
    whole = prepare(job, DRAWS, SEED, governing=live.case)
    assert (deeper.case, deeper.fastest) == (live.case, live.fastest)
    (one,), (other,) = (which.settle(live.places).cases for which in (deeper, whole))
    assert (one.name, one.chance_of_holding, one.limit) == (other.name, other.chance_of_holding, other.limit)
    for band in ("coolant", "coolant_unregulated", "air_flow", "amps"):
        assert getattr(one, band).model_dump() == pytest.approx(getattr(other, band).model_dump(), abs=1e-3)
    before, after = live.quick(live.places), deeper.quick(live.places)
    assert before.coolant_unregulated is not None
    assert after.coolant_unregulated is not None
    assert after.coolant_unregulated < before.coolant_unregulated
    assert after.fans[0].air_flow > before.fans[0].air_flow


@pytest.mark.law("the governing case is the one with the lowest chance of all that are settled")
def test_the_governing_case_is_found() -> None:
    job, _, _ = jobs("alike")
    live = prepare(job, DRAWS, SEED)
    every = live.settle(live.places, range(len(job.cases))).cases
    assert len(every) == len(job.cases)
    assert live.case == every[0].name
    assert every[0].chance_of_holding == min(case.chance_of_holding for case in every)


@pytest.mark.law("a pull, moved and settled or typed and assessed; the quick seconds on its row of medians")
def test_a_pull() -> None:
    _, there, _ = jobs("unlike")
    live, filled = prepare(jobs("unlike")[0], DRAWS, SEED, governing="merging flat out"), filled_of(there)
    solved = _solve(filled, live.governing, circuits_of(filled))
    found, quick = live.settle(typed(there)).cases[0], live.quick(typed(there))
    assert (found.coolant, quick.coolant, quick.coolant_unregulated) == (None, None, None)
    assert found.chance_of_holding == pytest.approx(float(np.mean(solved.holds[1:])), abs=0.01)
    assert found.seconds is not None
    assert found.seconds.value == pytest.approx(float(np.median(solved.margin[1:])), rel=1e-3)
    assert quick.seconds == pytest.approx(float(solved.results.seconds_to_limit[0]), rel=0.01)
