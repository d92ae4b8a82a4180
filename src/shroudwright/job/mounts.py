"""Sections that say how the pack is held: its weight, the brackets and what they reach from and to."""

from typing import Literal

from shroudwright.job.fields import Length, Mass, Number, Section, given

Way = Literal["left", "right", "down", "up", "front", "back"]


ENDS = ("x", "y", "z", "core_x", "core_y", "core_z")
"""Fields of a bracket that say where its two holes are"""


class Mount(Section):
    """How the pack hangs in the vehicle."""

    weight: Mass = given(
        "Core with tanks, coolant, fans, shroud and coolers, all that the brackets carry.", "1 lb", "600 lb"
    )
    load_factor: Number = given(
        "Weights a bump makes of one: 3 on the road, 5 rough, trailered or off-road.", "1", "10"
    )
    fans_hang_on: Literal["shroud", "brackets", "core"] | None = given(
        "What carries the fans; core: ties through the fins."
    )


class Bracket(Section):
    """A bracket from a hole in the frame to a mount of the core."""

    name: str | None = given("What it is called, used once.", example="lower left")
    carries: Literal["weight", "place"] | None = given("Two carry the weight; the others only keep it in place.")
    x: Length = given("Frame hole, from the core's left edge, seen from behind.", "-60 in", "160 in", example="-1 in")
    y: Length = given("Frame hole, from the core's bottom edge.", "-60 in", "120 in", example="-4 in")
    z: Length = given("Frame hole, from the fins' back face, rearward.", "-60 in", "60 in", example="2 in")
    faces: Way | None = given("Which way the frame's surface faces there.", example="up")
    hole: Length = given("Bracket's hole there.", "0.1 in", "1 in")
    core_x: Length = given(
        "Core's mount, from the core's left edge, seen from behind.", "-60 in", "160 in", example="1 in"
    )
    core_y: Length = given("Core's mount, from the core's bottom edge.", "-60 in", "120 in", example="-1 in")
    core_z: Length = given("Core's mount, from the fins' back face, rearward.", "-60 in", "60 in", example="-1 in")
    core_faces: Way | None = given("Which way the core's mount faces.", example="down")
    core_hole: Length = given("Bracket's hole there.", "0.1 in", "2 in")
    width: Length = given("Of its strap.", "0.5 in", "8 in")
    thickness: Length = given("Of its sheet.", "0.04 in", "0.5 in")
    metal: Literal["aluminium 3003-H14", "aluminium 5052-H32", "aluminium 6061-T6", "mild steel"] | None = given(
        "What it is cut from."
    )
    gusset: Length = given("Height of a side gusset welded in each bend.", "0 in", "6 in")
    at_frame: Literal["bolted", "welded"] | None = given("How it is fixed to the frame.")
    rubber: bool | None = given("Whether the core sits in rubber there.")
