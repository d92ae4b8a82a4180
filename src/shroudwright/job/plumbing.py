"""A job's plumbing: its loop of hoses, its pump, and what is typed of the rest.

loop_of     hoses between engine and core as one, for the flow
suction_of  those from core to pump alone
pump_of     flow and pressure of the pump at an engine speed
past_core   share of the pump's flow that heater and bypass take
facts_of    what is typed, for the checks
needs_of    what the circuit must have, for its drawing
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from shroudwright.bench.numbers import Draws
from shroudwright.circuit.pump import (
    ENGINE_SHARE,
    REFERENCE_RPM,
    USED_AT_RATED_FLOW,
    electric_pump_flow,
    flow_at_engine_speed,
)
from shroudwright.job.filled import Filled
from shroudwright.job.model import Job
from shroudwright.job.quantity import Reading
from shroudwright.plumbing.checks import VENTS, Facts, Neck
from shroudwright.plumbing.fittings import Run, hose_fittings, restrictor_loss, run_as_one
from shroudwright.plumbing.network import Needs
from shroudwright.plumbing.split import HEATER_CORE, branch_flow, share_past

LOOP = {"engine to core": ("engine_outlet", "inlet_neck"), "core to engine": ("outlet_neck", "engine_inlet")}
"""Necks at both ends of the two ways"""
UNDER_CAP = {"tank to pump", "core vent"}
"""Ways that only a surge tank has"""
Numbers = NDArray[np.float64]


def _v(reading: Reading | None) -> float | None:
    return None if reading is None else reading.value


def loop_of(filled: Filled) -> Run:
    """Return the hoses between engine and core as one: as listed where both ways are, else as guessed.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Run
        Draws. A restrictor is in its fittings.
    """
    ways = {hose.way for hose in filled.job.hoses}
    if ways >= LOOP.keys():
        run = run_as_one([run for way in LOOP for run in _runs(filled, way)])
    else:
        names = ("hose_bore", "hose_length", "extra_loss")
        run = Run(*(filled[f"circuit.{name}"] for name in names))
    hole = _v(filled.job.plumbing.restrictor)
    if hole is None:
        return run
    return run._replace(fittings=run.fittings + restrictor_loss(hole, float(np.ravel(run.bore)[0])))


def suction_of(filled: Filled) -> Run | None:
    """Return the hoses from core to pump as one, or None where none is listed."""
    runs = list(_runs(filled, "core to engine"))
    return run_as_one(runs) if runs else None


def _runs(filled: Filled, way: str) -> Iterator[Run]:
    """Every hose of a way; necks are those of its two ends."""
    ends = [_v(getattr(filled.job.plumbing, name)) for name in LOOP[way]]
    listed = [index for index, hose in enumerate(filled.job.hoses) if hose.way == way]
    for index in listed:
        at = f"hoses.{index}."
        bore = filled[at + "bore"]
        before = ends[0] if index == listed[0] else None
        after = ends[1] if index == listed[-1] else None
        radius = _v(filled.job.hoses[index].bend_radius)
        heads = hose_fittings(float(bore[0]), float(filled[at + "bends"][0]), radius, before, after)
        yield Run(bore, filled[at + "length"], heads)


def pump_of(filled: Filled, rpm: Numbers) -> tuple[Draws, Draws]:
    """Return the pump's rated flow and its pressure against a shut outlet at an engine speed.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    rpm : array
        Engine speed, draws, [rpm]

    Returns
    -------
    flow, pressure : array
        A typed drive ratio moves the guesses, not a flow or pressure typed at 1000 engine rpm, [m**3/s] and [Pa]
    """
    typed, circuit = filled.job.plumbing, filled.job.circuit
    flow, shutoff = filled["circuit.pump_flow"], filled["circuit.pump_shutoff_pressure"]
    if typed.pump == "electric":
        through_engine = (1.0 - past_core(filled)) * filled["plumbing.electric_flow"]
        pressure = filled["plumbing.electric_pressure"]
        return electric_pump_flow(through_engine, pressure, flow, shutoff), pressure
    ratio = 1.0 if typed.pump_ratio is None else filled["plumbing.pump_ratio"]
    flow = flow if circuit.pump_flow else flow * ratio
    shutoff = shutoff if circuit.pump_shutoff_pressure else shutoff * ratio**2
    return flow_at_engine_speed(flow, rpm), shutoff * (rpm / REFERENCE_RPM) ** 2


def past_core(filled: Filled) -> Numbers:
    """Return the share of the pump's flow that heater and bypass take past the core.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    array
        Draws. As typed; else what is there by its hoses: nothing of a heater or bypass the job says is none or shut by
        a valve (nobody heats on a hot day), the flow of one whose hoses are listed, and half the guess for one nobody
        told of, [-]
    """
    typed = filled.job.plumbing
    if filled.job.circuit.bypass_share is not None:
        return filled["circuit.bypass_share"]
    heater = 0.0 if typed.heater in ("none", "valve") else _branch(filled, "heater feed", "heater return")
    bypass = 0.0 if typed.bypass == "none" else _branch(filled, "bypass")
    known = [branch for branch in (heater, bypass) if branch is not None]
    if not known:
        return filled["circuit.bypass_share"]
    share = np.zeros(filled.count) + share_past(sum(known), filled["circuit.pump_flow"])
    return share if len(known) == len((heater, bypass)) else share + _HALF * filled["circuit.bypass_share"]


_HALF = 0.5
"""Heater and bypass take alike where nobody knows: common practice, no source, [-]"""


def _branch(filled: Filled, *ways: str) -> Draws | None:
    """Flow through hoses that are listed for every one of some ways, at an ordinary circuit's pressure at 1000 rpm."""
    listed = [i for i, hose in enumerate(filled.job.hoses) if hose.way in ways and hose.bore]
    if {filled.job.hoses[i].way for i in listed} < set(ways):
        return None
    runs = []
    for i in listed:
        at = f"hoses.{i}."
        heads = hose_fittings(float(filled[at + "bore"][0]), float(filled[at + "bends"][0]), None, None, None)
        runs.append(Run(filled[at + "bore"], filled[at + "length"], heads))
    whole = run_as_one(runs)
    pressure = USED_AT_RATED_FLOW * (1.0 - ENGINE_SHARE) * filled["circuit.pump_shutoff_pressure"]
    further = HEATER_CORE if "heater feed" in ways else 0.0
    return branch_flow(pressure, whole.bore, whole.length, whole.fittings, _DENSITY, further)


_DENSITY = 1020.0
"""Of hot coolant, [kg/m**3]"""


def facts_of(filled: Filled) -> Facts:
    """Return what is typed of hoses, tank, cap, vents and mounts.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Facts
    """
    job = filled.job
    typed = job.plumbing
    suction = [hose for hose in job.hoses if hose.way == "core to engine"]
    return Facts(
        tank=typed.tank,
        tank_volume=_v(typed.tank_volume),
        tank_level=_v(typed.tank_level),
        filler_height=_v(typed.filler_height),
        core_top=_v(typed.core_top),
        engine_top=_v(typed.engine_top),
        cap_place=typed.cap_place,
        has_engine_vent=_has_vent(job, "engine vent", typed.engine_vent),
        has_core_vent=_has_vent(job, "core vent", typed.core_vent),
        do_vents_rise=typed.vents_rise,
        falling=tuple(hose.code for hose in job.hoses if hose.way in VENTS and hose.rises is False),
        has_drain=typed.drain,
        has_air_hole=typed.air_hole,
        has_thermostat=filled.word("circuit.thermostat_place") != "none" and typed.restrictor is None,
        restrictor=_v(typed.restrictor),
        trans_order=typed.trans_order,
        core_mount=typed.core_mount,
        is_through_fins=typed.through_fins,
        is_touched=typed.metal_touches,
        has_beads=typed.neck_beads,
        collapsing=tuple(hose.code for hose in suction if hose.spring is False and hose.made_of != "hard tube"),
        necks=tuple(_necks(job)),
    )


def _has_vent(job: Job, way: str, typed: bool | None) -> bool | None:
    """As typed; else whether the list of hoses has one, where there is a list."""
    if typed is not None or not job.hoses:
        return typed
    return any(hose.way == way for hose in job.hoses)


def _necks(job: Job) -> Iterator[Neck]:
    for way, names in LOOP.items():
        ends = [(name, _v(getattr(job.plumbing, name))) for name in names]
        listed = [hose for hose in job.hoses if hose.way == way and hose.bore]
        if listed:
            for hose, (name, neck) in zip((listed[0], listed[-1]), ends, strict=True):
                if neck is not None and hose.bore is not None:
                    yield Neck(f"{hose.code} at {name.replace('_', ' ')}", hose.bore.value, neck, is_hose=True)
        elif ends[0][1] is not None and ends[1][1] is not None:
            yield Neck(way, ends[0][1], ends[1][1], is_hose=False)


def needs_of(filled: Filled) -> Needs:
    """Return what the circuit must have; a heater unless the job says none.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    Needs
        Vents to a surge tank unless the job says none; transmission lines where the job says where they lead.
    """
    job = filled.job
    typed, facts = job.plumbing, facts_of(filled)
    ways = {hose.way for hose in job.hoses}
    tank = "surge tank" if ways & UNDER_CAP else typed.tank
    to_tank = tank == "surge tank"
    cooler = str(filled.word("vehicle.trans_cooler"))
    order = typed.trans_order or {"in tank": "tank only", "in air": "air only"}.get(cooler)
    if order is None and {"transmission out", "transmission return"} & ways:
        order = "tank only"
    return Needs(
        tank=tank,
        has_engine_vent=to_tank if facts.has_engine_vent is None else facts.has_engine_vent,
        has_core_vent=to_tank if facts.has_core_vent is None else facts.has_core_vent,
        has_heater=typed.heater != "none" or bool({"heater feed", "heater return"} & ways),
        has_bypass_hose=typed.bypass == "hose" or "bypass" in ways,
        has_tank_overflow="overflow" in ways,
        trans_order=order,
        is_cap_on_engine=typed.cap_place in ("engine", "upper hose"),
    )
