"""The builds in examples/: each reads and is answered, and shows its trap as an order or a side, never a figure.

All builds are invented. Their rough answers, good to some 15 degF, gave the orders and sides asked for here.
"""

import re
from itertools import pairwise
from pathlib import Path

import pytest

from shroudwright.assess import assess
from shroudwright.assessment import Assessment, CaseAnswer
from shroudwright.job.files import parse_job, read_job

EXAMPLES = Path(__file__).parents[1] / "examples"
NAMES = ("hot-rod-tight-bay", "supercharged-pickup", "track-car", "parade-cruiser", "budget-conversion")
DRAWS = 200

FULL_SHROUD = ('type = "none"', 'type = "full"\ndepth = "1.5 in"')
Answers = dict[str, Assessment]


def text_of(name: str, *swaps: tuple[str, str]) -> str:
    """An example's text with pieces replaced wherever they stand."""
    text = (EXAMPLES / f"{name}.job.toml").read_text(encoding="utf-8")
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new)
    return text


def answered(text: str) -> Assessment:
    return assess(parse_job(text.encode(), "variant"), draws=DRAWS)


def fan(code: str, place: str, blade: float, free: float, shutoff: float, amps: float, kind: str = "brushed") -> str:
    """A fan off the invented shelf, whose curves all are p0 (1 - (q / q0)^1.6); place is x and y in inches."""
    x, y = place.split()
    shares = [n / 8 for n in range(8, -1, -1)]
    points = [f'["{free * s:.0f} cfm", "{shutoff * (1 - s**1.6):.3f} inH2O"]' for s in shares]
    return (
        f'[[fans]]\ncode = "{code}"\nkind = "{kind}"\nx = "{x} in"\ny = "{y} in"\nblade = "{blade} in"\n'
        f'test_volts = "13.5 V, catalogue"\nrun_amps = "{amps} A, catalogue"\n'
        f'curve = [{", ".join(points)}]\ncurve_standing = "catalogue"\n'
    )


def with_fans(text: str, *fans: str) -> str:
    """The same job on other fans, or on none."""
    return re.sub(r"\[\[fans\]\].*?(?=\[electrical\])", "".join(fans), text, count=1, flags=re.DOTALL)


def case(answer: Assessment, name: str) -> CaseAnswer:
    return next(case for case in answer.cases if case.name == name)


def top(answer: Assessment, name: str) -> float:
    """Median coolant temperature into the radiator with the thermostat full open, K."""
    band = case(answer, name).coolant_unregulated
    assert band is not None
    return band.value


def codes(answer: Assessment) -> set[str]:
    return {finding.code for finding in answer.findings}


@pytest.fixture(scope="module")
def hot_rod() -> Answers:
    as_found = text_of("hot-rod-tight-bay")
    bare = as_found.replace('type = "full"\ndepth = "0.5 in, measured"', 'type = "none"')
    return {
        "as found": answered(as_found),
        "more depth": answered(as_found.replace('depth = "0.5 in, measured"', 'depth = "1.5 in, measured"')),
        "other fan": answered(with_fans(as_found, fan("A14M", "8.75 9.25", 14, 1750, 0.95, 17))),
        "bare small fan": answered(with_fans(bare, fan("A14S", "8.75 9.25", 14, 1450, 0.65, 11))),
    }


@pytest.fixture(scope="module")
def pickup() -> Answers:
    as_found = text_of("supercharged-pickup")
    brushless = [fan(f"B16 {x}", f"{x} 9.25", 16, 3300, 1.8, 38, "brushless") for x in (9, 27)]
    return {"as found": answered(as_found), "brushless": answered(with_fans(as_found, *brushless))}


@pytest.fixture(scope="module")
def track_car() -> Answers:
    as_found = text_of("track-car")
    fanless = with_fans(as_found).replace('type = "full"\ndepth = "1 in"', 'type = "none"')
    fanless = fanless.split("# A cut-off by speed")[0]
    return {
        "as found": answered(as_found),
        "no fans": answered(fanless),
        "ducted": answered(fanless.replace('"0.50, measured"', '"0.70, measured"')),
    }


@pytest.fixture(scope="module")
def parade() -> Answers:
    shrouded = text_of("parade-cruiser", FULL_SHROUD)
    sealed = shrouded.replace('"30 %, measured"', '"8 %, measured"').replace('"11.8 V, measured"', '"13.5 V, measured"')
    twins = [fan(f"A12M {x}", f"{x} 8.5", 12, 1450, 0.85, 14) for x in (6.75, 20.25)]
    return {
        "as found": answered(text_of("parade-cruiser")),
        "full shroud": answered(shrouded),
        "and sealed, full volts": answered(sealed),
        "two fans": answered(with_fans(sealed, *twins)),
    }


@pytest.fixture(scope="module")
def budget() -> Answers:
    strapped = text_of("budget-conversion")
    shrouded = text_of("budget-conversion", FULL_SHROUD, ('"25 %, measured"', '"8 %, measured"'))
    return {
        "as found": answered(strapped),
        "full shroud": answered(shrouded),
        "salvage": answered(with_fans(shrouded, fan("S18", "10 8.5", 17.5, 3700, 1.5, 34))),
        "clamp meter": answered(strapped.replace('"5.9 A, box"', '"13 A, measured"')),
    }


@pytest.mark.behaviour("every example is a job file without a fault, and answered in full")
@pytest.mark.parametrize("name", NAMES)
def test_an_example_reads_and_is_answered(name: str) -> None:
    job = read_job(EXAMPLES / f"{name}.job.toml")
    answer = assess(job, draws=DRAWS)
    assert [case.name for case in answer.cases] == [case.name for case in job.cases]
    assert all(case.coolant_unregulated is not None for case in answer.cases)


@pytest.mark.behaviour("no build lies in the folder untested")
def test_every_example_is_tested() -> None:
    assert {path.name for path in EXAMPLES.iterdir()} == {f"{name}.job.toml" for name in NAMES}


@pytest.mark.practice("hot rod: the gain is in seals and clearance, not in another fan")
def test_sealing_and_clearance_beat_another_fan(hot_rod: Answers) -> None:
    built, sealed = "stop-go, as built", "stop-go, core sealed"
    as_found = hot_rod["as found"]
    by_sealing = top(as_found, built) - top(as_found, sealed)
    by_depth = top(as_found, built) - top(hot_rod["more depth"], built)
    by_fan = top(as_found, built) - top(hot_rod["other fan"], built)
    assert by_sealing > 8.0
    assert by_sealing > by_depth > 5.0
    assert by_fan < 0.5 * by_depth  # its smaller opening loses more in so shallow a shroud than its blades gain
    assert case(as_found, built).verdict == "does not hold"
    assert case(hot_rod["more depth"], sealed).verdict != "does not hold"
    assert as_found.governing_case == built
    assert {"A03", "A09"} <= codes(as_found)


@pytest.mark.practice("hot rod: a bare small fan is the worst choice in traffic")
def test_a_bare_small_fan_is_worst_in_traffic(hot_rod: Answers) -> None:
    for name in ("stop-go, as built", "stop-go, core sealed"):
        bare = top(hot_rod["bare small fan"], name)
        assert all(bare > top(answer, name) + 20.0 for key, answer in hot_rod.items() if key != "bare small fan")


@pytest.mark.practice("pickup: the sustained grade decides, not idle")
def test_the_grade_decides_and_idle_is_easy(pickup: Answers) -> None:
    for answer in pickup.values():
        assert case(answer, "5 % grade, A/C on").verdict == "does not hold"
        assert top(answer, "5 % grade, A/C off") < top(answer, "5 % grade, A/C on") - 4.0
        assert top(answer, "same grade at 60 mph") > top(answer, "5 % grade, A/C on") + 4.0
        assert case(answer, "idle, A/C on").verdict == "holds"
        assert answer.governing_case == "same grade at 60 mph"


@pytest.mark.practice("pickup: two strong brushless fans are worth many degrees on the grade, few at idle")
def test_brushless_fans_help_where_it_matters(pickup: Answers) -> None:
    gain = {
        name: top(pickup["as found"], name) - top(pickup["brushless"], name)
        for name in ("5 % grade, A/C on", "5 % grade, A/C off", "same grade at 60 mph", "idle, A/C on")
    }
    idle = gain.pop("idle, A/C on")
    assert min(gain.values()) >= 5.0
    assert min(gain.values()) > idle


@pytest.mark.practice("track car: fan and shroud are the restriction, stopped fans most of all")
def test_fans_are_in_the_way_at_speed(track_car: Answers) -> None:
    fans_on = top(track_car["as found"], "lap mean, fans on")
    fans_off = top(track_car["as found"], "lap mean, fans off")
    none = top(track_car["no fans"], "lap mean, fans on")
    ducted = top(track_car["ducted"], "lap mean, fans on")
    assert ducted < none - 4.0 < none < fans_on - 4.0 < fans_on < fans_off - 4.0
    assert case(track_car["as found"], "lap mean, fans on").verdict == "does not hold"
    assert case(track_car["ducted"], "lap mean, fans on").verdict == "holds"
    assert "A06" in codes(track_car["as found"])


@pytest.mark.practice("track car: the pits are easy")
def test_the_pits_are_easy(track_car: Answers) -> None:
    pits = case(track_car["as found"], "pit idle")
    assert pits.verdict == "holds"
    assert top(track_car["as found"], "pit idle") < pits.limit - 40.0


@pytest.mark.practice("parade: five small faults, each mended one cooler than the last")
def test_mending_fault_after_fault_cools_the_parade(parade: Answers) -> None:
    found, tuned = "parade, as found", "parade, tuned and sealed"
    temperatures = [top(parade[key], found) for key in ("as found", "full shroud", "and sealed, full volts")]
    temperatures.append(top(parade["two fans"], tuned))
    assert case(parade["as found"], found).verdict == "does not hold"
    assert temperatures[0] - temperatures[1] > 20.0
    assert all(hotter > cooler + 8.0 for hotter, cooler in pairwise(temperatures))
    assert {"A02", "A07", "A08", "A09"} <= codes(parade["as found"])


@pytest.mark.practice("parade: no single mend is enough, all of them are")
def test_no_single_mend_saves_the_parade(parade: Answers) -> None:
    assert case(parade["as found"], "parade, tuned and sealed").verdict != "holds"
    assert case(parade["full shroud"], "parade, tuned and sealed").verdict == "holds"
    assert case(parade["two fans"], "parade, tuned and sealed").verdict == "holds"


@pytest.mark.practice("budget: 3000 cfm for 80 W is more than the air alone takes")
def test_the_box_claim_is_impossible(budget: Answers) -> None:
    says = [finding.says for finding in budget["as found"].findings if finding.code == "A01"]
    assert len(says) == 1
    assert "impossible" in says[0]
    assert "A01" in codes(budget["clamp meter"])


@pytest.mark.practice("budget: a shroud is worth more than 20 K in traffic, a salvage fan in its own more still")
def test_the_shroud_beats_the_strapped_fan(budget: Answers) -> None:
    strapped, shrouded, salvage = (top(budget[key], "stop-go") for key in ("as found", "full shroud", "salvage"))
    assert case(budget["as found"], "stop-go").verdict == "does not hold"
    assert strapped - shrouded > 20.0
    assert shrouded - salvage > 8.0
    assert case(budget["salvage"], "stop-go").verdict == "holds"
    assert budget["as found"].governing_case == "stop-go"
    assert case(budget["as found"], "65 mph").verdict == "holds"
