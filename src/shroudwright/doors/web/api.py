"""The JSON twin of every page, and the acts on a job."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Response
from fastapi.responses import JSONResponse
from pydantic import BaseModel, Field

from shroudwright.doors.web import choose_api
from shroudwright.doors.web.counter import Counter, Saved, counter, page
from shroudwright.doors.web.forms import value_of
from shroudwright.doors.web.views import PageView, view_of
from shroudwright.job.edits import changed, with_item, without_item
from shroudwright.job.model import MOST_BOXES

router = APIRouter(prefix="/api/jobs/{file}")
Asked = Annotated[Counter, Depends(counter)]
_MARK = Field(description="mark of the revision that was looked at", max_length=100)


class Changes(BaseModel):
    """Boxes somebody typed in."""

    began: str = _MARK
    values: dict[str, str] = Field(description="by place; nothing takes the value out", max_length=200)
    why: str = Field(default="", max_length=200)
    who: str = Field(default="", max_length=60)


class Item(BaseModel):
    """One more of a list, or one fewer."""

    began: str = _MARK
    part: str = Field(max_length=40)
    values: dict[str, str] = Field(default_factory=dict, max_length=60)
    index: int | None = Field(default=None, description="take this one out instead of adding one")
    who: str = Field(default="", max_length=60)


class Step(BaseModel):
    """Undo or redo."""

    began: str = _MARK
    who: str = Field(default="", max_length=60)


class Back(Step):
    """Bring a revision back."""

    n: int


@router.get("")
async def assessment(asked: Asked, file: int) -> Response:
    """Return the whole assessment."""
    found = await asked.answer(asked.opened(file))
    if found is None or found.faults:
        return JSONResponse({"faults": list(found.faults) if found else ["still being worked out"]}, 422)
    return Response(found.answer, media_type="application/json")


@router.post("/changes")
async def change(asked: Asked, file: int, body: Changes) -> Saved:
    """Set boxes, or empty them, as one act."""
    values: dict[str, Any] = {place: value_of(place, text) for place, text in body.values.items()}
    why = body.why or ", ".join(list(values)[:3])
    return asked.act(file, body.began, body.who, why, lambda text: changed(text, values, f"job {file}"))


@router.post("/items")
async def item(asked: Asked, file: int, body: Item) -> Saved:
    """Add an item to a list of the job, or take one out."""
    part, index, name = body.part, body.index, f"job {file}"
    if index is not None:
        why = f"{part} {index + 1} taken out"
        return asked.act(file, body.began, body.who, why, lambda text: without_item(text, part, index, name))
    values = {key: value_of(f"{part}.{key}", text) for key, text in body.values.items() if text.strip()}
    why = f"one more of {part}"
    return asked.act(file, body.began, body.who, why, lambda text: with_item(text, part, values, name))


@router.post("/undo")
async def undo(asked: Asked, file: int, body: Step) -> Saved:
    """Take the last act back."""
    return asked.saved(asked.shop.undo(file, began=body.began, who=body.who))


@router.post("/redo")
async def redo(asked: Asked, file: int, body: Step) -> Saved:
    """Do again what was taken back."""
    return asked.saved(asked.shop.redo(file, began=body.began, who=body.who))


@router.post("/restore")
async def restore(asked: Asked, file: int, body: Back) -> Saved:
    """Bring an older revision back."""
    return asked.saved(asked.shop.restore(file, body.n, began=body.began, who=body.who))


async def _told(asked: Counter, file: int, module: str, what: str, *about: Any) -> dict[str, Any]:
    """Have the fingers' process say something of a job as it stands."""
    told: dict[str, Any] = await asked.desk.live(module, what, asked.opened(file).text, f"job {file}", *about)
    return told


class Places(BaseModel):
    """Where fans would stand."""

    places: list[tuple[float, float]] = Field(description="middle of each fan, x and y, m", max_length=8)


@router.get("/stage")
async def scene(asked: Asked, file: int) -> dict[str, Any]:
    """Return what fans are dragged on, what stands round them, and the numbers as the job stands."""
    return await _told(asked, file, "around", "scene")


@router.post("/stage/quick")
async def quick(asked: Asked, file: int, body: Places) -> dict[str, Any]:
    """Return the numbers at the medians with fans elsewhere."""
    return await _told(asked, file, "stage", "quick", body.places)


@router.post("/stage/settle")
async def settle(asked: Asked, file: int, body: Places) -> dict[str, Any]:
    """Return the numbers to trust with fans elsewhere, and what to type for the places."""
    return await _told(asked, file, "stage", "settle", body.places)


class Thing(BaseModel):
    """A hose neck, keep-out or depth zone elsewhere."""

    part: Literal["necks", "keep_outs", "depth_map"]
    index: int | None = Field(default=None, description="its place in that list; none for one more")
    at: dict[str, float] = Field(description="what a finger changed, by field, m", max_length=6)


class Among(Thing, Places):
    """The same among fans."""


class PlacedThing(Thing):
    """The same, to be saved."""

    began: str = _MARK
    who: str = Field(default="", max_length=60)


@router.post("/stage/around")
async def around(asked: Asked, file: int, body: Among) -> dict[str, Any]:
    """Return the clearances with something round the fans elsewhere."""
    return await _told(asked, file, "around", "around", body.places, body.part, body.index, body.at)


@router.post("/stage/thing")
async def thing(asked: Asked, file: int, body: PlacedThing) -> Saved:
    """Save where something round the fans is, or one more of it, as a tape reads."""
    part, index, name = f"space.{body.part}", body.index, f"job {file}"
    values = await _told(asked, file, "around", "typed", body.part, index, body.at)
    if index is None:
        return asked.act(
            file, body.began, body.who, f"one more of {part}", lambda text: with_item(text, part, values, name)
        )
    placed = {f"{part}.{index}.{field}": words for field, words in values.items()}
    return asked.act(file, body.began, body.who, f"{part} moved", lambda text: changed(text, placed, name))


class Sizes(BaseModel):
    """What size the shroud would be."""

    sizes: dict[str, str] = Field(description="by place, such as shroud.depth, as typed", max_length=MOST_BOXES + 3)


@router.get("/shape")
async def shape_scene(asked: Asked, file: int) -> dict[str, Any]:
    """Return the shroud's sizes that may be dragged, its numbers and its flats."""
    return await _told(asked, file, "shaping", "scene")


@router.post("/shape/quick")
async def shape(asked: Asked, file: int, body: Sizes) -> dict[str, Any]:
    """Return the numbers at the medians with other sizes, or why one cannot be."""
    return await _told(asked, file, "shaping", "shape", body.sizes)


@router.post("/shape/flats")
async def shape_flats(asked: Asked, file: int, body: Sizes) -> dict[str, Any]:
    """Return flats and section with other sizes."""
    return await _told(asked, file, "shaping", "flats", body.sizes)


@router.post("/shape/settle")
async def shape_settle(asked: Asked, file: int, body: Sizes) -> dict[str, Any]:
    """Return the numbers to trust with other sizes, and what to type for them."""
    return await _told(asked, file, "shaping", "settle", body.sizes)


class Temperatures(BaseModel):
    """Where fans would start and stop."""

    route: str = Field(max_length=40)
    cooled: bool = Field(default=True, description="whether the A/C runs, where there is one")
    temps: dict[str, float] = Field(description="fields of [control], in the job's own degrees", max_length=6)


@router.get("/drive")
async def drive_scene(asked: Asked, file: int, route: str = "city", cooled: bool = True) -> dict[str, Any]:
    """Return a drive along a route, and the temperatures that may be dragged on it."""
    return await asked.desk.driven("scene", asked.opened(file).text, f"job {file}", route, cooled)


@router.post("/drive/run")
async def drive_run(asked: Asked, file: int, body: Temperatures) -> dict[str, Any]:
    """Return the drive at the medians with fans starting and stopping elsewhere."""
    about = (body.route, body.cooled, body.temps)
    return await asked.desk.driven("run", asked.opened(file).text, f"job {file}", *about)


@router.post("/drive/settle")
async def drive_settle(asked: Asked, file: int, body: Temperatures) -> dict[str, Any]:
    """Return its bands, and what to type for the temperatures."""
    about = (body.route, body.cooled, body.temps)
    return await asked.desk.driven("settle", asked.opened(file).text, f"job {file}", *about)


@router.get("/{slug}")
async def twin(asked: Asked, file: int, slug: str, wait: bool = False) -> PageView:
    """Return what a page says; ``wait`` for its answer."""
    kept, sheet = asked.opened(file), page(slug)
    found = await asked.answer(kept) if wait else asked.desk.found(kept.text)
    return view_of(kept, asked.name_of(file), sheet, found, sets=choose_api.options_of(asked, file))
