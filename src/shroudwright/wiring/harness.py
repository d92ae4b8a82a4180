"""A harness as data: what stands where, which terminal is joined to which, and what each wire carries.

Part      one thing with terminals
Pin       a terminal of a part
Wire      one wire between two pins
Harness   all of them
Builder   put one together; tags in the order of laying

Gauges, colours and lengths are worked out from it (`wiring/sizing.py`); diagrams are drawn from it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, TypeAlias

Kind: TypeAlias = Literal[
    "battery",
    "post",
    "ignition",
    "fuse",
    "relay",
    "fan",
    "water pump",
    "controller",
    "pwm module",
    "engine computer",
    "thermal switch",
    "sensor",
    "dash switch",
    "lamp",
    "resistor",
    "diode",
    "ground",
    "splice",
    "A/C request",
]
Place: TypeAlias = Literal["battery", "engine bay", "behind the core", "cabin"]
Role: TypeAlias = Literal["power", "ground", "control", "signal"]

TERMINALS: dict[Kind, tuple[str, ...]] = {
    "battery": ("+", "-"),
    "post": ("+",),
    "ignition": ("on",),
    "fuse": ("in", "out"),
    "relay": ("30", "85", "86", "87", "87a"),
    "fan": ("+", "-", "signal"),
    "water pump": ("+", "-"),
    "controller": ("feed", "ground", "sensor", "sensor return", "out 1", "out 2", "fan command", "A/C"),
    "pwm module": ("feed", "ground", "fan +", "command", "enable"),
    "engine computer": ("fan 1", "fan 2", "fan command", "A/C", "sensor"),
    "thermal switch": ("1", "2", "ground"),
    "sensor": ("a", "b"),
    "dash switch": ("1", "2"),
    "lamp": ("1", "2"),
    "resistor": ("1", "2"),
    "diode": ("anode", "cathode"),
    "ground": ("stud",),
    "splice": ("1",),
    "A/C request": ("on",),
}
"""What can be joined on each kind; relay numbers are those of ISO 7588, from memory"""


MOTORS: tuple[Kind, ...] = ("fan", "water pump")
"""What has a branch of its own"""


class Part(NamedTuple):
    """One thing with terminals."""

    id: str
    """short, used once, such as K1"""
    kind: Kind
    label: str
    place: Place
    stage: int = 0
    """of the fans it works, from 1; 0 where it serves all"""


class Pin(NamedTuple):
    """A terminal of a part."""

    part: str
    terminal: str

    def __str__(self) -> str:
        """Return it as a list prints it."""
        return f"{self.part}.{self.terminal}"


class Wire(NamedTuple):
    """One wire, and whose current it carries."""

    tag: int
    begins: Pin
    ends: Pin
    role: Role
    fans: tuple[int, ...] = ()
    """indices of the fans whose whole current flows in it, a water pump's after the last; none for control wires"""
    coils: int = 0
    """relay coils fed or grounded through it, [-]"""
    way: tuple[str, ...] = ()
    """stretches it runs through: hot (behind the core), fender, cabin, home (by the battery), earth"""


@dataclass(frozen=True)
class Harness:
    """Parts and the wires between them."""

    scheme: str
    parts: tuple[Part, ...]
    wires: tuple[Wire, ...]

    def part(self, wanted: str) -> Part:
        """Return the part of an id."""
        return next(part for part in self.parts if part.id == wanted)

    def of_kind(self, *kinds: Kind) -> tuple[Part, ...]:
        """Return the parts of some kinds, in order."""
        return tuple(part for part in self.parts if part.kind in kinds)

    def at(self, part: str, terminal: str = "") -> tuple[Wire, ...]:
        """Return the wires on a part, or on one terminal of it."""
        return tuple(
            wire
            for wire in self.wires
            for pin in (wire.begins, wire.ends)
            if pin.part == part and terminal in ("", pin.terminal)
        )


@dataclass
class Builder:
    """Parts and wires as they are laid."""

    scheme: str
    parts: list[Part] = field(default_factory=list)
    wires: list[Wire] = field(default_factory=list)

    def put(self, id: str, kind: Kind, label: str, place: Place, stage: int = 0) -> str:
        """Put a part down and return its id."""
        if any(part.id == id for part in self.parts):
            raise ValueError(f"{id} is there already")
        self.parts.append(Part(id, kind, label, place, stage))
        return id

    def lay(
        self,
        begins: tuple[str, str],
        ends: tuple[str, str],
        role: Role,
        way: Iterable[str],
        *,
        fans: Iterable[int] = (),
        coils: int = 0,
    ) -> None:
        """Lay a wire between two terminals."""
        kinds = {part.id: part.kind for part in self.parts}
        for part, terminal in (begins, ends):
            if terminal not in TERMINALS[kinds[part]]:
                raise ValueError(f"{part} ({kinds[part]}) has no terminal {terminal}")
        self.wires.append(Wire(len(self.wires) + 1, Pin(*begins), Pin(*ends), role, tuple(fans), coils, tuple(way)))

    def done(self) -> Harness:
        """Return the finished harness."""
        return Harness(self.scheme, tuple(self.parts), tuple(self.wires))
