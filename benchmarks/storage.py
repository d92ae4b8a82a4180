"""The shop's store: how long a save takes, and what many kills and writers do to it.

page_save    one row for the benchmarks

    python -m benchmarks.storage     into docs/studies/storage.json
"""

import json
import sqlite3
import tempfile
import time
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from shroudwright.shop import Shop
from tests.shops import SIZE, killed, missing, race, some_text

KILLS, WRITERS, EACH, SAVES = 40, (2, 4), 80, 300
RESULT = Path("docs/studies/storage.json")


def page_save() -> dict[str, Any]:
    """Time one save of a job of 30 kB, on the disk when it returns."""
    texts, times = [some_text(seed) for seed in range(SAVES)], []
    with tempfile.TemporaryDirectory() as folder, Shop.open(Path(folder) / "shop.db") as shop:
        last = shop.create("build", b"a = 1")
        for text in texts:
            started = time.perf_counter()
            last = shop.save(last.file, text, began=last.mark)
            times.append(time.perf_counter() - started)
    spread = ", ".join(f"{1e3 * np.quantile(times, share):.1f}" for share in (0.5, 0.95, 1.0))
    return {
        "name": "page_save",
        "value": float(np.quantile(times, 0.95)),
        "unit": "s",
        "ratio": None,
        "against": f"a save's p95, {SIZE // 1000} kB, {SAVES} saves; p50, p95, worst {spread} ms",
        "agreement": None,
    }


def kills(folder: Path) -> dict[str, int]:
    """Kill a writer again and again; count what it had said was saved and what of that is gone."""
    said, lost, damaged = 0, 0, 0
    with Shop.open(folder / "killed.db") as shop:
        file = shop.create("build", b"a = 1").file
    for seed in range(KILLS):
        acknowledged = killed(folder / "killed.db", file, 1 + seed % 12, 1000 * (seed + 1))
        said += len(acknowledged)
        with Shop.open(folder / "killed.db") as shop:
            lost += len(missing(shop, file, acknowledged))
        with closing(sqlite3.connect(folder / "killed.db")) as connection:
            damaged += connection.execute("PRAGMA integrity_check").fetchone() != ("ok",)
    return {"kills": KILLS, "said to be saved": said, "lost": lost, "files damaged": damaged}


def at_once(folder: Path) -> dict[str, dict[str, int]]:
    """Let writers race for one job."""
    found = {}
    for writers in WRITERS:
        with Shop.open(folder / f"{writers}.db") as shop:
            file = shop.create("build", b"a = 1\n").file
            done = race(folder / f"{writers}.db", file, writers, EACH)
            kept = len(set(shop.latest(file).text.splitlines())) - 1
        found[str(writers)] = {"asked": writers * EACH, "saved": kept, "refused and tried again": done["refused"]}
    return found


def main() -> None:
    """Run the long counts and write them."""
    with tempfile.TemporaryDirectory() as folder:
        found = {"date": date.today().isoformat(), **kills(Path(folder)), "writers at once": at_once(Path(folder))}
    RESULT.parent.mkdir(parents=True, exist_ok=True)
    RESULT.write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8")
    print(f"{found['kills']} kills, {found['lost']} saves lost; wrote {RESULT}")


if __name__ == "__main__":
    main()
