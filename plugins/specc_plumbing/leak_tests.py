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
from specc_plumbing.reach import by_itself

Gas: TypeAlias = Literal["own", "inert", "oxygen", "other"]
OWN = ("own gas", "propane", "lp-gas")
INERT = ("air", "nitrogen", "carbon dioxide", "argon", "helium")
_FORMULAS = {"n2": "nitrogen", "co2": "carbon dioxide", "ar": "argon", "he": "helium"}


class LeakTest(NamedTuple):
    """One test. `parts`: what its gas stands in. `leaves`: where that gets out into the open. `kept`: regulators and
    cylinders that stay in its way. `beyond`: by zone that the test does not name, parts of it that the gas gets to.
    `unknown`: names that are no part or zone. `day`: when, its own or that of all tests, or ""."""

    tag: str
    zones: tuple[str, ...]
    gas: Gas
    parts: frozenset[str]
    leaves: tuple[str, ...]
    kept: tuple[str, ...]
    beyond: Mapping[str, tuple[str, ...]]
    unknown: tuple[str, ...]
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
    word = _FORMULAS.get(word, word)
    return "own" if word in OWN else "inert" if word in INERT else "other"


def test_of(net: Network, zones: Mapping[str, str], tag: str, spec: View, day: str) -> LeakTest:
    printed = {zone_words(z): z for z in zones.values() if z}
    named = tuple(dict.fromkeys(printed.get(z.removeprefix("the zone "), z) for z in spec.texts("zones")))
    gas, at = gas_of(spec.text("with")), spec.text_or("at")
    changed = [spec.texts(key) for key in ("out", "plugged", "closed", "opened")]
    unknown = [z for z in named if z not in {*zones.values()} - {""}]
    unknown += [t for tags in (*changed, (at,) if at else ()) for t in tags if t not in net.by_tag]
    out, plugged, closed, opened = map(frozenset, changed)
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

    def with_the_flow(self, starts: Iterable[str]) -> set[str]:
        """Through the zones that are named, and what lets gas into them: the joint there is looked at too."""

        def after(here: str) -> list[str]:
            there = () if self.shut(self.net.by_tag[here]) else self.net.after.get(here, ())
            return [t for t in there if t not in self.out and self.zones[t] in self.named]

        seen = {*walked({}, (t for t in starts if t not in self.out), after, "")}
        return seen | {b for t in starts for b in self.net.before.get(t, ()) if b not in self.out}

    def wherever_it_is_let(self, starts: Iterable[str]) -> set[str]:
        """Both ways; not through a regulator or a check valve from behind, nor out of an orifice into the open."""
        seen = {t for t in starts if t not in self.out}
        todo, passed = [(t, True) for t in seen], set(seen)
        for here, through in todo:
            part = self.net.by_tag[here]
            if not through or self.shut(part) or part.kind in ("regulator", *OUTLETS):
                continue
            after = () if here in self.plugged or part.form == "relief" else self.net.after.get(here, ())
            ways = [(t, True) for t in after if part.kind != "orifice" or self.zones[t] != OPEN]
            ways += [(t, self.net.by_tag[t].form != "check") for t in self.net.before.get(here, ())]
            for there, on in ways:
                if there in self.out or (there in seen and (there in passed or not on)):
                    continue
                seen.add(there)
                passed |= {there} if on else set()
                todo.append((there, on))
        return seen

    def leaves(self, part: Part, own: bool) -> bool:
        """Whether gas gets into the open there: an outlet that is not plugged, or an orifice before one."""
        if part.tag in self.plugged or self.shut(part):
            return False
        if part.kind in OUTLETS:
            return True
        into_the_open = any(self.zones[t] == OPEN and t not in self.out for t in self.net.after.get(part.tag, ()))
        return part.kind == "orifice" and into_the_open and not (own and OPEN in self.named)
