"""Whether each wire is as long as the way between what it joins: at least the straight line, up and down counted.

A wire joins what stands in the lines on either side of it. A fuse or contact without a place of its own lies somewhere
between; so wires are counted together from one thing that has a place to the next. A pair is its own way back.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from specc import Context, Cure, Quantity, Trouble, Unchecked, distance, not_applicable, rule, show
from specc.kinds.geometry import Shape, corners
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK, walked
from specc.measure.units import FOOT
from specc.model.passes import Judging, passed
from specc.model.values import CHOICE
from specc.model.wording import counted, several
from specc_control.entries import ROOT, WIRING, ControlPart, Wiring, nothing


class _Joint(NamedTuple):
    """Points of the lines that no wire parts, called by the first of them: what has its place there, by the place's
    tag, and what has none."""

    name: str
    placed: Mapping[str, str]
    bare: tuple[str, ...]


class _Stretch(NamedTuple):
    """Wires one after another from a thing with a place to the next."""

    wires: tuple[str, ...]
    here: _Joint
    there: _Joint


def _place(ctx: Context, part: ControlPart) -> str:
    """A coil is where its valve is; where a valve without a place is nobody knows, whatever the box of the rest."""
    net = ctx.get(NETWORK)
    valve = net.by_tag.get(part.valve) if net is not None and part.kind == "coil" else None
    return part.spec.text_or("place") or (valve.places[0] if valve and valve.places else "")


def _joints(ctx: Context, w: Wiring) -> dict[str, _Joint]:
    """By point of the lines, the joint that it belongs to: all points that something without length joins."""
    shapes = {tag: spot.shape for tag, spot in ctx[PLACES].items()}
    placed = {tag: place for tag, part in w.parts.items() if shapes.get(place := _place(ctx, part))}
    beside: defaultdict[str, list[str]] = defaultdict(list)
    tags: defaultdict[str, list[str]] = defaultdict(list)
    for pair in w.circuit.supplies:
        for terminal in pair:
            tags[terminal].append(terminal[:-1])
    for e in w.circuit.edges:
        for here, there in ((e.a, e.b), (e.b, e.a)):
            if w.parts[e.tag].kind == "wire":
                tags[here] += []
                continue
            tags[here].append(e.tag)
            if e.tag not in placed and e.kind != "load":  # lies somewhere between what is at its ends
                beside[here].append(there)
    made: dict[str, _Joint] = {}
    for point in list(tags):
        if point not in made:
            joined: dict[str, str] = walked({}, [point], lambda p: beside.get(p, ()), "")
            own = list(dict.fromkeys(tag for p in joined for tag in tags[p]))
            known = {placed[tag]: tag for tag in reversed(own) if tag in placed}
            bare = tuple(tag for tag in own if tag not in placed)
            made |= dict.fromkeys(joined, _Joint(point, known, bare))
    return made


def _stretches(w: Wiring, joints: Mapping[str, _Joint]) -> Iterator[_Stretch]:
    """From each wire at something with a place, on through joints without one, to the next that has one: the fewest
    wires to each."""
    ends: defaultdict[str, list[tuple[str, _Joint]]] = defaultdict(list)
    for e in w.circuit.edges:
        if w.parts[e.tag].kind == "wire":
            ends[joints[e.a].name].append((e.tag, joints[e.b]))
            ends[joints[e.b].name].append((e.tag, joints[e.a]))
    seen: set[frozenset[str]] = set()
    for start in (j for point, j in joints.items() if j.placed and point == j.name):
        todo: list[tuple[tuple[str, ...], _Joint]] = [((tag,), there) for tag, there in ends[start.name]]
        met = {start.name}
        for wires, here in todo:  # grows while it is walked
            if here.placed:
                if here.name != start.name and frozenset(wires) not in seen:
                    seen.add(frozenset(wires))
                    yield _Stretch(wires, start, here)
            elif here.name not in met:
                met.add(here.name)
                todo += [((*wires, tag), there) for tag, there in ends[here.name] if tag not in wires]


def _apart(one: Shape, other: Shape) -> float:
    """The straight line between two places in m, with what one lies above the other where both say it."""
    heights = [[p.z.si for p in corners(s) if p.z is not None] for s in (one, other)]
    a, b = heights
    rise = max(0.0, min(a) - max(b), min(b) - max(a)) if a and b else 0.0
    return math.hypot(distance(one, other).si, rise)


def _nearest(ctx: Context, stretch: _Stretch) -> tuple[float, str, str]:
    """How far apart the ends of a stretch are at least, and between which places."""
    shapes = {tag: spot.shape for tag, spot in ctx[PLACES].items() if spot.shape}
    return min((_apart(shapes[a], shapes[b]), a, b) for a in stretch.here.placed for b in stretch.there.placed)


@rule(
    "control.wire_lengths",
    level="error",
    statement="Each wire is as long as a straight line between what it joins",
    source=CHOICE,
    needs=(WIRING, PLACES),
    wants=(NETWORK,),
    reads=(ROOT,),
)
def wire_lengths(ctx: Context) -> Judging:
    w = ctx[WIRING]
    if not w.circuit.edges:
        return nothing(w)
    joints = _joints(ctx, w)
    stretches = list(_stretches(w, joints))
    pairs: defaultdict[str, set[str]] = defaultdict(set)
    looked: set[str] = set()
    for stretch in stretches:
        wires = [w.parts[tag] for tag in stretch.wires]
        needed, one, other = _nearest(ctx, stretch)
        lengths = [p.spec.quantity("length") for p in wires if p.spec.has("length")]
        total = sum(q.si for q in lengths)
        looked |= {*stretch.wires}
        if not any(p.spec.has("ways") and p.spec.whole("ways") == 1 for p in wires):
            pairs[one].add(other)
            pairs[other].add(one)
        if total < needed * (1 - 1e-9):
            if missing := [p for p in wires if not p.spec.has("length")]:
                said = f"how long {several([p.tag for p in missing])} is"
                yield Unchecked(said, *(p.spec.here("length") for p in missing))
            else:
                yield _short(wires, lengths, total, needed, (one, other))
    for tag in dict.fromkeys(e.tag for e in w.circuit.edges if w.parts[e.tag].kind == "wire" and e.tag not in looked):
        own = [j for e in w.circuit.edges if e.tag == tag for j in (joints[e.a], joints[e.b])]
        bare = dict.fromkeys(t for j in own for t in j.bare)
        yield Unchecked(f"where what {tag} joins has its place", *(w.parts[t].spec.here("place") for t in bare))
    yield from _without_wire(joints, pairs)
    return passed(counted(len(looked), "wire")) if looked else not_applicable("nothing of the wiring stands apart")


def _short(
    wires: list[ControlPart], lengths: list[Quantity], total: float, needed: float, ends: tuple[str, str]
) -> Trouble:
    long = lengths[0].text if len(wires) == 1 else f"{show(total, 'length', 'ft', 3)} together"
    tags = several([p.tag for p in wires])
    # No wire is cut to the straight line; the cure is the least that can reach.
    least = f"{math.ceil((lengths[0].si + needed - total) / FOOT - 1e-9)} ft"
    return Trouble(
        wires[0].at,
        f"{tags} {'is' if len(wires) == 1 else 'are'} {long}, and the straight line from {ends[0]} to {ends[1]} is "
        f"{show(needed, 'length', 'ft', 3)}: {show(needed - total, 'length', 'ft', 2)} too short",
        "with slack for the ground and the bends more, or coordinates in the unit that was measured",
        "a wire that does not reach is spliced in the dark, or what it joins is put elsewhere than on the plan",
        cure=Cure(f"{least} would just reach", ((lengths[0].at, least),)),
    )


def _without_wire(joints: Mapping[str, _Joint], pairs: Mapping[str, set[str]]) -> Iterator[Unchecked]:
    """Things that the lines join directly though they stand apart, and that no pair of wires joins either."""
    said: set[tuple[str, ...]] = set()
    for joint in (j for point, j in joints.items() if point == j.name):
        reached = walked({}, list(joint.placed)[:1], lambda p: pairs.get(p, ()), "")
        away = [place for place in joint.placed if place not in reached]
        if away and (first := next(iter(joint.placed))) and (key := tuple(sorted((first, *away)))) not in said:
            said.add(key)
            yield Unchecked(
                f"by which wire {joint.placed[first]} at {first} is joined to "
                + several([f"{joint.placed[place]} at {place}" for place in away]),
                "/control/lines",
            )


__all__ = ["wire_lengths"]
