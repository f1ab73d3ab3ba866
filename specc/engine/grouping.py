"""Findings told once: one wrong item that stands for several values is one finding."""

from __future__ import annotations

import re

from specc.model.findings import Finding
from specc.spec.source.places import steps_of


def grouped(findings: list[Finding]) -> list[Finding]:
    """One wrong item of a range, class or `like:` is one finding, though it stands for several values.

    Alike are findings of one rule at one place with one fix, about different values, that say the same but for names.
    """
    alike: dict[tuple[object, ...], list[Finding]] = {}
    for found in findings:
        alike.setdefault((found.rule, found.level, found.place, found.fix, found.waived), []).append(found)
    made = []
    for some in alike.values():
        by_value: dict[str, list[Finding]] = {}
        for found in some:
            by_value.setdefault(found.at, []).append(found)
        first, *others = by_value.values()
        made += list(dict.fromkeys(first))
        if not others:
            continue
        if any(len(one) > 1 or _nameless(first[0]) != _nameless(one[0]) for one in by_value.values()):
            said = {f.message for f in first}
            made += [f for one in others for f in one if f.message not in said]
            continue
        tags = [tag for one in others if (tag := _differs(first[0].at, one[0].at))]
        if tags and any(f.message != first[0].message for one in others for f in one):
            made[-1] = first[0]._replace(message=f"{first[0].message}; and so of {', '.join(tags)}")
    return made


def _nameless(found: Finding) -> str:
    """What a finding says, with a mark for each name of its own, and for its own number in other names of its range.
    A measure that differs is no name: then each is told."""
    steps = [step for step in steps_of(found.at) if step]
    names = [rf"(?<![\w.+-]){re.escape(step)}(?![\w+-])" for step in steps]
    numbers = {number[0] for step in steps if (number := re.search(r"\d+$", step))}
    names += [rf"(?<=[A-Za-z_]){number}(?![\w.])" for number in sorted(numbers)]
    return re.sub("|".join(names), "\0", found.message) if names else found.message


def _differs(a: str, b: str) -> str:
    """The first step in which two pointers differ, as the second has it."""
    return next((theirs for ours, theirs in zip(steps_of(a), steps_of(b), strict=False) if ours != theirs), "")
