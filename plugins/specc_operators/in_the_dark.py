"""What is looked for or shown by night: a mark is lit, signals are seen, and no stray gesture fires a burst.

When the sun sets is not computed: from 17:00 to 08:00 counts as dark, as in winter.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import time

from specc import PRACTICE, Context, Limit, Trouble, Unchecked, not_applicable, not_checked, rule, show, stated
from specc.kinds.show import SHOW
from specc.model.passes import Judging, passed
from specc.model.view import View
from specc.model.wording import counted, says, several
from specc_operators.arm_signals import ARM_SIGNALS
from specc_operators.duty_rules import NO_ROSTER, unknown
from specc_operators.hours import NIGHTS
from specc_operators.posts import LineOfSight

ARMS_SEEN = Limit(
    "operators.arms_seen",
    "30 ft",
    "length",
    "min",
    "how far bare arms are seen beside flames in the dark",
    PRACTICE,
)
_DUSK, _DAWN = time(17), time(8)
_UNLIT = {"arms", "flag"}
_SPOKEN = {"voice", "radio"}


def _dark(ctx: Context) -> bool:
    """Whether gas is on at an hour that counts as dark, on some night."""
    ends = [on.end.wall.time() for night in ctx[NIGHTS].nights for on in night.gas]
    starts = [on.start.wall.time() for night in ctx[NIGHTS].nights for on in night.gas]
    return any(end > _DUSK or end <= _DAWN for end in ends) or any(at < _DAWN or at >= _DUSK for at in starts)


@rule(
    "operators.mark_lit",
    level="warning",
    statement="A mark that is looked for in the dark is lit",
    source=PRACTICE,
    needs=(NIGHTS,),
    reads=("operators",),
)
def mark_lit(ctx: Context) -> Judging:
    if stop := unknown(ctx, ctx[NIGHTS]):
        return stop
    sight = ctx.spec("operators").child("go_no_go").child("visibility")
    if not sight.has("mark"):
        return not_checked("no mark for visibility is named", "/operators/go_no_go/visibility/mark")
    if not _dark(ctx):
        return not_applicable("gas is on by day alone")
    lit = sight.text_or("lit")
    if not says(lit):
        yield Unchecked(f"what makes {sight.text('mark')} seen in the dark is not stated (lit:)", sight.here("lit"))
    return stated(f"{sight.text('mark')}: {lit}")


@rule(
    "operators.signals_given",
    level="warning",
    statement="In the dark no signal is given by bare arms to a far post; one that a burst follows is spoken too",
    source=PRACTICE,
    needs=(NIGHTS, ARM_SIGNALS, SHOW),
    reads=("operators",),
    limits=(ARMS_SEEN.key,),
)
def signals_given(ctx: Context) -> Judging:
    if stop := unknown(ctx, ctx[NIGHTS]):
        return stop
    signals = ctx.spec("operators").child("signals")
    if not len(signals):
        return not_checked(NO_ROSTER if not len(ctx.spec("operators")) else "no signals are agreed on (signals:)")
    bursts = list(dict.fromkeys(b.effect for scene in ctx[SHOW].scenes for b in scene.bursts))
    looks: tuple[LineOfSight, ...] = ctx[ARM_SIGNALS]
    far = max(looks, key=lambda look: look.far, default=None)
    dark, limit = _dark(ctx), ctx.limit(ARMS_SEEN.key)
    for tag, signal in signals.children():
        by = {*signal.texts("by")}
        if not by:
            yield Unchecked(f"what the signal {tag} is given by is not stated (by:)", signal.here("by"))
            continue
        if dark and by <= _UNLIT:
            yield from _too_far(tag, signal, far, limit.si, limit.text)
        lets = signal.texts("lets")
        for i, effect in enumerate(lets):
            if effect not in bursts:
                yield Trouble(
                    signal.here("lets", i),
                    f"{effect!r}, of which a burst follows the signal {tag}, does not burst in the show",
                    f"one of: {', '.join(bursts)}" if bursts else "no lets:, as nothing bursts",
                )
        if lets and not by & _SPOKEN:
            yield Trouble(
                signal.at,
                f"a burst of {several(list(lets))} follows the signal {tag}, and nobody speaks a word",
                "by: with voice or radio beside it, and the word",
                "an arm that is moved for another reason fires it",
            )
    silent = [e for e in bursts if not any(e in s.texts("lets") for _, s in signals.children())]
    if silent:
        said = f"which signal lets a burst of {several(silent)} follow is not stated (signals: lets:)"
        yield Unchecked(said, signals.here("*", "lets"))
    return passed(counted(len(signals), "signal"))


def _too_far(tag: str, signal: View, far: LineOfSight | None, most: float, text: str) -> Iterator[Trouble | Unchecked]:
    if far is None:
        yield Unchecked(f"how far the posts are from the lead's, who gives {tag} by arms, is not known", "/places/*/at")
    elif far.far > most * (1 + 1e-9):
        yield Trouble(
            signal.at,
            f"{tag} is given by bare arms, and {far.post.person} at {far.post.station} is "
            f"{show(far.far, 'length', 'ft')} from {far.target} in the dark; the limit is {text}",
            "by: with light (a lit wand), voice or radio",
            "flames blind, and an arm without a light behind them is not seen",
        )


__all__ = ["mark_lit", "signals_given"]
