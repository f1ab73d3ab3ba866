"""What lights each outlet, on a good spec and on bad ones, as in test_rules."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.kinds.procedures import STEPS, Step
from specc.testing import Patch, all_but, checked, expected_in, findings_at, project, result_of, rules_of, status_of
from specc_plumbing import ignition

GOOD = Path(__file__).with_name("ignition.yaml")
OTHERS = all_but("plumbing", "operators")
BY_PILOT = "lit_by: {pilot: pilot, if_shut: {step: the burst is disarmed first}}"
NOZZLE = "    nozzle:\n      kind: burner\n"
LAMP = "lit_by: {torch: warden}, jets:"


def lit(how: str, *rules: str) -> Patch:
    return BY_PILOT, f"lit_by: {how} # expect: {', '.join('plumbing.' + r for r in rules)}"


BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "plumbing.lit_by": {
        "nothing lights the burst": (
            (f"      {BY_PILOT}\n", ""),
            (NOZZLE, NOZZLE.rstrip("\n") + " # expect: plumbing.lit_by\n"),
        ),
        "nothing lights the lamp, where others say": (
            (
                f"{LAMP} {{count: 6, bore: 1/16 in, discharge: 0.7}}}}",
                "jets: {count: 6, bore: 1/16 in, discharge: 0.7}} # expect: plumbing.lit_by",
            ),
        ),
        "a torch in no hand": (
            (
                f"{LAMP} {{count: 6, bore: 1/16 in, discharge: 0.7}}}}",
                'lit_by: {torch: " "}, jets: {count: 6, bore: 1/16 in, discharge: 0.7}} # expect: plumbing.lit_by',
            ),
        ),
        "a burst by a hand torch": (lit("{torch: warden}", "lit_by"),),
        "an igniter that nothing proves": (lit("{igniter: a hot wire}", "lit_by"),),
        "an igniter that a bare yes proves": (lit("{igniter: a hot wire, proven: yes}", "lit_by"),),
        "an igniter that is assumed to work": (lit("{igniter: a hot wire, proven: assumed}", "lit_by"),),
        "an igniter that a dash proves": (lit('{igniter: a hot wire, proven: "-"}', "lit_by"),),
        "a pilot that is not there": (lit("{pilot: pilot_9}", "lit_by"),),
        "a valve for a pilot": (lit("{pilot: sv}", "lit_by"),),
        "two ways": (lit("{pilot: pilot, igniter: a hot wire}", "lit_by"),),
        "two that light each other": (
            (
                "      lit_by: {torch: warden}\n",
                "      lit_by: {pilot: lamp} # expect: plumbing.lit_by\n",
            ),
            (
                "lit_by: {torch: warden}, jets: {count: 6, bore: 1/16 in, discharge: 0.7}}",
                "lit_by: {pilot: pilot}, jets: {count: 6, bore: 1/16 in, discharge: 0.7}} # expect: plumbing.lit_by",
            ),
        ),
        "a torch that nobody holds": (
            ("      lit_by: {torch: warden}\n", "      lit_by: {torch: ghost} # expect: plumbing.lit_by\n"),
        ),
    },
    "plumbing.pilot_burns": {
        "by a lamp that is dark in the second scene": (
            lit("{pilot: lamp, if_shut: {step: it is disarmed first}}", "pilot_burns"),
        ),
        "by a lamp that is dark between two openings": (
            ("    late: {lasts: 1 h, bursts: {puff: {times: 3, open: 0.2 s}}}\n", ""),
            (
                "dusk: {lasts: 1 h, steady: [glow], bursts: {puff: {times: 3, open: 0.2 s}}}",
                "dusk: {lasts: 1 h, steady: [glow], bursts: {puff: {times: 2, open: 0.2 s, every: 50 min}}, "
                "cues: [{after: 2 min, out: [glow]}, {after: 49 min, light: [glow]}]}",
            ),
            lit("{pilot: lamp, if_shut: {step: it is disarmed first}}", "pilot_burns"),
        ),
        "a pilot of an effect that is out": (
            ("outlets: [lamp]}", "outlets: [lamp, pilot]}"),
            lit("{pilot: pilot}", "pilot_burns"),
        ),
        "a pilot without gas": (
            ("    pilot: {from: m1, line: [fp, pilot]}\n", ""),
            lit("{pilot: pilot}", "pilot_burns"),
        ),
    },
    "plumbing.pilot_kept": {
        "a valve that takes the lamp and the pilot": (
            ("    lamp: {from: m1, line: [vl,", "    lamp: {from: m2, line: [vl,"),
            (
                "    pilot: {from: m1, line: [fp,",
                "    both: {from: m1, line: [vb, m2]}\n    pilot: {from: m2, line: [fp,",
            ),
            (
                "    fp: {",
                "    vb: {kind: valve, form: ball, rating: 600 psi}\n"
                "    m2: {kind: fitting, form: tee, rating: 300 psi}\n    fp: {",
            ),
            lit("{pilot: pilot, if_shut: {sensor: a thermocouple}}", "pilot_kept"),
        ),
    },
}
CASES = [(rule, what) for rule, bad in BAD.items() for what in bad]


def only(at: object) -> object:
    """What concerns ignition."""
    ids = rules_of(ignition)
    return type(at)({key: n for key, n in at.items() if key[2] in ids})  # type: ignore[attr-defined]


@pytest.mark.parametrize(("rule", "what"), CASES, ids=[f"{r}: {w}" for r, w in CASES])
def test_a_bad_spec_is_found_at_its_line_and_nothing_else_is(tmp_path: Path, rule: str, what: str) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][what])
    assert rule in {r for _, _, r in expected_in(spec)}
    assert only(findings_at(spec, block=OTHERS)) == expected_in(spec)


def test_the_good_spec_passes_and_says_what_is_not_checked() -> None:
    result = checked(GOOD, block=OTHERS)
    assert {rule: status_of(result, rule) for rule in BAD} == {
        **dict.fromkeys(BAD, "passed"),
        "plumbing.lit_by": "stated",
    }


OWN_VALVE = (
    ("line: [fp, pilot]", "line: [vp, fp, pilot]"),
    ("    fp: {", "    vp: {kind: valve, form: ball, rating: 600 psi}\n    fp: {"),
)
STORE = (
    ("line: [sv, sv_2, nozzle]", "line: [store, sv, sv_2, nozzle]"),
    ("    sv: {", "    store: {kind: accumulator, volume: 1 gal, rating: 250 psi}\n    sv: {"),
)
STORE_ON_A_BRANCH = (
    ("line: [sv, sv_2, nozzle]}", "line: [tee, sv, sv_2, nozzle]}\n    store: {from: tee, line: [store]}"),
    (
        "    sv: {",
        "    store: {kind: accumulator, volume: 1 gal, rating: 250 psi}\n"
        "    tee: {kind: fitting, form: tee, rating: 300 psi}\n    sv: {",
    ),
)
TANK_2 = (
    "    tank_2: {kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in, tare: 18 lb, rating: 240 psi}\n"
)
OWN_CYLINDER = (
    ("    pilot: {from: m1, line: [fp,", "    pilot: {from: tank_2, line: [pr2, fp,"),
    (
        "    pr1: {",
        f"{TANK_2}    pr2: {{kind: regulator, set: 10 psi, highest: 20 psi, rating: 250 psi}}\n    pr1: {{",
    ),
)


@pytest.mark.parametrize("plumbing", [OWN_VALVE, STORE, STORE_ON_A_BRANCH, OWN_CYLINDER],
    ids=["own valve", "store", "store on a branch", "own cylinder"])  # fmt: skip
def test_what_ends_a_pilot_alone_is_the_authoritys_to_judge_and_never_passes(
    tmp_path: Path, plumbing: tuple[Patch, ...]
) -> None:
    """Its own valve or cylinder; and, where a store can still be fired, what shuts both off ahead of it."""
    bare = checked(project(tmp_path, GOOD, *plumbing, (BY_PILOT, "lit_by: {pilot: pilot}")), block=OTHERS)
    assert status_of(bare, "plumbing.pilot_kept") == "failed"
    stated = checked(project(tmp_path, GOOD, *plumbing), block=OTHERS)
    assert status_of(stated, "plumbing.pilot_kept") == "not checked"
    assert "step: the burst is disarmed first" in str(next(r for r in stated.rules if r.id == "plumbing.pilot_kept"))


def test_a_bare_yes_disarms_nothing(tmp_path: Path) -> None:
    yes = (BY_PILOT, "lit_by: {pilot: pilot, if_shut: {step: yes}}")
    assert status_of(project(tmp_path, GOOD, *OWN_VALVE, yes), "plumbing.pilot_kept", block=OTHERS) == "failed"


def test_who_holds_a_torch_is_not_known_where_nobody_is_named(tmp_path: Path) -> None:
    nobody = ("people:\n  warden: {role: lead operator, age: 40, sober: true}\n", "")
    assert status_of(project(tmp_path, GOOD, nobody), "plumbing.lit_by", block=OTHERS) == "not checked"


def test_one_of_two_cylinders_does_not_put_a_pilot_out(tmp_path: Path) -> None:
    two = ("    lamp: {from: m1, line: [vl", "    more: {from: tank_2, line: [v9, m1]}\n    lamp: {from: m1, line: [vl")
    parts = (
        "    pr1: {",
        f"    v9: {{kind: valve, form: ball, rating: 600 psi}}\n{TANK_2}    pr1: {{",
    )
    assert status_of(project(tmp_path, GOOD, two, parts), "plumbing.pilot_kept", block=OTHERS) == "passed"


def test_where_nothing_at_all_is_said_of_ignition_that_is_found(tmp_path: Path) -> None:
    silent = (
        ("      lit_by: {torch: warden}\n", ""),
        (LAMP, "jets:"),
        (f"      {BY_PILOT}\n", ""),
        ("  puff: {kind: burst, outlets: [nozzle]}\n", ""),
        ("steady: [glow], bursts: {puff: {times: 3, open: 0.2 s}}}", "steady: [glow]}"),
        ("    late: {lasts: 1 h, bursts: {puff: {times: 3, open: 0.2 s}}}\n", ""),
    )
    assert status_of(project(tmp_path, GOOD, *silent), "plumbing.lit_by", block=OTHERS) == "failed"


def test_each_outlet_is_lit_by_its_own_way_at_start_up() -> None:
    """No step holds one torch at all of them."""
    own = [i.item for i in result_of(GOOD).items(STEPS.name) if isinstance(i.item, Step)]
    lit = {a.tag: (s.text, a.who) for s in own if s.procedure == "start" for a in s.acts if a.action == "light"}
    assert {who for _, who in lit.values()} == {"warden"}
    assert all("lit torch at the outlet first" in text for text, _ in lit.values())
    (armed,) = (
        s
        for s in own
        if s.procedure == "start" and "seen to burn, every torch out and away, nobody near nozzle" in s.text
    )
    assert [a.tag for a in armed.acts if a.action == "check"] == ["pilot"]
