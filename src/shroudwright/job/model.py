"""The job: everything a builder knows about one vehicle's cooling, and nothing filled in.

Job              the whole file, checked field by field
standard_cases   the six driving cases of a job that names none
has_belt_fan     whether the engine drives a fan
"""

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from pydantic import Field, PrivateAttr, field_validator, model_validator

from shroudwright.job.drive import Accepted, BeltFan, Case, Control, Electrical, Fan, Planned, Shop
from shroudwright.job.fields import Section, given, rows_of
from shroudwright.job.first_look import FirstLook
from shroudwright.job.front import Calibration, Cooler, Core, Flap, Gap, Opening, Shroud, ShroudBox, Space, StackGap
from shroudwright.job.hands import Hand
from shroudwright.job.holes import AddedHole
from shroudwright.job.hoses import Hose, Plumbing
from shroudwright.job.mounts import Bracket, Mount
from shroudwright.job.quantity import is_unknown
from shroudwright.job.vehicle import Circuit, Coolant, Engine, Vehicle, Weather

MOST_PLANNED = 40
MOST_FANS = 4
MOST_COOLERS = 4
MOST_BOXES, MOST_FLAPS, MOST_GAPS = 4, 24, 24
MOST_BRACKETS = 8
MOST_HOLES = 60
MOST_HOSES = 24


def standard_cases() -> tuple[Case, ...]:
    """Return the six standard driving cases; the table of guesses says how each is driven."""
    return (
        Case(name="idle in gear", kind="idle"),
        Case(name="stop-go", kind="stop-go"),
        Case(name="parade crawl", kind="crawl"),
        Case(name="cruise", kind="cruise"),
        Case(name="grade or tow", kind="grade"),
        Case(name="full-throttle pull", kind="pull"),
    )


def has_belt_fan(job: "Job") -> bool:
    """Whether the engine drives a fan: one whose blades were taped."""
    return job.belt_fan.blade is not None


def _has_code(item: Mapping[str, Any]) -> bool:
    return item.get("code", "") != "" and not is_unknown(item["code"])


def _by_way(hoses: Sequence[Any]) -> list[Any]:
    """Call a hose without a code by its way, where no other goes that way."""
    ways = [hose.get("way") if isinstance(hose, Mapping) else None for hose in hoses]
    return [
        {**hose, "code": way} if isinstance(way, str) and ways.count(way) == 1 and not _has_code(hose) else hose
        for hose, way in zip(hoses, ways, strict=True)
    ]


class Job(Section):
    """A vehicle's file: the sections a builder fills in, every one of them optional."""

    schema_version: Literal[1] = Field(default=1, description="Form of this file.")
    name: str = Field(default="", description="What the job is called.")
    units: Literal["in", "mm"] | None = given("Unit of a length typed without one.")
    note: str | None = given("Anything worth remembering.")
    first_look: FirstLook = FirstLook()
    vehicle: Vehicle = Vehicle()
    engine: Engine = Engine()
    weather: Weather = Weather()
    coolant: Coolant = Coolant()
    circuit: Circuit = Circuit()
    plumbing: Plumbing = Plumbing()
    hoses: tuple[Hose, ...] = rows_of("Hoses and lines.", MOST_HOSES)
    core: Core = Core()
    ahead: tuple[Cooler, ...] = rows_of("Coolers ahead of the core, the foremost first.", MOST_COOLERS)
    opening: Opening = Opening()
    stack_gaps: tuple[StackGap, ...] = rows_of("Gaps round the stack ahead of the shroud.", MOST_GAPS)
    space: Space = Space()
    shroud: Shroud = Shroud()
    shroud_boxes: tuple[ShroudBox, ...] = rows_of("Several shroud boxes instead of one shroud.", MOST_BOXES)
    flaps: tuple[Flap, ...] = rows_of("Holes in the shroud's plate, with flaps or bare.", MOST_FLAPS)
    gaps: tuple[Gap, ...] = rows_of("Leaks along the shroud's edges.", MOST_GAPS)
    holes: tuple[AddedHole, ...] = rows_of("Holes and openings added to the shroud.", MOST_HOLES)
    calibration: Calibration = Calibration()
    mount: Mount = Mount()
    brackets: tuple[Bracket, ...] = rows_of("Brackets that hold the core.", MOST_BRACKETS)
    fans: tuple[Fan, ...] = rows_of("Electric fans.", MOST_FANS)
    belt_fan: BeltFan = BeltFan()
    electrical: Electrical = Electrical()
    control: Control = Control()
    shop: Shop = Shop()
    cases: tuple[Case, ...] = Field(
        default_factory=standard_cases, description="Driving cases; six standard ones if none.", max_length=40
    )
    accepted: tuple[Accepted, ...] = rows_of("Findings accepted.", 200)
    planned: tuple[Planned, ...] = rows_of("Fixes planned.", MOST_PLANNED)
    measured: tuple[Hand, ...] = rows_of("Who measured which numbers, and when.", 400)

    _sha256: str = PrivateAttr(default="")
    _file_name: str = PrivateAttr(default="")

    @property
    def job_sha256(self) -> str:
        """Digest of the file's bytes as read."""
        return self._sha256

    @property
    def file_name(self) -> str:
        """Name of the file it was read from."""
        return self._file_name

    @model_validator(mode="before")
    @classmethod
    def _codes_for_all(cls, data: Any) -> Any:
        """Give a fan, cooler, box, flap or hose without a code its number."""
        if not isinstance(data, Mapping):
            return data
        filled = dict(data)
        named = {"fans": "fan", "ahead": "cooler", "shroud_boxes": "box", "flaps": "flap", "hoses": "hose"}
        for part, word in named.items():
            if isinstance(items := data.get(part), list | tuple):
                items = _by_way(items) if part == "hoses" else items
                filled[part] = [
                    item if not isinstance(item, Mapping) or _has_code(item) else {**item, "code": f"{word} {number}"}
                    for number, item in enumerate(items, start=1)
                ]
        return filled

    @field_validator("cases")
    @classmethod
    def _six_if_none(cls, cases: tuple[Case, ...]) -> tuple[Case, ...]:
        return cases or standard_cases()
