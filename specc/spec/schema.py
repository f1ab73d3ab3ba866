"""The spec's schema, put together from the core's and the plugins': what is judged by (see judge.py) and published."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from jsonschema import Draft202012Validator, SchemaError

from specc.dims import DIMENSIONS
from specc.spec import fields, resources
from specc.spec.judge import REFERS, WRITTEN

Schema = Mapping[str, Any]

# Putting it together


def _fill(schema: Any) -> Any:
    """Fill in each `$ref` to "common/NAME" with that file, so that no reference is left."""
    if isinstance(schema, Mapping):
        ref = schema.get("$ref")
        if isinstance(ref, str) and ref.startswith("common/"):
            rest = {k: _fill(v) for k, v in schema.items() if k != "$ref"}
            return {**_fill(resources.schema(ref + ".json")), **rest}
        return {k: _fill(v) for k, v in schema.items()}
    if isinstance(schema, list):
        return [_fill(item) for item in schema]
    return schema


def core() -> dict[str, Any]:
    """The core's own schema."""
    made: dict[str, Any] = _fill(resources.schema("project.schema.json"))
    return made


def compose(
    parts: Mapping[str, Schema],
    old_rules: Mapping[str, str] | None = None,
    old_limits: Mapping[str, str] | None = None,
    claimed: Mapping[str, Mapping[str, Schema]] | None = None,
) -> dict[str, Any]:
    """The whole schema: the core's, with the roots that plugins own.

    `old_rules` and `old_limits`: what rules and limits were called before, to what they are called now. `claimed`: the
    fields that plugins have on what has a tag, by its place and by plugin (see fields.py); each place has to be one.
    """
    whole = core()
    own = whole["properties"] = {**whole["properties"], **{root: _fill(part) for root, part in parts.items()}}
    waived = own["waivers"]["additionalProperties"]["properties"]["rule"]
    waived["x-renamed-values"] = {old: (new, "") for old, new in (old_rules or {}).items()}
    own["limits"]["x-renamed"] = {old: (new, "") for old, new in (old_limits or {}).items()}
    taken = {place: {plugin: _fill(part) for plugin, part in by.items()} for place, by in (claimed or {}).items()}
    fields.take_in(whole, taken)
    return whole


# Where a schema holds further schemas: one, a list of them, or a mapping of them.
_INSIDE_ONE = ("additionalProperties", "items", "contains", "not", "if", "then", "else", "propertyNames")
_INSIDE_LIST = ("allOf", "anyOf", "oneOf", "prefixItems")
_INSIDE_NAMED = ("properties", "patternProperties", "dependentSchemas")
# Those that the walk over a spec goes into; in the others a value is judged and never read as a quantity.
_WALKED = ("additionalProperties", "items", "properties")
# What only the walk understands.
_OURS = ("x-dimension", "x-choose", "x-renamed", "x-renamed-values", "x-private", "x-refers", "x-told")


def faults_in(schema: Schema) -> str:
    """What is wrong with a plugin's schema itself, or "": then it can be composed and used to judge."""
    try:
        Draft202012Validator.check_schema(schema)
        return _own_faults(schema)
    except (SchemaError, re.error, RecursionError, TypeError, ValueError, AttributeError) as e:
        return (str(e).splitlines() or [type(e).__name__])[0]


def _inside(schema: Schema) -> Iterator[tuple[str, Any]]:
    """The schemas right below one, each with the keyword that it stands under."""
    yield from ((key, schema[key]) for key in _INSIDE_ONE if key in schema)
    yield from ((key, one) for key in _INSIDE_LIST for one in schema.get(key, ()))
    yield from ((key, one) for key in _INSIDE_NAMED for one in schema.get(key, {}).values())


def _own_faults(schema: Any, walked: bool = True) -> str:
    """What the standard's own check does not see: our keywords, references and patterns."""
    if not isinstance(schema, Mapping):
        return ""
    for key in ("$ref", "$dynamicRef", "$id", "$defs"):
        if key in schema and (key != "$ref" or not str(schema[key]).startswith("common/")):
            return f'{key}: a plugin\'s schema can only take in "common/NAME", by $ref'
    if "$ref" in schema and not (resources.schemas_folder() / (schema["$ref"] + ".json")).is_file():
        return f"$ref: there is no {schema['$ref']!r}"
    if not walked:
        for key in _OURS:
            if key in schema or "$ref" in schema:
                told = "a $ref" if "$ref" in schema else key
                return f"{told} cannot stand inside {', '.join(_NOT_WALKED)}: put it under properties or items"
    if "x-dimension" in schema and schema["x-dimension"] not in DIMENSIONS:
        return f"x-dimension: there is no dimension {schema['x-dimension']!r}; one of: {', '.join(DIMENSIONS)}"
    if "x-written" in schema and schema["x-written"] not in WRITTEN:
        return f"x-written: {schema['x-written']!r} is none of {', '.join(WRITTEN)}"
    if "x-refers" in schema and not set(str(schema["x-refers"]).split(" or ")) <= set(REFERS):
        return f"x-refers: {schema['x-refers']!r} is none of {', '.join(REFERS)}"
    for pattern in (schema.get("pattern", ""), *schema.get("patternProperties", ())):
        re.compile(pattern)
    found = next((f for key, one in _inside(schema) if (f := _own_faults(one, walked and key in _WALKED))), "")
    return found or _choice_faults(schema) or _renaming_faults(schema)


_NOT_WALKED = tuple(k for k in (*_INSIDE_ONE, *_INSIDE_LIST, *_INSIDE_NAMED) if k not in _WALKED)


def _choice_faults(schema: Schema) -> str:
    if "x-choose" not in schema:
        return ""
    choose = schema["x-choose"]
    fit = isinstance(choose, Mapping) and isinstance(choose.get("by"), str)
    if not fit or not isinstance(choose.get("from"), Mapping):
        return "x-choose: {by: a key, from: {its value: a schema}} is due"
    for name, branch in choose["from"].items():
        if not isinstance(branch, Mapping):
            return f"x-choose: what {name!r} stands for is no schema"
        if fault := faults_in(branch):
            return fault
    return ""


def _renaming_faults(schema: Schema) -> str:
    for mark, known in (("x-renamed", schema.get("properties", {})), ("x-renamed-values", schema.get("enum", ()))):
        renamed = schema.get(mark, {})
        if not isinstance(renamed, Mapping) or any(
            not isinstance(to, list | tuple) or len(to) != 2 for to in renamed.values()
        ):
            return f"{mark}: {{old: [new, since which version]}} is due"
        for old, (new, _) in renamed.items():
            if new not in known or old in known:
                return f"{mark}: {old!r} to {new!r}: the new one has to be a name of today, and the old one not"
    return ""


def keys_of(schema: Any) -> frozenset[str]:
    """All keys that a schema knows."""
    if isinstance(schema, list):
        return frozenset[str]().union(*map(keys_of, schema))
    if not isinstance(schema, Mapping):
        return frozenset()
    own = schema.get("properties")
    return frozenset(own if isinstance(own, Mapping) else ()).union(*map(keys_of, schema.values()))
