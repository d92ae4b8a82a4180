"""What does not fit behind the core, in words.

findings_of_fit    the findings of a job's clearances, by code

What the metal's own findings say of the flats is left to them: webs, holes, and the rolls under a frame.
"""

from collections.abc import Iterator
from typing import NamedTuple

from shroudwright.assessment import FindingAnswer
from shroudwright.bench.arcs import box
from shroudwright.bench.findings import Level
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import Fit, fit_of
from shroudwright.job.hood import under_hood
from shroudwright.job.metalwork import necks_cleared, not_followed
from shroudwright.metal.trough import is_plain
from shroudwright.shroud.bodies import Kind
from shroudwright.shroud.fit import Clearance, Row, missing
from shroudwright.shroud.hood import HOOD_ROOM
from shroudwright.shroud.square import SQUARE, top_shift
from shroudwright.speech import SHOPS, Dialect


class _Wording(NamedTuple):
    """How one code is said; ``{0}`` and ``{1}`` are the pair, ``{2}`` what must be gained."""

    code: str
    says: str
    remedy: str
    is_zone: bool = False
    """a zone that holds room: reaching into it overlaps nothing yet"""


SAID: dict[Kind, _Wording] = {
    "frame to edge": _Wording(
        "F02",
        "The frame of {0} hangs past the shroud's edge.",
        "Move it inwards by {2}, let the shroud reach that much further, or a smaller frame.",
    ),
    "opening to edge": _Wording(
        "F03",
        "The opening of {0} reaches out of the shroud.",
        "Move it inwards by {2}, let the shroud reach that much further, or a smaller fan.",
    ),
    "opening to divider": _Wording(
        "F03", "The opening of {0} lies across the divider.", "Move the fan or the divider by {2}."
    ),
    "frame to frame": _Wording("F04", "The frames of {0} and {1} overlap.", "Move them {2} apart, or smaller frames."),
    "opening to opening": _Wording(
        "F04", "The openings of {0} and {1} overlap.", "Move them {2} apart, or smaller fans."
    ),
    "frame to flap": _Wording(
        "F13",
        "The frame of {0} lies over {1}.",
        "Move the fan or the flap by {2}, or a smaller frame.",
    ),
    "opening to flap": _Wording(
        "F13", "The opening of {0} runs into {1}.", "Move the fan or the flap by {2}, or a smaller fan."
    ),
    "fan to fins": _Wording(
        "F05",
        "{0} runs too near the fins.",
        "A shroud {2} deeper, or a fan that stands that much less ahead of its frame.",
    ),
    "fan to tank": _Wording(
        "F05",
        "{0} runs too near {1}.",
        "A shroud {2} deeper, or the fan that much further in over the fins.",
    ),
    "motor to engine": _Wording(
        "F06",
        "{0} is too near {1}.",
        "Gain {2}: a thinner fan, a shallower shroud, the core forward, or the fan that much to one side.",
    ),
    "fan to keep-out": _Wording("F07", "{0} reaches into {1}.", "Move the fan {2} away, or a thinner or smaller fan."),
    "fan to neck": _Wording("F07", "{0} is too near {1}.", "Move the fan {2} away, turn the neck, or a smaller frame."),
    "fan to hose": _Wording(
        "F07", "{0} stands where {1} must turn.", "Move the fan {2} away, or a tighter elbow.", is_zone=True
    ),
    "leads to solid": _Wording(
        "F08",
        "The leads of {0} leave toward {1} and have no room.",
        "Move the fan {2} away, or turn it so that the leads leave elsewhere.",
        is_zone=True,
    ),
    "leads to fan": _Wording(
        "F08",
        "The leads of {0} leave toward {1} and have no room.",
        "Move the fans {2} further apart, or turn one so that its leads leave elsewhere.",
        is_zone=True,
    ),
    "shroud to neck": _Wording(
        "F09", "The shroud's wall meets {1}.", "A notch round it, or a shroud that stops {2} sooner."
    ),
}
"""The kinds judged here; webs and holes (O01 to O04) and the rolls (B05) are the metal's."""

_PER_FAN = ("F05", "F06", "F08")
"""Codes told once for a fan, at its worst."""
_NEAR = 1e-6


def findings_of_fit(filled: Filled) -> list[FindingAnswer]:
    """Say what does not fit behind the core.

    Parameters
    ----------
    filled : Filled
        The job with every blank filled.

    Returns
    -------
    list of FindingAnswer
        A stop where something overlaps, a fix where less than the gap wanted is left.
    """
    fit, shop = fit_of(filled), SHOPS[filled.job.units or "in"]
    short = [row for row in fit.rows if row.need > row.room + _NEAR and (row.is_across or len(row.codes) > 1)]
    found = [_of_row(row, shop) for row in short]
    cleared = {f"shroud to {name}" for name in _cleared(filled)}
    found += [
        _of_clearance(item, shop)
        for item in _told(fit, short)
        if f"{item.between[0]} to {item.between[1]}" not in cleared
    ]
    return [*found, *_of_hood(filled, fit, shop), *_of_flats(filled, fit, shop), *_of_square(filled, shop)]


def _cleared(filled: Filled) -> list[str]:
    """Name the necks that a side piece is let out for."""
    spots = necks_cleared(filled)
    return [
        f"the neck at {neck.x.typed}, {neck.y.typed}"
        for neck in filled.job.space.necks
        if neck.x and neck.y and (neck.x.value, neck.y.value) in spots
    ]


def _told(fit: Fit, short: list[Row]) -> Iterator[Clearance]:
    """Pick the clearances to tell: none the metal or a short row tells, and one of each kind for a fan or pair."""
    told: set[tuple[str, ...]] = set()
    judged = [item for item in missing(fit.clearances) if item.kind in SAID and not _is_of_a_row(item, short)]
    # What overlaps goes before a zone that is short of room: a neck speaks for its hose.
    for item in sorted(judged, key=lambda item: SAID[item.kind].is_zone):
        if item.kind == "opening to opening" and item.gap >= 0.0:
            continue
        if item.kind in ("frame to edge", "opening to edge") and _is_on_the_rolls(item, fit):
            continue
        code = SAID[item.kind].code
        one, other = item.between[0], item.between[1].removeprefix("the hose on ")
        key = (code, one) if code in _PER_FAN else (code, one, other)
        if item.kind == "opening to edge" and ("F02", *item.between) in told:
            continue
        if key not in told:
            told.add(key)
            yield item


def _is_of_a_row(item: Clearance, short: list[Row]) -> bool:
    if item.kind not in ("frame to edge", "opening to edge", "frame to frame", "opening to opening"):
        return False
    return any(set(item.between) & set(row.codes) and set(item.between) <= {*row.codes, "shroud"} for row in short)


def _is_on_the_rolls(item: Clearance, fit: Fit) -> bool:
    """Whether a thing passes a bent edge of a plain shroud, which the metal says with its rolls."""
    plate = fit.plate
    if plate is None or not is_plain(plate.outline):
        return False
    own = next((fit.plate_of(fan) for fan in fit.fans if fan.code == item.between[0]), None) or plate
    (x, y), edges = item.where, box(own.outline)
    return (bool(own.roll_bottom or own.roll_top) and min(abs(y - edges.y1), abs(y - edges.y2)) < _NEAR) or (
        bool(own.roll_left or own.roll_right) and min(abs(x - edges.x1), abs(x - edges.x2)) < _NEAR
    )


def _finding(code: str, level: Level, says: str, because: str, remedy: str, place: str) -> FindingAnswer:
    return FindingAnswer(
        code=code,
        level=level,
        says=says[0].upper() + says[1:],
        because=because[0].upper() + because[1:],
        remedy=remedy,
        source="practice",
        place=place,
    )


def _of_row(row: Row, shop: Dialect) -> FindingAnswer:
    over = shop.tape(row.need - row.room)
    names, verb = " and ".join(row.codes), "take" if len(row.codes) > 1 else "takes"
    if row.is_across:
        says, which = "The fans do not fit side by side.", "across"
        remedy = f"Let the shroud reach {over} further over the tanks, or smaller frames."
    else:
        says, which = "The fans do not fit above each other.", "up and down"
        remedy = f"Let the shroud reach {over} further up or down, smaller rolls, or smaller frames."
    if len(row.codes) == 1:
        says = "The fan is wider than the shroud."
    because = (
        f"{names} {verb} {shop.tape(row.need)} {which} and the flat face is {shop.tape(row.room)}: {over} is missing."
    )
    return _finding("F01", "stop", says, because, remedy, f"fans: {', '.join(row.codes)}")


def _of_clearance(item: Clearance, shop: Dialect) -> FindingAnswer:
    wording = SAID[item.kind]
    gain = shop.tape(-item.spare)
    rock = ", the engine's rock taken off" if item.kind == "motor to engine" else ""
    wanted = f"{shop.tape(item.least)} is wanted" if item.least else "nothing may be missing"
    if item.gap < -_NEAR:
        because = f"{shop.tape(-item.gap)} is missing{rock}; {wanted}."
    else:
        because = f"{shop.tape(item.gap) if item.gap > _NEAR else 'nothing'} is left{rock}; {wanted}."
    level: Level = "stop" if item.gap < -_NEAR and not wording.is_zone else "fix"
    place = "shroud" if item.between[0] == "shroud" else f"fans: {item.between[0]}"
    return _finding(
        wording.code,
        level,
        wording.says.format(*item.between),
        because,
        wording.remedy.format(*item.between, gain),
        place,
    )


def _of_hood(filled: Filled, fit: Fit, shop: Dialect) -> Iterator[FindingAnswer]:
    """Say what comes too near the shut hood: the nearest thing alone."""
    nearest = next(iter(under_hood(filled, fit)), None)
    if nearest is None or nearest.gap > HOOD_ROOM - _NEAR:
        return
    touches = nearest.gap < -_NEAR
    gap = f"{shop.tape(abs(nearest.gap))} is {'missing' if touches else 'left'}"
    yield _finding(
        "F07",
        "stop" if touches else "fix",
        f"{nearest.name} {'goes through' if touches else 'is near'} the shut hood.",
        f"{gap}, {nearest.name} to the hood; {shop.tape(HOOD_ROOM)} is wanted.",
        f"Gain {shop.tape(HOOD_ROOM - nearest.gap)}: the core lower or leaned, a lower cap or shroud; check with clay.",
        "space.hood_height",
    )


def _of_square(filled: Filled, shop: Dialect) -> Iterator[FindingAnswer]:
    """Say that a core is out of square, by its diagonals."""
    core = filled.job.core
    if core.diagonal_rising is None or core.diagonal_falling is None:
        return
    shift = top_shift(filled.median("core.width"), core.diagonal_rising.value, core.diagonal_falling.value)
    if abs(shift) <= SQUARE:
        return
    yield _finding(
        "F11",
        "watch",
        "The core is out of square; the flats are for a square one.",
        f"Its top stands {shop.tape(abs(shift))} to the {'right' if shift > 0.0 else 'left'}; {shop.tape(SQUARE)} is "
        "let pass.",
        "Lay the shroud's flange on the core itself before drilling; or have the core straightened.",
        "core.diagonal_rising",
    )


def _of_flats(filled: Filled, fit: Fit, shop: Dialect) -> Iterator[FindingAnswer]:
    """Say where the flats are not those of the shroud typed."""
    if fit.plate is None or not filled.job.fans:
        return
    left = not_followed(filled)
    stops, by_hand = [item.words for item in left if item.is_stop], [item.words for item in left if not item.is_stop]
    if stops:
        edges = box(fit.plate.outline)
        yield _finding(
            "F10",
            "stop",
            "The flats drawn here cannot follow this shroud.",
            f"They are for a plain {shop.face(edges.x2 - edges.x1, edges.y2 - edges.y1)} inside; this one has "
            f"{' and '.join(stops)}.",
            "Straight sides along and across, corners on the flat face; or another family; or lay it out by hand.",
            "shroud",
        )
    elif by_hand:
        yield _finding(
            "F11",
            "watch",
            "The flats leave something to make by hand.",
            f"Not on them: {' and '.join(by_hand)}.",
            "Cut it from the mock-up before the shroud is painted.",
            "shroud",
        )
