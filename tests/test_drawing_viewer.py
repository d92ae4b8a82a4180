"""The page of solids in a real browser: it draws, it turns, it says nothing and it asks for nothing."""

import io
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from matplotlib import image
from playwright.sync_api import ConsoleMessage, Page, sync_playwright

from shroudwright.drawing.viewer import viewer_page
from tests.needed import needed
from tests.test_drawing_scene import everything

# Drawn by the processor: a machine that runs tests may have no graphics.
FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-dev-shm-usage"]
TRIES = 60
PATIENT = 180_000


@pytest.fixture
def page() -> Iterator[Page]:
    chromium = needed("chromium")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=FLAGS, timeout=PATIENT)
        opened = browser.new_page(viewport={"width": 480, "height": 320})
        opened.set_default_timeout(PATIENT)
        yield opened
        browser.close()


def dots(page: Page) -> np.ndarray:
    return image.imread(io.BytesIO(page.screenshot()))[:, :, :3]


def colours(drawn: np.ndarray) -> int:
    """How many colours cover a hundredth of the page or more."""
    coarse = (drawn * 15.0).round().astype(int).reshape(-1, 3) @ (256, 16, 1)
    return int((np.bincount(coarse) > 0.01 * len(coarse)).sum())


@pytest.mark.independent(
    "Chromium draws the page from its file: several colours, others once turned, no word, no request"
)
def test_in_a_browser(page: Page, tmp_path: Path) -> None:
    said: list[str] = []
    asked: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            said.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    file = tmp_path / "shroud_3d.html"
    file.write_bytes(viewer_page("A job", everything()))
    page.goto(file.as_uri())
    assert page.title() == "A job"
    for _ in range(TRIES):
        first = dots(page)
        if colours(first) >= 5:
            break
        page.wait_for_timeout(500)
    assert colours(first) >= 5
    page.mouse.move(240, 160)
    page.mouse.down()
    page.mouse.move(330, 190, steps=5)
    page.mouse.up()
    for _ in range(TRIES):
        turned = dots(page)
        if np.abs(turned - first).max(axis=2).mean() > 0.02:
            break
        page.wait_for_timeout(500)
    assert np.abs(turned - first).max(axis=2).mean() > 0.02
    assert colours(turned) >= 5
    assert said == []
    # Its own file; what it carries within itself leaves no machine.
    assert [url for url in asked if not url.startswith(("data:", "blob:"))] == [file.as_uri()]


@pytest.mark.behaviour("a browser that is not there fails the test, with what to install")
def test_without_a_browser(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    with pytest.raises(pytest.fail.Exception, match="apt-get install chromium"):
        needed("chromium")
