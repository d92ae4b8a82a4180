"""Metal, wire, settings and price as they follow from a job, and what they feed back."""

import re
from decimal import Decimal
from pathlib import Path

import pytest

from shroudwright.assess import assess_and_plan
from shroudwright.assessment import Assessment
from shroudwright.bench.arcs import contains
from shroudwright.bench.errors import InputError
from shroudwright.control_reasons import SAID as SAID_OF_CONTROL
from shroudwright.job.files import parse_job
from shroudwright.plan import Plan
from shroudwright.shop_reasons import SAID
from shroudwright.wiring_reasons import SAID as SAID_OF_WIRING
from tests.jobs import DEMO, STANDING_DEMO

ROOT = Path(__file__).parent.parent


def worked_out(text: str) -> tuple[Assessment, Plan]:
    return assess_and_plan(parse_job(text.encode(), "x.job.toml"), draws=100)


@pytest.fixture(scope="module")
def demo() -> tuple[Assessment, Plan]:
    return worked_out(DEMO)


@pytest.mark.behaviour("every code a room can return has its words")
def test_every_shop_code_is_worded() -> None:
    rooms = [
        "metal/look.py",
        "metal/pan.py",
        "metal/opening_rules.py",
        "metal/hardware.py",
        "metal/welds.py",
        "metal/drawing_rules.py",
        "metal/nest.py",
        "metal/making.py",
        "job/mounting.py",
        "metal/stiffness.py",
        "wiring/circuits.py",
        "wiring/checks.py",
        "wiring/switching.py",
        "wiring_reasons.py",
        "control/settings.py",
        "control/rules.py",
    ]
    said = SAID.keys() | SAID_OF_WIRING.keys() | SAID_OF_CONTROL.keys()
    text = "".join((ROOT / "src/shroudwright" / room).read_text(encoding="utf-8") for room in rooms)
    assert set(re.findall(r'"([ABODWCSMF]\d\d)"', text)) == said


@pytest.mark.practice("a 20 to 28 A fan takes 10 or 8 gauge; smaller fans thinner wire")
def test_the_demo_is_wired_sanely(demo: tuple[Assessment, Plan]) -> None:
    _, plan = demo
    for circuit in plan.circuits:
        assert circuit.supply_gauge in (8.0, 10.0, 12.0, 14.0)
        assert circuit.drop <= 0.8
        assert circuit.fuse_rating >= circuit.highest_amps / 0.75 - 1e-9
    big, small = plan.circuits[0], plan.circuits[1]
    assert big.highest_amps > small.highest_amps
    assert big.supply_gauge <= small.supply_gauge


@pytest.mark.by_hand("four measured holes each on one fan, none on two: what is missing is named and keeps it a trial")
def test_what_is_not_measured_keeps_it_a_trial(demo: tuple[Assessment, Plan]) -> None:
    answer, plan = demo
    assert plan.is_trial
    assert answer.shroud is not None
    assert answer.shroud.trial
    assert answer.shroud.unmeasured == ["Q10 left: mount holes", "Q10 right: mount holes"]
    hole = '\nholes = [["4 in, measured", "4 in, measured", "0.2 in, measured"]]\n'
    whole = STANDING_DEMO.replace('frame_size = "10.8 in, measured"\n', 'frame_size = "10.8 in, measured"' + hole)
    measured, _ = worked_out(whole)
    assert measured.shroud is not None
    assert not measured.shroud.trial
    assert measured.shroud.unmeasured == []


@pytest.mark.law("more amps at hot idle, more volts at the fan, until there is enough")
def test_the_alternator_decides_the_volts(demo: tuple[Assessment, Plan]) -> None:
    def volts(amps: str) -> float:
        answer, _ = worked_out(STANDING_DEMO.replace('"66 A, measured"', f'"{amps}, measured"'))
        return answer.cases[0].fans[0].volts.value

    weak, middling, strong, stronger = (volts(amps) for amps in ("40 A", "60 A", "100 A", "125 A"))
    assert weak < middling < strong
    assert strong == pytest.approx(stronger, abs=0.02)
    measured, _ = worked_out(STANDING_DEMO.replace("[electrical]", '[electrical]\nsource_volts = "13.5 V, measured"'))
    assert measured.cases[0].volts == pytest.approx(13.5)


@pytest.mark.behaviour("W40 fires when the alternator falls short and stays quiet when it does not")
def test_alternator_finding(demo: tuple[Assessment, Plan]) -> None:
    assert "W40" in {finding.code for finding in demo[0].findings}
    strong, _ = worked_out(STANDING_DEMO.replace('"66 A, measured"', '"120 A, measured"'))
    assert "W40" not in {finding.code for finding in strong.findings}
    unknown, _ = worked_out(
        STANDING_DEMO.replace('alternator_rating = "130 A, box"\nalternator_hot_idle = "66 A, measured"\n', "")
    )
    assert "W40" not in {finding.code for finding in unknown.findings}
    assert unknown.cases[0].alternator_margin is None


@pytest.mark.law("thicker wire where the job says so: the path's resistance is fed back")
def test_typed_resistance_stands_over_the_proposed_wire(demo: tuple[Assessment, Plan]) -> None:
    thin, _ = worked_out(STANDING_DEMO.replace("[electrical]", '[electrical]\npath_resistance = "120 mohm, measured"'))
    assert thin.cases[0].fans[0].volts.value < demo[0].cases[0].fans[0].volts.value - 0.5
    assert "A07" in {finding.code for finding in thin.findings}


@pytest.mark.by_hand("typed prices: 168 + 84 + 84 = 336 USD; the rest from the list")
def test_the_bill_adds_up(demo: tuple[Assessment, Plan]) -> None:
    bill = demo[1].bill
    assert bill is not None
    assert sum((line.total for line in bill.lines[:3]), Decimal(0)) == Decimal("336.00")
    assert sum((line.total for line in bill.lines), Decimal(0)) == bill.parts
    assert bill.parts + bill.labour == bill.total
    with pytest.raises(InputError, match="one currency"):
        worked_out(STANDING_DEMO.replace('"168.00 USD"', '"168.00 CAD"'))


@pytest.mark.by_hand("OFF at least 10 degF over a 185 degF thermostat, ON 10 over OFF, fan 2 later, alarm last")
def test_settings_stand_in_order(demo: tuple[Assessment, Plan]) -> None:
    settings = demo[0].settings
    assert settings is not None
    assert settings.second_on is not None
    ten = 10.0 * 5.0 / 9.0
    assert settings.fan_off >= (195.0 - 32.0) / 1.8 + 273.15 - 1e-9
    assert settings.fan_on == pytest.approx(settings.fan_off + ten)
    assert settings.fan_on < settings.second_on < settings.alarm
    none, _ = worked_out(STANDING_DEMO.replace('thermostat_place = "outlet"', 'thermostat_place = "none"'))
    assert none.settings is None


@pytest.mark.behaviour("a stop on the metal")
def test_a_fan_too_big_for_the_flat_face_stops_the_cutting() -> None:
    answer, _ = worked_out(STANDING_DEMO.replace('height = "17 in, measured"', 'height = "15 1/4 in, measured"'))
    stops = {finding.code for finding in answer.findings if finding.level == "stop"}
    assert "B05" in stops


@pytest.mark.by_hand("the demo's face: 37 in by 18 less two 1 1/4 in rolls; walls the roll's arc and what is straight")
def test_the_face_of_the_demo(demo: tuple[Assessment, Plan]) -> None:
    answer, plan = demo
    assert plan.face is not None
    assert plan.shroud is not None
    face, shape, inch = plan.face.face, plan.shroud.shape, 0.0254
    assert face.height == pytest.approx(shape.face)
    assert face.width == pytest.approx(37.0 * inch)
    assert face.walls == (None, None, pytest.approx(shape.roll_allowance + shape.wall), pytest.approx(face.walls.top))
    assert face.walls.top == pytest.approx(face.walls.bottom)
    assert face.welded == ("left", "right")
    pitch = [hole.x for hole in plan.shroud.flats[0].holes if hole.purpose == "flange bolt"]
    assert face.bolt_pitch == pytest.approx(pitch[1] - pitch[0])
    assert [fan.code for fan in face.fans] == [circuit.name for circuit in plan.circuits]
    # The first has four measured holes, the others none: theirs are guessed round the opening, and so are weights.
    assert all(len(fan.mounts) == 4 for fan in face.fans)
    assert face.fans[0].mass == pytest.approx(2.5 * (14.0 / 16.0) ** 1.6)
    for rim, fan in zip(face.openings, face.fans, strict=True):
        assert not any(contains(rim, x, y) for x, y in fan.mounts)
        assert all(0.0 < x < face.width and 0.0 < y < face.height for x, y in fan.mounts)
    assert answer.shroud is not None
    assert answer.shroud.face_frequency == plan.face.frequency
    assert answer.shroud.face_stress_share == plan.face.fatigue_share
    assert answer.shroud.face_buckling_rise == plan.face.buckling_rise


@pytest.mark.behaviour("thin sheet: the face shakes slowly, cutting stops, what would cure it is worked out")
def test_a_thin_face_is_stopped() -> None:
    thin = STANDING_DEMO.replace("[shroud]", '[shop]\nsheet_thickness = "0.032 in, measured"\n\n[shroud]', 1)
    answer, plan = worked_out(thin)
    said = [finding for finding in answer.findings if finding.code in ("S01", "S03")]
    assert [finding.level for finding in said] == ["stop"] * len(said)
    assert "times a second against 20 times a second" in said[0].because
    assert re.search(
        r"Worked out: .* in sheet, \d+ times a second at \d+ % of what it stands, cures it", said[0].remedy
    )
    assert plan.cures


@pytest.mark.behaviour(
    "a bead between two fans is reckoned with; where fans stand too close for one nothing is claimed"
)
def test_a_bead() -> None:
    bead = '[shroud]\nstiffener = "bead"'
    crowded, _ = worked_out(STANDING_DEMO.replace("[shroud]", bead, 1))
    assert "S05" in {finding.code for finding in crowded.findings}
    pickup = (ROOT / "examples/supercharged-pickup.job.toml").read_text(encoding="utf-8")
    plain, beaded = (worked_out(text)[1].face for text in (pickup, pickup.replace("[shroud]", bead, 1)))
    assert plain is not None
    assert beaded is not None
    assert beaded.frequency > 1.1 * plain.frequency
    assert "S05" not in {finding.code for finding in beaded.findings}


@pytest.mark.behaviour("no shroud where none is asked")
def test_bare_fans_have_no_metal() -> None:
    answer, plan = worked_out(STANDING_DEMO.replace('type = "full"\ndepth', 'type = "none"\ndepth'))
    assert plan.shroud is None
    assert answer.shroud is None
    assert answer.flats == []
    assert answer.wiring


@pytest.mark.behaviour("every example plans")
@pytest.mark.parametrize("path", sorted((ROOT / "examples").glob("*.job.toml")), ids=lambda path: path.name[:-9])
def test_every_example_plans(path: Path) -> None:
    answer, plan = assess_and_plan(parse_job(path.read_bytes(), path.name), draws=20)
    assert len(plan.circuits) == len(answer.wiring) > 0
    assert answer.price is not None
    assert Decimal(answer.price.total) > 0
    assert plan.bill is not None
    sheets = [line for line in plan.bill.lines if "sheet" in line.part]
    assert len(sheets) == (plan.nest is not None) + len(plan.nest_others)
    for line, one in zip(sheets[1:], plan.nest_others, strict=True):
        cut = sum(spot.part.area for sheet in one.nest.sheets for spot in sheet)
        assert 2700.0 * one.thickness * cut < float(line.quantity) < 3.0 * 2700.0 * one.thickness * cut


@pytest.mark.by_hand("sheet is priced by what is bought: 0.080 in of the sheets' area at 0.097 lb/in3")
def test_sheets_are_bought_whole(demo: tuple[Assessment, Plan]) -> None:
    _, plan = demo
    assert plan.nest is not None
    assert plan.bill is not None
    (line,) = [line for line in plan.bill.lines if "sheet" in line.part]
    mass = plan.nest.area / 0.0254**2 * 0.080 * 0.097 * 0.45359237
    assert float(line.quantity) == pytest.approx(mass, rel=0.01)
    _, own = worked_out(STANDING_DEMO + '\n[shop]\nsheets = [["26 in", "50 in"]]\n')
    assert own.nest is not None
    assert (own.nest.width, own.nest.height) == pytest.approx((26 * 0.0254, 50 * 0.0254))
    assert own.drawn == ()
