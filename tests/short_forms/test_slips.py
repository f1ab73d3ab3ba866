"""What somebody who has only the README gets wrong at first, and whether the answer says how it is written."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from specc.cli import main
from specc.engine.host import find
from specc.engine.long_form import long_form
from specc.model.findings import Finding
from specc.spec.judge import judge
from specc.spec.schema import core
from specc.spec.source import load
from specc_plumbing.catalog import families
from specc_plumbing.short_forms.text import UnreadableText, read


def found_in(tmp_path: Path, text: str) -> tuple[dict[str, Any], list[Finding]]:
    path = tmp_path / "project.yaml"
    path.write_text("format: 1\n" + text, encoding="utf-8")
    made, found, troubles = long_form(load(path), find())
    assert troubles == []
    return made.data, found


def test_every_fitting_is_read_by_the_name_that_specc_parts_prints() -> None:
    refused = []
    for family in families():
        if family.kind != "fitting":
            continue
        for size in (family.sizes[0], family.sizes[-1]):
            said = set(size.name.lower().split())
            words = " ".join([size.name, *(w for w in family.name.split() if w.lower() not in said)])
            made = read(words)
            if isinstance(made, UnreadableText) or (made["kind"], made["form"]) != (family.kind, family.form):
                refused.append(words)
    assert refused == []
    assert read("3/4 x 1/2 NPT reducing coupling") == read("3/4 x 1/2 NPT reducer")
    assert isinstance(read("3/4 x 1/2 NPT coupling"), UnreadableText)


def test_a_range_between_braces_is_cut_at_its_comma(tmp_path: Path) -> None:
    data, found = found_in(tmp_path, "people: {<ash, bay, cob>: {role: lead | valve | fuel}, dill: {role: front}}\n")
    assert [(f.message, f.fix) for f in found] == [
        (
            "the range <ash, bay, cob> is cut at its comma, which ends a key between braces",
            'put it in quotes: "<ash, bay, cob>"',
        )
    ]
    assert data["people"] == {"dill": {"role": "front"}}
    assert found_in(tmp_path, 'people: {"<ash, bay, cob>": {role: lead | valve | fuel}}\n')[1] == []


@pytest.mark.parametrize("item", ["sv_<1..2>: 3/4 NPT solenoid valve", "sv_<1..2>"])
def test_a_range_does_not_stand_in_a_line(tmp_path: Path, item: str) -> None:
    _, found = found_in(tmp_path, f"plumbing:\n  runs:\n    main: [tank, {item}, ring]\n")
    assert [(f.message, f.place.line) for f in found] == [("a range cannot stand in a line: sv_<1..2>", 4)]
    assert "under parts:" in found[0].fix


def test_a_bar_between_lists_is_told_where_it_goes(tmp_path: Path) -> None:
    path = tmp_path / "project.yaml"
    path.write_text("show: {scenes: {x: {steady: [] | [puff]}}}\n", encoding="utf-8")
    assert [f.fix for f in load(path).faults] == ["put the bars inside: [a | b, c | d]"]


def test_a_text_that_a_comma_ended_is_told_to_be_quoted() -> None:
    held = judge(core(), {"format": 1, "places": {"box": {"note": "top of the riser", "with its pilot": None}}})
    fixes = [r.fix for r in held.refusals if "with its pilot" in r.message]
    assert fixes == ["if it belongs to the text before it, put that text in quotes: a comma ends it between braces"]
    held = judge(core(), {"format": 1, "places": {"box": {"nota": "x"}}})
    assert [r.fix for r in held.refusals if "nota" in r.message] == ["did you mean 'note'?"]


def test_explain_tells_a_limit_with_the_rules_that_read_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "operators.at_hand"]) == 0
    said = capsys.readouterr().out
    assert "read by operators.at_valves" in said
    assert "6 ft; a smaller value is safer" in said
    assert main(["explain", "operators.at_hnad"]) == 2
    assert "did you mean operators.at_hand?" in capsys.readouterr().err


def test_an_orifice_by_the_catalogs_family_gets_its_bore_and_coefficient_whatever_its_ends(tmp_path: Path) -> None:
    data, found = found_in(
        tmp_path,
        """plumbing:
  parts:
    a: {is: No. 60 drill feed orifice, ends: [1/4 male NPT, 1/4 male NPT]}
    b: {is: No. 60 drill feed orifice, discharge: 0.8}
    c: {is: No. 60 orifice}
""",
    )
    assert found == []
    parts = data["plumbing"]["parts"]
    bored = {"kind": "orifice", "bore": "0.0400 in"}
    assert parts["a"] == {**bored, "discharge": "0.65", "ends": ["1/4 male NPT", "1/4 male NPT"]}
    assert parts["b"] == {**bored, "discharge": 0.8}
    assert parts["c"] == bored  # a hole of which nobody says that its edge is sharp lets more out


def test_a_size_that_is_not_there_is_told_from_one_of_several_and_never_offered_again() -> None:
    typed = "3/8 flare x 1/4 FNPT flare connector"
    lacking = read(typed)
    assert isinstance(lacking, UnreadableText)
    assert lacking.message == f"the catalog has no {typed!r}"
    offered = lacking.fix.removeprefix("nearest: ").split("; ")[:-1]
    assert offered[0] == "3/8 flare x 1/4 FNPT connector for male pipe"
    assert typed not in offered
    assert not any(isinstance(read(name), UnreadableText) for name in offered)
    several = read("3/8 ball valve")
    assert isinstance(several, UnreadableText)
    assert several.message == "the catalog has several that '3/8 ball valve' may mean"
    assert several.fix == "write which: 3/8 in NPT ball valve; 3/8 in flare ball valve"


def test_a_word_between_angles_that_is_not_n_is_one_finding(tmp_path: Path) -> None:
    text = 'operators: {shifts: {"<ash, bay>": {person: <name>, role: <n>}}}\n'
    data, found = found_in(tmp_path, text)
    assert [(f.message, f.fix) for f in found] == [
        ("<name> stands for nothing in a range", "write <n>, whether the range has numbers or names")
    ]
    assert data["operators"]["shifts"]["bay"] == {"person": "bay", "role": "bay"}


def test_two_ranges_in_one_tag_and_an_n_in_none_are_told(tmp_path: Path) -> None:
    """Written out by the first alone, `sv_l_<1..2>` would be one valve with an odd tag."""
    text = 'plumbing: {parts: {"sv_<l, r>_<1..2>": {kind: valve}, "v_<n>": {kind: valve}}}\n'
    data, found = found_in(tmp_path, text)
    assert [f.message for f in found] == [
        "sv_<l, r>_<1..2> has two ranges, and a range's <n> is one",
        "v_<n> stands in no range, so <n> is nothing",
    ]
    assert "sv_l_<1..2>" not in data["plumbing"]["parts"]
