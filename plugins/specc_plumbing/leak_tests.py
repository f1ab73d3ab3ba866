"""The leak and pressure tests as described: which zones, with which gas, and where that gas stands.

Air or another gas that does not burn goes wherever it is let: through open valves, both ways, up to what is taken out,
plugged or closed. It is followed there, whichever zones are named. Propane, the plumbing's own gas, is followed through
the zones that are named, as it flows. A solenoid valve counts as closed unless it is held open for the test.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Literal, NamedTuple, TypeAlias

from specc import Context, Key, View, value
from specc.kinds.plumbing import NETWORK, OPEN, OUTLETS, ZONES, Joint, Network, Part, walked, zone_words
from specc_plumbing.reach import by_itself, closes, open_ended

Gas: TypeAlias = Literal["own", "inert", "oxygen", "other"]
OWN = ("own gas", "propane", "lp-gas")
INERT = ("air", "nitrogen", "carbon dioxide", "argon", "helium")
_FORMULAS = {"n2": "nitrogen", "co2": "carbon dioxide", "ar": "argon", "he": "helium"}
_AS_BOUGHT = ("compressed ", "dry ", "shop ")


class LeakTest(NamedTuple):
    """One test. `parts`: what its gas stands in. `leaves`: where that gets out into the open. `kept`: regulators and
    cylinders that stay in its way. `beyond`: by zone that the test does not name, parts of it that the gas gets to.
    `unknown`: names that are no part or zone. `misused`: by key, tags that cannot do what it says of them. `out`: what
    is taken out for it. `day`: when, its own or that of all tests, or ""."""

    tag: str
    zones: tuple[str, ...]
    gas: Gas
    parts: frozenset[str]
    leaves: tuple[str, ...]
    kept: tuple[str, ...]
    beyond: Mapping[str, tuple[str, ...]]
    unknown: tuple[str, ...]
    misused: tuple[tuple[str, str], ...]
    out: frozenset[str]
    day: str
    spec: View

    @property
    def at(self) -> str:
        return self.spec.at

    def reaches(self, joint: Joint) -> bool:
        return all(part.tag in self.parts for part in joint.parts)


LEAK_TESTS: Key[tuple[LeakTest, ...]] = Key("plumbing.leak_tests", tuple)
"""The tests under plumbing: tests:, in the order they are written."""


@value(LEAK_TESTS, needs=(NETWORK, ZONES), reads=("plumbing",))
def leak_tests(ctx: Context) -> tuple[LeakTest, ...]:
    plumbing = ctx.spec("plumbing")
    tests = plumbing.child("tests").children()
    if not tests:
        return ()
    ctx[NETWORK].all_read()
    day = plumbing.text_or("tested")
    return tuple(test_of(ctx[NETWORK], ctx[ZONES], tag, spec, day) for tag, spec in tests)


def gas_of(text: str) -> Gas:
    """What a test is made with: the plumbing's own gas, one that does not burn, or one that must not be used."""
    word = " ".join(text.lower().replace("_", " ").split())
    if "oxygen" in word or word == "o2":
        return "oxygen"
    for bought in _AS_BOUGHT:
        word = word.removeprefix(bought)
    word = _FORMULAS.get(word, word)
    return "own" if word in OWN else "inert" if word in INERT else "other"


_DONE_TO = ("plugged", "closed", "opened")


def _can_be(net: Network, part: Part, key: str) -> bool:
    """Whether a part can be plugged, closed or held open for a test. A row of holes takes no plug."""
    if key != "plugged":
        return closes(part)
    if part.kind in OUTLETS:
        jets = part.spec.child("jets")
        return not jets.has("count") or jets.quantity("count").si <= 1
    return part.kind == "orifice" or open_ended(net, part)


def test_of(net: Network, zones: Mapping[str, str], tag: str, spec: View, day: str) -> LeakTest:
    there = {*zones.values()} - {""}
    printed = {zone_words(z): z for z in there}
    # Two regulators into one zone: it goes by one of their tags, and either names it.
    for regulator in net.of_kind("regulator"):
        behind = {zones[t] for t in net.after.get(regulator.tag, ())} - {"", OPEN}
        if regulator.tag not in there and len(behind) == 1:
            printed[regulator.tag] = printed[zone_words(regulator.tag)] = next(iter(behind))
    named = tuple(dict.fromkeys(printed.get(z.removeprefix("the zone "), z) for z in spec.texts("zones")))
    gas, at = gas_of(spec.text("with")), spec.text_or("at")
    changed = [spec.texts(key) for key in ("out", *_DONE_TO)]
    unknown = [z for z in named if z not in there]
    unknown += [t for tags in (*changed, (at,) if at else ()) for t in tags if t not in net.by_tag]
    misused = [
        (key, t)
        for key, tags in zip(_DONE_TO, changed[1:], strict=True)
        for t in tags
        if t in net.by_tag and not _can_be(net, net.by_tag[t], key)
    ]
    out = frozenset(changed[0])
    plugged, closed, opened = (
        frozenset(t for t in tags if (key, t) not in misused) for key, tags in zip(_DONE_TO, changed[1:], strict=True)
    )
    way = _Way(net, zones, frozenset(named), out, plugged, closed, opened)
    starts = [at] if at in net.by_tag else way.entrances()
    seen = way.with_the_flow(starts) if gas == "own" else way.wherever_it_is_let(starts)
    ordered = sorted(seen, key=net.place.__getitem__)
    beyond: dict[str, list[str]] = {}
    for t in ordered:
        if zones[t] not in named and net.by_tag[t].kind not in ("regulator", "orifice"):
            beyond.setdefault(zones[t], []).append(t)
    return LeakTest(
        tag,
        named,
        gas,
        frozenset(seen),
        tuple(t for t in ordered if way.leaves(net.by_tag[t], gas == "own")),
        tuple(t for t in ordered if net.by_tag[t].kind in ("regulator", "cylinder")),
        {z: tuple(tags) for z, tags in beyond.items()},
        tuple(dict.fromkeys(unknown)),
        tuple(misused),
        out,
        spec.text_or("tested", day),
        spec,
    )


class _Way(NamedTuple):
    """How a network stands during a test: what is taken out, plugged, closed, and held open."""

    net: Network
    zones: Mapping[str, str]
    named: frozenset[str]
    out: frozenset[str]
    plugged: frozenset[str]
    closed: frozenset[str]
    opened: frozenset[str]

    def entrances(self) -> list[str]:
        """Where gas comes into the zones that are named: at cylinders, and behind what passes it into them."""
        met = []
        for part in self.net.parts:
            zone, before = self.zones[part.tag], self.net.before.get(part.tag, ())
            if zone in self.named and (not before or any(self.zones[b] != zone for b in before)):
                met.append(part.tag)
        for tag in met:  # grows: what is taken out at an entrance leaves the next part to begin at
            if tag in self.out:
                met += [t for t in self.net.after.get(tag, ()) if self.zones[t] in self.named and t not in met]
        return [t for t in met if t not in self.out]

    def shut(self, part: Part) -> bool:
        return part.tag in self.closed or (by_itself(part) and part.tag not in self.opened)

    def supplied(self) -> set[str]:
        """Where the plumbing's own gas comes to: from a cylinder that is not taken out, past nothing that is."""
        cylinders = [c.tag for c in self.net.of_kind("cylinder") if c.tag not in self.out]
        met = self.net.walk(cylinders, self.net.after, lambda p: p.tag in self.out or self.shut(p))
        return {t for t in met if t not in self.out}

    def with_the_flow(self, starts: Iterable[str]) -> set[str]:
        """Through the zones that are named, and what lets gas into them: the joint there is looked at too."""
        supplied = self.supplied()

        def after(here: str) -> list[str]:
            there = () if self.shut(self.net.by_tag[here]) else self.net.after.get(here, ())
            return [t for t in there if t in supplied and self.zones[t] in self.named]

        seen = {*walked({}, (t for t in starts if t in supplied), after, "")}
        return seen | {b for t in starts if t in seen for b in self.net.before.get(t, ()) if b in supplied}

    def wherever_it_is_let(self, starts: Iterable[str]) -> set[str]:
        """Both ways; not through a regulator or a check valve from behind, nor out of an orifice into the open."""

        def beyond(spot: tuple[str, bool]) -> list[tuple[str, bool]]:
            """What is met next, each with whether gas gets through it: from behind it does not pass a check valve."""
            here, through = spot
            part = self.net.by_tag[here]
            if not through or self.shut(part) or part.kind in ("regulator", *OUTLETS):
                return []
            after = () if here in self.plugged or part.form == "relief" else self.net.after.get(here, ())
            ways = [(t, True) for t in after if part.kind != "orifice" or self.zones[t] != OPEN]
            ways += [(t, self.net.by_tag[t].form != "check") for t in self.net.before.get(here, ())]
            return [(there, on) for there, on in ways if there not in self.out]

        begin = ((t, True) for t in starts if t not in self.out)
        return {tag for tag, _ in walked({}, begin, beyond, ("", False))}

    def leaves(self, part: Part, own: bool) -> bool:
        """Whether gas gets into the open there: an outlet that is not plugged, an orifice before one, an open end."""
        if part.tag in self.plugged or self.shut(part):
            return False
        if part.kind in OUTLETS or open_ended(self.net, part):
            return True
        into_the_open = any(self.zones[t] == OPEN and t not in self.out for t in self.net.after.get(part.tag, ()))
        return part.kind == "orifice" and into_the_open and not (own and OPEN in self.named)
