"""What a search for fans does in its own process, and what a card of a set says.

search    a job's text and a shelf's -> progress, then cards
use       a job's text, an answer and a rank -> the job's text with that set in it
"""

import datetime
import time
from collections.abc import Callable, Sequence
from typing import Any

from shroudwright.assessment import WORDS
from shroudwright.bench.errors import ShopError
from shroudwright.choose.balance import Balanced
from shroudwright.choose.layouts import tape_text
from shroudwright.choose.put import put_in
from shroudwright.choose.record import Choice, SetAnswer
from shroudwright.choose.stages import choose
from shroudwright.doors.web.small import fans_on_core
from shroudwright.job.files import parse_job
from shroudwright.job.model import Job
from shroudwright.job.shelf import ShelfFan, parse_shelf
from shroudwright.others import WORST_FIRST
from shroudwright.speech import CLIMBS, SHOPS, Dialect

Tell = Callable[[tuple[str, dict[str, Any]]], None]
NAMED = 5
"""Leading sets told while it is at work"""
_OFTEN = 0.1
"""Progress is told no more often, [s]"""
_WORTH = {"chances": 1.0, "A": 1.0, "dB": 1.0, "price": 0.005, "depth": 1e-3}
"""A difference under this is none."""


def search(tell: Tell, text: bytes, shelf: bytes, shelf_name: str) -> None:
    """Choose, telling how far it has come, then the cards or every fault.

    Parameters
    ----------
    tell : callable
        Takes ``progress``, then ``done`` or ``refused``, each with what belongs to it.
    text : bytes
        The job's.
    shelf : bytes
        The shelf's.
    shelf_name : str
        What to call it.
    """
    progress = _Progress(tell)
    try:
        job, fans = parse_job(text, "job"), parse_shelf(shelf, shelf_name)
        progress.fans, progress.shop = len(fans), SHOPS[job.units or "in"]
        answer = choose(job, fans, shelf_name=shelf_name, progress=progress.step, leading=progress.leading)
        progress.step("drawing the cards", 1.0)
        pictures = [_picture(text, item, fans) for item in answer.sets if item.layout]
    except ShopError as error:
        tell(("refused", {"faults": str(error).splitlines()}))
        return
    tell(("done", {"answer": answer.to_json(), "told": told_of(answer, job), "pictures": pictures}))


def use(text: bytes, answer: str, rank: int, shelf: bytes, shelf_name: str) -> bytes:
    """Put one set of an answer into a job.

    Parameters
    ----------
    text : bytes
        The job's.
    answer : str
        From `search`, JSON.
    rank : int
        Of the set.
    shelf : bytes
        The shelf's it came off.
    shelf_name : str
        What to call it in faults.

    Returns
    -------
    bytes

    Raises
    ------
    InputError
        If the set was not laid out, or the job would no longer read.
    """
    sets = Choice.model_validate_json(answer).sets
    return put_in(text, sets[rank - 1], parse_shelf(shelf, shelf_name), datetime.date.today())


class _Progress:
    def __init__(self, tell: Tell) -> None:
        self.tell, self.last = tell, -_OFTEN
        self.fans, self.tried = 0, 0
        self.lead: list[str] = []
        self.shop = SHOPS["in"]

    def step(self, words: str, done: float) -> None:
        """Tell, unless it was told just now."""
        if time.monotonic() - self.last < _OFTEN:
            return
        self.last = time.monotonic()
        told = {"words": words, "done": done, "fans": self.fans, "sets": self.tried, "lead": self.lead}
        self.tell(("progress", told))

    def leading(self, tried: int, sets: Sequence[Balanced]) -> None:
        """Note the leading sets."""
        self.tried, self.lead = tried, [self._said(each) for each in sets[:NAMED]]
        self.last = -_OFTEN

    def _said(self, each: Balanced) -> str:
        if each.answer is not None:
            return f"{each.candidate.name}, {100 * each.answer.chance_of_holding:.0f} chances in 100"
        if each.least < -1e3:
            return f"{each.candidate.name}, {CLIMBS}"
        return f"{each.candidate.name}, {self.shop.rise(each.least)} under its limit"


def told_of(answer: Choice, job: Job) -> dict[str, Any]:
    """Say an answer in words: what leads, a card for every set with a place, and how the rest fell.

    Parameters
    ----------
    answer : Choice
    job : Job
        For its units.

    Returns
    -------
    dict
    """
    shop = SHOPS[job.units or "in"]
    laid = [item for item in answer.sets if item.layout]
    counts = answer.counts
    fell = [
        f"{counts.tried} sets tried of {len(answer.fans)} fans: one to four alike, and pairs of the best.",
        f"Too wide {counts.too_wide}, too deep {counts.too_deep}, of the wrong hand {counts.wrong_hand}, "
        f"no place that keeps every clearance {counts.no_place}, behind the others {counts.short_of_lead}.",
        f"Drawn {counts.drawn}: {counts.hold} will hold, {counts.toss_up} a toss-up, {counts.fail} won't hold.",
    ]
    return {
        "lead": _lead(answer),
        "shelf": answer.shelf,
        "assumed": answer.assumed,
        "cards": [_card(item, at, laid, shop) for at, item in enumerate(laid)],
        "fell": fell,
        "fans": [{"code": fate.code, "lines": fate.lines} for fate in answer.fans],
    }


def _lead(answer: Choice) -> str:
    if not answer.sets:
        return f"None of the {answer.counts.tried} sets tried from {answer.shelf} fits this job."
    best = answer.sets[0]
    odds = f"{best.name}, {100 * best.chance_of_holding:.0f} chances in 100 in {best.governing_case}"
    if answer.counts.hold:
        return f"{answer.counts.hold} sets hold. First: {odds}."
    return f"No set holds. The best: {odds}."


def _card(item: SetAnswer, at: int, laid: Sequence[SetAnswer], shop: Dialect) -> dict[str, Any]:
    layout = item.layout
    assert layout is not None
    if item.seconds_to_limit is not None:
        degrees = f"lasts {item.seconds_to_limit:.0f} s"
    elif item.margin is None or item.coolant_in is None:
        degrees = CLIMBS
    else:
        way = "under" if item.margin >= 0.0 else "over"
        degrees = f"{shop.rise(abs(item.margin))} {way} its limit at the middle of every guess"
    return {
        "rank": item.rank,
        "name": item.name,
        "picture": at,
        "verdict": item.verdict,
        "says": WORDS[item.verdict],
        "chance": f"{100 * item.chance_of_holding:.0f}",
        "case": item.governing_case,
        "rows": [
            ("coolant", degrees),
            ("amps, at 14.4 V", f"{item.amps:.0f} A, {item.highest_amps:.0f} A"),
            ("noise at 1 m", "nobody knows" if item.noise is None else f"{item.noise:.0f} dB(A) as rated"),
            ("fans cost", item.price or "nobody knows"),
            ("fit", _fit(item, shop)),
        ],
        "gives_up": _gives_up(item, laid, shop),
        "notes": item.notes,
        "is_unbeaten": item.unbeaten,
    }


def _fit(item: SetAnswer, shop: Dialect) -> str:
    layout = item.layout
    assert layout is not None
    said = f"shroud {tape_text(layout.depth, shop)} deep"
    own = next((one for one in layout.depths if abs(one.depth - layout.depth) < _WORTH["depth"]), None)
    if own is not None and own.fits is None:
        said += "; nobody measured the room behind"
    if layout.tightest:
        spare = max(layout.tightest.gap - layout.tightest.least, 0.0)
        room = f"{shop.tape(spare)} to spare" if spare > _WORTH["depth"] else "nothing to spare"
        said += f"; tightest {layout.tightest.kind}, {room}"
    return said


def _gives_up(item: SetAnswer, laid: Sequence[SetAnswer], shop: Dialect) -> list[str]:
    """What sets that are no less sure of holding, by their verdict, have over this one."""
    peers = [other for other in laid if WORST_FIRST.index(other.verdict) >= WORST_FIRST.index(item.verdict)]
    chance = max(peers, key=lambda other: other.chance_of_holding)
    amps = min(peers, key=lambda other: other.highest_amps)
    quiet = min((o for o in peers if o.noise is not None), key=lambda o: o.noise or 0.0, default=None)
    cheap = min((o for o in peers if _money(o, item)), key=lambda o: _money(o, item) or 0.0, default=None)
    thin = min(peers, key=lambda other: other.depth)
    lost: dict[str, list[str]] = {}
    less = round(100 * chance.chance_of_holding) - round(100 * item.chance_of_holding)
    if less >= _WORTH["chances"]:
        lost.setdefault(chance.name, []).append(f"{less} chances in 100")
    if item.highest_amps - amps.highest_amps >= _WORTH["A"]:
        lost.setdefault(amps.name, []).append(f"{item.highest_amps - amps.highest_amps:.0f} A")
    if quiet and item.noise is not None and quiet.noise is not None and item.noise - quiet.noise >= _WORTH["dB"]:
        lost.setdefault(quiet.name, []).append(f"{item.noise - quiet.noise:.0f} dB")
    mine, least = _money(item, item), None if cheap is None else _money(cheap, item)
    if cheap and mine is not None and least is not None and mine - least >= _WORTH["price"]:
        lost.setdefault(cheap.name, []).append(f"{mine - least:.2f} {str(item.price).split()[1]}")
    if item.depth - thin.depth >= _WORTH["depth"]:
        lost.setdefault(thin.name, []).append(f"{shop.tape(item.depth - thin.depth)} of depth")
    return [f"{', '.join(what)} against {name}" for name, what in lost.items()]


def _money(other: SetAnswer, item: SetAnswer) -> float | None:
    """Price of one set in the currency of another's."""
    if other.price is None or item.price is None or other.price.split()[1] != item.price.split()[1]:
        return None
    return float(other.price.split()[0])


def _picture(text: bytes, item: SetAnswer, shelf: Sequence[ShelfFan]) -> str:
    """Draw a set on its core."""
    return fans_on_core(parse_job(put_in(text, item, shelf, datetime.date.min), "job"))
