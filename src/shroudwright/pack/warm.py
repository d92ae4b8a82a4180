"""Compile the batch ahead of time, so that no user waits for it.

python -m shroudwright.pack.warm
"""

import shutil
import sys
import time

import numpy as np

from shroudwright.bench.compiled import cache_folder
from shroudwright.control.plan import Plan
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.drive import LIFTS, NETWORK, Circuit, Schedule, Shed, circuit_of, simulate
from shroudwright.pack.kernel import solve_batch
from shroudwright.pack.params import PARAMS, blank

CACHES_KEPT = 4


def main() -> None:
    """Fill the cache for these sources and drop all but the newest few."""
    folder = cache_folder()
    if not any(folder.glob("**/*.nbi")):
        print(
            "compiling the solver, once for these sources (about half a minute) ...",
            end=" ",
            file=sys.stderr,
            flush=True,
        )
        started = time.perf_counter()
        water, pair = coolant_table("water", 0.0), np.zeros((2, 2))
        solve_batch(blank(0, PARAMS), water)
        circuit_of(blank(0, PARAMS), np.array([500.0, 1000.0]), water)
        shed = Shed(np.array([0.0, 9.0]), 0.0, 1.0, 0.0, 1.0, np.zeros((2, 2, 2, 4, 4)), pair, pair)
        circuit = Circuit(0.0, 1.0, np.zeros((2, 2, LIFTS)), np.zeros(4))
        simulate(np.zeros(0, NETWORK), shed, circuit, Plan(), Schedule(1.0, *np.zeros((4, 1))))
        print(f"{time.perf_counter() - started:.0f} s", file=sys.stderr)
    kept = sorted(folder.parent.glob("compiled-*"), key=lambda path: path.stat().st_mtime, reverse=True)
    for old in kept[CACHES_KEPT:]:
        shutil.rmtree(old, ignore_errors=True)


if __name__ == "__main__":
    main()
