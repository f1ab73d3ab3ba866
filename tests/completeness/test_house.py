"""What holds for the whole house: who imports whom, which keys are shared, that hooks are tested and told."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
import sys
import tomllib
from collections import defaultdict
from functools import cache
from pathlib import Path

import pytest

import specc
from specc import kinds
from specc.engine.hooks import HOOKS
from specc.engine.host import find
from specc.model.passes import Key

sys.path.insert(0, str(Path(__file__).parent))

from parsed import parsed

ROOT = Path(__file__).parents[2]
CORE = sorted((ROOT / "specc").rglob("*.py"))
FOLDERS = sorted(p.name for p in (ROOT / "plugins").glob("specc_*") if (p / "__init__.py").is_file())
POINTS: dict[str, str] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"][
    "entry-points"
]["specc"]


@cache
def imported(source: str) -> frozenset[str]:
    """The top-level names that a module imports, anywhere in it, also by importlib.import_module("...")."""
    found: set[str] = set()
    for node in ast.walk(parsed(source)):
        if isinstance(node, ast.Import):
            found |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            found.add(node.module.partition(".")[0])
        elif isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
            name = ast.unparse(node.func)
            if name.endswith(("import_module", "__import__")) and isinstance(node.args[0].value, str):
                found.add(node.args[0].value.partition(".")[0])
    return frozenset(found)


def test_the_scan_sees_every_way_to_import() -> None:
    code = "import a.b\nfrom c.d import e\ndef f():\n    import g\n"
    code += "    importlib.import_module('h.i')\n    __import__('j')\n"
    assert imported(code) == {"a", "c", "g", "h", "j"}


@pytest.mark.parametrize("path", CORE, ids=lambda p: str(p.relative_to(ROOT)))
def test_the_core_imports_no_plugin(path: Path) -> None:
    assert not {name for name in imported(path.read_text(encoding="utf-8")) if name.startswith("specc_")}


@pytest.mark.parametrize("folder", FOLDERS)
def test_a_plugin_imports_no_other_plugin_and_no_layout(folder: str) -> None:
    for path in sorted((ROOT / "plugins" / folder).rglob("*.py")):
        names = imported(path.read_text(encoding="utf-8"))
        assert not {n for n in names if n.startswith("specc_") and n != folder}, path
        assert "reportlab" not in names, path
        assert "specc.packet" not in path.read_text(encoding="utf-8"), path


def test_a_built_in_imports_of_the_core_what_developers_says() -> None:
    told = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    sentence = told.split("it may also import ", 1)[1].split(";", 1)[0]
    public = told.split("nothing else is public but ", 1)[1].split("|", 1)[0]
    allowed = {"specc", *re.findall(r"`(specc\.\w+)`", sentence + public)}
    seen = {
        ".".join(node.module.split(".")[:2])
        for path in sorted((ROOT / "plugins").rglob("*.py"))
        for node in ast.walk(parsed(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "specc"
    }
    assert len(seen) > 5
    assert seen - allowed == set()


@pytest.mark.parametrize("path", CORE, ids=lambda p: str(p.relative_to(ROOT)))
def test_only_the_packet_knows_reportlab(path: Path) -> None:
    if "packet" not in path.relative_to(ROOT / "specc").parts:
        assert "reportlab" not in imported(path.read_text(encoding="utf-8"))


def test_entry_points_match_the_folders() -> None:
    assert sorted(POINTS.values()) == FOLDERS
    assert {f"specc_{name}" for name in POINTS} == set(FOLDERS)


def test_every_built_in_loads_and_nothing_is_wrong_with_it() -> None:
    host = find()
    assert host.troubles == ()
    assert {p.name for p in host.plugins} == {"core", *POINTS}


def test_no_two_calculators_of_the_built_ins_share_a_name() -> None:
    """Asked for by name on the command line, one would hide the other without a word."""
    names = [c.name for p in find().plugins for c in p.calculators]
    assert sorted({n for n in names if names.count(n) > 1}) == []


# Keys


def shared_keys() -> dict[str, Key[object]]:
    return {
        thing.name: thing
        for module in pkgutil.iter_modules(kinds.__path__)
        for thing in vars(importlib.import_module(f"specc.kinds.{module.name}")).values()
        if isinstance(thing, Key)
    }


def test_a_key_that_two_plugins_know_is_declared_in_kinds() -> None:
    known: dict[str, set[str]] = defaultdict(set)
    for held in find().passes:
        p = held.pass_
        for key in (*p.needs, *p.wants, *((p.provides,) if p.provides else ())):
            known[key.name].add(held.plugin)
    shared = {name for name, plugins in known.items() if len(plugins) > 1}
    assert len(shared) > 5
    assert shared - set(shared_keys()) == set()


# Owned keys that are declared for a plugin whose passes are not there yet. A plugin that provides one strikes it off.
AWAITED: set[str] = set()


def test_an_owned_key_in_kinds_has_a_provider() -> None:
    """A gathered key may wait for a plugin that has something to add."""
    provided = {h.pass_.provides.name for h in find().passes if h.pass_.provides}
    assert {name for name, key in shared_keys().items() if not key.gathered} - provided == AWAITED


# Hooks and the public names


@pytest.mark.parametrize("hook", HOOKS)
def test_every_hook_is_tested(hook: str) -> None:
    tests = [p for p in (ROOT / "tests").rglob("test_*.py") if p != Path(__file__)]
    assert any(re.search(rf"\b{hook}\b", p.read_text(encoding="utf-8")) for p in tests)


@pytest.mark.parametrize("hook", HOOKS)
def test_every_hook_is_told_to_plugin_authors(hook: str) -> None:
    assert re.search(rf"\b{hook}\b", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))
    assert len((getattr(specc.hookspecs, hook).__doc__ or "").split()) > 10


@pytest.mark.parametrize("name", specc.__all__)
def test_every_public_name_is_there(name: str) -> None:
    assert getattr(specc, name) is not None


def test_the_public_names_are_the_same_in_all_three_lists() -> None:
    """The table that imports late, `__all__`, and the imports that type checkers read."""
    tree = parsed(Path(specc.__file__).read_text(encoding="utf-8"))
    for_checkers = {
        alias.asname or alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.If)
        for sub in node.body
        if isinstance(sub, ast.ImportFrom) and sub.module != "typing"
        for alias in sub.names
    }
    late = set(specc._HOME)
    assert late == for_checkers
    assert late | {"__version__"} == set(specc.__all__)


def test_only_benchmarks_read_a_clock() -> None:
    """A busy machine fails what is held to a clock, and people stop believing the tests."""
    clock = re.compile(r"\b(perf_counter|process_time|monotonic|time\.time)(_ns)?\(")
    tests = [p for p in (ROOT / "tests").rglob("test_*.py") if "benchmarks" not in p.parts and p != Path(__file__)]
    assert len(tests) > 100
    assert [str(p.relative_to(ROOT)) for p in tests if clock.search(p.read_text(encoding="utf-8"))] == []
