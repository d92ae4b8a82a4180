"""Shelves made up for tests and measurements."""

import csv
import io
from importlib.resources import files

import numpy as np


def scaled_shelf(count: int, seed: int = 5) -> bytes:
    """The shipped shelf over and over, each fan scaled in size, strength and price by the fan laws."""
    text = files("shroudwright.catalogue").joinpath("fans.csv").read_text(encoding="utf-8")
    heads, units, *rows = list(csv.reader(text.splitlines()))
    random = np.random.default_rng(seed)
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerows([heads, units])
    for number in range(count):
        row = dict(zip(heads, rows[number % len(rows)], strict=True))
        size, speed = random.uniform(0.75, 1.1), random.uniform(0.85, 1.15)
        flow, pressure = size**3 * speed, size**2 * speed**2
        row["code"] += f"-{number}"
        for name in ("blade", "frame_size", "frame_short", "overall_depth"):
            row[name] = row[name] and f"{float(row[name]) * size:.3f}"
        points = (point.split() for point in row["curve"].split(";"))
        row["curve"] = "; ".join(f"{float(q) * flow:.1f} {float(p) * pressure:.4f}" for q, p in points)
        for name in ("run_amps", "start_amps"):
            row[name] = f"{float(row[name]) * flow * pressure:.2f}"
        row["free_flow"] = f"{float(row['free_flow'].split()[0]) * flow:.0f}"
        row["price"] = f"{float(row['price']) * random.uniform(0.7, 1.4):.2f}"
        writer.writerow([row[head] for head in heads])
    return out.getvalue().encode()
