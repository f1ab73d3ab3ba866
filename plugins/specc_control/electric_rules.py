"""Rules on currents and voltages: what fuses, wires, coils and the battery are held to."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

from specc import Context, Cure, Quantity, Trouble, Unchecked, Verdict, answers_of, found, not_checked, rule, show
from specc.kinds.show import SHOW
from specc.kinds.weather import CASES
from specc.model.passes import parted
from specc.model.values import PRACTICE, Citation
from specc.model.wording import counted, plural
from specc_control.calc.coil import PULL_IN
from specc_control.calc.wire import FREE_AIR, UL_FUSE
from specc_control.electric import AT_COIL, CARRIES, CLEARS, CURRENT, LASTS, NEEDED, WAYS, Way, unmeasured, without_way
from specc_control.entries import WIRING, ControlPart, Wiring, nothing

T = TypeVar("T")

_SOURCE = Citation("cfr-33-183-455", "overcurrent protection at the source of power", "read")
_SIDE = Citation("iec-60204-1-notes", "fault rules: switch the side that is not bonded to ground", "reprint")
_BAND = Citation("valve-coil-guide", "supply band of valve coils, 85 to 110 % of the rating", "read")
_DEPTH = Citation("battery-maker-notes", "reserve of a battery", "read")
LOWEST_BAND, HIGHEST_BAND = 0.85, 1.10


def _each(
    w: Wiring, things: Sequence[T], judge: Callable[[T], Iterator[Trouble | str]], thing: str, lacks: str
) -> Verdict:
    """How a rule on each of some things ends. `judge` gives troubles, and the tag of what lacks the data that `lacks`
    names (see `_lacking`); `thing` counts them."""
    troubles, missing = parted(said for thing in things for said in judge(thing))
    if missing and not troubles:
        # What lacks no key of its own is not led to by the lines.
        return not_checked(f"{lacks}: {', '.join(missing)}", *(answers_of(*missing) or ("/control/lines",)))
    checked = len(things) - len(missing)
    if not checked and not troubles:
        return nothing(w, f"no {plural(thing)} of the wiring to check")
    left = f"; not checked for want of data: {', '.join(missing)}" if missing else ""
    return found(troubles, counted(checked, thing) + left)


def _lacking(tag: str, parts: Iterable[ControlPart], *keys: str) -> Unchecked:
    """The tag of what lacks data: those of some keys that parts do not have."""
    return Unchecked(tag, *(p.spec.here(key) for p in parts for key in keys if not p.spec.has(key)))


def _loads(w: Wiring) -> list[ControlPart]:
    return [w.parts[e.tag] for e in w.circuit.edges if e.kind == "load"]


def _unled(w: Wiring, ways: tuple[Way, ...]) -> list[Unchecked]:
    """The loads that no way leads to."""
    return [Unchecked(tag, "/control/lines") for tag in without_way(w, ways)]


def _smaller(fuse: Quantity, amps: float) -> Cure:
    """The largest fuse that would do, down to the tenth of an ampere."""
    rating = f"{math.floor(amps * 10 + 1e-9) / 10:g} A" if amps >= 0.1 else f"{amps:.2g} A"
    return Cure(f"a fuse of {rating} would pass", ((fuse.at, rating),))


@rule(
    "control.fused",
    level="error",
    statement="A fuse stands at each supply's plus, before anything else",
    source=_SOURCE,
    needs=(WIRING,),
)
def fused(ctx: Context) -> Verdict:
    w = ctx[WIRING]
    if not w.circuit.edges:
        return nothing(w)
    plus = {pair[0] for pair in w.circuit.supplies}
    return found(
        [
            Trouble(
                w.places[e.name],
                f"{e.name} is at {e.a if e.a in plus else e.b} with no fuse before it",
                "a fuse as the first part of the line, within 7 in of the terminal",
                "a wire that chafes through before its fuse burns until the battery is empty",
            )
            for e in w.circuit.edges
            if e.kind != "fuse" and (e.a in plus or e.b in plus)
        ],
        "the plus of " + ", ".join(p[:-1] for p in sorted(plus)),
    )


@rule(
    "control.voltage_fits",
    level="error",
    statement="Each load's rated voltage is its supply's, within -15 to +10 %",
    source=_BAND,
    needs=(WIRING, WAYS),
)
def voltage_fits(ctx: Context) -> Verdict:
    w = ctx[WIRING]
    fed: dict[str, dict[str, None]] = {tag: {} for tag in without_way(w, ctx[WAYS])}
    for way in ctx[WAYS]:
        fed.setdefault(way.load, {})[way.supply] = None

    def judge(tag: str) -> Iterator[Trouble | str]:
        part = w.parts[tag]
        supplies = [w.parts[s] for s in fed[tag]]
        if not supplies or not part.spec.has("voltage") or not all(s.spec.has("voltage") for s in supplies):
            yield _lacking(part.tag, (part, *supplies), "voltage")
            return
        rated = part.spec.quantity("voltage")
        for supply in supplies:
            given = supply.spec.quantity("voltage")
            if not LOWEST_BAND * rated.si <= given.si <= HIGHEST_BAND * rated.si:
                yield Trouble(
                    rated.at,
                    f"{part.tag} is made for {rated.text} and gets {given.text} from {supply.tag}",
                    f"a part made for {given.text}",
                )

    return _each(ctx[WIRING], list(fed), judge, "load", "voltage not stated, or no way to it")


@rule(
    "control.fuse_load",
    level="warning",
    statement="With everything on a fuse carries no more of its rating than the limit",
    source=PRACTICE,
    needs=(WIRING, WAYS, CURRENT),
    limits=("control.fuse_load",),
)
def fuse_load(ctx: Context) -> Verdict:
    limit, w = ctx.limit("control.fuse_load"), ctx[WIRING]

    def judge(p: ControlPart) -> Iterator[Trouble | str]:
        if p.tag not in ctx[CURRENT] or not p.spec.has("rating"):
            unknown = _lacking(p.tag, (p,), "rating")
            yield unknown if unknown.answers else _lacking(p.tag, _loads(w), "voltage", "power")
            return
        yield from _unled(w, ctx[WAYS])  # they may draw from it too
        amps, rating = ctx[CURRENT][p.tag].si, p.spec.quantity("rating")
        if amps > limit.si * rating.si:
            least = f"{math.ceil(amps / limit.si * 10 - 1e-9) / 10:g} A"
            yield Trouble(
                rating.at,
                f"{p.tag} carries {show(amps, 'current')}, more than {limit.text} of its {rating.text}",
                "if the wire allows it, or loads on two fuses",
                cure=Cure(f"a fuse of {least} would pass", ((rating.at, least),)),
            )

    return _each(ctx[WIRING], ctx[WIRING].of_kind("fuse"), judge, "fuse", "rating or loads not stated")


@rule(
    "control.fuse_wire",
    level="error",
    statement="No wire carries less, hot and among others, than the fuse before it lets through",
    source=FREE_AIR,
    needs=(WIRING, WAYS, CARRIES),
    rests_on=("control.carries", "control.insulation", "control.air", "control.bundled"),
)
def fuse_wire(ctx: Context) -> Verdict:
    """The smaller of what is computed and what is typed counts: no typed current makes a thin wire carry more."""
    w = ctx[WIRING]
    # By wire, the smallest fuse that each way to it passes, None where it passes none that is rated.
    fuses: dict[str, list[Quantity | None]] = {e.tag: [] for e in w.circuit.edges if w.parts[e.tag].kind == "wire"}
    for way in ctx[WAYS]:
        fuse = None
        for part in (w.parts[name] for name in way.edges if name in w.parts):
            if part.kind == "fuse" and part.spec.has("rating"):
                rating = part.spec.quantity("rating")
                fuse = rating if fuse is None or rating.si < fuse.si else fuse
            elif part.kind == "wire":
                fuses[part.tag].append(fuse)

    def judge(tag: str) -> Iterator[Trouble | str]:
        wire = w.parts[tag].spec
        rated = [f for f in fuses[tag] if f is not None]
        if not rated or None in fuses[tag] or tag not in ctx[CARRIES]:
            unrated = w.of_kind("fuse") if not rated or None in fuses[tag] else ()
            yield Unchecked(tag, *answers_of(_lacking(tag, (w.parts[tag],), "size"), _lacking(tag, unrated, "rating")))
        if not rated:
            return
        fuse = max(rated, key=lambda f: f.si)
        typed = wire.quantity_or_none("carries")
        limits = [(typed.si, typed.at, typed.text)] if typed is not None else []
        if tag in ctx[CARRIES]:
            amps = ctx[CARRIES][tag].si
            limits.append((amps, wire.here("size"), show(amps, "current", "A", 2)))
        if not limits:
            return
        carries, at, words = min(limits)
        if carries < fuse.si:
            yield Trouble(
                at,
                f"{tag} may carry {words}, and its fuse lets {fuse.text} through",
                "or a larger wire; insulation:, air: and bundled: say what it lies in, and how it stands it",
                "the wire becomes the fuse",
                cure=_smaller(fuse, carries),
            )

    return _each(ctx[WIRING], sorted(fuses), judge, "wire", "size, a fuse before it, or more than 24 together")


@rule(
    "control.fuse_clears",
    level="error",
    statement="A dead short at the far end of each run passes enough to open its fuse",
    source=UL_FUSE,
    needs=(WIRING, WAYS, CLEARS),
    limits=("control.fuse_short",),
)
def fuse_clears(ctx: Context) -> Verdict:
    limit, w = ctx.limit("control.fuse_short"), ctx[WIRING]

    def judge(p: ControlPart) -> Iterator[Trouble | str]:
        if p.tag not in ctx[CLEARS]:
            wires = _lacking(p.tag, w.of_kind("wire"), "length", "size")
            yield Unchecked(p.tag, *answers_of(_lacking(p.tag, (p,), "rating"), wires))
            return
        yield from (_lacking(tag, w.of_kind("wire"), "length", "size") for tag in unmeasured(w, ctx[WAYS], p.tag))
        ratio, rating = ctx[CLEARS][p.tag], p.spec.quantity("rating")
        if ratio.si < limit.si:
            amps = ratio.si * rating.si
            yield Trouble(
                rating.at,
                f"{ratio.worked.name} passes {show(amps, 'current')}, {ratio.si:.2f} times the rating of {p.tag}:"
                " it may open late, or never",
                "or larger wire",
                "until it opens the pair heats over its whole length",
                cure=_smaller(rating, amps / limit.si),
            )

    lacks = "rating, or length and size of the wires behind it, not stated"
    return _each(ctx[WIRING], ctx[WIRING].of_kind("fuse"), judge, "fuse", lacks)


def _odd(ctx: Context, p: ControlPart) -> Iterator[Trouble]:
    """A coil that is on is never colder than the air, nor does a supply sag upward."""
    air = max(c.air.si for c in ctx[CASES])
    if p.spec.has("warm") and (warm := p.spec.quantity("warm")).si <= air:
        yield Trouble(
            warm.at,
            f"{p.tag} is said to be {warm.text} when warm, and the air alone gets to {show(air, 'temperature', '°F')}",
            "warm: after an hour on, as its maker gives it or as measured",
        )
    for supply in dict.fromkeys(way.supply for way in ctx[WAYS] if way.load == p.tag):
        spec = ctx[WIRING].parts[supply].spec
        if spec.has("lowest") and spec.has("voltage") and spec.quantity("lowest").si > spec.quantity("voltage").si:
            lowest = spec.quantity("lowest")
            yield Trouble(
                lowest.at,
                f"{supply} is said to fall to {lowest.text}, above its {spec.quantity('voltage').text}",
                "lowest: at the end of the night, under load",
            )


@rule(
    "control.switched_side",
    level="warning",
    statement="What switches a coil stands on the side of it that is not bonded to the chassis",
    source=_SIDE,
    needs=(WIRING, WAYS),
)
def switched_side(ctx: Context) -> Verdict:
    """A wire that chafes on the frame then opens a fuse, and no valve."""
    w = ctx[WIRING]
    of = {e.name: e for e in w.circuit.edges if e.kind == "contact"}

    def judge(way: Way) -> Iterator[Trouble | str]:
        bonded = [side for side in "+-" if f"{way.supply}{side}" in w.chassis]
        wrong = way.edges[: way.before] if bonded == ["+"] else way.edges[way.before :] if bonded else ()
        if contacts := [name for name in wrong if name in of]:
            yield Trouble(
                w.places[contacts[0]],
                f"{contacts[0]} is between {way.load} and {way.supply}{bonded[0]}, which the chassis is bonded to",
                f"its contact on the other side of {way.load}, or chassis: none where nothing is bonded",
                "its wire that touches the frame goes around the contact, and no fuse opens",
            )

    coils = [way for way in ctx[WAYS] if w.parts[way.load].kind == "coil"]
    return _each(w, coils, judge, "way", "the way")


@rule(
    "control.coil_voltage",
    level="error",
    statement="With the supply low, the wire long and the coil hot together, each coil gets what it needs to pull in",
    source=PULL_IN,
    needs=(WIRING, WAYS, AT_COIL, NEEDED, CASES),
    rests_on=("control.pull_in", "control.warm", "control.lowest"),
)
def coil_voltage(ctx: Context) -> Verdict:
    w = ctx[WIRING]
    coils = w.of_kind("coil")
    unknown = [p for p in coils if p.tag not in ctx[AT_COIL] or p.tag not in ctx[NEEDED]]
    lacking = {f"{key}:": None for p in unknown for key in ("power", "pull_in", "warm") if not p.spec.has(key)}

    def judge(p: ControlPart) -> Iterator[Trouble | str]:
        yield from _odd(ctx, p)
        if p in unknown:
            own = _lacking(p.tag, (p,), "power", "pull_in", "warm")
            supplies = [w.parts[s] for s in {way.supply: None for way in ctx[WAYS] if way.load == p.tag}]
            theirs = (_lacking(p.tag, supplies, "lowest"), _lacking(p.tag, w.of_kind("wire"), "length", "size"))
            yield own if own.answers else Unchecked(p.tag, *answers_of(*theirs))
            return
        gets, needs = ctx[AT_COIL][p.tag].si, ctx[NEEDED][p.tag].si
        if gets < needs:
            yield Trouble(
                p.at,
                f"{p.tag} gets {show(gets, 'voltage')} and needs {show(needs, 'voltage')} when it is warm",
                "a shorter or larger wire, a fresher battery, or a cooler coil",
                "it may open half, late, or not at all",
            )

    lacks = ", ".join(lacking) or "the supply's lowest:, or the wires to it,"
    return _each(ctx[WIRING], coils, judge, "coil", f"{lacks} not stated")


@rule(
    "control.battery_lasts",
    level="error",
    statement="Each battery lasts for the whole show in the cold, with its reserve",
    source=_DEPTH,
    needs=(WIRING, LASTS, SHOW),
    rests_on=("control.capacity",),
)
def battery_lasts(ctx: Context) -> Verdict:
    w, night = ctx[WIRING], sum(scene.lasts.si for scene in ctx[SHOW].scenes)
    if ctx[WIRING].of_kind("battery") and not night:
        return not_checked("how long the show lasts is not said (show: scenes:)", "/show/scenes")

    def judge(p: ControlPart) -> Iterator[Trouble | str]:
        if p.tag not in ctx[LASTS]:
            loads = _lacking(p.tag, _loads(w), "voltage", "power")
            yield Unchecked(p.tag, *answers_of(_lacking(p.tag, (p,), "chemistry", "capacity"), loads))
        elif (life := ctx[LASTS][p.tag].si) < night:
            capacity = p.spec.quantity("capacity")
            # Its life grows at least as its capacity does, whatever Peukert's exponent.
            enough = f"{math.ceil(capacity.si * night / life / 3600 - 1e-9)} Ah"
            yield Trouble(
                capacity.at,
                f"{p.tag} lasts {show(life, 'duration', 'h min')} in the cold,"
                f" with its reserve; the show {show(night, 'duration', 'h min')}",
                "or loads that are on for less (share_on:)",
                cure=Cure(f"a battery of {enough} would pass", ((capacity.at, enough),)),
            )

    lacks = "chemistry, capacity or loads not stated, or colder than was published"
    return _each(ctx[WIRING], ctx[WIRING].of_kind("battery"), judge, "battery", lacks)
