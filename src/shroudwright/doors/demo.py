"""The shipped demo: the whole main job on an invented vehicle, and what it wrote.

run
"""

from importlib.resources import files
from pathlib import Path

from shroudwright.assess import assess
from shroudwright.bench.errors import InputError
from shroudwright.doors.say import console, say_assessment
from shroudwright.job.files import parse_job

NAME = "demo.job.toml"


def run(out: Path) -> None:
    """Assess the demo, print the answer, and write the job and the answer.

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
    answer = assess(job)
    say_assessment(console(), answer, job.units or "in")
    written = {out / NAME: typed, out / "demo.assessment.json": answer.to_json().encode()}
    try:
        out.mkdir(parents=True, exist_ok=True)
        for path, content in written.items():
            path.write_bytes(content)
    except OSError as error:
        raise InputError([f"cannot write into {out}: {error.strerror}"]) from error
    print(f"\nwrote {', '.join(map(str, written))}")
    print(f"next: shroudwright new my.job.toml, or change a number in {out / NAME} and run assess on it")
