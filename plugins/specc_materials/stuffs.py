"""What things are made of, by name: metals with their UNS numbers, and what burns.

A row is one material with all the names it goes by. Names are compared word by word, without case or hyphens. `zinc`
and `lead` are the most of each, as a share of mass. `basis` says how a row is known; a name that stands on no row is
asked about, never taken for harmless.

Shares and UNS numbers of the copper alloys: public tables of two foundries and an alloy index; zinc alloys: a die
caster's table.
"""

from __future__ import annotations

import re
from typing import Literal, NamedTuple, TypeAlias

from specc.model.values import Basis

Family: TypeAlias = Literal[
    "copper", "copper alloy", "steel", "stainless", "cast iron", "iron", "aluminum", "zinc", "lead", "cadmium",
    "other metal", "plastic", "rubber", "wood", "fabric", "mineral",
]  # fmt: skip
BURNS: frozenset[str] = frozenset(("plastic", "rubber", "wood", "fabric"))


class Stuff(NamedTuple):
    """A material. `title` is what is printed; `names` are the ways it is written; `uns` its numbers."""

    title: str
    family: Family
    names: tuple[str, ...]
    uns: tuple[str, ...] = ()
    zinc: float = 0.0
    lead: float = 0.0
    basis: Basis = "memory"


def _n(text: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in text.split(","))


COPPERS = (
    Stuff("copper", "copper", _n("copper, cu, soft copper, annealed copper, hard copper"), basis="read"),
    Stuff(
        "phosphorus-deoxidized copper",
        "copper",
        _n("cu dhp, dhp, dhp copper, phosphorus deoxidized copper, cu122, cw024a"),
        ("C12200",),
        basis="read",
    ),
    Stuff(
        "tough pitch copper",
        "copper",
        _n("cu etp, etp, etp copper, tough pitch, electrolytic tough pitch copper, cw004a"),
        ("C11000",),
        basis="read",
    ),
    Stuff("oxygen-free copper", "copper", _n("ofhc, ofe, oxygen free copper, cu of"), ("C10100", "C10200")),
    # What plumbers call copper tube.
    Stuff(
        "copper tube",
        "copper",
        _n("acr tube, acr tubing, acr, refrigeration tube, refrigeration tubing, line set, lineset, dwv tube, dwv"),
    ),
)

# The most zinc of each, and the most lead.
COPPER_ALLOYS = (
    Stuff("brass", "copper alloy", _n("brass, ms58, ms63, messing"), zinc=0.42, lead=0.037),
    Stuff("red brass", "copper alloy", _n("red brass, gilding, gilding metal, rich low brass"), ("C23000",), 0.16),
    Stuff("commercial bronze", "copper alloy", _n("commercial bronze, 90 10 bronze"), ("C22000",), 0.11),
    Stuff("low brass", "copper alloy", _n("low brass"), ("C24000",), 0.215),
    Stuff(
        "cartridge brass",
        "copper alloy",
        _n("cartridge brass, 70/30 brass, 70/30, cz106, cw505l"),
        ("C26000",),
        0.315,
        0.0007,
        "read",
    ),
    Stuff("yellow brass", "copper alloy", _n("yellow brass, high brass, cast yellow brass"), ("C27000",), 0.41, 0.05),
    Stuff(
        "free-cutting brass",
        "copper alloy",
        _n("free cutting brass, free machining brass, cz121, cw614n, 360 brass"),
        ("C36000",),
        0.36,
        0.037,
        "read",
    ),
    Stuff("forging brass", "copper alloy", _n("forging brass, cw617n, 377 brass"), ("C37700",), 0.38, 0.025),
    Stuff("architectural bronze", "copper alloy", _n("architectural bronze"), ("C38500",), 0.40, 0.035),
    Stuff("muntz metal", "copper alloy", _n("muntz metal, muntz"), ("C28000",), 0.41),
    Stuff("naval brass", "copper alloy", _n("naval brass, tobin bronze"), ("C46400",), 0.40),
    Stuff("low-fuming bronze", "copper alloy", _n("low fuming bronze"), ("C68100",), 0.42),
    Stuff("nickel silver", "copper alloy", _n("nickel silver, german silver, alpaca"), ("C75200",), 0.20),
    Stuff("manganese bronze", "copper alloy", _n("manganese bronze"), ("C86300", "C86400"), 0.42, 0.015, "read"),
    Stuff(
        "cast silicon bronze", "copper alloy", _n("cast silicon bronze, silicon brass"), ("C87500",), 0.16, 0, "read"
    ),
    Stuff(
        "leaded red brass",
        "copper alloy",
        _n("leaded red brass, ounce metal, 85 5 5 5, gunmetal, gun metal, lg2"),
        ("C83600",),
        0.06,
        0.06,
        "read",
    ),
    Stuff(
        "semi-red brass",
        "copper alloy",
        _n("semi red brass, valve metal, valve bronze, 81 3 7 9"),
        ("C84400",),
        0.10,
        0.08,
        "read",
    ),
    # A bronze that does not say which may be any of those above; its zinc is the most of them.
    Stuff("bronze", "copper alloy", _n("bronze, cast bronze"), zinc=0.42, lead=0.08),
    Stuff(
        "tin bronze",
        "copper alloy",
        _n("tin bronze, navy g, navy m, 88 10 2, g bronze"),
        ("C90300", "C92200", "C90500"),
        0.05,
        0.02,
        "read",
    ),
    # The wrought alloy has next to no zinc, the cast one up to 16 %: the bare name may be either.
    Stuff("silicon bronze", "copper alloy", _n("silicon bronze, everdur"), zinc=0.16),
    Stuff("wrought silicon bronze", "copper alloy", _n("wrought silicon bronze"), ("C65500",), 0.015),
    Stuff("phosphor bronze", "copper alloy", _n("phosphor bronze"), ("C51000", "C52100"), 0.003),
    Stuff("aluminum bronze", "copper alloy", _n("aluminum bronze"), ("C61400", "C95400"), 0.01),
    Stuff(
        "copper-nickel", "copper alloy", _n("copper nickel, cupronickel, cunifer, cu ni"), ("C70600", "C71500"), 0.01
    ),
)

ZINCS = (
    Stuff(
        "zinc die casting",
        "zinc",
        _n(
            "zinc, zn, zamak, zamac, mazak, zamak 2, zamak 3, zamak 5, zamak 7, mazak 3, mazak 5, pot "
            "metal, potmetal, white metal, die cast, die cast metal, diecast, die cast zinc, zinc die "
            "cast, zinc die casting, zinc alloy, kirksite, monkey metal"
        ),
        ("Z35541", "Z33520", "Z35531", "Z33523"),
        1.0,
        basis="read",
    ),
    Stuff(
        "zinc-aluminum alloy", "zinc", _n("za 8, za8, za 12, za12, za 27, za27"), ("Z35636", "Z35633"), 0.92, 0, "read"
    ),
)  # fmt: skip

IRONS = (
    Stuff("steel", "steel", _n(
            "steel, mild steel, carbon steel, low carbon steel, ms, crs, hrs, wrought steel, spring steel"
        )),
    Stuff("steel pipe", "steel", _n(
            "black steel, black iron, black pipe, a53, a106, api 5l, a500, a513, a36, a234, k03006"
        )),
    Stuff("copper-brazed steel tube", "steel", _n("copper brazed steel, bundy, bundy tube, brake line, a254")),
    Stuff("weathering steel", "steel", _n("weathering steel, corten, cor ten, a588, a606")),
    Stuff(
        "stainless steel",
        "stainless",
        _n(
            "stainless steel, stainless, ss, sst, inox, 18 8, 304, 304l, 316, 316l, 321, 309, 309s, 310, "
            "310s, 409, 430, 304ss, 316ss, ss304, ss316, cf8, cf8m, 1.4301, 1.4401, 1.4541, a312, a269, "
            "a240, a2 70, a4 70"
        ),
        ("S30400", "S30403", "S31600", "S31603", "S32100", "S30908", "S31008", "S40900", "S43000"),
    ),
    Stuff(
        "cast iron",
        "cast iron",
        _n("cast iron, gray iron, gray cast iron, cast gray iron, a126, b16.4, ci"),
        basis="read",
    ),
    Stuff("malleable iron", "iron", _n(
            "malleable iron, malleable, malleable cast iron, black malleable, black malleable iron, mi, "
            "a197, b16.3"
        ), basis="read"),
    Stuff("ductile iron", "iron", _n(
            "ductile iron, ductile, ductile cast iron, nodular iron, sg iron, a395, a536"
        ), basis="read"),
    Stuff("iron", "iron", _n("iron, wrought iron, forged iron")),
)  # fmt: skip

ALUMINUMS = (
    Stuff(
        "aluminum",
        "aluminum",
        _n(
            "aluminum, alu, al, alum, duralumin, dural, silumin, 1100, 2024, 3003, 5052, 5083, 6005, "
            "6005a, 6060, 6061, 6063, 6082, 7075, 356, a356, 380, a380, adc12, adc 12, cast aluminum, die "
            "cast aluminum, aluminum die cast, aluminum die casting, die cast al, almg3, almgsi, b241, "
            "b221, b209"
        ),
        ("A96061", "A96063", "A93003", "A03800"),
        0.03,
    ),
)

OTHERS = (
    Stuff("lead", "lead", _n("lead, pb, leaded, lead sheet, sheet lead, babbitt"), ("L50001",), lead=1.0),
    Stuff("cadmium", "cadmium", _n("cadmium, cd")),
    Stuff("titanium", "other metal", _n("titanium, ti")),
    Stuff("nickel alloy", "other metal", _n("nickel, inconel, incoloy, monel, hastelloy, nichrome")),
    Stuff("tin", "other metal", _n("tin")),
    Stuff("silver", "other metal", _n("silver")),
    Stuff("chromium", "other metal", _n("chrome, chromium")),
    Stuff(
        "plastic",
        "plastic",
        _n(
            "plastic, pvc, cpvc, pe, pex, hdpe, mdpe, pp, polyethylene, polypropylene, nylon, polyamide, "
            "pa, pa12, abs, vinyl, acrylic, plexiglass, perspex, pmma, polycarbonate, lexan, acetal, "
            "delrin, pom, petg, pla, fiberglass, grp, frp, carbon fiber, foam, styrofoam, polystyrene, "
            "polyurethane, pu, ptfe, teflon, epoxy, resin"
        ),
    ),
    Stuff(
        "rubber",
        "rubber",
        _n(
            "rubber, nbr, nitrile, buna n, epdm, neoprene, viton, fkm, silicone, elastomer, lp gas hose, "
            "lpg hose, propane hose, air hose, garden hose, thermoplastic"
        ),
    ),
    Stuff(
        "wood",
        "wood",
        _n(
            "wood, wooden, timber, lumber, plywood, ply, osb, mdf, chipboard, bamboo, pine, oak, cedar, "
            "fir, paper, cardboard, straw, hay, cork"
        ),
    ),
    Stuff(
        "fabric",
        "fabric",
        _n(
            "fabric, cloth, canvas, cotton, linen, silk, wool, polyester, burlap, hessian, jute, hemp, "
            "rope, felt, leather, tarp, velvet, carpet, spandex, fur"
        ),
    ),
    Stuff("mineral", "mineral", _n(
            "glass, ceramic, stone, brick, concrete, mortar, sand, rock, lava rock, clay, porcelain, "
            "refractory, basalt, granite, slate, ceramic wool, rock wool"
        )),
)  # fmt: skip

STUFFS = (*COPPERS, *COPPER_ALLOYS, *ZINCS, *IRONS, *ALUMINUMS, *OTHERS)


class Block(NamedTuple):
    """A range of UNS numbers whose alloys are alike: for numbers that have no row of their own."""

    first: str
    last: str
    stuff: Stuff


def _alloy(title: str, zinc: float, lead: float = 0.0) -> Stuff:
    return Stuff(title, "copper alloy", (), (), zinc, lead)


# The unified numbering system's own blocks; the copper alloys by the makers' index, their zinc the most in the block.
BLOCKS = (
    Block("A00001", "A99999", ALUMINUMS[0]),
    Block("C10000", "C15999", COPPERS[0]),
    Block("C20500", "C28999", _alloy("wrought brass", 0.42)),
    Block("C31200", "C38699", _alloy("leaded brass", 0.42, 0.045)),
    Block("C40400", "C49099", _alloy("tin brass", 0.42, 0.02)),
    Block("C50100", "C54499", _alloy("phosphor bronze", 0.05, 0.045)),
    Block("C60600", "C64299", _alloy("aluminum bronze", 0.02)),
    Block("C64700", "C66199", _alloy("silicon bronze", 0.04)),
    Block("C66400", "C69999", _alloy("copper-zinc alloy", 0.43)),
    Block("C70000", "C72999", _alloy("copper-nickel", 0.01)),
    Block("C73500", "C79999", _alloy("nickel silver", 0.43)),
    Block("C83300", "C83999", _alloy("cast red brass", 0.12, 0.07)),
    Block("C84000", "C84999", _alloy("cast semi-red brass", 0.17, 0.08)),
    Block("C85000", "C85999", _alloy("cast yellow brass", 0.41, 0.05)),
    Block("C86000", "C86999", _alloy("manganese bronze", 0.42, 0.015)),
    Block("C87000", "C87999", _alloy("cast silicon bronze", 0.40)),
    Block("C88000", "C89999", _alloy("cast bismuth brass", 0.41)),
    Block("C90000", "C94999", _alloy("cast tin bronze", 0.05, 0.27)),
    Block("C95200", "C95999", _alloy("cast aluminum bronze", 0.01)),
    Block("G10050", "G99999", IRONS[0]),
    Block("K00001", "K19999", IRONS[0]),
    Block("L50001", "L59999", OTHERS[0]),
    Block("S20000", "S49999", next(s for s in IRONS if s.family == "stainless")),
    Block("Z10000", "Z99999", ZINCS[0]),
)
UNS = re.compile(r"[acfgklsz]\d{5}")


def by_uns(number: str) -> Stuff | None:
    """The material with a UNS number: its own row, else its block's; None when the number is on no list."""
    said = number.upper()
    own = next((s for s in STUFFS if said in s.uns), None)
    return own or next((b.stuff for b in BLOCKS if b.first <= said <= b.last), None)
