"""Air speeds read over the core's face, taken in."""

from pathlib import Path
from typing import Any

import pytest

from shroudwright.assess import assess
from shroudwright.bench.errors import InputError
from shroudwright.face_map import _working, calibrated
from shroudwright.job.circuits import circuits_of
from shroudwright.job.files import read_job
from shroudwright.job.flatten import flatten
from shroudwright.job.heat_load import heat_load
from shroudwright.job.in_hand import filled_at_medians
from shroudwright.job.model import Job
from shroudwright.job.plenum import STANDARD_LAW, behind_of, blowers_of
from shroudwright.pack.cells import FINE_CELLS
from shroudwright.pack.plenum import field_at

EXAMPLE = Path("examples/hot-rod-tight-bay.job.toml")
NINE = [(across, up) for up in (0.15, 0.5, 0.85) for across in (0.12, 0.5, 0.88)]


def with_map(rows: list[tuple[float, float, float]], tmp_path: Path, more: str = "") -> Job:
    """The tight bay with readings in metres and metres per second."""
    listed = ", ".join(f'["{x:.6f} m", "{y:.6f} m", "{v:.6f} m/s"]' for x, y, v in rows)
    text = EXAMPLE.read_text(encoding="utf-8").replace("[shroud]\n", f"[shroud]\nface_map = [{listed}]\n{more}", 1)
    path = tmp_path / "map.job.toml"
    path.write_text(text, encoding="utf-8")
    return read_job(path)


def readings(turning: float, flow: float) -> list[tuple[float, float, float]]:
    """What a meter would read if that share of the head were lost on turning in, and the fans moved so much."""
    job = read_job(EXAMPLE)
    filled = filled_at_medians(job)
    behind = behind_of(filled)
    assert behind is not None
    p: Any = flatten(filled, 0, heat_load(filled, 0), circuits_of(filled))[0]
    cells, blowers = behind.cells(FINE_CELLS), blowers_of(filled, p)
    plenum = 1.0
    for _ in range(6):
        k, share, speed = _working(filled, p, plenum, flow)
        field, spread = field_at(cells, blowers, STANDARD_LAW._replace(turning=turning), k, share)
        plenum = spread.K / field_at(cells, blowers, STANDARD_LAW, k, share)[1].K
    rows = []
    for across, up in NINE:
        x, y = across * behind.plenum.width, up * behind.plenum.height
        at = field.speed[int((y - cells.bottom) / cells.dy), int((x - cells.left) / cells.dx)]
        rows.append((x, y, float(at / spread.face_velocity * speed)))
    return rows


@pytest.mark.law("a map made with known losses and flow gives them back")
@pytest.mark.parametrize(("turning", "flow"), [(1.0, 0.85), (1.6, 0.75), (0.6, 0.95)])
def test_a_map_gives_back_what_it_was_made_with(turning: float, flow: float, tmp_path: Path) -> None:
    found = calibrated(with_map(readings(turning, flow), tmp_path)).calibration
    assert found.plenum is not None
    assert found.fan_flow is not None
    assert found.fan_flow.value == pytest.approx(flow, rel=0.02)
    assert (found.plenum.value > 1.02) == (turning > 1.0)
    assert (found.plenum.value < 0.98) == (turning < 1.0)


@pytest.mark.behaviour("a map narrows the answer, and says what it found")
def test_a_map_is_taken_in(tmp_path: Path) -> None:
    before = assess(read_job(EXAMPLE), draws=300)
    after = assess(with_map(readings(1.0, 0.8), tmp_path), draws=300)
    assert any(finding.code == "A13" and "0.80" in finding.because for finding in after.findings)
    assert not any(finding.code == "A13" for finding in before.findings)

    def width(answer: Any) -> float:
        band = answer.cases[0].air_flow
        return float((band.high - band.low) / band.value)

    assert width(after) < width(before)


@pytest.mark.behaviour("a map that cannot be used is refused with every reason")
def test_a_poor_map_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError) as error:
        calibrated(with_map([(0.1, 0.1, 2.0), (9.0 * 0.1, 0.1, 2.0)], tmp_path))
    text = " ".join(error.value.faults)
    assert "2 spots are too few" in text
    assert "row 2 is off the core" in text
    with pytest.raises(InputError, match="no driving case is called"):
        calibrated(with_map(readings(1.0, 0.8), tmp_path, 'face_map_case = "moon"\n'))


@pytest.mark.behaviour("speeds in the wrong unit, and spots no shroud covers, are refused in words")
def test_readings_that_cannot_be_are_refused(tmp_path: Path) -> None:
    rows = readings(1.0, 0.8)
    with pytest.raises(InputError, match="look at the readings' unit"):
        calibrated(with_map([(x, y, 60.0 * v) for x, y, v in rows], tmp_path))
    with pytest.raises(InputError, match="row 1 is read where no shroud covers the core"):
        calibrated(with_map(rows, tmp_path, 'reach_left = "-3 in"\n'))


@pytest.mark.behaviour("a job without a map is left alone")
def test_no_map_no_change() -> None:
    job = read_job(EXAMPLE)
    assert calibrated(job) is job
