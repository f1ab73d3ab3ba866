"""A network made small enough for one sheet: small fittings counted instead of drawn, like branches drawn once.

A branch is what hangs on a part at which lines part or meet, and at nothing else. Branches are alike when they are of
the same kinds of parts, in the same zones, in the same order; what is written at them may differ, and is then listed.
Like branches that leave a line one after another are drawn once as well (see `ladder`).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple, TypeAlias

from specc.drawing.cells import Node
from specc.drawing.ladder import rungs
from specc.drawing.symbols import LENGTHS, NAMES, SMALL

Link: TypeAlias = tuple[str, str]
# A union is where people take things apart, so it is always drawn.
_COUNTED = SMALL - {"union"}
_LONGEST = 26  # letters of several tags in one label, before they are shortened


class Group(NamedTuple):
    """Branches that are drawn once: for each part that is drawn, the tags of its like in every branch, the labels that
    all share, and those that differ, by branch."""

    times: int
    like: tuple[tuple[str, ...], ...]
    differs: tuple[tuple[str, tuple[str, ...]], ...]  # name of the column, and its cell in each branch
    shared: tuple[tuple[str, str], ...]  # what all have alike of what is told of them: name, value

    @property
    def ends(self) -> tuple[str, ...]:
        """The tags that a branch is called by: those of the last part in it."""
        return self.like[-1]


class Reduced(NamedTuple):
    nodes: tuple[Node, ...]
    links: tuple[Link, ...]
    groups: tuple[Group, ...]
    counted: Mapping[str, int]  # fittings left out, by symbol


def reduced(nodes: Sequence[Node], links: Sequence[Link], least: int = 3) -> Reduced:
    """The network without small fittings in the line, and with `least` or more like branches drawn once."""
    some, pairs, counted = _passed_through(nodes, links, _COUNTED)
    some, pairs = _in_one(some, pairs)
    groups: list[Group] = []
    for backward in (False, True):
        while found := _alike(some, pairs, least, backward):
            group, some, pairs = _folded(some, pairs, found, len(groups) + 1, backward)
            groups.append(group)
    while found := _along(some, pairs, least):
        group, some, pairs = _folded(some, pairs, found, len(groups) + 1, False, along=True)
        groups.append(group)
    return Reduced(tuple(some), tuple(pairs), tuple(groups), counted)


def without(small: Reduced, symbols: frozenset[str]) -> Reduced:
    """The same without the parts of some kinds that gas only passes through."""
    some, pairs, counted = _passed_through(small.nodes, small.links, symbols)
    return Reduced(tuple(some), tuple(pairs), small.groups, dict(Counter(small.counted) + Counter(counted)))


def counted_words(counted: Mapping[str, int]) -> str:
    """What was left out, the most first: "16 nipples, 3 bushings"."""
    names = sorted(counted, key=lambda s: (-counted[s], s))
    plain = {s: NAMES.get(s, s.replace("_", " ")).partition(",")[0] for s in names}
    return ", ".join(f"{counted[s]} {plain[s]}{'s' if counted[s] > 1 else ''}" for s in names)


def _passed_through(
    nodes: Sequence[Node], links: Sequence[Link], symbols: frozenset[str]
) -> tuple[list[Node], list[Link], dict[str, int]]:
    """Parts of some kinds with one line in and one line out become a piece of that line."""
    after, before = _around(links)
    counted: Counter[str] = Counter()
    left_out: set[str] = set()
    for node in nodes:
        into, out = before.get(node.tag, []), after.get(node.tag, [])
        if node.symbol not in symbols or len(into) != 1 or len(out) != 1 or out == into:
            continue
        (u,), (v,) = into, out
        if v in after[u] or u == node.tag or v == node.tag:
            continue
        after[u][after[u].index(node.tag)] = v
        before[v][before[v].index(node.tag)] = u
        counted[node.symbol] += node.times
        left_out.add(node.tag)
    pairs = [(u, v) for u, some in after.items() if u not in left_out for v in some]
    return [n for n in nodes if n.tag not in left_out], pairs, dict(counted)


def _in_one(nodes: Sequence[Node], links: Sequence[Link]) -> tuple[list[Node], list[Link]]:
    """Lengths of pipe or tube that follow one another become one, with the tags of all."""
    by_tag = {n.tag: n for n in nodes}
    after, before = _around(links)

    def goes_on(u: str, v: str) -> bool:
        one, other = by_tag[u], by_tag[v]
        alike = one.symbol == other.symbol and one.symbol in LENGTHS and one.zone == other.zone and u != v
        return alike and after[u] == [v] and before[v] == [u]

    following = {u: v for u, v in links if goes_on(u, v)}
    follows = set(following.values())
    named: dict[str, str] = {}
    for first in [u for u in following if u not in follows]:
        chain = [first]
        while chain[-1] in following:
            chain.append(following[chain[-1]])
        own, other = _labels([by_tag[t] for t in chain])
        labels = (*own, *(" + ".join(cells) for _, cells in other))
        by_tag[first] = by_tag[first]._replace(tag=", ".join(chain), labels=labels)
        named |= dict.fromkeys(chain, ", ".join(chain))
    gone = {t for t in named if t in follows}
    pairs = [(named.get(u, u), named.get(v, v)) for u, v in links if following.get(u) != v]
    return [n for t, n in by_tag.items() if t not in gone], pairs


def _around(links: Sequence[Link]) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    """What follows each part, and what feeds it."""
    after: dict[str, list[str]] = {}
    before: dict[str, list[str]] = {}
    for u, v in dict.fromkeys(links):
        after.setdefault(u, []).append(v)
        before.setdefault(v, []).append(u)
    return after, before


def _alike(nodes: Sequence[Node], links: Sequence[Link], least: int, backward: bool) -> list[list[str]]:
    """The first set of like branches at one part: the tags of each, in the same order."""
    after, before = _around(links)
    onward, back = (before, after) if backward else (after, before)
    by_tag = {n.tag: n for n in nodes}

    def branch(tag: str) -> list[str] | None:
        """The tags of the branch that begins here; None where it is joined to something else."""
        tags, waiting = [], [tag]
        while waiting:
            here = waiting.pop()
            if len(back.get(here, ())) != 1 or here in tags or by_tag[here].group:
                return None
            tags.append(here)
            waiting += sorted(reversed(onward.get(here, ())), key=lambda t: sign(t), reverse=True)
        return tags

    def sign(tag: str) -> tuple[str, str, int]:
        return by_tag[tag].symbol, by_tag[tag].zone, len(onward.get(tag, ()))

    for node in nodes:
        found: dict[tuple[tuple[str, str, int], ...], list[list[str]]] = {}
        for start in onward.get(node.tag, ()):
            tags = branch(start)
            if tags is not None:
                found.setdefault(tuple(sign(t) for t in tags), []).append(tags)
        for some in found.values():
            if len(some) >= least:
                return some
    return []


def _along(nodes: Sequence[Node], links: Sequence[Link], least: int) -> list[list[str]]:
    after, before = _around(links)
    return rungs({n.tag: n for n in nodes}, after, before, least)


def _folded(
    nodes: Sequence[Node],
    links: Sequence[Link],
    branches: Sequence[Sequence[str]],
    number: int,
    backward: bool,
    along: bool = False,
) -> tuple[Group, list[Node], list[Link]]:
    by_tag = {n.tag: n for n in nodes}
    like = tuple(zip(*branches, strict=True))
    made: dict[str, Node] = {}
    differs: list[tuple[str, tuple[str, ...]]] = []
    shared: list[tuple[str, str]] = []
    for tags in like:
        some = [by_tag[t] for t in tags]
        own, other = _labels(some)
        differs += [(f"{stem(tags)}{n}", cells) for n, cells in other]
        for name in dict.fromkeys(name for n in some for name, _ in n.told):
            cells = tuple(dict(n.told).get(name, "") for n in some)
            if len(set(cells)) > 1:
                differs.append((name, cells))
            else:
                shared.append((name, cells[0]))
        made[tags[0]] = some[0]._replace(tag=span(tags), labels=own, group=number, times=len(branches), along=along)
    gone = {t for tags in branches[1:] for t in tags}
    named = {old: new.tag for old, new in made.items()}
    kept = [made.get(n.tag, n) for n in nodes if n.tag not in gone]
    # Where a ladder's line goes on behind its last tee, it goes on behind the one that is drawn.
    stands_for = {t: tags[0] for tags in like for t in tags} if along else {}
    links = [(stands_for.get(u, u), v) for u, v in links]
    pairs = [(named.get(u, u), named.get(v, v)) for u, v in links if u not in gone and v not in gone]
    pairs = list(dict.fromkeys(pairs))
    return Group(len(branches), like if not backward else like[::-1], tuple(differs), tuple(shared)), kept, pairs


def _labels(some: Sequence[Node]) -> tuple[tuple[str, ...], list[tuple[str, tuple[str, ...]]]]:
    """The label lines that all share, and the cells of those that differ, each with what its column is called."""
    if len({len(n.labels) for n in some}) > 1:
        return (), [("", tuple(", ".join(n.labels) for n in some))]
    own: list[str] = []
    other: list[tuple[str, tuple[str, ...]]] = []
    for texts in zip(*(n.labels for n in some), strict=True):
        if len(set(texts)) == 1:
            own.append(texts[0])
        else:
            other.append(("", texts))
    return tuple(own), other


def stem(tags: Sequence[str]) -> str:
    """What a row of tags is called at the head of a column."""
    start = tags[0]
    while start and not all(t.startswith(start) for t in tags):
        start = start[:-1]
    return start.rstrip("_") or tags[0]


def span(tags: Sequence[str]) -> str:
    """Several tags in one label.

    >>> span(["v_r1", "v_r2", "v_r3"]), span(["a", "bee", "c"])
    ('v_r1 to 3', 'a, bee, c')
    """
    if len(tags) == 1:
        return tags[0]
    if _numbered(tags):
        last = re.search(r"\d+$", tags[-1])
        return f"{tags[0]} to {int(last[0]) if last else ''}"
    whole = ", ".join(tags)
    return whole if len(whole) <= _LONGEST else f"{tags[0]} … {tags[-1]}"


def runs(tags: Sequence[str]) -> str:
    """All of some tags: those that are numbered in a row shortened, none left out.

    >>> runs(["v_1", "v_2", "v_3", "main"])
    'v_1 to 3, main'
    """
    found: list[list[str]] = []
    for tag in tags:
        if found and len(joined := [*found[-1], tag]) > 1 and _numbered(joined):
            found[-1] = joined
        else:
            found.append([tag])
    return ", ".join(span(some) if len(some) > 2 else ", ".join(some) for some in found)


def _numbered(tags: Sequence[str]) -> bool:
    parts = [re.fullmatch(r"(.*?)(\d+)", t) for t in tags]
    numbers = [int(p[2]) for p in parts if p]
    alike = len(numbers) == len(tags) and len({p[1] for p in parts if p}) == 1
    return alike and numbers == list(range(numbers[0], numbers[0] + len(tags)))
