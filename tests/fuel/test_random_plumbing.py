"""What holds for any plumbing, tried on specs with several supplies that hypothesis makes up.

A feed more never turns a finding on pressure, copper or relief into passed; a value left out never turns failed into
passed; what the supplies give is what burns; and names, the order of what is listed, and which side stands first change
nothing.
"""

from __future__ import annotations

import random
import re
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, Phase, assume, example, given, settings
from hypothesis import strategies as st

from specc.model.result import Result
from specc.testing import result_of

TRIES = settings(
    max_examples=15,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow],
)
PRESSURE = (
    "fuel.rated_for_failure", "fuel.rated_for_setting", "fuel.relief_capacity", "fuel.relief_setting",
    "materials.brazed_copper_open",
)  # fmt: skip
OTHERS = (
    "fuel.rated_for_supply", "fuel.regulator_capacity", "fuel.service_pressure", "fuel.store_relief",
    "materials.braze_phosphorus", "materials.burner_metal", "materials.copper_grade", "materials.hose_marking",
    "plumbing.lit_by",
)  # fmt: skip
HEAD = """format: 1
project: {title: Random}
event: {name: Trial evening, dates: [2027-06-19], elevation: 0 ft}
weather: {air: {low: 50 °F, usual: 64 °F, high: 86 °F}}
"""
# What a maker may leave unsaid, as it stands in the texts below.
OPTIONAL = (
    ", highest: ", ", lock_up: ", ", seat: ", ", capacity: ", ", material: copper", ", rating: ", ", opens: ",
    ", relieves: ", ", joint: {", ", filler: ", ", lit_by: {", ", marking: ", ", made_for: ", ", grade: ",
)  # fmt: skip


class Supply(NamedTuple):
    set: int
    above: int  # how far it can be turned up
    seat: str
    capacity: int
    relief: tuple[int, int] | None  # opens at, lets out lb/h


class Feed(NamedTuple):
    supply: int
    outlet: int
    drill: str  # in, "" for a feed without an orifice


class Plumbing(NamedTuple):
    supplies: tuple[Supply, ...]
    ratings: tuple[int, ...]  # of the outlets, psi
    feeds: tuple[Feed, ...]


SUPPLY = st.builds(
    Supply,
    st.integers(2, 30),
    st.integers(0, 30),
    st.sampled_from(["1/16 in", "1/8 in"]),
    st.sampled_from([20, 400]),
    st.none() | st.tuples(st.integers(20, 80), st.sampled_from([20, 400])),
)


@st.composite
def plumbings(draw: st.DrawFn) -> Plumbing:
    supplies = tuple(draw(st.lists(SUPPLY, min_size=2, max_size=3)))
    ratings = tuple(draw(st.lists(st.sampled_from([10, 125, 300]), min_size=1, max_size=3)))
    first = tuple(Feed(draw(st.integers(0, len(supplies) - 1)), i, draw(_drill())) for i in range(len(ratings)))
    return Plumbing(supplies, ratings, first + tuple(draw(st.lists(_feed(supplies, ratings), max_size=2))))


def _drill() -> st.SearchStrategy[str]:
    return st.sampled_from(["0.016 in", "0.028 in", "0.060 in", ""])


def _feed(supplies: tuple[Supply, ...], ratings: tuple[int, ...]) -> st.SearchStrategy[Feed]:
    return st.builds(Feed, st.integers(0, len(supplies) - 1), st.integers(0, len(ratings) - 1), _drill())


def text_of(plumbing: Plumbing) -> str:
    """The spec. Each supply ends in a manifold from which its feeds lead to the outlets."""
    parts, runs = [], []
    for i, s in enumerate(plumbing.supplies):
        parts += [
            f"tank_{i}: {{kind: cylinder, capacity: 100 lb, diameter: 15 in, height: 48 in, tare: 70 lb, "
            "rating: 240 psi}",
            f"pr_{i}: {{kind: regulator, set: {s.set} psi, highest: {s.set + s.above} psi, lock_up: {s.set + 2} psi, "
            f"seat: {s.seat}, capacity: {s.capacity} kBTU/h, rating: 250 psi, made_for: lp_gas}}",
            f"h_{i}: {{kind: hose, bore: 3/8 in, length: 20 ft, rating: 350 psi, marking: LP-GAS 350 PSI}}",
            f"m_{i}: {{kind: fitting, form: manifold, rating: 300 psi}}",
        ]
        runs.append(f"main_{i}: {{from: tank_{i}, line: [pr_{i}, h_{i}, m_{i}]}}")
        if s.relief:
            parts.append(
                f"rv_{i}: {{kind: valve, form: relief, opens: {s.relief[0]} psi, relieves: {s.relief[1]} lb/h, "
                f"rating: 250 psi}}"
            )
            runs.append(f"relief_{i}: {{from: m_{i}, line: [rv_{i}]}}")
    for i, rating in enumerate(plumbing.ratings):
        parts.append(
            f"b_{i}: {{kind: burner, form: stem, material: copper, lit_by: {{igniter: spark}}, rating: {rating} psi, "
            "joint: {method: brazed, filler: BCuP-5}, jets: {count: 12, bore: 1/16 in, discharge: 0.7}}"
        )
    for i, feed in enumerate(plumbing.feeds):
        parts.append(f"t_{i}: {{kind: tube, length: 5 ft, outside: 3/8 in, wall: 0.03 in, grade: M, rating: 300 psi}}")
        hole = f"fo_{i}, " if feed.drill else ""
        if feed.drill:
            parts.append(f"fo_{i}: {{kind: orifice, bore: {feed.drill}, discharge: 0.8, rating: 300 psi}}")
        runs.append(f"feed_{i}: {{from: m_{feed.supply}, line: [t_{i}, {hole}b_{feed.outlet}]}}")
    outlets = ", ".join(f"b_{i}" for i in range(len(plumbing.ratings)))
    return (
        HEAD + f"effects: {{glow: {{kind: steady, outlets: [{outlets}]}}}}\n"
        "show: {scenes: {dusk: {lasts: 10 min, steady: [glow]}}}\nplumbing:\n  parts:\n    "
        + "\n    ".join(parts)
        + "\n  runs:\n    "
        + "\n    ".join(runs)
        + "\n"
    )


def result(text: str, *only: str) -> Result:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "project.yaml"
        path.write_text(text, encoding="utf-8")
        return result_of(path, only=only)


def statuses(text: str, *rules: str) -> dict[str, str]:
    found = {r.id: r.status for r in result(text, *(f"rule {r}" for r in rules)).rules}
    return {r: found[r] for r in rules}


def without(text: str, start: str, which: int) -> str:
    """The text less one of the values that begin so, if there is any."""
    places = [i for i in range(len(text)) if text.startswith(start, i)]
    if not places:
        return text
    begin = places[which % len(places)]
    end, depth = begin + 2, 0
    while depth or text[end] not in ",}":
        depth += (text[end] == "{") - (text[end] == "}")
        end += 1
    return text[:begin] + text[end:]


PASSED = ("passed", "stated", "not applicable")


@TRIES
@given(plumbings(), st.data())
def test_a_feed_more_never_turns_a_finding_into_passed(plumbing: Plumbing, data: st.DataObject) -> None:
    more = data.draw(_feed(plumbing.supplies, plumbing.ratings))
    # Without an orifice, to a second burner, it is one more way out of the zone, which lowers the pressure there.
    assume(more.drill or {f.outlet for f in plumbing.feeds if f.supply == more.supply and not f.drill} <= {more.outlet})
    before = statuses(text_of(plumbing), *PRESSURE)
    after = statuses(text_of(plumbing._replace(feeds=(*plumbing.feeds, more))), *PRESSURE)
    turned = {r: (was, after[r]) for r, was in before.items() if was == "failed" and after[r].startswith(PASSED)}
    assert turned == {}


@TRIES
@given(plumbings(), st.sampled_from(OPTIONAL), st.integers(0, 9))
def test_a_value_left_out_never_turns_failed_into_passed(plumbing: Plumbing, start: str, which: int) -> None:
    text = text_of(plumbing)
    before, after = statuses(text, *PRESSURE, *OTHERS), statuses(without(text, start, which), *PRESSURE, *OTHERS)
    turned = {r: (was, after[r]) for r, was in before.items() if was == "failed" and after[r].startswith(PASSED)}
    assert turned == {}


@TRIES
@given(plumbings())
def test_what_burns_is_what_the_supplies_give(plumbing: Plumbing) -> None:
    made = result(text_of(plumbing), "figures fuel.supply_gas", "figure fuel.gas_for_the_show")
    whole = made.figure("fuel.gas_for_the_show")
    assert whole is not None, [f.message for f in made.findings]
    supplies = [f for f in made.figures if f.key.startswith("fuel.supply_gas.")]
    # Case by case: the worst of one supply need not be that of another.
    for one in whole.cases:
        gives = [c.worked.si for f in supplies for c in f.cases if c.case == one.case]
        assert sum(gives) == pytest.approx(one.worked.si, rel=1e-6)


_TAG = re.compile(r"\b(?:tank|pr|h|m|rv|b|t|fo|main|relief|feed)_\d\b")


def turned_round(text: str, order: random.Random) -> tuple[str, dict[str, str]]:
    """The same device, with other tags, and everything that is listed in another order; and the old tag of each."""
    old = sorted(set(_TAG.findall(text)))
    new = [f"x{i}" for i in order.sample(range(100, 999), len(old))]
    names = dict(zip(old, new, strict=True))
    head, _, body = _TAG.sub(lambda m: names[m[0]], text).partition("plumbing:\n  parts:\n")
    parts, runs = (lines.splitlines() for lines in body.split("\n  runs:\n"))
    outlets = re.search(r"outlets: \[(.*?)\]", head)
    assert outlets is not None
    listed = outlets[1].split(", ")
    for some in (parts, runs, listed):
        order.shuffle(some)
    head = head.replace(outlets[1], ", ".join(listed))
    back = {n: o for o, n in names.items()}
    return head + "plumbing:\n  parts:\n" + "\n".join(parts) + "\n  runs:\n" + "\n".join(runs) + "\n", back


# What is shut in, a piece that is carried, and a zone behind several regulators are called by one of several parts:
# that name is not the same.
_CALLED_BY_ONE = ("fuel.shut_in_", "plumbing.piece_weight")


def _told(made: Result, back: dict[str, str]) -> tuple[dict[str, str], dict[tuple[str, str], list[float]]]:
    figures: dict[tuple[str, str], list[float]] = {}
    for f in made.figures:
        key = re.sub(r"\bx\d{3}\b", lambda m: back[m[0]], f.key)
        key = key.rpartition(".")[0] if key.startswith(_CALLED_BY_ONE) else key
        key = re.sub(r"^(fuel\.zone_pressure)\.pr_\d", r"\1", key)
        for c in f.cases:
            figures.setdefault((key, c.case), []).append(c.worked.si)
    return {r.id: r.status for r in made.rules}, {key: sorted(values) for key, values in figures.items()}


# Two regulators of unlike seats and settings into one burner without an orifice, each with its relief.
UNLIKE = Plumbing(
    (Supply(5, 0, "1/8 in", 20, (40, 20)), Supply(20, 10, "1/16 in", 400, (60, 100))),
    (125, 10),
    (Feed(0, 0, ""), Feed(1, 1, "0.060 in"), Feed(1, 0, "")),
)

# Three burners of one zone, of which one is fed by a second regulator too: it counted only where it was listed first.
FED_BY_MORE = Plumbing(
    (Supply(20, 14, "1/16 in", 20, None), Supply(2, 29, "1/8 in", 20, None)),
    (300, 125, 125),
    (Feed(0, 0, ""), Feed(0, 1, ""), Feed(0, 2, "0.016 in"), Feed(1, 0, "0.060 in")),
)


# A zone that two like regulators give into.
ALIKE = Plumbing(
    (Supply(21, 27, "1/16 in", 20, None),) * 3,
    (10, 300, 125),
    (Feed(0, 0, ""), Feed(2, 1, ""), Feed(1, 2, "0.016 in"), Feed(0, 0, "0.060 in"), Feed(1, 0, "0.060 in")),
)


@TRIES
@example(ALIKE, 1)
@example(FED_BY_MORE, 428)
@example(UNLIKE, 1)
@example(UNLIKE, 2)
@example(UNLIKE, 3)
@given(plumbings(), st.integers(0, 999))
def test_names_and_order_change_nothing(plumbing: Plumbing, seed: int) -> None:
    text = text_of(plumbing)
    other, back = turned_round(text, random.Random(seed))
    only = (*(f"rule {r}" for r in (*PRESSURE, *OTHERS)), "figures", "figure")
    rules, figures = _told(result(text, *only), {})
    turned_rules, turned = _told(result(other, *only), back)
    assert turned_rules == rules
    assert turned.keys() == figures.keys()
    for key, si in figures.items():
        assert turned[key] == pytest.approx(si, rel=1e-5, abs=1e-9), key
