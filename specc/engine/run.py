"""Runs passes in order, each shut off from the failures of the others.

A pass that fails costs what depends on it and nothing else. A refused value stops only the passes that
read it. Per-case passes run once for each weather case.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from specc.drawing.edges import clipped
from specc.drawing.shapes import Drawing
from specc.engine.context import ContextOfPass, Lack, PerCase, Stopped, figure_keys, stop_for
from specc.engine.graph import Order
from specc.engine.guard import calling, crash, read_only
from specc.engine.plugin import Held, PluginTrouble, said
from specc.engine.remembered import Memory
from specc.engine.rests_on import RestsOn
from specc.engine.returned import (
    LookedInto,
    Nonsense,
    bounded,
    family_of,
    figure_of,
    looked_into,
    signed,
    verdict_of,
    want,
    want_blocks,
    want_drawing,
    want_table,
)
from specc.kinds.weather import CASES
from specc.model.blocks import Lacking, Table
from specc.model.findings import Level, Trouble, Unchecked, Verdict, answers_of
from specc.model.passes import Cannot, FigureFacts, Pass, RuleFacts, SectionFacts
from specc.model.result import LimitShown, Outcome, RuleOutcome, SectionMade
from specc.model.statuses import Status
from specc.model.values import Figure, from_memory
from specc.model.view import Unreadable, View, missing_of, raw


class FindingDraft(NamedTuple):
    """A finding in the making: who says it, at which level, about what."""

    rule: str
    level: Level
    trouble: Trouble
    plugin: str


class Ran(NamedTuple):
    """What a run gave. `outcomes` has every pass that was asked for."""

    values: Mapping[str, Any]
    figures: tuple[Figure, ...]
    rules: tuple[RuleOutcome, ...]
    said: tuple[FindingDraft, ...]
    tables: tuple[tuple[str, Table], ...]
    drawings: tuple[tuple[str, Drawing], ...]
    sections: tuple[SectionMade, ...]
    troubles: tuple[PluginTrouble, ...]
    outcomes: tuple[Outcome, ...]
    gathered: Mapping[str, tuple[Any, ...]]
    items: Mapping[str, tuple[tuple[str, object], ...]]  # gathered key -> plugin and item, in order
    lost: Mapping[str, tuple[str, ...]]  # gathered key -> what is not there, and why
    evaluations: int  # calls of passes, cases counted


class Running:
    def __init__(
        self, root: View, limits: Mapping[str, LimitShown], refused: frozenset[str], guessed: Iterable[str]
    ) -> None:
        self.root, self.limits, self.refused = root, limits, refused
        self.values: dict[str, Any] = {}
        self.parts: dict[str, list[tuple[str, object]]] = {}  # gathered key -> (plugin, item)
        self.figures: list[Figure] = []
        self.figure: dict[str, Figure] = {}
        self.remembered: dict[int, bool] = {}  # by id of a value: whether it rests on memory
        self.recalled: set[str] = set()  # keys of what does
        self.ordered: dict[str, tuple[int, tuple[tuple[str, object], ...]]] = {}  # of parts: how many, in their order
        self.bare: dict[str, tuple[object, tuple[Any, ...]]] = {}  # of ordered: the items without their plugins
        self.looked_into: dict[int, tuple[object, tuple[str, ...]]] = {}
        self.rules: list[RuleOutcome] = []
        self.said: list[FindingDraft] = []
        self.tables: list[tuple[str, Table]] = []
        self.drawings: list[tuple[str, Drawing]] = []
        self.sections: list[SectionMade] = []
        self.troubles: list[PluginTrouble] = []
        self.outcomes: list[Outcome] = []
        self.causes: dict[str, str] = {}  # key that was not had -> the first cause
        self.lost: dict[str, list[Lack]] = {}  # gathered key -> what is not there
        self.partial: dict[str, tuple[Lack, ...]] = {}  # key that was made of such a one -> the same, for its readers
        self.said_lacking: list[Lack] = []  # by the pass that runs, of what it gives
        self.context: ContextOfPass
        self.contexts: list[ContextOfPass] = []  # of the pass that runs, one a weather case
        self.rests: bool | None = None  # whether it rests on memory, where that is known without running it
        self.standing = RestsOn(raw(root), guessed)
        self.evaluations = 0
        self.looked = LookedInto({}, {})
        self.memory: Memory | None = None
        # A rerun for a tolerance moves one number: what built-ins share was looked at in the run before, and what
        # comes of it is looked at again where it becomes a figure.
        self.looked_at_before = False

    def figures_in(self, value: object) -> tuple[str, ...]:
        """The keys of the figures in a shared value. Many rules read the same one: it is looked into once."""
        if id(value) not in self.looked_into:
            self.looked_into[id(value)] = value, tuple(figure_keys(value))
        return self.looked_into[id(value)][1]

    def gathered(self, name: str) -> tuple[Any, ...]:
        items = self.items(name)
        if name not in self.bare or self.bare[name][0] is not items:
            self.bare[name] = items, tuple(item for _, item in items)
        return self.bare[name][1]

    def items(self, name: str) -> tuple[tuple[str, object], ...]:
        """What was gathered, each with its plugin, in the order that readers get."""
        listed = self.parts.get(name, [])
        count, ordered = self.ordered.get(name, (-1, ()))
        if count != len(listed):  # something came in since it was last asked for
            numbered = [(getattr(item, "order", 0), plugin, i, item) for i, (plugin, item) in enumerate(listed)]
            ordered = tuple((plugin, item) for _, plugin, _, item in sorted(numbered, key=lambda n: n[:3]))
            self.ordered[name] = len(listed), ordered
        return ordered

    # One pass

    def do(self, held: Held) -> None:
        p = held.pass_
        for key in p.needs:
            if not key.gathered and key.name not in self.values:
                self._stop_for(held, key.name)
                return
        self.said_lacking, self.rests = [], None
        try:
            if self.memory is None:
                with calling(f"the {p.kind} {p.id} of the plugin {held.plugin}"):
                    self.keep(held, self.call(held))
            else:
                self.memory.give(self, held)
        except Unreadable as e:
            at = e.at or "a value"
            cause = Unchecked(f"{at} is refused or missing", e.at)
            self.stop(held, f"it reads {at}, which is refused or missing", cause)
        except Stopped as e:
            self._stop_for(held, str(e))
        except Cannot as e:
            trouble = Trouble(e.at, e.message, e.fix, e.why)
            level = p.facts.level if isinstance(p.facts, RuleFacts) else "error"
            self.said.append(FindingDraft(p.id, level, trouble, held.plugin))
            self.stop(held, f"it cannot be computed: {e.message}", Unchecked(e.message, e.at))
        except KeyboardInterrupt:
            raise
        except BaseException as e:  # a plugin may fail in any way; it costs only what depends on it
            what = str(e) if isinstance(e, Nonsense) else said(e) + crash(e)
            self.troubles.append(
                PluginTrouble(
                    held.plugin,
                    "plugin.crash",
                    f"the plugin {held.plugin!r} failed in the {p.kind} {p.id}: {what}",
                    "report it to whoever keeps the plugin; the rest of the packet stands without it",
                )
            )
            self.stop(held, "its plugin failed", f"the plugin {held.plugin!r} failed in {p.id}", crashed=True)
        else:
            status = self.rules[-1].status if p.kind == "rule" else "made"
            self.outcomes.append(self._outcome(held, status, ""))
            if p.provides is not None and self.rests_on_memory(p):
                self.recalled.add(p.provides.name)
            lacking = [*self._lacking(p), *self.said_lacking]
            if p.provides is not None and lacking:
                self.partial[p.provides.name] = (*self.partial.get(p.provides.name, ()), *lacking)

    def _outcome(self, held: Held, status: str, cause: str) -> Outcome:
        p = held.pass_
        return Outcome(held.plugin, p.id, function_name(p), p.kind, status, cause, tuple(map(str, self._lacking(p))))

    def _lacking(self, p: Pass) -> list[Lack]:
        """What is lost of what a pass reads: items of a gathered key, a key that it wants, or something of what these
        were made of in turn."""
        if not (self.causes or self.lost or self.partial):
            return []
        lacks = [Lack(k.name, self.causes[k.name]) for k in p.wants if k.name in self.causes and not k.gathered]
        for key in (*p.needs, *p.wants):
            lacks += (*self.lost.get(key.name, ()), *self.partial.get(key.name, ()))
        return list(dict.fromkeys(lacks))

    def _stop_for(self, held: Held, name: str) -> None:
        """A pass cannot run, since a key it needs has no value. The first cause goes with it."""
        cause = self.causes.get(name, "")
        self.stop(held, f"it needs {name}, which could not be had" + (f": {cause}" if cause else ""), cause)

    def call(self, held: Held) -> Any:
        p = held.pass_
        if not p.per_case:
            self.evaluations += 1
            self.context = ContextOfPass(self, held, None)
            self.contexts = [self.context]
            return p.given_by(self.context)
        made = {}
        self.contexts = []
        for case in self.values.get(CASES.name) or stop_for(CASES.name):
            self.evaluations += 1
            self.contexts.append(ContextOfPass(self, held, case))
            made[case.name] = p.function(self.contexts[-1])
        return made

    def stop(self, held: Held, why: str, cause: str = "", crashed: bool = False) -> None:
        """Keep that a pass gave nothing, and why. `cause`: the first cause, for what needs it in turn; it knows where
        in the spec something could be done about it."""
        p = held.pass_
        cause = cause or why
        if p.provides is not None and p.provides.gathered:
            what = f"{p.provides.name} of the plugin {held.plugin} ({function_name(p)})"
            self.lost.setdefault(p.provides.name, []).append(Lack(what, cause))
        elif p.provides is not None:
            self.causes.setdefault(p.provides.name, cause)
        self.outcomes.append(self._outcome(held, "crashed" if crashed else "blocked", why))
        if isinstance(p.facts, SectionFacts):
            lacking = (Lacking(f"This section could not be made: {why}."),)
            self.sections.append(
                SectionMade(p.id, p.facts.title, p.facts.order, lacking, held.plugin, p.facts.answers, p.facts.part)
            )
        if isinstance(p.facts, RuleFacts):
            made = _outcome(held, p.facts, "crashed" if crashed else "blocked", why)
            self.rules.append(made._replace(answers=answers_of(cause)))

    def keep(self, held: Held, returned: Any) -> None:
        p = held.pass_
        if p.kind == "value":
            self._keep_value(held, returned)
        elif p.kind == "figure":
            assert isinstance(p.facts, FigureFacts)
            assert p.provides is not None
            made = figure_of(held, p.facts, returned if p.per_case else {"": returned}, self.looked.fitting)
            self._keep_figures(p.provides.name, {"": made}, p.per_case, single=True)
        elif p.kind == "figures":
            assert isinstance(p.facts, FigureFacts)
            assert p.provides is not None
            family = family_of(held, p.facts, returned if p.per_case else {"": returned}, self.looked.fitting)
            self._keep_figures(p.provides.name, family, p.per_case, single=False)
        elif p.kind == "rule":
            verdict = verdict_of(held, returned, self.looked.fitting)
            self.keep_verdict(held, verdict, self.context.figures, tuple(self.context.limits))
        elif p.kind == "table":
            want_table(returned, self.looked.fitting)
            note = self._noted(held, returned.note)
            self.tables.append((p.id, returned._replace(key=p.id, title=returned.title or p.title, note=note)))
        elif p.kind == "drawing":
            want_drawing(returned, self.looked.fitting)
            drawing, outside = clipped(returned)
            if outside:
                self._off_sheet(held, outside)
            note = self._noted(held, returned.note)
            self.drawings.append((p.id, drawing._replace(key=p.id, title=returned.title or p.title, note=note)))
        elif p.kind == "section":
            assert isinstance(p.facts, SectionFacts)
            want_blocks(returned, self.looked.fitting)
            facts = p.facts
            blocks = (*returned, *(Lacking(f"Lacking here: {text}.") for text in self._without(held)))
            self.sections.append(
                SectionMade(p.id, facts.title, facts.order, blocks, held.plugin, facts.answers, facts.part)
            )

    def _off_sheet(self, held: Held, outside: int) -> None:
        shapes = "shape lies" if outside == 1 else "shapes lie"
        message = f"{outside} {shapes} outside the sheet of the drawing {held.pass_.id} of the plugin {held.plugin!r}"
        fix = "draw from 0 to the sheet's width and height; what is outside is cut off at its edge"
        self.troubles.append(PluginTrouble(held.plugin, "plugin.off_sheet", message, fix))

    def _noted(self, held: Held, note: str) -> str:
        """A note with a line for each thing that is lacking."""
        return " ".join([t for t in (note,) if t] + [f"Lacking: {t}." for t in self._without(held)])

    def _without(self, held: Held) -> list[str]:
        """What a pass is made without, in a line for each cause."""
        by_cause: dict[str, list[str]] = {}
        for lack in self._lacking(held.pass_):
            by_cause.setdefault(lack.cause, []).append(lack.what)
        return [f"{', '.join(dict.fromkeys(what))}: {cause}" for cause, what in by_cause.items()]

    def _keep_value(self, held: Held, returned: Any) -> None:
        p = held.pass_
        assert p.provides is not None
        if self.looked_at_before and not p.provides.gathered:
            self.values[p.provides.name] = PerCase(returned, None) if p.per_case else returned
            return
        if p.provides.gathered:
            looked = looked_into(p, self.looked)
            want(returned, (list, tuple), "what is gathered", looked.fitting)
            bounded(returned, "what is gathered")
            for item in returned:
                want(item, p.provides.kind, f"an item of {p.provides.name}", looked.fitting)
            items = signed(held, p.provides.name, returned)
            self.parts.setdefault(p.provides.name, []).extend(
                (held.plugin, read_only(item, looked.fixed)) for item in items
            )
            return
        for one in returned.values() if p.per_case else (returned,):
            want(one, p.provides.kind, p.provides.name, self.looked.fitting)
        if p.per_case:
            self.values[p.provides.name] = PerCase(
                {case: read_only(one, self.looked.fixed) for case, one in returned.items()}, None
            )
        else:
            self.values[p.provides.name] = read_only(returned, self.looked.fixed)

    def _keep_figures(self, name: str, made: Mapping[str, Figure], per_case: bool, single: bool) -> None:
        self.figures.extend(made.values())
        self.figure |= {figure.key: figure for figure in made.values()}
        whole: Any = made[""] if single else MappingProxyType(dict(made))
        if not per_case:
            self.values[name] = whole
            return
        by_case: dict[str, Any] = {}
        for case in self.values[CASES.name]:
            narrowed = {
                tag: figure._replace(cases=tuple(c for c in figure.cases if c.case in ("", case.name)), governing=0)
                for tag, figure in made.items()
                if any(c.case in ("", case.name) for c in figure.cases)
            }
            by_case[case.name] = narrowed[""] if single else MappingProxyType(narrowed)
        self.values[name] = PerCase(by_case, whole)

    def keep_verdict(self, held: Held, verdict: Verdict, figures: tuple[str, ...], limits: tuple[str, ...]) -> None:
        """Keep how a rule ended. `figures`, `limits`: the keys of those that it was handed."""
        p = held.pass_
        assert isinstance(p.facts, RuleFacts)
        for trouble in verdict.troubles:
            self.said.append(FindingDraft(p.id, trouble.level or p.facts.level, trouble, held.plugin))
        status, looked, answers = verdict.status, verdict.looked, verdict.answers
        unseen: tuple[tuple[str, str], ...] = ()
        due = ""
        if status == "passed":
            status, why, unseen, due = self.standing.of(p.facts, verdict.tags)
            looked = "; ".join(t for t in (looked, why) if t)
            answers = answers_of(why)
        if lacking := self._lacking(p):
            # What was looked at is not all there is, so that nothing was found in it says little.
            status = status if status in ("failed", "not checked", "authority to decide") else "not checked"
            looked = "; ".join(t for t in (looked, f"lacking: {lacking[0]}") if t)
            answers = (*answers, *answers_of(lacking[0].cause))
        unverified = verdict.unverified or (status == "passed" and self.rests_on_memory(p))
        made = _outcome(held, p.facts, status, looked, len(verdict.troubles))._replace(
            figures=figures,
            limits=limits,
            unverified=unverified,
            unseen=unseen if status == "stated" else (),
            answers=tuple(dict.fromkeys(answers)) if status == "not checked" else (),
            left=verdict.left,
            due=due if status == "planned" else "",
        )
        self.rules.append(made)

    def rests_on_memory(self, p: Pass) -> bool:
        """Whether the pass that just ran used something from memory: of its own, a limit, a figure, or what
        another pass gave that does in turn."""
        if self.rests is not None:
            return self.rests
        if any(citation.basis == "memory" for citation in p.recalls):
            return True
        if any(key in self.recalled for context in self.contexts for key in context.keys):
            return True
        if any(self._from_memory(key) for context in self.contexts for key in context.limits):
            return True
        read = (self.figure[key] for context in self.contexts for key in context.figures if key in self.figure)
        return any(from_memory(figure, self.remembered) for figure in read)

    def _from_memory(self, key: str) -> bool:
        """Whether a limit that was read is this tool's own, and from memory. What the spec sets is whose it says."""
        limit = self.limits.get(key)
        return limit is not None and not limit.by and limit.citation.basis == "memory"


def function_name(p: Pass) -> str:
    """Module and name of a pass's function, to find it by."""
    function = p.function
    name = getattr(function, "__qualname__", "") or type(function).__qualname__
    return f"{getattr(function, '__module__', '')}.{name}".lstrip(".")


def _outcome(held: Held, facts: RuleFacts, status: Status, looked: str, findings: int = 0) -> RuleOutcome:
    return RuleOutcome(
        held.pass_.id, facts.level, facts.statement, facts.citation, status, looked, held.plugin, findings
    )


def run(
    order: Order,
    root: View,
    limits: Mapping[str, LimitShown],
    refused: Iterable[str] = (),
    guessed: Iterable[str] = (),
    once: bool = False,
    looked: LookedInto | None = None,
) -> Ran:
    """Run the passes in order on a spec. Raises nothing for a fault in the spec or in a plugin. `guessed`: pointers of
    values that nobody measured. `once`: what this run gives is not remembered for the next. `looked`: what the runs
    before it looked into."""
    state = Running(root, limits, frozenset(refused), guessed)
    state.looked = looked or state.looked
    if not any(held.third_party for held in order.passes):
        state.memory = Memory(raw(root), missing_of(root), limits, state.refused, once)
        state.looked_at_before = once
    for held, why in order.blocked:
        state.stop(held, why, why)
    for held in order.passes:
        state.do(held)
    return Ran(
        state.values,
        tuple(state.figures),
        tuple(sorted(state.rules, key=lambda r: (r.plugin != "core", r.plugin, r.id))),
        tuple(state.said),
        tuple(state.tables),
        tuple(state.drawings),
        tuple(sorted(state.sections, key=lambda s: (s.order, s.id))),
        tuple(state.troubles),
        tuple(state.outcomes),
        {name: state.gathered(name) for name in state.parts},
        {name: state.items(name) for name in state.parts},
        {name: tuple(map(str, lacks)) for name, lacks in state.lost.items()},
        state.evaluations,
    )
