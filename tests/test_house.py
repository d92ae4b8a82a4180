"""The rules of the house that a machine can read."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

from shroudwright.bench.findings import CODES
from shroudwright.control_reasons import SAID as SAID_OF_CONTROL
from shroudwright.job.files import parse_job
from shroudwright.job.priors import priors
from shroudwright.plumbing_reasons import SAID as SAID_OF_PLUMBING
from shroudwright.reasons import MODEL_NAMES
from shroudwright.shop_reasons import SAID
from shroudwright.wiring_reasons import SAID as SAID_OF_WIRING
from tests.jobs import SMALL

ROOT = Path(__file__).parent.parent
SOURCES = sorted((ROOT / "src").rglob("*.py"))
MOST_LINES = {"assess.py": 300}
# Imports inside functions: the doors stay light, and heavy libraries wait until they are needed.
LATE_IMPORTS = {
    "doors",
    "units.py",
    "priors.py",
    "files.py",
    "refit.py",
    "filling.py",
    "mesh.py",
    "viewer.py",
    "step.py",
    "template.py",
}


@pytest.mark.behaviour("size of modules and functions")
@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT / "src/shroudwright")))
def test_modules_and_functions_stay_small_and_plain(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= MOST_LINES.get(path.name, 600)
    tree = ast.parse(text)
    classes = [node for node in tree.body if isinstance(node, ast.ClassDef) and not node.name.startswith("_")]
    public = {*tree.body} | {inner for node in classes for inner in node.body}
    assert ast.get_docstring(tree), "a module says what it holds"
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            assert all(alias.name != "*" for alias in node.names)
        if isinstance(node, ast.FunctionDef):
            body = (node.end_lineno or 0) - node.body[0].lineno
            doc = ast.get_docstring(node) or ""
            assert body - len(doc.splitlines()) <= 80, node.name
            assert doc or node.name.startswith("_") or node not in public, f"{node.name} has no docstring"
            late = [inner for inner in ast.walk(node) if isinstance(inner, ast.Import | ast.ImportFrom)]
            assert not late or LATE_IMPORTS & {path.name, path.parent.name}, node.name


@pytest.mark.behaviour("findings")
def test_every_finding_is_listed_raised_and_explained() -> None:
    reasons = "".join(
        (ROOT / f"src/shroudwright/{name}.py").read_text(encoding="utf-8")
        for name in ("reasons", "others", "reach", "fit_reasons")
    )
    raised = {*re.findall(r'"([HAKWF]\d\d)"', reasons), *SAID, *SAID_OF_WIRING, *SAID_OF_CONTROL, *SAID_OF_PLUMBING}
    explained = set(re.findall(r"^\*\*([A-Z]\d\d)\*\*", (ROOT / "docs/findings.md").read_text(encoding="utf-8"), re.M))
    assert raised == CODES.keys() == explained


@pytest.mark.behaviour("guesses")
def test_every_spread_of_the_models_own_has_a_name_in_words() -> None:
    paths = {
        path.removeprefix("model.") for path in priors(parse_job(SMALL.encode(), "x")) if path.startswith("model.")
    }
    assert paths == MODEL_NAMES.keys()


@pytest.mark.behaviour("the project stands alone")
def test_no_file_names_a_host_or_a_path_of_a_machine() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True)
    for path in (ROOT / name for name in listed.stdout.splitlines()):
        if path.suffix in (".py", ".md", ".toml", ".csv", ".lock", ".json", "") and path.name != "test_house.py":
            text = path.read_text(encoding="utf-8", errors="ignore")
            assert not re.search(r"(^|[\s\"'(])/(work|tmp|root|home)/\w", text), path
            # names of forms, not places
            names = ("https://json-schema.org", "http://www.w3.org/2000/svg", "postgresql://", "http://127.0.0.1")
            for name in (*names, "http://elsewhere.example", "http://{own}"):
                text = text.replace(name, "")
            assert "://" not in text, path
