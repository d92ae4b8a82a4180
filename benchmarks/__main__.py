"""Measure and print; write out/bench.json as a list of {name, value, unit, ratio, against, agreement}.

python -m benchmarks
"""

import json
import math
import os
import subprocess
import sys
import time
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.browser import browser_rows
from benchmarks.drive import drive_rows
from benchmarks.page import page_rows
from benchmarks.plenum import plenum_drag
from benchmarks.storage import page_save
from shroudwright.assess import assess
from shroudwright.choose.stages import choose
from shroudwright.job.files import parse_job
from shroudwright.job.shelf import parse_shelf
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack import kernel, solve
from shroudwright.pack.params import RESULT, blank
from tests.packs import example, random_packs
from tests.shelves import scaled_shelf

OUT = Path("out/bench.json")
TABLE = coolant_table("MEG", 0.5)
PLAIN = "scipy roots in sequence, air then coolant, over the same equations in Python"
MOST_AT_ONCE = 100_000


def best_of(runs: int, work: Callable[[], Any]) -> float:
    """Return the shortest of several wall times, s."""
    times = []
    for _ in range(runs):
        started = time.perf_counter()
        work()
        times.append(time.perf_counter() - started)
    return min(times)


def plain_packs(count: int) -> Any:
    """Return steady packs with the whole core covered, two fans, no coolers ahead, the flow known."""
    p = example(count=count)
    random = np.random.default_rng(7)
    p.ambient, p.road_speed = random.uniform(290, 320, count), random.uniform(0, 30, count)
    p.heat, p.coolant_flow = random.uniform(8e3, 40e3, count), random.uniform(8, 60, count) * 6.309e-5
    p.thermostat = 0.0
    return p


def in_sequence(p: Any) -> float:
    """The plain version: air first, then coolant, each by one brentq."""
    return solve.balance_coolant(p, TABLE, p.heat, solve.balance_air(p, p.heat, p.ambient))[0]


def operating_point(name: str, packs: Any, sample: int) -> dict[str, Any]:
    """Compare the compiled batch with the plain version on a sample, one core, both without the ambient held."""
    packs.limit = math.nan
    results = blank(len(packs), RESULT)
    kernel.run_points(packs[:1], TABLE, results[:1])
    seconds = best_of(3, lambda: kernel.run_points(packs, TABLE, results)) / len(packs)
    started = time.perf_counter()
    plain = np.array([in_sequence(p) for p in packs[:sample]])
    plain_seconds = (time.perf_counter() - started) / sample
    apart = np.nanmax(np.abs(plain - results.coolant_unregulated[:sample]))
    return {
        "name": name,
        "value": 1.0 / seconds,
        "unit": "points/s per core",
        "ratio": plain_seconds / seconds,
        "against": PLAIN,
        "agreement": f"{apart:.1e} K over {sample} points",
    }


def with_ambient_held(packs: Any) -> dict[str, Any]:
    """Time the same record with the outside air it holds searched for as well, one core."""
    results = blank(len(packs), RESULT)
    seconds = best_of(3, lambda: kernel.run_points(packs, TABLE, results)) / len(packs)
    return row("operating_point_held", 1.0 / seconds, "plain packs and the outside air they hold", "points/s per core")


def growth() -> list[dict[str, Any]]:
    """Time batches of a thousand to a million plain packs, on one core and on all."""
    packs = plain_packs(MOST_AT_ONCE)
    packs.limit = math.nan
    rows = []
    for count in (10**3, 10**4, 10**5, 10**6):
        part, times = packs[: min(count, MOST_AT_ONCE)], max(1, count // MOST_AT_ONCE)
        results = blank(len(part), RESULT)
        one = times * best_of(2, lambda part=part, results=results: kernel.run_points(part, TABLE, results))
        every = times * best_of(2, lambda part=part: kernel.solve_batch(part, TABLE))
        work = f"one core {1e6 * one / count:.2f} us a point, all cores {1e6 * every / count:.2f}"
        rows.append(row(f"growth_{count:.0e}".replace("+0", ""), every, work) | {"ratio": one / every})
    return rows


def assess_warm() -> dict[str, Any]:
    """Time a whole assessment of the demo in a warm process."""
    job = parse_job(files("shroudwright.job").joinpath("demo.job.toml").read_bytes(), "demo.job.toml")
    assess(job)
    return row("assess_warm", best_of(5, lambda: assess(job)), f"{len(job.cases)} cases, 2000 draws each")


def choose_500() -> dict[str, Any]:
    """Time choosing for the demo from a shelf of 500 fans, in a warm process, the shelf read too."""
    job = parse_job(files("shroudwright.job").joinpath("demo.job.toml").read_bytes(), "demo.job.toml")
    data = scaled_shelf(500)
    choose(job, parse_shelf(scaled_shelf(14), "few.csv"))
    counts = choose(job, parse_shelf(data, "scaled.csv")).counts
    seconds = best_of(2, lambda: choose(job, parse_shelf(data, "scaled.csv")))
    return row("choose_500", seconds, f"{counts.tried} sets, {counts.balanced} balanced, {counts.drawn} drawn")


def from_the_shell(name: str, *words: str) -> dict[str, Any]:
    """Time a command from a cold process, its modules kept compiled as an installed program's are."""
    command = [sys.executable, "-m", "shroudwright.doors.cli", *words]
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    seconds = best_of(3, lambda: subprocess.run(command, capture_output=True, check=True, env=kept))
    return row(name, seconds, " ".join(words))


def row(name: str, value: float, work: str, unit: str = "s") -> dict[str, Any]:
    """Return a row that stands alone."""
    return {"name": name, "value": value, "unit": unit, "ratio": None, "against": work, "agreement": None}


def main() -> None:
    """Run every benchmark, print and write them."""
    demo = str(files("shroudwright.job").joinpath("demo.job.toml"))
    full = random_packs(2000, 11)
    full.pull_start = math.nan
    rows = [
        operating_point("operating_point", plain_packs(20000), 100),
        operating_point("operating_point_full", full, 60),
        with_ambient_held(plain_packs(20000)),
        *growth(),
        *plenum_drag(),
        *drive_rows(),
        assess_warm(),
        *page_rows(),
        choose_500(),
        page_save(),
        *browser_rows(),
        from_the_shell("assess_cold", "assess", demo),
        from_the_shell("help", "--help"),
        from_the_shell("packet", "packet", demo, "-o", "out/bench-packet"),
    ]
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text(json.dumps(rows, indent=2) + "\n", encoding="utf-8")
    for item in rows:
        ratio = "" if item["ratio"] is None else f"{item['ratio']:8.0f} x"
        print(f"{item['name']:22} {item['value']:14,.4g} {item['unit']:18} {ratio:10} {item['against']}")
        if item["agreement"]:
            print(f"{'':22} agrees to {item['agreement']}")
    print(f"wrote {OUT}")


if __name__ == "__main__":
    main()
