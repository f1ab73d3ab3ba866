"""No control flow tests the words of a message: what a text says stands as data beside it.

It looks for a text of the program's own (a field that is written for a reader) being searched, cut or matched. What a
maker wrote is read by its schema, its short forms and its readers, and stands in none of these fields.
"""

from __future__ import annotations

import ast
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from parsed import parsed

ROOT = Path(__file__).resolve().parents[2]
# Fields and variables that hold a sentence or a part of one.
WRITTEN = {
    "cause", "fix", "looked", "message", "note", "reason", "reasons", "said", "statement", "stopped_by", "what", "why",
}  # fmt: skip
CUTS = {
    "count", "endswith", "find", "index", "partition", "removeprefix", "removesuffix", "rfind", "rpartition", "rsplit",
    "split", "splitlines", "startswith",
}  # fmt: skip
MATCHES = {"findall", "finditer", "fullmatch", "match", "search", "split"}
# Where it is the text itself that is worked on, and nothing is decided by it.
OF_TEXTS = {
    "specc/engine/grouping.py": "two messages are compared whole, their own names marked; no word is looked for",
    "specc/packet/back.py": "pieces of remarks that many references share are printed once, under a letter",
}


def name(node: ast.expr) -> str:
    return node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""


def looks_into(node: ast.AST) -> bool:
    if isinstance(node, ast.Compare):
        sides = zip([node.left, *node.comparators], node.ops, node.comparators, strict=False)
        return any(
            isinstance(op, ast.In | ast.NotIn) and (is_text(left) or is_field(right)) and name(right) in WRITTEN
            for left, op, right in sides
        )
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        cut = node.func.attr in CUTS and name(node.func.value) in WRITTEN
        return cut or (node.func.attr in MATCHES and any(name(a) in WRITTEN for a in node.args))
    return False


def is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def is_field(node: ast.expr) -> bool:
    """A field holds one text. A variable may hold several, among which a whole one may be looked for by its name."""
    return isinstance(node, ast.Attribute)


def found_in(text: str) -> list[int]:
    return [node.lineno for node in ast.walk(parsed(text)) if looks_into(node)]  # type: ignore[attr-defined]


def test_no_text_is_looked_into() -> None:
    found = {}
    for folder in ("specc", "plugins"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            where = path.relative_to(ROOT).as_posix()
            lines = found_in(path.read_text(encoding="utf-8"))
            if lines and where not in OF_TEXTS:
                found[where] = lines
    assert not found, "keep what is asked there as data beside the text"


def test_what_it_finds() -> None:
    for bad in (
        'if "plug" in step.why: pass',
        'if f"{tag} is" not in found.message: pass',
        "named = fault.what.removesuffix(' stuck open')",
        "words = e.message.partition(': ')[2]",
        "re.search('empty', rule.looked)",
        "if words in rule.looked: pass",
        "if 'joined' in reason: pass",
        "_NEEDS.search(reason)",
    ):
        assert found_in(bad), bad
    for good in ('if "plug" in step.plugs: pass', "said = fault.what", "if tag in said: pass", "text.split()"):
        assert not found_in(good), good
