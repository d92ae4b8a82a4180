"""The JSON Schema of a job file, for editors and other programs.

schema    the schema, made from the model

    python -m shroudwright.job.schema    writes job.schema.json anew
"""

import json
from pathlib import Path
from typing import Any

from shroudwright.job.model import Job

FILE = Path(__file__).with_name("job.schema.json")


def schema() -> dict[str, Any]:
    """Return the JSON Schema of a job file.

    Returns
    -------
    dict
        Draft 2020-12. A reading is text or a number; the range that is possible stands in its words.
    """
    made: dict[str, Any] = _plain(Job.model_json_schema(by_alias=True))
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **made}


def _plain(node: Any) -> Any:
    """Drop nulls, which a TOML file cannot hold, and say a field's limits in its description."""
    if isinstance(node, list):
        return [_plain(item) for item in node]
    if not isinstance(node, dict):
        return node
    noted = node.pop("x-field", {})
    if noted.get("low"):
        node["description"] += f" Between {noted['low']} and {noted['high']}."
    if noted.get("example"):
        node["examples"] = [noted["example"]]
    options = [option for option in node.get("anyOf", ()) if option != {"type": "null"}]
    if len(options) == 1:
        node.pop("anyOf")
        node = {**node, **options[0]}
    if node.get("default", ...) in (None, []):
        node.pop("default")
    if isinstance(node.get("title"), str):
        node.pop("title")
    return {key: _plain(value) for key, value in node.items()}


def text() -> str:
    """Return the schema as it is written to its file."""
    return json.dumps(schema(), indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
