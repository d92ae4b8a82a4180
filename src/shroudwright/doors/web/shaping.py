"""What a finger needs while it drags the shroud's depths or the radius of its rolls.

scene    a job's text -> the sizes that may be dragged, and its numbers and flats as it stands
shape    sizes -> numbers at the medians, and why a size cannot be
flats    sizes -> pictures of flats and section; of several boxes, which have no flats, where they stand and how deep
settle   sizes -> the numbers to trust, and what to type

These run in the process that follows fingers.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from pydantic import ValidationError

from shroudwright.assessment import FindingAnswer
from shroudwright.bench.errors import InputError, ShopError
from shroudwright.bench.units import convert
from shroudwright.choose.layouts import tape_text
from shroudwright.doors.web.lettering import lettered
from shroudwright.doors.web.mending import anchor_of
from shroudwright.doors.web.recent import Recent
from shroudwright.doors.web.stage import kept_of, settled_words, told
from shroudwright.drawing.clearances import clearance_picture
from shroudwright.drawing.depth_section import deepest, depth_section
from shroudwright.drawing.flat_picture import flat_picture, section_picture
from shroudwright.drawing.shapes import Picture
from shroudwright.drawing.svg import svg
from shroudwright.fit_reasons import findings_of_fit
from shroudwright.job.edits import changed
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.fitting import fit_of
from shroudwright.job.metalwork import shroud_of
from shroudwright.job.model import Job
from shroudwright.live.desk import Live
from shroudwright.plan import fitted_shroud
from shroudwright.shop_reasons import shroud_findings
from shroudwright.speech import SHOPS, Dialect

_KEPT = 2
_INCH, _MM = 0.0254 / 16.0, 0.001
_ROOM = 1.6
"""How far past itself a size may be dragged, and the least end of its slider, [-] and [m]"""
_FURTHEST, _NEAREST = 0.1, 0.0016
_WIDE, _HIGH = 0.26, 0.17
_ALWAYS = ("F05", "F06")
"""Too little left between a fan and what it may strike is refused as well as nothing left"""


class _Shaped(NamedTuple):
    """A job with other sizes, prepared."""

    live: Live
    stops: dict[tuple[str, str], FindingAnswer]
    """What cannot stand, by code and place"""


_shaped: Recent[tuple[bytes, tuple[tuple[str, str], ...]], _Shaped] = Recent(_KEPT)


def scene(text: bytes, name: str) -> dict[str, Any]:
    """Return the sizes that may be dragged, and the shroud's numbers and flats as the job stands.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.

    Returns
    -------
    dict
        Sizes in the job's own unit; of what has no slider, what to type instead and in which box.

    Raises
    ------
    InputError
        If the job cannot be worked out or has no shroud.
    """
    middle = _with(text, name, {}).live.middle
    if shroud_of(middle) is None:
        raise InputError(["shroud: there is none; choose its type under Shroud and add a fan"])
    shop = _shop(middle.job)
    return {
        "unit": shop.length,
        "folded": not middle.job.shroud_boxes,
        "sliders": [_slider(middle, place, says, shop) for place, says in _sizes(middle).items()],
        "instead": [{"anchor": anchor_of(place), "says": says} for place, says in _instead(middle).items()],
        "now": shape(text, name, {}),
        "flats": flats(text, name, {}),
    }


def shape(text: bytes, name: str, sizes: Mapping[str, str]) -> dict[str, Any]:
    """Return the numbers at the medians with other sizes, and why one of them cannot be.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    sizes : mapping of str to str
        By place as `scene` names it, as typed.

    Returns
    -------
    dict
        With faults where the sizes are refused.

    Raises
    ------
    InputError
        If there is no such size.
    """
    try:
        found = _with(text, name, sizes)
    except ShopError as error:
        return {"refused": str(error).splitlines(), "values": {}}
    live = found.live
    unit = _shop(live.job).length
    numbers = told(kept_of(text, name), live.quick(live.places))
    del numbers["map"]
    values = {place: round(float(convert(live.middle.median(place), "m", unit)), 4) for place in sizes}
    return numbers | {"refused": _refused(text, name, found), "values": values}


def flats(text: bytes, name: str, sizes: Mapping[str, str]) -> dict[str, Any]:
    """Return pictures of the shroud's flats and section with other sizes.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    sizes : mapping of str to str
        By place as `scene` names it, as typed.

    Returns
    -------
    dict

    Raises
    ------
    InputError
        If the shroud cannot be.
    """
    live = _with(text, name, sizes).live
    if live.job.shroud_boxes:
        return {"pictures": [_picture(one) for one in _of_boxes(live.middle)], "weight": ""}
    fitted = fitted_shroud(live.middle)
    assert fitted is not None
    made, shop = fitted.shroud, _shop(live.job)
    drawn = [flat_picture(flat, shop.length) for flat in made.flats[:1]] + [section_picture(made, shop.length)]
    return {
        "pictures": [_picture(one) for one in drawn],
        "weight": shop.weight(made.weight),
    }


def _picture(one: Picture) -> dict[str, str]:
    return {"svg": lettered(svg(one, _WIDE, _HIGH)), "says": f"{one.title}. {one.description}"}


def _of_boxes(filled: Filled) -> Iterator[Picture]:
    """Draw several boxes: where they stand, and a section through each at the fan that reaches furthest back."""
    fit, shop = fit_of(filled), _shop(filled.job)
    core = filled.median("core.width"), filled.median("core.height")
    yield clearance_picture(fit.fans, None, fit.solids, fit.clearances, core, shop, fit.boxes)
    rock = filled.median("space.engine_rock")
    for box in fit.boxes:
        fan = deepest([fan for fan in fit.fans if fit.plate_of(fan) is box])
        if fan is not None:
            yield depth_section(fan, box, fit.solids, (core[1], filled.median("core.depth")), rock, shop)


def settle(text: bytes, name: str, sizes: Mapping[str, str]) -> dict[str, Any]:
    """Return the numbers to trust with other sizes, and what to type for them.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    sizes : mapping of str to str
        By place as `scene` names it, as typed.

    Returns
    -------
    dict

    Raises
    ------
    InputError
        If a size cannot be.
    """
    found = _with(text, name, sizes)
    if faults := _refused(text, name, found):
        raise InputError(faults)
    live, shop = found.live, _shop(found.live.job)
    typed = {
        place: words if "," in words else tape_text(live.middle.median(place), shop) for place, words in sizes.items()
    }
    return settled_words(live.settle(live.places).cases[0], shop) | {"typed": typed}


def _with(text: bytes, name: str, sizes: Mapping[str, str]) -> _Shaped:
    key = text, tuple(sorted(sizes.items()))
    if key not in _shaped:
        live = kept_of(text, name).live.changed(_resized(text, name, sizes))
        _shaped[key] = _Shaped(live, {(one.code, one.place): one for one in _stops(live)})
    return _shaped[key]


@lru_cache(maxsize=4)
def _parsed(text: bytes) -> Job:
    return parse_job(text, "job")


def _sizes(filled: Filled) -> dict[str, str]:
    """What may be dragged, by place."""
    job, family = filled.job, filled.word("shroud.family")
    own = [one.depth is not None for one in job.shroud_boxes]
    sizes = {}
    if not own or not all(own):
        sizes["shroud.depth"] = "depth of the section" if not any(own) else "depth of boxes without their own"
        if job.shroud.depth_top is not None:
            sizes |= {"shroud.depth": "depth at the bottom", "shroud.depth_top": "depth at the top"}
    for i, one in enumerate(job.shroud_boxes):
        if own[i]:
            sizes[f"shroud_boxes.{i}.depth"] = f"depth of {one.code or f'box {i + 1}'}"
    if family != "flat plate":
        sizes["shroud.roll_radius"] = "inside radius of the rolls" if family == "rolled" else "radius of the bends"
    return sizes


def _instead(filled: Filled) -> dict[str, str]:
    """What has no slider, by the place to type it in."""
    said = {}
    for i, one in enumerate(filled.job.shroud_boxes):
        if one.depth is None:
            code = one.code or f"box {i + 1}"
            said[f"shroud_boxes.{i}.depth"] = f"{code} has no depth of its own. Type one to move it by itself."
    if filled.job.shroud_boxes:
        said["shroud_boxes.0.x"] = "There are no flats of several boxes. Type each one's edges and cut it by hand."
    if filled.job.shroud.divider is not None:
        said["shroud.divider"] = "The divider has no slider. Type where it stands."
    if filled.word("shroud.family") == "flat plate":
        said["shroud.family"] = "A flat plate has no bend to round. Choose another family for rolled or bent edges."
    return said


def _resized(text: bytes, name: str, sizes: Mapping[str, str]) -> Job:
    """Set sizes; only a size that cannot be read takes the slow way, which says why."""
    if unknown := [place for place in sizes if place not in _sizes(kept_of(text, name).live.middle)]:
        raise InputError([f"{unknown[0][:60]}: no size of this shroud is called that"])
    job = _parsed(text)
    try:
        for place, words in sizes.items():
            job = _with_size(job, place.split("."), words)
    except ValidationError:
        return parse_job(changed(text, sizes, name), name)
    return job


def _with_size(job: Job, steps: Sequence[str], words: str) -> Job:
    section, *at, field = steps
    held = getattr(job, section)
    part = held[int(at[0])] if at else held
    read = type(part).model_validate({field: words}, context={"bare_unit": job.units})
    part = part.model_copy(update={field: getattr(read, field)})
    whole = tuple(part if i == int(at[0]) else one for i, one in enumerate(held)) if at else part
    return job.model_copy(update={section: whole})


def _stops(live: Live) -> Iterator[FindingAnswer]:
    made = shroud_of(live.middle)
    if made is not None:
        yield from (one for one in shroud_findings(made, _shop(live.job)) if one.code[0] == "B" and one.level == "stop")
    yield from (one for one in findings_of_fit(live.middle) if one.level == "stop" or one.code in _ALWAYS)


def _refused(text: bytes, name: str, found: _Shaped) -> list[str]:
    """What stops these sizes and does not stop the job as it stands."""
    as_is = _as_is(text, name)
    new = {one.code: one for key, one in reversed(found.stops.items()) if key not in as_is}
    return [f"{one.says} {one.because} {one.remedy}" for one in reversed(new.values())]


@lru_cache(maxsize=4)
def _as_is(text: bytes, name: str) -> frozenset[tuple[str, str]]:
    return frozenset(_with(text, name, {}).stops)


def _slider(filled: Filled, place: str, says: str, shop: Dialect) -> dict[str, Any]:
    value = filled.median(place)
    section, *at, field = place.split(".")
    part = getattr(filled.job, section)
    typed = getattr(part[int(at[0])] if at else part, field)
    step = _INCH if shop.length == "in" else _MM
    low, high = _NEAREST, max(_ROOM * value, _FURTHEST if "depth" in place else 0.4 * _FURTHEST)
    low, high = (round(end / step) * step for end in (low, high))
    low, high, step, value = (round(float(convert(x, "m", shop.length)), 4) for x in (low, high, step, value))
    return {
        "place": place,
        "says": says,
        "low": low,
        "high": high,
        "step": step,
        "value": value,
        "typed": typed.typed if typed else "",
    }


def _shop(job: Job) -> Dialect:
    return SHOPS[job.units or "in"]
