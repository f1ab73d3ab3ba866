"""Old words: a spec's still read, with a note; a plugin's old imports are told where the names went."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.engine.host import find
from specc.engine.road import FIGURES, Ask, travel
from specc.testing import plugin_file

ROOT = Path(__file__).parents[1]
SAMPLE = (ROOT / "sample_projects/garden_brazier/project.yaml").read_text(encoding="utf-8")


def findings(tmp_path: Path, text: str) -> list[tuple[str, str, int, str, str]]:
    spec = tmp_path / "project.yaml"
    spec.write_text(text, encoding="utf-8")
    return [(f.rule, f.level, f.place.line, f.message, f.fix) for f in travel(str(spec)).findings]


def line_of(text: str, words: str) -> int:
    return next(i for i, line in enumerate(text.splitlines(), 1) if words in line)


@pytest.mark.parametrize(
    ("new", "old", "message", "fix"),
    [
        ("withdrawal: vapor", "withdrawal: vapour", "'vapour' is now 'vapor', and read as that", "write vapor (since"),
        (
            "method: threaded, reassembled:",
            "method: threaded, remade:",
            "'remade' is now",
            "reassembled:",
        ),
    ],
)
def test_an_old_word_reads_as_the_new_one_and_a_note_says_so(
    tmp_path: Path, new: str, old: str, message: str, fix: str
) -> None:
    text = SAMPLE.replace(new, old, 1)
    assert text != SAMPLE
    (only,) = findings(tmp_path, text)
    assert only[:3] == ("spec.renamed", "note", line_of(text, old))
    assert message in only[3]
    assert fix in only[4]


def test_an_old_key_beside_its_new_one_is_refused(tmp_path: Path) -> None:
    text = SAMPLE.replace("reassembled: 2027-06-05", "reassembled: 2027-06-05, remade: 2027-06-05", 1)
    assert text != SAMPLE
    (only,) = findings(tmp_path, text)
    assert only[:2] == ("spec.unknown_key", "error")
    assert "leave out remade:" in only[4]


def test_the_result_is_that_of_the_new_words(tmp_path: Path) -> None:
    old = SAMPLE.replace("reassembled:", "remade:").replace("withdrawal: vapor", "withdrawal: vapour")
    results = []
    for name, text in (("old", old), ("new", SAMPLE)):
        (tmp_path / name).mkdir()
        spec = tmp_path / name / "project.yaml"
        spec.write_text(text, encoding="utf-8")
        results.append(travel(str(spec)))
    assert [(r.id, r.status, r.looked) for r in results[0].rules] == [
        (r.id, r.status, r.looked) for r in results[1].rules
    ]
    assert [(f.key, f.si) for f in results[0].figures] == [(f.key, f.si) for f in results[1].figures]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("from specc.view import View", "specc.view moved: from specc import View"),
        ("from specc.model import Finding", "specc.model moved: from specc import Finding"),
        ("from specc.quantities import show", "specc.quantities moved: from specc import show"),
        ("import specc.passes", "specc.passes moved: what is public is in specc; this is now in specc.model.passes"),
        ("from specc.kinds.plumbing import CATALOGUE", "from specc.kinds.plumbing import CATALOG"),
        ("import no_such_module_of_anybody", ""),
    ],
)
def test_a_plugin_that_imports_an_old_name_is_told_the_new_one(tmp_path: Path, line: str, says: str) -> None:
    plugin = tmp_path / "club.py"
    plugin.write_text(line + "\n\nSPECC_CONTRACT = 2\n", encoding="utf-8")
    (trouble,) = find(files=[str(plugin)]).troubles
    assert trouble.rule == "plugin.import"
    assert says in trouble.fix
    assert bool(says) == bool(trouble.fix)


def test_a_waiver_by_a_rules_old_id_still_covers_it(tmp_path: Path) -> None:
    broken = SAMPLE.replace("withdrawal: vapor", "withdrawal: liquid")
    (before,) = [f for f in findings(tmp_path, broken) if f[0] == "materials.cylinder_vapor"]
    assert before[1] == "error"
    waived = broken + (
        "waivers:\n  w1: {rule: materials.cylinder_vapour, reason: tried on a bench, who: The Maker, "
        "until: 2030-01-01}\n"
    )
    spec = tmp_path / "project.yaml"
    spec.write_text(waived, encoding="utf-8")
    found = {f.rule: f for f in travel(str(spec)).findings}
    assert found["materials.cylinder_vapor"].waived == "w1"
    note = found["spec.renamed"]
    assert (note.level, note.place.line) == ("note", line_of(waived, "  w1:"))
    assert note.fix == "write materials.cylinder_vapor"


def test_a_waiver_by_a_values_old_key_is_read_as_the_new_one(tmp_path: Path) -> None:
    waived = SAMPLE + (
        "waivers:\n  w1: {rule: fuel.over_time, reason: tried on a bench, who: The Maker, until: 2030-01-01}\n"
    )
    assert ("spec.renamed", "note") in [f[:2] for f in findings(tmp_path, waived)]
    spec = tmp_path / "project.yaml"
    assert [w.rule for w in travel(str(spec)).waivers] == ["fuel.simulated_show"]


PLUGIN = """
from specc import PRACTICE, Limit, hookimpl

SPECC_CONTRACT = 2


@hookimpl
def specc_passes():
    return [Limit("walls.height", "3 ft", "length", "max", "how high", PRACTICE, was=("walls.hight",))]
"""


def test_a_limit_by_its_old_key_still_counts(tmp_path: Path) -> None:
    text = SAMPLE.replace("\nlimits:\n", "\nlimits:\n  walls.hight: 5 ft\n", 1)
    assert text != SAMPLE
    spec = tmp_path / "project.yaml"
    spec.write_text(text, encoding="utf-8")
    result = travel(str(spec), None, Ask(FIGURES, plugin_files=(plugin_file(tmp_path, "walls", PLUGIN),)))
    limit = next(one for one in result.limits if one.key == "walls.height")
    assert (limit.value.text, limit.by) == ("5 ft", "the project's spec")
    assert [(f.rule, f.fix) for f in result.findings] == [("spec.renamed", "write walls.height:")]
