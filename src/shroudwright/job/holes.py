"""The section for holes and openings a builder adds to the shroud."""

from typing import Any, Literal

from pydantic import field_validator

from shroudwright.job.fields import Angle, Length, Section, given


class AddedHole(Section):
    """A hole or opening added to the shroud's face or flange."""

    purpose: Literal["access", "drain", "pass-through", "mount", "slot", "keyhole", "grommet", "lightening"] | None = (
        given(
            "What it is for: mount is a bolt, and gets an ear past the edge; slot a bolt with play; keyhole a fan's "
            "studs, turned in; pass-through keeps room for a later line; grommet moves the wires' hole."
        )
    )
    name: str | None = given("What goes through it.", example="transmission line")
    fan: str | None = given("Code of the fan whose mounting holes become keyholes.", example="F1")
    x: Length = given("Its middle, from the core's left edge, seen from behind.", "-60 in", "160 in", example="4 in")
    y: Length = given("Its middle, from the core's bottom edge.", "-60 in", "160 in", example="2 in")
    diameter: Length = given(
        "Of a round one; of a keyhole's end that a stud's head goes through.", "0.05 in", "24 in", example="0.75 in"
    )
    width: Length = given(
        "Left to right, of one that is not round; across a keyhole's slot.", "0.1 in", "60 in", example="3 in"
    )
    height: Length = given("Up and down.", "0.1 in", "60 in", example="2 in")
    corner: Length = given("Radius of the corners of an access opening.", "0 in", "12 in", example="0.25 in")
    lip: Length = given("Height of a lip flared round an access opening.", "0.15 in", "2 in", example="0.4 in")
    turn: Angle = given(
        "How far a stud is turned, counter-clockwise seen from behind.", "3 deg", "120 deg", example="20 deg"
    )

    @field_validator("purpose", mode="before")
    @classmethod
    def _flaps_have_rows(cls, raw: Any) -> Any:
        if isinstance(raw, str) and raw.strip().lower() == "flap":
            raise ValueError("a flap is typed once, for air and metal: [[flaps]] with x, y, width, height and bars")
        return raw
