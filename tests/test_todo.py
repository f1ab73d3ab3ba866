"""Where in the spec what was not checked would be answered: told by whoever says so, and known to the schema."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from specc.engine.road import CHECK, Ask, composed_schema, travel
from specc.model.findings import Trouble, Unchecked, Verdict
from specc.model.passes import Judging, concluded, each, judged, not_checked, passed
from specc.model.result import Result, RuleOutcome
from specc.model.view import Unreadable
from specc.report.todo import answer, in_keys, unchecked
from specc.spec.source.places import steps_of

ROOT = Path(__file__).resolve().parents[1]
RULES = ROOT / "tests" / "rules"
SPECS = [
    *(RULES / f"{name}.yaml" for name in ("materials", "leak_tests", "mating", "site", "vessels", "fuel")),
    *(ROOT / "sample_projects" / name / "project.yaml" for name in ("broken_mast", "garden_brazier")),
]
# What no key answers: it is seen on site, asked of an authority or a maker, or no source covers it.
SEEN_ELSEWHERE = {"flame.sent", "fuel.connection_flow", "plumbing.bend_radius", "plumbing.pilot_kept"}
EMPTY = "format: 1\nevent: {elevation: 420 ft}\n"


def below(schema: object, step: str) -> Iterator[object]:
    """The schemas of what may stand under a step."""
    if not isinstance(schema, dict):
        return
    for one in (*schema.get("allOf", ()), *schema.get("anyOf", ()), *schema.get("oneOf", ())):
        yield from below(one, step)
    for one in schema.get("x-choose", {}).get("from", {}).values():
        yield from below(one, step)
    if step in schema.get("properties", {}):
        yield schema["properties"][step]
    yield from (one for one in (schema.get("additionalProperties"),) if isinstance(one, dict))
    yield from (schema["items"],) if step.isdigit() and "items" in schema else ()


def is_known(pointer: str) -> bool:
    found: list[Any] = [composed_schema()]
    for step in steps_of(pointer):
        found = [one for schema in found for one in below(schema, step)]
    return bool(found)


def test_what_is_known() -> None:
    assert is_known("/operators/emergency/meets")
    assert is_known("/plumbing/parts/g1/reads_to")
    assert is_known("/places/*/kind")
    assert not is_known("/operators/emergency/meeting")
    assert not is_known("/plumbing/part/g1")


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> list[Result]:
    empty = tmp_path_factory.mktemp("empty") / "empty.yaml"
    empty.write_text(EMPTY, encoding="utf-8")
    return [travel(str(path), ask=Ask(CHECK)) for path in (*SPECS, empty)]


def test_each_answer_stands_at_a_key_of_the_schema(results: list[Result]) -> None:
    given = {(rule.id, at) for result in results for rule in unchecked(result) for at in rule.answers if at}
    assert len(given) > 200
    assert not sorted((id_, at) for id_, at in given if not is_known(at))


def test_whoever_did_not_check_says_what_would_answer(results: list[Result]) -> None:
    silent = {rule.id for result in results for rule in unchecked(result) if not answer([rule], result)}
    assert silent - SEEN_ELSEWHERE == set()


TROUBLE = Trouble("/x", "wrong")


def test_a_rule_that_yields_keeps_its_answers() -> None:
    def judging() -> Judging:
        yield Unchecked("its length is not stated", "/plumbing/parts/h1/length")
        yield "nobody knows"
        yield Unchecked("its bore is not stated", "/plumbing/parts/h1/bore")
        return passed("")

    made = concluded(judging())
    assert made.status == "not checked"
    assert made.answers == ("/plumbing/parts/h1/length", "/plumbing/parts/h1/bore")


def test_a_value_that_cannot_be_read_is_the_answer() -> None:
    def judging() -> Judging:
        yield TROUBLE
        raise Unreadable("/plumbing/parts/h1/length")

    assert concluded(judging()).status == "failed"

    def refused() -> Judging:
        yield "nobody knows"
        raise Unreadable("/plumbing/parts/h1/length")

    with pytest.raises(Unreadable):  # the host tells it
        concluded(refused())


def test_each_and_judged_keep_answers() -> None:
    def judge(tag: str) -> list[Trouble | str]:
        return [Unchecked(f"{tag}: its length", f"/plumbing/parts/{tag}/length")]

    wanted = ("/plumbing/parts/a/length", "/plumbing/parts/b/length")
    assert each(["a", "b"], judge, "part", "none").answers == wanted
    assert judged([], [Unchecked("why", "/people")], "").answers == ("/people",)
    assert judged([TROUBLE], [Unchecked("why", "/people")], "").answers == ()


def test_a_reason_carries_its_answers_on() -> None:
    why = Unchecked("the hours are not known", "/event/hours")
    said = "the hours are not known"
    assert not_checked(why) == Verdict("not checked", said, answers=("/event/hours",), left=(said,))
    assert not_checked(why, "/people").answers == ("/event/hours", "/people")
    assert not_checked("nobody knows").answers == ()
    assert type(not_checked(why).looked) is str


CLUB = """# plugin: club.py
from specc import PRACTICE, Context, Key, Unchecked, Verdict, hookimpl, not_checked, passed, rule, value

SPECC_CONTRACT = 2
SIGNS = Key("club.signs", tuple)
{}

@hookimpl
def specc_passes():
    return [{}]
"""
RULE = '@rule("club.signs_up", level="note", statement="s", source=PRACTICE, needs={}, wants={}, reads=("event",))\n'


def outcome(text: str, passes: str, tmp_path: Path, spec: str = EMPTY) -> tuple[RuleOutcome, Result]:
    (tmp_path / "club.py").write_text(CLUB.format(text, passes), encoding="utf-8")
    (tmp_path / "s.yaml").write_text(spec, encoding="utf-8")
    result = travel(str(tmp_path / "s.yaml"), ask=Ask(CHECK, plugin_files=(str(tmp_path / "club.py"),)))
    return next(r for r in result.rules if r.id == "club.signs_up"), result


def test_a_plugin_says_it_with_one_argument(tmp_path: Path) -> None:
    text = RULE.format("()", "()") + 'def signs(ctx):\n    return not_checked("no signs", "/places/*/kind")\n'
    made, result = outcome(text, "signs", tmp_path)
    assert made.answers == ("/places/*/kind",)
    assert answer([made], result) == "places: kind:"


def test_what_is_missing_before_it_answers_too(tmp_path: Path) -> None:
    """The key that a pass before it could not read is the answer to the rule that needs it."""
    text = '@value(SIGNS, reads=("event",))\ndef made(ctx):\n    return (ctx.spec("event").quantity("elevation"),)\n'
    text += RULE.format("(SIGNS,)", "()") + 'def signs(ctx):\n    return passed("")\n'
    made, result = outcome(text, "made, signs", tmp_path, "format: 1\nevent: {elevation: high}\n")
    assert made.status == "blocked"
    assert answer([made], result) == "event: elevation:, where a finding stands"


def test_what_is_lacking_answers_too(tmp_path: Path) -> None:
    text = '@value(SIGNS)\ndef made(ctx):\n    ctx.lacks("a sign", "nobody says where", "/places")\n    return ()\n'
    text += RULE.format("()", "(SIGNS,)") + 'def signs(ctx):\n    return passed("all")\n'
    made, result = outcome(text, "made, signs", tmp_path)
    assert made.status == "not checked"
    assert answer([made], result) == "places:"


def test_many_are_counted() -> None:
    shown = in_keys([f"/plumbing/parts/v{n}/listed" for n in range(6)])
    assert shown == "plumbing: parts: v0, v1, v2 and 3 more: listed:"
    assert in_keys(()) == ""
