"""What is fitted, or asked for, where a builder says so; None where nobody has.

Fitted      of the wires, fuses, relays, source and ground
Switching   of what works the fans
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

Standard: TypeAlias = Literal["SAE", "AWG", "metric"]


@dataclass(frozen=True)
class Fitted:
    """Wires, fuses, relays, source and ground as typed."""

    standard: Standard | None = None
    """of the wire bought; SAE where nobody says"""
    gauge: float | None = None
    """of every fan's feed, [-]"""
    ground_gauge: float | None = None
    """[-]"""
    fuse_kind: Literal["C", "E"] | None = None
    """C standard blade, E large blade, [text]"""
    fuse_rating: float | None = None
    """of each fan's fuse, [A]"""
    fused: Literal["each fan", "all fans", "none"] | None = None
    """[text]"""
    main_fuse: float | None = None
    """[A]"""
    holder_rating: float | None = None
    """[A]"""
    fuse_distance: float | None = None
    """from the source, along the wire, [m]"""
    is_sheathed: bool = False
    """that wire, in a sleeve of its own"""
    relay_rating: float | None = None
    """[A]"""
    fans_per_relay: int = 1
    """[-]"""
    coil: Literal["resistor", "clamp", "diode", "none"] | None = None
    """what tames the relay's coil, [text]"""
    coil_plus: Literal["85", "86"] | None = None
    """the fed end, [text]"""
    coil_fuse: float | None = None
    """0 for none, [A]"""
    supply_point: Literal["battery", "alternator post", "ignition switch", "accessory fuse"] | None = None
    """[text]"""
    ground_point: Literal["body stud", "engine block", "battery", "radiator", "shroud"] | None = None
    """[text]"""
    charge_gauge: float | None = None
    """of the cable from alternator to battery, [-]"""
    charge_fuse: float | None = None
    """[A]"""
    connector_rating: float | None = None
    """of the plug at the fan, [A]"""
    connector_gauge: float | None = None
    """the wire that rating was found with, [-]"""
    is_connector_sealed: bool | None = None
    is_near_exhaust: bool | None = None
    """within 6 in, unshielded"""
    has_grommet: bool | None = None
    """wherever a wire passes a hole"""
    has_cut_out: bool = False
    """the motors, by heat"""


@dataclass(frozen=True)
class Switching:
    """What works the fans as typed."""

    scheme: str = "controller"
    """of `wiring.schemes.SCHEMES`, [text]"""
    carries: Literal["relay coils", "fans"] | None = None
    """what the switch or output feeds itself, [text]"""
    switch_rating: float | None = None
    """[A]"""
    output_rating: float | None = None
    """of one output of controller or engine computer, [A]"""
    output: Literal["on and off", "pulsed"] | None = None
    """[text]"""
    module_rating: float | None = None
    """[A]"""
    module_limit: float | None = None
    """hottest case allowed, [K]"""
    polarity: Literal["more is faster", "more is slower"] | None = None
    """of the module's signal, [text]"""
    frequency: float | None = None
    """of the signal sent, [Hz]"""
    frequency_range: tuple[float, float] | None = None
    """the module takes, [Hz]"""
    least_duty: float | None = None
    """[-]"""
    start_duty: float | None = None
    """that turns a standing fan, [-]"""
    slope: float | None = None
    """from least to full speed, [K rise]"""
    dead_band: float | None = None
    """[K rise]"""
    soft_start: float | None = None
    """[s]"""
    stagger: float | None = None
    """between the starts of two fans, [s]"""
    has_override: bool = False
    is_off_in_crank: bool | None = None
