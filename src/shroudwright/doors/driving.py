"""The command that drives a job along routes: reads, asks and prints.

run         drive it
run_tune    search its settings
"""

from pathlib import Path

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from shroudwright.bench.errors import InputError
from shroudwright.bench.units import convert
from shroudwright.doors.say import CAUTIONS, console
from shroudwright.drives import DriveAnswer, DrivesAnswer, drive
from shroudwright.job.files import read_job
from shroudwright.job.schedules import ROUTES, route
from shroudwright.speech import SHOPS, Dialect
from shroudwright.tune import tune


def run(job: Path, names: list[str], out: Path | None, *, as_json: bool) -> None:
    """Drive a job and say what came of it.

    Parameters
    ----------
    job : Path
        The job's file.
    names : list of str
        Routes, or CSV files; all known routes where empty.
    out : Path or None
        Folder for the pictures.
    as_json : bool
        Whether the whole answer is printed as JSON.

    Raises
    ------
    InputError
        Listing every fault.
    """
    read = read_job(job)
    routes = [route(name) for name in names or ROUTES]
    answer, driven = drive(read, routes)
    shop = SHOPS[read.units or "in"]
    written = []
    if out is not None:
        from shroudwright.drawing.drive_trace import drive_trace

        try:
            out.mkdir(parents=True, exist_ok=True)
            for each in driven:
                path = out / f"drive_{each.answer.route.replace(' ', '_')}.svg"
                path.write_text(drive_trace(each, shop, 0.174, 0.11), encoding="utf-8")
                written.append(path)
        except OSError as error:
            raise InputError([f"{out}: cannot be written, {(error.strerror or 'not allowed').lower()}"]) from None
    if as_json:
        print(answer.to_json())
        return
    _say(answer, shop)
    if written:
        print("wrote " + ", ".join(str(path) for path in written))


def run_tune(job: Path, names: list[str], aim: str, *, as_json: bool) -> None:
    """Search a job's settings along routes and say what was found.

    Parameters
    ----------
    job : Path
        The job's file.
    names : list of str
        Routes, or CSV files; all known routes where empty.
    aim : str
        quiet or starts.
    as_json : bool
        Whether the whole answer is printed as JSON.

    Raises
    ------
    InputError
        Listing every fault.
    """
    if aim not in ("quiet", "starts"):
        raise InputError([f"--tune {aim!r} is not known; type quiet or starts"])
    answer = tune(read_job(job), [route(name) for name in names or ROUTES], aim)  # type: ignore[arg-type]
    if as_json:
        print(answer.to_json())
        return
    screen = console()
    screen.print(f"[bold]{escape(answer.job_name)}[/bold]: {', '.join(escape(name) for name in answer.routes)}")
    for line in answer.says:
        screen.print(f"  {escape(line)}")
    if answer.found.settings:
        print("\n[control]\n" + "\n".join(f'{name} = "{text}"' for name, text in answer.found.settings.items()))
    _caution(screen)


def _say(answer: DrivesAnswer, shop: Dialect) -> None:
    screen = console()
    second = ""
    if answer.second_on is not None and answer.second_off is not None:
        second = f"; fan 2 on {shop.temperature_text(answer.second_on)}, off {shop.temperature_text(answer.second_off)}"
    screen.print(
        f"[bold]{escape(answer.job_name)}[/bold]: fan 1 on {shop.temperature_text(answer.fan_on)}, "
        f"off {shop.temperature_text(answer.fan_off)}{second}; A/C {'on' if answer.air_conditioning else 'none'}"
    )
    table = Table(box=None, pad_edge=False)
    table.add_column("route")
    for head in (
        f"peak {shop.degree_sign}",
        "limit",
        "held in 100",
        "over limit, s",
        "fan on %",
        "starts/h",
        "dB(A)",
        "Wh/h",
        "least V",
    ):
        table.add_column(head, justify="right")
    for each in answer.drives:
        table.add_row(*_row(each, shop))
    screen.print(table)
    for each in answer.drives:
        for words in each.says:
            screen.print(f"  [yellow]{escape(each.route)}[/yellow]: {escape(words)}")
    _caution(screen)


def _caution(screen: Console) -> None:
    screen.print("\n" + "\n".join(f"[dim]! {line}[/dim]" for line in CAUTIONS))


def _row(each: DriveAnswer, shop: Dialect) -> list[str]:
    hours = each.seconds / 3600.0
    return [
        escape(each.route),
        shop.band(each.peak),
        shop.degrees(each.limit),
        f"{100.0 * each.chance_of_holding:.0f}",
        f"{each.over_limit.value:.0f}",
        f"{100.0 * each.fan_share.value:.0f}",
        f"{each.starts_per_hour.value:.1f}",
        "-" if each.noise is None else f"{each.noise.value:.0f}",
        f"{convert(each.energy.value, 'J', 'W*hour') / hours:.0f}",
        f"{each.least_volts.value:.1f}",
    ]
