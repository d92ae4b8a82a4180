"""Choosing fans: sizes, then the middle of every guess, then draws for the sets that lead, then places for the first.

choose       job and shelf -> Choice
"""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shroudwright import __version__
from shroudwright.assessment import Band
from shroudwright.bench.errors import InputError
from shroudwright.choose.balance import Balanced, Leading, Progress, Work, solve_rows, solved
from shroudwright.choose.layouts import lay_out_leading
from shroudwright.choose.marks import unbeaten
from shroudwright.choose.record import Choice, Counts, FanFate, SetAnswer, Stage
from shroudwright.choose.sizes import (
    Candidate,
    alike,
    depth_of,
    fall_by_size,
    hand_wanted,
    notes_of,
    room_of,
    shrouded,
    unlike,
)
from shroudwright.fan_sets import FLOW, Batch, Columns, Known, columns_of, flows_of, known_of, turned
from shroudwright.fans.noise import add_levels
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import glycol_of
from shroudwright.job.model import Job
from shroudwright.job.shelf import ShelfFan
from shroudwright.materials.coolant import coolant_table
from shroudwright.price.bill import money
from shroudwright.speech import CLIMBS, SHOPS, Dialect
from shroudwright.uncertain.bands import FAILS, HOLDS, band, verdict
from shroudwright.uncertain.draws import SEED

DRAWS = 256
SCOUTS = 24
"""Draws in every case that find the one whose middle lies fewest spreads over nothing"""
PAIRED = 60
LEADING = 100
_LOST = 200.0
"""A margin past this is no better than one of this; then fewer amps lead, [K rise]"""
_ROWS_AT_ONCE, _AT_ONCE = 6000, 2
"""Rows in a batch, and batches at work at once, one of which is being written while another is solved"""


def choose(
    job: Job,
    shelf: Sequence[ShelfFan],
    *,
    shelf_name: str = "the shelf as shipped",
    draws: int = DRAWS,
    progress: Progress = lambda words, done: None,
    leading: Leading = lambda tried, sets: None,
    is_cancelled: Callable[[], bool] = lambda: False,
) -> Choice:
    """Say which sets of fans off a shelf hold on a job: one to four alike, and pairs of the best unlike ones.

    Parameters
    ----------
    job : Job
        As read; its own fans are left out, and a job without a shroud gets a full one.
    shelf : sequence of ShelfFan
        From `read_shelf` or `shipped_shelf`.
    shelf_name : str
        What to call it.
    draws : int
        Behind every chance.
    progress : callable
        Told what is being done and the share of it done.
    leading : callable
        Told how many sets have been looked at and those that go on, best first, whenever that changes.
    is_cancelled : callable
        Asked between batches.

    Returns
    -------
    Choice
        Every set that reached the draws, best first, and why every other fell. SI.

    Raises
    ------
    InputError
        If the job cannot be worked out, with every reason.
    Cancelled
        If it was called off.
    """
    job, assumed = shrouded(job)
    wanted = hand_wanted(job)
    shop = SHOPS[job.units or "in"]
    progress("filling in the job and the shelf", 0.0)
    known = known_of(job, [turned(item, wanted) for item in shelf], draws)
    middle = Filled(known.job, {path: values[:1] for path, values in known.drawn.items()}, known.words)
    asked = np.array(
        [
            float(middle[f"cases.{index}.seconds"][0]) if case.kind == "pull" else 0.0
            for index, case in enumerate(known.job.cases)
        ]
    )
    work = Work(known, shelf, coolant_table(*glycol_of(middle)), asked, shop, progress, is_cancelled, leading)
    room = room_of(known)
    tried = list(alike(shelf))
    for candidate in tried:
        fall_by_size(candidate, shelf, known, room, wanted, shop)
    standing = _at_the_middle(
        work, [each for each in tried if not each.fell], "alike sets at the middle of every guess"
    )
    standing.sort(key=Balanced.order)
    leading(len(tried), standing)
    best = list(dict.fromkeys(each.candidate.members[0] for each in standing))[:PAIRED]
    pairs = list(unlike(shelf, best))
    for candidate in pairs:
        fall_by_size(candidate, shelf, known, room, wanted, shop)
    standing += _at_the_middle(work, [each for each in pairs if not each.fell], "pairs at the middle of every guess")
    standing.sort(key=Balanced.order)
    leading(len(tried) + len(pairs), standing)
    lead, rest = standing[:LEADING], standing[LEADING:]
    for each in rest:
        each.candidate.fell = "lead"
        each.candidate.why = _behind(each, lead[-1], shop, known)
    columns = _draw(work, lead)
    lead.sort(key=_rank)
    leading(len(tried) + len(pairs), lead)
    sets = _ranked(_laid_out(work, lead, columns))
    return Choice(
        program=f"shroudwright {__version__}",
        job_name=job.name or job.file_name,
        job_sha256=job.job_sha256,
        seed=SEED,
        draws=draws,
        shelf=shelf_name,
        assumed=assumed,
        counts=_counts([*tried, *pairs], sets),
        sets=sets,
        fans=_fates(shelf, tried, pairs, best, sets),
    )


def _in_batches(work: Work, sets: Sequence[Any], rows: int, words: str, solve: Callable[[Any], Any]) -> Iterator[Any]:
    """Yield each batch and what comes of it, the rows of the next written while one is solved."""
    size = max(1, _ROWS_AT_ONCE // rows)
    parts = [sets[first : first + size] for first in range(0, len(sets), size)]
    pool = ThreadPoolExecutor(_AT_ONCE)
    try:
        found = pool.map(solve, parts)
        for k, part in enumerate(parts):
            work.step(words, k / len(parts))
            yield part, next(found)
    finally:
        pool.shutdown(cancel_futures=True)


def _at_the_middle(work: Work, candidates: Sequence[Candidate], words: str) -> list[Balanced]:
    known = work.known
    if not candidates:
        return []
    fans = list(dict.fromkeys(fan for each in candidates for fan in each.members))
    columns = columns_of(known, fans, drawn=False)
    kept: dict[Any, NDArray[np.float64]] = {}

    def solve(part: Sequence[Candidate]) -> list[tuple[NDArray[np.float64], Any]]:
        sets = [each.members for each in part]
        batch = Batch(known, sets, columns, flows_of(known, sets, kept), [0])
        return [solved(work, batch, index) for index in range(len(known.job.cases))]

    found = []
    for part, in_every_case in _in_batches(work, candidates, 1, words, solve):
        margins = np.stack([margin[:, 0] for margin, _ in in_every_case], axis=1)
        air = np.min([r["air_mass_flow"][:, 0] for _, r in in_every_case], axis=0)
        for i, each in enumerate(part):
            amps = sum(known.circuits[fan].highest_amps for fan in each.members)
            found.append(Balanced(each, margins[i], float(air[i]), amps))
    return found


def _behind(each: Balanced, last: Balanced, shop: Dialect, known: Known) -> str:
    def said(one: Balanced) -> str:
        if not np.isfinite(one.least):
            return CLIMBS
        return f"{shop.rise(one.least)} to the limit"

    case = known.job.cases[int(each.margins.argmin())].name
    return f"{said(each)} in {case}, at the middle of every guess; the last set drawn has {said(last)}"


def _draw(work: Work, lead: Sequence[Balanced]) -> Columns | None:
    """Find each set's governing case by a few draws in every case, then its chance there by all of them."""
    known = work.known
    if not lead:
        return None
    fans = list(dict.fromkeys(fan for each in lead for fan in each.candidate.members))
    work.step("drawing the leading sets' fans", 0.0)
    columns = columns_of(known, fans, drawn=True)
    kept: dict[Any, NDArray[np.float64]] = {}
    count = len(known.shares[FLOW])
    scouts = range(min(SCOUTS, count) + 1)
    sure = np.full((len(lead), len(known.job.cases)), np.inf)
    scouted: dict[tuple[int, int], tuple[NDArray[np.float64], NDArray[Any]]] = {}
    for index, case in enumerate(known.job.cases):

        def scout(part: Sequence[int], index: int = index) -> tuple[NDArray[np.float64], Any]:
            return solved(work, _batch(known, [lead[i] for i in part], columns, kept, scouts), index)

        rivals = [i for i, each in enumerate(lead) if each.may_govern(index)]
        words = f"looking for the worst case: {case.name}"
        for part, (margins, r) in _in_batches(work, rivals, len(scouts), words, scout):
            sure[part, index] = _sureness(margins[:, 1:])
            scouted |= {(i, index): (margins[k], r[k]) for k, i in enumerate(part)}
    for each, least in zip(lead, sure.argmin(axis=1), strict=True):
        each.governing = int(least)
    for index, case in enumerate(known.job.cases):

        def rest(part: Sequence[int], index: int = index) -> tuple[NDArray[np.float64], Any, Any]:
            batch = _batch(known, [lead[i] for i in part], columns, kept, range(count + 1))
            margins, r = solve_rows(work, batch.case(index)[:, len(scouts) :], index)
            first, found = zip(*(scouted[i, index] for i in part), strict=True)
            whole = np.concatenate([np.stack(first), margins], axis=1)
            return whole, np.concatenate([np.stack(found), r], axis=1), batch.amps_left()

        governed = [i for i, each in enumerate(lead) if each.governing == index]
        for part, (margins, r, left) in _in_batches(work, governed, count + 1, f"drawing {case.name}", rest):
            for k, i in enumerate(part):
                spare = None if left is None else float(np.median(left[k, 1:]))
                lead[i].answer = _answer(work, lead[i], margins[k, 1:], r[k, 1:], spare)
    return columns


def _laid_out(work: Work, lead: list[Balanced], columns: Columns | None) -> list[list[Balanced]]:
    """Lay out the leading sets; those that were and the rest, each best first, without those that have no place."""
    if columns is None:
        return []
    laid, fell = lay_out_leading(work, lead, columns, {})
    for i, why in fell.items():
        lead[i].candidate.fell, lead[i].candidate.why = "place", why
    for i, one in laid.items():
        each = lead[i]
        assert each.answer
        if np.isfinite(one.margins[0]):
            each.margins[each.governing] = one.margins[0]
        answer = _answer(work, each, one.margins[1:], one.results[1:], each.answer.alternator_margin)
        each.answer = answer.model_copy(update={"layout": one.layout, "notes": [*answer.notes, *one.notes]})
    leading = max(laid, default=-1) + 1
    standing = [[each for each in part if not each.candidate.fell] for part in (lead[:leading], lead[leading:])]
    return [sorted(part, key=_rank) for part in standing]


def _rank(each: Balanced) -> tuple[float, ...]:
    """Chance to the hundredth; then, where it holds, fewer amps; then margin."""
    assert each.answer
    chance = round(each.answer.chance_of_holding, 2)
    _, stuck, amps, margin = each.order()
    return (-chance, amps if chance >= HOLDS else 0.0, margin, stuck)


def _sureness(margins: NDArray[np.float64]) -> NDArray[np.float64]:
    """Mean margin over its spread; a draw without a steady state counts as far over the limit."""
    held = np.maximum(margins, -_LOST)
    return np.asarray(held.mean(axis=1) / np.maximum(held.std(axis=1), 1e-6))


def _batch(
    known: Known,
    part: Sequence[Balanced],
    columns: Columns,
    kept: dict[Any, NDArray[np.float64]],
    picked: Sequence[int],
) -> Batch:
    sets = [each.candidate.members for each in part]
    return Batch(known, sets, columns, flows_of(known, sets, kept), picked)


def _answer(work: Work, each: Balanced, margins: NDArray[np.float64], r: Any, spare: float | None) -> SetAnswer:
    known, members = work.known, each.candidate.members
    case = known.job.cases[each.governing]
    is_pull = case.kind == "pull"
    chance = float(np.mean(margins >= 0.0))
    coolant = None if is_pull else band(np.asarray(r["coolant_in"]))
    seconds = float(np.median(r["seconds_to_limit"])) if is_pull else np.inf
    fans = [work.shelf[fan].fan for fan in members]
    levels = [fan.noise.value for fan in fans if fan.noise]
    return SetAnswer(
        rank=1,
        name=each.candidate.name,
        codes=[fan.code for fan in fans],
        chance_of_holding=chance,
        verdict=verdict(chance),
        governing_case=case.name,
        margin=each.least if np.isfinite(each.least) else None,
        coolant_in=None if coolant is None else Band(**coolant._asdict()),
        seconds_to_limit=seconds if np.isfinite(seconds) else None,
        amps=float(np.median(np.nansum(r["fan_amps"], axis=1))),
        highest_amps=each.highest_amps,
        alternator_margin=spare,
        depth=depth_of(members, known),
        noise=float(add_levels(levels)) if len(levels) == len(fans) else None,
        price=_price([fan.price for fan in fans]),
        unbeaten=False,
        notes=notes_of(members, work.shelf, known, work.shop),
    )


def _price(prices: Sequence[str | None]) -> str | None:
    """Sum of prices in one currency; nothing where one is missing or currencies differ."""
    amounts = [money(price) for price in prices if price]
    if len(amounts) < len(prices) or len({currency for _, currency in amounts}) > 1:
        return None
    return f"{sum((amount for amount, _ in amounts), Decimal(0)):.2f} {amounts[0][1]}"


def _ranked(parts: Sequence[Sequence[Balanced]]) -> list[SetAnswer]:
    """Number the sets in their order and mark the unbeaten."""
    answers = [each.answer for part in parts for each in part if each.answer]
    currencies = [item.price.split()[1] for item in answers if item.price]
    common = max(set(currencies), key=currencies.count, default="")
    columns = np.array(
        [
            (
                -round(item.chance_of_holding, 2),
                item.highest_amps,
                item.depth,
                np.nan if item.noise is None else item.noise,
                float(item.price.split()[0]) if item.price and item.price.endswith(common) else np.nan,
            )
            for item in answers
        ]
    ).reshape(-1, 5)
    return [
        item.model_copy(update={"rank": rank, "unbeaten": bool(mark)})
        for rank, (item, mark) in enumerate(zip(answers, unbeaten(columns), strict=True), start=1)
    ]


def _counts(tried: Sequence[Candidate], sets: Sequence[SetAnswer]) -> Counts:
    fell = [each.fell for each in tried]
    wrong = {reason: fell.count(reason) for reason in ("hand", "width", "depth", "lead", "place")}
    hold = sum(item.chance_of_holding >= HOLDS for item in sets)
    fail = sum(item.chance_of_holding < FAILS for item in sets)
    return Counts(
        tried=len(tried),
        wrong_hand=wrong["hand"],
        too_wide=wrong["width"],
        too_deep=wrong["depth"],
        balanced=len(tried) - wrong["hand"] - wrong["width"] - wrong["depth"],
        short_of_lead=wrong["lead"],
        no_place=wrong["place"],
        drawn=len(sets),
        hold=hold,
        toss_up=len(sets) - hold - fail,
        fail=fail,
    )


def _fates(
    shelf: Sequence[ShelfFan],
    tried: Sequence[Candidate],
    pairs: Sequence[Candidate],
    best: Sequence[int],
    sets: Sequence[SetAnswer],
) -> list[FanFate]:
    drawn = {item.name: item for item in sets}
    own: dict[int, list[Candidate]] = {i: [] for i in range(len(shelf))}
    paired: dict[int, list[Candidate]] = {i: [] for i in range(len(shelf))}
    for each in tried:
        own[each.members[0]].append(each)
    for each in pairs:
        for fan in each.members:
            paired[fan].append(each)
    fates = []
    for i, item in enumerate(shelf):
        lines = [f"{each.name}: {each.why or _said(drawn[each.name])}." for each in own[i]]
        lines.append(_of_pairs(item, i in best, paired[i], drawn))
        stages = {_reached(each) for each in (*own[i], *paired[i])}
        reached: Stage = "draws" if "draws" in stages else "balance" if "balance" in stages else "sizes"
        fates.append(FanFate(code=item.code, reached=reached, lines=lines))
    return fates


def _reached(each: Candidate) -> Stage:
    return "balance" if each.fell == "lead" else "sizes" if each.fell not in ("", "place") else "draws"


def _said(item: SetAnswer) -> str:
    return f"rank {item.rank}, holds {100 * item.chance_of_holding:.0f} in 100 in {item.governing_case}"


def _of_pairs(item: ShelfFan, is_best: bool, pairs: Sequence[Candidate], drawn: dict[str, SetAnswer]) -> str:
    if item.fans_in_frame > 1:
        return f"Pairs with another fan: none, it is sold {item.fans_in_frame} in one frame."
    if not is_best:
        return f"Pairs with another fan: none, it is not among the best {PAIRED} alone."
    if not pairs:
        return "Pairs with another fan: none, there is no other to pair it with."
    ranked = sorted((drawn[each.name] for each in pairs if each.name in drawn), key=lambda answer: answer.rank)
    fits = [each for each in pairs if each.fell in ("", "lead", "place")]
    if ranked:
        return (
            f"Pairs with another fan: {len(fits)} of {len(pairs)} fit; the best, {ranked[0].name}: {_said(ranked[0])}."
        )
    near = (fits or pairs)[0]
    return f"Pairs with another fan: {len(fits)} of {len(pairs)} fit; {near.name}: {near.why}."


def fate_of(choice: Choice, code: str) -> FanFate:
    """Return how far one fan came, and why its sets fell.

    Parameters
    ----------
    choice : Choice
    code : str
        Of the fan, capitals or not.

    Returns
    -------
    FanFate

    Raises
    ------
    InputError
        If no fan of the shelf is called so.
    """
    for fate in choice.fans:
        if fate.code.lower() == code.lower():
            return fate
    listed = ", ".join(fate.code for fate in choice.fans[:20])
    raise InputError([f"no fan {code!r} on the shelf; there are {listed}{' ...' if len(choice.fans) > 20 else ''}"])
