"""Guards of the guards: with one piece of the physics broken, a named check of the other files must fail.

Each mutation replaces one function where the plain-Python path looks it up; the check passes before and after.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import pytest

from shroudwright.airflow.frame import head_loss
from shroudwright.job import plumbing
from shroudwright.materials import coolant
from shroudwright.pack import air_path, solve
from tests.test_pack_oracle import (
    check_against_oracle,
    check_boiling_of_the_demo,
    check_pump_flow_of_the_demo,
    lossy,
    one_by_one,
)


def check_lossy_puller() -> None:
    check_against_oracle(lossy(), "MEG", 0.5, one_by_one)


def check_lossy_pusher() -> None:
    check_against_oracle(lossy(1.0), "MEG", 0.5, one_by_one)


class Broken(NamedTuple):
    """Where the function is looked up, what stands in for it, and the check that must notice."""

    place: Any
    name: str
    wrong: Callable[..., Any]
    check: Callable[[], Any]


pump_flow, radiator_flow = plumbing.flow_at_engine_speed, solve.radiator_flow

BROKEN = {
    "a puller's fan air taken ahead of the core": Broken(
        air_path, "density_at_fan", lambda _p, _i, air: air.density_mixed, check_lossy_puller
    ),
    "a pusher's fan air taken behind the core": Broken(
        air_path, "density_at_fan", lambda _p, _i, air: air.density_out, check_lossy_pusher
    ),
    "(1 - r) lost from the air that comes back": Broken(
        air_path, "inlet_rise", lambda r, heat, ahead, warm: (ahead + r * heat) / warm, check_lossy_puller
    ),
    "gauge pressure for absolute in the boiling point": Broken(
        coolant, "pressure_at_altitude", lambda _: 0.0, check_boiling_of_the_demo
    ),
    "half the pump flow, from the job": Broken(
        plumbing, "flow_at_engine_speed", lambda *args: 0.5 * pump_flow(*args), check_pump_flow_of_the_demo
    ),
    "half the pump flow, in the radiator": Broken(
        solve, "radiator_flow", lambda *args: 0.5 * radiator_flow(*args), check_lossy_puller
    ),
    "losses behind the core on inlet density": Broken(
        air_path,
        "exit_drop",
        lambda p, air, total, face: head_loss(p.exit_loss, total, air.density_mixed, face),
        check_lossy_puller,
    ),
}


@pytest.mark.behaviour("the named test fails when the physics is broken")
@pytest.mark.parametrize("mutation", BROKEN)
def test_broken_physics_is_noticed(mutation: str, monkeypatch: pytest.MonkeyPatch) -> None:
    broken = BROKEN[mutation]
    broken.check()
    with monkeypatch.context() as patch:
        patch.setattr(broken.place, broken.name, broken.wrong)
        with pytest.raises(AssertionError):
            broken.check()
    broken.check()
