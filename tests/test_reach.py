"""What an electric package would take, and when none will do."""

import re

import pytest

from shroudwright.assess import assess
from shroudwright.assessment import Assessment, FindingAnswer
from shroudwright.job.files import parse_job
from tests.test_examples import answered, text_of, top, with_fans

GRADE = text_of("supercharged-pickup").partition('[[cases]]\nname = "5 % grade, A/C off"')[0]


def told(answer: Assessment) -> FindingAnswer | None:
    return next((finding for finding in answer.findings if finding.code in ("H05", "H06")), None)


def of(text: str) -> FindingAnswer:
    found = told(answered(text))
    assert found is not None
    return found


def even_odds(finding: FindingAnswer) -> tuple[float, float]:
    match = re.search(r"even odds take (\d+) cfm at ([\d.]+) inH2O", finding.because)
    assert match
    return float(match[1]), float(match[2])


@pytest.mark.law("a fan of just that flow, on just that package, brings the coolant just to its limit")
def test_the_air_it_asks_for_is_the_air_it_takes() -> None:
    flow, _ = even_odds(of(GRADE))
    fan = (
        '[[fans]]\ncode = "just so"\nkind = "brushless"\nx = "18 in"\ny = "9.25 in"\nblade = "16 in"\n'
        'test_volts = "13.5 V"\nrun_amps = "60 A"\n'
        f'curve = [["{0.999 * flow} cfm", "2 inH2O"], ["{flow} cfm", "0 inH2O"]]\ncurve_standing = "measured"\n'
    )
    clean = with_fans(GRADE, fan).replace('depth = "1 in"', 'depth = "10 in, measured"\ncovered_share = "1, measured"')
    clean = clean.replace('recirculation = "15 %, measured"', 'recirculation = "0 %, measured"')
    clean = clean.replace('type = "full"', 'type = "full"\ngaps = "0 in2, measured"')
    answer = answered(clean)
    assert top(answer, "5 % grade, A/C on") == pytest.approx(answer.cases[0].limit, abs=4.0)


@pytest.mark.law("more heat takes more air, more pressure and more amps, until none will do")
def test_more_heat_takes_more_until_no_package_will_do() -> None:
    asked = [of(GRADE.replace('"82 kW', f'"{heat} kW')) for heat in (75, 82, 95, 130)]
    assert [finding.code for finding in asked] == ["H06", "H06", "H06", "H05"]
    flows = [even_odds(finding) for finding in asked]
    assert flows == sorted(flows)
    assert asked[-1].level == "fix"
    assert "a 12 V package carries some 130 A at most" in asked[-1].because
    assert "belt fan is the thing to keep" in asked[-1].remedy


@pytest.mark.behaviour("where endless air does not hold, it says by how much and that no fan helps")
def test_a_core_that_is_too_small_is_said_plainly() -> None:
    finding = of(GRADE.replace('"82 kW', '"400 kW'))
    assert finding.code == "H05"
    assert re.search(r"endless air .* leaves the coolant \d+ °F over", finding.because)
    assert "No fan helps" in finding.remedy


@pytest.mark.behaviour("an alternator that has less to give is named")
def test_the_alternator_is_named_when_it_has_less_to_give() -> None:
    plenty, short = of(GRADE), of(GRADE.replace('"220 A', '"120 A'))
    assert "This alternator has 122 A" in plenty.because
    assert "not on this alternator" in short.says
    assert short.level == "watch"
    assert short.remedy.startswith("A stronger alternator")


@pytest.mark.behaviour("nothing is said where every steady case holds or is a toss-up")
def test_nothing_is_said_where_it_holds() -> None:
    assert told(answered(GRADE.replace('"82 kW', '"20 kW'))) is None


@pytest.mark.behaviour("a job without any fan is told what fans it takes")
def test_a_job_without_fans_is_told_what_it_takes() -> None:
    flow, pressure = even_odds(of(with_fans(GRADE).replace('type = "full"', 'type = "none"')))
    with_them = even_odds(of(GRADE))
    assert flow == pytest.approx(with_them[0], rel=0.02)
    assert pressure == pytest.approx(with_them[1], abs=0.06)


@pytest.mark.behaviour("in a metric shop in its own units")
def test_a_metric_shop_reads_pascals() -> None:
    assert re.search(r"even odds take \d+ m³/h at \d+ Pa", of(GRADE.replace('units = "in"', 'units = "mm"')).because)


@pytest.mark.behaviour("few draws are enough for an answer")
def test_few_draws_are_enough() -> None:
    assert told(assess(parse_job(GRADE.encode(), "x"), draws=8)) is not None
