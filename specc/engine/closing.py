"""The end of the road: waivers are counted, findings put in order, and all that was made becomes a Result."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from specc import __version__
from specc.engine.derived import lacking, places_of_inputs, typical
from specc.engine.grouping import grouped
from specc.engine.plugin import Host, PluginTrouble
from specc.engine.run import Ran
from specc.engine.waivers import apply
from specc.kinds.packet import CAUTIONS, DECISIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.weather import CASES
from specc.model.exit_codes import of_result
from specc.model.findings import Finding, Place
from specc.model.passes import RuleFacts
from specc.model.result import GitState, InputFile, Item, Origin, Outcome, PluginShown, Result, RuleOutcome, WaiverShown
from specc.model.values import Quantity, Reference
from specc.model.view import Unreadable, View, join
from specc.spec.source import Source, excerpt

if TYPE_CHECKING:
    from specc.engine.road import Ask


def digest_of(files: Iterable[InputFile]) -> str:
    """SHA-256 over the names and contents of the public inputs: 64 hexadecimal digits."""
    whole = hashlib.sha256()
    for file in sorted(files, key=lambda f: f.name):
        # A name of bytes that are no UTF-8 counts as the bytes it is.
        whole.update(f"{file.name}\0{file.sha256}\n".encode("utf-8", "surrogateescape"))
    return whole.hexdigest()


def close(
    source: Source,
    ask: Ask,
    host: Host,
    made: tuple[Ran, View, Mapping[str, Any], tuple[Origin, ...]] | None,
    findings: list[Finding],
    troubles: list[PluginTrouble],
    path: str,
) -> Result:
    nowhere = source.places.of("/plugins") if source.places.known("/plugins") else Place(path)
    for t in troubles:
        findings.append(Finding(t.rule, t.level, t.message, nowhere, "/plugins", t.fix, "", t.plugin))
    waived: tuple[WaiverShown, ...] = ()
    project = View({}, "/project")
    event: tuple[tuple[str, str], ...] = ()
    if made is not None:
        ran, root, _, _ = made
        last = _last_day(root)
        authority = _text(_safe_child(root, "event"), "authority")
        done = apply(_safe_child(root, "waivers"), tuple(findings), last, source.places.of, _waived_by(host), authority)
        findings, waived = list(done.findings), done.waivers
        project = _safe_child(root, "project")
        event = _event(_safe_child(root, "event"))
    findings = grouped(findings)
    if made is not None and not any(f.level == "error" and not f.waived for f in findings):
        findings += [_incomplete(made[0], Place(path))] if any(o.is_lost for o in made[0].outcomes) else []
    # Until a fault of the file itself is mended, all else is uncertain: it stands first.
    fatal = {(f.rule, f.place) for f in source.faults if f.fatal}
    order = {"error": 0, "warning": 1, "note": 2}
    findings.sort(
        key=lambda f: (
            bool(f.waived),
            (f.rule, f.place) not in fatal,
            order[f.level],
            f.place.file,
            f.place.line,
            f.place.column,
            f.rule,
        )
    )
    broken = {name for t in troubles if t.failed for name in t.plugins}
    errors = any(f.level == "error" and not f.waived for f in findings)
    code = of_result(errors, any(t.failed for t in troubles), source.usable)
    shown_plugins = tuple(
        PluginShown(p.name, p.version, p.origin, "see its finding" if p.name in broken else "") for p in host.plugins
    ) + tuple(PluginShown(n, "", "", "see its finding") for n in sorted(broken - {p.name for p in host.plugins}))
    result = Result(
        spec_name=Path(path).name,
        title=_text(project, "title") or Path(path).stem,
        project_id=_text(project, "id") or Path(path).stem,
        revision=ask.revision or _text(project, "revision"),
        issued=ask.issued or _text(project, "issued"),
        summary=_text(project, "summary"),
        event=event,
        digest=digest_of(source.files),
        git=_git(source) if "packet" in ask.kinds else None,
        specc_version=__version__,
        files=source.files,
        plugins=shown_plugins,
        references=_references(host),
        cases=(),
        findings=tuple(findings),
        waivers=waived,
        excerpts=tuple({f.place: excerpt(source.texts, f.place) for f in findings}.items()),
        exit_code=code,
        spec_folder=os.path.dirname(path),
    )
    if made is None:
        return result
    ran, _, limits, origins = made
    by_rule: dict[str, list[bool]] = {}
    for f in findings:
        by_rule.setdefault(f.rule, []).append(bool(f.waived))
    others = {p.name for p in host.plugins if p.origin not in ("core", "built-in")}
    rules = tuple(
        r._replace(status="waived") if r.status == "failed" and by_rule.get(r.id) and all(by_rule[r.id]) else r
        for r in sorted(ran.rules, key=lambda r: r.plugin in others)  # what a third party adds comes last
    )
    return result._replace(
        origins=origins,
        written=tuple(_written(source.data, source.private)) if ask.written else (),
        typical=typical(ran, origins),
        lacking=lacking(ran),
        cases=ran.values.get(CASES.name, ()),
        figures=ran.figures,
        rules=rules,
        limits=tuple(limits[k] for k in sorted(limits)),
        tables=ran.tables,
        drawings=ran.drawings,
        sections=ran.sections,
        decisions=ran.gathered.get(DECISIONS.name, ()),
        summary_facts=ran.gathered.get(SUMMARY_FACTS.name, ()),
        cautions=ran.gathered.get(CAUTIONS.name, ()),
        model_limits=ran.gathered.get(MODEL_LIMITS.name, ()),
        places=places_of_inputs(ran, source),
        outcomes=_as_waived(ran.outcomes, rules),
        lost=tuple(ran.lost.items()),
        gathered=_gathered_items(ran, host),
    )


def _written(data: Any, private: frozenset[str], at: str = "") -> Iterator[tuple[str, str]]:
    """Each value of the public spec with its pointer, its short forms written out; a list of plain ones as one."""
    if at in private:
        return
    if isinstance(data, Mapping):
        for key, value in data.items():
            yield from _written(value, private, join(at, key))
    elif isinstance(data, list) and any(isinstance(v, list | Mapping) for v in data):
        for n, value in enumerate(data):
            yield from _written(value, private, join(at, n))
    elif isinstance(data, list):
        yield at, ", ".join(str(v) for n, v in enumerate(data) if join(at, n) not in private)
    else:
        yield at, str(data)


def _gathered_items(ran: Ran, host: Host) -> tuple[tuple[str, tuple[Item, ...]], ...]:
    """What was gathered, by key, with plugin and version; a third party never stands before a built-in."""
    plugins = {p.name: p for p in host.plugins}
    made = []
    for key in sorted(ran.items):
        items = [
            Item(name, plugins[name].version, item, plugins[name].origin in ("core", "built-in"))
            for name, item in ran.items[key]
        ]
        made.append((key, tuple(sorted(items, key=lambda i: not i.built_in))))
    return tuple(made)


def _as_waived(outcomes: Iterable[Outcome], rules: Iterable[RuleOutcome]) -> tuple[Outcome, ...]:
    """The outcomes with the rules' statuses as they stand once the waivers are counted."""
    status = {(r.plugin, r.id): r.status for r in rules}
    return tuple(
        o._replace(status=status[o.plugin, o.id]) if o.kind == "rule" and o.status == "failed" else o for o in outcomes
    )


def _incomplete(ran: Ran, whole: Place) -> Finding:
    """What is said when something that was due is not there, and no open error tells of it."""
    lost = [o for o in ran.outcomes if o.is_lost]
    names = "; ".join(f"{o.kind} {o.id} of {o.plugin}: {o.cause}" for o in lost[:5])
    more = f"; and {len(lost) - 5} more" if len(lost) > 5 else ""
    return Finding(
        "packet.incomplete",
        "error",
        f"{len(lost)} parts that were due could not be made: {names}{more}",
        whole,
        fix="fix the cause; a waiver covers a finding, not what is missing",
        plugin="core",
    )


def _safe_child(root: View, name: str) -> View:
    try:
        return root.child(name)
    except Unreadable:  # refused by the schema, and reported there
        return View({}, "/" + name)


def _text(view: View, key: str) -> str:
    try:
        return view.text_or(key)
    except Unreadable:  # refused by the schema, and reported there
        return ""


def _event(event: View) -> tuple[tuple[str, str], ...]:
    rows = []
    for key in ("name", "site", "dates", "hours", "elevation", "authority"):
        try:
            if not event.has(key):
                continue
            value = event[key]
            if isinstance(value, Quantity):
                text = value.text
            elif isinstance(value, View):
                text = f"{value.text('from')} to {value.text('to')}"
            elif isinstance(value, list):
                text = ", ".join(event.texts(key))
            else:
                text = str(value)
            rows.append(("event" if key == "name" else key, text))
        except Unreadable:  # refused by the schema, and reported there
            continue
    return tuple(rows)


def _last_day(root: View) -> date | None:

    try:
        return max(date.fromisoformat(d) for d in root.child("event").texts("dates"))
    except (Unreadable, ValueError):  # refused by the schema and reported there, or no dates at all
        return None


def _git(source: Source) -> GitState | None:
    from specc.spec.git import git_state

    return git_state(source.folder, source.files)


@lru_cache(maxsize=4)
def _waived_by(host: Host) -> Mapping[str, str]:
    """By id of a pass, who may waive what it finds."""
    passes = (p for plugin in host.plugins for p in plugin.passes)
    return {p.id: p.facts.waived_by if isinstance(p.facts, RuleFacts) else "anybody" for p in passes}


@lru_cache(maxsize=4)
def _references(host: Host) -> tuple[Reference, ...]:
    found: dict[str, Reference] = {}
    for plugin in host.plugins:
        for reference in plugin.references:
            found.setdefault(reference.id, reference)
    return tuple(found[k] for k in sorted(found))
