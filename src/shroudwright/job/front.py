"""Sections that say what the air meets: core, coolers ahead, opening, space, shroud."""

from typing import Literal

from shroudwright.job.fields import (
    Angle,
    Area,
    Conductivity,
    Corners,
    Count,
    CountPerLength,
    Length,
    Number,
    Power,
    Section,
    Share,
    Spots,
    Temperature,
    given,
    rows_of,
)


class Core(Section):
    """The radiator core, fins and tubes only."""

    fin: Literal["louvered", "plain", "wavy"] | None = given("Kind of fin.")
    run: Literal["crossflow", "downflow"] | None = given("Which way the tubes run.")
    width: Length = given("Finned face, left to right, tanks left off.", "3 in", "100 in", example="24 in")
    height: Length = given("Finned face, up and down, tanks left off.", "3 in", "100 in", example="17 in")
    depth: Length = given("Finned depth, front to back.", "0.25 in", "8 in", example="2 in")
    rows: Count = given("Rows of tubes, front to back.", "1", "8")
    tube_width: Length = given("One tube, front to back.", "5 mm", "120 mm")
    tube_thickness: Length = given("One tube, across, as the air sees it.", "0.8 mm", "8 mm")
    tube_wall: Length = given("Wall of a tube.", "0.05 mm", "1.5 mm")
    fins: CountPerLength = given("Fins along one inch of tube.", "3 per_inch", "40 per_inch")
    fin_height: Length = given("Gap between two tubes.", "2 mm", "26 mm")
    fin_thickness: Length = given("Thickness of the fin strip.", "0.02 mm", "0.5 mm")
    fin_metal: Literal["aluminium", "copper"] | None = given("What the fins are made of.")
    fin_conductivity: Conductivity = given("Of the fin strip as brazed.", "50 W/m/K", "420 W/m/K")
    louver_pitch: Length = given("From one louver to the next.", "0.4 mm", "4 mm")
    louver_angle: Angle = given("Of the louvers to the air.", "5 deg", "45 deg")
    louver_length_share: Share = given("Louver length over fin height.", "0.3", "1")
    passes: Count = given("Times the coolant crosses the core.", "1", "4")
    blocked_share: Share = given("Share of the face lost to debris and bent fins.", "0", "0.9")
    tube_pitch: Length = given("From one tube's middle to the next.", "3 mm", "30 mm", example="10 mm")
    fins_left: CountPerLength = given(
        "Fins counted along one inch, left third.", "3 per_inch", "40 per_inch", example="14 per_inch"
    )
    fins_middle: CountPerLength = given("The same in the middle.", "3 per_inch", "40 per_inch", example="14 per_inch")
    fins_right: CountPerLength = given(
        "The same in the right third.", "3 per_inch", "40 per_inch", example="14 per_inch"
    )
    outside_width: Length = given("Over all, left to right, tanks in.", "3 in", "120 in", example="27 in")
    outside_height: Length = given("Over all, up and down.", "3 in", "120 in", example="19 in")
    outside_depth: Length = given("Over all, front to back.", "0.25 in", "16 in", example="3 in")
    diagonal_rising: Length = given(
        "Finned face, lower left to upper right, seen from behind.", "4 in", "145 in", example="29 3/8 in"
    )
    diagonal_falling: Length = given("Finned face, upper left to lower right.", "4 in", "145 in", example="29 3/8 in")


class Cooler(Section):
    """A cooler ahead of the core, the foremost first."""

    code: str = given("Short name, used once.", default="", example="C1")
    kind: Literal["condenser", "charge exchanger", "transmission cooler", "oil cooler"] | None = given("What it cools.")
    width: Length = given("Finned face, left to right.", "2 in", "100 in")
    height: Length = given("Finned face, up and down.", "2 in", "100 in")
    depth: Length = given("Finned depth, front to back.", "0.25 in", "8 in")
    x: Length = given("Its centre, from the core's left edge, seen from behind.", "-24 in", "120 in")
    y: Length = given("Its centre, from the core's bottom edge.", "-24 in", "120 in")
    fins: CountPerLength = given("Fins along one inch.", "3 per_inch", "40 per_inch")
    gap: Length = given("From its back to the next face.", "0 in", "24 in")
    heat: Power = given("Heat it gives to the air, if known.", "0 kW", "500 kW")
    condensing_temperature: Temperature = given(
        "A condenser held at one temperature instead of giving one heat.", "80 degF", "220 degF", example="150 degF"
    )


class Opening(Section):
    """How air gets to the pack, and away."""

    type: Literal["leaky", "ordinary", "ducted", "side", "rear"] | None = given(
        "How well a nose opening is sealed to the pack; or a core at the side, or at the rear."
    )
    pressure_share: Share = given("Pressure at the opening over that of the road air.", "-0.5", "1", example="0.45")
    bay_pressure_share: Share = given("Pressure behind the fans, likewise.", "-1", "1")
    front_loss: Number = given("Loss of grille and duct, heads on the core face.", "0", "60")
    exit_loss: Number = given("Loss out of the bay, heads on the core face.", "0", "60")
    recirculation: Share = given("Share of hot air that comes round again, standing.", "0", "0.6")


class StackGap(Section):
    """A gap round the stack ahead of the shroud, through which hot air comes round again."""

    side: Literal["left", "right", "top", "bottom"] | None = given("Which side it is on, seen from behind.")
    where: str | None = given("Between what.", example="core support and hood")
    length: Length = given("Along that side.", "0.1 in", "120 in", example="24 in")
    width: Length = given("How far it stands open; 0 in where it is shut.", "0 in", "24 in", example="1/2 in")


class Depth(Section):
    """Room behind the core at one spot."""

    x: Length = given("From the core's left edge, seen from behind.", "-24 in", "120 in")
    y: Length = given("From the core's bottom edge.", "-24 in", "120 in")
    depth: Length = given("From the core's back face to what is behind.", "0 in", "60 in")
    size: Length = given("Across the thing behind.", "0 in", "60 in")


class KeepOut(Section):
    """A box nothing may enter."""

    x: Length = given("Left edge, from the core's left edge, seen from behind.", "-24 in", "120 in")
    y: Length = given("Bottom edge, from the core's bottom edge.", "-24 in", "120 in")
    width: Length = given("Left to right.", "0 in", "120 in")
    height: Length = given("Up and down.", "0 in", "120 in")
    depth: Length = given("From the core's back face to its near side.", "0 in", "60 in")
    reason: str | None = given("What is there.")


class Neck(Section):
    """A hose neck on the radiator."""

    x: Length = given("Centre, from the core's left edge, seen from behind.", "-24 in", "120 in")
    y: Length = given("Centre, from the core's bottom edge.", "-24 in", "120 in")
    diameter: Length = given("Outside diameter.", "0.25 in", "5 in")
    reach: Length = given("How far it stands out behind the core.", "0 in", "24 in")


class Space(Section):
    """Room behind the core."""

    depth_map: tuple[Depth, ...] = rows_of(
        "Depth behind the core at spots.",
        400,
        example='[{ x = "8 in", y = "10 in", depth = "3 in", size = "4 in" }]',
    )
    keep_outs: tuple[KeepOut, ...] = rows_of(
        "Boxes nothing may enter.",
        100,
        example='[{ x = "0 in", y = "0 in", width = "3 in", height = "4 in", depth = "0 in" }]',
    )
    necks: tuple[Neck, ...] = rows_of(
        "Hose necks.", 8, example='[{ x = "22 in", y = "15 in", diameter = "1.5 in", reach = "2 in" }]'
    )
    lip_height: Length = given("From the fins' back face to where the shroud's flange seats.", "0 in", "6 in")
    engine_rock: Length = given("How far the engine moves toward the fans.", "0 in", "4 in")
    tank_height: Length = given("From the fins' back face to the tanks' back face.", "0 in", "12 in", example="1/2 in")
    filler_x: Length = given(
        "Filler's middle, from the core's left edge, seen from behind.", "-24 in", "120 in", example="2 in"
    )
    filler_y: Length = given("Top of its cap, from the core's bottom edge.", "-24 in", "120 in", example="19 in")
    filler_reach: Length = given(
        "How far its neck stands out behind the fins' back face.", "-12 in", "24 in", example="1 in"
    )
    hood_height: Length = given(
        "Shut hood's underside over the core, from the core's bottom edge.", "0 in", "120 in", example="20 in"
    )
    hood_back: Length = given("How far behind the core it was taped again.", "0 in", "60 in", example="6 in")
    hood_back_height: Length = given(
        "Shut hood's underside there, from the core's bottom edge.", "0 in", "120 in", example="21 in"
    )
    core_lean: Angle = given(
        "How far the core's top leans back; forward is negative.", "-60 deg", "60 deg", example="5 deg"
    )


class Notch(Section):
    """A box cut out of the shroud's outline."""

    x: Length = given("Left edge, from the core's left edge, seen from behind.", "-60 in", "160 in")
    y: Length = given("Bottom edge, from the core's bottom edge.", "-60 in", "160 in")
    width: Length = given("Left to right.", "0.1 in", "120 in")
    height: Length = given("Up and down.", "0.1 in", "120 in")


Ending = Literal["out", "in", "none", "lip"]


class Shroud(Section):
    """What gathers the air from the core to the fans."""

    type: Literal["none", "full", "partial"] | None = given("How much of the core it covers.")
    depth: Length = given("From its flange, on the core, to the plate; at the bottom where it tapers.", "0 in", "24 in")
    depth_top: Length = given("Depth at the top, where it tapers.", "0 in", "24 in", example="1 in")
    seal: Length = given("Seal under its flange, squeezed.", "0 in", "2 in")
    reach_left: Length = given("Its inside past the fins on the left; negative: fins left bare.", "-60 in", "12 in")
    reach_right: Length = given("The same on the right.", "-60 in", "12 in")
    reach_top: Length = given("The same at the top.", "-60 in", "12 in")
    reach_bottom: Length = given("The same at the bottom.", "-60 in", "12 in")
    outline: Corners = rows_of(
        "Its inside edge instead of the reaches: corners from the core's lower left, and a bulge where an arc follows.",
        60,
        example='[["0 in", "0 in"], ["20 in", "0 in"], ["20 in", "16 in", 0.2], ["0 in", "16 in"]]',
    )
    notches: tuple[Notch, ...] = rows_of(
        "Boxes cut out of its edge, round a neck or filler.",
        8,
        example='[{ x = "18 in", y = "13 in", width = "3 in", height = "4 in" }]',
    )
    divider: Length = given(
        "An upright plate between fans, from the core's left edge.", "-24 in", "120 in", example="12 in"
    )
    covered_share: Share = given("Share of the core's face it draws from.", "0.05", "1")
    gaps: Area = given(
        "Leaks between core, shroud and fan rings, all together; [[gaps]] say where some are.", "0 in**2", "600 in**2"
    )
    flaps: Area = given("Flap openings, all together; [[flaps]] say where each is.", "0 in**2", "600 in**2")
    flap_count: Count = given("How many flaps.", "0", "24")
    face_map: Spots = rows_of(
        "Air speed read over the core's front face, standing, fans on: x, y and speed; nine spots are usual.",
        49,
        example='[["4 in", "3 in", "350 ft/min"]]',
    )
    face_map_case: str | None = given("Driving case it was read in, if not the first that stands.", example="idle")
    family: Literal["rolled", "bent pan", "flat plate"] | None = given(
        "How it is made: long edges rolled; a pan, four walls bent from one blank; a flat plate on spacers."
    )
    rolled_edges: Literal["top and bottom", "left and right"] | None = given("Which edges are rolled.")
    flange: Ending | None = given(
        "How its walls end: flange out on the core, in under its edge, none, or a lip on over the core's sides."
    )
    flange_left: Ending | None = given("The same on the left, where it differs.", example="none")
    flange_right: Ending | None = given("The same on the right.", example="none")
    flange_top: Ending | None = given("The same at the top.", example="lip")
    flange_bottom: Ending | None = given("The same at the bottom.", example="in")
    lip: Length = given("How far a lip goes past the flange's plane, over the core's side.", "0.1 in", "4 in")
    side_pieces: Literal["over", "between"] | None = given(
        "Side pieces of a rolled shroud: over its cut ends, or between its walls."
    )
    side_foot: Length = given("Foot of the side pieces: plate to its edge; 0 for none.", "0 in", "4 in")
    relief: Length = given("Hole where a pan's bends meet, if not by the table.", "0.05 in", "2 in", example="1/4 in")
    roll_radius: Length = given(
        "Inside radius of the rolled long edges, or of a pan's bends at the face.", "0.02 in", "6 in"
    )
    square_walls: bool | None = given("Whether walls must stand square: a roll too large for the depth is refused.")
    flange_radius: Length = given("Inside radius of the flange bend.", "0 in", "1 in")
    flange_leg: Length = given("Flange: inner wall face to its edge.", "0.2 in", "4 in")
    trim: Length = given("Left long at each end for mock-up.", "0 in", "3 in")
    opening_clearance: Length = given("Blade tip to the opening's edge.", "0 in", "1 in")
    bolt_hole: Length = given("Hole for a flange bolt.", "0.1 in", "0.5 in")
    bolt_slot: Length = given(
        "Play either way that all its bolts but one get for heat growth: slots, and larger holes in feet.",
        "0 in",
        "0.25 in",
    )
    bolt_pitch: Length = given("Most from one flange bolt to the next.", "1 in", "12 in")
    grommet: Length = given("Hole for the wires' grommet.", "0.2 in", "3 in")
    loom: Length = given("Across the loom that goes through it.", "0.05 in", "3 in", example="0.5 in")
    edge_trim: bool | None = given("Whether trim is pushed over the fans' openings.")
    bolt_length: Length = given("Of the flange bolts, under the head.", "0.1 in", "4 in", example="0.75 in")
    bolt_room: Length = given(
        "From the flange's outer face to the nearest tube or fin behind a bolt.", "0 in", "6 in", example="1 in"
    )
    stiffener: Literal["none", "bead", "strap"] | None = given(
        "What crosses the face between the fans: a pressed bead 1/4 in high, or an angle of 1 x 1 x 1/8 in."
    )


class ShroudBox(Section):
    """One of several shroud boxes on the core; what lies between them is bare."""

    code: str = given("Short name, used once.", default="", example="left box")
    x: Length = given(
        "Left edge inside, from the core's left edge, seen from behind.", "-60 in", "160 in", example="0 in"
    )
    y: Length = given("Bottom edge inside, from the core's bottom edge.", "-60 in", "160 in", example="0 in")
    width: Length = given("Left to right, inside.", "1 in", "120 in", example="24 in")
    height: Length = given("Up and down, inside.", "1 in", "120 in", example="17 in")
    depth: Length = given("From its flange to its plate, if not the shroud's depth.", "0 in", "24 in", example="2 in")


class Flap(Section):
    """A hole in the shroud's plate, with or without a flap on it."""

    code: str = given("Short name, used once.", default="", example="upper flap")
    x: Length = given("Its middle, from the core's left edge, seen from behind.", "-60 in", "160 in", example="3 in")
    y: Length = given("Its middle, from the core's bottom edge.", "-60 in", "160 in", example="15 in")
    width: Length = given("The hole, left to right.", "0.25 in", "60 in", example="4 in")
    height: Length = given("The hole, up and down.", "0.25 in", "60 in", example="2 in")
    bars: Count = given(
        "Upright bars across the hole, 1/2 in each, so that the flap is not sucked in.", "0", "12", example="1"
    )
    opens: Literal["out", "always"] | None = given(
        "Out into the bay only, shut by air that would come back; or a bare hole."
    )


class Gap(Section):
    """A leak along an edge of the shroud."""

    box: str | None = given("Code of the box it is on, where there are several.", example="left box")
    side: Literal["left", "right", "top", "bottom"] | None = given("Which edge it runs along.")
    middle: Length = given(
        "Its middle along that edge, from the core's lower left; the edge's own middle if left out.",
        "-60 in",
        "160 in",
        example="12 in",
    )
    length: Length = given("Along the edge; all of it if left out.", "0.1 in", "120 in", example="8 in")
    width: Length = given("How far it stands open.", "0.1 mm", "4 in", example="0.125 in")


class Calibration(Section):
    """What readings on this vehicle say of the model; found by the tool from them, 1 where it was right."""

    plenum: Number = given("Loss behind the core over the field's.", "0.1", "10", example="1.1")
    fan_flow: Number = given("Real fan flow over the curves'.", "0.2", "2", example="0.9")
