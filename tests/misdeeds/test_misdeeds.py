# ruff: noqa: E501
"""Misdeeds of plugins and specs: none leaves a clean packet, and each names the culprit."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from specc.cli import main
from specc.drawing.svg import to_svg
from specc.engine import watch
from specc.model.result import Result
from specc.model.statuses import UNJUDGED
from specc.packet import render, text
from specc.packet.desk import Desk
from specc.packet.questions import to_decide
from specc.testing import plugin_file, project, result_of

SAMPLE = Path(__file__).parents[1] / "samples" / "garden.yaml"
LIMITS = "limits:\n"

HEAD = """
from specc import *
from specc.drawing.shapes import Drawing, Line, Sheet, Text
from specc.kinds.gas import FLOW, CYLINDER_PRESSURE
from specc.kinds.packet import CAUTIONS, DECISIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import SHOW
SPECC_CONTRACT = 2
"""
RULE = "@rule('club.r', level='error', statement='s', source=CHOICE{0})\ndef f(ctx):\n    {1}\n"
FINE = RULE.format("", "return passed('l')")
KINDS = {
    "value": "@value(Key('club.v', int))",
    "gather": "@gather(CAUTIONS)",
    "figure": "@figure(Key('club.f', Figure), title='t', unit='lb')",
    "figures": "@figures(Key('club.f', dict), title='{tag}', unit='lb')",
    "rule": "@rule('club.r', level='error', statement='s', source=CHOICE)",
    "table": "@table('club.t', title='t')",
    "drawing": "@drawn('club.d', title='t')",
    "section": "@section('club', title='t', order=90)",
}
READS = (
    "@rule('club.reads', level='error', statement='s', source=CHOICE, needs=(Key('club.v', int),))\n"
    "def reads(ctx): return passed(str(ctx[Key('club.v', int)]))\n"
)
SHORT = "\ndef shorter(whole, said): {0}\n@hookimpl\ndef specc_short_forms(): return [shorter]\n"
HOOK = "\n@hookimpl\ndef specc_passes(): return [{0}]\n"


@cache
def alone() -> Result:
    return result_of(SAMPLE)


def does(tmp_path: Path, body: str, passes: str = "f", head: str = HEAD) -> Result:
    return result_of(SAMPLE, plugins=(plugin_file(tmp_path, "club", head + body + HOOK.format(passes)),))


def not_clean(result: Result, rule: str, says: str = "club") -> None:
    """A finding names the culprit, the packet is a DRAFT, and what the built-ins judge is as it was."""
    told = [f for f in result.findings if f.rule == rule]
    assert told, [(f.rule, f.message) for f in result.findings]
    assert any(says in f.message or f.plugin == says for f in told), told
    assert result.draft


# Plugins: every kind of pass raises, leaves, or gives something else than its kind does.


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("body", ["raise ZeroDivisionError('zero')", "import sys; sys.exit(0)", "return object()"])
def test_a_pass_of_each_kind_fails(tmp_path: Path, kind: str, body: str) -> None:
    text = f"{KINDS[kind]}\ndef f(ctx):\n    {body}\n" + (READS if kind == "value" else "")
    result = does(tmp_path, text, "f, reads" if kind == "value" else "f")
    not_clean(result, "plugin.crash")
    assert [r for r in result.rules if r.plugin != "club"] == list(alone().rules)


MISDEEDS = {
    "a rule that gives nothing": (RULE.format("", "pass"), "f", "plugin.crash"),
    "a made-up status": (RULE.format("", "return Verdict('splendid')"), "f", "plugin.crash"),
    "claims to be waived": (RULE.format("", "return Verdict('waived', 'l')"), "f", "plugin.crash"),
    "passed, with troubles": (RULE.format("", "return Verdict('passed', '', (Trouble('', 'm'),))"), "f", "plugin.crash"),
    "the old word": (RULE.format("", "return Verdict('found', '', (Trouble('', 'm'),))"), "f", "plugin.crash"),
    "an undeclared key": (RULE.format("", "return passed(str(ctx[SHOW]))"), "f", "plugin.crash"),
    "an undeclared root": (RULE.format("", "return passed(ctx.spec('event').text('name'))"), "f", "plugin.crash"),
    "an undeclared limit": (RULE.format("", "return passed(ctx.limit('fuel.reserve').text)"), "f", "plugin.crash"),
    "a limit nobody has": (RULE.format(", limits=('club.no',)", "return passed(ctx.limit('club.no').text)"), "f", "plugin.crash"),
    "a built-in's rule id": (FINE.replace("club.r", "fuel.regulated"), "f", "plugin.foreign_id"),
    "a rule among a built-in's": (FINE.replace("club.r", "fuel.mine"), "f", "plugin.foreign_id"),
    "a built-in's section": ("@section('fuel', title='t', order=1)\ndef f(ctx): return []\n", "f", "plugin.foreign_id"),
    "a built-in's key": ("@value(NETWORK)\ndef f(ctx): return None\n", "f", "plugin.foreign_id"),
    "a built-in's limit": ("f = Limit('fuel.reserve', '1 %', 'ratio', 'max', 's', CHOICE)\n", "f", "plugin.foreign_id"),
    "two rules of one id": (FINE + FINE.replace("def f", "def g"), "f, g", "plugin.same_id"),
    "a mistyped want": (RULE.format(", wants=(Key('core.shwo', int),)", "return passed('l')"), "f", "plugin.unknown_key"),
    "adds to a mistyped key": ("@gather(Gathered('packet.cautoins', Caution))\ndef f(ctx): return []\n", "f", "plugin.unknown_key"),
    "needs what nobody gives": (RULE.format(", needs=(Key('club.no', int),)", "return passed('l')"), "f", "plugin.missing_key"),
    "needs itself": ("@value(Key('club.v', int), needs=(Key('club.v', int),))\ndef f(ctx): return 1\n" + READS, "f, reads", "plugin.cycle"),
    "a pointer that is none": (RULE.format("", "return found([Trouble('no pointer ~ at all', 'bad')])"), "f", "club.r"),
    "empties a mapping": (RULE.format(", needs=(FLOW,)", "ctx[FLOW].clear(); return passed('l')"), "f", "plugin.crash"),
    "changes a mapping": (RULE.format(", needs=(FLOW,)", "ctx[FLOW]['x'] = 1; return passed('l')"), "f", "plugin.crash"),
    "changes a part": (RULE.format(", needs=(NETWORK,)", "ctx[NETWORK].parts = (); return passed('l')"), "f", "plugin.crash"),
    "a row too short": ("@table('club.t', title='t')\ndef f(ctx): return Table('', '', (Column('a'),), (Row(()),))\n", "f", "plugin.crash"),
    "a figure that is not a number": (
        "@figure(Key('club.f', Figure), title='t')\ndef f(ctx): return float('nan')\n", "f", "plugin.crash"),
    "changes what is inside a record": (
        RULE.format(", needs=(NETWORK,)", "ctx[NETWORK].by_tag.clear(); return passed('l')"), "f", "plugin.crash"),
    "changes a list of the spec for its own sake": (
        RULE.format(", reads=('event',)", "ctx.spec('event')['dates'].clear(); return authority_decides('club asks')")
        + RULE.format("", "return 1").replace("club.r", "club.s").replace("def f", "def g"), "f, g", "plugin.crash"),
    "draws off the sheet": (
        "@drawn('club.d', title='t')\ndef f(ctx):\n"
        "    return Drawing('', '', 'schematic', (Sheet(50, 50, (Line(((0, 0), (900, 10))),)),))\n", "f", "plugin.off_sheet"),
    "writes off the sheet": (
        "@drawn('club.d', title='t')\ndef f(ctx):\n"
        "    return Drawing('', '', 'to_scale', (Sheet(50, 50, (Text(-40, 60, 'all is well'),)),))\n", "f", "plugin.off_sheet"),
    "writes more than a sheet is wide": (
        "@drawn('club.d', title='t')\ndef f(ctx):\n"
        "    return Drawing('', '', 'schematic', (Sheet(50, 50, (Text(1, 6, 'all is well ' * 20),)),))\n", "f", "plugin.off_sheet"),
    "a flood of cautions": (
        "@gather(CAUTIONS)\ndef f(ctx): return [Caution(1, 't', CHOICE)] * 20001\n", "f", "plugin.crash"),
    "a flood of rows": (
        "@table('club.t', title='t')\ndef f(ctx): return Table('', '', (Column('a'),), (Row(('a',)),) * 20001)\n", "f", "plugin.crash"),
    "a flood of shapes": (
        "@drawn('club.d', title='t')\ndef f(ctx):\n"
        "    return Drawing('', '', 'schematic', (Sheet(50, 50, (Line(((0, 0), (1, 1))),) * 200001),))\n", "f", "plugin.crash"),
    "a flood of findings": (RULE.format("", "return found([Trouble('', 'm')] * 20001)"), "f", "plugin.crash"),
    "a hook that gives without end": (
        FINE + "\n@hookimpl\ndef specc_references():\n    import itertools\n    return itertools.count()\n", "f", "plugin.hook_failed"),
    "a short form that leaves": (
        FINE + "\ndef leaves(whole, said): raise SystemExit(0)\n@hookimpl\ndef specc_short_forms(): return [leaves]\n", "f", "plugin.short_forms"),
    "a schema that the core cannot convert": (
        FINE + "\n@hookimpl\ndef specc_schema(): return {'club': {'anyOf': [{'x-dimension': 'length'}, {'type': 'null'}]}}\n", "f", "plugin.schema"),
    "gives no list": ("@gather(CAUTIONS)\ndef f(ctx): return 5\n", "f", "plugin.crash"),
    "a forgotten list": (FINE + "\n@hookimpl\ndef specc_references(): return None\n", "f", "plugin.hook_failed"),
    "nonsense from a hook": (FINE, "f, 5", "plugin.nonsense"),
    "a misspelt hook": (FINE + "\n@hookimpl\ndef specc_pases(): return []\n", "f", "plugin.hook"),
    "reads a mistyped root": (
        RULE.format(", reads=('plumbin',)", "return passed(str(ctx.spec('plumbin').has('parts')))"), "f", "plugin.unknown_key"),
    "rests on a mistyped property": (RULE.format(", rests_on=('plumbing.raitng',)", "return passed('l')"), "f", "plugin.unknown_key"),
    "rests on a date of a mistyped root": (RULE.format(", dated=('plumbin.tested',)", "return passed('l')"), "f", "plugin.unknown_key"),
    "empties what others gather": (
        "@gather(Gathered('club.g', dict))\ndef g(ctx): return [{'a': 1}]\n"
        + RULE.format(", needs=(Gathered('club.g', dict),)", "ctx[Gathered('club.g', dict)][0].clear(); return passed('l')"),
        "g, f", "plugin.crash"),
    "a short form that betters a rating": (FINE + SHORT.format(
        "\n    for _, part in whole.child('plumbing').child('parts').children():"
        "\n        if part.has('rating'): part.put('rating', '9000 psi', part.child('rating').spot)"), "f", "plugin.short_forms"),
    "a short form that sets a limit": (FINE + SHORT.format(
        "whole.data['limits'] = {'fuel.reserve': {'value': '1 %', 'who': 'club'}}"), "f", "plugin.short_forms"),
    "a short form that takes a rating away": (FINE + SHORT.format(
        "\n    part = whole.child('plumbing').child('parts').child('h1'); below = part.child('rating'); part.drop('rating')"
        "\n    whole.put('club', {'r': below.data}, spot_for({'r': below.data}, below.place))")
        + "\n@hookimpl\ndef specc_schema(): return {'club': {'type': 'object'}}\n", "f", "plugin.short_forms"),
    "a verb of specc's own name": (
        FINE + "\n@hookimpl\ndef specc_verbs(): return [Verb('check', 'h', (), print)]\n", "f", "plugin.same_id"),
    "a calculator of a built-in's name": (
        FINE + "\nfrom specc_fuel.calc.orifice import bore_for_heat\n@hookimpl\ndef specc_calculators(): return [bore_for_heat]\n",
        "f", "plugin.same_id"),
    "draws a line of no points": (
        "@drawn('club.d', title='t')\ndef f(ctx): return Drawing('', '', 'schematic', (Sheet(50, 50, (Line(()),)),))\n", "f", "plugin.crash"),
    "another's root": (FINE + "\n@hookimpl\ndef specc_schema(): return {'plumbing': {'type': 'object'}}\n", "f", "plugin.contested_root"),
}  # fmt: skip


@pytest.mark.parametrize("misdeed", MISDEEDS)
def test_a_plugin_that(tmp_path: Path, misdeed: str) -> None:
    body, passes, rule = MISDEEDS[misdeed]
    result = does(tmp_path, body, passes)
    not_clean(result, rule)
    own = {r.id for r in alone().rules}
    if rule != "plugin.short_forms":  # which changes what is judged, and is found
        assert [r for r in result.rules if r.id in own] == list(alone().rules)


HEADS = {
    "no contract": ("SPECC_CONTRACT = 2", "", "plugin.contract", "states no contract"),
    "a newer contract": ("SPECC_CONTRACT = 2", "SPECC_CONTRACT = 9", "plugin.contract", "newer than this specc"),
    "an import that is not there": ("SPECC_CONTRACT = 2", "import nothing_like_it", "plugin.import", "nothing_like_it"),
    "leaves at once": ("SPECC_CONTRACT = 2", "raise SystemExit(0)", "plugin.import", "club.py:"),
    "no Python": ("SPECC_CONTRACT = 2", "this is: not Python (", "plugin.import", "SyntaxError"),
}


@pytest.mark.parametrize("misdeed", HEADS)
def test_a_plugin_with(tmp_path: Path, misdeed: str) -> None:
    old, new, rule, says = HEADS[misdeed]
    result = does(tmp_path, FINE, head=HEAD.replace(old, new))
    not_clean(result, rule)
    assert says in next(f.message for f in result.findings if f.rule == rule)
    assert result.exit_code == 3


def test_a_plugin_file_that_is_not_there(tmp_path: Path) -> None:
    result = result_of(SAMPLE, plugins=(str(tmp_path / "club.py"),))
    not_clean(result, "plugin.absent")
    assert result.exit_code == 1


def test_a_flood_of_facts_stays_behind_the_built_ins(tmp_path: Path) -> None:
    body = "@gather(SUMMARY_FACTS)\ndef f(ctx): return [Fact(-n, str(n), 'all is well') for n in range(200)]\n"
    result = does(tmp_path, body)
    items = result.items("packet.summary_facts")
    assert [i.plugin for i in items if not i.built_in] == ["club"] * 200
    assert [i.built_in for i in items] == sorted((i.built_in for i in items), reverse=True)
    printed = pages(result, tmp_path)
    assert "club: all is well" in printed
    assert all((f.value if f.slot else f.label) in printed for f in alone().summary_facts)  # type: ignore[attr-defined]


def test_a_flood_of_questions_stays_behind_the_built_ins(tmp_path: Path) -> None:
    body = (
        "@gather(DECISIONS)\ndef f(ctx): return [f'grant it, {n}' for n in range(50)]\n"
        + RULE.format("", "return authority_decides('wave it through')").replace("def f", "def g")
    )  # fmt: skip
    result = does(tmp_path, body, "f, g")
    asked = to_decide(Desk(result, False))
    before = to_decide(Desk(alone(), False))
    assert asked[: len(before)] == before
    assert {text for text, _ in asked[len(before) :]} == {
        "wave it through",
        *(f"club: grant it, {n}" for n in range(50)),
    }


def test_what_a_third_party_adds_carries_its_name(tmp_path: Path) -> None:
    body = (
        "@table('club.t', title='Our table')\n"
        "def t(ctx): return Table('', '', (Column('a'),), (Row(('b',)),))\n"
        "@drawn('club.d', title='Our drawing')\n"
        "def d(ctx): return Drawing('', '', 'schematic', (Sheet(50, 50, (Line(((0, 0), (9, 10))),)),))\n"
        "@section('club', title='Ours', order=90)\n"
        "def s(ctx): return [TableBlock('club.t'), DrawingBlock('club.d')]\n"
        "@gather(CAUTIONS)\ndef c(ctx): return [Caution(-9, 'no caution is needed', CHOICE)]\n"
        "@gather(MODEL_LIMITS)\ndef m(ctx): return [ModelLimit(-9, 'Everything', 'is covered')]\n"
    )
    printed = pages(does(tmp_path, body, "t, d, s, c, m"), tmp_path)
    for words in ("Our table (plugin club)", "Our drawing (plugin club)", "Ours (plugin club)"):
        assert words in printed
    assert "club: no caution is needed" in printed
    assert "club: Everything" in printed


def test_a_third_party_s_steps_and_answers_of_page_one_carry_its_name(tmp_path: Path) -> None:
    body = (
        "from specc.kinds.procedures import CHECKS, STEPS, Check, Step\n"
        "@gather(STEPS)\ndef s(ctx): return [Step(-9, 'start', 'Skip the leak test')]\n"
        "@gather(CHECKS)\ndef c(ctx): return [Check(-9, 'The wind does not matter')]\n"
        "@gather(SUMMARY_FACTS)\ndef f(ctx): return [Fact(-9, 'A. Marshal', 'approved by', slot='responsible')]\n"
        "@section('club', title='In the summary', order=-9, part='summary')\ndef p(ctx): return [Para('All is well.')]\n"
    )
    printed = pages(does(tmp_path, body, "s, c, f, p"), tmp_path)
    for words in ("Skip the leak test", "The wind does not matter", "A. Marshal"):
        assert f"club: {words}" in printed
        assert printed.count(words) == printed.count(f"club: {words}")
    assert "In the summary (plugin club) All is well." in printed  # with the others: page one takes no sections


SUM = (
    "SUM = Equation((('', 'm = m_1'),), (Symbol('m', 'mass', 'g'), Symbol('m_1', 'mass', 'g')), (CHOICE,))\n"
    "def worked(si): return Worked(si, 'mass', SUM, (('m_1', Constant(si, 'mass', '1 kg', CHOICE)),))\n"
)


def test_a_figure_says_in_which_cases_it_was_not_computed_and_what_was_lost(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    body = SUM + (
        "@figures(Key('club.f', dict), title='Gas of {tag}', unit='lb', per_case=True)\n"
        "def f(ctx): return {} if ctx.case.name == 'high' else {'a': worked(1.0 if ctx.case.name == 'low' else 2.0)}\n"
        "ITEMS = Gathered('club.items', str)\n"
        "@gather(ITEMS)\ndef g(ctx): raise Cannot('nobody weighed it', '/project/title')\n"
        "@figure(Key('club.all', Figure), title='All', unit='lb', needs=(ITEMS,))\ndef w(ctx): return worked(1.0)\n"
        "@section('club', title='Ours', order=90)\n"
        "def s(ctx): return [FigureBlock('club.f.a'), FigureBlock('club.all')]\n"
    )
    printed = pages(does(tmp_path, body, "f, g, w, s"), tmp_path)
    assert "Lacking: not computed in the case high" in printed
    assert "Lacking: club.items of the plugin" in printed
    main(["figures", str(SAMPLE), "--plugin", str(tmp_path / "club.py"), "--format", "json"])
    [made] = json.loads(capsys.readouterr().out)["files"]
    lacks = {f["key"]: f["lacking"] for f in made["figures"] if f["lacking"]}
    assert lacks == {
        "club.f.a": "not computed in the case high",
        "club.all": "club.items of the plugin club (specc_plugin_club.g): nobody weighed it",
    }


def test_what_is_off_the_sheet_is_cut_off_at_its_edge(tmp_path: Path) -> None:
    result = does(tmp_path, *MISDEEDS["draws off the sheet"][:2])
    [drawing] = [d for key, d in result.drawings if key == "club.d"]
    assert drawing.sheets[0].clipped
    assert 'overflow="hidden"' in to_svg(drawing)
    assert not any(s.clipped for _, d in alone().drawings for s in d.sheets)


def test_a_section_that_would_be_first_comes_after_the_built_ins_and_carries_its_name(tmp_path: Path) -> None:
    body = "@section('club', title='All is safe', order=-99)\ndef f(ctx): return [Para('rest assured')]\n"
    printed = pages(does(tmp_path, body), tmp_path)
    assert "All is safe (plugin club)" in printed
    assert printed.rindex("rest assured") > printed.rindex("The whole system")


def test_prints_go_to_standard_error(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    does(tmp_path, RULE.format("", "print('No errors found, approved'); return passed('l')"))
    captured = capsys.readouterr()
    assert "approved" not in captured.out
    assert "approved" in captured.err


def test_a_pass_that_does_not_end_is_named_and_nothing_is_written(tmp_path: Path) -> None:
    plugin = plugin_file(tmp_path, "club", HEAD + RULE.format("", "\n    while True: pass") + HOOK.format("f"))
    code = (
        "import sys; from specc.engine import host, watch; host.find(); watch.TICK = 0.25; watch.start(5); from specc.cli import main;"
        f" sys.exit(main(['compile', {str(SAMPLE)!r}, '-o', {str(tmp_path / 'o.pdf')!r}, '--plugin', {plugin!r}]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=100)
    assert done.returncode == 3
    assert "the rule club.r of the plugin club does not end" in done.stderr
    assert not os.path.exists(tmp_path / "o.pdf")
    assert watch.PATIENCE >= 60


def test_a_pass_that_does_not_end_is_named_where_several_specs_are_checked(tmp_path: Path) -> None:
    # It sleeps, so that two of them leave a processor to the other tests; the one above spins.
    sleeps = "\n    import time\n    while True: time.sleep(0.1)"
    plugin = plugin_file(tmp_path, "club", HEAD + RULE.format("", sleeps) + HOOK.format("f"))
    code = (
        "import sys; from specc.engine import host, watch; host.find(); watch.TICK = 0.25; watch.start(5); from specc.cli import main;"
        f" sys.exit(main(['check', {str(SAMPLE)!r}, {str(SAMPLE)!r}, '--plugin', {plugin!r}]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=200)
    assert done.returncode == 3
    assert done.stderr.count("the rule club.r of the plugin club does not end") == 1


def test_a_verb_and_a_calculator_that_fail_are_named_with_their_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    body = (
        "from specc import Citation, Equation, Symbol, Verb, calculator\nfrom specc.dims import Length\n"
        "E = Equation((('', 'F = d'),), (Symbol('F', 'length', 'f'), Symbol('d', 'length', 'd')), (CHOICE,), '')\n"
        "@calculator('club-sum', E, symbols={'d': 'd'}, result='F')\n"
        "def club_sum(d: Length) -> Length:\n    raise RuntimeError('no sum')\n"
        "def speaks(arguments):\n    print('all is well')\n    return 1 / 0\n"
        "@hookimpl\ndef specc_verbs(): return [Verb('speak', 'h', (), speaks)]\n"
        "@hookimpl\ndef specc_calculators(): return [club_sum]\n"
    )
    plugin = plugin_file(tmp_path, "club", HEAD + body)
    assert main(["speak", "--plugin", plugin]) == 3
    said = capsys.readouterr()
    assert "all is well" not in said.out
    assert "the plugin 'club' failed in the verb speak: ZeroDivisionError: division by zero (club.py:" in said.err
    assert main(["calc", "club-sum", "d=1 in", "--plugin", plugin]) == 3
    said = capsys.readouterr()
    assert "the plugin 'club' failed in the calculator club-sum: RuntimeError: no sum (club.py:" in said.err


# Specs


@pytest.mark.parametrize(
    ("waiver", "rule"),
    [
        ('{rule: fuel.regulated, reason: r, who: "", until: 2030-01-01}', "spec.value"),
        ('{rule: fuel.regulated, reason: " ", who: w, until: 2030-01-01}', "spec.value"),
        ("{rule: fuel.regulated, who: w, until: 2030-01-01}", "spec.missing_key"),
        ("{rule: plugin.crash, reason: r, who: w, until: 2030-01-01}", "waivers.not_waivable"),
        ("{rule: packet.incomplete, reason: r, who: w, until: 2030-01-01}", "waivers.not_waivable"),
        ("{rule: plugin.replaced, reason: r, who: w, until: 2030-01-01}", "waivers.not_waivable"),
        ("{rule: fuel.regulated, reason: r, who: w, until: 2020-01-01}", "waivers.ended"),
    ],
)
def test_a_waiver_that_covers_nothing(tmp_path: Path, waiver: str, rule: str) -> None:
    result = result_of(project(tmp_path, SAMPLE, (LIMITS, f"waivers: {{w1: {waiver}}}\n{LIMITS}")))
    assert rule in {f.rule for f in result.findings if f.level == "error" and not f.waived}
    assert result.draft


def test_a_limit_that_nobody_set_is_said_to_be_nobodys(tmp_path: Path) -> None:
    only = "f = Limit('club.most', '', 'length', 'max', 's', CHOICE)\n" + RULE.format(
        ", limits=('club.most',)", "return passed(ctx.limit('club.most').text)"
    ).replace("def f", "def g")
    plugin = plugin_file(tmp_path, "club", HEAD + only + HOOK.format("f, g"))
    set_by = 'limits: {fuel.reserve: {value: 1 %, who: " "}, club.most: {value: 3 ft, who: " "}}\n'
    text = SAMPLE.read_text(encoding="utf-8")
    spec = project(tmp_path, text[: text.index(LIMITS)] + set_by)
    result = result_of(spec, plugins=(plugin,))
    told = {(f.rule, f.at) for f in result.findings if f.level == "error"}
    assert {("spec.value", "/limits/fuel.reserve/who"), ("spec.value", "/limits/club.most/who")} <= told
    assert {r.status for r in result.rules if r.id == "club.r"} == {"blocked"}
    assert {x.by for x in result.limits if x.key == "fuel.reserve"} == {"the project's spec"}


def test_a_word_without_end_is_not_measured_anew_for_each_of_its_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    measure = text.wide
    monkeypatch.setattr(text, "wide", lambda words, style: asked.append(1) or measure(words, style))
    assert len(text.lines(text.spans("x" * 20_000), 401.0)) > 100
    assert len(asked) < 30 * 20_000


def test_a_rule_that_only_the_authority_waives(tmp_path: Path) -> None:
    body = HEAD + RULE.format(", waived_by='authority'", "return found([Trouble('/project/title', 'bad')])")
    plugin = plugin_file(tmp_path, "club", body + HOOK.format("f"))
    for who, waived in (("the club", False), ("county fire marshal's office, J. Roe", True)):
        text = f'waivers: {{w1: {{rule: club.r, reason: r, who: "{who}", until: 2030-01-01}}}}\n{LIMITS}'
        result = result_of(project(tmp_path, SAMPLE, (LIMITS, text)), plugins=(plugin,))
        assert [bool(f.waived) for f in result.findings if f.rule == "club.r"] == [waived]
        assert ("waivers.not_authority" in {f.rule for f in result.findings}) is not waived


def test_a_waived_error_is_on_the_cover_with_who(tmp_path: Path) -> None:
    body = HEAD + RULE.format("", "return found([Trouble('/project/title', 'the valve leaks')])")
    plugin = plugin_file(tmp_path, "club", body + HOOK.format("f"))
    text = f"waivers: {{w1: {{rule: club.r, reason: it is small, who: A. Person, until: 2030-01-01}}}}\n{LIMITS}"
    result = result_of(project(tmp_path, SAMPLE, (LIMITS, text)), plugins=(plugin,))
    assert result.exit_code == 0
    first = pages(result, tmp_path, last=1)
    assert "Waived error: the valve leaks (club.r). By A. Person, until 2030-01-01: it is small" in first
    left = [rule for rule in result.rules if rule.status in UNJUDGED]
    errors = sum(rule.level == "error" for rule in left)
    said = f"{len(left)} of {len(result.rules)} rules not checked, {errors} of them errors if not so."
    assert said in first


def pages(result: Result, tmp_path: Path, last: int = 0) -> str:
    out = tmp_path / "out.pdf"
    out.write_bytes(render(result))
    words = ["pdftotext", "-layout", *(["-l", str(last)] if last else []), str(out), "-"]
    return " ".join(subprocess.run(words, capture_output=True, check=True).stdout.decode().split())


@pytest.mark.parametrize(
    ("verdict", "word"),
    [
        ("each([1], lambda n: ([Trouble('', 'bad')], []), 'hose', 'none')", "a list"),
        ("each([1], lambda n: 'not looked at', 'hose', 'none')", "a list of them"),
        ("each([1], lambda n: [None], 'hose', 'none')", "nothing"),
        ("each([1], lambda n: [True], 'hose', 'none')", "True"),
    ],
)
def test_what_a_judge_gives_in_another_shape_never_passes(tmp_path: Path, verdict: str, word: str) -> None:
    result = does(tmp_path, RULE.format("", f"return {verdict}"))
    (rule,) = (r for r in result.rules if r.id == "club.r")
    assert rule.status == "crashed"
    (crash,) = (f for f in result.findings if f.rule == "plugin.crash")
    assert word in crash.message
    assert "club.py" in crash.message


def test_a_key_that_is_not_there_is_named_with_what_is(tmp_path: Path) -> None:
    result = does(tmp_path, RULE.format(", reads=('project',)", "return passed(ctx.spec('project').text('titel'))"))
    (crash,) = (f for f in result.findings if f.rule == "plugin.crash")
    assert "'titel' is not at /project; did you mean 'title'?" in crash.message
    result = does(tmp_path, RULE.format(", reads=('project',)", "return passed(ctx.spec('project').text('qqq'))"))
    (crash,) = (f for f in result.findings if f.rule == "plugin.crash")
    assert "it has " in crash.message
    assert "title" in crash.message


def test_a_limit_that_is_nothing_is_told_how_it_is_left_to_the_authority(tmp_path: Path) -> None:
    limit = "L = Limit('club.most', None, 'mass', 'min', 's', CHOICE)\n"
    result = does(tmp_path, limit + FINE, passes="f, L")
    (said,) = (f.message for f in result.findings if f.rule == "plugin.nonsense")
    assert 'the limit club.most without a default: "" says that only the authority sets it' in said


def test_a_verb_whose_arguments_are_no_pairs_is_refused_where_it_is_loaded(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    body = "@hookimpl\ndef specc_verbs(): return [Verb('speak', 'h', ('--loud',), lambda given: 1)]\n"
    plugin = plugin_file(tmp_path, "club", HEAD + "from specc import Verb\n" + FINE + HOOK.format("f") + body)
    result = result_of(SAMPLE, plugins=(plugin,))
    (said,) = (f.message for f in result.findings if f.rule == "plugin.nonsense")
    assert "the verb speak with the argument '--loud': a pair of its name and what it is" in said
    assert main(["speak", "--plugin", plugin]) == 2


def test_a_rule_of_one_file_is_explained_without_examples(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plugin = plugin_file(tmp_path, "club", HEAD + FINE + HOOK.format("f"))
    assert main(["explain", "club.r", "--plugin", plugin]) == 0
    assert "club.r" in capsys.readouterr().out
