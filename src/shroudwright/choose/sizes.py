"""The first stage: which sets there are, and whether hand, frames and depth let them go on.

Candidate        one set and how it fared
hand_wanted      whether fans pull or push
shrouded         the job as fans are chosen for it
alike, unlike    the sets to try
fall_by_size     why a set cannot go on, if it cannot
notes_of         what is doubtful about a set's numbers
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from shroudwright.bench.arcs import box
from shroudwright.choose.fit import ROUNDING, Box, Spot, clears, room_wanted
from shroudwright.fan_sets import Known, Members, full_on
from shroudwright.fans.claim import claim_verdict, implied_efficiency
from shroudwright.job.drive import BeltFan
from shroudwright.job.filled import Filled
from shroudwright.job.model import MOST_FANS, Job, has_belt_fan
from shroudwright.job.places import whole_outline
from shroudwright.job.shelf import ShelfFan
from shroudwright.speech import Dialect

STANDARD_AIR = 1.2
Fall = Literal["", "hand", "width", "depth", "lead", "place"]


@dataclass
class Candidate:
    """One set of fans, and why it fell, if it did."""

    members: Members
    name: str
    fell: Fall = ""
    why: str = ""


@dataclass(frozen=True)
class Room:
    """What the shroud, over the core's face or past it, and the space behind leave for fans, m."""

    face: Box
    what: str
    """that the face is of"""
    spots: tuple[tuple[float, Spot], ...]
    """depth behind the core, and where"""
    plenum: float
    rock: float
    rock_is_guess: bool


def shrouded(job: Job) -> tuple[Job, list[str]]:
    """Return the job as fans are chosen for it, and what that takes for granted.

    Parameters
    ----------
    job : Job
        As read.

    Returns
    -------
    job, assumed : Job, list of str
        With a shroud, and with every fan of a set running where the job names some of its own.
    """
    assumed = []
    if job.shroud.type == "none":
        full = {"type": "full", "covered_share": None, "gaps": None}
        job = job.model_copy(update={"shroud": job.shroud.model_copy(update=full)})
        assumed.append("A full shroud, where the job has none: bare fans move less air through less of the core.")
    if job.shroud_boxes:
        depth = {"depth": job.shroud.depth or job.shroud_boxes[0].depth}
        one = {"shroud_boxes": (), "gaps": (), "shroud": job.shroud.model_copy(update=depth)}
        job = job.model_copy(update=one)
        assumed.append("One shroud over the whole core, where the job has several boxes.")
    named = [case.name for case in job.cases if case.fans_on or case.fans_low or case.percent_on]
    if named:
        cases = tuple(full_on(case) if case.name in named else case for case in job.cases)
        job = job.model_copy(update={"cases": cases})
        assumed.append(f"Every fan of a set runs full on in {', '.join(named)}, where the job runs its own otherwise.")
    if has_belt_fan(job):
        job = job.model_copy(update={"belt_fan": BeltFan()})
        assumed.append("The belt fan is gone: every set has to do without it.")
    if not job.space.depth_map:
        assumed.append("Any depth will do: the job says nothing of the room behind the core.")
    return job, assumed


def hand_wanted(job: Job) -> str:
    """Return whether a job's fans pull or push; they pull where it does not say."""
    return next((fan.direction for fan in job.fans if fan.direction), "puller")


def room_of(known: Known) -> Room:
    """Return the room a job has for fans."""

    def middle(path: str) -> float:
        return float(known.drawn[path][0])

    filled = Filled(known.job, {path: values[:1] for path, values in known.drawn.items()}, known.words)
    edges, core = box(whole_outline(filled)), (middle("core.width"), middle("core.height"))
    face = edges.x2 - edges.x1, edges.y2 - edges.y1
    is_core = max(abs(a - b) for a, b in zip(face, core, strict=True)) < ROUNDING
    spots = tuple(
        (
            spot.depth.value,
            (spot.x.value - edges.x1, spot.y.value - edges.y1, 0.5 * spot.size.value if spot.size else 0.0)
            if spot.x and spot.y
            else (0.0, 0.0, math.inf),
        )
        for spot in known.job.space.depth_map
        if spot.depth
    )
    return Room(
        face=core if is_core else face,
        what="core's face" if is_core else "shroud",
        spots=spots,
        plenum=middle("shroud.depth"),
        rock=middle("space.engine_rock"),
        rock_is_guess=known.job.space.engine_rock is None,
    )


def alike(shelf: Sequence[ShelfFan]) -> Iterator[Candidate]:
    """Yield one to four of each fan; those sold together, only in whole frames."""
    for i, item in enumerate(shelf):
        for count in range(item.fans_in_frame, MOST_FANS + 1, item.fans_in_frame):
            yield Candidate((i,) * count, f"{count} x {item.code}")


def unlike(shelf: Sequence[ShelfFan], best: Sequence[int]) -> Iterator[Candidate]:
    """Yield every pair of unlike fans among the best; those sold together are not paired with others."""
    lone = [i for i in best if shelf[i].fans_in_frame == 1]
    for a, b in combinations(sorted(lone), 2):
        yield Candidate((a, b), f"{shelf[a].code} + {shelf[b].code}")


def fall_by_size(
    candidate: Candidate, shelf: Sequence[ShelfFan], known: Known, room: Room, wanted: str, shop: Dialect
) -> None:
    """Write down why a set cannot go on, if it cannot: hand of the blade, frames on the face, depth.

    Parameters
    ----------
    candidate : Candidate
        Written to.
    shelf : sequence of ShelfFan
    known : Known
    room : Room
    wanted : str
        ``puller`` or ``pusher``.
    shop : Dialect
        Units of the line.
    """
    for fan in dict.fromkeys(candidate.members):
        hand = known.choices[fan]["direction"]
        if hand != wanted and not shelf[fan].fits_either_way:
            candidate.fell = "hand"
            candidate.why = f"{shelf[fan].code} is a {hand} and its blades cannot turn round; this job wants a {wanted}"
            return
    wants = room_wanted(frames_of(candidate.members, shelf, known), *room.face)
    if wants[0] > room.face[0] + ROUNDING or wants[1] > room.face[1] + ROUNDING:
        candidate.fell = "width"
        candidate.why = f"frames want {shop.face(*wants)}; the {room.what} is {shop.face(*room.face)}"
    elif wanted == "puller":
        _fall_by_depth(candidate, shelf, known, room, shop)


def _fall_by_depth(candidate: Candidate, shelf: Sequence[ShelfFan], known: Known, room: Room, shop: Dialect) -> None:
    for fan in dict.fromkeys(candidate.members):
        depth = known.median(fan, "overall_depth")
        needed = room.plenum + depth + room.rock
        shallow = [(deep, spot) for deep, spot in room.spots if deep < needed - ROUNDING]
        frame = frames_of((fan,) * shelf[fan].fans_in_frame, shelf, known)[0]
        motor = known.median(fan, "hub")
        if not clears(frame, shelf[fan].fans_in_frame, motor, room.face, [spot for _, spot in shallow]):
            rock = f"{shop.size(room.rock)} of engine rock{', a guess' if room.rock_is_guess else ''}"
            candidate.fell = "depth"
            candidate.why = (
                f"{shelf[fan].code} wants {shop.size(needed)} behind the core ({shop.size(room.plenum)} of shroud, "
                f"{shop.size(depth)} of fan, {rock}); there is {shop.size(min(deep for deep, _ in shallow))}, and no "
                f"place on the face keeps its motor clear"
            )
            return


def frames_of(members: Members, shelf: Sequence[ShelfFan], known: Known) -> list[Box]:
    """Return the frames of a set, longer side first, m."""
    frames: list[Box] = []
    for fan, count in Counter(members).items():
        long = known.median(fan, "frame_size")
        frames += [(long, shelf[fan].frame_short or long)] * (count // shelf[fan].fans_in_frame)
    return frames


def depth_of(members: Members, known: Known) -> float:
    """Return the depth of the deepest fan of a set, m."""
    return max(known.median(fan, "overall_depth") for fan in members)


def notes_of(members: Members, shelf: Sequence[ShelfFan], known: Known, shop: Dialect) -> list[str]:
    """Say what is doubtful about a set's numbers.

    Parameters
    ----------
    members : tuple of int
    shelf : sequence of ShelfFan
    known : Known
    shop : Dialect
        Units of the lines.

    Returns
    -------
    list of str
        One plain line each.
    """
    notes = []
    for i in dict.fromkeys(members):
        item, fan = shelf[i], shelf[i].fan
        if words := _claim(item, known, i, shop):
            notes.append(words)
        if not fan.curve:
            what = "only its box number" if fan.free_flow else "nothing"
            notes.append(f"{item.code}: {what} is known of its air; its curve is a guess")
        if fan.frame_size is None:
            notes.append(f"{item.code}: frame not known, taken as {shop.size(known.median(i, 'frame_size'))}")
        if fan.overall_depth is None:
            notes.append(f"{item.code}: depth not known, taken as {shop.size(known.median(i, 'overall_depth'))}")
        if not known.circuits[i].relay_count:
            notes.append(
                f"{item.code}: {known.circuits[i].highest_amps:.0f} A at 14.4 V, and no relay listed carries it"
            )
        missing = [name for name in ("noise", "price") if getattr(fan, name) is None]
        if missing:
            notes.append(f"{item.code}: no {' or '.join(missing)}, so not compared on that")
    return notes


def _claim(item: ShelfFan, known: Known, i: int, shop: Dialect) -> str:
    fan = item.fan
    if fan.free_flow is None or (fan.run_amps is None and item.box_power is None):
        return ""
    volts, blade = known.median(i, "test_volts"), known.median(i, "blade")
    power = item.box_power or known.median(i, "run_amps") * volts
    words = claim_verdict(
        implied_efficiency(
            fan.free_flow.value, blade, known.median(i, "hub") / blade, power / volts, volts, STANDARD_AIR
        )
    )
    if words not in ("exaggerated", "impossible"):
        return ""
    flow = f"{shop.air_flow(fan.free_flow.value)} {shop.air_sign}"
    return f"{item.code}: {flow} on {power:.0f} W is {words}; size on a tested curve"
