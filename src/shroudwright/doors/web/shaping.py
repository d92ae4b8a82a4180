"""What a finger needs while it drags the shroud's depth or the radius of its rolls.

scene    a job's text -> the sizes that may be dragged, and its numbers and flats as it stands
shape    sizes -> numbers at the medians, and why a size cannot be
flats    sizes -> pictures of flats and section
settle   sizes -> the numbers to trust, and what to type

These run in the process that follows fingers.
"""

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from pydantic import ValidationError

from shroudwright.assessment import FindingAnswer
from shroudwright.bench.errors import InputError, ShopError
from shroudwright.bench.units import convert
from shroudwright.choose.layouts import tape_text
from shroudwright.doors.web.lettering import lettered
from shroudwright.doors.web.recent import Recent
from shroudwright.doors.web.stage import kept_of, settled_words, told
from shroudwright.drawing.flat_picture import flat_picture, section_picture
from shroudwright.drawing.svg import svg
from shroudwright.fit_reasons import findings_of_fit
from shroudwright.job.edits import changed
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
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
        Sizes in the job's own unit.

    Raises
    ------
    InputError
        If the job cannot be worked out or has no shroud of one box.
    """
    as_is = _with(text, name, {})
    made = shroud_of(as_is.live.middle)
    if made is None or as_is.live.job.shroud_boxes:
        raise InputError(["shroud: there is none of one box whose sizes could be dragged"])
    shop = _shop(as_is.live.job)
    sizes = {"shroud.depth": "depth of the section"}
    if as_is.live.job.shroud.depth_top is not None:
        sizes |= {"shroud.depth": "depth at the bottom", "shroud.depth_top": "depth at the top"}
    if made.shape is not None:
        sizes["shroud.roll_radius"] = "inside radius of the rolls" if made.family == "rolled" else "radius of the bends"
    return {
        "unit": shop.length,
        "sliders": [_slider(as_is.live.middle, place, says, shop) for place, says in sizes.items()],
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
        Places of ``[shroud]`` as typed.

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
        Places of ``[shroud]`` as typed.

    Returns
    -------
    dict

    Raises
    ------
    InputError
        If the shroud cannot be.
    """
    live = _with(text, name, sizes).live
    fitted = fitted_shroud(live.middle)
    assert fitted is not None
    made, shop = fitted.shroud, _shop(live.job)
    drawn = [flat_picture(flat, shop.length) for flat in made.flats[:1]] + [section_picture(made, shop.length)]
    return {
        "pictures": [
            {"svg": lettered(svg(one, _WIDE, _HIGH)), "says": f"{one.title}. {one.description}"} for one in drawn
        ],
        "weight": shop.weight(made.weight),
    }


def settle(text: bytes, name: str, sizes: Mapping[str, str]) -> dict[str, Any]:
    """Return the numbers to trust with other sizes, and what to type for them.

    Parameters
    ----------
    text : bytes
        The job's.
    name : str
        What to call it in faults.
    sizes : mapping of str to str
        Places of ``[shroud]`` as typed.

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


def _resized(text: bytes, name: str, sizes: Mapping[str, str]) -> Job:
    """Set sizes; only a size that cannot be read takes the slow way, which says why."""
    job = _parsed(text)
    fields = {place.removeprefix("shroud."): words for place, words in sizes.items()}
    try:
        read = type(job.shroud).model_validate(fields, context={"bare_unit": job.units})
    except ValidationError:
        return parse_job(changed(text, sizes, name), name)
    update = {field: getattr(read, field) for field in fields}
    return job.model_copy(update={"shroud": job.shroud.model_copy(update=update)})


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
    typed = getattr(filled.job.shroud, place.removeprefix("shroud."))
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
