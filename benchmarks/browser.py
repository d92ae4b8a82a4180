"""The pages in a real browser: how far a dragged fan lags behind, how soon its numbers come, how soon a page shows.

browser_rows    rows for the benchmarks
"""

import tempfile
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from playwright.sync_api import Page, sync_playwright

from tests.needed import needed
from tests.serving import a_process, free_port

MOVES, SLOWER, RELEASES = 240, 4, 24
PATIENCE = 300_000.0
_UP, _LEFT, _RIGHT = (0, -1), (-1, 0), (1, 0)
_NUMBERS = ".stage-numbers"


class _Held(NamedTuple):
    """What is dragged, and how the page tells of it."""

    name: str
    page: str
    what: str
    way: tuple[int, int]
    told: str
    settled: str
    near: float
    """What its steps leave between hand and thing, pixels"""
    ends: float = 0.75
    """Where on its way there and back it is let go"""


_FAN = _Held("fan", "fans", ".stage .fan + .fan", _LEFT, _NUMBERS, ".lead .number", 1.5, 1.0)
_NECK = _Held("hose neck", "fans", ".stage .thing.necks", _LEFT, ".stage-gaps", _NUMBERS, 1.5)
_DEPTH = _Held("slider", "shroud", ".slider input", _RIGHT, _NUMBERS, ".shape-all .stage-says", 2.5)
_TEMPERATURE = _Held("temperature", "control", ".trace .grip", _UP, _NUMBERS, ".trace .spread", 4.5)
_DRAG = """async ({what, way, told, settled, near, ends, moves}) => {
  const held = document.querySelector(what), slides = held.type === 'range';
  const middle = () => {
    const {x, y, width, height} = held.getBoundingClientRect();
    const along = slides ? width * (held.value - held.min) / (held.max - held.min) : 0;
    return [x + along + (slides ? 0 : width / 2), y + height / 2];
  };
  const [x, y] = middle();
  const places = [], lags = [];
  let updates = 0;
  const watch = new MutationObserver(() => updates++);
  watch.observe(document.querySelector(told), {childList: true});
  const point = (kind, off) => held.dispatchEvent(new PointerEvent(kind, {pointerId: 1, clientX: x + off * way[0],
    clientY: y + off * way[1], bubbles: true, isPrimary: true, pointerType: 'touch'}));
  const slide = (kind, off) => {
    if (kind === 'pointerdown') held.focus();
    if (kind !== 'pointermove') point(kind, off);
    if (kind === 'pointerup') held.dispatchEvent(new Event('change'));
    if (kind !== 'pointermove') return;
    const {min, max, offsetWidth} = held;
    held.value = +min + (max - min) * (x + off * way[0] - held.getBoundingClientRect().x) / offsetWidth;
    held.dispatchEvent(new Event('input'));
  };
  const to = slides ? slide : point;
  held.setPointerCapture = () => {};
  to('pointerdown', 0);
  const start = performance.now();
  let going = true;
  const look = () => {
    const [u, v] = middle(), now = performance.now();
    const off = (u - x) * way[0] + (v - y) * way[1];
    const seen = places.filter(([, place]) => Math.abs(place - off) <= near).map(([when]) => when);
    if (seen.length) lags.push(now - Math.max(...seen));
    if (going) requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
  for (let n = 1; n <= moves; n++) {
    await new Promise((next) => setTimeout(next, Math.max(0, start + n * 1000 / 60 - performance.now())));
    const off = 40 * Math.sin(ends * Math.PI * n / moves);
    places.push([performance.now(), off]);
    to('pointermove', off);
  }
  going = false;
  const seconds = (performance.now() - start) / 1000;
  const last = document.querySelector(settled);
  const come = new Promise((next, never) => {
    new MutationObserver(() => {
      if (/\\d/.test(last.textContent || last.getAttribute('d'))) next(performance.now());
    }).observe(last, {childList: true, characterData: true, subtree: true, attributes: true});
    const words = document.querySelector('.picture').innerText;
    setTimeout(() => never(new Error(`${settled} did not settle: ${words}`)), 60000);
  });
  const let_go = performance.now();
  to('pointerup', 0);
  const came = await come;
  watch.disconnect();
  return {lags, updates: updates / seconds, release: came - let_go};
}"""
"""Something is dragged there and back along a way; numbers are told as it goes, and others settle once it is let go."""

_UNSAVED = """() => {
  const real = window.fetch;
  const refused = () => new Response(JSON.stringify({faults: ['not now']}), {status: 422});
  const never = new Promise(() => {});
  window.fetch = (url, about) => String(url).endsWith('/changes') ? Promise.resolve(refused())
    : String(url).endsWith('/answer') || String(url) === location.pathname ? never : real(url, about);
}"""
"""No assessment runs beside a drag or sets the page anew under it; what stands round fans is saved all the same."""

_PAINTED = """async () => {
  for (;;) {
    const [painted] = performance.getEntriesByName('first-contentful-paint');
    if (painted) return painted.startTime;
    await new Promise((next) => setTimeout(next, 10));
  }
}"""


def browser_rows() -> list[dict[str, Any]]:
    """Time drags at 60 moves a second, of fans with the browser's processor slowed too, and a page's first paint."""
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
        rows = [
            _paint(page, f"{job}/vehicle"),
            *_drag(page, job, _FAN, "drag", "release"),
            *_drag(page, job, _FAN, f"drag_{SLOWER}x", f"release_{SLOWER}x", SLOWER),
            *_drag(page, job, _DEPTH, "slider", "slider_release"),
            *_drag(page, job, _TEMPERATURE, "trace", "trace_release"),
            *_drag(page, job, _NECK, "handle", "handle_release"),
        ]
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


def _drag(page: Page, job: str, held: _Held, lag: str, let_go: str, slower: int = 1) -> list[dict[str, Any]]:
    page.goto(f"{job}/{held.page}")
    page.locator(held.told).first.wait_for()
    if held is _NECK:
        page.get_by_role("button", name="Add a hose neck").click()
    page.locator(held.what).first.wait_for()
    page.locator(".lead .number").wait_for()
    page.evaluate(_UNSAVED)
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})

    def drag(moves: int, side: int) -> Any:
        way = [side * step for step in held.way]
        return page.evaluate(_DRAG, held._asdict() | {"way": way, "moves": moves})

    drag(30, -1)
    told = drag(MOVES, 1)
    lags = told["lags"]
    middle, late = np.quantile(lags, (0.5, 0.95))
    often = f"{told['updates']:.0f} answers/s"
    work = f"lag of the dragged {held.name}, p95 of {len(lags)} frames (p50 {middle:.0f} ms), {often}"
    releases = [told["release"], *(drag(10, 1 if turn % 2 else -1)["release"] for turn in range(RELEASES))]
    middle, last = np.quantile(releases, (0.5, 0.95))
    settled = f"from letting go of it to the settled numbers, p95 of {len(releases)} (p50 {middle:.0f} ms)"
    return [_row(f"page_{lag}", float(late), work), _row(f"page_{let_go}", float(last), settled)]
