"""What is wrong with a value of the spec, in a person's words, with what to write instead."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from jsonschema import ValidationError

from specc.measure.reading import BadQuantity
from specc.model.view import join
from specc.spec.certain import SAFETY, certain, certain_unit

Schema = Mapping[str, Any]


class Refusal(NamedTuple):
    """A fault against the schema: rule id, JSON pointer, words. `on_key`: the key itself is at fault."""

    rule: str
    at: str
    message: str
    fix: str
    on_key: bool = False
    edit: tuple[str, str] | None = None  # what stands there, and what certainly was meant


def shown(value: object) -> str:
    """A value of a spec, short enough for a message."""
    if value is None:
        return "an empty value"
    if isinstance(value, Mapping):
        return "a mapping"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, bool):
        return str(value).lower()
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def value(at: str, message: str, fix: str) -> Refusal:
    return Refusal("spec.value", at, message, fix)


# A unit of these is a misspelling and no more; of a pressure or temperature nobody guesses.
_PLAIN = ("length", "mass", "volume", "time")


def quantity(at: str, bad: BadQuantity, schema: Schema, written: Any) -> Refusal:
    fix, edit = bad.fix, None
    if (
        bad.meant
        and isinstance(written, str)
        and schema.get("x-dimension") in _PLAIN
        and at.rsplit("/", 1)[-1] not in SAFETY
    ):
        wrong, right = (words.split(" ", 1) for words in (written.strip(), bad.meant))
        if len(wrong) == len(right) == 2 and wrong[0] == right[0] and certain_unit(wrong[1], right[1]):
            edit = (written, bad.meant)
    # What is usual here beats what is usual for the dimension: nobody gives an elevation in inches.
    if bad.by_example and "x-example" in schema:
        fix = f'for example "{schema["x-example"]}"'
    return Refusal("spec.quantity", at, bad.message, fix, edit=edit)


def missing_key(at: str, name: str, schema: Schema) -> Refusal:
    says = schema.get("properties", {}).get(name, {}).get("description", "")
    return Refusal("spec.missing_key", join(at, name), f"{name!r} is missing", f"add {name}: {says}".rstrip())


def unknown_key(at: str, name: str, known: Iterable[str], value: Any = None, homes: Sequence[str] = ()) -> Refusal:
    """`homes`: the places in a spec where the schema knows the key, in words."""
    listed = sorted(known)
    if " " in str(name).strip() and value is None:
        # Between braces a comma ends a value, and what comes after it is read as a key.
        fix = "if it belongs to the text before it, put that text in quotes: a comma ends it between braces"
        return Refusal("spec.unknown_key", join(at, name), f"unknown key {name!r}", fix, on_key=True)
    near = difflib.get_close_matches(str(name), listed, 3, 0.6)
    words = f"did you mean {' or '.join(map(repr, near))}?" if near else ""
    if not near:
        words = f"allowed: {', '.join(listed)}" if listed else "leave it out"
    if homes:
        words = f"{name}: stands under {' or '.join(homes)}; here {words}"
    edit = (str(name), near[0]) if near and certain(str(name), near[0], listed) else None
    return Refusal("spec.unknown_key", join(at, name), f"unknown key {name!r}", words, on_key=True, edit=edit)


def no_fields(at: str, plugin: str, claims: Mapping[str, Sequence[str]], here: str = "") -> Refusal:
    """Fields of a plugin's own (`x: {NAME: ...}`) that no plugin which runs has at this place."""
    near = difflib.get_close_matches(plugin, list(claims), 1, 0.6)
    fix = f"if a plugin {plugin} is installed, name it: plugins: {{use: [{plugin}]}}; else give its file with --plugin"
    if near:
        fix = f"did you mean {near[0]!r}?"
    if plugin in claims:
        fix = f"{plugin} has fields at {', '.join(claims[plugin])}"
    where = f"under {here}" if here else "here"
    return Refusal("spec.unknown_key", at, f"no plugin that runs has fields {plugin!r} {where}", fix, on_key=True)


def no_such_tag(at: str, tag: str, kind: str, known: Iterable[str]) -> Refusal:
    """A tag that the schema says is that of a part, person or place (`x-refers`), and is not there."""
    *first, last = kind.split(" or ")
    kind = f"{', '.join(first)} or {last}" if first else last
    near = difflib.get_close_matches(tag, list(known), 3, 0.6)
    words = f"did you mean {' or '.join(near)}?" if near else f"the tag of a {kind} of this spec"
    return value(at, f"there is no {kind} {tag!r}", words)


def untold(at: str, written: str) -> Refusal:
    """A text that somebody acts on, and that names nobody and nothing (`x-told`): a dash, none, unknown."""
    return value(at, f"{shown(written)} tells a reader nothing", "what or who it is; where there is none, leave it out")


def both_words(at: str, old: str, new: str, since: str) -> Refusal:
    """An old key beside its new one: it is not read, since which of the two is meant nobody can tell."""
    before = f", its name before {since}" if since else ", its name before"
    fix = f"{new}: is given too; leave out {old}:{before}"
    return Refusal("spec.unknown_key", join(at, old), f"unknown key {old!r}", fix, on_key=True)


def wrong_choice(at: str, by: str, chosen: object, branches: Mapping[str, Schema]) -> Refusal:
    """A kind that does not exist. What a kind's own key allows is often put in the kind's place."""
    means = [
        f"{by}: {kind} with {key}: {chosen}"
        for kind, branch in branches.items()
        for key, part in branch.get("properties", {}).items()
        if chosen in part.get("enum", ())
    ]
    return _not_one_of(at, chosen, list(branches), "write " + " or ".join(means) if means else "")


def _not_one_of(at: str, got: object, allowed: Iterable[object], hint: str = "") -> Refusal:
    listed = list(allowed)
    options = [str(o) for o in listed]
    for one in listed:
        if str(one) == str(got):  # the right word in another type
            fix = f"write it without quotes: {one}" if isinstance(got, str) else f'write it in quotes: "{one}"'
            return value(at, f"{shown(got)} is not allowed", fix)
    near = difflib.get_close_matches(str(got), options, 1, 0.6)
    words = hint or (f"did you mean {near[0]!r}? " if near else "") + "one of: " + ", ".join(options)
    return value(at, f"{shown(got)} is not allowed", words)


_TYPES = {
    "string": "text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
    "object": "a mapping (keys with values)",
    "array": "a list",
    "null": "nothing",
}


def refused(error: ValidationError, keyword: str, want: Any, got: Any, schema: Schema, at: str) -> Refusal:
    """What jsonschema refuses. One inside anyOf and its like brings its own keyword and its way there."""
    if isinstance(error.validator, str):
        keyword, want, got = error.validator, error.validator_value, error.instance
        schema = error.schema if isinstance(error.schema, Mapping) else {}
        at = join(at, *error.absolute_path)
    if keyword == "required":
        return missing_key(at, error.message, schema)
    if keyword in ("enum", "const"):
        return _not_one_of(at, got, want if keyword == "enum" else [want])
    if keyword == "type":
        return value(at, *_of_another_type(got, want, schema))
    if keyword == "pattern":
        return value(at, f"{shown(got)} cannot be used here", schema.get("x-says", f"a text like {want}"))
    if keyword == "minItems":
        return value(at, "the list is too short", f"at least {want}")
    if keyword in ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"):
        words = {"minimum": "at least", "maximum": "at most"}.get(keyword, "")
        words = words or ("more than" if keyword == "exclusiveMinimum" else "less than")
        return value(at, f"{shown(got)} is out of range", f"{words} {want}")
    if keyword == "maxLength":
        return value(at, "the text is too long", f"at most {want} characters")
    if keyword == "uniqueItems":
        return value(at, "the list names something twice", "name each once")
    return value(at, error.message[:120], "")


def _of_another_type(got: object, want: Any, schema: Schema) -> tuple[str, str]:
    wanted = " or ".join(_TYPES.get(t, t) for t in ([want] if isinstance(want, str) else want))
    fix = f"write {wanted}"
    if want == "object" and (due := _keys_due(schema)):
        fix += f": {due}"
    if want == "array" and isinstance(got, str):
        fix = f"write a list, in brackets: [{got}]"
    if want == "string" and isinstance(got, (int, float)):
        fix = f'write it in quotes: "{shown(got)}"'
    return f"{shown(got)} stands where {wanted} is due", fix


def _keys_due(schema: Schema) -> str:
    """The keys that a mapping must have, each with the schema's example: {times: 10, open: 0.5 s}."""
    properties: Mapping[str, Schema] = schema.get("properties", {})
    due = (f"{key}: {properties.get(key, {}).get('x-example', '...')}" for key in schema.get("required", ()))
    return "{" + ", ".join(due) + "}" if schema.get("required") else ""
