"""Say an assessment in a builder's words on a terminal.

say_assessment    the readable answer
"""

import sys

from rich.console import Console, Group
from rich.markup import escape
from rich.panel import Panel
from rich.table import Table
from rich.text import Text

from shroudwright.acceptance import accepted_text
from shroudwright.assessment import WORDS, Assessment, CaseAnswer
from shroudwright.others import worse_than_coolant
from shroudwright.speech import (
    SHOPS,
    Dialect,
    as_it_is,
    behind_lines,
    elsewhere_text,
    gain_for_money,
    gained_text,
    planned_text,
    set_text,
)

COLOURS = {"holds": "green", "marginal": "yellow", "does not hold": "red"}
LEVEL_COLOURS = {"stop": "bold red", "fix": "red", "watch": "yellow", "note": "dim"}
CAUTIONS = (
    "Never open a hot cooling system: coolant under a cap scalds.",
    "An electric fan can start with the ignition off: pull the battery negative before hands go near it.",
    "This is an aid to judgement. Makers' instructions, local codes and licensed practice come first.",
)


WIDTH_OF_A_FILE = 118
FIXES_TOLD = 3


def console() -> Console:
    """Return a console as wide as the terminal, or as wide as the tables where there is none."""
    return Console(highlight=False, width=None if sys.stdout.isatty() else WIDTH_OF_A_FILE)


def say_assessment(console: Console, answer: Assessment, units: str, *, every_guess: bool = False) -> None:
    """Print the readable answer.

    Parameters
    ----------
    console : Console
        Where to print.
    answer : Assessment
        What to say.
    units : str
        ``in`` or ``mm``: which units the shop reads.
    every_guess : bool
        Whether to list all guesses instead of the ones that matter most.
    """
    shop = SHOPS[units]
    if answer.first_look:
        console.print(_first_look(answer))
    console.print(_headline(answer, shop))
    console.print(_case_table(answer, shop))
    _say_others(console, answer, shop)
    console.print(_air_table(answer, shop))
    _say_behind(console, answer, shop)
    _say_ratings(console, answer)
    console.print(_heat_table(answer))
    _say_causes(console, answer, shop)
    _say_fixes(console, answer, shop)
    _say_extrapolations(console, answer)
    if answer.findings:
        console.print("\n[bold]Findings[/bold]")
        for finding in answer.findings:
            colour = LEVEL_COLOURS[finding.level]
            place = f" ({escape(finding.place)})" if finding.place else ""
            if finding.accepted is not None:
                says = f"{finding.level:5} {finding.code} {finding.says}{place} {accepted_text(finding)}"
                console.print(f"  [dim]{escape(says)}[/dim]")
                continue
            console.print(f"  [{colour}]{finding.level:5} {finding.code}[/{colour}] {escape(finding.says)}{place}")
            console.print(f"              {escape(finding.because)} [bold]Do:[/bold] {escape(finding.remedy)}")
    _say_guesses(console, answer, every_guess)
    console.print("\n" + "\n".join(f"[dim]! {line}[/dim]" for line in CAUTIONS))


def _governing(answer: Assessment) -> CaseAnswer:
    return next(case for case in answer.cases if case.name == answer.governing_case)


def _first_look(answer: Assessment) -> Panel:
    lines = Table.grid(padding=(0, 2))
    for look in answer.first_look:
        colour = "bold red" if look.answered == "no" else "yellow"
        lines.add_row(Text(look.answered, style=colour), f"{escape(look.question)} [bold]Do:[/bold] {escape(look.do)}")
    return Panel(lines, title="Fix this first, then come back:", border_style="bold red", expand=False)


def _headline(answer: Assessment, shop: Dialect) -> Panel:
    case = _governing(answer)
    colour = COLOURS[answer.verdict]
    lead = Text(WORDS[answer.verdict], style=f"bold {colour}")
    trouble = [
        Text(f"The trouble is the {other.name}, not the coolant, in {at.name}: see the other fluids.")
        for at, other in worse_than_coolant(answer.cases)[:1]
    ]
    lines = [
        lead,
        *trouble,
        Text(f"The worst case is {case.name}: {100 * case.chance_of_holding:.0f} chances in 100 it holds."),
    ]
    if case.seconds_asked is not None and case.seconds_to_limit is not None:
        seconds = case.seconds_to_limit
        lines.append(
            Text(
                f"The pull lasts {seconds.value:.0f} s ({seconds.low:.0f} to {seconds.high:.0f}) before the limit; "
                f"{case.seconds_asked:.0f} s are asked."
            )
        )
    elif case.coolant_in is not None:
        lines.append(
            Text(
                f"Coolant into the radiator {shop.band(case.coolant_in)} {shop.degree_sign}, "
                f"limit {shop.temperature_text(case.limit)}, at {shop.temperature_text(case.ambient)} outside."
            )
        )
    else:
        lines.append(Text("The heat finds no way out: there is no steady temperature to report."))
    if case.good_to is not None:
        lines.append(Text(f"Good to {shop.degrees(case.good_to)} {shop.degree_sign} outside."))
    return Panel(Group(*lines), title=escape(answer.job_name), border_style=colour, expand=False)


def _case_table(answer: Assessment, shop: Dialect) -> Table:
    table = Table(title="Each driving case, with the band nine answers in ten fall in", title_justify="left")
    table.add_column("driving case")
    table.add_column(f"into radiator {shop.degree_sign}")
    table.add_column("thermostat")
    table.add_column("limit", justify="right")
    table.add_column("good to, outside", justify="right")
    table.add_column("holds in 100", justify="right")
    table.add_column("verdict")
    for case in answer.cases:
        into = shop.band(case.coolant_in)
        if case.seconds_asked is not None:
            seconds = case.seconds_to_limit
            lasts = (
                "never reached"
                if seconds is None
                else f"{seconds.value:.0f} ({seconds.low:.0f} to {seconds.high:.0f}) s"
            )
            into = f"lasts {lasts}, {case.seconds_asked:.0f} s asked"
        good = "-" if case.good_to is None else f"{shop.degrees(case.good_to)} {shop.degree_sign}"
        table.add_row(
            escape(case.name),
            into,
            "working" if case.regulated_share >= 0.5 else "full open",
            shop.degrees(case.limit),
            good,
            f"{100 * case.chance_of_holding:.0f}",
            Text(WORDS[case.verdict], style=COLOURS[case.verdict]),
        )
    return table


def _say_others(console: Console, answer: Assessment, shop: Dialect) -> None:
    table = Table(title="The other fluids, as far as the job describes them", title_justify="left")
    for column in ("driving case", "fluid", f"at its hottest {shop.degree_sign}"):
        table.add_column(column)
    table.add_column("limit", justify="right")
    table.add_column("holds in 100", justify="right")
    table.add_column("verdict")
    for case in answer.cases:
        for at, other in enumerate(case.others):
            head = "" if other.pressure is None else f", {shop.gauge_pressure(other.pressure.value)} if R134a"
            table.add_row(
                "" if at else escape(case.name),
                other.name,
                shop.band(other.temperature) + head,
                shop.degrees(other.limit),
                f"{100 * other.chance_of_holding:.0f}",
                Text(WORDS[other.verdict], style=COLOURS[other.verdict]),
            )
    if table.row_count:
        console.print(table)


def _say_ratings(console: Console, answer: Assessment) -> None:
    rated = [
        f"{fan.code} {fan.noise_as_typed:.0f} dB" for fan in answer.cases[0].fans if fan.noise_as_typed is not None
    ]
    if rated:
        console.print(
            f"[dim]Sound as rated, taken nobody says how, so counted nowhere: {escape(', '.join(rated))}[/dim]"
        )


def _air_table(answer: Assessment, shop: Dialect) -> Table:
    table = Table(title="The air really moved, and how loud all fans together are at 1 m", title_justify="left")
    table.add_column("driving case")
    table.add_column(f"through the core {shop.air_sign}", justify="right")
    table.add_column("fan")
    table.add_column(f"moves {shop.air_sign}", justify="right")
    table.add_column("of box number", justify="right")
    table.add_column("volts", justify="right")
    table.add_column("amps", justify="right")
    table.add_column("all dB(A)", justify="right")
    for case in answer.cases:
        core = "none" if case.air_flow is None else shop.air_flow(case.air_flow.value)
        first = True
        for fan in case.fans:
            share = "-" if fan.share_of_box_number is None else f"{100 * fan.share_of_box_number.value:.0f} %"
            table.add_row(
                escape(case.name) if first else "",
                core if first else "",
                escape(fan.code),
                shop.air_flow(fan.air_flow.value),
                share if fan.running else "stopped",
                f"{fan.volts.value:.1f}" if fan.volts.value else "-",
                f"{fan.amps.value:.0f}" if fan.amps.value else "-",
                f"{case.noise.value:.0f} ({case.noise.low:.0f} to {case.noise.high:.0f})"
                if first and case.noise
                else "",
            )
            first = False
        if not case.fans:
            table.add_row(escape(case.name), core, "none", "", "", "", "", "")
    return table


def _say_behind(console: Console, answer: Assessment, shop: Dialect) -> None:
    lines = behind_lines(_governing(answer).field, shop)
    if lines:
        console.print(f"[bold]Behind the core[/bold], {escape(answer.governing_case)}: {' '.join(lines)}")


def _heat_table(answer: Assessment) -> Table:
    table = Table(title="Where the heat comes from, kW", title_justify="left")
    table.add_column("driving case")
    table.add_column("into the radiator", justify="right")
    table.add_column("made up of")
    table.add_column("ahead of it", justify="right")
    for case in answer.cases:
        parts = ", ".join(f"{name} {watts / 1e3:.1f}" for name, watts in case.heat_by_source.items())
        heat = case.heat
        shown = f"{heat.value / 1e3:.0f} ({heat.low / 1e3:.0f} to {heat.high / 1e3:.0f})"
        table.add_row(escape(case.name), shown, parts, f"{case.heat_ahead / 1e3:.1f}")
    return table


def _say_causes(console: Console, answer: Assessment, shop: Dialect) -> None:
    if not answer.causes:
        return
    first = answer.causes[0]
    console.print(f"\n[bold]Where the degrees come from[/bold], {escape(first.case)}, over outside air")
    console.print(f"  {shop.rise(first.start):>7}  a clean package")
    for item in answer.causes:
        low, high = shop.rise(item.degrees.low), shop.rise(item.degrees.high)
        console.print(f"  {shop.rise(item.degrees.value):>7}  {item.cause} [dim]({low} to {high})[/dim]")
    end = answer.causes[-1].end
    console.print(f"  {shop.rise(end):>7}  {as_it_is(end)}")


def _say_fixes(console: Console, answer: Assessment, shop: Dialect) -> None:
    if answer.verdict == "holds":
        return
    if not answer.fixes:
        console.print(f"\n[bold]{escape(set_text(answer))}[/bold]")
        return
    first = answer.fixes[0]
    table = Table(title=f"What would fix {escape(answer.governing_case)}, each alone", title_justify="left")
    table.add_column("fix")
    table.add_column("gains", justify="right")
    table.add_column("then holds\nin 100", justify="right")
    table.add_column(f"parts {first.currency}", justify="right")
    table.add_column("hours", justify="right")
    unit = "s" if first.governing.seconds else shop.degree_sign
    table.add_column(f"{unit} for\n100 {first.currency}", justify="right")
    table.add_column("gains elsewhere")
    for fix in answer.fixes:
        table.add_row(
            escape(fix.fix),
            gained_text(fix.governing, shop) + (" from no way out" if fix.from_no_way_out else ""),
            f"{100 * fix.governing.chance:.0f}",
            "-" if fix.parts is None else f"{float(fix.parts.value):,.0f}",
            f"{fix.hours.value:g}",
            gain_for_money(fix, shop),
            escape(elsewhere_text(fix, shop)),
        )
    console.print(table)
    console.print(f"  [bold]{escape(set_text(answer))}[/bold]")
    if answer.planned is not None:
        console.print(f"  [bold]{escape(planned_text(answer))}[/bold]")
    enough = answer.smallest_set.codes if answer.smallest_set and answer.smallest_set.holds else []
    for fix in answer.fixes:
        if fix.code in (enough or [item.code for item in answer.fixes[:FIXES_TOLD]]):
            console.print(f"  {escape(fix.fix)}: {escape(fix.do)} [dim]{escape(fix.conflicts)}[/dim]")


def _say_extrapolations(console: Console, answer: Assessment) -> None:
    lines: dict[str, list[str]] = {}
    for case in answer.cases:
        for line in case.beyond_range:
            lines.setdefault(line, []).append(case.name)
    if lines:
        console.print("\n[bold]Beyond the data[/bold]")
    for line, cases in lines.items():
        where = "every case" if len(cases) == len(answer.cases) else "; ".join(cases)
        console.print(f"  [dim]{escape(line)} ({escape(where)})[/dim]")


def _say_guesses(console: Console, answer: Assessment, every_guess: bool) -> None:
    for case, fluid in dict.fromkeys((reading.case, reading.fluid) for reading in answer.measure_next):
        what = escape(case) if fluid == "coolant" else f"the {fluid} in {escape(case)}"
        console.print(f"\n[bold]What would settle {what}[/bold]")
        for reading in (item for item in answer.measure_next if (item.case, item.fluid) == (case, fluid)):
            console.print(f"  {100 * reading.share:3.0f} % of the spread is [bold]{escape(reading.name)}[/bold]")
            console.print(
                f"        Read: {escape(reading.reading)}. If it comes out as guessed, "
                f"{100 * reading.chance_if_as_guessed:.0f} chances in 100."
            )
    shown = answer.guesses if every_guess else answer.guesses[:8]
    if shown:
        console.print(f"\n[bold]Guesses used[/bold] ({len(answer.guesses)} numbers nobody gave)")
        for guess in shown:
            console.print(f"  {escape(guess.name)} = {escape(guess.value)} ({escape(guess.band)})")
        if len(shown) < len(answer.guesses):
            console.print("  ... and more: add --guesses to see them all")
