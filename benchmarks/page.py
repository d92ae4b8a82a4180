"""What a page asks while a finger drags, beside a whole assessment of the same job in the same run."""

import tempfile
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from importlib.resources import files
from pathlib import Path
from typing import Any

import httpx
import numpy as np

from shroudwright.assess import assess, assess_and_plan
from shroudwright.drives import drive, ready_for
from shroudwright.job.files import parse_job
from shroudwright.job.model import Job
from shroudwright.job.quantity import Reading
from shroudwright.job.schedules import route
from shroudwright.live.desk import Live, prepare
from shroudwright.live.moves import Place
from shroudwright.live.redrive import LiveDrive
from tests.serving import a_process, free_port

EXAMPLES = Path(__file__).parent.parent / "examples"
FRAMES, SETTLES, STEP = 240, 24, 0.0005
CITY = "city"
FIRST_CLIENTS, MORE_CLIENTS, MOST_EACH = 10, 30, 0.2
"""Clients before the memory is read, after it, and what each may cost, [MB]"""


def job_of(name: str) -> Job:
    """The demo, or an example."""
    if name == "demo":
        data = files("shroudwright.job").joinpath("demo.job.toml").read_bytes()
    else:
        data = (EXAMPLES / f"{name}.job.toml").read_bytes()
    return parse_job(data, name)


def dragged(live: Live, frame: int) -> list[Place]:
    """The last fan, up and down in steps of half a millimetre a frame, 20 mm either way."""
    off = STEP * (abs((frame + 40) % 160 - 80) - 40)
    *others, last = live.places
    return [*others, Place(last.x, last.y + off)]


def times(work: Callable[[int], object], count: int) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]:
    """Wall and processor time of each of so many, s."""
    wall, busy = np.empty(count), np.empty(count)
    for k in range(count):
        wall[k], busy[k] = -time.perf_counter(), -time.process_time()
        work(k)
        wall[k] += time.perf_counter()
        busy[k] += time.process_time()
    return wall, busy


def typed(job: Job, places: Sequence[Place]) -> Job:
    """The job with fans typed elsewhere."""

    def reading(value: float) -> Reading:
        return Reading(f"{value} m", value, "measured", None, "length")

    there = tuple(
        fan.model_copy(update={"x": reading(place.x), "y": reading(place.y)})
        for fan, place in zip(job.fans, places, strict=True)
    )
    return job.model_copy(update={"fans": there})


def apart(names: Sequence[str]) -> str:
    """How far settled answers are from whole assessments of jobs so typed, at 2000 draws."""
    chance = coolant = quick_off = 0.0
    for name in names:
        job = job_of(name)
        live = prepare(job)
        places = dragged(live, 20)
        answer = assess(typed(job, places))
        told = next(case for case in answer.cases if case.name == live.case)
        found, now = live.settle(places).cases[0], live.quick(places)
        assert found.coolant_unregulated is not None
        assert found.coolant_at_medians is not None
        assert told.coolant_unregulated is not None
        assert now.coolant_unregulated is not None
        chance = max(chance, abs(found.chance_of_holding - told.chance_of_holding))
        coolant = max(coolant, abs(found.coolant_unregulated.value - told.coolant_unregulated.value))
        quick_off = max(quick_off, abs(now.coolant_unregulated - found.coolant_at_medians))
    return (
        f"{', '.join(names)}: chance {chance:.4f}, middle {coolant:.1e} K; quick against the medians' {quick_off:.2f} K"
    )


def client_memory() -> dict[str, Any]:
    """What one more client costs the server, which keeps nothing for it: resident memory over clients that stay."""
    port = free_port()
    where = f"http://127.0.0.1:{port}"
    with ExitStack() as held:
        folder = held.enter_context(tempfile.TemporaryDirectory())
        process = held.enter_context(a_process(port, Path(folder) / "shop.db"))

        def resident() -> float:
            told = Path(f"/proc/{process.pid}/status").read_text(encoding="utf-8")
            return float(told.partition("VmRSS:")[2].split()[0]) / 1024.0

        def one_more() -> None:
            client = held.enter_context(httpx.Client(base_url=where, timeout=300.0))
            for address in (
                "/static/main.js",
                "/static/app.css",
                "/jobs/1/fans",
                "/jobs/1/fans/answer",
                "/jobs/1/cost",
            ):
                client.get(address).raise_for_status()
            places = [fan["place"] for fan in client.get("/api/jobs/1/stage").json()["fans"]]
            for _ in range(20):
                client.post("/api/jobs/1/stage/quick", json={"places": places}).raise_for_status()

        httpx.post(f"{where}/jobs", data={"how": "demo"})
        for _ in range(FIRST_CLIENTS):
            one_more()
        before = resident()
        for _ in range(MORE_CLIENTS):
            one_more()
        each = (resident() - before) / MORE_CLIENTS
    work = f"of the server for each of {MORE_CLIENTS} more clients, {before:.0f} MB before; at most {MOST_EACH} MB"
    return {
        "name": "page_client_memory",
        "value": each,
        "unit": "MB",
        "ratio": None,
        "against": work,
        "agreement": None,
    }


def page_rows() -> list[dict[str, Any]]:
    """Time a frame, a settled answer and a drive run again."""
    job = job_of("demo")
    answer, plan = assess_and_plan(job)
    whole = float(np.median(times(lambda _: assess(job), 2)[0]))
    live = prepare(job, governing=answer.governing_case)
    for frame in range(3):
        live.quick(dragged(live, frame))
        live.settle(dragged(live, frame))
    found = apart(["demo", "hot-rod-tight-bay", "track-car"])
    drag, drag_busy = times(lambda k: live.quick(dragged(live, k)), FRAMES)
    let_go, let_go_busy = times(lambda k: live.settle(dragged(live, 7 * k + 3)), SETTLES)

    desk, city = LiveDrive(ready_for(job, answer, plan, draws=2)), route(CITY)
    same = desk.run(city)
    again, again_busy = times(lambda k: desk.run(city, fan_on=desk.ready.controls.on_1 + 0.05 * k), 40)
    slow, _ = times(lambda _: drive(job, [city], draws=2), 1)
    driven = drive(job, [city], draws=2)[0].drives[0]

    def told(name: str, wall: Any, busy: Any, against: float, work: str, agreement: str) -> dict[str, Any]:
        p50, p95 = (1e3 * np.quantile(busy, share) for share in (0.5, 0.95))
        return {
            "name": name,
            "value": float(np.quantile(wall, 0.95)),
            "unit": "s",
            "ratio": against / float(np.median(wall)),
            "against": f"{work}; p95, ratio by the median; of the processors p50 {p50:.1f}, p95 {p95:.1f} ms",
            "agreement": agreement,
        }

    return [
        client_memory(),
        told("page_quick", drag, drag_busy, whole, "a frame of a fan dragged, demo; a whole assessment", found),
        told("page_settle", let_go, let_go_busy, whole, "a fan let go, demo, 2000 draws; a whole assessment", found),
        told(
            "page_drive",
            again,
            again_busy,
            float(slow[0]),
            f"{CITY} route run again, demo; a whole drive at 2 draws",
            f"peak {abs(same.peak - driven.peak.value):.1e} K",
        ),
    ]
