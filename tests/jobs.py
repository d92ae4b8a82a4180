"""A small job that reads without a fault, and ways to break it; the demo at its medians."""

from importlib.resources import files

import numpy as np

from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.priors import priors, words

SMALL = """\
# a small job
name = "test mule"
units = "in"

[engine]
displacement = "5.7 L, catalogue"
rated_power = "250 kW, box"   # dyno day

[core]
width = 24.50            # taped twice
height = "17 in, measured"
depth = "2 in, measured"

[[fans]]
code = "A"
blade = "14 in"
free_flow = "1450 cfm, box"
run_amps = "11 A, box"

[[fans]]
code = "B"
blade = "14 in"

[[cases]]
name = "idling"
kind = "idle"

[[cases]]
name = "hill"
kind = "grade"
grade = "5 %"
"""


def changed(*swaps: tuple[str, str]) -> bytes:
    """The small job with pieces of its text replaced."""
    text = SMALL
    for old, new in swaps:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    return text.encode()


DEMO = files("shroudwright.job").joinpath("demo.job.toml").read_text(encoding="utf-8")


def with_cases(text: str, *names: str) -> str:
    """A job's text with some of its driving cases alone."""
    head, *cases = text.split("[[cases]]\n")
    kept = [case for case in cases if any(case.startswith(f'name = "{name}"') for name in names)]
    assert len(kept) == len(names), names
    return "[[cases]]\n".join([head, *kept])


STANDING_DEMO = with_cases(DEMO, "photo stop, A/C on")


def filled_demo(*swaps: tuple[str, str]) -> Filled:
    """The demo with pieces of its text replaced, at the medians."""
    text = DEMO
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new, 1)
    job = parse_job(text.encode(), "x.job.toml")
    drawn = {path: np.full(1, prior.median) for path, prior in priors(job).items()}
    return Filled(job, drawn, {path: word.value for path, word in words(job).items()})


def with_shop(line: str) -> tuple[str, str]:
    """A line in a [shop] of its own."""
    return "[weather]\n", f"[shop]\n{line}\n\n[weather]\n"
