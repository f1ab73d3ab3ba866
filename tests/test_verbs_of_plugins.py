"""Verbs of a club that read a project, and what is said where the plugin that has a verb or rule is not named."""

from __future__ import annotations

import importlib
from pathlib import Path

import pytest

from specc.cli import main

CLUB = """
from specc import Cannot, Column, Key, PRACTICE, Row, Table, Verb, found, hookimpl, rule, value
from specc.kinds.people import PEOPLE

SPECC_CONTRACT = 2
NAMES = Key("lantern.names", tuple)


@value(NAMES, reads=("people",))
def names(ctx):
    if not len(ctx.spec("people")):
        raise Cannot("nobody is named", "/people", "name somebody")
    return tuple(ctx.spec("people"))


@rule("lantern.named", level="warning", statement="Somebody is named", source=PRACTICE, needs=(NAMES,))
def named(ctx):
    return found([], "all")


def crew(given):
    rows = tuple(Row((tag, given["role"] if "role" in given else "any")) for tag in given["lantern.names"])
    return Table("crew", given["spec"].child("project").text("title"), (Column("who"), Column("role")), rows)


def counted(given):
    return Table("counted", "", (Column("people"), Column("words")), (Row((str(len(given["spec"].child("people"))),
        " ".join(given["words"]))),))


def setup(parser):
    parser.add_argument("words", nargs="*")


@hookimpl
def specc_passes():
    return [names, named]


@hookimpl
def specc_verbs():
    return [Verb("crew", "who is on", (("role", "what as"),), crew, reads=(NAMES,), of_spec=True),
            Verb("counted", "how many", (), counted, setup, of_spec=True),
            Verb("any_crew", "who is on", (), lambda given: crew({**given, "spec": {}}), reads=(NAMES,))]
"""
SPEC = "format: 1\nproject: {title: Lantern}\nplugins: {use: [lantern]}\npeople: {ada: {role: operator}}\n"


@pytest.fixture
def spec(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A spec that uses the club's plugin, which is installed."""
    site = tmp_path / "site"
    info = site / "lantern_rules-1.0.dist-info"
    info.mkdir(parents=True)
    (site / "lantern.py").write_text(CLUB, encoding="utf-8")
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: lantern-rules\nVersion: 1.0\n", encoding="utf-8")
    (info / "entry_points.txt").write_text("[specc]\nlantern = lantern\n", encoding="utf-8")
    monkeypatch.syspath_prepend(str(site))
    monkeypatch.chdir(tmp_path)
    importlib.invalidate_caches()
    (tmp_path / "project.yaml").write_text(SPEC, encoding="utf-8")
    return "project.yaml"


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    code = main([*words])
    printed = capsys.readouterr()
    return code, printed.out + printed.err


def test_a_spec_that_uses_the_plugin_brings_its_verb(spec: str, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["crew", spec], ["crew", "--spec", spec]):
        code, printed = run(capsys, *words)
        assert (code, "ada" in printed) == (0, True)
    assert "guard" in run(capsys, "crew", "--spec", spec, "guard")[1]
    assert "guard" in run(capsys, "crew", spec, "role=guard")[1]


def test_a_verb_with_options_takes_the_spec_first_or_by_name(spec: str, capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["counted", spec, "a", "b"], ["counted", "a", "b", "--spec", spec]):
        code, printed = run(capsys, *words, "--format", "csv")
        assert (code, printed.splitlines()[-1]) == (0, "1,a b")


def test_a_verb_of_a_spec_wants_one(spec: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, printed = run(capsys, "crew", "--plugin", "lantern")
    assert (code, printed) == (2, "specc: crew reads a spec: specc crew FILE\n")


def test_what_the_spec_does_not_give_is_said_and_not_printed_empty(
    spec: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path(spec).write_text(SPEC.replace("people: {ada: {role: operator}}\n", ""), encoding="utf-8")
    code, printed = run(capsys, "crew", spec)
    assert code == 2
    assert "nobody is named" in printed
    Path(spec).write_text(SPEC.replace("title: Lantern", "title: [Lantern]"), encoding="utf-8")
    code, printed = run(capsys, "crew", spec)
    assert code == 2
    assert "/project/title of the spec is refused or missing; specc check project.yaml" in printed


def test_an_installed_plugin_that_nobody_names_is_hinted_at(spec: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, printed = run(capsys, "crew")
    assert code == 2
    assert "there is no verb 'crew'" in printed
    assert "installed and not named: lantern; where it is theirs, add --plugin lantern" in printed
    code, printed = run(capsys, "any_crew", spec)
    assert code == 2
    assert "a spec goes behind --spec" in printed


def test_explain_takes_a_spec_and_names_an_installed_plugin(spec: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, printed = run(capsys, "explain", "lantern.named")
    assert code == 2
    assert "an installed plugin lantern has such rules: add --plugin lantern" in printed
    assert run(capsys, "explain", "lantern.named", spec)[0] == 0
    code, printed = run(capsys, "explain", "lantern.name", spec)
    assert code == 2
    assert "did you mean lantern.named?" in printed
    assert run(capsys, "explain", "lantern.named", "absent.yaml")[0] == 2


def test_options_that_cannot_be_read_are_the_plugins_fault_and_not_speccs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    club = CLUB.replace('"words", nargs="*")', '"words", nargs="*", type=lambda word: {}[word])')
    (tmp_path / "lantern.py").write_text(club, encoding="utf-8")
    code, printed = run(capsys, "counted", "a", "b", "--plugin", str(tmp_path / "lantern.py"))
    assert code == 3
    assert "the plugin 'lantern' failed in the verb counted" in printed
    assert "fault in specc itself" not in printed
