"""The traps of the example builds: finding, field it points at, sign of each mend, rank of the options."""

import pytest

from shroudwright.assessment import Assessment, FindingAnswer
from shroudwright.bench.units import convert
from shroudwright.control.settings import settings
from shroudwright.control_reasons import control_findings
from shroudwright.plan import Plan
from shroudwright.speech import SHOPS
from shroudwright.wiring.schemes import Needs, harness
from tests.test_examples import FULL_SHROUD, answered, case, fan, text_of, top, with_fans

SEALED = ('"25 %, measured"', '"8 %, measured"')


def places(answer: Assessment) -> set[tuple[str, str]]:
    return {(finding.code, finding.place) for finding in answer.findings}


@pytest.fixture(scope="module")
def hot_rod() -> dict[str, Assessment]:
    as_found = text_of("hot-rod-tight-bay")
    pusher = fan("A16P", "8.75 9.25", 16, 1755, 0.66, 17).replace("kind =", 'direction = "pusher"\nkind =')
    return {
        "as found": answered(as_found),
        "A14M": answered(with_fans(as_found, fan("A14M", "8.75 9.25", 14, 1750, 0.95, 17))),
        "A16P": answered(with_fans(as_found, pusher)),
        "A16P as well": answered(as_found.replace("[electrical]", pusher + "[electrical]")),
        "A16H": answered(with_fans(as_found, fan("A16H", "8.75 9.25", 16, 2600, 1.15, 28))),
    }


@pytest.mark.practice("hot rod: seals gain more than another fan of the same amps, behind or in front")
def test_hot_rod_sealing_beats_fans_of_the_same_amps(hot_rod: dict[str, Assessment]) -> None:
    found = hot_rod["as found"]
    built = "stop-go, as built"
    by_sealing = top(found, built) - top(found, "stop-go, core sealed")
    for other in ("A14M", "A16P"):
        gained = top(found, built) - top(hot_rod[other], built)
        assert gained < 0.5 * by_sealing
        assert case(hot_rod[other], built).verdict == "does not hold"
    assert {("A09", "opening.recirculation"), ("A03", "shroud.depth"), ("A08", built)} <= places(found)


@pytest.mark.practice("hot rod: a second fan in front does not fix what seals do")
def test_hot_rod_a_second_fan_in_front_does_not_fix_it(hot_rod: dict[str, Assessment]) -> None:
    found, more, built = hot_rod["as found"], hot_rod["A16P as well"], "stop-go, as built"
    by_sealing = top(found, built) - top(found, "stop-go, core sealed")
    assert top(found, built) - top(more, built) < 0.9 * by_sealing
    assert case(more, built).verdict == "does not hold"


@pytest.mark.practice("hot rod: a far stronger fan gains no more than seals do, and takes the alternator down with it")
def test_hot_rod_a_far_stronger_fan_gains_as_sealing_and_starves_the_alternator(hot_rod: dict[str, Assessment]) -> None:
    found, strong, built = hot_rod["as found"], hot_rod["A16H"], "stop-go, as built"
    by_sealing = top(found, built) - top(found, "stop-go, core sealed")
    assert top(found, built) - top(strong, built) == pytest.approx(by_sealing, abs=3.0)
    assert case(strong, built).verdict == "does not hold"
    short, shorter = case(found, built).alternator_margin, case(strong, built).alternator_margin
    assert short is not None
    assert shorter is not None
    assert shorter.value < short.value - 8.0
    assert ("W40", built) in places(strong)
    assert case(strong, built).fans[0].volts.value < 12.0


@pytest.mark.practice("pickup: sized on idle it has a huge margin there and fails on the grade")
def test_pickup_idle_says_nothing_about_the_grade() -> None:
    answer = answered(text_of("supercharged-pickup"))
    idle, grade = case(answer, "idle, A/C on"), "5 % grade, A/C on"
    assert top(answer, "idle, A/C on") < idle.limit - 30.0
    assert idle.chance_of_holding > 0.99
    assert case(answer, grade).chance_of_holding < 0.01
    assert {("H01", grade), ("H01", "same grade at 60 mph"), ("H06", "same grade at 60 mph")} <= places(answer)
    assert ("H01", "idle, A/C on") not in places(answer)
    told = next(finding for finding in answer.findings if finding.code == "H06")
    assert told.level == "watch"
    assert "even odds here, not more" in told.says
    assert "belt fan is the thing to keep" in told.remedy


@pytest.mark.practice(
    "track car: fan and shroud are the restriction; a fix that adds fan is not in the list of what helps"
)
def test_track_car_fans_are_in_the_way_at_speed() -> None:
    answer = answered(text_of("track-car"))
    assert ("A06", "lap mean, fans on") in places(answer)
    assert ("A06", "pit idle") not in places(answer)
    told = next(finding for finding in answer.findings if finding.code == "H06")
    assert "road air alone" in told.because
    assert "flaps" in told.remedy


PARADE_MENDS = {
    "coverage": FULL_SHROUD,
    "recirculation": ('"30 %, measured"', '"8 %, measured"'),
    "timing": ('coolant_heat = "15 kW', 'coolant_heat = "12 kW'),
    "volts": ('"11.8 V', '"13.5 V'),
    "pump": ('"9 gpm', '"14 gpm'),
}


@pytest.mark.practice("parade: five small faults; each mend helps, coverage first, none alone is enough")
def test_parade_each_of_five_mends_helps_and_none_is_enough() -> None:
    name = "parade, as found"
    found = answered(text_of("parade-cruiser"))
    mended = {fault: answered(text_of("parade-cruiser", mend)) for fault, mend in PARADE_MENDS.items()}
    gains = {fault: top(found, name) - top(answer, name) for fault, answer in mended.items()}
    assert sorted(gains, key=lambda fault: -gains[fault]) == list(PARADE_MENDS)
    assert gains["pump"] > 0.0
    assert gains["coverage"] > 25.0
    assert all(case(answer, name).verdict == "does not hold" for answer in mended.values())
    wanted = {("A02", "shroud.type"), ("A07", name), ("A08", name), ("A09", "opening.recirculation"), ("W40", name)}
    assert wanted <= places(found)
    assert {"coverage and plenum", "recirculation", "volts"} <= {item.cause for item in found.causes}


@pytest.mark.practice("budget: strapped, then a full shroud, then the salvage fan on low, also at 11.5 V")
def test_budget_the_shroud_and_the_salvage_fan_on_low_are_enough() -> None:
    shrouded = text_of("budget-conversion", FULL_SHROUD, SEALED)
    on_low = with_fans(shrouded, fan("S18 low", "10 8.5", 17.5, 2775, 0.84, 19))  # three quarters of its full speed
    strapped = answered(text_of("budget-conversion"))
    salvage = answered(on_low)
    starved = answered(on_low.replace('source_volts = "13.5 V', 'source_volts = "11.5 V'))
    rank = [top(answer, "stop-go") for answer in (strapped, answered(shrouded), starved, salvage)]
    assert rank == sorted(rank, reverse=True)
    assert case(strapped, "stop-go").verdict == "does not hold"
    assert case(salvage, "stop-go").verdict == case(starved, "stop-go").verdict == "holds"
    assert {("A01", "fans: X16"), ("A02", "shroud.type")} <= places(strapped)
    assert rank[2] - rank[3] < 8.0


SETTLES = {160: 171.4, 180: 189.1, 195: 202.9}
"""Thermostat and where it settles with the fan on, degF: a computed drive of one truck, 18 kW on a 100 F day; the first
from the same balance, (T - 160)(T - 100) = 814"""


def said_of(thermostat: int, *typed: float, scheme: str = "controller") -> dict[tuple[str, str], FindingAnswer]:
    def kelvin(degf: float) -> float:
        return float(convert(degf, "degF", "K"))

    temperatures = [kelvin(degf) for degf in typed]
    names = ("fan_on", "fan_off", "second_on", "second_off")
    made = settings(
        thermostat_opens=kelvin(thermostat),
        thermostat_span=15 / 1.8,
        thermostat_place="outlet",
        sensor_place="engine out",
        settled=kelvin(SETTLES[thermostat]),
        coolant_drop=6.0,
        limit=kelvin(230),
        boil=kelvin(260),
        has_second=len(typed) > 2,
        **dict(zip(names, temperatures, strict=False)),  # type: ignore[arg-type]
    )
    laid = harness(scheme, Needs(("F1", "F2"), (1, 1 if scheme == "thermal switch" else 2)))
    return {(one.code, one.place): one for one in control_findings(Plan(settings=made, harness=laid), SHOPS["in"])}


@pytest.mark.practice("fan 1 on 165 off 160, fan 2 20 F higher: wrong with any thermostat, the more the hotter it is")
@pytest.mark.parametrize(
    ("thermostat", "wrong"),
    [
        (160, {("C01", "control.fan_off")}),
        (180, {("C01", "control.fan_off"), ("C02", "control.fan_on"), ("C01", "control.second_off")}),
        (
            195,
            {
                ("C01", "control.fan_off"),
                ("C02", "control.fan_on"),
                ("C01", "control.second_off"),
                ("C02", "control.second_on"),
            },
        ),
    ],
)
def test_a_first_stage_5_f_above_a_160_f_thermostat(thermostat: int, wrong: set[tuple[str, str]]) -> None:
    found = said_of(thermostat, 165, 160, 185, 180)
    assert set(found) == wrong
    off = found["C01", "control.fan_off"]
    assert off.because == f"160 °F against {thermostat} °F."
    assert "never stops" in off.says
    assert off.remedy == f"Set it to {SETTLES[thermostat] + 2:.0f} °F, or fit a cooler thermostat."


@pytest.mark.practice("fixed 180 and 190 F switches, 10 F of spread: right only with a thermostat well under them")
@pytest.mark.parametrize(
    ("starts", "thermostat", "codes"),
    [
        (180, 160, {"C03"}),
        (180, 180, {"C01", "C02"}),
        (180, 195, {"C01", "C02"}),
        (190, 160, set()),
        (190, 180, {"C01"}),
        (190, 195, {"C01", "C02"}),
    ],
)
def test_fixed_thermal_switches(starts: int, thermostat: int, codes: set[str]) -> None:
    found = said_of(thermostat, starts, starts - 10, scheme="thermal switch")
    assert {code for code, _ in found} == codes
    for (code, _), one in found.items():
        does = "starts" if code == "C02" else "stops"
        assert one.remedy.startswith(f"A switch that {does} at ")
        assert "Raise" not in one.remedy


@pytest.mark.practice("a core at the rear: road speed never stops its fans")
def test_a_speed_cut_off_on_a_rear_radiator() -> None:
    text = text_of("hot-rod-tight-bay")
    cut = text.replace("[electrical]", '[control]\nspeed_cut = "45 mph"\n\n[electrical]', 1)
    rear = cut.replace('type = "leaky"', 'type = "rear"', 1)
    assert ("C15", "control.speed_cut") not in places(answered(cut))
    answer = answered(rear)
    assert ("C15", "control.speed_cut") in places(answer)
    told = next(finding for finding in answer.findings if finding.code == "C15")
    assert told.level == "stop"
    assert "every speed" in told.remedy
