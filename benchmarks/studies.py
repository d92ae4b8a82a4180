"""The field against a plain Newton method on layouts laid out at random, awkward ones on purpose.

    python -m benchmarks.studies --shard 1/2     one part, into out/studies
    python -m benchmarks.studies --join          all parts, into docs/studies/field.json

A field counts as wrong where it says that it has settled but its air or its face speeds are more than `WITHIN` from
the Newton method's.
"""

import argparse
import json
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from shroudwright.pack.field import solve_field
from tests.layouts import KINDS, apart, random_case
from tests.oracle_field import Unsolved, newton

EACH, SEED, CELLS = 40, 20000, 768
WITHIN = 1e-3
PARTS, RESULT = Path("out/studies"), Path("docs/studies/field.json")
STATES = ("agrees", "wrong", "not settled", "no reference")


def judged(kind: str, seed: int) -> dict[str, Any]:
    """Solve one layout both ways."""
    cells, law, fans = random_case(kind, seed, CELLS)
    found = solve_field(cells, law, fans)
    case: dict[str, Any] = {"kind": kind, "seed": seed, "state": "not settled"}
    try:
        answer = newton(cells, law, fans)
    except Unsolved:
        return case | {"state": "no reference"} if found.has_settled else case
    if not found.has_settled:
        return case
    air = float(np.abs(found.flow - answer.flow).max() / np.abs(answer.flow).sum())
    speed = apart(cells, found.speed, answer.v)
    return case | {"state": "agrees" if max(air, speed) <= WITHIN else "wrong", "air": air, "speed": speed}


def summed(cases: list[dict[str, Any]]) -> dict[str, Any]:
    """Count what came of every kind, and how far apart the two were at worst."""
    kinds = {}
    for kind in KINDS:
        mine = [case for case in cases if case["kind"] == kind]
        count = Counter(case["state"] for case in mine)
        worst = {key: float(f"{max(case.get(key, 0.0) for case in mine):.2g}") for key in ("air", "speed")}
        kinds[kind] = {"layouts": len(mine)} | {state: count[state] for state in STATES} | {"worst": worst}
    return {
        "date": date.today().isoformat(),
        "seed": SEED,
        "cells": CELLS,
        "within": WITHIN,
        "layouts": len(cases),
        **{state: sum(of[state] for of in kinds.values()) for state in STATES},
        "not agreed": [
            f"{case['kind']} {case['seed']}: {case['state']}" for case in cases if case["state"] != "agrees"
        ],
        "kinds": kinds,
    }


def main() -> None:
    """Run one part, or join them."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--shard", default="1/1", help="which part of how many, such as 1/2")
    asked.add_argument("--join", action="store_true", help="join the parts run before")
    given = asked.parse_args()
    PARTS.mkdir(parents=True, exist_ok=True)
    if given.join:
        cases = [case for part in sorted(PARTS.glob("field-*.json")) for case in json.loads(part.read_text())]
        cases.sort(key=lambda case: (KINDS.index(case["kind"]), case["seed"]))
        RESULT.parent.mkdir(parents=True, exist_ok=True)
        RESULT.write_text(json.dumps(summed(cases), indent=2) + "\n", encoding="utf-8")
        print(f"{len(cases)} layouts; wrote {RESULT}")
        return
    part, parts = map(int, given.shard.split("/"))
    every = [(kind, SEED + i) for kind in KINDS for i in range(EACH)]
    cases = [judged(*case) for case in every[part - 1 :: parts]]
    (PARTS / f"field-{part}-of-{parts}.json").write_text(json.dumps(cases), encoding="utf-8")
    print(f"part {part} of {parts}: {dict(Counter(case['state'] for case in cases))}")


if __name__ == "__main__":
    main()
