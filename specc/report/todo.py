"""What is left to do: the rules that could not check, grouped by what would answer them, most dangerous first."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from specc.model.result import Result, RuleOutcome
from specc.model.statuses import UNJUDGED
from specc.model.wording import several
from specc.report.lines import folded, safe
from specc.spec.source.places import steps_of

_ORDER = {"error": 0, "warning": 1, "note": 2}
_ANY = "*"  # stands for any tag
_MOST = 4  # answers that are named; more of the same say nothing new


def unchecked(result: Result) -> tuple[RuleOutcome, ...]:
    """The rules that did not check, those that would find errors first."""
    left = [rule for rule in result.rules if rule.status in UNJUDGED]
    return tuple(sorted(left, key=lambda rule: (_ORDER[rule.level], rule.id)))


def answer(rules: Iterable[RuleOutcome], result: Result) -> str:
    """What of the spec would answer rules that did not check, as its keys stand below one another; "" where nothing
    would. Where a finding stands at one of them, that tells more."""
    answers = dict.fromkeys(at for rule in rules for at in rule.answers if at)
    found = {f.at for f in result.findings}
    unsaid, refused = in_keys(at for at in answers if at not in found), in_keys(at for at in answers if at in found)
    return "; ".join(filter(None, (unsaid, refused and f"{refused}, where a finding stands")))


def in_keys(answers: Iterable[str]) -> str:
    """JSON pointers as keys that stand below one another. Tags that lack the same keys are named once.

    >>> in_keys(["/operators", "/flame/overhead", "/flame/clear_overhead", "/places/*/kind"])
    'operators:; flame: overhead:, clear_overhead:; places: kind:'
    >>> in_keys(["/plumbing/parts/v1/listed", "/plumbing/parts/v1/arrow", "/plumbing/parts/v2/listed"])
    'plumbing: parts: v1: listed:, arrow:; plumbing: parts: v2: listed:'
    >>> in_keys(["/plumbing/parts/v1/listed", "/plumbing/parts/v2/listed"])
    'plumbing: parts: v1, v2: listed:'
    """
    keys: dict[tuple[str, ...], list[str]] = {}  # those that lack, by the steps to what they are keys of
    for at in answers:
        steps = tuple(steps_of(at)) or ("",)
        keys.setdefault(steps[:-1], []).append(steps[-1])
    tags: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for above, lacking in keys.items():
        tags.setdefault((above[:-1], tuple(lacking)), []).extend(above[-1:])
    return several([_line(above, listed, lacking) for (above, lacking), listed in tags.items()], _MOST, "; ")


def _line(above: Collection[str], tags: list[str], keys: Collection[str]) -> str:
    named = [several(tags)] if tags else []
    steps = [f"{step}:" for step in (*above, *named) if step != _ANY]
    return " ".join([*steps, several([f"{key}:" for key in keys if key != _ANY], _MOST)]).rstrip()


def todo(result: Result) -> list[str]:
    """Each reason once, with the keys that would answer and the rules that wait for them."""
    groups: dict[str, list[RuleOutcome]] = {}
    for rule in unchecked(result):
        groups.setdefault(rule.looked or rule.status, []).append(rule)
    if not groups:
        return ["Nothing is left to do: each rule was checked, or does not apply."]
    count = sum(map(len, groups.values()))
    lines = [f"Not checked: {count} rule{'' if count == 1 else 's'}, most dangerous first"]
    for reason, rules in groups.items():
        lines += ["", *folded(safe(reason), "  ")]
        if key := answer(rules, result):
            lines += folded(f"answered by: {safe(key)}", "  ")
        lines += [line for rule in rules for line in folded(f"{rule.level} {rule.id}: {rule.statement}", "    ")]
    return lines
