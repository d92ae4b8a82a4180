"""The kept property tables: as made, as read, and enough without their source."""

import csv
import subprocess
import sys

import numpy as np
import pytest
from CoolProp.constants import PT_INPUTS, QT_INPUTS, iT_freeze
from CoolProp.CoolProp import AbstractState

from shroudwright.materials import tables
from tools import tabulate_materials

MADE = tabulate_materials.tables()


def four(state: AbstractState) -> list[float]:
    return [state.rhomass(), state.cpmass(), state.conductivity(), np.log(state.viscosity())]


def cells(text: str) -> tuple[list[list[str]], list[float]]:
    """Split a table into its headings with its words, and its numbers."""
    rows = list(csv.reader(text.splitlines()))
    words = rows[:2] + [[cell for cell in row if cell.isalpha()] for row in rows[2:]]
    return words, [float(cell) for row in rows[2:] for cell in row if not cell.isalpha()]


@pytest.mark.independent("CoolProp, every cell made again")
@pytest.mark.parametrize("name", MADE)
def test_kept_tables_are_the_made_ones(name: str) -> None:
    kept, made = (cells(text) for text in ((tabulate_materials.FOLDER / name).read_text("utf-8"), MADE[name]))
    assert kept[0] == made[0]
    assert kept[1] == pytest.approx(made[1], rel=2e-8)


@pytest.mark.behaviour("every table kept beside the module has a script that makes it")
def test_no_table_without_a_script() -> None:
    assert {path.name for path in tabulate_materials.FOLDER.glob("*.csv")} == MADE.keys()


@pytest.mark.independent("CoolProp MEG and MPG, at shares and temperatures between the kept ones")
@pytest.mark.parametrize("glycol", ["MEG", "MPG"])
def test_glycol_between_rows(glycol: str) -> None:
    mix = AbstractState("INCOMP", glycol)
    random = np.random.default_rng(7)
    for share in (0.0, 0.6, *random.uniform(0.0, 0.6, 60)):
        mix.set_mass_fractions([share])
        frozen = mix.keyed_output(iT_freeze)
        assert tables.freezing(glycol, share) == pytest.approx(frozen, abs=2e-4)
        temperatures = np.array([frozen + 0.01, *random.uniform(frozen + 0.01, 373.15, 5), 373.15])
        for T, row in zip(temperatures, tables.glycol_rows(glycol, share, temperatures), strict=True):
            mix.update(PT_INPUTS, 5e5, T)
            *plain, ln_viscosity = four(mix)
            assert row[:3] == pytest.approx(plain, rel=1e-6)
            assert row[3] == pytest.approx(ln_viscosity, abs=1e-6)


@pytest.mark.independent("CoolProp, IAPWS-95 water between whole kelvins")
def test_water_between_rows() -> None:
    water = AbstractState("HEOS", "Water")
    temperatures = np.random.default_rng(7).uniform(273.16, 443.15, 100)
    for T, row in zip(temperatures, tables.water_rows(temperatures), strict=True):
        water.update(QT_INPUTS, 0.0, T)
        *plain, ln_viscosity = four(water)
        assert row[:3] == pytest.approx(plain, rel=1e-4)
        assert row[3] == pytest.approx(ln_viscosity, abs=1e-4)


@pytest.mark.behaviour("no property needs the library the tables came from")
def test_source_library_is_not_imported() -> None:
    asked = (
        "import sys; from shroudwright.materials import air, coolant as c;"
        "air.humidity_ratio(300.0, 1e5, 0.5); c.coolant('MEG', 0.7, 380.0); c.coolant('water', 0.0, 380.0);"
        "c.freeze_point('MPG', 0.5); c.mix_boil_point('MEG', 0.5, 1e5, 0.0);"
        "sys.exit(any(name.startswith('CoolProp') for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", asked], check=False).returncode == 0
