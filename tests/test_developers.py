"""DEVELOPERS.md's code runs: its plugins load and find what it says, from a file and installed."""

from __future__ import annotations

import ast
import importlib
import re
import shlex
import shutil
import sys
import zipfile
from pathlib import Path
from typing import Any, NamedTuple

import pytest

import specc
from specc.cli import main
from specc.dims import DIMENSIONS
from specc.engine.hooks import HOOKS
from specc.engine.road import COMPILE, Ask, travel
from specc.model.blocks import PACKET_PARTS
from specc.model.result import Result
from specc.packet import render

ROOT = Path(__file__).resolve().parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SAMPLE = (ROOT / "sample_projects/garden_brazier/project.yaml").read_text(encoding="utf-8")
# Whoever lights it is an operator of those that a test names.
SAMPLE = re.sub(r"^people: .*\n", "", SAMPLE, flags=re.MULTILINE).replace("torch: wren", "torch: operator")
SAMPLE = SAMPLE.replace("heron", "operator")


class Block(NamedTuple):
    language: str
    body: str


BLOCKS = tuple(Block(*found) for found in re.findall(r"^```(\w+)\n(.*?)^```$", TEXT, re.M | re.S))


def written(what: str) -> dict[str, str]:
    """Each Python block by the file its first line names, of plugins or of tests."""
    found: dict[str, dict[str, str]] = {"plugin": {}, "test": {}}
    for block in BLOCKS:
        if block.language == "python":
            named = re.match(r"# (plugin|test): (\w+\.py)\n", block.body)
            assert named, block.body.splitlines()[0]
            found[named[1]][named[2]] = block.body
    return found[what]


def plugins() -> dict[str, str]:
    return written("plugin")


def shell() -> list[tuple[str, str]]:
    """Each command that the page shows, with what it prints."""
    shown = [b.body for b in BLOCKS if b.language == "text" and b.body.startswith("$ ")]
    return [(line.removeprefix("$ "), out) for line, _, out in (s.partition("\n") for s in shown)]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A project's folder with the sample's spec and the page's plugins."""
    (tmp_path / "project.yaml").write_text(SAMPLE, encoding="utf-8")
    for name, body in plugins().items():
        (tmp_path / name).write_text(body, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def compiled(*plugin_files: str) -> Result:
    return travel("project.yaml", ask=Ask(kinds=COMPILE, plugin_files=plugin_files))


def rewrite(folder: Path, old: str, new: str) -> None:
    assert SAMPLE.count(old) == 1
    (folder / "project.yaml").write_text(SAMPLE.replace(old, new), encoding="utf-8")


def test_the_page_shows_two_plugins_and_two_commands() -> None:
    assert list(plugins()) == ["two_people.py", "hose_ends.py"]
    assert len(shell()) == 2


def test_the_small_plugin_has_about_twenty_lines_and_the_toml_ten() -> None:
    def lines(body: str) -> int:
        return sum(1 for line in body.splitlines() if line.strip() and not line.startswith("#"))

    assert lines(plugins()["two_people.py"]) <= 20
    assert lines(next(b.body for b in BLOCKS if b.language == "toml")) <= 10


def test_the_test_on_the_page_passes_and_needs_its_plugin(folder: Path, tmp_path: Path) -> None:
    ((_, body),) = written("test").items()
    room: dict[str, Any] = {}
    exec(body, room)
    named = [name for name in room if name.startswith("test_")]
    assert len(named) == 2
    for name in named:
        room[name](tmp_path)
    (folder / "two_people.py").write_text(plugins()["two_people.py"].replace(">= 2", ">= 0"), encoding="utf-8")
    with pytest.raises(AssertionError):
        room[named[0]](tmp_path)


@pytest.mark.parametrize("name", [*plugins(), *written("test")])
def test_every_function_on_the_page_says_its_types(name: str) -> None:
    """So that a club which follows it passes mypy --strict."""
    body = (plugins() | written("test"))[name]
    for node in ast.walk(ast.parse(body)):
        if isinstance(node, ast.FunctionDef):
            assert node.returns is not None, node.name
            assert all(a.annotation for a in node.args.args), node.name


def test_every_path_on_the_page_is_there() -> None:
    prose = re.sub(r"^```.*?^```$", "", TEXT, flags=re.M | re.S)
    named = set(re.findall(r"`((?:specc|plugins|schemas|tests|\.ci)/[^`\s]*|[\w/]+\.(?:py|toml|txt))`", prose))
    assert len(named) > 40
    lacking = [path for path in sorted(named) if not (ROOT / path).exists() and not is_told(path)]
    assert lacking == []


def is_told(path: str) -> bool:
    """A path that its row puts into a room, such as `judge.py` of `specc/spec/`."""
    rows = [line for line in TEXT.splitlines() if f"`{path}`" in line and line.startswith("| `")]
    return any((ROOT / row.split("`")[1] / path).exists() for row in rows)


def test_every_module_of_kinds_and_room_of_a_plugin_is_named() -> None:
    kinds = [p.stem for p in (ROOT / "specc/kinds").glob("[!_]*.py")]
    assert [k for k in sorted(kinds) if f"`kinds.{k}" not in TEXT] == []
    rooms = [p.name for p in (ROOT / "plugins/specc_fuel").iterdir() if (p / "__init__.py").is_file()]
    assert [r for r in sorted(rooms) if f"`{r}/`" not in TEXT] == []


def test_every_part_of_the_packet_is_named() -> None:
    row = next(line for line in TEXT.splitlines() if line.startswith("| `@section("))
    assert [part for part in PACKET_PARTS if not re.search(rf"[ ,]{part}\b", row)] == []


@pytest.mark.parametrize(("command", "output"), shell(), ids=lambda x: x.split()[1] if x.startswith("specc") else "")
def test_commands_print_what_the_page_says(command: str, output: str, folder: Path, capsys) -> None:
    program, *words = shlex.split(command)
    assert program == "specc"
    assert main(words) == 0
    assert capsys.readouterr().out.startswith(output)


def test_the_small_plugin_passes_when_two_are_named(folder: Path) -> None:
    outcomes = {}
    for people in ("", "people: {ada: {role: operator}, ben: {role: watch}}\n"):
        (folder / "project.yaml").write_text(SAMPLE + people, encoding="utf-8")
        result = compiled("two_people.py")
        outcomes[people] = [(r.status, r.plugin) for r in result.rules if r.id == "two_people.named"]
        assert result.exit_code == 0
    assert [*outcomes.values()] == [[("failed", "two_people")], [("passed", "two_people")]]


def test_all_six_hooks_are_on_the_page_and_in_the_second_plugin() -> None:
    assert len(HOOKS) == 6
    for hook in HOOKS:
        assert f"| `{hook}` |" in TEXT
        assert f"def {hook}() ->" in plugins()["hose_ends.py"]


def test_every_decorator_verdict_and_block_is_explained() -> None:
    prose = re.sub(r"^```.*?^```$", "", TEXT, flags=re.M | re.S)
    passes = ("value", "gather", "figure", "figures", "rule", "table", "drawn", "section")
    assert [d for d in passes if f"| `@{d}(" not in prose] == []
    verdicts = ("passed", "found", "stated", "shown", "planned", "not_applicable", "not_checked", "authority_decides")
    assert [v for v in verdicts if f"`{v}(" not in prose] == []
    from specc.drawing.shapes import SHAPES
    from specc.model.blocks import BLOCKS as KINDS

    assert [k.__name__ for k in (*KINDS, *SHAPES) if f"`{k.__name__}`" not in prose] == []
    assert set(passes) | set(verdicts) <= set(specc.__all__)


def test_every_dimension_is_named() -> None:
    listed = TEXT[TEXT.index("`dim`, as in `x-dimension`") :].partition("\n\n")[0]
    assert [name for name in DIMENSIONS if not re.search(rf"\b{name}\b", listed)] == []


def test_the_second_plugin_adds_figure_rule_table_drawing_section_and_source(folder: Path) -> None:
    result = compiled("hose_ends.py")
    assert result.exit_code == 0
    assert result.findings == ()
    push = result.figure("hose_ends.push.h1")
    pressure = result.figure("fuel.cylinder_pressure_highest")
    assert push is not None
    assert pressure is not None
    # 3/8 in = 9.525 mm
    assert push.si == pytest.approx(pressure.si * 3.141592653589793 * 0.009525**2 / 4)
    assert push.case == "high"
    assert [r.status for r in result.rules if r.plugin == "hose_ends"] == ["passed"]
    assert "hose_ends.hoses" in dict(result.tables)
    assert "hose_ends.sketch" in dict(result.drawings)
    assert "hose_ends" in [s.id for s in result.sections]
    assert "nist-sp-811" in [r.id for r in result.references]
    assert "Hose ends" in [m.subject for m in result.model_limits]
    assert render(result).startswith(b"%PDF")


def test_the_second_plugin_finds_a_hose_over_its_limit_at_its_line(folder: Path) -> None:
    rewrite(folder, "limits:", "limits:\n  hose_ends.push: 15 lbf")
    (finding,) = compiled("hose_ends.py").findings
    lines = (folder / "project.yaml").read_text(encoding="utf-8").splitlines()
    assert (finding.rule, finding.level, finding.at) == ("hose_ends.tied", "warning", "/plumbing/parts/h1")
    assert lines[finding.place.line - 1].strip().startswith("- h1: {is: 3/8 in swivel hose x 15 ft")


def test_the_second_plugin_s_root_of_the_spec_is_judged(folder: Path) -> None:
    """`hose_ends: tied:` quiets the rule, and a root that no plugin owns is unknown."""
    rewrite(folder, "limits:", "hose_ends: {tied: [h1]}\nlimits:\n  hose_ends.push: 15 lbf")
    assert compiled("hose_ends.py").findings == ()
    assert {f.at for f in compiled().findings} == {"/hose_ends", "/limits/hose_ends.push"}


def test_the_second_plugin_s_verb(folder: Path, capsys) -> None:
    assert main(["knots", "--plugin", "hose_ends.py"]) == 0
    assert "clove hitch" in capsys.readouterr().out


@pytest.fixture
def installed(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The small plugin, built from the page's TOML as pip would build it, unpacked where Python looks."""
    from hatchling.builders.wheel import WheelBuilder

    toml = next(b.body for b in BLOCKS if b.language == "toml")
    first, _, body = toml.partition("\n")
    assert first == "# pyproject.toml: two_people.py"
    club = folder / "club"
    club.mkdir()
    (club / "pyproject.toml").write_text(body, encoding="utf-8")
    shutil.copy(folder / "two_people.py", club)
    (wheel,) = WheelBuilder(str(club)).build(directory=str(folder / "dist"), versions=["standard"])
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "site")
    monkeypatch.syspath_prepend(str(folder / "site"))
    importlib.invalidate_caches()
    yield folder
    sys.modules.pop("two_people", None)


def test_the_installed_plugin_runs_only_when_the_spec_names_it(installed: Path) -> None:
    assert "two_people" not in [p.name for p in compiled().plugins]
    use = next(b.body for b in BLOCKS if b.language == "yaml")
    (installed / "project.yaml").write_text(SAMPLE + use, encoding="utf-8")
    result = compiled()
    assert [(p.version, p.origin) for p in result.plugins if p.name == "two_people"] == [("1.0", "installed")]
    assert [f.rule for f in result.findings] == ["two_people.named"]


def test_a_plugin_that_is_named_but_not_installed_is_an_error(folder: Path) -> None:
    use = next(b.body for b in BLOCKS if b.language == "yaml")
    (folder / "project.yaml").write_text(SAMPLE + use, encoding="utf-8")
    result = compiled()
    assert [f.rule for f in result.findings] == ["plugin.absent"]
    assert result.exit_code == 1
