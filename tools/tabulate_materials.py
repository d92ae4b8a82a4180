"""Make the property tables of `shroudwright.materials` from CoolProp.

    python -m tools.tabulate_materials

tables  every table as text, by file name
main    write them into the package

Run by hand after a new CoolProp; a test makes the tables again and compares.
"""

import csv
import io
from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
from CoolProp.constants import PT_INPUTS, QT_INPUTS, iT_freeze
from CoolProp.CoolProp import AbstractState, PropsSI

FOLDER = Path(__file__).parents[1] / "src" / "shroudwright" / "materials"
PROPERTIES = {"density": "kg/m**3", "specific_heat": "J/kg/K", "conductivity": "W/m/K", "viscosity": "Pa*s"}
BY_MASS = np.linspace(0.0, 0.6, 13)
BY_VOLUME = np.linspace(0.1, 0.6, 11)
GLYCOL_TEMPERATURES = np.arange(223.15, 373.16, 10.0)
WATER_TEMPERATURES = np.append(273.16, np.arange(274.15, 443.16))


def _four(state: AbstractState) -> list[str]:
    return [f"{value:.8g}" for value in (state.rhomass(), state.cpmass(), state.conductivity(), state.viscosity())]


def _mixes() -> Iterator[tuple[str, float, AbstractState]]:
    for glycol in ("MEG", "MPG"):
        mix = AbstractState("INCOMP", glycol)
        for share in BY_MASS:
            mix.set_mass_fractions([share])
            yield glycol, share, mix


def _glycol() -> Iterator[list[str]]:
    for glycol, share, mix in _mixes():
        frozen = mix.keyed_output(iT_freeze)
        for T in GLYCOL_TEMPERATURES[frozen < GLYCOL_TEMPERATURES]:
            mix.update(PT_INPUTS, 5e5, T)
            yield [glycol, f"{share:.2f}", f"{T:.2f}", *_four(mix)]


def _water() -> Iterator[list[str]]:
    water = AbstractState("HEOS", "Water")
    for T in WATER_TEMPERATURES:
        water.update(QT_INPUTS, 0.0, T)
        yield [f"{T:.2f}", *_four(water)]


def _freezing() -> Iterator[list[str]]:
    for glycol, share, mix in _mixes():
        yield [glycol, f"{share:.2f}", f"{mix.keyed_output(iT_freeze):.13g}"]
    for name in ("AEG", "APG"):
        for share in BY_VOLUME:
            point = PropsSI("T_freeze", "T", 300.0, "P", 1e5, f"INCOMP::{name}[{share}]")
            yield [name, f"{share:.2f}", f"{point:.13g}"]


def _text(units: dict[str, str], rows: Iterable[list[str]]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([list(units), list(units.values()), *rows])
    return text.getvalue()


def tables() -> dict[str, str]:
    """Return every table as text, by file name: names, units, then one record per row."""
    return {
        "glycol_properties.csv": _text(
            {"glycol": "", "mass_fraction": "-", "temperature": "K"} | PROPERTIES, _glycol()
        ),
        "water_properties.csv": _text({"temperature": "K"} | PROPERTIES, _water()),
        "glycol_freezing.csv": _text({"set": "", "share": "-", "freezing": "K"}, _freezing()),
    }


def main() -> None:
    """Write every table into the package."""
    for name, text in tables().items():
        (FOLDER / name).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
