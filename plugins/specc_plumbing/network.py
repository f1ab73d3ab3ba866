"""The network of parts as the spec describes it, faults and all; and what feeds each outlet."""

from __future__ import annotations

import contextlib
import itertools
from collections import defaultdict, deque
from collections.abc import Mapping

from specc import Context, View, value
from specc.kinds.plumbing import NETWORK, OUTLETS, REACHES, Network, Part, Reach, Run
from specc.view import Unreadable

# Measures that tell a part from its neighbours, in the order a parts list gives them.
_TELLING = ("capacity", "volume", "set", "bore", "length")


def title_of(kind: str, spec: View) -> str:
    """What a reader calls a part: its title, or form, kind and measures."""
    try:
        if spec.has("title"):
            return spec.text("title")
        form = spec.text_or("form").replace("_", " ")
        name = "union" if form == "union" else f"{form} {kind}" if form else kind
        words = [name.strip()]
        if spec.has("size"):
            words.append(spec.text("size"))
        for key in _TELLING:
            if spec.has(key):
                text = spec.quantity(key).text
                words.append(f"set to {text}" if key == "set" else f"{text} {key}" if key == "bore" else text)
        if spec.has("jets"):
            jets = spec.child("jets")
            size = jets.quantity("bore").text if jets.has("bore") else "slit"
            words.append(f"{jets.quantity('count').text} jets, {size}")
        return ", ".join(words)
    except Unreadable:
        return kind  # the refused measure is reported where it stands


@value(NETWORK, reads=("plumbing",))
def network(ctx: Context) -> Network:
    """Parts and runs. A link is made only between parts that exist; rules report the rest."""
    plumbing = ctx.spec("plumbing")
    parts = []
    for tag, spec in plumbing.child("parts").children():
        try:
            kind = spec.text("kind")
        except Unreadable:
            continue  # reported by the schema
        form = ""
        with contextlib.suppress(Unreadable):
            form = spec.text_or("form")
        parts.append(Part(tag, kind, form, title_of(kind, spec), spec, spec.at))
    runs = []
    for tag, spec in plumbing.child("runs").children():
        try:
            runs.append(Run(tag, spec.text("from"), spec.texts("line"), spec.at))
        except Unreadable:
            continue  # reported by the schema
    known = {p.tag for p in parts}
    links: dict[tuple[str, str], None] = {}
    for run in runs:
        steps = (run.start, *run.line)
        for before, after in itertools.pairwise(steps):
            if before in known and after in known and before != after:
                links[(before, after)] = None
    return Network(tuple(parts), tuple(runs), tuple(links))


def downstream(links: tuple[tuple[str, str], ...]) -> Mapping[str, tuple[str, ...]]:
    """Tag to the tags that its gas goes to next."""
    after: dict[str, list[str]] = defaultdict(list)
    for before, to in links:
        after[before].append(to)
    return {tag: tuple(found) for tag, found in after.items()}


@value(REACHES, needs=(NETWORK,))
def reaches(ctx: Context) -> tuple[Reach, ...]:
    """For each outlet that gas reaches: the cylinders that feed it, and the shortest way from the first."""
    net = ctx[NETWORK]
    after = downstream(net.links)
    outlets = [p.tag for p in net.of_kind(*OUTLETS)]
    fed: dict[str, list[tuple[str, tuple[str, ...]]]] = {tag: [] for tag in outlets}
    for cylinder in net.of_kind("cylinder"):
        came_from: dict[str, str] = {cylinder.tag: ""}
        queue = deque([cylinder.tag])
        while queue:
            here = queue.popleft()
            for there in after.get(here, ()):
                if there not in came_from:
                    came_from[there] = here
                    queue.append(there)
        for outlet in outlets:
            if outlet in came_from:
                way, step = [outlet], came_from[outlet]
                while step:
                    way.append(step)
                    step = came_from[step]
                fed[outlet].append((cylinder.tag, tuple(reversed(way))))
    return tuple(
        Reach(outlet, tuple(tag for tag, _ in ways), ways[0][1]) for outlet, ways in fed.items() if ways
    )


PASSES = (network, reaches)
