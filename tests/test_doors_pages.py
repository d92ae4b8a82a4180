"""The pages in a real browser, by mouse, finger and keyboard."""

import json
import tomllib
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Response, expect, sync_playwright

from shroudwright.doors.web.start import demo_text
from tests.jobs import STANDING_DEMO
from tests.needed import needed
from tests.serving import a_process, free_port, served
from tests.test_doors_choosing import SHELF

FOLLOWING = {"fans": ".stage", "shroud": ".shape-all", "control": ".trace"}
"""Pictures that follow a finger, which come after the answer"""
PATIENCE = 60_000.0
expect.set_options(timeout=PATIENCE)


@pytest.fixture(scope="module")
def where(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(tmp_path_factory.mktemp("shop")) as address:
        yield address


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=needed("chromium"), args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture
def page(browser: Browser, where: str) -> Iterator[Page]:
    """A page that says nothing on its console and asks nobody but the shop."""
    context = browser.new_context(base_url=where, viewport={"width": 1366, "height": 800}, accept_downloads=True)
    opened = context.new_page()
    opened.set_default_timeout(PATIENCE)
    said: list[str] = []
    asked: list[str] = []
    opened.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    opened.on("pageerror", lambda error: said.append(str(error)))
    opened.on("request", lambda request: asked.append(request.url))
    yield opened
    strangers = [url for url in asked if not url.startswith((where, "data:", "blob:"))]
    context.close()
    assert strangers == []
    # The browser's own lines about a refused or cut-off act are not the page's.
    assert [words for words in said if not any(sign in words for sign in ("422", "409", "ERR_FAILED"))] == []


def demo(page: Page) -> str:
    page.goto("/")
    page.get_by_role("button", name="Open the demo").click()
    page.wait_for_url("**/vehicle")
    return page.url.removesuffix("/vehicle")


def standing(page: Page) -> str:
    """Open the demo with the case alone that is worked out soonest."""
    file = {"name": "standing.job.toml", "mimeType": "application/toml", "buffer": STANDING_DEMO.encode()}
    began = page.request.post("/jobs/import", multipart={"file": file}, max_redirects=0)
    return began.headers["location"].removesuffix("/vehicle")


def answered(page: Page) -> None:
    expect(page.locator("#answer .waiting")).to_have_count(0)


def finger_on(page: Page) -> Callable[..., None]:
    """A finger: how it touches, and where."""
    session = page.context.new_cdp_session(page)

    def touch(kind: str, *spots: tuple[float, float]) -> None:
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": a, "y": b} for a, b in spots]})

    return touch


@pytest.mark.behaviour(
    "a finger drags a fan as far as it went, numbers follow, and the places are saved as a tape reads"
)
def test_a_finger_drags_a_fan(browser: Browser, where: str) -> None:
    context = browser.new_context(base_url=where, viewport={"width": 820, "height": 1180}, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    job = demo(page)
    page.goto(f"{job}/fans")
    answered(page)
    fan = page.locator(".stage .fan").nth(1)
    fan.wait_for()
    before = fan.locator(".rim").bounding_box()
    assert before
    x, y = before["x"] + before["width"] / 2, before["y"] + before["height"] / 2
    touch = finger_on(page)
    touch("touchStart", (x, y))
    for step in range(1, 21):
        touch("touchMove", (x - 2.0 * step, y - 1.0 * step))
    after = fan.locator(".rim").bounding_box()
    assert after
    assert after["x"] - before["x"] == pytest.approx(-40.0, abs=2.0)
    assert after["y"] - before["y"] == pytest.approx(-20.0, abs=2.0)
    with page.expect_response("**/changes") as saved:
        touch("touchEnd")
    assert saved.value.ok
    sent = json.loads(saved.value.request.post_data or "{}")["values"]
    assert sent["fans.1.x"].endswith("in")
    text = page.request.get(f"{job}/job.toml").text()
    assert f'x = "{sent["fans.1.x"]}"' in text
    expect(page.locator('[name="fans.1.x"]')).to_have_value(sent["fans.1.x"])
    context.close()


@pytest.mark.behaviour(
    "a fan's temperature is dragged by finger, a shroud's depth and a neck by arrow keys; each is one act"
)
def test_other_handles(browser: Browser, where: str) -> None:
    context = browser.new_context(base_url=where, viewport={"width": 820, "height": 1180}, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(PATIENCE)

    def opened(slug: str) -> None:
        """A job of its own for each page: what is saved on another need not be worked out first."""
        page.goto(f"{standing(page)}/{slug}")
        answered(page)

    def sent(response: Response) -> Any:
        assert response.ok
        return json.loads(response.request.post_data or "{}")

    opened("control")
    page.get_by_label("A/C on").uncheck()
    expect(page.locator(".stage-numbers")).not_to_contain_text("100 (100 to 100)")
    grip = page.get_by_role("slider", name="fan 1 ON")
    before = grip.locator("rect").bounding_box()
    assert before
    assert min(before["width"], before["height"]) >= 44.0
    x, y = before["x"] + 22.0, before["y"] + 22.0
    touch = finger_on(page)
    touch("touchStart", (x, y))
    for step in range(1, 11):
        touch("touchMove", (x, y - 3.0 * step))
    expect(grip).not_to_have_attribute("aria-valuenow", "205")
    with page.expect_response("**/changes") as saved:
        touch("touchEnd")
    typed = sent(saved.value)["values"]
    assert typed["control.fan_on"] == f"{grip.get_attribute('aria-valuenow')} degF"
    assert set(typed) == {f"control.{name}" for name in ("fan_on", "fan_off", "second_on", "second_off")}

    opened("shroud")
    page.get_by_role("slider", name="depth of the section").focus()
    with page.expect_response("**/changes") as saved:
        page.keyboard.press("ArrowRight")
        page.keyboard.press("ArrowRight")
    assert sent(saved.value)["values"] == {"shroud.depth": "1 3/8 in"}
    page.get_by_role("textbox", name="inside radius of the rolls, typed").fill("1/16 in")
    page.keyboard.press("Tab")
    expect(page.locator(".slider .fault").nth(1)).to_contain_text("0.0625 in against 0.12 in")

    opened("fans")
    page.get_by_role("button", name="Add a hose neck").click()
    neck = page.locator(".thing.chosen")
    neck.focus()
    with page.expect_response("**/stage/thing") as saved:
        page.keyboard.press("Shift+ArrowLeft")
    assert set(sent(saved.value)["at"]) == {"x", "y"}
    page.get_by_role("textbox", name="stands out behind").fill("1 in, measured")
    with page.expect_response("**/changes") as saved:
        page.keyboard.press("Tab")
    assert sent(saved.value)["values"] == {"space.necks.0.reach": "1 in, measured"}
    context.close()


@pytest.mark.behaviour("a finding's link opens its folded box, focused and marked; accepted with a reason it is greyed")
def test_a_finding_and_its_box(page: Page) -> None:
    job = demo(page)
    page.goto(f"{job}/wiring")
    answered(page)
    finding = page.locator(".finding", has_text="W14").first
    finding.get_by_role("link", name="Go to: motor cut out").press("Enter")
    box = page.locator('[name="electrical.motor_cut_out"]')
    expect(box).to_be_focused()
    expect(box).to_be_visible()
    expect(page.locator(".box.marked")).to_have_attribute("id", "electrical.motor_cut_out")
    finding.locator("summary").press("Enter")
    finding.get_by_label("Why it can stay").fill("cut-out fitted")
    finding.get_by_label("Who says so").fill("Dale")
    finding.get_by_label("Who says so").press("Enter")
    kept = page.locator(".finding.accepted")
    expect(kept).to_contain_text("by Dale")
    page.get_by_text("more findings").press("Enter")
    expect(kept).to_contain_text("cut-out fitted")
    with page.expect_response("**/accept") as taken:
        kept.get_by_role("button", name="Take back").press("Enter")
    assert taken.value.ok
    expect(page.locator(".finding.accepted")).to_have_count(0)


@pytest.mark.behaviour("by keyboard alone: six questions, a mended field, a moved fan, and the packet in hand")
def test_keyboard_alone(page: Page, tmp_path: Path) -> None:
    page.goto("/")

    def tab_to(wanted: str) -> None:
        for _ in range(400):
            page.keyboard.press("Tab")
            if page.evaluate("wanted => document.activeElement?.matches(wanted) ?? false", wanted):
                return
        raise AssertionError(f"no Tab reaches {wanted}")

    def typed(wanted: str, words: str) -> None:
        tab_to(wanted)
        page.keyboard.press("Control+A")
        page.keyboard.type(words)

    typed("#q-name", "keyboard roadster")
    typed("#q-engine", "5.0 L and 300 hp")
    typed("#q-hottest", "100 degF")
    typed("#q-core", "26 in x 18 in x 2 1/4 in")
    typed("#q-depth", "7 in")
    page.keyboard.press("Enter")
    page.wait_for_url("**/vehicle")
    answered(page)
    tab_to('a[href$="/fans"]')
    page.keyboard.press("Enter")
    page.wait_for_url("**/fans")
    answered(page)
    tab_to('[data-add="fans"]')
    with page.expect_navigation():
        page.keyboard.press("Enter")
    answered(page)
    for name, words in (("blade", "16 in, measured"), ("free_flow", "2400 cfm, box"), ("run_amps", "20 A, box")):
        typed(f'[name="fans.0.{name}"]', words)
        with page.expect_response("**/changes") as saved:
            page.keyboard.press("Tab")
        assert saved.value.ok
    page.reload()
    answered(page)
    page.locator(".stage").wait_for()
    tab_to(".stage .fan")
    with page.expect_response("**/changes") as saved:
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Shift+ArrowUp")
    assert saved.value.ok
    page.reload()
    answered(page)
    tab_to('a[href$="/packet"]')
    page.keyboard.press("Enter")
    page.wait_for_url("**/packet")
    answered(page)
    tab_to('a[href$="/packet.zip"]')
    with page.expect_download(timeout=PATIENCE) as coming:
        page.keyboard.press("Enter")
    path = tmp_path / "packet.zip"
    coming.value.save_as(path)
    assert "packet.pdf" in zipfile.ZipFile(path).namelist()


@pytest.mark.behaviour(
    "what is impossible is said beside its box; how a number is known follows what is typed, undo outlives a reload"
)
def test_faults_and_undo(page: Page) -> None:
    job = standing(page)
    page.goto(f"{job}/core")
    width = page.locator('[id="core.width"] input')
    old = width.input_value()
    width.fill("37 furlongs")
    width.press("Tab")
    expect(page.locator('[id="core.width"] .fault')).to_contain_text("furlongs")
    on_picture = page.locator("#t-core-width-typed")
    expect(on_picture).to_have_value("37 furlongs")
    expect(page.locator("#t-core-width .fault")).to_contain_text("furlongs")
    words = page.locator('#t-core-width .guess, [id="core.width"] .guess')
    expect(words).to_contain_text(["measured", "measured in hand"])
    on_picture.fill("38 in")
    with page.expect_response("**/changes") as saved:
        on_picture.press("Enter")
    assert saved.value.ok
    expect(width).to_have_value("38 in")
    expect(words).to_have_text(["guess", "guess"])
    expect(on_picture).to_be_focused()
    expect(page.locator("#answer .fault, .asks .fault")).to_have_count(0)
    page.reload()
    expect(page.locator('[id="core.width"] input')).to_have_value("38 in")
    with page.expect_navigation():
        page.get_by_role("button", name="Undo").click()
    expect(page.locator('[id="core.width"] input')).to_have_value(old)


@pytest.mark.behaviour("with the shop's computer away a change is kept here, said, and saved when it is back")
def test_the_server_goes_away(page: Page) -> None:
    job = standing(page)
    page.goto(f"{job}/core")
    page.route("**/changes", lambda route: route.abort())
    width = page.locator('[id="core.width"] input')
    width.fill("36 1/2 in, measured")
    width.press("Tab")
    expect(page.locator("#state")).to_contain_text("unsaved")
    page.reload()
    page.unroute("**/changes")
    with page.expect_response("**/changes") as saved:
        page.reload()
    assert saved.value.ok
    assert 'width = "36 1/2 in, measured"' in page.request.get(f"{job}/job.toml").text()


@pytest.mark.behaviour(
    "by keyboard: a search is called off, begun again, followed, and its first set put in and undone"
)
def test_choose_fans(page: Page) -> None:
    page.goto("/shelf")
    page.get_by_label("A CSV").set_input_files({"name": "ours.csv", "mimeType": "text/csv", "buffer": SHELF})
    page.get_by_role("button", name="Bring it in").click()
    page.wait_for_url("**/shelf")
    job = demo(page)
    page.goto(f"{job}/fans")
    page.locator("#choose-go").press("Enter")
    expect(page.locator("#choose-off")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#state")).to_contain_text("called off")
    expect(page.locator("#choose-go")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#choose-progress li").first).to_contain_text("B14")
    card = page.locator(".card").first
    card.wait_for()
    name = card.locator("h4").inner_text().partition(". ")[2]
    with page.expect_navigation():
        card.locator("button").press("Enter")
    expect(page.locator('[name="fans.0.code"]')).to_have_value(f"{name.split()[-1]} 1" if "x" in name else name)
    expect(page.locator("#choose-found")).to_contain_text("the job has changed since")
    with page.expect_navigation():
        page.get_by_role("button", name="Undo").click()
    expect(page.locator('[name="fans.0.code"]')).not_to_have_value(f"{name.split()[-1]} 1")


@pytest.mark.behaviour(
    "the server is killed in the middle of a drag: what was saved stands, what was done since follows"
)
def test_killed_in_the_middle_of_a_drag(browser: Browser, tmp_path: Path) -> None:
    port = free_port()
    context = browser.new_context(base_url=f"http://127.0.0.1:{port}", viewport={"width": 1366, "height": 900})
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    kept = tmp_path / "shop.db"
    with a_process(port, kept) as process:
        job = standing(page)
        page.goto(f"{job}/fans")
        fan = page.locator(".stage .fan").nth(1)
        fan.wait_for()
        noise = page.locator('[name="fans.1.noise"]')
        noise.evaluate(
            "box => { for (let f = box.closest('details'); f; f = f.parentElement.closest('details')) f.open = true; }"
        )
        noise.fill("61 dB, measured")
        with page.expect_response("**/changes") as saved:
            noise.press("Tab")
        assert saved.value.ok
        fan.scroll_into_view_if_needed()
        box = fan.bounding_box()
        assert box
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        for step in range(8):
            page.mouse.move(x - 2 * step, y)
        working = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text().split()
        assert working
        process.kill()
        process.wait()
        for step in range(8, 16):
            page.mouse.move(x - 2 * step, y)
        page.mouse.up()
        expect(page.locator(".stage-says")).to_contain_text("does not answer")
        volts = page.locator('[name="fans.1.test_volts"]')
        volts.fill("13.4 V, measured")
        volts.press("Tab")
        expect(page.locator("#state")).to_contain_text("unsaved")
    with a_process(port, kept):
        with page.expect_response(
            lambda answer: answer.url.endswith("/changes") and "fans.1.x" in (answer.request.post_data or "")
        ) as moved:
            pass
        assert moved.value.ok
        fans = tomllib.loads(page.request.get(f"{job}/job.toml").text())["fans"]
        sent = json.loads(moved.value.request.post_data or "{}")["values"]
        assert (fans[1]["noise"], fans[1]["test_volts"]) == ("61 dB, measured", "13.4 V, measured")
        assert fans[1]["x"] == sent["fans.1.x"]
        assert [one for one in working if Path("/proc", one).exists()] == []
        assert fans[1]["x"] != tomllib.loads(demo_text()[1].decode())["fans"][1]["x"]
        context.close()
