"""Small helpers for the tests of plugins: a spec made of a base and patches, and what specc finds in it.

A base spec is a text, and a patch replaces a piece of it that stands there once. A faulty line carries a
comment that names the rule, so that a test never counts lines:

    def test_hose_rating(tmp_path):
        spec = project(tmp_path, BASE, ("rating: 350 psi", "rating: 50 psi # expect: fuel.rated_for_supply"))
        assert findings_at(spec) == expected_in(spec)

Nothing here needs a test runner.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path
from types import ModuleType
from typing import TypeAlias

from specc.engine.host import find
from specc.engine.road import CHECK, COMPILE, FIGURES, Ask, travel
from specc.model.findings import Finding
from specc.model.passes import Pass
from specc.model.result import Result
from specc.model.things import things_of

Patch: TypeAlias = tuple[str, str]
At: TypeAlias = Counter[tuple[str, int, str]]

_EXPECT = re.compile(r"#\s*expect:\s*(?P<rules>[a-z0-9_.]+(?:\s*,\s*[a-z0-9_.]+)*)")


def patched(base: str, *patches: Patch) -> str:
    """The base with each patch's first text replaced by its second.

    Raises ValueError for a patch whose first text stands there not once, but never or more often.
    """
    for old, new in patches:
        count = base.count(old)
        if count != 1:
            raise ValueError(f"{old!r} stands {count} times in the base spec; a patch needs it once")
        base = base.replace(old, new)
    return base


def project(folder: Path, base: str | Path, *patches: Patch, name: str = "project.yaml") -> Path:
    """Writes a spec into a folder and gives its path. `base` is the text, or a file that has it.

    Raises ValueError as `patched` does.
    """
    text = base.read_text(encoding="utf-8") if isinstance(base, Path) else base
    path = folder / name
    path.write_text(patched(text, *patches), encoding="utf-8")
    return path


def all_but(*names: str) -> tuple[str, ...]:
    """The built-in plugins but these: what to block where a test is about these alone."""
    return tuple(p.name for p in find().plugins if p.origin == "built-in" and p.name not in names)


def plugin_file(folder: Path, name: str, text: str) -> str:
    """Writes a plugin of one file and gives its path, as `--plugin` and `result_of(plugins=...)` take it."""
    path = folder / f"{name}.py"
    path.write_text(text, encoding="utf-8")
    return str(path)


def result_of(
    path: Path | str,
    *,
    plugins: tuple[str, ...] = (),
    block: tuple[str, ...] = (),
    tolerance: bool = False,
    only: tuple[str, ...] = (),
) -> Result:
    """The whole Result of a spec, with figures, rules, tables, drawings and sections.

    `plugins`: Python files or names, as with --plugin. `block`: built-in plugins to leave out. `only`: kinds of
    passes ("figures"), or single ones by kind and id ("table plumbing.faults"): they and what they need.
    """
    kinds = frozenset(o for o in only if " " not in o) if only else COMPILE
    ask = Ask(kinds, frozenset(only) - kinds, tolerance=tolerance, plugin_files=plugins, block=block)
    return travel(str(path), None, ask)


def checked(path: Path | str, *, plugins: tuple[str, ...] = (), block: tuple[str, ...] = ()) -> Result:
    """The Result with what `specc check` works out: figures and rules with their findings. No tables, drawings, or
    sections, which take most of the time."""
    return result_of(path, plugins=plugins, block=block, only=tuple(sorted(CHECK)))


def of_plugin(path: Path | str, plugin: str) -> Result:
    """The Result with what one built-in plugin computes and judges, and what that needs."""
    passes = next((p.passes for p in find().plugins if p.name == plugin), ())
    return result_of(path, only=tuple(f"{p.kind} {p.id}" for p in passes if p.kind in FIGURES | {"rule"}))


def findings_of(
    path: Path | str, rule: str = "", *, plugins: tuple[str, ...] = (), block: tuple[str, ...] = ()
) -> tuple[Finding, ...]:
    """What `specc check` finds in a spec, or what one rule finds: then only what that rule needs is computed."""
    if not rule:
        return checked(path, plugins=plugins, block=block).findings
    return tuple(f for f in _for_rule(path, rule, plugins, block).findings if f.rule == rule)


def status_of(
    spec: Result | Path | str, rule: str, *, plugins: tuple[str, ...] = (), block: tuple[str, ...] = ()
) -> str:
    """How a rule ended, such as "passed", in a Result, or in a spec, of which only what it needs is computed.

    Raises KeyError when there is no such rule.
    """
    result = spec if isinstance(spec, Result) else _for_rule(spec, rule, plugins, block)
    return {r.id: r.status for r in result.rules}[rule]


def findings_at(
    spec: Result | Path | str, *, plugins: tuple[str, ...] = (), block: tuple[str, ...] = (), notes: bool = False
) -> At:
    """File, line and rule of each error and warning (and note, if asked) that nobody has waived.

    Of a Result, or of a spec, which is then checked with `plugins` and without `block`.
    """
    result = spec if isinstance(spec, Result) else checked(spec, plugins=plugins, block=block)
    levels = ("error", "warning", "note") if notes else ("error", "warning")
    return Counter((f.place.file, f.place.line, f.rule) for f in result.findings if f.level in levels and not f.waived)


def rules_of(*modules: ModuleType) -> set[str]:
    """The ids of the rules that are made in these modules."""
    return {thing.id for thing in things_of(*modules) if isinstance(thing, Pass) and thing.kind == "rule"}


def _for_rule(path: Path | str, rule: str, plugins: tuple[str, ...], block: tuple[str, ...]) -> Result:
    return result_of(path, plugins=plugins, block=block, only=(f"rule {rule}",))


def expected_in(path: Path | str) -> At:
    """File, line and rule of each comment `# expect: rule.id` in a spec. Several ids go with commas."""
    lines = Path(path).read_text(encoding="utf-8").splitlines()
    return Counter(
        (str(path), number, rule.strip())
        for number, line in enumerate(lines, 1)
        for found in _EXPECT.finditer(line)
        for rule in found["rules"].split(",")
    )
