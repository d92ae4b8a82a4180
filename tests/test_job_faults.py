"""Broken job files: one plain line per fault, nothing else."""

import contextlib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.job import parse_job, read_job
from tests.jobs import SMALL, changed

DEPTH = 'depth = "2 in, measured"'


def core(line: str) -> bytes:
    return changed((DEPTH, f"{DEPTH}\n{line}"))


def depth(line: str) -> bytes:
    return changed((DEPTH, line))


def fan(line: str) -> bytes:
    return changed(('code = "A"', f'code = "A"\n{line}'))


def engine(line: str) -> bytes:
    return changed(("[engine]", f"[engine]\n{line}"))


def case(line: str) -> bytes:
    return changed(('name = "idling"', f'name = "idling"\n{line}'))


def top(line: str) -> bytes:
    return changed(('name = "test mule"', line))


def end(text: str) -> bytes:
    return (SMALL + text).encode()


BROKEN = {
    # one value wrong
    "slipped decimal": (depth('depth = "22 in"'), ["core.depth: 22 in is outside", "did you mean 2.2 in"]),
    "mm for in": (depth('depth = "51"'), ["core.depth: 51 is outside", "5.1"]),
    "in for mm": (depth('depth = "2 mm"'), ["core.depth: 2 mm is outside", "did you mean", "2 in"]),
    "bare number out": (depth("depth = 50"), ["core.depth: 50 in is outside 0.25 in to 8 in"]),
    "wrong unit": (depth('depth = "2 psi"'), ["core.depth: '2 psi' is not a length"]),
    "unknown unit": (depth('depth = "2 furlings"'), ["core.depth", "is not a length"]),
    "text for number": (depth('depth = "quite thick"'), ["core.depth: no number in 'quite thick'"]),
    "decimal comma": (depth('depth = "2,5 in"'), ["core.depth", "is not a length"]),
    "empty text": (depth('depth = ""'), ["core.depth: no number in ''"]),
    "negative": (depth('depth = "-2 in"'), ["core.depth: -2 in is outside", "did you mean"]),
    "zero": (depth('depth = "0 in"'), ["core.depth: 0 in is outside 0.25 in to 8 in"]),
    "nan": (depth("depth = nan"), ["core.depth: nan is not a finite number"]),
    "inf": (depth("depth = inf"), ["core.depth: inf is not a finite number"]),
    "1e400": (depth("depth = 1e400"), ["core.depth: 1e400 is not a finite number"]),
    "1e400 in": (depth('depth = "1e400 in"'), ["core.depth", "too large"]),
    "a huge whole number": (depth("depth = 1" + "0" * 400), ["core.depth: 1000", "not a finite number"]),
    "a huge fraction": (depth(f'depth = "{"9" * 90} {"9" * 9}/2 in"'), ["core.depth", "is outside"]),
    "bool for number": (depth("depth = true"), ["core.depth: true is not a number"]),
    "list for number": (depth("depth = [2]"), ["core.depth: a list is not a measurement"]),
    "table for number": (depth("depth = { in = 2 }"), ["core.depth: a table is not a measurement"]),
    "date for number": (depth("depth = 2026-01-31"), ["core.depth: 2026-01-31 is not a measurement"]),
    "powers of powers": (depth('depth = "2 in**9**9**9"'), ["core.depth", "is not a length"]),
    "endless text": (depth(f'depth = "{"2" * 900} in"'), ["core.depth", "is not a measurement"]),
    "bad standing": (depth('depth = "2 in, mesured"'), ["core.depth", "did you mean measured?"]),
    "negative spread": (depth('depth = "2 in +- -1 in"'), ["core.depth: a spread cannot be negative"]),
    "spread unit": (depth('depth = "2 in +- 3 psi"'), ["core.depth: '3 psi' is not a length"]),
    "percent on degrees": (
        changed(("[engine]", '[weather]\nambient = "100 degF +- 5 %"\n\n[engine]')),
        ["weather.ambient: a spread of '5 %' on a temperature"],
    ),
    "share over one": (core("blocked_share = 60"), ["core.blocked_share: 60 is outside 0 to 0.9", "60 %"]),
    "half a row": (core("rows = 1.5"), ["core.rows: 1.5 is not a whole number"]),
    "bare altitude": (
        changed(("[engine]", "[weather]\naltitude = 500\n\n[engine]")),
        ["weather.altitude: 500 has no unit; type for example '500 ft'"],
    ),
    "Celsius for Fahrenheit": (
        changed(("[engine]", '[coolant]\nlimit = "225 degC"\n\n[engine]')),
        ["coolant.limit: 225 degC is outside 150 degF to 300 degF", "225 degF"],
    ),
    "bare power": (engine("accessory_power = 2"), ["engine.accessory_power: 2 has no unit"]),
    # words and keys
    "unknown word": (engine('fuel = "deisel"'), ["engine.fuel: 'deisel' is not one of", "did you mean diesel?"]),
    "number for word": (engine("fuel = 2.5"), ["engine.fuel: choose one of gasoline"]),
    "text for bool": (case('air_conditioning = "yes"'), ["cases.0.air_conditioning (idling)", "true or false"]),
    "unknown key": (core('louvre_pitch = "1 mm"'), ["core.louvre_pitch: not a field", "louver_pitch?"]),
    "key of another section": (engine('cap_pressure = "15 psi"'), ["engine.cap_pressure", "coolant.cap_pressure?"]),
    "unknown section": (end("\n[radiator]\nx = 1\n"), ["radiator: not a field of a job"]),
    "number for section": (top("coolant = 3"), ["coolant: '3' stands where a section is expected"]),
    "table for list": (top("accepted = 3"), ["accepted: '3' stands where a list is expected"]),
    "number for text": (top("name = 5"), ["name: '5' is not text; put it in quotes"]),
    "units": (changed(('units = "in"', 'units = "inch"'), ("24.50", '"24.5 in"')), ["units: 'inch' is not one of"]),
    "newer form": (top("schema_version = 2"), ["schema_version: '2' is not one of 1"]),
    "control character": (top('name = "a\\u0007b"'), ["name: text holds a control character"]),
    "long text": (top(f'name = "{"x" * 3000}"'), ["name: text of 3000 characters"]),
    "not a day": (fan('copied = "last week"'), ["fans.0.copied (A): 'last week' is not a day"]),
    "not money": (fan('price = "149"'), ["fans.0.price (A): '149' is not money"]),
    # lists
    "no kind": (changed(('kind = "idle"\n', "")), ["cases.0.kind (idling): missing"]),
    "no name": (changed(('name = "idling"\n', "")), ["cases.0.name: missing"]),
    "empty name": (changed(('name = "idling"', 'name = ""')), ["cases.0.name: empty"]),
    "same fan twice": (changed(('code = "B"', 'code = "A"')), ["fans.1.code (A): 'A' is used 2 times"]),
    "same case twice": (changed(('"hill"', '"idling"')), ["cases.1.name (idling): 'idling' is used 2 times"]),
    "same cooler twice": (
        end('\n[[ahead]]\ncode = "C"\n[[ahead]]\ncode = "C"\n'),
        ["ahead.1.code (C): 'C' is used 2 times"],
    ),
    "fan that is not there": (case('fans_on = ["A", "Z"]'), ["there is no fan 'Z'; the fans are A, B"]),
    "fans_on not a list": (case('fans_on = "A"'), ["cases.0.fans_on (idling): 'A' stands where a list"]),
    "fans_on of numbers": (case("fans_on = [1]"), ["cases.0.fans_on.0 (idling): '1' is not text"]),
    "too many fans": (end("\n[[fans]]" * 3), ["fans: 5 entries; at most 4"]),
    "number among fans": (
        b'fans = [1]\n[engine]\ndisplacement = "2 L"\nrated_power = "90 kW"\n'
        b'[core]\nwidth = "20 in"\nheight = "17 in"\ndepth = "1.26 in"\n',
        ["fans.0: '1' stands where a section is expected; write [[fans]]"],
    ),
    "curve is text": (fan('curve = "steep"'), ["fans.0.curve (A): type a list of rows"]),
    "ragged curve": (
        fan('curve = [["9 cfm", "0 psi"], ["9 cfm"]]'),
        ["fans.0.curve (A): row 2 needs 2 entries (air flow and pressure)"],
    ),
    "curve unit": (
        fan('curve = [["900 cfm", "0 inH2O"], ["0 cfm", "1 gpm"]]'),
        ["fans.0.curve (A): row 2: '1 gpm' is not a pressure"],
    ),
    "one point": (fan('curve = [["900 cfm", "0 inH2O"]]'), ["fans.0.curve (A): one point is no curve"]),
    "rising curve": (
        fan('curve = [["900 cfm", "1 inH2O"], ["0 cfm", "0 inH2O"]]'),
        ["fans.0.curve (A): pressure does not fall"],
    ),
    "flow twice": (
        fan('curve = [["900 cfm", "1 inH2O"], ["900 cfm", "0 inH2O"]]'),
        ["fans.0.curve (A): two points have the same flow"],
    ),
    "negative curve": (
        fan('curve = [["900 cfm", "-1 inH2O"], ["0 cfm", "1 inH2O"]]'),
        ["fans.0.curve (A): flow and pressure cannot be negative"],
    ),
    # numbers that cannot all be true
    "tube too thick": (
        core('tube_thickness = "6 mm"\ntube_width = "5 mm"'),
        ["core.tube_thickness: 6 mm is more than tube_width 5 mm"],
    ),
    "tube too wide": (core('tube_width = "3 in"'), ["core.tube_width: 3 in is more than depth 2 in"]),
    "wall too thick": (
        core('tube_thickness = "2 mm"\ntube_wall = "1.1 mm"'),
        ["core.tube_wall: two walls of 1.1 mm leave no bore"],
    ),
    "rows too many": (core('rows = 3\ntube_width = "1 in"'), ["core.rows: 3 rows of 1 in tubes do not fit"]),
    "glycol in water": (
        changed(("[engine]", '[coolant]\nkind = "water"\nglycol_share = 0.5\n\n[engine]')),
        ["coolant.glycol_share: 0.5 in a system of plain water"],
    ),
    "hub over blade": (fan('hub = "14 in"'), ["fans.0.hub (A): 14 in is not smaller than blade 14 in"]),
    "frame under blade": (fan('frame_size = "13 in"'), ["fans.0.frame_size (A): 13 in is smaller than blade"]),
    "corner over side": (
        fan('frame_size = "15 in"\nframe_corner = "8 in"'),
        ["fans.0.frame_corner (A): 8 in is more than half of frame_size"],
    ),
    "deeper than deep": (
        fan('overall_depth = "2 in"\ndepth_ahead = "3 in"'),
        ["fans.0.depth_ahead (A): 3 in is more than overall_depth"],
    ),
    "start under run": (fan('start_amps = "9 A"'), ["fans.0.start_amps (A): 9 A is less than run_amps 11 A"]),
    "idle over rated": (
        engine('idle_rpm = 1500\nrated_rpm = "1400 rpm"'),
        ["engine.idle_rpm: 1500 is not below rated_rpm 1400 rpm"],
    ),
    "boost from nothing": (
        engine('charger = "none"\nboost_pressure = "8 psi"'),
        ["engine.charger: 'none' with a boost of 8 psi"],
    ),
    "alternator": (
        end('\n[electrical]\nalternator_rating = "60 A"\nalternator_hot_idle = "90 A"\n'),
        ["electrical.alternator_hot_idle: 90 A is more than alternator_rating 60 A"],
    ),
    "fan never stops": (
        end('\n[control]\nfan_on = "195 degF"\nfan_off = "205 degF"\n'),
        ["control.fan_off: 205 degF is not below 195 degF"],
    ),
    "idling along": (case('speed = "5 mph"'), ["cases.0.speed (idling): 5 mph while idling"]),
    # nothing to work from
    "no depth": (depth(""), ["core.depth: missing", "tape the fins front to back"]),
    "depth unknown": (depth('depth = "don\'t know"'), ["core.depth: missing"]),
    # not a job file
    "empty": (b"", ["x.job.toml: empty"]),
    "blank": (b"  \n\n", ["x.job.toml: empty"]),
    "binary": (bytes(range(256)), ["x.job.toml: not plain text"]),
    "UTF-16": (SMALL.encode("utf-16"), ["x.job.toml: not plain text"]),
    "no quotes": (depth("depth = 2 in"), ["line 12", "put the value in quotes"]),
    "open quote": (depth('depth = "2 in'), ["line 12: the closing quote is missing"]),
    "key twice": (core(DEPTH), ["x.job.toml: line 13: this field stands here twice"]),
    "not TOML": (b"%PDF-1.7 hello", ["x.job.toml: line 1"]),
    "deep nest": (b"x = " + b"[" * 20000, ["x.job.toml: nested too deeply"]),
    "endless integer": (b"x = " + b"9" * 6000, ["x.job.toml: a number is too long"]),
}


def faults_of(data: bytes) -> tuple[str, ...]:
    with pytest.raises(InputError) as caught:
        parse_job(data, "x.job.toml")
    return caught.value.faults


@pytest.mark.behaviour("each broken job gives exactly one line, which says what and where")
@pytest.mark.parametrize("name", BROKEN)
def test_one_line_per_fault(name: str) -> None:
    data, parts = BROKEN[name]
    faults = faults_of(data)
    assert len(faults) == 1, faults
    assert all(part in faults[0] for part in parts), faults[0]
    assert "\n" not in faults[0]
    assert len(faults[0]) < 320


@pytest.mark.behaviour("all faults of a file come together")
def test_all_at_once() -> None:
    data = changed(
        (DEPTH, 'depth = "22 in"\ndept = 1\nrows = "two"'),
        ('code = "B"', 'code = "A"\nhub = "15 in"'),
        ('kind = "idle"\n', ""),
    )
    places = [fault.split(":")[0] for fault in faults_of(data)]
    assert places == [
        "core.depth",
        "core.rows",
        "core.dept",
        "cases.0.kind (idling)",
        "fans.1.code (A)",
        "fans.1.hub (A)",
    ]


@pytest.mark.behaviour("an almost empty job is told everything it needs")
def test_what_is_needed() -> None:
    faults = faults_of(b'name = "x"\n')
    assert [fault.split(":")[0] for fault in faults] == [
        "engine.displacement",
        "engine.rated_power",
        "core.width",
        "core.height",
        "core.depth",
    ]


@pytest.mark.behaviour("paths that hold no job")
def test_paths(tmp_path: Path) -> None:
    cases = {
        tmp_path / "none.job.toml": "no such file",
        tmp_path: "is a folder",
        tmp_path / "a\0b": "not a file",
        Path("/dev/null"): "not a file",
    }
    big = tmp_path / "big.job.toml"
    big.write_bytes(b"#" * 5_000_001)
    cases[big] = "larger than 5 MB"
    for path, says in cases.items():
        with pytest.raises(InputError) as caught:
            read_job(path)
        assert len(caught.value.faults) == 1
        assert says in caught.value.faults[0]


VALUES = st.one_of(
    st.none().map(lambda _: '"don\'t know"'),
    st.booleans().map(lambda value: str(value).lower()),
    st.integers().map(str),
    st.floats().map(repr).map(lambda text: text.replace("infinity", "inf")),
    st.sampled_from(['"2 in"', '"5 %"', "[]", "[[]]", "{}", "[{}]", '["x"]', "2026-01-31", '"-1e9 kW"']),
    st.text("0123456789./,+-% inmqpsdegFC*^()", max_size=12).map(lambda text: f'"{text}"'),
)
PLACES = st.sampled_from(
    [
        "core.depth",
        "core.fin",
        "core",
        "fans",
        "cases",
        "units",
        "name",
        "space.depth_map",
        "fans.curve",
        "cases.kind",
        "cases.fans_on",
        "engine.fuel",
        "shop.budget",
        "coolant.limit",
        "fans_on",
        "accepted",
        "ahead.heat",
        "schema_version",
    ]
)


@pytest.mark.behaviour("whatever stands in a file, it reads or is refused in plain lines")
@given(st.dictionaries(PLACES, VALUES, max_size=6))
@settings(max_examples=200, deadline=None)
def test_nothing_else_escapes(values: dict[str, str]) -> None:
    lines = [f"{place} = {value}" for place, value in values.items()]
    with contextlib.suppress(InputError):
        parse_job("\n".join(lines).encode(), "x.job.toml")
