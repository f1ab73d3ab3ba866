"""The procedures of a night, done step by step by a simulator of its own, on every sample and on random plumbing."""

from __future__ import annotations

import itertools
import math
import re
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent))

from night_simulator import Plant, Wrong, of_night

from specc import Table
from specc.drawing.shapes import Text
from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.faults import Closing
from specc.kinds.plumbing import Network, Part
from specc.kinds.procedures import STEPS, Act, Step
from specc.kinds.show import Lit, Shot, Stretch, Timeline
from specc.measure.units import FOOT
from specc.model.blocks import Para
from specc.model.values import Quantity
from specc.model.view import View
from specc_operators import air_test, leaks, shutdown
from specc_operators.after_stop import LET_DOWN
from specc_operators.clouds import beside, not_where_smelled, one_cloud
from specc_operators.crew import Crew, Hand
from specc_operators.device import Device, flow_order
from specc_operators.during import hold
from specc_operators.each_valve import in_series
from specc_operators.filling import heavy
from specc_operators.firing import second_eye
from specc_operators.in_words import listed
from specc_operators.incidents import hoses_shut, incidents
from specc_operators.lighting import _read_beside
from specc_operators.procedures import night as plan
from specc_operators.rows import second_of
from specc_operators.start_up import lines_after, start_up
from specc_operators.tests_told import AirTest
from specc_plumbing.closing_order import emergency, leak_upstream, normal
from specc_plumbing.network import network_of

SAMPLES = Path(__file__).parents[2] / "sample_projects"


def through(plant: Plant, steps: list[Step], nights: tuple[str, ...] = ("first", "later")) -> None:
    """All nights, one after the other on the same plant."""
    for name in nights:
        plant.night()
        plant.run(of_night(steps, "start", name))
        if plant.armed:
            plant.run(of_night(steps, "firing", name))
        for change in of_night(steps, "scene_change", name):
            plant.run([change])
            if plant.armed:
                plant.run(of_night(steps, "firing", name))
        plant.run(of_night(steps, "stop", name))
        plant.at_rest()


# ---------------------------------------------------------------- the samples

CATCH = """
from specc import *
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.procedures import VISITS
from specc.kinds.faults import SHUT_IN
SPECC_CONTRACT = 2
GOT = Gathered("catch.network", object)
class Got:
    order = 0
    def __init__(self, net, places, visits, shut_in):
        self.net, self.places, self.visits, self.shut_in = net, places, visits, shut_in
@gather(GOT, needs=(NETWORK, PLACES, VISITS, SHUT_IN))
def got(ctx):
    return (Got(ctx[NETWORK], dict(ctx[PLACES]), ctx[VISITS], ctx[SHUT_IN]),)
@section("catch", title="Catch", order=99, needs=(GOT,))
def caught(ctx):
    return [Para("caught")]
@hookimpl
def specc_passes():
    return [got, caught]
"""


class Sample:
    def __init__(
        self, name: str, folder: Path, *edits: tuple[str, str], file: str = "project.yaml", spec: Path | None = None
    ) -> None:
        plugin = folder / "catch.py"
        plugin.write_text(CATCH, encoding="utf-8")
        spec = spec or SAMPLES / name / "project.yaml"
        text = spec.with_name(file).read_text(encoding="utf-8")
        for old, new in edits:
            assert old in text
            text = text.replace(old, new)
        instead = ((str(spec.with_name(file)), text.encode()),) if edits else ()
        self.result = travel(str(spec), None, Ask(kinds=COMPILE, plugin_files=(str(plugin),), instead=instead))
        (item,) = self.result.items("catch.network")
        self.net, self.places, self.visits = item.item.net, item.item.places, item.item.visits  # type: ignore[attr-defined]
        self.shut_in = item.item.shut_in  # type: ignore[attr-defined]
        self.steps = [i.item for i in self.result.items(STEPS.name) if isinstance(i.item, Step)]


@pytest.fixture(scope="module", params=["garden_brazier", "lantern_reeds"])
def sample(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Sample:
    return Sample(request.param, tmp_path_factory.mktemp("catch"))


CREWS = {
    "garden_brazier": {},
    "lantern_reeds": {
        "alder": "box", "birch": "box", "cedar": "box", "dogwood": "supply", "elm": "rope", "fir": "west",
    },
}  # fmt: skip
# Where outlets stand that their parts do not say, and the desk.
LIES = {
    "garden_brazier": {"ring": "bowl"},
    "lantern_reeds": {**{f"stem_{n}": f"bed_{n}" for n in range(1, 6)}, "pilot_1": "mast", "nozzle": "mast"},
}


def plant_of(sample: Sample) -> Plant:
    name = sample.result.project_id
    bursts = {"nozzle": "wisp"} if name == "lantern_reeds" else {}
    heavy = ("tank_a", "tank_b") if name == "lantern_reeds" else ()
    plant = Plant(sample.net, bursts, CREWS[name], LIES[name], watchers=("elm", "fir"), desk="desk", heavy=heavy)
    plant.callers = {"hazel"} if name == "lantern_reeds" else set()
    return plant


def test_a_sample_is_run_through_its_nights_as_the_steps_say(sample: Sample) -> None:
    through(plant_of(sample), sample.steps)
    looked_at_by_another(sample.steps)


def looked_at_by_another(steps: list[Step]) -> None:
    """At a night's end a valve is touched by somebody who did not shut it."""
    stop = of_night(steps, "stop", "first")
    shut = {(a.tag, a.who) for s in stop for a in s.acts if a.action in ("close", "bleed") and a.who}
    seen = {(a.tag, a.who) for s in stop for a in s.acts if a.action == "check"}
    assert seen
    assert not seen & shut


def test_a_pause_with_gas_off_is_shut_down_and_started_up_act_by_act(tmp_path: Path) -> None:
    """Other flames burn after it than when the night began, and the burst is armed again."""
    paused = Sample(
        "lantern_reeds", tmp_path, ("lasts: 1 h 15 min\n", "lasts: 1 h 15 min\n      gas_off_after: true\n")
    )
    changes = of_night(paused.steps, "scene_change", "first")
    off = next(n for n, s in enumerate(changes) if s.text.startswith("Gas off"))
    plant = plant_of(paused)
    plant.run([*of_night(paused.steps, "start", "first"), *changes[: off + 1]])
    plant.at_rest()
    assert not plant.outlets(plant.gas())
    plant.run([changes[off + 1]])
    assert plant.armed
    assert plant.flame == {"stem_1", "stem_3", "stem_5", "pilot_1"}
    through(plant_of(paused), paused.steps)


def test_nothing_burns_where_somebody_is_sent_but_what_the_visit_says(sample: Sample) -> None:
    """The simulator's flames at each act are among those that the heat at that place is computed from."""
    visits: dict[tuple[str, str], set[str]] = {}
    for v in sample.visits:
        visits.setdefault((v.step, v.place), set()).update(v.burning, v.lighting)
    plant, looked = plant_of(sample), 0
    for procedure, words in (("start", "start-up"), ("scene_change", "scene change"), ("stop", "normal shutdown")):
        numbers = {id(s): n for n, s in enumerate([s for s in sample.steps if s.procedure == procedure], 1)}
        for step in of_night(sample.steps, procedure, "first"):
            for act in step.acts:
                said = visits.get((f"{words}, step {numbers[id(step)]}", act.where), set())
                burns = plant.flame | ({*plant.bursts} if plant.armed else set())
                if act.where and act.action not in ("arm", "disarm", "switch_off"):
                    assert burns <= said, (step.text, act, burns - said)
                    looked += bool(burns)
                plant.do(act)
            plant.waiting.clear()
            plant.purging.clear()
            plant.watched.clear()
    assert looked > 1


def test_whatever_is_done_when_the_emergency_comes_no_gas_is_left_at_an_outlet(sample: Sample) -> None:
    """After each step of the night that goes well, everybody does what the emergency and the leak steps say."""
    nightly = [*of_night(sample.steps, "start", "first"), *of_night(sample.steps, "scene_change", "first")]
    for procedure, n in itertools.product(("emergency", "leak"), range(0, len(nightly) + 1, 3)):
        plant = plant_of(sample)
        plant.run(nightly[:n])
        plant.burst_open = {*plant.bursts} if plant.armed else set()
        own = of_night(sample.steps, procedure, "first")
        if procedure == "leak":
            cylinders_first(plant, own)
        for step in own:
            plant.backed.clear()  # "turned in if backed off"
            plant.carrier = plant.carrier or "alder"  # who has the detector from the first step on
            plant.run([but_empty(plant, step)], at_once=procedure == "emergency")
        left = plant.outlets(plant.gas()) if procedure == "emergency" else []
        assert not left, (n, left)
        assert not [t for t in plant.open if plant.part[t].kind == "cylinder"]
        hand = [t for t in plant.open if plant.part[t].kind == "valve" and plant.part[t].form in ("ball", "needle")]
        assert not {*hand} - {"v_d"}, (procedure, n, hand)  # a bleed with its plug in stops nothing
        assert not plant.armed


def cylinders_first(plant: Plant, steps: list[Step]) -> None:
    """Ahead of the outlets' valves nothing else stops a leak."""
    first = next(s for s in steps if any(a.action == "close" for a in s.acts))
    shut = {a.tag for a in first.acts if a.action == "close"}
    assert {t for t, p in plant.part.items() if p.kind == "cylinder" and plant.next_of.get(t)} <= shut, first.text


@pytest.mark.parametrize("procedure", ["emergency", "leak", "hold"])
def test_whatever_ended_a_night_its_lines_are_let_out_before_a_cylinder_is_taken_off(
    sample: Sample, procedure: str
) -> None:
    steps = of_night(sample.steps, procedure, "first")
    out = next(a.tag for s in of_night(sample.steps, "emergency", "first") for a in s.acts if a.action == "open")
    for left_out in (False, True):
        plant = plant_of(sample)
        plant.run([*of_night(sample.steps, "start", "first"), *of_night(sample.steps, "scene_change", "first")])
        own = [but_empty(plant, s) for s in steps]
        kept = [of_acts(s, [a for a in s.acts if a.action != "open" or not left_out]) for s in own]
        if left_out:
            with pytest.raises(Wrong, match="is taken off with gas under pressure in"):
                plant.run(kept)
            continue
        plant.run(kept)
        assert out
        assert not plant.connected, "the night is over: cylinders off"
        assert not plant.open - plant.bleeds()
        assert not plant.charged
        valves = {t for t in plant.part if plant.closes(t)}
        assert valves == {a.tag for s in own for a in s.acts if a.action == "check"} & valves, "each is touched"
        assert [a for s in own for a in s.acts if a.action == "watch" and not a.tag], "and the fire watch kept"


def test_all_that_a_stop_shuts_in_is_let_out_by_the_steps(sample: Sample) -> None:
    """Each piece of the table of what stays charged, with every hand valve shut: the two were worked out apart."""
    pieces = [p for p in sample.shut_in if p.procedure == "emergency"]
    assert pieces
    steps = [s for s in of_night(sample.steps, "emergency", "first") if s.order >= LET_DOWN]
    plant = plant_of(sample)
    plant.open.clear()
    held = {t for piece in pieces for t, _ in piece.zones}
    plant.pressed, plant.charged = set(held), {t for t in held if plant.part[t].kind == "accumulator"}
    for act in (a for s in steps for a in s.acts if a.action in ("open", "close", "bleed")):
        plant.do(act)
    assert not held & plant.pressed


def test_a_cylinder_that_does_not_shut_is_never_taken_off(sample: Sample) -> None:
    offs = [s for s in sample.steps if any(a.action == "disconnect" for a in s.acts)]
    assert {s.procedure for s in offs} == {"stop", "cylinder_change", "emergency", "leak", "hold"}
    offs = [s for s in offs if s.procedure not in ("leak", "hold")]  # they name the step of an emergency
    told = ("One not shut stays connected", "cylinders off but one that does not shut")
    assert all(any(words in s.if_not or words in s.text for words in told) for s in offs)


def test_a_pilot_that_goes_out_is_not_lit_by_torch_beside_a_charged_burst(sample: Sample) -> None:
    plant = plant_of(sample)
    plant.run(of_night(sample.steps, "start", "first"))
    again = of_night(sample.steps, "pilot_out", "first")
    assert bool(again) == (sample.result.project_id == "lantern_reeds")
    if again:
        plant.run([s for s in of_night(sample.steps, "scene_change", "first") if s.moment == "21:00"])
        assert plant.armed
        plant.flame.discard("pilot_1")
        plant.out.add("pilot_1")
        plant.run(again)
        assert not plant.armed
        assert again[-2].text.startswith(
            "Nothing is lit at nozzle while acc1 is charged, and nobody goes there: normal"
        )
        assert again[-1].text.startswith("Once it is let down, 5 min later: the gas detector reads nothing")
        assert not any("nothing near pilot_1" in step.text for step in again), "nobody looks for a cause beside it"


def test_in_a_hold_all_is_shut_and_a_charged_vessel_is_not_fired_down_later(sample: Sample) -> None:
    plant = plant_of(sample)
    plant.run([*of_night(sample.steps, "start", "first"), *of_night(sample.steps, "scene_change", "first")])
    hold = of_night(sample.steps, "hold", "first")
    plant.burst_open, plant.thunder = {*plant.bursts}, True
    for step in hold:
        plant.run([step])
        plant.flame -= plant.dying  # what was shut at the cylinders alone
    assert not plant.armed
    assert not plant.outlets(plant.gas())
    assert not [t for t in plant.open if plant.part[t].kind in ("cylinder", "valve") and t != "v_d"]
    vessels = [p for p in plant.part.values() if p.kind == "accumulator"]
    told = "with every flame and pilot out, and no thunder, it is let down by v_d, as in step 6 there"
    assert any(told in step.text for step in hold) == bool(vessels)
    assert ("acc1 stays charged: nobody near nozzle" in hold[0].text) == bool(vessels), "what is left charged is named"
    assert [a.action for a in hold[0].acts[-2:]] == ["leave", "wait"], "nobody stays in thunder"
    assert not plant.charged
    assert not any("normal shutdown." in step.text for step in hold), "all that it shuts is shut"


def test_a_vessel_let_down_each_night_is_filled_and_vented_before_any_flame_of_the_next(sample: Sample) -> None:
    steps = of_night(sample.steps, "start", "later")
    acts = [act for step in steps for act in step.acts]
    lights = [n for n, act in enumerate(acts) if act.action == "light"]
    bleeds = [n for n, act in enumerate(acts) if act.action == "bleed"]
    assert lights
    assert (len(bleeds) == 2) == (sample.result.project_id == "lantern_reeds")
    assert all(n < min(lights) for n in bleeds)


# ---------------------------------------------------------------- the simulator sees what goes wrong


def without(steps: list[Step], procedure: str, action: str, tag: str = "") -> list[Step]:
    """The same steps, with one sort of act left out of one procedure."""
    made = []
    for step in steps:
        acts = [a for a in step.acts if step.procedure != procedure or a.action != action or (tag and a.tag != tag)]
        made.append(of_acts(step, acts))
    return made


def of_acts(step: Step, acts: list[Act]) -> Step:
    first = acts[0] if acts else Act("")
    return step._replace(action=first.action, tag=first.tag, who=first.who, where=first.where, more=tuple(acts[1:]))


@pytest.mark.parametrize(
    ("procedure", "action", "tag", "says"),
    [
        ("start", "light", "stem_3", "unlit at stem_3"),
        ("scene_change", "watch", "g1", "nobody (watches|reads|else reads)"),
        ("start", "close", "v_d", "which lets gas out, is not shut"),
        ("start", "wait", "", "nobody (let blow away|read the gas detector)"),
        ("start", "read", "", "nobody reads the detector there"),
        ("scene_change", "check", "pilot_1", "or nobody saw it"),
        ("start", "light", "pilot_1", "unlit at pilot_1"),
        ("start", "close", "v_a", "v_a is opened and was open"),  # regulators are backed off: no gas gets past them
        ("start", "screw_out", "", "nobody backed it off"),
        ("start", "screw_in", "pr1", "no gas stands there"),
        ("start", "watch", "g2", "nobody reads"),
        ("start", "purge", "stem_1", "unlit at stem_1"),
        ("start", "key_in", "", "sv_2 gets no power"),
        ("start", "key_out", "", "made ready for air with gas on or the key in"),
        ("start", "connect", "", "not connected"),
        ("scene_change", "arm", "", "without power"),
        ("scene_change", "disarm", "", "fired and no gas comes"),
        ("scene_change", "open", "v2", "no gas comes"),
        ("start", "open", "v_d", "no gas flowing"),
        ("start", "carry", "", "nobody has the gas detector"),
        ("start", "pull", "sv_1", "it is there already"),
        ("stop", "wait", "", "nobody who calls for help stays"),
        ("stop", "close", "v2", "filled up again"),
        ("stop", "close", "tank_a", "watches for embers while"),
        ("stop", "disarm", "", "armed True"),
        ("start", "soap", "v_p", "nobody soaped"),
        ("start", "soap", "stem_2", "nobody soaped .* with gas tonight"),
        ("start", "soap", "pilot_1", "nobody soaped .* with gas tonight"),
        ("start", "air_out", "v_d", "undone with air under pressure"),
        ("start", "put_as_was", "sv_2", "is not put back"),
        ("start", "check", "sv_1", "nobody beside it felt it open"),
        ("start", "soap", "sv_1", "nobody soaped"),
        ("start", "watch", "g1", "nobody (watches|reads)"),
        ("start", "check", "g1", "nobody saw"),
        ("start", "check", "v2", "nobody saw"),
        ("start", "bleed", "", "beside a charged burst"),
        ("start", "look", "nozzle", "nobody looked at the joints before nozzle"),
        ("start", "look", "stem_2", "nobody looked at the joints before stem_2"),
        ("scene_change", "fire", "", "while acc1 is charged"),
        ("scene_change", "check", "v2", "nobody saw"),
    ],
)
def test_the_simulator_sees_an_act_that_is_missing(
    procedure: str, action: str, tag: str, says: str, tmp_path: Path, by_eye: Sample
) -> None:
    with pytest.raises(Wrong, match=says):
        through(plant_of(by_eye), without(by_eye.steps, procedure, action, tag))


@pytest.fixture(scope="module")
def reeds(tmp_path_factory: pytest.TempPathFactory) -> Sample:
    return Sample("lantern_reeds", tmp_path_factory.mktemp("reeds"))


@pytest.fixture(scope="module")
def by_eye(tmp_path_factory: pytest.TempPathFactory) -> Sample:
    """The same, its flame sensor in no line: somebody's eye alone proves the pilot."""
    off = ((", rod.1", ""), (", rod.2", ""))
    return Sample("lantern_reeds", tmp_path_factory.mktemp("by_eye"), *off, file="control.yaml")


def test_no_spotter_is_named_where_no_roster_is(sample: Sample) -> None:
    (end,) = (s.text for s in sample.steps if "The lead gives the end of the show" in s.text)
    crewed = sample.result.project_id == "lantern_reeds"
    assert ("spotters keep people back" if crewed else "whoever watches the public keeps people back") in end


def test_one_night_alone_is_no_first_night(sample: Sample, tmp_path: Path) -> None:
    """What differs from night to night says so; nothing does where cylinders go each night."""
    assert {s.night for s in sample.steps} == {"every"}
    if sample.result.project_id == "lantern_reeds":
        crew = (SAMPLES / "lantern_reeds" / "crew.yaml").read_text(encoding="utf-8")
        assert "overnight" not in crew
        for dates, kinds in (("2027-09-16, 2027-09-17, 2027-09-18", {"every", "first", "later", "last"}),
                             ("2027-09-16", {"every"})):  # fmt: skip
            stays = ("dates: [2027-09-16, 2027-09-17, 2027-09-18]", f"dates: [{dates}]")
            left = Sample(
                "lantern_reeds", tmp_path, stays, ("format: 1\n", "format: 1\noperators: {overnight: connected}\n")
            )
            assert {s.night for s in left.steps} == kinds


def test_every_control_that_somebody_works_is_named_in_a_step(reeds: Sample) -> None:
    told = " ".join(s.text for s in reeds.steps if s.procedure in ("start", "scene_change", "firing", "emergency"))
    for tag in ("key", "arm", "fire", "stop"):
        assert re.search(rf"\b{tag}\b", told), tag
    pressed = {a.tag for s in reeds.steps for a in s.acts if a.action == "press"}
    assert pressed == {"arm", "fire"}


def test_the_first_step_of_an_emergency_stops_the_gas_and_no_step_is_the_call(reeds: Sample) -> None:
    first, second = of_night(reeds.steps, "emergency", "first")[:2]
    done = {a.tag for a in first.acts if a.action in ("close", "switch_off", "disarm")}
    assert {"tank_a", "tank_b", "v1", "sv_1", "sv_2", ""} <= done
    assert "v_p" not in done  # the flame that a burst still to come would burn from
    assert "v_p" in {a.tag for a in second.acts}


def test_a_flame_that_is_out_is_not_lit_by_torch_beside_a_charged_burst(reeds: Sample) -> None:
    (step,) = (s for s in reeds.steps if s.procedure == "incident" and "flame is out" in s.look_for)
    order = ("stop pressed", "Close its valve", "Wait 5 min", "on the lead's word", "Before any torch",
        "acc1 burned off", "key in, then out", "pilot_1 out: normal shutdown")  # fmt: skip
    at = [step.text.index(word) for word in order]
    assert at == sorted(at), "nothing is fired over gas that has not blown away"


def test_who_moves_people_is_on_duty_all_night(reeds: Sample) -> None:
    told = " ".join(s.text for s in reeds.steps if s.procedure in ("emergency", "leak"))
    assert told.count("elm, ivy and fir (or who relieves them)") == 2
    assert "hazel" not in told


def test_a_parted_hose_is_shut_off_from_both_its_ends(reeds: Sample) -> None:
    (step,) = (s for s in reeds.steps if s.procedure == "incident" and "hose" in s.look_for)
    for words in ("h_a: tank_a and v_a", "h_b: tank_b and v_b", "h1: v_a and v_b"):
        assert words in step.text
    assert "h2: v2, its far end held by check valve cv1 alone, no hand valve there" in step.text
    assert step.text.count("check valve") == 1  # nothing comes back to the others past one


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("v1 h1 c1 a1 s1 b1", ", its far end held by check valve c1 alone, no hand valve there"),
        ("v1 h1 a1 s1 b1", ", at its far end nothing holds what a1 gives"),
        ("v1 h1 s2 a1 s1 b1", ", its far end held by solenoid valve s2 alone, no hand valve there"),
        ("v1 h1 r1 a1 s1 b1", ", its far end held by regulator r1 alone, no hand valve there"),
        ("v1 h1 r1 s1 b1", ""),
        ("v1 h1 v2 c1 a1 s1 b1", ""),  # a hand closes v2
        ("v1 h1 c1 b1", ""),  # nothing is there to come back
    ],
)
def test_what_a_hand_cannot_close_at_the_end_of_a_hose_is_said(line: str, said: str) -> None:
    kinds = {"t": ("cylinder", ""), "v": ("valve", "ball"), "c": ("valve", "check"), "h": ("hose", ""),
        "a": ("accumulator", ""), "s": ("valve", "solenoid"), "b": ("burner", "bar"),
        "r": ("regulator", "")}  # fmt: skip
    tags = ["t1", *line.split()]
    parts = [Part(t, *kinds[t[0]], t, View({}, f"/{t}"), f"/{t}") for t in tags]
    net = network_of(parts, (), list(itertools.pairwise(tags)))
    assert hoses_shut(Device(net, flow_order(net))) == f"h1: v1{said}"


def test_where_a_sensor_gives_power_over_a_flame_alone_the_valves_are_tried_over_it(reeds: Sample) -> None:
    """Before any flame nothing may click; each valve alone is tried once a night, as a burst is fired."""
    start = of_night(list(reeds.steps), "start", "first")
    assert not [a for s in start for a in s.acts if a.action == "switch_on"], "no power without a flame"
    (dark,) = (s for s in start if s.text.startswith("No flame yet"))
    assert "rod sees none" in dark.text
    assert "sv_1 and sv_2 clicks" in dark.text
    down, torch = (
        next(n for n, s in enumerate(start) if word in s.text) for word in ("it down once more", "lit torch")
    )
    assert down < start.index(dark) < torch, "nothing is there to be let go"
    assert "key in" in dark.text
    assert "Stop pressed, key out, to the lead" in dark.text
    assert {a.where for a in dark.acts if a.action == "check"} == {"accumulator_stand"}, "somebody hears it"
    scenes = of_night(list(reeds.steps), "scene_change", "first")
    (tried,) = (s for s in scenes if "Each valve alone" in s.text)
    acts = [(a.action, a.tag) for a in tried.acts]
    one = [("arm", ""), ("switch_on", "sv_2"), ("check", "nozzle"), ("switch_off", "sv_2"), ("disarm", "")]
    at = acts.index(("pull", "sv_1"))
    assert acts[at + 1 : at + 6] == one
    assert acts[at + 6] == ("put_back", "sv_1")
    assert ("check", "pilot_1") in acts[:at]
    assert {a.where for a in tried.acts} - {""} == {"desk", "supply", "box"}, "nobody is beside what is charged"
    told = [(a.action, a.tag) for a in tried.acts]
    assert told.index(("close", "v2")) < at < told.index(("watch", "g1")) < told.index(("open", "v2"))
    assert "arm and fire pressed three times, as long as the timer lets" in tried.text
    assert scenes.index(tried) == next(n for n, s in enumerate(scenes) if "Armed." in s.text) - 1
    unseen = [of_acts(s, [a for a in s.acts if s is not tried or a.action != "check"]) for s in reeds.steps]
    with pytest.raises(Wrong, match=r"nobody saw it|felt it open"):
        through(plant_of(reeds), unseen)


def test_with_nothing_but_power_to_let_a_vessel_out_a_sensor_leaves_no_start(reeds: Sample) -> None:
    net = reeds.net
    device = Device(net, flow_order(net), bursts={"nozzle": "wisp"}, desk="desk", keys=("key",),
                    sensors={"sv_1": ("rod",), "sv_2": ("rod",)}).with_ways()  # fmt: skip
    steps, state = start_up(device, [], False)
    assert any("gives sv_1 and sv_2 no power without a flame" in s.text for s in steps)
    assert not state.opened


def test_by_eye_alone_a_night_goes_as_the_steps_say(by_eye: Sample) -> None:
    through(plant_of(by_eye), by_eye.steps)


def test_each_of_two_valves_in_series_is_tried_alone_before_any_flame(by_eye: Sample) -> None:
    reeds = by_eye
    steps = of_night(list(reeds.steps), "start", "first")
    (tried,) = (s for s in steps if "Each valve alone" in s.text)
    at_controls = [(a.action, a.tag) for a in tried.acts if a.where == "desk" or a.action == "check"]
    each = {"sv_2": [], "sv_1": []}  # type: dict[str, list[tuple[str, str]]]
    for tag, other in (("sv_2", "sv_1"), ("sv_1", "sv_2")):
        tried_ = [(does, tag) for does in ("switch_on", "check", "switch_off")]
        each[tag] = [("pull", other), ("key_in", ""), *tried_, ("key_out", ""), ("put_back", other)]
    assert at_controls == [*each["sv_2"], *each["sv_1"]], "the one nearest to the outlet first, fuses with the key out"
    assert "stop released, key in" in tried.text
    assert "that of sv_1 (f_1) out" in tried.text, "the fuse by its tag"
    assert "The lead hands over key at desk." in tried.text
    assert tried.text.endswith("key to the lead."), "handed over once, and back once"
    loose = [of_acts(s, [a for a in s.acts if s is not tried or a.action != "key_out"]) for s in reeds.steps]
    with pytest.raises(Wrong, match="moved with the key in"):
        through(plant_of(reeds), loose)
    vented, lit = (next(n for n, s in enumerate(steps) if word in s.text) for word in ("mixed with air", "lit torch"))
    assert vented < steps.index(tried) < lit
    (last,) = (s for s in steps if "once more" in s.text)
    assert steps.index(tried) < steps.index(last) < lit, "what it was tried with is let down too"
    acts = [a for a in tried.acts if a.action not in ("wait", "read")]
    felt = {(a.tag, a.where) for a in acts if a.action == "check"}
    assert felt == {("sv_1", "accumulator_stand"), ("sv_2", "accumulator_stand")}, "a dead battery passes else"
    at_desk = {a.who for a in acts if a.where == "desk"}
    assert at_desk.isdisjoint({a.who for a in acts if a.where != "desk"}), "nobody is at two places"
    first = [(a.action, a.where) for a in tried.acts[:2]]
    assert first == [("wait", ""), ("read", "accumulator_stand")], "gas was let out there just before"
    (away,) = (s for s in steps if "at the outlets," in s.text)
    assert "accumulator_stand" in {a.where for a in away.acts if a.action == "read"}


def test_nothing_is_let_down_between_scenes_while_flames_burn(reeds: Sample) -> None:
    at_start, between = (s for s in reeds.steps if s.text.startswith("Before a torch is lit"))
    assert "let acc1 down" in at_start.if_not
    assert between.procedure == "scene_change"
    assert "let acc1 down" not in between.if_not
    assert "normal shutdown" in between.if_not


def test_a_night_ends_well_after_a_pilot_went_out(reeds: Sample) -> None:
    """What burns "if lit" is not waited for; and what burns nothing off is let out before a cylinder is taken off."""
    plant = plant_of(reeds)
    plant.run(of_night(reeds.steps, "start", "first"))
    plant.run([s for s in of_night(reeds.steps, "scene_change", "first") if s.moment == "21:00"])
    plant.flame.discard("pilot_1")
    plant.out.add("pilot_1")
    plant.run(of_night(reeds.steps, "pilot_out", "first"))
    for step in of_night(reeds.steps, "stop", "first"):
        unlit = step.action == "fire" or (step.tag == "pilot_1" and "pilot_1, if lit, burns" in step.text)
        kept = [] if unlit else [a for a in step.acts if (a.action, a.tag) != ("close", "v_p")]
        if step.text.startswith("What burns of stem_1 to stem_5"):
            kept = [step.acts[0]._replace(tag=stem) for stem in sorted(plant.flame)]
        plant.run([of_acts(step, kept)])
    plant.at_rest()
    (shut,) = (s for s in of_night(reeds.steps, "stop", "first") if s.text.startswith("Close tank_a"))
    assert "No flame: lines let out as after an emergency." in shut.if_not


def test_a_shutdown_after_a_pilot_went_out_burns_nothing_off(reeds: Sample) -> None:
    (step,) = (s for s in reeds.steps if s.procedure == "stop" and s.text.startswith("Burn off"))
    assert "No flame there: no burst; let down when every flame is out, as after an emergency." in step.text


def test_the_wait_for_a_burst_that_blows_on_has_an_end(reeds: Sample) -> None:
    first = of_night(reeds.steps, "emergency", "first")[0]
    assert "wait, 30 s at most: they feed pilot_1; cedar calls it out. No burst on: at once." in first.text


@pytest.mark.parametrize("how", ["by_eye", "reeds"])
def test_what_shuts_an_accumulator_off_is_open_while_the_valves_behind_it_are_tried(
    how: str, request: pytest.FixtureRequest
) -> None:
    """Shut, its gauge would stay whatever leaks behind it; and nobody goes there while the burst may blow."""
    reeds: Sample = request.getfixturevalue(how)
    start = of_night(list(reeds.steps), "start", "first")
    is_open, tried = False, 0
    for act in (a for s in start for a in s.acts):
        is_open = act.action == "open" if act.tag == "v3" and act.action in ("open", "close") else is_open
        if act.action == "switch_on":
            tried += 1
            assert is_open
    assert bool(tried) == (how == "by_eye")
    assert not is_open
    closed_at = next(s for s in reversed(start) if any(a.tag == "v3" and a.action == "close" for a in s.acts))
    assert "once more" in closed_at.text
    scenes = of_night(list(reeds.steps), "scene_change", "first")
    first, then = (
        next(s for s in scenes if any((a.action, a.tag) == ("open", t) for a in s.acts)) for t in ("v3", "v2")
    )
    assert scenes.index(first) < scenes.index(then), "before acc1 is filled"
    down = next(s for s in scenes if any(a.action == "fire" for a in s.acts))
    acts = [(a.action, a.tag) for a in down.acts]
    assert acts.index(("fire", "acc1")) < acts.index(("close", "v3"))
    for procedure in ("emergency", "leak"):
        acts = [a for s in of_night(list(reeds.steps), procedure, "first") for a in s.acts if s.order < LET_DOWN]
        shut = next(n for n, a in enumerate(acts) if (a.action, a.tag) == ("close", "v3"))
        assert any((a.action, a.tag) == ("check", "nozzle") for a in acts[:shut])
        assert acts[shut].who not in ("cedar", "alder"), "one leads help in, one calls"


def test_air_is_not_let_in_where_gas_has_stood() -> None:
    burst = AirTest("burst", "air", "75 psi", "15 min", opened=("s0",))
    made = Made()
    made.line("t0", "v_0", "r0", "v0", "a0", "s0", "b0")
    made.lit_by["b0"] = {"igniter": "spark"}
    network = made.network()
    device = Device(network, flow_order(network), CREW, {"b0": "puff"}, air_tests=(burst,)).with_ways()
    (step,) = air_test.air_tried(device)
    assert "by day, test burst first with nitrogen, never air where gas has stood" in step.text
    assert "Nitrogen in" in step.text


def test_what_is_overhead_is_looked_at_from_a_ladder(reeds: Sample) -> None:
    (step,) = (s for s in of_night(reeds.steps, "start", "first") if "soap shows nothing" in s.text)
    assert "(mast from a ladder, by a lamp)" in step.text


def test_a_stop_is_called_for_in_one_way_where_gas_is_smelled(reeds: Sample) -> None:
    rule = "Gas smelled at desk or box: nothing is pressed or switched there."
    by = {p: [s for s in reeds.steps if s.procedure == p] for p in ("emergency", "leak", "incident")}
    pressing = [s for s in (*by["emergency"], *by["leak"]) if "stop pressed at desk" in s.text or "At once" in s.text]
    smelled = [s for s in by["incident"] if s.look_for.startswith("gas smelled")]
    assert (len(pressing), len(smelled)) == (2, 1)
    for step in (*pressing, *smelled):
        assert rule in step.text
    assert "STOP by voice or hand" in smelled[0].text


def test_what_was_left_in_the_gas_is_switched_off_once_it_reads_nothing_there(sample: Sample) -> None:
    """Gas at the controls: nothing is switched in it. Nobody holds a button, so nothing comes; the key is still in."""
    if not (lantern := sample.result.project_id == "lantern_reeds"):
        assert not any("switched there" in s.text for s in sample.steps), "no controls, no word of them"
        return
    plant = plant_of(sample)
    plant.run([*of_night(sample.steps, "start", "first"), *of_night(sample.steps, "scene_change", "first")])
    assert plant.key
    plant.armed = not lantern  # let go
    for step in of_night(sample.steps, "leak", "first"):
        left = [a for a in step.acts if a.action != "disarm"]
        plant.run([but_empty(plant, of_acts(step, left))])
        if any(a.action == "key_out" for a in step.acts):
            acts = [(a.action, a.where) for a in step.acts]
            assert acts == [("read", "desk"), ("key_out", "desk")], "the detector first"
    assert not plant.key, "somebody goes back to it"
    leak = [s.text for s in of_night(sample.steps, "leak", "first")]
    assert any("alder, upwind, keeps everybody off desk and nozzle." in text for text in leak)
    assert any("Once it reads nothing at desk too: stop pressed, key out, if left." in text for text in leak)


def test_gas_at_one_post_is_gas_at_those_beside_it_and_nobody_is_told_to_leave_and_to_stay(sample: Sample) -> None:
    """Gas at each place where hands work: nobody goes there nor beside it, and the gas is stopped farther up, or
    everybody stays back."""
    leak = of_night(sample.steps, "leak", "first")
    if sample.result.project_id == "lantern_reeds":
        assert "Gas at box or desk is gas at both (within 15 ft). Who is there leaves, upwind." in leak[0].text
    spots = {t: p.stands for t, p in sample.places.items() if p.stands}
    shutting = [s for s in leak if any(a.action == "close" for a in s.acts) and s.order < LET_DOWN]
    assert all("clear of the gas" in s.text or "reached safely" in s.text for s in shutting), "only who is out of it"
    for gas in dict.fromkeys(a.where for s in shutting for a in s.acts):
        near = {t for t, at in spots.items() if math.dist(at, spots[gas]) <= 15 * FOOT}
        assert gas in near
        plant = plant_of(sample)
        plant.run([*of_night(sample.steps, "start", "first"), *of_night(sample.steps, "scene_change", "first")])
        plant.armed = False  # let go
        for step in shutting:
            plant.run([of_acts(step, [a for a in step.acts if a.where not in near])])
        supplied = [t for t in plant.open if plant.part[t].kind == "cylinder"]
        assert not supplied or "supply" in near, (gas, supplied)
        assert not supplied or "else all stay back" in shutting[0].text


def test_places_are_one_cloud_as_far_as_the_limit_goes_and_where_they_are_known() -> None:
    made = Made()
    made.line("t0", "v_0", "b0")
    net = made.network()
    device = Device(
        net, flow_order(net), desk="desk", spots={"supply": (0.0, 0.0), "box": (4.5, 0.0), "desk": (9.2, 0.0)}
    )
    assert [beside(device, p) for p in ("supply", "box", "desk")] == [("box",), ("supply",), ()]
    assert one_cloud(device) == " Gas at supply or box is gas at both (within 15 ft)."
    assert beside(device._replace(spots={}), "supply") == (), "nobody knows how far they are apart"


def test_another_stop_out_of_the_gas_is_named_where_there_is_one(tmp_path: Path, reeds: Sample) -> None:
    device = Device(reeds.net, flow_order(reeds.net), desk="desk", stops=("stop", "far"), stops_at={"far": "rope"})
    assert not_where_smelled(device).endswith("nothing is pressed or switched there; far at rope is pressed "
        "if no gas is there.")  # fmt: skip
    assert "far" not in not_where_smelled(device._replace(stops_at={"far": "desk"}))


def test_the_lead_has_a_second(reeds: Sample) -> None:
    (silent,) = (s for s in reeds.steps if s.look_for.startswith("nobody answers"))
    assert "for the lead dogwood (key, gas detector and telephone)" in silent.text
    told = " ".join(s.text for s in reeds.steps if s.procedure == "emergency")
    assert "alder (else dogwood, with the lead's key, detector, telephone) telephones" in told
    emergency = View({"caller": "alder", "second_caller": "dogwood"}, "/e")
    assert second_of(("alder",), emergency) == "dogwood"
    assert second_of(("alder", "elm"), emergency) == "elm"
    assert second_of(("dogwood",), View({"caller": "alder", "second_caller": "dogwood"}, "/e")) == "alder"
    assert second_of(("alder",), View({"caller": "alder"}, "/e")) == ""


def test_a_burst_that_did_not_light_disarms_before_anybody_waits(reeds: Sample) -> None:
    (words,) = (s.if_not for s in reeds.steps if s.procedure == "firing" and "did not light" in s.if_not)
    told = ("STOP, everybody back", "nobody near nozzle", "No more bursts", "until acc1 is let down",
        "the gas detector reads nothing", "the cause is found")  # fmt: skip
    at = [words.index(word) for word in told]
    assert at == sorted(at)
    assert "arm again" not in words


def test_who_lets_down_is_one_name_who_does_not_pass_what_may_still_blow(reeds: Sample) -> None:
    ends = {a.who for s in reeds.steps for a in s.acts if a.action == "bleed"}
    assert ends == {"cedar", "birch"}
    (step,) = (s for s in reeds.steps if s.procedure == "emergency" and "lets it down" in s.text)
    assert "birch lets it down" in step.text, "cedar leads help in: whoever is free sooner"
    assert "by a way that does not pass nozzle, and not downwind of it" in step.text
    assert "from upwind by" not in step.text, "upwind of the vessel may be where the nozzle stands"


def test_one_valve_or_two_beside_each_other_are_not_tried_alone(reeds: Sample) -> None:
    of = Device(reeds.net, flow_order(reeds.net), bursts={"nozzle": "wisp"}).with_ways()
    assert in_series(of, "nozzle", ("v2",)) == ("sv_1", "sv_2")
    one = of._replace(bursts={"stem_1": "reed_1"})
    assert in_series(one, "stem_1", ()) == ()


def test_a_regulator_is_read_without_flow_before_a_flame_and_set_with_flow_before_the_first_scene(
    reeds: Sample,
) -> None:
    steps = of_night(list(reeds.steps), "start", "first")
    rest = next(n for n, s in enumerate(steps) if "g2 not above 12 psi (pr1, no flow)" in s.text)
    lit = next(n for n, s in enumerate(steps) if "lit torch" in s.text)
    at = next(n for n, s in enumerate(steps) if s.text.startswith("Before the first scene, with these flames burning"))
    assert rest < lit < at
    assert "g2" in [a.tag for a in steps[rest].acts if a.action == "watch"]
    assert {"set", "watch"} == {a.action for a in steps[at].acts}


def test_a_regulator_that_no_gauge_shows_is_looked_at_before_gas(sample: Sample) -> None:
    steps = of_night(list(sample.steps), "start", "first")
    looked = [n for n, s in enumerate(steps) if s.text.startswith("No gauge shows what")]
    assert bool(looked) == (sample.result.project_id == "garden_brazier")
    if looked:
        first_gas = next(n for n, s in enumerate(steps) if any(a.action == "open" for a in s.acts))
        assert looked[0] < first_gas
        assert "since it was set at 10 psi on a test gauge" in steps[looked[0]].text
        assert "no gas" in steps[looked[0]].if_not


def test_regulators_give_nothing_when_a_cylinder_is_first_opened_and_have_a_way_to_their_setting(reeds: Sample) -> None:
    steps = of_night(list(reeds.steps), "start", "later")
    acts = [(n, a) for n, s in enumerate(steps) for a in s.acts]
    out = {a.tag: n for n, a in acts if a.action == "screw_out"}
    turned = {a.tag: n for n, a in acts if a.action == "screw_in"}
    first_gas = next(n for n, a in acts if a.action == "open")
    assert {*out} == {*turned} == {"pr1", "pr2"}
    assert max(out.values()) < first_gas <= min(turned.values())
    (rest,) = (s for s in steps if "g2 not above 12 psi" in s.text)
    assert "Too high: its screw off, once more; still so: it is replaced, no flame tonight." in rest.if_not
    assert any("set pr1 to 10 psi on g2: screw in to raise" in s.text for s in steps)


def seen(sample: Sample, begins: str) -> Step:
    return next(s for s in sample.steps if s.procedure == "incident" and s.look_for.startswith(begins))


def test_the_pressure_is_read_and_said_back_before_each_burst_by_nobody_beside_it(reeds: Sample) -> None:
    firing = sorted((s for s in reeds.steps if s.procedure == "firing"), key=lambda s: s.order)
    said = next(n for n, s in enumerate(firing) if "g1" in s.text)
    assert said < next(n for n, s in enumerate(firing) if any(a.action == "fire" for a in s.acts))
    assert "g1 not above 34 psi, nor under 27 psig" in firing[said].text
    assert [(a.tag, a.who, a.where) for a in firing[said].acts] == [("g1", "birch", "box")]
    assert "stop pressed, key out, close v2" in firing[said].if_not


def test_pressure_and_pilot_are_looked_at_before_the_signal_is_given(reeds: Sample) -> None:
    acts = [(a.action, a.tag) for s in of_night(list(reeds.steps), "firing", "first") for a in s.acts]
    order = [acts.index(one) for one in (("check", "g1"), ("check", "pilot_1"), ("say", ""), ("fire", "wisp"))]
    assert order == sorted(order)


def test_a_second_pair_of_eyes_says_that_the_pilot_burns_and_a_late_burst_is_left_out(reeds: Sample) -> None:
    firing = of_night(list(reeds.steps), "firing", "first")
    (proved,) = (s for s in firing if s.text.startswith("cedar says that pilot_1 burns"))
    looks = [(a.who, a.where) for a in proved.acts if (a.action, a.tag) == ("check", "pilot_1")]
    assert looks == [("cedar", "desk")], "rod sees it too"
    assert "says so too" not in proved.text
    assert "A burst that is late is left out." in firing[-1].text
    posts = (Hand("cedar", "valve", ("wisp",), "box"), Hand("fir", "spotter", ("wisp",), "west"))
    two = Device(reeds.net, flow_order(reeds.net), Crew(posts), {"nozzle": "wisp"}).with_ways()
    assert second_eye(two, "cedar") == Act("check", "", "fir", "west"), "without a sensor: from two sides"
    few = Device(reeds.net, flow_order(reeds.net), Crew((Hand("ash", "valve", (), "box"),)), {"nozzle": "wisp"})
    other = second_eye(few.with_ways(), "ash")
    assert other is not None
    assert other.who == "", "nobody else is there"
    assert second_eye(few._replace(crew=Crew()), "") is None


def test_a_start_in_the_middle_of_a_night_has_the_public_out_first(reeds: Sample) -> None:
    again = [
        s.text for s in reeds.steps if re.search(r"start anew|[Ss]tart-up again, whole|only as at start-up", s.text)
    ]
    assert len(again) == 3, "after a pilot that went out, a hold, and another cylinder"
    assert all("the public out first" in text for text in again)


def test_nobody_waits_for_a_pilot_that_a_parted_hose_has_taken_or_another_cylinder_keeps(reeds: Sample) -> None:
    assert "once nozzle" not in seen(reeds, "a hose").text
    assert seen(reeds, "a cylinder vents").text.startswith("STOP. Close its valve")
    made = Made()
    made.line("t0", "h0", "v_0", "x1", "v1", "p1")
    made.line("x1", "v2", "r2", "a2", "s2", "b2")
    made.lit_by |= {"p1": {"torch": "ash"}, "b2": {"pilot": "p1"}}
    made.bursts["b2"] = "puff"
    net = made.network()
    device = Device(net, flow_order(net), bursts=made.bursts).with_ways()
    assert hoses_shut(device, "b2 is seen out") == "h0: t0"


def test_in_the_dark_what_a_lamp_lights_is_shut_once_the_burst_is_out_and_in_a_leak_help_is_met(reeds: Sample) -> None:
    assert "by the lamp there, once nozzle is seen out, at accumulator_stand v3" in seen(reeds, "all is dark").text
    assert "cedar, once free, leads help in from gate_east" in of_night(list(reeds.steps), "leak", "first")[0].text


def test_the_plug_stays_out_while_gas_is_let_out_and_nobody_stands_downwind(reeds: Sample) -> None:
    (down,) = (s.text for s in of_night(list(reeds.steps), "start", "first") if "let acc1 down unlit by v_d" in s.text)
    at = [down.index(w) for w in ("plug out, v_d shut, until the end", "Wind towards supply: wait", "Plug in, tight.")]
    assert at == sorted(at)


def test_what_is_lit_for_a_scene_is_ready_when_it_begins(reeds: Sample) -> None:
    table = dict(reeds.result.tables)["operators.during_steps"]
    assert isinstance(table, Table)
    texts = [str(row.cells[1]) for row in table.rows]
    assert [t.split(":")[0] for t in texts if "every torch out and away" in t] == ["for 21", "for 21"]
    assert any(t.startswith("for 22:30: One at a time, a lit torch") for t in texts)
    assert any(t.startswith("22:15: Put out stem_1 to stem_5") for t in texts)


def test_above_lock_up_there_is_one_answer_and_nobody_stands_beside_it(reeds: Sample) -> None:
    (filled,) = (s for s in reeds.steps if s.moment == "21:00" and "fills acc1" in s.text)
    assert filled.if_not == "Above 34 psi (lock-up): STOP, v2 first, nobody near acc1."
    assert filled.text.startswith("birch reads g1 out from box: open v2 slowly"), "flames burn: from the post"
    (before,) = (s for s in of_night(list(reeds.steps), "firing", "first") if s.tag == "g1")
    assert before.if_not.endswith("above it: STOP, v2 first.")
    assert seen(reeds, "rv1 blows or g1 is above 34 psi").text.startswith("STOP, v2 first.")


def test_gas_that_is_let_out_by_hand_is_counted_and_watched_with_the_detector(reeds: Sample) -> None:
    (down,) = (s for s in of_night(list(reeds.steps), "start", "first") if "let acc1 down unlit by v_d" in s.text)
    assert "20 s at a time, three times at most" in down.text
    assert "port away from people, lamps, coils" in down.text
    assert "alder upwind reads the detector; gas there: shut, 5 min." in down.text
    assert down.acts[0] == Act("read", "", "alder", "accumulator_stand")


def test_a_relief_valve_that_blows_is_a_stop_with_its_feed_shut(reeds: Sample) -> None:
    row = seen(reeds, "rv1 blows or g1 is above 34 psi")
    assert row.text.startswith("STOP, v2 first. Everybody upwind, nobody near acc1.")
    assert "Not armed, lit or let down until it has ended" in row.text


def test_gas_flows_unlit_in_a_purge_no_longer_than_the_test_says(sample: Sample) -> None:
    purges = [s.text for s in sample.steps if s.text.startswith("Purge the lines")]
    assert purges
    assert all(text.index("soap on every joint first") < text.index("open ") for text in purges)
    assert all(", 20 s at most, watch for bubbles, note when gas comes, close." in text for text in purges)


def test_a_torch_has_one_number_its_seconds_and_its_end(reeds: Sample) -> None:
    told = " ".join(f"{s.text} {s.if_not}" for s in reeds.steps)
    assert "a few psi at most" not in told
    assert "at once: close its valve, wait" not in told
    assert {
        s.text.split("g1 ")[1].split(",")[0] for s in reeds.steps if s.text.startswith("Before a torch is lit")
    } == {"not above 5 psi"}
    lit = [s for s in reeds.steps if any(a.action == "light" for a in s.acts)]
    assert lit
    words = (
        "Not lit 5 s after its time at the purge",
        "the torch away and out, wait 5 min",
        "g1 rises, or STOP: torch out and away",
        "until the gas detector reads nothing",
    )
    assert {s.if_not for s in lit if not all(word in s.if_not for word in words)} == {"As for pilot_1."}
    for armed in (s for s in reeds.steps if any(a.action == "arm" for a in s.acts) and "again" not in s.text):
        assert "every torch out and away" in armed.text
    lit = [s for s in of_night(list(reeds.steps), "start", "first") if any(a.action == "light" for a in s.acts)]
    assert lit
    assert all("STOP: torch out and away, cedar closes every valve at box" in s.if_not for s in lit[:1]), (
        "nobody is at the desk"
    )


def test_in_the_dark_the_desk_is_stopped_first_and_what_lights_a_burst_loses_its_gas_last(reeds: Sample) -> None:
    text = seen(reeds, "all is dark").text
    order = [
        text.index(word)
        for word in ("stop pressed, key out", "By the lamps there or by touch", "once nozzle is seen out")
    ]
    assert order == sorted(order)
    assert text.count("v_p") == 1
    assert text.index("v_p") > order[-1]


def test_a_post_that_is_silent_has_somebody_else_at_its_valves(reeds: Sample) -> None:
    text = seen(reeds, "nobody answers").text
    assert "at supply birch" in text
    assert "at box cedar" in text
    assert "what does not burn and is reached from upwind, else everybody back" in seen(reeds, "a hose").text


def test_who_fetches_what_is_posted_nearest_and_the_public_does_not_meet_help(reeds: Sample) -> None:
    text = seen(reeds, "a person burns").text
    # A post: nobody is sent.
    assert "Who has shut their valves brings blanket and kit from box; water at east." in text
    assert "First aid: fir or hazel, who then moves nobody." in text
    assert not [who for who in ("elm", "alder", "birch", "cedar", "dogwood") if who in text], (
        "they call, meet help, close valves"
    )
    out = seen(reeds, "everybody has to go").text
    assert "by steps_west and gate_south, not by gate_east" in out


def test_in_the_fire_watch_one_calls_and_another_meets_help(reeds: Sample) -> None:
    (_, telephone) = dict(reeds.result.tables)["operators.call"].rows[0].cells
    assert telephone.endswith("in the fire watch hazel, and fir meets help")


def test_joints_behind_a_burst_are_tried_empty_with_the_key_out(reeds: Sample) -> None:
    steps = of_night(list(reeds.steps), "start", "first")
    (step,) = (s for s in steps if "soap shows nothing" in s.text)
    assert "before nozzle the pressure test alone counts" in step.if_not
    (tested,) = (s for s in steps if s.text.startswith("Joined behind sv_1 and sv_2"))
    said = ("by day, test burst first, made ready as its row in the table of tests has it, acc1 empty, no gas on",
        "key with the lead, no button jammed, v3 open, nobody before a plug",
        "Nitrogen in where pr2 was, behind a relief valve at 82 psig at most", "soap; temperature noted",
        "1 °F colder lowers it 0.17 psi, more is a leak",
        "Let out by v_d (plug out) and there, to 0, before anything is undone",
        "bench leads off and kept by alder, sv_1 and sv_2 shut",
        "then all as before, screws backed off, seen by alder")  # fmt: skip
    at = [tested.text.index(words) for words in said]
    assert at == sorted(at), "as the row of the test in the table has it"
    acts = [(a.action, a.tag, a.where) for a in tested.acts]
    made = [("pr2", "supply"), ("rv1", "accumulator_stand"), ("nozzle", "mast"), ("sv_1", "accumulator_stand"),
        ("sv_2", "accumulator_stand")]  # fmt: skip
    assert acts == [
        ("open", "v3", "accumulator_stand"), *(("make_ready", *one) for one in made),
        ("air_in", "pr2", "supply"), ("soap", "", "accumulator_stand"),
        ("soap", "", "mast"), ("air_out", "v_d", "accumulator_stand"), ("air_out", "pr2", "supply"),
        *(("put_as_was", *one) for one in made), ("close", "v3", "accumulator_stand"), ("check", "", ""),
    ]  # fmt: skip
    assert all(a.who for a in tested.acts), "each by somebody who is named"
    assert tested.acts[-1].who not in {a.who for a in tested.acts[:-1]}
    assert "joints 85 at accumulator_stand, 90 at mast" in tested.text, "by number and place"
    first_gas = next(
        n for n, s in enumerate(steps) if any(a.action == "open" and a.tag.startswith("tank") for a in s.acts)
    )
    assert steps.index(tested) < first_gas, "no gas is on yet"


def test_joints_behind_a_burst_are_in_no_list_of_what_is_soaped_with_gas(reeds: Sample) -> None:
    (section,) = (s for s in reeds.result.sections if s.id == "plumbing_tests")
    (said,) = (b.text for b in section.blocks if isinstance(b, Para) and b.text.startswith("Tested again"))
    soaped, _, aired = said.partition(" Before gas, which never stands there unlit,")
    assert "behind pr2, 2 joints: 70, 71." in soaped
    assert aired.strip() == "not with air once it has, as in the test burst: 85, 90."


def test_in_thunder_somebody_leads_the_public(reeds: Sample) -> None:
    (step,) = (s for s in of_night(list(reeds.steps), "hold", "first") if "Thunder" in s.text)
    assert "the public too, led by elm and ivy, to hall" in step.text, "not fir, who looks at the burst"


def test_a_cylinder_that_nobody_lifts_alone_says_so(reeds: Sample) -> None:
    (step,) = (s for s in of_night(list(reeds.steps), "start", "first") if "upright and held" in s.text)
    assert "170 lb full: dogwood with birch, on a cart, not lifted by two." in step.text
    lone = [of_acts(s, [a for a in s.acts if s is not step or a.who != "birch"]) for s in reeds.steps]
    with pytest.raises(Wrong, match="dogwood alone moves tank_a"):
        through(plant_of(reeds), lone)
    of = Device(reeds.net, flow_order(reeds.net))
    assert heavy(of, of.cylinders()) == " 170 lb full: two people, on a cart, not lifted by two.", "nobody is named"
    assert heavy(of, ()) == ""
    away = next(s for s in reeds.steps if s.procedure == "stop" and any(a.action == "disconnect" for a in s.acts))
    assert away.text.startswith("Still on shift: disconnect tank_a and tank_b")
    assert "dogwood with birch, on a cart" in away.text  # two who are on the roster, none of the fire watch


def test_where_a_step_sends_somebody_is_a_word_of_the_plan(reeds: Sample) -> None:
    drawing = dict(reeds.result.drawings)["site"]
    texts = [shape.text for sheet in drawing.sheets for shape in sheet.shapes if isinstance(shape, Text)]
    words = {word for text in texts for word in re.split(r"[ ,:]+", text)}
    for text in texts:  # "bed_1 to bed_5" names those between, as the steps do
        for name, first, last in re.findall(r"(\w+_)(\d) to \1(\d)", text):
            words |= {f"{name}{n}" for n in range(int(first), int(last) + 1)}
    for form in ("ring with a dot: outlet", "full circle: cylinder", "octagon: emergency stop", "E: extinguisher"):
        assert form.lower() in drawing.note.lower()
    places = {a.where for s in reeds.steps for a in s.acts} - {""}
    assert len(places) > 5
    assert places | {"hall", "east", "gate_east", "gate_south", "lane", "road", "steps_west"} <= words


# ---------------------------------------------------------------- random plumbing

KINDS = {
    "t": ("cylinder", ""), "r": ("regulator", ""), "v": ("valve", "ball"), "s": ("valve", "solenoid"),
    "h": ("hose", ""), "x": ("fitting", "tee"), "e": ("fitting", "plug"), "a": ("accumulator", ""),
    "b": ("burner", "bar"),
    "p": ("pilot", ""), "g": ("gauge", ""),
}  # fmt: skip
BRANCHES = (
    "steady", "steady", "twin", "pilot", "burst", "burst with a bleed", "burst with a shutoff", "burst by hand",
    "by power", "bare",
)  # fmt: skip


class Made:
    def __repr__(self) -> str:
        return f"Made({self.links} {self.lit_by} {self.bursts})"

    """A random device: its network, what bursts, and whether each branch can be shut by itself."""

    def __init__(self) -> None:
        self.links: list[tuple[str, str]] = []
        self.lit_by: dict[str, dict[str, str]] = {}
        self.bursts: dict[str, str] = {}
        self.bleeds: list[str] = []
        self.sound = True

    def line(self, *tags: str) -> None:
        self.links += itertools.pairwise(tags)

    def network(self) -> Network:
        tags = dict.fromkeys(t for link in self.links for t in link)
        return network_of([self.part(t) for t in tags], (), list(dict.fromkeys(self.links)))

    def part(self, tag: str) -> Part:
        kind, form = KINDS[tag[0]]
        place = "supply" if kind == "cylinder" else "bed" if kind in ("burner", "pilot") else "box"
        # What a burst is fired from stands away from the valves that are posted.
        place = (
            "stand" if tag[0] == "a" or tag.endswith(("_low", "_off")) or (tag[0] in "ge" and tag != "g9") else place
        )
        data: dict[str, object] = {"place": place}
        if tag in self.lit_by:
            data["lit_by"] = self.lit_by[tag]
        if kind == "regulator":
            data["set"] = Quantity(69000.0, "gauge_pressure", "10 psi", f"/{tag}/set")
        return Part(tag, kind, form, tag, View(data, f"/{tag}"), f"/{tag}")


@st.composite
def devices(draw: st.DrawFn) -> Made:
    made = Made()
    for n in range(draw(st.integers(1, 2))):
        made.line(f"t{n}", f"v_{n}", "x0")
    made.line("x0", "r9", *(["v_main"] if draw(st.booleans()) else []), "x1")
    if draw(st.booleans()):
        made.line("x1", "g9")
    kinds = draw(st.lists(st.sampled_from(BRANCHES), min_size=1, max_size=5))
    pilots = [f"p{n}" for n, k in enumerate(kinds) if k == "pilot"]
    for n, kind in enumerate(kinds):
        own = [f"v{n}"] if kind in ("steady", "twin", "pilot", "by power") or draw(st.booleans()) else []
        torch = draw(st.sampled_from(({"torch": "ash"}, {"torch": "birch"}, {"igniter": "spark"}, {})))
        by_pilot = {"pilot": draw(st.sampled_from(pilots))} if pilots else {"igniter": "spark", "proven": "seen"}
        match kind:
            case "steady" | "bare":
                made.line("x1", *own, f"b{n}")
                made.lit_by[f"b{n}"] = draw(st.sampled_from((torch, by_pilot)))
                made.sound &= bool(own)
            case "twin":
                made.line("x1", *own, f"x{n}_", f"b{n}")
                made.line(f"x{n}_", f"b{n}_")
                made.lit_by |= {f"b{n}": torch, f"b{n}_": torch}
            case "pilot":
                made.line("x1", *own, f"p{n}")
                made.lit_by[f"p{n}"] = torch
            case "by power":
                made.line("x1", *own, f"s{n}", f"b{n}")
                made.lit_by[f"b{n}"] = {"igniter": "spark"}
            case _:
                last = f"v{n}_fire" if kind == "burst by hand" else f"s{n}"
                shutoff = [f"v{n}_off"] if kind == "burst with a shutoff" else []
                made.line("x1", *own, f"r{n}", f"a{n}", *shutoff, last, f"b{n}")
                made.line(f"a{n}", f"g{n}")
                made.lit_by[f"b{n}"] = by_pilot
                made.bursts[f"b{n}"] = f"effect_b{n}"
                made.sound &= bool(own)
                if kind in ("burst with a bleed", "burst with a shutoff"):
                    made.line(f"a{n}", f"v{n}_low", f"e{n}")
                    made.bleeds.append(f"v{n}_low")
    return made


def quantity(seconds: float) -> Quantity:
    return Quantity(seconds, "duration", f"{seconds:g} s", "/show")


@st.composite
def evenings(draw: st.DrawFn, made: Made) -> Timeline:
    """Up to three scenes, some with a gap before them, each with some of what is steady and perhaps bursts."""
    steady = sorted({b for _, b in made.links if b[0] == "b" and b[-1] != "_" and b not in made.bursts})
    lit, shots, stretches, at = [], [], [], 0.0
    for n in range(draw(st.integers(1, 3))):
        at += draw(st.sampled_from((0.0, 0.0, 300.0))) if n else 0.0
        scene = f"scene_{n}"
        stretches.append(Stretch(scene, at, at + 600))
        lit += [
            Lit(f"effect_{b}", scene, at, quantity(600))
            for b in (draw(st.lists(st.sampled_from(steady), unique=True)) if steady else ())
        ]
        if made.bursts and draw(st.booleans()):
            shots += [Shot(e, scene, at + 60 * k, quantity(1)) for e in made.bursts.values() for k in (1, 2)]
        at += 600
    return Timeline("20:00", tuple(stretches), tuple(lit), tuple(shots))


CREW = Crew(
    (
        Hand("ash", "valve", (), "box"), Hand("birch", "valve", (), "box"), Hand("cedar", "lead", (), "box"),
        Hand("dogwood", "fuel_watch", (), "supply"), Hand("elm", "spotter", (), "rope"),
    )
)  # fmt: skip
POSTS = {h.person: h.station for h in CREW.hands}


def but_empty(plant: Plant, step: Step) -> Step:
    """A step without letting down what was not filled yet, or is empty: nobody bleeds that."""
    kept: list[Act] = []
    left_out: set[str] = set()
    for a in step.acts:
        if a.action == "bleed" and not any(a.tag in plant.below(v) for v in plant.charged | plant.few_psi):
            left_out.add(a.tag)
        elif a.action == "open" and a.tag in plant.bleeds() & plant.open:
            left_out.add(a.tag)  # its plug is in
        elif a.action == "close" and a.tag in left_out:
            left_out.discard(a.tag)  # which it opened
        else:
            kept.append(a)
    if step.order == LET_DOWN and step.procedure == "emergency" and not any(a.action == "bleed" for a in kept):
        return of_acts(step, [])  # nor what stands behind its shutoff
    return of_acts(step, kept)


def what_goes_wrong(device: Device, net: Network, made: Made, steps: list[Step]) -> None:
    """The start goes well; then an emergency, a leak, a hold in thunder, or a flame that goes out, each on its own."""
    start, nothing = of_night(steps, "start", "first"), View({}, "/operators")
    stopped = shutdown.emergency(device, list(emergency(net, made.bursts)), nothing)
    out = incidents(device, nothing, View({}, "/first_aid"), (), stopped)
    for own in (
        stopped,
        leaks.leak(device, list(leak_upstream(net, made.bursts)), nothing, stopped),
        hold(device, (), stopped),
    ):
        plant = Plant(net, made.bursts, POSTS, watchers=("elm",), desk="box")
        plant.run(start)
        held = {o: device.held_by(o) for o in made.bursts}
        plant.burst_open = {o for o, by in held.items() if plant.armed and by[0].startswith("s")}
        plant.thunder = bool(own) and own[0].procedure == "hold"
        if own and own[0].procedure == "leak":
            cylinders_first(plant, sorted(own, key=lambda s: s.order))
        for step in sorted(own, key=lambda s: s.order):
            step = but_empty(plant, step)
            plant.run([step], at_once=step.procedure == "emergency")
            plant.flame -= plant.dying if step.procedure == "hold" else set()  # every valve is shut
        assert not plant.armed, own
        assert not (left := [t for t in plant.open if plant.closes(t) and t not in made.bleeds]), left
        if own and own[0].procedure != "leak":
            assert not (gas := [o for o in plant.outlets(plant.gas()) if o not in plant.dying]), gas
    row = next((s for s in out if s.look_for.startswith("a flame is out")), None)
    for outlet in (o for o in device.effects if row and o not in made.bursts):
        plant = Plant(net, made.bursts, POSTS, watchers=("elm",), desk="box")
        plant.run(start)
        if outlet in plant.flame:
            plant.flame.discard(outlet)
            plant.out.add(outlet)
            for act in (*row.acts, *(device.act("close", v) for v in device.last_before(outlet) if v in plant.open)):
                plant.do(act)
            assert not plant.armed
            assert outlet not in plant.gas()


def mended(device: Device, net: Network, made: Made, steps: list[Step]) -> None:
    """Bubbles at any step of the leak test: cylinders shut, the lines let out as it says, and nothing is left behind
    the wrench."""
    start = of_night(steps, "start", "first")
    for n, step in enumerate(start):
        if not step.moment.startswith("Leak test") or not any(a.action == "soap" for a in step.acts):
            continue
        plant = Plant(net, made.bursts, POSTS, watchers=("elm",), desk="box")
        plant.run(start[: n + 1])
        ways = lines_after(device, {t for t in plant.open if plant.closes(t)}, plant.turned)
        for tank in sorted(t for t in plant.open if plant.part[t].kind == "cylinder"):
            plant.do(Act("close", tank, "dogwood", "supply"))
        for valves, off in ways.values():
            plant.backed -= {*off}
            for valve in valves:
                plant.do(device.act("open", valve))
        if ways:
            assert "let the lines out" in step.if_not or "as above" in step.if_not
            assert not plant.pressed, (step.text, plant.pressed)
        else:
            assert "nothing is undone" in step.if_not or "as above" in step.if_not


def crewed(made: Made) -> tuple[Device, Network, dict[str, tuple[str, ...]], list[Closing]]:
    """A random device with its crew, its outlets by effect, and the order in which it is shut down."""
    net = made.network()
    outlets: dict[str, tuple[str, ...]] = {}
    for p in net.of_kind("burner"):  # twins behind one valve are one effect
        effect = f"effect_{p.tag.rstrip('_')}"
        outlets[effect] = (*outlets.get(effect, ()), p.tag)
    bare = Plant(net, made.bursts)
    regulators = {p.tag for p in net.of_kind("regulator")}
    near = {p.tag: bare.nearest(p.tag, regulators) for p in net.of_kind("gauge", "accumulator")}
    zones = {t: min(own) for t, own in near.items() if own}
    device = Device(
        net,
        flow_order(net),
        CREW,
        made.bursts,
        {o: (e,) for e, own in outlets.items() for o in own},
        {},
        tuple(made.bleeds),
        zones,
        "box",
        detector="cedar",
        stays="cedar",
    )
    return device, net, outlets, list(normal(net))


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_on_random_plumbing_a_night_goes_as_the_steps_say_or_they_say_not_to_start(data: st.DataObject) -> None:
    made = data.draw(devices())
    line = data.draw(evenings(made))
    device, net, outlets, order = crewed(made)
    every = [o for own in outlets.values() for o in own if o not in made.bursts]
    gas_off = [s.scene for s in line.stretches if data.draw(st.booleans())]
    steps = plan(device, line, outlets, every, order, "30 min", data.draw(st.booleans()), gas_off)
    stuck = [s.text for s in steps if s.text.startswith(("Do not start", "No order"))]
    if stuck:
        assert not made.sound, stuck
        return
    plant = Plant(net, made.bursts, POSTS, watchers=("elm",), desk="box")
    plant.callers = {"cedar"}
    through(plant, steps, ("first", "later", "later"))
    what_goes_wrong(device, net, made, steps)
    mended(device, net, made, steps)
    looked_at_by_another(steps)
    plant = Plant(net, made.bursts, POSTS, watchers=("elm",), desk="box")
    plant.run(of_night(steps, "start", "first"))
    for change in of_night(steps, "scene_change", "first"):
        plant.run([change] if not plant.armed else [])
    if plant.armed and (again := of_night(steps, "pilot_out", "first")):
        plant.run(again)
        # A torch is not carried to a pilot while what it lights is charged, so nothing is armed again either.
        assert plant.armed != any(s.text.startswith(("Nothing is lit at", "No torch is lit")) for s in again)


def goes(made: Made, line: Timeline, gas_off: tuple[str, ...] = ()) -> list[Step]:
    """The steps of a small device, seen to go well on three nights."""
    device, net, outlets, order = crewed(made)
    every = [o for own in outlets.values() for o in own if o not in made.bursts]
    steps = plan(device, line, outlets, every, order, "30 min", False, gas_off)
    plant = Plant(net, made.bursts, POSTS, watchers=("elm",), desk="box")
    plant.callers = {"cedar"}
    through(plant, steps, ("first", "later", "later"))
    return steps


def accumulator(made: Made, n: int, *own: str, bleed: bool = True) -> None:
    """A burst out of an accumulator behind x1, over a spark."""
    made.line("x1", *own, f"r{n}", f"a{n}", f"s{n}", f"b{n}")
    made.line(f"a{n}", f"g{n}")
    made.lit_by[f"b{n}"] = {"igniter": "spark", "proven": "seen"}
    made.bursts[f"b{n}"] = f"effect_b{n}"
    if bleed:
        made.line(f"a{n}", f"v{n}_low", f"e{n}")
        made.bleeds.append(f"v{n}_low")


def let_down(steps: list[Step], procedure: str = "stop") -> list[str]:
    return [a.tag for s in steps if s.procedure == procedure for a in s.acts if a.action == "bleed"]


@pytest.mark.parametrize("gas_off", [(), ("scene_0",), ("scene_1",)])
@pytest.mark.parametrize("burns", [("scene_0",), ("scene_1",), ("scene_0", "scene_2"), ()])
def test_what_filled_with_the_lines_is_let_down_on_a_night_without_a_burst(
    burns: tuple[str, ...], gas_off: tuple[str, ...]
) -> None:
    """Also where the flame that it filled beside is put out before the end, and where nothing burned at all."""
    made = Made()
    made.line("t0", "v_0", "x0", "r9", "x1", "v0", "x0_", "b0")
    made.line("x0_", "b0_")
    made.lit_by |= dict.fromkeys(("b0", "b0_"), {"igniter": "spark"} if burns else {"torch": "ash"})
    accumulator(made, 1)
    line = Timeline("20:00", tuple(Stretch(f"scene_{n}", 600 * n, 600 * n + 600) for n in range(3)),
        tuple(Lit("effect_b0", s, 600 * int(s[-1]), quantity(600)) for s in burns), ())  # fmt: skip
    steps = goes(made, line, gas_off)
    assert [s.text for s in steps if s.text.startswith(("Do not start", "No order"))] == []
    assert "v1_low" in let_down(steps, "stop") + let_down(steps, "scene_change")


def test_what_was_let_down_in_a_pause_and_not_filled_since_is_not_let_down_again() -> None:
    made = Made()
    made.line("t0", "v_0", "x0", "r9", "x1", "v1", "b1")
    made.lit_by["b1"] = {"torch": "ash"}
    accumulator(made, 0, "v0")
    line = Timeline("20:00", tuple(Stretch(f"scene_{n}", 600 * n, 600 * n + 600) for n in range(3)),
        (Lit("effect_b1", "scene_2", 1200, quantity(600)),),
        tuple(Shot("effect_b0", "scene_0", 60 * k, quantity(1)) for k in (1, 2)))  # fmt: skip
    steps = goes(made, line, ("scene_0",))
    assert let_down(steps, "scene_change")[:1] == ["v0_low"]


def test_what_is_let_out_at_the_first_fill_alone_is_burned_down_on_later_nights() -> None:
    """No bleed, no valve of its own: filled on each night while joints are soaped, let out by power on the first."""
    made = Made()
    made.line("t0", "v_0", "x0", "r9", "x1", "v1", "s1", "b1")
    made.lit_by["b1"] = {"igniter": "spark"}
    accumulator(made, 0, bleed=False)
    steps = goes(made, Timeline("20:00", (Stretch("scene_0", 0, 600),), (), ()))
    burned = [s.night for s in steps if s.procedure == "stop" for a in s.acts if (a.action, a.tag) == ("fire", "a0")]
    assert burned == ["later"]


def test_the_key_is_in_again_at_the_end_only_over_a_pilot_that_is_seen() -> None:
    """No burst tonight, and what filled with the lines is burned down over its pilot."""
    made = Made()
    made.line("t0", "v_0", "x0", "r9", "x1", "v2", "p2")
    made.lit_by["p2"] = {"igniter": "spark"}
    accumulator(made, 3, bleed=False)
    made.lit_by["b3"] = {"pilot": "p2"}
    steps = goes(made, Timeline("20:00", (Stretch("scene_0", 0, 600),), (), ()))
    (again,) = (s for s in steps if s.procedure == "stop" and s.text.startswith("The key in once more"))
    assert "p2 seen to work" in again.text
    assert again.if_not.startswith("Not seen: no key, no burst")


def test_no_power_is_given_where_another_accumulator_was_just_let_down_by_its_bleed() -> None:
    """a0 has a valve of its own and a bleed; a1, let down by power, fills together with a2, which has a bleed."""
    made = Made()
    made.line("t0", "v_0", "x0", "r9", "x1")
    accumulator(made, 0, "v0")
    accumulator(made, 1, bleed=False)
    accumulator(made, 2)
    steps = goes(made, Timeline("20:00", (Stretch("scene_0", 0, 600),), (), ()))
    vented = [s.text for s in steps if "unlit" in s.text and s.procedure == "start"]
    assert "a1 past s1" in vented[0]
    assert "The wait, let it down once more" in vented[0], "a2 let gas out while its regulator was set"
    assert "v0_low" in vented[1]


def test_a_steady_flame_behind_a_powered_valve_gets_power_before_it_is_lit() -> None:
    made = Made()
    made.line("t0", "v_0", "r0", "s0", "b0")
    net = made.network()
    device = Device(net, flow_order(net), CREW, desk="box", effects={"b0": ("flame",)}, detector="cedar").with_ways()
    steps = plan(device, None, {}, ["b0"], list(normal(net)), "30 min", False)
    through(Plant(net, {}, POSTS, desk="box"), steps)
    with pytest.raises(Wrong, match="s0 gets no power"):
        through(Plant(net, {}, POSTS, desk="box"), without(steps, "start", "key_in"))


def test_a_burst_that_an_igniter_lights_speaks_of_no_pilot_and_no_torch() -> None:
    made = Made()
    made.line("t0", "v_0", "r0", "v1", "a0", "s0", "b0")
    made.line("a0", "g0")
    made.lit_by["b0"] = {"igniter": "spark", "proven": "seen"}
    net = made.network()
    device = Device(net, flow_order(net), CREW, {"b0": "puff"}, {"b0": ("puff",)}, zones={"g0": "r0", "a0": "r0"},
        desk="desk", stops=("stop",), keys=("key",), detector="cedar").with_ways()  # fmt: skip
    line = Timeline("20:00", (Stretch("one", 0, 600), Stretch("two", 900, 1500)), (),
        (Shot("puff", "one", 60, quantity(1)), Shot("puff", "two", 960, quantity(1))))  # fmt: skip
    steps = plan(device, line, {"puff": ("b0",)}, [], list(normal(net)), "30 min", False)
    steps += incidents(device, View({}, "/operators"), View({}, "/first_aid"), (), ())
    armed = [s.text for s in steps if s.text.endswith("Armed.")]
    assert armed[0].startswith("spark on and seen to work, nobody near b0")
    assert any("says that spark is on and seen to work" in s.text for s in steps if s.procedure == "firing")
    burned_off = [s.text for s in steps if "urn off a0" in s.text]
    assert len(burned_off) == 2
    assert all("in short bursts with spark on and seen to work" in text for text in burned_off)
    assert not [s.text for s in steps if "torch" in s.text or "pilot" in s.text]
    assert not [s.text for s in steps if s.procedure == "stop" and "flame still burns" in s.text], "none does"
    (sticks,) = (s.text for s in steps if s.look_for == "a burst does not stop")
    assert "v1 and t0" in sticks


def four_bursts() -> tuple[Device, Made]:
    """Two supplies, two accumulators that stand apart, two bursts of each: one pair over a pilot, one by a spark."""
    made = Made()
    made.line("t0", "v_a", "x0", "r9", "v_p", "p0")
    made.line("x0", "v0", "r0", "a0", "x1", "s0", "b0")
    made.line("x1", "s1", "b1")
    made.line("t1", "v_b", "r1", "a1", "x2", "s2", "b2")
    made.line("x2", "s3", "b3")
    for n in (0, 1):
        made.line(f"a{n}", f"g{n}")
        made.line(f"a{n}", f"v{n}_low", f"e{n}")
    made.bleeds = ["v0_low", "v1_low"]
    made.bursts = {f"b{n}": "left" if n < 2 else "right" for n in range(4)}
    made.lit_by = {"p0": {"torch": "ash"}, **{f"b{n}": {"pilot": "p0"} for n in (0, 1)}}
    made.lit_by |= {f"b{n}": {"igniter": "spark", "proven": "seen"} for n in (2, 3)}
    net = made.network()
    device = Device(net, flow_order(net), CREW, made.bursts, {o: (e,) for o, e in made.bursts.items()},
        {}, tuple(made.bleeds), {"g0": "r0", "a0": "r0", "g1": "r1", "a1": "r1"}, "box", detector="cedar",
        stays="cedar").with_ways()  # fmt: skip
    return device, made


def test_four_bursts_on_two_supplies_go_as_the_steps_say_and_read_as_a_crew_reads(tmp_path: Path) -> None:
    device, made = four_bursts()
    line = Timeline("20:00", (Stretch("one", 0, 600),), (), tuple(
        Shot(e, "one", 60 * n, quantity(1)) for e in ("left", "right") for n in (1, 2)))  # fmt: skip
    outlets = {"left": ("b0", "b1"), "right": ("b2", "b3")}
    steps = plan(device, line, outlets, [], list(normal(device.net)), "30 min", False)
    plant = Plant(device.net, made.bursts, POSTS, watchers=("elm",), desk="box")
    plant.callers = {"cedar"}
    through(plant, steps, ("first", "later"))
    what_goes_wrong(device, device.net, made, steps)
    mended(device, device.net, made, steps)
    stopped = shutdown.emergency(device, list(emergency(device.net, made.bursts)), View({}, "/operators"))
    told = " ".join(s.text for s in (*steps, *stopped))
    assert "30 s at most: it feeds" in told or "30 s at most: they feed" in told
    assert re.search(r"lets? them down by v\d_low and v\d_low", told)
    assert "a0 and a1 stays" not in told
    assert "v1_low (plug out)" in told


def test_nobody_reads_two_gauges_that_stand_apart() -> None:
    device, _ = four_bursts()
    apart = device._replace(places={"g0": "west", "g1": "east"})
    parts = tuple(p._replace(spec=View({}, p.at)) if p.kind == "gauge" else p for p in device.net.parts)
    net = network_of(list(parts), (), list(device.net.links))
    looks, said = _read_beside(
        apart._replace(net=net), [Act("light", "p0", "ash", "bed"), Act("open", "v_p", "", "box")]
    )
    assert [(a.tag, a.where) for a in looks] == [("g0", "west"), ("g1", "east")]
    assert looks[0].who != looks[1].who
    assert "reads g0" in said
    assert "reads g1" in said


def test_a_regulator_is_set_when_its_first_flame_is_lit_in_mid_show() -> None:
    made = Made()
    made.line("t0", "v_0", "r0", "v0", "b0")
    made.line("t1", "v_1", "r1", "x1", "v1", "b1")
    made.line("x1", "g1")
    net = made.network()
    device = Device(net, flow_order(net), CREW, {}, {"b0": ("one",), "b1": ("two",)}, zones={"g1": "r1"}).with_ways()
    line = Timeline("20:00", (Stretch("early", 0, 600), Stretch("late", 600, 1200)),
        (Lit("one", "early", 0, quantity(1200)), Lit("two", "late", 600, quantity(600))), ())  # fmt: skip
    steps = plan(device, line, {"one": ("b0",), "two": ("b1",)}, [], list(normal(net)), "30 min", False)
    start, change = ([s.text for s in steps if s.procedure == p] for p in ("start", "scene_change"))
    assert [t for t in start if "r1 to" in t] == []
    assert [t for t in change if t.startswith("With these flames burning, set r1 to 10 psi on g1")] != []


def test_tags_that_count_up_are_read_as_one() -> None:
    assert listed(["v1", "v_p", "v_r1", "v_r2", "v_r3"]) == "v1, v_p and v_r1 to v_r3"
    assert listed(["v1", "v2"]) == "v1 and v2"
    assert listed(["v9", "v10", "v11", "v13"]) == "v9 to v11 and v13"
    assert listed([]) == ""


def test_a_spotter_who_stands_beside_a_valve_is_not_given_it() -> None:
    crew = Crew(
        (Hand("elm", "spotter", (), "box"), Hand("ash", "valve", (), "desk"), Hand("cedar", "lead", (), "rope"))
    )
    assert crew.pick("box", "valve") == "ash"
    assert crew.pick("box", "spotter") == "elm"
    assert crew.pick("box", "valve", (), ("ash",)) == "cedar"


def test_the_lead_says_that_the_show_is_over_and_looks_at_what_others_shut(reeds: Sample) -> None:
    stop = of_night(list(reeds.steps), "stop", "first")
    assert [(a.action, a.who) for a in stop[0].acts] == [("say", "alder")]
    (looked,) = (s for s in stop if "touches and names" in s.text)
    assert {a.who for a in looked.acts} == {"alder"}
