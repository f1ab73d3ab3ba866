"""Waivers: findings that somebody has accepted, by name, for a reason, until a day. They stay in sight."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import NamedTuple

from specc.model.findings import Finding, Place
from specc.model.result import WaiverShown
from specc.model.view import Unreadable, View, join

# What nobody can waive: a spec or plugin that does not work.
_NEVER = ("spec.", "plugin.", "waivers.", "limits.")


class Waived(NamedTuple):
    findings: tuple[Finding, ...]
    waivers: tuple[WaiverShown, ...]


def apply(waivers: View, findings: tuple[Finding, ...], last_day: date | None, place: Callable[[str], Place]) -> Waived:
    """Mark the findings that a waiver covers, and find what is wrong with the waivers themselves.

    A waiver names a rule, and may name the tag it is about: then it covers findings below that tag only.
    """
    marked = list(findings)
    shown: list[WaiverShown] = []
    own: list[Finding] = []
    for tag, waiver in waivers.children():
        try:
            rule, part = waiver.text("rule"), waiver.text_or("about")
            reason, who, until = waiver.text("reason"), waiver.text("who"), waiver.text("until")
        except Unreadable:  # refused by the schema, and reported there
            continue
        at = waiver.at
        if rule.startswith(_NEVER):
            own.append(
                Finding(
                    "waivers.not_waivable",
                    "error",
                    f"{rule} cannot be waived",
                    place(join(at, "rule")),
                    join(at, "rule"),
                    "fix the finding",
                    plugin="core",
                )
            )
            continue
        expired = last_day is not None and date.fromisoformat(until) < last_day
        if expired:
            own.append(
                Finding(
                    "waivers.ended",
                    "error",
                    f"the waiver {tag!r} ends on {until}, before the event does",
                    place(join(at, "until")),
                    join(at, "until"),
                    "have it renewed, or fix what it covers",
                    plugin="core",
                )
            )
        used = 0
        for i, finding in enumerate(marked):
            about = not part or part in finding.at.split("/")
            if finding.rule == rule and about and not expired and not finding.waived:
                marked[i] = finding._replace(waived=tag)
                used += 1
        if not used and not expired:
            own.append(
                Finding(
                    "waivers.unused",
                    "warning",
                    f"the waiver {tag!r} matches no finding: {rule} found nothing" + (f" about {part}" if part else ""),
                    place(at),
                    at,
                    "take it out",
                    plugin="core",
                )
            )
        shown.append(WaiverShown(tag, rule, part, reason, who, until, used, place(at)))
    return Waived((*marked, *own), tuple(shown))
