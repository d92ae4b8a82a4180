"""Causes: shares that add up, and the traps they must show."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.assess import assess
from shroudwright.assessment import Assessment
from shroudwright.job.files import parse_job
from shroudwright.speech import as_it_is
from shroudwright.uncertain.causes import MOST_RISE, PLAYERS, causes
from tests.test_plan import DEMO, ROOT

ROW = np.dtype([("ambient", float), ("a", float), ("b", float), ("c", float)])


class Found:
    def __init__(self, values: np.ndarray) -> None:
        self.coolant_unregulated = values


def game(worth: Callable[[Any], np.ndarray], count: int = 1) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """A made-up package whose faults a, b, c are 1 when there and 0 when mended."""
    rows = np.ones(count, ROW).view(np.recarray)
    rows.ambient = 300.0

    def mended(name: str) -> Callable[[Any], None]:
        return lambda part: part.__setitem__(name, 0.0)

    found = causes(rows, {name: mended(name) for name in "abc"}, lambda p: Found(300.0 + worth(p)))
    return found.actual - found.clean, found.shares


@pytest.mark.by_hand("glove game: a alone is needed by b or c, v = a max(b, c): shares 2/3, 1/6, 1/6")
def test_shares_of_the_glove_game() -> None:
    _, shares = game(lambda p: p["a"] * np.maximum(p["b"], p["c"]))
    assert [shares[name][0] for name in "abc"] == pytest.approx([2.0 / 3.0, 1.0 / 6.0, 1.0 / 6.0])


@pytest.mark.law("faults that do not meddle with each other are charged what each adds; all shares sum to the whole")
@settings(deadline=None)
@given(st.floats(0.0, 20.0), st.floats(0.0, 20.0), st.floats(0.0, 20.0), st.floats(-3.0, 3.0))
def test_shares_add_up(a: float, b: float, c: float, meddling: float) -> None:
    whole, shares = game(lambda p: 30.0 + a * p["a"] + b * p["b"] + c * p["c"] + meddling * p["a"] * p["b"])
    assert sum(share[0] for share in shares.values()) == pytest.approx(whole[0], abs=1e-9)
    assert shares["c"][0] == pytest.approx(c, abs=1e-9)
    assert shares["a"][0] == pytest.approx(a + 0.5 * meddling, abs=1e-9)


@pytest.mark.by_hand("no steady state counts as the cap")
def test_no_steady_state_is_capped() -> None:
    whole, _ = game(lambda p: np.where(p["a"] > 0.0, np.nan, 20.0))
    assert whole[0] == pytest.approx(MOST_RISE - 20.0)


@pytest.mark.behaviour("a fault that is not there costs no solve and gets no share")
def test_a_fault_that_is_not_there() -> None:
    rows = np.ones(2, ROW).view(np.recarray)
    sizes: list[int] = []

    def solve(part: Any) -> Found:
        sizes.append(len(part))
        return Found(part["ambient"] + part["a"])

    cleaners = {"a": lambda part: part.__setitem__("a", 0.0), "b": lambda part: part.__setitem__("b", 1.0)}
    found = causes(rows, cleaners, solve)
    assert list(found.shares) == ["a"]
    assert found.shares["a"] == pytest.approx([1.0, 1.0])
    assert sizes == [4]


@pytest.mark.practice("parade: coverage first, then what heats the air, volts after; nothing else of weight")
def test_the_parade_is_blamed_on_the_right_faults() -> None:
    path = ROOT / "examples/parade-cruiser.job.toml"
    found = assess(parse_job(path.read_bytes(), path.name), draws=200)
    assert found.causes[0].cause == "coverage and plenum"
    degrees = {item.cause: item.degrees.value for item in found.causes}
    assert set(degrees) == set(PLAYERS) - {"stop-go heat"}
    assert degrees["coverage and plenum"] > 20.0
    assert degrees["recirculation"] > 10.0
    assert 2.0 < degrees["volts"] < degrees["recirculation"]
    worst = next(case for case in found.cases if case.name == found.causes[0].case)
    assert worst.coolant_unregulated is not None
    for one, two in zip(found.causes, found.causes[1:], strict=False):
        assert one.end == pytest.approx(two.start)


@pytest.mark.practice("traffic costs degrees over idling")
def test_stop_go_is_a_cause() -> None:
    traffic = (
        DEMO[: DEMO.index("[[cases]]")] + '[[cases]]\nname = "traffic"\nkind = "stop-go"\nair_conditioning = true\n'
    )
    found = assess(parse_job(traffic.encode(), "x.job.toml"), draws=200)
    degrees = {item.cause: item.degrees.value for item in found.causes}
    assert degrees["stop-go heat"] > 3.0
    assert degrees["condenser"] > 3.0


@pytest.mark.behaviour("only pulls: nothing to blame")
def test_no_steady_case_has_no_causes() -> None:
    pull = DEMO[: DEMO.index("[[cases]]")] + '[[cases]]\nname = "pull"\nkind = "pull"\n'
    assert assess(parse_job(pull.encode(), "x.job.toml"), draws=50).causes == []


def _standing(heat: str, fans: str) -> Assessment:
    case = f'[[cases]]\nname = "t"\nkind = "idle"\ncoolant_heat = "{heat}"\n{fans}'
    return assess(parse_job((DEMO[: DEMO.index("[[cases]]")] + case).encode(), "x.job.toml"), draws=50)


@pytest.mark.behaviour("a clean package that cannot live either has no causes told; one past the most counted says so")
def test_past_the_most_that_is_counted() -> None:
    assert _standing("60 kW", "fans_on = []").causes == []
    found = _standing("45 kW", 'recirculation = "60 %"')
    assert found.causes[0].start < MOST_RISE
    assert found.causes[-1].end == pytest.approx(MOST_RISE)
    assert as_it_is(found.causes[-1].end) == "as it is, or hotter"
    assert as_it_is(_standing("30 kW", "").causes[-1].end) == "as it is"
