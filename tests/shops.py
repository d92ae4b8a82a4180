"""Writers for the shop's store: many at once, and one that is killed at work.

race    several threads, each with a connection of its own, saving one after another
killed  a process that saves until it is killed, and what it said it had saved

    python -m tests.shops FILE NUMBER SEED    that process
"""

import hashlib
import random
import subprocess
import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from shroudwright.shop import Shop, Stale

SIZE = 30_000


def some_text(seed: int, size: int = SIZE) -> bytes:
    """Return a job's worth of text that does not compress away."""
    drawn = random.Random(seed)
    lines = (f"x{line} = {drawn.random():.15f} # {drawn.getrandbits(64):016x}" for line in range(size // 40))
    return "\n".join((f'name = "build {seed}"', *lines)).encode()


def race(where: str | Path, file: int, writers: int, each: int) -> Counter[str]:
    """Let writers add a line each to one text; count what was saved and what was refused."""

    def write(writer: int) -> Counter[str]:
        done: Counter[str] = Counter()
        with Shop.open(where) as shop:
            last = shop.latest(file)
            while done["saved"] < each:
                try:
                    line = f"w{writer}_{done['saved']} = 1\n".encode()
                    last = shop.save(file, last.text + line, began=last.mark)
                    done["saved"] += 1
                except Stale as stale:
                    done["refused"] += 1
                    last = stale.theirs
        return done

    with ThreadPoolExecutor(writers) as pool:
        return sum(pool.map(write, range(writers)), Counter())


def killed(where: Path, file: int, after: int, seed: int) -> list[tuple[int, str]]:
    """Kill a process some time after so many saves, at no point of its work in particular; return what it had said."""
    command = [sys.executable, "-m", "tests.shops", str(where), str(file), str(seed)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        said = [process.stdout.readline() for _ in range(after)]
        try:
            process.wait(random.Random(seed).uniform(0.0, 0.02))
        except subprocess.TimeoutExpired:
            process.kill()
        said += process.stdout.readlines()
    assert process.returncode == -9, "the writer ended by itself"
    whole = [line.split() for line in said if line.endswith("\n")]
    return [(int(n), digest) for n, digest in whole]


def missing(shop: Shop, file: int, said: list[tuple[int, str]]) -> list[int]:
    """Return the revisions that were said to be saved and are not there, or not with their text."""
    lost = []
    kept = {entry.n: entry.sha256 for entry in shop.history(file)}
    for n, digest in said:
        if kept.get(n) != digest or hashlib.sha256(shop.revision(file, n).text).hexdigest() != digest:
            lost.append(n)
    return lost


def _main(where: str, file: int, seed: int) -> None:
    with Shop.open(where) as shop:
        last = shop.latest(file)
        while True:
            seed += 1
            last = shop.save(file, some_text(seed, 6000), began=last.mark)
            print(last.n, last.sha256, flush=True)


if __name__ == "__main__":
    _main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
