"""The start of a night: from closed valves to the flames of the first scene, one act at a time.

Nothing is opened whose opening lets gas out where no flame waits, but for the short purge of a first fill, which is
made with no flame near and closed again. Where the plumbing gives no such order, the steps end with what is missing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from specc import Citation
from specc.kinds.plumbing import OUTLETS
from specc.kinds.procedures import Act, Procedure, Step
from specc.measure.printing import show
from specc.model.values import PRACTICE
from specc_operators.device import Device, listed, paired, together
from specc_operators.filling import (
    at_rest,
    first_fill,
    gauges_at,
    heavy,
    quiet_behind,
    read_out,
    soap,
    watching,
)
from specc_operators.power import power_on
from specc_operators.regulators import backed_off, set_regulators, turn_in
from specc_operators.rows import BUBBLES, LET_DOWN, LIT_WITHIN, WAIT, Blocked, OpenAndLit, row

BY_EYE = Citation("nfpa-160", "a pilot is proved by eye, or else by a safety control; section not seen", "reprint")
_LEAK_TEST = "Leak test, no flame, no spark"
OVERHEAD = 2.0  # m: higher than a hand with a torch is held at a flame
_NOT_LIT = (
    f"Not lit {LIT_WITHIN} (common practice) after it hisses: close its valve, the torch away and out, wait {WAIT} "
    "(trade habit), begin that outlet again."
)


def start_up(
    device: Device, first_lit: Sequence[str], armed: bool, stay: bool = False
) -> tuple[list[Step], OpenAndLit]:
    """The steps, and the state that they end in. `first_lit`: outlets that burn in the first scene; `armed`: bursts
    follow at once; `stay`: cylinders stay connected overnight."""
    made = before_gas(device, stay)
    try:
        if not device.cylinders():
            raise Blocked("no cylinder feeds anything")
        quiet = _quiet(device)
        tried = [*leak_test(device, quiet), *never_soaped(device, quiet), *first_fill(device, quiet)]
        made += [*backed_off(device, tried), *tried]
        state = OpenAndLit((*device.cylinders(), *quiet))
        pilots = [p.tag for p in device.net.of_kind("pilot") if device.on_the_way(p.tag) and p.tag not in device.bursts]
        by_hand = any(device.lit_by(o)[0] == "torch" for o in (*pilots, *first_lit))
        made += nothing_charged(device) if by_hand else []
        # Also for what is lit in a later scene: nothing takes the power away between them.
        made += power_on(device, [o.tag for o in device.net.of_kind(*OUTLETS) if o.tag not in device.bursts])
        lit, state = light(device, state, pilots, 70, "Pilot")
        made += lit
        lit, state = light(device, state, [o for o in first_lit if o not in state.lit], 80, "Flames")
        made += lit
        made += set_regulators(device, state)
        if armed:
            steps, state = arm(device, state, 90)
            made += steps
    except Blocked as why:
        made.append(row(99, f"Do not start: {why}.", moment="No order was found"))
        return made, OpenAndLit()
    return made, state


def _named_first(led_by: str) -> str:
    """What is settled before the first step where there is no roster: whoever the spec has as lead leads."""
    if led_by:
        return f"{led_by} leads and says go; before the first step, name"
    return "Before the first step, name who leads and says go,"


def before_gas(device: Device, stay: bool) -> list[Step]:
    moment, crew = "Before gas", device.crew
    lead = (*crew.of_role("lead"), "")[0]
    made = (
        []
        if crew.hands
        else [
            row(
                5,
                f"No roster is described, so nobody is named here. {_named_first(crew.named)} who is at the cylinders, "
                "who is at each valve, and who watches the public.",
                moment=moment,
                if_not="Do not start.",
            )
        ]
    )
    made += [
        row(
            10,
            "Every line of the go or no-go list is yes. Radio and signal check: the lead calls each post, all answer. "
            f"{device.detector or 'Somebody, named now,'} carries the gas detector from here to the end.",
            [Act("say", "", lead), Act("carry", "", device.detector)],
            moment=moment,
            if_not="No gas tonight.",
        )
    ]
    if remote := device.remote():
        made.append(
            row(
                20,
                f"Controls off, the key out and kept by the lead, the stop pressed: {listed(remote)} without power.",
                [Act("key_out", "", lead, device.desk), *(Act("switch_off", t, lead, device.desk) for t in remote)],
                moment=moment,
            )
        )
    by_place: dict[str, list[Act]] = {}
    for tag in (*device.hand(), *device.bleeds):
        by_place.setdefault(device.place(tag), []).append(device.act("close", tag))
    for group in by_place.values():
        bleeds = [a.tag for a in group if a.tag in device.bleeds]
        valves = [a.tag for a in group if a.tag not in device.bleeds]
        plugged = f"; the plug behind {listed(bleeds)} in and tight" if bleeds else ""
        text = f"Close {listed([*valves, *bleeds])}{plugged}."
        made.append(row(30, text, [a._replace(who=group[0].who) for a in group], moment=moment))
    cylinders = device.cylinders()
    if stay:
        made.append(
            row(
                36,
                f"{listed(cylinders)} as they were left: closed, upright, held, connections untouched. Write down "
                "their weight or level.",
                [device.act("check", t) for t in cylinders],
                moment=moment,
                night="later",
                if_not="Touched: connect anew, leak test and first fill as on the first night.",
            )
        )
    made.append(
        row(
            35,
            f"Stand {listed(cylinders)} upright and held, closed. Write down the weight, look at the seal, connect."
            f"{heavy(device, cylinders)}",
            [device.act("connect", t) for t in cylinders],
            moment=moment,
            night="first" if stay else "every",
        )
    )
    return made


def _quiet(device: Device) -> tuple[str, ...]:
    """Hand valves that may stand open before anything is lit: no outlet and no accumulator gets gas through them."""
    opened = [*device.cylinders()]
    if device.fed(opened) or device.filled(opened):
        what = listed((*device.fed(opened), *device.filled(opened)))
        raise Blocked(f"nothing but the cylinder's own valve stands before {what}")
    return quiet_behind(device, opened)


def leak_test(device: Device, quiet: Sequence[str]) -> list[Step]:
    moment, cylinders = _LEAK_TEST, device.cylinders()
    opened = [device.act("open", c) for c in cylinders]
    words, soaped = soap(device, (), cylinders)
    turned, turning = turn_in(device, _gauges_in(device, (), cylinders), ())
    reads, still = at_rest(device, (), cylinders)
    made = [
        row(
            40,
            f"Open {listed(cylinders)} slowly{_then(turning)}. {words}{still}",
            [*opened, *turned, *soaped, *reads],
            moment=moment,
            if_not=f"{_too_high(still)}{BUBBLES}",
        )
    ]
    early = [p.tag for p in device.net.of_kind("gauge") if p.tag in device.reached(cylinders)]
    if early:
        acts = [device.act("close", c) for c in cylinders]
        looks = [device.act("watch", g) for g in early]
        made.append(
            row(
                45,
                f"Close {listed(cylinders)} again and watch {listed(early)} for a few minutes; then open again.",
                [*acts, *looks, *opened],
                moment=moment,
                if_not="A needle that falls is a leak: find it before anything else.",
            )
        )
    state = [*cylinders]
    for group in together([device.act("open", v) for v in quiet], lambda a: a.where):
        tags = [a.tag for a in group]
        words, soaped = soap(device, state, (*state, *tags))
        reads, still = at_rest(device, state, (*state, *tags))
        turned, turning = turn_in(device, _gauges_in(device, state, (*state, *tags)), state)
        state += tags
        made.append(
            row(
                50,
                f"Open {listed(tags)} slowly{_then(turning)}. {words}{still}",
                [*(a._replace(who=group[0].who) for a in group), *turned, *soaped, *reads],
                moment=moment,
                if_not=f"{_too_high(still)}{BUBBLES}" if still else "As before.",
            )
        )
    return made


def _gauges_in(device: Device, before: Collection[str], after: Collection[str]) -> list[str]:
    """The gauges that gas newly comes to."""
    tags = [p.tag for p in device.net.of_kind("gauge")]
    return [t for t in tags if device.comes_to(t, after) and not device.comes_to(t, before)]


def _then(turning: str) -> str:
    return f", then {turning}" if turning else ""


def _too_high(still: str) -> str:
    """The way on from a regulator that gives too much with no flow: tried once more from nothing, and then replaced."""
    again = "More, or still rising: close every cylinder, let it out slowly in the open with nothing lit, screw that "
    return f"{again}regulator out, open again; once more so: it is replaced, no flame tonight. " if still else ""


def never_soaped(device: Device, quiet: Sequence[str]) -> list[Step]:
    """Joints behind what holds gas back from an outlet: gas there is gas let out, so soap shows nothing while it is
    shut. They count as their last test says; tonight somebody looks whether anything moved."""
    acts: list[Act] = []
    behind: dict[str, None] = {}
    opened = [*device.cylinders(), *quiet]
    opened += [v for vessel in device.net.of_kind("accumulator") for v in device.own_feed(vessel.tag)]
    soaped = device.reached(opened)
    for outlet in (p.tag for p in device.net.of_kind("pilot", "burner") if device.on_the_way(p.tag)):
        place, effects = device.place(outlet), device.effects.get(outlet, ())
        acts.append(Act("look", outlet, device.crew.pick(place, "valve", effects), place))
        behind.update({c: None for c in device.on_the_way(outlet) if c in soaped and c not in opened})
    if not acts:
        return []
    return [
        row(
            53,
            f"Behind {listed(behind)} no gas stands yet, so soap shows nothing: look at each joint from there to "
            f"{listed(a.tag for a in acts)}. One opened or moved since its test is tested anew first (section on "
            f"tests).{_tested_empty(device)}",
            acts,
            moment=_LEAK_TEST,
            if_not="Loose, or not tested since: no gas there tonight.",
        )
    ]


def _tested_empty(device: Device) -> str:
    """Joints behind what fires a burst: gas stands there only while it is fired."""
    held = listed(dict.fromkeys(c for b in device.bursts for c in device.held_by(b)))
    if not held:
        return ""
    vessels = listed(p.tag for p in device.net.of_kind("accumulator"))
    empty = f", {vessels} empty" if vessels else ""
    key = ", key with the lead" if device.keys else ""
    return f" Behind {held} that test is with air, no gas on{empty}{key}: nobody soaps at an outlet that can be fired."


def nothing_charged(
    device: Device, order: int = 69, moment: str = "Before any flame", procedure: Procedure = "start"
) -> list[Step]:
    """What bursts is shut off and let down before a torch goes near it; between scenes it was burned down."""
    near = [p.tag for p in device.net.of_kind("accumulator") if any(b in device.bursts for b in below(device, p.tag))]
    shut = [v for v in feeds_of(device) if any(n in below(device, v) for n in near)]
    if not near or not shut:
        return []
    acts = [Act("check", v, device.who(v), device.place(v)) for v in shut]
    words = [f"{listed(shut)} shut"]
    for gauge in dict.fromkeys(g for vessel in near for g in gauges_at(device, vessel)):
        acts.append(Act("check", gauge, device.at_vessel(gauge), device.place(gauge)))
        words.append(f"{gauge} not above {LET_DOWN}")
    words += [f"{listed(device.keys)} out, with the lead"] if device.keys else []
    # Between scenes flames still burn, and nothing is let down unlit beside one.
    no = f"let {listed(near)} down first, as above" if procedure == "start" else "normal shutdown, and start anew"
    return [
        row(
            order,
            f"Before a torch is lit: {', '.join(words)}.",
            acts,
            moment=moment,
            if_not=f"No torch: {no}.",
            procedure=procedure,
        )
    ]


def light(
    device: Device, state: OpenAndLit, outlets: Sequence[str], order: int, moment: str, procedure: Procedure = "start"
) -> tuple[list[Step], OpenAndLit]:
    """Each outlet with its flame first, then its valve; those that are alike in one row."""
    made: list[tuple[str, list[Act], list[tuple[str, str]], str]] = []
    place = {p.tag: n for n, p in enumerate(device.net.of_kind(*OUTLETS))}
    unlit = {o for o in device.fed(state.opened) if o not in state.lit}  # gas comes to it before anything is opened
    for outlet in _after_what_lights_them(device, outlets):
        if outlet in state.lit:
            continue
        closures = device.needs(outlet, state.opened)
        if not closures:
            raise Blocked(f"no valve stands before {outlet} alone")
        for n, closure in enumerate(closures):
            opened = (*state.opened, closure)
            gets = unlit | device.fed_through([closure], opened)
            new = sorted(gets.difference(state.lit), key=place.__getitem__)
            if bursts := [o for o in new if o in device.bursts]:
                raise Blocked(f"{closure} lets gas to {listed(bursts)}, a burst, while it opens {outlet}")
            full = device.filled((*state.opened, closure))
            filled = [v for v in full if v not in device.filled(state.opened)]
            if charged := _torch_beside(device, new, full):
                raise Blocked(f"a torch comes to {charged}, and no valve of its own keeps gas from it")
            if new:
                words, acts = _flames(device, new, closure, state.lit)
                acts = [*watching(device, filled, acts[-1]), *acts]
                pairs = [(listed(new), listed(closures[n:] if n + 1 < len(closures) else [closure]))]
                made.append((words, acts, pairs, acts[-2].who + "|" + acts[-1].where))
            else:
                act = _opening(device, closure)
                made.append(("", [*watching(device, filled, act), act], [("", closure)], ""))
            state = OpenAndLit((*state.opened, closure), (*state.lit, *new))
        if outlet not in state.lit:
            raise Blocked(f"gas does not come to {outlet}")
    return _rows(made, order, moment, procedure), state


def below(device: Device, tag: str) -> set[str]:
    return {p.tag for p in device.net.downstream(tag)}


def _torch_beside(device: Device, outlets: Collection[str], full: Collection[str]) -> str:
    """The outlet that somebody lights with a torch while something that bursts stands charged, in words; "" for none.
    How far apart they are does not count: a burst lights what is not meant."""
    by_hand = [o for o in outlets if device.lit_by(o)[0] == "torch"] if full else []
    charged = [v for v in full if any(b in device.bursts for b in below(device, v))]
    return f"{by_hand[0]} while {listed(charged)} may be charged" if by_hand and charged else ""


def _opening(device: Device, closure: str, but: Collection[str] = ()) -> Act:
    if device.net.by_tag[closure].form == "solenoid":
        return Act("switch_on", closure, device.crew.pick(device.desk, "valve", (), but), device.desk)
    return device.act("open", closure, but)


def _flames(device: Device, outlets: Sequence[str], closure: str, lit: Collection[str]) -> tuple[str, list[Act]]:
    """A flame at each outlet that is about to get gas, then the opening."""
    ways = [device.lit_by(o) for o in outlets]
    holders = tuple(dict.fromkeys(what for way, what, _ in ways if way == "torch" and what))
    away = any(device.place(o) != device.place(closure) for o in outlets)
    opening = _opening(device, closure, holders if away else ())
    acts, words = [], []
    for outlet, (way, what, proven) in zip(outlets, ways, strict=True):
        place = device.place(outlet)
        if way == "torch":
            holder = what or device.crew.pick(place, "valve", device.effects.get(outlet, ()), (opening.who,))
            acts.append(Act("light", outlet, holder, place))
            high = device.heights.get(place, 0.0) > OVERHEAD
            second = f" (another at {opening.where} opens)" if away and holder and not opening.who else ""
            pole = f" on a pole, {place} being overhead," if high else ""
            words.append(f"a lit torch{pole} at the outlet first{second}")
        elif way == "pilot":
            if what not in lit:
                at_once = f"gets gas from {closure} together with {what}" if what in outlets else f"is lit by {what}"
                raise Blocked(f"{outlet} {at_once}, which does not burn yet")
            acts.append(Act("check", what, opening.who, opening.where))
            words.append(f"{what} seen to burn first")
        else:
            acts.append(Act("light", outlet, opening.who, opening.where))
            words.append(f"{what} on and seen to work first" + (f" ({proven})" if proven else ""))
    return " and ".join(dict.fromkeys(words)), [*acts, opening]


def _after_what_lights_them(device: Device, outlets: Iterable[str]) -> list[str]:
    """Each after the flame that lights it."""
    left, done = list(outlets), []
    while left:
        ready = [o for o in left if device.lit_by(o)[1] not in left or device.lit_by(o)[1] == o]
        done += ready or left[:1]
        left = [o for o in left if o not in done]
    return done


def _rows(
    made: Sequence[tuple[str, list[Act], list[tuple[str, str]], str]], order: int, moment: str, procedure: Procedure
) -> list[Step]:
    rows: list[Step] = []
    groups: list[list[tuple[str, list[Act], list[tuple[str, str]], str]]] = []
    for one in made:
        if groups and groups[-1][-1][0] == one[0] and groups[-1][-1][3] == one[3]:
            groups[-1].append(one)
        else:
            groups.append([one])
    for group in groups:
        words, acts = group[0][0], [a for _, some, _, _ in group for a in some]
        pairs = [p for _, _, some, _ in group for p in some]
        if not words:
            rows.append(
                row(order, f"Open {listed(v for _, v in pairs)} slowly.", acts, moment=moment, procedure=procedure)
            )
            continue
        each = paired(pairs, " by ")
        begin = "One at a time, " if len(pairs) > 1 else ""
        text = f"{begin}{words}, then its valve slowly: {each}."
        rows.append(
            row(
                order,
                text[0].upper() + text[1:],
                acts,
                moment=moment,
                if_not=_NOT_LIT,
                look_for="it burns steadily, seen from where the valve is",
                citation=BY_EYE if moment == "Pilot" else PRACTICE,
                procedure=procedure,
            )
        )
    return rows


def feeds(device: Device, state: OpenAndLit) -> list[str]:
    """What still has to be opened until a burst can be fired."""
    needed: dict[str, None] = {}
    for burst in device.bursts:
        held = device.held_by(burst)
        if not held:
            raise Blocked(f"nothing holds {burst}, a burst, back until it is fired")
        needed.update(dict.fromkeys(device.needs(burst, (*state.opened, *needed), held)))
    return list(needed)


def arm(device: Device, state: OpenAndLit, order: int, procedure: Procedure = "start") -> tuple[list[Step], OpenAndLit]:
    """Fill what bursts, see the flame that lights them, then power. Nobody is near an outlet from then on."""
    made: list[Step] = []
    moment = "Arm the bursts" if procedure == "start" else ""
    for valve in feeds(device, state):
        before = device.filled(state.opened)
        after = (*state.opened, valve)
        if new := [o for o in device.fed(after) if o not in state.lit]:
            raise Blocked(f"{valve} fills what bursts, and lets gas out unlit at {listed(new)}")
        vessels = [v for v in device.filled(after) if v not in before]
        opening = _opening(device, valve)
        looks = watching(device, vessels, opening)
        acts = [*looks, opening]
        text = f"Open {valve} slowly" + (f": fills {listed(vessels)}" if vessels else "")
        text = f"{read_out(looks)}{text[0].lower() if looks else text[0]}{text[1:]}"
        no = ""
        for tag in dict.fromkeys(device.zones.get(v, "") for v in vessels):
            gauges = device.gauges(tag, after) if tag in device.net.by_tag else ()
            if not gauges:
                continue
            # What flows ends when the vessel is full: a regulator turned then is set against a closed end.
            if setting := device.told(tag, "set"):
                text += f", {listed(gauges)} to {setting}, {tag} not turned"
            if most := device.told(tag, "lock_up"):
                no = f"Above {most} (lock-up), or still rising: close {valve}, do not arm."
        made.append(row(order, text + ".", acts, moment=moment, if_not=no, procedure=procedure))
        state = OpenAndLit(after, state.lit)
    bursts = [*device.bursts]
    lighters, sparks = device.lighters(), device.sparks()
    who = device.crew.pick(device.desk, "valve", tuple(device.bursts.values()))
    acts = [Act("check", p, who, device.desk) for p in lighters]
    powered = any(device.net.by_tag[c].form == "solenoid" for b in bursts for c in device.held_by(b))
    seen = f"{listed(lighters)} seen to burn, " if lighters else ""
    seen += f"{listed(sparks)} on and seen to work, " if sparks else ""
    by_hand = any(device.lit_by(o)[0] == "torch" for o in device.effects if o not in device.bursts)
    seen += "every torch out and away, " if by_hand else ""
    text = f"{seen}nobody near {listed(bursts)}, spotters answer clear."
    text = f"{text[0] if seen else text[0].upper()}{text[1:]}"
    if powered:
        text += f" The lead hands over {listed(device.keys) or 'the key'}: stop released, key in and turned. Armed."
        # All answer from their posts first: whoever was at an outlet has left it.
        acts += [Act("say", "", (*device.crew.of_role("lead"), "")[0]), Act("arm", "", who, device.desk)]
    if bursts:
        made.append(
            row(
                order + 2,
                text,
                acts or [Act("say", "", who, device.desk)],
                moment=moment,
                if_not="Stop pressed, key out, "
                + (f"close {listed(feeds_of(device))}." if feeds_of(device) else "wait."),
                procedure=procedure,
            )
        )
    return made, state


def feeds_of(device: Device) -> list[str]:
    """What is opened to fill bursts and lights nothing."""
    steady = device.steady()
    needed: dict[str, None] = {}
    for burst in device.bursts:
        held = device.held_by(burst)
        needed.update(dict.fromkeys(c for c in device.on_the_way(burst) if c not in held and c not in steady))
    return [c for c in needed if device.net.by_tag[c].kind != "cylinder"]


def spoken(seconds: float) -> str:
    return show(seconds, "duration", "s", 2)
