"""Short forms mean what their long forms mean, stand at their own lines, and refuse what is ambiguous."""

from __future__ import annotations

import random
import shutil
from pathlib import Path
from typing import Any

import pytest
import yaml

from specc.engine.host import find
from specc.engine.road import CHECK, Ask, long_form, travel
from specc.model.findings import Finding
from specc.spec.source import load

HERE = Path(__file__).parent
SAMPLES = HERE.parent.parent / "sample_projects"


@pytest.fixture
def reeds(tmp_path: Path) -> Path:
    folder = tmp_path / "reeds"
    shutil.copytree(SAMPLES / "lantern_reeds", folder)
    shutil.copy(HERE / "reeds_plumbing.yaml", folder / "plumbing.yaml")
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
    assert figures(HERE / "garden.yaml") == figures(SAMPLES / "garden_brazier" / "project.yaml")


def test_the_short_reeds_have_the_figures_of_the_long_ones(reeds: Path) -> None:
    assert figures(reeds) == figures(SAMPLES / "lantern_reeds" / "project.yaml")


@pytest.mark.parametrize("name", ["garden", "reeds"])
def test_the_long_form_of_the_long_form_is_itself(name: str, reeds: Path, tmp_path: Path) -> None:
    data = written_out(HERE / "garden.yaml" if name == "garden" else reeds)
    again = tmp_path / "long.yaml"
    again.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), encoding="utf-8")
    assert written_out(again) == data


@pytest.mark.parametrize("sample", ["garden_brazier", "lantern_reeds"])
def test_a_long_form_stays_as_it_is(sample: str) -> None:
    path = SAMPLES / sample / "project.yaml"
    before = load(path).data
    hours: Any = before["event"]
    if isinstance(hours["hours"], dict):
        assert written_out(path) == before


def shuffled(data: Any, chance: random.Random) -> Any:
    if isinstance(data, dict):
        keys = list(data)
        chance.shuffle(keys)
        return {key: shuffled(data[key], chance) for key in keys}
    return [shuffled(item, chance) for item in data] if isinstance(data, list) else data


@pytest.mark.parametrize("seed", range(8))
def test_the_order_of_keys_changes_nothing(seed: int, reeds: Path, tmp_path: Path) -> None:
    for path in (HERE / "garden.yaml", reeds):
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
        ("3/8 x 1/4 connector", "or several"),
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
        "kind": "cylinder", "capacity": "40 lb", "connection": "CGA 510", "material": "steel"
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


def test_like_takes_no_day_over_from_inside_another(tmp_path: Path) -> None:
    plumbing, _ = of_plumbing(
        tmp_path,
        "  parts:\n    a: {is: 1/4 NPT union, joint: {method: union, comes_apart: true, reassembled: 2027-06-01}}\n"
        "    b: {like: a}\n  runs: {m: [a, b]}\n",
    )
    assert plumbing["parts"]["b"]["joint"] == {"method": "union", "comes_apart": True}


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
        "    z: {ends_of: nobody, method: threaded}\n",
    )
    assert {tag: joint["between"] for tag, joint in plumbing["joints"].items()} == {
        "x_a_b": ["a", "b"], "x_b_c": ["b", "c"], "y": ["a", "b"],
    }  # fmt: skip
    assert [(f.message, f.place.line) for f in found] == [("'nobody' is joined to nothing", 8)]


def test_nothing_private_comes_out_through_a_short_form(tmp_path: Path) -> None:
    """What an overlay's range is written out to is as private as the range."""
    (tmp_path / "project.yaml").write_text("format: 1\npeople: {ada: {role: lead}}\n", encoding="utf-8")
    private = tmp_path / "private.yaml"
    private.write_text("people:\n  crew_<1..2>: {name: Wilhelmina Thornbury}\n", encoding="utf-8")
    source, _, _ = long_form(load(tmp_path / "project.yaml", private), find())
    assert {"/people/crew_1", "/people/crew_1/name", "/people/crew_2/name"} <= source.private
