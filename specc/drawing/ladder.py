"""Like branches that leave a line one after another: the ladder of burners along one main.

A rung is a tee, what leads to it from the tee before, and the branch that leaves it. Rungs are alike as like branches
are (see `like`): of the same kinds of parts, in the same zones, in the same order. What leads to the first may be
longer than that; then it is drawn before the frame, and only as much of it as the others have stands within.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypeAlias

from specc.drawing.cells import Node
from specc.drawing.symbols import JUNCTIONS

_Around: TypeAlias = Mapping[str, Sequence[str]]
_Sign: TypeAlias = tuple[tuple[str, str, int], ...]


class _Rung(NamedTuple):
    """Tags of what leads from the tee before to this one, of the tee, and of the branch that leaves it."""

    lead: tuple[str, ...]
    tee: str
    branch: tuple[str, ...]

    @property
    def tags(self) -> list[str]:
        return [*self.lead, self.tee, *self.branch]


def rungs(by_tag: Mapping[str, Node], after: _Around, before: _Around, least: int) -> list[list[str]]:
    """The first ladder of `least` or more like rungs, in flow order: the tags of each, in the same order."""
    for first in by_tag:
        # A ladder is found from its first tee, which no other tee of it feeds.
        if not _is_tee(first, by_tag, before):
            continue
        for branch in _branches(first, by_tag, after, before):
            found = _climbed(first, branch, by_tag, after, before)
            if len(found) >= least:
                return [r.tags for r in found]
    return []


def _climbed(
    first: str, branch: tuple[str, ...], by_tag: Mapping[str, Node], after: _Around, before: _Around
) -> list[_Rung]:
    """The rungs from a tee on, for as long as each is like the second."""
    leads: list[tuple[str, ...]] = []
    tees, branches = [first], [branch]
    sign, tee_sign = _sign(branch, by_tag, after), (by_tag[first].symbol, by_tag[first].zone)
    while onward := _next_tee(tees[-1], branches[-1], by_tag, after, before):
        lead, tee = onward
        like = [b for b in _branches(tee, by_tag, after, before) if _sign(b, by_tag, after) == sign]
        other_lead = leads and _kinds(lead, by_tag) != _kinds(leads[0], by_tag)
        if not like or other_lead or (by_tag[tee].symbol, by_tag[tee].zone) != tee_sign or tee in tees:
            break
        leads.append(lead)
        tees.append(tee)
        branches.append(like[0])
    if not leads:
        return []
    made = [_Rung(*r) for r in zip(leads, tees[1:], branches[1:], strict=True)]
    led = _led(first, len(leads[0]), by_tag, after, before)
    if led is not None and _kinds(led, by_tag) == _kinds(leads[0], by_tag):
        made.insert(0, _Rung(led, first, branch))
    return made


def _is_tee(tag: str, by_tag: Mapping[str, Node], before: _Around) -> bool:
    node = by_tag[tag]
    return node.symbol in JUNCTIONS and not node.group and len(before.get(tag, ())) == 1


def _next_tee(
    tee: str, branch: Sequence[str], by_tag: Mapping[str, Node], after: _Around, before: _Around
) -> tuple[tuple[str, ...], str] | None:
    """What leads from a tee to the next, and the next; None where its line goes on to no tee, or to more than one."""
    ways = [t for t in after.get(tee, ()) if t != branch[0]]
    if len(ways) != 1:
        return None
    here, lead = ways[0], list[str]()
    while not _is_tee(here, by_tag, before):
        if by_tag[here].group or len(before[here]) != 1 or len(after.get(here, ())) != 1 or here in lead:
            return None
        lead.append(here)
        here = after[here][0]
    return tuple(lead), here


def _led(tee: str, count: int, by_tag: Mapping[str, Node], after: _Around, before: _Around) -> tuple[str, ...] | None:
    """The last `count` parts before a tee that lead to nothing else; None where there are not so many."""
    lead: list[str] = []
    here = tee
    for _ in range(count):
        (here,) = before.get(here, ()) if len(before.get(here, ())) == 1 else ("",)
        if not here or by_tag[here].group or len(after[here]) != 1 or here in lead:
            return None
        lead.insert(0, here)
    # The frame would hold the source itself.
    return tuple(lead) if not lead or before.get(lead[0]) else None


def _branches(tee: str, by_tag: Mapping[str, Node], after: _Around, before: _Around) -> list[tuple[str, ...]]:
    """What leaves a tee and is a line to one end: no tee of a ladder is within it."""
    found = []
    for start in after.get(tee, ()):
        tags: list[str] = []
        here = start
        while True:
            if len(before.get(here, ())) != 1 or by_tag[here].group or here in tags:
                break
            tags.append(here)
            ways = after.get(here, ())
            if not ways:
                found.append(tuple(tags))
                break
            if len(ways) > 1:
                break
            here = ways[0]
    return found


def _sign(tags: Sequence[str], by_tag: Mapping[str, Node], after: _Around) -> _Sign:
    return tuple((by_tag[t].symbol, by_tag[t].zone, len(after.get(t, ()))) for t in tags)


def _kinds(tags: Sequence[str], by_tag: Mapping[str, Node]) -> tuple[tuple[str, str], ...]:
    return tuple((by_tag[t].symbol, by_tag[t].zone) for t in tags)
