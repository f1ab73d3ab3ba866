"""What to put between two ends that do not mate: the shortest chain of adapters from the catalog.

Never offered: compression fittings, a POL nut inside a valve for CGA 791 (what its own nut does is lost), and threads
that seal only on a washer (NPSM, BSPP) or belong to the other system of pipe threads (BSPT), unless one of the two ends
has that thread itself.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from specc.kinds.plumbing import End, Family, full_name
from specc_plumbing.ends import BadEnd, mates, parse_end, pol_in_791

MOST = 5
"""Longer chains are not offered."""

_BETWEEN = frozenset(("NPT", "flare", "CGA", "tube", "hose", "weld"))
_NEVER = "compression"


class AdapterStep(NamedTuple):
    """One adapter as it is put in. `ends`: toward the first end asked for, and toward the second.

    `bore` is in m, None where the catalog has no number. `turned`: against the order in the catalog.
    """

    family: str
    size: str
    ends: tuple[End, End]
    bore: float | None
    turned: bool = False

    @property
    def words(self) -> str:
        """What a reader calls it, "3/8 female flare x 1/2 NPT swivel connector"."""
        return full_name(self.family, self.size)

    @property
    def rank(self) -> tuple[str, str, bool]:
        return (self.family, self.size, self.turned)

    @property
    def wide(self) -> float:
        """The bore; 0 where it is not known, so that a known one is preferred."""
        return self.bore or 0.0


class _KnownAdapters:
    """The adapters of one catalog, by the end that a step starts with, and the chains found so far."""

    def __init__(self, families: Sequence[Family]) -> None:
        self.families = families
        self.steps = _steps(families)
        self.starts: dict[End, list[AdapterStep]] = defaultdict(list)
        for step in self.steps:
            self.starts[step.ends[0]].append(step)
        self.onto: dict[tuple[End, bool], tuple[AdapterStep, ...]] = {}
        self.found: dict[tuple[End, End], tuple[AdapterStep, ...] | None] = {}

    def after(self, end: End, asked: bool = False) -> tuple[AdapterStep, ...]:
        """The steps that mate with an end, by name. `asked`: the end is one of the two asked for."""
        if (end, asked) not in self.onto:
            fitting = [s for start, steps in self.starts.items() if _may(end, start, asked) for s in steps]
            self.onto[end, asked] = tuple(sorted(fitting, key=lambda s: s.rank))
        return self.onto[end, asked]


def _may(a: End, b: End, asked: bool) -> bool:
    """Whether two ends mate in a way that is offered."""
    if _NEVER in (a.family, b.family) or mates(a, b) is None or pol_in_791(a, b):
        return False
    return asked or a.family in _BETWEEN


def _steps(families: Sequence[Family]) -> tuple[AdapterStep, ...]:
    """Every adapter with two ends, also turned round where gas may go either way."""
    made: list[AdapterStep] = []
    read: dict[str, End | BadEnd] = {}
    for family in families:
        if not family.adapter:
            continue
        for size in family.sizes:
            if len(size.ends) != 2:
                continue
            for text in size.ends:
                if text not in read:
                    read[text] = parse_end(text)
            a, b = read[size.ends[0]], read[size.ends[1]]
            if isinstance(a, BadEnd) or isinstance(b, BadEnd):
                continue  # a project's own entry, which a rule reports
            bore = next((c.si for name, c in size.measures if name == "bore"), None)
            made.append(AdapterStep(family.name, size.name, (a, b), bore))
            if not family.ordered and a != b:
                made.append(AdapterStep(family.name, size.name, (b, a), bore, turned=True))
    return tuple(made)


# The catalog last asked. Held by identity: it is the same tuple throughout a run.
_held: list[_KnownAdapters] = []


def between(a: End, b: End, families: Sequence[Family]) -> tuple[AdapterStep, ...] | None:
    """The shortest chain of adapters that joins two ends, with gas going from `a` to `b`.

    The fewest parts; of those, the one whose narrowest bore is widest; of those, the first by name. An empty
    chain means that the ends mate as they are, None that no chain of up to MOST adapters joins them. What has no
    known bore counts as narrowest.
    """
    if mates(a, b):
        return ()
    if not _held or _held[0].families is not families:
        _held[:] = [_KnownAdapters(families)]
    held = _held[0]
    pair = (a._replace(at=""), b._replace(at=""))
    if pair not in held.found:
        held.found[pair] = _search(*pair, held)
    return held.found[pair]


def _search(a: End, b: End, held: _KnownAdapters) -> tuple[AdapterStep, ...] | None:
    """Layer by layer: first how wide the narrowest bore can be, then the first chain by name that is as wide."""
    widest: dict[End, float] = {a: float("inf")}
    seen = {a}
    for parts in range(1, MOST + 1):
        reached: dict[End, float] = {}
        for end, wide in widest.items():
            for step in held.after(end, asked=parts == 1):
                out = step.ends[1]
                reached[out] = max(reached.get(out, -1.0), min(wide, step.wide))
        done = [wide for end, wide in reached.items() if _may(end, b, asked=True)]
        if done:
            return _first(a, b, parts, max(done), held)
        # An end that was reached with fewer parts is not worth reaching again.
        widest = {end: wide for end, wide in reached.items() if end not in seen}
        seen |= set(widest)
        if not widest:
            return None
    return None


def _first(a: End, b: End, parts: int, wide: float, held: _KnownAdapters) -> tuple[AdapterStep, ...] | None:
    """The first chain by name of so many parts, none narrower than `wide`."""
    dead: set[tuple[End, int]] = set()

    def go(end: End, left: int) -> tuple[AdapterStep, ...] | None:
        if left == 0:
            return () if _may(end, b, asked=True) else None
        if (end, left) in dead:
            return None
        for step in held.after(end, asked=left == parts):
            if step.wide >= wide:
                rest = go(step.ends[1], left - 1)
                if rest is not None:
                    return (step, *rest)
        dead.add((end, left))
        return None

    return go(a, parts)
