"""What is left to do: the rules that could not check, grouped by what would answer them, most dangerous first."""

from __future__ import annotations

import re

from specc.model.result import Result, RuleOutcome
from specc.model.statuses import UNJUDGED
from specc.report.lines import folded, safe

_ORDER = {"error": 0, "warning": 1, "note": 2}
_NAMED = re.compile(r"\b([a-z][a-z_]+):(?=[\s,;)]|$)")
_NEEDS = re.compile(r"it needs ([a-z_.]+), which could not be had")
_READS = re.compile(r"it reads (/\S+), which is refused or missing")
# What reasons speak of in words, and the key that says it.
_SPOKEN = (
    ("outside diameter", "outside:"), ("bore", "bore:"), ("how it was bent", "bent: of a burner, bends: of a tube"),
    ("coordinates", "places: at:"), ("the ends of", "ends:, or size: of the catalog"), ("dates", "event: dates:"),
    ("material", "material:"), ("coating", "coating:"), ("is joined", "joints: method:"),
    ("is made", "joints: method:"),
    ("both its ends known", "ends:, or size: of the catalog"), ("no part's ends", "ends:, or size: of the catalog"),
    ("wind that stops", "weather: wind: stop:"), ("certificate", "people: certificates:"),
    ("minimum set", "extinguishers: units:"), ("rating", "rating:"), ("diameter", "diameter:"), ("length", "length:"),
)  # fmt: skip


def unchecked(result: Result) -> tuple[RuleOutcome, ...]:
    """The rules that did not check, those that would find errors first."""
    left = [rule for rule in result.rules if rule.status in UNJUDGED]
    return tuple(sorted(left, key=lambda rule: (_ORDER[rule.level], rule.id)))


def answer(reason: str) -> str:
    """The key of the spec that would answer, as the reason for not checking tells it; "" where none would."""
    refused, needs = _READS.search(reason), _NEEDS.search(reason)
    if refused:
        return f"{refused[1].strip('/').replace('/', ': ')}:, where a finding stands"
    if needs:
        return f"what the finding of {needs[1]} says"
    named = list(dict.fromkeys(_NAMED.findall(reason)))
    if named:
        return " ".join(f"{key}:" for key in named)
    return next((key for words, key in _SPOKEN if words in reason), "")


def todo(result: Result) -> list[str]:
    """Each reason once, with the key that would answer and the rules that wait for it."""
    groups: dict[str, list[RuleOutcome]] = {}
    for rule in unchecked(result):
        groups.setdefault(rule.looked or rule.status, []).append(rule)
    if not groups:
        return ["Nothing is left to do: each rule was checked, or does not apply."]
    count = sum(map(len, groups.values()))
    lines = [f"Not checked: {count} rule{'' if count == 1 else 's'}, most dangerous first"]
    for reason, rules in groups.items():
        lines += ["", *folded(safe(reason), "  ")]
        if key := answer(reason):
            lines += folded(f"answered by: {key}", "  ")
        lines += [line for rule in rules for line in folded(f"{rule.level} {rule.id}: {rule.statement}", "    ")]
    return lines
