"""What a draft does not print, and in which order it tells its errors.

A draft is not carried out: no step lights what was refused, and no limit that an error stands against is printed as if
somebody could work by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from specc.model.blocks import Block, Fact, Lacking, Para, TableBlock
from specc.model.findings import Finding
from specc.packet.desk import Desk, failures

NO_STEPS = "A draft has no start-up: its steps, and go or no go, are printed once no error is left."
NO_LIMITS = "A draft prints no limits of wind, weather or crew that an error stands against."

# What burns or bursts first, then who stands where, then what is only written wrong. specc default.
_DANGER = (
    "core.scope", "fuel", "plumbing", "flame", "materials", "site", "control", "structure", "operators",
    "extinguishers", "fire", "core",
)  # fmt: skip
_FORM = ("plugin", "spec", "waiver", "limit")
# Where the core's own limits stand in a spec, and the fact that is one. A table says itself whose limits it prints.
_LIMITS_AT = ("/weather", "/limits")
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


def limits_refused(desk: Desk, places: Sequence[str] = _LIMITS_AT) -> bool:
    """Whether an error stands against something at one of some places of the spec."""
    errors = (f for f in desk.result.findings if f.level == "error" and not f.waived)
    return any(f.at == at or f.at.startswith(f"{at}/") for f in errors for at in places)


def left(part: str, blocks: Sequence[Block | Lacking], desk: Desk) -> Sequence[Block | Lacking]:
    """A section's blocks as far as the packet prints them."""
    if not failures(desk.result):
        return blocks
    if part == "start-up":
        return (Para(NO_STEPS),)
    return [Para(NO_LIMITS) if isinstance(b, TableBlock) and _refused(b.key, desk) else b for b in blocks]


def _refused(table: str, desk: Desk) -> bool:
    return table in desk.tables and limits_refused(desk, desk.tables[table].limits_at)


def fact(found: Fact | None, desk: Desk) -> Fact | None:
    """A fact of the summary; one that is a limit with an error against it says so instead."""
    if found is not None and found.slot in _LIMIT_SLOTS and limits_refused(desk):
        return found._replace(value="refused", note="an error stands against it")
    return found
