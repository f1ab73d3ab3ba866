"""The table of words in what is printed: help, calculators, schema, a check's JSON, a packet's pages.

test_words.py looks at every line of the sources. Words that are fine in a comment, and not where a maker reads them,
are looked for here, in what comes out.
"""

from __future__ import annotations

import ast
import json
import re
import sys
from functools import cache
from pathlib import Path

import pytest

from specc.cli import main
from specc.engine.host import find
from specc.engine.road import COMPILE, Ask, composed_schema, travel
from specc.model.own_verbs import OF_BUILT_IN, VERBS
from specc.packet import render

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))
from parsed import parsed
from pdf_text import read_pages
from test_words import BRITISH, TERMS

ROOT = Path(__file__).resolve().parents[2]
SPEC = ROOT / "sample_projects" / "garden_brazier" / "project.yaml"
MAST = ROOT / "sample_projects" / "broken_mast" / "project.yaml"

# What was said before, and what is said now. Each is a pattern.
PRINTED = {
    r"(?<!nobody )looked at\b": "checked; of an extinguisher inspected",
    r"\boverlay\b": "private file",
    r"\bpressure test (?:of [a-z]+_|to\b)": "hydrostatic test",
    r"ahead of the hole": "upstream",
    r"above the air's\b(?! own)": "gauge",
    r"\bdue from\b": "requalification due",
    r"filler confirms": "the filling plant decides",
    r"at rest\b.{0,20}lock-up|pressure at rest": "lock-up pressure",
    r"(?<!f )\bdegF\b": "°F",  # read as a unit in a spec
    r"governed by": "worst case",
    r"not (?:been )?looked": "not checked",
    r"stands still(?! while)": "is steady",
    r"covers nothing(?! that)": "matches no finding",
    r"in good order": "normal shutdown",
    r"is not whole": "incomplete",
    r"ball valves? closed|full stop": "quarter-turn shutoff",
}
WORDS = re.compile("|".join(f"(?:{p})" for p in PRINTED), re.IGNORECASE)


@cache
def packet() -> str:
    result = travel(str(SPEC), ask=Ask(COMPILE, revision="1"))
    return "\n".join(read_pages(render(result)))


def wrong(text: str) -> list[str]:
    plain = " ".join(text.split())
    found = [m.group() for m in (*WORDS.finditer(plain), *BRITISH.finditer(plain))]
    return found + [old for old in TERMS if old in plain.lower()]


@pytest.mark.parametrize("verb", [*VERBS, *OF_BUILT_IN])
def test_help(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    main([verb, "--help"])
    assert wrong(capsys.readouterr().out) == []


@pytest.mark.parametrize(
    "call",
    [
        ["calc"], ["calc", "--format", "json"], ["rules"], ["limits"], ["plugins", "--keys"], ["--help"],
        ["check", str(SPEC), "--all", "--format", "json"], ["schema", "--output"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_what_verbs_print(call: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    main(call)
    assert wrong(capsys.readouterr().out) == []


def calculators() -> list[str]:
    return [c.name for plugin in find().plugins for c in plugin.calculators]


def test_the_page_of_each_calculator(capsys: pytest.CaptureFixture[str]) -> None:
    names = calculators()
    assert len(names) > 50
    for name in names:
        main(["calc", name])
    shown = capsys.readouterr()
    assert len(shown.out.splitlines()) > 5 * len(names)
    assert wrong(shown.out + shown.err) == []


def test_errors_as_they_are_printed(capsys: pytest.CaptureFixture[str]) -> None:
    """Of a spec with many faults, and of calls that cannot be done."""
    main(["check", str(MAST), "--todo"])
    for call in (["table", str(MAST), "x"], ["calc", "orifice-flow", "bore=5"], ["chekc"], ["trace", str(MAST), "x"]):
        main(call)
    shown = capsys.readouterr()
    assert shown.out.count("fix:") > 50
    assert wrong(shown.out + shown.err) == []


@pytest.mark.parametrize("plugin", sorted(path.parent.name for path in ROOT.glob("plugins/*/examples.json")))
def test_what_a_rule_finds(plugin: str) -> None:
    """Message, fix and reason of each rule's first bad case, as `specc explain` prints them."""
    examples = json.loads((ROOT / "plugins" / plugin / "examples.json").read_text(encoding="utf-8"))
    assert wrong(json.dumps(examples, ensure_ascii=False)) == []


def told(schema: object) -> list[str]:
    """What a schema says to a maker. The old words that it still reads are data."""
    if isinstance(schema, list):
        return [text for one in schema for text in told(one)]
    if not isinstance(schema, dict):
        return []
    own = [schema[key] for key in ("title", "description", "x-says", "x-example") if isinstance(schema.get(key), str)]
    return own + [text for key, one in schema.items() if not key.startswith("x-renamed") for text in told(one)]


def test_what_the_schema_says() -> None:
    said = told(composed_schema())
    assert len(said) > 400
    assert wrong(" | ".join(said)) == []


def test_a_packet() -> None:
    assert wrong(packet()) == []


def strings(path: Path) -> list[str]:
    """What a module may print: its texts, docstrings apart."""
    tree = parsed(path.read_text(encoding="utf-8"))
    said = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}
    return [
        n.value
        for n in ast.walk(tree)
        if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in said and " " in n.value
    ]


@pytest.mark.parametrize("room", ["specc", "plugins"])
def test_texts_of_the_sources(room: str) -> None:
    found = {}
    for path in sorted((ROOT / room).rglob("*.py")):
        bad = [m.group() for text in strings(path) for m in WORDS.finditer(text)]
        if bad:
            found[str(path.relative_to(ROOT))] = bad
    assert found == {}


def test_the_table_sees_what_it_should() -> None:
    assert wrong("v1 was looked at; the overlay gives it") == ["looked at", "overlay"]
    assert wrong("gas finds the joint that nobody looked at") == []
