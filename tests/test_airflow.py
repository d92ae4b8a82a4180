import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.airflow.behind import (
    area_under_opening,
    discs_overlap,
    hand_rule,
    solid_behind_loss,
)
from shroudwright.airflow.frame import head_loss, leak_flow, ram_pressure
from shroudwright.airflow.recycled import fading, inlet_rise
from shroudwright.airflow.stacks import stacks, without


@pytest.mark.by_hand("60 mph = 26.822 m/s: 0.5 * 1.2 * 26.822**2 = 431.7 Pa, times 0.40")
def test_ram_at_sixty() -> None:
    assert ram_pressure(26.8224, 1.2, 0.45, 0.05) == pytest.approx(172.7, abs=0.1)


@pytest.mark.by_hand("K rho V^2 / 2 = 5 * 1.2 * 9 / 2 = 27 Pa at 3 m/s over 0.25 m2 (0.9 kg/s)")
def test_head_loss_and_its_sign() -> None:
    assert head_loss(5.0, 0.9, 1.2, 0.25) == pytest.approx(27.0)
    assert head_loss(5.0, -0.9, 1.2, 0.25) == pytest.approx(-27.0)


@pytest.mark.by_hand("0.6 * 0.01 * sqrt(2 * 50 / 1.0) = 0.06 m3/s")
def test_leak_and_its_sign() -> None:
    assert leak_flow(0.01, 50.0, 1.0) == pytest.approx(0.06)
    assert leak_flow(0.01, -50.0, 1.0) == pytest.approx(-0.06)


@pytest.mark.independent("fixed-point iteration of the mixing at the opening")
@given(st.floats(0.0, 0.45), st.floats(1e3, 5e4), st.floats(0.0, 2e4), st.floats(300.0, 3000.0))
def test_inlet_rise_is_the_fixed_point_of_mixing(share: float, heat: float, ahead: float, capacity: float) -> None:
    back = 0.0
    for _ in range(400):
        air_in = share * back + ahead / capacity
        back = air_in + heat / capacity
    assert inlet_rise(share, heat, ahead, capacity) == pytest.approx(air_in, rel=1e-9)


@pytest.mark.practice("recirculation is gone by about 4 m/s")
def test_recirculation_fades_with_speed() -> None:
    assert fading(0.2, 0.0) == 0.2
    assert fading(0.2, 2.0) == pytest.approx(0.1)
    assert fading(0.2, 30.0) == 0.0


@pytest.mark.by_hand(
    "25 x 17 in core, two 11.75 in openings, 1 in: (0.27419 - 0.13991) / (1.8752 * 0.0254) = 2.8193; at 3.04 m/s it "
    "takes 12 * 3.04 + 6 * 9.2416 = 91.93 Pa, sqrt(1.2337 * 1.15 * 9.2416 / 91.93) = 0.37766; N = 1.0647, N^1.66 = 1.11"
)
def test_hand_rule() -> None:
    number, evenness = hand_rule(0.27419 - 0.13991, 1.8752, 0.0254, 1.15, 3.04, 91.93)
    assert number == pytest.approx(1.0647, abs=2e-4)
    assert evenness == pytest.approx(0.308 * 1.1097 / (1.0 + 0.315 * 1.1097), abs=2e-4)


@pytest.mark.law("shallower is never more even, and no plenum is worse than the rule's end")
@given(st.floats(0.002, 0.3), st.floats(1.01, 2.0))
def test_hand_rule_falls_with_depth(depth: float, factor: float) -> None:
    deeper, shallower = (hand_rule(0.134, 1.88, h, 1.15, 3.0, 90.0)[1] for h in (depth * factor, depth))
    assert 0.0 < deeper < shallower < 0.308 / 0.315


@pytest.mark.by_hand("inside: pi d^2/4; centred on a corner: a quarter of it; on an edge: half")
def test_core_under_an_opening() -> None:
    disc = math.pi * 0.3**2 / 4.0
    assert area_under_opening(0.3, 0.2, 0.3, 0.6, 0.4) == pytest.approx(disc, rel=1e-4)
    assert area_under_opening(0.0, 0.0, 0.3, 0.6, 0.4) == pytest.approx(disc / 4.0, rel=1e-4)
    assert area_under_opening(0.6, 0.2, 0.3, 0.6, 0.4) == pytest.approx(disc / 2.0, rel=1e-4)
    assert area_under_opening(0.3, 0.2, 5.0, 0.6, 0.4) == pytest.approx(0.24, rel=1e-4)
    assert area_under_opening(2.0, 0.2, 0.3, 0.6, 0.4) == 0.0


@pytest.mark.by_hand("a cooler over the left 40 % and the lower half of a core whose tubes run across")
def test_stacks_of_one_cooler() -> None:
    one = np.ones(1)
    cut = stacks([(0.0 * one, 0.4 * one)], [(0.0 * one, 0.5 * one)], one, one, 2)
    assert cut.stack_share[0] == pytest.approx([0.8, 0.2, 0.0, 0.0])
    assert cut.lane_share[0] == pytest.approx([0.5, 0.5, 0.0, 0.0])
    lengths = [
        (share, coolers)
        for share, coolers in zip(cut.segment_share[0], cut.segment_coolers[0], strict=True)
        if share > 0.0
    ]
    assert lengths == [(pytest.approx(0.4), 1.0), (pytest.approx(0.6), 0.0)]


EDGE = st.floats(-0.3, 1.3)


@pytest.mark.independent("a grid of 400 x 400 spots, each asked which coolers it lies behind")
@given(st.lists(st.tuples(EDGE, EDGE, EDGE, EDGE), min_size=1, max_size=4))
def test_stacks_agree_with_a_grid(corners: list[tuple[float, float, float, float]]) -> None:
    spans = [((min(a, b), max(a, b)), (min(c, d), max(c, d))) for a, b, c, d in corners]
    one = np.ones(1)
    along, across = ([(span[side][0] * one, span[side][1] * one) for span in spans] for side in (0, 1))
    cut = stacks(along, across, one, one, 4)
    middle = (np.arange(400) + 0.5) / 400
    sets = np.zeros((400, 400), int)
    for i, ((x0, x1), (y0, y1)) in enumerate(spans):
        sets |= np.outer((middle > x0) & (middle < x1), (middle > y0) & (middle < y1)).astype(int) << i
    counted = np.bincount(sets.ravel(), minlength=16) / sets.size
    np.testing.assert_allclose(cut.stack_share[0], counted, atol=0.022)
    assert cut.stack_share.sum() == pytest.approx(1.0)
    assert cut.lane_share.sum() == pytest.approx(1.0)
    assert cut.segment_share.sum() == pytest.approx(1.0)
    fewer = without(cut, 0)
    again = stacks(along[1:], across[1:], one, one, 4)
    np.testing.assert_allclose(fewer.stack_share[0][::2], again.stack_share[0][:8], atol=1e-12)
    np.testing.assert_allclose(fewer.lane_share[0][::2], again.lane_share[0][:8], atol=1e-12)
    assert np.all(fewer.stack_share[0][1::2] == 0.0)


@pytest.mark.by_hand("unit discs a radius apart share 2 pi / 3 - sqrt(3) / 2 = 1.2284")
def test_discs_overlap() -> None:
    assert discs_overlap(1.0, 1.0, 1.0) == pytest.approx(2 * math.pi / 3 - math.sqrt(3) / 2)
    assert discs_overlap(3.0, 1.0, 1.0) == 0.0
    assert discs_overlap(0.2, 1.0, 0.5) == pytest.approx(math.pi * 0.25)


@pytest.mark.by_hand(
    "all of 0.1 m2 must leave by 1.25 m x 0.04 m = 0.05 m2: twice the speed, four heads; half of it, a half"
)
def test_solid_behind() -> None:
    assert solid_behind_loss(1.0, 0.1, 1.25, 0.04) == pytest.approx(4.0)
    assert solid_behind_loss(0.5, 0.1, 1.25, 0.04) == pytest.approx(0.5)
    assert solid_behind_loss(1.0, 0.1, 1.25, 0.08) == pytest.approx(1.0)
