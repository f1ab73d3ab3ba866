"""What `specc explain` shows of each rule: why, and an example good and bad, as the rules' own tests have them."""

from __future__ import annotations

import json
from typing import Any

import pytest

from specc.cli import main
from specc.engine.host import find
from specc.verbs.explain import examples_file

RULES = {h.pass_.id: h.pass_ for h in find().passes if h.pass_.kind == "rule"}


def shown(rule: str) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(examples_file(RULES[rule].function).read_text(encoding="utf-8"))
    return read[rule]


# Those whose cases stand where the examples are made from; a rule tested otherwise may be without one.
HELD = sorted(
    rule
    for path in {examples_file(p.function) for p in RULES.values()}
    for rule in json.loads(path.read_text(encoding="utf-8"))
)


@pytest.mark.parametrize("rule", HELD)
def test_every_rule_has_a_why_and_an_example_good_and_bad(rule: str) -> None:
    example = shown(rule)
    assert all(example[key] for key in ("why", "good", "bad"))
    assert example["good"] != example["bad"]
    assert "expect" not in example["bad"] + example["good"]


def test_no_example_is_left_of_a_rule_that_is_gone() -> None:
    files = {examples_file(p.function) for p in RULES.values()}
    held = {rule for path in files for rule in json.loads(path.read_text(encoding="utf-8"))}
    assert held <= set(RULES), "run tests/rules/examples.py"
    assert len(held) > 0.9 * len(RULES)


def test_explain_says_all_of_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "fuel.rated_for_supply"]) == 0
    said = capsys.readouterr().out
    for word in ("source:", "why:", "limit fuel.commercial_margin", "good:", "bad:"):
        assert word in said
    assert main(["explain", "plumbing.ends_mate", "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["rule"]["example"]["bad"]
