"""Running passes: isolation from crashes and nonsense, refused values, weather cases, statuses."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from specc.model.result import Result
from specc.testing import plugin_file, project, result_of, status_of

SAMPLE = Path(__file__).parent / "samples" / "garden.yaml"
# Where how a pass ends is tried in many ways, one built-in beside it shows that the others are left as they are.
MOST = ("control", "extinguishers", "flame", "fuel", "materials", "operators", "site", "structure")
# Where the pass is tried by itself, nothing else is asked for.
RULE, FIGURE = ("rule club.r",), ("figure club.f",)

HEAD = """
from specc import *
from specc import (CHOICE, Answer, Bullets, Cannot, Case, Caution, Citation, Column, Constant, Equation, Fact, Figure,
    Gathered, Heading, Key, Para, Quantity, Row, Symbol, Table, Trouble, Verdict, Worked, authority_decides, drawn,
    figure, figures, found, gather, hookimpl, not_applicable, not_checked, passed, rule, section, table, value)
from specc.drawing.shapes import Drawing, Sheet, Line
from specc.kinds.packet import SUMMARY_FACTS
from specc.kinds.plumbing import NETWORK
from specc.kinds.weather import CASES
SPECC_CONTRACT = 2
SAID = Equation((("", "m = m_1"),), (Symbol("m", "mass", "gas"), Symbol("m_1", "mass", "gas")), (CHOICE,))
def worked(si=1.0, dim="mass"):
    return Worked(si, dim, SAID, (("m_1", Constant(1.0, "mass", "1 kg", CHOICE)),))
"""
TAIL = "\n@hookimpl\ndef specc_passes(): return [f]\n"

KINDS = {
    "value": "@value(Key('club.v', int))",
    "value by case": "@value(Key('club.v', int), per_case=True)",
    "gather": "@gather(SUMMARY_FACTS)",
    "figure": "@figure(Key('club.f', Figure), title='t', unit='lb')",
    "figure by case": "@figure(Key('club.f', Figure), title='t', unit='lb', per_case=True)",
    "figures": "@figures(Key('club.f', dict), title='t of {tag}', unit='lb')",
    "rule": "@rule('club.r', level='error', statement='s', source=CHOICE)",
    "table": "@table('club.t', title='t')",
    "drawing": "@drawn('club.d', title='t')",
    "section": "@section('club', title='t', order=90)",
}


@cache
def alone(block: tuple[str, ...]) -> Result:
    """The sample without any plugin but the built-ins."""
    return result_of(SAMPLE, block=block)


def run(
    tmp_path: Path, kind: str, body: str, extra: str = "", block: tuple[str, ...] = (), only: tuple[str, ...] = ()
) -> Result:
    """The sample with a plugin of one pass, and a rule that needs a value's key, so that it is asked for."""
    text = HEAD + f"{KINDS[kind]}\ndef f(ctx):\n    {body}\n" + extra
    if kind.startswith("value"):
        text += (
            "@rule('club.reader', level='error', statement='s', source=CHOICE, needs=(Key('club.v', int),))\n"
            "def reader(ctx): return passed(str(ctx.all(Key('club.v', int))))\n"
            "@hookimpl\ndef specc_passes(): return [f, reader]\n"
        )
    else:
        text += TAIL
    return result_of(SAMPLE, plugins=(plugin_file(tmp_path, "club", text),), block=block, only=only)


def costs_only_itself(result: Result, says: str = "") -> None:
    crashes = [f for f in result.findings if f.rule.startswith("plugin.")]
    assert [(f.rule, f.plugin) for f in crashes] == [("plugin.crash", "club")], result.findings
    assert "club" in crashes[0].message
    assert says in crashes[0].message
    assert result.exit_code == 3
    assert [s for s in result.sections if s.plugin != "club"] == list(alone(MOST).sections)
    assert [r for r in result.rules if r.plugin != "club"] == list(alone(MOST).rules)
    assert not [f for f in result.figures if f.key.startswith("club")]
    assert "club.t" not in dict(result.tables)
    assert "club.d" not in dict(result.drawings)
    assert [bool(p.trouble) for p in result.plugins if p.name == "club"] == [True]


FAILS = {
    "raise ZeroDivisionError('by nothing')": "ZeroDivisionError: by nothing",
    "import sys; sys.exit(0)": "SystemExit",
    "f(ctx)": "",
    "raise GeneratorExit": "GeneratorExit",
    "assert False": "AssertionError",
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("body", FAILS)
def test_a_pass_that_fails(tmp_path: Path, kind: str, body: str) -> None:
    result = run(tmp_path, kind, body, block=MOST)
    costs_only_itself(result, FAILS[body])
    if kind == "rule":
        assert status_of(result, "club.r") == "crashed"
    if kind.startswith("value"):
        assert status_of(result, "club.reader") == "blocked"


NONSENSE = {
    "value": ("None", "'five'", "1.5"),
    "value by case": ("None", "'five'"),
    "gather": ("None", "5", "'text'", "[5]", "[Fact('first', 'v', 'l')]", "[Fact(1, 5, 'l')]", "[Para('t')]"),
    "figure": (
        "None", "5.0", "Answer(5.0)", "worked('5')", "worked(float('nan'))", "worked(float('inf'))",
        "worked(1.0, 'weight')", "worked(1.0, 'length')", "worked()._replace(equation='m = 1')",
        "worked()._replace(inputs=(('m_1', 5),))", "worked()._replace(inputs=[('m_1', worked())])",
    ),
    "figure by case": ("None", "worked(float('nan')) if ctx.case.name == 'high' else worked()",
                       "worked(1.0, 'length' if ctx.case.name == 'high' else 'mass')"),
    "figures": ("None", "[worked()]", "{5: worked()}", "{'a': 5.0}", "{'a': worked(float('nan'))}", "worked()"),
    "rule": (
        "None", "True", "[]", "Verdict('fine')", "Verdict('found')", "Verdict('passed', 5)",
        "Verdict('passed', '', (Trouble('', 'm'),))", "Verdict('blocked')", "Verdict('waived')",
        "found([5])", "found([Trouble(5, 'm')])", "found([Trouble('', 5)])", "found([Trouble('', 'm', level='fatal')])",
    ),
    "table": (
        "None", "[]", "Table('', '', (Column('a'),), (Row(('1', '2')),))",
        "Table('', '', (Column('a'),), (Row((1,)),))",
        "Table('', '', ('a',), ())", "Table('', '', [Column('a')], ())", "Table('', 5, (), ())",
    ),
    "drawing": (
        "None", "Drawing('', '', 'sketch', ())", "Drawing('', '', 'schematic', (Sheet(1.0, 1.0, ('line',)),))",
        "Drawing('', '', 'schematic', (Sheet(1.0, float('nan'), ()),))",
        "Drawing('', '', 'schematic', (Sheet(1.0, 1.0, (Line(((0.0,), (1.0,))),)),))",
    ),
    "section": (
        "None", "'text'", "[5]", "['text']", "[Para(5)]", "[Para(None)]", "[Bullets('abc')]", "[Bullets((1,))]",
        "[Heading('h', 5)]", "[Para('t', citations=('x',))]", "{'a': Para('t')}",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("kind", "given"), [(k, g) for k, gs in NONSENSE.items() for g in gs])
def test_a_pass_that_gives_nonsense(tmp_path: Path, kind: str, given: str) -> None:
    costs_only_itself(run(tmp_path, kind, f"return {given}", block=MOST))


SOUND = {
    "value": "5",
    "value by case": "5",
    "gather": "[Fact(1, 'v', 'l')]",
    "figure": "worked()",
    "figure by case": "worked()",
    "figures": "{'a': worked(), 'b': worked(2.0)}",
    "rule": "passed('all')",
    "table": "Table('', '', (Column('a'),), (Row(('1',)),))",
    "drawing": "Drawing('', '', 'schematic', (Sheet(10.0, 10, (Line(((0, 0.0), (1.0, 1.0))),)),))",
    "section": "(Para('t'), Bullets(('a', 'b')))",
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_pass_that_gives_what_it_should(tmp_path: Path, kind: str) -> None:
    result = run(tmp_path, kind, f"return {SOUND[kind]}")
    assert (result.findings, result.exit_code) == ((), 0)


# What a pass did not declare it does not see


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ("return passed(str(ctx[NETWORK]))", "plumbing.network"),
        ("return passed(str(ctx.get(NETWORK)))", "plumbing.network"),
        ("return passed(str(ctx.all(CASES)))", "core.weather_cases"),
        ("return passed(str(ctx.spec('event')))", "'event'"),
        ("return passed(str(ctx.case))", "per_case"),
        ("return passed(str(ctx.limit('club.nothing')))", "club.nothing"),
    ],
)
def test_what_is_not_declared_is_not_handed_out(tmp_path: Path, body: str, says: str) -> None:
    result = run(tmp_path, "rule", body, block=MOST)
    costs_only_itself(result, says)
    assert status_of(result, "club.r") == "crashed"


# How a rule can end


@pytest.mark.parametrize(
    ("verdict", "status"),
    [
        ("passed('all')", "passed"),
        ("found([])", "passed"),
        ("not_applicable('none here')", "not applicable"),
        ("not_checked('a person has to look')", "not checked"),
        ("authority_decides('may it stand here?')", "authority to decide"),
        ("found([Trouble('/project/title', 'm')])", "failed"),
    ],
)
def test_statuses(tmp_path: Path, verdict: str, status: str) -> None:
    result = run(tmp_path, "rule", f"return {verdict}", only=RULE)
    assert status_of(result, "club.r") == status
    assert result.exit_code == (1 if status == "failed" else 0)


def test_a_rule_from_memory_never_simply_passed(tmp_path: Path) -> None:
    text = HEAD + (
        "@rule('club.r', level='error', statement='s', source=Citation('nfpa-10', 'x', 'memory'))\n"
        "def f(ctx): return passed('all')\n" + TAIL
    )
    result = result_of(SAMPLE, plugins=(plugin_file(tmp_path, "club", text),), only=RULE)
    assert [r.words for r in result.rules if r.id == "club.r"] == ["passed, source not verified"]


@pytest.mark.parametrize(
    ("reads", "own", "words"),
    [
        ("ctx.limit('club.most')", "", "passed, source not verified"),
        ("None", "", "passed"),
        ("ctx.limit('club.most')", "  club.most: {value: 2 ft, who: county}\n", "passed"),
    ],
)
def test_a_limit_from_memory_never_simply_passes_either(tmp_path: Path, reads: str, own: str, words: str) -> None:
    text = HEAD + (
        "MOST = Limit('club.most', '3 ft', 'length', 'min', 'x', Citation('nfpa-10', 'x', 'memory'))\n"
        "@rule('club.r', level='error', statement='s', source=CHOICE, limits=('club.most',))\n"
        f"def f(ctx):\n    {reads}\n    return passed('all')\n"
        "@hookimpl\ndef specc_passes(): return [MOST, f]\n"
    )
    spec = tmp_path / "project.yaml"
    spec.write_text(SAMPLE.read_text(encoding="utf-8").replace("limits:\n", "limits:\n" + own), encoding="utf-8")
    result = result_of(spec, plugins=(plugin_file(tmp_path, "club", text),), only=RULE)
    (ended,) = [r for r in result.rules if r.id == "club.r"]
    assert (ended.status, ended.words) == ("passed", words)


@pytest.mark.parametrize(
    ("read", "remembered", "words"),
    [
        ("gas", "number", "passed, source not verified"),
        ("gas", "equation", "passed, source not verified"),
        ("gas", "nothing", "passed"),
        ("None", "number", "passed"),
    ],
)
def test_a_figure_that_rests_on_memory_never_simply_passes(
    tmp_path: Path, read: str, remembered: str, words: str
) -> None:
    """At one remove: what the figure's own input was worked out from."""
    number, law = (
        f"Citation('nfpa-10', 'x', '{'memory' if remembered == what else 'read'}')" for what in ("number", "equation")
    )
    text = HEAD + (
        "from specc import Equation, Symbol, Worked\n"
        "M, SUM = Symbol('m', 'mass', 'mass'), Symbol('s', 'mass', 'mass')\n"
        f"LAW = Equation((('', 's = m'),), (M, SUM), ({law},))\n"
        "OURS = Equation((('', 's = m'),), (M, SUM), (Citation('nfpa-10', 'y', 'read'),))\n"
        "GAS = Key('club.f', Figure)\n"
        "@figure(GAS, title='t', unit='lb')\n"
        "def f(ctx):\n"
        f"    inner = Worked(1.0, 'mass', LAW, (('m', Constant(1.0, 'mass', '1 kg', {number})),))\n"
        "    return Worked(1.0, 'mass', OURS, (('m', inner),))\n"
        "@rule('club.r', level='error', statement='s', source=CHOICE, wants=(GAS,))\n"
        f"def r(ctx):\n    {'ctx[GAS]' if read == 'gas' else 'None'}\n    return passed('all')\n"
        "@hookimpl\ndef specc_passes(): return [f, r]\n"
    )
    result = result_of(SAMPLE, plugins=(plugin_file(tmp_path, "club", text),), only=RULE)
    assert [(r.status, r.words) for r in result.rules if r.id == "club.r"] == [("passed", words)]


@pytest.mark.parametrize(
    ("behind", "words"),
    [
        ("@value(TOLD, recalls=(OLD,))\ndef v(ctx): return 1.0\n", "passed, source not verified"),
        ("@value(TOLD, recalls=(READ,))\ndef v(ctx): return 1.0\n", "passed"),
        ("@value(TOLD, limits=('club.most',))\ndef v(ctx): return ctx.limit('club.most').si\n",
         "passed, source not verified"),
        ("@value(TOLD, limits=('club.most',))\ndef v(ctx): return 1.0\n", "passed"),
        ("@value(TOLD, needs=(GAS,))\ndef v(ctx): return ctx[GAS].si\n", "passed, source not verified"),
        ("@value(FIRST, limits=('club.most',), per_case=True)\ndef u(ctx):\n"
         "    return ctx.limit('club.most').si if ctx.case.name == 'low' else 1.0\n"
         "@value(TOLD, needs=(FIRST,))\ndef v(ctx): return max(ctx.all(FIRST).values())\n",
         "passed, source not verified"),
    ],
)  # fmt: skip
def test_what_a_shared_value_recalls_is_told_of_each_rule_that_reads_it(
    tmp_path: Path, behind: str, words: str
) -> None:
    text = HEAD + (
        "from specc import Equation, Symbol, Worked, value\n"
        "OLD, READ = Citation('nfpa-10', 'x', 'memory'), Citation('nfpa-10', 'x', 'read')\n"
        "MOST = Limit('club.most', '3 ft', 'length', 'min', 'x', OLD)\n"
        "TOLD, FIRST, GAS = Key('club.told', float), Key('club.first', float), Key('club.f', Figure)\n"
        "LAW = Equation((('', 's = m'),), (Symbol('m', 'mass', 'm'), Symbol('s', 'mass', 's')), (OLD,))\n"
        "@figure(GAS, title='t', unit='lb')\n"
        "def f(ctx): return Worked(1.0, 'mass', LAW, (('m', Constant(1.0, 'mass', '1 kg', READ)),))\n"
        + behind
        + "@rule('club.r', level='error', statement='s', source=CHOICE, needs=(TOLD,))\n"
        "def r(ctx):\n    ctx[TOLD]\n    return passed('all')\n"
        "@hookimpl\ndef specc_passes(): return [MOST, f, v, r] + ([u] if 'u' in globals() else [])\n"
    )
    result = result_of(SAMPLE, plugins=(plugin_file(tmp_path, "club", text),), only=RULE)
    assert [(r.status, r.words) for r in result.rules if r.id == "club.r"] == [("passed", words)]


@pytest.mark.parametrize("level", ["error", "warning", "note"])
def test_a_findings_level_and_place_come_from_the_rule(tmp_path: Path, level: str) -> None:
    result = run(tmp_path, "rule", f"return found([Trouble('/project/title', 'm', level={level!r})])", only=RULE)
    (found,) = result.findings
    assert (found.rule, found.level, found.plugin) == ("club.r", level, "club")
    line = SAMPLE.read_text(encoding="utf-8").splitlines()[found.place.line - 1]
    assert line[found.place.column - 1 :] == "Garden Brazier"
    assert result.exit_code == (1 if level == "error" else 0)


def test_what_cannot_be_computed_is_a_finding_not_a_failure(tmp_path: Path) -> None:
    result = run(tmp_path, "figure", "raise Cannot('no honest number', '/event/elevation', 'say more')", only=FIGURE)
    (found,) = result.findings
    assert (found.rule, found.level, found.fix) == ("club.f", "error", "say more")
    assert result.exit_code == 1
    assert result.figure("club.f") is None


# Weather cases


def test_a_pass_by_case_is_called_for_each_and_the_worst_governs(tmp_path: Path) -> None:
    body = "return worked({'low': 3.0, 'usual': 1.0, 'high': 2.0}[ctx.case.name])"
    result = run(tmp_path, "figure by case", body, only=FIGURE)
    figure = result.figure("club.f")
    assert figure is not None
    assert [(c.case, c.worked.si) for c in figure.cases] == [("low", 3.0), ("usual", 1.0), ("high", 2.0)]
    assert (figure.case, figure.si) == ("low", 3.0)


def test_the_smallest_governs_where_small_is_worst(tmp_path: Path) -> None:
    text = HEAD + (
        "@figure(Key('club.f', Figure), title='t', unit='lb', per_case=True, worst='min')\n"
        "def f(ctx): return worked(ctx.case.air.si)\n" + TAIL
    )
    figure = result_of(SAMPLE, plugins=(plugin_file(tmp_path, "club", text),), only=FIGURE).figure("club.f")
    assert figure is not None
    assert figure.case == "low"


def test_a_figure_that_the_weather_leaves_alone_has_no_case(tmp_path: Path) -> None:
    figure = run(tmp_path, "figure by case", "return worked()", only=FIGURE).figure("club.f")
    assert figure is not None
    assert [c.case for c in figure.cases] == [""]


# Refused values stop only the passes that read them


def test_a_refused_value_blocks_only_its_readers(tmp_path: Path) -> None:
    """The usual wind plays no part in the figures of the gas, which are as ever."""
    spec = project(tmp_path, SAMPLE, ("usual: 5 mph", "usual: 5 psi"))
    before, result = alone(()), result_of(spec)
    (found,) = result.findings
    assert (found.rule, found.at) == ("spec.quantity", "/weather/wind/usual")
    assert result.exit_code == 1
    kept = [(f.key, f.si) for f in result.figures]
    assert [(f.key, f.si) for f in before.figures if not f.key.startswith("flame.")] == [
        (key, si) for key, si in kept if not key.startswith("flame.")
    ]
    # How flames lean and how hard wind pushes rest on it: what needs that is blocked, and everything else stands.
    stood = {r.id: r.status for r in before.rules}
    changed = {r.id: r.status for r in result.rules if r.status != stood[r.id]}
    assert set(changed.values()) == {"blocked"}
    assert {"core.wind_stated", "flame.holds_in_wind"} <= changed.keys()
    assert {rule.partition(".")[0] for rule in changed} <= {"core", "flame", "structure"}
    assert [s.id for s in result.sections] == [s.id for s in before.sections]


def test_what_reads_the_refused_value_is_blocked_and_says_why(tmp_path: Path) -> None:
    result = result_of(project(tmp_path, SAMPLE, ("bore: 0.028 in", "bore: 0.028 psi")))
    assert [f.rule for f in result.findings] == ["spec.quantity"]
    assert result.figure("fuel.flow.ring") is None
    assert result.figure("fuel.gas_on_site") is not None
    assert result.figure("fuel.cylinder_pressure_highest") is not None
    statuses = {r.id: r.status for r in result.rules}
    # All that rests on a flow, and nothing else; bursts too, though there is none: what they need was not had.
    on_flow = ("boil_off", "enough_gas", "enough_together", "even_jets", "line_capacity", "line_speed", "losses_known")
    for rule in (
        *on_flow,
        "regulators_hold",
        "supply_holds",
        "bursts_strong",
        "burst_ready",
        "down_to_reserve",
        "rated_for_failure",
        "no_more_than_needed",
        "regulator_capacity",
        "connection_flow",
        "excess_flow",
        "purge_wait_enough",
    ):
        assert statuses.pop(f"fuel.{rule}") == "blocked"
    assert statuses.pop("plumbing.plausible") == "blocked"  # it reads the refused bore itself
    for rule in ("test_pressure", "gauge_reads"):  # they want a pressure that rests on a flow
        assert statuses.pop(f"plumbing.{rule}") == "not checked"
    for rule in ("pilot_proved", "valve_fits", "holds_back"):  # they want a heat, and pressures
        assert statuses.pop(f"control.{rule}") == "not checked"
    for rule in ("start_up_fits", "shut_down_fits"):  # they want the steps, and these the gas in the lines
        assert statuses.pop(f"operators.{rule}") == "not checked"
    before = {r.id: r.status for r in alone(()).rules}
    flames = [rule for rule in statuses if rule.startswith("flame.")]
    blocked = {rule for rule in flames if statuses.pop(rule) != before[rule]}
    # Without a flow no flame is known; what is not said of the site is not checked as before.
    assert {r.status for r in result.rules if r.id in blocked} == {"blocked"}
    assert {"flame.aim", "flame.gas_parts", "flame.valves_reachable", "flame.holds_in_wind"} <= blocked
    assert statuses == {id: status for id, status in before.items() if id in statuses}


def test_an_unknown_key_blocks_nothing(tmp_path: Path) -> None:
    spec = project(tmp_path, SAMPLE, ("      length: 15 ft\n", "      length: 15 ft\n      lenght: 16 ft\n"))
    before, result = alone(()), result_of(spec)
    (found,) = result.findings
    assert found.rule == "spec.unknown_key"
    assert [(f.key, f.si) for f in result.figures] == [(f.key, f.si) for f in before.figures]
    assert result.rules == before.rules


def test_a_missing_key_blocks_its_readers(tmp_path: Path) -> None:
    result = result_of(project(tmp_path, SAMPLE, ("  elevation: 420 ft\n", "")))
    assert [f.rule for f in result.findings] == ["spec.missing_key"]
    assert result.figure("core.air_pressure") is None
    assert result.figure("fuel.gas_on_site") is not None
    assert status_of(result, "fuel.rated_for_supply") == "blocked"
    assert status_of(result, "plumbing.connected") == "passed"


@pytest.mark.parametrize(
    ("old", "new", "at"),
    [
        ("discharge: 0.85", "discharge: 8.5", "/plumbing/parts/fo1/discharge"),
        ("bore: 0.028 in", "bore: 0 in", "/plumbing/parts/fo1/bore"),
        (
            "air: {low: 50 degF, usual: 64 degF, high: 86 degF}",
            "air: {low: 50 degF, usual: 64 degF, high: 300 degF}",
            "/weather",
        ),
    ],
)
def test_a_value_outside_a_calculations_range_is_the_specs_fault(tmp_path: Path, old: str, new: str, at: str) -> None:
    result = result_of(project(tmp_path, SAMPLE, (old, new)))
    assert result.exit_code == 1
    assert result.findings
    assert not [f for f in result.findings if f.rule.startswith("plugin.")]
    assert any(f.at.startswith(at) for f in result.findings), result.findings
