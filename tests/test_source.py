"""Reading a spec: what is refused and exactly where, what the words mean, and what cannot be broken."""

from __future__ import annotations

import io
import os
import re
import socket
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from specc.model.findings import Place
from specc.spec.source import FileFault, Source, excerpt, join, load
from specc.spec.source import reader as reader_module
from specc.spec.source.faults import FAULTS_LIMIT
from specc.spec.source.files import CONTROL, SIZE_LIMIT
from specc.spec.source.reader import DEPTH_LIMIT, NODES_LIMIT
from specc.spec.source.scalars import DIGITS_LIMIT
from specc.spec.source.syntax import TAB_LINES_LIMIT


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


FORTY_ONE = "1" * (DIGITS_LIMIT + 1)

# text, then (rule, line, column, pointer) of each fault
FAULTY: dict[str, tuple[str | bytes, list[tuple[str, int, int, str]]]] = {
    "latin-1": (b"a: 1\nb: \xc3\xa9\xe9\n", [("spec.encoding", 2, 5, "")]),
    "bad byte after a byte order mark": (b"\xef\xbb\xbfa: \xff", [("spec.encoding", 1, 4, "")]),
    "utf-16 with mark": ("a: 1\n".encode("utf-16"), [("spec.encoding", 1, 1, "")]),
    "utf-16 without mark": ("a: 1\n".encode("utf-16-be"), [("spec.encoding", 1, 1, "")]),
    "utf-32": ("a: 1\n".encode("utf-32"), [("spec.encoding", 1, 1, "")]),
    "nul": ("a: 1\r\né: x\0\0", [("spec.control_character", 2, 5, "")]),
    "bell": ("a: \x07", [("spec.control_character", 1, 4, "")]),
    "next line": ("a: 1\nb: x\x85y", [("spec.control_character", 2, 5, "")]),
    "line separator": ("a: x\u2028y", [("spec.control_character", 1, 5, "")]),
    "escaped nul": ('a: {b: "x\\0"}', [("spec.control_character", 1, 8, "/a/b")]),
    "empty": ("", [("spec.empty", 1, 1, "")]),
    "only a mark": (b"\xef\xbb\xbf", [("spec.empty", 1, 1, "")]),
    "only comments": ("# one\n\n# two\n", [("spec.empty", 1, 1, "")]),
    "only a document start": ("---\n", [("spec.empty", 1, 1, "")]),
    "list": ("# x\n- a\n", [("spec.not_a_mapping", 2, 1, "")]),
    "text": ("  hello\n", [("spec.not_a_mapping", 1, 3, "")]),
    "null": ("~", [("spec.not_a_mapping", 1, 1, "")]),
    "tab": ("a:\n\tb: 1\n\tc: 2\n  d: 3\n", [("spec.tab", 2, 1, ""), ("spec.tab", 3, 1, "")]),
    "tab after a value": ("a: 1\n\tb: 1\n", [("spec.tab", 2, 1, "")]),
    "tab after spaces": ("a: 1\n  \tb: 1\n", [("spec.tab", 2, 3, "")]),
    "tab after a dash": ("a:\n-\tb: 1\n", [("spec.tab", 2, 2, "")]),
    "duplicates": (
        "a: 1\nb:\n  c: 1\n  d: {x: 1, x: 2}\n  c: 3\na: 2\n",
        [
            ("spec.duplicate_key", 4, 13, "/b/d/x"),
            ("spec.duplicate_key", 5, 3, "/b/c"),
            ("spec.duplicate_key", 6, 1, "/a"),
        ],
    ),
    "keys": (
        "1: a\ntrue: b\n~: c\n1.5: d\n[x]: e\n? {y: 1}\n: f\n",
        [
            ("spec.key_not_text", 1, 1, "/1"),
            ("spec.key_not_text", 2, 1, "/true"),
            ("spec.key_not_text", 3, 1, "/~0"),
            ("spec.key_not_text", 4, 1, "/1.5"),
            ("spec.key_not_text", 5, 1, ""),
            ("spec.key_not_text", 6, 3, ""),
        ],
    ),
    "empty key": ("a:\n  ?\n  : x\n", [("spec.key_not_text", 2, 4, "/a/")]),
    "long key": (f"? {'k' * 1025}\n: 1\n", [("spec.key_not_text", 1, 3, "")]),
    "alias of a number as a key": ("a: &n 5\n*n : 6\n", [("spec.key_not_text", 2, 1, "")]),
    "tags": (
        "a: !!str 1\nb: ! x\nc: [é, !thing {}]\n!!str d: !<tag:yaml.org,2002:seq> []\n",
        [
            ("spec.tag", 1, 4, "/a"),
            ("spec.tag", 2, 4, "/b"),
            ("spec.tag", 3, 8, "/c/1"),
            ("spec.tag", 4, 1, ""),
            ("spec.tag", 4, 10, "/d"),
        ],
    ),
    "tag line": ("%TAG ! tag:here,\n---\na: 1\n", [("spec.tag", 1, 1, "")]),
    "undefined tag handle": ("a: !b!c x", [("spec.yaml", 1, 4, "")]),
    "merge": ("a: &a {x: 1}\nb:\n  <<: *a\n  y: 2\n", [("spec.merge_key", 3, 3, "/b/<<")]),
    "alias loop": ("a: &a\n  b: [1, *a]\n", [("spec.alias_loop", 2, 10, "/a/b/1")]),
    "unknown alias": ("a: [*b]", [("spec.yaml", 1, 5, "/a/0")]),
    "not finite": (
        f"a: .inf\nb: [-.INF, .nan, 1e999]\nc: {FORTY_ONE}\nd: 1e-999\ne: 0x{FORTY_ONE}\n",
        [
            ("spec.not_finite", 1, 4, "/a"),
            ("spec.not_finite", 2, 5, "/b/0"),
            ("spec.not_finite", 2, 12, "/b/1"),
            ("spec.not_finite", 2, 18, "/b/2"),
            ("spec.not_finite", 3, 4, "/c"),
            ("spec.not_finite", 4, 4, "/d"),
            ("spec.not_finite", 5, 4, "/e"),
        ],
    ),
    "second document": ("a: 1\n---\nb: 2\n", [("spec.second_document", 2, 1, "")]),
    "after the end": ("a: 1\n...\nb\n", [("spec.second_document", 3, 1, "")]),
    "another version": ("%YAML 1.1\n---\na: no\n", [("spec.yaml", 1, 1, "")]),
    "a colon too many": ("a: b: c\n", [("spec.yaml", 1, 5, "")]),
    "no space after the colon": ("x: 1\ny:\n  a:1\n  b: 2\n", [("spec.yaml", 3, 4, "")]),
    "open quote": ("a: 1\nb: 'x\nc: 2\n", [("spec.yaml", 2, 4, "")]),
    "open list": ("a: [1,\nb: 3\n", [("spec.yaml", 1, 4, "")]),
    "open braces": ("a: {x: 1\n", [("spec.yaml", 1, 4, "")]),
    "open list at the end": ("a: 1\nb: [1, [2], \n# x\n", [("spec.yaml", 2, 4, "")]),
    "open bracket alone": ("[", [("spec.yaml", 1, 1, "")]),
    "list beside its key": ("a: - b\n", [("spec.yaml", 1, 4, "")]),
    "no comma": ("a: [1, {b: 2} {c: 3}]\n", [("spec.yaml", 1, 15, "")]),
    "indentation": ("a:\n  - b\n c: d\n", [("spec.yaml", 3, 2, "")]),
    "after a quote": ("a: 'x' y\n", [("spec.yaml", 1, 8, "")]),
    "list and keys": ("a:\n  - b\n  c: 1\n", [("spec.yaml", 3, 3, "")]),
    "no colon": ("a: 1\nfoo\nb: 2\n", [("spec.yaml", 2, 1, "")]),
    "odd first letter": ("a: @x\n", [("spec.yaml", 1, 4, "")]),
    "odd escape": ('a: "x\\q"\n', [("spec.yaml", 1, 6, "")]),
    "stray bracket": ("a: }\n", [("spec.yaml", 1, 4, "")]),
    "found before the syntax error": (
        "a: 1\na: 2\nb: !x 1\nc: [\n",
        [("spec.duplicate_key", 2, 1, "/a"), ("spec.tag", 3, 4, "/b"), ("spec.yaml", 4, 4, "")],
    ),
    "deep lists": (
        "a: " + "\n".join("[" * 10 for _ in range(10)),
        [("spec.too_deep", 6, 10, "/a" + "/0" * (DEPTH_LIMIT - 1))],
    ),
    "deeper than the parser goes": ("a: " + "[" * 5000, [("spec.too_deep", 1, 1003, "")]),
}


@pytest.mark.parametrize("name", FAULTY)
def test_fault_stands_where_the_mistake_is(name: str, tmp_path: Path) -> None:
    text, expected = FAULTY[name]
    path = write(tmp_path, text)
    source = load(path)
    assert spots(source, path) == expected
    assert not source.usable
    for fault in source.faults:
        assert fault.fatal
        assert fault.message
        assert fault.fix


@pytest.mark.parametrize("name", [name for name in FAULTY if name != "deeper than the parser goes"])
def test_the_slow_parser_never_raises(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader_module, "_LOADER", yaml.SafeLoader)
    source = read(tmp_path, FAULTY[name][0])
    # PyYAML's own parser takes some tabs for spaces; all else it refuses too.
    assert source.faults or "tab" in name


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a: b: c\n", "second colon"),
        ("a:1\nb: 2\n", "no space after the colon"),
        ("a: 'x\n", "quote is never closed"),
        ("a: [x\n", "`[` is never closed"),
        ("a: [1, {b: 2} {c: 3}]\n", "no comma"),
        ("a:\n    b: 1\n  c: 2\n", "does not line up"),
        ("a:\n\tb: 1\n", "a tab; YAML indents with spaces"),
        ("a: 1\n...\nb\n", "goes on after the end"),
        ("a: `x`\n", "cannot begin with"),
        ("a: !b!c x", "YAML tag"),
        ("a: 1\nfoo\nb: 2\n", "no colon"),
    ],
)
def test_syntax_errors_are_said_in_plain_words(text: str, words: str, tmp_path: Path) -> None:
    (fault,) = read(tmp_path, text).faults
    assert words in fault.message
    if fault.rule != "spec.tab":
        assert fault.why.startswith("The parser says: ")


def test_duplicate_names_the_first_and_keeps_it(tmp_path: Path) -> None:
    source = read(tmp_path, "a: 1\nb: 2\n\na: {c: 3}\nd: 4\n")
    assert source.data == {"a": 1, "b": 2, "d": 4}
    assert "line 1" in source.faults[0].message
    assert source.places.of("/a").line == 1


def test_bad_byte_and_utf16_are_named(tmp_path: Path) -> None:
    assert "0xE9" in read(tmp_path, b"a: \xe9").faults[0].message
    assert "UTF-16" in read(tmp_path, "a: b".encode("utf-16-le")).faults[0].message


def test_tabs_are_listed_up_to_a_limit(tmp_path: Path) -> None:
    source = read(tmp_path, "a:\n" + "\tb: 1\n" * 100)
    assert [fault.place.line for fault in source.faults] == list(range(2, 2 + TAB_LINES_LIMIT))


def test_faults_are_counted_past_the_limit(tmp_path: Path) -> None:
    source = read(tmp_path, "a: 1\n" * (FAULTS_LIMIT + 12))
    assert len(source.faults) == FAULTS_LIMIT + 1
    assert source.faults[-1].message.startswith("11 more")
    assert source.faults[-1].fatal


# -- what words mean


@pytest.mark.parametrize(
    ("word", "value"),
    [
        *((word, word) for word in ("no", "on", "yes", "Off", "y", "12:30", "1_000", "2024-05-01", "0b1")),
        *((word, word) for word in ("012", "-012", "00", "007.5", "01e3", "+08", "0x", "0o8")),
        *((word, word) for word in ("1e", ".", "-x", "1.2.3", "1 1/2 in", "=", "١٢", "inf", "nan")),
        *((word, word) for word in ("tRue", "nULL", "2024-05-01T10:00:00Z")),
        ("true", True), ("True", True), ("TRUE", True), ("false", False), ("False", False), ("FALSE", False),
        ("null", None), ("Null", None), ("NULL", None), ("~", None), ("", None),
        ("0", 0), ("-0", 0), ("+7", 7), ("-12", -12), ("0x1F", 31), ("0xff", 255), ("0o17", 15),
        ("9" * DIGITS_LIMIT, 10**DIGITS_LIMIT - 1),
        ("1.5", 1.5), (".5", 0.5), ("5.", 5.0), ("-1e3", -1000.0), ("1E-2", 0.01), ("0.0", 0.0), ("0e5", 0.0),
    ],
)  # fmt: skip
def test_unquoted_word(word: str, value: object, tmp_path: Path) -> None:
    source = read(tmp_path, f"a: {word}\nb: '{word}'\n" + f'c: "{word}"\n')
    assert source.faults == ()
    assert source.data == {"a": value, "b": word, "c": word}
    assert type(source.data["a"]) is type(value)


def test_blocks_and_quoted_keys_are_text(tmp_path: Path) -> None:
    source = read(tmp_path, "'1': |\n  12\n\"true\": >\n  a\n  b\n'<<': x\nno: y\n012: z\n")
    assert source.faults == ()
    assert source.data == {"1": "12\n", "true": "a b\n", "<<": "x", "no": "y", "012": "z"}


def test_byte_order_mark_and_windows_line_ends(tmp_path: Path) -> None:
    source = read(tmp_path, b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")
    assert source.usable
    assert source.places.of("/a")[1:] == (1, 4)
    assert source.places.key("/b")[1:] == (2, 1)
    assert excerpt(source.texts, source.places.of("/b")) == "b: 2"


# -- places


def test_columns_count_characters(tmp_path: Path) -> None:
    path = write(tmp_path, "é😀: [😀😀, b]\nc: {'ü𝄞': x}\n")
    places = load(path).places
    assert places.of("/é😀/0") == Place(str(path), 1, 6)
    assert places.of("/é😀/1") == Place(str(path), 1, 10)
    assert places.key("/c/ü𝄞") == Place(str(path), 2, 5)
    assert places.of("/c/ü𝄞") == Place(str(path), 2, 11)


def test_pointers(tmp_path: Path) -> None:
    source = read(tmp_path, "a/b:\n  c~d: [x, {e: y}]\n")
    places = source.places
    pointer = join("", "a/b", "c~d", 1, "e")
    assert pointer == "/a~1b/c~0d/1/e"
    assert places.of(pointer)[1:] == (2, 16)
    assert places.key(pointer)[1:] == (2, 13)
    assert places.key("/a~1b/c~0d/0") == places.of("/a~1b/c~0d/0")
    assert places.of("/a~1b/c~0d/7/z") == places.of("/a~1b/c~0d")
    assert places.key("/a~1b/nothing") == places.of("/a~1b")
    assert places.of("")[1:] == (1, 1)
    assert places.of("/nothing") == places.of("")
    assert places.known(pointer)
    assert not places.known("/nothing")


def test_aliases_are_copied_with_places(tmp_path: Path) -> None:
    source = read(tmp_path, "a: &a {x: [1, 2]}\nb: *a\nc: &k name\n*k : 3\n")
    assert source.faults == ()
    assert source.data == {"a": {"x": [1, 2]}, "b": {"x": [1, 2]}, "c": "name", "name": 3}
    assert source.data["a"] is not source.data["b"]
    assert source.places.of("/b")[1:] == (2, 4)
    assert source.places.of("/b/x/1") == source.places.of("/a/x/1")


# -- bounds


def test_missing_file(tmp_path: Path) -> None:
    for path in (tmp_path / "none.yaml", tmp_path / "a\0b", write(tmp_path, "a: 1") / "below"):
        source = load(path)
        assert [(fault.rule, fault.place) for fault in source.faults] == [("spec.missing_file", Place(str(path)))]
        assert not source.usable
        assert source.files == ()


def test_permission_denied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path, "a: 1")  # root may read anything, so the refusal is made here

    def refuse(*_: object) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("specc.spec.source.files.os.open", refuse)
    (fault,) = load(path).faults
    assert fault.rule == "spec.missing_file"
    assert "permission" in fault.message


def test_what_is_not_a_file_is_not_opened(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    plug = tmp_path / "plug"
    link = tmp_path / "link"
    link.symlink_to("/dev/zero")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(plug))
        for path, word in ((tmp_path, "folder"), (pipe, "pipe"), (plug, "socket"), (link, "device")):
            (fault,) = load(path).faults
            assert fault.rule == "spec.not_a_file"
            assert word in fault.message
            assert fault.place == Place(str(path))


def test_a_file_that_would_wait_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path, "a: 1")

    class Waiting(io.BytesIO):
        """Reads as an empty kernel log does without blocking: None."""

        def __init__(self, descriptor: int, mode: str) -> None:
            super().__init__()
            self._descriptor = descriptor

        def fileno(self) -> int:
            return self._descriptor

        def read(self, size: int | None = -1) -> bytes:
            os.close(self._descriptor)
            return None  # type: ignore[return-value]

    monkeypatch.setattr("specc.spec.source.files.open", Waiting, raising=False)
    assert [fault.rule for fault in load(path).faults] == ["spec.not_a_file"]


def test_size_limit(tmp_path: Path) -> None:
    assert read(tmp_path, "a: 1\n" + "#" * (SIZE_LIMIT - 5)).usable
    source = read(tmp_path, "a: 1\n" + "#" * (SIZE_LIMIT - 4))
    assert [(fault.rule, fault.place.line) for fault in source.faults] == [("spec.too_large", 0)]


def test_node_limit(tmp_path: Path) -> None:
    # The mapping, its key and the list are three.
    assert read(tmp_path, "a: [" + "x," * (NODES_LIMIT - 3) + "]").usable
    path = write(tmp_path, "a: [" + "x," * (NODES_LIMIT - 2) + "]")
    column = 5 + 2 * (NODES_LIMIT - 3)
    assert spots(load(path), path) == [("spec.too_many_nodes", 1, column, f"/a/{NODES_LIMIT - 3}")]


def test_depth_limit(tmp_path: Path) -> None:
    deepest = "a: " + "[" * (DEPTH_LIMIT - 1) + "]" * (DEPTH_LIMIT - 1)
    assert read(tmp_path, deepest).usable
    path = write(tmp_path, "a: " + "[" * DEPTH_LIMIT + "]" * DEPTH_LIMIT)
    assert spots(load(path), path)[0][:3] == ("spec.too_deep", 1, 3 + DEPTH_LIMIT)


def test_depth_limit_counts_what_aliases_stand_for(tmp_path: Path) -> None:
    half = DEPTH_LIMIT // 2
    text = f"a: &a {'[' * half}{']' * half}\nb: {'[' * (half - 1)}*a{']' * (half - 1)}\n"
    assert read(tmp_path, text).usable
    path = write(tmp_path, f"a: &a {'[' * half}{']' * half}\nb: {'[' * half}*a{']' * half}\n")
    assert spots(load(path), path)[0][:3] == ("spec.too_deep", 2, 4 + half)


def bomb(levels: int, wide: int, first: str) -> str:
    lines = [f"a0: &a0 {first}"]
    lines += [f"a{level}: &a{level} [{', '.join([f'*a{level - 1}'] * wide)}]" for level in range(1, levels)]
    return "\n".join(lines)


@pytest.mark.parametrize(
    "text",
    [
        bomb(30, 9, "[x, x, x]"),
        bomb(58, 2, "{k: v}"),
        bomb(30, 9, "x"),
        bomb(4, 2000, "[x]"),
        "a: &a '" + "x" * 3_000_000 + "'\nb: [" + "*a," * 100_000 + "]",
        "a: &a [" + "x," * 90_000 + "]\nb: [" + "*a," * 100_000 + "]",
    ],
    ids=["lists", "pairs", "text", "wide", "long text", "long list"],
)
def test_alias_bomb_is_refused_by_its_count(text: str, tmp_path: Path) -> None:
    path = write(tmp_path, text)
    source = load(path)  # how soon: tests/benchmarks/test_reading.py
    assert [fault.rule for fault in source.faults] == ["spec.too_many_nodes"]


# -- properties

MANY = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])

# U+FEFF and other invisible characters are refused by design.
words = st.sampled_from(["no", "on", "12:30", "012", "0x1F", "1_000", "~", "<<", "2024-05-01", "=", "", "null"])
texts = words | st.text(st.characters(codec="utf-8"), max_size=12).filter(lambda text: not CONTROL.search(text))
# YAML 1.1 takes these for text and writes them bare; 1.2 takes them for numbers.
only_in_1_2 = re.compile(r"0o[0-7]+|[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
texts_alike = texts.filter(lambda text: not only_in_1_2.fullmatch(text))


def documents(names: st.SearchStrategy[str]) -> st.SearchStrategy[dict[str, Any]]:
    """Mappings of anything a spec can hold, with these texts as keys and values."""
    scalars = st.one_of(
        st.none(),
        st.booleans(),
        st.integers(-(10**DIGITS_LIMIT) + 1, 10**DIGITS_LIMIT - 1),
        st.floats(allow_nan=False, allow_infinity=False),
        names,
    )
    values = st.recursive(
        scalars,
        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(names, inner, max_size=4),
        max_leaves=20,
    )
    whole: st.SearchStrategy[dict[str, Any]] = st.dictionaries(names, values, min_size=1, max_size=5)
    return whole.filter(lambda data: "include" not in data)


class CoreDumper(yaml.SafeDumper):
    """Writes as safe_dump does, but puts all text in double quotes.

    safe_dump quotes for YAML 1.1, and leaves plain what only 1.2 reads as a number (`1e3`, `0o7`).
    """

    def ignore_aliases(self, data: object) -> bool:
        return True


CoreDumper.add_representer(str, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", text, style='"'))


@MANY
@given(data=documents(texts | st.sampled_from(["1e3", "0o7", "1."])), flow=st.booleans(), wide=st.booleans())
def test_what_is_dumped_is_read_again(tmp_path: Path, data: dict[str, Any], flow: bool, wide: bool) -> None:
    text = yaml.dump(
        data,
        Dumper=CoreDumper,
        default_flow_style=flow,
        allow_unicode=True,
        sort_keys=False,
        width=10_000 if wide else 20,
    )
    source = read(tmp_path, text)
    assert source.faults == ()
    assert source.data == data
    check_places(source, "", data)


def check_places(source: Source, pointer: str, value: object) -> None:
    """The text at each place is the value's own."""
    place = source.places.of(pointer)
    here = excerpt(source.texts, place)[place.column - 1 :]
    assert source.places.known(pointer)
    if isinstance(value, dict):
        assert here[0] in '{"?' or not value
        for key, inside in value.items():
            below = join(pointer, key)
            key_place = source.places.key(below)
            written = excerpt(source.texts, key_place)[key_place.column - 1 :]
            assert written.startswith('"')
            assert key_place <= source.places.of(below)
            check_places(source, below, inside)
    elif isinstance(value, list):
        assert here[0] in "[-"
        for index, inside in enumerate(value):
            check_places(source, join(pointer, index), inside)
    elif isinstance(value, str):
        assert here.startswith('"')
    else:
        written = yaml.dump(value, Dumper=CoreDumper).splitlines()[0]
        assert here.startswith(written)


@MANY
@given(data=documents(texts_alike))
def test_plain_safe_dump_is_read_again(tmp_path: Path, data: dict[str, Any]) -> None:
    source = read(tmp_path, yaml.safe_dump(data))
    assert source.faults == ()
    assert source.data == data


@MANY
@given(data=st.binary(max_size=400))
def test_random_bytes_never_raise(tmp_path: Path, data: bytes) -> None:
    check_whole(read(tmp_path, data))


PIECES = [
    *"ab:-?,[]{}&*!|>'\"%@`#<~ \t\n\r\\1.\ufeff",
    *("---\n", "...\n", "<<", ": ", "- ", "&a ", "*a", "!!", "\n  ", "é", "😀", "\\x", "\\ud800", "\0"),
    "%YAML 1.2\n",
]


@settings(MANY, max_examples=500)
@given(pieces=st.lists(st.sampled_from(PIECES), max_size=40))
@pytest.mark.parametrize("loader", [reader_module._LOADER, yaml.SafeLoader], ids=["fast", "slow"])
def test_random_yaml_never_raises(
    loader: object, tmp_path: Path, pieces: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reader_module, "_LOADER", loader)
    check_whole(read(tmp_path, "".join(pieces)))


def check_whole(source: Source) -> None:
    assert source.usable == (not any(fault.fatal for fault in source.faults))
    assert source.usable or source.faults
    for fault in source.faults:
        assert isinstance(fault, FileFault)
        assert fault.place.line <= max(len(lines) for lines in source.texts.values())
        assert fault.place.column <= len(excerpt(source.texts, fault.place)) + 1
