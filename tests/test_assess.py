"""The pipeline as a whole, on jobs of every sort."""

import json
import math

import pytest

from shroudwright.assess import assess
from shroudwright.assessment import Assessment, CaseAnswer
from shroudwright.bench.errors import InputError
from shroudwright.job.files import parse_job
from tests.jobs import DEMO, SMALL, with_cases

FEW = 200


def answer(text: str, draws: int = FEW) -> Assessment:
    return assess(parse_job(text.encode(), "x.job.toml"), draws=draws)


@pytest.fixture(scope="module")
def demo() -> Assessment:
    return answer(DEMO, 2000)


@pytest.fixture(scope="module")
def few() -> Assessment:
    return answer(DEMO)


def named(found: Assessment, name: str) -> CaseAnswer:
    return next(case for case in found.cases if case.name == name)


def numbers(value: object) -> list[float]:
    if isinstance(value, dict):
        return [number for item in value.values() for number in numbers(item)]
    if isinstance(value, list):
        return [number for item in value for number in numbers(item)]
    return [value] if isinstance(value, float) else []


@pytest.mark.behaviour("three verdicts, one governing case")
def test_the_demo_shows_all_three_verdicts_and_governs_by_the_worst(demo: Assessment) -> None:
    assert {case.verdict for case in demo.cases} == {"holds", "marginal", "does not hold"}
    worst = min(demo.cases, key=lambda case: case.chance_of_holding)
    assert demo.governing_case == worst.name
    assert demo.verdict == worst.verdict == "does not hold"
    asked_for = [reading.case for reading in demo.measure_next]
    assert asked_for.count(worst.name) == 3
    assert {case.name for case in demo.cases if case.verdict == "marginal"} <= set(asked_for)
    assert all(0.0 < reading.share <= 1.0 and reading.reading for reading in demo.measure_next)


@pytest.mark.law("the verdict follows from the chance, the chance from the draws, the ambient from both")
def test_chances_verdicts_and_ambients_agree(demo: Assessment) -> None:
    for case in demo.cases:
        expected = "holds" if case.chance_of_holding >= 0.9 else "marginal" if case.chance_of_holding >= 0.5 else ""
        assert case.verdict == (expected or "does not hold")
        if case.seconds_asked is None:
            assert case.good_to is not None
            assert case.ambient_held is not None
            assert (case.good_to >= case.ambient) == (case.verdict == "holds")
            assert case.ambient_held.low <= case.good_to <= case.ambient_held.value
            assert case.coolant_in is not None
            assert case.coolant_unregulated is not None
            assert case.coolant_in.value >= case.coolant_unregulated.value - 1e-9


@pytest.mark.law("energy: what the air gains is what the radiator sheds")
def test_air_carries_the_heat_away(demo: Assessment) -> None:
    for case in demo.cases:
        if case.air_mass_flow and case.air_in and case.air_out:
            carried = case.air_mass_flow.value * 1010.0 * (case.air_out.value - case.air_in.value)
            assert carried == pytest.approx(case.heat.value, rel=0.12)  # medians of products, not products of medians


@pytest.mark.practice("44 to 74 % of the box number through a core standing; a wide watch")
def test_fans_move_about_half_their_box_number(demo: Assessment) -> None:
    standing = named(demo, "photo stop, A/C on")
    for fan in standing.fans:
        assert fan.share_of_box_number is not None
        assert 0.38 < fan.share_of_box_number.value < 0.80


@pytest.mark.behaviour("same seed, same answer; another seed, nearly the same")
def test_the_seed_decides_the_last_digit_only(demo: Assessment) -> None:
    assert answer(DEMO, 2000).to_json() == demo.to_json()
    other = assess(parse_job(DEMO.encode(), "x.job.toml"), seed=3)
    for one, two in zip(demo.cases, other.cases, strict=True):
        assert one.chance_of_holding == pytest.approx(two.chance_of_holding, abs=0.05)


BARE = DEMO.replace('type = "full"\ndepth', 'type = "none"\ndepth')
NO_FANS = DEMO[: DEMO.index("# One fan in the middle")] + DEMO[DEMO.index("[electrical]") :]
SORTS = {
    "small": SMALL,
    "bare fans": BARE,
    "no fans": NO_FANS,
    "pushers": DEMO.replace('"puller"', '"pusher"'),
    "plain water": DEMO.replace('kind = "ethylene glycol"\nglycol_share = "50 %, measured"', 'kind = "water"'),
    "propylene glycol": DEMO.replace("ethylene glycol", "propylene glycol"),
    "inlet thermostat": DEMO.replace('thermostat_place = "outlet"', 'thermostat_place = "inlet"'),
    "no thermostat": DEMO.replace('thermostat_place = "outlet"', 'thermostat_place = "none"'),
    "high": DEMO.replace("4600 ft", "13000 ft"),
    "gasoline": DEMO.replace('fuel = "diesel"', 'fuel = "gasoline"'),
    "methanol, supercharged": DEMO.replace('fuel = "diesel"', 'fuel = "methanol"').replace('"turbo"', '"supercharger"'),
    "downflow, plain fins": DEMO.replace("crossflow", "downflow").replace("louvered", "plain"),
    "wavy copper": DEMO.replace('"louvered"', '"wavy"').replace('"aluminium"', '"copper"'),
    "cooler in the air": DEMO.replace('trans_cooler = "in tank"', 'trans_cooler = "in air"'),
    "millimetres": DEMO.replace('units = "in"', 'units = "mm"'),
}


@pytest.mark.behaviour("every sort of job gets an answer with no number missing its meaning")
@pytest.mark.parametrize("sort", SORTS)
def test_every_sort_of_job_is_answered(sort: str) -> None:
    text = SORTS[sort]
    found = answer(
        text if sort == "small" else with_cases(text, "photo stop, A/C on", "canyon grade", "merging flat out")
    )
    parsed = json.loads(found.to_json())
    assert all(math.isfinite(number) for number in numbers(parsed))
    assert found.cases
    assert len({guess.field for guess in found.guesses}) == len(found.guesses)


@pytest.mark.behaviour("a case without a steady state is null and a finding, never a number")
def test_nothing_to_move_the_air_is_said_plainly() -> None:
    found = answer(NO_FANS)
    stop = named(found, "photo stop, A/C on")
    assert stop.coolant_in is None
    assert stop.air_in is None
    assert stop.verdict == "does not hold"
    assert stop.chance_of_holding == 0.0
    assert stop.good_to is None
    assert "H03" in {finding.code for finding in found.findings if finding.place == stop.name}


@pytest.mark.law("direction of every lever")
@pytest.mark.parametrize(
    ("better", "old", "new"),
    [
        ("cooler day", '"104 degF"', '"90 degF"'),
        ("lower", '"4600 ft"', '"0 ft"'),
        ("deeper shroud", '"1 1/4 in, measured"', '"3 in, measured"'),
        ("stronger alternator", '"66 A, measured"', '"120 A, measured"'),
        ("lighter", '"6200 lb, measured"', '"4000 lb, measured"'),
        ("sealed", '"0.12, guess"', '"0.02, measured"'),
    ],
)
def test_every_lever_pulls_the_way_it_should(better: str, old: str, new: str, few: Assessment) -> None:
    assert DEMO.count(old) == 1
    changed = answer(DEMO.replace(old, new))
    for before, after in zip(few.cases, changed.cases, strict=True):
        if before.seconds_asked is None:
            assert before.coolant_unregulated is not None
            assert after.coolant_unregulated is not None
            assert after.coolant_unregulated.value <= before.coolant_unregulated.value + 1e-6, better


@pytest.mark.behaviour("what cannot be worked out is refused")
def test_heat_from_nowhere_is_refused() -> None:
    start = DEMO.index("[[ahead]]")
    nothing_ahead = DEMO[:start] + DEMO[DEMO.index("[opening]") :]
    with pytest.raises(InputError, match="no \\[\\[ahead\\]\\] cooler"):
        answer(nothing_ahead.replace('kind = "crawl"', 'kind = "crawl"\nahead_heat = "6 kW"'))
