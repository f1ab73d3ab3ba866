"""The schema for editors: it takes whatever the tool takes, short forms too, and shows usual faults by itself."""

from __future__ import annotations

import copy
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from specc.cli import main
from specc.dims import DIMENSIONS
from specc.engine.road import composed_schema
from specc.measure import units
from specc.measure.reading import BadQuantity, parse
from specc.spec.editors import for_editors, quantity_pattern
from specc.spec.source import load

ROOT = Path(__file__).resolve().parents[2]
GARDEN = ROOT / "sample_projects/garden_brazier/project.yaml"
SOUND = [
    GARDEN,
    ROOT / "sample_projects/lantern_reeds/project.yaml",
    ROOT / "tests/short_forms/device.yaml",
    ROOT / "tests/short_forms/threefold.yaml",
    *sorted((ROOT / "tests/rules").glob("*.yaml")),
]
FAULTS = yaml.safe_load((Path(__file__).parent / "usual_faults.yaml").read_text(encoding="utf-8"))


@cache
def judge(fragment: bool = False) -> Draft202012Validator:
    made = for_editors(composed_schema(()), fragment=fragment)
    Draft202012Validator.check_schema(made)
    return Draft202012Validator(made)


def told(data: object, fragment: bool = False) -> list[str]:
    return [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}" for e in judge(fragment).iter_errors(data)]


@pytest.mark.parametrize("path", SOUND, ids=lambda p: f"{p.parent.name}/{p.name}")
def test_what_the_tool_takes_an_editor_takes(path: Path) -> None:
    assert told(load(str(path), []).data) == []


@pytest.mark.parametrize("name", ["plumbing", "control", "crew", "structure", "site"])
def test_an_included_file_is_a_fragment(name: str) -> None:
    data = load(str(ROOT / f"sample_projects/lantern_reeds/{name}.yaml"), []).data
    assert told(data, fragment=True) == []
    assert any("required" in line for line in told(data))
    assert told({**data, "plumming": {}}, fragment=True)


def edited(fault: dict[str, Any]) -> dict[str, Any]:
    data = copy.deepcopy(load(str(GARDEN), []).data)
    *way, last = fault["at"].strip("/").split("/")
    here: Any = data
    for step in way:
        here = here[int(step) if isinstance(here, list) else step]
    key = int(last) if isinstance(here, list) else last
    if "write" in fault:
        here[key] = fault["write"]
    elif "rename" in fault:
        here[fault["rename"]] = here.pop(key)
    else:
        del here[key]
    return data


def test_of_twenty_usual_faults_it_shows_sixteen() -> None:
    assert len(FAULTS) == 20
    assert sum(f["sees"] for f in FAULTS) >= 16


@pytest.mark.parametrize("fault", FAULTS, ids=lambda f: f["fault"])
def test_a_usual_fault(fault: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = edited(fault)
    assert bool(told(data)) == fault["sees"]
    # Whether or not an editor sees it, the tool does.
    spec = tmp_path / "project.yaml"
    spec.write_text(yaml.safe_dump(data, allow_unicode=True, sort_keys=False), encoding="utf-8")
    assert main(["check", str(spec)]) in (1, 2)
    capsys.readouterr()


SPELLED = [(dim, s) for dim in DIMENSIONS for u in units.known(dim).values() for s in (u.name, *u.also)]


@pytest.mark.parametrize("dim", sorted(DIMENSIONS))
def test_each_spelling_of_a_unit_fits_its_pattern(dim: str) -> None:
    pattern = re.compile(quantity_pattern(dim))
    for of, spelling in SPELLED:
        for number in ("4", "1,250", "0.5", "1 1/2", "½"):
            for text in (f"{number} {spelling}", f"{number}{spelling}", f"{number} {spelling.upper()}"):
                if of == dim and not isinstance(parse(text, dim), BadQuantity):
                    assert pattern.search(text), text
    if dim not in ("ratio", "count"):
        assert not pattern.search("4")
    assert not pattern.search("some")


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(["", "-", "+"]),
    st.sampled_from(["4", "12", "1.5", "3/4", "1 3/8", "2,500", "1e3", ".5"]),
    st.sampled_from(["in", "ft", "feet", "inches", "mm", "m", "cm"]),
    st.sampled_from(["", " ± 0.1", " +/- 2 %", " 6 in", " - 0.1 in", " + 0.1 - 0.2"]),
)
def test_whatever_reads_as_a_length_fits(sign: str, number: str, unit: str, rest: str) -> None:
    text = f"{sign}{number} {unit}{rest}"
    if not isinstance(parse(text, "length", signed=True), BadQuantity):
        assert re.search(quantity_pattern("length"), text)


@pytest.mark.parametrize(
    ("dim", "text"),
    [("length", "4 psi"), ("gauge_pressure", "4 ft"), ("temperature", "70"), ("duration", "2 lb"), ("mass", "3 gal")],
)
def test_a_unit_of_something_else_is_shown(dim: str, text: str) -> None:
    assert not re.search(quantity_pattern(dim), text)


def test_descriptions_explain(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    text = capsys.readouterr().out
    made = json.loads(text)
    assert '"description": "add ' not in text
    assert '"x-' not in text
    assert made["properties"]["event"]["properties"]["elevation"]["examples"] == ["400 ft"]
    assert len(json.dumps(made, separators=(",", ":"))) < 150_000  # without the indents, which are half of the text


def test_a_fragment_from_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "--fragment"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert "required" not in made
    assert "required" not in made["properties"]["event"]
