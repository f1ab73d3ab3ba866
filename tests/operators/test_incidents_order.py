"""What is closed first when a burst does not stop: never what its pilot lives on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.procedures import STEPS, Step
from specc.model.result import Result

REEDS = Path(__file__).parents[2] / "sample_projects" / "lantern_reeds" / "project.yaml"


def test_the_cylinders_are_left_until_a_burst_that_stays_open_is_out(complete: Callable[[str], Result]) -> None:
    """The pilot of the burst burns from the same cylinders: shut first, they leave gas to nothing that lights it."""
    steps = [i.item for i in complete("lantern_reeds").items(STEPS.name) if isinstance(i.item, Step)]
    told = next(s.text for s in steps if s.look_for == "a burst does not stop")
    assert told.startswith("STOP, first stop pressed, key out and v2 closed. Everybody back")
    assert "let acc1 burn down over pilot_1; once it is out, or after 30 s, close the cylinders" in told
    first = next(s for s in steps if s.procedure == "emergency" and s.order == 10)
    assert "While nozzle blows v_a, v_b, tank_a and tank_b wait, 30 s at most: they feed pilot_1" in first.text, (
        "one order, whoever calls STOP"
    )
    ahead = next(s for s in steps if s.procedure == "leak" and s.order == 20)
    assert "once nozzle is seen out, or after 30 s, at supply v_a" in ahead.text, "nor is there a wait without an end"
    acts = [(a.action, a.tag) for a in first.acts]
    seen = acts.index(("check", "nozzle"))
    assert acts.index(("disarm", "")) < acts.index(("close", "v2")) < seen
    assert all(acts.index(("close", tag)) > seen for tag in ("v_a", "v_b", "tank_a", "tank_b"))


BY_HAND = """format: 1
project: {id: dev, title: Device, revision: 1, issued: 2027-06-01, summary: trial, makers: [Club]}
event: {name: Night, setting: outdoors, dates: [2027-06-19], hours: 20:00 to 23:30, elevation: 420 ft}
places:
  bed: {at: [0 ft, 0 ft, 3 ft]}
  mast: {at: [10 ft, 20 ft, 9 ft]}
  supply: {at: [40 ft, 0 ft, 1 ft]}
  box: {at: [25 ft, 0 ft, 2 ft]}
people: {ash: {role: lead}, birch: {role: valves}, cedar: {role: spotter}}
effects: {puff: {kind: burst, outlets: [nozzle], at: mast}}
show: {scenes: {a: {title: A, starts: "20:30", lasts: 1 h, bursts: {puff: {times: 3, open: 0.5 s}}}}}
plumbing:
  runs:
    main: [tank_a: {is: 20 lb CGA 791 cylinder, place: supply}, pr1: {is: 1/4 NPT high-pressure regulator, set: 10 psi,
      place: supply}, m1: {is: manifold, ends: [1/4 FNPT, 1/4 FNPT, 1/4 FNPT], place: box}]
    p: [m1, v_p: {is: 1/4 NPT ball valve, place: box}, pilot_1: {is: 1/8 FNPT pilot, place: mast,
      lit_by: {torch: birch}, jets: {count: 2, bore: 1/16 in, discharge: 0.7}}]
    b: [m1, v_f: {is: 1/4 NPT ball valve, place: box}, acc1: {is: 2 gal accumulator, place: box},
      v_b: {is: 1/2 NPT ball valve, place: box}, nozzle: {is: nozzle burner, place: mast, lit_by: {pilot: pilot_1},
      jets: {count: 1, bore: 3/8 in, discharge: 0.7}}]
operators:
  shifts:
    l: {person: ash, role: lead, station: box, hours: 19:45 to 23:30}
    v: {person: birch, role: valve, station: box, hours: 19:45 to 23:30}
    s: {person: cedar, role: spotter, station: bed, hours: 19:45 to 23:30}
"""


def test_a_burst_by_a_hand_valve_has_words_of_its_own_and_its_pilot_shut_last(tmp_path: Path) -> None:
    spec = tmp_path / "project.yaml"
    spec.write_text(BY_HAND, encoding="utf-8")
    result = travel(str(spec), None, Ask(kinds=COMPILE))
    steps = [i.item for i in result.items(STEPS.name) if isinstance(i.item, Step)]
    told = " ".join(f"{s.text} {s.if_not}" for s in steps)
    assert not [word for word in ("key out", "stop pressed", "Stop pressed", "key in", "let go") if word in told]
    fired = next(s for s in steps if s.text.startswith("Burst of puff"))
    assert fired.text == "Burst of puff: open v_b for 0.5 s at most, then shut."
    assert [(a.action, a.who, a.where) for a in fired.acts] == [("fire", "birch", "box")]
    assert any("Disarm: v_b shut" in s.text for s in steps if s.procedure == "pilot_out")
    first, second = sorted((s for s in steps if s.procedure == "emergency" and s.acts), key=lambda s: s.order)[:2]
    assert "v_b" in {a.tag for a in first.acts}
    assert "v_p" not in {a.tag for a in first.acts}, "what lights it, while it may still blow"
    assert [(a.action, a.tag) for a in second.acts] == [("check", "nozzle"), ("close", "v_p")]


POWERED = BY_HAND.replace(
    "v_b: {is: 1/2 NPT ball valve, place: box}, nozzle: {is: nozzle burner, place: mast, lit_by: {pilot: pilot_1}",
    "sv_1: {is: 1/2 NPT solenoid valve, place: box}, nozzle: {is: nozzle burner, place: mast, lit_by: {igniter: spark}",
).replace("acc1: {is: 2 gal accumulator, place: box},\n      ", "")


def test_a_steady_flame_behind_a_powered_valve_is_given_power_and_not_turned_slowly(tmp_path: Path) -> None:
    spec = tmp_path / "project.yaml"
    steady = POWERED.replace("kind: burst", "kind: steady").replace(
        "bursts: {puff: {times: 3, open: 0.5 s}}", "steady: [puff]"
    )
    spec.write_text(steady, encoding="utf-8")
    result = travel(str(spec), None, Ask(kinds=COMPILE))
    steps = [i.item for i in result.items(STEPS.name) if isinstance(i.item, Step)]
    (lit,) = (s for s in steps if s.procedure == "start" and "spark on" in s.text.lower())
    assert "power to its valve" in lit.text
    assert "torch" not in lit.if_not
    assert "its valve without power" in lit.if_not
    out = next(s for s in steps if s.look_for.startswith("a flame is out"))
    assert "nozzle: sv_1 without power and v_f" in out.text


def test_a_battery_is_spoken_of_only_where_one_is_described(tmp_path: Path) -> None:
    spec = tmp_path / "project.yaml"
    for kind, said in (("battery", True), ("mains_supply", False)):
        parts = f"control: {{parts: {{bat: {{kind: {kind}, place: box}}, stop: {{kind: stop, place: box}}}}}}\n"
        spec.write_text(POWERED + parts, encoding="utf-8")
        result = travel(str(spec), None, Ask(kinds=COMPILE))
        steps = [i.item for i in result.items(STEPS.name) if isinstance(i.item, Step)]
        dark = next(s for s in steps if s.look_for == "all is dark")
        assert ("its battery keeps it armed" in dark.text) == said
