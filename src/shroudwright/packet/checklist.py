"""The install checklist: rotation and polarity, fasteners, loom, fill and bleed, first run with boxes to write in.

checklist_blocks
lowest_limit    where to stop whatever the case
"""

from shroudwright.assessment import Assessment, Band, CaseAnswer
from shroudwright.bench.units import convert
from shroudwright.hand_over import HandOver
from shroudwright.job.circuits import STANDING
from shroudwright.metal.hardware import torque_of
from shroudwright.packet.blocks import Block, heading, page, small_heading, table, words
from shroudwright.packet.plumbing import fill_order
from shroudwright.plan import Plan
from shroudwright.speech import CLIMBS, Dialect

_BLANK = "________"
_TICK = "____"
_WAYS = {
    "puller": "behind the core: tissue held at the front is drawn to the core, air comes out toward the engine",
    "pusher": "ahead of the core: tissue held behind the core is blown toward the engine",
}


def checklist_blocks(answer: Assessment, parts: Plan, shop: Dialect) -> list[Block]:
    """Return the install checklist; none where the plan does not say what is handed over.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    parts : Plan
        With hardware, settings and what is handed over.
    shop : Dialect
        Units.

    Returns
    -------
    list of Block
    """
    over = parts.hand_over
    if over is None:
        return []
    lines: list[tuple[str, str]] = [
        *_before(parts, shop),
        *_rotation(over),
        ("Loom", "clipped every 6 in (150 mm) and within 2 in (50 mm) of each plug; a drip loop before every grommet; "
         "6 in (150 mm) from exhaust or behind a shield; nothing that moves touches it."),
        ("Grounds", "bright metal, ring and star washer at the body stud; none on the core, tanks or shroud."),
        *_filling(over, parts, shop),
    ]  # fmt: skip
    return [
        page(),
        heading("Install checklist"),
        words("Battery negative off until the first run. Initial each line as it is done, not before.", 10, "bold"),
        table("0.7 done | 1.2 what | 6.6 how", [(_TICK, name, how) for name, how in lines]),
        *_torques(parts, shop),
        small_heading("First run"),
        words(
            "Out of doors or with the exhaust led out, brake on, hands and cloth clear of belts and blades. Bring it "
            "up to temperature, let it idle 20 min hot, hood shut, A/C on if it has one; then read. A reading outside "
            "the band (nine answers in ten) is an error of these sums or a fault: write it down either way.",
        ),
        words(_stop_at(answer, parts, shop), 9.5, "bold"),
        table("3 reading | 1.4r expect | 1.8r band | 1.4 read", _first_run(answer, shop)),
    ]


def _before(parts: Plan, shop: Dialect) -> list[tuple[str, str]]:
    lines = [
        ("Core", "no strain on the necks, rubber at every mount, free to grow at one end; no ties through the fins.")
    ]
    if parts.shroud is not None:
        lines.append(
            ("Shroud", "its seal touches all round: a lamp behind shows no light; trim on every edge a wire passes.")
        )
    return lines


def _rotation(over: HandOver) -> list[tuple[str, str]]:
    lines = []
    for code, kind, way in over.motors:
        swap = (
            "Runs backwards: swap its two leads at the plug."
            if kind == "brushed"
            else "Never swap the leads of a brushless motor, that kills it; one that blows backwards is the wrong part."
        )
        lines.append((code, f"{way}, {_WAYS[way]}. {swap}"))
    if lines:
        lines.append(
            (
                "Blade hand",
                "swapped leads do not make a pusher of a puller: blades are made for one way. The arrow on ring or hub "
                "agrees; paper is pulled hard, not faintly.",
            )
        )
    return lines


def _filling(over: HandOver, parts: Plan, shop: Dialect) -> list[tuple[str, str]]:
    mix = (
        "plain water with its inhibitor"
        if over.coolant == "water"
        else f"{100 * over.glycol_share:.0f} % {over.coolant}"
    )
    steps = [] if parts.plumbing is None else fill_order(parts.plumbing, shop)
    return [
        ("Coolant", f"{mix}, poured cold."),
        *((f"Fill {number}", step) for number, step in enumerate(steps, start=1)),
        ("Cap", f"{shop.gauge_pressure(over.cap_pressure)}, tested; never open it hot."),
        ("Leaks", "none at necks, drain, hoses at pressure, cold and hot; none after a night."),
    ]


def _torques(parts: Plan, shop: Dialect) -> list[Block]:
    rows = []
    for kind, size in dict.fromkeys((item.part, item.size) for item in parts.hardware):
        torque = torque_of(kind, size)
        if torque is not None:
            unit = "lbf*in" if shop.length == "in" else "N*m"
            rows.append(
                (
                    kind,
                    size,
                    f"{convert(torque, 'N*m', unit):.{0 if unit == 'lbf*in' else 1}f} {unit.replace('*', ' ')}",
                )
            )
    if not rows:
        return []
    return [
        small_heading("Small fasteners, dry"),
        table("2 what | 2 size | 2r torque", rows),
        words(
            "Bolts as makers' tables have them for class 8.8 or grade 5, dry, into lock nuts; A2 stainless takes as "
            "much. Rivet nuts from memory. With washers, through thin aluminium; the maker's figure comes first. Over "
            "rubber: only until it starts to bulge. Mark each head once it is done up, and go over them after the "
            "first 100 miles (150 km).",
            8.5,
        ),
    ]


def _first_run(answer: Assessment, shop: Dialect) -> list[tuple[str, ...]]:
    case = _standing(answer)
    rows: list[tuple[str, ...]] = []
    if case is not None:
        rows = [
            _temperature(
                f"coolant out of the engine, {case.name}, at {shop.temperature_text(case.ambient)} outside",
                case.coolant_in,
                shop,
            ),
            _temperature("coolant out of the radiator", case.coolant_out, shop),
            _temperature("air into the core", case.air_in, shop),
            _temperature("air out of the core, mean of nine places", case.air_out, shop),
        ]
        if case.face_velocity is not None:
            speeds = [
                f"{_speed(x, shop)}"
                for x in (case.face_velocity.value, case.face_velocity.low, case.face_velocity.high)
            ]
            unit = "ft/min" if shop.length == "in" else "m/s"
            rows.append(
                (
                    f"air speed at the face, mean of nine places, {unit}",
                    speeds[0],
                    f"{speeds[1]} to {speeds[2]}",
                    _BLANK,
                )
            )
        rows.append(("volts at the alternator post", f"{case.volts:.1f}", "-", _BLANK))
    rows += [
        ("outside air in the shade", "-", "-", _BLANK),
        ("coolant to ground, all loads on, volts", "0", "under 0.10", _BLANK),
        ("level after the second cool-down", "full", "-", _BLANK),
    ]
    return rows


def _stop_at(answer: Assessment, parts: Plan, shop: Dialect) -> str:
    stop = lowest_limit(answer, parts)
    case = _standing(answer)
    past = case is not None and (case.coolant_in is None or case.coolant_in.high > stop)
    return f"Switch off at {shop.temperature_text(stop)}." + (
        " It may well get there on a hot day: mend the findings first, and stay at the gauge." if past else ""
    )


def lowest_limit(answer: Assessment, parts: Plan) -> float:
    """Return the coolant temperature at which to stop whatever the case: the lowest limit, or the alarm, K."""
    limits = [case.limit for case in answer.cases]
    return min([*limits, parts.settings.alarm] if parts.settings else limits)


def _standing(answer: Assessment) -> CaseAnswer | None:
    there = [case for case in answer.cases if case.kind in STANDING]
    return next((case for case in there if case.kind == "idle"), there[0] if there else None)


def _temperature(name: str, band: Band | None, shop: Dialect) -> tuple[str, ...]:
    if band is None:
        return (name, "-", CLIMBS, _BLANK)
    return (name, shop.temperature_text(band.value), f"{shop.degrees(band.low)} to {shop.degrees(band.high)}", _BLANK)


def _speed(metres: float, shop: Dialect) -> str:
    return f"{convert(metres, 'm/s', 'ft/min'):.0f}" if shop.length == "in" else f"{metres:.1f}"
