"""The plumbing as a network of flow laws: each part of the spec becomes a pipe, a hole, a valve or a plain joint.

What a part loses is taken from its own values, else from the catalog. A part of which neither says anything is
taken to lose nothing, and is named, so that nobody takes its silence for a small loss.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from specc import Constant, Context, Key, Quantity, show, value
from specc.kinds.plumbing import FITTED, NETWORK, OUTLETS, Fitted, Network, Part
from specc.model.values import CHOICE, Scalar
from specc_fuel.calc.fittings import area_of_kv, kv_of_cv, kv_of_loss, loss_of
from specc_fuel.calc.heat import gross_heating_value
from specc_fuel.calc.pipe import DRAWN_TUBE, HOSE, STEEL_PIPE
from specc_fuel.network import AIR, CheckValve, Element, Hole, Pipeline, Regulator, Throttle
from specc_fuel.network.burning import locked_at
from specc_fuel.network.stores import Stores

_ROUGH = {"pipe": STEEL_PIPE, "tube": DRAWN_TUBE, "hose": HOSE}

# Parts where lines meet or end: all that is joined to one sees its pressure.
_MEETING_FORMS = ("tee", "cross", "manifold", "plug", "cap", "relief")
# What may be typed of how much a valve or fitting holds back, and nobody sees at it.
_TYPED = ("cv", "loss", "bore")
_MEETING_KINDS = ("cylinder", "accumulator", "gauge", *OUTLETS)
# A regulator without a stated seat is taken as wide as its outlet, so that it never holds back more than it is set to.
_WIDE = 0.75 * 0.0254


class Piping(NamedTuple):
    """A network ready to be solved. `before` and `after`: by tag, the node at a part's inlet and outlet. `silent`:
    parts that were taken to lose nothing because nobody says what they lose. `used`: the values it was made from."""

    elements: tuple[Element, ...]
    before: Mapping[str, str]
    after: Mapping[str, str]
    silent: tuple[str, ...]
    used: dict[str, tuple[Scalar, ...]]


class _Nodes:
    """Nodes that turn out to be one are joined as the parts are gone through."""

    def __init__(self) -> None:
        self.leader: dict[str, str] = {}

    def find(self, node: str) -> str:
        self.leader.setdefault(node, node)
        while self.leader[node] != node:
            self.leader[node] = self.leader[self.leader[node]]
            node = self.leader[node]
        return node

    def join(self, a: str, b: str) -> None:
        one, other = sorted((self.find(a), self.find(b)))
        self.leader[other] = one


def bore_of(fit: Fitted) -> Scalar | None:
    """The hole through a part: its own or the catalog's bore, else its outside less two walls."""
    bore = fit.measures.get("bore")
    if bore is not None:
        return bore
    outside, wall = fit.measures.get("outside"), fit.measures.get("wall")
    if outside is not None and wall is not None and outside.si > 2 * wall.si:
        return Constant(outside.si - 2 * wall.si, "length", show(outside.si - 2 * wall.si, "length", "in", 3), CHOICE)
    return None


def _roughness(part: Part) -> Constant:
    """Of steel pipe, drawn tube or hose; a brass or stainless fitting counts as drawn."""
    return _ROUGH.get(part.kind, DRAWN_TUBE)


def setting(part: Part, setting: Scalar | None = None, lock_up: float = 0.0) -> Regulator:
    """A regulator's law, its ends still to be named."""
    spec = part.spec
    held = setting or spec.quantity("set")
    droop = 0.0
    if spec.has("droop") and spec.has("capacity"):
        droop = spec.quantity("droop").si / (spec.quantity("capacity").si / gross_heating_value())
    bore = spec.quantity("seat").si if spec.has("seat") else _WIDE
    locked = locked_at(part, held.si, lock_up)
    area = math.pi * bore**2 / 4
    return Regulator(part.tag, "", "", held.si, max(locked, held.si), droop, area)


def _of_line(part: Part, fit: Fitted, start: str, end: str) -> Pipeline | None:
    # What the spec refuses is not replaced by what the catalog says: reading it stops the sum.
    for name in ("bore", "length", "outside", "wall"):
        part.spec.get(name)
    bore, length = bore_of(fit), fit.measures.get("length")
    if bore is None or length is None:
        return None
    return Pipeline(part.tag, start, end, bore.si, length.si, _roughness(part).si)


def _only_typed(part: Part) -> bool:
    """Whether what a valve or fitting holds back was only typed, or may be changed by a hand."""
    return part.kind in ("valve", "fitting") and any(part.spec.has(key) for key in _TYPED)


def _of_valve(part: Part, fit: Fitted, start: str, end: str, wide: bool) -> Element | None:
    """A valve or fitting in the line by its Cv, its K, or the length of pipe it stands for; None when nobody says.

    `wide`: what was only typed of it holds nothing back; a check valve still lets gas one way."""
    cv = part.spec.quantity_or_none("cv") if part.kind == "valve" else None
    if wide and _only_typed(part):
        return CheckValve(part.tag, start, end, math.pi * _WIDE**2 / 4) if part.form == "check" else None
    if cv is not None:
        if part.form == "check":
            return CheckValve(part.tag, start, end, area_of_kv(kv_of_cv(cv.si)))
        return Throttle(part.tag, start, end, kv_of_cv(cv.si))
    bore, loss = bore_of(fit), fit.measures.get("loss")
    if bore is None:
        return None
    bores = fit.measures.get("loss_bores")
    if isinstance(loss, Quantity):
        k = loss.si
    elif bores is not None:
        k = loss_of(bores.si, bore.si, STEEL_PIPE.si)
    elif part.form == "nipple" and (length := fit.measures.get("length")) is not None:
        return Pipeline(part.tag, start, end, bore.si, length.si, STEEL_PIPE.si)
    else:
        return None
    if k <= 0:
        return None
    if part.form == "needle":
        # It is there to hold gas back: a hole that may choke, where K is meant for a small drop.
        return Throttle(part.tag, start, end, kv_of_loss(k, bore.si))
    return Pipeline(part.tag, start, end, bore.si, 0.0, STEEL_PIPE.si, k)


class _Laid(NamedTuple):
    """What a piece is made of, whatever is open and however its regulators are set. Regulators stand as set."""

    elements: tuple[Element, ...]
    before: Mapping[str, str]
    after: Mapping[str, str]
    silent: tuple[str, ...]
    used: dict[str, tuple[Scalar, ...]]


class Pieces:
    """The plumbing, to be cut into the pieces that are solved. The same piece is solved in each weather case and at
    several settings, by several passes: what it is made of is put together once."""

    def __init__(self, net: Network, fitted: Mapping[str, Fitted]) -> None:
        self.net, self.fitted = net, fitted
        self.stores = Stores(net)
        self._laid: dict[tuple[tuple[str, ...], bool], _Laid] = {}
        self._typed = frozenset(p.tag for p in net.parts if _only_typed(p))
        self.cut: tuple[frozenset[tuple[str, str]], Pieces] | None = None  # as `cut_open` last made them

    def piping(
        self,
        areas: Mapping[str, float],
        within: tuple[str, ...],
        settings: Mapping[str, Scalar] | None = None,
        lock_up: float = 0.0,
        wide: bool = False,
    ) -> Piping:
        """The network of the parts `within`, with jets open at the outlets in `areas` (effective area, m2).

        `settings`: another pressure than the set one, by regulator. `lock_up`: how far a regulator rises above its
        setting at no flow, as a share, where that is not stated. `wide`: valves and fittings of which it was only
        typed how much they hold back hold nothing back.
        """
        self.net.all_read()
        how = (within, wide and not self._typed.isdisjoint(within))
        if how not in self._laid:
            self._laid[how] = _lay(self.net, self.fitted, *how)
        laid = self._laid[how]
        elements = tuple(
            setting(self.net.by_tag[e.tag], (settings or {}).get(e.tag), lock_up)._replace(start=e.start, end=e.end)
            if isinstance(e, Regulator)
            else e
            for e in laid.elements
        )
        jets = [Hole(f"jets of {t}", laid.before[t], AIR, area) for t, area in areas.items() if t in laid.before]
        return Piping((*elements, *jets), laid.before, laid.after, laid.silent, dict(laid.used))


def cut_open(pieces: Pieces, net: Network, cut: frozenset[tuple[str, str]]) -> Pieces:
    """The pieces of the network as it is with these links cut. A fault is solved in one weather case after the other:
    those of the last fault are kept."""
    if pieces.cut is None or pieces.cut[0] != cut:
        pieces.cut = cut, Pieces(net, pieces.fitted)
    return pieces.cut[1]


PIECES: Key[Pieces] = Key("fuel.pieces", Pieces)


@value(
    PIECES,
    needs=(NETWORK, FITTED),
    recalls=(DRAWN_TUBE.citation,),
)
def pieces(ctx: Context) -> Pieces:
    return Pieces(ctx[NETWORK], ctx[FITTED])


def _lay(net: Network, fitted: Mapping[str, Fitted], within: tuple[str, ...], wide: bool) -> _Laid:
    nodes = _Nodes()
    inside = set(within)
    for a in within:
        for b in net.after.get(a, ()):
            if b in inside:
                nodes.join(f"{a}>", f">{b}")
    inline = []
    for tag in within:
        part = net.by_tag[tag]
        if part.kind in _MEETING_KINDS or part.form in _MEETING_FORMS:
            nodes.join(f">{tag}", f"{tag}>")
        else:
            inline.append(part)
    made: list[tuple[Part, Element]] = []
    silent = []
    for part in inline:
        fit = fitted[part.tag]
        start, end = f">{part.tag}", f"{part.tag}>"
        element: Element | None
        if part.kind == "regulator":
            element = setting(part)._replace(start=start, end=end)
        elif part.kind == "orifice":
            bore = part.spec.quantity("bore").si
            area = part.spec.quantity("discharge").si * math.pi * bore**2 / 4
            element = Hole(part.tag, start, end, area)
        elif part.kind in _ROUGH:
            element = _of_line(part, fit, start, end)
        else:
            element = _of_valve(part, fit, start, end, wide)
        if element is None:
            nodes.join(start, end)
            silent.append(part.tag)
        else:
            made.append((part, element))
    elements = [e._replace(start=nodes.find(e.start), end=nodes.find(e.end)) for _, e in made]
    return _Laid(
        # A valve or fitting that a loop of lossless parts goes round has no two ends left.
        tuple(e for e in elements if e.start != e.end),
        {tag: nodes.find(f">{tag}") for tag in within},
        {tag: nodes.find(f"{tag}>") for tag in within},
        tuple(silent),
        _used(net, fitted, [p for p, _ in made], wide),
    )


def _used(
    net: Network, fitted: Mapping[str, Fitted], parts: Iterable[Part], wide: bool
) -> dict[str, tuple[Scalar, ...]]:
    """What a network was made from, by the symbol of the equation of solved.py."""
    used: dict[str, list[Scalar]] = {}

    def add(symbol: str, value: Scalar | None) -> None:
        if value is not None:
            used.setdefault(symbol, []).append(value)

    for part in parts:
        measures = fitted[part.tag].measures
        if part.kind == "regulator":
            add("p_s", part.spec.quantity("set"))
        elif part.kind == "orifice":
            add("d_o", part.spec.quantity("bore"))
            add("C_o", part.spec.quantity("discharge"))
        elif part.kind in _ROUGH:
            for name in ("bore",) if "bore" in measures else ("outside", "wall"):
                add("d", measures.get(name))
            add("L", measures.get("length"))
        elif part.kind == "valve" and not wide:
            add("C_v", part.spec.quantity_or_none("cv"))
    return {symbol: tuple(values) for symbol, values in used.items()}
