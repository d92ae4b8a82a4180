"""Numbers from the car into a job file."""

import csv
import datetime
import io
import re
from itertools import groupby
from pathlib import Path

import pytest

from shroudwright.bench.errors import InputError
from shroudwright.bench.units import KINDS
from shroudwright.job.files import parse_job, read_job
from shroudwright.job.filling import Entry, empty_form, fill, read_form, tried
from shroudwright.job.hoses import Hose, Plumbing
from shroudwright.job.model import Job
from shroudwright.job.priors import priors
from shroudwright.job.quantity import Reading
from shroudwright.job.sheet import boxes_of, holds, sheet_rows, word
from tests.jobs import SMALL

ROOT = Path(__file__).parent.parent
JOBS = [ROOT / "src/shroudwright/job/demo.job.toml", *sorted((ROOT / "examples").glob("*.job.toml"))]
DAY = datetime.date(2026, 1, 31)


@pytest.fixture
def small(tmp_path: Path) -> Path:
    path = tmp_path / "small.job.toml"
    path.write_text(SMALL, encoding="utf-8")
    return path


@pytest.mark.behaviour("boxes are numbered in the order of the pages, groups whole, the coolant's way last")
def test_rows() -> None:
    rows = sheet_rows()
    assert [row.number for row in rows] == list(range(1, len(rows) + 1))
    assert [group for group, _ in groupby(row.group for row in rows)] == list(dict.fromkeys(row.group for row in rows))
    sections = [name for name, _ in groupby(row.place.split(".")[0] for row in rows)]
    assert sections[-2:] == ["plumbing", "hoses"]
    assert sections[:-2] == [name for name in Job.model_fields if name in sections[:-2]]
    assert len({row.place for row in rows}) == len(rows)
    assert all(row.kind in KINDS or row.choices or row.place.endswith(".where") for row in rows)


@pytest.mark.behaviour("every number and word of the plumbing that is read at the car has its box")
def test_plumbing_is_on_it() -> None:
    places = {row.place for row in sheet_rows()}
    not_read = {"plumbing.own_tank", "plumbing.pump_price", "hoses.*.code"}
    not_read.add("plumbing.vents_rise")  # asked of each vent line
    for section, prefix in ((Plumbing, "plumbing."), (Hose, "hoses.*.")):
        assert {prefix + name for name in section.model_fields} - places <= not_read


@pytest.mark.behaviour("a sheet filled with the numbers of a job gives the same job")
@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.name)
def test_round_trip(path: Path, tmp_path: Path) -> None:
    job = read_job(path)
    before = {box.place: held for box in boxes_of(job) if (held := holds(job, box)) is not None}
    copy = tmp_path / path.name
    copy.write_bytes(path.read_bytes())
    typed = {place: re.sub(r", (measured|box|catalogue|guess)$", "", word(held)) for place, held in before.items()}
    again = fill(copy, [Entry(place, value, "") for place, value in typed.items()], "Ana", DAY)
    after = {box.place: held for box in boxes_of(again) if (held := holds(again, box)) is not None}
    assert _values(after) == _values(before)
    said = {box.place: box.row.standing for box in boxes_of(again)}
    assert all(held.standing == said[place] for place, held in after.items() if isinstance(held, Reading))
    assert again.measured[-1].places is not None
    in_hand = {place for place, held in before.items() if said[place] == "measured" or not isinstance(held, Reading)}
    assert set(again.measured[-1].places) == in_hand
    rest = again.model_dump(exclude={"measured"}), job.model_dump(exclude={"measured"})
    readings = {place: value for place, value in typed.items() if isinstance(before[place], Reading)}
    assert all(value in _held(rest[0], place) for place, value in readings.items())
    for place in readings:
        for one in rest:
            _blank(one, place)
    assert rest[0] == rest[1]


def _values(held: dict[str, Reading | str | bool]) -> dict[str, float | str | bool]:
    return {place: item.value if isinstance(item, Reading) else item for place, item in held.items()}


def _held(dumped: object, place: str) -> str:
    for step in place.split("."):
        dumped = dumped[int(step)] if step.isdigit() else dumped[step]  # type: ignore[index]
    return str(dumped)


def _blank(dumped: dict[str, object], place: str) -> None:
    held: object = dumped
    *above, last = place.split(".")
    if last.isdigit():  # a row of readings is a tuple: the whole list goes
        *above, last, _ = above
    for step in above:
        held = held[int(step)] if step.isdigit() else held[step]  # type: ignore[index]
    held[last] = None  # type: ignore[index]


@pytest.mark.behaviour("comments stay, a bare number takes the sheet's unit, a said standing stays as said")
def test_as_typed(small: Path) -> None:
    entries = [
        Entry("9", "24 1/2", "left tank bent"),
        Entry("16", "14"),
        Entry("fans.0.run_amps", "12 A, box"),
        Entry("78B", "15 in +- 1/16 in"),
    ]
    job = fill(small, entries, "Ana", DAY)
    text = small.read_text(encoding="utf-8")
    assert 'width = "24 1/2 in, measured"            # taped twice' in text
    assert "# dyno day" in text
    assert job.core.fins_left is not None
    assert job.core.fins_left.typed == "14 per_inch, measured"
    assert job.fans[0].run_amps is not None
    assert job.fans[0].run_amps.standing == "box"
    assert job.fans[1].frame_size is not None
    assert job.fans[1].frame_size.spread == pytest.approx(0.0254 / 16)
    (hand,) = job.measured
    assert (hand.measured_by, hand.measured_on) == ("Ana", DAY)
    assert hand.places == ("core.width", "core.fins_left", "fans.1.frame_size")
    assert hand.notes == ("core.width: left tank bent",)
    again = fill(small, [Entry("11", "2")], "Ana", DAY)
    assert len(again.measured) == 1
    assert len(fill(small, [Entry("11", "2")], "Bo", DAY).measured) == 2


@pytest.mark.behaviour("proposed spots count once a depth stands beside them, and move up to the rows there are")
def test_rows_of_lists(small: Path) -> None:
    form = list(csv.DictReader(io.StringIO(empty_form(read_job(small)).decode())))
    proposed = [Entry(row["box"], row["value"]) for row in form if row["value"]]
    assert len(proposed) == 9 * 2 + 4 + 11
    with pytest.raises(InputError, match="nothing is filled in"):
        fill(small, proposed, "Ana", DAY)
    job = fill(small, [Entry("37e", "3 1/4"), Entry("37i", "4"), Entry("34c", "1/2")], "Ana", DAY)
    assert [(spot.x.typed, spot.y.typed) for spot in job.space.depth_map if spot.x and spot.y] == [
        ("12 1/4 in, measured", "8 1/2 in, measured"),
        ("20 1/2 in, measured", "2 3/4 in, measured"),
    ]
    assert [gap.side for gap in job.stack_gaps] == ["top"]
    assert job.measured[0].places is not None
    assert {"space.depth_map.1.depth", "stack_gaps.0.width"} <= set(job.measured[0].places)
    assert len([box for box in boxes_of(job) if box.row.number == 37]) == 9


@pytest.mark.behaviour("the same entries again change nothing, and letters stay with their spot and side")
def test_again(small: Path) -> None:
    entries = [Entry("37e", "3 1/4"), Entry("34c", "1/2"), Entry("44a", "22"), Entry("45a", "15"), Entry("46a", "1.5")]
    fill(small, entries, "Ana", DAY)
    once = small.read_bytes()
    fill(small, entries, "Ana", DAY)
    assert small.read_bytes() == once
    job = fill(small, [Entry("37a", "4"), Entry("34b", "1/4")], "Ana", DAY)
    letters = {box.letter: holds(job, box) for box in boxes_of(job) if box.row.number == 37}
    assert {letter: held.typed for letter, held in letters.items() if isinstance(held, Reading)} == {
        "a": "4 in, measured",
        "e": "3 1/4 in, measured",
    }
    assert [gap.side for gap in job.stack_gaps] == ["top", "right"]
    with pytest.raises(InputError, match="box '46c': there is none"):
        fill(small, [Entry("46c", "1.5")], "Ana", DAY)


@pytest.mark.behaviour("a depth without a place, outside the core or second in its ninth comes after the nine")
def test_other_spots() -> None:
    rows = """
[space]
depth_map = [
    { depth = "5 in" },
    { x = "12 in", y = "8 in", depth = "3 in" },
    { x = "12 in", y = "9 in", depth = "4 in" },
    { x = "-1 in", y = "8 in", depth = "6 in" },
]
"""
    job = parse_job((SMALL + rows).encode(), "x")
    found = {box.letter: holds(job, box) for box in boxes_of(job) if box.row.number == 37}
    typed = {letter: held.typed for letter, held in found.items() if isinstance(held, Reading)}
    assert typed == {"e": "3 in", "j": "5 in", "k": "4 in", "l": "6 in"}
    assert len(found) == 12


@pytest.mark.behaviour("hoses take the ways proposed; words and yes or no; both main hoses take the guesses' place")
def test_hoses(small: Path) -> None:
    small.write_text(SMALL + '\n[circuit]\nhose_bore = "1.5 in"\nthermostat_place = "outlet"\n', encoding="utf-8")
    entries = [Entry("133b", "1 3/4"), Entry("138b", "YES"), Entry("8", "Outlet tank"), Entry("116", "no", "none seen")]
    job = fill(small, [*entries, Entry("135l", "1"), Entry("132l", "core to engine")], "Ana", DAY)
    assert [(hose.way, hose.spring) for hose in job.hoses] == [("core to engine", True), ("core to engine", None)]
    assert (job.plumbing.cap_place, job.plumbing.engine_vent) == ("outlet tank", False)
    assert job.circuit.hose_bore is not None
    assert {"hoses.0.bore", "hoses.0.spring", "plumbing.engine_vent"} <= set(job.measured[0].places or ())
    once = small.read_bytes()
    fill(small, [*entries, Entry("135l", "1")], "Ana", DAY)
    assert small.read_bytes() == once
    job = fill(small, [Entry("134a", "24")], "Ana", DAY)
    assert (job.circuit.hose_bore, job.circuit.thermostat_place) == (None, "outlet")
    with pytest.raises(InputError) as caught:
        fill(small, [Entry("116", "maybe"), Entry("121", "opn")], "Ana", DAY)
    assert [line.split(",")[0] for line in caught.value.faults] == ["box 116", "box 121"]
    assert "yes nor no" in caught.value.faults[0]
    assert "did you mean open" in caught.value.faults[1]
    boxes = {box.name: box for box in boxes_of(parse_job(SMALL.encode(), "x"))}
    assert tried(SMALL.encode(), boxes["133k"], "3/8") == ""
    assert "outside" in tried(SMALL.encode(), boxes["37i"], "3 mi")


@pytest.mark.behaviour("necks go in from the first")
def test_necks(small: Path) -> None:
    with pytest.raises(InputError, match="fill in the neck of row a first"):
        fill(small, [Entry("44b", "22"), Entry("45b", "15"), Entry("46b", "1.5")], "Ana", DAY)


@pytest.mark.behaviour("every fault with its box, and the file as it was")
def test_faults(small: Path) -> None:
    before = small.read_bytes()
    with pytest.raises(InputError) as caught:
        fill(small, [Entry("11", "22"), Entry("10", "17 in, bent"), Entry("19", "20")], "Ana", DAY)
    lines = sorted(caught.value.faults)
    assert [line.split(",")[0] for line in lines] == ["box 10", "box 11", "box 19"]
    for entries, words in (
        ([Entry("fans.0.framesize", "14")], "did you mean fans.0.frame_size?"),
        ([Entry("11", "2"), Entry("core.depth", "3")], "filled twice, 2 and 3"),
        ([Entry("22", "50")], "square they have 29.82 in"),
    ):
        with pytest.raises(InputError, match=re.escape(words)):
            fill(small, entries, "Ana", DAY)
    with pytest.raises(InputError, match="who measured"):
        fill(small, [Entry("11", "2")], " ", DAY)
    assert small.read_bytes() == before
    boxes = {box.name: box for box in boxes_of(read_job(small))}
    assert tried(before, boxes["11"], "22").startswith("22 in, measured is outside")
    assert tried(before, boxes["11"], "2 1/4") == ""


@pytest.mark.behaviour("the form goes out empty and comes back filled")
def test_form(small: Path, tmp_path: Path) -> None:
    text = empty_form(read_job(small)).decode()
    filled = text.replace("measured_by,who held the tape,,,", "measured_by,who held the tape,,Ana,")
    filled = filled.replace('"fins deep, front to back","2 in, measured",,', '"fins deep, front to back",,2 1/4,wet')
    path = tmp_path / "form.csv"
    path.write_text(filled, encoding="utf-8-sig")
    form = read_form(path)
    assert form.measured_by == "Ana"
    assert Entry("11", "2 1/4", "wet") in form.entries
    path.write_text("a,b\n1,2\n", encoding="utf-8")
    with pytest.raises(InputError, match="needs a first row of heads"):
        read_form(path)


@pytest.mark.by_hand("three counts' mean; pitch less tube; 5 % + 25 % x (12 in2 / 416.5 in2) / 10 %")
def test_what_they_replace(small: Path) -> None:
    entries = [Entry("16", "12"), Entry("17", "14"), Entry("18", "15"), Entry("14", "2 mm"), Entry("15", "10 mm")]
    known = priors(fill(small, [*entries, Entry("34c", "1/2"), Entry("33c", "24"), Entry("31c", "top")], "A", DAY))
    assert known["core.fins"].median * 0.0254 == pytest.approx(41.0 / 3.0)
    assert known["core.fin_height"].median == pytest.approx(0.008)
    assert known["opening.recirculation"].median == pytest.approx(0.05 + 0.25 * (12.0 / 416.5) / 0.10)
    assert priors(parse_job(SMALL.encode(), "x"))["opening.recirculation"].median == 0.06
