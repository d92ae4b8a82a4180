"""A job's plumbing from what is typed to flow, findings, answer and bill."""

import math
import re
from decimal import Decimal
from types import SimpleNamespace

import numpy as np
import pytest

from shroudwright.assess import assess_and_plan
from shroudwright.assessment import Assessment
from shroudwright.bench.errors import InputError
from shroudwright.circuit.pump import electric_pump_flow
from shroudwright.job.circuits import budget_of, circuits_of
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.flatten import flatten
from shroudwright.job.heat_load import heat_load
from shroudwright.job.plumbing import facts_of, loop_of, needs_of, past_core, pump_of
from shroudwright.job.priors import priors, words
from shroudwright.pack.air_path import core_of
from shroudwright.pack.coolant_path import radiator_flow_imbalance
from shroudwright.packet.plumbing import plumbing_pages
from shroudwright.packet.wiring import wiring_pages
from shroudwright.plan import Plan
from shroudwright.plumbing.checks import Sums, checks
from shroudwright.plumbing.fittings import Run, hose_fittings, restrictor_loss, run_as_one
from shroudwright.plumbing.network import FITTINGS, network
from shroudwright.plumbing.split import heater_relief
from shroudwright.plumbing_reasons import SAID
from shroudwright.radiator.core import surface
from shroudwright.uncertain.draws import draw
from tests.jobs import SMALL

UPPER = '[[hoses]]\nway = "engine to core"\nbore = "1.5 in, measured"\nlength = "24 in, measured"\nbends = 2\n'
LOWER = '[[hoses]]\nway = "core to engine"\nbore = "1.75 in, measured"\nlength = "18 in, measured"\nbends = 1\n'
FINE = Sums(0.6e-3, 2.4e-3, 100e3, 80e3, 15.0, 0.7)


def filled(plumbing: str = "", hoses: str = "", circuit: str = "") -> Filled:
    text = f"{SMALL}\n[plumbing]\n{plumbing}\n{hoses}\n[circuit]\n{circuit}\n"
    job = parse_job(text.encode(), "x.job.toml")
    return Filled(job, draw(priors(job), 4), {path: word.value for path, word in words(job).items()})


def codes(plumbing: str = "", hoses: str = "", sums: Sums = FINE) -> dict[str, str | None]:
    found = checks(facts_of(filled(plumbing, hoses)), sums)
    return {item.code: item.level or SAID[item.code].level for item in found}


HEIGHTS = 'engine_top = "33 in"\ncore_top = "31 in"\n'
FIRES = {
    "K05": (HEIGHTS + 'filler_height = "32 in"', HEIGHTS + 'filler_height = "34 in"'),
    "K06": (HEIGHTS + "engine_vent = false", HEIGHTS + "engine_vent = true\ncore_vent = false"),
    "K07": ("vents_rise = false", "vents_rise = true"),
    "K08": (
        HEIGHTS + 'tank = "surge tank"\ntank_level = "30 in"',
        HEIGHTS + 'tank = "recovery bottle"\ntank_level = "30 in"',
    ),
    "K10": ("air_hole = false", "air_hole = true"),
    "K11": ('engine_outlet = "1.25 in"\ninlet_neck = "1.5 in"', 'engine_outlet = "1.5 in"\ninlet_neck = "1.5 in"'),
    "K12": ('restrictor = "0.75 in"', "air_hole = true"),
    "K13": ('cap_place = "inlet tank"', 'cap_place = "outlet tank"'),
    "K14": ('trans_order = "air first"', 'trans_order = "tank first"'),
    "K15": ('core_mount = "rigid"', 'core_mount = "isolated"'),
    "K16": ("through_fins = true", "through_fins = false"),
    "K17": ("metal_touches = true", "metal_touches = false"),
    "K18": ('tank = "surge tank"\ntank_volume = "2 L"', 'tank = "surge tank"\ntank_volume = "2.5 L"'),
    "K20": ("drain = false", "drain = true"),
    "K21": ("neck_beads = false", "neck_beads = true"),
    "K22": ('tank = "none"', 'tank = "recovery bottle"'),
}


@pytest.mark.behaviour("every finding fires on what is wrong, stays quiet on what is right, and on nothing typed")
@pytest.mark.parametrize("code", FIRES)
def test_findings(code: str) -> None:
    wrong, right = FIRES[code]
    assert code in codes(wrong)
    assert code not in codes(right)
    assert not codes()


@pytest.mark.behaviour("every finding of the plumbing is fired here: those of FIRES, of a hose, of the inlet")
def test_none_is_left_out() -> None:
    assert FIRES.keys() | {"K09", "K19"} == {f"K{number:02}" for number in range(5, 23)} == SAID.keys()


@pytest.mark.behaviour("a hose without a code is called by its way, one of two of a way by its number")
def test_names() -> None:
    typed = filled(hoses=UPPER + LOWER + LOWER + '[[hoses]]\nway = "bypass"\ncode = "short"\n')
    assert [hose.code for hose in typed.job.hoses] == ["engine to core", "hose 2", "hose 3", "short"]


@pytest.mark.behaviour("hoses: no spring, a vent that sags, a neck of another size, a list without a vent")
def test_findings_of_hoses() -> None:
    assert codes(hoses=LOWER + "spring = false")["K09"] == "fix"
    assert "K09" not in codes(hoses=LOWER + "spring = true")
    assert "K09" not in codes(hoses=LOWER + 'spring = false\nmade_of = "hard tube"')
    assert "K07" in codes(hoses='[[hoses]]\nway = "engine vent"\nrises = false')
    assert codes('outlet_neck = "1.5 in"', LOWER)["K11"] == "fix"
    assert "K11" not in codes('outlet_neck = "1.75 in"', LOWER)
    assert "K06" in codes(HEIGHTS, LOWER)
    assert "K06" not in codes(HEIGHTS + 'cap_place = "engine"', LOWER)


@pytest.mark.behaviour("graver or lighter by the numbers: cap, pump inlet, tank, air hole beside a vent")
def test_levels() -> None:
    low = FINE._replace(static_left=20e3)
    assert codes('cap_place = "inlet tank"')["K13"] == "watch"
    assert codes('cap_place = "inlet tank"', sums=low)["K13"] == "fix"
    assert codes('cap_place = "outlet tank"', sums=FINE._replace(suction_margin=2.0))["K19"] == "watch"
    assert codes('cap_place = "outlet tank"', sums=FINE._replace(suction_margin=-2.0))["K19"] == "fix"
    assert "K19" not in codes(sums=FINE._replace(suction_margin=-2.0))
    assert codes('tank = "surge tank"\ntank_volume = "0.7 L"')["K18"] == "fix"
    assert codes("air_hole = false\nengine_vent = true")["K10"] == "note"


@pytest.mark.by_hand("both hoses typed: their own runs as one; one alone: the guess stands")
def test_loop() -> None:
    one = Run(0.0381, 24 * 0.0254, hose_fittings(0.0381, 2, None, None, None))
    other = Run(0.04445, 18 * 0.0254, hose_fittings(0.04445, 1, None, None, None))
    whole, made = run_as_one([one, other]), loop_of(filled(hoses=UPPER + LOWER))
    for ours, theirs in zip(made, whole, strict=True):
        assert float(ours if isinstance(ours, float) else ours[0]) == pytest.approx(theirs)
    guess = loop_of(filled(hoses=LOWER))
    assert float(guess.bore[0]) == pytest.approx(0.0381)  # type: ignore[index]
    assert float(guess.length[0]) == pytest.approx(60 * 0.0254)  # type: ignore[index]
    with_washer = loop_of(filled('restrictor = "0.75 in"'))
    assert float(with_washer.fittings[0] - guess.fittings[0]) == pytest.approx(  # type: ignore[index]
        restrictor_loss(0.75 * 0.0254, 0.0381)
    )


@pytest.mark.law(
    "pump: flow with drive ratio, pressure with its square; typed flow stands; electric knows no engine speed"
)
def test_pump() -> None:
    rpm = 2000.0
    plain, faster = filled(), filled("pump_ratio = 1.25")
    flow, pressure = (made[0] for made in pump_of(plain, plain["engine.idle_rpm"] * 0 + rpm))  # type: ignore[index]
    quick, push = (made[0] for made in pump_of(faster, faster["engine.idle_rpm"] * 0 + rpm))  # type: ignore[index]
    assert (quick / flow, push / pressure) == pytest.approx((1.25, 1.5625))
    typed = filled("pump_ratio = 1.25", circuit='pump_flow = "9 gpm"')
    assert pump_of(typed, typed["engine.idle_rpm"] * 0 + 1000.0)[0][0] == pytest.approx(  # type: ignore[index]
        9 * 231 * 0.0254**3 / 60
    )
    electric = filled('pump = "electric"\nelectric_flow = "55 gpm"\nelectric_pressure = "9 psi"')
    slow, fast = (pump_of(electric, electric["engine.idle_rpm"] * 0 + at) for at in (700.0, 5000.0))
    assert slow[0][0] == fast[0][0]  # type: ignore[index]
    belt = [float(electric[f"circuit.{name}"][0]) for name in ("pump_flow", "pump_shutoff_pressure", "bypass_share")]
    free = (1.0 - belt[2]) * 55 * 231 * 0.0254**3 / 60
    assert slow[0][0] == pytest.approx(  # type: ignore[index]
        electric_pump_flow(free, 9 * 6894.757, belt[0], belt[1]), rel=1e-6
    )


HEATER = "".join(
    f'[[hoses]]\nway = "{way}"\nbore = "0.625 in"\nlength = "60 in"\nbends = 3\n'
    for way in ("heater feed", "heater return")
)


@pytest.mark.by_hand(
    "none of either: 0; one of them: half the guess; a typed share stands; 5/8 in hoses, 3.05 m and a heater's core: "
    "k = (0.022 x 192 + K) 510 / A^2 + 3.6e11, q = sqrt(2.5 kPa / k), share q / (q + 10 gpm)"
)
def test_past_core() -> None:
    guess = filled()["circuit.bypass_share"]
    assert past_core(filled()) == pytest.approx(guess)
    assert past_core(filled('heater = "none"\nbypass = "none"')) == pytest.approx(0.0 * guess)
    assert past_core(filled('heater = "valve"')) == pytest.approx(0.5 * guess)
    assert past_core(filled('bypass = "none"')) == pytest.approx(0.5 * guess)
    assert past_core(filled('heater = "none"', circuit='bypass_share = "0.2"'))[0] == pytest.approx(0.2)
    flows = filled('bypass = "none"', HEATER)
    bore, area = 0.015875, 0.25 * math.pi * 0.015875**2
    heads = 2 * hose_fittings(bore, 3, None, None, None)
    k = (0.022 * 3.048 / bore + heads) * 0.5 * 1020.0 / area**2 + 3.6e11
    q = math.sqrt(0.55 * 0.35 * 13e3 / k)
    rated = 10 * 231 * 0.0254**3 / 60
    assert past_core(flows)[0] == pytest.approx(q / (q + rated), rel=1e-3)
    assert 0.08 < past_core(flows)[0] < 0.14
    assert flatten(flows, 0, heat_load(flows, 0), circuits_of(flows), plenum=False)["bypass_share"] == pytest.approx(
        past_core(flows)
    )
    assert past_core(filled('bypass = "none"', HEATER.replace('bore = "0.625 in"\n', "", 1)))[0] == pytest.approx(
        0.5 * guess[0]
    )


@pytest.mark.by_hand("40 kW at 70 K over: 571 W/K; a heater of 80 W/K takes 70 x 80 / 651 = 8.6 K")
def test_heater_relief() -> None:
    assert heater_relief(40e3, 70.0, 80.0) == pytest.approx(8.6, abs=0.01)


@pytest.mark.law("the record that is solved holds the listed hoses; with narrower ones less coolant flows")
def test_record_and_flow() -> None:
    wide, narrow = (filled(hoses=(UPPER + LOWER).replace("1.75 in", bore)) for bore in ("1.75 in", "1 in"))
    flows = []
    for made in (wide, narrow):
        rows = flatten(made, 0, heat_load(made, 0), circuits_of(made), plenum=False)
        run = loop_of(made)
        assert rows["hose_bore"][0] == np.ravel(run.bore)[0]
        assert rows["hose_length"][0] == pytest.approx(np.ravel(run.length)[0])
        assert rows["hose_fittings"][0] == pytest.approx(np.ravel(run.fittings)[0])
        core = core_of(rows["core"][0])
        setup = SimpleNamespace(core=core, made=surface(core))
        p = SimpleNamespace(**{name: float(rows[name][0]) for name in rows.dtype.names if rows[name].ndim == 1})
        at = np.linspace(1e-5, 2.0 * p.pump_flow, 400)
        flows.append(next(q for q in at if radiator_flow_imbalance(p, setup, 1020.0, 4e-4, 1.0, q) < 0.0))
    assert 0.3 * flows[0] < flows[1] < 0.98 * flows[0]


@pytest.mark.behaviour("what cannot all be true is told in plain words")
def test_faults() -> None:
    with pytest.raises(InputError) as caught:
        filled(
            'pump = "electric"\ntank = "none"', UPPER + LOWER + '[[hoses]]\nway = "core vent"', 'hose_bore = "1.5 in"'
        )
    text = "\n".join(caught.value.faults)
    for part in (
        "circuit.hose_bore: the list",
        "electric_flow: missing",
        "electric_pressure: missing",
        "plumbing.tank",
    ):
        assert part in text
    assert len(caught.value.faults) == 4
    with pytest.raises(InputError, match=r"plumbing\.pump: type pump = 'electric'"):
        filled('electric_flow = "55 gpm"')


@pytest.mark.law("every line joins fittings its parts have; every way that can be typed is a line of some circuit")
def test_network() -> None:
    ways = set()
    for tank in ("surge tank", "recovery bottle"):
        needs = needs_of(filled(f'tank = "{tank}"\nengine_vent = true\nbypass = "hose"\ntrans_order = "tank first"'))
        made = network(needs._replace(has_tank_overflow=True))
        kinds = {part.id: part.kind for part in made.parts}
        for line in made.lines:
            assert all(end.name in FITTINGS[kinds[end.part]] for end in (line.begins, line.ends))
        ways |= {line.way for line in made.lines}
    assert ways == set(_typed_ways())


def _typed_ways() -> tuple[str, ...]:
    from shroudwright.job.fields import words_of
    from shroudwright.job.hoses import Hose

    return words_of(Hose.model_fields["way"])


@pytest.fixture(scope="module")
def mule() -> tuple[Assessment, Plan]:
    typed = (
        '[plumbing]\ntank = "surge tank"\ntank_volume = "1 L"\ncap_place = "inlet tank"\nair_hole = false\n'
        'engine_outlet = "1.5 in"\nengine_outlet_side = "left"\nengine_outlet_angle = "45 deg"\nrestrictor = "0.6 in"\n'
    )
    text = f"{SMALL}\n{typed}\n{UPPER}{LOWER}"
    return assess_and_plan(parse_job(text.encode(), "x.job.toml"), draws=8)


@pytest.mark.law(
    "the answer's plumbing: volumes grow as they must, pressures rise with speed, the loop's losses add up"
)
def test_answer(mule: tuple[Assessment, Plan]) -> None:
    answer, _ = mule
    found = answer.plumbing
    assert found is not None
    assert 0.03 < found.expansion / found.system_volume < 0.08
    assert found.surge_tank == pytest.approx(0.1 * found.system_volume + 2.0 * found.expansion)
    assert [turn.flow.value for turn in found.pump] == sorted(turn.flow.value for turn in found.pump)
    top = found.pump[-1]
    lost = {hose.way: hose.lost for hose in found.hoses if hose.lost is not None}
    assert sum(lost.values()) == pytest.approx(top.hose_drop.value)
    assert top.inlet_tank_over_pump.value == pytest.approx(top.core_drop.value + lost["core to engine"])
    assert found.inlet_cap_left.value == pytest.approx(15 * 6894.757 - top.inlet_tank_over_pump.value, rel=1e-6)
    assert found.pump_inlet_margin.value > found.pump_inlet_margin_open.value
    for turn in found.pump:
        for band in (turn.flow, turn.past, turn.core_drop, turn.hose_drop, turn.inlet_tank_over_pump):
            assert 0.0 < band.low <= band.value <= band.high < math.inf
    assert found.heater_relief is not None
    assert 1.0 < found.heater_relief.low < found.heater_relief.value < found.heater_relief.high < 30.0
    for turn in found.pump:
        assert turn.core_drop.high / turn.core_drop.low > turn.flow.high / turn.flow.low


@pytest.mark.behaviour("found in words, with numbers, without a brace; hoses, clamps and tank on the bill")
def test_words_and_bill(mule: tuple[Assessment, Plan]) -> None:
    answer, plan = mule
    said = {finding.code: finding for finding in answer.findings}
    assert {"K12", "K13", "K18"} <= said.keys()
    assert "K10" not in said
    assert not any("{" in finding.remedy + finding.because for finding in answer.findings)
    assert "of the flow" in said["K12"].because
    assert re.search(r"\d psi \(-?\d+ to \d+\) are left", said["K13"].because)
    assert plan.bill is not None
    lines = {line.part: line for line in plan.bill.lines}
    assert float(lines["moulded or flexible radiator hose"].quantity) == pytest.approx(42 * 0.0254, abs=0.005)
    assert lines["hose clamp"].quantity == 4
    assert plan.bill.labour == pytest.approx(Decimal(plan.bill.hours) * plan.bill.rate, abs=Decimal("0.01"))
    without = assess_and_plan(parse_job(SMALL.encode(), "x.job.toml"), draws=8)[1].bill
    assert without is not None
    assert plan.bill.hours - without.hours == pytest.approx((2 * 15 + 45 + 40) / 60)
    assert lines["aluminium surge tank with filler neck"].quantity == 1


@pytest.mark.by_hand("budgets with 10 A and 24 A of pump: 14 A less left; measured other loads have it in them")
def test_pump_amps() -> None:
    electric = 'pump = "electric"\nelectric_flow = "55 gpm"\nelectric_pressure = "9 psi"\n'
    alternator = '\n[electrical]\nalternator_rating = "140 A"\n'

    def left(typed: str, more: str = "") -> list[float]:
        made = filled(electric + typed, circuit=alternator + more)
        found = [budget_of(made, index, circuits_of(made)) for index in range(len(made.job.cases))]
        return [float(budget.left[0]) for budget in found if budget is not None]

    plain, strong = left(""), left('electric_amps = "24 A"')
    assert len(plain) == 2
    assert np.subtract(plain, strong) == pytest.approx([14.0, 14.0])
    read = 'other_loads = "40 A, measured"'
    assert left("", read) == pytest.approx(left('electric_amps = "24 A"', read))
    assert left("", read.replace("measured", "box")) == pytest.approx([amps - 10.0 for amps in left("", read)])


@pytest.mark.behaviour("an electric pump on the answer: circuit, fuse, relay, wire, its own line on the bill")
def test_pump_bought() -> None:
    typed = 'pump = "electric"\nelectric_flow = "55 gpm"\nelectric_pressure = "9 psi"\nelectric_amps = "18 A, box"\n'
    text = f"{SMALL}\n[electrical]\nalternator_rating = '140 A'\n[plumbing]\n{typed}cap_place = 'inlet tank'\n"
    text += f"{UPPER}{LOWER.replace('1.75', '0.6')}[coolant]\ncap_pressure = '0 psi'\n"
    answer, plan = assess_and_plan(parse_job(text.encode(), "x.job.toml"), draws=8)
    narrow = next(finding for finding in answer.findings if finding.code == "K19")  # no cap, a hose like a straw
    assert re.search(r"(under|past) boiling \(\d+ °F (under|past) to \d+ °F", narrow.because)
    pump = answer.wiring[-1]
    assert pump.fan == "water pump"
    assert pump.fuse_rating > 18.0
    assert plan.pump_circuit is not None
    assert plan.pump_circuit.working_amps == pytest.approx(18.0)
    assert plan.bill is not None
    lines = {line.part: line for line in plan.bill.lines}
    assert lines["electric water pump"].quantity == 1
    assert plan.harness is not None
    mine = [wire for wire in plan.harness.wires if wire.fans == (2,)]
    assert len(mine) == 4
    assert {plan.wires[wire.tag - 1].amps for wire in mine} == {plan.pump_circuit.highest_amps}
    pages = str(wiring_pages(answer, "in", plan))
    assert "All else has the water pump in it: 18 A" in pages
    assert "'relay, water pump'" in pages
    assert "electric water pump 7" not in pages


@pytest.mark.behaviour("the pages: every line in the list, blanks where nothing is typed, cautions, the drawing")
@pytest.mark.parametrize("units", ["in", "mm"])
def test_pages(mule: tuple[Assessment, Plan], units: str) -> None:
    _, plan = mule
    assert plan.plumbing is not None
    blocks = plumbing_pages(units, plan)
    rows = next(block["rows"] for block in blocks if block["kind"] == "table")
    assert [row[0] for row in rows] == [str(row.line.number) for row in plan.plumbing.laid]
    lower = next(row for row in rows if row[1] == "core to engine")
    assert lower[4] == {"in": "1 3/4 in", "mm": "44.4 mm"}[units]
    assert lower[7] == "spring: check"
    assert any("____" in row for row in rows)
    necks = [block["rows"] for block in blocks if block["kind"] == "table"][1]
    assert necks[0] == ["engine outlet", {"in": "1 1/2 in", "mm": "38.1 mm"}[units], "left", "45°"]
    assert necks[1] == ["core inlet", "____", "____", "____"]
    words = " ".join(str(block.get("words", "")) + " ".join(block.get("items", ())) for block in blocks)
    assert "Never open a hot cap" in words
    assert "surge tank, slowly" in words
    assert any(block["kind"] == "across" for block in blocks)
    assert plumbing_pages(units, Plan()) == []
