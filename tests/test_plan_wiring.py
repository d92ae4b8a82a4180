"""A job's wiring from what is typed to findings, wires and amps to spare."""

import pytest

from shroudwright.assess import assess_and_plan
from shroudwright.assessment import Assessment
from shroudwright.bench.errors import InputError
from shroudwright.job.drive import Control
from shroudwright.job.fields import words_of
from shroudwright.job.files import parse_job
from shroudwright.plan import Plan
from shroudwright.wiring.schemes import SCHEMES
from tests.jobs import DEMO, STANDING_DEMO


def worked_out(electrical: str = "", control: str = "", text: str = DEMO) -> tuple[Assessment, Plan]:
    typed = text.replace("[electrical]\n", f"[control]\n{control}\n\n[electrical]\n{electrical}\n", 1)
    return assess_and_plan(parse_job(typed.encode(), "x.job.toml"), draws=40)


def levels(answer: Assessment) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for finding in answer.findings:
        found.setdefault(finding.code, set()).add(finding.level)
    return found


@pytest.fixture(scope="module")
def demo() -> tuple[Assessment, Plan]:
    return worked_out()


@pytest.mark.behaviour("the schemes a job may type are those there are")
def test_schemes() -> None:
    assert words_of(Control.model_fields["scheme"]) == tuple(SCHEMES)


@pytest.mark.practice(
    "traps: two fans on a 30 A relay, 40 A fuse in a 30 A holder, ground at the radiator, pulsed relay"
)
def test_traps(demo: tuple[Assessment, Plan]) -> None:
    answer, _ = worked_out(
        'fans_per_relay = 3\nrelay_rating = "30 A"\nfuse_type = "standard blade"\nfuse_rating = "40 A"\n'
        'holder_rating = "30 A"\nground_point = "radiator"',
        'scheme = "computer and relays"\noutput = "pulsed"',
        STANDING_DEMO,
    )
    found = levels(answer)
    assert "stop" in found["W20"]
    assert found["W16"] == {"stop"}
    assert found["W05"] == {"fix"}
    assert found["W29"] == {"stop"}
    assert not {"W16", "W05", "W29"} & levels(demo[0]).keys()
    relay = next(finding for finding in answer.findings if finding.code == "W20" and finding.level == "stop")
    assert relay.place == "Q14 and Q10 left and Q10 right"
    assert "against 30.0 A" in relay.because
    assert "A relay of" in relay.remedy
    assert not any("{" in finding.remedy for finding in answer.findings)


@pytest.mark.law("what is typed of wires and fuses is what the circuits and the list have, and thin wire loses volts")
def test_typed_wire_stands(demo: tuple[Assessment, Plan]) -> None:
    answer, plan = worked_out('gauge = 14\nground_gauge = 14\nfuse_rating = "30 A"\nfuse_type = "large blade"')
    assert {circuit.supply_gauge for circuit in plan.circuits} == {14.0}
    assert {circuit.fuse_rating for circuit in plan.circuits} == {30.0}
    assert {wire.gauge for wire in plan.wires if wire.ends.endswith("(M1) +")} == {14.0}
    assert answer.cases[0].fans[0].volts.value < demo[0].cases[0].fans[0].volts.value
    (thin,) = {finding.remedy for finding in answer.findings if finding.code == "W01" and finding.place == "Q14"}
    assert thin.startswith(("12 gauge", "10 gauge", "8 gauge"))


@pytest.mark.by_hand("780 rpm x 2.75 = 2145 rpm: 60 A at 2000 and 90 A at 3000 make 64.4 A")
def test_alternator_curve() -> None:
    text = STANDING_DEMO.replace('alternator_hot_idle = "66 A, measured"\n', "")
    curve = 'alternator_curve = [["2000 rpm", "60 A"], ["3000 rpm", "90 A"], ["6000 rpm", "125 A"]]'
    answer, plan = worked_out(curve, text=text)
    standing = next(budget for budget in plan.budgets if budget.ways)
    assert standing.makes[0] == pytest.approx(64.35, abs=0.05)
    assert standing.ways is not None
    assert standing.ways.pulley_ratio is not None
    assert 2.75 < standing.ways.pulley_ratio <= 3.5
    assert "W41" not in levels(answer)
    rated, _ = worked_out(text=text)
    assert levels(rated)["W41"] == {"watch"}


@pytest.mark.law("amps made less amps taken are amps left; standing they are the margin of the case; ways where short")
def test_budgets(demo: tuple[Assessment, Plan]) -> None:
    answer, _ = demo
    cases = {case.name: case for case in answer.cases}
    assert answer.budgets
    for budget in answer.budgets:
        assert budget.left.value == pytest.approx(budget.makes.value - budget.takes.value - budget.fans, abs=2.0)
        margin = cases[budget.case].alternator_margin
        if margin is not None:
            assert budget.left.value == pytest.approx(margin.value)
        assert bool(budget.ways) == (budget.left.value < 0.0) or abs(budget.left.value) < 2.0
    short = next(budget for budget in answer.budgets if budget.ways)
    told = next(finding for finding in answer.findings if finding.code == "W40" and finding.place == short.case)
    assert all(way in told.remedy for way in short.ways)


@pytest.mark.behaviour("a module takes the relays' place: none listed, none priced, no finding on relays")
def test_modules(demo: tuple[Assessment, Plan]) -> None:
    answer, plan = worked_out(control='scheme = "pwm module"\nsoft_start = "3 s"\nair_conditioning_request = false')
    assert plan.harness is not None
    assert not plan.harness.of_kind("relay")
    assert not {"W20", "W22"} & levels(answer).keys()
    assert plan.bill is not None
    assert not any("relay" in line.part for line in plan.bill.lines)
    assert plan.circuits[0].start_amps < demo[1].circuits[0].start_amps


@pytest.mark.behaviour("what is not known of a fan is said where it is not typed")
def test_unknown_fans(demo: tuple[Assessment, Plan]) -> None:
    found = {(finding.code, finding.place) for finding in demo[0].findings}
    assert {("A21", "fans.1.curve"), ("A23", "fans.2.start_amps"), ("A22", "fans.1.run_amps")} <= found
    assert not {("A21", "fans.0.curve"), ("A23", "fans.0.start_amps"), ("A22", "fans.0.run_amps")} & found
    assert not any(code in ("A20", "W60", "W64") for code, _ in found)
    text = STANDING_DEMO.replace('test_volts = "13.5 V, catalogue"\n', "rotation_checked = false\n")
    loud, _ = worked_out(control='noise_limit = "40 dB"', text=text)
    assert {"A20", "W60", "W64"} <= levels(loud).keys()
    assert levels(loud)["W60"] == {"stop"}
    (heard,) = (finding for finding in loud.findings if finding.code == "W64")
    assert "% of their speed" in heard.remedy


@pytest.mark.law(
    "ways to work the fans: full is full by any, low is under it, more hands off cost more; one is the job's own"
)
def test_tiers(demo: tuple[Assessment, Plan]) -> None:
    answer, plan = demo
    tiers = {tier.scheme: tier for tier in answer.tiers}
    assert set(tiers) == set(SCHEMES) - {"series and parallel"}  # which wants fans in pairs
    assert [name for name, tier in tiers.items() if tier.chosen] == ["controller"]
    for tier in answer.tiers:
        assert tier.gives_up
        assert tier.amps_low is None or tier.amps_low < tier.amps_full
        assert tier.noise_low is None or tier.noise_low < tier.noise_full  # type: ignore[operator]
    assert len({(tier.amps_full, tier.noise_full) for tier in answer.tiers}) == 1
    cost = [float(tiers[name].parts) for name in ("dash switch", "thermal switch", "controller", "pwm module")]
    assert cost == sorted(cost)
    assert tiers["dash switch"].amps_low is tiers["resistor"].amps_low is None
    assert plan.bill is not None
    assert {"adjustable controller", "coolant sensor with plug"} <= {line.part for line in plan.bill.lines}


@pytest.mark.by_hand("half on, start over run 3.3: 0.583 of the speed, 0.5 x 0.583^2 = 0.17 of the amps, 11.7 dB less")
def test_half_on(demo: tuple[Assessment, Plan]) -> None:
    tier = next(tier for tier in demo[0].tiers if tier.scheme == "pwm module")
    assert tier.amps_low is not None
    assert tier.noise_low is not None
    assert tier.noise_full is not None
    assert tier.amps_low / tier.amps_full == pytest.approx(0.17, abs=0.01)
    assert tier.noise_full - tier.noise_low == pytest.approx(11.7, abs=0.4)


@pytest.mark.behaviour("what is typed of control is judged at its field, in numbers")
def test_control_rules(demo: tuple[Assessment, Plan]) -> None:
    answer, plan = worked_out(
        control='first_stage = ["Q10 left", "Q10 right"]\nair_conditioning_request = false\nafter_run = "900 s"\n'
        'sensor_fault = "fans off"\nspeed_cut = "45 mph"\ncut_band = "3 mph"\nhot_override = false\n'
        'second_driver = "joined directly"'
    )
    found = {(finding.code, finding.place): finding for finding in answer.findings if finding.code.startswith("C")}
    wanted = {"C12", "C13", "C14", "C16", "C17", "C18", "C19", "C21"}
    assert wanted <= {code for code, _ in found}
    assert not wanted & levels(demo[0]).keys()
    assert found["C14", "control.cut_band"].because == "3 mph against 4 mph."
    assert found["C14", "control.cut_band"].remedy == "6 mph between them or more."
    assert "A h against 6.0 A h" in found["C17", "control.after_run"].because
    assert plan.harness is not None
    assert [part.stage for part in plan.harness.of_kind("relay")][:3] == [2, 1, 1]


@pytest.mark.behaviour("wiring that cannot be is refused, every fault at once")
def test_refused() -> None:
    with pytest.raises(InputError) as caught:
        worked_out(
            'gauge = 11\nalternator_curve = [["2000 rpm", "60 A"], ["3000 rpm", "50 A"]]',
            'scheme = "series and parallel"\nlowest_frequency = 300\nhighest_frequency = 10\n'
            'first_stage = ["Q15"]\npercent_start = "200 degF"\npercent_full = "190 degF"',
        )
    said = str(caught.value)
    assert "11 is not a gauge kept" in said
    assert "were the columns swapped" in said
    assert "in pairs, not 3" in said
    assert "more than highest_frequency" in said
    assert "there is no fan 'Q15'" in said
    assert "not above percent_start" in said
