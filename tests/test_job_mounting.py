"""The brackets of a job: shaped from the job's numbers, loaded with their share, judged."""

import math
from typing import Any

import pytest

from shroudwright.bench.errors import InputError
from shroudwright.job.files import parse_job
from shroudwright.job.filled import Filled
from shroudwright.job.model import Job
from shroudwright.job.mounting import GRAVITY, Mounting, mounting_of
from shroudwright.job.priors import priors, words
from shroudwright.uncertain.draws import draw
from tests.jobs import SMALL

POUND, KSI = 0.45359237, 6.894757e6
LOWER = """
[[brackets]]
name = "lower {side}"
x = "{x} in"
y = "-4 in"
z = "{z} in"
faces = "up"
core_x = "{x} in"
core_y = "-4 in"
core_z = "0 in"
core_faces = "up"
{more}
"""
UPPER = """
[[brackets]]
name = "upper {side}"
carries = "place"
x = "{x} in"
y = "18 in"
z = "-4 in"
faces = "back"
core_x = "{x} in"
core_y = "21 in"
core_z = "-1 in"
core_faces = "up"
{more}
"""


def job(*brackets: str, mount: str = 'weight = "60 lb, measured"') -> Job:
    return parse_job((SMALL + f"\n[mount]\n{mount}\n" + "".join(brackets)).encode(), "brackets.job.toml")


def filled(made: Job) -> Filled:
    return Filled(made, draw(priors(made), 1), {path: word.value for path, word in words(made).items()})


def mounted(*brackets: str, **how: Any) -> Mounting:
    found = mounting_of(filled(job(*brackets, **how)))
    assert found is not None
    return found


def lower(side: str, x: float, z: float = -2.0, more: str = "") -> str:
    return LOWER.format(side=side, x=x, z=z, more=more)


def upper(side: str, x: float, more: str = "") -> str:
    return UPPER.format(side=side, x=x, more=more)


@pytest.mark.by_hand(
    "60 lb on two straps at 3 g, arm 2 in, 1.5 x 3/16 less a 0.328 hole: 26.2 ksi; 1/4 in holds 28/1.5 ksi"
)
def test_two_carry() -> None:
    found = mounted(lower("left", 1.0), lower("right", 23.0))
    for item in found.brackets:
        assert item.share == pytest.approx(0.5)
        assert item.held.stress / KSI == pytest.approx(20.48 * 1.5 / (1.5 - 0.328), rel=1e-3)
        assert item.held.allowable / KSI == pytest.approx(28.0 / 1.5)
        assert item.cure is not None
        assert item.cure / 0.0254 == pytest.approx(0.25)
    assert [(code, place) for code, _, _, place in found.findings] == [
        ("S06", "lower left, frame hole"),
        ("S06", "lower right, frame hole"),
    ]


@pytest.mark.behaviour(
    "upper brackets keep the place only; in 1/4 in sheet with rubber all is quiet; no bracket, no answer"
)
def test_quiet() -> None:
    thick = 'thickness = "1/4 in"'
    found = mounted(
        lower("left", 1.0, more=thick), lower("right", 23.0, more=thick), upper("left", 1.0), upper("right", 23.0)
    )
    assert found.findings == ()
    assert [item.share for item in found.brackets] == [0.5, 0.5, 0.0, 0.0]
    assert [len(item.bracket.flat.bends) for item in found.brackets] == [0, 0, 1, 1]
    assert mounting_of(filled(job())) is None


@pytest.mark.behaviour("S06 at 5 g, S09 without rubber at four, S10 for a heavy fan on ties through the core")
def test_fires() -> None:
    more = 'thickness = "1/4 in"\nrubber = false'
    rows = (lower("left", 1.0, more=more), lower("right", 23.0, more=more), upper("left", 1.0, "rubber = false"))
    four = (*rows, upper("right", 23.0, "rubber = false"))
    assert mounted(*rows).findings == ()
    (hard,) = mounted(*four).findings
    assert hard == ("S09", 4.0, 3.0, "brackets")
    rough = mounted(*four, mount='weight = "60 lb"\nload_factor = 5')
    assert [code for code, *_ in rough.findings] == ["S06", "S06", "S09"]
    heavy = SMALL.replace('code = "A"', 'code = "A"\nweight = "5 lb"')
    text = heavy + '\n[mount]\nfans_hang_on = "core"\n' + rows[0]
    ties = mounting_of(filled(parse_job(text.encode(), "ties.job.toml")))
    assert ties is not None
    assert [(code, place) for code, _, _, place in ties.findings] == [("S10", "A")]


@pytest.mark.law(
    "the pack's weight where none is typed: core, coolant, fans, shroud; more with depth, much more in copper"
)
def test_guessed_weight() -> None:
    def weight(swap: tuple[str, str]) -> float:
        text = SMALL.replace(*swap) + lower("left", 1.0)
        return float(priors(parse_job(text.encode(), "x.job.toml"))["mount.weight"].median)

    plain = weight(("zzz", ""))
    assert 15.0 * POUND < plain < 60.0 * POUND
    assert weight(('depth = "2 in', 'depth = "3 in')) > plain
    assert weight(('depth = "2 in, measured"', 'depth = "2 in, measured"\nfin_metal = "copper"')) > 1.3 * plain


@pytest.mark.behaviour("ends nobody typed, and straps that cannot be, are named together with their row")
def test_faults() -> None:
    bare = '\n[[brackets]]\nname = "odd"\nx = "1 in"\n'
    with pytest.raises(InputError) as error:
        mounting_of(filled(job(bare, lower("left", 1.0, z=-0.3))))
    assert [fault.split(":")[0] for fault in error.value.faults] == ["brackets.0", "brackets.1"]
    assert "y, z, core_x, core_y, core_z, faces, core_faces" in error.value.faults[0]
    assert "apart" in error.value.faults[1]


@pytest.mark.by_hand("1.5 g of 60 lb over four brackets: 22.5 lb fore and aft on an angle 3 in from its bolt")
def test_fore_and_aft() -> None:
    found = mounted(lower("left", 1.0), lower("right", 23.0), upper("left", 1.0), upper("right", 23.0))
    top = found.brackets[2]
    assert top.held.stress > 0.0
    arms = [corner - top.bracket.corners[0] for corner in top.bracket.corners]
    reach = max(math.hypot(*arm) for arm in arms)
    most = SIDE * reach / (top.bracket.thickness**2 * (top.bracket.width - 0.328 * 0.0254) / 6.0)
    assert top.held.stress < 1.6 * most


SIDE = 1.5 * 60.0 * POUND * GRAVITY / 4.0
