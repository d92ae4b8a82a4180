"""Each finding on the wiring as a whole: fires past its limit, stays quiet short of it."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from shroudwright.wiring.checks import Found, fuse_checks, relay_checks, surge, wire_checks
from shroudwright.wiring.circuits import FanCircuit, fan_circuit
from shroudwright.wiring.fitted import Fitted, Switching
from shroudwright.wiring.schemes import Needs, harness
from shroudwright.wiring.switching import loom_diameter, machine_checks, supply_checks, switch_checks

HOT = 398.15
INCH = 0.0254


def fan(amps: float = 20.0, ratio: float = 3.3, *, is_brushless: bool = False, **other: Any) -> FanCircuit:
    return fan_circuit(name="A", run_amps=amps, test_volts=13.5, start_ratio=ratio, is_brushless=is_brushless, **other)


TWO = (fan(), fan())


def wires(circuits: tuple[FanCircuit, ...] = TWO, **typed: Any) -> list[Found]:
    return list(wire_checks(Fitted(**typed), circuits, HOT))


def fuses(circuits: tuple[FanCircuit, ...] = TWO, **typed: Any) -> list[Found]:
    return list(fuse_checks(Fitted(**typed), circuits))


def contacts(
    circuits: tuple[FanCircuit, ...] = TWO, cycles: float | None = None, stages: tuple[int, ...] = (1, 2), **typed: Any
) -> list[Found]:
    switching = {name: typed.pop(name) for name in ("scheme", "stagger") if name in typed}
    return list(relay_checks(Fitted(**typed), Switching(**switching), circuits, stages, cycles))


def switches(circuits: tuple[FanCircuit, ...] = TWO, **typed: Any) -> list[Found]:
    scheme = typed.get("scheme", "controller")
    made = harness(scheme, Needs(tuple(f"Q{at}" for at in range(len(circuits))), (1,) * len(circuits)))
    return list(switch_checks(Switching(**typed), circuits, made))


def supply(rating: float | None = 150.0, is_off: bool | None = None, **typed: Any) -> list[Found]:
    return list(supply_checks(Fitted(**typed), Switching(is_off_in_crank=is_off), HOT, rating))


def machine(circuits: tuple[FanCircuit, ...] = TWO, grommet: float | None = None, **typed: Any) -> list[Found]:
    return list(machine_checks(Fitted(**typed), circuits, grommet))


Check = Callable[..., list[Found]]
TABLE: list[tuple[str, Check, dict[str, Any], dict[str, Any]]] = [
    ("W01", wires, {"circuits": (fan(60.0),) * 4}, {}),
    ("W05", wires, {"ground_point": "radiator"}, {"ground_point": "body stud"}),
    ("W05", wires, {"ground_point": "shroud"}, {}),
    ("W06", wires, {"standard": "SAE"}, {"standard": "AWG"}),
    ("W07", wires, {"is_near_exhaust": True}, {"is_near_exhaust": False}),
    ("W07", wires, {"has_grommet": False}, {"has_grommet": True}),
    ("W46", wires, {"circuits": (fan(fitted=Fitted(gauge=8, ground_gauge=12)),)}, {"circuits": (fan(),)}),
    ("W08", fuses, {"fused": "none"}, {"fused": "each fan"}),
    ("W09", fuses, {"fuse_distance": 7.1 * INCH}, {"fuse_distance": 7 * INCH}),
    (
        "W09",
        fuses,
        {"fuse_distance": 41 * INCH, "is_sheathed": True},
        {"fuse_distance": 39 * INCH, "is_sheathed": True},
    ),
    ("W13", fuses, {}, {"circuits": (fan(soft_start=3.0),)}),
    ("W17", fuses, {"fused": "all fans"}, {"fused": "all fans", "circuits": (fan(),)}),
    ("W18", fuses, {"main_fuse": 50.0}, {"main_fuse": 60.0}),
    ("W18", fuses, {"circuits": (fan(60.0),) * 4}, {}),
    ("W19", fuses, {"fuse_rating": 45.0}, {"fuse_rating": 40.0}),
    (
        "W20",
        contacts,
        {"fans_per_relay": 2, "relay_rating": 70.0, "circuits": (fan(24.0),) * 2},
        {"fans_per_relay": 2, "relay_rating": 70.0},
    ),
    (
        "W21",
        contacts,
        {"scheme": "series and parallel", "circuits": (fan(60.0, fitted=Fitted(relay_rating=40.0)),) * 2},
        {"scheme": "series and parallel"},
    ),
    ("W22", contacts, {"fans_per_relay": 2, "relay_rating": 70.0}, {"fans_per_relay": 2, "relay_rating": 100.0}),
    ("W26", contacts, {"coil": "none"}, {"coil": "none", "scheme": "dash switch"}),
    ("W26", contacts, {"coil": "none"}, {"coil": "resistor"}),
    ("W27", contacts, {"coil": "diode", "circuits": (fan(fitted=Fitted(relay_rating=40.0)),)}, {"coil": "diode"}),
    ("W28", contacts, {"coil": "diode", "coil_plus": "85"}, {"coil": "diode", "coil_plus": "86"}),
    ("W28", contacts, {"coil": "diode", "coil_plus": "85"}, {"coil": "resistor", "coil_plus": "85"}),
    ("W30", contacts, {"coil_fuse": 0.0}, {"coil_fuse": 5.0}),
    ("W31", contacts, {"scheme": "dash switch"}, {"scheme": "dash switch", "stagger": 3.0}),
    ("W31", contacts, {"stages": (1, 1)}, {"stages": (1, 2)}),
    ("W31", contacts, {"scheme": "dash switch"}, {"scheme": "dash switch", "circuits": (fan(12.0),) * 2}),
    ("W32", contacts, {"cycles": 41.0}, {"cycles": 39.0}),
    (
        "W23",
        switches,
        {"scheme": "dash switch", "carries": "fans", "switch_rating": 40.0},
        {"scheme": "dash switch", "carries": "fans", "switch_rating": 50.0},
    ),
    (
        "W23",
        switches,
        {"scheme": "thermal switch", "carries": "fans"},
        {"scheme": "thermal switch", "carries": "relay coils"},
    ),
    ("W24", switches, {"scheme": "computer and relays", "carries": "fans"}, {"scheme": "computer and relays"}),
    ("W25", switches, {"output_rating": 0.25}, {"output_rating": 0.35}),
    ("W25", switches, {"scheme": "computer and relays", "circuits": (fan(),) * 4}, {"scheme": "computer and relays"}),
    (
        "W29",
        switches,
        {"scheme": "computer and relays", "output": "pulsed"},
        {"scheme": "computer and relays", "output": "on and off"},
    ),
    ("W29", switches, {"output": "pulsed"}, {"scheme": "computer and pwm module", "output": "pulsed"}),
    ("W33", switches, {"scheme": "thermal switch"}, {"scheme": "thermal switch", "has_override": True}),
    ("W33", switches, {"scheme": "two-stage thermal switch"}, {}),
    ("W34", switches, {"scheme": "pwm module", "module_rating": 25.0}, {"scheme": "pwm module", "module_rating": 30.0}),
    ("W35", switches, {"scheme": "pwm module", "circuits": (fan(50.0),)}, {"scheme": "pwm module"}),
    ("W35", switches, {"scheme": "pwm module", "module_limit": 340.0}, {"scheme": "pwm module", "module_limit": 350.0}),
    (
        "W36",
        switches,
        {"scheme": "computer and pwm module"},
        {"scheme": "computer and pwm module", "polarity": "more is faster"},
    ),
    (
        "W37",
        switches,
        {"scheme": "pwm module", "frequency": 400.0, "frequency_range": (10.0, 300.0)},
        {"scheme": "pwm module", "frequency": 100.0, "frequency_range": (10.0, 300.0)},
    ),
    ("W38", switches, {"scheme": "pwm module", "least_duty": 0.2}, {"scheme": "pwm module", "least_duty": 0.3}),
    ("W38", switches, {"scheme": "pwm module", "least_duty": 0.3, "start_duty": 0.35}, {"scheme": "pwm module"}),
    ("W39", switches, {"scheme": "pwm module", "slope": 7.0 / 1.8}, {"scheme": "pwm module", "slope": 8.0 / 1.8}),
    ("W39", switches, {"scheme": "pwm module", "dead_band": 0.0}, {"scheme": "pwm module", "dead_band": 1.0}),
    ("W42", supply, {"charge_gauge": 6.0}, {"charge_gauge": 4.0}),
    ("W42", supply, {"charge_gauge": 4.0, "charge_fuse": 300.0}, {"charge_gauge": 4.0, "charge_fuse": 200.0}),
    ("W43", supply, {"supply_point": "ignition switch"}, {"supply_point": "battery"}),
    ("W43", supply, {"supply_point": "accessory fuse"}, {"supply_point": "alternator post"}),
    ("W44", supply, {"is_off": False}, {"is_off": True}),
    (
        "W45",
        switches,
        {"scheme": "dash switch", "circuits": (fan(is_brushless=True, ratio=1.1),)},
        {"circuits": (fan(is_brushless=True, ratio=1.1),)},
    ),
    ("W47", switches, {"scheme": "resistor", "circuits": (fan(is_brushless=True, ratio=1.1),)}, {"scheme": "resistor"}),
    ("W61", machine, {"connector_rating": 25.0}, {"connector_rating": 30.0}),
    ("W61", machine, {"connector_gauge": 8.0}, {"connector_gauge": 10.0}),
    ("W62", machine, {"is_connector_sealed": False}, {"is_connector_sealed": True}),
    ("W63", machine, {"grommet": 8e-3}, {"grommet": 25e-3}),
]


@pytest.mark.practice("each finding fires past its limit and stays quiet short of it; thresholds common practice")
@pytest.mark.parametrize(
    ("code", "check", "loud", "quiet"), TABLE, ids=lambda each: each if isinstance(each, str) else ""
)
def test_findings(code: str, check: Check, loud: dict[str, Any], quiet: dict[str, Any]) -> None:
    assert code in {found.code for found in check(**loud)}
    assert code not in {found.code for found in check(**quiet)}


@pytest.mark.by_hand("trap: 22.1 + 22.1 = 44.2 A on a 30 A relay is over its rating, and wants 63 A")
def test_two_fans_on_one_relay() -> None:
    found = next(item for item in contacts(fans_per_relay=2, relay_rating=30.0) if item.code == "W20")
    assert found.is_stop
    assert (found.measured, found.limit) == (pytest.approx(44.16, abs=0.02), 30.0)
    assert found.wanted == pytest.approx(63.1, abs=0.05)
    assert not contacts(fans_per_relay=1, relay_rating=70.0)


@pytest.mark.practice("trap: a 40 A fuse in a 30 A in-line holder")
def test_a_fuse_larger_than_its_holder() -> None:
    made = fan(fitted=Fitted(fuse_rating=40.0, fuse_kind="C", holder_rating=30.0))
    assert ("W16", 40.0, 30.0) in made.findings
    right = fan(fitted=Fitted(fuse_rating=40.0, fuse_kind="E", holder_rating=60.0))
    assert "W16" not in {code for code, _, _ in right.findings}


@pytest.mark.by_hand("10 gauge carries 30.2 A here: 50 A is 1.65 times it, over the 150 % rule; 40 A is 1.32 times")
def test_a_fuse_larger_than_its_wire() -> None:
    over = fan(fitted=Fitted(gauge=10.0, fuse_rating=50.0))
    assert any(code == "W10" and limit == 1.5 for code, _, limit in over.findings)
    held = fan(fitted=Fitted(gauge=10.0, fuse_rating=40.0))
    assert any(code == "W10" and limit == 1.0 for code, _, limit in held.findings)
    thin = fan(fitted=Fitted(gauge=14.0))
    assert "W01" in {code for code, _, _ in thin.findings}


@pytest.mark.behaviour("what is fitted stands: gauge, ground, fuse, relay, cut-out, soft start, no relay")
def test_fitted() -> None:
    made = fan(fitted=Fitted(gauge=8.0, ground_gauge=6.0, fuse_rating=50.0, fuse_kind="E", relay_rating=30.0))
    assert (made.supply_gauge, made.ground_gauge, made.fuse_rating, made.relay_rating) == (8.0, 6.0, 50.0, 30.0)
    codes = {code for code, _, _ in made.findings}
    assert {"W14", "W20", "W22"} <= codes
    with_cut_out = fan(fitted=Fitted(fuse_rating=50.0, fuse_kind="E", has_cut_out=True))
    assert "W14" not in {code for code, _, _ in with_cut_out.findings}
    soft = fan(soft_start=3.0, has_relay=False)
    assert soft.start_amps == pytest.approx(1.8 * soft.highest_amps)
    assert soft.locked_amps == fan().start_amps
    assert soft.relay_count == 0
    awg = fan(fitted=Fitted(standard="AWG"))
    assert awg.supply_ampacity == pytest.approx(fan().supply_ampacity / 0.95)


@pytest.mark.independent("a start computed step by step elsewhere: 20 A, s 3.3, assumed inertia: 3060 A2s in 1.8 s")
def test_surge() -> None:
    assert surge(replace(fan(), highest_amps=20.0, start_amps=66.0)) == pytest.approx(3060.0, rel=0.05)


@pytest.mark.by_hand("10 gauge: 2.59 + 1.6 = 4.19 mm across; four: 1.25 x 4.19 x 2 = 10.5 mm")
def test_loom() -> None:
    assert loom_diameter(TWO) == pytest.approx(10.5e-3, rel=0.01)
