"""What has to hold when one thing fails: the gas stops, and nothing opens a burst by itself."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import NamedTuple

from specc import CHOICE, PRACTICE, Context, Trouble, authority_decides, not_applicable, not_checked, rule
from specc.kinds.faults import CLOSING_TIMES, FAULTS, SHARED_MEANS, Fault
from specc.kinds.plumbing import NETWORK, OUTLETS, Network, way_of
from specc.kinds.show import EFFECTS, Effect
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_plumbing.closing_order import fills
from specc_plumbing.faults import drops_shut, past_all_hands, past_hands, place_of, rises_open, ways_of
from specc_plumbing.reach import PLUGS, FaultyNetwork, by_hand, by_itself, open_ended
from specc_plumbing.source_rules import quarter_turn


@rule(
    "plumbing.one_failure",
    level="error",
    statement="Whatever one thing fails, and whoever is gone, a hand elsewhere can stop the gas from each cylinder, "
    "and one the gas of each accumulator; whether what closes by itself may stand in for it the authority decides",
    source=CHOICE,
    needs=(NETWORK, FAULTS),
    wants=(CLOSING_TIMES,),
)
def one_failure(ctx: Context) -> Judging:
    """Under all else that fails a cylinder's own valve still stops its gas: who is gone, and that valve itself stuck
    open, have to be looked at."""
    net, faults = ctx[NETWORK], ctx[FAULTS]
    if not faults:
        return not_applicable("nothing is described that could fail")
    if not net.of_kind("cylinder"):
        net.all_read()
        return not_applicable("no cylinder is described")
    looked = sum(f.state == "operator_gone" for f in faults)
    own = [f for f in faults if f.state == "stuck_open" and net.by_tag[f.tags[0]].kind == "cylinder"]
    own += [f for f in faults if f.state == "operator_gone"]
    for fault in own:
        past = past_all_hands(net, fault)
        left = {t for sources in past.values() for t in sources if net.by_tag[t].kind == "cylinder"}
        if left:
            net.all_read()  # what cannot be read may be the shutoff that lacks
            where = ", ".join(w for w, sources in past.items() if left & set(sources))
            yield Trouble(
                fault.at,
                f"{fault.what}: gas from {', '.join(sorted(left))} goes on at {where}, and nothing else stops it",
                "a second shutoff on the way, at another place than the first",
                "gas that nobody can stop burns or gathers until the cylinder is empty",
            )
    # Where a cylinder stands nobody says: then "whoever is gone" was not looked at for it.
    lost = [p.tag for p in net.of_kind("cylinder") if not place_of(p)]
    if lost:
        said = f"where {', '.join(lost)} stands is not said (place:), so who can reach its valve is not known"
        return not_checked(said, *(join("/plumbing/parts", tag, "place") for tag in lost))
    fed = [held for fault in own if (held := _fed(net, fault))]
    charged = list(_stored(net))
    if charged:
        net.all_read()  # what cannot be read may be that valve
    for stored in charged:
        same = next((h for h in fed if (h.closures, h.outlets) == (stored.closures, stored.outlets)), None)
        if same is None:
            fed.append(stored)
        else:  # one question of what holds back both
            fed[fed.index(same)] = same._replace(always=(*same.always, *stored.sources))
    if fed:
        return authority_decides(f"{'. '.join(h.words for h in fed)}: is that enough?")
    if not ctx[CLOSING_TIMES]:
        return not_checked("nobody is posted anywhere, so whose hand is elsewhere is not known", "/operators/shifts")
    return passed(
        f"nobody at {counted(looked, 'place')}, and each cylinder's own valve stuck open, one at a time; under all "
        "else that fails, a cylinder's own valve is taken to stop its gas"
    )


class _Held(NamedTuple):
    """What alone holds the gas of some sources back from outlets: under a fault, or `always`, as no hand valve stands
    between them."""

    under: str
    closures: tuple[str, ...]
    sources: tuple[str, ...]
    outlets: tuple[str, ...]
    always: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        hold = "hold" if len(self.closures) > 1 else "holds"
        only = f"With {self.under} only" if self.under else "Only"
        back = f"{several(self.closures) or 'nothing'} {hold} {several(self.sources)} back from {several(self.outlets)}"
        return f"{only} {back}" + (f", {several(self.always)} always" if self.always else "")


def _stored(net: Network) -> Iterator[_Held]:
    """What an accumulator gives an outlet with every quarter-turn valve shut."""
    vessels = net.of_kind("accumulator")
    if not vessels:  # a large device without one is not walked through for nothing
        return
    whole = FaultyNetwork(net)
    hands = [v.tag for v in net.of_kind("valve") if quarter_turn(v)]
    shut = [v.tag for v in net.of_kind("valve") if by_itself(v) and not rises_open(v)]
    outlets = [o.tag for o in net.of_kind(*OUTLETS)]
    given: dict[str, list[str]] = {}
    for vessel in vessels:
        met = {tag for tag, _ in whole.reach([vessel.tag], hands)}
        for tag in (o for o in outlets if o in met):
            given.setdefault(tag, []).append(vessel.tag)
    for tag, some in given.items():
        if holding := tuple(v for v in shut if any(p.tag == tag for p in net.downstream(v))):
            yield _Held("", holding, tuple(some), (tag,))


def _fed(net: Network, fault: Fault) -> _Held | None:
    """What alone holds back the gas of cylinders that no hand can stop under a fault, None where hands stop all of it.

    It drops shut, but is one part that dirt or ice can hold open, and what is behind it stays charged and is filled."""
    left = past_hands(net, fault)
    if not left:
        return None
    outlets = tuple(dict.fromkeys(where for some in left.values() for where in some))
    shut = [v.tag for v in net.of_kind("valve") if by_itself(v) and not rises_open(v) and v.tag not in fault.tags]
    holding = [v for v in shut if any(p.tag in outlets for p in net.downstream(v))]
    return _Held(fault.what, tuple(holding), tuple(left), outlets)


def _burst_outlets(net: Network, effects: tuple[Effect, ...] | None) -> tuple[str, ...]:
    """Outlets of bursts; where the effects cannot be read, those that an automatic valve holds back."""
    if effects is not None:
        named = {o for e in effects if e.kind == "burst" for o in e.outlets}
    else:
        named = {p.tag for v in net.of_kind("valve") if by_itself(v) for p in net.downstream(v.tag)}
    return tuple(p.tag for p in net.of_kind("burner") if p.tag in named)


def _past(net: Network, outlet: str, coils: Collection[str], sources: Collection[str]) -> str:
    """How gas gets to an outlet with all that drops shut closed: past none, or by a way round those that are there."""
    ahead = [c for c in coils if any(p.tag == outlet for p in net.downstream(c))]
    if not ahead:
        return "no closure before it is said to drop shut"
    met = net.walk((outlet,), net.up, lambda p: p.tag in coils)
    way = next((way_of(met, s)[1:-1] for s in sources if s in met), ())
    in_line = {p.tag for c in ahead for p in (*net.upstream(c), *net.downstream(c))}
    beside = [t for t in reversed(way) if t not in in_line]
    by = f", by {several([t for t in beside if net.by_tag[t].kind != 'fitting'] or beside)}" if beside else ""
    return f"a way goes round {several(ahead)}{by}"


@rule(
    "plumbing.burst_closures",
    level="error",
    statement="No single failure opens a burst: two closures that drop shut without power stand before it, moved apart",
    source=CHOICE,
    needs=(NETWORK, FAULTS, SHARED_MEANS),
    wants=(EFFECTS,),
    rests_on=("plumbing.normally",),
)
def burst_closures(ctx: Context) -> Judging:
    """Judged failure by failure: one button on two coils is two closures against a stuck valve, and one against a
    welded contact."""
    net, faults = ctx[NETWORK], ctx[FAULTS]
    outlets = _burst_outlets(net, ctx.get(EFFECTS))
    if not outlets:
        return not_applicable("no burst is described")
    whole, opened = FaultyNetwork(net), set[str]()
    coils = tuple(v.tag for v in net.of_kind("valve") if drops_shut(v))
    for outlet in outlets:
        if sources := whole.reaching([(outlet, "in")], coils):
            opened.add(net.by_tag[outlet].at)
            yield Trouble(
                net.by_tag[outlet].at,
                f"with no power gas still reaches {outlet}: {_past(net, outlet, coils, sources)}",
                "two solenoid valves in a row, normally: closed, and no way round them",
                "a burst that is held back by hand alone opens when the hand is gone",
            )
    ahead = [v for v in net.of_kind("valve") if by_itself(v) and any(p.tag in outlets for p in net.downstream(v.tag))]
    for valve in ahead:
        if rises_open(valve):
            yield Trouble(
                valve.at,
                f"{valve.tag} opens when power is lost, and stands before a burst",
                "a valve that is normally: closed",
                "a pulled plug is the likeliest failure of all",
            )
    held = [f for f in faults if f.state != "stuck_open" or by_itself(net.by_tag[f.tags[0]])]
    # That what is normally open opens is said above: with power it stands shut.
    for fault in (f for f in held if f.state in ("stuck_open", "means_on", "means_off", "power_lost")):
        its = ways_of(net, fault, powered=True)
        burn = [w.where for w in its if w.where in outlets and w.sources and net.by_tag[w.where].at not in opened]
        if burn:
            yield Trouble(
                fault.at,
                f"{fault.what}: {', '.join(burn)} stays open until somebody closes a valve by hand",
                "a second valve in the row that something else moves, and that drops shut without power",
                "it is as tall as its feed allows, and goes on while people look for a valve",
            )
    moved = {c for m in ctx[SHARED_MEANS] for c in m.closures}
    unsaid = [v.tag for v in ahead if v.tag not in moved]
    if unsaid:
        said = f"what moves {', '.join(unsaid)} is not said (driven_by:), so one failure may open both"
        return not_checked(said, *(join("/plumbing/parts", tag, "driven_by") for tag in unsaid))
    loose = [v.tag for v in ahead if not v.spec.has("normally")]
    if loose:
        said = f"whether {', '.join(loose)} drops shut without power is not said (normally:)"
        return not_checked(said, *(join("/plumbing/parts", tag, "normally") for tag in loose))
    return passed(counted(len(outlets), "burst outlet"), [v.tag for v in ahead])


@rule(
    "plumbing.let_down",
    level="error",
    statement="An accumulator can be let down by hand, without power",
    source=PRACTICE,
    needs=(NETWORK,),
)
def let_down(ctx: Context) -> Judging:
    """By a hand valve from which gas gets to an outlet, a plug that comes off, or the open; a plug that holds the
    pressure itself is none. What opens by power counts as shut, and a relief valve is not there for this."""
    net = ctx[NETWORK]
    accumulators = net.of_kind("accumulator")
    if not accumulators:
        return not_applicable("no accumulator is described")
    net.all_read()
    whole = FaultyNetwork(net)
    coils = [p.tag for p in net.of_kind("valve") if by_itself(p)]
    hands = [p.tag for p in net.of_kind("valve") if by_hand(p)]
    outlets = {p.tag for p in net.of_kind(*OUTLETS)}
    for accumulator in accumulators:
        at_rest = whole.reach([accumulator.tag], [*coils, *hands])
        opened = whole.reach([accumulator.tag], coils)
        ends = {(t, side) for t, side in opened if net.by_tag[t].form in PLUGS}
        ends |= {(t, side) for t, side in opened if side == "out" and open_ended(net, net.by_tag[t])}
        if not {tag for tag, _ in opened} & outlets and not ends - at_rest:
            yield Trouble(
                accumulator.at,
                f"with no power, nothing that a hand opens lets {accumulator.tag} down",
                "a needle valve on its side of the solenoid valves, with a plug behind it that comes off",
                "gas that is shut in stays there when the power fails, is carried off with the device, and comes "
                "out at the first joint that somebody opens",
            )
    return passed(counted(len(accumulators), "accumulator"))


@rule(
    "plumbing.burst_valve",
    level="warning",
    statement="What fills an accumulator is shut off by a hand valve that puts nothing else out",
    source=PRACTICE,
    needs=(NETWORK,),
)
def burst_valve(ctx: Context) -> Judging:
    """A valve that feeds a pilot or a steady flame as well is left open for that, and the burst is filled again."""
    net = ctx[NETWORK]
    fed = [a for a in net.of_kind("accumulator") if any(p.kind == "cylinder" for p in net.upstream(a.tag))]
    if not fed:
        return not_applicable("no accumulator is filled from a cylinder")
    net.all_read()
    whole, own = FaultyNetwork(net), {v.tag for v in net.of_kind("valve") if by_hand(v) and fills(net, v)}
    for accumulator in fed:
        left = [s for s in whole.reaching([(accumulator.tag, "in")], own) if net.by_tag[s].kind == "cylinder"]
        if left:
            yield Trouble(
                accumulator.at,
                f"no hand valve shuts {several(left)} off from {accumulator.tag} alone",
                f"a quarter-turn valve ahead of {accumulator.tag} that feeds nothing else",
                "else all that burns has to be put out before a burst is, and it is filled again until then",
            )
    return passed(counted(len(fed), "accumulator"))
