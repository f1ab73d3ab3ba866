"""The road as a whole: exit codes, the Result, sameness, and what no input may do."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from pathlib import Path

import pytest

from specc.engine.derived import citations_in
from specc.engine.road import CHECK, COMPILE, Ask, travel
from specc.model.result import Result
from specc.testing import plugin_file, project, result_of

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "tests" / "samples" / "garden.yaml"
TEXT = SAMPLE.read_text(encoding="utf-8")
CRASH = (
    "from specc import hookimpl, section\nSPECC_CONTRACT = 2\n@section('club', title='t', order=1)\n"
    "def f(ctx): raise RuntimeError\n@hookimpl\ndef specc_passes(): return [f]\n"
)


def test_exit_codes_and_which_comes_first(tmp_path: Path) -> None:
    broken = (plugin_file(tmp_path, "club_breaks", CRASH),)
    error = project(tmp_path, SAMPLE, ("length: 15 ft", "length: 15 psi"), name="error.yaml")
    unusable = project(tmp_path, "a: [", name="unusable.yaml")
    warning = project(
        tmp_path,
        SAMPLE,
        ('starts: "22:00"', 'starts: "23:00"'),
        name="warning.yaml",
    )
    assert result_of(SAMPLE).exit_code == 0
    assert {f.level for f in result_of(warning).findings} == {"warning"}
    assert result_of(warning).exit_code == 0
    assert result_of(error).exit_code == 1
    assert result_of(SAMPLE, plugins=broken).exit_code == 3
    assert result_of(error, plugins=broken).exit_code == 3
    assert result_of(unusable, plugins=broken).exit_code == 2
    assert [r.draft for r in (result_of(warning), result_of(error))] == [False, True]


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty", b""),
        ("comment", b"# nothing\n"),
        ("tab", b"a:\n\tb: 1\n"),
        ("encoding", b"a: \xff\xfe\xff"),
        ("nul", b"a: \x00"),
        ("list", b"- a\n"),
        ("scalar", b"5"),
        ("tag", b"a: !!python/object:os.system x\n"),
        ("two", b"a: 1\n---\nb: 2\n"),
        ("merge", b"a: &a {b: 1}\nc: {<<: *a}\n"),
        ("recursive", b"a: &a [*a]\n"),
        ("deep", b"a: " + b"[" * 5000 + b"]" * 5000),
        (
            "bomb",
            b"a: &a [x, x]\n"
            + b"".join(b"%c: &%c [%s]\n" % (98 + i, 98 + i, b", ".join([b"*%c" % (97 + i)] * 9)) for i in range(9)),
        ),
        ("double", b"format: 1\nformat: 1\n"),
    ],
)
def test_input_that_is_no_spec(tmp_path: Path, name: str, data: bytes) -> None:
    path = tmp_path / f"{name}.yaml"
    path.write_bytes(data)
    result = travel(str(path), None, Ask(kinds=COMPILE))
    assert result.exit_code in (1, 2)
    assert result.errors
    assert all(f.place.file == str(path) for f in result.findings)
    assert not [f for f in result.findings if f.rule.startswith("plugin.")]


@pytest.mark.parametrize("name", ["missing.yaml", ".", "missing/project.yaml"])
def test_no_file_at_all(tmp_path: Path, name: str) -> None:
    result = travel(str(tmp_path / name))
    assert result.exit_code == 2
    assert result.errors == 1


def test_check_makes_figures_and_rules_but_no_sections() -> None:
    checked, compiled = travel(str(SAMPLE), None, Ask(kinds=CHECK)), result_of(SAMPLE)
    assert (checked.sections, checked.tables, checked.drawings) == ((), (), ())
    assert (checked.figures, checked.rules, checked.findings) == (compiled.figures, compiled.rules, compiled.findings)


def test_one_table_can_be_asked_for_alone() -> None:
    result = travel(str(SAMPLE), None, Ask(kinds=frozenset(), ids=frozenset({"table plumbing.parts"})))
    assert [key for key, _ in result.tables] == ["plumbing.parts"]
    assert (result.figures, result.rules, result.sections) == ((), (), ())


def test_a_value_of_a_figure_can_be_followed_to_its_line() -> None:
    places = dict(result_of(SAMPLE).places)
    place = places["/plumbing/parts/fo1/bore"]
    assert TEXT.splitlines()[place.line - 1][place.column - 1 :].startswith("0.028 in")


def test_every_citation_has_its_reference() -> None:
    result = result_of(SAMPLE)
    known = {r.id for r in result.references}
    assert {c.reference for _, c in citations_in(result) if c.reference} <= known


def test_each_finding_comes_with_its_line_of_text(tmp_path: Path) -> None:
    result = result_of(project(tmp_path, SAMPLE, ("length: 15 ft", "length: 15 psi")))
    (found,) = result.findings
    assert dict(result.excerpts)[found.place].strip() == "length: 15 psi"


def test_findings_stand_errors_first_then_by_line(tmp_path: Path) -> None:
    result = result_of(
        project(
            tmp_path,
            SAMPLE,
            ("length: 15 ft", "length: 15 psi"),
            ("form: ball", "form: bal"),
            ("site: lower", "sight: lower"),
            ("fuel.reserve: 30 %", "fuel.reserve: 10 %"),
        )
    )
    order = [(f.level != "error", f.place.line) for f in result.findings]
    assert len(order) > 3
    assert order == sorted(order)


def test_revision_and_digest(tmp_path: Path) -> None:
    spec = project(tmp_path, SAMPLE)
    plain = travel(str(spec))
    assert (plain.revision, travel(str(spec), None, Ask(revision="B")).revision) == ("1", "B")
    assert plain.digest == travel(str(spec)).digest
    other = travel(str(project(tmp_path, SAMPLE, ("revision: 1", "revision: 2"))))
    assert other.digest != plain.digest


def test_the_overlay_adds_and_leaves_the_digest(tmp_path: Path) -> None:
    spec = project(tmp_path, SAMPLE)
    named = "people:\n  lead: {role: lead operator, name: Nobody Real, phone: none}\n"
    private = project(tmp_path, named, name="private.yaml")
    assert travel(str(spec), str(private)).digest == travel(str(spec)).digest
    assert travel(str(spec), str(private)).findings == ()


# The same from anywhere


def whole() -> Result:
    return travel(str(SAMPLE), None, Ask(kinds=COMPILE, tolerance=True))


def test_a_result_pickles_and_comes_back_equal() -> None:
    result = whole()
    assert pickle.loads(pickle.dumps(result)) == result


def test_a_result_with_all_kinds_of_findings_pickles(tmp_path: Path) -> None:
    plugins = (plugin_file(tmp_path, "club_breaks", CRASH),)
    spec = project(
        tmp_path, SAMPLE, ("length: 15 ft", "length: 15 psi"), ("bore: 0.028 in", "bore: 0.028 in ± 0.002 in")
    )
    result = result_of(spec, plugins=plugins, tolerance=True)
    assert pickle.loads(pickle.dumps(result)) == result


@pytest.mark.parametrize(
    "other",
    [
        {"PYTHONHASHSEED": "1", "LC_ALL": "C", "TZ": "Pacific/Apia"},
        {"PYTHONHASHSEED": "77", "LC_ALL": "de_DE.UTF-8", "TZ": "America/St_Johns", "PYTHONUTF8": "0"},
        {"PYTHONHASHSEED": "random", "LC_ALL": "tr_TR.UTF-8", "TZ": "UTC", "HOME": "/nonexistent"},
    ],
)
def test_the_same_result_from_another_process(tmp_path: Path, other: dict[str, str]) -> None:
    out = tmp_path / "result"
    code = (
        "import locale, pickle, sys\n"
        "try: locale.setlocale(locale.LC_ALL, '')\n"
        "except locale.Error: pass\n"
        "from specc.engine.road import COMPILE, Ask, travel\n"
        "result = travel(sys.argv[1], None, Ask(kinds=COMPILE, tolerance=True))\n"
        "open(sys.argv[2], 'wb').write(pickle.dumps(result))\n"
    )
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "LANG", "TZ"))}
    environment |= other | {"PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "plugins")])}
    subprocess.run(
        [sys.executable, "-c", code, str(SAMPLE), str(out)], env=environment, cwd=tmp_path, check=True, timeout=120
    )
    assert pickle.loads(out.read_bytes()) == whole()


def test_what_is_found_stands_in_the_same_order_in_each_process() -> None:
    """Where most rules speak: a set of tags comes in another order in each."""
    code = "import sys; from specc.cli import main; sys.exit(main(['check', sys.argv[1], '--format', 'json']))"
    told = set()
    for seed in ("1", "2"):
        environment = os.environ | {
            "PYTHONHASHSEED": seed,
            "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "plugins")]),
        }
        words = [sys.executable, "-c", code, str(ROOT / "sample_projects/broken_mast/project.yaml")]
        told.add(subprocess.run(words, env=environment, capture_output=True, timeout=120).stdout)
    assert len(told) == 1
    assert all(b"authority to decide" in one for one in told)
