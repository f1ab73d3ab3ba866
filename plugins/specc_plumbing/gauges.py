"""Whether the pressure gauges of the device read as far as what stands in them."""

from __future__ import annotations

import math

from specc import PRACTICE, Context, Cure, Trouble, Unchecked, not_applicable, rule
from specc.kinds.plumbing import NETWORK, ZONE_PRESSURE, ZONES, zone_words
from specc.measure.printing import past
from specc.measure.units import PSI
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_plumbing.leak_test_window import working


@rule(
    "plumbing.gauge_reads",
    level="warning",
    statement="Each gauge reads beyond what stands there while nothing has failed",
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
    return passed(counted(len(gauges), "gauge"))
