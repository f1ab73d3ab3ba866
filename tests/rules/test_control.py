"""The rules on wiring, on a good spec and on bad ones. The good spec is control.yaml beside this file."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc import Table
from specc.engine.road import Ask, travel
from specc.testing import Patch, all_but, checked, expected_in, findings_at, findings_of, project, status_of

GOOD = Path(__file__).with_name("control.yaml")
OTHERS = all_but("control", "plumbing", "core")

NOT_GAS = tuple(name for name in OTHERS if name != "fuel")


def bad(old: str, new: str, *rules: str) -> Patch:
    """A patch whose new line is expected to be found by some rules."""
    return (old, f"{new} # expect: {', '.join('control.' + r for r in rules)}")


def own(path: Path) -> object:
    """What control finds; the plumbing of the good spec is bare on purpose."""
    return {k: n for k, n in findings_at(path, block=OTHERS).items() if k[2].startswith(("control.", "spec."))}


FITS = (
    ", greatest_difference: 100 psi, least_difference: 0 psi, arrow: with the gas, "
    "listed: LP-gas to 60 psi, listed_to: 60 psi, enclosure: "
)
STOP = "stop: {kind: stop, contacts: [break, break], latches: true, reset: by hand, direct_opening: true}"
ONE = "one: [bat+, f1, stop.1, key.1, arm.1, fire, eye.1, w1, sv1, bat-]"
TWO = "two: [bat+, f2, stop.2, key.2, armed]"
THREE = "three: [armed, arm.2, eye.2, k1.1, pulse, w2, c2, bat-]"
KEY = "key: {kind: key, contacts: [make, make]}"
ARM = "arm: {kind: button, contacts: [make, make], who: operator}"
EYE = "eye: {kind: flame_sensor, sees: [pilot], sensor: thermocouple, notices: 30 s, contacts: [make, make]}"
LAST = "  lines:\n"

BAD: dict[str, dict[str, tuple[Patch, ...]]] = {
    "lines_readable": {
        "a part that is not there": (
            (
                ONE,
                "one:\n      - bat+\n      - f1\n      - f9 # expect: control.lines_readable\n      - "
                "stop.1\n      - sv1\n"
                "      - bat-",
            ),
        ),
    },
    "wired": {
        "a coil wired to nothing": (
            bad(
                "    guest: {kind: button, who: public}",
                "    guest: {kind: button, who: public}\n    lone: {kind: lamp, voltage: 12 V, power: 2 W}",
                "wired",
            ),
        ),
    },
    "gas_box": {
        "a relay among the valves": (
            bad(
                "k1: {kind: relay, voltage: 12 V, power: 1 W}",
                "k1:\n      kind: relay\n      voltage: 12 V\n      power: 1 W\n      place: box\n      box: with gas",
                "gas_box",
            ),
        ),
    },
    "wire_lengths": {
        "a wire that ends a foot before its valve": (
            bad(
                "w1: {kind: wire, length: 20 ft, size: 16 AWG, carries: 10 A}",
                "w1: {kind: wire, length: 19 ft, size: 16 AWG, carries: 10 A}",
                "wire_lengths",
            ),
        ),
    },
    "mains": {
        "a generator without a GFCI": (bad("a rod, gfci: true}", "a rod, gfci: false}", "mains"),),
    },
    "valves_wired": {
        "no such valve": (
            bad("c2: {kind: coil, valve: sv2,", "c2:\n      kind: coil\n      valve: sv3", "valves_wired"),
            (
                "sv3 # expect: control.valves_wired voltage: 12 V, power: 9 W, pull_in: 70 %, warm: 176 °F, "
                "suppression: zener}",
                "sv3 # expect: control.valves_wired\n      voltage: 12 V\n      power: 9 W\n      "
                "pull_in: 70 %\n      warm: 176 °F",
            ),
            (
                "    sv2: {kind: valve, ",
                "    sv2:\n      kind: valve # expect: control.valves_wired\n      ",
            ),
            (
                f"form: solenoid, normally: closed{FITS}NEMA 4X}}",
                "form: solenoid\n      normally: closed",
            ),
        ),
    },
    "normally_closed": {
        "opens without power": (
            bad(
                f"sv2: {{kind: valve, form: solenoid, normally: closed{FITS}NEMA 4X}}",
                "sv2: {kind: valve, form: solenoid, normally: open}",
                "normally_closed",
            ),
        ),
    },
    "stop_latched": {
        "springs back": (bad(STOP, STOP.replace("latches: true", "latches: false"), "stop_latched"),),
        "not said": (bad(STOP, STOP.replace("reset: by hand, ", ""), "stop_latched"),),
    },
    "stop_stops": {
        "a stop that only asks a controller": (
            (
                KEY,
                KEY + "\n    ctl: {kind: controller, contacts: [make, make]}\n    lamp: {kind: lamp, voltage: "
                "12 V, power: 1 W}",
            ),
            (ONE, "one: [bat+, f1, ctl.1, key.1, arm.1, fire, eye.1, w1, sv1, bat-]"),
            (TWO, "two: [bat+, f2, ctl.2, key.2, armed]\n    asks: [bat+, f3, stop.1, lamp, bat-]"),
            ("    f1:", "    f3: {kind: fuse, rating: 3 A}\n    f1:"),
            bad(STOP, STOP.replace("[break, break]", "[break]"), "stop_stops"),
        ),
    },
    "key_needed": {
        "a key in one line only, the other valve stuck to plus": (
            (ONE, ONE.replace("key.1, ", "")),
            (TWO, TWO.replace("key.2, ", "").replace("armed", "key.1, armed")),
            ("three: [armed, arm.2", "three: [past, arm.2"),
            (
                TWO.replace("key.2, ", "").replace("armed", "key.1, armed"),
                "two: [bat+, f2, stop.2, past]\n    on: [past, key.1, armed]",
            ),
            ("ask: [armed, guest, k1, bat-]", "ask: [armed, k2, bat-]\n    press: [past, guest, k1, bat-]"),
            (
                KEY,
                KEY.replace("[make, make]", "[make]")
                + " # expect: control.key_needed\n    k2: {kind: relay, voltage: 12 V, power: 1 W}",
            ),
        ),
    },
    "flame_proved": {
        "an eye that breaks": (bad(EYE, EYE.replace("[make, make]", "[break, break]"), "flame_proved"),),
    },
    "pilot_proved": {
        "an eye that breaks": (
            bad(EYE, EYE.replace("[make, make]", "[break, break]"), "pilot_proved", "flame_proved"),
        ),
        "the public sets it off, and only an eye sees the pilot": (
            (EYE, EYE.replace("sees: [pilot], ", "")),
            (
                "lit_by: {pilot: pilot},",
                "\n      lit_by:\n        pilot: pilot\n        seen_by: ada # expect: control.pilot_proved\n     ",
            ),
            ("    torch: {kind: burner, form: open_end, ", "    torch:\n      kind: burner\n      form: open_end"),
            (" jets: {count: 1, bore: 1/8 in, discharge: 0.8}}", " jets: {count: 1, bore: 1/8 in, discharge: 0.8}"),
            ("plumbing:\n", "people: {ada: {role: lead operator}}\nplumbing:\n"),
        ),
    },
    "bonded": {
        "a mast of another name": (
            (
                "bonded: {mast: 6 AWG to the generator's rod}",
                "bonded:\n    mass: 6 AWG to the generator's rod # expect: control.bonded",
            ),
        ),
    },
    "lets_go": {
        "a long diode": (
            (
                "suppression: diode, inductance: 0.5 H, share_on: 50 %}",
                "suppression: diode, inductance: 2.5 H, share_on: 50 %} # expect: control.lets_go",
            ),
        ),
        "an output that leaks": (
            (ONE, ONE.replace("fire,", "fire, out,")),
            (EYE, EYE + "\n    out: {kind: controller, leakage: 90 mA}"),
            (
                "suppression: diode, inductance: 0.5 H, share_on: 50 %}",
                "suppression: diode, inductance: 0.5 H, share_on: 50 %} # expect: control.lets_go",
            ),
        ),
    },
    "stop_fault": {
        "nothing pushes the contacts apart": (bad(STOP, STOP.replace(", direct_opening: true", ""), "stop_fault"),),
    },
    "fused": {
        "a line before its fuse": (
            (
                ONE,
                "one:\n      - bat+\n      - stop.1 # expect: control.fused\n      - f1\n      - key.1\n  "
                "    - arm.1\n      - fire\n      - eye.1\n      - w1\n      - sv1\n      - bat-",
            ),
        ),
    },
    "voltage_fits": {
        "mains on a battery": (
            (
                "sv1: {kind: coil, voltage: 12 V, power: 10 W, pull_in: 70 %, warm: 176 °F, suppression: diode, "
                "inductance: 0.5 H, share_on: 50 %}",
                "sv1:\n      kind: coil # expect: control.coil_voltage\n      voltage: 120 V # expect: "
                "control.voltage_fits\n      power: 10 W\n      pull_in: 70 %\n      warm: 176 °F",
            ),
        ),
    },
    "switched_side": {
        "a stop in the return": (
            (
                ONE,
                "one: [bat+, f1, key.1, arm.1, fire, eye.1, w1, sv1, back]\n"
                "    return:\n      - back\n      - stop.1 # expect: control.switched_side\n      - bat-",
            ),
        ),
    },
    "no_short": {
        "a button from plus to minus": (
            bad("night: [gen+, f4, w3, lit, gen-]", "night: [gen+, f4, w3, lit, gen-]", "no_short"),
            ("    ask: [armed, guest", "    short: [armed, foul, bat-]\n    ask: [armed, guest"),
            ("    guest: {kind", "    foul: {kind: button, who: operator}\n    guest: {kind"),
        ),
    },
    "fuse_load": {
        "too small": (bad("f1: {kind: fuse, rating: 3 A}", "f1: {kind: fuse, rating: 1 A}", "fuse_load"),),
    },
    "fuse_wire": {
        "a bell wire": (bad("size: 16 AWG, carries: 10 A}", "size: 16 AWG, carries: 2 A}", "fuse_wire"),),
        "a thin wire of which much is typed": (
            bad("size: 16 AWG, carries: 10 A}", "size: 22 AWG, carries: 10 A}", "fuse_wire"),
        ),
        "one that gives nothing but its size": (bad("size: 16 AWG, carries: 10 A}", "size: 22 AWG}", "fuse_wire"),),
        "one in a full duct": (bad("insulation: 221 °F}", "insulation: 176 °F, bundled: 12}", "fuse_wire"),),
        "one in hot air": (bad("insulation: 221 °F}", "insulation: 221 °F, air: 194 °F}", "fuse_wire"),),
    },
    "fuse_clears": {
        "a long thin pair": (
            bad("f1: {kind: fuse, rating: 3 A}", "f1: {kind: fuse, rating: 9 A}", "fuse_clears"),
            ("length: 20 ft, size: 16 AWG", "length: 50 ft, size: 18 AWG"),
        ),
    },
    "burst_timed": {
        "a pulse longer than the show's burst": (
            bad("leakage: 0.1 mA, holds: 1 s}", "leakage: 0.1 mA, holds: 3 s}", "burst_timed"),
        ),
        "a controller's, by way of a relay": (
            bad("leakage: 0.1 mA, holds: 1 s}", "leakage: 0.1 mA, holds: 3 s}", "burst_timed"),
            ("ask: [armed, guest, k1, bat-]", "ask: [armed, guest, pulse, k1, bat-]"),
            (THREE, THREE.replace("pulse, ", "")),
        ),
        "a timer's": (
            ("pulse: {kind: controller, leakage: 0.1 mA, holds: 1 s}", "pulse: {kind: switch}"),
            (
                "    w1: {kind: wire,",
                "    late: {kind: timer, voltage: 12 V, power: 1 W, holds: 1.5 s} # expect: control.burst_timed\n"
                "    w1: {kind: wire,",
            ),
            (
                ONE,
                "begin: [armed, fire, late, bat-]\n    " + ONE.replace("fire", "late.1"),
            ),
        ),
    },
    "coil_voltage": {
        "hot": (
            bad(
                "power: 9 W, pull_in: 70 %, warm: 176 °F, suppression: zener}",
                "power: 9 W, pull_in: 85 %, warm: 221 °F}",
                "coil_voltage",
            ),
        ),
    },
    "battery_lasts": {
        "small": (bad("lowest: 11.5 V, capacity: 18 Ah}", "lowest: 11.5 V, capacity: 5 Ah}", "battery_lasts"),),
    },
}


def test_the_good_spec_is_clean_and_every_rule_passes() -> None:
    made = checked(GOOD, block=NOT_GAS)
    assert [f for f in made.findings if f.plugin == "control"] == []
    ended = {r.id: r.status.split(",")[0] for r in made.rules if r.id.startswith("control.")}
    # What no valve of this spec meets has a good spec of its own: backward.yaml.
    assert ended.pop("control.holds_back") == "not applicable"
    assert set(ended.values()) == {"passed", "stated"}, ended
    # What only its maker says of it is stated, whatever it says.
    stated = {rule.partition(".")[2] for rule, status in ended.items() if status == "stated"}
    assert stated == {
        *(
            "battery_lasts",
            "burst_timed",
            "coil_voltage",
            "fuse_wire",
            "mains",
            "normally_closed",
            "pilot_proved",
            "stop_fault",
            "stop_latched",
            "valve_fits",
            "lets_go",
            "bonded",
        ),
    }


@pytest.mark.parametrize(("rule", "case"), [(r, c) for r, cases in BAD.items() for c in cases])
def test_what_is_wrong_is_found_at_its_line(rule: str, case: str, tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, *BAD[rule][case])
    expected = dict(expected_in(spec))
    assert any(r == f"control.{rule}" for _, _, r in expected)
    found = own(spec)
    assert isinstance(found, dict)
    assert {k: n for k, n in found.items() if k in expected} == expected
    # Others may follow from the same fault, but never silence.
    assert all(f.fix for f in findings_of(spec) if f.plugin == "control")


def test_single_fault(tmp_path: Path) -> None:
    """One relay on both coils: its contact welds, and both open."""
    spec = project(
        tmp_path,
        GOOD,
        (ONE, ONE.replace("eye.1, w1", "eye.1, both]\n    four: [both, w1")),
        (THREE, "three: [both, w2, c2, bat-]\n    rest: [armed, arm.2, eye.2, k1.1, past]"),
    )
    (found,) = findings_of(spec, "control.single_fault")
    assert "gas reach torch" in found.message
    assert "touches bat+" in found.message
    # Two valves with contacts of their own are what cures it: that is the good spec.
    assert findings_of(GOOD, "control.single_fault") == ()


def test_held(tmp_path: Path) -> None:
    fire = ("fire: {kind: button, who: operator}", "fire: {kind: button, who: public}")
    spec = project(tmp_path, GOOD, (ARM, ARM.replace("operator", "public")), fire)
    assert [f.message for f in findings_of(spec, "control.held")] == [
        "nobody holds a button: gas still reaches torch with key, arm, fire, guest, pulse.1, eye, k1 on, "
        "by way of controller output pulse.1"
    ]


def test_relays_settle(tmp_path: Path) -> None:
    """A loop of relays: one whose own contact breaks its coil's line."""
    spec = project(
        tmp_path,
        GOOD,
        (EYE, EYE + "\n    k9: {kind: relay, voltage: 12 V, power: 1 W, contacts: [break]}"),
        ("ask: [armed,", "buzz: [armed, k9.1, k9, bat-]\n    ask: [armed,"),
    )
    (found,) = findings_of(spec, "control.relays_settle")
    assert "never come to rest with key on" in found.message


@pytest.mark.parametrize("size", ["size: 22 AWG, insulation: 221 °F", "size: 16 AWG, carries: 10 A, bundled: 30"])
def test_a_wire_that_stands_more_passes_and_one_among_too_many_is_not_checked(size: str, tmp_path: Path) -> None:
    made = checked(project(tmp_path, GOOD, ("size: 16 AWG, carries: 10 A", size)), block=NOT_GAS)
    ended = {r.id: r.status for r in made.rules}["control.fuse_wire"]
    assert ended == ("not checked" if "bundled" in size else "stated")


def test_a_wire_in_air_as_hot_as_it_stands_is_found(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("insulation: 221 °F}", "insulation: 221 °F, air: 230 °F}"))
    found = [f for f in findings_of(spec) if "air is as warm as the insulation stands" in f.message]
    assert len(found) == 1


def test_valves_that_no_line_opens_prove_nothing(tmp_path: Path) -> None:
    """That no gas flows when nobody can let any flow is not the button's doing, nor the stop's or the key's."""
    lines = ((ONE, ONE.replace("sv1, bat-]", "past]")), (THREE, THREE.replace("c2, bat-]", "by]")))
    made = checked(project(tmp_path, GOOD, *lines), block=OTHERS)
    for rule in ("held", "stop_stops", "key_needed", "flame_proved", "stop_fault"):
        assert status_of(made, f"control.{rule}") == "not checked", rule
    assert status_of(made, "control.wired") == "failed"


def test_without_a_stop_there_is_none_that_a_fault_could_take(tmp_path: Path) -> None:
    lines = ((ONE, ONE.replace("stop.1, ", "")), (TWO, TWO.replace("stop.2, ", "")), (f"    {STOP}\n", ""))
    made = checked(project(tmp_path, GOOD, *lines), block=OTHERS)
    assert status_of(made, "control.stop_fault") == "not applicable"
    assert status_of(made, "control.stop_stops") == "failed"


def test_a_wire_of_no_length_is_refused_where_it_stands(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("length: 20 ft", "length: 0 ft"))
    (found,) = findings_of(spec, "spec.quantity")
    assert "more than 0" in found.fix


def test_what_stands_before_an_accumulator_does_not_hold_back_what_it_has(tmp_path: Path) -> None:
    """Two valves in a row are one, where a vessel between them is full."""
    spec = project(
        tmp_path,
        GOOD,
        ("    torch: {kind", "    tin: {kind: accumulator, volume: 1 gal}\n    torch: {kind"),
        ("line: [sv1, sv2, torch]", "line: [sv1, tin, sv2, torch]"),
    )
    (found,) = findings_of(spec, "control.single_fault", block=OTHERS)
    assert "touches bat+" in found.message


@pytest.mark.parametrize(
    ("what", "patches", "rule"),
    [
        (
            "buttons that stay in",
            (
                ("fire: {kind: button, who: operator}", "fire: {kind: button, who: operator, latches: true}"),
                (ARM, ARM.replace("who:", "latches: true, who:")),
            ),
            "held",
        ),
        (
            "a relay that stays on without power",
            (
                ("k1: {kind: relay,", "k1: {kind: relay, latches: true,"),
                (ONE, "one: [bat+, f1, k1.1, fire, eye.1, w1, sv1, bat-]"),
                (THREE, "three: [bat+, f3, k1.2, eye.2, w2, c2, bat-]\n    rest: [armed, arm.1, lit2, bat-]"),
                ("    f1:", "    f3: {kind: fuse, rating: 3 A}\n    lit2: {kind: lamp}\n    f1:"),
                ("power: 1 W}", "power: 1 W, contacts: [make, make]}"),
            ),
            "stop_stops",
        ),
        (
            "a timer that drops late",
            (
                ("k1: {kind: relay,", "k1: {kind: timer,"),
                (ONE, "one: [bat+, f1, k1.1, fire, eye.1, w1, sv1, bat-]"),
                (THREE, "three: [bat+, f3, k1.2, eye.2, w2, c2, bat-]\n    rest: [armed, arm.1, lit2, bat-]"),
                ("    f1:", "    f3: {kind: fuse, rating: 3 A}\n    lit2: {kind: lamp}\n    f1:"),
                ("power: 1 W}", "power: 1 W, contacts: [make, make]}"),
            ),
            "stop_stops",
        ),
        (
            "an open button that goes around the stop",
            (
                (EYE, EYE + "\n    open: {kind: button, contacts: [make, make], who: operator}"),
                (ONE, ONE.replace("arm.1", "past_1, arm.1") + "\n    around: [bat+, f3, open.1, past_1]"),
                (TWO, TWO.replace("armed", "past_2, armed") + "\n    also: [bat+, f4x, open.2, past_2]"),
                ("    f1:", "    f3: {kind: fuse, rating: 3 A}\n    f4x: {kind: fuse, rating: 3 A}\n    f1:"),
            ),
            "stop_stops",
        ),
        (
            "a relay that is fed through a lamp",
            (
                (ONE, "one: [bat+, f1, k1.1, fire, eye.1, w1, sv1, bat-]"),
                (
                    THREE,
                    "three: [bat+, f3, k1.2, eye.2, w2, c2, bat-]\n    rest: [armed, arm.1, lit2, bat-]"
                    "\n    leak: [bat+, f5, lit3, half]",
                ),
                ("ask: [armed, guest, k1, bat-]", "ask: [armed, guest, half]\n    pull: [half, k1, bat-]"),
                (
                    "    f1:",
                    "    f3: {kind: fuse, rating: 3 A}\n    f5: {kind: fuse, rating: 3 A}\n    lit2: {kind: lamp}\n"
                    "    lit3: {kind: lamp}\n    f1:",
                ),
                ("power: 1 W}", "power: 1 W, contacts: [make, make]}"),
            ),
            "stop_stops",
        ),
        (
            "a chassis that is bonded to nothing that is there",
            (("chassis: bat-", "chassis: batt-"),),
            "lines_readable",
        ),
        (
            "two coils on one valve",
            (
                (EYE, EYE + "\n    c3: {kind: coil, valve: sv2}"),
                (THREE, THREE.replace("c2,", "c2, here,") + "\n    other: [armed, c3, bat-]"),
            ),
            "valves_wired",
        ),
        (
            "a coil away from its valve",
            (("sv1: {kind: coil, voltage", "sv1: {kind: coil, place: desk, voltage"),),
            "valves_wired",
        ),
    ],
)
def test_what_looks_safe_and_is_not(what: str, patches: tuple[Patch, ...], rule: str, tmp_path: Path) -> None:
    assert findings_of(project(tmp_path, GOOD, *patches), f"control.{rule}", block=OTHERS), what


def test_a_mast_beside_a_generator_that_nothing_bonds_is_not_checked(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("  bonded: {mast: 6 AWG to the generator's rod}\n", ""))
    assert status_of(spec, "control.bonded", block=OTHERS) == "not checked"


BONDED = "  bonded: {mast: 6 AWG to the generator's rod}\n"
SV1 = "listed: LP-gas to 60 psi, listed_to: 60 psi, enclosure: IP65"
SV2 = "listed: LP-gas to 60 psi, listed_to: 60 psi, enclosure: NEMA 4X"


@pytest.mark.parametrize("word", ["none", "-", "no", "unknown"])
def test_a_word_for_nothing_bonds_grounds_and_lists_nothing(word: str, tmp_path: Path) -> None:
    patches = {
        "bonded": (BONDED, f"  bonded: {{mast: {word}}}\n"),
        "mains": ("grounded: its frame to a rod", f"grounded: {word}"),
        "valve_fits": (SV1, SV1.replace("LP-gas to 60 psi", word)),
    }
    for rule, patch in patches.items():
        assert status_of(project(tmp_path, GOOD, patch), f"control.{rule}") == "not checked", rule


@pytest.mark.parametrize("indoors", ["IP53", "IPX2", "NEMA 1", "NEMA 12", "NEMA 13"])
def test_an_enclosure_for_indoors_lets_rain_in(indoors: str, tmp_path: Path) -> None:
    for old in (SV1, SV2):
        spec = project(tmp_path, GOOD, (old, old.replace(old.rsplit(": ", 1)[1], indoors)))
        (said,) = findings_of(spec, "control.valve_fits", block=OTHERS)
        assert f"is {indoors}, which rain gets into" in said.message
    for outdoors in ("IP54", "IPX7", "NEMA 3R", "NEMA 6P"):
        spec = project(tmp_path, GOOD, (SV1, f"listed: LP-gas to 60 psi, listed_to: 60 psi, enclosure: {outdoors}"))
        assert status_of(spec, "control.valve_fits") == "stated"


def test_whose_hand_works_it_is_said(tmp_path: Path) -> None:
    fire = ("fire: {kind: button, who: operator}", "fire: {kind: button}")
    spec = project(tmp_path, GOOD, (ARM, ARM.replace(", who: operator", "")), fire)
    assert status_of(spec, "control.held", block=OTHERS) == "not checked"
    # The one beside it is the operator's, and enough by itself.
    assert status_of(project(tmp_path, GOOD, fire), "control.held", block=OTHERS) == "passed"


def test_where_nothing_is_said_metal_is_taken_to_be_bonded(tmp_path: Path) -> None:
    """A coil that is switched on its minus side opens when that wire touches the frame."""
    low = (
        (ONE, "one: [bat+, f1, w1, sv1, low]\n    down: [low, stop.1, key.1, arm.1, fire, eye.1, bat-]"),
        (THREE, "three: [bat+, f2, w2, c2, deep]\n    sink: [deep, stop.2, key.2, arm.2, eye.2, bat-]"),
        (TWO + "\n    ask: [armed, guest, k1, bat-]\n", "ask: [bat+, f3, guest, k1, bat-]\n"),
        ("    f1:", "    f3: {kind: fuse, rating: 3 A}\n    f1:"),
        ("line: [sv1, sv2, torch]", "line: [sv1, torch]"),
        (f"    sv2: {{kind: valve, form: solenoid, normally: closed{FITS}NEMA 4X}}\n", ""),
        ("valve: sv2, ", ""),
    )
    for chassis, many in (("", 1), ("chassis: bat-", 1), ("chassis: none", 1)):
        spec = project(tmp_path, GOOD, ("  chassis: bat-", f"  {chassis}"), *low)
        found = findings_of(spec, "control.single_fault", block=OTHERS)
        assert len(found) == many
        assert ("chassis" in found[0].message) is (chassis != "chassis: none")


def test_no_stop_and_no_key_are_found(tmp_path: Path) -> None:
    spec = project(
        tmp_path,
        GOOD,
        (STOP, ""),
        (KEY, ""),
        (ONE, ONE.replace("stop.1, key.1, ", "")),
        (TWO, TWO.replace("stop.2, key.2, ", "")),
    )
    assert "no emergency stop" in findings_of(spec, "control.stop_stops")[0].message
    assert "no key switch" in findings_of(spec, "control.key_needed")[0].message


def test_without_wiring_nothing_is_said_to_be_fine(tmp_path: Path) -> None:
    text = GOOD.read_text(encoding="utf-8")
    spec = project(tmp_path, text[: text.index("control:\n")])
    made = checked(spec, block=OTHERS)
    ended = {r.id.partition(".")[2]: r for r in made.rules if r.id.startswith("control.")}
    for rule, status in {"normally_closed": "stated", "valve_fits": "not checked"}.items():
        assert ended.pop(rule).status == status  # the valves' own
    # Nothing presses on a valve from behind, and a flame sensor is one way of several.
    assert {rule for rule, r in ended.items() if r.status == "not applicable"} == {"holds_back", "flame_proved"}
    assert {r.status for rule, r in ended.items() if rule not in ("holds_back", "flame_proved")} == {"not checked"}
    assert "sv1, sv2 is not described" in ended["held"].looked


def test_a_switch_at_a_valve_says_whether_it_shares_its_box(tmp_path: Path) -> None:
    """In the open, or in a box of its own, it may stand there."""
    relay = "k1: {kind: relay, voltage: 12 V, power: 1 W"
    for more, status in ((", place: box", "not checked"), (", place: box, box: open", "stated")):
        spec = project(tmp_path, GOOD, (relay, relay + more))
        assert status_of(spec, "control.gas_box", block=OTHERS) == status


def test_what_five_minutes_do_not_blow_away_is_found(tmp_path: Path) -> None:
    """An inch of bore open for an hour: tons of gas."""
    spec = project(
        tmp_path,
        GOOD,
        ("count: 1, bore: 1/8 in", "count: 1, bore: 1 in"),
        ("times: 5, open: 1 s", "times: 1, open: 1 h"),
    )
    (found,) = findings_of(spec, "fuel.purge_wait_enough", block=NOT_GAS)
    assert "torch" in found.message
    assert "the procedures wait 5 min" in found.message


VALVE = f"sv1: {{kind: valve, form: solenoid, normally: closed{FITS}IP65, place: box}}"


@pytest.mark.parametrize(
    ("what", "patches", "said"),
    [
        ("opens against less", (("difference: 100 psi", "difference: 20 psi"),), "opens against 20 psi at most"),
        ("needs more than there is", (("least_difference: 0 psi", "least_difference: 45 psi"),), "needs 45 psi"),
        (
            "a pilot-operated valve behind a vessel",
            (
                ("least_difference: 0 psi", "least_difference: 7 psi"),
                ("    torch: {kind", "    tin: {kind: accumulator, volume: 1 gal}\n    torch: {kind"),
                ("line: [sv1, sv2, torch]", "line: [tin, sv1, sv2, torch]"),
            ),
            "falls as tin empties",
        ),
        (
            "a pilot-operated valve that fills a vessel",
            (
                ("least_difference: 0 psi", "least_difference: 7 psi"),
                ("    torch: {kind", "    tin: {kind: accumulator, volume: 1 gal}\n    torch: {kind"),
                ("line: [sv1, sv2, torch]", "line: [sv1, tin, sv2, torch]"),
            ),
            "is nothing once tin is full",
        ),
        ("cylinder pressure", (("line: [pr, tee]", "line: [tee]"),), "no listing of gas valves goes above 60 psi"),
        (
            "a listing whose words name less than listed_to:",
            (
                (
                    "listed: LP-gas to 60 psi, listed_to: 60 psi, enclosure: IP65",
                    "listed: LP-gas to 5 psi, listed_to: 60 psi, enclosure: IP65",
                ),
            ),
            "sv1 is listed as 'LP-gas to 5 psi', and listed_to: says 60 psi",
        ),
        ("a listing for less", (("listed_to: 60 psi", "listed_to: 5 psi"),), "sv1 is listed up to 5 psi, and"),
        ("rain", (("IP65", "IP20"),), "rain gets into"),
        ("turned round", (("arrow: with", "arrow: against"),), "sv1 is mounted with its arrow against the gas"),
    ],
)
def test_valve_fits(what: str, patches: tuple[Patch, ...], said: str, tmp_path: Path) -> None:
    own = [(VALVE, VALVE.replace(*patch)) if patch[0] in VALVE else patch for patch in patches]
    found = findings_of(project(tmp_path, GOOD, *own), "control.valve_fits", block=NOT_GAS)
    assert [f for f in found if said in f.message], (what, [f.message for f in found])


def test_what_is_not_said_of_a_valve_is_not_checked(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, (VALVE, VALVE.replace("listed: LP-gas to 60 psi, listed_to: 60 psi, ", "")))
    made = checked(spec, block=NOT_GAS)
    assert status_of(made, "control.valve_fits") == "not checked"
    assert "listed: of sv1" in next(r.looked for r in made.rules if r.id == "control.valve_fits")


@pytest.mark.parametrize("listed", ["pending", "LP-gas to 60 psi, pending", "not for gas", "fuel gas?", "water", "UL"])
def test_a_listing_that_is_not_of_now_or_not_for_gas_is_none(tmp_path: Path, listed: str) -> None:
    spec = project(tmp_path, GOOD, (VALVE, VALVE.replace("listed: LP-gas to 60 psi,", f"listed: '{listed}',")))
    assert status_of(spec, "control.valve_fits", block=NOT_GAS) == "not checked"


def test_whoever_mounts_a_valve_is_told_where_its_arrow_points(tmp_path: Path) -> None:
    made = checked(project(tmp_path, GOOD, (VALVE, VALVE.replace("arrow: with the gas, ", ""))), block=NOT_GAS)
    assert status_of(made, "control.valve_fits") == "not checked"
    assert "arrow: of sv1" in next(r.looked for r in made.rules if r.id == "control.valve_fits")
    asked = Ask(frozenset(), frozenset({"table control.valves"}))
    table = dict(travel(str(Path(__file__).with_name("backward.yaml")), ask=asked).tables)["control.valves"]
    assert isinstance(table, Table)
    assert [row.cells for row in table.rows] == [
        ("sv1", "place not stated", "from pr to tin", "not stated", "tin may press; it holds 45 psi"),
        ("sv2", "place not stated", "from tin to torch", "not stated", "nothing presses"),
    ]


def test_what_times_a_burst_says_how_long(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, ("leakage: 0.1 mA, holds: 1 s}", "leakage: 0.1 mA}"))
    made = checked(spec, block=NOT_GAS)
    assert status_of(made, "control.burst_timed") == "not checked"
    hand = project(tmp_path, GOOD, ("pulse: {kind: controller, leakage: 0.1 mA, holds: 1 s}", "pulse: {kind: switch}"))
    assert status_of(hand, "control.burst_timed", block=NOT_GAS) == "authority to decide"


def test_lines_that_cannot_be_read_time_no_burst_and_rule_none_out(tmp_path: Path) -> None:
    """No state was looked through: "no timer times a burst" would be a word about nothing."""
    spec = project(tmp_path, GOOD, ("    ask: [armed, guest, k1, bat-]", "    ask: [armed, guest, nobody_9, k1, bat-]"))
    assert status_of(spec, "control.burst_timed", block=NOT_GAS) == "not checked"


def test_a_place_for_all_parts_is_that_of_the_stop_and_the_key(tmp_path: Path) -> None:
    """It was read for what stands around gas alone: a stop at the desk counted as standing nowhere."""
    sample = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"
    for file in sample.glob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        if file.name == "control.yaml":
            assert ", place: desk" in text
            text = text.replace(", place: desk", "").replace("  chassis: bat-", "  chassis: bat-\n  place: desk")
        (tmp_path / file.name).write_text(text, encoding="utf-8")
    assert status_of(tmp_path / "project.yaml", "operators.at_valves") == "passed"


@pytest.mark.parametrize(
    ("edits", "ends"),
    [
        ((), "stated"),
        ((", rod.1", ", rod.2"), "not checked"),  # seen, and in no line
        ((" notices: 3 s,",), "not checked"),  # nobody says how soon
        ((", rod.2",), "stated"),  # one of two valves in a row holds
    ],
)
def test_a_pilot_may_go_out_beside_a_burst_that_a_wired_sensor_holds_back(
    tmp_path: Path, edits: tuple[str, ...], ends: str
) -> None:
    sample = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds"
    for file in sample.glob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        for gone in edits if file.name == "control.yaml" else ():
            assert text.count(gone) == 1
            text = text.replace(gone, "")
        (tmp_path / file.name).write_text(text, encoding="utf-8")
    assert status_of(tmp_path / "project.yaml", "plumbing.pilot_kept") == ends
