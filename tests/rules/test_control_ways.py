"""Every way to a load counts, and what is not said of one is asked: the good spec of control with more wiring in it."""

from __future__ import annotations

from pathlib import Path

import pytest

from specc.testing import Patch, all_but, checked, findings_of, project, status_of

GOOD = Path(__file__).with_name("control.yaml")
OTHERS = all_but("control", "plumbing", "core")
ONE = "one: [bat+, f1, stop.1, key.1, arm.1, fire, eye.1, w1, sv1, bat-]"
EYE = "    eye: {kind: flame_sensor"
FORKED = (
    "one: [bat+, f1, stop.1, key.1, arm.1, split]\n    near: [split, fire, eye.1, w1, joined]\n"
    "    far: [split, more, eye.3, w9, joined]\n    last: [joined, sv1, bat-]"
)


def with_parts(*parts: str) -> Patch:
    return (EYE, "".join(f"    {part}\n" for part in parts) + EYE)


def second_way(wire: str) -> tuple[Patch, ...]:
    """A second button at the end of another cable opens the same valve."""
    return (
        (ONE, FORKED),
        with_parts("more: {kind: button, who: operator}", f"w9: {{kind: wire, {wire}}}"),
        ("notices: 30 s, contacts: [make, make]", "notices: 30 s, contacts: [make, make, make]"),
    )


def test_the_worse_of_two_ways_counts(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, *second_way("length: 25 ft, size: 16 AWG, insulation: 221 °F"))
    rules = ("coil_voltage", "fuse_wire", "fuse_clears")
    assert {status_of(spec, f"control.{r}", block=OTHERS) for r in rules} <= {"passed", "stated"}
    thin = checked(project(tmp_path, GOOD, *second_way("length: 120 ft, size: 24 AWG")), block=OTHERS)
    assert {r: status_of(thin, f"control.{r}") for r in rules} == dict.fromkeys(rules, "failed")
    said = [f.message for f in thin.findings]
    assert any(m.startswith("w9 may carry") for m in said)
    assert any(m.startswith("sv1 gets") for m in said)


def test_a_second_way_of_which_nothing_is_said_is_not_checked(tmp_path: Path) -> None:
    made = checked(project(tmp_path, GOOD, *second_way("size: 16 AWG")), block=OTHERS)
    assert status_of(made, "control.coil_voltage") == "not checked"
    assert status_of(made, "control.fuse_clears") == "not checked"


def test_ways_that_one_hand_cannot_close_together_are_none(tmp_path: Path) -> None:
    """Through the key's make and its break contact nothing comes."""
    crossed = ONE.replace("key.1", "key.1, key.3")
    spec = project(tmp_path, GOOD, (ONE, crossed), ("key: {kind: key, contacts: [make, make]}", KEY3))
    assert status_of(spec, "control.coil_voltage", block=OTHERS) == "not checked"
    assert status_of(spec, "control.held", block=OTHERS) == "not checked"


KEY3 = "key: {kind: key, contacts: [make, make, break]}"


@pytest.mark.parametrize(
    ("what", "patches", "rules"),
    [
        (
            "a lamp of which no power is said hangs on the same fuse and wire",
            (
                (ONE, ONE.replace("w1, sv1, bat-]", "w1, end]\n    a: [end, sv1, bat-]\n    b: [end, dim, bat-]")),
                with_parts("dim: {kind: lamp, voltage: 12 V}"),
            ),
            ("fuse_load", "coil_voltage", "battery_lasts"),
        ),
        (
            "a second coil whose cable is not measured",
            (
                (ONE, ONE.replace("w1, sv1, bat-]", "end]\n    a: [end, w1, sv1, bat-]\n    b: [end, w9, ig, bat-]")),
                with_parts("ig: {kind: igniter, voltage: 12 V, power: 5 W}", "w9: {kind: wire, size: 16 AWG}"),
            ),
            ("fuse_clears",),
        ),
        ("a coil with no wire to it", ((ONE, ONE.replace("w1, ", "")), ("    w1: {", "    w0: {")), ("coil_voltage",)),
        (
            "two lamps in a row: what each of them gets is not computed",
            (
                ("lit, gen-]", "lit, lit2, gen-]"),
                with_parts("lit2: {kind: lamp, voltage: 120 V, power: 100 W}"),
            ),
            ("voltage_fits", "fuse_load"),
        ),
        ("no show to last for", (("show:\n  scenes:", "x:\n  scenes:"),), ("battery_lasts",)),
    ],
)
def test_what_is_not_known_of_one_load_is_not_passed_over(
    what: str, patches: tuple[Patch, ...], rules: tuple[str, ...], tmp_path: Path
) -> None:
    made = checked(project(tmp_path, GOOD, *patches), block=OTHERS)
    assert {r: status_of(made, f"control.{r}") for r in rules} == dict.fromkeys(rules, "not checked"), what


def test_supplies_in_a_row_are_refused(tmp_path: Path) -> None:
    """24 V of two batteries: what they feed together would look as if it had no power."""
    patches = (
        (ONE, ONE.replace("sv1, bat-]", "sv1, low-]") + "\n    row: [bat-, f9, low+]"),
        with_parts("low: {kind: battery, voltage: 12 V}", "f9: {kind: fuse, rating: 3 A}"),
    )
    made = checked(project(tmp_path, GOOD, *patches), block=OTHERS)
    said = "low+ is joined to bat-: what two supplies in a row feed is not followed"
    assert said in [f.message for f in made.findings]
    assert status_of(made, "control.stop_stops") == "not checked"


def test_a_generator_joined_to_the_battery_feeds_the_coils_too(tmp_path: Path) -> None:
    joined = "    plus: [gen+, f9, bat+]\n    minus: [gen-, w9, bat-]\n    night:"
    patches = (
        ("    night:", joined),
        with_parts("f9: {kind: fuse, rating: 3 A}", "w9: {kind: wire, length: 2 ft, size: 14 AWG}"),
    )
    (found,) = findings_of(project(tmp_path, GOOD, *patches), "control.lines_readable", block=OTHERS)
    assert found.message.startswith("bat+ is joined to gen+: what a battery pushes into a generator")


def test_a_second_battery_on_one_coil_has_to_fit_it_too(tmp_path: Path) -> None:
    patches = (
        ("    night:", "    plus: [big+, f9, bat+]\n    minus: [big-, w9, bat-]\n    night:"),
        with_parts("f9: {kind: fuse, rating: 3 A}", "w9: {kind: wire, length: 2 ft, size: 14 AWG}"),
        with_parts("big: {kind: battery, voltage: 24 V}"),
    )
    found = findings_of(project(tmp_path, GOOD, *patches), "control.voltage_fits", block=OTHERS)
    assert "sv1 is made for 12 V and gets 24 V from big" in [f.message for f in found]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("lowest: 11.5 V", "lowest: 14.4 V", "bat is said to fall to 14.4 V, above its 12 V"),
        ("warm: 176 °F, suppression: diode", "warm: 60 °F, suppression: diode", "the air alone gets to 75"),
    ],
)
def test_a_supply_that_sags_upward_and_a_coil_colder_than_the_air_are_found(
    old: str, new: str, said: str, tmp_path: Path
) -> None:
    found = findings_of(project(tmp_path, GOOD, (old, new)), "control.coil_voltage", block=OTHERS)
    assert any(said in f.message for f in found)


@pytest.mark.parametrize("size", ["99 AWG", "41 AWG", "0 mm²", "0.0 mm2"])
def test_a_wire_of_no_size_is_refused_where_it_stands(size: str, tmp_path: Path) -> None:
    found = findings_of(project(tmp_path, GOOD, ("length: 20 ft, size: 16 AWG", f"length: 20 ft, size: {size}")))
    assert any(f.rule.startswith("spec.") and "such as 18 AWG" in f"{f.message} {f.fix}" for f in found)


def test_one_burner_of_two_that_no_state_lights_proves_nothing(tmp_path: Path) -> None:
    patches = (
        ("    torch: {kind", "    sv3: {kind: valve, form: solenoid, normally: closed}\n    lone: {kind: burner, form: "
         "open_end, lit_by: {pilot: pilot}, jets: {count: 1, bore: 1/8 in, discharge: 0.8}}\n    torch: {kind"),
        ("    main: {from: tee,", "    side: {from: tee, line: [sv3, lone]}\n    main: {from: tee,"),
        with_parts("c3: {kind: coil, valve: sv3, voltage: 12 V, power: 9 W}", "f9: {kind: fuse, rating: 3 A}"),
        ("    night:", "    third: [bat+, f9, c3, bat+]\n    night:"),
    )  # fmt: skip
    made = checked(project(tmp_path, GOOD, *patches), block=OTHERS)
    assert status_of(made, "control.stop_stops") == "not checked"
    assert "gas reach lone" in next(r.looked for r in made.rules if r.id == "control.stop_stops")


def test_an_output_that_leaks_into_a_relay_holds_its_contact(tmp_path: Path) -> None:
    patches = (
        ("ask: [armed, guest, k1, bat-]", "ask: [armed, guest, sign, k1, bat-]"),
        with_parts("sign: {kind: controller, leakage: 20 mA, holds: 1 s}"),
    )
    (found,) = findings_of(project(tmp_path, GOOD, *patches), "control.lets_go", block=OTHERS)
    assert found.message == "sign leaks 24% of the current of k1 while off; it lets go at 10 %"


def test_what_the_stop_cuts_is_what_was_looked_through(tmp_path: Path) -> None:
    """A stop that stands in the line, with a way around it, cuts nothing."""
    patches = (
        (ONE, ONE.replace("stop.1, key.1", "stop.1, beyond]\n    by: [bat+, f9, beyond]\n    on: [beyond, key.1")),
        with_parts("f9: {kind: fuse, rating: 3 A}"),
    )
    made = checked(project(tmp_path, GOOD, *patches), block=OTHERS)
    assert status_of(made, "control.stop_stops") == "failed"
