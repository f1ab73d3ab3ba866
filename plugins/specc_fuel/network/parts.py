"""What is refused before anything is solved, and which parts gas can reach."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Sequence
from typing import NamedTuple

from specc.kinds.plumbing import walked
from specc_fuel.calc import checks
from specc_fuel.network.laws import AIR, Element, HeldNode, Open, Shut, one_way


def check(elements: Sequence[Element], supplies: Sequence[HeldNode], ambient: float) -> None:
    """ValueError for what makes no network: it names the part."""
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    tags = Counter(e.tag for e in (*elements, *supplies))
    for tag, times in sorted(tags.items()):
        if times > 1:
            raise ValueError(f"{times} parts have the tag {tag!r}")
    for e in elements:
        if e.start == AIR:
            raise ValueError(f"{e.tag} starts in the open air: turn it round")
        if e.start == e.end:
            raise ValueError(f"{e.tag} starts and ends at {e.start}")
        try:
            e.check()
        except ValueError as trouble:
            raise ValueError(f"{e.tag}: {trouble}") from None
    nodes = Counter(s.node for s in supplies)
    for s in supplies:
        if s.node == AIR:
            raise ValueError(f"{s.tag} feeds the open air")
        if not (s.pressure > 0 and math.isfinite(s.pressure)):
            raise ValueError(f"{s.tag}: a supply's absolute pressure is above zero, not {s.pressure:g} Pa")
        if nodes[s.node] > 1:
            raise ValueError(
                f"{s.tag} is one of {nodes[s.node]} supplies at {s.node}: how they share the flow cannot be told;"
                " give each a node of its own, with the pigtail or valve that joins it"
            )


def reached(elements: Sequence[Element], supplies: Sequence[HeldNode]) -> set[str]:
    """The nodes that gas can come to from a supply, through what is open and in the way that it lets gas pass."""
    onward: dict[str, list[str]] = {}
    for e in elements:
        if isinstance(e, Shut) or e.end == AIR:
            continue
        onward.setdefault(e.start, []).append(e.end)
        if not one_way(e):
            onward.setdefault(e.end, []).append(e.start)
    return set(walked({}, (s.node for s in supplies), onward.get, ""))


class DeadEnd(NamedTuple):
    """A part behind which nothing lets gas out: none flows in it. `outer`: its node that nothing else is at."""

    part: Open
    outer: str
    inner: str


def through(elements: Sequence[Open], held: Collection[str]) -> tuple[list[Open], list[DeadEnd]]:
    """The parts that gas may flow through, and the dead ends, the outermost first: two parts of three where one outlet
    burns alone, or one place breaks. `held`: nodes with a supply."""
    at: dict[str, dict[str, Open]] = {}
    for e in elements:
        for node in (e.start, e.end):
            at.setdefault(node, {})[e.tag] = e
    dead: dict[str, DeadEnd] = {}
    waiting = [n for n in at if len(at[n]) == 1]
    for node in waiting:  # grows while it is walked
        if node in held or node == AIR or len(at[node]) != 1:
            continue
        ((tag, e),) = at[node].items()
        inner = e.end if e.start == node else e.start
        dead[tag] = DeadEnd(e, node, inner)
        del at[node][tag], at[inner][tag]
        if len(at[inner]) == 1:
            waiting.append(inner)
    return [e for e in elements if e.tag not in dead], list(dead.values())


def active(elements: Sequence[Element], within: set[str]) -> list[Open]:
    """The parts that can carry gas."""
    return [e for e in elements if not isinstance(e, Shut) and e.start in within and (e.end == AIR or e.end in within)]
