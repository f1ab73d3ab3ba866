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
        _n("cu dhp, dhp, dhp copper, phosphorus deoxidized copper, cu122, cw024a, sf cu, c1220, c1220t"),
        ("C12200",),
        basis="read",
    ),
    Stuff(
        "tough pitch copper",
        "copper",
        _n("cu etp, etp, etp copper, tough pitch, electrolytic tough pitch copper, cw004a, c1100"),
        ("C11000",),
        basis="read",
    ),
    Stuff("oxygen-free copper", "copper", _n("ofhc, ofe, oxygen free copper, cu of"), ("C10100", "C10200")),
    # What plumbers call copper tube.
    Stuff(
        "copper tube",
        "copper",
        _n(
            "acr tube, acr tubing, acr, refrigeration tube, refrigeration tubing, refrigeration coil, refrigerant "
            "tube, refrigerant tubing, line set, lineset, dwv tube, dwv"
        ),
    ),
)

# The most zinc of each, and the most lead.
COPPER_ALLOYS = (
    Stuff("brass", "copper alloy", _n("brass, ms58, ms63, messing"), zinc=0.42, lead=0.037),
    Stuff(
        "red brass",
        "copper alloy",
        _n("red brass, gilding, gilding metal, rich low brass, tombac, tombak, cw502l, cuzn15"),
        ("C23000",),
        0.16,
    ),
    Stuff("commercial bronze", "copper alloy", _n("commercial bronze, 90 10 bronze"), ("C22000",), 0.11),
    Stuff("low brass", "copper alloy", _n("low brass"), ("C24000",), 0.215),
    Stuff(
        "cartridge brass",
        "copper alloy",
        _n("cartridge brass, 70/30 brass, 70/30, cz106, cw505l, cuzn30, c2600"),
        ("C26000",),
        0.315,
        0.0007,
        "read",
    ),
    Stuff(
        "yellow brass",
        "copper alloy",
        _n(
            "yellow brass, high brass, cast yellow brass, common brass, cz108, cw507l, cw508l, cuzn36, cuzn37, "
            "c2680, c2700, 2.0321"
        ),
        ("C27000",),
        0.41,
        0.05,
    ),
    Stuff(
        "free-cutting brass",
        "copper alloy",
        _n(
            "free cutting brass, free machining brass, cz121, cw614n, 360 brass, cuzn39pb3, cuzn36pb3, cw603n, "
            "c3604, c3604b, c3604bd, 2.0401"
        ),
        ("C36000",),
        0.41,
        0.037,
        "read",
    ),
    Stuff(
        "forging brass",
        "copper alloy",
        _n("forging brass, cw617n, 377 brass, cz122, cuzn40pb2, c3771, c3771bd, c3771be, 2.0402"),
        ("C37700",),
        0.40,
        0.025,
    ),
    Stuff(
        "dezincification-resistant brass",
        "copper alloy",
        _n(
            "dezincification resistant brass, dzr brass, dzr, cr brass, cz132, cw602n, cw511l, cw625n, cw626n, "
            "cuzn36pb2as"
        ),
        ("C35330", "C35300"),
        0.38,
        0.035,
    ),
    Stuff(
        "leaded brass",
        "copper alloy",
        _n("leaded brass, high leaded brass, high lead brass, low leaded brass, clock brass"),
        (),
        0.42,
        0.045,
    ),
    Stuff(
        "brass low in lead",
        "copper alloy",
        _n("low lead brass, no lead brass, unleaded brass, eco brass"),
        ("C69300", "C87850"),
        0.42,
        0.003,
    ),
    Stuff("admiralty brass", "copper alloy", _n("admiralty brass, admiralty metal, cz111, cw706r"), ("C44300",), 0.30),
    Stuff("aluminum brass", "copper alloy", _n("aluminum brass, cz110, cw702r"), ("C68700",), 0.24),
    Stuff("architectural bronze", "copper alloy", _n("architectural bronze"), ("C38500",), 0.40, 0.035),
    Stuff(
        "muntz metal", "copper alloy", _n("muntz metal, muntz, 60/40 brass, cw509l, cz109, cuzn40"), ("C28000",), 0.41
    ),
    Stuff(
        "naval brass",
        "copper alloy",
        _n("naval brass, leaded naval brass, tobin bronze, cz112, cw712r, cw719r, cuzn38sn1"),
        ("C46400", "C48500"),
        0.40,
        0.022,
    ),
    Stuff("low-fuming bronze", "copper alloy", _n("low fuming bronze"), ("C68100",), 0.42),
    Stuff("nickel silver", "copper alloy", _n("nickel silver, german silver, alpaca"), ("C75200",), 0.20),
    Stuff(
        "manganese bronze",
        "copper alloy",
        _n("manganese bronze, high tensile brass, manganese brass"),
        ("C86300", "C86400"),
        0.42,
        0.015,
        "read",
    ),
    Stuff(
        "cast silicon bronze", "copper alloy", _n("cast silicon bronze, silicon brass"), ("C87500",), 0.16, 0, "read"
    ),
    Stuff(
        "leaded red brass",
        "copper alloy",
        _n(
            "leaded red brass, ounce metal, 85 5 5 5, gunmetal, gun metal, leaded gunmetal, lg2, cc491k, rg5, bc6, "
            "cac406, cusn5zn5pb5"
        ),
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
        _n("tin bronze, navy g, navy m, 88 10 2, g bronze, admiralty gunmetal, cc480k, cusn10"),
        ("C90300", "C92200", "C90500"),
        0.05,
        0.02,
        "read",
    ),
    Stuff(
        "leaded tin bronze",
        "copper alloy",
        _n("leaded bronze, leaded tin bronze, bearing bronze, sae 660"),
        ("C93200", "C93700"),
        0.05,
        0.27,
    ),
    # The wrought alloy has next to no zinc, the cast one up to 16 %: the bare name may be either.
    Stuff("silicon bronze", "copper alloy", _n("silicon bronze, everdur"), zinc=0.16),
    Stuff("wrought silicon bronze", "copper alloy", _n("wrought silicon bronze"), ("C65500",), 0.015),
    Stuff("phosphor bronze", "copper alloy", _n("phosphor bronze, pb102, cusn8"), ("C51000", "C52100"), 0.005),
    Stuff("aluminum bronze", "copper alloy", _n("aluminum bronze, nickel aluminum bronze"), ("C61400", "C95400"), 0.01),
    Stuff(
        "copper-nickel",
        "copper alloy",
        _n("copper nickel, cupronickel, cunifer, cu ni, cuni, copper nickel brake line, cuni brake line"),
        ("C70600", "C71500"),
        0.01,
    ),
)

ZINCS = (
    Stuff(
        "zinc die casting",
        "zinc",
        _n(
            "zinc, zn, zamak, zamac, mazak, zamak 2, zamak 3, zamak 5, zamak 7, mazak 3, mazak 5, pot metal, "
            "potmetal, white metal, die cast, die cast metal, diecast, die cast zinc, zinc die cast, zinc die "
            "casting, zinc alloy, kirksite, monkey metal, die casting, die cast alloy, spelter, slush metal, slush "
            "cast, slush casting, ag40a, ac41a, ag43a, zl3, zl5, zp3, zp5, zp0400, zp0410, znal4, znal4cu1, "
            "znal4cu3, zdc1, zdc2"
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
            "steel, mild steel, carbon steel, low carbon steel, high carbon steel, ms, crs, hrs, wrought steel, "
            "spring steel, hot rolled steel, cold rolled steel, tool steel, cast steel, music wire, piano wire, "
            "drill rod, rebar, chromoly, chrome moly, chrome molybdenum steel, 1008, 1010, 1018, 1020, 1026, 1045, "
            "4130, 4140, 4340, a108, a29, a307, a572, a615, a992, a1008, a1011, s235, s235jr, s275, s275jr, s355, "
            "s355jr, s355j2, st37, st37 2, st52, st52 3, q235, q235b, q345, ss400, 1.0038"
        )),
    Stuff("steel pipe", "steel", _n(
            "black steel, black iron, black pipe, a53, a106, api 5l, a500, a513, a36, a234, k03006, a105, a135, "
            "a181, a216, wcb, a350, a420, a795, stk400, stkm, sgp, g3444, g3452, g3454, dom, erw steel"
        )),
    Stuff("leaded steel", "steel", _n(
            "leaded steel, free machining steel, free cutting steel, 12l14, 1215, 11smnpb30"
        ), (), 0.0, 0.0035),
    Stuff("copper-brazed steel tube", "steel", _n("copper brazed steel, bundy, bundy tube, brake line, a254")),
    Stuff("weathering steel", "steel", _n("weathering steel, corten, cor ten, a588, a606")),
    Stuff(
        "stainless steel",
        "stainless",
        _n(
            "stainless steel, stainless, ss, sst, inox, 18 8, 304, 304l, 316, 316l, 321, 309, 309s, 310, 310s, 409, "
            "430, 304ss, 316ss, ss304, ss316, cf8, cf8m, 1.4301, 1.4401, 1.4541, a312, a269, a240, a2 70, a4 70, a2 "
            "80, a4 80, a2 stainless, a4 stainless, 303, 316ti, 347, 410, 416, 420, 440c, 444, 2205, duplex 2205, "
            "duplex stainless, 253ma, 904l, al 6xn, "
            "254 smo, 17 4ph, 17 4 ph, 18 10, x5crni18 10, v2a, v4a, tp304, tp304l, tp316, "
            "tp316l, f304, f304l, f316, f316l, sus304, sus304l, sus316, sus316l, sus430, 1.4305, 1.4306, 1.4307, "
            "1.4404, 1.4435, 1.4512, 1.4509, 1.4016, 1.4571, 1.4828, 1.4841, 1.4845, 1.4462, a182, a213, a249, "
            "a276, a351, a403, a479, a554, a774, a778"
        ),
        ("S30400", "S30403", "S31600", "S31603", "S32100", "S30908", "S31008", "S40900", "S43000"),
    ),
    Stuff(
        "cast iron",
        "cast iron",
        _n("cast iron, gray iron, gray cast iron, cast gray iron, a126, b16.4, ci, a48, gg20, gg25, gjl"),
        basis="read",
    ),
    Stuff("malleable iron", "iron", _n(
            "malleable iron, malleable, malleable cast iron, black malleable, black malleable iron, mi, "
            "a197, b16.3, a47, gjmb, gjmw, en10242"
        ), basis="read"),
    Stuff("ductile iron", "iron", _n(
            "ductile iron, ductile, ductile cast iron, nodular iron, sg iron, a395, a536, gjs, ggg40"
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
            "b221, b209, 1050, 1060, 2011, 2014, 2017, 5005, 5086, 5754, 6013, 6101, 6105, 6351, 7050, 7068, a319, "
            "a413, lm4, lm6, lm25, ac4c, al si, almgsi0.5, almgsi1, almg1, almg4.5mn, t slot, tslot, t slot "
            "extrusion"
        ),
        ("A96061", "A96063", "A93003", "A03800"),
        0.03,
    ),
)

OTHERS = (
    Stuff("lead", "lead", _n(
            "lead, pb, leaded, lead sheet, sheet lead, babbitt, type metal, linotype"
        ), ("L50001",), lead=1.0),
    Stuff("cadmium", "cadmium", _n("cadmium, cd")),
    Stuff("titanium", "other metal", _n("titanium, ti")),
    Stuff(
        "nickel alloy",
        "other metal",
        _n("nickel, inconel, incoloy, monel, hastelloy, hastelloy c276, hastelloy c22, nichrome"),
    ),
    Stuff("tin", "other metal", _n("tin")),
    Stuff("silver", "other metal", _n("silver")),
    Stuff("chromium", "other metal", _n("chrome, chromium")),
    Stuff(
        "plastic",
        "plastic",
        _n(
            "plastic, pvc, cpvc, pe, pex, hdpe, mdpe, pp, polyethylene, polypropylene, nylon, polyamide, pa, pa12, "
            "abs, vinyl, acrylic, plexiglass, perspex, pmma, polycarbonate, lexan, acetal, delrin, pom, petg, pla, "
            "fiberglass, grp, frp, carbon fiber, foam, eps, xps, styrofoam, polystyrene, plexi, polyurethane, pu, "
            "ptfe, teflon, epoxy, resin"
        ),
    ),
    Stuff(
        "rubber",
        "rubber",
        _n(
            "rubber, nbr, nitrile, buna n, epdm, neoprene, viton, fkm, silicone, elastomer, latex, lp gas hose, "
            "lpg hose, propane hose, air hose, garden hose, thermoplastic"
        ),
    ),
    Stuff(
        "wood",
        "wood",
        _n(
            "wood, wooden, timber, lumber, plywood, ply, osb, mdf, chipboard, bamboo, pine, oak, cedar, fir, paper, "
            "cardboard, straw, hay, cork, particle board, particleboard, wicker, rattan, thatch, papier mache, "
            "hedge, brushwood, leaves, dry grass"
        ),
    ),
    Stuff(
        "fabric",
        "fabric",
        _n(
            "fabric, cloth, canvas, cotton, linen, silk, wool, polyester, burlap, hessian, jute, hemp, "
            "rope, felt, leather, tarp, velvet, carpet, spandex, fur, aramid, fleece, feather, feathers, horsehair"
        ),
    ),
    Stuff("mineral", "mineral", _n(
            "glass, ceramic, stone, brick, concrete, mortar, sand, rock, lava rock, clay, porcelain, refractory, "
            "basalt, granite, slate, ceramic wool, rock wool, mineral wool, stone wool, "
            "glass wool, slag wool, ceramic fiber, ceramic fiber blanket, "
            "tempered glass, firebrick, fire brick, plaster, terracotta, terra cotta, stucco, adobe, tile, marble"
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
    Block("C87000", "C87999", _alloy("cast silicon bronze", 0.42)),
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
