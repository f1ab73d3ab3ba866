"""Every key that a spec may have is explained to an editor, and every measured one shows an example that reads."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from specc.engine.host import find
from specc.measure.reading import parse
from specc.model.values import Quantity
from specc.spec import resources, schema
from specc.spec.editors import for_editors

# Dimensions for which one example does not fit all keys: 1/2 in is no length of a hose.
OF_ITS_OWN = {"length", "duration", "ratio", "temperature", "gauge_pressure", "mass", "count"}


def below(one: Any, at: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every key of a schema as an editor has it, with what is said of it."""
    if isinstance(one, list):
        for item in one:
            yield from below(item, at)
    if not isinstance(one, dict):
        return
    for name, said in one.get("properties", {}).items():
        yield f"{at}/{name}", said
        yield from below(said, f"{at}/{name}")
    for word in ("items", "additionalProperties", "then", "else", "allOf", "anyOf", "oneOf"):
        yield from below(one.get(word), f"{at}/*" if word in ("items", "additionalProperties") else at)
    for name, said in one.get("$defs", {}).items():
        yield from below(said, f"({name})")


def quantities(one: Any, at: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every measured value of a schema as it is written, with the key that it stands at."""
    if isinstance(one, list):
        for i, item in enumerate(one):
            yield from quantities(item, f"{at}/{i}")
    elif isinstance(one, Mapping):
        if isinstance(one.get("x-dimension"), str):
            yield at, dict(one)
        for name, inner in one.items():
            yield from quantities(inner, f"{at}/{name}")


PLUGINS = find().plugins
WHOLE = schema.compose({root: one for p in PLUGINS for root, one in p.schema.items()})
KEYS = tuple(below(for_editors(WHOLE)))


def explained(said: dict[str, Any]) -> bool:
    """A key that is written otherwise in each kind of part is explained in each."""
    if said.get("description", "").strip():
        return True
    if "$ref" in said:
        return bool(said["$ref"] == "#/$defs/part")
    return bool(said.get("anyOf")) and all(explained(one) for one in said["anyOf"])


def test_every_key_is_explained() -> None:
    assert len(KEYS) > 600
    assert [at for at, said in KEYS if not explained(said)] == []


def test_what_is_explained_is_no_order() -> None:
    """An editor shows it beside a key that is there: to add it is said where it is missing."""
    assert [at for at, said in KEYS if said.get("description", "").startswith("add ")] == []


@pytest.mark.parametrize("said", [{"description": " "}, {}, {"anyOf": [{"description": "a"}, {}]}])
def test_nothing_said_is_not_explained(said: dict[str, Any]) -> None:
    assert not explained(said)


def sources() -> Iterator[tuple[str, Mapping[str, Any]]]:
    for path in (
        *sorted(resources.schemas_folder().glob("*.json")),
        *sorted(resources.schemas_folder().glob("common/*")),
    ):
        yield path.name, json.loads(path.read_text(encoding="utf-8"))
    for plugin in PLUGINS:
        yield from plugin.schema.items()


def test_every_quantity_has_an_example_that_reads() -> None:
    found = [(f"{name}{at}", one) for name, whole in sources() for at, one in quantities(whole)]
    assert len(found) > 150
    lacking = [at for at, one in found if one["x-dimension"] in OF_ITS_OWN and not one.get("x-example")]
    assert lacking == []
    for at, one in found:
        if "x-example" in one:
            value = parse(one["x-example"], one["x-dimension"])
            assert isinstance(value, Quantity), (at, value)
            assert value.si > 0 or one["x-dimension"] == "ratio", at
