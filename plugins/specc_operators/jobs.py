"""Rule on who does what in an emergency: nobody has two things to do at one time, or at two places.

The steps say who closes what and where; `emergency:` says who calls and who meets help. Whoever has closed their valves
is free for another thing, but nobody who still has one to close.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from specc import PRACTICE, Context, Trouble, Unchecked, not_checked, rule
from specc.kinds.places import PLACES, Spot
from specc.kinds.procedures import STEPS, Act, Step
from specc.model.passes import Judging, passed
from specc.model.view import View
from specc.model.wording import counted, several
from specc_operators.after_stop import CALM
from specc_operators.duty_rules import NO_ROSTER
from specc_operators.hours import DUTIES
from specc_operators.in_words import listed
from specc_operators.posts import AT_HAND, spot_of

ONE = "somebody else for one of them"
FIRST = "one person does one thing at a time, and the first minutes are short"


def _far(one: str, other: str, places: Mapping[str, Spot], most: float) -> bool | None:
    """Whether two places are too far apart for one pair of hands; None where that is not known."""
    a, b = spot_of(places.get(one)), spot_of(places.get(other))
    return math.dist(a, b) > most * (1 + 1e-9) if a and b else None


def _by_person(acts: Sequence[Act]) -> dict[str, list[Act]]:
    made: dict[str, list[Act]] = defaultdict(list)
    for act in acts:
        if act.who:
            made[act.who].append(act)
    return made


def two_places(step: Step, places: Mapping[str, Spot], most: float) -> Iterator[tuple[str, str, str, bool | None]]:
    """Who has something to do at two places in one step: the person, both places, and whether they are far apart."""
    for person, acts in _by_person(step.acts).items():
        for one, other in itertools.combinations(dict.fromkeys(a.where for a in acts if a.where), 2):
            far = _far(one, other, places, most)
            if far is not False:
                yield person, one, other, far


def _still(steps: Sequence[Step], after: Step) -> dict[str, list[str]]:
    """By person, what they have to close in the steps that follow one."""
    acts = [a for s in steps if s.order > after.order for a in s.acts if a.action != "check"]
    return {person: [a.tag for a in own] for person, own in _by_person(acts).items()}


@rule(
    "operators.one_job",
    level="warning",
    statement="In an emergency nobody closes valves, calls and meets help at one time",
    source=PRACTICE,
    needs=(STEPS, PLACES, DUTIES),
    reads=("operators",),
    limits=("operators.at_hand",),
)
def one_job(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    steps = sorted((s for s in ctx[STEPS] if s.procedure == "emergency"), key=lambda s: s.order)
    steps = [s for s in steps if s.order < CALM]
    acting = [s for s in steps if s.acts]
    if not acting:
        return not_checked("nothing is closed by hand in an emergency that the steps know of", "/plumbing/parts")
    most, places = ctx.limit(AT_HAND.key), ctx[PLACES]
    told: View = operators.child("emergency")
    for person, one, other, far in two_places(acting[0], places, most.si):
        if far is None:
            yield Unchecked(f"how far {one} is from {other}, both {person}'s at once, is not known", "/places/*/at")
            continue
        yield Trouble(
            told.at if len(told) else operators.at,
            f"{person} has to be at {one} and at {other} at once in an emergency",
            "somebody else posted at one of them",
            FIRST,
        )
    left = _still(acting, acting[0])
    at_first = {d.person for d in ctx[DUTIES] if d.person == told.text_or("caller")}
    jobs = [("caller", "calls for help")] if at_first else []
    jobs += [("meets", "goes to meet help")]
    jobs += [("second_caller", "calls where the first caller cannot")]
    for key, does in jobs:
        person = told.text_or(key)
        if tags := left.get(person):
            yield Trouble(
                told.here(key),
                f"{person} {does}, and still has {listed(dict.fromkeys(tags))} to close",
                ONE,
                FIRST,
            )
    for key, other_key in itertools.combinations(("caller", "second_caller", "meets"), 2):
        if told.text_or(key) and told.text_or(key) == told.text_or(other_key) and key != "caller":
            yield Trouble(
                told.here(other_key),
                f"{told.text(key)} calls where the first caller cannot, and goes to meet help",
                ONE,
                FIRST,
            )
    unnamed = [a.tag for a in acting[0].acts if a.tag and not a.who]
    said = f"nobody is named for {several(list(dict.fromkeys(unnamed)))}"
    yield from [Unchecked(said, "/operators/shifts/*/effects")] if unnamed else []
    return passed(f"{counted(len({a.who for s in acting for a in s.acts}), 'person')} with something to close")


__all__ = ["two_places"]
