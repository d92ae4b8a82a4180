"""The other fluids: which are judged, which way they move, and what is said when the trouble is not the coolant."""

import io

import numpy as np
import pytest
from pypdf import PdfReader
from rich.console import Console

from shroudwright.assessment import Assessment, CaseAnswer, OtherAnswer
from shroudwright.doors.say import say_assessment
from shroudwright.materials.refrigerant import r134a_saturation_pressure
from shroudwright.others import worse_than_coolant
from shroudwright.packet import Plan
from shroudwright.packet.pdf import packet_pdf
from tests.jobs import DEMO, SMALL, with_cases
from tests.test_assess import answer
from tests.test_practice import SMALL_V8

TRANS_COOLER = (
    '[[ahead]]\ncode = "tc"\nkind = "transmission cooler"\nwidth = "11 in, measured"\nheight = "10 in, measured"\n'
)
IN_AIR = DEMO.replace('trans_cooler = "in tank"', 'trans_cooler = "in air"').replace(
    "[opening]", TRANS_COOLER + "\n[opening]"
)
SMALL_COOLER = TRANS_COOLER.replace("11 in", "5 in").replace("10 in", "4 in") + 'heat = "5 kW, measured"\n'
HOT_GEARBOX = SMALL_V8.replace('gearbox = "automatic"', 'gearbox = "automatic"\ntrans_cooler = "in air"').replace(
    "[shroud]", SMALL_COOLER + "[shroud]"
)


def other(case: CaseAnswer, name: str) -> OtherAnswer:
    return next(one for one in case.others if one.name == name)


def hottest(found: Assessment, case: str, name: str) -> float:
    band = other(next(one for one in found.cases if one.name == case), name).temperature
    assert band is not None
    return band.value


@pytest.fixture(scope="module")
def demo() -> Assessment:
    return answer(DEMO)


@pytest.fixture(scope="module")
def hot_gearbox() -> Assessment:
    return answer(HOT_GEARBOX)


@pytest.mark.behaviour("each case names the fluids that are at work in it; a pull only the charge air")
def test_each_case_judges_the_fluids_at_work_in_it(demo: Assessment) -> None:
    named = {case.name: [one.name for one in case.others] for case in demo.cases}
    assert named["photo stop, A/C on"] == ["transmission fluid", "A/C"]
    assert named["canyon grade"] == ["transmission fluid", "charge air", "A/C"]
    assert named["merging flat out"] == ["charge air"]


@pytest.mark.behaviour("nothing is judged that nobody described")
def test_a_job_that_describes_no_other_fluid_has_none() -> None:
    assert all(case.others == [] for case in answer(SMALL).cases)
    stop = with_cases(DEMO, "photo stop, A/C on")
    manual = answer(stop.replace('gearbox = "automatic"', 'gearbox = "manual"').replace('"in tank"', '"none"'))
    assert all(one.name != "transmission fluid" for case in manual.cases for one in case.others)
    parked = answer(stop.replace("air_conditioning = true", "air_conditioning = false"))
    assert all(one.name != "A/C" for case in parked.cases for one in case.others)


@pytest.mark.law("the same words from the same chances, and a head pressure that belongs to its temperature")
def test_others_are_judged_as_the_coolant_is(demo: Assessment) -> None:
    for case in demo.cases:
        for one in case.others:
            expected = "holds" if one.chance_of_holding >= 0.9 else "marginal" if one.chance_of_holding >= 0.5 else ""
            assert one.verdict == (expected or "does not hold")
            assert one.temperature is not None
            assert one.temperature.low < one.temperature.value < one.temperature.high
            assert (one.pressure is not None) == (one.name == "A/C")
            if one.pressure is not None:
                at_sea = r134a_saturation_pressure(np.array(one.temperature.value)) - 101325.0
                assert at_sea < one.pressure.value < at_sea + 20e3  # the demo is 4600 ft up


@pytest.mark.law("direction of every lever on the other fluids")
def test_others_move_the_way_they_should(demo: Assessment) -> None:
    stop, grade = "photo stop, A/C on", "canyon grade"
    standing, pull = with_cases(DEMO, stop), with_cases(DEMO, "merging flat out")
    in_air = with_cases(IN_AIR, stop)
    recirculating = answer(standing.replace('"0.12, guess"', '"0.25, guess"'))
    assert hottest(recirculating, stop, "A/C") > hottest(demo, stop, "A/C") + 3.0
    assert hottest(recirculating, stop, "transmission fluid") > hottest(demo, stop, "transmission fluid")
    boosted = answer(pull.replace('"16 psi, measured"', '"22 psi, measured"'))
    assert hottest(boosted, "merging flat out", "charge air") > hottest(demo, "merging flat out", "charge air") + 3.0
    larger, smaller = answer(in_air), answer(in_air.replace("11 in, measured", "8 in, measured"))
    assert hottest(smaller, stop, "transmission fluid") > hottest(larger, stop, "transmission fluid") + 5.0
    both = answer(
        with_cases(IN_AIR, grade)
        .replace('"in air"', '"in tank"')
        .replace('"10 in, measured"', '"10 in, measured"\nheat = "1 kW"')
    )
    assert hottest(both, grade, "transmission fluid") < hottest(demo, grade, "transmission fluid")


@pytest.mark.law("water warms through a pull: the longer it lasts the hotter the charge")
def test_a_water_cooled_charge_warms_with_the_pull() -> None:
    water = with_cases(DEMO, "merging flat out").replace('charge_cooler = "air"', 'charge_cooler = "water"')
    assert water.count('"20 s"') == 1
    longer = answer(water.replace('"20 s"', '"40 s"'))
    assert hottest(longer, "merging flat out", "charge air") > hottest(answer(water), "merging flat out", "charge air")


@pytest.mark.practice("fluid out of an automatic with its cooler in the tank: 80 to 150 C at the demo's middle")
def test_transmission_fluid_lands_where_the_trade_finds_it(demo: Assessment) -> None:
    for case in demo.cases:
        for one in case.others:
            if one.name == "transmission fluid":
                assert one.temperature is not None
                assert 353.0 < one.temperature.value < 423.0


@pytest.mark.behaviour("engine oil is judged where its cooler in the air is listed")
def test_engine_oil_is_judged_with_its_cooler() -> None:
    oiled = DEMO.replace('block = "iron"', 'block = "iron"\noil_cooler = "in air"').replace(
        "[opening]", '[[ahead]]\ncode = "oc"\nkind = "oil cooler"\n\n[opening]'
    )
    (grade,) = answer(with_cases(oiled, "canyon grade")).cases
    assert other(grade, "engine oil").stands_on.endswith("over the air that reaches it")


@pytest.mark.behaviour("the worst word counts, the governing case stays the coolant's, and the trouble is named")
def test_a_failing_gearbox_is_the_verdict_and_the_headline(hot_gearbox: Assessment) -> None:
    case = hot_gearbox.cases[0]
    assert case.verdict == "holds"
    assert other(case, "transmission fluid").verdict == hot_gearbox.verdict == "does not hold"
    assert hot_gearbox.governing_case == case.name
    assert [(at.name, one.name) for at, one in worse_than_coolant(hot_gearbox.cases)] == [
        (case.name, "transmission fluid")
    ]
    told = next(finding for finding in hot_gearbox.findings if finding.code == "H10")
    assert (told.level, told.place) == ("fix", case.name)
    assert "5.0 kW" in told.because
    assert "cooler" in told.remedy
    assert "coolant does not hold" not in told.remedy
    out = io.StringIO()
    say_assessment(Console(file=out, width=118, highlight=False), hot_gearbox, "in")
    assert "The trouble is the transmission fluid, not the coolant" in out.getvalue()
    cover = PdfReader(io.BytesIO(packet_pdf(hot_gearbox, "in", Plan()))).pages[0].extract_text()
    assert "The trouble is the transmission fluid" in " ".join(cover.replace("\u200b", "").split())


@pytest.mark.behaviour("a toss-up of another fluid is a watch that says what to read")
def test_a_toss_up_says_what_to_read(demo: Assessment) -> None:
    told = next(finding for finding in demo.findings if finding.code == "H11")
    assert told.level == "watch"
    assert told.remedy.startswith("Read it after the cooler")
    settling = {reading.fluid: reading for reading in demo.measure_next}
    toss_ups = {one.name for case in demo.cases for one in case.others if one.verdict == "marginal"}
    assert settling.keys() - {"coolant"} == toss_ups
    assert settling["charge air"].case == told.place
    assert all(reading.reading and 0.0 < reading.chance_if_as_guessed <= 1.0 for reading in demo.measure_next)
    assert worse_than_coolant(demo.cases) == []


@pytest.mark.behaviour("the table of other fluids is printed, with the head pressure, in the shop's units")
def test_the_other_fluids_are_printed(demo: Assessment) -> None:
    for units, sign in (("in", "psi if R134a"), ("mm", "bar if R134a")):
        out = io.StringIO()
        say_assessment(Console(file=out, width=118, highlight=False), demo, units)
        assert "The other fluids" in out.getvalue()
        assert sign in out.getvalue()
    words = "".join(page.extract_text() for page in PdfReader(io.BytesIO(packet_pdf(demo, "in", Plan()))).pages)
    assert "The other fluids" in words


@pytest.mark.law("all fans together are louder than any, by no more than the count allows")
def test_all_fans_are_summed_in_energy(demo: Assessment) -> None:
    for case in demo.cases:
        each = [fan.noise.value for fan in case.fans if fan.noise is not None]
        if len(each) > 1:
            assert case.noise is not None
            assert max(each) < case.noise.value < max(each) + 10.0 * np.log10(len(each)) + 0.1
            assert case.noise.high - case.noise.value >= 5.0


@pytest.mark.behaviour("a typed rating stands beside the worked-out sound and is counted nowhere")
def test_a_typed_rating_is_shown_beside() -> None:
    quiet = SMALL_V8.replace("curve_standing", 'noise = "50 dB, box"\ncurve_standing')
    loud = SMALL_V8.replace("curve_standing", 'noise = "90 dB, box"\ncurve_standing')
    one, two = answer(quiet), answer(loud)
    assert one.cases[0].noise == two.cases[0].noise
    assert [fan.noise_as_typed for fan in two.cases[0].fans] == [90.0]
    out = io.StringIO()
    say_assessment(Console(file=out, width=118, highlight=False), two, "in")
    assert "counted nowhere: A16H 90 dB" in out.getvalue()
