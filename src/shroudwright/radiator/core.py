"""The radiator core: one import door for its shape and both its sides, and the whole core rated at once.

Core, Surface, surface, FINS             what is taped and what follows
air_side, air_friction, air_pressure_drop    the air through it
coolant_side, coolant_pressure_drop      the coolant inside it
ua                                       conductance from one to the other
range_flags                              what is outside the data behind the relations, in words
core_rating                              heat, outlets and pressure drops at one pair of flows
"""

from typing import NamedTuple

from shroudwright.bench.compiled import inlined
from shroudwright.bench.errors import InputError, ShopError
from shroudwright.bench.registry import offer
from shroudwright.materials import air
from shroudwright.materials.coolant import Glycol, coolant_properties, coolant_table
from shroudwright.radiator.air_side import air_friction, air_pressure_drop, air_reynolds, air_side
from shroudwright.radiator.coolant_side import coolant_pressure_drop, coolant_side
from shroudwright.radiator.exchanger import crossflow
from shroudwright.radiator.geometry import FINS, LOUVERED, PLAIN, THINNEST_FIN, WAVY, Core, Surface, surface

__all__ = [
    "FINS",
    "Core",
    "CoreRating",
    "Surface",
    "air_friction",
    "air_pressure_drop",
    "air_reynolds",
    "air_side",
    "coolant_pressure_drop",
    "coolant_side",
    "core_rating",
    "range_flags",
    "surface",
    "ua",
]

_ROUNDS = 60


@inlined
def ua(core: Core, surface: Surface, eta_h_A_air: float, h_A_coolant: float) -> float:
    """Conductance of a core from coolant to air.

    1/UA = 1/(eta_o h_o A_o) + tw/(k A_w) + 1/(h_i A_i)

    Parameters
    ----------
    core : Core
        The core, [-]
    surface : Surface
        Its areas, [-]
    eta_h_A_air : float
        From `shroudwright.radiator.air_side.air_side`, [W/K]
    h_A_coolant : float
        From `shroudwright.radiator.coolant_side.coolant_side`, [W/K]

    Returns
    -------
    UA : float
        Overall conductance, [W/K]

    Notes
    -----
    Limits: clean core; debris is lost face area, not a film. The wall conducts as the fin does.
    Accuracy: that of the two sides; the wall is under 0.5 %.

    References
    ----------
    Resistances in series; Incropera and DeWitt, from memory.
    """
    wall = core.tube_wall / (core.fin_conductivity * surface.wall_area)
    return 1.0 / (1.0 / eta_h_A_air + wall + 1.0 / h_A_coolant)


def range_flags(core: Core, Re: float) -> tuple[str, ...]:
    """What about a core's air side is outside the data, in words.

    Parameters
    ----------
    core : Core
        The core, [-]
    Re : float
        Air-side Reynolds number as `shroudwright.radiator.air_side.air_side` gives it, [-]

    Returns
    -------
    flags : tuple
        One plain line each; empty when all is inside, [text]

    Notes
    -----
    Limits: plain fins are a smooth duct, good at any size.
    Accuracy: the ranges are as remembered from the papers; the numbers of Re 100 to 3000 were read.

    References
    ----------
    The relations of `shroudwright.radiator.fins`.
    """
    flags = []
    if core.fin != PLAIN and not 0.0156 <= core.depth <= 0.0574:
        flags.append(f"core depth {1000 * core.depth:.3g} mm is outside the 15.6 to 57.4 mm of the data")
    if core.fin == LOUVERED and core.fin_thickness * core.fins_per_metre < THINNEST_FIN:
        flags.append(f"fins thinner than {100 * THINNEST_FIN:g} % of their pitch: air drag held at that thickness")
    if core.fin == LOUVERED and not 100.0 <= Re <= 3000.0:
        flags.append(f"air-side Reynolds number {Re:.3g} is outside the 100 to 3000 of the data")
    if core.fin == WAVY:
        flags.append("wavy fin: low confidence, the wave of the fin is not known")
        if not 800.0 <= Re <= 6500.0:
            flags.append(f"air-side Reynolds number {Re:.3g} is outside the 800 to 6500 of the data")
    return tuple(flags)


class CoreRating(NamedTuple):
    """What one core does at one pair of flows."""

    heat: float
    air_out: float
    coolant_out: float
    air_pressure_drop: float
    coolant_pressure_drop: float
    UA: float
    effectiveness: float
    NTU: float
    j: float
    f: float


def _faults(core: Core, flows: dict[str, float]) -> list[str]:
    """Return one plain line for every impossible number."""
    sizes = {name: value for name, value in core._asdict().items() if name != "fin"}
    faults = [
        f"{name} must be above zero, not {value:g}"
        for name, value in {**sizes, **flows}.items()
        if not 0.0 < value < float("inf")
    ]
    if faults:
        return faults
    wide, thick = 1000.0 * core.tube_width, 1000.0 * core.tube_thickness
    if core.tube_thickness >= core.tube_width:
        faults.append(f"tube_thickness {thick:g} mm must be less than tube_width {wide:g} mm")
    if 2.0 * core.tube_wall >= core.tube_thickness:
        faults.append(
            f"tube_wall {1000 * core.tube_wall:g} mm leaves no bore in a tube {thick:g} mm thick; "
            "it must be less than half of that"
        )
    if core.rows * core.tube_width > 1.05 * core.depth:  # fins may be a little shallower than the tubes
        faults.append(f"{core.rows:g} rows of tubes {wide:g} mm wide do not fit in a depth of {1000 * core.depth:g} mm")
    if core.fin_thickness * core.fins_per_metre >= 1.0:
        faults.append(f"fins {1000 * core.fin_thickness:g} mm thick leave no gap at that many fins")
    if core.stack_height < 2.0 * core.fin_height + core.tube_thickness:
        faults.append(f"no tube fits in a stack_height of {1000 * core.stack_height:g} mm between its fins")
    if core.louver_angle >= 1.5708:
        faults.append(f"louver_angle {core.louver_angle:g} rad must be less than a right angle")
    if core.louver_length_share > 1.0:
        faults.append(f"louver_length_share {core.louver_length_share:g} must not be above 1")
    faults += [
        f"{name} must be a whole number, not {value:g}"
        for name, value in (("rows", core.rows), ("passes", core.passes))
        if value != round(value)
    ]
    return faults


@offer
def core_rating(
    fin: str,
    tube_length: float,
    stack_height: float,
    depth: float,
    rows: float,
    tube_width: float,
    tube_thickness: float,
    tube_wall: float,
    fins_per_metre: float,
    fin_height: float,
    fin_thickness: float,
    fin_conductivity: float,
    louver_pitch: float,
    louver_angle: float,
    louver_length_share: float,
    passes: float,
    air_mass_flow: float,
    air_in: float,
    air_pressure: float,
    glycol: Glycol,
    glycol_volume_fraction: float,
    coolant_mass_flow: float,
    coolant_in: float,
) -> CoreRating:
    """Heat a core sheds at one pair of flows, with outlets and pressure drops; dry air.

    Q = eps(NTU, Cr) C_min (coolant in - air in), properties at the mean of in and out, settled to 1e-10

    Parameters
    ----------
    fin : str
        louvered, plain or wavy, [text]
    tube_length : float
        Face size along the tubes, [m]
    stack_height : float
        Face size across the tubes, [m]
    depth : float
        Core depth along the air, fins only, [m]
    rows : float
        Tube rows along the air, [-]
    tube_width : float
        Outside width of a tube along the air, [m]
    tube_thickness : float
        Outside thickness of a tube across the air, [m]
    tube_wall : float
        Tube wall, [m]
    fins_per_metre : float
        Fin legs per length of tube, [1/m]
    fin_height : float
        Gap between tubes, [m]
    fin_thickness : float
        Fin sheet thickness, [m]
    fin_conductivity : float
        Of fin and tube, [W/m/K]
    louver_pitch : float
        Louver pitch; not used by plain and wavy fins, [m]
    louver_angle : float
        Louver angle; not used by plain and wavy fins, [rad]
    louver_length_share : float
        Louver cut over fin height; not used by plain and wavy fins, [-]
    passes : float
        Times the coolant crosses the core, [-]
    air_mass_flow : float
        Through the core, [kg/s]
    air_in : float
        Air into the core, [K]
    air_pressure : float
        Absolute pressure at the core, [Pa]
    glycol : str
        MEG (ethylene), MPG (propylene) or water, [text]
    glycol_volume_fraction : float
        Glycol over coolant, by volume; 0 for water, [-]
    coolant_mass_flow : float
        Through the core, [kg/s]
    coolant_in : float
        Coolant into the core, [K]

    Returns
    -------
    heat : float
        From coolant to air; below zero when the air is the hotter, [W]
    air_out : float
        Air out of the core, [K]
    coolant_out : float
        Coolant out of the core, [K]
    air_pressure_drop : float
        Of the core alone, [Pa]
    coolant_pressure_drop : float
        Of the tubes alone, [Pa]
    UA : float
        Overall conductance, [W/K]
    effectiveness : float
        Heat over the most the two inlets allow, [-]
    NTU : float
        Conductance over the lesser heat capacity rate, [-]
    j : float
        Colburn factor on the air side, [-]
    f : float
        Fanning friction factor on the air side, [-]

    Notes
    -----
    Limits: clean, evenly fed core; core depth 15.6 to 57.4 mm and louver Reynolds number 100 to 3000, run on
    outside; passes share one cross-flow form; coolant past 98 C or 60 % glycol by mass extrapolated.
    Accuracy: heat -15 to +10 %, air pressure drop 30 %, coolant pressure drop a factor two, without a test of
    that core.

    References
    ----------
    Chang and Wang (1997), Chang et al. (2000, 2006), Junqi et al. (2007), Gnielinski (1976), Shah and London
    (1978), Mason (1955), Kays and London (1984); see `shroudwright.radiator.fins`, `duct` and `exchanger`.
    """
    kind = float(FINS.index(fin)) if fin in FINS else -1.0
    core = Core(
        kind,
        tube_length,
        stack_height,
        depth,
        rows,
        tube_width,
        tube_thickness,
        tube_wall,
        fins_per_metre,
        fin_height,
        fin_thickness,
        fin_conductivity,
        louver_pitch,
        louver_angle,
        louver_length_share,
        passes,
    )
    flows = {
        "air_mass_flow": air_mass_flow,
        "air_in": air_in,
        "air_pressure": air_pressure,
        "coolant_mass_flow": coolant_mass_flow,
        "coolant_in": coolant_in,
    }
    faults = _faults(core, flows)
    if fin not in FINS:
        faults.append(f"fin {fin!r} is not one of {', '.join(FINS)}")
    try:
        table = coolant_table(glycol, glycol_volume_fraction)
    except ShopError as error:
        faults.append(str(error))
    if faults:
        raise InputError(faults)

    areas = surface(core)
    heat, air_out, coolant_out = 0.0, air_in, coolant_in
    for _ in range(_ROUNDS):
        film, mean = (air_in + air_out) / 2.0, (coolant_in + coolant_out) / 2.0
        props = coolant_properties(table, mean)
        outside = air_side(core, areas, air_mass_flow, film, 0.0)
        inside = coolant_side(core, areas, coolant_mass_flow, *props)
        UA = ua(core, areas, outside.eta_h_A, inside.h_A)
        streams = crossflow(
            UA / areas.air_area,
            areas.air_area,
            coolant_mass_flow,
            props.specific_heat,
            air_mass_flow,
            air.specific_heat(film, 0.0),
            coolant_in,
            air_in,
        )
        settled = abs(streams.heat - heat) <= 1e-10 * abs(streams.heat)
        heat, coolant_out, air_out = streams.heat, streams.hot_out, streams.cold_out
        if settled:
            break
    return CoreRating(
        heat,
        air_out,
        coolant_out,
        air_pressure_drop(
            core,
            areas,
            outside.f,
            air_mass_flow,
            air.density(air_pressure, air_in, 0.0),
            air.density(air_pressure, air_out, 0.0),
        ),
        coolant_pressure_drop(core, areas, coolant_mass_flow, props.density, props.viscosity),
        UA,
        streams.effectiveness,
        streams.NTU,
        outside.j,
        outside.f,
    )
