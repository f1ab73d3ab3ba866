"""Where lines go on elsewhere: the letter of each, what its tag says, and what a sheet holds for an overview of all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from specc.drawing.cells import Node
from specc.drawing.tile import TilePlan


class Jump(NamedTuple):
    """A line that comes from elsewhere or goes on there: its letter, and what its tag says."""

    letter: str
    said: str
    entering: bool


class Holds(NamedTuple):
    """What stands on one sheet."""

    nodes: tuple[Node, ...]
    jumps: tuple[Jump, ...]


def letters(plans: Iterable[TilePlan]) -> dict[int, str]:
    """A letter for each net that needs a tag, in the order they are met: A to Z, then AA and on."""
    found: dict[int, str] = {}
    for plan in plans:
        for part, item in enumerate(plan.items):
            if item.flag and part not in plan.folded and item.net not in found:
                found[item.net] = _letter(len(found))
    return found


def _letter(n: int) -> str:
    text = ""
    n += 1
    while n:
        n, rest = divmod(n - 1, 26)
        text = chr(65 + rest) + text
    return text


def flag_text(entering: bool, sheets: Sequence[int], here: int, before: int = 0) -> str:
    """Where the other ends of a tag's net are; `before` sheets stand before the first of these."""
    word = "from" if entering else "to"
    others = sorted({before + sheet + 1 for sheet in sheets})
    if others in ([], [before + here + 1]):
        return f"{word} this sheet"
    if len(others) == 1:
        return f"{word} sheet {others[0]}"
    runs: list[list[int]] = []
    for sheet in others:
        if runs and runs[-1][-1] == sheet - 1:
            runs[-1].append(sheet)
        else:
            runs.append([sheet])
    # Too many to name: then their number, for a range with holes would send people to the wrong sheet.
    if len(runs) > 2:
        return f"{word} {len(others)} sheets"
    named = ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)
    return f"{word} sheets {named}"


def holds(pieces: Iterable[tuple[TilePlan, Mapping[int, tuple[str, str]]]]) -> Holds:
    """What the pieces of a sheet hold; with each its tags by its items: letter, and what it says."""
    nodes: dict[str, Node] = {}
    jumps: dict[Jump, None] = {}
    for plan, tags in pieces:
        for part, item in enumerate(plan.items):
            if item.flag:
                if part in tags:
                    jumps[Jump(*tags[part], item.flag == "in")] = None
                continue
            some = (*(item.row or (item.node,)), item.standing, item.also)
            # A hub that is drawn again on another sheet has no tag of its own there.
            nodes |= {n.tag: n for n in some if n is not None and n.tag}
    return Holds(tuple(nodes.values()), tuple(jumps))
