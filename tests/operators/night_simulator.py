"""A small simulator of a night: it does what the steps say, act by act, on parts and links alone, and tells what goes
wrong. It knows nothing of how the steps were made.

Gas is where an open way leads from an open cylinder, or from an accumulator that was filled. Gas at an outlet with no
flame there is a fault, but for the moment of a purge. A flame whose cylinder was shut burns on until it is watched out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from specc.kinds.plumbing import Network
from specc.kinds.procedures import Act, Step

HAND = ("ball", "needle", "globe")


class Wrong(AssertionError):
    """What a step did that nobody should."""


class Plant:
    """`bursts`: by outlet its effect. `crew`: by person the place of the post; `lies`: places of an outlet or of a
    control beside what parts say; `walks`: whether one gets on foot from one place to another."""

    def __init__(
        self,
        net: Network,
        bursts: Mapping[str, str],
        crew: Mapping[str, str] | None = None,
        lies: Mapping[str, str] | None = None,
        walks: Callable[[str, str], bool] = lambda a, b: True,
        watchers: Iterable[str] = (),
        desk: str = "",
        heavy: Iterable[str] = (),
    ) -> None:
        self.part = {p.tag: p for p in net.parts}
        self.next_of: dict[str, list[str]] = {}
        self.before: dict[str, list[str]] = {}
        for a, b in net.links:
            self.next_of.setdefault(a, []).append(b)
            self.before.setdefault(b, []).append(a)
        self._below: dict[str, frozenset[str]] = {}  # links never change: what lies behind a part is asked without end
        self.bursts, self.crew, self.lies, self.walks = dict(bursts), dict(crew or {}), dict(lies or {}), walks
        self.desk = desk
        self.heavy = set(heavy)  # cylinders that one person does not lift
        self.ready: set[str] = set()  # parts that are out, plugged or held open for a test with air
        self.air: set[str] = set()  # parts with the air of a test in them
        self.watchers = set(watchers)  # people whose eyes are not to be taken off the public
        # As somebody may have left them: all open but the cylinders, which nobody connects open.
        self.open: set[str] = {t for t, p in self.part.items() if self.closes(t) and p.kind != "cylinder"}
        self.on: set[str] = set()
        self.connected: set[str] = set()
        self.charged: set[str] = set()
        self.few_psi: set[str] = set()  # fired down, and not let down yet
        self.calm = True  # the end of a night in good order, where the lines burn off first
        self.flame: set[str] = set()
        self.dying: set[str] = set()  # flames whose cylinders are shut
        self.waiting: dict[str, str] = {}  # a torch or spark at an outlet, and who holds it
        self.purging: set[str] = set()
        self.armed = False
        self.key = bool(self.power_holds())  # in, and the stop released: as somebody may have left it
        self.felt: set[str] = set()  # powered valves that somebody beside them felt open
        self.moved: set[str] = set()  # valves worked in this step
        self.soaped: set[str] = set()  # parts whose joints were soaped tonight, with gas in them
        self.watched: dict[str, Act] = {}  # gauges that somebody watches in this step
        self.seen: set[str] = set()  # what was checked since a valve was last opened
        self.carrier: str | None = None  # who has the gas detector
        self.pulled: set[str] = set()  # valves whose fuse is out
        self.out: set[str] = set()  # flames that went out by themselves, with gas still coming
        self.burst_open: set[str] = set()  # bursts that nobody has seen out since the stop was pressed
        self.thunder = self.away = False
        self.last_at: dict[str, str] = {}  # where people are in this step
        self.held_open: dict[str, tuple[str, str]] = {}  # bleeds that let gas out, by whom and where
        self.callers: set[str] = set()  # who calls for help
        self.backed: set[str] = set()  # regulators that are screwed out
        self.turned: set[str] = set()  # regulators that were turned in on a gauge at some time
        self.proved: set[str] = set()  # pilots that somebody saw burn in this step
        self.drifts = False  # gas was let out unlit, and nobody waited since
        self.vented: dict[str, bool] = {}  # where gas was let out by a bleed, and whether somebody waited since
        self.pressed: set[str] = set()  # parts with gas under pressure in them
        self.looked: set[str] = set()  # outlets whose joints, which soap cannot show, somebody looked at tonight

    def closes(self, tag: str) -> bool:
        p = self.part[tag]
        return p.kind == "cylinder" or (p.kind == "valve" and p.form in HAND)

    def lit_by(self, outlet: str) -> tuple[str, str]:
        told = self.part[outlet].spec.child("lit_by")
        return next(((k, told.text(k)) for k in ("pilot", "torch", "igniter") if told.has(k)), ("torch", ""))

    # -- gas

    def shut(self, tag: str, fired: set[str]) -> bool:
        p = self.part[tag]
        if tag in self.backed:
            return True
        if p.kind != "valve" or p.form in ("check", "relief", "excess_flow"):
            return False
        return tag not in self.on | fired if p.form == "solenoid" else tag not in self.open | fired

    def gas(self, fired: set[str] = frozenset()) -> set[str]:  # type: ignore[assignment]
        """All parts that gas comes to."""
        todo = [t for t, p in self.part.items() if p.kind == "cylinder" and t in self.open & self.connected]
        todo += list(self.charged)
        met = set(todo)
        while todo:
            here = todo.pop()
            if self.shut(here, fired):
                continue
            for b in self.next_of.get(here, ()):
                if b not in met:
                    met.add(b)
                    todo.append(b)
        return met

    def fed_gas(self, fired: set[str]) -> set[str]:
        """All parts that gas of the cylinders comes to."""
        kept, self.charged = self.charged, set()
        try:
            return self.gas(fired)
        finally:
            self.charged = kept

    def outlets(self, met: set[str]) -> list[str]:
        return [t for t in met if self.part[t].kind in ("burner", "pilot")]

    def below(self, tag: str) -> frozenset[str]:
        if tag not in self._below:
            met, todo = {tag}, [tag]
            while todo:
                for b in self.next_of.get(todo.pop(), ()):
                    if b not in met:
                        met.add(b)
                        todo.append(b)
            self._below[tag] = frozenset(met - {tag})
        return self._below[tag]

    def above(self, tag: str) -> set[str]:
        return {t for t in self.part if tag in self.below(t)}

    def ends(self) -> set[str]:
        """What holds gas back last: the valve nearest to each outlet, what power holds shut (behind it gas stands for
        a burst alone), and what leads to no outlet (a bleed)."""
        outlets = {t for t, p in self.part.items() if p.kind in ("burner", "pilot")}
        valves = {
            t for t, p in self.part.items()
            if p.kind == "valve" and p.form not in ("check", "relief", "excess_flow")
        }  # fmt: skip
        last = {v for o in outlets for v in self.nearest(o, valves)}
        return last | {v for v in valves if self.part[v].form == "solenoid" or not self.below(v) & outlets}

    def nearest(self, tag: str, wanted: set[str]) -> set[str]:
        met, todo = set(), [tag]
        while todo:
            here = todo.pop()
            for a in self.before.get(here, ()):
                if a not in met:
                    met.add(a)
                    todo += [] if a in wanted else [a]
        return met & wanted

    def held(self) -> set[str]:
        """All that stands under pressure before what holds gas back last."""
        ends = self.ends()
        met = {t for t, p in self.part.items() if p.kind == "cylinder" and t in self.connected}
        todo = list(met)
        while todo:
            here = todo.pop()
            for b in self.next_of.get(here, ()) if here not in ends else ():
                if b not in met:
                    met.add(b)
                    todo.append(b)
        return met

    def vessels_of(self, burst: str) -> set[str]:
        return {t for t in self.above(burst) if self.part[t].kind == "accumulator"}

    def feeds_of(self, vessel: str) -> set[str]:
        """The hand valves that do no more than fill it."""
        return {
            t for t in self.above(vessel)
            if self.part[t].kind == "valve" and self.part[t].form in HAND and not self.below(t) & self.steady()
        }  # fmt: skip

    def power_holds(self) -> set[str]:
        """Valves that get no power with the key out or the stop pressed. Beside bursts, whether a steady flame's valve
        goes by the key is not known here."""
        moved = {t for t, p in self.part.items() if p.form == "solenoid"}
        return {t for t in moved if not self.below(t) & self.steady()} if self.bursts else moved

    def steady(self) -> set[str]:
        return {o for o, p in self.part.items() if p.kind in ("burner", "pilot") and o not in self.bursts}

    def night(self) -> None:
        """A new night: joints are soaped again, but for what still stands under the pressure that it had."""
        near = {t for v in self.few_psi for t in self.above(v) | {v} | self.below(v)}
        stood = {t for t in near if not self.below(t) & self.steady()}
        self.soaped &= stood
        self.looked.clear()
        self.drifts = False
        self.vented.clear()

    def bleeds(self) -> set[str]:
        """The hand valves that lead to no outlet and no vessel: what is behind them is let out."""
        wanted = {t for t, p in self.part.items() if p.kind in ("burner", "pilot", "accumulator")}
        hand = {t for t in self.part if self.closes(t) and self.part[t].kind == "valve"}
        return {t for t in hand if not self.below(t) & wanted}

    def settle(self, fired: set[str] = frozenset(), who: str = "") -> None:  # type: ignore[assignment]
        met = self.gas(fired)
        for outlet in self.outlets(met):
            if outlet in self.flame or outlet in self.purging or outlet in self.out:
                continue
            way, what = self.lit_by(outlet)
            if outlet in self.waiting or (way == "pilot" and what in self.flame) or (fired and way == "igniter"):
                self.soaped_behind(outlet)
                self.flame.add(outlet)
                self.waiting.pop(outlet, None)  # whoever held the torch may go
            else:
                raise Wrong(f"gas comes out unlit at {outlet}")
        for outlet in [o for o in self.flame if o not in met and o not in self.dying]:
            self.flame.discard(outlet)
        self.out &= met
        filled = {t for t in met if self.part[t].kind == "accumulator"}
        fed = {t for t in self.fed_gas(fired) if self.part[t].kind == "accumulator"}
        self.charged |= filled
        for outlet in self.purging & met:  # let out unlit with its feed shut
            self.charged -= self.vessels_of(outlet) - fed

    # -- people

    def reach(self, act: Act) -> None:
        post = self.crew.get(act.who, "")
        places = self.part[act.tag].places if act.tag in self.part else ()
        here = {*places, self.lies.get(act.tag, "")} - {""}
        if act.action in ("switch_on", "switch_off", "arm", "disarm", "fire", "key_in", "key_out"):
            here = {self.desk} if self.desk and act.where == self.desk else here
        elif act.action in ("pull", "put_back"):
            here = {self.desk} if self.desk else set()
        elif act.action == "light" and self.lit_by(act.tag)[0] != "torch":
            here = set()  # a spark is switched on from the valve
        elif (
            act.action == "watch"
            and act.tag in self.part
            and (self.part[act.tag].kind != "gauge" or (self.part[act.tag].spec.has("read_by") and act.where == post))
        ):
            here = set()  # a flame, or a gauge that is read from a post
        elif act.action not in (
            "soap", "watch", "open", "close", "bleed", "connect", "disconnect", "light",
            "make_ready", "air_in", "air_out", "put_as_was",
        ):  # fmt: skip
            here = set()  # seen from afar
        if act.where and here and act.where not in here:
            raise Wrong(f"{act.action} {act.tag} is done at {act.where}, and it is at {sorted(here)}")
        if not self.crew:
            return
        by_hand = ("open", "close", "bleed", "connect", "disconnect", "light", "arm", "disarm", "fire", "soap", "press",
            "make_ready", "air_in", "air_out", "put_as_was")  # fmt: skip
        if act.action in by_hand:
            if act.who not in self.crew:
                raise Wrong(f"nobody of the crew does: {act.action} {act.tag} ({act.who!r})")
            if act.who in self.watchers:
                raise Wrong(f"{act.who} watches the public and is sent to {act.action} {act.tag}")
        if act.where and post and not self.walks(post, act.where):
            raise Wrong(f"{act.who} does not get from {post} to {act.where}")

    # -- acts

    def do(self, act: Act) -> None:
        self.act(act)
        fed = self.gas()
        self.pressed = fed | (self.pressed - self.drained())

    def onward(self, tag: str) -> set[str]:
        """The parts that gas goes on to from one, past what is open."""
        met, todo = {tag}, [tag]
        while todo:
            here = todo.pop()
            for b in self.next_of.get(here, ()) if here == tag or not self.shut(here, set()) else ():
                if b not in met:
                    met.add(b)
                    todo.append(b)
        return met

    def drained(self) -> set[str]:
        """The parts whose gas runs out: at an outlet, or by an open bleed."""
        met = {t for t, p in self.part.items() if p.kind in ("burner", "pilot")} | (self.bleeds() & self.open)
        todo = list(met)
        while todo:
            here = todo.pop()
            # What stands behind flows back too, but past what lets gas through one way.
            back = [] if self.one_way(here) else [b for b in self.next_of.get(here, ()) if not self.one_way(b)]
            for a in (*self.before.get(here, ()), *back):
                if a not in met and not self.shut(a, set()):
                    met.add(a)
                    todo.append(a)
        # A closed valve holds nothing at its inlet then.
        return met | {b for a in met for b in self.next_of.get(a, ()) if self.shut(b, set())}

    def one_way(self, tag: str) -> bool:
        return self.part[tag].kind == "regulator" or self.part[tag].form == "check"

    def air_from(self, tag: str) -> set[str]:
        """The parts that the air of a test comes to: never back through a check valve or regulator."""
        met, todo = {tag}, [tag]
        while todo:
            here = todo.pop()
            p = self.part[here]
            held = p.form == "solenoid" and here not in self.ready
            if here != tag and (held or p.form == "relief" or (self.closes(here) and here not in self.open)):
                continue
            back = [] if here == tag or self.one_way(here) else self.before.get(here, ())
            for b in (*self.next_of.get(here, ()), *back):
                if b not in met:
                    met.add(b)
                    todo.append(b)
        return met

    def air_leaves(self, tag: str) -> set[str]:
        """The parts whose air comes out by a bleed, or where it was let in."""
        met, todo = {tag}, [tag]
        while todo:
            here = todo.pop()
            back = [] if self.one_way(here) else [b for b in self.next_of.get(here, ()) if not self.one_way(b)]
            for a in (*self.before.get(here, ()), *back):
                shut = (self.closes(a) and a not in self.open) or (
                    self.part[a].form == "solenoid" and a not in self.ready
                )
                if a not in met and not shut:
                    met.add(a)
                    todo.append(a)
        return met

    def act(self, act: Act) -> None:
        self.reach(act)
        tag = act.tag
        if self.away and act.where:
            raise Wrong(f"{act.who} is sent to {act.where} in thunder")
        if self.out and self.armed and act.action not in ("disarm", "switch_off"):
            raise Wrong(f"{self.out} went out, and bursts stay armed")
        for bleed, (who, where) in self.held_open.items():
            if who and act.who == who and act.where and where and act.where != where:
                raise Wrong(f"{who} lets gas out by {bleed} at {where} and does {act.action} {tag} at {act.where}")
        if act.action == "open" and tag in self.bleeds() and self.last_at:
            self.held_open[tag] = (act.who, act.where)
        elif act.action == "close":
            self.held_open.pop(tag, None)
        if act.where:
            self.last_at[act.who] = act.where
        if act.action in ("fire", "arm"):
            self.nobody_there()
        if act.action in ("key_in", "switch_on", "arm", "fire", "pull", "put_back", "light"):
            here = {act.where, *(self.places_of(tag) if tag in self.part else ())}
            if near := self.vented.keys() & here or (act.action == "light" and {*self.vented}):
                raise Wrong(f"{act.action} {tag}, and nobody read the gas detector at {sorted(near)} after a wait")
        match act.action:
            case "make_ready":
                if self.gas() - {t for t, p in self.part.items() if p.kind == "cylinder"} or self.charged or self.key:
                    raise Wrong(f"{tag} is made ready for air with gas on or the key in")
                self.ready.add(tag)
            case "air_in":
                self.air = self.air_from(tag)
            case "air_out":
                self.air -= self.air_leaves(tag)
                self.air -= {t for t in self.air if self.part[t].kind == "fitting" and not self.next_of.get(t)}
            case "put_as_was":
                if self.air:
                    raise Wrong(f"{tag} is undone with air under pressure in {sorted(self.air)}")
                self.ready.discard(tag)
            case "connect":
                if tag in self.open:
                    raise Wrong(f"{tag} is connected while it is open")
                self.connected.add(tag)
            case "disconnect":
                if tag in self.open or self.burns():
                    raise Wrong(f"{tag} is taken off while it is open or something burns")
                if full := (self.onward(tag) - {tag}) & self.pressed:
                    raise Wrong(f"{tag} is taken off with gas under pressure in {sorted(full)}")
                self.connected.discard(tag)
            case "say":
                self.last_at.clear()  # all answer from their posts
            case "carry":
                self.carrier = act.who
            case "read":
                if act.who != self.carrier:
                    raise Wrong(f"{act.who} reads the gas detector, and {self.carrier} has it")
                if self.armed or self.bursts_at(act.where, charged=True):
                    raise Wrong(f"{act.who} goes to {act.where}, beside a charged burst")
                if self.vented.get(act.where):
                    del self.vented[act.where]
            case "pull" | "put_back":
                if self.key:
                    raise Wrong(f"the fuse of {tag} is moved with the key in")
                self.pulled ^= {tag}
                if (tag in self.pulled) != (act.action == "pull"):
                    raise Wrong(f"{act.action} of the fuse of {tag}: it is there already")
            case "leave":
                self.away = True
            case "wait":
                self.drifts = False
                self.purging &= self.gas()  # what was let out is shut again, and burns when it is lit
                self.vented = dict.fromkeys(self.vented, True)
                if self.away:
                    self.away = self.thunder = False
            case "open":
                if self.ready:
                    raise Wrong(f"{tag} is opened, and {sorted(self.ready)} is not put back")
                if self.part[tag].kind == "cylinder" and self.crew and not self.carrier:
                    raise Wrong(f"{tag} is opened, and nobody has the gas detector")
                if tag in self.open:
                    raise Wrong(f"{tag} is opened and was open")
                if self.part[tag].kind == "cylinder" and (bleeds := self.bleeds() & self.open):
                    raise Wrong(f"{tag} is opened, and {sorted(bleeds)}, which lets gas out, is not shut")
                if self.part[tag].kind == "cylinder" and tag not in self.connected:
                    raise Wrong(f"{tag} is opened and not connected")
                for outlet, holder in self.waiting.items():
                    places = {*self.part[outlet].places, self.lies.get(outlet, "")} - {""}
                    if holder and holder == act.who and act.where and places and act.where not in places:
                        raise Wrong(f"{holder} holds a torch at {outlet} and opens {tag} at {act.where}")
                if tag in self.bleeds() and tag in self.gas():  # what is set in flow, or a line let out
                    self.drifts = True
                    self.vented |= dict.fromkeys({act.where} - {""}, False)
                before_it = self.fed_gas(set())
                self.open.add(tag)
                self.moved.add(tag)
                self.seen.discard(tag)
                self.settle()
                self.at_gauges(before_it)
                self.filling(act, before_it)
                if self.flame | self.waiting.keys():
                    self.soaped_before(tag)
            case "close":
                if self.calm and self.dying & self.below(tag) and self.part[tag].kind != "cylinder":
                    raise Wrong(f"{tag} is closed and shuts in what {self.dying & self.below(tag)} still burns off")
                before = set(self.flame)
                if ends := self.bursts_lit_below(tag) & self.burst_open:
                    raise Wrong(f"{tag} puts out what lights {ends}, and nobody saw them out")
                lost = {
                    o for o in self.flame - self.dying if self.armed and self.lights_a_burst(o)
                    and o in self.below(tag) and o not in self.without(tag)
                }  # fmt: skip
                if lost and not self.at_supply(tag):
                    raise Wrong(f"{tag} puts out {lost} while what it lights is armed")
                self.open.discard(tag)
                left = {o for o in before & self.below(tag) if o not in self.gas()}
                if (self.at_supply(tag) and not self.calm) or self.part[tag].kind == "cylinder":
                    self.dying |= left
                self.settle()
            case "switch_on":
                if tag in self.pulled:
                    raise Wrong(f"{tag} is tried and its fuse is out")
                if self.pulled and self.no_gas_at(tag):
                    raise Wrong(f"{tag} is tried alone, and no gas stands ahead of the valves in its row")
                if tag in self.power_holds() and not self.key:
                    raise Wrong(f"{tag} gets no power: the key is out and the stop pressed")
                self.on.add(tag)
                self.settle()
            case "switch_off":
                if self.pulled and tag in self.on - self.felt:
                    raise Wrong(f"{tag} was tried alone, and nobody beside it felt it open")
                self.on.discard(tag)
                self.settle()
            case "key_in" | "arm" if self.ready:
                raise Wrong(f"the key is in while {sorted(self.ready)} is not put back")
            case "key_in":
                if self.flame:
                    raise Wrong("the key is in beside a flame, but for arming")
                self.key = True
            case "key_out":
                self.key = False
            case "light":
                if self.drifts:
                    raise Wrong(f"{tag} is lit, and gas was let out unlit that nobody let blow away")
                by_key = any(self.part[t].form == "solenoid" for b in self.bursts for t in self.above(b))
                if self.armed or (by_key and self.key):
                    raise Wrong(f"somebody is at {tag} with a torch while bursts are armed")
                if tag in self.flame:
                    raise Wrong(f"{tag} burns already")
                if tag in self.bursts and self.lit_by(tag)[0] == "torch":
                    raise Wrong(f"{tag}, a burst, is lit by hand")
                self.soaped_before(tag)
                self.looked_at(tag)
                if self.lit_by(tag)[0] == "torch":
                    self.torch_beside(tag)
                    self.read_beside(act)
                self.waiting[tag] = act.who if self.lit_by(tag)[0] == "torch" else ""
            case "purge":
                if self.flame or self.waiting:
                    raise Wrong(f"{tag} is purged beside a flame")
                self.soaped_before(tag)
                self.purging.add(tag)
                self.drifts = True
            case "check" if tag in self.on and act.where in self.places_of(tag):
                self.felt.add(tag)
            case "check" if tag in self.bursts and self.armed and self.pulled:
                self.felt |= self.on  # over a flame a valve behind that leaks is seen at the outlet
            case "check" if tag in self.burst_open:
                self.burst_open -= set() if self.armed else {tag}
            case "check" if tag in self.part and self.part[tag].kind == "pilot":
                if tag not in self.flame:
                    raise Wrong(f"{tag} is to be seen burning and does not")
                self.proved.add(tag)
            case "check":
                if tag in self.part and self.part[tag].kind == "gauge" and not self.charged & self.above(tag):
                    self.seen.add(tag)
                if tag in self.part and tag not in self.open:
                    self.seen.add(tag)
            case "look":
                if self.flame or self.armed:
                    raise Wrong(f"somebody looks at joints at {tag} beside a flame")
                self.looked.add(tag)
            case "soap" if not tag:
                if not self.air:
                    raise Wrong(f"{act.who} soaps at {act.where} and no air stands there")
            case "watch" if not tag:
                let_down = {v for v in self.charged if self.bleeds() & self.below(v)}
                if self.burns() or let_down or any(self.part[t].kind == "cylinder" for t in self.open):
                    raise Wrong(f"{act.who} watches for embers while {self.burns() | let_down} burns or is charged")
            case "soap":
                met = self.gas()
                if tag not in met:
                    raise Wrong(f"{tag} is soaped and no gas stands there")
                if self.flame or self.armed:
                    raise Wrong(f"{tag} is soaped beside a flame")
                # What lies between two places has an end at each, and is soaped when one of them is.
                near = {t for t in met if not self.part[t].places or act.where in self.part[t].places}
                self.soaped |= ((self.above(tag) & met) | {tag}) & near
            case "watch" if tag in self.part and self.part[tag].kind == "gauge":
                self.watched[tag] = act
            case "set":
                met = self.gas()
                if tag not in met or not any(self.part[t].kind == "gauge" for t in self.below(tag) & met):
                    raise Wrong(f"{tag} is set with no gas at a gauge behind it")
                outlets = {t for t, p in self.part.items() if p.kind in ("burner", "pilot")}
                bled = {t for t in self.open & self.below(tag) & met if not self.below(t) & outlets}
                if not self.flame & self.below(tag) and not bled:
                    raise Wrong(f"{tag} is set with no gas flowing")
            case "screw_out":
                if tag in self.fed_gas(set()):
                    raise Wrong(f"{tag} is backed off with gas at it")
                self.backed.add(tag)
            case "screw_in":
                if tag not in self.backed:
                    raise Wrong(f"{tag} is turned in, and nobody screwed it out before")
                before_it = self.fed_gas(set())
                if tag not in before_it:
                    raise Wrong(f"{tag} is turned in with no gas at it")
                self.backed.discard(tag)
                self.turned.add(tag)
                self.settle()
                shown = {g for g in self.fed_gas(set()) & self.below(tag) if self.part[g].kind == "gauge"}
                if not shown & self.watched.keys():
                    raise Wrong(f"{tag} is turned in, and nobody reads {sorted(shown)}")
                self.filling(act, before_it)
            case "arm":
                for outlet in self.bursts:
                    self.looked_at(outlet)
                    way, what = self.lit_by(outlet)
                    if way == "pilot" and what not in self.flame & self.proved:
                        raise Wrong(f"armed while {what} does not burn, or nobody saw it")
                self.armed = self.key = True
            case "disarm":
                self.armed = self.key = False
            case "fire":
                self.fire(tag)
            case "watch" if tag in self.part and self.part[tag].kind in ("burner", "pilot"):
                if tag not in self.flame:
                    raise Wrong(f"{tag} is to burn off and does not burn")
                self.flame.discard(tag)
                self.dying.discard(tag)
            case "bleed":
                if self.thunder:
                    raise Wrong(f"{act.who} lets down by {tag} in thunder")
                if self.burns():
                    raise Wrong(f"{tag} lets gas down beside a flame")
                self.drifts = True
                self.vented |= dict.fromkeys({act.where} - {""}, False)
                vessels = {t for t in self.charged | self.few_psi if tag in self.below(t)}
                if not vessels:
                    raise Wrong(f"nothing is let down by {tag}")
                fed = {t for t in self.gas() if self.part[t].kind == "accumulator"} - self.charged
                self.charged -= vessels
                self.few_psi -= vessels
                self.pressed -= {t for t in self.pressed if tag in self.onward(t)}
                if fed or vessels & self.gas():
                    raise Wrong(f"{tag} lets down what is still fed")

    def burns(self) -> set[str]:
        """What burns: after an emergency, when nothing is in a hurry any more, the lines have burned empty; at the end
        of a night somebody sees each flame out."""
        return self.flame if self.calm else self.flame - self.dying

    def places_of(self, tag: str) -> set[str]:
        return {*self.part[tag].places, self.lies.get(tag, "")} - {""}

    def bursts_at(self, place: str, charged: bool = False) -> set[str]:
        own = {b for b in self.bursts if place in self.places_of(b)}
        return {b for b in own if not charged or self.vessels_of(b) & self.charged}

    def nobody_there(self) -> None:
        for who, where in self.last_at.items():
            if where and where != self.desk and self.bursts_at(where):
                raise Wrong(f"{who} is at {where}, and a burst may come")

    def bursts_lit_below(self, tag: str) -> set[str]:
        """What the pilots light that lose their gas with a valve."""
        # What has no feed of its own ends with the cylinders alone.
        ends = {b for b in self.bursts if self.own_feed(b) or not self.at_supply(tag)}
        return {b for b in ends if self.lit_by(b)[0] == "pilot" and self.lit_by(b)[1] in self.below(tag)}

    def no_gas_at(self, tag: str) -> bool:
        """Whether no gas stands at any of the powered valves in a row with one."""
        row = {t for t in self.power_holds() if t in self.above(tag) | self.below(tag) | {tag}}
        return not row & self.gas()

    def own_feed(self, burst: str) -> set[str]:
        """The hand valves that shut off a burst alone, but for what fires it."""
        hand = {t for t in self.above(burst) if self.part[t].kind == "valve" and self.part[t].form in HAND}
        own = {t for t in hand if not self.below(t) & self.steady()}
        powered = any(self.part[t].form == "solenoid" for t in self.above(burst))
        return own if powered else own - self.nearest(burst, own)

    def at_supply(self, tag: str) -> bool:
        """A cylinder's own valve, or one beside it ahead of every regulator: the lines behind either burn on for
        seconds, so it may be shut at once, whoever is slower at the controls."""
        if self.part[tag].kind == "cylinder":
            return True
        places = {x for p in self.part.values() if p.kind == "cylinder" for x in p.places}
        ahead = not any(self.part[t].kind == "regulator" for t in self.above(tag))
        return ahead and bool({*self.part[tag].places} & places)

    def without(self, tag: str) -> set[str]:
        """The parts that gas comes to with a valve shut."""
        was = tag in self.open
        self.open.discard(tag)
        met = self.gas()
        self.open |= {tag} if was else set()
        return met

    def lights_a_burst(self, outlet: str) -> bool:
        return any(self.lit_by(b) == ("pilot", outlet) for b in self.bursts)

    def at_gauges(self, before: set[str]) -> None:
        """Gas comes first to a gauge, before any flame, through a regulator that was backed off."""
        if self.flame or self.waiting or self.purging:
            return
        regulators = {t for t, p in self.part.items() if p.kind == "regulator" and p.spec.has("set")}
        for gauge in {g for g in self.fed_gas(set()) - before if self.part[g].kind == "gauge"}:
            if found := self.nearest(gauge, regulators) - self.turned - before:
                raise Wrong(f"gas comes to {gauge} through {sorted(found)}, and nobody backed it off")

    def filling(self, act: Act, before: set[str]) -> None:
        """A vessel that is filled has its gauge watched, by somebody who is there."""
        for vessel in self.fed_gas(set()) - before:
            gauges = {t for t in self.below(vessel) if self.part[t].kind == "gauge" and t in self.gas()}
            self.seen -= gauges
            if self.part[vessel].kind != "accumulator" or not gauges:
                continue
            looks = [w for g, w in self.watched.items() if g in gauges]
            if not looks:
                raise Wrong(f"{act.tag} fills {vessel} and nobody watches {sorted(gauges)}")
            if act.who and all(w.who == act.who and w.where != act.where for w in looks):
                raise Wrong(f"{act.who} opens {act.tag} at {act.where} and watches a gauge elsewhere")

    def soaped_before(self, tag: str) -> None:
        if dry := self.held() & self.gas() - self.soaped:
            raise Wrong(f"when gas comes to {tag} it stands in {sorted(dry)}, and nobody soaped it")

    def soaped_behind(self, outlet: str) -> None:
        """What was joined behind an outlet's own valve was soaped with gas that night, where a hand lets gas in; past
        what power moves it comes only with a flame."""
        valves = {t for t, p in self.part.items() if p.form == "solenoid" or self.closes(t)}
        own, todo = {outlet}, [outlet]
        while todo:
            for a in self.before.get(todo.pop(), ()):
                if a not in own and a not in valves:
                    own.add(a)
                    todo.append(a)
        by_hand = outlet not in self.bursts and not any(self.part[t].form == "solenoid" for t in self.above(outlet))
        if by_hand and (dry := own - self.soaped):
            raise Wrong(f"a flame comes to {outlet}, and nobody soaped {sorted(dry)} with gas tonight")

    def looked_at(self, outlet: str) -> None:
        if outlet not in self.looked:
            raise Wrong(f"nobody looked at the joints before {outlet}, where soap shows nothing")

    def torch_beside(self, tag: str) -> None:
        """No torch while anything that bursts stands charged; nor, at what lights a burst or between scenes, before
        somebody looked at its feed and gauge."""
        for vessel in {v for b in self.bursts for v in self.vessels_of(b)} & self.charged:
            raise Wrong(f"a torch comes to {tag} while {vessel} is charged")
        near = [b for b in self.bursts if self.few_psi & self.vessels_of(b) or self.lit_by(b) == ("pilot", tag)]
        for burst in near:
            for vessel in self.vessels_of(burst):
                gauges = {t for t in self.below(vessel) if self.part[t].kind == "gauge"}
                if unseen := (self.feeds_of(vessel) | gauges) - self.seen:
                    raise Wrong(f"a torch comes to {tag}, and nobody saw {sorted(unseen)} hold nothing for {burst}")

    def read_beside(self, act: Act) -> None:
        """While a torch is out, somebody else reads what every vessel that bursts shows."""
        apart: dict[str, set[str]] = {}
        for look in self.watched.values():
            apart.setdefault(look.who, set()).add(look.where)
        if two := [who for who, places in apart.items() if who and len(places) > 1]:
            raise Wrong(f"{two} read gauges at two places at once")
        for vessel in {v for b in self.bursts for v in self.vessels_of(b)}:
            gauges = {t for t in self.below(vessel) if self.part[t].kind == "gauge"}
            read = [self.watched[g] for g in gauges if g in self.watched]
            if gauges and not any(not self.crew or w.who != act.who for w in read):
                raise Wrong(f"a torch comes to {act.tag}, and nobody else reads {sorted(gauges)}")

    def hands_left(self, step: Step) -> None:
        """While something burns, somebody posted at its valve stays there, or another is there in their place."""
        away: dict[str, set[str]] = {}
        for act in step.acts:
            if act.who and act.where:
                away.setdefault(act.who, set()).add(act.where)
        valves = {t for t in self.part if self.closes(t) and self.part[t].kind == "valve"}
        for outlet in self.flame - self.dying:
            for valve in self.nearest(outlet, valves):
                places = {*self.part[valve].places} - {""}
                posted = {w for w, post in self.crew.items() if post in places}
                gone = {w for w in posted if w in away and not away[w] & places}
                if posted and gone == posted and not any(where & places for where in away.values()):
                    raise Wrong(f"everybody leaves {sorted(places)}, and {outlet} burns")

    def lifted_by_two(self, step: Step) -> None:
        for act in step.acts:
            if act.action in ("connect", "disconnect") and act.tag in self.heavy and self.crew:
                there = {a.who for a in step.acts if a.who and a.where == act.where}
                if len(there) < 2:
                    raise Wrong(f"{act.who} alone moves {act.tag}")

    def vents_watched(self, step: Step) -> None:
        """While a start lets gas out by a bleed, whoever carries the gas detector reads it there."""
        if step.procedure != "start" or not self.crew:
            return
        vents = {a.where for a in step.acts if a.action == "bleed" and a.where}
        if unread := vents - {a.where for a in step.acts if a.action == "read"}:
            raise Wrong(f"gas is let out at {sorted(unread)}, and nobody reads the detector there")

    def fire(self, tag: str) -> None:
        outlets = [o for o, e in self.bursts.items() if e == tag or (tag in self.part and o in self.below(tag))]
        if not outlets:
            raise Wrong(f"nothing is fired by {tag}")
        for outlet in outlets:
            steady = {o for o in self.part if self.part[o].kind in ("burner", "pilot") and o not in self.bursts}
            shared = {v for v in self.part if steady & self.below(v)}
            held = {v for v in self.part if self.part[v].kind == "valve" and outlet in self.below(v)} - shared
            powered = {v for v in held if self.part[v].form == "solenoid"}
            if powered and not self.armed:
                raise Wrong(f"{outlet} is fired without power")
            last = powered or {v for v in held if not {w for w in held if w in self.below(v)}}
            if outlet not in self.gas(last):
                raise Wrong(f"{outlet} is fired and no gas comes")
            self.settle(last)
            self.flame.discard(outlet)
        if tag in self.part:  # fired down
            self.charged.discard(tag)
            self.few_psi.add(tag)
            if tag in self.gas():
                raise Wrong(f"{tag} is fired down and is filled up again")

    def run(self, steps: Sequence[Step], at_once: bool = False) -> None:
        """`at_once`: nobody waits for anybody within a step; whoever is at the controls is the last."""
        for step in steps:
            # The end of a night, and a pause in which gas is off.
            off = any(a.action == "close" and self.part[a.tag].kind == "cylinder" for a in step.acts)
            self.calm = step.procedure == "stop" or (step.procedure == "scene_change" and off)
            try:
                self.lifted_by_two(step)
                self.vents_watched(step)
                self.hands_left(step)
                for act in self.as_they_come(step.acts) if at_once else step.acts:
                    self.do(act)
                for outlet in self.purging:
                    if outlet in self.gas():
                        raise Wrong(f"{outlet} is not shut after its purge")
            except Wrong as wrong:
                raise Wrong(f"{step.procedure} {step.order} ({step.text}): {wrong}") from None
            watch = [a for a in step.acts if a.action == "watch" and not a.tag]
            if watch and self.callers and not any(a.action == "wait" and a.who in self.callers for a in step.acts):
                raise Wrong("the fire watch begins, and nobody who calls for help stays")
            if self.pulled:
                raise Wrong(f"the fuses of {self.pulled} are left out")
            self.last_at.clear()
            self.waiting.clear()
            self.purging.clear()
            self.moved.clear()
            self.watched.clear()
            self.proved.clear()

    def as_they_come(self, acts: Sequence[Act]) -> list[Act]:
        """Acts that wait for nobody: whoever is at the controls is the last, but for what waits until a burst is seen
        out."""
        late = {a.who for a in acts if a.action in ("disarm", "switch_off")}
        looks = [n for n, a in enumerate(acts) if a.action == "check" and a.tag in self.bursts]
        first = min(looks, default=len(acts))
        return [*sorted(acts[:first], key=lambda a: a.who in late), *acts[first:]]

    def at_rest(self) -> None:
        """At the end of a night."""
        if self.flame or self.open or self.on or self.armed or self.key:
            raise Wrong(
                f"left burning {self.flame}, open {self.open}, on {self.on}, armed {self.armed}, key in {self.key}"
            )


def of_night(steps: Iterable[Step], procedure: str, night: str) -> list[Step]:
    """The steps of one procedure on the first or a later night, in order."""
    kept = ("every", night) if night != "only" else ("every", "first", "last")
    own = [s for s in steps if s.procedure == procedure and s.night in kept]
    return sorted(own, key=lambda s: s.order)
