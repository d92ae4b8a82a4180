"""A job as a drive: it settles where the pack balances, routes are what they were, the command says it."""

import json
import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from shroudwright.bench.errors import InputError
from shroudwright.control.plan import MAP, Plan
from shroudwright.control.settings import Line, Settings
from shroudwright.job.circuits import circuits_of
from shroudwright.job.drive import Case
from shroudwright.job.driving import (
    Level,
    _instead,
    circuit_at,
    controls_of,
    course_of,
    engine_speed,
    levels_of,
    networks,
    shed_of,
)
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import flatten, glycol_of
from shroudwright.job.heat_load import heat_load
from shroudwright.job.priors import priors, words
from shroudwright.job.schedules import ROUTES, read_route, route
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.drive import Schedule, simulate
from shroudwright.pack.drive_tables import Circuit, Shed
from shroudwright.pack.kernel import solve_batch
from shroudwright.uncertain.draws import draw
from tests.checks import row
from tests.jobs import SMALL

MILE = 1609.344
ALWAYS = Plan(on_1=200.0, off_1=190.0, on_2=201.0, off_2=191.0)


@cache
def made() -> tuple[Filled, Circuit, Shed]:
    job = parse_job(SMALL.encode(), "small.job.toml")
    filled = Filled(job, draw(priors(job), 2), {path: word.value for path, word in words(job).items()})
    circuits = circuits_of(filled)
    circuit = circuit_at(filled, circuits)
    return filled, circuit, shed_of(filled, ALWAYS, circuits, circuit.flow, has_cooling=False)


@pytest.mark.published("US federal schedules: distance and top speed, 40 CFR 86 App. I and 600 App. I, from memory")
@pytest.mark.row("DU10", "DU11", "DU12", "DU13")
@pytest.mark.parametrize(("name", "far", "fast"), [("city", "DU10", "DU11"), ("highway", "DU12", "DU13")])
def test_published_routes(name: str, far: str, fast: str) -> None:
    made_route = route(name)
    assert row(far).accepts(made_route.distance / MILE)
    assert row(fast).accepts(made_route.speed.max() / 0.44704)
    assert np.diff(made_route.speed).max() < 3.0


@pytest.mark.law("with nothing changing a drive settles within 0.01 K of the balanced pack, open and regulated")
@pytest.mark.parametrize(("speed", "heat"), [(0.0, 9e3), (0.0, 20e3), (12.0, 24e3), (27.0, 14e3), (27.0, 45e3)])
def test_settles_where_the_pack_balances(speed: float, heat: float) -> None:
    filled, circuit, shed = made()
    rpm = float(engine_speed(filled, np.array([speed]))[0])
    steps = 5400
    held = Schedule(1.0, *(np.full(steps, each) for each in (heat, rpm, speed, 0.0)))
    net = networks(filled, np.ones(1), np.ones(1), 900.0, 368.0)
    # The thermostat's play and lag have no part in a balance; on a cold fast road they let it hunt.
    net["play"], net["cold_factor"], net["wax_lag"], net["valve_lag"] = 0.0, 1.0, 1.0, 0.5
    ran = simulate(net, shed, circuit, ALWAYS, held).outcome
    case = Case(name="drive", kind="cruise")
    values = {"speed": speed, "grade": 0.0, "engine_rpm": rpm}
    there = _instead(filled, case, values, cooled=False, count=1)
    params = flatten(there, 0, heat_load(there, 0), circuits_of(filled)).view(np.recarray)
    params.heat, params.limit = heat, math.nan
    params.source_volts = shed.volts[-1, int(np.searchsorted(shed.speeds, speed))]
    balanced = solve_batch(params, coolant_table(*glycol_of(filled)))
    assert ran["end"][0] == pytest.approx(float(balanced["coolant_in"][0]), abs=0.01)


def followed(control: str) -> tuple[Filled, Plan]:
    job = parse_job(f"{SMALL}\n[control]\n{control}\n".encode(), "small.job.toml")
    filled = Filled(job, draw(priors(job), 2), {path: word.value for path, word in words(job).items()})
    line = Line(365.0, 375.0) if filled.word("control.scheme") == "pwm module" else None
    return filled, controls_of(filled, Settings(370.0, 365.0, 375.0, 370.0, 383.0, 0.0, 368.0, (), line))


@pytest.mark.by_hand("45 mph 20.1 m/s, 6 mph 2.68 m/s; 220 degF 377.6 K; the rest as typed")
def test_controls_follow_what_is_typed() -> None:
    filled, plain = followed("")
    assert plain == Plan(
        on_1=370.0, off_1=365.0, on_2=375.0, off_2=370.0, cut_above=math.inf, cut_below=math.inf, hot=383
    )
    assert levels_of(filled, plain) == [Level(), Level(("A",)), Level(("A", "B"))]
    filled, typed = followed(
        'first_stage = ["B"]\nspeed_cut = "45 mph"\nhot = "220 degF"\nafter_run = "120 s"\nleast_on = "20 s"\n'
        'least_off = "10 s"\nair_conditioning_stage = "all"'
    )
    assert (typed.cut_above, typed.cut_above - typed.cut_below) == pytest.approx((20.117, 2.682), abs=1e-3)
    assert (typed.hot, typed.after_run, typed.least_on, typed.least_off) == pytest.approx(
        (377.594, 120, 20, 10), abs=1e-3
    )
    assert typed.air_conditioning == 2.0
    assert levels_of(filled, typed)[1] == Level(("B",))
    _, never = followed("hot_override = false\nair_conditioning_request = false")
    assert (never.hot, never.air_conditioning) == (math.inf, 0.0)
    filled, line = followed(
        'scheme = "pwm module"\nleast_duty = "35 %"\nramp = "5 %"\nair_conditioning_percent = "60 %"'
    )
    assert (line.way, line.start, line.full, line.least, line.ramp) == pytest.approx((MAP, 365.0, 375.0, 0.35, 0.05))
    assert line.air_conditioning == pytest.approx(0.6)
    assert levels_of(filled, line)[1] == Level(("A", "B"), 0.25)
    filled, pair = followed('scheme = "series and parallel"')
    assert levels_of(filled, pair) == [Level(), Level(("A", "B"), 0.5), Level(("A", "B"))]
    filled, switch = followed('scheme = "thermal switch"')
    assert levels_of(filled, switch) == [Level(), Level(("A", "B"))]


@pytest.mark.law("behind resistors a first stage is all fans on low: fewer amps and less heat shed than all on full")
def test_low_speed_of_resistors() -> None:
    filled, plan = followed('scheme = "resistor"')
    assert levels_of(filled, plan) == [Level(), Level(("A", "B"), is_low=True), Level(("A", "B"))]
    circuits = circuits_of(filled)
    shed = shed_of(filled, plan, circuits, circuit_at(filled, circuits).flow, has_cooling=False)
    # Amps go as the speed squared, 0.65 by default, and with the volts at the post.
    assert shed.amps[1] / shed.amps[2] == pytest.approx(0.65**2, rel=0.1)
    assert np.all(shed.drop[1, 0, 0, :, -1] < shed.drop[2, 0, 0, :, -1])
    assert np.all(shed.drop[1, 0, 0, :, -1] > shed.drop[0, 0, 0, :, -1])


@pytest.mark.law("heat rises with grade, speed and the A/C; standing it is the idle's; a stopped engine gives none")
def test_course() -> None:
    filled, _, _ = made()
    flat = read_route("time_s,speed_mph\n0,40\n300,40\n", "flat")
    steep = read_route("time_s,speed_mph,grade_percent\n0,40,5\n300,40,5\n", "steep")
    means = [course_of(filled, each, cooled=False).schedule.heat.mean() for each in (flat, steep)]
    assert means[1] > 1.5 * means[0]
    standing = course_of(filled, route("idle"), cooled=False).schedule
    assert standing.heat.min() == pytest.approx(standing.heat.max())
    restart = course_of(filled, route("hot restart"), cooled=False).schedule
    assert restart.heat[restart.rpm == 0.0].max() == 0.0
    assert restart.rpm.max() < 4000.0


@pytest.mark.behaviour("a builder's own file in mph or km/h with or without grade; every fault in it at once")
def test_own_file(tmp_path: Path) -> None:
    file = tmp_path / "pass.csv"
    file.write_text("time_s, speed_kmh, grade_percent\n0,0,0\n10,36,6\n")
    own = route(str(file))
    assert own.speed[-1] == pytest.approx(10.0)
    assert own.grade[-1] == pytest.approx(0.06)
    with pytest.raises(InputError) as error:
        read_route("time_s,speed_mph\n0,10\n0,11\n3,fast\n", "bad")
    assert error.value.faults == (
        "bad row 3: time 0 s does not come after 0 s",
        "bad row 4: a number is missing or not one",
    )
    with pytest.raises(InputError, match="no column time_s"):
        read_route("t,v\n0,1\n", "bad")
    with pytest.raises(InputError, match="route: 'mars' is not one of city, highway"):
        route("mars")
    with pytest.raises(InputError, match="check the columns' units"):
        read_route("time_s,speed_ms\n0,10\n5,300\n", "bad")
    with pytest.raises(InputError, match="cannot be read"):
        route(str(tmp_path / "none.csv"))


@pytest.mark.behaviour("every route known by name is a route: a value a second, speeds a car has, time for something")
@pytest.mark.parametrize("name", list(ROUTES))
def test_routes(name: str) -> None:
    known = route(name)
    assert known.name == name
    assert len(known.speed) == len(known.grade) == len(known.key_on) >= 600
    assert 0.0 <= known.speed.min() <= known.speed.max() < 60.0
    assert np.abs(known.grade).max() < 0.2


@pytest.mark.behaviour(
    "the command drives a job and says peak, starts and volts; JSON has the same; pictures are written"
)
def test_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from shroudwright.doors.driving import run

    file = tmp_path / "small.job.toml"
    file.write_text(SMALL)
    run(file, ["parade", "tow grade"], tmp_path / "out", as_json=False)
    said = capsys.readouterr().out
    assert "parade" in said
    assert "starts/h" in said
    assert "scalds" in said
    pictures = sorted(path.name for path in (tmp_path / "out").iterdir())
    assert pictures == ["drive_parade.svg", "drive_tow_grade.svg"]
    assert "<text" in (tmp_path / "out" / "drive_parade.svg").read_text()
    with pytest.raises(InputError, match=r"small\.job\.toml: cannot be written"):
        run(file, ["parade"], file, as_json=False)
    run(file, ["parade"], None, as_json=True)
    answer = json.loads(capsys.readouterr().out)
    (parade,) = answer["drives"]
    assert parade["route"] == "parade"
    assert parade["peak"]["low"] <= parade["peak"]["value"] <= parade["peak"]["high"]
    assert 0.0 <= parade["fan_share"]["value"] <= 1.0
    assert parade["distance"] > 1000.0
