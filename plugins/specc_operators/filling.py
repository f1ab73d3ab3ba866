"""The first fill: lines and vessels that held air are filled and let out unlit, before any flame is near.

A vessel that each night lets down by its bleed is filled so each night, since air may have got in. While it is full its
joints are soaped: behind its regulator nothing else is tried before flames burn.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from contextlib import suppress

from specc.kinds.plumbing import OUTLETS
from specc.kinds.procedures import AIR_OUT, Act, OnNight, Step
from specc.measure.printing import show
from specc.measure.units import POUND
from specc.model.view import Unreadable
from specc.model.wording import says
from specc_operators.charged import charged_after
from specc_operators.device import Device
from specc_operators.each_valve import each_alone, no_flame_no_valve
from specc_operators.in_words import listed, paired
from specc_operators.power import key_in, key_out
from specc_operators.readings import gauges_at, vents
from specc_operators.regulators import turn_in
from specc_operators.rows import WAIT, WAIT_S, Blocked, reads_nothing, row

OVERHEAD = 2.0  # m: higher than a hand with a torch is held at a flame


def soap(device: Device, before: Collection[str], opened: Collection[str]) -> tuple[str, list[Act]]:
    """What is soaped once these closures are open: by place, as far as gas has come, by somebody who is there."""
    had = device.reached(before)
    ends = device.ends_at([t for t in device.reached(opened) if t not in had])
    acts = [
        Act("soap", tag, device.at_vessel(tag, place=place) if place else device.who(tag), place)
        for place, tags in ends.items()
        for tag in tags
    ]
    where = "; ".join(f"{f'at {place} ' if place and len(ends) > 1 else ''}{listed(t)}" for place, t in ends.items())
    return f"Soap every joint up to: {where}.", acts


def watching(device: Device, vessels: Sequence[str], opening: Act, afar: bool = False) -> list[Act]:
    """Who reads the gauges of vessels while somebody else fills them: whoever opens only where both stand together.
    `afar`: flames burn, and what can be read from a post is read from there."""
    made = []
    for gauge in dict.fromkeys(g for v in vessels for g in gauges_at(device, v)):
        post = from_post(device, gauge, (opening.who,)) if afar else None
        if post:
            made.append(post)
            continue
        place = device.place(gauge)
        but = (opening.who,) if place != opening.where else ()
        made.append(Act("watch", gauge, device.at_vessel(gauge, but), place))
    return made


def read_by(device: Device, gauge: str) -> str:
    """How a gauge is read at night from afar, as the spec says; "" where it says nothing."""
    try:
        told = device.net.by_tag[gauge].spec.text_or("read_by")
    except Unreadable:  # reported where it stands
        told = ""
    return told if says(told) else ""


def from_post(device: Device, gauge: str, but: Collection[str] = ()) -> Act | None:
    """A gauge that can be read from afar, by somebody at their post who does nothing else; None where none can."""
    who, where = device.fires()
    other = device.crew.pick(where, "valve", (), (who, *but))
    post = next((h.station for h in device.crew.hands if h.person == other), "")
    return Act("watch", gauge, other, post) if read_by(device, gauge) and other and post else None


def with_a_watch(device: Device, opened: Collection[str], valve: str) -> list[Act]:
    """A valve by hand is opened; where that fills a vessel, its gauge is read meanwhile."""
    act = device.act("open", valve)
    new = [v for v in device.filled((*opened, valve)) if v not in device.filled(opened)]
    return [*watching(device, new, act), act]


def read_out(device: Device, looks: Sequence[Act]) -> str:
    """Who calls out what a gauge shows, said before a valve is opened."""
    who = listed(dict.fromkeys(a.who for a in looks if a.who))
    afar = any(a.where and a.where != device.place(a.tag) for a in looks)
    post = f" from {listed(dict.fromkeys(a.where for a in looks))}" if afar else ""
    return f"{who or 'Somebody'} reads {listed(a.tag for a in looks)} out{post}: " if looks else ""


def quiet_behind(device: Device, opened: Collection[str]) -> tuple[str, ...]:
    """Hand valves that may stand open too: no outlet and no other accumulator gets gas through them."""
    if device.fed(opened):
        return ()
    quiet: list[str] = []
    met = device.reached(opened)
    held = {c for burst in device.bursts for c in device.held_by(burst)}
    for valve in device.hand():
        if valve in held or valve in opened or valve not in met:
            continue
        tried = [*opened, *quiet, valve]
        if not device.fed_through([valve], tried) and {*device.filled(tried)} <= {*device.filled(opened)}:
            quiet.append(valve)
            met = device.reached(tried)
    return tuple(quiet)


def first_fill(device: Device, quiet: Sequence[str]) -> list[Step]:
    """Lines and vessels that held air: a short purge each, shut again, then the wait until it has blown away. A line
    burns empty at the end of each night and stands open to the air at its outlet, so it is purged on each; and whatever
    was joined behind its valve meanwhile is soaped with gas before a flame is near."""
    ready = (*device.cylinders(), *quiet)
    made: list[Step] = []
    turned: set[str] = set()  # regulators
    for vessels in _by_feed(device, ready):
        if steps := _vessels(device, vessels, ready, turned):
            turned |= {a.tag for s in steps for a in s.acts if a.action == "screw_in"}
            made += steps
    made += _lines(device, ready)
    dark = no_flame_no_valve(device)
    if made:
        lead = (*device.crew.of_role("lead"), "")[0]
        nights = [[a for s in made if s.night in ("every", night) for a in s.acts] for night in ("first", "later")]
        beside = device.bursting(set().union(*(charged_after(device, own, ready).full for own in nights)))
        near = f" {listed(w)}," if (w := vents(device)) else ""
        but = f", nobody near {listed(beside)}, which may be charged" if beside else ""
        made.append(
            row(
                69,
                f"Wait {WAIT}, and until {reads_nothing(device.detector)} at the outlets,{near} in low places{but}.",
                [Act("wait", "", lead), *_read_at_outlets(device, beside)],
                moment=AIR_OUT,
                night="every" if any(s.night == "every" for s in made) else "first",
                lasts=WAIT_S,
                if_not="It reads gas: nothing is lit; look for the leak.",
            )
        )
    return [*made, *dark]


def _by_feed(device: Device, ready: Collection[str]) -> list[list[str]]:
    """The vessels, those together that the same closures fill: whichever is filled, the others are full too. Those let
    down by power come first, no gas of a bleed lies about then; and those that have some with a bleed wait themselves
    until it has blown away."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for p in device.net.of_kind("accumulator"):
        groups.setdefault(tuple(device.needs(p.tag, ready)), []).append(p.tag)
    bled = {p.tag for b in device.bleeds for p in device.net.upstream(b) if p.kind == "accumulator"}
    return sorted(groups.values(), key=lambda tags: (bled.issuperset(tags), bool(bled & {*tags})))


def _read_at_outlets(device: Device, charged: Collection[str]) -> list[Act]:
    """Whoever carries the gas detector goes round the outlets with it, but not to where a burst stands charged."""
    places = dict.fromkeys(device.place(p.tag) for p in device.net.of_kind(*OUTLETS) if device.on_the_way(p.tag))
    shunned = {device.place(o) for o in charged}
    places |= dict.fromkeys(vents(device))
    return [Act("read", "", device.detector, place) for place in places if place not in shunned]


def _vents_of(device: Device, vessels: Collection[str]) -> list[str]:
    """Where some vessels are let down by a bleed."""
    below = {p.tag for v in vessels for p in device.net.downstream(v)}
    return list(dict.fromkeys(p for b in device.bleeds if b in below and (p := device.place(b))))


def _lines(device: Device, ready: Sequence[str]) -> list[Step]:
    done: set[str] = set()
    place = {p.tag: n for n, p in enumerate(device.net.of_kind(*OUTLETS))}
    fed = {*device.fed(ready)}
    had = device.reached(ready)
    purged: list[tuple[list[Act], str, tuple[str, ...]]] = []
    for outlet in [p.tag for k in ("burner", "pilot") for p in device.net.of_kind(k) if p.tag not in device.bursts]:
        needs = device.needs(outlet, ready)
        out = tuple(sorted(fed | device.fed_through(needs, (*ready, *needs)), key=place.__getitem__))
        if not needs or outlet in done or any(device.net.by_tag[c].form == "solenoid" for c in needs):
            continue
        if {*out} & {*device.bursts}:
            continue  # said where it is lit
        done |= {*out}
        opened = [a for n in range(len(needs)) for a in with_a_watch(device, (*ready, *needs[:n]), needs[n])]
        last = opened[-1]
        acts = [
            *(Act("purge", o, last.who, last.where) for o in out),
            *opened,
            *_soaped_while(device, last, had, ready, needs),
        ]
        close = [a._replace(action="close") for a in reversed(opened) if a.action == "open"]
        purged.append(([*acts, *close], needs[-1], out))
    groups: dict[tuple[str, str], list[tuple[list[Act], str, tuple[str, ...]]]] = {}
    for one in purged:
        groups.setdefault((one[0][0].who, one[0][0].where), []).append(one)
    return [
        row(
            60,
            "Purge the lines, one at a time: soap on every joint first, one upwind at the outlet"
            f"{_by_ladder(device, group)}, one at the valve; open "
            f"{paired([(last, listed(out)) for _, last, out in group], ' for ')}, "
            f"{device.unlit + ' at most' if device.unlit else 'a few seconds'}, watch for bubbles, note when gas "
            "comes, close.",
            [a for acts, _, _ in group for a in acts],
            moment=AIR_OUT,
            if_not="No gas in that time: shut, the wait, once more. It hisses on: close the cylinders.",
        )
        for group in groups.values()
    ]


def _by_ladder(device: Device, group: Iterable[tuple[list[Act], str, tuple[str, ...]]]) -> str:
    """What of some outlets stands higher than one reaches."""
    places = dict.fromkeys(device.place(o) for _, _, out in group for o in out)
    high = [p for p in places if device.heights.get(p, 0.0) > OVERHEAD]
    return f" ({listed(high)} from a ladder)" if high else ""


def _soaped_while(
    device: Device, opened: Act, had: Collection[str], ready: Sequence[str], needs: Sequence[str]
) -> list[Act]:
    """The joints of a line during its purge: at the valve by whoever opens it, elsewhere by somebody else. `had`: what
    stood under gas before."""
    ends = device.ends_at({t for t in device.reached_through(needs, (*ready, *needs)) if t not in had})
    made = []
    for place, tags in ends.items():
        but = () if place in ("", opened.where) else (opened.who,)
        effects = [e for t in tags for e in device.effects.get(t, ())]
        who = device.crew.pick(place, "valve", effects, but) if but else opened.who
        made += [Act("soap", tag, who, place) for tag in tags]
    return made


def _let_out(device: Device, vessel: str) -> tuple[list[Act], str]:
    """A vessel is let down unlit: by its bleed, else past what holds its burst back; nothing where neither is there."""
    below = {p.tag for p in device.net.downstream(vessel)}
    if bleeds := [b for b in device.bleeds if b in below]:
        acts = [device.act("bleed", bleeds[0]), device.act("close", bleeds[0])]
        return acts, f"by {bleeds[0]} (plug out, {bleeds[0]} shut, until the end; port away from people, lamps, coils)"
    bursts = [b for b in device.bursts if b in below]
    if not bursts:
        return [], ""
    held = device.held_by(bursts[0])
    if sensors := device.blind(bursts[0]):
        raise Blocked(
            f"{vessel} is filled with the air that stood in it, no valve lets it out by hand, and {listed(sensors)} "
            f"gives {listed(held)} no power without a flame"
        )
    who = device.crew.pick(device.desk or device.place(vessel), "valve", (device.bursts[bursts[0]],))
    way = f"past {listed(held)}"
    if all(device.net.by_tag[c].form == "solenoid" for c in held):
        powered = [Act("switch_on", c, who, device.desk) for c in held]
        on = [Act("key_in", "", who, device.desk), *powered]
        off = [*(a._replace(action="switch_off") for a in powered), Act("key_out", "", who, device.desk)]
        way += f" ({key_in(device)}; each time then {key_out(device)})"
    else:
        on = [device.act("open", c) for c in held]
        off = [a._replace(action="close") for a in reversed(on)]
    return [Act("purge", bursts[0], who, device.desk), *on, *off], way


def _filled_with(feed: Sequence[str]) -> str:
    return f"Fill it with {listed(feed)}, close {listed(feed)}"


def _vessels(device: Device, tags: Sequence[str], ready: Sequence[str], turned: Collection[str]) -> list[Step]:
    """Vessels that one feed fills together: fill them, soap what that fills, and let each down, twice."""
    feed = device.needs(tags[0], ready)
    if not feed or device.fed((*ready, *feed)):
        return []
    ways = {tag: _let_out(device, tag) for tag in tags}
    ways = {tag: way for tag, way in ways.items() if way[0]}
    if not ways:
        return []
    # A contact is moved before gas is let out by a bleed, not after it.
    order = sorted(ways, key=lambda tag: ways[tag][0][0].action == "bleed")
    by_bleed = [tag for tag in order if ways[tag][0][0].action == "bleed"]
    fill = [a for n, c in enumerate(feed) for a in with_a_watch(device, (*ready, *feed[:n]), c)]
    looks = [a for a in fill if a.action == "watch"]
    close = [a._replace(action="close") for a in reversed(fill) if a.action == "open"]
    out = [a for tag in order for a in ways[tag][0]]
    mixed = by_bleed and len(by_bleed) < len(order)
    # Power is given once more after gas was let out by a bleed.
    blows: list[Act] = []
    if mixed:
        lead = (*device.crew.of_role("lead"), "")[0]
        blows = [Act("wait", "", lead), *(Act("read", "", device.detector, p) for p in vents(device))]
        out += blows
    # What shuts another vessel off from its bursts is opened where that one is filled.
    others = {v for v in device.shut_off() if not {*tags} & {p.tag for p in device.net.upstream(v)}}
    more = [v for v in quiet_behind(device, (*ready, *feed)) if v not in others]
    beside = [device.act("open", v) for v in more]  # where the vessel has no valve of its own
    words, soaped = soap(device, ready, (*ready, *feed, *more))
    full = (*ready, *feed, *more)
    # Open until the vessel is let down for the last time: shut, it would hide that a valve behind it leaks, and what
    # stands behind it would stay under pressure.
    kept = [v for v in more if v in device.shut_off()]
    last = [device.act("close", v) for v in kept] if device.own_feed(tags[0]) else []
    kept = kept if last else []
    then = f" Close {listed(kept)}." if kept else ""
    new = [p.tag for p in device.net.of_kind("gauge") if device.comes_to(p.tag, full)]
    new = [g for g in new if device.zones.get(g, "") not in turned]
    screwed, turning = turn_in(device, new, ready, looks)
    turning = f", {turning}" if turning else ""
    gauges, named = listed(a.tag for a in looks), listed(tags)
    night: OnNight = "every" if by_bleed else "first"
    # With no valve of its own it is filled whenever the lines behind the cylinders are, so both are tried together.
    tried: OnNight = night if all(map(device.own_feed, tags)) else "every"
    way = "; ".join(ways[tag][1] if len(tags) == 1 else f"{tag} {ways[tag][1]}" for tag in order)
    way += f"; each time then {WAIT}, until {reads_nothing(device.detector)}" if mixed else ""
    first = f"{listed(feed)} shut, let {named} down unlit{':' if len(tags) > 1 else ''} {way}"
    set_: list[Act] = []
    setting = ""
    for tag in by_bleed:
        acts, said = _set_in_flow(device, tag, [ways[tag][0][0].tag], fill, close, ready)
        set_, setting = [*set_, *acts], f"{setting} {said}".strip()
    why = "closed while gas still comes: at first it is gas mixed with air"
    # Gas that is let out by a hand lies about; only the detector, carried upwind of it, tells how far.
    guard = [Act("read", "", device.detector, p) for p in _vents_of(device, by_bleed)] if device.detector else []
    reads = f" {device.detector} upwind reads the detector; gas there: shut, {WAIT}." if guard else ""
    # Who opens the feed stands where they stand: not in a wind that carries the gas there.
    there = dict.fromkeys(_vents_of(device, by_bleed))
    afar = [p for p in dict.fromkeys(a.where for a in fill if a.action == "open") if p and p not in there]
    reads += f" Wind towards {listed(afar)}: wait." if there and afar else ""
    then += " Plug in, tight." if by_bleed else ""
    alone = [s for tag in tags for s in each_alone(device, tag, feed, looks, tried)]
    if alone:  # on gas, not on the air that stood in it first
        vented = [
            row(
                56,
                f"{first}, {why}.{reads} {setting or f'{_filled_with(feed)}.'}",
                [*guard, *out, *(set_ or [*fill, *close])],
                moment=AIR_OUT,
                night=night,
                lasts=WAIT_S if mixed else 0.0,
            ),
            *alone,
            row(
                57,
                f"Let {named} down unlit once more, as before.{then}",
                [*guard, *out, *last],
                moment=AIR_OUT,
                night=night,
            ),
        ]
    else:
        waits = blows if set_ else []  # gas came out by the bleed while the regulator was set
        again = f"{setting}{' The wait, let' if waits else ' Let'}" if setting else f"{_filled_with(feed)}, let"
        text = f"{first}, {why}.{reads} {again} it down once more.{then}"
        acts = [*guard, *out, *(set_ or [*fill, *close]), *waits, *out, *last]
        lasts = (3 if waits else 2) * WAIT_S if mixed else 0.0
        vented = [row(57, text, acts, moment=AIR_OUT, night=night, lasts=lasts)]
    later = any(a.action == "wait" for s in alone for a in s.acts)  # it stands while gas blows away
    stands = f"; {gauges} stays for {device.habits.stands}" if gauges and not later else ""
    opens = [v for v in more if v in device.shut_off()]
    near = f", nobody before {listed(b for b in device.bursts if device.shut_off())}" if opens else ""
    also = f", then open {listed(more)}{near}" if more else ""
    shut = [v for v in more if v not in kept]
    start = f"{read_out(device, looks)}fill" if looks else "Fill"
    limits = "".join(dict.fromkeys(_set_to(device, tag, bool(turning)) for tag in tags))
    return [
        row(
            55,
            f"{start} {named} with {listed(feed)}{turning}{limits}{also}. {words} Close {listed([*shut, *feed])}"
            f"{stands}.",
            [
                *fill,
                *screwed,
                *beside,
                *soaped,
                *(a._replace(action="close") for a in reversed(beside) if a.tag in shut),
                *close,
            ],
            moment=AIR_OUT,
            night=tried,
            lasts=device.habits.stands_s if stands else 0.0,
            if_not=f"Bubbles{f', or {gauges} falls' if stands else ''}: close every cylinder, let {named} down, mend "
            "it.",
        ),
        *vented,
    ]


def _set_in_flow(
    device: Device, vessel: str, bleeds: Sequence[str], fill: Sequence[Act], close: Sequence[Act], ready: Sequence[str]
) -> tuple[list[Act], str]:
    """The regulator of a vessel is set while gas flows out by its bleed, on a gauge there: full, nothing flows, and
    past a check valve a gauge does not fall when the regulator is turned down."""
    tag = device.zones.get(vessel, "")
    opened = [a.tag for a in fill if a.action == "open"]
    gauges, setting = gauges_at(device, vessel), device.told(tag, "set")
    if not bleeds or not gauges or not setting or not device.comes_to(tag, (*ready, *opened)):
        return [], ""
    turns, where = device.act("set", tag), device.place(bleeds[0])
    # Whoever lets gas out stays at it: another turns the regulator or opens the feed, if these stand elsewhere.
    away = [a.who for a in (turns, *fill) if a.action in ("set", "open") and a.where != where]
    bleed = device.act("open", bleeds[0], away)
    acts = [*fill, bleed, turns, bleed._replace(action="close"), *close]
    long = f", {device.unlit} at a time, three times at most" if device.unlit else ", three times, seconds each"
    text = f"Open {listed(opened)} and crack {bleed.tag}{long}: while gas flows set {tag} to {setting} on "
    text += f"{listed(gauges)}. "
    return acts, f"{text}Close {bleed.tag}, then, full, {listed(opened)}."


def _set_to(device: Device, vessel: str, turned: bool) -> str:
    """What the regulator ahead of a vessel should give, where it is said."""
    tag = device.zones.get(vessel, "")
    setting, most = device.told(tag, "set"), device.told(tag, "lock_up")
    to = "" if turned else f" to {setting}"
    return f"{to}{f'; {most} is lock-up: not above it' if most else ''}" if setting else ""


ALONE = 51 * POUND  # what one person lifts at best: the load constant of NIOSH 94-110, as the structure's lifts have it


def _full(device: Device, cylinder: str) -> float:
    """What a cylinder weighs full, in kg, as far as that is told."""
    spec, told = device.net.by_tag[cylinder].spec, 0.0
    for key in ("capacity", "tare"):
        with suppress(Unreadable):  # reported where it stands; a step is there all the same
            q = spec.quantity_or_none(key)
            told += q.si if q is not None else 0.0
    return told


def two_carry(device: Device, cylinders: Sequence[str]) -> list[Act]:
    """Who moves a cylinder, with whoever connects it, that one person does not lift: on shift, and free before gas is
    on or once it is off."""
    made = []
    for tag in (c for c in cylinders if _full(device, c) > ALONE):
        own = device.who(tag)
        made.append(Act("check", tag, device.crew.pick("", "valve", (), (own,)), device.place(tag)))
    return made


def heavy(device: Device, cylinders: Sequence[str]) -> str:
    """How a cylinder is moved that one person does not lift, and by whom."""
    most = max((_full(device, c) for c in cylinders), default=0.0)
    return f" {show(most, 'mass', 'lb')} full: {carried(device, cylinders)}." if most > ALONE else ""


def carried(device: Device, cylinders: Sequence[str]) -> str:
    """The two who move heavy cylinders, in words; "" where one does."""
    pairs: dict[str, list[str]] = {}
    for act in two_carry(device, cylinders):
        own = device.who(act.tag)
        two = f"{own or '______'} with {act.who or '______'}" if own or act.who else "two people"
        pairs.setdefault(two, []).append(act.tag)
    said = pairs if len(pairs) < 2 else [f"{listed(tags)} {two}" for two, tags in pairs.items()]
    lifted = ", not lifted by two" if any(_full(device, c) > 2 * ALONE for c in cylinders) else ""
    return f"{'; '.join(said)}, on a cart{lifted}" if pairs else ""


def at_rest(device: Device, before: Sequence[str], after: Sequence[str]) -> tuple[list[Act], str]:
    """What gauges may show at most that gas newly comes to, with no flow: a regulator is not found too high only when
    a flame leaps."""
    acts, words = [], []
    for tag in (p.tag for p in device.net.of_kind("gauge")):
        # Asked upward, where few parts stand.
        if device.comes_to(tag, before) or not device.comes_to(tag, after):
            continue
        regulator = device.zones.get(tag, "")
        if most := device.told(regulator, "lock_up") or device.told(regulator, "set"):
            acts.append(device.act("watch", tag))
            words.append(f"{tag} not above {most} ({regulator}, no flow)")
    return acts, f" {'; '.join(words)}." if words else ""
