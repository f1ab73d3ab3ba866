"""Rules on currents and voltages: what fuses, wires, coils and the battery are held to."""

from __future__ import annotations

from specc import Context, Trouble, Verdict, found, not_applicable, not_checked, rule, show
from specc.kinds.show import SHOW
from specc.model.values import PRACTICE, Citation
from specc_control.calc.coil import PULL_IN
from specc_control.calc.wire import UL_FUSE
from specc_control.electric import AT_COIL, CLEARS, CURRENT, LASTS, NEEDED, WAYS
from specc_control.entries import NONE, WIRING

_SOURCE = Citation("cfr-33-183-455", "overcurrent protection at the source of power", "read")
_BAND = Citation("valve-coil-guide", "supply band of valve coils, 85 to 110 % of the rating", "read")
_DEPTH = Citation("battery-maker-notes", "reserve of a battery", "read")
LOWEST_BAND, HIGHEST_BAND = 0.85, 1.10


def _looked(checked: int, what: str, missing: list[str], lacks: str, troubles: list[Trouble]) -> Verdict:
    """Troubles, else what could not be checked for want of data, else passed."""
    if missing and not troubles:
        return not_checked(f"{lacks}: {', '.join(missing)}")
    if not checked and not troubles:
        return not_applicable(f"no {what} of the wiring to check")
    words = what.removesuffix("ies") + "y" if what.endswith("ies") else what.removesuffix("s")
    return found(
        troubles,
        (f"1 {words}" if checked == 1 else f"{checked} {what}")
        + (f"; not checked for want of data: {', '.join(missing)}" if missing else ""),
    )


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
        return not_applicable(NONE)
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
    w, checked, missing = ctx[WIRING], 0, []
    troubles: list[Trouble] = []
    for way in ctx[WAYS]:
        part, supply = w.parts[way.load], w.parts[way.supply]
        if not (part.spec.has("voltage") and supply.spec.has("voltage")):
            missing.append(part.tag)
            continue
        rated, given = part.spec.quantity("voltage"), supply.spec.quantity("voltage")
        checked += 1
        if not LOWEST_BAND * rated.si <= given.si <= HIGHEST_BAND * rated.si:
            troubles.append(
                Trouble(
                    rated.at,
                    f"{part.tag} is made for {rated.text} and gets {given.text} from {supply.tag}",
                    f"a part made for {given.text}",
                )
            )
    return _looked(checked, "loads", missing, "voltage not stated", troubles)


@rule(
    "control.fuse_load",
    level="warning",
    statement="With everything on a fuse carries no more of its rating than the limit",
    source=PRACTICE,
    needs=(WIRING, CURRENT),
    limits=("control.fuse_load",),
)
def fuse_load(ctx: Context) -> Verdict:
    w, limit, missing = ctx[WIRING], ctx.limit("control.fuse_load"), []
    troubles: list[Trouble] = []
    for p in w.of_kind("fuse"):
        if p.tag not in ctx[CURRENT] or not p.spec.has("rating"):
            missing.append(p.tag)
            continue
        amps, rating = ctx[CURRENT][p.tag].si, p.spec.quantity("rating")
        if amps > limit.si * rating.si:
            troubles.append(
                Trouble(
                    rating.at,
                    f"{p.tag} carries {show(amps, 'current')}, more than {limit.text} of its {rating.text}",
                    "a larger fuse if the wire allows it, or loads on two fuses",
                )
            )
    return _looked(len(w.of_kind("fuse")) - len(missing), "fuses", missing, "rating or loads not stated", troubles)


@rule(
    "control.fuse_wire",
    level="error",
    statement="No wire carries less than the fuse before it lets through",
    source=_SOURCE,
    needs=(WIRING, WAYS),
    rests_on=("control.carries",),
)
def fuse_wire(ctx: Context) -> Verdict:
    w, missing = ctx[WIRING], []
    troubles: dict[str, Trouble] = {}
    checked: set[str] = set()
    for way in ctx[WAYS]:
        fuse = None
        for name in way.edges:
            part = w.parts.get(name)
            if part is None:
                continue
            if part.kind == "fuse" and part.spec.has("rating"):
                rating = part.spec.quantity("rating")
                fuse = rating if fuse is None or rating.si < fuse.si else fuse
            elif part.kind == "wire":
                if fuse is None or not part.spec.has("carries"):
                    missing.append(part.tag)
                    continue
                checked.add(part.tag)
                carries = part.spec.quantity("carries")
                if carries.si < fuse.si:
                    troubles[part.tag] = Trouble(
                        carries.at,
                        f"{part.tag} may carry {carries.text}, and its fuse lets {fuse.text} through",
                        f"a fuse of at most {carries.text}, or a larger wire",
                        "the wire becomes the fuse",
                    )
    lacks = sorted(set(missing) - checked)
    return _looked(
        len(checked), "wires", lacks, "what it carries (carries:) or a fuse is not stated", list(troubles.values())
    )


@rule(
    "control.fuse_clears",
    level="error",
    statement="A dead short at the far end of each run passes enough to open its fuse",
    source=UL_FUSE,
    needs=(WIRING, CLEARS),
    limits=("control.fuse_short",),
)
def fuse_clears(ctx: Context) -> Verdict:
    w, limit, missing = ctx[WIRING], ctx.limit("control.fuse_short"), []
    troubles: list[Trouble] = []
    for p in w.of_kind("fuse"):
        if p.tag not in ctx[CLEARS]:
            missing.append(p.tag)
            continue
        ratio = ctx[CLEARS][p.tag]
        if ratio.si < limit.si:
            amps = ratio.si * p.spec.quantity("rating").si
            far = ratio.worked.name
            at = p.spec.here("rating")
            troubles.append(
                Trouble(
                    at,
                    f"{far} passes {show(amps, 'current')}, {ratio.si:.2f} times the rating of {p.tag}:"
                    " it may open late, or never",
                    f"a fuse of at most {show(amps / limit.si, 'current')}, or larger wire",
                    "until it opens the pair heats over its whole length",
                )
            )
    return _looked(
        len(w.of_kind("fuse")) - len(missing),
        "fuses",
        missing,
        "rating, or length and size of the wires behind it, not stated",
        troubles,
    )


@rule(
    "control.coil_voltage",
    level="error",
    statement="With the supply low, the wire long and the coil hot together, each coil gets what it needs to pull in",
    source=PULL_IN,
    needs=(WIRING, AT_COIL, NEEDED),
    rests_on=("control.pull_in", "control.warm", "control.lowest"),
)
def coil_voltage(ctx: Context) -> Verdict:
    w, missing = ctx[WIRING], []
    troubles: list[Trouble] = []
    lacking: dict[str, None] = {}
    for p in w.of_kind("coil"):
        if p.tag not in ctx[AT_COIL] or p.tag not in ctx[NEEDED]:
            missing.append(p.tag)
            lacking |= dict.fromkeys(f"{key}:" for key in ("power", "pull_in", "warm") if not p.spec.has(key))
            continue
        gets, needs = ctx[AT_COIL][p.tag].si, ctx[NEEDED][p.tag].si
        if gets < needs:
            troubles.append(
                Trouble(
                    p.at,
                    f"{p.tag} gets {show(gets, 'voltage')} and needs {show(needs, 'voltage')} when it is warm",
                    "a shorter or larger wire, a fresher battery, or a cooler coil",
                    "it may open half, late, or not at all",
                )
            )
    return _looked(
        len(w.of_kind("coil")) - len(missing),
        "coils",
        missing,
        (", ".join(lacking) or "the supply's lowest:, or the wires to it,") + " not stated",
        troubles,
    )


@rule(
    "control.battery_lasts",
    level="error",
    statement="Each battery lasts for the whole show in the cold, with its reserve",
    source=_DEPTH,
    needs=(WIRING, LASTS, SHOW),
    rests_on=("control.capacity",),
)
def battery_lasts(ctx: Context) -> Verdict:
    w, missing = ctx[WIRING], []
    night = sum(scene.lasts.si for scene in ctx[SHOW].scenes)
    troubles: list[Trouble] = []
    for p in w.of_kind("battery"):
        if p.tag not in ctx[LASTS]:
            missing.append(p.tag)
            continue
        life = ctx[LASTS][p.tag].si
        if life < night:
            troubles.append(
                Trouble(
                    p.spec.here("capacity"),
                    f"{p.tag} lasts {show(life, 'duration', 'h min')} in the cold,"
                    f" with its reserve; the show {show(night, 'duration', 'h min')}",
                    "a larger battery, or loads that are on for less (share_on:)",
                )
            )
    return _looked(
        len(w.of_kind("battery")) - len(missing),
        "batteries",
        missing,
        "chemistry, capacity or loads not stated, or colder than was published",
        troubles,
    )
