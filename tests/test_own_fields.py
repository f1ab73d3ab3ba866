"""A club's own fields on what has a tag: `x: {club: {...}}`, judged by the club's schema and read by its passes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from specc.engine.road import Ask, composed_schema, travel
from specc.model.result import Result
from specc.spec.editors import for_editors
from specc.testing import plugin_file

CLUB = """
from specc import PRACTICE, Trouble, found, hookimpl, rule

SPECC_CONTRACT = 2


@rule("club.plate", level="warning", statement="A hose has a plate", source=PRACTICE, reads=("plumbing", "people"),
      rests_on=("club.plate",))
def plate(ctx):
    parts = ctx.spec("plumbing").child("parts").children()
    plates = {tag: part.fields("club").text("plate") for tag, part in parts if part.fields("club").has("plate")}
    bent = {tag: p.fields("club").quantity("bend").text for tag, p in parts if p.fields("club").has("bend")}
    words = {tag: one.fields("club").text_or("team") for tag, one in ctx.spec("people").children()}
    return found([], f"{plates} {bent} {words}")


@rule("club.ghost", level="warning", statement="Nobody has fields by another name", source=PRACTICE, reads=("places",))
def ghost(ctx):
    return found([Trouble(at.here("x"), "seen") for _, at in ctx.spec("places").children() if at.fields("ghost")])


@hookimpl
def specc_schema():
    part = {
        "type": "object",
        "required": ["plate"],
        "properties": {
            "plate": {"type": "string", "description": "what stands on the plate"},
            "bend": {"x-dimension": "length", "x-above": 0},
            "spare": {"type": "string", "x-refers": "part"},
        },
    }
    people = {"type": "object", "properties": {"team": {"enum": ["red", "blue"]}, "keys": {
        "type": "array", "items": {"type": "string", "x-refers": "place"}}}}
    return {"plumbing.parts.x": part, "people.x": people, "show.scenes.x": people}


@hookimpl
def specc_passes():
    return [plate, ghost]
"""
BASE = """
format: 1
project: {title: Lantern}
people:
  ada: {role: operator, x: {club: {team: red, keys: [gate]}}}
places: {gate: {at: [0 ft, 0 ft]}}
plumbing:
  stock:
    old_hose: {is: 3/8 in swivel hose x 15 ft, x: {club: {plate: A1, bend: 4 in}}}
  parts:
    cyl: {is: 20 lb CGA 791 cylinder}
    h1: {is: 3/8 in swivel hose x 15 ft, x: {club: {plate: B2, bend: 5 in, spare: cyl}}}
    h2: {like: h1, x: {club: {plate: B3}}}
    pin_<1..2>: {kind: hose, x: {club: {plate: P<n>, bend: 2 in}}}
    pin_2: {x: {club: {bend: 3 in}}}
  runs:
    main: [cyl, h1, h2, h3: {is: 3/8 in swivel hose x 15 ft, x: {club: {plate: C4}}}, old_hose]
"""


@pytest.fixture
def club(tmp_path: Path) -> str:
    return plugin_file(tmp_path, "club", CLUB)


def run(folder: Path, club: str, old: str = "", new: str = "") -> Result:
    assert not old or BASE.count(old) == 1
    path = folder / "project.yaml"
    path.write_text(BASE.replace(old, new) if old else BASE, encoding="utf-8")
    return travel(str(path), ask=Ask(ids=frozenset({"rule club.plate", "rule club.ghost"}), plugin_files=(club,)))


def about_fields(result: Result) -> list[tuple[str, str, str, str]]:
    return [(f.rule, f.at, f.message, f.fix) for f in result.findings if "/x" in f.at or f.rule.startswith("plugin")]


def test_fields_are_read_through_every_short_form(tmp_path: Path, club: str) -> None:
    result = run(tmp_path, club)
    assert about_fields(result) == []
    plate = next(r for r in result.rules if r.id == "club.plate")
    for words in (
        "'h1': 'B2'", "'h2': 'B3'", "'h3': 'C4'", "'old_hose': 'A1'", "'pin_1': 'P1'", "'pin_2': 'P2'",
        "'h2': '5 in'", "'old_hose': '4 in'", "'pin_1': '2 in'", "'pin_2': '3 in'", "{'ada': 'red'}",
    ):  # fmt: skip
        assert words in plate.looked
    # What was only typed is stated, by the tag of the part.
    assert plate.status == "stated"
    assert "plate of h1" in plate.looked


@pytest.mark.parametrize(
    ("old", "new", "rule", "at", "message", "fix"),
    [
        ("plate: B2, bend: 5 in", "bend: 5 in", "spec.missing_key", "parts/h1/x/club", "plate", ""),
        ("plate: B2,", "plate: B2, plates: 3,", "spec.unknown_key", "h1/x/club/plates", "'plates'", "'plate'"),
        ("bend: 5 in", "bend: 5 psi", "spec.quantity", "h1/x/club/bend", "psi", ""),
        ("spare: cyl", "spare: cil", "spec.value", "h1/x/club/spare", "there is no part 'cil'", "did you mean cyl?"),
        ("[gate]", "[yard]", "spec.value", "ada/x/club/keys/0", "there is no place 'yard'", "the tag of a place"),
        ("team: red", "team: green", "spec.value", "ada/x/club/team", "'green' is not allowed", "red, blue"),
        ("{club: {team", "{klub: {team", "spec.unknown_key", "ada/x/klub", "'klub'", "did you mean 'club'?"),
        ("0 ft]}", "0 ft], x: {club: {}}}", "spec.unknown_key", "/gate/x/club", "'club' here", "has fields at plum"),
        ("0 ft]}", "0 ft], x: {ghost: {}}}", "spec.unknown_key", "/gate/x/ghost", "'ghost' here", "use: [ghost]"),
        ("0 ft]}", "0 ft], x: 3}", "spec.unknown_key", "/places/gate/x", "unknown key 'x'", ""),
    ],
)  # fmt: skip
def test_what_the_schema_refuses_or_nobody_claims_is_found(
    tmp_path: Path, club: str, old: str, new: str, rule: str, at: str, message: str, fix: str
) -> None:
    found = [f for f in about_fields(run(tmp_path, club, old, new)) if at in f[1]]
    assert found
    assert found[0][0] == rule
    assert message in found[0][2]
    assert fix in found[0][3]
    assert found[0][3]


def test_a_spec_with_fields_says_so_where_the_plugin_does_not_run(tmp_path: Path, club: str) -> None:
    path = tmp_path / "project.yaml"
    path.write_text(BASE, encoding="utf-8")
    found = [f for f in travel(str(path)).findings if "/x/club" in f.at]
    assert {f.rule for f in found} == {"spec.unknown_key"}
    assert "plugins: {use: [club]}" in found[0].fix


def test_fields_at_a_place_without_tags_are_the_plugin_s_fault(tmp_path: Path) -> None:
    wrong = plugin_file(tmp_path, "club", CLUB.replace('"plumbing.parts.x"', '"plumbing.part.x"'))
    (rule, _, message, fix), *_ = about_fields(run(tmp_path, wrong))
    assert rule == "plugin.schema"
    assert "plumbing.part," in message
    assert fix == 'did you mean "plumbing.parts.x"?'


def test_a_root_of_another_s_says_where_fields_go(tmp_path: Path) -> None:
    wrong = plugin_file(tmp_path, "club", CLUB.replace('"plumbing.parts.x"', '"plumbing"'))
    (found,) = [f for f in run(tmp_path, wrong).findings if f.rule == "plugin.contested_root"]
    assert '"plumbing.parts.x"' in found.fix


def test_an_unknown_referred_kind_is_the_plugin_s_fault(tmp_path: Path) -> None:
    wrong = plugin_file(tmp_path, "club", CLUB.replace('"x-refers": "part"', '"x-refers": "bolt"'))
    (found,) = [f for f in run(tmp_path, wrong).findings if f.rule == "plugin.schema"]
    assert "'bolt' is none of part, run" in found.message


def test_editors_know_the_fields(tmp_path: Path, club: str) -> None:
    schema = for_editors(composed_schema((club,)), fragment=True)
    Draft202012Validator.check_schema(schema)
    assert "what stands on the plate" in json.dumps(schema)
    judge = Draft202012Validator(schema)
    parts = {"h1": {"kind": "hose", "x": {"club": {"plate": "B2", "bend": "5 in"}}}}
    spec = {"plumbing": {"parts": parts}}
    assert [e.message for e in judge.iter_errors(spec)] == []
    parts["h1"]["x"]["club"]["bend"] = "five"  # type: ignore[index]
    assert [*judge.iter_errors(spec)]
