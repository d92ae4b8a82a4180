"""Fins: the louver relations coded a second time, measured agreement, joins and limits."""

import math

import numpy as np
import pytest

from shroudwright.radiator import fins
from tests import oracle_radiator as oracle
from tests.checks import row

MM = 1e-3


def geometry(rng: np.random.Generator) -> dict[str, float]:
    Fl, Lp = rng.uniform(5, 12) * MM, rng.uniform(0.8, 1.8) * MM
    Dm = rng.uniform(1.6, 2.8) * MM
    return {
        "fin_pitch": rng.uniform(0.9, 3.0) * MM,
        "louver_pitch": Lp,
        "fin_height": Fl,
        "flow_depth": rng.uniform(15, 58) * MM,
        "louver_length": rng.uniform(0.7, 0.95) * Fl,
        "tube_pitch": Fl + Dm,
        "fin_thickness": rng.uniform(0.05, 0.15) * MM,
        "louver_angle": math.radians(rng.uniform(15, 35)),
    }


@pytest.mark.independent("a second coding of both relations")
def test_louver_relations() -> None:
    rng = np.random.default_rng(11)
    for _ in range(200):
        g = geometry(rng)
        Dh, Re = rng.uniform(1.5, 5.0) * MM, 10 ** rng.uniform(np.log10(40), np.log10(3000))
        Dm = g["tube_pitch"] - g["fin_height"]
        case = oracle.Case(
            "louvered", 0.6, 0.4, g["flow_depth"], 1, 0.02, Dm, 3e-4, g["fin_pitch"], g["fin_height"],
            g["fin_thickness"], 180.0, g["louver_pitch"], math.degrees(g["louver_angle"]), g["louver_length"],
            1, 1.0, 300.0, 1e5, "MEG", 0.5, 1.0, 360.0,
        )  # fmt: skip
        assert fins.louver_j_chang_wang_1997(**g, Re=Re) == pytest.approx(oracle.louver_j(case, Re), rel=1e-10)
        f = fins.louver_f_chang_2000(**g, tube_thickness=Dm, hydraulic_diameter=Dh, Re=Re)
        assert f == pytest.approx(oracle.louver_f(case, Re, Dh), rel=1e-10)


CORE_20MM = {
    "fin_pitch": 1.4 * MM,
    "louver_pitch": 1.4 * MM,
    "fin_height": 8.15 * MM,
    "flow_depth": 20 * MM,
    "louver_length": 6.8 * MM,
    "louver_angle": math.radians(27.0),
}
REST = {"tube_pitch": 10.15 * MM, "fin_thickness": 0.1 * MM}


def kim_bullard_f(
    fin_pitch: float,
    louver_pitch: float,
    fin_height: float,
    flow_depth: float,
    louver_length: float,
    louver_angle: float,
    Re: float,
) -> float:
    """Fanning f of thin louvered cores, Int. J. Refrigeration 25 (2002) 390; this program uses another relation."""
    Lp = louver_pitch
    shape = (math.degrees(louver_angle) / 90.0) ** 0.444 * (fin_pitch / Lp) ** -1.682 * (fin_height / Lp) ** -1.22
    return float(Re**-0.781 * shape * (flow_depth / Lp) ** 0.818 * (louver_length / Lp) ** 1.97)


@pytest.mark.row("LOUV-Pf4")
@pytest.mark.published("Kim and Bullard, Int. J. Refrigeration 25 (2002) 390, as transcribed")
def test_second_opinion_as_tabulated() -> None:
    check = row("LOUV-Pf4")
    given = check.inputs
    f = kim_bullard_f(
        given["Fp"], given["Lp"], given["Fl"], given["Td"], given["Ll"], math.radians(given["theta"]), given["Re_Lp"]
    )
    assert check.accepts(f)


@pytest.mark.independent("two published friction relations on one 20 mm core: 1.29 falling to 0.99, Re 100 to 500")
def test_second_opinion_on_friction() -> None:
    ratios = []
    for Re in np.linspace(100.0, 500.0, 21):
        ours = fins.louver_f_chang_2000(
            **CORE_20MM, **REST, tube_thickness=2 * MM, hydraulic_diameter=2.3 * MM, Re=float(Re)
        )
        ratios.append(kim_bullard_f(**CORE_20MM, Re=float(Re)) / ours)
    assert 0.8 < min(ratios) < max(ratios) < 1.6


@pytest.mark.independent("Kim and Bullard's j, coded here, agrees within 3 % over Re 100 to 600")
@pytest.mark.parametrize("Re", [100.0, 200.0, 400.0, 600.0])
@pytest.mark.parametrize("depth", [25.4, 38.1, 50.8])
@pytest.mark.parametrize("per_inch", [10, 15, 22])
def test_second_opinion_on_heat(Re: float, depth: float, per_inch: int) -> None:
    Fp, Lp, H, Tp, Ll, df = 25.4 / per_inch, 1.2, 8.0, 10.0, 6.8, 0.1
    other = Re**-0.487 * (27 / 90) ** 0.257 * (Fp / Lp) ** -0.13 * (H / Lp) ** -0.29 * (depth / Lp) ** -0.235
    other *= (Ll / Lp) ** 0.68 * (Tp / Lp) ** -0.279 * (df / Lp) ** -0.05
    ours = fins.louver_j_chang_wang_1997(
        Fp * MM, Lp * MM, H * MM, depth * MM, Ll * MM, Tp * MM, df * MM, math.radians(27), Re
    )
    assert ours == pytest.approx(other, rel=0.03)


@pytest.mark.law("f joins at Re 130, 230 and where it is held; on each branch more flow costs more pressure")
def test_louver_friction_joins() -> None:
    rng = np.random.default_rng(5)
    for _ in range(50):
        g = geometry(rng)
        Dm = g["tube_pitch"] - g["fin_height"]
        Dh = min(2 * g["fin_pitch"] * g["fin_height"] / (g["fin_pitch"] + g["fin_height"]), 4 * MM)
        friction = fins.louver_friction(**g, tube_thickness=Dm, hydraulic_diameter=Dh)
        for edge in (30.0, 130.0, 230.0):
            below, above = (fins.louver_f(friction, edge * (1 + e)) for e in (-1e-9, 1e-9))
            assert below == pytest.approx(above, rel=1e-6)
        for low, high in ((1.0, 130.0), (230.0, 3000.0)):
            drops = [fins.louver_f(friction, Re) * Re**2 for Re in np.linspace(low, high, 500)]
            assert np.all(np.diff(drops) > 0.0)


@pytest.mark.law("through the blend, too, on the 20 mm core; thin cores with coarse louvers are told in the limits")
def test_louver_blend_rises() -> None:
    friction = fins.louver_friction(**CORE_20MM, **REST, tube_thickness=2 * MM, hydraulic_diameter=2.3 * MM)
    drops = [fins.louver_f(friction, Re) * Re**2 for Re in np.linspace(100.0, 260.0, 500)]
    assert np.all(np.diff(drops) > 0.0)


@pytest.mark.by_hand("j = 0.0836*1000^-0.2309*0.2^0.1284*1^-0.153*4^-0.326; f = 1.16*1000^-0.309*0.2^0.3703*4^-0.1152")
def test_wavy() -> None:
    """ln j = -2.4817 - 1.5950 - 0.2067 - 0.4519; ln f = 0.1484 - 2.1345 - 0.5960 - 0.1597."""
    shape = (1.6 * MM, 8.0 * MM, 1.6 * MM, 40 * MM, 10 * MM)
    assert fins.wavy_j_junqi_2007(*shape, 1000.0) == pytest.approx(math.exp(-4.7353), rel=2e-4)
    assert fins.wavy_f_junqi_2007(*shape, 1000.0) == pytest.approx(math.exp(-2.7418), rel=2e-4)


@pytest.mark.by_hand("tanh(ml) / ml by the library's tanh, from fins that lose nothing to fins that lose all")
@pytest.mark.parametrize("ml", [1e-7, 1e-4, 0.0099999, 0.0100001, 0.3, 1.2, 5.0, 40.0])
def test_fin_efficiency(ml: float) -> None:
    k, df, D, Fl = 180.0, 1e-4, 0.05, 0.008
    h = (2.0 * ml / Fl) ** 2 * k * df / 2.0 / (1.0 + df / D)
    assert fins.fin_efficiency(h, k, df, D, Fl) == pytest.approx(math.tanh(ml) / ml, rel=1e-12)


@pytest.mark.law("a thick fin works whole; a limp one not at all; still air leaves it whole")
def test_fin_efficiency_limits() -> None:
    assert fins.fin_efficiency(0.0, 180.0, 1e-4, 0.05, 0.008) == 1.0
    assert fins.fin_efficiency(1e-9, 180.0, 1e-4, 0.05, 0.008) == pytest.approx(1.0)
    assert fins.fin_efficiency(1e7, 180.0, 1e-4, 0.05, 0.008) < 0.01
