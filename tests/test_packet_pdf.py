"""The packet on paper, read back by another library."""

import hashlib
import io
import math
import os
import re
import subprocess
import sys
from functools import cache
from typing import Any

import pytest
from pypdf import PdfReader

from shroudwright.assessment import WORDS, Assessment
from shroudwright.packet import Plan
from shroudwright.packet.pdf import packet_pdf
from tests.packets import EVIL, all_parts, an_answer, evil_answer, stopped, trial_parts

POINT = 25.4 / 72.0


@cache
def papers(units: str, is_trial: bool) -> bytes:
    return packet_pdf(an_answer(), units, trial_parts() if is_trial else all_parts())


@cache
def pages(units: str = "in", *, is_trial: bool = False) -> PdfReader:
    return PdfReader(io.BytesIO(papers(units, is_trial)))


def text_of(answer: Assessment, parts: Plan) -> str:
    reader = PdfReader(io.BytesIO(packet_pdf(answer, "in", parts)))
    return "\n".join(page.extract_text() for page in reader.pages).replace("\u200b", "")


@pytest.mark.independent("pypdf reads the pages back")
@pytest.mark.parametrize(("units", "size"), [("in", (215.9, 279.4)), ("mm", (210.0, 297.0))])
def test_pages(units: str, size: tuple[float, float]) -> None:
    reader = pages(units)
    count = len(reader.pages)
    assert 6 <= count <= 14
    for number, page in enumerate(reader.pages, 1):
        words = page.extract_text()
        lies = "Wiring diagram" in words
        found = page.mediabox.width * POINT, page.mediabox.height * POINT
        assert found == pytest.approx(size[::-1] if lies else size, abs=0.05)
        assert f"page {number} of {count}" in words
        assert f"job {an_answer().job_sha256[:12]}" in words
        assert an_answer().job_name in words
        assert len(words) > 150, "a page with nothing on it"
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            face = font["/DescendantFonts"][0].get_object()
            assert "SourceSansPro" in face["/BaseFont"]
            assert {"/FontFile2", "/FontFile3"} & set(face["/FontDescriptor"])


@pytest.mark.behaviour("everything the shop needs stands in it")
def test_words() -> None:
    words = "\n".join(page.extract_text() for page in pages().pages)
    assert WORDS[an_answer().verdict] in pages().pages[0].extract_text()
    for wanted in (
        "Where the heat comes from",
        "The air really moved",
        "Fans",
        "What would fix it",
        "Shroud",
        "Holes and bends",
        "Wires",
        "Wiring diagram",
        "Fuses and relays",
        "First run",
    ):
        assert wanted in words
    for wanted in ("Settings", "Parts and price", "Guesses", "Sources", "Findings", "Cautions", "hydrogen", "licensed"):
        assert wanted in words
    assert "TRIAL" not in words


@pytest.mark.behaviour("a trial says so on every page")
def test_trial() -> None:
    assert all("TRIAL" in page.extract_text() for page in pages(is_trial=True).pages)


@pytest.mark.behaviour("printers are asked not to scale, the title is set, pictures stay vectors")
def test_catalogue() -> None:
    reader = pages()
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert reader.metadata is not None
    assert reader.metadata.title == f"{an_answer().job_name}: cooling packet"
    assert not any(page.images for page in reader.pages)


@pytest.mark.independent("pypdf, strictly, before and after: the catalogue's wish for full size is all that changes")
def test_the_wish_for_full_size_is_an_update() -> None:
    whole = papers("in", False)
    first = whole[: whole.index(b"%%EOF") + len(b"%%EOF")]
    before, after = (PdfReader(io.BytesIO(pdf), strict=True) for pdf in (first, whole))
    old, new = (dict(reader.trailer["/Root"]) for reader in (before, after))
    assert dict(new.pop("/ViewerPreferences")) == {**old.pop("/ViewerPreferences"), "/PrintScaling": "/None"}
    assert [(key, getattr(held, "idnum", held)) for key, held in new.items()] == [
        (key, getattr(held, "idnum", held)) for key, held in old.items()
    ]
    assert [page.extract_text() for page in after.pages] == [page.extract_text() for page in before.pages]


@pytest.mark.behaviour("the job's words are never read as markup")
def test_hostile_words() -> None:
    flat = " ".join(text_of(evil_answer(), all_parts()).split())
    assert EVIL in flat


@pytest.mark.behaviour("long words break instead of running off the page")
def test_long_words() -> None:
    answer = an_answer().model_copy(update={"job_name": "W" * 300})
    reader = PdfReader(io.BytesIO(packet_pdf(answer, "in", all_parts())))
    right = 0.0

    def visit(text: str, _cm: Any, tm: Any, _font: Any, size: float) -> None:
        nonlocal right
        right = max(right, tm[4] if text.strip() else 0.0)

    reader.pages[0].extract_text(visitor_text=visit)
    assert right < reader.pages[0].mediabox.width


@pytest.mark.behaviour("a packet with nothing but an answer")
def test_bare() -> None:
    answer = an_answer().model_copy(update={"findings": [], "guesses": [], "measure_next": []})
    words = text_of(answer, Plan())
    assert "Nothing found to mend." in words
    assert "Wires" not in words


@pytest.mark.behaviour("a stop stands on the cover; one on metal says why nothing may be cut")
@pytest.mark.parametrize(("code", "held"), [("F01", True), ("W10", False)])
def test_stops(code: str, held: bool) -> None:
    reader = PdfReader(io.BytesIO(packet_pdf(stopped(an_answer(), code), "in", all_parts())))
    cover = " ".join(reader.pages[0].extract_text().split())
    assert f"STOP {code}" in cover
    assert ("No cut files come with this packet" in cover) is held
    assert any("Do not cut" in page.extract_text() for page in reader.pages[1:]) is held


@pytest.mark.behaviour("same bytes, also in another process")
def test_bytes() -> None:
    data = papers("in", False)
    assert packet_pdf(an_answer(), "in", all_parts()) == data
    code = (
        "import hashlib; from tests.packets import all_parts, an_answer;"
        "from shroudwright.packet.pdf import packet_pdf;"
        "print(hashlib.sha256(packet_pdf(an_answer(), 'in', all_parts())).hexdigest())"
    )
    other = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONHASHSEED": "7"},
    )
    assert other.stdout.strip() == hashlib.sha256(data).hexdigest()


def lines_of(page: Any) -> list[float]:
    """Lengths of all single straight lines of a page, in millimetres of paper."""
    lengths: list[float] = []
    at: tuple[float, float] | None = None

    def visit(operator: bytes, operands: Any, cm: Any, _tm: Any) -> None:
        nonlocal at
        if operator in (b"m", b"l"):
            x, y = (float(value) for value in operands)
            point = cm[0] * x + cm[2] * y + cm[4], cm[1] * x + cm[3] * y + cm[5]
            if operator == b"l" and at is not None:
                lengths.append(POINT * math.dist(at, point))
            at = point

    page.extract_text(visitor_operand_before=visit)
    return lengths


@pytest.mark.by_hand("1 in = 25.4 mm = 72 points")
@pytest.mark.parametrize("units", ["in", "mm"])
def test_check_lines_measure_true(units: str) -> None:
    lengths = lines_of(pages(units).pages[-1])
    for wanted in (100.0, 101.6):
        assert min(abs(length - wanted) for length in lengths) < 0.2


@pytest.mark.behaviour("how the face shakes: its number, what it is near, its picture, and each cure's number")
def test_the_face_is_told() -> None:
    face, cure = all_parts().face, all_parts().cures[0]
    assert face is not None
    whole = " ".join(" ".join(page.extract_text() for page in pages().pages).split())
    assert f"shakes at {face.frequency:.0f} times a second with 8.8 lb of fans on it" in whole
    assert "wheel hop is 10 to 15" in whole
    assert "A turns 40 times" in whole
    assert "Each line joins places that move alike" in whole
    assert re.search(rf"sheet {cure.frequency:.0f} {100.0 * cure.fatigue_share:.0f} %", whole)
    assert "are guessed" in whole
