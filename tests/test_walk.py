"""From an empty job and a sheet filled under a car to a packet, by the commands alone: two invented cars."""

import sys
from functools import cache
from pathlib import Path

import pytest

from shroudwright.assess import assess_and_plan
from shroudwright.assessment import Assessment
from shroudwright.doors.cli import main
from shroudwright.job.files import read_job
from shroudwright.job.filling import read_form
from shroudwright.job.in_hand import filled_at_medians, unmeasured
from shroudwright.job.sheet import boxes_of, holds
from shroudwright.packet.bench import bench_blocks
from shroudwright.packet.plumbing import plumbing_pages
from shroudwright.plan import Plan
from shroudwright.speech import SHOPS

FORMS = Path(__file__).parent / "forms"
CARS = {"roadster": "in", "wagon": "mm"}


@pytest.fixture(scope="module")
def garage(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Both cars' jobs, as `new` and `measure --fill` leave them."""
    folder = tmp_path_factory.mktemp("garage")
    with pytest.MonkeyPatch.context() as patch:
        for car, units in CARS.items():
            job = str(folder / f"{car}.job.toml")
            for words in (
                ["new", job, "--units", units],
                ["measure", job, "-o", str(folder / car)],
                ["measure", job, "--fill", str(FORMS / f"{car}.csv")],
            ):
                patch.setattr(sys, "argv", ["shroudwright", *words])
                with pytest.raises(SystemExit) as stop:
                    main()
                assert not stop.value.code
    return folder


@cache
def answered(path: Path) -> tuple[Assessment, Plan]:
    return assess_and_plan(read_job(path), draws=16)


@pytest.mark.behaviour("what was filled in stands in the job, signed; nothing metal needs is left")
@pytest.mark.parametrize("car", CARS)
def test_filled(garage: Path, car: str) -> None:
    job, form = read_job(garage / f"{car}.job.toml"), read_form(FORMS / f"{car}.csv")
    boxes = {name: box for box in boxes_of(job) for name in (box.name, box.place)}
    assert all(holds(job, boxes[entry.box]) is not None for entry in form.entries)
    (hand,) = job.measured
    assert (hand.measured_by, str(hand.measured_on)) == (form.measured_by, form.measured_on)
    assert hand.notes is not None
    assert len(hand.notes) == sum(bool(entry.note) for entry in form.entries)
    assert unmeasured(filled_at_medians(job)) == {}


@pytest.mark.behaviour("no trial and no stop; what is wrong under the car is found, what is sound is not")
@pytest.mark.parametrize(
    ("car", "wrong"), [("roadster", {"K09", "K10", "K13", "K18", "F11"}), ("wagon", set())], ids=list(CARS)
)
def test_answered(garage: Path, car: str, wrong: set[str]) -> None:
    answer, plan = answered(garage / f"{car}.job.toml")
    assert not plan.is_trial
    found = {finding.code: finding.level for finding in answer.findings}
    assert "stop" not in found.values()
    assert {code for code in found if code[0] in "KF"} == wrong
    assert (plan.pump_circuit is not None) == (car == "wagon")


@pytest.mark.behaviour("a number the papers call a guess has no box on the sheet, or its box was left blank")
@pytest.mark.parametrize("car", CARS)
def test_not_asked(garage: Path, car: str) -> None:
    answer, _ = answered(garage / f"{car}.job.toml")
    boxes = {box.place: box.name for box in boxes_of(read_job(garage / f"{car}.job.toml"))}
    filled = {entry.box for entry in read_form(FORMS / f"{car}.csv").entries}
    asked = {guess.field for guess in answer.guesses} & boxes.keys()
    assert not {place for place in asked if {place, boxes[place]} & filled}
    assert asked <= {"core.tube_width", "core.tube_thickness"}


@pytest.mark.behaviour("the packet's pages hold what was read under the car")
def test_packet(garage: Path) -> None:
    answer, plan = answered(garage / "roadster.job.toml")
    words = str([*plumbing_pages("in", plan), *bench_blocks(answer, plan, SHOPS["in"])])
    for wanted in (
        "3/16 in to the right",
        "NO SPRING",
        "45°",
        "the core stands nearest, 1 in under it. It clears.",
    ):
        assert wanted in words
