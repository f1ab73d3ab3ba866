"""What a draft does not print, and in which order it tells its errors.

A draft is not carried out: no step lights anything, and no limit is printed as if somebody could work by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from specc.model.blocks import Block, Fact, Lacking, Para, TableBlock
from specc.model.findings import Finding
from specc.packet.desk import Desk, failures

NO_STEPS = "A draft has no start-up: its steps, and go or no go, are printed once no error is left."
NO_LIMITS = "A draft prints no limits of wind, weather or crew: they are printed once no error is left."
NO_LIGHTING = "A draft has no steps that light or fire: they are printed once no error is left."
_WITHHELD = {"limits": NO_LIMITS, "lights": NO_LIGHTING}

# What burns somebody first, then what lets gas out or bursts, then who stands where, then what is only written wrong.
# specc default.
_DANGER = (
    "core.scope", "flame", "plumbing", "fuel", "materials", "site", "control", "structure", "operators",
    "extinguishers", "fire", "core",
)  # fmt: skip
_FORM = ("plugin", "spec", "waiver", "limit")
# The facts that are limits. A table says itself whether it prints any.
_LIMIT_SLOTS = ("stop_wind",)


def by_danger(some: Iterable[Finding]) -> list[Finding]:
    """Findings in the order of what may hurt somebody, not of their lines."""

    def rank(finding: Finding) -> int:
        root = finding.rule.split(".")[0]
        for n, name in enumerate(_DANGER):
            if finding.rule == name or root == name:
                return n
        return len(_DANGER) + (root in _FORM)

    return sorted(some, key=rank)


def left(part: str, blocks: Sequence[Block | Lacking], desk: Desk) -> Sequence[Block | Lacking]:
    """A section's blocks as far as the packet prints them."""
    if not failures(desk.result):
        return blocks
    if part == "start-up":
        return (Para(NO_STEPS),)
    return [_in_draft(b, desk) for b in blocks]


def _in_draft(block: Block | Lacking, desk: Desk) -> Block | Lacking:
    if isinstance(block, Para) and block.in_draft:
        return block._replace(text=block.in_draft)
    what = _withheld(block, desk)
    return Para(_WITHHELD[what]) if what else block


def _withheld(block: Block | Lacking, desk: Desk) -> str:
    table = desk.tables.get(block.key) if isinstance(block, TableBlock) else None
    return table.withheld if table else ""


def fact(found: Fact | None, desk: Desk) -> Fact | None:
    """A fact of the summary; one that is a limit says in a draft that it is not printed, whatever the error is: what
    refutes a limit may stand anywhere in the spec."""
    if found is not None and found.slot in _LIMIT_SLOTS and failures(desk.result):
        return found._replace(value="not set", note="a draft prints no limits")
    return found
