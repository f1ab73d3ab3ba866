"""The road from a spec to a Result: load, compose the schema, judge, order, run, waive, close.

Each step adds findings to one list; none raises for a fault in the input. What the reporters and the
packet see is the Result and nothing else.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from specc import __version__
from specc.engine.context import whole_value
from specc.engine.graph import Order, arrange
from specc.engine.host import find, find_for
from specc.engine.limits import settle
from specc.engine.long_form import long_form
from specc.engine.plugin import Held, Host, PluginTrouble
from specc.engine.run import Ran, run
from specc.engine.shared import mistyped, mistyped_in_spec
from specc.engine.tolerances import spread
from specc.engine.waivers import apply
from specc.engine.whole_schema import whole_schema
from specc.kinds.packet import CAUTIONS, DECISIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.weather import CASES
from specc.model.exit_codes import of_result
from specc.model.findings import Edit, Finding, Place
from specc.model.passes import Key, Limit, RuleFacts
from specc.model.result import GitState, InputFile, Item, Origin, Outcome, PluginShown, Result, RuleOutcome, WaiverShown
from specc.model.values import Citation, Quantity, Reference
from specc.model.view import Unreadable, View, join
from specc.spec.judge import judge
from specc.spec.privacy import exposed
from specc.spec.renames import in_new_words
from specc.spec.short_forms import OWN_TEXT, Tree, filled_in
from specc.spec.source import STDIN, Overlays, Source, excerpt, load
from specc.spec.source.places import steps_of

CHECK = frozenset({"figure", "figures", "rule"})
COMPILE = frozenset({"figure", "figures", "rule", "table", "drawing", "section", "packet"})
FIGURES = frozenset({"figure", "figures"})

# Why a refusal of the schema matters.
_WHY = {
    "spec.unknown_key": "specc ignores this key",
    "spec.missing_key": "rules that need it were not checked",
    "spec.quantity": "it may be read two ways or not at all, so rules that need it were not checked",
    "spec.value": "it cannot be read, so rules that need it were not checked",
}

# Faults of the file that leave the rest of it readable, so that what else is wrong can be said at once. After
# any other, what seems to be missing may only be unread.
_WHOLE = frozenset(
    {"spec.duplicate_key", "spec.key_not_text", "spec.tag", "spec.merge_key", "spec.not_finite", "spec.alias_loop"}
)


class Ask(NamedTuple):
    """What is asked for: kinds of passes, or single ones by kind and id."""

    kinds: frozenset[str] = CHECK
    ids: frozenset[str] = frozenset()  # "table plumbing.parts"
    tolerance: bool = False
    revision: str = ""
    issued: str = ""  # the day of issue, over the spec's own
    plugin_files: tuple[str, ...] = ()
    block: tuple[str, ...] = ()
    instead: tuple[tuple[str, bytes], ...] = ()  # other bytes than on the disk, by path


def travel(path: str, overlay: Overlays = None, ask: Ask = Ask()) -> Result:  # noqa: B008
    """Take a spec down the whole road. Never raises for a fault in the spec, its files or a plugin.

    `exit_code` of the Result: see `specc.model.exit_codes`.
    """
    path = STDIN if path == "-" else path
    source = load(path, overlay, ask.instead)
    data = source.data
    host = find_for(data.get("plugins"), ask.plugin_files, ask.block)
    findings = [Finding(f.rule, "error", f.message, f.place, f.at, f.fix, f.why, "core") for f in source.faults]
    troubles = list(host.troubles)
    source, short, failed = long_form(source, host)
    data = source.data
    findings += short
    troubles += failed
    if not source.usable and (not data or any(f.fatal and f.rule not in _WHOLE for f in source.faults)):
        return _close(source, ask, host, None, findings, troubles, path)
    whole, contested = whole_schema(host)
    troubles.extend(contested)
    renamed = in_new_words(whole, data)
    for old in renamed.renames:
        if old.is_key:
            source.places.rename(old.at, old.old, old.new)
        at = join(old.at, old.new) if old.is_key else old.at
        findings.append(
            Finding(
                "spec.renamed",
                "note",
                f"{old.old!r} is now {old.new!r}, and read as that",
                source.places.key(at) if old.is_key else source.places.of(at),
                at,
                f"write {old.new}{':' if old.is_key else ''}" + (f" (since {old.since})" if old.since else ""),
                "the old word will not be read for ever",
                "core",
                edit=Edit(source.places.key(at) if old.is_key else source.places.of(at), old.old, old.new),
            )
        )
    data = _issued(renamed.data, ask.issued)
    judged = judge(whole, data)
    said_there = {f.place for f in short}
    for refusal in judged.refusals:
        place = source.places.key(refusal.at) if refusal.on_key else source.places.of(refusal.at)
        if place in said_there and refusal.rule == "spec.value":
            continue  # what stands there was no short form, and has been said to be none
        rule, at, why = refusal.rule, refusal.at, _WHY[refusal.rule]
        made = Finding(rule, "error", refusal.message, place, at, refusal.fix, why, "core")
        findings.append(made._replace(edit=Edit(place, *refusal.edit) if refusal.edit else None))

    for at in exposed(whole, data, source.private):
        findings.append(
            Finding(
                "spec.private",
                "note",
                f"{at.rsplit('/', 1)[-1]}: is private, and stands in the public spec",
                source.places.of(at),
                at,
                "move it into a file of its own, and give that with --with",
                "the spec is embedded in the packet, and the packet is handed on",
                "core",
            )
        )

    findings += _replacements(host, source)
    limits, kept = _limits(host, judged.data, findings, troubles, source)
    root = View(judged.data, "", judged.missing)
    order = _order(host, ask.kinds, ask.ids)
    troubles.extend((*order.troubles, *mistyped(host.passes), *mistyped_in_spec(host.passes, whole)))
    ran = run(order, root, limits, kept)
    troubles.extend(ran.troubles)
    if ask.tolerance:
        ran = ran._replace(figures=_with_tolerances(ran, judged.data, judged.missing, host, limits, kept))
    for said in ran.said:
        t = said.trouble
        place = source.places.of(t.at)
        findings.append(
            Finding(said.rule, said.level, t.message, place, t.at, t.fixes, t.why, said.plugin, cure=t.cure)
        )
    return _close(source, ask, host, (ran, root, limits), findings, troubles, path)


@lru_cache(maxsize=4)
def _order(host: Host, kinds: frozenset[str], ids: frozenset[str]) -> Order:
    """The passes of these kinds, and single ones, with all that they need."""

    def wanted(held: Held) -> bool:
        p = held.pass_
        if p.provides is not None and p.provides.gathered:
            return "packet" in kinds
        return p.kind in kinds or f"{p.kind} {p.id}" in ids

    return arrange(host.passes, wanted)


def _issued(data: dict[str, Any], issued: str) -> dict[str, Any]:
    """The spec with another day of issue, where one is given beside it."""
    if not issued:
        return data
    project = data.get("project")
    return {**data, "project": {**(project if isinstance(project, dict) else {}), "issued": issued}}


class ReadForVerb(NamedTuple):
    """What a verb of a plugin reads: values by the names of their keys, the spec, and what stood in the way."""

    values: Mapping[str, Any]
    spec: View
    faults: tuple[str, ...]  # of the file, or of plugins
    lost: tuple[str, ...]  # passes that could not be made, each with its cause


def read_keys(keys: Sequence[Key[Any]], path: str | None = None, plugin_files: tuple[str, ...] = ()) -> ReadForVerb:
    """What the plugins, and a spec if one is given, have under keys.

    Nothing is judged: an entry that cannot be read is left out, and `specc check` says why.
    """
    source = load(path) if path is not None else None
    data: Mapping[str, Any] = source.data if source else {}
    host = find_for(data.get("plugins"), plugin_files)
    if source is not None:
        source = long_form(source, host)[0]
        data = source.data
    whole = whole_schema(host)[0]
    judged = judge(whole, in_new_words(whole, data).data) if source else None
    root = View(judged.data, "", judged.missing) if judged else View({})
    limits, refused = _limits(host, judged.data if judged else {}, [], [], source)
    order = arrange(host.passes, lambda held: held.pass_.provides in keys)
    ran = run(order, root, limits, refused)
    values = {k.name: ran.gathered.get(k.name, ()) if k.gathered else whole_value(ran.values, k.name)
              for k in keys if k.gathered or k.name in ran.values}  # fmt: skip
    faults = [f.message for f in source.faults] if source and not source.usable else []
    troubles = [t.message for t in (*host.troubles, *order.troubles, *ran.troubles)]
    lost = [f"{o.kind} {o.id}: {o.cause}" for o in ran.outcomes if o.is_lost]
    lost += [f"{k.name}: no plugin that runs gives it" for k in keys if k.name not in values and not lost]
    return ReadForVerb(values, root, (*faults, *troubles), tuple(lost))


def composed_schema(plugin_files: tuple[str, ...] = ()) -> Mapping[str, Any]:
    """The schema of a spec with the built-in plugins, and those given."""
    return whole_schema(find(files=plugin_files))[0]


def _replacements(host: Host, source: Source) -> list[Finding]:
    """For each built-in that is replaced, a finding that nobody can waive, with every rule not checked now."""
    made = []
    for one in host.replaced:
        at = join("/plugins/replace", one.old)
        count = len(one.rules)
        silent = f"; {count} of its rules are not checked: {', '.join(one.rules)}" if count else "; all its rules are"
        made.append(
            Finding(
                "plugin.replaced",
                "error" if count else "warning",
                f"{one.new} replaces the built-in plugin {one.old}" + (silent if count else ""),
                source.places.of(at),
                at,
                f"add {one.new} beside it: plugins: {{use: [{one.new}]}}",
                "what nobody judges cannot be found",
                one.new,
            )
        )
    return made


def _limits(
    host: Host,
    data: Mapping[str, Any],
    findings: list[Finding],
    troubles: list[PluginTrouble],
    source: Source | None,
) -> tuple[dict[str, Any], frozenset[str]]:
    """The limits as used, and those that no pass may use. What is wrong is added to `findings`, which need a source."""
    given = data.get("limits")
    declared: list[Limit] = []
    seen: dict[str, str] = {}
    for plugin in host.plugins:
        for limit in plugin.limits:
            if limit.key in seen:
                troubles.append(
                    PluginTrouble(
                        plugin.name,
                        "plugin.same_id",
                        f"the limit {limit.key} is in {plugin.name} and in {seen[limit.key]}",
                    )
                )
                continue
            seen[limit.key] = plugin.name
            declared.append(limit)
    others = {p.name for p in host.plugins if p.origin not in ("core", "built-in")}
    owners = {key: plugin for key, plugin in seen.items() if plugin in others}
    settled = settle(declared, given if isinstance(given, Mapping) else {}, owners)
    for key, bad in settled.unreadable.items():
        message = f"the default of the limit {key} of the plugin {seen[key]!r} cannot be read: {bad.message}"
        troubles.append(PluginTrouble(seen[key], "plugin.limit", message, bad.fix))
    for rule, t in settled.troubles:
        if source is None:  # limits were given by nobody
            break
        place = source.places.key(t.at) if rule == "limits.unknown" else source.places.of(t.at)
        findings.append(Finding(rule, t.level or "error", t.message, place, t.at, t.fix, t.why, "core"))
    return dict(settled.limits), settled.refused


def _with_tolerances(
    ran: Ran, data: Any, missing: frozenset[str], host: Host, limits: Any, refused: frozenset[str]
) -> Any:
    families = {p.pass_.id for p in host.passes if p.pass_.kind == "figures"}

    def again(other: Any, keys: frozenset[str]) -> Any:
        ids = {f"figure {k}" for k in keys} | {
            f"figures {f}" for f in families if any(k.startswith(f + ".") for k in keys)
        }
        order = arrange(host.passes, lambda h: f"{h.pass_.kind} {h.pass_.id}" in ids)
        # A limit's value may have a tolerance too; `spread` moves it in the spec.
        made = run(order, View(other, "", missing), _limits_as_moved(limits, other), refused).figures
        return tuple(f for f in made if f.key in keys)

    return spread(ran.figures, data, again)


def _limits_as_moved(limits: Mapping[str, Any], data: Any) -> dict[str, Any]:
    given = data.get("limits")
    moved = given if isinstance(given, Mapping) else {}
    return {
        key: limit._replace(value=moved[key]) if isinstance(moved.get(key), Quantity) else limit
        for key, limit in limits.items()
    }


def digest_of(files: Iterable[InputFile]) -> str:
    """SHA-256 over the names and contents of the public inputs: 64 hexadecimal digits."""
    whole = hashlib.sha256()
    for file in sorted(files, key=lambda f: f.name):
        # A name of bytes that are no UTF-8 counts as the bytes it is.
        whole.update(f"{file.name}\0{file.sha256}\n".encode("utf-8", "surrogateescape"))
    return whole.hexdigest()


def _close(
    source: Source,
    ask: Ask,
    host: Host,
    made: tuple[Ran, View, Mapping[str, Any]] | None,
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
        ran, root, _ = made
        last = _last_day(root)
        known = {
            p.id: p.facts.waived_by if isinstance(p.facts, RuleFacts) else "anybody"
            for plugin in host.plugins
            for p in plugin.passes
        }
        authority = _text(_safe_child(root, "event"), "authority")
        done = apply(_safe_child(root, "waivers"), tuple(findings), last, source.places.of, known, authority)
        findings, waived = list(done.findings), done.waivers
        project = _safe_child(root, "project")
        event = _event(_safe_child(root, "event"))
    findings = _grouped(findings)
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
    broken = {name for t in troubles if t.failed for name in t.plugin.split(", ")}
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
    ran, _, limits = made
    by_rule: dict[str, list[bool]] = {}
    for f in findings:
        by_rule.setdefault(f.rule, []).append(bool(f.waived))
    others = {p.name for p in host.plugins if p.origin not in ("core", "built-in")}
    rules = tuple(
        r._replace(status="waived") if r.status == "failed" and by_rule.get(r.id) and all(by_rule[r.id]) else r
        for r in sorted(ran.rules, key=lambda r: r.plugin in others)  # what a third party adds comes last
    )
    origins = _origins(source)
    return result._replace(
        origins=origins,
        typical=_typical(ran, origins),
        lacking=_lacking(ran),
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
        places=_pointed(ran, source),
        outcomes=_as_waived(ran.outcomes, rules),
        lost=tuple(ran.lost.items()),
        gathered=_gathered_items(ran, host),
    )


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


def _grouped(findings: list[Finding]) -> list[Finding]:
    """One wrong item of a range, class or `like:` is one finding, though it stands for several values.

    Alike are findings of one rule at one place with one fix, about different values: their words differ by the tag.
    """
    alike: dict[tuple[object, ...], list[Finding]] = {}
    for found in findings:
        alike.setdefault((found.rule, found.level, found.place, found.fix, found.waived), []).append(found)
    made = []
    for some in alike.values():
        by_value: dict[str, list[Finding]] = {}
        for found in some:
            by_value.setdefault(found.at, []).append(found)
        first, *others = by_value.values()
        made += list(dict.fromkeys(first))
        if not others:
            continue
        if any(len(one) > 1 or not _alike(first[0], one[0]) for one in by_value.values()):
            said = {f.message for f in first}
            made += [f for one in others for f in one if f.message not in said]
            continue
        tags = [tag for one in others if (tag := _differs(first[0].at, one[0].at))]
        if tags and any(f.message != first[0].message for one in others for f in one):
            made[-1] = first[0]._replace(message=f"{first[0].message}; and so of {', '.join(tags)}")
    return made


def _alike(a: Finding, b: Finding) -> bool:
    """Whether two findings say the same in words that differ by names alone."""
    ours, theirs = a.message.split(), b.message.split()
    names = {*steps_of(a.at), *steps_of(b.at)}
    differ = [pair for pair in zip(ours, theirs, strict=False) if pair[0] != pair[1]]
    return len(ours) == len(theirs) and all(
        word.strip("',;:") in names or re.search(r"[\d_+]", word) for pair in differ for word in pair
    )


def _differs(a: str, b: str) -> str:
    """The first step in which two pointers differ, as the second has it."""
    return next((theirs for ours, theirs in zip(steps_of(a), steps_of(b), strict=False) if ours != theirs), "")


def _origins(source: Source) -> tuple[Origin, ...]:
    """What short forms filled in from elsewhere than the part's own text; nothing that is private."""
    tree = Tree(source.data, source.places.root)
    return tuple(
        Origin(below.at, str(below.data), below.spot.origin)
        for below in filled_in(tree)
        if below.spot.origin != OWN_TEXT and below.at not in source.private
    )


def _typical(ran: Ran, origins: tuple[Origin, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """By figure, the values that it comes from and that nobody measured."""
    from specc.engine.tolerances import quantities_of

    guessed = {o.at: o for o in origins if o.typical}
    if not guessed:
        return ()
    made = []
    for figure in ran.figures:
        rests = dict.fromkeys(q.at for q in quantities_of((figure,)) if q.at in guessed)
        if rests:
            words = tuple(f"{' '.join(steps_of(at)[-2:])} {guessed[at].text}, {guessed[at].origin}" for at in rests)
            made.append((figure.key, words))
    return tuple(made)


def _lacking(ran: Ran) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """By figure, what was lost of what it is computed from, and the weather cases in which it was not computed."""
    without = {(o.plugin, o.id): o.without for o in ran.outcomes if o.without and o.kind in ("figure", "figures")}
    cases = [case.name for case in ran.values.get(CASES.name, ())]
    made = []
    for figure in ran.figures:
        own = {c.case for c in figure.cases}
        left = [case for case in cases if case not in own] if own != {""} else []
        said = [text for (plugin, id), texts in without.items() if plugin == figure.plugin
                and (figure.key == id or figure.key.startswith(f"{id}.")) for text in texts]  # fmt: skip
        said += [f"not computed in the case {', '.join(left)}"] if left else []
        if said:
            made.append((figure.key, tuple(said)))
    return tuple(made)


def _pointed(ran: Ran, source: Source) -> tuple[tuple[str, Place], ...]:
    """The places of all spec values that figures come from."""
    from specc.engine.tolerances import quantities_of

    found: dict[str, Place] = {}
    for quantity in quantities_of(tuple(ran.figures)):
        if quantity.at and quantity.at not in found:
            found[quantity.at] = source.places.of(quantity.at)
    return tuple(sorted(found.items()))


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


def _references(host: Host) -> tuple[Reference, ...]:
    found: dict[str, Reference] = {}
    for plugin in host.plugins:
        for reference in plugin.references:
            found.setdefault(reference.id, reference)
    return tuple(found[k] for k in sorted(found))


def citations_in(result: Result) -> tuple[tuple[str, Citation], ...]:
    """Every citation that a result rests on, with what it stands beside: not those of rules about what is not there,
    nor of limits that only such rules read."""
    from specc.engine.tolerances import citations_of

    found: list[tuple[str, Citation]] = []
    for figure in result.figures:
        found.extend((figure.key, c) for c in citations_of(figure))
    applied = [r for r in result.rules if r.status != "not applicable"]
    read = {key for r in applied for key in r.limits}
    found.extend((r.id, r.citation) for r in applied)
    found.extend((limit.key, limit.citation) for limit in result.limits if limit.key in read or limit.by)
    found.extend(("caution", c.citation) for c in result.cautions)
    return tuple(dict.fromkeys(found))


__all__ = ["CHECK", "COMPILE", "FIGURES", "Ask", "citations_in", "composed_schema", "digest_of", "travel"]
