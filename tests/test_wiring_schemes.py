"""Schemes laid out as harnesses, and what turns when what is pressed: followed wire by wire."""

from collections.abc import Iterator
from itertools import product

import pytest

from shroudwright.bench.errors import InputError
from shroudwright.wiring.harness import TERMINALS, Builder, Harness
from shroudwright.wiring.schemes import MOST_FANS, SCHEMES, Needs, harness

ALL = [
    (scheme, count)
    for scheme in SCHEMES
    for count in range(1, MOST_FANS + 1)
    if count >= SCHEMES[scheme].fewest_fans and not (scheme == "series and parallel" and count % 2)
]


def laid(scheme: str, count: int, *, ac: bool = False, override: bool = False, after: bool = False) -> Harness:
    stages = tuple(1 + index % 2 if count > 1 else 1 for index in range(count))
    codes = tuple(f"Q{index + 1}" for index in range(count))
    return harness(scheme, Needs(codes, stages, ac, override, is_after_run=after))


class Followed:
    """A harness with some controls closed; relays pull in until nothing changes. Diodes pass one way, lamps nothing."""

    def __init__(
        self, made: Harness, *grounded: tuple[str, str], pressed: tuple[str, ...] = (), ac: bool = False
    ) -> None:
        self.made, self.grounded, self.pressed, self.ac = made, set(grounded), pressed, ac
        self.pulled: set[str] = set()
        while True:
            relays = {part.id for part in made.of_kind("relay") if self._coil(part.id)}
            if relays == self.pulled:
                break
            self.pulled = relays

    def _links(self) -> Iterator[tuple[tuple[str, str], tuple[str, str]]]:
        for wire in self.made.wires:
            yield tuple(wire.begins), tuple(wire.ends)  # type: ignore[misc]
        for part in self.made.parts:
            if part.kind in ("fuse", "resistor"):
                yield tuple((part.id, terminal) for terminal in TERMINALS[part.kind])  # type: ignore[misc]
            if part.kind == "relay":
                yield (part.id, "30"), (part.id, "87" if part.id in self.pulled else "87a")
            if part.kind == "dash switch" and part.id in self.pressed:
                yield (part.id, "1"), (part.id, "2")

    def reached(self, *start: tuple[str, str], backward: bool = False) -> set[tuple[str, str]]:
        """Every pin joined to a start; through a diode only from anode to cathode, or back."""
        links: dict[tuple[str, str], set[tuple[str, str]]] = {}
        for one, two in self._links():
            links.setdefault(one, set()).add(two)
            links.setdefault(two, set()).add(one)
        for part in self.made.of_kind("diode"):
            ends = [(part.id, "anode"), (part.id, "cathode")]
            before, after = ends[::-1] if backward else ends
            links.setdefault(before, set()).add(after)
        seen, todo = set(start), list(start)
        while todo:
            for pin in links.get(todo.pop(), set()) - seen:
                seen.add(pin)
                todo.append(pin)
        return seen

    @property
    def fed(self) -> set[tuple[str, str]]:
        starts = [("B1", "+"), *((part.id, "on") for part in self.made.of_kind("ignition"))]
        if self.ac:
            starts += [(part.id, "on") for part in self.made.of_kind("A/C request")]
        return self.reached(*starts)

    @property
    def earthed(self) -> set[tuple[str, str]]:
        studs = [(part.id, "stud") for part in self.made.of_kind("ground")]
        return self.reached(*studs, *self.grounded, backward=True)

    def _coil(self, relay: str) -> bool:
        return (relay, "86") in self.fed and (relay, "85") in self.earthed

    def running(self) -> list[str]:
        """Fans with full volts across them."""
        fed, earthed = self.fed, self.earthed
        return [fan.label for fan in self.made.of_kind("fan") if (fan.id, "+") in fed and (fan.id, "-") in earthed]


def first(count: int) -> list[str]:
    return [f"Q{index + 1}" for index in range(count) if index % 2 == 0 or count == 1]


def everyone(count: int) -> list[str]:
    return [f"Q{index + 1}" for index in range(count)]


@pytest.mark.law("every part is joined, every fan has a fuse between it and the battery and its own way to ground")
@pytest.mark.parametrize(("scheme", "count"), ALL)
@pytest.mark.parametrize(("ac", "override"), list(product((False, True), repeat=2)))
def test_whole(scheme: str, count: int, ac: bool, override: bool) -> None:
    made = laid(scheme, count, ac=ac, override=override)
    assert all(made.at(part.id) for part in made.parts)
    assert len({part.id for part in made.parts}) == len(made.parts)
    assert [wire.tag for wire in made.wires] == list(range(1, len(made.wires) + 1))
    ends = [frozenset((wire.begins, wire.ends)) for wire in made.wires]
    assert len(set(ends)) == len(ends), "no two wires join the same pins"
    for index in range(count):
        assert made.part(f"F{index + 1}").kind == "fuse"
        assert any(wire.fans == (index,) and wire.ends.part == f"F{index + 1}" for wire in made.wires)
    # Taking every fuse out leaves nothing beyond the battery, the ignition and their first wires fed.
    fuseless = Followed(made)
    beyond = {part.id for part in made.of_kind("fan", "relay", "pwm module", "controller")}
    live = Followed(_without_fuses(made)).fed
    assert not {pin[0] for pin in live} & beyond
    assert {pin[0] for pin in fuseless.fed} & beyond
    terminals = {pin for wire in made.wires for pin in (wire.begins, wire.ends)}
    most = {pin: len(made.at(*pin)) for pin in terminals if made.part(pin.part).kind in ("relay", "fan", "controller")}
    assert max(most.values()) <= 3


@pytest.mark.behaviour("a water pump turns with the ignition whatever the fans do, on its own fuse, relay and ground")
@pytest.mark.parametrize(("scheme", "count"), [("controller", 1), ("pwm module", 2), ("dash switch", 4)])
def test_pump(scheme: str, count: int) -> None:
    made = harness(scheme, Needs(tuple(f"Q{index + 1}" for index in range(count)), (1,) * count, pump="P"))
    followed = Followed(made)
    (pump,) = made.of_kind("water pump")
    assert (pump.id, "+") in followed.fed
    assert (pump.id, "-") in followed.earthed
    assert followed.running() == []
    fuses = {fuse.id for fuse in made.of_kind("fuse") if fuse.label == "fuse, P"}
    assert fuses == {f"F{count + 1}"}
    cold = Harness(made.scheme, tuple(part for part in made.parts if part.id != "S5"), made.wires)
    assert (pump.id, "+") not in Followed(cold).fed
    live = {pin[0] for pin in Followed(_without_fuses(made)).fed}
    assert not live & {pump.id, f"K{count + 1}"}


def _without_fuses(made: Harness) -> Harness:
    build = Builder(made.scheme, [part for part in made.parts if part.kind != "fuse"])
    kept = {part.id for part in build.parts}
    build.wires = [wire for wire in made.wires if {wire.begins.part, wire.ends.part} <= kept]
    return build.done()


@pytest.mark.behaviour(
    "nothing turns with nothing asked; each stage turns its fans, the A/C the first, the override all"
)
@pytest.mark.parametrize(
    ("scheme", "low", "high"),
    [
        ("two-stage thermal switch", ("T1", "1"), ("T1", "2")),
        ("controller", ("U1", "out 1"), ("U1", "out 2")),
        ("computer and relays", ("U1", "fan 1"), ("U1", "fan 2")),
    ],
)
@pytest.mark.parametrize("count", [2, 3, 4])
def test_two_stages(scheme: str, low: tuple[str, str], high: tuple[str, str], count: int) -> None:
    made = laid(scheme, count, ac=True, override=True)
    assert Followed(made).running() == []
    assert Followed(made, low).running() == first(count)
    assert Followed(made, low, high).running() == everyone(count)
    assert Followed(made, pressed=("S2",)).running() == everyone(count)
    if scheme == "two-stage thermal switch":
        assert Followed(made, ac=True).running() == first(count)


@pytest.mark.behaviour("one trigger turns all: a dash switch, a thermal switch; the A/C relay too")
@pytest.mark.parametrize("count", [1, 2, 4])
def test_one_trigger(count: int) -> None:
    dash = laid("dash switch", count, ac=True)
    assert Followed(dash).running() == []
    assert Followed(dash, pressed=("S3",)).running() == everyone(count)
    thermal = laid("thermal switch", count, ac=True, override=True)
    assert Followed(thermal, ("T1", "1")).running() == everyone(count)
    assert Followed(thermal, pressed=("S2",)).running() == everyone(count)
    assert Followed(thermal, ac=True).running() == everyone(count)


@pytest.mark.behaviour("series on low: the first fan's return goes through the second; on high each has all the volts")
@pytest.mark.parametrize("count", [2, 4])
def test_series_and_parallel(count: int) -> None:
    made = laid("series and parallel", count)
    low = Followed(made, ("U1", "out 1"))
    # Followed as joined metal: a motor is no wire, so on low the first is fed, the second earthed, neither both.
    assert low.running() == []
    assert {("M1", "+")} <= low.fed
    assert ("M1", "-") in low.reached(("M2", "+"))
    assert ("M2", "-") in low.earthed
    assert ("M1", "-") not in low.earthed
    assert ("M2", "+") not in low.fed
    high = Followed(made, ("U1", "out 1"), ("U1", "out 2"))
    assert high.running() == everyone(count)


@pytest.mark.behaviour("a resistor stands in the low path only")
def test_resistor() -> None:
    made = laid("resistor", 2)
    low = Followed(made, ("U1", "out 1"))
    assert low.running() == everyone(2)
    assert low.pulled == {"K1", "K2"}
    assert ("R1", "1") in low.fed
    assert Followed(made, ("U1", "out 2")).pulled == {"K1h", "K2h"}


@pytest.mark.behaviour("fans that run on are fed at their coils with the key off; the others are not")
def test_after_run() -> None:
    on = laid("controller", 2, after=True)
    assert not on.of_kind("ignition")
    assert Followed(on, ("U1", "out 1"), ("U1", "out 2")).running() == everyone(2)
    assert laid("controller", 2).of_kind("ignition")[0].label == "ignition, dead in crank"
    with pytest.raises(InputError, match="after-run: a dash switch has nothing that turns"):
        laid("dash switch", 1, after=True)


@pytest.mark.behaviour("a computer never drives a motor, and a pulsed output never meets a relay")
@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_outputs(count: int) -> None:
    for scheme in ("computer and relays", "computer and pwm module", "pwm module"):
        made = laid(scheme, count, ac=True, override=True)
        for computer in made.of_kind("engine computer"):
            assert not any(wire.fans for wire in made.at(computer.id))
        if "pwm" in scheme:
            assert len(made.of_kind("pwm module")) == count
            for wire in made.at("U1", "fan command"):
                assert made.part(wire.ends.part).kind == "pwm module"


@pytest.mark.behaviour("what cannot be laid out is refused, every fault at once")
def test_refusals() -> None:
    with pytest.raises(InputError, match="scheme: 'wishes' is not one of dash switch, thermal switch"):
        harness("wishes", Needs(("A",), (1,)))
    with pytest.raises(InputError) as error:
        harness("series and parallel", Needs(("A", "B", "C"), (1, 2)))
    assert error.value.faults == (
        "scheme: series and parallel works fans in pairs, not 3",
        "stages: give 1 or 2 for every fan",
    )
    build = Builder("x")
    build.put("K1", "relay", "relay", "engine bay")
    with pytest.raises(ValueError, match="K1 is there already"):
        build.put("K1", "relay", "relay", "engine bay")
    with pytest.raises(ValueError, match=r"K1 \(relay\) has no terminal 88"):
        build.lay(("K1", "88"), ("K1", "85"), "control", ())
