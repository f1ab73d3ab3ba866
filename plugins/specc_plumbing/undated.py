"""Hoses and regulators for whoever walks the site: they age, and no key of the spec has their date."""

from __future__ import annotations

from specc import Column, Context, Row, Table, table
from specc.kinds.plumbing import NETWORK
from specc.model.wording import in_runs

_LOOK = {
    "hose": "hoses {}: year on the cover ______; no crack, bulge, kink, bare braid or loose end",
    "regulator": "regulators {}: year ______; vent free and downward, no rust or dent, screw as it was set",
}


@table("plumbing.undated", title="Hoses and regulators", needs=(NETWORK,))
def undated(ctx: Context) -> Table:
    """One line a kind, with the tags of all."""
    rows = []
    for kind, look in _LOOK.items():
        if tags := [p.tag for p in ctx[NETWORK].of_kind(kind)]:
            rows.append(Row((look.format(", ".join(in_runs(tags))),)))
    return Table("", "", (Column("", 1),), tuple(rows), "Common practice, no published source.")
