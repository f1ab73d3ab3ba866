"""A flame at each outlet first, then its gas: by torch, by a pilot that burns, or by an igniter seen to work."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import NamedTuple

from specc import Citation
from specc.kinds.plumbing import OUTLETS
from specc.kinds.procedures import Act, Procedure, Step
from specc.model.values import PRACTICE
from specc_operators.arming import below, feeds_of, opening_of
from specc_operators.device import Device
from specc_operators.filling import OVERHEAD, watching
from specc_operators.in_words import listed, paired, together
from specc_operators.readings import gauges_at
from specc_operators.rows import WAIT, Blocked, OpenAndLit, reads_nothing, row

BY_EYE = Citation("nfpa-160", "a pilot is proved by eye, or else by a safety control; section not seen", "reprint")


def _not_lit(device: Device, torch: bool, powered: bool) -> str:
    shut = "its valve without power" if powered else "close its valve"
    away = ", the torch away and out" if torch else ""
    # Air stands in a line until gas comes: how long that takes was seen at the purge, where a hand lets it in.
    due = "it hisses" if powered else "its time at the purge"
    return (
        f"Not lit {device.habits.lit_within} after {due}: {shut}{away}, wait {WAIT} and until "
        f"{reads_nothing(device.detector)} there, begin this step anew."
    )


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
        words.append(f"{gauge} not above {device.habits.let_down}")
    words += [f"{listed(device.keys)} out, with the lead"] if device.keys else []
    # Between scenes flames still burn, and nothing is let down unlit beside one.
    no = f"let {listed(near)} down" if procedure == "start" else "normal shutdown, and start anew"
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
    made: list[_Lit] = []
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
                torch = any(device.lit_by(o)[0] == "torch" for o in new)
                words, acts = _flames(device, new, closure, state.lit)
                acts = [*watching(device, filled, acts[-1]), *acts]
                pairs = [(listed(new), listed(closures[n:] if n + 1 < len(closures) else [closure]))]
                made.append(_Lit(words, acts, pairs, acts[-2].who + "|" + acts[-1].where, torch))
            else:
                act = opening_of(device, closure)
                made.append(_Lit("", [*watching(device, filled, act), act], [("", closure)]))
            state = OpenAndLit((*state.opened, closure), (*state.lit, *new))
        if outlet not in state.lit:
            raise Blocked(f"gas does not come to {outlet}")
    return _rows(device, made, order, moment, procedure), state


def _torch_beside(device: Device, outlets: Collection[str], full: Collection[str]) -> str:
    """The outlet that somebody lights with a torch while something that bursts stands charged, in words; "" for none.
    How far apart they are does not count: a burst lights what is not meant."""
    by_hand = [o for o in outlets if device.lit_by(o)[0] == "torch"] if full else []
    charged = [v for v in full if any(b in device.bursts for b in below(device, v))]
    return f"{by_hand[0]} while {listed(charged)} may be charged" if by_hand and charged else ""


def _flames(device: Device, outlets: Sequence[str], closure: str, lit: Collection[str]) -> tuple[str, list[Act]]:
    """A flame at each outlet that is about to get gas, then the opening."""
    ways = [device.lit_by(o) for o in outlets]
    holders = tuple(dict.fromkeys(what for way, what, _ in ways if way == "torch" and what))
    away = any(device.place(o) != device.place(closure) for o in outlets)
    opening = opening_of(device, closure, holders if away else ())
    acts, words = [], []
    for outlet, (way, what, proven) in zip(outlets, ways, strict=True):
        place = device.place(outlet)
        if way == "torch":
            holder = what or device.crew.pick(place, "valve", device.effects.get(outlet, ()), (opening.who,))
            acts.append(Act("light", outlet, holder, place))
            high = device.heights.get(place, 0.0) > OVERHEAD
            second = f" (another, named now, at {opening.where} opens)" if away and holder and not opening.who else ""
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


class _Lit(NamedTuple):
    """One opening on the way to a flame: what is said of the flame ("" where none comes yet), what is done, outlets
    with their closures, and by whom and where, by which rows are made."""

    words: str
    acts: list[Act]
    pairs: list[tuple[str, str]]
    by: str = ""
    torch: bool = False

    @property
    def powered(self) -> bool:
        return self.acts[-1].action == "switch_on"


def _read_beside(device: Device, acts: Sequence[Act]) -> tuple[list[Act], str]:
    """While somebody is out with a torch, somebody else reads what bursts are fired from: a valve that creeps fills
    it."""
    busy = {a.who for a in acts if a.where}
    held = [p.tag for p in device.net.of_kind("accumulator") if any(b in device.bursts for b in below(device, p.tag))]
    gauges = list(dict.fromkeys(g for v in held for g in gauges_at(device, v)))
    looks: list[Act] = []
    for gauge in gauges:  # nobody reads two that stand apart
        place = device.place(gauge)
        taken = {a.who for a in looks if a.where != place}
        looks.append(Act("watch", gauge, device.at_vessel(gauge, {*busy, *taken}), place))
    by: dict[str, list[str]] = {}
    for look in looks:
        by.setdefault(look.who or ("______" if len(looks) > 1 and busy - {""} else "somebody else"), []).append(
            look.tag
        )
    return looks, f"{'; '.join(f'{who} reads {listed(own)}' for who, own in by.items())} meanwhile" if looks else ""


def _rows(device: Device, made: Sequence[_Lit], order: int, moment: str, procedure: Procedure) -> list[Step]:
    rows: list[Step] = []
    for group in together(made, lambda one: (one.words, one.by, one.powered)):
        words, acts, powered = group[0].words, [a for one in group for a in one.acts], group[0].powered
        pairs = [p for one in group for p in one.pairs]
        if not words:
            tags = listed(v for _, v in pairs)
            text = f"Power to {tags}." if powered else f"Open {tags} slowly."
            rows.append(row(order, text, acts, moment=moment, procedure=procedure))
            continue
        each = paired(pairs, " by ")
        begin = "One at a time, " if len(pairs) > 1 else ""
        text = f"{begin}{words}, then {'power to its valve' if powered else 'its valve slowly'}: {each}."
        no = _not_lit(device, group[0].torch, powered)
        if group[0].torch:
            looks, read = _read_beside(device, acts)
            closes = f"{acts[-1].who or 'whoever opened'} closes every valve"
            closes += f" at {acts[-1].where}" if acts[-1].where else " there"
            rises = f"{' or '.join(a.tag for a in looks)} rises, or " if looks else ""
            no = f"{rises}STOP: torch out and away, {closes}. {no}"
            acts, text = [*looks, *acts], f"{text[:-1]}; {read}." if read else text
        rows.append(
            row(
                order,
                text[0].upper() + text[1:],
                acts,
                moment=moment,
                if_not=no,
                look_for="it burns steadily, seen from its valve",
                citation=BY_EYE if moment == "Pilot" else PRACTICE,
                procedure=procedure,
            )
        )
    return rows
