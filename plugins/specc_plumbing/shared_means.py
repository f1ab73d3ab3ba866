"""What moves the valves, from `driven_by:`, and whether all who speak of it say the same."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from specc import CHOICE, Context, Trouble, Verdict, found, gather, not_applicable, rule
from specc.kinds.faults import MEANS, SHARED_MEANS, Means, SharedMeans
from specc.kinds.plumbing import NETWORK, Part
from specc.model.wording import counted

_SAYS = "plumbing"


@gather(SHARED_MEANS, needs=(NETWORK,))
def driven_by(ctx: Context) -> Sequence[SharedMeans]:
    by: dict[tuple[Means, str], list[Part]] = defaultdict(list)
    for valve in ctx[NETWORK].of_kind("valve"):
        stated = valve.spec.child("driven_by")
        for kind in MEANS:
            if stated.has(kind):
                by[kind, stated.text(kind)].append(valve)
    return [
        SharedMeans(kind, tag, tuple(v.tag for v in valves), _SAYS, valves[0].spec.child("driven_by").here(kind))
        for (kind, tag), valves in by.items()
    ]


def _differ(means: tuple[SharedMeans, ...]) -> Iterator[Trouble]:
    """Valves of which two speakers name other means of one kind."""
    said: dict[tuple[str, Means], dict[str, dict[str, str]]] = defaultdict(dict)
    for one in means:
        for closure in one.closures:
            said[closure, one.kind].setdefault(one.said_by, {})[one.tag] = one.at
    for (closure, kind), speakers in said.items():
        others = [name for name in speakers if name != _SAYS]
        for other in others if _SAYS in speakers else ():
            if set(speakers[other]) != set(speakers[_SAYS]):
                yield Trouble(
                    next(iter(speakers[_SAYS].values())),
                    f"the {kind} of {closure} is {' and '.join(sorted(speakers[_SAYS]))} here, and "
                    f"{' and '.join(sorted(speakers[other]))} in {other}",
                    "the one that is built, in both",
                    "which valves fail together follows from it",
                )


def _two_kinds(means: tuple[SharedMeans, ...]) -> Iterator[Trouble]:
    """Tags that are one kind of means in one place and another in the next."""
    kinds: dict[str, SharedMeans] = {}
    for one in means:
        first = kinds.setdefault(one.tag, one)
        if first.kind != one.kind:
            yield Trouble(
                one.at,
                f"{one.tag} is a {one.kind} for {', '.join(one.closures)}, and a {first.kind} for "
                f"{', '.join(first.closures)}",
                "one tag for one thing, of one kind",
                "which valves fail together follows from it",
            )


@rule(
    "plumbing.driven_alike",
    level="error",
    statement="What moves a valve is the same thing wherever it is named",
    source=CHOICE,
    needs=(SHARED_MEANS,),
)
def driven_alike(ctx: Context) -> Verdict:
    means = ctx[SHARED_MEANS]
    if not means:
        return not_applicable("no valve says what moves it (driven_by:)")
    return found([*_differ(means), *_two_kinds(means)], counted(len(means), "means") + " of closing")
