"""A plenum's two small tables against full solves of the field, alone and inside the pack."""

from typing import Any, NamedTuple

import numpy as np
import pytest
from scipy.optimize import brentq

from shroudwright.job.circuits import circuits_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import flatten
from shroudwright.job.heat_load import heat_load
from shroudwright.job.leaks import with_leaks
from shroudwright.job.nearby import near_of, seen_of, written
from shroudwright.job.plenum import STANDARD_LAW, behind_of, march_of
from shroudwright.job.priors import priors, words
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack import air_path
from shroudwright.pack.cells import QUICK_CELLS, Blowers, Cells, Law
from shroudwright.pack.field import common_rise, solve_field
from shroudwright.pack.kernel import solve_batch
from shroudwright.pack.near import key_ahead, loss_near, ratio_near, standing_near
from shroudwright.pack.plenum import (
    CORE_LOSSES,
    SHARES,
    SPEEDS,
    March,
    Tables,
    even,
    heat_ratio,
    heat_ratio_at,
    loss_at,
    spread_of,
    tables_of,
)
from shroudwright.pack.solve import balance_air
from shroudwright.uncertain.draws import draw
from tests.jobs import changed
from tests.oracle_field import even_march
from tests.plenums import BASE, blowers, standing, two_fans

CAPACITY = BASE.density * 1006.0
MARCH = March(True, 1, 1.2 * CAPACITY * 3.0, 0.55, 0.15, 4000.0, CAPACITY)


class State(NamedTuple):
    """A core, its air and the fans at work."""

    law: Law
    fans: Blowers


def states(count: int, seed: int, speeds: tuple[float, float] = (1.0, 1.0), stopped: float = 0.0) -> list[State]:
    """Core loss x 0.5 to 2, fans x 0.6 to 1.6 in pressure, 0 to 3000 m, half to full volts, ram 0 to 250 Pa."""
    random, found = np.random.default_rng(seed), []
    for _ in range(count):
        thin = float(np.exp(-random.uniform(0.0, 3000.0) / 9000.0))
        core = 1.0 if random.random() < 1.0 / 3.0 else random.uniform(0.5, 2.0)
        ram = random.uniform(0.0, 250.0) if random.random() < 1.0 / 3.0 else 0.0
        law = BASE._replace(
            linear=BASE.linear * core, square=BASE.square * core * thin, density=BASE.density * thin, ahead=ram
        )
        turn = random.uniform(0.5, 1.0) * np.array(speeds)[:, np.newaxis]
        fans = blowers(points=201, stopped=(0.0, stopped * thin))
        found.append(
            State(
                law,
                fans._replace(
                    flow=fans.flow * turn, pressure=fans.pressure * turn**2 * thin * random.uniform(0.6, 1.6)
                ),
            )
        )
    return found


def by_field(cells: Cells, state: State) -> tuple[float, float]:
    """Mean face speed and heat ratio from a full solve."""
    field = solve_field(cells, state.law, state.fans, tolerance=1e-6)
    assert field.has_settled
    found = spread_of(cells, state.law, state.fans, field)
    return found.face_velocity, heat_ratio(cells, field.speed, MARCH)


def by_tables(cells: Cells, tables: Tables, state: State) -> tuple[float, float]:
    """The same from one pressure balance and the tables."""
    law, face = state.law, float(cells.core.sum()) * cells.dx * cells.dy

    def key(V: float) -> tuple[float, float]:
        lost = law.linear * V + law.square * V**2
        return lost / (0.5 * law.density * V**2), law.linear * V / lost

    def left(V: float) -> float:
        k, share = key(V)
        rise = common_rise(state.fans, 0.0, V * face)
        return law.ahead + rise - (k + loss_at(tables.loss, k, share)) * 0.5 * law.density * V**2

    V = brentq(left, 0.02, 15.0, xtol=1e-9)
    return V, heat_ratio_at(tables.lost, *key(V), V)


def worst(cells: Cells, tables: Tables, asked: list[State]) -> tuple[float, float]:
    """Largest error of air and of heat."""
    air, heat = [], []
    for state in asked:
        (V, ratio), (v, read) = by_field(cells, state), by_tables(cells, tables, state)
        level = [even_march(cells, np.full_like(cells.core, speed), BASE.density) for speed in (V, v)]
        air.append(abs(v / V - 1.0))
        heat.append(abs(level[1] * read / (level[0] * ratio) - 1.0))
    return max(air), max(heat)


@pytest.mark.law("two small tables give what a full solve gives: within 1 % of air and heat")
@pytest.mark.parametrize("depth", [0.5, 0.75, 1.0, 2.0])
def test_tables_stand_for_full_solves(depth: float) -> None:
    cells = two_fans(depth)
    tables, has_settled = tables_of(cells, blowers(points=201), MARCH, STANDARD_LAW)
    assert has_settled
    air, heat = worst(cells, tables, states(30, 1))
    assert air < 0.01
    assert heat < 0.01


@pytest.mark.law("fans a little unlike: like fans' tables are near enough")
@pytest.mark.parametrize(("second", "within"), [(0.95, 0.01), (0.8, 0.02)])
@pytest.mark.parametrize("depth", [0.5, 1.0, 2.0])
def test_unlike_fans_from_like_fans_tables(depth: float, second: float, within: float) -> None:
    cells = two_fans(depth)
    tables, has_settled = tables_of(cells, blowers(points=201), MARCH, STANDARD_LAW)
    assert has_settled
    assert max(worst(cells, tables, states(10, 2, (1.0, second)))) < within


def by_point(cells: Cells, at: State, asked: State) -> tuple[float, float]:
    """Mean face speed and heat ratio from one pressure balance, read about another state's own point."""
    law, face = asked.law, float(cells.core.sum()) * cells.dx * cells.dy
    point = seen_of(cells, at.law, at.fans, MARCH)
    about = near_of(cells, at.law, at.fans, MARCH, point, (at.law.ahead - 20.0, at.law.ahead + 20.0))
    (loss, lost), (record,) = written(about, about.point.ahead, np.zeros((1, 5)))
    turns = asked.fans.stopped == 0.0
    running = Blowers(*(part[turns] for part in asked.fans))

    def key(V: float) -> tuple[float, float, float]:
        drop = law.linear * V + law.square * V**2
        return drop / (0.5 * law.density * V**2), law.linear * V / drop, key_ahead(record, law.ahead / drop)

    def left(V: float) -> float:
        k = key(V)
        rise = common_rise(running, 0.0, (1.0 - standing_near(record, *k)) * V * face)
        return law.ahead + rise - (k[0] + loss_near(loss[0], record, *k)) * 0.5 * law.density * V**2

    V = brentq(left, 0.1, 15.0, xtol=1e-9)
    return V, ratio_near(lost[0], record, *key(V), V)


@pytest.mark.law(
    "unlike fans, or one standing: tables about the case's own point give what a full solve gives there within 1 % of "
    "air and heat; a tenth denser, stronger and faster, within 3 %"
)
@pytest.mark.parametrize("second", [0.8, 0.6, 0.0])
@pytest.mark.parametrize("depth", [0.5, 1.0, 2.0])
def test_tables_about_a_point(depth: float, second: float) -> None:
    cells = two_fans(depth)
    still = standing(cells, 1, 4.0, BASE.density) if second == 0.0 else 0.0
    for state in states(8, 2, (1.0, second or 1.0), still):
        law, fans = state
        other = State(
            law._replace(linear=1.1 * law.linear, square=1.1 * law.square, ahead=1.1 * law.ahead),
            fans._replace(pressure=1.1 * fans.pressure, stopped=1.02 * fans.stopped),
        )
        for asked, within in ((state, 0.01), (other, 0.03)):
            (V, ratio), (v, read) = by_field(cells, asked), by_point(cells, state, asked)
            level = [even_march(cells, np.full_like(cells.core, speed), BASE.density) for speed in (V, v)]
            assert v == pytest.approx(V, rel=within)
            assert level[1] * read == pytest.approx(level[0] * ratio, rel=within)


@pytest.mark.law("between its nodes a table holds nothing that they do not")
@pytest.mark.parametrize("depth", [0.5, 2.0])
def test_a_table_of_next_to_nothing_leads_nowhere(depth: float) -> None:
    cells = two_fans(depth)
    fans = blowers(points=201, stopped=(0.0, standing(cells, 1, 4.0, BASE.density)))
    tables, _ = tables_of(cells, fans, MARCH, STANDARD_LAW)
    between = np.geomspace(CORE_LOSSES[0], CORE_LOSSES[-1], 25)
    read = [loss_at(tables.loss, k, share) for k in between for share in SHARES]
    least, most = np.sinh(tables.loss.min()), np.sinh(tables.loss.max())
    assert all(least - 0.2 * (most - least) < K < most + 0.2 * (most - least) for K in read)
    assert all(0.5 < heat_ratio_at(tables.lost, k, SHARES[0], V) <= 1.0 for k in between for V in SPEEDS)


def filled(depth: str, *, flow: str = "1450 cfm", on: str = "", speed: str = "") -> Filled:
    """A wide core behind two fans, alike unless another flow of the second is given, everything else guessed."""
    swaps = (("width = 24.50", "width = 30"), ("1450 cfm, box", "1450 cfm, catalogue"))
    text = (
        changed(*swaps)
        .decode()
        .replace("[[cases]]", f'[shroud]\ntype = "full"\ndepth = "{depth}, measured"\n\n[[cases]]', 1)
    )
    second = 'blade = "14 in"\n\n[shroud]'
    text = text.replace(second, f'blade = "14 in"\nfree_flow = "{flow}, catalogue"\nrun_amps = "11 A, box"\n\n[shroud]')
    text = text.replace('kind = "idle"\n', f'kind = "idle"\n{on}\n')
    text = text.replace('kind = "grade"\n', f'kind = "grade"\n{on}\n' + (f'speed = "{speed}"\n' if speed else ""))
    job = parse_job(text.encode(), "x")
    return Filled(job, draw(priors(job), 1, 1), {path: word.value for path, word in words(job).items()})


def worked_out(job: Filled, p: Any, air: Any, table: Any) -> tuple[float, float]:
    """K and heat ratio from a full solve with the case's own fans at the air of a balance."""
    setup = air_path.setup_of(p)
    core_loss, share, V = air_path.core_key(p, setup, air.air, air.flow)
    density = air.air.density_out
    law = STANDARD_LAW._replace(
        linear=share * core_loss * 0.5 * density * V, square=(1.0 - share) * core_loss * 0.5 * density, density=density
    )
    behind = behind_of(job)
    assert behind is not None
    cells = behind.cells(QUICK_CELLS)
    _, speed = air_path.fans_of(p)
    turn = np.array([[speed[i]] for i in range(int(p.fan_count))])
    count = len(turn)
    fans = Blowers(
        p.fan_flow[:count] * p.fan_scale[:count, np.newaxis] * turn,
        p.fan_pressure[:count] * turn**2 * (density / p.fan_density[:count, np.newaxis]),
        p.fan_points[:count].astype(np.int64),
        np.zeros(count),
    )

    def off(ahead: float) -> float:
        state = law._replace(ahead=ahead)
        return spread_of(cells, state, fans, solve_field(cells, state, fans)).face_velocity - V

    state = law._replace(ahead=float(brentq(off, -150.0, 600.0, xtol=0.1)))
    field = solve_field(cells, state, fans)
    assert field.has_settled
    return spread_of(cells, state, fans, field).K, heat_ratio(cells, field.speed, march_of(job, p, table))


@pytest.mark.law("the pack with a plenum's tables, and with a full solve of the field inside its balance")
@pytest.mark.parametrize("index", [0, 1])
@pytest.mark.parametrize("name", ["1/2 in", "1 in", "2 in"])
def test_the_pack_reads_the_field(name: str, index: int) -> None:
    job = filled(name)
    table = coolant_table("MEG", 0.5)
    rows: Any = flatten(job, index, heat_load(job, index), circuits_of(job))[:1].view(np.recarray)
    read: Any = solve_batch(rows, table)[0]
    full = rows.copy()
    K, ratio = float(read.plenum_loss), float(read.heat_ratio)
    for _ in range(4):
        full.plenum_loss, full.unevenness = even(K, ratio)
        one = full[0]
        K, ratio = worked_out(job, one, balance_air(one, float(one.heat), float(one.ambient)), table)
    full.plenum_loss, full.unevenness = even(K, ratio)
    solved: Any = solve_batch(full, table)[0]
    assert read.air_flow == pytest.approx(solved.air_flow, rel=0.003)
    assert read.coolant_unregulated == pytest.approx(solved.coolant_unregulated, abs=0.2)


def in_balance(job: Filled, row: Any, flow: Any) -> tuple[float, float]:
    """Air over a balance's own, and heat ratio, where a full solve of the field stands in the pack's balance."""
    behind = behind_of(job)
    assert behind is not None
    cells, setup = with_leaks(behind.cells(QUICK_CELLS), row), air_path.setup_of(row)
    face, count = float(cells.core.sum()) * cells.dx * cells.dy, int(row.fan_count)
    speed = np.array(setup.speed[:count])
    turn = np.where(speed > 0.0, speed, 1.0)[:, np.newaxis]
    found: dict[str, float] = {}

    def off(times: float) -> float:
        flows = flow.copy()
        flows[air_path.DRAWN] *= times
        air = air_path.air_state(row, setup, float(row.heat), float(row.ambient), flows)
        k, share, V = air_path.core_key(row, setup, air, flows)
        density, lost = air.density_out, k * 0.5 * air.density_out * V**2
        over_face = air_path.zone_flow(row, flows, air_path.DRAWN) / density / face
        law = STANDARD_LAW._replace(
            linear=share * lost / over_face,
            square=(1.0 - share) * lost / over_face**2,
            density=density,
            ahead=air_path.ram(row, row.ambient) - air_path.front_and_exit(row, setup, air, air.total),
        )
        fans = Blowers(
            row.fan_flow[:count] * row.fan_scale[:count, np.newaxis] * turn,
            row.fan_pressure[:count] * turn**2 * (density / row.fan_density[:count, np.newaxis]),
            row.fan_points[:count].astype(np.int64),
            np.where(speed > 0.0, 0.0, 0.5 * row.fan_stopped_loss[:count] * density / row.fan_disc[:count] ** 2),
        )
        field = solve_field(cells, law, fans)
        assert field.has_settled
        found["ratio"] = heat_ratio(cells, field.speed, march_of(job, row, coolant_table("MEG", 0.5)))
        return spread_of(cells, law, fans, field).face_velocity / over_face - 1.0

    return float(brentq(off, 0.95, 1.05, xtol=1e-4)), found["ratio"]


STANDS, UNLIKE = {"on": 'fans_on = ["A"]'}, {"flow": "850 cfm"}


@pytest.mark.independent(
    "the pack with a full solve of the field inside its balance: one fan standing, and fans unlike"
)
@pytest.mark.parametrize("speed", ["", "20 mph", "50 mph"])
@pytest.mark.parametrize("given", [STANDS, UNLIKE], ids=["standing", "unlike"])
@pytest.mark.parametrize("depth", ["1/2 in", "1 in", "2 in"])
def test_a_case_of_its_own(depth: str, given: dict[str, str], speed: str) -> None:
    job, index = filled(depth, speed=speed, **given), 1 if speed else 0
    rows: Any = flatten(job, index, heat_load(job, index), circuits_of(job))[:1].view(np.recarray)
    balance = balance_air(rows[0], float(rows[0].heat), float(rows[0].ambient))
    times, ratio = in_balance(job, rows[0], balance.flow)
    read: Any = solve_batch(rows, coolant_table("MEG", 0.5))[0]
    print(
        f"{depth} {speed}: air {100 * (1 / times - 1):+.2f} %, heat ratio {100 * (read.heat_ratio / ratio - 1):+.2f} %"
    )
    assert read.air_mass_flow == pytest.approx(balance.air.total, rel=1e-6)
    assert times == pytest.approx(1.0, abs=0.005)
    assert read.heat_ratio == pytest.approx(ratio, rel=0.01)


@pytest.mark.by_hand("what leaves by the fan that stands is its share, at the loss of its annulus")
def test_a_standing_fans_own_flow() -> None:
    job = filled("1 in", on=STANDS["on"], speed="50 mph")
    rows: Any = flatten(job, 1, heat_load(job, 1), circuits_of(job))[:1].view(np.recarray)
    read: Any = solve_batch(rows, coolant_table("MEG", 0.5))[0]
    row, balance = rows[0], balance_air(rows[0], float(rows[0].heat), float(rows[0].ambient))
    share = air_path.standing_share(row, air_path.setup_of(row), balance.air, balance.flow)
    assert read.fan_flow[1] / read.fan_flow[:2].sum() == pytest.approx(share, rel=1e-6)
    head = 0.5 * balance.air.density_out * (read.fan_flow[1] / row.fan_disc[1]) ** 2
    assert read.fan_pressure[1] == pytest.approx(-row.fan_stopped_loss[1] * head, rel=1e-6)
