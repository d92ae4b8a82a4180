"""The pages of a job, in the order of the work, and what stands on each.

SHEETS    every page
sheet_of  one by its name in the address
"""

from typing import NamedTuple


class Sheet(NamedTuple):
    """One page of a job."""

    slug: str
    title: str
    asks: tuple[str, ...]
    """Sections of the job typed on it."""
    shows: tuple[str, ...]
    """Chapters of the packet that stand on it."""
    codes: str
    """First letters of the findings that belong to it."""
    first: str
    """What the page settles, in a sentence."""


SHEETS = (
    Sheet(
        "vehicle",
        "Vehicle",
        ("", "vehicle", "engine", "weather", "cases", "first_look"),
        ("verdict",),
        "",
        "Will it hold?",
    ),
    Sheet("heat", "Heat", ("coolant", "calibration"), ("heat", "fixes"), "H", "Where the heat comes from."),
    Sheet("core", "Core", ("core", "ahead", "opening"), ("air",), "A", "What the radiator is, by the tape."),
    Sheet(
        "fans", "Fans", ("fans", "belt_fan", "space"), ("fans",), "F", "Where the fans stand and what air they move."
    ),
    Sheet(
        "shroud",
        "Shroud",
        ("shroud", "shroud_boxes", "flaps", "gaps", "holes", "mount", "brackets"),
        ("shroud", "brackets", "face", "mounting"),
        "BOSMD",
        "What to cut, roll and weld.",
    ),
    Sheet(
        "plumbing",
        "Plumbing",
        ("circuit", "plumbing", "hoses"),
        ("plumbing",),
        "K",
        "How the coolant gets there and back.",
    ),
    Sheet("wiring", "Wiring", ("electrical",), ("wiring",), "W", "What feeds the fans."),
    Sheet("control", "Control", ("control",), ("settings",), "C", "When the fans start and stop."),
    Sheet("cost", "Cost", ("shop",), ("price",), "P", "What it costs."),
    Sheet("road-test", "Road test", (), ("guesses",), "", "What to read on the road, and what it would settle."),
    Sheet(
        "packet",
        "Packet",
        ("accepted",),
        ("findings", "checklist", "owner", "cautions"),
        "",
        "Everything the shop needs, on paper and as files.",
    ),
)


def sheet_of(slug: str) -> Sheet | None:
    """Return a page by its name in the address, or nothing."""
    return next((sheet for sheet in SHEETS if sheet.slug == slug), None)
