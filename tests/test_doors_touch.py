"""The whole job by finger on a tablet, 820 px wide, from six questions to the packet in hand."""

import os
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect, sync_playwright

from tests.needed import needed
from tests.serving import served

PATIENCE = 90_000.0
LEFT = os.environ.get("SHROUDWRIGHT_SCREENS")
"""Where to leave pictures of the way, if anywhere"""


@pytest.fixture
def tablet(tmp_path: Path) -> Iterator[Page]:
    with served(tmp_path) as where, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=needed("chromium"), args=["--no-sandbox"])
        context = browser.new_context(
            base_url=where, viewport={"width": 820, "height": 1180}, has_touch=True, accept_downloads=True
        )
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        expect.set_options(timeout=PATIENCE)
        yield page
        browser.close()


def drag(page: Page, what: Locator, across: float, up: float) -> None:
    """Put a finger on the middle of something, move it and lift it."""
    what.scroll_into_view_if_needed()
    box = what.bounding_box()
    assert box
    x, y = box["x"] + 0.5 * box["width"], box["y"] + 0.5 * box["height"]
    finger = page.context.new_cdp_session(page)
    steps: list[tuple[str, list[dict[str, float]]]] = [("touchStart", [{"x": x, "y": y}])]
    steps += [("touchMove", [{"x": x + across * n / 8.0, "y": y - up * n / 8.0}]) for n in range(1, 9)]
    for kind, points in [*steps, ("touchEnd", [])]:
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    finger.detach()


def saved(page: Page, act: Callable[[], None], where: str = "changes") -> None:
    with page.expect_response(f"**/{where}") as coming:
        act()
    assert coming.value.ok


def to(page: Page, title: str) -> None:
    """Tap a page of the job and wait until its numbers are in."""
    page.locator(".pages").get_by_role("link", name=title, exact=True).tap()
    expect(page.locator(".pages [aria-current]")).to_have_text(title)
    ready(page)


def ready(page: Page) -> None:
    expect(page.locator("#answer .waiting")).to_have_count(0)
    if LEFT:
        page.screenshot(path=Path(LEFT) / f"touch-{page.url.rpartition('/')[2]}.png")


def typed(page: Page, name: str, words: str) -> None:
    """Tap a box, unfolding its group first, type, and tap away."""
    box = page.locator(f'[name="{name}"]').first
    if not box.is_visible():
        page.locator("details", has=box).first.locator("> summary").tap()
    box.tap()
    box.fill(words)
    saved(page, lambda: page.locator("h1").tap())


@pytest.mark.behaviour(
    "every page by finger: six answers, fans off the shelf, fans and temperatures dragged, the packet"
)
def test_the_whole_job_by_finger(tablet: Page, tmp_path: Path) -> None:
    page = tablet
    page.goto("/")
    for key, words in (
        ("name", "tablet roadster"),
        ("engine", "5.0 L and 300 hp"),
        ("core", "26 in x 18 in x 2 1/4 in"),
    ):
        page.locator(f"#q-{key}").tap()
        page.keyboard.type(words)
    page.locator('[data-unknown="q-depth"]').tap()
    page.get_by_role("button", name="Begin").tap()
    page.wait_for_url("**/vehicle")
    ready(page)
    expect(page.locator(".hint")).to_contain_text("No fan is in this job yet")
    typed(page, "vehicle.mass", "3100 lb, measured")

    to(page, "Core")
    typed(page, "core.depth", "2 in")
    with page.expect_navigation():
        page.get_by_role("button", name="I measured these in hand: width, height, depth").tap()
    for name, words in (("width", "26 in"), ("height", "18 in"), ("depth", "2 in")):
        expect(page.locator(f'[name="core.{name}"]').first).to_have_value(f"{words}, measured")

    to(page, "Fans")
    page.locator("#choose-go").tap()
    card = page.locator(".card").first
    card.wait_for()
    with page.expect_navigation():
        card.locator("button").tap()
    ready(page)
    expect(page.locator(".hint")).to_have_count(0)
    fan = page.locator(".stage .fan").first
    fan.wait_for()
    expect(fan).to_be_in_viewport()
    saved(page, lambda: drag(page, fan, 12.0, 10.0))

    to(page, "Control")
    grip = page.locator(".trace .grip rect").first
    grip.wait_for()
    saved(page, lambda: drag(page, grip, 0.0, 14.0))

    for title in ("Heat", "Shroud", "Plumbing", "Wiring", "Cost", "Road test"):
        to(page, title)
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, title
    to(page, "Packet")
    with page.expect_download() as coming:
        page.get_by_role("link", name="Download the packet").tap()
    path = tmp_path / "packet.zip"
    coming.value.save_as(path)
    assert "packet.pdf" in zipfile.ZipFile(path).namelist()
