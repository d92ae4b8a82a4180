"""Pages and their twins, asked over a real connection."""

import asyncio
import datetime
import io
import multiprocessing
import re
import subprocess
import tomllib
import zipfile
from collections.abc import Iterator
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

import httpx
import pytest

from shroudwright.acceptance import with_accepted
from shroudwright.assess import assess
from shroudwright.assessment import FindingAnswer
from shroudwright.bench.errors import OutOfRange
from shroudwright.doors.web import answering
from shroudwright.doors.web.forms import groups_of
from shroudwright.doors.web.recent import Recent
from shroudwright.doors.web.sheets import SHEETS
from shroudwright.doors.web.start import demo_text
from shroudwright.doors.web.taping import picture_of, places_css, spots_of
from shroudwright.doors.web.work import Desk
from shroudwright.job.drive import Accepted
from shroudwright.job.files import parse_job
from shroudwright.job.model import Job
from shroudwright.shop.store import Shop
from tests.jobs import STANDING_DEMO, changed
from tests.needed import needed
from tests.serving import served
from tests.test_doors_choosing import one_case


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    with served(tmp_path_factory.mktemp("shop")) as where, httpx.Client(base_url=where, timeout=300.0) as client:
        yield client


def begun(shop: httpx.Client, **typed: str) -> int:
    answer = shop.post("/jobs", data={"how": "demo", **typed})
    assert answer.status_code == 303
    return int(answer.headers["location"].split("/")[2])


def twin(shop: httpx.Client, file: int, page: str = "core", *, wait: bool = False) -> Any:
    answer = shop.get(f"/api/jobs/{file}/{page}", params={"wait": wait})
    assert answer.status_code == 200
    return answer.json()


def act(shop: httpx.Client, file: int, what: str, **body: Any) -> httpx.Response:
    return shop.post(f"/api/jobs/{file}/{what}", json=body)


def text_of(shop: httpx.Client, file: int) -> bytes:
    return shop.get(f"/jobs/{file}/job.toml").content


@pytest.mark.behaviour("every page says what the assessment says, and its twin says what the page says")
def test_pages_and_twins(shop: httpx.Client) -> None:
    file = begun(shop)
    answer = assess(parse_job(text_of(shop, file), "demo"))
    worst = next(case for case in answer.cases if case.name == answer.governing_case)
    whole = shop.get(f"/api/jobs/{file}").json()
    assert whole["governing_case"] == answer.governing_case
    assert whole["cases"] == answer.model_dump(mode="json", by_alias=True)["cases"]
    for sheet in SHEETS:
        told = twin(shop, file, sheet.slug, wait=True)
        page = shop.get(f"/jobs/{file}/{sheet.slug}")
        assert page.status_code == 200
        assert told["ready"]
        assert told["lead"]["number"] in page.text
        for block in told["blocks"]:
            if "address" in block:
                assert shop.get(block["address"]).text.startswith(("<svg", "<?xml"))
    lead = twin(shop, file, "vehicle")["lead"]
    assert f"{100 * worst.chance_of_holding:.0f} chances in 100" in lead["sentence"]
    assert worst.name in lead["sentence"]


@pytest.mark.behaviour(
    "an act changes one value as typed; undo, redo and an older revision bring text back byte for byte"
)
def test_acts_and_their_undoing(shop: httpx.Client) -> None:
    file = begun(shop)
    first = text_of(shop, file)
    mark = twin(shop, file)["mark"]
    saved = act(shop, file, "changes", began=mark, values={"core.width": "38 1/4 in, measured"}).json()
    second = text_of(shop, file)
    assert tomllib.loads(second.decode())["core"]["width"] == "38 1/4 in, measured"
    assert len([1 for a, b in zip(first.splitlines(), second.splitlines(), strict=True) if a != b]) == 1
    undone = act(shop, file, "undo", began=saved["mark"]).json()
    assert text_of(shop, file) == first
    redone = act(shop, file, "redo", began=undone["mark"]).json()
    assert text_of(shop, file) == second
    act(shop, file, "restore", began=redone["mark"], n=1)
    assert text_of(shop, file) == first


@pytest.mark.behaviour("two screens: what does not clash is joined, what does is refused and nothing is lost")
def test_two_screens(shop: httpx.Client) -> None:
    file = begun(shop)
    mark = twin(shop, file)["mark"]
    assert act(shop, file, "changes", began=mark, values={"core.width": "38 in, measured"}).status_code == 200
    other = act(shop, file, "changes", began=mark, values={"core.height": "18 in, measured"})
    assert other.json()["joined"]
    clash = act(shop, file, "changes", began=mark, values={"core.width": "39 in, measured"})
    assert clash.status_code == 409
    assert clash.json()["mark"] == other.json()["mark"]
    core = tomllib.loads(text_of(shop, file).decode())["core"]
    assert (core["width"], core["height"]) == ("38 in, measured", "18 in, measured")


@pytest.mark.behaviour("what cannot be is refused with its fault, and the job stays as it was")
@pytest.mark.parametrize(
    ("what", "body", "says"),
    [
        ("changes", {"values": {"core.width": "390 ft"}}, "core.width: 390 ft is outside"),
        ("changes", {"values": {"core.wide": "1 in"}}, "core.wide: there is no such field"),
        ("changes", {"values": {"fans.9.x": "1 in"}}, "fans.9.x: there is no such place"),
        ("items", {"part": "wheels"}, "wheels"),
        ("items", {"part": "fans", "index": 7}, "fans.7: there is no such place"),
    ],
)
def test_refused_acts(shop: httpx.Client, what: str, body: dict[str, Any], says: str) -> None:
    file = begun(shop)
    before, mark = text_of(shop, file), twin(shop, file)["mark"]
    answer = act(shop, file, what, began=mark, **body)
    assert answer.status_code == 422
    assert answer.json()["faults"][0].startswith(says)
    assert text_of(shop, file) == before


@pytest.mark.behaviour("a fan is added and taken out again")
def test_items(shop: httpx.Client) -> None:
    file = begun(shop)
    mark, fans = twin(shop, file)["mark"], len(tomllib.loads(text_of(shop, file).decode())["fans"])
    values = {"code": "F9", "blade": "9 in, measured", "free_flow": "700 cfm, box", "run_amps": "7 A, box"}
    more = act(shop, file, "items", began=mark, part="fans", values=values).json()
    assert tomllib.loads(text_of(shop, file).decode())["fans"][-1] == values
    act(shop, file, "items", began=more["mark"], part="fans", index=fans)
    assert len(tomllib.loads(text_of(shop, file).decode())["fans"]) == fans


@pytest.mark.behaviour(
    "a job is renamed, a revision named, a job put away and brought back: by form, and in the JSON twin"
)
def test_named_and_put_away(shop: httpx.Client) -> None:
    file = begun(shop)
    act(shop, file, "changes", began=twin(shop, file)["mark"], values={"vehicle.mass": "5000 lb, measured"})
    shop.post(f"/jobs/{file}/history/rename", data={"name": " blue van "})
    shop.post(f"/jobs/{file}/history/2", data={"name": "as <cut>"})
    told = shop.get(f"/api/jobs/{file}/history").json()
    assert (told["name"], told["n"], [one["label"] for one in told["entries"]]) == ("blue van", 2, ["as <cut>", ""])
    page = shop.get(f"/jobs/{file}/history").text
    assert "<h1>blue van</h1>" in page
    assert 'value="as &lt;cut&gt;"' in page
    assert shop.post(f"/jobs/{file}/away").headers["location"] == "/"
    listed = shop.get("/api/jobs").json()
    assert file in [one["file"] for one in listed["away"]]
    assert file not in [one["file"] for one in listed["jobs"]]
    assert "Bring blue van back" in shop.get("/").text
    shop.post(f"/jobs/{file}/away", data={"back": "yes"})
    assert file in [one["file"] for one in shop.get("/api/jobs").json()["jobs"]]
    shop.post(f"/jobs/{file}/history/2")
    assert shop.get(f"/api/jobs/{file}/history").json()["entries"][0]["label"] == ""
    assert shop.post(f"/api/jobs/{file}/rename", json={"name": "  "}).status_code == 422


@pytest.mark.behaviour(
    "a fan is put on off the shelf, twice: in the middle, then where there is room; by a plain form too"
)
def test_put_on(shop: httpx.Client) -> None:
    file = begun(shop, how="questions", engine="5.7 L and 300 hp", core="36 in x 18 in x 2 in")
    badges = {fan["typed"]["code"]: fan["badge"] for fan in shop.get("/api/shelf", params={"job": file}).json()["fans"]}
    page = shop.get(f"/jobs/{file}/fans").text
    assert page.index('value="A12S"') < page.index('value="B18"')
    assert (badges["A12S"], badges["B18"]) == ("unknown", "big")
    one = act(shop, file, "shelf/put", began=twin(shop, file)["mark"], code="A12S").json()
    shop.post(f"/jobs/{file}/fans/put", data={"began": one["mark"], "code": "A12S"})
    first, second = parse_job(text_of(shop, file), "put").fans
    assert (first.code, first.x and first.x.typed, first.y and first.y.typed) == ("A12S", "18 in", "9 in")
    assert (second.code, first.copied) == ("A12S 2", datetime.date.today())
    assert second.x
    assert abs(second.x.value - 18 * 0.0254) > 9 * 0.0254
    gone = act(shop, file, "shelf/put", began=twin(shop, file)["mark"], code="no such")
    assert (gone.status_code, gone.json()["faults"]) == (422, ["no such: there is no such fan on the shelf now"])
    full = begun(shop)
    act(shop, full, "shelf/put", began=twin(shop, full)["mark"], code="A10")
    told = twin(shop, full, "vehicle", wait=True)["lead"]["sentence"]
    assert told.startswith("It cannot be built as it stands: the fans do not fit above each other. There are ")


@pytest.mark.behaviour("six answers begin a job that can be worked out; what nothing can stand in for is asked for")
def test_six_questions(shop: httpx.Client) -> None:
    typed = {"engine": "5.7 L and 300 hp", "use": "towing", "hottest": "don't know", "core": "24 in x 17 in x 2 in"}
    home = shop.get("/").text
    assert "Don't know: 100 A (60 A to 160 A) is taken." in home
    assert "<svg" in shop.get("/demo.svg").text
    file = begun(shop, how="questions", name="<b>green</b> roadster", **typed, depth="5 in", alternator="don't know")
    job = parse_job(text_of(shop, file), "begun")
    assert [case.kind for case in job.cases] == ["idle", "stop-go", "cruise", "grade"]
    assert twin(shop, file, "vehicle", wait=True)["lead"]["number"] == "keeps climbing"
    assert not twin(shop, file, "vehicle")["has_fan"]
    assert "No fan is in this job yet: choose fans first." in {
        f["remedy"] for f in twin(shop, file, "vehicle")["findings"]
    }
    assert "0.00" not in twin(shop, file, "cost")["lead"]["number"]
    page = shop.get(f"/jobs/{file}/vehicle").text
    assert "<b>green" not in page
    assert "&lt;b&gt;green&lt;/b&gt; roadster" in page
    refused = shop.post("/jobs", data={"how": "questions", "engine": "5.7 L", "core": ""})
    assert refused.status_code == 422
    assert "How large is the engine, and how strong?" in refused.text
    assert "How large is the finned core" in refused.text


@pytest.mark.behaviour("only this shop's own pages are listened to, and a page may load nothing from outside")
def test_guarded(shop: httpx.Client) -> None:
    assert shop.get("/", headers={"host": "elsewhere.example"}).status_code == 421
    foreign = {"origin": "http://elsewhere.example"}
    assert shop.post("/jobs", data={"how": "demo"}, headers=foreign).status_code == 403
    assert shop.post("/jobs", data={"how": "demo"}, headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert shop.post("/jobs/import", content=b" " * 6_000_001).status_code == 413
    page = shop.get("/")
    policy = page.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe-inline" not in policy
    assert "//" not in page.text.replace("<!--", "")


@pytest.mark.behaviour("a job file goes in and out byte for byte; a damaged one is kept and its fault said")
def test_import_and_export(shop: httpx.Client) -> None:
    odd = b'# ours\nname = "odd"\r\n[core]\nwidth = "24 in"  # by tape\n'
    answer = shop.post("/jobs/import", files={"file": ("../../odd.job.toml", odd)})
    file = int(answer.headers["location"].split("/")[2])
    assert text_of(shop, file) == odd
    assert any("missing" in fault for fault in twin(shop, file, "vehicle", wait=True)["faults"])
    broken = shop.post("/jobs/import", files={"file": ("b.toml", b"width = ")})
    assert twin(shop, int(broken.headers["location"].split("/")[2]))["faults"]


@pytest.mark.behaviour("the packet comes in one file with the job it was made from")
def test_packet(shop: httpx.Client) -> None:
    file = begun(shop)
    packed = zipfile.ZipFile(io.BytesIO(shop.get(f"/jobs/{file}/packet.zip").content))
    assert {"packet.pdf", "assessment.json", "manifest.json", f"job-{file}.job.toml"} <= set(packed.namelist())
    assert packed.read(f"job-{file}.job.toml") == text_of(shop, file)
    looks = shop.get(f"/jobs/{file}/packet/looks").text
    papers = shop.get(f"/jobs/{file}/packet.pdf").content
    assert papers == packed.read("packet.pdf")
    told = subprocess.run([needed("pdfinfo"), "-"], input=papers, capture_output=True, check=True).stdout
    assert re.search(rf"^Pages: +{looks.count('<img')}$", told.decode(), re.M)
    small = shop.get(looks.partition('src="')[2].partition('"')[0])
    assert small.content.startswith(b"\x89PNG")
    assert len(small.content) < 100_000


@pytest.mark.behaviour("who asks from a page for what cannot be done gets a page that says what to do, others get JSON")
def test_what_cannot_be_done(shop: httpx.Client) -> None:
    sent = shop.post("/jobs/import", files={"file": ("b.toml", b"width = ")})
    file = int(sent.headers["location"].split("/")[2])
    page = {"accept": "text/html"}
    refused = shop.get(f"/jobs/{file}/packet.zip", headers=page)
    assert refused.status_code == 422
    assert "Go back, put right" in refused.text
    assert f'href="/jobs/{file}/vehicle"' in refused.text
    assert shop.get(f"/jobs/{file}/packet.zip").json()["faults"]
    unread = shop.post("/jobs/import", files={"file": ("b.toml", b"\xff\xfe")}, headers=page)
    assert unread.status_code == 422
    assert "<h1>Not done</h1>" in unread.text
    assert "Something is missing" in shop.post("/jobs/import", headers=page).text
    assert "It is not here" in shop.get("/jobs/99999/vehicle", headers=page).text
    assert shop.get("/jobs/99999/vehicle").json() == {"detail": "the shop keeps no job or shelf with number 99999"}


@pytest.mark.behaviour("the stage settles on what an assessment of the typed places says")
def test_stage(shop: httpx.Client) -> None:
    file = begun(shop)
    scene = shop.get(f"/api/jobs/{file}/stage").json()
    places = [fan["place"] for fan in scene["fans"]]
    places[1][0] -= 0.005
    quick = act(shop, file, "stage/quick", places=places).json()
    assert quick["map"]["speed"]
    assert quick["rows"]
    settled = act(shop, file, "stage/settle", places=places).json()
    typed = {f"fans.{i}.{axis}": pair["xy".index(axis)] for i, pair in enumerate(settled["typed"]) for axis in "xy"}
    mark = twin(shop, file)["mark"]
    assert act(shop, file, "changes", began=mark, values=typed).status_code == 200
    lead = twin(shop, file, "vehicle", wait=True)["lead"]
    chance = settled["sentence"].split(":")[1].split(" chances")[0]
    assert f"{chance.strip()} chances in 100" in lead["sentence"]
    far = act(shop, file, "stage/quick", places=[[99.0, 0.0]] * len(places))
    assert far.status_code == 422
    assert "nowhere near the core" in far.json()["faults"][0]


@pytest.mark.behaviour(
    "temperatures dragged on a drive are those the settings say, are judged by their checks and are saved"
)
def test_drive(shop: httpx.Client) -> None:
    file = begun(shop)
    scene = shop.get(f"/api/jobs/{file}/drive", params={"route": "city", "cooled": False}).json()
    temps = {handle["key"]: handle["at"] for handle in scene["handles"]}
    assert f"{temps['fan_on']:.0f} " in twin(shop, file, "control", wait=True)["lead"]["number"]
    about = {"route": "city", "cooled": False}
    later = act(shop, file, "drive/run", **about, temps=temps | {"fan_on": temps["fan_on"] + 5.0}).json()
    assert max(later["trace"]["coolant"]) > max(scene["now"]["trace"]["coolant"]) + 2.0
    starts = [[share for _, share in told["trace"]["fans"]] for told in (scene["now"], later)]
    assert len(starts[1]) < len(starts[0])
    over = temps | {"fan_off": temps["fan_on"] + 1.0}
    refused = act(shop, file, "drive/run", **about, temps=over).json()
    assert refused["refused"]
    assert [wrong["key"] for wrong in refused["wrong"] if "at or above ON" in wrong["words"]] == ["fan_off"]
    assert act(shop, file, "drive/settle", **about, temps=over).status_code == 422
    never = act(shop, file, "drive/run", **about, temps=temps | {"fan_off": 180.0}).json()
    assert "never stops" in never["wrong"][0]["words"]
    settled = act(shop, file, "drive/settle", **about, temps=temps | {"fan_off": 198.0}).json()
    band, middle = settled["band"], scene["now"]["trace"]["coolant"]
    assert len(band["low"]) == len(band["high"]) == len(middle)
    assert all(low <= high for low, high in zip(band["low"], band["high"], strict=True))
    typed = {f"control.{key}": words for key, words in settled["typed"].items()}
    assert act(shop, file, "changes", began=twin(shop, file)["mark"], values=typed).status_code == 200
    assert tomllib.loads(text_of(shop, file).decode())["control"]["fan_off"] == "198 degF"
    assert shop.get(f"/api/jobs/{file}/drive", params={"route": "the moon"}).status_code == 422
    # A handle goes no further than the box: what a drop would say to type can be typed.
    cold = temps | {"fan_on": 95.0, "fan_off": 88.0}
    assert "is outside 100 to 280" in act(shop, file, "drive/run", **about, temps=cold).json()["faults"][0]
    one = {"control.fan_on": "95 degF"}
    assert act(shop, file, "changes", began=twin(shop, file)["mark"], values=one).status_code == 422


@pytest.mark.behaviour(
    "a neck put on the stage is saved as a tape reads, moved into a fan it is short of room, taken out"
)
def test_things_round_the_fans(shop: httpx.Client) -> None:
    file = begun(shop)
    first, scene = text_of(shop, file), shop.get(f"/api/jobs/{file}/stage").json()
    places = [fan["place"] for fan in scene["fans"]]
    corner = {"x": 0.0254 * 35.5, "y": 0.0254 * 15.25, "diameter": 0.0381, "reach": 0.0508}
    assert act(shop, file, "stage/thing", began=twin(shop, file)["mark"], part="necks", at=corner).status_code == 422
    del corner["reach"]
    saved = act(shop, file, "stage/thing", began=twin(shop, file)["mark"], part="necks", at=corner).json()
    necks = tomllib.loads(text_of(shop, file).decode())["space"]["necks"]
    assert necks == [{"x": "35 1/2 in", "y": "15 1/4 in", "diameter": "1 1/2 in", "reach": "2 in"}]
    (thing,) = shop.get(f"/api/jobs/{file}/stage").json()["things"]
    assert [field["typed"] for field in thing["fields"]] == ["35 1/2 in", "15 1/4 in", "1 1/2 in", "2 in"]
    into = {"x": places[0][0], "y": places[0][1] + 0.18}
    told = act(shop, file, "stage/around", places=places, part="necks", index=0, at=into).json()
    short = [gap["words"] for gap in told["gaps"] if gap["short"] and "neck" in gap["words"]]
    assert any("MISSING" in words and "Q14" in words for words in short)
    moved = act(shop, file, "stage/thing", began=saved["mark"], part="necks", index=0, at={"x": 0.0254}).json()
    assert tomllib.loads(text_of(shop, file).decode())["space"]["necks"][0]["x"] == "1 in"
    gone = act(shop, file, "items", began=moved["mark"], part="space.necks", index=0).json()
    assert "necks" not in text_of(shop, file).decode()
    assert act(shop, file, "restore", began=gone["mark"], n=1).status_code == 200
    assert text_of(shop, file) == first
    far = act(shop, file, "stage/around", places=places, part="necks", index=7, at={"x": 0.1})
    assert far.status_code == 422


@pytest.mark.law("of a wide or a tall core no number typed on its picture lies over another on a tablet")
@pytest.mark.parametrize("size", [("37 in", "17 in"), ("16 in", "26 in"), ("22 in", "22 in")])
@pytest.mark.parametrize("run", ["crossflow", "downflow"])
def test_numbers_on_the_picture(size: tuple[str, str], run: str) -> None:
    wide_typed = ("width = 24.50 ", f'run = "{run}"\nwidth = "{size[0]}, measured" ')
    text = changed(wide_typed, ('height = "17 in, measured"', f'height = "{size[1]}"'))
    job = parse_job(text, "core")
    spots = spots_of(job, groups_of(job, ("core",)))
    shape = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', picture_of(job))
    assert shape
    wide = 794.0
    high = wide * float(shape[2]) / float(shape[1])
    assert len(spots) == 11
    assert {spot.standing for spot in spots if spot.place == "core.width"} == {"measured in hand"}
    for spot in spots:
        left, top = 0.01 * spot.left * wide, 0.01 * spot.top * high
        assert 53.0 < left < wide - 53.0
        assert 39.0 < top < high - 39.0
        for other in spots:
            apart = abs(0.01 * other.left * wide - left) > 106.0 or abs(0.01 * other.top * high - top) > 78.0
            assert apart or other is spot, (spot.place, other.place)
    assert places_css(job).count("left:") == 11


@pytest.mark.behaviour(
    "a deeper shroud runs cooler as it is dragged; a radius under the sheet's least is refused with its number"
)
def test_shape(shop: httpx.Client) -> None:
    file = begun(shop)
    scene = shop.get(f"/api/jobs/{file}/shape").json()
    assert [slider["place"] for slider in scene["sliders"]] == ["shroud.depth", "shroud.roll_radius"]
    deep = act(shop, file, "shape/quick", sizes={"shroud.depth": "3 in"}).json()
    assert not deep["refused"]
    assert int(deep["lead"].split()[0]) < int(scene["now"]["lead"].split()[0])
    flats = act(shop, file, "shape/flats", sizes={"shroud.depth": "3 in"}).json()
    assert "3.000 in" in flats["pictures"][1]["svg"]
    assert float(flats["weight"].split()[0]) > float(scene["flats"]["weight"].split()[0])
    # 5052-H32 at 0.080 in: one and a half thicknesses, the published guide the least radius stands on.
    tight = {"shroud.roll_radius": "0.0625 in"}
    assert "0.0625 in against 0.12 in" in act(shop, file, "shape/quick", sizes=tight).json()["refused"][0]
    assert act(shop, file, "shape/settle", sizes=tight).status_code == 422
    assert "outside" in act(shop, file, "shape/quick", sizes={"shroud.depth": "90 in"}).json()["refused"][0]
    settled = act(shop, file, "shape/settle", sizes={"shroud.depth": "1.5 in"}).json()
    assert settled["typed"] == {"shroud.depth": "1 1/2 in"}
    assert "chances in 100" in settled["sentence"]
    solid, still = (shop.get(f"/jobs/{file}/1/shroud.{kind}") for kind in ("html", "svg"))
    assert solid.headers["content-security-policy"].startswith("sandbox allow-scripts;")
    assert b"Content-Security-Policy" in solid.content
    assert still.text.startswith("<svg")


@pytest.mark.behaviour(
    "boxes have a slider each for a depth of their own; what has none names its box; what cannot be is refused"
)
def test_boxes_shaped(shop: httpx.Client) -> None:
    edges = (
        ("left", "0 in", "11 in", 'depth = "2 in"'),
        ("middle", "11 in", "15 in", ""),
        ("right", "26 in", "11 in", ""),
    )
    rows = "".join(
        f'[[shroud_boxes]]\ncode = "{code}"\nx = "{x}"\ny = "0 in"\nwidth = "{wide}"\nheight = "17 in"\n{own}\n'
        for code, x, wide, own in edges
    )
    text = STANDING_DEMO.replace("[electrical]", f"{rows}[electrical]", 1).encode()
    sent = shop.post("/jobs/import", files={"file": ("boxes.job.toml", text)})
    file = int(sent.headers["location"].split("/")[2])
    scene = shop.get(f"/api/jobs/{file}/shape").json()
    own = "shroud_boxes.0.depth"
    assert [slider["place"] for slider in scene["sliders"]] == ["shroud.depth", own, "shroud.roll_radius"]
    anchors = [said["anchor"] for said in scene["instead"]]
    assert anchors == ["f-shroud_boxes-1-depth", "f-shroud_boxes-2-depth", "f-shroud_boxes-0-x"]
    assert not scene["folded"]
    assert not scene["flats"]["weight"]
    assert len(scene["flats"]["pictures"]) == 4
    moved = act(shop, file, "shape/quick", sizes={own: "2.25 in"}).json()
    assert (moved["refused"], moved["values"]) == ([], {own: 2.25})
    assert moved["rows"] != scene["now"]["rows"]
    for place, words, why in (
        (own, "90 in", "outside"),
        ("shroud.roll_radius", "0.0625 in", "0.0625 in against 0.12 in"),
        ("fans.0.x", "2 in", "no size of this shroud"),
    ):
        assert why in act(shop, file, "shape/quick", sizes={place: words}).json()["refused"][0]
    settled = act(shop, file, "shape/settle", sizes={own: "2.25 in"}).json()
    assert settled["typed"] == {own: "2 1/4 in"}
    began = shop.get(f"/api/jobs/{file}/shroud").json()["mark"]
    assert act(shop, file, "changes", began=began, values=settled["typed"]).status_code == 200
    assert b'depth = "2 1/4 in"' in text_of(shop, file)


@pytest.mark.behaviour("Shop math lists, explains, works and refuses a sum as the terminal does")
def test_shop_math(shop: httpx.Client) -> None:
    page = shop.get("/math").text
    assert 'href="/math/bend_allowance"' in page
    typed = {"angle": "90 deg", "inside_radius": "0.125 in", "thickness": "0.08 in", "k_factor": "0.4"}
    worked = shop.get("/math/bend_allowance", params=typed)
    twin_of_it = shop.get("/api/math/bend_allowance", params=typed).json()
    assert shop.get("/api/math").json()["bend_allowance"] == twin_of_it["title"]
    assert all(line.split()[0] in worked.text for line in twin_of_it["lines"])
    assert "allowance = 0.0062" in worked.text
    assert "Source:" in worked.text
    refused = shop.get("/math/bend_allowance", params=typed | {"angle": "90 lb"})
    assert refused.status_code == 422
    assert "angle" in refused.text
    assert shop.get("/math/nothing").status_code == 404


@pytest.mark.behaviour("a copy of the whole shop opens as a shop with the same jobs")
def test_backup(shop: httpx.Client, tmp_path: Path) -> None:
    file = begun(shop)
    answer = shop.get("/backup")
    path = tmp_path / "copy.db"
    path.write_bytes(answer.content)
    with Shop.open(path) as copy:
        assert copy.latest(file).text == text_of(shop, file)


@pytest.mark.behaviour("a working process that dies is replaced, and what it was at is worked out when asked again")
def test_a_worker_dies() -> None:
    async def asked() -> None:
        desk, text = Desk(), b'name = "nothing known"'
        try:
            lost = desk.ask(text, "a")
            for child in multiprocessing.active_children():
                child.kill()
            with pytest.raises(BrokenProcessPool):
                await lost
            assert desk.found(text) is None
            again = await desk.ask(text, "a")
            assert any("missing" in fault for fault in again.faults)
            assert desk.found(text) is again
        finally:
            desk.close()

    asyncio.run(asked())


@pytest.mark.behaviour("what the sums refuse is said as a fault of the job, not thrown")
def test_a_refused_sum(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(job: Job, **_: object) -> None:
        raise OutOfRange("sheet thickness", 0.3125, 0.0, 0.25, "in")

    monkeypatch.setattr(answering, "assess_and_plan", refuse)
    assert answering.work_out(demo_text()[1], "a").faults == ("sheet thickness 0.3125 in is outside 0 to 0.25 in",)


@pytest.mark.behaviour(
    "a finding is accepted and taken back, a stop is not; a fix goes into the plan and out: one act each"
)
def test_accept_and_plan(shop: httpx.Client) -> None:
    sent = shop.post("/jobs/import", files={"file": ("one.job.toml", one_case())})
    file = int(sent.headers["location"].split("/")[2])
    before = text_of(shop, file)

    def done(what: str, **body: Any) -> httpx.Response:
        return act(shop, file, what, began=twin(shop, file)["mark"], **body)

    heat = shop.get(f"/api/jobs/{file}/heat", params={"wait": True}).json()
    first, fix = heat["findings"][0], heat["planning"]["fixes"][0]["code"]
    assert (
        done("accept", code=first["code"], place=first["place"], reason="cool evenings", who="owner").status_code == 200
    )
    assert done("plan", code=fix).status_code == 200
    told = shop.get(f"/api/jobs/{file}/heat", params={"wait": True}).json()
    accepted = told["findings"][-1]
    assert (accepted["code"], accepted["accepted"]["reason"]) == (first["code"], "cool evenings")
    assert told["planning"]["codes"] == [fix]
    assert told["planning"]["planned"].startswith("Planned: ")
    page = shop.get(f"/jobs/{file}/heat").text
    assert "by owner" in page
    assert "Take out of the plan" in page
    packet = shop.get(f"/api/jobs/{file}/packet").json()
    said = [block for block in packet["blocks"] if block["kind"] == "finding" and block["accepted"]]
    assert [block["remedy"].endswith(": cool evenings.") for block in said] == [True]
    options = shop.get(f"/api/jobs/{file}/cost").json()["options"]
    assert [row["option"] for row in options[0]["rows"]][:2] == ["as it is", "as planned"]
    done("plan", code=fix, take=True)
    done("accept", code=first["code"], place=first["place"])
    assert parse_job(text_of(shop, file), "after").model_dump() == parse_job(before, "before").model_dump()
    stop = Accepted.model_validate({"code": "F04", "reason": "looks fine", "who": "Dale"})
    finding = FindingAnswer(
        code="F04", level="stop", says="", because="Short.", remedy="", source="practice", place="x"
    )
    (kept,) = with_accepted([finding], parse_job(before, "a").model_copy(update={"accepted": (stop,)}))
    assert kept.accepted is None
    assert "a stop cannot be accepted away" in kept.because


@pytest.mark.behaviour("the last few are kept; what was asked for since stays longest")
def test_recent() -> None:
    kept: Recent[str, int] = Recent(2)
    kept["a"], kept["b"] = 1, 2
    assert kept["a"] == 1
    kept["c"] = 3
    assert list(kept.items()) == [("a", 1), ("c", 3)]
    kept["a"] = 4
    kept["d"] = 5
    assert dict(kept) == {"a": 4, "d": 5}
