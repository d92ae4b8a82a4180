"""A small packet's worth of everything, with words that try to escape."""

from dataclasses import replace
from functools import cache

from shroudwright.assess import assess
from shroudwright.assessment import Assessment, FindingAnswer
from shroudwright.bench.arcs import Circle, circle_outline
from shroudwright.control.plan import Plan as Controls
from shroudwright.control.settings import settings
from shroudwright.job.files import parse_job
from shroudwright.metal.look import Fan
from shroudwright.metal.shroud import Shroud, rolled_shroud
from shroudwright.metal.stiffness import Face, Hung, Stiffness, Walls, cures, face_stiffness
from shroudwright.packet import Plan
from shroudwright.price.bill import Bill, bill
from shroudwright.wiring.circuits import fan_circuit
from shroudwright.wiring.schemes import Needs, harness
from shroudwright.wiring.sizing import Runs, main_fuse, size
from tests.jobs import SMALL

INCH = 0.0254
EVIL = '#evil[*x*] $x$ <script>alert(1)</script> & "it\'s" \\ _u_'


@cache
def an_answer() -> Assessment:
    """The small job, assessed on few draws, without the stops it may have."""
    answer = assess(parse_job(SMALL.encode(), "small.job.toml"), draws=64)
    return answer.model_copy(update={"findings": [f for f in answer.findings if f.level != "stop"]})


def evil_answer() -> Assessment:
    """The same with hostile words wherever a person types some."""
    answer = an_answer()
    cases = [case.model_copy(update={"name": f"{EVIL} {n}"}) for n, case in enumerate(answer.cases)]
    return answer.model_copy(update={"job_name": EVIL, "cases": cases, "governing_case": cases[0].name})


def stopped(answer: Assessment, code: str) -> Assessment:
    """The same with a stop standing."""
    stop = FindingAnswer(
        code=code, level="stop", says="The flange crosses a neck.", because="By 3 mm.", remedy="Move it.",
        source="practice", place="shroud",
    )  # fmt: skip
    return answer.model_copy(update={"findings": [*answer.findings, stop]})


@cache
def a_shroud() -> Shroud:
    """A rolled shroud with two fans."""
    mounts = tuple((x * INCH, y * INCH, 0.25 * INCH) for x in (-5.0, 5.0) for y in (-5.0, 5.0))
    fans = [
        Fan("A", 6.3 * INCH, 8.5 * INCH, 11 * INCH, 11.4 * INCH, mounts),
        Fan("B", 18.2 * INCH, 8.5 * INCH, 10 * INCH),
    ]
    return rolled_shroud(
        core_width=24.5 * INCH, core_height=17 * INCH, depth=2 * INCH, roll_radius=1.5 * INCH,
        flange_radius=0.125 * INCH, flange_leg=0.75 * INCH, thickness=0.063 * INCH, metal="aluminium 5052-H32",
        fans=fans, opening_clearance=0.125 * INCH, bolt_hole=0.203 * INCH, bolt_pitch=4 * INCH,
        grommet=0.625 * INCH, trim=0.5 * INCH,
    )  # fmt: skip


@cache
def a_bill() -> Bill:
    """Two fans and the metal."""
    return bill(
        sheets=[("aluminium", 2.0)], wires=[(12.0, 4.0)], fuses=["E", "E"], relays=[40.0, 40.0],
        switches=["controller"], connectors=4, loom_length=3.0,
        hardware=[("grommet", 1), ("fastener", 16), ("sealing strip", 2.0)],
        fans=[("=A1", "168.00 USD"), ("B", None)],
        labour_time=3.6e4, labour_rate="95.00 USD",
    )  # fmt: skip


@cache
def a_face() -> Stiffness:
    """One that shakes slowly."""
    mounts = ((0.05, 0.05), (0.3, 0.05), (0.3, 0.3), (0.05, 0.3))
    hole = circle_outline(Circle(0.18, 0.18, 0.14))
    walls = Walls(None, None, 0.05, 0.05)
    fans = (Hung("A", 4.0, mounts, 2400.0),)
    return face_stiffness(Face(0.6, 0.36, 0.0013, "aluminium 3003-H14", (hole,), fans, walls, 0.1, ("left", "right")))


@cache
def all_parts() -> Plan:
    """Everything a packet can hold; not a trial."""
    circuits = tuple(
        fan_circuit(name=name, run_amps=11.0, test_volts=13.5, start_ratio=3.0, is_brushless=False)
        for name in ("A", "=B+1")
    )
    made = harness("controller", Needs(("A", "=B+1"), (1, 2), has_override=True))
    face = a_face()
    return Plan(
        shroud=a_shroud(),
        face=face,
        cures=cures(face),
        circuits=circuits,
        harness=made,
        wires=size(made, circuits, Runs(0.46, 1.2, 0.6, 0.76, 2.4), insulation=398.15),
        main_fuse=main_fuse(circuits),
        settings=settings(
            thermostat_opens=358.15, thermostat_span=8.0, thermostat_place="outlet", sensor_place="radiator out",
            settled=362.0, coolant_drop=6.0, limit=380.0, boil=395.0, has_second=True,
        ),
        controls=Controls(),
        bill=a_bill(),
        is_trial=False,
    )  # fmt: skip


def trial_parts() -> Plan:
    """The same as a trial."""
    return replace(all_parts(), is_trial=True)
