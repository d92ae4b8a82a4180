"""The section for holes and openings a builder adds to the shroud."""

from typing import Literal

from shroudwright.job.fields import Length, Section, given


class AddedHole(Section):
    """A hole or opening added to the shroud's face or flange."""

    purpose: Literal["access", "drain", "pass-through", "mount", "grommet", "flap", "lightening"] | None = given(
        "What it is for: mount is a bolt, and gets an ear past the edge; pass-through keeps room for a later line; "
        "grommet moves the wires' hole."
    )
    name: str | None = given("What goes through it.", example="transmission line")
    x: Length = given("Its middle, from the core's left edge, seen from behind.", "-60 in", "160 in", example="4 in")
    y: Length = given("Its middle, from the core's bottom edge.", "-60 in", "160 in", example="2 in")
    diameter: Length = given("Of a round one.", "0.05 in", "24 in", example="0.75 in")
    width: Length = given("Left to right, of one that is not round.", "0.1 in", "60 in", example="3 in")
    height: Length = given("Up and down.", "0.1 in", "60 in", example="2 in")
