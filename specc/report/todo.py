"""What is left to do: the rules that could not check, grouped by what would answer them, most dangerous first."""

from __future__ import annotations

import re
from collections.abc import Collection

from specc.model.result import Result, RuleOutcome
from specc.model.statuses import UNJUDGED
from specc.report.lines import folded, safe

_ORDER = {"error": 0, "warning": 1, "note": 2}
# Keys as a reason writes them, one under the other: "flame: hottest: acc:".
_PATH = re.compile(r"(?<![\w.])[a-z][a-z_0-9]*:(?: [a-z][a-z_0-9]*:)*(?=[\s,;)]|$)")
_MOST = 4  # answers that are named; more of the same say nothing new
_NEEDS = re.compile(r"it needs ([a-z_.]+), which could not be had")
_READS = re.compile(r"it reads (/\S+), which is refused or missing")
# What reasons speak of in words, and the key that says it.
_SPOKEN = (
    ("periods of a cylinder without marking", "marking:"),
    ("no rating is stated", "rating: of each, or ratings: by kind"),
    ("nothing is described to", "places: with kind:, on those sides; or site: none:"),
    ("nothing says where", "place: of each"), ("of the usual wind", "weather: wind: kind:, averaging: and height:"),
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


def answer(reason: str, keys: Collection[str]) -> str:
    """What of the spec would answer, as the reason for not checking tells it; "" where nothing would.

    `keys`: all keys that a spec may have.
    """
    refused, needs = _READS.search(reason), _NEEDS.search(reason)
    if refused:
        return f"{refused[1].strip('/').replace('/', ': ')}:, where a finding stands"
    if needs:
        return f"what the finding of {needs[1]} says"
    named = list(dict.fromkeys(filter(None, (_path(found, reason, keys) for found in _PATH.finditer(reason)))))
    if named:
        return ", ".join(named[:_MOST]) + (" and so on" if len(named) > _MOST else "")
    return next((key for words, key in _SPOKEN if words in reason), "")


def _path(found: re.Match[str], reason: str, keys: Collection[str]) -> str:
    """Keys of a spec in a reason, one under the other; "" where its words only end in a colon.

    >>> _path(*(m := _PATH.search("stated: seat: of it"), m.string), {"seat"})
    'seat:'
    """
    words = [word.rstrip(":") for word in found[0].split()]
    while words and words[0] not in keys:
        words.pop(0)
    if not words or re.match(r" (?:no|nothing|state)\b", reason[found.end() :]):
        return ""  # a tag, and what is lacking there
    value = re.match(r" ([a-z_]+)\b", reason[found.end() :]) if words[-1] == "kind" else None
    return " ".join(f"{word}:" for word in words) + (f" {value[1]}" if value else "")


def todo(result: Result, keys: Collection[str]) -> list[str]:
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
        if key := answer(reason, keys):
            lines += folded(f"answered by: {key}", "  ")
        lines += [line for rule in rules for line in folded(f"{rule.level} {rule.id}: {rule.statement}", "    ")]
    return lines
