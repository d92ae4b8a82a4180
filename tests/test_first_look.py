"""Ten lines asked before any part is named, and what is said of them above the verdict."""

import io
import json
from importlib.resources import files
from typing import get_args

import pytest
from pypdf import PdfReader
from rich.console import Console

from shroudwright.assess import assess
from shroudwright.assessment import WORDS, Assessment
from shroudwright.bench.errors import InputError
from shroudwright.bench.sources import SOURCES
from shroudwright.doors.say import say_assessment
from shroudwright.first_look import fix_first
from shroudwright.job.files import parse_job
from shroudwright.job.first_look import Complaint, FirstLook, lines
from shroudwright.job.model import Job
from shroudwright.packet import Plan
from shroudwright.packet.pdf import packet_pdf
from tests.jobs import SMALL
from tests.packets import an_answer

COMPLAINTS = [complaint for complaint in get_args(Complaint) if complaint != "none"]
TITLE = "Fix this first, then come back:"
BACKWARDS = next(line.question for line in lines() if line.field == "fan_direction")
QUESTIONS = {line.question: line.field for line in lines()}


def job(**answers: str) -> Job:
    section = "".join(f'{field} = "{answer}"\n' for field, answer in answers.items())
    return parse_job(f"{SMALL}\n[first_look]\n{section}".encode(), "small.job.toml")


def all_yes(**answers: str) -> dict[str, str]:
    return {line.field: "yes" for line in lines()} | answers


def listed(**answers: str) -> list[tuple[str, str]]:
    return [(QUESTIONS[look.question], look.answered) for look in fix_first(job(**answers))]


def printed(answer: Assessment) -> str:
    out = io.StringIO()
    say_assessment(Console(file=out, width=118, highlight=False), answer, "in")
    return out.getvalue()


def cover(answer: Assessment) -> str:
    words = PdfReader(io.BytesIO(packet_pdf(answer, "in", Plan()))).pages[0].extract_text()
    return " ".join(words.replace("\u200b", "").split())


@pytest.fixture(scope="module")
def troubled() -> Assessment:
    return assess(job(complaint="hot standing", fan_direction="no", gauge_checked="yes"), draws=64)


@pytest.mark.behaviour("the table is whole: one row for each field, in the field's order, with known words and sources")
def test_table() -> None:
    assert ["complaint", *QUESTIONS.values()] == list(FirstLook.model_fields)
    assert len(lines()) == 10
    for line in lines():
        assert line.question.endswith("?")
        assert line.do.endswith(".")
        assert set(line.explains) <= set(COMPLAINTS)
        assert line.source in SOURCES


@pytest.mark.practice("a complaint and the lines that can be all of it")
@pytest.mark.parametrize(
    ("complaint", "fields"),
    [
        ("hot standing", "gauge_checked timing_mixture fan_direction shroud_seals"),
        ("hot at speed", "gauge_checked combustion_gas cap_tested thermostat_tested pump_right hose_spring"),
        ("hot everywhere", "gauge_checked combustion_gas thermostat_tested pump_right air_bled"),
        ("loses coolant", "combustion_gas cap_tested air_bled"),
    ],
)
def test_each_complaint_has_its_lines(complaint: str, fields: str) -> None:
    assert listed(complaint=complaint) == [(field, "don't know") for field in fields.split()]
    every_no = dict.fromkeys(QUESTIONS.values(), "no")
    assert listed(complaint=complaint, **every_no) == [(field, "no") for field in fields.split()]


@pytest.mark.practice("a plain no comes before what nobody looked at; a no that explains something else stays out")
def test_order() -> None:
    assert listed(complaint="hot standing", shroud_seals="no", fan_direction="yes", hose_spring="no") == [
        ("shroud_seals", "no"),
        ("gauge_checked", "don't know"),
        ("timing_mixture", "don't know"),
    ]


@pytest.mark.behaviour("don't know is the same as leaving it out")
def test_unknown_is_not_asked() -> None:
    assert job(air_bled="don't know").first_look == FirstLook()
    assert listed(**all_yes(complaint="loses coolant", air_bled="don't know")) == [("air_bled", "don't know")]


@pytest.mark.behaviour("nothing is said where all is well, and unasked lines are not nagged about without a complaint")
def test_quiet() -> None:
    assert fix_first(parse_job(SMALL.encode(), "x")) == []
    assert listed(complaint="none") == []
    assert all(listed(**all_yes(complaint=complaint)) == [] for complaint in COMPLAINTS)


@pytest.mark.behaviour("without a complaint every no is said, in the order of the table")
@pytest.mark.parametrize("complaint", [{}, {"complaint": "none"}, {"complaint": "don't know"}])
def test_no_complaint(complaint: dict[str, str]) -> None:
    assert listed(air_bled="no", cap_tested="no", **complaint) == [("cap_tested", "no"), ("air_bled", "no")]


@pytest.mark.behaviour("another word ends plainly")
def test_wrong_words() -> None:
    with pytest.raises(InputError, match=r"first_look\.cap_tested: 'maybe' is not one of yes, no, don't know"):
        job(cap_tested="maybe")
    with pytest.raises(InputError, match="did you mean hot at speed"):
        job(complaint="hot on speed")


@pytest.mark.behaviour("the JSON carries them")
def test_json(troubled: Assessment) -> None:
    found = json.loads(troubled.to_json())["first_look"]
    assert [look["answered"] for look in found] == ["no", "don't know", "don't know"]
    assert [QUESTIONS[look["question"]] for look in found] == ["fan_direction", "timing_mixture", "shroud_seals"]
    assert all(look["do"] for look in found)


@pytest.mark.behaviour("they are printed above the verdict")
def test_printed(troubled: Assessment) -> None:
    said = printed(troubled)
    assert said.index(TITLE) < said.index(BACKWARDS) < said.index(WORDS[troubled.verdict])
    assert "Hold a tissue to the grille" in said
    assert TITLE not in printed(an_answer())


@pytest.mark.behaviour("the cover of the packet carries them above the verdict, and still fits what it must say")
def test_cover(troubled: Assessment) -> None:
    said = cover(troubled)
    assert said.index(TITLE) < said.index(f"No: {BACKWARDS}") < said.index(WORDS[troubled.verdict])
    assert "Each driving case" in said
    assert TITLE not in cover(an_answer())


@pytest.mark.behaviour("the demo has nothing to mend first")
def test_demo() -> None:
    text = files("shroudwright.job").joinpath("demo.job.toml").read_bytes()
    assert fix_first(parse_job(text, "demo.job.toml")) == []
