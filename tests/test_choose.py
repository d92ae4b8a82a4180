"""Choosing fans: every stage against the plain path one job at a time, and what a builder is told."""

import json
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from shroudwright.assess import assess
from shroudwright.choose.balance import Cancelled
from shroudwright.choose.record import Choice
from shroudwright.choose.sizes import shrouded
from shroudwright.choose.stages import choose, fate_of
from shroudwright.fan_sets import FLOW, Batch, Known, columns_of, known_of
from shroudwright.job.circuits import circuits_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import flatten, glycol_of
from shroudwright.job.heat_load import heat_load
from shroudwright.job.model import Job
from shroudwright.job.priors import priors, words
from shroudwright.job.shelf import ShelfFan, parse_shelf, shipped_shelf
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.kernel import solve_batch
from tests.shelves import scaled_shelf

EXAMPLES = Path(__file__).parents[1] / "examples"
DEMO = files("shroudwright.job").joinpath("demo.job.toml").read_text(encoding="utf-8")
SHELF = shipped_shelf()
# A box number only, and a salvage fan of which nothing is known but its blade.
BARE = parse_shelf(b"code,blade,free_flow,run_amps,standing\n,in,cfm,A,\nbox,14,1600,15,box\nyard,15,,,\n", "own.csv")


def text_of(name: str, *swaps: tuple[str, str]) -> str:
    text = DEMO if name == "demo" else (EXAMPLES / f"{name}.job.toml").read_text(encoding="utf-8")
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new)
    return text


def job_of(name: str, *swaps: tuple[str, str]) -> Job:
    return parse_job(text_of(name, *swaps).encode(), name)


def on_core(name: str, width: str, height: str) -> Job:
    """An example with another face."""
    job = job_of(name)
    core = type(job.core).model_validate({"width": width, "height": height, "depth": "2 in"})
    core = job.core.model_copy(update={"width": core.width, "height": core.height})
    return job.model_copy(update={"core": core})


def lines_of(answer: Choice, code: str) -> str:
    return "\n".join(fate_of(answer, code).lines)


@pytest.fixture(scope="module")
def demo() -> Choice:
    return choose(job_of("demo"), SHELF)


def plainly(known: Known, members: tuple[int, ...], index: int) -> np.ndarray[Any, np.dtype[Any]]:
    """Rows of the job with a set typed in, on the same draws, through priors and flatten and nothing of `choose`."""
    job = known.job.model_copy(update={"fans": tuple(known.shelf[fan] for fan in members)})
    drawn = dict(known.drawn)
    for path, prior in priors(job).items():
        if path.startswith("fans.") or path == FLOW:
            drawn[path] = np.concatenate([[prior.median], prior.quantile(known.shares[path])])
    filled = Filled(job, drawn, {path: word.value for path, word in words(job).items()})
    return flatten(filled, index, heat_load(filled, index), circuits_of(filled))


@pytest.mark.independent("the same draws through priors, Filled and flatten, one job at a time")
@pytest.mark.parametrize("name", ["demo", "parade-cruiser", "track-car", "supercharged-pickup"])
def test_rows_are_those_of_the_job_with_the_set_typed_in(name: str) -> None:
    job, _ = shrouded(job_of(name))
    known = known_of(job, [*SHELF, *BARE], 24)
    place = {fan.code: i for i, fan in enumerate(known.shelf)}
    sets = [
        (place["A12M"],) * 2,
        (place["B14"],),
        (place["A14M"], place["B14"]),
        (place["A10"],) * 4,
        (place["box"], place["A16S"]),
        (place["yard"],) * 3,
    ]
    fans = sorted({fan for members in sets for fan in members})
    flows = np.array([known.drawn_flow(members) for members in sets])
    for drawn in (True, False):
        picked = range(25 if drawn else 1)
        batch = Batch(known, sets, columns_of(known, fans, drawn=drawn), flows, picked)
        for index in range(len(job.cases)):
            rows = batch.case(index)
            for number, members in enumerate(sets):
                wanted = plainly(known, members, index)
                for field in set(wanted.dtype.names or ()) - {"plenum_loss", "unevenness", "plenum_near"}:
                    np.testing.assert_allclose(
                        rows[field][number], wanted[field][: len(picked)], rtol=1e-12, atol=1e-15, err_msg=field
                    )


@pytest.mark.independent("a full assessment of the job with those fans typed in, its own 2000 draws")
@pytest.mark.parametrize("codes", [("B14", "B14"), ("A14M", "B14"), ("A14S",)])
def test_the_chance_agrees_with_an_assessment(demo: Choice, codes: tuple[str, ...]) -> None:
    fans = {item.code: item.fan for item in SHELF}
    typed = tuple(fans[code].model_copy(update={"code": f"{code} {i}"}) for i, code in enumerate(codes))
    answer = assess(job_of("demo").model_copy(update={"fans": typed}))
    chosen = next(item for item in demo.sets if item.codes == list(codes))
    case = next(case for case in answer.cases if case.name == chosen.governing_case)
    assert answer.governing_case == chosen.governing_case
    # 256 draws of a chance near a half stray by 0.03 in one go of three.
    assert chosen.chance_of_holding == pytest.approx(case.chance_of_holding, abs=0.08)
    assert case.coolant_in is not None
    assert chosen.coolant_in is not None
    spread = case.coolant_in.high - case.coolant_in.low
    assert chosen.coolant_in.value == pytest.approx(case.coolant_in.value, abs=0.1 * spread)
    assert chosen.amps == pytest.approx(sum(fan.amps.value for fan in case.fans), rel=0.05)
    assert chosen.highest_amps == pytest.approx(sum(circuit.highest_amps for circuit in answer.wiring), rel=1e-9)
    left = min(case.alternator_margin.value for case in answer.cases if case.alternator_margin)
    assert chosen.alternator_margin == pytest.approx(left, abs=1.5)


@pytest.mark.independent("all draws in every case, solved as they stand")
def test_the_few_draws_find_the_governing_case() -> None:
    job, _ = shrouded(job_of("demo"))
    answer = choose(job, SHELF, draws=96)
    known = known_of(job, SHELF, 96)
    place = {fan.code: i for i, fan in enumerate(known.shelf)}
    sets = [tuple(place[code] for code in item.codes) for item in answer.sets]
    flows = np.array([known.drawn_flow(members) for members in sets])
    batch = Batch(known, sets, columns_of(known, range(len(SHELF)), drawn=True), flows, range(97))
    middle = Filled(known.job, known.drawn, known.words)
    holds = []
    for index, case in enumerate(job.cases):
        p: Any = batch.case(index).ravel().view(np.recarray)
        results = solve_batch(p, coolant_table(*glycol_of(middle))).reshape(batch.shape)
        if case.kind == "pull":
            held = results["seconds_to_limit"] >= middle[f"cases.{index}.seconds"][0]
        else:
            held = results["coolant_unregulated"] <= p.limit.reshape(batch.shape)
        holds.append(held[:, 1:].mean(axis=1))
    for number, item in enumerate(answer.sets):
        at = [case.name for case in job.cases].index(item.governing_case)
        if item.layout is not None:
            assert item.chance_of_holding == pytest.approx(holds[at][number], abs=0.1)
            continue
        assert item.chance_of_holding == pytest.approx(holds[at][number])
        assert item.chance_of_holding <= min(held[number] for held in holds) + 0.03


@pytest.mark.law("a draw is the same however many others are solved beside it")
def test_a_few_draws_are_the_first_of_all() -> None:
    known = known_of(shrouded(job_of("demo"))[0], SHELF, 24)
    sets = [(0,), (1, 1), (0, 2)]
    flows = np.array([known.drawn_flow(members) for members in sets])
    columns = columns_of(known, range(3), drawn=True)
    few, every = (Batch(known, sets, columns, flows, range(count)) for count in (9, 25))
    for index in range(len(known.job.cases)):
        assert few.case(index).tobytes() == every.case(index)[:, :9].tobytes()


@pytest.mark.by_hand("sums of frames against the face, in")
@pytest.mark.parametrize(
    ("face", "name", "line"),
    [
        (("24 in", "17 in"), "2 x A12M", "frames want 26.6 x 13.3 in; the core's face is 24 x 17 in"),
        (("27 in", "17 in"), "2 x A12M", ""),
        (("36 in", "18.5 in"), "2 x B16", ""),
        (("32 in", "18.5 in"), "2 x B16", "frames want 34.8 x 17.4 in; the core's face is 32 x 18.5 in"),
        (("28 in", "16 in"), "1 x A16S", "frames want 17 x 17 in; the core's face is 28 x 16 in"),
        (("28 in", "17 in"), "1 x A16S", ""),
        (("26 in", "16 in"), "2 x D11", ""),
        (("20 in", "17 in"), "1 x S18", "frames want 20.1 x 18.4 in; the core's face is 20 x 17 in"),
        (("27 in", "25 in"), "4 x D11", ""),
    ],
)
def test_frames_on_the_face(face: tuple[str, str], name: str, line: str) -> None:
    code = name.rsplit(maxsplit=1)[-1]
    answer = choose(on_core("parade-cruiser", *face), [item for item in SHELF if item.code == code], draws=8)
    found = next(each for each in fate_of(answer, code).lines if each.startswith(name))
    if line:
        assert found == f"{name}: {line}."
    else:
        assert "rank" in found


@pytest.mark.by_hand(
    "0.5 shroud + 2.7 fan + 0.5 rock = 3.7 in against 3 in at the pump nose; 0.5 + 2.0 + 0.5 = 3.0 fits"
)
def test_depth_over_the_pump_nose() -> None:
    answer = choose(job_of("hot-rod-tight-bay"), SHELF, draws=8)
    line = lines_of(answer, "A14M").splitlines()[0]
    assert "wants 3.7 in behind the core (0.5 in of shroud, 2.7 in of fan, 0.5 in of engine rock" in line
    assert "there is 3 in, and no place on the face keeps its motor clear" in line
    assert "rank" in lines_of(answer, "A10").splitlines()[0]
    # 1 + 3.6 + 0.5 = 5.1 in against 5 in at the middle: two A16H side by side stand clear of it.
    pickup = choose(job_of("supercharged-pickup"), [item for item in SHELF if item.code == "A16H"], draws=8)
    assert "rank" in lines_of(pickup, "A16H").splitlines()[1]


@pytest.mark.practice("the invented builds' traps: which package leads, which does not fit")
def test_the_traps_of_the_example_builds() -> None:
    pickup = choose(job_of("supercharged-pickup"), SHELF, draws=32)
    names = [item.name for item in pickup.sets]
    assert names.index("2 x B16") < names.index("2 x A16H")
    assert pickup.counts.hold == 0
    hot_rod = choose(job_of("hot-rod-tight-bay"), SHELF, draws=8)
    assert all("wants" in fate_of(hot_rod, code).lines[0] for code in ("A14M", "A16S"))
    parade = choose(job_of("parade-cruiser"), SHELF, draws=32)
    assert next(item for item in parade.sets if item.name == "2 x A12M").verdict == "holds"
    assert next(item for item in parade.sets if item.name == "1 x A16S").verdict == "does not hold"
    budget = choose(job_of("budget-conversion"), SHELF, draws=8)
    assert "frames want 20.1 x 18.4 in; the core's face is 20 x 17 in" in lines_of(budget, "S18")


@pytest.mark.behaviour("a shelf of which nothing fits")
def test_nothing_fits() -> None:
    answer = choose(job_of("demo"), [item for item in SHELF if item.code in ("A16P", "B18")], draws=8)
    assert answer.sets == []
    assert (answer.counts.tried, answer.counts.wrong_hand, answer.counts.too_wide) == (8, 4, 4)
    assert {fate.reached for fate in answer.fans} == {"sizes"}


@pytest.mark.practice("a pusher's blades do not pull; straight blades do either")
def test_hand_of_the_blade() -> None:
    pulled = choose(job_of("demo"), [item for item in SHELF if item.code in ("A16P", "X16")], draws=8)
    assert "A16P is a pusher and its blades cannot turn round; this job wants a puller" in lines_of(pulled, "A16P")
    assert fate_of(pulled, "X16").reached == "draws"
    job = job_of("demo")
    pushed = job.model_copy(update={"fans": tuple(fan.model_copy(update={"direction": "pusher"}) for fan in job.fans)})
    answer = choose(pushed, [item for item in SHELF if item.code in ("A16P", "X16", "A14S")], draws=8)
    assert fate_of(answer, "A16P").reached == "draws"
    assert fate_of(answer, "X16").reached == "draws"
    assert "this job wants a pusher" in lines_of(answer, "A14S")


@pytest.mark.practice("3000 cfm on an 80 W box is impossible; a tested curve of 1500 cfm is not called so")
def test_an_impossible_box_is_called_out(demo: Choice) -> None:
    notes = {item.name: item.notes for item in demo.sets}
    assert notes["1 x X16"] == ["X16: 3000 cfm on 80 W is impossible; size on a tested curve"]
    assert notes["1 x A12M"] == notes["1 x B14"] == []


@pytest.mark.behaviour("a box number only, a salvage part: they run on the job's guesses and say so")
def test_little_known_fans_are_possible() -> None:
    answer = choose(job_of("demo"), BARE, draws=32)
    notes = {item.name: " ".join(item.notes) for item in answer.sets}
    assert "box: only its box number is known of its air" in notes["1 x box"]
    assert "yard: nothing is known of its air" in notes["1 x yard"]
    assert "yard: depth not known, taken as 2.7 in" in notes["1 x yard"]
    assert "yard: no noise or price, so not compared on that" in notes["1 x yard"]
    assert all(item.price is None and item.noise is None for item in answer.sets)


def stronger(item: ShelfFan, by: float) -> ShelfFan:
    points = tuple((replace(q, value=by * q.value), replace(p, value=by * p.value)) for q, p in item.fan.curve)
    return replace(item, fan=item.fan.model_copy(update={"curve": points, "code": f"{item.code} {by}"}))


@pytest.mark.law("more air for the same amps is never worse")
@pytest.mark.parametrize("name", ["demo", "parade-cruiser"])
def test_a_stronger_fan_never_ranks_under_the_same_fan_weaker(name: str) -> None:
    kept = [item for item in SHELF if item.code in ("A12S", "A12M", "A14S", "B14")]
    shelf = [stronger(item, by) for item in kept for by in (0.8, 1.0, 1.25)]
    answer = choose(job_of(name), shelf, draws=64)
    by_name = {item.name: item for item in answer.sets}
    pairs = 0
    for item in answer.sets:
        for weak, strong in (("0.8", "1.0"), ("1.0", "1.25")):
            other = by_name.get(item.name.replace(weak, strong))
            if other and other is not item and item.name.count(weak) == len(set(item.codes)):
                assert other.rank < item.rank
                assert other.chance_of_holding >= item.chance_of_holding
                pairs += 1
    assert pairs >= 8


@pytest.mark.law("every set is somewhere, once")
def test_the_counts_add_up() -> None:
    shelf = parse_shelf(scaled_shelf(84), "scaled.csv")
    answer = choose(job_of("demo"), shelf, draws=16)
    c = answer.counts
    assert c.tried == c.wrong_hand + c.too_wide + c.too_deep + c.balanced
    assert c.balanced == c.short_of_lead + c.no_place + c.drawn
    assert c.drawn == len(answer.sets) == c.hold + c.toss_up + c.fail
    assert c.short_of_lead > 0
    assert [item.rank for item in answer.sets] == list(range(1, c.drawn + 1))
    assert [fate.code for fate in answer.fans] == [item.code for item in shelf]
    alike = sum(4 // item.fans_in_frame for item in shelf)
    assert sum(len(fate.lines) - 1 for fate in answer.fans) == alike
    behind = [line for fate in answer.fans for line in fate.lines if "the last set drawn has" in line]
    assert behind
    assert all("at the middle of every guess" in line for line in behind)
    assert {fate.reached for fate in answer.fans} == {"sizes", "balance", "draws"}


@pytest.mark.by_hand("10 log10 of energies; sums of prices, amps as typed")
def test_sums_of_a_set(demo: Choice) -> None:
    sets = {item.name: item for item in demo.sets}
    assert sets["2 x A12M"].noise == pytest.approx(69 + 10 * np.log10(2))
    assert sets["A14M + B14"].noise == pytest.approx(10 * np.log10(10**7.0 + 10**7.1))
    assert sets["2 x A12M"].price == "260.00 USD"
    assert sets["A14M + B14"].price == "570.00 USD"
    assert sets["A14M + B14"].depth == pytest.approx(3.0 * 0.0254)
    # Amps at 14.4 V of a 13.5 V rating: (14.4 / 13.5)^(2n), n = s / (s + 1), s = 55 / 17; brushless the other way.
    n = (55 / 17) / (55 / 17 + 1)
    assert sets["1 x A14M"].highest_amps == pytest.approx(17 * (14.4 / 13.5) ** (2 * n), rel=2e-3)
    assert sets["1 x B14"].highest_amps == pytest.approx(24 * 13.5 / 14.4)


@pytest.mark.behaviour("a job without a shroud gets one, and is told so; fans named in a case make way")
def test_what_is_taken_for_granted() -> None:
    answer = choose(job_of("parade-cruiser"), SHELF[:2], draws=8)
    assert any(line.startswith("A full shroud, where the job has none") for line in answer.assumed)
    job, _ = shrouded(job_of("parade-cruiser", ('type = "none"', 'type = "none"\ncovered_share = "45 %, measured"')))
    assert (job.shroud.type, job.shroud.covered_share) == ("full", None)
    off = next(case for case in job_of("track-car").cases if case.fans_on == ())
    assert next(case for case in shrouded(job_of("track-car"))[0].cases if case.name == off.name).fans_on == ()
    named = job_of("demo")
    case = named.cases[0].model_copy(update={"fans_on": (named.fans[0].code,)})
    _, assumed = shrouded(named.model_copy(update={"cases": (case, *named.cases[1:])}))
    assert any(case.name in line and "every fan" in line.lower() for line in assumed)


@pytest.mark.behaviour("called off between batches, at every stage; told how far it is")
def test_it_can_be_called_off_at_every_stage() -> None:
    told: list[tuple[str, float]] = []
    few = SHELF[:3]
    choose(job_of("demo"), few, draws=8, progress=lambda words, done: told.append((words, done)))
    assert all(0.0 <= done < 1.0 for _, done in told)
    assert len({words for words, _ in told}) >= 5

    def after(count: int) -> Callable[[], bool]:
        left = iter([False] * count)
        return lambda: next(left, True)

    stages = [stage for stage, _ in told]
    for count in {stages.index(stage) for stage in stages[:-1]}:
        with pytest.raises(Cancelled, match="nothing was written"):
            choose(job_of("demo"), few, draws=8, is_cancelled=after(count))


@pytest.mark.behaviour("JSON without NaN; the same answer every time")
def test_the_answer_as_json(demo: Choice) -> None:
    text = demo.to_json()

    def refuse(word: str) -> None:
        raise AssertionError(word)

    assert json.loads(text, parse_constant=refuse)["schema"] == 1
    assert choose(job_of("demo"), SHELF).to_json() == text
