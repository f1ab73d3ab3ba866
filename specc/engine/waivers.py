"""Waivers: findings that somebody has accepted, by name, for a reason, until a day. They stay in sight."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from datetime import date
from types import MappingProxyType
from typing import NamedTuple

from specc.model.findings import Finding, Level, Place
from specc.model.result import WaiverShown
from specc.model.view import Unreadable, View, join

# What nobody can waive: a spec or plugin that does not work.
_NEVER = ("spec.", "plugin.", "waivers.", "limits.", "packet.")


class Waived(NamedTuple):
    findings: tuple[Finding, ...]
    waivers: tuple[WaiverShown, ...]


def _is_authority(who: str, authority: str) -> bool:
    """Whether a name is that of the event's authority, as the spec writes it."""
    return bool(authority.strip()) and " ".join(authority.lower().split()) in " ".join(who.lower().split())


def apply(
    waivers: View,
    findings: tuple[Finding, ...],
    last_day: date | None,
    place: Callable[[str], Place],
    known: Mapping[str, str] = MappingProxyType({}),
    authority: str = "",
) -> Waived:
    """Mark the findings that a waiver covers, and find what is wrong with the waivers themselves.

    A waiver names a rule, and may name the tag it is about: then it covers findings below that tag only. `known`: the
    ids of rules and of passes that may find something, with who may waive each ("anybody" or "authority").
    """
    by_authority = {rule for rule, who in known.items() if who == "authority"}
    marked = list(findings)
    shown: list[WaiverShown] = []
    own: list[Finding] = []

    def wrong(id_: str, level: Level, message: str, at: str, fix: str) -> None:
        own.append(Finding(id_, level, message, place(at), at, fix, plugin="core"))

    for tag, waiver in waivers.children():
        try:
            rule, part = waiver.text("rule"), waiver.text_or("about")
            reason, who, until = waiver.text("reason"), waiver.text("who"), waiver.text("until")
        except Unreadable:  # refused by the schema, and reported there
            continue
        at = waiver.at
        if not reason.strip() or not who.strip():  # refused by the schema, and reported there
            continue
        if rule in by_authority and not _is_authority(who, authority):
            wrong(
                "waivers.not_authority",
                "error",
                f"{rule} can be waived by the authority only, and {tag!r} is by {who}",
                join(at, "who"),
                f"who: {authority}" if authority else "event: authority: names it; then who: names it too",
            )
            continue
        if rule.startswith(_NEVER):
            wrong(
                "waivers.not_waivable",
                "error",
                f"{rule} cannot be waived",
                join(at, "rule"),
                "fix the finding",
            )
            continue
        expired = last_day is not None and date.fromisoformat(until) < last_day
        if expired:
            wrong(
                "waivers.ended",
                "error",
                f"the waiver {tag!r} ends on {until}, before the event does",
                join(at, "until"),
                "have it renewed, or fix what it covers",
            )
        used = 0
        for i, finding in enumerate(marked):
            about = not part or part in finding.at.split("/")
            if finding.rule == rule and about and not expired and not finding.waived:
                marked[i] = finding._replace(waived=tag)
                used += 1
        if rule not in known and not used:
            near = difflib.get_close_matches(rule, sorted(known), 1, 0.6)
            wrong(
                "waivers.unknown",
                "warning",
                f"the waiver {tag!r} names the rule {rule!r}, which there is not",
                join(at, "rule"),
                f"did you mean {near[0]}?" if near else "specc rules lists them",
            )
            continue
        if not used and not expired:
            wrong(
                "waivers.unused",
                "warning",
                f"the waiver {tag!r} matches no finding: {rule} found nothing" + (f" about {part}" if part else ""),
                at,
                "take it out",
            )
        shown.append(WaiverShown(tag, rule, part, reason, who, until, used, place(at)))
    return Waived((*marked, *own), tuple(shown))
