"""The shipped demo: the whole main job on an invented vehicle and shelf, and what it wrote.

run
"""

from importlib.resources import files
from pathlib import Path

from shroudwright.bench.errors import InputError
from shroudwright.doors.papers import write_packet
from shroudwright.doors.say import console, say_assessment
from shroudwright.job.files import parse_job
from shroudwright.job.shelf import shipped_shelf

NAME = "demo.job.toml"


def run(out: Path) -> None:
    """Assess the demo, print the answer, and write the job and its packet.

    Parameters
    ----------
    out : Path
        Folder to write into; made if it is not there.

    Raises
    ------
    InputError
        If the folder cannot be written.
    """
    typed = files("shroudwright.job").joinpath(NAME).read_bytes()
    job = parse_job(typed, NAME)
    answer, written = write_packet(job, out, shipped_shelf())
    say_assessment(console(), answer, job.units or "in")
    try:
        (out / NAME).write_bytes(typed)
    except OSError as error:
        raise InputError([f"cannot write into {out}: {error.strerror}"]) from error
    print(f"\nwrote into {out}:")
    for path in (out / NAME, *written):
        print(f"  {path.name}")
    print(f"next: shroudwright new my.job.toml, or change a number in {out / NAME} and run packet on it")
