"""Each supply by itself: cylinders joined by pipe are one, and what two give together excuses neither."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from specc.model.result import Result
from specc.testing import Patch, checked, findings_of, project

GOOD = Path(__file__).parent.parent / "rules" / "materials.yaml"
END = "    main: {from: tank, line: [pr1, bush, h1, n1, v1, clamp, fo1, riser, slit]}"
OTHER = (
    "    slit:\n",
    "    tank_2: {kind: cylinder, capacity: 5 lb, diameter: 8 in, height: 13 in, tare: 7 lb, rating: 250 psi}\n"
    "    pr2: {kind: regulator, set: 10 psi, highest: 30 psi, rating: 250 psi}\n"
    "    fo2: {kind: orifice, bore: 0.055 in, discharge: 0.8, rating: 250 psi}\n"
    "    bar_2: {kind: burner, form: stem, rating: 125 psi, jets: {count: 1, width: 0.05 in, length: 3 in, "
    "discharge: 0.7}}\n    slit:\n",
)
APART: Patch = (END, END + "\n    second: {from: tank_2, line: [pr2, fo2, bar_2]}")
LIT: Patch = ("outlets: [slit]", "outlets: [slit, bar_2]")


def gas(result: Result, key: str) -> float:
    figure = result.figure(key)
    assert figure is not None, key
    return figure.si


def test_a_small_supply_fails_beside_a_large_one(tmp_path: Path) -> None:
    spec = project(tmp_path, GOOD, OTHER, APART, LIT)
    result = checked(spec)
    # Together they hold plenty.
    assert gas(result, "fuel.gas_for_the_show") < 0.8 * gas(result, "fuel.gas_on_site")
    assert [f.message for f in findings_of(spec, "fuel.enough_gas") if "tank_2" in f.message]
    assert [f.message for f in findings_of(spec, "fuel.boil_off") if "tank_2" in f.message]
    assert not [f.message for f in findings_of(spec, "fuel.enough_gas") if "of tank " in f.message]
    # No figure stands that the show as followed refutes.
    assert result.figure("fuel.run_time.tank_2") is None
    assert result.figure("fuel.cylinders_needed.tank_2") is None


STORE = Path(__file__).with_name("steady_store.yaml")


PILOT = (
    (
        "    acc: {",
        "    x: {kind: fitting, form: tee, rating: 250 psi}\n"
        "    fp: {kind: orifice, bore: 0.02 in, discharge: 0.8, rating: 250 psi}\n"
        "    p: {kind: pilot, form: stem, jets: {count: 4, bore: 1/16 in, discharge: 0.7}}\n    acc: {",
    ),
    ("line: [pr, fo, acc, v, lamp]}", "line: [pr, x, fo, acc, v, lamp]}\n    side: {from: x, line: [fp, p]}"),
)


def test_a_pilot_is_followed_all_through_the_scenes(tmp_path: Path) -> None:
    """Its hour is missing from what is left, and the simulated show draws it as it draws the rest."""
    bare = checked(project(tmp_path, STORE))
    lit = checked(project(tmp_path, STORE, *PILOT))
    burned = 3600 * gas(lit, "fuel.flow.p")
    assert gas(bare, "fuel.gas_left.tank") - gas(lit, "fuel.gas_left.tank") == pytest.approx(burned, rel=0.02)


def test_all_accumulators_that_a_lamp_draws_down_are_counted(tmp_path: Path) -> None:
    """One on a branch before its jets as well as the one in the line."""
    branch = (
        ("    acc: {", "    x: {kind: fitting, form: tee, rating: 250 psi}\n"
         "    aside: {kind: accumulator, volume: 3 gal, rating: 250 psi}\n    acc: {"),
        ("line: [pr, fo, acc, v, lamp]}", "line: [pr, fo, acc, x, v, lamp]}\n    side: {from: x, line: [aside]}"),
    )  # fmt: skip
    one, both = checked(project(tmp_path, STORE)), checked(project(tmp_path, STORE, *branch))
    assert gas(both, "fuel.drawn_down.lamp") == pytest.approx(8 / 5 * gas(one, "fuel.drawn_down.lamp"), rel=0.01)


def test_the_supplies_together_give_what_is_burned(tmp_path: Path) -> None:
    feed: Patch = (END, END + "\n    second: {from: tank_2, line: [pr2, fo2, slit]}")
    for patches in ((OTHER, APART, LIT), (OTHER, feed)):
        result = checked(project(tmp_path, GOOD, *patches))
        both = gas(result, "fuel.supply_gas.tank") + gas(result, "fuel.supply_gas.tank_2")
        assert both == pytest.approx(gas(result, "fuel.gas_for_the_show"), rel=1e-6)
        assert gas(result, "fuel.supply_gas.tank_2") > 0


def test_cylinders_joined_by_pipe_are_one_supply(tmp_path: Path) -> None:
    joined: Patch = (
        END,
        END.replace("tank, line: [pr1", "tank, line: [t0, pr1") + "\n    second: {from: tank_2, line: [t0]}",
    )
    tee: Patch = ("    slit:\n", "    t0: {kind: fitting, form: tee, rating: 300 psi}\n    slit:\n")
    result = checked(project(tmp_path, GOOD, OTHER, tee, joined))
    assert gas(result, "fuel.supply_gas.tank") == pytest.approx(gas(result, "fuel.gas_for_the_show"))
    assert result.figure("fuel.supply_gas.tank_2") is None


def test_one_effect_fed_by_two_supplies_is_followed(tmp_path: Path) -> None:
    feed: Patch = (END, END + "\n    second: {from: tank_2, line: [pr2, fo2, slit]}")
    spec = project(tmp_path, GOOD, OTHER, feed)
    assert not findings_of(spec, "fuel.over_time")
    result = checked(spec)
    for tag in ("tank", "tank_2"):
        assert gas(result, f"fuel.gas_left.{tag}") > 0


def test_one_cylinder_that_holds_gas_enough_but_freezes_is_not_all_that_is_needed(tmp_path: Path) -> None:
    """Of two that share a draw, one alone has gas for the show, and falls short of it in the cold."""
    second = "tank_2: {kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in, tare: 18 lb, rating: 250 psi}"
    two: tuple[Patch, ...] = (
        ("    slit:\n", f"    {second}\n    t0: {{kind: fitting, form: tee, rating: 300 psi}}\n    slit:\n"),
        (END, END.replace("tank, line: [pr1", "tank, line: [t0, pr1") + "\n    second: {from: tank_2, line: [t0]}"),
        ("dates: [2027-06-19, 2027-06-20]", "dates: [2027-06-19]"),
        ("low: 50 °F", "low: 30 °F"),
        ("lasts: 1 h", "lasts: 2 h"),
        ("bore: 0.028 in", "bore: 0.040 in"),
    )
    result = checked(project(tmp_path, GOOD, *two))
    assert gas(result, "fuel.supply_gas.tank") < 0.8 * 20 * 0.45359237
    assert gas(result, "fuel.cylinders_needed.tank") == 2
    one = project(tmp_path, GOOD, *two[2:])
    assert findings_of(one, "fuel.supply_holds")
    assert checked(one).figure("fuel.cylinders_needed.tank") is None


def test_as_many_are_needed_as_boil_off_asks_at_the_reserve(tmp_path: Path) -> None:
    """One of two carries a short show from full, and not from its reserve: two are not more than needed."""
    second = "tank_2: {kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in, tare: 18 lb, rating: 250 psi}"
    two: tuple[Patch, ...] = (
        ("    slit:\n", f"    {second}\n    t0: {{kind: fitting, form: tee, rating: 300 psi}}\n    slit:\n"),
        (END, END.replace("tank, line: [pr1", "tank, line: [t0, pr1") + "\n    second: {from: tank_2, line: [t0]}"),
        ("bore: 0.028 in", "bore: 0.040 in"),
    )
    result = checked(project(tmp_path, GOOD, *two))
    assert not {"fuel.boil_off", "fuel.no_more_than_needed"} & {f.rule for f in result.findings}
    assert gas(result, "fuel.cylinders_needed.tank") == 2


def test_no_run_time_where_the_cylinder_freezes_before_its_gas_ends(tmp_path: Path) -> None:
    """A cylinder carries a short show; at its reserve, in still air, it does not give that draw."""
    result = checked(project(tmp_path, GOOD, ("bore: 0.028 in", "bore: 0.042 in")))
    assert result.figure("fuel.run_time.tank") is None
    assert "fuel.boil_off" in {f.rule for f in result.findings}
    assert result.figure("fuel.cylinders_needed.tank") is None  # "1 needed" would stand beside an error that asks more
    assert gas(checked(GOOD), "fuel.run_time.tank") > 3600


LONG: tuple[Patch, ...] = (
    ("lasts: 1 h", "lasts: 6 h"),
    ("bore: 0.028 in", "bore: 0.050 in"),
    ("low: 50 °F", "low: 30 °F"),
)


def cylinders(folder: Path, number: int) -> Path:
    """So many alike, drawn from together, for a long show with a large flame."""
    folder.mkdir()
    alike = "kind: cylinder, capacity: 20 lb, diameter: 12.5 in, height: 18 in, tare: 18 lb, rating: 250 psi"
    parts = "".join(f"    more_{i}: {{{alike}}}\n" for i in range(1, number))
    runs = "".join(f"\n    r_{i}: {{from: more_{i}, line: [t0]}}" for i in range(1, number))
    joined: Patch = (END, END.replace("tank, line: [pr1", "tank, line: [t0, pr1") + runs)
    tee = "    t0: {kind: fitting, form: manifold, rating: 300 psi}\n"
    return project(folder, GOOD, *LONG, ("    slit:\n", f"{parts}{tee}    slit:\n"), joined)


@pytest.mark.parametrize(("rule", "said"), [("fuel.boil_off", r"(\d+) such"), ("fuel.enough_gas", r"(\d+) more")])
def test_as_many_cylinders_as_the_finding_asks_for_end_it(tmp_path: Path, rule: str, said: str) -> None:
    (one,) = findings_of(cylinders(tmp_path / "one", 1), rule)
    asked = re.match(said, one.fix)
    assert asked is not None, one.fix
    number = int(asked[1]) + (rule == "fuel.enough_gas")
    assert number > 1
    assert not findings_of(cylinders(tmp_path / "enough", number), rule)
    assert number == 2 or findings_of(cylinders(tmp_path / "fewer", number - 1), rule)


def test_what_is_kept_in_store_counts_as_gas_on_site(tmp_path: Path) -> None:
    bare = gas(checked(GOOD), "fuel.gas_on_site")
    text = GOOD.read_text(encoding="utf-8")
    kept = tmp_path / "kept.yaml"
    kept.write_text(text + "\nsite: {stores: {spare: {place: cage, count: 3, each: 20 lb}}}\n", encoding="utf-8")
    result = checked(kept)
    assert gas(result, "fuel.gas_on_site") == pytest.approx(bare + 3 * 20 * 0.45359237)


def test_what_is_kept_in_store_is_more_than_the_show_needs(tmp_path: Path) -> None:
    """ "2 cylinders, 2 needed" passed beside two more in a cage."""
    text, rule = GOOD.read_text(encoding="utf-8"), "fuel.no_more_than_needed"
    for count, said in ((3, "3 cylinders stand in store (spare), "), (1, "1 cylinder stands in store (spare), ")):
        kept = tmp_path / f"{count}.yaml"
        kept.write_text(
            text + f"\nsite: {{stores: {{spare: {{place: cage, count: {count}, each: 20 lb}}}}}}\n", "utf-8"
        )
        assert any(f.message.startswith(said) for f in findings_of(kept, rule))
    empty = tmp_path / "empty.yaml"
    empty.write_text(text + "\nsite: {stores: {spare: {place: cage, count: 0, each: 20 lb}}}\n", "utf-8")
    assert not [f for f in findings_of(empty, rule) if "in store" in f.message]


def test_the_show_s_own_cylinders_in_store_are_counted_once_and_are_no_more_than_are_connected(tmp_path: Path) -> None:
    text, bare = GOOD.read_text(encoding="utf-8"), gas(checked(GOOD), "fuel.gas_on_site")
    own = "\nsite: {stores: {cage: {place: cage, count: %d, each: 20 lb, of_the_show: true}}}\n"
    connected = len(re.findall(r"kind: cylinder", text))
    for count, found in (
        (connected, []),
        (connected + 1, [f"{connected + 1} cylinders of the show are in store (cage)"]),
    ):
        kept = tmp_path / f"{count}.yaml"
        kept.write_text(text + own % count, encoding="utf-8")
        result = checked(kept)
        assert gas(result, "fuel.gas_on_site") == pytest.approx(bare)
        told = [f.message for f in result.findings if f.rule == "fuel.no_more_than_needed" and "in store" in f.message]
        assert [t.partition(" between")[0] for t in told] == found
