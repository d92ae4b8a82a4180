import importlib
import inspect
import pkgutil

import pytest

import shroudwright
from shroudwright.bench.errors import InputError
from shroudwright.bench.registry import OFFERED, compute, describe
from shroudwright.bench.units import convert

for _, name, _ in pkgutil.walk_packages(shroudwright.__path__, "shroudwright."):
    if not name.startswith("shroudwright.doors"):
        importlib.import_module(name)


@pytest.mark.behaviour("docstrings")
@pytest.mark.parametrize("name", sorted(OFFERED))
def test_offered_functions_document_exactly_what_they_take_and_give(name: str) -> None:
    function = OFFERED[name]
    said = describe(function)
    assert [entry.name for entry in said.parameters] == list(inspect.signature(function).parameters)
    assert said.results
    assert said.notes.startswith("Limits:")
    assert "Accuracy:" in said.notes
    assert said.references
    for entry in (*said.parameters, *said.results):
        if not entry.is_text:
            unit = entry.unit.removesuffix(" rise")
            assert convert(2.0, unit, unit) == 2.0
            convert(2.0, unit, unit.replace("K", "degC") if unit == "K" else unit)


@pytest.mark.by_hand("0.5 * 1.2 * 20**2 * 0.4 = 96 Pa")
def test_compute_reads_typed_units() -> None:
    result = compute(
        "ram_pressure",
        {"road_speed": "20 m/s", "air_density": "1.2 kg/m**3", "inlet_share": "0.45", "bay_share": "5 %"},
    )
    assert result["pressure"][1] == pytest.approx(96.0)


@pytest.mark.behaviour("shop math faults")
def test_compute_lists_every_fault() -> None:
    with pytest.raises(InputError) as caught:
        compute("ram_pressure", {"road_speed": "20 psi", "colour": "red"})
    text = "\n".join(caught.value.faults)
    assert len(caught.value.faults) == 5
    assert "no 'colour'" in text
    assert "needs air_density" in text
    with pytest.raises(InputError, match="did you mean ram_pressure"):
        compute("ram_presure", {})
