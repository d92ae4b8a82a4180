"""Sections that say what makes heat and carries it: vehicle, engine, weather, coolant, circuit."""

from typing import Literal

from shroudwright.job.fields import (
    Area,
    Count,
    Length,
    LiquidFlow,
    Mass,
    Number,
    Power,
    Pressure,
    Rise,
    Section,
    Share,
    Spin,
    Temperature,
    Torque,
    Volume,
    given,
)


class Vehicle(Section):
    """What has to be moved, and the gearbox between."""

    mass: Mass = given("Weight ready to drive, people and fuel in.", "100 kg", "40000 kg")
    trailer_mass: Mass = given("Weight of the trailer, loaded.", "0 kg", "40000 kg")
    drag_area: Area = given("Drag coefficient times frontal area.", "0.2 m**2", "10 m**2")
    trailer_drag_area: Area = given("What the trailer adds to the drag area.", "0 m**2", "12 m**2")
    rolling_coefficient: Share = given("Rolling drag as a share of weight.", "0.004", "0.08")
    gearbox: Literal["automatic", "manual"] | None = given("Kind of gearbox.")
    gearbox_efficiency: Share = given(
        "Share of engine power that leaves the gearbox; what is lost heats its cooler.", "0.5", "1"
    )
    axle_efficiency: Share = given("Share of gearbox power that reaches the wheels.", "0.7", "1")
    converter_stall_rpm: Spin = given("Stall speed of the torque converter.", "800 rpm", "7000 rpm")
    converter_stall_torque: Torque = given("Engine torque at that stall speed.", "30 N*m", "2500 N*m")
    trans_cooler: Literal["in tank", "in air", "none"] | None = given(
        "Where the gearbox sheds heat: radiator tank, a cooler in the air, or nowhere."
    )


class Engine(Section):
    """What makes the heat."""

    fuel: Literal["gasoline", "diesel", "E85", "methanol"] | None = given("What it burns.")
    displacement: Volume = given("Swept volume, all cylinders.", "0.2 L", "30 L")
    cylinders: Count = given("Number of cylinders.", "1", "16")
    rated_power: Power = given("Most power at the crank.", "5 kW", "2500 kW")
    rated_rpm: Spin = given("Engine speed at most power.", "1200 rpm", "14000 rpm")
    idle_rpm: Spin = given("Idle speed, hot, in gear.", "300 rpm", "2500 rpm")
    boost_pressure: Pressure = given("Boost by the gauge at most power.", "0 psi", "100 psi")
    charger: Literal["none", "turbo", "supercharger"] | None = given("What makes the boost.")
    compressor_efficiency: Share = given("Efficiency of the compressor in use.", "0.3", "0.9")
    charge_cooler: Literal["none", "air", "water"] | None = given(
        "How charge air is cooled; both kinds end in a cooler ahead of the core."
    )
    charge_cooler_effectiveness: Share = given("Share of the charge heating it takes out.", "0", "0.98")
    block: Literal["iron", "aluminium"] | None = given("What the block is cast in.")
    mass: Mass = given("Weight of the dressed engine.", "20 kg", "2500 kg")
    oil_cooler: Literal["none", "in air"] | None = given("Whether oil has its own cooler in the air.")
    oil_cooler_share: Share = given("Share of coolant and oil heat such a cooler takes.", "0", "0.5")
    coolant_share: Share = given("Share of fuel energy to coolant and oil at most power.", "0.08", "0.6")
    coolant_share_exponent: Number = given("How that heat falls with fuel: its power law.", "0.5", "1.2")
    accessory_power: Power = given("Crank power for steering and pumps, no fan, A/C or alternator.", "0 kW", "30 kW")


class Weather(Section):
    """The worst day it has to hold on."""

    ambient: Temperature = given("Air in the shade.", "-40 degF", "140 degF")
    altitude: Length = given("Height above the sea.", "-1500 ft", "16000 ft", example="500 ft", bare=False)
    humidity: Share = given("Relative humidity.", "0", "1")
    pavement_rise: Rise = given("Air over hot pavement, above shade, standing.", "0 degF", "40 degF")


class Coolant(Section):
    """What is in the system."""

    kind: Literal["ethylene glycol", "propylene glycol", "water"] | None = given("What is mixed with water.")
    glycol_share: Share = given("Share of glycol by volume.", "0", "0.75")
    cap_pressure: Pressure = given("Cap pressure as stamped.", "0 psi", "40 psi")
    volume: Volume = given("Coolant in the whole system.", "0.5 L", "100 L")
    limit: Temperature = given("Hottest you will allow out of the engine.", "150 degF", "300 degF")


class Circuit(Section):
    """What moves the coolant."""

    pump_flow: LiquidFlow = given("Flow at 1000 engine rpm, thermostat open.", "0.5 gpm", "60 gpm", example="10 gpm")
    pump_shutoff_pressure: Pressure = given("Pump pressure at 1000 engine rpm, outlet shut.", "1 kPa", "100 kPa")
    thermostat_opens: Temperature = given("Temperature stamped on the thermostat.", "120 degF", "230 degF")
    thermostat_span: Rise = given("From starting to open to fully open.", "2 degF", "40 degF")
    thermostat_place: Literal["outlet", "inlet", "none"] | None = given(
        "Where it sits: at the engine's coolant outlet or inlet."
    )
    bypass_share: Share = given("Share of pump flow that misses the core.", "0", "0.6")
    hose_bore: Length = given("Inside diameter of the hoses.", "0.4 in", "4 in")
    hose_length: Length = given("Both hoses together.", "1 in", "80 ft")
    extra_loss: Number = given("Velocity heads lost in bends, necks and tanks.", "0", "100")
