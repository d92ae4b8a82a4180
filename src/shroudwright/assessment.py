"""The answer: one frozen record, SI throughout, JSON through `to_json`.

    python -m shroudwright.assessment    write its JSON Schema again

Every uncertain figure is a `Band` (median, 5 %, 95 %). A figure that does not exist for a case is null.
"""

import json
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from shroudwright.uncertain.bands import Verdict

WORDS: dict[str, str] = {"holds": "Will hold", "marginal": "Toss-up", "does not hold": "Won't hold"}


class Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Band(Record):
    """An uncertain figure."""

    value: float = Field(description="median of the draws")
    low: float = Field(description="5 % point")
    high: float = Field(description="95 % point")


class FanAnswer(Record):
    """One fan in one driving case."""

    code: str
    air_flow: Band = Field(description="at the fan's own air density, m3/s")
    pressure: Band = Field(description="rise across the fan, Pa")
    running: bool = Field(description="whether it is driven in this case")
    volts: Band = Field(description="at the fan, V; 0 stopped, and of a fan the engine drives")
    amps: Band = Field(description="A")
    share_of_box_number: Band | None = Field(description="air moved over the free-air rating; null without one")
    noise: Band | None = Field(description="at 1 m in the open, dB(A); null unless the fan drives the air")
    noise_as_typed: float | None = Field(description="its rating as typed, dB; taken who knows how, so counted nowhere")
    stalled: float = Field(description="share of draws at or left of the curve's knee")


class FieldAnswer(Record):
    """Air spread over the core behind the shroud."""

    K_plenum: float | None = Field(description="loss coefficient on the core-face head")
    heat_ratio: float | None = Field(description="heat with uneven air over heat with even air")
    depth: float | None = Field(default=None, description="fins to plate; this and the rest of the governing case, m")
    evenness: float | None = Field(default=None, description="coefficient of variation of the face speed")
    slowest: float | None = Field(default=None, description="slowest spot of the core over the mean")
    starved_share: float | None = Field(default=None, description="share of the core below half the mean")
    air_against_deep: float | None = Field(default=None, description="air over that with a deep plenum")
    heat_against_even: float | None = Field(default=None, description="heat over that with the same air spread evenly")
    degrees_against_deep: float | None = Field(
        default=None, description="coolant, thermostat full open, over that with a deep plenum, K; null for a pull"
    )
    degrees_of_another_inch: float | None = Field(
        default=None, description="taken off the coolant by an inch more, K; null for a pull"
    )
    hand_rule_evenness: float | None = Field(default=None, description="evenness by the hand rule, for comparison")
    confidence: str = "fair: tables computed for this layout, never measured"


Fluid = Literal["transmission fluid", "charge air", "engine oil", "A/C"]


class OtherAnswer(Record):
    """Another fluid in one driving case, judged as the coolant is."""

    name: Fluid
    temperature: Band | None = Field(
        description="out of the gearbox, after the charge cooler, into the oil cooler, or condensing, K"
    )
    pressure: Band | None = Field(description="A/C high side as R134a, gauge, Pa; null past critical or for the rest")
    limit: float = Field(description="middle of the limit's own band, K")
    chance_of_holding: float
    verdict: Verdict
    stands_on: str = Field(description="what the figure is made of, medians")


class CaseAnswer(Record):
    """One driving case. SI; null where the case has no steady state."""

    name: str
    kind: str
    heat: Band = Field(description="shed by the radiator, W")
    heat_by_source: dict[str, float] = Field(description="medians, W; negative is taken out of the radiator")
    heat_ahead: float = Field(description="median given to the air ahead of the radiator, W")
    air_mass_flow: Band | None = Field(description="through the core, kg/s")
    air_flow: Band | None = Field(description="at the core's inlet state, m3/s")
    face_velocity: Band | None = Field(description="m/s")
    air_in: Band | None = Field(description="into the radiator, K")
    air_out: Band | None = Field(description="out of the radiator, K")
    coolant_flow: Band | None = Field(description="through the radiator, m3/s")
    coolant_in: Band | None = Field(description="into the radiator, engine out, thermostat at work, K")
    coolant_out: Band | None = Field(description="out of the radiator, K")
    coolant_unregulated: Band | None = Field(description="into the radiator, thermostat full open, K")
    regulated_share: float = Field(description="share of draws in which the thermostat is throttling")
    limit: float = Field(description="highest coolant temperature allowed, K")
    boil: float = Field(description="boiling point under the cap at altitude, K")
    boil_margin: Band | None = Field(description="boiling point less coolant_in, K")
    ambient: float = Field(description="outside air of the case, K")
    ambient_held: Band | None = Field(description="outside air at which the limit is just reached, K")
    good_to: float | None = Field(description="outside air at which nine draws in ten still hold, K")
    air_to_boil_100C: Band | None = Field(description="unit-slope index to 100 C, K")
    air_to_boil_cap: Band | None = Field(description="unit-slope index to the boiling point under the cap, K")
    chance_of_holding: float
    verdict: Verdict
    seconds_to_limit: Band | None = Field(description="of a pull, s; null for a steady case or if never reached")
    seconds_asked: float | None = Field(description="of a pull, s")
    volts: float = Field(description="at the source, median, V")
    alternator_margin: Band | None = Field(description="A left standing with everything on; null if unknown or moving")
    fans: list[FanAnswer]
    noise: Band | None = Field(description="of all fans that drive the air, at 1 m, dB(A)")
    field: FieldAnswer
    others: list[OtherAnswer] = Field(default_factory=list, description="other fluids that can be worked out")
    beyond_range: list[str] = Field(description="every extrapolation behind this case")


class AcceptedAnswer(Record):
    """Who lives with a finding, and why."""

    reason: str = Field(description="nothing where none is typed")
    who: str
    date: str = Field(description="as 2026-01-31; nothing where none is typed")


class FindingAnswer(Record):
    """What is wrong, the numbers, the remedy."""

    code: str
    level: Literal["stop", "fix", "watch", "note"]
    says: str
    because: str
    remedy: str
    source: str
    place: str
    accepted: AcceptedAnswer | None = Field(default=None, description="null too for a stop: none can be accepted away")


class Guess(Record):
    """A number nobody gave."""

    field: str
    name: str
    value: str
    band: str
    source: str
    measurement: str


class NextReading(Record):
    """A reading that would narrow a case that does not plainly hold."""

    case: str
    fluid: Fluid | Literal["coolant"]
    field: str
    name: str
    share: float = Field(description="share of the margin's rank variance this input explains alone")
    reading: str
    chance_if_as_guessed: float = Field(description="chance of holding once the reading comes out as guessed")


class FirstLookAnswer(Record):
    """A thing to put right, or to look at, before the numbers mean anything."""

    question: str
    answered: Literal["no", "don't know"]
    do: str


class CauseAnswer(Record):
    """What one fault adds to the coolant, K over outside air, in the worst steady case."""

    case: str
    cause: str
    degrees: Band
    start: float = Field(
        serialization_alias="from", description="rise before it is counted; the first is the clean rise"
    )
    end: float = Field(serialization_alias="to", description="rise after it; the last is the rise as it is")


class ShroudAnswer(Record):
    """The shroud as laid out, m and kg."""

    family: str = Field(description="rolled, bent pan or flat plate")
    metal: str
    thickness: float
    roll_radius: float | None = Field(description="or of a pan's bends at the face; null without bends")
    roll_angle: float | None = Field(description="rad")
    flat_face: float | None = Field(default=None, description="left between the rolls or bends, across the section")
    developed_length: float | None = Field(description="round the section up, or across, the core")
    weight: float
    hardware_weight: float = Field(description="fasteners, seals and grommets")
    weld_length: float
    face_frequency: float | None = Field(
        default=None,
        description="how often a second the face shakes with its fans on; this and the rest null without one",
    )
    face_stress_share: float | None = Field(
        default=None, description="of the stress the metal stands for good, shaken as on a rough body"
    )
    face_buckling_rise: float | None = Field(
        default=None, description="face over what holds it fast, at which it pops out of flat, K"
    )
    trial: bool = Field(description="until core outline, depth and every fan's frame, holes and depth are measured")
    unmeasured: list[str]


class FlatAnswer(Record):
    """One flat to cut, m."""

    name: str
    quantity: int
    width: float
    height: float
    openings: int
    holes: int
    bends: int


class StepAnswer(Record):
    """One bend as it is made, m and rad."""

    flat: str
    bend: int
    number: int = Field(description="in the order of making, from 1 on each flat")
    under_the_beam: str = Field(description="edge of the flat the held part runs to; none over a former")
    outer_face: Literal["up", "down"]
    former_radius: float = Field(description="what springs back to the radius drawn")
    former_angle: float = Field(description="turned round it")
    hits: int = Field(description="that make a roll on a brake; 0 for a tight bend")


class BendingAnswer(Record):
    """How the bends are made."""

    neutral_tight: float = Field(description="neutral line of tight bends over thickness")
    neutral_roll: float = Field(description="the same of rolls")
    neutral_source: Literal["table", "typed", "test bend"] = Field(description="of tight bends")
    trapped: list[str] = Field(description="flats for which no order clears a leaf brake")
    steps: list[StepAnswer]


class CircuitAnswer(Record):
    """What feeds one fan, or an electric water pump after the last."""

    fan: str
    working_amps: float = Field(description="at 13.5 V")
    highest_amps: float = Field(description="at 14.4 V")
    start_amps: float
    supply_gauge: float = Field(description="SAE")
    ground_gauge: float = Field(description="SAE")
    fuse_kind: str = Field(description="C standard blade, E large blade")
    fuse_rating: float
    fuse_over_ampacity: bool = Field(description="whether the 150 % rule was needed")
    relay_rating: float
    drop: float = Field(description="whole circuit at working amps, V")
    path_resistance: float = Field(description="ohm")


class BudgetAnswer(Record):
    """The alternator's amps in a driving case."""

    case: str
    engine_rpm: float
    makes: Band = Field(description="hot, A")
    takes: Band = Field(description="all but the fans, A")
    fans: float = Field(description="at 13.5 V, A")
    left: Band = Field(description="A")
    ways: list[str] = Field(description="out of a shortfall, each by itself")


class SettingsAnswer(Record):
    """When fans start and stop, at their own sensor, K."""

    fan_on: float
    fan_off: float
    second_on: float | None
    second_off: float | None
    alarm: float
    percent_start: float | None = Field(description="least percent on from here, with speed control")
    percent_full: float | None = Field(description="full from here")


class TierAnswer(Record):
    """One way of working the fans."""

    scheme: str
    chosen: bool
    gives_up: str
    parts: str = Field(description="wire, fuses, relays and what works them")
    currency: str
    amps_low: float | None = Field(
        description="standing, first stage or half on, A; null with one speed or an unknown low one"
    )
    amps_full: float = Field(description="standing, A")
    noise_low: float | None = Field(description="at 1 m, dB(A)")
    noise_full: float | None = Field(description="at 1 m, dB(A)")


class PriceAnswer(Record):
    """What it costs, decimal text."""

    parts: str
    labour: str
    total: str
    currency: str


class HoseAnswer(Record):
    """One hose or line, SI."""

    number: int = Field(description="as on the drawing")
    name: str
    way: str
    bore: float | None = Field(description="inside, m; null where nobody typed it")
    length: float | None
    lost: float | None = Field(description="on its way at the engine's rated speed, Pa; null off the loop")


class PumpAnswer(Record):
    """Flow and pressures at an engine speed, thermostat open; values at the middles of the guesses."""

    engine_rpm: float
    flow: Band = Field(description="through the core, m3/s")
    past: Band = Field(description="through heater and bypass, m3/s")
    core_drop: Band = Field(description="Pa")
    hose_drop: Band = Field(description="both ways, Pa")
    inlet_tank_over_pump: Band = Field(description="pressure at the core's inlet over that at the pump's, Pa")


class PlumbingAnswer(Record):
    """What leads the coolant and gives it room, SI; values at the middles of the guesses."""

    system_volume: float = Field(description="m3")
    hot: float = Field(description="coolant at its hottest allowed, K")
    expansion: float = Field(description="cold to hot, m3")
    surge_tank: float = Field(description="size one would need, m3")
    recovery_bottle: float = Field(description="size one would need, m3")
    cap_place: str | None
    inlet_cap_left: Band = Field(
        description="held at the pump's inlet when a cap on the inlet tank opens, rated speed, gauge, Pa"
    )
    pump_inlet_margin: Band = Field(
        description="boiling over the coolant at the pump's inlet, rated speed, cap holding; cap on the inlet tank "
        "where its place is null, K"
    )
    pump_inlet_margin_open: Band = Field(description="the same with nothing held by the cap, K")
    heater_relief: Band | None = Field(description="a heater at full blower takes off the hottest case, K")
    pump: list[PumpAnswer]
    hoses: list[HoseAnswer]


class MoneyBand(Record):
    """What something costs, decimal text."""

    value: str
    low: str
    high: str


class FixEffect(Record):
    """What a fix does in one driving case."""

    case: str
    degrees: Band | None = Field(description="taken off the coolant, thermostat full open, K; null for a pull")
    seconds: Band | None = Field(description="added to a pull; null for a steady case")
    chance: float = Field(description="of holding once it is done")


class FixAnswer(Record):
    """One thing to do about it, and what it does alone."""

    code: str
    fix: str
    do: str
    conflicts: str
    not_with: list[str] = Field(description="codes of fixes it cannot stand beside")
    is_generic: bool = Field(description="whether it rests on a generic part, its numbers a guess")
    governing: FixEffect
    elsewhere: list[FixEffect]
    from_no_way_out: bool = Field(description="the governing case is past the 150 K that is counted before it")
    parts: MoneyBand | None = Field(
        description="null where a price is not known or in another currency than the shop's"
    )
    hours: Band
    cost: MoneyBand | None = Field(description="parts and hours at the shop's rate")
    currency: str
    per_100: float | None = Field(description="K, or s of a pull, gained in the governing case per 100 of money")


class FixSet(Record):
    """The smallest set of fixes found that makes every case hold, or the set that comes nearest."""

    codes: list[str]
    holds: bool
    case: str = Field(description="least likely to hold once they are done")
    chance: float = Field(description="of that case holding")
    cost: MoneyBand | None
    hours: Band
    currency: str
    amps: Band | None = Field(default=None, description="of all electric fans in that case, A; null without one")
    noise: Band | None = Field(default=None, description="of all fans in that case at 1 m, dB(A); null where none runs")


class PlannedAnswer(Record):
    """The fixes somebody plans, done together."""

    codes: list[str] = Field(description="that are counted, in the order they are done")
    fixes: list[str] = Field(description="the same in words")
    left_out: dict[str, str] = Field(description="planned codes that are not counted, and why")
    governing: FixEffect = Field(description="all together, in the governing case")
    together: FixSet


class Assessment(Record):
    """Everything one job's numbers say."""

    schema_: int = Field(default=1, alias="schema", serialization_alias="schema")
    program: str
    job_name: str
    job_sha256: str
    seed: int
    draws: int
    first_look: list[FirstLookAnswer] = Field(description="may be the whole trouble; a plain no first")
    governing_case: str
    verdict: Verdict
    cases: list[CaseAnswer]
    causes: list[CauseAnswer] = Field(description="largest first, exact shares; rises are capped at 150 K")
    fixes: list[FixAnswer] = Field(description="most gained for the money first; empty where every case holds")
    smallest_set: FixSet | None = Field(description="null where every case holds, or nothing helps")
    planned: PlannedAnswer | None = Field(
        default=None, description="null where nothing is planned, or every case holds"
    )
    measure_next: list[NextReading]
    shroud: ShroudAnswer | None
    flats: list[FlatAnswer]
    bending: BendingAnswer | None = Field(default=None, description="null where nothing is bent")
    plumbing: PlumbingAnswer | None = None
    wiring: list[CircuitAnswer]
    budgets: list[BudgetAnswer]
    settings: SettingsAnswer | None
    tiers: list[TierAnswer] = Field(description="ways to work the fans, plainest first")
    drive: None = None
    price: PriceAnswer | None
    findings: list[FindingAnswer]
    guesses: list[Guess]
    sources: list[str]

    def to_json(self) -> str:
        """Return the record as JSON; no NaN or Infinity can occur in it."""
        return self.model_dump_json(by_alias=True, indent=2)


def schema_text() -> str:
    """Return the JSON Schema of an assessment, as shipped."""
    return json.dumps(Assessment.model_json_schema(by_alias=True, mode="serialization"), indent=2) + "\n"


if __name__ == "__main__":
    Path(__file__).with_suffix(".schema.json").write_text(schema_text(), encoding="utf-8")
