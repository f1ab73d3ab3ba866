"""Exit codes have one home: no other module writes one as a number, and what is printed of them is what is there."""

from __future__ import annotations

import ast
import re
import sys
from pathlib import Path

import pytest

from specc.cli import main
from specc.model.exit_codes import ExitCode, of_result, worst

sys.path.insert(0, str(Path(__file__).parent))

from parsed import parsed

ROOT = Path(__file__).resolve().parents[2]
HOME = ROOT / "specc" / "model" / "exit_codes.py"
CORE = [p for p in sorted((ROOT / "specc").rglob("*.py")) if p != HOME]


def bare_numbers(source: str) -> list[str]:
    """Where an exit code is compared with a number, made of one, or left with."""
    found = []
    for node in ast.walk(parsed(source)):
        parts: list[ast.expr] = []
        if isinstance(node, ast.Compare) and "exit_code" in ast.unparse(node):
            parts = [node.left, *node.comparators]
        elif isinstance(node, ast.Call) and ast.unparse(node.func) in ("SystemExit", "sys.exit", "os._exit", "worst"):
            parts = [n for given in node.args for n in ast.walk(given) if isinstance(n, ast.expr)]
        elif isinstance(node, ast.keyword) and node.arg == "exit_code":
            parts = [node.value]
        if any(isinstance(part, ast.Constant) and isinstance(part.value, int) for part in parts):
            found.append(f"line {node.lineno}: {ast.unparse(node)}")
    return found


@pytest.mark.parametrize("path", CORE, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_exit_code_is_a_bare_number(path: Path) -> None:
    """That a function gives an `ExitCode` and no number is for mypy: see below."""
    assert bare_numbers(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "code", ["if r.exit_code == 2: pass", "raise SystemExit(2)", "os._exit(3)", "worst((c, 1))", "Result(exit_code=1)"]
)
def test_a_bare_number_would_be_found(code: str) -> None:
    assert bare_numbers(code)


def test_every_verb_gives_an_exit_code() -> None:
    given = {}
    for path in (ROOT / "specc" / "verbs").glob("*.py"):
        for node in parsed(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name == "run" and node.returns is not None:
                given[path.stem] = ast.unparse(node.returns)
    assert len(given) > 15
    assert set(given.values()) == {"ExitCode"}


def test_help_prints_each_code_with_its_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) is ExitCode.CLEAN
    printed = capsys.readouterr().out
    for code in ExitCode:
        assert re.search(rf"^ +{int(code)}  {re.escape(code.means)}$", printed, re.MULTILINE), code


def test_the_table_in_the_readme_is_the_same() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    table = readme.split("| exit code | means |\n|---|---|\n", 1)[1].split("\n\n", 1)[0]
    assert table.splitlines() == [f"| {int(code)} | {code.means} |" for code in ExitCode]


def test_what_cannot_be_used_counts_before_what_failed_and_that_before_findings() -> None:
    assert worst(()) is ExitCode.CLEAN
    assert worst((ExitCode.FINDINGS, ExitCode.CLEAN)) is ExitCode.FINDINGS
    assert worst((ExitCode.FINDINGS, ExitCode.FAILED)) is ExitCode.FAILED
    assert worst((ExitCode.FAILED, ExitCode.UNUSABLE, ExitCode.FINDINGS)) is ExitCode.UNUSABLE


@pytest.mark.parametrize(
    ("errors", "failed", "usable", "code"),
    [
        (False, False, True, ExitCode.CLEAN),
        (True, False, True, ExitCode.FINDINGS),
        (True, True, True, ExitCode.FAILED),
        (True, True, False, ExitCode.UNUSABLE),
    ],
)
def test_the_code_of_a_result(errors: bool, failed: bool, usable: bool, code: ExitCode) -> None:
    assert of_result(errors, failed, usable) is code


# Broad nets


def nets(source: str) -> list[tuple[str, str]]:
    """Every handler for all exceptions that does not raise again: its function, and what it guards."""
    found = []
    for function in ast.walk(parsed(source)):
        if not isinstance(function, ast.FunctionDef):
            continue
        for node in ast.walk(function):
            if not isinstance(node, ast.Try):
                continue
            for handler in node.handlers:
                names = ast.unparse(handler.type) if handler.type else "BaseException"
                if names in ("Exception", "BaseException"):
                    found.append((function.name, "\n".join(ast.unparse(part) for part in node.body)))
    return found


def test_all_exceptions_are_caught_only_where_a_plugin_is_called() -> None:
    """`calling` names what runs. Two nets are no such place: the words of a plugin's own exception, and the last net of
    the command, which says that specc itself is at fault."""
    others = [
        (str(path.relative_to(ROOT)), function)
        for path in [*CORE, *sorted((ROOT / "plugins").rglob("*.py"))]
        for function, body in nets(path.read_text(encoding="utf-8"))
        if "with calling(" not in body
    ]
    assert sorted(set(others)) == [("specc/cli.py", "main"), ("specc/engine/plugin.py", "said")]
