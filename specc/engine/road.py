"""The road from a spec to a Result: load, compose the schema, judge, order, run, waive, close.

Each step adds findings to one list; none raises for a fault in the input. What the reporters and the
packet see is the Result and nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from specc.engine.closing import close
from specc.engine.context import whole_value
from specc.engine.derived import origins_of
from specc.engine.graph import Order, arrange
from specc.engine.host import find, find_for
from specc.engine.limits import settle
from specc.engine.long_form import long_form
from specc.engine.moves import with_moves
from specc.engine.plugin import Held, Host, PluginTrouble
from specc.engine.returned import LookedInto
from specc.engine.run import Ran, run
from specc.engine.shared import mistyped, mistyped_in_spec
from specc.engine.tolerances import TooMany, spread, too_many
from specc.engine.whole_schema import whole_schema
from specc.formulas.calculators import keep_answers
from specc.kinds.show import SHOW, TIMELINE
from specc.model.findings import Edit, Finding
from specc.model.passes import Key, Limit
from specc.model.result import LimitShown, Result
from specc.model.values import Figure, Quantity
from specc.model.view import View, join, missing_of, raw
from specc.spec.judge import judge
from specc.spec.privacy import exposed
from specc.spec.renames import in_new_words
from specc.spec.source import STDIN, Overlays, Source, load

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
    spots: bool = False  # where what stands too near would pass: rules run again for each try, for people who read it
    revision: str = ""
    issued: str = ""  # the day of issue, over the spec's own
    written: bool = False  # what the spec says word by word, for a comparison
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
        return close(source, ask, host, None, findings, troubles, path)
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
    troubles.extend((*order.troubles, *_mistyped(host), *mistyped_in_spec(host.passes, whole)))
    origins = origins_of(source)
    ran = run(order, root, limits, kept, [o.at for o in origins if o.typical])
    troubles.extend(ran.troubles)
    if ask.tolerance:
        if refused := too_many(ran.figures, _events(ran)):
            findings.append(_too_many_tolerances(refused, source))
        ran = ran._replace(figures=_with_tolerances(ran, judged.data, judged.missing, host, limits, kept))
    if ask.spots and "rule" in ask.kinds:
        ran = _with_moves(ran, root, host, limits, kept, [o.at for o in origins if o.typical])
    for said in ran.said:
        t = said.trouble
        place = source.places.of(t.at)
        findings.append(
            Finding(said.rule, said.level, t.message, place, t.at, t.fixes, t.why, said.plugin, cure=t.cure)
        )
    return close(source, ask, host, (ran, root, limits, origins), findings, troubles, path)


@lru_cache(maxsize=4)
def _order(host: Host, kinds: frozenset[str], ids: frozenset[str]) -> Order:
    """The passes of these kinds, and single ones, with all that they need."""

    def wanted(held: Held) -> bool:
        p = held.pass_
        if p.provides is not None and p.provides.gathered:
            return "packet" in kinds
        return p.kind in kinds or f"{p.kind} {p.id}" in ids

    return arrange(host.passes, wanted)


@lru_cache(maxsize=4)
def _mistyped(host: Host) -> tuple[PluginTrouble, ...]:
    return tuple(mistyped(host.passes))


def _issued(data: dict[str, object], issued: str) -> dict[str, object]:
    """The spec with another day of issue, where one is given beside it."""
    if not issued:
        return data
    project = data.get("project")
    return {**data, "project": {**(project if isinstance(project, dict) else {}), "issued": issued}}


class ReadForVerb(NamedTuple):
    """What a verb of a plugin reads: values by the names of their keys, the spec, and what stood in the way."""

    values: Mapping[str, object]
    spec: View
    faults: tuple[str, ...]  # of the file, or of plugins
    lost: tuple[str, ...]  # passes that could not be made, each with its cause


def read_keys(keys: Sequence[Key[Any]], path: str | None = None, plugin_files: tuple[str, ...] = ()) -> ReadForVerb:
    """What the plugins, and a spec if one is given, have under keys.

    Nothing is judged: an entry that cannot be read is left out, and `specc check` says why.
    """
    source = load(path) if path is not None else None
    data: Mapping[str, object] = source.data if source else {}
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


def composed_schema(plugin_files: tuple[str, ...] = ()) -> Mapping[str, object]:
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
    data: Mapping[str, object],
    findings: list[Finding],
    troubles: list[PluginTrouble],
    source: Source | None,
) -> tuple[dict[str, LimitShown], frozenset[str]]:
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


def _events(ran: Ran) -> int:
    """Bursts and flames lit, of all nights."""
    line, show = ran.values.get(TIMELINE.name), ran.values.get(SHOW.name)
    if line is None or show is None:
        return 0
    return (len(line.shots) + len(line.lit)) * max(len(show.nights), 1)


def _too_many_tolerances(refused: TooMany, source: Source) -> Finding:
    return Finding(
        "core.tolerances",
        "warning",
        f"figures that decide come from {refused.words}",
        source.places.of(refused.first.at),
        refused.first.at,
        "tolerances only where they are wide: holes and regulators first",
        "without it no low and high are given beside those figures",
        "core",
    )


def _with_tolerances(
    ran: Ran,
    data: Mapping[str, object],
    missing: frozenset[str],
    host: Host,
    limits: Mapping[str, LimitShown],
    refused: frozenset[str],
) -> tuple[Figure, ...]:
    families = {p.pass_.id for p in host.passes if p.pass_.kind == "figures"}

    def again(other: Mapping[str, object], keys: frozenset[str]) -> tuple[Figure, ...]:
        ids = {f"figure {k}" for k in keys} | {
            f"figures {f}" for f in families if any(k.startswith(f + ".") for k in keys)
        }
        order = arrange(host.passes, lambda h: f"{h.pass_.kind} {h.pass_.id}" in ids)
        # A limit's value may have a tolerance too; `spread` moves it in the spec.
        made = run(order, View(other, "", missing), _limits_as_moved(limits, other), refused, once=True).figures
        return tuple(f for f in made if f.key in keys)

    return spread(ran.figures, data, again, _events(ran))


def _with_moves(
    ran: Ran,
    root: View,
    host: Host,
    limits: Mapping[str, LimitShown],
    refused: frozenset[str],
    guessed: Sequence[str],
) -> Ran:
    """What was found on distances, with the spots that would end it. Where a plugin runs that no run remembers, each
    try would be as long as the check itself: then none is tried."""
    rules = _order(host, frozenset({"rule"}), frozenset())
    if any(held.third_party for held in rules.passes):
        return ran
    orders: dict[frozenset[str], Order] = {}
    looked = LookedInto({}, {})  # most of what a try gives is what the one before gave

    def again(other: Mapping[str, object], ids: frozenset[str] | None) -> Ran:
        if ids is not None and ids not in orders:
            orders[ids] = arrange(host.passes, lambda h: h.pass_.kind == "rule" and h.pass_.id in ids)
        order = rules if ids is None else orders[ids]
        return run(order, View(other, "", missing_of(root)), limits, refused, guessed, once=True, looked=looked)

    with keep_answers():
        return with_moves(ran, raw(root), again)


def _limits_as_moved(limits: Mapping[str, LimitShown], data: Mapping[str, object]) -> dict[str, LimitShown]:
    given = data.get("limits")
    moved = given if isinstance(given, Mapping) else {}
    return {
        key: limit._replace(value=moved[key]) if isinstance(moved.get(key), Quantity) else limit
        for key, limit in limits.items()
    }


__all__ = ["CHECK", "COMPILE", "FIGURES", "Ask", "composed_schema", "travel"]
