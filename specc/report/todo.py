"""What is left to do: the rules that could not check, grouped by what would answer them, most dangerous first."""

from __future__ import annotations

from specc.model.result import Result, RuleOutcome
from specc.report.lines import folded, safe

_ORDER = {"error": 0, "warning": 1, "note": 2}
_LEFT = ("not checked", "blocked", "crashed")


def unchecked(result: Result) -> tuple[RuleOutcome, ...]:
    """The rules that did not check, those that would find errors first."""
    left = [rule for rule in result.rules if rule.status in _LEFT]
    return tuple(sorted(left, key=lambda rule: (_ORDER[rule.level], rule.id)))


def todo(result: Result) -> list[str]:
    """Each reason once, with the rules that wait for it."""
    groups: dict[str, list[RuleOutcome]] = {}
    for rule in unchecked(result):
        groups.setdefault(rule.looked or rule.status, []).append(rule)
    if not groups:
        return ["Nothing is left to do: each rule was checked, or does not apply."]
    count = sum(map(len, groups.values()))
    lines = [f"Not checked: {count} rule{'' if count == 1 else 's'}, most dangerous first"]
    for reason, rules in groups.items():
        lines += ["", *folded(safe(reason), "  ")]
        lines += [line for rule in rules for line in folded(f"{rule.level} {rule.id}: {rule.statement}", "    ")]
    return lines
