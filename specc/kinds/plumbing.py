"""Parts, how their ends join, and how gas runs through them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Literal, NamedTuple, TypeAlias, TypeVar

from specc.model.passes import FigureSet, Gathered, Key
from specc.model.values import Citation, Constant, Quantity
from specc.model.view import Unreadable, View, join

# Kinds of part where gas leaves on purpose and burns.
OUTLETS = ("burner", "pilot")

# What gas runs along, by its length.
LINES = ("pipe", "tube", "hose")

# What may be rated by class. What can fail alone, such as a hose or valve, is read on each.
RATED_BY_CLASS = ("fitting", "pipe", "tube", "orifice", "burner")

# The kind of a part whose own cannot be read. It stays where it is, and may be anything.
UNREAD = "part"


class Part(NamedTuple):
    """One part, by tag. `spec` gives its values (`spec.quantity("bore")`), which differ by kind."""

    tag: str
    kind: str
    form: str
    title: str  # what a reader calls it: "hose, 3/8 in, 10 ft"
    spec: View
    at: str

    @property
    def places(self) -> tuple[str, ...]:
        """Tags of the places where it is, one for each end of a hose; () where none is said. Raises Unreadable."""
        if not self.spec.has("place"):
            return ()
        return self.spec.texts("place") if isinstance(self.spec["place"], list) else (self.spec.text("place"),)


class Run(NamedTuple):
    """Parts in flow order. `start` is the tag of the part the run leaves from."""

    tag: str
    start: str
    line: tuple[str, ...]
    at: str


Ways: TypeAlias = Mapping[str, tuple[str, ...]]


Spot = TypeVar("Spot")


def walked(
    met: dict[Spot, Spot], starts: Iterable[Spot], following: Callable[[Spot], Iterable[Spot] | None], start: Spot
) -> dict[Spot, Spot]:
    """The one walk along pipes: what is met from `starts`, the nearest first, each with what it was come to from,
    `start` for a start. Kept in `met`, which `following` may look into on the way."""
    met.update(dict.fromkeys(starts, start))
    queue = list(met)
    for here in queue:  # grows while it is walked
        for there in following(here) or ():
            if there not in met:
                met[there] = here
                queue.append(there)
    return met


class Network(NamedTuple):
    """All parts and runs, and the links between parts in the direction of flow (from, to)."""

    parts: tuple[Part, ...]
    runs: tuple[Run, ...]
    links: tuple[tuple[str, str], ...]
    by_tag: Mapping[str, Part]  # the parts again
    after: Mapping[str, tuple[str, ...]]  # tag to the tags that its gas goes to next
    before: Mapping[str, tuple[str, ...]]  # tag to the tags that its gas comes from
    place: Mapping[str, int]  # tag to its place among the parts
    kinds: Mapping[str, tuple[Part, ...]]  # the parts of each kind
    down: Ways  # as `after`, and from an accumulator at the end of a branch back to where that joins a way to an outlet
    up: Ways  # as `before`, and to what gives back so
    stores_at: Ways  # where such a branch joins, to the accumulators that give back there

    def part(self, tag: str) -> Part | None:
        return self.by_tag.get(tag)

    def of_kind(self, *kinds: str) -> tuple[Part, ...]:
        if len(kinds) == 1:
            return self.kinds.get(kinds[0], ())
        return tuple(p for p in self.parts if p.kind in kinds)

    def downstream(self, tag: str) -> tuple[Part, ...]:
        """All parts that gas from this one reaches, without it, in the order of `parts`. What is in an accumulator at
        the end of a branch goes back by it."""
        return self._in_order(self.walk(self.down.get(tag, ()), self.down), tag)

    def upstream(self, tag: str) -> tuple[Part, ...]:
        """All parts that gas comes from to this one, without it, in the order of `parts`."""
        return self._in_order(self.walk(self.up.get(tag, ()), self.up), tag)

    def walk(self, starts: Iterable[str], ways: Ways, stop: Callable[[Part], bool] | None = None) -> dict[str, str]:
        """What is met from `starts` along `ways` (`after`, `before`, `near`), the nearest first, each with the tag from
        which it was come to ("" for a start).

        A part for which `stop` is true is met, and nothing is looked for beyond it.
        """
        met: dict[str, str] = {}
        known = (t for t in starts if t in self.by_tag)
        if stop is None:
            return walked(met, known, ways.get, "")
        return walked(met, known, lambda here: () if stop(self.by_tag[here]) else ways.get(here), "")

    def way(self, start: str, end: str) -> tuple[str, ...]:
        """The tags of a shortest way that gas takes from one part to another, both included; () if there is none."""
        return way_of(self.walk((start,), self.after), end)

    def stores(self, part: Part) -> bool:
        """Whether gas for what is behind a part is stored there: in it, or on a branch that joins there."""
        return part.kind == "accumulator" or part.tag in self.stores_at

    def first_above(self, tag: str, *kinds: str) -> tuple[Part, ...]:
        """The parts of some kinds that are met first on each way up from a part, the nearest first."""
        met = self.walk(self.before.get(tag, ()), self.before, lambda p: p.kind in kinds)
        return tuple(p for p in map(self.by_tag.__getitem__, met) if p.kind in kinds and p.tag != tag)

    @property
    def unread(self) -> tuple[Part, ...]:
        """Parts whose kind cannot be read: each may be anything."""
        return self.kinds.get(UNREAD, ())

    def all_read(self) -> None:
        """Stops a pass, by Unreadable, that cannot answer while a part may be anything."""
        for part in self.unread:
            raise Unreadable(join(part.at, "kind"))

    @property
    def near(self) -> Ways:
        """Each tag to all that it is linked to, with the flow or against it."""
        return {t: (*self.after.get(t, ()), *self.before.get(t, ())) for t in self.by_tag}

    def _in_order(self, tags: Iterable[str], without: str) -> tuple[Part, ...]:
        return tuple(self.by_tag[t] for t in sorted(tags, key=self.place.__getitem__) if t != without)


def way_of(met: Mapping[str, str], end: str) -> tuple[str, ...]:
    """The way back from `end` through what `Network.walk` met, as tags in the order they were met; () if not met."""
    way: list[str] = []
    while end in met:
        way.append(end)
        end = met[end]
    return tuple(reversed(way))


class Reach(NamedTuple):
    """What feeds an outlet: the parts from a cylinder to it in flow order, along the shortest way."""

    outlet: str
    cylinders: tuple[str, ...]
    path: tuple[str, ...]


NETWORK: Key[Network] = Key("plumbing.network", Network)
"""All parts and runs of the plumbing, and how gas flows between them."""
REACHES: Key[tuple[Reach, ...]] = Key("plumbing.reaches", tuple)
"""One for each outlet that some cylinder feeds."""


class End(NamedTuple):
    """One end of a part.

    `family`: how it joins: NPT, NPSM, BSPT, BSPP (threads); flare (SAE 45 degrees); CGA; tube (a plain tube end
    is male, the socket it is brazed or soldered into female); hose (a barb is male, the bare hose female);
    compression; weld. `size`: nominal size in inches as the trade writes it ("1/2"), the outside diameter for
    flare, tube and compression, the number for CGA. `gender`: "male", "female", or "" for weld.
    """

    family: str
    size: str
    gender: str
    nut: bool = False  # a loose nut on the end holds the joint, and is counted as a part of its own
    at: str = ""  # JSON pointer, when the spec states it

    @property
    def words(self) -> str:
        """As a fitter says it: "1/2 in male NPT"."""
        if self.family == "CGA":
            return f"CGA {self.size} {self.gender}"
        if self.family == "tube":
            return f"{self.size} in OD tube" if self.gender == "male" else f"socket for {self.size} in OD tube"
        if self.family == "hose":
            return f"{self.size} in hose barb" if self.gender == "male" else f"bare end of {self.size} in hose"
        if self.family == "weld":
            return f"{self.size} in weld end"
        if self.nut:
            return f"{self.size} in {self.family} with nut"
        return f"{self.size} in {self.gender} {self.family}"


class Size(NamedTuple):
    """One size of a catalog family. `ends` as a spec writes them; `measures` by name in SI, each with its source:
    bore, outside, wall, take_out (center to face), engaged, loss (a loss coefficient) and so on."""

    name: str
    ends: tuple[str, ...]
    measures: tuple[tuple[str, Constant], ...] = ()


class Family(NamedTuple):
    """A family of generic parts in the catalog: no maker, no brand. `ordered`: gas flows from the first end to
    the last, so it cannot be turned round. `adapter`: offered where two ends do not mate."""

    name: str
    kind: str
    form: str
    sizes: tuple[Size, ...]
    citation: Citation
    ordered: bool = False
    adapter: bool = False
    note: str = ""
    order: int = 0


def full_name(family: str, size: str) -> str:
    """What a reader calls a size of a family, no word twice: "3/8 female flare x 1/2 NPT swivel connector"."""
    said = set(size.lower().split())
    return " ".join([size, *(w for w in family.split() if w.lower() not in said)])


CATALOG: Gathered[Family] = Gathered("plumbing.catalog")
"""Families of generic parts. A club's plugin adds its own; a project does so under plumbing: catalog:."""


class Fitted(NamedTuple):
    """A part with what the catalog fills in where the spec is silent. The part's own value always goes first.

    `ends` is empty when neither says. `ordered` as in Family. `family` is the catalog's name for it, or "".
    """

    part: Part
    ends: tuple[End, ...]
    ordered: bool
    family: str
    measures: Mapping[str, Quantity | Constant]


FITTED: Key[Mapping[str, Fitted]] = Key("plumbing.fitted", dict)
"""By tag, every part of the network."""


class Joint(NamedTuple):
    """One joint, in the direction of flow: between two parts, or within one (a brazed burner, a union).

    `number` counts from 1 in the order of the runs; `tag` and `spec` are of its entry under joints:, if any.
    `method` is as stated, else as both ends have it, else "". `ends` are the two that meet there, where known.
    `sealant` is the joint's own, else what `seals:` says of all joints of its method; `sealant_at` where that stands.
    """

    number: int
    tag: str
    method: str
    stated: bool
    parts: tuple[Part, ...]
    ends: tuple[End | None, ...]
    spec: View
    at: str
    sealant: str = ""
    sealant_at: str = ""

    @property
    def words(self) -> str:
        """What a reader calls it."""
        if len(self.parts) == 1:
            return f"the {self.method} joint within {self.parts[0].tag}"
        name = f" {self.tag}" if self.tag else ""
        method = f"{self.method} " if self.method else ""
        return f"the {method}joint{name} ({self.parts[0].tag} to {self.parts[1].tag})"

    def where(self, key: str) -> str:
        """The JSON pointer of what is, or would be, stated of it."""
        return self.spec.here(key) if self.tag or len(self.parts) == 1 else "/plumbing/joints"


JOINTS: Key[tuple[Joint, ...]] = Key("plumbing.joints", tuple)
"""All joints: every link of the network has one, described or not."""

# With spaces, so that no regulator's tag can be one of them.
SUPPLY, OPEN = "cylinder pressure", "open to the air"
ZONES: Key[Mapping[str, str]] = Key("plumbing.zones", dict)
"""By tag: SUPPLY (cylinder pressure), the tag of the regulator set highest of those whose gas gets there, with the flow
or back against it, OPEN (past an orifice, with nothing further on that could close), or "" where no gas comes."""


class Border(NamedTuple):
    """Where a zone ends: gas goes from the part `before` to the part `after`, one of which is in the `other` zone.
    `inward` when it comes into the zone there."""

    before: str
    after: str
    other: str
    inward: bool


class Zone(NamedTuple):
    """A zone with its parts, in the order of the network, and its borders."""

    name: str
    parts: tuple[str, ...]
    borders: tuple[Border, ...]


ZONE_BORDERS: Key[tuple[Zone, ...]] = Key("plumbing.zone_borders", tuple)
"""Every zone that has a part; parts that no gas reaches are in none."""

RegulatorState: TypeAlias = Literal["set", "highest", "lock_up", "failed_open"]
"""What the regulators ahead of a zone are taken to do: as set, gas flowing; at their highest setting, no flow; as set,
no flow; or one of them wide open."""
ZONE_PRESSURE: Key[FigureSet] = Key("fuel.zone_pressure", dict)
"""By `zone_tag(zone, state)`: the highest gauge pressure in the zone, by weather case."""


def regulators_into(net: Network, zones: Mapping[str, str], zone: str) -> tuple[Part, ...]:
    """The regulators whose gas comes into a zone: each of them may fail open, not only the one that it is called by."""
    return tuple(r for r in net.of_kind("regulator") if any(zones.get(t) == zone for t in net.after.get(r.tag, ())))


def zone_words(zone: str) -> str:
    """What a zone is called in print: "behind reg_a", "cylinder pressure". A spec may name it so too."""
    return zone if zone in (SUPPLY, OPEN) else f"behind {zone}"


def zone_tag(zone: str, state: RegulatorState) -> str:
    """The tag of a zone's figure in one state of its regulators: "pr1.failed_open", "cylinder_pressure.set"."""
    return f"{zone.replace(' ', '_')}.{state}"
