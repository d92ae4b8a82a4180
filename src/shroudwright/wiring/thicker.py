"""The gauge that would mend a circuit, counted as SAE wire, the thinner of its number.

gauge_carrying   supply and ground that carry some amps
gauge_losing     supply and ground that lose few volts
ground_losing    ground that loses few volts
"""

from collections.abc import Callable

from shroudwright.wiring.circuits import FanCircuit, carries, wire_resistance
from shroudwright.wiring.wire import gauges

LEAST_DROP = 0.5
"""Of a fan's whole circuit that is good: common practice, no source, [V]"""


def _thinnest(does: Callable[[float], bool]) -> float | None:
    return next((gauge for gauge in gauges("SAE") if does(gauge)), None)


def gauge_carrying(circuit: FanCircuit, amps: float) -> float | None:
    """Thinnest whose every stretch, out and back, carries some amps, [A]; None where none kept does."""
    runs = (circuit.segments, circuit.ground)
    return _thinnest(lambda gauge: all(carries(gauge, run, circuit.insulation) >= amps for run in runs))


def gauge_losing(circuit: FanCircuit, volts: float) -> float | None:
    """Thinnest with which the circuit loses no more, joints and fuse as they are, [V]; None where none kept does."""
    runs = (circuit.segments, circuit.ground)
    own = zip((circuit.supply_gauge, circuit.ground_gauge), runs, strict=True)
    rest = circuit.path_resistance - sum(wire_resistance(gauge, run, "SAE") for gauge, run in own)
    most = volts / circuit.working_amps - rest
    return _thinnest(lambda gauge: sum(wire_resistance(gauge, run, "SAE") for run in runs) <= most)


def ground_losing(circuit: FanCircuit, volts: float) -> float | None:
    """Thinnest ground that loses no more, [V]; None where none kept does."""
    return _thinnest(lambda gauge: circuit.working_amps * wire_resistance(gauge, circuit.ground, "SAE") <= volts)
