"""Every wire of a harness sized: as thick as its fans need, as long as the job says, coloured and ended."""

from functools import cache
from itertools import product

import pytest

from shroudwright.drawing.wiring_diagram import wiring_diagram
from shroudwright.materials.conductor import sae_area
from shroudwright.wiring.circuits import FanCircuit, fan_circuit
from shroudwright.wiring.fitted import Fitted
from shroudwright.wiring.harness import Harness
from shroudwright.wiring.schemes import GIVES_SIGNAL, MOST_FANS, SCHEMES, Needs, harness
from shroudwright.wiring.sizing import (
    AS_FITTED,
    PLUGS,
    STRAP,
    Runs,
    Sized,
    label,
    main_ampacity,
    main_fuse,
    metric_size,
    plug_of,
    size,
)

RUNS = Runs(hot=0.4572, fender=1.2192, home=0.6096, earth=0.762, control=2.4)
HOT = 398.15
CASES = [
    (scheme, count)
    for scheme, count in product(SCHEMES, range(1, MOST_FANS + 1))
    if count >= SCHEMES[scheme].fewest_fans and not (scheme == "series and parallel" and count % 2)
]


def circuit(amps: float = 20.0, name: str = "Q", **other: object) -> FanCircuit:
    return fan_circuit(name=name, run_amps=amps, test_volts=13.5, start_ratio=3.3, is_brushless=False, **other)  # type: ignore[arg-type]


@cache
def laid(scheme: str, count: int, is_governed: bool = False) -> tuple[Harness, tuple[FanCircuit, ...]]:
    codes = tuple(f"Q{index}" for index in range(count))
    stages = tuple(1 if index == 0 else 2 for index in range(count))
    governed = tuple(range(count)) if is_governed else ()
    made = harness(scheme, Needs(codes, stages, True, scheme != "computer and pwm module", governed=governed))
    return made, tuple(circuit(20.0 - 4.0 * index, code) for index, code in enumerate(codes))


def sized(scheme: str, count: int, fitted: Fitted | None = None) -> tuple[Sized, ...]:
    made, circuits = laid(scheme, count)
    return size(made, circuits, RUNS, insulation=HOT, fitted=fitted or Fitted())


@pytest.mark.law("one wire of the list for every wire of the harness; a fan's own have its circuit's gauge and amps")
@pytest.mark.parametrize(("scheme", "count"), CASES)
def test_gauges(scheme: str, count: int) -> None:
    made, circuits = laid(scheme, count)
    wires = sized(scheme, count)
    assert [wire.number for wire in wires] == [wire.tag for wire in made.wires]
    for drawn, wire in zip(made.wires, wires, strict=True):
        assert wire.length > 0.0
        assert wire.cut > wire.length
        if drawn.begins == STRAP:
            assert wire.size == AS_FITTED
        elif not drawn.fans:
            assert wire.gauge == 18.0
            assert wire.amps <= 0.15 * 2 * count + 1e-9
        elif len(drawn.fans) == 1:
            fan = circuits[drawn.fans[0]]
            assert wire.gauge == (fan.ground_gauge if drawn.role == "ground" else fan.supply_gauge)
            assert wire.amps == pytest.approx(fan.highest_amps)
        else:
            assert wire.amps == pytest.approx(sum(fan.highest_amps for fan in circuits))
            assert main_ampacity(wire.gauge, HOT) >= wire.amps
            assert main_fuse(circuits) <= main_ampacity(wire.gauge, HOT) or wire.gauge == 4.0


@pytest.mark.law("from battery to each fan the wires add up to the job's stretches, the first no longer than 7 in")
@pytest.mark.parametrize("scheme", ["dash switch", "controller", "pwm module", "computer and relays"])
@pytest.mark.parametrize("count", [1, 2, 4])
def test_lengths(scheme: str, count: int) -> None:
    made, _ = laid(scheme, count)
    wires = sized(scheme, count)
    for fan in range(count):
        own = [
            wire
            for drawn, wire in zip(made.wires, wires, strict=True)
            if drawn.role == "power" and fan in drawn.fans and drawn.begins.part != "B1-"
        ]
        assert sum(wire.length for wire in own) == pytest.approx(RUNS.hot + RUNS.fender + RUNS.home)
        assert own[0].length <= 7 * 0.0254
        grounds = [wire for drawn, wire in zip(made.wires, wires, strict=True) if drawn.begins == (f"M{fan + 1}", "-")]
        assert [wire.length for wire in grounds] == [RUNS.earth]


@pytest.mark.practice("red until it is switched, a colour to a fan after that, black to ground, green for signals")
def test_colours() -> None:
    wires = {(wire.begins, wire.ends): wire for wire in sized("controller", 2)}
    assert wires["B1 +", "F9 in"].colour == "red"
    assert wires["F1 out", "K1 30"].colour == "red"
    assert wires["K1 87", "Q0 (M1) +"].colour == "orange"
    assert wires["K2 87", "Q1 (M2) +"].colour == "blue"
    assert wires["Q0 (M1) -", "G1 stud"].colour == "black"
    assert wires["N1 a", "U1 sensor"].colour == "green"
    assert wires["B1 −", "G0 stud"].terminals == "ring"
    assert wires["K1 87", "Q0 (M1) +"].terminals.startswith("9.5 mm tab")
    assert wires["F0 out", "K1 86"].terminals == "holder, 6.3 mm tab"
    assert "plug" in wires["K1 87", "Q0 (M1) +"].terminals


@pytest.mark.by_hand("22.1 + 17.7 = 39.7 A over 0.75 x 0.868 (60 C) = 61.0 A: the next large blade is 70 A")
def test_main_fuse() -> None:
    assert main_fuse([circuit(20.0), circuit(16.0)]) == 70.0
    assert main_fuse([circuit(28.0)] * 3) == 150.0
    assert main_fuse([circuit(60.0)] * 4) == 200.0


@pytest.mark.by_hand("SAE 10 is 4.734 mm2: 5 mm2; 14 is 1.876: 2; 4 is 18.93: 20")
def test_metric() -> None:
    assert [metric_size(gauge) for gauge in (10.0, 14.0, 4.0)] == [5.0, 2.0, 20.0]
    for wire in sized("controller", 2, Fitted(standard="metric"))[1:]:
        assert wire.size.endswith(" mm²")
        assert float(wire.size.split()[0]) * 1e-6 >= sae_area(wire.gauge)


@pytest.mark.by_hand("80 % of 15, 22 and 37 A: 12, 17.6 and 29.6 A")
def test_plugs() -> None:
    assert [plug_of(amps) for amps in (12.0, 12.1, 17.7, 29.7)] == [
        f"{PLUGS[0][0]:g} mm tab",
        f"{PLUGS[1][0]:g} mm tab",
        f"{PLUGS[2][0]:g} mm tab",
        "ring on a stud",
    ]


@pytest.mark.behaviour("a fan that governs its own speed is commanded by what can, fan to fan")
@pytest.mark.parametrize("scheme", GIVES_SIGNAL)
@pytest.mark.parametrize("count", [1, 4])
def test_signals(scheme: str, count: int) -> None:
    made, circuits = laid(scheme, count, True)
    for fan in range(count):
        assert made.at(f"M{fan + 1}", "signal")
    wires = size(made, circuits, RUNS, insulation=HOT)
    assert wiring_diagram(made, {wire.number: label(wire) for wire in wires}).untagged == ()


@pytest.mark.behaviour("the diagram names every wire of the list, in full where there is room")
@pytest.mark.parametrize(("scheme", "count"), [("controller", 2), ("series and parallel", 4), ("resistor", 3)])
def test_labels(scheme: str, count: int) -> None:
    made, _ = laid(scheme, count)
    wires = sized(scheme, count)
    drawn = wiring_diagram(made, {wire.number: label(wire) for wire in wires})
    assert drawn.untagged == ()
    said = {getattr(shape, "words", "") for shape in drawn.picture.shapes}
    full = [wire for wire in wires if label(wire) in said]
    assert len(full) > len(wires) / 2
    assert all(str(wire.number) in said for wire in wires if wire not in full)
