"""When fans start and stop."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shroudwright.bench.errors import InputError
from shroudwright.control.settings import Settings, sensor_shift, settings


def kelvin(degf: float) -> float:
    return (degf - 32.0) / 1.8 + 273.15


def degf(value: float) -> float:
    return (value - 273.15) * 1.8 + 32.0


TRUCK: dict[str, Any] = {
    "thermostat_opens": kelvin(180),
    "thermostat_span": 15 / 1.8,
    "thermostat_place": "outlet",
    "sensor_place": "engine out",
    "settled": kelvin(185),
    "coolant_drop": 10 / 1.8,
    "limit": kelvin(225),
    "boil": kelvin(255),
    "has_second": True,
}


def made(**other: Any) -> Settings:
    typed = {
        key: kelvin(value) if key in ("fan_on", "fan_off", "second_on", "second_off", "settled") else value
        for key, value in other.items()
    }
    return settings(**{**TRUCK, **typed})


def codes(found: Settings) -> set[str]:
    return {one.code for one in found.findings}


@pytest.mark.practice("typical set on a 180 F thermostat: fan 1 200/190, fan 2 210/200, alarm 225")
def test_typical() -> None:
    found = made()
    assert [degf(value) for value in (found.fan_on, found.fan_off, found.second_on, found.second_off, found.alarm)] == (  # type: ignore[arg-type]
        pytest.approx([200, 190, 210, 200, 225])
    )
    assert found.findings == ()


@pytest.mark.by_hand(
    "195 F thermostat, fan 1 215: under a limit of 225 fan 2 starts 5 F under it, under one of 240 at its 10"
)
@pytest.mark.parametrize(("limit", "second"), [(225, 220), (228, 223), (240, 225)])
def test_second_under_the_limit(limit: float, second: float) -> None:
    found = made(thermostat_opens=kelvin(195), settled=202.0, limit=kelvin(limit))
    assert degf(found.fan_on) == pytest.approx(215)
    assert degf(found.second_on or 0.0) == pytest.approx(second)


@pytest.mark.independent("drive in time of one truck, span 15 F, 100 F day: which settings never stop, which cycle")
@pytest.mark.parametrize(
    ("opens", "settled", "on", "off", "stops"),
    [
        (195, 202.9, 200, 190, False),
        (195, 202.9, 205, 195, False),
        (195, 202.9, 210, 200, False),
        (195, 202.9, 215, 205, True),
        (180, 189.1, 195, 185, False),
        (180, 189.1, 200, 190, True),
    ],
)
def test_never_stops(opens: float, settled: float, on: float, off: float, stops: bool) -> None:
    found = made(thermostat_opens=kelvin(opens), settled=settled, fan_on=on, fan_off=off)
    never = [
        one.limit
        for one in found.findings
        if one.code == "C01" or (one.code == "C03" and (one.measured or 0.0) < (one.limit or 0.0) - 2 / 1.8)
    ]
    assert bool(never) is not stops


@pytest.mark.by_hand("settles at 189.1 F: OFF 191.1, ON 201.1, fan 2 211.1")
def test_above_settled() -> None:
    found = made(settled=189.1)
    assert (degf(found.fan_off), degf(found.fan_on), degf(found.second_on or 0)) == pytest.approx((191.1, 201.1, 211.1))


@pytest.mark.by_hand("a 10 F drop: radiator out reads 10 F less, in the fins 5 F less; an inlet thermostat 10 F more")
def test_places() -> None:
    assert degf(made(sensor_place="radiator out").fan_off) == pytest.approx(180)
    assert degf(made(sensor_place="in the fins").fan_off) == pytest.approx(185)
    assert degf(made(thermostat_place="inlet").fan_off) == pytest.approx(200)
    assert degf(made(thermostat_place="inlet", sensor_place="radiator out").fan_off) == pytest.approx(190)
    assert sensor_shift("radiator in", 5.0) == 0.0


@pytest.mark.law("a proposal stops above what holds it, keeps its gaps and order, and moves with its sensor")
@given(
    st.floats(160, 205),
    st.floats(10, 20),
    st.floats(0, 25),
    st.floats(0, 30),
    st.sampled_from(["engine out", "in the fins", "radiator out"]),
    st.booleans(),
)
def test_proposal(opens: float, span: float, above: float, drop: float, place: str, has_second: bool) -> None:
    given_ = {
        "thermostat_opens": kelvin(opens),
        "thermostat_span": span / 1.8,
        "settled": opens + above,
        "coolant_drop": drop / 1.8,
        "has_second": has_second,
    }
    found = made(**given_, sensor_place=place)
    assert not codes(found) & {"C01", "C02", "C03", "C04", "C05", "C06", "C08", "C11"}
    assert (found.second_on is not None) is has_second
    assert found.fan_off >= kelvin(opens) + found.shift + 10 / 1.8 - 1e-9
    assert "C10" in codes(found) or found.fan_off >= kelvin(opens + above) + found.shift + 2 / 1.8 - 1e-9
    assert found.fan_on == pytest.approx(found.fan_off + 10 / 1.8)
    if found.second_on is not None:
        assert 5 / 1.8 - 1e-9 <= found.second_on - found.fan_on <= 10 / 1.8 + 1e-9
    plain = made(**given_, sensor_place="engine out")
    assert found.fan_on - plain.fan_on == pytest.approx(found.shift)
    assert found.alarm - plain.alarm == pytest.approx(found.shift)


FINDINGS: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    ("C01", {"fan_off": 180, "fan_on": 190}, {"fan_off": 191, "fan_on": 201}),
    ("C02", {"fan_on": 180, "fan_off": 170}, {"fan_on": 200}),
    ("C03", {"settled": 189.1, "fan_off": 190, "fan_on": 200}, {"settled": 189.1, "fan_off": 191.2}),
    ("C04", {"fan_off": 188}, {"fan_off": 190}),
    ("C05", {"fan_off": 196, "fan_on": 200}, {"fan_off": 195, "fan_on": 200}),
    ("C05", {"second_on": 210, "second_off": 207}, {"second_on": 210, "second_off": 200}),
    ("C06", {"fan_off": 200, "fan_on": 200}, {"fan_off": 190, "fan_on": 200}),
    ("C08", {"fan_on": 200, "second_on": 204}, {"fan_on": 200, "second_on": 205}),
    ("C09", {"fan_on": 212}, {"fan_on": 209}),
    ("C09", {"second_on": 227}, {"second_on": 212}),
    ("C09", {"boil": kelvin(224)}, {"boil": kelvin(226)}),
    ("C10", {"settled": 215}, {"settled": 190}),
    ("C11", {"sensor_place": "radiator out", "fan_on": 205}, {"sensor_place": "radiator out", "fan_on": 195}),
    ("C01", {"second_on": 190, "second_off": 180}, {"second_on": 210, "second_off": 200}),
    ("C02", {"second_on": 180, "second_off": 170}, {"second_on": 210}),
    ("C20", {"fan_on": 118, "fan_off": 108}, {"fan_on": 122, "fan_off": 112}),
    ("C01", {"is_percent": True, "percent_start": kelvin(180)}, {"is_percent": True}),
    ("C04", {"is_percent": True, "percent_start": kelvin(189)}, {"is_percent": True, "percent_start": kelvin(190)}),
    ("C09", {"is_percent": True, "percent_full": kelvin(226)}, {"is_percent": True, "percent_full": kelvin(224)}),
    ("C10", {"is_percent": True, "settled": 226}, {"is_percent": True, "settled": 224}),
    ("C20", {"is_percent": True, "percent_start": kelvin(119)}, {"is_percent": True, "percent_start": kelvin(121)}),
]


@pytest.mark.practice("each finding fires past its limit and stays quiet short of it")
@pytest.mark.parametrize(("code", "loud", "quiet"), FINDINGS)
def test_findings(code: str, loud: dict[str, Any], quiet: dict[str, Any]) -> None:
    assert code in codes(made(**loud))
    assert code not in codes(made(**quiet))


@pytest.mark.practice("little room under boiling: fan 2 comes 5 F after fan 1, and the alarm keeps 10 K from boiling")
def test_little_room() -> None:
    found = made(boil=kelvin(222))
    assert degf(found.second_on or 0) == pytest.approx(205)
    assert degf(found.alarm) == pytest.approx(204)


@pytest.mark.behaviour("places that are not")
def test_places_that_are_not() -> None:
    with pytest.raises(InputError, match="thermostat sits"):
        made(thermostat_place="middle")
    with pytest.raises(InputError, match="sensor sits"):
        made(sensor_place="boot")


@pytest.mark.by_hand("180 F opens: percent on from 190 to 208 F; a limit of 205 F shortens the line to it")
def test_percent_line() -> None:
    line = made(is_percent=True).line
    assert line is not None
    assert (degf(line.start), degf(line.full)) == pytest.approx((190, 208))
    short = made(is_percent=True, limit=kelvin(205)).line
    assert short is not None
    assert degf(short.full) == pytest.approx(205)
    assert made().line is None
    assert made(is_percent=True).findings == ()
