"""Findings for machines that look after repositories: SARIF 2.1.0, and annotations as lines of a job's output."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from urllib.parse import quote

from specc import __version__
from specc.model.findings import Finding
from specc.model.result import Result

_SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def sarif(results: Sequence[tuple[str, Result]]) -> str:
    """One log of one run over all specs, as JSON (SARIF 2.1.0, OASIS)."""
    statements = {rule.id: rule for _, result in results for rule in result.rules}
    found = [f for _, result in results for f in result.findings]
    ids = list(dict.fromkeys((*statements, *(f.rule for f in found))))
    index = {id: n for n, id in enumerate(ids)}
    rules = []
    for id in ids:
        rule = statements.get(id)
        described: dict[str, object] = {"id": id}
        if rule is not None:
            described["shortDescription"] = {"text": rule.statement}
            described["defaultConfiguration"] = {"level": rule.level}
        rules.append(described)
    run = {
        "tool": {"driver": {"name": "specc", "version": __version__, "rules": rules}},
        "invocations": [{"executionSuccessful": all(r.exit_code.judged for _, r in results)}],
        "columnKind": "unicodeCodePoints",
        "results": [_result(f, index[f.rule]) for f in found],
    }
    return json.dumps({"$schema": _SCHEMA, "version": "2.1.0", "runs": [run]}, indent=2)


def _result(found: Finding, index: int) -> dict[str, object]:
    words = [found.message, f"Fix: {found.fix}" if found.fix else "", f"Why: {found.why}" if found.why else ""]
    where: dict[str, object] = {"artifactLocation": {"uri": _uri(found.place.file)}}
    if found.place.line:
        region = {"startLine": found.place.line}
        if found.place.column:
            region["startColumn"] = found.place.column
        where["region"] = region
    made: dict[str, object] = {
        "ruleId": found.rule,
        "ruleIndex": index,
        "level": found.level,
        "message": {"text": ". ".join(w for w in words if w)},
        "locations": [{"physicalLocation": where}],
    }
    if found.waived:
        made["suppressions"] = [{"kind": "inSource", "justification": f"the spec's waiver {found.waived}"}]
    return made


def _uri(file: str) -> str:
    """A path as a relative reference where it can be one."""
    if os.path.isabs(file):
        try:
            inside = os.path.relpath(file)
        except ValueError:  # on another drive
            inside = file
        file = file if inside.startswith("..") else inside
        if os.path.isabs(file):
            return "file://" + _quoted(file)
    return _quoted(file)


def _quoted(file: str) -> str:
    """The name byte for byte as the system has it, which need not be UTF-8."""
    return quote(os.fsencode(file.replace(os.sep, "/")))


def annotated(result: Result) -> list[str]:
    """A line for each finding, which a forge's job runner shows beside the line of the file."""
    lines = []
    for found in result.findings:
        if found.waived:
            continue
        word = {"note": "notice"}.get(found.level, found.level)
        where = f"file={_property(found.place.file)}"
        where += f",line={found.place.line}" if found.place.line else ""
        where += f",col={found.place.column}" if found.place.column else ""
        text = found.message + (f"\nfix: {found.fix}" if found.fix else "")
        lines.append(f"::{word} {where},title={_property(found.rule)}::{_escaped(text)}")
    return lines


def _escaped(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _escaped(text).replace(":", "%3A").replace(",", "%2C")
