"""The fuel's figures on whole specs: what has to hold whatever the numbers are."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from specc.model.result import Result
from specc.testing import Patch, all_but, project, result_of

RULES = Path(__file__).parents[1] / "rules"
FLOW = RULES / "fuel_flow.yaml"
WITHOUT = all_but("plumbing", "fuel")


POUND = 0.45359237


def made(folder: Path, *patches: Patch, base: str | Path = FLOW) -> Result:
    return result_of(project(folder, base, *patches), block=WITHOUT, only=("figure", "figures", "rule", "table"))


def si(result: Result, key: str) -> float:
    figure = result.figure(key)
    assert figure is not None, (key, [f.message for f in result.findings])
    return figure.si


@pytest.fixture(scope="module")
def good() -> Result:
    return result_of(FLOW, block=WITHOUT, only=("figure", "figures", "rule", "table"))


@pytest.fixture(scope="module")
def reeds(complete: Callable[[str], Result]) -> Result:
    return complete("lantern_reeds")


def test_the_order_in_which_parts_are_written_makes_no_difference(tmp_path: Path, good: Result) -> None:
    spec = yaml.safe_load(FLOW.read_text(encoding="utf-8"))
    parts = spec["plumbing"]["parts"]
    spec["plumbing"]["parts"] = dict(reversed(parts.items()))
    spec["plumbing"]["runs"] = dict(reversed(spec["plumbing"]["runs"].items()))
    turned = made(tmp_path, base=yaml.safe_dump(spec, sort_keys=False, allow_unicode=True))
    for figure in good.figures:
        assert si(turned, figure.key) == pytest.approx(figure.si, rel=1e-6, abs=1e-9), figure.key


def test_a_longer_hose_never_raises_a_flow(tmp_path: Path, good: Result) -> None:
    last = si(good, "fuel.flow_together.ring")
    for feet in (60, 200, 900):
        longer = made(
            tmp_path,
            ("length: 30 ft\n      rating: 350 psi\n    v1", f"length: {feet} ft\n      rating: 350 psi\n    v1"),
        )
        now = si(longer, "fuel.flow_together.ring")
        assert now < last
        last = now


def test_a_bigger_jet_never_lowers_its_own_flow(tmp_path: Path, good: Result) -> None:
    bigger = made(tmp_path, ("bore: 0.032 in", "bore: 0.036 in"))
    assert si(bigger, "fuel.flow.ring") > si(good, "fuel.flow.ring")
    assert si(bigger, "fuel.flow_together.lamp") <= si(good, "fuel.flow_together.lamp")


def test_together_is_never_more_than_alone(good: Result, reeds: Result) -> None:
    for result in (good, reeds):
        tags = [f.key.rpartition(".")[2] for f in result.figures if f.key.startswith("fuel.flow_together.")]
        assert len(tags) > 1
        for tag in tags:
            alone = {c.case: c.worked.si for c in result.figure(f"fuel.flow.{tag}").cases}  # type: ignore[union-attr]
            together = result.figure(f"fuel.flow_together.{tag}")
            assert together is not None
            for case in together.cases:
                assert case.worked.si <= alone[case.case] * (1 + 1e-6), (tag, case.case)


def test_the_flow_by_the_orifice_is_that_of_the_network(good: Result) -> None:
    """A lone effect's flow is computed from the solved pressures by the orifice's own equation."""
    one = good.figure("fuel.flow.nozzle")
    assert one is not None
    (symbol, area), *_ = [i for i in one.worked.inputs if i[0] == "A"]
    assert symbol == "A"
    assert one.si > 0 and area.si > 0  # type: ignore[union-attr]  # noqa: PT018


def test_a_ring_fed_from_both_sides_burns_more_evenly(tmp_path: Path) -> None:
    thin: Patch = (
        "wall: 0.040 in\n      rating: 125 psi\n      jets: {count: 36, bore: 1/16 in",
        "wall: 0.18 in\n      rating: 125 psi\n      jets: {count: 36, bore: 3/32 in",
    )
    one = made(tmp_path, thin)
    both = made(
        tmp_path,
        thin,
        (
            "to_ring: {from: m2, line: [t1, fo1, ring]}",
            "to_ring: {from: m2, line: [t1, fo1, t9, ring]}\n    round: {from: t9, line: [t8, ring]}",
        ),
        (
            "    t1: {kind: tube",
            "    t9: {kind: fitting, form: tee, rating: 300 psi}\n"
            "    t8: {kind: tube, outside: 5/8 in, wall: 0.04 in, length: 3 ft, rating: 500 psi}\n    t1: {kind: tube",
        ),
    )
    assert si(one, "fuel.evenness.ring") < si(both, "fuel.evenness.ring") <= 1
    assert both.exit_code == 0
    assert si(both, "fuel.flow.ring") == pytest.approx(si(one, "fuel.flow.ring"), rel=1e-3)


def test_what_is_lit_half_the_time_burns_half_the_gas(tmp_path: Path, good: Result) -> None:
    half = made(
        tmp_path,
        ("      bursts:\n", "      cues:\n        - {after: 30 min, out: [glow, lamp]}\n      bursts:\n"),
        ("puff: {times: 10,", "puff: {times: 0,"),
    )
    none = made(tmp_path, ("puff: {times: 10,", "puff: {times: 0,"))
    assert si(half, "fuel.scene_gas.dusk") == pytest.approx(si(none, "fuel.scene_gas.dusk") / 2, rel=1e-9)
    assert si(half, "fuel.gas_left.tank") > si(none, "fuel.gas_left.tank") > si(good, "fuel.gas_left.tank")


def table(result: Result, key: str) -> list[tuple[str, ...]]:
    return [row.cells for row in dict(result.tables)[key].rows]  # type: ignore[attr-defined]


def test_the_nights_burn_what_the_scenes_do(reeds: Result) -> None:
    """Where the supply holds, the two ways of counting agree but for the bursts: one begins them at lock-up, the other
    feeds them as at their end. As printed."""
    total = float(table(reeds, "fuel.gas_by_effect")[-1][-1].split()[0])
    assert total == pytest.approx(si(reeds, "fuel.gas_for_the_show") / POUND, rel=0.02)
    assert total <= round(si(reeds, "fuel.gas_for_the_show") / POUND, 1)


def test_gas_is_conserved_over_the_nights(reeds: Result) -> None:
    left, burned = si(reeds, "fuel.gas_left.tank_a"), float(table(reeds, "fuel.gas_by_effect")[-1][-1].split()[0])
    filled = 0.1  # lb that stands in the accumulator at the end
    assert left / POUND + burned == pytest.approx(200, abs=filled + 0.2)
    for figure in reeds.figures:
        for case in figure.cases:
            for symbol, value in case.worked.also:
                if symbol in ("e_m", "e_h"):
                    assert abs(value) < 1e-6, figure.key


def test_colder_air_leaves_less_pressure_and_more_butane_a_lower_dew(tmp_path: Path, good: Result) -> None:
    cold = made(tmp_path, ("low: 50 °F", "low: 30 °F"), (", bath: 80 °F", ""))
    warm = made(tmp_path, (", bath: 80 °F", ""))
    assert (
        si(cold, "fuel.supply_lowest.tank") < si(warm, "fuel.supply_lowest.tank") < si(good, "fuel.supply_lowest.tank")
    )


def test_tolerances_reach_the_gas_of_the_show(tmp_path: Path) -> None:
    # Without its bath the cylinder is coldest at the end of the show, and not when the accumulator is filled before it.
    spec = project(tmp_path, FLOW, ("bore: 0.032 in", "bore: 0.032 in ± 0.002 in"), (", bath: 80 °F", ""))
    result = result_of(spec, block=WITHOUT, tolerance=True)
    for key in ("fuel.gas_for_the_show", "fuel.flow.ring", "fuel.gas_left.tank", "fuel.supply_lowest.tank"):
        figure = result.figure(key)
        assert figure is not None
        assert figure.low is not None and figure.high is not None, key  # noqa: PT018
        assert figure.low < figure.si < figure.high
        assert figure.movers[0].at == "/plumbing/parts/fo1/bore"


def test_spares_are_changed_in_and_the_time_is_told(tmp_path: Path) -> None:
    changed = made(
        tmp_path,
        ("bath: 80 °F}", "bath: 80 °F, changes: true}"),
        ("lasts: 1 h", "lasts: 6 h"),
        ("capacity: 100 lb\n      diameter: 15 in", "capacity: 23.5 lb\n      diameter: 15 in"),
        (
            "    m1: {kind",
            "    spare_1: {kind: cylinder, spare: true, capacity: 23.5 lb, diameter: 15 in, "
            "height: 48 in, tare: 70 lb, rating: 240 psi}\n    m1: {kind",
        ),
    )
    words = [cells[-1] for cells in table(changed, "fuel.events")]
    assert "tank changed for spare_1" in words
    assert not [f for f in changed.findings if f.rule in ("fuel.down_to_reserve", "plumbing.connected")]


def test_a_burst_at_the_first_moment_finds_its_accumulator_filled(tmp_path: Path, good: Result) -> None:
    """Filling is a step before the first scene; its gas still comes out of the cylinder."""
    times = ("      bursts:\n        puff: {times: 10, open: 0.5 s}", "      cues: [%s]")
    bursts = [f"{{after: {6 * n} min, burst: puff, open: 0.5 s}}" for n in range(10)]
    first = made(tmp_path, (times[0], times[1] % ", ".join(bursts)))
    assert "fuel.bursts_strong" not in {f.rule for f in first.findings}
    assert si(first, "fuel.gas_left.tank") == pytest.approx(si(good, "fuel.gas_left.tank"), rel=1e-4)
    close = [f"{{after: {n} s, burst: puff, open: 0.5 s}}" for n in range(10)]
    (tmp_path / "b").mkdir()
    too_close = made(tmp_path / "b", (times[0], times[1] % ", ".join(close)))
    (weak,) = (f.message for f in too_close.findings if f.rule == "fuel.bursts_strong")
    assert weak.startswith("9 of the 10 bursts")  # the first alone finds it full
