"""Simulated drives against a general integrator: pairs of a job and a schedule drawn at random.

    python -m benchmarks.drive_study --shard 1/2     one part, into out/studies
    python -m benchmarks.drive_study --join          all parts, into docs/studies/drives.json

Two pairs in three are an example job with its lumps, lags, heat and settings drawn, on twenty minutes of a route from a
random second, asked anew every five; the third is made up altogether. A pair agrees where the coolant's whole trace is
within `WITHIN` and the fans switch as often. One that does not is a knife's edge where the integrator itself switches
more or less often, or parts from itself by more than `WITHIN`, with every threshold `NUDGE` higher or lower.
"""

import argparse
import json
from collections import Counter
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.control.plan import Plan
from shroudwright.job.circuits import circuits_of
from shroudwright.job.driving import circuit_at, course_of, networks, shed_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.priors import priors, words
from shroudwright.job.schedules import ROUTES, route
from shroudwright.pack.drive import Schedule, simulate
from shroudwright.pack.drive_tables import Circuit, Shed
from shroudwright.uncertain.draws import draw
from tests.oracle_drive import follow
from tests.test_pack_drive import NEVER, random_drive, switches

PAIRS, SEED = 105, 70000
WITHIN, NUDGE = 0.1, 0.01
LENGTH, HELD = 1200, 5
PARTS, RESULT = Path("out/studies"), Path("docs/studies/drives.json")
JOBS = ("hot-rod-tight-bay", "parade-cruiser", "track-car")
STATES = ("agrees", "apart", "knife's edge")

Pair = tuple[str, NDArray[np.void], Shed, Circuit, Plan, Schedule]


@cache
def _job(name: str) -> tuple[Filled, Circuit, Shed]:
    job = parse_job(Path(f"examples/{name}.job.toml").read_bytes(), name)
    filled = Filled(job, draw(priors(job), 2), {path: word.value for path, word in words(job).items()})
    circuits = circuits_of(filled)
    circuit = circuit_at(filled, circuits)
    return filled, circuit, shed_of(filled, Plan(), circuits, circuit.flow, has_cooling=False)


@cache
def _road(job: str, name: str) -> Schedule:
    return course_of(_job(job)[0], route(name), cooled=False).schedule


def pair(index: int) -> Pair:
    """Draw a job and a schedule."""
    seed = SEED + index
    if index % 3 == 0:
        return (f"made up {seed}", *random_drive(seed))
    random = np.random.default_rng(seed)
    job, name = str(random.choice(JOBS)), str(random.choice(list(ROUTES)))
    filled, circuit, shed = _job(job)
    whole = _road(job, name)
    picked = (int(random.integers(len(whole.heat))) + np.arange(LENGTH)) % len(whole.heat)
    asked = (each[picked].reshape(-1, HELD).mean(axis=1).repeat(HELD) for each in whole[1:])
    schedule = Schedule(whole.step, *asked)
    net = networks(filled, np.full(1, random.uniform(0.7, 1.2)), np.full(1, random.uniform(0.8, 1.1)), 400.0, 0.0)
    for field, least, most in (
        *((store, 0.7, 1.5) for store in ("metal_store", "coolant_store", "radiator_store")),
        *((lag, 0.5, 1.6) for lag in ("wax_lag", "valve_lag", "way_lag", "sensor_lag", "play")),
    ):
        net[field] *= random.uniform(least, most)
    opens = float(net["opens"][0])
    net["start"] = opens + random.uniform(-15.0, 5.0)
    on = opens + random.uniform(6.0, 12.0)
    plan = Plan(on_1=on, off_1=on - random.uniform(3.0, 6.0), on_2=on + random.uniform(2.0, 5.0), off_2=on - 0.5)
    if len(shed.drop) == 2:
        plan = plan._replace(on_2=NEVER, off_2=NEVER - 1.0)
    return f"{job}, {name} {seed}", net, shed, circuit, plan, schedule


def _nudged(plan: Plan, by: float) -> Plan:
    return plan._replace(**{name: getattr(plan, name) + by for name in ("on_1", "off_1", "on_2", "off_2")})


def judged(index: int) -> dict[str, Any]:
    """Drive one pair both ways."""
    name, net, shed, circuit, plan, schedule = pair(index)
    mine = simulate(net, shed, circuit, plan, schedule, every=1)
    theirs = follow(net[0], shed, circuit, plan, schedule)
    assert mine.traces is not None
    time = schedule.step * np.arange(mine.traces.shape[1])
    apart = float(np.abs(mine.traces[0, :, 0] - np.interp(time, theirs.time, theirs.coolant)).max())
    switched = theirs.switches(time[-1])
    case: dict[str, Any] = {
        "index": index,
        "name": name,
        "apart": apart,
        "switches": [switches(mine), switched],
        "state": "agrees",
    }
    if apart <= WITHIN and switches(mine) == switched:
        return case
    nudged = [follow(net[0], shed, circuit, _nudged(plan, by), schedule) for by in (-NUDGE, NUDGE)]
    near = [each.switches(time[-1]) for each in nudged]
    itself = max(float(np.abs(each.coolant - theirs.coolant).max()) for each in nudged)
    edge = itself > WITHIN or any(each != switched for each in near)
    return case | {"state": "knife's edge" if edge else "apart", "near": near, "itself": itself}


def summed(cases: list[dict[str, Any]]) -> dict[str, Any]:
    """Count what came of it."""
    count = Counter(case["state"] for case in cases)
    same = sorted(case["apart"] for case in cases if case["state"] == "agrees")
    return {
        "date": date.today().isoformat(),
        "seed": SEED,
        "within": WITHIN,
        "nudge": NUDGE,
        "pairs": len(cases),
        **{state: count[state] for state in STATES},
        "median apart": float(f"{same[len(same) // 2]:.2g}"),
        "most apart that agree": float(f"{same[-1]:.2g}"),
        "switches": sum(case["switches"][1] for case in cases),
        "not agreed": [
            f"{case['name']}: {case['state']}, {case['apart']:.2f} K, switches {case['switches'][0]} and "
            f"{case['switches'][1]}, nudged {case['near'][0]} and {case['near'][1]}; "
            f"the integrator from itself {case['itself']:.2f} K"
            for case in cases
            if case["state"] != "agrees"
        ],
    }


def main() -> None:
    """Run one part, or join them."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--shard", default="1/1", help="which part of how many, such as 1/2")
    asked.add_argument("--join", action="store_true", help="join the parts run before")
    given = asked.parse_args()
    PARTS.mkdir(parents=True, exist_ok=True)
    if given.join:
        cases = [case for part in sorted(PARTS.glob("drives-*.json")) for case in json.loads(part.read_text())]
        cases.sort(key=lambda case: int(case["index"]))
        RESULT.parent.mkdir(parents=True, exist_ok=True)
        RESULT.write_text(json.dumps(summed(cases), indent=2) + "\n", encoding="utf-8")
        print(f"{len(cases)} drives; wrote {RESULT}")
        return
    part, parts = map(int, given.shard.split("/"))
    cases = []
    for index in range(PAIRS)[part - 1 :: parts]:
        cases.append(judged(index))
        (PARTS / f"drives-{part}-of-{parts}.json").write_text(json.dumps(cases), encoding="utf-8")
    print(f"part {part} of {parts}: {dict(Counter(case['state'] for case in cases))}")


if __name__ == "__main__":
    main()
