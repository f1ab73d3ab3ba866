"""What times a burst: a timer or a controller's output may hold a valve longer than the show says."""

from __future__ import annotations

from collections.abc import Iterator

from specc import Context, Cure, Trouble, Unchecked, Verdict, authority_decides, not_applicable, not_checked, rule
from specc.kinds.plumbing import NETWORK, walked
from specc.kinds.show import EFFECTS, TIMELINE
from specc.model.passes import judged
from specc.model.values import PRACTICE, Quantity
from specc.model.wording import several
from specc_control.entries import WIRING, Wiring
from specc_control.gas import LOGIC, Logic, valves


def _timed(w: Wiring, made: Logic, coils: tuple[str, ...]) -> list[str]:
    """The timers and controllers that some coils go by: by whose contacts one gets current in one state and none in
    another, or a relay that it goes by does."""
    found: dict[str, None] = {}

    def goes_by(load: str) -> Iterator[str]:
        fed = made.seen.on.get(load, 0) | made.seen.maybe.get(load, 0)
        for k, name in enumerate(made.circuit.variables):
            # States count up with the first variable fastest, so 1 << k further on the same one is on that is off here.
            if not (fed >> (1 << k) ^ fed) & made.seen.all & ~made.seen.variables[name]:
                continue
            part = w.parts[name.partition(".")[0]]
            if part.kind in ("timer", "controller"):
                found[part.tag] = None
            if part.kind in ("timer", "relay"):
                yield part.tag

    walked({}, coils, goes_by, "")
    return list(found)


@rule(
    "control.burst_timed",
    level="error",
    statement="A timer or controller lets each burst go no later than the longest of the show ends",
    source=PRACTICE,
    needs=(WIRING, LOGIC, NETWORK, EFFECTS, TIMELINE),
    rests_on=("control.holds",),
)
def burst_timed(ctx: Context) -> Verdict:
    """Gas, flame and distances are computed for the longest burst of the show."""
    w, made, net = ctx[WIRING], ctx[LOGIC], ctx[NETWORK]
    if made.too_large:  # a state that nobody looked through is no proof that nothing times a burst
        return not_checked(made.too_large)
    longest: dict[str, Quantity] = {}
    for shot in ctx[TIMELINE].shots:
        if shot.effect not in longest or shot.open.si > longest[shot.effect].si:
            longest[shot.effect] = shot.open
    by: dict[str, list[str]] = {}  # timer or controller to the burst effects whose valves it works
    by_hand: list[str] = []  # burst effects whose valves nothing but a hand lets go
    for effect in ctx[EFFECTS]:
        before = (
            {p.tag for o in effect.outlets if net.part(o) for p in net.upstream(o)} if effect.tag in longest else {}
        )
        coils = tuple(c for valve, cs in valves(w, net).items() if valve in before for c in cs)
        timed = _timed(w, made, coils)
        for tag in timed:
            by.setdefault(tag, []).append(effect.tag)
        by_hand += [effect.tag] if coils and not timed else []
    if not by and not by_hand:
        return not_applicable("no burst is let out by a powered valve")
    asks = [
        f"a hand alone ends a burst of {tag}, and gas, flame and distances are computed for {longest[tag].text}: the "
        "authority decides, or a timer in the line of each valve does"
        for tag in by_hand
    ]
    troubles, unsaid = list[Trouble](), list[str]()
    for tag, effects in by.items():
        part = w.parts[tag]
        if not part.spec.has("holds"):
            said = f"how long {tag} holds a valve of {several(effects)} open at most (holds:)"
            unsaid.append(Unchecked(said, part.spec.here("holds")))
            continue
        # It may hold any of them so long: the shortest of their longest bursts counts.
        holds, shortest = part.spec.quantity("holds"), min(effects, key=lambda e: longest[e].si)
        most = longest[shortest]
        if holds.si > most.si * (1 + 1e-9):
            troubles.append(
                Trouble(
                    holds.at,
                    f"{tag} may hold a valve of {shortest} open for {holds.text}, and the longest burst of the show is "
                    f"{most.text}",
                    "or the longer burst in the show, so that its gas, flame and distances are those",
                    "what people are kept away from is the burst of the show, not the one that the box lets out",
                    cure=Cure(f"{most.text} would pass", ((holds.at, most.text),)),
                )
            )
    if asks and not unsaid:
        return authority_decides("; ".join(asks), troubles)
    return judged(troubles, [*unsaid, *asks], f"{several(list(by))} against the longest burst")
