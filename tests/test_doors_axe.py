"""Whether everybody can use the pages: axe-core in a real browser."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal

import pytest
from playwright.sync_api import Page, expect, sync_playwright

from shroudwright.doors.web.sheets import SHEETS
from tests.needed import needed
from tests.serving import served

AXE = Path(__file__).parent / "page" / "node_modules" / "axe-core" / "axe.min.js"
WIDTHS = (390, 820, 1366)
WHOLE = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
RULES: dict[Literal["light", "dark"], list[str]] = {"light": WHOLE, "dark": ["color-contrast"]}
"""Nothing but colours differs in the dark"""
FOLLOWING = {"fans": ".stage", "shroud": ".shape-all", "control": ".trace"}
"""Pictures that follow a finger, which come after the answer"""
PATIENCE = 60_000.0


@pytest.fixture
def page(tmp_path: Path) -> Iterator[Page]:
    with served(tmp_path) as where, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=needed("chromium"), args=["--no-sandbox"])
        opened = browser.new_page(base_url=where)
        opened.set_default_timeout(PATIENCE)
        expect.set_options(timeout=PATIENCE)
        yield opened
        browser.close()


@pytest.mark.behaviour("axe finds nothing against WCAG 2.2 A and AA on any page, light and dark, at three widths")
def test_everybody_can_use_it(page: Page) -> None:
    assert AXE.exists(), "npm ci in tests/page brings axe-core"
    page.add_init_script(AXE.read_text(encoding="utf-8"))
    page.goto("/")
    page.get_by_role("button", name="Open the demo").click()
    page.wait_for_url("**/vehicle")
    job, found = page.url.removesuffix("/vehicle"), []
    pages = [f"{job}/{sheet.slug}" for sheet in SHEETS]
    for address in [
        "/",
        f"/shelf?job={job.rpartition('/')[2]}",
        "/shelf/fan",
        "/math",
        "/math/bend_allowance",
        f"{job}/history",
        *pages,
    ]:
        page.goto(address)
        name = address.rpartition("/")[2]
        if address in pages:
            expect(page.locator("#answer .waiting")).to_have_count(0)
        if name in FOLLOWING:
            page.locator(FOLLOWING[name]).wait_for()
        for scheme, rules in RULES.items():
            page.emulate_media(color_scheme=scheme)
            for width in WIDTHS:
                page.set_viewport_size({"width": width, "height": 900})
                asked = {"runOnly": rules, "resultTypes": ["violations"]}
                told: Any = page.evaluate("asked => axe.run(document, asked)", asked)
                found += [(name, scheme, width, one["id"], one["nodes"][0]["html"][:160]) for one in told["violations"]]
                wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
                if wide > 0:
                    found.append((address, scheme, width, "runs out of the page", str(wide)))
    assert found == []
