"""Reading a spec with its includes and the private file."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.model.findings import Place
from specc.spec.source import INCLUDES_LIMIT, Source, excerpt, load
from specc.spec.source.reader import NODES_LIMIT


def write(folder: Path, text: str | bytes, name: str = "project.yaml") -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def read(folder: Path, text: str | bytes) -> Source:
    return load(write(folder, text))


def spots(source: Source, file: Path) -> list[tuple[str, int, int, str]]:
    assert {fault.place.file for fault in source.faults} <= {str(file)}
    return [(fault.rule, fault.place.line, fault.place.column, fault.at) for fault in source.faults]


# -- includes


def test_includes_add_by_tag(tmp_path: Path) -> None:
    write(tmp_path, "plumbing:\n  parts:\n    b: {kind: valve}\n", "plumbing.yaml")
    write(tmp_path, "people: {p: 1}\n", "more/people.yaml")
    path = write(tmp_path, "include: [plumbing.yaml, ./more/people.yaml]\nplumbing: {parts: {a: 1}, runs: {}}\n")
    source = load(path)
    assert source.faults == ()
    assert source.data == {
        "plumbing": {"parts": {"a": 1, "b": {"kind": "valve"}}, "runs": {}},
        "people": {"p": 1},
    }
    assert [file.name for file in source.files] == ["project.yaml", "plumbing.yaml", "more/people.yaml"]
    assert source.files[1].data == (tmp_path / "plumbing.yaml").read_bytes()
    assert source.places.of("/plumbing/parts/b/kind") == Place(str(tmp_path / "plumbing.yaml"), 3, 15)
    assert source.places.of("/include/1") == Place(str(path), 1, 26)
    assert excerpt(source.texts, source.places.of("/people/p")) == "people: {p: 1}"
    assert source.folder == tmp_path


def test_names_are_as_the_user_gave_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write(tmp_path, "include: [b.yaml]\n", "x/project.yaml")
    write(tmp_path, "b: 1\n", "x/b.yaml")
    monkeypatch.chdir(tmp_path)
    assert load("x/project.yaml").places.of("/b").file == "x/b.yaml"
    monkeypatch.chdir(tmp_path / "x")
    source = load("project.yaml")
    assert source.places.of("/b").file == "b.yaml"
    assert source.folder == Path(".")


def test_include_clash(tmp_path: Path) -> None:
    other = write(tmp_path, "\na: 2\nl: [3]\nm: {x: 1, y: 9}\n", "b.yaml")
    path = write(tmp_path, "include: [b.yaml]\na: 1\nl: [1]\nm: {y: 2}\n")
    source = load(path)
    assert spots(source, other) == [
        ("spec.include", 2, 1, "/a"),
        ("spec.include", 3, 1, "/l"),
        ("spec.include", 4, 11, "/m/y"),
    ]
    assert f"line 2 of {path}" in source.faults[0].message
    assert source.data == {"a": 1, "l": [1], "m": {"y": 2, "x": 1}}
    assert not source.usable


@pytest.mark.parametrize(
    ("item", "rule"),
    [
        ("/etc/hostname", "spec.include"),
        ("../outside.yaml", "spec.include"),
        ("more/../b.yaml", "spec.include"),
        ("link.yaml", "spec.include"),
        ("linked/outside.yaml", "spec.include"),
        ("loop.yaml", "spec.missing_file"),
        (r"more\b.yaml", "spec.include"),
        ("C:/b.yaml", "spec.include"),
        ("12", "spec.include"),
        ("''", "spec.include"),
        ('"a\\nb"', "spec.include"),
        ("[b.yaml]", "spec.include"),
        ("project.yaml", "spec.include"),
        ("none.yaml", "spec.missing_file"),
        ("folder", "spec.not_a_file"),
    ],
)
def test_include_refused(item: str, rule: str, tmp_path: Path) -> None:
    write(tmp_path, "secret: 1", "outside.yaml")
    home = tmp_path / "home"
    path = write(home, f"a: 1\ninclude:\n  - {item}\n")
    (home / "folder").mkdir()
    (home / "link.yaml").symlink_to(tmp_path / "outside.yaml")
    (home / "linked").symlink_to(tmp_path)
    (home / "loop.yaml").symlink_to("loop.yaml")
    source = load(path)
    assert spots(source, path) == [(rule, 3, 5, "/include/0")]
    assert source.data == {"a": 1}
    assert not source.usable
    assert len(source.files) == 1


def test_include_that_is_no_list(tmp_path: Path) -> None:
    path = write(tmp_path, "include: b.yaml\n")
    assert spots(load(path), path) == [("spec.include", 1, 10, "/include")]


def test_includes_do_not_nest_or_repeat(tmp_path: Path) -> None:
    nested = write(tmp_path, "b: 1\ninclude: [c.yaml]\n", "b.yaml")
    assert spots(read(tmp_path, "include: [b.yaml]\n"), nested) == [("spec.include", 2, 1, "/include")]
    write(tmp_path, "c: 1\n", "c.yaml")
    (tmp_path / "same.yaml").symlink_to("c.yaml")
    for again in ("c.yaml", "./c.yaml", "same.yaml"):
        path = write(tmp_path, f"include: [c.yaml, {again}]\n")
        assert spots(load(path), path) == [("spec.include", 1, 19, "/include/1")]


def test_includes_are_bounded(tmp_path: Path) -> None:
    for number in range(INCLUDES_LIMIT + 1):
        write(tmp_path, f"k{number}: 1\n", f"{number}.yaml")
    names = [f"{number}.yaml" for number in range(INCLUDES_LIMIT + 1)]
    assert read(tmp_path, f"include: [{', '.join(names[:-1])}]\n").usable
    path = write(tmp_path, f"include: [{', '.join(names)}]\n")
    source = load(path)
    assert [(fault.rule, fault.at) for fault in source.faults] == [("spec.include", f"/include/{INCLUDES_LIMIT}")]


def test_nodes_are_counted_over_all_files(tmp_path: Path) -> None:
    half = "[" + "x," * (NODES_LIMIT // 2) + "]"
    other = write(tmp_path, f"b: {half}", "b.yaml")
    source = read(tmp_path, f"include: [b.yaml]\na: {half}\n")
    assert [(fault.rule, fault.place.file) for fault in source.faults] == [("spec.too_many_nodes", str(other))]


def test_fault_in_an_include_stands_in_that_file(tmp_path: Path) -> None:
    other = write(tmp_path, "- a\n", "b.yaml")
    assert spots(read(tmp_path, "include: [b.yaml]\n"), other) == [("spec.not_a_mapping", 1, 1, "")]


# -- the private file


def test_overlay_adds_and_is_private(tmp_path: Path) -> None:
    private = write(tmp_path, "people: {anna: {phone: [x, y]}}\nkeys: 1\n", "private.yaml")
    path = write(tmp_path, "people: {anna: {name: A}}\n")
    source = load(path, private)
    assert source.faults == ()
    assert source.data == {"people": {"anna": {"name": "A", "phone": ["x", "y"]}}, "keys": 1}
    assert source.private == {"/people/anna/phone", "/people/anna/phone/0", "/people/anna/phone/1", "/keys"}
    assert [file.name for file in source.files] == ["project.yaml"]
    assert [file.name for file in source.overlay_files] == ["private.yaml"]
    assert source.places.of("/keys") == Place(str(private), 2, 7)


def test_two_overlays_each_give_a_part_of_one_person(tmp_path: Path) -> None:
    one = write(tmp_path, "people: {anna: {name: A}}\n", "one.yaml")
    two = write(tmp_path, "people: {anna: {phone: 5}}\n", "two.yaml")
    source = load(write(tmp_path, "people: {anna: {role: pilot}}\n"), [one, two])
    assert source.faults == ()
    assert source.data == {"people": {"anna": {"role": "pilot", "name": "A", "phone": 5}}}
    assert source.private == {"/people/anna/name", "/people/anna/phone"}
    assert [file.name for file in source.overlay_files] == ["one.yaml", "two.yaml"]


def test_overlay_elsewhere_gives_no_folder_away(tmp_path: Path) -> None:
    private = write(tmp_path, "k: 1\n", "elsewhere/private.yaml")
    path = write(tmp_path, "a: 1\n", "home/project.yaml")
    assert [file.name for file in load(path, private).overlay_files] == ["private.yaml"]


def test_overlay_never_replaces(tmp_path: Path) -> None:
    private = write(tmp_path, "a: 2\nm:\n  x: 2\n  y: 3\n", "private.yaml")
    path = write(tmp_path, "a: 1\nm: {x: 1}\n")
    source = load(path, private)
    assert spots(source, private) == [("spec.overlay", 1, 1, "/a"), ("spec.overlay", 3, 3, "/m/x")]
    assert f"line 1 of {path}" in source.faults[0].message
    assert source.data == {"a": 1, "m": {"x": 1, "y": 3}}
    assert source.private == {"/m/y"}
    assert source.usable


def test_overlay_cannot_include_or_be_public(tmp_path: Path) -> None:
    private = write(tmp_path, "b: 1\ninclude: [c.yaml]\n", "private.yaml")
    source = load(write(tmp_path, "a: 1\n"), private)
    assert spots(source, private) == [("spec.overlay", 2, 1, "/include")]
    assert not source.usable
    write(tmp_path, "b: 1\n", "private.yaml")
    source = load(write(tmp_path, "include: [private.yaml]\n"), private)
    assert [fault.rule for fault in source.faults] == ["spec.overlay"]
    assert not source.usable


def test_missing_overlay(tmp_path: Path) -> None:
    source = load(write(tmp_path, "a: 1\n"), tmp_path / "none.yaml")
    assert [fault.rule for fault in source.faults] == ["spec.missing_file"]
    assert source.data == {"a": 1}
    assert not source.usable


def test_a_link_to_what_is_hidden_is_not_included(tmp_path: Path) -> None:
    write(tmp_path, "b: 1\n", ".hidden/b.yaml")
    write(tmp_path, "c: 1\n", "open/c.yaml")
    (tmp_path / "b.yaml").symlink_to(".hidden/b.yaml")
    (tmp_path / "c.yaml").symlink_to("open/c.yaml")
    source = read(tmp_path, "include: [b.yaml, c.yaml]\n")
    assert source.data == {"c": 1}
    assert [fault.message for fault in source.faults] == [
        '"b.yaml" is a link to ".hidden", a name that begins with a dot'
    ]
