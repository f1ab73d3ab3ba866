"""Finding and loading plugins: each trouble is a finding that names the plugin and costs only its own."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from specc.engine.host import find
from specc.engine.road import CHECK, Ask, composed_schema, travel
from specc.engine.shared import mistyped_in_spec
from specc.model.result import Result
from specc.testing import patched, plugin_file, project, result_of, status_of

SAMPLE = Path(__file__).parent / "samples" / "garden.yaml"

GOOD = """
from specc import Para, hookimpl, section

SPECC_CONTRACT = 2

@section("club", title="Club", order=90)
def club(ctx):
    return [Para("words of the club")]

@hookimpl
def specc_passes():
    return [club]
"""


# What `others_stand` looks at, and the club's own section. The whole packet takes more than twice the time.
SOME = (*CHECK, *(f"section {name}" for name in ("description", "plumbing", "fuel", "club")))


def with_plugin(folder: Path, text: str, name: str = "club_things") -> Result:
    return result_of(SAMPLE, plugins=(plugin_file(folder, name, text),), only=SOME)


def trouble(result: Result, rule: str, plugin: str = "club_things") -> str:
    """The message of the one finding; it has to be an error that names the plugin, with exit code 3."""
    found = [f for f in result.findings if f.rule.startswith("plugin.")]
    assert [f.rule for f in found] == [rule], found
    assert found[0].level == "error"
    assert plugin in found[0].plugin
    assert plugin in found[0].message
    assert result.exit_code == 3
    assert result.draft
    return found[0].message


def others_stand(result: Result) -> None:
    """The built-ins' sections, figures and rules are as whole as ever."""
    assert {"description", "plumbing", "fuel"} <= {s.id for s in result.sections}
    assert result.figure("fuel.gas_on_site") is not None
    assert status_of(result, "plumbing.known_parts") == "passed"


AGAIN = """
from specc import *
SPECC_CONTRACT = 2
@rule('club.says', level='error', statement='s', source=CHOICE)
def f(ctx): return passed('{}')
@hookimpl
def specc_passes(): return [f]
"""


def test_a_plugin_of_one_file_runs(tmp_path: Path) -> None:
    result = with_plugin(tmp_path, GOOD)
    assert result.exit_code == 0
    assert "club" in {s.id for s in result.sections}
    assert ("club_things", "file", "") in {(p.name, p.origin, p.trouble) for p in result.plugins}


IMPORT = {
    "raises": ("raise RuntimeError('no luck')", "RuntimeError: no luck"),
    "leaves": ("import sys; sys.exit(0)", "SystemExit"),
    "is no Python": ("def (:", "SyntaxError"),
    "needs what is not there": ("import a_module_that_is_not_there", "ModuleNotFoundError"),
    "fails even in its message": (
        "class E(Exception):\n    def __str__(self): raise ValueError\nraise E",
        "cannot be imported: E",
    ),
    "has a key that is no key": ("from specc import value\n@value('a.b')\ndef f(ctx): return 1", "AttributeError"),
}


@pytest.mark.parametrize("what", IMPORT)
def test_a_plugin_that_fails_at_import(tmp_path: Path, what: str) -> None:
    text, says = IMPORT[what]
    result = with_plugin(tmp_path, text)
    assert says in trouble(result, "plugin.import")
    others_stand(result)
    assert [bool(p.trouble) for p in result.plugins if p.name == "club_things"] == [True]


def test_a_plugin_file_that_is_not_there() -> None:
    result = result_of(SAMPLE, plugins=("no/such/club_things.py",))
    (found,) = result.findings
    assert (found.rule, found.plugin, found.message) == (
        "plugin.absent", "club_things", "the plugin file no/such/club_things.py is not there",
    )  # fmt: skip
    assert result.exit_code == 1
    assert [s.id for s in result.sections] == [s.id for s in result_of(SAMPLE).sections]


HOOKS = (
    "specc_schema",
    "specc_references",
    "specc_passes",
    "specc_calculators",
    "specc_verbs",
    "specc_short_forms",
)


def hook(name: str, body: str) -> str:
    return (
        f"from specc import *\nfrom specc import hookimpl\nSPECC_CONTRACT = 2\n@hookimpl\ndef {name}():\n    {body}\n"
    )


@pytest.mark.parametrize("name", HOOKS)
@pytest.mark.parametrize(
    ("body", "says"),
    [("raise KeyError('lost')", "KeyError"), ("import sys; sys.exit(7)", "SystemExit"), ("return None", "TypeError")],
)
def test_a_hook_that_fails(tmp_path: Path, name: str, body: str, says: str) -> None:
    result = with_plugin(tmp_path, hook(name, body))
    message = trouble(result, "plugin.hook_failed")
    assert name in message
    assert says in message
    others_stand(result)


@pytest.mark.parametrize("name", HOOKS)
@pytest.mark.parametrize("given", ["[5]", "[('a', {}, 3)]", "[(1, {})]", "[None]", "{3: {}}"])
def test_a_hook_that_gives_nonsense(tmp_path: Path, name: str, given: str) -> None:
    result = with_plugin(tmp_path, hook(name, f"return {given}"))
    assert name in trouble(result, "plugin.nonsense")
    others_stand(result)


DECLARED = {
    "a need that is no key": "rule('club.r', level='error', statement='s', source=CHOICE, needs=('x',))",
    "a level there is not": "rule('club.r', level='fatal', statement='s', source=CHOICE)",
    "a source that is text": "rule('club.r', level='error', statement='s', source='NFPA')",
    "a name that is a number": "rule(5, level='error', statement='s', source=CHOICE)",
    "a root that is no text": "section('club', title='t', order=1, reads=(5,))",
    "an order that is text": "section('club', title='t', order='last')",
    "a worst there is not": "figure(Key('club.f', Figure), title='t', worst='largest')",
}


@pytest.mark.parametrize("what", DECLARED)
def test_a_pass_declared_wrongly(tmp_path: Path, what: str) -> None:
    text = (
        "from specc import *\nfrom specc import CHOICE, Figure, Key, figure, hookimpl, rule, section\n"
        f"SPECC_CONTRACT = 2\n@{DECLARED[what]}\ndef f(ctx): return None\n"
        "@hookimpl\ndef specc_passes(): return [f]\n"
    )
    result = with_plugin(tmp_path, text)
    trouble(result, "plugin.nonsense")
    others_stand(result)


LIMITS = {
    "a dimension there is not": ("Limit('club.l', '5 psi', 'pressure', 'min', 's', CHOICE)", "plugin.limit"),
    "a safer side there is not": ("Limit('club.l', '5 psi', 'gauge_pressure', 'low', 's', CHOICE)", "plugin.nonsense"),
    "a default without a unit": ("Limit('club.l', '5', 'gauge_pressure', 'min', 's', CHOICE)", "plugin.limit"),
    "a default of another dimension": ("Limit('club.l', '5 ft', 'gauge_pressure', 'min', 's', CHOICE)", "plugin.limit"),
}


@pytest.mark.parametrize("what", LIMITS)
def test_a_limit_declared_wrongly(tmp_path: Path, what: str) -> None:
    text, rule = LIMITS[what]
    result = with_plugin(
        tmp_path,
        "from specc import CHOICE, Limit, hookimpl\nSPECC_CONTRACT = 2\n"
        f"@hookimpl\ndef specc_passes(): return [{text}]\n",
    )
    found = [f for f in result.findings if f.plugin == "club_things"]
    assert [f.rule for f in found] == [rule]
    assert result.exit_code == 3
    others_stand(result)


@pytest.mark.parametrize("limit", ["fuel.reserve"])
def test_a_limit_of_two_plugins_is_the_first_ones(tmp_path: Path, limit: str) -> None:
    text = (
        "from specc import CHOICE, Limit, hookimpl\nSPECC_CONTRACT = 2\n@hookimpl\n"
        f"def specc_passes(): return [Limit({limit!r}, '90 %', 'ratio', 'max', 's', CHOICE)]\n"
    )
    result = with_plugin(tmp_path, text)
    trouble(result, "plugin.foreign_id")
    assert {x.key: x.default.text for x in result.limits if x.default}[limit] == "20 %"


def test_a_misspelled_hook_names_the_nearest(tmp_path: Path) -> None:
    result = with_plugin(tmp_path, GOOD.replace("def specc_passes", "def specc_pases"))
    assert "specc_pases" in trouble(result, "plugin.hook")
    assert "specc_passes" in next(f for f in result.findings if f.rule == "plugin.hook").fix
    assert "club" not in {s.id for s in result.sections}
    others_stand(result)


def test_a_hook_without_its_mark(tmp_path: Path) -> None:
    result = with_plugin(tmp_path, GOOD.replace("@hookimpl\n", ""))
    assert "@hookimpl" in trouble(result, "plugin.hook")
    others_stand(result)


@pytest.mark.parametrize("line", ["SPECC_CONTRACT = 99", "SPECC_CONTRACT = '1'", ""])
def test_another_contract_or_none(tmp_path: Path, line: str) -> None:
    result = with_plugin(tmp_path, GOOD.replace("SPECC_CONTRACT = 2", line))
    trouble(result, "plugin.contract")
    assert "club" not in {s.id for s in result.sections}
    others_stand(result)


def test_two_plugins_of_one_name_neither_runs(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    files = tuple(plugin_file(tmp_path / d, "club_things", GOOD) for d in "ab")
    result = result_of(SAMPLE, plugins=files)
    trouble(result, "plugin.same_name")
    assert "club" not in {s.id for s in result.sections}
    others_stand(result)


def test_a_plugin_named_as_a_built_in_stops_both(tmp_path: Path) -> None:
    result = with_plugin(tmp_path, GOOD, name="fuel")
    assert [f.rule for f in result.findings if f.plugin == "fuel"] == ["plugin.same_name"]
    assert "fuel" not in {s.plugin for s in result.sections}
    assert {"description", "plumbing"} <= {s.id for s in result.sections}


# The spec's roots


def schema_plugin(schema: str, body: str = "return {}") -> str:
    return f"from specc import hookimpl\nSPECC_CONTRACT = 2\n@hookimpl\ndef specc_schema(): return {schema}\n"


@pytest.mark.parametrize("schema", ["{'club': 5}", "{'club': {'type': 'objekt'}}", "{'club': {'properties': []}}"])
def test_a_schema_that_is_wrong(tmp_path: Path, schema: str) -> None:
    result = with_plugin(tmp_path, schema_plugin(schema))
    assert "'club'" in trouble(result, "plugin.schema")
    others_stand(result)


@pytest.mark.parametrize(
    "schema", ["{'club': {'x-dimension': 'weight'}}", "{'club': {'x-written': 'year'}}", "{'club': {'x-choose': 5}}",
               "{'club': {'type': 'object', 'properties': {'a': {'x-choose': {'by': 'kind', 'from': []}}}}}",
               "{'club': {'$ref': 'common/nothing'}}"],
)  # fmt: skip
def test_a_schema_with_our_own_words_used_wrongly(tmp_path: Path, schema: str) -> None:
    plugin = plugin_file(tmp_path, "club_things", schema_plugin(schema))
    spec = project(tmp_path, SAMPLE.read_text(encoding="utf-8") + "\nclub: {a: {kind: b}}\n")
    result = result_of(spec, plugins=(plugin,))
    assert "plugin.schema" in {f.rule for f in result.findings if f.plugin == "club_things"}
    assert result.exit_code == 3
    others_stand(result)


@pytest.mark.parametrize(("root", "owner"), [("plumbing", "plumbing"), ("event", "the core")])
def test_a_root_that_belongs_to_another(tmp_path: Path, root: str, owner: str) -> None:
    result = with_plugin(tmp_path, schema_plugin(f"{{{root!r}: {{}}}}"))
    message = trouble(result, "plugin.contested_root")
    assert root in message
    assert owner in message
    others_stand(result)


# Named in the spec


def naming(tmp_path: Path, plugins: str) -> Path:
    return project(tmp_path, SAMPLE.read_text(encoding="utf-8") + f"\nplugins:\n  {plugins}\n")


def test_a_plugin_named_but_absent_is_an_error_at_the_spec(tmp_path: Path) -> None:
    spec = naming(tmp_path, "use: [club_things]")
    result = result_of(spec)
    (found,) = result.findings
    assert (found.rule, found.level, found.plugin) == ("plugin.absent", "error", "club_things")
    assert spec.read_text(encoding="utf-8").splitlines()[found.place.line - 1].strip() == "use: [club_things]"
    assert result.exit_code == 1
    others_stand(result)


def test_a_plugin_given_as_a_file_may_be_named_too(tmp_path: Path) -> None:
    result = result_of(naming(tmp_path, "use: [club_things]"), plugins=(plugin_file(tmp_path, "club_things", GOOD),))
    assert result.exit_code == 0
    assert "club" in {s.id for s in result.sections}


def test_a_plugin_s_file_is_read_each_time_and_nothing_is_written_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Bytecode that Python keeps counts as new by the second and the size of the file alone."""
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)
    told = []
    for word in ("one", "two"):
        club = Path(plugin_file(tmp_path, "club", AGAIN.format(word)))
        os.utime(club, (1_800_000_000, 1_800_000_000))
        result = result_of(SAMPLE, plugins=(str(club),), only=("rule club.says",))
        told += [r.looked for r in result.rules if r.id == "club.says"]
    assert told == ["one", "two"]
    assert [p.name for p in tmp_path.iterdir()] == ["club.py"]


def test_code_in_the_projects_folder_is_not_picked_up(tmp_path: Path) -> None:
    plugin_file(tmp_path, "club_things", "raise RuntimeError")
    result = result_of(project(tmp_path, SAMPLE))
    assert result.exit_code == 0
    assert "club_things" not in {p.name for p in result.plugins}


def install(folder: Path, monkeypatch: pytest.MonkeyPatch, name: str, text: str) -> None:
    """As a club's distribution would be: a module, and metadata with an entry point."""
    module = f"installed_{name}"
    (folder / f"{module}.py").write_text(text, encoding="utf-8")
    info = folder / f"{name}-1.2.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.2\n", encoding="utf-8")
    (info / "entry_points.txt").write_text(f"[specc]\n{name} = {module}\n", encoding="utf-8")
    monkeypatch.delitem(sys.modules, module, raising=False)
    monkeypatch.syspath_prepend(str(folder))


def test_an_installed_plugin_runs_only_when_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    install(tmp_path, monkeypatch, "club_installed", GOOD)
    assert "club" not in {s.id for s in result_of(SAMPLE).sections}
    result = result_of(naming(tmp_path, "use: [club_installed]"))
    assert result.exit_code == 0
    assert "club" in {s.id for s in result.sections}
    assert ("club_installed", "1.2", "installed", "") in result.plugins
    assert "club" in {s.id for s in result_of(SAMPLE, plugins=("club_installed",)).sections}


REPLACING = """
from specc import CHOICE, Constant, Equation, Figure, Key, Symbol, Worked, figure, hookimpl

SPECC_CONTRACT = 2
SAID = Equation((("", "m = m_1"),), (Symbol("m", "mass", "gas"), Symbol("m_1", "mass", "gas")), (CHOICE,))

@figure(Key("fuel.gas_on_site", Figure), title="Gas on site, as the club counts", unit="lb")
def gas(ctx):
    return Worked(1.0, "mass", SAID, (("m_1", Constant(1.0, "mass", "1 kg", CHOICE)),))

@hookimpl
def specc_passes():
    return [gas]
"""


def test_replace_hands_the_keys_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    install(tmp_path, monkeypatch, "club_fuel", REPLACING)
    spec = project(
        tmp_path,
        patched(
            SAMPLE.read_text(encoding="utf-8"),
            ("limits:\n  fuel.reserve: 30 %", "plugins: {replace: {fuel: club_fuel}}"),
        ),
    )
    result = result_of(spec)
    # One that has a single key cannot take the place of all that others need; and what nobody checks is named.
    [refused] = [f for f in result.findings if f.rule == "plugin.replace"]
    assert refused.plugin == "club_fuel"
    assert "fuel.zone_pressure" in refused.message
    [replaced] = [f for f in result.findings if f.rule == "plugin.replaced"]
    assert (replaced.level, replaced.at) == ("error", "/plugins/replace/fuel")
    assert "fuel.rated_for_supply" in replaced.message
    assert result.exit_code == 3


def test_replacing_what_is_no_built_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    install(tmp_path, monkeypatch, "club_fuel", GOOD)
    result = result_of(naming(tmp_path, "replace: {feul: club_fuel}"))
    (found,) = result.findings
    assert (found.rule, found.plugin) == ("plugin.unknown", "feul")
    assert "fuel" in found.fix
    assert result.exit_code == 1


@pytest.mark.parametrize(
    "plugins", ["5", "[a, b]", "{use: 5}", "{use: {a: b}}", "{replace: [fuel]}", "{replace: {fuel: 5}}"]
)
def test_plugins_said_wrongly_in_the_spec(tmp_path: Path, plugins: str) -> None:
    result = result_of(project(tmp_path, SAMPLE.read_text(encoding="utf-8") + f"\nplugins: {plugins}\n"))
    assert result.exit_code == 1
    assert any(f.rule.startswith("spec.") and f.at.startswith("/plugins") for f in result.findings)


BUILT_IN = tuple(p.name for p in find().plugins if p.origin == "built-in")


@pytest.mark.parametrize("blocked", [*((name,) for name in BUILT_IN), ("plumbing", "fuel"), BUILT_IN])
def test_specc_runs_with_built_ins_blocked(blocked: tuple[str, ...]) -> None:
    result = result_of(SAMPLE, block=blocked)
    assert "description" in {s.id for s in result.sections}
    assert {p.name for p in result.plugins} == {p.name for p in find().plugins} - set(blocked)
    assert "plugin.crash" not in {f.rule for f in result.findings}
    # The root of a blocked plugin is unknown, and that is said.
    unknown = {f.at for f in result.findings if f.rule == "spec.unknown_key"}
    assert ("/plumbing" in unknown) == ("plumbing" in blocked)
    assert status_of(result, "core.effect_place") == "passed"


def test_what_the_built_ins_read_and_rest_on_is_there() -> None:
    """As it is asked of a third party's passes."""
    held = [h._replace(third_party=True) for h in find().passes]
    assert list(mistyped_in_spec(held, composed_schema())) == []


def test_the_host_lists_what_it_loaded_in_one_order() -> None:
    names = [p.name for p in find().plugins]
    assert names == ["core", *sorted(names[1:])]
    assert find().troubles == ()


DROPS = """
from specc import hookimpl, spot_for
SPECC_CONTRACT = 2


def plate(whole, said):
    for _, person in whole.map("people").children():
        if person.has("plate"):
            below = person.child("plate")
            person.drop("plate")
            {put}


@hookimpl
def specc_schema(): return {{"club_things": {{"type": "object"}}}}
@hookimpl
def specc_short_forms(): return [plate]
"""


@pytest.mark.parametrize(
    ("put", "found"),
    [
        ('whole.map("club_things").put("plate", below.data, below.spot)', ["plugin.short_forms"]),
        ("pass", ["plugin.short_forms"]),
        ('whole.put("club_things", {"plate": below.data}, spot_for({"plate": below.data}, below.place))', []),
    ],
)
def test_what_a_short_form_takes_out_and_puts_nowhere_is_found(tmp_path: Path, put: str, found: list[str]) -> None:
    club = plugin_file(tmp_path, "club_things", DROPS.format(put=put))
    spec = tmp_path / "project.yaml"
    spec.write_text("format: 1\nproject: {title: A}\npeople:\n  ada: {role: guard, plate: B2}\n", encoding="utf-8")
    result = travel(str(spec), ask=Ask(kinds=frozenset(), plugin_files=(club,)))
    told = [f for f in result.findings if f.rule == "plugin.short_forms"]
    assert [f.rule for f in told] == found
    for f in told:
        assert "'club_things' leave out /people/ada/plate" in f.message
        assert (f.place.line, "put" in f.fix) == (4, True)
