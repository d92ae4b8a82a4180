"""STEP files: the study kept of them, and what is said where their kernel is not installed."""

import json
import sys
from pathlib import Path

import pytest

from shroudwright.bench.errors import InputError
from shroudwright.drawing.step import step
from shroudwright.metal.assembly import placed
from tests.packets import a_shroud

KEPT = Path(__file__).parent.parent / "docs/studies/solids.json"


@pytest.mark.independent("a geometry kernel's solids of random parts, run apart and kept in docs/studies/solids.json")
def test_study() -> None:
    kept = json.loads(KEPT.read_text(encoding="utf-8"))
    assert kept["parts"] >= 200
    assert kept["agrees"] == kept["parts"]
    assert kept["not agreed"] == []
    assert {"rolled", "bracket"} <= set(kept["kinds"])
    for kind in kept["kinds"].values():
        assert kind["worst"]["volume"] <= 1e-9
        assert kind["worst"]["length"] <= 1e-6 * 0.0254


@pytest.mark.behaviour("without the kernel a plain line says what to install")
def test_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "build123d", None)
    with pytest.raises(InputError, match=r"pip install 'shroudwright\[step\]'"):
        step(placed(a_shroud()))
