"""Short forms mean what their long forms mean, stand at their own lines, and refuse what is ambiguous."""

from __future__ import annotations

import json
import random
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from specc.cli import VERBS, main
from specc.engine.host import find
from specc.engine.long_form import long_form
from specc.engine.road import CHECK, COMPILE, Ask, travel
from specc.model.blocks import Para
from specc.model.findings import Finding
from specc.spec.source import load

HERE = Path(__file__).parent
SAMPLES = HERE.parent.parent / "sample_projects"
GARDEN = SAMPLES / "garden_brazier" / "project.yaml"


@pytest.fixture
def reeds(tmp_path: Path) -> Path:
    folder = tmp_path / "reeds"
    shutil.copytree(SAMPLES / "lantern_reeds", folder)
    return folder / "project.yaml"


def written_out(path: Path) -> dict[str, Any]:
    source, found, troubles = long_form(load(path), find())
    assert (found, troubles) == ([], [])
    return source.data


def figures(path: Path) -> dict[str, Any]:
    result = travel(str(path), ask=Ask(CHECK))
    assert [f for f in result.findings if f.level == "error"] == []
    return {f.key: tuple((c.case, pytest.approx(c.worked.si, rel=1e-12)) for c in f.cases) for f in result.figures}


def of_plumbing(tmp_path: Path, text: str) -> tuple[dict[str, Any], list[Finding]]:
    (tmp_path / "project.yaml").write_text("format: 1\nplumbing:\n" + text, encoding="utf-8")
    source, found, troubles = long_form(load(tmp_path / "project.yaml"), find())
    assert troubles == []
    plumbing: Any = source.data["plumbing"]
    return plumbing, found


def test_the_short_garden_has_the_figures_of_the_long_one() -> None:
    assert figures(GARDEN) == figures(HERE / "long" / "garden.yaml")


def test_the_short_reeds_have_the_figures_of_the_long_ones(reeds: Path) -> None:
    # Wiring, structure and plan came later and stand in the sample alone: they have no short and long form to compare.
    text = reeds.read_text(encoding="utf-8")
    for name in ("control.yaml", "structure.yaml", "site.yaml"):
        (reeds.parent / name).unlink()
        text = text.replace(f" {name},", "").replace(f", {name}]", "]")
    reeds.write_text(text, encoding="utf-8")
    assert figures(reeds) == figures(HERE / "long" / "reeds" / "project.yaml")


@pytest.mark.parametrize("name", ["garden", "reeds"])
def test_the_long_form_of_the_long_form_is_itself(name: str, reeds: Path, tmp_path: Path) -> None:
    data = written_out(GARDEN if name == "garden" else reeds)
    again = tmp_path / "long.yaml"
    again.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), encoding="utf-8")
    assert written_out(again) == data


@pytest.mark.parametrize("long", ["garden.yaml", "reeds/project.yaml"])
def test_a_long_form_stays_as_it_is(long: str) -> None:
    path = HERE / "long" / long
    assert written_out(path) == load(path).data


@pytest.mark.parametrize(("files", "most"), [("garden_brazier", 95), ("lantern_reeds", 330)])
def test_the_samples_stay_short(files: str, most: int) -> None:
    """Structure, plan with its stores, what stands near flames, and tests for leaks have bounds of their own."""
    lines = {p.name: len(p.read_text(encoding="utf-8").splitlines()) for p in (SAMPLES / files).glob("*.yaml")}
    assert lines.pop("structure.yaml", 0) <= 65
    assert lines.pop("site.yaml", 0) <= 55
    lines.pop("private.example.yaml", None)
    text = (SAMPLES / files / "project.yaml").read_text(encoding="utf-8")
    near = re.search(r"^things:\n.*?(?=^effects:)", text, re.MULTILINE | re.DOTALL)
    beside = len(near.group().splitlines()) if near else 0
    assert beside <= 10
    plumbing = SAMPLES / files / ("plumbing.yaml" if "plumbing.yaml" in lines else "project.yaml")
    tests = re.search(r"^  tests:\n(?:    .*\n)+", plumbing.read_text(encoding="utf-8"), re.MULTILINE)
    assert tests
    assert tests.group().count("\n") <= 8
    beside += tests.group().count("\n")
    assert sum(lines.values()) - beside <= most


@pytest.mark.parametrize("name", ["device.yaml", "threefold.yaml"])
def test_the_device_is_described_in_a_hundred_lines(name: str) -> None:
    """Three rings and a burst, told twice; threefold.yaml by a maker who had nothing but the README and the help."""
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 100
    assert max(map(len, lines)) <= 110
    result = travel(str(HERE / name), ask=Ask(COMPILE))
    # Three extinguishers cannot be two of each kind: that one finding is so, and has to be said.
    assert [f.rule for f in result.findings if f.level == "error"] == ["extinguishers.minimum_set"]
    assert len(result.figures) > 50
    assert len(result.sections) > 10


def shuffled(data: Any, chance: random.Random) -> Any:
    if isinstance(data, dict):
        keys = list(data)
        chance.shuffle(keys)
        return {key: shuffled(data[key], chance) for key in keys}
    return [shuffled(item, chance) for item in data] if isinstance(data, list) else data


@pytest.mark.parametrize("seed", range(8))
def test_the_order_of_keys_changes_nothing(seed: int, reeds: Path, tmp_path: Path) -> None:
    for path in (GARDEN, reeds):
        other = tmp_path / f"shuffled_{path.parent.name}.yaml"
        data = shuffled(load(path).data, random.Random(seed))
        other.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), encoding="utf-8")
        assert written_out(other) == written_out(path)


def test_findings_stand_at_the_short_files_lines(reeds: Path) -> None:
    plumbing = reeds.parent / "plumbing.yaml"
    text = plumbing.read_text(encoding="utf-8")
    plumbing.write_text(
        text.replace("3/8 flare x 1/4 MNPT connector\n        - t_r", "1/2 NPT coupling\n        - t_r"),
        encoding="utf-8",
    )
    line = next(
        n for n, words in enumerate(text.splitlines(), 1) if words.strip() == "- 3/8 flare x 1/4 MNPT connector"
    )
    found = [f for f in travel(str(reeds)).findings if f.level == "error"]
    assert found
    assert {f.place.file for f in found} == {str(plumbing)}
    assert line in {f.place.line for f in found}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1/4 NPT relief valve 60 psi", "pressure"),
        ("3/8 x 1/4 connector", "has several that"),
        ("1/2 flange", "does not name a part"),
        ("1/2 in NPT ball valve x 3 ft", "has no length"),
        ("1/2 in NPT tea", "does not name a part"),
        ("9 lbs cylinder", "no size of a cylinder"),
        ("1/7 NPT tee", "the catalog has no"),
        ("3/8 tube", "outside diameter"),
    ],
)
def test_a_text_that_cannot_be_read_is_refused(tmp_path: Path, text: str, says: str) -> None:
    _, found = of_plumbing(tmp_path, f"  parts:\n    a: {{is: {text}}}\n  runs: {{m: [a]}}\n")
    assert len(found) == 1
    assert says in found[0].message
    assert found[0].fix
    assert (found[0].place.line, found[0].place.column) == (4, 13)


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("1/2 NPT close nipple", {"kind": "fitting", "form": "nipple", "length": "1-1/8 in"}),
        ("40 lb CGA 510 cylinder", {"kind": "cylinder", "capacity": "40 lb", "connection": "CGA 510"}),
        ("3/8 OD type L flared tube x 4 ft", {"kind": "tube", "wall": "0.030 in", "length": "4 ft", "grade": "L"}),
        ("No. 60 orifice", {"kind": "orifice", "bore": "0.0400 in"}),
        ("1/4 NPT schedule 40 pipe x 15 ft", {"kind": "pipe", "schedule": 40, "length": "15 ft"}),
        ("3/8 in swivel hose x 15 ft", {"bore": "3/8 in", "ends": ["3/8 female flare", "3/8 female flare"]}),
        ("5 gal accumulator", {"kind": "accumulator", "volume": "5 gal"}),
    ],
)
def test_a_text_says_what_the_catalog_knows(tmp_path: Path, text: str, keys: dict[str, Any]) -> None:
    plumbing, found = of_plumbing(tmp_path, f"  parts:\n    a: {{is: {text}}}\n  runs: {{m: [a]}}\n")
    assert found == []
    assert {key: plumbing["parts"]["a"].get(key) for key in keys} == keys


def test_own_keys_go_before_text_text_before_like_like_before_class(tmp_path: Path) -> None:
    plumbing, found = of_plumbing(
        tmp_path,
        "  materials: {nipple: steel, elbow: iron}\n  parts:\n    n: {is: 1/4 NPT nipple x 2 in, length: 3 in}\n"
        "    a: {is: 1/4 NPT elbow, material: brass}\n    b: {is: 1/2 NPT elbow, like: a}\n    c: {is: 1/4 NPT elbow}\n"
        "  runs:\n    m: {materials: {elbow: copper}, line: [n, a, b, c]}\n",
    )
    assert found == []
    parts = plumbing["parts"]
    assert (parts["n"]["length"], parts["n"]["material"]) == ("3 in", "steel")
    assert (parts["b"]["size"], parts["b"]["material"]) == ("1/2 in NPT", "brass")
    assert parts["c"]["material"] == "copper"
    assert "materials" not in plumbing


def test_like_takes_over_nothing_that_is_read_from_the_one_thing_in_hand(tmp_path: Path) -> None:
    plumbing, _ = of_plumbing(
        tmp_path,
        "  parts:\n    a: {is: 20 lb CGA 510 cylinder, diameter: 12 in, tare: 18 lb, made: 2020-01, place: x,\n"
        "        requalified: 2024-01, overfill_device: true, secured: a chain, upright: true, material: steel}\n"
        "    b: {is: 40 lb CGA 510 cylinder, like: a}\n    c: {like: a}\n  runs: {m: [a], n: [b], o: [c]}\n",
    )
    assert plumbing["parts"]["b"] == {
        "kind": "cylinder", "capacity": "40 lb", "connection": "CGA 510", "material": "steel",
        "diameter": "12.5 in", "height": "29 in",  # what is typical, not what a has
    }  # fmt: skip
    assert plumbing["parts"]["c"]["diameter"] == "12 in"
    assert {"tare", "made", "requalified", "place", "secured"} & set(plumbing["parts"]["c"]) == set()


@pytest.mark.parametrize("kind", ["cylinder", "regulator", "hose", "valve", "ball", "relief", "gauge", "accumulator"])
def test_what_can_fail_alone_is_not_rated_by_class(tmp_path: Path, kind: str) -> None:
    plumbing, found = of_plumbing(
        tmp_path, f"  ratings: {{{kind}: 250 psi}}\n  parts: {{v: {{is: 1/4 NPT ball valve}}}}\n  runs: {{m: [v]}}\n"
    )
    assert [f.place.line for f in found] == [3]
    assert "rating" not in plumbing["parts"]["v"]


def test_a_stamp_is_read_and_contradicted_by_no_rating(tmp_path: Path) -> None:
    text = (
        "  parts:\n    a: {{is: 20 lb cylinder, marking: DOT-4BW240{}}}\n"
        "    h: {{is: 3/8 in swivel hose x 3 ft, marking: LP-GAS 350 PSI}}\n  runs: {{m: [a, h]}}\n"
    )
    plumbing, found = of_plumbing(tmp_path, text.format(""))
    assert found == []
    assert [plumbing["parts"][tag]["rating"] for tag in "ah"] == ["240 psi", "350 psi"]
    _, found = of_plumbing(tmp_path, text.format(", rating: 300 psi"))
    assert [(f.rule, f.place.line) for f in found] == [("spec.stamp", 4)]


def test_a_drills_number_and_another_bore_are_told(tmp_path: Path) -> None:
    for bore, told in (("0.05 in", ["spec.stamp"]), ("0.0280 in", []), ("0.71 mm", [])):
        text = f"  parts:\n    fo: {{is: No. 70 orifice, bore: {bore}, discharge: 0.8}}\n"
        found = of_plumbing(tmp_path, text + "  runs: {m: [fo]}\n")[1]
        assert [f.rule for f in found if f.rule == "spec.stamp"] == told, bore


def test_like_takes_no_day_over_from_inside_another(tmp_path: Path) -> None:
    plumbing, _ = of_plumbing(
        tmp_path,
        "  parts:\n    a: {is: 1/4 NPT union, joint: {method: union, comes_apart: true, reassembled: 2027-06-01}}\n"
        "    b: {like: a}\n  runs: {m: [a, b]}\n",
    )
    assert plumbing["parts"]["b"]["joint"] == {"method": "union", "comes_apart": True}


@pytest.mark.parametrize("kind", ["fitting", "pipe", "tube", "orifice", "burner"])
def test_every_kind_that_may_be_rated_by_class_is(tmp_path: Path, kind: str) -> None:
    part = {"fitting": "form: elbow", "burner": "form: ring"}.get(kind, "")
    plumbing, found = of_plumbing(
        tmp_path,
        f"  ratings: {{{kind}: 250 psi, basis: data sheet}}\n  parts: {{v: {{kind: {kind}, {part}}}}}\n  runs: {{}}\n",
    )
    assert found == []
    assert (plumbing["parts"]["v"]["rating"], plumbing["parts"]["v"]["rating_basis"]) == ("250 psi", "data sheet")


@pytest.mark.parametrize("kind", ["cylinder", "regulator", "hose", "valve", "gauge", "accumulator", "pilot"])
def test_no_other_kind_is_rated_by_class(tmp_path: Path, kind: str) -> None:
    plumbing, found = of_plumbing(
        tmp_path,
        f"  ratings: {{{kind}: 250 psi, basis: data sheet}}\n  parts: {{v: {{kind: {kind}}}}}\n  runs: {{}}\n",
    )
    assert [f.message for f in found] == [f"a {kind} is not rated by class"]
    assert "rating" not in plumbing["parts"]["v"]


def test_ratings_by_class_say_where_they_are_read(tmp_path: Path) -> None:
    _, found = of_plumbing(tmp_path, "  ratings: {fitting: 250 psi}\n  runs: {m: [1/4 NPT elbow]}\n")
    assert [(f.message, f.place.line) for f in found] == [("ratings by class do not say where they are read", 3)]


@pytest.mark.parametrize(
    ("classes", "says"),
    [("materials: brass", "is no list"), ("materials: {conector: brass}", "neither a kind nor a form")],
)
def test_a_class_that_would_give_nothing_is_found(tmp_path: Path, classes: str, says: str) -> None:
    _, found = of_plumbing(tmp_path, f"  {classes}\n  runs: {{m: [1/4 NPT elbow]}}\n")
    assert [f.place.line for f in found] == [3]
    assert says in found[0].message


NOT_LIKE = {
    "made": "2020-01", "requalified": "2021-02", "requalified_by": "proof", "tare": "18 lb", "contents": "15 lb",
    "cleaned": True, "place": "x", "title": "t", "note": "n", "overfill_device": True, "secured": "a chain",
    "upright": True, "tested": "2020-01-01",
}  # fmt: skip


@pytest.mark.parametrize("key", NOT_LIKE)
def test_like_never_takes_over(tmp_path: Path, key: str) -> None:
    given = json.dumps(NOT_LIKE[key])
    plumbing, _ = of_plumbing(
        tmp_path,
        f"  parts:\n    a: {{kind: cylinder, material: steel, {key}: {given}}}\n    b: {{like: a}}\n  runs: {{}}\n",
    )
    assert plumbing["parts"]["b"]["material"] == "steel"
    assert key not in plumbing["parts"]["b"]


BY_DEFAULT = {
    "tare", "marking", "made", "overfill_device", "secured", "upright", "withdrawal", "rating", "discharge", "cv",
    "set", "highest", "lock_up", "opens", "droop", "requalified", "contents", "joint", "filler", "sealant",
}  # fmt: skip


@pytest.mark.parametrize(
    "text",
    ["20 lb CGA 791 cylinder", "1/4 NPT solenoid valve", "1/4 NPT relief valve", "No. 60 orifice", "5 gal accumulator",
     "1/2 NPT ball valve", "CGA 510 x 1/4 FNPT high-pressure regulator", "3/8 in swivel hose x 3 ft",
     "1/4 MNPT ring burner", "3/8 OD type L flared tube x 4 ft"],
)  # fmt: skip
def test_nothing_that_is_stamped_or_chosen_is_filled_in_by_a_text(tmp_path: Path, text: str) -> None:
    plumbing, _ = of_plumbing(tmp_path, f"  parts: {{a: {text}}}\n  runs: {{m: [a]}}\n")
    assert set(plumbing["parts"]["a"]) & BY_DEFAULT == set()


def test_a_cylinders_usual_shape_is_said_to_be_that_wherever_it_counts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "project.yaml"
    path.write_text(
        GARDEN.read_text(encoding="utf-8").replace("diameter: 12.5 in, height: 18 in, ", ""), encoding="utf-8"
    )
    result = travel(str(path))
    rests = {key for key, _ in result.typical}
    assert "fuel.boil_off.tank_a" in rests
    assert "typical of 20 lb, not measured" in result.rests_on("fuel.boil_off.tank_a")
    main(["figures", str(path)])
    assert "not measured: tank_a diameter 12.5 in, typical of 20 lb" in capsys.readouterr().out
    main(["trace", str(path), "fuel.boil_off.tank_a"])
    assert "(typical of 20 lb, not measured" in capsys.readouterr().out
    # All that moves with the shape says so.
    text = path.read_text(encoding="utf-8").replace("tare: 18 lb", "diameter: 11 in, height: 17 in, tare: 18 lb")
    path.write_text(text, encoding="utf-8")
    other = {f.key: f.si for f in travel(str(path)).figures}
    assert {f.key for f in result.figures if other.get(f.key) != f.si} <= rests


def test_a_stamp_in_another_unit_is_the_same_stamp(tmp_path: Path) -> None:
    text = "  parts:\n    a: {{is: 20 lb cylinder, marking: DOT-4BW240, rating: {}}}\n  runs: {{m: [a]}}\n"
    assert of_plumbing(tmp_path, text.format("1655 kPa"))[1] == []
    assert [f.rule for f in of_plumbing(tmp_path, text.format("20 bar"))[1]] == ["spec.stamp"]


@pytest.mark.parametrize(
    "more",
    [
        "effects: {a: {kind: steady, outlets: [m.1]}}",
        "waivers: {w: {rule: plumbing.ends_mate, about: m.1, reason: r, who: w, until: 2027-01-01}}",
        "places: {p: {near: m.1}}",
    ],
)
def test_a_counted_name_is_never_referred_to(tmp_path: Path, more: str) -> None:
    text = f"  runs: {{m: [c, 1/4 NPT elbow]}}\n{more}\n"
    _, found = of_plumbing(tmp_path, text)
    assert [(f.message, f.place.line, f.fix) for f in found] == [
        ("m.1 is a counted name, which moves", 4, "give the part a tag")
    ]


def test_a_counted_name_is_not_named_in_a_run_or_joint(tmp_path: Path) -> None:
    _, found = of_plumbing(
        tmp_path,
        "  runs:\n    m: [c, t: 1/4 NPT tee, 1/4 NPT elbow]\n    k: [t+1, 1/4 NPT elbow]\n  joints:\n"
        "    j: {between: [t, t+1], method: threaded}\n    k: {after: t+1, method: threaded}\n",
    )
    assert sorted(f.place.line for f in found) == [5, 7, 8]


@pytest.mark.parametrize("word", ["regulator", "ball valve", "swivel hose", "CGA 791 cylinder", "orifice", "elbow"])
def test_one_misspelt_part_is_one_finding(tmp_path: Path, word: str) -> None:
    path = tmp_path / "project.yaml"
    text = GARDEN.read_text(encoding="utf-8")
    at = text.index(word, text.index("  runs:"))
    path.write_text(text[: at + len(word) - 2] + text[at + len(word) - 1 :], encoding="utf-8")
    assert [f.rule for f in travel(str(path)).findings] == ["spec.short_form"]


@pytest.mark.parametrize("kind", ["cylinder", "regulator", "hose", "pipe", "fitting", "valve", "orifice", "burner"])
def test_one_misspelt_kind_is_one_finding(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "project.yaml"
    text = (HERE / "long" / "garden.yaml").read_text(encoding="utf-8")
    path.write_text(text.replace(f"kind: {kind}\n", f"kind: {kind[:-1]}\n", 1), encoding="utf-8")
    result = travel(str(path))
    assert [f.rule for f in result.findings] == ["spec.value"]
    assert result.draft
    # Nothing that hangs on what the part may be has passed.
    left = {r.id for r in result.rules if r.status == "blocked"}
    assert {"fuel.rated_for_supply", "fuel.regulated"} <= left


def test_a_fault_in_a_range_is_one_finding(tmp_path: Path) -> None:
    path = tmp_path / "project.yaml"
    text = (HERE / "device.yaml").read_text(encoding="utf-8").replace("weight: 2 lb,", "weight: 2 furlong,", 1)
    text = text.replace("outlets: [ring_<n>]", "outlets: [rign_<n>]", 1)
    path.write_text(text, encoding="utf-8")
    found = [f for f in travel(str(path)).findings if f.rule in ("spec.quantity", "plumbing.effects_have_outlets")]
    assert [f.rule for f in found if f.place.line < 40] == ["plumbing.effects_have_outlets"]
    assert "and so of ring_2, ring_3" in found[0].message
    assert [f.rule for f in found].count("spec.quantity") == 1


def test_ratings_that_a_class_would_answer_are_one_finding(tmp_path: Path) -> None:
    path = tmp_path / "project.yaml"
    path.write_text(
        re.sub(r"  ratings: .*\n", "", (HERE / "device.yaml").read_text(encoding="utf-8")), encoding="utf-8"
    )
    found = [f for f in travel(str(path)).findings if f.rule == "fuel.rated_for_setting"]
    assert len(found) <= 4
    assert any("parts of kind fitting" in f.message and "ratings: {fitting:" in f.fix for f in found)


def test_two_corners_make_a_rectangle(tmp_path: Path) -> None:
    (tmp_path / "project.yaml").write_text(
        "format: 1\nplaces: {yard: {area: [[-30 ft, -20 ft], [30 ft, 25 ft]]}}\n", encoding="utf-8"
    )
    places: Any = written_out(tmp_path / "project.yaml")["places"]
    assert places["yard"]["area"] == [
        ["-30 ft", "-20 ft"], ["30 ft", "-20 ft"], ["30 ft", "25 ft"], ["-30 ft", "25 ft"]
    ]  # fmt: skip


def test_the_packet_shows_what_was_filled_in() -> None:
    result = travel(str(GARDEN), ask=Ask(COMPILE))
    assert ("brass", "class connector") in {(o.text, o.origin) for o in result.origins}
    assert any("rated as a class" in d and "350 psi, by makers' data sheets: 2 " in d for d in result.decisions)
    told = [b.text for s in result.sections for b in s.blocks if isinstance(b, Para)]
    assert any("Rated as a class" in t and "350 psi, by makers' data sheets: a1, a2" in t for t in told)


def test_two_parts_of_one_name_are_an_error(tmp_path: Path) -> None:
    _, found = of_plumbing(
        tmp_path, "  parts: {t: {is: 1/4 NPT tee}}\n  runs:\n    m: [t: 1/4 NPT tee, 1/4 NPT elbow]\n"
    )
    assert ["two parts are called 't'" in f.message for f in found] == [True]


def test_runs_that_begin_at_one_tee_count_their_own_parts(tmp_path: Path) -> None:
    plumbing, found = of_plumbing(
        tmp_path,
        "  parts: {t: {is: 1/4 NPT tee}}\n  runs:\n    a: [t, 1/4 NPT elbow, 1/4 NPT elbow]\n"
        "    b: [t, 1/4 NPT elbow]\n",
    )
    assert found == []
    assert plumbing["runs"] == {"a": {"from": "t", "line": ["a.1", "a.2"]}, "b": {"from": "t", "line": ["b.1"]}}


def test_a_range_gives_one_each_and_a_plain_entry_overrides_it(tmp_path: Path) -> None:
    plumbing, found = of_plumbing(
        tmp_path,
        "  parts:\n    e_<1..3>: {is: 1/4 NPT elbow, note: number <n>, weight: 1 lb | 2 lb | 3 lb}\n"
        "    e_2: {note: mine}\n  runs: {m: [e_1, e_2, e_3]}\n",
    )
    assert found == []
    assert [(p["note"], p["weight"]) for p in plumbing["parts"].values()] == [
        ("number 1", "1 lb"), ("mine", "2 lb"), ("number 3", "3 lb"),
    ]  # fmt: skip


@pytest.mark.parametrize("key", ["e_<3..1>", "e_<1..9999>", "e_<a, a>", "e_<1..x>"])
def test_a_range_that_cannot_be_read(tmp_path: Path, key: str) -> None:
    _, found = of_plumbing(tmp_path, f"  parts:\n    {key}: {{is: 1/4 NPT elbow}}\n  runs: {{}}\n")
    assert [(f.rule, f.place.line) for f in found] == [("spec.short_form", 4)]


def test_a_wrong_item_in_a_range_is_one_finding(tmp_path: Path) -> None:
    _, found = of_plumbing(tmp_path, "  parts:\n    e_<1..3>: {is: 1/4 NPT elbow, weight: 1 lb | 2 lb}\n  runs: {}\n")
    assert [f.message for f in found] == ["2 values between bars, and the range has 3"]


def test_joints_by_part(tmp_path: Path) -> None:
    plumbing, found = of_plumbing(
        tmp_path,
        "  runs:\n    m: [a: 1/4 NPT elbow, b: 1/4 NPT nipple, c: 1/4 NPT elbow]\n  joints:\n"
        "    x: {ends_of: b, method: threaded}\n    y: {after: a, method: threaded}\n"
        "    z: {ends_of: nobody, method: threaded}\n    u: {ends_of: {b: c}, method: threaded}\n"
        "    w: {after: [[b]], method: threaded}\n",
    )
    assert {tag: joint["between"] for tag, joint in plumbing["joints"].items()} == {
        "x_a_b": ["a", "b"], "x_b_c": ["b", "c"], "y": ["a", "b"],
    }  # fmt: skip
    assert [(f.message, f.place.line) for f in found] == [
        ("'nobody' is joined to nothing", 8),
        ("ends_of: names a part by its tag", 9),
        ("after: names a part by its tag", 10),
    ]


def test_nothing_private_comes_out_through_a_short_form(tmp_path: Path) -> None:
    """What an overlay's range is written out to is as private as the range."""
    (tmp_path / "project.yaml").write_text("format: 1\npeople: {ada: {role: lead}}\n", encoding="utf-8")
    private = tmp_path / "private.yaml"
    private.write_text("people:\n  crew_<1..2>: {name: Wilhelmina Thornbury}\n", encoding="utf-8")
    source, _, _ = long_form(load(tmp_path / "project.yaml", private), find())
    assert {"/people/crew_1", "/people/crew_1/name", "/people/crew_2/name"} <= source.private


# A club shares


def club(tmp_path: Path, root: bool = True) -> Path:
    if root:
        (tmp_path / "specc.root").write_text("", encoding="utf-8")
    (tmp_path / "shared").mkdir()
    (tmp_path / "shared" / "stock.yaml").write_text(
        "plumbing:\n  stock:\n    tank_7: {is: 20 lb CGA 791 cylinder, tare: 18 lb, made: 2023-08}\n"
        "    reed_valve: {is: 1/4 NPT ball valve, rating: 600 psi, place: box}\n"
        "    spare_hose: 3/8 in swivel hose x 9 ft\n"
        "people: {ada: {role: lead}, ben: {role: watch}}\nplaces: {box: {at: [0 ft, 0 ft]}, far: {at: [9 ft, 9 ft]}}\n",
        encoding="utf-8",
    )
    device = tmp_path / "devices" / "ring"
    device.mkdir(parents=True)
    (device / "project.yaml").write_text(
        "format: 1\ninclude: [../../shared/stock.yaml]\nplumbing:\n  runs:\n"
        "    main: [tank_7, 1/4 NPT elbow, v1: reed_valve, v2: {like: reed_valve, rating: 500 psi}]\n",
        encoding="utf-8",
    )
    return device / "project.yaml"


def test_what_is_in_stock_is_a_part_once_a_run_names_it(tmp_path: Path) -> None:
    plumbing: Any = written_out(club(tmp_path))["plumbing"]
    assert set(plumbing["parts"]) == {"tank_7", "main.1", "v1", "v2"}
    assert "stock" not in plumbing
    assert plumbing["parts"]["tank_7"] == {
        "kind": "cylinder", "capacity": "20 lb", "connection": "CGA 791", "tare": "18 lb", "made": "2023-08",
        "diameter": "12.5 in", "height": "18 in",
    }  # fmt: skip
    valve = {"kind": "valve", "form": "ball", "size": "1/4 in NPT"}
    assert plumbing["parts"]["v1"] == {**valve, "rating": "600 psi"}
    assert plumbing["parts"]["v2"] == {**valve, "rating": "500 psi"}


def test_what_is_shared_and_unused_is_no_finding(tmp_path: Path) -> None:
    found = travel(str(club(tmp_path))).findings
    assert [f for f in found if {"ben", "far", "spare_hose"} & set(f.message.replace(",", " ").split())] == []


def test_without_a_root_marker_an_include_stays_in_its_folder(tmp_path: Path) -> None:
    source = load(club(tmp_path, root=False))
    assert [f.rule for f in source.faults] == ["spec.include"]
    assert "specc.root" in source.faults[0].fix
    assert not source.usable


@pytest.mark.parametrize(
    "name",
    ["../../../outside.yaml", "../../.hidden/a.yaml", "../../shared/link.yaml", "../../shared/../../../outside.yaml"],
)
def test_no_include_reaches_past_the_root_marker(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "club"
    folder.mkdir()
    spec = club(folder)
    (tmp_path / "outside.yaml").write_text("people: {eve: {}}\n", encoding="utf-8")
    (folder / ".hidden").mkdir()
    (folder / ".hidden" / "a.yaml").write_text("people: {eve: {}}\n", encoding="utf-8")
    (folder / "shared" / "link.yaml").symlink_to(tmp_path / "outside.yaml")
    spec.write_text(f"format: 1\ninclude: [{name}]\n", encoding="utf-8")
    source = load(spec)
    assert [f.rule for f in source.faults] == ["spec.include"]
    assert "people" not in source.data


def test_an_unzipped_copy_is_the_same(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    first = club(tmp_path / "a")
    shutil.copytree(tmp_path / "a", tmp_path / "b")
    other = tmp_path / "b" / "devices" / "ring" / "project.yaml"
    assert travel(str(first)).digest == travel(str(other)).digest


# The verbs


def test_show_prints_a_long_form_that_means_the_same(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["show", str(GARDEN)]) == 0
    printed = capsys.readouterr().out
    assert "rating: 240 psi # stamp" in printed
    assert "material: brass # class connector" in printed
    again = tmp_path / "long.yaml"
    again.write_text(printed, encoding="utf-8")
    assert written_out(again) == written_out(GARDEN)


def test_show_says_no_origin_of_what_stands_as_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "project.yaml"
    path.write_text("format: 1\nplumbing: {parts: {a: {kind: valve, form: ball}}, runs: {}}\n", encoding="utf-8")
    assert main(["show", str(path), "--format", "json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert shown["origins"] == []
    assert shown["long_form"]["plumbing"]["parts"]["a"] == {"kind": "valve", "form": "ball"}


def test_check_takes_folders(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    club(tmp_path)
    (tmp_path / ".git").mkdir()
    (tmp_path / ".git" / "project.yaml").write_text("format: 1\n", encoding="utf-8")
    main(["check", str(tmp_path), "--format", "json"])
    files = [f["file"] for f in json.loads(capsys.readouterr().out)["files"]]
    assert files == [str(tmp_path / "devices" / "ring" / "project.yaml")]
    assert main(["check", str(tmp_path / "shared")]) == 2


def test_todo_strict_and_fail_on(capsys: pytest.CaptureFixture[str]) -> None:
    garden = str(GARDEN)
    assert main(["check", garden, "--todo"]) == 0
    said = capsys.readouterr().out
    assert said.count("no roster is described, so nobody's hours and posts are known") == 1
    assert said.index("error operators.two_people") < said.index("warning operators.breaks")
    assert main(["check", garden, "--fail-on", "warning"]) == 0
    assert main(["check", garden, "--strict"]) == 1
    assert main(["check", str(HERE.parent / "samples" / "faulty.yaml"), "--quiet"]) == 1
    assert len(capsys.readouterr().out.strip().splitlines()) > 1


def test_quiet_is_one_line_a_spec(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    for spec in (GARDEN, *(HERE.parent / "samples" / f"{name}.yaml" for name in ("garden", "faulty"))):
        (tmp_path / spec.stem / spec.parent.name).mkdir(parents=True)
        shutil.copy(spec, tmp_path / spec.stem / spec.parent.name / "project.yaml")
    main(["check", str(tmp_path), "--quiet"])
    assert len(capsys.readouterr().out.splitlines()) == 3


def test_explain_names_the_limit_that_a_rule_reads(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "extinguishers.opposite_sides"]) == 0
    assert "limit extinguishers.opposite_angle: 120" in capsys.readouterr().out
    assert main(["explain", "plumbing.ends_mat"]) == 2
    said = capsys.readouterr().err
    assert "did you mean plumbing.ends_mate" in said
    assert len(said) < 400


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_knows_every_verb_and_option(capsys: pytest.CaptureFixture[str], shell: str) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    assert [verb for verb in (*VERBS, "parts") if verb not in script] == []
    assert "fail-on" in script
    if shell == "bash":
        assert subprocess.run(["bash", "-n"], input=script, text=True, check=False).returncode == 0


def test_python_m_specc() -> None:
    ran = subprocess.run([sys.executable, "-m", "specc", "--version"], capture_output=True, text=True, check=False)
    assert ran.returncode == 0
    assert ran.stdout.startswith("specc ")


def test_limits_of_a_spec(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["limits", str(SAMPLES / "garden_brazier" / "project.yaml"), "--format", "csv"]) == 0
    rows = capsys.readouterr().out.splitlines()
    assert [r for r in rows if r.startswith("fuel.reserve,30 %")]
