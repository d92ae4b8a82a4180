"""Job files on disk: digest, starter, edits."""

import hashlib
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.job import edit_field, parse_job, read_job, write_starter
from shroudwright.job.priors import priors, words
from shroudwright.job.template import starter
from tests.jobs import SMALL


@pytest.fixture
def small(tmp_path: Path) -> Path:
    path = tmp_path / "small.job.toml"
    path.write_text(SMALL, encoding="utf-8")
    return path


@pytest.mark.behaviour("a job is read as typed, with the digest of its bytes")
def test_read(small: Path) -> None:
    job = read_job(small)
    assert job.job_sha256 == hashlib.sha256(SMALL.encode()).hexdigest()
    assert job.file_name == "small.job.toml"
    assert job.core.width is not None
    assert (job.core.width.typed, job.core.width.value) == ("24.50", pytest.approx(0.6223))
    assert job.core.height is not None
    assert job.core.height.standing == "measured"
    assert job.core.fins is None
    assert [case.name for case in job.cases] == ["idling", "hill"]


@pytest.mark.behaviour("a byte-order mark and Windows line ends are no fault")
def test_windows_text() -> None:
    job = parse_job(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode(), "x")
    assert job.name == "test mule"


@pytest.mark.behaviour("a job that names no case gets the six standard ones")
@pytest.mark.parametrize("with_list", [False, True])
def test_six_cases(with_list: bool) -> None:
    text = SMALL[: SMALL.index("[[cases]]")]
    if with_list:
        text = "cases = []\n" + text
    kinds = [case.kind for case in parse_job(text.encode(), "x").cases]
    assert kinds == ["idle", "stop-go", "crawl", "cruise", "grade", "pull"]


@pytest.mark.behaviour("fans without a code get their number")
def test_codes() -> None:
    text = SMALL.replace('code = "A"\n', "").replace('code = "B"', 'code = "don\'t know"')
    assert [fan.code for fan in parse_job(text.encode(), "x").fans] == ["fan 1", "fan 2"]


@pytest.mark.behaviour("aluminum and any case of letters are understood")
def test_spellings() -> None:
    text = SMALL.replace("[core]", '[core]\nfin_metal = "Aluminum"\nfin = "Louvered"')
    core = parse_job(text.encode(), "x").core
    assert (core.fin_metal, core.fin) == ("aluminium", "louvered")


ROWS = r"\n#\[\[(shroud_boxes|flaps|gaps)\]\]\n(#\w.*\n)+|\n#k_factor = .*"
BESIDE_ROWS = r"\n#(outline|notches|divider|flaps|test_\w+) = .*"


def uncommented(text: str, without: str = ROWS) -> str:
    """A starter with every line taken into use, but those that say again what others do."""
    return re.sub(r"^#(?=\w+ = |\[\[)", "", re.sub(without, "\n", text), flags=re.MULTILINE)


@pytest.mark.behaviour("the starter reads without a fault, as it is and with every line in use")
@pytest.mark.parametrize("units", ["in", "mm"])
def test_starter(tmp_path: Path, units: str) -> None:
    path = tmp_path / 'new "old"_truck.job.toml'
    write_starter(path, units)
    assert os.listdir(tmp_path) == [path.name]
    job = read_job(path)
    assert job.name == 'new "old" truck'
    assert job.units == units
    assert len(priors(job)) > 100
    text = path.read_text(encoding="utf-8")
    full, rows = (parse_job(uncommented(text, without).encode(), "full") for without in (ROWS, BESIDE_ROWS))
    for section in type(full).model_fields:
        held = [getattr(job, section) for job in (full, rows) if getattr(job, section)]
        parts = [part[0] if isinstance(part, tuple) else part for part in held]
        for field in getattr(type(parts[0]), "model_fields", ()):
            assert any(getattr(part, field) not in (None, ()) for part in parts), f"{section}.{field}"


@pytest.mark.behaviour("both starters say the same job, and the guesses in them are the table's")
def test_starters_agree() -> None:
    inches, metric = (parse_job(starter(units).encode(), "x") for units in ("in", "mm"))
    theirs = priors(metric)
    assert {path: word.value for path, word in words(inches).items()} == {
        path: word.value for path, word in words(metric).items()
    }
    for path, prior in priors(inches).items():
        assert theirs[path].median == pytest.approx(prior.median, rel=6e-3), path
    filled = priors(parse_job(uncommented(starter("in")).encode(), "x"))
    untouched = [path for path in priors(inches) if not path.startswith(("cases", "model", "ahead", "mount"))]
    for path in untouched:
        assert filled[path].median == pytest.approx(priors(inches)[path].median, rel=6e-3), path


@pytest.mark.behaviour("the starter is only ever written whole, and never over a file")
def test_starter_refusals(tmp_path: Path) -> None:
    taken = tmp_path / "taken.job.toml"
    taken.write_text("mine", encoding="utf-8")
    for path, says in (
        (taken, "exists already"),
        (tmp_path / "nowhere" / "a.job.toml", "no such folder"),
        (taken / "a.job.toml", "cannot be written"),
        (tmp_path / ("x" * 300), "cannot be written"),
    ):
        with pytest.raises(InputError) as caught:
            write_starter(path)
        assert len(caught.value.faults) == 1
        assert says in caught.value.faults[0]
    with pytest.raises(InputError, match="not one of in, mm"):
        write_starter(tmp_path / "a", "cm")
    assert taken.read_text(encoding="utf-8") == "mine"
    assert os.listdir(tmp_path) == ["taken.job.toml"]


@pytest.mark.behaviour("an edit changes its own value and not one other byte")
@pytest.mark.parametrize(
    ("place", "value", "old", "new"),
    [
        ("core.width", "25 in, measured", "width = 24.50 ", 'width = "25 in, measured" '),
        ("engine.rated_power", "260 kW", '"250 kW, box"', '"260 kW"'),
        ("fans.1.blade", "13 in", 'code = "B"\nblade = "14 in"', 'code = "B"\nblade = "13 in"'),
        ("cases.1.grade", "6 %", '"5 %"', '"6 %"'),
        ("name", "mule", '"test mule"', '"mule"'),
        ("cases.0.air_conditioning", False, 'kind = "idle"\n', 'kind = "idle"\nair_conditioning = false\n'),
    ],
)
def test_edit(small: Path, place: str, value: str | bool, old: str, new: str) -> None:
    before = small.stat().st_mode
    job = edit_field(small, place, value)
    after = small.read_text(encoding="utf-8")
    # A value new to its section stands at the section's end, wherever its blank line falls.
    assert after.replace("\n\n", "\n") == SMALL.replace(old, new, 1).replace("\n\n", "\n")
    assert job.job_sha256 == hashlib.sha256(after.encode()).hexdigest()
    assert small.stat().st_mode == before
    assert os.listdir(small.parent) == [small.name]


@pytest.mark.behaviour("a field that stands commented out is brought in where it stands")
def test_edit_brings_in(tmp_path: Path) -> None:
    path = tmp_path / "new.job.toml"
    write_starter(path)
    before = path.read_text(encoding="utf-8").splitlines()
    edit_field(path, "core.louver_pitch", "1.1 mm, measured")
    edit_field(path, "fans.0.hub", "6 in, box")
    after = path.read_text(encoding="utf-8").splitlines()
    changes = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
    assert [new.split("#")[0].strip() for _, new in changes] == [
        'louver_pitch = "1.1 mm, measured"',
        'hub = "6 in, box"',
    ]
    assert all(new.split("# ")[1] == old.split("# ")[1] for old, new in changes)


@pytest.mark.behaviour("a new section is made where there was none")
def test_edit_new_section(small: Path) -> None:
    job = edit_field(small, "weather.ambient", "105 degF")
    assert job.weather.ambient is not None
    assert read_job(small).weather.ambient == job.weather.ambient


@pytest.mark.behaviour("an edit that cannot be leaves the file as it was")
@pytest.mark.parametrize(
    ("place", "value", "says"),
    [
        ("core.width", "2 psi", "core.width: '2 psi' is not a length"),
        ("core.widht", "2 in", "did you mean width?"),
        ("fans.7.blade", "14 in", "fans.7.blade: there is no such place"),
        ("fans.blade", "14 in", "there is no such place"),
        ("core.width.value", "14 in", "there is no such place"),
        ("ahead.0.depth", "1 in", "there is no such place"),
        ("core.depth", "don't know", "core.depth: missing"),
    ],
)
def test_edit_refused(small: Path, place: str, value: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        edit_field(small, place, value)
    assert says in str(caught.value)
    assert small.read_text(encoding="utf-8") == SMALL


@pytest.mark.behaviour("a file that can no longer be replaced is left whole, with nothing beside it")
def test_edit_cannot_write(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("shroudwright.job.files.os.replace", full)
    with pytest.raises(InputError, match="no space left"):
        edit_field(small, "core.width", "25 in")
    assert small.read_text(encoding="utf-8") == SMALL
    assert os.listdir(small.parent) == [small.name]


@pytest.mark.law("comments and numbers as typed survive any edit")
@given(st.floats(4.0, 90.0).map(lambda value: f"{value:.4g} in"), st.sampled_from(["", ", box", ", measured"]))
@settings(max_examples=25, deadline=None)
def test_round_trip(tmp_path_factory: pytest.TempPathFactory, width: str, standing: str) -> None:
    path = tmp_path_factory.mktemp("job") / "a.job.toml"
    path.write_text(SMALL, encoding="utf-8")
    edit_field(path, "core.width", width + standing)
    edit_field(path, "core.width", "24.50 in")
    assert path.read_text(encoding="utf-8") == SMALL.replace("24.50", '"24.50 in"')


@pytest.mark.behaviour("reading a job needs no compiler and no property library")
def test_light_import() -> None:
    code = "import sys, shroudwright.job; print({'numba', 'CoolProp', 'tomlkit'} & {*sys.modules})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
