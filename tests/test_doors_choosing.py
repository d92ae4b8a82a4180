"""Choosing fans from the pages and the parts shelf, asked over a real connection."""

import json
import re
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import httpx
import pytest
import tomlkit

from shroudwright.assess import assess
from shroudwright.choose.record import Choice
from shroudwright.choose.stages import choose
from shroudwright.doors.web import answering
from shroudwright.doors.web.counter import Counter
from shroudwright.doors.web.forms import groups_of
from shroudwright.doors.web.mending import anchor_of, mend_of, table
from shroudwright.doors.web.sheets import SHEETS
from shroudwright.doors.web.shelf import badge_of
from shroudwright.doors.web.start import demo_text
from shroudwright.doors.web.work import Desk
from shroudwright.job.files import parse_job
from shroudwright.job.model import Job
from shroudwright.job.shelf import parse_shelf, shipped_shelf
from shroudwright.job.table import part_of
from shroudwright.shop.store import Shop
from tests.serving import served

ROOT = Path(__file__).parents[1]
_LINES = files("shroudwright.catalogue").joinpath("fans.csv").read_text(encoding="utf-8").splitlines()
SHELF = "\n".join([*_LINES[:2], *(line for line in _LINES if line.startswith(("A12M,", "B14,")))]).encode()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("shop")


@pytest.fixture(scope="module")
def shop(folder: Path) -> Iterator[httpx.Client]:
    with served(folder) as where, httpx.Client(base_url=where, timeout=300.0) as client:
        assert client.post("/shelf/import", files={"file": ("ours.csv", SHELF)}).status_code == 303
        yield client


def begun(shop: httpx.Client) -> int:
    return int(shop.post("/jobs", data={"how": "demo"}).headers["location"].split("/")[2])


def one_case() -> bytes:
    """The demo with one driving case, worked out the sooner for it."""
    document: Any = tomlkit.parse(demo_text()[1].decode())
    for at in reversed(range(len(document["cases"]))):
        if document["cases"][at]["name"] != "canyon grade":
            del document["cases"][at]
    return tomlkit.dumps(document).encode()


def text_of(shop: httpx.Client, file: int) -> bytes:
    return shop.get(f"/jobs/{file}/job.toml").content


def mark_of(shop: httpx.Client, file: int) -> str:
    return str(shop.get(f"/api/jobs/{file}/core").json()["mark"])


@pytest.mark.behaviour("a search tells how far it is, finds what `choose` finds, and its first set goes in as one act")
def test_choose_and_use(shop: httpx.Client, folder: Path) -> None:
    file = begun(shop)
    before = text_of(shop, file)
    told: list[dict[str, Any]] = []
    with shop.stream("POST", f"/api/jobs/{file}/choose/events") as stream:
        for line in stream.iter_lines():
            if line.startswith("data: "):
                told.append(json.loads(line.removeprefix("data: ")))
            if len(told) == 1 and line.startswith("data: "):
                other = shop.post(f"/api/jobs/{file}/choose")
                assert other.status_code == 422
                assert "is running" in other.json()["faults"][0]
    assert any(step.get("lead") and "chances in 100" in step["lead"][0] for step in told)
    assert max(step.get("fans", 0) for step in told) == 2
    found = shop.get(f"/api/jobs/{file}/choose").json()
    expected = choose(parse_job(before, "demo"), parse_shelf(SHELF, "own"), shelf_name="the shop's shelf")
    answer = Choice.model_validate(found["answer"])
    assert answer.model_copy(update={"job_sha256": expected.job_sha256}) == expected
    cards = shop.get(f"/jobs/{file}/choose/cards").text
    first = expected.sets[0]
    assert first.layout is not None
    assert f"<strong>{100 * first.chance_of_holding:.0f}</strong>" in cards
    assert found["told"]["cards"][0]["gives_up"]
    # A server started anew has no search; a browser that saw one is told so, another is not.
    with served(folder) as anew:
        for cookies, is_told in ((shop.cookies, True), (None, False)):
            with httpx.Client(cookies=cookies) as screen:
                page = screen.get(f"{anew}/jobs/{file}/choose/cards").text
            assert ("The search on revision 1 is gone" in page) == is_told
    assert shop.get(f"/jobs/{file}/choose/{found['search']}/0.svg").text.startswith("<svg")
    saved = shop.post(
        f"/api/jobs/{file}/choose/use", json={"began": mark_of(shop, file), "search": found["search"], "rank": 1}
    ).json()
    fans = tomllib.loads(text_of(shop, file).decode())["fans"]
    assert [(fan["x"], fan["y"]) for fan in fans] == [(at.x_typed, at.y_typed) for at in first.layout.placements]
    assert not shop.get(f"/api/jobs/{file}/choose").json()["is_of_now"]
    shop.post(f"/api/jobs/{file}/undo", json={"began": saved["mark"]})
    assert text_of(shop, file) == before
    plainly = {"began": mark_of(shop, file), "search": found["search"], "rank": "1"}
    assert shop.post(f"/jobs/{file}/fans/use", data=plainly).status_code == 303
    assert len(tomllib.loads(text_of(shop, file).decode())["fans"]) == len(fans)
    lost = {"began": mark_of(shop, file), "search": "another", "rank": 1}
    assert "no longer kept" in shop.post(f"/api/jobs/{file}/choose/use", json=lost).json()["faults"][0]


@pytest.mark.behaviour(
    "a search whose asker goes away is called off and the next one begins; so is one that somebody calls off"
)
def test_called_off(shop: httpx.Client) -> None:
    file = begun(shop)
    with shop.stream("POST", f"/api/jobs/{file}/choose/events") as stream:
        next(stream.iter_lines())
    with shop.stream("POST", f"/api/jobs/{file}/choose/events") as stream:
        lines = stream.iter_lines()
        next(lines)
        assert shop.post(f"/api/jobs/{file}/choose/cancel").json()["called_off"]
        assert "called off; nothing was changed" in list(lines)[-2]
    assert shop.get(f"/api/jobs/{file}/choose").status_code == 404


@pytest.mark.behaviour("a fan is typed anew, added and taken off; every fault is listed and the shelf stays as it was")
def test_the_parts_shelf(shop: httpx.Client) -> None:
    file = begun(shop)
    view = shop.get("/api/shelf", params={"job": file}).json()
    assert [fan["typed"]["code"] for fan in view["fans"]] == ["A12M", "B14"]
    assert {fan["badge"] for fan in view["fans"]} == {"unknown"}
    was = shop.get("/shelf.csv").content
    wrong = shop.post("/shelf/fan", data={"code": "B14", "blade": "12 lb", "free_flow": "lots", "began": view["mark"]})
    assert wrong.status_code == 422
    assert "blade" in wrong.text
    assert "free_flow" in wrong.text
    assert shop.get("/shelf.csv").content == was
    typed = {"code": "yard", "blade": "15", "motor": "5 in", "began": view["mark"], "job": str(file)}
    assert shop.post("/shelf/fan", data=typed).headers["location"] == f"/shelf?job={file}"
    assert "yard" in shop.get(f"/shelf?job={file}").text
    fans = parse_shelf(shop.get("/shelf.csv").content, "ours")
    assert fans[2].fan.motor is not None
    assert fans[2].fan.motor.typed == "5 in"
    stale = shop.post("/api/shelf/fan", json={"began": view["mark"], "row": 0})
    assert stale.status_code == 409
    now = shop.get("/api/shelf").json()["mark"]
    shop.post("/api/shelf/fan", json={"began": now, "row": 2})
    assert [fan["typed"]["code"] for fan in shop.get("/api/shelf").json()["fans"]] == ["A12M", "B14"]
    shop.post("/shelf/undo")
    assert len(shop.get("/api/shelf").json()["fans"]) == 3
    bad = shop.post("/shelf/import", files={"file": ("bad.csv", b"code,blade\n,in\nA,12 lb\nA,0\n")})
    assert bad.status_code == 422
    assert bad.text.count("bad.csv row") == 2
    shop.post("/shelf/redo")
    again = parse_shelf(shop.get("/shelf.csv").content, "ours")
    assert again == parse_shelf(was, "ours")


@pytest.mark.by_hand("a core 37 in by 17 in, 1 1/4 in of shroud, 1/2 in of engine rock and 4 in behind the fins")
def test_badges() -> None:
    text = demo_text()[1]
    job = parse_job(text, "demo")
    size = type(job.core).model_validate({"width": "37 in", "height": "17 in", "depth": "2 in"})
    room = type(job.space).model_validate({"depth_map": [{"depth": "4 in"}], "engine_rock": "1/2 in"})
    shroud = type(job.shroud).model_validate({"type": "full", "depth": "1.25 in"})
    job = job.model_copy(update={"core": size, "space": room, "shroud": shroud})
    says = {item.code: badge_of(item, job).says for item in shipped_shelf()}
    assert says["A14S"] == "fits"  # 15 in across, 2.1 + 1.25 + 0.5 = 3.85 in deep
    assert says["A16H"] == "too big by 5/16 in"  # 17.3 in frame
    assert says["B14"] == "too thick by 3/4 in"  # 3.0 + 1.25 + 0.5 in
    assert says["A16P"].startswith("wrong hand")
    upright = size.model_copy(update={"width": size.height, "height": size.width})
    twin = next(item for item in shipped_shelf() if item.fans_in_frame == 2)
    thin = twin.fan.model_copy(update={"overall_depth": room.engine_rock})
    item = type(twin)(thin, twin.fits_either_way, twin.frame_short, 2, None, "")
    assert badge_of(item, job).says == "fits"
    assert badge_of(item, job.model_copy(update={"core": upright})).says == "fits turned"


@pytest.mark.behaviour("every documented code is mended at a box the job has, and a place picks its item of a list")
def test_mends() -> None:
    codes = set(re.findall(r"^\*\*([A-Z]\d\d)\*\*", (ROOT / "docs" / "findings.md").read_text(encoding="utf-8"), re.M))
    assert codes == set(table())
    job = parse_job(demo_text()[1], "demo")
    boxes = {box.place for sheet in SHEETS for group in groups_of(job, sheet.asks) for box in group.boxes}
    lists = {name for name, value in Job.model_fields.items() if str(value.annotation).startswith("tuple[")}
    for code in codes:
        mend = mend_of(code, "", job)
        assert mend is not None, code
        field = table()[code]
        section = field.split(".")[0]
        if field.startswith("@"):
            assert mend.anchor in ("fixes", "choose")
        elif mend.anchor.startswith("add-"):
            assert section in lists
            assert field.split(".")[-1] in part_of(Job.model_fields[section].annotation).model_fields
        else:
            assert mend.anchor in {anchor_of(place) for place in boxes}, code
    assert mend_of("O08", "Q10 right", job) == ("fans", "f-fans-2-holes", "holes of Q10 right")
    assert mend_of("A22", "fans.1.run_amps", job) == ("fans", "f-fans-1-run_amps", "run amps")


@pytest.mark.behaviour("a fix that fits fans takes them off the shop's own shelf")
def test_fixes_take_from_the_shelf(tmp_path: Path) -> None:
    with Shop.open(tmp_path / "shop.db") as kept:
        counter = Counter(kept, Desk())
        assert counter.desk.shelf == b""
        kept.create("Parts shelf", SHELF, what="shelf")
        counter.take_shelf()
        told = answering.work_out(one_case(), "one", counter.desk.shelf)
        counter.desk.close()
    fixes = [fix["fix"] for fix in told.planning["fixes"]]
    assert any("A12M" in fix or "B14" in fix for fix in fixes)
    assert "generic brushless fan" not in fixes


@pytest.mark.law("a plan of one fix does what the fix does alone; what cannot stand beside it is left out")
def test_a_plan_of_one_fix() -> None:
    text = one_case() + b'\n[[planned]]\ncode = "deeper plenum"\n[[planned]]\ncode = "full shroud"\n'
    answer = assess(parse_job(text, "demo"), draws=64)
    assert answer.planned is not None
    alone = {fix.code: fix for fix in answer.fixes}
    (code,) = answer.planned.codes
    assert set(answer.planned.left_out) == {"deeper plenum", "full shroud"} - {code}
    assert answer.planned.governing == alone[code].governing
    assert answer.planned.together.cost == alone[code].cost
