"""What heat harms near a flame: parts and things by what they are made of, on the good spec for materials, and wood.

Its reed burns some 7 kW: mean flame about 20 in, seen to 31 in.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from specc.engine.host import find
from specc.model.findings import Finding
from specc.testing import Patch, all_but, findings_of, patched, project, result_of

MATERIALS = Path(__file__).with_name("materials.yaml")
OTHERS = all_but("plumbing", "fuel", "materials", "flame")
FRAME = "    material: steel\n    coating: paint\n    distance: {reed: 40 in}"
EDGE = "edge: {at: [6 ft, 0 ft]}"
CURTAIN = "  curtain: {kind: fabric, distance: {reed: 12 ft}}"
GALVANIZED = "coating: zinc\n      place: edge"
CLAMP = "material: aluminum\n      place: edge"
# The tube to the slit is brazed there; it stands where the reed does not burn it.
GOOD = patched(
    MATERIALS.read_text(encoding="utf-8"),
    ("    riser:\n", "    riser:\n      place: edge\n"),
    ("silicon bronze, distance: {reed: 8 in}", "silicon bronze, distance: {reed: 3 ft}"),
)


def frame(material: str, where: str, more: str = "coating: none") -> Patch:
    return FRAME, f"    material: {material}\n    {more}\n    {where}"


def moved(what: str, at: str) -> tuple[Patch, ...]:
    return (EDGE, f"{EDGE}\n  near: {{at: {at}}}"), (what, what.replace("edge", "near"))


def ends(tmp_path: Path, *patches: Patch) -> tuple[str, tuple[Finding, ...], str]:
    result = result_of(project(tmp_path, GOOD, *patches), block=OTHERS, only=("rule flame.things",))
    (rule,) = [r for r in result.rules if r.id == "flame.things"]
    return rule.status, tuple(f for f in result.findings if f.rule == "flame.things"), rule.looked


HARMED: dict[str, tuple[tuple[Patch, ...], str, str]] = {
    "galvanized pipe by the flame": (moved(GALVANIZED, "[1 ft, 0 ft]"), "zinc-coated", "error"),
    "a clamp of aluminum by the flame": (moved(CLAMP, "[0 ft, 1 ft]"), "of aluminum", "error"),
    "55 % aluminum-zinc": ((frame("55 % Al-Zn on steel", "distance: {reed: 18 in}"),), "aluminum-zinc", "error"),
    "conduit, by its outlet": ((frame("EMT", "distance: {slit: 18 in}", "note: x"),), "zinc-coated", "error"),
    "galvanized in the title alone": (
        (("    kind: frame\n", "    kind: frame\n    title: old galv rack\n"), frame("steel", "above: {reed: 18 in}")),
        "zinc-coated",
        "error",
    ),
    "by the place of its effect": ((frame("EMT", "distance: {bed: 1 ft}", "note: x"),), "zinc-coated", "error"),
    "a plastic tie": ((frame("nylon", "distance: {reed: 20 in}", "note: x"),), "of plastic", "error"),
    "fabric of a treated kind": (
        ((CURTAIN, "  curtain: {kind: fabric, material: fire-retardant, distance: {reed: 1 ft}}"),),
        "of fabric",
        "error",
    ),
    "wood, whatever else it is said to be": (
        ((CURTAIN, "  curtain: {kind: wood, material: stainless steel, distance: {reed: 1 ft}}"),),
        "of wood",
        "error",
    ),
    "cadmium plate": ((frame("steel, cad plated", "distance: {reed: 1 ft}"),), "with cadmium", "error"),
    "lead": ((frame("lead", "above: {reed: 1 ft}"),), "of lead", "error"),
    "manganese bronze": ((frame("manganese bronze", "distance: {reed: 5 in}"),), "% zinc", "warning"),
    "paint": ((frame("steel", "distance: {reed: 2 ft}", "coating: paint"),), "paint", "warning"),
    "a curtain in the flame": (((CURTAIN, CURTAIN.replace("12 ft", "30 in")),), "of fabric, lies in", "error"),
    "a curtain over it": (((CURTAIN, CURTAIN.replace("distance: {reed: 12", "above: {slit: 4")),), "in gas", "error"),
    "a brazed tube by the flame": ((("riser:\n      place: edge", "riser:\n      place: bed"),), "brazed", "error"),
    "wood by its place": (
        ((EDGE, f"{EDGE}\n  near: {{at: [1 ft, 1 ft]}}"), (CURTAIN, "  curtain: {kind: wood, place: near}")),
        "of wood",
        "error",
    ),
}  # fmt: skip


def test_what_stands_clear_passes(tmp_path: Path) -> None:
    assert ends(tmp_path) == ("passed", (), "4 things and 3 places of parts")


@pytest.mark.parametrize("what", HARMED)
def test_what_heat_harms_is_found(tmp_path: Path, what: str) -> None:
    patches, words, level = HARMED[what]
    status, (finding,), _ = ends(tmp_path, *patches)
    assert status == "failed"
    assert finding.level == level
    assert re.search(words, finding.message)


@pytest.mark.parametrize("where", ["distance: {reed: 1 ft}", "above: {reed: 1 ft}"])
def test_the_distance_that_a_finding_names_passes(tmp_path: Path, where: str) -> None:
    """And a tenth less than it does not by much: it is no guess."""
    zinc = frame("steel", where, "coating: zinc")
    _, (finding,), _ = ends(tmp_path, zinc)
    found = re.match(r"([0-9.]+) ft (from|above) .* would pass: ", finding.fix)
    assert found
    assert finding.cure is not None
    assert [text for _, text in finding.cure.edits] == [f"{found[1]} ft"]
    feet = float(found[1])
    assert ends(tmp_path, (zinc[0], zinc[1].replace("1 ft", f"{feet} ft")))[0] == "passed"
    assert ends(tmp_path, (zinc[0], zinc[1].replace("1 ft", f"{feet - 0.2:.1f} ft")))[0] == "failed"


UNSAID: dict[str, tuple[tuple[Patch, ...], str]] = {
    "a coating on steel": ((frame("steel", "distance: {reed: 9 ft}", "note: x"),), "zinc-coated is not stated"),
    "a material": ((frame("wonderium", "distance: {reed: 9 ft}"),), "wonderium"),
    "no material": (((FRAME, "    distance: {reed: 9 ft}"),), "material of frame"),
    "the place of a galvanized pipe": (((f"{GALVANIZED}\n", "coating: zinc\n"),), "where n1 is"),
    "a distance from a flame": (
        (frame("steel", "distance: {tank: 40 in}", "coating: zinc"),),
        "how far frame is from slit",
    ),
    "where the effect is": (((", at: bed", ""),), "how far n1 is from slit"),
}


@pytest.mark.parametrize("what", UNSAID)
def test_what_is_not_said_is_asked_and_never_passed(tmp_path: Path, what: str) -> None:
    patches, words = UNSAID[what]
    status, findings, looked = ends(tmp_path, *patches)
    assert (status, findings) == ("not checked", ())
    assert words in looked


def test_height_counts_where_it_is_said(tmp_path: Path) -> None:
    """Galvanized pipe 6 ft below the slit: radiation reaches it, the flame does not. As high as it, it does."""
    up = ("bed: {at: [0 ft, 0 ft]}", "bed: {at: [0 ft, 0 ft, 6 ft]}")
    low = moved(GALVANIZED, "[1 ft, 0 ft, 0 ft]")
    high = moved(GALVANIZED, "[1 ft, 0 ft, 6 ft]")
    rest = (("riser:\n      place: edge", "riser:\n      place: rack"), (CLAMP, CLAMP.replace("edge", "rack")))
    assert ends(tmp_path, up, *low, *rest)[0] == "passed"
    assert ends(tmp_path, up, *high, *rest)[0] == "failed"
    # Hot gas reaches what hangs higher, though wind lays no flame there.
    hung = ((EDGE, f"{EDGE}\n  near: {{at: [1 ft, 0 ft, 10 ft]}}"), (CURTAIN, "  curtain: {kind: fabric, place: near}"))
    _, (finding,), _ = ends(tmp_path, up, *hung, *rest)
    assert "in gas of" in finding.message


def test_each_rule_of_the_sample_s_distances_is_gone() -> None:
    """One truth: no distance is typed for what is computed."""
    assert not [p.pass_.id for p in find().passes if p.pass_.id.startswith("materials.") and "near_flame" in p.pass_.id]
    assert findings_of(MATERIALS, "materials.burner_metal", block=OTHERS) == ()


def test_how_far_without_which_way_does_not_pass_what_would_burn_above(tmp_path: Path) -> None:
    """Beside a flame its gas comes only as far as wind lays it; above it, far higher: one word tells them apart."""
    beside = "  curtain: {kind: fabric, distance: {reed: 6 ft}%s}"
    status, _, looked = ends(tmp_path, (CURTAIN, beside % ""))
    assert (status, "whether curtain is above slit or beside it" in looked) == ("not checked", True)
    assert ends(tmp_path, (CURTAIN, CURTAIN.replace("distance: {reed: 12", "above: {slit: 6")))[0] == "failed"
    low = (
        (EDGE, f"{EDGE}\n  low: {{at: [6 ft, 0 ft, 0 ft]}}"),
        ("bed: {at: [0 ft, 0 ft]}", "bed: {at: [0 ft, 0 ft, 4 ft]}"),
    )
    assert ends(tmp_path, (CURTAIN, beside % ", place: low"), *low)[0] == "passed"
