"""What the shop makes and buys: shroud, wires, settings and price, worked out on the medians of a job.

Plan       everything a packet draws and lists
Back       what stands and happens behind the core
back_of    job, governing case and its field -> Back
plan_of    job, circuits and answers -> Plan
"""

from collections.abc import Sequence
from dataclasses import dataclass

from shroudwright.air_behind import Curves, Report, curves
from shroudwright.assessment import CaseAnswer
from shroudwright.bench.arcs import area, box, length
from shroudwright.control.cycling import least_cycle
from shroudwright.control.settings import Settings, settings
from shroudwright.heat.accessories import heat_store
from shroudwright.job.circuits import Budget, budget_of
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import Fit, fit_of
from shroudwright.job.outline import REACHES
from shroudwright.job.places import places, whole_outline
from shroudwright.job.quantity import Reading
from shroudwright.job.wiring import fitted_of, needs_of, runs_of, stages_of, switching_of
from shroudwright.judge import Solved
from shroudwright.metal.flat import cut_length
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.shroud import Fan, Shroud, rolled_shroud
from shroudwright.price.bill import DEFAULT_LABOUR_RATE, Bill, bill, labour_time
from shroudwright.wiring.checks import Found, fuse_checks, relay_checks, wire_checks
from shroudwright.wiring.circuits import FanCircuit
from shroudwright.wiring.harness import Harness
from shroudwright.wiring.relay import relays
from shroudwright.wiring.schemes import harness
from shroudwright.wiring.sizing import AS_FITTED, Sized, main_fuse, size
from shroudwright.wiring.switching import machine_checks, supply_checks, switch_checks

WASTE = 1.25
STANDING = ("idle", "crawl", "stop-go")


@dataclass(frozen=True)
class Back:
    """What stands behind the core, and the air there in the governing case."""

    fit: Fit
    core: tuple[float, float, float]
    """Width, height and depth, [m]"""
    rock: float
    """Of the engine, [m]"""
    air: Report | None
    curves: Curves | None


@dataclass(frozen=True)
class Plan:
    """What a packet draws and lists; None or empty where the job asks for none."""

    shroud: Shroud | None = None
    circuits: tuple[FanCircuit, ...] = ()
    harness: Harness | None = None
    wires: tuple[Sized, ...] = ()
    main_fuse: float | None = None
    """Before several fans, [A]"""
    found: tuple[Found, ...] = ()
    """Wrong with the wiring as a whole"""
    budgets: tuple[Budget, ...] = ()
    settings: Settings | None = None
    bill: Bill | None = None
    is_trial: bool = True
    back: Back | None = None


def back_of(filled: Filled, worst: Solved, air: Report | None) -> Back | None:
    """Gather what is drawn of the space behind the core; None without a fan.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    worst : Solved
        The governing case.
    air : Report or None
        Its field.

    Returns
    -------
    Back or None
    """
    if not filled.job.fans:
        return None
    width, height, depth, rock = (
        float(filled[path][0]) for path in ("core.width", "core.height", "core.depth", "space.engine_rock")
    )
    return Back(fit_of(filled), (width, height, depth), rock, air, None if air is None else curves(filled, worst))


def plan_of(filled: Filled, circuits: tuple[FanCircuit, ...], cases: Sequence[CaseAnswer]) -> Plan:
    """Work out what the shop makes and buys.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.
    circuits : tuple of FanCircuit
        From `job.circuits.circuits_of`.
    cases : sequence of CaseAnswer
        Every driving case, judged.

    Returns
    -------
    Plan

    Raises
    ------
    InputError
        If the shroud asked for cannot exist, or money is in two currencies.
    """
    shroud = _shroud(filled)
    proposed = _settings(filled, cases)
    fitted = fitted_of(filled.job)
    made = harness(str(filled.word("control.scheme")), needs_of(filled)) if circuits else None
    insulation = float(filled["electrical.insulation"][0])
    wires = size(made, circuits, runs_of(filled), insulation=insulation, fitted=fitted) if made else ()
    budgets = (budget_of(filled, index, circuits) for index in range(len(filled.job.cases)))
    return Plan(
        shroud=shroud,
        circuits=circuits,
        harness=made,
        wires=wires,
        main_fuse=(fitted.main_fuse or main_fuse(circuits)) if len(circuits) > 1 else None,
        found=_found(filled, circuits, made, _cycles(filled, proposed, cases)) if made else (),
        budgets=tuple(budget for budget in budgets if budget is not None),
        settings=proposed,
        bill=_bill(filled, shroud, circuits, made, wires),
        is_trial=bool(unmeasured(filled)),
    )


def _found(
    filled: Filled, circuits: tuple[FanCircuit, ...], made: Harness, cycles_per_hour: float | None
) -> tuple[Found, ...]:
    """Find what is wrong with the wiring as a whole."""
    fitted, switching = fitted_of(filled.job), switching_of(filled)
    insulation = float(filled["electrical.insulation"][0])
    rating = filled.job.electrical.alternator_rating
    has_shroud = filled.word("shroud.type") != "none"
    grommet = float(filled["shroud.grommet"][0]) if has_shroud else None
    return (
        *wire_checks(fitted, circuits, insulation),
        *fuse_checks(fitted, circuits),
        *relay_checks(fitted, switching, circuits, stages_of(filled.job, switching.scheme), cycles_per_hour),
        *switch_checks(switching, circuits, made),
        *supply_checks(fitted, switching, insulation, None if rating is None else rating.value),
        *machine_checks(fitted, circuits, grommet),
    )


def _cycles(filled: Filled, proposed: Settings | None, cases: Sequence[CaseAnswer]) -> float | None:
    """Starts an hour at the worst, with the heat of the hottest standing case shed by the first fan alone."""
    heats = [case.heat.value for case in cases if case.kind in STANDING]
    if proposed is None or not heats:
        return None
    mass, volume = (float(filled[path][0]) for path in ("engine.mass", "coolant.volume"))
    store = float(heat_store(mass, str(filled.word("engine.block")), volume))
    return 3600.0 / least_cycle(store, proposed.fan_on - proposed.fan_off, max(heats))


def unmeasured(filled: Filled) -> list[str]:
    """Name what must be measured in hand before metal is cut: core outline, depth, frames, holes."""
    job = filled.job
    wanted: list[tuple[str, Reading | None]] = [
        ("core: width", job.core.width),
        ("core: height", job.core.height),
        ("shroud: depth", job.shroud.depth),
    ]
    wanted += [(f"shroud: {name.replace('_', ' ')}", typed) for name in REACHES if (typed := getattr(job.shroud, name))]
    wanted += [("shroud: outline", cell) for row in job.shroud.outline for cell in row[:2]]
    for fan in job.fans:
        wanted += [(f"{fan.code}: frame size", fan.frame_size), (f"{fan.code}: overall depth", fan.overall_depth)]
        rows = fan.holes or ((None,),)
        wanted += [(f"{fan.code}: mount holes", reading) for row in rows for reading in row]
    return list(dict.fromkeys(name for name, reading in wanted if reading is None or reading.standing != "measured"))


def _placed(filled: Filled) -> tuple[Fan, ...]:
    """Fans where they stand."""
    return tuple(
        Fan(
            code=fan.code,
            x=x,
            y=y,
            blade=float(filled[f"fans.{i}.blade"][0]),
            frame=fan.frame_size.value if fan.frame_size else 0.0,
            holes=tuple((across.value, up.value, size.value) for across, up, size in fan.holes),
        )
        for i, (fan, (x, y)) in enumerate(zip(filled.job.fans, places(filled), strict=True))
    )


def _shroud(filled: Filled) -> Shroud | None:
    if not filled.job.fans or filled.word("shroud.type") == "none":
        return None

    def one(path: str) -> float:
        return float(filled[path][0])

    # The flats are those of the least box round its outline, which stands where the reaches put it.
    inside = box(whole_outline(filled))
    return rolled_shroud(
        core_width=inside.x2 - inside.x1,
        core_height=inside.y2 - inside.y1,
        depth=one("shroud.depth"),
        roll_radius=one("shroud.roll_radius"),
        flange_radius=one("shroud.flange_radius"),
        flange_leg=one("shroud.flange_leg"),
        thickness=one("shop.sheet_thickness"),
        metal=str(filled.word("shop.sheet")),
        fans=[fan._replace(x=fan.x - inside.x1, y=fan.y - inside.y1) for fan in _placed(filled)],
        opening_clearance=one("shroud.opening_clearance"),
        bolt_hole=one("shroud.bolt_hole"),
        bolt_pitch=one("shroud.bolt_pitch"),
        grommet=one("shroud.grommet"),
        trim=one("shroud.trim"),
        partial=True,
    )


def _settings(filled: Filled, cases: Sequence[CaseAnswer]) -> Settings | None:
    """Settings against the hottest standing case that has a steady state; none without fans or thermostat."""
    place = str(filled.word("circuit.thermostat_place"))
    steady = [case for case in cases if case.coolant_in is not None and case.coolant_out is not None]
    standing = [case for case in steady if case.kind in STANDING] or steady
    if not filled.job.fans or place == "none" or not standing:
        return None
    case = max(standing, key=lambda item: item.coolant_in.value if item.coolant_in else 0.0)
    assert case.coolant_in is not None
    assert case.coolant_out is not None
    typed = filled.job.control
    return settings(
        thermostat_opens=float(filled["circuit.thermostat_opens"][0]),
        thermostat_span=float(filled["circuit.thermostat_span"][0]),
        thermostat_place=place,
        sensor_place=str(filled.word("control.sensor_place")),
        settled=case.coolant_in.value,
        coolant_drop=case.coolant_in.value - case.coolant_out.value,
        limit=case.limit,
        boil=case.boil,
        has_second=len(filled.job.fans) > 1,
        fan_on=typed.fan_on.value if typed.fan_on else None,
        fan_off=typed.fan_off.value if typed.fan_off else None,
        second_on=typed.second_on.value if typed.second_on else None,
        second_off=typed.second_off.value if typed.second_off else None,
    )


def _bill(
    filled: Filled,
    shroud: Shroud | None,
    circuits: tuple[FanCircuit, ...],
    made: Harness | None,
    wires: tuple[Sized, ...],
) -> Bill:
    flats = [flat for flat in shroud.flats for _ in range(flat.quantity)] if shroud else []
    holes = [hole for flat in flats for hole in flat.holes]
    caps = sum(length(flat.outline) for flat in flats if not flat.bends)
    cut = sum(cut_length(flat) for flat in flats)
    fans = filled.job.fans
    metal = str(filled.word("shop.sheet"))
    density = find_sheet(metal).density
    return bill(
        sheet="steel" if metal == "mild steel" else "aluminium",
        sheet_mass=WASTE * density * sum(area(flat.outline) * flat.thickness for flat in flats),
        wires=[(wire.gauge, wire.cut) for wire in wires if wire.size != AS_FITTED],
        fuses=_fuses(circuits, made),
        relays=_relays(circuits, made),
        connectors=len(circuits),
        loom_length=sum(segment.length for circuit in circuits for segment in circuit.segments),
        grommets=int(bool(shroud)),
        fasteners=len([hole for hole in holes if hole.purpose != "grommet"]),
        sealing_length=length(whole_outline(filled)) if shroud else 0.0,
        fans=[(fan.code, fan.price) for fan in fans],
        labour_time=labour_time(cut, sum(len(flat.bends) for flat in flats), 0.5 * caps, len(holes), len(fans)),
        labour_rate=str(filled.job.shop.labour_rate or DEFAULT_LABOUR_RATE),
    )


def _fuses(circuits: tuple[FanCircuit, ...], made: Harness | None) -> list[str]:
    """Kind of every fuse: fans' own, the main one, and the small one of coils or modules."""
    if made is None:
        return []
    kinds = {f"F{number}": circuit.fuse_kind for number, circuit in enumerate(circuits, start=1)}
    kinds["F9"] = "E" if len(circuits) > 1 and main_fuse(circuits) <= 80.0 else "B"
    return [kinds.get(part.id, "C") for part in made.of_kind("fuse")]


def _relays(circuits: tuple[FanCircuit, ...], made: Harness | None) -> list[float]:
    """Class of every relay: the fan's where it carries one, the smallest where it carries none."""
    if made is None:
        return []
    ratings = []
    for part in made.of_kind("relay"):
        fans = [fan for wire in made.at(part.id) for fan in wire.fans]
        wanted = circuits[fans[0]].relay_rating if fans else 0.0
        ratings.append(next((relay.rating for relay in relays() if relay.rating >= wanted), relays()[-1].rating))
    return ratings
