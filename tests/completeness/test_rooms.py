"""The arrows between rooms and modules: none back up, none in a circle, imports inside functions counted.

Imports for type checkers alone do not count, nor do those of the public face (`specc/__init__.py`), which imports a
name when it is first used. The road loads the core's own passes by name, as it loads plugins.
"""

from __future__ import annotations

import ast
import sys
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from parsed import parsed

ROOT = Path(__file__).resolve().parents[2]

# From what knows least to what knows most. A room may import those before it, and itself.
ORDER = (
    "dims",
    "drawing",
    "model",
    "measure",
    "kinds",
    "formulas",
    "hookspecs",
    "spec",
    "basics",
    "engine",
    "report",
    "packet",
    "testing",
    "verbs",
    "cli",
    "__main__",
)


def modules(base: Path, strip: int) -> dict[str, Path]:
    found = {}
    for path in sorted(base.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts[strip:]
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


MODULES = modules(ROOT / "specc", 0) | modules(ROOT / "plugins", 1)


class Imports(ast.NodeVisitor):
    """The modules that a module imports, at its top or in a function."""

    def __init__(self) -> None:
        self.found: set[str] = set()

    def visit_If(self, node: ast.If) -> None:
        if not (isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"):
            self.generic_visit(node)

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        assert node.module is not None, "imports name their module in full"
        assert node.level == 0, "imports name their module in full"
        for alias in node.names:
            within = f"{node.module}.{alias.name}"
            self.found.add(within if within in MODULES else node.module)

    def visit_Import(self, node: ast.Import) -> None:
        self.found |= {alias.name for alias in node.names}


def imports(name: str) -> set[str]:
    seen = Imports()
    seen.visit(parsed(MODULES[name].read_text(encoding="utf-8")))
    return (seen.found & set(MODULES)) - {name, "specc"}


@cache
def arrows() -> dict[str, set[str]]:
    return {name: imports(name) for name in MODULES if name != "specc"}


def room(name: str) -> str:
    return name.split(".")[1]


@pytest.mark.parametrize("name", [n for n in MODULES if n.startswith("specc.")])
def test_no_arrow_goes_back_up(name: str) -> None:
    above = {other for other in arrows()[name] if ORDER.index(room(other)) > ORDER.index(room(name))}
    assert above == set()


def test_every_room_is_in_the_order() -> None:
    assert {room(n) for n in arrows() if n.startswith("specc.")} == set(ORDER)


def test_no_modules_import_each_other_in_a_circle() -> None:
    try:
        TopologicalSorter(arrows()).prepare()
    except CycleError as e:
        pytest.fail(" -> ".join(e.args[1]))


def test_a_circle_would_be_found() -> None:
    with pytest.raises(CycleError):
        TopologicalSorter({**arrows(), "specc.dims": {"specc.cli"}}).prepare()
