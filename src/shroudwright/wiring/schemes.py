"""Ways to switch one to four fans, each as a harness.

SCHEMES    what each is called, and what it gives up
Needs      what the job asks of a scheme
harness    lay it out

Every fan has its own branch fuse and its own ground; a main fuse stands before them where there are two or more.
Coils are worked on the ground side, so that a chafed control wire starts a fan instead of blowing a fuse.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

from shroudwright.bench.errors import InputError
from shroudwright.wiring.harness import Builder, Harness

MOST_FANS = 4
GIVES_SIGNAL = ("controller", "computer and relays")
"""Schemes that command a fan which governs its own speed"""


class Scheme(NamedTuple):
    """A way of switching."""

    name: str
    says: str
    gives_up: str
    speeds: int
    """a fan can run at; 0: any"""
    fewest_fans: int = 1


SCHEMES: dict[str, Scheme] = {
    scheme.name: scheme
    for scheme in (
        Scheme("dash switch", "A switch on the dash works the relays.", "Somebody must watch the gauge.", 1),
        Scheme(
            "thermal switch",
            "A bimetal switch in the coolant works the relays.",
            "One fixed temperature; a broken wire leaves the fans off.",
            1,
        ),
        Scheme(
            "two-stage thermal switch",
            "A bimetal switch with two temperatures works the fans in two stages.",
            "Fixed temperatures; a broken wire leaves the fans off.",
            1,
            2,
        ),
        Scheme(
            "controller",
            "An adjustable controller with its own sensor works the relays in one or two stages.",
            "On or off only.",
            1,
        ),
        Scheme(
            "pwm module",
            "A solid-state module to each fan turns it as fast as the coolant asks.",
            "Cost; the module must sit in air and carry the fan.",
            0,
        ),
        Scheme(
            "computer and relays",
            "The engine computer grounds the relays' coils in one or two stages.",
            "On or off only; somebody must set the computer.",
            1,
        ),
        Scheme(
            "computer and pwm module",
            "The engine computer commands a module to each fan.",
            "Cost; polarity and frequency must be the module's.",
            0,
        ),
        Scheme(
            "series and parallel",
            "Three relays put two fans in series for low and side by side for high.",
            "On low one dead fan stops both; fans must be alike.",
            2,
            2,
        ),
        Scheme(
            "resistor", "A resistor drops the volts for low.", "The resistor's heat, and one more relay to a fan.", 2
        ),
    )
}


class Needs(NamedTuple):
    """What the job asks of a scheme."""

    fans: tuple[str, ...]
    """codes, in order"""
    stages: tuple[int, ...]
    """1 or 2 for each fan: which starts first"""
    has_air_conditioning: bool = False
    has_override: bool = False
    """a dash switch that runs the fans whatever the rest does, with a lamp that says they are fed"""
    is_off_in_crank: bool = True
    """coils fed from an ignition circuit that is dead while cranking"""
    is_after_run: bool = False
    """coils fed with the key off as well"""
    governed: tuple[int, ...] = ()
    """indices of brushless fans that want a signal of their own"""
    pump: str = ""
    """an electric water pump's name; on its own relay wherever the ignition is on"""

    @property
    def branches(self) -> tuple[str, ...]:
        """What has a fuse of its own: fans, then the pump."""
        return (*self.fans, self.pump) if self.pump else self.fans


_HOME, _FENDER, _HOT, _CABIN, _EARTH = "home", "fender", "hot", "cabin", "earth"
_OUT = (_HOT, _FENDER, _HOME)


def harness(scheme: str, needs: Needs) -> Harness:
    """Lay a scheme out for some fans.

    Parameters
    ----------
    scheme : str
        A name of `SCHEMES`, [text]
    needs : Needs
        Fans, their stages and what else is asked.

    Returns
    -------
    Harness
        Without gauges and lengths.

    Raises
    ------
    InputError
        If there is no such scheme, or it cannot work so many fans.
    """
    faults = []
    if scheme not in SCHEMES:
        raise InputError([f"scheme: {scheme!r} is not one of {', '.join(SCHEMES)}"])
    count, least = len(needs.fans), SCHEMES[scheme].fewest_fans
    if not least <= count <= MOST_FANS:
        faults.append(f"scheme: {scheme} works {least} to {MOST_FANS} fans, not {count}")
    if scheme == "series and parallel" and count % 2:
        faults.append(f"scheme: {scheme} works fans in pairs, not {count}")
    if len(needs.stages) != count or not set(needs.stages) <= {1, 2}:
        faults.append("stages: give 1 or 2 for every fan")
    if needs.is_after_run and scheme == "dash switch":
        faults.append("after-run: a dash switch has nothing that turns the fans off again; choose a controller")
    if faults:
        raise InputError(faults)
    build = Builder(scheme)
    _source(build, needs)
    _LAID[scheme](build, needs)
    if needs.pump:
        _pump(build, needs)
    return build.done()


def _source(build: Builder, needs: Needs) -> None:
    """Battery, main fuse, one branch fuse to a fan or pump, and a ground to each fan's side of the body."""
    everyone = range(len(needs.branches))
    build.put("B1", "battery", "battery", "battery")
    build.put("G0", "ground", "battery ground", "battery")
    build.lay(("B1", "-"), ("G0", "stud"), "ground", (_HOME,), fans=everyone)
    feed = ("B1", "+")
    if len(needs.branches) > 1:
        build.put("F9", "fuse", "main fuse", "battery")
        build.put("P1", "post", "power post", "engine bay")
        build.lay(feed, ("F9", "in"), "power", (_HOME,), fans=everyone)
        build.lay(("F9", "out"), ("P1", "+"), "power", (_HOME,), fans=everyone)
        feed = ("P1", "+")
    for index, code in enumerate(needs.branches):
        number = index + 1
        build.put(f"F{number}", "fuse", f"fuse, {code}", "engine bay", (*needs.stages, 0)[index])
        build.lay(feed, (f"F{number}", "in"), "power", (_HOME,), fans=(index,))


def _fan(build: Builder, needs: Needs, index: int, *, grounded: bool = True) -> None:
    number = index + 1
    build.put(f"M{number}", "fan", needs.fans[index], "behind the core", needs.stages[index])
    if grounded:
        build.put(f"G{number}", "ground", f"ground, {needs.fans[index]}", "engine bay")
        build.lay((f"M{number}", "-"), (f"G{number}", "stud"), "ground", (_EARTH,), fans=(index,))


def _pump(build: Builder, needs: Needs) -> None:
    """A relay worked by the ignition alone: no sensor and no switch of the fans can stop the coolant."""
    index = len(needs.fans)
    number = index + 1
    relay = build.put(f"K{number}", "relay", f"relay, {needs.pump}", "engine bay")
    build.put(f"M{number}", "water pump", needs.pump, "engine bay")
    build.put(f"G{number}", "ground", f"ground, {needs.pump}", "engine bay")
    build.lay((f"F{number}", "out"), (relay, "30"), "power", (_HOME,), fans=(index,))
    build.lay((relay, "87"), (f"M{number}", "+"), "power", _OUT, fans=(index,))
    build.lay((f"M{number}", "-"), (f"G{number}", "stud"), "ground", (_EARTH,), fans=(index,))
    build.put("S5", "ignition", "ignition", "cabin")
    build.put("F8", "fuse", "fuse, pump coil", "engine bay")
    build.put("G9", "ground", "ground, pump coil", "engine bay")
    build.lay(("S5", "on"), ("F8", "in"), "control", (_CABIN,), coils=1)
    build.lay(("F8", "out"), (relay, "86"), "control", (_HOME,), coils=1)
    build.lay((relay, "85"), ("G9", "stud"), "control", (_HOME,), coils=1)


def _coil_feed(build: Builder, needs: Needs, coils: Sequence[str]) -> None:
    """One small fuse feeds every coil at 86; from the ignition, or from the battery where fans run on."""
    if needs.is_after_run:
        source = ("P1", "+") if len(needs.branches) > 1 else ("B1", "+")
    else:
        label = "ignition, dead in crank" if needs.is_off_in_crank else "ignition"
        source = (build.put("S1", "ignition", label, "cabin"), "on")
    build.put("F0", "fuse", "coil fuse", "engine bay")
    build.lay(source, ("F0", "in"), "control", (_CABIN,), coils=len(coils))
    before = ("F0", "out")
    for place, coil in enumerate(coils):
        # From coil to coil, so that no terminal takes more than two wires.
        build.lay(before, (coil, "86"), "control", (_HOME,), coils=len(coils) - place)
        before = (coil, "86")


def _relays(build: Builder, needs: Needs) -> dict[int, list[str]]:
    """One relay to a fan; return the relays of each stage."""
    stages: dict[int, list[str]] = {}
    for index, code in enumerate(needs.fans):
        number, stage = index + 1, needs.stages[index]
        relay = build.put(f"K{number}", "relay", f"relay, {code}", "engine bay", stage)
        _fan(build, needs, index)
        build.lay((f"F{number}", "out"), (relay, "30"), "power", (_HOME,), fans=(index,))
        build.lay((relay, "87"), (f"M{number}", "+"), "power", _OUT, fans=(index,))
        stages.setdefault(stage, []).append(relay)
    _coil_feed(build, needs, [coil for stage in sorted(stages) for coil in stages[stage]])
    return stages


def _chain(build: Builder, coils: Sequence[str]) -> tuple[str, str]:
    """Join the low ends of some coils and return the pin that works them all."""
    for place, (before, after) in enumerate(pairwise(coils), start=1):
        build.lay((after, "85"), (before, "85"), "control", (_HOME,), coils=len(coils) - place)
    return coils[0], "85"


def _extras(build: Builder, needs: Needs, stages: dict[int, list[str]]) -> None:
    """A/C request by a small relay that grounds the first stage; override switch and lamp."""
    first = min(stages)
    if needs.has_air_conditioning:
        build.put("A1", "A/C request", "A/C clutch feed", "cabin")
        build.put("K8", "relay", "A/C relay", "engine bay")
        build.put("G8", "ground", "ground, A/C relay", "engine bay")
        build.lay(("A1", "on"), ("K8", "86"), "control", (_CABIN,), coils=1)
        build.lay(("K8", "85"), ("G8", "stud"), "control", (_HOME,), coils=1)
        build.lay((stages[first][0], "85"), ("K8", "30"), "control", (_HOME,), coils=len(stages[first]))
        build.lay(("K8", "87"), ("G8", "stud"), "control", (_HOME,), coils=len(stages[first]))
    _override(build, needs, stages)


def _signals(build: Builder, needs: Needs) -> None:
    """Command every fan that governs its own speed, from fan to fan."""
    source = ("U1", "fan command")
    for index in needs.governed:
        build.lay(source, (f"M{index + 1}", "signal"), "signal", (_CABIN, _FENDER, _HOT))
        source = (f"M{index + 1}", "signal")


def _override(build: Builder, needs: Needs, stages: dict[int, list[str]]) -> None:
    if not needs.has_override:
        return
    build.put("S2", "dash switch", "fans on", "cabin")
    build.put("G7", "ground", "ground, dash", "cabin")
    for stage, coils in stages.items():
        # A diode to a stage, so that one stage's control does not start the other's fans.
        build.put(f"D{stage}", "diode", f"diode, stage {stage}", "cabin", stage)
        build.lay((coils[-1], "85"), (f"D{stage}", "anode"), "control", (_CABIN,), coils=len(coils))
        build.lay((f"D{stage}", "cathode"), ("S2", "1"), "control", (_CABIN,), coils=len(coils))
    build.lay(("S2", "2"), ("G7", "stud"), "control", (_CABIN,), coils=sum(map(len, stages.values())))
    build.put("L1", "lamp", "fans fed", "cabin")
    build.lay((stages[min(stages)][0], "87"), ("L1", "1"), "control", (_CABIN,))
    build.lay(("L1", "2"), ("G7", "stud"), "control", (_CABIN,))


def _dash_switch(build: Builder, needs: Needs) -> None:
    stages = _relays(build, needs)
    works = _chain(build, [coil for stage in sorted(stages) for coil in stages[stage]])
    build.put("S3", "dash switch", "fan switch", "cabin")
    build.put("G6", "ground", "ground, dash", "cabin")
    build.put("L2", "lamp", "fans fed", "cabin")
    coils = sum(map(len, stages.values()))
    build.lay(works, ("S3", "1"), "control", (_CABIN,), coils=coils)
    build.lay(("S3", "2"), ("G6", "stud"), "control", (_CABIN,), coils=coils)
    build.lay(("K1", "87"), ("L2", "1"), "control", (_CABIN,))
    build.lay(("L2", "2"), ("G6", "stud"), "control", (_CABIN,))
    if needs.has_air_conditioning:
        _extras(build, needs._replace(has_override=False), stages)


def _thermal_switch(build: Builder, needs: Needs) -> None:
    stages = _relays(build, needs)
    works = _chain(build, [coil for stage in sorted(stages) for coil in stages[stage]])
    build.put("T1", "thermal switch", "thermal switch", "engine bay")
    build.put("G6", "ground", "ground, thermal switch", "engine bay")
    coils = sum(map(len, stages.values()))
    build.lay(works, ("T1", "1"), "control", (_FENDER,), coils=coils)
    build.lay(("T1", "ground"), ("G6", "stud"), "control", (_FENDER,), coils=coils)
    _extras(build, needs, {1: [coil for stage in sorted(stages) for coil in stages[stage]]})


def _two_stages(build: Builder, needs: Needs) -> None:
    stages = _relays(build, needs)
    build.put("T1", "thermal switch", "two-stage thermal switch", "engine bay")
    build.put("G6", "ground", "ground, thermal switch", "engine bay")
    for stage, coils in sorted(stages.items()):
        build.lay(_chain(build, coils), ("T1", str(stage)), "control", (_FENDER,), coils=len(coils))
    build.lay(("T1", "ground"), ("G6", "stud"), "control", (_FENDER,), coils=sum(map(len, stages.values())))
    _extras(build, needs, stages)


def _controller(build: Builder, needs: Needs) -> None:
    stages = _relays(build, needs)
    build.put("U1", "controller", "fan controller", "cabin")
    build.put("N1", "sensor", "coolant sensor", "engine bay")
    build.put("G6", "ground", "ground, controller", "cabin")
    for stage, coils in sorted(stages.items()):
        build.lay(_chain(build, coils), ("U1", f"out {stage}"), "control", (_CABIN,), coils=len(coils))
    build.lay(("F0", "out"), ("U1", "feed"), "control", (_CABIN,))
    build.lay(("U1", "ground"), ("G6", "stud"), "control", (_CABIN,), coils=sum(map(len, stages.values())))
    build.lay(("N1", "a"), ("U1", "sensor"), "signal", (_FENDER, _CABIN))
    build.lay(("N1", "b"), ("U1", "sensor return"), "signal", (_FENDER, _CABIN))
    if needs.has_air_conditioning:
        build.put("A1", "A/C request", "A/C clutch feed", "cabin")
        build.lay(("A1", "on"), ("U1", "A/C"), "signal", (_CABIN,))
    _signals(build, needs)
    _override(build, needs, stages)


def _computer_relays(build: Builder, needs: Needs) -> None:
    stages = _relays(build, needs)
    build.put("U1", "engine computer", "engine computer", "cabin")
    for stage, coils in sorted(stages.items()):
        build.lay(_chain(build, coils), ("U1", f"fan {stage}"), "control", (_CABIN,), coils=len(coils))
    if needs.has_air_conditioning:
        build.put("A1", "A/C request", "A/C clutch feed", "cabin")
        build.lay(("A1", "on"), ("U1", "A/C"), "signal", (_CABIN,))
    _signals(build, needs)
    _override(build, needs, stages)


def _modules(build: Builder, needs: Needs) -> None:
    """A module to each fan, in its feed."""
    label = "ignition, dead in crank" if needs.is_off_in_crank else "ignition"
    build.put("S1", "ignition", label, "cabin")
    build.put("F0", "fuse", "enable fuse", "engine bay")
    build.lay(("S1", "on"), ("F0", "in"), "control", (_CABIN,))
    before = ("F0", "out")
    for index, code in enumerate(needs.fans):
        number = index + 1
        module = build.put(f"U{number + 1}", "pwm module", f"module, {code}", "engine bay", needs.stages[index])
        _fan(build, needs, index)
        build.put(f"H{number}", "ground", f"ground, module {number}", "engine bay")
        build.lay((f"F{number}", "out"), (module, "feed"), "power", (_HOME,), fans=(index,))
        build.lay((module, "fan +"), (f"M{number}", "+"), "power", _OUT, fans=(index,))
        build.lay((module, "ground"), (f"H{number}", "stud"), "ground", (_HOME,))
        build.lay(before, (module, "enable"), "control", (_HOME,))
        before = (module, "enable")


def _command(build: Builder, needs: Needs, source: tuple[str, str]) -> None:
    for index in range(len(needs.fans)):
        build.lay(source, (f"U{index + 2}", "command"), "signal", (_CABIN,))
        source = (f"U{index + 2}", "command")


def _pwm_module(build: Builder, needs: Needs) -> None:
    _modules(build, needs)
    build.put("N1", "sensor", "coolant sensor", "engine bay")
    build.put("G6", "ground", "ground, sensor", "engine bay")
    _command(build, needs, ("N1", "a"))
    build.lay(("N1", "b"), ("G6", "stud"), "signal", (_FENDER,))
    if needs.has_air_conditioning or needs.has_override:
        # Either request pulls the command to full through its own diode.
        build.put("K8", "relay", "full-speed relay", "engine bay")
        build.put("G8", "ground", "ground, full speed", "engine bay")
        build.lay(("U2", "command"), ("K8", "30"), "signal", (_HOME,))
        build.lay(("K8", "87"), ("G8", "stud"), "signal", (_HOME,))
        build.lay(("K8", "85"), ("G8", "stud"), "control", (_HOME,), coils=1)
        if needs.has_air_conditioning:
            build.put("A1", "A/C request", "A/C clutch feed", "cabin")
            build.put("D1", "diode", "diode, A/C", "cabin")
            build.lay(("A1", "on"), ("D1", "anode"), "control", (_CABIN,), coils=1)
            build.lay(("D1", "cathode"), ("K8", "86"), "control", (_CABIN,), coils=1)
        if needs.has_override:
            build.put("S2", "dash switch", "fans on", "cabin")
            build.put("D2", "diode", "diode, switch", "cabin")
            build.lay(("F0", "out"), ("S2", "1"), "control", (_CABIN,), coils=1)
            build.lay(("S2", "2"), ("D2", "anode"), "control", (_CABIN,), coils=1)
            build.lay(("D2", "cathode"), ("K8", "86"), "control", (_CABIN,), coils=1)


def _computer_pwm(build: Builder, needs: Needs) -> None:
    _modules(build, needs)
    build.put("U1", "engine computer", "engine computer", "cabin")
    _command(build, needs, ("U1", "fan command"))
    if needs.has_air_conditioning:
        build.put("A1", "A/C request", "A/C clutch feed", "cabin")
        build.lay(("A1", "on"), ("U1", "A/C"), "signal", (_CABIN,))


def _two_speeds(build: Builder, needs: Needs, low: Sequence[str], high: Sequence[str]) -> None:
    """What works the low and the high relays: an adjustable controller with two outputs."""
    _coil_feed(build, needs, [*low, *high])
    build.put("U1", "controller", "fan controller", "cabin")
    build.put("N1", "sensor", "coolant sensor", "engine bay")
    build.put("G6", "ground", "ground, controller", "cabin")
    build.lay(_chain(build, low), ("U1", "out 1"), "control", (_CABIN,), coils=len(low))
    build.lay(_chain(build, high), ("U1", "out 2"), "control", (_CABIN,), coils=len(high))
    build.lay(("F0", "out"), ("U1", "feed"), "control", (_CABIN,))
    build.lay(("U1", "ground"), ("G6", "stud"), "control", (_CABIN,), coils=len(low) + len(high))
    build.lay(("N1", "a"), ("U1", "sensor"), "signal", (_FENDER, _CABIN))
    build.lay(("N1", "b"), ("U1", "sensor return"), "signal", (_FENDER, _CABIN))
    if needs.has_air_conditioning:
        build.put("A1", "A/C request", "A/C clutch feed", "cabin")
        build.lay(("A1", "on"), ("U1", "A/C"), "signal", (_CABIN,))
    _override(build, needs, {1: list(low), 2: list(high)})


def _series_parallel(build: Builder, needs: Needs) -> None:
    """One relay feeds a pair's first fan, one sends its return through the second or to earth, one feeds that."""
    low, high = [], []
    for first in range(0, len(needs.fans), 2):
        one, two = first + 1, first + 2
        pair = (first, first + 1)
        for index in pair:
            _fan(build, needs, index, grounded=index != first)
        feed = build.put(f"K{one}", "relay", f"relay, pair {one // 2 + 1} low", "engine bay", 1)
        change = build.put(f"K{one}c", "relay", f"relay, pair {one // 2 + 1} changeover", "engine bay", 2)
        boost = build.put(f"K{two}", "relay", f"relay, pair {one // 2 + 1} high", "engine bay", 2)
        build.put(f"G{one}", "ground", f"ground, {needs.fans[first]}", "engine bay")
        build.lay((f"F{one}", "out"), (feed, "30"), "power", (_HOME,), fans=(first,))
        build.lay((feed, "87"), (f"M{one}", "+"), "power", _OUT, fans=(first,))
        build.lay((f"M{one}", "-"), (change, "30"), "power", _OUT, fans=(first,))
        build.lay((change, "87a"), (f"M{two}", "+"), "power", _OUT, fans=(first,))
        build.lay((change, "87"), (f"G{one}", "stud"), "ground", (_HOME,), fans=(first,))
        build.lay((f"F{two}", "out"), (boost, "30"), "power", (_HOME,), fans=(first + 1,))
        build.lay((boost, "87"), (f"M{two}", "+"), "power", _OUT, fans=(first + 1,))
        low.append(feed)
        high += [change, boost]
    _two_speeds(build, needs, low, high)


def _resistor(build: Builder, needs: Needs) -> None:
    low, high = [], []
    for index, code in enumerate(needs.fans):
        number = index + 1
        _fan(build, needs, index)
        slow = build.put(f"K{number}", "relay", f"relay, {code} low", "engine bay", 1)
        fast = build.put(f"K{number}h", "relay", f"relay, {code} high", "engine bay", 2)
        build.put(f"R{number}", "resistor", f"resistor, {code}", "behind the core", 1)
        build.lay((f"F{number}", "out"), (slow, "30"), "power", (_HOME,), fans=(index,))
        build.lay((slow, "30"), (fast, "30"), "power", (_HOME,), fans=(index,))
        build.lay((slow, "87"), (f"R{number}", "1"), "power", _OUT, fans=(index,))
        build.lay((f"R{number}", "2"), (f"M{number}", "+"), "power", (_HOT,), fans=(index,))
        build.lay((fast, "87"), (f"M{number}", "+"), "power", _OUT, fans=(index,))
        low.append(slow)
        high.append(fast)
    _two_speeds(build, needs, low, high)


_LAID: dict[str, Callable[[Builder, Needs], None]] = {
    "dash switch": _dash_switch,
    "thermal switch": _thermal_switch,
    "two-stage thermal switch": _two_stages,
    "controller": _controller,
    "pwm module": _pwm_module,
    "computer and relays": _computer_relays,
    "computer and pwm module": _computer_pwm,
    "series and parallel": _series_parallel,
    "resistor": _resistor,
}
