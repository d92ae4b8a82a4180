"""Fixes off the shop's own shelf: the fan that helps most is named at its price, one that does not fit is not."""

from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from shroudwright.assess import assess
from shroudwright.assessment import Assessment
from shroudwright.bench.units import convert
from shroudwright.fixes import PAIRED_DRAWS
from shroudwright.job.files import parse_job
from shroudwright.job.shelf import ShelfFan, parse_shelf, shipped_shelf
from shroudwright.remedies import REMEDIES, Package
from shroudwright.shelf_fixes import BESIDE, INSTEAD, offers_of
from tests.test_examples import text_of
from tests.test_fixes import BUDGET, HOT_ROD, ONE_FAN, PARADE, degrees, fix, package, unregulated

HEADS = (
    "code,kind,direction,blade,hub,frame,frame_size,overall_depth,"
    "run_amps,start_amps,free_flow,curve,price,standing,test_volts\n"
)
UNITS = ",,,in,in,,in,in,A,A,cfm,cfm inH2O,USD,,V\n"
WEAK = "weak,brushed,puller,12,4,round,13,2.2,8,24,1000,1000 0; 500 0.3; 0 0.5,70,catalogue,13.5\n"
BEST = "best,brushless,puller,15,5,round,15.8,2.4,26,28,2500,2500 0; 1900 0.5; 1200 1.0; 0 1.6,333,catalogue,13.5\n"
WIDE = BEST.replace("best", "wide").replace("15.8", "19").replace("2500", "4000")
DEEP = BEST.replace("best", "deep").replace(",2.4,", ",9,").replace("2500", "4000")
PUSHER = BEST.replace("best", "pusher").replace("puller", "pusher").replace("2500", "4000")
SMALL_FAN = "small,brushless,puller,10,4,round,10.9,2.2,14,16,1300,1300 0; 900 0.4; 0 1.0,210,catalogue,13.5\n"
LITTLE = "little,brushed,puller,9,3,round,9.9,2.0,4,12,500,500 0; 250 0.2; 0 0.4,40,catalogue,13.5\n"


def shelf(*rows: str) -> tuple[ShelfFan, ...]:
    return parse_shelf((HEADS + UNITS + "".join(rows)).encode(), "own.csv")


@cache
def answered(text: str, *rows: str) -> Assessment:
    return assess(parse_job(text.encode(), "x"), draws=PAIRED_DRAWS, shelf=shelf(*rows) if rows else ())


def fitted(found: Package, code: str, *rows: str, index: int = 0) -> Package:
    edited = offers_of(found, shelf(*rows), index)[code].edit(found)
    assert edited is not None
    return edited


@pytest.mark.by_hand(
    "26 A at 13.5 V, brushless, is 24 at 14.4; 333.00 for the fan and 55.00 (35 to 90) round it; 4 h at 95.00: 768.00"
)
def test_the_best_fan_of_the_shelf_is_named_at_its_price() -> None:
    answer = answered(text_of(PARADE), WEAK, BEST)
    found = fix(answer, INSTEAD)
    assert found.fix == "best off the shelf"
    assert found.do.startswith("Fit best in place of A16S, ")
    assert found.conflicts.startswith("2.4 in deep; 24 A at 14.4 V. ")
    assert not found.is_generic
    assert found.parts is not None
    assert (found.parts.value, found.parts.low, found.parts.high) == ("388.00", "368.00", "423.00")
    assert found.cost is not None
    assert found.cost.value == "768.00"
    gained = degrees(found.governing)
    assert found.per_100 == pytest.approx(gained.value / 7.68)
    assert 5.0 < gained.low < gained.value < gained.high


@pytest.mark.behaviour("too wide, too deep or of the wrong hand: never named, however strong; none that fits, no fix")
def test_a_fan_that_does_not_fit_is_not_named() -> None:
    text = text_of(BUDGET)
    assert fix(answered(text, WEAK, BEST, WIDE, DEEP, PUSHER), INSTEAD).fix == "best off the shelf"
    none = answered(text, WIDE, DEEP, PUSHER)
    assert not {INSTEAD, BESIDE} & {item.code for item in none.fixes}
    assert offers_of(package(text_of(HOT_ROD)), shelf(BEST), 0) == {}


@pytest.mark.behaviour("without a shelf the generic fan stands as before; with one, every other fix is the same")
def test_no_shelf_changes_nothing() -> None:
    text = text_of(PARADE)
    plain, shelved = answered(text), answered(text, WEAK, BEST)
    assert fix(plain, INSTEAD).is_generic
    assert fix(plain, INSTEAD).fix == "generic brushless fan"

    def others(answer: Assessment) -> list[str]:
        return [item.model_dump_json() for item in answer.fixes if item.code not in (INSTEAD, BESIDE)]

    assert others(plain) == others(shelved)
    apart = {"fixes", "smallest_set"}
    assert plain.model_dump(exclude=apart) == shelved.model_dump(exclude=apart)


@pytest.mark.by_hand("210.00 for the fan and 55.00 round it: 265.00; 5 h at 95.00: 740.00")
def test_a_second_fan_comes_off_the_shelf() -> None:
    found = fix(answered(ONE_FAN, LITTLE, SMALL_FAN, BEST), BESIDE)
    assert found.fix == "small beside the fans there"
    assert found.parts is not None
    assert found.parts.value == "265.00"
    assert found.cost is not None
    assert found.cost.value == "740.00"
    assert found.not_with == [INSTEAD]
    two = fitted(package(ONE_FAN), BESIDE, SMALL_FAN).filled
    slack = (24.5 - 11.6 - 10.9) / 2
    places = [convert(float(two[f"fans.{i}.x"][0]), "m", "in") for i in (0, 1)]
    assert places == pytest.approx([5.8 + slack / 2, 24.5 - 5.45 - slack / 2], abs=1e-3)


def typed(row: str, place: str) -> str:
    """A row of the shelf as a builder copies it into the job."""
    cells = dict(zip(HEADS.strip().split(","), row.strip().split(","), strict=True))
    points = ", ".join(
        f'["{flow} cfm", "{pressure} inH2O"]' for flow, pressure in map(str.split, cells["curve"].split(";"))
    )
    lines = [f'{name} = "{cells[name]}"' for name in ("kind", "direction", "frame")]
    lines += [f'{name} = "{cells[name]} in, catalogue"' for name in ("blade", "hub", "frame_size", "overall_depth")]
    lines += [f'{name} = "{cells[name]} A, catalogue"' for name in ("run_amps", "start_amps")]
    lines += [f'test_volts = "{cells["test_volts"]} V, catalogue"']
    lines += [f'free_flow = "{cells["free_flow"]} cfm, catalogue"', f"curve = [{points}]"]
    return "\n".join([f'[[fans]]\ncode = "new"\n{place}', *lines]) + "\n"


AS_TYPED: list[tuple[str, str, Callable[[str], str], int]] = [
    (INSTEAD, BEST, lambda text: text[: text.index("[[fans]]")] + typed(BEST, 'x = "12 in"\ny = "8.5 in"'), 0),
    (
        BESIDE,
        SMALL_FAN,
        lambda text: (
            text[: text.index("[[cases]]")].replace('x = "12 in"', 'x = "6.3 in"')
            + typed(SMALL_FAN, 'x = "18.55 in"\ny = "8.5 in"')
        ),
        1,
    ),
]


@pytest.mark.behaviour("a fan off the shelf does what it does copied into the job: to 0.02 K at the middle")
@pytest.mark.parametrize(("code", "row", "copied", "index"), AS_TYPED, ids=[code for code, *_ in AS_TYPED])
def test_a_fan_off_the_shelf_is_what_a_builder_would_type(
    code: str, row: str, copied: Callable[[str], str], index: int
) -> None:
    by_hand = copied(ONE_FAN) + ONE_FAN[ONE_FAN.index("[[cases]]") :]
    offered = fitted(package(ONE_FAN), code, row, index=index)
    assert unregulated(offered.filled, index)[0] == pytest.approx(
        unregulated(package(by_hand).filled, index)[0], abs=0.02
    )


DEMO = (Path(__file__).parents[1] / "src/shroudwright/job/demo.job.toml").read_text(encoding="utf-8")
BARE = ONE_FAN.replace("[[cases]]", '[shroud]\ntype = "none"\n\n[[cases]]', 1)


@pytest.mark.law("no other fan of the shelf that fits leaves the coolant cooler, each fitted and solved whole")
@pytest.mark.parametrize(
    ("text", "index"),
    [(DEMO, 3), (text_of(PARADE), 0), (text_of(BUDGET), 0), (ONE_FAN, 1), (BARE, 0), (BARE, 1)],
    ids=["demo", "parade, bare, typed volts", "budget, bare", "one fan", "bare, idle", "bare, hill"],
)
def test_the_quick_look_finds_the_best(text: str, index: int) -> None:
    found = package(text, 2)
    whole = offers_of(found, shipped_shelf(), index)
    assert INSTEAD in whole
    for code, best in whole.items():
        reached: dict[str, float] = {}
        for item in shipped_shelf():
            if one := offers_of(found, [item], index).get(code):
                edited = one.edit(found)
                assert edited is not None
                reached[one.name] = float(unregulated(edited.filled, index)[0])
        assert reached[best.name] == pytest.approx(min(reached.values()), abs=0.2)


LARGE = "large,brushed,puller,16,5,round,16.6,2.4,20,60,1700,1700 0; 1000 0.4; 0 0.8,70,catalogue,13.5\n"
TINY = "tiny,brushless,puller,11,4,round,16.4,2.4,20,24,1900,1900 0; 1330 0.6; 0 1.6,70,catalogue,13.5\n"
MODEST = BEST.replace("best,brushless", "modest,brushed").replace(",26,28,", ",12,36,")
HUNGRY = MODEST.replace("modest", "hungry").replace(
    ",12,36,2500,2500 0; 1900 0.5; 1200 1.0; 0 1.6", ",40,120,2525,2525 0; 1920 0.505; 1212 1.01; 0 1.62"
)


@pytest.mark.law("a bare fan draws under its blades alone; amps the alternator lacks cost volts, typed ones too")
@pytest.mark.parametrize(
    ("text", "better", "worse"), [(BARE, LARGE, TINY), (text_of(PARADE), MODEST, HUNGRY)], ids=["blades", "volts"]
)
def test_the_quick_look_sees_more_than_the_curve(text: str, better: str, worse: str) -> None:
    found = package(text, 2)
    reached = {row: unregulated(fitted(found, INSTEAD, row).filled)[0] for row in (better, worse)}
    assert reached[better] < reached[worse] - 2.0
    for rows in ((better, worse), (worse, better)):
        assert offers_of(found, shelf(*rows), 0)[INSTEAD].name == better.partition(",")[0]


@pytest.mark.behaviour("a price that is not known is not nothing: no money, and behind every fix that has one")
@pytest.mark.parametrize("price", ["", "300 EUR"])
def test_a_fan_without_a_price(price: str) -> None:
    answer = answered(text_of(PARADE), BEST.replace(",333,", f",{price},"))
    found = fix(answer, INSTEAD)
    assert (found.parts, found.cost, found.per_100) == (None, None, None)
    assert found.hours.value == 4.0
    assert answer.fixes[-1] == found


def with_a_pump(x: float, depth: float) -> str:
    """The one fan 8 in from the core's left edge, and a pump nose behind the core."""
    spot = f'{{ x = "{x} in", y = "8.5 in", depth = "{depth} in", size = "4 in" }}'
    rest = f'overall_depth = "1.5 in"\n\n[space]\nengine_rock = "0.5 in"\ndepth_map = [{spot}]\n\n'
    rest += '[shroud]\ntype = "full"\ndepth = "0.7 in"\n\n[[cases]]'
    return ONE_FAN.replace('x = "12 in"', 'x = "8 in"').replace("[[cases]]", rest, 1)


@pytest.mark.by_hand("0.7 in of shroud, 2.4 of fan, 0.5 of rock: 3.6 in, and 4.4 behind a shroud of 1.5")
def test_room_behind_decides() -> None:
    own = shelf(BEST)
    beside = fitted(package(with_a_pump(13.2, 3.0)), INSTEAD, BEST).filled
    assert beside["fans.0.x"][0] == pytest.approx(8 * 0.0254), "it stays where the old one clears the nose"
    assert offers_of(package(with_a_pump(8.0, 3.5)), own, 0) == {}
    room = package(with_a_pump(8.0, 4.0))
    offer = offers_of(room, own, 0)[INSTEAD]
    deeper = REMEDIES["deeper plenum"](room)
    assert deeper is not None
    assert offer.edit(room) is not None
    assert offer.edit(deeper) is None


@pytest.mark.behaviour("fans sold as a pair come as a pair, or not at all")
def test_a_pair_in_one_frame() -> None:
    pair = [item for item in shipped_shelf() if item.code == "D11"]
    found = package(ONE_FAN)
    assert {code: offer.name for code, offer in offers_of(found, pair, 0).items()} == {INSTEAD: "2 x D11"}
    edited = offers_of(found, pair, 0)[INSTEAD].edit(found)
    assert edited is not None
    x = np.array([edited.filled[f"fans.{i}.x"][0] for i in (0, 1)]) / 0.0254
    assert x == pytest.approx([24.5 / 4, 24.5 * 3 / 4], abs=1e-3)
