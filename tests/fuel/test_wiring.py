"""The way from a spec to the laws: each value reaches the figure that rests on it, with its margin, on the safe side.

The laws have tests of their own. Here a line of a spec changes, and a figure has to follow by arithmetic of our own.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from specc.model.result import Result
from specc.testing import Patch, all_but, checked, findings_of, project

GOOD = Path(__file__).parent.parent / "rules" / "fuel_flow.yaml"
OTHERS = all_but("plumbing", "fuel")
PSI, INCH, LB = 6894.757293168, 0.0254, 0.45359237
AIR = 99796.6  # at 420 ft, as the core's own tests have it


@pytest.fixture(scope="module")
def of(tmp_path_factory: pytest.TempPathFactory):  # type: ignore[no-untyped-def]
    """The result of the good spec with patches, made once."""

    @cache
    def made(*patches: Patch) -> Result:
        return checked(project(tmp_path_factory.mktemp("spec"), GOOD, *patches), block=OTHERS)

    return made


def si(result: Result, key: str, case: str = "") -> float:
    figure = result.figure("fuel." + key)
    assert figure is not None, key
    return next((c.worked.si for c in figure.cases if c.case == case), figure.si) if case else figure.si


def looked(result: Result, rule: str) -> str:
    return next(r.looked for r in result.rules if r.id == "fuel." + rule)


NO_LOCK: Patch = ("      lock_up: 34 psi\n", "")


# Regulators


def test_lock_up_as_taken_and_as_stated(of) -> None:  # type: ignore[no-untyped-def]
    assert si(of(), "lock_up_pressure.pr1") == pytest.approx(1.2 * 10 * PSI)
    assert si(of(), "lock_up_pressure.pr2") == pytest.approx(34 * PSI)
    assert si(of(NO_LOCK), "store_pressure.acc") == pytest.approx(1.2 * 30 * PSI)
    assert si(of(), "store_pressure.acc") == pytest.approx(34 * PSI)


def test_an_accumulator_stands_no_higher_than_what_fills_it(of) -> None:  # type: ignore[no-untyped-def]
    hot = of(NO_LOCK, ("set: 30 psi\n      highest: 40", "set: 70 psi\n      highest: 80"))
    cold = si(hot, "cylinder_pressure_lowest")
    assert cold < 1.2 * 70 * PSI
    assert si(hot, "store_pressure.acc", "low") == pytest.approx(cold)


def test_an_accumulator_turned_up_locks_up_above_the_highest_setting(of) -> None:  # type: ignore[no-untyped-def]
    turned, set_so = of(NO_LOCK), of(NO_LOCK, ("set: 30 psi\n", "set: 40 psi\n"))
    assert si(turned, "section_highest.nozzle") == pytest.approx(si(set_so, "section_highest.nozzle"), rel=1e-6)
    # What the hose alone could bring is a fraction of what is stored.
    assert si(turned, "section_highest.nozzle") > 30 * PSI


@pytest.mark.parametrize("end", ["acc", "acc, pl", "acc, bl, pl"])
def test_an_accumulator_on_a_branch_is_sound_and_counted(of, end: str) -> None:  # type: ignore[no-untyped-def]
    """Plugged, with a bleed valve behind it, or neither."""
    bleed = "    bleed: {from: acc, line: [bl, pl]}\n"
    aside = of(("h2, acc, x1,", "h2, x1,"), (bleed, f"    aside: {{from: x1, line: [{end}]}}\n"))
    assert not [f for f in aside.findings if f.rule == "plumbing.line_ends"]
    assert si(aside, "burst_gas.nozzle") == pytest.approx(si(of(), "burst_gas.nozzle"), rel=0.02)


def test_an_accumulator_ahead_of_a_regulator_is_what_its_burst_empties(of) -> None:  # type: ignore[no-untyped-def]
    behind = of(
        ("h2, acc, x1,", "h2, acc, pr9, x1,"),
        (
            "    pr2:\n",
            "    pr9: {kind: regulator, set: 20 psi, highest: 20 psi, lock_up: 22 psi, rating: 250 psi}\n    pr2:\n",
        ),
    )
    assert si(behind, "burst_gas.nozzle") < si(of(), "burst_gas.nozzle")
    assert si(behind, "stuck_open_gas.nozzle") >= si(behind, "store_content.acc")
    assert si(behind, "store_pressure.acc") == pytest.approx(34 * PSI)


def test_an_accumulator_that_a_cylinder_fills_without_a_regulator_stands_at_its_pressure(of) -> None:  # type: ignore[no-untyped-def]
    beside = of(
        ("    burst: {", "    straight: {from: tank9, line: [acc]}\n    burst: {"),
        (
            "    pr2:\n",
            "    tank9: {kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in, tare: 18 lb}\n    pr2:\n",
        ),
    )
    messages = " ".join(f.message for f in beside.findings)
    assert "gas turns liquid in acc above" in messages  # the 34 psig that its regulator locks up at would stay gas
    assert "gas turns liquid in acc" not in " ".join(f.message for f in of().findings)


@pytest.mark.parametrize("part", [
    "valve, form: needle, cv: 0.003", "valve, form: globe, cv: 0.003", "valve, form: ball, cv: 0.003",
    "valve, form: solenoid, normally: closed, cv: 0.003", "valve, form: check, cv: 0.003",
    "valve, form: ball, bore: 0.04 in, loss: 99", "fitting, form: coupling, bore: 0.04 in, loss: 99",
])  # fmt: skip
def test_what_is_only_typed_of_a_valve_or_fitting_holds_nothing_back_when_its_zone_is_judged(of, part: str) -> None:  # type: ignore[no-untyped-def]
    line, tag = "to_lamp: {from: m2, line: [fo2, lamp]}", "    fo2: {kind"
    typed = f"    hv: {{kind: {part}, rating: 600 psi}}\n"
    throttled = of((line, "to_lamp: {from: m2, line: [hv, fo2, lamp]}"), (tag, typed + tag))
    for key in ("section_highest", "section_blocked", "section_failed_open"):
        assert si(throttled, f"{key}.lamp") == pytest.approx(si(of(), f"{key}.lamp"), rel=1e-6), key
    assert si(throttled, "jet_pressure.lamp") < si(of(), "jet_pressure.lamp") / 2


def test_droop_takes_its_share_at_the_flow(of) -> None:  # type: ignore[no-untyped-def]
    drooping = of(
        (
            "      capacity: 300 kBTU/h\n      highest: 20 psi\n",
            "      highest: 20 psi\n      droop: 2 psi\n      capacity: 50000 BTU/h\n",
        )
    )
    heat = si(drooping, "heat_gross.lamp", "usual") / 0.29307107
    lost = si(of(), "feed_pressure.lamp", "usual") - si(drooping, "feed_pressure.lamp", "usual")
    assert lost == pytest.approx(2 * PSI * heat / 50000, rel=0.03)


def test_a_small_seat_limits_the_flow(of) -> None:  # type: ignore[no-untyped-def]
    small = of(("      highest: 20 psi\n", "      highest: 20 psi\n      seat: 0.008 in\n"))
    assert si(small, "flow.lamp", "usual") < 0.7 * si(of(), "flow.lamp", "usual")


# Holes and lines


def test_flow_goes_with_the_discharge_coefficient_and_the_setting(of) -> None:  # type: ignore[no-untyped-def]
    half = of(("bore: 0.030 in, discharge: 0.85", "bore: 0.030 in, discharge: 0.425"))
    assert si(half, "flow.lamp", "usual") == pytest.approx(si(of(), "flow.lamp", "usual") / 2, rel=0.01)
    # And so in the network, whose jets see a fourth.
    assert si(half, "jet_pressure.lamp", "usual") == pytest.approx(si(of(), "jet_pressure.lamp", "usual") / 4, rel=0.02)


def test_what_stands_before_low_jets_goes_with_the_square_of_the_flow(of) -> None:  # type: ignore[no-untyped-def]
    as_set, highest = si(of(), "jet_pressure.lamp", "usual"), si(of(), "section_highest.lamp", "usual")
    assert highest / as_set == pytest.approx(((20 * PSI + AIR) / (10 * PSI + AIR)) ** 2, rel=0.04)
    assert si(of(), "section_blocked.lamp", "usual") / highest == pytest.approx(4, rel=0.02)
    # Failed open on commercial propane, 15 % above pure, from the hottest cylinder.
    reached = (1.15 * si(of(), "cylinder_pressure_highest") + AIR) / (10 * PSI + AIR)
    assert 0.9 * reached**2 < si(of(), "section_failed_open.lamp") / as_set < 1.6 * reached**2


THIN: Patch = ("line: [fo2, lamp]", "line: [fo2, t9, lamp]")


def thin(words: str) -> Patch:
    return ("    fo2: {", f"    t9: {{kind: tube, {words}, length: 40 ft, rating: 500 psi}}\n    fo2: {{")


SMALL: Patch = ("fo2: {kind: orifice, bore: 0.030 in", "fo2: {kind: orifice, bore: 0.010 in")


def test_a_line_loses_what_laminar_flow_loses(of) -> None:  # type: ignore[no-untyped-def]
    # Hagen and Poiseuille: 128 mu L m/(pi rho d^4), mu 8.1e-6 Pa s of propane near 64 °F (CoolProp), rho 1.83 kg/m3.
    spec = of(
        THIN,
        (
            "    fo2: {kind: orifice, bore: 0.030 in",
            thin("bore: 0.15 in")[1][:-6] + "fo2: {kind: orifice, bore: 0.010 in",
        ),
    )
    flow = si(spec, "flow.lamp", "usual")
    turned = flow * (20 * PSI + AIR) / (10 * PSI + AIR)
    lost = 128 * 8.1e-6 * 40 * 0.3048 * turned / (math.pi * 1.83 * (0.15 * INCH) ** 4)
    assert 4 * turned / (math.pi * 0.15 * INCH * 8.1e-6) < 2000
    # The highest point of the zone is at the orifice, before the tube.
    assert si(spec, "section_highest.lamp", "usual") == pytest.approx(lost, rel=0.1)


def test_a_tube_by_outside_and_wall_is_one_by_its_bore(of) -> None:  # type: ignore[no-untyped-def]
    by_bore, by_wall = of(THIN, thin("bore: 0.1 in")), of(THIN, thin("outside: 0.2 in, wall: 0.05 in"))
    key = "section_highest.lamp"
    assert si(by_wall, key, "usual") == pytest.approx(si(by_bore, key, "usual"), rel=1e-6)


def test_a_line_of_unknown_bore_before_the_jets_leaves_no_figure(of) -> None:  # type: ignore[no-untyped-def]
    unknown = of(THIN, ("    fo2: {", "    t9: {kind: tube, length: 40 ft, rating: 500 psi}\n    fo2: {"))
    assert unknown.figure("fuel.section_highest.lamp") is None


def test_all_jets_count(of) -> None:  # type: ignore[no-untyped-def]
    assert si(of(), "jet_area.ring") == pytest.approx(36 * math.pi / 4 * (INCH / 16) ** 2)


def test_a_valve_passes_by_its_flow_coefficient(of) -> None:  # type: ignore[no-untyped-def]
    # A Cv is 0.865 of a Kv; at a small one the valve is nearly all that holds the burst back.
    by = [
        si(
            of(
                (
                    "sv: {kind: valve, form: solenoid, normally: closed, cv: 3",
                    f"sv: {{kind: valve, form: solenoid, normally: closed, cv: {cv}",
                )
            ),
            "way_out.nozzle",
            "usual",
        )
        for cv in (0.02, 0.04)
    ]
    assert by[1] / by[0] == pytest.approx(2, rel=0.02)
    # A Kv is 1 m3/h of water at 1 bar, by its definition: 1/3600/sqrt(2 bar/rho) m2, and for gas a little more.
    as_water = 1 / 3600 / math.sqrt(2 * 1e5 / 1000)
    assert 1.0 < by[0] / (as_water * 0.865 * 0.02) < 1.2


# Cylinders


def test_the_highest_pressure_is_of_the_hot_case_and_the_lowest_of_the_cold(of) -> None:  # type: ignore[no-untyped-def]
    highest, lowest = of().figure("fuel.cylinder_pressure_highest"), of().figure("fuel.cylinder_pressure_lowest")
    assert (highest.case, lowest.case) == ("high", "low")
    assert lowest.si < highest.si


def test_boil_off_is_that_of_a_cylinder_at_its_reserve(of) -> None:  # type: ignore[no-untyped-def]
    # D L K: 15 x 48 x 60 (K at 20 %) x 2 in air of 20 °F and more.
    assert si(of(), "boil_off.tank") / 0.29307107 == pytest.approx(15 * 48 * 60 * 2, rel=1e-3)


def test_gas_is_counted_less_the_reserve_and_from_what_is_in_it(of) -> None:  # type: ignore[no-untyped-def]
    assert "of the 80 lb" in looked(of(), "enough_gas")
    half = of(("      capacity: 100 lb\n", "      capacity: 100 lb\n      contents: 50 lb\n"))
    assert "of the 30 lb" in looked(half, "enough_gas")
    # Followed, it begins with what is in it too.
    gone = 50 * LB - si(half, "gas_left.tank")
    assert gone == pytest.approx(si(of(), "gas_for_the_show"), rel=0.1)


def test_the_steel_of_a_cylinder_gives_heat(of) -> None:  # type: ignore[no-untyped-def]
    bare = of(("      tare: 70 lb\n", ""), (", bath: 80 °F", ""))
    assert si(bare, "liquid_coldest.tank", "low") < si(of((", bath: 80 °F", "")), "liquid_coldest.tank", "low") - 0.02


def test_boil_off_a_little_short_is_found(of, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    short = project(tmp_path, GOOD, ("      height: 48 in", "      height: 36 in"))
    assert findings_of(short, "fuel.boil_off")


def test_boil_off_that_fails_when_followed_is_an_error(tmp_path: Path) -> None:
    small = project(
        tmp_path,
        GOOD,
        ("capacity: 100 lb", "capacity: 3.5 lb"),
        ("diameter: 15 in", "diameter: 6 in"),
        ("height: 48 in", "height: 9 in"),
        ("      tare: 70 lb\n", ""),
        (", bath: 80 °F", ""),
    )
    assert [f.level for f in findings_of(small, "fuel.boil_off")] == ["error"]


def test_a_regulator_wants_its_margin_above_its_setting(of, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    psi = si(of(), "cylinder_pressure_lowest") / PSI - 2
    near = project(
        tmp_path, GOOD, NO_LOCK, ("set: 30 psi\n      highest: 40 psi", f"set: {psi:.1f} psi\n      highest: 90 psi")
    )
    assert [f.message.partition(" ")[0] for f in findings_of(near, "fuel.regulator_supplied")] == ["pr2"]


def test_parts_are_held_to_the_hottest_commercial_propane_and_to_the_highest_setting(of) -> None:  # type: ignore[no-untyped-def]
    judged, _, unseen = looked(of(), "rated_for_supply").partition("; nobody has seen ")
    assert judged == "4 parts against 250 psig"
    assert unseen.startswith("rating of ")
    assert looked(of(("high: 86 °F", "high: 98 °F")), "rated_for_supply").startswith("4 parts against 256 psig")
    assert "up to 44 psig" in looked(of(), "rated_for_setting")  # locked up, at the highest setting


def test_parts_past_a_valve_see_cylinder_pressure_also_where_some_part_cannot_be_read(tmp_path: Path) -> None:
    """Then the zones say nothing: a part that cannot be read may be a regulator."""
    unread = ("    pl: {kind: fitting, form: plug", "    gauge: {kind: gage}\n    pl: {kind: fitting, form: plug")
    low = (
        "capacity: 300 kBTU/h\n      rating: 250 psi\n    h2:",
        "capacity: 300 kBTU/h\n      rating: 200 psi\n    h2:",
    )
    (found,) = findings_of(project(tmp_path, GOOD, unread, low), "fuel.rated_for_supply")
    assert found.message == "pr2 is rated 200 psi, and 250 psi is the least at cylinder pressure"


def test_what_fails_open_is_commercial_propane(tmp_path: Path) -> None:
    (found,) = findings_of(
        project(
            tmp_path,
            GOOD,
            (
                "m2: {kind: fitting, form: manifold, rating: 600 psi}",
                "m2: {kind: fitting, form: manifold, rating: 200 psi}",
            ),
        ),
        "fuel.rated_for_failure",
    )
    assert "218 psig" in found.message


def test_a_relief_valve_is_held_to_its_own_zone(tmp_path: Path) -> None:
    (found,) = findings_of(project(tmp_path, GOOD, ("opens: 60 psi", "opens: 200 psi")), "fuel.relief_setting")
    assert "sv, which it protects, is rated 150 psig" in found.message
    low = project(tmp_path, GOOD, ("opens: 60 psi", "opens: 36 psi"), name="low.yaml")
    assert "37.4 psi would pass" in findings_of(low, "fuel.relief_setting")[0].fix


def test_a_bath_warmer_than_the_air_counts_against_condensing(of) -> None:  # type: ignore[no-untyped-def]
    warm, plain = of(("bath: 80 °F", "bath: 124 °F")), of()
    assert si(warm, "warmest_supply") > 1.1 * si(plain, "warmest_supply")
    assert si(plain, "warmest_supply") == pytest.approx(1.15 * si(plain, "cylinder_pressure_highest"))


def test_the_highest_setting_keeps_its_margin_under_condensing(of) -> None:  # type: ignore[no-untyped-def]
    assert si(of(), "highest_setting.pr1") == pytest.approx((si(of(), "dew_pressure") - 5 * PSI) / 1.2)


# The show


def test_each_night_counts(of) -> None:  # type: ignore[no-untyped-def]
    twice = of(("dates: [2027-06-19]", "dates: [2027-06-19, 2027-06-20]"))
    for key in ("supply_gas.tank", "gas_for_the_show"):
        assert si(twice, key, "usual") == pytest.approx(2 * si(twice, "gas_each_night", "usual"))


def test_the_scene_that_draws_most_counts(of) -> None:  # type: ignore[no-untyped-def]
    two = of(("    dusk:\n", '    calm: {starts: "20:00", lasts: 30 min, steady: [lamp]}\n    dusk:\n'))
    assert si(two, "draw.tank", "usual") == pytest.approx(si(of(), "draw.tank", "usual"), rel=1e-6)


def test_cylinders_needed_are_of_the_smallest_size(of) -> None:  # type: ignore[no-untyped-def]
    small = "    tank_2: {kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in, rating: 240 psi}\n"
    two = of(("    m1: {", small + "    m1: {"), ("  runs:\n", "  runs:\n    more: {from: tank_2, line: [m1]}\n"))
    gas = si(two, "supply_gas.tank")
    assert si(two, "cylinders_needed.tank") == pytest.approx(max(gas / (0.8 * 20 * LB), 1), abs=1)
    long = of(
        ("    m1: {", small + "    m1: {"),
        ("  runs:\n", "  runs:\n    more: {from: tank_2, line: [m1]}\n"),
        ("lasts: 1 h\n", "lasts: 14 h\n"),
    )
    needed = math.ceil(si(long, "supply_gas.tank") / (0.8 * 20 * LB))
    assert needed == si(long, "cylinders_needed.tank") > 2  # more than there are, so that the cold does not count


def test_an_accumulator_is_ready_at_its_share(of) -> None:  # type: ignore[no-untyped-def]
    at_90 = si(of(), "burst_cadence.nozzle", "usual")
    early = of(("plumbing:\n  parts:", "limits:\n  fuel.burst_full: {value: 60 %, who: the test}\nplumbing:\n  parts:"))
    assert si(early, "burst_cadence.nozzle", "usual") < 0.7 * at_90


# What is symmetric: which of two is listed first makes no difference


PR9 = "    pr9: {kind: regulator, set: 30 psi, highest: 40 psi, seat: 3/32 in, rating: 250 psi}\n"


def test_of_two_regulators_into_a_zone_the_one_with_more_ahead_of_it_counts_when_one_fails(tmp_path: Path) -> None:
    """One takes cylinder pressure, the other what a regulator lets stand: 150 psi are too little for the first."""
    patches = (
        ("    relief: {from: x1, line: [rv]}\n", "    second: {from: m2, line: [pr9, x1]}\n"),
        ("    pr2:\n", f"{PR9}    pr2:\n"),
    )
    messages = [f.message for f in findings_of(project(tmp_path, GOOD, *patches), "fuel.rated_for_failure")]
    assert any("sv (150 psi)" in m and "when pr2 fails open" in m for m in messages), messages


@pytest.mark.parametrize(("capacity", "status"), [("300 kBTU/h", "stated"), ("40 kBTU/h", "not checked")])
def test_of_regulators_side_by_side_each_may_come_to_pass_all(tmp_path: Path, capacity: str, status: str) -> None:
    """How they share goes by how each is set, to a fraction of a psi: the network as solved gives pr1 none of it."""
    patches = (
        ("    to_lamp:", "    second: {from: m1, line: [pr9, m2]}\n    to_lamp:"),
        (
            "    pr2:\n",
            "    pr9: {kind: regulator, set: 10 psi, capacity: 99 kBTU/h, rating: 250 psi}\n    pr2:\n",
        ),
        ("      capacity: 300 kBTU/h\n      highest: 20 psi\n", f"      capacity: {capacity}\n      highest: 20 psi\n"),
    )
    result = checked(project(tmp_path, GOOD, *patches), block=OTHERS)
    assert next(r.status for r in result.rules if r.id == "fuel.regulator_capacity") == status
    assert ("how pr1 (40 kBTU/h) and pr9 share 67,100 BTU/h" in looked(result, "regulator_capacity")) == (
        status != "stated"
    )


@pytest.mark.parametrize("of_which", ["pr1", "pr9"])
def test_the_highest_setting_of_each_regulator_that_feeds_an_outlet_is_asked(of, of_which: str) -> None:  # type: ignore[no-untyped-def]
    both = (
        ("    to_lamp:", "    second: {from: m1, line: [pr9, fo9, lamp]}\n    to_lamp:"),
        ("    pr2:\n", f"{PR9}    fo9: {{kind: orifice, bore: 0.01 in, discharge: 0.85, rating: 500 psi}}\n    pr2:\n"),
    )
    lacks = ("set: 30 psi, highest: 40 psi, seat", "set: 30 psi, seat") if of_which == "pr9" else (
        "      capacity: 300 kBTU/h\n      highest: 20 psi\n", "      capacity: 300 kBTU/h\n"
    )  # fmt: skip
    assert of(*both).figure("fuel.section_highest.lamp") is not None
    assert of(*both, lacks).figure("fuel.section_highest.lamp") is None


@pytest.mark.parametrize("before", ["    x1:", "    acc:"])
def test_of_two_stores_that_are_joined_the_higher_counts(of, before: str) -> None:  # type: ignore[no-untyped-def]
    """Whichever is listed first."""
    low = PR9.replace("30 psi", "12 psi").replace("40 psi", "14 psi")
    other = "    acc9: {kind: accumulator, volume: 5 gal, rating: 250 psi}\n"
    joined = of(
        ("    relief: {from: x1", "    second: {from: m1, line: [pr9, acc9, x1]}\n    relief: {from: x1"),
        (before, f"{low}{other}{before}"),
    )
    assert si(joined, "section_highest.nozzle") >= si(of(), "section_highest.nozzle")
