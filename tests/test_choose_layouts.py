"""The leading sets laid out: places a builder can use, against the plain path, and written into a job."""

import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from shroudwright.assess import assess
from shroudwright.bench.errors import InputError
from shroudwright.choose.layouts import LAID
from shroudwright.choose.record import Choice, SetAnswer
from shroudwright.choose.sizes import shrouded
from shroudwright.choose.stages import choose, fate_of
from shroudwright.doors import choices
from shroudwright.fan_sets import Batch, columns_of, known_of
from shroudwright.job.files import parse_job, read_job
from shroudwright.job.flatten import glycol_of
from shroudwright.job.plenum import behind_of, law_at, running_blowers
from shroudwright.job.refit import refitted, write_refitted
from shroudwright.job.shelf import shipped_shelf
from shroudwright.materials.coolant import coolant_table
from shroudwright.pack.field import solve_field
from shroudwright.pack.kernel import solve_batch
from shroudwright.pack.plenum import spread_of
from shroudwright.shroud.fit import WANTED
from tests.plenums import INCH
from tests.test_choose import DEMO, EXAMPLES, SHELF, job_of, plainly

FEW = [item for item in SHELF if item.code in ("A12M", "A14M", "B14", "D11")]


@pytest.fixture(scope="module")
def few() -> Choice:
    return choose(job_of("demo"), FEW, draws=128)


def named(answer: Choice, name: str) -> SetAnswer:
    return next(item for item in answer.sets if item.name == name)


@pytest.mark.independent("the set typed into the job and solved with tables of its own on four times the cells")
def test_a_row_stands_in_for_a_set_not_laid_out() -> None:
    known = known_of(shrouded(job_of("demo"))[0], SHELF, 24)
    place = {fan.code: i for i, fan in enumerate(known.shelf)}
    sets = [(place["B14"],) * 2, (place["A10"],) * 3, (place["A16S"],), (place["A12M"], place["A16S"])]
    flows = np.array([known.drawn_flow(members) for members in sets])
    batch = Batch(known, sets, columns_of(known, sorted({i for s in sets for i in s}), drawn=True), flows, range(25))
    table = coolant_table(*glycol_of(batch.filled))
    for rows, members in zip(batch.case(3), sets, strict=True):
        own: Any = solve_batch(rows.copy().view(np.recarray), table)
        typed: Any = solve_batch(plainly(known, members, 3).view(np.recarray), table)
        assert own.plenum_loss[0] == pytest.approx(typed.plenum_loss[0], rel=0.2)
        assert own.coolant_unregulated[0] == pytest.approx(typed.coolant_unregulated[0], abs=1.5)
        assert own.coolant_unregulated[1:].std() == pytest.approx(typed.coolant_unregulated[1:].std(), rel=0.02)


@pytest.mark.independent("the pack's own balance of the same fans: air through the core and the plenum's loss")
def test_the_field_stands_where_the_pack_does() -> None:
    known = known_of(shrouded(job_of("demo"))[0], SHELF, 8)
    i = [fan.code for fan in known.shelf].index("B14")
    for index in (0, 3):
        p: Any = plainly(known, (i, i), index)[:1].view(np.recarray)
        # The field's shroud is tight and covers all of the core; the pack counts its loss on the open, covered face.
        p.leak_area, p.open_share, p.covered_share = 0.0, 1.0, 1.0
        filled = known.filled((i, i), 1)
        law, behind = law_at(p[0]), behind_of(filled)
        assert behind is not None
        cells = behind.cells(1536)
        blowers = running_blowers(filled, p[0], law.density)
        field = solve_field(cells, law, blowers)
        r: Any = solve_batch(p.copy(), coolant_table(*glycol_of(filled)))
        assert field.flow.sum() * law.density == pytest.approx(r.air_mass_flow[0], rel=0.01)
        loss = spread_of(cells, law, blowers, field).K
        assert loss == pytest.approx(r.plenum_loss[0], rel=0.02)


@pytest.mark.law("the answer does not hang on how many cores there are")
def test_on_one_core(few: Choice, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 1)
    assert choose(job_of("demo"), FEW, draws=128).to_json() == few.to_json()


@pytest.mark.practice(
    "two alike on a 37 x 17 in core stand at the quarter points; all leading sets have places that fit"
)
def test_the_demo_gets_a_layout_one_would_build(few: Choice) -> None:
    pair = named(few, "2 x B14").layout
    assert pair is not None
    assert [(at.x_typed, at.y_typed) for at in pair.placements] == [("9 1/4 in", "8 1/2 in"), ("27 3/4 in", "8 1/2 in")]
    assert pair.over_a_row == pytest.approx(0.0, abs=0.1)
    laid = [item for item in few.sets if item.layout]
    assert len(laid) == min(LAID, len([item for item in few.sets if "D11" not in item.codes]))
    for item in laid:
        assert item.layout is not None
        assert sorted(
            at.code.removesuffix(" 1").removesuffix(" 2").removesuffix(" 3") for at in item.layout.placements
        ) == sorted(item.codes)
        assert item.layout.tightest is not None
        assert item.layout.tightest.gap >= item.layout.tightest.least - 1e-6
        assert item.layout.tightest.least == WANTED[item.layout.tightest.kind]  # type: ignore[index]
        assert len({at.y for at in item.layout.placements}) == 1
    assert named(few, "2 x D11").layout is None


@pytest.mark.law("a deeper shroud is never worse; the job's own depth is kept where the room behind is not measured")
def test_depths(few: Choice) -> None:
    for item in few.sets:
        if item.layout is None:
            continue
        depths = item.layout.depths
        assert [round(one.depth / INCH, 2) for one in depths] == [0.75, 1.25, 1.75, 2.25]
        assert [one.fits for one in depths] == [True, True, None, None]
        assert [one.is_own for one in depths] == [False, True, False, False]
        margins = [one.margin for one in depths]
        assert margins == sorted(margins)  # type: ignore[type-var]
        assert item.layout.depth == pytest.approx(1.25 * INCH)
        assert item.chance_of_holding == depths[1].chance_of_holding


@pytest.mark.behaviour("in a core full of keep-outs no set has a place, and each says by how much")
def test_no_place() -> None:
    out = '\n[[space.keep_outs]]\nx = "0 in"\ny = "0 in"\nwidth = "37 in"\nheight = "17 in"\nreason = "frame rail"\n'
    job = parse_job((DEMO + out).encode(), "demo")
    answer = choose(job, [item for item in SHELF if item.code == "B14"], draws=8)
    assert (answer.sets, answer.counts.no_place, answer.counts.drawn) == ([], 2, 0)
    (line, *_) = fate_of(answer, "B14").lines
    assert line.startswith("1 x B14: no place found that keeps every clearance; at the nearest, fan to keep-out")
    assert "frame rail) lacks " in line


@pytest.mark.practice("a shroud that reaches over the tanks takes fans wider than the fins")
def test_over_the_tanks() -> None:
    small = [item for item in SHELF if item.code == "A12M"]
    swap = ('width = "37 in, measured"', 'width = "22 in, measured"')
    assert "2 x A12M" not in [item.name for item in choose(job_of("demo", swap), small, draws=8).sets]
    reach = ('type = "full"\ndepth', 'type = "full"\nreach_left = "2 1/2 in"\nreach_right = "2 1/2 in"\ndepth')
    found = named(choose(job_of("demo", swap, reach), small, draws=8), "2 x A12M").layout
    assert found is not None
    left, right = found.placements
    assert left.x - 13.3 / 2 * INCH < 0.0
    assert left.x + right.x == pytest.approx(22 * INCH, abs=1e-6)


@pytest.mark.independent("an assessment of the job it writes, its own 2000 draws and tables")
def test_a_set_written_into_a_job_holds_as_often(
    few: Choice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job, new = tmp_path / "demo.job.toml", tmp_path / "new.job.toml"
    job.write_text(DEMO)
    choices.run(job, None, None, 12, False, place=1, out=new)
    assert capsys.readouterr().out.startswith(f"wrote {new}: 2 x B14 at their places.")
    written = read_job(new)
    assert [fan.code for fan in written.fans] == ["B14 1", "B14 2"]
    assert written.fans[0].copied is not None
    answer = assess(written)
    case = next(case for case in answer.cases if case.name == "canyon grade")
    assert case.chance_of_holding == pytest.approx(named(few, "2 x B14").chance_of_holding, abs=0.08)
    assert not [finding for finding in answer.findings if finding.code.startswith("F") and finding.level == "stop"]
    with pytest.raises(InputError, match="exists already"):
        choices.run(job, None, None, 12, False, place=1, out=new)
    with pytest.raises(InputError, match="no set of that rank"):
        choices.run(job, None, None, 12, False, place=999, out=tmp_path / "other.job.toml")
    with pytest.raises(InputError, match="go together"):
        choices.run(job, None, None, 12, False, place=1)


@pytest.mark.behaviour("comments, numbers as typed and everything that is not a fan stay")
def test_the_rest_of_the_job_stays_as_typed(tmp_path: Path) -> None:
    import datetime

    path, new = EXAMPLES / "parade-cruiser.job.toml", tmp_path / "new.job.toml"
    fan = shipped_shelf()[0].fan
    day = datetime.date(2026, 2, 3)
    job = write_refitted(path, new, lambda text, name: refitted(text, [fan], "1 1/2 in", day, name))
    assert (job.shroud.type, len(job.fans), job.fans[0].copied) == ("full", 1, datetime.date(2026, 2, 3))
    assert job.fans[0].model_copy(update={"copied": None}) == fan
    before = path.read_text()
    fans = before[before.index("[[fans]]") :]
    fans = fans[: fans.index("\n[", 2)]
    kept = [line for line in before.replace(fans, "").splitlines() if line and line != 'type = "none"']
    after = new.read_text().splitlines()
    assert [line for line in kept if line.startswith("#")] != []
    assert all(line in after for line in kept if not line.startswith("[[fans"))
