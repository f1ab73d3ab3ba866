"""Judges a spec's data by its schema and makes the tree that passes read, in one walk: each value is looked at once.

What the walk descends into (mappings, lists, measured values, and the branch that one key chooses) is done here;
every other keyword of the standard is jsonschema's to judge. A refused value stands as a `Bad` in the tree, so that
only the passes which read it stop.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from jsonschema import Draft202012Validator, ValidationError
from jsonschema.validators import extend

from specc.measure.reading import BadQuantity, parse
from specc.model.values import Quantity
from specc.model.view import Bad, join
from specc.model.wording import names_nothing
from specc.spec.fields import KEY
from specc.spec.homes import homes_of
from specc.spec.ranges import out_of_range
from specc.spec.refusals import (
    Refusal,
    both_words,
    missing_key,
    no_fields,
    no_such_tag,
    quantity,
    refused,
    shown,
    unknown_key,
    untold,
    value,
    wrong_choice,
)

Schema = Mapping[str, Any]

# The years 1900 to 2199: a day beyond the last that there is, such as that after 9999-12-31, is no date to count with.
_YEAR = r"(?:19|2[01])\d\d"
WRITTEN = {
    "date": (_YEAR + r"-\d{2}-\d{2}", "a date", "year-month-day, for example 2027-06-19"),
    "month": (_YEAR + r"-(0[1-9]|1[0-2])", "a month", "year-month, for example 2021-04"),
    "time": (r"([01]\d|2[0-3]):[0-5]\d", "a time of day", "hours:minutes, for example 20:30"),
}

# Dimensions that have both signs, of which a spec's fields have one: what they mean says which way. A negative number
# there is a slip, and passes wherever a greatest is compared with.
_FROM_ZERO = frozenset(
    [
        "gauge_pressure",  # a gauge may show a vacuum; no field of a spec asks for one
        "speed",
        "mass_flow",
        "volume_flow",
        "pressure_difference",
        "ratio",
        "current",
        "voltage",
        "charge",
        "inductance",
        "resistance",
        "electric_power",
        "power",
        "heat_flux",
        "force",
    ]
)

# What `x-refers` names, and where the tags of such things stand.
REFERS = {
    "part": ("plumbing", "parts"),
    "run": ("plumbing", "runs"),
    "person": ("people",),
    "place": ("places",),
    "effect": ("effects",),
    "scene": ("show", "scenes"),
    "thing": ("things",),
    "extinguisher": ("extinguishers", "units"),
}

# What the walk does itself; the rest of a schema's keywords go to jsonschema.
WALKED = frozenset({"properties", "additionalProperties", "items", "required", "x-dimension", "x-written", "x-choose"})


class Judged(NamedTuple):
    """`data` for passes to read, what was refused, and the pointers of required keys that are missing."""

    data: dict[str, Any]
    refusals: tuple[Refusal, ...]
    missing: frozenset[str]


def judge(schema: Schema, data: Mapping[str, Any]) -> Judged:
    """Judge a spec's data, and convert it for reading. Never raises for a fault in the data."""
    judging = _Judging(schema, data)
    made = judging.walk(schema, data, "")
    return Judged(made if isinstance(made, dict) else {}, tuple(judging.refusals.values()), frozenset(judging.missing))


def branch_of(schema: Schema, instance: object) -> Schema:
    """The further schema that one key of a mapping chooses (`x-choose`), or an empty one."""
    choose = schema.get("x-choose")
    if choose is None or not isinstance(instance, Mapping):
        return {}
    chosen = instance.get(choose["by"])
    found: Schema | None = choose["from"].get(chosen) if isinstance(chosen, str) else None
    return found if found is not None else {}


class _Judging:
    def __init__(self, schema: Schema, whole: Mapping[str, Any]) -> None:
        self.schema = schema
        self.claims: Mapping[str, Sequence[str]] = schema.get("x-claims", {})  # plugins with fields of their own, where
        self.whole = whole
        self.homes: dict[str, tuple[str, ...]] = {}  # of unknown keys: where the schema knows them
        self.refusals: dict[tuple[str, str, str], Refusal] = {}
        self.bad: set[str] = set()
        self.missing: set[str] = set()

    def refuse(self, refusal: Refusal) -> None:
        self.refusals.setdefault((refusal.rule, refusal.at, refusal.message), refusal)
        if refusal.rule == "spec.missing_key":
            self.missing.add(refusal.at)
        elif not refusal.on_key:
            self.bad.add(refusal.at)

    def walk(self, schema: Schema, data: Any, at: str) -> Any:
        """The data with Quantities for measured values, `Bad` for refused ones, and no unknown keys."""
        for keyword, want in schema.items():
            function = _STANDARD.get(keyword)
            if function is not None:
                for error in function(_VALIDATOR, want, data, schema):
                    self.refuse(refused(error, keyword, want, data, schema, at))
        if "x-written" in schema:
            self._written(schema["x-written"], data, at)
        if schema.get("x-told") and isinstance(data, str) and names_nothing(data) and at not in self.bad:
            self.refuse(untold(at, data))
        if "x-refers" in schema:
            self._refers(schema["x-refers"], data, at)
        if "x-dimension" in schema:
            data = self._measured(schema, data, at)
        elif isinstance(data, str):  # most of what there is, and all of it is looked at by now
            pass
        elif isinstance(data, Mapping):
            data = self._mapping(schema, data, at)
        elif isinstance(data, list):
            item = schema.get("items")
            part: Schema = item if isinstance(item, Mapping) else {}
            data = [self.walk(part, one, join(at, i)) for i, one in enumerate(data)]
        if isinstance(data, float) and data.is_integer() and "integer" in _kinds(schema):
            data = int(data)  # 44.0 is a whole number to JSON Schema, and so to whoever reads it
        return Bad(at) if at in self.bad else data

    def _written(self, kind: str, data: Any, at: str) -> None:
        if not is_written(kind, data):
            self.refuse(value(at, _not_written(kind, data), f"write {' as '.join(WRITTEN[kind][1:])}"))

    def _refers(self, kinds: str, data: Any, at: str) -> None:
        """The tag of something has to be there, or each key of a mapping by such tags; what is no tag at all, the
        schema's type says."""
        there: list[str] = []
        for kind in kinds.split(" or "):
            known: Any = self.whole
            for step in REFERS[kind]:
                known = known.get(step, {}) if isinstance(known, Mapping) else None
            if not isinstance(known, Mapping):
                return  # what is there cannot be read
            there += known
        if isinstance(data, str) and data not in there:
            self.refuse(no_such_tag(at, data, kinds, there))
        for tag in data if isinstance(data, Mapping) else ():
            if tag not in there:
                self.refuse(no_such_tag(join(at, tag), tag, kinds, there)._replace(on_key=True))

    def _measured(self, schema: Schema, data: Any, at: str) -> Quantity | Bad:
        read = parse(data, schema["x-dimension"], at, signed=bool(schema.get("x-signed")))
        if isinstance(read, BadQuantity):
            self.refuse(quantity(at, read, schema, data))
            return Bad(at)
        if words := out_of_range(read, schema):
            self.refuse(Refusal("spec.quantity", at, f"{read.text} is out of range", words))
        elif read.si < read.minus and read.dim in _FROM_ZERO and not schema.get("x-signed"):
            reach = " with its tolerance" if read.si >= 0 else ""
            self.refuse(Refusal("spec.quantity", at, f"{read.text}{reach} is less than zero", "zero or more"))
        return read

    def _mapping(self, schema: Schema, data: Mapping[str, Any], at: str) -> dict[str, Any]:
        branch = branch_of(schema, data)
        known = {**schema.get("properties", {}), **branch.get("properties", {})}
        for one in (schema, branch):
            for name in one.get("required", ()):
                if name not in data:
                    self.refuse(missing_key(at, name, one))
        choose = schema.get("x-choose")
        allowed = schema.get("additionalProperties", True)
        strange: frozenset[str] = frozenset()
        untold: frozenset[str] = frozenset()
        if choose is not None:
            if not self._choice(choose, data, at):
                # What they mean hangs on a key that is refused or missing, so nobody can read them.
                untold = frozenset(data).difference(known)
            expected = dict(known)
            if not branch:  # no telling which it is, so only what none of them knows is at fault
                for other in choose["from"].values():
                    expected.update(other.get("properties", {}))
            strange = self._strange(expected, {**_renamed(schema), **_renamed(branch)}, data, at)
        elif "x-fields" in schema:
            strange = frozenset(data).difference(known)
            for club in strange:
                self.refuse(no_fields(join(at, club), club, self.claims, schema["x-fields"]))
        elif allowed is False:
            strange = self._strange(known, _renamed(schema), data, at)
        rest: Schema = allowed if isinstance(allowed, Mapping) else {}
        return {
            name: Bad(join(at, choose["by"]))
            if choose and name in untold
            else self.walk(known.get(name, rest), one, join(at, name))
            for name, one in data.items()
            if name not in strange
        }

    def _choice(self, choose: Schema, data: Mapping[str, Any], at: str) -> bool:
        """Whether a mapping says which further keys it has."""
        by = choose["by"]
        chosen = data.get(by)
        told = isinstance(chosen, str) and chosen in choose["from"]
        if by in data and not told:
            self.refuse(wrong_choice(join(at, by), by, chosen, choose["from"]))
        return told

    def _strange(self, known: Schema, renamed: Schema, data: Mapping[str, Any], at: str) -> frozenset[str]:
        strange = [name for name in data if name not in known]
        for name in strange:
            clubs = data[name] if name == KEY and isinstance(data[name], Mapping) else {}
            for club in clubs:
                self.refuse(no_fields(join(at, name, club), club, self.claims))
            if clubs:
                continue
            if name in renamed:
                self.refuse(both_words(at, name, *renamed[name]))
            else:
                if name not in self.homes:
                    self.homes[name] = homes_of(self.schema, name)
                self.refuse(unknown_key(at, name, known, data[name], self.homes[name]))
        return frozenset(strange)


def _kinds(schema: Schema) -> tuple[str, ...]:
    kinds = schema.get("type", ())
    return (kinds,) if isinstance(kinds, str) else tuple(kinds)


def _renamed(schema: Schema) -> Schema:
    renamed: Schema = schema.get("x-renamed", {})
    return renamed


def is_written(kind: str, data: object) -> bool:
    """Whether a value is written as `x-written` asks: a date, a month or a time of day."""
    if not isinstance(data, str) or re.fullmatch(WRITTEN[kind][0], data) is None:
        return False
    if kind != "date":
        return True
    try:
        date.fromisoformat(data)
    except ValueError:
        return False
    return True


def _not_written(kind: str, data: object) -> str:
    what = WRITTEN[kind][1]
    beyond = isinstance(data, str) and re.match(r"\d{4}-", data) and not re.match(_YEAR, data)
    return f"{shown(data)} is out of all bounds for {what}" if beyond else f"{shown(data)} is not {what}"


# What stands inside anyOf, if and their like is all jsonschema's; two of its words are put as ours are.


def _in_parts_written(_: Any, kind: str, data: Any, schema: Schema) -> Iterator[ValidationError]:
    if not is_written(kind, data):
        yield ValidationError(_not_written(kind, data))


def _in_parts_required(_: Any, names: list[str], data: Any, schema: Schema) -> Iterator[ValidationError]:
    for name in names if isinstance(data, Mapping) else ():
        if name not in data:
            yield ValidationError(name)


_Validator: Any = extend(  # type: ignore[no-untyped-call]
    Draft202012Validator, {"x-written": _in_parts_written, "required": _in_parts_required}
)
_VALIDATOR = _Validator({})
_STANDARD = {keyword: function for keyword, function in _Validator.VALIDATORS.items() if keyword not in WALKED}
