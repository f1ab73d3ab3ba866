"""Every figure and rule has a source, every source has its reference, and every printed equation gives its figure."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from sample_packets import SAMPLES, complete

from specc.engine.derived import citations_in
from specc.engine.host import find
from specc.engine.tolerances import ancestors, citations_of
from specc.formulas.equation_tree import NotEvaluable
from specc.formulas.evaluating import evaluate
from specc.model.blocks import DrawingBlock, FigureBlock, FigureList, RulesBlock, TableBlock
from specc.model.passes import FigureFacts, Limit, RuleFacts
from specc.model.result import Result
from specc.model.values import BASIS_WORDS, Citation, Figure, Reference, Worked
from specc.testing import checked, result_of

ROOT = Path(__file__).parents[2]
SPECS = (
    *sorted(SAMPLES.glob("*/project.yaml")),
    ROOT / "tests" / "samples" / "garden.yaml",
    ROOT / "tests" / "samples" / "bare.yaml",
    *sorted((ROOT / "tests" / "rules").glob("*.yaml")),
    ROOT / "tests" / "fuel" / "steady_store.yaml",
)
HOST = find()
# These bases are a source by themselves: nothing published is named.
ALONE = ("practice", "choice", "declared")


@cache
def result(spec: Path) -> Result:
    return complete(spec.parent.name) if spec.is_relative_to(SAMPLES) else result_of(spec)


def figures() -> Iterator[Figure]:
    for spec in SPECS:
        yield from result(spec).figures


@cache
def worked() -> list[tuple[str, Worked]]:
    """Each computed value that a figure comes from, once, with the first such figure's key: many come from the same."""
    found: dict[int, tuple[str, Worked]] = {}
    for figure in figures():
        for one in ancestors(figure):
            if isinstance(one, Worked):
                found.setdefault(id(one), (figure.key, one))
    return list(found.values())


def faults(citation: Citation, known: set[str]) -> str:
    if citation.basis not in BASIS_WORDS:
        return f"there is no basis {citation.basis!r}"
    if citation.reference:
        return "" if citation.reference in known else f"there is no reference {citation.reference!r}"
    return "" if citation.basis in ALONE else f"{citation.basis} without a reference"


def test_a_citation_without_its_reference_would_be_seen() -> None:
    assert faults(Citation("nowhere", "table 1"), {"somewhere"})
    assert faults(Citation(basis="read"), set())
    assert faults(Citation(basis="practice"), set()) == ""
    assert faults(Citation("somewhere", "table 1", "memory"), {"somewhere"}) == ""


@pytest.mark.parametrize("plugin", HOST.plugins, ids=lambda p: p.name)
def test_rules_and_limits_cite_what_their_own_plugin_or_the_core_lists(plugin: object) -> None:
    """A plugin stands without the other built-ins, and so do its sources."""
    own = next(p for p in HOST.plugins if p is plugin)
    known = {r.id for p in HOST.plugins if p.name in ("core", own.name) for r in p.references}
    cited = [(p.id, p.facts.citation) for p in own.passes if isinstance(p.facts, RuleFacts)]
    cited += [(limit.key, limit.citation) for limit in own.limits if isinstance(limit, Limit)]
    cited += [(c.name, citation) for c in own.calculators for citation in c.equation.citations]
    cited += [(c.name, x.citation) for c in own.calculators for _, x in c.equation.constants]
    assert [(name, told) for name, c in cited if (told := faults(c, known))] == []


def test_two_plugins_say_the_same_of_one_reference() -> None:
    said: dict[str, set[Reference]] = {}
    for plugin in HOST.plugins:
        for r in plugin.references:
            said.setdefault(r.id, set()).add(r)
    assert {id for id, ways in said.items() if len(ways) > 1} == set()


@pytest.mark.parametrize("spec", SPECS, ids=lambda p: str(p.relative_to(ROOT)))
def test_all_that_a_packet_cites_stands_in_its_references(spec: Path) -> None:
    known = {r.id for r in result(spec).references}
    assert [(what, told) for what, c in citations_in(result(spec)) if (told := faults(c, known))] == []


def test_every_figure_has_a_source() -> None:
    seen = list(figures())
    assert len(seen) > 30
    assert {f.key for f in seen if not list(citations_of(f))} == set()


def test_every_figure_pass_of_the_built_ins_is_seen_here() -> None:
    """So that the checks of this file miss none."""
    passes = {h.pass_.id for h in HOST.passes if isinstance(h.pass_.facts, FigureFacts)}
    keys = {f.key for f in figures()}
    assert {p for p in passes if not any(k == p or k.startswith(p + ".") for k in keys)} == set()


def test_every_printed_equation_gives_its_value() -> None:
    wrong, evaluated, solved = [], 0, set()
    for key, one in worked():
        try:
            value = evaluate(one.equation, one)
        except NotEvaluable:
            solved.add(one.equation.form(one.regime))
            continue
        evaluated += 1
        if value != pytest.approx(one.si, rel=1e-9, abs=1e-15):
            wrong.append((key, one.name, one.si, value))
    assert wrong == []
    assert evaluated > 100
    assert all(form.startswith("~") for form in solved)


def test_every_input_of_an_equation_is_one_of_its_symbols() -> None:
    for key, one in worked():
        for symbol, _ in one.inputs:
            assert one.equation.symbol(symbol) is not None, (key, one.name, symbol)


@pytest.mark.parametrize("spec", SPECS, ids=lambda p: str(p.relative_to(ROOT)))
def test_what_a_section_shows_by_key_is_there(spec: Path) -> None:
    made = result(spec)
    stopped = {r.id for r in made.rules if r.status in ("blocked", "crashed")}
    keys = {f.key for f in made.figures}
    tables, drawings = dict(made.tables), dict(made.drawings)
    for section in made.sections:
        for block in section.blocks:
            if isinstance(block, TableBlock):
                assert block.key in tables, (section.id, block)
            elif isinstance(block, DrawingBlock):
                assert block.key in drawings, (section.id, block)
            elif isinstance(block, RulesBlock):
                assert any(r.id.startswith(block.prefix) for r in made.rules), (section.id, block)
            elif isinstance(block, FigureBlock | FigureList) and made.exit_code == 0 and not stopped:
                named = block.keys if isinstance(block, FigureList) else (block.key,)
                assert set(named) <= keys, (section.id, block)


# A plugin with many rules has more than one good spec, beside that of its name.
MORE_SPECS = {
    "plumbing": ("geometry", "mating", "fuel_flow", "ignition", "faults", "leak_tests", "gauges"),
    "fuel": ("fuel_flow", "ignition", "trapped_liquid", "excess_flow"),
    "materials": ("vessels",),
    "control": ("backward",),
    "flame": ("structure", "posts"),
    "operators": ("posts",),
}


def test_every_built_in_has_a_good_spec_where_each_of_its_rules_passes() -> None:
    """Alone, with the core, or with all others: whichever its good spec is made for.

    A rule that always leaves the matter to the authority has done its part when it asks.
    """
    lacking = set()
    for plugin in HOST.plugins:
        others = tuple(p.name for p in HOST.plugins if p.name not in ("core", plugin.name))
        rules = {p.id for p in plugin.passes if isinstance(p.facts, RuleFacts)}
        specs = [plugin.name, *MORE_SPECS.get(plugin.name, ())]
        for spec in (ROOT / "tests" / "rules" / f"{name}.yaml" for name in specs):
            if spec.is_file():
                for made in (checked(spec, block=others), result(spec)):
                    rules -= {r.id for r in made.rules if r.status in ("passed", "stated", "authority to decide")}
        lacking |= rules
    assert lacking == set()


def test_every_rule_of_the_built_ins_is_expected_in_some_bad_spec() -> None:
    """Each rule's name stands in a test of its plugin's rules; those tests hold it to a line."""
    texts = [p.read_text(encoding="utf-8") for p in (ROOT / "tests" / "rules").glob("test_*.py")]
    rules = [(h.pass_.id, h.pass_.id.partition(".")[2]) for h in HOST.passes if h.pass_.kind == "rule"]
    assert {id for id, short in rules if not any(f'"{id}"' in t or f'"{short}"' in t for t in texts)} == set()
