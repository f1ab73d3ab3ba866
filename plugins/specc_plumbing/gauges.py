"""Whether the pressure gauges of the device read as far as what stands in them."""

from __future__ import annotations

import math

from specc import PRACTICE, Context, Cure, Trouble, Unchecked, not_applicable, rule
from specc.kinds.plumbing import NETWORK, ZONE_PRESSURE, ZONES, Part, zone_words
from specc.measure.printing import past, show
from specc.measure.units import PSI
from specc.model.passes import Judging, passed
from specc.model.values import Quantity
from specc.model.view import join
from specc.model.wording import counted
from specc_plumbing.leak_test_window import working

# Percent of the scale that a gauge may be off in the worst part of it, by its grade: ASME B40.100 (B is 3-2-3), edition
# not known, from memory.
OFF = {"3A": 0.25, "2A": 0.5, "1A": 1.0, "A": 2.0, "B": 3.0, "C": 4.0, "D": 5.0}


def _tells_apart(ctx: Context, gauge: Part, end: Quantity) -> Trouble | Unchecked | None:
    """Before each burst lock-up, the most that may stand there, is told from the setting on an accumulator's gauge: a
    regulator that has crept is seen by nothing else."""
    zone = ctx[ZONES].get(gauge.tag, "")
    regulator = ctx[NETWORK].by_tag.get(zone)
    filled = any(ctx[ZONES].get(p.tag) == zone for p in ctx[NETWORK].of_kind("accumulator"))
    if not filled or regulator is None or regulator.kind != "regulator":
        return None
    low, high = (regulator.spec.quantity_or_none(key) for key in ("set", "lock_up"))
    if low is None or high is None:
        return None
    grade, at = gauge.spec.text_or("accuracy"), join(gauge.at, "accuracy")
    if not grade:
        said = f"{gauge.tag}: whether it tells {high.text} from {low.text} is not known: state its accuracy (accuracy:)"
        return Unchecked(said, at)
    off = end.si * OFF[grade] / 100
    if 2 * off < (high.si - low.si) * (1 - 1e-9):
        return None
    return Trouble(
        at,
        f"{gauge.tag}, grade {grade} to {end.text}, may be {show(off, 'pressure_difference', 'psi', 2)} off either "
        f"way (ASME B40.100, from memory), and has to tell {high.text} (lock-up) from {low.text}",
        "a better grade, or a scale that ends lower",
        "before each burst it alone shows that the regulator has not crept",
    )


@rule(
    "plumbing.gauge_reads",
    level="warning",
    statement="Gauges read beyond what stands there, an accumulator's finely enough",
    source=PRACTICE,
    needs=(NETWORK, ZONES),
    wants=(ZONE_PRESSURE,),
    rests_on=("plumbing.reads_to",),
)
def gauge_reads(ctx: Context) -> Judging:
    gauges = ctx[NETWORK].of_kind("gauge")
    if not gauges:
        return not_applicable("no gauge is described")
    for g in gauges:
        end, zone = g.spec.quantity_or_none("reads_to"), ctx[ZONES].get(g.tag, "")
        stands = working(zone, ctx.get(ZONE_PRESSURE)) if zone else None
        if end is None:
            yield Unchecked(f"{g.tag}: state the end of its scale (reads_to:)", join(g.at, "reads_to"))
        elif stands is None:
            said = f"{g.tag}: the highest working pressure there is not known"
            yield Unchecked(said, "/plumbing/parts/*/highest")
        elif end.si < stands * (1 - 1e-9):
            reached = past(stands, end.si, "gauge_pressure", "psig")
            enough = f"{math.ceil(stands / PSI - 1e-6)} psi"
            yield Trouble(
                join(g.at, "reads_to"),
                f"{g.tag} reads to {end.text}, and up to {reached} stands in it ({zone_words(zone)})",
                "a gauge that reads beyond it, best to about twice as much",
                "its hand lies against the stop: nobody sees what is set or left there, and its tube is strained",
                cure=Cure(f"{enough} would pass", ((join(g.at, "reads_to"), enough),)),
            )
        if end is not None and (told := _tells_apart(ctx, g, end)):
            yield told
    return passed(counted(len(gauges), "gauge"))
