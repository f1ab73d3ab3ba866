"""Advice where two parts do not mate: another size of one of them first, and what is advised cures the finding."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from specc.engine.road import CHECK, Ask, travel
from specc.model.findings import Finding

TEXT = (Path(__file__).resolve().parents[2] / "sample_projects/garden_brazier/project.yaml").read_text(encoding="utf-8")


def misfits(text: str, folder: Path) -> list[Finding]:
    path = folder / "project.yaml"
    path.write_text(text, encoding="utf-8")
    result = travel(str(path), None, Ask(kinds=CHECK))
    return [f for f in result.findings if f.rule == "plumbing.ends_mate"]


def changed(*edits: tuple[str, str]) -> str:
    text = TEXT
    for old, new in edits:
        assert text.count(old) == 1
        text = text.replace(old, new)
    return text


A1, A2 = "a1: {is: 3/8 flare x 1/4 MNPT connector", "a2: {is: 3/8 flare x 3/8 MNPT connector"


@pytest.mark.parametrize(
    ("old", "wrong", "tag", "advice"),
    [
        (A1, "a1: {is: 3/8 flare x 3/8 MNPT connector", "a1", "a 3/8 flare x 1/4 NPT connector"),
        (A1, "a1: {is: 1/2 flare x 1/2 MNPT connector", "a1", "a 3/8 flare x 1/4 NPT connector"),
        (A2, "a2: {is: 1/4 flare x 3/8 MNPT connector", "a2", "a 3/8 flare x 3/8 NPT connector"),
        ("b1: {is: 3/8 x 1/4 NPT bushing", "b1: {is: 1/2 x 1/4 NPT bushing", "b1", "a 3/8 x 1/4 in NPT hex bushing"),
        ("u1: {is: 1/4 NPT union", "u1: {is: 1/2 NPT union", "u1", "a 1/4 in NPT ground joint union"),
    ],
)
def test_another_size_of_the_part_comes_first(old: str, wrong: str, tag: str, advice: str, tmp_path: Path) -> None:
    found = misfits(changed((old, wrong)), tmp_path)
    assert len(found) == 1 if found[0].message.startswith(f"{tag} fits neither") else len(found) >= 1
    assert f"{tag} as {advice}" in found[0].fix
    # What is advised, typed as it is said, cures it.
    said = re.search(rf"{tag} as an? ([^;]+?)(?: or |;|$)", found[0].fix)
    assert said
    cured = wrong.split("{is: ")[0] + "{is: " + said[1]
    assert misfits(changed((old, cured)), tmp_path) == []


def test_a_regulator_for_another_cylinder_is_named(tmp_path: Path) -> None:
    (found,) = misfits(changed(("ends: [CGA 791 male],", "ends: [CGA 510 female],")), tmp_path)
    assert found.fix == "pr1 as a CGA 510 x 1/4 FNPT high-pressure regulator"


PIPE = "p1: {is: 1/4 NPT schedule 40 pipe x 20 ft, title: feed pipe along the lawn"
TUBE = "p1: {is: 3/8 OD type L tube x 15 ft, material: copper, title: feed tube along the lawn"


def test_a_plain_tube_is_flared_before_an_adapter_is_bought(tmp_path: Path) -> None:
    found = misfits(changed((PIPE, TUBE)), tmp_path)
    assert [f.fix for f in found] == ["p1 flared, with a nut at that end, and a 3/8 flare x 1/4 NPT connector"] * 2
    flared = TUBE.replace("L tube", "L flared tube")
    connector = "      - 3/8 flare x 1/4 MNPT connector\n"
    elbow = "      - e1: {is: 1/4 NPT elbow"
    cured = changed(("      - " + PIPE, connector + "      - " + flared), (elbow, connector + elbow))
    assert misfits(cured, tmp_path) == []


def test_what_is_missing_is_put_in(tmp_path: Path) -> None:
    (found,) = misfits(TEXT.replace("      - 1/4 NPT nipple x 3 in\n", ""), tmp_path)
    assert found.fix == "a 1/4 in NPT nipple between them"
