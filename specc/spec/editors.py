"""The spec's schema as an editor wants it: of what is typed, short forms and all, in the standard's keywords alone.

What is judged (schema.py) is the long form, with keywords of our own for quantities, dates and renamed keys. An editor
sees the file as it is typed: a quantity is a text with a pattern, a key may stand for a range of tags, and what a short
form allows is said by `x-short` beside the long form it is written out into:

    "x-short": {"or": [SCHEMA, ...], "properties": {...}, "required": [...], "named": "part"}

`or`: what may stand in its place, such as a text. `properties`: keys that the long form lacks. `required`: what is left
of the long form's. `named`: other short forms take it in by `{"x-is": "part"}`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from specc.measure import units
from specc.measure.reading import example_of
from specc.spec.judge import WRITTEN

Schema = Mapping[str, Any]

# `33 ft | 28 ft` under a key with a range has a value each.
_EACH = r" *\| *"
_NUMBER = r"[-+−–]?[0-9.½¼¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚][0-9 ,.eE+/⁄½¼¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚-]*"
_DRILL = r"(?:[Nn][Oo]\.?|#) *[0-9]{1,2}(?: drill)?"
_HOURS = r"^\s*[0-2]\d:[0-5]\d\s+to\s+[0-2]\d:[0-5]\d\s*$"


def for_editors(schema: Schema, *, fragment: bool = False) -> dict[str, Any]:
    """The whole schema for an editor. `fragment`: of a file that another one includes, where nothing is required."""
    maker = _Maker()
    made: dict[str, Any] = maker.made(schema)
    if fragment:
        made.pop("required", None)
        for root in made["properties"].values():
            for one in (root, *root.get("anyOf", ())):
                one.pop("required", None)
    return {**made, "$defs": maker.named} if maker.named else made


@cache
def quantity_pattern(dim: str) -> str:
    """What every text that reads as a quantity of this dimension looks like: a number, a unit of it, and what follows.

    It lets some through that do not read ("4 ft 13 in"); what the tool reads, it never refuses.
    """
    spelled = {s for key, unit in units.known(dim).items() for s in (key, unit.name, *unit.also)}
    # Words that mean one of them, such as feet and degrees.
    spelled |= {word for word, meant in units.WORDS.items() if any(meant in key.split() for key in units.known(dim))}
    firsts = sorted({_first(s) for s in spelled if s}, key=lambda s: (-len(s), s))
    unit = f"(?:{'|'.join(_any_case(f) + ('(?![A-Za-z])' if f[-1].isalpha() else '') for f in firsts)})"
    bare = "(?: *(?:±|[+]).*)?" if dim in ("ratio", "count") else f"(?: *(?:±|[+]).*{unit}.*)"
    value = f"{_NUMBER}(?: *{unit}.*|{bare})"
    if dim in ("ratio", "count"):
        value = f"{_NUMBER}(?: *%.*|{unit}.*|{bare})" if firsts else f"{_NUMBER}{bare}"
    if dim == "length":
        value = f"(?:{value}|{_DRILL})"
    one = f"(?:{value}|<n>)"
    return f"^ *{one} *$|{_EACH}"


def _first(spelling: str) -> str:
    """The first word of a unit: `ft` of `ft3/h`, `lb` of `lb/h`."""
    found = re.match(r"[^0-9/ ()]+|\S", spelling)
    return found[0] if found else spelling


def _any_case(text: str) -> str:
    return "".join(f"[{c.lower()}{c.upper()}]" if c.isascii() and c.isalpha() else re.escape(c) for c in text)


class _Maker:
    def __init__(self) -> None:
        self.named: dict[str, Any] = {}

    def made(self, schema: Any, in_tags: bool = False) -> Any:
        """A schema in an editor's terms. `in_tags`: below a map by tag, where a key may stand for several."""
        if not isinstance(schema, Mapping):
            return schema
        if "x-is" in schema:
            return {"$ref": f"#/$defs/{schema['x-is']}"}
        made = {k: v for k, v in schema.items() if not k.startswith("x-")}
        if "x-dimension" in schema:
            made |= self._quantity(schema)
        elif "x-written" in schema:
            one = f"(?:{WRITTEN[schema['x-written']][0]}|<n>)"
            made |= {"type": schema.get("type", "string"), "pattern": f"^{one}(?:{_EACH}{one})*$"}
        for key in ("items", "not", "if", "then", "else", "contains", "propertyNames"):
            if key in made:
                made[key] = self.made(made[key], in_tags)
        for key in ("allOf", "anyOf", "oneOf", "prefixItems"):
            if key in made:
                made[key] = [self.made(one, in_tags) for one in made[key]]
        if isinstance(made.get("additionalProperties"), Mapping):
            entry = made["additionalProperties"] = self.made(made["additionalProperties"], True)
            if due := entry.pop("required", None):
                # A key with a range may say one part of an entry, and a plain key the rest of it.
                plain = {"propertyNames": {"not": {"pattern": "<"}}}
                asked = {"if": plain, "then": {"additionalProperties": {"required": due}}}
                made["allOf"] = [*made.get("allOf", ()), asked]
        if "properties" in made:
            made["properties"] = self._properties(schema, made["properties"], in_tags)
        if "x-choose" in schema:
            made = self._chosen(schema, made)
        if "x-short" in schema:
            made = self._short(schema["x-short"], made)
        if "enum" in schema:
            made = self._choice(schema, made, in_tags)
        elif in_tags and schema.get("type") in ("integer", "number", "boolean"):
            told = {"description": made.pop("description")} if "description" in made else {}
            made = {"anyOf": [made, self._in_bars()], **told}
        if set(made.get("properties", ())) == {"from", "to"} and "type" in made:
            told = {"description": made.pop("description")} if "description" in made else {}
            return {"anyOf": [made, {"type": "string", "pattern": _HOURS}], **told}
        return made

    def _properties(self, schema: Schema, own: Mapping[str, Any], in_tags: bool) -> dict[str, Any]:
        made = {name: self.made(one, in_tags) for name, one in own.items()}
        for old, (new, _) in schema.get("x-renamed", {}).items():
            if new in made:
                if isinstance(made[new].get("additionalProperties"), Mapping):
                    # A whole map by tag is written once, for both names.
                    told = {"description": made[new].pop("description", "")}
                    self.named[new] = made[new]
                    made[new] = {"$ref": f"#/$defs/{new}", **told}
                made[old] = {**made[new], "deprecated": True, "description": f"written {new} now"}
        return made

    def _quantity(self, schema: Schema) -> dict[str, Any]:
        dim = schema["x-dimension"]
        example = schema.get("x-example") or example_of(dim)
        kinds: Any = ["string", "number"] if dim in ("ratio", "count") else "string"
        self.named.setdefault(f"a_{dim}", {"type": kinds, "pattern": quantity_pattern(dim)})
        return {"$ref": f"#/$defs/a_{dim}", "examples": [example]}

    def _choice(self, schema: Schema, made: dict[str, Any], in_tags: bool) -> dict[str, Any]:
        made["enum"] = [*schema["enum"], *schema.get("x-renamed-values", ())]
        if not in_tags or not all(isinstance(one, str) for one in schema["enum"]):
            return made
        return {
            **{k: v for k, v in made.items() if k not in ("enum", "type")},
            "anyOf": [{"enum": made["enum"]}, self._in_bars()],
        }

    def _in_bars(self) -> dict[str, Any]:
        """One value for each tag of a range: `51 | 38`, or the tag itself."""
        self.named.setdefault("in_bars", {"type": "string", "pattern": f"{_EACH}|^<n>$"})
        return {"$ref": "#/$defs/in_bars"}

    def _chosen(self, schema: Schema, made: dict[str, Any]) -> dict[str, Any]:
        """One key chooses what others there are; while it is not typed, any of them may be."""
        by, branches = schema["x-choose"]["by"], schema["x-choose"]["from"]
        common = dict(made.get("properties", {}))
        every: dict[str, list[Any]] = {}
        ways = []
        for name, branch in branches.items():
            own = self._properties(branch, branch.get("properties", {}), True)
            for key, one in own.items():
                if one not in every.setdefault(key, []):
                    every[key].append(one)
            then = {"properties": own, "propertyNames": {"enum": [by, *common, *own]}}
            if branch.get("required"):
                then["required"] = branch["required"]
            ways.append({"if": {"properties": {by: {"const": name}}, "required": [by]}, "then": then})
        open_to = {key: found[0] if len(found) == 1 else {"anyOf": found} for key, found in every.items()}
        choice = {"enum": list(branches)}
        if description := common.get(by, {}).get("description"):
            choice["description"] = description
        made["properties"] = {**open_to, **common, by: choice}
        made["additionalProperties"] = False
        made["allOf"] = [*made.get("allOf", ()), *ways]
        return made

    def _short(self, short: Schema, made: dict[str, Any]) -> dict[str, Any]:
        extra = {k: self.made(v, True) for k, v in short.get("properties", {}).items()}
        if extra:
            made["properties"] = {**made.get("properties", {}), **extra}
            for way in made.get("allOf", ()):
                if "propertyNames" in way.get("then", {}):
                    way["then"]["propertyNames"]["enum"] += [k for k in extra]
        if "like" in extra and made.get("required"):
            unlike = {"if": {"not": {"required": ["like"]}}, "then": {"required": made["required"]}}
            made["allOf"] = [*made.get("allOf", ()), unlike]
        elif "required" in short:
            for where in (made, *(way.get("then", {}) for way in made.get("allOf", ()))):
                where["required"] = [r for r in where.get("required", ()) if r in short["required"]]
                if where is made:
                    where["required"] = list(short["required"])
                if not where["required"]:
                    where.pop("required")
        if "like" in extra:
            made.pop("required", None)
        others = [self.made(one, True) for one in short.get("or", ())]
        if others:
            description = made.pop("description", "")
            made = {"anyOf": [made, *others], **({"description": description} if description else {})}
        if "named" in short:
            self.named[short["named"]] = made
            return {"$ref": f"#/$defs/{short['named']}"}
        return made
