"""The rules on ends that mate, on a good spec and on bad ones.

As in test_rules: a bad case is a patch on mating.yaml with `# expect: rule.id` on the faulty line, and nothing
else may be found.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import (
    Patch,
    all_but,
    checked,
    expected_in,
    findings_at,
    findings_of,
    project,
    result_of,
    rules_of,
    status_of,
)
from specc_plumbing import mating

GOOD = Path(__file__).with_name("mating.yaml")
WITHOUT = all_but("plumbing")
OWN = rules_of(mating)


def marked(old: str, new: str, *rules: str) -> Patch:
    return old, f"{new} # expect: {', '.join('plumbing.' + r for r in rules)}"


H1 = "ends: [3/8 female flare, 3/8 female flare]"
MANIFOLD = "ends: [1/4 FNPT, 1/4 FNPT, 1/4 FNPT]"
PR1 = "ends: [1/4 FNPT, 1/4 FNPT]\n"

PT_B = "length: 3 ft, ends: [CGA 791 female, 1/4 MNPT]}"

BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "plumbing.ends_read": {
        "a word for no end": (marked(MANIFOLD, "ends: [1/4 FNPT, 1/4 FNPT, 1/4 FPNT]", "ends_read"),),
        "a size that is not made": (marked(MANIFOLD, "ends: [1/4 FNPT, 1/4 FNPT, 5/16 FNPT]", "ends_read"),),
        "an entry of the catalog": (
            marked("      ends: [1/4 MNPT, 1/4 FNPT]\n      one_way", "      ends: [1/4 pipe, 1/4 FNPT]", "ends_read"),
            (
                "      ends: [1/4 pipe, 1/4 FNPT] # expect: plumbing.ends_read: true",
                "      ends: [1/4 pipe, 1/4 FNPT] # expect: plumbing.ends_read\n      one_way: true",
            ),
        ),
    },
    "plumbing.like_known": {
        "an entry that is not there": (marked("like: drilled_plug", "like: drilled_plgu", "like_known"),),
        "an entry of another kind": (
            (
                "      kind: orifice\n      ends: [1/4 MNPT, 1/4 FNPT]\n",
                "      kind: valve\n      ends: [1/4 MNPT, 1/4 FNPT]\n",
            ),
            marked("like: drilled_plug", "like: drilled_plug", "like_known"),
        ),
    },
    "plumbing.size_known": {
        "a size that is not made": (
            marked(
                "n1: {kind: fitting, form: nipple, size: 1/4 in NPT}",
                "n1: {kind: fitting, form: nipple, size: 1/7 in NPT}",
                "size_known",
            ),
        ),
    },
    "plumbing.ends_mate": {
        "two sizes": (marked(H1, "ends: [1/2 female flare, 3/8 female flare]", "ends_mate"),),
        "two males": (marked(H1, "ends: [3/8 male flare, 3/8 female flare]", "ends_mate"),),
        "a parallel thread on a taper one": (
            (PR1, "ends: [1/4 BSPP female, 1/4 FNPT] # expect: plumbing.ends_mate\n"),
        ),
        "a taper thread of the other system": (
            marked(MANIFOLD, "ends: [1/4 BSPT female, 1/4 FNPT, 1/4 FNPT]", "ends_mate"),
        ),
        # Turned round, the tube fits at its first end: so what is left over is found at the ring.
        "a flare on plain tube": (
            (
                "      wall: 0.032 in\n      ends: [3/8 flare nut, 3/8 flare nut]",
                "      wall: 0.032 in\n      ends: [3/8 OD tube, 3/8 flare nut]",
            ),
            marked("ends: [3/8 male flare, 3/8 male flare]", "ends: [3/8 male flare, 3/8 male flare]", "ends_mate"),
        ),
        "a cylinder of another connection": (
            marked("length: 3 ft, ends: [CGA 510 male, 1/4 MNPT]}", PT_B, "ends_mate"),
        ),
        "a nipple of another size": (
            (
                "    n2:\n      kind: fitting\n      form: nipple\n      size: 1/4 in NPT",
                "    n2:\n      kind: fitting # expect: plumbing.ends_mate\n      form: nipple\n      size: 3/8 in NPT",
            ),
            # The tee after it does not fit either: one part is wrong, and it is said once.
        ),
    },
    "plumbing.own_nut": {
        "a POL nut in a valve for CGA 791": (
            (
                "ends: [CGA 791 female, 1/4 MNPT]}\n    pt_b",
                "ends: [CGA 510 male, 1/4 MNPT]} # expect: plumbing.own_nut\n    pt_b",
            ),
        ),
    },
    "plumbing.ends_enough": {
        "a manifold with one end too few": (
            (MANIFOLD, "ends: [1/4 FNPT, 1/4 FNPT]"),
            ("    m1:\n      kind: fitting", "    m1:\n      kind: fitting # expect: plumbing.ends_enough"),
        ),
        "a ring with one end, fed from both sides": (
            ("ends: [3/8 male flare, 3/8 male flare]", "ends: [3/8 male flare]"),
            ("    ring:\n      kind: burner", "    ring:\n      kind: burner # expect: plumbing.ends_enough"),
        ),
    },
    "plumbing.open_ends": {
        "a manifold with one end too many": (
            marked(MANIFOLD, "ends: [1/4 FNPT, 1/4 FNPT, 1/4 FNPT, 1/4 FNPT]", "open_ends"),
        ),
        "a tee that leads one way": (
            ("    to_bar: {from: t1, line: [n3, c1, fo1, bar]}\n", ""),
            ("outlets: [bar, ring]", "outlets: [ring]"),
            ("    t1:\n      kind: fitting\n", "    t1:\n      kind: fitting # expect: plumbing.open_ends\n"),
            ("    n3: {kind: fitting, form: nipple, size: 1/4 in NPT}\n", ""),
            ("    c1: {kind: fitting, form: coupling, size: 1/4 in NPT}\n", ""),
            (
                "    fo1:\n      kind: orifice\n      bore: 0.03 in\n      discharge: 0.8\n      like: drilled_plug\n",
                "",
            ),
            (
                "    bar: {kind: burner, form: bar, ends: [1/4 MNPT], lit_by: {torch: by hand}, "
                "jets: {count: 24, bore: 1/16 in, discharge: 0.7}}\n",
                "",
            ),
        ),
    },
    "plumbing.joint_method": {
        "a brazed joint between two threads": (marked("method: threaded", "method: brazed", "joint_method"),),
        "a threaded joint at a flare": (marked("method: flared}", "method: threaded}", "joint_method"),),
    },
}
CASES = [(rule, what) for rule, bad in BAD.items() for what in bad]


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_spec_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    expected = expected_in(spec)
    assert rule in {r for _, _, r in expected}
    result = checked(spec, block=WITHOUT)
    assert findings_at(result) == expected
    assert status_of(result, rule) == "failed"


def test_every_rule_has_a_bad_case() -> None:
    assert set(BAD) == OWN


def test_the_good_spec_has_no_findings_and_passes_each_rule() -> None:
    result = checked(GOOD, block=WITHOUT)
    assert result.findings == ()
    own = {r.id: r.status for r in result.rules if r.id in OWN}
    assert set(own) == OWN
    assert {status.partition(",")[0] for status in own.values()} == {"passed"}, own


def test_a_mismatch_names_both_ends_and_offers_the_shortest_chain(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, (H1, "ends: [1/2 female flare, 3/8 female flare]"))
    (found,) = (f for f in findings_of(spec, "plumbing.ends_mate"))
    assert "3/8 in male flare" in found.message
    assert "1/2 in female flare" in found.message
    assert found.fix.startswith("a2 as a 1/2 flare x 1/4 NPT connector; else a ")
    assert found.fix.endswith("between them")


def test_what_looks_as_if_it_fits_is_told_why_it_leaks(tmp_path: Path) -> None:
    spec = project(
        tmp_path,
        GOOD,
        (MANIFOLD, "ends: [1/2 FNPT, 1/4 FNPT, 1/4 FNPT]"),
        ("ends: [CGA 510 male, 1/4 MNPT]}\n    m1", "ends: [CGA 510 male, 1/2 BSPT male]}\n    m1"),
    )
    messages = [f.message for f in findings_of(spec, "plumbing.ends_mate")]
    assert any("seem to go in, but leak" in m for m in messages), messages


def test_a_part_that_is_not_known_is_never_passed(tmp_path: Path) -> None:
    spec = project(
        tmp_path,
        GOOD,
        ("    c1: {kind: fitting, form: coupling, size: 1/4 in NPT}", "    c1: {kind: fitting, form: coupling}"),
    )
    result = checked(spec, block=WITHOUT)
    assert status_of(result, "plumbing.ends_mate") == "not checked"
    assert status_of(result, "plumbing.open_ends") == "not checked"


def test_what_is_stamped_on_the_part_goes_before_the_catalog(tmp_path: Path) -> None:
    spec = project(
        tmp_path,
        GOOD,
        (
            "c1: {kind: fitting, form: coupling, size: 1/4 in NPT}",
            "c1: {kind: fitting, form: coupling, size: 1/4 in NPT, ends: [1/4 FNPT, 1/8 FNPT]}",
        ),
    )
    (found,) = findings_of(spec, "plumbing.ends_mate")
    assert "1/8 in female NPT" in found.message


COPPER: tuple[Patch, ...] = (
    (
        "tube_r: {kind: tube, length: 2 ft, outside: 3/8 in, wall: 0.032 in, ends: [3/8 flare nut, 3/8 flare nut]}",
        "tube_r: {kind: tube, length: 2 ft, outside: 0.375 in, wall: 0.032 in, material: copper, grade: ACR}",
    ),
    (
        "    j2: {between: [a1, h1], method: flared}\n",
        "    j2: {between: [a1, h1], method: flared}\n    j3: {between: [right, tube_r], method: flared}\n"
        "    j4: {between: [tube_r, ring], method: flared}\n",
    ),
)


def test_plain_tube_that_a_joint_says_is_flared_has_a_flare_there(tmp_path: Path) -> None:
    """Its maker flares it; that joint said otherwise, or on the thread of a tee, it does not fit."""
    spec = project(tmp_path, GOOD, *COPPER)
    assert status_of(spec, "plumbing.ends_mate", block=WITHOUT) == "passed"
    assert status_of(spec, "plumbing.joint_method", block=WITHOUT) == "passed"
    rows = [row.cells for _, t in result_of(spec, only=("table plumbing.bill",)).tables for row in t.rows]
    assert [r for r in rows if "flare nut, loose" in r and "tube_r (2)" in r[-1]] != []
    unsaid = project(tmp_path, GOOD, *COPPER[:-1])
    assert status_of(unsaid, "plumbing.ends_mate", block=WITHOUT) == "failed"
