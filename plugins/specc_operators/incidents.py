"""The emergency plan: whom to call and what to say, then one line for each thing that may be seen.

How far people go from a cylinder in a fire is left blank: the public guide has a table of it by the size of the
container, which has not been read here, and its distance for tank cars is not for cylinders.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence

from specc import Citation, View, distance
from specc.formulas.ways import kept_for_help
from specc.kinds.places import Spot
from specc.kinds.plumbing import Part
from specc.kinds.procedures import Act, Step
from specc.model.view import Unreadable
from specc.model.wording import says
from specc_operators.after_stop import CALM
from specc_operators.arming import feeds_of
from specc_operators.clouds import not_where_smelled
from specc_operators.crew import Hand
from specc_operators.device import BY_HAND, Device
from specc_operators.during import charged_beside, disarm
from specc_operators.firing import alarms
from specc_operators.in_words import first_up, listed, paired
from specc_operators.power import key_out, safe
from specc_operators.readings import gauges_at
from specc_operators.rows import AFTER_THUNDER, WAIT, callers, reads_nothing, row, second_of, who_calls, written
from specc_operators.shutdown import FLAME, LATE, each_place

_BURNS = Citation("burn-first-aid", "cool running water for 20 min, then a clean loose cover", "read")
_NO_MORE = "nothing can be fired"
GUIDE = Citation(
    "emergency-response-guidebook",
    "guide 115, and its table by size of container; not read",
    "memory",
)


def call(emergency: View, cylinders: int, on_watch: Collection[str] = ()) -> tuple[tuple[str, str], ...]:
    """The call, said while others close valves: what is asked, and what is told. `on_watch`: the fire watch, one of
    whom calls and another meets help when the others have gone."""
    blank = "______ (not stated)"
    gas = f"{cylinders} {'cylinder' if cylinders == 1 else 'cylinders'}, gas off or not off; " if cylinders else ""
    in_watch = emergency.text_or("watch_caller")
    meets = [p for p in on_watch if p != in_watch] if emergency.has("meets") else []
    watch = f"; in the fire watch {in_watch}" if in_watch else ""
    watch += f", and {' or '.join(meets)} meets help" if watch and meets else ""
    number = emergency.text_or("call") or f"the fire service, {blank}"
    return (
        ("telephone", f"{number}; by {who_calls(emergency) or blank}{watch}"),
        ("say", f"propane flame effect; {gas}how many are hurt; {emergency.text_or('address') or f'address {blank}'}"),
        ("way in", emergency.text_or("access") or emergency.text_or("meet") or blank),
    )


def incidents(
    device: Device, operators: View, first_aid: View, places: Iterable[Spot], emergency: Sequence[Step]
) -> list[Step]:
    """One step for each thing that may be seen, the sight in `look_for`; `emergency`: the steps that shut all."""
    net, spots = device.net, list(places)
    emergency = [s for s in emergency if s.order < CALM]
    made: list[Step] = []

    def add(seen: str, text: str, citation: Citation | None = None, acts: Sequence[Act] = ()) -> None:
        one = row(10 * (len(made) + 1), text, acts, procedure="incident", look_for=seen)
        made.append(one._replace(citation=citation) if citation else one)

    add("gas smelled or heard", f"STOP by voice or hand.{not_where_smelled(device)} The leak steps.")
    steady = [p.tag for p in net.of_kind("pilot", "burner") if p.tag not in device.bursts]
    if steady:
        pairs = paired([(o, valves) for o in steady if (valves := _shut_alone(device, o))], ": ")
        add(
            "a flame is out and gas is on",
            f"{_disarmed(device) if device.bursts else ''}Close its valve ({pairs}). Wait {WAIT} and "
            f"until {reads_nothing(device.detector)} there; lit again on the lead's word.{_not_again(device)}",
            acts=disarm(device, 0, "", "incident").acts if device.bursts else (),
        )
    if device.bursts:
        vessels = [p.tag for p in net.of_kind("accumulator")]
        feeds = feeds_of(device)
        # A pilot lives on the cylinders: shut while the burst is open, they leave it without its flame.
        pilots = device.lighters()
        shut = listed([*feeds, *(() if feeds and pilots else device.cylinders())])
        rest = f"let {listed(vessels)} burn down" if vessels else "let it burn out"
        last = (
            f" over {listed(pilots)}; once it is out, or after {device.blows_on}, close the cylinders"
            if feeds and pilots
            else ""
        )
        last += f", {listed(device.sparks())} left on" if device.sparks() else ""
        are = "is" if len(vessels) == 1 else "are"
        down = f" until {listed(vessels)} {are} let down" if vessels else ""
        # By whoever is posted there: it ends what a vessel still gives.
        first = {a.tag for s in emergency if s.order < LATE for a in s.acts if a.action == "close"}
        own = [t for t in device.shut_off() if t in first]
        shut += f", {listed(own)} too if out of its reach," if own else ""
        add(
            "a burst does not stop",
            f"STOP, first {safe(device)} and {shut} closed. Everybody back out of its reach; {rest}{last}; nobody near "
            f"{listed(device.bursts)}{down}.",
        )
    by_touch, late, seen = _in_the_dark(device, emergency)
    lit = written(operators.child("equipment"), "lamps")
    far = [device.act("close", v) for v in device.shut_off() if v not in {a.tag for a in (*by_touch, *late)}]
    far = [a for a in far if a.where and re.search(rf"\b{re.escape(a.where)}\b", lit)]
    far = [a for s in emergency for a in s.acts if a.action == "close" and a.tag in {f.tag for f in far}]
    # One rule, whatever is seen: what still feeds a pilot waits for its burst.
    waits = late and seen != _NO_MORE and any(_starves(device, (c,)) for c in device.cylinders())
    at_end = f"Once {seen}, close" if waits else "Close"
    if blown := _blown(device):
        add(*blown)
    if hoses := hoses_shut(device, seen if late and seen != _NO_MORE else ""):
        add(
            "a hose has parted or burns",
            "STOP. Close what holds gas from both its ends, what does not burn and is reached from upwind, "
            f"else everybody back: {hoses}. Do not bend or grip it, nor put its flame out "
            "while gas flows.",
            FLAME,
        )
    if net.of_kind("cylinder"):
        add(
            "a cylinder vents or burns, or stands in fire",
            f"STOP. {at_end} its valve if nothing burns there and it can be reached. Venting unlit: nothing is lit "
            "near, all go upwind. A flame at a relief valve or connection is left burning unless its flow can be "
            "stopped. Everybody back ______ ft (by the container's size, from the public guide's table, with the fire "
            "service).",
            GUIDE,
        )
    aiders = told_aiders(operators.child("emergency"))
    fetch = fetched_by(device, operators.child("emergency"), first_aid, spots, emergency, aiders)
    relieved = _relieved(device)
    named: list[str] = []
    free: list[str] = []  # who is free then brings it
    water = ""
    for key, what in (("blanket", "the blanket"), ("kit", "the kit"), ("water", "the burned person")):
        if first_aid.has(key):
            who = fetch.get(key, "")
            at = first_aid.text(key)
            said = f"brings {what} from {at}"
            if key == "water" and not who:  # known to all who are there
                water = f"water at {at}"
                continue
            said = f"leads {what} to the water at {at}" if key == "water" else said
            (named if who else free).append(f"{who}{relieved.get(who, '')} {said}" if who else said)
    if not named and len(free) > 1 and first_aid.text_or("blanket") == first_aid.text_or("kit"):  # nobody is sent
        free[:2] = [f"brings blanket and kit from {first_aid.text_or('kit')}"]
    help_at = named + ([f"who has shut their valves {listed(free)}"] if free else [])
    where = "; ".join([*help_at, *([water] if water else [])])
    add(
        "a person burns",
        "STOP. Down, roll or wrap; cool running water for 20 min, no ice or cream; clean loose cover. "
        + (f"{first_up(where)}." if where else "Where blanket and water are is not stated.")
        + f" First aid: {' or '.join(aiders) or '______'}"
        + (
            ", who then moves nobody."
            if {*aiders} & {h.person for h in device.crew.hands if h.role == "spotter"}
            else "."
        ),
        _BURNS,
    )
    walk = "Spotters walk" if device.crew.spotters() else "Whoever watches the public walks"
    add(
        "public over the line",
        (f"STOP; no burst, {safe(device)}. " if device.bursts else "STOP. ")
        + f"{walk} them back. Lit again only as after any emergency.",
    )
    add(  # without the limit itself: a draft prints none
        "wind, thunder, or a flame that leans to people",
        f"Weather hold: all shut at once, as after STOP. Thunder: then all to {device.sheltered()}, nothing let down "
        f"or lit, until {AFTER_THUNDER} after the last.",
    )
    add("nobody answers at a post, a radio is dead", _stands_in(device, emergency, operators.child("emergency")))
    lamps = operators.child("equipment").text_or("lamps")
    add(
        "all is dark",
        f"STOP. {_dark_desk(device)}{'By the lamps there or by' if says(lamps) else 'By'} touch"
        f"{f', {each_place(by_touch)}' if by_touch else ' the valves are shut'}"
        + (f"; once {seen}, {each_place(late)}" if late else "")
        + (f"; by the lamp there, once {listed(device.bursts)} is seen out, {each_place(far)}" if far else "")
        + ("." if says(lamps) else "; where lamps are is not stated."),
    )
    kept = kept_for_help(spots, written(operators.child("emergency"), "meet"))
    exits = listed(s.tag for s in spots if s.kind == "exit" and s.tag not in kept)
    not_by = f", not by {listed(kept)} (help comes in)" if kept else ""
    meet = operators.child("emergency").text_or("assembly")
    add(
        "everybody has to go",
        f"Gas off first. {'Spotters lead' if device.crew.spotters() else 'Whoever watches it leads'} the public out by "
        f"{exits or 'the ways out'}{not_by}; with unlit gas about by none of these that leads down or is downwind. "
        + (f"The crew gathers at {meet}; the lead counts them." if meet else "Where the crew gathers is not stated."),
    )
    return made


def _shut_alone(device: Device, outlet: str) -> str:
    """What stops the gas of one outlet: by power where that holds it, and by hand besides."""
    hand = device.last_before(outlet)
    powered = [c for c in device.on_the_way(outlet) if device.net.by_tag[c].form == "solenoid"]
    first = f"{listed(powered)} without power" if powered else ""
    return " and ".join(filter(None, [first, listed(hand)]))


def _blown(device: Device) -> tuple[str, str] | None:
    """A relief valve that blows tells that what feeds its vessel gives too much: more of it would come."""
    valves = [p.tag for p in device.net.of_kind("valve") if p.form == "relief"]
    seen = [f"{listed(valves)} blows"] if valves else []
    seen += [f"{gauge} is above {most}" for gauge, most in alarms(device).items() if most]
    if not seen:
        return None
    feeds = listed(feeds_of(device)) or listed(device.cylinders())
    vessels = [p.tag for p in device.net.of_kind("accumulator")]
    return (
        " or ".join(seen),
        f"STOP, {feeds} first. Everybody upwind{f', nobody near {listed(vessels)}' if vessels else ''}. Not armed, lit "
        f"or let down until it has ended, {reads_nothing(device.detector)}, and the cause is mended.",
    )


def told_aiders(emergency: View) -> tuple[str, ...]:
    """Who gives first aid, as the spec names them."""
    try:
        return emergency.texts("first_aid")
    except Unreadable:  # reported where it stands
        return ()


def _relieved(device: Device) -> dict[str, str]:
    """By person, that somebody else comes to a post of theirs later."""
    at_post, role = defaultdict[object, set[str]](set), dict[str, str]()
    for hand in device.crew.hands:
        at_post[hand[1:]].add(hand.person)
        role.setdefault(hand.person, hand.role)
    shared = {p for people in at_post.values() if len(people) > 1 for p in people}
    return {p: " or who relieves them" if p in shared and first == "spotter" else "" for p, first in role.items()}


def fetched_by(
    device: Device,
    emergency: View,
    first_aid: View,
    spots: Sequence[Spot],
    closing: Sequence[Step] = (),
    aiders: Collection[str] = (),
) -> dict[str, str]:
    """By what is fetched, whoever is posted nearest in a straight line; each fetches one thing. Who calls, meets help
    or closes valves does that; of those who watch the public one stays with it, and who gives first aid has the
    blanket at most. Where somebody stands anyway nobody is sent."""
    at = {s.tag: s.shape for s in spots if s.shape}
    busy = {*callers(emergency), written(emergency, "meets"), *(a.who for s in closing for a in s.acts)}
    posts = dict.fromkeys(h.station for h in device.crew.hands if h.role == "spotter")
    busy |= {h.person for h in device.crew.hands if h.role == "spotter" and h.station == next(iter(posts))}
    pairs = sorted(
        (distance(at[h.station], at[place]).si, key, h)
        for key in ("blanket", "water", "kit")
        if (place := first_aid.text_or(key)) in at and place not in {h.station for h in device.crew.hands}
        for h in device.crew.hands
        if h.station in at and h.person not in busy and (key == "blanket" or h.person not in aiders)
    )
    made: dict[str, Hand] = {}
    for _, key, hand in pairs:  # who relieves another at a post is there in their place
        if key not in made and not any(hand.person == h.person or hand[1:] == h[1:] for h in made.values()):
            made[key] = hand
    return {key: hand.person for key, hand in made.items()}


def _stands_in(device: Device, emergency: Sequence[Step], told: View) -> str:
    """Who closes what another was posted for: the next who is for it, else the lead."""
    far = device.shut_off()  # where nobody is posted, as it waits: nobody is missing there
    shut = [
        a for s in emergency for a in s.acts
        if a.action == "close" and a.who and not (a.tag in far and s.order == LATE)
    ]  # fmt: skip
    own = {a.where: device.crew.pick(a.where, "valve", (), (a.who,)) for a in shut if a.where}
    said = [f"at {place} {who or '______'}" for place, who in own.items()]
    fires = next((a for s in emergency for a in s.acts if a.action in ("disarm", "switch_off")), None)
    if fires:  # before any valve
        lead = next((p for p in device.crew.of_role("lead") if p != fires.who), "")
        other = lead or device.crew.pick(fires.where, "valve", (), (fires.who,))
        said.insert(0, f"{f'at {fires.where} ' if fires.where else ''}{other or '______'} ({key_out(device)})")
    leads = device.crew.of_role("lead")
    if leads or not said:
        has = "key, gas detector and telephone" if device.keys else "gas detector and telephone"
        said.append(f"for the lead {second_of(leads, told) or '______'} ({has})")
    return f"STOP by voice and arms. Its valves, after their own, are closed by: {'; '.join(said)}."


def _in_the_dark(device: Device, emergency: Sequence[Step]) -> tuple[list[Act], list[Act], str]:
    """What is closed by touch, and what last of it, with what has to be seen before: a pilot's valve."""
    early: list[Act] = []
    late: list[Act] = []
    outs: dict[str, None] = {}
    for s in sorted(emergency, key=lambda s: s.order):
        waits = s.order == LATE
        for a in s.acts:
            if a.action == "check" and a.tag in device.net.by_tag:  # what comes after it waits for it
                waits, outs = True, {**outs, a.tag: None}
            elif a.action == "close" and not (waits and a.tag in device.shut_off()):  # nobody goes there in the dark
                (late if waits else early).append(a)
    are = "is" if len(outs) == 1 else "are"
    seen = f"{listed(outs)} {are} seen out, or after {device.blows_on}" if outs else _NO_MORE
    return early, late, seen


def _dark_desk(device: Device) -> str:
    """A desk with a battery of its own stays armed when the site is dark."""
    if not device.remote():
        return ""
    at = f"At {device.desk} " if device.desk else ""
    what = f"{listed(device.stops) or 'the power'} {'pressed' if device.stops else 'cut'}"
    battery = " (its battery keeps it armed)" if device.battery else ""
    said = f"{at}{what}{', key out' if device.keys else ''}{battery}. "
    return first_up(said)


def _not_again(device: Device) -> str:
    """No torch is carried anywhere in the middle of a show while what bursts stands charged."""
    vessels = [
        p.tag
        for p in device.net.of_kind("accumulator")
        if any(b.tag in device.bursts for b in device.net.downstream(p.tag))
    ]
    steady = [p.tag for p in device.net.of_kind("pilot", "burner") if p.tag not in device.bursts]
    if not vessels or not any(device.lit_by(o)[0] == "torch" for o in steady):
        return ""
    held = listed(vessels)
    never = [p.tag for p in device.net.of_kind("pilot") if charged_beside(device, p.tag)]
    shown = listed(g for v in vessels for g in gauges_at(device, v))
    no = f"{shown} above {device.habits.let_down}" if shown else f"{held} charged"
    first = f" Before any torch, with {no}: {held} burned off as between scenes"
    first += f" ({listed(device.keys)} in, then out)" if device.keys else ""
    first += ", later armed as there."
    return first + (f" {listed(never)} out: normal shutdown without a burst." if never else "")


def _disarmed(device: Device) -> str:
    """Nothing stays armed beside a flame that is out: its gas lights at the next burst, or the burst at nothing."""
    shut = feeds_of(device)
    first = " and ".join(filter(None, [safe(device), f"{listed(shut)} closed" if shut else ""]))
    return f"First {first}. " if first else ""


def hoses_shut(device: Device, once: str = "") -> str:
    """By what is closed for them, the hoses in flow order: "h1: v_a and v_b". `once`: what is seen before that is shut
    that still feeds a pilot of a burst that blows."""
    by: dict[tuple[str, str], list[str]] = {}
    for hose in device.net.of_kind("hose"):
        shut, held = _ahead_and_behind(device, hose.tag), _far_end(device, hose.tag)
        wait = f"once {once}, " if once and _starves(device, shut, hose.tag) else ""
        if shut or held:
            by.setdefault((f"{wait}{listed(shut) or 'nothing by hand'}", held), []).append(hose.tag)
    return "; ".join(f"{listed(hoses)}: {shut}{held}" for (shut, held), hoses in by.items())


def _starves(device: Device, shut: Collection[str], gone: str = "") -> bool:
    """Whether closures take a pilot's gas that it still has with one part `gone`: what is parted keeps no pilot, and
    another cylinder may."""
    net = device.net

    def fed(pilot: str, closed: Collection[str]) -> bool:
        above = net.walk((pilot,), net.before, lambda p: p.tag == gone or p.tag in closed)
        return any(c in above and c not in closed for c in device.cylinders())

    return any(fed(pilot, ()) and not fed(pilot, shut) for pilot in device.lighters())


def _far_end(device: Device, hose: str) -> str:
    """What no hand valve does at the end away from the cylinders: something else holds gas there, or nothing."""
    net = device.net

    def holds(p: Part) -> bool:
        return p.kind == "regulator" or (p.kind == "valve" and p.form in ("check", "solenoid"))

    def stops(p: Part) -> bool:
        return p.tag == hose or holds(p) or (p.kind == "valve" and p.form in BY_HAND)

    def comes_back(tag: str) -> bool:
        """Whether anything stands past it that gives gas, before the next that holds."""
        beyond = net.walk(net.after.get(tag, ()), net.after, stops)
        return any(net.by_tag[t].kind == "accumulator" or _otherwise(device, t, hose) for t in beyond)

    behind = [net.by_tag[t] for t in net.walk(net.after.get(hose, ()), net.after, stops)]
    held = [
        f"{'regulator' if p.kind == 'regulator' else f'{p.form} valve'} {p.tag}"
        for p in behind
        if p.tag != hose and holds(p) and comes_back(p.tag)
    ]
    vessels = [p.tag for p in behind if p.kind == "accumulator"]
    said = f", its far end held by {listed(held)} alone, no hand valve there" if held else ""
    return said + (f", at its far end nothing holds what {listed(vessels)} gives" if vessels else "")


def _otherwise(device: Device, tag: str, hose: str) -> bool:
    """Whether gas comes to a part that does not come through the hose. Asked upward: only a few stand there."""
    above = device.net.walk((tag,), device.net.before, lambda p: p.tag == hose)
    return any(c in above for c in device.cylinders())


def _ahead_and_behind(device: Device, hose: str) -> tuple[str, ...]:
    """What stops the gas at both ends of a hose: also what would come back to it from another source."""
    net = device.net

    def closes(p: Part) -> bool:
        return p.kind == "cylinder" or (p.kind == "valve" and p.form in BY_HAND)

    def first(starts: Iterable[str]) -> list[str]:
        met = net.walk(starts, net.before, lambda p: closes(p) or p.tag == hose)
        return [t for t in met if closes(net.by_tag[t])]

    behind = net.walk(net.after.get(hose, ()), net.after, lambda p: closes(p) or p.form == "check")
    back: list[str] = []
    for tag in behind:
        if closes(net.by_tag[tag]):
            beyond = net.walk(net.after.get(tag, ()), net.after, lambda p: p.form == "check")
            back += [tag] if any(_otherwise(device, t, hose) for t in beyond) else []
        elif _otherwise(device, tag, hose):
            back += first(t for t in net.before.get(tag, ()) if t != hose)
    return tuple(dict.fromkeys((*first(net.before.get(hose, ())), *back)))
