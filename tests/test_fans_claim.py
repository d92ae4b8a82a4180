import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.fans.claim import (
    claim_verdict,
    flow_ceiling,
    flow_per_amp,
    implied_efficiency,
    pressure_of_amp_rule,
)

CFM = 0.3048**3 / 60.0
INCH = 0.0254

CEILING = [
    (10, 6, 1014, 1147),
    (10, 35, 1826, 2064),
    (12, 10, 1534, 1733),
    (14, 15, 2156, 2437),
    (16, 20, 2835, 3205),
    (18, 25, 3574, 4040),
    (18, 35, 3998, 4519),
]


@pytest.mark.independent("separate prototype's table, 13.5 V, hub ratio 0.4, 1.204 kg/m3, to a cfm or two")
@pytest.mark.parametrize(("inches", "amps", "good", "best"), CEILING)
def test_ceiling(inches: float, amps: float, good: float, best: float) -> None:
    for efficiency, cfm in ((0.45, good), (0.65, best)):
        flow = flow_ceiling(inches * INCH, 0.4, amps, 13.5, efficiency, 1.204)
        assert flow / CFM == pytest.approx(cfm, abs=2.0)


PER_AMP = [(50, 0.15, 86), (75, 0.25, 95), (100, 0.30, 86), (125, 0.35, 80), (150, 0.40, 76), (200, 0.50, 72)]


@pytest.mark.independent("separate prototype's table at 13.5 V, to the cfm")
@pytest.mark.parametrize(("pressure", "efficiency", "cfm"), PER_AMP)
def test_flow_per_amp(pressure: float, efficiency: float, cfm: float) -> None:
    assert flow_per_amp(pressure, efficiency, 13.5) / CFM == pytest.approx(cfm, abs=0.6)


@pytest.mark.by_hand("eff x 13.5 W / 0.04719 m3/s: 72 Pa at 0.25, 129 Pa at 0.45; 254 Pa per unit at 12 V")
def test_amp_rule() -> None:
    assert pressure_of_amp_rule(13.5, 0.25) == pytest.approx(72.0, abs=0.6)
    assert pressure_of_amp_rule(13.5, 0.45) == pytest.approx(129.0, abs=0.6)
    assert pressure_of_amp_rule(12.0, 1.0) == pytest.approx(254.0, abs=0.6)


@pytest.mark.law("the rule's pressure is where a fan moves 100 cfm an amp")
@given(st.floats(10.0, 15.0), st.floats(0.1, 0.6))
def test_rule_and_flow_per_amp_agree(volts: float, efficiency: float) -> None:
    pressure = pressure_of_amp_rule(volts, efficiency)
    assert flow_per_amp(pressure, efficiency, volts) == pytest.approx(100.0 * CFM)


@pytest.mark.law("a claim at the ceiling implies the ceiling's efficiency")
@given(st.floats(0.2, 0.5), st.floats(0.2, 0.5), st.floats(3.0, 60.0), st.floats(0.2, 1.0))
def test_ceiling_and_claim_agree(diameter: float, hub: float, amps: float, efficiency: float) -> None:
    flow = flow_ceiling(diameter, hub, amps, 13.5, efficiency, 1.2)
    assert implied_efficiency(flow, diameter, hub, amps, 13.5, 1.2) == pytest.approx(efficiency)


@pytest.mark.by_hand("the jet of 3000 cfm through a 16 in blade with a 6 in hub carries 137 W; the box says 80 W")
def test_a_bargain_fan() -> None:
    hub = 6.0 / 16.0
    efficiency = implied_efficiency(3000.0 * CFM, 16.0 * INCH, hub, 80.0 / 13.5, 13.5, 1.2)
    assert efficiency * 80.0 == pytest.approx(137.0, abs=2.0)
    assert claim_verdict(efficiency) == "impossible"


VERDICTS = [
    (0.30, "fine"),
    (0.45, "believable only for a brushless or very good fan"),
    (0.65, "believable only for a brushless or very good fan"),
    (0.888, "exaggerated"),
    (1.01, "impossible"),
]


@pytest.mark.practice("thresholds 0.45, 0.65 and 1.0")
@pytest.mark.parametrize(("efficiency", "words"), VERDICTS)
def test_verdict(efficiency: float, words: str) -> None:
    assert claim_verdict(efficiency) == words
