"""The pages in a real browser: how far a dragged fan lags behind, how soon its numbers come, how soon a page shows.

browser_rows    rows for the benchmarks
"""

import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from playwright.sync_api import Page, sync_playwright

from tests.needed import needed
from tests.serving import a_process, free_port

MOVES, SLOWER, RELEASES = 240, 4, 24
PATIENCE = 300_000.0
_DRAG = """async (moves) => {
  const fan = document.querySelectorAll('.stage .fan')[1];
  const box = fan.getBoundingClientRect();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const told = document.querySelector('.stage-numbers');
  const places = [], lags = [];
  let updates = 0, shown = 0;
  const watch = new MutationObserver(() => { updates++; shown = performance.now(); });
  watch.observe(told, {childList: true});
  const to = (kind, dx) => fan.dispatchEvent(new PointerEvent(kind,
    {pointerId: 1, clientX: x + dx, clientY: y, bubbles: true, isPrimary: true, pointerType: 'touch'}));
  fan.setPointerCapture = () => {};
  to('pointerdown', 0);
  const start = performance.now();
  let going = true;
  const look = () => {
    const drawn = fan.getBoundingClientRect();
    const at = drawn.x + drawn.width / 2;
    const now = performance.now();
    const near = places.filter(([, spot]) => Math.abs(spot - at) <= 1.5).map(([when]) => when);
    if (near.length) lags.push(now - Math.max(...near));
    if (going) requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
  for (let n = 1; n <= moves; n++) {
    await new Promise((next) => setTimeout(next, Math.max(0, start + n * 1000 / 60 - performance.now())));
    const dx = -40 * Math.sin(Math.PI * n / moves);
    places.push([performance.now(), x + dx]);
    to('pointermove', dx);
  }
  going = false;
  const seconds = (performance.now() - start) / 1000;
  const lead = document.querySelector('.lead .number');
  const settled = new Promise((next) => new MutationObserver(() => next(performance.now())).observe(lead,
    {childList: true, characterData: true, subtree: true}));
  const let_go = performance.now();
  to('pointerup', 0);
  const came = await settled;
  return {lags, updates: updates / seconds, release: came - let_go};
}"""

_UNSAVED = """() => {
  const real = window.fetch;
  const refused = () => new Response(JSON.stringify({faults: ['not now']}), {status: 422});
  window.fetch = (url, about) => String(url).endsWith('/changes') ? Promise.resolve(refused()) : real(url, about);
}"""
"""Nothing is saved: no assessment runs beside a drag, and none sets the page anew under it."""

_PAINTED = """async () => {
  for (;;) {
    const [painted] = performance.getEntriesByName('first-contentful-paint');
    if (painted) return painted.startTime;
    await new Promise((next) => setTimeout(next, 10));
  }
}"""


def browser_rows() -> list[dict[str, Any]]:
    """Time a drag at 60 moves a second, plain and with the browser's processor slowed, and a page's first paint."""
    port = free_port()
    with (
        tempfile.TemporaryDirectory() as folder,
        a_process(port, Path(folder) / "shop.db"),
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=needed("chromium"), args=["--no-sandbox"])
        page = browser.new_page(base_url=f"http://127.0.0.1:{port}", viewport={"width": 1366, "height": 800})
        page.set_default_timeout(PATIENCE)
        page.goto("/")
        page.get_by_role("button", name="Open the demo").click()
        page.wait_for_url("**/vehicle")
        job = page.url.removesuffix("/vehicle")
        page.locator("#answer .waiting").wait_for(state="detached")
        rows = [_paint(page, f"{job}/vehicle"), *_drag(page, f"{job}/fans", 1), *_drag(page, f"{job}/fans", SLOWER)]
        browser.close()
    return rows


def _row(name: str, milliseconds: float, work: str) -> dict[str, Any]:
    return {
        "name": name,
        "value": 1e-3 * milliseconds,
        "unit": "s",
        "ratio": None,
        "against": work,
        "agreement": None,
    }


def _paint(page: Page, address: str) -> dict[str, Any]:
    times = []
    for _ in range(5):
        page.goto(address)
        times.append(page.evaluate(_PAINTED))
    return _row("page_paint", float(np.median(times)), "first paint of a page whose answer is in, middle of 5")


def _drag(page: Page, address: str, slower: int) -> list[dict[str, Any]]:
    page.goto(address)
    page.locator(".stage .fan").first.wait_for()
    page.evaluate(_UNSAVED)
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
    page.evaluate(_DRAG, 30)
    told = page.evaluate(_DRAG, MOVES)
    lags = told["lags"]
    name = "page_drag" if slower == 1 else f"page_drag_{slower}x"
    middle, late = np.quantile(lags, (0.5, 0.95))
    work = f"lag of the dragged fan, p95 of {len(lags)} frames (p50 {middle:.0f} ms), {told['updates']:.0f} answers/s"
    let_go = [told["release"], *(page.evaluate(_DRAG, 10)["release"] for _ in range(RELEASES))]
    middle, last = np.quantile(let_go, (0.5, 0.95))
    settled = f"from letting go to the settled numbers, p95 of {len(let_go)} (p50 {middle:.0f} ms)"
    return [_row(name, float(late), work), _row(name.replace("drag", "release"), float(last), settled)]
