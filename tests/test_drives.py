"""The demo along every route."""

from functools import cache
from importlib.resources import files

import pytest

from shroudwright.control.rules import SHORT_CYCLE
from shroudwright.drives import DriveAnswer, Ready, drive_along, prepare
from shroudwright.job.circuits import circuits_of
from shroudwright.job.driving import shed_of
from shroudwright.job.files import parse_job
from shroudwright.job.schedules import ROUTES, route


@cache
def demo() -> Ready:
    return prepare(parse_job((files("shroudwright.job") / "demo.job.toml").read_bytes(), "demo.job.toml"), draws=4)


@cache
def driven(cooled: bool) -> dict[str, DriveAnswer]:
    """Every route, the A/C on or off wherever the engine turns."""
    ready = demo()
    shed = shed_of(ready.filled, ready.controls, circuits_of(ready.filled), ready.circuit.flow, has_cooling=cooled)
    answer, _ = drive_along(ready._replace(shed=shed, cooled=cooled), [route(name) for name in ROUTES])
    return {each.route: each for each in answer.drives}


@pytest.mark.practice("from start to start a minute or more, no quick starts told of: common practice, no source")
@pytest.mark.parametrize("cooled", [True, False])
def test_the_demo_does_not_hunt(cooled: bool) -> None:
    drives = driven(cooled)
    assert list(drives) == list(ROUTES)
    for each in drives.values():
        assert each.least_cycle is None or each.least_cycle.low >= SHORT_CYCLE
        assert not any("open the gap" in words for words in each.says)
    assert any(each.starts_per_hour.value > 1.0 for each in drives.values())


@pytest.mark.law("without the A/C's request the fans run less and are heard less; the limit is passed where it is over")
def test_figures_of_a_drive() -> None:
    on, off = driven(True), driven(False)
    for name in ROUTES:
        assert off[name].fan_share.value <= on[name].fan_share.value
        loud, quiet = on[name].noise, off[name].noise
        assert loud is not None
        assert quiet is None or quiet.value <= loud.value
        assert (on[name].seconds_to_limit is None) == (on[name].over_limit.value == 0.0)
