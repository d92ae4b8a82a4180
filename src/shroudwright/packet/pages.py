"""What stands on each page of the packet, in a builder's words.

all_pages    the blocks of the whole packet
chapters     the same by what they are about
lead         the number a case leads with
"""

from collections.abc import Sequence
from importlib.resources import files

from shroudwright.acceptance import accepted_text
from shroudwright.assessment import WORDS, Assessment, CaseAnswer, FindingAnswer, NextReading
from shroudwright.bench.arcs import box
from shroudwright.drawing.flat_picture import flat_picture, hole_gauge, section_picture
from shroudwright.drawing.plots import air_plot, cause_plot, coolant_plot, fix_plot, heat_plot
from shroudwright.drawing.svg import svg
from shroudwright.drawing.words import length_words
from shroudwright.drives import Driven
from shroudwright.metal.flat import Flat
from shroudwright.metal.nest import radius_free_of_grain
from shroudwright.metal.sheet import find_sheet
from shroudwright.metal.shroud import Shroud
from shroudwright.metal.walls import Section
from shroudwright.others import worse_than_coolant
from shroudwright.packet.behind import behind_page
from shroudwright.packet.bench import bench_blocks
from shroudwright.packet.bending import bending_blocks
from shroudwright.packet.blocks import Block, heading, items, page, picture, plain, table, words
from shroudwright.packet.brackets import bracket_blocks
from shroudwright.packet.checklist import checklist_blocks
from shroudwright.packet.control import control_pages
from shroudwright.packet.drives import drive_blocks
from shroudwright.packet.models import gaps_of
from shroudwright.packet.owner import owner_blocks
from shroudwright.packet.plumbing import plumbing_pages
from shroudwright.packet.shaking import face_blocks
from shroudwright.packet.shop_lists import hardware_blocks, laid_blocks, lip_blocks, weight_words, weld_blocks
from shroudwright.packet.stops import metal_stops
from shroudwright.packet.tables import (
    BILL_HEADS,
    CUT_HEADS,
    bend_rows,
    bill_rows,
    bought_rows,
    cut_rows,
    gap_rows,
    hole_rows,
)
from shroudwright.packet.wiring import wiring_pages
from shroudwright.plan import Plan
from shroudwright.price.bill import HOURS_WITHIN
from shroudwright.speech import (
    CLIMBS,
    SHOPS,
    Dialect,
    elsewhere_text,
    gain_for_money,
    gained_text,
    planned_text,
    set_text,
)

WIDE = 0.174
"""Metres a picture may be wide on either paper."""
_UNITS = {"**2": "²", "**3": "³", "lbf*ft": "lbf ft", "N*m": "N m", "per_inch": "per inch", "degF": "°F", "degC": "°C"}
_LEAST_SHARE = 0.75
"""A small part is drawn at least so wide beside the widest, [-]"""
_FAMILIES = {
    "rolled": "Long edges rolled, side pieces welded in",
    "bent pan": "A pan, four walls bent from one blank, corners welded",
    "flat plate": "A flat plate on spacers, foam round its edge",
}
_LEVELS = ("stop", "fix", "watch", "note")


def all_pages(answer: Assessment, units: str, parts: Plan, driven: Sequence[Driven] = ()) -> list[Block]:
    """Return the blocks of the whole packet.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    units : str
        ``in`` or ``mm``, [text]
    parts : Plan
        Metal, wires, settings and prices.
    driven : sequence of Driven
        Simulated drives, if any.

    Returns
    -------
    list of Block
        In the order of the pages.
    """
    return [block for chapter in chapters(answer, units, parts, driven).values() for block in chapter]


def chapters(answer: Assessment, units: str, parts: Plan, driven: Sequence[Driven] = ()) -> dict[str, list[Block]]:
    """Return the blocks of the packet by what they are about, in its order."""
    shop = SHOPS[units]
    return {
        "verdict": _cover(answer, shop),
        "heat": _heat_and_air(answer, shop),
        "fans": _fans(answer, shop),
        "fixes": _fixes(answer, shop),
        "air": behind_page(answer, units, parts.back, WIDE),
        "findings": _findings(answer),
        "shroud": _metal(answer, units, parts),
        "brackets": bracket_blocks(units, parts, shop, WIDE),
        "face": face_blocks(parts, units, WIDE),
        "mounting": bench_blocks(answer, parts, shop),
        "wiring": wiring_pages(answer, units, parts),
        "plumbing": plumbing_pages(units, parts),
        "settings": control_pages(answer, units, parts),
        "drives": drive_blocks(driven, shop, WIDE),
        "price": _price(parts),
        "checklist": checklist_blocks(answer, parts, shop),
        "owner": owner_blocks(answer, parts, shop),
        "guesses": _guesses(answer),
        "cautions": _cautions(answer),
        "full size": _full_size(units, parts),
    }


def _cover(answer: Assessment, shop: Dialect) -> list[Block]:
    case = next(case for case in answer.cases if case.name == answer.governing_case)
    number, band, sentence = lead(case, shop)
    stops = [finding for finding in answer.findings if finding.level == "stop"]
    held_back = [f"{finding.code} {finding.says}" for finding in metal_stops(answer)]
    trouble = [
        words(f"The trouble is the {other.name}, not the coolant, in {at.name}.", 11, "bold")
        for at, other in worse_than_coolant(answer.cases)[:1]
    ]
    blocks: list[Block] = [
        *_first_look(answer),
        {
            "kind": "lead",
            "above": plain(answer.job_name),
            "verdict": WORDS[answer.verdict],
            "number": number,
            "band": band,
        },
        *trouble,
        words(
            f"The worst case is {case.name}: {100 * case.chance_of_holding:.0f} chances in 100 it holds. {sentence}", 11
        ),
        *[
            {
                "kind": "stop",
                "words": plain(f"STOP {stop.code}: {stop.says}" + (f" ({stop.place})" if stop.place else "")),
                "because": plain(f"{stop.because} {stop.remedy}"),
            }
            for stop in stops
        ],
    ]
    if held_back:
        blocks.append(
            words(
                "No cut files come with this packet while a stop on metal or fit stands: " + "; ".join(held_back),
                10,
                "bold",
            )
        )
    blocks += [
        heading("Each driving case"),
        table(
            "2.6 driving case | 2.6 into radiator "
            + shop.degree_sign
            + " | 1.4 thermostat | 0.8r limit | 1.4r good to, outside"
            " | 1.2r holds in 100 | 1.2 verdict",
            [_case_row(case, shop) for case in answer.cases],
        ),
        picture(
            coolant_plot(answer, shop, WIDE, 0.03 + 0.009 * len(answer.cases)), "Coolant of each case against its limit"
        ),
    ]
    worst = [finding for finding in answer.findings if finding.level in ("stop", "fix") and not finding.accepted]
    if answer.measure_next:
        blocks.append(heading("What would settle it"))
        blocks.append(items([_reading(reading) for reading in answer.measure_next]))
    if worst:
        blocks.append(words(f"{len(worst)} finding{'s' * (len(worst) > 1)} to mend; see Findings.", 9.5, "bold"))
    return blocks


def _first_look(answer: Assessment) -> list[Block]:
    if not answer.first_look:
        return []
    lines = [f"{look.answered.capitalize()}: {look.question} {look.do}" for look in answer.first_look]
    return [words("Fix this first, then come back:", 11, "bold"), items(lines)]


def _reading(reading: NextReading) -> str:
    what = reading.case if reading.fluid == "coolant" else f"{reading.case}, {reading.fluid}"
    return (
        f"{what}: {reading.name}, {100 * reading.share:.0f} % of the spread. Read: {reading.reading}. "
        f"If it comes out as guessed, {100 * reading.chance_if_as_guessed:.0f} chances in 100."
    )


def lead(case: CaseAnswer, shop: Dialect) -> tuple[str, str, str]:
    """Return the lead number, its band, and the sentence under them."""
    held = "" if case.good_to is None else f" Good to {shop.temperature_text(case.good_to)} outside."
    if case.seconds_asked is not None:
        asked = f"The pull asks for {case.seconds_asked:.0f} s.{held}"
        seconds = case.seconds_to_limit
        if seconds is None:
            return "no limit reached", "in the pull", asked
        return (
            f"{seconds.value:.0f} s",
            f"{seconds.low:.0f} to {seconds.high:.0f} s to the limit, nine answers in ten",
            asked,
        )
    if case.coolant_in is None:
        return CLIMBS, "", "The heat finds no way out: there is no temperature it settles at."
    band = case.coolant_in
    spread = f"{shop.degrees(band.low)} to {shop.degrees(band.high)} {shop.degree_sign}"
    limit = f"Limit {shop.temperature_text(case.limit)}, at {shop.temperature_text(case.ambient)} outside.{held}"
    return shop.temperature_text(band.value), f"{spread}, coolant into the radiator, nine answers in ten", limit


def _case_row(case: CaseAnswer, shop: Dialect) -> tuple[str, ...]:
    into = shop.band(case.coolant_in)
    if case.seconds_asked is not None:
        seconds = case.seconds_to_limit
        lasts = (
            "never reached" if seconds is None else f"{seconds.value:.0f} ({seconds.low:.0f} to {seconds.high:.0f}) s"
        )
        into = f"lasts {lasts}, {case.seconds_asked:.0f} s asked"
    return (
        case.name,
        into,
        "working" if case.regulated_share >= 0.5 else "full open",
        shop.degrees(case.limit),
        shop.temperature_text(case.good_to),
        f"{100 * case.chance_of_holding:.0f}",
        WORDS[case.verdict],
    )


def _heat_and_air(answer: Assessment, shop: Dialect) -> list[Block]:
    rows = len(answer.cases)
    blocks = [
        page(),
        heading("Where the heat comes from"),
        picture(heat_plot(answer, WIDE, 0.035 + 0.011 * rows), "Heat into the radiator by source"),
        table(
            "2.4 driving case | 1.8r into the radiator, kW | 3.4 made up of, kW | 1.4r given to the air ahead, kW",
            [
                (
                    case.name,
                    f"{case.heat.value / 1e3:.0f} ({case.heat.low / 1e3:.0f} to {case.heat.high / 1e3:.0f})",
                    ", ".join(f"{name} {watts / 1e3:.1f}" for name, watts in case.heat_by_source.items()),
                    f"{case.heat_ahead / 1e3:.1f}",
                )
                for case in answer.cases
            ],
        ),
    ]
    fans = len(answer.cases[0].fans)
    if fans:
        height = (0.025 + 0.010 * rows) * -(-fans // 4) + 0.01
        blocks += [
            heading("The air really moved"),
            picture(air_plot(answer, shop, WIDE, height), "Air moved by each fan beside its box number"),
        ]
    return blocks


def _fans(answer: Assessment, shop: Dialect) -> list[Block]:
    rows = []
    for case in answer.cases:
        core = "none" if case.air_flow is None else shop.air_flow(case.air_flow.value)
        for at, fan in enumerate(case.fans):
            first = at == 0
            share = fan.share_of_box_number
            rows.append(
                (
                    case.name if first else "",
                    core if first else "",
                    fan.code,
                    shop.air_flow(fan.air_flow.value),
                    "stopped" if not fan.running else "-" if share is None else f"{100 * share.value:.0f} %",
                    f"{fan.pressure.value:.0f}",
                    f"{fan.volts.value:.1f}" if fan.volts.value else "-",
                    f"{fan.amps.value:.0f} ({fan.amps.low:.0f} to {fan.amps.high:.0f})" if fan.amps.value else "-",
                    "-"
                    if fan.noise is None
                    else f"{fan.noise.value:.0f} ({fan.noise.low:.0f} to {fan.noise.high:.0f})",
                )
            )
    if not rows:
        return [heading("Fans"), words("The job names no fan.")]
    columns = (
        f"2.2 driving case | 1.3r through the core {shop.air_sign} | 1.4 fan | 1.1r moves {shop.air_sign}"
        " | 1r of box number | 0.8r against Pa | 0.7r volts | 1.3r amps | 1.3r dB(A) at 1 m"
    )
    return [heading("Fans"), table(columns, rows), *_sound(answer), *_others(answer, shop), *_causes(answer, shop)]


def _sound(answer: Assessment) -> list[Block]:
    together = [
        f"{case.noise.value:.0f} ({case.noise.low:.0f} to {case.noise.high:.0f}) in {case.name}"
        for case in answer.cases
        if case.noise is not None
    ]
    rated = [
        f"{fan.code} {fan.noise_as_typed:.0f} dB" for fan in answer.cases[0].fans if fan.noise_as_typed is not None
    ]
    return [
        *([words(f"All fans together, dB(A) at 1 m: {'; '.join(together)}.")] if together else []),
        *([words(f"As rated, taken nobody says how, so counted nowhere: {', '.join(rated)}.", 8.5)] if rated else []),
    ]


def _others(answer: Assessment, shop: Dialect) -> list[Block]:
    rows = [
        (
            "" if at else case.name,
            other.name,
            shop.band(other.temperature),
            "" if other.pressure is None else shop.gauge_pressure(other.pressure.value),
            shop.degrees(other.limit),
            f"{100 * other.chance_of_holding:.0f}",
            WORDS[other.verdict],
        )
        for case in answer.cases
        for at, other in enumerate(case.others)
    ]
    if not rows:
        return []
    columns = (
        f"2.4 driving case | 1.6 fluid | 1.8 at its hottest {shop.degree_sign} | 1r gauge, R134a | 0.8r limit"
        " | 1r holds in 100 | 1.2 verdict"
    )
    return [heading("The other fluids"), table(columns, rows)]


def _causes(answer: Assessment, shop: Dialect) -> list[Block]:
    if not answer.causes:
        return []
    return [
        heading("Where the degrees come from"),
        picture(cause_plot(answer, shop, WIDE, 0.068), "What each fault adds to the coolant"),
    ]


def _fixes(answer: Assessment, shop: Dialect) -> list[Block]:
    if answer.verdict == "holds":
        return []
    if not answer.fixes:
        return [heading("What would fix it"), words(set_text(answer))]
    first = answer.fixes[0]
    unit = "s" if first.governing.seconds else shop.degree_sign
    rows = [
        (
            fix.fix,
            gained_text(fix.governing, shop) + (" from no way out" if fix.from_no_way_out else ""),
            "-" if fix.parts is None else f"{fix.parts.value} ({fix.parts.low} to {fix.parts.high})",
            f"{fix.hours.value:g} ({fix.hours.low:g} to {fix.hours.high:g})",
            gain_for_money(fix, shop),
            elsewhere_text(fix, shop),
        )
        for fix in answer.fixes
    ]
    return [
        heading("What would fix it"),
        words(set_text(answer), 11, "bold"),
        *([words(planned_text(answer), 11, "bold")] if answer.planned else []),
        picture(fix_plot(answer, shop, WIDE, 0.016 + 0.0075 * len(rows)), "What each fix gains"),
        table(
            f"2.2 fix | 1.8r gains, {answer.governing_case} | 1.9r parts {first.currency} | 1.4r hours"
            f" | 1.1r {unit} for 100 {first.currency} | 1.6 elsewhere",
            rows,
            8.0,
        ),
        items([f"{fix.fix}: {fix.do} {fix.conflicts}" for fix in answer.fixes]),
        words("Each alone, on the same draws before and after. Money and hours: common practice, no source.", 8.5),
    ]


def _metal(answer: Assessment, units: str, parts: Plan) -> list[Block]:
    shroud = parts.shroud
    if shroud is None:
        return []
    section = section_picture(shroud, units)
    held_back = ", ".join(dict.fromkeys(stop.code for stop in metal_stops(answer)))
    blocks = [
        page(),
        heading("Shroud"),
        *(
            [words(f"Do not cut: {held_back} stands. The drawing is for reading only.", 10, "bold")]
            if held_back
            else []
        ),
        words(
            f"{_FAMILIES[shroud.family]}: {shroud.metal}, {length_words(shroud.thickness, units)}; "
            f"{weight_words(shroud.weight, units)} with everything cut out."
        ),
        *([words(_eaten(shroud.shape, units))] if shroud.shape and shroud.family == "rolled" else []),
        picture(svg(section, WIDE, 0.06), section.description),
    ]
    if parts.is_trial and answer.shroud and answer.shroud.unmeasured:
        blocks.append(words(f"Not yet measured in hand: {'; '.join(answer.shroud.unmeasured)}.", 9.5, "bold"))
    widest = max(_width(flat) for flat in shroud.flats)
    for flat in shroud.flats:
        drawn = flat_picture(flat, units)
        blocks += [
            heading(f"{flat.name}, cut {flat.quantity}"),
            picture(svg(drawn, WIDE * max(_width(flat) / widest, _LEAST_SHARE), 0.16), drawn.description),
        ]
    for flat in shroud.flats:
        if holes := hole_rows(flat, units):
            blocks.append(heading(f"Holes and bends: {flat.name}"))
            blocks.append(table(f"0.7 no. | 3 purpose | 1r x {units} | 1r y {units} | 1.2r diameter {units}", holes))
        if flat.bends:
            heads = (
                "0.7 bend | 0.9 turned | 0.9 direction | 1r inside R | 1r allowance BA | 1r deduction BD"
                " | 1.4r line from x, y | 1.4r to x, y"
            )
            blocks.append(table(heads, bend_rows(flat, units)))
    blocks += bending_blocks(units, parts)
    if shroud.bought:
        blocks.append(heading("Cut to length"))
        blocks.append(table("2 what | 0.7r how many | 1r how long", bought_rows(shroud.bought, units)))
    blocks += _sheets(shroud, parts, units)
    blocks.append(
        words(
            "Outer face up, x and y from its lower left corner. Net sizes: leave the blank long, trim at mock-up.",
            8.5,
        )
    )
    return [*blocks, *lip_blocks(units, parts), *weld_blocks(units, parts), *hardware_blocks(units, parts)]


def _sheets(shroud: Shroud, parts: Plan, units: str) -> list[Block]:
    """What to cut and from which sheets, and the gaps round the folded shroud."""
    widths = ("1.6", "0.6r", "1.2r", "1.2r", "1.1r", "1.3r", "0.9r", "0.8r", "1.2r")
    heads = " | ".join(f"{width} {head}" for width, head in zip(widths, CUT_HEADS, strict=True))
    blocks = [
        heading("What to cut"),
        table(heads, cut_rows(shroud.flats, find_sheet(shroud.metal).density, units)),
    ]
    if parts.nest and parts.nest.sheets:
        blocks += laid_blocks(parts.nest, units, WIDE)
    if parts.nest_free:
        size = f"{length_words(parts.nest_free.height, units)} by {length_words(parts.nest_free.width, units)}"
        count = len(parts.nest_free.sheets)
        least = length_words(radius_free_of_grain(shroud.metal, shroud.thickness), units)
        more = f" and cost {parts.grain_price} {parts.bill.currency} less" if parts.grain_price and parts.bill else ""
        blocks.append(
            words(
                f"The grain is kept across tight bends. With inside radii of {least} or more it need not be: "
                f"{count} sheet{'s' * (count > 1)} of {size} would do{more}."
            )
        )
    elif parts.nest and parts.nest.sheets:
        blocks.append(
            words(
                "No bend here is so tight that the grain matters. Where looks do, lay all parts one way: bends along "
                "the grain may show fine cracks on the outside."
            )
        )
    if found := gaps_of(parts):
        blocks += [
            heading("Gaps in space"),
            table(f"4 between | 1.6r smallest gap | 2.4r where on the metal, x, y, z {units}", gap_rows(found, units)),
            words("Folded shroud, fans as far as measured, core, tanks, necks and what stands behind.", 8.5),
        ]
    return blocks


def _width(flat: Flat) -> float:
    around = box(flat.outline)
    return around.x2 - around.x1


def _eaten(shape: Section, units: str) -> str:
    """Say what the rolls take off the flat face."""
    both = shape.low.start + shape.high.start
    return (
        f"The rolls take {length_words(both, units)} of the face, {length_words(shape.face, units)} stays flat for "
        "the fans. A large roll costs almost no air, only flat face."
    )


def _price(parts: Plan) -> list[Block]:
    bill = parts.bill
    if bill is None:
        return []
    widths = ("2.8", "0.9r", "0.6", "0.9r", "1r", "1.8")
    heads = " | ".join(f"{width} {head}" for width, head in zip(widths, BILL_HEADS, strict=True))
    sums = f"Parts {bill.parts:,.2f}, labour {bill.labour:,.2f}, together {bill.total:,.2f} {bill.currency}."
    hours = f"Labour: {bill.hours:.1f} h at {bill.rate:,.2f}. A guess, good to a factor of {HOURS_WITHIN}."
    return [heading("Parts and price"), table(heads, bill_rows(bill)), words(sums, 11, "bold"), words(hours, 8.5)]


def _findings(answer: Assessment) -> list[Block]:
    blocks: list[Block] = [heading("Findings")]
    if not answer.findings:
        blocks.append(words("Nothing found to mend."))
    alike: dict[tuple[str, ...], list[FindingAnswer]] = {}
    for finding in sorted(answer.findings, key=lambda one: (one.accepted is not None, _LEVELS.index(one.level))):
        key = (finding.level, finding.code, finding.says, finding.remedy, accepted_text(finding))
        alike.setdefault(key, []).append(finding)
    for (level, code, says, remedy, accepted), found in alike.items():
        where = [f"{one.place}: {one.because}" if one.place else one.because for one in found]
        blocks.append(
            {
                "kind": "finding",
                "level": level,
                "says": plain(f"{code}: {says}"),
                "because": plain(" ".join(where)),
                "remedy": plain(accepted or remedy),
                "accepted": bool(accepted),
            }
        )
    beyond: dict[str, list[str]] = {}
    for case in answer.cases:
        for line in case.beyond_range:
            beyond.setdefault(line, []).append(case.name)
    if beyond:
        blocks.append(heading("Beyond the data"))
        every = len(answer.cases)
        blocks.append(
            items([f"{line} ({'every case' if len(at) == every else '; '.join(at)})" for line, at in beyond.items()])
        )
    return blocks


def _guesses(answer: Assessment) -> list[Block]:
    if not answer.guesses:
        return []
    return [
        page(),
        heading("Guesses"),
        words(f"{len(answer.guesses)} numbers nobody gave, the ones that matter most first."),
        table(
            "2.5 what | 0.8r guess | 1.6 nine in ten | 3.8 the reading that replaces it | 1.1 source",
            [
                (guess.name, _printed(guess.value), _printed(guess.band), guess.measurement, guess.source)
                for guess in answer.guesses
            ],
            6.7,
        ),
    ]


def _printed(typed: str) -> str:
    """Write a figure's unit for paper."""
    for as_typed, on_paper in _UNITS.items():
        typed = typed.replace(as_typed, on_paper)
    return typed


def _cautions(answer: Assessment) -> list[Block]:
    cautions = files("shroudwright.packet").joinpath("cautions.txt").read_text(encoding="utf-8").splitlines()
    return [heading("Sources"), items(answer.sources), heading("Cautions"), items(cautions)]


def _full_size(units: str, parts: Plan) -> list[Block]:
    blocks = [
        page(),
        heading("Full size"),
        words(
            "Print at 100 %, no fitting to the page. Measure both lines between their end marks; "
            "if either is off, trust no size on this page."
        ),
        {"kind": "check", "length": 100.0, "words": "100 mm"},
        {"kind": "check", "length": 101.6, "words": "4 in"},
    ]
    gauge = hole_gauge(parts.shroud.flats, units) if parts.shroud else None
    if gauge:
        blocks += [heading("Holes, full size"), picture(svg(gauge, WIDE, WIDE, scale=1.0), gauge.description)]
    return blocks
