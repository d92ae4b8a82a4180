"""Sections that say what is fitted and how it is driven: fans, wiring, control, shop, cases."""

import datetime
from typing import Literal

from pydantic import Field

from shroudwright.job.fields import (
    AirFlow,
    AmpCurve,
    Angle,
    Charge,
    Count,
    Current,
    Curve,
    Holes,
    Length,
    LiquidFlow,
    Mass,
    Money,
    Noise,
    Number,
    Power,
    Pressure,
    Resistance,
    Rise,
    Section,
    Share,
    Sizes,
    Speed,
    Spin,
    Temperature,
    Time,
    Voltage,
    given,
    rows_of,
)
from shroudwright.job.quantity import Standing


class Fan(Section):
    """One fan, with a full copy of what is known of it."""

    code: str = given("Short name, used once.", default="", example="F1")
    kind: Literal["brushed", "brushless"] | None = given("Kind of motor.")
    direction: Literal["puller", "pusher"] | None = given("Behind the core, or ahead of it.")
    x: Length = given("Centre, from the core's left edge, seen from behind.", "-24 in", "120 in", example="12 in")
    y: Length = given("Centre, from the core's bottom edge.", "-24 in", "120 in", example="8.5 in")
    blade: Length = given("Blade diameter, tip to tip.", "3 in", "48 in", example="16 in")
    hub: Length = given("Hub diameter.", "0.5 in", "30 in")
    frame: Literal["round", "square"] | None = given("Outline of the frame.")
    frame_size: Length = given("Across the frame: diameter, or side.", "3 in", "50 in")
    frame_corner: Length = given("Corner radius of a square frame.", "0 in", "10 in", example="0.5 in")
    holes: Holes = rows_of(
        "Mounting holes: x, y from the fan's centre, and diameter.",
        24,
        example='[["8 in", "0 in", "0.25 in"]]',
    )
    mounts: Count = given(
        "Mounting holes evenly on a circle, where they are not typed one by one.", "2", "4", example="4"
    )
    mount_circle: Length = given("Diameter of that circle.", "2 in", "60 in", example="16 in")
    mount_hole: Length = given("Diameter of those holes.", "0.1 in", "0.6 in", example="0.25 in")
    opening: Literal["round", "lobed"] | None = given("Its opening: round, or lobes between its mounts.")
    lip: Length = given("Height of a lip flared round its opening.", "0.15 in", "2 in", example="0.5 in")
    overall_depth: Length = given("Frame face to the back of the motor.", "0.5 in", "20 in")
    depth_ahead: Length = given("What stands ahead of the frame face.", "0 in", "12 in", example="0.2 in")
    motor: Length = given("Motor diameter.", "0.5 in", "16 in", example="4.5 in")
    motor_inside: bool | None = given("Whether the motor hides in the plenum, ahead of the frame face.")
    lead_exit: Literal["left", "right", "up", "down", "behind"] | None = given(
        "Which way the leads leave, seen from behind.", example="down"
    )
    weight: Mass = given("Weight of the fan.", "0.1 kg", "40 kg", example="5 lb")
    blades: Count = given("Number of blades.", "2", "20", example="10")
    rpm: Spin = given("Fan speed at its test volts, free air.", "300 rpm", "9000 rpm", example="2400 rpm")
    test_volts: Voltage = given("Volts its numbers were taken at.", "8 V", "60 V")
    low_speed: Share = given("Speed on its low setting over full speed.", "0.2", "1", example="0.65")
    run_amps: Current = given("Current when running.", "0.3 A", "250 A", example="17 A, box")
    start_amps: Current = given("Highest current at the start.", "0.3 A", "900 A")
    free_flow: AirFlow = given("Flow in free air: the box number.", "30 cfm", "12000 cfm", example="1950 cfm, box")
    shutoff_pressure: Pressure = given("Pressure with no flow at all.", "0.05 inH2O", "12 inH2O")
    curve: Curve = rows_of(
        "Flow and pressure as tested, dips and all.",
        60,
        example='[["1950 cfm", "0 inH2O"], ["1200 cfm", "0.4 inH2O"], ["0 cfm", "0.8 inH2O"]]',
    )
    curve_standing: Standing | None = given("How that curve is known.", example="catalogue")
    air_density: Number = given("Air density of those tests, kg/m**3.", "0.7", "1.5")
    noise: Noise = given("Sound at 1 m.", "20 dB", "120 dB", example="68 dB, box")
    price: Money = given("What it costs.", example="149.00 USD")
    price_date: datetime.date | None = given("Day of that price.", example="2026-01-31")
    rotation_checked: bool | None = given("Whether paper held there shows air going through to the engine.")
    ring_gap: Length = given("Fan ring to core where there is no shroud.", "0 in", "12 in")
    copied: datetime.date | None = given("Day these numbers were copied.", example="2026-01-31")


class BeltFan(Section):
    """A fan the engine drives through a belt and a viscous drive; left out where there is none."""

    blade: Length = given("Blade diameter, tip to tip.", "3 in", "48 in", example="18 in")
    hub: Length = given("Hub diameter.", "0.5 in", "30 in", example="5.5 in")
    free_flow: AirFlow = given("Flow in free air at its own test speed.", "100 cfm", "20000 cfm", example="5000 cfm")
    shutoff_pressure: Pressure = given("Pressure with no flow at that speed.", "0.1 inH2O", "20 inH2O")
    curve: Curve = rows_of(
        "Flow and pressure as tested, at that speed.",
        60,
        example='[["5000 cfm", "0 inH2O"], ["3500 cfm", "1.5 inH2O"], ["0 cfm", "2.5 inH2O"]]',
    )
    rpm: Spin = given("Speed of that test.", "300 rpm", "9000 rpm", example="2400 rpm")
    pulley_ratio: Number = given("Fan pulley turns for one turn of the engine.", "0.4", "2.5")
    slip: Share = given("Speed the engaged drive loses.", "0", "0.8")
    most_rpm: Spin = given("Speed the drive lets the fan reach at most.", "500 rpm", "9000 rpm")
    drive_power: Power = given("Power it takes at its test speed.", "0.05 kW", "60 kW", example="0.8 kW")


class Electrical(Section):
    """What feeds the fans."""

    source_volts: Voltage = given("Volts at the alternator post, hot idle.", "9 V", "60 V")
    path_resistance: Resistance = given("One fan's wires out and back, with all joints.", "0.5 mohm", "500 mohm")
    alternator_rating: Current = given("Amps on the alternator's case.", "10 A", "600 A")
    alternator_hot_idle: Current = given("Amps it makes hot, at idle.", "2 A", "500 A")
    other_loads: Current = given("All other loads at idle.", "0 A", "400 A")
    battery: Charge = given("Battery size.", "5 A*hour", "400 A*hour")
    hot_run: Length = given("Fan supply wire behind the core.", "0 in", "120 in")
    fender_run: Length = given("Fan supply wire along the inner fender.", "0 in", "240 in")
    cabin_run: Length = given("Fan supply wire in the cabin or by the battery.", "0 in", "360 in")
    ground_run: Length = given("Fan ground wire, to its stud.", "0 in", "360 in")
    control_run: Length = given("Control wires, from the relays to the dash.", "0 in", "360 in")
    insulation: Temperature = given("Temperature rating of the wire.", "60 degC", "260 degC")
    alternator_curve: AmpCurve = rows_of(
        "Its own speed and its amps, hot.",
        12,
        example='[["1500 rpm", "38 A"], ["2500 rpm", "70 A"], ["6000 rpm", "100 A"]]',
    )
    pulley_ratio: Number = given("Turns of the alternator for one of the engine.", "1", "5")
    wire_standard: Literal["SAE", "AWG", "metric"] | None = given("What wire is bought to.")
    gauge: Number = given("Gauge of the fans' feed wires, if fitted.", "0", "18", example="10")
    ground_gauge: Number = given("Gauge of the fans' ground wires, if fitted.", "0", "18", example="10")
    fused: Literal["each fan", "all fans", "none"] | None = given("What each fuse feeds.")
    fuse_type: Literal["standard blade", "large blade"] | None = given("Kind of the fans' fuses, if fitted.")
    fuse_rating: Current = given("Of each fan's fuse, if fitted.", "1 A", "200 A", example="40 A")
    main_fuse: Current = given("Of the fuse before all fans, if fitted.", "5 A", "400 A", example="80 A")
    holder_rating: Current = given("Of the fuse's holder.", "5 A", "200 A", example="60 A")
    fuse_distance: Length = given("Wire from the battery or post to its first fuse.", "0 in", "240 in", example="6 in")
    sheathed: bool | None = given("Whether that wire has a sleeve of its own.")
    relay_rating: Current = given("Of the relays, if fitted.", "10 A", "200 A", example="40 A")
    fans_per_relay: Count = given("Fans on one relay.", "1", "4", example="1")
    coil: Literal["resistor", "clamp", "diode", "none"] | None = given("What tames the relays' coils.")
    coil_plus: Literal["86", "85"] | None = given("The fed end of the coils.")
    coil_fuse: Current = given("Of the fuse before the coils; 0 A for none.", "0 A", "30 A", example="5 A")
    supply_point: Literal["battery", "alternator post", "ignition switch", "accessory fuse"] | None = given(
        "Where the fans' power is taken."
    )
    ground_point: Literal["body stud", "engine block", "battery", "radiator", "shroud"] | None = given(
        "Where the fans are grounded."
    )
    charge_gauge: Number = given("Gauge of the cable from alternator to battery, AWG.", "0", "18", example="4")
    charge_fuse: Current = given("Of the fuse in that cable.", "10 A", "400 A", example="125 A")
    connector_rating: Current = given("Of the plug at the fan.", "5 A", "200 A", example="40 A")
    connector_gauge: Number = given("Gauge that rating was found with.", "0", "18", example="10")
    connector_sealed: bool | None = given("Whether that plug is sealed.")
    near_exhaust: bool | None = given("Whether a wire passes the exhaust within 6 in without a shield.")
    grommets: bool | None = given("Whether every hole a wire passes has a grommet.")
    motor_cut_out: bool | None = given("Whether the motors switch themselves off when hot.")


class Control(Section):
    """What works the fans, and when they start and stop."""

    scheme: (
        Literal[
            "dash switch",
            "thermal switch",
            "two-stage thermal switch",
            "controller",
            "pwm module",
            "computer and relays",
            "computer and pwm module",
            "series and parallel",
            "resistor",
        ]
        | None
    ) = given("What works the fans.")
    carries: Literal["relay coils", "fans"] | None = given("What the switch or output feeds itself.")
    switch_rating: Current = given("Of the dash or thermal switch.", "0.1 A", "200 A", example="10 A")
    output_rating: Current = given("Of one output of controller or computer.", "0.05 A", "50 A", example="0.5 A")
    output: Literal["on and off", "pulsed"] | None = given("How that output works.")
    module_rating: Current = given("Of the module that feeds a fan.", "5 A", "300 A", example="40 A")
    module_limit: Temperature = given("Hottest its case may get.", "50 degC", "150 degC", example="85 degC")
    polarity: Literal["more is faster", "more is slower"] | None = given("Sense of the module's signal.")
    frequency: Number = given("Of the signal sent, in Hz.", "1", "50000", example="100")
    lowest_frequency: Number = given("The module takes, in Hz.", "1", "50000", example="50")
    highest_frequency: Number = given("The module takes, in Hz.", "1", "50000", example="300")
    least_duty: Share = given("Least the module turns the fan at.", "0", "1", example="35 %")
    start_duty: Share = given("That turns a standing fan.", "0", "1", example="30 %")
    slope: Rise = given("Coolant's rise from least to full speed.", "0.5 degF", "60 degF", example="18 degF")
    dead_band: Rise = given("Change of the coolant that changes nothing.", "0 degF", "20 degF", example="2 degF")
    soft_start: Time = given("A module takes to bring a fan up.", "0 s", "20 s", example="3 s")
    stagger: Time = given("Between the starts of two fans.", "0 s", "60 s", example="3 s")
    override: bool | None = given("Whether a dash switch can run the fans whatever else fails, with a lamp.")
    crank_inhibit: bool | None = given("Whether fans stay off while cranking.")
    air_conditioning_request: bool | None = given("Whether the A/C starts a fan.")
    after_run: Time = given("Fans run on with the key off.", "0 s", "1800 s", example="180 s")
    noise_limit: Noise = given("Most sound at 1 m.", "30 dB", "110 dB", example="70 dB")

    sensor_place: Literal["engine out", "radiator in", "radiator out", "in the fins", "head metal"] | None = given(
        "Where the fan sensor sits."
    )
    fan_on: Temperature = given("First fan on, at its sensor.", "100 degF", "280 degF", example="205 degF")
    fan_off: Temperature = given("First fan off.", "90 degF", "275 degF", example="195 degF")
    second_on: Temperature = given("Second fan on.", "100 degF", "280 degF", example="215 degF")
    second_off: Temperature = given("Second fan off.", "90 degF", "275 degF", example="205 degF")
    first_stage: tuple[str, ...] | None = given(
        "Codes of the fans that start first; the others follow. The first fan alone, if left out.", example='["F1"]'
    )
    least_on: Time = given("Shortest run of a stage.", "0 s", "300 s", example="20 s")
    least_off: Time = given("Shortest rest of a stage.", "0 s", "300 s", example="10 s")
    percent_start: Temperature = given(
        "Least percent on starts here, with speed control.", "100 degF", "275 degF", example="203 degF"
    )
    percent_full: Temperature = given("Full percent on from here.", "100 degF", "280 degF", example="221 degF")
    ramp: Share = given("Most change of percent on in one second.", "0.5 %", "100 %", example="10 %")
    air_conditioning_stage: Literal["first", "all"] | None = given("Stage the A/C asks for.")
    air_conditioning_percent: Share = given("Percent on the A/C asks for, with speed control.", "0 %", "100 %")
    speed_cut: Speed = given("Road speed above which fans stop.", "10 mph", "120 mph", example="45 mph")
    cut_band: Speed = given("Fans may run again this much under that speed.", "0 mph", "40 mph")
    hot_override: bool | None = given("Whether a hot engine runs the fans whatever the road speed.")
    hot: Temperature = given(
        "Sensor temperature past which road speed does not matter.", "150 degF", "290 degF", example="225 degF"
    )
    low_volts: Voltage = given("Battery volts at which running on stops.", "10 V", "13 V", example="12.0 V")
    pump_runs_on: bool | None = given("Whether an electric pump moves coolant while fans run on.")
    sensor_fault: Literal["fans on", "fans off"] | None = given("What a broken or shorted sensor does.")
    second_driver: Literal["none", "joined by relays or diodes", "joined directly"] | None = given(
        "Whether a second controller works the same fan."
    )


TEST_BEND = ("test_strip", "test_legs", "test_angle", "test_radius")
"""Fields of a test bend: all typed, or none"""


class Shop(Section):
    """What the shop works with."""

    labour_rate: Money = given("An hour's labour.", example="95.00 USD")
    sheet: Literal["aluminium 3003-H14", "aluminium 5052-H32", "aluminium 6061-T6", "mild steel"] | None = given(
        "Sheet metal on hand."
    )
    sheet_thickness: Length = given("Of that sheet.", "0.3 mm", "6 mm", example="0.063 in")
    fasteners: Literal["bolt", "rivet nut", "rivet"] | None = given("What holds the flange to the core.")
    cutter: Literal["laser", "plasma", "waterjet", "router", "hand"] | None = given("What cuts the flats.")
    router_bit: Length = given("Diameter of the router's bit.", "1 mm", "1 in")
    filler: Literal["4043", "5356", "5554", "ER70S-2"] | None = given(
        "Welding rod on hand, if it is to be used whatever the table says.", example="5356"
    )
    blend_welds: bool | None = given("Whether the corner welds are ground flush.")
    finish: Literal["bare", "paint", "powder coat", "anodise"] | None = given("What goes on it afterwards.")
    sheets: Sizes = rows_of(
        "Sheet sizes to be had: both sides, the grain along the longer.", 12, example='[["24 in", "48 in"]]'
    )
    brake_length: Length = given("Longest bend the brake makes.", "6 in", "20 ft", example="48 in")
    brake_thickness: Length = given("Thickest sheet it bends.", "0.3 mm", "8 mm", example="0.125 in")
    roll_hits: Count = given(
        "Hits on the brake that make each large roll, if it is not rolled over a former.", "2", "60", example="9"
    )
    k_factor: Number = given(
        "Neutral line of tight bends over thickness, if known; a test bend says it too.", "0.1", "0.9", example="0.42"
    )
    roll_k: Number = given("The same of large rolls.", "0.1", "0.9", example="0.5")
    test_strip: Length = given("Strip of the sheet before a test bend.", "0.5 in", "24 in", example="4 in")
    test_legs: Length = given(
        "Both its legs up to the bend's tangents, together, once bent.", "0.2 in", "24 in", example="3.75 in"
    )
    test_angle: Angle = given("What it was turned through.", "20 deg", "150 deg", example="90 deg")
    test_radius: Length = given("Its inside radius, by a gauge.", "0.005 in", "3 in", example="0.125 in")
    budget: Money = given("Most to spend on parts.", example="450.00 USD")


class Case(Section):
    """One way it is driven."""

    name: str = Field(description="Name of the driving case, used once.", min_length=1)
    kind: Literal["idle", "stop-go", "crawl", "cruise", "grade", "pull"] = Field(
        description="How it is driven: full-throttle pull is 'pull', grade or tow is 'grade'."
    )
    speed: Speed = given("Road speed.", "0 mph", "250 mph")
    grade: Share = given("Slope of the road.", "-0.4", "0.6", example="5 %")
    engine_rpm: Spin = given("Engine speed.", "300 rpm", "14000 rpm")
    air_conditioning: bool | None = given("Whether the A/C runs.")
    ambient: Temperature = given("Air in the shade, if not the job's.", "-40 degF", "140 degF", example="100 degF")
    altitude: Length = given("Height, if not the job's.", "-1500 ft", "16000 ft", example="500 ft", bare=False)
    trailer: bool | None = given("Whether the trailer is on.")
    seconds: Time = given("How long a pull must last.", "1 s", "3600 s")
    share_of_rated_power: Share = given("Engine power of a pull over rated power.", "0.05", "1.1")
    volts: Voltage = given("Volts at the source, if known.", "9 V", "60 V", example="13.5 V")
    coolant_heat: Power = given("Heat to the coolant, if known.", "0.2 kW", "1500 kW", example="15 kW")
    ahead_heat: Power = given("Heat from all coolers ahead, if known.", "0 kW", "500 kW", example="6.5 kW")
    coolant_flow: LiquidFlow = given("Radiator flow, if known.", "0.2 gpm", "400 gpm", example="12 gpm")
    recirculation: Share = given("In this case, if known.", "0", "0.6", example="0.1")
    inlet_pressure_share: Share = given("In this case, if known.", "-0.5", "1", example="0.45")
    front_loss: Number = given("In this case, if known.", "0", "60", example="3")
    exit_loss: Number = given("In this case, if known.", "0", "60", example="2")
    fans_on: tuple[str, ...] | None = given("Codes of the fans that run; all, if left out.", example='["F1"]')
    fans_low: tuple[str, ...] | None = given("Codes of the fans on their low setting.", example='["F1"]')
    percent_on: Share = given("Percent on, of fans whose speed is controlled.", "0.1", "1", example="60 %")
    start: Temperature = given("Coolant temperature a pull starts from.", "60 degF", "250 degF")


class Planned(Section):
    """A fix somebody means to do."""

    code: str = Field(description="The fix's code, as the answer names it.", min_length=1, max_length=60)
    who: str | None = given("Who planned it.", example="Dale")


class Accepted(Section):
    """A finding somebody has decided to live with."""

    code: str = Field(description="The finding's code.", min_length=1)
    place: str | None = given("Driving case or field.", example="idle in gear")
    reason: str | None = given("Why it is acceptable.", example="driven on cool evenings only")
    who: str | None = given("Who accepts it.", example="owner")
    date: datetime.date | None = given("When.", example="2026-01-31")
