"""What a cooler ahead of the core sheds."""

import math

import numpy as np
import pytest

from shroudwright.materials.air import specific_heat
from shroudwright.pack.ahead import heat_per_kelvin
from shroudwright.pack.air_path import core_of
from shroudwright.pack.params import RESULT, blank
from shroudwright.radiator.core import air_side, surface
from tests.packs import example, lay_out


def shed(flow: float, share: float, capacity: float, cover: float = 1.0) -> float:
    rows = example()
    lay_out(rows, ((0.0, cover), (0.0, 1.0)))
    solved = blank(1, RESULT)
    solved.ahead_air_flow = cover * flow
    found = heat_per_kelvin(rows, solved, np.array([320.0]), np.full((1, 1), share), np.full((1, 1), capacity))
    return float(found[0, 0])


@pytest.mark.independent("ht, crossflow with neither side mixed")
def test_an_oil_cooler_agrees_with_a_library() -> None:
    from ht.hx import effectiveness_from_NTU

    rows = example()[0]
    core = core_of(rows.ahead[0])
    UA = 0.4 * air_side(core, surface(core), 0.8, 320.0, 0.0).eta_h_A
    air = 0.8 * specific_heat(320.0, 0.0)
    expected = 300.0 * effectiveness_from_NTU(UA / 300.0, 300.0 / air, subtype="crossflow")
    assert shed(0.8, 0.4, 300.0) == pytest.approx(expected, rel=1e-6)


@pytest.mark.by_hand("condensing, so 1 - exp(-NTU) of the air's capacity")
def test_a_condenser_is_one_minus_exp() -> None:
    core = core_of(example()[0].ahead[0])
    air = 0.8 * specific_heat(320.0, 0.0)
    NTU = 0.8 * air_side(core, surface(core), 0.8, 320.0, 0.0).eta_h_A / air
    assert shed(0.8, 0.8, math.inf) == pytest.approx(air * (1.0 - math.exp(-NTU)), rel=1e-9)


@pytest.mark.law("more air, more cooler, more share of it: more heat per kelvin; half the cover sheds half")
def test_more_of_anything_sheds_more() -> None:
    assert shed(0.4, 0.8, math.inf) < shed(0.8, 0.8, math.inf) < shed(0.8, 1.0, math.inf)
    assert shed(0.8, 0.8, math.inf, cover=0.5) == pytest.approx(0.5 * shed(0.8, 0.8, math.inf))
    assert shed(0.8, 0.4, 200.0) < 200.0
