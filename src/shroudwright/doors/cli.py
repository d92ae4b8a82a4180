"""The command line: new, measure, assess, choose, packet, drive, math, demo. It reads, asks, prints; no sums.

Exit 0 computed, 2 bad input (one line per fault), 3 with --strict when a stop stands.
"""

import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from shroudwright import __version__

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Cooling for one-off vehicles: will it hold, how sure is that, and what to measure next.",
)

ShelfFile = Annotated[
    Path | None, typer.Option(metavar="FILE.csv", help="your own parts shelf: fixes that fit fans name the best of it")
]
JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="a job file, such as my.job.toml")]


@app.callback(invoke_without_command=True)
def start(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Print the version and stop.")] = False,
) -> None:
    """Print the version where only that is asked."""
    if version:
        print(f"shroudwright {__version__}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        print(context.get_help())


@app.command()
def new(
    job: JobFile,
    units: Annotated[
        str, typer.Option(help="in or mm: what a bare length is in, and what answers are shown in")
    ] = "in",
) -> None:
    """Write a commented job file to fill in."""
    from shroudwright.job.files import write_starter

    write_starter(job, _units(units))
    print(f"wrote {job}: put your numbers in, then run: shroudwright assess {job}")


def _units(typed: str) -> Literal["in", "mm"]:
    from shroudwright.bench.errors import InputError

    if typed not in ("in", "mm"):
        raise InputError([f"--units {typed!r} is not known; type in or mm"])
    return "in" if typed == "in" else "mm"


@app.command()
def measure(
    job: JobFile,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="DIR", help="folder to write papers into")] = Path(),
    fill: Annotated[
        Path | None, typer.Option(metavar="FORM.csv", help="put a filled form's numbers into the job")
    ] = None,
    ask: Annotated[bool, typer.Option("--ask", help="Ask for the numbers box by box.")] = False,
    since: Annotated[
        Path | None, typer.Option(metavar="OLD.job.toml", help="say what moved since an earlier revision of the job")
    ] = None,
    by: Annotated[str | None, typer.Option(metavar="NAME", help="who measured")] = None,
    on: Annotated[str | None, typer.Option(metavar="DAY", help="when, such as 2026-01-31; today if left out")] = None,
) -> None:
    """Write a sheet to fill in at the car, or put what was measured into the job."""
    from shroudwright.doors import measuring

    try:
        measuring.run(job, out, fill, ask=ask, since=since, by=by, on=on)
    except (KeyboardInterrupt, EOFError):
        print("called off; nothing was written", file=sys.stderr)
        raise typer.Exit(130) from None


@app.command()
def assess(
    job: JobFile,
    shelf: ShelfFile = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the whole answer as JSON, in SI units.")] = False,
    strict: Annotated[bool, typer.Option("--strict", help="Exit 3 when a stop stands.")] = False,
    guesses: Annotated[bool, typer.Option("--guesses", help="List every guess used.")] = False,
) -> None:
    """Say whether a job's cooling holds in every driving case."""
    from shroudwright.assess import assess as answer_for
    from shroudwright.job.files import read_job
    from shroudwright.job.shelf import read_shelf

    read = read_job(job)
    answer = answer_for(read, shelf=read_shelf(shelf) if shelf else ())
    if as_json:
        print(answer.to_json())
    else:
        from shroudwright.doors.say import console, say_assessment

        say_assessment(console(), answer, read.units or "in", every_guess=guesses)
    if strict and any(finding.level == "stop" for finding in answer.findings):
        raise typer.Exit(3)


@app.command()
def choose(
    job: JobFile,
    shelf: Annotated[
        Path | None, typer.Option(metavar="FILE.csv", help="your own parts shelf in place of the one shipped")
    ] = None,
    why: Annotated[str | None, typer.Option(metavar="CODE", help="say why this fan's sets stood or fell")] = None,
    top: Annotated[int, typer.Option(min=1, help="how many sets to list")] = 12,
    as_json: Annotated[bool, typer.Option("--json", help="Print the whole answer as JSON, in SI units.")] = False,
    place: Annotated[
        int | None, typer.Option(min=1, metavar="RANK", help="write a job with this set at its places; needs --out")
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", metavar="NEW.job.toml", help="the job to write")] = None,
) -> None:
    """Say which fans off a parts shelf fit and hold, before metal is cut."""
    try:
        from shroudwright.doors import choices

        choices.run(job, shelf, why, top, as_json, place, out)
    except KeyboardInterrupt:
        print("called off; nothing was written", file=sys.stderr)
        raise typer.Exit(130) from None


@app.command()
def serve(
    port: Annotated[int, typer.Option(min=1, max=65535, help="where the pages are found")] = 8765,
    shop: Annotated[
        str | None,
        typer.Option(metavar="WHERE", help="the shop's file, or postgresql://user@host/shop; yours, if left out"),
    ] = None,
    tablet: Annotated[bool, typer.Option("--tablet", help="Answer tablets in the shop too, by a code.")] = False,
) -> None:
    """Show the whole job as pages in a browser."""
    from shroudwright.doors.web.serving import run

    run(port, shop, is_for_tablets=tablet)


@app.command()
def packet(
    job: JobFile,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="DIR", help="folder to write into")],
    shelf: ShelfFile = None,
    step: Annotated[
        bool, typer.Option("--step", help="write the folded metal as STEP too: needs pip install 'shroudwright[step]'")
    ] = False,
    strict: Annotated[bool, typer.Option("--strict", help="Exit 3 when a stop stands.")] = False,
) -> None:
    """Write the packet: PDF, cut files, pictures, wire and parts lists, the whole answer."""
    from shroudwright.doors.papers import write_packet
    from shroudwright.job.files import read_job
    from shroudwright.job.shelf import read_shelf

    answer, written = write_packet(read_job(job), out, read_shelf(shelf) if shelf else (), with_step=step)
    print("wrote " + ", ".join(str(path) for path in written))
    stops = [finding for finding in answer.findings if finding.level == "stop"]
    for finding in stops:
        print(f"stop {finding.code}: {finding.says} ({finding.place}) {finding.because}")
    if strict and stops:
        raise typer.Exit(3)


@app.command("drive")
def drive_job(
    job: JobFile,
    route: Annotated[
        list[str] | None,
        typer.Option("--route", help="a known route or a .csv of time_s, speed_mph, grade_percent; all if left out"),
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", metavar="DIR", help="folder for pictures")] = None,
    tune: Annotated[
        str | None,
        typer.Option(metavar="quiet|starts", help="search for the quietest settings, or those with the fewest starts"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the whole answer as JSON, in SI units.")] = False,
) -> None:
    """Drive a job along routes: peaks, how often the fans start, what they use."""
    from shroudwright.doors import driving

    if tune is not None:
        driving.run_tune(job, route or [], tune, as_json=as_json)
        return
    driving.run(job, route or [], out, as_json=as_json)


@app.command("math")
def shop_math(
    name: Annotated[str | None, typer.Argument(help="which sum; leave out to list them all")] = None,
    arguments: Annotated[
        list[str] | None, typer.Argument(metavar="NAME=VALUE...", help='such as flow="12 gpm"')
    ] = None,
    unit: Annotated[str | None, typer.Option("--in", help="unit to show a single result in")] = None,
) -> None:
    """The bench calculator: list the sums, show one, or compute one with units."""
    from shroudwright.doors import maths

    maths.run(name, arguments or [], unit)


@app.command()
def demo(
    out: Annotated[Path, typer.Option(help="folder to write into")] = Path("out"),
) -> None:
    """Run the whole job on the shipped demo and say what was written."""
    from shroudwright.doors.demo import run

    run(out)


def main() -> None:
    """Run the command line; every fault becomes one plain line on standard error and exit 2."""
    from shroudwright.bench.errors import InputError, ShopError

    try:
        app()
    except InputError as error:
        for fault in error.faults:
            print(fault, file=sys.stderr)
        sys.exit(2)
    except ShopError as error:
        print(error, file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)


if __name__ == "__main__":
    main()
