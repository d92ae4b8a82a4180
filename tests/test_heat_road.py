import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.heat.road import (
    brake_power,
    converter_power,
    gravity_power,
    road_load,
    stop_go_power,
    tractive_force,
)

HP = 745.69987
LB = 0.45359237
MPH = 0.44704


def road_power(mass: float, drag_area: float, speed: float) -> float:
    return tractive_force(mass, drag_area, 0.012, 1.2, speed, 0.0, 0.0, 1.04) * speed


ROAD_LOAD_HP_AT_60 = [
    ("car", 3000, 0.58, 14.0, 19.1),
    ("car", 4000, 0.65, 15.4, 23.7),
    ("car", 5000, 0.70, 17.9, 26.3),
    ("truck", 5000, 1.05, 21.8, 29.3),
    ("truck", 6000, 1.20, 26.4, 36.9),
]


@pytest.mark.published("US EPA test-car list 2022, road load at 60 mph, 10 % to 90 % of tests per weight class")
@pytest.mark.parametrize(("kind", "pounds", "drag_area", "low", "high"), ROAD_LOAD_HP_AT_60)
def test_ordinary_bodies_lie_among_measured_road_loads(
    kind: str, pounds: float, drag_area: float, low: float, high: float
) -> None:
    assert low < road_power(pounds * LB, drag_area, 60.0 * MPH) / HP < high


@pytest.mark.published("the same list, cars of 3500 to 4500 lb: 15.4 to 23.7 hp at 60 mph")
def test_the_demonstration_vehicle_lies_among_them() -> None:
    assert 15.4 < road_power(1800.0, 0.80, 60.0 * MPH) / HP < 23.7


@pytest.mark.by_hand("1815 kg at 20 m/s on 6 % : 1815 x 9.80665 x 20 x 0.06 / sqrt(1.0036) = 21.32 kW")
def test_gravity_power() -> None:
    assert gravity_power(1815.0, 20.0, 0.06) == pytest.approx(21.32e3, rel=1e-3)


@pytest.mark.law("a pull on a grade is gravity plus the level pull on a little less weight")
@given(st.floats(800.0, 6000.0), st.floats(1.0, 35.0), st.floats(-0.12, 0.12))
def test_grade_splits(mass: float, speed: float, grade: float) -> None:
    cosine = math.cos(math.atan(grade))
    climbing = tractive_force(mass, 0.8, 0.012, 1.2, speed, grade, 0.0, 1.04)
    level = tractive_force(mass, 0.8, 0.012, 1.2, speed, 0.0, 0.0, 1.04)
    rolling_saved = mass * 9.80665 * 0.012 * (1.0 - cosine)
    assert climbing * speed == pytest.approx(
        gravity_power(mass, speed, grade) + (level - rolling_saved) * speed, rel=1e-9, abs=1e-6
    )


@pytest.mark.law("downhill the engine still drives its accessories")
def test_a_pushed_engine_makes_only_accessory_power() -> None:
    load = road_load(1800.0, 0.8, 0.012, 1.2, 20.0, -0.08, 0.0, 1.04, 0.85, 2500.0)
    assert load.tractive_force < 0.0
    assert load.brake_power == 2500.0
    assert brake_power(-100.0, 20.0, 0.85, 2500.0) == 2500.0


@pytest.mark.by_hand(
    "1800 kg to 6 m/s every 30 s, 0.6 moving: launches 1.2 x 1800 x 36 / 60 = 1296 W; "
    "drag (0.5 x 1.2 x 0.8 x 9 + 1800 x 9.80665 x 0.012) x 3 x 0.6 = 389.1 W; /0.8 + 1000 = 3106 W"
)
def test_stop_and_go() -> None:
    power = stop_go_power(1800.0, 0.8, 0.012, 1.2, 6.0, 30.0, 0.6, 1.2, 0.8, 1000.0)
    assert power == pytest.approx(3106.0, abs=1.0)


@pytest.mark.law("integrating the saw-tooth second by second asks for no more, and for nine tenths at least")
@given(st.floats(3.0, 12.0), st.floats(0.3, 0.9))
def test_stop_and_go_bounds_the_saw_tooth(top_speed: float, moving_share: float) -> None:
    cycle_time = 40.0
    half = 0.5 * moving_share * cycle_time
    t = np.linspace(0.0, half, 4001)
    force = tractive_force(1800.0, 0.8, 0.012, 1.2, top_speed * t / half, 0.0, top_speed / half, 1.1)
    driving = np.trapezoid(force * top_speed * t / half, t) / cycle_time
    braking_drag = 0.5 * moving_share * 1800.0 * 9.80665 * 0.012 * 0.5 * top_speed
    mean = stop_go_power(1800.0, 0.8, 0.012, 1.2, top_speed, cycle_time, moving_share, 1.1, 1.0, 0.0)
    assert driving <= mean * 1.01
    assert mean <= (driving + braking_drag) * 1.01


@pytest.mark.independent("separate prototype: about 34 N m and 2.5 kW at 700 rpm, stall 2400 rpm and 400 N m")
def test_converter_at_rest_in_gear() -> None:
    held = converter_power(700.0, 2400.0, 400.0)
    assert held.torque == pytest.approx(34.0, abs=0.5)
    assert held.power == pytest.approx(2.5e3, abs=50.0)


@pytest.mark.law("draws give what each number gives alone")
def test_road_load_takes_draws() -> None:
    mass = np.array([1500.0, 1800.0, 2100.0])
    grade = np.array([-0.05, 0.0, 0.05])
    load = road_load(mass, 0.8, 0.012, 1.2, 20.0, grade, 0.0, 1.04, 0.85, 2500.0)
    for i in range(3):
        alone = road_load(mass[i], 0.8, 0.012, 1.2, 20.0, grade[i], 0.0, 1.04, 0.85, 2500.0)
        assert (load.tractive_force[i], load.brake_power[i]) == alone
