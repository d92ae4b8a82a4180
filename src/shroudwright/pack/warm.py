"""Compile the batch ahead of time, so that no user waits for it.

python -m shroudwright.pack.warm
"""

import shutil
import sys
import time

import numpy as np

from shroudwright.bench.arcs import rectangle
from shroudwright.bench.compiled import cache_folder
from shroudwright.control.plan import Plan
from shroudwright.fans.curve import generic_curve
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.ahead import heat_per_kelvin
from shroudwright.pack.cells import Blowers, Law, Plenum, cut, with_openings
from shroudwright.pack.drive import NETWORK, Schedule, simulate
from shroudwright.pack.drive_tables import LIFTS, Circuit, Shed, circuit_of
from shroudwright.pack.field import rise_beside_leaks
from shroudwright.pack.kernel import balance_air, solve_batch
from shroudwright.pack.params import PARAMS, RESULT, blank
from shroudwright.pack.plenum import March, tables_of

CACHES_KEPT = 4


def _plenum() -> None:
    """Tabulate a small one with two fans."""
    plenum = Plenum(0.4, 0.4, (rectangle(0.4, 0.4),), 0.1, 0.1)
    cells = with_openings(cut(plenum, 64), ((0.1, 0.2, 0.08), (0.3, 0.2, 0.08)))
    curve = generic_curve(0.5, 200.0)
    fans = Blowers(
        np.tile(curve.flow, (2, 1)), np.tile(curve.pressure, (2, 1)), np.full(2, curve.n_points), np.zeros(2)
    )
    tables_of(cells, fans, March(True, 1, 500.0, 0.5, 0.1, 3000.0), Law(20.0, 5.0, 1.1))
    rise_beside_leaks(fans, 1.0, 0.5, 0.0, 0.0, 1.1)


def main() -> None:
    """Fill the cache for these sources and drop all but the newest few."""
    folder = cache_folder()
    if not any(folder.glob("**/*.nbi")):
        print(
            "compiling the solver, once for these sources (a minute or two) ...",
            end=" ",
            file=sys.stderr,
            flush=True,
        )
        started = time.perf_counter()
        water, pair = coolant_table("water", 0.0), np.zeros((2, 2))
        solve_batch(blank(0, PARAMS), water)
        balance_air(np.zeros(1, PARAMS)[0], 0.0)

        heat_per_kelvin(blank(0, PARAMS), blank(0, RESULT), *np.zeros((1, 0)), *np.zeros((2, 0, 1)))
        _plenum()
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
