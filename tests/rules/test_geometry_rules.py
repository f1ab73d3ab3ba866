"""The rules on bends, bores, jets, cut lengths and joints that come apart, on a good spec and on bad ones.

As in test_rules: a bad case is a patch on geometry.yaml with `# expect: rule.id` on the faulty line, and nothing
else may be found. Notes count here too, since one of the rules gives nothing else.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, all_but, checked, expected_in, findings_at, findings_of, project, rules_of, status_of
from specc_plumbing import bending, breakdown, burners, cuts, joint_schedule

GOOD = Path(__file__).with_name("geometry.yaml")
WITHOUT = all_but("plumbing")
OWN = rules_of(bending, breakdown, burners, cuts, joint_schedule)

BENDS = "bends: {count: 2, radius: 3 in, by: lever, annealed: true}"
BENT = "bent: {by: roller, packed: none, annealed: true}"
RING_JETS = "jets: {count: 36, bore: 1/16 in, discharge: 0.7}"
BAR_JETS = "jets: {count: 1, width: 0.020 in, length: 6 in, discharge: 0.7}"
FLARE = "flare: {method: flared, between: [fc1, t1], comes_apart: true, reassembled: 2027-05-01}"
UNION = "joint: {method: union, comes_apart: true, reassembled: 2027-05-01}"


def marked(old: str, new: str, *rules: str) -> Patch:
    return old, f"{new} # expect: {', '.join(rules)}"


BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "plumbing.bend_radius": {
        "bends tighter than the guide": (marked(BENDS, BENDS.replace("3 in", "2 in"), "plumbing.bend_radius"),),
        "hard tube bent like soft": (
            marked(BENDS, BENDS.replace("3 in", "2.4 in").replace("true", "false"), "plumbing.bend_radius"),
        ),
        "a spring wants five diameters": (marked(BENDS, BENDS.replace("lever", "spring"), "plumbing.bend_radius"),),
        "by hand, and tighter than any tool": (
            marked(BENDS, BENDS.replace("3 in, by: lever", "2 in, by: hand"), "plumbing.bend_radius"),
        ),
        "copper in other words": (
            ("nut]\n      material: copper", "nut]\n      material: annealed copper, type L"),
            marked(BENDS, BENDS.replace("3 in", "2 in"), "plumbing.bend_radius"),
        ),
        "a ring of four inches": (
            ("packed: none", "packed: sand"),
            marked("diameter: 24 in", "diameter: 4 in", "plumbing.bend_radius"),
        ),
    },
    "plumbing.ring_experience": {
        "a ring of sixteen inches": (marked("diameter: 24 in", "diameter: 16 in", "plumbing.ring_experience"),),
        "just below twenty-four": (marked("diameter: 24 in", "diameter: 23.9 in", "plumbing.ring_experience"),),
        "nothing said of packing": (
            (BENT, "bent: {by: roller, annealed: true}"),
            marked("diameter: 24 in", "diameter: 20 in", "plumbing.ring_experience"),
        ),
    },
    "plumbing.bore_possible": {
        "a bore as wide as the tube": (marked("bore: 0.545 in", "bore: 5/8 in", "plumbing.bore_possible"),),
        "a wall that leaves no bore": (marked("wall: 0.040 in", "wall: 0.32 in", "plumbing.bore_possible"),),
        "sizes that do not add up": (marked("bore: 0.545 in", "bore: 0.6 in", "plumbing.bore_possible"),),
        "a pipe wider than its size has room for": (
            marked("      centers: 12 in", "      centers: 12 in\n      bore: 0.66 in", "plumbing.bore_possible"),
        ),
        "a pipe wider than its outside": (
            marked("      centers: 12 in", "      centers: 12 in\n      bore: 0.85 in", "plumbing.bore_possible"),
        ),
    },
    "plumbing.jets_fit": {
        "more jets than the ring is long": (
            marked(RING_JETS, RING_JETS.replace("36", "1400"), "plumbing.jets_fit", "plumbing.jets_feed"),
        ),
        "as many as the ring with its fitting leaves no room for": (
            # 74.5 in of jets: less than the circumference of 75.4 in, more than the tube of 73.9 in.
            marked(RING_JETS, RING_JETS.replace("36", "1192"), "plumbing.jets_fit", "plumbing.jets_feed"),
        ),
        "a jet wider than the bore": (
            marked(
                RING_JETS,
                RING_JETS.replace("36, bore: 1/16", "2, bore: 0.6"),
                "plumbing.jets_fit",
                "plumbing.jets_feed",
            ),
        ),
        "a slit longer than the stem": (
            ("form: bar", "form: stem"),
            marked(BAR_JETS, BAR_JETS.replace("6 in", "18 1/4 in").replace("0.020", "0.010"), "plumbing.jets_fit"),
        ),
        "a slit longer than the bar": (
            marked(BAR_JETS, BAR_JETS.replace("6 in", "18 1/4 in").replace("0.020", "0.010"), "plumbing.jets_fit"),
        ),
    },
    "plumbing.jets_feed": {
        "a hundred jets on half an inch": (marked(RING_JETS, RING_JETS.replace("36", "100"), "plumbing.jets_feed"),),
        "a wide slit": (marked(BAR_JETS, BAR_JETS.replace("0.020", "0.060"), "plumbing.jets_feed"),),
    },
    "plumbing.cut_length": {
        "too long": (marked("length: 10 13/16 in", "length: 11 in", "plumbing.cut_length"),),
        "too short": (marked("length: 10 13/16 in", "length: 10 5/8 in", "plumbing.cut_length"),),
        "cut to the centers": (marked("length: 10 13/16 in", "length: 12 in", "plumbing.cut_length"),),
    },
    "plumbing.comes_apart": {
        "a brazed burner": (
            marked(
                "    bar:\n      kind: burner\n",
                "    bar:\n      kind: burner\n      joint: {method: brazed, comes_apart: true}",
                "plumbing.comes_apart",
            ),
            ("      form: bar\n", "\n      form: bar\n"),
        ),
        "a taper thread each time": (
            marked("      cleaned: true", "      cleaned: true\n      comes_apart: true", "plumbing.comes_apart"),
        ),
    },
    "plumbing.retested": {
        "made again after the test": (marked(FLARE, FLARE.replace("05-01", "05-03"), "plumbing.retested"),),
        "no test at all": (
            ("  tested: 2027-05-02\n", ""),
            marked(FLARE, FLARE, "plumbing.retested"),
            marked(UNION, UNION, "plumbing.retested"),
            marked("      reassembled: 2027-04-20", "      reassembled: 2027-04-20", "plumbing.retested"),
        ),
    },
    "plumbing.cleaned": {
        "not cleaned": (
            ("      cleaned: true", "      cleaned: false"),
            marked("      reassembled: 2027-04-20", "      reassembled: 2027-04-20", "plumbing.cleaned"),
        ),
        "not said to be cleaned": (
            ("      cleaned: true\n", ""),
            marked("      reassembled: 2027-04-20", "      reassembled: 2027-04-20", "plumbing.cleaned"),
        ),
    },
}
CASES = [(rule, what) for rule, bad in BAD.items() for what in bad]


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_spec_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    expected = expected_in(spec)
    assert rule in {r for _, _, r in expected}
    result = checked(spec, block=WITHOUT)
    assert findings_at(result, notes=True) == expected
    assert status_of(result, rule) == "failed"


def test_every_rule_has_a_bad_case() -> None:
    assert set(BAD) == OWN


def test_the_good_spec_has_no_findings_and_passes_each_rule() -> None:
    result = checked(GOOD, block=WITHOUT)
    assert result.findings == ()
    assert {r.id: r.status for r in result.rules if r.id in OWN} == dict.fromkeys(OWN, "passed")


def test_levels() -> None:
    levels = {r.id.removeprefix("plumbing."): r.level for r in checked(GOOD, block=WITHOUT).rules if r.id in OWN}
    assert levels == {
        "bend_radius": "warning",
        "ring_experience": "note",
        "bore_possible": "error",
        "jets_fit": "error",
        "jets_feed": "warning",
        "cut_length": "warning",
        "comes_apart": "error",
        "retested": "error",
        "cleaned": "warning",
    }


def test_a_taper_thread_that_comes_apart_is_a_warning_and_a_brazed_joint_an_error(tmp_path: Path) -> None:
    for what, level in (("a taper thread each time", "warning"), ("a brazed burner", "error")):
        spec = project(tmp_path, GOOD, *BAD["plumbing.comes_apart"][what])
        found = list(findings_of(spec, "plumbing.comes_apart", block=WITHOUT))
        assert [f.level for f in found] == [level]


# What must not be found: the near side of each line.
FINE: dict[str, tuple[Patch, ...]] = {
    "jets at the end of a stem": (("form: bar", "form: stem"), ("      length: 18 in\n", "")),
    "the guide's own radius": ((BENDS, BENDS.replace("3 in", "2 1/4 in")),),
    "a small ring that was packed": ((BENT, BENT.replace("none", "sand")), ("diameter: 24 in", "diameter: 16 in")),
    "a wall an eighth thin": (("      centers: 12 in", "      centers: 12 in\n      bore: 0.648 in"),),
    "rounded sizes": (("bore: 0.545 in", "bore: 0.55 in"),),
    "within a turn at each end": (("length: 10 13/16 in", "length: 10.96 in"),),
    "a length with its tolerance": (("length: 10 13/16 in", "length: 11 in ± 1/8 in"),),
    "made again on the day of the test": ((FLARE, FLARE.replace("05-01", "05-02")),),
    "jets as wide as the bore together": ((RING_JETS, RING_JETS.replace("36", "76")),),
}


@pytest.mark.parametrize("what", FINE)
def test_nothing_is_found_on_the_near_side(tmp_path: Path, what: str) -> None:
    spec = project(tmp_path, GOOD, *FINE[what])
    assert not findings_at(spec, block=WITHOUT, notes=True)


# How rules end that cannot look, or have nothing to look at.
ENDS: list[tuple[str, str, str, tuple[Patch, ...]]] = [
    (
        "plumbing.bend_radius",
        "not checked",
        "t1 does not say the tool (by:)",
        ((BENDS, "bends: {count: 2, radius: 3 in, annealed: true}"),),
    ),
    (
        "plumbing.bend_radius",
        "not checked",
        "no guide is allowed for how t1 is bent",
        ((BENDS, BENDS.replace("lever", "hand")),),
    ),
    (
        "plumbing.bend_radius",
        "not checked",
        "t1 is of aluminum, for which no guide is allowed",
        (('type L"\n      ends: [5/8 flare nut, 5/8 flare nut]\n      material: copper',
          'type L"\n      ends: [5/8 flare nut, 5/8 flare nut]\n      material: aluminum'),),
    ),
    (
        "plumbing.bend_radius",
        "not checked",
        "t1 has a thinner wall than type L, the thinnest that the guide is for",
        (("5/8 in OD, type L", "5/8 in OD, type ACR"),),
    ),
    (
        "plumbing.bend_radius",
        "not checked",
        "ring does not say its outside diameter",
        (("      outside: 5/8 in\n", ""),),
    ),
    (
        "plumbing.bend_radius",
        "not applicable",
        "no ring states its diameter, and no tube its bends",
        ((f"      {BENDS}\n", ""), ("      diameter: 24 in\n", "")),
    ),
    ("plumbing.ring_experience", "not checked", "ring does not say how it was bent", ((f"      {BENT}\n", ""),)),
    (
        "plumbing.ring_experience",
        "not checked",
        "ring does not say the size of its tube",
        (("      outside: 5/8 in\n", ""),),
    ),
    (
        "plumbing.ring_experience",
        "not applicable",
        "no such ring went through a roller",
        ((BENT, BENT.replace("roller", "lever")),),
    ),
    (
        "plumbing.ring_experience",
        "not applicable",
        "no copper ring of half-inch nominal tube states its diameter",
        (("outside: 5/8 in", "outside: 7/8 in"), ("wall: 0.040 in", "wall: 0.165 in")),
    ),
    (
        "plumbing.bore_possible",
        "not applicable",
        "no pipe, tube or burner has two of bore, wall and outside diameter to compare",
        (
            ("      outside: 5/8 in\n      wall: 0.040 in\n", ""),
            ("      bore: 0.622 in\n      outside: 0.840 in\n", ""),
        ),
    ),
    ("plumbing.jets_fit", "not checked", "bar does not say its length", (("      length: 18 in\n", ""),)),
    ("plumbing.jets_fit", "not checked", "ring does not say its diameter", (("      diameter: 24 in\n", ""),)),
    (
        "plumbing.jets_fit",
        "not applicable",
        "no ring, bar or stem burner is described",
        (("form: ring", "form: nozzle"), ("form: bar", "form: open_end")),
    ),
    ("plumbing.jets_feed", "not checked", "bar does not say the bore of its tube", (("      bore: 0.622 in\n", ""),)),
    (
        "plumbing.jets_feed",
        "not applicable",
        "no ring, bar or stem burner is described",
        (("form: ring", "form: nozzle"), ("form: bar", "form: open_end")),
    ),
    (
        "plumbing.cut_length",
        "not checked",
        "no take-out is known of el1",
        (("el1: {kind: fitting, form: elbow, size: 1/2 in NPT}",
          "el1: {kind: fitting, form: elbow, ends: [1/2 FNPT, 1/2 FNPT]}"),),
    ),
    (
        "plumbing.cut_length",
        "not checked",
        "length of riser cannot be computed: the fittings' faces would meet before a pipe stands between them",
        (("centers: 12 in", "centers: 2 in"),),
    ),
    (
        "plumbing.cut_length",
        "not applicable",
        "no pipe states its distance from center to center (centers:)",
        (("      centers: 12 in\n", ""),),
    ),
    (
        "plumbing.comes_apart",
        "not applicable",
        "no joint is said to come apart for transport",
        ((UNION, UNION.replace("true", "false")), (FLARE, FLARE.replace("true", "false"))),
    ),
    (
        "plumbing.retested",
        "not checked",
        "joint 11 is taken apart for transport, with no day of reassembly (reassembled:)",
        ((UNION, "joint: {method: union, comes_apart: true}"),),
    ),
    (
        "plumbing.retested",
        "not applicable",
        "no joint is said to have been reassembled",
        (
            (UNION, "joint: {method: union}"),
            (FLARE, "flare: {method: flared, between: [fc1, t1]}"),
            ("      reassembled: 2027-04-20\n", ""),
        ),
    ),
    (
        "plumbing.cleaned",
        "not applicable",
        "no threaded joint is said to have been reassembled",
        (("      reassembled: 2027-04-20\n", ""),),
    ),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "status", "looked", "patches"), ENDS, ids=[f"{r}: {w}" for r, _, w, _ in ENDS])
def test_how_a_rule_ends(tmp_path: Path, rule: str, status: str, looked: str, patches: tuple[Patch, ...]) -> None:
    result = checked(project(tmp_path, GOOD, *patches), block=WITHOUT)
    outcome = next(r for r in result.rules if r.id == rule)
    assert (outcome.status, outcome.looked) == (status, looked)


def test_every_rule_but_those_on_joints_can_end_both_ways() -> None:
    told = {(rule, status) for rule, status, _, _ in ENDS}
    assert {rule for rule, status in told if status == "not applicable"} == OWN
