"""Findings and outcomes as text: where, what is wrong, the line with a caret, how to mend it, why."""

from __future__ import annotations

from collections import Counter

from specc.model.exit_codes import ExitCode
from specc.model.findings import Finding, Place
from specc.model.result import Result
from specc.model.statuses import STATUSES, UNJUDGED
from specc.model.values import Citation, Reference
from specc.report.lines import folded, safe, with_caret
from specc.report.look import PLAIN, PrintLook

CLOSING = "Computed aid. Local code, licensed practice and the authority having jurisdiction decide."


def where(place: Place) -> str:
    """`file:line:column`, as far as they are known."""
    numbers = "".join(f":{n}" for n in (place.line, place.column) if n)
    return safe(place.file) + numbers


def finding(found: Finding, excerpt: str = "", look: PrintLook = PLAIN) -> list[str]:
    """One finding, several lines."""
    waived = f" (waived by {safe(found.waived)})" if found.waived else ""
    level = look.paint(found.level, found.level)
    lines = [f"{where(found.place)}: {level} {safe(found.rule)}{waived}: {look.paint(found.message, 'strong')}"]
    if excerpt.strip():
        number = str(found.place.line)
        text, caret = with_caret(excerpt, found.place.column, min(look.room - len(number) - 5, 96))
        lines.append(f"  {number} | {text}")
        if found.place.column:
            lines.append(f"  {' ' * len(number)} | {look.paint(caret, found.level)}")
    for label, text in (("fix", found.fix), ("why", found.why)):
        if text:
            first, *rest = folded(text, room=look.room - len(label))
            lines.append(f"  {look.paint(label + ':', 'strong')} {first}")
            lines.extend(" " * (len(label) + 4) + line for line in rest)
    return lines


def findings(result: Result, look: PrintLook = PLAIN) -> list[str]:
    """All findings, an empty line after each."""
    excerpts = dict(result.excerpts)
    lines = []
    for found in result.findings:
        lines += [*finding(found, excerpts.get(found.place, ""), look), ""]
    return lines


def _number(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def counts(result: Result) -> str:
    """How many findings at each level, and how many are waived."""
    by_level = Counter(f.level for f in result.findings if not f.waived)
    said = [_number(by_level[level], level) for level in ("error", "warning", "note") if by_level[level]]
    waived = sum(1 for f in result.findings if f.waived)
    if waived:
        said.append(f"{waived} waived")
    return ", ".join(said) or "no findings"


def rule_counts(result: Result) -> str:
    """How the rules ended. Nothing is left out, so that a rule nobody could check does not look passed."""
    by_words = Counter((STATUSES.index(r.status), r.words) for r in result.rules)
    said = [
        f"{by_words[key]} {key[1].replace(', source not verified', ' with the source not verified')}"
        for key in sorted(by_words)
    ]
    why = "; specc rules FILE says why" if any(r.status in UNJUDGED for r in result.rules) else ""
    return (", ".join(said) or "none") + why


def summary(result: Result, path: str) -> list[str]:
    """What a check came to, in two or three lines."""
    lines = [f"{safe(path)}: {counts(result)}"]
    if result.exit_code == ExitCode.UNUSABLE:
        lines.append("The spec cannot be used until this is fixed; what depends on it was not checked.")
    if result.rules:
        lines.append(f"{_number(len(result.rules), 'rule')}: {rule_counts(result)}")
    for outcome in result.outcomes:
        if outcome.is_lost and outcome.kind not in ("value", "figure", "figures"):
            lines.append(
                f"not made: {outcome.kind} {safe(outcome.id)} of {safe(outcome.plugin)}: {safe(outcome.cause)}"
            )
    lines += [f"lacking: {safe(text)}" for _, texts in result.lost for text in texts]
    for limit in result.limits:
        if limit.laxer and limit.value and limit.default:
            by = f" by {safe(limit.by)}" if limit.by else ""
            lines.append(
                f"limit {safe(limit.key)}: {safe(limit.value.text)}, set{by}, is laxer than the default "
                f"{safe(limit.default.text)}"
            )
    return lines


def in_a_line(result: Result, path: str) -> list[str]:
    """What a check came to, in one line; never without how many rules were not checked."""
    silent = sum(1 for r in result.rules if r.status in UNJUDGED)
    return [f"{safe(path)}: {counts(result)}; {silent} of {_number(len(result.rules), 'rule')} not checked"]


def report(result: Result, path: str, look: PrintLook = PLAIN) -> list[str]:
    """Everything `check` prints for one spec, without the closing line."""
    return [*findings(result, look), *summary(result, path)]


def source(citation: Citation, references: dict[str, Reference]) -> str:
    """A citation in words: title, edition, place, and how it is known."""
    from specc.model.values import BASIS_WORDS

    basis = BASIS_WORDS[citation.basis]
    reference = references.get(citation.reference)
    if reference:
        name = reference.title + (f", {reference.edition}" if _says_more(reference) else "")
    else:
        name = citation.reference
    said = ", ".join(part for part in (name, citation.where) if part)
    return f"{said} ({basis})" if said else basis


def _says_more(reference: Reference) -> bool:
    return bool(reference.edition) and reference.edition not in reference.title
