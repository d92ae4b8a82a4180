"""What is wrong with hoses, tank, cap, vents and the core's mounts, as far as they are typed.

Facts      what is typed of them
Sums       what was worked out for them
Found      a code, where, and its numbers
checks     facts and sums -> what is wrong

K05  filler under the engine's high point, [m]      K06  highest point without a vent
K07  a vent that does not rise all the way          K08  surge tank under core or engine, [m]
K09  suction hose with nothing to keep it open      K10  no air hole in the thermostat
K11  hose and neck, or two necks of a hose, [m]     K12  restrictor, [-] of the flow left
K13  cap on the pressure side, [Pa]                 K14  transmission fluid to the air first
K15  core bolted hard   K16  ties through the fins  K17  bare metal at the core
K18  tank under what growth asks, [m**3]            K19  pump inlet near boiling, [K]
K20  no drain           K21  no bead on a neck      K22  nowhere for the coolant to grow, [m**3]
"""

from collections.abc import Iterator
from typing import NamedTuple

VENTS = ("core vent", "engine vent")
PRESSURE_SIDE = ("inlet tank", "upper hose", "engine")
LOOSE = 1.6e-3
"""1/16 in a hose may differ from its neck: common practice, no source, [m]"""
UNLIKE = 3.2e-3
"""1/8 in two necks of one hose may differ: common practice, no source, [m]"""
NEAR_BOILING = 5.0
"""Common practice, no source, [K]"""
_LEAST_GROWTH = 1.2
"""Of the expansion, under which a tank spills every time, [-]"""


class Neck(NamedTuple):
    """A hose and a neck it sits on, or two necks of one way where no hose is typed."""

    name: str
    hose: float
    """inside, or the other neck's outside, [m]"""
    neck: float
    """outside, [m]"""
    is_hose: bool


class Facts(NamedTuple):
    """What is typed; None where nobody typed it."""

    tank: str | None
    tank_volume: float | None
    tank_level: float | None
    filler_height: float | None
    core_top: float | None
    engine_top: float | None
    cap_place: str | None
    has_engine_vent: bool | None
    has_core_vent: bool | None
    do_vents_rise: bool | None
    falling: tuple[str, ...]
    """vent hoses that do not rise"""
    has_drain: bool | None
    has_air_hole: bool | None
    has_thermostat: bool
    restrictor: float | None
    trans_order: str | None
    core_mount: str | None
    is_through_fins: bool | None
    is_touched: bool | None
    has_beads: bool | None
    collapsing: tuple[str, ...]
    """suction hoses with nothing inside"""
    necks: tuple[Neck, ...]


class Sums(NamedTuple):
    """What was worked out, SI."""

    expansion: float
    tank_wanted: float | None
    cap_pressure: float
    static_left: float
    """at the pump's inlet when a cap on the inlet tank opens, over the air outside"""
    suction_margin: float
    """boiling over the coolant at the pump's inlet, hot, the cap holding"""
    restricted_share: float | None
    """of the flow a restrictor leaves"""


class Found(NamedTuple):
    """A code, where, and its numbers."""

    code: str
    place: str
    measured: float | None = None
    limit: float | None = None
    wanted: float | None = None
    detail: str = ""
    level: str | None = None
    """other than the code's own"""


def checks(facts: Facts, sums: Sums) -> Iterator[Found]:
    """Yield what is wrong; what nobody typed raises nothing.

    Parameters
    ----------
    facts : Facts
        What is typed.
    sums : Sums
        What was worked out.

    Yields
    ------
    Found
    """
    yield from _air(facts)
    yield from _hoses(facts, sums)
    yield from _tank(facts, sums)
    yield from _core(facts)


def _air(facts: Facts) -> Iterator[Found]:
    core, engine = facts.core_top, facts.engine_top
    if facts.filler_height is not None and engine is not None and facts.filler_height < engine:
        yield Found("K05", "plumbing.filler_height", facts.filler_height, engine, engine)
    if core is not None and engine is not None:
        high = "engine" if engine > core else "core"
        vented = facts.has_engine_vent if high == "engine" else facts.has_core_vent
        capped = facts.cap_place in (("engine", "upper hose") if high == "engine" else ("inlet tank", "outlet tank"))
        if vented is False and not capped:
            yield Found("K06", f"plumbing.{high}_vent", max(core, engine), min(core, engine), detail=high)
    if facts.do_vents_rise is False:
        yield Found("K07", "plumbing.vents_rise", detail="Typed as not rising all the way.")
    for name in facts.falling:
        yield Found("K07", name, detail="Typed as not rising all the way.")
    highest = max((height for height in (core, engine) if height is not None), default=None)
    level = facts.tank_level if facts.tank == "surge tank" else None
    if level is not None and highest is not None and level < highest:
        yield Found("K08", "plumbing.tank_level", level, highest, highest)
    if facts.has_air_hole is False and facts.has_thermostat:
        lighter = "note" if facts.has_engine_vent else None
        yield Found("K10", "plumbing.air_hole", detail="Typed as without one.", level=lighter)


def _hoses(facts: Facts, sums: Sums) -> Iterator[Found]:
    for name in facts.collapsing:
        yield Found("K09", name, detail="Typed as without a spring.")
    for neck in facts.necks:
        if abs(neck.hose - neck.neck) > (LOOSE if neck.is_hose else UNLIKE):
            yield Found("K11", neck.name, neck.hose, neck.neck, level=None if neck.is_hose else "watch")
    if facts.restrictor is not None and sums.restricted_share is not None:
        yield Found("K12", "plumbing.restrictor", sums.restricted_share, 1.0)
    if facts.has_beads is False:
        yield Found("K21", "plumbing.neck_beads", detail="Typed as plain.")


def _tank(facts: Facts, sums: Sums) -> Iterator[Found]:
    if facts.cap_place in PRESSURE_SIDE:
        grave = "fix" if sums.static_left < 0.5 * sums.cap_pressure else None
        yield Found("K13", "plumbing.cap_place", sums.static_left, sums.cap_pressure, level=grave)
    if facts.cap_place is not None and sums.suction_margin < NEAR_BOILING:
        grave = "fix" if sums.suction_margin < 0.0 else None
        yield Found("K19", "plumbing.cap_place", sums.suction_margin, NEAR_BOILING, level=grave)
    if facts.tank == "none":
        yield Found("K22", "plumbing.tank", sums.expansion, 0.0)
    wanted = sums.tank_wanted
    if facts.tank_volume is not None and wanted is not None and facts.tank_volume < wanted:
        grave = "fix" if facts.tank_volume < _LEAST_GROWTH * sums.expansion else None
        yield Found("K18", "plumbing.tank_volume", facts.tank_volume, wanted, wanted, level=grave)


def _core(facts: Facts) -> Iterator[Found]:
    typed = (
        ("K14", "trans_order", facts.trans_order == "air first", "The fluid meets the air first, the tank last."),
        ("K15", "core_mount", facts.core_mount == "rigid", "Typed as bolted hard."),
        ("K16", "through_fins", facts.is_through_fins is True, "Typed so."),
        ("K17", "metal_touches", facts.is_touched is True, "Typed so."),
        ("K20", "drain", facts.has_drain is False, "Typed as without one."),
    )
    for code, field, holds, detail in typed:
        if holds:
            yield Found(code, f"plumbing.{field}", detail=detail)
