"""The bench at the terminal: a sheet to fill in, filled numbers into the job, what moved since another revision.

run
"""

import datetime
import sys
from collections.abc import Iterator
from pathlib import Path

from shroudwright.bench.errors import InputError
from shroudwright.job.files import bytes_of, read_job, write_whole
from shroudwright.job.filling import Entry, empty_form, fill, read_form, tried
from shroudwright.job.in_hand import filled_at_medians, unmeasured
from shroudwright.job.model import Job
from shroudwright.job.quantity import Reading
from shroudwright.job.sheet import boxes_of, holds, word

SHEET, FORM, SINCE = "measuring_sheet.pdf", "measuring_form.csv", "what_moved.pdf"


def run(
    job_file: Path,
    out: Path,
    form: Path | None = None,
    *,
    ask: bool = False,
    since: Path | None = None,
    by: str | None = None,
    on: str | None = None,
) -> None:
    """Write a job's sheet and form, fill them in, or say what moved.

    Parameters
    ----------
    job_file : Path
        The job.
    out : Path
        Folder for papers.
    form : Path, optional
        A filled form.
    ask : bool
        Whether to ask box by box instead.
    since : Path, optional
        An earlier revision of the job.
    by, on : str, optional
        Who measured, and the day; over those in the form.
    """
    if sum((form is not None, ask, since is not None)) > 1:
        raise InputError(["--fill, --ask and --since are three things to do; give one of them"])
    if since is not None:
        _moved(job_file, since, out)
    elif form is not None:
        read = read_form(form)
        _fill(job_file, list(read.entries), by or read.measured_by, on or read.measured_on)
    elif ask:
        who = by or input("Who holds the tape? ").strip()
        _fill(job_file, list(_answers(job_file)), who, on or "")
    else:
        _papers(job_file, out)


def _papers(job_file: Path, out: Path) -> None:
    from shroudwright.packet.measure import sheet_pdf

    job = read_job(job_file)
    wanted = [place for places in unmeasured(filled_at_medians(job)).values() for place in places]
    _into(out)
    write_whole(out / SHEET, sheet_pdf(job, wanted))
    if (out / FORM).exists():
        print(f"wrote {out / SHEET}; kept {out / FORM}, which is there already")
    else:
        write_whole(out / FORM, empty_form(job))
        print(f"wrote {out / SHEET} to fill in at the car, and {out / FORM} to type it into; then run:")
        print(f"shroudwright measure {job_file} --fill {out / FORM}")
    _missing(job)


def _into(out: Path) -> None:
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError([f"{out}: cannot be written, {(error.strerror or 'not allowed').lower()}"]) from None


def _fill(job_file: Path, entries: list[Entry], who: str, day: str) -> None:
    try:
        on = datetime.date.fromisoformat(day) if day else datetime.date.today()
    except ValueError:
        raise InputError([f"{day!r} is not a day; type for example 2026-01-31"]) from None
    before = bytes_of(job_file)
    job = fill(job_file, entries, who, on)
    kept = _kept(job_file, before)
    print(f"wrote what was measured into {job_file}; as it was: {kept}. What that moved:")
    print(f"shroudwright measure {job_file} --since {kept}")
    _missing(job)


def _kept(job_file: Path, before: bytes) -> Path:
    """Keep the file as it was, beside it, under a name of its own."""
    stem = job_file.name.removesuffix(".toml").removesuffix(".job")
    number = 1
    while (path := job_file.with_name(f"{stem}.before-{number}.job.toml")).exists():
        number += 1
    write_whole(path, before)
    return path


def _missing(job: Job) -> None:
    missing = unmeasured(filled_at_medians(job))
    if missing:
        boxes = {box.place: box.name for box in boxes_of(job)}
        told = [f"{name} (box {', '.join(boxes[place] for place in places)})" for name, places in missing.items()]
        print(f"cut files stay TRIAL until measured in hand: {'; '.join(told)}")
    else:
        print("everything metal is cut from is measured in hand: cut files are no longer TRIAL")


def _answers(job_file: Path) -> Iterator[Entry]:
    before = bytes_of(job_file)
    job = read_job(job_file)
    skipped = ""
    print(
        "Type each number with its unit; Enter skips a box, s the rest of its group, q ends. "
        "A box measured in hand is not asked again."
    )
    for box in boxes_of(job):
        held = holds(job, box)
        if isinstance(held, Reading) and held.standing == "measured":
            continue
        if box.row.group == skipped:
            continue
        now = word(held) or box.proposed
        choices = " / ".join(word(choice) for choice in box.row.choices)
        asked = ", ".join(part for part in (box.row.head, box.row.says, choices or box.row.tool) if part)
        while True:
            typed = input(f"{box.name} {asked}{f' [{now}]' if now else ''}: ").strip()
            if typed.lower() == "q":
                return
            if typed.lower() == "s":
                skipped = box.row.group
            if not typed or skipped == box.row.group:
                break
            if not (fault := tried(before, box, typed)):
                yield Entry(box.name, typed)
                break
            print(f"  {fault}", file=sys.stderr)


def _moved(job_file: Path, since: Path, out: Path) -> None:
    from shroudwright.assess import assess_and_plan
    from shroudwright.packet.since import moved_lines, since_pdf

    old, new = read_job(since), read_job(job_file)
    before, after = (assess_and_plan(job) for job in (old, new))
    _into(out)
    write_whole(out / SINCE, since_pdf(old, before, new, after))
    for line in moved_lines(old, before, new, after):
        print(line)
    print(f"wrote {out / SINCE}")
    _missing(new)
