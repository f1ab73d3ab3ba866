"""What feeds a pilot waits while the burst that it lights blows: one rule on every page that says what is shut."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from test_incidents_order import BY_HAND

from specc import Table
from specc.engine.road import COMPILE, Ask, travel
from specc.kinds.faults import CLOSING_ORDER, Closing, while_it_blows
from specc.kinds.packet import CAUTIONS
from specc.kinds.procedures import STEPS, Step
from specc.model.blocks import Bullets, Caution
from specc.model.result import Result

# A burst by a coil whose own feed stands at the box, and its pilot's valve beside the cylinder.
FEED_AT_BOX = BY_HAND.replace("v_b: {is: 1/2 NPT ball valve", "sv_1: {is: 1/2 NPT solenoid valve").replace(
    "v_p: {is: 1/4 NPT ball valve, place: box}", "v_p: {is: 1/4 NPT ball valve, place: supply}"
)
SPECS = {"reeds": ("", "nozzle", {"v2"}), "by hand": (BY_HAND, "nozzle", {"v_f"}),
         "feed at box": (FEED_AT_BOX, "nozzle", {"v_f"})}  # fmt: skip
STARVE = {"reeds": {"tank_a", "tank_b", "v_a", "v_b", "v_p"}, "by hand": {"tank_a", "v_p"},
          "feed at box": {"tank_a", "v_p"}}  # fmt: skip

FAR = {"reeds": {"v3": (("nozzle",), 20)}, "by hand": {}, "feed at box": {}}


@pytest.fixture(scope="module", params=list(SPECS))
def told(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, complete: Callable[[str], Result]
) -> tuple[str, Result]:
    if not SPECS[request.param][0]:
        return request.param, complete("lantern_reeds")
    spec = tmp_path_factory.mktemp("wait") / "project.yaml"
    units = "extinguishers: {units: {x1: {is: 2-A water extinguisher, place: box}}}\n"
    spec.write_text(SPECS[request.param][0] + units, encoding="utf-8")
    return request.param, travel(str(spec), None, Ask(kinds=COMPILE))


def steps_of(result: Result, procedure: str) -> list[Step]:
    own = [i.item for i in result.items(STEPS.name) if isinstance(i.item, Step) and i.item.procedure == procedure]
    return sorted(own, key=lambda s: s.order)


def starves_before(tags: list[str], starve: set[str], feed: set[str]) -> set[str]:
    """What feeds a pilot and comes, in an order, before all that feeds its burst alone."""
    last = max((tags.index(t) for t in feed), default=0)
    return {t for t in tags[:last] if t in starve}


def test_the_order_that_is_gathered_knows_what_waits(told: tuple[str, Result]) -> None:
    name, result = told
    order = [i.item for i in result.items(CLOSING_ORDER.name) if isinstance(i.item, Closing)]
    for procedure in ("emergency", "leak_upstream"):
        own = [c for c in order if c.procedure == procedure and c.action == "close"]
        assert {c.tag for c in own if c.feeds} == STARVE[name] & {c.tag for c in own}
        assert all(c.waits_for == ("nozzle",) and c.feeds == ("pilot_1",) for c in own if c.feeds)
        # What only shuts the accumulator off, where nobody is posted, waits too.
        assert {c.tag: (c.waits_for, c.order) for c in own if c.waits_for and not c.feeds} == FAR[name]
        for at in {c.order for c in own}:
            tags = [c.tag for c in own if c.order == at]
            assert not starves_before(tags, STARVE[name], SPECS[name][2] & {*tags})


@pytest.mark.parametrize("procedure", ["emergency", "leak", "hold"])
def test_in_the_steps_it_is_shut_after_the_stop_and_after_a_look_at_the_burst(
    told: tuple[str, Result], procedure: str
) -> None:
    name, result = told
    armed = True
    seen = False
    for act in (a for s in steps_of(result, procedure) for a in s.acts):
        armed = armed and act.action not in ("disarm", "switch_off") and act.tag != "v_b"
        seen = seen or (act.action, act.tag) == ("check", "nozzle")
        if act.action == "close" and act.tag in STARVE[name]:
            assert seen, f"{procedure}: {act.tag} is shut while nozzle may blow"
            assert not armed or name == "by hand", f"{procedure}: {act.tag} is shut while nozzle may be fired"


def test_every_page_that_names_a_valve_which_waits_says_so(told: tuple[str, Result]) -> None:
    name, result = told
    texts = {f"{p} {s.order}": s.text for p in ("emergency", "leak") for s in steps_of(result, p) if s.order < 70}
    texts["blows"] = next(s.text for s in steps_of(result, "incident") if s.look_for == "a burst does not stop")
    assert "once it is out, or after 30 s, close the cylinders" in texts.pop("blows"), "one limit on each card"
    texts["dark"] = next(s.text for s in steps_of(result, "incident") if s.look_for == "all is dark")
    for begins in ("a hose", "a cylinder vents"):
        own = [s.text for s in steps_of(result, "incident") if s.look_for.startswith(begins)]
        # One cylinder alone feeds the pilot; of two the other keeps it, and a hose that parted keeps none.
        waits = begins == "a cylinder vents" and name != "reeds"
        once = "STOP. Once nozzle is seen out, or after 30 s, close"
        assert all(text.startswith(once) == waits for text in own), own
    for where, text in texts.items():
        shut = {t for t in STARVE[name] if re.search(rf"\b{t}\b", text)}
        said = re.search(r"While nozzle blows|[Oo]nce nozzle is seen out", text)
        # With no end waits only what starves no pilot: a valve to which nobody goes while it blows.
        for said in re.findall(r"nozzle is seen out(?!, or after 30 s)[^;.]*", text):
            assert not {t for t in STARVE[name] if re.search(rf"\b{t}\b", said)}, (where, text)
        assert "While nozzle blows" not in text or re.search(r"While nozzle blows .* waits?, 30 s at most", text), text
        assert bool(said) == bool(shut) or "hand valve that is left" in text or "back in" in text, (where, text)
        if "Once nozzle" in text or "once nozzle" in text:  # what waits stands behind it
            first = text[: text.lower().index("once nozzle")].split("While nozzle")[0]
            assert not {t for t in STARVE[name] if re.search(rf"(?<!it feeds )\b{t}\b", first)}, (where, text)


def test_the_extinguishers_and_the_cautions_say_it_in_the_words_of_the_order(told: tuple[str, Result]) -> None:
    _, result = told
    order = [i.item for i in result.items(CLOSING_ORDER.name) if isinstance(i.item, Closing)]
    wait = while_it_blows(c for c in order if c.procedure == "emergency")
    assert wait
    cautions = [i.item.text for i in result.items(CAUTIONS.name) if isinstance(i.item, Caution)]
    assert any("nearest to them" in text.replace("\n", " ") and wait in text for text in cautions)
    lines = [line for s in result.sections for b in s.blocks if isinstance(b, Bullets) for line in b.items]
    assert any("nearest valve first" in str(line) and wait in str(line) for line in lines)


def test_the_table_of_orders_says_it_beside_each_valve(told: tuple[str, Result]) -> None:
    name, result = told
    table = dict(result.tables)["plumbing.closing_order"]
    assert isinstance(table, Table)
    for row in table.rows:
        when, does, what, _, why = map(str, row.cells)
        if does == "close" and not when.startswith("end of"):
            named = {t for t in STARVE[name] if re.search(rf"\b{t}\b", what)}
            feed = {t for t in SPECS[name][2] if re.search(rf"\b{t}\b", what)}
            assert not (named and feed), "what waits has a row of its own"
            far = {t for t in FAR[name] if re.search(rf"\b{t}\b", what)}
            assert bool(named | far) == ("nozzle" in why), row.cells


def test_without_a_feed_of_its_own_a_burst_ends_with_the_cylinders_and_nothing_waits(
    tmp_path: Path, complete: Callable[[str], Result]
) -> None:
    spec = tmp_path / "project.yaml"
    spec.write_text(FEED_AT_BOX.replace("v_f: {is: 1/4 NPT ball valve, place: box}, ", ""), encoding="utf-8")
    order = [
        i.item for i in travel(str(spec), None, Ask(kinds=COMPILE)).items(CLOSING_ORDER.name)
        if isinstance(i.item, Closing)
    ]  # fmt: skip
    assert {c.tag for c in order if c.procedure == "emergency" and not c.waits_for} >= {"tank_a"}
    assert not while_it_blows(
        i.item for i in complete("garden_brazier").items(CLOSING_ORDER.name) if isinstance(i.item, Closing)
    )


def test_where_no_flame_burns_the_lines_empty_and_no_hand_lets_them_out_nothing_is_taken_off(tmp_path: Path) -> None:
    only = FEED_AT_BOX.replace("lit_by: {pilot: pilot_1}", "lit_by: {igniter: spark}")
    start, end = only.index("    p: [m1"), only.index("    b: [m1")
    spec = tmp_path / "project.yaml"
    spec.write_text(only[:start] + only[end:], encoding="utf-8")
    stop = steps_of(travel(str(spec), None, Ask(kinds=COMPILE)), "stop")
    assert any("no hand valve lets them out. Nothing is taken off" in s.text for s in stop)
    assert not any(a.action == "disconnect" for s in stop for a in s.acts)
    bleed = "    d: [acc1, v_d: {is: 1/4 NPT needle valve, place: box}, e1: {is: 1/4 NPT plug, place: box}]\n"
    spec.write_text(only[:start] + only[end:].replace("operators:", bleed + "operators:", 1), encoding="utf-8")
    stop = steps_of(travel(str(spec), None, Ask(kinds=COMPILE)), "stop")
    let, off = (
        next(n for n, s in enumerate(stop) if word in s.text) for word in ("let the lines out slowly", "disconnect")
    )
    assert let < off
    opened = [a.tag for a in stop[let].acts if a.action == "open"]
    assert opened == ["v_f", "v_d"], "each on the way, in the order of flow"
