"""A Result of our own invention to print: a small flame effect with a burst, in three weather cases."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence

from specc.dims import AbsolutePressure, Length, Mass, MassFlow, Power, Ratio, SpecificEnergy
from specc.dims import Temperature as Kelvin
from specc.drawing.shapes import Circle, Drawing, Line, Polygon, RoundRect, Shape, Sheet, Text
from specc.formulas.calculators import calculator
from specc.model.blocks import (
    Bullets,
    Caution,
    Column,
    DrawingBlock,
    Fact,
    Facts,
    FigureBlock,
    FigureList,
    Heading,
    ModelLimit,
    Para,
    Row,
    RulesBlock,
    Table,
    TableBlock,
)
from specc.model.findings import Finding, Place
from specc.model.result import (
    GitState,
    InputFile,
    LimitShown,
    PluginShown,
    Result,
    RuleOutcome,
    SectionMade,
    WaiverShown,
)
from specc.model.values import (
    Answer,
    Case,
    CaseValue,
    Citation,
    Constant,
    Equation,
    Figure,
    Mover,
    Quantity,
    Reference,
    Symbol,
    Worked,
)

SPEC = b"""format: 1
project: {id: lantern-reeds, title: Lantern Reeds, revision: "4"}
"""
PARTS = b"parts:\n  fo1: {kind: orifice, bore: 0.030 in}\n"

REFERENCES = (
    Reference("orifice-notes", "Flow of gases through small orifices", "Example Press", "third edition"),
    Reference("vapor-tables", "Saturation properties of propane", "Example Bureau", "2019", "seen as a scan"),
    Reference("event-rules", "Rules for open flame at the Saltmarsh Night Fair", "Saltmarsh Night Fair", "2027"),
    Reference("never-cited", "A work that nothing in this packet cites"),
)

CHOKED = Equation(
    forms=(
        ("choked", "w = C*pi*d**2/4*p_0*sqrt(k*M/(Z*R*T))*(2/(k + 1))**((k + 1)/(2*(k - 1)))"),
        ("subsonic", "w = C*pi*d**2/4*sqrt(2*rho*(p_0 - p_a))"),
    ),
    symbols=(
        Symbol("w", "mass_flow", "gas through the orifice"),
        Symbol("C", "ratio", "discharge coefficient"),
        Symbol("d", "length", "bore"),
        Symbol("p_0", "absolute_pressure", "pressure before the orifice"),
        Symbol("k", "ratio", "ratio of specific heats"),
        Symbol("M", "amount_mass", "molar mass"),
        Symbol("Z", "ratio", "compressibility"),
        Symbol("R", "molar_heat", "gas constant"),
        Symbol("T", "temperature", "gas temperature"),
    ),
    citations=(Citation("orifice-notes", "5.6.3", "read"),),
    validity="a pressure ratio below the critical one, and a bore shorter than six diameters",
    constants=(
        ("k", Constant(1.13, "ratio", "1.13", Citation("vapor-tables", "table 2", "reprint"))),
        ("M", Constant(0.0441, "amount_mass", "44.10 g/mol", Citation("vapor-tables", "table 1", "read"))),
        ("R", Constant(8.314, "molar_heat", "8.314 J/(mol·K)", Citation("vapor-tables", "1.1", "read"))),
    ),
)
HEAT = Equation(
    (("", "Q = w*h_c*eta"),),
    (
        Symbol("Q", "power", "heat"),
        Symbol("w", "mass_flow", "gas"),
        Symbol("h_c", "specific_energy", "heating value"),
        Symbol("eta", "ratio", "burned part"),
    ),
    (Citation("vapor-tables", "table 4", "memory"),),
)
TOTAL = Equation(
    (("", "m = sum(m_i)"),),
    (Symbol("m", "mass", "all gas"), Symbol("m_i", "mass", "each cylinder's")),
    (Citation(basis="practice"),),
)
SOLVED = Equation(
    (("", "~ the pressure at which boiling keeps up with the flow, solved in steps of one minute"),),
    (Symbol("T", "temperature", "liquid"),),
    (Citation("vapor-tables", "eq. 7", "computed"),),
)


@calculator(
    "fake-flow",
    CHOKED,
    symbols={"coefficient": "C", "bore": "d", "pressure": "p_0", "warm": "T", "factor": "Z"},
    result="w",
    dim="mass_flow",
)
def flow(coefficient: Ratio, bore: Length, pressure: AbsolutePressure, warm: Kelvin, factor: Ratio = 0.98) -> Answer:
    """Choked flow."""
    k, molar, gas = 1.13, 0.0441, 8.314
    speed = math.sqrt(k * molar / (factor * gas * warm)) * (2 / (k + 1)) ** ((k + 1) / (2 * (k - 1)))
    w = coefficient * math.pi * bore**2 / 4 * pressure * speed
    beyond = "the liquid is colder than the source's lowest 250 K" if warm < 250 else ""
    return Answer(w, "choked", beyond, (("k", k), ("M", molar), ("R", gas)))


@calculator("fake-heat", HEAT, symbols={"w": "w", "value": "h_c", "burned": "eta"}, result="Q")
def heat(w: MassFlow, value: SpecificEnergy, burned: Ratio = 1.0) -> Power:
    """Heat of a flow."""
    return w * value * burned


@calculator("fake-total", TOTAL, symbols={"masses": "m_i"}, result="m")
def total(masses: tuple[Mass, ...]) -> Mass:
    """All gas."""
    return sum(masses)


@calculator("fake-solved", SOLVED, symbols={"warm": "T"}, result="p")
def solved(warm: Kelvin) -> AbsolutePressure:
    """Some pressure."""
    return 170e3 + 2e3 * (warm - 288.0)


PLACES = {
    "/plumbing/parts/fo1/bore": Place("project.yaml", 110, 14),
    "/plumbing/parts/fo1/coefficient": Place("project.yaml", 112, 21),
    "/plumbing/parts/tank_a/holds": Place("project.yaml", 58, 12),
    "/plumbing/parts/tank_b/holds": Place("project.yaml", 64, 12),
    "/weather/air/low": Place("project.yaml", 31, 15),
    "/weather/air/usual": Place("project.yaml", 32, 15),
    "/weather/air/high": Place("project.yaml", 33, 15),
}
BORE = Quantity(0.762e-3, "length", "0.030 in", "/plumbing/parts/fo1/bore", 2.5e-5, 2.5e-5)
COEFFICIENT = Quantity(0.8, "ratio", "0.80", "/plumbing/parts/fo1/coefficient")
AIR = {
    "low": Quantity(282.0, "temperature", "48 °F", "/weather/air/low"),
    "usual": Quantity(288.7, "temperature", "60 °F", "/weather/air/usual"),
    "high": Quantity(302.0, "temperature", "84 °F", "/weather/air/high"),
}
WIND = Quantity(6.7, "speed", "15 mph", "/weather/wind/usual")
HEATING = Constant(46.35e6, "specific_energy", "46.35 MJ/kg", Citation("vapor-tables", "table 4", "memory"))


def _pressures() -> dict[str, Worked]:
    return {name: solved.work("pressure in the cylinder", warm=air) for name, air in AIR.items()}


def figures(reeds: int = 3) -> tuple[Figure, ...]:
    """Figures as a fuel plugin might make them; one for each reed and four more."""
    pressures = _pressures()
    kept = Figure(
        "fuel.cylinder_pressure",
        "Pressure in the cylinders",
        "absolute_pressure",
        "psia",
        3,
        tuple(CaseValue(n, p) for n, p in pressures.items()),
        0,
        "min",
        "fuel",
        "0.1.0",
    )
    cold = solved.work("pressure in the cold", warm=Quantity(244.0, "temperature", "-20 °F", "/weather/air/low"))
    made: list[Figure] = [kept]
    for reed in range(1, reeds + 1):
        cases = []
        for name, air in AIR.items():
            pressure = kept if name == "low" else pressures[name]
            cases.append(
                CaseValue(
                    name,
                    flow.work("one reed", coefficient=COEFFICIENT, bore=BORE, pressure=pressure, warm=air),
                )
            )
        low = high = None
        movers: tuple[Mover, ...] = ()
        if reed == 1:
            si = cases[2].worked.si
            low, high = si * 0.93, si * 1.07
            movers = (
                Mover(BORE.at, "± 0.001 in", low, high),
                Mover("/weather/air/high", "± 5 °F", si * 0.99, si * 1.01),
            )
        made.append(
            Figure(
                f"fuel.flow.reed_{reed}",
                f"Gas through reed {reed}",
                "mass_flow",
                "lb/h",
                2,
                tuple(cases),
                2,
                "max",
                "fuel",
                "0.1.0",
                reed == 1,
                low,
                high,
                movers,
            )
        )
    burned = heat.work("one reed's heat", w=made[-1], value=HEATING)
    made.append(
        Figure(
            "fuel.heat.reed_1",
            "Heat of one reed",
            "power",
            "kBTU/h",
            3,
            (CaseValue("", burned),),
            0,
            "max",
            "fuel",
            "0.1.0",
            True,
        )
    )
    tanks = tuple(Quantity(45.36, "mass", "100 lb", f"/plumbing/parts/tank_{t}/holds") for t in ("a", "b"))
    made.append(
        Figure(
            "fuel.gas_on_site",
            "Gas on site, all cylinders full",
            "mass",
            "lb",
            3,
            (CaseValue("", total.work("all gas", masses=tanks)),),
            0,
            "max",
            "fuel",
            "0.1.0",
        )
    )
    far = flow.work(
        "one reed in deep cold",
        coefficient=COEFFICIENT,
        bore=BORE,
        pressure=cold,
        warm=Quantity(244.0, "temperature", "-20 °F", "/weather/air/low"),
    )
    made.append(
        Figure(
            "fuel.flow.deep_cold",
            "Gas through a reed in deep cold",
            "mass_flow",
            "",
            2,
            (CaseValue("deep cold", far),),
            0,
            "min",
            "fuel",
            "0.1.0",
        )
    )
    return tuple(made)


def schematic() -> Drawing:
    shapes: list[Shape] = []
    for n in range(2):
        y = 50.0 - 30 * n
        shapes += [
            RoundRect(4, y - 12, 11, 18, 2.8, 1.1, "ink", "white"),
            Text(9.5, y - 4, f"tank_{'ab'[n]}", 7, "middle", strong=True),
            Line(((9.5, y + 6), (9.5, y + 12), (40, y + 12)), 1.4),
            Polygon(((24, y + 10.6), (28.4, y + 13.4), (28.4, y + 10.6), (24, y + 13.4)), 0.8, "ink", "white"),
            Text(26.2, y + 7, f"V{n + 1}", 7, "middle"),
        ]
    shapes += [
        Line(((40, 62), (40, 32), (90, 32)), 1.4),
        Line(((60, 10), (60, 70)), 0.6, "gray", True),
        Line(((90, 60), (90, 5)), 0.8),
        Text(30, 72, "cylinder zone, to 214 psig hot", 7, "middle", "gray"),
        Text(100, 72, "open to the air, 0.05 psig", 7, "middle", "gray"),
    ]
    for n in range(5):
        y = 60 - n * 11.0
        shapes += [
            Line(((90, y), (150, y)), 0.8),
            Circle(110, y, 1.4, 0.8, "ink", "white"),
            Text(152, y - 1, f"reed {n + 1}", 7),
        ]
    return Drawing(
        "plumbing.schematic",
        "Gas from cylinders to outlets",
        "schematic",
        (Sheet(166, 78, tuple(shapes)),),
        "Line weight falls with pressure.",
    )


def site() -> Drawing:
    shapes = (
        Polygon(((0, 0), (30, 0), (30, 4), (0, 4)), 0.5, "pale", "pale"),
        Text(15, 1.5, "audience", 8, "middle"),
        Circle(15, 13, 9.1, 0.8, "gray", None, True),
        Circle(15, 13, 4.3, 1.0, "accent"),
        Circle(15, 13, 0.3, 0.8, "accent", "accent"),
        Text(15.6, 12.7, "burst", 7),
        Text(15, 17.6, "1.42 kW/m²", 7, "middle", "accent"),
        Text(22.5, 19.5, "30 ft line", 7, "start", "gray"),
        RoundRect(26, 22, 1, 1.4, 0.1, 0.8, "ink", "ink"),
        Text(26.5, 20.8, "cylinders", 7, "middle"),
    )
    return Drawing("site.plan", "Site plan", "to_scale", (Sheet(30, 25, shapes),), "North is up.")


def bill(rows: int = 14) -> Table:
    kinds = (
        ("ball valve, quarter turn, 1/4 FNPT", "brass", "600 psi", "2"),
        ("hose, 3/8 in bore, 3/8 female flare both ends", "LP-gas hose", "350 psi", "3, 25 ft 0 in in all"),
        ("copper tube, 1/2 in type L, stem", "copper", "—", "5, 48 in each"),
        ("feed orifice, 0.030 in, 1/4 MNPT", "brass", "—", "5"),
    )
    made = [Row((f"P{n + 1}", *kinds[n % 4]), Place("project.yaml", 60 + n)) for n in range(rows)]
    made.append(Row(("", "all parts", "", "", str(rows)), None, True))
    columns = (
        Column("tag", 0.6),
        Column("part", 3),
        Column("material", 1.2),
        Column("rated", 0.8, "right"),
        Column("count or length", 1.4, "right"),
    )
    return Table("plumbing.bill", "Bill of materials", columns, tuple(made), "Lengths as cut.")


STATUSES = (
    "passed",
    "passed",
    "failed",
    "authority to decide",
    "not checked",
    "passed",
    "not applicable",
    "waived",
)


def rules(count: int = 24) -> tuple[RuleOutcome, ...]:
    sources = (
        Citation("event-rules", "part 4", "read"),
        Citation("orifice-notes", "9.2", "memory"),
        Citation(basis="practice"),
        Citation(basis="choice"),
    )
    made = []
    for n in range(count):
        plugin = ("plumbing", "fuel", "materials")[n * 3 // max(count, 1)]
        status = STATUSES[n % 8]
        made.append(
            RuleOutcome(
                f"{plugin}.rule_{n}",
                "warning",
                "Hose is rated 350 psi where it sees more than 5 psig"
                if n % 2
                else "Brazing filler holds at most 0.05 % phosphorus",
                sources[n % 4],
                status,
                "H1, H2, H3 are marked 350 psi LP-gas",
                plugin,
                1 if status == "failed" else 0,
            )
        )
    return tuple(made)


FINDINGS = (
    Finding(
        "plumbing.rule_2",
        "warning",
        "tank_b was made 2014-09 and is due 2026-09, before the last day.",
        Place("project.yaml", 66, 14),
        "/plumbing/parts/tank_b",
        "Have it requalified, or swap it.",
        "A filler may not fill it after that date.",
        "plumbing",
    ),
    Finding("fuel.rule_10", "note", "No spare regulator is listed.", Place("parts/fuel.yaml", 3, 1), plugin="fuel"),
    Finding(
        "materials.rule_18",
        "warning",
        "H3 carries its mark on a sleeve.",
        Place("project.yaml", 91, 9),
        plugin="materials",
        waived="sleeve",
    ),
)
ERROR = Finding(
    "plumbing.relief",
    "error",
    "Nothing relieves the zone between SV1 and SV2 when both are shut.",
    Place("project.yaml", 140, 7),
    "/plumbing/runs/burst",
    "Put a relief of 250 psi between them.",
    "Liquid caught there can burst the pipe.",
    "plumbing",
)
WAIVER = WaiverShown(
    "sleeve",
    "materials.rule_18",
    "H3",
    "H3 carries its mark on a sleeve; the sleeve is crimped.",
    "the event's fire lead, 2 May 2027",
    "20 June 2027",
    1,
    Place("project.yaml", 210, 3),
)

SECTIONS = (
    SectionMade(
        "plumbing",
        "Plumbing",
        20,
        (
            Para(
                "Gas leaves two cylinders, each with its own valve, and meets one regulator. What follows "
                "is open to the air. The order of the parts below is the order of the flow, and each part is "
                "named in the drawing by the tag it has in the spec."
            ),
            DrawingBlock("plumbing.schematic"),
            Heading("Parts", "parts"),
            TableBlock("plumbing.bill"),
            Heading("How it is put together"),
            Bullets(
                (
                    "Flares are made dry.",
                    "Threads get a sealant that is listed for propane.",
                    "Each joint is tested at 1.5 times the pressure of its zone.",
                )
            ),
            Facts((("tested by", "two people"), ("with", "soap solution that holds no ammonia"))),
        ),
        "plumbing",
        ("B5",),
    ),
    SectionMade(
        "gas",
        "Fuel supply and consumption",
        30,
        (
            Para(
                "Every figure is computed from the spec. The equation stands first, then this project's "
                "numbers in it, then the result for the worst case.",
                citations=(Citation("event-rules", "part 2", "read"),),
            ),
            FigureList(("fuel.gas_on_site", "fuel.heat.reed_1", "fuel.flow.reed_1")),
            Heading("Flow"),
            *(FigureBlock(f.key) for f in figures()),
            Para("Reeds are alike; their figures differ only by tolerance.", quiet=True),
        ),
        "fuel",
        ("B1", "C2"),
    ),
    SectionMade(
        "site",
        "Site",
        40,
        (
            Para("The audience stands outside the dashed circle."),
            DrawingBlock("site.plan"),
            RulesBlock("materials."),
            Bullets(("Walk the line.", "Check the wind.", "Say so on the radio."), True),
        ),
        "site",
    ),
)


def fake(
    *,
    draft: bool = False,
    title: str = "Lantern Reeds",
    sections: Sequence[SectionMade] = SECTIONS,
    bill_rows: int = 14,
    rule_count: int = 24,
) -> Result:
    """A complete Result; `draft` gives it an error and a failed plugin."""
    files = tuple(
        InputFile(n, d, hashlib.sha256(d).hexdigest()) for n, d in (("project.yaml", SPEC), ("parts/fuel.yaml", PARTS))
    )
    plugins = (PluginShown("plumbing", "0.1.0", "built-in"), PluginShown("fuel", "0.1.0", "built-in"))
    limit = Quantity(9.144, "length", "30 ft", "/limits/audience")
    return Result(
        spec_name="project.yaml",
        title=title,
        project_id="lantern-reeds",
        revision="4",
        summary="Five reeds of copper that burn low and steady, and one burst outlet behind them.",
        event=(
            ("event", "Saltmarsh Night Fair"),
            ("dates", "18 to 20 June 2027, 20:30 to 00:30"),
            ("elevation", "1,200 ft"),
            ("authority", "Saltmarsh Fire District"),
        ),
        digest=hashlib.sha256(SPEC + PARTS).hexdigest(),
        git=GitState("4f0c2d9e7a51b8c3d6e0f1a2b3c4d5e6f7a8b9c0", ("project.yaml",)),
        specc_version="0.1.0",
        files=files,
        plugins=(*plugins, PluginShown("club_site", "1.0", "file", "no hook answered")) if draft else plugins,
        references=REFERENCES,
        cases=tuple(Case(n, a, a, WIND, "as the reserve leaves it" if n == "low" else "full") for n, a in AIR.items()),
        figures=figures(),
        rules=rules(rule_count),
        findings=(ERROR, *FINDINGS) if draft else FINDINGS,
        waivers=(WAIVER,),
        limits=(
            LimitShown(
                "site.audience",
                "Audience stays at least this far away",
                limit,
                Quantity(15.24, "length", "50 ft"),
                Citation(basis="choice"),
                "max",
                "the event",
                True,
            ),
            LimitShown(
                "fuel.reserve",
                "Part of the gas kept back",
                Quantity(0.15, "ratio", "15 %"),
                Quantity(0.15, "ratio", "15 %"),
                Citation(basis="practice"),
                "max",
            ),
        ),
        tables=(("plumbing.bill", bill(bill_rows)),),
        drawings=(("plumbing.schematic", schematic()), ("site.plan", site())),
        sections=tuple(sections),
        summary_facts=(
            Fact(1, "200 lb", "gas on site, full", "47 gal in two cylinders"),
            Fact(2, "19 ft", "highest visible flame", "burst, still air; overhead clear to 34 ft"),
            Fact(3, "30 ft", "audience line", "event's figure; computed 14 ft"),
            Fact(4, "2 of 2", "independent stops", "between gas and each outlet"),
            Fact(5, "6", "crew on shift", "lead, 2 valve, fuel, 2 watch"),
            Fact(6, "6", "extinguishers", "2 water, 4 dry chemical"),
        ),
        decisions=("No national audience distance exists. The event asks 30 ft; flame, wind and heat ask 14 ft.",),
        cautions=(
            Caution(
                1,
                "Gas that is colder than the air runs along the ground and gathers in hollows.",
                Citation("orifice-notes", "1.4", "memory"),
            ),
            Caution(2, "A frosted cylinder gives less gas than its label says.", Citation(basis="practice")),
        ),
        model_limits=(
            ModelLimit(1, "Wind", "Gusts are not modeled; the flame is taken to lean with the steady wind alone."),
            ModelLimit(2, "Flow", "The orifice is taken as sharp and clean. A dirty one passes less."),
        ),
        places=tuple(PLACES.items()),
        excerpts=tuple((f.place, "    made: 2014-09") for f in FINDINGS[:1]),
        exit_code=1 if draft else 0,
    )
