"""The compiled batch against the readable scalar solve, and against itself."""

import hashlib
import subprocess
import sys
from typing import Any

import numpy as np
import pytest

from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.kernel import solve_batch
from shroudwright.pack.params import RESULT
from shroudwright.pack.solve import operating_point
from tests.packs import plain, random_packs

SEED, COUNT = 7, 45
TEMPERATURES = ("air_in", "air_out", "coolant_in", "coolant_out", "coolant_unregulated")


def digest(count: int) -> str:
    """Of every byte the batch writes."""
    return hashlib.sha256(solve_batch(random_packs(count, SEED), coolant_table("MEG", 0.5)).tobytes()).hexdigest()


@pytest.fixture(scope="module")
def both() -> tuple[Any, Any, Any]:
    """Packs, the batch's results and the reference's."""
    rows, table = random_packs(COUNT, SEED), coolant_table("MEG", 0.5)
    return rows, solve_batch(rows, table), np.array([operating_point(row, table) for row in plain(rows)], RESULT)


@pytest.mark.independent("scipy brentq reference")
def test_temperatures_equal_the_reference(both: tuple[Any, Any, Any]) -> None:
    rows, batch, reference = both
    steady = np.isnan(rows.pull_start)
    for name in TEMPERATURES:
        # Air that hardly moves is heated without end, so there the size sets the tolerance.
        allowed = 1e-6 * np.maximum(1.0, np.abs(reference[name]) / 1000.0)
        np.testing.assert_array_equal(np.isnan(batch[name]), np.isnan(reference[name]), err_msg=name)
        off = np.abs(batch[name] - reference[name])[steady]
        assert np.all((off <= allowed[steady]) | np.isnan(off)), (name, np.nanmax(off))


@pytest.mark.independent("scipy brentq reference")
def test_flows_and_fans_equal_the_reference(both: tuple[Any, Any, Any]) -> None:
    rows, batch, reference = both
    steady = np.isnan(rows.pull_start)
    for name in set(RESULT.names or ()) - {*TEMPERATURES, "ambient_held", "seconds_to_limit"}:
        # A fan at the edge of passing nothing is told to a hundred-thousandth of a litre.
        np.testing.assert_allclose(batch[name][steady], reference[name][steady], rtol=1e-7, atol=2e-8, err_msg=name)


@pytest.mark.independent("scipy brentq reference")
def test_ambient_held_equals_the_reference(both: tuple[Any, Any, Any]) -> None:
    """The last step of that search is not checked again; a thousandth of a kelvin is its promise."""
    _, batch, reference = both
    np.testing.assert_allclose(batch.ambient_held, reference["ambient_held"], rtol=0.0, atol=1e-3)


@pytest.mark.independent("scipy brentq reference")
def test_pulls_equal_the_reference(both: tuple[Any, Any, Any]) -> None:
    rows, batch, reference = both
    pull = np.isfinite(rows.pull_start)
    assert np.count_nonzero(pull) >= 10
    for name in RESULT.names or ():
        least = 1e-6 if name == "fan_pressure" else 1e-9  # Pa: a fan may have next to none
        np.testing.assert_allclose(batch[name][pull], reference[name][pull], rtol=1e-5, atol=least, err_msg=name)


@pytest.mark.law("the same input gives the same bytes")
def test_batch_is_the_same_every_time() -> None:
    first = digest(600)  # more than one share, so that threads are at work
    assert digest(600) == first
    again = "from tests.test_pack_kernel import digest; print(digest(600))"
    other = subprocess.run([sys.executable, "-c", again], capture_output=True, text=True, check=True)
    assert other.stdout.strip() == first


@pytest.mark.law("a batch is its rows one by one")
def test_batch_of_many_equals_batches_of_one() -> None:
    rows, table = random_packs(COUNT, SEED), coolant_table("MEG", 0.5)
    together = solve_batch(rows, table)
    for i in range(COUNT):
        assert solve_batch(rows[i : i + 1], table).tobytes() == together[i : i + 1].tobytes()
