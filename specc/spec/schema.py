"""The spec's schema: put together from the core's and the plugins', used to judge a spec and to read it.

jsonschema judges; every refusal is then said in a person's words, with what fix. `convert`
makes the tree that passes read, with each measured value as a Quantity and each refused one as a `Bad`.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, NamedTuple

from jsonschema import Draft202012Validator, ValidationError
from jsonschema.validators import extend

from specc.dims import DIMENSIONS
from specc.measure.reading import BadQuantity, parse
from specc.model.values import Quantity
from specc.model.view import Bad, join
from specc.spec import resources

Schema = Mapping[str, Any]

_WRITTEN = {
    "date": (r"\d{4}-\d{2}-\d{2}", "a date as year-month-day, for example 2027-06-19"),
    "month": (r"\d{4}-(0[1-9]|1[0-2])", "a month as year-month, for example 2021-04"),
    "time": (r"([01]\d|2[0-3]):[0-5]\d", "a time of day as hours:minutes, for example 20:30"),
}


class Refusal(NamedTuple):
    """A fault against the schema: rule id, JSON pointer, words. `on_key`: the key itself is at fault."""

    rule: str
    at: str
    message: str
    fix: str
    on_key: bool = False


class Judged(NamedTuple):
    """`data` for passes to read, what was refused, and the pointers of required keys that are missing."""

    data: dict[str, Any]
    refusals: tuple[Refusal, ...]
    missing: frozenset[str]


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


def compose(parts: Mapping[str, Schema]) -> dict[str, Any]:
    """The whole schema: the core's, with the roots that plugins own."""
    whole = core()
    whole["properties"] = {**whole["properties"], **{root: _fill(part) for root, part in parts.items()}}
    return whole


def published(schema: Any) -> Any:
    """The schema for editors: with the standard keywords that our own imply."""
    if isinstance(schema, list):
        return [published(item) for item in schema]
    if not isinstance(schema, Mapping):
        return schema
    made = {k: published(v) for k, v in schema.items()}
    if "x-dimension" in schema:
        made["type"] = ["string", "number"] if schema["x-dimension"] in ("ratio", "count") else "string"
    if "x-written" in schema:
        made.setdefault("type", "string")
        made.setdefault("pattern", f"^{_WRITTEN[schema['x-written']][0]}$")
    if "x-choose" in schema:
        by, branches = schema["x-choose"]["by"], made["x-choose"]["from"]
        made.pop("additionalProperties", None)
        made["unevaluatedProperties"] = False
        made["properties"] = {**made.get("properties", {}), by: {"enum": list(branches)}}
        made["allOf"] = [
            {"if": {"properties": {by: {"const": name}}, "required": [by]}, "then": branch}
            for name, branch in branches.items()
        ]
    return made


# The keywords of our own. A property's known keys are its schema's, and its chosen branch's.


def _branch(schema: Schema, instance: Any) -> Schema:
    choose = schema.get("x-choose")
    if choose is None or not isinstance(instance, Mapping):
        return {}
    chosen = instance.get(choose["by"])
    found = choose["from"].get(chosen) if isinstance(chosen, str) else None
    return found if found is not None else {}


def _dimension(_: Any, dim: str, instance: Any, schema: Schema) -> Iterator[ValidationError]:
    read = parse(instance, dim, signed=bool(schema.get("x-signed")))
    if isinstance(read, BadQuantity):
        yield ValidationError(read.message, cause=Exception(read.fix))
    elif read.si <= schema.get("x-above", -math.inf) or read.si > schema.get("x-most", math.inf):
        least = f"more than {schema['x-above']:g}" if "x-above" in schema else ""
        most = f"at most {schema['x-most']:g}" if "x-most" in schema else ""
        words = " and ".join(w for w in (least, most) if w)
        yield ValidationError(f"{read.text} is out of range", cause=Exception(words))


def _written(_: Any, kind: str, instance: Any, schema: Schema) -> Iterator[ValidationError]:
    pattern, words = _WRITTEN[kind]
    fine = isinstance(instance, str) and re.fullmatch(pattern, instance) is not None
    if fine and kind == "date":
        try:
            date.fromisoformat(instance)
        except ValueError:
            fine = False
    if not fine:
        yield ValidationError(f"{_shown(instance)} is not {words.split(' as ')[0]}", cause=Exception(f"write {words}"))


def _choose(validator: Any, choose: Schema, instance: Any, schema: Schema) -> Iterator[ValidationError]:
    if not isinstance(instance, Mapping):
        return
    by = choose["by"]
    chosen = instance.get(by)
    if by in instance and not (isinstance(chosen, str) and chosen in choose["from"]):
        means = [
            f"{by}: {kind} with {key}: {chosen}"
            for kind, branch in choose["from"].items()
            for key, part in branch.get("properties", {}).items()
            if chosen in part.get("enum", ())
        ]
        hint = Exception("write " + " or ".join(means)) if means else None
        error = ValidationError("", validator="enum", validator_value=list(choose["from"]), instance=chosen, cause=hint)
        error.path.append(by)
        yield error
    branch = _branch(schema, instance)
    known = {**schema.get("properties", {}), **branch.get("properties", {})}
    if not branch:  # no telling which it is, so only what none of them knows is at fault
        for other in choose["from"].values():
            known.update(other.get("properties", {}))
    for name, part in branch.get("properties", {}).items():
        if name in instance:
            yield from validator.descend(instance[name], part, path=name)
    for name in branch.get("required", ()):
        if name not in instance:
            yield ValidationError(name, validator="required", instance=instance, validator_value=[name])
    for name in instance:
        if name not in known:
            yield _unknown(name, known, {**schema.get("x-renamed", {}), **branch.get("x-renamed", {})})


def _unknown(name: str, known: Mapping[str, Any], renamed: Mapping[str, Any]) -> ValidationError:
    if name in renamed:
        new, since = renamed[name]
        words = f"{new}: is given too; leave out {name}:, its name before {since}"
    else:
        near = difflib.get_close_matches(str(name), list(known), 1, 0.6)
        listed = ", ".join(sorted(known))
        words = f"did you mean {near[0]!r}?" if near else f"allowed: {listed}" if known else "leave it out"
        if near and len(known) > 1:
            words += f" Allowed: {listed}"
    error = ValidationError(f"unknown key {name!r}", validator="unknown", cause=Exception(words))
    error.path.append(name)
    return error


def _additional(validator: Any, allowed: Any, instance: Any, schema: Schema) -> Iterator[ValidationError]:
    if not isinstance(instance, Mapping):
        return
    known = schema.get("properties", {})
    if isinstance(allowed, Mapping):
        for name, value in instance.items():
            if name not in known:
                yield from validator.descend(value, allowed, path=name)
    elif allowed is False and "x-choose" not in schema:
        for name in instance:
            if name not in known:
                yield _unknown(name, known, schema.get("x-renamed", {}))


def _required(_: Any, names: list[str], instance: Any, schema: Schema) -> Iterator[ValidationError]:
    if isinstance(instance, Mapping):
        for name in names:
            if name not in instance:
                yield ValidationError(name)


_Judge: Any = extend(  # type: ignore[no-untyped-call]
    Draft202012Validator,
    {
        "x-dimension": _dimension,
        "x-written": _written,
        "x-choose": _choose,
        "additionalProperties": _additional,
        "required": _required,
    },
)


# Where a schema holds further schemas: one, a list of them, or a mapping of them.
_INSIDE_ONE = ("additionalProperties", "items", "contains", "not", "if", "then", "else", "propertyNames")
_INSIDE_LIST = ("allOf", "anyOf", "oneOf", "prefixItems")
_INSIDE_NAMED = ("properties", "patternProperties", "dependentSchemas")


def faults_in(schema: Schema) -> str:
    """What is wrong with a plugin's schema itself, or "": then it can be composed and used to judge."""
    try:
        Draft202012Validator.check_schema(schema)
        return _own_faults(schema)
    except Exception as e:
        return (str(e).splitlines() or [type(e).__name__])[0]


def _own_faults(schema: Any) -> str:
    """What the standard's own check does not see: our keywords, references and patterns."""
    if not isinstance(schema, Mapping):
        return ""
    for key in ("$ref", "$dynamicRef", "$id", "$defs"):
        if key in schema and (key != "$ref" or not str(schema[key]).startswith("common/")):
            return f'{key}: a plugin\'s schema can only take in "common/NAME", by $ref'
    if "$ref" in schema and not (resources.schemas_folder() / (schema["$ref"] + ".json")).is_file():
        return f"$ref: there is no {schema['$ref']!r}"
    if "x-dimension" in schema and schema["x-dimension"] not in DIMENSIONS:
        return f"x-dimension: there is no dimension {schema['x-dimension']!r}"
    if "x-written" in schema and schema["x-written"] not in _WRITTEN:
        return f"x-written: {schema['x-written']!r} is none of {', '.join(_WRITTEN)}"
    for pattern in (schema.get("pattern", ""), *schema.get("patternProperties", ())):
        re.compile(pattern)
    inside = [schema[key] for key in _INSIDE_ONE if key in schema]
    inside += [one for key in _INSIDE_LIST for one in schema.get(key, ())]
    inside += [one for key in _INSIDE_NAMED for one in schema.get(key, {}).values()]
    found = next((fault for one in inside if (fault := _own_faults(one))), "")
    if "x-choose" in schema and not found:
        choose = schema["x-choose"]
        fit = isinstance(choose, Mapping) and isinstance(choose.get("by"), str)
        if not fit or not isinstance(choose.get("from"), Mapping):
            return "x-choose: {by: a key, from: {its value: a schema}} is due"
        for name, branch in choose["from"].items():
            if not isinstance(branch, Mapping):
                return f"x-choose: what {name!r} stands for is no schema"
            found = found or faults_in(branch)
    for mark, what in (("x-renamed", "key"), ("x-renamed-values", "value")):
        renamed = schema.get(mark, {})
        if not isinstance(renamed, Mapping) or any(
            not isinstance(to, list | tuple) or len(to) != 2 for to in renamed.values()
        ):
            return f"{mark}: {{old {what}: [new {what}, since which version]}} is due"
    return found


# Saying it


def _shown(value: Any) -> str:
    text = (
        repr(value)
        if isinstance(value, str)
        else "true"
        if value is True
        else "false"
        if value is False
        else str(value)
    )
    text = "an empty value" if value is None else "a mapping" if isinstance(value, Mapping) else text
    text = "a list" if isinstance(value, list) else text
    return text if len(text) <= 60 else text[:57] + "..."


_TYPES = {
    "string": "text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
    "object": "a mapping (keys with values)",
    "array": "a list",
    "null": "nothing",
}


def _say(error: ValidationError, at: str) -> Refusal:
    kind, got = str(error.validator), error.instance
    want: Any = error.validator_value
    hint = str(error.cause) if error.cause is not None else ""
    schema: Any = error.schema if isinstance(error.schema, Mapping) else {}
    if kind == "unknown":
        return Refusal("spec.unknown_key", at, error.message, hint, on_key=True)
    if kind == "required":
        name = error.message
        says = schema.get("properties", {}).get(name, {}).get("description", "")
        return Refusal("spec.missing_key", join(at, name), f"{name!r} is missing", says or f"add {name}:")
    if kind == "x-dimension":
        # What is usual here beats what is usual for the dimension: nobody gives an elevation in inches.
        if "x-example" in schema and "for example" in hint:
            hint = f'for example "{schema["x-example"]}"'
        return Refusal("spec.quantity", at, error.message, hint)
    if kind == "x-written":
        return Refusal("spec.value", at, error.message, hint)
    if kind in ("enum", "const"):
        options = [str(o) for o in (want if kind == "enum" else [want])]
        near = difflib.get_close_matches(str(got), options, 1, 0.6)
        words = hint or (f"did you mean {near[0]!r}? " if near else "") + "one of: " + ", ".join(options)
        return Refusal("spec.value", at, f"{_shown(got)} is not allowed", words)
    if kind == "type":
        wanted = " or ".join(_TYPES.get(t, t) for t in ([want] if isinstance(want, str) else want))
        words = f"write {wanted}"
        if want == "array" and isinstance(got, str):
            words = f"write a list, in brackets: [{got}]"
        if want == "string" and isinstance(got, (int, float)):
            words = f'write it in quotes: "{_shown(got)}"'
        return Refusal("spec.value", at, f"{_shown(got)} stands where {wanted} is due", words)
    if kind == "pattern":
        return Refusal(
            "spec.value",
            at,
            f"{_shown(got)} cannot be used here",
            schema.get("x-says", f"a text like {want}"),
        )
    if kind == "minItems":
        return Refusal("spec.value", at, "the list is too short", f"at least {want}")
    if kind in ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"):
        words = {"minimum": "at least", "maximum": "at most"}.get(kind, "more than" if "Min" in kind else "less than")
        return Refusal("spec.value", at, f"{_shown(got)} is out of range", f"{words} {want}")
    if kind == "maxLength":
        return Refusal("spec.value", at, "the text is too long", f"at most {want} characters")
    if kind == "uniqueItems":
        return Refusal("spec.value", at, "the list names something twice", "name each once")
    return Refusal("spec.value", at, error.message[:120], "")


def judge(schema: Schema, data: Mapping[str, Any]) -> Judged:
    """Judge a spec's data, and convert it for reading. Never raises for a fault in the data."""
    refusals: dict[tuple[str, str, str], Refusal] = {}
    for error in _Judge(schema).iter_errors(data):
        said = _say(error, join("", *error.absolute_path))
        refusals.setdefault((said.rule, said.at, said.message), said)
    refused = tuple(refusals.values())
    bad = frozenset(r.at for r in refused if not r.on_key and r.rule != "spec.missing_key")
    missing = frozenset(r.at for r in refused if r.rule == "spec.missing_key")
    unknown = frozenset(r.at for r in refused if r.on_key)
    made = _convert(schema, data, "", bad, unknown)
    return Judged(made if isinstance(made, dict) else {}, refused, missing)


def _convert(schema: Schema, data: Any, at: str, bad: frozenset[str], unknown: frozenset[str]) -> Any:
    """The data with Quantities for measured values, `Bad` for refused ones, and no unknown keys."""
    if at in bad:
        return Bad(at)
    if "x-dimension" in schema:
        read = parse(data, schema["x-dimension"], at, signed=bool(schema.get("x-signed")))
        return read if isinstance(read, Quantity) else Bad(at)
    if isinstance(data, Mapping):
        known = {**schema.get("properties", {}), **_branch(schema, data).get("properties", {})}
        other = schema.get("additionalProperties")
        rest = other if isinstance(other, Mapping) else {}
        made = {}
        for name, value in data.items():
            below = join(at, name)
            if below not in unknown:
                made[name] = _convert(known.get(name, rest), value, below, bad, unknown)
        return made
    if isinstance(data, list):
        item = schema.get("items")
        part = item if isinstance(item, Mapping) else {}
        return [_convert(part, value, join(at, i), bad, unknown) for i, value in enumerate(data)]
    return data
