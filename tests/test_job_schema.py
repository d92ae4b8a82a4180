"""The JSON Schema of a job file."""

import json
import tomllib

import jsonschema
import pytest

from shroudwright.job.schema import FILE, schema, text
from shroudwright.job.template import starter
from tests.jobs import SMALL
from tests.test_job_files import uncommented


@pytest.mark.behaviour("the shipped schema is the model's own, and a sound one")
def test_shipped() -> None:
    assert FILE.read_text(encoding="utf-8") == text(), "run python -m shroudwright.job.schema"
    jsonschema.Draft202012Validator.check_schema(schema())


@pytest.mark.behaviour("good files pass it")
@pytest.mark.parametrize("job", [SMALL, starter("in"), uncommented(starter("mm"))])
def test_good(job: str) -> None:
    jsonschema.validate(tomllib.loads(job), schema())


@pytest.mark.behaviour("wrong keys, words and types do not")
@pytest.mark.parametrize(
    "job",
    [
        {"core": {"widht": "2 in"}},
        {"core": {"width": True}},
        {"core": {"width": ["2 in"]}},
        {"engine": {"fuel": "deisel"}},
        {"cases": [{"name": "x"}]},
        {"fans": [{}] * 5},
        {"fans": [{"curve": "steep"}]},
        {"radiator": {}},
    ],
)
def test_bad(job: dict[str, object]) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(job, schema())


@pytest.mark.behaviour("every field has its sentence, and its limits where it has any")
def test_sentences() -> None:
    shipped = json.loads(FILE.read_text(encoding="utf-8"))
    width = shipped["$defs"]["Core"]["properties"]["width"]
    assert width["description"] == "Finned face, left to right, tanks left off. Between 3 in and 100 in."
    assert width["type"] == ["string", "number"]
    for part in (shipped, *shipped["$defs"].values()):
        assert all({"description", "$ref"} & field.keys() for field in part["properties"].values())
        assert part["description"]
