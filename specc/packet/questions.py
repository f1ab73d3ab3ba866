"""The questions that only somebody who signs can answer: on page one and at the sign-off, in one order."""

from __future__ import annotations

from specc.kinds.packet import DECISIONS
from specc.model.result import Item, RuleOutcome
from specc.model.statuses import UNJUDGED
from specc.packet.desk import Desk, many


def to_decide(desk: Desk) -> list[tuple[str, str]]:
    """The questions that only the authority can answer: each with the rule that asks it, or "". A third party's come
    last, so that they push nothing off the page."""
    r = desk.result
    given = r.items(DECISIONS.name) or tuple(Item("", "", d) for d in r.decisions)
    # The question itself, when the rule put one; its statement alone would read as an assurance.
    asked = [
        (not desk.is_built_in(rule.plugin), rule.looked or f"Not known whether: {rule.statement}", rule.id)
        for rule in r.rules
        if rule.status == "authority to decide"
    ]
    asked += [(not i.built_in, f"{i.whose}{i.item}", "") for i in given]
    # What may be wrong stands before what is asked of what is known.
    asked = [*_unchecked(desk), *asked]
    return [(text, rule) for _, text, rule in sorted(asked, key=lambda a: a[0])]


def hazards(desk: Desk) -> list[RuleOutcome]:
    """The rules that nobody checked, that would be errors, and that nothing more in the spec would answer: they say
    what may be wrong, and somebody has to look."""
    silent = (x for x in desk.result.rules if x.status in UNJUDGED and x.level == "error")
    return [x for x in silent if x.looked and not x.answers and x.status == "not checked"]


def _unchecked(desk: Desk) -> list[tuple[bool, str, str]]:
    """What would be an error, were it not so, and nobody checked: somebody has to, before gas. What one rule alone
    found so is asked by itself; what whole subjects lack, together."""
    silent = [x for x in desk.result.rules if x.status in UNJUDGED and x.level == "error"]
    alone = hazards(desk)
    made = [
        (
            not desk.is_built_in(x.plugin),
            f"{x.looked.rstrip(' .')}. Not checked, an error if not so: who shows it?",
            x.id,
        )
        for x in alone
    ]
    if others := [x for x in silent if x not in alone]:
        n = len(others)
        would = "that would be an error" if n == 1 else "that would be errors"
        stand = f"In bold in section {desk.sections.get('rules', '')}"
        made.append((False, f"{many(n, 'rule')} {would} if not so: not checked. {stand}; who looks at each?", ""))
    return made


def inside(statement: str) -> str:
    """A sentence as it stands inside another."""
    return statement[:1].lower() + statement[1:] if statement[1:2].islower() or statement[1:2] == " " else statement
