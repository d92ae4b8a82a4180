"""Fans as a job describes them: partly on, on low, behind a belt, in front of others, close to a solid."""

from typing import Any

import pytest

from shroudwright.assess import assess
from shroudwright.assessment import Assessment
from shroudwright.bench.errors import InputError
from shroudwright.fans.laws import belt_fan_speed, percent_on_speed
from shroudwright.job.files import parse_job
from shroudwright.speech import SHOPS
from tests.test_examples import case, codes, fan, text_of, top, with_fans

IDLE = text_of("budget-conversion").partition("[[cases]]")[0]
STANDING = '[[cases]]\nname = "idle"\nkind = "idle"\ncoolant_heat = "9 kW"\ncoolant_flow = "12 gpm"\n'
STRONG = fan("B16", "10 8.5", 16, 3300, 2.6, 38, "brushless")
BRUSHED = fan("A16H", "10 8.5", 16, 2600, 1.15, 28)
PUSHER = fan("P", "10 8.5", 12, 1400, 0.8, 12).replace("kind =", 'direction = "pusher"\nkind =')
BELT = '[belt_fan]\nblade = "17 in"\nfree_flow = "4500 cfm"\nshutoff_pressure = "2 inH2O"\nrpm = "2400 rpm"\n'


def of(*fans: str, more: str = "", case_more: str = "", before: str = "") -> Assessment:
    text = with_fans(IDLE, *fans).replace("[electrical]", before + "[electrical]") + STANDING + case_more + more
    return assess(parse_job(text.encode(), "x"), draws=60)


def first(answer: Assessment) -> Any:
    return answer.cases[0].fans[0]


@pytest.mark.by_hand("half on: a brushless fan turns at half; s = 3.3 pulsed turns at 0.5^(3.3/4.3) = 0.587")
def test_speed_partly_on() -> None:
    assert percent_on_speed(0.5, 3.3, True) == pytest.approx(0.5)
    assert percent_on_speed(0.5, 3.3, False) == pytest.approx(0.5875, abs=1e-4)


@pytest.mark.law("at a share of its speed a fan moves about that share, for the power of its cube; hot air is thinner")
@pytest.mark.parametrize("fan_text", [STRONG, BRUSHED])
def test_partly_on(fan_text: str) -> None:
    full, half = of(fan_text), of(fan_text, case_more='percent_on = "50 %, measured"\n')
    brushless = fan_text is STRONG
    turns = 0.5 if brushless else 0.5 ** (3.3 / 4.3)
    assert first(half).air_flow.value / first(full).air_flow.value == pytest.approx(turns, rel=0.09)
    assert first(half).amps.value / first(full).amps.value == pytest.approx(
        turns**3 if brushless else 0.5 * turns**2, rel=0.2
    )
    assert top(half, "idle") > top(full, "idle")


@pytest.mark.law("a low setting of the same speed as a share on moves the same air")
def test_on_low() -> None:
    low = of(BRUSHED + 'low_speed = "0.6, measured"\n', case_more='fans_low = ["A16H"]\n')
    full = of(BRUSHED)
    assert first(low).air_flow.value / first(full).air_flow.value == pytest.approx(0.6, rel=0.09)
    assert first(low).amps.value / first(full).amps.value == pytest.approx(0.36, rel=0.2)


@pytest.mark.behaviour("a low setting nobody described, or a fan that is not there, is one clear fault")
@pytest.mark.parametrize(("named", "said"), [("A16H", "has no low_speed"), ("Z", "there is no fan 'Z'")])
def test_a_low_setting_has_to_be_described(named: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        of(BRUSHED, case_more=f'fans_low = ["{named}"]\n')


@pytest.mark.by_hand("750 rpm x 1.2 x 0.88 = 792 rpm; 5000 rpm is held at 2800")
def test_speed_behind_a_belt() -> None:
    assert belt_fan_speed(750.0, 1.2, 0.12, 2800.0) == pytest.approx(792.0)
    assert belt_fan_speed(5000.0, 1.2, 0.12, 2800.0) == 2800.0


@pytest.mark.law("a belt fan moves more as the engine turns faster, asks for no amps and loads the engine")
def test_a_belt_fan_turns_with_the_engine() -> None:
    slow = of(before=BELT, case_more='engine_rpm = "700 rpm, measured"\n')
    fast = of(before=BELT, case_more='engine_rpm = "1400 rpm, measured"\n')
    assert first(slow).code == "belt fan"
    assert first(fast).air_flow.value > 1.6 * first(slow).air_flow.value
    assert first(slow).amps.value == first(slow).volts.value == 0.0
    assert first(slow).running
    assert top(fast, "idle") < top(slow, "idle")
    assert slow.wiring == []


@pytest.mark.behaviour("a belt fan whose blades nobody taped is one clear fault")
def test_a_belt_fan_needs_its_blades() -> None:
    with pytest.raises(InputError, match=r"belt_fan.blade.*tape across the blades"):
        of(before='[belt_fan]\nfree_flow = "4500 cfm"\n')


@pytest.mark.law("at no road speed a pusher in front of a puller adds air; stopped there, it takes air away")
def test_a_pusher_ahead_of_a_puller() -> None:
    alone, helped = of(BRUSHED), of(BRUSHED, PUSHER)
    dead = of(BRUSHED, PUSHER, case_more='fans_on = ["A16H"]\n')
    flows = [float(answer.cases[0].air_mass_flow.value) for answer in (dead, alone, helped)]  # type: ignore[union-attr]
    assert flows == sorted(flows)
    assert flows[2] < 1.35 * flows[1]
    assert case(helped, "idle").fans[1].pressure.value < case(helped, "idle").fans[0].pressure.value


@pytest.mark.law("nearer is hotter; behind the hub alone it costs nothing; the loss falls as the square of the room")
def test_a_solid_close_behind_a_fan() -> None:
    space = "[space]\ndepth_map = [{{ x = '10 in', y = '8.5 in', depth = '{}', size = '{}' }}]\n"
    base = IDLE[: IDLE.index("[space]")] + IDLE[IDLE.index("[shroud]") :]

    def behind(depth: str, size: str) -> Assessment:
        text = with_fans(base, BRUSHED + 'overall_depth = "3.6 in, measured"\n')
        text = text.replace("[shroud]", space.format(depth, size) + "[shroud]") + STANDING
        return assess(parse_job(text.encode(), "x"), draws=60)

    far, near, hub = behind("12 in", "16 in"), behind("6 in", "16 in"), behind("6 in", "5 in")
    assert top(near, "idle") > top(far, "idle") + 1.0
    assert top(far, "idle") - 1.0 < top(hub, "idle") <= top(far, "idle")
    assert "A10" in codes(near)
    assert "A10" not in codes(hub)


@pytest.mark.law("flaps stay shut standing and let ram out at speed")
def test_flaps() -> None:
    track = text_of("track-car")
    flapped = track.replace("[shroud]", '[shroud]\nflaps = "50 in**2, measured"\nflap_count = 6')
    without, with_them = (assess(parse_job(text.encode(), "x"), draws=60) for text in (track, flapped))
    assert without.governing_case == with_them.governing_case
    worst = without.governing_case
    assert top(with_them, worst) < top(without, worst) - 3.0
    pit = next(item.name for item in without.cases if item.kind == "idle")
    assert top(with_them, pit) == pytest.approx(top(without, pit), abs=0.01)


@pytest.mark.law("a condenser held at one temperature gives the air less heat the hotter the air is")
def test_a_condenser_at_one_temperature() -> None:
    held = IDLE.replace('kind = "condenser"', 'kind = "condenser"\ncondensing_temperature = "150 degF, measured"', 1)
    assert held != IDLE
    heats = []
    for outside in ("80 degF", "110 degF"):
        text = with_fans(held, BRUSHED) + STANDING + f'ambient = "{outside}"\n'
        answer = assess(parse_job(text.encode(), "x"), draws=60)
        heats.append(answer.cases[0].heat_ahead)
    assert heats[0] > heats[1] + 1e3
    assert heats[1] > 0.0


@pytest.mark.law("at speed a core at the side gets less air than one in the nose, and one at the rear needs its fans")
def test_where_the_opening_is() -> None:
    flows = []
    for kind in ("ordinary", "side", "rear"):
        text = with_fans(text_of("track-car")).replace('type = "full"\ndepth = "1 in"', 'type = "none"')
        text = text[: text.index("[opening]")] + f'[opening]\ntype = "{kind}"\n' + text[text.index("[shroud]") :]
        answer = assess(parse_job(text.encode(), "x"), draws=60)
        lap = next(item for item in answer.cases if item.kind != "idle")
        flows.append(0.0 if lap.air_mass_flow is None else lap.air_mass_flow.value)
    assert flows[0] > 1.8 * flows[1]
    assert flows[1] > 0.05
    assert flows[2] < 0.01


@pytest.mark.by_hand("255.3 K is -0.13 degF, written 0")
def test_no_minus_nothing() -> None:
    assert SHOPS["in"].degrees(255.3) == "0"


@pytest.mark.law("a condenser colder than the air does not cool it")
def test_a_condenser_never_cools_the_air() -> None:
    cold = IDLE.replace('kind = "condenser"', 'kind = "condenser"\ncondensing_temperature = "80 degF, measured"', 1)
    answer = assess(parse_job((with_fans(cold, BRUSHED) + STANDING).encode(), "x"), draws=60)
    assert answer.cases[0].heat_ahead == 0.0


@pytest.mark.behaviour("what cannot be is one clear fault")
def test_impossible_coolers_and_belt_fans_are_faults() -> None:
    held = IDLE.replace('kind = "condenser"', 'kind = "oil cooler"\ncondensing_temperature = "150 degF"', 1)
    with pytest.raises(InputError, match="only a condenser is held"):
        parse_job((held + STANDING).encode(), "x")
    with pytest.raises(InputError, match=r"belt_fan.hub.*not smaller than blade"):
        of(before='[belt_fan]\nblade = "8 in"\nhub = "12 in"\n')
