"""The packet as one PDF, the same bytes for the same job.

packet_pdf    everything the shop needs on paper
packet_looks  the same, each page as a small picture
papers_pdf    any blocks on pages
"""

import json
import re
import tempfile
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import Literal

import typst

from shroudwright.assessment import Assessment
from shroudwright.drawing.paper import A_FIXED_DAY, unscaled
from shroudwright.drawing.svg import font_folder
from shroudwright.drives import Driven
from shroudwright.packet.blocks import Block, plain
from shroudwright.packet.pages import all_pages
from shroudwright.plan import Plan

PAPERS = {"in": "us-letter", "mm": "a4"}
TRIAL = "TRIAL: not every size is measured in hand. Do not cut metal from this packet."
_LONGEST_NAME = 40
_ACROSS = {"in": 8.5, "mm": 210.0 / 25.4}
"""Width of a page, [in]"""


def packet_pdf(answer: Assessment, units: str, parts: Plan, driven: Sequence[Driven] = ()) -> bytes:
    """Return the packet.

    Parameters
    ----------
    answer : Assessment
        The whole answer.
    units : str
        ``in`` for inches on letter paper, ``mm`` for millimetres on A4, [text]
    parts : Plan
        Metal, wires, settings and prices.
    driven : sequence of Driven
        Simulated drives, if any.

    Returns
    -------
    bytes
        A PDF that asks the printer not to scale it.
    """
    return papers_pdf(
        all_pages(answer, units, parts, driven),
        answer.job_name,
        title="cooling packet",
        mark=_mark(answer),
        units=units,
        trial=TRIAL if parts.is_trial else "",
    )


def packet_looks(
    answer: Assessment, units: str, parts: Plan, driven: Sequence[Driven] = (), *, across: int = 340
) -> list[bytes]:
    """Return what the pages of the packet look like.

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
    across : int
        How many dots wide each is, [count]

    Returns
    -------
    list of bytes
        PNG, page by page.
    """
    blocks = all_pages(answer, units, parts, driven)
    trial = TRIAL if parts.is_trial else ""
    data = _data(blocks, answer.job_name, "cooling packet", _mark(answer), units, trial)
    looks = _compiled(data, blocks, "png", across / _ACROSS[units])
    return looks if isinstance(looks, list) else [looks]


def papers_pdf(blocks: list[Block], job_name: str, *, title: str, mark: str, units: str, trial: str = "") -> bytes:
    """Set blocks on pages.

    Parameters
    ----------
    blocks : list of Block
        In order.
    job_name : str
        For the title and the foot of every page.
    title : str
        What the papers are.
    mark : str
        Program and job, for the foot.
    units : str
        ``in`` for letter paper, ``mm`` for A4, [text]
    trial : str
        Said at the head of every page.

    Returns
    -------
    bytes
        A PDF that asks the printer not to scale it.
    """
    pdf = _compiled(_data(blocks, job_name, title, mark, units, trial), blocks, "pdf")
    assert isinstance(pdf, bytes)
    return unscaled(pdf)


def _mark(answer: Assessment) -> str:
    return f"{answer.program}, job {answer.job_sha256[:12]}"


def _data(blocks: list[Block], job_name: str, title: str, mark: str, units: str, trial: str) -> dict[str, object]:
    name = plain(job_name)
    return {
        "title": f"{name}: {title}",
        "job": name if len(name) <= _LONGEST_NAME else f"{name[:_LONGEST_NAME]}…",
        "mark": mark,
        "paper": PAPERS[units],
        "trial": trial,
        "blocks": blocks,
    }


def _compiled(
    data: dict[str, object], blocks: list[Block], form: Literal["pdf", "png"], ppi: float | None = None
) -> bytes | list[bytes]:
    with tempfile.TemporaryDirectory() as root:
        for number, block in enumerate(block for block in blocks if "svg" in block):
            block["file"] = f"picture{number}.svg"
            svg = block.pop("svg")
            size = re.search(r'width="([\d.]+)(mm|pt)" height="([\d.]+)(?:mm|pt)"', svg)
            assert size is not None
            to_mm = 1.0 if size[2] == "mm" else 25.4 / 72.0
            block["width"], block["height"] = to_mm * float(size[1]), to_mm * float(size[3])
            (Path(root) / str(block["file"])).write_text(svg, encoding="utf-8")
        template = Path(root) / "packet.typ"
        template.write_bytes(files("shroudwright.packet").joinpath("packet.typ").read_bytes())
        made: bytes | list[bytes] = typst.compile(
            str(template),
            root=root,
            format=form,
            ppi=ppi,
            font_paths=[font_folder()],
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(data)},
            timestamp=A_FIXED_DAY,
        )
    return made
