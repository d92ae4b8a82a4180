"""The answer of `choose`: one frozen record, SI throughout, JSON through `to_json`."""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from shroudwright.assessment import Band
from shroudwright.uncertain.bands import Verdict

Stage = Literal["sizes", "balance", "draws"]


class Record(BaseModel):
    """Part of the answer."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Placement(Record):
    """Where one fan of a set stands: its middle, from the core's lower left corner, seen from behind."""

    code: str
    x: float = Field(description="m")
    y: float = Field(description="m")
    x_typed: str = Field(description="in the job's units, as a tape reads it")
    y_typed: str
    turned: bool = Field(description="a quarter turn; frames laid out are round or square, so never yet")


class Tightest(Record):
    """The clearance with least to spare."""

    kind: str
    between: list[str]
    gap: float = Field(description="m")
    least: float = Field(description="wanted, m")


class DepthAnswer(Record):
    """The same fans at the same places behind a shroud of some depth."""

    depth: float = Field(description="of the shroud, m")
    is_own: bool = Field(description="whether it is the job's own, typed or guessed")
    fits: bool | None = Field(description="null where nobody measured the room behind the core")
    chance_of_holding: float = Field(description="in the set's governing case")
    margin: float | None = Field(description="median in that case: limit less coolant, K; null if it never settles")
    K: float = Field(description="of the plenum in that case, on the head of the core's face")
    amps: float = Field(description="median of all its fans together in that case, A")


class LayoutAnswer(Record):
    """Where the fans of a set stand best, and what that gives."""

    placements: list[Placement]
    depth: float = Field(description="of the shroud the set is ranked with, m")
    evenness: float = Field(description="spread of the air over the core over its mean; 0 is even")
    starved_share: float = Field(description="share of the core with less than half the mean air")
    K: float = Field(description="of the plenum in the governing case, on the head of the core's face")
    tightest: Tightest | None = Field(description="null where nothing was measured to hold it against")
    over_a_row: float | None = Field(
        description="coolant cooler than with the same fans evenly in a row, K; of a pull, when it must last to"
    )
    row_fits: bool = Field(description="whether that row keeps every clearance")
    depths: list[DepthAnswer] = Field(description="shallowest first")


class SetAnswer(Record):
    """One set of fans that reached the draws. A figure nobody knows is null."""

    rank: int
    name: str = Field(description="such as 2 x A12M, or A12M + A16S")
    codes: list[str] = Field(description="of its fans")
    chance_of_holding: float = Field(description="in its governing case")
    verdict: Verdict
    governing_case: str = Field(description="where it holds least often")
    margin: float | None = Field(
        description="least over all cases at the middle of every guess: limit less coolant, K; null if it never settles"
    )
    coolant_in: Band | None = Field(description="in the governing case, thermostat at work, K; null for a pull")
    seconds_to_limit: float | None = Field(description="median in the governing case, s; null unless it is a pull")
    amps: float = Field(description="median of all its fans together in the governing case, A")
    highest_amps: float = Field(description="the same at 14.4 V, A")
    alternator_margin: float | None = Field(description="least standing, median, A; null if unknown")
    depth: float = Field(description="of its deepest fan, m; a guess where a note says so")
    noise: float | None = Field(description="of all its fans as rated, at 1 m, dB(A)")
    price: str | None = Field(description="of all its fans, decimal text with its currency")
    unbeaten: bool = Field(description="no other set is as good in chance, amps, depth, noise, price and better in one")
    notes: list[str] = Field(description="what is doubtful about its fans' numbers")
    layout: LayoutAnswer | None = Field(
        default=None, description="of the leading 20 only; null too for fans sold together in one frame"
    )


class FanFate(Record):
    """How far the sets of one fan came, and why they fell."""

    code: str
    reached: Stage
    lines: list[str]


class Counts(Record):
    """How many sets stood and fell at each stage; each line's parts add up."""

    tried: int
    wrong_hand: int
    too_wide: int
    too_deep: int
    balanced: int = Field(description="tried less the three above")
    short_of_lead: int = Field(description="balanced, but behind the sets that were drawn")
    no_place: int = Field(description="among the leading ones, but no place was found that keeps every clearance")
    drawn: int = Field(description="balanced less the two above")
    hold: int
    toss_up: int
    fail: int


class Choice(Record):
    """Which sets of fans off a shelf hold on a job."""

    schema_: int = Field(default=1, alias="schema", serialization_alias="schema")
    program: str
    job_name: str
    job_sha256: str
    seed: int
    draws: int
    shelf: str
    assumed: list[str] = Field(description="what was taken for granted of shroud and cases")
    counts: Counts
    sets: list[SetAnswer] = Field(description="best first")
    fans: list[FanFate] = Field(description="every fan of the shelf, in its order")

    def to_json(self) -> str:
        """Return the record as JSON; no NaN or Infinity can occur in it."""
        return self.model_dump_json(by_alias=True, indent=2)
