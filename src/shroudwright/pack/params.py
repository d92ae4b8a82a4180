"""The flat record the solvers read and the record they write: plain SI numbers, one row per point.

PARAMS, RESULT    the two record types, with every field's meaning and unit
blank             rows to fill in
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright.fans.curve import CURVE_POINTS
from shroudwright.pack.near import NEAR
from shroudwright.pack.plenum import LOSSES, RATIOS
from shroudwright.radiator.core import Core

MAX_FANS = 4
MAX_AHEAD = 4
STACKS = 2**MAX_AHEAD
"""Sets of coolers a spot of the face may stand behind; bit i of a set's number is cooler i."""
SEGMENTS = 2 * MAX_AHEAD + 1
CORE_FIELDS = len(Core._fields)

Fields = dict[str, tuple[tuple[int, ...], str]]

PARAM_FIELDS: Fields = {
    "ambient": ((), "outside air, [K]"),
    "pressure": ((), "of the outside air, [Pa]"),
    "humidity_ratio": ((), "water per dry air, [-]"),
    "pavement_rise": ((), "air at the opening over outside air from hot pavement, [K rise]"),
    "road_speed": ((), "[m/s]"),
    "inlet_share": ((), "Cp at the opening, [-]"),
    "bay_share": ((), "Cp behind the pack, [-]"),
    "front_loss": ((), "K of the front end on the core-face head at inlet density, [-]"),
    "exit_loss": ((), "K of the way out on the core-face head at outlet density, [-]"),
    "recirculation": ((), "share of the core's air that has been through it before, [-]"),
    "core": ((CORE_FIELDS,), "the radiator core, fields of `radiator.core.Core`"),
    "j_scale": ((), "heat transfer of the air side over the correlation, [-]"),
    "f_scale": ((), "pressure loss of the air side over the correlation, [-]"),
    "open_share": ((), "share of the face not blocked by debris, [-]"),
    "covered_share": ((), "share of the face the fans draw through, [-]"),
    "pushed_share": ((), "share of the face under pushers, where pullers draw as well; else 0, [-]"),
    "crossed_share": ((), "share of the coolant whose tubes cross the part drawn through, [-]"),
    "leak_area": ((), "gaps through which bay air reaches the fan, [m**2]"),
    "flap_area": ((), "flaps that open outwards into the bay, [m**2]"),
    "leak_lift": ((), "pressure at the gaps over that at the fans, in losses of the plenum, [-]"),
    "flap_lift": ((), "the same at the flaps, [-]"),
    "plenum_loss": ((LOSSES,), "asinh K of the plenum, as `plenum.Tables.loss`"),
    "unevenness": ((RATIOS,), "ln(1 - heat with uneven air over heat with even air), as `plenum.Tables.lost`"),
    "plenum_near": ((NEAR,), "how both move about a point, as `near` reads it; nan: the core alone moves them"),
    "ahead_count": ((), "coolers ahead of the core"),
    "ahead": ((MAX_AHEAD, CORE_FIELDS), "their cores, in the order the air meets them"),
    "ahead_heat": ((MAX_AHEAD,), "heat each gives the air, [W]"),
    "ahead_temperature": ((MAX_AHEAD,), "condensing temperature each is held at; nan: its heat is given, [K]"),
    "ahead_inner_share": ((MAX_AHEAD,), "its conductance over that of its air side alone, [-]"),
    "stack_share": ((STACKS,), "share of the face behind each set of coolers, [-]"),
    "lane_share": ((STACKS,), "share of the tubes that pass behind each set of coolers somewhere, [-]"),
    "segment_share": ((SEGMENTS,), "share of the tubes' length, from the coolant's inlet on, [-]"),
    "segment_coolers": ((SEGMENTS,), "set of coolers that reach over that length, [-]"),
    "fan_count": ((), "fans in the job"),
    "fan_on": ((MAX_FANS,), "1 running, 0 stopped"),
    "fan_is_pusher": ((MAX_FANS,), "1 ahead of the core, 0 behind it"),
    "fan_flow": ((MAX_FANS, CURVE_POINTS), "curve right of its last maximum, [m**3/s]"),
    "fan_pressure": ((MAX_FANS, CURVE_POINTS), "the same points, [Pa]"),
    "fan_points": ((MAX_FANS,), "points used"),
    "fan_density": ((MAX_FANS,), "air density of the test, [kg/m**3]"),
    "fan_volts": ((MAX_FANS,), "volts of the test, [V]"),
    "fan_amps": ((MAX_FANS,), "amps at those volts in the core's air path, [A]"),
    "fan_stall_ratio": ((MAX_FANS,), "start over run amps, [-]"),
    "fan_is_brushless": ((MAX_FANS,), "1 brushless, 0 brushed, [-]"),
    "fan_turn_share": ((MAX_FANS,), "speed asked for over the speed at its volts, [-]"),
    "fan_amps_share": ((MAX_FANS,), "amps drawn at that speed over amps at its volts, [-]"),
    "fan_belt_speed": ((MAX_FANS,), "speed over the test's where the engine drives it; nan: electric, [-]"),
    "fan_scale": ((MAX_FANS,), "real flow over the curve's, [-]"),
    "fan_disc": ((MAX_FANS,), "swept annulus, [m**2]"),
    "fan_stopped_loss": ((MAX_FANS,), "K of the stopped fan on the head in its annulus, [-]"),
    "path_resistance": ((MAX_FANS,), "out and back to each fan, joints included, [ohm]"),
    "source_volts": ((), "at the alternator or battery post, [V]"),
    "heat": ((), "to be shed by the radiator, [W]"),
    "coolant_flow": ((), "through the radiator where it is known, else nan, [m**3/s]"),
    "pump_shutoff": ((), "pump pressure against a closed outlet at this engine speed, [Pa]"),
    "pump_flow": ((), "radiator flow in an ordinary circuit, thermostat open, this speed, [m**3/s]"),
    "bypass_share": ((), "share of the pump's flow that goes past the radiator, [-]"),
    "hose_bore": ((), "[m]"),
    "hose_length": ((), "both hoses, [m]"),
    "hose_fittings": ((), "velocity heads lost in bends, necks and tanks, [-]"),
    "thermostat": ((), "0 none, 1 at the engine's outlet, 2 at its inlet"),
    "thermostat_opens": ((), "[K]"),
    "thermostat_span": ((), "start to full open, [K rise]"),
    "limit": ((), "highest coolant temperature allowed into the radiator; nan: no ambient is searched, [K]"),
    "pull_start": ((), "coolant at the start of a full-throttle pull, nan if the case is steady, [K]"),
    "heat_store": ((), "thermal mass of engine and coolant, [J/K]"),
}

RESULT_FIELDS: Fields = {
    "air_mass_flow": ((), "through the core, [kg/s]"),
    "air_flow": ((), "the same at the core's inlet state, [m**3/s]"),
    "air_in": ((), "into the radiator; nan without a steady state, [K]"),
    "air_out": ((), "out of the radiator, likewise, [K]"),
    "coolant_flow": ((), "through the radiator as it stands, [m**3/s]"),
    "coolant_in": ((), "into the radiator with the thermostat at work; a pull's limit, [K]"),
    "coolant_out": ((), "out of the radiator, [K]"),
    "coolant_unregulated": ((), "into the radiator with the thermostat full open, [K]"),
    "lift": ((), "of the thermostat, [-]"),
    "ambient_held": ((), "outside air at which the limit is just reached, [K]"),
    "seconds_to_limit": ((), "of a pull; inf if never, nan if the case is steady, [s]"),
    "fan_flow": ((MAX_FANS,), "at each fan's own air density, [m**3/s]"),
    "fan_pressure": ((MAX_FANS,), "rise across each fan, [Pa]"),
    "fan_volts": ((MAX_FANS,), "at the fan, [V]"),
    "fan_amps": ((MAX_FANS,), "[A]"),
    "fan_speed": ((MAX_FANS,), "over the test's; 0 stopped, [-]"),
    "fan_is_stalled": ((MAX_FANS,), "1 at or left of the curve's knee, else 0"),
    "ahead_heat": ((MAX_AHEAD,), "heat each cooler ahead gives the air, [W]"),
    "ahead_air_flow": ((MAX_AHEAD,), "air through each of them, [kg/s]"),
    "ahead_air_in": ((MAX_AHEAD,), "air into each of them, [K]"),
    "plenum_loss": ((), "K of the plenum on the core-face head at outlet density, [-]"),
    "heat_ratio": ((), "heat with uneven air over heat with even air, [-]"),
    "core_drop": ((), "air pressure lost in the radiator core, [Pa]"),
    "Re": ((), "louver-pitch (or duct) Reynolds number of the air, [-]"),
}


def _record_type(fields: Fields) -> np.dtype[Any]:
    return np.dtype([(name, np.float64, shape) for name, (shape, _) in fields.items()])


PARAMS = _record_type(PARAM_FIELDS)
RESULT = _record_type(RESULT_FIELDS)


def blank(count: int, kind: np.dtype[Any] = PARAMS) -> NDArray[Any]:
    """Return rows with every number not-a-number, so that a forgotten field cannot pass for zero.

    Parameters
    ----------
    count : int
        Rows wanted.
    kind : dtype
        `PARAMS` or `RESULT`.

    Returns
    -------
    array
        Shape (count,), fields as attributes of each row.
    """
    rows = np.full(count * kind.itemsize // 8, np.nan).view(kind)
    return rows.view(np.recarray)
