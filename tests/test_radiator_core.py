"""The whole core: against the oracle, the reference's example core, laws, and refusals."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.materials import air
from shroudwright.materials.coolant import coolant
from shroudwright.radiator import core as room
from shroudwright.radiator.core import CoreRating, core_rating
from tests import oracle_radiator as oracle
from tests.checks import row

INCH = 0.0254
GPM = 6.30902e-5
FT_MIN = 0.00508
INH2O = 249.08891

# The reference's example core: 25 x 17 x 2.0 in, 2 rows of 0.875 in tubes, 15 fins per inch.
EXAMPLE: dict[str, Any] = {
    "fin": "louvered",
    "tube_length": 25 * INCH,
    "stack_height": 17 * INCH,
    "depth": 2 * INCH,
    "rows": 2,
    "tube_width": 0.875 * INCH,
    "tube_thickness": 0.002,
    "tube_wall": 0.00035,
    "fins_per_metre": 15 / INCH,
    "fin_height": 0.008,
    "fin_thickness": 0.0001,
    "fin_conductivity": 180.0,
    "louver_pitch": 0.0012,
    "louver_angle": math.radians(27),
    "louver_length_share": 0.85,
    "passes": 1,
}
COPPER_BRASS = {"fin_conductivity": 350.0, "fin_thickness": 6e-5, "tube_wall": 1.5e-4}


def example(
    face: float = 1000.0,
    gpm: float = 40.0,
    glycol: Any = "MEG",
    x: float = 0.5,
    pressure: float = 101325.0,
    **changes: Any,
) -> CoreRating:
    """Rate the example core at a face speed in ft/min, coolant in at 95 C, air in at 35 C."""
    core = EXAMPLE | changes
    face_area = core["tube_length"] * core["stack_height"]
    return core_rating(
        **core,
        air_mass_flow=air.density(pressure, 308.15, 0.0) * face * FT_MIN * face_area,
        air_in=308.15,
        air_pressure=pressure,
        glycol=glycol,
        glycol_volume_fraction=x,
        coolant_mass_flow=gpm * GPM * coolant(glycol, x, 368.15).density,
        coolant_in=368.15,
    )


def draw(rng: np.random.Generator) -> tuple[oracle.Case, dict[str, Any]]:
    """Return one random core and flows, for the oracle and for the package."""
    rows = int(rng.integers(1, 4))
    depth = rng.uniform(0.016, 0.057)
    Fl, Dm = rng.uniform(6.5, 10) * 1e-3, rng.uniform(1.6, 2.6) * 1e-3
    glycol, x = [("MEG", rng.uniform(0.2, 0.7)), ("MPG", rng.uniform(0.2, 0.7)), ("water", 0.0)][rng.integers(3)]
    fin = room.FINS[rng.integers(3)]
    T_coolant = rng.uniform(345.0, 390.0)
    pressure = oracle.pressure(rng.uniform(0.0, 3500.0))
    L, S = rng.uniform(0.35, 0.9), rng.uniform(0.25, 0.6)
    T_air = rng.uniform(265.0, 320.0)
    case = oracle.Case(
        fin=fin,
        L=L,
        S=S,
        D=depth,
        Nr=rows,
        w=0.9 * depth / rows if rows > 1 else depth,
        Dm=Dm,
        tw=rng.uniform(0.15, 0.45) * 1e-3,
        Fp=INCH / rng.uniform(9, 24),
        Fl=Fl,
        df=rng.uniform(0.06, 0.13) * 1e-3,
        k=rng.uniform(150, 350),
        Lp=rng.uniform(0.9, 1.7) * 1e-3,
        theta=rng.uniform(20, 32),
        Ll=rng.uniform(0.75, 0.92) * Fl,
        passes=int(rng.integers(1, 4)),
        m_air=pressure / (287 * T_air) * rng.uniform(1.0, 10.0) * L * S,
        T_air=T_air,
        P=pressure,
        glycol=glycol,
        x=x,
        m_coolant=10 ** rng.uniform(-0.7, 0.7),
        T_coolant=T_coolant,
    )
    mine = {
        "fin": fin,
        "tube_length": case.L,
        "stack_height": case.S,
        "depth": case.D,
        "rows": case.Nr,
        "tube_width": case.w,
        "tube_thickness": case.Dm,
        "tube_wall": case.tw,
        "fins_per_metre": 1 / case.Fp,
        "fin_height": case.Fl,
        "fin_thickness": case.df,
        "fin_conductivity": case.k,
        "louver_pitch": case.Lp,
        "louver_angle": math.radians(case.theta),
        "louver_length_share": case.Ll / case.Fl,
        "passes": case.passes,
        "air_mass_flow": case.m_air,
        "air_in": case.T_air,
        "air_pressure": case.P,
        "glycol": glycol,
        "glycol_volume_fraction": x,
        "coolant_mass_flow": case.m_coolant,
        "coolant_in": case.T_coolant,
    }
    return case, mine


@pytest.mark.independent("ht, fluids, CoolProp and scipy, same relations coded apart")
def test_against_the_oracle() -> None:
    """500 random cores: heat within 0.5 %, pressure losses within 1 %, every regime met."""
    rng = np.random.default_rng(20)
    seen: dict[object, int] = {}
    for _ in range(500):
        case, mine = draw(rng)
        wanted, got = oracle.rate(case), core_rating(**mine)
        assert got.heat == pytest.approx(wanted.heat, rel=0.005), case
        assert got.air_pressure_drop == pytest.approx(wanted.air_pressure_drop, rel=0.01), case
        assert got.coolant_pressure_drop == pytest.approx(wanted.coolant_pressure_drop, rel=0.01), case
        regime = ("laminar", "between", "turbulent")[(wanted.coolant_Re > 2300) + (wanted.coolant_Re > 4000)]
        for key in (case.fin, case.passes, case.glycol, regime):
            seen[key] = seen.get(key, 0) + 1
    assert len(seen) == 12
    assert min(seen.values()) >= 50


@pytest.mark.independent("scalar rating of the reference page, same equations; 400 to 2000 ft/min")
@pytest.mark.parametrize(
    ("face", "kilowatts", "inh2o"),
    [(400, 33.0, 0.17), (700, 49.9, 0.41), (1000, 63.0, 0.68), (1500, 79.6, 1.24), (2000, 92.1, 1.91)],
)
def test_example_core(face: float, kilowatts: float, inh2o: float) -> None:
    """Ours reads 0.1 to 0.3 % less heat and about 1 % more pressure: fin feet come off bare tube only."""
    got = example(face)
    assert got.heat / 1e3 == pytest.approx(kilowatts, rel=0.004)
    assert got.air_pressure_drop / INH2O == pytest.approx(inh2o, rel=0.01, abs=0.005)


@pytest.mark.independent("scalar rating of the reference page: change against the example core, percent")
@pytest.mark.parametrize(
    ("changes", "percent"),
    [
        ({"gpm": 10}, -28),
        ({"gpm": 20}, -19),
        ({"gpm": 60}, 7),
        ({"gpm": 80}, 10),
        ({"passes": 2}, 7),
        ({"glycol": "water", "x": 0.0}, 8.1),
        ({"glycol": "MPG"}, -2.3),
        ({"x": 0.574}, -4.5),
        ({"x": 0.6}, -6.7),
        ({"x": 0.7}, -18),
        ({"fins_per_metre": 10 / INCH}, -16),
        ({"fins_per_metre": 12 / INCH}, -9),
        ({"fins_per_metre": 18 / INCH}, 7),
        ({"fins_per_metre": 22 / INCH}, 14),
    ],
    ids=str,
)
def test_heat_against_the_example(changes: dict[str, Any], percent: float) -> None:
    assert 100 * (example(**changes).heat / example().heat - 1) == pytest.approx(percent, abs=0.6)


@pytest.mark.independent("scalar rating of the reference page: pressure against the example core, percent")
@pytest.mark.parametrize(("per_inch", "percent"), [(10, -40), (12, -25), (18, 30), (22, 81)])
def test_fin_count_and_pressure(per_inch: int, percent: float) -> None:
    more = example(fins_per_metre=per_inch / INCH).air_pressure_drop / example().air_pressure_drop
    assert 100 * (more - 1) == pytest.approx(percent, abs=0.6)


@pytest.mark.independent("scalar rating of the reference page: core thickness")
@pytest.mark.parametrize(
    ("depth", "rows", "width", "kilowatts", "inh2o"),
    [
        (1.0, 1, 1.0, 49.6, 0.38),
        (1.25, 1, 1.25, 54.5, 0.47),
        (1.5, 1, 1.5, 58.2, 0.55),
        (2.75, 2, 1.25, 63.8, 0.93),
    ],
)
def test_core_thickness(depth: float, rows: int, width: float, kilowatts: float, inh2o: float) -> None:
    got = example(depth=depth * INCH, rows=rows, tube_width=width * INCH)
    assert got.heat / 1e3 == pytest.approx(kilowatts, rel=0.003)
    assert got.air_pressure_drop / INH2O == pytest.approx(inh2o, rel=0.015)


@pytest.mark.independent("scalar rating of the reference page: fin and metal, kW and Pa")
@pytest.mark.parametrize(
    ("changes", "kilowatts", "pascal"),
    [
        ({}, (62.5, 63.5), (168, 172)),
        (COPPER_BRASS, (61.2, 61.9), (187, 191)),
        ({"fin": "plain"}, (40, 42.2), (43, 47.5)),
        ({"fin": "plain"} | COPPER_BRASS, (40, 42.2), (43, 47.5)),
        ({"fin": "wavy"}, (43, 45.5), (126, 140)),
        ({"fin": "wavy"} | COPPER_BRASS, (43, 45.5), (126, 140)),
    ],
    ids=str,
)
def test_fin_and_metal(changes: dict[str, Any], kilowatts: Any, pascal: Any) -> None:
    """Wavy in copper-brass reads 127 Pa where the page says 130: its wave is not given there."""
    got = example(**changes)
    assert kilowatts[0] <= got.heat / 1e3 <= kilowatts[1]
    assert pascal[0] <= got.air_pressure_drop <= pascal[1]


@pytest.mark.independent("scalar rating of the reference page: two passes, 7.1 to 51 kPa; bore 2.48 mm")
def test_passes_cost_coolant_pressure() -> None:
    assert example().coolant_pressure_drop == pytest.approx(7100, rel=0.01)
    assert example(passes=2).coolant_pressure_drop == pytest.approx(51000, rel=0.01)


@pytest.mark.independent("scalar rating of the reference page: 1000, 2000, 3000 m at one face speed")
@pytest.mark.parametrize(
    ("altitude", "heat", "drop"), [(1000, 0.927, 0.948), (2000, 0.856, 0.898), (3000, 0.786, 0.852)]
)
def test_altitude(altitude: float, heat: float, drop: float) -> None:
    here, high = example(), example(pressure=air.pressure_at_altitude(altitude))
    assert high.heat / here.heat == pytest.approx(heat, abs=0.0015)
    assert high.air_pressure_drop / here.air_pressure_drop == pytest.approx(drop, abs=0.003)


@pytest.mark.independent("scalar rating of the reference page: one unknown at a time, percent of heat and air drop")
@pytest.mark.parametrize(
    ("changes", "heat", "drop"),
    [
        ({"louver_pitch": 0.0009}, 1.9, 10),
        ({"louver_pitch": 0.0017}, -2.4, -13),
        ({"louver_angle": math.radians(20)}, -3.1, -6),
        ({"louver_angle": math.radians(32)}, 1.7, 3),
        ({"fin_thickness": 6e-5}, -1.2, 11),
        ({"fin_thickness": 1.3e-4}, 0.4, -1),
        ({"fin_height": 0.0065}, -2.2, 5),
        ({"fin_height": 0.010}, 0.8, -5),
        ({"tube_thickness": 0.0016}, 4.3, -12),
        ({"tube_thickness": 0.0026}, -5.4, 23),
        ({"louver_length_share": 0.75}, -3.2, -11),
        ({"louver_length_share": 0.92}, 2.0, 8),
        ({"fin_conductivity": 150.0}, -0.6, 0),
        ({"fin_conductivity": 215.0}, 0.5, 0),
        ({"tube_wall": 0.00025}, -1.6, 0),
        ({"tube_wall": 0.00045}, 1.7, 0),
    ],
    ids=str,
)
def test_unknowns(changes: dict[str, Any], heat: float, drop: float) -> None:
    base, got = example(), example(**changes)
    assert 100 * (got.heat / base.heat - 1) == pytest.approx(heat, abs=0.4)
    assert 100 * (got.air_pressure_drop / base.air_pressure_drop - 1) == pytest.approx(drop, abs=1.0)


@pytest.mark.practice("air effectiveness of a 2 in louvered core 0.55 to 0.90; louvered j/f 0.2 to 0.3")
@pytest.mark.parametrize("face", [400, 700, 1000, 1400])
def test_anchor_effectiveness(face: float) -> None:
    got = example(face)
    assert 0.55 < got.effectiveness < 0.90
    assert 0.2 < got.j / got.f < 0.3


@pytest.mark.by_hand("31.2 kW/ft2 of the page at 2000 ft/min over 2 x 32.7 kW/ft2 at effectiveness 1 = 0.477")
def test_effectiveness_leaves_the_anchor_in_fast_air() -> None:
    """The anchor is said to run to 2000 ft/min; the page's own heat there is 0.477 of the most possible."""
    assert example(2000).effectiveness == pytest.approx(0.477, abs=0.003)


@pytest.mark.law("energy closes on both streams; no heat without a difference; colder coolant takes heat in")
@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10_000), st.floats(255.0, 400.0))
def test_energy(seed: int, coolant_in: float) -> None:
    _, mine = draw(np.random.default_rng(seed))
    mine["coolant_in"] = coolant_in
    got = core_rating(**mine)
    cp_air = air.specific_heat((mine["air_in"] + got.air_out) / 2, 0.0)
    mean = (coolant_in + got.coolant_out) / 2
    cp = coolant(mine["glycol"], mine["glycol_volume_fraction"], mean).specific_heat
    assert mine["air_mass_flow"] * cp_air * (got.air_out - mine["air_in"]) == pytest.approx(got.heat, rel=1e-9)
    assert mine["coolant_mass_flow"] * cp * (coolant_in - got.coolant_out) == pytest.approx(got.heat, rel=1e-9)
    assert got.heat == 0.0 or math.copysign(1, got.heat) == math.copysign(1, coolant_in - mine["air_in"])
    assert core_rating(**mine | {"coolant_in": mine["air_in"]}).heat == 0.0


@pytest.mark.law("more air, more coolant, more depth: more heat; more air: more pressure")
@settings(deadline=None, max_examples=60)
@given(st.integers(0, 10_000))
def test_more_gives_more(seed: int) -> None:
    _, mine = draw(np.random.default_rng(seed))
    got = core_rating(**mine)
    more_air = core_rating(**mine | {"air_mass_flow": 1.1 * mine["air_mass_flow"]})
    assert more_air.heat > got.heat
    assert more_air.air_pressure_drop > got.air_pressure_drop
    more_coolant = core_rating(**mine | {"coolant_mass_flow": 1.1 * mine["coolant_mass_flow"]})
    assert more_coolant.heat > got.heat
    assert more_coolant.coolant_pressure_drop > got.coolant_pressure_drop


@pytest.mark.law("a core twice as wide in air and coolant is two cores side by side, but for one gap of fin")
def test_two_cores_side_by_side() -> None:
    pitch = EXAMPLE["fin_height"] + EXAMPLE["tube_thickness"]
    one = example(stack_height=100.5 * pitch + EXAMPLE["fin_height"])
    two = example(stack_height=200.5 * pitch + EXAMPLE["fin_height"], gpm=80)
    assert two.heat / one.heat == pytest.approx(2.0, rel=0.01)
    assert two.coolant_pressure_drop == pytest.approx(one.coolant_pressure_drop, rel=0.01)


@pytest.mark.by_hand("25 in along, 17 in stack, 10 mm pitch: floor((431.8 - 8)/10) = 42 tubes a row, 43 gaps, 375 legs")
@pytest.mark.row("HX-P6")
def test_surface_and_film() -> None:
    core = room.Core(0.0, *[float(EXAMPLE[name]) for name in room.Core._fields[1:]])
    made = room.surface(core)
    assert made.tubes == 84
    assert made.fin_area == pytest.approx(43 * 375 * 2 * 0.008 * 0.0508)
    assert made.free_area == pytest.approx(43 * 0.008 * (0.635 - 375 * 0.0001))
    assert made.bore_diameter == pytest.approx(0.00248078, abs=1e-8)
    assert made.coolant_area == pytest.approx(84 * 0.635 * (2 * 20.225e-3 + math.pi * 1.3e-3))
    assert made.air_diameter == pytest.approx(4 * made.free_area * 0.0508 / made.air_area)

    def film(j: float, G: float, cp: float, Pr: float) -> float:
        return j * G * cp * Pr ** (-2 / 3)

    item = row("HX-P6")
    rho, u, sigma, cp, Pr, j = (item.inputs[key] for key in ("rho", "u", "sigma", "cp", "Pr", "StPr23"))
    assert item.accepts(film(j, rho * u / sigma, cp, Pr))
    side = room.air_side(core, made, 1.6, 320.0, 0.0)
    cp, mu, k = air.specific_heat(320.0, 0.0), air.viscosity(320.0), air.conductivity(320.0)
    h = film(side.j, 1.6 / made.free_area, cp, cp * mu / k)
    ml = math.sqrt(2 * h / (180.0 * 1e-4) * (1 + 1e-4 / 0.0508)) * 0.004
    eta = 1 - made.fin_area / made.air_area * (1 - math.tanh(ml) / ml)
    assert side.eta_h_A == pytest.approx(eta * h * made.air_area)


@pytest.mark.by_hand("1/UA: air 1/1000, coolant 1/2000, wall 0.0003/(100 A): the wall adds well under 0.5 %")
def test_ua() -> None:
    core = room.Core(0.0, *[float(EXAMPLE[name]) for name in room.Core._fields[1:]])
    made = room.surface(core)
    wall = 0.00035 / (180.0 * made.wall_area)
    UA = room.ua(core, made, 3000.0, 6000.0)
    assert pytest.approx(1 / (1 / 3000 + 1 / 6000 + wall)) == UA
    assert 0.995 < UA / 2000.0 < 1.0


@pytest.mark.law("still air and still coolant: nothing passes, nothing breaks")
@pytest.mark.parametrize("fin", [0.0, 1.0, 2.0])
def test_still(fin: float) -> None:
    core = room.Core(fin, *[float(EXAMPLE[name]) for name in room.Core._fields[1:]])
    made = room.surface(core)
    side = room.air_side(core, made, 0.0, 320.0, 0.0)
    assert side.eta_h_A >= 0.0
    assert room.air_pressure_drop(core, made, side.f, 0.0, 1.1, 1.0) == 0.0
    assert room.coolant_side(core, made, 0.0, 1000.0, 3600.0, 0.4, 8e-4).h_A > 0.0
    assert room.coolant_pressure_drop(core, made, 0.0, 1000.0, 8e-4) == 0.0


@pytest.mark.behaviour("every impossible input is named in one go")
def test_refusals() -> None:
    good = {
        "air_mass_flow": 1.5,
        "air_in": 308.15,
        "air_pressure": 1e5,
        "glycol": "brine",
        "glycol_volume_fraction": 0.5,
        "coolant_mass_flow": 2.0,
        "coolant_in": 368.15,
    }
    with pytest.raises(InputError) as caught:
        core_rating(**EXAMPLE | {"fin": "dimpled", "depth": -0.05, "passes": 0} | good)
    words = "\n".join(caught.value.faults)
    for part in (
        "'dimpled' is not one of louvered",
        "depth must be above zero, not -0.05",
        "passes must",
        "'brine'",
    ):
        assert part in words
    for changes, part in (
        ({"tube_thickness": 0.03}, "must be less than tube_width"),
        ({"tube_wall": 0.001}, "leaves no bore"),
        ({"rows": 4}, "do not fit in a depth of 50.8 mm"),
        ({"fin_thickness": 0.002}, "leave no gap"),
        ({"stack_height": 0.017}, "no tube fits"),
        ({"louver_angle": 27.0}, "less than a right angle"),
        ({"louver_length_share": 8.5}, "must not be above 1"),
        ({"rows": 1.5}, "rows must be a whole number, not 1.5"),
    ):
        with pytest.raises(InputError, match=part):
            core_rating(**EXAMPLE | changes | good | {"glycol": "MEG"})


@pytest.mark.behaviour("outside the data is told in words")
def test_flags() -> None:
    core = room.Core(0.0, *[float(EXAMPLE[name]) for name in room.Core._fields[1:]])
    assert room.range_flags(core, 400.0) == ()
    assert len(room.range_flags(core._replace(depth=2.75 * INCH), 4000.0)) == 2
    assert room.range_flags(core._replace(fin=1.0, depth=0.07), 4000.0) == ()
    assert any("low confidence" in flag for flag in room.range_flags(core._replace(fin=2.0), 1000.0))
