"""Sections that say how the coolant is led: necks, cap, tank, vents, pump, and every hose."""

from typing import Literal

from shroudwright.job.fields import (
    Angle,
    Count,
    Current,
    Length,
    LiquidFlow,
    Money,
    Number,
    Pressure,
    Section,
    Volume,
    given,
)

Side = Literal["left", "right"]


class Plumbing(Section):
    """How the coolant is led, vented and filled. Heights are all taken from one level, such as the floor."""

    inlet_neck: Length = given("Core's inlet neck, outside.", "0.4 in", "4 in", example="1.5 in")
    inlet_side: Side | None = given("Side of that neck, seen from behind.")
    inlet_angle: Angle = given("It turns from straight back.", "0 deg", "180 deg", example="45 deg")
    outlet_neck: Length = given("Core's outlet neck, outside.", "0.4 in", "4 in", example="1.75 in")
    outlet_side: Side | None = given("Side of that neck, seen from behind.")
    outlet_angle: Angle = given("It turns from straight back.", "0 deg", "180 deg", example="90 deg")
    engine_outlet: Length = given("Engine's coolant outlet, outside.", "0.4 in", "4 in", example="1.5 in")
    engine_outlet_side: Side | None = given("Side of that port, seen from behind.")
    engine_outlet_angle: Angle = given("It turns from straight ahead.", "0 deg", "180 deg", example="0 deg")
    engine_inlet: Length = given("Pump's inlet, outside.", "0.4 in", "4 in", example="1.75 in")
    engine_inlet_side: Side | None = given("Side of that port, seen from behind.")
    engine_inlet_angle: Angle = given("It turns from straight ahead.", "0 deg", "180 deg", example="0 deg")
    neck_beads: bool | None = given("Whether every neck has a bead that keeps its hose on.")
    cap_place: Literal["inlet tank", "outlet tank", "surge tank", "engine", "upper hose"] | None = given(
        "What the pressure cap sits on: inlet tank is the one the hot hose enters."
    )
    tank: Literal["surge tank", "recovery bottle", "none"] | None = given(
        "A surge tank is under the cap and feeds the pump; a recovery bottle is open and takes what the cap lets out."
    )
    tank_volume: Volume = given("All that tank or bottle holds.", "0.1 L", "40 L", example="2.5 L")
    tank_level: Length = given("Height of the coolant in it, cold.", "-2 ft", "20 ft", example="36 in")
    filler_height: Length = given("Height of the filler neck.", "-2 ft", "20 ft", example="35 in")
    core_top: Length = given("Height of the core's highest coolant.", "-2 ft", "20 ft", example="31 in")
    engine_top: Length = given("Height of the engine's highest coolant.", "-2 ft", "20 ft", example="33 in")
    pump_height: Length = given("Height of the pump's inlet.", "-2 ft", "20 ft", example="22 in")
    engine_vent: bool | None = given("Whether a line vents the engine's high point (a steam line).")
    core_vent: bool | None = given("Whether a line vents the core's high point.")
    vents_rise: bool | None = given("Whether every vent line rises all the way to tank or filler.")
    drain: bool | None = given("Whether there is a drain at the low point.")
    air_hole: bool | None = given("Whether the thermostat has an air hole or jiggle pin.")
    restrictor: Length = given("Bore of a restrictor in place of the thermostat.", "0.2 in", "3 in", example="0.75 in")
    heater: Literal["none", "open", "valve"] | None = given("Heater: flowing all the time, or shut by a valve.")
    bypass: Literal["none", "inside", "hose"] | None = given("Way round the shut thermostat.")
    trans_order: Literal["tank first", "air first", "tank only", "air only"] | None = given(
        "Which cooler the transmission's fluid meets first."
    )
    pump: Literal["belt", "electric"] | None = given("What drives the pump.", example="electric")
    pump_ratio: Number = given("Pump turns for one turn of the engine.", "0.4", "2.5", example="1.2")
    electric_flow: LiquidFlow = given("Electric pump's flow against nothing.", "1 gpm", "120 gpm", example="55 gpm")
    electric_pressure: Pressure = given("Electric pump's pressure, outlet shut.", "1 kPa", "300 kPa", example="9 psi")
    electric_amps: Current = given("Electric pump's amps running at 13.5 V.", "0.5 A", "40 A", example="9 A")
    pump_price: Money = given("Electric pump's price; 0 where it is there already.", example="249.00 USD")
    core_mount: Literal["isolated", "rigid"] | None = given("How the core is held: in rubber, or bolted hard.")
    through_fins: bool | None = given("Whether ties, rods or screws go through the fins.")
    metal_touches: bool | None = given("Whether bare metal touches core or tanks anywhere.")
    own_tank: bool | None = given("Whether the tank is there already and not on the bill.")


class Hose(Section):
    """A hose or line of coolant or transmission fluid."""

    code: str = given("Short name, used once.", default="", example="lower hose")
    way: (
        Literal[
            "engine to core",
            "core to engine",
            "tank to pump",
            "core vent",
            "engine vent",
            "overflow",
            "heater feed",
            "heater return",
            "bypass",
            "transmission out",
            "transmission return",
        ]
        | None
    ) = given("Where it leads from and to.", example="core to engine")
    bore: Length = given("Inside diameter.", "0.1 in", "4 in")
    length: Length = given("Along its middle.", "0.5 in", "40 ft")
    bends: Count = given("Quarter turns in it.", "0", "20")
    bend_radius: Length = given("Of those turns, to the hose's middle.", "0.3 in", "40 in", example="2.25 in")
    made_of: Literal["rubber", "silicone", "hard tube"] | None = given("What it is made of.")
    spring: bool | None = given("Whether a spring or wire inside keeps it open.")
    clamps: Literal["screw", "constant tension", "T-bolt"] | None = given("Kind of its clamps.")
    rises: bool | None = given("Whether it rises all the way to its upper end.")
    own: bool | None = given("Whether it is there already and not on the bill.")
