"""Whatever is asked of the API, as its own description says or not at all so, it answers in words and as described."""

import json
from collections.abc import Iterator
from typing import Any

import httpx
import jsonschema
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from tests.serving import served

ASKED = 6
"""Requests of each operation"""
SLOW = ("/choose", "/choose/events")
"""A search takes seconds; tested by itself."""
BARE = b'name = "bare"\nunits = "in"\n[[fans]]\ncode = "F1"\n'
"""A job that reads and cannot be worked out, so that nothing asked of it takes long."""
_WORDS = st.one_of(
    st.sampled_from(
        [
            "fans",
            "core",
            "accepted",
            "fans.0.x",
            "core.width",
            "cases.1.fans_on",
            "38 in, measured",
            "water",
            "H01",
            "name",
        ]
    ),
    st.text(max_size=30),
)
_JUNK = st.recursive(
    st.one_of(
        st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False, allow_infinity=False), st.text(max_size=8)
    ),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=8), inner, max_size=3)),
    max_leaves=6,
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    with served(tmp_path_factory.mktemp("shop")) as where, httpx.Client(base_url=where, timeout=60.0) as client:
        for text in (BARE, b"width = "):
            client.post("/jobs/import", files={"file": ("a.job.toml", text)})
        yield client


_PLAIN: dict[str | None, st.SearchStrategy[Any]] = {
    "integer": st.one_of(st.integers(-3, 9), st.integers()),
    "number": st.floats(allow_nan=False, allow_infinity=False),
    "boolean": st.booleans(),
    "null": st.none(),
    "string": _WORDS,
}


def values(schema: dict[str, Any], parts: dict[str, Any]) -> st.SearchStrategy[Any]:
    """What a schema allows, roughly; its limits are left to the program to keep."""
    if "$ref" in schema:
        schema = parts[schema["$ref"].rpartition("/")[2]]
    kind, inner = schema.get("type"), schema.get("additionalProperties")
    if "anyOf" in schema:
        found = st.one_of(*(values(one, parts) for one in schema["anyOf"]))
    elif "prefixItems" in schema:
        found = st.tuples(*(values(one, parts) for one in schema["prefixItems"])).map(list)
    elif "properties" in schema:
        needed = set(schema.get("required", ()))
        own = {name: values(one, parts) for name, one in schema["properties"].items()}
        optional = {name: one for name, one in own.items() if name not in needed}
        found = st.fixed_dictionaries({name: own[name] for name in needed}, optional=optional)
    elif kind == "object":
        found = st.dictionaries(_WORDS, values(inner, parts) if isinstance(inner, dict) else _JUNK, max_size=3)
    elif kind == "array":
        found = st.lists(values(schema.get("items", {}), parts), max_size=3)
    else:
        found = _PLAIN.get(kind, _JUNK)
    return found


@pytest.mark.law(
    "6 requests of each operation drawn from the API's description, junk too: none breaks it, all are as described"
)
def test_the_api_keeps_its_word(shop: httpx.Client) -> None:
    told = shop.get("/openapi.json").json()
    parts = told["components"]["schemas"]
    marks = [shop.get(f"/api/jobs/{file}/core").json()["mark"] for file in (1, 2)]
    calls = sorted(
        (path, method)
        for path, methods in told["paths"].items()
        for method in methods
        if not path.endswith(SLOW) or method == "get"
    )
    seen: set[tuple[str, int]] = set()

    @settings(
        max_examples=ASKED,
        deadline=None,
        derandomize=True,
        database=None,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )
    @given(st.data())
    def asked(path: str, method: str, data: st.DataObject) -> None:
        call = told["paths"][path][method]
        body = None
        if "requestBody" in call:
            described = values(call["requestBody"]["content"]["application/json"]["schema"], parts)
            body = data.draw(described if data.draw(st.integers(0, 9)) else _JUNK)
            if isinstance(body, dict) and "began" in body and data.draw(st.booleans()):
                body["began"] = data.draw(st.sampled_from(marks))
        query: dict[str, Any] = {}
        address = path
        for one in call.get("parameters", ()):
            if one["in"] == "path":
                given_ = data.draw(
                    st.sampled_from(
                        [1, 1, 1, 2, 3, 0, -1, 2**70] if one["schema"].get("type") == "integer" else ["core", "x y"]
                    )
                )
                address = address.replace(f"{{{one['name']}}}", str(given_))
            elif data.draw(st.booleans()):
                query[one["name"]] = json.dumps(data.draw(values(one["schema"], parts)))
        answer = shop.request(method.upper(), address, json=body, params=query)
        assert answer.status_code < 500, (method, address, body, answer.text)
        seen.add((f"{method} {path}", answer.status_code))
        told_ = answer.json()
        if answer.status_code != 200:
            assert told_.get("faults") or told_.get("detail") or told_.get("stale"), (address, told_)
            return
        wanted = call["responses"]["200"]["content"]["application/json"]["schema"]
        jsonschema.validate(told_, {**wanted, "components": told["components"]})

    for path, method in calls:
        asked(path, method)
    assert {status for _, status in seen} >= {200, 404, 409, 422}
