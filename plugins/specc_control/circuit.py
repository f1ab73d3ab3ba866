"""A circuit as a graph, and what each load of it sees in every state of its contacts at once.

A node is a piece of copper at one potential; an edge joins two nodes: a wire, a contact, a fuse or a load. What people,
sensors and controllers set are inputs; the coil of a relay sets its own contacts. A state is one setting of all inputs
and relays. A set of states is one whole number, with a bit for each state: so "this contact and that one" is a single
`&`, however many states there are, and every state is looked at.

A load is on where one end of it reaches a supply's plus and the other its minus through wire and closed contacts alone.
It is fed through others where current could only come by way of another load; how much is not computed, so it counts as
maybe on.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Literal, NamedTuple

MOST_VARIABLES = 16  # 65,536 states


class Edge(NamedTuple):
    """`by` is the input or relay that moves a contact, which is closed while that is on, or off (`breaks`).

    `tag` is the part, `name` the edge itself ("stop.2"). `amps` is a fuse's rating.
    """

    name: str
    tag: str
    a: str
    b: str
    kind: Literal["wire", "contact", "fuse", "load"]
    by: str = ""
    breaks: bool = False
    amps: float = 0.0


class Circuit(NamedTuple):
    """`supplies` are pairs of nodes, plus and minus. `relays` are tags of loads that move contacts.

    Of the relays, `stays` keep their contacts on without power (latching relays), and `late` may have them either way
    for a while (timers): how long is not computed, so both ways count.
    """

    supplies: tuple[tuple[str, str], ...]
    edges: tuple[Edge, ...]
    inputs: tuple[str, ...]
    relays: tuple[str, ...]
    stays: tuple[str, ...] = ()
    late: tuple[str, ...] = ()

    @property
    def variables(self) -> tuple[str, ...]:
        return (*self.inputs, *self.relays)


class Seen(NamedTuple):
    """What comes out, as sets of states.

    `all`: every state. `stands`: those in which each relay is as its coil says. `on`, `maybe`: by load. `shorted`: plus
    meets minus and no fuse parts them; `blown`: it did until a fuse opened. `variables`: the states in which each is
    on.
    """

    all: int
    stands: int
    on: Mapping[str, int]
    maybe: Mapping[str, int]
    shorted: int
    variables: Mapping[str, int]
    chatters: int  # settings of the inputs, as states with every relay off, in which no setting of relays stands
    blown: int = 0


def patterns(names: tuple[str, ...]) -> tuple[int, dict[str, int]]:
    """All states, and for each variable the states in which it is on. The first name turns fastest.

    >>> every, on = patterns(("a", "b"))
    >>> bin(every), bin(on["a"]), bin(on["b"])
    ('0b1111', '0b1010', '0b1100')
    """
    every = (1 << (1 << len(names))) - 1
    made = {}
    for k, name in enumerate(names):
        half = 1 << k
        made[name] = every // ((1 << (2 * half)) - 1) * (((1 << half) - 1) << half)
    return every, made


def spread(starts: Mapping[str, int], onward: Callable[[str], Iterable[tuple[str, int]]]) -> dict[str, int]:
    """For each place the states in which something of `starts` gets there. `onward`: where it goes from a place, and in
    which states. The one walk along pipes comes to each place once; this one again, in states in which it had not."""
    reached = dict(starts)
    todo = list(starts)
    while todo:
        here = todo.pop()
        for other, open_in in onward(here):
            new = reached[here] & open_in & ~reached.get(other, 0)
            if new:
                reached[other] = reached.get(other, 0) | new
                todo.append(other)
    return reached


def _reach(
    starts: Mapping[str, int], edges: Collection[tuple[str, str, int]], ends: Mapping[str, int] | None = None
) -> dict[str, int]:
    """For each node the states in which something of `starts` reaches it through `edges` (a, b, states closed).

    It goes to the nodes of `ends`, in the states given, but not on from there.
    """
    ends = ends or {}
    beside: dict[str, list[tuple[str, int]]] = {}
    for a, b, closed in edges:
        if closed:
            beside.setdefault(a, []).append((b, closed))
            beside.setdefault(b, []).append((a, closed))
    return spread(starts, lambda here: ((b, closed & ~ends.get(here, 0)) for b, closed in beside.get(here, ())))


def _softly(start: str, every: int, edges: Collection[tuple[str, str, int]], rail: Mapping[str, int]) -> dict[str, int]:
    """What a supply's terminal reaches by way of loads, without what the other terminal holds at its own potential."""
    return {node: states & ~rail.get(node, 0) for node, states in _reach({start: every}, edges, rail).items()}


class _Feed(NamedTuple):
    plus: Mapping[str, int]
    minus: Mapping[str, int]

    def between(self, a: str, b: str) -> int:
        """States in which current can flow through what lies between two nodes."""
        plus, minus = self.plus.get, self.minus.get
        return (plus(a, 0) & minus(b, 0)) | (plus(b, 0) & minus(a, 0))


def _feed(supply: tuple[str, str], every: int, edges: Collection[tuple[str, str, int]]) -> _Feed:
    return _Feed(_reach({supply[0]: every}, edges), _reach({supply[1]: every}, edges))


def look(circuit: Circuit, watched: Collection[str] = (), dead: bool = False) -> Seen:
    """What every load sees in every state. `maybe` is worked out for the loads in `watched`; `dead`: no supply.

    Raises ValueError for more than MOST_VARIABLES inputs and relays.
    """
    return _looked(circuit, tuple(watched), dead)


# Remembered in a process: a spec that was changed elsewhere has the same circuit, with some eighty single faults of it.
@lru_cache(maxsize=2048)
def _looked(circuit: Circuit, watched: tuple[str, ...], dead: bool) -> Seen:
    names = circuit.variables
    if len(names) > MOST_VARIABLES:
        raise ValueError(f"{len(names)} inputs and relays are more than the {MOST_VARIABLES} that are looked through")
    every, on_when = patterns(names)
    closed: dict[str, int] = {}
    for e in circuit.edges:
        moved = every if not e.by else on_when[e.by]
        closed[e.name] = every & ~moved if e.breaks else moved
    loads = [e for e in circuit.edges if e.kind == "load"]
    hard = [e for e in circuit.edges if e.kind != "load"]
    on = dict.fromkeys((e.tag for e in loads), 0)
    looked = dict.fromkeys((*watched, *circuit.relays))
    maybe = dict.fromkeys(looked, 0)
    shorted = blown = 0
    for supply in () if dead else circuit.supplies:
        # A short opens the smallest fuse in its way; then it is looked again.
        for fuse in (*sorted((e for e in hard if e.kind == "fuse"), key=lambda e: e.amps), None):
            feed = _feed(supply, every, [(e.a, e.b, closed[e.name]) for e in hard])
            short = feed.plus.get(supply[1], 0)
            blown |= short
            if not short or fuse is None:
                break
            without = [(e.a, e.b, closed[e.name]) for e in hard if e is not fuse]
            closed[fuse.name] &= ~(short & _feed(supply, every, without).between(fuse.a, fuse.b))
        shorted |= short
        for e in loads:
            on[e.tag] |= feed.between(e.a, e.b) & ~short
        for tag in looked:
            for e in loads:
                if e.tag == tag:
                    others = [
                        (o.a, o.b, every if o.kind == "load" else closed[o.name]) for o in circuit.edges if o is not e
                    ]
                    # With both ends on one piece of copper nothing pushes a current through it.
                    bridged = _reach({e.a: every}, [(o.a, o.b, closed[o.name]) for o in hard]).get(e.b, 0)
                    # What is at one rail stays at its potential: no current comes from the other rail through it.
                    soft = _Feed(
                        _softly(supply[0], every, others, feed.minus), _softly(supply[1], every, others, feed.plus)
                    )
                    maybe[tag] |= soft.between(e.a, e.b) & ~short & ~bridged
    stands = every
    for relay in circuit.relays:
        moved, powered = on_when[relay], on.get(relay, 0)
        if relay in circuit.late:
            continue
        # One that is fed by way of another load may pull in or not.
        stands &= ~(powered & ~moved | (0 if relay in circuit.stays else moved & ~powered & ~maybe[relay]))
    found = stands
    for k in reversed(range(len(circuit.inputs), len(names))):
        found |= found >> (1 << k)
    bottom = (1 << (1 << len(circuit.inputs))) - 1
    maybe = {tag: maybe[tag] & ~on.get(tag, 0) for tag in watched}
    fixed = MappingProxyType
    return Seen(every, stands, fixed(on), fixed(maybe), shorted, fixed(on_when), bottom & ~found, blown)


def words(states: int, circuit: Circuit) -> tuple[str, ...]:
    """The inputs and relays that are on in the first state of a set; () for none on, or for an empty set."""
    if not states:
        return ()
    first = (states & -states).bit_length() - 1
    return tuple(name for k, name in enumerate(circuit.variables) if first >> k & 1)
