"""A finding on a distance says where the thing might stand instead; it is put there, and all is judged again.

The bad specs are those of the rules' own tests. What was found is gone, and nothing new is found.
"""

from __future__ import annotations

import shutil
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from specc.engine.road import CHECK, Ask, travel
from specc.model.findings import Finding
from specc.model.result import Result
from specc.testing import patched, project

sys.path.insert(0, str(Path(__file__).parent))

from test_cures import LEFT, MOVED, module, with_cure
from test_flame_rules import BURNING, REEDS

MODULES = {name: module(name) for name in sorted({*MOVED.values()} - {"test_flame_rules"})}
# More bad specs of the flame rules, on the same sample: file, old text and new.
MORE: dict[str, tuple[tuple[str, str, str], ...]] = {
    "flame.part_heat": (
        ("project.yaml", "at: [26 ft, 32 ft, 2 ft]", "at: [-2 ft, 43 ft, 2 ft]"),
    ),
    "flame.sent": (("project.yaml", "box: {at: [22.5 ft, 11 ft, 2 ft]", "box: {at: [8 ft, 32 ft, 2 ft]"),),
    "flame.dry": (
        ("project.yaml", "hedge: {line: [[41 ft, 24 ft, 0 ft], [41 ft, 44 ft, 0 ft]]",
                         "hedge: {line: [[0 ft, 24 ft, 0 ft], [0 ft, 44 ft, 0 ft]]"),
    ),
    "flame.overhead": (
        ("project.yaml", "  dry: [hedge]\n", "  dry: [hedge]\n  overhead: [flags]\n"),
        ("project.yaml", "  mast: {at", "  flags: {at: [-10 ft, 38 ft, 40 ft]}\n  mast: {at"),
    ),
    "flame.things": (
        ("project.yaml", "  shed_roof:", "  banner: {kind: fabric, material: cotton, place: flags, weight: 2 lb, "
                                         "held_by: [shed]}\n  shed_roof:"),
        ("project.yaml", "  mast: {at", "  flags: {at: [0 ft, 44 ft, 12 ft]}\n  mast: {at"),
    ),
    "flame.pilot_reach": (
        ("plumbing.yaml", "place: mast,\n      lit_by: {torch: birch}", "place: beside,\n      lit_by: {torch: birch}"),
        ("project.yaml", "  mast: {at", "  beside: {at: [-10 ft, 42 ft, 9 ft]}\n  mast: {at"),
    ),
}  # fmt: skip
# And of the rules on the site, on their own good spec.
ON_SITE: dict[str, tuple[tuple[str, str], ...]] = {
    "site.clear_height": (("  rack: {kind", "  booth: {kind: tent, area: [[6 ft, 2 ft], [12 ft, 2 ft], [12 ft, 8 ft], "
                                            "[6 ft, 8 ft]]}\n  rack: {kind"),),
    "site.vents_from_low_places": (
        ("  second: {at", "  far: {at: [60 ft, 32 ft, 2 ft]}\n  pit: {kind: low_place, at: [66 ft, 32 ft]}\n"
                          "  second: {at"),
        ("form: relief, opens: 60 psi, place: post", "form: relief, opens: 60 psi, place: far"),
    ),
    "site.on_site": (("rack: {kind: fuel_store, at: [85 ft, 50 ft]}", "rack: {kind: fuel_store, at: [85 ft, 84 ft]}"),),
}  # fmt: skip


def written(folder: Path, rule: str) -> Iterator[tuple[Path, tuple[str, ...]]]:
    """The bad specs of a rule, each with the plugins that its tests leave out."""
    if MOVED[rule] != "test_flame_rules":
        tests = MODULES[MOVED[rule]]
        bad = tests.BAD.get(rule) or tests.BAD.get(rule.partition(".")[2]) or tests.BAD
        base = getattr(tests, "BASE", tests.GOOD)
        bad = [*(bad.values() if isinstance(bad, dict) else bad), *([ON_SITE[rule]] if rule in ON_SITE else [])]
        for i, patches in enumerate(bad):
            here = folder / str(i)
            here.mkdir()
            if rule == "operators.meeting_place":
                patches = (*tests.GOOD, patches[:2])
            yield project(here, base, *patches), tests.OTHERS
        return
    edits: list[Any] = [e for _, e, r in BURNING if f"flame.{r}" == rule]
    edits += [MORE[rule]] if rule in MORE else []
    for i, listed in enumerate(edits):
        here = folder / str(i)
        shutil.copytree(REEDS, here)
        for name, old, new in listed:
            text = (here / name).read_text(encoding="utf-8")
            (here / name).write_text(patched(text, (old, new)), encoding="utf-8")
        yield here / "project.yaml", ()


def judged(spec: Path, block: tuple[str, ...]) -> Result:
    return travel(str(spec), ask=Ask(CHECK, block=block, spots=True))


def counts(result: Result) -> Counter[tuple[str, str, str]]:
    return Counter((f.rule, f.level, f.at) for f in result.findings if f.level != "note")


@pytest.mark.parametrize("rule", list(MOVED))
def test_where_a_finding_would_have_something_stand_it_passes(tmp_path: Path, rule: str) -> None:
    offered = 0
    for spec, block in written(tmp_path, rule):
        if offered and not block:
            break  # a whole device: one is enough
        before = judged(spec, block)
        tried: dict[Any, list[Finding]] = {}
        for one in before.findings:
            if one.rule == rule and one.cure is not None and one.cure.edits:
                tried.setdefault(one.cure, []).append(one)
        for cure, found in tried.items():
            offered += 1
            assert all(f.fix.startswith(cure.words) for f in found)
            after = judged(with_cure(spec, cure), block)
            assert counts(after) - counts(before) == Counter(), cure.words
            gone = Counter((f.rule, f.level, f.at) for f in found)
            left = counts(after)
            assert all(left[key] <= counts(before)[key] - many for key, many in gone.items()), cure.words
    assert offered, "no bad spec is offered a spot"


def test_a_rule_on_distances_is_not_excused() -> None:
    assert not [rule for rule, why in LEFT.items() if why.startswith("a place of its own")]
