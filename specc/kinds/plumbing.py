"""Parts and how gas runs through them."""

from __future__ import annotations

from typing import NamedTuple

from specc.passes import Key
from specc.view import View

# Kinds of part where gas leaves on purpose and burns.
OUTLETS = ("burner", "pilot")


class Part(NamedTuple):
    """One part, by tag. `spec` gives its values (`spec.quantity("bore")`), which differ by kind."""

    tag: str
    kind: str
    form: str
    title: str  # what a reader calls it: "hose, 3/8 in, 10 ft"
    spec: View
    at: str


class Run(NamedTuple):
    """Parts in flow order. `start` is the tag of the part the run leaves from."""

    tag: str
    start: str
    line: tuple[str, ...]
    at: str


class Network(NamedTuple):
    """All parts and runs, and the links between parts in the direction of flow (from, to)."""

    parts: tuple[Part, ...]
    runs: tuple[Run, ...]
    links: tuple[tuple[str, str], ...]

    def part(self, tag: str) -> Part | None:
        return next((p for p in self.parts if p.tag == tag), None)

    def of_kind(self, *kinds: str) -> tuple[Part, ...]:
        return tuple(p for p in self.parts if p.kind in kinds)


class Reach(NamedTuple):
    """What feeds an outlet: the parts from a cylinder to it in flow order, along the shortest way."""

    outlet: str
    cylinders: tuple[str, ...]
    path: tuple[str, ...]


NETWORK: Key[Network] = Key("plumbing.network", Network)
REACHES: Key[tuple[Reach, ...]] = Key("plumbing.reaches", tuple)
"""One for each outlet that some cylinder feeds."""
