"""What works on the gas or burns it: valves, regulators, gauges, cylinder connections, vessels, burners, orifices.

Ends are those that are common in the trade; a spec states others under ends:. No ratings, settings or flows: those are
stamped on the real part or in its maker's papers. A valve's bore is not given either: it differs from maker to maker.
"""

from __future__ import annotations

from collections.abc import Iterator

from specc.kinds.plumbing import End, Family, Size
from specc.model.values import Citation
from specc_plumbing.catalog import tables
from specc_plumbing.catalog.making import family, female, flare, male, size
from specc_plumbing.catalog.tables import NPS, Measures, length, ratio
from specc_plumbing.ends import ON_CYLINDER


def _through(sizes: tuple[str, ...], more: Measures = ()) -> list[Size]:
    """Female NPT at both ends."""
    return [size(f"{n} in NPT", female(n), female(n), more=more, bored=False) for n in sizes]


def _male_in(sizes: tuple[str, ...]) -> list[Size]:
    return [size(f"{n} MNPT x {n} FNPT", male(n), female(n), bored=False) for n in sizes]


def _valves() -> Iterator[Family]:
    flares = [size(f"{f} in flare", flare(f), flare(f), bored=False) for f in ("1/4", "3/8", "1/2", "5/8")]
    yield family("ball valve", "valve", "ball", [*_through(NPS), *_male_in(NPS[:6]), *flares])
    needle = [*_through(NPS[:6]), *_male_in(NPS[:4])]
    yield family("needle valve", "valve", "needle", needle, ordered=True, note="gas comes in under the seat")
    globe = _through(NPS[1:], (("loss_bores", ratio(tables.GLOBE_LENGTHS, tables.CRANE)),))
    yield family("globe valve", "valve", "globe", globe, ordered=True)
    check = [*_through(NPS), *_male_in(NPS[:5])]
    yield family("check valve", "valve", "check", check, ordered=True)
    yield family("solenoid valve", "valve", "solenoid", _through(NPS), ordered=True)
    excess = [*_male_in(NPS[1:]), *_through(NPS[1:])]
    yield family(
        "excess-flow valve", "valve", "excess_flow", excess, ordered=True, note="it closes at its maker's rated flow"
    )
    relief = [size(f"{n} in NPT", male(n), bored=False) for n in NPS[1:]]
    yield family(
        "relief valve", "valve", "relief", relief, ordered=True, note="its inlet; the outlet is open to the air"
    )


def _regulators() -> Iterator[Family]:
    sizes = {
        "single_stage": (
            ("1/4", "1/4"), ("1/4", "3/8"), ("1/4", "1/2"), ("3/8", "3/8"), ("1/2", "1/2"), ("1/2", "3/4"),
        ),
        "two_stage": (("1/4", "3/8"), ("1/4", "1/2"), ("1/4", "3/4"), ("3/4", "3/4")),
        "first_stage": (("1/4", "1/4"), ("1/4", "1/2"), ("1/2", "1/2"), ("1/2", "3/4"), ("3/4", "3/4"), ("3/4", "1")),
        "second_stage": (("1/4", "3/8"), ("1/2", "1/2"), ("1/2", "3/4"), ("3/4", "3/4"), ("3/4", "1"), ("1", "1")),
        "high_pressure": (
            ("1/4", "1/4"), ("1/4", "3/8"), ("3/8", "3/8"), ("1/2", "1/2"), ("3/4", "3/4"), ("1", "1"), ("2", "2"),
        ),
    }  # fmt: skip
    for form, pairs in sizes.items():
        made = [
            size(f"{a} in NPT" if a == b else f"{a} x {b} in NPT", female(a), female(b), bored=False) for a, b in pairs
        ]
        if form in ("single_stage", "two_stage", "high_pressure"):
            outlets = ("1/4", "3/8", "1/2") if form != "high_pressure" else ("1/4", "3/8")
            made += [_at_cylinder(number, b, female(b)) for number in ("510", "791") for b in outlets]
        name = form.replace("_stage", "-stage").replace("_", "-") + " regulator"
        yield family(name, "regulator", form, made, ordered=True, note="inlet first")


def _on_nut(number: str) -> End:
    return End("CGA", number, "female" if ON_CYLINDER[number] == "male" else "male")


def _at_cylinder(number: str, pipe: str, end: End) -> Size:
    thread = "FNPT" if end.gender == "female" else "NPT"
    return size(f"CGA {number} x {pipe} {thread}", _on_nut(number), end, bored=False)


def _connections() -> Iterator[Family]:
    notes = {
        "510": "left-hand thread, male on the nut",
        "791": "right-hand, female on the nut, with a thermal and an excess-flow part in it",
        "600": "1 in - 20 thread of one pound cylinders",
    }
    for number in ("510", "791", "600"):
        pipes = {"510": ("1/4", "3/8", "1/2"), "791": ("1/4", "3/8"), "600": ("1/8", "1/4")}[number]
        made = [_at_cylinder(number, n, male(n)) for n in pipes]
        made += [_at_cylinder(number, n, female(n)) for n in pipes]
        if number != "600":
            made += [size(f"CGA {number} x {f} flare", _on_nut(number), flare(f), bored=False) for f in ("1/4", "3/8")]
        yield family(
            f"CGA {number} connector", "fitting", "connector", made, tables.CONNECTIONS, ordered=True, adapter=True,
            note=notes[number],
        )  # fmt: skip


def _vessels() -> Iterator[Family]:
    manifolds = [
        size(f"{n} x {b} in NPT {count} outlets", female(n), *[female(b)] * count, bored=False)
        for n in ("3/8", "1/2", "3/4", "1")
        for b in ("1/8", "1/4", "3/8", "1/2")
        if tables.NPS.index(b) <= tables.NPS.index(n)
        for count in range(2, 9)
    ]
    yield family("manifold", "fitting", "manifold", manifolds, ordered=True, note="inlet, then outlets, all female")
    tanks = [size(f"{n} in NPT", female(n), female(n), bored=False) for n in NPS[1:]]
    yield family("accumulator", "accumulator", "", tanks, note="two ports of one size; state others under ends:")
    gauges = [size(f"{n} in NPT", male(n), bored=False) for n in ("1/8", "1/4", "1/2")]
    yield family("pressure gauge", "gauge", "", gauges)


def _outlets() -> Iterator[Family]:
    for form, name in (
        ("ring", "ring burner"), ("bar", "bar burner"), ("stem", "stem burner"), ("nozzle", "nozzle burner"),
        ("open_end", "open end burner"),
    ):  # fmt: skip
        made = [size(f"{n} in MNPT", male(n), bored=False) for n in NPS]
        made += [size(f"{n} in FNPT", female(n), bored=False) for n in NPS[:6]]
        yield family(name, "burner", form, made)
    made = [size(f"{n} in MNPT", male(n), bored=False) for n in ("1/8", "1/4")]
    made += [size(f"{n} in FNPT", female(n), bored=False) for n in ("1/8", "1/4")]
    made += [size(f"{f} in flare", flare(f), bored=False) for f in ("3/16", "1/4")]
    yield family("pilot", "pilot", "", made)


def _holes() -> Iterator[Family]:
    """Holes by number drill. Jets are no parts of their own: they belong to a burner or pilot."""
    drills: dict[int, tuple[float, Citation]] = {n: (d, tables.DRILLS) for n, d in tables.DRILL.items()}
    drills |= {n: (d, tables.DRILLS_RECALLED) for n, d in tables.DRILL_RECALLED.items()}
    bores = {f"No. {n} drill": (("bore", length(*drills[n], digits=4)),) for n in sorted(drills, reverse=True)}
    sharp = ("discharge", ratio(0.65, tables.HOLES))
    note = "0.65 is for a sharp-edged hole; tables for gas orifices mean 0.79 to 0.93, which gives more flame"
    sizes = [Size(name, (), (*bore, sharp)) for name, bore in bores.items()]
    yield family("feed orifice", "orifice", "", sizes, tables.DRILLS, ordered=True, note=note)
    yield family("drilled jet", "jet", "drilled", sizes, tables.DRILLS, note=note)
    slit = [Size("by its width and length", ())]
    yield family("filed slit", "jet", "slit", slit, note="no published discharge coefficient was found for one")
    ends = [
        Size(f"{n} in pipe schedule 40", (), (("bore", length(tables.PIPE[n].bore_40, tables.PIPES)),)) for n in NPS
    ]
    yield family("open end", "jet", "open_end", ends, tables.PIPES)
    rounded = [Size("well rounded", (), (("discharge", ratio(0.97, tables.HOLES)),))]
    yield family("nozzle", "jet", "nozzle", rounded, tables.HOLES)


def devices() -> tuple[Family, ...]:
    """Valves, regulators, connections, vessels, burners and holes."""
    return (*_valves(), *_regulators(), *_connections(), *_vessels(), *_outlets(), *_holes())
