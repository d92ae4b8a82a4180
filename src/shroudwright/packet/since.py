"""What moved between two revisions of a job: numbers, degrees and air, metal, wire and money.

moved_lines    for the terminal
since_pdf      on one page
"""

from collections.abc import Iterable, Iterator
from typing import Any

from shroudwright.assessment import WORDS, Assessment, CaseAnswer
from shroudwright.drawing.words import length_words
from shroudwright.job.model import Job
from shroudwright.metal.flat import Flat, Hole
from shroudwright.metal.sheet import find_sheet
from shroudwright.packet.blocks import Block, heading, items, table, words
from shroudwright.packet.pdf import papers_pdf
from shroudwright.packet.tables import cut_rows, wire_rows
from shroudwright.plan import Plan
from shroudwright.speech import CLIMBS, SHOPS, Dialect

Answered = tuple[Assessment, Plan]
Moved = tuple[str, str, str]
_LEFT_OUT = ("measured", "schema_version")
_MOST_LINES = 30


def since_pdf(old: Job, before: Answered, new: Job, after: Answered) -> bytes:
    """Return the page that says what moved.

    Parameters
    ----------
    old, new : Job
        Both revisions, as read.
    before, after : (Assessment, Plan)
        Of each.

    Returns
    -------
    bytes
        A PDF in the new job's units.
    """
    answer, units = after[0], new.units or "in"
    shop = SHOPS[units]
    blocks: list[Block] = [heading("What moved"), words(_lead(before[0], answer), 11, "bold")]
    for title, heads, rows in (
        ("Numbers", "2.4 field | 2 was | 2 is", _numbers(old, new)),
        ("Degrees and air", "2.2 driving case | 3 was | 3 is", _cases(before[0], answer, shop)),
        ("Metal", "2.2 what | 3 was | 3 is", _metal(before[1], after[1], units)),
        ("Wire, settings and money", "2.2 what | 3 was | 3 is", _wire(before, after, shop, units)),
    ):
        blocks += [heading(title), table(heads, rows[:_MOST_LINES]) if rows else words("Nothing.")]
        if len(rows) > _MOST_LINES:
            blocks.append(words(f"and {len(rows) - _MOST_LINES} more", 8.5))
    missing = answer.shroud.unmeasured if answer.shroud else []
    blocks += [
        heading("Cut files"),
        words("TRIAL until these are measured in hand:" if missing else "No longer TRIAL: all is measured in hand."),
        *([items(list(missing))] if missing else []),
    ]
    mark = f"{answer.program}, job {before[0].job_sha256[:12]} to {answer.job_sha256[:12]}"
    return papers_pdf(blocks, answer.job_name, title="what moved", mark=mark, units=units)


def moved_lines(old: Job, before: Answered, new: Job, after: Answered) -> list[str]:
    """Say what moved, a line for each thing; see `since_pdf`."""
    units = new.units or "in"
    rows = [
        *_numbers(old, new),
        *_cases(before[0], after[0], SHOPS[units]),
        *_metal(before[1], after[1], units),
        *_wire(before, after, SHOPS[units], units),
    ]
    return [_lead(before[0], after[0]), *(f"  {name}: {was} -> {now}" for name, was, now in rows)]


def _lead(old: Assessment, new: Assessment) -> str:
    verdicts = [WORDS[answer.verdict] for answer in (old, new)]
    said = f"{verdicts[0]}, as before" if verdicts[0] == verdicts[1] else f"{verdicts[0]} before, {verdicts[1]} now"
    chance = [
        100 * min(case.chance_of_holding for case in answer.cases if case.name == answer.governing_case)
        for answer in (old, new)
    ]
    return f"{said}: {chance[0]:.0f} chances in 100 before, {chance[1]:.0f} now, in the worst case of each."


def _numbers(old: Job, new: Job) -> list[Moved]:
    was, now = (dict(_flat(job.model_dump(exclude=set(_LEFT_OUT)))) for job in (old, new))
    return _changed(was, now)


def _flat(held: Any, place: str = "") -> Iterator[tuple[str, str]]:
    pairs: Iterable[tuple[Any, Any]]
    if isinstance(held, dict):
        pairs = held.items()
    elif isinstance(held, list | tuple):
        pairs = enumerate(held)
    else:
        if held is not None and held != "":
            yield place, str(getattr(held, "typed", held))
        return
    for name, value in pairs:
        yield from _flat(value, f"{place}.{name}" if place else str(name))


def _changed(was: dict[str, str], now: dict[str, str]) -> list[Moved]:
    names = dict.fromkeys([*was, *now])
    return [(n, was.get(n, "-"), now.get(n, "-")) for n in names if was.get(n) != now.get(n)]


def _cases(old: Assessment, new: Assessment, shop: Dialect) -> list[Moved]:
    """Every case of both, moved or not: that nothing moved is an answer here."""
    was, now = ({case.name: _case(case, shop) for case in answer.cases} for answer in (old, new))
    return [(name, was.get(name, "-"), now.get(name, "-")) for name in dict.fromkeys([*was, *now])]


def _case(case: CaseAnswer, shop: Dialect) -> str:
    air = "no air" if case.air_flow is None else f"{shop.air_flow(case.air_flow.value)} {shop.air_sign}"
    into = f"{shop.band(case.coolant_in)} {shop.degree_sign}" if case.coolant_in else CLIMBS
    if case.seconds_asked is not None:
        seconds = case.seconds_to_limit
        into = "no limit reached" if seconds is None else f"lasts {seconds.value:.0f} s"
    return f"{into}, {air}, {100 * case.chance_of_holding:.0f} in 100"


def _metal(old: Plan, new: Plan, units: str) -> list[Moved]:
    return [*_changed(_flats(old, units), _flats(new, units)), *_holes(old, new)]


def _flats(plan: Plan, units: str) -> dict[str, str]:
    if plan.shroud is None:
        return {}
    flats = _all_flats(plan)
    made = {
        row[0]: f"{row[1]} of {row[2]} x {row[3]} x {row[4]}, {row[7]} bends, {row[8]}"
        for row in cut_rows(flats, find_sheet(plan.shroud.metal).density, units)
    }
    for flat in flats:
        for opening in flat.openings:
            at = ", ".join(length_words(side, units, is_bare=True) for side in opening.middle)
            wide = length_words(opening.box.x2 - opening.box.x1, units)
            made[f"{flat.name}: {opening.name}"] = f"{wide} across at {at}"
    return made


def _holes(old: Plan, new: Plan) -> list[Moved]:
    was, now = ({flat.name: {_spot(hole) for hole in flat.holes} for flat in _all_flats(plan)} for plan in (old, new))
    return [
        (
            f"{name}: holes",
            f"{len(was[name])}, {len(was[name] - now[name])} of them gone",
            f"{len(now[name])}, {len(now[name] - was[name])} of them new",
        )
        for name in was
        if name in now and was[name] != now[name]
    ]


def _spot(hole: Hole) -> tuple[int, ...]:
    """Where a hole is and how large, to a hundredth of a millimetre."""
    return tuple(round(1e5 * size) for size in (hole.x, hole.y, hole.diameter))


def _all_flats(plan: Plan) -> list[Flat]:
    flats = list(plan.shroud.flats) if plan.shroud else []
    return [*flats, *(item.bracket.flat for item in (plan.mounting.brackets if plan.mounting else ()))]


def _wire(old: Answered, new: Answered, shop: Dialect, units: str) -> list[Moved]:
    return _changed(_electric(*old, shop, units), _electric(*new, shop, units))


def _electric(answer: Assessment, plan: Plan, shop: Dialect, units: str) -> dict[str, str]:
    found = {
        circuit.name: (
            f"{circuit.working_amps:.0f} A, fuse {circuit.fuse_rating:.0f} A, gauge {circuit.supply_gauge:.0f}, "
            f"{circuit.volts_at_fan:.1f} V at the fan"
        )
        for circuit in plan.fed
    }
    found |= {
        f"wire {row[0]}, {row[1]} to {row[2]}": f"{row[3]} {row[4]}, cut at {row[6]}"
        for row in wire_rows(plan.wires, units)
    }
    if answer.settings is not None:
        found["first fan on"] = shop.temperature_text(answer.settings.fan_on)
        found["alarm"] = shop.temperature_text(answer.settings.alarm)
    if plan.bill is not None:
        found["parts and labour"] = f"{plan.bill.total:,.2f} {plan.bill.currency}"
    return found
