"""Choosing fans at the terminal: a bar while it works, then the sets that hold and why the others fell.

run
"""

import datetime
import sys
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.markup import escape
from rich.progress import Progress
from rich.table import Table
from rich.text import Text

from shroudwright.assessment import WORDS
from shroudwright.bench.errors import InputError
from shroudwright.choose.layouts import tape_text
from shroudwright.choose.put import put_in
from shroudwright.choose.record import Choice, LayoutAnswer, SetAnswer
from shroudwright.choose.stages import PAIRED, choose, fate_of
from shroudwright.doors.say import CAUTIONS, COLOURS, console
from shroudwright.job.files import read_job
from shroudwright.job.refit import write_refitted
from shroudwright.job.shelf import ShelfFan, read_shelf, shipped_shelf
from shroudwright.speech import CLIMBS, SHOPS, Dialect

MARK = "*"


def run(
    job_file: Path,
    shelf_file: Path | None,
    why: str | None,
    top: int,
    as_json: bool,
    place: int | None = None,
    out: Path | None = None,
) -> None:
    """Choose, with a bar on a terminal, and print the answer or write one set into a new job file.

    Parameters
    ----------
    job_file : Path
        The job.
    shelf_file : Path or None
        A shelf of one's own.
    why : str or None
        Code of a fan to explain, in place of the table.
    top : int
        Sets to list.
    as_json : bool
        Whether to print all of it as JSON.
    place : int, optional
        Rank of the set to put into a new job file, at its places.
    out : Path, optional
        That file.
    """
    if (place is None) != (out is None):
        raise InputError(["--place RANK and --out NEW.job.toml go together: which set, and the file to write"])
    job = read_job(job_file)
    shelf = shipped_shelf() if shelf_file is None else read_shelf(shelf_file)
    name = "the shelf as shipped" if shelf_file is None else shelf_file.name
    errors = Console(stderr=True)
    with Progress(console=errors, transient=True, disable=not sys.stderr.isatty()) as bar:
        task = bar.add_task("", total=1.0)
        answer = choose(
            job,
            shelf,
            shelf_name=name,
            progress=lambda words, done: bar.update(task, description=words, completed=done),
        )
    if place is not None and out is not None:
        print(_put(job_file, answer, shelf, place, out))
        return
    fate = None if why is None else fate_of(answer, why)
    if as_json:
        print(answer.to_json() if fate is None else fate.model_dump_json(indent=2))
    elif fate is not None:
        for line in fate.lines:
            print(line)
    else:
        say_choice(console(), answer, SHOPS[job.units or "in"], top)


def _put(job_file: Path, answer: Choice, shelf: Sequence[ShelfFan], place: int, out: Path) -> str:
    """Write a new job with one set at its places; what was done, and what to run next."""
    chosen = next((item for item in answer.sets if item.rank == place), None)
    if chosen is None:
        raise InputError([f"--place {place}: there is no set of that rank; there are {len(answer.sets)}"])
    if chosen.layout is None:
        laid = ", ".join(str(item.rank) for item in answer.sets if item.layout)
        raise InputError([f"--place {place}: {chosen.name} was not laid out; those laid out are {laid or 'none'}"])
    day = datetime.date.today()
    write_refitted(job_file, out, lambda text, name: put_in(text, chosen, shelf, day, name))
    return f"wrote {out}: {chosen.name} at their places. Check it, then run: shroudwright assess {out}"


def say_choice(console: Console, answer: Choice, shop: Dialect, top: int) -> None:
    """Print the readable answer.

    Parameters
    ----------
    console : Console
        Where to print.
    answer : Choice
        What to say.
    shop : Dialect
        Units the shop reads.
    top : int
        Sets to list.
    """
    console.print(Text(_lead(answer), style="bold"))
    if answer.sets:
        console.print(_table(answer.sets[:top], shop))
        console.print(
            f"{MARK} no other set is as good in chance, amps, depth, noise and price and better in one of them."
        )
        if len(answer.sets) > top:
            console.print(f"{len(answer.sets) - top} more were drawn: add --top {len(answer.sets)} to see them all.")
    _say_layouts(console, answer.sets[:top], shop)
    _say_notes(console, answer, top)
    _say_counts(console, answer)
    for line in answer.assumed:
        console.print(f"[dim]Taken for granted: {escape(line)}[/dim]")
    console.print(
        "[dim]Why a fan fell: add --why CODE. A job with a set at its places: --place RANK --out NEW.job.toml.[/dim]"
    )
    console.print("\n" + "\n".join(f"[dim]! {line}[/dim]" for line in CAUTIONS[-1:]))


def _lead(answer: Choice) -> str:
    counts = answer.counts
    if not answer.sets:
        return f"None of the {counts.tried} sets tried from {answer.shelf} fits this job."
    best = answer.sets[0]
    odds = f"{100 * best.chance_of_holding:.0f} chances in 100"
    if not counts.hold:
        words = "would be a toss-up" if counts.toss_up else "would not hold"
        return f"No set on {answer.shelf} holds; the best, {best.name}, {words}: {odds} in {best.governing_case}."
    priced = [item for item in answer.sets[: counts.hold] if item.price and item.verdict == "holds"]
    cheapest = min(priced, key=lambda item: float(str(item.price).split()[0]), default=best)
    less = "" if cheapest is best else f" The cheapest that holds is {cheapest.name}, {cheapest.price}."
    return f"{counts.hold} of {counts.drawn} sets hold; first {best.name}, {odds} in {best.governing_case}.{less}"


def _table(sets: list[SetAnswer], shop: Dialect) -> Table:
    currencies = {item.price.split()[1] for item in sets if item.price}
    currency = currencies.pop() if len(currencies) == 1 else ""
    table = Table()
    table.add_column("", justify="right")
    table.add_column("set", no_wrap=True)
    table.add_column("holds\nin 100", justify="right")
    table.add_column("in its\nworst case", min_width=16)
    table.add_column(f"coolant there,\n{shop.degree_sign}", no_wrap=True)
    for heading in ("amps (at\n14.4 V)", "amps\nspare", "depth", "dB(A)", f"price\n{currency}", MARK):
        table.add_column(heading, justify="right")
    for item in sets:
        table.add_row(
            str(item.rank),
            escape(item.name),
            Text(f"{100 * item.chance_of_holding:.0f}", style=COLOURS[item.verdict]),
            escape(item.governing_case),
            _coolant(item, shop),
            f"{item.amps:.0f} ({item.highest_amps:.0f})",
            "-" if item.alternator_margin is None else f"{round(item.alternator_margin)}",
            shop.size(item.depth),
            "-" if item.noise is None else f"{item.noise:.0f}",
            "-" if item.price is None else escape(item.price.removesuffix(currency).strip()),
            MARK if item.unbeaten else "",
        )
    return table


def _coolant(item: SetAnswer, shop: Dialect) -> str:
    if item.coolant_in is not None:
        return shop.band(item.coolant_in)
    return CLIMBS if item.seconds_to_limit is None else f"lasts {item.seconds_to_limit:.0f} s"


def _say_layouts(console: Console, sets: list[SetAnswer], shop: Dialect) -> None:
    laid = [(item, item.layout) for item in sets if item.layout]
    if not laid:
        return
    console.print(
        "\n[bold]Where they stand[/bold] (across, up: middles from the core's lower left corner, from behind)"
    )
    for item, layout in laid:
        console.print(f"  {item.rank:>2}  {escape(_places(layout))}", soft_wrap=False)
        console.print(f"      [dim]{escape(_worth(layout, shop))}[/dim]")
    console.print(
        "\n[bold]Depth of shroud[/bold], chance in 100 and coolant under the limit (? nobody measured the room)"
    )
    for item, layout in laid:
        console.print(f"  {item.rank:>2}  {escape(_depths(layout, shop))}")


def _places(layout: LayoutAnswer) -> str:
    return "; ".join(f"{at.code} at {at.x_typed}, {at.y_typed}" for at in layout.placements)


def _worth(layout: LayoutAnswer, shop: Dialect) -> str:
    said = [f"shroud {tape_text(layout.depth, shop)} deep", f"air uneven by {100 * layout.evenness:.0f} %"]
    if layout.tightest:
        spare = layout.tightest.gap - layout.tightest.least
        said.append(f"tightest {layout.tightest.kind}, {shop.tape(max(spare, 0.0))} to spare")
    if not layout.row_fits:
        said.append("evenly in a row they do not fit")
    elif layout.over_a_row is not None and abs(shop.rise_of(layout.over_a_row)) >= 0.5:
        said.append(f"{shop.rise(layout.over_a_row)} cooler than evenly in a row")
    return "; ".join(said)


def _depths(layout: LayoutAnswer, shop: Dialect) -> str:
    said = []
    for one in layout.depths:
        room = {True: "", False: " does not fit", None: " ?"}[one.fits]
        margin = CLIMBS if one.margin is None else shop.rise(one.margin)
        said.append(f"{tape_text(one.depth, shop)}{room}: {100 * one.chance_of_holding:.0f}, {margin}")
    return "; ".join(said)


def _say_notes(console: Console, answer: Choice, top: int) -> None:
    notes = dict.fromkeys(note for item in answer.sets[:top] for note in item.notes)
    if notes:
        console.print("\n[bold]Doubtful[/bold]")
    for note in notes:
        console.print(f"  {escape(note)}")


def _say_counts(console: Console, answer: Choice) -> None:
    counts = answer.counts
    console.print(f"\n[bold]How the sets fell[/bold] ({len(answer.fans)} fans of {escape(answer.shelf)})")
    console.print(
        f"  {counts.tried} tried: 1 to 4 alike, and pairs of the best {PAIRED} alone. Sizes put out "
        f"{counts.too_wide} too wide, {counts.too_deep} too deep, {counts.wrong_hand} of the wrong hand."
    )
    console.print(f"  {counts.balanced} worked out at the middle of every guess; {counts.short_of_lead} fell behind.")
    console.print(f"  {counts.no_place} of the leading ones had no place that keeps every clearance.")
    console.print(
        f"  {counts.drawn} drawn {answer.draws} times: {counts.hold} {WORDS['holds'].lower()}, "
        f"{counts.toss_up} {WORDS['marginal'].lower()}, {counts.fail} {WORDS['does not hold'].lower()}."
    )
