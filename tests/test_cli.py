"""The command line: exit codes, what is written and what is not, and that nobody meets a traceback."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import specc.packet
from specc import __version__
from specc.cli import VERBS, main
from specc.engine.host import find
from specc.engine.road import CHECK, Ask, travel
from specc.model.own_verbs import OF_BUILT_IN
from specc.report import descent
from specc.spec import resources
from specc.verbs import many

ROOT = Path(__file__).resolve().parent.parent
SAMPLE = str(ROOT / "sample_projects/garden_brazier/project.yaml")
GARDEN = str(Path(__file__).resolve().parent.parent / "sample_projects/garden_brazier/project.yaml")
BARE = """\
format: 1
project: {title: Bare}
event: {name: E, dates: [2027-06-19], elevation: 100 ft}
weather: {air: {low: 50 degF, usual: 60 degF, high: 80 degF}}
"""
PLUGIN = """\
from specc import CHOICE, Column, Context, Row, Table, Verb, Verdict, hookimpl, passed, rule

SPECC_CONTRACT = 2

@rule("club.fine", level="error", statement="All is fine", source=CHOICE)
def fine(ctx: Context) -> Verdict:
    BODY

def hello(given):
    if given.get("who") == "crash":
        raise SystemExit("gone")
    return Table("", "", (Column("who"),), (Row((given.get("who", "nobody"),)),))

@hookimpl
def specc_passes():
    return [fine]

@hookimpl
def specc_verbs():
    return [Verb("hello", "say hello", [("who", "a name")], hello)]
"""
VALIDATOR = Draft202012Validator(resources.schema("output/result.schema.json"))


def command(*words: str, **more: Any) -> subprocess.CompletedProcess[bytes]:
    folders = os.pathsep.join((str(ROOT), str(ROOT / "plugins")))
    env = {**os.environ, "PYTHONPATH": folders, **more.pop("env", {})}
    return subprocess.run([sys.executable, "-m", "specc.cli", *words], capture_output=True, env=env, **more)


def spec(folder: Path, text: str = BARE, name: str = "project.yaml") -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def plugin(folder: Path, body: str = 'return passed("all")', name: str = "club.py") -> str:
    path = folder / name
    path.write_text(PLUGIN.replace("BODY", body), encoding="utf-8")
    return str(path)


def read_json(capsys: pytest.CaptureFixture[str]) -> Any:
    read = json.loads(capsys.readouterr().out)
    assert [e.message for e in VALIDATOR.iter_errors(read)] == []
    return read


# Help, and what it loads


@pytest.mark.parametrize("verb", VERBS)
def test_each_verb_explains_itself_with_an_example(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([verb, "--help"]) == 0
    shown = capsys.readouterr().out
    assert f"example:\n  specc {verb} " in shown


def test_help_lists_every_verb_and_version_is_the_packages(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    shown = capsys.readouterr().out
    assert all(f"\n  {verb} " in shown for verb in VERBS)
    helps = {verb.name: verb.help for plugin in find().plugins for verb in plugin.verbs}
    assert helps == OF_BUILT_IN
    assert all(f"\n  {name:10}  {help_}\n" in shown for name, help_ in helps.items())
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"specc {__version__}\n"
    assert main([]) == 2


@pytest.mark.parametrize("words", [["--help"], ["check", "--help"], ["--version"]])
def test_help_loads_no_plugin_and_no_heavy_library(words: list[str]) -> None:
    code = (
        "import sys; from specc.cli import main; main(sys.argv[1:]); "
        "print(*[m for m in sys.modules if m.split('.')[0] in "
        "('pluggy', 'yaml', 'jsonschema', 'reportlab', 'specc_fuel', 'specc_plumbing') "
        "or m in ('specc.engine.host', 'specc.basics', 'specc.model.values')], file=sys.stderr)"
    )
    folders = os.pathsep.join((str(ROOT), str(ROOT / "plugins")))
    ran = subprocess.run(
        [sys.executable, "-c", code, *words],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": folders},
    )
    assert ran.stdout
    assert ran.stderr.strip() == ""


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ("flame.pilot", "flame.pilot_reach"),
        ("flame.pilots", "flame.pilot_reach"),
        ("plumbing.edns_mate", "plumbing.ends_mate"),
    ],
)
def test_of_names_as_near_the_one_that_begins_alike_is_meant(
    asked: str, near: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["explain", asked]) == 2
    assert capsys.readouterr().err.strip().endswith(f"did you mean {near}?")


def test_an_unknown_verb_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["chek"]) == 2
    assert "did you mean check?" in capsys.readouterr().err


def test_a_bad_call_points_to_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check"]) == 2
    assert "see specc check --help" in capsys.readouterr().err
    assert main(["--plugin", "x.py", "check"]) == 2
    assert "the verb comes first" in capsys.readouterr().err


# Exit codes


def test_check_over_several_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good, faulty = spec(tmp_path), spec(tmp_path, BARE + "evnt: 1\n", "faulty.yaml")
    crashing = plugin(tmp_path, "raise KeyError('oh')")
    absent = str(tmp_path / "absent.yaml")
    assert main(["check", SAMPLE]) == 0
    assert main(["check", SAMPLE, faulty]) == 1
    capsys.readouterr()
    assert main(["check", good, faulty, "--plugin", crashing]) == 3
    assert main(["check", good, faulty, absent, "--plugin", crashing, "--format", "json"]) == 2
    out = capsys.readouterr().out
    assert "KeyError" in out
    assert "Traceback" not in out


@pytest.mark.parametrize("form", ["text", "json"])
def test_check_over_the_cores_prints_what_it_prints_one_by_one(
    form: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    faulty = spec(tmp_path, BARE + "evnt: 1\n", "faulty.yaml")
    words = ["check", SAMPLE, faulty, str(tmp_path / "absent.yaml"), GARDEN, "--format", form]
    seen = []
    for cores in (3, 1):
        monkeypatch.setattr(many, "_cores", lambda cores=cores: cores)
        seen.append((main(words), *capsys.readouterr()))
    assert seen[0] == seen[1]
    assert seen[0][0] == 2


def _die(*_: object) -> None:
    os._exit(9)


@pytest.mark.skipif(os.name != "posix", reason="ends a process at once")
def test_a_worker_that_dies_costs_no_result(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed from outside, as by a machine short of memory: what it had is done again, in order."""
    monkeypatch.setattr(many, "_begin", _die)
    monkeypatch.setattr(many, "_cores", lambda: 2)
    paths = [GARDEN, spec(tmp_path)]
    assert [r.title for r in many.results(paths, [], Ask(CHECK))] == [travel(p).title for p in paths]


def test_check_shows_place_line_caret_and_what_would_be_right(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = spec(tmp_path, BARE + "evnt: 1\n")
    main(["check", path])
    lines = capsys.readouterr().out.splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith(f"{path}:5:1: error "))
    assert lines[at + 1 : at + 3] == ["  5 | evnt: 1", "    | ^"]
    assert lines[at + 3].startswith("  fix: ")
    assert "event" in lines[at + 3]
    assert lines[-1] == ("Computed aid. Local code, licensed practice and the authority having jurisdiction decide.")


def test_check_json_has_what_programs_need(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = spec(tmp_path, BARE + "evnt: 1\n")
    assert main(["check", path, "--format", "json"]) == 1
    file = read_json(capsys)["files"][0]
    found = next(f for f in file["findings"] if f["location"] == {"file": path, "line": 5, "column": 1})
    assert found["level"] == "error"
    assert found["rule"]
    assert "evnt" in found["message"]
    assert {r["id"]: r["status"] for r in file["rules"]}["core.effect_place"] == "not applicable"


def test_nothing_in_a_spec_drives_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = spec(tmp_path, BARE + '"a\\e[31m\\u202e": 1\n')
    main(["check", path])
    main(["check", str(tmp_path / "\x1b[2Jx.yaml")])
    shown = capsys.readouterr()
    assert not any(c in shown.out + shown.err for c in "\x1b\u202e")


# Printing


def test_figures_and_their_tolerances(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["figures", SAMPLE]) == 0
    assert "fuel.gas_on_site " in capsys.readouterr().out
    assert main(["figures", SAMPLE, "--format", "json"]) == 0
    figures = {f["key"]: f for f in read_json(capsys)["files"][0]["figures"]}
    gas = figures["fuel.gas_on_site"]
    assert (gas["value"], gas["unit"]) == (pytest.approx(20.0), "lb")
    assert gas["si"]["value"] == pytest.approx(20 * 0.45359237)
    assert figures["core.air_pressure"]["unit"] == "psia"


def test_trace_goes_back_to_the_line(capsys: pytest.CaptureFixture[str]) -> None:
    lines = Path(SAMPLE).read_text().splitlines()
    number = next(n for n, line in enumerate(lines, 1) if "tank_a: {is: 20 lb" in line)
    assert main(["trace", SAMPLE, "fuel.gas_on_site"]) == 0
    shown = capsys.readouterr().out
    assert f"{SAMPLE}:{number}:" in shown
    assert "plugin fuel" in shown
    assert "source: " in shown
    assert main(["trace", SAMPLE, "fuel.gas_on_site", "--format", "json"]) == 0
    assert read_json(capsys)["trace"]["worked"]["inputs"][0]["location"]["line"] == number


@pytest.mark.parametrize("verb", ["trace", "table", "drawing"])
def test_an_unknown_key_names_the_nearest(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    key = {"trace": "fuel.gas_on_sit", "table": "plumbing.part", "drawing": "plumbin"}[verb]
    more = ["-o", "-"] if verb == "drawing" else []
    assert main([verb, SAMPLE, key, *more]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert "did you mean " in shown.err


def test_a_figure_that_cannot_be_had_says_why(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = spec(tmp_path, BARE.replace("100 ft", "100 psi"))
    assert main(["trace", path, "core.air_pressure"]) == 1
    shown = capsys.readouterr().err
    assert f"{path}:3:" in shown
    assert "could not be computed" in shown


def test_every_figure_of_the_sample_can_be_traced(capsys: pytest.CaptureFixture[str]) -> None:
    main(["figures", SAMPLE, "--format", "json"])
    keys = [figure["key"] for figure in read_json(capsys)["files"][0]["figures"]]
    result = travel(SAMPLE, None, Ask(kinds=CHECK))
    for key in keys:
        figure = result.figure(key)
        assert figure is not None
        assert key in "".join(descent.text(figure, result))
        assert descent.record(figure, result)["key"] == key
    for words in (["trace", SAMPLE, keys[0]], ["trace", SAMPLE, keys[-1], "--format", "json"]):
        assert main(words) == 0
    assert "fault in specc" not in capsys.readouterr().err


def test_a_table_is_the_same_in_three_formats(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["table", SAMPLE, "plumbing.parts", "--format", "json"]) == 0
    table = read_json(capsys)["table"]
    assert main(["table", SAMPLE, "plumbing.parts", "--format", "csv"]) == 0
    rows = list(csv.reader(io.StringIO(capsys.readouterr().out)))
    assert rows == [table["columns"], *table["rows"]]
    assert main(["table", SAMPLE, "plumbing.parts"]) == 0
    shown = capsys.readouterr().out
    assert all(cell in shown for row in table["rows"] for cell in row)


def test_a_drawing_is_written_or_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["drawing", SAMPLE, "nothing", "-o", "-"])
    key = capsys.readouterr().err.rsplit("the drawings are: ", 1)[1].split(",")[0].strip()
    out = tmp_path / "d.svg"
    assert main(["drawing", SAMPLE, key, "-o", str(out)]) == 0
    capsys.readouterr()
    assert main(["drawing", SAMPLE, key, "-o", "-"]) == 0
    assert capsys.readouterr().out == out.read_text(encoding="utf-8")
    assert out.read_bytes().startswith(b"<svg ")
    assert main(["drawing", SAMPLE, key, "-o", str(tmp_path)]) == 2


def test_rules_with_and_without_a_spec(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "--format", "json"]) == 0
    listed = {r["id"]: r for r in read_json(capsys)["rules"]}
    assert listed["core.effect_place"]["status"] == "specc default"
    # The bare spec describes no cylinder, and the rules' exit code is the check's.
    code = main(["check", spec(tmp_path)])
    capsys.readouterr()
    assert main(["rules", spec(tmp_path), "--format", "json"]) == code
    outcomes = {r["id"]: r for r in read_json(capsys)["files"][0]["rules"]}
    assert set(outcomes) == set(listed)
    assert outcomes["core.effect_place"]["status"] == "not applicable"
    assert main(["rules", spec(tmp_path)]) == code
    assert "core.effect_place (error, core): not applicable" in capsys.readouterr().out


def test_sources_say_where_they_are_cited(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sources", SAMPLE, "--format", "json"]) == 0
    listed = {s["reference"]: s for s in read_json(capsys)["sources"]}
    air = listed["us-standard-atmosphere-1976"]
    cited = next(c for c in air["cited"] if "core.air_pressure" in c["by"])
    assert {c["basis"] for c in listed[""]["cited"]} <= {"practice", "choice"}
    assert main(["sources", SAMPLE]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert f"- {cited['where']}: {cited['basis_words']}; for {cited['by'][0]}" in shown


def test_the_schema_is_whole_and_plain(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    Draft202012Validator.check_schema(schema)
    assert {"project", "plumbing"} <= set(schema["properties"])
    assert main(["schema", "--output", "result"]) == 0
    assert json.loads(capsys.readouterr().out) == resources.schema("output/result.schema.json")


def test_plugins_lists_what_each_brings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    club = plugin(tmp_path)
    assert main(["plugins", "--plugin", club, "--format", "json"]) == 0
    listed = {p["name"]: p for p in read_json(capsys)["plugins"]}
    assert listed["club"]["brings"]["rule"] == 1
    assert listed["fuel"]["origin"] == "built-in"
    (tmp_path / "broken.py").write_text("import nothing_of_this_name")
    assert main(["plugins", spec(tmp_path), "--plugin", str(tmp_path / "broken.py")]) == 3
    shown = capsys.readouterr()
    assert "broken" in shown.out
    assert "nothing_of_this_name" in shown.err
    assert main(["plugins", spec(tmp_path, BARE + "plugins: {use: [absent]}\n")]) == 1


def test_a_plugins_verb(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    club = plugin(tmp_path)
    assert main(["hello", "you", "--plugin", club]) == 0
    assert "you" in capsys.readouterr().out
    assert main(["hello", "who=you", "--plugin", club, "--format", "json"]) == 0
    assert read_json(capsys)["table"]["rows"] == [["you"]]
    assert main(["hello", "you", "more", "--plugin", club]) == 2
    assert main(["hello", "crash", "--plugin", club]) == 3
    shown = capsys.readouterr().err
    assert "the plugin 'club' failed in the verb hello" in shown
    assert main(["hello", "you"]) == 2


# Sums


def calc(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    assert main(["calc", *words, "--format", "json"]) == 0
    return read_json(capsys)


def test_calc_gives_value_unit_equation_and_numbers(capsys: pytest.CaptureFixture[str]) -> None:
    made = calc(capsys, "air-pressure", "elevation=0 ft")
    assert (made["value"], made["unit"]) == (pytest.approx(14.696, abs=1e-3), "psia")
    assert made["equation"].startswith("p_a = p_0·")
    assert "0 ft" in made["substituted"]
    assert made["sources"][0]["reference"] == "us-standard-atmosphere-1976"


def test_calc_example_of_the_issue(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["bore=1/16 in", "upstream=30 psi", "gas_temperature=70 degF", "discharge=1.0"]
    made = calc(capsys, "orifice-flow", *words)
    assert made["unit"] == "lb/h"
    # 12 to 15 lb/h: the tool's own checks against published values are with the calculator.
    assert 12 < made["value"] < 15
    assert made["regime"] == "choked"
    assert main(["calc", "orifice-flow", *words]) == 0
    shown = capsys.readouterr().out
    assert "(1/16 in)²" in shown
    assert "sources:" in shown


def test_calc_takes_several_values_for_a_sum(capsys: pytest.CaptureFixture[str]) -> None:
    made = calc(capsys, "heat-together", "heats=3 kW, 1,000 kW")
    assert made["value"] == pytest.approx(1003 / 0.29307107 * 1e3)


def test_calc_lists_a_line_each(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert main(["calc", "--format", "json"]) == 0
    names = [c["name"] for c in read_json(capsys)["calculators"] if c["bench"]]
    assert sorted(line.split()[0] for line in lines if line.startswith("  ")) == names


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["air-pressur", "elevation=0 ft"], "did you mean air-pressure?"),
        (["gross-heat", "flow"], 'flow is missing: a mass flow, for example "4 lb/h"'),
        (["air-pressure", "elevaton=0 ft"], "did you mean elevation?"),
        (["air-pressure", "elevation=30 psi"], "elevation: "),
        (["air-pressure", "elevation=30"], "elevation: "),
        (["air-pressure", "30 ft"], "write name=value, such as elevation="),
        (["air-pressure", "elevation=1 ft", "elevation=2 ft"], "elevation is given twice"),
        (["air-pressure", "elevation=90 km"], "not at "),
    ],
)
def test_calc_says_what_would_be_right(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", *words]) == 2
    shown = capsys.readouterr()
    assert said in shown.err
    assert shown.out == ""


# Packets


def test_compile_writes_beside_the_spec(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = spec(tmp_path, Path(SAMPLE).read_text(encoding="utf-8"))
    assert main(["compile", path, "--paper", "a4"]) == 0
    out = tmp_path / "garden_brazier.pdf"
    assert out.read_bytes().startswith(b"%PDF-")
    assert f"wrote {out}" in capsys.readouterr().out
    assert sorted(p.name for p in tmp_path.iterdir()) == ["garden_brazier.pdf", "project.yaml"]


def test_compile_with_errors_writes_a_draft(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "o.pdf"
    assert main(["compile", spec(tmp_path, BARE + "evnt: 1\n"), "-o", str(out)]) == 1
    assert out.is_file()
    assert "DRAFT" in capsys.readouterr().out


@pytest.mark.parametrize("bad", ["", "\t", "a: [", "- 1", "a: &x [*x]"])
def test_compile_of_a_useless_spec_leaves_the_older_packet(tmp_path: Path, bad: str) -> None:
    out = tmp_path / "o.pdf"
    out.write_bytes(b"older")
    assert main(["compile", spec(tmp_path, bad), "-o", str(out)]) == 2
    assert out.read_bytes() == b"older"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["o.pdf", "project.yaml"]


def test_compile_refuses_places_it_cannot_write(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = spec(tmp_path)
    before = Path(path).read_bytes()
    link = tmp_path / "link.yaml"
    link.symlink_to(path)
    for out, said in (
        (str(tmp_path / "absent" / "o.pdf"), "does not exist"),
        (str(tmp_path), "is a folder"),
        ("", "names no file"),
        (path, "is an input"),
        (str(link), "is an input"),
        (os.devnull, "is not an ordinary file"),
    ):
        assert main(["compile", path, "-o", out]) == 2, out
        assert said in capsys.readouterr().err
    assert Path(path).read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["link.yaml", "project.yaml"]


def test_a_failed_write_leaves_the_older_packet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "o.pdf"
    out.write_bytes(b"older")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert main(["compile", spec(tmp_path), "-o", str(out)]) == 2
    assert "No space left" in capsys.readouterr().err
    assert out.read_bytes() == b"older"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["o.pdf", "project.yaml"]


def test_a_packet_that_cannot_be_laid_out_is_no_traceback(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object) -> bytes:
        raise RuntimeError("no room")

    monkeypatch.setattr(specc.packet, "render", broken)
    out = tmp_path / "o.pdf"
    assert main(["compile", spec(tmp_path), "-o", str(out)]) == 3
    shown = capsys.readouterr().err
    assert "RuntimeError: no room" in shown
    assert "Traceback" not in shown
    assert not out.exists()


def test_an_id_that_is_no_file_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = spec(tmp_path, BARE.replace("{title", "{id: ../../x, title"), "my spec.yaml")
    assert main(["compile", path]) == 1
    assert f"wrote {tmp_path / 'my_spec.pdf'}" in capsys.readouterr().out


# Start


def test_start_gives_a_spec_that_checks_and_compiles(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "new" / "effect"
    assert main(["start", str(folder)]) == 0
    assert f"specc check {folder}/project.yaml" in capsys.readouterr().out
    assert main(["check", f"{folder}/project.yaml", "--format", "json"]) == 0
    file = read_json(capsys)["files"][0]
    assert [f for f in file["findings"] if f["level"] == "error"] == []
    assert len(file["rules"]) > 5
    assert main(["compile", f"{folder}/project.yaml"]) == 0
    assert "*.pdf" in (folder / ".gitignore").read_text().splitlines()


def test_start_overwrites_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec(tmp_path, "mine")
    assert main(["start", str(tmp_path)]) == 2
    assert sorted(p.name for p in tmp_path.iterdir()) == ["project.yaml"]
    other = tmp_path / "other"
    other.mkdir()
    (other / ".gitignore").write_text("mine")
    assert main(["start", str(other)]) == 0
    assert (other / ".gitignore").read_text() == "mine"
    assert main(["start", str(tmp_path / "project.yaml")]) == 2
    assert "cannot make the folder" in capsys.readouterr().err


# Faults of our own, and terminals


def test_a_fault_in_specc_itself_says_so(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    def broken(*_: object) -> None:
        raise KeyError("x")

    monkeypatch.setattr(many, "travel", broken)
    assert main(["check", SAMPLE]) == 3
    shown = capsys.readouterr().err
    assert "KeyError" in shown
    assert "fault in specc itself" in shown
    assert "Traceback" not in shown
    with pytest.raises(KeyError):
        main(["check", SAMPLE, "--traceback"])


def test_a_terminal_that_knows_no_degree_sign() -> None:
    ran = command("calc", "vapor-pressure", "temperature=70 °F", env={"PYTHONIOENCODING": "ascii"})
    assert ran.returncode == 0, ran.stderr
    assert b"\\xb0F" in ran.stdout


def test_json_is_the_same_bytes_in_every_locale(tmp_path: Path) -> None:
    path = spec(tmp_path, BARE.replace("Bare", "火 é"))
    runs = [
        command("check", path, "--format", "json", env={"PYTHONIOENCODING": e, "LC_ALL": "C"})
        for e in ("ascii", "utf-8", "latin-1")
    ]
    assert len({r.stdout for r in runs}) == 1
    assert json.loads(runs[0].stdout)["files"][0]["title"] == "火 é"


def test_a_reader_who_leaves_gets_no_traceback() -> None:
    # More than a pipe holds, so that the writer is still writing when the reader has gone.
    words = [sys.executable, "-m", "specc.cli", "check", *[SAMPLE] * 3, "--format", "json"]
    folders = os.pathsep.join((str(ROOT), str(ROOT / "plugins")))
    ran = subprocess.Popen(
        words,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": folders},
    )
    assert ran.stdout is not None
    assert ran.stderr is not None
    ran.stdout.close()
    said = ran.stderr.read()
    ran.stderr.close()
    assert ran.wait() == 141
    assert said == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("words", [["--help"], ["check", GARDEN], ["compile", GARDEN, "-o", "out.pdf"], ["schema"]])
def test_an_output_that_cannot_be_written_is_said_and_is_no_fault_of_specc(words: list[str], tmp_path: Path) -> None:
    for redirected, why in ((">/dev/full", "No space left on device"), (">&-", "it is closed")):
        line = " ".join(["exec", sys.executable, "-m", "specc.cli", *words, redirected])
        run = subprocess.run(["sh", "-c", line], capture_output=True, text=True, cwd=tmp_path)
        assert (run.returncode, run.stderr) == (2, f"specc: cannot write to standard output: {why}\n")


@pytest.mark.skipif(os.name != "posix", reason="redirections of a POSIX shell")
def test_a_closed_standard_input_is_a_finding_and_no_fault_of_specc() -> None:
    run = subprocess.run(
        ["sh", "-c", f"exec {sys.executable} -m specc.cli check - <&-"], capture_output=True, text=True
    )
    assert (run.returncode, run.stderr) == (2, "")
    assert "standard input is closed" in run.stdout


def test_an_output_without_a_name_is_said_to_be_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compile", spec(tmp_path), "-o", ""]) == 2
    assert "-o names no file" in capsys.readouterr().err


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_bad_call_that_cannot_be_explained_still_ends_as_one() -> None:
    assert subprocess.run(["sh", "-c", f"exec {sys.executable} -m specc.cli chek 2>/dev/full"]).returncode == 2


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
@pytest.mark.parametrize("words", [["check", "--format", "json"], ["compile"], ["figures"], ["show"], ["rules"]])
def test_a_file_name_that_is_no_utf_8(words: list[str], tmp_path: Path) -> None:
    name = os.fsencode(tmp_path) + b"/a\xff.yaml"
    Path(os.fsdecode(name)).write_bytes(Path(GARDEN).read_bytes())
    run = subprocess.run([sys.executable, "-m", "specc.cli", words[0], name, *words[1:]], capture_output=True)
    assert (run.returncode, run.stderr) == (0, b"")


def test_private_files_add_up(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, one, two = spec(tmp_path), tmp_path / "one.yaml", tmp_path / "two.yaml"
    one.write_text("people: {ann: {name: Ann Example}}\n", encoding="utf-8")
    two.write_text("people: {bo: {name: Bo Example}}\n", encoding="utf-8")
    assert main(["show", path, "--with", str(one), "--with", str(two)]) == 0
    said = capsys.readouterr().out
    assert "Ann Example" in said
    assert "Bo Example" in said
    two.write_text("people: {ann: {name: Bo Example}}\n", encoding="utf-8")
    assert main(["check", path, "--with", str(one), "--with", str(two)]) == 1
    assert "again" in capsys.readouterr().out


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("module", ["argparse", "specc.engine.watch"])
def test_ctrl_c_while_specc_is_imported_says_nothing(module: str) -> None:
    """Held where the command's own imports begin, and where the last of them stands before `main` can answer, so that
    the moment does not rest on a clock."""
    held = (
        "import os, signal, sys\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"  # a shell's background job ignores it
        "sys.argv = ['specc', 'rules']\n"
        "class Held:\n"
        "    def find_spec(self, name, *_):\n"
        f"        if name == '{module}': os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Held())\n"
        "from specc.cli import main\n"
        "sys.exit(main())\n"
    )
    run = subprocess.run([sys.executable, "-c", held], capture_output=True)
    assert (run.returncode, run.stdout, run.stderr) == (-2, b"", b"")


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("start", [["-m", "specc"], ["-m", "specc.cli"], ["-c", "import specc.cli"]])
def test_ctrl_c_before_anything_of_specc_s_own_is_imported_says_nothing(start: list[str], tmp_path: Path) -> None:
    """Held at the first thing that specc itself imports: the module of signals while the command's guard is set, and
    what comes after it. A library that is imported keeps Python's own answer."""
    held = (
        "import os, signal, sys\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"
        "real = signal.getsignal\n"
        "def getsignal(number):\n"
        "    os.kill(os.getpid(), signal.SIGINT)\n"
        "    return real(number)\n"
        "signal.getsignal = getsignal\n"
    )
    (tmp_path / "sitecustomize.py").write_text(held, encoding="utf-8")
    env = {**os.environ, "PYTHONPATH": os.pathsep.join((str(tmp_path), str(ROOT), str(ROOT / "plugins")))}
    run = subprocess.run(
        [sys.executable, *start, *(["rules"] if start[0] == "-m" else [])], capture_output=True, env=env
    )
    assert run.returncode == (130 if start[0] == "-m" else 0)
    assert run.stderr == b""
