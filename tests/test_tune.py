"""Searching settings over simulated drives."""

import json
from pathlib import Path

import pytest

from shroudwright.bench.errors import InputError
from shroudwright.doors.driving import run_tune
from shroudwright.job.files import parse_job
from shroudwright.job.schedules import read_route
from shroudwright.tune import TuneAnswer, tune
from tests.jobs import SMALL

STOPS = read_route("time_s,speed_mph\n0,0\n300,0\n310,30\n420,30\n430,0\n900,0\n", "stops")


@pytest.fixture(scope="module")
def found() -> dict[str, TuneAnswer]:
    job = parse_job(SMALL.encode(), "small.job.toml")
    return {aim: tune(job, [STOPS], aim, draws=2) for aim in ("quiet", "starts")}  # type: ignore[arg-type]


@pytest.mark.law("what is found costs no more drives than what stands and is no worse by its own aim")
def test_no_worse(found: dict[str, TuneAnswer]) -> None:
    for aim, answer in found.items():
        assert answer.tried > 5
        assert answer.found.lost <= answer.as_is.lost
        assert answer.found.least_cycle is None or answer.found.least_cycle >= 60.0
        by = "sound" if aim == "quiet" else "starts_per_hour"
        if answer.found.lost == answer.as_is.lost:
            assert getattr(answer.found, by) <= getattr(answer.as_is, by) + 0.05
    quiet, starts = found["quiet"].found, found["starts"].found
    assert quiet.sound <= starts.sound + 0.05
    assert starts.starts_per_hour <= quiet.starts_per_hour + 0.05


@pytest.mark.law("the lines it prints, typed into the job, are what stands when it is tuned again")
def test_typed_back(found: dict[str, TuneAnswer]) -> None:
    answer = found["starts"]
    lines = "\n".join(f'{name} = "{text}"' for name, text in answer.found.settings.items())
    job = parse_job(f"{SMALL}\n[control]\n{lines}\n".encode(), "small.job.toml")
    again = tune(job, [STOPS], "starts", draws=2)
    assert again.as_is.starts_per_hour == pytest.approx(answer.found.starts_per_hour)
    assert again.as_is.sound == pytest.approx(answer.found.sound)
    assert again.as_is.lost == answer.found.lost


@pytest.mark.behaviour(
    "it says what it tried, what it found and what stands; JSON has the same; a wrong aim is refused"
)
def test_words(found: dict[str, TuneAnswer], tmp_path: Path) -> None:
    answer = found["quiet"]
    said = " ".join(answer.says)
    assert f"{answer.tried} settings tried" in said
    assert "dB under all fans full" in said
    assert "with every fan always on" in said
    assert json.loads(answer.to_json())["aim"] == "quiet"
    with pytest.raises(InputError, match="type quiet or starts"):
        run_tune(tmp_path / "none.toml", [], "loud", as_json=False)
