"""The air behind the core of a solved case, and the curves it stands on."""

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from shroudwright.air_behind import AGREED, COVERS, DEPTHS, Curves, Report, curves, report, told
from shroudwright.airflow.behind import hand_rule
from shroudwright.assess import _solve
from shroudwright.bench.arcs import rectangle
from shroudwright.job.circuits import circuits_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import glycol_of
from shroudwright.job.priors import priors, words
from shroudwright.judge import Solved, judge_case
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.cells import QUICK_CELLS, Blowers, Cells, Law, Plenum, cut, with_openings
from shroudwright.pack.field import solve_field
from shroudwright.pack.plenum import even, spread_of
from shroudwright.pack.solve import balance_coolant_open
from shroudwright.speech import SHOPS, behind_lines
from shroudwright.uncertain.draws import draw
from tests.jobs import SMALL

INCH = 0.0254
ROOT = Path(__file__).resolve().parent.parent
TIGHT = "examples/hot-rod-tight-bay.job.toml"
DEMO = "src/shroudwright/job/demo.job.toml"
TRACK = "examples/track-car.job.toml"
BARE = "examples/parade-cruiser.job.toml"


@cache
def solved(path: str, index: int = 0, swap: tuple[str, str] | None = None) -> tuple[Filled, Solved]:
    text = (ROOT / path).read_text()
    if swap:
        assert swap[0] in text
        text = text.replace(*swap)
    return of_text(text, index)


def of_text(text: str, index: int) -> tuple[Filled, Solved]:
    job = parse_job(text.encode(), "x.job.toml")
    filled = Filled(job, draw(priors(job), 20, 1), {at: word.value for at, word in words(job).items()})
    return filled, _solve(filled, index, circuits_of(filled))


@cache
def told_of(path: str, index: int = 0) -> Report:
    found = report(*solved(path, index))
    assert found is not None
    return found


@cache
def swept(path: str, index: int = 0) -> Curves:
    found = curves(*solved(path, index))
    assert found is not None
    return found


@pytest.mark.independent("the pack's air, from six tabulated fields, against one field with the job's own fans")
@pytest.mark.parametrize(("path", "index"), [(DEMO, 0), (DEMO, 2), (DEMO, 4), (TIGHT, 0), (TIGHT, 2), (TRACK, 1)])
def test_the_field_moves_the_packs_air(path: str, index: int) -> None:
    found = told_of(path, index)
    print(f"{path} {index}: {100 * (found.share_of_pack - 1):+.2f} %")
    assert abs(found.share_of_pack - 1.0) <= AGREED
    assert found.agrees
    # Gaps lie all round in the field's map and at the fans in the pack, which at speed is worth 0.6 % of heat.
    assert found.heat_against_even == pytest.approx(solved(path, index)[1].results.heat_ratio[0], abs=0.008)


@pytest.mark.independent("the pack's air: two like fans that push cold air through a shroud ahead of the core")
@pytest.mark.parametrize("index", [0, 1])
def test_pushers_move_the_packs_air(index: int) -> None:
    text = SMALL.replace("14 in", "11 in").replace(', box"\nrun_amps = "11 A, box"', '"')
    text = text.replace('free_flow = "1450 cfm"', "").replace(
        'blade = "11 in"', 'blade = "11 in"\ndirection = "pusher"'
    )
    filled, case = of_text(text + '[shroud]\ndepth = "1 in"\n', index)
    found = report(filled, case)
    assert found is not None
    print(f"pushers {index}: {100 * (found.share_of_pack - 1):+.2f} %")
    assert found.agrees


@pytest.mark.independent("the readable solver, with and without a plenum")
def test_degrees_against_a_deep_plenum() -> None:
    filled, case = solved(TIGHT)
    table = coolant_table(*glycol_of(filled))
    rows = case.params[:1].copy().view(np.recarray)
    as_is, air = balance_coolant_open(rows[0], table, float(rows[0].heat))
    rows.plenum_loss, rows.unevenness = even(0.0, 1.0)
    deep, deep_air = balance_coolant_open(rows[0], table, float(rows[0].heat))
    found = told_of(TIGHT)
    assert found.degrees_against_deep == pytest.approx(as_is - deep, abs=0.01)
    assert found.air_against_deep == pytest.approx(air.air.total / deep_air.air.total, rel=1e-4)


@pytest.mark.law("a plenum two feet deep is none: even, nothing lost, nothing to gain")
def test_deep() -> None:
    filled, case = solved(TIGHT, 0, ('depth = "0.5 in, measured"', 'depth = "24 in"'))
    found = report(filled, case)
    assert found is not None
    assert found.spread.evenness < 0.005
    assert found.spread.starved_share == 0.0
    assert found.air_against_deep == pytest.approx(1.0, abs=1e-3)
    assert found.degrees_against_deep == pytest.approx(0.0, abs=0.05)
    assert found.degrees_of_another == pytest.approx(0.0, abs=0.05)


def two_fans(depth: float) -> Cells:
    width, height = 25.0 * INCH, 17.0 * INCH
    plenum = Plenum(width, height, (rectangle(width, height),), depth, depth)
    return with_openings(
        cut(plenum, QUICK_CELLS), [(share * width, height / 2, 5.875 * INCH) for share in (0.25, 0.75)]
    )


@pytest.mark.independent("the field: two 11.75 in openings on a 25 x 17 in core, an invented fan of a plausible order")
@pytest.mark.parametrize("depth_in", [0.5, 1.0, 2.0])
def test_hand_rule_against_the_field(depth_in: float) -> None:
    law, x = Law(linear=12.0, square=6.0, density=1.15), np.linspace(0.0, 1.5, 31)
    fans = Blowers(
        np.tile(0.59 * x, (2, 1)), np.tile(220.0 * (1.0 - 0.4 * x - 0.6 * x**2), (2, 1)), np.full(2, 31), np.zeros(2)
    )
    found, deep = (
        spread_of(cells, law, fans, solve_field(cells, law, fans))
        for cells in (two_fans(depth_in * INCH), two_fans(40.0 * INCH))
    )
    V, opening = deep.face_velocity, 11.75 * INCH
    outside = 25.0 * 17.0 * INCH**2 - 0.5 * math.pi * opening**2
    drop = law.linear * V + law.square * V**2
    number, evenness = hand_rule(outside, 2.0 * math.pi * opening, depth_in * INCH, law.density, V, drop)
    print(f"{depth_in} in: N {number:.2f}, by hand {evenness:.3f}, field {found.evenness:.3f}")
    assert evenness == pytest.approx(found.evenness, abs=0.04)


@pytest.mark.behaviour("only where something is drawn through a shroud")
def test_none_without_a_shroud() -> None:
    assert report(*solved(BARE)) is None
    assert curves(*solved(BARE)) is None


@pytest.mark.behaviour("a pull has no degrees; the answer carries the rest, in plain words")
def test_told() -> None:
    filled, case = solved(DEMO, 4)
    answer = told(judge_case(filled, case, *glycol_of(filled)), told_of(DEMO, 4))
    assert answer.field.degrees_against_deep is None
    assert answer.field.evenness == told_of(DEMO, 4).spread.evenness
    assert len(behind_lines(answer.field, SHOPS["in"])) == 2
    filled, case = solved(TIGHT)
    bare = judge_case(filled, case, *glycol_of(filled))
    assert behind_lines(bare.field, SHOPS["in"]) == []
    assert told(bare, None) is bare
    said = " ".join(behind_lines(told(bare, told_of(TIGHT)).field, SHOPS["in"]))
    assert "1/2 in leaves" in said
    assert "Another 1 in is worth" in said


@pytest.mark.law("deeper is cooler, more cover is cooler standing, the curves pass through the job as it stands")
def test_curves() -> None:
    found, (_, case) = swept(TIGHT), solved(TIGHT)
    assert np.all(np.diff(found.depth_coolant) < 0.0)
    assert found.coolant == pytest.approx(case.results.coolant_unregulated[0], abs=1e-3)
    assert np.interp(found.depth, found.depths, found.depth_coolant) == pytest.approx(found.coolant, abs=0.1)
    assert found.covers.shape == (COVERS,)
    assert found.covers[-1] == pytest.approx(1.0)
    assert np.all(np.diff(found.cover_coolant[0]) < 0.0)
    assert np.all(np.diff(found.cover_coolant[:, -1]) < 0.0), "more road speed, same heat"
    assert found.depth_coolant.shape == found.depth_amps.shape == (len(DEPTHS),)


@pytest.mark.law("a flap opens outwards only: nothing standing, never hotter at speed")
def test_flap_curves() -> None:
    found = swept(TIGHT, 2)
    assert np.ptp(found.flap_coolant[0]) < 1e-3
    assert np.all(np.diff(found.flap_coolant, axis=1) < 1e-3)


@pytest.mark.behaviour("of a pull the curves count seconds")
def test_curves_of_a_pull() -> None:
    found, (_, case) = swept(DEMO, 4), solved(DEMO, 4)
    assert found.is_pull
    assert found.coolant == pytest.approx(case.results.seconds_to_limit[0], rel=1e-6)
    assert np.all(np.diff(found.depth_coolant) > 0.0)
