"""The parts shelf: what is shipped, a builder's own, and everything wrong with one at once."""

from pathlib import Path

import pytest

from shroudwright.bench.errors import InputError
from shroudwright.bench.units import convert
from shroudwright.catalogue.shelf import MOST_ROWS
from shroudwright.job.files import LARGEST
from shroudwright.job.shelf import parse_shelf, read_shelf, shipped_shelf

OWN = b"""\
code,blade,frame_size,free_flow,run_amps,price,standing
,in,in,cfm,A,USD,
K14,14,15,1600,15,89.00,box
yard,17,,,,,
"18 in, odd",18,"19 1/2 in, measured",3000 m**3/hour,don't know,60,
"""


@pytest.mark.by_hand("figures of the shelf as written down, in, cfm and inH2O")
def test_the_shipped_fans_are_read_as_written() -> None:
    shelf = {item.code: item for item in shipped_shelf()}
    assert len(shelf) == 14
    fan = shelf["A12M"].fan
    assert fan.blade is not None
    assert fan.blade.value == pytest.approx(12 * 0.0254)
    assert fan.blade.standing == "catalogue"
    flow, pressure = fan.curve[2]
    assert (convert(flow.value, "m**3/s", "cfm"), convert(pressure.value, "Pa", "inH2O")) == pytest.approx((1226, 0.2))
    assert shelf["D11"].fans_in_frame == 2
    assert shelf["D11"].frame_short == pytest.approx(12.1 * 0.0254)
    assert shelf["X16"].fits_either_way
    assert (shelf["X16"].fan.free_flow is not None and shelf["X16"].fan.free_flow.standing) == "box"


@pytest.mark.law("each shipped curve is p0 (1 - (q / q0)^1.6), as its sheet says")
@pytest.mark.parametrize("item", shipped_shelf(), ids=lambda item: item.code)
def test_shipped_curves_keep_to_their_form(item: object) -> None:
    fan = item.fan  # type: ignore[attr-defined]
    points = [(flow.value, pressure.value) for flow, pressure in fan.curve]
    q0, p0 = max(flow for flow, _ in points), max(pressure for _, pressure in points)
    for flow, pressure in points:
        assert pressure == pytest.approx(p0 * (1 - (flow / q0) ** 1.6), abs=0.01 * p0)


@pytest.mark.behaviour("a fan known by its box number, and one of which nothing is known but the blade")
def test_blanks_are_not_known() -> None:
    boxed, salvage, odd = parse_shelf(OWN, "own.csv")
    assert boxed.fan.free_flow is not None
    assert boxed.fan.free_flow.standing == "box"
    assert boxed.fan.curve == ()
    assert boxed.fan.price == "89.00 USD"
    assert (salvage.fan.run_amps, salvage.fan.frame_size, salvage.fan.price, salvage.note) == (None, None, None, "")
    assert odd.code == "18 in, odd"
    assert odd.fan.frame_size is not None
    assert odd.fan.frame_size.standing == "measured"
    assert odd.fan.run_amps is None


@pytest.mark.behaviour("every fault at once, with its row, its column and what to type")
def test_all_faults_are_listed() -> None:
    data = b"""\
code,blade,run_amps,curve,price,direction,frame_short,standing,price_date,fans_in_frame,hub
,in,A,cfm inH2O,USD,,in,,,-,in
A,16 in,1700,1000 0;900;abc 3,12.345,sideways,3,box,soon,7,
B,,17,,,,,known,,,
C,16,17,0 1;1000 0,100.00,,,box,,,17
C,16,17,0 0; 1000 1,5,either,,,,,
,15,=1+1,,,,,,,,
"""
    with pytest.raises(InputError) as caught:
        parse_shelf(data, "own.csv")
    wanted = [
        "row 3, run_amps: 1700 A, box is outside 0.3 A to 250 A; did you mean 170 A",
        "row 3, curve: point 2 needs 2 entries",
        "row 3, curve: point 3: no number",
        "row 3, price: '12.345 USD' is not money",
        "row 3, direction: 'sideways' is not one of puller, pusher, either",
        "row 3, price_date: 'soon' is not a day; type for example 2026-01-31",
        "row 3, fans_in_frame: 7 fans in one frame; type a whole number from 1 to 4",
        "row 4, blade: blank",
        "row 4, standing: 'known' is not a way of knowing",
        "row 5, hub: 17 in, box is not smaller than blade 16 in, box",
        "row 6, curve: pressure does not fall",
        "row 6, code: 'C' is on the shelf twice",
        "row 7, code: blank",
        "row 7, run_amps:",
    ]
    for piece in wanted:
        assert any(piece in fault for fault in caught.value.faults), piece
    assert all(fault.startswith("own.csv row ") for fault in caught.value.faults)


@pytest.mark.behaviour("faults of form")
@pytest.mark.parametrize(
    ("data", "piece"),
    [
        (b"", "row 1 names the columns"),
        (b"code,blade\n", "row 1 names the columns"),
        (b"code,blade\n,in\n", "no fans in it"),
        (b"\xff\xfe\x00c", "not plain text"),
        (b"code,blad\n,in\nA,16\n", "no column is called 'blad'; did you mean blade?"),
        (b"blade,blade\nin,in\n16,16\n", "column blade stands there 2 times"),
        (b"blade\nin\n16\n", "no column code"),
        (b"code,blade\n,in\nA,16,7\n", "row 3: 3 values under 2 columns"),
        (b"code,blade\n,furlongs of beer\nA,16\n", "row 2, blade:"),
        (b"code,blade\n,in\nA\x07,16\n", "row 3, code: holds a control character"),
        (b"code,blade,note\n,in,\nA,16," + b"x" * 3000 + b"\n", "row 3, note: text of 3000 characters"),
        (b'code,blade\n,in\n"A,16\n', "save the shelf as CSV"),
        (b"code,blade\n,in\n" + b"A,16\n" * (MOST_ROWS + 1), f"more than {MOST_ROWS} parts"),
        (b"code,blade,curve\n,in,cfm inH2O\nA,16,0 1; 500 0.5; 900 0.6; 1000 0.6\n", "row 3, curve:"),
    ],
)
def test_faults_of_form_are_plain(data: bytes, piece: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_shelf(data, "own.csv")
    assert any(piece in fault for fault in caught.value.faults), caught.value.faults
    assert all("\n" not in fault for fault in caught.value.faults)


@pytest.mark.behaviour("a shelf too large is refused before it is read, and so is what is no file")
def test_unreadable_shelves_are_refused(tmp_path: Path) -> None:
    big = tmp_path / "big.csv"
    with big.open("wb") as file:
        file.truncate(LARGEST + 1)
    for path, piece in ((big, "so not a parts shelf"), (tmp_path, "is a folder"), (tmp_path / "x.csv", "no such file")):
        with pytest.raises(InputError, match=piece):
            read_shelf(path)
